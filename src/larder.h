/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LARDER_H
#define LARDER_H
/* What becomes of a plan's food: how long each keeps, what mends its protein, what the ground gives
 * for it. */
#include "nitrogen.h"
#include "plan.h"

struct larder_food {
    const struct crop_result *crop;
    int from;          /* day of its first harvest in the plan */
    struct span until; /* day it no longer keeps; all 0 when it is not kept */
    double kg_week;    /* eaten evenly from harvest until then, typical; of a food not kept: 0 */
};

/* One entry per plan->crops. */
HR_CHECKED hr_status larder_foods(const struct plan *plan, struct arena *arena,
                                  struct larder_food **out);
/* The variety in the garden whose protein has most of the limiting amino acid for its digestible
 * protein, measured by the reference pattern; NULL when digestible protein itself limits, or no
 * variety has more than the plan's food as a whole. */
const struct seed *larder_mend(const struct plan *plan);
/* Sum over the harvest. */
struct nitrogen larder_nitrogen(const struct plan *plan);

/* All of it for a person, in the garden's units, at most 80 columns. HR_NOMEM. */
HR_CHECKED hr_status larder_describe(const struct plan *plan, struct arena *arena,
                                     struct strbuf *out);

#endif
