/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ARRANGE_H
#define ARRANGE_H
/* The order of the blocks in each zone, so that shade costs least food, and the light each gets. */
#include "allocate.h"
#include "block.h"
#include "setback.h"

struct arrangement {
    struct block *blocks; /* by zone, then start; the last menu->nstanding stand already */
    int n;
    struct food food; /* typical */
    double value;     /* of the goal, weighed */
    double excess;    /* what neighbours lose beyond their limits, shares of their light added up */
};

/* Blocks shade those of their plot, and of plots up to 12 m away that have a place in the garden.
 * Least excess first, then most food. Exact over the orders of a zone of up to 6 strips (blocks, or
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
/* Typical kg of each part of a block at its light. */
void block_harvest(const struct menu *menu, const struct block *block, double *kg);

#endif
