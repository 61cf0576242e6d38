/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "arena_suite.h"
#include "review.h"

TestSuite(review, .init = set_up, .fini = tear_down);

static struct harvest log_of(const char *text, bool skip_bad)
{
    const struct source *src = NULL;
    struct harvest h = {0};
    CALL(source_text(arena, "log.csv", text, strlen(text), &src));
    CALL(harvest_read(arena, src, skip_bad, diags, &h));
    return h;
}

#define BLOCKS "date,block,treatment,crop,weight,unit\n"
#define DAY    "2027-09-01,"

static struct review *blocks_of(const char *text)
{
    struct harvest h = log_of(text, false);
    struct review *r = NULL;
    CALL(review_blocks(arena, &h, false, diags, &r));
    return r;
}

/* Petersen R.G. 1994, Agricultural Field Experiments, p. 372: block 1 of rows 1:4, sole stands 3585
 * and 1740 kg/ha: 956/3585 + 1444/1740. */
Test(review, land_equivalents_are_by_the_sole_stands)
{
    struct review *r =
        blocks_of(BLOCKS DAY "1,1:4,sorghum,956,kg\n" DAY "1,1:4,cowpea,1444,kg\n" DAY
                             "0,sole,sorghum,3585,kg\n" DAY "0,Sole,cowpea,1740,kg\n");
    cr_assert(r->nlers == 1 && r->lers[0].blocks == 1 && !r->lers[0].has_interval);
    cr_assert(near(r->lers[0].ler, 956.0 / 3585 + 1444.0 / 1740, 1e-12), "%f", r->lers[0].ler);
    cr_assert(near(r->lers[0].partial[0], 956.0 / 3585, 1e-12));
}

Test(review, several_weighings_add_up_and_blocks_that_lack_one_are_left_out)
{
    struct review *r =
        blocks_of(BLOCKS DAY "1,a,corn,1,kg\n" DAY "1,a,corn,2,kg\n" DAY "1,b,corn,1,kg\n" DAY
                             "2,a,corn,4,kg\n" DAY "2,b,corn,3,kg\n" DAY "3,a,corn,9,kg\n");
    const struct review_test *t = &r->tests[0];
    cr_assert(r->ntests == 1 && t->blocks == 2 && t->short_blocks == 1 && r->rows == 6);
    cr_assert(near(t->means[0], 3.5, 1e-12) && near(t->means[1], 2, 1e-12));
    cr_assert(t->has_paired && near(t->paired.mean, 1.5, 1e-12) && t->paired.df == 1);
}

/* Of two treatments F is t squared. */
Test(review, paired_t_and_analysis_of_variance_agree)
{
    struct review *r =
        blocks_of(BLOCKS DAY "1,a,corn,1.1,kg\n" DAY "1,b,corn,1,kg\n" DAY "2,a,corn,4,kg\n" DAY
                             "2,b,corn,3,kg\n" DAY "3,a,corn,9,kg\n" DAY "3,b,corn,8.7,kg\n");
    const struct review_test *t = &r->tests[0];
    cr_assert(t->has_paired && t->has_anova);
    cr_assert(near(t->anova.f, t->paired.t * t->paired.t, 1e-9));
    cr_assert(near(t->anova.p, t->paired.p, 1e-9));
    cr_assert(near(t->anova.lsd, (t->paired.high - t->paired.low) / 2, 1e-9));
}

Test(review, nothing_to_test_with)
{
    struct review *r = blocks_of(BLOCKS DAY "1,a,corn,1,kg\n" DAY "1,b,corn,2,kg\n");
    cr_assert(r->ntests == 1 && !r->tests[0].has_anova && !r->tests[0].has_paired);
}

Test(review, treatments_missing_and_nothing_left)
{
    struct harvest h = log_of(BLOCKS DAY "1,,corn,1,kg\n", false);
    struct review *r = NULL;
    cr_assert(review_blocks(arena, &h, false, diags, &r) == HR_INPUT && !r);
    expect_diag(diags, 2, 14, "log-treatment");
    h = log_of(BLOCKS DAY "1,,corn,1,kg\n", true);
    cr_assert(review_blocks(arena, &h, true, diags, &r) == HR_INPUT && !r);
    expect_diag(diags, 0, 0, "log-empty");
}

Test(review, more_treatments_than_there_is_room_for)
{
    struct strbuf b;
    struct review *r = NULL;
    strbuf_init(&b, arena);
    strbuf_puts(&b, BLOCKS);
    for (int i = 0; i <= REVIEW_TREATMENTS_MAX; i++)
        strbuf_printf(&b, DAY "1,t%d,corn,1,kg\n", i);
    struct harvest h = log_of(b.p, false);
    cr_assert(review_blocks(arena, &h, false, diags, &r) == HR_INPUT);
    expect_diag(diags, REVIEW_TREATMENTS_MAX + 2, 0, "log-treatment");
}

/* ---- a trial -------------------------------------------------------------------------------- */

/* Three blocks of two crops, 2 kcal and 1 kcal a kg, the rows half and half. */
static struct trial *trial_of_two(void)
{
    struct trial *t = ARENA_NEW(arena, struct trial);
    t->halves = ARENA_ARRAY(arena, struct trial_half, 6);
    t->title = "Test";
    t->units = UNITS_METRIC;
    t->blocks = 3;
    t->net_length_m = t->net_depth_m = 3;
    t->cv = 0.1;
    t->ncrops = 2;
    t->crops[0] = (struct trial_crop){.crop = "corn", .variety = "Ridge", .share = 0.5};
    t->crops[1] = (struct trial_crop){.crop = "bean", .variety = "Pole", .share = 0.5};
    t->crops[0].energy_kcal_kg = 2;
    t->crops[1].energy_kcal_kg = 1;
    t->crops[0].kg[TREATMENT_HILLS] = (struct span){1, 2, 3};
    t->crops[0].kg[TREATMENT_ROWS] = (struct span){4, 5, 6};
    t->crops[1].kg[TREATMENT_HILLS] = (struct span){0.1, 0.2, 0.3};
    t->crops[1].kg[TREATMENT_ROWS] = (struct span){0.1, 0.2, 2};
    for (int i = 0; i < 6; i++) {
        t->halves[i] = (struct trial_half){.block = i / 2, .treatment = i % 2};
        snprintf(t->halves[i].name, sizeof t->halves[i].name, "%d-%s", i / 2 + 1,
                 treatment_names[i % 2]);
    }
    return t;
}

#define TRIAL "date,station,crop,weight,unit,note\n"

static struct review *review_of(const char *text)
{
    struct harvest h = log_of(text, false);
    struct review *r = NULL;
    CALL(review_trial(arena, &h, trial_of_two(), false, diags, &r));
    return r;
}

static const char *const harvest =
    TRIAL DAY "1-hills,corn,2,kg,\n" DAY "1-hills,bean,1,kg,\n" DAY "1-rows,corn,3,kg,\n" DAY
              "1-rows,bean,1,kg,\n" DAY "2 Hills,corn,3,kg,\n" DAY "2-hills,Pole,1.2,kg,\n" DAY
              "2-rows,corn,3.2,kg,\n" DAY "2-rows,bean,0.9,kg,\n" DAY "3-hills,corn,2.5,kg,\n" DAY
              "3-hills,bean,1,kg,\n" DAY "3-rows,corn,3.1,kg,\n" DAY "3-rows,bean,1.1,kg,\n";

Test(review, a_trial_is_compared_by_its_food)
{
    struct review *r = review_of(harvest);
    const struct review_test *t = &r->tests[0];
    cr_assert(r->ntests == 3 && t->quantity == QUANTITY_ENERGY && t->blocks == 3);
    cr_assert(near(t->means[0], (5 + 7.2 + 6) / 3, 1e-12), "%f", t->means[0]);
    cr_assert(near(t->means[1], (7 + 7.3 + 7.3) / 3, 1e-12), "%f", t->means[1]);
    cr_assert(near(t->paired.mean, (-2 - 0.1 - 1.3) / 3, 1e-12));
}

/* By hand: 0.5 x 7.5 / 9.3 + 0.5 x 3.2 / 3. */
Test(review, land_equivalent_of_a_trial)
{
    struct review *r = review_of(harvest);
    cr_assert(r->nlers == 1 && r->lers[0].blocks == 3 && r->lers[0].has_interval);
    cr_assert(near(r->lers[0].ler, 0.5 * 7.5 / 9.3 + 0.5 * 3.2 / 3, 1e-12), "%f", r->lers[0].ler);
    cr_assert(r->lers[0].low < r->lers[0].ler && r->lers[0].high > r->lers[0].ler);
}

Test(review, estimates_are_set_against_weights)
{
    static const enum review_verdict due[] = {VERDICT_INSIDE, VERDICT_ABOVE, VERDICT_BELOW,
                                              VERDICT_INSIDE};
    struct review *r = review_of(harvest);
    cr_assert(r->nestimates == 4);
    for (int i = 0; i < 4; i++)
        cr_assert(r->estimates[i].verdict == due[i] && r->estimates[i].halves == 3, "%d: %d", i,
                  (int)r->estimates[i].verdict);
    const struct span s = {1, 2, 3};
    cr_assert(review_verdict(1, &s) == VERDICT_INSIDE && review_verdict(3, &s) == VERDICT_INSIDE);
}

Test(review, places_and_crops_that_are_not_in_the_trial)
{
    struct harvest h = log_of(TRIAL DAY "4-hills,corn,2,kg,\n" DAY "1-hills,moon,1,kg,\n" DAY
                                        "1-rows,corn,1,kg,\n",
                              false);
    struct review *r = NULL;
    cr_assert(review_trial(arena, &h, trial_of_two(), false, diags, &r) == HR_INPUT && !r);
    expect_diag(diags, 2, 12, "log-place");
    expect_diag(diags, 3, 20, "log-crop");
    h = log_of(TRIAL DAY "4-hills,corn,2,kg,\n" DAY "1-rows,corn,1,kg,\n", true);
    CALL(review_trial(arena, &h, trial_of_two(), true, diags, &r));
    cr_assert(r->rows == 1 && r->skipped == 1 && r->nlers == 0);
}
