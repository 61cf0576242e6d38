/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan.h"

#include <math.h>
#include <string.h>
#include <time.h>

#include "num.h"
#include "place.h"
#include "range.h"
#include "rounds.h"
#include "seed_kept.h"
#include "standing.h"
#include "weight.h"

const char *const plan_status_names[] = {
    [PLAN_OPTIMAL] = "optimal",
    [PLAN_FEASIBLE] = "feasible",
};

#define FOOD_BOUND_TIME  0.1  /* share of the time that is kept for it */
#define FOOD_BOUND_NODES 1000 /* of the search for what plans without weights can give */

/* ---- totals -------------------------------------------------------------------------------- */

static struct span exactly(double v)
{
    return (struct span){v, v, v};
}

void plan_plant_kg(const struct block *block, double *kg)
{
    struct stand_figures figures[STAND_PARTS_MAX];
    struct stand_mixture mix;
    stand_mixture_typical(&mix);
    for (int k = 0; k < block->planting->nparts; k++)
        stand_figures_typical(block->planting->parts[k].crop, &figures[k]);
    planting_plant_kg(block->planting, figures, &mix, block->light, kg);
}

/* Adds block b to its crops' results and returns its hours. */
static double add_block(struct plan *plan, int b, struct crop_result *by_seed)
{
    const struct block *block = &plan->blocks[b];
    const struct planting *p = block->planting;
    double plant_kg[STAND_PARTS_MAX], weight[STAND_PARTS_MAX], hours = 0;
    plan_plant_kg(block, plant_kg);
    for (int k = 0; k < p->nparts; k++)
        weight[k] = weight_of(plan->garden, &plan->zones.items[block->zone], p, k);
    for (int s = 0; s < plan->nstations; s++) {
        const struct station *station = &plan->stations[s];
        if (station->block != b)
            continue;
        hours += planting_station_hours_typical(p);
        for (int k = 0; k < p->nparts; k++) {
            struct crop_result *c = &by_seed[p->parts[k].seed_index];
            int plants = station->plants[k];
            c->plants += plants;
            c->spots += plants > 0;
            c->sown += plants > 0 ? p->parts[k].sown : 0;
            c->kg.typ += plants * plant_kg[k];
            c->goal_kg += weight[k] * (plants * plant_kg[k]);
            hours += plants * plant_kg[k] * p->parts[k].crop->harvest_h_kg.typ;
        }
    }
    for (int k = 0; k < p->nparts; k++)
        by_seed[p->parts[k].seed_index].area_m2 += block_area(block) / p->nparts;
    return hours;
}

hr_status plan_totals(struct plan *plan, struct food *typical)
{
    const struct garden *g = plan->garden;
    struct crop_result *by_seed = ARENA_ARRAY(plan->arena, struct crop_result, g->seed.n);
    if (!by_seed)
        return HR_NOMEM;
    double hours = 0;
    for (int b = 0; b < plan->nblocks; b++)
        hours += add_block(plan, b, by_seed);
    struct food food = {0}, goal = {0};
    plan->crops = by_seed;
    plan->ncrops = 0;
    for (size_t s = 0; s < g->seed.n; s++) {
        struct crop_result c = by_seed[s];
        if (c.plants == 0)
            continue;
        c.seed = garden_seed(g, s);
        struct food_rate rate = food_rate_typical(c.seed->crop);
        food_add(&food, &rate, c.kg.typ);
        food_add(&goal, &rate, c.goal_kg);
        c.kg = exactly(c.kg.typ);
        c.energy_kcal = exactly(rate.energy_kcal * c.kg.typ);
        c.protein_g = exactly(rate.protein_g * c.kg.typ);
        plan->crops[plan->ncrops++] = c;
    }
    plan->hours = exactly(hours);
    plan->energy_kcal = exactly(food.energy_kcal);
    plan->protein_g = exactly(food.protein_g);
    plan->usable_protein_g = exactly(food_usable_protein(&food, &plan->limiting));
    plan->person_days = exactly(food_person_days(&food, &g->ration));
    plan->value = food_value(&goal, (enum goal)g->goal.v, &g->ration);
    *typical = food;
    return seed_kept_find(plan, &food);
}

double plan_food_value(const struct plan *plan)
{
    switch ((enum goal)plan->garden->goal.v) {
    case GOAL_ENERGY:
        return plan->energy_kcal.typ;
    case GOAL_PROTEIN:
        return plan->usable_protein_g.typ;
    case GOAL_DAYS:
        break;
    }
    return plan->person_days.typ;
}

/* What canopies' shade costs of the goal's food: the same blocks with the site's light alone. */
static hr_status shade_loss(struct plan *plan)
{
    struct food open = {0};
    for (int b = 0; b < plan->nblocks; b++) {
        const struct block *block = &plan->blocks[b];
        struct block lit = *block;
        double kg[STAND_PARTS_MAX];
        for (int k = 0; k < block->planting->nparts; k++)
            lit.light[k] = plan->zones.items[block->zone].light;
        plan_plant_kg(&lit, kg);
        for (int s = 0; s < plan->nstations; s++)
            for (int k = 0; plan->stations[s].block == b && k < lit.planting->nparts; k++) {
                struct food_rate rate = food_rate_typical(lit.planting->parts[k].crop);
                food_add(&open, &rate, kg[k] * plan->stations[s].plants[k]);
            }
    }
    double full = food_value(&open, (enum goal)plan->garden->goal.v, &plan->garden->ration);
    plan->shade_loss = full > 0 ? fmax(0, 1 - plan_food_value(plan) / full) : 0;
    return HR_OK;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static uint32_t hash_text(uint32_t h, const char *s)
{
    for (; *s; s++)
        h = (h ^ (unsigned char)*s) * 16777619u; /* FNV-1a */
    return h;
}

/* Names the paper: the same where and what, the same id. */
static hr_status plan_id(struct plan *plan)
{
    uint32_t h = hash_text(2166136261u, plan->garden->name.s);
    for (int b = 0; b < plan->nblocks; b++) {
        const struct block *block = &plan->blocks[b];
        char num[64];
        h = hash_text(h, block->planting->id);
        h = hash_text(h, plan->zones.items[block->zone].name);
        h = hash_text(h, num_fixed(num, sizeof num, block->start_m, 3));
        h = hash_text(h, num_fixed(num, sizeof num, block->lines, 0));
    }
    const char *text = arena_printf(plan->arena, "%08x", h);
    if (!text)
        return HR_NOMEM;
    memcpy(plan->id, text, strlen(text) + 1);
    return HR_OK;
}

hr_status plan_settle(struct plan *plan)
{
    struct food typical;
    hr_status status = place_stations(plan);
    if (status == HR_OK)
        status = plan_totals(plan, &typical);
    if (status != HR_OK)
        return status;
    plan->bound = fmax(plan->bound, plan->value);
    if (weight_any(plan->garden))
        plan->food_bound = fmax(plan->food_bound, plan_food_value(plan));
    plan->gap = plan->bound > 0 ? (plan->bound - plan->value) / plan->bound : 0;
    status = shade_loss(plan);
    if (status == HR_OK)
        status = plan_id(plan);
    if (status == HR_OK)
        status = range_plan(plan, RANGE_DRAWS, RANGE_SEED);
    return status;
}

/* Plot by plot, what stands already last. */
static hr_status take_blocks(struct plan *plan, const struct rounds *rounds)
{
    plan->blocks = ARENA_ARRAY(plan->arena, struct block, (size_t)rounds->n);
    if (!plan->blocks)
        return HR_NOMEM;
    for (size_t i = 0; i < plan->garden->plots.n; i++)
        for (int b = 0; b < rounds->n; b++)
            if (plan->zones.items[rounds->blocks[b].zone].plot == (int)i)
                plan->blocks[plan->nblocks++] = rounds->blocks[b];
    plan->zones.n += plan->zones.nstanding;
    plan->zones.nstanding = 0;
    return standing_settle(plan->blocks, plan->nblocks, plan->arena);
}

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* The least that any food of the menu counts for. */
static double least_weight(const struct menu *menu)
{
    double least = 1;
    for (int i = 0; i < menu->nitems; i++)
        for (int k = 0; k < menu->plantings[menu->items[i].planting].nparts; k++)
            least = fmin(least, menu->items[i].weight[k]);
    for (int i = 0; i < menu->nstanding; i++)
        least = fmin(least, menu->standing_weight[i]);
    return least;
}

/* Most of the goal as food that any plan gives. By the weighed bound it is that over the least
 * weight; the program without weights says it closer, for as long as there is time. */
static hr_status food_bound(struct plan *plan, const struct menu *unweighed,
                            const struct plan_make_options *options, double seconds)
{
    struct allocate_options o = {.seconds = seconds,
                                 .gap = options->gap,
                                 .nodes = FOOD_BOUND_NODES,
                                 .progress = options->progress,
                                 .data = options->data};
    struct allocation a = {.bound = HUGE_VAL};
    struct diags *aside = diags_new();
    if (!aside)
        return HR_NOMEM;
    plan->food_bound = plan->bound / least_weight(&plan->menu);
    hr_status status = HR_OK;
    if (seconds > 0)
        status = allocate(plan->garden, &plan->zones, unweighed, &o, plan->arena, aside, &a);
    plan->food_bound = fmin(plan->food_bound, a.bound);
    diags_free(aside);
    return status == HR_NOMEM || status == HR_BUG ? status : HR_OK;
}

static hr_status find_blocks(struct plan *plan, const struct plan_make_options *options,
                             struct diags *diags)
{
    struct rounds_options o = {options->seconds, options->gap, options->progress, options->data};
    struct rounds rounds;
    struct menu unweighed;
    double begin = seconds_now();
    hr_status status = HR_OK;
    if (weight_any(plan->garden)) { /* before the rounds change what the menu holds */
        status = menu_unweighed(&plan->menu, plan->arena, &unweighed);
        o.seconds *= 1 - FOOD_BOUND_TIME;
    }
    if (status == HR_OK)
        status =
            rounds_run(plan->garden, &plan->zones, &plan->menu, &o, plan->arena, diags, &rounds);
    if (status != HR_OK)
        return status;
    plan->bound = rounds.bound;
    if (weight_any(plan->garden))
        status = food_bound(plan, &unweighed, options, options->seconds - (seconds_now() - begin));
    if (status == HR_OK)
        status = take_blocks(plan, &rounds);
    plan->rounds = rounds.rounds;
    plan->status = rounds.proved ? PLAN_OPTIMAL : PLAN_FEASIBLE;
    return status;
}

hr_status plan_make(const struct garden *garden, const struct plan_make_options *options,
                    struct arena *arena, struct diags *diags, struct plan **out)
{
    double begin = seconds_now();
    struct plan *plan = ARENA_NEW(arena, struct plan);
    if (!plan)
        return HR_NOMEM;
    plan->arena = arena;
    plan->garden = garden;
    plan->gap_asked = options->gap;
    hr_status status = HR_OK;
    if (options->zones)
        plan->zones = *options->zones;
    else
        status = zones_cut(garden, arena, diags, &plan->zones);
    if (status == HR_OK)
        status = menu_make(garden, &plan->zones, arena, diags, &plan->menu);
    if (status == HR_OK)
        status = find_blocks(plan, options, diags);
    if (status == HR_OK)
        status = plan_settle(plan);
    if (status != HR_OK)
        return status;
    plan->seconds = seconds_now() - begin;
    *out = plan;
    return plan->status == PLAN_OPTIMAL ? HR_OK : HR_LIMIT;
}

void plan_dump(const struct plan *plan, struct strbuf *out)
{
    char num[64];
    strbuf_printf(out, "plan %s of %s: %d blocks, %d lines, %d stations\n", plan->id,
                  plan->garden->name.s, plan->nblocks, plan->nlines, plan->nstations);
    strbuf_printf(out, "value %s", num_fixed(num, sizeof num, plan->value, 6));
    strbuf_printf(out, " bound %s", num_fixed(num, sizeof num, plan->bound, 6));
    strbuf_printf(out, " gap %s rounds %d\n", num_fixed(num, sizeof num, plan->gap, 6),
                  plan->rounds);
    for (int b = 0; b < plan->nblocks; b++) {
        const struct block *block = &plan->blocks[b];
        strbuf_printf(out, "block %d in %s: %s; %d lines, start %.4f m, depth %.4f m, light", b + 1,
                      plan->zones.items[block->zone].name, block->planting->id, block->lines,
                      block->start_m, block->depth_m);
        for (int k = 0; k < block->planting->nparts; k++)
            strbuf_printf(out, " %.6f", block->light[k]);
        strbuf_puts(out, "\n");
    }
    for (int c = 0; c < plan->ncrops; c++) {
        const struct crop_result *r = &plan->crops[c];
        strbuf_printf(out, "%s, %s: %d plants, %.1f sown, %.4f kg\n", r->seed->crop->name.s,
                      r->seed->variety.s, r->plants, r->sown, r->kg.typ);
    }
    for (int s = 0; s < plan->nstations; s++) {
        const struct station *st = &plan->stations[s];
        strbuf_printf(out, "station %s at %.4f %.4f\n", st->id, st->x_m, st->y_m);
    }
}
