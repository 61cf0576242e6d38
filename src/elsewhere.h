/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ELSEWHERE_H
#define ELSEWHERE_H
/* What stands in another plot of the garden, seen from a plot, where the garden file says how they
 * lie to each other. */
#include "light.h"

/* Whether both have a place in the garden, and are not the same. */
bool elsewhere_known(const struct garden *garden, int plot, int other);
/* A point of the other plot's frame in that of `plot`. */
struct point elsewhere_point(const struct plot *plot, const struct plot *other, struct point p);
/* A box of the other plot's frame as a shader in that of `plot`. */
struct shader elsewhere_shader(const struct plot *plot, const struct plot *other,
                               struct shader box);
/* The obstacles, fences, walls and hedges of the plot and of all other plots that are known, as
 * light_obstacles; of others without those that have the name of one of the plot's own, or stand
 * where a side of it does: told for both plots, they are one. HR_NOMEM. */
HR_CHECKED hr_status elsewhere_obstacles(const struct garden *garden, int plot, struct arena *arena,
                                         struct shader **out, int *n);

#endif
