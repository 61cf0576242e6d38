/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The master program and its prices. See decompose.h. */
#include "decompose_work.h"

#include <math.h>
#include <string.h>

#define ITERATIONS_MAX 200
#define SMOOTHING      0.5  /* weight of the best prices so far in the next ones (Wentges 1997) */
#define CONVERGED      3e-4 /* relative: master and bound are near enough */
#define GAIN_LEAST     1e-9
#define BROKEN_LEAST   1e-7 /* of a tie, relative to its side */
#define REFINEMENTS    4    /* of the zones' grids */
#define REFINED_LEAST  1e-4 /* relative: a bound that came down less has come down */

/* ---- patterns ------------------------------------------------------------------------------ */

static bool same_filling(const struct filling *a, const struct filling *b)
{
    return a->n == b->n && memcmp(a->columns, b->columns, sizeof *a->columns * (size_t)a->n) == 0 &&
           memcmp(a->x, b->x, sizeof *a->x * (size_t)a->n) == 0;
}

static hr_status room_for_pattern(struct decomposition *w)
{
    if (w->npatterns < w->patterns_cap)
        return HR_OK;
    int cap = w->patterns_cap ? 2 * w->patterns_cap : 256;
    struct pattern *place = ARENA_ARRAY(w->arena, struct pattern, (size_t)cap);
    if (!place)
        return HR_NOMEM;
    if (w->npatterns > 0)
        memcpy(place, w->patterns, sizeof *place * (size_t)w->npatterns);
    w->patterns = place;
    w->patterns_cap = cap;
    return HR_OK;
}

/* What the pattern brings, and uses of each tie. */
static hr_status weigh(struct decomposition *w, struct pattern *p)
{
    const struct mip *mip = &w->m->mip;
    p->ties = ARENA_ARRAY(w->arena, int, (size_t)w->nties);
    p->values = ARENA_ARRAY(w->arena, double, (size_t)w->nties);
    if (!p->ties || !p->values)
        return HR_NOMEM;
    for (int k = 0; k < p->x.n; k++) {
        w->scratch[p->x.columns[k]] = p->x.x[k];
        p->objective += mip->columns[p->x.columns[k]].objective * p->x.x[k];
    }
    for (int t = 0; t < w->nties; t++) {
        double sum = 0;
        for (int e = w->first[w->ties[t]]; e < w->first[w->ties[t] + 1]; e++)
            sum += mip->entries[e].value * w->scratch[mip->entries[e].column];
        if (sum == 0)
            continue;
        p->ties[p->nties] = t;
        p->values[p->nties++] = sum;
    }
    for (int k = 0; k < p->x.n; k++)
        w->scratch[p->x.columns[k]] = 0;
    return HR_OK;
}

hr_status decompose_add(struct decomposition *w, int class, const struct filling *x, bool *fresh)
{
    if (fresh)
        *fresh = false;
    for (int p = 0; p < w->npatterns; p++)
        if (w->patterns[p].class == class && same_filling(&w->patterns[p].x, x))
            return HR_OK;
    hr_status status = room_for_pattern(w);
    if (status != HR_OK)
        return status;
    struct pattern *p = &w->patterns[w->npatterns];
    *p = (struct pattern){.class = class, .x = *x};
    status = weigh(w, p);
    if (status != HR_OK)
        return status;
    w->npatterns++;
    if (fresh)
        *fresh = true;
    return HR_OK;
}

hr_status decompose_add_solution(struct decomposition *w, const double *x)
{
    hr_status status = HR_OK;
    int columns = w->m->mip.ncolumns;
    for (int c = 0; c < w->nclasses && status == HR_OK; c++) {
        int mine = -1 - (int)w->classes[c].zone, n = 0;
        for (int j = 0; j < columns; j++)
            n += w->place[j] == mine && x[j] != 0;
        struct filling f = {0, ARENA_ARRAY(w->arena, int, (size_t)n),
                            ARENA_ARRAY(w->arena, double, (size_t)n)};
        if (!f.columns || !f.x)
            return HR_NOMEM;
        for (int j = 0; j < columns; j++)
            if (w->place[j] == mine && x[j] != 0) {
                f.columns[f.n] = j;
                f.x[f.n++] = x[j];
            }
        if (f.n > 0)
            status = decompose_add(w, c, &f, NULL);
    }
    return status;
}

/* ---- the master ---------------------------------------------------------------------------- */

static void master_columns(const struct decomposition *w, enum master_kind kind, struct mip *out)
{
    const struct mip *mip = &w->m->mip;
    bool whole = kind == MASTER_WHOLE, elastic = kind == MASTER_ELASTIC;
    for (int k = 0; k < w->nshared; k++) {
        const struct mip_column *c = &mip->columns[w->shared[k]];
        mip_column(out, whole ? c->kind : MIP_CONTINUOUS, c->lower, c->upper,
                   elastic ? 0 : c->objective, "s%d", k);
    }
    for (int p = 0; p < w->npatterns; p++) {
        const struct pattern *q = &w->patterns[p];
        mip_column(out, whole ? MIP_INTEGER : MIP_CONTINUOUS, whole ? 0 : q->fixed,
                   w->classes[q->class].count, elastic ? 0 : q->objective, "p%d", p);
    }
}

/* A column that breaks tie t at its side, by +1 or -1. */
static void add_breaker(struct mip *out, int t, double side, double sign, double cost)
{
    if (isfinite(side))
        mip_add(out, t,
                mip_column(out, MIP_CONTINUOUS, 0, HUGE_VAL, -cost / (1 + fabs(side)), "b%d%c", t,
                           sign > 0 ? 'l' : 'u'),
                sign);
}

static hr_status build_master(const struct decomposition *w, enum master_kind kind, struct mip *out,
                              struct arena *arena)
{
    const struct mip *mip = &w->m->mip;
    double cost = kind == MASTER_ELASTIC ? 1 : mip->columns[w->m->col_t].upper;
    mip_init(out, arena);
    master_columns(w, kind, out);
    for (int t = 0; t < w->nties; t++) {
        const struct mip_row *r = &mip->rows[w->ties[t]];
        mip_row(out, r->lower, r->upper, "t%d", t);
        for (int e = w->first[w->ties[t]]; e < w->first[w->ties[t] + 1]; e++)
            if (w->place[mip->entries[e].column] >= 0)
                mip_add(out, t, w->place[mip->entries[e].column], mip->entries[e].value);
        if (kind != MASTER_WHOLE) {
            add_breaker(out, t, r->lower, 1, cost);
            add_breaker(out, t, r->upper, -1, cost);
        }
    }
    for (int c = 0; c < w->nclasses; c++) {
        const struct zone_class *class = &w->classes[c];
        int row = mip_row(out, -HUGE_VAL, class->way >= 0 ? 0 : class->count, "c%d", c);
        if (class->way >= 0)
            mip_add(out, row, w->place[class->way], -1);
    }
    for (int p = 0; p < w->npatterns; p++) {
        const struct pattern *q = &w->patterns[p];
        for (int k = 0; k < q->nties; k++)
            mip_add(out, q->ties[k], w->nshared + p, q->values[k]);
        mip_add(out, w->nties + q->class, w->nshared + p, 1);
    }
    return mip_finish(out);
}

hr_status decompose_master(struct decomposition *w, enum master_kind kind,
                           const struct solver_options *options, struct arena *arena,
                           struct solver_result *r)
{
    struct mip master;
    hr_status status = build_master(w, kind, &master, arena);
    if (status == HR_OK)
        status = solver_run(&master, options, r, w->failure);
    if (status == HR_OK && r->prices)
        memcpy(w->prices, r->prices, sizeof *w->prices * (size_t)(w->nties + w->nclasses));
    return status;
}

void decompose_read_master(struct decomposition *w, const double *master, double *x)
{
    memset(x, 0, sizeof *x * (size_t)w->m->mip.ncolumns);
    for (int k = 0; k < w->nshared; k++)
        x[w->shared[k]] = master[k];
    for (int c = 0; c < w->nclasses; c++) {
        size_t z = 0;
        for (int p = 0; p < w->npatterns; p++) {
            const struct filling *f = &w->patterns[p].x;
            long n = w->patterns[p].class == c ? lround(master[w->nshared + p]) : 0;
            for (; n > 0 && z < w->m->zones->n; z++) {
                if (w->class_of[z] != c)
                    continue;
                program_copy_filling(w->m, w->classes[c].zone, z, f->n, f->columns, f->x, x);
                n--;
            }
        }
    }
    program_settle(w->m, x);
}

/* ---- prices -------------------------------------------------------------------------------- */

/* A price on a side that is not there is 0. */
static double fair(const struct mip_row *row, double price)
{
    return (price > 0 && isinf(row->upper)) || (price < 0 && isinf(row->lower)) ? 0 : price;
}

/* worth = objective less what the ties' prices make of it. */
static void set_worth(struct decomposition *w, enum master_kind kind)
{
    const struct mip *mip = &w->m->mip;
    for (int j = 0; j < mip->ncolumns; j++)
        w->worth[j] = kind == MASTER_ELASTIC ? 0 : mip->columns[j].objective;
    for (int t = 0; t < w->nties; t++) {
        double price = w->trial[t] = fair(&mip->rows[w->ties[t]], w->trial[t]);
        if (price == 0)
            continue;
        for (int e = w->first[w->ties[t]]; e < w->first[w->ties[t] + 1]; e++)
            w->worth[mip->entries[e].column] -= price * mip->entries[e].value;
    }
}

/* What no solution betters, given prices, worths, and the worth of the classes' best fillings: the
 * Lagrangian relaxation of the ties. */
static double lagrangian(const struct decomposition *w)
{
    const struct mip *mip = &w->m->mip;
    double sum = 0;
    for (int t = 0; t < w->nties; t++) {
        const struct mip_row *r = &mip->rows[w->ties[t]];
        if (w->trial[t] != 0)
            sum += w->trial[t] * (w->trial[t] > 0 ? r->upper : r->lower);
    }
    for (int k = 0; k < w->nshared; k++) {
        double worth = w->worth[w->shared[k]];
        const struct mip_column *column = &mip->columns[w->shared[k]];
        for (int c = 0; c < w->nclasses; c++)
            if (w->classes[c].way == w->shared[k])
                worth += w->classes[c].worth;
        if (worth != 0)
            sum += worth * (worth > 0 ? column->upper : column->lower);
    }
    for (int c = 0; c < w->nclasses; c++)
        if (w->classes[c].way < 0)
            sum += w->classes[c].count * w->classes[c].worth;
    return sum;
}

/* What a pattern would gain in the master at its own prices. */
static double reduced_cost(const struct decomposition *w, const struct pattern *p, bool elastic)
{
    double gain = (elastic ? 0 : p->objective) - w->prices[w->nties + p->class];
    for (int k = 0; k < p->nties; k++)
        gain -= w->prices[p->ties[k]] * p->values[k];
    return gain;
}

hr_status decompose_price(struct decomposition *w, enum master_kind kind, int *added)
{
    hr_status status = HR_OK;
    *added = 0;
    set_worth(w, kind);
    for (int c = 0; c < w->nclasses && status == HR_OK && !w->stop; c++) {
        struct filling x;
        double value;
        bool fresh = false;
        if (w->classes[c].left == 0)
            continue;
        status = filling_best(w->filler, w->classes[c].zone, w->worth, w->arena, &x, &value);
        if (status == HR_OK)
            w->classes[c].worth = fmax(0, value);
        if (status == HR_OK && x.n > 0)
            status = decompose_add(w, c, &x, &fresh);
        if (fresh)
            *added += reduced_cost(w, &w->patterns[w->npatterns - 1], kind == MASTER_ELASTIC) >
                      GAIN_LEAST;
        decompose_go_on(w);
    }
    return status;
}

/* The bound at the best prices, with fillings that may be a little too large for their zones: one
 * that holds. +INFINITY when stopped. */
static double bound_at_centre(struct decomposition *w, enum master_kind kind)
{
    memcpy(w->trial, w->centre, sizeof *w->trial * (size_t)w->nties);
    set_worth(w, kind);
    for (int c = 0; c < w->nclasses; c++) {
        decompose_go_on(w);
        if (w->stop)
            return HUGE_VAL;
        w->classes[c].worth = fmax(0, filling_bound(w->filler, w->classes[c].zone, w->worth));
    }
    return lagrangian(w);
}

double decompose_bound(struct decomposition *w)
{
    return bound_at_centre(w, MASTER_GOAL);
}

/* ---- generating patterns ------------------------------------------------------------------- */

/* Fillings at prices between the master's and the best so far, which keeps prices from swinging; at
 * the master's own when those bring nothing. *best: the least bound met, but for the grids. */
static hr_status price_smoothly(struct decomposition *w, enum master_kind kind, double *best,
                                int *added)
{
    hr_status status = HR_OK;
    *added = 0;
    for (int own = isinf(*best); own < 2 && status == HR_OK && *added == 0 && !w->stop; own++) {
        double smooth = own ? 0 : SMOOTHING;
        for (int t = 0; t < w->nties; t++)
            w->trial[t] = smooth * w->centre[t] + (1 - smooth) * w->prices[t];
        status = decompose_price(w, kind, added);
        double bound = status == HR_OK && !w->stop ? lagrangian(w) : HUGE_VAL;
        if (bound < *best) {
            *best = bound;
            memcpy(w->centre, w->trial, sizeof *w->centre * (size_t)w->nties);
        }
    }
    return status;
}

/* Until no filling improves the master. *value: the master's. */
static hr_status converge(struct decomposition *w, enum master_kind kind, double *value)
{
    double best = HUGE_VAL;
    hr_status status = HR_OK;
    bool more = true;
    for (int it = 0; it < ITERATIONS_MAX && more && status == HR_OK && decompose_go_on(w); it++) {
        struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
        struct solver_options o = decompose_part(w, 0, 0);
        struct solver_result r = {0};
        int added = 0;
        o.relaxed = true;
        status = arena ? decompose_master(w, kind, &o, arena, &r) : HR_NOMEM;
        more = status == HR_OK && r.prices != NULL;
        *value = more ? r.value : -HUGE_VAL;
        if (more)
            status = price_smoothly(w, kind, &best, &added);
        bool enough = kind == MASTER_ELASTIC ? r.value > -BROKEN_LEAST
                                             : best - r.value <= CONVERGED * fabs(r.value);
        more = more && added > 0 && !enough;
        arena_free(arena);
    }
    return status;
}

/* Whether the ties can be kept: false only when that is proved. */
static hr_status keepable(struct decomposition *w, bool *met)
{
    double value = 0;
    hr_status status = converge(w, MASTER_ELASTIC, &value);
    if (status == HR_OK && !w->stop && value <= -BROKEN_LEAST)
        *met = !(bound_at_centre(w, MASTER_ELASTIC) < -BROKEN_LEAST);
    return status;
}

hr_status decompose_generate(struct decomposition *w, bool *met)
{
    hr_status status = HR_OK;
    *met = true;
    if (!w->has && decompose_beat(w) <= 0) /* else all terms can be kept */
        status = keepable(w, met);
    double before = HUGE_VAL;
    int most = w->options->nodes > 0 ? 1 : REFINEMENTS; /* later rounds need no proof */
    for (int k = 0; k < most && *met && status == HR_OK && decompose_go_on(w); k++) {
        double value;
        status = converge(w, MASTER_GOAL, &value);
        if (status != HR_OK || w->stop)
            break;
        w->bound = fmin(w->bound, bound_at_centre(w, MASTER_GOAL));
        if (w->bound > before * (1 - REFINED_LEAST))
            break;
        before = w->bound;
    }
    return status;
}
