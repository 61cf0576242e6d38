/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ORACLE_AXIS_H
#define ORACLE_AXIS_H
/* Everything that can stand along a stretch of ground, position by position: a network whose paths
 * from `source` to `sink` are the ways to fill it, one arc for each line (or spot) that is laid.
 *
 * Groups are laid in their order, each at most once and as one of its ways. A node is a place in
 * that order together with a raster point: what is left of the stretch, rounded down to the next
 * length that the groups still to come can fill exactly. Nothing that fits is lost by that, and few
 * positions are left (Terno and Scheithauer's raster points, from memory). */
#include <stdbool.h>

struct way {
    int tag;        /* the caller's */
    double first_m; /* laid by the opening arc */
    double next_m;  /* laid by each further arc; 0: there is none */
    bool alternate; /* odd and even lines are told apart */
};

struct group {
    const struct way *ways;
    int n;
};

enum arc_kind { ARC_SKIP, ARC_OPEN, ARC_NEXT, ARC_END };

struct arc {
    enum arc_kind kind;
    int from, to; /* nodes */
    int tag;      /* of its way; -1: ARC_SKIP */
    bool even;    /* ARC_NEXT of a way that alternates: the line is a 2nd, 4th, ... */
    double m;     /* laid by it */
};

struct axis {
    struct arc *arcs;
    int narcs, nnodes, source, sink;
    bool failed; /* no memory, or more arcs than AXIS_ARCS_MAX */
};

#define AXIS_ARCS_MAX 400000

/* Free with axis_free. */
void axis_make(const struct group *groups, int ngroups, double length_m, struct axis *out);
void axis_free(struct axis *axis);

#endif
