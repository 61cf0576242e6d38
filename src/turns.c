/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "turns.h"

#include <stdlib.h>
#include <string.h>

static int by_day(const void *a, const void *b)
{
    return *(const int *)a - *(const int *)b;
}

/* How many of the crops to consider still ripen when their ground is free from this day on. */
static int seconds_from(const struct garden *g, int day, struct arena *arena)
{
    int n = 0;
    const struct stay stay = {day, STAY_LATEST, true};
    for (size_t s = 0; s < g->seed.n; s++) {
        const struct seed *seed = garden_seed(g, s);
        struct season season;
        if (seed->standing || seed->crop->perennial.v)
            continue;
        season_seed(&g->site, seed, 0, &stay, arena, &season);
        n += garden_grows_alone(g, seed->crop->name.s) && season.fit != SEASON_OUT;
    }
    return n;
}

/* Too many days: some are as far apart as can be, the first and the last among them. */
static int spread(const int *days, int n, int *out, int most)
{
    int kept = n < most ? n : most;
    for (int k = 0; k < kept; k++)
        out[k] = days[kept > 1 ? k * (n - 1) / (kept - 1) : n - 1];
    return kept;
}

/* When a crop in hand is done. Of days after which the same crops still ripen, the last is as good
 * as any, since more can go before. */
static void turns_of_crops(const struct garden *g, struct arena *arena, struct menu *menu)
{
    int days[MENU_PLANTINGS_MAX] = {0}, n = 0, kept = 0;
    for (int t = 0; t < menu->nplantings; t++) {
        const struct planting *p = &menu->plantings[t];
        if (p->nparts == 1)
            days[n++] = p->parts[0].season.harvest_typ + PLANTING_TURN_D;
    }
    qsort(days, (size_t)n, sizeof *days, by_day);
    for (int i = n - 1, later = 0; i >= 0; i--) { /* from the last day on there are ever more */
        int seconds = seconds_from(g, days[i], arena);
        if (seconds > later)
            days[n - ++kept] = days[i];
        later = seconds;
    }
    menu->ncrop_turns = menu->nturns =
        spread(days + n - kept, kept, menu->turns_d, MENU_CROP_TURNS_MAX);
}

static int free_from(const struct zone *zone)
{
    return zone->done_d + PLANTING_TURN_D;
}

/* The first turn from the day on that is no more than so much later; -1: none. */
static int turn_from(const struct menu *menu, int day, int later)
{
    int first = -1;
    for (int t = 0; t < menu->nturns; t++)
        if (menu->turns_d[t] >= day && menu->turns_d[t] - day <= later &&
            (first < 0 || menu->turns_d[t] < menu->turns_d[first]))
            first = t;
    return first;
}

#define WAIT_D                                                                                     \
    6 /* for a turn that there is in any case: a choice less, and no crop is lost by it */

/* When what stands leaves its ground, if anything still ripens there. */
static void turns_of_standing(const struct garden *g, const struct zones *zones,
                              struct arena *arena, struct menu *menu)
{
    int days[ZONES_MAX] = {0}, n = 0, kept = 0;
    for (size_t z = 0; z < zones->n; z++)
        if (zones->items[z].stands > 0 &&
            turn_from(menu, free_from(&zones->items[z]), WAIT_D) < 0 &&
            seconds_from(g, free_from(&zones->items[z]), arena) > 0)
            days[n++] = free_from(&zones->items[z]);
    qsort(days, (size_t)n, sizeof *days, by_day);
    for (int i = 0; i < n; i++)
        if (kept == 0 || days[kept - 1] < days[i])
            days[kept++] = days[i];
    menu->nturns +=
        spread(days, kept, menu->turns_d + menu->nturns, MENU_TURNS_MAX - MENU_CROP_TURNS_MAX);
}

void turns_find(const struct garden *garden, const struct zones *zones, struct arena *arena,
                struct menu *menu)
{
    turns_of_crops(garden, arena, menu);
    turns_of_standing(garden, zones, arena, menu);
}

int turns_after(const struct menu *menu, const struct zone *zone)
{
    return zone->stands > 0 ? turn_from(menu, free_from(zone), STAY_LATEST) : -1;
}

bool turns_allow(const struct menu *menu, const struct planting *p, const struct zone *zone)
{
    if (zone->stands > 0) {
        int turn = turns_after(menu, zone);
        return turn >= 0 && p->slot == SLOT_SECOND && p->turn_d == menu->turns_d[turn];
    }
    for (int t = 0; t < menu->ncrop_turns; t++)
        if (p->turn_d == menu->turns_d[t])
            return true;
    return p->slot == SLOT_WHOLE;
}
