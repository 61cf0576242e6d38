/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef RANGE_H
#define RANGE_H
/* Monte Carlo over every uncertain figure, with common random numbers: 80 % intervals. */
#include "plan.h"

#define RANGE_DRAWS 2000
#define RANGE_SEED  20270501u

/* Fills the spans of plan and of plan->crops. The same plan gives the same spans. */
HR_CHECKED hr_status range_plan(struct plan *plan, int draws, unsigned long seed);

/* ---- one season, for those who hold plans against each other ------------------------------- */

/* One value for every uncertain figure of a crop. */
struct range_crop {
    struct stand_figures figures;
    struct part_hours hours;
    struct food_rate rate;
};

/* One value for every uncertain figure there is: typical, or one draw. */
struct range_season {
    struct stand_mixture mixture;
    struct range_crop *crops; /* per seed in the garden */
};

/* All typical. HR_NOMEM. */
HR_CHECKED hr_status range_typical(const struct garden *garden, struct arena *arena,
                                   struct range_season *out);

/* Seasons of a garden one after the other. Each crop draws from a stream of its own, named by the
 * crop: which other crops there are changes nothing of its luck. */
struct range_draws;
/* wanted: per seed in the garden, which to draw for; NULL: all. NULL: no memory. Free it. */
struct range_draws *range_draws_new(const struct garden *garden, const bool *wanted,
                                    unsigned long seed, struct arena *arena);
void range_draws_free(struct range_draws *draws); /* NULL is fine */
/* The next season; it is good until the one after. */
const struct range_season *range_draws_next(struct range_draws *draws);

/* What stands in a plan: counted once, harvested in many seasons. */
struct range_stand {
    const struct plan *plan;
    int (*plants)[STAND_PARTS_MAX]; /* per block */
    int *stations;                  /* per block */
};
HR_CHECKED hr_status range_stand_count(const struct plan *plan, struct arena *arena,
                                       struct range_stand *out);
/* The plan's harvest of one season into kg (per seed in the garden), its food, its hours. */
void range_harvest(const struct range_stand *stand, const struct range_season *season, double *kg,
                   struct food *food, double *hours);

#endif
