/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLACE_H
#define PLACE_H
/* From blocks to lines and stations with coordinates. */
#include "plan.h"

/* Fills plan->lines and plan->stations from plan->blocks, and station numbers: hills 1, 2, ...
 * through the whole plan in reading order of the map (plot by plot, block by block, line by line),
 * row spots "b3.1.12". */
HR_CHECKED hr_status place_stations(struct plan *plan);

#endif
