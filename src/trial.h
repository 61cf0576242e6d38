/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TRIAL_H
#define TRIAL_H
/* A fair test of hills against rows in one plot: paired blocks, each of two halves of the same size
 * and shape side by side, one with the guild in hills, the other with the same crops in rows; which
 * half is which is drawn by lot in each block. Within each half a guard strip is planted like the
 * rest and not weighed; what is weighed stands on the net ground, the same area in every half. */
#include "plan.h"

#define TRIAL_BLOCKS_MAX 60
#define TRIAL_DIFFERENCE 0.20
#define TRIAL_CV         0.15 /* garden plots: 0.08 to 0.30 (docs/model.md) */
#define TRIAL_POWER      0.80
#define TRIAL_ALPHA      0.05
#define TRIAL_LEAST      4 /* blocks, if there is room (common practice: four to six) */
#define TRIAL_SEED_MAX   999999999u

enum { TREATMENT_HILLS, TREATMENT_ROWS, TREATMENT_COUNT };
extern const char *const treatment_names[TREATMENT_COUNT]; /* "hills" "rows" */

struct trial_options { /* 0 or NULL: the default */
    double difference, cv, power;
    int blocks;
    unsigned long seed;       /* 1..TRIAL_SEED_MAX; 0: from the garden's name */
    const char *plot, *guild; /* names */
    bool row_guild; /* against the guild sown in rows, not against its crops by themselves */
};

struct trial_half {
    char name[16]; /* "3-hills": in the log and on paper */
    int block;     /* from 0 */
    int treatment;
    struct rect ground, net; /* plot frame, m */
};

/* One crop of the guild in both treatments. Estimates are kg on the net ground of one half. */
struct trial_crop {
    const struct seed *seed; /* NULL in a trial read back */
    const char *crop, *variety;
    struct span kg[TREATMENT_COUNT];
    int plants[TREATMENT_COUNT]; /* that stand there; 0 in a trial read back */
    double share; /* of the net ground of the rows half that is its own; 1 in a row guild */
    double energy_kcal_kg;
};

struct trial {
    struct arena *arena;
    const struct garden *garden; /* NULL in a trial read back, like guild and plan */
    const struct guild *guild;
    int plot;          /* index in garden->plots */
    const char *title; /* the garden's name */
    char id[12];
    enum unit_system units;
    bool row_guild;
    double difference, cv, power, alpha;
    unsigned long seed;
    int needed; /* blocks that the difference takes; 0: more than STATS_BLOCKS_MAX */
    int most;   /* blocks of this size that the plot holds */
    int blocks;
    double told; /* difference that so many blocks tell, HUGE_VAL: no test at all */
    bool ring;   /* guarded on all four sides; else only where the halves of a block meet */
    bool along_x;
    double half_length_m, half_depth_m; /* along and across the rows */
    double guard_end_m, guard_side_m;   /* at the ends of the rows (0: none) and beside them */
    double net_length_m, net_depth_m;
    double alley_m;            /* between blocks */
    struct trial_half *halves; /* 2 a block, from the origin on */
    struct trial_crop crops[STAND_PARTS_MAX];
    int ncrops;
    struct span energy_kcal[TREATMENT_COUNT]; /* of one half's net ground */
    struct plan *plan; /* the same as a plan, so that it can be drawn: a zone for each half */
};

/* HR_INPUT [trial-guild], [trial-plot]; HR_INFEASIBLE [trial-no-room] when not one block fits, or
 * fewer than asked for; a warning [trial-small] when the plot holds fewer than the difference
 * takes. HR_NOMEM. */
HR_CHECKED hr_status trial_make(const struct garden *garden, const struct trial_options *options,
                                struct arena *arena, struct diags *diags, struct trial **out);
/* Whether a station stands on the net ground of its half. */
bool trial_weighed(const struct trial *trial, const struct station *station);
/* The half that a station or a block of trial->plan belongs to. */
static inline const struct trial_half *trial_half_of(const struct trial *trial, int block)
{
    return &trial->halves[trial->plan->blocks[block].zone];
}

#endif
