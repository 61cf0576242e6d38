/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DECOMPOSE_H
#define DECOMPOSE_H
/* Large programs zone by zone: column generation after Dantzig and Wolfe (1960). A master program
 * chooses among whole fillings of the zones; its prices say which fillings it lacks, and bound what
 * any plan can be worth. docs/optimiser.md has the algebra. */
#include "program.h"
#include "solver.h"

/* As solver_run of m->mip, but stops when no more is to be gained this way: *out has the best
 * solution met (x NULL: none), in the mip's arena, and a bound that holds. SOLVER_INFEASIBLE only
 * when that is proved; SOLVER_OPTIMAL, too, without x, when the bound is near enough to the lower
 * bound of column T. m must be built by program_build, and its menu have no turns. */
HR_CHECKED hr_status decompose_run(const struct program *m, const struct solver_options *options,
                                   struct solver_result *out, const char **failure);

#endif
