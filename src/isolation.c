/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "isolation.h"

#include <math.h>
#include <string.h>

#include "outline.h"
#include "standing.h"

/* Of the days to harvest. */
#define FROM_SEED_HEAD 0.5
#define FROM_OTHERS    0.4
#define TO_DRY         0.8

struct flowering isolation_flowering(const struct menu *menu, int seed_index)
{
    struct flowering f = {STAY_LATEST, STAY_EARLIEST};
    for (int t = 0; t < menu->nplantings + menu->nstanding; t++) {
        const struct planting *p = t < menu->nplantings
                                       ? &menu->plantings[t]
                                       : menu->standing[t - menu->nplantings].planting;
        for (int k = 0; k < p->nparts; k++) {
            const struct season *s = &p->parts[k].season;
            if (p->parts[k].seed_index != seed_index)
                continue;
            const struct crop *crop = p->parts[k].crop;
            bool dry = crop->harvest.v == HARVEST_DRY,
                 head = crop->density_law.v == DENSITY_SEED_HEAD;
            int days = s->harvest_typ - s->sow;
            int from = s->sow + (int)floor((head ? FROM_SEED_HEAD : FROM_OTHERS) * days);
            int to = dry ? s->sow + (int)ceil(TO_DRY * days) : head ? s->harvest_typ : s->frost;
            f.from = from < f.from ? from : f.from;
            f.to = to > f.to ? to : f.to;
        }
    }
    return f;
}

bool isolation_crosses(const struct garden *garden, const struct menu *menu, int a, int b)
{
    const struct seed *saved = garden_seed(garden, (size_t)a);
    const struct seed *other = garden_seed(garden, (size_t)b);
    if (a == b || !saved->save.v || saved->by_hand.v || !saved->crop->isolation_m.set ||
        strcmp(saved->crop->cross_group.s, other->crop->cross_group.s) != 0 ||
        (other->stands && saved->crop == other->crop && str_same(other->stands, saved->variety.s)))
        return false;
    struct flowering x = isolation_flowering(menu, a), y = isolation_flowering(menu, b);
    return x.from <= y.to && y.from <= x.to;
}

/* The corner of a that lies nearest to the ground of b, m: of grounds that do not overlap one
 * corner at least is nearest to the other. */
static double corners_distance(const struct point *a, size_t n, const struct point *b, size_t m)
{
    double least = HUGE_VAL;
    for (size_t i = 0; i < n; i++)
        least = fmin(least, outline_distance(b, m, a[i].x, a[i].y));
    return least;
}

double isolation_distance(const struct garden *garden, size_t plot, size_t other,
                          struct arena *arena)
{
    const struct plot *plots[] = {garden_plot(garden, plot), garden_plot(garden, other)};
    struct point *corners[2];
    size_t n[2];
    if (plot == other || !plot_placed(plots[0]) || !plot_placed(plots[1]))
        return 0;
    for (int i = 0; i < 2; i++) {
        const struct point *own = plot_corners(arena, plots[i], &n[i]);
        corners[i] = own ? ARENA_ARRAY(arena, struct point, n[i]) : NULL;
        if (!corners[i])
            return 0;
        for (size_t k = 0; k < n[i]; k++)
            corners[i][k] = plot_in_garden(plots[i], own[k]);
    }
    return fmin(corners_distance(corners[0], n[0], corners[1], n[1]),
                corners_distance(corners[1], n[1], corners[0], n[0]));
}

/* What stands already within the isolation distance of a plot and crosses with variety a. */
static const struct seed *barred_from(const struct garden *garden, const struct zones *zones,
                                      const struct menu *menu, int a, size_t plot,
                                      struct arena *arena)
{
    double apart_m = garden_seed(garden, (size_t)a)->crop->isolation_m.typ;
    for (int i = 0; i < menu->nstanding; i++) {
        int other = menu->standing[i].planting->parts[0].seed_index;
        size_t at = (size_t)zones->items[menu->standing[i].zone].plot;
        if (isolation_crosses(garden, menu, a, other) &&
            isolation_distance(garden, plot, at, arena) < apart_m)
            return garden_seed(garden, (size_t)other);
    }
    return NULL;
}

const struct seed *isolation_barred(const struct garden *garden, const struct zones *zones,
                                    const struct menu *menu, int a, struct arena *arena)
{
    const struct seed *first = NULL;
    for (size_t p = 0; p < garden->plots.n; p++) {
        const struct seed *here = barred_from(garden, zones, menu, a, p, arena);
        if (!here)
            return NULL;
        first = first ? first : here;
    }
    return first;
}
