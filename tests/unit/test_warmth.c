/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "normals_peoria.h"
#include "warmth.h"

static struct range figure(double v)
{
    return (struct range){.low = v, .typ = v, .high = v, .set = true};
}

static struct crop counted(enum degree_counting how, double base, double cap)
{
    struct crop c = {.base_c = figure(base), .count_days = {.v = (int)how, .set = true}};
    if (cap > 0)
        c.cap_c = figure(cap);
    return c;
}

static double f_days(const struct crop *crop, double max_f, double min_f)
{
    return warmth_of_day(crop, (max_f - 32) / 1.8, (min_f - 32) / 1.8) * 1.8;
}

/* Corn, 86/50 method: three days worked out in the Waushara Argus ("Calculating growing degree
 * days": 90/65, 72/46, 63/42 F), 25.5 + 11 + 6.5 = 43; 48 to 90 F is 18 by the formula as seed
 * firms print it. */
Test(warmth, corn_from_fifty_to_eighty_six)
{
    struct crop corn = counted(DEGREES_OF_EXTREMES, 10, 30);
    cr_assert(near(f_days(&corn, 90, 65), 25.5, 1e-9));
    cr_assert(near(f_days(&corn, 72, 46), 11, 1e-9));
    cr_assert(near(f_days(&corn, 63, 42), 6.5, 1e-9));
    cr_assert(near(f_days(&corn, 90, 48), 18, 1e-9));
    cr_assert(near(f_days(&corn, 49, 30), 0, 1e-9) && near(f_days(&corn, 100, 90), 36, 1e-9));
}

/* The Western Regional Climate Center's example of its degree days: 95 and 51 F are ((95 + 51) / 2)
 * - 60 = 13 from a base of 60 F. Below the base the two ways part (McMaster and Wilhelm 1997): of
 * 20 and 4 C from 10 C the mean makes 2, the extremes (20 + 10) / 2 - 10 = 5. */
Test(warmth, two_ways_of_counting)
{
    struct crop mean = counted(DEGREES_OF_MEAN, (60 - 32) / 1.8, 0);
    cr_assert(near(f_days(&mean, 95, 51), 13, 1e-9));
    mean = counted(DEGREES_OF_MEAN, 10, 0);
    struct crop extremes = counted(DEGREES_OF_EXTREMES, 10, 0);
    cr_assert(near(warmth_of_day(&mean, 20, 4), 2, 1e-9));
    cr_assert(near(warmth_of_day(&extremes, 20, 4), 5, 1e-9));
    cr_assert(near(warmth_of_day(&mean, 12, 4), 0, 1e-9));
    cr_assert(near(warmth_of_day(&mean, 24, 12), 8, 1e-9) &&
              near(warmth_of_day(&extremes, 24, 12), 8, 1e-9));
}

/* Days of Peoria: the sum of a stretch, its first day reached and its last day to begin agree. */
Test(warmth, days_and_sums_agree)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals n = peoria_normals(0, 0);
    const struct daily *d = normals_daily(&n, arena);
    struct crop corn = counted(DEGREES_OF_EXTREMES, 10, 30);
    bool ripe;
    for (int sow = 100; sow < 200; sow += 20) {
        int days = warmth_days(d, &corn, sow, 900, 0, &ripe);
        cr_assert(ripe, "from day %d", sow);
        cr_assert(warmth_between(d, &corn, sow, sow + days, 0) >= 900);
        cr_assert(warmth_between(d, &corn, sow, sow + days - 1, 0) < 900);
        int last = warmth_last(d, &corn, 0, sow + days, 900);
        cr_assert(last >= sow && warmth_between(d, &corn, last, sow + days, 0) >= 900);
        cr_assert(warmth_between(d, &corn, last + 1, sow + days, 0) < 900);
        cr_assert(warmth_days(d, &corn, sow, 900, WARMTH_SPREAD_C, &ripe) < days);
        cr_assert(warmth_days(d, &corn, sow, 900, -WARMTH_SPREAD_C, &ripe) > days);
    }
    /* July: 85.6 and 65.5 F, (85.6 + 65.5) / 2 - 50 = 25.55 F days each, under the cap on most */
    double july = warmth_between(d, &corn, 182, 213, 0) * 1.8 / 31;
    cr_assert(near(july, 25.5, 0.25), "%.2f F days", july);
    arena_free(arena);
}

/* University of Illinois, Home, Yard and Garden newsletter: modified degree days (50 to 86 F) at
 * Peoria from March 1, average of 11 years, as printed in 2013, 2014 and 2023. Normals of 30 years
 * lack the warm days of a cold month and come within a twentieth of it. */
Test(warmth, sums_of_peoria)
{
    static const struct {
        int month, day; /* through that day */
        double f_days;
    } rows[] = {{4, 24, 183}, {5, 16, 409},  {5, 23, 494},
                {6, 4, 676},  {6, 19, 1019}, {7, 10, 1459}};
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals n = peoria_normals(0, 0);
    const struct daily *d = normals_daily(&n, arena);
    struct crop corn = counted(DEGREES_OF_EXTREMES, 10, 30);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int to = date_day((struct date){0, rows[i].month, rows[i].day}) + 1;
        double sum = 1.8 * warmth_between(d, &corn, date_day((struct date){0, 3, 1}), to, 0);
        cr_expect(near(sum / rows[i].f_days, 1, 0.06), "to %d/%d: %.0f F days, not %.0f",
                  rows[i].month, rows[i].day, sum, rows[i].f_days);
    }
    arena_free(arena);
}

/* What needs more than there is before winter goes no further than the coldest time, in January. */
Test(warmth, winter_ends_it)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals n = peoria_normals(0, 0);
    const struct daily *d = normals_daily(&n, arena);
    struct crop corn = counted(DEGREES_OF_EXTREMES, 10, 30);
    bool ripe = true;
    int end = 120 + warmth_days(d, &corn, 120, 3000, 0, &ripe);
    cr_assert(!ripe && end > 365 && end < 365 + 31, "day %d", end);
    end = -20 + warmth_days(d, &corn, -20, 100, 0, &ripe);
    cr_assert(ripe && end > 100 && end < 130, "sown in December it waits for May: day %d", end);
    arena_free(arena);
}

Test(warmth, soil_is_warm_in_spring_and_again_next_year)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct normals n = peoria_normals(0, 0);
    const struct daily *d = normals_daily(&n, arena);
    int day = warmth_soil_day(d, 15.6, 60);
    cr_assert(d->soil_c[daily_at(day)] >= 15.6 && d->soil_c[daily_at(day - 1)] < 15.6);
    cr_assert(warmth_soil_day(d, 15.6, day) == day && warmth_soil_day(d, 15.6, 200) == 200);
    cr_assert(warmth_soil_day(d, 15.6, 340) == day + 365);
    cr_assert(warmth_soil_day(d, 45, 60) == -1, "never");
    arena_free(arena);
}
