/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <jansson.h>
#include <stdlib.h>
#include <locale.h>

#include "plan_text.h"
#include "report.h"

static const char *summary(struct plan_text *p)
{
    struct strbuf b;
    strbuf_init(&b, p->t.arena);
    report_summary(p->plan, &b);
    cr_assert(!b.failed);
    return b.p;
}

static const char *garden_summary(struct garden_text *t)
{
    struct strbuf b;
    strbuf_init(&b, t->arena);
    report_garden_summary(t->garden, NULL, &b);
    cr_assert(!b.failed);
    return b.p;
}

/* No line is wider than a terminal, and none ends in a blank. */
static void expect_narrow(const char *text)
{
    for (const char *line = text; *line;) {
        size_t n = strcspn(line, "\n");
        char copy[1024];
        snprintf(copy, sizeof copy, "%.*s", (int)n, line);
        cr_assert(n < sizeof copy && utf8_columns(copy) <= 80, "%zu columns: %s",
                  utf8_columns(copy), copy);
        cr_assert(n == 0 || copy[n - 1] != ' ', "blank at the end of: %s|", copy);
        line += n + (line[n] == '\n');
    }
}

#define HAS(text, words)     cr_assert(strstr((text), (words)) != NULL, "no `%s` in\n%s", words, text)
#define HAS_NOT(text, words) cr_assert(strstr((text), (words)) == NULL, "`%s` in\n%s", words, text)

/* ---- the plan ----------------------------------------------------------------------------------
 */

Test(report, summary_says_what_goes_where)
{
    struct plan_text p = plan_text_good("people: 3\nlimits:\n  hours: 200 h\n");
    const char *s = summary(&p);
    char words[128];
    HAS(s, "Test Ground, 2027: plan 0badcafe\n");
    HAS(s, "\nHome\n");
    HAS(s, "Lines run along x (compass 90 deg)");
    HAS(s, "Lines run along y (compass 30 deg)");
    HAS(s, "  b1   corn, bean and squash in hills");
    HAS(s, "hills 1 to ");
    snprintf(words, sizeof words, "in hills    3 x %d-%d", p.plan->lines[1].n, p.plan->lines[0].n);
    if (p.plan->lines[0].n != p.plan->lines[1].n)
        HAS(s, words);
    HAS(s, "in one line with b4");
    snprintf(words, sizeof words, "%d potato (Cellar Gold)",
             p.plan->lines[3].n + p.plan->lines[4].n);
    HAS(s, words);
    HAS(s, "of 200 at most");
    HAS(s, "for 3 people");
    HAS(s, "80 % range");
    HAS(s, "within 2.0 % of that");
    HAS(s, "costs 2.0 %");
    HAS(s, "Found in 0.2 s"); /* 0.25, half to even */
    HAS(s, "pieces\n");
    HAS(s, "get ");
    HAS_NOT(s, "Left out");
    HAS_NOT(s, "nan");
    expect_narrow(s);
    plan_text_free(&p);
}

/* The name of a variety is told whole, on a line of its own where it is long. */
Test(report, a_long_name_is_whole)
{
    const char *yaml = PLAN_TEXT_HEAD PLAN_TEXT_PLOTS
        "seed:\n  - {variety: Aunt Agatha's Everlasting Early, crop: potato}\n";
    struct plan_text p = plan_text_new(yaml);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 2);
    plan_text_finish(&p);
    const char *s = summary(&p);
    HAS(s, "\n  potato, Aunt Agatha's Everlasting Early\n");
    expect_narrow(s);
    plan_text_free(&p);
}

/* Numbers worked out by hand: 1 kg is 2.2046 lb, shown in steps of the typical one's second digit.
 */
Test(report, estimates_are_rounded_alike)
{
    struct plan_text p = plan_text_good("");
    p.t.garden->units.v = UNITS_US;
    p.plan->crops[0].kg = (struct span){2.26796, 4.53592, 9.97903};    /* 5, 10, 22 lb */
    p.plan->crops[1].kg = (struct span){0.141748, 0.311845, 0.396893}; /* 5, 11, 14 oz */
    p.plan->crops[2].kg = (struct span){41.2769, 61.6886, 102.512};    /* 91, 136, 226 lb */
    p.plan->person_days = (struct span){16.84, 24.04, 31.97};
    p.plan->energy_kcal = (struct span){41462, 60122, 82633};
    p.plan->hours = (struct span){0.82, 1.04, 1.66};
    const char *s = summary(&p);
    HAS(s, "10 lb (5 to 22) ");
    HAS(s, "11 oz (5 to 14) ");
    HAS(s, "140 lb (90 to 230) ");
    HAS(s, "24 days (17 to 32)");
    HAS(s, "60,000 kcal (41,000 to 83,000)");
    HAS(s, "1.0 hours (0.8 to 1.7)");
    expect_narrow(s);
    plan_text_free(&p);
}

Test(report, units_of_the_garden)
{
    struct plan_text p = plan_text_good("");
    p.t.garden->units.v = UNITS_US;
    const char *us = summary(&p);
    HAS(us, " sq ft");
    HAS(us, " lb (");
    HAS(us, " in)");
    HAS_NOT(us, " m2");
    HAS_NOT(us, " kg");
    p.t.garden->units.v = UNITS_METRIC;
    const char *metric = summary(&p);
    HAS(metric, " m2");
    HAS(metric, " kg (");
    HAS(metric, " cm");
    HAS_NOT(metric, " lb");
    HAS_NOT(metric, " ft");
    expect_narrow(us);
    expect_narrow(metric);
    plan_text_free(&p);
}

Test(report, what_is_not_proved_is_said)
{
    struct plan_text p = plan_text_good("");
    HAS_NOT(summary(&p), "--time-limit");
    p.plan->status = PLAN_FEASIBLE;
    HAS(summary(&p), "--time-limit");
    plan_text_free(&p);
}

Test(report, risks_are_said_once)
{
    struct plan_text p = plan_text_good("");
    struct planting *q = ARENA_NEW(p.t.arena, struct planting);
    for (int b = 0; b < 4; b += 3) { /* both blocks of potato */
        *q = *p.plan->blocks[b == 0 ? 1 : 3].planting;
        q->parts[0].season.fit = SEASON_AT_RISK;
        q->parts[0].season.reason = "ripe about October 3, five days late";
        p.plan->blocks[b == 0 ? 1 : 3].planting = q;
    }
    const char *s = summary(&p), *first = strstr(s, "five days late");
    HAS(s, "\nMind\n");
    cr_assert(first && !strstr(first + 1, "five days late"), "%s", s);
    plan_text_free(&p);
}

/* Three lines of four hills of corn are enough for the wind; one line of three spots is not, and
 * where there are more of these they are named together. Spinach is picked before it flowers. */
Test(report, lonely_wind_crops_are_minded)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS
                                       "seed:\n  - {variety: Ember Ridge, crop: flint corn}\n");
    plan_text_shared(&p, 0, "flint corn", 3);
    plan_text_finish(&p);
    HAS(summary(&p), "fewer than 4 lines and 16 plants");
    plan_text_free(&p);
    p = plan_text_good("");
    HAS_NOT(summary(&p), "fewer than 4 lines");
    plan_text_free(&p);
    p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS
                      "seed:\n  - {variety: Ember Ridge, crop: flint corn}\n"
                      "  - {variety: Crisp, crop: spinach}\n");
    plan_text_shared(&p, 0, "flint corn", 3);
    plan_text_shared(&p, 0, "spinach", 3);
    plan_text_shared(&p, 0, "flint corn", 3);
    plan_text_finish(&p);
    HAS(summary(&p), "\n  - b1, b3, flint corn (Ember Ridge): fewer than 4 lines");
    HAS_NOT(summary(&p), "spinach (Crisp): fewer");
    plan_text_free(&p);
}

Test(report, left_out_with_the_reason)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED
                                       "  - {variety: Redfeather, crop: grain amaranth}\n"
                                       "  - {variety: Sweet Moon, crop: melon, amount: 1 seeds}\n"
                                       "grow:\n  crops: [potato, summer squash, melon]\n");
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 2);
    plan_text_finish(&p);
    struct left_out *out = ARENA_ARRAY(p.t.arena, struct left_out, 1);
    out[0] = (struct left_out){.name = "climbing bean", .why = "ripe too late"};
    p.plan->menu.left_out = out;
    p.plan->menu.nleft_out = 1;
    const char *s = summary(&p);
    HAS(s, "\nLeft out\n");
    HAS(s, "- climbing bean: ripe too late.");
    HAS(s, "- melon (Sweet Moon): no seed is left");
    HAS(s, "not asked for on its own");
    HAS(s, "(Redfeather): not asked for on its own");
    HAS(s, "- summer squash (Porch Light): other plantings serve the goal better\n");
    HAS_NOT(s, "Wren's Speckled");
    HAS(s, "\nSlope\n  Nothing is planted here.\n");
    expect_narrow(s);
    plan_text_free(&p);
}

Test(report, nothing_planted)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    plan_text_finish(&p);
    const char *s = summary(&p);
    HAS(s, "Nothing is planted here.");
    HAS_NOT(s, "What it may give");
    HAS_NOT(s, "nan");
    expect_narrow(s);
    plan_text_free(&p);
}

/* Names as long as a garden file allows (120 characters), and wide ones. */
Test(report, long_and_wide_names_keep_the_width)
{
    char long_name[121], yaml[4096];
    memset(long_name, 'W', 120);
    long_name[120] = '\0';
    snprintf(yaml, sizeof yaml,
             "garden: %s\nunits: us\nyear: 2027\nsite:\n  latitude: 42 deg\n"
             "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"
             "plots:\n  - {name: %s, size: 20 ft x 25 ft, rows: along-x}\n"
             "  - {name: 北の畑, size: 20 ft x 25 ft, rows: along-x}\n"
             "seed:\n  - {variety: %s, crop: flint corn}\n  - {variety: %s, crop: climbing bean}\n"
             "  - {variety: かぼちゃ, crop: butternut squash, amount: 100 kg}\n",
             long_name, long_name, long_name, long_name);
    struct plan_text p = plan_text_new(yaml);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    plan_text_block(&p, 0, SYSTEM_ROW_GUILD, "corn, bean and squash", 2);
    plan_text_block(&p, 1, SYSTEM_ROWS, "flint corn", 3);
    plan_text_finish(&p);
    expect_narrow(summary(&p));
    HAS(summary(&p), "WWW...");
    HAS(summary(&p), "かぼちゃ");
    expect_narrow(garden_summary(&p.t));
    plan_text_free(&p);
}

Test(report, no_locale_gets_in)
{
    struct plan_text p = plan_text_good("");
    const char *before = summary(&p);
    if (!setlocale(LC_ALL, "de_DE.UTF-8"))
        cr_skip_test("no locale with a decimal comma here");
    const char *after = summary(&p);
    setlocale(LC_ALL, "C");
    cr_assert_str_eq(before, after);
    plan_text_free(&p);
}

Test(report, out_of_memory_is_sticky)
{
    struct plan_text p = plan_text_good("");
    bool whole = false;
    for (size_t cap = 512; cap < (1u << 22) && !whole; cap *= 2) {
        struct arena *tight = arena_new(cap);
        struct strbuf b;
        strbuf_init(&b, tight);
        report_summary(p.plan, &b);
        whole = !b.failed;
        arena_free(tight);
    }
    cr_assert(whole);
    plan_text_free(&p);
}

/* ---- the garden ----------------------------------------------------------------------------- */

Test(report, garden_is_summed_up)
{
    struct garden_text t = garden_text_read(
        PLAN_TEXT_HEAD
        "plots:\n  - {name: Home, size: 6 m x 9 m, border: 25 cm, bearing: -20 deg}\n"
        "  - name: Kite\n    outline: [[0 m, 0 m], [4 m, 0 m], [4 m, 3 m]]\n    rows: along-y\n"
        "    paths:\n      - {from: [0 m, 1 m], to: [4 m, 1 m], width: 30 cm}\n" PLAN_TEXT_SEED
        "grow:\n  guilds: []\n  systems: [rows]\ngoal: protein\n"
        "wishes:\n  - {crop: potato, at least: 9 kg, at most: 40 %}\n"
        "  - {variety: Porch Light, at most: 4 plants}\n"
        "limits:\n  hours: 90 h\n  share of energy: 60 %\n  share of area: 70 %\n");
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    const char *s = garden_summary(&t);
    HAS(s, "Test Ground, 2027\n");
    HAS(s, "42 deg north");
    HAS(s, "May 3 (early April 21, late May 15)");
    HAS(s, "160 days"); /* May 3 is day 123, October 10 day 283 */
    HAS(s, "54 m2, 6.00 m by 9.00 m; y runs to 340 deg");
    HAS(s, "6 m2 in 3 corners");
    HAS(s, "1 path");
    HAS(s, "potato, as many pieces as are needed");
    HAS(s, "34 seeds to sow"); /* 40 less 15 % */
    HAS(s, "the most usable protein");
    HAS(s, "guilds                  none");
    HAS(s, "at least 9 kg, at most 40 % of the food energy");
    HAS(s, "at most 4 plants");
    HAS(s, "at most 90 hours");
    HAS(s, "at most 70 %");
    expect_narrow(s);
    garden_text_free(&t);
}

Test(report, southern_garden)
{
    struct garden_text t =
        garden_text_read("garden: South\nyear: 2027\nsite:\n  latitude: -38 deg\n"
                         "  last frost: {median: Oct 20}\n  first frost: {median: Apr 15}\n"
                         "plots:\n  - {name: a, size: 6 m x 5 m}\n" PLAN_TEXT_SEED);
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    const char *s = garden_summary(&t);
    HAS(s, "38 deg south");
    HAS(s, "177 days"); /* day 293 to day 105 of the next year: 105 + 365 - 293 */
    garden_text_free(&t);
}

/* ---- JSON ----------------------------------------------------------------------------------- */

static json_t *parsed(const struct strbuf *b)
{
    json_error_t error;
    cr_assert(!b->failed);
    json_t *root = json_loads(b->p, JSON_REJECT_DUPLICATES, &error);
    cr_assert(root != NULL, "%s at line %d of\n%s", error.text, error.line, b->p);
    return root;
}

/* A member by a path such as "site/latitude/value"; numbers go into lists. */
static const json_t *at(const json_t *root, const char *path)
{
    char copy[128], *save = NULL;
    snprintf(copy, sizeof copy, "%s", path);
    for (char *part = strtok_r(copy, "/", &save); part && root; part = strtok_r(NULL, "/", &save))
        root = json_is_array(root) ? json_array_get(root, (size_t)atoi(part))
                                   : json_object_get(root, part);
    cr_assert(root != NULL, "nothing at %s", path);
    return root;
}

static double number_at(const json_t *root, const char *path)
{
    cr_assert(json_is_number(at(root, path)), "%s is no number", path);
    return json_number_value(at(root, path));
}

static void expect_string(const json_t *root, const char *path, const char *due)
{
    cr_assert(json_is_string(at(root, path)), "%s is no text", path);
    cr_assert_str_eq(json_string_value(at(root, path)), due);
}

Test(report, garden_as_json)
{
    struct garden_text t = garden_text_read(
        PLAN_TEXT_HEAD "plots:\n  - name: Kite\n    outline: [[0 m, 0 m], [4 m, 0 m], [4 m, 3 m]]\n"
                       "    obstacles:\n      - {place: [1 m, 1 m], radius: 20 cm, height: 2 m}\n"
                       "    edges:\n      - {side: 2, kind: path, gate: yes}\n" PLAN_TEXT_SEED
                       "wishes:\n  - {crop: potato, at least: 9 kg}\n"
                       "crops:\n  - crop: potato\n    yield: 3 kg/m2\n");
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    struct strbuf b;
    strbuf_init(&b, t.arena);
    report_garden_json(t.garden, &b);
    json_t *root = parsed(&b);
    expect_string(root, "garden", "Test Ground");
    cr_assert(json_is_integer(at(root, "year")) && number_at(root, "year") == 2027);
    cr_assert(near(number_at(root, "site/latitude/value"), 42, 1e-9));
    expect_string(root, "site/latitude/unit", "deg");
    expect_string(root, "site/last frost/late", "05-15");
    cr_assert(near(number_at(root, "plots/0/outline/2/1"), 3, 1e-12));
    cr_assert(near(number_at(root, "plots/0/border/value"), 0.1524, 1e-9), "the default, 6 in");
    cr_assert(near(number_at(root, "plots/0/obstacles/0/radius/value"), 0.2, 1e-12));
    expect_string(root, "plots/0/edges/0/kind", "path");
    cr_assert(json_is_true(at(root, "plots/0/edges/0/gate")));
    expect_string(root, "seed/2/amount/unit", "count");
    cr_assert(near(number_at(root, "seed/2/amount/value"), 200, 1e-9));
    cr_assert(json_object_get(at(root, "seed/3"), "amount") == NULL, "as much as is needed");
    expect_string(root, "wishes/0/at least/unit", "kg");
    expect_string(root, "goal", "days");
    cr_assert(near(number_at(root, "ration/energy/value"), 2500, 1e-9));
    expect_string(root, "crops/0/crop", "potato");
    cr_assert(near(number_at(root, "crops/0/yield/typical"), 3, 1e-9));
    expect_string(root, "crops/0/yield/source", "garden");
    json_decref(root);
    garden_text_free(&t);
}

Test(report, library_as_json)
{
    struct garden_text t = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    CALL(library_read(t.arena, "crops", t.diags, &t.library));
    struct strbuf b;
    strbuf_init(&b, t.arena);
    report_library_json(t.library, &b);
    json_t *root = parsed(&b);
    cr_assert(json_array_size(at(root, "crops")) == t.library->ncrops);
    cr_assert(json_array_size(at(root, "guilds")) == t.library->nguilds);
    cr_assert(json_array_size(at(root, "sources")) == t.library->nsources);
    for (size_t i = 0; i < t.library->ncrops; i++) {
        char path[64];
        snprintf(path, sizeof path, "crops/%zu/crop", i);
        expect_string(root, path, t.library->crops[i].name.s);
        snprintf(path, sizeof path, "crops/%zu/yield/typical", i);
        cr_assert(near(number_at(root, path), t.library->crops[i].yield_kg_m2.typ, 1e-9));
    }
    json_decref(root);
    garden_text_free(&t);
}

Test(report, crops_and_guilds_as_json)
{
    struct garden_text t = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    CALL(library_read(t.arena, "crops", t.diags, &t.library));
    for (size_t i = 0; i < t.library->ncrops; i++) {
        const struct crop *crop = &t.library->crops[i];
        struct strbuf b;
        strbuf_init(&b, t.arena);
        report_crop_json(t.library, crop, &b);
        json_t *root = parsed(&b);
        expect_string(root, "crop", crop->name.s);
        expect_string(root, "row/unit", "m");
        expect_string(root, "row/source", crop->row_m.source);
        cr_assert(
            near(number_at(root, "food/energy/typical"), crop->food.energy_kcal_kg.typ, 1e-6));
        cr_assert(json_array_size(at(root, "sources")) > 0, "%s has sources", crop->name.s);
        json_decref(root);
    }
    const struct guild *guild = library_guild(t.library, "corn, bean and squash");
    struct strbuf b;
    strbuf_init(&b, t.arena);
    report_guild_json(t.library, guild, &b);
    json_t *root = parsed(&b);
    expect_string(root, "guild", "corn, bean and squash");
    expect_string(root, "members/0/role", "support");
    expect_string(root, "members/1/crops/0", "climbing bean");
    cr_assert(near(number_at(root, "members/2/every"), 2, 1e-12));
    json_decref(root);
    garden_text_free(&t);
}

Test(report, diags_as_json)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct diags *diags = diags_new();
    const struct source *src;
    CALL(source_text(arena, "a \"b\".yaml", "one\ntwo \xc3\xa9 three\n", 17, &src));
    diag_error(diags, (struct pos){src, 11, 16}, "some-check", "a \"quoted\" \\ text");
    diag_note(diags, (struct pos){0}, "a note");
    diag_warning(diags, (struct pos){0}, "other-check", "w");
    struct strbuf b;
    strbuf_init(&b, arena);
    report_diags_json(diags, &b);
    json_t *root = parsed(&b);
    cr_assert(json_array_size(root) == 3);
    expect_string(root, "0/file", "a \"b\".yaml");
    cr_assert(number_at(root, "0/line") == 2 && number_at(root, "0/column") == 7);
    expect_string(root, "0/severity", "error");
    expect_string(root, "0/check", "some-check");
    expect_string(root, "0/text", "a \"quoted\" \\ text");
    cr_assert(json_is_null(at(root, "1/file")) && json_is_null(at(root, "1/line")));
    expect_string(root, "1/severity", "note");
    expect_string(root, "1/check", "");
    expect_string(root, "2/severity", "warning");
    json_decref(root);
    struct diags *none = diags_new();
    strbuf_init(&b, arena);
    report_diags_json(none, &b);
    root = parsed(&b);
    cr_assert(json_is_array(root) && json_array_size(root) == 0);
    json_decref(root);
    diags_free(none);
    diags_free(diags);
    arena_free(arena);
}
