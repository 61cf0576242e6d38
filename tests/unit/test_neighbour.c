/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "neighbour.h"

#define DEG (M_PI / 180)

static struct garden_text garden_of(const char *latitude, const char *plot)
{
    char yaml[2048];
    bool south = latitude[0] == '-';
    snprintf(yaml, sizeof yaml,
             "garden: g\nunits: metric\nyear: 2027\nsite:\n  latitude: %s\n%splots:\n  - %s\n"
             "seed:\n  - {variety: A, crop: flint corn}\n",
             latitude,
             south ? "  last frost: {median: Nov 7}\n  first frost: {median: Apr 6}\n"
                   : "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\n",
             plot);
    struct garden_text t = garden_text_read(yaml);
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    return t;
}

/* What a canopy 2 m high that stands all season takes of the strip beyond the plot's one limited
 * side. */
static double loss_of(const char *latitude, const char *plot, struct rect r, double height)
{
    struct garden_text t = garden_of(latitude, plot);
    struct neighbour *n;
    struct shader canopy = {.r = r, .height_m = height, .extinction_per_m = 1, .surface_light = 1};
    int count;
    CALL(neighbours_find(t.garden, t.arena, &n, &count));
    cr_assert(count == 1, "%d", count);
    double half_year = latitude[0] == '-' ? 182 : 0;
    struct growth growth = {-20 + half_year, 330 + half_year}; /* full grown from May on */
    double loss = neighbour_loss(n, &canopy, &growth, 1);
    garden_text_free(&t);
    return loss;
}

#define PLOT(side_, bearing_)                                                                      \
    "{name: p, size: 6 m x 8 m, bearing: " bearing_ ", edges: [{side: " side_                      \
    ", kind: neighbour, shade: 5 %}]}"

/* Two metres deep, along all of the side, outside. */
Test(neighbour, strip)
{
    static const char *const plots[] = {PLOT("1", "0 deg"), PLOT("2", "0 deg"), PLOT("3", "0 deg"),
                                        PLOT("4", "0 deg")};
    static const struct rect strips[] = {{0, -2, 6, 0}, {6, 0, 8, 8}, {0, 8, 6, 10}, {-2, 0, 0, 8}};
    for (int i = 0; i < 4; i++) {
        struct garden_text t = garden_of("42 deg", plots[i]);
        struct neighbour *n;
        int count;
        CALL(neighbours_find(t.garden, t.arena, &n, &count));
        cr_assert(count == 1 && n->most == 0.05 && n->plot == 0 && n->npoints > 8, "side %d",
                  i + 1);
        double x = 0, y = 0;
        for (int k = 0; k < n->npoints; k++) {
            const struct rect *r = &strips[i];
            cr_assert(n->x[k] > r->x0 && n->x[k] < r->x1 && n->y[k] > r->y0 && n->y[k] < r->y1,
                      "side %d: %g %g", i + 1, n->x[k], n->y[k]);
            x += n->x[k] / n->npoints;
            y += n->y[k] / n->npoints;
        }
        cr_assert(near(x, (strips[i].x0 + strips[i].x1) / 2, 1e-9) &&
                      near(y, (strips[i].y0 + strips[i].y1) / 2, 1e-9),
                  "side %d is seen evenly", i + 1);
        garden_text_free(&t);
    }
}

Test(neighbour, none_without_a_limit)
{
    struct garden_text t = garden_of("42 deg", "{name: p, size: 6 m x 8 m, edges: [{side: 1}]}");
    struct neighbour *n;
    int count;
    CALL(neighbours_find(t.garden, t.arena, &n, &count));
    cr_assert(count == 0, "no limit, no neighbour");
    garden_text_free(&t);
}

/* North of the plot shade falls, south of it hardly any; the other way round in the south; and
 * wherever north is, a plot turned half round with its corn does the same. */
Test(neighbour, shade_falls_to_the_pole)
{
    struct rect near_3 = {0, 7, 6, 8}, near_1 = {0, 0, 6, 1}, far_3 = {0, 3, 6, 4};
    double north = loss_of("42 deg", PLOT("3", "0 deg"), near_3, 2);
    double south = loss_of("42 deg", PLOT("1", "0 deg"), near_1, 2);
    double down_under = loss_of("-42 deg", PLOT("1", "0 deg"), near_1, 2);
    double turned = loss_of("42 deg", PLOT("1", "180 deg"), near_1, 2);
    cr_assert(north > 0.15 && north < 0.6, "north %g", north);
    cr_assert(south < 0.6 * north, "south %g, north %g", south, north);
    cr_assert(near(down_under, north, 0.005), "42 S, low y: %g; 42 N, high y: %g", down_under,
              north);
    cr_assert(near(turned, north, 1e-9), "turned %g, %g", turned, north);
    double far = loss_of("42 deg", PLOT("3", "0 deg"), far_3, 2);
    cr_assert(far < 0.3 * north, "four metres off %g, %g", far, north);
    cr_assert(loss_of("42 deg", PLOT("3", "0 deg"), near_3, 0.3) == 0, "low crops take nothing");
}

/* A plot and its corn mirrored from left to right: the same shade. */
Test(neighbour, mirrored)
{
    double right = loss_of("42 deg", PLOT("2", "0 deg"), (struct rect){4, 0, 6, 8}, 2);
    double left = loss_of("42 deg", PLOT("4", "0 deg"), (struct rect){0, 0, 2, 8}, 2);
    cr_assert(near(left, right, 1e-9), "%g and %g", left, right);
}
