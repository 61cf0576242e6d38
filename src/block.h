/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BLOCK_H
#define BLOCK_H
/* Lines of one planting side by side in a zone, or its part of a line that several share. */
#include "light.h"
#include "planting.h"

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

/* Ground a block is charged with, m2: what its own lines take. */
static inline double block_area(const struct block *block)
{
    return planting_depth(block->planting, block->lines) * block->length_m;
}
/* The ground a block takes, in the plot frame; with what its vines cover beyond its zone. */
struct rect block_rect(const struct block *block, const struct zone *zone);
/* The part of that in its zone. */
struct rect block_ground(const struct block *block, const struct zone *zone);
/* A block's canopy as a shader, full grown, and when it stands: the growth of its tallest part. */
struct shader block_shader(const struct block *block, const struct zone *zone);
struct growth block_growth(const struct block *block);

#endif
