/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "height.h"

/* A plot of 6 by 10 m with one rule, along its top side (3). */
struct ruled {
    struct arena *arena;
    struct edge edge;
    struct plot plot;
    struct zone items[ZONES_MAX];
    struct zones zones;
};

static void ruled_init(struct ruled *r, double tallest, double within)
{
    *r = (struct ruled){.arena = arena_new(ARENA_CAP_DEFAULT)};
    r->edge = (struct edge){.side = {.v = 3, .set = true},
                            .tallest_m = {.v = tallest, .set = true},
                            .within_m = {.v = within, .set = within > 0}};
    r->plot =
        (struct plot){.size = {.x = 6, .y = 10}, .edges = {.items = &r->edge, .n = 1, .set = true}};
    r->items[0] =
        (struct zone){.along_x = true, .r = {0.2, 0.2, 5.8, 9.8}, .length_m = 5.6, .depth_m = 9.6};
    r->zones = (struct zones){.items = r->items, .n = 1};
}

Test(height, zone_is_cut_at_the_rule)
{
    struct ruled r;
    ruled_init(&r, 1.2, 2);
    CALL(height_cut(&r.plot, &r.zones, 0, r.arena));
    cr_assert_eq(r.zones.n, 2);
    cr_expect(near(r.items[0].r.y1, 8, 1e-8) && near(r.items[0].depth_m, 7.8, 1e-8));
    cr_expect(near(r.items[0].tallest_m, 0, 0), "two metres off anything may grow");
    cr_expect(near(r.items[1].r.y0, 8, 1e-8) && near(r.items[1].depth_m, 1.8, 1e-8));
    cr_expect(near(r.items[1].tallest_m, 1.2, 0));
    cr_expect(near(r.items[1].length_m, 5.6, 1e-9));
    arena_free(r.arena);
}

Test(height, rows_across_the_rule_are_cut_short)
{
    struct ruled r;
    ruled_init(&r, 1.2, 2);
    r.items[0].along_x = false;
    CALL(height_cut(&r.plot, &r.zones, 0, r.arena));
    cr_assert_eq(r.zones.n, 2);
    cr_expect(near(r.items[0].length_m, 7.8, 1e-8) && near(r.items[0].depth_m, 5.6, 1e-8));
    arena_free(r.arena);
}

Test(height, whole_zone_or_none)
{
    struct ruled r;
    ruled_init(&r, 1.2, 0); /* no `within`: everywhere */
    CALL(height_cut(&r.plot, &r.zones, 0, r.arena));
    cr_assert_eq(r.zones.n, 1);
    cr_expect(near(r.items[0].tallest_m, 1.2, 0));
    arena_free(r.arena);

    ruled_init(&r, 1.2, 0.2); /* ends where the border does */
    CALL(height_cut(&r.plot, &r.zones, 0, r.arena));
    cr_assert_eq(r.zones.n, 1);
    cr_expect(near(r.items[0].tallest_m, 0, 0) && near(r.items[0].depth_m, 9.6, 0));
    arena_free(r.arena);

    ruled_init(&r, 1.2, 9.6); /* what is left beyond is too shallow: it goes with the rest */
    CALL(height_cut(&r.plot, &r.zones, 0, r.arena));
    cr_assert_eq(r.zones.n, 1);
    cr_expect(near(r.items[0].tallest_m, 1.2, 0) && near(r.items[0].depth_m, 9.6, 0));
    arena_free(r.arena);

    ruled_init(&r, 1.2, 0.4); /* the strip under the rule is too shallow: it stays free */
    CALL(height_cut(&r.plot, &r.zones, 0, r.arena));
    cr_assert_eq(r.zones.n, 1);
    cr_expect(near(r.items[0].tallest_m, 0, 0) && near(r.items[0].r.y1, 9.6, 1e-8));
    arena_free(r.arena);
}

/* The side slants from (6, 8) to (0, 10): 2 m off it, at right angles, no part of the far zone. */
Test(height, slanting_side)
{
    static struct point p[] = {
        {.x = 0, .y = 0}, {.x = 6, .y = 0}, {.x = 6, .y = 8}, {.x = 0, .y = 10}};
    struct ruled r;
    ruled_init(&r, 1.2, 2);
    r.plot.outline = (struct list){.items = p, .n = 4, .set = true};
    r.items[0].r.x1 = 5;
    r.items[0].r.y1 = 8;
    r.items[0].length_m = 4.8;
    r.items[0].depth_m = 7.8;
    CALL(height_cut(&r.plot, &r.zones, 0, r.arena));
    cr_assert_eq(r.zones.n, 2);
    double x = r.items[0].r.x1, y = r.items[0].r.y1; /* its corner nearest to the side */
    double off = (6 * (10 - y) - 2 * x) / sqrt(40);  /* from the line 2 x + 6 y = 60 */
    cr_expect(near(off, 2, 1e-8), "%g", off);
    cr_expect(near(r.items[1].tallest_m, 1.2, 0));
    arena_free(r.arena);
}
