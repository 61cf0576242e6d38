/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOIN_GUESS_H
#define JOIN_GUESS_H
/* Good choices of a filling for each zone, without a proof: soon found. */
#include "join.h"

#define GUESS_ROWS_MAX 48

struct guess_zone {
    int n;             /* fillings */
    const double *gap; /* per filling */
    int zone;
    /* Sets used[nrows] to what filling k uses of the rows; returns its gap. */
    double (*use)(void *data, const struct guess_zone *zone, int k, double *used);
};

/* As join_problem; rows without a price are only not to be broken. */
struct guess_problem {
    int nzones, nrows;
    const struct join_row *rows;
    const double *margin; /* per row: kept by so much of its side, or of what it may come to */
    struct guess_zone *zones;
    double scale; /* of losses: such a difference is a large one */
    int kicks;    /* how often to begin anew near the best choice: a millisecond each */
    /* A choice that breaks no row, and what it loses; true: end. */
    bool (*accept)(void *data, const int *chosen, double loss);
    bool (*go_on)(void *data); /* asked now and then; false ends it */
    void *data;
};

/* Shows p->accept the best choices met, the best first, at most `most` of them. The same choices
 * for the same problem. HR_NOMEM. */
HR_CHECKED hr_status join_guess(const struct guess_problem *p, int most, struct arena *arena);

#endif
