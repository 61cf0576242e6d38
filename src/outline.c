/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "outline.h"

#include <math.h>
#include <stdlib.h>

#define LEVELS        32 /* across two rings, where common ground is looked for */
#define CROSSINGS_MAX 64

static const struct point *after(const struct point *p, size_t n, size_t i)
{
    return &p[i + 1 < n ? i + 1 : 0];
}

double outline_area(const struct point *p, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        const struct point *q = after(p, n, i);
        sum += p[i].x * q->y - q->x * p[i].y;
    }
    return sum / 2;
}

double outline_width(const struct point *p, size_t n)
{
    double x0 = HUGE_VAL, y0 = HUGE_VAL, x1 = -HUGE_VAL, y1 = -HUGE_VAL;
    for (size_t i = 0; i < n; i++) {
        x0 = fmin(x0, p[i].x);
        x1 = fmax(x1, p[i].x);
        y0 = fmin(y0, p[i].y);
        y1 = fmax(y1, p[i].y);
    }
    return n > 0 ? fmin(x1 - x0, y1 - y0) : 0;
}

bool outline_has(const struct point *p, size_t n, double x, double y)
{
    bool in = false;
    for (size_t i = 0; i < n; i++) {
        const struct point *a = &p[i], *b = after(p, n, i);
        if ((a->y > y) != (b->y > y) && x < a->x + (b->x - a->x) * (y - a->y) / (b->y - a->y))
            in = !in;
    }
    return in;
}

/* Square of the distance from a side. */
static double side_distance2(const struct point *a, const struct point *b, double x, double y)
{
    double dx = b->x - a->x, dy = b->y - a->y;
    double length2 = dx * dx + dy * dy;
    double t = length2 > 0 ? ((x - a->x) * dx + (y - a->y) * dy) / length2 : 0;
    t = fmin(fmax(t, 0), 1);
    double off_x = x - (a->x + t * dx), off_y = y - (a->y + t * dy);
    return off_x * off_x + off_y * off_y;
}

double outline_distance(const struct point *p, size_t n, double x, double y)
{
    double least = HUGE_VAL;
    for (size_t i = 0; i < n; i++)
        least = fmin(least, side_distance2(&p[i], after(p, n, i), x, y));
    return sqrt(least);
}

/* > 0: c lies left of a to b. */
static double left_of(const struct point *a, const struct point *b, const struct point *c)
{
    return (b->x - a->x) * (c->y - a->y) - (b->y - a->y) * (c->x - a->x);
}

/* c is on the line of a to b: whether between them. */
static bool between(const struct point *a, const struct point *b, const struct point *c)
{
    return c->x >= fmin(a->x, b->x) && c->x <= fmax(a->x, b->x) && c->y >= fmin(a->y, b->y) &&
           c->y <= fmax(a->y, b->y);
}

static bool boxes_apart(const struct point *a, const struct point *b, const struct point *c,
                        const struct point *d)
{
    return fmax(a->x, b->x) < fmin(c->x, d->x) || fmax(c->x, d->x) < fmin(a->x, b->x) ||
           fmax(a->y, b->y) < fmin(c->y, d->y) || fmax(c->y, d->y) < fmin(a->y, b->y);
}

/* Whether a to b and c to d have a point in common. */
static bool sides_meet(const struct point *a, const struct point *b, const struct point *c,
                       const struct point *d)
{
    if (boxes_apart(a, b, c, d))
        return false;
    double c_side = left_of(a, b, c), d_side = left_of(a, b, d);
    double a_side = left_of(c, d, a), b_side = left_of(c, d, b);
    if (c_side == 0 && between(a, b, c))
        return true;
    if (d_side == 0 && between(a, b, d))
        return true;
    if (a_side == 0 && between(c, d, a))
        return true;
    if (b_side == 0 && between(c, d, b))
        return true;
    return (c_side > 0) != (d_side > 0) && (a_side > 0) != (b_side > 0);
}

static bool any_side_meets(const struct point *p, size_t n, const struct point *a,
                           const struct point *b)
{
    for (size_t i = 0; i < n; i++)
        if (sides_meet(&p[i], after(p, n, i), a, b))
            return true;
    return false;
}

bool outline_meets(const struct point *p, size_t n, struct point a, struct point b)
{
    return outline_has(p, n, a.x, a.y) || outline_has(p, n, b.x, b.y) ||
           any_side_meets(p, n, &a, &b);
}

bool outline_overlaps(const struct point *p, size_t n, const struct point *q, size_t m)
{
    if (outline_has(p, n, q[0].x, q[0].y) || outline_has(q, m, p[0].x, p[0].y))
        return true;
    for (size_t k = 0; k < m; k++)
        if (any_side_meets(p, n, &q[k], after(q, m, k)))
            return true;
    return false;
}

/* Whether a to b crosses c to d with both ends of each more than slack off the other's line. */
static bool sides_cross(const struct point *a, const struct point *b, const struct point *c,
                        const struct point *d, double slack)
{
    double ab = slack * hypot(b->x - a->x, b->y - a->y);
    double cd = slack * hypot(d->x - c->x, d->y - c->y);
    double c_side = left_of(a, b, c), d_side = left_of(a, b, d);
    double a_side = left_of(c, d, a), b_side = left_of(c, d, b);
    return (c_side > 0) != (d_side > 0) && (a_side > 0) != (b_side > 0) && fabs(c_side) > ab &&
           fabs(d_side) > ab && fabs(a_side) > cd && fabs(b_side) > cd;
}

static bool well_inside(const struct point *p, size_t n, double x, double y, double slack)
{
    return outline_has(p, n, x, y) && outline_distance(p, n, x, y) > slack;
}

/* Where the ring's sides cross the level y, behind the n that are there already. */
static size_t level_crossings(const struct point *p, size_t count, double y, double *x, size_t n)
{
    for (size_t i = 0; i < count && n < CROSSINGS_MAX; i++) {
        const struct point *a = &p[i], *b = after(p, count, i);
        if ((a->y > y) != (b->y > y))
            x[n++] = a->x + (b->x - a->x) * (y - a->y) / (b->y - a->y);
    }
    return n;
}

static int number_order(const void *left, const void *right)
{
    const double *a = left, *b = right;
    return (*a > *b) - (*a < *b);
}

/* Whether both rings hold a point at the level y. */
static bool level_shares(const struct point *p, size_t n, const struct point *q, size_t m, double y,
                         double slack)
{
    double x[CROSSINGS_MAX];
    size_t count = level_crossings(p, n, y, x, 0);
    count = level_crossings(q, m, y, x, count);
    qsort(x, count, sizeof *x, number_order);
    for (size_t i = 0; i + 1 < count; i++) {
        double middle = (x[i] + x[i + 1]) / 2;
        if (x[i + 1] - x[i] > 2 * slack && well_inside(p, n, middle, y, slack) &&
            well_inside(q, m, middle, y, slack))
            return true;
    }
    return false;
}

static void heights(const struct point *p, size_t n, double *low, double *high)
{
    *low = HUGE_VAL;
    *high = -HUGE_VAL;
    for (size_t i = 0; i < n; i++) {
        *low = fmin(*low, p[i].y);
        *high = fmax(*high, p[i].y);
    }
}

/* Rings that share ground either cross with their sides, or share some level of it (the same ring
 * twice does not cross itself, nor do rectangles moved along a side). */
bool outline_shares(const struct point *p, size_t n, const struct point *q, size_t m, double slack)
{
    double p_low, p_high, q_low, q_high;
    heights(p, n, &p_low, &p_high);
    heights(q, m, &q_low, &q_high);
    double low = fmax(p_low, q_low), high = fmin(p_high, q_high);
    if (!(low < high))
        return false;
    for (int k = 0; k < LEVELS; k++)
        if (level_shares(p, n, q, m, low + (high - low) * (k + 0.513) / LEVELS, slack))
            return true;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < m; k++) {
            const struct point *a = &p[i], *b = after(p, n, i), *c = &q[k], *d = after(q, m, k);
            if (!boxes_apart(a, b, c, d) && sides_cross(a, b, c, d, slack))
                return true;
        }
    return false;
}

/* Whether the side from b to c runs back over the one from a to b. */
static bool folds_back(const struct point *a, const struct point *b, const struct point *c)
{
    double along = (b->x - a->x) * (c->x - b->x) + (b->y - a->y) * (c->y - b->y);
    return left_of(a, b, c) == 0 && along < 0;
}

bool outline_crosses_itself(const struct point *p, size_t n, size_t *i, size_t *k)
{
    for (size_t s = 0; s < n; s++) {
        for (size_t t = s + 1; t < n; t++) {
            const struct point *a = &p[s], *b = after(p, n, s);
            const struct point *c = &p[t], *d = after(p, n, t);
            bool bad = b == c   ? folds_back(a, b, d)
                       : d == a ? folds_back(c, d, b)
                                : sides_meet(a, b, c, d);
            if (bad) {
                *i = s;
                *k = t;
                return true;
            }
        }
    }
    return false;
}
