/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "isolation.h"
#include "labour.h"
#include "menu_text.h"
#include "plan.h"
#include "program.h"
#include "standing.h"
#include "verify.h"

/* No border, so that ground can be worked out on paper: 4 m by 5 m, of which garlic takes 2 m2. */
#define HEAD                                                                                       \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\n"
#define PLOT(more)                                                                                 \
    "plots:\n  - name: A\n    size: 4 m x 5 m\n    border: 0 m\n    rows: along-x\n"               \
    "    standing:\n      - {crop: garlic, variety: Winter Moon, at: [0 m, 0 m], size: 2 m x 1 "   \
    "m, along: 10 cm, across: 25 cm" more "}\n"
#define SEED "seed:\n  - {variety: Red Drum, crop: cabbage}\n"

/* By the figures of crops/garlic.yaml: a close stand gives 0.77 kg/m2 at most, half of it at 5.5
 * plants/m2; here there are 40. */
static const double GARLIC_KG = 2 * 0.77 * 40 / (40 + 5.5);

/* The row of the program with that name; -1: none. */
static int row_of(const struct program *m, const char *name)
{
    for (int i = 0; i < m->mip.nrows; i++)
        if (strcmp(m->mip.rows[i].name, name) == 0)
            return i;
    return -1;
}

static struct program program_of(struct made *m)
{
    struct program p;
    CALL(program_init(&p, m->text.garden, &m->zones, &m->menu, m->text.arena));
    CALL(program_build(&p));
    return p;
}

Test(standing, takes_its_ground_and_no_other)
{
    struct made m = made_of(HEAD PLOT("") SEED);
    cr_assert(near(m.zones.grounds[0].free_m2, 18, 1e-6), "%g", m.zones.grounds[0].free_m2);
    cr_assert(m.zones.nstanding == 1 && m.menu.nstanding == 1);
    const struct zone *z = &m.zones.items[m.zones.n];
    cr_assert(zone_standing(z) && !zone_standing(&m.zones.items[0]));
    cr_assert(near(z->r.x1, 2, 1e-9) && near(z->r.y1, 1, 1e-9) && z->along_x);
    for (size_t i = 0; i < m.zones.n; i++)
        cr_assert(m.zones.items[i].r.x0 >= 2 - 1e-9 || m.zones.items[i].r.y0 >= 1 - 1e-9);
    const struct block *b = &m.menu.standing[0];
    cr_assert(b->lines == 4 && standing_plants(b) == 80, "%d plants", standing_plants(b));
    cr_assert(near(standing_kg(b), GARLIC_KG, 1e-3 * GARLIC_KG), "%g kg", standing_kg(b));
    garden_text_free(&m.text);
}

/* Seed of it is not in hand: nothing more of it can be planted, and nobody sows or weeds it. */
Test(standing, asks_for_no_seed_and_no_work_but_its_harvest)
{
    struct made m = made_of(HEAD PLOT("") SEED);
    const struct garden *g = m.text.garden;
    cr_assert(g->seed.n == 2 && garden_seed(g, 1)->standing);
    cr_assert(strcmp(garden_seed(g, 1)->variety.s, "Winter Moon, standing") == 0);
    for (int t = 0; t < m.menu.nplantings; t++)
        cr_assert(!planting_standing(&m.menu.plantings[t]));
    const struct planting *p = m.menu.standing[0].planting;
    cr_assert(planting_station_hours_typical(p) == 0 && p->parts[0].sown == 0);
    double hours = GARLIC_KG * p->parts[0].crop->harvest_h_kg.typ;
    cr_assert(near(standing_hours(&m.menu), hours, 1e-3 * hours));
    double weeks = 0;
    for (int w = 0; w < LABOUR_WEEKS; w++)
        weeks += standing_hours_between(&m.menu, LABOUR_FROM + 7 * w, LABOUR_FROM + 7 * w + 6);
    cr_assert(near(weeks, standing_hours(&m.menu), 1e-9), "%g of %g", weeks, hours);
    garden_text_free(&m.text);
}

/* It binds: two of the three kg wished are still to come; of hours and energy so much is gone. */
Test(standing, counts_in_the_rows_of_the_program)
{
    struct made m =
        made_of(HEAD PLOT("") SEED "  - {variety: Frost, crop: garlic}\n"
                                   "wishes:\n  - {crop: garlic, at least: 3 kg}\n"
                                   "  - {crop: garlic, at most: 300 plants}\n"
                                   "limits: {hours: 40 h, share of energy: 90 %}\ngoal: energy\n");
    struct program p = program_of(&m);
    const struct mip_row *rows = p.mip.rows;
    int least = row_of(&p, "least_1"), most = row_of(&p, "wishmost_2"),
        goal = row_of(&p, "_energy");
    int hours = row_of(&p, "hours"), whole = row_of(&p, "whole_energy");
    cr_assert(least >= 0 && most >= 0 && goal >= 0 && hours >= 0 && whole >= 0);
    cr_assert(near(rows[least].lower, 3 - GARLIC_KG, 2e-3), "%g", rows[least].lower);
    cr_assert(near(rows[most].upper, 300 - 80, 1e-9), "%g", rows[most].upper);
    double days = standing_energy(&m.menu, "garlic") / m.text.garden->ration.energy_kcal.v;
    cr_assert(days > 0 && near(rows[goal].lower, -days, 1e-9));
    cr_assert(near(rows[whole].lower, -days, 1e-9) && near(rows[whole].upper, -days, 1e-9));
    cr_assert(near(rows[hours].upper, 40 - standing_hours(&m.menu), 1e-9));
    garden_text_free(&m.text);
}

/* It does not bind: without such a block the sides of the rows are what was asked for. */
Test(standing, leaves_other_gardens_alone)
{
    struct made m =
        made_of(HEAD "plots:\n  - {name: A, size: 4 m x 5 m, rows: along-x}\n" SEED
                     "wishes:\n  - {crop: cabbage, at least: 3 kg}\nlimits: {hours: 40 h}\n");
    struct program p = program_of(&m);
    cr_assert(m.zones.nstanding == 0 && m.menu.nstanding == 0);
    cr_assert(p.mip.rows[row_of(&p, "least_1")].lower == 3);
    cr_assert(p.mip.rows[row_of(&p, "hours")].upper == 40);
    cr_assert(p.mip.rows[row_of(&p, "_energy")].lower == 0 &&
              !signbit(p.mip.rows[row_of(&p, "_energy")].lower));
    garden_text_free(&m.text);
}

/* The wish for garlic is met by what stands, though no seed of it is in hand; the plan has it, its
 * food and its shade, and holds. */
Test(standing, is_part_of_the_plan, .timeout = 60)
{
    struct garden_text t = garden_text_read(
        HEAD PLOT("") "      - {crop: jerusalem artichoke, at: [3 m, 0 m], size: 1 m x 2 m}\n" SEED
                      "wishes:\n  - {crop: garlic, at least: 1 kg, plot: A}\n");
    struct plan_make_options o = {.seconds = 20, .gap = 0.05};
    struct plan *plan = NULL;
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    hr_status status = plan_make(t.garden, &o, t.arena, t.diags, &plan);
    cr_assert(status == HR_OK, "%s", garden_text_diags(&t));
    cr_assert(verify_plan(plan, t.arena, t.diags) == HR_OK, "%s", garden_text_diags(&t));
    int stand = 0;
    for (int b = 0; b < plan->nblocks; b++)
        stand += block_standing(&plan->blocks[b]);
    cr_assert(stand == 2 && block_standing(&plan->blocks[plan->nblocks - 1]), "%d", stand);
    cr_assert(plan->ncrops == 3 && plan->crops[1].kg.typ > 1 && plan->crops[1].sown == 0);
    cr_assert(plan->crops[1].kg.low < plan->crops[1].kg.typ);
    double kcal = 0;
    for (int c = 0; c < plan->ncrops; c++)
        kcal += plan->crops[c].energy_kcal.typ;
    cr_assert(near(kcal, plan->energy_kcal.typ, 1e-6 * kcal));
    /* two metres tall to the south-east, it takes some of the garlic's light */
    const struct block *garlic = &plan->blocks[plan->nblocks - 2];
    cr_assert(garlic->light[0] < 0.999 && garlic->light[0] > 0.5, "%g", garlic->light[0]);
    garden_text_free(&t);
}

/* Too much of what stands is a wish that nothing can be planted for. */
Test(standing, collides_with_a_wish, .timeout = 60)
{
    struct garden_text t =
        garden_text_read(HEAD PLOT("") SEED "wishes:\n  - {crop: garlic, at most: 50 plants}\n");
    struct plan_make_options o = {.seconds = 20, .gap = 0.05};
    struct plan *plan = NULL;
    cr_assert(plan_make(t.garden, &o, t.arena, t.diags, &plan) == HR_INFEASIBLE);
    cr_assert(diag_find(t.diags, 18, 0, "wishes-collide") != NULL, "%s", garden_text_diags(&t));
    cr_assert(strstr(diags_words(t.diags), "garlic stands already and counts here"), "%s",
              diags_words(t.diags));
    garden_text_free(&t);
}

/* Kale is in flower while cabbage for seed is (both Brassica oleracea): nothing of it may be
 * planted for seed in that plot. Of one variety they do no harm. */
Test(standing, crosses_with_seed_to_save)
{
#define KALE(variety)                                                                              \
    HEAD "plots:\n  - name: A\n    size: 4 m x 5 m\n    standing:\n"                               \
         "      - {crop: cabbage, variety: " variety ", at: [1 m, 1 m], size: 1 m x 1 m}\n"        \
         "seed:\n  - {variety: Red Drum, crop: cabbage, save: yes}\n"                              \
         "  - {variety: Cellar Gold, crop: potato}\n"
    struct made m = made_of(KALE("Field Grey"));
    cr_assert(isolation_crosses(m.text.garden, &m.menu, 0, 2));
    struct program p = program_of(&m);
    int row = row_of(&p, "apart_1_P1_3_P1");
    cr_assert(row >= 0 && p.mip.rows[row].upper == 0, "%d", row);
    const struct seed *bars = isolation_barred(m.text.garden, &m.zones, &m.menu, 0, m.text.arena);
    cr_assert(bars == garden_seed(m.text.garden, 2));
    cr_assert(!isolation_barred(m.text.garden, &m.zones, &m.menu, 1, m.text.arena));
    garden_text_free(&m.text);
    m = made_of(KALE("red drum"));
    cr_assert(!isolation_crosses(m.text.garden, &m.menu, 0, 2), "the same variety");
    garden_text_free(&m.text);
}

/* Garlic is ripe in July. */
Test(standing, must_be_there_until_its_harvest)
{
    struct garden_text t = garden_text_read(HEAD PLOT(", until: Jun 1") SEED);
    struct zones zones;
    cr_assert(t.status == HR_OK);
    cr_assert(zones_cut(t.garden, t.arena, t.diags, &zones) == HR_INPUT);
    cr_assert(diag_find(t.diags, 14, 0, "standing-season") != NULL, "%s", garden_text_diags(&t));
    garden_text_free(&t);
    t = garden_text_read(HEAD PLOT(", until: Aug 1") SEED);
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    garden_text_free(&t);
}
