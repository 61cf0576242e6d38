/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "menu.h"
#include "spill.h"

/* A plot of 6 by 4 m with a border of 0.2 m; a path with overhang along its right side (2). */
static struct edge path = {.side = {.v = 2}, .kind = {.v = EDGE_PATH}, .overhang = {.v = true}};
static const struct point square[] = {
    {.x = 0, .y = 0}, {.x = 6, .y = 0}, {.x = 6, .y = 4}, {.x = 0, .y = 4}};

static struct zone found(const struct point *corners, size_t n, struct rect r, bool along_x)
{
    struct plot plot = {.border_m = {.v = 0.2}, .edges = {.items = &path, .n = 1}};
    struct zone zone = {.along_x = along_x, .r = r};
    spill_find(&plot, corners, n, &zone);
    return zone;
}

Test(spill, over_the_border_and_the_path)
{
    struct zone z = found(square, 4, (struct rect){0.2, 0.2, 5.8, 3.8}, true);
    cr_expect(near(z.spill_m[0], 0, 0) && near(z.spill_m[1], 0.8, 1e-9), "%g", z.spill_m[1]);
    z = found(square, 4, (struct rect){0.2, 0.2, 5.8, 3.8}, false);
    cr_expect(near(z.spill_m[0], 0, 0) && near(z.spill_m[1], 0, 0), "rows end elsewhere");
    z = found(square, 4, (struct rect){0.2, 0.2, 4.8, 3.8}, true);
    cr_expect(near(z.spill_m[1], 0, 0), "a fixed path or an obstacle lies between");
}

/* The right side slants from (6, 0) to (5, 4): rows end at the staircase. */
Test(spill, slanting_side)
{
    const struct point p[] = {
        {.x = 0, .y = 0}, {.x = 6, .y = 0}, {.x = 5, .y = 4}, {.x = 0, .y = 4}};
    double end = 5.5 - 0.2 * sqrt(17) / 4; /* 0.2 m off the side at y = 2 */
    struct zone z = found(p, 4, (struct rect){0.2, 1, end, 2}, true);
    cr_expect(near(z.spill_m[1], 5.5 - end + 0.6, 1e-5), "%g", z.spill_m[1]);
}

/* Two sides at the end of the rows, one of them without overhang: nowhere is the whole end free. */
Test(spill, only_where_the_whole_end_may)
{
    const struct point p[] = {
        {.x = 0, .y = 0}, {.x = 6, .y = 0}, {.x = 6, .y = 2}, {.x = 6, .y = 4}, {.x = 0, .y = 4}};
    struct zone z = found(p, 5, (struct rect){0.2, 0.2, 5.8, 3.8}, true);
    cr_expect(near(z.spill_m[1], 0, 0));
    z = found(p, 5, (struct rect){0.2, 0.2, 5.8, 1.8}, true);
    cr_expect(near(z.spill_m[1], 0.8, 1e-9));
}

/* Vines' lines are longer by half a pitch less their hill; those of corn alone are not. */
Test(spill, widens_lines_of_vines_alone)
{
    struct garden_text t = garden_text_read(
        "garden: A\nyear: 2027\nsite:\n  latitude: 42 deg\n  last frost: {median: May 3}\n"
        "  first frost: {median: Oct 10}\nplots:\n  - name: A\n    size: 6 m x 4 m\n"
        "    rows: along-x\n    edges:\n      - {side: 2, kind: path, overhang: yes}\nseed:\n"
        "  - {variety: A, crop: flint corn}\n  - {variety: B, crop: climbing bean}\n"
        "  - {variety: C, crop: butternut squash}\n");
    struct zones zones;
    struct menu menu;
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    CALL(menu_make(t.garden, &zones, t.arena, t.diags, &menu));
    cr_assert_eq(zones.n, 1);
    const struct zone *zone = &zones.items[0];
    int longer = 0;
    for (int i = 0; i < menu.nitems; i++) {
        const struct item *item = &menu.items[i];
        const struct planting *p = &menu.plantings[item->planting];
        double over = item->length_m - zone->length_m;
        bool vines = false;
        for (int k = 0; k < p->nparts; k++)
            vines |= strcmp(p->parts[k].crop->name.s, "butternut squash") == 0;
        cr_expect(vines ? over > 0 : near(over, 0, 1e-9), "%s: %g", p->id, over);
        cr_expect(over <= zone->spill_m[1] + 1e-9 && near(item->along_m, 0, 0));
        if (vines && item->stations[0] > planting_stations(p, zone->length_m, 0))
            longer++;
        for (int kind = 0; kind < 2;
             kind++) /* stems: the last station and its hill on the ground */
            if (item->stations[kind] > 0)
                cr_expect(planting_station_at(p, kind, item->stations[kind] - 1) +
                                  p->hill_diameter_m / 2 <=
                              zone->length_m + 1e-6,
                          "%s", p->id);
    }
    cr_expect(longer > 0);
    garden_text_free(&t);
}
