/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LIGHT_H
#define LIGHT_H
/* How much light reaches a rectangle past canopies and obstacles: PAR-weighted directions of sun
 * and sky over a season, each traced through boxes and cylinders. Plot frame, metres. */
#include "geom.h"
#include "sun.h"

#define LIGHT_RAYS_MAX      192
#define LIGHT_SLICES_MAX    16
#define LIGHT_POINTS_MAX    64
#define LIGHT_PHASES        5   /* days of a season that are sampled */
#define LIGHT_DIFFUSE_SHARE 0.4 /* of a clear-to-cloudy season's light (estimate) */
#define LIGHT_GROUND_M                                                                             \
    0.3 /* height where the light of a place is taken: a low crop's (estimate)                     \
         */

struct ray {
    double dx, dy, dz; /* unit vector towards the light, plot frame */
    double weight;     /* share of the season's light; all sum to 1 */
    int phase;
};

/* The light of a season, and how far what receives it has grown. */
struct sky {
    struct ray rays[LIGHT_RAYS_MAX]; /* by phase */
    int n;
    double day[LIGHT_PHASES];     /* counted as the season's own days */
    double span_d;                /* that each stands for */
    double missing[LIGHT_PHASES]; /* share of the receiver's height that is not there yet; 0: all is
                                     there */
};

/* A season in parts, where canopies that come and go in weeks matter. */
#define LIGHT_PARTS 3
struct light_season {
    struct sky part[LIGHT_PARTS];
    double weight[LIGHT_PARTS]; /* share of the light; all sum to 1 */
};

/* When a canopy stands: from the day it is sown to the day it is harvested. */
struct growth {
    double sow, ripe;
};

enum shader_form { SHADER_BOX, SHADER_ROUND, SHADER_SHEET, SHADER_TURNED };

/* Something that takes light: an upright box, a cylinder or a sheet without thickness, from the
 * ground to height_m. */
struct shader {
    enum shader_form form;
    struct rect r;         /* of a cylinder its bounding square, of a sheet what it runs across */
    double ax, ay, bx, by; /* a sheet's ends; of a box in another frame where the origin of this one
                            * lies there, and which way its x axis runs (a unit vector) */
    struct rect turned;    /* the box in that frame; r is around it */
    double height_m;
    double missing[LIGHT_PHASES]; /* share of it that is not there, by the phase of the sky it is
                                     looked at with; 0: all is there */
    double extinction_per_m; /* light through = exp(-extinction * path in it); HUGE_VAL: solid */
    double surface_light;    /* share let through once per crossing (a hedge's given share), 1: none
                                taken */
    int whole; /* neighbours in a list with one number are slices of one thing, whose surface takes
                * light once; 0: a thing of its own */
};

/* Share of its full height that a canopy has on a day: sown, it stands low for its first fifth, is
 * full grown at 0.45 and is gone when it is ripe (crop stages of FAO-56). Years do not matter. */
double light_growth(struct growth growth, double day);
/* What is missing of such a canopy in the phases of a sky: the mean over the days each stands for.
 */
void light_missing(const struct sky *sky, struct growth growth, double missing[LIGHT_PHASES]);
/* Directions of direct sun (weight sin(elevation), clear-sky attenuated) from day `from` to `to`
 * (1..365, wraps round the year's end) and of an even diffuse sky, diffuse_share of each day's.
 * bearing: of the plot's +y axis. Nothing of the receiver is missing. */
void light_sky(double latitude, double bearing, int from, int to, double diffuse_share,
               struct sky *out);
/* The same in equal parts of the days. */
void light_season(double latitude, double bearing, int from, int to, double diffuse_share,
                  struct light_season *out);
/* Mean share (0..1) of the sky's light that reaches the rectangle at height z (of a receiver full
 * grown) past the shaders: a grid of points no coarser than 4 x 4 (fewer on thin strips). `skip`:
 * index of a shader left out (the receiver's own canopy), -1: none. A shader is passed over where
 * it is not higher than z. */
double light_on_rect(const struct sky *sky, struct rect r, double z_m, const struct shader *shaders,
                     int nshaders, int skip);
double light_at_point(const struct sky *sky, double x, double y, double z_m,
                      const struct shader *shaders, int nshaders, int skip);
/* The mean of so many points, at most LIGHT_POINTS_MAX. */
double light_on_points(const struct sky *sky, const double *x, const double *y, int n, double z_m,
                       const struct shader *shaders, int nshaders);
/* The obstacles of a plot, and its fences, walls and hedges, as shaders. An outlined obstacle
 * counts as its bounding box or, where it would fill that badly, as up to LIGHT_SLICES_MAX boxes of
 * its slices; a side as a sheet along it. HR_NOMEM. */
HR_CHECKED hr_status light_obstacles(const struct plot *plot, struct arena *arena,
                                     struct shader **out, int *n);

#endif
