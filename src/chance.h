/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CHANCE_H
#define CHANCE_H
/* How often one plan beats another in the same seasons, and which uncertain figure decides it. */
#include "plan.h"

/* What one uncertain figure, all others typical, does to the lead of one plan over another. */
struct swing {
    const char *figure;
    double low, high; /* the lead when the figure is low, high */
    bool flips;       /* the other plan leads at one of them */
};

#define CHANCE_SWINGS 3 /* the widest are kept */

struct chance_pair {
    int a, b;         /* indices of the plans, a < b */
    double wins;      /* share of seasons in which a gives more; a draw counts half */
    bool same;        /* they give the same in every season */
    struct span lead; /* of a over b, in the goal */
    struct swing swings[CHANCE_SWINGS];
    int nswings;
};

/* Beyond this share a lead is called sure: the 80 % range of the lead then leaves out 0. */
#define CHANCE_SURE 0.9

/* Every pair of n plans of one garden, by a then b. garden: whose goal and ration count. HR_NOMEM.
 */
HR_CHECKED hr_status chance_compare(const struct garden *garden, const struct plan *const *plans,
                                    int n, int draws, unsigned long seed, struct arena *arena,
                                    struct chance_pair **out, int *npairs);
/* The pair of a and b as seen from a: share of seasons a wins. 0.5 for a == b. */
double chance_wins(const struct chance_pair *pairs, int n, int a, int b);
const struct chance_pair *chance_pair_of(const struct chance_pair *pairs, int n, int a, int b);

#endif
