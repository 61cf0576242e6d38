/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "allocate.h"
#include "menu_text.h"

/* A garden small enough to count out every way of filling it. */
#define SMALL                                                                                      \
    "garden: small\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                        \
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"                                 \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"                                \
    "plots:\n  - {name: bed, size: 1.6 m x 2.3 m, rows: along-x, border: 10 cm}\n"                 \
    "seed:\n"                                                                                      \
    "  - {variety: A, crop: flint corn, amount: 60 seeds, days: 90 days}\n"                        \
    "  - {variety: B, crop: summer squash, amount: 20 seeds}\n"                                    \
    "  - {variety: C, crop: potato}\n"

static hr_status solve(struct made *s, struct allocation *out)
{
    struct allocate_options o = {.seconds = 20, .gap = 1e-7};
    return allocate(s->text.garden, &s->zones, &s->menu, &o, s->text.arena, s->text.diags, out);
}

/* Every way to fill one zone, counted out: whole lines of each planting, and one line shared by up
 * to four; the best value of those that keep the terms. Shares nothing with the program but the
 * menu. */
struct brute {
    const struct made *s;
    int lines[64], shared[64];
    double best;
    long tried;
};

/* Stations of item i as planned, in whole lines and in the shared line. */
static int stations(const struct brute *b, int i)
{
    return b->lines[i] * b->s->menu.items[i].stations[0] + b->shared[i];
}

static bool terms_kept(const struct brute *b, const struct food *food, const double *kg)
{
    const struct garden *g = b->s->text.garden;
    double sown[8] = {0}, hours = 0;
    for (int i = 0; i < b->s->menu.nitems; i++) {
        const struct item *item = &b->s->menu.items[i];
        const struct part *part = &b->s->menu.plantings[item->planting].parts[0];
        sown[part->seed_index] += stations(b, i) * part->sown;
        hours += item->hours[0] * stations(b, i) / item->stations[0];
    }
    if (g->limits.hours.set && hours > g->limits.hours.v + 1e-9)
        return false;
    for (size_t s = 0; s < g->seed.n; s++) {
        const struct seed *seed = garden_seed(g, s);
        double kcal = kg[s] * food_rate_typical(seed->crop).energy_kcal;
        if (sown[s] > garden_seed_count(g, seed) + 1e-9)
            return false;
        if (g->limits.share_energy.set &&
            kcal > g->limits.share_energy.v * food->energy_kcal + 1e-6)
            return false;
        for (size_t w = 0; w < g->wishes.n; w++) {
            const struct wish *wish = garden_wish(g, w);
            if (strcmp(wish->crop_name.s, seed->crop->name.s) != 0)
                continue;
            if (wish->at_least.set && kg[s] < wish->at_least.v - 1e-9)
                return false;
            if (wish->at_most.set && kg[s] > wish->at_most.v + 1e-9)
                return false;
        }
    }
    return true;
}

/* What the goal counts a crop's food for. */
static double weight(const struct garden *g, const struct part *part)
{
    double w = 1;
    for (size_t i = 0; i < g->wishes.n; i++)
        if (garden_wish(g, i)->weight.set &&
            strcmp(garden_wish(g, i)->crop_name.s, part->crop->name.s) == 0)
            w *= garden_wish(g, i)->weight.v;
    return w;
}

static void judge(struct brute *b)
{
    const struct made *s = b->s;
    struct food food = {0}, goal = {0};
    double kg[8] = {0};
    for (int i = 0; i < s->menu.nitems; i++) {
        const struct item *item = &s->menu.items[i];
        const struct part *part = &s->menu.plantings[item->planting].parts[0];
        struct food_rate rate = food_rate_typical(part->crop);
        double more = item->kg[0][0] * stations(b, i) / item->stations[0];
        kg[part->seed_index] += more;
        food_add(&food, &rate, more);
        food_add(&goal, &rate, more * weight(s->text.garden, part));
    }
    b->tried++;
    if (terms_kept(b, &food, kg))
        b->best = fmax(
            b->best, food_value(&goal, (enum goal)s->text.garden->goal.v, &s->text.garden->ration));
}

/* Whether the variety of item i stands in the shared line already, at another spacing. */
static bool has_place(const struct brute *b, int i)
{
    const struct menu *menu = &b->s->menu;
    int seed = menu->plantings[menu->items[i].planting].parts[0].seed_index;
    for (int k = 0; k < i; k++)
        if (b->shared[k] > 0 &&
            menu->plantings[menu->items[k].planting].parts[0].seed_index == seed)
            return true;
    return false;
}

/* The shared line: stations of item i and later ones into what is left of its length. */
static void share(struct brute *b, int i, double length, double depth, int parts)
{
    if (i == b->s->menu.nitems) {
        judge(b);
        return;
    }
    const struct planting *p = &b->s->menu.plantings[b->s->menu.items[i].planting];
    for (int n = 0; n == 0 || (!has_place(b, i) && n * p->pitch_m <= length + 1e-9 &&
                               p->first_m <= depth + 1e-9 && parts > 0);
         n++) {
        if (n > 0 && n < planting_least_shared(p))
            continue;
        b->shared[i] = n;
        share(b, i + 1, length - n * p->pitch_m, depth, parts - (n > 0));
    }
    b->shared[i] = 0;
}

static void fill(struct brute *b, int i, double depth, int blocks)
{
    const struct made *s = b->s;
    if (i == s->menu.nitems) {
        share(b, 0, s->zones.items[0].length_m, depth, blocks < 4 ? blocks : 4);
        return;
    }
    const struct planting *p = &s->menu.plantings[s->menu.items[i].planting];
    for (int n = 0; n <= s->menu.items[i].most_lines; n++) {
        double left = depth - planting_depth(p, n);
        if (left < -1e-9 || blocks - (n > 0) < 0)
            break;
        b->lines[i] = n;
        fill(b, i + 1, left, blocks - (n > 0));
    }
    b->lines[i] = 0;
}

static void compare(const char *more)
{
    char yaml[4096];
    snprintf(yaml, sizeof yaml, "%s%s", SMALL, more);
    struct made s = made_of(yaml);
    struct brute b = {.s = &s, .best = -1};
    cr_assert(s.zones.n == 1 && s.menu.nitems <= 64, "one zone, a menu that can be counted out");
    fill(&b, 0, s.zones.items[0].depth_m, (int)s.text.garden->limits.blocks.v);
    cr_assert(b.tried > 100, "%s: only %ld ways tried", more, b.tried);
    struct allocation a;
    hr_status status = solve(&s, &a);
    if (b.best < 0) {
        cr_assert(status == HR_INFEASIBLE, "%s: no way is allowed, got %d", more, status);
    } else {
        cr_assert(status == HR_OK, "%s: %s", more, garden_text_diags(&s.text));
        /* the tie-breaks for fewer blocks may cost 5 of 1e-4 of the ceiling */
        cr_assert(near(a.value, b.best, 2e-3 * b.best), "%s: %g, counted out %g", more, a.value,
                  b.best);
        cr_assert(a.bound >= b.best * (1 - 1e-9), "%s: bound %g below %g", more, a.bound, b.best);
    }
    garden_text_free(&s.text);
}

Test(allocate, same_as_counting_out, .timeout = 240)
{
    compare("goal: days\n");
    compare("goal: energy\n");
    compare("goal: protein\n");
    compare("goal: days\nlimits: {share of energy: 60 %}\n");
    compare("goal: energy\nlimits: {hours: 2 h}\n");
    compare("goal: energy\nwishes: [{crop: flint corn, at least: 0.2 kg}]\n");
    compare("goal: energy\nwishes: [{crop: potato, at most: 3 kg}]\n");
    compare("goal: days\nlimits: {blocks: 2}\n");
    compare("goal: energy\nwishes: [{crop: potato, at least: 400 kg}]\n");
    compare("goal: days\nwishes: [{crop: flint corn, weight: 180 %}]\n");
    compare(
        "goal: energy\nwishes: [{crop: potato, weight: 20 %}]\nlimits: {share of energy: 70 %}\n");
}

/* Two squash plants do not need a whole row: they share one. */
Test(allocate, a_few_plants_share_a_line)
{
    struct made s = made_of(
        "garden: few\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
        "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"
        "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
        "plots:\n  - {name: bed, size: 8 m x 4 m, rows: along-x}\n"
        "seed: [{variety: B, crop: summer squash}, {variety: C, crop: potato}]\ngoal: energy\n"
        "wishes: [{crop: summer squash, at least: 2 plants, at most: 3 plants}]\n");
    struct allocation a;
    cr_assert(solve(&s, &a) == HR_OK, "%s", garden_text_diags(&s.text));
    int squash = 0, shared = 0;
    for (int c = 0; c < a.n; c++) {
        const struct item *item = &s.menu.items[a.chosen[c].item];
        if (s.menu.plantings[item->planting].parts[0].seed_index == 0)
            squash += a.chosen[c].stations;
        shared += a.chosen[c].stations > 0;
    }
    cr_assert(squash >= 2 && squash <= 3, "%d squash", squash);
    cr_assert(shared >= 2, "the rest of the line is used: %d parts", shared);
    garden_text_free(&s.text);
}

/* Taking a term away can only help. */
Test(allocate, a_binding_term_costs)
{
    struct made with = made_of(SMALL "goal: energy\nlimits: {share of energy: 60 %}\n");
    struct made without = made_of(SMALL "goal: energy\n");
    struct allocation a, b;
    CALL(solve(&with, &a));
    CALL(solve(&without, &b));
    cr_assert(b.value > a.value, "%g with the limit, %g without", a.value, b.value);
    garden_text_free(&with.text);
    garden_text_free(&without.text);
}

Test(allocate, collision_is_named_where_it_stands)
{
    struct made s = made_of(SMALL "goal: energy\nwishes:\n  - {crop: potato, at least: 400 kg}\n"
                                  "  - {crop: summer squash, at most: 3 kg}\n");
    struct allocation a;
    cr_assert(solve(&s, &a) == HR_INFEASIBLE, "400 kg of potatoes on 8 m2");
    expect_diag(s.text.diags, 16, 0, "wishes-collide");
    const char *text = garden_text_diags(&s.text);
    cr_assert(strstr(text, "the plots hold") != NULL, "%s", text);
    cr_assert(strstr(text, "summer squash") == NULL, "the harmless wish is not named: %s", text);
    garden_text_free(&s.text);
}

/* One line of ground for two crops: the relaxation takes parts of blocks, so that only plans show
 * it. The harmless wish is left out, and what could be had of each is said. */
Test(allocate, collision_that_only_plans_show)
{
    struct made s = made_of(
        SMALL "goal: energy\nlimits: {blocks: 1}\nwishes:\n  - {crop: potato, at least: 3 plants}\n"
              "  - {crop: summer squash, at least: 1 plants}\n"
              "  - {crop: flint corn, at most: 3 kg}\n");
    struct allocation a;
    cr_assert(solve(&s, &a) == HR_INFEASIBLE, "two crops in one block");
    const char *text = garden_text_diags(&s.text);
    expect_diag(s.text.diags, 17, 0, "wishes-collide");
    cr_assert(strstr(text, "together with: at least 1 plant of summer squash") != NULL, "%s", text);
    cr_assert(
        strstr(text,
               "a single block in each zone (limits: blocks); with the rest kept, 2 would do") !=
            NULL,
        "%s", text);
    cr_assert(strstr(text, "flint corn") == NULL, "a harmless wish is named: %s", text);
    cr_assert(strstr(text, "there is room for none") != NULL, "of squash: %s", text);
    cr_assert(strstr(text, "a part of these") == NULL, "no part collides: %s", text);
    garden_text_free(&s.text);
}

Test(allocate, same_program_twice)
{
    struct made s = made_of(SMALL "goal: days\n"), r = made_of(SMALL "goal: days\n");
    struct allocation a, b;
    CALL(solve(&s, &a));
    CALL(solve(&r, &b));
    struct strbuf first, second;
    strbuf_init(&first, s.text.arena);
    strbuf_init(&second, r.text.arena);
    CALL(allocate_lp(s.text.garden, &s.zones, &s.menu, s.text.arena, &first));
    CALL(allocate_lp(r.text.garden, &r.zones, &r.menu, r.text.arena, &second));
    cr_assert(strcmp(first.p, second.p) == 0, "the same LP text");
    cr_assert(a.n == b.n && a.value == b.value, "the same plan");
    for (int i = 0; i < a.n; i++)
        cr_assert(a.chosen[i].item == b.chosen[i].item && a.chosen[i].lines == b.chosen[i].lines,
                  "choice %d", i);
    garden_text_free(&s.text);
    garden_text_free(&r.text);
}
