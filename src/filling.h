/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FILLING_H
#define FILLING_H
/* The best filling of one zone when every column of the program has a given worth: which blocks
 * side by side across it, and which parts in its shared line. A knapsack over the zone's depth. */
#include "program.h"

/* Values of the zone's columns, those that are not 0. */
struct filling {
    int n;
    int *columns; /* rising */
    double *x;
};

struct filler;

/* For the zones of m, whose program must be built. NULL: no memory. */
struct filler *filler_new(const struct program *m, struct arena *arena);
/* The best filling of zone z by the worth of the program's columns, depths rounded up to a grid so
 * that it fits; *value what it is worth, 0 for an empty one. HR_NOMEM. */
HR_CHECKED hr_status filling_best(struct filler *filler, size_t z, const double *worth,
                                  struct arena *arena, struct filling *out, double *value);
/* No filling of zone z is worth more: depths rounded down. Where that leaves much in doubt, the
 * zone has a finer grid from now on. */
double filling_bound(struct filler *filler, size_t z, const double *worth);

#endif
