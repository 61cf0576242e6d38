/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHEET_H
#define SHEET_H
/* The planting sheet as data: what to do where, in the order of the year, each step with what
 * triggers it. sheet_text says it in words on paper. */
#include "plan.h"

enum stage_kind {
    STAGE_READY, /* measuring in, soil */
    STAGE_HILLS,
    STAGE_SOW,
    STAGE_THIN,
    STAGE_MULCH,
    STAGE_HARVEST
};

/* One line to tick off. */
struct sheet_job {
    const char *where; /* "Plot 14, hills 1-4", "Plot 14, row 2.1" */
    const char *tape;  /* where that is on the tapes, NULL: the hills' table says it */
    int block, part;   /* -1: of no single one */
    int *stations;     /* indices in plan->stations */
    int nstations;
    double seeds; /* or pieces to sow, all stations together; 0: nothing is sown */
    struct sheet_job *next;
};

struct sheet_stage {
    enum stage_kind kind;
    const char *title; /* "Sow flint corn, Ember Ridge (F)" */
    const char *when;
    const char *how;  /* "" when there is nothing to say */
    const char *note; /* "" */
    const char *unit; /* what jobs count: "seeds", "pieces"; "" */
    int day;          /* by which stages are in order; may lie past the year's end */
    int seed;         /* index in garden->seed, -1: of no single one */
    const char *trigger;
    struct sheet_job *jobs, *last;
};

struct sheet_seed { /* one variety */
    const struct seed *seed;
    const char *unit; /* "seeds", "pieces", ... */
    double sow;       /* how many this plan sows */
    double in_hand;   /* INFINITY: as many as needed */
    double reserve;   /* kept back for replanting */
    double left;      /* what then remains */
};

struct sheet {
    struct arena *arena;
    const struct plan *plan;
    enum unit_system units;
    struct sheet_stage *stages; /* in order of day */
    int nstages;
    struct sheet_seed *seeds;
    int nseeds;
    const char **cautions; /* each once */
    int ncautions;
};

/* HR_NOMEM. */
HR_CHECKED hr_status sheet_make(struct arena *arena, const struct plan *plan, struct sheet **out);
/* "1-4, 7, 9-11" of ascending whole numbers. NULL: out of memory. */
const char *sheet_ranges(struct arena *arena, const int *numbers, int n);

#endif
