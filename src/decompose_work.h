/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DECOMPOSE_WORK_H
#define DECOMPOSE_WORK_H
/* What the files of the decomposition share. */
#include <time.h>

#include "decompose.h"
#include "filling.h"

/* Zones that are alike in all the program knows of them; one stands for all. */
struct zone_class {
    size_t zone;
    int count;
    int left;     /* of which so many are not filled yet in a dive */
    int way;      /* column o its rows run by, -1 without a choice */
    double worth; /* of its best filling at the last prices, never less than 0 */
};

/* A filling of a class, as a column of the master. */
struct pattern {
    int class;
    int fixed; /* zones that have it in a dive */
    struct filling x;
    double objective;
    int nties; /* what it uses of each tie */
    int *ties;
    double *values;
};

#define JOIN_WORK  8000000 /* steps of joining fillings, in all; */
#define LIT_WORK   12000000
#define JOIN_LATER 700000 /* in later rounds of the light loop */

enum master_kind {
    MASTER_GOAL,    /* the relaxation; to break a tie costs much */
    MASTER_ELASTIC, /* the relaxation; nothing counts but that ties are kept */
    MASTER_WHOLE    /* patterns in whole numbers, ties kept */
};

struct decomposition {
    const struct program *m;
    const struct solver_options *options;
    const char **failure;
    struct arena *arena;
    struct filler *filler;

    int *first;       /* per row: its first entry, and the end */
    int *ties, nties; /* rows that tie zones to each other or to the goal */
    int *shared;      /* columns of no zone */
    int nshared;
    int *place;    /* per column: among the shared, else -1 - zone */
    int *class_of; /* per zone */
    struct zone_class *classes;
    int nclasses, open; /* zones that may be planted */
    struct pattern *patterns;
    int npatterns, patterns_cap;

    double *prices;  /* per tie, then per class: of the last master */
    double *centre;  /* per tie: the best prices so far */
    double *trial;   /* per tie: the prices now tried */
    double *worth;   /* per column, at the prices now tried */
    double *scratch; /* per column: 0 */

    struct decompose_light *light; /* NULL: in full light */
    double *x;                     /* the best solution met, in the mip's arena */
    double value;
    bool has;
    double bound;

    struct timespec begin;
    double told; /* seconds at the last progress call */
    bool stop;   /* asked for by the caller, or out of time */
    unsigned long random;
    long join_work;  /* steps that are left for joining, */
    long lit_work;   /* and for joining with light */
    bool hopeless;   /* that will not prove enough */
    double unlisted; /* budgets from here on have too many fillings */
};

/* ---- decompose.c */
/* False when it is time to end: stopped, out of time, or near enough to the bound. Tells progress.
 */
bool decompose_go_on(struct decomposition *w);
/* Options of a part of the work: the rest of the time; nodes 0 for no limit. */
struct solver_options decompose_part(struct decomposition *w, double gap, long nodes);
/* What is to be beaten: the value of a plan of another way to run the rows, which keeps all terms;
 * 0 where there is none. */
double decompose_beat(const struct decomposition *w);
/* Whether there is a plan near enough to the bound that knows of shade. */
bool decompose_lit(const struct decomposition *w);
/* Takes x as the best solution when it is feasible and better. */
void decompose_offer(struct decomposition *w, const double *x);
/* Arranges a solution, which may be the best one as it then is. */
void decompose_arrange(struct decomposition *w, const double *x);
/* Shows the caller a solution that is not the best one. */
void decompose_meet(struct decomposition *w, const double *x);
/* From -1 to 1, the same run for run. */
double decompose_random(struct decomposition *w);

/* ---- decompose_master.c */
/* *fresh (may be NULL): the pattern was not there yet. HR_NOMEM. */
HR_CHECKED hr_status decompose_add(struct decomposition *w, int class, const struct filling *x,
                                   bool *fresh);
/* The fillings of a solution as patterns. */
HR_CHECKED hr_status decompose_add_solution(struct decomposition *w, const double *x);
/* Solves the master over the patterns so far; prices of the relaxations go to w->prices.
 * r->x: the shared columns, then the patterns. */
HR_CHECKED hr_status decompose_master(struct decomposition *w, enum master_kind kind,
                                      const struct solver_options *options, struct arena *arena,
                                      struct solver_result *r);
/* A whole master's solution as one of the program. */
void decompose_read_master(struct decomposition *w, const double *master, double *x);
/* Sets w->worth by w->trial, fills all classes by it, and adds the fillings. *added: those that the
 * master would take at its own prices. */
HR_CHECKED hr_status decompose_price(struct decomposition *w, enum master_kind kind, int *added);
/* Adds patterns until master and bound meet. *met: no tie need be broken as far as is known; false
 * only when no solution can keep them all, or stopped. */
HR_CHECKED hr_status decompose_generate(struct decomposition *w, bool *met);

/* The bound at the best prices, which go to w->trial; w->worth and the classes' are set by them.
 * +INFINITY when stopped. */
double decompose_bound(struct decomposition *w);

/* ---- decompose_join.c */
/* For few zones: looks for better solutions than there are and brings down the bound, by all
 * fillings that are near the best. HR_NOMEM. */
HR_CHECKED hr_status decompose_join(struct decomposition *w);
/* Good solutions from the same fillings, soon found. HR_NOMEM. */
HR_CHECKED hr_status decompose_guess(struct decomposition *w);
/* The same as decompose_join in the light that blocks leave each other, for w->light. */
HR_CHECKED hr_status decompose_join_lit(struct decomposition *w);

/* ---- decompose_search.c */
/* Stopped before there was any plan: one that is found in a tenth of a second, if there is one. */
HR_CHECKED hr_status decompose_in_haste(struct decomposition *w);
/* Looks for good solutions, from the patterns there are and near the best solution. */
HR_CHECKED hr_status decompose_search(struct decomposition *w);

#endif
