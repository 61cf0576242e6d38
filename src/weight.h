/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef WEIGHT_H
#define WEIGHT_H
/* What a food counts for in the goal: favourites more. The plan is the best by the weighed foods;
 * what people are told is the food itself. */
#include "planting.h"

/* Weight of part k's food in a zone; 1: it counts for what it gives. */
double weight_of(const struct garden *g, const struct zone *zone, const struct planting *p, int k);
/* Whether foods of this garden may have other weights than 1. */
bool weight_any(const struct garden *g);

#endif
