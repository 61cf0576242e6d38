/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan_keys.h"

#include <string.h>

#include "weight.h"

#define KEYS(name)                                                                                 \
    const struct keys name##_keys = {name##_table, sizeof(name##_table) / sizeof(name##_table[0])}

#define LENGTH(s, member, lo, hi)                                                                  \
    {                                                                                              \
        .name = #member, .type = KEY_REAL, .offset = offsetof(struct s, member), .min = (lo),      \
        .max = (hi), .digits = 12                                                                  \
    }
#define REAL(s, member, lo, hi)                                                                    \
    {                                                                                              \
        .name = #member, .type = KEY_REAL, .offset = offsetof(struct s, member), .min = (lo),      \
        .max = (hi)                                                                                \
    }
#define WHOLE(s, member, lo, hi)                                                                   \
    {                                                                                              \
        .name = #member, .type = KEY_INT, .offset = offsetof(struct s, member), .min = (lo),       \
        .max = (hi)                                                                                \
    }
#define FLAG(s, member)                                                                            \
    {                                                                                              \
        .name = #member, .type = KEY_FLAG, .offset = offsetof(struct s, member)                    \
    }
#define TEXT(s, key, member)                                                                       \
    {                                                                                              \
        .name = (key), .type = KEY_TEXT, .offset = offsetof(struct s, member)                      \
    }
#define CHARS(s, key, member)                                                                      \
    {                                                                                              \
        .name = (key), .type = KEY_CHARS, .offset = offsetof(struct s, member),                    \
        .size = sizeof(((struct s *)NULL)->member)                                                 \
    }
#define NAME(s, member, list, count)                                                               \
    {                                                                                              \
        .name = #member, .type = KEY_NAME, .offset = offsetof(struct s, member), .names = (list),  \
        .n = (count)                                                                               \
    }
#define SPAN(s, member)                                                                            \
    {                                                                                              \
        .name = #member, .type = KEY_SPAN, .offset = offsetof(struct s, member), .max = 1e15       \
    }

#define FAR_M   1000 /* no coordinate of a garden file is further out */
#define DAY_MAX 3650

static const char *const season_names[] = {"fits", "at risk", "out"};

static const struct key plan_table[] = {
    NAME(plan, status, plan_status_names, 2),
    REAL(plan, value, 0, 1e15),
    REAL(plan, bound, 0, 1e15),
    REAL(plan, gap, 0, 1),
    REAL(plan, gap_asked, 0, 1),
    {.name = "seconds",
     .type = KEY_REAL,
     .offset = offsetof(struct plan, seconds),
     .max = 1e9,
     .digits = 3},
    WHOLE(plan, rounds, 0, 1000),
    SPAN(plan, person_days),
    SPAN(plan, energy_kcal),
    SPAN(plan, protein_g),
    SPAN(plan, usable_protein_g),
    SPAN(plan, hours),
    {.name = "limiting",
     .type = KEY_NAME,
     .offset = offsetof(struct plan, limiting),
     .names = amino_names,
     .n = AMINO_COUNT,
     .past = "digestible protein"},
    REAL(plan, shade_loss, 0, 1),
};

static const struct key weighed_table[] = {
    REAL(plan, food_bound, 0, 1e15),
};

static const struct key eaten_table[] = {
    REAL(plan, eaten_kcal, 0, 1e15),
    REAL(plan, eaten_usable_g, 0, 1e15),
    REAL(plan, eaten_days, 0, 1e15),
};

static const struct key kept_table[] = {
    REAL(crop_result, kept_kg, 0, 1e9),
    WHOLE(crop_result, kept_plants, 0, 1e9),
};

static const struct key result_table[] = {
    WHOLE(crop_result, plants, 0, 1e9),
    WHOLE(crop_result, spots, 0, 1e9),
    REAL(crop_result, sown, 0, 1e9),
    REAL(crop_result, area_m2, 0, 1e9),
    SPAN(crop_result, kg),
    SPAN(crop_result, energy_kcal),
    SPAN(crop_result, protein_g),
};

static const struct key left_out_table[] = {
    TEXT(left_out, "name", name),
    TEXT(left_out, "why", why),
};

static const struct key former_table[] = {
    {.name = "plot", .type = KEY_NUMBER, .offset = offsetof(struct former, plot), .max = 1000},
    WHOLE(former, year, 1900, 2300),
    LENGTH(former, x0, -1e4, 1e4),
    LENGTH(former, x1, -1e4, 1e4),
    LENGTH(former, y0, -1e4, 1e4),
    LENGTH(former, y1, -1e4, 1e4),
    TEXT(former, "family", family),
};

static const struct key ground_table[] = {
    FLAG(ground, along_x),          REAL(ground, outline_m2, 0, 1e9), REAL(ground, free_m2, 0, 1e9),
    REAL(ground, zoned_m2, 0, 1e9), REAL(ground, lost_share, -1, 1),
};

static const struct key zone_table[] = {
    CHARS(zone, "name", name),
    FLAG(zone, along_x),
    REAL(zone, light, 0, 1),
};

static const struct key rect_table[] = {
    {.name = "x0_m",
     .offset = offsetof(struct rect, x0),
     .min = -FAR_M,
     .max = FAR_M,
     .digits = 12},
    {.name = "y0_m",
     .offset = offsetof(struct rect, y0),
     .min = -FAR_M,
     .max = FAR_M,
     .digits = 12},
    {.name = "x1_m",
     .offset = offsetof(struct rect, x1),
     .min = -FAR_M,
     .max = FAR_M,
     .digits = 12},
    {.name = "y1_m",
     .offset = offsetof(struct rect, y1),
     .min = -FAR_M,
     .max = FAR_M,
     .digits = 12},
};

static const struct key planting_table[] = {
    TEXT(planting, "planting", id),
    TEXT(planting, "label", label),
    NAME(planting, system, system_names, SYSTEM_COUNT),
    NAME(planting, slot, slot_names, SLOT_COUNT),
    WHOLE(planting, turn_d, -DAY_MAX, DAY_MAX),
    {.name = "stay_from",
     .type = KEY_INT,
     .offset = offsetof(struct planting, stay.from),
     .min = -DAY_MAX,
     .max = DAY_MAX},
    {.name = "stay_to",
     .type = KEY_INT,
     .offset = offsetof(struct planting, stay.to),
     .min = -DAY_MAX,
     .max = DAY_MAX},
    LENGTH(planting, pitch_m, 0.01, 100),
    LENGTH(planting, line_m, 0.01, 100),
    LENGTH(planting, first_m, 0.01, 100),
    LENGTH(planting, stagger_m, 0, 100),
    LENGTH(planting, height_m, 0, 100),
    LENGTH(planting, spread_m, 0, 100),
    REAL(planting, extinction_per_m, 0, 1e6),
    LENGTH(planting, hill_diameter_m, 0, 100),
    LENGTH(planting, hill_height_m, 0, 100),
};

static const struct key block_table[] = {
    WHOLE(block, lines, 1, 100000),        LENGTH(block, start_m, -FAR_M, FAR_M),
    LENGTH(block, depth_m, 0, FAR_M),      FLAG(block, shared),
    LENGTH(block, along_m, -FAR_M, FAR_M), LENGTH(block, length_m, 0, FAR_M),
};

static const struct key part_table[] = {
    NAME(part, role, role_names, ROLE_COUNT),
    WHOLE(part, per_station, 1, 1000),
    WHOLE(part, every, 1, 1000),
    REAL(part, sown, 0, 1e6),
    LENGTH(part, ring_m, 0, 100),
    REAL(part, delay_d, -DAY_MAX, DAY_MAX),
    REAL(part, days, 0, DAY_MAX),
    TEXT(part, "trigger", trigger),
};

static const struct key season_table[] = {
    NAME(season, fit, season_names, 3),
    WHOLE(season, sow_first, -DAY_MAX, DAY_MAX),
    WHOLE(season, sow_last, -DAY_MAX, DAY_MAX),
    WHOLE(season, sow, -DAY_MAX, DAY_MAX),
    WHOLE(season, harvest_low, -DAY_MAX, 2 * DAY_MAX),
    WHOLE(season, harvest_typ, -DAY_MAX, 2 * DAY_MAX),
    WHOLE(season, harvest_high, -DAY_MAX, 2 * DAY_MAX),
    WHOLE(season, frost, -DAY_MAX, DAY_MAX),
    WHOLE(season, margin_d, -2 * DAY_MAX, 2 * DAY_MAX),
    TEXT(season, "reason", reason),
};

#define NUMBER(s, key, member)                                                                     \
    {                                                                                              \
        .name = (key), .type = KEY_NUMBER, .offset = offsetof(struct s, member), .max = 1e9        \
    }
#define PLACE(key, member)                                                                         \
    {                                                                                              \
        .name = (key), .offset = offsetof(struct station, member), .min = -FAR_M, .max = FAR_M,    \
        .digits = 9                                                                                \
    }

static const struct key station_table[] = {
    CHARS(station, "id", id),
    NUMBER(station, "plot", plot),
    NUMBER(station, "block", block),
    NUMBER(station, "line", line),
    NUMBER(station, "spot", index),
    PLACE("x_m", x_m),
    PLACE("y_m", y_m),
};

const char *plan_unit(const struct garden *g)
{
    static const char *const units[][2] = {
        [GOAL_DAYS] = {"person-days", "person-days, foods weighed"},
        [GOAL_ENERGY] = {"kcal", "kcal, foods weighed"},
        [GOAL_PROTEIN] = {"g of usable protein", "g of usable protein, foods weighed"},
    };
    return units[g->goal.v][weight_any(g)];
}

KEYS(plan);
KEYS(weighed);
KEYS(eaten);
KEYS(kept);
KEYS(result);
KEYS(left_out);
KEYS(former);
KEYS(ground);
KEYS(zone);
KEYS(rect);
KEYS(planting);
KEYS(block);
KEYS(part);
KEYS(season);
KEYS(station);

const char *plan_part_name(struct arena *arena, const struct planting *p, int k)
{
    const struct part *part = &p->parts[k];
    for (int j = 0; j < p->nparts; j++)
        if (j != k && strcmp(p->parts[j].seed->variety.s, part->seed->variety.s) == 0)
            return arena_printf(arena, "%s (%s)", part->seed->variety.s, part->crop->name.s);
    return part->seed->variety.s;
}
