/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "weight.h"

#include "rotation.h"

double weight_wished(const struct garden *g, const struct zone *zone, const struct planting *p,
                     int k)
{
    double weight = 1;
    for (size_t i = 0; i < g->wishes.n && !g->unweighed; i++) {
        const struct wish *wish = garden_wish(g, i);
        if (wish->weight.set && planting_wished(p, k, zone->plot, wish))
            weight *= wish->weight.v;
    }
    return weight;
}

double weight_of(const struct garden *g, const struct zone *zone, const struct planting *p, int k)
{
    return weight_wished(g, zone, p, k) * (1 - rotation_cost(g, zone, p->parts[k].crop));
}

bool weight_any(const struct garden *g)
{
    for (size_t i = 0; i < g->wishes.n && !g->unweighed; i++)
        if (garden_wish(g, i)->weight.set && garden_wish(g, i)->weight.v != 1)
            return true;
    return g->rotation.rule.v == ROTATION_AVOID && g->nformer > 0 && !g->unweighed;
}
