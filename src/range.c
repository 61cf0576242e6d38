/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "range.h"

#include <math.h>
#include <string.h>

#include "stats.h"

/* How much of a crop's yield luck is the season's and the site's, which all crops share: a Gaussian
 * copula with this correlation (estimate; season, site and fertility move yields by a factor of 2
 * to 4). */
#define SHARED_LUCK 0.5

struct range_draws {
    const struct garden *garden;
    struct stats_rng *shared; /* the season's luck, and the mixture's */
    struct stats_rng **own;   /* per seed in the garden; NULL: not drawn for */
    struct range_season season;
};

/* Every draw of one result. */
struct draws {
    struct span *span;
    double *v;
};

struct lottery {
    struct plan *plan;
    int ndraws;
    struct range_draws *seasons;
    struct range_stand stand;
    double *kg; /* per seed, of the present draw */
    struct draws *results;
    int nresults;
};

static uint64_t hash_name(const char *s)
{
    uint64_t h = 14695981039346656037u;
    for (; *s; s++)
        h = (h ^ (unsigned char)*s) * 1099511628211u; /* FNV-1a */
    return h;
}

/* ---- drawing ------------------------------------------------------------------------------- */

static double draw(struct stats_rng *rng, const struct range *r)
{
    double u = stats_uniform(rng); /* drawn even when not needed: streams keep in step */
    return r->set ? stats_split_quantile(r->low, r->typ, r->high, 0, u) : 0;
}

/* A yield whose luck is partly the season's. */
static double draw_yield(const struct crop *crop, struct stats_rng *rng, double season)
{
    double z = sqrt(SHARED_LUCK) * season + sqrt(1 - SHARED_LUCK) * stats_gaussian(rng);
    const struct range *y = &crop->yield_kg_m2;
    return stats_split_quantile(y->low, y->typ, y->high, 0, stats_normal_cdf(z));
}

static void draw_crop(const struct crop *c, struct stats_rng *rng, double season,
                      struct range_crop *out)
{
    out->figures.ymax_kg_m2 = draw_yield(c, rng, season);
    out->figures.best_density_m2 = draw(rng, &c->best_density_m2);
    out->figures.half_density_m2 = draw(rng, &c->half_density_m2);
    out->figures.shade_response = draw(rng, &c->shade_response);
    out->hours.plant_h = draw(rng, &c->plant_h);
    out->hours.weed_h_m2 = draw(rng, &c->weed_h_m2);
    out->hours.harvest_h_kg = draw(rng, &c->harvest_h_kg);
    double eaten = 1 - fmin(draw(rng, &c->food.refuse), 1);
    double protein_g = 1000 * eaten * draw(rng, &c->food.protein_kg_kg);
    double digestible = fmin(draw(rng, &c->food.digestibility), 1);
    struct food_rate typical = food_rate_typical(c), *rate = &out->rate;
    rate->energy_kcal = eaten * draw(rng, &c->food.energy_kcal_kg);
    rate->protein_g = protein_g;
    rate->digestible_g = digestible * protein_g;
    for (int a = 0; a < AMINO_COUNT; a++) /* amino acids keep their share of the protein */
        rate->amino_g[a] = typical.digestible_g > 0
                               ? typical.amino_g[a] * rate->digestible_g / typical.digestible_g
                               : 0;
}

static void draw_mixture(struct stats_rng *rng, struct stand_mixture *mix)
{
    size_t n;
    const struct stand_alpha *alphas = stand_alphas(&n);
    stand_mixture_typical(mix);
    for (size_t i = 0; i < n; i++)
        mix->alpha[alphas[i].pressed][alphas[i].pressing] = stats_split_quantile(
            alphas[i].low, alphas[i].typ, alphas[i].high, 0, stats_uniform(rng));
    mix->hill_loss = stats_split_quantile(stand_hill_loss_range[0], stand_hill_loss_range[1],
                                          stand_hill_loss_range[2], 0, stats_uniform(rng));
}

/* ---- seasons ------------------------------------------------------------------------------- */

hr_status range_typical(const struct garden *garden, struct arena *arena, struct range_season *out)
{
    stand_mixture_typical(&out->mixture);
    out->crops = ARENA_ARRAY(arena, struct range_crop, garden->seed.n);
    if (!out->crops)
        return HR_NOMEM;
    for (size_t s = 0; s < garden->seed.n; s++) {
        const struct crop *c = garden_seed(garden, s)->crop;
        stand_figures_typical(c, &out->crops[s].figures);
        out->crops[s].hours =
            (struct part_hours){c->plant_h.typ, c->weed_h_m2.typ, c->harvest_h_kg.typ};
        out->crops[s].rate = food_rate_typical(c);
    }
    return HR_OK;
}

struct range_draws *range_draws_new(const struct garden *garden, const bool *wanted,
                                    unsigned long seed, struct arena *arena)
{
    struct range_draws *d = ARENA_NEW(arena, struct range_draws);
    if (!d)
        return NULL;
    d->garden = garden;
    d->own = ARENA_ARRAY(arena, struct stats_rng *, garden->seed.n);
    if (!d->own || range_typical(garden, arena, &d->season) != HR_OK)
        return NULL;
    bool failed = false;
    for (size_t s = 0; s < garden->seed.n && !failed; s++)
        if (!wanted || wanted[s]) {
            d->own[s] = stats_rng_new(seed ^ hash_name(garden_seed(garden, s)->crop->name.s));
            failed = !d->own[s];
        }
    d->shared = failed ? NULL : stats_rng_new(seed);
    if (d->shared)
        return d;
    range_draws_free(d);
    return NULL;
}

void range_draws_free(struct range_draws *draws)
{
    if (!draws)
        return;
    for (size_t s = 0; s < draws->garden->seed.n; s++)
        stats_rng_free(draws->own[s]);
    stats_rng_free(draws->shared);
}

const struct range_season *range_draws_next(struct range_draws *draws)
{
    double season = stats_gaussian(draws->shared);
    draw_mixture(draws->shared, &draws->season.mixture);
    for (size_t s = 0; s < draws->garden->seed.n; s++)
        if (draws->own[s])
            draw_crop(garden_seed(draws->garden, s)->crop, draws->own[s], season,
                      &draws->season.crops[s]);
    return &draws->season;
}

/* ---- harvests ------------------------------------------------------------------------------ */

hr_status range_stand_count(const struct plan *plan, struct arena *arena, struct range_stand *out)
{
    size_t blocks = (size_t)plan->nblocks;
    out->plan = plan;
    out->stations = ARENA_ARRAY(arena, int, blocks);
    out->plants = arena_alloc(arena, blocks, sizeof *out->plants);
    if (!out->stations || !out->plants)
        return HR_NOMEM;
    for (int s = 0; s < plan->nstations; s++) {
        const struct station *st = &plan->stations[s];
        out->stations[st->block]++;
        for (int k = 0; k < plan->blocks[st->block].planting->nparts; k++)
            out->plants[st->block][k] += st->plants[k];
    }
    return HR_OK;
}

/* Hours of block b, its harvest into kg. */
static double harvest_block(const struct range_stand *stand, int b,
                            const struct range_season *season, double *kg)
{
    const struct block *block = &stand->plan->blocks[b];
    const struct planting *p = block->planting;
    struct stand_figures figures[STAND_PARTS_MAX];
    struct part_hours hours[STAND_PARTS_MAX];
    double plant_kg[STAND_PARTS_MAX];
    for (int k = 0; k < p->nparts; k++) {
        figures[k] = season->crops[p->parts[k].seed_index].figures;
        hours[k] = season->crops[p->parts[k].seed_index].hours;
    }
    planting_plant_kg(p, figures, &season->mixture, block->light, plant_kg);
    double sum = stand->stations[b] * planting_station_hours(p, hours);
    for (int k = 0; k < p->nparts; k++) {
        double part_kg = plant_kg[k] * stand->plants[b][k];
        kg[p->parts[k].seed_index] += part_kg;
        sum += part_kg * hours[k].harvest_h_kg;
    }
    return sum;
}

void range_harvest(const struct range_stand *stand, const struct range_season *season, double *kg,
                   struct food *food, double *hours)
{
    const struct plan *plan = stand->plan;
    *hours = 0;
    *food = (struct food){0};
    for (size_t s = 0; s < plan->garden->seed.n; s++)
        kg[s] = 0;
    for (int b = 0; b < plan->nblocks; b++)
        *hours += harvest_block(stand, b, season, kg);
    for (int c = 0; c < plan->ncrops; c++) {
        size_t s = (size_t)(plan->crops[c].seed - garden_seed(plan->garden, 0));
        food_add(food, &season->crops[s].rate, kg[s]);
    }
}

/* ---- the ranges of a plan ------------------------------------------------------------------ */

static void one_season(struct lottery *l, int d)
{
    struct plan *plan = l->plan;
    struct food food;
    double hours;
    const struct range_season *season = range_draws_next(l->seasons);
    range_harvest(&l->stand, season, l->kg, &food, &hours);
    struct draws *r = l->results;
    for (int c = 0; c < plan->ncrops; c++) {
        size_t s = (size_t)(plan->crops[c].seed - garden_seed(plan->garden, 0));
        const struct food_rate *rate = &season->crops[s].rate;
        (r++)->v[d] = l->kg[s];
        (r++)->v[d] = l->kg[s] * rate->energy_kcal;
        (r++)->v[d] = l->kg[s] * rate->protein_g;
    }
    (r++)->v[d] = food_person_days(&food, &plan->garden->ration);
    (r++)->v[d] = food.energy_kcal;
    (r++)->v[d] = food.protein_g;
    (r++)->v[d] = food_usable_protein(&food, NULL);
    r->v[d] = hours;
}

static hr_status list_results(struct lottery *l)
{
    struct plan *plan = l->plan;
    int n = 0;
    l->nresults = 3 * plan->ncrops + 5;
    l->results = ARENA_ARRAY(plan->arena, struct draws, (size_t)l->nresults);
    if (!l->results)
        return HR_NOMEM;
    for (int c = 0; c < plan->ncrops; c++) {
        l->results[n++].span = &plan->crops[c].kg;
        l->results[n++].span = &plan->crops[c].energy_kcal;
        l->results[n++].span = &plan->crops[c].protein_g;
    }
    l->results[n++].span = &plan->person_days;
    l->results[n++].span = &plan->energy_kcal;
    l->results[n++].span = &plan->protein_g;
    l->results[n++].span = &plan->usable_protein_g;
    l->results[n].span = &plan->hours;
    for (int r = 0; r < l->nresults; r++) {
        l->results[r].v = ARENA_ARRAY(plan->arena, double, (size_t)l->ndraws);
        if (!l->results[r].v)
            return HR_NOMEM;
    }
    return HR_OK;
}

static hr_status lottery_init(struct lottery *l, unsigned long seed)
{
    const struct plan *plan = l->plan;
    size_t n = plan->garden->seed.n;
    bool *planted = ARENA_ARRAY(plan->arena, bool, n);
    l->kg = ARENA_ARRAY(plan->arena, double, n);
    if (!planted || !l->kg)
        return HR_NOMEM;
    for (int c = 0; c < plan->ncrops; c++)
        planted[plan->crops[c].seed - garden_seed(plan->garden, 0)] = true;
    hr_status status = range_stand_count(plan, plan->arena, &l->stand);
    if (status == HR_OK)
        status = list_results(l);
    if (status != HR_OK)
        return status;
    l->seasons = range_draws_new(plan->garden, planted, seed, plan->arena);
    return l->seasons ? HR_OK : HR_NOMEM;
}

hr_status range_plan(struct plan *plan, int draws, unsigned long seed)
{
    if (draws < 1)
        return HR_BUG;
    struct lottery l = {.plan = plan, .ndraws = draws};
    hr_status status = lottery_init(&l, seed);
    for (int d = 0; status == HR_OK && d < draws; d++)
        one_season(&l, d);
    for (int r = 0; status == HR_OK && r < l.nresults; r++) {
        struct span *span = l.results[r].span;
        double low = stats_quantile(l.results[r].v, (size_t)draws, 0.1);
        double high = stats_quantile(l.results[r].v, (size_t)draws, 0.9);
        span->low = fmin(low, span->typ);
        span->high = fmax(high, span->typ);
    }
    range_draws_free(l.seasons);
    return status;
}
