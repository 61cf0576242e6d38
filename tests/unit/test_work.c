/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_plan.h"
#include "work.h"

static double sum_of(const struct plan *plan, int kind)
{
    double sum = 0;
    for (int b = 0; b < plan->nblocks; b++)
        for (int k = 0; k < plan->blocks[b].planting->nparts; k++)
            sum += work_of(plan, b, k, (enum work_kind)kind).hours;
    return sum;
}

/* The plan's own total is worked out elsewhere, station by station. */
Test(work, jobs_sum_to_the_hours_of_the_plan)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f = fixture_make(&fixture_specs[v]);
        struct food food;
        double sum = 0;
        CALL(plan_totals(f.plan, &food));
        for (int kind = 0; kind < WORK_COUNT; kind++)
            sum += sum_of(f.plan, kind);
        cr_assert(near(sum, f.plan->hours.typ, 1e-9 * (1 + sum)), "%s: %g of %g hours",
                  fixture_specs[v].name, sum, f.plan->hours.typ);
        fixture_free(&f);
    }
}

Test(work, weeks_hold_all_of_it)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f = fixture_make(&fixture_specs[v]);
        int from = 0, to = 0;
        double weeks[60 * WORK_COUNT] = {0};
        bool any = work_season(f.plan, &from, &to);
        cr_assert(any == (f.plan->nblocks > 0), "a season where something is planted");
        from -= 14;
        cr_assert(!any || (to - from) / 7 < 60, "within 60 weeks");
        work_weeks(f.plan, from, 60, weeks);
        for (int kind = 0; kind < WORK_COUNT; kind++) {
            double sum = 0;
            for (int w = 0; w < 60; w++)
                sum += weeks[w * WORK_COUNT + kind];
            cr_assert(near(sum, sum_of(f.plan, kind), 1e-9 * (1 + sum)), "%s: %s: %g",
                      fixture_specs[v].name, work_names[kind], sum);
        }
        fixture_free(&f);
    }
}

/* Hills before they are sown, nothing picked before it is ripe, and one weeding: of the ground, not
 * of each crop on it. */
Test(work, each_in_its_time)
{
    struct fixture f = fixture_plan();
    for (int b = 0; b < f.plan->nblocks; b++) {
        const struct planting *p = f.plan->blocks[b].planting;
        for (int k = 0; k < p->nparts; k++) {
            f.plan->blocks[b].light[k] = 1;
            const struct season *s = &p->parts[k].season;
            struct work build = work_of(f.plan, b, k, WORK_BUILD);
            struct work weed = work_of(f.plan, b, k, WORK_WEED);
            struct work pick = work_of(f.plan, b, k, WORK_HARVEST);
            cr_assert((build.hours > 0) == (k == 0 && p->system == SYSTEM_HILLS), "hills");
            cr_assert(build.to < s->sow, "built before sowing");
            cr_assert((weed.hours > 0) == (k == 0) && weed.from > p->parts[0].season.sow,
                      "weeding");
            cr_assert(pick.hours > 0 && pick.from == s->harvest_low && pick.to == s->harvest_high,
                      "harvest");
        }
    }
    fixture_free(&f);
}

/* No week of the calendar has more, and one has as much. */
Test(work, the_fullest_week)
{
    struct fixture f = fixture_make(&fixture_specs[0]);
    struct work_week week = work_fullest(f.plan);
    double most = 0;
    for (int from = LABOUR_FROM; from < LABOUR_FROM + 7 * LABOUR_WEEKS; from += 7) {
        double hours[WORK_COUNT] = {0}, sum = 0;
        work_weeks(f.plan, from, 1, hours);
        for (int kind = 0; kind < WORK_COUNT; kind++)
            sum += hours[kind];
        cr_assert(from != week.from || near(sum, week.hours, 1e-9));
        most = sum > most ? sum : most;
    }
    cr_assert(most > 1 && near(most, week.hours, 1e-9), "%g, %g", most, week.hours);
    fixture_free(&f);
}
