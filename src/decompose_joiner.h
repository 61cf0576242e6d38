/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DECOMPOSE_JOINER_H
#define DECOMPOSE_JOINER_H
/* What the files that list fillings of few zones and put them together share. */
#include "decompose_work.h"
#include "join.h"

#define JOINER_LISTED     300000 /* fillings of all zones, at most */
#define JOINER_KICKS      40     /* of a guess that is soon done */
#define JOINER_BREACH     1e-6   /* of a row, relative */
#define JOINER_LIGHT_TINY 1e-6   /* less of a row in no light is as much */

/* The rows that are joined exactly; what the others lose is passed over. */
struct joiner {
    struct decomposition *w;
    struct arena *arena;
    int nrows;
    int rows[FILLINGS_ROWS_MAX]; /* of the program */
    const double *use[FILLINGS_ROWS_MAX];
    struct join_row row[FILLINGS_ROWS_MAX];
    bool goal[FILLINGS_ROWS_MAX]; /* per row */
    double *first_goal;           /* use of the first goal, NULL: no goal yet */
    double first_side, first_weight;
    int first_row;
    size_t *zones; /* that are open */
    int nzones;
    struct fillings *lists;
    double most;   /* the Lagrangian bound that losses are taken from */
    double *bound; /* what is brought down, and the steps that are left for it */
    long *work;
    int rejected; /* plans in this run */
    bool again;   /* a row was added: the run is to begin anew */
    double *x;

    /* In the light that blocks leave each other, else NULL: of each open zone. */
    struct filling_light *lit;
    const double *first_fall; /* how much less of the first goal there is in no light */
    int *dim_first;           /* per row of the program in less light: its first entry; lit only */
    double margin;            /* by which guesses keep rows that depend on light */
};

/* ---- decompose_joiner.c */
/* Sets up *j for the zones that are open, with the rows that have a price, at the best prices.
 * *may: it can be done, and there is time. HR_NOMEM. */
HR_CHECKED hr_status joiner_open(struct decomposition *w, bool lit, struct joiner *j, bool *may);
void joiner_close(struct joiner *j);
bool joiner_goal(const struct decomposition *w, int row);
/* What one of each column of the zones uses of a row of mip, which is w's or one like it; first:
 * per row its first entry. sign: 1 for its upper side, -1 for the lower one, uses being turned
 * round; *side is that. NULL: other columns have a part in it, or no memory. */
double *joiner_use(const struct joiner *j, const struct mip *mip, const int *first, int row,
                   double sign, double *side);
/* The objective that is to be beaten, less than the bound by so much. */
double joiner_lost(const struct joiner *j);
/* Lists all fillings within the budget, of all zones together `most` at most. */
HR_CHECKED hr_status joiner_list(struct joiner *j, double budget, long most, struct arena *arena,
                                 bool *whole);
/* Fillings listed, of all zones. */
int joiner_listed(const struct joiner *j);
/* Looks for the best plan of the listed fillings that loses no more than the budget. *more: all of
 * them were looked at, or a row was added. HR_NOMEM. */
HR_CHECKED hr_status joiner_search(struct joiner *j, double budget, struct arena *arena,
                                   bool *more);
/* Sets j->x to the plan of a filling for each zone. */
void joiner_read(struct joiner *j, const int *chosen);
/* How far the sum of a row is beyond its sides, relative; *sign: of which, 1 the upper one. */
double joiner_beyond(const struct decomposition *w, int row, const double *x, double *sign);
/* For those that ask whether to go on: data is the joiner. */
bool joiner_go_on(void *data);

/* ---- decompose_guess.c */
/* Good plans of the listed fillings. kicks: see join_guess.h. HR_NOMEM. */
HR_CHECKED hr_status joiner_guess(struct joiner *j, double budget, int kicks, struct arena *arena);

/* ---- decompose_lit.c */
/* Sets up j->lit. HR_NOMEM. */
HR_CHECKED hr_status joiner_open_lit(struct joiner *j);
/* How much more one of each column uses of a row in no light, of either sign; use: what it does in
 * that of the site, as joiner_use with the same sign. NULL: as there. */
double *joiner_fall(const struct joiner *j, int row, double sign, const double *use);
/* What a row about to be taken loses with the light. false: no memory. */
bool joiner_take_light(struct joiner *j, int row, double sign, const double *use, double price);

#endif
