/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PROGRAM_H
#define PROGRAM_H
/* The integer program of a garden (design 2.3): from a menu to named columns and rows. */
#include "menu.h"
#include "mip.h"
#include "setback.h"

#define SHARED_PARTS_MAX 4 /* crops in one shared line */

/* Columns (docs/optimiser.md has the algebra):
 *   n_i  lines of item i (integer)       y_i  item i has a block (binary)
 *   q_i  odd lines of item i, ceil(n/2): only where odd and even lines differ
 *   r_zt ground across that goes from first crops to second ones at turn t of the menu
 *   o_g  plot's rows run this way (binary): only for plots with a choice
 *   s_i  stations of item i in the zone's shared line (integer), w_i (binary) it has some
 *   b_i  item i has the block at the start (a) or the end (b) of its zone, a part of whose depth
 *        lies over a path: only where that may be (binary)
 *   d_z  ground the shared line takes across, v_z (binary) there is one
 *   u_vp variety v grows in plot p (binary), where seed is saved that it may cross with
 *   E, A energy in person-days of the ration and ground in m2 of the whole plan: only where a
 *        share of them is limited
 *   T    the goal in person-days of the ration (of energy, of protein, or of both)
 * Any total over the plan is linear in n, q and y: */
struct coef {
    double n, q, y;
    double s; /* of a station in the shared line */
};

/* What a gardener may have asked for that can make a plan impossible. */
enum term_kind {
    TERM_AT_LEAST,
    TERM_AT_MOST,
    TERM_SHARE_ENERGY,
    TERM_SHARE_AREA,
    TERM_HOURS,
    TERM_WEEK,
    TERM_COMPOST,
    TERM_MULCH,
    TERM_SEED,
    TERM_SAVE,
    TERM_BLOCKS,
    TERM_SHADE
};

struct term {
    enum term_kind kind;
    int index; /* of the wish, the seed or the setback */
    struct pos at;
    bool on;
    int row, nrows; /* its rows in the program last built, while it is on */
};

struct program {
    const struct garden *garden;
    const struct zones *zones;
    const struct menu *menu;
    struct arena *arena;
    struct term *terms;
    int nterms;

    double margin; /* of allocate_options */
    struct mip mip;
    int *col_n, *col_q, *col_y; /* per item; q -1 where not needed */
    int *col_s, *col_w;         /* per item; -1 where it takes no part in shared lines */
    int *col_b[2];              /* per item: at the start and at the end of the zone; -1: nothing
                                 * of it may lie beyond */
    int *col_d, *col_v;         /* per zone */
    int *col_r;                 /* per zone and turn of the menu */
    int *col_o;                 /* per ground (plot and direction), -1 without a choice */
    int *col_u;                 /* per seed and plot; -1 where nothing depends on it */
    int col_e, col_a;           /* -1 where not needed */
    int col_t;
    int row_e, row_a, goal_row; /* the rows from goal_row on are the goal's */
    int ground_row, terms_row;  /* rows from one to before the other are of single zones */
    int blocks_row;             /* and so are as many as there are zones, from here; -1: none */
    double epsilon;             /* worth of one block less */
    double epsilon_total;       /* no plan's tie-breaks come to more */
};

/* Sets up the program of a garden's menu, all terms on. HR_NOMEM. */
HR_CHECKED hr_status program_init(struct program *m, const struct garden *garden,
                                  const struct zones *zones, const struct menu *menu,
                                  struct arena *arena);
/* Builds m->mip anew from the terms that are on, for the goal. HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status program_build(struct program *m);
/* The same, but to get as much as can be had of what an at-least wish speaks of; the amount is the
 * objective. */
HR_CHECKED hr_status program_build_for_wish(struct program *m, int wish);
/* Sets b, r and u by the other columns of x. */
void program_settle_ties(const struct program *m, double *x);
/* Most blocks in a zone; INT_MAX while that term is off. */
int program_blocks(const struct program *m);
/* What a value of column T (person-days of the ration) is in the unit of the goal. */
double program_goal_unit(const struct garden *garden);
/* Sets E, A and T by the other columns, T as large as they let it be. */
void program_settle(const struct program *m, double *x);
/* The column o a zone's rows run by, -1 without a choice. */
int program_way(const struct program *m, size_t zone);
/* Whether a row ties zones together, or a zone and the goal. */
bool program_row_ties(const struct program *m, int row);
/* Sets n columns of zone `from` to x in out, but for zone `to`, which must be like it. */
void program_copy_filling(const struct program *m, size_t from, size_t to, int n,
                          const int *columns, const double *x, double *out);
/* The planting and the zone of an item. */
const struct planting *program_planting(const struct program *m, int item);
const struct zone *program_zone(const struct program *m, int item);

#endif
