/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef WEIGHT_H
#define WEIGHT_H
/* What a food counts for in the goal: favourites more, families on ground that they stood on before
 * less. The plan is the best by the weighed foods; what people are told is the food itself. */
#include "planting.h"

/* Weight of part k's food in a zone by the wishes; 1: it counts for what it gives. */
double weight_wished(const struct garden *g, const struct zone *zone, const struct planting *p,
                     int k);
/* The same, less what ground of its family costs it. */
double weight_of(const struct garden *g, const struct zone *zone, const struct planting *p, int k);
/* Whether foods of this garden may have other weights than 1. */
bool weight_any(const struct garden *g);

#endif
