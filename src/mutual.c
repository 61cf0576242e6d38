/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "mutual.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "block.h"

#define SIDES       2
#define SLOTS_FIRST 4096 /* a power of two */
#define TINY        1e-9 /* of the light: less is no loss */
#define STEPS       6
#define LOOK_STEPS  50 /* of listing and joining that take as long as a look into the sky */
#define LINES_MOST  8  /* of a block beside something: further ones hardly matter */

/* What a share of light depends on. Lengths are whole steps of the zone or millimetres. */
struct mutual_key {
    int16_t item, count, depth, side; /* of what loses it; side SIDES: along the line */
    int16_t items[SHARED_PARTS_MAX], from[SHARED_PARTS_MAX],
        to[SHARED_PARTS_MAX];            /* of the other */
    int16_t other_depth, used, spare[2]; /* whole words */
};

struct mutual_slot {
    struct mutual_key key;
    double share;
};

struct mutual {
    const struct garden *garden;
    const struct menu *menu;
    const struct zone *zone;
    struct arena *arena;
    int first;          /* the zone's first item */
    double step_m;      /* along the zone */
    struct sky **skies; /* per item of the zone and side, and of all sides: the rays that come from
                         * there; NULL: not looked at yet */
    long *work;
    struct mutual_slot *slots;
    size_t nslots, nused;
};

static const struct planting *planting_of(const struct mutual *m, int item)
{
    return &m->menu->plantings[m->menu->items[item].planting];
}

struct mutual *mutual_new(const struct garden *garden, const struct zones *zones,
                          const struct menu *menu, size_t zone, long *work, struct arena *arena)
{
    struct mutual *m = ARENA_ARRAY(arena, struct mutual, 1);
    int items = 0, first = 0;
    for (int i = menu->nitems - 1; i >= 0; i--)
        if (menu->items[i].zone == (int)zone) {
            first = i;
            items++;
        }
    struct sky **skies = ARENA_ARRAY(arena, struct sky *, (SIDES + 1) * (size_t)items + 1);
    struct mutual_slot *slots = ARENA_ARRAY(arena, struct mutual_slot, SLOTS_FIRST);
    if (!m || !skies || !slots)
        return NULL;
    *m = (struct mutual){.garden = garden,
                         .menu = menu,
                         .zone = &zones->items[zone],
                         .arena = arena,
                         .first = first,
                         .step_m = zones->items[zone].length_m / STEPS,
                         .work = work,
                         .skies = skies,
                         .slots = slots,
                         .nslots = SLOTS_FIRST};
    return m;
}

/* ---- what was worked out ------------------------------------------------------------------- */

static size_t hash_of(const struct mutual_key *key)
{
    uint64_t words[sizeof *key / sizeof(uint64_t)], h = 1469598103934665603u;
    memcpy(words, key, sizeof words);
    for (size_t k = 0; k < sizeof words / sizeof *words; k++) {
        h = (h ^ words[k]) * 0x9e3779b97f4a7c15u;
        h ^= h >> 32;
    }
    return (size_t)h;
}

static_assert(sizeof(struct mutual_key) % sizeof(uint64_t) == 0, "a key is whole words");

static struct mutual_slot *find_slot(struct mutual_slot *slots, size_t n,
                                     const struct mutual_key *key)
{
    size_t k = hash_of(key) & (n - 1);
    while (slots[k].key.used && memcmp(&slots[k].key, key, sizeof *key) != 0)
        k = (k + 1) & (n - 1);
    return &slots[k];
}

static bool grow(struct mutual *m)
{
    struct mutual_slot *slots = ARENA_ARRAY(m->arena, struct mutual_slot, 2 * m->nslots);
    if (!slots)
        return false;
    for (size_t k = 0; k < m->nslots; k++)
        if (m->slots[k].key.used)
            *find_slot(slots, 2 * m->nslots, &m->slots[k].key) = m->slots[k];
    m->slots = slots;
    m->nslots *= 2;
    return true;
}

/* ---- light --------------------------------------------------------------------------------- */

/* The rays over an item's season that come from one side of it; side SIDES: all of them. */
static const struct sky *sky_of(struct mutual *m, int item, int side)
{
    struct sky **at = &m->skies[(SIDES + 1) * (item - m->first) + side];
    if (*at != NULL)
        return *at;
    struct sky *sky = ARENA_ARRAY(m->arena, struct sky, 1);
    if (!sky)
        return NULL;
    struct block block = {.planting = planting_of(m, item)};
    struct growth growth = block_growth(&block);
    int n = 0;
    light_sky(m->garden->site.latitude.v, garden_plot(m->garden, (size_t)m->zone->plot)->bearing.v,
              (int)growth.sow, (int)growth.ripe, LIGHT_DIFFUSE_SHARE, sky);
    light_missing(sky, growth, sky->missing);
    for (int k = 0; k < sky->n; k++) {
        double across = m->zone->along_x ? sky->rays[k].dy : sky->rays[k].dx;
        if (side == SIDES || (across < 0) == (side == MUTUAL_BEFORE))
            sky->rays[n++] = sky->rays[k];
    }
    sky->n = n;
    *at = sky;
    return sky;
}

/* The canopies of a key, from start_m across; those that stand at other times are left out. */
static int shaders_of(const struct mutual *m, const struct mutual_key *key, const struct sky *sky,
                      double start_m, double origin_m, struct shader *out)
{
    int n = 0;
    const struct planting *own = planting_of(m, m->first + key->item);
    for (int k = 0; k < SHARED_PARTS_MAX; k++) {
        if (key->items[k] < 0)
            continue;
        const struct item *item = &m->menu->items[m->first + key->items[k]];
        struct block block = {.planting = planting_of(m, m->first + key->items[k]),
                              .start_m = start_m,
                              .along_m = item->along_m,
                              .length_m = item->length_m};
        if (!planting_together(own, block.planting))
            continue;
        block.depth_m = key->other_depth / 1000.0;
        if (key->to[k] > key->from[k]) {
            block.along_m = origin_m + key->from[k] * m->step_m;
            block.length_m = (key->to[k] - key->from[k]) * m->step_m;
        }
        out[n] = block_shader(&block, m->zone);
        light_missing(sky, block_growth(&block), out[n++].missing);
    }
    return n;
}

/* What is lost where a part begins along_m along the zone. */
static double lost_at(struct mutual *m, const struct mutual_key *key, double along_m)
{
    struct shader shaders[SHARED_PARTS_MAX];
    const struct item *item = &m->menu->items[m->first + key->item];
    const struct planting *p = planting_of(m, m->first + key->item);
    const struct sky *sky = sky_of(m, m->first + key->item, key->side);
    struct block own = {.planting = p, .along_m = item->along_m, .length_m = item->length_m};
    own.depth_m = planting_depth(p, key->count);
    if (key->depth > 0) {
        own.depth_m = key->depth / 1000.0;
        own.along_m = along_m;
        own.length_m = key->count * p->pitch_m;
    }
    double start = own.depth_m;
    if (key->side == MUTUAL_BEFORE)
        start = -key->other_depth / 1000.0;
    if (key->side == SIDES)
        start = 0;
    int n = sky ? shaders_of(m, key, sky, start, key->side == SIDES ? along_m : 0, shaders) : 0;
    return n == 0 ? 0
                  : 1 - light_on_rect(sky, block_rect(&own, m->zone), p->height_m, shaders, n, -1);
}

/* A part of a shared line may stand anywhere along it. Beside what reaches all along the zone each
 * ray's loss is concave in the place, so it is least at one of the ends. */
static double lost(struct mutual *m, const struct mutual_key *key)
{
    double share = lost_at(m, key, 0);
    if (key->depth > 0 && key->side < SIDES && share > TINY) {
        double end = m->zone->length_m - key->count * planting_of(m, m->first + key->item)->pitch_m;
        share = fmin(share, lost_at(m, key, fmax(0, end)));
    }
    return share > TINY ? share * (1 - TINY) : 0;
}

static double share_of(struct mutual *m, struct mutual_key *key)
{
    key->used = 1;
    struct mutual_slot *slot = find_slot(m->slots, m->nslots, key);
    if (slot->key.used)
        return slot->share;
    if (2 * m->nused >= m->nslots) {
        if (!grow(m))
            return 0;
        slot = find_slot(m->slots, m->nslots, key);
    }
    m->nused++;
    *m->work -= LOOK_STEPS;
    double share = lost(m, key);
    *slot = (struct mutual_slot){*key, share};
    return share;
}

/* ---- questions ----------------------------------------------------------------------------- */

/* Of few lines: a deeper block takes no less. */
static int few(int lines)
{
    int n = 1;
    while (2 * n <= lines && n < LINES_MOST)
        n *= 2;
    return n;
}

static struct mutual_key key_of(const struct mutual *m, const struct mutual_unit *own, int part)
{
    struct mutual_key key = {.items = {-1, -1, -1, -1}};
    key.item = (int16_t)((part < 0 ? own->item : own->parts[part].item) - m->first);
    key.count = (int16_t)(part < 0 ? own->lines : own->parts[part].stations);
    key.depth = (int16_t)(part < 0 ? 0 : lround(1000 * own->depth_m));
    return key;
}

/* A canopy from one place along a line to another, no longer than it is. */
static void narrow(const struct mutual *m, struct mutual_key *key, int k, int item, double from_m,
                   double to_m)
{
    int from = (int)ceil(from_m / m->step_m - 1e-6), to = (int)floor(to_m / m->step_m + 1e-6);
    if (to <= from)
        return;
    key->items[k] = (int16_t)(item - m->first);
    key->from[k] = (int16_t)from;
    key->to[k] = (int16_t)to;
}

double mutual_beside(struct mutual *m, const struct mutual_unit *own, int part,
                     enum mutual_side side, const struct mutual_unit *other)
{
    struct mutual_key key = key_of(m, own, part);
    key.side = (int16_t)side;
    if (other->nparts == 0) {
        const struct planting *p = planting_of(m, other->item);
        key.items[0] = (int16_t)(other->item - m->first);
        key.other_depth = (int16_t)floor(1000 * planting_depth(p, few(other->lines)) + 1e-6);
        return share_of(m, &key);
    }
    if (part >= 0)
        return 0; /* a zone has one shared line */
    bool any = false;
    key.other_depth = (int16_t)floor(1000 * other->depth_m + 1e-6);
    for (int k = 0; k < other->nparts; k++) {
        narrow(m, &key, k, other->parts[k].item, other->parts[k].from_m, other->parts[k].to_m);
        any = any || key.items[k] >= 0;
    }
    return any ? share_of(m, &key) : 0;
}

double mutual_within(struct mutual *m, const struct mutual_unit *own, int part)
{
    struct mutual_key key = key_of(m, own, part);
    const struct mutual_part *p = &own->parts[part];
    bool any = false;
    key.side = SIDES;
    key.other_depth = key.depth;
    for (int k = part - 1; k <= part + 1; k += 2)
        if (k >= 0 && k < own->nparts) {
            const struct mutual_part *o = &own->parts[k];
            narrow(m, &key, k > part, o->item, o->from_m - p->from_m, o->to_m - p->from_m);
            any = any || key.items[k > part] >= 0;
        }
    return any ? share_of(m, &key) : 0;
}
