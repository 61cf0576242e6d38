/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef HAUL_H
#define HAUL_H
/* What goes on the ground, in the loads a gardener carries. */
#include "arena.h"
#include "units.h"

enum haul { HAUL_COMPOST, HAUL_STRAW, HAUL_CHIPS };

/* How deep it is laid, in round figures of the units, m: compost half an inch a year (1 in is the
 * most, University of Minnesota Extension), straw and chips 3 in (common practice). */
double haul_depth_m(enum haul what, enum unit_system units);
/* Loads for so much, in whole ones: barrows, of straw bales. */
int haul_loads(enum haul what, double m3, enum unit_system units);
/* "19 cu ft: 4 wheelbarrows of 6 cu ft, or 19 bags of 40 lb". NULL: out of memory. */
const char *haul_words(struct arena *arena, enum haul what, double m3, enum unit_system units);

#define HAUL_HOURS 0.2 /* to fetch and spread a barrow or a bale (common practice) */

#endif
