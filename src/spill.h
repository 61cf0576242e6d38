/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SPILL_H
#define SPILL_H
/* Paths that vines may spill over: how far canopies, never stems, may reach beyond the ends of a
 * zone's rows. */
#include "zone.h"

#define SPILL_OVER_M                                                                               \
    0.6 /* of a path that vines may cover (2 ft; an estimate: it can still be walked) */

/* Fills spill_m of a zone of the plot: the border strip and SPILL_OVER_M where the whole end of its
 * rows faces one side of the plot with `overhang`, else 0. */
void spill_find(const struct plot *plot, const struct point *corners, size_t n, struct zone *zone);

#endif
