/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "standing.h"

#include <math.h>
#include <string.h>

#include "labour.h"
#include "standing_days.h"
#include "turns.h"
#include "weight.h"

/* So many of them fit into the room, at least one. */
static double spread(double room_m, double apart_m)
{
    return fmax(1, floor(room_m / apart_m + 1e-6));
}

static hr_status block_make(const struct garden *g, const struct menu *menu,
                            const struct zones *zones, int zone, const struct standing *s,
                            struct arena *arena, struct block *out)
{
    const struct zone *z = &zones->items[zone];
    const struct crop *crop = garden_seed(g, (size_t)s->seed_index)->crop;
    double along = s->along_m.set ? s->along_m.v : crop->in_row_m.typ;
    double across = s->across_m.set ? s->across_m.v : crop->row_m.typ;
    double lines = spread(z->depth_m, across), spots = spread(z->length_m, along);
    struct stay stay = standing_stay(g, (size_t)z->plot, s);
    struct planting *p = ARENA_NEW(arena, struct planting);
    if (!p)
        return HR_NOMEM;
    hr_status status =
        menu_rows(g, s->seed_index, &stay, z->length_m / spots, z->depth_m / lines, arena, p);
    if (status != HR_OK)
        return status;
    standing_season(g, (size_t)z->plot, s, arena, &p->parts[0].season);
    int turn = turns_after(menu, z);
    if (turn >= 0) {
        p->slot = SLOT_FIRST;
        p->turn_d = menu->turns_d[turn];
    }
    *out = (struct block){.zone = zone,
                          .item = -1,
                          .planting = p,
                          .lines = (int)lines,
                          .depth_m = planting_depth(p, (int)lines),
                          .length_m = z->length_m,
                          .light = {z->light}};
    return HR_OK;
}

hr_status standing_blocks(const struct garden *g, const struct zones *zones, struct arena *arena,
                          struct menu *menu)
{
    size_t most = 0;
    for (size_t i = 0; i < g->plots.n; i++)
        most += garden_plot(g, i)->standing.n;
    menu->standing = ARENA_ARRAY(arena, struct block, most);
    menu->standing_weight = ARENA_ARRAY(arena, double, most);
    menu->standing_full_kg = ARENA_ARRAY(arena, double, most);
    if (!menu->standing || !menu->standing_weight || !menu->standing_full_kg)
        return HR_NOMEM;
    for (size_t i = 0; i < g->plots.n; i++)
        for (size_t k = 0; k < garden_plot(g, i)->standing.n; k++) {
            const struct standing *s = plot_standing(garden_plot(g, i), k);
            struct block *block = &menu->standing[menu->nstanding++];
            int zone = zones_standing(zones, i, k);
            hr_status status = block_make(g, menu, zones, zone, s, arena, block);
            if (status != HR_OK)
                return status;
            menu->standing_full_kg[menu->nstanding - 1] = standing_kg(block);
            menu->standing_weight[menu->nstanding - 1] =
                weight_of(g, &zones->items[block->zone], block->planting, 0);
        }
    return HR_OK;
}

/* Whether another block follows it on its ground. */
static bool followed(const struct block *blocks, int n, const struct block *standing)
{
    bool found = false;
    for (int b = 0; b < n; b++)
        found |= blocks[b].zone == standing->zone && &blocks[b] != standing;
    return found;
}

hr_status standing_settle(struct block *blocks, int n, struct arena *arena)
{
    for (int b = 0; b < n; b++) {
        if (!block_standing(&blocks[b]) || blocks[b].planting->slot == SLOT_WHOLE ||
            followed(blocks, n, &blocks[b]))
            continue;
        struct planting *whole = ARENA_NEW(arena, struct planting);
        if (!whole)
            return HR_NOMEM;
        *whole = *blocks[b].planting;
        whole->slot = SLOT_WHOLE;
        whole->turn_d = 0;
        blocks[b].planting = whole;
    }
    return HR_OK;
}

hr_status standing_unweighed(const struct menu *menu, struct arena *arena, struct menu *out)
{
    size_t n = (size_t)menu->nstanding;
    out->standing = ARENA_ARRAY(arena, struct block, n);
    out->standing_weight = ARENA_ARRAY(arena, double, n);
    if (!out->standing || !out->standing_weight)
        return HR_NOMEM;
    for (size_t i = 0; i < n; i++) {
        out->standing[i] = menu->standing[i];
        out->standing_weight[i] = 1;
    }
    return HR_OK;
}

int standing_plants(const struct block *block)
{
    return block->lines * planting_stations(block->planting, block->length_m, 0);
}

double standing_kg(const struct block *block)
{
    struct stand_figures figures;
    struct stand_mixture mix;
    double kg;
    stand_mixture_typical(&mix);
    stand_figures_typical(block->planting->parts[0].crop, &figures);
    planting_plant_kg(block->planting, &figures, &mix, block->light, &kg);
    return kg * standing_plants(block);
}

static const struct crop *crop_of(const struct block *block)
{
    return block->planting->parts[0].crop;
}

static bool is_crop(const struct block *block, const char *crop)
{
    return !crop || strcmp(crop_of(block)->name.s, crop) == 0;
}

static struct food food_of(const struct menu *menu, bool weighed)
{
    struct food sum = {0};
    for (int i = 0; i < menu->nstanding; i++) {
        struct food_rate rate = food_rate_typical(crop_of(&menu->standing[i]));
        double weight = weighed ? menu->standing_weight[i] : 1;
        food_add(&sum, &rate, weight * standing_kg(&menu->standing[i]));
    }
    return sum;
}

struct food standing_food(const struct menu *menu)
{
    return food_of(menu, false);
}

struct food standing_goal(const struct menu *menu)
{
    return food_of(menu, true);
}

double standing_energy(const struct menu *menu, const char *crop)
{
    double sum = 0;
    for (int i = 0; i < menu->nstanding; i++)
        if (is_crop(&menu->standing[i], crop))
            sum += standing_kg(&menu->standing[i]) *
                   food_rate_typical(crop_of(&menu->standing[i])).energy_kcal;
    return sum;
}

double standing_area(const struct menu *menu, const char *crop)
{
    double sum = 0;
    for (int i = 0; i < menu->nstanding; i++)
        sum += is_crop(&menu->standing[i], crop) ? block_area(&menu->standing[i]) : 0;
    return sum;
}

double standing_hours(const struct menu *menu)
{
    double sum = 0;
    for (int i = 0; i < menu->nstanding; i++)
        sum += menu->standing_full_kg[i] * crop_of(&menu->standing[i])->harvest_h_kg.typ;
    return sum;
}

double standing_hours_between(const struct menu *menu, int from, int to)
{
    double sum = 0;
    for (int i = 0; i < menu->nstanding; i++) {
        struct labour l = labour_of(menu->standing[i].planting, 0, WORK_HARVEST);
        int first = l.from > from ? l.from : from, last = l.to < to ? l.to : to;
        if (last >= first)
            sum += l.kg_h * menu->standing_full_kg[i] * (last - first + 1) / (l.to - l.from + 1);
    }
    return sum;
}

double standing_wish(const struct menu *menu, const struct zones *zones, const struct wish *wish,
                     enum unit_kind kind, bool full)
{
    double sum = 0;
    for (int i = 0; i < menu->nstanding; i++) {
        const struct block *block = &menu->standing[i];
        if (!planting_wished(block->planting, 0, zones->items[block->zone].plot, wish))
            continue;
        double kg = kind == UNIT_MASS && full                 ? menu->standing_full_kg[i]
                    : kind == UNIT_MASS || kind == UNIT_SHARE ? standing_kg(block)
                                                              : 0;
        sum += kind == UNIT_MASS    ? kg
               : kind == UNIT_COUNT ? standing_plants(block)
               : kind == UNIT_AREA  ? block_area(block)
                                    : kg * food_rate_typical(crop_of(block)).energy_kcal;
    }
    return sum;
}

bool standing_in(const struct menu *menu, const struct zones *zones, int seed_index, size_t plot)
{
    for (int i = 0; i < menu->nstanding; i++)
        if (menu->standing[i].planting->parts[0].seed_index == seed_index &&
            zones->items[menu->standing[i].zone].plot == (int)plot)
            return true;
    return false;
}
