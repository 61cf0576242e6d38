/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ANNEAL_H
#define ANNEAL_H
/* Plans by simulated annealing (Kirkpatrick, Gelatt and Vecchi 1983): lines and stations are
 * exchanged at random, at first even where that costs, later only where it gains. Finds plans where
 * wishes leave whole fillings of zones little room; proves nothing. */
#include "program.h"

/* Heats that did well: without a plan to begin with, and with one. */
#define ANNEAL_HOT  0.03
#define ANNEAL_WARM 0.01

struct anneal_options {
    const double *prices; /* per row of the program, of a relaxation or near it */
    const double *start;  /* a solution to begin with, NULL: fillings that are best at the prices */
    double reference;     /* about what the goal comes to, in units of column T; > 0 */
    long steps;           /* exchanges tried */
    double heat; /* of the beginning, as a share of the goal: how much an exchange may cost */
    unsigned long seed;        /* not 0; the same seed gives the same plan */
    bool (*go_on)(void *data); /* asked now and then; false ends the search */
    void *data;
};

/* Sets x (per column of m->mip, T as large as it may be) to the best solution met and *found.
 * Scratch from arena. HR_NOMEM. */
HR_CHECKED hr_status anneal(const struct program *m, const struct anneal_options *options,
                            struct arena *arena, double *x, bool *found);

#endif
