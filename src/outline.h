/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OUTLINE_H
#define OUTLINE_H
/* Plain questions about a ring of corners, for checks that come before GEOS. Side i runs from
 * corner i to the next, the last one back to the first. */
#include "field.h"

/* Area inside, m2; negative when the corners run clockwise. */
double outline_area(const struct point *p, size_t n);
/* Least width of the upright box around it, m. */
double outline_width(const struct point *p, size_t n);
/* Whether the point is inside (on the border: either). */
bool outline_has(const struct point *p, size_t n, double x, double y);
/* Distance of the point from the nearest side, m. */
double outline_distance(const struct point *p, size_t n, double x, double y);
/* Whether any of the stretch from a to b is inside or on a side. */
bool outline_meets(const struct point *p, size_t n, struct point a, struct point b);
/* Whether two rings have ground or a point of their sides in common. */
bool outline_overlaps(const struct point *p, size_t n, const struct point *q, size_t m);
/* Whether two rings have ground in common, more than `slack` m deep: rings that only touch have
 * not.
 */
bool outline_shares(const struct point *p, size_t n, const struct point *q, size_t m, double slack);
/* Whether two sides cross, touch or fold back on each other; the first such pair i < k. */
bool outline_crosses_itself(const struct point *p, size_t n, size_t *i, size_t *k);

#endif
