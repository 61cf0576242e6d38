/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What foods count for in the goal, from what the garden file says. See verify.h. */
#include "verify_work.h"

#include <string.h>

/* Whether a wish names the part, by itself or by its guild, and where it stands. */
static bool named(const struct verifying *v, const struct wish *wish, int b, int k)
{
    const struct block *block = &v->plan->blocks[b];
    const struct part *part = &block->planting->parts[k];
    const struct guild *guild = block->planting->guild;
    int plot = v->plan->zones.items[block->zone].plot;
    if (wish->plot.s && strcmp(garden_plot(v->garden, (size_t)plot)->name.s, wish->plot.s) != 0)
        return false;
    if (wish->guild.s)
        return guild && strcmp(guild->name.s, wish->guild.s) == 0;
    return wish->crop_name.s ? strcmp(part->crop->name.s, wish->crop_name.s) == 0
                             : strcmp(part->seed->variety.s, wish->variety.s) == 0;
}

double verify_weight(const struct verifying *v, int b, int k)
{
    const struct wish *wishes = v->garden->wishes.items;
    double weight = 1;
    if (v->garden->unweighed)
        return 1;
    for (size_t w = 0; w < v->garden->wishes.n; w++)
        if (wishes[w].weight.set && named(v, &wishes[w], b, k))
            weight *= wishes[w].weight.v;
    return weight;
}

bool verify_weighed(const struct verifying *v)
{
    const struct wish *wishes = v->garden->wishes.items;
    bool any = false;
    for (size_t w = 0; w < v->garden->wishes.n; w++)
        any |= wishes[w].weight.set && wishes[w].weight.v != 1;
    return any && !v->garden->unweighed;
}
