/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "haul.h"

#define FT 0.3048

/* Green Mountain Compost: half an inch on 100 sq ft is 4 bags of 40 lb, or 30 gal. Ours is the
 * exact volume, 4.17 cu ft (31 gal), in whole bags. A cubic yard covers 108 sq ft 3 in deep
 * (published rule of thumb); a straw bale 80 to 100 sq ft at 3 in (common practice). */
Test(haul, loads_agree_with_published_rules)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    double area = 100 * FT * FT, compost = area * haul_depth_m(HAUL_COMPOST, UNITS_US);
    cr_assert(near(compost / 0.003785411784, 31.2, 0.1), "%g gal", compost / 0.003785411784);
    cr_assert_str_eq(
        haul_words(arena, HAUL_COMPOST, compost, UNITS_US),
        "4.2 cu ft (2.1 to 8.3): 1 wheelbarrow of 6 cu ft (1 to 2), or 5 bags of 40 lb (3 "
        "to 9)");
    double chips = 108 * FT * FT * haul_depth_m(HAUL_CHIPS, UNITS_US);
    cr_assert(near(chips, 0.764554857984, 1e-9), "a cubic yard: %g m3", chips);
    cr_assert(haul_loads(HAUL_CHIPS, chips, UNITS_US) == 5, "27 cu ft in barrows of 6");
    for (double sq_ft = 80; sq_ft <= 100; sq_ft += 20) {
        double straw = sq_ft * FT * FT * haul_depth_m(HAUL_STRAW, UNITS_US);
        cr_assert(near(straw / (90 * 0.25 * FT * FT * FT), 1, 0.12), "about a bale");
    }
    arena_free(arena);
}

/* litres = square metres x centimetres x 10, exactly */
Test(haul, metric_loads)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    double compost = 20 * haul_depth_m(HAUL_COMPOST, UNITS_METRIC);
    cr_assert(near(1000 * compost, 20 * 1 * 10, 1e-9), "%g l", 1000 * compost);
    cr_assert_str_eq(
        haul_words(arena, HAUL_COMPOST, compost, UNITS_METRIC),
        "200 l (100 to 500): 3 wheelbarrows of 85 l (2 to 6), or 5 bags of 40 l (3 to 13)");
    cr_assert_str_eq(haul_words(arena, HAUL_STRAW, 0.64, UNITS_METRIC),
                     "640 l (400 to 800): 1 bale (1 to 2)");
    cr_assert(haul_loads(HAUL_STRAW, 1e30, UNITS_METRIC) > 0, "no overflow");
    arena_free(arena);
}

/* A cubic yard covers 324 sq ft an inch deep, so 162, 108 and 81 sq ft at 2, 3 and 4 in (published
 * table of a landscaper; exactly 27 cu ft times 12 in). */
Test(haul, a_cubic_yard_covers_324_sq_ft_an_inch)
{
    static const double sq_ft[] = {162, 108, 81};
    static const enum haul kinds[] = {HAUL_STRAW, HAUL_LEAVES, HAUL_CHIPS};
    for (size_t k = 0; k < 3; k++)
        for (size_t i = 0; i < 3; i++)
            cr_assert(near(haul_depths_m(kinds[k], UNITS_US)[i] * sq_ft[i] * FT * FT,
                           27 * FT * FT * FT, 1e-9));
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    cr_assert_str_eq(haul_words(arena, HAUL_LEAVES, 27 * FT * FT * FT, UNITS_US),
                     "27 cu ft (18 to 36): 5 wheelbarrows of 6 cu ft (3 to 6)");
    arena_free(arena);
}

/* What a path is covered with: the rule of its plot goes before the habit, the gardener's word
 * before both (a contradiction of the two is [chips-banned]). */
Test(haul, a_rule_keeps_wood_chips_off)
{
    struct garden g = {0};
    struct plot plot = {0};
    cr_assert(haul_paths(&g, &plot) == HAUL_CHIPS && haul_beds(&g) == HAUL_STRAW);
    plot.chips = (struct flag){.v = false, .set = true};
    cr_assert(haul_paths(&g, &plot) == HAUL_STRAW);
    plot.chips.v = true;
    cr_assert(haul_paths(&g, &plot) == HAUL_CHIPS);
    g.mulch.paths = g.mulch.beds = (struct choice){.v = MULCH_LEAVES, .set = true};
    cr_assert(haul_paths(&g, &plot) == HAUL_LEAVES && haul_beds(&g) == HAUL_LEAVES);
}
