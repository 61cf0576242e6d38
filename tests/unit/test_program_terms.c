/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of the gardener's terms, coefficient by coefficient: two lines of a crop put into the
 * program come to what was worked out by hand from the spacings below. */
#include "hr_test.h"

#include "haul.h"
#include "labour.h"
#include "menu_text.h"
#include "program.h"
#include "solver.h"

/* 4 m of row: 10 potatoes, 13 spots of corn or 40 of beans; lines 80, 80 and 60 cm apart. */
#define HEAD                                                                                       \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 9}\n  first frost: {median: Oct 16}\n"
#define PLOT "plots:\n  - {name: A, size: 4 m x 6 m, border: 0 m, rows: along-x}\n"
#define SEED                                                                                       \
    "seed:\n  - {variety: Eye, crop: potato, amount: 50 pieces}\n"                                 \
    "  - {variety: Ear, crop: flint corn}\n  - {variety: Pod, crop: bush bean}\n"
#define GROW(more)                                                                                 \
    "grow:\n  systems: [rows, hills]\n" more "  spacings:\n"                                       \
    "    - {crop: potato, along: 40 cm, across: 80 cm}\n"                                          \
    "    - {crop: flint corn, along: 30 cm, across: 80 cm}\n"                                      \
    "    - {crop: bush bean, along: 10 cm, across: 60 cm}\n"
#define LINES     2
#define PLANTS    20 /* potatoes on two lines */
#define GROUND_M2 6.4

struct built {
    struct made made;
    struct program p;
};

static struct built built(const char *yaml)
{
    struct built b = {.made = made_of(yaml)};
    CALL(program_init(&b.p, b.made.text.garden, &b.made.zones, &b.made.menu, b.made.text.arena));
    CALL(program_build(&b.p));
    return b;
}

static const struct mip_row *row_of(const struct built *b, const char *name)
{
    for (int i = 0; i < b->p.mip.nrows; i++)
        if (strcmp(b->p.mip.rows[i].name, name) == 0)
            return &b->p.mip.rows[i];
    cr_assert(false, "no row %s", name);
    return NULL;
}

static int column_of(const struct built *b, const char *name)
{
    for (int i = 0; i < b->p.mip.ncolumns; i++)
        if (strcmp(b->p.mip.columns[i].name, name) == 0)
            return i;
    cr_assert(false, "no column %s", name);
    return -1;
}

/* The first item of a crop, or a guild, in a slot. */
static int item_of(const struct built *b, const char *name, enum slot slot)
{
    for (int i = 0; i < b->made.menu.nitems; i++) {
        const struct planting *p = &b->made.menu.plantings[b->made.menu.items[i].planting];
        const char *its = p->guild ? p->guild->name.s : p->parts[0].crop->name.s;
        if (p->slot == slot && strcmp(its, name) == 0)
            return i;
    }
    cr_assert(false, "no %s", name);
    return -1;
}

static double entry(const struct built *b, const char *row, int column)
{
    double sum = 0;
    for (int k = 0; k < b->p.mip.nentries; k++)
        if (b->p.mip.entries[k].column == column &&
            &b->p.mip.rows[b->p.mip.entries[k].row] == row_of(b, row))
            sum += b->p.mip.entries[k].value;
    return sum;
}

/* What two lines of the item come to in a row. */
static double two_lines(const struct built *b, const char *row, int i)
{
    double sum = LINES * entry(b, row, b->p.col_n[i]) + entry(b, row, b->p.col_y[i]);
    return b->p.col_q[i] < 0 ? sum : sum + entry(b, row, b->p.col_q[i]);
}

static double kg(const struct built *b, int i)
{
    const struct item *item = &b->made.menu.items[i];
    return item->kg[0][0] + item->kg[0][1];
}

static double kcal_per_ration(const struct built *b, int i)
{
    const struct item *item = &b->made.menu.items[i];
    return (item->food[0].energy_kcal + item->food[1].energy_kcal) /
           b->made.text.garden->ration.energy_kcal.v;
}

static void same(double found, double due, int line)
{
    cr_assert(near(found, due, 1e-9 * (1 + fabs(due))), "line %d: %.12g, not %.12g", line, found,
              due);
}
#define SAME(found, due) same((found), (due), __LINE__)

/* seed: what is sown, against what is in hand less the reserve. */
Test(program_terms, seed)
{
    struct built b = built(HEAD PLOT SEED GROW("") "limits: {reserve: 20 %}\n");
    SAME(row_of(&b, "seed_1")->upper, 40);
    SAME(two_lines(&b, "seed_1", item_of(&b, "potato", SLOT_WHOLE)), PLANTS);
    SAME(two_lines(&b, "seed_1", item_of(&b, "bush bean", SLOT_WHOLE)), 0);
    garden_text_free(&b.made.text);
}

/* least, most: kg, plants, ground, share of energy; in one plot; of a guild its hills. */
Test(program_terms, wishes)
{
    struct built b = built(HEAD PLOT SEED "  - {variety: Vine, crop: climbing bean}\n" GROW(
        "") "wishes:\n  - {crop: potato, at least: 3 kg}\n  - {crop: potato, at most: 30 plants}\n"
            "  - {variety: Eye, at least: 2 m2, plot: A}\n  - {crop: potato, at least: 10 %}\n"
            "  - {guild: corn and bean, at least: 3 hills}\n"
            "  - {crop: bush bean, at most: 0 plants, plot: A}\n");
    int potato = item_of(&b, "potato", SLOT_WHOLE), bean = item_of(&b, "bush bean", SLOT_WHOLE);
    SAME(row_of(&b, "least_1")->lower, 3);
    SAME(two_lines(&b, "least_1", potato), kg(&b, potato));
    SAME(row_of(&b, "wishmost_2")->upper, 30);
    SAME(two_lines(&b, "wishmost_2", potato), PLANTS);
    SAME(row_of(&b, "least_3")->lower, 2);
    SAME(two_lines(&b, "least_3", potato), GROUND_M2);
    SAME(row_of(&b, "least_4")->lower, 0);
    SAME(two_lines(&b, "least_4", potato), kcal_per_ration(&b, potato));
    SAME(entry(&b, "least_4", b.p.col_e), -0.1);
    int hills = item_of(&b, "corn and bean", SLOT_WHOLE);
    const int *stations = b.made.menu.items[hills].stations;
    SAME(row_of(&b, "least_5")->lower, 3);
    SAME(two_lines(&b, "least_5", hills), stations[0] + stations[1]);
    SAME(row_of(&b, "wishmost_6")->upper, 0);
    SAME(two_lines(&b, "wishmost_6", bean), 80);
    SAME(two_lines(&b, "wishmost_6", potato), 0);
    garden_text_free(&b.made.text);
}

/* whole: E and A are what all comes to; share: no crop more than so much of it. */
Test(program_terms, shares)
{
    struct built b =
        built(HEAD PLOT SEED GROW("") "limits: {share of energy: 40 %, share of area: 30 %}\n");
    int potato = item_of(&b, "potato", SLOT_WHOLE), corn = item_of(&b, "flint corn", SLOT_WHOLE);
    double kcal = kcal_per_ration(&b, potato);
    SAME(fabs(two_lines(&b, "whole_energy", potato)), kcal);
    SAME(fabs(entry(&b, "whole_energy", b.p.col_e)), 1);
    SAME(fabs(two_lines(&b, "whole_area", corn)), GROUND_M2);
    SAME(two_lines(&b, "share_energy_1", potato), kcal);
    SAME(two_lines(&b, "share_energy_1", corn), 0);
    SAME(entry(&b, "share_energy_1", b.p.col_e), -0.4);
    SAME(two_lines(&b, "share_area_2", corn), GROUND_M2);
    SAME(entry(&b, "share_area_2", b.p.col_a), -0.3);
    SAME(row_of(&b, "share_area_2")->upper, 0);
    garden_text_free(&b.made.text);
}

/* hours: by the stations and the harvest; week: the same, shared out over the weeks. */
Test(program_terms, hours)
{
    struct built b = built(HEAD PLOT SEED GROW("") "limits: {hours: 30 h, hours a week: 2 h}\n");
    int potato = item_of(&b, "potato", SLOT_WHOLE);
    const struct planting *p = &b.made.menu.plantings[b.made.menu.items[potato].planting];
    const struct crop *crop = p->parts[0].crop;
    double hours = PLANTS * crop->plant_h.typ + GROUND_M2 * crop->weed_h_m2.typ +
                   kg(&b, potato) * crop->harvest_h_kg.typ;
    SAME(row_of(&b, "hours")->upper, 30);
    SAME(two_lines(&b, "hours", potato), hours);
    double sum = 0, sown = 0;
    for (int i = 0; i < b.p.mip.nrows; i++) {
        int week = 0;
        if (sscanf(b.p.mip.rows[i].name, "week_%d", &week) != 1)
            continue;
        SAME(b.p.mip.rows[i].upper, 2);
        double here = two_lines(&b, b.p.mip.rows[i].name, potato);
        int from = LABOUR_FROM + 7 * (week - 1);
        sum += here;
        sown += from + 6 < p->parts[0].season.sow - 7 || from > p->parts[0].season.harvest_high
                    ? here
                    : 0;
    }
    SAME(sum, hours);
    SAME(sown, 0); /* nothing before the week it is planted in, nor after its harvest */
    garden_text_free(&b.made.text);
}

/* compost, mulch: ground times depth, 1 cm and 8 cm; vines need no mulch, ground that has had
 * compost no more of it. */
Test(program_terms, compost_and_mulch)
{
    struct built b = built(HEAD PLOT SEED
                           "  - {variety: Vine, crop: climbing bean}\n"
                           "  - {variety: Gourd, crop: butternut squash}\n"
                           "  - {variety: Leaf, crop: spinach}\n" GROW(
                               "  second crops: yes\n") "limits: {compost: 100 l, mulch: 900 l}\n");
    int potato = item_of(&b, "potato", SLOT_WHOLE);
    SAME(row_of(&b, "compost")->upper, 0.1);
    SAME(row_of(&b, "mulch")->upper, 0.9);
    SAME(two_lines(&b, "compost", potato), GROUND_M2 * 0.01);
    SAME(two_lines(&b, "mulch", potato), GROUND_M2 * 0.08);
    SAME(two_lines(&b, "mulch", item_of(&b, "corn, bean and squash", SLOT_WHOLE)), 0);
    SAME(two_lines(&b, "compost", item_of(&b, "spinach", SLOT_SECOND)), 0);
    cr_assert(two_lines(&b, "mulch", item_of(&b, "spinach", SLOT_SECOND)) > 0);
    cr_assert(two_lines(&b, "compost", item_of(&b, "spinach", SLOT_FIRST)) > 0);
    garden_text_free(&b.made.text);
}

/* uses, apart: who is planted is in the plot, and not both of two that cross are. */
Test(program_terms, saving_seed)
{
    struct built b = built(HEAD PLOT "seed:\n  - {variety: Ear, crop: flint corn, save: yes}\n"
                                     "  - {variety: Dent, crop: dent corn}\n"
                                     "  - {variety: Eye, crop: potato}\n");
    int ear = column_of(&b, "u_1_P1"), dent = column_of(&b, "u_2_P1");
    SAME(row_of(&b, "apart_1_P1_2_P1")->upper, 1);
    SAME(entry(&b, "apart_1_P1_2_P1", ear), 1);
    SAME(entry(&b, "apart_1_P1_2_P1", dent), 1);
    char name[64];
    int corn = item_of(&b, "flint corn", SLOT_WHOLE);
    snprintf(name, sizeof name, "uses_1_P1x_1_%d", b.made.menu.items[corn].planting + 1);
    SAME(row_of(&b, name)->upper, 0);
    SAME(entry(&b, name, b.p.col_y[corn]), 1);
    SAME(entry(&b, name, ear), -1);
    garden_text_free(&b.made.text);
}

/* blocks: each counts once, as does a part of the shared line. */
Test(program_terms, blocks)
{
    struct built b = built(HEAD PLOT SEED GROW("") "limits: {blocks: 3}\n");
    int potato = item_of(&b, "potato", SLOT_WHOLE);
    SAME(row_of(&b, "blocks_P1x_1")->upper, 3);
    SAME(entry(&b, "blocks_P1x_1", b.p.col_y[potato]), 1);
    SAME(entry(&b, "blocks_P1x_1", b.p.col_w[potato]), 1);
    SAME(entry(&b, "blocks_P1x_1", b.p.col_n[potato]), 0);
    garden_text_free(&b.made.text);
}

/* first, second: the ground that turns has room for both sides of the turn; depth: it is counted
 * once. */
Test(program_terms, second_crops)
{
    struct built b =
        built(HEAD PLOT SEED "  - {variety: Leaf, crop: spinach}\n" GROW("  second crops: yes\n"));
    char name[64];
    int first = item_of(&b, "spinach", SLOT_FIRST), second = -1;
    const struct menu *menu = &b.made.menu;
    int turn_d = menu->plantings[menu->items[first].planting].turn_d, t = 0;
    while (menu->turns_d[t] != turn_d)
        t++;
    for (int i = 0; i < menu->nitems; i++) {
        const struct planting *p = &menu->plantings[menu->items[i].planting];
        if (p->slot == SLOT_SECOND && p->turn_d == turn_d)
            second = i;
    }
    cr_assert(second >= 0);
    int ground = b.p.col_r[t];
    snprintf(name, sizeof name, "first_P1x_1_%d", t + 1);
    SAME(two_lines(&b, name, first),
         planting_depth(&menu->plantings[menu->items[first].planting], LINES));
    SAME(entry(&b, name, ground), -1);
    SAME(two_lines(&b, name, second), 0);
    snprintf(name, sizeof name, "second_P1x_1_%d", t + 1);
    SAME(two_lines(&b, name, second),
         planting_depth(&menu->plantings[menu->items[second].planting], LINES));
    SAME(entry(&b, name, ground), -1);
    SAME(entry(&b, "depth_P1x_1", ground), 1);
    SAME(two_lines(&b, "depth_P1x_1", first), 0);
    SAME(two_lines(&b, "depth_P1x_1", item_of(&b, "potato", SLOT_WHOLE)), 1.6);
    garden_text_free(&b.made.text);
}

/* direction: one of the two, and no ground where it is not this one. */
Test(program_terms, directions)
{
    struct built b = built(
        HEAD "plots:\n  - {name: A, size: 4 m x 6 m, border: 0 m, rows: either}\n" SEED GROW(""));
    int x = column_of(&b, "o_P1x"), y = column_of(&b, "o_P1y");
    SAME(row_of(&b, "direction_P1")->upper, 1);
    SAME(entry(&b, "direction_P1", x), 1);
    SAME(entry(&b, "direction_P1", y), 1);
    SAME(entry(&b, "depth_P1x_1", x), -6 - 1e-9);
    SAME(entry(&b, "depth_P1y_1", y), -4 - 1e-9);
    SAME(row_of(&b, "depth_P1x_1")->upper, 0);
    garden_text_free(&b.made.text);
}

/* What a later round of the light loop assumes of shade does not let more be planted than the hours
 * and an `at most` leave room for in full light. */
Test(program_terms, shade_frees_no_hours)
{
    struct built b = built(HEAD PLOT SEED GROW("") "limits: {hours: 30 h, hours a week: 2 h}\n"
                                                   "wishes:\n  - {crop: potato, at most: 9 kg}\n"
                                                   "  - {crop: potato, at least: 1 kg}\n");
    int potato = item_of(&b, "potato", SLOT_WHOLE);
    struct item *item = &b.made.menu.items[potato];
    double hours = two_lines(&b, "hours", potato), full = kg(&b, potato);
    item->light[0] *= 0.8;
    menu_item_value(&b.made.menu, item);
    CALL(program_init(&b.p, b.made.text.garden, &b.made.zones, &b.made.menu, b.made.text.arena));
    CALL(program_build(&b.p));
    cr_assert(kg(&b, potato) < 0.95 * full);
    SAME(two_lines(&b, "hours", potato), hours);
    SAME(two_lines(&b, "wishmost_1", potato), full);
    SAME(two_lines(&b, "least_2", potato), kg(&b, potato));
    garden_text_free(&b.made.text);
}
