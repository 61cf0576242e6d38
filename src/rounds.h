/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ROUNDS_H
#define ROUNDS_H
/* The light loop: allocate, arrange, feed the light back, again, until a round gains nothing. */
#include "arrange.h"

struct rounds_options {
    double seconds, gap;
    bool (*progress)(void *data, double seconds, double value, double bound);
    void *data;
};

struct rounds {
    struct block *blocks; /* of the best round that keeps the gardener's terms */
    int n;
    double value; /* of the goal, weighed, typical figures */
    double bound; /* of the first round, which saw the site's light alone, or one that knows of
                     shade: holds for every arrangement */
    bool proved;  /* it is within the gap asked for, of the plan or of the first round's program */
    int rounds;
};

/* Changes the light and with it the worth of the menu's items. HR_OK whether proved or not,
 * HR_LIMIT (nothing found in the time), HR_INFEASIBLE (diags name the colliding terms, or those
 * that shade breaks), HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status rounds_run(const struct garden *garden, const struct zones *zones,
                                struct menu *menu, const struct rounds_options *options,
                                struct arena *arena, struct diags *diags, struct rounds *out);

#endif
