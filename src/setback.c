/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "setback.h"

#include <math.h>

#define PLACES     5 /* across a zone that are tried */
#define HALVES     5 /* of the distance between two of them */
#define TAPE_M     0.1
#define LOSS_LEAST 1e-9

/* One line of a planting in a zone, seen from a neighbour. */
struct sight {
    const struct neighbour *neighbour;
    const struct zone *zone;
    double length_m, first_m;
    struct shader canopy;
    struct growth growth;
    double most;
};

/* What the line takes when it begins at `start` across the rows. */
static double loss_at(struct sight *s, double start)
{
    const struct rect *r = &s->zone->r;
    double end = start + s->first_m;
    s->canopy.r = s->zone->along_x ? (struct rect){r->x0, r->y0 + start, r->x1, r->y0 + end}
                                   : (struct rect){r->x0 + start, r->y0, r->x0 + end, r->y1};
    return neighbour_loss(s->neighbour, &s->canopy, &s->growth, 1);
}

static bool allowed(double loss, double most)
{
    return loss <= most + LOSS_LEAST;
}

/* The place nearest to `bad` that is allowed, between it and `good`, which is. */
static double nearest_allowed(struct sight *s, double good, double bad)
{
    for (int i = 0; i < HALVES; i++) {
        double middle = (good + bad) / 2;
        if (allowed(loss_at(s, middle), s->most))
            good = middle;
        else
            bad = middle;
    }
    return good;
}

/* Setbacks are told apart by what a tape can tell; fewer of them make fewer rows of the program. */
static double tape(double m)
{
    return ceil(m / TAPE_M - 1e-9) * TAPE_M;
}

/* Where the line may begin, as the interval from the first to the last place that is allowed. */
static void keep_clear(struct sight *s, double keep[2], double *least)
{
    double room = s->zone->depth_m - s->first_m, loss[PLACES], at[PLACES];
    int first = -1, last = -1;
    for (int i = 0; i < PLACES; i++) {
        at[i] = room * i / (PLACES - 1);
        loss[i] = loss_at(s, at[i]);
        if (i == 0 || loss[i] < *least)
            *least = loss[i];
        if (!allowed(loss[i], s->most))
            continue;
        first = first < 0 ? i : first;
        last = i;
    }
    if (first < 0) {
        keep[0] = keep[1] = s->zone->depth_m;
        return;
    }
    keep[0] = first > 0 ? tape(nearest_allowed(s, at[first], at[first - 1])) : 0;
    keep[1] = last < PLACES - 1 ? tape(room - nearest_allowed(s, at[last], at[last + 1])) : 0;
}

static void item_keep(struct setback *b, const struct menu *menu, const struct zones *zones, int i,
                      double strictness)
{
    const struct item *item = &menu->items[i];
    const struct planting *p = &menu->plantings[item->planting];
    const struct season *season = &p->parts[planting_tallest(p)].season;
    struct sight s = {.neighbour = b->neighbour,
                      .zone = &zones->items[item->zone],
                      .first_m = p->first_m,
                      .canopy = {.height_m = p->height_m,
                                 .extinction_per_m = p->extinction_per_m,
                                 .surface_light = 1},
                      .growth = {season->sow, season->harvest_typ},
                      .most = b->neighbour->most * strictness};
    if (!(p->height_m > LIGHT_GROUND_M)) /* it shades nothing of the strip */
        return;
    double *keep = b->keep[i - b->first];
    keep_clear(&s, keep, &b->loss[i - b->first]);
    /* crops that follow one another share their ground with others: when nothing may be risked they
     * stay away altogether */
    if (strictness <= 0 && p->slot != SLOT_WHOLE && keep[0] + keep[1] > 0)
        keep[0] = keep[1] = s.zone->depth_m;
}

static hr_status setback_find(struct setback *b, const struct menu *menu, const struct zones *zones,
                              double strictness, struct arena *arena)
{
    b->first = menu->nitems;
    for (int i = menu->nitems - 1; i >= 0; i--)
        if (zones->items[menu->items[i].zone].plot == b->neighbour->plot)
            b->first = i;
    while (b->first + b->n < menu->nitems &&
           zones->items[menu->items[b->first + b->n].zone].plot == b->neighbour->plot)
        b->n++;
    b->keep = arena_alloc(arena, (size_t)b->n, sizeof *b->keep);
    b->loss = ARENA_ARRAY(arena, double, (size_t)b->n);
    if (!b->keep || !b->loss)
        return HR_NOMEM;
    for (int i = b->first; i < b->first + b->n; i++)
        item_keep(b, menu, zones, i, strictness);
    return HR_OK;
}

hr_status setbacks_find(const struct garden *garden, const struct zones *zones, double strictness,
                        struct arena *arena, struct menu *menu)
{
    struct neighbour *neighbours;
    int n;
    hr_status status = neighbours_find(garden, arena, &neighbours, &n);
    struct setback *setbacks =
        status == HR_OK ? ARENA_ARRAY(arena, struct setback, (size_t)n) : NULL;
    if (!setbacks)
        return HR_NOMEM;
    for (int k = 0; k < n && status == HR_OK; k++) {
        setbacks[k] = (struct setback){.neighbour = &neighbours[k], .most = HUGE_VAL};
        status = setback_find(&setbacks[k], menu, zones, strictness, arena);
    }
    if (status != HR_OK)
        return status;
    menu->setbacks = setbacks;
    menu->nsetbacks = n;
    return HR_OK;
}
