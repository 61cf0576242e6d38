/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "inquiry.h"

#include <math.h>
#include <string.h>

#include "allocate.h"
#include "anneal.h"
#include "crowding.h"
#include "decompose.h"
#include "polish.h"
#include "standing.h"

/* Limits that cut in at the same place each time. */
#define PLANS_MAX     128
#define SETS_MAX      256
#define NODES_PLAN    40    /* for a plan of items that are said to do */
#define NODES_WHOLE   60    /* of the whole program, */
#define WORK_WHOLE    40000 /* more of a small one: nodes times columns */
#define COLUMNS_WHOLE 2500  /* none where it has more */
#define COLUMNS_SMALL 300
#define WORK_MOST     150000 /* of all such searches */
#define STEPS         120000 /* of annealing */
#define APART_MOST    3      /* searches zone by zone */
#define NODES_SIDE    100    /* for the most of a wish */
#define SECONDS_MOST  60.0   /* never reached but where a question cannot be answered at all */
#define ANY_PLAN      1e9    /* a gap: the first plan will do */
#define BREACH_MOST   1e-6
#define SIDE_GAP      1e-3 /* relative */

/* A plan met on the way: which terms it keeps, and by how much it is beyond the side of each: over
 * a limit, or over what is to be had at least. */
struct met_plan {
    bool *keeps;
    double *beyond;
};

struct inquiry {
    struct program *m;
    struct arena *arena;
    struct program all;        /* the same with all terms on */
    int ncommon;               /* columns that both have at the same place */
    struct crowding *crowding; /* NULL: too large */
    bool *on;                  /* scratch: per term */
    struct met_plan plans[PLANS_MAX];
    int nplans;
    bool *collide[SETS_MAX]; /* sets of terms, one flag each, that cannot be met */
    int ncollide;
    bool *crowds[SETS_MAX]; /* and that blocks leave room for, for all that is known */
    int ncrowds;
    double work; /* spent */
    int apart;   /* searches zone by zone done */
};

/* ---- plans met ----------------------------------------------------------------------------- */

static int common_columns(const struct program *m)
{
    int last = m->col_t;
    for (int i = 0; i < m->menu->nitems; i++) {
        const int columns[] = {m->col_n[i], m->col_q[i],    m->col_y[i],   m->col_s[i],
                               m->col_w[i], m->col_b[0][i], m->col_b[1][i]};
        for (size_t k = 0; k < sizeof columns / sizeof *columns; k++)
            last = columns[k] > last ? columns[k] : last;
    }
    return last + 1;
}

/* The value of each row of the program with all terms on. */
static double *rows_of(const struct inquiry *q, const double *x, struct arena *arena)
{
    const struct mip *mip = &q->all.mip;
    double *sums = ARENA_ARRAY(arena, double, (size_t)mip->nrows);
    double *y = ARENA_ARRAY(arena, double, (size_t)mip->ncolumns);
    if (!sums || !y)
        return NULL;
    memcpy(y, x, sizeof *y * (size_t)q->ncommon);
    program_settle_ties(&q->all, y);
    program_settle(&q->all, y);
    for (int e = 0; e < mip->nentries; e++)
        sums[mip->entries[e].row] += mip->entries[e].value * y[mip->entries[e].column];
    return sums;
}

/* x: of q->m as it is built. */
static hr_status remember(struct inquiry *q, const double *x)
{
    const struct program *all = &q->all;
    if (q->nplans == PLANS_MAX)
        return HR_OK;
    struct met_plan *plan = &q->plans[q->nplans];
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    double *sums = arena ? rows_of(q, x, arena) : NULL;
    *plan = (struct met_plan){ARENA_ARRAY(q->arena, bool, (size_t)all->nterms),
                              ARENA_ARRAY(q->arena, double, (size_t)all->nterms)};
    hr_status status = sums && plan->keeps && plan->beyond ? HR_OK : HR_NOMEM;
    for (int t = 0; t < all->nterms && status == HR_OK; t++) {
        const struct term *term = &all->terms[t];
        bool least = term->kind == TERM_AT_LEAST;
        plan->keeps[t] = true;
        plan->beyond[t] = least ? HUGE_VAL : -HUGE_VAL;
        for (int i = term->row; i < term->row + term->nrows; i++) {
            const struct mip_row *r = &all->mip.rows[i];
            double slack = BREACH_MOST * (1 + fmin(fabs(r->lower), fabs(r->upper)));
            plan->keeps[t] =
                plan->keeps[t] && sums[i] >= r->lower - slack && sums[i] <= r->upper + slack;
            plan->beyond[t] = least ? fmin(plan->beyond[t], sums[i] - r->lower)
                                    : fmax(plan->beyond[t], sums[i] - r->upper);
        }
    }
    if (status == HR_OK)
        q->nplans++;
    arena_free(arena);
    return status;
}

/* Whether a plan met keeps all terms that are on, but for `but` (-1: none). */
static bool keeps(const struct inquiry *q, int plan, int but)
{
    for (int t = 0; t < q->m->nterms; t++)
        if (t != but && q->m->terms[t].on && !q->plans[plan].keeps[t])
            return false;
    return true;
}

static bool met_before(const struct inquiry *q)
{
    for (int p = 0; p < q->nplans; p++)
        if (keeps(q, p, -1))
            return true;
    return false;
}

/* Whether all terms of one set are in another. */
static bool within(int n, const bool *part, const bool *set)
{
    for (int t = 0; t < n; t++)
        if (part[t] && !set[t])
            return false;
    return true;
}

static void keep_set(struct inquiry *q, const bool *set, bool **sets, int *n)
{
    bool *copy = *n < SETS_MAX ? ARENA_ARRAY(q->arena, bool, (size_t)q->m->nterms + 1) : NULL;
    if (!copy)
        return; /* it will be asked again */
    memcpy(copy, set, sizeof *copy * (size_t)q->m->nterms);
    sets[(*n)++] = copy;
}

/* What is known of the terms in q->on already. */
static bool known(const struct inquiry *q, enum asking how, enum answer *answer)
{
    *answer = IMPOSSIBLE;
    for (int k = 0; k < q->ncollide; k++)
        if (within(q->m->nterms, q->collide[k], q->on))
            return true;
    *answer = POSSIBLE;
    for (int k = 0; k < q->ncrowds && how == ASK_CROWDING; k++)
        if (within(q->m->nterms, q->on, q->crowds[k]))
            return true;
    return met_before(q);
}

/* ---- building ------------------------------------------------------------------------------ */

/* Many questions are asked, and each has its program, in an arena of its own. */
static hr_status build_in(struct program *m, struct arena *arena, int wish)
{
    struct arena *before = m->arena;
    m->arena = arena;
    hr_status status = wish < 0 ? program_build(m) : program_build_for_wish(m, wish);
    m->arena = before;
    return status;
}

hr_status inquiry_new(struct program *m, struct arena *arena, struct inquiry **out)
{
    struct inquiry *q = ARENA_ARRAY(arena, struct inquiry, 1);
    if (!q)
        return HR_NOMEM;
    q->m = m;
    q->arena = arena;
    q->on = ARENA_ARRAY(arena, bool, (size_t)m->nterms + 1);
    hr_status status =
        q->on ? program_init(&q->all, m->garden, m->zones, m->menu, arena) : HR_NOMEM;
    q->all.margin = m->margin;
    if (status == HR_OK)
        status = program_build(&q->all);
    if (status == HR_OK)
        status = crowding_new(&q->all, arena, &q->crowding);
    q->ncommon = common_columns(&q->all);
    *out = q;
    return status;
}

/* ---- ways to an answer --------------------------------------------------------------------- */

static hr_status ask_crowding(struct inquiry *q, int side, struct crowding_answer *out)
{
    *out = (struct crowding_answer){.bound = (double)NAN};
    return q->crowding ? crowding_ask(q->crowding, q->on, side, out) : HR_OK;
}

/* A plan of the program as it is built, of the items marked alone. */
static hr_status plan_of_items(struct inquiry *q, const bool *items, double gap,
                               struct arena *arena, bool *found)
{
    const struct program *m = q->m;
    struct solver_options o = {.seconds = SECONDS_MOST, .gap = gap, .nodes = NODES_PLAN};
    struct solver_result r = {0};
    bool *zones = ARENA_ARRAY(arena, bool, m->zones->n);
    *found = false;
    if (!zones)
        return HR_NOMEM;
    for (size_t z = 0; z < m->zones->n; z++)
        zones[z] = true;
    hr_status status = polish_zones(m, NULL, zones, items, &o, arena, &r, NULL);
    *found = status == HR_OK && r.x;
    return *found ? remember(q, r.x) : status;
}

static hr_status plan_by_annealing(struct inquiry *q, const struct solver_result *relaxed,
                                   struct arena *arena, bool *found)
{
    const struct mip *mip = &q->m->mip;
    struct anneal_options o = {.prices = relaxed->prices,
                               .reference = fabs(relaxed->value),
                               .steps = STEPS,
                               .heat = ANNEAL_HOT,
                               .seed = 1};
    double *x = ARENA_ARRAY(arena, double, (size_t)mip->ncolumns);
    *found = false;
    if (!x)
        return HR_NOMEM;
    hr_status status = anneal(q->m, &o, arena, x, found);
    *found = *found && status == HR_OK && mip_breach(mip, x) <= BREACH_MOST;
    return *found ? remember(q, x) : status;
}

/* The whole program a little, then zone by zone, while there is work left to spend. */
static hr_status search(struct inquiry *q, enum answer *answer)
{
    const struct mip *mip = &q->m->mip;
    long nodes = WORK_WHOLE / (mip->ncolumns + 1);
    struct solver_options o = {.seconds = SECONDS_MOST,
                               .gap = ANY_PLAN,
                               .nodes = nodes > NODES_WHOLE ? nodes : NODES_WHOLE};
    struct solver_result r = {.state = SOLVER_NONE};
    hr_status status = HR_OK;
    if (mip->ncolumns <= COLUMNS_WHOLE && q->work < WORK_MOST) {
        status = solver_run(mip, &o, &r, NULL);
        q->work += (double)(1 + r.nodes) * mip->ncolumns;
    }
    if (status == HR_OK && !r.x && r.state != SOLVER_INFEASIBLE && q->m->menu->nturns == 0 &&
        q->apart < APART_MOST) {
        status = decompose_run(q->m, &o, NULL, &r, NULL);
        q->apart++;
    }
    *answer = r.state == SOLVER_INFEASIBLE ? IMPOSSIBLE : r.x ? POSSIBLE : UNDECIDED;
    return status == HR_OK && r.x ? remember(q, r.x) : status;
}

/* Of the program as built, its directions fixed or free. */
static hr_status ask_built(struct inquiry *q, enum asking how, struct arena *arena,
                           enum answer *answer)
{
    struct solver_options o = {.seconds = SECONDS_MOST, .gap = ANY_PLAN, .relaxed = true};
    struct solver_result r = {0};
    bool found = false;
    hr_status status = solver_run(&q->m->mip, &o, &r, NULL);
    *answer = r.x ? POSSIBLE : r.state == SOLVER_INFEASIBLE ? IMPOSSIBLE : UNDECIDED;
    if (status != HR_OK || how == ASK_RELAXATION || *answer == IMPOSSIBLE)
        return status;
    if (r.prices)
        status = plan_by_annealing(q, &r, arena, &found);
    *answer = POSSIBLE;
    return status == HR_OK && !found ? search(q, answer) : status;
}

/* Where the search fixes the directions of plots, this does: the relaxation cannot mix them then.
 */
static hr_status ask_ways(struct inquiry *q, enum asking how, struct arena *arena,
                          enum answer *answer)
{
    int plots = allocate_plots_with_choice(q->m);
    bool split = plots > 0 && plots <= ALLOCATE_SPLIT_MAX, undecided = false;
    hr_status status = HR_OK;
    *answer = IMPOSSIBLE;
    for (int w = 0; w < (split ? 1 << plots : 1) && *answer != POSSIBLE && status == HR_OK; w++) {
        if (split)
            allocate_fix_way(q->m, w);
        status = ask_built(q, how, arena, answer);
        undecided = undecided || *answer == UNDECIDED;
    }
    if (*answer == IMPOSSIBLE && undecided)
        *answer = UNDECIDED;
    return status;
}

static hr_status ask_plans(struct inquiry *q, enum asking how, const bool *items,
                           enum answer *answer)
{
    bool found = false;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    if (!arena)
        return HR_NOMEM;
    hr_status status = build_in(q->m, arena, -1);
    *answer = POSSIBLE;
    if (status == HR_OK && items)
        status = plan_of_items(q, items, ANY_PLAN, arena, &found);
    if (status == HR_OK && !found)
        status = ask_ways(q, how, arena, answer);
    arena_free(arena);
    return status;
}

static void take_terms(struct inquiry *q)
{
    for (int t = 0; t < q->m->nterms; t++)
        q->on[t] = q->m->terms[t].on;
}

hr_status inquiry_ask(struct inquiry *q, enum asking how, enum answer *answer)
{
    struct crowding_answer crowd = {0};
    take_terms(q);
    if (known(q, how, answer))
        return HR_OK;
    hr_status status = how == ASK_RELAXATION ? HR_OK : ask_crowding(q, -1, &crowd);
    if (crowd.keeps)
        keep_set(q, crowd.keeps, q->crowds, &q->ncrowds);
    *answer = crowd.impossible ? IMPOSSIBLE : POSSIBLE;
    if (status == HR_OK && !crowd.impossible && how != ASK_CROWDING)
        status = ask_plans(q, how, crowd.items, answer);
    if (status == HR_OK && *answer == IMPOSSIBLE)
        keep_set(q, q->on, q->collide, &q->ncollide);
    return status;
}

/* ---- sides --------------------------------------------------------------------------------- */

/* What the file says; false: a share, or nothing that has an amount. */
static bool asked_of(const struct program *m, const struct term *term, double *out)
{
    const struct garden *g = m->garden;
    const struct amount *a;
    switch (term->kind) {
    case TERM_AT_LEAST:
    case TERM_AT_MOST:
        a = term->kind == TERM_AT_LEAST ? &garden_wish(g, (size_t)term->index)->at_least
                                        : &garden_wish(g, (size_t)term->index)->at_most;
        *out = a->v;
        return a->kind != UNIT_SHARE;
    case TERM_HOURS:
        *out = g->limits.hours.v;
        return true;
    case TERM_WEEK:
        *out = g->limits.week_hours.v;
        return true;
    case TERM_COMPOST:
        *out = g->limits.compost_m3.v;
        return true;
    case TERM_MULCH:
        *out = g->limits.mulch_m3.v;
        return true;
    case TERM_SEED:
        *out = garden_seed_count(g, garden_seed(g, (size_t)term->index));
        return true;
    case TERM_BLOCKS:
        *out = garden_blocks(g);
        return true;
    default:
        return false;
    }
}

/* The best of the plans met that keep the other terms. */
static void best_met(const struct inquiry *q, int term, struct side *out)
{
    bool least = q->m->terms[term].kind == TERM_AT_LEAST;
    for (int p = 0; p < q->nplans; p++) {
        double side = out->asked + q->plans[p].beyond[term];
        if (!keeps(q, p, term) || (out->met && (least ? side <= out->found : side >= out->found)))
            continue;
        out->met = true;
        out->found = side;
    }
}

/* The program as built, but for as much, or as little, as can be had of one row; of more rows than
 * one the sides are moved to where they can be, by what crops in blocks say. */
static void aim_at(struct program *m, const struct term *term, double beyond)
{
    struct mip *mip = &m->mip;
    bool least = term->kind == TERM_AT_LEAST;
    for (int i = term->row; i < term->row + term->nrows; i++)
        if (least)
            mip->rows[i].lower = -HUGE_VAL;
        else
            mip->rows[i].upper = term->nrows > 1 ? mip->rows[i].upper + beyond : HUGE_VAL;
    if (term->nrows > 1)
        return;
    for (int j = 0; j < mip->ncolumns; j++)
        mip->columns[j].objective = 0;
    for (int e = 0; e < mip->nentries; e++)
        if (mip->entries[e].row == term->row)
            mip->columns[mip->entries[e].column].objective =
                least ? mip->entries[e].value : -mip->entries[e].value;
}

static hr_status side_by_crowding(struct inquiry *q, int t, struct side *out)
{
    const struct term *term = &q->m->terms[t];
    struct crowding_answer crowd;
    bool found, least = term->kind == TERM_AT_LEAST;
    if (!q->crowding || !crowding_has_side(q->crowding, t))
        return HR_OK;
    take_terms(q);
    hr_status status = ask_crowding(q, t, &crowd);
    if (status != HR_OK || isnan(crowd.bound))
        return status;
    out->bound = out->asked + (least ? fmin(0, crowd.bound) : fmax(0, crowd.bound));
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    if (!arena)
        return HR_NOMEM;
    status = crowd.items ? build_in(q->m, arena, -1) : HR_OK;
    if (status == HR_OK && crowd.items) {
        aim_at(q->m, term, fmax(0, crowd.bound));
        status = plan_of_items(q, crowd.items, SIDE_GAP, arena, &found);
    }
    arena_free(arena);
    return status;
}

/* Of an at-least wish: by the relaxation, and by a search of the whole. */
static hr_status most_by_search(struct inquiry *q, int t, struct side *out)
{
    struct program *m = q->m;
    struct solver_options o = {.seconds = SECONDS_MOST, .gap = SIDE_GAP, .relaxed = true};
    struct solver_result r = {0};
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    if (!arena)
        return HR_NOMEM;
    m->terms[t].on = false;
    hr_status status = build_in(m, arena, m->terms[t].index);
    m->terms[t].on = true;
    if (status == HR_OK)
        status = solver_run(&m->mip, &o, &r, NULL);
    bool crowded = r.x && out->bound < r.bound; /* blocks say it better than the relaxation */
    if (status == HR_OK && r.x)
        out->bound = fmin(out->bound, r.bound);
    bool near = out->met && out->bound - out->found <= SIDE_GAP * fabs(out->bound);
    o.relaxed = false;
    o.nodes = NODES_SIDE;
    r.x = NULL;
    if (status == HR_OK && !near && q->work < WORK_MOST &&
        m->mip.ncolumns <= (crowded ? COLUMNS_SMALL : COLUMNS_WHOLE)) {
        status = solver_run(&m->mip, &o, &r, NULL);
        q->work += (double)(1 + r.nodes) * m->mip.ncolumns;
    }
    if (status == HR_OK && r.x) {
        out->bound = fmin(out->bound, r.bound);
        status = remember(q, r.x);
    }
    arena_free(arena);
    return status;
}

hr_status inquiry_side(struct inquiry *q, int t, bool *has, struct side *out)
{
    const struct term *term = &q->m->terms[t];
    *out = (struct side){0};
    *has = asked_of(q->m, term, &out->asked);
    out->bound = out->asked;
    hr_status status = *has ? side_by_crowding(q, t, out) : HR_OK;
    best_met(q, t, out);
    if (status == HR_OK && *has && term->kind == TERM_AT_LEAST)
        status = most_by_search(q, t, out);
    best_met(q, t, out);
    return status;
}
