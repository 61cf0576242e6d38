/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COMPARE_H
#define COMPARE_H
/* Hills or rows, here? Layouts of one garden held against each other: each at its own best, and
 * with the same plants on the same ground. */
#include "chance.h"
#include "layout.h"
#include "yardstick.h"

struct compare_layout {
    const char *name;
    enum layout_kind kind;
    struct plan *plan; /* NULL: it cannot be planned, see why */
    const char *why;
    struct yardstick y;
    int rank; /* index among those with a plan, for chance_pair_of; -1: none */
};

/* Layouts that differ in nothing but what is compared, and the chances among those with a plan. */
struct compare_group {
    struct compare_layout *layouts;
    int n;
    struct chance_pair *pairs;
    int nplans, npairs;
};

/* A plan of free choice that no other one found beats in both. */
struct compare_point {
    struct plan *plan;
    double energy_kcal, usable_g;
};

/* The best plan found for one proportion of energy to usable protein. */
struct compare_ray {
    double energy_kcal, usable_g; /* of the plan */
    double gap;                   /* no plan gives more than this share more in that proportion */
};

#define COMPARE_RAYS    9  /* from most energy to most usable protein */
#define COMPARE_BETWEEN 1  /* further plans sought in the widest gaps between the points found */
#define COMPARE_POINTS  16 /* most that are kept */

struct compare {
    struct arena *arena;
    const struct garden *garden; /* foods count for what they give in it: unweighed */
    bool weighed;                /* as it was given they do not */
    const struct guild *guild;   /* NULL: none can be grown */
    struct compare_group best;   /* each at its own best: hills, rows, row guild, free, then the
                                    gardener's own by name */
    struct compare_group same;   /* the same plants on the same ground: hills, rows, row guild */
    double same_ground_m2;       /* that is planted over */
    struct compare_point points[COMPARE_POINTS]; /* from most energy to most usable protein */
    int npoints;
    struct compare_ray rays[COMPARE_RAYS];
    int nrays;   /* 0: no frontier was found in the time */
    bool proved; /* every plan within the gap asked for */
    double seconds;
};

struct compare_options {
    double seconds; /* for all plans together */
    double gap;
    const struct zones *zones; /* of the garden, where they are cut already; NULL: not yet */
    bool (*progress)(void *data, double seconds, double value, double bound);
    void *data;
};

/* HR_OK; HR_LIMIT with a comparison of which some plan is not proved. Without one, with
 * [nothing-to-compare], when fewer than two layouts can be planned: HR_INFEASIBLE, HR_INPUT or
 * HR_LIMIT, as the first that could not. HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status compare_make(const struct garden *garden,
                                  const struct compare_options *options, struct arena *arena,
                                  struct diags *diags, struct compare **out);
/* The span of a plan that the garden's goal is about. */
struct span compare_span(const struct garden *garden, const struct plan *plan);
/* Index of the layout of that kind in the group; -1: it is not there, or has no plan. */
int compare_find(const struct compare_group *group, enum layout_kind kind);

#endif
