/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FOOD_H
#define FOOD_H
/* Food of a harvest: energy, protein, usable protein, person-days (design 2.7). */
#include "garden.h"

struct food {
    double energy_kcal;
    double protein_g; /* crude, in what is eaten */
    double digestible_g;
    double amino_g[AMINO_COUNT]; /* digestible */
};

/* Figures of one crop's food, single values (typical, or one draw): per kg as harvested, refuse
 * taken off. */
struct food_rate {
    double energy_kcal, protein_g, digestible_g, amino_g[AMINO_COUNT];
};

/* The typical rate of a crop. An amino acid that its file leaves out counts as the reference
 * pattern's share of its digestible protein: neither short nor spare, as 0 would make it limit the
 * whole diet. Which those are: food_amino_unknown. */
struct food_rate food_rate_typical(const struct crop *crop);
/* Whether a crop's file leaves out that amino acid. */
bool food_amino_unknown(const struct crop *crop, enum amino amino);
void food_add(struct food *total, const struct food_rate *rate, double kg);
/* Adds `times` the food f. */
static inline void food_sum(struct food *total, const struct food *f, double times)
{
    total->energy_kcal += times * f->energy_kcal;
    total->protein_g += times * f->protein_g;
    total->digestible_g += times * f->digestible_g;
    for (int a = 0; a < AMINO_COUNT; a++)
        total->amino_g[a] += times * f->amino_g[a];
}
/* Reference pattern, g per g protein: FAO 2013 (Paper 92), over 3 years. */
extern const double food_pattern[AMINO_COUNT];
/* min(digestible protein, min over a of amino_a / pattern_a), g, never negative. *limiting (may be
 * NULL): the amino acid that decides, AMINO_COUNT when digestible protein does. */
double food_usable_protein(const struct food *total, enum amino *limiting);
/* The same for another pattern. */
double food_usable_by(const struct food *total, const double pattern[AMINO_COUNT],
                      enum amino *limiting);
/* Days of full food for one person: min(E / ration energy, U / ration protein). A ration figure
 * that is not above 0 asks for nothing; 0 when neither is. */
double food_person_days(const struct food *total, const struct ration *ration);
/* The value of a goal: person-days, kcal, or g usable protein. */
double food_value(const struct food *total, enum goal goal, const struct ration *ration);

#endif
