/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "food.h"

#include <math.h>

#define G_PER_KG 1000

/* By rounding alone no amino acid is short. */
#define ROUNDING 1e-12

const double food_pattern[AMINO_COUNT] = {
    [AMINO_HIS] = 0.016, [AMINO_ILE] = 0.030,  [AMINO_LEU] = 0.061,
    [AMINO_LYS] = 0.048, [AMINO_SAA] = 0.023,  [AMINO_AAA] = 0.041,
    [AMINO_THR] = 0.025, [AMINO_TRP] = 0.0066, [AMINO_VAL] = 0.040,
};

bool food_amino_unknown(const struct crop *crop, enum amino amino)
{
    return !crop->food.amino_g_g[amino].set;
}

struct food_rate food_rate_typical(const struct crop *crop)
{
    const struct food_values *f = &crop->food;
    double eaten = 1 - f->refuse.typ;
    struct food_rate rate;
    rate.energy_kcal = f->energy_kcal_kg.typ * eaten;
    rate.protein_g = f->protein_kg_kg.typ * G_PER_KG * eaten;
    rate.digestible_g = rate.protein_g * f->digestibility.typ;
    for (enum amino a = 0; a < AMINO_COUNT; a++) {
        double per_g = food_amino_unknown(crop, a) ? food_pattern[a] : f->amino_g_g[a].typ;
        rate.amino_g[a] = rate.digestible_g * per_g;
    }
    return rate;
}

void food_add(struct food *total, const struct food_rate *rate, double kg)
{
    total->energy_kcal += rate->energy_kcal * kg;
    total->protein_g += rate->protein_g * kg;
    total->digestible_g += rate->digestible_g * kg;
    for (int a = 0; a < AMINO_COUNT; a++)
        total->amino_g[a] += rate->amino_g[a] * kg;
}

double food_usable_by(const struct food *total, const double pattern[AMINO_COUNT],
                      enum amino *limiting)
{
    double least = total->digestible_g;
    enum amino which = AMINO_COUNT;
    for (enum amino a = 0; a < AMINO_COUNT; a++) {
        if (!(pattern[a] > 0)) /* asked for by nobody */
            continue;
        double met = total->amino_g[a] / pattern[a];
        if (met < least * (1 - ROUNDING)) {
            least = met;
            which = a;
        }
    }
    if (limiting)
        *limiting = which;
    return fmax(least, 0);
}

double food_usable_protein(const struct food *total, enum amino *limiting)
{
    return food_usable_by(total, food_pattern, limiting);
}

double food_person_days(const struct food *total, const struct ration *ration)
{
    double need_kcal = ration->energy_kcal.v, need_g = ration->protein_kg.v * G_PER_KG;
    double days = HUGE_VAL;
    if (need_kcal > 0)
        days = total->energy_kcal / need_kcal;
    if (need_g > 0)
        days = fmin(days, food_usable_protein(total, NULL) / need_g);
    return isinf(days) ? 0 : fmax(days, 0);
}

double food_value(const struct food *total, enum goal goal, const struct ration *ration)
{
    switch (goal) {
    case GOAL_ENERGY:
        return total->energy_kcal;
    case GOAL_PROTEIN:
        return food_usable_protein(total, NULL);
    case GOAL_DAYS:
        break;
    }
    return food_person_days(total, ration);
}
