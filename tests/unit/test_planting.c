/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "planting.h"

/* Staggered hills of the given pitch with one part at every k-th hill. */
static struct planting hills(double pitch_m, int every)
{
    struct planting p = {.system = SYSTEM_HILLS,
                         .nparts = 1,
                         .pitch_m = pitch_m,
                         .first_m = pitch_m,
                         .line_m = pitch_m * sqrt(3) / 2,
                         .stagger_m = pitch_m / 2};
    p.parts[0].per_station = 4;
    p.parts[0].every = every;
    return p;
}

Test(planting, half_spacing_rule)
{
    struct planting p = hills(1.2192, 1); /* 4 ft */
    cr_assert(planting_stations(&p, 24 * 0.3048, 0) == 6, "six 4 ft hills on 24 ft");
    cr_assert(planting_stations(&p, 24 * 0.3048, 1) == 5, "five on the shifted line");
    cr_assert(planting_stations(&p, 1.0, 0) == 0, "none on a line shorter than the pitch");
    cr_assert(near(planting_station_at(&p, 0, 0), 0.6096, 1e-12), "half a pitch from the end");
    cr_assert(near(planting_station_at(&p, 1, 0), 1.2192, 1e-12), "shifted by half a pitch");
}

Test(planting, hills_are_a_pitch_apart)
{
    for (int i = 0; i < 50; i++) {
        double length = 1.5 + 0.37 * i;
        struct planting p = hills(0.9 + 0.013 * i, 1);
        double nearest = HUGE_VAL;
        for (int a = 0; a < planting_stations(&p, length, 0); a++)
            for (int b = 0; b < planting_stations(&p, length, 1); b++)
                nearest = fmin(
                    nearest,
                    hypot(planting_station_at(&p, 0, a) - planting_station_at(&p, 1, b), p.line_m));
        cr_assert(nearest >= p.pitch_m - 1e-9, "row %d: %g apart", i, nearest);
        int last = planting_stations(&p, length, 1) - 1;
        cr_assert(last < 0 || planting_station_at(&p, 1, last) <= length - p.pitch_m / 2 + 1e-9,
                  "row %d: last hill too near the end", i);
    }
}

Test(planting, plants_counted_as_they_stand)
{
    for (int every = 1; every <= 8; every++)
        for (int n = 0; n < 40; n++)
            for (int kind = 0; kind < 2; kind++) {
                struct planting p = hills(1, every);
                int plants = 0;
                for (int j = 0; j < n; j++)
                    plants += planting_stands_at(&p, 0, kind, j) ? 4 : 0;
                cr_assert(planting_plants(&p, 0, kind, n) == plants,
                          "every %d, %d stations, kind %d: %d", every, n, kind, plants);
            }
}

Test(planting, depth_of_lines)
{
    struct planting p = hills(1.2, 1);
    cr_assert(near(planting_depth(&p, 0), 0, 0), "no line takes no ground");
    cr_assert(near(planting_depth(&p, 1), 1.2, 1e-12), "the first a whole pitch");
    cr_assert(near(planting_depth(&p, 3), 1.2 * (1 + sqrt(3)), 1e-12), "then 0.866 of it");
    cr_assert(near(planting_line_at(&p, 0), 0.6, 1e-12), "the first line in its middle");
    /* 4 plants a hill on staggered 1.2 m hills: 4 / (1.2 x 1.0392) */
    cr_assert(near(planting_density(&p, 0), 4 / (1.2 * 1.2 * sqrt(3) / 2), 1e-12), "density");
}

/* Hours of a station of maize and pumpkin, so many of each, where weeding alone takes time: one
 * hour for a bare m2. */
static double weeding_h(int maize, int pumpkins, int every)
{
    struct planting p = hills(1, 1);
    const struct part_hours hours[2] = {{.weed_h_m2 = 1}, {.weed_h_m2 = 1}};
    struct crop crop = {0};
    p.nparts = pumpkins > 0 ? 2 : 1;
    p.parts[0].per_station = maize;
    p.parts[0].role = ROLE_SUPPORT;
    p.parts[1].per_station = pumpkins;
    p.parts[1].every = every;
    p.parts[1].role = ROLE_COVER;
    p.parts[0].crop = p.parts[1].crop = &crop;
    return planting_station_hours(&p, hours) / (p.pitch_m * p.line_m);
}

/* Mashingaidze A.B. 2004, PhD thesis Wageningen, chapter 2: pumpkins at 33 % of the maize density
 * lowered weed mass by 48 to 51 %; below 20 % there was no gain. */
Test(planting, pumpkins_keep_weeds_down_when_there_are_enough)
{
    double bare = weeding_h(3, 0, 1), third = weeding_h(3, 1, 1) / bare;
    cr_assert(near(bare, 1, 1e-12));
    cr_assert(third >= 1 - 0.51 && third <= 1 - 0.48, "a third of the maize: %g", third);
    cr_assert(near(weeding_h(3, 1, 2), bare, 1e-12), "a sixth of the maize does nothing");
    cr_assert(near(weeding_h(5, 1, 1), bare, 1e-9), "nor does a fifth");
    double fourth = weeding_h(4, 1, 1) / bare;
    cr_assert(fourth > third && fourth < 1, "a fourth lies between: %g", fourth);
    cr_assert(near(weeding_h(3, 3, 1) / bare, third, 1e-12), "more vines than that gain no more");
}
