/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ALLOCATE_H
#define ALLOCATE_H
/* The integer program: how many lines of which planting in which zone (design 2.3). */
#include "menu.h"
#include "mip.h"
#include "program.h"
#include "solver.h"

struct choice_lines {
    int item;     /* index in menu->items */
    int lines;    /* > 0 */
    int stations; /* 0: whole lines; else one part of the zone's shared line, with so many stations
                   */
};

struct allocation {
    struct choice_lines *chosen; /* by zone, then item */
    int n;
    double value;     /* of the goal, weighed, by the items' typical figures and light */
    double bound;     /* no allocation of this menu is better */
    double lit_bound; /* nor has one a greater value as arranged, among those that keep all terms in
                         full light */
    bool proved;      /* within the gap asked for */
};

struct allocate_options {
    double seconds, gap;
    long nodes; /* search at most so many in each program, 0: no limit */
    bool (*progress)(void *data, double seconds, double value, double bound);
    void *data;
    const struct allocation *start; /* or NULL */
    /* Other plans that came near the best one, which may be better in the shade that the crops cast
     * on one another. *value: of the goal, as arranged; -HUGE_VAL: it does not keep all terms
     * there. HR_NOMEM. NULL: they are not kept. */
    hr_status (*offer)(void *offer_data, const struct choice_lines *chosen, int n, double *value);
    void *offer_data;
    bool shade;    /* and a bound is asked for that knows of it */
    double margin; /* ask this share more of at-least wishes, and less of share limits, for shade to
                      come */
};

/* HR_OK, HR_LIMIT (a plan, not proved), HR_INFEASIBLE (diags name the colliding wishes by position
 * and the best that could be had), HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status allocate(const struct garden *garden, const struct zones *zones,
                              const struct menu *menu, const struct allocate_options *options,
                              struct arena *arena, struct diags *diags, struct allocation *out);

/* Plots with a choice of row direction are decided outside the program while they are few: with the
 * directions fixed the relaxation cannot mix them, and the halves together are solved faster than
 * the whole. Beyond that the program's own o columns decide. */
#define ALLOCATE_SPLIT_MAX 2
int allocate_plots_with_choice(const struct program *m);
/* Fixes the directions of a built program: bit k of the way set, the k-th plot runs along x. */
void allocate_fix_way(struct program *m, int way);

/* The program as LP text, in the light of the site alone (whatever light the menu's items have). */
HR_CHECKED hr_status allocate_lp(const struct garden *garden, const struct zones *zones,
                                 const struct menu *menu, struct arena *arena, struct strbuf *out);

#endif
