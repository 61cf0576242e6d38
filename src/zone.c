/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "zone.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "diag.h"
#include "elsewhere.h"
#include "height.h"
#include "light.h"
#include "num.h"
#include "reach.h"
#include "rotation.h"
#include "season.h"
#include "spill.h"
#include "standing_days.h"

#define LEVELS_MAX    200  /* places across the rows where a zone may begin or end */
#define INTERVALS_MAX 256  /* stretches of one band that are looked at */
#define STEP_M        0.10 /* levels on a slanting side */
#define LOSS_MOST     0.08 /* of the free ground; more brings a warning */
#define LOSS_WEIGHT   2.0  /* ground lost for certain against what cuts may waste */
#define CUT_WASTE_M   0.14 /* of a zone's depth, the part of a line left over (estimate) */
#define PIECE_FIRST   0.02 /* of the free ground: what one more zone has to bring, at first */
#define PIECE_LEAST   2e-3
#define PIECE_STEP    2
#define ZONES_OF_ONE  48 /* most zones of one plot and direction */
#define LINES_TRIES   4
#define LINES_GAIN    0.02 /* of the ground that lines fill: less is no reason to cut otherwise */
#define SAME_M        1e-6 /* less apart is the same; less aslant is straight */
#define LIGHT_GRAIN   1e-6

/* Along the rows is u, across them is v: x, y for rows along x; y, x for rows along y. */
struct interval {
    double lo, hi; /* m, of u */
};

struct band {
    struct interval *free;
    size_t n;
};

/* The cutting of one plot in one row direction. The ground between neighbouring levels is a thin
 * band with its free intervals; a zone is an interval that several thin bands have in common. */
struct cutting {
    const struct geom *geom;
    bool along_x;
    double level[LEVELS_MAX];
    int nlevels;
    struct band *bands;      /* nlevels - 1 */
    double least_depth;      /* m */
    const double *lines;     /* m across that a line of each variety in hand takes at least */
    size_t nlines;           /* 0: all depth is of use */
    double piece_m2;         /* what one more zone has to bring */
    double best[LEVELS_MAX]; /* most ground, less piece_m2 a zone, below a level */
    int from[LEVELS_MAX];    /* level where the band that ends here begins; itself: skipped */
};

/* ---- levels ------------------------------------------------------------------------------- */

static int number_order(const void *left, const void *right)
{
    const double *a = left, *b = right;
    return (*a > *b) - (*a < *b);
}

/* v of both ends of a side in rising order, and whether it slants. */
static bool side_slants(const struct cutting *c, size_t i, double v[2])
{
    struct point a, b;
    geom_side(c->geom, i, &a, &b);
    double du = c->along_x ? b.x - a.x : b.y - a.y;
    v[0] = c->along_x ? a.y : a.x;
    v[1] = c->along_x ? b.y : b.x;
    if (v[0] > v[1]) {
        double t = v[0];
        v[0] = v[1];
        v[1] = t;
    }
    return fabs(du) > SAME_M && v[1] - v[0] > SAME_M;
}

/* Of n sorted numbers those that stand further than `gap` from the one kept before. */
static size_t thin_out(double *v, size_t n, double gap)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (kept == 0 || v[i] - v[kept - 1] > gap)
            v[kept++] = v[i];
    return kept;
}

/* How much of each gap between corners slants: marks gaps that any slanting side spans. */
static void mark_slants(const struct cutting *c, const double *corner, size_t n, int *slants)
{
    for (size_t i = 0; i < geom_sides(c->geom); i++) {
        double v[2];
        if (!side_slants(c, i, v))
            continue;
        for (size_t k = 0; k + 1 < n; k++)
            if (corner[k] < v[1] && corner[k + 1] > v[0])
                slants[k] = 1;
    }
}

static size_t levels_filled(const double *corner, size_t n, const int *slants, double step,
                            double *out, size_t cap)
{
    size_t count = 0;
    for (size_t k = 0; k < n; k++) {
        double gap = k + 1 < n ? corner[k + 1] - corner[k] : 0;
        size_t parts = k + 1 < n && slants[k] ? (size_t)ceil(gap / step) : 1;
        for (size_t i = 0; i < parts; i++, count++)
            if (count < cap)
                out[count] = corner[k] + gap * (double)i / (double)parts;
    }
    return count;
}

/* Every corner's level, and between them a step at a time where a side slants; fewer where that
 * would be too many. */
static hr_status levels_find(struct cutting *c, struct arena *arena)
{
    size_t sides = geom_sides(c->geom), n = 0;
    double *corner = ARENA_ARRAY(arena, double, 2 * sides);
    int slants[LEVELS_MAX] = {0};
    if (!corner)
        return HR_NOMEM;
    for (size_t i = 0; i < sides; i++, n += 2)
        side_slants(c, i, corner + n);
    qsort(corner, n, sizeof *corner, number_order);
    n = thin_out(corner, n, SAME_M);
    double gap = 1e-3;
    while (n > LEVELS_MAX / 2) {
        n = thin_out(corner, n, gap);
        gap *= 2;
    }
    mark_slants(c, corner, n, slants);
    double step = STEP_M;
    size_t count;
    while ((count = levels_filled(corner, n, slants, step, c->level, LEVELS_MAX)) > LEVELS_MAX)
        step *= 1.25;
    c->nlevels = (int)count;
    return HR_OK;
}

/* ---- bands -------------------------------------------------------------------------------- */

static hr_status bands_find(struct cutting *c, struct arena *arena)
{
    double(*found)[2] = arena_alloc(arena, INTERVALS_MAX, sizeof *found);
    c->bands = ARENA_ARRAY(arena, struct band, (size_t)(c->nlevels > 0 ? c->nlevels : 1));
    if (!found || !c->bands)
        return HR_NOMEM;
    for (int k = 0; k + 1 < c->nlevels; k++) {
        struct band *band = &c->bands[k];
        size_t n = geom_band(c->geom, c->along_x ? 0 : 1, c->level[k], c->level[k + 1], found,
                             INTERVALS_MAX);
        band->free = ARENA_ARRAY(arena, struct interval, n);
        if (!band->free)
            return HR_NOMEM;
        for (size_t i = 0; i < n; i++)
            if (found[i][1] - found[i][0] >= ZONE_LEAST_LENGTH_M)
                band->free[band->n++] = (struct interval){found[i][0], found[i][1]};
    }
    return HR_OK;
}

/* What both have in common, into room for INTERVALS_MAX. */
static size_t intervals_common(const struct interval *a, size_t na, const struct interval *b,
                               size_t nb, struct interval *out)
{
    size_t n = 0;
    for (size_t i = 0, k = 0; i < na && k < nb && n < INTERVALS_MAX;) {
        struct interval both = {fmax(a[i].lo, b[k].lo), fmin(a[i].hi, b[k].hi)};
        if (both.hi - both.lo >= ZONE_LEAST_LENGTH_M)
            out[n++] = both;
        if (a[i].hi < b[k].hi)
            i++;
        else
            k++;
    }
    return n;
}

/* The free intervals from level i on, one thin band more with each step. */
struct growing {
    struct interval room[2][INTERVALS_MAX];
    const struct interval *free;
    size_t n;
    int flip;
};

static void growing_add(struct growing *g, const struct band *band, bool first)
{
    if (first) {
        g->free = band->free;
        g->n = band->n;
        return;
    }
    struct interval *out = g->room[g->flip];
    g->n = intervals_common(g->free, g->n, band->free, band->n, out);
    g->free = out;
    g->flip = !g->flip;
}

/* ---- the best bands: dynamic programming over the levels ---------------------------------- */

/* The depth that whole lines fill, the mean of the varieties. */
static double filled(const double *lines, size_t n, double depth)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += floor(depth / lines[i] + SAME_M) * lines[i];
    return n > 0 ? sum / (double)n : depth;
}

/* An interval that does not bring a piece's ground is better left. */
static double worth(const struct cutting *c, struct interval u, double depth)
{
    return (u.hi - u.lo) * filled(c->lines, c->nlines, depth) - c->piece_m2;
}

static void bands_choose(struct cutting *c, struct growing *g)
{
    for (int j = 0; j < c->nlevels; j++) {
        c->best[j] = j > 0 ? -1 : 0;
        c->from[j] = j;
    }
    for (int i = 0; i + 1 < c->nlevels; i++) {
        if (c->best[i] > c->best[i + 1]) { /* the thin band above level i is skipped */
            c->best[i + 1] = c->best[i];
            c->from[i + 1] = i + 1;
        }
        for (int j = i + 1; j < c->nlevels; j++) {
            growing_add(g, &c->bands[j - 1], j == i + 1);
            if (g->n == 0)
                break;
            double depth = c->level[j] - c->level[i], gain = 0;
            if (depth < c->least_depth)
                continue;
            for (size_t k = 0; k < g->n; k++)
                gain += fmax(0, worth(c, g->free[k], depth));
            if (gain > 0 && c->best[i] + gain > c->best[j] + 1e-12) {
                c->best[j] = c->best[i] + gain;
                c->from[j] = i;
            }
        }
    }
}

/* A rectangle in the making: the interval u of rows at v0..v1. */
struct piece {
    struct interval u;
    double v0, v1;
};

static double piece_area(const struct piece *p)
{
    return (p->u.hi - p->u.lo) * (p->v1 - p->v0);
}

/* Adds a piece, as more depth of the one below where they fit together. */
static void piece_add(struct piece *pieces, size_t *n, struct piece more)
{
    for (size_t i = 0; i < *n; i++) {
        struct piece *p = &pieces[i];
        if (fabs(p->u.lo - more.u.lo) > SAME_M || fabs(p->u.hi - more.u.hi) > SAME_M)
            continue;
        if (fabs(p->v1 - more.v0) > SAME_M && fabs(p->v0 - more.v1) > SAME_M)
            continue;
        p->v0 = fmin(p->v0, more.v0);
        p->v1 = fmax(p->v1, more.v1);
        return;
    }
    pieces[(*n)++] = more;
}

/* The pieces of the chosen bands; at most cap, SIZE_MAX when there are more. */
static size_t pieces_read(const struct cutting *c, struct growing *g, struct piece *pieces,
                          size_t cap)
{
    size_t n = 0;
    for (int j = c->nlevels - 1; j > 0; j = c->from[j] == j ? j - 1 : c->from[j]) {
        int i = c->from[j];
        if (i == j)
            continue;
        for (int k = i; k < j; k++)
            growing_add(g, &c->bands[k], k == i);
        for (size_t k = 0; k < g->n; k++) {
            if (worth(c, g->free[k], c->level[j] - c->level[i]) <= 0)
                continue;
            if (n == cap)
                return SIZE_MAX;
            piece_add(pieces, &n, (struct piece){g->free[k], c->level[i], c->level[j]});
        }
    }
    return n;
}

/* The best pieces so far, and room for the ones looked at. */
struct search {
    struct cutting *cutting;
    struct growing *growing;
    size_t most;
    struct piece *pieces, *best;
    size_t nbest;
    double loss, score; /* of the best */
};

/* Cuts so that each zone brings at least this share of the ground; false when they are too many. */
static bool search_try(struct search *s, double share)
{
    struct cutting *c = s->cutting;
    double area = geom_area(c->geom), zoned = 0, wasted = 0;
    c->piece_m2 = share * area;
    bands_choose(c, s->growing);
    size_t n = pieces_read(c, s->growing, s->pieces, s->most);
    if (n == SIZE_MAX)
        return false;
    for (size_t i = 0; i < n; i++) {
        zoned += piece_area(&s->pieces[i]);
        wasted += CUT_WASTE_M * (s->pieces[i].u.hi - s->pieces[i].u.lo);
    }
    double loss = area > 0 ? 1 - zoned / area : 1;
    double score = LOSS_WEIGHT * fmax(loss, LOSS_MOST) + (n > 0 ? wasted / area : 0);
    if (n > 0 && score < s->score - 1e-12) {
        memcpy(s->best, s->pieces, n * sizeof *s->pieces);
        s->nbest = n;
        s->loss = loss;
        s->score = score;
    }
    return true;
}

/* The whole job, and what it is done with. */
struct work {
    const struct garden *garden;
    struct arena *arena; /* for what stays */
    struct diags *diags;
    struct zones *zones;
    size_t grounds_left; /* still to be cut, this one too */
    size_t most;         /* zones of them all; the others are for what stands already */
    double *lines;       /* m across that a line of each variety in hand takes at least */
    size_t nlines;
};

static double filled_area(const struct work *w, const struct piece *pieces, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += (pieces[i].u.hi - pieces[i].u.lo) *
               filled(w->lines, w->nlines, pieces[i].v1 - pieces[i].v0);
    return sum;
}

/* Where sides slant so much that more is lost than may be, pieces may be as shallow as holds hardly
 * a line of anything in hand. Then those that lines fill best are the better ones, though more may
 * be lost at the corners. */
static void cut_for_lines(const struct work *w, struct search *s)
{
    struct cutting *c = s->cutting;
    double best = filled_area(w, s->best, s->nbest);
    c->lines = w->lines;
    c->nlines = w->nlines;
    c->least_depth = ZONE_LEAST_DEPTH_M;
    c->piece_m2 = PIECE_FIRST * PIECE_STEP * geom_area(c->geom);
    for (int k = 0; k < LINES_TRIES; k++) {
        c->piece_m2 /= PIECE_STEP;
        bands_choose(c, s->growing);
        size_t n = pieces_read(c, s->growing, s->pieces, s->most);
        double area = n != SIZE_MAX ? filled_area(w, s->pieces, n) : 0;
        if (area <= best * (1 + LINES_GAIN))
            continue;
        memcpy(s->best, s->pieces, n * sizeof *s->pieces);
        s->nbest = n;
        best = area;
    }
}

/* Few and deep pieces first: shallower and smaller ones only while too much is lost. */
static hr_status pieces_find(const struct work *w, struct cutting *c, struct arena *arena,
                             size_t most, struct piece **out, size_t *nout)
{
    static const double least_depth[] = {0.75, 0.60, 0.45, ZONE_LEAST_DEPTH_M};
    struct search s = {.cutting = c, .most = most, .loss = 1, .score = HUGE_VAL};
    s.growing = ARENA_NEW(arena, struct growing);
    s.pieces = ARENA_ARRAY(arena, struct piece, most);
    s.best = ARENA_ARRAY(arena, struct piece, most);
    if (!s.growing || !s.pieces || !s.best)
        return HR_NOMEM;
    for (size_t k = 0; k < sizeof least_depth / sizeof *least_depth && s.loss > LOSS_MOST; k++) {
        c->least_depth = least_depth[k];
        double share = PIECE_FIRST;
        while (share <= 1 && !search_try(&s, share))
            share *= 2;
        if (share > PIECE_FIRST)
            continue;
        do
            share /= PIECE_STEP;
        while (s.loss > LOSS_MOST && share >= PIECE_LEAST && search_try(&s, share));
    }
    if (s.loss > LOSS_MOST && w->nlines > 0)
        cut_for_lines(w, &s);
    *out = s.best;
    *nout = s.nbest;
    return HR_OK;
}

/* ---- zones -------------------------------------------------------------------------------- */

/* From the origin on: across the rows, then along them. */
static int piece_order(const void *left, const void *right)
{
    const struct piece *a = left, *b = right;
    if (a->v0 != b->v0)
        return a->v0 < b->v0 ? -1 : 1;
    return (a->u.lo > b->u.lo) - (a->u.lo < b->u.lo);
}

/* Millionths of a millimetre off, so that 24 ft are 24 ft after a border is taken off. */
static double tidy(double m)
{
    return round(m * 1e9) / 1e9;
}

/* A thin band leaves out a hair at its ends; over all of its depth the piece is measured once more.
 */
static void piece_measure(const struct cutting *c, struct piece *p, double (*found)[2])
{
    size_t n = geom_band(c->geom, c->along_x ? 0 : 1, p->v0, p->v1, found, INTERVALS_MAX);
    struct interval best = {0, 0};
    for (size_t i = 0; i < n; i++) {
        struct interval both = {fmax(found[i][0], p->u.lo), fmin(found[i][1], p->u.hi)};
        if (both.hi - both.lo > best.hi - best.lo)
            best = both;
    }
    p->u = best;
}

static void zone_name(struct zone *z, size_t number)
{
    snprintf(z->name, sizeof z->name, "P%d%c-%zu", z->plot + 1, z->along_x ? 'x' : 'y', number);
}

static struct zone zone_of_piece(const struct piece *p, int plot, bool along_x)
{
    struct zone z = {.plot = plot, .along_x = along_x};
    z.r = along_x ? (struct rect){p->u.lo, p->v0, p->u.hi, p->v1}
                  : (struct rect){p->v0, p->u.lo, p->v1, p->u.hi};
    z.length_m = tidy(p->u.hi - p->u.lo);
    z.depth_m = tidy(p->v1 - p->v0);
    return z;
}

/* Pieces into zones, from the origin on; their ground is counted. */
static hr_status zones_add(struct work *w, const struct cutting *c, struct piece *pieces, size_t n,
                           struct ground *ground, struct arena *scratch)
{
    double(*found)[2] = arena_alloc(scratch, INTERVALS_MAX, sizeof *found);
    size_t first = w->zones->n;
    if (!found)
        return HR_NOMEM;
    qsort(pieces, n, sizeof *pieces, piece_order);
    for (size_t i = 0; i < n; i++) {
        struct piece *p = &pieces[i];
        piece_measure(c, p, found);
        if (p->u.hi - p->u.lo < ZONE_LEAST_LENGTH_M)
            continue;
        w->zones->items[w->zones->n++] = zone_of_piece(p, ground->plot, ground->along_x);
    }
    const struct plot *plot = garden_plot(w->garden, (size_t)ground->plot);
    size_t ncorners = 0;
    const struct point *corners = plot_corners(scratch, plot, &ncorners);
    if (!corners)
        return HR_NOMEM;
    hr_status status = height_cut(plot, w->zones, first, scratch);
    if (status == HR_OK)
        status = rotation_cut(w->garden, w->zones, first,
                              first + (w->most - first) / w->grounds_left, scratch);
    if (status != HR_OK)
        return status;
    for (size_t i = first; i < w->zones->n; i++) {
        struct zone *z = &w->zones->items[i];
        zone_name(z, i - first + 1);
        spill_find(plot, corners, ncorners, z);
        ground->zoned_m2 += z->length_m * z->depth_m;
    }
    ground->lost_share =
        ground->free_m2 > 0 ? num_clamp(1 - ground->zoned_m2 / ground->free_m2, 0, 1) : 0;
    return HR_OK;
}

/* Free ground of one plot in one direction into zones. */
static hr_status cut_direction(struct work *w, const struct geom *geom, struct ground *ground,
                               struct arena *scratch)
{
    struct cutting *c = ARENA_NEW(scratch, struct cutting);
    if (!c)
        return HR_NOMEM;
    c->geom = geom;
    c->along_x = ground->along_x;
    size_t most = (w->most - w->zones->n) / w->grounds_left, n = 0;
    struct piece *pieces = NULL;
    hr_status status = levels_find(c, scratch);
    if (status == HR_OK)
        status = bands_find(c, scratch);
    if (status == HR_OK)
        status = pieces_find(w, c, scratch, most < ZONES_OF_ONE ? most : ZONES_OF_ONE, &pieces, &n);
    return status == HR_OK ? zones_add(w, c, pieces, n, ground, scratch) : status;
}

static bool runs(const struct plot *plot, bool along_x)
{
    return plot->rows.v != (along_x ? ROWS_ALONG_Y : ROWS_ALONG_X);
}

static void warn_loss(struct work *w, const struct plot *plot, const struct ground *ground)
{
    char lost[64];
    if (ground->lost_share <= LOSS_MOST)
        return;
    diag_warning(
        w->diags, plot->at, "staircase-loss",
        "rows along %c leave %s %% of the free ground of plot `%s` bare: its corners%s and "
        "slanting sides hold no whole row",
        ground->along_x ? 'x' : 'y', num_fixed(lost, sizeof lost, 100 * ground->lost_share, 0),
        plot->name.s,
        w->garden->rotation.rule.v == ROTATION_BAR ? ", strips of former ground" : "");
}

/* Site light of the zones from first on, all of one plot. */
static hr_status light_zones(struct work *w, int index, size_t first, struct arena *scratch)
{
    const struct plot *plot = garden_plot(w->garden, (size_t)index);
    const struct site *site = &w->garden->site;
    struct shader *shaders;
    int n;
    struct sky *sky = ARENA_NEW(scratch, struct sky);
    if (!sky || elsewhere_obstacles(w->garden, index, scratch, &shaders, &n) != HR_OK)
        return HR_NOMEM;
    int from, to;
    season_frost_free(site, &from, &to);
    light_sky(site->latitude.v, plot->bearing.v, from, to, LIGHT_DIFFUSE_SHARE, sky);
    double sun = site->sun.set || site->sun.v > 0 ? site->sun.v : 1;
    for (size_t i = first; i < w->zones->n; i++) {
        struct zone *z = &w->zones->items[i];
        double light = sun * light_on_rect(sky, z->r, LIGHT_GROUND_M, shaders, n, -1);
        z->light = round(light / LIGHT_GRAIN) * LIGHT_GRAIN;
    }
    return HR_OK;
}

static hr_status cut_grounds(struct work *w, const struct geom *geom, int index, double outline_m2,
                             struct arena *scratch)
{
    const struct plot *plot = garden_plot(w->garden, (size_t)index);
    size_t first = w->zones->n;
    for (int y = 0; y < 2; y++) {
        if (!runs(plot, y == 0))
            continue;
        struct ground *ground = &w->zones->grounds[w->zones->ngrounds++];
        *ground = (struct ground){.plot = index, .along_x = y == 0, .outline_m2 = outline_m2};
        ground->free_m2 = geom_area(geom);
        hr_status status = cut_direction(w, geom, ground, scratch);
        if (status != HR_OK)
            return status;
        w->grounds_left--;
        if (w->zones->n > first)
            warn_loss(w, plot, ground);
    }
    if (w->zones->n > first)
        return light_zones(w, index, first, scratch);
    diag_error(w->diags, plot->at, "no-ground", "plot `%s` has no free ground for a single line",
               plot->name.s);
    return HR_INPUT;
}

static hr_status cut_plot(struct work *w, int index, struct arena *scratch)
{
    const struct plot *plot = garden_plot(w->garden, (size_t)index);
    struct geom *outline = NULL, *ground = NULL;
    hr_status status = geom_outline(plot, scratch, w->diags, &outline);
    if (status == HR_OK)
        status = geom_free_ground(plot, scratch, w->diags, &ground);
    if (status == HR_OK)
        status = cut_grounds(w, ground, index, geom_area(outline), scratch);
    geom_free(outline);
    geom_free(ground);
    return status;
}

static hr_status zones_room(struct work *w)
{
    size_t standing = 0;
    for (size_t i = 0; i < w->garden->plots.n; i++) {
        const struct plot *plot = garden_plot(w->garden, i);
        w->grounds_left += (size_t)runs(plot, true) + (size_t)runs(plot, false);
        standing += plot->standing.n;
    }
    w->most = standing < ZONES_MAX ? ZONES_MAX - standing : 0;
    if (w->grounds_left > w->most) {
        diag_error(w->diags, w->garden->plots.at, "too-many-zones",
                   "the plots and row directions, and what stands already, are %zu, more than the "
                   "%d zones a plan may have",
                   w->grounds_left + standing, ZONES_MAX);
        return HR_INPUT;
    }
    w->zones->items = ARENA_ARRAY(w->arena, struct zone, ZONES_MAX);
    w->zones->grounds = ARENA_ARRAY(w->arena, struct ground, w->grounds_left);
    return w->zones->items && w->zones->grounds ? HR_OK : HR_NOMEM;
}

bool zone_standing(const struct zone *zone)
{
    return strchr(zone->name, 's') != NULL;
}

int zones_standing(const struct zones *zones, size_t plot, size_t block)
{
    for (size_t z = 0; z < zones->n + zones->nstanding; z++)
        if (zones->items[z].plot == (int)plot && zones->items[z].stands == (int)block + 1)
            return (int)z;
    return -1;
}

static struct zone standing_zone(size_t plot, size_t block, const struct standing *s)
{
    struct zone z = {.plot = (int)plot, .along_x = standing_along_x(s), .stands = (int)block + 1};
    z.r = (struct rect){s->corner.x, s->corner.y, s->corner.x + s->size.x, s->corner.y + s->size.y};
    z.length_m = tidy(z.along_x ? s->size.x : s->size.y);
    z.depth_m = tidy(z.along_x ? s->size.y : s->size.x);
    snprintf(z.name, sizeof z.name, "P%us-%u", (unsigned char)(plot + 1),
             (unsigned char)(block + 1));
    return z;
}

/* The ground of a plot's blocks that is free again in time, or of those that is not. */
static hr_status standing_add(struct work *w, size_t index, bool again)
{
    const struct plot *plot = garden_plot(w->garden, index);
    struct zones *zones = w->zones;
    size_t first = zones->n;
    struct arena *scratch = plot->standing.n > 0 ? arena_new(ARENA_CAP_DEFAULT) : NULL;
    if (plot->standing.n == 0)
        return HR_OK;
    if (!scratch)
        return HR_NOMEM;
    for (size_t k = 0; k < plot->standing.n; k++) {
        const struct standing *s = plot_standing(plot, k);
        int day = 0;
        if (standing_leaves(w->garden, index, s, scratch, &day) != again)
            continue;
        zones->items[zones->n] = standing_zone(index, k, s);
        zones->items[zones->n++].done_d = again ? day : STAY_LATEST;
    }
    hr_status status = again ? height_limit(plot, zones, first, scratch) : HR_OK;
    if (status == HR_OK && zones->n > first)
        status = light_zones(w, (int)index, first, scratch);
    arena_free(scratch);
    return status;
}

/* The ground of what stands already, behind the zones of free ground. */
static hr_status standing_zones(struct work *w)
{
    hr_status status = HR_OK;
    size_t plots = w->garden->plots.n;
    for (size_t i = 0; i < plots && status == HR_OK; i++)
        status = standing_add(w, i, true);
    size_t planted = w->zones->n;
    for (size_t i = 0; i < plots && status == HR_OK; i++)
        status = standing_add(w, i, false);
    w->zones->nstanding = w->zones->n - planted;
    w->zones->n = planted;
    return status;
}

static hr_status take_lines(struct work *w)
{
    const struct garden *g = w->garden;
    w->lines = ARENA_ARRAY(w->arena, double, g->seed.n + 1);
    for (size_t i = 0; i < g->seed.n && w->lines; i++) {
        const struct crop *crop = garden_seed(g, i)->crop;
        if (crop && crop->row_m.low > 0)
            w->lines[w->nlines++] = crop->row_m.low;
    }
    return w->lines ? HR_OK : HR_NOMEM;
}

hr_status zones_cut(const struct garden *garden, struct arena *arena, struct diags *diags,
                    struct zones *out)
{
    struct zones zones = {0};
    struct work w = {.garden = garden, .arena = arena, .diags = diags, .zones = &zones};
    hr_status worst = zones_room(&w);
    if (worst == HR_OK)
        worst = take_lines(&w);
    if (worst != HR_OK)
        return worst;
    for (size_t i = 0; i < garden->plots.n; i++) { /* all plots: every fault is reported */
        struct arena *scratch = arena_new(ARENA_CAP_DEFAULT);
        if (!scratch)
            return HR_NOMEM;
        hr_status status = cut_plot(&w, (int)i, scratch);
        arena_free(scratch);
        if (status == HR_NOMEM)
            return status;
        if (status != HR_OK)
            worst = status;
    }
    if (worst == HR_OK)
        worst = standing_days_check(garden, arena, diags);
    if (worst == HR_OK)
        worst = standing_zones(&w);
    if (worst == HR_OK) {
        reach_check(garden, &zones, arena, diags);
        *out = zones;
    }
    return worst;
}

/* ---- dump --------------------------------------------------------------------------------- */

static void dump_number(struct strbuf *out, const char *name, double v, int digits)
{
    char text[64];
    strbuf_printf(out, " %s %s", name, num_fixed(text, sizeof text, v, digits));
}

static void dump_rect(struct strbuf *out, struct rect r)
{
    dump_number(out, "x", r.x0, 4);
    dump_number(out, "..", r.x1, 4);
    dump_number(out, "y", r.y0, 4);
    dump_number(out, "..", r.y1, 4);
}

void zones_dump(const struct zones *zones, const struct garden *garden, struct strbuf *out)
{
    for (size_t k = 0; k < zones->ngrounds; k++) {
        const struct ground *g = &zones->grounds[k];
        strbuf_printf(out, "ground P%d%c \"%s\"", g->plot + 1, g->along_x ? 'x' : 'y',
                      garden_plot(garden, (size_t)g->plot)->name.s);
        dump_number(out, "outline_m2", g->outline_m2, 4);
        dump_number(out, "free_m2", g->free_m2, 4);
        dump_number(out, "zoned_m2", g->zoned_m2, 4);
        dump_number(out, "lost", g->lost_share, 4);
        strbuf_puts(out, "\n");
        for (size_t i = 0; i < zones->n; i++) {
            const struct zone *z = &zones->items[i];
            if (z->plot != g->plot || z->along_x != g->along_x || zone_standing(z))
                continue;
            strbuf_printf(out, "  zone %s", z->name);
            dump_rect(out, z->r);
            dump_number(out, "length", z->length_m, 4);
            dump_number(out, "depth", z->depth_m, 4);
            dump_number(out, "light", z->light, 6);
            if (z->spill_m[0] > 0 || z->spill_m[1] > 0) {
                dump_number(out, "spill", z->spill_m[0], 4);
                dump_number(out, "and", z->spill_m[1], 4);
            }
            if (z->over_m[0] > 0 || z->over_m[1] > 0) {
                dump_number(out, "over", z->over_m[0], 4);
                dump_number(out, "and", z->over_m[1], 4);
            }
            if (z->tallest_m > 0)
                dump_number(out, "tallest", z->tallest_m, 4);
            strbuf_puts(out, "\n");
        }
    }
    for (size_t i = 0; i < zones->n + zones->nstanding; i++) {
        const struct zone *z = &zones->items[i];
        if (!zone_standing(z))
            continue;
        strbuf_printf(out, "standing %s", z->name);
        dump_rect(out, z->r);
        dump_number(out, "light", z->light, 6);
        strbuf_puts(out, "\n");
    }
}
