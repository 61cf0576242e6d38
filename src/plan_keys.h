/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLAN_KEYS_H
#define PLAN_KEYS_H
/* The keys of plan.json as tables: name, type, place in the struct, limits. They drive writing and
 * reading alike; docs/plan-json.md describes them for people. */
#include "plan.h"

enum key_type {
    KEY_REAL,   /* double; `digits` after the point, 0: 12 significant ones */
    KEY_INT,    /* int */
    KEY_NUMBER, /* int from 0 inside, from 1 in the file and on paper */
    KEY_FLAG,   /* bool */
    KEY_TEXT,   /* const char * */
    KEY_CHARS,  /* char [size] */
    KEY_NAME,   /* enum: one of `names`, or `past` for the value behind the last */
    KEY_SPAN    /* struct span */
};

struct key {
    const char *name;
    enum key_type type;
    size_t offset;
    double min, max;
    int digits;
    size_t size;
    const char *const *names;
    int n;
    const char *past;
};

struct keys {
    const struct key *key;
    size_t n;
};

extern const struct keys plan_keys, weighed_keys, eaten_keys, result_keys, kept_keys, left_out_keys,
    former_keys, ground_keys, zone_keys, rect_keys, planting_keys, block_keys, part_keys,
    season_keys, station_keys;

/* What the value and the bound of a garden's goal are counted in. */
const char *plan_unit(const struct garden *g);

/* Names a part among those of its planting: the variety, unless another part has the same. NULL:
 * out of memory. */
const char *plan_part_name(struct arena *arena, const struct planting *p, int k);

#endif
