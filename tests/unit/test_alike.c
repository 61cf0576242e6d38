/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One garden told in several ways: turned, mirrored, renamed, in another order, in other units. The
 * ground, the menu and the integer program must be the same, so that their best plans are; on small
 * gardens the plans' values, too. */
#include "hr_test.h"

#include <math.h>
#include <stdlib.h>

#include "garden_text.h"
#include "garden_turn.h"
#include "menu_text.h"
#include "plan.h"
#include "program.h"
#include "verify.h"

static const char *const samples[] = {"first-plot",     "small-square",  "ell-plot",
                                      "three-plots",    "allotment-52n", "southern-34s",
                                      "trapezoid-fence"};
#define SAMPLES (sizeof samples / sizeof *samples)

enum telling { AS_IT_IS, TURNED_1, TURNED_2, TURNED_3, MIRRORED, REVERSED, RENAMED, OTHER_UNITS };
static const char *const tellings[] = {"as it is", "turned once", "turned twice", "turned thrice",
                                       "mirrored", "reversed",    "renamed",      "other units"};

static void retell(struct garden_text *t, enum telling how)
{
    struct garden *g = t->garden;
    for (size_t i = 0; i < g->plots.n; i++) {
        for (int k = 0; how <= TURNED_3 && k < (int)how; k++)
            plot_retell(t->arena, garden_plot(g, i), RETOLD_TURNED);
        if (how == MIRRORED)
            plot_retell(t->arena, garden_plot(g, i), RETOLD_MIRRORED);
    }
    if (how == REVERSED)
        garden_reverse(g);
    if (how == RENAMED)
        garden_rename(t->arena, g);
    if (how == OTHER_UNITS)
        g->units.v = g->units.v == UNITS_US ? UNITS_METRIC : UNITS_US;
}

static struct garden_text sample_read(const char *name)
{
    struct garden_text t = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    const struct source *src;
    char path[120];
    snprintf(path, sizeof path, "samples/%s.yaml", name);
    CALL(library_read(t.arena, "crops", t.diags, &t.library));
    CALL(source_read(t.arena, path, t.diags, &src));
    CALL(garden_read(t.arena, src, t.library, t.diags, &t.garden));
    /* Their depths are round ones in the units of the garden: half an inch is not 1 cm. */
    t.garden->limits.compost_m3.set = t.garden->limits.mulch_m3.set = false;
    return t;
}

/* ---- programs up to the order of columns and rows -------------------------------------------- */

/* A garden with its ground, menu and program. */
struct told {
    struct made m;
    struct program p;
};

static struct told told_of(struct garden_text text, enum telling how)
{
    struct told t = {.m.text = text};
    struct garden_text *in = &t.m.text;
    retell(in, how);
    CALL(zones_cut(in->garden, in->arena, in->diags, &t.m.zones));
    CALL(menu_make(in->garden, &t.m.zones, in->arena, in->diags, &t.m.menu));
    return t;
}

/* Once it lies where it stays: a program points to its zones and menu. */
static void told_program(struct told *t)
{
    CALL(program_init(&t->p, t->m.text.garden, &t->m.zones, &t->m.menu, t->m.text.arena));
    CALL(program_build(&t->p));
}

static int place_of(enum telling how, int i, size_t n)
{
    return how == REVERSED ? (int)n - 1 - i : i;
}

static struct point point_told(struct point p, enum telling how)
{
    for (int k = 0; how <= TURNED_3 && k < (int)how; k++)
        point_retell(&p, RETOLD_TURNED);
    if (how == MIRRORED)
        point_retell(&p, RETOLD_MIRRORED);
    return p;
}

/* Where a zone's rectangle lies when it is told that way. */
static struct rect rect_told(struct rect r, enum telling how)
{
    struct point a = point_told((struct point){.x = r.x0, .y = r.y0}, how);
    struct point b = point_told((struct point){.x = r.x1, .y = r.y1}, how);
    return (struct rect){fmin(a.x, b.x), fmin(a.y, b.y), fmax(a.x, b.x), fmax(a.y, b.y)};
}

/* Whether the zone's first line is then its last. */
static bool ends_swap(const struct zone *zone, enum telling how)
{
    struct point across = {.x = zone->along_x ? 0 : 1, .y = zone->along_x ? 1 : 0};
    across = point_told(across, how);
    return across.x + across.y < 0;
}

static bool close_by(double a, double b)
{
    return fabs(a - b) <= 1e-6 * (1 + fabs(a));
}

/* The zone of b that is a's, -1: there is none like it. */
static int zone_told(const struct told *a, size_t z, const struct told *b, enum telling how)
{
    const struct zone *zone = &a->m.zones.items[z];
    struct rect r = rect_told(zone->r, how);
    bool across = how == TURNED_1 || how == TURNED_3;
    double spill = zone->spill_m[0] + zone->spill_m[1], over = zone->over_m[0] + zone->over_m[1];
    for (size_t k = 0; k < b->m.zones.n; k++) {
        const struct zone *o = &b->m.zones.items[k];
        if (o->plot == place_of(how, zone->plot, a->m.text.garden->plots.n) &&
            o->along_x == (zone->along_x != across) && close_by(r.x0, o->r.x0) &&
            close_by(r.y0, o->r.y0) && close_by(r.x1, o->r.x1) && close_by(r.y1, o->r.y1) &&
            close_by(zone->light, o->light) && close_by(spill, o->spill_m[0] + o->spill_m[1]) &&
            close_by(over, o->over_m[0] + o->over_m[1]) && close_by(zone->tallest_m, o->tallest_m))
            return (int)k;
    }
    return -1;
}

static int planting_told(const struct told *a, int i, const struct told *b, enum telling how)
{
    const struct planting *p = &a->m.menu.plantings[i];
    for (int k = 0; k < b->m.menu.nplantings; k++) {
        const struct planting *q = &b->m.menu.plantings[k];
        bool same = p->system == q->system && p->slot == q->slot && p->turn_d == q->turn_d &&
                    p->nparts == q->nparts && p->stay.from == q->stay.from &&
                    p->stay.to == q->stay.to && close_by(p->pitch_m, q->pitch_m) &&
                    close_by(p->line_m, q->line_m);
        for (int j = 0; same && j < p->nparts; j++)
            same = q->parts[j].seed_index ==
                       place_of(how, p->parts[j].seed_index, a->m.text.garden->seed.n) &&
                   p->parts[j].every == q->parts[j].every &&
                   p->parts[j].per_station == q->parts[j].per_station;
        if (same)
            return k;
    }
    return -1;
}

struct pairing {
    int *column; /* of b, by column of a; -1: none */
    int *item;
};

static void pair(struct pairing *p, const int *a, size_t i, const int *b, size_t k)
{
    if (a[i] >= 0)
        p->column[a[i]] = b[k];
}

static void pair_items(const struct told *a, const struct told *b, const int *zones,
                       const int *plantings, enum telling how, struct pairing *p)
{
    for (int i = 0; i < a->m.menu.nitems; i++) {
        const struct item *item = &a->m.menu.items[i];
        const struct zone *zone = &a->m.zones.items[item->zone];
        p->item[i] = -1;
        for (int k = 0; k < b->m.menu.nitems && p->item[i] < 0; k++)
            if (b->m.menu.items[k].zone == zones[item->zone] &&
                b->m.menu.items[k].planting == plantings[item->planting])
                p->item[i] = k;
        cr_assert(p->item[i] >= 0, "no item for %s in %s", a->m.menu.plantings[item->planting].id,
                  zone->name);
        size_t n = (size_t)i, k = (size_t)p->item[i];
        pair(p, a->p.col_n, n, b->p.col_n, k);
        pair(p, a->p.col_q, n, b->p.col_q, k);
        pair(p, a->p.col_y, n, b->p.col_y, k);
        pair(p, a->p.col_s, n, b->p.col_s, k);
        pair(p, a->p.col_w, n, b->p.col_w, k);
        for (int end = 0; end < 2; end++)
            pair(p, a->p.col_b[end], n, b->p.col_b[end ^ ends_swap(zone, how)], k);
    }
}

static void pair_zones(const struct told *a, const struct told *b, const int *zones,
                       enum telling how, struct pairing *p)
{
    size_t turns = (size_t)a->m.menu.nturns, plots = a->m.text.garden->plots.n;
    size_t seeds = a->m.text.garden->seed.n;
    for (size_t z = 0; z < a->m.zones.n; z++) {
        size_t k = (size_t)zones[z];
        pair(p, a->p.col_d, z, b->p.col_d, k);
        pair(p, a->p.col_v, z, b->p.col_v, k);
        for (size_t t = 0; t < turns; t++)
            pair(p, a->p.col_r, z * turns + t, b->p.col_r, k * turns + t);
    }
    for (size_t g = 0; g < a->m.zones.ngrounds; g++)
        for (size_t h = 0; h < b->m.zones.ngrounds; h++)
            if (b->m.zones.grounds[h].plot == place_of(how, a->m.zones.grounds[g].plot, plots) &&
                b->m.zones.grounds[h].along_x ==
                    (a->m.zones.grounds[g].along_x != (how == TURNED_1 || how == TURNED_3)))
                pair(p, a->p.col_o, g, b->p.col_o, h);
    for (size_t s = 0; s < seeds; s++)
        for (size_t q = 0; q < plots; q++)
            pair(p, a->p.col_u, s * plots + q, b->p.col_u,
                 (size_t)place_of(how, (int)s, seeds) * plots +
                     (size_t)place_of(how, (int)q, plots));
    pair(p, &a->p.col_e, 0, &b->p.col_e, 0);
    pair(p, &a->p.col_a, 0, &b->p.col_a, 0);
    pair(p, &a->p.col_t, 0, &b->p.col_t, 0);
}

/* A row by its sides and two sums over its entries, each column with a weight of its own: rows that
 * differ have other sums. */
struct sums {
    double sum[2], size, lower, upper;
    const char *name;
};

static int compare_sums(const void *left, const void *right)
{
    const struct sums *a = left, *b = right;
    return (a->sum[0] > b->sum[0]) - (a->sum[0] < b->sum[0]);
}

static double weight(int column, int which)
{
    double x = sin(12.9898 * (column + 1) + 78.233 * which) * 43758.5453;
    return 1 + x - floor(x);
}

/* weight_of: of a column, the one that gives it its weight. */
static struct sums *rows_summed(const struct mip *mip, const int *weight_of, struct arena *arena)
{
    struct sums *sums = ARENA_ARRAY(arena, struct sums, (size_t)mip->nrows);
    for (int r = 0; r < mip->nrows; r++) {
        double low = mip->rows[r].lower, up = mip->rows[r].upper;
        sums[r] = (struct sums){.lower = low, .upper = up, .name = mip->rows[r].name};
        sums[r].sum[0] = (isinf(low) ? 3e4 : 0.37 * low) + (isinf(up) ? 7e4 : 0.73 * up);
        sums[r].size = 1;
    }
    for (int e = 0; e < mip->nentries; e++)
        for (int k = 0; k < 2; k++) {
            double w = weight(weight_of[mip->entries[e].column], k) * mip->entries[e].value;
            sums[mip->entries[e].row].sum[k] += w;
            sums[mip->entries[e].row].size += fabs(w);
        }
    qsort(sums, (size_t)mip->nrows, sizeof *sums, compare_sums);
    return sums;
}

static bool sides_same(double a, double b)
{
    return isinf(a) || isinf(b) ? a == b : close_by(a, b);
}

static void programs_compare(const struct told *a, const struct told *b, const struct pairing *p,
                             const char *what)
{
    struct arena *arena = b->m.text.arena;
    const struct mip *x = &a->p.mip, *y = &b->p.mip;
    int *back = ARENA_ARRAY(arena, int, (size_t)y->ncolumns);
    int *same = ARENA_ARRAY(arena, int, (size_t)x->ncolumns);
    cr_assert(x->ncolumns == y->ncolumns && x->nrows == y->nrows && x->nentries == y->nentries,
              "%s: %d, %d columns, %d, %d rows, %d, %d entries", what, x->ncolumns, y->ncolumns,
              x->nrows, y->nrows, x->nentries, y->nentries);
    for (int c = 0; c < y->ncolumns; c++)
        back[c] = -1;
    for (int c = 0; c < x->ncolumns; c++) {
        same[c] = c;
        cr_assert(p->column[c] >= 0, "%s: no column %s", what, x->columns[c].name);
        back[p->column[c]] = c;
        const struct mip_column *v = &x->columns[c], *w = &y->columns[p->column[c]];
        cr_assert(v->kind == w->kind && sides_same(v->lower, w->lower) &&
                      sides_same(v->upper, w->upper) && close_by(v->objective, w->objective),
                  "%s: %s to %g, %s to %g", what, v->name, v->upper, w->name, w->upper);
    }
    for (int c = 0; c < y->ncolumns; c++)
        cr_assert(back[c] >= 0, "%s: %s is too many", what, y->columns[c].name);
    struct sums *s = rows_summed(x, same, arena), *t = rows_summed(y, back, arena);
    for (int r = 0; r < x->nrows; r++)
        cr_assert(fabs(s[r].sum[0] - t[r].sum[0]) <= 1e-6 * s[r].size &&
                      fabs(s[r].sum[1] - t[r].sum[1]) <= 1e-6 * s[r].size &&
                      sides_same(s[r].lower, t[r].lower) && sides_same(s[r].upper, t[r].upper),
                  "%s: row %s (%g, %g), %s (%g, %g)", what, s[r].name, s[r].sum[0], s[r].sum[1],
                  t[r].name, t[r].sum[0], t[r].sum[1]);
}

/* The same ground, plantings, items and program. */
static void told_compare(struct told *a, struct told *b, enum telling how, const char *sample)
{
    char what[80];
    struct arena *arena = b->m.text.arena;
    struct pairing p;
    int *zones = ARENA_ARRAY(arena, int, a->m.zones.n);
    int *plantings = ARENA_ARRAY(arena, int, (size_t)a->m.menu.nplantings);
    snprintf(what, sizeof what, "%s, %s", sample, tellings[how]);
    cr_assert(a->m.zones.n == b->m.zones.n, "%s: %zu, %zu zones", what, a->m.zones.n, b->m.zones.n);
    for (size_t z = 0; z < a->m.zones.n; z++) {
        zones[z] = zone_told(a, z, b, how);
        cr_assert(zones[z] >= 0, "%s: no zone like %s", what, a->m.zones.items[z].name);
    }
    for (int i = 0; i < a->m.menu.nplantings; i++) {
        plantings[i] = planting_told(a, i, b, how);
        cr_assert(plantings[i] >= 0, "%s: no %s", what, a->m.menu.plantings[i].id);
    }
    p.item = ARENA_ARRAY(arena, int, (size_t)a->m.menu.nitems);
    p.column = ARENA_ARRAY(arena, int, (size_t)a->p.mip.ncolumns);
    for (int c = 0; c < a->p.mip.ncolumns; c++)
        p.column[c] = -1;
    pair_items(a, b, zones, plantings, how, &p);
    pair_zones(a, b, zones, how, &p);
    programs_compare(a, b, &p, what);
}

Test(alike, samples_have_one_program_however_told, .timeout = 120)
{
    for (size_t i = 0; i < SAMPLES; i++) {
        struct told a = told_of(sample_read(samples[i]), AS_IT_IS);
        told_program(&a);
        for (enum telling how = TURNED_1; how <= OTHER_UNITS; how++) {
            struct told b = told_of(sample_read(samples[i]), how);
            told_program(&b);
            told_compare(&a, &b, how, samples[i]);
            garden_text_free(&b.m.text);
        }
        garden_text_free(&a.m.text);
    }
}

Test(alike, the_staircase_loses_little, .timeout = 60)
{
    for (size_t i = 0; i < SAMPLES; i++) {
        struct told a = told_of(sample_read(samples[i]), AS_IT_IS);
        for (size_t g = 0; g < a.m.zones.ngrounds; g++)
            cr_expect(a.m.zones.grounds[g].lost_share <= 0.08, "%s: %g of %s", samples[i],
                      a.m.zones.grounds[g].lost_share,
                      garden_plot(a.m.text.garden, (size_t)a.m.zones.grounds[g].plot)->name.s);
        garden_text_free(&a.m.text);
    }
}

/* ---- values --------------------------------------------------------------------------------- */

static double value_told(struct garden_text text, enum telling how, double gap)
{
    struct plan_make_options o = {.seconds = 60, .gap = gap};
    struct plan *plan = NULL;
    retell(&text, how);
    hr_status status = plan_make(text.garden, &o, text.arena, text.diags, &plan);
    cr_assert(status == HR_OK || status == HR_LIMIT, "status %d: %s", status,
              garden_text_diags(&text));
    CALL(verify_plan(plan, text.arena, text.diags));
    double value = plan->value;
    garden_text_free(&text);
    return value;
}

/* A corner cut off, a path that vines may spill over, a wall: what turning and mirroring may miss.
 */
#define CORNER                                                                                     \
    "garden: A\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\nplots:\n  - name: B\n"         \
    "    outline: [[0 m, 0 m], [3 m, 0 m], [3 m, 1.5 m], [2 m, 2.6 m], [0 m, 2.6 m]]\n"            \
    "    bearing: 25 deg\n    border: 10 cm\n    edges:\n"                                         \
    "      - {side: 2, kind: path, overhang: yes, gate: yes, gate at: 50 cm}\n"                    \
    "      - {side: 5, kind: wall, height: 1.8 m}\nseed:\n"                                        \
    "  - {variety: C, crop: flint corn}\n  - {variety: D, crop: climbing bean}\n"                  \
    "  - {variety: E, crop: butternut squash, amount: 9 seeds}\n  - {variety: F, crop: potato}\n"  \
    "grow:\n  guilds: [\"corn, bean and squash\"]\n"                                               \
    "wishes:\n  - {crop: potato, at least: 1 kg}\n  - {variety: E, at least: 1 plants, plot: B}\n"

Test(alike, a_small_garden_is_worth_the_same_however_told, .timeout = 120)
{
    double as_it_is = value_told(garden_text_read(CORNER), AS_IT_IS, 1e-4);
    static const enum telling hows[] = {TURNED_1, MIRRORED, REVERSED, RENAMED};
    for (size_t i = 0; i < sizeof hows / sizeof *hows; i++) {
        double value = value_told(garden_text_read(CORNER), hows[i], 1e-4);
        double share = hows[i] == RENAMED ? 1e-9 : 1e-3;
        cr_expect(near(value, as_it_is, share * as_it_is), "%s: %g, as it is %g", tellings[hows[i]],
                  value, as_it_is);
    }
}

/* By a quarter, the bearing turned back: a search may end anywhere within its gap, but ends nearby.
 */
Test(alike, samples_turned_are_worth_the_same, .timeout = 600)
{
    for (size_t i = 0; i < SAMPLES; i++) {
        double a = value_told(sample_read(samples[i]), AS_IT_IS, 0.02);
        double b = value_told(sample_read(samples[i]), TURNED_1, 0.02);
        cr_expect(near(a, b, 0.01 * a), "%s: %g, turned %g", samples[i], a, b);
    }
}
