/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SOLVER_H
#define SOLVER_H
/* Solves a struct mip with GLPK (only here), surviving its aborts. */
#include "mip.h"

enum solver_state {
    SOLVER_OPTIMAL,  /* proved within the gap asked for */
    SOLVER_FEASIBLE, /* a solution, stopped by a limit or by the caller */
    SOLVER_INFEASIBLE,
    SOLVER_UNBOUNDED,
    SOLVER_NONE /* stopped before any solution was found */
};

/* A row that the search is to keep from a point on: the sum is no less than `lower`. */
struct solver_row {
    int n;
    int *columns;
    double *values; /* room for all columns of the mip */
    double lower;
};

struct solver_options {
    double seconds; /* wall time limit, > 0 */
    double gap;     /* relative, stop when within */
    long nodes;     /* search at most so many, 0: no limit; unlike the time, it cuts in at the same
                       place     each time */
    const double *bound; /* no solution is better, as is known from elsewhere, or NULL */
    const double *start; /* a feasible solution to begin with, or NULL */
    bool relaxed;        /* the linear relaxation only; x is then not whole, start not looked at */
    /* Shown the relaxed solution of each part of the search and its objective; true: *row is one
     * that it breaks, and holds from there on. No solution is looked for then: a caller that cuts
     * off all it has seen is told a bound of the rest, -INFINITY (SOLVER_INFEASIBLE) when there is
     * none. NULL: nothing is cut off. */
    bool (*cut)(void *data, const double *x, double bound, struct solver_row *row);
    /* At most a few times a second; value is -INFINITY before there is a solution. true: stop */
    bool (*progress)(void *data, double seconds, double value, double bound);
    void *data;
    /* Each solution that is better than those before, as the search zone by zone comes upon it;
     * NULL is fine. */
    void (*met)(void *met_data, const double *x);
    void *met_data;
};

struct solver_result {
    enum solver_state state;
    double *x;    /* ncolumns, in the mip's arena; NULL without a solution */
    double value; /* objective of x */
    double bound; /* proved: no solution is better; never under value */
    double
        *prices; /* nrows, of the relaxation only: what one more unit on the row's side is worth */
    double seconds;
    long nodes;
};

/* HR_OK whenever GLPK gave an answer, whatever its state; HR_BUG when GLPK aborted or the program
 * is malformed (reason in *failure when not NULL); HR_NOMEM. The mip must be finished. The same
 * program gives the same x unless a time limit cuts in. */
HR_CHECKED hr_status solver_run(const struct mip *mip, const struct solver_options *options,
                                struct solver_result *out, const char **failure);
/* For the tests: provokes an abort inside GLPK (an entry in a row that is not there). HR_BUG and
 * the reason when it was survived. */
HR_CHECKED hr_status solver_selftest_abort(const struct mip *mip, const char **failure);
/* "GLPK 5.0" */
const char *solver_version(void);

#endif
