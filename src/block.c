/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "block.h"

#include <math.h>

struct rect block_rect(const struct block *block, const struct zone *zone)
{
    double across0 = block->start_m, across1 = across0 + block->depth_m;
    double along0 = block->along_m, along1 = along0 + block->length_m;
    struct rect r = zone->r;
    if (zone->along_x)
        return (struct rect){r.x0 + along0, r.y0 + across0, r.x0 + along1, r.y0 + across1};
    return (struct rect){r.x0 + across0, r.y0 + along0, r.x0 + across1, r.y0 + along1};
}

struct rect block_ground(const struct block *block, const struct zone *zone)
{
    struct rect r = block_rect(block, zone), in = zone->r;
    return (struct rect){fmax(r.x0, in.x0), fmax(r.y0, in.y0), fmin(r.x1, in.x1),
                         fmin(r.y1, in.y1)};
}

struct shader block_shader(const struct block *block, const struct zone *zone)
{
    return (struct shader){
        .r = block_rect(block, zone),
        .height_m = block->planting->height_m,
        .extinction_per_m = block->planting->extinction_per_m,
        .surface_light = 1,
    };
}

struct growth block_growth(const struct block *block)
{
    const struct part *top = &block->planting->parts[planting_tallest(block->planting)];
    return (struct growth){top->season.sow, part_gone(top)};
}
