/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FILLING_LIGHT_H
#define FILLING_LIGHT_H
/* What a filling loses at least because its blocks shade each other, in whatever order they stand.
 */
#include "mutual.h"
#include "program.h"

#define FILLING_LIGHT_BLOCKS 6  /* of more nothing is said */
#define FILLING_LIGHT_SUMS   12 /* totals that are told apart */

/* Of one zone. */
struct filling_light {
    const struct program *m;
    struct mutual *mutual;
    int nsums;
    const double *fall[FILLING_LIGHT_SUMS]; /* per sum: what one of each column of the program gives
                                               less of it in no light than in that of the site */
    double price[FILLING_LIGHT_SUMS];
};

/* Blocks of whole lines, and the parts of a shared line, depth_m across. */
struct filling_stands {
    int nblocks, nparts;
    const int *items, *lines;
    const int *part_items, *stations;
    double depth_m;
};

/* losses: of each sum, the least by itself over all orders, none of which loses less than that.
 * false: all orders together, at the prices, lose more than `most`; losses is not set. */
bool filling_light_losses(const struct filling_light *light, const struct filling_stands *stands,
                          double most, double *losses);
/* In the order that loses least at the prices: what is lost of each row, given what one of each
 * column gives less of it in no light. */
void filling_light_at_best(const struct filling_light *light, const struct filling_stands *stands,
                           int nrows, const double *const *fall, double *losses);

#endif
