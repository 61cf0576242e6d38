/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ROTATION_H
#define ROTATION_H
/* Ground on which a family stood in former years: zones are cut along it, and the family keeps off
 * it. */
#include "zone.h"

/* Overlaps no wider than this are rounding of former plans, not ground. */
#define ROTATION_SLACK_M 0.01

/* In one zone no more pieces of former ground of one family are looked at; where there are more it
 * counts as wholly so. */
#define ROTATION_PIECES_MAX 100

/* Cuts the zones from `first` on, all of one plot and direction, where ground begins and ends that
 * a family keeps off or avoids, across the rows; a piece too shallow for a line stays with its
 * neighbour, or is left idle where a family would have to keep off much more for it. Stops at
 * `most` zones. HR_NOMEM. */
HR_CHECKED hr_status rotation_cut(const struct garden *g, struct zones *zones, size_t first,
                                  size_t most, struct arena *scratch);
/* The former ground of the crop's family that lies in the zone, of the latest year; NULL: none. */
const struct former *rotation_former(const struct garden *g, const struct zone *zone,
                                     const struct crop *crop);
/* Share of the zone's ground on which the crop's family stood in any of the years. */
double rotation_share(const struct garden *g, const struct zone *zone, const struct crop *crop);
/* By what share the crop's food counts for less in the zone: `cost` of that with `rule: avoid`,
 * else nothing. */
double rotation_cost(const struct garden *g, const struct zone *zone, const struct crop *crop);
/* Whether the crop may not stand in the zone. */
bool rotation_bars(const struct garden *g, const struct zone *zone, const struct crop *crop);

#endif
