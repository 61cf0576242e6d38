/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "arcflow.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PARTS_MOST  4   /* crops in one shared line */
#define LEAST_M     0.6 /* the shortest part of one */
#define SLACK       1e-9
#define SHARED_TAG  (-2) /* and below: a shared line, by the index of its width */
#define COLUMN_GOAL 0

static const struct planting *planting_of(const struct arcflow *a, int item)
{
    return &a->menu->plantings[a->menu->items[item].planting];
}

static const struct zone *zone_of(const struct arcflow *a, int item)
{
    return &a->zones->items[a->menu->items[item].zone];
}

/* Spots of the shortest part of a shared line. */
static int least_spots(const struct planting *p)
{
    int n = 1;
    while (n * p->pitch_m < LEAST_M - SLACK)
        n++;
    return n;
}

/* ---- networks ------------------------------------------------------------------------------ */

/* Whether lines of this item are not all alike. */
static bool alternates(const struct planting *p, const struct item *item)
{
    bool differ = item->stations[0] != item->stations[1];
    for (int k = 0; k < p->nparts; k++)
        differ = differ || item->plants[k][0] != item->plants[k][1];
    return differ;
}

/* Across the rows: hills first, whose depths are odd sums, then rows, then the shared line. */
static bool make_across(struct arcflow *a, int z)
{
    const struct menu *menu = a->menu;
    size_t n = (size_t)menu->nitems;
    struct group *groups = ARENA_ARRAY(a->arena, struct group, n + 1);
    struct way *ways = ARENA_ARRAY(a->arena, struct way, n);
    struct way *shared = ARENA_ARRAY(a->arena, struct way, n);
    struct arcflow_zone *of = &a->of[z];
    int ngroups = 0;
    if (!groups || !ways || !shared)
        return false;
    for (enum system system = SYSTEM_HILLS; system < SYSTEM_COUNT; system++)
        for (int i = 0; i < menu->nitems; i++) {
            const struct planting *p = planting_of(a, i);
            const struct item *item = &menu->items[i];
            if (item->zone != z || p->system != system)
                continue;
            double next = item->stations[1] > 0 ? p->line_m : 0;
            ways[ngroups] = (struct way){i, p->first_m, next, alternates(p, item)};
            groups[ngroups] = (struct group){&ways[ngroups], 1};
            ngroups++;
        }
    for (int w = 0; w < of->nwidths; w++)
        shared[w] = (struct way){SHARED_TAG - w, of->widths[w], 0, false};
    groups[ngroups++] = (struct group){shared, of->nwidths};
    axis_make(groups, ngroups, a->zones->items[z].depth_m, &of->across);
    return !of->across.failed;
}

/* Along the shared line: one variety after the other, each at one spacing. */
static bool make_along(struct arcflow *a, int z)
{
    const struct menu *menu = a->menu;
    struct group *groups = ARENA_ARRAY(a->arena, struct group, a->garden->seed.n);
    struct way *ways = ARENA_ARRAY(a->arena, struct way, (size_t)menu->nitems);
    int ngroups = 0, n = 0;
    if (!groups || !ways)
        return false;
    for (size_t s = 0; s < a->garden->seed.n; s++) {
        groups[ngroups] = (struct group){&ways[n], 0};
        for (int i = 0; i < menu->nitems; i++) {
            const struct planting *p = planting_of(a, i);
            if (menu->items[i].zone != z || p->system != SYSTEM_ROWS ||
                p->parts[0].seed_index != (int)s)
                continue;
            ways[n++] = (struct way){i, least_spots(p) * p->pitch_m, p->pitch_m, false};
            groups[ngroups].n++;
        }
        ngroups += groups[ngroups].n > 0;
    }
    axis_make(groups, ngroups, a->zones->items[z].length_m, &a->of[z].along);
    return !a->of[z].along.failed;
}

/* A shared line is as wide as the rows of one of its parts. */
static bool list_widths(struct arcflow *a, int z)
{
    struct arcflow_zone *of = &a->of[z];
    of->widths = ARENA_ARRAY(a->arena, double, (size_t)a->menu->nitems);
    if (!of->widths)
        return false;
    for (int i = 0; i < a->menu->nitems; i++) {
        double w = planting_of(a, i)->first_m;
        if (a->menu->items[i].zone != z || planting_of(a, i)->system != SYSTEM_ROWS)
            continue;
        int at = of->nwidths;
        while (at > 0 && of->widths[at - 1] > w + SLACK)
            at--;
        if (at > 0 && of->widths[at - 1] > w - SLACK)
            continue;
        memmove(&of->widths[at + 1], &of->widths[at], sizeof(double) * (size_t)(of->nwidths - at));
        of->widths[at] = w;
        of->nwidths++;
    }
    return true;
}

static void make_directions(struct arcflow *a)
{
    for (size_t g = 0; g < a->zones->ngrounds; g++) {
        a->direction[g] = -1;
        for (size_t h = 0; h < a->zones->ngrounds && a->direction[g] < 0; h++)
            if (h != g && a->zones->grounds[h].plot == a->zones->grounds[g].plot)
                a->direction[g] = a->ncolumns++;
    }
}

/* It has no rows for one crop after another, for seed to be saved, for wishes of guilds and plots.
 */
static bool is_known(const struct garden *g, const struct menu *menu)
{
    for (int t = 0; t < menu->nplantings; t++)
        if (menu->plantings[t].slot != SLOT_WHOLE)
            return false;
    if (g->limits.week_hours.set || g->limits.compost_m3.set || g->limits.mulch_m3.set)
        return false;
    for (size_t p = 0; p < g->plots.n; p++)
        for (size_t e = 0; e < garden_plot(g, p)->edges.n; e++)
            if (((const struct edge *)garden_plot(g, p)->edges.items)[e].shade.set)
                return false;
    for (size_t s = 0; s < g->seed.n; s++)
        if (garden_seed(g, s)->save.v)
            return false;
    for (size_t w = 0; w < g->wishes.n; w++)
        if (garden_wish(g, w)->guild.s || garden_wish(g, w)->plot.s)
            return false;
    return true;
}

bool arcflow_make(const struct garden *garden, const struct zones *zones, const struct menu *menu,
                  struct arena *arena, struct arcflow *out)
{
    struct arcflow a = {.garden = garden, .zones = zones, .menu = menu, .arena = arena};
    a.of = ARENA_ARRAY(arena, struct arcflow_zone, zones->n);
    a.direction = ARENA_ARRAY(arena, int, zones->ngrounds);
    if (!a.of || !a.direction)
        return false;
    bool ok = is_known(garden, menu);
    a.ncolumns = 1;
    make_directions(&a);
    for (size_t z = 0; z < zones->n && ok; z++) {
        ok = list_widths(&a, (int)z) && make_across(&a, (int)z) && make_along(&a, (int)z);
        a.of[z].first_across = a.ncolumns;
        a.of[z].first_along = a.ncolumns + a.of[z].across.narcs;
        a.ncolumns = a.of[z].first_along + a.of[z].along.narcs;
        ok = ok && a.ncolumns < AXIS_ARCS_MAX;
    }
    *out = a;
    if (!ok)
        arcflow_free(out);
    return ok;
}

void arcflow_free(struct arcflow *a)
{
    for (size_t z = 0; a->of && z < a->zones->n; z++) {
        axis_free(&a->of[z].across);
        axis_free(&a->of[z].along);
    }
    a->of = NULL;
}

/* ---- rows ---------------------------------------------------------------------------------- */

/* What an item gives of some quantity: a 1st or 3rd line, a 2nd or 4th, more for a block's first
 * line, a spot of a shared line. */
struct rate {
    double odd, even, opening, spot;
};

struct writer {
    const struct arcflow *a;
    FILE *f;
    struct rate *rates; /* per item, of the row that is being worked out */
    int rows, terms;
};

static void row_begin(struct writer *w)
{
    fprintf(w->f, " r%d:", ++w->rows);
    w->terms = 0;
}

static void term(struct writer *w, double value, int column)
{
    if (value != 0 && column >= 0)
        fprintf(w->f, "%s %+.15g x%d", ++w->terms % 6 == 0 ? "\n " : "", value, column);
}

static void row_end(struct writer *w, const char *sense, double side)
{
    if (w->terms == 0)
        fprintf(w->f, " 0 x%d", COLUMN_GOAL);
    fprintf(w->f, " %s %.15g\n", sense, side);
}

static double arc_gives(const struct rate *r, const struct arc *arc)
{
    double line = arc->even ? r->even : r->odd;
    return arc->kind == ARC_OPEN ? line + r->opening : arc->kind == ARC_NEXT ? line : 0;
}

static double arc_spots(const struct arcflow *a, const struct arc *arc)
{
    return arc->kind == ARC_OPEN   ? least_spots(planting_of(a, arc->tag))
           : arc->kind == ARC_NEXT ? 1
                                   : 0;
}

/* The total of all rates over the plan. */
static void row_rates(struct writer *w)
{
    for (size_t z = 0; z < w->a->zones->n; z++) {
        const struct arcflow_zone *of = &w->a->of[z];
        for (int k = 0; k < of->across.narcs; k++) {
            const struct arc *arc = &of->across.arcs[k];
            if (arc->tag >= 0)
                term(w, arc_gives(&w->rates[arc->tag], arc), of->first_across + k);
        }
        for (int k = 0; k < of->along.narcs; k++) {
            const struct arc *arc = &of->along.arcs[k];
            if (arc->tag >= 0)
                term(w, w->rates[arc->tag].spot * arc_spots(w->a, arc), of->first_along + k);
        }
    }
}

static void rates_clear(struct writer *w)
{
    memset(w->rates, 0, sizeof *w->rates * (size_t)w->a->menu->nitems);
}

static void rate_add(struct writer *w, int item, double odd, double even, double times)
{
    struct rate *r = &w->rates[item];
    r->odd += odd * times;
    r->even += even * times;
    r->spot += odd * times / w->a->menu->items[item].stations[0];
}

static void rate_add_area(struct writer *w, int item, double times)
{
    const struct planting *p = planting_of(w->a, item);
    double length = zone_of(w->a, item)->length_m;
    struct rate *r = &w->rates[item];
    r->odd += p->line_m * length * times;
    r->even += p->line_m * length * times;
    r->opening += (p->first_m - p->line_m) * length * times;
    r->spot += p->first_m * p->pitch_m * times;
}

static void rate_add_energy(struct writer *w, int item, double times)
{
    const struct food *food = w->a->menu->items[item].food;
    rate_add(w, item, food[0].energy_kcal, food[1].energy_kcal, times);
}

/* ---- rows of the paths --------------------------------------------------------------------- */

/* What flows into a node flows out of it; `in`: columns that feed the source, NULL: 1 does. */
static void rows_flow(struct writer *w, const struct axis *axis, int first, const int *in, int nin)
{
    if (axis->source == axis->sink)
        return;
    int *start = calloc((size_t)axis->nnodes + 1, sizeof *start);
    int *arcs = calloc(2 * (size_t)axis->narcs + 1, sizeof *arcs);
    if (!start || !arcs)
        abort();
    for (int k = 0; k < axis->narcs; k++) {
        start[axis->arcs[k].from]++;
        start[axis->arcs[k].to]++;
    }
    for (int n = 0; n < axis->nnodes; n++)
        start[n + 1] += start[n];
    for (int k = 0; k < axis->narcs; k++) {
        arcs[--start[axis->arcs[k].from]] = k;
        arcs[--start[axis->arcs[k].to]] = k;
    }
    for (int n = 0; n < axis->nnodes; n++) {
        if (n == axis->sink)
            continue;
        row_begin(w);
        for (int j = start[n]; j < start[n + 1]; j++)
            term(w, axis->arcs[arcs[j]].from == n ? 1 : -1, first + arcs[j]);
        for (int i = 0; n == axis->source && i < nin; i++)
            term(w, -1, in[i]);
        row_end(w, "=", n == axis->source && !in ? 1 : 0);
    }
    free(start);
    free(arcs);
}

static int direction_of(const struct arcflow *a, const struct zone *zone)
{
    for (size_t g = 0; g < a->zones->ngrounds; g++)
        if (a->zones->grounds[g].plot == zone->plot &&
            a->zones->grounds[g].along_x == zone->along_x)
            return a->direction[g];
    return -1;
}

static void rows_paths(struct writer *w, int z)
{
    const struct arcflow_zone *of = &w->a->of[z];
    int way = direction_of(w->a, &w->a->zones->items[z]), nshared = 0;
    int *shared = ARENA_ARRAY(w->a->arena, int, (size_t)of->across.narcs);
    for (int k = 0; k < of->across.narcs && shared; k++)
        if (of->across.arcs[k].kind == ARC_OPEN && of->across.arcs[k].tag <= SHARED_TAG)
            shared[nshared++] = of->first_across + k;
    rows_flow(w, &of->across, of->first_across, way >= 0 ? &way : NULL, way >= 0);
    if (shared)
        rows_flow(w, &of->along, of->first_along, shared, nshared);
}

/* A part stands in a shared line that is as wide as its rows. */
static void rows_wide(struct writer *w, int z)
{
    const struct arcflow *a = w->a;
    const struct arcflow_zone *of = &a->of[z];
    for (int i = 0; i < a->menu->nitems; i++) {
        if (a->menu->items[i].zone != z || planting_of(a, i)->system != SYSTEM_ROWS)
            continue;
        row_begin(w);
        for (int k = 0; k < of->along.narcs; k++)
            if (of->along.arcs[k].kind == ARC_OPEN && of->along.arcs[k].tag == i)
                term(w, 1, of->first_along + k);
        for (int k = 0; k < of->across.narcs; k++) {
            int width = SHARED_TAG - of->across.arcs[k].tag;
            if (width >= 0 && of->across.arcs[k].kind == ARC_OPEN &&
                of->widths[width] > planting_of(a, i)->first_m - SLACK)
                term(w, -1, of->first_across + k);
        }
        row_end(w, "<=", 0);
    }
}

/* Blocks of a zone, and parts of its shared line. */
static void rows_count(struct writer *w, int z)
{
    const struct arcflow_zone *of = &w->a->of[z];
    for (int all = 0; all < 2; all++) {
        row_begin(w);
        for (int k = 0; k < of->across.narcs && all; k++)
            if (of->across.arcs[k].kind == ARC_OPEN && of->across.arcs[k].tag >= 0)
                term(w, 1, of->first_across + k);
        for (int k = 0; k < of->along.narcs; k++)
            if (of->along.arcs[k].kind == ARC_OPEN)
                term(w, 1, of->first_along + k);
        row_end(w, "<=", all ? garden_blocks(w->a->garden) : PARTS_MOST);
    }
}

static void rows_direction(struct writer *w)
{
    for (size_t p = 0; p < w->a->garden->plots.n; p++) {
        row_begin(w);
        for (size_t g = 0; g < w->a->zones->ngrounds; g++)
            if (w->a->zones->grounds[g].plot == (int)p)
                term(w, 1, w->a->direction[g]);
        row_end(w, "<=", 1);
    }
}

/* ---- rows of the goal and the gardener's terms --------------------------------------------- */

static void rows_goal(struct writer *w)
{
    const struct garden *g = w->a->garden;
    for (int r = -2; r < AMINO_COUNT; r++) { /* -2: energy; -1: digestible protein */
        if (r == -2 ? g->goal.v == GOAL_PROTEIN : g->goal.v == GOAL_ENERGY)
            continue;
        double ration = r == -2 ? g->ration.energy_kcal.v : 1000 * g->ration.protein_kg.v;
        rates_clear(w);
        for (int i = 0; i < w->a->menu->nitems; i++) {
            const struct food *f = w->a->menu->items[i].food;
            if (r == -2)
                rate_add_energy(w, i, 1 / ration);
            else if (r == -1)
                rate_add(w, i, f[0].digestible_g, f[1].digestible_g, 1 / ration);
            else
                rate_add(w, i, f[0].amino_g[r], f[1].amino_g[r], 1 / ration / food_pattern[r]);
        }
        row_begin(w);
        term(w, -1, COLUMN_GOAL);
        row_rates(w);
        row_end(w, ">=", 0);
    }
}

/* Part k of item i, as the wish counts it. */
static void rate_add_wished(struct writer *w, int i, int k, enum unit_kind kind)
{
    const struct item *item = &w->a->menu->items[i];
    const struct planting *p = planting_of(w->a, i);
    double kcal = food_rate_typical(p->parts[k].crop).energy_kcal;
    switch (kind) {
    case UNIT_MASS:
        rate_add(w, i, item->kg[k][0], item->kg[k][1], 1);
        break;
    case UNIT_COUNT:
        rate_add(w, i, item->plants[k][0], item->plants[k][1], 1);
        break;
    case UNIT_AREA:
        rate_add_area(w, i, 1.0 / p->nparts);
        break;
    case UNIT_SHARE:
        rate_add(w, i, item->kg[k][0], item->kg[k][1], kcal);
        break;
    default:
        abort();
    }
}

static void row_wish(struct writer *w, const struct wish *wish, const struct amount *amount,
                     const char *sense)
{
    if (!amount->set)
        return;
    bool share = amount->kind == UNIT_SHARE;
    rates_clear(w);
    for (int i = 0; i < w->a->menu->nitems; i++) {
        const struct planting *p = planting_of(w->a, i);
        for (int k = 0; k < p->nparts; k++)
            if (wish->variety.s ? strcmp(wish->variety.s, p->parts[k].seed->variety.s) == 0
                                : strcmp(wish->crop_name.s, p->parts[k].crop->name.s) == 0)
                rate_add_wished(w, i, k, amount->kind);
        if (share)
            rate_add_energy(w, i, -amount->v);
    }
    row_begin(w);
    row_rates(w);
    row_end(w, sense, share ? 0 : amount->v);
}

/* No crop gives more than `most` of the energy, or takes more of the ground. */
static void rows_share(struct writer *w, bool energy, double most)
{
    const struct garden *g = w->a->garden;
    for (size_t s = 0; s < g->seed.n; s++) {
        const char *crop = garden_seed(g, s)->crop->name.s;
        rates_clear(w);
        for (int i = 0; i < w->a->menu->nitems; i++) {
            const struct planting *p = planting_of(w->a, i);
            for (int k = 0; k < p->nparts; k++) {
                if (strcmp(crop, p->parts[k].crop->name.s) != 0)
                    continue;
                if (energy)
                    rate_add_wished(w, i, k, UNIT_SHARE);
                else
                    rate_add_area(w, i, 1.0 / p->nparts);
            }
            if (energy)
                rate_add_energy(w, i, -most);
            else
                rate_add_area(w, i, -most);
        }
        row_begin(w);
        row_rates(w);
        row_end(w, "<=", 0);
    }
}

static void row_hours(struct writer *w, double most)
{
    rates_clear(w);
    for (int i = 0; i < w->a->menu->nitems; i++)
        rate_add(w, i, w->a->menu->items[i].hours[0], w->a->menu->items[i].hours[1], 1);
    row_begin(w);
    row_rates(w);
    row_end(w, "<=", most);
}

static void rows_seed(struct writer *w)
{
    const struct garden *g = w->a->garden;
    for (size_t s = 0; s < g->seed.n; s++) {
        double hand = garden_seed_count(g, garden_seed(g, s));
        if (!isfinite(hand))
            continue;
        rates_clear(w);
        for (int i = 0; i < w->a->menu->nitems; i++) {
            const struct planting *p = planting_of(w->a, i);
            const struct item *item = &w->a->menu->items[i];
            for (int k = 0; k < p->nparts; k++)
                if (p->parts[k].seed_index == (int)s)
                    rate_add(w, i, item->sown[k][0], item->sown[k][1], 1);
        }
        row_begin(w);
        row_rates(w);
        row_end(w, "<=", hand);
    }
}

static void rows_terms(struct writer *w)
{
    const struct garden *g = w->a->garden;
    for (size_t k = 0; k < g->wishes.n; k++) {
        row_wish(w, garden_wish(g, k), &garden_wish(g, k)->at_least, ">=");
        row_wish(w, garden_wish(g, k), &garden_wish(g, k)->at_most, "<=");
    }
    if (g->limits.share_energy.set)
        rows_share(w, true, g->limits.share_energy.v);
    if (g->limits.share_area.set)
        rows_share(w, false, g->limits.share_area.v);
    if (g->limits.hours.set)
        row_hours(w, g->limits.hours.v);
    rows_seed(w);
}

/* ---- the file ------------------------------------------------------------------------------ */

/* Ends and skips follow from the rest: out of a node goes at most one of them. */
static void list_binaries(struct writer *w, const struct axis *axis, int first)
{
    for (int k = 0; k < axis->narcs; k++)
        if (axis->arcs[k].kind == ARC_OPEN || axis->arcs[k].kind == ARC_NEXT)
            fprintf(w->f, " x%d\n", first + k);
}

bool arcflow_write(const struct arcflow *a, const char *path)
{
    struct writer w = {.a = a, .f = fopen(path, "w")};
    w.rates = ARENA_ARRAY(a->arena, struct rate, (size_t)a->menu->nitems);
    if (!w.f || !w.rates) {
        if (w.f)
            fclose(w.f);
        return false;
    }
    fprintf(w.f, "Maximize\n obj: x%d\nSubject To\n", COLUMN_GOAL);
    for (int z = 0; z < (int)a->zones->n; z++) {
        rows_paths(&w, z);
        rows_wide(&w, z);
        rows_count(&w, z);
    }
    rows_direction(&w);
    rows_goal(&w);
    rows_terms(&w);
    fprintf(w.f, "Binaries\n");
    for (size_t g = 0; g < a->zones->ngrounds; g++)
        if (a->direction[g] >= 0)
            fprintf(w.f, " x%d\n", a->direction[g]);
    for (size_t z = 0; z < a->zones->n; z++) {
        list_binaries(&w, &a->of[z].across, a->of[z].first_across);
        list_binaries(&w, &a->of[z].along, a->of[z].first_along);
    }
    fprintf(w.f, "End\n");
    bool ok = !ferror(w.f);
    return fclose(w.f) == 0 && ok;
}

/* ---- solutions ----------------------------------------------------------------------------- */

double arcflow_value(const struct arcflow *a, const double *x)
{
    const struct garden *g = a->garden;
    double unit = g->goal.v == GOAL_ENERGY    ? g->ration.energy_kcal.v
                  : g->goal.v == GOAL_PROTEIN ? 1000 * g->ration.protein_kg.v
                                              : 1;
    return x[COLUMN_GOAL] * unit;
}

/* The arc a path takes out of a node, NULL: none. */
static const struct arc *leaving(const struct axis *axis, const double *x, int node)
{
    for (int k = 0; k < axis->narcs; k++)
        if (axis->arcs[k].from == node && x[k] > 0.5)
            return &axis->arcs[k];
    return NULL;
}

static struct block *new_block(const struct arcflow *a, struct plan *plan, int item)
{
    const struct zone *zone = zone_of(a, item);
    struct block *b = &plan->blocks[plan->nblocks++];
    *b = (struct block){.zone = a->menu->items[item].zone, .item = item, .lines = 1};
    b->planting = planting_of(a, item);
    b->length_m = zone->length_m;
    for (int k = 0; k < b->planting->nparts; k++)
        b->light[k] = zone->light;
    return b;
}

/* The parts of the shared line that starts at start_m. */
static bool follow_along(const struct arcflow *a, const double *x, int z, double start_m,
                         struct plan *plan)
{
    const struct arcflow_zone *of = &a->of[z];
    int first = plan->nblocks;
    double at = 0, depth = 0;
    for (int node = of->along.source; node != of->along.sink;) {
        const struct arc *arc = leaving(&of->along, x + of->first_along, node);
        if (!arc)
            return false;
        if (arc->kind == ARC_OPEN) {
            struct block *b = new_block(a, plan, arc->tag);
            b->shared = true;
            b->start_m = start_m;
            b->along_m = at;
            b->length_m = 0;
            depth = fmax(depth, b->planting->first_m);
        }
        if (arc->m > 0)
            plan->blocks[plan->nblocks - 1].length_m += arc->m;
        at += arc->m;
        node = arc->to;
    }
    for (int b = first; b < plan->nblocks; b++)
        plan->blocks[b].depth_m = depth;
    return true;
}

static bool follow_across(const struct arcflow *a, const double *x, int z, struct plan *plan)
{
    const struct arcflow_zone *of = &a->of[z];
    double at = 0;
    for (int node = of->across.source; node != of->across.sink;) {
        const struct arc *arc = leaving(&of->across, x + of->first_across, node);
        if (!arc)
            return false;
        if (arc->kind == ARC_OPEN && arc->tag >= 0) {
            struct block *b = new_block(a, plan, arc->tag);
            b->start_m = at;
            b->depth_m = arc->m;
        } else if (arc->kind == ARC_OPEN) {
            if (!follow_along(a, x, z, at, plan))
                return false;
        } else if (arc->kind == ARC_NEXT) {
            plan->blocks[plan->nblocks - 1].lines++;
            plan->blocks[plan->nblocks - 1].depth_m += arc->m;
        }
        at += arc->m;
        node = arc->to;
    }
    return true;
}

bool arcflow_blocks(const struct arcflow *a, const double *x, struct plan *plan)
{
    plan->blocks = ARENA_ARRAY(plan->arena, struct block, 2 * (size_t)a->menu->nitems);
    plan->nblocks = 0;
    bool ok = plan->blocks != NULL;
    for (size_t z = 0; z < a->zones->n && ok; z++) {
        int way = direction_of(a, &a->zones->items[z]);
        if (way < 0 || x[way] > 0.5)
            ok = follow_across(a, x, (int)z, plan);
    }
    return ok;
}
