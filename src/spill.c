/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "spill.h"

#include <math.h>

#define SLACK_M 0.02 /* a strip wider than the border by less is the border */
#define INSET_M 1e-6 /* corners of a zone may lie on the ends of a side */

/* Along the rows is u, across them is v. */
struct uv {
    double u, v;
};

static struct uv uv_of(const struct zone *zone, struct point p)
{
    return zone->along_x ? (struct uv){p.x, p.y} : (struct uv){p.y, p.x};
}

/* The first side met from (u, v) along the rows in direction `way` (1, -1), and how far off it is;
 * SIZE_MAX: none. */
static size_t side_ahead(const struct zone *zone, const struct point *corners, size_t n,
                         struct uv from, double way, double *gap)
{
    size_t found = SIZE_MAX;
    for (size_t i = 0; i < n; i++) {
        struct uv a = uv_of(zone, corners[i]), b = uv_of(zone, corners[i + 1 < n ? i + 1 : 0]);
        if ((a.v > from.v) == (b.v > from.v))
            continue;
        double u = a.u + (b.u - a.u) * (from.v - a.v) / (b.v - a.v);
        double ahead = way * (u - from.u);
        if (ahead < -INSET_M || (found != SIZE_MAX && ahead >= *gap))
            continue;
        found = i;
        *gap = ahead;
    }
    return found;
}

static bool side_overhangs(const struct plot *plot, size_t side)
{
    const struct edge *edges = plot->edges.items;
    for (size_t i = 0; i < plot->edges.n; i++)
        if (edges[i].side.v == (double)(side + 1))
            return edges[i].overhang.v;
    return false;
}

/* Of two points on the rows' ends, how far a side is off at right angles. */
static double square_gap(const struct zone *zone, const struct point *corners, size_t n,
                         size_t side, double gap)
{
    struct uv a = uv_of(zone, corners[side]), b = uv_of(zone, corners[side + 1 < n ? side + 1 : 0]);
    double length = hypot(b.u - a.u, b.v - a.v);
    return length > 0 ? gap * fabs(b.v - a.v) / length : gap;
}

/* Behind a fixed path or an obstacle the gap is wider than the border: vines stay off those. */
static double spill_at(const struct plot *plot, const struct point *corners, size_t n,
                       const struct zone *zone, double way)
{
    struct uv low = uv_of(zone, (struct point){.x = zone->r.x0, .y = zone->r.y0});
    struct uv high = uv_of(zone, (struct point){.x = zone->r.x1, .y = zone->r.y1});
    double u = way > 0 ? high.u : low.u, gap[2] = {0, 0};
    size_t a = side_ahead(zone, corners, n, (struct uv){u, low.v + INSET_M}, way, &gap[0]);
    size_t b = side_ahead(zone, corners, n, (struct uv){u, high.v - INSET_M}, way, &gap[1]);
    if (a == SIZE_MAX || a != b || !side_overhangs(plot, a))
        return 0;
    double near = fmin(gap[0], gap[1]);
    if (square_gap(zone, corners, n, a, near) > plot->border_m.v + SLACK_M)
        return 0;
    return near + SPILL_OVER_M;
}

static bool any_shade_limit(const struct plot *plot)
{
    const struct edge *edges = plot->edges.items;
    for (size_t i = 0; i < plot->edges.n; i++)
        if (edges[i].shade.set)
            return true;
    return false;
}

void spill_find(const struct plot *plot, const struct point *corners, size_t n, struct zone *zone)
{
    struct zone across = *zone; /* as if its rows ran the other way */
    across.along_x = !zone->along_x;
    bool limited = any_shade_limit(plot);
    for (int end = 0; end < 2; end++) {
        double way = end == 0 ? -1 : 1;
        zone->spill_m[end] = spill_at(plot, corners, n, zone, way);
        zone->over_m[end] = limited ? 0 : spill_at(plot, corners, n, &across, way);
    }
}
