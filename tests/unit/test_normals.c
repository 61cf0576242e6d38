/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "normals_peoria.h"

static const int month_days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

/* The days of a month have the mean that was given. */
Test(normals, days_keep_the_means_of_their_months)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals n = peoria_normals(0, 0);
    const struct daily *d = normals_daily(&n, arena);
    for (int k = 0, i = 0; k < NORMALS_MONTHS; k++) {
        double max = 0, min = 0;
        for (int day = 0; day < month_days[k]; day++, i++) {
            max += d->max_c[i] / month_days[k];
            min += d->min_c[i] / month_days[k];
        }
        cr_expect(near(max, n.max.c[k].v, 0.01), "%s: %.3f, not %.3f", month_names[k], max,
                  n.max.c[k].v);
        cr_expect(near(min, n.min.c[k].v, 0.01), "%s: %.3f, not %.3f", month_names[k], min,
                  n.min.c[k].v);
    }
    arena_free(arena);
}

/* The daily normals of the same place and years, in whole F, by the National Weather Service
 * (weather.gov/ilx, Peoria normals, January to March). */
Test(normals, days_are_those_of_peoria)
{
    static const struct {
        int day;
        double max_f, min_f;
    } rows[] = {{1, 33, 18},  {8, 33, 17},  {15, 33, 17}, {22, 33, 17}, {31, 34, 18},
                {36, 35, 19}, {44, 37, 21}, {51, 39, 23}, {57, 42, 25}};
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals n = peoria_normals(0, 0);
    const struct daily *d = normals_daily(&n, arena);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double max = d->max_c[daily_at(rows[i].day)] * 1.8 + 32;
        double min = d->min_c[daily_at(rows[i].day)] * 1.8 + 32;
        cr_expect(near(max, rows[i].max_f, 1), "day %d: %.1f F", rows[i].day, max);
        cr_expect(near(min, rows[i].min_f, 1), "day %d: %.1f F", rows[i].day, min);
    }
    arena_free(arena);
}

Test(normals, days_wrap_round_the_year)
{
    cr_assert(daily_at(1) == 0 && daily_at(365) == 364 && daily_at(366) == 0);
    cr_assert(daily_at(0) == 364 && daily_at(-364) == 0 && daily_at(-365) == 364);
}

static struct normals steady(double c)
{
    struct normals n = {.at = {0}};
    for (int k = 0; k < NORMALS_MONTHS; k++) {
        n.max.c[k] = (struct qty){.v = c + 5, .set = true};
        n.min.c[k] = (struct qty){.v = c - 5, .set = true};
    }
    return n;
}

/* By hand, from the equations of Kaetterer and Andren 2009: bare ground settles at 0.95 + 0.05
 * exp(1.2) = 1.116 times air that is always the same, below freezing at a fifth of it. */
Test(normals, bare_soil_under_steady_air)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals warm = steady(10), cold = steady(-10);
    const struct daily *w = normals_daily(&warm, arena), *c = normals_daily(&cold, arena);
    for (int i = 0; i < NORMALS_DAYS; i += 91) {
        cr_assert(near(w->max_c[i], 15, 1e-9) && near(w->min_c[i], 5, 1e-9), "day %d", i);
        cr_assert(near(w->soil_c[i], 11.16, 0.005), "day %d: %.3f", i, w->soil_c[i]);
        cr_assert(near(c->soil_c[i], -2, 1e-6), "day %d: %.3f", i, c->soil_c[i]);
    }
    arena_free(arena);
}

/* Taking on 0.2204 of the difference a day, soil lags (1 - 0.2204) / 0.2204 = 3.5 days and one for
 * the step behind a slow rise, less than a week. */
Test(normals, soil_lags_behind_the_surface)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals n = peoria_normals(0, 0);
    const struct daily *d = normals_daily(&n, arena);
    for (int day = 110; day < 150; day += 5) {
        double air =
            daily_mean_c(d, day - 4) + (daily_mean_c(d, day - 5) - daily_mean_c(d, day - 4)) / 2;
        cr_expect(near(d->soil_c[daily_at(day)], 1.116 * air, 0.1), "day %d: %.2f, %.2f", day,
                  d->soil_c[daily_at(day)], 1.116 * air);
    }
    arena_free(arena);
}

/* Long-term averages of all Illinois, 4 in deep, by the departures that the State Water Survey gave
 * out: March 15, 2016, 56.7 F under bare soil, 16 above it; April 1 to 15, 2017, 54.9 F under
 * sod, 4.4 above it; May 15, 2017, 67.5 F under sod, 5 above it. Peoria lies in the middle of the
 * state. */
Test(normals, soil_of_illinois)
{
    static const struct {
        int from, to;
        double f;
    } rows[] = {{74, 74, 56.7 - 16}, {91, 105, 54.9 - 4.4}, {135, 135, 67.5 - 5}};
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals n = peoria_normals(0, 0);
    const struct daily *d = normals_daily(&n, arena);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double c = 0;
        for (int day = rows[i].from; day <= rows[i].to; day++)
            c += d->soil_c[daily_at(day)] / (rows[i].to - rows[i].from + 1);
        cr_expect(near(c * 1.8 + 32, rows[i].f, 2), "day %d: %.1f F, not %.1f", rows[i].from,
                  c * 1.8 + 32, rows[i].f);
    }
    arena_free(arena);
}

Test(normals, out_of_memory)
{
    struct arena *arena = arena_new(1024);
    struct normals n = steady(10);
    cr_assert(arena && !normals_daily(&n, arena));
    arena_free(arena);
}
