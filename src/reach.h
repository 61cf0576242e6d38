/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REACH_H
#define REACH_H
/* How far into the ground one has to reach from where one may stand. */
#include "zone.h"

/* Farthest a point of the zone lies from an open side, a path or a gate, m; HUGE_VAL: there is
 * nowhere to stand. Points on a grid, so it may be short by half a grid step. */
double reach_needed(const struct plot *plot, const struct point *corners, size_t n, struct rect r);
/* A warning [out-of-reach] for each plot with a `reach` that some ground of it lies beyond,
 * with a note of what is picked again and again. */
void reach_check(const struct garden *garden, const struct zones *zones, struct arena *arena,
                 struct diags *diags);

#endif
