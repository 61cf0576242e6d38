/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LABOUR_H
#define LABOUR_H
/* When the work of a planting is due, and how much of it a station and a kg ask for. */
#include "planting.h"

enum work_kind { WORK_BUILD, WORK_SOW, WORK_WEED, WORK_HARVEST, WORK_COUNT };
extern const char *const work_names[WORK_COUNT]; /* for people */

#define WORK_BUILD_BEFORE_D 7  /* the sowing: hills are built in the week before it */
#define WORK_WEED_AFTER_D   10 /* sowing: weeds are in their first leaves (common practice) */
#define WORK_CLOSED_AFTER_D 35 /* sowing: vines have closed the ground (common practice) */

/* Typical hours of part k, spread evenly over the days from `from` to `to`, the last one too. Hills
 * and weeding are the whole planting's: with part 0, nothing with the others. Weeding: from the
 * first seedlings until a cover crop closes the ground, else until the first harvest. */
struct labour {
    double station_h, kg_h; /* for each station, and for each kg of the part */
    int from, to;
};
/* Weeks are counted from this day, before any work of a season; so many are enough for it. */
#define LABOUR_FROM  (-371)
#define LABOUR_WEEKS 160
struct labour labour_of(const struct planting *p, int k, enum work_kind kind);

#endif
