/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>
#include <stdio.h>

#include "crowding.h"
#include "dice.h"
#include "menu_text.h"
#include "solver.h"

#define SITE                                                                                       \
    "garden: test\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                         \
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"                                 \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
#define SEED                                                                                       \
    "seed:\n  - {variety: A, crop: flint corn, amount: 300 seeds}\n"                               \
    "  - {variety: B, crop: dent corn, amount: 300 seeds}\n"                                       \
    "  - {variety: C, crop: potato, amount: 8 kg}\n"                                               \
    "  - {variety: D, crop: kale}\n"
#define BED(name, x, rows)                                                                         \
    "  - {name: " name ", size: 3 m x 2 m, rows: " rows ", at: [" x " m, 0 m]}\n"

struct setting {
    struct made made;
    struct program m;
    struct crowding *crowding;
    bool on[32];
};

static void setting_open(struct setting *s, const char *yaml)
{
    *s = (struct setting){.made = made_of(yaml)};
    struct arena *arena = s->made.text.arena;
    CALL(program_init(&s->m, s->made.text.garden, &s->made.zones, &s->made.menu, arena));
    CALL(program_build(&s->m));
    CALL(crowding_new(&s->m, arena, &s->crowding));
    cr_assert(s->crowding && s->m.nterms <= 32);
    for (int t = 0; t < s->m.nterms; t++)
        s->on[t] = true;
}

static struct crowding_answer ask(struct setting *s, int side)
{
    struct crowding_answer a;
    CALL(crowding_ask(s->crowding, s->on, side, &a));
    return a;
}

/* Three crops and two beds of one block each; the relaxation would cut the blocks up. Three blocks
 * do, so with two in each bed there is room. */
Test(crowding, more_crops_than_blocks)
{
    struct setting s;
    setting_open(&s, SITE "plots:\n" BED("P", "0", "along-x") BED("Q", "5", "either") SEED
                 "limits: {blocks: 1}\nwishes:\n  - {crop: flint corn, at least: 4 plants}\n"
                 "  - {crop: potato, at least: 4 plants}\n  - {crop: kale, at least: 4 plants}\n");
    struct solver_options relaxed = {.seconds = 60, .relaxed = true};
    struct solver_result r;
    CALL(solver_run(&s.m.mip, &relaxed, &r, NULL));
    cr_assert(r.x, "the relaxation meets them");
    cr_assert(ask(&s, -1).impossible, "three crops in two blocks");
    int blocks = term_of(&s.m, TERM_BLOCKS, 0), kale = term_of(&s.m, TERM_AT_LEAST, 2);
    cr_assert(near(ask(&s, blocks).bound, 1, 1e-6), "one block more in a bed, not %g",
              ask(&s, blocks).bound);
    cr_assert(near(ask(&s, kale).bound, -4, 1e-6), "no kale at all, not %g", ask(&s, kale).bound);
    s.on[kale] = false;
    struct crowding_answer two = ask(&s, -1);
    cr_assert(!two.impossible && two.items && two.keeps[blocks] && !two.keeps[kale]);
    s.on[kale] = true;
    s.on[blocks] = false;
    cr_assert(!ask(&s, -1).impossible);
    garden_text_free(&s.made.text);
}

/* Corn whose seed is to come true, and another that it would cross with in any plot. */
Test(crowding, varieties_that_would_cross)
{
    struct setting s;
    setting_open(
        &s, SITE "plots:\n" BED("P", "0", "along-x") BED("Q", "5", "along-x")
                BED("R", "10", "along-x") "seed:\n"
                                          "  - {variety: A, crop: flint corn, save: yes}\n  - "
                                          "{variety: B, crop: dent corn}\n"
                                          "wishes:\n  - {crop: flint corn, at least: 4 plants}\n"
                                          "  - {crop: dent corn, at least: 4 plants}\n");
    int save = term_of(&s.m, TERM_SAVE, 0);
    cr_assert(ask(&s, -1).impossible);
    cr_assert(!crowding_has_side(s.crowding, save));
    s.on[save] = false;
    cr_assert(!ask(&s, -1).impossible);
    garden_text_free(&s.made.text);
}

/* The smallest part of a shared line is more than is allowed, though half of it would do. */
Test(crowding, a_part_is_never_smaller)
{
    struct setting s;
    setting_open(&s, SITE "plots:\n" BED("P", "0", "along-x") SEED
                 "wishes:\n  - {crop: kale, at least: 1 plants, at most: 1 plants}\n");
    int most = term_of(&s.m, TERM_AT_MOST, 0);
    cr_assert(ask(&s, -1).impossible);
    cr_assert(near(ask(&s, most).bound, 1, 1e-6), "two plants do, not %g", ask(&s, most).bound);
    garden_text_free(&s.made.text);
}

/* Whatever a plan meets is never said to be impossible, and no plan is beyond a bound. */
Test(crowding, never_against_a_plan, .timeout = 60)
{
    static const char *const crops[] = {"flint corn", "dent corn", "potato", "kale"};
    int plans = 0, impossible = 0;
    for (int k = 0; k < 16; k++) {
        struct setting s;
        char yaml[2000];
        int first = dice(0, 3), second = dice(0, 3);
        snprintf(yaml, sizeof yaml,
                 SITE "plots:\n  - {name: P, size: 2.%d m x 1.%d m, rows: %s}\n" SEED
                      "limits: {blocks: %d, hours: %d h}\nwishes:\n"
                      "  - {crop: %s, at least: %d plants}\n"
                      "  - {crop: %s, at most: %d plants, at least: %d plants}\n",
                 dice(0, 9), dice(0, 9), dice(0, 1) ? "either" : "along-x", dice(1, 2), dice(2, 12),
                 crops[first], dice(1, 12), crops[second], dice(3, 9), dice(1, 3));
        setting_open(&s, yaml);
        int hours = term_of(&s.m, TERM_HOURS, 0);
        double limit = s.made.text.garden->limits.hours.v;
        struct solver_options o = {.seconds = 60, .gap = 1e9, .nodes = 60};
        struct solver_result r = {0};
        CALL(solver_run(&s.m.mip, &o, &r, NULL));
        bool said = ask(&s, -1).impossible;
        double beyond = ask(&s, hours).bound;
        cr_assert(!(r.x && said), "garden %d has a plan:\n%s", k, yaml);
        plans += r.x != NULL;
        impossible += said;
        s.m.mip.rows[s.m.terms[hours].row].upper = HUGE_VAL;
        CALL(solver_run(&s.m.mip, &o, &r, NULL));
        double sum = 0;
        for (int e = 0; r.x && e < s.m.mip.nentries; e++)
            if (s.m.mip.entries[e].row == s.m.terms[hours].row)
                sum += s.m.mip.entries[e].value * r.x[s.m.mip.entries[e].column];
        cr_assert(!r.x || !(beyond > 0) || sum >= limit + beyond - 1e-6,
                  "garden %d: a plan of %g h, and the bound %g", k, sum, limit + beyond);
        garden_text_free(&s.made.text);
    }
    cr_assert(plans >= 3 && impossible >= 3, "%d plans, %d impossible", plans, impossible);
}
