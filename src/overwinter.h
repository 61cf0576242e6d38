/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OVERWINTER_H
#define OVERWINTER_H
/* Biennials whose seed is to be saved: it comes in their second year, so some of the plants stay.
 */
#include "plan.h"

/* The plants of one block that are kept for seed: whole lines, from its first on. */
struct overwinter {
    int block, part, lines;
    int plants; /* of those lines that are kept */
    bool stays; /* where it is; else lifted, stored and set again */
};

/* For a variety whose seed is saved and comes in its second year: what is kept of the blocks in
 * which it stands, first those that no other crop follows this year, then those with most of its
 * plants, until it makes up its sound stand (crop->seed_stand.typ) or there is no more.
 * *n 0: nothing of the kind. HR_NOMEM. */
HR_CHECKED hr_status overwinter_of(const struct plan *plan, const struct seed *seed,
                                   struct arena *arena, struct overwinter **out, int *n);
/* "rows 3.1 to 3.2". NULL: out of memory. */
const char *overwinter_rows(struct arena *arena, const struct overwinter *o);
/* The ground of its lines, in the plot's frame. */
struct rect overwinter_ground(const struct plan *plan, const struct overwinter *o);

#endif
