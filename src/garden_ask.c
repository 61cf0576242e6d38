/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Questions about a garden that was read. See garden.h. */
#include "garden.h"

#include <math.h>

const struct crop *garden_crop(const struct garden *g, const char *name)
{
    const struct crop *changed = g->crops.items;
    for (size_t i = 0; i < g->crops.n; i++)
        if (str_same(changed[i].name.s, name))
            return &changed[i];
    return library_crop(g->library, name);
}

#define AGED_SHARE 0.75 /* of the germination is left with each year too many (estimate) */

double seed_germination(const struct garden *g, const struct seed *seed)
{
    const struct crop *crop = seed->crop;
    if (!crop->seeds_per_kg.set)
        return 1;
    if (seed->germination.set)
        return seed->germination.v;
    double fresh = crop->germination.set ? crop->germination.typ : 1;
    double age = seed->year.set ? g->year.v - seed->year.v : 0;
    double keeps = crop->keeps_y.set ? crop->keeps_y.typ : HUGE_VAL;
    return age > keeps ? fresh * pow(AGED_SHARE, age - keeps) : fresh;
}

bool garden_grows_alone(const struct garden *g, const char *crop)
{
    const struct text *names = g->grow.crops.items;
    bool found = !g->grow.crops.set;
    for (size_t i = 0; i < g->grow.crops.n; i++)
        found |= str_same(names[i].s, crop);
    return found;
}

bool garden_saves_seed(const struct garden *g)
{
    bool any = false;
    for (size_t i = 0; i < g->seed.n; i++)
        any |= seed_saved(garden_seed(g, i));
    return any;
}

bool plot_bans(const struct plot *plot, const struct crop *crop)
{
    const struct text *names = plot->banned.items;
    for (size_t i = 0; i < plot->banned.n; i++)
        if (str_same(names[i].s, crop->name.s) || str_same(names[i].s, crop->family.s))
            return true;
    return false;
}

double garden_seed_count(const struct garden *g, const struct seed *seed)
{
    const struct crop *crop = seed->crop;
    if (!seed->amount.set)
        return HUGE_VAL;
    double count = seed->amount.v;
    if (seed->amount.kind == UNIT_MASS)
        count =
            crop->seeds_per_kg.set ? count * crop->seeds_per_kg.typ : count / crop->piece_kg.typ;
    return floor(count * (1 - g->limits.reserve.v) + 1e-9);
}
