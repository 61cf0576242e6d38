/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "plan_text.h"
#include "yardstick.h"

/* Petersen 1994, Agricultural Field Experiments, p. 372: sorghum and cowpea in 5 rows, Tanzania,
 * means of four blocks, kg/ha; sole sorghum 3585, cowpea 1740. The ratios are worked from these. */
Test(yardstick, ler_of_petersens_sorghum_and_cowpea)
{
    static const struct {
        double mixture[2], ler;
    } rows[] = {
        {{1287.25, 1400.50}, 1.163951},
        {{2310.25, 1422.75}, 1.462094},
        {{2967.00, 887.50}, 1.337673},
        {{3384.75, 356.75}, 1.149171},
    };
    const double sole[2] = {3585, 1740};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        cr_assert(near(stand_ler(rows[i].mixture, sole, 2), rows[i].ler, 1e-6), "row %zu: %g", i,
                  stand_ler(rows[i].mixture, sole, 2));
}

/* ATER = sum of relative yield x days of the sole crop / days of the whole (Hiebsch and McCollum
 * 1987, definition from memory). Petersen's relative yields 0.644421 and 0.817672 with sorghum 120
 * days and cowpea 75, both sown at once (days ours): (77.33 + 61.33) / 120. */
Test(yardstick, ater_by_its_definition)
{
    const double relative[2] = {0.644421, 0.817672}, days[2] = {120, 75};
    cr_assert(near(yardstick_ater(relative, days, 2, 120), 1.155466, 1e-6), "%g",
              yardstick_ater(relative, days, 2, 120));
    const double equal[2] = {120, 120};
    cr_assert(near(yardstick_ater(relative, equal, 2, 120), 1.462093, 1e-9),
              "crops of one length: ATER is LER");
    cr_assert(yardstick_ater(relative, days, 2, 120) < 1.462093,
              "LER overestimates where they differ (Odulaja, Trop. Agric. 73)");
    cr_assert(near(yardstick_ater(relative, days, 2, 0), 0, 0), "no days, no ratio");
    cr_assert(near(yardstick_ater(relative, days, 1, 120) * 120, relative[0] * 120, 1e-9));
}

/* Sole stands at their best density: the maximum of a seed head, the closest spacing of the rest.
 */
Test(yardstick, sole_crops_at_their_best)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    const struct crop *corn = garden_seed(p.plan->garden, 0)->crop;
    const struct crop *potato = garden_seed(p.plan->garden, 3)->crop;
    cr_assert(near(yardstick_sole_kg_m2(corn, 1), corn->yield_kg_m2.typ, 1e-12));
    double r = 1 / (potato->in_row_m.low * potato->row_m.low) / potato->half_density_m2.typ;
    cr_assert(near(yardstick_sole_kg_m2(potato, 1), potato->yield_kg_m2.typ * r / (1 + r), 1e-12));
    cr_assert(yardstick_sole_kg_m2(corn, 0.5) < yardstick_sole_kg_m2(corn, 1));
    plan_text_free(&p);
}

static struct yardstick measured(struct plan_text *p, const char *guild)
{
    struct food food;
    struct yardstick y;
    CALL(place_stations(p->plan));
    CALL(plan_totals(p->plan, &food));
    CALL(yardstick_measure(p->plan, guild ? library_guild(p->plan->garden->library, guild) : NULL,
                           p->plan->arena, &y));
    return y;
}

/* One crop alone: its LER is its share of the ground times its yield by the best, its ATER that by
 * its days over the days it stands. */
Test(yardstick, of_potatoes_alone)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 4);
    struct yardstick y = measured(&p, NULL);
    const struct crop_result *r = &p.plan->crops[0];
    const struct crop *potato = r->seed->crop;
    double light = p.plan->zones.items[p.plan->blocks[0].zone].light;
    double relative = r->kg.typ / (yardstick_sole_kg_m2(potato, light) * y.whole.ground_m2);
    cr_assert(near(y.whole.ler, relative, 1e-9), "%g, not %g", y.whole.ler, relative);
    cr_assert(near(y.relative[0], relative, 1e-9));
    cr_assert(near(y.whole.ater, relative * potato->days.typ / y.whole.days, 1e-9));
    cr_assert(near(y.whole.days, potato->days.typ, 1), "%g days", y.whole.days);
    cr_assert(near(y.whole.ground_m2, (6.5 - 0.5) * (9 - 0.5) + 3.6 * 4.6, 1e-6), "%g m2",
              y.whole.ground_m2);
    cr_assert(y.guild.ground_m2 <= 0, "no guild, no ground of it");
    cr_assert_eq(y.plants, r->plants);
    cr_assert(near(y.largest_share, 1, 1e-12) && y.largest == potato);
    cr_assert(near(y.planting_h + y.weeding_h + y.picking_h, p.plan->hours.typ, 1e-9),
              "the parts of the work make the whole");
    cr_assert(near(y.weedings, 2.5, 1e-9), "alone: two or three times");
    cr_assert(near(y.compost_m3, 0.01 * y.planted_m2, 1e-12));
    cr_assert(near(y.mulch_m3, 0.08 * y.planted_m2, 1e-12));
    cr_assert(y.covered > 0 && y.covered < 1);
    plan_text_free(&p);
}

/* A guild that closes the ground needs no mulch; its crops are measured on their own ground. */
Test(yardstick, of_a_guild)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    struct yardstick y = measured(&p, "corn, bean and squash");
    cr_assert(near(y.mulch_m3, 0, 0));
    cr_assert(y.hills > 0 && y.hills == p.plan->nstations);
    cr_assert(near(y.guild.ground_m2, y.planted_m2, 1e-9));
    cr_assert(near(y.guild.ler * y.guild.ground_m2, y.whole.ler * y.whole.ground_m2, 1e-9));
    cr_assert(y.guild.ater < y.guild.ler, "the squash is sown when the corn has stood a month");
    cr_assert(near(y.planting_h + y.weeding_h + y.picking_h, p.plan->hours.typ, 1e-9));
    plan_text_free(&p);
}
