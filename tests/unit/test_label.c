/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "label.h"

static struct labels area(struct arena *arena)
{
    struct labels labels;
    labels_init(&labels, arena, (struct rect){10, 10, 110, 90});
    return labels;
}

Test(label, takes_and_sees)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct labels l = area(arena);
    cr_assert(labels_clear(&l, (struct rect){20, 20, 30, 24}), "nothing is taken yet");
    labels_take(&l, (struct rect){20, 20, 30, 24});
    cr_assert(!labels_clear(&l, (struct rect){29, 23, 40, 28}), "one overlaps");
    cr_assert(labels_clear(&l, (struct rect){30, 20, 40, 24}), "touching is no overlap");
    cr_assert(!labels_clear(&l, (struct rect){5, 20, 15, 24}), "outside the area");
    /* a box over many cells is seen from each of them */
    labels_take(&l, (struct rect){10, 50, 110, 52});
    for (double x = 10; x < 108; x += 3)
        cr_assert(!labels_clear(&l, (struct rect){x, 49, x + 2, 51}), "at %g", x);
    arena_free(arena);
}

Test(label, sees_what_a_line_crosses)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct labels l = area(arena);
    labels_take(&l, (struct rect){50, 20, 51, 40});
    cr_assert(!labels_line_clear(&l, (struct mm){30, 30}, (struct mm){70, 35}), "through it");
    cr_assert(labels_line_clear(&l, (struct mm){30, 30}, (struct mm){49, 35}), "up to it");
    cr_assert(labels_line_clear(&l, (struct mm){30, 45}, (struct mm){70, 45}), "past it");
    cr_assert(!labels_line_clear(&l, (struct mm){30, 45}, (struct mm){5, 45}), "off the area");
    arena_free(arena);
}

Test(label, search_finds_the_only_gap)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct labels l = area(arena);
    struct rect at = {0};
    labels_take(&l, (struct rect){10, 10, 60, 90});
    labels_take(&l, (struct rect){75, 10, 110, 90});
    cr_assert(labels_search(&l, l.area, 12, 5, &at), "there is a gap of 15");
    cr_assert(at.x0 >= 60 && at.x1 <= 75, "%g..%g", at.x0, at.x1);
    cr_assert(near(at.x1 - at.x0, 12, 1e-9) && near(at.y1 - at.y0, 5, 1e-9), "its size");
    cr_assert(!labels_search(&l, l.area, 16, 5, &at), "16 is too wide");
    arena_free(arena);
}

/* Least total square of moves, by trying all on a grid. */
static double best_by_trying(const double *p, int n, double gap, double lo, double hi)
{
    const double step = 0.25;
    double best = HUGE_VAL;
    if (n == 3)
        for (double a = lo; a <= hi; a += step)
            for (double b = a + gap; b <= hi; b += step)
                for (double c = b + gap; c <= hi; c += step) {
                    double cost =
                        (a - p[0]) * (a - p[0]) + (b - p[1]) * (b - p[1]) + (c - p[2]) * (c - p[2]);
                    best = cost < best ? cost : best;
                }
    return best;
}

Test(label, spread_keeps_gaps_and_moves_least)
{
    static const double cases[][3] = {{1, 5, 9},    {5, 5, 5}, {0, 0.5, 1},
                                      {9, 9.5, 10}, {2, 3, 9}, {1, 8, 8.5}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double p[3], cost = 0;
        memcpy(p, cases[i], sizeof p);
        cr_assert(labels_spread(p, 3, 2, 0, 10), "case %zu has room", i);
        for (int k = 0; k < 3; k++) {
            cr_assert(p[k] >= -1e-9 && p[k] <= 10 + 1e-9, "case %zu within", i);
            cr_assert(k == 0 || p[k] - p[k - 1] >= 2 - 1e-9, "case %zu apart", i);
            cost += (p[k] - cases[i][k]) * (p[k] - cases[i][k]);
        }
        double best = best_by_trying(cases[i], 3, 2, 0, 10);
        cr_assert(cost <= best + 1e-9, "case %zu: %g, tried %g", i, cost, best);
    }
    double p[3] = {1, 2, 3};
    cr_assert(!labels_spread(p, 3, 6, 0, 10), "no room for 3 at 6 in 10");
    cr_assert(p[0] == 1 && p[2] == 3, "left as they were");
    cr_assert(labels_spread(p, 0, 6, 0, 10), "none have room");
}
