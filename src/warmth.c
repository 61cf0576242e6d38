/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "warmth.h"

#include <math.h>

#define SOON_D 60 /* a midwinter so near is the one before the season, not the one behind it */

double warmth_of_day(const struct crop *crop, double max_c, double min_c)
{
    double base = crop->base_c.typ, cap = crop->cap_c.set ? crop->cap_c.typ : HUGE_VAL;
    double high = fmin(max_c, cap), low = fmin(min_c, cap);
    if (crop->count_days.v == DEGREES_OF_EXTREMES) {
        high = fmax(high, base);
        low = fmax(low, base);
    }
    return fmax((high + low) / 2 - base, 0);
}

static double on_day(const struct daily *d, const struct crop *crop, int day, double shift_c)
{
    int i = daily_at(day);
    return warmth_of_day(crop, d->max_c[i] + shift_c, d->min_c[i] + shift_c);
}

double warmth_between(const struct daily *d, const struct crop *crop, int from, int to,
                      double shift_c)
{
    double sum = 0;
    for (int day = from; day < to; day++)
        sum += on_day(d, crop, day, shift_c);
    return sum;
}

/* The coldest day of the winter that ends a season begun on this day. */
static int midwinter_after(const struct daily *d, int day)
{
    int coldest = day + SOON_D;
    for (int k = coldest + 1; k < day + SOON_D + NORMALS_DAYS; k++)
        if (daily_mean_c(d, k) < daily_mean_c(d, coldest))
            coldest = k;
    return coldest;
}

int warmth_days(const struct daily *d, const struct crop *crop, int day, double sum, double shift_c,
                bool *ripe)
{
    int k = day, end = midwinter_after(d, day);
    double got = 0;
    while (k < end && got < sum)
        got += on_day(d, crop, k++, shift_c);
    *ripe = got >= sum;
    return k - day;
}

int warmth_last(const struct daily *d, const struct crop *crop, int first, int end, double sum)
{
    double got = 0;
    int day = end;
    while (day > first && got < sum)
        got += on_day(d, crop, --day, 0);
    return day;
}

int warmth_soil_day(const struct daily *d, double soil_c, int day)
{
    for (int k = day; k < day + NORMALS_DAYS; k++)
        if (d->soil_c[daily_at(k)] >= soil_c)
            return k;
    return -1;
}
