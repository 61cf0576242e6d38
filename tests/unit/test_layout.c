/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "layout.h"
#include "menu.h"

#define GARDEN                                                                                     \
    "garden: Test\nyear: 2027\nsite:\n  latitude: 42 deg\n  last frost: {median: May 3}\n"         \
    "  first frost: {median: Oct 10}\nplots:\n  - {name: A, size: 6 m x 6 m, rows: along-x}\n"     \
    "seed:\n  - {variety: E, crop: flint corn, days: 90 days}\n"                                   \
    "  - {variety: S, crop: climbing bean, days: 90 days}\n"                                       \
    "  - {variety: L, crop: butternut squash, days: 95 days}\n"                                    \
    "  - {variety: C, crop: potato}\n"

/* Counts of what is on the menu of a layout. */
struct counted {
    int hills, row_guild, sole_corn, sole_potato, other;
};

static struct counted count(const struct garden_text *t, enum layout_kind kind,
                            const struct grow *own)
{
    struct garden *g;
    struct zones zones;
    struct menu menu;
    struct counted n = {0, 0, 0, 0, 0};
    CALL(layout_garden(t->garden, layout_guild(t->garden), kind, own, t->arena, &g));
    CALL(zones_cut(g, t->arena, t->diags, &zones));
    CALL(menu_make(g, &zones, t->arena, t->diags, &menu));
    for (int i = 0; i < menu.nplantings; i++) {
        const struct planting *p = &menu.plantings[i];
        bool sole = p->system == SYSTEM_ROWS;
        const char *crop = p->parts[0].crop->name.s;
        n.hills += p->system == SYSTEM_HILLS;
        n.row_guild += p->system == SYSTEM_ROW_GUILD;
        n.sole_corn += sole && strcmp(crop, "flint corn") == 0;
        n.sole_potato += sole && strcmp(crop, "potato") == 0;
        n.other += sole && strcmp(crop, "flint corn") != 0 && strcmp(crop, "potato") != 0;
    }
    return n;
}

Test(layout, each_kind_has_its_own_menu)
{
    struct garden_text t = garden_text_read(GARDEN);
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    struct counted hills = count(&t, LAYOUT_HILLS, NULL), rows = count(&t, LAYOUT_ROWS, NULL);
    struct counted guild = count(&t, LAYOUT_ROW_GUILD, NULL), any = count(&t, LAYOUT_FREE, NULL);
    cr_assert(hills.hills > 0 && hills.row_guild == 0 && hills.sole_corn == 0 && hills.other == 0);
    cr_assert(rows.hills == 0 && rows.row_guild == 0 && rows.sole_corn == 3 && rows.other == 6);
    cr_assert(guild.hills == 0 && guild.row_guild > 0 && guild.sole_corn == 0);
    cr_assert(any.hills > 0 && any.row_guild > 0 && any.sole_corn == 3);
    cr_assert(hills.sole_potato == 3 && rows.sole_potato == 3 && guild.sole_potato == 3 &&
                  any.sole_potato == 3,
              "what is no crop of the guild is the same in all");
    garden_text_free(&t);
}

/* The guild's crops get rows of their own in `separate rows`, whatever `crops` says. */
Test(layout, rows_for_the_guilds_crops)
{
    struct garden_text t = garden_text_read(GARDEN "grow:\n  crops: [potato]\n");
    struct counted rows = count(&t, LAYOUT_ROWS, NULL);
    cr_assert(rows.sole_corn == 3 && rows.sole_potato == 3);
    garden_text_free(&t);
}

Test(layout, the_gardener_names_the_guild)
{
    struct garden_text t = garden_text_read(GARDEN "grow:\n  guilds: [corn and bean]\n");
    cr_assert_str_eq(layout_guild(t.garden)->name.s, "corn and bean");
    garden_text_free(&t);
    t = garden_text_read(GARDEN);
    cr_assert_str_eq(layout_guild(t.garden)->name.s, "corn, bean and squash", "most crops");
    garden_text_free(&t);
    t = garden_text_read(GARDEN "grow:\n  guilds: [trellised pea and spinach]\n");
    cr_assert(t.status != HR_OK || layout_guild(t.garden) == NULL, "no seed for it");
    garden_text_free(&t);
}

/* The terms are the gardener's: the guild's own wish apart, and it changes no limit. */
Test(layout, terms_are_kept)
{
    struct garden_text t = garden_text_read(GARDEN "wishes:\n  - {crop: potato, at least: 2 kg}\n");
    struct garden *g;
    int blocks = garden_blocks(t.garden);
    CALL(layout_garden(t.garden, layout_guild(t.garden), LAYOUT_HILLS, NULL, t.arena, &g));
    cr_assert_eq(g->wishes.n, 2);
    cr_assert_str_eq(garden_wish(g, 0)->crop_name.s, "potato");
    cr_assert_str_eq(garden_wish(g, 1)->crop_name.s, "flint corn");
    cr_assert_eq(garden_blocks(g), blocks);
    cr_assert_eq(t.garden->wishes.n, 1, "the gardener's own is left as it was");
    CALL(layout_garden(t.garden, layout_guild(t.garden), LAYOUT_FREE, NULL, t.arena, &g));
    cr_assert_eq(g->wishes.n, 1);
    garden_text_free(&t);
}

Test(layout, the_gardeners_own)
{
    struct garden_text t = garden_text_read(
        GARDEN "compare:\n  - name: wide\n    systems: [rows]\n    crops: [potato]\n    spacings:\n"
               "      - {crop: potato, along: 40 cm, across: 90 cm}\n");
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    struct counted own = count(&t, LAYOUT_OWN, &garden_layout(t.garden, 0)->grow);
    cr_assert(own.hills == 0 && own.row_guild == 0 && own.sole_corn == 0 && own.other == 0);
    cr_assert_eq(own.sole_potato, 1, "at the spacing given, not at %d", own.sole_potato);
    garden_text_free(&t);
}

/* Beans picked green are no part of a guild that nobody gets into: one without vines is compared.
 */
Test(layout, compares_a_guild_that_can_be_gathered)
{
    struct garden_text t = garden_text_read(GARDEN);
    cr_assert(strcmp(layout_guild(t.garden)->name.s, "corn, bean and squash") == 0);
    garden_seed(t.garden, 1)->harvest = (struct choice){.v = HARVEST_FRESH, .set = true};
    const struct guild *guild = layout_guild(t.garden);
    cr_assert(guild && !guild->closed.v, "%s", guild ? guild->name.s : "none");
    garden_text_free(&t);
}
