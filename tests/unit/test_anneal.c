/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>
#include <string.h>

#include "anneal.h"
#include "menu_text.h"
#include "solver.h"

#define HEAD                                                                                       \
    "garden: test\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                         \
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"                                 \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"                                \
    "plots:\n"                                                                                     \
    "  - {name: A, size: 4.1 m x 2.9 m, rows: along-x, at: [0 m, 0 m]}\n"                          \
    "  - {name: B, size: 3.3 m x 3.7 m, rows: either, at: [6 m, 0 m]}\n"                           \
    "seed:\n  - {variety: Ear, crop: flint corn, amount: 200 seeds}\n"                             \
    "  - {variety: Pod, crop: bush bean}\n"                                                        \
    "  - {variety: Eye, crop: potato, amount: 8 kg}\n"

struct setting {
    struct made made;
    struct program m;
    struct solver_result relaxed;
    double *x;
};

static void setting_open(struct setting *s, const char *yaml)
{
    *s = (struct setting){.made = made_of(yaml)};
    struct arena *arena = s->made.text.arena;
    CALL(program_init(&s->m, s->made.text.garden, &s->made.zones, &s->made.menu, arena));
    CALL(program_build(&s->m));
    struct solver_options o = {.seconds = 60, .relaxed = true};
    CALL(solver_run(&s->m.mip, &o, &s->relaxed, NULL));
    s->x = ARENA_ARRAY(arena, double, (size_t)s->m.mip.ncolumns);
    cr_assert(s->relaxed.prices && s->x);
}

static bool run(struct setting *s, struct anneal_options o)
{
    bool found;
    o.prices = s->relaxed.prices;
    o.reference = s->relaxed.value;
    CALL(anneal(&s->m, &o, s->made.text.arena, s->x, &found));
    return found;
}

/* Each kind of row that ties zones together, and each kind of column. */
static const char *const gardens[] = {
    HEAD,
    HEAD "wishes: [{crop: potato, at least: 20 plants, at most: 30 plants}]\n",
    HEAD "wishes: [{crop: bush bean, at least: 20 %}, {crop: flint corn, at most: 4 m2}]\n",
    HEAD "limits: {share of area: 50 %, hours: 30 h, blocks: 3}\n",
    HEAD "  - {variety: Dent, crop: dent corn, save: yes}\nlimits: {share of energy: 60 %}\n",
    HEAD "grow: {second crops: yes}\nlimits: {hours a week: 5 h}\n",
    HEAD "  - {variety: Vine, crop: climbing bean}\n  - {variety: Gourd, crop: butternut squash}\n"
         "wishes: [{guild: \"corn, bean and squash\", at least: 3 plants}]\n",
};

/* GLPK on the whole program knows what is best. */
Test(anneal, keeps_all_rows_and_comes_near_the_optimum, .timeout = 120)
{
    for (size_t g = 0; g < sizeof gardens / sizeof *gardens; g++) {
        struct setting s;
        setting_open(&s, gardens[g]);
        struct solver_result whole = {0};
        struct solver_options o = {.seconds = 60, .gap = 0.005, .nodes = 2000};
        CALL(solver_run(&s.m.mip, &o, &whole, NULL));
        bool found = run(&s, (struct anneal_options){.steps = 200000, .heat = 0.03, .seed = 1});
        cr_assert(found, "no plan of garden %zu", g);
        double breach = mip_breach(&s.m.mip, s.x), value = mip_objective(&s.m.mip, s.x);
        cr_assert(breach <= 1e-6, "garden %zu: rows broken by %g", g, breach);
        cr_assert(value <= whole.bound * (1 + 1e-9), "garden %zu: %.6f above %.6f", g, value,
                  whole.bound);
        cr_assert(value >= 0.97 * whole.value, "garden %zu: %.6f, but there is %.6f", g, value,
                  whole.value);
        garden_text_free(&s.made.text);
    }
}

Test(anneal, the_same_seed_gives_the_same_plan)
{
    struct setting s;
    setting_open(&s, gardens[3]);
    struct anneal_options o = {.steps = 4096, .heat = 0.03, .seed = 7};
    size_t bytes = sizeof *s.x * (size_t)s.m.mip.ncolumns;
    double *first = ARENA_ARRAY(s.made.text.arena, double, (size_t)s.m.mip.ncolumns);
    cr_assert(run(&s, o));
    memcpy(first, s.x, bytes);
    cr_assert(run(&s, o));
    cr_assert_arr_eq(first, s.x, bytes);
    o.seed = 8;
    cr_assert(run(&s, o));
    cr_assert(memcmp(first, s.x, bytes) != 0, "another seed, yet the same plan");
    garden_text_free(&s.made.text);
}

/* A start is never made worse, even one that is searched near for a moment only. */
Test(anneal, begins_with_the_plan_it_is_given)
{
    struct setting s;
    setting_open(&s, gardens[4]);
    struct anneal_options o = {.steps = 60000, .heat = 0.03, .seed = 3};
    cr_assert(run(&s, o));
    double value = mip_objective(&s.m.mip, s.x);
    double *start = ARENA_ARRAY(s.made.text.arena, double, (size_t)s.m.mip.ncolumns);
    memcpy(start, s.x, sizeof *start * (size_t)s.m.mip.ncolumns);
    o = (struct anneal_options){.start = start, .steps = 2048, .heat = 1e-9, .seed = 4};
    cr_assert(run(&s, o));
    cr_assert(mip_objective(&s.m.mip, s.x) >= value * (1 - 1e-9));
    garden_text_free(&s.made.text);
}

static bool never(void *data)
{
    ++*(int *)data;
    return false;
}

Test(anneal, ends_when_it_is_told_to)
{
    struct setting s;
    int asked = 0;
    setting_open(&s, gardens[0]);
    struct anneal_options o = {.steps = 1000000, .heat = 0.03, .seed = 1, .go_on = never};
    o.data = &asked;
    cr_assert(!run(&s, o));
    cr_assert_eq(asked, 1);
    garden_text_free(&s.made.text);
}

Test(anneal, more_than_can_be_had_is_not_found)
{
    struct setting s;
    setting_open(&s, HEAD "wishes: [{crop: potato, at most: 5 plants}]\n");
    s.m.mip.rows[s.m.terms_row].upper = -1; /* no plan keeps that */
    cr_assert(!run(&s, (struct anneal_options){.steps = 20000, .heat = 0.03, .seed = 1}));
    garden_text_free(&s.made.text);
}
