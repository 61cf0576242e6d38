/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "plan_text.h"
#include "report_shade.h"

static struct plan_text plan_on(const char *edges)
{
    char yaml[4096];
    snprintf(yaml, sizeof yaml,
             "%splots:\n  - {name: Home, size: 6.5 m x 9 m, border: 25 cm, rows: along-x%s}\n%s",
             PLAN_TEXT_HEAD, edges, PLAN_TEXT_SEED);
    struct plan_text p = plan_text_new(yaml);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 3);
    plan_text_finish(&p);
    return p;
}

static const char *words_of(struct plan_text *p)
{
    struct strbuf text;
    strbuf_init(&text, p->t.arena);
    report_shade(p->plan, &text);
    cr_assert(!text.failed, "memory");
    return text.p ? text.p : "";
}

/* The plants' energy is linear in their light: what it costs can be worked out from kg. */
Test(report_shade, costs_add_up)
{
    struct plan_text p = plan_on("");
    struct shade_cost cost = shade_cost_of(p.plan);
    cr_assert(near(cost.site_kcal, 0, 1e-6), "an open site: %g", cost.site_kcal);
    cr_assert(cost.blocks_kcal > 0, "%g", cost.blocks_kcal);
    double sum = 0;
    for (int c = 0; c < p.plan->ncrops; c++)
        sum += p.plan->crops[c].energy_kcal.typ;
    for (int b = 0; b < p.plan->nblocks; b++)
        for (int k = 0; k < p.plan->blocks[b].planting->nparts; k++)
            p.plan->blocks[b].light[k] = p.plan->zones.items[p.plan->blocks[b].zone].light;
    struct food food;
    CALL(plan_totals(p.plan, &food));
    cr_assert(near(food.energy_kcal - sum, cost.blocks_kcal, 1e-6 * sum), "%g and %g",
              food.energy_kcal - sum, cost.blocks_kcal);
    plan_text_free(&p);
}

Test(report_shade, site_and_neighbours_are_told)
{
    struct plan_text open = plan_on("");
    cr_assert(!strstr(words_of(&open), "fences"), "%s", words_of(&open));
    cr_assert(!strstr(words_of(&open), "beyond"), "%s", words_of(&open));
    struct plan_text p = plan_on(", edges: [{side: 1, kind: wall, height: 3 m}, "
                                 "{side: 2, kind: neighbour, name: plot 9, shade: 30 %}]");
    const char *text = words_of(&p);
    cr_assert(shade_cost_of(p.plan).site_kcal > 0, "a wall to the south costs light");
    cr_assert(strstr(text, "Shade of fences, hedges, trees and the like costs"), "%s", text);
    cr_assert(strstr(text, "beyond side 2 of Home (plot 9) loses "), "%s", text);
    cr_assert(strstr(text, "at most 30 % is allowed"), "%s", text);
    plan_text_free(&open);
    plan_text_free(&p);
}
