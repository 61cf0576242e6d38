/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "allocate.h"
#include "arrange.h"
#include "garden_text.h"

struct setting {
    struct garden_text text;
    struct zones zones;
    struct menu menu;
};

static struct setting setting_of(const char *latitude, const char *plot)
{
    char yaml[2048];
    bool south = latitude[0] == '-';
    snprintf(yaml, sizeof yaml,
             "garden: g\nunits: metric\nyear: 2027\nsite:\n  latitude: %s\n%splots:\n  - %s\n"
             "seed:\n  - {variety: A, crop: flint corn, days: 90 days}\n"
             "  - {variety: B, crop: bush bean, days: 85 days}\n  - {variety: C, crop: potato}\n"
             "limits:\n  share of energy: 60 %%\n",
             latitude,
             south ? "  last frost: {median: Nov 7}\n  first frost: {median: Apr 6}\n"
                   : "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\n",
             plot);
    struct setting s = {.text = garden_text_read(yaml)};
    cr_assert(s.text.status == HR_OK, "%s", garden_text_diags(&s.text));
    CALL(zones_cut(s.text.garden, s.text.arena, s.text.diags, &s.zones));
    CALL(menu_make(s.text.garden, &s.zones, s.text.arena, s.text.diags, &s.menu));
    return s;
}

#define PLOT(rows_, bearing_, side_, shade_)                                                       \
    "{name: p, size: 6 m x 8 m, rows: " rows_ ", bearing: " bearing_ ", edges: [{side: " side_     \
    ", kind: neighbour, shade: " shade_ "}]}"

/* How far the corn's closest spacing keeps from start and end of its zone. */
static void corn_keeps(struct setting *s, double keep[2])
{
    const struct setback *b = &s->menu.setbacks[0];
    cr_assert(s->menu.nsetbacks == 1 && b->n == s->menu.nitems, "one side, all items");
    for (int i = 0; i < b->n; i++) {
        const struct planting *p = &s->menu.plantings[s->menu.items[i].planting];
        if (strcmp(p->parts[0].crop->name.s, "flint corn") != 0)
            continue;
        keep[0] = b->keep[i][0];
        keep[1] = b->keep[i][1];
        return;
    }
    cr_assert(false, "corn is on the menu");
}

/* The line that is kept takes just what it may; nearer it takes more. */
Test(setback, keeps_what_is_needed)
{
    struct setting s = setting_of("42 deg", PLOT("along-x", "0 deg", "3", "2 %"));
    const struct setback *b = &s.menu.setbacks[0];
    int tried = 0;
    for (int i = 0; i < b->n; i++) {
        const struct item *item = &s.menu.items[i];
        const struct planting *p = &s.menu.plantings[item->planting];
        const struct zone *zone = &s.zones.items[item->zone];
        cr_assert(b->keep[i][0] == 0, "nothing keeps from the far side");
        if (b->keep[i][1] <= 0.1 || b->keep[i][1] >= zone->depth_m)
            continue;
        struct block block = {.zone = item->zone, .item = i, .planting = p, .lines = 1};
        block.depth_m = p->first_m;
        block.length_m = zone->length_m;
        block.start_m = zone->depth_m - p->first_m - b->keep[i][1];
        double there = arrange_loss(b->neighbour, &s.zones, &block, 1);
        block.start_m += 0.15;
        double too_near = arrange_loss(b->neighbour, &s.zones, &block, 1);
        cr_assert(there <= 0.02 + 1e-9 && too_near > 0.02, "%s: %g, nearer %g", p->id, there,
                  too_near);
        cr_assert(b->loss[i] <= there, "%s: least %g", p->id, b->loss[i]);
        tried++;
    }
    cr_assert(tried >= 3, "%d plantings keep away", tried);
    garden_text_free(&s.text);
}

/* Turned half round, or on the other side of the equator, the other end is kept clear. */
Test(setback, wherever_the_pole_is)
{
    double north[2], turned[2], south[2], none[2], strict[2];
    struct setting a = setting_of("42 deg", PLOT("along-x", "0 deg", "3", "2 %"));
    struct setting b = setting_of("42 deg", PLOT("along-x", "180 deg", "1", "2 %"));
    struct setting c = setting_of("-42 deg", PLOT("along-x", "0 deg", "1", "2 %"));
    struct setting d = setting_of("42 deg", PLOT("along-x", "0 deg", "3", "50 %"));
    struct setting e = setting_of("42 deg", PLOT("along-x", "0 deg", "3", "0.5 %"));
    corn_keeps(&a, north);
    corn_keeps(&b, turned);
    corn_keeps(&c, south);
    corn_keeps(&d, none);
    corn_keeps(&e, strict);
    cr_assert(north[0] == 0 && north[1] > 0.1, "%g %g", north[0], north[1]);
    cr_assert(near(turned[0], north[1], 1e-6) && turned[1] == 0, "%g %g", turned[0], turned[1]);
    cr_assert(near(south[0], north[1], 0.15) && south[1] == 0, "%g %g", south[0], south[1]);
    cr_assert(none[0] == 0 && none[1] == 0, "a wide limit binds nothing");
    cr_assert(strict[1] > north[1], "%g", strict[1]);
    garden_text_free(&a.text);
    garden_text_free(&b.text);
    garden_text_free(&c.text);
    garden_text_free(&d.text);
    garden_text_free(&e.text);
}

/* Rows that run up to the neighbour cannot keep away: the corn has no place at all when one row is
 * too much. */
Test(setback, rows_up_to_the_neighbour)
{
    double keep[2];
    struct setting s = setting_of("42 deg", PLOT("along-y", "0 deg", "3", "0 %"));
    corn_keeps(&s, keep);
    cr_assert(near(keep[0], s.zones.items[0].depth_m, 1e-9), "%g", keep[0]);
    garden_text_free(&s.text);
}

/* The program keeps the setbacks: no solution has more depth of tall crops than is left. */
Test(setback, the_program_keeps_them)
{
    struct setting s = setting_of("42 deg", PLOT("along-x", "0 deg", "3", "0 %"));
    struct allocate_options o = {.seconds = 20, .gap = 1e-3};
    struct allocation a;
    CALL(allocate(s.text.garden, &s.zones, &s.menu, &o, s.text.arena, s.text.diags, &a));
    const struct setback *b = &s.menu.setbacks[0];
    double widest = 0;
    for (int c = 0; c < a.n; c++) { /* depth of all that keep as far as this one, or farther */
        double keep = b->keep[a.chosen[c].item][1], sum = 0;
        for (int d = 0; d < a.n; d++)
            if (a.chosen[d].stations == 0 && b->keep[a.chosen[d].item][1] >= keep)
                sum += planting_depth(&s.menu.plantings[s.menu.items[a.chosen[d].item].planting],
                                      a.chosen[d].lines);
        cr_assert(sum <= s.zones.items[0].depth_m - keep + 1e-6, "%g m and %g m kept", sum, keep);
        widest = fmax(widest, keep);
    }
    cr_assert(widest > 0, "something tall was chosen");
    struct strbuf lp;
    strbuf_init(&lp, s.text.arena);
    CALL(allocate_lp(s.text.garden, &s.zones, &s.menu, s.text.arena, &lp));
    cr_assert(strstr(lp.p, "setback1b_") != NULL, "its rows can be read");
    garden_text_free(&s.text);
}
