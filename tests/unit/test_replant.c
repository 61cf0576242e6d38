/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "plan_text.h"
#include "replant.h"
#include "verify.h"

#define GARDEN PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED
#define GUILD  "corn, bean and squash"

struct planted {
    struct plan_text p;
    const struct guild *guild;
};

/* Three lines of hills, then potatoes, as the garden's one plan. */
static struct planted hills(void)
{
    struct planted h = {.p = plan_text_new(GARDEN)};
    plan_text_block(&h.p, 0, SYSTEM_HILLS, GUILD, 3);
    plan_text_block(&h.p, 0, SYSTEM_ROWS, "potato", 2);
    h.guild = library_guild(h.p.plan->garden->library, GUILD);
    CALL(plan_settle(h.p.plan));
    return h;
}

static const struct crop_result *of(const struct plan *plan, const char *crop)
{
    for (int c = 0; c < plan->ncrops; c++)
        if (strcmp(plan->crops[c].seed->crop->name.s, crop) == 0)
            return &plan->crops[c];
    return NULL;
}

static double ground(const struct plan *plan)
{
    double sum = 0;
    for (int b = 0; b < plan->nblocks; b++)
        sum += block_area(&plan->blocks[b]);
    return sum;
}

/* Breaches of place alone: wishes and seed may be broken by what is only looked at. */
static int places_broken(const struct plan *plan)
{
    static const char *const names[] = {"verify-structure", "verify-zone",    "verify-block",
                                        "verify-line",      "verify-station", "verify-plants",
                                        "verify-ground",    "verify-spacing", "verify-number"};
    int n = 0;
    struct diags *diags = diags_new();
    const struct diag *d;
    (void)!verify_plan(plan, plan->arena, diags);
    for (size_t i = 0; (d = diags_at(diags, i)) != NULL; i++)
        for (size_t k = 0; k < sizeof names / sizeof names[0]; k++)
            if (strcmp(d->check, names[k]) == 0) {
                cr_log_warn("%s", d->text);
                n++;
            }
    diags_free(diags);
    return n;
}

static void same_plants(const struct plan *a, const struct plan *b)
{
    static const char *const crops[] = {"flint corn", "climbing bean", "butternut squash",
                                        "potato"};
    for (size_t i = 0; i < 4; i++) {
        cr_assert(of(a, crops[i]) && of(b, crops[i]), "%s", crops[i]);
        cr_assert_eq(of(a, crops[i])->plants, of(b, crops[i])->plants, "%s: %d, %d", crops[i],
                     of(a, crops[i])->plants, of(b, crops[i])->plants);
    }
    cr_assert(near(ground(a), ground(b), 1e-9), "%g m2, %g m2", ground(a), ground(b));
}

/* Yield of one plant of each part of the guild, in full light. */
static void one_plant(const struct plan *plan, double *kg)
{
    static const double light[STAND_PARTS_MAX] = {1, 1, 1, 1};
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        struct stand_figures figures[STAND_PARTS_MAX];
        struct stand_mixture mix;
        stand_mixture_typical(&mix);
        for (int k = 0; k < p->nparts; k++)
            stand_figures_typical(p->parts[k].crop, &figures[k]);
        if (p->guild)
            planting_plant_kg(p, figures, &mix, light, kg);
    }
}

/* Not a plant more, not a foot of ground less: only crowding in the hill is gone, and mounds to
 * build. */
Test(replant, row_guild_is_the_same_plants_spread)
{
    struct plan *anew;
    struct planted h = hills();
    CALL(replant_row_guild(h.p.plan, h.guild, &anew));
    same_plants(h.p.plan, anew);
    double before[STAND_PARTS_MAX], after[STAND_PARTS_MAX];
    one_plant(h.p.plan, before);
    one_plant(anew, after);
    struct stand_mixture mix;
    stand_mixture_typical(&mix);
    cr_assert(near(before[0], after[0] * (1 - mix.hill_loss), 1e-12),
              "4 corn in a hill lose what crowding costs");
    cr_assert(near(before[1], after[1], 1e-12) && near(before[2], after[2], 1e-12),
              "beans and squash lose nothing");
    cr_assert(anew->hours.typ < h.p.plan->hours.typ);
    for (int b = 0; b < anew->nblocks; b++)
        cr_assert(anew->blocks[b].planting->system != SYSTEM_HILLS);
    cr_assert(near(replant_ground(anew, h.guild), 0, 0));
    cr_assert_eq(places_broken(anew), 0);
    plan_text_free(&h.p);
}

Test(replant, rows_are_the_same_plants_in_strips)
{
    struct plan *anew;
    struct planted h = hills();
    CALL(replant_rows(h.p.plan, h.guild, &anew));
    same_plants(h.p.plan, anew);
    for (int b = 0; b < anew->nblocks; b++)
        cr_assert(anew->blocks[b].planting->nparts == 1, "every crop by itself");
    double potato = of(h.p.plan, "potato")->kg.typ;
    cr_assert(near(of(anew, "potato")->kg.typ, potato, 0.05 * potato),
              "all but light is as it was");
    cr_assert_eq(places_broken(anew), 0);
    plan_text_free(&h.p);
}

Test(replant, ground_of_the_hills)
{
    struct planted h = hills();
    cr_assert(near(replant_ground(h.p.plan, h.guild), block_area(&h.p.plan->blocks[0]), 1e-12));
    h.p.plan->nblocks = 0;
    cr_assert(near(replant_ground(h.p.plan, h.guild), 0, 0));
    plan_text_free(&h.p);
}
