/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report_shade.h"

#include <math.h>

#include "num.h"

#define KCAL_LEAST 50     /* less is not told */
#define LOSS_LEAST 0.0005 /* of the value, or of a neighbour's light */

/* Food energy of the plan's plants when every block has this light. */
static double energy_at(const struct plan *plan,
                        double (*light)(const struct plan *plan, int b, int k))
{
    double kcal = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        struct stand_figures figures[STAND_PARTS_MAX];
        struct stand_mixture mix;
        double shares[STAND_PARTS_MAX], kg[STAND_PARTS_MAX];
        long plants[STAND_PARTS_MAX] = {0};
        stand_mixture_typical(&mix);
        for (int k = 0; k < p->nparts; k++) {
            stand_figures_typical(p->parts[k].crop, &figures[k]);
            shares[k] = light(plan, b, k);
        }
        planting_plant_kg(p, figures, &mix, shares, kg);
        for (int s = 0; s < plan->nstations; s++)
            for (int k = 0; plan->stations[s].block == b && k < p->nparts; k++)
                plants[k] += plan->stations[s].plants[k];
        for (int k = 0; k < p->nparts; k++)
            kcal += (double)plants[k] * kg[k] * food_rate_typical(p->parts[k].crop).energy_kcal;
    }
    return kcal;
}

static double light_planned(const struct plan *plan, int b, int k)
{
    return plan->blocks[b].light[k];
}

static double light_of_site(const struct plan *plan, int b, int k)
{
    (void)k;
    return plan->zones.items[plan->blocks[b].zone].light;
}

static double light_open(const struct plan *plan, int b, int k)
{
    (void)b;
    (void)k;
    return plan->garden->site.sun.v;
}

struct shade_cost shade_cost_of(const struct plan *plan)
{
    double planned = energy_at(plan, light_planned), site = energy_at(plan, light_of_site);
    double open = energy_at(plan, light_open);
    return (struct shade_cost){fmax(0, site - planned), fmax(0, open - site)};
}

static const char *percent(char *buf, size_t cap, double share)
{
    return num_fixed(buf, cap, 100 * share, share < 0.0995 ? 1 : 0);
}

static const char *kcal_words(char *buf, size_t cap, double kcal)
{
    return num_grouped(buf, cap, num_round_sig(kcal, 2));
}

static void neighbour_words(const struct plan *plan, const struct neighbour *n, struct strbuf *text)
{
    char loss[64], most[64], side[64];
    const struct plot *plot = garden_plot(plan->garden, (size_t)n->plot);
    strbuf_printf(text, " The ground beyond side %s of %s",
                  num_fixed(side, sizeof side, n->edge->side.v, 0), plot->name.s);
    if (n->edge->name.s)
        strbuf_printf(text, " (%s)", n->edge->name.s);
    double share = arrange_loss(n, &plan->zones, plan->blocks, plan->nblocks);
    strbuf_printf(text, " loses %s %% of the season's light to the crops, typical",
                  percent(loss, sizeof loss, share));
    strbuf_printf(text, "; at most %s %% is allowed.", percent(most, sizeof most, n->most));
}

void report_shade(const struct plan *plan, struct strbuf *text)
{
    char share[64], kcal[64];
    struct neighbour *neighbours;
    int n;
    struct shade_cost cost = shade_cost_of(plan);
    if (plan->shade_loss >= LOSS_LEAST)
        strbuf_printf(text,
                      " Shade of one block on another costs %s %% (%s kcal, typical), which is "
                      "counted in.",
                      percent(share, sizeof share, plan->shade_loss),
                      kcal_words(kcal, sizeof kcal, cost.blocks_kcal));
    if (cost.site_kcal >= KCAL_LEAST)
        strbuf_printf(text,
                      " Shade of fences, hedges, trees and the like costs these plants %s kcal, "
                      "typical, counted in as well.",
                      kcal_words(kcal, sizeof kcal, cost.site_kcal));
    if (neighbours_find(plan->garden, text->arena, &neighbours, &n) != HR_OK) {
        text->failed = true;
        return;
    }
    for (int i = 0; i < n; i++)
        neighbour_words(plan, &neighbours[i], text);
}
