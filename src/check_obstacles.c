/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trees, sheds and posts. See check.h. */
#include "check_work.h"

#include <math.h>

#include "outline.h"

#define SHADOW_HEIGHTS 10 /* beyond so many heights an obstacle's shadow no longer counts */

static bool is_round(const struct obstacle *o)
{
    return o->place.at.src != NULL && o->radius_m.set && !o->outline.set;
}

static bool is_cornered(const struct obstacle *o)
{
    return o->place.at.src == NULL && !o->radius_m.set && o->outline.set && o->outline.n >= 3;
}

void check_obstacle_shape(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        const struct obstacle *obstacles = plot->obstacles.items;
        for (size_t k = 0; k < plot->obstacles.n; k++) {
            const struct obstacle *o = &obstacles[k];
            bool corners = o->place.at.src == NULL && !o->radius_m.set && o->outline.set;
            if (!is_round(o) && !corners)
                diag_error(c->diags, o->at, "obstacle-shape",
                           "an obstacle is round (`place` and `radius`) or has an `outline`");
        }
    }
}

/* Whether the obstacle stands clear of the plot, and how far from it. */
static bool obstacle_clear(const struct ring *ring, const struct obstacle *o, double *distance)
{
    if (is_round(o)) {
        double d = outline_distance(ring->p, ring->n, o->place.x, o->place.y) - o->radius_m.v;
        *distance = d;
        return d > 0 && !outline_has(ring->p, ring->n, o->place.x, o->place.y);
    }
    const struct point *p = o->outline.items;
    if (outline_overlaps(ring->p, ring->n, p, o->outline.n))
        return false;
    *distance = HUGE_VAL;
    for (size_t i = 0; i < o->outline.n; i++)
        *distance = fmin(*distance, outline_distance(ring->p, ring->n, p[i].x, p[i].y));
    return true;
}

void check_obstacle_outside(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        struct ring ring = check_ring(c, i);
        const struct obstacle *obstacles = ring.plot->obstacles.items;
        for (size_t k = 0; ring.whole && k < ring.plot->obstacles.n; k++) {
            const struct obstacle *o = &obstacles[k];
            double distance;
            if ((is_round(o) || is_cornered(o)) && obstacle_clear(&ring, o, &distance) &&
                distance > SHADOW_HEIGHTS * o->height_m.v)
                diag_warning(
                    c->diags, o->at, "obstacle-outside",
                    "it stands outside the plot and casts no shade on it: it does nothing");
        }
    }
}
