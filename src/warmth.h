/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef WARMTH_H
#define WARMTH_H
/* Growing degree days, and when the ground is warm. Days as in season.h. */
#include "garden.h"

/* One season in ten is warmer than normal by more than this, one colder (estimate: summers of
 * temperate places lie about 0.8 C about their mean). */
#define WARMTH_SPREAD_C 1.0

/* C days of a day with these extremes for the crop, whose degree days are set. What lies above its
 * cap does not count; below its base the two ways of counting differ (McMaster and Wilhelm 1997).
 */
double warmth_of_day(const struct crop *crop, double max_c, double min_c);
/* C days of the days from..to-1, all of them shift_c warmer than normal. */
double warmth_between(const struct daily *d, const struct crop *crop, int from, int to,
                      double shift_c);
/* Days from `day` on until so many C days are reached; where they are not before the middle of
 * winter, *ripe is false and the days are those until then. */
int warmth_days(const struct daily *d, const struct crop *crop, int day, double sum, double shift_c,
                bool *ripe);
/* The last day from which so many C days are reached before day `end`; not before `first`. */
int warmth_last(const struct daily *d, const struct crop *crop, int first, int end, double sum);
/* The first day from `day` on whose mean of the soil is at least that; -1: none in a year. */
int warmth_soil_day(const struct daily *d, double soil_c, int day);

#endif
