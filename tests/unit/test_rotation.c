/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "menu.h"
#include "plan.h"
#include "rotation.h"
#include "verify.h"

/* 4 m by 6 m with no border, so that zones can be worked out on paper. */
#define GARDEN(rule)                                                                               \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 40 deg\n"                            \
    "  last frost: {median: Apr 20}\n  first frost: {median: Oct 25}\n"                            \
    "plots:\n  - {name: A, size: 4 m x 6 m, border: 0 m, rows: along-x}\n"                         \
    "seed:\n  - {variety: Red, crop: potato}\n  - {variety: Sheaf, crop: flint corn}\n"            \
    "rotation: {rule: " rule "}\n"

static struct garden_text with(const char *yaml, const struct former *former, size_t n)
{
    struct garden_text t = garden_text_read(yaml);
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    t.garden->former = ARENA_ARRAY(t.arena, struct former, n + 1);
    memcpy(t.garden->former, former, n * sizeof *former);
    t.garden->nformer = n;
    return t;
}

static size_t items_of(const struct menu *menu, int zone, const char *crop)
{
    size_t n = 0;
    for (int i = 0; i < menu->nitems; i++)
        n += menu->items[i].zone == zone &&
             strcmp(menu->plantings[menu->items[i].planting].parts[0].crop->name.s, crop) == 0;
    return n;
}

/* It binds: the plot falls into two zones at y = 2 m, and potatoes are on offer in the clean one.
 */
Test(rotation, bar_cuts_the_zone_and_keeps_the_family_off)
{
    struct former former[] = {
        /* they touch: no cut between them */
        {.year = 2026, .x1 = 4, .y1 = 1, .family = "Solanaceae"},
        {.year = 2025, .x1 = 4, .y0 = 1, .y1 = 2, .family = "Solanaceae"},
    };
    struct garden_text t = with(GARDEN("bar"), former, 2);
    struct zones zones;
    struct menu menu;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 2, "%zu zones", zones.n);
    cr_assert(near(zones.items[0].depth_m, 2, 1e-9) && near(zones.items[1].depth_m, 4, 1e-9));
    CALL(menu_make(t.garden, &zones, t.arena, t.diags, &menu));
    cr_assert(items_of(&menu, 0, "potato") == 0 && items_of(&menu, 1, "potato") > 0);
    cr_assert(items_of(&menu, 0, "flint corn") > 0 && items_of(&menu, 1, "flint corn") > 0);
    garden_text_free(&t);
}

/* It does not bind: told only, the ground stays whole and open to all; nor on another plot, nor
 * where the overlap is rounding. */
Test(rotation, tell_leaves_the_ground_whole)
{
    struct former former = {.year = 2026, .x1 = 4, .y1 = 2, .family = "Solanaceae"};
    struct garden_text t = with(GARDEN("tell"), &former, 1);
    const struct crop *potato = garden_seed(t.garden, 0)->crop;
    struct zones zones;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 1);
    cr_assert(!rotation_bars(t.garden, &zones.items[0], potato));
    cr_assert(rotation_former(t.garden, &zones.items[0], potato) == t.garden->former);
    cr_assert(!rotation_former(t.garden, &zones.items[0], garden_seed(t.garden, 1)->crop));
    t.garden->former->plot = 1;
    cr_assert(!rotation_former(t.garden, &zones.items[0], potato), "another plot");
    t.garden->former->plot = 0;
    t.garden->former->y1 = 0.005;
    cr_assert(!rotation_former(t.garden, &zones.items[0], potato), "half a centimetre");
    garden_text_free(&t);
}

/* Ground too shallow for a line by itself is given up where it would keep a family off much more:
 * 20 cm of 6 m, at an end or in the middle. */
Test(rotation, slivers_are_given_up_for_much_ground)
{
    struct former former = {.year = 2026, .x1 = 4, .y1 = 0.2, .family = "Solanaceae"};
    struct garden_text t = with(GARDEN("bar"), &former, 1);
    const struct crop *potato = garden_seed(t.garden, 0)->crop;
    struct zones zones;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 1 && near(zones.items[0].depth_m, 5.8, 1e-9));
    cr_assert(!rotation_bars(t.garden, &zones.items[0], potato));
    cr_assert(near(zones.grounds[0].zoned_m2, 4 * 5.8, 1e-6), "it is told as lost");
    t.garden->former->y0 = 3;
    t.garden->former->y1 = 3.2;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 2 && near(zones.items[0].r.y1, 3, 1e-9) &&
              near(zones.items[1].r.y0, 3.2, 1e-9) && near(zones.items[1].r.y1, 6, 1e-9));
    cr_assert(!rotation_bars(t.garden, &zones.items[0], potato) &&
              !rotation_bars(t.garden, &zones.items[1], potato));
    garden_text_free(&t);
}

/* Else it goes with its neighbour, and that is kept off with it: 25 cm of 1 m; where no seed in
 * hand is kept off; and where the rule is only to avoid. */
Test(rotation, slivers_stay_with_their_neighbour)
{
    struct former former[] = {
        {.year = 2026, .x1 = 4, .y1 = 0.25, .family = "Solanaceae"},
        {.year = 2026, .x1 = 4, .y0 = 1, .y1 = 6, .family = "Poaceae"},
    };
    struct garden_text t = with(GARDEN("bar"), former, 2);
    struct zones zones;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 2 && near(zones.items[0].depth_m, 1, 1e-9));
    cr_assert(rotation_bars(t.garden, &zones.items[0], garden_seed(t.garden, 0)->crop));
    t.garden->former[0].family = "Alliaceae";
    t.garden->nformer = 1;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 1 && near(zones.items[0].depth_m, 6, 1e-9), "nobody has onions");
    t.garden->former[0].family = "Solanaceae";
    t.garden->rotation.rule.v = ROTATION_AVOID;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 1 && near(zones.items[0].depth_m, 6, 1e-9));
    garden_text_free(&t);
}

/* Slivers side by side join what is before them, when none is behind. */
Test(rotation, slivers_at_the_end_go_together)
{
    struct former former[] = {
        {.year = 2026, .x1 = 4, .y0 = 5.8, .y1 = 5.9, .family = "Solanaceae"},
        {.year = 2026, .x1 = 4, .y0 = 5.9, .y1 = 6, .family = "Poaceae"},
        {.year = 2026, .x1 = 4, .y0 = 0, .y1 = 5.8, .family = "Solanaceae"},
    };
    struct garden_text t = with(GARDEN("bar"), former, 3);
    struct zones zones;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 1 && near(zones.items[0].depth_m, 5.9, 1e-9), "%g",
              zones.items[0].depth_m);
    cr_assert(!rotation_bars(t.garden, &zones.items[0], garden_seed(t.garden, 1)->crop));
    garden_text_free(&t);
}

static double weight_in(const struct menu *menu, int zone, const char *crop)
{
    for (int i = 0; i < menu->nitems; i++)
        if (menu->items[i].zone == zone &&
            strcmp(menu->plantings[menu->items[i].planting].parts[0].crop->name.s, crop) == 0)
            return menu->items[i].weight[0];
    return -1;
}

/* The same ground as above, avoided: potatoes are on offer in it, for 70 % of their food. */
Test(rotation, avoid_cuts_the_zone_and_weighs)
{
    struct former former = {.year = 2026, .x1 = 4, .y1 = 2, .family = "Solanaceae"};
    struct garden_text t = with(GARDEN("avoid"), &former, 1);
    struct zones zones;
    struct menu menu;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 2 && near(zones.items[0].depth_m, 2, 1e-9));
    CALL(menu_make(t.garden, &zones, t.arena, t.diags, &menu));
    cr_assert(near(weight_in(&menu, 0, "potato"), 0.7, 1e-9));
    cr_assert(weight_in(&menu, 1, "potato") == 1 && weight_in(&menu, 0, "flint corn") == 1);
    t.garden->rotation.rule.v = ROTATION_TELL;
    CALL(menu_make(t.garden, &zones, t.arena, t.diags, &menu));
    cr_assert(weight_in(&menu, 0, "potato") == 1, "it is told only");
    garden_text_free(&t);
}

/* x 0 to 2 in one year and 1 to 3 in another are three quarters of 4 m; all of it above that is
 * another share, and a cut, but not where the family is barred from both. */
Test(rotation, part_of_a_stretch_costs_a_part)
{
    struct former former[] = {
        {.year = 2025, .x1 = 2, .y1 = 2, .family = "Solanaceae"},
        {.year = 2026, .x0 = 1, .x1 = 3, .y1 = 2, .family = "Solanaceae"},
        {.year = 2026, .x1 = 4, .y0 = 2, .y1 = 4, .family = "Solanaceae"},
    };
    struct garden_text t = with(GARDEN("avoid, cost: 40 %"), former, 3);
    const struct crop *potato = garden_seed(t.garden, 0)->crop;
    struct zones zones;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 3, "%zu zones", zones.n);
    cr_assert(near(rotation_share(t.garden, &zones.items[0], potato), 0.75, 1e-9));
    cr_assert(near(rotation_cost(t.garden, &zones.items[0], potato), 0.3, 1e-9));
    cr_assert(near(rotation_cost(t.garden, &zones.items[1], potato), 0.4, 1e-9));
    cr_assert(rotation_cost(t.garden, &zones.items[2], potato) == 0);
    t.garden->rotation.rule.v = ROTATION_BAR;
    cr_assert(rotation_cost(t.garden, &zones.items[1], potato) == 0);
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    cr_assert(zones.n == 2, "%zu zones", zones.n);
    garden_text_free(&t);
}

/* Potatoes give most energy. They come back to their ground where that costs little (it does not
 * bind), and leave it to corn where it costs much; what the plan says of food is the food. */
Test(rotation, avoided_where_that_costs_less_food)
{
    struct former former = {.year = 2026, .x1 = 4, .y1 = 6, .family = "Solanaceae"};
    static const char *const yaml[] = {GARDEN("avoid, cost: 1 %") "goal: energy\n",
                                       GARDEN("avoid, cost: 95 %") "goal: energy\n"};
    double kg[2] = {0, 0};
    for (int i = 0; i < 2; i++) {
        struct garden_text t = with(yaml[i], &former, 1);
        struct plan_make_options o = {.seconds = 60, .gap = 0.02};
        struct plan *plan;
        CALL(plan_make(t.garden, &o, t.arena, t.diags, &plan));
        cr_assert(verify_plan(plan, t.arena, t.diags) == HR_OK, "%s", garden_text_diags(&t));
        double due = plan->energy_kcal.typ;
        for (int c = 0; c < plan->ncrops; c++)
            if (plan->crops[c].seed == garden_seed(t.garden, 0)) {
                kg[i] = plan->crops[c].kg.typ;
                due -= t.garden->rotation.cost.v * plan->crops[c].energy_kcal.typ;
            }
        cr_assert(near(plan->value, due, 1e-6 * due), "%g, due %g", plan->value, due);
        cr_assert(plan->food_bound >= plan->energy_kcal.typ);
        garden_text_free(&t);
    }
    cr_assert(kg[0] > 20 && kg[1] < 0.2 * kg[0], "%g kg, %g kg", kg[0], kg[1]);
}
