/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef VERIFY_WORK_H
#define VERIFY_WORK_H
/* What the checks of a plan share; for the files verify*.c alone. */
#include "isolation.h"
#include "verify.h"

#define VERIFY_SAID_MAX 5    /* breaches of one check that are told one by one */
#define VERIFY_PART     1e-6 /* of a quantity: less is no difference */

/* What the stations of one variety come to. */
struct tally {
    int plants, spots;
    double sown, area_m2, kg, goal_kg; /* goal_kg: times what it counts for */
};

struct block_tally {
    int stations;
    struct tally parts[STAND_PARTS_MAX];
};

struct verifying {
    const struct plan *plan;
    const struct garden *garden;
    struct arena *arena;
    struct diags *diags;
    const char *check; /* the one running */
    int said;
    bool nomem;
    struct geom **grounds; /* per plot; NULL: GEOS refused it, which was said */
    /* worked out from the stations: */
    struct tally *tallies;      /* per seed */
    struct block_tally *blocks; /* per block of the plan */
    struct food food, goal;     /* goal: weighed */
    double hours, area_m2;
};

/* An error of the check that runs. No %f, %g, %e: see verify_number. */
__attribute__((format(printf, 3, 4))) void verify_breach_at(struct verifying *v, struct pos at,
                                                            const char *fmt, ...);
#define verify_breach(v, ...) verify_breach_at((v), (struct pos){0}, __VA_ARGS__)
/* A number, or a block's name, for a message. */
const char *verify_number(struct verifying *v, double x);
const char *verify_block(struct verifying *v, int b);
/* Equal but for rounding. */
bool verify_same(double a, double b);

/* verify_place.c */
void verify_zones(struct verifying *v);
void verify_direction(struct verifying *v);
void verify_blocks(struct verifying *v);
void verify_light(struct verifying *v);
void verify_plantings(struct verifying *v);
void verify_rules(struct verifying *v);
void verify_season(struct verifying *v);
void verify_lines(struct verifying *v);
void verify_stations(struct verifying *v);
void verify_plants(struct verifying *v);
void verify_ground(struct verifying *v);
void verify_heights(struct verifying *v);
void verify_spacing(struct verifying *v);
void verify_numbers(struct verifying *v);

/* verify_isolation.c */
void verify_isolation(struct verifying *v);
/* The ground of a block in its zone, whose corner is (0, 0). */
struct rect verify_block_ground(const struct verifying *v, int b);

/* verify_kept.c */
void verify_kept(struct verifying *v);

/* verify_access.c */
void verify_access(struct verifying *v);

/* verify_mulch.c */
void verify_mulch(struct verifying *v);

/* verify_warmth.c */
void verify_warmth(struct verifying *v);

/* verify_rotation.c */
void verify_rotation(struct verifying *v);

/* verify_weight.c */
/* What the food of part k of a block counts for in the goal, from the garden's words. */
double verify_weight(const struct verifying *v, int b, int k);
bool verify_weighed(const struct verifying *v);

/* verify_standing.c */
void verify_standing(struct verifying *v);

/* verify_shade.c */
void verify_shade(struct verifying *v);
void verify_neighbours(struct verifying *v);

/* verify_food.c */
void verify_count(struct verifying *v); /* fills what is worked out from the stations */
void verify_sowing(struct verifying *v);
void verify_crops(struct verifying *v);
void verify_seed(struct verifying *v);
void verify_food(struct verifying *v);
void verify_value(struct verifying *v);
void verify_ranges(struct verifying *v);
void verify_hours(struct verifying *v);
void verify_wishes(struct verifying *v);
void verify_shares(struct verifying *v);

#endif
