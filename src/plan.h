/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLAN_H
#define PLAN_H
/* A whole plan: blocks, stations, food with ranges, and how good it is proved to be. */
#include "arrange.h"

struct span { /* an estimate: 80 % interval round the typical */
    double low, typ, high;
};

struct station {
    char id[16];     /* hills "1", "2", ... numbered through the whole plan; row spots "b3.1.12"
                        (block.line.spot) */
    int plot, block; /* indices */
    int line, index; /* from 0 */
    double x_m, y_m; /* plot frame */
    int plants[STAND_PARTS_MAX]; /* kept; 0 where a part does not stand */
};

struct line {              /* one row or line of hills */
    int block, index;      /* from 0 */
    double x0, y0, x1, y1; /* plot frame: the ends of the ground it runs over */
    int first, n;          /* stations */
};

struct crop_result { /* one variety over the whole plan */
    const struct seed *seed;
    int plants, spots; /* spots: stations where it stands */
    double sown;       /* seeds or pieces */
    double area_m2;    /* ground of its blocks, guild blocks split evenly among parts */
    double goal_kg;    /* typical, each kg times what it counts for in the goal; not kept */
    struct span kg, energy_kcal, protein_g;
    double kept_kg; /* typical, of `kg`: not eaten, where its seed is saved (seed_kept.h) */
    int kept_plants;
};

enum plan_status { PLAN_OPTIMAL, PLAN_FEASIBLE };
extern const char *const plan_status_names[]; /* "optimal" (within the gap asked for), "feasible" */

struct plan {
    struct arena *arena;
    const struct garden *garden;
    struct zones zones;   /* those of what stands already among them, nstanding 0 */
    struct menu menu;     /* empty in a plan read back */
    struct block *blocks; /* by plot, zone, start */
    int nblocks;
    struct line *lines; /* by block, index */
    int nlines;
    struct station *stations;
    int nstations;
    struct crop_result *crops; /* by the order of garden->seed; those with plants only */
    int ncrops;

    enum plan_status status;
    double value, bound, gap; /* of the goal, typical figures; gap a fraction of the bound. Where
                                 foods are weighed (weight.h), of the weighed foods */
    double food_bound;        /* of the goal as food, where foods are weighed: no plan gives more */
    double gap_asked;
    double seconds;
    int rounds; /* of the light loop */
    struct span person_days, energy_kcal, protein_g, usable_protein_g, hours;
    double eaten_kcal, eaten_usable_g, eaten_days; /* typical, less what is kept for seed */
    enum amino limiting;                           /* AMINO_COUNT: digestible protein itself */
    double shade_loss;                             /* share of the value lost to canopies' shade */
    char id[12]; /* 8 hex digits over what is planted where: names the paper */
};

struct plan_make_options {
    double seconds, gap;
    const struct zones *zones; /* of the garden, where they are cut already; NULL: not yet */
    bool (*progress)(void *data, double seconds, double value, double bound);
    void *data;
};

/* Zones, menu, allocate, arrange, the light loop, place, ranges. HR_OK, HR_LIMIT, HR_INFEASIBLE,
 * HR_INPUT, HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status plan_make(const struct garden *garden, const struct plan_make_options *options,
                               struct arena *arena, struct diags *diags, struct plan **out);
/* Stations, totals, value, shade, id and ranges of a plan whose garden, zones and blocks stand. */
HR_CHECKED hr_status plan_settle(struct plan *plan);
/* Totals per crop and for the whole (typical kg, plants, sown, area, food, limiting, value) from
 * blocks and stations. */
HR_CHECKED hr_status plan_totals(struct plan *plan, struct food *typical);
/* What the plan gives of its goal as food, whatever foods count for. */
double plan_food_value(const struct plan *plan);
/* Typical kg of one plant of each part of a block. */
void plan_plant_kg(const struct block *block, double *kg);
void plan_dump(const struct plan *plan, struct strbuf *out);

#endif
