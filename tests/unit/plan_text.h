/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLAN_TEXT_H
#define PLAN_TEXT_H
/* Plans for tests, laid out by hand on real ground with real plantings: no optimiser has a say, so
 * the places and numbers of everything can be worked out on paper. */
#include "garden_text.h"
#include "place.h"
#include "range.h"

#define PLAN_TEXT_HEAD                                                                             \
    "garden: Test Ground\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                  \
    "  last frost: {early: Apr 21, median: May 3, late: May 15}\n"                                 \
    "  first frost: {early: Sep 28, median: Oct 10, late: Oct 22}\n"

/* Two plots, rows along x and along y. */
#define PLAN_TEXT_PLOTS                                                                            \
    "plots:\n  - {name: Home, size: 6.5 m x 9 m, border: 25 cm, rows: along-x}\n"                  \
    "  - {name: Slope, size: 4 m x 5 m, border: 20 cm, rows: along-y, bearing: 30 deg}\n"

#define PLAN_TEXT_SEED                                                                             \
    "seed:\n  - {variety: Ember Ridge, crop: flint corn, amount: 300 g}\n"                         \
    "  - {variety: Wren's Speckled, crop: climbing bean, amount: 400 g}\n"                         \
    "  - {variety: Long Lantern, crop: butternut squash, amount: 200 seeds}\n"                     \
    "  - {variety: Cellar Gold, crop: potato}\n"                                                   \
    "  - {variety: Porch Light, crop: summer squash, amount: 40 seeds}\n"

struct plan_text {
    struct garden_text t;
    struct plan *plan;
};

/* Ground and menu of a garden; blocks are put on it next. */
static inline struct plan_text plan_text_new(const char *yaml)
{
    struct plan_text p = {.t = garden_text_read(yaml)};
    cr_assert(p.t.status == HR_OK, "%s", garden_text_diags(&p.t));
    struct plan *plan = ARENA_NEW(p.t.arena, struct plan);
    plan->arena = p.t.arena;
    plan->garden = p.t.garden;
    CALL(zones_cut(plan->garden, p.t.arena, p.t.diags, &plan->zones));
    CALL(menu_make(plan->garden, &plan->zones, p.t.arena, p.t.diags, &plan->menu));
    plan->blocks = ARENA_ARRAY(p.t.arena, struct block, 64);
    p.plan = plan;
    return p;
}

static inline void plan_text_free(struct plan_text *p)
{
    garden_text_free(&p->t);
}

/* The middle of the menu's spacings for a crop or guild in a system. */
static inline const struct planting *plan_text_planting(struct plan_text *p, enum system system,
                                                        const char *name)
{
    const struct planting *found[3] = {NULL};
    int n = 0;
    for (int i = 0; i < p->plan->menu.nplantings && n < 3; i++) {
        const struct planting *q = &p->plan->menu.plantings[i];
        const char *its = q->guild ? q->guild->name.s : q->parts[0].crop->name.s;
        if (q->system == system && strcmp(its, name) == 0)
            found[n++] = q;
    }
    cr_assert(n > 0, "no %s of %s on the menu", system_names[system], name);
    return found[n > 1 ? 1 : 0];
}

/* So many lines behind the blocks that are in the zone already. */
static inline struct block *plan_text_block(struct plan_text *p, int zone, enum system system,
                                            const char *name, int lines)
{
    struct plan *plan = p->plan;
    const struct zone *z = &plan->zones.items[zone];
    struct block *b = &plan->blocks[plan->nblocks++];
    *b = (struct block){.zone = zone, .item = -1, .lines = lines, .length_m = z->length_m};
    b->planting = plan_text_planting(p, system, name);
    b->depth_m = planting_depth(b->planting, lines);
    for (const struct block *a = plan->blocks; a < b; a++)
        if (a->zone == zone && a->start_m + a->depth_m > b->start_m)
            b->start_m = a->start_m + a->depth_m;
    for (int k = 0; k < b->planting->nparts; k++)
        b->light[k] = z->light * (0.95 - 0.02 * k); /* less than they get */
    return b;
}

/* One more part of the shared line that the block before it is a part of. */
static inline struct block *plan_text_shared(struct plan_text *p, int zone, const char *name,
                                             int stations)
{
    struct block *b = plan_text_block(p, zone, SYSTEM_ROWS, name, 1), *a = b - 1;
    b->shared = true;
    b->length_m = stations * b->planting->pitch_m;
    if (b > p->plan->blocks && a->shared && a->zone == zone) {
        b->start_m = a->start_m;
        b->along_m = a->along_m + a->length_m;
        a->depth_m = b->depth_m = fmax(a->depth_m, b->depth_m);
    }
    return b;
}

/* Stations and all numbers from the blocks. */
static inline void plan_text_finish(struct plan_text *p)
{
    struct plan *plan = p->plan;
    struct food food;
    CALL(place_stations(plan));
    CALL(plan_totals(plan, &food));
    plan->bound = 1.02 * plan->value;
    plan->food_bound = 1.05 * plan_food_value(plan);
    plan->gap = plan->bound > 0 ? 1 - plan->value / plan->bound : 0;
    plan->gap_asked = 0.03;
    plan->rounds = 2;
    plan->shade_loss = 0.02;
    plan->seconds = 0.25;
    memcpy(plan->id, "0badcafe", 9);
    CALL(range_plan(plan, 100, RANGE_SEED));
}

/* A plan with every kind of block: hills, rows, a shared line, a row guild; terms may be added to
 * the garden. */
static inline struct plan_text plan_text_good(const char *terms)
{
    char yaml[4096];
    snprintf(yaml, sizeof yaml, "%s%s%s%s", PLAN_TEXT_HEAD, PLAN_TEXT_PLOTS, PLAN_TEXT_SEED, terms);
    struct plan_text p = plan_text_new(yaml);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 2);
    plan_text_shared(&p, 0, "summer squash", 3);
    plan_text_shared(&p, 0, "potato", 5);
    plan_text_block(&p, 1, SYSTEM_ROW_GUILD, "corn, bean and squash", 2);
    plan_text_finish(&p);
    return p;
}

#endif
