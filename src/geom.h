/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GEOM_H
#define GEOM_H
/* Polygons by GEOS (only here). Plane coordinates of one plot: metres, x right, y up. */
#include "garden.h"

struct rect {
    double x0, y0, x1, y1; /* m, x0 <= x1, y0 <= y1 */
};

struct geom; /* a polygon or several, with holes */

/* The free ground of a plot: outline minus border strip, obstacles, paths and
 * what stands already. On HR_OK *out is
 * owned by the caller (geom_free). HR_INPUT with a diag [ground] when GEOS refuses the outline. */
HR_CHECKED hr_status geom_free_ground(const struct plot *plot, struct arena *arena,
                                      struct diags *diags, struct geom **out);
/* The outline itself. */
HR_CHECKED hr_status geom_outline(const struct plot *plot, struct arena *arena, struct diags *diags,
                                  struct geom **out);
void geom_free(struct geom *g);
double geom_area(const struct geom *g); /* m2 */
struct rect geom_bounds(const struct geom *g);
/* Whether the rectangle, shrunk by 1 um, lies inside. */
bool geom_has_rect(const struct geom *g, struct rect r);
bool geom_has_disc(const struct geom *g, double x, double y, double radius_m);
bool geom_has_point(const struct geom *g, double x, double y);
/* The intervals [lo, hi] of y (axis 1) or x (axis 0) for which the whole band [a, b] of the other
 * axis is inside g: at most cap of them into out (pairs), the number returned. The workhorse of the
 * staircase. */
size_t geom_band(const struct geom *g, int axis, double a, double b, double (*out)[2], size_t cap);
/* Its straight sides, those of holes too, in an order that depends on the shape alone. */
size_t geom_sides(const struct geom *g);
void geom_side(const struct geom *g, size_t i, struct point *from, struct point *to); /* i < n */

#endif
