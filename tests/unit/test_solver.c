/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include <glpk.h>

#include "dice.h"
#include "num.h"
#include "solver.h"

static const double none = (double)INFINITY;
static const struct solver_options exact = {.seconds = 60, .gap = 0};

static struct mip fresh(void)
{
    struct mip mip;
    mip_init(&mip, arena_new(ARENA_CAP_DEFAULT));
    return mip;
}

static struct solver_result solved(const struct mip *m, const struct solver_options *o)
{
    struct solver_result r = {0};
    const char *failure = "";
    hr_status status = solver_run(m, o, &r, &failure);
    cr_assert(status == HR_OK, "status %d: %s", (int)status, failure);
    cr_assert(!r.x || r.bound >= r.value, "bound %g below value %g", r.bound, r.value);
    cr_assert(!r.x || o->relaxed || mip_breach(m, r.x) <= 1e-6, "breach %g", mip_breach(m, r.x));
    cr_assert(!r.x || near(mip_objective(m, r.x), r.value, 1e-9 * (1 + fabs(r.value))));
    return r;
}

/* ---- a published optimum ------------------------------------------------------------------- */

static struct mip hazell(void)
{
    static const char *const crops[4] = {"carrot", "celery", "cucumber", "pepper"};
    static const double gross_margin[4] = {253, 443, 284, 516}, hours[4] = {25, 36, 27, 87},
                        rotation[4] = {-1, 1, -1, 1};
    struct mip m = fresh();
    for (int j = 0; j < 4; j++)
        mip_column(&m, MIP_CONTINUOUS, 0, none, gross_margin[j], "%s", crops[j]);
    int land = mip_row(&m, -none, 200, "land"), labor = mip_row(&m, -none, 10000, "labor");
    int turn = mip_row(&m, -none, 0, "rotation");
    for (int j = 0; j < 4; j++) {
        mip_add(&m, land, j, 1);
        mip_add(&m, labor, j, hours[j]);
        mip_add(&m, turn, j, rotation[j]);
    }
    CALL(mip_finish(&m));
    return m;
}

/* Hazell 1971, the vegetable farm in Florida; program and optimum (in acres, to half an acre) as in
 * the help of hazell.vegetables in the R package agridat. */
Test(solver, hazell_1971)
{
    static const double acres[4] = {0, 27.5, 100, 72.5};
    struct mip m = hazell();
    for (int relaxed = 0; relaxed < 2; relaxed++) {
        struct solver_options o = exact;
        o.relaxed = relaxed;
        struct solver_result r = solved(&m, &o);
        cr_assert(r.state == SOLVER_OPTIMAL && r.x);
        for (int j = 0; j < 4; j++)
            cr_assert(near(r.x[j], acres[j], 0.06), "%s: %g", m.columns[j].name, r.x[j]);
        cr_assert((r.prices != NULL) == (relaxed == 1));
    }
    arena_free(m.arena);
}

/* Strong duality: what the rows' sides are worth together is the optimum. */
Test(solver, prices_of_the_relaxation)
{
    struct mip m = hazell();
    struct solver_options o = exact;
    o.relaxed = true;
    struct solver_result r = solved(&m, &o);
    double worth = 0;
    for (int i = 0; i < m.nrows; i++) {
        cr_assert(r.prices[i] >= -1e-9, "row %d: %g", i, r.prices[i]);
        worth += r.prices[i] * m.rows[i].upper;
    }
    cr_assert(near(worth, r.value, 1e-6 * r.value), "%g and %g", worth, r.value);
    m.rows[0].upper += 1; /* one more acre */
    struct solver_result more = solved(&m, &o);
    cr_assert(near(more.value - r.value, r.prices[0], 1e-6 * r.value));
    arena_free(m.arena);
}

/* ---- against brute force ------------------------------------------------------------------- */

#define MOST_COLUMNS 7

/* Whole numbers, one or two rows of resources, an equality now and then. */
static struct mip knapsack(unsigned seed)
{
    dice_state = 88172645463325252ul + seed * 7919ul;
    for (int i = 0; i < 10; i++)
        dice(0, 1);
    struct mip m = fresh();
    int n = dice(3, MOST_COLUMNS), rows = dice(1, 3);
    for (int j = 0; j < n; j++)
        mip_column(&m, dice(0, 2) ? MIP_INTEGER : MIP_BINARY, 0, 1,
                   dice(-3, 20) + 0.25 * dice(0, 3), "x%d", j);
    for (int j = 0; j < n; j++)
        if (m.columns[j].kind == MIP_INTEGER) {
            m.columns[j].lower = dice(-1, 0);
            m.columns[j].upper = dice(1, 4);
        }
    for (int i = 0; i < rows; i++) {
        bool equal = dice(0, 4) == 0;
        double side = dice(1, 8 * n);
        int row = mip_row(&m, equal ? side : -none, side, "r%d", i);
        for (int j = 0; j < n; j++)
            mip_add(&m, row, j, dice(0, 9));
    }
    CALL(mip_finish(&m));
    return m;
}

/* The best of all whole points; -INFINITY: there is none. */
static double brute(const struct mip *m)
{
    double x[MOST_COLUMNS], best = -none;
    for (int j = 0; j < m->ncolumns; j++)
        x[j] = m->columns[j].lower;
    for (;;) {
        if (mip_breach(m, x) <= 1e-9)
            best = fmax(best, mip_objective(m, x));
        int j = 0;
        while (j < m->ncolumns && x[j] + 1 > m->columns[j].upper) {
            x[j] = m->columns[j].lower;
            j++;
        }
        if (j == m->ncolumns)
            return best;
        x[j] += 1;
    }
}

Test(solver, knapsacks_against_brute_force)
{
    int infeasible = 0;
    for (unsigned seed = 1; seed <= 400; seed++) {
        struct mip m = knapsack(seed);
        double best = brute(&m);
        struct solver_result r = solved(&m, &exact);
        if (isinf(best)) {
            infeasible++;
            cr_assert(r.state == SOLVER_INFEASIBLE && !r.x, "seed %u: state %d", seed,
                      (int)r.state);
        } else {
            cr_assert(r.state == SOLVER_OPTIMAL, "seed %u: state %d", seed, (int)r.state);
            cr_assert(near(r.value, best, 1e-6), "seed %u: %g, brute force %g", seed, r.value,
                      best);
            cr_assert(near(r.bound, best, 1e-6), "seed %u: bound %g, best %g", seed, r.bound, best);
        }
        arena_free(m.arena);
    }
    cr_assert(infeasible > 5 && infeasible < 200, "%d infeasible", infeasible);
}

/* With a wide gap the search may end early; value and bound must still hold the optimum between
 * them. */
Test(solver, gap_is_kept_and_the_bound_is_true)
{
    int early = 0;
    for (unsigned seed = 1; seed <= 400; seed++) {
        struct mip m = knapsack(seed);
        double best = brute(&m);
        struct solver_options o = exact;
        o.gap = 0.2;
        struct solver_result r = solved(&m, &o);
        if (!isinf(best)) {
            cr_assert(r.state == SOLVER_OPTIMAL, "seed %u: state %d", seed, (int)r.state);
            cr_assert(r.value <= best + 1e-6 && r.bound >= best - 1e-6, "seed %u: %g not in %g..%g",
                      seed, best, r.value, r.bound);
            cr_assert(r.bound - r.value <= 0.2 * fabs(r.value) + 1e-6, "seed %u", seed);
            early += r.bound > r.value + 1e-6;
        }
        arena_free(m.arena);
    }
    cr_assert(early > 20, "only %d ended early", early);
}

#define ITEMS 80
#define ROOM  400

/* Large enough for the searches near the relaxation. */
static struct mip large_knapsack(unsigned seed)
{
    dice_state = 362436069ul + seed * 15485863ul;
    struct mip m = fresh();
    int row = mip_row(&m, -none, ROOM, "weight");
    for (int j = 0; j < ITEMS; j++) {
        int weight = dice(5, 60);
        mip_add(&m, row, mip_column(&m, MIP_BINARY, 0, 1, weight + dice(0, 9), "x%d", j), weight);
    }
    CALL(mip_finish(&m));
    return m;
}

/* The textbook dynamic programme over weights (Bellman 1957, from memory). */
static double by_dynamic_programme(const struct mip *m)
{
    double best[ROOM + 1] = {0};
    for (int j = 0; j < ITEMS; j++) {
        int weight = (int)m->entries[j].value;
        for (int w = ROOM; w >= weight; w--)
            best[w] = fmax(best[w], best[w - weight] + m->columns[j].objective);
    }
    return best[ROOM];
}

Test(solver, large_knapsacks_against_a_dynamic_programme)
{
    for (unsigned seed = 1; seed <= 40; seed++) {
        struct mip m = large_knapsack(seed);
        double best = by_dynamic_programme(&m);
        struct solver_result r = solved(&m, &exact);
        cr_assert(r.state == SOLVER_OPTIMAL && near(r.value, best, 1e-6), "seed %u: %g, best %g",
                  seed, r.value, best);
        cr_assert(near(r.bound, best, 1e-6), "seed %u: bound %g", seed, r.bound);
        arena_free(m.arena);
    }
}

/* A whole number times an uncertain figure: the continuous columns follow from the whole ones. */
Test(solver, large_figures_with_continuous_columns)
{
    for (unsigned seed = 1; seed <= 60; seed++) {
        dice_state = 424242ul + seed * 104729ul;
        struct mip m = fresh();
        int t = mip_column(&m, MIP_CONTINUOUS, 0, none, 1, "t");
        int depth = mip_row(&m, -none, 7.3, "depth");
        int n[6];
        for (int j = 0; j < 6; j++) {
            n[j] = mip_column(&m, MIP_INTEGER, 0, 9, 0, "n%d", j);
            mip_add(&m, depth, n[j], 0.3 + 0.01 * dice(0, 90));
        }
        for (int i = 0; i < 4; i++) { /* kcal, grams */
            int row = mip_row(&m, 0, none, "r%d", i);
            mip_add(&m, row, t, -2500);
            for (int j = 0; j < 6; j++)
                mip_add(&m, row, n[j], dice(0, 40000));
        }
        CALL(mip_finish(&m));
        struct solver_result r = solved(&m, &exact);
        cr_assert(r.state == SOLVER_OPTIMAL && r.value > 0, "seed %u", seed);
        arena_free(m.arena);
    }
}

/* ---- shapes -------------------------------------------------------------------------------- */

Test(solver, infeasible)
{
    struct mip m = fresh();
    int x = mip_column(&m, MIP_CONTINUOUS, 0, 1, 1, "x");
    mip_add(&m, mip_row(&m, 2, none, "a"), x, 1);
    CALL(mip_finish(&m));
    struct solver_result r = solved(&m, &exact);
    cr_assert(r.state == SOLVER_INFEASIBLE && !r.x);
    arena_free(m.arena);

    m = fresh(); /* only where numbers must be whole */
    x = mip_column(&m, MIP_INTEGER, 0, 9, 1, "x");
    int y = mip_column(&m, MIP_INTEGER, 0, 9, 1, "y"), a = mip_row(&m, 7, 7, "a");
    mip_add(&m, a, x, 2);
    mip_add(&m, a, y, 4);
    CALL(mip_finish(&m));
    cr_assert(solved(&m, &exact).state == SOLVER_INFEASIBLE);
    struct solver_options o = exact;
    o.relaxed = true;
    cr_assert(solved(&m, &o).state == SOLVER_OPTIMAL);
    arena_free(m.arena);

    m = fresh(); /* no whole number between the bounds */
    mip_column(&m, MIP_INTEGER, 0.2, 0.8, 1, "x");
    CALL(mip_finish(&m));
    cr_assert(solved(&m, &exact).state == SOLVER_INFEASIBLE);
    arena_free(m.arena);
}

/* A program with a solution that GLPK 5.0's primal simplex takes for infeasible, as it perturbs it:
 * it came up among the questions of which crops have a block where, and was cut down row by row and
 * column by column while that lasted. */
Test(solver, infeasible_in_the_eyes_of_the_primal_simplex)
{
    static const struct {
        double lower, upper;
        int n, columns[2];
        double values[2];
    } rows[] = {
        {0, HUGE_VAL, 2, {1, 0}, {-0.138507684443687, 1}},
        {0, HUGE_VAL, 2, {5, 4}, {-0.0659560402112796, 1}},
        {-HUGE_VAL, 0, 2, {7, 6}, {-0.895200001, 1}},
        {0, HUGE_VAL, 2, {7, 6}, {-0.0593604361901516, 1}},
        {0, HUGE_VAL, 2, {9, 8}, {-0.0543750526759376, 1}},
        {5.9999994, HUGE_VAL, 2, {8, 4}, {147.126294252588, 121.292909252485}},
        {5.9999994, HUGE_VAL, 2, {9, 5}, {6, 6}},
        {7.9999992, HUGE_VAL, 2, {10, 1}, {8, 8}},
        {8.9999991, HUGE_VAL, 2, {7, 3}, {9, 9}},
        {-HUGE_VAL, 1.0000001, 2, {3, 2}, {1, 1}},
        {-HUGE_VAL, 1.0000001, 2, {7, 5}, {1, 1}},
        {-HUGE_VAL, 1.0000001, 2, {10, 9}, {1, 1}},
    };
    static const double upper[] = {1.495200001, 1,           1, 1, 0.895200001, 1, 0.895200001,
                                   1,           1.495200001, 1, 1};
    struct mip m = fresh();
    for (int j = 0; j < 11; j++)
        mip_column(&m, j % 2 == 0 && j != 2 && j != 10 ? MIP_CONTINUOUS : MIP_BINARY, 0, upper[j],
                   0, "x%d", j);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int row = mip_row(&m, rows[i].lower, rows[i].upper, "r%zu", i);
        for (int k = 0; k < rows[i].n; k++)
            mip_add(&m, row, rows[i].columns[k], rows[i].values[k]);
    }
    CALL(mip_finish(&m));
    struct solver_options o = exact;
    cr_assert(solved(&m, &o).x != NULL, "in whole numbers");
    o.relaxed = true;
    cr_assert(solved(&m, &o).x != NULL, "in the relaxation");
    arena_free(m.arena);
}

Test(solver, unbounded)
{
    for (int kind = 0; kind < 2; kind++) {
        struct mip m = fresh();
        int x = mip_column(&m, kind ? MIP_INTEGER : MIP_CONTINUOUS, 0, none, 1, "x");
        int y = mip_column(&m, MIP_CONTINUOUS, 0, none, 0, "y"), a = mip_row(&m, 0, 3, "a");
        mip_add(&m, a, x, 1);
        mip_add(&m, a, y, -1);
        CALL(mip_finish(&m));
        struct solver_result r = solved(&m, &exact);
        cr_assert(r.state == SOLVER_UNBOUNDED && !r.x, "kind %d: state %d", kind, (int)r.state);
        cr_assert(isinf(r.bound));
        arena_free(m.arena);
    }
}

/* max 2f - g with f + g = 4, f - 3g <= 0, both free: f = 3, g = 1 by hand. */
Test(solver, free_columns_and_equality_rows)
{
    struct mip m = fresh();
    int f = mip_column(&m, MIP_CONTINUOUS, -none, none, 2, "f");
    int g = mip_column(&m, MIP_CONTINUOUS, -none, none, -1, "g");
    int sum = mip_row(&m, 4, 4, "sum"), top = mip_row(&m, -none, 0, "top");
    mip_row(&m, -none, none, "open");
    mip_add(&m, sum, f, 1);
    mip_add(&m, sum, g, 1);
    mip_add(&m, top, f, 1);
    mip_add(&m, top, g, -3);
    CALL(mip_finish(&m));
    struct solver_result r = solved(&m, &exact);
    cr_assert(r.state == SOLVER_OPTIMAL && near(r.x[f], 3, 1e-6) && near(r.x[g], 1, 1e-6));
    arena_free(m.arena);
}

Test(solver, whole_numbers_between_broken_bounds)
{
    for (int sign = -1; sign <= 1; sign += 2) {
        struct mip m = fresh();
        mip_column(&m, MIP_INTEGER, 1.3, 3.7, sign, "x");
        CALL(mip_finish(&m));
        struct solver_result r = solved(&m, &exact);
        cr_assert(r.state == SOLVER_OPTIMAL && r.x[0] == (sign > 0 ? 3 : 2), "%d: %g", sign,
                  r.x[0]);
        arena_free(m.arena);
    }
}

Test(solver, nothing_to_decide)
{
    struct mip m = fresh(); /* no rows */
    int x = mip_column(&m, MIP_INTEGER, 0, 3.7, 2, "x"),
        y = mip_column(&m, MIP_CONTINUOUS, -1, 5, -1, "y");
    CALL(mip_finish(&m));
    struct solver_result r = solved(&m, &exact);
    cr_assert(r.state == SOLVER_OPTIMAL && r.x[x] == 3 && r.x[y] == -1 && near(r.value, 7, 1e-9));
    arena_free(m.arena);

    for (int met = 0; met < 2; met++) { /* no columns */
        m = fresh();
        mip_row(&m, met ? -1 : 1, 2, "a");
        CALL(mip_finish(&m));
        r = solved(&m, &exact);
        cr_assert(r.state == (met ? SOLVER_OPTIMAL : SOLVER_INFEASIBLE), "%d: %d", met,
                  (int)r.state);
        cr_assert(!met || (r.value == 0 && r.bound == 0));
        arena_free(m.arena);
    }
}

Test(solver, malformed_calls_are_refused)
{
    struct mip m = hazell();
    struct solver_result r = {.nodes = 77};
    const char *failure = NULL;
    const double bad[4] = {0, -1, (double)NAN, -none};
    for (int i = 0; i < 4; i++) {
        struct solver_options o = exact;
        o.seconds = bad[i];
        cr_assert(solver_run(&m, &o, &r, &failure) == HR_BUG, "seconds, row %d", i);
        o = exact;
        o.gap = i == 0 ? -1e-9 : bad[i];
        cr_assert(solver_run(&m, &o, &r, NULL) == HR_BUG, "gap, row %d", i);
    }
    mip_add(&m, 0, 0, 1); /* not finished any more */
    cr_assert(solver_run(&m, &exact, &r, &failure) == HR_BUG);
    cr_assert(strstr(failure, "finished") != NULL, "%s", failure);
    cr_assert(r.nodes == 77, "the result is untouched");
    arena_free(m.arena);
}

/* ---- hard ones: limits, starts, sameness --------------------------------------------------- */

/* Cornuejols and Dawande 1999, "market split" (from memory): far too hard for its size. The slacks
 * count against it. */
static struct mip market_split(int columns, int rows)
{
    dice_state = 20270501ul;
    struct mip m = fresh();
    for (int j = 0; j < columns; j++)
        mip_column(&m, MIP_BINARY, 0, 1, 0, "x%d", j);
    for (int i = 0; i < rows; i++) {
        int over = mip_column(&m, MIP_CONTINUOUS, 0, none, -1, "over%d", i);
        int under = mip_column(&m, MIP_CONTINUOUS, 0, none, -1, "under%d", i);
        int sum = 0, row = mip_row(&m, 0, 0, "r%d", i);
        for (int j = 0; j < columns; j++) {
            int a = dice(0, 99);
            sum += a;
            mip_add(&m, row, j, a);
        }
        mip_add(&m, row, over, -1);
        mip_add(&m, row, under, 1);
        m.rows[row].lower = m.rows[row].upper = sum / 2;
    }
    CALL(mip_finish(&m));
    return m;
}

struct told {
    int calls, stop_at;
    double last_seconds, value, bound;
    bool odd; /* something did not look right */
};

static bool hear(void *data, double seconds, double value, double bound)
{
    struct told *t = data;
    t->odd |= seconds < t->last_seconds || (t->calls > 0 && bound > t->bound + 1e-9) ||
              (t->calls > 0 && value < t->value) || value > bound + 1e-9;
    t->last_seconds = seconds;
    t->value = value;
    t->bound = bound;
    return ++t->calls == t->stop_at;
}

Test(solver, stops_at_the_time_limit_and_tells)
{
    struct mip m = market_split(40, 5);
    struct told told = {0};
    struct solver_options o = {.seconds = 1.1, .gap = 0, .progress = hear, .data = &told};
    struct solver_result r = solved(&m, &o);
    cr_assert(r.state == SOLVER_FEASIBLE, "state %d", (int)r.state);
    cr_assert(r.seconds >= 1 && r.seconds < 3, "%g s", r.seconds);
    cr_assert(told.calls >= 2 && told.calls <= 6, "%d calls: a few a second at most", told.calls);
    cr_assert(!told.odd, "values rise, bounds fall, time goes on");
    cr_assert(r.bound <= 0 && r.nodes > 1);
    arena_free(m.arena);
}

Test(solver, stops_when_told)
{
    struct mip m = market_split(40, 5);
    struct told told = {.stop_at = 1};
    struct solver_options o = {.seconds = 30, .gap = 0, .progress = hear, .data = &told};
    struct solver_result r = solved(&m, &o);
    cr_assert(r.seconds < 5 && told.calls == 1, "%g s, %d calls", r.seconds, told.calls);
    cr_assert(r.state == SOLVER_FEASIBLE || r.state == SOLVER_NONE);
    arena_free(m.arena);
}

/* The limit on nodes cuts in at the same place each time. */
Test(solver, stops_after_so_many_nodes)
{
    struct mip m = market_split(40, 5);
    struct solver_options o = {.seconds = 60, .gap = 0, .nodes = 200};
    struct solver_result a = solved(&m, &o), b = solved(&m, &o);
    cr_assert(a.nodes > 150 && a.nodes < 210 && a.nodes == b.nodes, "%ld, %ld nodes", a.nodes,
              b.nodes);
    cr_assert(a.state == SOLVER_FEASIBLE && a.value == b.value && a.bound == b.bound);
    arena_free(m.arena);
}

/* Knowing that nothing beats the optimum, the search ends when it has it. */
Test(solver, a_known_bound_ends_the_search)
{
    struct mip m = market_split(16, 2);
    struct solver_result full = solved(&m, &exact);
    struct solver_options o = exact;
    o.bound = &full.value;
    struct solver_result r = solved(&m, &o);
    cr_assert(full.state == SOLVER_OPTIMAL && r.state == SOLVER_OPTIMAL);
    cr_assert(near(r.value, full.value, 1e-6) && near(r.bound, full.value, 1e-6));
    cr_assert(r.nodes <= full.nodes, "%ld and %ld nodes", r.nodes, full.nodes);
    o.start = full.x;
    r = solved(&m, &o);
    cr_assert(r.state == SOLVER_OPTIMAL && r.nodes == 0, "%ld nodes to know what was known",
              r.nodes);
    arena_free(m.arena);
}

Test(solver, keeps_a_start)
{
    struct mip m = market_split(70, 5);
    struct solver_options o = {.seconds = 60, .gap = 0, .nodes = 4000};
    struct solver_result first = solved(&m, &o);
    cr_assert(first.x != NULL);
    o.start = first.x;
    for (int i = 0; i < 2; i++) { /* a short search finds worse ones */
        o.seconds = i == 0 ? 1e-9 : 60;
        o.nodes = 50;
        struct solver_result r = solved(&m, &o);
        cr_assert(r.x != NULL && r.value >= first.value, "%d: %g after %g", i, r.value,
                  first.value);
    }
    arena_free(m.arena);
}

/* The search is cut by the start as it is by a solution of its own. */
Test(solver, a_start_shortens_the_search)
{
    struct mip m = market_split(20, 2);
    struct solver_result full = solved(&m, &exact);
    struct solver_options o = exact;
    o.start = full.x;
    struct solver_result r = solved(&m, &o);
    cr_assert(r.state == SOLVER_OPTIMAL && near(r.value, full.value, 1e-9));
    cr_assert(r.nodes < full.nodes, "%ld nodes with the optimum to begin with, %ld without",
              r.nodes, full.nodes);
    arena_free(m.arena);
}

Test(solver, start_is_judged)
{
    for (unsigned seed = 1; seed <= 100; seed++) {
        struct mip m = knapsack(seed);
        double best = brute(&m), start[MOST_COLUMNS];
        struct solver_options o = exact;
        o.start = start;
        for (int j = 0; j < m.ncolumns; j++) /* often impossible, sometimes not even a number */
            start[j] = seed % 7 == 0 ? (double)NAN : dice(-1, 5);
        struct solver_result r = solved(&m, &o);
        cr_assert(isinf(best) ? r.state == SOLVER_INFEASIBLE : near(r.value, best, 1e-6),
                  "seed %u: %g, best %g", seed, r.value, best);
        if (!isinf(best)) { /* the optimum itself as the start */
            memcpy(start, r.x, (size_t)m.ncolumns * sizeof *start);
            r = solved(&m, &o);
            cr_assert(near(r.value, best, 1e-6) && r.state == SOLVER_OPTIMAL, "seed %u", seed);
        }
        arena_free(m.arena);
    }
}

Test(solver, the_same_twice)
{
    struct mip m = market_split(20, 2);
    struct solver_result a = solved(&m, &exact), b = solved(&m, &exact);
    cr_assert(a.state == SOLVER_OPTIMAL && a.nodes == b.nodes && a.nodes > 10, "%ld nodes",
              a.nodes);
    cr_assert(memcmp(a.x, b.x, (size_t)m.ncolumns * sizeof *a.x) == 0);
    cr_assert(a.value == b.value && a.bound == b.bound);
    arena_free(m.arena);
}

/* ---- GLPK's aborts ------------------------------------------------------------------------- */

Test(solver, survives_aborts)
{
    struct mip m = hazell();
    for (int i = 0; i < 3; i++) {
        const char *failure = NULL;
        cr_assert(solver_selftest_abort(&m, &failure) == HR_BUG, "time %d", i);
        cr_assert(failure && strstr(failure, "out of range") != NULL, "time %d: %s", i, failure);
        struct solver_result r = solved(&m, &exact);
        cr_assert(r.state == SOLVER_OPTIMAL && near(r.x[2], 100, 0.06), "time %d", i);
    }
    arena_free(m.arena);
}

static bool call_again(void *data, double seconds, double value, double bound)
{
    (void)seconds, (void)value, (void)bound;
    const struct mip *m = data;
    struct solver_result r;
    const char *failure = "";
    cr_assert(solver_run(m, &exact, &r, &failure) == HR_BUG);
    cr_assert(strstr(failure, "inside") != NULL, "%s", failure);
    return true;
}

/* The presolver of a search near the optimum leaves one row and no column of this, and GLPK 5.0's
 * cover cuts abort then; the whole search goes on without. */
Test(solver, survives_cuts_of_nothing)
{
    static const double upper[] = {13, 3, 2, 13}, hours[] = {0.216580530323819, 3.75262892569935,
                                                             1.86385097683398, 0.216580530323819};
    struct mip m = fresh();
    for (int j = 0; j < 4; j++)
        mip_column(&m, MIP_INTEGER, 0, upper[j], 0, "x%d", j);
    for (int j = 0; j < 60; j++) /* smaller programs are searched whole at once */
        mip_column(&m, MIP_INTEGER, 0, 0, 0, "none%d", j);
    int hills = mip_row(&m, 3, none, "hills"), most = mip_row(&m, -none, 5.62, "hours");
    mip_add(&m, hills, 2, 1);
    mip_add(&m, hills, 1, 2);
    for (int j = 0; j < 4; j++)
        mip_add(&m, most, j, hours[j]);
    CALL(mip_finish(&m));
    struct solver_result r = solved(&m, &exact);
    cr_assert(r.state == SOLVER_OPTIMAL && r.x, "state %d", (int)r.state);
    arena_free(m.arena);
}

Test(solver, is_not_called_from_inside_itself)
{
    struct mip m = market_split(40, 5);
    struct solver_options o = {.seconds = 20, .gap = 0, .progress = call_again, .data = &m};
    solved(&m, &o);
    arena_free(m.arena);
}

Test(solver, short_of_memory)
{
    for (size_t cap = 1 << 10; cap < (size_t)1 << 16; cap += cap / 16) {
        struct arena *arena = arena_new(cap);
        struct mip m;
        mip_init(&m, arena);
        for (int j = 0; j < 50; j++)
            mip_column(&m, MIP_INTEGER, 0, 3, j, "x%d", j);
        int row = mip_row(&m, -none, 40, "r");
        for (int j = 0; j < 50; j++)
            mip_add(&m, row, j, 1 + j % 5);
        struct solver_result r;
        hr_status status = mip_finish(&m);
        if (status == HR_OK)
            status = solver_run(&m, &exact, &r, NULL);
        cr_assert(status == HR_OK || status == HR_NOMEM || m.failed, "cap %zu: %d", cap,
                  (int)status);
        arena_free(arena);
    }
}

/* ---- LP text, read by others --------------------------------------------------------------- */

static void write_lp(const struct mip *m, char *path)
{
    struct strbuf b;
    strbuf_init(&b, m->arena);
    mip_write_lp(m, &b);
    int fd = mkstemps(path, 3);
    cr_assert(fd >= 0 && write(fd, b.p, b.n) == (ssize_t)b.n);
    close(fd);
}

/* The optimum as GLPK's own reader and search see it; -INFINITY: infeasible. */
static double by_glpk(const char *path)
{
    glp_term_out(GLP_OFF);
    glp_prob *lp = glp_create_prob();
    cr_assert(glp_read_lp(lp, NULL, path) == 0, "GLPK cannot read %s", path);
    glp_iocp o;
    glp_init_iocp(&o);
    o.presolve = GLP_ON;
    int rc = glp_intopt(lp, &o);
    double value = rc == 0 && glp_mip_status(lp) == GLP_OPT ? glp_mip_obj_val(lp) : -none;
    glp_delete_prob(lp);
    return value;
}

/* The same by Cbc, another house's program; *there: it is installed. */
static double by_cbc(const char *path, bool *there)
{
    char command[300], line[200] = "", solution[] = "/tmp/hillrow-cbc-XXXXXX";
    close(mkstemp(solution));
    snprintf(command, sizeof command, "cbc %s -solve -solu %s >/dev/null 2>&1", path, solution);
    *there = system("command -v cbc >/dev/null 2>&1") == 0 && system(command) == 0;
    double value = -none;
    FILE *f = fopen(solution, "r");
    if (f && fgets(line, sizeof line, f) && strncmp(line, "Optimal", 7) == 0)
        value = strtod(strstr(line, "value") + 5, NULL);
    if (f)
        fclose(f);
    unlink(solution);
    return value;
}

Test(solver, lp_text_read_by_others)
{
    int by_others = 0;
    for (unsigned seed = 1; seed <= 40; seed++) {
        struct mip m = seed == 1 ? hazell() : knapsack(seed);
        char path[] = "/tmp/hillrow-lp-XXXXXX.lp";
        double here = solved(&m, &exact).value;
        write_lp(&m, path);
        double there = by_glpk(path);
        cr_assert(here == there || near(here, there, 1e-6 * (1 + fabs(here))),
                  "seed %u: %g, GLPK reads %g", seed, here, there);
        if (seed % 4 == 1) {
            bool installed;
            double third = fabs(by_cbc(path, &installed)); /* its sign follows no rule */
            by_others += installed;
            cr_assert(!installed || third == fabs(here) ||
                          near(fabs(here), third, 1e-5 * (1 + fabs(here))),
                      "seed %u: %g, Cbc %g", seed, here, third);
        }
        unlink(path);
        arena_free(m.arena);
    }
    if (by_others == 0)
        cr_log_info("cbc is not installed: LP text was read by GLPK alone");
}

Test(solver, version)
{
    cr_assert(strncmp(solver_version(), "GLPK ", 5) == 0, "%s", solver_version());
}

/* ---- cutting off --------------------------------------------------------------------------- */

struct seen {
    int n, most;
    unsigned at[64];
};

/* Cuts off each point whose three binaries are whole, but no more of them than `most`. */
static bool cut_point(void *data, const double *x, double bound, struct solver_row *row)
{
    struct seen *seen = data;
    unsigned point = 0;
    cr_assert(bound > 5 - 1e-6, "the row on the objective cuts off all that is less: %g", bound);
    for (int j = 0; j < 3; j++) {
        if (fabs(x[j] - round(x[j])) > 1e-6)
            return false;
        point |= x[j] > 0.5 ? 1U << j : 0;
    }
    if (seen->n == seen->most)
        return false;
    seen->at[seen->n++] = point;
    row->n = 3;
    row->lower = 1;
    for (int j = 0; j < 3; j++) {
        row->columns[j] = j;
        row->values[j] = x[j] > 0.5 ? -1 : 1;
        row->lower -= x[j] > 0.5;
    }
    return true;
}

/* Of the points of 3a + 4b + 5c those of at least 5 are c alone, two of them, and all. Each is
 * shown; with all cut off nothing is left. */
Test(solver, all_that_is_worth_it_is_shown_and_cut_off)
{
    static const double worth[4] = {3, 4, 5, 0.001};
    for (int most = 8; most >= 0; most -= 8) {
        struct mip m = fresh();
        for (int j = 0; j < 3; j++)
            mip_column(&m, MIP_BINARY, 0, 1, worth[j], "x%d", j);
        mip_column(&m, MIP_INTEGER, 0, 3, worth[3], "z");
        int row = mip_row(&m, 5, none, "enough");
        for (int j = 0; j < 3; j++)
            mip_add(&m, row, j, worth[j]);
        cr_assert(mip_finish(&m) == HR_OK);
        struct seen seen = {.most = most};
        struct solver_options o = {.seconds = 60, .cut = cut_point, .data = &seen};
        struct solver_result r = solved(&m, &o);
        unsigned found = 0;
        for (int k = 0; k < seen.n; k++)
            found |= 1U << seen.at[k];
        if (most == 0)
            cr_assert(near(r.value, 12.003, 1e-9) && near(r.bound, r.value, 1e-6), "%g", r.bound);
        else
            cr_assert(r.state == SOLVER_INFEASIBLE && found == 0xf8, "seen: %x", found);
        arena_free(m.arena);
    }
}
