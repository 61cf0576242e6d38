/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "garden_text.h"
#include "menu.h"

static const char *const garden_yaml =
    "garden: menu\nunits: us\nyear: 2027\nsite:\n  latitude: 42 deg\n"
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
    "plots:\n  - {name: bed, size: 20 ft x 25 ft, rows: either}\n"
    "seed:\n  - {variety: A, crop: flint corn, days: 90 days}\n"
    "  - {variety: B, crop: climbing bean, days: 90 days}\n"
    "  - {variety: C, crop: butternut squash, days: 95 days}\n"
    "  - {variety: D, crop: grain amaranth, days: 100 days}\n"
    "  - {variety: E, crop: bush bean, days: 200 days}\n";

struct made {
    struct garden_text text;
    struct zones zones;
    struct menu menu;
};

static struct made made_of(const char *yaml)
{
    struct made m = {.text = garden_text_read(yaml)};
    cr_assert(m.text.status == HR_OK, "%s", garden_text_diags(&m.text));
    CALL(zones_cut(m.text.garden, m.text.arena, m.text.diags, &m.zones));
    CALL(menu_make(m.text.garden, &m.zones, m.text.arena, m.text.diags, &m.menu));
    return m;
}

Test(menu, offers_guild_and_rows_at_several_spacings)
{
    struct made m = made_of(garden_yaml);
    int hills = 0, amaranth = 0;
    for (int t = 0; t < m.menu.nplantings; t++) {
        const struct planting *p = &m.menu.plantings[t];
        hills += p->system == SYSTEM_HILLS && p->nparts == 3;
        amaranth += p->nparts == 1 && p->parts[0].seed_index == 3;
        for (int u = 0; u < t; u++)
            cr_assert(strcmp(p->id, m.menu.plantings[u].id) != 0, "%s twice", p->id);
    }
    cr_assert(hills >= 2, "%d spacings of hills", hills);
    cr_assert(amaranth >= 2, "%d spacings of amaranth", amaranth);
    garden_text_free(&m.text);
}

/* Grain amaranth is sown every 6 in and thinned to a final stand of 18 to 24 in (common practice).
 */
Test(menu, amaranth_is_sown_thick_and_thinned)
{
    struct made m = made_of(garden_yaml);
    int seen = 0;
    for (int t = 0; t < m.menu.nplantings; t++) {
        const struct planting *p = &m.menu.plantings[t];
        if (p->nparts != 1 || p->parts[0].seed_index != 3)
            continue;
        seen++;
        cr_assert(p->pitch_m >= 18 * 0.0254 - 1e-9 && p->pitch_m <= 24 * 0.0254 + 1e-9,
                  "final stand %g m", p->pitch_m);
        cr_assert(p->parts[0].sown >= round(p->pitch_m / (6 * 0.0254)), "sown %g",
                  p->parts[0].sown);
        cr_assert(near(p->parts[0].crop->sow_gap_m.typ, 6 * 0.0254, 1e-9), "sown every 6 in");
    }
    cr_assert(seen >= 2, "%d plantings", seen);
    garden_text_free(&m.text);
}

Test(menu, says_what_cannot_ripen)
{
    struct made m = made_of(garden_yaml);
    bool found = false;
    for (int i = 0; i < m.menu.nleft_out; i++)
        if (strcmp(m.menu.left_out[i].name, "bush bean") == 0)
            found = strlen(m.menu.left_out[i].why) > 10;
    cr_assert(found, "a bean of 200 days is left out with a reason");
    garden_text_free(&m.text);
}

/* A plant in a denser stand weighs less: nothing has a fixed yield per plant. */
Test(menu, plants_give_less_when_crowded)
{
    struct made m = made_of(garden_yaml);
    double wide = 0, close = HUGE_VAL, wide_kg = 0, close_kg = 0;
    for (int i = 0; i < m.menu.nitems; i++) {
        const struct item *item = &m.menu.items[i];
        const struct planting *p = &m.menu.plantings[item->planting];
        if (p->system != SYSTEM_HILLS || item->zone != 0)
            continue;
        double kg = item->kg[0][0] / item->plants[0][0];
        if (p->pitch_m > wide) {
            wide = p->pitch_m;
            wide_kg = kg;
        }
        if (p->pitch_m < close) {
            close = p->pitch_m;
            close_kg = kg;
        }
    }
    cr_assert(wide > close, "two pitches");
    cr_assert(wide_kg > 1.05 * close_kg, "%g kg a plant wide, %g close", wide_kg, close_kg);
    garden_text_free(&m.text);
}
