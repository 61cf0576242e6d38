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
    STAGE_EARTH, /* drawing soil up to the stems */
    STAGE_WEED,
    STAGE_MULCH,
    STAGE_HARVEST,
    STAGE_COVER, /* cover crops for the winter */
    STAGE_FALL,  /* clearing the ground */
    STAGE_COUNT
};

struct symbol; /* map.h */

#define SHEET_HILLS 36 /* most hills in one job */

/* One line to tick off. */
struct sheet_job {
    const char *where;     /* "Plot 14, hills 1-4", "Plot 14, row 2.1" */
    const char *place;     /* the same without the plot */
    const char *tape;      /* where that is on the tapes, NULL: the hills' table says it */
    int plot, block, part; /* -1: of no single one */
    int *stations;         /* indices in plan->stations */
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
    int until;        /* its last day */
    double hours;     /* typical; 0: they are counted with the weeding */
    double kg;        /* of a harvest, typical */
    bool apart;       /* its hours are not among those of the plan */
    int seed;         /* index in garden->seed, -1: of no single one */
    const char *trigger;
    struct sheet_job *jobs, *last;
};

struct sheet_seed { /* one variety */
    const struct seed *seed;
    const char *unit;   /* "seeds", "pieces", ... */
    double germination; /* share that comes up in a test; 0: of no seed */
    bool tested;        /* ... as the garden file says; else by the standard and its age */
    double sow;         /* how many this plan sows */
    double in_hand;     /* INFINITY: as many as needed */
    double reserve;     /* kept back for replanting */
    double left;        /* what then remains */
    double buy;         /* how many more are needed, reserve and all */
    double buy_kg;      /* their weight, 0: not known */
};

struct sheet {
    struct arena *arena;
    const struct plan *plan;
    const struct symbol *symbols; /* by index in garden->seed, as on the map */
    enum unit_system units;
    struct sheet_stage *stages; /* in order of day */
    int nstages;
    struct sheet_seed *seeds;
    int nseeds;
    const char **cautions; /* each once */
    int ncautions;
};

/* "ready", "hills", "sow", ... */
extern const char *const stage_names[STAGE_COUNT];

/* HR_NOMEM. */
HR_CHECKED hr_status sheet_make(struct arena *arena, const struct plan *plan, struct sheet **out);
/* "about 1.5 h", "counted with the weeding". NULL: out of memory. */
const char *sheet_time(struct arena *arena, const struct sheet_stage *stage);
/* The hours of the whole sheet by kind of work, with the plan's range. NULL: out of memory. */
const char *sheet_hours(const struct sheet *sheet);
/* What to buy of a variety, "85 pieces (11 lb)"; "" when there is enough. NULL: out of memory. */
const char *sheet_buy(const struct sheet *sheet, const struct sheet_seed *seed);
/* "1-4, 7, 9-11" of ascending whole numbers. NULL: out of memory. */
const char *sheet_ranges(struct arena *arena, const int *numbers, int n);

#endif
