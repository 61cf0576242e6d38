/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "larder.h"

#include <math.h>

/* Day of the first harvest of a variety over the plan's blocks. */
static int first_harvest(const struct plan *plan, const struct seed *seed)
{
    int first = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        for (int k = 0; k < p->nparts; k++) {
            int day = p->parts[k].season.harvest_typ;
            if (p->parts[k].seed == seed && (first == 0 || day < first))
                first = day;
        }
    }
    return first;
}

hr_status larder_foods(const struct plan *plan, struct arena *arena, struct larder_food **out)
{
    struct larder_food *foods = ARENA_ARRAY(arena, struct larder_food, (size_t)plan->ncrops);
    if (!foods)
        return HR_NOMEM;
    for (int c = 0; c < plan->ncrops; c++) {
        const struct crop_result *r = &plan->crops[c];
        const struct range *keeps = &r->seed->crop->storage_d;
        foods[c].crop = r;
        foods[c].from = first_harvest(plan, r->seed);
        if (!keeps->set)
            continue;
        foods[c].until = (struct span){foods[c].from + keeps->low, foods[c].from + keeps->typ,
                                       foods[c].from + keeps->high};
        foods[c].kg_week = keeps->typ > 0 ? 7 * r->kg.typ / fmin(keeps->typ, 365) : 0;
    }
    *out = foods;
    return HR_OK;
}

/* Amino acid a per digestible protein, as a multiple of the reference pattern. */
static double richness(const struct food_rate *rate, enum amino a)
{
    return rate->digestible_g > 0 ? rate->amino_g[a] / (rate->digestible_g * food_pattern[a]) : 0;
}

const struct seed *larder_mend(const struct plan *plan)
{
    if (plan->limiting >= AMINO_COUNT)
        return NULL;
    const struct seed *best = NULL;
    const double enough = 1; /* a food short of it itself mends nothing */
    for (size_t s = 0; s < plan->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(plan->garden, s);
        struct food_rate rate = food_rate_typical(seed->crop);
        double r = richness(&rate, plan->limiting);
        /* a little of a leaf's good protein mends nothing: by what a kg brings */
        if (r > enough && (!best || rate.amino_g[plan->limiting] >
                                        food_rate_typical(best->crop).amino_g[plan->limiting]))
            best = seed;
    }
    return best;
}

struct nitrogen larder_nitrogen(const struct plan *plan)
{
    struct nitrogen sum = {0, 0};
    for (int c = 0; c < plan->ncrops; c++) {
        struct nitrogen n = nitrogen_harvest(plan->crops[c].seed->crop, plan->crops[c].kg.typ);
        sum.taken += n.taken;
        sum.fixed += n.fixed;
    }
    return sum;
}
