/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "place.h"

#include <math.h>
#include <stdio.h>

#define STATIONS_MAX 4000000 /* more than any ground of a garden file holds */

struct placing {
    struct plan *plan;
    struct line *lines;
    struct station *stations;
    int nlines, nstations;
    int hills; /* numbered so far */
};

/* A point of the zone's frame (along and across the rows, from its first corner) in the plot's. */
static void to_plot(const struct zone *zone, double along, double across, double *x, double *y)
{
    *x = zone->r.x0 + (zone->along_x ? along : across);
    *y = zone->r.y0 + (zone->along_x ? across : along);
}

/* false: the number does not fit. */
static bool number_station(struct placing *p, struct station *s, enum system system)
{
    int n;
    if (system == SYSTEM_HILLS)
        n = snprintf(s->id, sizeof s->id, "%d", ++p->hills);
    else
        n = snprintf(s->id, sizeof s->id, "b%d.%d.%d", s->block + 1, s->line + 1, s->index + 1);
    return n > 0 && (size_t)n < sizeof s->id;
}

/* Line i of block b and its stations. */
static bool place_line(struct placing *p, int b, int i)
{
    const struct block *block = &p->plan->blocks[b];
    const struct planting *planting = block->planting;
    const struct zone *zone = &p->plan->zones.items[block->zone];
    double spare = block->depth_m - planting_depth(planting, block->lines); /* of a shared line */
    double across = block->start_m + spare / 2 + planting_line_at(planting, i);
    struct line *line = &p->lines[p->nlines++];
    *line = (struct line){.block = b, .index = i, .first = p->nstations};
    line->n = planting_stations(planting, block->length_m, i % 2);
    double end =
        fmin(block->along_m + block->length_m, zone->length_m); /* vines may spill farther */
    to_plot(zone, fmax(block->along_m, 0), across, &line->x0, &line->y0);
    to_plot(zone, end, across, &line->x1, &line->y1);
    for (int j = 0; j < line->n; j++) {
        struct station *s = &p->stations[p->nstations++];
        *s = (struct station){.plot = zone->plot, .block = b, .line = i, .index = j};
        double along = block->along_m + planting_station_at(planting, i % 2, j);
        to_plot(zone, along, across, &s->x_m, &s->y_m);
        for (int k = 0; k < planting->nparts; k++)
            if (planting_stands_at(planting, k, i % 2, j))
                s->plants[k] = planting->parts[k].per_station;
        if (!number_station(p, s, planting->system))
            return false;
    }
    return true;
}

static size_t block_stations(const struct block *block)
{
    double length = block->length_m;
    size_t odd = (size_t)planting_stations(block->planting, length, 0);
    size_t even = (size_t)planting_stations(block->planting, length, 1);
    return (size_t)(block->lines - block->lines / 2) * odd + (size_t)(block->lines / 2) * even;
}

hr_status place_stations(struct plan *plan)
{
    size_t lines = 0, stations = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        lines += (size_t)plan->blocks[b].lines;
        stations += block_stations(&plan->blocks[b]);
        if (lines > STATIONS_MAX || stations > STATIONS_MAX)
            return HR_NOMEM;
    }
    struct placing p = {.plan = plan};
    p.lines = ARENA_ARRAY(plan->arena, struct line, lines);
    p.stations = ARENA_ARRAY(plan->arena, struct station, stations);
    if (!p.lines || !p.stations)
        return HR_NOMEM;
    for (int b = 0; b < plan->nblocks; b++)
        for (int i = 0; i < plan->blocks[b].lines; i++)
            if (!place_line(&p, b, i))
                return HR_NOMEM;
    plan->lines = p.lines;
    plan->nlines = p.nlines;
    plan->stations = p.stations;
    plan->nstations = p.nstations;
    return HR_OK;
}
