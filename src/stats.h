/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STATS_H
#define STATS_H
/* Random draws and quantiles (GSL only here). GSL's error handler, which aborts, is global: it is
 * turned off for the whole process the first time anything here needs it, and stays off. */
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "hillrow.h"

struct stats_rng;

/* Mersenne twister MT19937; the same seed gives the same draws on every machine. Only 32 bits reach
 * the generator: the halves of a larger seed are mixed. NULL: no memory. */
struct stats_rng *stats_rng_new(uint64_t seed);
void stats_rng_free(struct stats_rng *rng);  /* NULL is fine */
double stats_uniform(struct stats_rng *rng); /* (0, 1) */
/* Mean 0, sd 1. Uses up exactly one uniform, so that common random numbers stay in step. */
double stats_gaussian(struct stats_rng *rng);
double stats_normal_cdf(double z);
/* Quantile u of a figure known as low/typical/high: low and high are the 10 % and 90 % quantiles,
 * typical the median; a normal on each side of typical, each with its own spread, cut at floor.
 * u in (0, 1); outside it is moved just inside. */
double stats_split_quantile(double low, double typ, double high, double floor, double u);
/* Sorts v in place; quantile q of it by linear interpolation at (n-1)q (Hyndman and Fan's type 7).
 * No values: 0; q outside 0..1 is moved to its end. v must hold no NaN. */
double stats_quantile(double *v, size_t n, double q);
double stats_mean(const double *v, size_t n); /* no values: 0 */

/* Two-way analysis of variance without interaction of a randomised block trial. */
struct stats_anova {
    int df_block, df_treatment, df_error;
    double ss_block, ss_treatment, ss_error;
    double ms_error, f, p;
    double mean, cv; /* cv: sqrt(ms_error) / mean */
    double
        lsd; /* of two treatment means at level alpha: t(1 - alpha/2) sqrt(2 ms_error / blocks) */
};

/* y[t * blocks + b]: treatment t in block b. false: fewer than 2 of either, a value that is not
 * finite, or no error left to compare with. */
bool stats_anova_blocks(const double *y, int treatments, int blocks, double alpha,
                        struct stats_anova *out);

/* Of differences within pairs: Student's paired t, and the mean's confidence interval. */
struct stats_paired {
    int n, df;
    double mean, sd, se;
    double t, p;      /* p two-sided */
    double low, high; /* of the mean, at level 1 - alpha */
};

/* false: fewer than 2 differences, one that is not finite, or all alike: no error to compare with.
 */
bool stats_paired(const double *differences, int n, double alpha, struct stats_paired *out);

/* The paired blocks that a difference takes (as a share of the mean) when single plots vary by cv
 * about their block's level: the least n >= 2 with n >= 2 (cv/difference)^2 (t(1 - alpha/2, n - 1)
 * + t(power, n - 1))^2. 0: over STATS_BLOCKS_MAX, or a figure that makes no sense. */
#define STATS_BLOCKS_MAX 400
int stats_blocks_needed(double difference, double cv, double power, double alpha);
/* The other way round: the difference that so many paired blocks tell. HUGE_VAL: no test (n < 2).
 */
double stats_difference_told(int blocks, double cv, double power, double alpha);

#endif
