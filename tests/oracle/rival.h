/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ORACLE_RIVAL_H
#define ORACLE_RIVAL_H
/* Solvers put to an LP file as anybody would use them: GLPK's reader and search, and Cbc's program.
 * Each runs in a process of its own, so that its time and memory can be told. */
#include <stdbool.h>

enum rival { RIVAL_GLPK, RIVAL_CBC, RIVAL_COUNT };
extern const char *const rival_names[RIVAL_COUNT];

struct rival_result {
    bool there;      /* the solver is installed and ran */
    bool found;      /* x is a solution */
    bool proved;     /* within the gap asked for */
    bool infeasible; /* proved */
    double wall_s, cpu_s;
    double memory_mb;
};

/* For at most so many seconds of the processor. x: ncolumns values, of columns named x0, x1, ...;
 * NaN-free and left at 0 where the solver names none. */
void rival_run(enum rival rival, const char *lp_path, double seconds, double gap, double *x,
               int ncolumns, struct rival_result *out);

#endif
