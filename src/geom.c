/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "geom.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define GEOS_USE_ONLY_R_API
#include <geos_c.h>

#include "diag.h"
#include "num.h"

#define FARTHEST_M   1e6  /* coordinates beyond it are refused */
#define GRID_M       1e-8 /* results are rounded to it: finer than a 32nd of an inch */
#define TOUCH_M      1e-6 /* nearer than this is touching, not crossing */
#define ROUND_SIDES  32   /* of a round obstacle; its polygon stands around the circle */
#define MITRE_LIMIT  5.0
#define BUFFER_SIDES 8

/* A polygon is asked many small questions and changed never: GEOS makes it, then only its sides are
 * kept. */
struct side {
    double x[2], y[2]; /* m */
};

struct geom {
    struct side *sides;   /* of all rings, in GEOS' normal order */
    double (*blocked)[2]; /* room for geom_band, one per side */
    size_t n;
    double area;
    struct rect bounds;
};

/* ---- making ------------------------------------------------------------------------------- */

/* One run of GEOS: its context, the plot it works for, what it said. */
struct maker {
    GEOSContextHandle_t geos;
    const struct plot *plot;
    struct diags *diags;
    char said[200];
};

static void keep_message(const char *message, void *data)
{
    struct maker *m = data;
    snprintf(m->said, sizeof m->said, "%s", message);
}

/* GEOS failed at `at`. C++ tells of memory by an exception like any other. */
static hr_status refuse(struct maker *m, struct pos at)
{
    if (strstr(m->said, "bad_alloc"))
        return HR_NOMEM;
    diag_error(m->diags, at, "ground", "the ground of plot `%s` cannot be worked out: %s",
               m->plot->name.s ? m->plot->name.s : "", m->said[0] ? m->said : "it is no polygon");
    return HR_INPUT;
}

static bool point_sound(struct point p)
{
    return isfinite(p.x) && isfinite(p.y) && fabs(p.x) <= FARTHEST_M && fabs(p.y) <= FARTHEST_M;
}

/* A polygon of n corners; NULL with a message when it is none. */
static GEOSGeometry *polygon(struct maker *m, const struct point *p, size_t n)
{
    m->said[0] = '\0';
    if (n < 3 || n > UINT32_MAX / 2) {
        keep_message("it has fewer than three corners", m);
        return NULL;
    }
    for (size_t i = 0; i < n; i++)
        if (!point_sound(p[i])) {
            keep_message("a corner lies beyond all bounds", m);
            return NULL;
        }
    GEOSCoordSequence *s = GEOSCoordSeq_create_r(m->geos, (unsigned)n + 1, 2);
    if (!s)
        return NULL;
    for (size_t i = 0; i <= n; i++)
        if (!GEOSCoordSeq_setXY_r(m->geos, s, (unsigned)i, p[i % n].x, p[i % n].y)) {
            GEOSCoordSeq_destroy_r(m->geos, s);
            return NULL;
        }
    GEOSGeometry *ring = GEOSGeom_createLinearRing_r(m->geos, s); /* takes s over, come what may */
    GEOSGeometry *made = ring ? GEOSGeom_createPolygon_r(m->geos, ring, NULL, 0) : NULL;
    char *reason = NULL;
    GEOSGeometry *where = NULL;
    if (made && GEOSisValidDetail_r(m->geos, made, 0, &reason, &where) != 1) {
        keep_message(reason ? reason : "it is no polygon", m);
        GEOSGeom_destroy_r(m->geos, made);
        made = NULL;
    }
    GEOSFree_r(m->geos, reason);
    GEOSGeom_destroy_r(m->geos, where);
    return made;
}

/* Puts `made` in the place of *g; false when there is none. */
static bool replace(struct maker *m, GEOSGeometry **g, GEOSGeometry *made)
{
    GEOSGeom_destroy_r(m->geos, *g);
    *g = made;
    return made != NULL;
}

static hr_status outline_make(struct maker *m, struct arena *arena, GEOSGeometry **out)
{
    size_t n = 0;
    const struct point *corners = plot_corners(arena, m->plot, &n);
    if (!corners)
        return HR_NOMEM;
    *out = polygon(m, corners, n);
    return *out ? HR_OK : refuse(m, m->plot->outline.set ? m->plot->outline.at : m->plot->at);
}

static GEOSGeometry *round_obstacle(struct maker *m, const struct obstacle *o)
{
    struct point p[ROUND_SIDES];
    double radius = o->radius_m.v / cos(M_PI / ROUND_SIDES);
    for (int i = 0; i < ROUND_SIDES; i++) {
        double angle = 2 * M_PI * i / ROUND_SIDES;
        p[i] = (struct point){.x = o->place.x + radius * cos(angle),
                              .y = o->place.y + radius * sin(angle)};
    }
    return polygon(m, p, ROUND_SIDES);
}

static GEOSGeometry *path_strip(struct maker *m, const struct path *path)
{
    double dx = path->to.x - path->from.x, dy = path->to.y - path->from.y;
    double length = hypot(dx, dy);
    double ax = -dy / length * path->width_m.v / 2, ay = dx / length * path->width_m.v / 2;
    struct point p[4] = {{.x = path->from.x - ax, .y = path->from.y - ay},
                         {.x = path->to.x - ax, .y = path->to.y - ay},
                         {.x = path->to.x + ax, .y = path->to.y + ay},
                         {.x = path->from.x + ax, .y = path->from.y + ay}};
    return polygon(m, p, 4);
}

static GEOSGeometry *standing_ground(struct maker *m, const struct standing *s)
{
    double x0 = s->corner.x, y0 = s->corner.y, x1 = x0 + s->size.x, y1 = y0 + s->size.y;
    struct point p[4] = {
        {.x = x0, .y = y0}, {.x = x1, .y = y0}, {.x = x1, .y = y1}, {.x = x0, .y = y1}};
    return polygon(m, p, 4);
}

/* Whether it takes ground at all; what does not is for the checks to speak of. */
static bool obstacle_takes_ground(const struct obstacle *o)
{
    return o->outline.n > 0 || o->radius_m.v > 0;
}

static bool path_takes_ground(const struct path *path)
{
    return path->width_m.v > 0 &&
           !(hypot(path->to.x - path->from.x, path->to.y - path->from.y) < TOUCH_M);
}

/* Everything of the plot that stays free, as polygons; *at is where the one that failed stands. */
static bool taken_each(struct maker *m, GEOSGeometry **each, size_t *n, struct pos *at)
{
    const struct obstacle *o = m->plot->obstacles.items;
    for (size_t i = 0; i < m->plot->obstacles.n; i++, o++) {
        if (!obstacle_takes_ground(o))
            continue;
        *at = o->at;
        GEOSGeometry *g =
            o->outline.n > 0 ? polygon(m, o->outline.items, o->outline.n) : round_obstacle(m, o);
        if (!g)
            return false;
        each[(*n)++] = g;
    }
    for (size_t i = 0; i < m->plot->standing.n; i++) {
        const struct standing *s = plot_standing(m->plot, i);
        *at = s->at;
        GEOSGeometry *g = standing_ground(m, s);
        if (!g)
            return false;
        each[(*n)++] = g;
    }
    const struct path *path = m->plot->paths.items;
    for (size_t i = 0; i < m->plot->paths.n; i++, path++) {
        if (!path_takes_ground(path))
            continue;
        *at = path->at;
        GEOSGeometry *g = path_strip(m, path);
        if (!g)
            return false;
        each[(*n)++] = g;
    }
    return true;
}

/* Takes obstacles, paths and what stands already out of *ground, all of them at once. */
static hr_status taken_subtract(struct maker *m, struct arena *arena, GEOSGeometry **ground)
{
    size_t most = m->plot->obstacles.n + m->plot->paths.n + m->plot->standing.n, n = 0;
    struct pos at = m->plot->at;
    GEOSGeometry **each = ARENA_ARRAY(arena, GEOSGeometry *, most);
    if (!each)
        return HR_NOMEM;
    if (!taken_each(m, each, &n, &at)) {
        for (size_t i = 0; i < n; i++)
            GEOSGeom_destroy_r(m->geos, each[i]);
        return refuse(m, at);
    }
    if (n == 0)
        return HR_OK;
    GEOSGeometry *taken = /* takes each[] over, come what may */
        GEOSGeom_createCollection_r(m->geos, GEOS_GEOMETRYCOLLECTION, each, (unsigned)n);
    bool good = taken && replace(m, &taken, GEOSUnaryUnion_r(m->geos, taken)) &&
                replace(m, ground, GEOSDifference_r(m->geos, *ground, taken));
    GEOSGeom_destroy_r(m->geos, taken);
    return good ? HR_OK : refuse(m, m->plot->at);
}

/* ---- keeping ------------------------------------------------------------------------------ */

/* Appends the sides of one ring; with sides NULL they are only counted. */
static bool ring_sides(struct maker *m, const GEOSGeometry *ring, struct side *sides, size_t *n)
{
    const GEOSCoordSequence *s = GEOSGeom_getCoordSeq_r(m->geos, ring);
    unsigned points = 0;
    if (!s || !GEOSCoordSeq_getSize_r(m->geos, s, &points))
        return false;
    for (unsigned i = 0; i + 1 < points; i++) {
        if (sides)
            for (unsigned k = 0; k < 2; k++)
                if (!GEOSCoordSeq_getXY_r(m->geos, s, i + k, &sides[*n].x[k], &sides[*n].y[k]))
                    return false;
        (*n)++;
    }
    return true;
}

static bool all_sides(struct maker *m, const GEOSGeometry *g, struct side *sides, size_t *n)
{
    *n = 0;
    int parts = GEOSGetNumGeometries_r(m->geos, g);
    for (int i = 0; i < parts; i++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(m->geos, g, i);
        if (!part || GEOSGeomTypeId_r(m->geos, part) != GEOS_POLYGON)
            continue; /* a line or a point holds no ground */
        if (GEOSisEmpty_r(m->geos, part) == 1)
            continue;
        const GEOSGeometry *ring = GEOSGetExteriorRing_r(m->geos, part);
        if (!ring || !ring_sides(m, ring, sides, n))
            return false;
        int holes = GEOSGetNumInteriorRings_r(m->geos, part);
        for (int h = 0; h < holes; h++) {
            ring = GEOSGetInteriorRingN_r(m->geos, part, h);
            if (!ring || !ring_sides(m, ring, sides, n))
                return false;
        }
    }
    return true;
}

static struct rect sides_bounds(const struct side *sides, size_t n)
{
    if (n == 0)
        return (struct rect){0};
    struct rect r = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; i < n; i++) {
        r.x0 = fmin(r.x0, sides[i].x[0]);
        r.x1 = fmax(r.x1, sides[i].x[0]);
        r.y0 = fmin(r.y0, sides[i].y[0]);
        r.y1 = fmax(r.y1, sides[i].y[0]);
    }
    return r;
}

/* Rounded and put in GEOS' normal order, so that the order of obstacles never shows. */
static hr_status geom_keep(struct maker *m, GEOSGeometry **g, struct geom **out)
{
    if (!replace(m, g, GEOSGeom_setPrecision_r(m->geos, *g, GRID_M, 0)) ||
        GEOSNormalize_r(m->geos, *g) != 0)
        return refuse(m, m->plot->at);
    size_t n = 0;
    if (!all_sides(m, *g, NULL, &n))
        return refuse(m, m->plot->at);
    struct geom *made = calloc(1, sizeof *made);
    if (!made)
        return HR_NOMEM;
    made->sides = calloc(n + 1, sizeof *made->sides);
    made->blocked = calloc(n + 1, sizeof *made->blocked);
    if (!made->sides || !made->blocked) {
        geom_free(made);
        return HR_NOMEM;
    }
    if (!all_sides(m, *g, made->sides, &made->n) || GEOSArea_r(m->geos, *g, &made->area) != 1) {
        geom_free(made);
        return refuse(m, m->plot->at);
    }
    made->bounds = sides_bounds(made->sides, made->n);
    *out = made;
    return HR_OK;
}

static GEOSGeometry *inset(struct maker *m, const GEOSGeometry *g, double width_m)
{
    if (!isfinite(width_m) || width_m > FARTHEST_M) {
        keep_message("its border strip is no width", m);
        return NULL;
    }
    return GEOSBufferWithStyle_r(m->geos, g, -width_m, BUFFER_SIDES, GEOSBUF_CAP_FLAT,
                                 GEOSBUF_JOIN_MITRE, MITRE_LIMIT);
}

static hr_status ground_make(struct maker *m, bool free_only, struct arena *arena,
                             struct geom **out)
{
    GEOSGeometry *g = NULL;
    hr_status status = outline_make(m, arena, &g);
    double border = m->plot->border_m.v;
    if (status == HR_OK && free_only && border != 0 && !(border < 0) &&
        !replace(m, &g, inset(m, g, border)))
        status = refuse(m, m->plot->border_m.set ? m->plot->border_m.at : m->plot->at);
    if (status == HR_OK && free_only)
        status = taken_subtract(m, arena, &g);
    if (status == HR_OK)
        status = geom_keep(m, &g, out);
    GEOSGeom_destroy_r(m->geos, g);
    return status;
}

static hr_status geom_make(const struct plot *plot, bool free_only, struct arena *arena,
                           struct diags *diags, struct geom **out)
{
    struct maker m = {.geos = GEOS_init_r(), .plot = plot, .diags = diags};
    if (!m.geos)
        return HR_NOMEM;
    GEOSContext_setErrorMessageHandler_r(m.geos, keep_message, &m);
    hr_status status = ground_make(&m, free_only, arena, out);
    GEOS_finish_r(m.geos);
    return status;
}

hr_status geom_free_ground(const struct plot *plot, struct arena *arena, struct diags *diags,
                           struct geom **out)
{
    return geom_make(plot, true, arena, diags, out);
}

hr_status geom_outline(const struct plot *plot, struct arena *arena, struct diags *diags,
                       struct geom **out)
{
    return geom_make(plot, false, arena, diags, out);
}

void geom_free(struct geom *g)
{
    if (!g)
        return;
    free(g->sides);
    free(g->blocked);
    free(g);
}

/* ---- asking ------------------------------------------------------------------------------- */

double geom_area(const struct geom *g)
{
    return g->area;
}

struct rect geom_bounds(const struct geom *g)
{
    return g->bounds;
}

size_t geom_sides(const struct geom *g)
{
    return g->n;
}

void geom_side(const struct geom *g, size_t i, struct point *from, struct point *to)
{
    const struct side *s = &g->sides[i];
    *from = (struct point){.x = s->x[0], .y = s->y[0]};
    *to = (struct point){.x = s->x[1], .y = s->y[1]};
}

/* Even-odd rule over all rings; of points on a side no promise is made. */
static bool inside(const struct geom *g, double x, double y)
{
    bool in = false;
    for (size_t i = 0; i < g->n; i++) {
        const struct side *s = &g->sides[i];
        if ((s->y[0] > y) == (s->y[1] > y))
            continue;
        double t = (y - s->y[0]) / (s->y[1] - s->y[0]);
        if (x < s->x[0] + t * (s->x[1] - s->x[0]))
            in = !in;
    }
    return in;
}

/* Distance from the nearest side. */
static double edge_distance(const struct geom *g, double x, double y)
{
    double nearest = HUGE_VAL;
    for (size_t i = 0; i < g->n; i++) {
        const struct side *s = &g->sides[i];
        double dx = s->x[1] - s->x[0], dy = s->y[1] - s->y[0];
        double square = dx * dx + dy * dy;
        double t = square > 0 ? ((x - s->x[0]) * dx + (y - s->y[0]) * dy) / square : 0;
        t = num_clamp(t, 0, 1);
        nearest = fmin(nearest, hypot(x - s->x[0] - t * dx, y - s->y[0] - t * dy));
    }
    return nearest;
}

bool geom_has_point(const struct geom *g, double x, double y)
{
    return isfinite(x) && isfinite(y) && (inside(g, x, y) || edge_distance(g, x, y) <= TOUCH_M);
}

bool geom_has_disc(const struct geom *g, double x, double y, double radius_m)
{
    if (!(radius_m > TOUCH_M))
        return !isnan(radius_m) && geom_has_point(g, x, y);
    return isfinite(x) && isfinite(y) && inside(g, x, y) &&
           edge_distance(g, x, y) >= radius_m - TOUCH_M;
}

/* The part of a side that lies strictly between a and b of one axis, as an interval of the other.
 */
static bool side_blocks(const double *across, const double *along, double a, double b,
                        double interval[2])
{
    double t0 = 0, t1 = 1, step = across[1] - across[0];
    if (fmax(across[0], across[1]) <= a || fmin(across[0], across[1]) >= b)
        return false;
    if (step != 0) {
        double ta = (a - across[0]) / step, tb = (b - across[0]) / step;
        t0 = fmax(t0, fmin(ta, tb));
        t1 = fmin(t1, fmax(ta, tb));
    }
    double p = along[0] + t0 * (along[1] - along[0]), q = along[0] + t1 * (along[1] - along[0]);
    interval[0] = fmin(p, q);
    interval[1] = fmax(p, q);
    return true;
}

bool geom_has_rect(const struct geom *g, struct rect r)
{
    struct rect in = {r.x0 + TOUCH_M, r.y0 + TOUCH_M, r.x1 - TOUCH_M, r.y1 - TOUCH_M};
    if (!(in.x0 <= in.x1 && in.y0 <= in.y1 && isfinite(in.x1 - in.x0) && isfinite(in.y1 - in.y0)))
        return false;
    for (size_t i = 0; i < g->n; i++) {
        double interval[2];
        if (side_blocks(g->sides[i].x, g->sides[i].y, in.x0, in.x1, interval) &&
            interval[1] > in.y0 && interval[0] < in.y1)
            return false;
    }
    return inside(g, (in.x0 + in.x1) / 2, (in.y0 + in.y1) / 2);
}

static int interval_order(const void *left, const void *right)
{
    const double *a = left, *b = right;
    if (a[0] != b[0])
        return a[0] < b[0] ? -1 : 1;
    return (a[1] > b[1]) - (a[1] < b[1]);
}

/* Wherever a side runs through the band, the band is not whole. Between those stretches it is
 * either all inside or all outside, and one point tells. */
size_t geom_band(const struct geom *g, int axis, double a, double b, double (*out)[2], size_t cap)
{
    size_t blocked = 0, n = 0;
    double from = a + TOUCH_M, to = b - TOUCH_M, middle = (a + b) / 2;
    if (!(from < to) || !isfinite(to - from))
        return 0;
    for (size_t i = 0; i < g->n; i++) {
        const struct side *s = &g->sides[i];
        const double *across = axis == 1 ? s->x : s->y, *along = axis == 1 ? s->y : s->x;
        blocked += side_blocks(across, along, from, to, g->blocked[blocked]);
    }
    if (blocked == 0)
        return 0;
    qsort(g->blocked, blocked, sizeof *g->blocked, interval_order);
    double end = g->blocked[0][1];
    for (size_t i = 1; i < blocked && n < cap; i++) {
        double lo = end, hi = g->blocked[i][0];
        end = fmax(end, g->blocked[i][1]);
        if (hi - lo <= TOUCH_M)
            continue;
        double half = (lo + hi) / 2;
        if (!(axis == 1 ? inside(g, middle, half) : inside(g, half, middle)))
            continue;
        out[n][0] = lo;
        out[n++][1] = hi;
    }
    return n;
}
