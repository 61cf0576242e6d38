/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef WORK_H
#define WORK_H
/* The hours of a plan, job by job and day by day: typical times, which sum to plan->hours. */
#include "labour.h"
#include "plan.h"

struct work {
    double hours;
    int from, to; /* days, the last one too; spread evenly over them */
};

/* Of part k of block b; see labour_of. */
struct work work_of(const struct plan *plan, int b, int k, enum work_kind kind);

/* First and last day of anything planted, of what stands already its harvest; false: nothing is. */
bool work_season(const struct plan *plan, int *from, int *to);
/* Adds the hours of weeks of 7 days from day `from` on to hours[week * WORK_COUNT + kind]; n
 * weeks. */
void work_weeks(const struct plan *plan, int from, int n, double *hours);
/* The week, of those that `limits: hours a week` counts, that asks for the most. */
struct work_week {
    int from; /* its first day */
    double hours;
};
struct work_week work_fullest(const struct plan *plan);

#endif
