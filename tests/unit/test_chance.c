/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "chance.h"
#include "plan_text.h"
#include "range.h"

#define GARDEN PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED

static void settle(struct plan_text *p)
{
    struct food food;
    CALL(place_stations(p->plan));
    CALL(plan_totals(p->plan, &food));
}

/* The same garden twice, so that blocks can differ. */
static struct plan *variant(struct plan_text *p)
{
    struct plan *copy = ARENA_NEW(p->plan->arena, struct plan);
    *copy = *p->plan;
    copy->blocks = ARENA_ARRAY(p->plan->arena, struct block, 64);
    memcpy(copy->blocks, p->plan->blocks, 64 * sizeof *copy->blocks);
    return copy;
}

static struct chance_pair *compared(const struct plan_text *p, const struct plan *const *plans,
                                    int n)
{
    int npairs;
    struct chance_pair *pairs;
    CALL(chance_compare(p->plan->garden, plans, n, RANGE_DRAWS, RANGE_SEED, p->plan->arena, &pairs,
                        &npairs));
    cr_assert_eq(npairs, n * (n - 1) / 2);
    return pairs;
}

/* A plan against itself: the same in every season, exactly even. */
Test(chance, a_plan_against_itself_is_even)
{
    struct plan_text p = plan_text_new(GARDEN);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    settle(&p);
    const struct plan *plans[2] = {p.plan, variant(&p)};
    const struct chance_pair *pair = compared(&p, plans, 2);
    cr_assert(pair->same);
    cr_assert(pair->wins >= 0.5 && pair->wins <= 0.5, "%.17g", pair->wins);
    cr_assert(near(pair->lead.low, 0, 0) && near(pair->lead.typ, 0, 0) &&
              near(pair->lead.high, 0, 0));
    cr_assert_eq(pair->nswings, 0, "nothing decides between a plan and itself");
    plan_text_free(&p);
}

/* Which is first changes sides and nothing else. */
Test(chance, order_of_the_plans_changes_nothing)
{
    struct plan_text p = plan_text_new(GARDEN), q = plan_text_new(GARDEN);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    settle(&p);
    plan_text_block(&q, 0, SYSTEM_ROWS, "flint corn", 4);
    settle(&q);
    q.plan->garden = p.plan->garden; /* two readings of one text */
    for (int b = 0; b < q.plan->nblocks; b++)
        cr_assert(q.plan->blocks[b].planting->nparts == 1);
    for (int c = 0; c < q.plan->ncrops; c++)
        q.plan->crops[c].seed = garden_seed(
            p.plan->garden, (size_t)(q.plan->crops[c].seed - garden_seed(q.t.garden, 0)));
    const struct plan *pq[2] = {p.plan, q.plan}, *qp[2] = {q.plan, p.plan};
    const struct chance_pair *a = compared(&p, pq, 2), *b = compared(&p, qp, 2);
    cr_assert(near(chance_wins(a, 2, 0, 1), chance_wins(b, 2, 1, 0), 0));
    cr_assert(near(chance_wins(a, 2, 0, 1) + chance_wins(a, 2, 1, 0), 1, 1e-15));
    cr_assert(near(a->lead.typ, -b->lead.typ, 1e-12) && near(a->lead.low, -b->lead.high, 1e-9) &&
              near(a->lead.high, -b->lead.low, 1e-9));
    cr_assert_eq(a->nswings, b->nswings);
    for (int s = 0; s < a->nswings; s++) {
        cr_assert_str_eq(a->swings[s].figure, b->swings[s].figure);
        cr_assert(near(a->swings[s].low, -b->swings[s].low, 1e-12));
        cr_assert_eq(a->swings[s].flips, b->swings[s].flips);
    }
    cr_assert(near(chance_wins(a, 2, 1, 1), 0.5, 0));
    plan_text_free(&p);
    plan_text_free(&q);
}

/* Four rows of a crop beat three in every season, whatever its yield: with the same luck for both
 * the chance is 1, where independent luck would leave much to chance. */
Test(chance, the_same_seasons_for_both)
{
    struct plan_text p = plan_text_new(GARDEN);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 4);
    settle(&p);
    struct plan *fewer = variant(&p);
    struct food food;
    fewer->blocks[0].lines = 3;
    fewer->blocks[0].depth_m = planting_depth(fewer->blocks[0].planting, 3);
    CALL(place_stations(fewer));
    CALL(plan_totals(fewer, &food));
    const struct plan *plans[2] = {p.plan, fewer};
    const struct chance_pair *pair = compared(&p, plans, 2);
    cr_assert(pair->wins >= 1, "%g", pair->wins);
    cr_assert(!pair->same && pair->lead.low > 0);
    cr_assert(pair->nswings == CHANCE_SWINGS && !pair->swings[0].flips);
    double before = HUGE_VAL;
    for (int s = 0; s < pair->nswings; s++) {
        double width = fabs(pair->swings[s].high - pair->swings[s].low);
        cr_assert(width <= before, "the widest first");
        before = width;
    }
    plan_text_free(&p);
}

/* A lead that a figure turns round is said to flip: corn against potatoes hangs on either yield. */
Test(chance, figures_that_turn_the_order_round)
{
    struct plan_text p = plan_text_new(GARDEN);
    struct crop *potato = (struct crop *)garden_seed(p.plan->garden, 3)->crop;
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 4);
    settle(&p);
    struct plan *corn = variant(&p);
    corn->nblocks = 0;
    struct plan_text q = p;
    q.plan = corn;
    plan_text_block(&q, 0, SYSTEM_ROWS, "flint corn", 4);
    settle(&q);
    double scale = corn->person_days.typ / p.plan->person_days.typ * potato->yield_kg_m2.typ;
    potato->yield_kg_m2.low = 0.5 * scale; /* worth about as much as the corn */
    potato->yield_kg_m2.typ = 1.01 * scale;
    potato->yield_kg_m2.high = 2 * scale;
    const struct plan *plans[2] = {p.plan, corn};
    const struct chance_pair *pair = compared(&p, plans, 2);
    bool found = false;
    for (int s = 0; s < pair->nswings; s++)
        if (strcmp(pair->swings[s].figure, "yield of potato") == 0) {
            found = true;
            cr_assert(pair->swings[s].flips);
            cr_assert(pair->swings[s].low < 0 && pair->swings[s].high > 0);
        }
    cr_assert(found, "the yield of potato is among the widest");
    cr_assert(pair->wins > 0.1 && pair->wins < 0.9, "%g", pair->wins);
    plan_text_free(&p);
}
