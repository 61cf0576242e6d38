/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <locale.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include <jansson.h>

#include "plan_json.h"
#include "plan_text.h"
#include "verify.h"

static const char *written(const struct plan *plan, struct arena *arena)
{
    const char *text = NULL;
    CALL(plan_json_write(plan, arena, &text));
    return text;
}

/* A file with that text, removed by the caller. */
static void file_with(char path[64], const char *text, size_t n)
{
    strcpy(path, "/tmp/hillrow-test-XXXXXX");
    int fd = mkstemp(path);
    cr_assert(fd >= 0 && write(fd, text, n) == (ssize_t)n);
    close(fd);
}

/* Reads a text as plan.json; *plan NULL when it does not read. */
static hr_status read_text(struct plan_text *p, const char *text, size_t n, struct diags *diags,
                           struct plan **plan)
{
    char path[64];
    *plan = NULL;
    file_with(path, text, n);
    hr_status status = plan_json_read(p->t.arena, path, p->t.library, diags, plan);
    unlink(path);
    return status;
}

static struct plan *read_good(struct plan_text *p, const char *text)
{
    struct plan *plan;
    hr_status status = read_text(p, text, strlen(text), p->t.diags, &plan);
    cr_assert(status == HR_OK, "%s", diags_words(p->t.diags));
    return plan;
}

static void expect_span(const struct span *a, const struct span *b)
{
    cr_assert(near(a->low, b->low, 1e-9 * b->low) && near(a->typ, b->typ, 1e-9 * b->typ) &&
              near(a->high, b->high, 1e-9 * b->high));
}

static void expect_block(const struct plan *a, const struct plan *b, int i)
{
    const struct block *x = &a->blocks[i], *y = &b->blocks[i];
    const struct planting *p = x->planting, *q = y->planting;
    cr_assert(x->zone == y->zone && x->lines == y->lines && x->shared == y->shared &&
              x->item == -1 && near(x->start_m, y->start_m, 1e-12) &&
              near(x->depth_m, y->depth_m, 1e-12) && near(x->along_m, y->along_m, 1e-12) &&
              near(x->length_m, y->length_m, 1e-12));
    cr_assert(p->system == q->system && p->guild == q->guild && p->nparts == q->nparts &&
              strcmp(p->id, q->id) == 0 && strcmp(p->label, q->label) == 0);
    cr_assert(near(p->pitch_m, q->pitch_m, 1e-12) && near(p->line_m, q->line_m, 1e-12) &&
              near(p->stagger_m, q->stagger_m, 1e-12) && near(p->height_m, q->height_m, 1e-12) &&
              near(p->spread_m, q->spread_m, 1e-12) &&
              near(p->hill_diameter_m, q->hill_diameter_m, 1e-12) &&
              near(p->extinction_per_m, q->extinction_per_m, 1e-9));
    for (int k = 0; k < p->nparts; k++) {
        const struct part *s = &p->parts[k], *t = &q->parts[k];
        cr_assert(s->seed_index == t->seed_index && s->crop->name.s != NULL &&
                  strcmp(s->crop->name.s, t->crop->name.s) == 0 && s->role == t->role &&
                  s->per_station == t->per_station && s->every == t->every);
        cr_assert(near(s->sown, t->sown, 1e-9) && near(s->ring_m, t->ring_m, 1e-12) &&
                  near(s->delay_d, t->delay_d, 1e-9) && strcmp(s->trigger, t->trigger) == 0);
        cr_assert(s->season.fit == t->season.fit && s->season.sow == t->season.sow &&
                  s->season.sow_first == t->season.sow_first &&
                  s->season.harvest_high == t->season.harvest_high &&
                  s->season.margin_d == t->season.margin_d);
        cr_assert(near(x->light[k], y->light[k], 1e-11));
    }
}

/* ---- there and back ------------------------------------------------------------------------- */

Test(plan_json, reads_back_as_it_was)
{
    struct plan_text p = plan_text_good("limits:\n  hours: 200 h\n");
    const struct plan *a = p.plan;
    struct plan *b = read_good(&p, written(a, p.t.arena));
    cr_assert_str_eq(b->id, a->id);
    cr_assert(b->status == a->status && b->limiting == a->limiting && b->rounds == a->rounds);
    cr_assert(near(b->value, a->value, 1e-9 * a->value) && near(b->gap, a->gap, 1e-9));
    cr_assert(near(b->seconds, a->seconds, 1e-3) && near(b->shade_loss, a->shade_loss, 1e-9));
    expect_span(&b->person_days, &a->person_days);
    expect_span(&b->hours, &a->hours);
    cr_assert(b->zones.n == a->zones.n && b->zones.ngrounds == a->zones.ngrounds);
    for (size_t z = 0; z < a->zones.n; z++)
        cr_assert(strcmp(b->zones.items[z].name, a->zones.items[z].name) == 0 &&
                  b->zones.items[z].plot == a->zones.items[z].plot &&
                  near(b->zones.items[z].length_m, a->zones.items[z].length_m, 1e-12));
    cr_assert(b->nblocks == a->nblocks);
    for (int i = 0; i < a->nblocks; i++)
        expect_block(b, a, i);
    cr_assert(b->ncrops == a->ncrops);
    for (int c = 0; c < a->ncrops; c++) {
        cr_assert_str_eq(b->crops[c].seed->variety.s, a->crops[c].seed->variety.s);
        cr_assert(b->crops[c].plants == a->crops[c].plants);
        expect_span(&b->crops[c].kg, &a->crops[c].kg);
    }
    cr_assert(b->nstations == a->nstations && b->nlines == a->nlines);
    for (int s = 0; s < a->nstations; s++) {
        const struct station *x = &b->stations[s], *y = &a->stations[s];
        cr_assert(strcmp(x->id, y->id) == 0 && x->line == y->line && x->index == y->index &&
                  x->plot == y->plot && near(x->x_m, y->x_m, 1e-9) && near(x->y_m, y->y_m, 1e-9) &&
                  memcmp(x->plants, y->plants, sizeof x->plants) == 0);
    }
    for (int l = 0; l < a->nlines; l++)
        cr_assert(b->lines[l].first == a->lines[l].first && b->lines[l].n == a->lines[l].n);
    cr_assert(diags_count(p.t.diags) == 0, "%s", diags_words(p.t.diags));
    cr_assert(verify_plan(b, p.t.arena, p.t.diags) == HR_OK, "%s", diags_words(p.t.diags));
    plan_text_free(&p);
}

Test(plan_json, same_bytes_again)
{
    struct plan_text p = plan_text_good("");
    const char *first = written(p.plan, p.t.arena);
    cr_assert_str_eq(first, written(p.plan, p.t.arena), "written twice");
    struct plan *back = read_good(&p, first);
    cr_assert_str_eq(first, written(back, p.t.arena), "written, read, written");
    plan_text_free(&p);
}

Test(plan_json, nothing_planted_reads_back)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    plan_text_finish(&p);
    const char *first = written(p.plan, p.t.arena);
    struct plan *back = read_good(&p, first);
    cr_assert(back->nstations == 0 && back->nblocks == 0);
    cr_assert_str_eq(first, written(back, p.t.arena));
    plan_text_free(&p);
}

/* A locale with a decimal comma changes nothing. */
Test(plan_json, no_locale_gets_in)
{
    struct plan_text p = plan_text_good("");
    const char *first = written(p.plan, p.t.arena);
    if (!setlocale(LC_ALL, "de_DE.UTF-8"))
        cr_skip_test("no locale with a decimal comma here");
    const char *second = written(p.plan, p.t.arena);
    struct plan *back = read_good(&p, second);
    setlocale(LC_ALL, "C");
    cr_assert_str_eq(first, second);
    cr_assert(near(back->value, p.plan->value, 1e-9 * p.plan->value));
    plan_text_free(&p);
}

/* Two crops of one guild may have varieties of the same name. */
Test(plan_json, same_variety_name_of_two_crops)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS
                                       "seed:\n  - {variety: Heirloom, crop: flint corn}\n"
                                       "  - {variety: Heirloom, crop: climbing bean}\n"
                                       "  - {variety: Heirloom, crop: butternut squash}\n");
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 2);
    plan_text_finish(&p);
    const char *text = written(p.plan, p.t.arena);
    cr_assert(strstr(text, "\"Heirloom (climbing bean)\": 4") != NULL);
    struct plan *back = read_good(&p, text);
    cr_assert(memcmp(back->stations[1].plants, p.plan->stations[1].plants,
                     sizeof back->stations[1].plants) == 0);
    plan_text_free(&p);
}

Test(plan_json, odd_paths_and_left_out_survive)
{
    struct plan_text p = plan_text_good("");
    struct source *src = ARENA_NEW(p.t.arena, struct source);
    *src = *p.t.garden->source;
    src->name = "gar\xff"
                "den \x1b[31m.yaml"; /* not UTF-8, and a terminal's command */
    p.t.garden->source = src;
    struct left_out *out = ARENA_NEW(p.t.arena, struct left_out);
    *out = (struct left_out){.name = "melon", .why = "ripe too late"};
    p.plan->menu.left_out = out;
    p.plan->menu.nleft_out = 1;
    const char *first = written(p.plan, p.t.arena);
    struct plan *back = read_good(&p, first);
    cr_assert_str_eq(back->garden->source->name, "gar\\xffden \\x1b[31m.yaml");
    cr_assert(back->menu.nleft_out == 1 && back->menu.nplantings == 0 && back->menu.nitems == 0);
    cr_assert_str_eq(back->menu.left_out[0].why, "ripe too late");
    cr_assert_str_eq(first, written(back, p.t.arena));
    plan_text_free(&p);
}

/* ---- what is wrong -------------------------------------------------------------------------- */

/* The text with the first `from` replaced. */
static const char *replaced(struct arena *arena, const char *text, const char *from, const char *to)
{
    const char *at = strstr(text, from);
    cr_assert_not_null(at, "no `%s` in the text", from);
    return arena_printf(arena, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
}

Test(plan_json, faults_are_named, .timeout = 120)
{
    static const struct {
        const char *from, *to, *words;
    } faults[] = {
        {"\"hillrow\": 1", "\"hillrow\": 2", "format 2 is not known"},
        {"\"hillrow\": 1,", "", "hillrow: is missing"},
        {"\"hillrow\": 1", "\"hillrow\": \"1\"", "hillrow: is not a whole number"},
        {"\"value\": ", "\"value\": null, \"v\": ", "value: is not a number"},
        {"\"gap\": 0", "\"gap\": 7", "gap: is not between 0 and 1"},
        {"\"low\": ", "\"lo\": ", "low: is missing"},
        {"\"limiting\": \"", "\"limiting\": \"x", "is not one of its values"},
        {"\"plan_id\": \"0badcafe\"", "\"plan_id\": \"0badcafe0badcafe\"", "longer than 11 bytes"},
        {"\"plan_id\": \"0badcafe\"", "\"plan_id\": \"\\u001b[2J\"", "cannot be printed"},
        {"\"goal\": \"days\"", "\"goal\": \"energy\"", "is `energy`, but `days` in the garden"},
        {"\"garden\": \"Test", "\"garden\": \"Other", "but `Test Ground` in the garden"},
        {"\"name\": \"Slope\"", "\"name\": \"Home\"", "plots[1].name: the garden's plot here is"},
        {"\"zone\": \"P1x-1\"", "\"zone\": \"P9x-1\"", "plots[0].blocks[0].zone: the plot has no"},
        {"\"block\": 1,", "\"block\": 7,", "is not the number of this block, 1"},
        {"\"lines\": 3", "\"lines\": 0", "plots[0].blocks[0].lines: is out of its limits"},
        {"\"lines\": 3", "\"lines\": 3.5", "plots[0].blocks[0].lines: is not a whole number"},
        {"\"lines\": 3", "\"lines\": 99999999999999999999", "no plan.json"},
        {"\"pitch_m\": ", "\"pitch_m\": -", "pitch_m: is not between 0.01 and 100"},
        {"\"pitch_m\": ", "\"pitch_m\": 1e999, \"p\": ", "no plan.json"},
        {"\"system\": \"hills\"", "\"system\": \"rings\"", "`rings` is not one of its values"},
        {"\"guild\": \"corn", "\"guild\": \"corm", "there is no guild"},
        {"\"variety\": \"Ember Ridge\"", "\"variety\": \"Ember\"",
         "no seed of `Ember`, flint corn"},
        {"\"crop\": \"flint corn\"", "\"crop\": \"potato\"", "no seed of `Ember Ridge`, potato"},
        {"\"role\": \"support\"", "\"role\": \"king\"", "parts[0].role: `king`"},
        {"\"per_station\": 4", "\"per_station\": 4000000", "per_station: is out of its limits"},
        {"\"along_x\": true", "\"along_x\": 1", "along_x: is not true or false"},
        {"\"x1_m\": ", "\"x1_m\": -9, \"x\": ", "zones[0]: the zone has no ground"},
        {"\"id\": \"1\"", "\"id\": \"1234567890123456\"", "stations[0].id: is longer than 15"},
        {"\"plot\": 1", "\"plot\": 2", "stations[0].plot: its block is in another plot"},
        {"\"plot\": 1", "\"plot\": 0", "stations[0].plot: is out of its limits"},
        {"\"line\": 1", "\"line\": 4", "stations[0].line: the block has no line 4"},
        {"{\"Ember Ridge\": 4", "{\"Ember\": 4", "stations[0].crops: names what does not grow"},
        {"{\"Ember Ridge\": 4", "{\"Ember Ridge\": -4", "stations[0].crops: `Ember Ridge` has no"},
        {"\"stations\": [", "\"stations\": {}, \"s\": [", "stations: is not a list"},
        {"\"stations\": [", "\"stations\": [[],", "has a member that is not an object"},
        {"\"garden_file\": {", "\"garden_file\": 3, \"g\": {", "garden_file: is not an object"},
        {"\"text\": \"garden: Test", "\"text\": \"gorden: Test", "cannot be used any more"},
        {"\"text\": \"garden: Test", "\"text\": \"garden: \\u0000", "no plan.json"},
        {"\"unit\": ", "\"goal\": ", "duplicate object key"},
    };
    struct plan_text p = plan_text_good("");
    const char *good = written(p.plan, p.t.arena);
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        struct diags *diags = diags_new();
        struct plan *plan;
        const char *bad = replaced(p.t.arena, good, faults[i].from, faults[i].to);
        hr_status status = read_text(&p, bad, strlen(bad), diags, &plan);
        cr_assert(status == HR_INPUT && !plan, "fault %zu: status %d", i, status);
        cr_assert(diag_find(diags, 0, 0, "plan-json") != NULL, "fault %zu: %s", i,
                  diags_words(diags));
        cr_assert(strstr(diags_words(diags), faults[i].words) != NULL, "fault %zu: no `%s` in\n%s",
                  i, faults[i].words, diags_words(diags));
        diags_free(diags);
    }
    plan_text_free(&p);
}

Test(plan_json, syntax_is_positioned)
{
    struct plan_text p = plan_text_good("");
    struct plan *plan;
    const char *bad = "{\n \"hillrow\": 1,\n \"plan_id\": oops\n}\n";
    cr_assert(read_text(&p, bad, strlen(bad), p.t.diags, &plan) == HR_INPUT);
    expect_diag(p.t.diags, 3, 0, "plan-json");
    plan_text_free(&p);
}

Test(plan_json, files_that_are_none)
{
    struct plan_text p = plan_text_good("");
    struct plan *plan = NULL;
    cr_assert(plan_json_read(p.t.arena, "/nowhere/plan.json", p.t.library, p.t.diags, &plan) ==
              HR_IO);
    cr_assert(plan_json_read(p.t.arena, "/tmp", p.t.library, p.t.diags, &plan) == HR_IO);
    static const char *const texts[] = {"",         "[]",   "null", "3",
                                        "\"plan\"", "\xff", "{}",   "{\"a\":1}"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        cr_assert(read_text(&p, texts[i], strlen(texts[i]), p.t.diags, &plan) == HR_INPUT, "%zu",
                  i);
    plan_text_free(&p);
}

/* Cut off anywhere, or with a byte changed anywhere, it is refused or still a plan; it never
 * crashes. */
Test(plan_json, damaged_bytes, .timeout = 240)
{
    struct plan_text p = plan_text_good("");
    const char *good = written(p.plan, p.t.arena);
    size_t n = strlen(good), accepted = 0;
    unsigned random = 20270501;
    for (size_t i = 0; i < 300; i++) {
        struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
        struct plan_text q = p;
        struct diags *diags = diags_new();
        struct plan *plan;
        char *bad = arena_strndup(arena, good, n);
        q.t.arena = arena;
        random = random * 1664525u + 1013904223u;
        size_t at = random % n, size = n;
        if (i % 3 == 0)
            size = at;
        else
            bad[at] = "0921{}[],:\"\\x-"[(random >> 8) % 14];
        hr_status status = read_text(&q, bad, size, diags, &plan);
        cr_assert(status == HR_OK || status == HR_INPUT, "%zu: %d", i, status);
        cr_assert(i % 3 != 0 || status == HR_INPUT || at >= n - 1, "cut off at %zu", at);
        if (status == HR_OK) {
            hr_status verdict = verify_plan(plan, arena, diags);
            cr_assert(verdict == HR_OK || verdict == HR_INPUT);
            accepted++;
        }
        diags_free(diags);
        arena_free(arena);
    }
    cr_assert(accepted > 5, "only %zu of the changed ones read", accepted);
    plan_text_free(&p);
}

/* Lists in lists would cost a hundred times their bytes: refused before they are built. */
Test(plan_json, hungry_files_are_refused, .timeout = 60)
{
    struct plan_text p = plan_text_good("");
    static const char *const pieces[] = {"[],", "{},", "1,", "[["};
    for (size_t i = 0; i < sizeof pieces / sizeof *pieces; i++) {
        struct strbuf text;
        struct plan *plan;
        strbuf_init(&text, p.t.arena);
        strbuf_puts(&text, "[");
        while (text.n < ((size_t)15 << 20))
            strbuf_puts(&text, pieces[i]);
        struct timespec a, b;
        clock_gettime(CLOCK_MONOTONIC, &a);
        cr_assert(read_text(&p, text.p, text.n, p.t.diags, &plan) == HR_INPUT);
        clock_gettime(CLOCK_MONOTONIC, &b);
        cr_assert(b.tv_sec - a.tv_sec < 5, "%s", pieces[i]);
    }
    plan_text_free(&p);
}

Test(plan_json, more_stations_than_can_be)
{
    struct plan_text p = plan_text_good("");
    struct plan *plan;
    const char *bad = written(p.plan, p.t.arena);
    bad = replaced(p.t.arena, bad, "\"lines\": 3", "\"lines\": 99999");
    bad = replaced(p.t.arena, bad, "\"pitch_m\": ", "\"pitch_m\": 0.01, \"p\": ");
    cr_assert(read_text(&p, bad, strlen(bad), p.t.diags, &plan) == HR_INPUT);
    cr_assert(strstr(diags_words(p.t.diags), "more than 1000000 stations"), "%s",
              diags_words(p.t.diags));
    plan_text_free(&p);
}

/* A changed station is kept as the file has it, told of, and found by the checks. */
Test(plan_json, tampering_shows)
{
    static const struct {
        const char *from, *to, *check;
    } tampers[] = {
        {"{\"Ember Ridge\": 4", "{\"Ember Ridge\": 9", "verify-plants"},
        {"\"id\": \"3\"", "\"id\": \"33\"", "verify-number"},
        {"\"plants\": ", "\"plants\": 9", "verify-crop"},
        {"\"value\": ", "\"value\": 9", "verify-value"},
        {"\"sown\": ", "\"sown\": 9", "verify-crop"},
        {"\"light\": 1.0", "\"light\": 0.5", "verify-light"},
        {"amount: 200 seeds", "amount: 10 seeds", "verify-seed"},
        {"border: 25 cm", "border: 50 cm", "verify-zone"},
        {"latitude: 42 deg\\n", "latitude: 42 deg\\n  sun: 50 %\\n", "verify-light"},
    };
    struct plan_text p = plan_text_good("");
    const char *good = written(p.plan, p.t.arena);
    for (size_t i = 0; i < sizeof tampers / sizeof *tampers; i++) {
        struct diags *diags = diags_new();
        struct plan *plan;
        const char *bad = replaced(p.t.arena, good, tampers[i].from, tampers[i].to);
        cr_assert(read_text(&p, bad, strlen(bad), diags, &plan) == HR_OK, "%zu: %s", i,
                  diags_words(diags));
        cr_assert(i > 1 || diags_warnings(diags) == 1, "%zu: the reader is told", i);
        cr_assert(verify_plan(plan, p.t.arena, diags) == HR_INPUT, "%zu", i);
        cr_assert(diag_find(diags, 0, 0, tampers[i].check) != NULL, "%zu: %s", i,
                  diags_words(diags));
        diags_free(diags);
    }
    plan_text_free(&p);
}

/* Stations that are gone, or stand in another order, are no stumbling block. */
Test(plan_json, stations_dropped_or_out_of_order)
{
    struct plan_text p = plan_text_good("");
    const char *good = written(p.plan, p.t.arena);
    const char *first = strstr(good, "{\"id\": \"1\""), *second = strstr(good, "{\"id\": \"2\"");
    const char *third = strstr(good, "{\"id\": \"3\"");
    cr_assert(first && second && third);
    const char *swapped =
        arena_printf(p.t.arena, "%.*s%.*s%.*s%s", (int)(first - good), good, (int)(third - second),
                     second, (int)(second - first), first, third);
    struct plan *plan = read_good(&p, swapped);
    cr_assert(verify_plan(plan, p.t.arena, p.t.diags) == HR_OK, "order in the file is no matter");
    const char *dropped = arena_printf(p.t.arena, "%.*s%s", (int)(second - good), good, third);
    plan = read_good(&p, dropped);
    cr_assert(plan->nstations == p.plan->nstations - 1 &&
              plan->lines[0].n == p.plan->lines[0].n - 1);
    cr_assert(verify_plan(plan, p.t.arena, p.t.diags) == HR_INPUT);
    expect_diag(p.t.diags, 0, 0, "verify-line");
    plan_text_free(&p);
}

Test(plan_json, out_of_memory_is_said, .timeout = 120)
{
    struct plan_text p = plan_text_good("");
    const char *text = written(p.plan, p.t.arena);
    char path[64];
    file_with(path, text, strlen(text));
    hr_status reading = HR_NOMEM, writing = HR_NOMEM;
    for (size_t cap = 1024; cap < ((size_t)1 << 28) && (reading || writing); cap *= 2) {
        struct arena *tight = arena_new(cap);
        struct plan *plan = NULL;
        const char *out = NULL;
        reading = plan_json_read(tight, path, p.t.library, p.t.diags, &plan);
        cr_assert(reading == HR_NOMEM || (reading == HR_OK && plan), "cap %zu: %d", cap, reading);
        arena_free(tight);
        tight = arena_new(cap);
        writing = plan_json_write(p.plan, tight, &out);
        cr_assert(writing == HR_NOMEM || (writing == HR_OK && out), "cap %zu: %d", cap, writing);
        arena_free(tight);
    }
    unlink(path);
    cr_assert(reading == HR_OK && writing == HR_OK);
    plan_text_free(&p);
}

/* ---- the page ---------------------------------------------------------------------------------
 */

static void keys_documented(const json_t *v, const char *page)
{
    const char *key;
    json_t *value, *object = json_incref((json_t *)(uintptr_t)v);
    size_t i;
    json_array_foreach(object, i, value) keys_documented(value, page);
    json_object_foreach(object, key, value)
    {
        char name[128];
        snprintf(name, sizeof name, "`%s`", key);
        bool range =
            strcmp(key, "low") == 0 || strcmp(key, "typical") == 0 || strcmp(key, "high") == 0;
        cr_assert(range || strstr(page, name) != NULL, "docs/plan-json.md has no %s", name);
        if (strcmp(key, "crops") != 0 || json_is_array(value)) /* not the names of varieties */
            keys_documented(value, page);
    }
    json_decref(object);
}

/* What the weighed foods come to, and the bound of the food itself, are read back; without it a
 * plan of weighed foods is none. */
Test(plan_json, weighed_foods)
{
    struct plan_text p = plan_text_good("wishes: [{crop: potato, weight: 150 %}]\n");
    const char *good = written(p.plan, p.t.arena);
    cr_assert(strstr(good, "\"unit\": \"person-days, foods weighed\"") != NULL);
    cr_assert(strstr(good, "\"weights\": [{\"what\": \"potato\", \"weight\": 1.5}]") != NULL);
    struct plan *plan = read_good(&p, good);
    cr_assert(near(plan->food_bound, p.plan->food_bound, 1e-9 * p.plan->food_bound));
    cr_assert(verify_plan(plan, p.t.arena, p.t.diags) == HR_OK, "%s", diags_words(p.t.diags));
    struct diags *diags = diags_new();
    const char *bad = replaced(p.t.arena, good, "\"food_bound\"", "\"food\"");
    cr_assert(read_text(&p, bad, strlen(bad), diags, &plan) == HR_INPUT);
    cr_assert(strstr(diags_words(diags), "weighed.food_bound: is missing") != NULL, "%s",
              diags_words(diags));
    diags_free(diags);
    plan_text_free(&p);
}

/* docs/plan-json.md names every key that is written. */
Test(plan_json, every_key_is_documented)
{
    struct plan_text p = plan_text_good("wishes: [{crop: potato, weight: 150 %, plot: Home}]\n");
    static char page[32768];
    FILE *f = fopen("docs/plan-json.md", "r");
    cr_assert_not_null(f);
    size_t n = fread(page, 1, sizeof page - 1, f);
    fclose(f);
    page[n] = '\0';
    struct left_out out = {.name = "melon", .why = "ripe too late"};
    p.plan->menu.left_out = &out;
    p.plan->menu.nleft_out = 1;
    json_t *root = json_loads(written(p.plan, p.t.arena), 0, NULL);
    cr_assert_not_null(root);
    keys_documented(root, page);
    json_decref(root);
    plan_text_free(&p);
}
