/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef NITROGEN_H
#define NITROGEN_H
/* Nitrogen a harvest takes from the ground and a legume takes from the air. No gift from bean to
 * corn in the same season is counted. */
#include "crop.h"

/* kg N. taken: in what is carried away; fixed: from the air into the whole crop. The soil gives the
 * difference; below 0 the ground gains. */
struct nitrogen {
    double taken, fixed;
};

/* Share of a grain legume's nitrogen that is carried away in the seed (estimate: 1 t of dry bean
 * takes 41.6 kg of the crop's 60 to 70 kg). */
#define NITROGEN_HARVEST_SHARE 0.64

/* Of kg harvested of a crop, typical figures: taken = kg n_removed; fixed = n_fixed taken /
 * NITROGEN_HARVEST_SHARE. */
struct nitrogen nitrogen_harvest(const struct crop *crop, double kg);

/* Compost: share of its nitrogen that crops get in the first year (Hartz: 5 to 10 %). */
extern const double nitrogen_compost_first_year[3]; /* low, typical, high */
/* kg of compost that gives so much N in its first year, typical: half of it dry, 1.5 % N in the dry
 * (Clemson: 0.5 to 2.5 %). */
double nitrogen_compost_kg(double n_kg);

#endif
