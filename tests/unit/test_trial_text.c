/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "harvest.h"
#include "trial_text.h"
#include "trial_words.h"

static const char *const yaml =
    "garden: Test\nyear: 2027\nunits: us\n"
    "site:\n  latitude: 42.3 deg\n  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"
    "plots:\n  - {name: A, size: 40 ft x 75 ft}\n"
    "seed:\n  - {variety: Ember Ridge, crop: flint corn}\n"
    "  - {variety: \"Wren's, Speckled\", crop: climbing bean}\ngoal: days\n";

static struct garden_text text;
static struct trial *trial;
static struct strbuf b;

static void set_up(void)
{
    static const struct trial_options none = {0};
    text = garden_text_read(yaml);
    cr_assert(text.garden != NULL, "%s", garden_text_diags(&text));
    CALL(trial_make(text.garden, &none, text.arena, text.diags, &trial));
    strbuf_init(&b, text.arena);
}

static void tear_down(void)
{
    garden_text_free(&text);
}

TestSuite(trial_text, .init = set_up, .fini = tear_down);

Test(trial_text, sheet_names_every_half_and_hill)
{
    trial_sheet(trial, &b);
    cr_assert(!b.failed);
    for (int i = 0; i < 2 * trial->blocks; i++) {
        const char *words = trial_half_words(trial, &trial->halves[i], false, text.arena);
        cr_assert(strstr(b.p, words) != NULL, "no %s", words);
    }
    for (int i = 0; i < trial_fairness_lines; i++) {
        const char *first = arena_strndup(text.arena, trial_fairness[i], 30);
        cr_assert(strstr(b.p, first) != NULL, "no %s", first);
    }
    for (const char *line = b.p; *line; line = strchr(line, '\n') + 1)
        cr_assert(strchr(line, '\n') - line <= 88, "too long: %.*s",
                  (int)(strchr(line, '\n') - line), line);
}

/* The empty log has a line for each half and crop, and is read as one that is not filled in. */
Test(trial_text, log_is_a_log)
{
    const struct source *src = NULL;
    struct harvest h = {0};
    trial_log(trial, &b);
    CALL(source_text(text.arena, "harvest.csv", b.p, b.n, &src));
    CALL(harvest_read(text.arena, src, true, text.diags, &h));
    cr_assert(h.n == (size_t)(2 * trial->blocks * trial->ncrops));
    for (size_t i = 0; i < h.n; i++)
        cr_assert(h.rows[i].bad, "line %zu passes for filled in", i + 2);
}

Test(trial_text, verdict_tells_what_can_be_told)
{
    char share[64];
    const char *words = trial_verdict(trial, text.arena);
    snprintf(share, sizeof share, "%.0f %% or more", ceil(100 * trial->told));
    cr_assert(trial->blocks < trial->needed && strstr(words, "too small") != NULL, "%s", words);
    cr_assert(strstr(words, share) != NULL, "no `%s` in: %s", share, words);
    trial->told = HUGE_VAL;
    trial->blocks = 1;
    cr_assert(strstr(trial_verdict(trial, text.arena), "do not conclude") != NULL);
    trial->blocks = trial->needed;
    trial->told = 0.1;
    cr_assert(strstr(trial_verdict(trial, text.arena), "enough") != NULL);
}
