/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LIGHT_H
#define LIGHT_H
/* How much light reaches a rectangle past canopies and obstacles: PAR-weighted directions of sun
 * and sky over a season, each traced through boxes and cylinders. Plot frame, metres. */
#include "geom.h"
#include "sun.h"

#define LIGHT_RAYS_MAX   160
#define LIGHT_SLICES_MAX 16

struct ray {
    double dx, dy, dz; /* unit vector towards the light, plot frame */
    double weight;     /* share of the season's light; all sum to 1 */
};

struct sky {
    struct ray rays[LIGHT_RAYS_MAX];
    int n;
};

/* Something that takes light: an upright box or cylinder from the ground to height_m. */
struct shader {
    bool round;
    struct rect r; /* box; for a cylinder its bounding square */
    double height_m;
    double extinction_per_m; /* light through = exp(-extinction * path in it); INFINITY: solid */
    double surface_light;    /* share let through once per crossing (a hedge's given share), 1: none
                                taken */
    int whole; /* neighbours in a list with one number are slices of one thing, whose surface takes
                * light once; 0: a thing of its own */
};

/* Directions of direct sun (weight sin(elevation), clear-sky attenuated) from day `from` to `to`
 * (1..365, wraps round the year's end) and of an even diffuse sky, diffuse_share of the whole (0.4
 * typical). bearing: of the plot's +y axis. */
void light_sky(double latitude, double bearing, int from, int to, double diffuse_share,
               struct sky *out);
/* Mean share (0..1) of the sky's light that reaches the rectangle at height z past the shaders: a
 * grid of points no coarser than 4 x 4 (fewer on thin strips). `skip`: index of a shader left out
 * (the receiver's own canopy), -1: none. A shader is passed over where it is not higher than z. */
double light_on_rect(const struct sky *sky, struct rect r, double z_m, const struct shader *shaders,
                     int nshaders, int skip);
double light_at_point(const struct sky *sky, double x, double y, double z_m,
                      const struct shader *shaders, int nshaders, int skip);
/* The obstacles of a plot as shaders (at most cap; the number is returned). An outlined obstacle
 * counts as its bounding box or, where it would fill that badly, as up to LIGHT_SLICES_MAX boxes of
 * its slices. */
int light_obstacles(const struct plot *plot, struct shader *out, int cap);

#endif
