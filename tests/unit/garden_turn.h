/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GARDEN_TURN_H
#define GARDEN_TURN_H
/* The same gardens told otherwise: plots turned by a quarter, or mirrored with the sky. */
#include "garden.h"

/* (x, y) is told as (y, -x): the frame is turned under the plot, and its +y axis
 * bears 90 degrees less; rows change their axis. Outlines keep their sense and their first corner,
 * so sides keep their numbers; a size becomes an outline. */
static inline void point_turn(struct point *p)
{
    double x = p->x;
    p->x = p->y;
    p->y = -x;
}

static inline void points_turn(struct list *list)
{
    for (size_t i = 0; i < list->n; i++)
        point_turn((struct point *)list->items + i);
}

static inline void plot_turn_quarter(struct arena *arena, struct plot *plot)
{
    size_t n = 0;
    struct point *corners = ARENA_ARRAY(arena, struct point, 4);
    const struct point *given = plot_corners(arena, plot, &n);
    if (plot->outline.n == 0) {
        for (size_t i = 0; i < 4; i++)
            corners[i] = given[i];
        plot->outline = (struct list){.items = corners, .n = 4, .set = true};
    }
    points_turn(&plot->outline);
    plot->bearing.v -= M_PI / 2; /* +y runs where -x ran */
    if (plot->rows.v != ROWS_EITHER)
        plot->rows.v = plot->rows.v == ROWS_ALONG_X ? ROWS_ALONG_Y : ROWS_ALONG_X;
    for (size_t i = 0; i < plot->paths.n; i++) {
        struct path *path = (struct path *)plot->paths.items + i;
        point_turn(&path->from);
        point_turn(&path->to);
    }
    for (size_t i = 0; i < plot->obstacles.n; i++) {
        struct obstacle *o = (struct obstacle *)plot->obstacles.items + i;
        point_turn(&o->place);
        points_turn(&o->outline);
    }
}

#endif
