/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "garden_text.h"
#include "garden_turn.h"
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

/* A garden in parts, so that tests can turn, rename and reorder it. */
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

Test(plan, renaming_and_reordering_change_nothing, .timeout = 240)
{
    const char *bed = "plots:\n  - {name: p, size: 4 m x 5 m, rows: along-x, bearing: 20 deg}\n";
    char a[2048], b[2048];
    snprintf(a, sizeof a, "%s%sseed:\n%s%s%s%s", HEAD("metric"), bed, CORN, BEAN, SQUASH, POTATO);
    snprintf(b, sizeof b, "%s%sseed:\n%s%s%s%s", HEAD("metric"), bed, POTATO, SQUASH,
             "  - {variety: Zed, crop: climbing bean, days: 90 days}\n", CORN);
    double va = value_of(a), vb = value_of(b);
    cr_assert(near(va, vb, 2e-3 * va), "%g and %g", va, vb);
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

/* A plot lying on its side with its bearing turned back is the same ground. */
Test(plan, turned_by_a_right_angle_is_the_same, .timeout = 240)
{
    char a[2048], b[2048];
    snprintf(a, sizeof a, "%s%sseed:\n%s%s%s%s", HEAD("metric"),
             "plots:\n  - {name: p, size: 4 m x 5 m, rows: along-x, bearing: 110 deg}\n", CORN,
             BEAN, SQUASH, POTATO);
    /* +x of the old frame is +y of the new: its compass bearing is 90 deg more than the old +y */
    snprintf(b, sizeof b, "%s%sseed:\n%s%s%s%s", HEAD("metric"),
             "plots:\n  - {name: p, size: 5 m x 4 m, rows: along-y, bearing: 200 deg}\n", CORN,
             BEAN, SQUASH, POTATO);
    double va = value_of(a), vb = value_of(b);
    cr_assert(near(va, vb, 0.01 * va), "%g and %g", va, vb);
}

/* ---- samples, turned ------------------------------------------------------------------------ */

static const char *const samples[] = {"first-plot",     "small-square",  "ell-plot",
                                      "three-plots",    "allotment-52n", "southern-34s",
                                      "trapezoid-fence"};

/* A sample, each plot turned by so many quarters with its bearing turned back. */
static struct garden_text sample_turned(const char *name, int quarters)
{
    struct garden_text t = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    const struct source *src;
    char path[120];
    snprintf(path, sizeof path, "samples/%s.yaml", name);
    CALL(library_read(t.arena, "crops", t.diags, &t.library));
    CALL(source_read(t.arena, path, t.diags, &src));
    CALL(garden_read(t.arena, src, t.library, t.diags, &t.garden));
    for (size_t i = 0; i < t.garden->plots.n; i++)
        for (int k = 0; k < quarters; k++)
            plot_turn_quarter(t.arena, garden_plot(t.garden, i));
    return t;
}

/* What the optimiser has to choose from: ground of each plot and direction, its site light, and the
 * food of every line that could stand on it. */
struct supply {
    double zoned_m2, lit_m2, energy_kcal, depth_m;
    int lines;
};

static struct supply supply_of(struct garden_text *t)
{
    struct supply s = {0};
    struct zones zones;
    struct menu menu;
    CALL(zones_cut(t->garden, t->arena, t->diags, &zones));
    CALL(menu_make(t->garden, &zones, t->arena, t->diags, &menu));
    for (size_t z = 0; z < zones.n; z++) {
        double area = zones.items[z].length_m * zones.items[z].depth_m;
        s.zoned_m2 += area;
        s.lit_m2 += area * zones.items[z].light;
        s.depth_m += zones.items[z].depth_m;
    }
    for (int i = 0; i < menu.nitems; i++) {
        s.energy_kcal += menu.items[i].most_lines * menu.items[i].food[0].energy_kcal;
        s.lines += menu.items[i].most_lines;
    }
    return s;
}

static bool within(double a, double b, double share)
{
    return fabs(a - b) <= share * fabs(a);
}

Test(plan, samples_turned_offer_the_same, .timeout = 120)
{
    for (size_t i = 0; i < sizeof samples / sizeof *samples; i++) {
        struct garden_text straight = sample_turned(samples[i], 0);
        struct supply a = supply_of(&straight);
        for (int quarters = 1; quarters < 4; quarters++) {
            struct garden_text turned = sample_turned(samples[i], quarters);
            struct supply b = supply_of(&turned);
            cr_expect(within(a.zoned_m2, b.zoned_m2, 1e-2), "%s: %g %g m2", samples[i], a.zoned_m2,
                      b.zoned_m2);
            cr_expect(within(a.lit_m2, b.lit_m2, 1e-2), "%s: %g %g lit", samples[i], a.lit_m2,
                      b.lit_m2);
            cr_expect(within(a.energy_kcal, b.energy_kcal, 1e-2), "%s: %g %g kcal", samples[i],
                      a.energy_kcal, b.energy_kcal);
            cr_expect(within(a.lines, b.lines, 1e-2), "%s: %d %d lines", samples[i], a.lines,
                      b.lines);
            garden_text_free(&turned);
        }
        garden_text_free(&straight);
    }
}

/* Of the small ones the plan's own value; those that take long may stop anywhere within their gap.
 */
Test(plan, samples_turned_are_worth_the_same, .timeout = 240)
{
    static const char *const small[] = {"small-square", "first-plot"};
    for (size_t i = 0; i < (SANITIZED ? 1 : sizeof small / sizeof *small); i++) {
        struct garden_text straight = sample_turned(small[i], 0);
        struct garden_text turned = sample_turned(small[i], 1);
        double a = plan_of(&straight, 0.01)->value, b = plan_of(&turned, 0.01)->value;
        cr_expect(within(a, b, 0.01), "%s: %g, turned %g", small[i], a, b);
        garden_text_free(&turned);
        garden_text_free(&straight);
    }
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

/* Beans behind corn: 440 g in full light, not in the corn's shade. The wish is named by its place,
 * with what it came to. */
Test(plan, a_wish_that_shade_breaks_is_named)
{
    static const char yaml[] =
        HEAD("metric") "plots:\n  - {name: bed, size: 4 m x 3 m, rows: along-x}\nseed:\n"
                       "  - {variety: A, crop: flint corn, days: 90 days}\n"
                       "  - {variety: D, crop: bush bean}\ngrow: {systems: [rows]}\ngoal: energy\n"
                       "wishes:\n  - {crop: flint corn, at least: 40 plants}\n"
                       "  - {crop: bush bean, at least: 0.44 kg}\n";
    struct garden_text t = garden_text_read(yaml);
    struct plan_make_options o = {.seconds = 30, .gap = 0.02};
    struct plan *plan = NULL;
    hr_status status = plan_make(t.garden, &o, t.arena, t.diags, &plan);
    cr_assert(status == HR_INFEASIBLE, "status %d: %s", (int)status, garden_text_diags(&t));
    expect_diag(t.diags, 17, 33, "wishes-collide");
    const char *text = garden_text_diags(&t);
    cr_assert(strstr(text, "in the shade") && strstr(text, "bush bean came to 4"), "%s", text);
    cr_assert(strstr(text, "you asked for at least 440 g"), "%s", text);
    garden_text_free(&t);
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
    for (size_t i = 0; i < (SANITIZED ? 1 : sizeof binds / sizeof *binds); i++) {
        double value = shaded_plan(binds[i].head, binds[i].plot, &loss);
        cr_assert(loss <= binds[i].most + 1e-9, "case %zu: %g", i, loss);
        cr_assert(value > 0.7 * wide && value < 1.2 * wide, "case %zu: %g, wide %g", i, value,
                  wide);
    }
}
