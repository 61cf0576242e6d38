/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the plan comes to: seed, harvest, food, hours, the gardener's terms. See verify.h. */
#include "verify_work.h"

#include <math.h>
#include <string.h>

#include "haul.h"
#include "num.h"
#include "work.h"

/* a <= b, but for rounding. */
static bool at_most(double a, double b)
{
    return a <= b + VERIFY_PART * fmax(1e-3, fabs(b));
}

/* ---- counting ---------------------------------------------------------------------------------
 */

/* Typical kg of one plant of each part, from the laws of stands. */
static void plant_kg(const struct block *block, double *kg)
{
    const struct planting *p = block->planting;
    struct stand_figures figures[STAND_PARTS_MAX];
    struct stand_part parts[STAND_PARTS_MAX];
    struct stand_mixture mix;
    stand_mixture_typical(&mix);
    for (int k = 0; k < p->nparts; k++) {
        const struct part *part = &p->parts[k];
        double ground_m2 = part->every * p->pitch_m * p->line_m;
        stand_figures_typical(part->crop, &figures[k]);
        parts[k] = (struct stand_part){
            .figures = &figures[k],
            .law = (enum density_law)part->crop->density_law.v,
            .role = part->role,
            .density_m2 = part->per_station / ground_m2,
            .per_hill = p->system == SYSTEM_HILLS ? part->per_station : 1,
            .delay_d = part->delay_d,
            .light = block->light[k],
        };
    }
    stand_yields(parts, p->nparts, &mix, kg);
    for (int k = 0; k < p->nparts; k++)
        kg[k] = p->parts[k].seed->for_seed ? 0 : kg[k] / parts[k].density_m2;
}

/* kg: per part of the block; weight: what they count for. */
static void count_station(struct verifying *v, const struct station *s, const double *kg,
                          const double *weight)
{
    const struct planting *p = v->plan->blocks[s->block].planting;
    v->blocks[s->block].stations++;
    for (int k = 0; k < p->nparts; k++) {
        struct tally *both[] = {&v->tallies[p->parts[k].seed_index], &v->blocks[s->block].parts[k]};
        if (s->plants[k] == 0)
            continue;
        for (size_t i = 0; i < 2; i++) {
            both[i]->plants += s->plants[k];
            both[i]->spots++;
            both[i]->sown += p->parts[k].sown;
            both[i]->kg += s->plants[k] * kg[k];
            both[i]->goal_kg += s->plants[k] * kg[k] * weight[k];
        }
        v->hours += s->plants[k] * kg[k] * p->parts[k].crop->harvest_h_kg.typ;
    }
    v->hours += planting_station_hours_typical(p);
}

void verify_count(struct verifying *v)
{
    const struct plan *plan = v->plan;
    double(*kg)[STAND_PARTS_MAX] =
        arena_alloc(v->arena, (size_t)plan->nblocks, sizeof(double[STAND_PARTS_MAX]));
    double(*weight)[STAND_PARTS_MAX] =
        arena_alloc(v->arena, (size_t)plan->nblocks, sizeof(double[STAND_PARTS_MAX]));
    v->tallies = ARENA_ARRAY(v->arena, struct tally, v->garden->seed.n);
    v->blocks = ARENA_ARRAY(v->arena, struct block_tally, (size_t)plan->nblocks);
    if (!kg || !weight || !v->tallies || !v->blocks) {
        v->nomem = true;
        return;
    }
    for (int b = 0; b < plan->nblocks; b++) {
        const struct block *block = &plan->blocks[b];
        const struct planting *p = block->planting;
        double area = (p->first_m + (block->lines - 1) * p->line_m) * block->length_m;
        plant_kg(block, kg[b]);
        v->area_m2 += area;
        for (int k = 0; k < p->nparts; k++) {
            v->blocks[b].parts[k].area_m2 = area / p->nparts;
            weight[b][k] = verify_weight(v, b, k);
        }
        for (int k = 0; k < p->nparts; k++)
            v->tallies[p->parts[k].seed_index].area_m2 += area / p->nparts;
    }
    for (int s = 0; s < plan->nstations; s++) {
        int b = plan->stations[s].block;
        count_station(v, &plan->stations[s], kg[b], weight[b]);
    }
    for (size_t s = 0; s < v->garden->seed.n; s++) {
        struct food_rate rate = food_rate_typical(garden_seed(v->garden, s)->crop);
        food_add(&v->food, &rate, v->tallies[s].kg);
        food_add(&v->goal, &rate, v->tallies[s].goal_kg);
    }
}

/* ---- seed and crops -----------------------------------------------------------------------------
 */

/* Sown so thickly that germination and emergence leave the plants that are kept. */
void verify_sowing(struct verifying *v)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct planting *p = v->plan->blocks[b].planting;
        for (int k = 0; k < p->nparts && !planting_standing(p); k++) {
            const struct part *part = &p->parts[k];
            const struct crop *crop = part->crop;
            double up = 1;
            if (crop->seeds_per_kg.set) {
                double age = v->garden->year.v - part->seed->year.v - crop->keeps_y.typ;
                bool old = part->seed->year.set && crop->keeps_y.set && age > 0;
                up = part->seed->germination.set ? part->seed->germination.v
                     : crop->germination.set     ? crop->germination.typ
                                                 : 1;
                if (old && !part->seed->germination.set)
                    up *= pow(0.75, age);
                up = fmax(0.05, up * (crop->emergence.set ? crop->emergence.typ : 1));
            }
            if (part->sown * up < part->per_station - VERIFY_PART)
                verify_breach(v, "%s: %s of %s sown at a spot leave no %d plants",
                              verify_block(v, b), verify_number(v, part->sown),
                              part->seed->variety.s, part->per_station);
        }
    }
}

void verify_seed(struct verifying *v)
{
    for (size_t s = 0; s < v->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(v->garden, s);
        double hand = garden_seed_count(v->garden, seed);
        if (!at_most(v->tallies[s].sown, hand))
            verify_breach_at(v, seed->at, "%s of %s are sown; there are %s without the reserve",
                             verify_number(v, v->tallies[s].sown), seed->variety.s,
                             verify_number(v, hand));
    }
}

static void crop_counts(struct verifying *v, const struct crop_result *c, const struct tally *t)
{
    const char *name = c->seed->variety.s;
    if (c->plants != t->plants || c->spots != t->spots)
        verify_breach(v, "%s has %d plants at %d spots; the stations have %d at %d", name,
                      c->plants, c->spots, t->plants, t->spots);
    if (!verify_same(c->sown, t->sown))
        verify_breach(v, "%s seeds of %s are said to be sown; the stations take %s",
                      verify_number(v, c->sown), name, verify_number(v, t->sown));
    if (!verify_same(c->area_m2, t->area_m2))
        verify_breach(v, "%s is said to take %s m2; its blocks take %s", name,
                      verify_number(v, c->area_m2), verify_number(v, t->area_m2));
}

/* Each variety with plants is told of once, in the order of the seed in hand. */
void verify_crops(struct verifying *v)
{
    int c = 0;
    for (size_t s = 0; s < v->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(v->garden, s);
        if (c < v->plan->ncrops && v->plan->crops[c].seed == seed)
            crop_counts(v, &v->plan->crops[c++], &v->tallies[s]);
        else if (v->tallies[s].plants > 0)
            verify_breach(v, "%s is planted but not told of", seed->variety.s);
    }
    if (c != v->plan->ncrops)
        verify_breach(v, "crops are told of twice, or out of order");
}

/* ---- food ----------------------------------------------------------------------------------- */

static void expect(struct verifying *v, const char *what, double told, double found)
{
    if (!verify_same(told, found))
        verify_breach(v, "%s is said to be %s; it is %s", what, verify_number(v, told),
                      verify_number(v, found));
}

static void expect_of(struct verifying *v, const char *what, const struct seed *seed, double told,
                      double found)
{
    const char *text = arena_printf(v->arena, "%s of %s", what, seed->variety.s);
    expect(v, text ? text : what, told, found);
}

void verify_food(struct verifying *v)
{
    const struct plan *plan = v->plan;
    for (int c = 0; c < plan->ncrops; c++) {
        const struct crop_result *r = &plan->crops[c];
        size_t s = (size_t)(r->seed - garden_seed(v->garden, 0));
        struct food_rate rate = food_rate_typical(r->seed->crop);
        double kg = v->tallies[s].kg;
        expect_of(v, "the harvest (kg)", r->seed, r->kg.typ, kg);
        expect_of(v, "the energy (kcal)", r->seed, r->energy_kcal.typ, kg * rate.energy_kcal);
        expect_of(v, "the protein (g)", r->seed, r->protein_g.typ, kg * rate.protein_g);
    }
    double usable = food_usable_protein(&v->food, NULL);
    expect(v, "the food energy (kcal)", plan->energy_kcal.typ, v->food.energy_kcal);
    expect(v, "the protein (g)", plan->protein_g.typ, v->food.protein_g);
    expect(v, "the usable protein (g)", plan->usable_protein_g.typ, usable);
    expect(v, "the number of person-days", plan->person_days.typ,
           food_person_days(&v->food, &v->garden->ration));
    double limit = v->food.digestible_g;
    if (plan->limiting < AMINO_COUNT)
        limit = v->food.amino_g[plan->limiting] / food_pattern[plan->limiting];
    if (!verify_same(limit, usable))
        verify_breach(v, "it is not %s that limits the protein",
                      plan->limiting < AMINO_COUNT ? amino_names[plan->limiting] : "digestibility");
}

static void verify_weeks(struct verifying *v)
{
    const struct qty *limit = &v->garden->limits.week_hours;
    double hours[LABOUR_WEEKS * WORK_COUNT] = {0};
    if (!limit->set)
        return;
    work_weeks(v->plan, LABOUR_FROM, LABOUR_WEEKS, hours);
    for (int w = 0; w < LABOUR_WEEKS; w++) {
        double sum = 0;
        for (int k = 0; k < WORK_COUNT; k++)
            sum += hours[w * WORK_COUNT + k];
        if (at_most(sum, limit->v))
            continue;
        char day[32];
        verify_breach_at(v, limit->at, "the week from %s takes %s hours; %s are there",
                         date_text(day, sizeof day, LABOUR_FROM + 7 * w), verify_number(v, sum),
                         verify_number(v, limit->v));
    }
}

static void verify_compost(struct verifying *v)
{
    const struct qty *limit = &v->garden->limits.compost_m3;
    double once = 0;
    for (int b = 0; b < v->plan->nblocks; b++)
        for (int k = 0; k < v->plan->blocks[b].planting->nparts; k++)
            once += v->plan->blocks[b].planting->slot != SLOT_SECOND &&
                            !planting_standing(v->plan->blocks[b].planting)
                        ? v->blocks[b].parts[k].area_m2
                        : 0;
    double m3 = once * haul_depth_m(HAUL_COMPOST, (enum unit_system)v->garden->units.v);
    if (limit->set && !at_most(m3, limit->v))
        verify_breach_at(v, limit->at, "the ground takes %s m3 of compost; %s are there",
                         verify_number(v, m3), verify_number(v, limit->v));
}

void verify_hours(struct verifying *v)
{
    const struct qty *limit = &v->garden->limits.hours;
    expect(v, "the work (hours)", v->plan->hours.typ, v->hours);
    verify_weeks(v);
    verify_compost(v);
    if (limit->set && !at_most(v->hours, limit->v))
        verify_breach_at(v, limit->at, "the plan takes %s hours; %s are there",
                         verify_number(v, v->hours), verify_number(v, limit->v));
}

void verify_value(struct verifying *v)
{
    const struct plan *plan = v->plan;
    enum goal goal = (enum goal)v->garden->goal.v;
    double value = food_value(&v->goal, goal, &v->garden->ration);
    double food = food_value(&v->food, goal, &v->garden->ration);
    expect(v, "the value of the goal", plan->value, value);
    if (verify_weighed(v) && !(isfinite(plan->food_bound) && at_most(food, plan->food_bound)))
        verify_breach(v, "the bound of the food, %s, is below what it gives, %s",
                      verify_number(v, plan->food_bound), verify_number(v, food));
    if (!isfinite(plan->bound) || !at_most(plan->value, plan->bound)) {
        verify_breach(v, "the bound %s is below the value %s", verify_number(v, plan->bound),
                      verify_number(v, plan->value));
        return;
    }
    double gap = plan->bound > 0 ? (plan->bound - plan->value) / plan->bound : 0;
    if (!(fabs(plan->gap - gap) <= VERIFY_PART))
        verify_breach(v, "the gap is said to be %s; it is %s", verify_number(v, plan->gap),
                      verify_number(v, gap));
}

/* ---- ranges --------------------------------------------------------------------------------- */

static void span_order(struct verifying *v, const char *what, const struct span *s)
{
    if (!(s->low >= 0 && s->low <= s->typ && s->typ <= s->high && isfinite(s->high)))
        verify_breach(v, "%s: %s (%s to %s) is no range", what, verify_number(v, s->typ),
                      verify_number(v, s->low), verify_number(v, s->high));
}

void verify_ranges(struct verifying *v)
{
    const struct plan *plan = v->plan;
    span_order(v, "person-days", &plan->person_days);
    span_order(v, "food energy", &plan->energy_kcal);
    span_order(v, "protein", &plan->protein_g);
    span_order(v, "usable protein", &plan->usable_protein_g);
    span_order(v, "hours", &plan->hours);
    for (int c = 0; c < plan->ncrops; c++) {
        span_order(v, plan->crops[c].seed->variety.s, &plan->crops[c].kg);
        span_order(v, plan->crops[c].seed->variety.s, &plan->crops[c].energy_kcal);
        span_order(v, plan->crops[c].seed->variety.s, &plan->crops[c].protein_g);
    }
    if (!(plan->shade_loss >= 0 && plan->shade_loss <= 1))
        verify_breach(v, "the share lost to shade is %s", verify_number(v, plan->shade_loss));
}

/* ---- the gardener's terms ------------------------------------------------------------------- */

static double crop_kcal(const struct verifying *v, size_t s)
{
    return v->tallies[s].kg * food_rate_typical(garden_seed(v->garden, s)->crop).energy_kcal;
}

/* Whether part k of a block is what a wish is about, and where. */
static bool wished_part(const struct verifying *v, const struct wish *wish, int b, int k)
{
    const struct planting *p = v->plan->blocks[b].planting;
    int plot = v->plan->zones.items[v->plan->blocks[b].zone].plot;
    if (wish->plot.s && strcmp(wish->plot.s, garden_plot(v->garden, (size_t)plot)->name.s) != 0)
        return false;
    if (wish->guild.s)
        return p->guild && strcmp(wish->guild.s, p->guild->name.s) == 0;
    return wish->variety.s ? strcmp(wish->variety.s, p->parts[k].seed->variety.s) == 0
                           : strcmp(wish->crop_name.s, p->parts[k].crop->name.s) == 0;
}

/* What there is of what a wish is about. */
static double wished(const struct verifying *v, const struct wish *wish, enum unit_kind kind)
{
    double sum = 0;
    for (int b = 0; b < v->plan->nblocks; b++)
        for (int k = 0; k < v->plan->blocks[b].planting->nparts; k++) {
            const struct tally *t = &v->blocks[b].parts[k];
            const struct crop *crop = v->plan->blocks[b].planting->parts[k].crop;
            if (!wished_part(v, wish, b, k))
                continue;
            if (kind == UNIT_COUNT && wish->guild.s)
                sum += k == 0 && v->plan->blocks[b].planting->system == SYSTEM_HILLS
                           ? v->blocks[b].stations
                           : 0;
            else
                sum += kind == UNIT_MASS    ? t->kg
                       : kind == UNIT_COUNT ? t->plants
                       : kind == UNIT_AREA  ? t->area_m2
                                            : t->kg * food_rate_typical(crop).energy_kcal;
        }
    if (kind == UNIT_SHARE)
        return v->food.energy_kcal > 0 ? sum / v->food.energy_kcal : 0;
    return sum;
}

static void wish_check(struct verifying *v, const struct wish *wish, const struct amount *a,
                       bool least)
{
    if (!a->set)
        return;
    double found = wished(v, wish, a->kind);
    if (least ? at_most(a->v, found) : at_most(found, a->v))
        return;
    char asked[48], got[48];
    verify_breach_at(v, a->at, "%s %s of %s was asked for; the plan has %s",
                     least ? "at least" : "at most", unit_plain(asked, sizeof asked, a->kind, a->v),
                     wish_name(wish),
                     unit_plain(got, sizeof got, a->kind, num_round_sig(found, 7)));
}

void verify_wishes(struct verifying *v)
{
    for (size_t w = 0; w < v->garden->wishes.n; w++) {
        const struct wish *wish = garden_wish(v->garden, w);
        wish_check(v, wish, &wish->at_least, true);
        wish_check(v, wish, &wish->at_most, false);
    }
}

void verify_shares(struct verifying *v)
{
    const struct limits *limits = &v->garden->limits;
    for (size_t s = 0; s < v->garden->seed.n; s++) {
        const char *crop = garden_seed(v->garden, s)->crop->name.s;
        double kcal = 0, area = 0;
        bool again = false;
        for (size_t r = 0; r < v->garden->seed.n; r++) {
            if (strcmp(garden_seed(v->garden, r)->crop->name.s, crop) != 0)
                continue;
            again |= r < s;
            kcal += crop_kcal(v, r);
            area += v->tallies[r].area_m2;
        }
        if (again)
            continue;
        const struct qty *energy = &limits->share_energy, *ground = &limits->share_area;
        if (energy->set && !at_most(kcal, energy->v * v->food.energy_kcal))
            verify_breach_at(v, energy->at, "%s gives %s of the food energy; %s is the most", crop,
                             verify_number(v, kcal / v->food.energy_kcal),
                             verify_number(v, energy->v));
        if (ground->set && !at_most(area, ground->v * v->area_m2))
            verify_breach_at(v, ground->at, "%s takes %s of the ground; %s is the most", crop,
                             verify_number(v, area / v->area_m2), verify_number(v, ground->v));
    }
}
