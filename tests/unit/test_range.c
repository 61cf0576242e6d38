/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "plan_text.h"
#include "range.h"

#define MANY 40000 /* draws, where a quantile is held against the figure it stands for */

/* A quantile of so many draws is off by about 0.9 % of the distance to the middle; five times that.
 */
#define MONTE_CARLO 0.045

static struct plan_text bed(const char *seeds)
{
    char yaml[2048];
    snprintf(yaml, sizeof yaml,
             "%splots:\n  - {name: Home, size: 6 m x 9 m, rows: along-x}\nseed:\n%s",
             PLAN_TEXT_HEAD, seeds);
    return plan_text_new(yaml);
}

#define POTATO "  - {variety: Cellar Gold, crop: potato}\n"
#define BEANS  "  - {variety: Little Drum, crop: bush bean}\n"
#define GUILD                                                                                      \
    "  - {variety: Ember Ridge, crop: flint corn, days: 90 days}\n"                                \
    "  - {variety: Wren's Speckled, crop: climbing bean, days: 90 days}\n"                         \
    "  - {variety: Long Lantern, crop: butternut squash, days: 95 days}\n"

/* The library's copy in the test's own arena: figures may be set. */
static struct crop *crop_of(struct plan_text *p, size_t seed)
{
    return (struct crop *)garden_seed(p->plan->garden, seed)->crop;
}

static void make_sure(struct range *r)
{
    r->low = r->high = r->typ;
}

/* Takes all doubt from a crop. */
static void all_sure(struct crop *c)
{
    struct range *figures[] = {&c->yield_kg_m2,
                               &c->best_density_m2,
                               &c->half_density_m2,
                               &c->shade_response,
                               &c->plant_h,
                               &c->weed_h_m2,
                               &c->harvest_h_kg,
                               &c->food.energy_kcal_kg,
                               &c->food.protein_kg_kg,
                               &c->food.digestibility,
                               &c->food.refuse};
    for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
        make_sure(figures[i]);
}

static void set(struct range *r, double low, double typ, double high)
{
    r->low = low;
    r->typ = typ;
    r->high = high;
}

static void draw(struct plan_text *p, int draws, unsigned long seed)
{
    struct food food;
    CALL(place_stations(p->plan));
    CALL(plan_totals(p->plan, &food));
    CALL(range_plan(p->plan, draws, seed));
}

static struct span *spans_of(struct plan *plan, int n)
{
    struct span *of_plan[] = {&plan->person_days, &plan->energy_kcal, &plan->protein_g,
                              &plan->usable_protein_g, &plan->hours};
    if (n < 5)
        return of_plan[n];
    n -= 5;
    if (n >= 3 * plan->ncrops)
        return NULL;
    struct crop_result *c = &plan->crops[n / 3];
    return n % 3 == 0 ? &c->kg : n % 3 == 1 ? &c->energy_kcal : &c->protein_g;
}

/* In a sole stand the harvest is the yield figure times the rest: its 80 % range is the figure's.
 */
Test(range, yield_figure_comes_through)
{
    struct plan_text p = bed(POTATO);
    struct crop *c = crop_of(&p, 0);
    all_sure(c);
    set(&c->yield_kg_m2, 2, 3, 5);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 4);
    draw(&p, MANY, RANGE_SEED);
    const struct span *kg = &p.plan->crops[0].kg, *e = &p.plan->crops[0].energy_kcal;
    cr_assert(kg->typ > 10, "%g kg", kg->typ);
    cr_assert(near(kg->low / kg->typ, 2.0 / 3, MONTE_CARLO * 1 / 3), "low %g", kg->low / kg->typ);
    cr_assert(near(kg->high / kg->typ, 5.0 / 3, MONTE_CARLO * 2 / 3), "high %g",
              kg->high / kg->typ);
    cr_assert(near(e->low / e->typ, kg->low / kg->typ, 1e-9), "food is sure, so it follows");
    cr_assert(near(p.plan->energy_kcal.high, e->high, 1e-9 * e->high),
              "the only crop is the whole");
    plan_text_free(&p);
}

Test(range, food_figures_come_through)
{
    struct plan_text p = bed(POTATO);
    struct crop *c = crop_of(&p, 0);
    all_sure(c);
    set(&c->food.energy_kcal_kg, 600, 700, 750);
    set(&c->food.protein_kg_kg, 0.015, 0.02, 0.022);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 4);
    draw(&p, MANY, RANGE_SEED);
    const struct crop_result *r = &p.plan->crops[0];
    cr_assert(near(r->kg.low, r->kg.typ, 1e-9) && near(r->kg.high, r->kg.typ, 1e-9));
    cr_assert(near(r->energy_kcal.low / r->energy_kcal.typ, 6.0 / 7, MONTE_CARLO / 7));
    cr_assert(near(r->energy_kcal.high / r->energy_kcal.typ, 7.5 / 7, MONTE_CARLO * 0.5 / 7));
    cr_assert(near(r->protein_g.low / r->protein_g.typ, 0.75, MONTE_CARLO * 0.25));
    cr_assert(near(r->protein_g.high / r->protein_g.typ, 1.1, MONTE_CARLO * 0.1));
    plan_text_free(&p);
}

/* Harvest hours follow the harvest; the hours of planting and weeding do not. */
Test(range, hours_follow_the_harvest)
{
    struct plan_text p = bed(POTATO);
    struct crop *c = crop_of(&p, 0);
    all_sure(c);
    set(&c->yield_kg_m2, 2, 3, 5);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 4);
    draw(&p, 2000, RANGE_SEED);
    const struct span *h = &p.plan->hours, *kg = &p.plan->crops[0].kg;
    cr_assert(near(h->high - h->typ, (kg->high - kg->typ) * c->harvest_h_kg.typ, 1e-9));
    cr_assert(near(h->typ - h->low, (kg->typ - kg->low) * c->harvest_h_kg.typ, 1e-9));
    plan_text_free(&p);
}

/* Yields of two crops are correlated by 0.5: of sums of normal variates the standard deviation is
 * sqrt(a^2 + b^2 + 2 * 0.5 * a * b). The two are made to bring the same energy, where that tells
 * most. */
Test(range, crops_share_half_their_luck)
{
    struct plan_text p = bed(POTATO BEANS);
    const char *names[2] = {"potato", "bush bean"};
    for (size_t s = 0; s < 2; s++) {
        all_sure(crop_of(&p, s));
        set(&crop_of(&p, s)->yield_kg_m2, s ? 0.2 : 2, s ? 0.3 : 3, s ? 0.4 : 4);
        plan_text_block(&p, 0, SYSTEM_ROWS, names[s], 3);
    }
    draw(&p, 1, RANGE_SEED);
    cr_assert(p.plan->ncrops == 2);
    struct range *kcal = &crop_of(&p, 1)->food.energy_kcal_kg;
    kcal->typ *= p.plan->crops[0].energy_kcal.typ / p.plan->crops[1].energy_kcal.typ;
    make_sure(kcal);
    draw(&p, MANY, RANGE_SEED);
    double a = p.plan->crops[0].energy_kcal.typ / 3, b = p.plan->crops[1].energy_kcal.typ / 3;
    double apart = sqrt(a * a + b * b + a * b);
    const struct span *e = &p.plan->energy_kcal;
    cr_assert(near(a, b, 1e-6 * a));
    cr_assert(near(e->typ - e->low, apart, MONTE_CARLO * apart), "%g, %g", e->typ - e->low, apart);
    cr_assert(near(e->high - e->typ, apart, MONTE_CARLO * apart), "%g, %g", e->high - e->typ,
              apart);
    plan_text_free(&p);
}

Test(range, what_is_sure_stays_sure)
{
    struct plan_text p = bed(POTATO BEANS);
    all_sure(crop_of(&p, 0));
    all_sure(crop_of(&p, 1));
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 2);
    plan_text_block(&p, 0, SYSTEM_ROWS, "bush bean", 2);
    draw(&p, 300, 1);
    const struct span *s;
    for (int i = 0; (s = spans_of(p.plan, i)) != NULL; i++)
        cr_assert(near(s->low, s->typ, 1e-9 * s->typ) && near(s->high, s->typ, 1e-9 * s->typ),
                  "span %d: %.12g %.12g %.12g", i, s->low, s->typ, s->high);
    plan_text_free(&p);
}

/* How crops grown together press on each other is not known well: that alone makes a range. */
Test(range, mixtures_are_unsure)
{
    struct plan_text p = bed(GUILD);
    for (size_t s = 0; s < 3; s++)
        all_sure(crop_of(&p, s));
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 4);
    draw(&p, 2000, RANGE_SEED);
    cr_assert(p.plan->ncrops == 3);
    for (int c = 0; c < 3; c++) {
        const struct span *kg = &p.plan->crops[c].kg;
        cr_assert(kg->low < 0.99 * kg->typ && kg->high > 1.01 * kg->typ, "crop %d: %g %g %g", c,
                  kg->low, kg->typ, kg->high);
    }
    plan_text_free(&p);
}

Test(range, every_span_holds_its_typical)
{
    for (int draws = 1; draws <= 300; draws += 13) {
        struct plan_text p = plan_text_good("");
        CALL(range_plan(p.plan, draws, (unsigned long)draws));
        const struct span *s;
        int i = 0;
        for (; (s = spans_of(p.plan, i)) != NULL; i++)
            cr_assert(0 <= s->low && s->low <= s->typ && s->typ <= s->high && isfinite(s->high),
                      "%d draws, span %d: %g %g %g", draws, i, s->low, s->typ, s->high);
        cr_assert(i > 5 + 3 * 4, "%d spans", i);
        plan_text_free(&p);
    }
}

Test(range, the_same_seed_gives_the_same_bytes)
{
    struct plan_text a = plan_text_good(""), b = plan_text_good("");
    bool other = false;
    CALL(range_plan(a.plan, 500, 7));
    CALL(range_plan(b.plan, 500, 7));
    for (int i = 0; spans_of(a.plan, i); i++)
        cr_assert(memcmp(spans_of(a.plan, i), spans_of(b.plan, i), sizeof(struct span)) == 0,
                  "span %d", i);
    CALL(range_plan(b.plan, 500, 8));
    for (int i = 0; spans_of(a.plan, i); i++)
        other |= memcmp(spans_of(a.plan, i), spans_of(b.plan, i), sizeof(struct span)) != 0;
    cr_assert(other, "another seed is another draw");
    plan_text_free(&a);
    plan_text_free(&b);
}

/* Common random numbers: what else is grown does not change a crop's luck. */
Test(range, another_crop_changes_no_ones_luck)
{
    struct plan_text alone = bed(POTATO), both = bed(BEANS POTATO);
    plan_text_block(&alone, 0, SYSTEM_ROWS, "potato", 3);
    plan_text_block(&both, 0, SYSTEM_ROWS, "potato", 3);
    plan_text_block(&both, 0, SYSTEM_ROWS, "bush bean", 3);
    for (int k = 0; k < 2; k++)
        alone.plan->blocks[0].light[0] = both.plan->blocks[k].light[0] = 0.9;
    draw(&alone, 700, 3);
    draw(&both, 700, 3);
    const struct crop_result *a = &alone.plan->crops[0], *b = &both.plan->crops[1];
    cr_assert(strcmp(a->seed->crop->name.s, b->seed->crop->name.s) == 0);
    cr_assert(near(a->kg.typ, b->kg.typ, 1e-9));
    cr_assert(near(a->kg.low, b->kg.low, 1e-9) && near(a->kg.high, b->kg.high, 1e-9));
    cr_assert(near(a->energy_kcal.low, b->energy_kcal.low, 1e-6));
    plan_text_free(&alone);
    plan_text_free(&both);
}

Test(range, no_draws_are_refused)
{
    struct plan_text p = plan_text_good("");
    struct span before = p.plan->hours;
    cr_assert(range_plan(p.plan, 0, 1) == HR_BUG);
    cr_assert(memcmp(&before, &p.plan->hours, sizeof before) == 0, "untouched");
    plan_text_free(&p);
}

/* The plot full of hills of the guild: what it gives for each m2. */
static void fill_with_hills(struct plan_text *p, const struct planting *q, double *m2)
{
    const struct zone *z = &p->plan->zones.items[0];
    p->plan->nblocks = 0;
    struct block *b = plan_text_block(p, 0, SYSTEM_HILLS, "corn, bean and squash", 1);
    b->planting = q;
    b->lines = 1 + (int)floor((z->depth_m - q->first_m) / q->line_m);
    b->depth_m = planting_depth(q, b->lines);
    for (int k = 0; k < q->nparts; k++)
        b->light[k] = 1;
    *m2 = z->length_m * b->depth_m;
    draw(p, RANGE_DRAWS, RANGE_SEED);
}

/* The published figure lies inside the 80 % range, and the typical one within `off` of it. */
static void lands_on(const struct span *s, double m2, double published, double off,
                     const char *what, double pitch_m)
{
    double typ = s->typ / m2;
    cr_log_info("%s at %.2f m: %.1f (%.1f to %.1f), %+.0f %%", what, pitch_m, typ, s->low / m2,
                s->high / m2, 100 * (typ / published - 1));
    cr_assert(s->low / m2 < published && published < s->high / m2, "%s at %.2f m: %.1f to %.1f",
              what, pitch_m, s->low / m2, s->high / m2);
    cr_assert(near(typ / published, 1, off), "%s at %.2f m: %.1f", what, pitch_m, typ);
}

/* Mt.Pleasant J. 2016, Ethnobiology Letters 7(1):87-98: maize, bean and pumpkin together gave 12.25
 * million kcal and 349 kg protein a hectare. The whole way, from the figures in crops/ to the
 * ranges, for hills at each pitch the guild's file allows. How far off the typical figures are
 * stands in docs/model.md. */
Test(range, guild_lands_on_mt_pleasants_field)
{
    struct plan_text p = bed(GUILD);
    const struct menu *menu = &p.plan->menu;
    int pitches = 0;
    for (int i = 0; i < menu->nplantings; i++) {
        const struct planting *q = &menu->plantings[i];
        double m2;
        if (q->system != SYSTEM_HILLS || strcmp(q->guild->name.s, "corn, bean and squash") != 0)
            continue;
        fill_with_hills(&p, q, &m2);
        lands_on(&p.plan->energy_kcal, m2, 1225, 0.25, "kcal/m2", q->pitch_m);
        lands_on(&p.plan->protein_g, m2, 34.9, 0.25, "g protein/m2", q->pitch_m);
        pitches++;
    }
    cr_assert(pitches == 3, "%d pitches", pitches);
    plan_text_free(&p);
}
