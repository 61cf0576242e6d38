/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ARRANGE_H
#define ARRANGE_H
/* The order of the blocks in each zone, so that shade costs least food, and the light each gets. */
#include "allocate.h"
#include "light.h"
#include "setback.h"

struct block {
    int zone;
    int item; /* in menu->items, -1 in a plan read back and of what stands already */
    const struct planting *planting;
    int lines;
    double start_m;  /* from the zone's first side across the rows (y0 for rows along x, x0 else);
                      * below 0 where vines lie over a path there */
    double depth_m;  /* planting_depth of its lines; in a shared line that of its widest part */
    bool shared;     /* one part of a line that several crops share */
    double along_m;  /* from the zone's start along the rows; > 0 in a shared line */
    double length_m; /* along the rows: the zone's, or in a shared line that of its stations */
    double light[STAND_PARTS_MAX]; /* share of full light, each part */
};

struct arrangement {
    struct block *blocks; /* by zone, then start; the last menu->nstanding stand already */
    int n;
    struct food food; /* typical */
    double value;     /* of the goal, weighed */
    double excess;    /* what neighbours lose beyond their limits, shares of their light added up */
};

/* Least excess first, then most food. Exact over the orders of a zone of up to 6 strips (blocks, or
 * blocks side by side in a shared line), else by exchange; zones swept until none gains. Left-over
 * depth goes to the far end of the zone, or to the end where a line has to keep away from a
 * neighbour. Where blocks take more than the depth, the ones at the ends are such as may have that
 * much over a path. */
HR_CHECKED hr_status arrange(const struct garden *garden, const struct zones *zones,
                             const struct menu *menu, const struct allocation *allocation,
                             struct arena *arena, struct arrangement *out);
/* Share of a neighbour's light that the blocks of its plot take, but for those that stand already.
 */
double arrange_loss(const struct neighbour *neighbour, const struct zones *zones,
                    const struct block *blocks, int n);
/* Ground a block is charged with, m2: what its own lines take. */
static inline double block_area(const struct block *block)
{
    return planting_depth(block->planting, block->lines) * block->length_m;
}
/* The ground a block takes, in the plot frame; with what its vines cover beyond its zone. */
struct rect block_rect(const struct block *block, const struct zone *zone);
/* The part of that in its zone. */
struct rect block_ground(const struct block *block, const struct zone *zone);
/* Typical kg of each part of a block at its light. */
void block_harvest(const struct menu *menu, const struct block *block, double *kg);
/* A block's canopy as a shader, full grown, and when it stands: the growth of its tallest part. */
struct shader block_shader(const struct block *block, const struct zone *zone);
struct growth block_growth(const struct block *block);

#endif
