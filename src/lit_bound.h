/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LIT_BOUND_H
#define LIT_BOUND_H
/* A bound of what plans give that knows of the shade their blocks cast on one another. */
#include "allocate.h"

struct lit_bound_options {
    double seconds; /* wall time, at most */
    double value;   /* of the goal, as are the others: of the plan there is */
    double above;   /* only plans that give more are looked for */
    double bound;   /* of the program in the light of the site alone */
    bool (*progress)(void *data, double seconds, double value, double bound);
    void *data;
    /* Shown what may be a better plan, blocks and parts by zone and item. HR_NOMEM ends the search.
     * NULL: none is asked for. */
    hr_status (*offer)(void *offered, const struct choice_lines *chosen, int n, double *value);
    void *offered;
};

/* No plan of the menu, as it was made, gives more than *bound, each block in the light that the
 * others leave it; not more than options->bound, nor less than options->above. For few zones: where
 * there are more, or second crops, *bound is options->bound. HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status lit_bound(const struct garden *garden, const struct zones *zones,
                               const struct menu *menu, const struct lit_bound_options *options,
                               double *bound);

#endif
