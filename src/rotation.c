/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotation.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define CUTS_MAX   64
#define GRAIN_M    1e-9
#define SHARE_SAME 0.01 /* of a stretch of ground: nearer shares are the same */

static bool reaches(const struct former *f, const struct zone *z)
{
    if (f->plot != z->plot)
        return false;
    double dx = fmin(f->x1, z->r.x1) - fmax(f->x0, z->r.x0);
    double dy = fmin(f->y1, z->r.y1) - fmax(f->y0, z->r.y0);
    return dx > ROTATION_SLACK_M && dy > ROTATION_SLACK_M;
}

const struct former *rotation_former(const struct garden *g, const struct zone *zone,
                                     const struct crop *crop)
{
    const struct former *latest = NULL;
    for (size_t i = 0; i < g->nformer; i++) {
        const struct former *f = &g->former[i];
        if (strcmp(f->family, crop->family.s) == 0 && reaches(f, zone) &&
            (!latest || f->year > latest->year))
            latest = f;
    }
    return latest;
}

/* ---- how much of a zone -------------------------------------------------------------------- */

static int by_start(const void *left, const void *right)
{
    const struct rect *a = left, *b = right;
    return (a->x0 > b->x0) - (a->x0 < b->x0);
}

static int by_size(const void *left, const void *right)
{
    const double *a = left, *b = right;
    return (*a > *b) - (*a < *b);
}

/* Ground that rectangles cover together, m2: stretch by stretch between their y. */
static double area_covered(struct rect *r, size_t n)
{
    double ys[2 * ROTATION_PIECES_MAX + 1] = {0}, area = 0;
    for (size_t i = 0; i < n; i++) {
        ys[2 * i] = r[i].y0;
        ys[2 * i + 1] = r[i].y1;
    }
    qsort(r, n, sizeof *r, by_start);
    qsort(ys, 2 * n, sizeof *ys, by_size);
    for (size_t k = 0; k + 1 < 2 * n; k++) {
        double covered = 0, end = -HUGE_VAL;
        for (size_t i = 0; i < n && ys[k + 1] > ys[k]; i++) {
            if (r[i].y0 > ys[k] || r[i].y1 < ys[k + 1])
                continue;
            covered += fmax(0, r[i].x1 - fmax(r[i].x0, end));
            end = fmax(end, r[i].x1);
        }
        area += covered * (ys[k + 1] - ys[k]);
    }
    return area;
}

static double family_share(const struct garden *g, const struct zone *z, const char *family)
{
    struct rect pieces[ROTATION_PIECES_MAX];
    size_t n = 0;
    for (size_t i = 0; i < g->nformer; i++) {
        const struct former *f = &g->former[i];
        if (!reaches(f, z) || strcmp(f->family, family) != 0)
            continue;
        if (n == ROTATION_PIECES_MAX)
            return 1;
        pieces[n++] = (struct rect){fmax(f->x0, z->r.x0), fmax(f->y0, z->r.y0),
                                    fmin(f->x1, z->r.x1), fmin(f->y1, z->r.y1)};
    }
    double area = (z->r.x1 - z->r.x0) * (z->r.y1 - z->r.y0);
    return n > 0 ? fmin(1, area_covered(pieces, n) / area) : 0;
}

double rotation_share(const struct garden *g, const struct zone *zone, const struct crop *crop)
{
    return family_share(g, zone, crop->family.s);
}

double rotation_cost(const struct garden *g, const struct zone *zone, const struct crop *crop)
{
    if (g->rotation.rule.v != ROTATION_AVOID || g->unweighed || g->nformer == 0)
        return 0;
    return g->rotation.cost.v * rotation_share(g, zone, crop);
}

bool rotation_bars(const struct garden *g, const struct zone *zone, const struct crop *crop)
{
    return g->rotation.rule.v == ROTATION_BAR && rotation_former(g, zone, crop);
}

/* ---- cutting ------------------------------------------------------------------------------- */

/* Adds a place across the rows where former ground ends, unless it is (nearly) one already. */
static size_t cut_add(double *cuts, size_t n, const struct zone *z, double at)
{
    double lo = z->along_x ? z->r.y0 : z->r.x0, hi = z->along_x ? z->r.y1 : z->r.x1;
    if (n >= CUTS_MAX || at <= lo + ROTATION_SLACK_M || at >= hi - ROTATION_SLACK_M)
        return n;
    size_t k = n;
    for (; k > 0 && cuts[k - 1] > at; k--)
        ;
    if ((k > 0 && at - cuts[k - 1] <= ROTATION_SLACK_M) ||
        (k < n && cuts[k] - at <= ROTATION_SLACK_M))
        return n;
    memmove(&cuts[k + 1], &cuts[k], (n - k) * sizeof *cuts);
    cuts[k] = at;
    return n + 1;
}

/* The part of a zone from one place across its rows to another. */
static struct zone part_of(const struct zone *zone, double lo, double hi)
{
    struct zone z = *zone;
    double *from = z.along_x ? &z.r.y0 : &z.r.x0, *to = z.along_x ? &z.r.y1 : &z.r.x1;
    *from = lo;
    *to = hi;
    z.depth_m = round((hi - lo) / GRAIN_M) * GRAIN_M;
    return z;
}

/* Whether some family has stood in a and not in b; where that is a matter of degree, on a greater
 * share of a. */
static bool stood_more(const struct garden *g, const struct zone *a, const struct zone *b)
{
    for (size_t i = 0; i < g->seed.n && g->rotation.rule.v == ROTATION_AVOID; i++) {
        const char *family = garden_seed(g, i)->crop->family.s;
        if (family_share(g, a, family) > family_share(g, b, family) + SHARE_SAME)
            return true;
    }
    if (g->rotation.rule.v == ROTATION_AVOID)
        return false;
    for (size_t i = 0; i < g->nformer; i++) {
        bool both = !reaches(&g->former[i], a);
        for (size_t k = 0; k < g->nformer && !both; k++)
            both =
                strcmp(g->former[k].family, g->former[i].family) == 0 && reaches(&g->former[k], b);
        if (!both)
            return true;
    }
    return false;
}

/* Drops the places at whose two sides the same families stood. */
static size_t cuts_needed(const struct garden *g, const struct zone *z, double *cuts, size_t n)
{
    double lo = z->along_x ? z->r.y0 : z->r.x0, hi = z->along_x ? z->r.y1 : z->r.x1;
    size_t kept = 0;
    for (size_t k = 0; k < n; k++) {
        struct zone below = part_of(z, lo, cuts[k]);
        struct zone above = part_of(z, cuts[k], k + 1 < n ? cuts[k + 1] : hi);
        lo = cuts[k];
        if (stood_more(g, &below, &above) || stood_more(g, &above, &below))
            cuts[kept++] = cuts[k];
    }
    return kept;
}

/* Zone i in pieces, each deep enough for a line; the last takes in what is left over. */
static void cut_at(struct zones *zones, size_t i, size_t most, const double *cuts, size_t n)
{
    struct zone whole = zones->items[i];
    double lo = whole.along_x ? whole.r.y0 : whole.r.x0;
    double hi = whole.along_x ? whole.r.y1 : whole.r.x1;
    for (size_t k = 0; k < n && zones->n < most; k++) {
        if (cuts[k] - lo < ZONE_LEAST_DEPTH_M || hi - cuts[k] < ZONE_LEAST_DEPTH_M)
            continue;
        memmove(&zones->items[i + 1], &zones->items[i], (zones->n - i) * sizeof *zones->items);
        zones->n++;
        zones->items[i++] = part_of(&whole, lo, cuts[k]);
        lo = cuts[k];
    }
    zones->items[i] = part_of(&whole, lo, hi);
}

/* The garden as if there were no former ground but what lies in the zone: into `items`. */
static struct garden former_in(const struct garden *g, const struct zone *z, struct former *items)
{
    struct garden near = *g;
    near.former = items;
    near.nformer = 0;
    for (size_t k = 0; k < g->nformer; k++)
        if (reaches(&g->former[k], z))
            items[near.nformer++] = g->former[k];
    return near;
}

hr_status rotation_cut(const struct garden *g, struct zones *zones, size_t first, size_t most,
                       struct arena *scratch)
{
    if (g->rotation.rule.v == ROTATION_TELL || g->nformer == 0)
        return HR_OK;
    struct former *items = ARENA_ARRAY(scratch, struct former, g->nformer);
    if (!items)
        return HR_NOMEM;
    for (size_t i = zones->n; i > first; i--) {
        const struct zone *z = &zones->items[i - 1];
        const struct garden near = former_in(g, z, items);
        double cuts[CUTS_MAX + 1] = {0};
        size_t n = 0;
        for (size_t k = 0; k < near.nformer; k++) {
            n = cut_add(cuts, n, z, z->along_x ? items[k].y0 : items[k].x0);
            n = cut_add(cuts, n, z, z->along_x ? items[k].y1 : items[k].x1);
        }
        n = cuts_needed(&near, z, cuts, n);
        if (n > 0)
            cut_at(zones, i - 1, most, cuts, n);
    }
    return HR_OK;
}
