/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "garden_text.h"
#include "plan.h"
#include "verify.h"

static struct plan *plan_of(struct garden_text *t, double gap)
{
    struct plan_make_options o = {.seconds = 30, .gap = gap};
    struct plan *plan = NULL;
    hr_status status = plan_make(t->garden, &o, t->arena, t->diags, &plan);
    cr_assert(status == HR_OK, "status %d: %s", status, garden_text_diags(t));
    status = verify_plan(plan, t->arena, t->diags);
    cr_assert(status == HR_OK, "verify: %s", garden_text_diags(t));
    return plan;
}

/* A garden in parts. */
#define HEAD(units_)                                                                               \
    "garden: g\nunits: " units_ "\nyear: 2027\nsite:\n  latitude: 42 deg\n"                        \
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"                                 \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
#define CORN   "  - {variety: A, crop: flint corn, amount: 90 seeds, days: 90 days}\n"
#define BEAN   "  - {variety: B, crop: climbing bean, days: 90 days}\n"
#define SQUASH "  - {variety: C, crop: butternut squash, days: 95 days}\n"
#define POTATO "  - {variety: D, crop: potato}\n"

static double value_of(const char *yaml)
{
    struct garden_text t = garden_text_read(yaml);
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    double value = plan_of(&t, 1e-4)->value;
    garden_text_free(&t);
    return value;
}

Test(plan, units_change_nothing, .timeout = 240)
{
    char a[2048], b[2048];
    snprintf(a, sizeof a, "%s%sseed:\n%s%s%s%s", HEAD("metric"),
             "plots:\n  - {name: p, size: 365.76 cm x 4.572 m, rows: along-x, border: 15.24 cm}\n",
             CORN, BEAN, SQUASH, POTATO);
    snprintf(b, sizeof b, "%s%sseed:\n%s%s%s%s", HEAD("us"),
             "plots:\n  - {name: p, size: 12 ft x 15 ft, rows: along-x, border: 6 in}\n", CORN,
             BEAN, SQUASH, POTATO);
    double va = value_of(a), vb = value_of(b);
    cr_assert(near(va, vb, 1e-6 * va), "%g and %g", va, vb);
}

Test(plan, sample_is_good_and_proved, .timeout = 120)
{
    struct garden_text t = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    const struct source *src;
    CALL(library_read(t.arena, "crops", t.diags, &t.library));
    CALL(source_read(t.arena, "samples/first-plot.yaml", t.diags, &src));
    CALL(garden_read(t.arena, src, t.library, t.diags, &t.garden));
    struct plan *plan = plan_of(&t, 0.01);
    cr_assert(plan->gap <= 0.03, "gap %g", plan->gap);
    cr_assert(plan->bound >= plan->value && plan->value > 0, "%g of %g", plan->value, plan->bound);
    cr_assert(plan->person_days.low < plan->person_days.typ &&
                  plan->person_days.typ < plan->person_days.high,
              "a range: %g %g %g", plan->person_days.low, plan->person_days.typ,
              plan->person_days.high);
    int hills = 0;
    for (int b = 0; b < plan->nblocks; b++)
        hills += plan->blocks[b].planting->system == SYSTEM_HILLS;
    cr_assert(plan->nblocks > 0 && plan->nstations > 0 && hills >= 0, "something is planted");
    garden_text_free(&t);
}

Test(plan, same_bytes_twice, .timeout = 120)
{
    char a[2048];
    snprintf(a, sizeof a, "%s%sseed:\n%s%s%s%s", HEAD("metric"),
             "plots:\n  - {name: p, size: 4 m x 5 m}\n", CORN, BEAN, SQUASH, POTATO);
    const char *dump[2];
    struct garden_text t[2];
    for (int i = 0; i < 2; i++) {
        t[i] = garden_text_read(a);
        cr_assert(t[i].status == HR_OK, "%s", garden_text_diags(&t[i]));
        struct strbuf b;
        strbuf_init(&b, t[i].arena);
        plan_dump(plan_of(&t[i], 0.01), &b);
        dump[i] = b.p;
    }
    cr_assert_str_eq(dump[0], dump[1]);
    garden_text_free(&t[0]);
    garden_text_free(&t[1]);
}

/* The same garden beside a neighbour to the north, with and without a limit; in the south the
 * neighbour is to the south. */
static double shaded_plan(const char *head, const char *plot, double *loss)
{
    char yaml[2048];
    snprintf(yaml, sizeof yaml, "%splots:\n  - %s\nseed:\n%s%s%s", head, plot, CORN,
             "  - {variety: B, crop: bush bean, days: 85 days}\n", POTATO);
    struct garden_text t = garden_text_read(yaml);
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    struct plan *plan = plan_of(&t, 1e-2); /* verified */
    double value = plan->value;
    cr_assert(plan->bound >= value, "bound %g, value %g", plan->bound, value);
    *loss = plan->menu.nsetbacks == 0 ? -1
                                      : arrange_loss(plan->menu.setbacks[0].neighbour, &plan->zones,
                                                     plan->blocks, plan->nblocks);
    garden_text_free(&t);
    return value;
}

#define SOUTH                                                                                      \
    "garden: g\nunits: metric\nyear: 2027\nsite:\n  latitude: -42 deg\n"                           \
    "  last frost: {early: Oct 27, median: Nov 7, late: Nov 19}\n"                                 \
    "  first frost: {early: Mar 25, median: Apr 6, late: Apr 18}\n"
#define BESIDE(rows, bearing, side, shade)                                                         \
    "{name: p, size: 5 m x 6 m, rows: " rows ", bearing: " bearing ", edges: [{side: " side        \
    ", kind: neighbour, shade: " shade "}]}"

Test(plan, neighbours_keep_their_light, .timeout = 400)
{
    double wide_loss, loss;
    double wide = shaded_plan(HEAD("metric"), BESIDE("along-x", "0 deg", "3", "60 %"), &wide_loss);
    cr_assert(wide_loss > 0.02, "without a limit the neighbour loses %g", wide_loss);
    static const struct {
        const char *head, *plot;
        double most;
    } binds[] = {
        {HEAD("metric"), BESIDE("along-x", "0 deg", "3", "1 %"), 0.01},
        {HEAD("metric"), BESIDE("along-x", "180 deg", "1", "1 %"), 0.01},
        {HEAD("metric"), BESIDE("along-y", "30 deg", "3", "2 %"), 0.02},
        {SOUTH, BESIDE("along-x", "0 deg", "1", "1 %"), 0.01},
        {HEAD("metric"), BESIDE("either", "0 deg", "3", "0 %"), 0},
    };
    for (size_t i = 0; i < sizeof binds / sizeof *binds; i++) {
        double value = shaded_plan(binds[i].head, binds[i].plot, &loss);
        cr_assert(loss <= binds[i].most + 1e-9, "case %zu: %g", i, loss);
        cr_assert(value > 0.7 * wide && value < 1.2 * wide, "case %zu: %g, wide %g", i, value,
                  wide);
    }
}
