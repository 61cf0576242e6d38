/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>

#include "fixture_plan.h"
#include "little_memory.h"
#include "plan_text.h"
#include "scene.h"
#include "sheet.h"
#include "work.h"

static struct sheet *sheet_of(struct fixture *f, int variant)
{
    struct sheet *sheet = NULL;
    *f = fixture_make(&fixture_specs[variant]);
    cr_assert(f->plan, "%s: %s", fixture_specs[variant].name, garden_text_diags(&f->text));
    CALL(sheet_make(f->text.arena, f->plan, &sheet));
    return sheet;
}

/* How often station s is on jobs of that kind that sow part k. */
static int times_on_sheet(const struct sheet *sheet, enum stage_kind kind, int s, int k)
{
    int n = 0;
    for (int i = 0; i < sheet->nstages; i++)
        for (const struct sheet_job *j = sheet->stages[i].jobs; j; j = j->next)
            for (int q = 0; q < j->nstations; q++)
                n += sheet->stages[i].kind == kind && j->part == k && j->stations[q] == s;
    return n;
}

static const struct sheet_stage *stage_find(const struct sheet *sheet, enum stage_kind kind,
                                            const char *word)
{
    for (int i = 0; i < sheet->nstages; i++)
        if (sheet->stages[i].kind == kind && strstr(sheet->stages[i].title, word))
            return &sheet->stages[i];
    return NULL;
}

Test(sheet, every_plant_is_sown_once)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        if (v == 5)
            continue; /* the field: thousands of stations say nothing new */
        struct fixture f;
        struct sheet *sheet = sheet_of(&f, v);
        for (int s = 0; s < f.plan->nstations; s++) {
            const struct station *st = &f.plan->stations[s];
            const struct planting *p = f.plan->blocks[st->block].planting;
            for (int k = 0; k < p->nparts; k++)
                cr_assert(times_on_sheet(sheet, STAGE_SOW, s, k) == (st->plants[k] > 0),
                          "%s: station %s, part %d", fixture_specs[v].name, st->id, k);
            cr_assert(times_on_sheet(sheet, STAGE_HILLS, s, -1) == (p->system == SYSTEM_HILLS),
                      "%s: hill %s is built once", fixture_specs[v].name, st->id);
        }
        fixture_free(&f);
    }
}

static bool on_map(const struct scene *scene, const struct fixture *f, int s)
{
    const struct station *st = &f->plan->stations[s];
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; i < scene->pages[p].n; i++) {
            const struct mark *m = &scene->pages[p].marks[i];
            if (m->station == s && (!strcmp(m->what, "hill") || !strcmp(m->what, "spot")))
                return true;
            if (m->line >= 0 && strcmp(m->what, "row") == 0) { /* ticks may stand for several */
                const struct line *line = &f->plan->lines[m->line];
                if (line->block == st->block && s >= line->first && s < line->first + line->n)
                    return true;
            }
        }
    return false;
}

Test(sheet, what_is_on_the_map_is_on_the_sheet_and_the_reverse)
{
    static const int few[] = {0, 1, 2, 3, 6};
    for (size_t q = 0; q < sizeof few / sizeof *few; q++) {
        struct fixture f;
        struct scene *scene;
        struct sheet *sheet = sheet_of(&f, few[q]);
        CALL(scene_map(f.text.arena, f.plan, PAPER_LETTER, &scene));
        for (int i = 0; i < sheet->nstages; i++)
            for (const struct sheet_job *j = sheet->stages[i].jobs; j; j = j->next)
                for (int n = 0; n < j->nstations; n++)
                    cr_assert(on_map(scene, &f, j->stations[n]), "station %s is on the map",
                              f.plan->stations[j->stations[n]].id);
        for (int p = 0; p < scene->npages; p++)
            for (int i = 0; i < scene->pages[p].n; i++) {
                const struct mark *m = &scene->pages[p].marks[i];
                if (m->station < 0 || (strcmp(m->what, "hill") && strcmp(m->what, "spot")))
                    continue;
                cr_assert(times_on_sheet(sheet, STAGE_SOW, m->station, 0) == 1,
                          "station %s is on the sheet", f.plan->stations[m->station].id);
            }
        fixture_free(&f);
    }
}

Test(sheet, seed_adds_up)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct sheet *sheet = sheet_of(&f, v);
        cr_assert(sheet->nseeds == f.plan->ncrops, "one line a variety");
        for (int c = 0; c < f.plan->ncrops; c++) {
            const struct sheet_seed *seed = &sheet->seeds[c];
            double sown = 0;
            int index = (int)(seed->seed - garden_seed(f.plan->garden, 0));
            for (int i = 0; i < sheet->nstages; i++)
                for (const struct sheet_job *j = sheet->stages[i].jobs; j; j = j->next)
                    sown += sheet->stages[i].kind == STAGE_SOW && sheet->stages[i].seed == index
                                ? j->seeds
                                : 0;
            cr_assert(near(sown, f.plan->crops[c].sown, 1e-9), "%s: %g of %g",
                      seed->seed->variety.s, sown, f.plan->crops[c].sown);
            cr_assert(near(seed->sow, ceil(sown - 1e-9), 1e-9), "in whole seeds");
            cr_assert(!isfinite(seed->in_hand) ||
                          near(seed->left, seed->in_hand - seed->reserve - seed->sow, 1e-9),
                      "what is left is what is not kept back and not sown");
        }
        fixture_free(&f);
    }
}

/* 8 oz of flint corn at 100 seeds to the ounce (common practice) are 800; 15 % are kept back. */
Test(sheet, seed_by_weight_is_counted)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    const struct sheet_seed *corn = &sheet->seeds[0];
    double share = f.plan->garden->limits.reserve.v;
    cr_assert(near(corn->in_hand, 800, 1), "%g seeds", corn->in_hand);
    cr_assert(near(corn->reserve, 800 * share, 1), "%g kept back", corn->reserve);
    cr_assert(corn->sow == 72, "12 hills of 6: %g", corn->sow);
    cr_assert(!isfinite(sheet->seeds[3].in_hand), "no amount of potatoes is named");
    fixture_free(&f);
}

Test(sheet, stages_are_in_order_and_dated_by_the_season)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct sheet *sheet = sheet_of(&f, v);
        for (int i = 0; i < sheet->nstages; i++) {
            const struct sheet_stage *s = &sheet->stages[i];
            cr_assert(i == 0 || s[-1].day <= s->day, "%s before %s", s[-1].title, s->title);
            cr_assert(s->jobs && *s->when && *s->title, "a stage has work and a time");
            for (const struct sheet_job *j = s->jobs; j; j = j->next)
                if (s->kind == STAGE_SOW)
                    cr_assert(f.plan->blocks[j->block].planting->parts[j->part].season.sow ==
                                  s->day,
                              "%s on its day", s->title);
        }
        fixture_free(&f);
    }
}

/* Beans wait for the corn, squash for the beans: published garden directions agree on both
 * triggers. */
Test(sheet, the_guild_is_sown_by_what_triggers_it)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    const struct sheet_stage *corn = stage_find(sheet, STAGE_SOW, "flint corn");
    const struct sheet_stage *bean = stage_find(sheet, STAGE_SOW, "climbing bean");
    const struct sheet_stage *squash = stage_find(sheet, STAGE_SOW, "butternut");
    cr_assert(corn && bean && squash, "all are sown");
    cr_assert(corn->day < bean->day && bean->day < squash->day, "in that order");
    cr_assert(strstr(corn->when, "May 21 (after the late last frost)"), "%s", corn->when);
    cr_assert(strstr(corn->when, "soil at least 50 F"), "%s", corn->when);
    cr_assert(strncmp(bean->when, "when the corn stands", 20) == 0, "%s", bean->when);
    cr_assert(strstr(squash->when, "after the beans"), "%s", squash->when);
    cr_assert(strstr(bean->note, "Weed"), "weed before the vines close the ground");
    cr_assert_str_eq(squash->jobs->where, "Plot 14, hills 2, 4, 5, 7, 10, 12");
    fixture_free(&f);
}

/* Amaranth is sown every few inches and thinned to its stand of 18 to 24 in (common practice). */
Test(sheet, what_is_sown_close_is_thinned)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    const struct sheet_stage *sow = stage_find(sheet, STAGE_SOW, "amaranth");
    const struct sheet_stage *thin = stage_find(sheet, STAGE_THIN, "amaranth");
    cr_assert(sow && strstr(sow->how, "8 seeds every 6.75 in"), "%s", sow ? sow->how : "");
    cr_assert(thin && strstr(thin->how, "one plant every 1 ft 8 in"), "%s", thin ? thin->how : "");
    cr_assert(thin->day > sow->day, "later");
    cr_assert(!stage_find(sheet, STAGE_THIN, "potato"), "one piece a spot: nothing to thin");
    const struct sheet_stage *corn = stage_find(sheet, STAGE_THIN, "flint corn");
    cr_assert(corn && strstr(corn->how, "strongest 4 of each hill"), "%s", corn ? corn->how : "");
    fixture_free(&f);
}

/* 7 CFR 205.203(c): raw manure not less than 120 days before harvest of what touches the soil. */
Test(sheet, manure_keeps_its_distance)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    int first = 10000;
    for (int b = 0; b < f.plan->nblocks; b++)
        for (int k = 0; k < f.plan->blocks[b].planting->nparts; k++) {
            int day = f.plan->blocks[b].planting->parts[k].season.harvest_low;
            first = day < first ? day : first;
        }
    char last[32], line[80];
    snprintf(line, sizeof line, "none after %s,", date_text(last, sizeof last, first - 120));
    bool said = false;
    for (const struct sheet_job *j = sheet->stages[0].jobs; j; j = j->next)
        said = said || strstr(j->where, line);
    cr_assert(sheet->stages[0].kind == STAGE_READY && said, "%s", line);
    fixture_free(&f);
}

Test(sheet, cautions_stand_once_each)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    for (int i = 0; i < sheet->ncautions; i++)
        for (int j = i + 1; j < sheet->ncautions; j++)
            cr_assert(strcmp(sheet->cautions[i], sheet->cautions[j]) != 0, "twice: %s",
                      sheet->cautions[i]);
    static const char *const words[] = {
        "raw or half cooked", "bitter",           "green, sprouted", "niacin", "lead",
        "205.203(c)",         "extension service"};
    for (size_t w = 0; w < sizeof words / sizeof *words; w++) {
        bool said = false;
        for (int i = 0; i < sheet->ncautions; i++)
            said = said || strstr(sheet->cautions[i], words[w]);
        cr_assert(said, "\"%s\" is not said", words[w]);
    }
    fixture_free(&f);
    sheet = sheet_of(&f, 6); /* potatoes alone */
    for (int i = 0; i < sheet->ncautions; i++)
        cr_assert(!strstr(sheet->cautions[i], "niacin"), "no corn, no niacin");
    fixture_free(&f);
}

/* Volume of mulch = area x depth: 324 sq ft at 3 in are 3 cu yd (published rule of thumb: a cubic
 * yard covers 324 sq ft an inch deep), 81 cu ft. */
Test(sheet, mulch_is_area_times_depth)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    const struct sheet_stage *mulch = stage_find(sheet, STAGE_MULCH, "Mulch");
    double area = 0;
    for (int b = 1; b < f.plan->nblocks; b++) /* block 1 has its own cover of squash */
        area += block_area(&f.plan->blocks[b]) / (FIXTURE_FT * FIXTURE_FT);
    const char *at = mulch ? strstr(mulch->how, "about ") : NULL;
    cr_assert(at, "there is mulch");
    double said = strtod(at + 6, NULL);
    cr_assert(near(said, area * 81 / 324, 0.05 * said), "%g cu ft for %g sq ft", said, area);
    fixture_free(&f);
}

/* The parts of the sum are worked out by work.c, the total by plan.c. */
Test(sheet, hours_of_the_stages_are_those_of_the_plan)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct food food;
        struct sheet *sheet = sheet_of(&f, v);
        double sum = 0;
        CALL(plan_totals(f.plan, &food));
        CALL(sheet_make(f.text.arena, f.plan, &sheet));
        for (int i = 0; i < sheet->nstages; i++) {
            const struct sheet_stage *s = &sheet->stages[i];
            sum += s->apart ? 0 : s->hours;
            cr_assert(s->hours > 0 || s->kind == STAGE_THIN || s->kind == STAGE_EARTH ||
                          s->kind == STAGE_HARVEST,
                      "%s takes time", s->title);
        }
        cr_assert(near(sum, f.plan->hours.typ, 1e-9 * (1 + sum)), "%s: %g of %g h",
                  fixture_specs[v].name, sum, f.plan->hours.typ);
        const char *words = sheet_hours(sheet);
        cr_assert(words && (f.plan->nblocks == 0 || strstr(words, " in all (")), "%s", words);
        fixture_free(&f);
    }
}

/* The week that a limit is about, in words. */
Test(sheet, the_fullest_week_is_named)
{
    struct fixture f;
    char day[32], words[96];
    struct sheet *sheet = sheet_of(&f, 0);
    struct work_week week = work_fullest(f.plan);
    snprintf(words, sizeof words, "The fullest week, from %s, takes %.1f h",
             date_text(day, sizeof day, week.from), week.hours);
    cr_assert(strstr(sheet_hours(sheet), words), "%s", sheet_hours(sheet));
    cr_assert(!strstr(sheet_hours(sheet), "there are"));
    f.text.garden->limits.week_hours = (struct qty){.v = 30, .set = true};
    cr_assert(strstr(sheet_hours(sheet), " h of the 30 h there are."), "%s", sheet_hours(sheet));
    fixture_free(&f);
}

/* Potatoes are hilled at about 8 in, corn when it is small (both common practice); beans not. */
Test(sheet, soil_is_drawn_up_where_it_helps)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    const struct sheet_stage *plant = stage_find(sheet, STAGE_SOW, "potato");
    const struct sheet_stage *up = stage_find(sheet, STAGE_EARTH, "potato");
    cr_assert(up && strstr(up->when, "stands 8 in tall"), "%s", up ? up->when : "never");
    cr_assert(up->day > plant->day + 14 && up->day < plant->day + 70, "day %d", up->day);
    cr_assert(up->jobs && up->jobs->nstations > 0 && up->jobs->seeds <= 0, "row by row");
    cr_assert(stage_find(sheet, STAGE_EARTH, "flint corn"), "corn, too");
    cr_assert(!stage_find(sheet, STAGE_EARTH, "bean"), "no beans");
    fixture_free(&f);
}

/* What is left to do when each crop is ripe: the stalks carry beans, the vines cover the ground. */
Test(sheet, harvests_are_numbered_and_spare_the_rest)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    int n = 0;
    for (int i = 0; i < sheet->nstages; i++) {
        char words[40];
        if (sheet->stages[i].kind != STAGE_HARVEST)
            continue;
        snprintf(words, sizeof words, "harvest %d of 7, ripe about ", ++n);
        cr_assert(strncmp(sheet->stages[i].when, words, strlen(words)) == 0, "%s",
                  sheet->stages[i].when);
    }
    cr_assert(n == 7, "seven crops: %d", n);
    cr_assert(strstr(stage_find(sheet, STAGE_HARVEST, "flint corn")->note, "stalks standing"),
              "the beans need them");
    fixture_free(&f);
}

/* Beans in the corn's hills ripen later than beans on stakes: each harvest says how much of all the
 * beans it is, and none where there is one. */
Test(sheet, a_harvest_says_its_share)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    struct sheet *sheet;
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    plan_text_block(&p, 0, SYSTEM_ROWS, "climbing bean", 2);
    plan_text_finish(&p);
    CALL(sheet_make(p.t.arena, p.plan, &sheet));
    int parts = 0;
    double share = 0;
    for (int i = 0; i < sheet->nstages; i++) {
        const struct sheet_stage *s = &sheet->stages[i];
        const char *some =
            s->kind == STAGE_HARVEST ? strstr(s->how, "in all, of which some ") : NULL;
        if (s->kind != STAGE_HARVEST || !strstr(s->title, "climbing bean")) {
            cr_assert(!some, "%s: %s", s->title, s->how);
            continue;
        }
        cr_assert(some, "%s", s->how);
        share += atof(some + strlen("in all, of which some "));
        parts++;
    }
    cr_assert(parts == 2 && near(share, 100, 1.1), "%d parts, %g %%", parts, share);
    plan_text_free(&p);
}

/* A second crop waits for the first, not for a frost of spring. */
Test(sheet, a_second_crop_follows_the_first)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    struct sheet *sheet;
    struct block *b = plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 2);
    plan_text_block(&p, 0, SYSTEM_ROWS, "summer squash", 1);
    plan_text_finish(&p);
    struct planting second = *b->planting;
    second.slot = SLOT_SECOND;
    b->planting = &second;
    CALL(sheet_make(p.t.arena, p.plan, &sheet));
    const char *when = stage_find(sheet, STAGE_SOW, "potato")->when;
    cr_assert(strstr(when, "(once its ground is free)") && !strstr(when, "frost"), "%s", when);
    when = stage_find(sheet, STAGE_SOW, "squash")->when;
    cr_assert(strstr(when, "frost") && !strstr(when, "first crop"), "%s", when);
    plan_text_free(&p);
}

/* 38 pieces with 15 % kept back are 45; at 2 oz each (common practice) 5.6 lb. */
Test(sheet, what_is_not_in_hand_is_to_be_bought)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    for (int i = 0; i < sheet->nseeds; i++) {
        const struct sheet_seed *s = &sheet->seeds[i];
        cr_assert(isfinite(s->in_hand) == (s->buy <= 0), "%s", s->seed->variety.s);
        cr_assert(isfinite(s->in_hand) || s->buy * 0.85 >= s->sow - 1e-9, "with the reserve");
    }
    cr_assert_str_eq(sheet_buy(sheet, &sheet->seeds[0]), "");
    cr_assert_str_eq(sheet_buy(sheet, &sheet->seeds[3]), "45 pieces (5.6 lb)");
    cr_assert(sheet->seeds[0].tested && near(sheet->seeds[0].germination, 0.9, 1e-9), "as given");
    cr_assert(!sheet->seeds[1].tested && near(sheet->seeds[1].germination, 0.7, 1e-9),
              "7 CFR 201.31: garden bean 70 %%");
    fixture_free(&f);
}

/* The first weeding follows the first sowing of the ground, on every block once. */
Test(sheet, every_block_is_weeded)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct sheet *sheet = sheet_of(&f, v);
        int *times = ARENA_ARRAY(f.text.arena, int, (size_t)f.plan->nblocks + 1);
        for (int i = 0; i < sheet->nstages; i++)
            for (const struct sheet_job *j = sheet->stages[i].jobs; j; j = j->next)
                if (sheet->stages[i].kind == STAGE_WEED) {
                    times[j->block]++;
                    cr_assert(sheet->stages[i].day >
                                  f.plan->blocks[j->block].planting->parts[0].season.sow,
                              "after sowing");
                }
        for (int b = 0; b < f.plan->nblocks; b++)
            cr_assert(times[b] == 1, "%s: block %d: %d times", fixture_specs[v].name, b, times[b]);
        fixture_free(&f);
    }
}

Test(sheet, ranges_read_well)
{
    static const struct {
        int n, v[8];
        const char *text;
    } rows[] = {{1, {4}, "4"},
                {2, {4, 5}, "4, 5"},
                {3, {4, 5, 6}, "4-6"},
                {6, {1, 2, 3, 5, 7, 8}, "1-3, 5, 7, 8"},
                {5, {2, 4, 6, 8, 10}, "2, 4, 6, 8, 10"},
                {0, {0}, ""}};
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_assert_str_eq(sheet_ranges(arena, rows[i].v, rows[i].n), rows[i].text, "row %zu", i);
    arena_free(arena);
}

static hr_status sheet_in(struct arena *arena, const void *plan, const void **made)
{
    struct sheet *sheet = NULL;
    hr_status status = sheet_make(arena, plan, &sheet);
    *made = sheet;
    return status;
}

Test(sheet, running_out_of_memory_is_told)
{
    struct fixture f = fixture_plan();
    little_memory(sheet_in, f.plan, 8);
    fixture_free(&f);
}

/* Straw would be in the way of the hoe (common practice: mulch potatoes after hilling them). */
Test(sheet, mulch_comes_after_hilling)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct sheet *sheet = sheet_of(&f, v);
        const struct sheet_stage *mulch = stage_find(sheet, STAGE_MULCH, "Mulch");
        const struct sheet_stage *up = stage_find(sheet, STAGE_EARTH, "potato");
        cr_assert(!mulch || !up || mulch->day > up->day + 14, "%s: mulch on day %d, hills on %d",
                  fixture_specs[v].name, mulch ? mulch->day : 0, up ? up->day : 0);
        fixture_free(&f);
    }
}

/* The job of making ready that names paths, of a garden whose plot says so of wood chips (-1:
 * nothing). */
static const char *paths_job(struct fixture *f, int chips)
{
    struct sheet *sheet = NULL;
    int v = 0;
    while (!strstr(fixture_specs[v].yaml, "paths:"))
        v++;
    *f = fixture_make(&fixture_specs[v]);
    if (chips >= 0)
        garden_plot(f->text.garden, 0)->chips = (struct flag){.v = chips > 0, .set = true};
    CALL(sheet_make(f->text.arena, f->plan, &sheet));
    for (int i = 0; i < sheet->nstages; i++)
        for (const struct sheet_job *j = sheet->stages[i].jobs; j; j = j->next)
            if (j->where && strstr(j->where, "paths"))
                return j->where;
    return "";
}

Test(sheet, paths_are_covered_by_the_rules)
{
    static const char *const words[] = {"wood chips on the paths, 3 in deep (2 in to 4 in), where",
                                        "straw on the paths, 3 in deep (2 in to 4 in): ",
                                        "wood chips on the paths, 3 in deep (2 in to 4 in): "};
    for (int chips = -1; chips <= 1; chips++) {
        struct fixture f;
        const char *said = paths_job(&f, chips);
        cr_assert(strstr(said, words[chips + 1]), "%d: %s", chips, said);
        fixture_free(&f);
    }
}

Test(sheet, mulch_is_what_the_gardener_lays)
{
    struct fixture f;
    struct sheet *sheet = sheet_of(&f, 0);
    const struct sheet_stage *mulch = stage_find(sheet, STAGE_MULCH, "Mulch");
    cr_assert(mulch && strstr(mulch->how, "straw or leaves, 3 in deep"), "%s", mulch->how);
    f.text.garden->mulch.beds = (struct choice){.v = MULCH_LEAVES, .set = true};
    CALL(sheet_make(f.text.arena, f.plan, &sheet));
    mulch = stage_find(sheet, STAGE_MULCH, "Mulch");
    cr_assert(mulch && strstr(mulch->how, "lay leaves, 3 in deep") &&
                  strstr(mulch->how, "wheelbarrows of 6 cu ft") && !strstr(mulch->how, "straw"),
              "%s", mulch->how);
    fixture_free(&f);
}

/* Spinach on bare ground waits for the frost, as a second crop for the first one. */
Test(sheet, says_what_the_day_of_sowing_comes_from)
{
    struct plan_text p =
        plan_text_new("garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
                      "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"
                      "plots:\n  - {name: A, size: 4 m x 5 m, rows: along-x}\n"
                      "seed:\n  - {variety: Leaf, crop: spinach}\n"
                      "  - {variety: Pod, crop: bush bean}\ngrow: {second crops: yes}\n");
    const struct planting *slots[SLOT_COUNT] = {NULL};
    for (int t = 0; t < p.plan->menu.nplantings; t++) {
        const struct planting *q = &p.plan->menu.plantings[t];
        if (strcmp(q->parts[0].crop->name.s, "spinach") == 0)
            slots[q->slot] = q;
    }
    cr_assert(slots[SLOT_WHOLE] && slots[SLOT_SECOND]);
    for (int k = 0; k < 2; k++) {
        struct sheet *sheet = NULL;
        p.plan->nblocks = 0;
        struct block *block = plan_text_block(&p, 0, SYSTEM_ROWS, "spinach", 1);
        block->planting = slots[k == 0 ? SLOT_WHOLE : SLOT_SECOND];
        plan_text_finish(&p);
        CALL(sheet_make(p.t.arena, p.plan, &sheet));
        const struct sheet_stage *sow = stage_find(sheet, STAGE_SOW, "spinach");
        cr_assert(sow && strstr(sow->when, k == 0 ? "before the median last frost"
                                                  : "once its ground is free"),
                  "%s", sow ? sow->when : "");
    }
    plan_text_free(&p);
}
