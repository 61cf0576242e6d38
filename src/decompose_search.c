/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Good solutions from the patterns of the decomposition. See decompose.h. */
#include "decompose_work.h"

#include <math.h>

#include "anneal.h"
#include "polish.h"

#define ANNEAL_ALONE   200000 /* exchanges where a zone is alone, */
#define ANNEAL_FIRST   800000 /* in the first run, */
#define ANNEAL_FEW     300000 /* the same in few zones, whose plans are joined */
#define ANNEAL_STEPS   400000 /* and in each that begins with a plan */
#define ANNEAL_HASTE   200000 /* where there is no time left and no plan */
#define ANNEAL_RUNS    5
#define FEW_ZONES      4   /* whose first run is that short */
#define ANNEAL_ZONES   12  /* in more the patterns find good plans, too */
#define POOR           0.1 /* a plan so far below the bound is no good one */
#define MASTER_NODES   300
#define MASTER_GAP     0.3 /* of the gap asked for */
#define DIVE_ROUNDS    3   /* of pricing after each step down */
#define DIVE_WHOLE     0.9 /* a pattern taken so far is taken */
#define DIVE_LEAST     0.01
#define NOISY_ROUNDS   4
#define NOISE          0.3 /* of a price */
#define POLISH_PASSES  6
#define POLISH_COLUMNS 250 /* of whole numbers at once */
#define POLISH_NODES   300
#define POLISH_GAP     1e-4
#define POLISH_GAIN    1e-5 /* relative: a pass that gains less is the last */

static hr_status solve_whole(struct decomposition *w)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    double *x = arena ? ARENA_ARRAY(arena, double, (size_t)w->m->mip.ncolumns) : NULL;
    struct solver_options o = decompose_part(w, MASTER_GAP * w->options->gap, MASTER_NODES);
    struct solver_result r = {0};
    o.bound = &w->bound;
    hr_status status = x ? decompose_master(w, MASTER_WHOLE, &o, arena, &r) : HR_NOMEM;
    if (status == HR_OK && r.x) {
        decompose_read_master(w, r.x, x);
        decompose_offer(w, x);
    }
    arena_free(arena);
    return status;
}

/* Patterns that are good at prices a little off. */
static hr_status diversify(struct decomposition *w)
{
    hr_status status = HR_OK;
    for (int k = 0; k < NOISY_ROUNDS && status == HR_OK && decompose_go_on(w); k++) {
        int added;
        for (int t = 0; t < w->nties; t++)
            w->trial[t] = w->centre[t] * (1 + NOISE * decompose_random(w));
        status = decompose_price(w, MASTER_GOAL, &added);
    }
    return status;
}

/* ---- diving -------------------------------------------------------------------------------- */

static void fix(struct decomposition *w, int p)
{
    w->patterns[p].fixed++;
    w->classes[w->patterns[p].class].left--;
}

/* Fixes patterns that the master (x: its patterns) takes whole, or nearly, and the one nearest to
 * it. false: there is none to fix. */
static bool fix_some(struct decomposition *w, const double *x)
{
    int best = -1;
    double top = DIVE_LEAST;
    bool any = false;
    for (int p = 0; p < w->npatterns; p++) {
        double share = x[p] - w->patterns[p].fixed;
        const struct zone_class *class = &w->classes[w->patterns[p].class];
        while (share >= DIVE_WHOLE && class->left > 0) {
            fix(w, p);
            share -= 1;
            any = true;
        }
        if (share > top && class->left > 0) {
            top = share;
            best = p;
        }
    }
    if (best >= 0)
        fix(w, best);
    return any || best >= 0;
}

/* Prices anew with what is fixed, then fixes more. */
static hr_status step_down(struct decomposition *w, bool *more)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    const double *x = NULL;
    hr_status status = arena ? HR_OK : HR_NOMEM;
    int added = 1;
    for (int k = 0; k < DIVE_ROUNDS && added > 0 && status == HR_OK && !w->stop; k++) {
        struct solver_options o = decompose_part(w, 0, 0);
        struct solver_result r = {0};
        o.relaxed = true;
        status = decompose_master(w, MASTER_GOAL, &o, arena, &r);
        x = r.prices ? r.x : NULL;
        for (int t = 0; t < w->nties; t++)
            w->trial[t] = w->prices[t];
        if (status == HR_OK && x)
            status = decompose_price(w, MASTER_GOAL, &added);
        else
            added = 0;
    }
    *more = status == HR_OK && x && fix_some(w, x + w->nshared);
    arena_free(arena);
    return status;
}

/* Patterns that go well together: zone after zone is filled as the master would, at prices of what
 * is left to fill. */
static hr_status dive(struct decomposition *w)
{
    hr_status status = HR_OK;
    bool more = true;
    while (more && status == HR_OK && decompose_go_on(w))
        status = step_down(w, &more);
    for (int p = 0; p < w->npatterns; p++)
        w->patterns[p].fixed = 0;
    for (int c = 0; c < w->nclasses; c++)
        w->classes[c].left = w->classes[c].count;
    return status;
}

/* ---- polishing ----------------------------------------------------------------------------- */

struct polisher {
    struct decomposition *w;
    bool *items;   /* worth a look: in some pattern of the zone's class */
    bool *chosen;  /* zones */
    int *columns;  /* per zone, of whole numbers in such items */
    size_t *order; /* zones */
};

static void mark_items(struct polisher *p)
{
    const struct decomposition *w = p->w;
    const struct program *m = w->m;
    bool *in_pattern = p->items; /* first of the zones that stand for their class */
    for (int i = 0; i < m->menu->nitems; i++) {
        int z = m->menu->items[i].zone, c = w->class_of[z];
        for (int q = 0; q < w->npatterns && !in_pattern[i]; q++) {
            const struct filling *x = &w->patterns[q].x;
            for (int k = 0; w->patterns[q].class == c && k < x->n && !in_pattern[i]; k++)
                in_pattern[i] = x->columns[k] == m->col_y[i] || x->columns[k] == m->col_w[i];
        }
    }
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct item *item = &m->menu->items[i];
        size_t z = (size_t)item->zone, stands = w->classes[w->class_of[z]].zone;
        for (int k = 0; z != stands && k < m->menu->nitems; k++)
            if (m->menu->items[k].zone == (int)stands &&
                m->menu->items[k].planting == item->planting && in_pattern[k])
                p->items[i] = true;
        if (p->items[i])
            p->columns[z] += 2 + (m->col_q[i] >= 0) + 2 * (m->col_s[i] >= 0);
    }
}

static hr_status polisher_init(struct polisher *p, struct decomposition *w)
{
    size_t zones = w->m->zones->n, items = (size_t)w->m->menu->nitems;
    *p = (struct polisher){.w = w,
                           .items = ARENA_ARRAY(w->arena, bool, items),
                           .chosen = ARENA_ARRAY(w->arena, bool, zones),
                           .columns = ARENA_ARRAY(w->arena, int, zones),
                           .order = ARENA_ARRAY(w->arena, size_t, zones)};
    if (!p->items || !p->chosen || !p->columns || !p->order)
        return HR_NOMEM;
    mark_items(p);
    return HR_OK;
}

static void shuffle(struct polisher *p, size_t n)
{
    for (size_t i = 0; i < n; i++)
        p->order[i] = i;
    for (size_t i = n; i-- > 1;) {
        size_t j = (size_t)((decompose_random(p->w) + 1) / 2 * (double)i);
        size_t zone = p->order[i];
        p->order[i] = p->order[j];
        p->order[j] = zone;
    }
}

/* The chosen zones anew; all of them from nothing where there is no solution yet. */
static hr_status polish_chosen(struct polisher *p, const bool *items)
{
    struct decomposition *w = p->w;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct solver_options o = decompose_part(w, POLISH_GAP, POLISH_NODES);
    struct solver_result r = {0};
    o.bound = &w->bound;
    hr_status status = arena ? polish_zones(w->m, w->has ? w->x : NULL, p->chosen, items, &o, arena,
                                            &r, w->failure)
                             : HR_NOMEM;
    if (status == HR_OK && r.x)
        decompose_offer(w, r.x);
    arena_free(arena);
    return status;
}

/* A few zones after each other, as many at once as make a program soon searched. */
static hr_status polish_pass(struct polisher *p)
{
    hr_status status = HR_OK;
    size_t zones = p->w->m->zones->n;
    shuffle(p, zones);
    for (size_t k = 0; k < zones && status == HR_OK && decompose_go_on(p->w);) {
        int columns = 0;
        for (size_t z = 0; z < zones; z++)
            p->chosen[z] = false;
        do {
            p->chosen[p->order[k]] = true;
            columns += p->columns[p->order[k++]];
        } while (k < zones && columns + p->columns[p->order[k]] <= POLISH_COLUMNS);
        status = polish_chosen(p, p->items);
    }
    return status;
}

static hr_status polish(struct decomposition *w, int passes)
{
    struct polisher p;
    hr_status status = polisher_init(&p, w);
    for (size_t z = 0; status == HR_OK && z < w->m->zones->n; z++)
        p.chosen[z] = true;
    if (status == HR_OK && !w->has)
        status = polish_chosen(&p, p.items);
    for (int pass = 0; pass < passes && w->has && status == HR_OK && decompose_go_on(w); pass++) {
        double before = w->value;
        status = polish_pass(&p);
        if (w->value - before <= POLISH_GAIN * fabs(before))
            break;
    }
    return status;
}

/* ---- annealing ----------------------------------------------------------------------------- */

static bool go_on(void *w)
{
    return decompose_go_on(w);
}

/* From the best solution, if there is one; the first time so hot that its like need not last. */
static hr_status anneal_once(struct decomposition *w, int run, struct arena *arena)
{
    const struct mip *mip = &w->m->mip;
    double *prices = ARENA_ARRAY(arena, double, (size_t)mip->nrows);
    double *x = ARENA_ARRAY(arena, double, (size_t)mip->ncolumns);
    if (!prices || !x)
        return HR_NOMEM;
    for (int t = 0; t < w->nties; t++)
        prices[w->ties[t]] = w->centre[t];
    const double *start = w->has ? w->x : w->options->start;
    bool found;
    struct anneal_options o = {.prices = prices,
                               .start = start,
                               .reference = fabs(w->bound),
                               .steps = w->open == 1                     ? ANNEAL_ALONE
                                        : start || w->options->nodes > 0 ? ANNEAL_STEPS
                                        : w->open <= FEW_ZONES           ? ANNEAL_FEW
                                                                         : ANNEAL_FIRST,
                               .heat = start ? ANNEAL_WARM : ANNEAL_HOT,
                               .seed = w->random + (unsigned long)run,
                               .go_on = go_on,
                               .data = w};
    hr_status status = anneal(w->m, &o, arena, x, &found);
    if (status == HR_OK && found)
        decompose_offer(w, x);
    return status;
}

hr_status decompose_in_haste(struct decomposition *w)
{
    const struct mip *mip = &w->m->mip;
    int goals = mip->nrows - w->m->goal_row;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    double *prices = arena ? ARENA_ARRAY(arena, double, (size_t)mip->nrows) : NULL;
    double *x = arena ? ARENA_ARRAY(arena, double, (size_t)mip->ncolumns) : NULL;
    bool found = false;
    hr_status status = prices && x ? HR_OK : HR_NOMEM;
    for (int r = w->m->goal_row; r < mip->nrows && status == HR_OK; r++)
        prices[r] = -1.0 / goals;
    struct anneal_options o = {.prices = prices,
                               .reference = mip->columns[w->m->col_t].upper,
                               .steps = ANNEAL_HASTE,
                               .heat = ANNEAL_HOT,
                               .seed = w->random};
    if (status == HR_OK)
        status = anneal(w->m, &o, arena, x, &found);
    if (status == HR_OK && found)
        decompose_offer(w, x);
    arena_free(arena);
    return status;
}

/* Until two runs one after the other gain nothing. */
static hr_status anneal_runs(struct decomposition *w, int most)
{
    hr_status status = HR_OK;
    int idle = 0;
    for (int run = 0; run < most && idle < 2 && status == HR_OK && decompose_go_on(w); run++) {
        double before = w->value;
        struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
        status = arena ? anneal_once(w, run, arena) : HR_NOMEM;
        arena_free(arena);
        idle = !w->has && decompose_beat(w) > 0 ? 2 : w->value > before ? 0 : idle + 1;
    }
    return status;
}

/* ---- the whole ----------------------------------------------------------------------------- */

/* Patterns that go well together, then these and some more as a program of their own. */
static hr_status combine(struct decomposition *w, bool quick)
{
    hr_status status = dive(w);
    if (status == HR_OK && decompose_go_on(w))
        status = solve_whole(w);
    if (!quick && status == HR_OK && decompose_go_on(w))
        status = diversify(w);
    if (!quick && status == HR_OK && decompose_go_on(w))
        status = solve_whole(w);
    return status;
}

/* Later rounds of the light loop limit their nodes: they begin with a good plan and look near it. A
 * zone alone is left to the solver, as whole fillings seldom keep all ties, and in few zones
 * annealing finds what patterns and polishing would, sooner. */
hr_status decompose_search(struct decomposition *w)
{
    bool alone = w->open == 1, quick = w->options->nodes > 0, few = w->open <= ANNEAL_ZONES;
    bool beaten = decompose_beat(w) > 0; /* there is a plan already */
    int runs = alone || (quick && !w->options->start) ? 1 : quick || beaten ? 2 : ANNEAL_RUNS;
    if (quick || (w->options->start && !beaten))
        w->join_work = JOIN_LATER; /* no proof is asked for */
    hr_status status = anneal_runs(w, few && !quick ? 1 : runs);
    bool lit = w->light && !alone && w->open <= FEW_ZONES;
    if (few && status == HR_OK && !w->stop)
        status = decompose_guess(w);
    if (lit && status == HR_OK && !w->stop)
        status = decompose_join_lit(w);
    if (decompose_lit(w) || (lit && w->has && !w->hopeless))
        return status;
    if (few && status == HR_OK && !w->stop)
        status = decompose_join(w);
    double joined = w->value;
    if (few && !quick && !alone && status == HR_OK && decompose_go_on(w))
        status = anneal_runs(w, runs);
    if (few && !lit && w->has && status == HR_OK && w->value > joined && decompose_go_on(w))
        status = decompose_join(w);
    if (few && !lit && !alone && w->light && w->has && status == HR_OK && !w->stop)
        status = decompose_join_lit(w);
    if (alone || status != HR_OK || !decompose_go_on(w) || (!w->has && beaten))
        return status;
    bool more = !few || !w->has || w->bound - w->value > POOR * fabs(w->bound);
    if (more)
        status = combine(w, quick);
    if (status == HR_OK && more && decompose_go_on(w))
        status = polish(w, quick ? 1 : POLISH_PASSES);
    return status;
}
