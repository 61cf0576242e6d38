/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Few zones: all fillings that are near the best, joined so that nothing better is left. See
 * decompose.h. */
#include "decompose_work.h"

#include <math.h>
#include <string.h>

#include "join.h"

#define PRICE_LEAST   1e-7
#define BUDGET_FIRST  0.005   /* of the bound, */
#define BUDGET_SHARE  0.25    /* or of what the best plan loses */
#define BUDGET_MORE   1.25    /* times as much in the next run */
#define LIST_WORK     3000000 /* steps to list fillings, of all zones */
#define LIST_MOST     300000  /* fillings of all zones */
#define REJECTED_MOST 20      /* plans that break the same row, before it is joined */
#define EXACT         1e-3    /* relative: a gap that is no gap */
#define LOST_MOST     0.5 /* of the bound: a plan that is not known is looked for down to here */
#define WEIGHTS_NEAR  1e-6
#define UNITS_TRIED   6
#define WHOLE_NEAR    1e-7
#define BREACH_MOST   1e-6
#define NEAR          1e-6

/* The rows that are joined exactly; what the others lose is passed over. */
struct joiner {
    struct decomposition *w;
    struct arena *arena;
    int nrows;
    int rows[FILLINGS_ROWS_MAX]; /* of the program */
    const double *use[FILLINGS_ROWS_MAX];
    struct join_row row[FILLINGS_ROWS_MAX];
    double *first_goal; /* use of the first goal, NULL: no goal yet */
    double first_side, first_weight;
    int first_row;
    size_t *zones; /* that are open */
    int nzones;
    struct fillings *lists;
    double most;  /* the Lagrangian bound that losses are taken from */
    int rejected; /* plans in this run */
    bool again;   /* a row was added: the run is to begin anew */
    double *x;
};

static bool is_goal(const struct decomposition *w, int row)
{
    return row >= w->m->goal_row;
}

static double price_of(const struct decomposition *w, int row)
{
    for (int t = 0; t < w->nties; t++)
        if (w->ties[t] == row)
            return w->trial[t];
    return 0;
}

/* Adds to use and side what a row makes of column E or A, which is a sum of others. */
static void spell_out(const struct decomposition *w, int row, double factor, double *use,
                      double *side)
{
    const struct mip *mip = &w->m->mip;
    for (int e = w->first[row]; e < w->first[row + 1] && factor != 0; e++)
        if (w->place[mip->entries[e].column] < 0)
            use[mip->entries[e].column] += factor * mip->entries[e].value;
    if (factor != 0)
        *side += factor * mip->rows[row].lower;
}

/* What one of each column of the zones uses of a row. NULL: other columns have a part in it, or no
 * memory. */
static double *use_of(const struct joiner *j, int row, double sign, double *side)
{
    const struct decomposition *w = j->w;
    const struct program *m = w->m;
    double *use = ARENA_ARRAY(j->arena, double, (size_t)m->mip.ncolumns);
    *side = sign > 0 ? m->mip.rows[row].upper : m->mip.rows[row].lower;
    for (int e = w->first[row]; e < w->first[row + 1] && use; e++) {
        int column = m->mip.entries[e].column;
        double value = m->mip.entries[e].value;
        if (w->place[column] < 0)
            use[column] += value;
        else if (column == m->col_e)
            spell_out(w, m->row_e, value, use, side);
        else if (column == m->col_a)
            spell_out(w, m->row_a, value, use, side);
        else if (column != m->col_t)
            return NULL;
    }
    for (int c = 0; c < m->mip.ncolumns && use; c++)
        use[c] *= sign;
    *side *= sign;
    return use;
}

/* What all uses are whole multiples of; 0: nothing that was tried. */
static double unit_of(const struct decomposition *w, const double *use)
{
    double least = HUGE_VAL;
    int n = w->m->mip.ncolumns;
    for (int c = 0; c < n; c++)
        if (use[c] != 0)
            least = fmin(least, fabs(use[c]));
    for (int k = 1; k <= UNITS_TRIED && isfinite(least); k++) {
        double unit = least / k;
        bool whole = true;
        for (int c = 0; c < n && whole; c++)
            whole = fabs(use[c] / unit - round(use[c] / unit)) <= WHOLE_NEAR;
        if (whole)
            return unit;
    }
    return 0;
}

/* Takes a row among those that are joined, if there is room and its columns are all of zones. */
static void take_row(struct joiner *j, int row, double sign)
{
    const struct decomposition *w = j->w;
    double side = 0, price = fabs(price_of(w, row));
    if (row == w->m->row_e || row == w->m->row_a || j->nrows == FILLINGS_ROWS_MAX)
        return;
    double *use = use_of(j, row, is_goal(w, row) ? -1 : sign, &side);
    if (!use)
        return;
    if (is_goal(w, row) && !j->first_goal) {
        j->first_goal = use;
        j->first_row = row;
        j->first_side = side;
        j->first_weight = price;
        return;
    }
    struct join_row r = {.goal = is_goal(w, row), .side = side, .price = price};
    for (int c = 0; c < w->m->mip.ncolumns && r.goal; c++)
        use[c] = j->first_goal[c] - use[c]; /* uses of goals are what is given, less than 0 */
    if (r.goal)
        r.side = j->first_side - side;
    else
        r.unit = unit_of(w, use);
    j->rows[j->nrows] = row;
    j->use[j->nrows] = use;
    j->row[j->nrows++] = r;
}

static void take_rows(struct joiner *j)
{
    const struct decomposition *w = j->w;
    for (int t = 0; t < w->nties; t++)
        if (fabs(w->trial[t]) > PRICE_LEAST)
            take_row(j, w->ties[t], w->trial[t] > 0 ? 1 : -1);
}

/* ---- plans --------------------------------------------------------------------------------- */

static void read_plan(struct joiner *j, const int *chosen)
{
    struct decomposition *w = j->w;
    const struct program *m = w->m;
    memset(j->x, 0, sizeof *j->x * (size_t)m->mip.ncolumns);
    for (int k = 0; k < m->mip.ncolumns; k++)
        if (m->mip.columns[k].lower > 0)
            j->x[k] = m->mip.columns[k].lower; /* the directions of rows */
    for (int z = 0; z < j->nzones; z++)
        fillings_read(m, j->zones[z], &j->lists[z], chosen[z], j->x);
    program_settle_ties(m, j->x);
    program_settle(m, j->x);
}

/* How far the sum of a row is beyond its sides, relative; *sign: of which, 1 the upper one. */
static double beyond(const struct decomposition *w, int row, const double *x, double *sign)
{
    const struct mip *mip = &w->m->mip;
    const struct mip_row *r = &mip->rows[row];
    double sum = 0;
    for (int e = w->first[row]; e < w->first[row + 1]; e++)
        sum += mip->entries[e].value * x[mip->entries[e].column];
    double over = isfinite(r->upper) ? (sum - r->upper) / (1 + fabs(r->upper)) : -HUGE_VAL;
    double under = isfinite(r->lower) ? (r->lower - sum) / (1 + fabs(r->lower)) : -HUGE_VAL;
    *sign = over > under ? 1 : -1;
    return fmax(over, under);
}

/* Why x is worth less than its fillings promise: the row it breaks most, or the goal it is short
 * of. Takes it among the rows that are joined. false: it cannot be. */
static bool take_broken(struct joiner *j)
{
    const struct decomposition *w = j->w;
    bool breaks = mip_breach(&w->m->mip, j->x) > BREACH_MOST;
    double worst = breaks ? BREACH_MOST : -HUGE_VAL, sign = 1, its_sign = 1;
    int row = -1;
    for (int t = 0; t < w->nties; t++) {
        bool joined = w->ties[t] == w->m->row_e || w->ties[t] == w->m->row_a;
        for (int k = 0; k < j->nrows; k++)
            joined = joined || j->rows[k] == w->ties[t];
        double by = joined || (!breaks && !is_goal(w, w->ties[t])) || w->ties[t] == j->first_row
                        ? -HUGE_VAL
                        : beyond(w, w->ties[t], j->x, &its_sign);
        if (by <= worst)
            continue;
        worst = by;
        row = w->ties[t];
        sign = its_sign;
    }
    int before = j->nrows;
    if (row >= 0)
        take_row(j, row, sign);
    return j->nrows > before;
}

static bool may_go_on(void *data)
{
    struct decomposition *w = ((struct joiner *)data)->w;
    decompose_go_on(w); /* tells progress, too */
    return !w->stop;
}

/* A plan that keeps all rows of the program is offered. When many do not, the row that the last one
 * breaks is added to those that are joined, if that is possible, and the run ends. */
static bool accept_plan(void *data, const int *chosen, double loss, bool *stop)
{
    struct joiner *j = (struct joiner *)data;
    struct decomposition *w = j->w;
    const struct mip *mip = &w->m->mip;
    read_plan(j, chosen);
    decompose_go_on(w);
    *stop = w->stop;
    bool keeps = mip_breach(mip, j->x) <= BREACH_MOST;
    if (keeps)
        decompose_offer(w, j->x);
    if (keeps && mip_objective(mip, j->x) >= j->most - loss - NEAR * fabs(j->most))
        return true;
    if (++j->rejected > REJECTED_MOST)
        j->again = take_broken(j);
    *stop = *stop || j->again;
    return false;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static hr_status list_all(struct joiner *j, double budget, struct arena *arena, bool *whole)
{
    const struct decomposition *w = j->w;
    hr_status status = HR_OK;
    long left = LIST_WORK, room = LIST_MOST;
    *whole = true;
    for (int z = 0; z < j->nzones && status == HR_OK && *whole; z++) {
        struct fillings_query q = {.m = w->m,
                                   .zone = j->zones[z],
                                   .worth = w->worth,
                                   .best = w->classes[w->class_of[j->zones[z]]].worth,
                                   .budget = budget,
                                   .nrows = j->nrows,
                                   .use = j->use,
                                   .work = &left,
                                   .most = room};
        status = fillings_list(&q, arena, &j->lists[z]);
        *whole = status == HR_OK && j->lists[z].whole;
        room -= j->lists[z].n;
    }
    return status;
}

/* One run: plans that lose no more than the budget. *more: another may say more. */
static hr_status run_within(struct joiner *j, double budget, struct arena *arena, bool *more)
{
    struct decomposition *w = j->w;
    struct join_result r = {0};
    bool whole;
    hr_status status = list_all(j, budget, arena, &whole);
    *more = false;
    if (status != HR_OK || !whole)
        return status;
    struct join_problem p = {.nzones = j->nzones,
                             .nrows = j->nrows,
                             .rows = j->row,
                             .lists = j->lists,
                             .first_weight = j->first_weight,
                             .budget = budget,
                             .work = &w->join_work,
                             .accept = accept_plan,
                             .go_on = may_go_on,
                             .data = j};
    status = join_least(&p, arena, &r);
    if (status == HR_OK)
        w->bound = fmin(w->bound, j->most - r.least);
    *more = status == HR_OK && (r.exact || j->again);
    return status;
}

static hr_status join_open(struct joiner *j)
{
    struct decomposition *w = j->w;
    j->zones = ARENA_ARRAY(j->arena, size_t, w->m->zones->n);
    j->lists = ARENA_ARRAY(j->arena, struct fillings, w->m->zones->n);
    j->x = ARENA_ARRAY(j->arena, double, (size_t)w->m->mip.ncolumns);
    if (!j->zones || !j->lists || !j->x)
        return HR_NOMEM;
    for (size_t z = 0; z < w->m->zones->n; z++)
        if (w->classes[w->class_of[z]].count > 0)
            j->zones[j->nzones++] = z;
    j->most = decompose_bound(w);
    return HR_OK;
}

/* The bound of plots whose rows may run either way is not a sum over zones. */
static bool ways_are_fixed(const struct decomposition *w)
{
    for (int c = 0; c < w->nclasses; c++)
        if (w->classes[c].count > 0 && w->classes[c].way >= 0 &&
            w->m->mip.columns[w->classes[c].way].lower < 1)
            return false;
    return true;
}

/* Goals are joined only where their weights are such that more of all of them is what counts. */
static bool weights_sum_up(const struct decomposition *w)
{
    double sum = 0;
    for (int t = 0; t < w->nties; t++)
        if (is_goal(w, w->ties[t]))
            sum -= w->trial[t];
    return fabs(sum - 1) <= WEIGHTS_NEAR;
}

/* By the best plan; without one as much as could be. */
static double lost(const struct joiner *j)
{
    return j->w->has ? j->most - j->w->value : LOST_MOST * fabs(j->most);
}

/* Whether another run is worth while: what it costs is little, so it goes on beyond the gap that is
 * asked for. */
static bool join_on(struct joiner *j)
{
    struct decomposition *w = j->w;
    decompose_go_on(w); /* tells progress */
    return !w->stop && w->join_work > 0 &&
           (!w->has || w->bound - w->value > EXACT * fabs(w->value));
}

/* Budgets from a share of what the best plan loses to all of that. */
static hr_status join_in(struct joiner *j)
{
    struct decomposition *w = j->w;
    hr_status status = join_open(j);
    if (status != HR_OK || w->stop || !weights_sum_up(w) || !ways_are_fixed(w))
        return status;
    take_rows(j);
    bool more = true;
    double budget = fmin(BUDGET_FIRST * fabs(j->most), BUDGET_SHARE * lost(j));
    budget = fmax(budget, BUDGET_MORE * (j->most - w->bound));
    while (more && status == HR_OK && join_on(j)) {
        struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
        budget = fmin(lost(j), budget);
        j->again = false;
        j->rejected = 0;
        status = arena ? run_within(j, budget, arena, &more) : HR_NOMEM;
        arena_free(arena);
        if (!j->again) {
            more = more && budget < lost(j);
            budget *= BUDGET_MORE;
        }
    }
    return status;
}

hr_status decompose_join(struct decomposition *w)
{
    struct joiner j = {.w = w, .arena = arena_new(ARENA_CAP_DEFAULT), .first_row = -1};
    if (!j.arena)
        return HR_NOMEM;
    hr_status status = join_in(&j);
    arena_free(j.arena);
    return status;
}
