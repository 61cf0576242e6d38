/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "lit_bound.h"

#include <math.h>
#include <string.h>
#include <time.h>

#include "allocate.h"
#include "dim.h"
#include "shading.h"

#define COLUMNS_MAX   400  /* larger programs are not searched */
#define ZONES_MOST    2    /* planted at once */
#define NODES_MAX     3000 /* of the search, each way to run the rows */
#define SUPPORTS_MAX  200
#define WHOLE         1e-6
#define ROUND_UP      (1 + 1e-9)
#define SLACK         1e-6 /* of a share of light */
#define SECONDS_LEAST 0.01
#define PART_SECONDS  5.0 /* a program of few columns takes thousandths */
#define PART_GAP      3e-4
#define ORDERS_MAX    10000 /* of what is offered: each is arranged in all of them */
#define PLANS_MOST    3   /* mixes of a support that are solved for the sake of their plan alone */
#define PART_NODES    100 /* of such a program, which is solved with each order of its blocks */
#define HALVINGS      4   /* of how many lines or stations a support has */
#define HALVINGS_ALL  12  /* of all supports together */
#define MIXES_MAX     64  /* ways of several zones together */

/* Which items have a block and which a part of a shared line. */
struct support {
    unsigned char *on; /* per item: HAS_BLOCK, HAS_PART */
};
enum { HAS_BLOCK = 1, HAS_PART = 2 };

struct work {
    const struct garden *garden;
    const struct zones *zones;
    const struct menu *menu;
    const struct lit_bound_options *options;
    struct arena *arena;
    struct program m;
    struct mip mip; /* of m, for T alone, with what shade takes */
    int *col_l;     /* per item: lines' worth of light that it loses */
    struct support *supports;
    int nsupports, halvings, orders; /* looked at */
    bool full;                       /* there were more */
    bool stopped;                    /* by the caller, or out of time */
    double known;                    /* the bound in the site's light, in the unit of T */
    double rest;                     /* what the search for supports left open, in the same unit */
    struct timespec begin;
    const char *failure;
};

/* ---- the program with shade ---------------------------------------------------------------- */

/* What a row gets from the light of an odd and an even line of an item. */
struct slope {
    double odd, even;
};

/* Reads the slopes of a row off the same row in less light; entries from `at` and `dim_at` on,
 * which are moved behind it. */
static bool slopes_of(const struct work *w, const struct mip *dim, const int *item_of, int row,
                      int *at, int *dim_at, struct slope *slopes)
{
    const struct mip *mip = &w->m.mip;
    memset(slopes, 0, sizeof *slopes * (size_t)w->menu->nitems);
    for (int which = 0; which < 2; which++) {
        const struct mip *of = which ? dim : mip;
        int *k = which ? dim_at : at;
        for (; *k < of->nentries && of->entries[*k].row == row; (*k)++) {
            const struct mip_entry *e = &of->entries[*k];
            int i = item_of[e->column];
            double value = (which ? -DIM_PARTS : DIM_PARTS) * e->value;
            if (i < 0 || (e->column != w->m.col_n[i] && e->column != w->m.col_q[i]))
                continue;
            slopes[i].odd += value;
            slopes[i].even += e->column == w->m.col_n[i] ? value : 0;
        }
    }
    bool falls = true; /* with the light */
    for (int i = 0; i < w->menu->nitems; i++) {
        if (w->menu->items[i].most_lines == 1)
            slopes[i].even = slopes[i].odd;
        falls = falls && slopes[i].odd > -1e-6 && slopes[i].even > -1e-6;
    }
    return falls;
}

/* Adds a row of one side, with as little light lost as leaves most room. */
static void add_row(struct work *w, int row, int from, int to, bool lower,
                    const struct slope *slopes, bool *any)
{
    const struct mip *mip = &w->m.mip;
    const double side = lower ? mip->rows[row].lower : mip->rows[row].upper;
    if (isinf(side))
        return;
    *any = false;
    for (int i = 0; i < w->menu->nitems; i++)
        *any = *any || fabs(slopes[i].odd) > 1e-9 || fabs(slopes[i].even) > 1e-9;
    if (!lower && *any && w->menu->nstanding > 0)
        return; /* what stands already may have less light, too */
    int r = mip_row(&w->mip, lower ? side : -HUGE_VAL, lower ? HUGE_VAL : side, "r%d%c", row,
                    lower ? 'l' : 'u');
    for (int k = from; k < to; k++)
        mip_add(&w->mip, r, mip->entries[k].column, mip->entries[k].value);
    for (int i = 0; i < w->menu->nitems; i++) {
        double slope =
            lower ? fmin(slopes[i].odd, slopes[i].even) : fmax(slopes[i].odd, slopes[i].even);
        if (slope > 1e-9)
            mip_add(&w->mip, r, w->col_l[i], -slope);
    }
}

static hr_status add_columns(struct work *w)
{
    const struct mip *mip = &w->m.mip;
    for (int j = 0; j < mip->ncolumns; j++) {
        const struct mip_column *c = &mip->columns[j];
        mip_column(&w->mip, c->kind, c->lower, c->upper, j == w->m.col_t, "c%d", j);
    }
    for (int i = 0; i < w->menu->nitems; i++) {
        const struct item *item = &w->menu->items[i];
        double most = SLACK + shading_most(w->garden, &w->zones->items[item->zone], w->menu,
                                           program_planting(&w->m, i));
        w->col_l[i] = mip_column(&w->mip, MIP_CONTINUOUS, 0, item->most_lines + 1, 0, "l%d", i);
        int row = mip_row(&w->mip, -HUGE_VAL, 0, "lost%d", i);
        mip_add(&w->mip, row, w->col_l[i], 1);
        mip_add(&w->mip, row, w->m.col_n[i], -most);
        mip_add(&w->mip, row, w->m.col_s[i], -most / item->stations[0]);
    }
    return HR_OK;
}

/* *known: the light's part in all rows is understood. */
static hr_status build(struct work *w, bool *known)
{
    struct program d;
    hr_status status = program_init(&w->m, w->garden, w->zones, w->menu, w->arena);
    if (status == HR_OK)
        status = program_build(&w->m);
    if (status == HR_OK)
        status = dim_program(&w->m, w->arena, &d, known);
    if (status != HR_OK)
        return status;
    const struct mip *mip = &w->m.mip;
    int *item_of = ARENA_ARRAY(w->arena, int, (size_t)mip->ncolumns);
    struct slope *slopes = ARENA_ARRAY(w->arena, struct slope, (size_t)w->menu->nitems);
    w->col_l = ARENA_ARRAY(w->arena, int, (size_t)w->menu->nitems);
    if (!item_of || !slopes || !w->col_l)
        return HR_NOMEM;
    if (!*known)
        return HR_OK;
    for (int j = 0; j < mip->ncolumns; j++)
        item_of[j] = -1;
    for (int i = 0; i < w->menu->nitems; i++) {
        item_of[w->m.col_n[i]] = i;
        if (w->m.col_q[i] >= 0)
            item_of[w->m.col_q[i]] = i;
    }
    mip_init(&w->mip, w->arena);
    status = add_columns(w);
    for (int row = 0, at = 0, dim_at = 0; row < mip->nrows && status == HR_OK; row++) {
        int from = at;
        bool any;
        *known = slopes_of(w, &d.mip, item_of, row, &at, &dim_at, slopes) && *known;
        add_row(w, row, from, at, true, slopes, &any);
        add_row(w, row, from, at, false, slopes, &any);
    }
    return status == HR_OK ? mip_finish(&w->mip) : status;
}

/* ---- the search for supports --------------------------------------------------------------- */

static bool whole(double v)
{
    return fabs(v - round(v)) <= WHOLE;
}

static bool support_at(const struct work *w, const double *x, unsigned char *on)
{
    for (size_t g = 0; g < w->zones->ngrounds; g++)
        if (w->m.col_o[g] >= 0 && !whole(x[w->m.col_o[g]]))
            return false;
    for (int i = 0; i < w->menu->nitems; i++) {
        int block = w->m.col_y[i], part = w->m.col_w[i];
        if (!whole(x[block]) || (part >= 0 && !whole(x[part])))
            return false;
        on[i] = (unsigned char)((x[block] > 0.5 ? HAS_BLOCK : 0) |
                                (part >= 0 && x[part] > 0.5 ? HAS_PART : 0));
    }
    return true;
}

static void keep_support(struct work *w, const unsigned char *on)
{
    size_t size = (size_t)w->menu->nitems;
    for (int s = 0; s < w->nsupports; s++)
        if (memcmp(w->supports[s].on, on, size) == 0)
            return;
    if (w->nsupports == SUPPORTS_MAX) {
        w->full = true;
        return;
    }
    memcpy(w->supports[w->nsupports].on, on, size);
    w->nsupports++;
}

/* Notes the support of a relaxed solution whose blocks are whole, and cuts it off: another one
 * differs in some block. */
static bool on_relaxed(void *data, const double *x, double bound, struct solver_row *row)
{
    struct work *w = data;
    unsigned char *on = w->supports[SUPPORTS_MAX].on;
    (void)bound;
    if (w->full || !support_at(w, x, on))
        return false;
    keep_support(w, on);
    if (w->full)
        return false;
    row->n = 0;
    row->lower = 1;
    for (int i = 0; i < w->menu->nitems; i++)
        for (int part = 0; part < 2; part++) {
            int column = part ? w->m.col_w[i] : w->m.col_y[i];
            bool is_on = (on[i] & (part ? HAS_PART : HAS_BLOCK)) != 0;
            if (column < 0)
                continue;
            row->columns[row->n] = column;
            row->values[row->n++] = is_on ? -1 : 1;
            row->lower -= is_on;
        }
    return true;
}

static double seconds_left(const struct work *w)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return w->options->seconds - (double)(now.tv_sec - w->begin.tv_sec) -
           1e-9 * (double)(now.tv_nsec - w->begin.tv_nsec);
}

/* The caller is shown the plan and the bound there are. */
static bool on_progress(void *data, double seconds, double value, double bound)
{
    struct work *w = data;
    (void)value;
    (void)bound;
    if (seconds_left(w) <= 0 ||
        (w->options->progress &&
         w->options->progress(w->options->data, seconds, w->options->value, w->options->bound)))
        w->stopped = true;
    return w->stopped || w->full;
}

/* *rest: what a plan whose support is not noted gives at most. */
static hr_status search(struct work *w, double *rest)
{
    struct solver_options o = {.seconds = fmax(SECONDS_LEAST, seconds_left(w)),
                               .nodes = NODES_MAX,
                               .cut = on_relaxed,
                               .progress = on_progress,
                               .data = w};
    struct solver_result r = {0};
    hr_status status = solver_run(&w->mip, &o, &r, &w->failure);
    *rest = r.state == SOLVER_INFEASIBLE ? -HUGE_VAL : r.bound;
    return status;
}

/* ---- what a support gives ------------------------------------------------------------------ */

/* The program of one support: few columns. */
struct small {
    struct mip mip;
    int *column; /* per column of the whole: here, -1: it is 0 */
};

static bool is_off(const struct work *w, const unsigned char *on, int j)
{
    return on[j] == 0 || (w->mip.columns[j].lower == 0 && w->mip.columns[j].upper == 0);
}

/* Per column: 0 where the support has it 0. */
static void columns_on(const struct work *w, const struct support *s, unsigned char *on)
{
    memset(on, 1, (size_t)w->mip.ncolumns);
    for (int i = 0; i < w->menu->nitems; i++) {
        bool block = (s->on[i] & HAS_BLOCK) != 0, shared = (s->on[i] & HAS_PART) != 0;
        int of_block[] = {w->m.col_n[i], w->m.col_q[i], w->m.col_y[i], w->m.col_b[0][i],
                          w->m.col_b[1][i]};
        int of_part[] = {w->m.col_s[i], w->m.col_w[i]};
        for (int k = 0; k < 5; k++)
            if (of_block[k] >= 0)
                on[of_block[k]] = block;
        for (int k = 0; k < 2; k++)
            if (of_part[k] >= 0)
                on[of_part[k]] = shared;
        on[w->col_l[i]] = block || shared;
    }
}

static hr_status make_small(const struct work *w, const struct support *s, struct arena *arena,
                            struct small *out)
{
    const struct mip *mip = &w->mip;
    unsigned char *on = ARENA_ARRAY(arena, unsigned char, (size_t)mip->ncolumns);
    out->column = ARENA_ARRAY(arena, int, (size_t)mip->ncolumns);
    if (!on || !out->column)
        return HR_NOMEM;
    columns_on(w, s, on);
    mip_init(&out->mip, arena);
    for (int j = 0; j < mip->ncolumns; j++) {
        const struct mip_column *c = &mip->columns[j];
        out->column[j] = -1;
        if (!is_off(w, on, j))
            out->column[j] =
                mip_column(&out->mip, c->kind, c->lower, c->upper, c->objective, "c%d", j);
    }
    for (int i = 0; i < w->menu->nitems; i++) { /* what the support has is there */
        int y = out->column[w->m.col_y[i]], p = w->m.col_w[i] < 0 ? -1 : out->column[w->m.col_w[i]];
        if (y >= 0)
            out->mip.columns[y].lower = 1;
        if (p >= 0)
            out->mip.columns[p].lower = 1;
    }
    for (int row = 0, k = 0; row < mip->nrows; row++) {
        int here = -1;
        for (; k < mip->nentries && mip->entries[k].row == row; k++) {
            int column = out->column[mip->entries[k].column];
            if (column < 0)
                continue;
            if (here < 0)
                here = mip_row(&out->mip, mip->rows[row].lower, mip->rows[row].upper, "r%d", row);
            mip_add(&out->mip, here, column, mip->entries[k].value);
        }
        if (here < 0 && (mip->rows[row].lower > 0 || mip->rows[row].upper < 0))
            mip_row(&out->mip, mip->rows[row].lower, mip->rows[row].upper, "r%d", row);
    }
    return mip_finish(&out->mip);
}

/* The bounds of column j of the part in its relaxation. *none: it has no solution. */
static hr_status narrow(struct work *w, struct small *p, int j, bool *none)
{
    for (int sign = -1; sign < 2; sign += 2) {
        struct solver_options o = {.seconds = PART_SECONDS, .relaxed = true};
        struct solver_result r = {0};
        for (int k = 0; k < p->mip.ncolumns; k++)
            p->mip.columns[k].objective = k == j ? sign : 0;
        hr_status status = solver_run(&p->mip, &o, &r, &w->failure);
        if (status != HR_OK)
            return status;
        *none = *none || r.state == SOLVER_INFEASIBLE;
        if (r.state != SOLVER_OPTIMAL)
            return HR_OK;
        double *lower = &p->mip.columns[j].lower, *upper = &p->mip.columns[j].upper;
        if (sign < 0)
            *lower = fmax(*lower, ceil(-r.value - WHOLE));
        else
            *upper = fmin(*upper, floor(r.value + WHOLE));
        *none = *none || *lower > *upper;
    }
    return HR_OK;
}

/* How many lines and stations each of them may have in a plan that gives enough. */
static hr_status narrow_all(struct work *w, const struct support *s, struct small *p, bool *none)
{
    hr_status status = HR_OK;
    for (int i = 0; i < w->menu->nitems && status == HR_OK && !*none; i++) {
        if (s->on[i] & HAS_BLOCK)
            status = narrow(w, p, p->column[w->m.col_n[i]], none);
        if ((s->on[i] & HAS_PART) && status == HR_OK && !*none)
            status = narrow(w, p, p->column[w->m.col_s[i]], none);
    }
    for (int k = 0; k < p->mip.ncolumns; k++)
        p->mip.columns[k].objective = 0;
    p->mip.columns[p->column[w->m.col_t]].objective = 1;
    return status;
}

/* The ways of one zone, over all its items. */
static hr_status zone_ways(const struct work *w, const struct support *s, const struct small *p,
                           size_t z, struct arena *arena, struct shading_way *ways,
                           struct shading_stand *stands, int *nstands, int *n)
{
    *nstands = 0;
    *n = 1;
    for (int shared = 0; shared < 2; shared++)
        for (int i = 0; i < w->menu->nitems; i++) {
            if (w->menu->items[i].zone != (int)z || !(s->on[i] & (shared ? HAS_PART : HAS_BLOCK)))
                continue;
            int j = p->column[shared ? w->m.col_s[i] : w->m.col_n[i]];
            const struct mip_column *c = &p->mip.columns[j];
            if (*nstands < SHADING_STANDS_MAX)
                stands[*nstands] = (struct shading_stand){i, shared, (int)lround(fmax(1, c->lower)),
                                                          (int)lround(c->upper)};
            (*nstands)++;
        }
    return shading_ways(w->garden, &w->zones->items[z], w->menu, stands, *nstands, arena, ways, n);
}

/* Where a zone is the only one in use of its plot, its items lose no more than they can take of one
 * another. */
static void limit_losses(const struct work *w, struct small *p, size_t z,
                         const struct shading_stand *stands, int nstands)
{
    const struct zone *zone = &w->zones->items[z];
    double most[SHADING_STANDS_MAX];
    if (w->menu->nstanding > 0)
        return;
    for (size_t o = 0; o < w->zones->n; o++)
        if (o != z && w->zones->items[o].plot == zone->plot &&
            w->zones->items[o].along_x == zone->along_x)
            return;
    shading_most_of(w->garden, zone, w->menu, stands, nstands, most);
    for (int s = 0; s < nstands; s++) {
        double lines = SLACK;
        for (int o = 0; o < nstands; o++)
            lines += stands[o].item == stands[s].item ? most[o] : 0;
        struct mip_column *l = &p->mip.columns[p->column[w->col_l[stands[s].item]]];
        l->upper = fmin(l->upper, lines);
    }
}

/* Adds what the ways of a zone lose to each of the mixes so far. */
static void mix(const struct work *w, const struct shading_way *ways, int nways,
                const struct shading_stand *stands, int nstands, double *lost, int *nmixes)
{
    int before = *nmixes, items = w->menu->nitems, n = before * nways;
    struct shading_way least = ways[0];
    for (int k = 1; k < nways; k++)
        for (int s = 0; s < SHADING_STANDS_MAX; s++)
            least.lines[s] = fmin(least.lines[s], ways[k].lines[s]);
    if (n > MIXES_MAX) {
        ways = &least;
        n = before;
    }
    for (int k = n - 1; k >= 0; k--) {
        if (k >= before)
            memcpy(lost + k * items, lost + k % before * items, sizeof *lost * (size_t)items);
    }
    for (int k = 0; k < n; k++)
        for (int s = 0; s < nstands && s < SHADING_STANDS_MAX; s++)
            lost[k * items + stands[s].item] += ways[k / before].lines[s];
    *nmixes = n;
}

/* Shows the caller a solution of a support's program. */
static hr_status offer(struct work *w, const struct small *p, const double *x, struct arena *arena)
{
    struct choice_lines *chosen =
        ARENA_ARRAY(arena, struct choice_lines, 2 * (size_t)w->menu->nitems);
    int n = 0, orders = 1;
    double value;
    if (!chosen)
        return HR_NOMEM;
    for (int k = 0; k < 2 * (int)w->zones->n; k++) /* of each zone first the blocks */
        for (int i = 0; i < w->menu->nitems; i++) {
            bool shared = k % 2 == 1;
            int column = shared ? w->m.col_s[i] : w->m.col_n[i];
            column = column < 0 ? -1 : p->column[column];
            int count = column >= 0 ? (int)lround(x[column]) : 0;
            if (w->menu->items[i].zone == k / 2 && count > 0)
                chosen[n++] = (struct choice_lines){i, shared ? 1 : count, shared ? count : 0};
        }
    for (int k = 1; k <= n && orders < ORDERS_MAX; k++)
        orders *= k;
    w->orders += orders;
    return w->options->offer(w->options->offered, chosen, n, &value);
}

/* Raises *bound to what the program of a support gives with the losses that are in it. Most are
 * settled by its relaxation. tried: mixes before, which promised more. */
static hr_status mix_bound(struct work *w, const struct small *p, int tried, struct arena *arena,
                           double *bound)
{
    struct solver_options o = {.seconds = PART_SECONDS, .relaxed = true};
    struct solver_result r = {0};
    hr_status status = solver_run(&p->mip, &o, &r, &w->failure);
    if (status != HR_OK || r.state == SOLVER_INFEASIBLE || r.bound <= *bound)
        return status;
    if (tried >= PLANS_MOST && r.bound <= w->rest) { /* no less is asked for */
        *bound = r.bound;
        return HR_OK;
    }
    o = (struct solver_options){.seconds = PART_SECONDS, .gap = PART_GAP, .nodes = PART_NODES};
    r = (struct solver_result){0};
    status = solver_run(&p->mip, &o, &r, &w->failure);
    if (status == HR_OK && r.state != SOLVER_INFEASIBLE)
        *bound = fmax(*bound, r.bound);
    if (status == HR_OK && r.x && w->options->offer && w->orders < ORDERS_MAX)
        status = offer(w, p, r.x, arena);
    return status;
}

/* What T loses at least for each line's worth of light that an item loses, by the prices of the
 * relaxation without losses, per item; *most: what that relaxation gives. */
static hr_status loss_prices(struct work *w, const struct small *p, double *price, double *most)
{
    struct solver_options o = {.seconds = PART_SECONDS, .relaxed = true};
    struct solver_result r = {0};
    hr_status status = solver_run(&p->mip, &o, &r, &w->failure);
    *most = r.state == SOLVER_INFEASIBLE ? -HUGE_VAL : r.prices ? r.value : HUGE_VAL;
    for (int i = 0; i < w->menu->nitems; i++) {
        int j = p->column[w->col_l[i]];
        price[i] = 0;
        for (int k = 0; j >= 0 && r.prices && k < p->mip.nentries; k++)
            if (p->mip.entries[k].column == j)
                price[i] += r.prices[p->mip.entries[k].row] * p->mip.entries[k].value;
        price[i] = fmax(0, price[i]);
    }
    return status;
}

/* Raises *bound to what the program of a support gives with the best of the mixes of losses. By the
 * prices most need not be looked at (weak duality). */
static hr_status mixes_bound(struct work *w, const struct small *p, const double *lost, int nmixes,
                             struct arena *arena, double *bound)
{
    const int items = w->menu->nitems;
    const double enough = w->mip.columns[w->m.col_t].lower;
    double *price = ARENA_ARRAY(arena, double, (size_t)items), most, by_price[MIXES_MAX];
    hr_status status = price ? loss_prices(w, p, price, &most) : HR_NOMEM;
    if (status != HR_OK)
        return status;
    for (int k = 0; k < nmixes; k++) {
        by_price[k] = most;
        for (int i = 0; i < items; i++)
            by_price[k] -= price[i] * lost[k * items + i];
    }
    for (int n = 0; n < nmixes && status == HR_OK; n++) {
        int top = 0; /* those that promise most first */
        for (int k = 1; k < nmixes; k++)
            top = by_price[k] > by_price[top] ? k : top;
        if (by_price[top] * ROUND_UP < fmax(enough, *bound))
            break;
        by_price[top] = -HUGE_VAL;
        for (int i = 0; i < items; i++)
            if (p->column[w->col_l[i]] >= 0)
                p->mip.columns[p->column[w->col_l[i]]].lower = lost[top * items + i];
        status = mix_bound(w, p, n, arena, bound);
    }
    return status;
}

/* What the program of a support gives in the order that leaves it most light. */
static hr_status order_bound(struct work *w, const struct support *s, struct small *p,
                             struct arena *arena, double *bound)
{
    int nmixes = 1, items = w->menu->nitems;
    double *lost = ARENA_ARRAY(arena, double, (size_t)MIXES_MAX *(size_t)items);
    hr_status status = lost ? HR_OK : HR_NOMEM;
    for (size_t z = 0; z < w->zones->n && status == HR_OK; z++) {
        struct shading_way ways[SHADING_WAYS_MAX];
        struct shading_stand stands[SHADING_STANDS_MAX];
        int nstands, nways;
        status = zone_ways(w, s, p, z, arena, ways, stands, &nstands, &nways);
        if (status != HR_OK || nstands == 0 || nstands > SHADING_STANDS_MAX)
            continue;
        limit_losses(w, p, z, stands, nstands);
        mix(w, ways, nways, stands, nstands, lost, &nmixes);
    }
    return status == HR_OK ? mixes_bound(w, p, lost, nmixes, arena, bound) : status;
}

/* The column of lines or stations that is least decided, -1: all are. */
static int widest(const struct work *w, const struct support *s, const struct small *p)
{
    double most = 0.5;
    int best = -1;
    for (int i = 0; i < w->menu->nitems; i++)
        for (int part = 0; part < 2; part++) {
            if (!(s->on[i] & (part ? HAS_PART : HAS_BLOCK)))
                continue;
            int j = p->column[part ? w->m.col_s[i] : w->m.col_n[i]];
            double range = p->mip.columns[j].upper - p->mip.columns[j].lower;
            if (range > most) {
                most = range;
                best = j;
            }
        }
    return best;
}

/* The same with the numbers of lines and stations within the bounds of p; where these leave too
 * much open each half by itself. */
static hr_status numbers_bound(struct work *w, const struct support *s, struct small *p,
                               int halvings, struct arena *arena, double *bound)
{
    const size_t size = sizeof *p->mip.columns * (size_t)p->mip.ncolumns;
    bool none = false;
    hr_status status = narrow_all(w, s, p, &none);
    *bound = -HUGE_VAL;
    if (status != HR_OK || none)
        return status;
    struct mip_column *columns = ARENA_ARRAY(arena, struct mip_column, (size_t)p->mip.ncolumns);
    if (!columns)
        return HR_NOMEM;
    memcpy(columns, p->mip.columns, size);
    status = order_bound(w, s, p, arena, bound);
    int j = widest(w, s, p);
    if (status != HR_OK || j < 0 || halvings == 0 || w->halvings >= HALVINGS_ALL ||
        *bound <= fmax(w->rest, w->mip.columns[w->m.col_t].lower))
        return status;
    w->halvings++;
    double middle = floor((columns[j].lower + columns[j].upper) / 2), most = -HUGE_VAL;
    for (int half = 0; half < 2 && status == HR_OK; half++) {
        double of_half;
        memcpy(p->mip.columns, columns, size);
        *(half ? &p->mip.columns[j].lower : &p->mip.columns[j].upper) = middle + half;
        status = numbers_bound(w, s, p, halvings - 1, arena, &of_half);
        most = fmax(most, of_half);
    }
    *bound = fmin(*bound, most);
    return status;
}

/* *bound: in the unit of T. */
static hr_status support_bound(struct work *w, const struct support *s, struct arena *arena,
                               double *bound)
{
    struct small p;
    hr_status status = make_small(w, s, arena, &p);
    return status == HR_OK ? numbers_bound(w, s, &p, HALVINGS, arena, bound) : status;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static int zones_in_use(const struct work *w)
{
    int most = 0;
    for (size_t g = 0; g < w->zones->ngrounds; g++) {
        const struct ground *ground = &w->zones->grounds[g];
        int n = 0;
        for (size_t z = 0; z < w->zones->n; z++)
            n += w->zones->items[z].plot == ground->plot &&
                 w->zones->items[z].along_x == ground->along_x;
        most = n > most ? n : most;
    }
    return most * (int)w->garden->plots.n;
}

static hr_status make_supports(struct work *w)
{
    w->supports = ARENA_ARRAY(w->arena, struct support, SUPPORTS_MAX + 1);
    if (!w->supports)
        return HR_NOMEM;
    for (int s = 0; s <= SUPPORTS_MAX; s++) {
        w->supports[s].on = ARENA_ARRAY(w->arena, unsigned char, (size_t)w->menu->nitems);
        if (!w->supports[s].on)
            return HR_NOMEM;
    }
    return HR_OK;
}

static void fix_way(struct work *w, int way)
{
    allocate_fix_way(&w->m, way);
    for (size_t g = 0; g < w->zones->ngrounds; g++)
        if (w->m.col_o[g] >= 0) {
            w->mip.columns[w->m.col_o[g]].lower = w->m.mip.columns[w->m.col_o[g]].lower;
            w->mip.columns[w->m.col_o[g]].upper = w->m.mip.columns[w->m.col_o[g]].upper;
        }
}

/* The bound over one way to run the rows. */
static hr_status bound_way(struct work *w, double *bound)
{
    w->nsupports = 0;
    hr_status status = search(w, bound);
    w->rest = *bound;
    for (int s = 0; s < w->nsupports && status == HR_OK && *bound < w->known; s++) {
        struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
        double most = HUGE_VAL;
        if (!on_progress(w, 0, 0, 0))
            status = arena ? support_bound(w, &w->supports[s], arena, &most) : HR_NOMEM;
        arena_free(arena);
        *bound = fmax(*bound, most);
    }
    return status;
}

static hr_status bound_ways(struct work *w, double *bound)
{
    bool known = false;
    double unit = program_goal_unit(w->garden), most = w->options->above / unit;
    hr_status status = build(w, &known);
    if (status == HR_OK)
        status = make_supports(w);
    if (status != HR_OK || !known || w->m.mip.ncolumns > COLUMNS_MAX)
        return status;
    int plots = allocate_plots_with_choice(&w->m);
    if (plots > ALLOCATE_SPLIT_MAX)
        return status;
    w->mip.columns[w->m.col_t].lower = most;
    for (int way = 0; way < 1 << plots && status == HR_OK && most < w->known; way++) {
        double of_way = HUGE_VAL;
        if (plots > 0)
            fix_way(w, way);
        status = bound_way(w, &of_way);
        most = fmax(most, of_way);
    }
    *bound = fmin(*bound, most * unit * ROUND_UP);
    return status;
}

hr_status lit_bound(const struct garden *garden, const struct zones *zones, const struct menu *menu,
                    const struct lit_bound_options *options, double *bound)
{
    struct work w = {.garden = garden,
                     .zones = zones,
                     .menu = menu,
                     .options = options,
                     .known = options->bound / program_goal_unit(garden)};
    *bound = options->bound;
    clock_gettime(CLOCK_MONOTONIC, &w.begin);
    if (menu->nturns > 0 || options->above >= options->bound || zones_in_use(&w) > ZONES_MOST)
        return HR_OK;
    w.arena = arena_new(ARENA_CAP_DEFAULT);
    hr_status status = w.arena ? bound_ways(&w, bound) : HR_NOMEM;
    arena_free(w.arena);
    return status;
}
