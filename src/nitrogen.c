/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "nitrogen.h"

#define COMPOST_DRY   0.5   /* share of moist compost that is dry matter (estimate) */
#define COMPOST_N_DRY 0.015 /* kg N per kg dry matter */

const double nitrogen_compost_first_year[3] = {0.05, 0.075, 0.10};

struct nitrogen nitrogen_harvest(const struct crop *crop, double kg)
{
    double taken = crop->n_removed_kg_kg.set ? kg * crop->n_removed_kg_kg.typ : 0;
    double fixed = crop->n_fixed.set ? crop->n_fixed.typ * taken / NITROGEN_HARVEST_SHARE : 0;
    return (struct nitrogen){taken, fixed};
}

double nitrogen_compost_kg(double n_kg)
{
    return n_kg / (COMPOST_DRY * COMPOST_N_DRY * nitrogen_compost_first_year[1]);
}
