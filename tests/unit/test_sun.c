/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "sun.h"

#define DEG (M_PI / 180)

/* FAO Irrigation and Drainage Paper 56 (Allen and others 1998), Example 8: 3 September, 20 deg S,
 * Ra 32.2 MJ/m2/d; Example 9: the same day has 11.7 h (11.66559 in NCL's daylight_fao56 page). */
Test(sun, fao56_examples_8_and_9)
{
    cr_assert(near(sun_solar(246, 12, -20 * DEG).declination, 0.120, 0.0005), "declination");
    cr_assert(near(sun_extraterrestrial(246, -20 * DEG), 32.2, 0.05), "Ra %g",
              sun_extraterrestrial(246, -20 * DEG));
    cr_assert(near(sun_day_length(246, -20 * DEG), 11.66559, 5e-6), "N %.6f",
              sun_day_length(246, -20 * DEG));
}

/* FAO-56, Example 10: Rio de Janeiro, 22 deg 54 min S, May with 220 h of sunshine: Ra 25.1, N 10.9,
 * Rs 14.5; with more digits 25.111, 14.456 and clear sky 18.833 on NCL's radsol2_fao56 and
 * radsol_clrsky_fao56 pages. */
Test(sun, fao56_example_10)
{
    double latitude = -(22 + 54.0 / 60) * DEG;
    double ra = sun_extraterrestrial(135, latitude), n = sun_day_length(135, latitude);
    cr_assert(near(ra, 25.111, 0.0005), "Ra %g", ra);
    cr_assert(near(n, 10.9, 0.05), "N %g", n);
    cr_assert(near(sun_radiation(ra, 220.0 / 31, n), 14.456, 0.0005), "Rs");
    cr_assert(near(sun_radiation(ra, n, n), 18.833, 0.0005), "clear sky");
    cr_assert(near(sun_radiation(ra, 0, n), ra / 4, 1e-12), "overcast: a_s = 0.25");
}

/* Derived by hand from FAO-56 eq. 21-25 at three latitudes through the year. */
Test(sun, extraterrestrial_table)
{
    static const int day[7] = {15, 105, 172, 196, 246, 288, 349};
    static const double latitude[3] = {20, 30, 40};
    static const double ra[3][7] = {{26.78, 37.94, 39.52, 39.29, 36.94, 31.74, 25.62},
                                    {21.08, 36.84, 41.16, 40.53, 35.37, 27.49, 19.74},
                                    {15.01, 34.67, 41.87, 40.80, 32.76, 22.47, 13.58}};
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 7; k++)
            cr_assert(near(sun_extraterrestrial(day[k], latitude[i] * DEG), ra[i][k], 0.005),
                      "%g N on day %d: %g", latitude[i], day[k],
                      sun_extraterrestrial(day[k], latitude[i] * DEG));
}

/* Reda and Andreas 2004, NREL/TP-560-34302, the worked example: 2003-10-17 12:30:30 at UTC-7,
 * 39.742476 N, 105.1786 W: Julian day 2452930.312847, topocentric elevation without refraction
 * 39.872046, azimuth 194.340241 deg; geocentric declination -9.31434. */
Test(sun, nrel_spa_example)
{
    double jd = sun_julian_day(2003, 10, 17, 19 + 30.0 / 60 + 30.0 / 3600);
    struct sun_position sun = sun_at(jd, 39.742476 * DEG, -105.1786 * DEG);
    cr_assert(near(jd, 2452930.312847, 5e-7), "Julian day %.6f", jd);
    cr_assert(near(sun.elevation / DEG, 39.872046, 0.01), "elevation %.5f", sun.elevation / DEG);
    cr_assert(near(sun.azimuth / DEG, 194.340241, 0.01), "azimuth %.5f", sun.azimuth / DEG);
    cr_assert(near(sun.declination / DEG, -9.31434, 0.01), "declination %.5f",
              sun.declination / DEG);
}

/* UTC hour between lo and hi when the upper limb touches the horizon: 0.833 deg below it with
 * refraction, the definition of the almanacs. */
static double horizon_hour(int month, int day, double lo, double hi)
{
    bool rising =
        sun_at(sun_julian_day(2015, month, day, lo), 39 * DEG, -105 * DEG).elevation < -0.833 * DEG;
    for (int i = 0; i < 40; i++) {
        double middle = (lo + hi) / 2;
        struct sun_position sun =
            sun_at(sun_julian_day(2015, month, day, middle), 39 * DEG, -105 * DEG);
        if ((sun.elevation < -0.833 * DEG) == rising)
            lo = middle;
        else
            hi = middle;
    }
    return lo;
}

/* US Naval Observatory table for 39 N 105 W, Mountain Standard Time, 2015 (as in pvlib's tests). */
Test(sun, usno_sunrise_and_sunset)
{
    static const struct {
        int month, day;
        double rise, set;
    } row[4] = {{1, 2, 7 + 19.0 / 60, 16 + 49.0 / 60},
                {4, 2, 5 + 43.0 / 60, 18 + 24.0 / 60},
                {8, 2, 5 + 1.0 / 60, 19 + 10.0 / 60},
                {12, 2, 7 + 1.0 / 60, 16 + 38.0 / 60}};
    for (int i = 0; i < 4; i++) {
        double rise = horizon_hour(row[i].month, row[i].day, 9, 19) - 7;
        double set = horizon_hour(row[i].month, row[i].day, 19, 29) - 7;
        cr_assert(near(rise, row[i].rise, 1.0 / 60), "row %d rises at %g", i, rise);
        cr_assert(near(set, row[i].set, 1.0 / 60), "row %d sets at %g", i, set);
    }
}

/* Noon shadow of corn 2.5 m tall at 42 N: 0.84 m on 21 June and 2.09 m on 15 September (derived
 * from the declination of FAO-56 eq. 24). */
Test(sun, noon_shadow_of_corn)
{
    cr_assert(near(2.5 / tan(sun_solar(172, 12, 42 * DEG).elevation), 0.84, 0.005), "June");
    cr_assert(near(2.5 / tan(sun_solar(258, 12, 42 * DEG).elevation), 2.09, 0.005), "September");
}

Test(sun, compass)
{
    for (int day = 1; day <= 365; day += 7) {
        cr_assert(near(sun_solar(day, 12, 42 * DEG).azimuth, M_PI, 1e-9),
                  "north: noon in the south");
        double south = sun_solar(day, 12, -42 * DEG).azimuth;
        cr_assert(near(sin(south), 0, 1e-9) && cos(south) > 0, "south: noon in the north");
        struct sun_position am = sun_solar(day, 9, 42 * DEG), pm = sun_solar(day, 15, 42 * DEG);
        cr_assert(near(am.elevation, pm.elevation, 1e-12), "day %d", day);
        cr_assert(near(am.azimuth, 2 * M_PI - pm.azimuth, 1e-9), "day %d", day);
        cr_assert(am.azimuth < M_PI, "the morning sun stands in the east");
    }
    struct sun_position equinox = sun_solar(81, 6, 0);
    cr_assert(near(equinox.azimuth, M_PI / 2, 0.02), "it rises in the east");
}

/* Both ways of reckoning the sun agree within a degree and a quarter: FAO's declination is that
 * rough. */
Test(sun, short_forms_agree)
{
    static const int month[12] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334};
    for (int m = 0; m < 12; m++) {
        struct sun_position precise = sun_at(sun_julian_day(2027, m + 1, 15, 12), 0, 0);
        double plain = sun_solar(month[m] + 15, 12, 0).declination;
        cr_assert(near(precise.declination, plain, 1.25 * DEG), "month %d: %g and %g", m + 1,
                  precise.declination / DEG, plain / DEG);
    }
}

Test(sun, poles)
{
    cr_assert(sun_extraterrestrial(355, 80 * DEG) == 0, "polar night");
    cr_assert(sun_day_length(355, 80 * DEG) == 0, "polar night");
    cr_assert(near(sun_day_length(172, 80 * DEG), 24, 1e-12), "polar day");
    cr_assert(sun_extraterrestrial(172, 90 * DEG) > 40, "polar day at the pole");
    cr_assert(sun_radiation(0, 0, 0) == 0, "no day, no light");
    cr_assert(near(sun_extraterrestrial(400, 0.7), sun_extraterrestrial(35, 0.7), 1e-9),
              "days count on past the year's end");
}
