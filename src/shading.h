/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHADING_H
#define SHADING_H
/* What stands in a zone takes of each other's light at least, in whatever order it stands. */
#include "menu.h"

#define SHADING_STANDS_MAX 9 /* more in one zone: nothing is said */
#define SHADING_WAYS_MAX   64

/* An item that stands in a zone: so many lines of it at least and at most, or stations in the
 * shared line. */
struct shading_stand {
    int item;
    bool shared;
    int least, most;
};

/* Light lost by each stand, of the site's, times its lines: what shade takes of so many lines'
 * food. */
struct shading_way {
    double lines[SHADING_STANDS_MAX];
};

/* For each order in which the stands can stand side by side in their zone, and any of their numbers
 * of lines, one of the ways is nowhere above what they lose. Parts of a shared line stand in the
 * order they are given. Blocks are held to stand beside the next two on either side alone, each as
 * narrow as it may be: more canopies only take more. *n from 1 to SHADING_WAYS_MAX. HR_NOMEM. */
HR_CHECKED hr_status shading_ways(const struct garden *garden, const struct zone *zone,
                                  const struct menu *menu, const struct shading_stand *stands,
                                  int nstands, struct arena *arena, struct shading_way *ways,
                                  int *n);
/* As many lines' worth each of them loses at most when no others stand in the plot. */
void shading_most_of(const struct garden *garden, const struct zone *zone, const struct menu *menu,
                     const struct shading_stand *stands, int nstands, double *lines);
/* The share lost by one line of a planting at most: all around it stands what is highest and
 * densest on the menu, whenever anything stands. */
double shading_most(const struct garden *garden, const struct zone *zone, const struct menu *menu,
                    const struct planting *p);

#endif
