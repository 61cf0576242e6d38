/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "reach.h"

static const struct point bed[] = {
    {.x = 0, .y = 0}, {.x = 6, .y = 0}, {.x = 6, .y = 2}, {.x = 0, .y = 2}};

/* A bed of 6 by 2 m: half of its width from both sides, all of it from one. */
Test(reach, from_sides_and_paths)
{
    struct rect all = {0, 0, 6, 2};
    struct plot plot = {.name = {.s = "Bed"}};
    double open = reach_needed(&plot, bed, 4, all);
    cr_expect(near(open, 1, 1e-9), "half of its width: %g", open);

    struct edge edges[] = {{.side = {.v = 1}, .kind = {.v = EDGE_PATH}},
                           {.side = {.v = 2}, .kind = {.v = EDGE_NEIGHBOUR}},
                           {.side = {.v = 3}, .kind = {.v = EDGE_FENCE}},
                           {.side = {.v = 4}, .kind = {.v = EDGE_WALL}, .gate = {.v = true}}};
    plot.edges = (struct list){.items = edges, .n = 4, .set = true};
    cr_expect(near(reach_needed(&plot, bed, 4, all), 2, 1e-9), "the far side");

    struct path middle = {.from = {.x = 3, .y = 0}, .to = {.x = 3, .y = 2}, .width_m = {.v = 1}};
    plot.paths = (struct list){.items = &middle, .n = 1, .set = true};
    cr_expect(near(reach_needed(&plot, bed, 4, (struct rect){3.5, 0, 4.5, 2}), 1, 1e-9),
              "a metre from the path's edge");

    edges[0].kind.v = EDGE_HEDGE;
    plot.paths.n = 0;
    cr_expect(isinf(reach_needed(&plot, bed, 4, all)), "there is nowhere to stand");
}

Test(reach, warning_where_it_falls_short)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct diags *diags = diags_new();
    struct point size = {.x = 6, .y = 2};
    struct plot plot = {.name = {.s = "Bed"}, .size = size, .reach_m = {.v = 0.6, .set = true}};
    struct garden garden = {.units = {.v = 1}, .plots = {.items = &plot, .n = 1, .set = true}};
    struct zone zone = {.r = {0, 0, 6, 2}, .length_m = 6, .depth_m = 2};
    struct zones zones = {.items = &zone, .n = 1};
    reach_check(&garden, &zones, arena, diags);
    cr_expect_eq(diags_warnings(diags), 1);
    cr_expect(strcmp(diags_at(diags, 0)->check, "out-of-reach") == 0);
    cr_expect_eq(diags_at(diags, 1), NULL, "no crop is picked again and again");
    plot.reach_m.v = 1;
    reach_check(&garden, &zones, arena, diags);
    cr_expect_eq(diags_warnings(diags), 1, "from both sides it is enough");
    plot.reach_m.set = false;
    zone.r.y1 = 20;
    reach_check(&garden, &zones, arena, diags);
    cr_expect_eq(diags_warnings(diags), 1, "one walks between the rows");
    diags_free(diags);
    arena_free(arena);
}

Test(reach, what_is_picked_often_is_named)
{
    struct garden_text t = garden_text_read(
        "garden: x\nyear: 2027\nsite:\n  latitude: 42 deg\n  last frost: {median: May 3}\n"
        "  first frost: {median: Oct 10}\nplots:\n"
        "  - {name: Bed, size: 6 m x 2 m, reach: 60 cm, border: 0 m}\n"
        "seed:\n  - {variety: Early, crop: tomato}\n  - {variety: Late, crop: potato}\n"
        "  - {variety: Green, crop: climbing bean, harvest: fresh}\n");
    struct zones zones;
    cr_assert(t.status == HR_OK);
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    reach_check(t.garden, &zones, t.arena, t.diags);
    cr_assert(strstr(garden_text_diags(&t), "keep it within reach there: Early, Green\n"), "%s",
              garden_text_diags(&t));
    garden_text_free(&t);
}
