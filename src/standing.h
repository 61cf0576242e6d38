/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STANDING_H
#define STANDING_H
/* What stands already: blocks on ground of their own, which the program does not plant, but whose
 * harvest, shade and pollen it reckons with. */
#include "arrange.h"

/* Fills menu->standing, with its weights, in the light of the site: rows spread evenly over the
 * block's ground at about the distances given. HR_NOMEM. */
HR_CHECKED hr_status standing_blocks(const struct garden *garden, const struct zones *zones,
                                     struct arena *arena, struct menu *menu);
/* Copies of those of `menu` into `out`, of weight 1. HR_NOMEM. */
HR_CHECKED hr_status standing_unweighed(const struct menu *menu, struct arena *arena,
                                        struct menu *out);
/* Of a plan's blocks those that stand and that no second crop follows are there all season.
 * HR_NOMEM.
 */
HR_CHECKED hr_status standing_settle(struct block *blocks, int n, struct arena *arena);
/* Whether the block is one of these. */
static inline bool block_standing(const struct block *block)
{
    return planting_standing(block->planting);
}
int standing_plants(const struct block *block);
/* Typical kg at the block's light. */
double standing_kg(const struct block *block);

/* What all of them together bring, or take; crop: of that crop alone, NULL: of any. */
struct food standing_food(const struct menu *menu);
struct food standing_goal(const struct menu *menu);                /* each food times its weight */
double standing_energy(const struct menu *menu, const char *crop); /* kcal */
double standing_area(const struct menu *menu, const char *crop);   /* m2 */
double standing_hours(const struct menu *menu);
/* Of the days from `from` to `to`, the last one too. */
double standing_hours_between(const struct menu *menu, int from, int to);
/* What they add to the quantity a wish speaks of: kg (full: in the light of the site), plants, m2,
 * or kcal for a share of energy. */
double standing_wish(const struct menu *menu, const struct zones *zones, const struct wish *wish,
                     enum unit_kind kind, bool full);
/* Whether a variety stands in the plot. */
bool standing_in(const struct menu *menu, const struct zones *zones, int seed_index, size_t plot);

#endif
