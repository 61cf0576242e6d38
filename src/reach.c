/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "reach.h"

#include <math.h>

#include "diag.h"
#include "num.h"
#include "str.h"

#define GRID    17   /* points each way, ends included */
#define SLACK_M 0.01 /* farther by less is within reach */

static double stretch_distance(struct point a, struct point b, double x, double y)
{
    double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    double t = square > 0 ? num_clamp(((x - a.x) * dx + (y - a.y) * dy) / square, 0, 1) : 0;
    return hypot(x - a.x - t * dx, y - a.y - t * dy);
}

/* Sides that are not described are open. A gate in a wall is a way in, no place to work from. */
static bool side_stands(const struct plot *plot, size_t side)
{
    const struct edge *edges = plot->edges.items;
    for (size_t i = 0; i < plot->edges.n; i++)
        if (edges[i].side.v == (double)(side + 1))
            return edges[i].kind.v == EDGE_OPEN || edges[i].kind.v == EDGE_PATH;
    return true;
}

static double access_distance(const struct plot *plot, const struct point *corners, size_t n,
                              double x, double y)
{
    double nearest = HUGE_VAL;
    for (size_t i = 0; i < n; i++)
        if (side_stands(plot, i))
            nearest =
                fmin(nearest, stretch_distance(corners[i], corners[i + 1 < n ? i + 1 : 0], x, y));
    const struct path *paths = plot->paths.items;
    for (size_t i = 0; i < plot->paths.n; i++) {
        double middle = stretch_distance(paths[i].from, paths[i].to, x, y);
        nearest = fmin(nearest, fmax(0, middle - paths[i].width_m.v / 2));
    }
    return nearest;
}

double reach_needed(const struct plot *plot, const struct point *corners, size_t n, struct rect r)
{
    double farthest = 0;
    for (int i = 0; i < GRID; i++)
        for (int k = 0; k < GRID; k++) {
            double x = r.x0 + (r.x1 - r.x0) * i / (GRID - 1.0);
            double y = r.y0 + (r.y1 - r.y0) * k / (GRID - 1.0);
            farthest = fmax(farthest, access_distance(plot, corners, n, x, y));
        }
    return farthest;
}

/* What is picked again and again has to be got at most. */
static void note_fresh(const struct garden *garden, struct arena *arena, struct diags *diags)
{
    struct strbuf names;
    const struct seed *first = NULL;
    strbuf_init(&names, arena);
    for (size_t s = 0; s < garden->seed.n; s++) {
        const struct seed *seed = garden_seed(garden, s);
        if (seed_harvest(seed) != HARVEST_FRESH)
            continue;
        strbuf_printf(&names, "%s%s", first ? ", " : "", seed->variety.s);
        first = first ? first : seed;
    }
    if (first && !names.failed)
        diag_note(diags, first->at, "picked again and again, so keep it within reach there: %s",
                  names.p);
}

void reach_check(const struct garden *garden, const struct zones *zones, struct arena *arena,
                 struct diags *diags)
{
    for (size_t i = 0; i < garden->plots.n; i++) {
        const struct plot *plot = garden_plot(garden, i);
        size_t n = 0;
        const struct point *corners = plot->reach_m.set ? plot_corners(arena, plot, &n) : NULL;
        double farthest = 0;
        for (size_t z = 0; corners && z < zones->n; z++)
            if (zones->items[z].plot == (int)i)
                farthest = fmax(farthest, reach_needed(plot, corners, n, zones->items[z].r));
        char text[64];
        if (corners && farthest > plot->reach_m.v + SLACK_M) {
            diag_warning(
                diags, plot->reach_m.at, "out-of-reach",
                "some ground of plot `%s` is farther than that from an open side or a "
                "path: %s",
                plot->name.s,
                unit_length(text, sizeof text, farthest, (enum unit_system)garden->units.v));
            note_fresh(garden, arena, diags);
        }
    }
}
