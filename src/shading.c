/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shading.h"

#include <math.h>
#include <string.h>

#include "arrange.h"

#define EXACT_UNITS 6  /* orders are gone through up to here: 720 of them */
#define CASES_MAX   32 /* numbers of lines, or ways to divide the shared line, that are looked at */
#define AROUND_M    60.0 /* beyond that nothing shades */
#define LEAST       1e-9 /* lines: less is no loss */

/* What stands side by side: a block, or the parts of the shared line. */
struct unit {
    int first, n;              /* stands */
    double depth_m, deepest_m; /* with as few and as many lines as may be */
};

/* A stand at one side of something, up to two units away. */
enum side { BEFORE, BEHIND, SIDES };

struct work {
    const struct garden *garden;
    const struct zone *zone;
    const struct menu *menu;
    const struct shading_stand *stands;
    struct arena *arena;
    int nstands, nunits;
    struct unit units[SHADING_STANDS_MAX];
    struct sky *skies[SIDES]; /* per stand: the rays that come from that side */
    /* per stand, side, nearest and next unit there (0: none, else from 1): loss in each case;
     * NULL: not looked at yet */
    double **losses;
    int cases[SHADING_STANDS_MAX]; /* per unit */
    int *line;                     /* [cases][stands]: stations in each case of the shared line */
};

static const struct planting *planting_of(const struct work *w, int stand)
{
    return &w->menu->plantings[w->menu->items[w->stands[stand].item].planting];
}

static struct block block_of(const struct work *w, int stand, int lines)
{
    const struct item *item = &w->menu->items[w->stands[stand].item];
    const struct planting *p = planting_of(w, stand);
    return (struct block){.planting = p,
                          .lines = lines,
                          .depth_m = planting_depth(p, lines),
                          .along_m = item->along_m,
                          .length_m = item->length_m};
}

/* ---- the sky, by sides --------------------------------------------------------------------- */

static void sky_of(const struct garden *garden, const struct zone *zone, const struct planting *p,
                   struct sky *out)
{
    struct block block = {.planting = p};
    struct growth growth = block_growth(&block);
    light_sky(garden->site.latitude.v, garden_plot(garden, (size_t)zone->plot)->bearing.v,
              (int)growth.sow, (int)growth.ripe, LIGHT_DIFFUSE_SHARE, out);
    light_missing(out, growth, out->missing);
}

static void divide_sky(const struct work *w, const struct sky *sky, enum side side, struct sky *out)
{
    int n = 0;
    *out = *sky;
    for (int k = 0; k < sky->n; k++) {
        double across = w->zone->along_x ? sky->rays[k].dy : sky->rays[k].dx;
        if ((across < 0) == (side == BEFORE))
            out->rays[n++] = sky->rays[k];
    }
    out->n = n;
}

static hr_status make_skies(struct work *w)
{
    for (enum side side = BEFORE; side < SIDES; side++) {
        w->skies[side] = ARENA_ARRAY(w->arena, struct sky, (size_t)w->nstands);
        if (!w->skies[side])
            return HR_NOMEM;
    }
    for (int s = 0; s < w->nstands; s++) {
        struct sky sky;
        sky_of(w->garden, w->zone, planting_of(w, s), &sky);
        for (enum side side = BEFORE; side < SIDES; side++)
            divide_sky(w, &sky, side, &w->skies[side][s]);
    }
    return HR_OK;
}

/* ---- units --------------------------------------------------------------------------------- */

/* The ways to divide the shared line, stations of its parts within their bounds; 0: too many. */
static hr_status divide_line(struct work *w, struct unit *u, int *cases)
{
    double length = 0, many = 1;
    int n = 0;
    for (int s = u->first; s < u->first + u->n; s++)
        many *= w->stands[s].most - w->stands[s].least + 1;
    *cases = 0;
    if (many > CASES_MAX)
        return HR_OK;
    w->line = ARENA_ARRAY(w->arena, int, (size_t)many *(size_t)w->nstands);
    if (!w->line)
        return HR_NOMEM;
    for (int c = 0; c < (int)many; c++) {
        int *at = w->line + n * w->nstands, rest = c;
        length = 0;
        for (int s = u->first; s < u->first + u->n; s++) {
            int choices = w->stands[s].most - w->stands[s].least + 1;
            at[s] = w->stands[s].least + rest % choices;
            rest /= choices;
            length += at[s] * planting_of(w, s)->pitch_m;
        }
        n += length <= w->zone->length_m + 1e-6;
    }
    *cases = n;
    return HR_OK;
}

static hr_status make_units(struct work *w)
{
    hr_status status = HR_OK;
    for (int s = 0; s < w->nstands; s++) {
        const struct planting *p = planting_of(w, s);
        struct unit *last = w->nunits > 0 ? &w->units[w->nunits - 1] : NULL;
        if (w->stands[s].shared && last && w->stands[last->first].shared) {
            last->n++;
            last->depth_m = last->deepest_m = fmax(last->depth_m, p->first_m);
            continue;
        }
        struct unit u = {.first = s, .n = 1, .depth_m = p->first_m, .deepest_m = p->first_m};
        if (!w->stands[s].shared) {
            u.depth_m = planting_depth(p, w->stands[s].least);
            u.deepest_m = planting_depth(p, w->stands[s].most);
        }
        w->units[w->nunits++] = u;
    }
    for (int k = 0; k < w->nunits && status == HR_OK; k++) {
        struct unit *u = &w->units[k];
        int lines = w->stands[u->first].most - w->stands[u->first].least + 1;
        w->cases[k] = lines > CASES_MAX ? 0 : lines;
        if (w->stands[u->first].shared)
            status = divide_line(w, u, &w->cases[k]);
    }
    return status;
}

/* ---- shaders ------------------------------------------------------------------------------- */

/* The parts of the shared line at the given stations, from `start_m` across. */
static void parts_at(const struct work *w, const struct unit *u, const int *stations,
                     double start_m, struct block *out)
{
    double along = 0;
    for (int k = 0; k < u->n; k++) {
        out[k] = block_of(w, u->first + k, 1);
        out[k].along_m = along;
        out[k].length_m = stations[u->first + k] * out[k].planting->pitch_m;
        out[k].start_m = start_m;
        out[k].depth_m = u->depth_m;
        along += out[k].length_m;
    }
}

/* What a unit covers at least whatever its numbers: canopies that start `start_m` across, as narrow
 * as they may be. Their number. */
static int least_of(const struct work *w, const struct unit *u, double start_m, struct block *out)
{
    int n = 0;
    double from = 0, to = 0; /* where a part begins at the latest, and at the earliest */
    if (!w->stands[u->first].shared) {
        out[0] = block_of(w, u->first, w->stands[u->first].least);
        out[0].start_m = start_m;
        return 1;
    }
    for (int s = u->first; s < u->first + u->n; s++) {
        double pitch = planting_of(w, s)->pitch_m;
        struct block b = block_of(w, s, 1);
        b.start_m = start_m;
        b.depth_m = u->depth_m;
        b.along_m = from;
        b.length_m = to + w->stands[s].least * pitch - from;
        if (b.length_m > 0)
            out[n++] = b;
        from += w->stands[s].most * pitch;
        to += w->stands[s].least * pitch;
    }
    return n;
}

/* The canopies of up to two units at a side of `own`, which begins at 0 across. Of what reaches
 * along all of it no more light is taken farther away; the rest counts where its place is known. */
static int beside(const struct work *w, enum side side, int nearest, int next,
                  const struct block *own, struct block *out)
{
    const struct unit *a = nearest > 0 ? &w->units[nearest - 1] : NULL;
    const struct unit *b = next > 0 ? &w->units[next - 1] : NULL;
    if (!a)
        return 0;
    int n = least_of(w, a, side == BEFORE ? -a->depth_m : own->depth_m, out);
    if (!b)
        return n;
    double start = side == BEFORE ? -a->deepest_m - b->depth_m : own->depth_m + a->deepest_m;
    int more = least_of(w, b, start, out + n);
    for (int k = 0; k < more && a->deepest_m > a->depth_m; k++)
        if (out[n + k].along_m > own->along_m ||
            out[n + k].along_m + out[n + k].length_m < own->along_m + own->length_m)
            return n;
    return n + more;
}

/* What the stand at `own` loses of the light from one side. */
static double loss_at(const struct work *w, int stand, enum side side, const struct block *own,
                      const struct block *others, int n)
{
    struct shader near[3 * SHADING_STANDS_MAX];
    const struct sky *sky = &w->skies[side][stand];
    for (int k = 0; k < n; k++) {
        near[k] = block_shader(&others[k], w->zone);
        light_missing(sky, block_growth(&others[k]), near[k].missing);
    }
    return 1 - light_on_rect(sky, block_rect(own, w->zone), own->planting->height_m, near, n, -1);
}

/* ---- losses -------------------------------------------------------------------------------- */

static int unit_of(const struct work *w, int stand)
{
    int k = 0;
    while (stand >= w->units[k].first + w->units[k].n)
        k++;
    return k;
}

static void look(const struct work *w, int stand, enum side side, int nearest, int next,
                 double *losses)
{
    struct block others[3 * SHADING_STANDS_MAX], parts[SHADING_STANDS_MAX];
    const int k = unit_of(w, stand);
    const struct unit *u = &w->units[k];
    for (int c = 0; c < w->cases[k]; c++) {
        int n = 0;
        struct block own;
        if (w->stands[stand].shared) {
            parts_at(w, u, w->line + c * w->nstands, 0, parts);
            own = parts[stand - u->first];
            for (int o = 0; o < u->n; o++)
                if (o != stand - u->first)
                    others[n++] = parts[o];
        } else {
            own = block_of(w, stand, w->stands[stand].least + c);
        }
        n += beside(w, side, nearest, next, &own, others + n);
        losses[c] = loss_at(w, stand, side, &own, others, n);
    }
}

static const double *losses_of(struct work *w, int stand, enum side side, int nearest, int next)
{
    int span = w->nunits + 1;
    double **at = &w->losses[((stand * (int)SIDES + (int)side) * span + nearest) * span + next];
    if (!*at) {
        *at = ARENA_ARRAY(w->arena, double, (size_t)w->cases[unit_of(w, stand)]);
        if (*at)
            look(w, stand, side, nearest, next, *at);
    }
    return *at;
}

/* Least lines' worth of light that a stand loses between such neighbours. */
static hr_status lines_lost(struct work *w, int stand, const int *before, const int *behind,
                            double *out)
{
    const int k = unit_of(w, stand);
    const struct item *item = &w->menu->items[w->stands[stand].item];
    const double *a = losses_of(w, stand, BEFORE, before[0], before[1]);
    const double *b = losses_of(w, stand, BEHIND, behind[0], behind[1]);
    double least = w->cases[k] > 0 ? HUGE_VAL : 0;
    if (!a || !b)
        return HR_NOMEM;
    for (int c = 0; c < w->cases[k]; c++) {
        double lines = w->stands[stand].shared
                           ? (double)w->line[c * w->nstands + stand] / item->stations[0]
                           : w->stands[stand].least + c;
        least = fmin(least, lines * (a[c] + b[c]));
    }
    *out = least > LEAST ? least * (1 - 1e-9) : 0;
    return HR_OK;
}

/* ---- orders -------------------------------------------------------------------------------- */

static bool no_more(const struct shading_way *a, const struct shading_way *b, int n)
{
    for (int s = 0; s < n; s++)
        if (a->lines[s] > b->lines[s])
            return false;
    return true;
}

/* Adds a way, unless one that is there does for it; what it does for goes. */
static void add_way(const struct work *w, const struct shading_way *way, struct shading_way *ways,
                    int *n)
{
    int kept = 0;
    for (int k = 0; k < *n; k++)
        if (no_more(&ways[k], way, w->nstands))
            return;
    for (int k = 0; k < *n; k++)
        if (!no_more(way, &ways[k], w->nstands))
            ways[kept++] = ways[k];
    *n = kept;
    if (*n < SHADING_WAYS_MAX) {
        ways[(*n)++] = *way;
        return;
    }
    for (int s = 0; s < w->nstands; s++) /* one for both */
        ways[*n - 1].lines[s] = fmin(ways[*n - 1].lines[s], way->lines[s]);
}

static hr_status look_at_order(struct work *w, const int *order, struct shading_way *ways, int *n)
{
    struct shading_way way = {{0}};
    hr_status status = HR_OK;
    for (int k = 0; k < w->nunits && status == HR_OK; k++) {
        int before[2] = {k > 0 ? order[k - 1] + 1 : 0, k > 1 ? order[k - 2] + 1 : 0};
        int behind[2] = {k + 1 < w->nunits ? order[k + 1] + 1 : 0,
                         k + 2 < w->nunits ? order[k + 2] + 1 : 0};
        const struct unit *u = &w->units[order[k]];
        for (int s = u->first; s < u->first + u->n && status == HR_OK; s++)
            status = lines_lost(w, s, before, behind, &way.lines[s]);
    }
    if (status == HR_OK)
        add_way(w, &way, ways, n);
    return status;
}

/* The next order in the manner of counting; false after the last. */
static bool next_order(int *order, int n)
{
    int i = n - 2, j = n - 1;
    while (i >= 0 && order[i] >= order[i + 1])
        i--;
    if (i < 0)
        return false;
    while (order[j] <= order[i])
        j--;
    int was = order[i];
    order[i] = order[j];
    order[j] = was;
    for (int a = i + 1, b = n - 1; a < b; a++, b--) {
        was = order[a];
        order[a] = order[b];
        order[b] = was;
    }
    return true;
}

hr_status shading_ways(const struct garden *garden, const struct zone *zone,
                       const struct menu *menu, const struct shading_stand *stands, int nstands,
                       struct arena *arena, struct shading_way *ways, int *n)
{
    struct work w = {.garden = garden,
                     .zone = zone,
                     .menu = menu,
                     .stands = stands,
                     .arena = arena,
                     .nstands = nstands};
    ways[0] = (struct shading_way){{0}};
    *n = 1;
    if (nstands > SHADING_STANDS_MAX)
        return HR_OK;
    hr_status status = make_units(&w);
    if (status != HR_OK || w.nunits > EXACT_UNITS || nstands < 2)
        return status;
    status = make_skies(&w);
    w.losses = ARENA_ARRAY(arena, double *,
                           (size_t)(nstands * (int)SIDES * (w.nunits + 1) * (w.nunits + 1)));
    if (status != HR_OK || !w.losses)
        return HR_NOMEM;
    int order[EXACT_UNITS];
    for (int k = 0; k < w.nunits; k++)
        order[k] = k;
    *n = 0;
    do
        status = look_at_order(&w, order, ways, n);
    while (status == HR_OK && next_order(order, w.nunits));
    return status;
}

/* ---- the most ------------------------------------------------------------------------------ */

static void all_around(const struct sky *sky, const struct planting *p, struct shader *s)
{
    struct block block = {.planting = p};
    double missing[LIGHT_PHASES];
    light_missing(sky, block_growth(&block), missing);
    s->height_m = fmax(s->height_m, p->height_m);
    s->extinction_per_m = fmax(s->extinction_per_m, p->extinction_per_m);
    for (int k = 0; k < LIGHT_PHASES; k++)
        s->missing[k] = fmin(s->missing[k], missing[k]);
}

static struct shader nothing_around(void)
{
    struct shader s = {.surface_light = 1};
    for (int k = 0; k < LIGHT_PHASES; k++)
        s.missing[k] = 1;
    return s;
}

double shading_most(const struct garden *garden, const struct zone *zone, const struct menu *menu,
                    const struct planting *p)
{
    struct shader s = nothing_around();
    struct sky sky;
    s.r = (struct rect){-AROUND_M, -AROUND_M, AROUND_M, AROUND_M};
    sky_of(garden, zone, p, &sky);
    for (int t = 0; t < menu->nplantings; t++)
        all_around(&sky, &menu->plantings[t], &s);
    for (int b = 0; b < menu->nstanding; b++)
        all_around(&sky, menu->standing[b].planting, &s);
    return 1 - light_at_point(&sky, 0, 0, p->height_m, &s, 1, -1);
}

/* What a stand of so many lines or stations loses where all around it stands `like`. A block takes
 * all of its zone's length: nothing stands at the ends of its lines. */
static double loss_within(const struct work *w, const struct sky *sky, int stand, int number,
                          double line_m, const struct shader *like)
{
    const bool shared = w->stands[stand].shared;
    struct block own = block_of(w, stand, shared ? 1 : number);
    struct shader near[4] = {*like, *like, *like, *like};
    if (shared) {
        own.length_m = number * own.planting->pitch_m;
        own.depth_m = line_m;
    }
    struct rect r = block_rect(&own, w->zone);
    double far = AROUND_M, x0 = r.x0, x1 = r.x1, y0 = r.y0, y1 = r.y1;
    if (w->zone->along_x) { /* those at its sides first, past its ends, too */
        near[0].r = (struct rect){x0 - far, y0 - far, x1 + far, y0};
        near[1].r = (struct rect){x0 - far, y1, x1 + far, y1 + far};
        near[2].r = (struct rect){x0 - far, y0, x0, y1};
        near[3].r = (struct rect){x1, y0, x1 + far, y1};
    } else {
        near[0].r = (struct rect){x0 - far, y0 - far, x0, y1 + far};
        near[1].r = (struct rect){x1, y0 - far, x1 + far, y1 + far};
        near[2].r = (struct rect){x0, y0 - far, x1, y0};
        near[3].r = (struct rect){x0, y1, x1, y1 + far};
    }
    return 1 - light_on_rect(sky, r, own.planting->height_m, near, shared ? 4 : 2, -1);
}

void shading_most_of(const struct garden *garden, const struct zone *zone, const struct menu *menu,
                     const struct shading_stand *stands, int nstands, double *lines)
{
    struct work w = {.garden = garden, .zone = zone, .menu = menu, .stands = stands};
    double line_m = 0;
    for (int s = 0; s < nstands; s++)
        line_m = stands[s].shared ? fmax(line_m, planting_of(&w, s)->first_m) : line_m;
    for (int s = 0; s < nstands; s++) {
        struct shader around = nothing_around();
        struct sky sky;
        sky_of(garden, zone, planting_of(&w, s), &sky);
        for (int o = 0; o < nstands; o++)
            if (o != s)
                all_around(&sky, planting_of(&w, o), &around);
        const int stations = menu->items[stands[s].item].stations[0];
        lines[s] = 0;
        for (int n = stands[s].least; n <= stands[s].most; n++) {
            double of_them = stands[s].shared ? (double)n / stations : n;
            lines[s] = fmax(lines[s], of_them * loss_within(&w, &sky, s, n, line_m, &around));
        }
    }
}
