/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stats.h"

#include <math.h>
#include <threads.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "num.h"

/* Quantiles nearer to the ends than this would be infinite. */
#define U_LEAST 1e-12

/* The 90 % quantile of the standard normal: what low and high of a figure stand for. */
#define Z_90 1.2815515655446004

/* GSL's own generator type is the whole of it; ours only hides it from the headers. */
struct stats_rng {
    gsl_rng gsl;
};

static once_flag handler_once = ONCE_FLAG_INIT;

static void handler_off(void)
{
    gsl_set_error_handler_off();
}

struct stats_rng *stats_rng_new(uint64_t seed)
{
    call_once(&handler_once, handler_off);
    gsl_rng *gsl = gsl_rng_alloc(gsl_rng_mt19937);
    if (!gsl)
        return NULL;
    gsl_rng_set(gsl, (unsigned long)((seed ^ (seed >> 32)) & 0xffffffffu));
    return (struct stats_rng *)gsl;
}

void stats_rng_free(struct stats_rng *rng)
{
    if (rng)
        gsl_rng_free(&rng->gsl);
}

double stats_uniform(struct stats_rng *rng)
{
    return gsl_rng_uniform_pos(&rng->gsl);
}

double stats_gaussian(struct stats_rng *rng)
{
    return gsl_cdf_ugaussian_Pinv(stats_uniform(rng));
}

double stats_normal_cdf(double z)
{
    return gsl_cdf_ugaussian_P(z);
}

double stats_split_quantile(double low, double typ, double high, double floor, double u)
{
    double z = gsl_cdf_ugaussian_Pinv(num_clamp(u, U_LEAST, 1 - U_LEAST));
    double spread = z < 0 ? typ - low : high - typ;
    return fmax(typ + spread * (z / Z_90), floor);
}

double stats_quantile(double *v, size_t n, double q)
{
    if (n == 0)
        return 0;
    gsl_sort(v, 1, n);
    return gsl_stats_quantile_from_sorted_data(v, 1, n, num_clamp(q, 0, 1));
}

double stats_mean(const double *v, size_t n)
{
    return gsl_stats_mean(v, 1, n);
}

static double square(double v)
{
    return v * v;
}

bool stats_anova_blocks(const double *y, int treatments, int blocks, double alpha,
                        struct stats_anova *out)
{
    struct stats_anova a = {.df_block = blocks - 1, .df_treatment = treatments - 1};
    int n = treatments * blocks;
    if (treatments < 2 || blocks < 2)
        return false;
    a.df_error = a.df_block * a.df_treatment;
    for (int i = 0; i < n; i++)
        a.mean += y[i] / n;
    double total = 0;
    for (int i = 0; i < n; i++)
        total += square(y[i] - a.mean);
    for (int t = 0; t < treatments; t++) {
        double sum = 0;
        for (int b = 0; b < blocks; b++)
            sum += y[t * blocks + b];
        a.ss_treatment += blocks * square(sum / blocks - a.mean);
    }
    for (int b = 0; b < blocks; b++) {
        double sum = 0;
        for (int t = 0; t < treatments; t++)
            sum += y[t * blocks + b];
        a.ss_block += treatments * square(sum / treatments - a.mean);
    }
    a.ss_error = total - a.ss_block - a.ss_treatment;
    a.ms_error = a.ss_error / a.df_error;
    if (!isfinite(total) || !(a.ms_error > 0))
        return false;
    a.f = a.ss_treatment / a.df_treatment / a.ms_error;
    a.p = gsl_cdf_fdist_Q(a.f, a.df_treatment, a.df_error);
    a.cv = sqrt(a.ms_error) / a.mean;
    a.lsd = gsl_cdf_tdist_Qinv(alpha / 2, a.df_error) * sqrt(2 * a.ms_error / blocks);
    *out = a;
    return true;
}

bool stats_paired(const double *differences, int n, double alpha, struct stats_paired *out)
{
    struct stats_paired r = {.n = n, .df = n - 1};
    double squares = 0;
    if (n < 2)
        return false;
    for (int i = 0; i < n; i++)
        r.mean += differences[i] / n;
    for (int i = 0; i < n; i++)
        squares += square(differences[i] - r.mean);
    r.sd = sqrt(squares / r.df);
    r.se = r.sd / sqrt(n);
    if (!isfinite(r.mean) || !isfinite(r.se) || !(r.se > 0))
        return false;
    r.t = r.mean / r.se;
    r.p = 2 * gsl_cdf_tdist_Q(fabs(r.t), r.df);
    double reach = r.se * gsl_cdf_tdist_Qinv(alpha / 2, r.df);
    r.low = r.mean - reach;
    r.high = r.mean + reach;
    *out = r;
    return true;
}

double stats_difference_told(int blocks, double cv, double power, double alpha)
{
    if (blocks < 2)
        return HUGE_VAL;
    double df = blocks - 1;
    double t = gsl_cdf_tdist_Qinv(alpha / 2, df) + gsl_cdf_tdist_Pinv(power, df);
    return cv * t * sqrt(2.0 / blocks);
}

int stats_blocks_needed(double difference, double cv, double power, double alpha)
{
    if (!(difference > 0) || !(cv > 0) || !(power > 0 && power < 1) || !(alpha > 0 && alpha < 1))
        return 0;
    for (int n = 2; n <= STATS_BLOCKS_MAX; n++)
        if (stats_difference_told(n, cv, power, alpha) <= difference)
            return n;
    return 0;
}
