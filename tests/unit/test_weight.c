/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "menu_text.h"
#include "plan.h"
#include "program.h"
#include "report.h"
#include "verify.h"
#include "weight.h"

#define GARDEN                                                                                     \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"                             \
    "plots:\n  - {name: A, size: 3 m x 4 m, rows: along-x}\n"                                      \
    "  - {name: B, size: 2 m x 2 m, rows: along-x}\n"                                              \
    "seed:\n  - {variety: P, crop: potato}\n  - {variety: B, crop: bush bean}\n"

static struct planting *planting_of(struct made *m, const char *crop)
{
    struct planting *p = m->menu.plantings;
    while (strcmp(p->parts[0].crop->name.s, crop) != 0)
        p++;
    return p;
}

Test(weight, of_crop_variety_and_plot)
{
    struct made m = made_of(GARDEN "wishes:\n  - {crop: potato, weight: 150 %}\n"
                                   "  - {variety: P, weight: 80 %, plot: B}\n"
                                   "  - {crop: bush bean, at least: 1 plants}\n");
    struct garden *g = m.text.garden;
    const struct planting *potato = planting_of(&m, "potato"), *bean = planting_of(&m, "bush bean");
    cr_assert(near(weight_of(g, &m.zones.items[0], potato, 0), 1.5, 1e-12));
    cr_assert(near(weight_of(g, &m.zones.items[1], potato, 0), 1.2, 1e-12), "one times the other");
    cr_assert(weight_of(g, &m.zones.items[0], bean, 0) == 1 && weight_any(g));
    g->unweighed = true;
    cr_assert(weight_of(g, &m.zones.items[0], potato, 0) == 1 && !weight_any(g));
    garden_text_free(&m.text);
}

static double entry(const struct mip *mip, const char *row, int column)
{
    double sum = 0;
    for (int k = 0; k < mip->nentries; k++)
        if (mip->entries[k].column == column &&
            strcmp(mip->rows[mip->entries[k].row].name, row) == 0)
            sum += mip->entries[k].value;
    return sum;
}

/* The rows of the goal count weighed food, of energy and of each amino acid; those of a share of
 * the energy the food itself. */
Test(weight, is_in_the_rows_of_the_goal_alone)
{
    struct made m = made_of(GARDEN "wishes: [{crop: potato, weight: 150 %}]\n"
                                   "limits: {share of energy: 60 %}\n");
    struct program p;
    CALL(program_init(&p, m.text.garden, &m.zones, &m.menu, m.text.arena));
    CALL(program_build(&p));
    int seen[2] = {0, 0};
    for (int i = 0; i < m.menu.nitems; i++) {
        bool potato = strcmp(program_planting(&p, i)->parts[0].crop->name.s, "potato") == 0;
        double due = potato ? 1.5 : 1, energy = entry(&p.mip, "whole_energy", p.col_n[i]);
        double lysine = m.menu.items[i].food[0].amino_g[AMINO_LYS] / food_pattern[AMINO_LYS];
        cr_assert(energy > 0 && lysine > 0);
        cr_assert(near(entry(&p.mip, "_energy", p.col_n[i]), due * energy, 1e-9 * energy));
        cr_assert(near(60 * entry(&p.mip, "protein_lysine", p.col_n[i]), due * lysine, 1e-6));
        seen[potato]++;
    }
    cr_assert(seen[0] > 0 && seen[1] > 0);
    garden_text_free(&m.text);
}

static struct plan *plan_of(struct garden_text *t)
{
    struct plan *plan = NULL;
    struct plan_make_options o = {.seconds = 60, .gap = 0.02};
    cr_assert(t->status == HR_OK, "%s", garden_text_diags(t));
    CALL(plan_make(t->garden, &o, t->arena, t->diags, &plan));
    CALL(verify_plan(plan, t->arena, t->diags));
    return plan;
}

static int plants_of(const struct plan *plan, const char *variety)
{
    for (int c = 0; c < plan->ncrops; c++)
        if (strcmp(plan->crops[c].seed->variety.s, variety) == 0)
            return plan->crops[c].plants;
    return 0;
}

/* It binds: potatoes give most energy, and beans that count for ten times theirs take their ground.
 * What is told of food is the food; the bound of food is that of the plan without weights. */
Test(weight, a_favourite_takes_ground)
{
    struct garden_text a = garden_text_read(GARDEN "goal: energy\n");
    struct garden_text b =
        garden_text_read(GARDEN "goal: energy\nwishes: [{crop: bush bean, weight: 1000 %}]\n");
    struct plan *plain = plan_of(&a), *loved = plan_of(&b);
    int beans = plants_of(loved, "B");
    cr_assert(beans > plants_of(plain, "B") + 100 && plants_of(loved, "P") < plants_of(plain, "P"),
              "%d beans, before %d", beans, plants_of(plain, "B"));
    cr_assert(near(plain->value, plain->energy_kcal.typ, 1e-6));
    double due = loved->energy_kcal.typ;
    for (int c = 0; c < loved->ncrops; c++)
        due += strcmp(loved->crops[c].seed->variety.s, "B") == 0
                   ? 9 * loved->crops[c].energy_kcal.typ
                   : 0;
    cr_assert(near(loved->value, due, 1e-6 * due));
    cr_assert(loved->bound >= loved->value && loved->gap < 0.1);
    cr_assert(loved->energy_kcal.typ < plain->energy_kcal.typ);
    cr_assert(loved->food_bound >= plain->value && loved->food_bound < 1.1 * plain->value,
              "%g, and the plan without weights gives %g", loved->food_bound, plain->value);
    struct strbuf text;
    strbuf_init(&text, b.arena);
    report_bound(loved, &text);
    cr_assert(strstr(text.p, "bush bean for 1000 %. So weighed") != NULL, "%s", text.p);
    cr_assert(strstr(text.p, "so the weights cost ") != NULL, "%s", text.p);
    garden_text_free(&a);
    garden_text_free(&b);
}

/* It does not bind: where all foods count for more alike, a plan as good is found (not the same
 * one: the last digits differ, and the search with them). */
Test(weight, of_all_alike_changes_nothing)
{
    struct garden_text a = garden_text_read(GARDEN "goal: energy\n");
    struct garden_text b =
        garden_text_read(GARDEN "goal: energy\nwishes: [{crop: potato, weight: 150 %},\n"
                                "  {crop: bush bean, weight: 150 %}]\n");
    struct plan *plain = plan_of(&a), *loved = plan_of(&b);
    cr_assert(near(loved->value, 1.5 * plain->value, 0.01 * plain->value), "%g and %g",
              loved->value, plain->value);
    cr_assert(near(loved->value, 1.5 * loved->energy_kcal.typ, 1e-6 * loved->value));
    cr_assert(near(loved->bound, 1.5 * plain->bound, 1e-3 * plain->bound), "%g and %g",
              loved->bound, plain->bound);
    garden_text_free(&a);
    garden_text_free(&b);
}
