/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef NEIGHBOUR_H
#define NEIGHBOUR_H
/* Ground beyond a side of a plot that its crops may darken by no more than the gardener allows
 * (`shade` of an edge): a strip along the whole side. What is promised is a mean: of the light that
 * reaches the strip over the frost-free season, LIGHT_GROUND_M above the ground and with nothing
 * else in the way, the canopies of the plot take at most that share. */
#include "light.h"

#define NEIGHBOUR_STRIP_M    2.0
#define NEIGHBOUR_POINTS_MAX LIGHT_POINTS_MAX

struct neighbour {
    int plot; /* index in garden->plots */
    const struct edge *edge;
    double most;                /* share of the light */
    struct light_season season; /* frost-free */
    double x[NEIGHBOUR_POINTS_MAX], y[NEIGHBOUR_POINTS_MAX];
    int npoints;
};

/* Every limited side of the garden, by plot, then as written. HR_NOMEM. */
HR_CHECKED hr_status neighbours_find(const struct garden *garden, struct arena *arena,
                                     struct neighbour **out, int *n);
/* Share of the strip's light that canopies take. What is missing of them is filled in. */
double neighbour_loss(const struct neighbour *n, struct shader *shaders,
                      const struct growth *growth, int nshaders);

#endif
