/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef YARDSTICK_H
#define YARDSTICK_H
/* What layouts are measured by beside their food: land and time, plants, work, compost, nitrogen,
 * season. Typical figures throughout; ranges are the plan's. */
#include "nitrogen.h"
#include "plan.h"

/* Land equivalent ratio and area-time equivalency ratio of crops on the same ground. */
struct ratios {
    double ground_m2;
    double ler;  /* sum of relative yields (Mead and Willey 1980) */
    double ater; /* sum of relative yield x days of the sole crop / days of the whole (Hiebsch and
                    McCollum 1987) */
    double days; /* from the first sowing to the last harvest */
};

/* relative: yield / sole yield of each crop, both by area; sole_days: from sowing to harvest of
 * each alone; days: of the whole. 0 when days is not above 0. */
double yardstick_ater(const double *relative, const double *sole_days, int n, double days);

struct yardstick {
    struct ratios whole; /* on all free ground */
    struct ratios guild; /* the guild's crops on the ground they stand on; ground 0: none */
    double *relative;    /* of plan->crops, in the whole */
    int plants, hills;
    double plants_m2; /* on planted ground */
    double seed;      /* seeds and pieces sown */
    double planting_h, weeding_h, picking_h;
    double weedings; /* how often a spot is weeded, mean */
    double compost_m3, mulch_m3;
    struct nitrogen nitrogen;
    const struct crop *largest; /* gives most of the energy */
    double largest_share;
    int first_sowing, first_harvest, last_harvest; /* days, typical */
    double planted_m2;
    double covered; /* share of the free ground under leaves at full growth */
};

/* guild: whose crops are measured apart, NULL: none. HR_NOMEM. */
HR_CHECKED hr_status yardstick_measure(const struct plan *plan, const struct guild *guild,
                                       struct arena *arena, struct yardstick *out);
/* Yield of a sole crop at its best density, kg/m2: a seed-headed crop at the density of its
 * maximum, any other at the closest spacing of its file (its law has no maximum). light: share of
 * full light. */
double yardstick_sole_kg_m2(const struct crop *crop, double light);

#endif
