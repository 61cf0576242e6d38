/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows, lists of fillings and the plans they make. See decompose_joiner.h. */
#include "decompose_joiner.h"

#include <math.h>
#include <string.h>

#define PRICE_LEAST   1e-7
#define LIST_STEPS    10  /* for each filling at most, to list it */
#define REJECTED_MOST 20  /* plans that break the same row, before it is joined */
#define LOST_MOST     0.5 /* of the bound: a plan that is not known is looked for down to here */
#define WEIGHTS_NEAR  1e-6
#define UNITS_TRIED   6
#define WHOLE_NEAR    1e-7
#define NEAR          1e-6

/* ---- rows ---------------------------------------------------------------------------------- */

bool joiner_goal(const struct decomposition *w, int row)
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
static void spell_out(const struct decomposition *w, const struct mip *mip, const int *first,
                      int row, double factor, double *use, double *side)
{
    for (int e = first[row]; e < first[row + 1] && factor != 0; e++)
        if (w->place[mip->entries[e].column] < 0)
            use[mip->entries[e].column] += factor * mip->entries[e].value;
    if (factor != 0)
        *side += factor * mip->rows[row].lower;
}

double *joiner_use(const struct joiner *j, const struct mip *mip, const int *first, int row,
                   double sign, double *side)
{
    const struct decomposition *w = j->w;
    const struct program *m = w->m;
    double *use = ARENA_ARRAY(j->arena, double, (size_t)mip->ncolumns);
    *side = sign > 0 ? mip->rows[row].upper : mip->rows[row].lower;
    for (int e = first[row]; e < first[row + 1] && use; e++) {
        int column = mip->entries[e].column;
        double value = mip->entries[e].value;
        if (w->place[column] < 0)
            use[column] += value;
        else if (column == m->col_e)
            spell_out(w, mip, first, m->row_e, value, use, side);
        else if (column == m->col_a)
            spell_out(w, mip, first, m->row_a, value, use, side);
        else if (column != m->col_t)
            return NULL;
    }
    for (int c = 0; c < mip->ncolumns && use; c++)
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
    sign = joiner_goal(w, row) ? -1 : sign;
    double *use = joiner_use(j, &w->m->mip, w->first, row, sign, &side);
    if (!use || !joiner_take_light(j, row, sign, use, price))
        return;
    if (joiner_goal(w, row) && !j->first_goal) {
        j->first_goal = use;
        j->first_row = row;
        j->first_side = side;
        j->first_weight = price;
        return;
    }
    struct join_row r = {.goal = joiner_goal(w, row), .side = side, .price = price};
    for (int c = 0; c < w->m->mip.ncolumns && r.goal; c++)
        use[c] = j->first_goal[c] - use[c]; /* uses of goals are what is given, less than 0 */
    if (r.goal)
        r.side = j->first_side - side;
    else
        r.unit = unit_of(w, use);
    j->rows[j->nrows] = row;
    j->goal[j->nrows] = r.goal;
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

void joiner_read(struct joiner *j, const int *chosen)
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

double joiner_beyond(const struct decomposition *w, int row, const double *x, double *sign)
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
    bool breaks = mip_breach(&w->m->mip, j->x) > JOINER_BREACH;
    double worst = breaks ? JOINER_BREACH : -HUGE_VAL, sign = 1, its_sign = 1;
    int row = -1;
    for (int t = 0; t < w->nties; t++) {
        bool joined = w->ties[t] == w->m->row_e || w->ties[t] == w->m->row_a;
        for (int k = 0; k < j->nrows; k++)
            joined = joined || j->rows[k] == w->ties[t];
        double by = joined || (!breaks && !joiner_goal(w, w->ties[t])) || w->ties[t] == j->first_row
                        ? -HUGE_VAL
                        : joiner_beyond(w, w->ties[t], j->x, &its_sign);
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

bool joiner_go_on(void *data)
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
    joiner_read(j, chosen);
    decompose_go_on(w);
    *stop = w->stop;
    bool keeps = mip_breach(mip, j->x) <= JOINER_BREACH;
    if (keeps)
        decompose_offer(w, j->x);
    if (keeps && j->lit)
        decompose_arrange(w, j->x);
    if (keeps && mip_objective(mip, j->x) >= j->most - loss - NEAR * fabs(j->most))
        return true;
    if (++j->rejected > REJECTED_MOST)
        j->again = take_broken(j);
    *stop = *stop || j->again;
    return false;
}

/* ---- lists --------------------------------------------------------------------------------- */

hr_status joiner_list(struct joiner *j, double budget, long most, struct arena *arena, bool *whole)
{
    struct decomposition *w = j->w;
    hr_status status = HR_OK;
    long of_list = LIST_STEPS * most, room = most;
    *whole = true;
    for (int z = 0; z < j->nzones && status == HR_OK && *whole; z++) {
        struct fillings_query q = {.m = w->m,
                                   .zone = j->zones[z],
                                   .worth = w->worth,
                                   .best = w->classes[w->class_of[j->zones[z]]].worth,
                                   .budget = budget,
                                   .nrows = j->nrows,
                                   .use = j->use,
                                   .light = j->lit ? &j->lit[z] : NULL,
                                   .light_goal = j->goal,
                                   .work = j->lit ? j->work : &of_list,
                                   .most = room,
                                   .go_on = joiner_go_on,
                                   .data = j};
        status = fillings_list(&q, arena, &j->lists[z]);
        *whole = status == HR_OK && j->lists[z].whole;
        room -= j->lists[z].n;
    }
    if (status == HR_OK && !*whole)
        w->unlisted = fmin(w->unlisted, budget);
    return status;
}

int joiner_listed(const struct joiner *j)
{
    int n = 0;
    for (int z = 0; z < j->nzones; z++)
        n += j->lists[z].n;
    return n;
}

hr_status joiner_search(struct joiner *j, double budget, struct arena *arena, bool *more)
{
    struct join_result r = {0};
    struct join_problem p = {.nzones = j->nzones,
                             .nrows = j->nrows,
                             .rows = j->row,
                             .lists = j->lists,
                             .first_weight = j->first_weight,
                             .budget = budget,
                             .work = j->work,
                             .accept = accept_plan,
                             .go_on = joiner_go_on,
                             .data = j};
    j->again = false;
    j->rejected = 0;
    hr_status status = join_least(&p, arena, &r);
    if (status == HR_OK)
        *j->bound = fmin(*j->bound, j->most - r.least);
    *more = status == HR_OK && (r.exact || j->again);
    return status;
}

/* ---- the whole ----------------------------------------------------------------------------- */

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
        if (joiner_goal(w, w->ties[t]))
            sum -= w->trial[t];
    return fabs(sum - 1) <= WEIGHTS_NEAR;
}

double joiner_lost(const struct joiner *j)
{
    const struct decomposition *w = j->w;
    double value = j->lit ? w->light->value : w->has ? w->value : -HUGE_VAL;
    return isfinite(value) ? j->most - value : LOST_MOST * fabs(j->most);
}

static hr_status take_zones(struct joiner *j)
{
    const struct decomposition *w = j->w;
    j->zones = ARENA_ARRAY(j->arena, size_t, w->m->zones->n);
    j->lists = ARENA_ARRAY(j->arena, struct fillings, w->m->zones->n);
    j->x = ARENA_ARRAY(j->arena, double, (size_t)w->m->mip.ncolumns);
    if (!j->zones || !j->lists || !j->x)
        return HR_NOMEM;
    for (size_t z = 0; z < w->m->zones->n; z++)
        if (w->classes[w->class_of[z]].count > 0)
            j->zones[j->nzones++] = z;
    return HR_OK;
}

hr_status joiner_open(struct decomposition *w, bool lit, struct joiner *j, bool *may)
{
    *j = (struct joiner){.w = w,
                         .arena = arena_new(ARENA_CAP_DEFAULT),
                         .first_row = -1,
                         .bound = lit ? &w->light->bound : &w->bound,
                         .work = lit ? &w->lit_work : &w->join_work};
    hr_status status = j->arena ? take_zones(j) : HR_NOMEM;
    if (status == HR_OK) {
        j->most = decompose_bound(w); /* sets the prices, too */
        status = lit ? joiner_open_lit(j) : HR_OK;
    }
    *may = status == HR_OK && !w->stop && weights_sum_up(w) && ways_are_fixed(w);
    if (*may)
        take_rows(j);
    *may = *may && j->first_goal;
    return status;
}

void joiner_close(struct joiner *j)
{
    arena_free(j->arena);
}
