/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Few zones, in the light that their blocks leave each other. See decompose.h. */
#include <assert.h>
#include <math.h>

#include "decompose_joiner.h"
#include "dim.h"

#define BUDGET_FIRST 0.004 /* of the bound */
#define BUDGET_MORE  1.5   /* times as much in the next run, at most */
#define BUDGET_STEP  1.01  /* at least */
#define LISTED_FIRST                                                                               \
    60000 /* where there are more fillings in the first run, or listing them takes */
#define WORK_FIRST  1000000 /* more steps, it would be too much in the end */
#define GUESS_LEAST 2000    /* fillings, to look for plans among them */
#define COST_LEAST  10000   /* steps of a run, to tell the cost of the next one from, */
#define COST_TELLS  500000  /* or that of all that is to be proved */
#define POWER_LEAST 2
#define POWER_MOST  10
#define POWER_USUAL 3
#define HOPELESS    8   /* times the work that is left */
#define WORK_SHARE  0.9 /* of what is left, for the next run */

static_assert(FILLING_LIGHT_SUMS > FILLINGS_ROWS_MAX, "a sum for the first goal and for each row");

/* ---- rows ---------------------------------------------------------------------------------- */

double *joiner_fall(const struct joiner *j, int row, double sign, const double *use)
{
    double side;
    double *fall = joiner_use(j, &j->w->light->dim->mip, j->dim_first, row, sign, &side);
    for (int c = 0; c < j->w->m->mip.ncolumns && fall; c++)
        fall[c] = DIM_PARTS * (fall[c] - use[c]);
    return fall;
}

/* The same where it is never less; 0 of rows that shade can help to keep. NULL: no memory. */
static const double *fall_of(const struct joiner *j, int row, double sign, const double *use)
{
    const struct program *m = j->w->m;
    double *zero = ARENA_ARRAY(j->arena, double, (size_t)m->mip.ncolumns);
    const double *fall = joiner_fall(j, row, sign, use);
    for (int i = 0; i < m->menu->nitems && fall; i++) {
        double even = fall[m->col_n[i]], odd = m->col_q[i] >= 0 ? even + fall[m->col_q[i]] : even;
        double station = m->col_s[i] >= 0 ? fall[m->col_s[i]] : 0;
        if (fmin(fmin(odd, even), station) < -JOINER_LIGHT_TINY)
            return zero;
    }
    return fall;
}

bool joiner_take_light(struct joiner *j, int row, double sign, const double *use, double price)
{
    const bool first = joiner_goal(j->w, row) && !j->first_goal;
    const int at = first ? 0 : j->nrows + 1;
    if (!j->lit)
        return true;
    const double *fall = fall_of(j, row, sign, use);
    if (first)
        j->first_fall = fall;
    for (int z = 0; z < j->nzones; z++) {
        j->lit[z].nsums = j->nrows + (first ? 1 : 2);
        j->lit[z].fall[at] = fall;
        j->lit[z].price[at] = price;
    }
    return fall != NULL;
}

hr_status joiner_open_lit(struct joiner *j)
{
    const struct program *m = j->w->m;
    const struct mip *dim = &j->w->light->dim->mip;
    j->lit = ARENA_ARRAY(j->arena, struct filling_light, (size_t)j->nzones + 1);
    j->dim_first = ARENA_ARRAY(j->arena, int, (size_t)dim->nrows + 1);
    if (!j->lit || !j->dim_first)
        return HR_NOMEM;
    for (int z = 0; z < j->nzones; z++) {
        j->lit[z].m = m;
        j->lit[z].mutual = mutual_new(m->garden, m->zones, m->menu, j->zones[z], j->work, j->arena);
        if (!j->lit[z].mutual)
            return HR_NOMEM;
    }
    for (int row = 0, e = 0; row <= dim->nrows; row++) {
        j->dim_first[row] = e;
        while (row < dim->nrows && e < dim->nentries && dim->entries[e].row == row)
            e++;
    }
    return HR_OK;
}

/* ---- budgets ------------------------------------------------------------------------------- */

/* The budget that proves enough of the best plan. */
static double enough(const struct joiner *j)
{
    const struct decompose_light *l = j->w->light;
    if (!isfinite(l->value))
        return HUGE_VAL;
    return fmax(j->most + l->ties - l->value * (1 + l->gap) + 1e-9,
                BUDGET_STEP * (j->most - l->bound));
}

/* What a run took. */
struct run {
    double budget, cost;
};

/* How many times as large the next budget may be: the work grows with a power of it, which is told
 * from the last two runs. 0: what is left will not do for that, or not for what is to be proved. */
static double next_ratio(const struct joiner *j, struct run last, struct run before)
{
    const struct decomposition *w = j->w;
    double left = (double)*j->work, power = POWER_USUAL;
    if (last.cost < COST_LEAST)
        return BUDGET_MORE;
    if (before.cost > 0)
        power = log(fmax(1, last.cost / before.cost)) / log(last.budget / before.budget);
    power = fmin(POWER_MOST, fmax(POWER_LEAST, power));
    double proves = isfinite(w->light->value) ? enough(j)
                    : w->has                  ? j->most - w->value
                                              : last.budget;
    if (last.cost > COST_TELLS && last.cost * pow(proves / last.budget, power) > HOPELESS * left)
        return 0;
    double ratio = fmin(BUDGET_MORE, pow(WORK_SHARE * left / last.cost, 1 / power));
    return ratio > BUDGET_STEP ? ratio : 0;
}

/* ---- the whole ----------------------------------------------------------------------------- */

/* The first list is a short one. */
static hr_status list(struct joiner *j, double budget, bool first, struct arena *arena, bool *whole)
{
    long kept = first ? *j->work - WORK_FIRST : 0;
    *j->work -= kept;
    hr_status status = joiner_list(j, budget, first ? LISTED_FIRST : JOINER_LISTED, arena, whole);
    *j->work = kept + (*j->work > 0 ? *j->work : 0);
    return status;
}

/* One run: fillings, plans of them if there are enough, and what is proved. */
static hr_status run_within(struct joiner *j, double budget, bool first, bool *guessed, bool *more)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    hr_status status = arena ? list(j, budget, first, arena, more) : HR_NOMEM;
    if (status == HR_OK && *more && !*guessed && joiner_listed(j) >= GUESS_LEAST) {
        status = joiner_guess(j, budget, JOINER_KICKS, arena);
        *guessed = true;
    }
    if (status == HR_OK && *more && !decompose_lit(j->w))
        status = joiner_search(j, fmin(budget, enough(j)), arena, more);
    arena_free(arena);
    return status;
}

static bool lit_on(const struct joiner *j)
{
    struct decomposition *w = j->w;
    decompose_go_on(w); /* tells progress */
    return !w->stop && *j->work > 0 && !decompose_lit(w);
}

static hr_status join_lit(struct joiner *j)
{
    struct decomposition *w = j->w;
    struct run last = {0, 0}, before = {0, 0};
    double budget = BUDGET_FIRST * fabs(j->most);
    bool first = true, guessed = false, more = true;
    hr_status status = HR_OK;
    if (w->has)
        decompose_arrange(w, w->x);
    w->light->bound = fmin(w->light->bound, fmin(j->most, w->bound));
    while (more && status == HR_OK && lit_on(j)) {
        const long left = *j->work;
        budget = fmin(fmin(joiner_lost(j), enough(j)), budget);
        j->again = false;
        status = run_within(j, budget, first, &guessed, &more);
        first = false;
        if (j->again)
            continue;
        before = last;
        last = (struct run){budget, (double)(left - *j->work)};
        double ratio = next_ratio(j, last, before);
        w->hopeless = !more || ratio <= 0;
        more = more && budget < joiner_lost(j) && ratio > 0;
        budget *= ratio;
    }
    return status;
}

hr_status decompose_join_lit(struct decomposition *w)
{
    struct joiner j;
    bool may;
    hr_status status = joiner_open(w, true, &j, &may);
    if (status == HR_OK && may)
        status = join_lit(&j);
    joiner_close(&j);
    return status;
}
