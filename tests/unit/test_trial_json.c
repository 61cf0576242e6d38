/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>
#include <unistd.h>

#include "garden_text.h"
#include "trial_json.h"

static const char *const yaml =
    "garden: Test\nyear: 2027\nunits: metric\n"
    "site:\n  latitude: 42.3 deg\n  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"
    "plots:\n  - {name: A, size: 12 m x 20 m}\n"
    "seed:\n  - {variety: Ember Ridge, crop: flint corn}\n"
    "  - {variety: Wren's Speckled, crop: climbing bean}\ngoal: days\n";

static struct garden_text text;
static const char *json;
static struct trial *made;
static char path[] = "/tmp/trial-json-XXXXXX";

static void set_up(void)
{
    static const struct trial_options none = {0};
    text = garden_text_read(yaml);
    cr_assert(text.garden != NULL, "%s", garden_text_diags(&text));
    CALL(trial_make(text.garden, &none, text.arena, text.diags, &made));
    CALL(trial_json_write(made, text.arena, &json));
    int fd = mkstemp(path);
    cr_assert(fd != -1 && close(fd) == 0);
}

static void tear_down(void)
{
    unlink(path);
    garden_text_free(&text);
}

TestSuite(trial_json, .init = set_up, .fini = tear_down);

static hr_status read_back(const char *from, struct trial **out)
{
    FILE *f = fopen(path, "w");
    cr_assert(f && fputs(from, f) != EOF && fclose(f) == 0);
    return trial_json_read(text.arena, path, text.diags, out);
}

Test(trial_json, reads_back_what_a_review_needs)
{
    struct trial *t = NULL;
    CALL(read_back(json, &t));
    cr_assert(t->blocks == made->blocks && t->ncrops == made->ncrops && t->units == made->units);
    cr_assert_str_eq(t->id, made->id);
    cr_assert_str_eq(t->title, "Test");
    for (int i = 0; i < 2 * t->blocks; i++) {
        cr_assert_str_eq(t->halves[i].name, made->halves[i].name);
        cr_assert(t->halves[i].treatment == made->halves[i].treatment &&
                  t->halves[i].block == made->halves[i].block);
    }
    for (int k = 0; k < t->ncrops; k++) {
        cr_assert_str_eq(t->crops[k].crop, made->crops[k].crop);
        cr_assert(near(t->crops[k].share, made->crops[k].share, 1e-9));
        cr_assert(near(t->crops[k].kg[1].high, made->crops[k].kg[1].high, 1e-9));
    }
    cr_assert(near(t->net_length_m * t->net_depth_m, made->net_length_m * made->net_depth_m, 1e-9));
}

/* The text with the first `from` in it put another way. */
static const char *changed(const char *from, const char *to)
{
    const char *at = strstr(json, from);
    cr_assert(at != NULL, "no %s", from);
    return arena_printf(text.arena, "%.*s%s%s", (int)(at - json), json, to, at + strlen(from));
}

Test(trial_json, refuses_what_has_been_changed)
{
    static const char *const changes[][2] = {
        {"\"hillrow_trial\": 1", "\"hillrow_trial\": 2"},
        {"\"treatment\": \"rows\"", "\"treatment\": \"hills\""},
        {"\"treatment\": \"rows\"", "\"treatment\": \"moons\""},
        {"\"blocks\": ", "\"blocks\": 1"},
        {"\"low\": ", "\"low\": 1000000"},
        {"\"rows_share\": ", "\"rows_share\": -"},
        {"\"crops\": [", "\"crops\": 7, \"harvest\": ["},
        {"\"halves\": [", "\"half\": ["},
        {"\"cv\": ", "\"cv\": -"},
        {"{", "{{"},
    };
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        struct trial *t = NULL;
        cr_assert(read_back(changed(changes[i][0], changes[i][1]), &t) == HR_INPUT && !t,
                  "change %zu went through", i);
        expect_diag(text.diags, 0, 0, "trial-json");
    }
    struct trial *t = NULL;
    cr_assert(read_back("", &t) == HR_INPUT && read_back("[]", &t) == HR_INPUT && !t);
    cr_assert(trial_json_read(text.arena, "/no/such/trial.json", text.diags, &t) == HR_IO);
}
