/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ZONE_H
#define ZONE_H
/* Rectangles of free ground with sides along and across the rows. */
#include "geom.h"

struct zone {
    int plot;          /* index in garden->plots */
    bool along_x;      /* rows run along x */
    struct rect r;     /* plot frame, m */
    double length_m;   /* along the rows */
    double depth_m;    /* across the rows */
    double tallest_m;  /* typical height of the tallest planting that may stand here; 0: any (not
                        * kept in a plan) */
    double spill_m[2]; /* beyond the start and the end of its rows, what vines may cover; not kept
                        * in a plan */
    double over_m[2];  /* the same beyond its first and its last line */
    int stands;        /* which of its plot's standing blocks is on it, from 1; 0: it is free */
    int done_d;        /* the day that is off the ground, typical; STAY_LATEST: it stays
                        * (neither is kept in a plan) */
    double light;      /* mean site light over the growing season, 0..1 of the open sky */
    char name[24];     /* "P1x-2": plot 1, rows along x, second; "P1s-2": stands already */
};

struct ground { /* what became of one plot in one row direction */
    int plot;
    bool along_x;
    double outline_m2, free_m2, zoned_m2;
    double lost_share; /* of the free ground, to the staircase */
};

struct zones {
    struct zone *items;
    size_t n;               /* those the program may plant: last those that bear a second crop
                             * when what stands there is off */
    size_t nstanding;       /* behind them: those of other standing blocks; see standing.h */
    struct ground *grounds; /* one per plot and direction */
    size_t ngrounds;
};

/* Whether something stands on it already. */
bool zone_standing(const struct zone *zone);
/* The zone of a plot's standing block, by its index there, among all zones as they are cut. */
int zones_standing(const struct zones *zones, size_t plot, size_t block);

#define ZONES_MAX           256
#define ZONE_LEAST_DEPTH_M  0.30
#define ZONE_LEAST_LENGTH_M 0.30

/* Cuts every plot into zones for each row direction it allows (`either`: both, told apart by
 * along_x). Largest rectangles first; a rectangle of ground is one zone. Deterministic order: plot,
 * direction, then from the origin on. Site light (obstacles, site.sun) is filled in from the
 * growing season of the site. Behind them the ground of what stands already. A warning
 * [staircase-loss] when more than 8 % is lost; HR_INPUT with [no-ground] when a plot has no free
 * ground for a line, [standing-season]. */
HR_CHECKED hr_status zones_cut(const struct garden *garden, struct arena *arena,
                               struct diags *diags, struct zones *out);
void zones_dump(const struct zones *zones, const struct garden *garden, struct strbuf *out);

#endif
