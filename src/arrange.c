/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "arrange.h"

#include <math.h>

#include "elsewhere.h"
#include "isolation.h"
#include "standing.h"

#define EXACT_STRIPS 6 /* orders are enumerated up to here: 720 of them */
#define SWEEPS_MAX   3
#define GAIN_LEAST   1e-9 /* relative: less is no gain */
#define OVER_LEAST_M 1e-7 /* less beyond a zone is none */
#define NEAR_M       12.0 /* between plots; farther off the crops of one hardly shade the other */
#define EXCESS_LEAST 1e-9 /* of a neighbour's light: less is none */

/* What stands side by side across a zone and moves as one: a block, the blocks of a shared line, or
 * the ground that first crops leave to second ones. */
struct strip {
    int first, n; /* blocks */
    double depth_m;
    double used_m[SLOT_COUNT]; /* of a turn: by the blocks of each slot */
    double over_m[2];          /* what of it may lie beyond the start and the end of the zone */
};

struct work {
    const struct garden *garden;
    const struct zones *zones;
    const struct menu *menu;
    struct block *blocks;   /* by zone; they stay in place, their start_m moves */
    struct sky *skies;      /* per block: its own season */
    struct food *foods;     /* per block, at its present light */
    struct food *goals;     /* the same, weighed */
    double *within_m;       /* per block: from the start of its strip */
    struct shader *shaders; /* per block */
    struct strip *strips;   /* by zone, in the order they stand */
    unsigned char *near;    /* per plot and plot: they lie so near that crops shade across */
    int n, nstrips;         /* of the blocks the last nstanding stand already, in no strip */
    int nstanding;
};

/* How good an order is. */
struct score {
    double outside; /* across the rows, beyond what vines may cover, m */
    double excess, value;
};

static const struct zone *zone_of(const struct work *w, int b)
{
    return &w->zones->items[w->blocks[b].zone];
}

/* A block's item at the block's own light. */
static struct item lit_item(const struct menu *menu, const struct block *block)
{
    struct item item = menu->items[block->item];
    for (int k = 0; k < block->planting->nparts; k++)
        item.light[k] = block->light[k];
    menu_item_value(menu, &item);
    return item;
}

/* How many times an odd and an even line of the item the block is. */
static void block_times(const struct block *block, const struct item *item, double *times)
{
    times[0] = planting_odd_lines(block->lines);
    times[1] = planting_even_lines(block->lines);
    if (block->shared)
        times[0] =
            (double)planting_stations(block->planting, block->length_m, 0) / item->stations[0];
}

void block_harvest(const struct menu *menu, const struct block *block, double *kg)
{
    if (block->item < 0) {
        kg[0] = standing_kg(block);
        return;
    }
    struct item item = lit_item(menu, block);
    double times[2];
    block_times(block, &item, times);
    for (int k = 0; k < block->planting->nparts; k++)
        kg[k] = times[0] * item.kg[k][0] + times[1] * item.kg[k][1];
}

static void block_food(struct work *w, int b)
{
    double times[2];
    w->foods[b] = w->goals[b] = (struct food){0};
    if (w->blocks[b].item < 0) {
        struct food_rate rate = food_rate_typical(w->blocks[b].planting->parts[0].crop);
        double kg = standing_kg(&w->blocks[b]);
        food_add(&w->foods[b], &rate, kg);
        food_add(&w->goals[b], &rate, kg * w->menu->standing_weight[b - (w->n - w->nstanding)]);
        return;
    }
    struct item item = lit_item(w->menu, &w->blocks[b]);
    block_times(&w->blocks[b], &item, times);
    for (int kind = 0; kind < 2; kind++) {
        food_sum(&w->foods[b], &item.food[kind], times[kind]);
        food_sum(&w->goals[b], &item.goal[kind], times[kind]);
    }
}

static struct food sum_foods(const struct work *w, const struct food *foods)
{
    struct food sum = {0};
    for (int b = 0; b < w->n; b++)
        food_sum(&sum, &foods[b], 1);
    return sum;
}

static double work_value(const struct work *w)
{
    struct food food = sum_foods(w, w->goals);
    return food_value(&food, (enum goal)w->garden->goal.v, &w->garden->ration);
}

static bool plots_near(const struct work *w, int plot, int other)
{
    return plot == other || w->near[(size_t)plot * w->garden->plots.n + (size_t)other];
}

static hr_status look_which_are_near(struct work *w, struct arena *arena)
{
    const size_t n = w->garden->plots.n;
    w->near = ARENA_ARRAY(arena, unsigned char, n *n + 1);
    if (!w->near)
        return HR_NOMEM;
    for (size_t p = 0; p < n; p++)
        for (size_t o = 0; o < n; o++)
            w->near[p * n + o] = elsewhere_known(w->garden, (int)p, (int)o) &&
                                 isolation_distance(w->garden, p, o, arena) <= NEAR_M;
    return HR_OK;
}

/* The canopy of block c in the frame of another plot. */
static struct shader shader_in(const struct work *w, int c, int plot)
{
    int other = zone_of(w, c)->plot;
    if (other == plot)
        return w->shaders[c];
    return elsewhere_shader(garden_plot(w->garden, (size_t)plot),
                            garden_plot(w->garden, (size_t)other), w->shaders[c]);
}

/* Light of block b under the canopies of all other blocks of its plot, and of plots that are near,
 * then its food. */
static void light_block(struct work *w, int b)
{
    struct shader near[ZONES_MAX];
    int n = 0;
    const struct zone *zone = zone_of(w, b);
    for (int c = 0; c < w->n && n < ZONES_MAX; c++) {
        if (c == b || !plots_near(w, zone->plot, zone_of(w, c)->plot) ||
            !planting_together(w->blocks[b].planting, w->blocks[c].planting))
            continue;
        near[n] = shader_in(w, c, zone->plot);
        light_missing(&w->skies[b], block_growth(&w->blocks[c]), near[n++].missing);
    }
    struct block *block = &w->blocks[b];
    double share = light_on_rect(&w->skies[b], block_rect(block, zone), block->planting->height_m,
                                 near, n, -1);
    for (int k = 0; k < block->planting->nparts; k++)
        block->light[k] = zone->light * share;
    block_food(w, b);
}

/* ---- neighbours ----------------------------------------------------------------------------- */

double arrange_loss(const struct neighbour *neighbour, const struct zones *zones,
                    const struct block *blocks, int n)
{
    struct shader shaders[ZONES_MAX];
    struct growth growth[ZONES_MAX];
    int found = 0;
    for (int b = 0; b < n && found < ZONES_MAX; b++) {
        const struct zone *zone = &zones->items[blocks[b].zone];
        if (zone->plot != neighbour->plot || block_standing(&blocks[b]))
            continue; /* what stands already is no fault of the plan */
        growth[found] = block_growth(&blocks[b]);
        shaders[found++] = block_shader(&blocks[b], zone);
    }
    return neighbour_loss(neighbour, shaders, growth, found);
}

/* What the neighbours of a plot (-1: of all) lose beyond their limits. */
static double excess_of(const struct work *w, int plot)
{
    double sum = 0;
    for (int k = 0; k < w->menu->nsetbacks; k++) {
        const struct neighbour *n = w->menu->setbacks[k].neighbour;
        if (plot < 0 || n->plot == plot)
            sum += fmax(0, arrange_loss(n, w->zones, w->blocks, w->n) - n->most);
    }
    return sum > EXCESS_LEAST ? sum : 0;
}

/* What the strips of a zone take across it beyond its depth. */
static double need_over(const struct work *w, int first, int last)
{
    double need = -zone_of(w, w->strips[first].first)->depth_m;
    for (int s = first; s < last; s++)
        need += w->strips[s].depth_m;
    return need > OVER_LEAST_M ? need : 0;
}

/* How much of that the vines at the zone's ends may not cover in the present order. A block that is
 * alone has only one of them. */
static double outside(const struct work *w, int first, int last)
{
    const struct strip *start = &w->strips[first], *end = &w->strips[last - 1];
    double need = need_over(w, first, last) - start->over_m[0];
    if (start != end || start->over_m[0] <= 0)
        need -= end->over_m[1];
    return need > OVER_LEAST_M ? need : 0;
}

/* Where the first strip of a zone begins: before it if all would not have room else; what is
 * left of its depth lies on the side of a neighbour that a line here keeps away from; half of it
 * where there is one on both. */
static double first_start(const struct work *w, int first, int last)
{
    double left = zone_of(w, w->strips[first].first)->depth_m, keep[2] = {0, 0};
    double need = need_over(w, first, last);
    if (need > 0)
        return 0 - fmin(need, w->strips[first].over_m[0]);
    for (int s = first; s < last; s++)
        left -= w->strips[s].depth_m;
    for (int k = 0; k < w->menu->nsetbacks; k++) {
        const struct setback *back = &w->menu->setbacks[k];
        for (int b = w->strips[first].first; b < w->n; b++) {
            int i = w->blocks[b].item - back->first;
            if (w->blocks[b].zone != w->blocks[w->strips[first].first].zone || i < 0 ||
                i >= back->n)
                continue;
            keep[0] = fmax(keep[0], back->keep[i][0]);
            keep[1] = fmax(keep[1], back->keep[i][1]);
        }
    }
    return keep[0] > 0 ? fmax(0, left) * (keep[1] > 0 ? 0.5 : 1) : 0;
}

/* ---- orders -------------------------------------------------------------------------------- */

/* Strips first..last-1 of one zone stand in this order from its start. */
static void stand_in_order(struct work *w, int first, int last)
{
    double start = first_start(w, first, last);
    for (int s = first; s < last; s++) {
        for (int b = w->strips[s].first; b < w->strips[s].first + w->strips[s].n; b++) {
            w->blocks[b].start_m = start + w->within_m[b];
            if (w->blocks[b].shared)
                w->blocks[b].depth_m = w->strips[s].depth_m;
            w->shaders[b] = block_shader(&w->blocks[b], zone_of(w, b));
        }
        start += w->strips[s].depth_m;
    }
}

/* Score of the plan with the zone's strips in their present order: light of the whole plot, and of
 * those that are near. */
static struct score score_in_order(struct work *w, int first, int last)
{
    stand_in_order(w, first, last);
    int plot = zone_of(w, w->strips[first].first)->plot;
    for (int b = 0; b < w->n; b++)
        if (plots_near(w, plot, zone_of(w, b)->plot))
            light_block(w, b);
    return (struct score){outside(w, first, last), excess_of(w, plot), work_value(w)};
}

static bool better(struct score a, struct score b)
{
    if (fabs(a.outside - b.outside) > OVER_LEAST_M)
        return a.outside < b.outside;
    if (fabs(a.excess - b.excess) > EXCESS_LEAST)
        return a.excess < b.excess;
    return a.value > b.value * (1 + GAIN_LEAST);
}

static void swap_strips(struct work *w, int a, int b)
{
    struct strip s = w->strips[a];
    w->strips[a] = w->strips[b];
    w->strips[b] = s;
}

/* The next order by first block, in the manner of counting; false after the last. */
static bool next_order(struct work *w, int first, int last)
{
    int i = last - 2;
    while (i >= first && w->strips[i].first >= w->strips[i + 1].first)
        i--;
    if (i < first)
        return false;
    int j = last - 1;
    while (w->strips[j].first <= w->strips[i].first)
        j--;
    swap_strips(w, i, j);
    for (int a = i + 1, b = last - 1; a < b; a++, b--)
        swap_strips(w, a, b);
    return true;
}

static void order_exactly(struct work *w, int first, int last)
{
    struct strip best[EXACT_STRIPS];
    struct score top = {HUGE_VAL, HUGE_VAL, -1};
    for (int pass = 1; pass < last - first; pass++) /* into the first order */
        for (int s = first; s + 1 < last; s++)
            if (w->strips[s].first > w->strips[s + 1].first)
                swap_strips(w, s, s + 1);
    do {
        struct score score = score_in_order(w, first, last);
        if (!better(score, top))
            continue;
        top = score;
        for (int s = first; s < last; s++)
            best[s - first] = w->strips[s];
    } while (next_order(w, first, last));
    for (int s = first; s < last; s++)
        w->strips[s] = best[s - first];
    score_in_order(w, first, last);
}

/* Brings two strips to the ends whose vines cover what the zone has no room for. */
static void cover_ends(struct work *w, int first, int last)
{
    for (int a = first; a < last && outside(w, first, last) > 0; a++) {
        swap_strips(w, first, a);
        for (int b = first + 1; b < last; b++) {
            swap_strips(w, last - 1, b);
            if (outside(w, first, last) == 0)
                return;
            swap_strips(w, last - 1, b);
        }
        swap_strips(w, first, a);
    }
}

static void order_by_exchange(struct work *w, int first, int last)
{
    cover_ends(w, first, last);
    struct score top = score_in_order(w, first, last);
    for (bool gained = true; gained;) {
        gained = false;
        for (int a = first; a < last; a++)
            for (int b = a + 1; b < last; b++) {
                swap_strips(w, a, b);
                struct score score = score_in_order(w, first, last);
                if (better(score, top)) {
                    top = score;
                    gained = true;
                } else {
                    swap_strips(w, a, b);
                }
            }
    }
    score_in_order(w, first, last);
}

static int zone_end(const struct work *w, int first)
{
    int last = first;
    while (last < w->nstrips &&
           w->blocks[w->strips[last].first].zone == w->blocks[w->strips[first].first].zone)
        last++;
    return last;
}

static void sweep(struct work *w)
{
    for (int first = 0, last; first < w->nstrips; first = last) {
        last = zone_end(w, first);
        if (last - first <= EXACT_STRIPS)
            order_exactly(w, first, last);
        else
            order_by_exchange(w, first, last);
    }
}

/* ---- from the allocation ------------------------------------------------------------------- */

/* Puts the block, the last one so far, behind those of its slot on the ground of its turn. */
static void join_turn(struct work *w, struct strip *strip, const struct block *block)
{
    enum slot slot = block->planting->slot;
    w->within_m[w->n] = strip->used_m[slot];
    strip->used_m[slot] += block->depth_m;
    strip->depth_m = fmax(strip->depth_m, strip->used_m[slot]);
    strip->n++;
}

/* The sky over the season of the last block. */
static void add_sky(struct work *w)
{
    struct growth growth = block_growth(&w->blocks[w->n]);
    struct sky *sky = &w->skies[w->n];
    light_sky(w->garden->site.latitude.v,
              garden_plot(w->garden, (size_t)zone_of(w, w->n)->plot)->bearing.v, (int)growth.sow,
              (int)growth.ripe, LIGHT_DIFFUSE_SHARE, sky);
    light_missing(sky, growth, sky->missing);
}

static void add_block(struct work *w, const struct choice_lines *chosen)
{
    const struct item *item = &w->menu->items[chosen->item];
    const struct planting *p = &w->menu->plantings[item->planting];
    struct block *block = &w->blocks[w->n];
    *block = (struct block){.zone = item->zone,
                            .item = chosen->item,
                            .planting = p,
                            .lines = chosen->lines,
                            .depth_m = planting_depth(p, chosen->lines),
                            .along_m = item->along_m,
                            .length_m = item->length_m};
    struct strip *shared = w->nstrips > 0 ? &w->strips[w->nstrips - 1] : NULL;
    const struct block *before = block - 1;
    block->shared = chosen->stations > 0;
    if (block->shared) {
        block->along_m = 0;
        block->length_m = chosen->stations * p->pitch_m;
    }
    if (block->shared && shared && before->zone == block->zone && before->shared) {
        block->along_m = before->along_m + before->length_m;
        shared->n++;
        shared->depth_m = fmax(shared->depth_m, block->depth_m);
    } else if (p->slot != SLOT_WHOLE) {
        if (!shared || before->zone != block->zone || before->planting->slot == SLOT_WHOLE ||
            before->planting->turn_d != p->turn_d)
            w->strips[w->nstrips++] = (struct strip){.first = w->n};
        join_turn(w, &w->strips[w->nstrips - 1], block);
    } else {
        w->strips[w->nstrips++] = (struct strip){.first = w->n, .n = 1, .depth_m = block->depth_m};
        for (int end = 0; end < 2 && !block->shared; end++)
            w->strips[w->nstrips - 1].over_m[end] = item->over_m[end];
    }
    add_sky(w);
    w->n++;
}

/* What stands already keeps its place; its light is looked at as that of the others. */
static void add_standing(struct work *w)
{
    for (int i = 0; i < w->menu->nstanding; i++, w->n++, w->nstanding++) {
        w->blocks[w->n] = w->menu->standing[i];
        w->shaders[w->n] = block_shader(&w->blocks[w->n], zone_of(w, w->n));
        add_sky(w);
    }
}

static hr_status work_init(struct work *w, const struct allocation *a, struct arena *arena)
{
    size_t n = (size_t)a->n + (size_t)w->menu->nstanding;
    w->blocks = ARENA_ARRAY(arena, struct block, n);
    w->skies = ARENA_ARRAY(arena, struct sky, n);
    w->foods = ARENA_ARRAY(arena, struct food, n);
    w->goals = ARENA_ARRAY(arena, struct food, n);
    w->shaders = ARENA_ARRAY(arena, struct shader, n);
    w->strips = ARENA_ARRAY(arena, struct strip, n);
    w->within_m = ARENA_ARRAY(arena, double, n);
    if (!w->blocks || !w->within_m || !w->skies || !w->foods || !w->goals || !w->shaders ||
        !w->strips)
        return HR_NOMEM;
    for (int c = 0; c < a->n; c++)
        add_block(w, &a->chosen[c]);
    add_standing(w);
    for (int first = 0, last; first < w->nstrips; first = last) {
        last = zone_end(w, first);
        stand_in_order(w, first, last); /* all casters stand before any light is worked out */
    }
    for (int b = 0; b < w->n; b++)
        light_block(w, b);
    return HR_OK;
}

/* How good the whole plan is. */
static struct score score_of(const struct work *w)
{
    double sum = 0;
    for (int first = 0, last; first < w->nstrips; first = last) {
        last = zone_end(w, first);
        sum += outside(w, first, last);
    }
    return (struct score){sum, excess_of(w, -1), work_value(w)};
}

/* Blocks as they stand: by zone, then across, then along. */
static hr_status in_order(const struct work *w, struct arena *arena, struct block **out)
{
    struct block *blocks = ARENA_ARRAY(arena, struct block, (size_t)w->n);
    if (!blocks)
        return HR_NOMEM;
    int n = 0;
    for (int s = 0; s < w->nstrips; s++)
        for (int b = w->strips[s].first; b < w->strips[s].first + w->strips[s].n; b++)
            blocks[n++] = w->blocks[b];
    for (int b = w->n - w->nstanding; b < w->n; b++)
        blocks[n++] = w->blocks[b];
    *out = blocks;
    return HR_OK;
}

hr_status arrange(const struct garden *garden, const struct zones *zones, const struct menu *menu,
                  const struct allocation *allocation, struct arena *arena, struct arrangement *out)
{
    struct work w = {.garden = garden, .zones = zones, .menu = menu};
    struct block *blocks;
    hr_status status = look_which_are_near(&w, arena);
    if (status == HR_OK)
        status = work_init(&w, allocation, arena);
    if (status != HR_OK)
        return status;
    struct score before = {HUGE_VAL, HUGE_VAL, -1}, now = score_of(&w);
    for (int s = 0; s < SWEEPS_MAX && better(now, before); s++) {
        before = now;
        sweep(&w);
        now = score_of(&w);
    }
    status = in_order(&w, arena, &blocks);
    if (status == HR_OK)
        *out = (struct arrangement){blocks, w.n, sum_foods(&w, w.foods), work_value(&w),
                                    excess_of(&w, -1)};
    return status;
}
