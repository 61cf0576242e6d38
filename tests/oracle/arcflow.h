/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ORACLE_ARCFLOW_H
#define ORACLE_ARCFLOW_H
/* A second opinion on how a garden is best filled: the position-indexed program. For each zone one
 * path across the rows is its sequence of blocks, one path along them the parts of its shared line;
 * each line, each sowing spot of a shared line is an arc from one place to the next. Of the
 * optimiser it takes zones, plantings and what a line of an item gives; counting lines, odd and
 * even ones, shared lines, and every row of the gardener's terms are written here anew. */
#include "axis.h"
#include "plan.h"

struct arcflow_zone {
    struct axis across, along;
    int first_across, first_along; /* column of arc 0 */
    double *widths;                /* that a shared line may have, ascending */
    int nwidths;
};

struct arcflow {
    const struct garden *garden;
    const struct zones *zones;
    const struct menu *menu;
    struct arena *arena;
    struct arcflow_zone *of; /* per zone */
    int ncolumns;            /* named x0, x1, ...; x0 is the goal in rations */
    int *direction;          /* per ground: column, -1 without a choice */
};

/* false: no memory, too large to be written out, or the garden asks for what it has no rows for.
 * Free with arcflow_free. */
bool arcflow_make(const struct garden *garden, const struct zones *zones, const struct menu *menu,
                  struct arena *arena, struct arcflow *out);
void arcflow_free(struct arcflow *a);
/* As a CPLEX LP file, to be maximised. false: cannot be written. */
bool arcflow_write(const struct arcflow *a, const char *path);
/* The worth of a solution in the unit of the goal. */
double arcflow_value(const struct arcflow *a, const double *x);
/* Blocks of a solution where its paths put them, each in its zone's light: a plan to be placed and
 * verified. false: the solution is no set of paths, or no memory. */
bool arcflow_blocks(const struct arcflow *a, const double *x, struct plan *plan);

#endif
