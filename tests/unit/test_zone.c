/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"

#include "zone.h"

#define XY(a, b)                                                                                   \
    {                                                                                              \
        .x = (a), .y = (b)                                                                         \
    }
#define POINTS(...) ((struct point[]){__VA_ARGS__})

struct cut {
    struct arena *arena;
    struct diags *diags;
    struct plot plot[4];
    struct garden garden;
    struct zones zones;
    hr_status status;
};

/* A garden at 42 N with one plot of n corners, rows either way. */
static void cut_init(struct cut *c, struct point *p, size_t n, double border)
{
    *c = (struct cut){.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    c->plot[0] = (struct plot){.name = {.s = "A"},
                               .outline = {.items = p, .n = n, .set = true},
                               .border_m = {.v = border, .set = true},
                               .rows = {.v = ROWS_EITHER, .set = true}};
    c->garden.site = (struct site){.latitude = {.v = 0.733, .set = true},
                                   .sun = {.v = 1, .set = true},
                                   .last_frost.median = {.d = {0, 5, 9}, .set = true},
                                   .first_frost.median = {.d = {0, 10, 6}, .set = true}};
}

static void cut_run(struct cut *c, size_t nplots)
{
    c->garden.plots = (struct list){.items = c->plot, .n = nplots, .set = true};
    c->status = zones_cut(&c->garden, c->arena, c->diags, &c->zones);
}

static void cut_free(struct cut *c)
{
    arena_free(c->arena);
    diags_free(c->diags);
}

/* Zones lie on free ground, apart from each other, and the figures of each ground add up. */
static void expect_sound(struct cut *c, const char *what)
{
    cr_assert(c->status == HR_OK, "%s: %s", what, diags_words(c->diags));
    cr_assert(c->zones.n > 0 && c->zones.n <= ZONES_MAX, "%s: %zu zones", what, c->zones.n);
    for (size_t k = 0; k < c->zones.ngrounds; k++) {
        const struct ground *g = &c->zones.grounds[k];
        struct geom *geom;
        double sum = 0;
        CALL(geom_free_ground(&c->plot[g->plot], c->arena, c->diags, &geom));
        for (size_t i = 0; i < c->zones.n; i++) {
            const struct zone *z = &c->zones.items[i];
            if (z->plot != g->plot || z->along_x != g->along_x)
                continue;
            double wide = z->r.x1 - z->r.x0, deep = z->r.y1 - z->r.y0;
            cr_assert(geom_has_rect(geom, z->r), "%s: %s leaves the ground", what, z->name);
            cr_assert(near(z->length_m, z->along_x ? wide : deep, 1e-8), "%s", z->name);
            cr_assert(near(z->depth_m, z->along_x ? deep : wide, 1e-8), "%s", z->name);
            cr_assert(z->depth_m >= ZONE_LEAST_DEPTH_M && z->length_m >= ZONE_LEAST_LENGTH_M,
                      "%s: %s is too small", what, z->name);
            sum += wide * deep;
            for (size_t j = 0; j < i; j++) {
                const struct zone *o = &c->zones.items[j];
                bool apart = o->plot != z->plot || o->along_x != z->along_x || o->r.x1 <= z->r.x0 ||
                             z->r.x1 <= o->r.x0 || o->r.y1 <= z->r.y0 || z->r.y1 <= o->r.y0;
                cr_assert(apart, "%s: %s and %s overlap", what, o->name, z->name);
            }
        }
        cr_assert(near(sum, g->zoned_m2, 1e-6), "%s: zones %g, told %g", what, sum, g->zoned_m2);
        cr_assert(near(g->free_m2, geom_area(geom), 1e-9), "%s: free ground", what);
        cr_assert(near(g->lost_share, 1 - sum / g->free_m2, 1e-6), "%s: loss", what);
        geom_free(geom);
    }
}

/* Zones of one direction. */
static size_t count(const struct cut *c, bool along_x)
{
    size_t n = 0;
    for (size_t i = 0; i < c->zones.n; i++)
        n += c->zones.items[i].along_x == along_x;
    return n;
}

Test(zone, rectangle_is_one_zone)
{
    struct cut c;
    cut_init(&c, NULL, 0, 0.1524);
    c.plot[0].size = (struct point)XY(6.096, 7.62); /* 20 ft x 25 ft, border 6 in */
    cut_run(&c, 1);
    expect_sound(&c, "rectangle");
    cr_assert(c.zones.n == 2 && c.zones.ngrounds == 2, "%zu zones", c.zones.n);
    const struct zone *x = &c.zones.items[0], *y = &c.zones.items[1];
    cr_assert(x->along_x && strcmp(x->name, "P1x-1") == 0, "%s", x->name);
    cr_assert(!y->along_x && strcmp(y->name, "P1y-1") == 0, "%s", y->name);
    cr_assert(x->length_m == 5.7912 && x->depth_m == 7.3152, "%.17g %.17g", x->length_m,
              x->depth_m); /* 19 ft and 24 ft to the last bit */
    cr_assert(y->length_m == 7.3152 && y->depth_m == 5.7912, "%.17g", y->length_m);
    cr_assert(x->light == 1 && c.zones.grounds[0].lost_share < 1e-9, "open, nothing lost");
    cr_assert(diags_count(c.diags) == 0, "%s", diags_words(c.diags));
    cut_free(&c);
}

Test(zone, row_direction)
{
    for (int rows = ROWS_ALONG_X; rows <= ROWS_EITHER; rows++) {
        struct cut c;
        cut_init(&c, NULL, 0, 0);
        c.plot[0].size = (struct point)XY(4, 3);
        c.plot[0].rows.v = rows;
        cut_run(&c, 1);
        cr_assert(count(&c, true) == (rows != ROWS_ALONG_Y), "rows %d", rows);
        cr_assert(count(&c, false) == (rows != ROWS_ALONG_X), "rows %d", rows);
        cut_free(&c);
    }
}

Test(zone, ell_is_two_zones)
{
    struct cut c;
    cut_init(&c, POINTS(XY(0, 0), XY(8, 0), XY(8, 3), XY(3, 3), XY(3, 8), XY(0, 8)), 6, 0);
    cut_run(&c, 1);
    expect_sound(&c, "L");
    cr_assert(count(&c, true) == 2 && count(&c, false) == 2, "%zu zones", c.zones.n);
    cr_assert(c.zones.grounds[0].lost_share < 1e-9, "nothing lost");
    cr_assert(c.zones.items[0].length_m == 8 && c.zones.items[0].depth_m == 3, "the foot first");
    cr_assert(c.zones.items[1].length_m == 3 && c.zones.items[1].depth_m == 5, "then the leg");
    cr_assert(c.zones.items[2].length_m == 8 && c.zones.items[2].depth_m == 3, "leg as a whole");
    cut_free(&c);
}

/* Ground with slanting sides in every turn: few, deep zones, and under 8 % lost. */
Test(zone, trapezoids_lose_little)
{
    struct point shapes[6][4] = {{XY(0, 0), XY(6, 0), XY(4, 8), XY(0, 8)},
                                 {XY(0, 0), XY(6, 0), XY(6, 8), XY(0, 6)},
                                 {XY(0, 0), XY(8, 0), XY(6, 8), XY(0, 8)},
                                 {XY(0, 0), XY(8, 0), XY(8, 6), XY(2, 6)},
                                 {XY(0, 0), XY(6.1, 0.05), XY(6.05, 8.02), XY(-0.04, 7.96)},
                                 {XY(0, 0), XY(6, 0), XY(5, 8), XY(0.5, 8)}};
    for (int i = 0; i < 6; i++) {
        struct cut c;
        cut_init(&c, shapes[i], 4, 0.15);
        cut_run(&c, 1);
        expect_sound(&c, "trapezoid");
        for (size_t k = 0; k < 2; k++) {
            const struct ground *g = &c.zones.grounds[k];
            cr_assert(g->lost_share < 0.08, "shape %d lost %g", i, g->lost_share);
            cr_assert(count(&c, g->along_x) <= 4, "shape %d: %zu zones", i, count(&c, g->along_x));
        }
        for (size_t k = 0; i < 5 && k < c.zones.n; k++) /* two slants take shallow ones */
            cr_assert(c.zones.items[k].depth_m >= 0.75, "shape %d: shallow zone", i);
        cr_assert(diags_count(c.diags) == 0, "%s", diags_words(c.diags));
        cut_free(&c);
    }
}

/* Round a tree, beside a path, behind a shed. */
Test(zone, holes)
{
    struct cut c;
    struct obstacle o[] = {{.place = XY(3, 4), .radius_m = {.v = 0.3}},
                           {.place = XY(7.5, 0.5), .radius_m = {.v = 0.4}}};
    struct path path = {.from = XY(0, 6), .to = XY(9, 6), .width_m = {.v = 0.5}};
    cut_init(&c, NULL, 0, 0.1);
    c.plot[0].size = (struct point)XY(9, 10);
    c.plot[0].obstacles = (struct list){o, 2, true, {0}};
    c.plot[0].paths = (struct list){&path, 1, true, {0}};
    cut_run(&c, 1);
    expect_sound(&c, "holes");
    for (size_t k = 0; k < 2; k++) {
        cr_assert(c.zones.grounds[k].lost_share < 0.08, "lost %g", c.zones.grounds[k].lost_share);
        cr_assert(near(c.zones.grounds[k].outline_m2, 90, 1e-9), "outline");
    }
    cr_assert(count(&c, true) <= 7 && count(&c, false) <= 8, "%zu zones", c.zones.n);
    cut_free(&c);
}

/* A triangle cannot be had in rows without loss: said, not hidden. */
Test(zone, staircase_loss_is_told)
{
    struct cut c;
    cut_init(&c, POINTS(XY(0, 0), XY(5, 0), XY(0, 5)), 3, 0.15);
    cut_run(&c, 1);
    expect_sound(&c, "triangle");
    cr_assert(c.zones.grounds[0].lost_share > 0.08, "lost %g", c.zones.grounds[0].lost_share);
    expect_diag(c.diags, 0, 0, "staircase-loss");
    cr_assert(diags_errors(c.diags) == 0 && diags_warnings(c.diags) == 2, "a warning each way");
    cut_free(&c);
}

/* A triangle loses more than a twelfth however it is cut; cut as finely as loses least no zone of
 * it held a line of corn. */
Test(zone, where_much_is_lost_lines_have_room)
{
    struct garden_text t = garden_text_read(
        "garden: A\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
        "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\nplots:\n"
        "  - {name: B, outline: [[0 m, 0 m], [6 m, 0 m], [1.5 m, 5 m]], rows: along-x}\n"
        "seed:\n  - {variety: C, crop: flint corn}\n  - {variety: D, crop: potato}\n"
        "  - {variety: E, crop: kale}\n");
    struct zones zones;
    double corn_m2 = 0, row_m = garden_seed(t.garden, 0)->crop->row_m.low;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    expect_diag(t.diags, 0, 0, "staircase-loss");
    for (size_t i = 0; i < zones.n; i++)
        corn_m2 += zones.items[i].length_m * row_m * floor(zones.items[i].depth_m / row_m);
    cr_assert(corn_m2 > 0.45 * zones.grounds[0].free_m2, "%g of %g m2 are for corn", corn_m2,
              zones.grounds[0].free_m2);
    garden_text_free(&t);
}

Test(zone, no_ground)
{
    struct cut c;
    cut_init(&c, NULL, 0, 0.1);
    c.plot[0].size = (struct point)XY(0.45, 5); /* 25 cm left between its borders */
    c.plot[1] = c.plot[2] = c.plot[0];
    c.plot[1].size = (struct point)XY(5, 5);
    c.plot[2].border_m.v = 3;
    cut_run(&c, 3);
    cr_assert(c.status == HR_INPUT && c.zones.items == NULL, "status %d", (int)c.status);
    cr_assert(diags_errors(c.diags) == 2, "both are told: %s", diags_words(c.diags));
    expect_diag(c.diags, 0, 0, "no-ground");
    cut_free(&c);
    cut_init(&c, NULL, 0, 0.1);
    c.plot[0].size = (struct point)XY(0.55, 5); /* 35 cm: a line of something small */
    cut_run(&c, 1);
    expect_sound(&c, "strip");
    cr_assert(c.zones.n == 2, "%zu zones", c.zones.n);
    cut_free(&c);
    cut_init(&c, POINTS(XY(0, 0), XY(1, 1), XY(1, 0), XY(0, 1)), 4, 0);
    cut_run(&c, 1);
    cr_assert(c.status == HR_INPUT, "a bow tie");
    expect_diag(c.diags, 0, 0, "ground");
    cut_free(&c);
}

/* Odd outlines by the hundred, with trees and paths in them. */
Test(zone, any_outline)
{
    unsigned seed = 7;
    for (int round = 0; round < 150; round++) {
        struct point p[40];
        size_t n = 5 + (size_t)(round % 36);
        for (size_t i = 0; i < n; i++) {
            seed = seed * 1103515245u + 12345u;
            double radius = 2 + 5 * (double)(seed >> 16 & 1023) / 1023;
            double turn = 2 * M_PI * (double)i / (double)n;
            p[i] = (struct point)XY(radius * cos(turn), radius * sin(turn));
        }
        struct obstacle tree = {.place = XY(0.5, 0.2), .radius_m = {.v = 0.1 + 0.005 * round}};
        struct path path = {
            .from = XY(-9, -9), .to = XY(9, 9 - 0.1 * round), .width_m = {.v = 0.4}};
        struct cut c;
        cut_init(&c, p, n, 0.05);
        if (round % 2)
            c.plot[0].obstacles = (struct list){&tree, 1, true, {0}};
        if (round % 3 == 0)
            c.plot[0].paths = (struct list){&path, 1, true, {0}};
        cut_run(&c, 1);
        char what[32];
        snprintf(what, sizeof what, "round %d", round);
        expect_sound(&c, what);
        cut_free(&c);
    }
}

/* The plot seen in a mirror has the same zones, mirrored. */
Test(zone, mirror)
{
    struct point p[] = {XY(0, 0), XY(6, 0), XY(6, 4), XY(4.5, 4), XY(4, 8), XY(0, 8)}, q[6];
    for (int i = 0; i < 6; i++)
        q[i] = (struct point)XY(-p[5 - i].x, p[5 - i].y);
    struct cut c, m;
    cut_init(&c, p, 6, 0.15);
    cut_init(&m, q, 6, 0.15);
    cut_run(&c, 1);
    cut_run(&m, 1);
    expect_sound(&m, "mirrored");
    cr_assert(count(&c, true) == count(&m, true), "%zu, mirrored %zu", c.zones.n, m.zones.n);
    for (size_t i = 0; i < count(&c, true); i++) {
        struct rect a = c.zones.items[i].r, b = m.zones.items[i].r;
        cr_assert(near(a.x0, -b.x1, 1e-6) && near(a.x1, -b.x0, 1e-6) && near(a.y0, b.y0, 1e-6),
                  "zone %zu", i);
    }
    cut_free(&c);
    cut_free(&m);
}

Test(zone, same_input_same_zones)
{
    struct strbuf text[2];
    struct cut c[2];
    for (int i = 0; i < 2; i++) {
        cut_init(&c[i], POINTS(XY(0, 0), XY(6, 0), XY(4, 8), XY(1, 7), XY(0, 8)), 5, 0.15);
        cut_run(&c[i], 1);
        strbuf_init(&text[i], c[i].arena);
        zones_dump(&c[i].zones, &c[i].garden, &text[i]);
    }
    cr_assert(text[0].n > 100 && strcmp(text[0].p, text[1].p) == 0, "%s%s", text[0].p, text[1].p);
    cut_free(&c[0]);
    cut_free(&c[1]);
}

Test(zone, dump)
{
    struct cut c;
    cut_init(&c, NULL, 0, 0);
    c.plot[0].size = (struct point)XY(4, 3);
    c.plot[0].rows.v = ROWS_ALONG_Y;
    c.garden.site.sun.v = 0.85;
    cut_run(&c, 1);
    struct strbuf text;
    strbuf_init(&text, c.arena);
    zones_dump(&c.zones, &c.garden, &text);
    cr_assert(
        strcmp(text.p,
               "ground P1y \"A\" outline_m2 12.0000 free_m2 12.0000 zoned_m2 12.0000 lost 0.0000\n"
               "  zone P1y-1 x 0.0000 .. 4.0000 y 0.0000 .. 3.0000 length 3.0000 depth 4.0000 "
               "light 0.850000\n") == 0,
        "%s", text.p);
    cut_free(&c);
}

/* A high wall on the south side of a northern plot dims it, a low one or one in the north much
 * less. */
Test(zone, site_light)
{
    double light[4];
    for (int i = 0; i < 4; i++) {
        struct cut c;
        double y = i == 1 ? 4.1 : -0.3;
        struct obstacle wall = {
            .outline = {POINTS(XY(-2, y), XY(8, y), XY(8, y + 0.2), XY(-2, y + 0.2)), 4, true, {0}},
            .height_m = {.v = i == 2 ? 0.2 : 3}};
        cut_init(&c, NULL, 0, 0);
        c.plot[0].size = (struct point)XY(6, 4);
        c.plot[0].rows.v = ROWS_ALONG_X;
        c.plot[0].bearing.v = i == 3 ? M_PI : 0; /* 3: turned round, the wall is in the north */
        c.plot[0].obstacles = (struct list){&wall, 1, true, {0}};
        cut_run(&c, 1);
        expect_sound(&c, "walled");
        light[i] = c.zones.items[0].light;
        cr_assert(near(light[i] * 1e6, round(light[i] * 1e6), 1e-6), "to the millionth");
        cut_free(&c);
    }
    cr_assert(light[0] < 0.8, "south wall: %g", light[0]);
    cr_assert(light[1] > light[0] + 0.1 && light[1] < 1, "north wall: %g", light[1]);
    cr_assert(light[2] == 1, "a kerb: %g", light[2]);
    cr_assert(near(light[1], light[3], 1e-5), "turned: %g", light[3]);
}

/* 2000 corners, spiky and combed: as many as a garden file may have. */
Test(zone, many_corners)
{
    static struct point p[2000];
    for (int shape = 0; shape < 3; shape++) {
        for (int i = 0; i < 2000; i++) {
            double radius = shape == 0 || i % 2 ? 20 : 19, turn = M_PI * i / 1000;
            p[i] = (struct point)XY(radius * cos(turn), radius * sin(turn));
            if (shape == 2)
                p[i] = (struct point)XY(0.2 * i, i % 4 < 2 ? 5 : 20);
        }
        if (shape == 2) {
            p[1998] = (struct point)XY(0.2 * 1997, 0);
            p[1999] = (struct point)XY(0, 0);
        }
        struct cut c;
        cut_init(&c, p, 2000, 0.05);
        cut_run(&c, 1);
        expect_sound(&c, "many corners");
        cr_assert(shape == 2 || c.zones.grounds[0].lost_share < 0.08, "shape %d lost %g", shape,
                  c.zones.grounds[0].lost_share);
        cut_free(&c);
    }
}

/* As many plots as there may be zones get one each; one more is refused. */
Test(zone, many_plots)
{
    static struct plot plots[ZONES_MAX + 1];
    struct cut c;
    cut_init(&c, NULL, 0, 0);
    for (size_t i = 0; i <= ZONES_MAX; i++) {
        plots[i] = c.plot[0];
        plots[i].size = (struct point)XY(3, 2);
        plots[i].rows.v = ROWS_ALONG_X;
    }
    c.garden.plots = (struct list){.items = plots, .n = ZONES_MAX, .set = true};
    CALL(zones_cut(&c.garden, c.arena, c.diags, &c.zones));
    cr_assert(c.zones.n == ZONES_MAX, "%zu zones", c.zones.n);
    c.garden.plots.n++;
    cr_assert(zones_cut(&c.garden, c.arena, c.diags, &c.zones) == HR_INPUT, "one more");
    expect_diag(c.diags, 0, 0, "too-many-zones");
    cut_free(&c);
}

/* Too little memory is told, and nothing is kept or lost. */
Test(zone, out_of_memory)
{
    struct cut c;
    cut_init(&c, POINTS(XY(0, 0), XY(6, 0), XY(4, 8), XY(0, 8)), 4, 0.15);
    c.garden.plots = (struct list){.items = c.plot, .n = 1, .set = true};
    for (size_t cap = 0; cap < 4096; cap += 256) {
        struct arena *small = arena_new(cap);
        struct geom *geom = NULL;
        cr_assert(zones_cut(&c.garden, small, c.diags, &c.zones) == HR_NOMEM, "cap %zu", cap);
        cr_assert(c.zones.items == NULL, "left as it was");
        hr_status status = geom_free_ground(&c.plot[0], small, c.diags, &geom);
        cr_assert(status == (geom ? HR_OK : HR_NOMEM), "cap %zu: %d", cap, (int)status);
        geom_free(geom);
        arena_free(small);
    }
    cr_assert(diags_count(c.diags) == 0, "%s", diags_words(c.diags));
    cut_free(&c);
}
