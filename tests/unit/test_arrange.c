/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "arrange.h"
#include "garden_text.h"

/* Corn and bush bean side by side, 4 lines each, in a garden of the given latitude and bearing.
 * Rows run along x, so the blocks follow one another along y. */
struct two {
    struct garden_text text;
    struct zones zones;
    struct menu menu;
    struct arrangement arranged;
};

static struct two pair_of(const char *latitude, const char *bearing, const char *frosts)
{
    char yaml[2048];
    snprintf(yaml, sizeof yaml,
             "garden: pair\nunits: metric\nyear: 2027\nsite:\n  latitude: %s\n%s"
             "plots:\n  - {name: bed, size: 6 m x 9 m, rows: along-x, bearing: %s}\n"
             "seed:\n  - {variety: A, crop: flint corn, days: 90 days}\n"
             "  - {variety: B, crop: bush bean, days: 85 days}\n",
             latitude, frosts, bearing);
    struct two p = {.text = garden_text_read(yaml)};
    cr_assert(p.text.status == HR_OK, "%s", garden_text_diags(&p.text));
    CALL(zones_cut(p.text.garden, p.text.arena, p.text.diags, &p.zones));
    CALL(menu_make(p.text.garden, &p.zones, p.text.arena, p.text.diags, &p.menu));
    struct choice_lines chosen[2];
    int n = 0;
    for (int i = 0; i < p.menu.nitems && n < 2; i++) {
        const struct planting *t = &p.menu.plantings[p.menu.items[i].planting];
        if (n == 0 || t->parts[0].seed_index == 1)
            chosen[n++] = (struct choice_lines){i, 4, 0};
    }
    cr_assert(n == 2, "corn and bean are on the menu");
    struct allocation a = {.chosen = chosen, .n = 2};
    CALL(arrange(p.text.garden, &p.zones, &p.menu, &a, p.text.arena, &p.arranged));
    return p;
}

#define NORTH                                                                                      \
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"                                 \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
#define SOUTH                                                                                      \
    "  last frost: {early: Sep 1, median: Sep 15, late: Sep 30}\n"                                 \
    "  first frost: {early: May 1, median: May 15, late: May 30}\n"

/* Which crop stands nearer to y = 0. */
static const char *lower(const struct two *p)
{
    const struct block *first = &p->arranged.blocks[0];
    cr_assert(first->start_m < p->arranged.blocks[1].start_m, "blocks in order");
    return first->planting->parts[0].crop->name.s;
}

Test(arrange, tall_crops_stand_on_the_pole_side)
{
    struct two north = pair_of("42 deg", "0 deg", NORTH);
    cr_assert_str_eq(lower(&north), "bush bean", "42 N, y to the north: corn behind");
    struct two turned = pair_of("42 deg", "180 deg", NORTH);
    cr_assert_str_eq(lower(&turned), "flint corn", "42 N, y to the south: corn first");
    struct two south = pair_of("-34 deg", "0 deg", SOUTH);
    cr_assert_str_eq(lower(&south), "flint corn", "34 S, y to the north: corn first");
    garden_text_free(&north.text);
    garden_text_free(&turned.text);
    garden_text_free(&south.text);
}

/* Turning the plot half round turns the arrangement with it and changes no value. */
Test(arrange, turned_round_is_the_same)
{
    struct two a = pair_of("42 deg", "20 deg", NORTH), b = pair_of("42 deg", "200 deg", NORTH);
    cr_assert(near(a.arranged.value, b.arranged.value, 0.005 * a.arranged.value), "%g and %g",
              a.arranged.value, b.arranged.value);
    cr_assert(strcmp(lower(&a), lower(&b)) != 0, "the order turns with the plot");
    garden_text_free(&a.text);
    garden_text_free(&b.text);
}

Test(arrange, shade_takes_and_never_gives)
{
    struct two p = pair_of("42 deg", "0 deg", NORTH);
    for (int b = 0; b < p.arranged.n; b++) {
        double site = p.zones.items[p.arranged.blocks[b].zone].light;
        double light = p.arranged.blocks[b].light[0];
        cr_assert(light > 0.3 * site && light <= site + 1e-12, "block %d: light %g of %g", b, light,
                  site);
    }
    const struct block *first = &p.arranged.blocks[0], *second = &p.arranged.blocks[1];
    cr_assert(near(second->start_m, first->start_m + first->depth_m, 1e-12), "blocks touch");
    garden_text_free(&p.text);
}
