/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "arrange.h"
#include "dice.h"
#include "elsewhere.h"
#include "menu_text.h"

static struct plot plot_at(double east, double north, double bearing)
{
    struct plot p = {0};
    p.garden_at = (struct point){.x = east, .y = north};
    p.bearing.v = bearing;
    return p;
}

/* The light of a place is the same, told in either plot's frame. */
Test(elsewhere, a_box_is_where_it_is)
{
    dice_state = 7;
    double darkest = 1;
    for (int k = 0; k < 200; k++) {
        struct plot here =
            plot_at(dice(-30, 30) / 10.0, dice(-30, 30) / 10.0, dice(0, 628) / 100.0);
        struct plot there =
            plot_at(dice(-30, 30) / 10.0, dice(-30, 30) / 10.0, dice(0, 628) / 100.0);
        struct shader box = {
            .r = {dice(-20, 0) / 10.0, dice(-20, 0) / 10.0, dice(1, 20) / 10.0, dice(1, 20) / 10.0},
            .height_m = 2.4,
            .extinction_per_m = 0.8,
            .surface_light = 1};
        struct shader turned = elsewhere_shader(&here, &there, box);
        struct point p = {.x = dice(-40, 40) / 10.0, .y = dice(-40, 40) / 10.0};
        struct point q = elsewhere_point(&there, &here, p),
                     back = elsewhere_point(&here, &there, q);
        struct sky sky, its_sky;
        light_sky(0.73, here.bearing.v, 120, 270, LIGHT_DIFFUSE_SHARE, &sky);
        light_sky(0.73, there.bearing.v, 120, 270, LIGHT_DIFFUSE_SHARE, &its_sky);
        double light = light_at_point(&sky, p.x, p.y, 0.3, &turned, 1, -1);
        double its_light = light_at_point(&its_sky, q.x, q.y, 0.3, &box, 1, -1);
        cr_assert(near(back.x, p.x, 1e-9) && near(back.y, p.y, 1e-9));
        cr_assert(near(light, its_light, 1e-9), "%g, not %g", light, its_light);
        darkest = fmin(darkest, light);
    }
    cr_assert(darkest < 0.6, "some places are dark: %g", darkest);
}

#define HEAD                                                                                       \
    "garden: A\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\n"
#define SEED "seed:\n  - {variety: C, crop: flint corn}\n  - {variety: D, crop: potato}\n"

/* A shed is told with one plot; the other, to the north of it and turned, loses as much light as
 * when the shed is told with that; told with both it is one. */
Test(elsewhere, a_shed_shades_both_plots)
{
    static const char *const sheds[][2] = {
        {"    obstacles: [{name: shed, place: [2 m, 4 m], radius: 1 m, height: 3 m}]\n", ""},
        {"", "    obstacles: [{name: shed, place: [5 m, 2 m], radius: 1 m, height: 3 m}]\n"},
        {"    obstacles: [{name: shed, place: [2 m, 4 m], radius: 1 m, height: 3 m}]\n",
         "    obstacles: [{name: shed, place: [5 m, 2 m], radius: 1 m, height: 3 m}]\n"},
        {"", ""}};
    double light[4];
    for (int k = 0; k < 4; k++) {
        char yaml[2048];
        snprintf(yaml, sizeof yaml,
                 HEAD "plots:\n  - name: S\n    size: 4 m x 2.5 m\n    at: [0 m, 0 m]\n"
                      "    rows: along-x\n%s  - name: N\n    size: 4 m x 3 m\n    at: [0 m, 9 m]\n"
                      "    bearing: 90 deg\n    rows: along-x\n%s" SEED,
                 sheds[k][0], sheds[k][1]);
        struct made m = made_of(yaml);
        light[k] = 0;
        for (size_t z = 0; z < m.zones.n; z++)
            if (m.zones.items[z].plot == 1)
                light[k] = m.zones.items[z].light;
        garden_text_free(&m.text);
    }
    cr_assert(light[3] == 1 && light[0] < 0.97, "%g without, %g with the shed", light[3], light[0]);
    cr_assert(near(light[0], light[1], 1e-6), "%g, told with the plot itself %g", light[0],
              light[1]);
    cr_assert(near(light[0], light[2], 1e-6), "%g, told twice %g", light[0], light[2]);
}

/* Corn at the north edge of the southern plot shades potatoes across a path only where both plots
 * have a place. */
Test(elsewhere, corn_shades_the_next_plot)
{
    static const char *const places[][2] = {{"", ""},
                                            {"    at: [0 m, 0 m]\n", "    at: [0 m, 1.9 m]\n"},
                                            {"    at: [0 m, 0 m]\n", "    at: [0 m, 30 m]\n"}};
    double light[3];
    for (int k = 0; k < 3; k++) {
        char yaml[2048];
        snprintf(yaml, sizeof yaml,
                 HEAD "plots:\n  - name: S\n    size: 5 m x 1.9 m\n    rows: along-x\n%s"
                      "  - name: N\n    size: 5 m x 1.2 m\n    rows: along-x\n%s" SEED,
                 places[k][0], places[k][1]);
        struct made m = made_of(yaml);
        struct choice_lines chosen[2] = {{-1, 2, 0}, {-1, 1, 0}};
        for (int i = 0; i < m.menu.nitems; i++) {
            const struct item *item = &m.menu.items[i];
            int seed = m.menu.plantings[item->planting].parts[0].seed_index;
            if (m.zones.items[item->zone].plot == seed && chosen[seed].item < 0)
                chosen[seed].item = i;
        }
        struct allocation a = {.chosen = chosen, .n = 2};
        struct arrangement r;
        CALL(arrange(m.text.garden, &m.zones, &m.menu, &a, m.text.arena, &r));
        light[k] = r.blocks[1].light[0];
        garden_text_free(&m.text);
    }
    cr_assert(light[0] == 1 && light[2] == 1, "%g without places, %g far off", light[0], light[2]);
    cr_assert(light[1] < 0.985 && light[1] > 0.6, "%g beside corn", light[1]);
}
