/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "light.h"

#define DEG (M_PI / 180)

static const struct sky down = {.rays = {{0, 0, 1, 1, 0}}, .n = 1};

static struct shader box(double x0, double y0, double x1, double y1, double height,
                         double extinction)
{
    return (struct shader){.r = {x0, y0, x1, y1},
                           .height_m = height,
                           .extinction_per_m = extinction,
                           .surface_light = 1};
}

/* A summer at 42 N. */
static struct sky summer(double bearing)
{
    struct sky sky;
    light_sky(42 * DEG, bearing, 129, 279, 0.4, &sky);
    return sky;
}

Test(light, weights)
{
    static const double latitude[] = {-64, -42, 0, 42, 64};
    for (int i = 0; i < 5; i++) {
        struct sky sky;
        double sum = 0, diffuse = 0;
        light_sky(latitude[i] * DEG, 1, 129, 279, 0.4, &sky);
        cr_assert(sky.n > 60 && sky.n <= LIGHT_RAYS_MAX, "%d rays", sky.n);
        for (int k = 0; k < sky.n; k++) {
            const struct ray *r = &sky.rays[k];
            cr_assert(near(r->dx * r->dx + r->dy * r->dy + r->dz * r->dz, 1, 1e-12), "unit");
            cr_assert(r->dz > 0 && r->weight > 0, "ray %d comes from above", k);
            sum += r->weight;
            diffuse += k >= sky.n - LIGHT_PHASES * 24 ? r->weight : 0;
        }
        cr_assert(near(sum, 1, 1e-12), "latitude %g: %g", latitude[i], sum);
        cr_assert(near(diffuse, 0.4, 1e-12), "latitude %g: diffuse %g", latitude[i], diffuse);
    }
}

/* Beam light on level ground, minute by minute through every day: sin(elevation) times what clear
 * air lets through, 0.75^(1/sin(elevation)) (from memory). The few directions have the same mean.
 */
Test(light, few_directions_stand_for_the_season)
{
    static const int season[3][2] = {{172, 172}, {129, 279}, {60, 130}};
    for (int k = 0; k < 3; k++) {
        struct sky sky;
        double sum = 0, mean = 0, few = 0;
        light_sky(42 * DEG, 0, season[k][0], season[k][1], 0, &sky);
        for (int i = 0; i < sky.n; i++)
            few += sky.rays[i].weight * sky.rays[i].dz;
        for (int day = season[k][0]; day <= season[k][1]; day++)
            for (int minute = 0; minute < 24 * 60; minute++) {
                double up = sin(sun_solar(day, minute / 60.0, 42 * DEG).elevation);
                double light = up > 0 ? up * pow(0.75, 1 / up) : 0;
                sum += light;
                mean += light * up;
            }
        cr_assert(near(few, mean / sum, 0.004), "season %d: %g, all %g", k, few, mean / sum);
    }
}

Test(light, open_ground)
{
    struct sky sky = summer(0.3);
    cr_assert(light_on_rect(&sky, (struct rect){0, 0, 5, 5}, 0, NULL, 0, -1) == 1, "no shaders");
    struct shader low = box(0, 0, 5, 5, 0.5, HUGE_VAL);
    cr_assert(light_at_point(&sky, 2, 2, 0.5, &low, 1, -1) == 1, "not higher than the receiver");
    cr_assert(near(light_at_point(&sky, 2, 2, 0.4, &low, 1, -1), 0, 1e-12), "inside a solid");
    cr_assert(light_at_point(&sky, 2, 2, 0, &low, 1, 0) == 1, "left out");
}

/* Monsi and Saeki 1953: light through = exp(-k LAI). Intercepted shares from that formula: k 0.65
 * with LAI 2, 4, 6: 0.7275, 0.9257, 0.9798; k 0.5, LAI 3: 0.7769; k 0.8, LAI 3: 0.9093. */
Test(light, beer_through_a_canopy)
{
    static const double row[5][3] = {{0.65, 2, 0.7275},
                                     {0.65, 4, 0.9257},
                                     {0.65, 6, 0.9798},
                                     {0.5, 3, 0.7769},
                                     {0.8, 3, 0.9093}};
    for (int i = 0; i < 5; i++) {
        struct shader canopy = box(-1, -1, 1, 1, 2.5, row[i][0] * row[i][1] / 2.5);
        double through = light_at_point(&down, 0, 0, 0, &canopy, 1, -1);
        cr_assert(near(1 - through, row[i][2], 5e-5), "row %d: %g", i, 1 - through);
    }
}

/* Paths by plane geometry. */
Test(light, paths)
{
    struct sky slant = {.rays = {{0.8, 0, 0.6, 1, 0}}, .n = 1},
               level = {.rays = {{1, 0, 0, 1, 0}}, .n = 1};
    struct sky aside = {.rays = {{0, 0.8, 0.6, 1, 0}}, .n = 1};
    struct shader b = box(1, -1, 2, 1, 1.5, 0.7);
    /* From the origin: in at x = 1 (z 0.75), out at the top z 1.5 = x 2. */
    cr_assert(near(light_at_point(&slant, 0, 0, 0, &b, 1, -1), exp(-0.7 * 1.25), 1e-12), "slant");
    cr_assert(near(light_at_point(&slant, 0, 0, 0.75, &b, 1, -1), 1, 1e-12), "over its edge");
    cr_assert(near(light_at_point(&slant, 1.5, 0, 0, &b, 1, -1), exp(-0.7 * 0.625), 1e-12),
              "from inside");
    cr_assert(near(light_at_point(&level, 0, 0, 0.5, &b, 1, -1), exp(-0.7), 1e-12), "level");
    cr_assert(light_at_point(&slant, 3, 0, 0, &b, 1, -1) == 1, "it lies behind");
    cr_assert(light_at_point(&aside, 0, 0, 0, &b, 1, -1) == 1, "the light passes it by");
    struct shader c = {.form = SHADER_ROUND,
                       .r = {1, -1, 3, 1},
                       .height_m = 9,
                       .extinction_per_m = 0.4,
                       .surface_light = 0.5};
    double chord = 2 * sqrt(1 - 0.36);
    cr_assert(near(light_at_point(&level, 0, 0.6, 1, &c, 1, -1), 0.5 * exp(-0.4 * chord), 1e-12),
              "chord of a circle, surface once");
    cr_assert(light_at_point(&level, 0, 1.01, 1, &c, 1, -1) == 1, "past the circle, in its square");
    cr_assert(near(light_at_point(&down, 2.5, 0, 1, &c, 1, -1), 0.5 * exp(-0.4 * 8), 1e-12),
              "straight up inside");
    cr_assert(light_at_point(&down, 1.05, 0.95, 1, &c, 1, -1) == 1, "a corner of its square");
    struct shader both[2] = {b, c};
    cr_assert(
        near(light_at_point(&level, 0, 0.6, 1, both, 2, -1), 0.5 * exp(-0.7 - 0.4 * chord), 1e-12),
        "one behind the other");
}

/* A flat canopy without end under an even sky lets 2 E3(tau) through; E3(0.5) = 0.2216044, E3(1) =
 * 0.1096920 (Abramowitz and Stegun 1964, table 5.4; from memory, agrees with its integral). */
Test(light, even_sky_through_an_endless_canopy)
{
    struct sky sky;
    light_sky(42 * DEG, 0, 129, 279, 1, &sky);
    struct shader thin = box(-1e3, -1e3, 1e3, 1e3, 1, 0.5), thick = box(-1e3, -1e3, 1e3, 1e3, 1, 1);
    cr_assert(near(light_at_point(&sky, 0, 0, 0, &thin, 1, -1), 2 * 0.2216044, 0.02), "%g",
              light_at_point(&sky, 0, 0, 0, &thin, 1, -1));
    cr_assert(near(light_at_point(&sky, 0, 0, 0, &thick, 1, -1), 2 * 0.1096920, 0.02), "%g",
              light_at_point(&sky, 0, 0, 0, &thick, 1, -1));
}

/* Level ground beside an endless wall sees (1 + cos b)/2 of an even sky, b the angle up to its top:
 * the view factor of two planes (Liu and Jordan 1960). */
Test(light, even_sky_beside_a_wall)
{
    static const double height[] = {0.5, 1, 2, 4};
    struct sky sky;
    light_sky(42 * DEG, 0.2, 129, 279, 1, &sky);
    for (int i = 0; i < 4; i++) {
        struct shader wall = box(1, -1e4, 1.2, 1e4, height[i], HUGE_VAL);
        double seen = light_at_point(&sky, 0, 0, 0, &wall, 1, -1);
        double expected = (1 + cos(atan(height[i]))) / 2;
        cr_assert(near(seen, expected, 0.05), "wall of %g m: %g, not %g", height[i], seen,
                  expected);
    }
}

Test(light, walls_and_hemispheres)
{
    struct rect bed = {0, 0, 6, 3};
    struct shader high_y = box(-2, 3.2, 8, 3.4, 3, HUGE_VAL);
    struct shader low_y = box(-2, -0.4, 8, -0.2, 3, HUGE_VAL);
    struct sky sky = summer(0); /* +y is north */
    double north = light_on_rect(&sky, bed, 0.3, &high_y, 1, -1);
    double south = light_on_rect(&sky, bed, 0.3, &low_y, 1, -1);
    cr_assert(south < 0.75, "a wall on the equator's side darkens: %g", south);
    cr_assert(north > 0.8, "one on the pole's side takes little: %g", north);
    struct sky other;
    light_sky(-42 * DEG, 0, 129 + 182, 279 + 182, 0.4, &other);
    cr_assert(light_on_rect(&other, bed, 0.3, &high_y, 1, -1) < 0.75,
              "in the south it is the north");
    cr_assert(light_on_rect(&other, bed, 0.3, &low_y, 1, -1) > 0.8, "and the other way round");
    sky = summer(M_PI); /* +y is south */
    cr_assert(near(light_on_rect(&sky, bed, 0.3, &high_y, 1, -1), south, 1e-9), "turned round");
}

/* Three boxes of a mixed plot, one of them porous. */
static void three(struct shader *s)
{
    s[0] = box(1, 2, 4, 3, 2.4, 0.8);
    s[1] = box(-1, -2, 0.5, 4, 1.1, HUGE_VAL);
    s[2] = box(3, -1, 5, 0.5, 1.8, 0);
    s[2].surface_light = 0.35;
}

Test(light, mirror)
{
    struct shader s[3], mirrored[3];
    three(s);
    three(mirrored);
    for (int i = 0; i < 3; i++) {
        mirrored[i].r.x0 = -s[i].r.x1;
        mirrored[i].r.x1 = -s[i].r.x0;
    }
    for (int i = 0; i < 8; i++) {
        double bearing = 0.7 * i;
        struct sky sky = summer(bearing), other = summer(-bearing);
        double light = light_on_rect(&sky, (struct rect){1, 0, 4, 2}, 0.2, s, 3, -1);
        double back = light_on_rect(&other, (struct rect){-4, 0, -1, 2}, 0.2, mirrored, 3, -1);
        cr_assert(light < 0.95 && near(light, back, 1e-12), "bearing %g: %g %g", bearing, light,
                  back);
    }
}

/* The plot drawn a quarter turn clockwise, its y axis turned as far to the left: the same ground.
 */
Test(light, quarter_turn)
{
    struct shader s[3], turned[3];
    three(s);
    three(turned);
    for (int i = 0; i < 3; i++)
        turned[i].r = (struct rect){s[i].r.y0, -s[i].r.x1, s[i].r.y1, -s[i].r.x0};
    struct sky sky = summer(0.4), other = summer(0.4 - M_PI / 2);
    double light = light_on_rect(&sky, (struct rect){1, 0, 4, 2}, 0.2, s, 3, -1);
    double back = light_on_rect(&other, (struct rect){0, -4, 2, -1}, 0.2, turned, 3, -1);
    cr_assert(light < 0.95 && near(light, back, 1e-9), "%g %g", light, back);
}

/* Round trees turned by any angle together with the bearing. */
Test(light, any_turn)
{
    for (int i = 0; i < 12; i++) {
        double turn = 0.55 * i; /* clockwise */
        struct shader tree = {
            .form = SHADER_ROUND, .height_m = 4, .extinction_per_m = 0.3, .surface_light = 1};
        double x = 1.3 * cos(turn) + 0.8 * sin(turn), y = 0.8 * cos(turn) - 1.3 * sin(turn);
        tree.r = (struct rect){x - 0.7, y - 0.7, x + 0.7, y + 0.7};
        struct sky sky = summer(0.2 - turn), straight = summer(0.2);
        struct shader first = tree;
        first.r = (struct rect){1.3 - 0.7, 0.8 - 0.7, 1.3 + 0.7, 0.8 + 0.7};
        double light = light_at_point(&sky, 0, 0, 0, &tree, 1, -1);
        cr_assert(near(light, light_at_point(&straight, 0, 0, 0, &first, 1, -1), 1e-9),
                  "turn %g: %g", turn, light);
        cr_assert(light < 1, "it shades");
    }
}

Test(light, more_shade_is_darker)
{
    struct sky sky = summer(0.5);
    struct rect bed = {0, 0, 4, 1.2};
    double before = 1;
    for (int i = 1; i <= 8; i++) {
        struct shader s = box(0, 1.3, 4, 2.5, 0.4 * i, 1);
        double light = light_on_rect(&sky, bed, 0.1, &s, 1, -1);
        cr_assert(light < before && light > 0, "height %g: %g", 0.4 * i, light);
        before = light;
    }
    for (int i = 1; i <= 8; i++) {
        struct shader s = box(0, 1.3, 4, 2.5, 3.2, 1 + i);
        double light = light_on_rect(&sky, bed, 0.1, &s, 1, -1);
        cr_assert(light < before && light > 0, "extinction %d: %g", 1 + i, light);
        before = light;
    }
}

/* The few points of a rectangle stand for the whole of it. */
Test(light, grid_is_fine_enough)
{
    struct sky sky = summer(0.5);
    struct shader s[3];
    three(s);
    static const struct rect bed[] = {{1, 0, 4, 2}, {0.6, 0.6, 14, 1.9}, {1, 3.1, 4, 3.2}};
    for (int k = 0; k < 3; k++) {
        double sum = 0;
        for (int i = 0; i < 60 * 60; i++) {
            int column = i % 60, row = i / 60;
            double x = bed[k].x0 + (bed[k].x1 - bed[k].x0) * (column + 0.5) / 60;
            double y = bed[k].y0 + (bed[k].y1 - bed[k].y0) * (row + 0.5) / 60;
            sum += light_at_point(&sky, x, y, 0.2, s, 3, -1);
        }
        double light = light_on_rect(&sky, bed[k], 0.2, s, 3, -1);
        cr_assert(near(light, sum / 3600, 0.03), "bed %d: %g, finely %g", k, light, sum / 3600);
    }
}

static void same_sky(const struct sky *a, const struct sky *b, const char *what)
{
    cr_assert(a->n == b->n, "%s", what);
    for (int i = 0; i < a->n; i++)
        cr_assert(near(a->rays[i].dx, b->rays[i].dx, 1e-9) &&
                      near(a->rays[i].dz, b->rays[i].dz, 1e-9) &&
                      near(a->rays[i].weight, b->rays[i].weight, 1e-9),
                  "%s, ray %d", what, i);
}

Test(light, seasons_wrap)
{
    struct sky a, b;
    light_sky(-0.6, 0, 300, 470, 0.4, &a);
    light_sky(-0.6, 0, 300, 105, 0.4, &b);
    same_sky(&a, &b, "days past the year's end");
    light_sky(-0.6, 0, -65, 105, 0.4, &b);
    same_sky(&a, &b, "days before its start");
    light_sky(0.7, 0, 1, 366, 0.4, &a);
    light_sky(0.7, 0, 1, 2000000000, 0.4, &b);
    same_sky(&a, &b, "a year at most");
    light_sky(80 * DEG, 0, 340, 365, 0.4, &a);
    double sum = 0;
    for (int i = 0; i < a.n; i++)
        sum += a.rays[i].weight;
    cr_assert(near(sum, 1, 1e-12), "polar night has an even sky only");
}

/* ---- obstacles ---------------------------------------------------------------------------- */

static struct obstacle outlined(struct point *p, size_t n, double height, double light)
{
    return (struct obstacle){
        .outline = {p, n, true, {0}}, .height_m = {.v = height}, .light = {.v = light}};
}

Test(light, obstacles)
{
    struct point shed[] = {{.x = 1, .y = 1}, {.x = 3, .y = 1}, {.x = 3, .y = 2}, {.x = 1, .y = 2}};
    struct obstacle o[5] = {
        outlined(shed, 4, 2.2, 0),
        {.place = {.x = 5, .y = 6},
         .radius_m = {.v = 0.5},
         .height_m = {.v = 4},
         .light = {.v = 0.4}},
        outlined(shed, 4, 0, 0),
        outlined(shed, 4, 2, 1),
        {.height_m = {.v = 3}},
    };
    struct plot plot = {.obstacles = {o, 5, true, {0}}};
    struct shader *s;
    int n;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    CALL(light_obstacles(&plot, arena, &s, &n));
    cr_assert(n == 2, "flat, clear and shapeless ones shade nothing");
    cr_assert(s[0].form == SHADER_BOX && s[0].r.x0 == 1 && s[0].r.y1 == 2 && s[0].height_m == 2.2,
              "shed");
    cr_assert(light_at_point(&down, 2, 1.5, 0, s, 2, -1) == 0, "solid");
    cr_assert(s[1].form == SHADER_ROUND && s[1].r.x0 == 4.5 && s[1].r.y1 == 6.5, "tree");
    cr_assert(near(light_at_point(&down, 5, 6.2, 0, s, 2, -1), 0.4, 1e-12), "its given share");
    arena_free(arena);
}

/* A hedge across the corner of a plot leaves the rest of its bounding box in the light. */
Test(light, slanting_hedge)
{
    struct point p[] = {
        {.x = 0, .y = 6}, {.x = 6, .y = 0}, {.x = 6.4, .y = 0.4}, {.x = 0.4, .y = 6.4}};
    struct obstacle o = outlined(p, 4, 2, 0);
    struct plot plot = {.obstacles = {&o, 1, true, {0}}};
    struct shader *s;
    int n;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    CALL(light_obstacles(&plot, arena, &s, &n));
    cr_assert(n > 4, "%d slices", n);
    cr_assert(light_at_point(&down, 1, 1, 0, s, n, -1) == 1, "the corner before it");
    cr_assert(light_at_point(&down, 5, 5, 0, s, n, -1) == 1, "the ground behind it");
    cr_assert(light_at_point(&down, 3.2, 3.2, 0, s, n, -1) == 0, "the hedge");
    o.light.v = 0.3;
    CALL(light_obstacles(&plot, arena, &s, &n));
    struct sky along = {.rays = {{-sqrt(0.5), sqrt(0.5), 0, 1, 0}}, .n = 1};
    cr_assert(near(light_at_point(&along, 7, -0.6, 1, s, n, -1), 0.3, 1e-12),
              "light along it meets its surface once");
    arena_free(arena);
}

/* ---- sides -------------------------------------------------------------------------------- */

/* A plot 6 m by 9 m with a fence, wall or hedge on one side. */
static struct plot fenced(struct edge *edge, int side, double height, double light)
{
    *edge = (struct edge){.side = {.v = side},
                          .kind = {.v = EDGE_FENCE},
                          .height_m = {.v = height},
                          .light = {.v = light}};
    return (struct plot){.size = {.x = 6, .y = 9}, .edges = {edge, 1, true, {0}}};
}

static double fenced_light(const struct plot *plot, const struct sky *sky, struct rect r)
{
    struct shader *s;
    int n;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    CALL(light_obstacles(plot, arena, &s, &n));
    double light = light_on_rect(sky, r, 0.3, s, n, -1);
    arena_free(arena);
    return light;
}

/* The shadow of a wall, on paper: with the sun due south at 45 degrees a wall 2 m high on the south
 * side shades the ground 2 m behind it, seen from 0.5 m up 1.5 m. */
Test(light, shadow_of_a_side)
{
    struct sky noon = {.rays = {{0, -sqrt(0.5), sqrt(0.5), 1, 0}}, .n = 1};
    struct edge edge;
    struct plot plot = fenced(&edge, 1, 2, 0);
    struct shader *s;
    int n;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    CALL(light_obstacles(&plot, arena, &s, &n));
    cr_assert(n == 1 && s[0].form == SHADER_SHEET, "a sheet");
    cr_assert(light_at_point(&noon, 3, 1.99, 0, s, n, -1) == 0, "in the shadow");
    cr_assert(light_at_point(&noon, 3, 2.01, 0, s, n, -1) == 1, "beyond it");
    cr_assert(light_at_point(&noon, 3, 1.49, 0.5, s, n, -1) == 0, "half a metre up");
    cr_assert(light_at_point(&noon, 3, 1.51, 0.5, s, n, -1) == 1, "half a metre up, beyond");
    cr_assert(light_at_point(&noon, -0.1, 1, 0, s, n, -1) == 1, "past its end");
    cr_assert(light_at_point(&noon, 3, -1, 0, s, n, -1) == 1, "before it");
    edge.light.v = 0.35;
    CALL(light_obstacles(&plot, arena, &s, &n));
    cr_assert(near(light_at_point(&noon, 3, 1, 0, s, n, -1), 0.35, 1e-12), "its given share");
    edge.height_m.v = 0;
    CALL(light_obstacles(&plot, arena, &s, &n));
    cr_assert(n == 0, "without a height it shades nothing");
    arena_free(arena);
}

/* A side stands for the shed or wall behind it: as dark as a solid box whose face is on the side.
 */
Test(light, side_and_box)
{
    struct edge edge;
    struct sky sky = summer(0.4);
    struct shader wall = box(0, -1, 6, 0, 2, HUGE_VAL);
    struct plot plot = fenced(&edge, 1, 2, 0);
    struct rect bed = {1, 0.5, 5, 3};
    cr_assert(
        near(fenced_light(&plot, &sky, bed), light_on_rect(&sky, bed, 0.3, &wall, 1, -1), 1e-12),
        "the same");
}

/* Mirrored from left to right the light is mirrored: with the plot's y to the north a fence on the
 * right shades the right as one on the left the left. */
Test(light, sides_mirrored)
{
    struct edge right, left;
    struct sky sky = summer(0);
    struct plot a = fenced(&right, 2, 2.5, 0), b = fenced(&left, 4, 2.5, 0);
    for (int i = 0; i < 3; i++) {
        struct rect at = {3 + i, 2, 4 + i, 7}, mirrored = {2 - i, 2, 3 - i, 7};
        double x = fenced_light(&a, &sky, at), y = fenced_light(&b, &sky, mirrored);
        cr_assert(near(x, y, 1e-9) && x < 1, "strip %d: %g and %g", i, x, y);
    }
}

/* North and south: half a year on, with north and south exchanged, the light is the same but for
 * FAO-56's day count, whose half years are 182 and 183 days. */
Test(light, hemispheres_mirrored)
{
    struct edge low, high;
    struct sky north, south;
    struct plot a = fenced(&low, 1, 2.5, 0), b = fenced(&high, 3, 2.5, 0);
    light_sky(42 * DEG, 0, 129, 279, 0.4, &north);
    light_sky(-42 * DEG, 0, 129 + 182, 279 + 182, 0.4, &south);
    for (int i = 0; i < 4; i++) {
        struct rect at = {1, 2.0 * i, 5, 2.0 * i + 1}, mirrored = {1, 8 - 2.0 * i, 5, 9 - 2.0 * i};
        double x = fenced_light(&a, &north, at), y = fenced_light(&b, &south, mirrored);
        cr_assert(near(x, y, 0.005), "strip %d: %g and %g", i, x, y);
    }
}

/* A strawberry trial beside a hedge (Mead 1988, agridat mead.strawberry): the plots next to it bore
 * 42 % of the open ones, the two after that 82 %. How high the hedge stood and how wide the plots
 * were was not read; hedges of 1.5 to 3 m and plots 1 to 2 m wide are tried. A hedge takes water
 * and roots, too, so the light must fall as the yields do, by no more than they. */
Test(light, strawberries_beside_a_hedge)
{
    for (int i = 0; i < 3; i++)
        for (int wide = 1; wide <= 2; wide++) {
            struct edge edge;
            struct plot plot = fenced(&edge, 2, 1.5 + 0.75 * i, 0.1);
            struct sky sky = summer(0);
            double x = 6, first, next, open;
            plot.size.y = 30;
            first = fenced_light(&plot, &sky, (struct rect){x - wide, 10, x, 20});
            next = fenced_light(&plot, &sky, (struct rect){x - 3 * wide, 10, x - wide, 20});
            open = fenced_light(&plot, &sky, (struct rect){x - 12, 10, x - 3 * wide, 20});
            cr_assert(first > 0.42 && first < 0.82, "hedge %d, plot %d m: %g", i, wide, first);
            cr_assert(next > first && next < open && next > 0.70, "hedge %d, plot %d m: %g", i,
                      wide, next);
            cr_assert(open > 0.9, "hedge %d, plot %d m: %g", i, wide, open);
        }
}

/* ---- growth ------------------------------------------------------------------------------- */

/* Crop stages of FAO-56, table 11 (from memory): grain maize of 150 days sown in April (Spain): 30
 * to a tenth of the canopy, 40 more to the full one. Dry bean of 110 days: 20 and 30. */
Test(light, canopies_grow)
{
    struct growth corn = {100, 250}, bean = {300, 410}, none = {0, 0};
    cr_assert(near(light_growth(corn, 100), 0, 1e-12), "sown");
    cr_assert(near(light_growth(corn, 130), 0.1, 1e-9), "end of the first stage");
    cr_assert(near(light_growth(corn, 170), 1, 0.05), "full grown");
    cr_assert(near(light_growth(corn, 150), 0.5, 0.11), "half way between");
    cr_assert(light_growth(corn, 249) == 1 && light_growth(corn, 251) == 0, "harvested");
    cr_assert(light_growth(corn, 99) == 0, "not sown");
    cr_assert(near(light_growth(bean, 370), 1, 0.05), "a summer over the year's end");
    cr_assert(light_growth(bean, 350 - 365) == 0, "the fall before is another season");
    cr_assert(light_growth(none, 10) == 0, "a canopy of no days");
    for (int day = 100; day < 250; day++)
        cr_assert(light_growth(corn, day + 1) >= light_growth(corn, day) || day == 250, "day %d",
                  day);
}

/* A canopy that is still low, or gone, takes less than one that stands all season; one of another
 * season takes nothing. */
Test(light, grown_canopy_shades)
{
    struct sky sky = summer(0);
    struct shader corn = box(0, 0, 6, 3, 2.5, 1);
    struct rect behind = {1, 3.2, 5, 4.5};
    double always = light_on_rect(&sky, behind, 0.3, &corn, 1, -1);
    light_missing(&sky, (struct growth){129, 279}, corn.missing);
    double grows = light_on_rect(&sky, behind, 0.3, &corn, 1, -1);
    light_missing(&sky, (struct growth){129, 200}, corn.missing);
    double early = light_on_rect(&sky, behind, 0.3, &corn, 1, -1);
    light_missing(&sky, (struct growth){290, 350}, corn.missing);
    double other = light_on_rect(&sky, behind, 0.3, &corn, 1, -1);
    cr_assert(always < grows && grows < early && early < other, "%g %g %g %g", always, grows, early,
              other);
    cr_assert(other == 1, "another season");
}

/* What receives the light grows, too: of two alike none shades the other. */
Test(light, alike_shade_nothing)
{
    struct sky sky = summer(0);
    struct growth growth = {129, 279};
    struct shader corn = box(0, 0, 6, 3, 2.5, 1);
    light_missing(&sky, growth, corn.missing);
    light_missing(&sky, growth, sky.missing);
    cr_assert(light_on_rect(&sky, (struct rect){0, 3, 6, 6}, 2.5, &corn, 1, -1) == 1, "alike");
    cr_assert(light_on_rect(&sky, (struct rect){0, 3, 6, 6}, 1, &corn, 1, -1) < 1, "lower");
}
