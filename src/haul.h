/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef HAUL_H
#define HAUL_H
/* What goes on the ground, in the loads a gardener carries. */
#include "garden.h"

enum haul { HAUL_COMPOST, HAUL_STRAW, HAUL_LEAVES, HAUL_CHIPS };
extern const char *const haul_names[]; /* for people */

/* How deep it is laid, in round figures of the units, m: typical, and low, typical, high. Compost
 * half an inch a year (1 in is the most, University of Minnesota Extension), straw, leaves and
 * chips 3 in, 2 to 4 (common practice). */
double haul_depth_m(enum haul what, enum unit_system units);
const double *haul_depths_m(enum haul what, enum unit_system units);
/* Loads for so much, in whole ones: barrows, of straw bales. */
int haul_loads(enum haul what, double m3, enum unit_system units);
/* "19 cu ft (9.4 to 38): 4 wheelbarrows of 6 cu ft (2 to 7), or 19 bags of 40 lb (10 to 38)": so
 * much at the typical depth, at the low and the high one. NULL: out of memory. */
const char *haul_words(struct arena *arena, enum haul what, double m3, enum unit_system units);

/* What the ground is mulched with, and the paths of a plot: as the garden file says, else straw,
 * and on paths wood chips where no rule of the plot bans them. */
enum haul haul_beds(const struct garden *garden);
enum haul haul_paths(const struct garden *garden, const struct plot *plot);

#define HAUL_HOURS 0.2 /* to fetch and spread a barrow or a bale (common practice) */

#endif
