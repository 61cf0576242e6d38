/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "neighbour.h"

#include <math.h>

#include "num.h"
#include "season.h"

#define STRIP_ROWS 3 /* of points, along the side */
#define ROW_LEAST  4 /* points in one */
#define ROW_MOST   12
#define ROW_STEP_M 1.0

/* Points in the middles of equal parts of the strip outside the side from a to b. */
static void strip_points(struct neighbour *n, struct point a, struct point b)
{
    double dx = b.x - a.x, dy = b.y - a.y, length = hypot(dx, dy);
    int columns = (int)num_clamp(ceil(length / ROW_STEP_M), ROW_LEAST, ROW_MOST);
    n->npoints = STRIP_ROWS * columns;
    for (int i = 0; i < n->npoints; i++) {
        int row = i / columns, column = i % columns;
        double along = (column + 0.5) / columns;
        double out = NEIGHBOUR_STRIP_M * (row + 0.5) / STRIP_ROWS;
        /* corners run counter-clockwise: outside is to the right of the way from a to b */
        n->x[i] = a.x + dx * along + (length > 0 ? dy / length * out : 0);
        n->y[i] = a.y + dy * along - (length > 0 ? dx / length * out : 0);
    }
}

static hr_status find_sides(const struct garden *garden, int index, struct arena *arena,
                            struct neighbour *found, int *n)
{
    const struct plot *plot = garden_plot(garden, (size_t)index);
    const struct edge *edges = plot->edges.items;
    size_t ncorners = 0;
    const struct point *corners = plot_corners(arena, plot, &ncorners);
    int from, to, here = 0;
    if (!corners)
        return HR_NOMEM;
    season_frost_free(&garden->site, &from, &to);
    for (size_t e = 0; e < plot->edges.n && here < EDGE_SHADES_MAX; e++) {
        if (!edges[e].shade.set || edges[e].side.v < 1)
            continue;
        struct neighbour *next = &found[(*n)++];
        size_t side = (size_t)edges[e].side.v - 1;
        next->plot = index;
        next->edge = &edges[e];
        next->most = edges[e].shade.v;
        light_season(garden->site.latitude.v, plot->bearing.v, from, to, LIGHT_DIFFUSE_SHARE,
                     &next->season);
        strip_points(next, corners[side % ncorners], corners[(side + 1) % ncorners]);
        here++;
    }
    return HR_OK;
}

hr_status neighbours_find(const struct garden *garden, struct arena *arena, struct neighbour **out,
                          int *n)
{
    size_t most = 0;
    int count = 0;
    for (size_t p = 0; p < garden->plots.n; p++) {
        const struct edge *edges = garden_plot(garden, p)->edges.items;
        for (size_t e = 0; e < garden_plot(garden, p)->edges.n; e++)
            most += edges[e].shade.set;
    }
    struct neighbour *found = ARENA_ARRAY(arena, struct neighbour, most);
    hr_status status = found ? HR_OK : HR_NOMEM;
    for (size_t p = 0; p < garden->plots.n && most > 0 && status == HR_OK; p++)
        status = find_sides(garden, (int)p, arena, found, &count);
    if (status != HR_OK)
        return status;
    *out = found;
    *n = count;
    return HR_OK;
}

double neighbour_loss(const struct neighbour *n, struct shader *shaders,
                      const struct growth *growth, int nshaders)
{
    double light = 0;
    for (int p = 0; p < LIGHT_PARTS; p++) {
        const struct sky *sky = &n->season.part[p];
        for (int i = 0; i < nshaders; i++)
            light_missing(sky, growth[i], shaders[i].missing);
        light += n->season.weight[p] *
                 light_on_points(sky, n->x, n->y, n->npoints, LIGHT_GROUND_M, shaders, nshaders);
    }
    return light < 1 - 1e-12 ? 1 - light : 0;
}
