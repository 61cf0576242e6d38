/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef POLISH_H
#define POLISH_H
/* Part of a program anew: some zones, and of their items those worth a look, the rest as it is in a
 * solution known. */
#include "program.h"
#include "solver.h"

/* Searches m->mip for better than x (per column, feasible; NULL: nothing known, and what is not
 * free is 0) among solutions that differ from it only in the zones marked free (one flag a zone)
 * and, there, in items marked (one flag an item). *out as of solver_run, but for out->bound, which
 * is of these solutions alone; out->x is of m->mip, in `arena`, NULL when nothing better was found.
 */
HR_CHECKED hr_status polish_zones(const struct program *m, const double *x, const bool *free_zones,
                                  const bool *items, const struct solver_options *options,
                                  struct arena *arena, struct solver_result *out,
                                  const char **failure);

#endif
