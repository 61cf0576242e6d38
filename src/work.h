/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef WORK_H
#define WORK_H
/* The hours of a plan, job by job and day by day: typical times, which sum to plan->hours. */
#include "plan.h"

enum work_kind { WORK_BUILD, WORK_SOW, WORK_WEED, WORK_HARVEST, WORK_COUNT };
extern const char *const work_names[WORK_COUNT]; /* for people */

struct work {
    double hours;
    int from, to; /* days, the last one too; spread evenly over them */
};

/* Of part k of block b. Hills and weeding are the whole block's: with part 0, nothing with the
 * others. Weeding: from the first seedlings until a cover crop closes the ground, else until the
 * first harvest. */
struct work work_of(const struct plan *plan, int b, int k, enum work_kind kind);

/* First and last day of anything planted; false: nothing is. */
bool work_season(const struct plan *plan, int *from, int *to);
/* Adds the hours of weeks of 7 days from day `from` on to hours[week * WORK_COUNT + kind]; n
 * weeks. */
void work_weeks(const struct plan *plan, int from, int n, double *hours);

#define WORK_BUILD_BEFORE_D 7  /* the sowing: hills are built in the week before it */
#define WORK_WEED_AFTER_D   10 /* sowing: weeds are in their first leaves (common practice) */
#define WORK_CLOSED_AFTER_D 35 /* sowing: vines have closed the ground (common practice) */

#endif
