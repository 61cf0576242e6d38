/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RANGE_H
#define RANGE_H
/* Monte Carlo over every uncertain figure, with common random numbers: 80 % intervals. */
#include "plan.h"

#define RANGE_DRAWS 2000
#define RANGE_SEED  20270501u

/* Fills the spans of plan and of plan->crops. The same plan gives the same spans. */
HR_CHECKED hr_status range_plan(struct plan *plan, int draws, unsigned long seed);

#endif
