/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ISOLATION_H
#define ISOLATION_H
/* Which varieties would cross with one whose seed is to be saved. */
#include "menu.h"

/* When a variety of the menu flowers, in any of its plantings; from > to: it is not on the menu.
 * Seed heads: from half of the days to harvest on. Others: from two fifths. What is picked dry is
 * done at four fifths, sweet corn at its harvest; what is picked fresh again and again flowers
 * until the first frost. (Estimates, on the side of care.) */
struct flowering {
    int from, to;
};
struct flowering isolation_flowering(const struct menu *menu, int seed_index);
/* Whether seed saved of variety a crosses with b, both in flower within its isolation distance:
 * same cross group, another variety, neither time nor hand pollination keeps them apart. */
bool isolation_crosses(const struct garden *garden, const struct menu *menu, int a, int b);
/* Nearest that ground of two plots lies, m: 0 for one plot, and where their places are not told or
 * memory is short. */
double isolation_distance(const struct garden *garden, size_t plot, size_t other,
                          struct arena *arena);
/* What stands already and keeps variety a off every plot: the one that does so on the first of
 * them. NULL: nothing does. */
const struct seed *isolation_barred(const struct garden *garden, const struct zones *zones,
                                    const struct menu *menu, int a, struct arena *arena);

#endif
