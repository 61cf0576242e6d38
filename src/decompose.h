/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DECOMPOSE_H
#define DECOMPOSE_H
/* Large programs zone by zone: column generation after Dantzig and Wolfe (1960). A master program
 * chooses among whole fillings of the zones; its prices say which fillings it lacks, and bound what
 * any plan can be worth. docs/optimiser.md has the algebra. */
#include "program.h"
#include "solver.h"

/* For a bound that knows of the shade that crops cast on each other in their zone. */
struct decompose_light {
    const struct program *dim; /* m in less light, see dim.h, with the same rows and columns */
    /* The value of column T that a solution has as arranged; -HUGE_VAL: it keeps not all terms. */
    double (*arranged)(void *data, const double *x);
    void *data;
    double ties;  /* what tie-breaks can come to at most: a bound of T lies so far above one of the
                     objective */
    double gap;   /* asked for, between the value and a bound of T: */
    double value; /* objective of the best solution as arranged, -HUGE_VAL: none yet */
    double bound; /* no solution that keeps all terms in full light has more when arranged */
};

/* As solver_run of m->mip, but stops when no more is to be gained this way: *out has the best
 * solution met (x NULL: none), in the mip's arena, and a bound that holds. SOLVER_INFEASIBLE only
 * when that is proved; SOLVER_OPTIMAL, too, without x, when the bound is near enough to the lower
 * bound of column T. m must be built by program_build, and its menu have no turns. light: NULL, or
 * its value and bound are brought nearer to each other, in few zones: then solutions are looked for
 * that are best as arranged. */
HR_CHECKED hr_status decompose_run(const struct program *m, const struct solver_options *options,
                                   struct decompose_light *light, struct solver_result *out,
                                   const char **failure);

#endif
