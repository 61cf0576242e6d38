/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SPILL_H
#define SPILL_H
/* Paths that vines may spill over: how far canopies, never stems, may reach beyond the ends of a
 * zone's rows, and beyond its first and last line. */
#include "zone.h"

#define SPILL_OVER_M                                                                               \
    0.6 /* of a path that vines may cover (2 ft; an estimate: it can still be walked) */

/* Fills spill_m of a zone of the plot: the border strip and SPILL_OVER_M where the whole end of its
 * rows faces one side of the plot with `overhang`, else 0. And over_m, where the whole of its first
 * or last line does; 0 on a plot with a limit on the shade beyond any side, whose setbacks are
 * reckoned for lines on the zone. */
void spill_find(const struct plot *plot, const struct point *corners, size_t n, struct zone *zone);

#endif
