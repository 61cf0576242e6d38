/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SETBACK_H
#define SETBACK_H
/* How far from a neighbour that is not to be shaded a line of each planting has to keep, so that
 * alone it takes no more of the neighbour's light than it may. */
#include "menu.h"
#include "neighbour.h"

/* Of a neighbour, for the items in the zones of its plot. */
struct setback {
    const struct neighbour *neighbour;
    int first, n;      /* of menu->items */
    double (*keep)[2]; /* m across the rows from the zone's start, from its end; the zone's depth:
                          no line may stand there at all */
    double *loss;      /* share of the neighbour's light that one line takes where it takes least */
    double most;       /* all lines together by those shares; HUGE_VAL: not limited */
};

/* Works out menu->setbacks for the garden's limits times `strictness` (0..1). HR_NOMEM. */
HR_CHECKED hr_status setbacks_find(const struct garden *garden, const struct zones *zones,
                                   double strictness, struct arena *arena, struct menu *menu);

#endif
