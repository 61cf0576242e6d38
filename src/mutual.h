/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MUTUAL_H
#define MUTUAL_H
/* What stands next to each other in a zone takes of each other's light, remembered: for hundreds of
 * thousands of fillings. */
#include "menu.h"
#include "program.h"

/* A part of a shared line. */
struct mutual_part {
    int item, stations;
    double from_m, to_m; /* along the line */
};

/* What stands side by side in a zone: lines of an item, or the parts of a shared line in the order
 * they stand. */
struct mutual_unit {
    int item, lines; /* of a block */
    int nparts;      /* 0: it is a block */
    struct mutual_part parts[SHARED_PARTS_MAX];
    double depth_m;
};

enum mutual_side { MUTUAL_BEFORE, MUTUAL_BEHIND }; /* across the rows */

struct mutual;

/* For the zone's items. work: what looking into the sky takes is taken off it. NULL: no memory. */
struct mutual *mutual_new(const struct garden *garden, const struct zones *zones,
                          const struct menu *menu, size_t zone, long *work, struct arena *arena);
/* The share of the site's light that a block (part -1) or a part of a shared line loses at least
 * while another unit stands next to it on one side. What both sides take adds up, as rays
 * of one side meet nothing of the other; further canopies only take more. 0 when memory runs out.
 */
double mutual_beside(struct mutual *m, const struct mutual_unit *own, int part,
                     enum mutual_side side, const struct mutual_unit *other);
/* The share that a part of a shared line loses at least to those at its ends. */
double mutual_within(struct mutual *m, const struct mutual_unit *own, int part);

#endif
