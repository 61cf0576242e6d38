/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SEED_KEPT_H
#define SEED_KEPT_H
/* What of a plan's harvest is kept for seed, and what is then left to eat. */
#include "plan.h"

/* Seed for as many plants again, and a half more for what fails (common practice). */
#define SEED_KEPT_AGAIN 1.5

/* Fills kept_kg and kept_plants of the crops whose seed is saved, and plan->eaten; typical: the
 * food of the whole harvest. HR_NOMEM. */
HR_CHECKED hr_status seed_kept_find(struct plan *plan, const struct food *typical);

#endif
