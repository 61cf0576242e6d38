/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_SHADE_H
#define REPORT_SHADE_H
/* What shade costs, in sentences for the report. */
#include "plan.h"

/* Food energy that shade costs the plan as it stands, typical, kcal: that of one block on another,
 * and that of fences, walls, hedges and obstacles. What would be planted without it is another
 * plan and not asked. */
struct shade_cost {
    double blocks_kcal, site_kcal;
};
struct shade_cost shade_cost_of(const struct plan *plan);
/* Appends what there is to say, each sentence after a space; nothing where nothing shades. */
void report_shade(const struct plan *plan, struct strbuf *text);

#endif
