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

/* ---- pieces of a zone ------------------------------------------------------------------------ */

/* A stretch of a zone between two cuts; a piece: some of them together. */
struct stretch {
    double lo, hi;
    bool idle; /* given up */
};

#define GIVEN_UP_SHARE                                                                             \
    0.125 /* of the ground beside it: so much is worth less than a family (ours) */

static bool is_sliver(const struct stretch *s)
{
    return s->hi - s->lo < ZONE_LEAST_DEPTH_M;
}

/* Whether seed in hand has a family that keeps off a and not off b. */
static bool keeps_off_more(const struct garden *g, const struct zone *a, const struct zone *b)
{
    for (size_t i = 0; i < g->seed.n; i++) {
        const struct crop *crop = garden_seed(g, i)->crop;
        if (!garden_seed(g, i)->standing && rotation_bars(g, a, crop) && !rotation_bars(g, b, crop))
            return true;
    }
    return false;
}

/* The ground a sliver would join: the next stretch behind it that is none, or before it; NULL. */
static const struct stretch *beside(const struct stretch *all, size_t n, size_t at)
{
    for (size_t k = at + 1; k < n; k++)
        if (!is_sliver(&all[k]))
            return &all[k];
    for (size_t k = at; k-- > 0;)
        if (!is_sliver(&all[k]))
            return &all[k];
    return NULL;
}

/* Gives up slivers where that costs less than to keep a family off the ground beside them. */
static void give_up(const struct garden *g, const struct zone *zone, struct stretch *all, size_t n)
{
    for (size_t i = 0; i < n && g->rotation.rule.v == ROTATION_BAR; i++) {
        const struct stretch *near = is_sliver(&all[i]) ? beside(all, n, i) : NULL;
        if (!near || all[i].hi - all[i].lo > GIVEN_UP_SHARE * (near->hi - near->lo))
            continue;
        struct zone sliver = part_of(zone, all[i].lo, all[i].hi);
        struct zone other = part_of(zone, near->lo, near->hi);
        all[i].idle = keeps_off_more(g, &sliver, &other);
    }
}

/* The stretches in pieces that are deep enough for a line, `most` of them at most; the last before
 * idle ground or the end takes in what is left over. Into `out`; how many. */
static size_t pieces_of(const struct stretch *all, size_t n, size_t most, struct stretch *out)
{
    size_t found = 0;
    bool open = false; /* the last piece is not followed by idle ground yet */
    for (size_t i = 0; i < n; i++) {
        struct stretch *last = found > 0 ? &out[found - 1] : NULL;
        double rest = 0; /* to the idle ground or the end */
        for (size_t k = i; k < n && !all[k].idle; k++)
            rest += all[k].hi - all[k].lo;
        if (all[i].idle)
            open = false;
        else if (open && (is_sliver(last) || rest < ZONE_LEAST_DEPTH_M || found == most))
            last->hi = all[i].hi;
        else if (found < most)
            out[found++] = all[i];
        open = open || !all[i].idle;
    }
    return found;
}

/* Zone i in pieces. */
static void cut_at(const struct garden *g, struct zones *zones, size_t i, size_t most,
                   const double *cuts, size_t n)
{
    const struct zone whole = zones->items[i];
    struct stretch all[CUTS_MAX + 1] = {{0}}, pieces[CUTS_MAX + 1] = {{0}};
    double lo = whole.along_x ? whole.r.y0 : whole.r.x0;
    double hi = whole.along_x ? whole.r.y1 : whole.r.x1;
    for (size_t k = 0; k <= n; k++)
        all[k] = (struct stretch){k > 0 ? cuts[k - 1] : lo, k < n ? cuts[k] : hi, false};
    give_up(g, &whole, all, n + 1);
    size_t found = pieces_of(all, n + 1, most > zones->n ? most - zones->n + 1 : 1, pieces),
           kept = 0;
    for (size_t k = 0; k < found; k++)
        if (!is_sliver(&pieces[k]))
            pieces[kept++] = pieces[k];
    if (kept == 0)
        return; /* too shallow as it is */
    memmove(&zones->items[i + kept], &zones->items[i + 1],
            (zones->n - i - 1) * sizeof *zones->items);
    zones->n += kept - 1;
    for (size_t k = 0; k < kept; k++)
        zones->items[i + k] = part_of(&whole, pieces[k].lo, pieces[k].hi);
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
            cut_at(g, zones, i - 1, most, cuts, n);
    }
    return HR_OK;
}
