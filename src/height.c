/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "height.h"

#include <math.h>

#include "num.h"

#define HALVES  50   /* of a plot's width: a cut is then exact to rounding */
#define NEAR_M  1e-6 /* less is touching */
#define GRAIN_M 1e-9

/* One side with its rule. */
struct rule {
    struct point a, b;
    double tallest_m, within_m; /* HUGE_VAL: the whole plot */
};

static double point_distance(const struct rule *rule, double x, double y)
{
    double dx = rule->b.x - rule->a.x, dy = rule->b.y - rule->a.y, square = dx * dx + dy * dy;
    double t = square > 0 ? ((x - rule->a.x) * dx + (y - rule->a.y) * dy) / square : 0;
    t = num_clamp(t, 0, 1);
    return hypot(x - rule->a.x - t * dx, y - rule->a.y - t * dy);
}

static double rect_distance_to(const struct rect *r, struct point p)
{
    return hypot(p.x - num_clamp(p.x, r->x0, r->x1), p.y - num_clamp(p.y, r->y0, r->y1));
}

/* Of a rectangle from the side, which does not run into it: the nearest pair has a corner of one or
 * an end of the other. */
static double rect_nearest(const struct rule *rule, const struct rect *r)
{
    double near = fmin(rect_distance_to(r, rule->a), rect_distance_to(r, rule->b));
    near = fmin(near, fmin(point_distance(rule, r->x0, r->y0), point_distance(rule, r->x1, r->y0)));
    return fmin(near, fmin(point_distance(rule, r->x0, r->y1), point_distance(rule, r->x1, r->y1)));
}

static double rect_farthest(const struct rule *rule, const struct rect *r)
{
    double far = fmax(point_distance(rule, r->x0, r->y0), point_distance(rule, r->x1, r->y0));
    return fmax(far, fmax(point_distance(rule, r->x0, r->y1), point_distance(rule, r->x1, r->y1)));
}

/* Moves the near edge of *far away from the side until the rule no longer reaches it. */
static double *near_edge(const struct rule *rule, struct rect *far, double *other)
{
    bool level = fabs(rule->b.x - rule->a.x) >= fabs(rule->b.y - rule->a.y);
    double middle = level ? (rule->a.y + rule->b.y) / 2 : (rule->a.x + rule->b.x) / 2;
    double *low = level ? &far->y0 : &far->x0, *high = level ? &far->y1 : &far->x1;
    bool below = middle <= (*low + *high) / 2;
    *other = below ? *high : *low;
    return below ? low : high;
}

static struct rect far_part(const struct rule *rule, const struct rect *r)
{
    struct rect far = *r;
    double other, *edge = near_edge(rule, &far, &other), near = *edge, beyond = other;
    for (int i = 0; i < HALVES; i++) {
        double middle = (near + beyond) / 2;
        *edge = middle;
        if (rect_nearest(rule, &far) >= rule->within_m)
            beyond = middle;
        else
            near = middle;
    }
    *edge = round(beyond / GRAIN_M) * GRAIN_M;
    return far;
}

/* What far leaves of r. */
static struct rect near_part(const struct rect *r, const struct rect *far)
{
    struct rect near = *r;
    if (far->x0 > r->x0)
        near.x1 = far->x0;
    else if (far->x1 < r->x1)
        near.x0 = far->x1;
    else if (far->y0 > r->y0)
        near.y1 = far->y0;
    else
        near.y0 = far->y1;
    return near;
}

static struct zone zone_with(const struct zone *zone, struct rect r)
{
    struct zone z = *zone;
    double dx = round((r.x1 - r.x0) / GRAIN_M) * GRAIN_M;
    double dy = round((r.y1 - r.y0) / GRAIN_M) * GRAIN_M;
    z.r = r;
    z.length_m = z.along_x ? dx : dy;
    z.depth_m = z.along_x ? dy : dx;
    return z;
}

static bool plantable(const struct zone *z)
{
    return z->length_m >= ZONE_LEAST_LENGTH_M && z->depth_m >= ZONE_LEAST_DEPTH_M;
}

static void limit(struct zone *z, double tallest_m)
{
    z->tallest_m = z->tallest_m > 0 ? fmin(z->tallest_m, tallest_m) : tallest_m;
}

/* Zone i under the rule: left alone, limited, or cut, when the other part comes right behind it. */
static void rule_apply(const struct rule *rule, struct zones *zones, size_t i)
{
    struct zone *z = &zones->items[i];
    if (rect_nearest(rule, &z->r) >= rule->within_m - NEAR_M)
        return;
    struct rect beyond = far_part(rule, &z->r);
    struct zone far = zone_with(z, beyond), near = zone_with(z, near_part(&z->r, &beyond));
    if (rect_farthest(rule, &z->r) <= rule->within_m || !plantable(&far) || zones->n >= ZONES_MAX) {
        limit(z, rule->tallest_m);
        return;
    }
    if (!plantable(&near)) {
        *z = far;
        return;
    }
    limit(&near, rule->tallest_m);
    for (size_t k = zones->n++; k > i + 1; k--)
        zones->items[k] = zones->items[k - 1];
    bool near_first = near.r.x0 < far.r.x0 || near.r.y0 < far.r.y0;
    zones->items[i] = near_first ? near : far;
    zones->items[i + 1] = near_first ? far : near;
}

/* Each rule of the plot's sides, for every zone from `first` on. */
static hr_status each_rule(const struct plot *plot, struct zones *zones, size_t first,
                           struct arena *arena,
                           void (*apply)(const struct rule *rule, struct zones *zones, size_t i))
{
    const struct edge *edges = plot->edges.items;
    size_t n = 0;
    const struct point *corners = plot_corners(arena, plot, &n);
    if (!corners)
        return HR_NOMEM;
    for (size_t k = 0; k < plot->edges.n; k++) {
        size_t side = (size_t)num_clamp(edges[k].side.v, 1, (double)n) - 1;
        struct rule rule = {corners[side], corners[side + 1 < n ? side + 1 : 0],
                            edges[k].tallest_m.v, HUGE_VAL};
        if (edges[k].within_m.set)
            rule.within_m = edges[k].within_m.v;
        for (size_t i = zones->n; edges[k].tallest_m.set && i > first; i--)
            apply(&rule, zones, i - 1);
    }
    return HR_OK;
}

static void rule_limit(const struct rule *rule, struct zones *zones, size_t i)
{
    if (rect_nearest(rule, &zones->items[i].r) < rule->within_m - NEAR_M)
        limit(&zones->items[i], rule->tallest_m);
}

hr_status height_cut(const struct plot *plot, struct zones *zones, size_t first,
                     struct arena *arena)
{
    return each_rule(plot, zones, first, arena, rule_apply);
}

hr_status height_limit(const struct plot *plot, struct zones *zones, size_t first,
                       struct arena *arena)
{
    return each_rule(plot, zones, first, arena, rule_limit);
}
