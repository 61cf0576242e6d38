/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"
#include "food.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static struct range exactly(double v)
{
    return (struct range){.low = v, .typ = v, .high = v, .set = true};
}

/* USDA SR28: protein, lysine, tryptophan, methionine + cystine, threonine, g per 100 g, kcal per
 * 100 g; digestibility: maize 0.85, whole wheat 0.86 (Molecular Nutrition and Food Research 2019,
 * Table 1, PMC6900003), kidney bean 0.786 (a nutrition software maker's table). The other amino
 * acids are left out. */
static const struct usda {
    double kcal, protein, digestibility, lys, trp, saa, thr;
} usda_corn = {365, 9.42, 0.85, 0.265, 0.067, 0.197 + 0.170, 0.354},
  usda_bean = {333, 23.58, 0.786, 1.618, 0.279, 0.355 + 0.256, 0.992},
  usda_wheat = {327, 12.61, 0.86, 0.335, 0.160, 0.201 + 0.322, 0.365};

static struct crop crop_of(const struct usda *u)
{
    struct crop c = {0};
    c.food.energy_kcal_kg = exactly(u->kcal * 10);
    c.food.protein_kg_kg = exactly(u->protein / 100);
    c.food.digestibility = exactly(u->digestibility);
    c.food.refuse = exactly(0);
    c.food.amino_g_g[AMINO_LYS] = exactly(u->lys / u->protein);
    c.food.amino_g_g[AMINO_TRP] = exactly(u->trp / u->protein);
    c.food.amino_g_g[AMINO_SAA] = exactly(u->saa / u->protein);
    c.food.amino_g_g[AMINO_THR] = exactly(u->thr / u->protein);
    return c;
}

static struct ration ration_of(double kcal, double protein_kg)
{
    return (struct ration){.energy_kcal = {.v = kcal}, .protein_kg = {.v = protein_kg}};
}

/* ---- what a kg gives ----------------------------------------------------------------------- */

/* Butternut squash of USDA SR28 (11485): 45 kcal and 1.00 g protein per 100 g eaten, 16 % refuse.
 */
Test(food, refuse_is_taken_off)
{
    struct crop squash = {0};
    squash.food.energy_kcal_kg = exactly(450);
    squash.food.protein_kg_kg = exactly(0.01);
    squash.food.digestibility = exactly(0.75);
    squash.food.refuse = exactly(0.16);
    squash.food.amino_g_g[AMINO_LYS] = exactly(0.032);
    struct food_rate rate = food_rate_typical(&squash);
    cr_assert(near(rate.energy_kcal, 378, 1e-9));
    cr_assert(near(rate.protein_g, 8.4, 1e-9));
    cr_assert(near(rate.digestible_g, 6.3, 1e-9));
    cr_assert(near(rate.amino_g[AMINO_LYS], 6.3 * 0.032, 1e-9));
}

Test(food, rate_is_that_of_the_typical_figures)
{
    struct crop c = {0};
    c.food.energy_kcal_kg = (struct range){.low = 1, .typ = 3650, .high = 9, .set = true};
    c.food.protein_kg_kg = (struct range){.low = 0, .typ = 0.1, .high = 1, .set = true};
    c.food.digestibility = (struct range){.low = 0, .typ = 0.8, .high = 1, .set = true};
    struct food_rate rate = food_rate_typical(&c);
    cr_assert(near(rate.energy_kcal, 3650, 1e-9) && near(rate.protein_g, 100, 1e-9));
    cr_assert(near(rate.digestible_g, 80, 1e-9));
    struct food food = {0};
    food_add(&food, &rate, 2);
    food_add(&food, &rate, 0.5);
    cr_assert(near(food.energy_kcal, 2.5 * 3650, 1e-9) && near(food.protein_g, 250, 1e-9));
    cr_assert(near(food.digestible_g, 200, 1e-9));
    for (int a = 0; a < AMINO_COUNT; a++)
        cr_assert(near(food.amino_g[a], 2.5 * rate.amino_g[a], 1e-9), "amino acid %d", a);
}

/* An amino acid nobody weighed is neither short nor spare. */
Test(food, unknown_amino_acids_do_not_decide)
{
    struct crop bare = {0};
    bare.food.protein_kg_kg = exactly(0.2);
    bare.food.digestibility = exactly(0.73);
    struct food food = {0};
    struct food_rate rate = food_rate_typical(&bare);
    enum amino limiting;
    food_add(&food, &rate, 1.7);
    cr_assert(near(food_usable_protein(&food, &limiting), food.digestible_g, 1e-9));
    cr_assert(limiting == AMINO_COUNT, "named %d", (int)limiting);
    for (enum amino a = 0; a < AMINO_COUNT; a++)
        cr_assert(food_amino_unknown(&bare, a));

    bare.food.amino_g_g[AMINO_THR] = exactly(0.0125); /* half the pattern */
    cr_assert(!food_amino_unknown(&bare, AMINO_THR) && food_amino_unknown(&bare, AMINO_LYS));
    food = (struct food){0};
    rate = food_rate_typical(&bare);
    food_add(&food, &rate, 1);
    cr_assert(near(food_usable_protein(&food, &limiting), 73, 1e-9) && limiting == AMINO_THR);
}

/* ---- usable protein ------------------------------------------------------------------------ */

/* FAO 2013, Food and Nutrition Paper 92, over 3 years, mg per g protein (as cited by reviews). */
Test(food, pattern_is_that_of_fao_2013)
{
    static const double mg[AMINO_COUNT] = {16, 30, 61, 48, 23, 41, 25, 6.6, 40};
    for (int a = 0; a < AMINO_COUNT; a++)
        cr_assert(near(food_pattern[a] * 1000, mg[a], 1e-9), "amino acid %d", a);
}

/* Institute of Medicine 2002, Dietary Reference Intakes, Tables 10-26 (pattern) and 10-27: wheat
 * scores 44 %. */
Test(food, wheat_scores_as_published)
{
    static const double iom[AMINO_COUNT] = {0.018, 0.025, 0.055, 0.051, 0.025,
                                            0.047, 0.027, 0.007, 0.032};
    struct crop wheat = crop_of(&usda_wheat);
    struct food_rate rate = food_rate_typical(&wheat);
    struct food food = {0};
    enum amino limiting;
    food_add(&food, &rate, 1);
    for (int a = 0; a < AMINO_COUNT; a++) /* unknown ones are neutral in ours, so raise them */
        if (food_amino_unknown(&wheat, (enum amino)a))
            food.amino_g[a] = food.digestible_g;
    double score = food_usable_by(&food, iom, &limiting) / food.protein_g;
    cr_assert(near(score, 0.448, 0.0005), "%.4f", score);
    cr_assert(near(score, 0.44, 0.01), "%.4f", score);
    cr_assert(limiting == AMINO_LYS);
}

/* Corn and kidney bean by dry mass, protein digestibility corrected score against FAO 2013 (worked
 * out from SR28 the usual way: the score of the mixture times its mean digestibility). Ours digests
 * each food before adding up, so lysine from the less digestible bean counts for a little less. */
Test(food, corn_and_bean_score_as_worked_out)
{
    static const struct {
        double corn, score;
        enum amino limiting;
    } rows[] = {{1, 0.50, AMINO_LYS},     {0.9, 0.64, AMINO_LYS},   {0.8, 0.75, AMINO_LYS},
                {0.7, 0.82, AMINO_COUNT}, {0.5, 0.80, AMINO_COUNT}, {0, 0.79, AMINO_COUNT}};
    struct crop corn = crop_of(&usda_corn), bean = crop_of(&usda_bean);
    struct food_rate of_corn = food_rate_typical(&corn), of_bean = food_rate_typical(&bean);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct food food = {0};
        enum amino limiting;
        food_add(&food, &of_corn, rows[i].corn);
        food_add(&food, &of_bean, 1 - rows[i].corn);
        double score = food_usable_protein(&food, &limiting) / food.protein_g;
        cr_assert(near(score, rows[i].score, 0.02), "%.1f corn: %.4f", rows[i].corn, score);
        cr_assert(limiting == rows[i].limiting, "%.1f corn: %d", rows[i].corn, (int)limiting);
    }
}

/* What makes a guild: together they give more usable protein than apart. */
Test(food, corn_and_bean_complete_each_other)
{
    struct crop corn = crop_of(&usda_corn), bean = crop_of(&usda_bean);
    struct food_rate of_corn = food_rate_typical(&corn), of_bean = food_rate_typical(&bean);
    struct food c = {0}, b = {0}, both = {0};
    food_add(&c, &of_corn, 0.7);
    food_add(&b, &of_bean, 0.3);
    food_add(&both, &of_corn, 0.7);
    food_add(&both, &of_bean, 0.3);
    double apart = food_usable_protein(&c, NULL) + food_usable_protein(&b, NULL);
    cr_assert(food_usable_protein(&both, NULL) > 1.2 * apart);
}

Test(food, every_amino_acid_can_limit)
{
    for (enum amino a = 0; a < AMINO_COUNT; a++) {
        struct food food = {.digestible_g = 100};
        enum amino limiting;
        for (int k = 0; k < AMINO_COUNT; k++)
            food.amino_g[k] = 120 * food_pattern[k];
        food.amino_g[a] = 30 * food_pattern[a];
        cr_assert(near(food_usable_protein(&food, &limiting), 30, 1e-9), "amino acid %d", (int)a);
        cr_assert(limiting == a);
        food.amino_g[a] = 0;
        cr_assert(food_usable_protein(&food, &limiting) == 0 && limiting == a);
    }
}

/* ---- people -------------------------------------------------------------------------------- */

/* Mt.Pleasant J. 2016, Ethnobiology Letters 7(1):87-98: 12.25 million kcal and 349 kg protein a ha
 * feed 13.42 people a year with energy and 15.86 with protein. She counts crude protein, so here it
 * is all usable; her 15.86 goes with 60.3 g a day, ours is 60. */
Test(food, person_days_of_mt_pleasant)
{
    const struct ration ration = ration_of(2500, 0.060), protein = ration_of(0, 0.060);
    struct food food = {.energy_kcal = 12.25e6, .protein_g = 349000, .digestible_g = 349000};
    for (int a = 0; a < AMINO_COUNT; a++)
        food.amino_g[a] = food_pattern[a] * food.digestible_g;
    double people = food_person_days(&food, &ration) / 365;
    cr_assert(near(people, 13.42, 0.005), "%.4f", people);
    people = food_person_days(&food, &protein) / 365;
    cr_assert(near(people, 15.86, 0.1), "%.4f", people);
}

Test(food, the_scarcer_of_energy_and_protein_decides)
{
    const struct ration ration = ration_of(2500, 0.060);
    struct food food = {.energy_kcal = 25000, .digestible_g = 300};
    for (int a = 0; a < AMINO_COUNT; a++)
        food.amino_g[a] = food.digestible_g;
    cr_assert(near(food_person_days(&food, &ration), 5, 1e-9));
    food.digestible_g = 900;
    for (int a = 0; a < AMINO_COUNT; a++)
        food.amino_g[a] = food.digestible_g;
    cr_assert(near(food_person_days(&food, &ration), 10, 1e-9));
    food.amino_g[AMINO_LYS] = 120 * food_pattern[AMINO_LYS];
    cr_assert(near(food_person_days(&food, &ration), 2, 1e-9));
}

Test(food, a_ration_may_ask_for_one_or_nothing)
{
    struct food food = {.energy_kcal = 25000};
    const struct ration energy = ration_of(2500, 0), nothing = ration_of(0, 0);
    cr_assert(near(food_person_days(&food, &energy), 10, 1e-9));
    cr_assert(food_person_days(&food, &nothing) == 0);
    const struct ration odd = ration_of(-2500, 0.060);
    food.digestible_g = 120;
    for (int a = 0; a < AMINO_COUNT; a++)
        food.amino_g[a] = food.digestible_g;
    cr_assert(near(food_person_days(&food, &odd), 2, 1e-9));
}

Test(food, nothing_is_ever_negative)
{
    const struct ration energy = ration_of(2500, 0), both = ration_of(2500, 0.060);
    struct food food = {.energy_kcal = -1, .digestible_g = -1};
    cr_assert(food_usable_protein(&food, NULL) == 0);
    cr_assert(food_person_days(&food, &energy) == 0 && food_person_days(&food, &both) == 0);
}

Test(food, goals_have_their_values)
{
    const struct ration ration = ration_of(2500, 0.060);
    struct food food = {.energy_kcal = 25000, .digestible_g = 300};
    for (int a = 0; a < AMINO_COUNT; a++)
        food.amino_g[a] = food.digestible_g;
    cr_assert(near(food_value(&food, GOAL_DAYS, &ration), 5, 1e-9));
    cr_assert(near(food_value(&food, GOAL_ENERGY, &ration), 25000, 1e-9));
    cr_assert(near(food_value(&food, GOAL_PROTEIN, &ration), 300, 1e-9));
}

Test(food, no_harvest_is_no_food)
{
    const struct ration ration = ration_of(2500, 0.060);
    struct crop nothing = {0};
    struct food_rate rate = food_rate_typical(&nothing);
    struct food food = {0};
    food_add(&food, &rate, 100);
    food_add(&food, &rate, 0);
    for (int g = GOAL_DAYS; g <= GOAL_PROTEIN; g++)
        cr_assert(food_value(&food, (enum goal)g, &ration) == 0, "goal %d", g);
}
