/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TURNS_H
#define TURNS_H
/* Days on which ground goes from one crop to the next, and which ground that is. */
#include "menu.h"

/* Fills menu->turns_d: first the days on which a crop in hand is done, from the plantings of whole
 * seasons that are on the menu; then those on which what stands already leaves its ground. */
void turns_find(const struct garden *garden, const struct zones *zones, struct arena *arena,
                struct menu *menu);
/* The turn from which what stands on the zone leaves it to a second crop, an index of
 * menu->turns_d; -1: nothing stands there, or nothing ripens after it. */
int turns_after(const struct menu *menu, const struct zone *zone);
/* Whether the planting may stand in the zone for its turn: behind what stands already only what
 * follows it, and what follows such a block nowhere else. */
bool turns_allow(const struct menu *menu, const struct planting *p, const struct zone *zone);

#endif
