/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "range.h"

#include <math.h>
#include <string.h>

#include "stats.h"

/* How much of a crop's yield luck is the season's and the site's, which all crops share: a Gaussian
 * copula with this correlation (estimate; season, site and fertility move yields by a factor of 2
 * to 4). */
#define SHARED_LUCK 0.5

/* One crop's own stream of random numbers, and what it drew last. */
struct luck {
    const struct crop *crop;
    struct stats_rng *rng;
    struct stand_figures figures;
    struct part_hours hours;
    struct food_rate rate;
};

/* Every draw of one result. */
struct draws {
    struct span *span;
    double *v;
};

struct lottery {
    struct plan *plan;
    int ndraws;
    struct stats_rng *season; /* shared by all crops, and the mixture's */
    struct luck *luck;        /* per seed in the garden */
    int nluck;
    int (*plants)[STAND_PARTS_MAX]; /* per block */
    int *stations;                  /* per block */
    double *kg;                     /* per seed, of the present draw */
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
static double draw_yield(struct luck *l, double season)
{
    double z = sqrt(SHARED_LUCK) * season + sqrt(1 - SHARED_LUCK) * stats_gaussian(l->rng);
    const struct range *y = &l->crop->yield_kg_m2;
    return stats_split_quantile(y->low, y->typ, y->high, 0, stats_normal_cdf(z));
}

static void draw_crop(struct luck *l, double season)
{
    const struct crop *c = l->crop;
    l->figures.ymax_kg_m2 = draw_yield(l, season);
    l->figures.best_density_m2 = draw(l->rng, &c->best_density_m2);
    l->figures.half_density_m2 = draw(l->rng, &c->half_density_m2);
    l->figures.shade_response = draw(l->rng, &c->shade_response);
    l->hours.plant_h = draw(l->rng, &c->plant_h);
    l->hours.weed_h_m2 = draw(l->rng, &c->weed_h_m2);
    l->hours.harvest_h_kg = draw(l->rng, &c->harvest_h_kg);
    double eaten = 1 - fmin(draw(l->rng, &c->food.refuse), 1);
    double protein_g = 1000 * eaten * draw(l->rng, &c->food.protein_kg_kg);
    double digestible = fmin(draw(l->rng, &c->food.digestibility), 1);
    struct food_rate typical = food_rate_typical(c);
    l->rate.energy_kcal = eaten * draw(l->rng, &c->food.energy_kcal_kg);
    l->rate.protein_g = protein_g;
    l->rate.digestible_g = digestible * protein_g;
    for (int a = 0; a < AMINO_COUNT; a++) /* amino acids keep their share of the protein */
        l->rate.amino_g[a] = typical.digestible_g > 0
                                 ? typical.amino_g[a] * l->rate.digestible_g / typical.digestible_g
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

/* ---- one season ---------------------------------------------------------------------------- */

/* Hours of block b, its harvest into kg. */
static double harvest_block(struct lottery *l, int b, const struct stand_mixture *mix)
{
    const struct block *block = &l->plan->blocks[b];
    const struct planting *p = block->planting;
    struct stand_figures figures[STAND_PARTS_MAX];
    struct part_hours hours[STAND_PARTS_MAX];
    double plant_kg[STAND_PARTS_MAX];
    for (int k = 0; k < p->nparts; k++) {
        figures[k] = l->luck[p->parts[k].seed_index].figures;
        hours[k] = l->luck[p->parts[k].seed_index].hours;
    }
    planting_plant_kg(p, figures, mix, block->light, plant_kg);
    double sum = l->stations[b] * planting_station_hours(p, hours);
    for (int k = 0; k < p->nparts; k++) {
        double kg = plant_kg[k] * l->plants[b][k];
        l->kg[p->parts[k].seed_index] += kg;
        sum += kg * hours[k].harvest_h_kg;
    }
    return sum;
}

static void one_season(struct lottery *l, int d)
{
    struct plan *plan = l->plan;
    struct stand_mixture mix;
    double season = stats_gaussian(l->season), hours = 0;
    draw_mixture(l->season, &mix);
    for (int s = 0; s < l->nluck; s++) {
        if (l->luck[s].rng)
            draw_crop(&l->luck[s], season);
        l->kg[s] = 0;
    }
    for (int b = 0; b < plan->nblocks; b++)
        hours += harvest_block(l, b, &mix);
    struct food food = {0};
    struct draws *r = l->results;
    for (int c = 0; c < plan->ncrops; c++) {
        size_t s = (size_t)(plan->crops[c].seed - garden_seed(plan->garden, 0));
        const struct food_rate *rate = &l->luck[s].rate;
        food_add(&food, rate, l->kg[s]);
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

/* ---- setting up ---------------------------------------------------------------------------- */

static void count_plants(struct lottery *l)
{
    const struct plan *plan = l->plan;
    for (int s = 0; s < plan->nstations; s++) {
        const struct station *st = &plan->stations[s];
        l->stations[st->block]++;
        for (int k = 0; k < plan->blocks[st->block].planting->nparts; k++)
            l->plants[st->block][k] += st->plants[k];
    }
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

/* Each crop draws from a stream of its own, named by the crop: adding one changes no other's luck.
 */
static hr_status start_luck(struct lottery *l, unsigned long seed)
{
    const struct garden *g = l->plan->garden;
    for (int c = 0; c < l->plan->ncrops; c++) {
        size_t s = (size_t)(l->plan->crops[c].seed - garden_seed(g, 0));
        struct luck *luck = &l->luck[s];
        luck->crop = l->plan->crops[c].seed->crop;
        luck->rng = stats_rng_new(seed ^ hash_name(luck->crop->name.s));
        if (!luck->rng)
            return HR_NOMEM;
    }
    l->season = stats_rng_new(seed);
    return l->season ? HR_OK : HR_NOMEM;
}

static hr_status lottery_init(struct lottery *l, unsigned long seed)
{
    struct plan *plan = l->plan;
    struct arena *arena = plan->arena;
    size_t blocks = (size_t)plan->nblocks;
    l->nluck = (int)plan->garden->seed.n;
    l->luck = ARENA_ARRAY(arena, struct luck, (size_t)l->nluck);
    l->kg = ARENA_ARRAY(arena, double, (size_t)l->nluck);
    l->stations = ARENA_ARRAY(arena, int, blocks);
    l->plants = arena_alloc(arena, blocks, sizeof *l->plants);
    if (!l->luck || !l->kg || !l->stations || !l->plants)
        return HR_NOMEM;
    count_plants(l);
    hr_status status = list_results(l);
    return status == HR_OK ? start_luck(l, seed) : status;
}

static void lottery_end(struct lottery *l)
{
    for (int s = 0; l->luck && s < l->nluck; s++)
        stats_rng_free(l->luck[s].rng);
    stats_rng_free(l->season);
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
    lottery_end(&l);
    return status;
}
