/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CHECK_WORK_H
#define CHECK_WORK_H
/* What the checks of a garden share; for the files check*.c alone. */
#include "check.h"

struct checking {
    const struct garden *g;
    struct arena *arena;
    struct diags *diags;
    bool nomem;
};

/* A plot and its corners. */
struct ring {
    const struct plot *plot;
    const struct point *p;
    size_t n;
    bool whole; /* it has a size or an outline that can be worked with */
};

struct ring check_ring(struct checking *c, size_t i);

/* check_plots.c */
void check_gates(struct checking *c);
void check_heights(struct checking *c);
void check_access(struct checking *c);
void check_plots_apart(struct checking *c);
void check_history(struct checking *c);
void check_rotation(struct checking *c);

/* check_normals.c */
void check_normals(struct checking *c);

/* check_obstacles.c */
void check_obstacle_shape(struct checking *c);
void check_obstacle_outside(struct checking *c);

/* check_rules.c */
void check_chips(struct checking *c);
void check_harvests(struct checking *c);
void check_shut_in(struct checking *c);

/* check_save.c */
void check_perennial(struct checking *c);
void check_save_clear(struct checking *c);

/* check_standing.c */
void check_standing_outside(struct checking *c);
void check_standing(struct checking *c);
void check_standing_seed(struct checking *c);
void check_standing_winter(struct checking *c);
void check_standing_plants(struct checking *c);

#endif
