/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "geom.h"

#define XY(a, b)                                                                                   \
    {                                                                                              \
        .x = (a), .y = (b)                                                                         \
    }
#define ELL XY(0, 0), XY(8, 0), XY(8, 3), XY(3, 3), XY(3, 8), XY(0, 8)

struct made {
    struct arena *arena;
    struct diags *diags;
    struct geom *geom;
    hr_status status;
};

static struct made make(const struct plot *plot)
{
    struct made m = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    m.status = geom_free_ground(plot, m.arena, m.diags, &m.geom);
    return m;
}

static void unmake(struct made *m)
{
    geom_free(m->geom);
    arena_free(m->arena);
    diags_free(m->diags);
}

static struct plot outlined(struct point *p, size_t n, double border)
{
    return (struct plot){.name = {.s = "A"},
                         .outline = {.items = p, .n = n, .set = true},
                         .border_m = {.v = border, .set = true}};
}

static struct plot sized(double x, double y, double border)
{
    return (struct plot){
        .name = {.s = "A"}, .size = XY(x, y), .border_m = {.v = border, .set = true}};
}

Test(geom, rectangle_and_border)
{
    struct plot plot = sized(6.096, 7.62, 0.1524);
    struct made m = make(&plot);
    cr_assert(m.status == HR_OK, "%s", diags_words(m.diags));
    struct rect r = geom_bounds(m.geom);
    cr_assert(near(r.x0, 0.1524, 1e-9) && near(r.x1, 5.9436, 1e-9), "%.12f..%.12f", r.x0, r.x1);
    cr_assert(near(r.y0, 0.1524, 1e-9) && near(r.y1, 7.4676, 1e-9), "%.12f..%.12f", r.y0, r.y1);
    cr_assert(near(geom_area(m.geom), 5.7912 * 7.3152, 1e-9), "area %g", geom_area(m.geom));
    cr_assert(geom_sides(m.geom) == 4, "%zu sides", geom_sides(m.geom));
    struct geom *outline;
    CALL(geom_outline(&plot, m.arena, m.diags, &outline));
    cr_assert(near(geom_area(outline), 6.096 * 7.62, 1e-9), "no border taken off");
    geom_free(outline);
    geom_free(NULL);
    unmake(&m);
}

/* A border keeps the corners of an L square: 8 x 3 and 3 x 5, half a metre off all round. */
Test(geom, border_of_an_ell)
{
    struct point p[] = {ELL}, back[6];
    for (int i = 0; i < 6; i++)
        back[i] = p[5 - i];
    struct plot plot = outlined(p, 6, 0.5), turned = outlined(back, 6, 0.5);
    struct made m = make(&plot), t = make(&turned);
    cr_assert(near(geom_area(m.geom), 7 * 2 + 2 * 5, 1e-6), "area %g", geom_area(m.geom));
    cr_assert(geom_has_rect(m.geom, (struct rect){0.5, 0.5, 7.5, 2.5}), "foot");
    cr_assert(geom_has_rect(m.geom, (struct rect){0.5, 0.5, 2.5, 7.5}), "leg");
    cr_assert(!geom_has_rect(m.geom, (struct rect){0.5, 0.5, 2.6, 7.5}), "leg, too wide");
    cr_assert(!geom_has_rect(m.geom, (struct rect){0.5, 0.5, 7.5, 7.5}), "both");
    cr_assert(geom_area(m.geom) == geom_area(t.geom), "either way round");
    unmake(&m);
    unmake(&t);
}

Test(geom, border_takes_all)
{
    struct plot plot = sized(2, 3, 1.5);
    struct made m = make(&plot);
    cr_assert(m.status == HR_OK && geom_area(m.geom) == 0 && geom_sides(m.geom) == 0, "nothing");
    double out[4][2];
    cr_assert(geom_band(m.geom, 1, 0, 1, out, 4) == 0, "no band");
    cr_assert(!geom_has_point(m.geom, 1, 1.5), "no point");
    cr_assert(!geom_has_rect(m.geom, (struct rect){1, 1, 1.1, 1.1}), "no rectangle");
    unmake(&m);
}

/* A shed over the edge, a tree and a path across: their areas add up. */
Test(geom, obstacles_and_paths)
{
    struct point shed[] = {XY(-1, 4), XY(1, 4), XY(1, 6), XY(-1, 6)};
    struct obstacle o[] = {{.outline = {shed, 4, true, {0}}},
                           {.place = XY(4, 7), .radius_m = {.v = 0.5}},
                           {.place = XY(40, 70), .radius_m = {.v = 0.5}}};
    struct path path = {.from = XY(-1, 2), .to = XY(9, 2), .width_m = {.v = 0.6}};
    struct plot plot = sized(8, 9, 0);
    plot.obstacles = (struct list){o, 3, true, {0}};
    plot.paths = (struct list){&path, 1, true, {0}};
    struct made m = make(&plot);
    cr_assert(m.status == HR_OK, "%s", diags_words(m.diags));
    double tree = M_PI * 0.25, area = geom_area(m.geom), expected = 72 - 2 - 8 * 0.6 - tree;
    cr_assert(area <= expected && area > expected - 0.005 * tree - 1e-9,
              "a round thing keeps all its ground, and little more: %g of %g", area, expected);
    cr_assert(!geom_has_disc(m.geom, 4, 6.4, 0.2), "it would touch the tree");
    cr_assert(geom_has_disc(m.geom, 4, 6.2, 0.28), "beside the tree");
    cr_assert(!geom_has_point(m.geom, 4, 7) && !geom_has_point(m.geom, 4, 2), "tree, path");
    cr_assert(geom_has_point(m.geom, 4, 2.3), "the edge of the path");
    cr_assert(!geom_has_rect(m.geom, (struct rect){2, 5, 6, 8.5}), "the tree lies inside");
    double out[8][2];
    size_t n = geom_band(m.geom, 1, 3, 5, out, 8); /* over the tree's width */
    cr_assert(n == 3, "%zu intervals", n);
    cr_assert(near(out[0][0], 0, 1e-6) && near(out[0][1], 1.7, 1e-6), "below the path");
    cr_assert(near(out[1][0], 2.3, 1e-6) && near(out[1][1], 6.5, 3e-3), "up to the tree: %g",
              out[1][1]);
    cr_assert(near(out[2][0], 7.5, 3e-3) && near(out[2][1], 9, 1e-6), "above it: %g", out[2][0]);
    cr_assert(geom_band(m.geom, 1, 3, 5, out, 2) == 2, "no more than there is room for");
    unmake(&m);
}

static void expect_same_sides(const struct geom *m, const struct geom *t)
{
    cr_assert(geom_sides(m) == geom_sides(t), "%zu and %zu sides", geom_sides(m), geom_sides(t));
    for (size_t i = 0; i < geom_sides(m); i++) {
        struct point a, b, c, d;
        geom_side(m, i, &a, &b);
        geom_side(t, i, &c, &d);
        cr_assert(a.x == c.x && a.y == c.y && b.x == d.x && b.y == d.y, "side %zu", i);
    }
}

/* The same things in another order give the same ground, bit for bit. */
Test(geom, order_never_matters)
{
    struct obstacle o[5], back[5];
    for (int i = 0; i < 5; i++)
        o[i] = back[4 - i] =
            (struct obstacle){.place = XY(1 + 0.9 * i, 2 + 0.31 * i), .radius_m = {.v = 0.55}};
    struct plot plot = sized(8, 9, 0.15), other = plot;
    plot.obstacles = (struct list){o, 5, true, {0}};
    other.obstacles = (struct list){back, 5, true, {0}};
    struct made m = make(&plot), t = make(&other);
    cr_assert(geom_sides(m.geom) > 40, "sides");
    expect_same_sides(m.geom, t.geom);
    unmake(&m);
    unmake(&t);
    struct point p[] = {ELL}, q[6];
    for (int i = 0; i < 6; i++)
        q[i] = p[(8 - i) % 6]; /* the other way round, from another corner */
    plot = outlined(p, 6, 0);
    other = outlined(q, 6, 0);
    m = make(&plot);
    t = make(&other);
    expect_same_sides(m.geom, t.geom);
    unmake(&m);
    unmake(&t);
}

Test(geom, bands_of_an_ell)
{
    struct point p[] = {ELL};
    struct plot plot = outlined(p, 6, 0);
    struct made m = make(&plot);
    double out[4][2];
    cr_assert(geom_band(m.geom, 0, 0, 3, out, 4) == 1 && out[0][0] == 0 && out[0][1] == 8, "foot");
    cr_assert(geom_band(m.geom, 0, 3, 8, out, 4) == 1 && out[0][0] == 0 && out[0][1] == 3, "leg");
    cr_assert(geom_band(m.geom, 0, 2, 4, out, 4) == 1 && out[0][1] == 3, "both");
    cr_assert(geom_band(m.geom, 1, 3, 8, out, 4) == 1 && out[0][1] == 3, "the other axis");
    cr_assert(geom_band(m.geom, 0, -1, 1, out, 4) == 0, "half outside");
    cr_assert(geom_band(m.geom, 0, 9, 10, out, 4) == 0, "all outside");
    cr_assert(geom_band(m.geom, 0, 2, 2, out, 4) == 0, "no band");
    cr_assert(geom_band(m.geom, 0, 3, 2, out, 4) == 0, "upside down");
    cr_assert(geom_band(m.geom, 0, (double)NAN, 2, out, 4) == 0, "not a number");
    cr_assert(geom_band(m.geom, 0, -HUGE_VAL, HUGE_VAL, out, 4) == 0, "endless");
    unmake(&m);
}

Test(geom, discs_and_points)
{
    struct point p[] = {XY(0, 0), XY(4, 0), XY(0, 4)};
    struct plot plot = outlined(p, 3, 0);
    struct made m = make(&plot);
    double inner = 4 / (2 + sqrt(2)); /* inradius: area over half the perimeter */
    cr_assert(geom_has_disc(m.geom, inner, inner, inner), "the inscribed circle");
    cr_assert(!geom_has_disc(m.geom, inner, inner, inner + 1e-5), "a larger one");
    cr_assert(!geom_has_disc(m.geom, 3, 3, 0.1), "outside");
    cr_assert(geom_has_point(m.geom, 2, 2) && geom_has_point(m.geom, 0, 0), "on the edge");
    cr_assert(!geom_has_point(m.geom, 2.001, 2), "past it");
    cr_assert(geom_has_disc(m.geom, 1, 1, 0), "no radius is a point");
    cr_assert(!geom_has_point(m.geom, (double)NAN, 1), "not a number");
    cr_assert(!geom_has_disc(m.geom, 1, 1, (double)NAN), "not a number");
    cr_assert(!geom_has_disc(m.geom, 1, 1, HUGE_VAL), "endless");
    cr_assert(!geom_has_rect(m.geom, (struct rect){1, 1, (double)NAN, 2}), "not a number");
    unmake(&m);
}

/* Bands against points: inside an interval all of them lie inside, beyond its ends some do not. */
Test(geom, bands_hold_what_they_say)
{
    unsigned seed = 1;
    for (int round = 0; round < 60; round++) {
        struct point p[24];
        for (int i = 0; i < 24; i++) {
            seed = seed * 1103515245u + 12345u;
            double radius = 1 + 4 * (double)(seed >> 16 & 1023) / 1023, turn = 2 * M_PI * i / 24;
            p[i] = (struct point)XY(radius * cos(turn), radius * sin(turn));
        }
        struct plot plot = outlined(p, 24, 0.1);
        struct made m = make(&plot);
        cr_assert(m.status == HR_OK, "%s", diags_words(m.diags));
        for (int k = 0; k < 20; k++) {
            double a = -4 + 0.4 * k, b = a + 0.1 + 0.05 * k, out[32][2];
            size_t n = geom_band(m.geom, round % 2, a, b, out, 32);
            for (size_t i = 0; i < n; i++) {
                double lo = out[i][0], hi = out[i][1];
                struct rect r = {a, lo, b, hi};
                if (round % 2 == 0)
                    r = (struct rect){lo, a, hi, b};
                cr_assert(geom_has_rect(m.geom, r), "round %d band %d", round, k);
                for (int j = 0; j < 40; j++) {
                    int column = j % 8, row = j / 8;
                    double u = lo + (hi - lo) * (column + 0.5) / 8,
                           v = a + (b - a) * (row + 0.5) / 5;
                    cr_assert(geom_has_point(m.geom, round % 2 ? v : u, round % 2 ? u : v),
                              "round %d band %d", round, k);
                }
                r.x1 += round % 2 ? 0 : 1e-4;
                r.y1 += round % 2 ? 1e-4 : 0;
                cr_assert(!geom_has_rect(m.geom, r), "round %d band %d could be longer", round, k);
            }
        }
        unmake(&m);
    }
}

static void expect_refused(const struct plot *plot, const char *what)
{
    struct made m = make(plot);
    cr_assert(m.status == HR_INPUT && m.geom == NULL, "%s: status %d", what, (int)m.status);
    expect_diag(m.diags, 0, 0, "ground");
    unmake(&m);
}

Test(geom, refuses_what_is_no_ground)
{
    struct point tie[] = {XY(0, 0), XY(4, 4), XY(4, 0), XY(0, 4)};
    struct plot plot = outlined(tie, 4, 0);
    expect_refused(&plot, "a bow tie");
    plot = outlined(tie, 2, 0);
    expect_refused(&plot, "two corners");
    struct point flat[] = {XY(0, 0), XY(4, 0), XY(2, 0)};
    plot = outlined(flat, 3, 0);
    expect_refused(&plot, "no area");
    plot = sized(0, 0, 0.1);
    expect_refused(&plot, "no size");
    static const double odd[] = {(double)NAN, HUGE_VAL, 1.0001e6, 1e308};
    for (int i = 0; i < 4; i++) {
        plot = sized(odd[i], 3, 0);
        expect_refused(&plot, "size");
        plot = sized(3, 3, odd[i]);
        expect_refused(&plot, "border");
        plot = sized(3, 3, 0);
        struct obstacle o = {.place = XY(1, odd[i]), .radius_m = {.v = 0.4}};
        plot.obstacles = (struct list){&o, 1, true, {0}};
        expect_refused(&plot, "obstacle");
        struct path path = {.from = XY(1, 1), .to = XY(odd[i], 1), .width_m = {.v = 0.4}};
        plot.obstacles.n = 0;
        plot.paths = (struct list){&path, 1, true, {0}};
        expect_refused(&plot, "path");
    }
    plot = sized(3, 3, 0);
    struct obstacle good = {.place = XY(1, 1), .radius_m = {.v = 0.4}};
    struct obstacle two[] = {good, {.outline = {tie, 4, true, {0}}}};
    plot.obstacles = (struct list){two, 2, true, {0}};
    expect_refused(&plot, "a bow tie as an obstacle");
}

/* What the checks speak of takes no ground here. */
Test(geom, nothing_there)
{
    struct plot plot = sized(3, 3, 0);
    struct obstacle o = {.place = XY(1, 1)};
    struct path path = {.from = XY(1, 1), .to = XY(1, 1), .width_m = {.v = 0.4}};
    plot.obstacles = (struct list){&o, 1, true, {0}};
    plot.paths = (struct list){&path, 1, true, {0}};
    struct made m = make(&plot);
    cr_assert(m.status == HR_OK && near(geom_area(m.geom), 9, 1e-9), "all of it");
    unmake(&m);
}
