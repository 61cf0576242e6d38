/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"
#include "stats.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

/* ---- draws --------------------------------------------------------------------------------- */

/* ISO C++ standard, [rand.predef]: the 10000th value of MT19937 seeded with 5489 is 4123659995. */
Test(stats, generator_is_the_mersenne_twister)
{
    struct stats_rng *rng = stats_rng_new(5489);
    cr_assert(rng != NULL);
    double u = 0;
    for (int i = 0; i < 10000; i++)
        u = stats_uniform(rng);
    cr_assert(u * 4294967296.0 == 4123659995.0, "%.1f", u * 4294967296.0);
    stats_rng_free(rng);
    stats_rng_free(NULL);
}

Test(stats, a_seed_gives_its_draws_again)
{
    static const uint64_t seeds[] = {0, 1, 20270501, 0x100000000u, UINT64_MAX};
    for (size_t i = 0; i < COUNT(seeds); i++)
        for (size_t j = 0; j < COUNT(seeds); j++) {
            struct stats_rng *a = stats_rng_new(seeds[i]), *b = stats_rng_new(seeds[j]);
            int same = 0;
            for (int k = 0; k < 100; k++)
                same += stats_gaussian(a) == stats_gaussian(b);
            /* 2^32 and 1 mix to the same 32 bits; 2^64 - 1 and 0 do as well. */
            bool alike = i == j || (i == 1 && j == 3) || (i == 3 && j == 1) || (i == 0 && j == 4) ||
                         (i == 4 && j == 0);
            cr_assert(same == (alike ? 100 : 0), "seeds %zu and %zu: %d alike", i, j, same);
            stats_rng_free(a);
            stats_rng_free(b);
        }
}

Test(stats, uniforms_are_inside_and_even)
{
    enum { DRAWS = 100000, BINS = 20 };
    int bins[BINS] = {0};
    struct stats_rng *rng = stats_rng_new(3);
    for (int i = 0; i < DRAWS; i++) {
        double u = stats_uniform(rng);
        cr_assert(u > 0 && u < 1, "%g", u);
        bins[(int)(u * BINS)]++;
    }
    double chi2 = 0;
    for (int b = 0; b < BINS; b++)
        chi2 += pow(bins[b] - DRAWS / BINS, 2) / (DRAWS / BINS);
    cr_assert(chi2 < 43.82, "chi squared %.2f, 0.1 %% point of 19 degrees is 43.82", chi2);
    stats_rng_free(rng);
}

Test(stats, gaussians_have_their_moments)
{
    enum { DRAWS = 100000 };
    static double z[DRAWS], squares[DRAWS];
    struct stats_rng *rng = stats_rng_new(4);
    for (int i = 0; i < DRAWS; i++) {
        z[i] = stats_gaussian(rng);
        squares[i] = z[i] * z[i];
    }
    stats_rng_free(rng);
    cr_assert(near(stats_mean(z, DRAWS), 0, 4 / sqrt(DRAWS)));
    cr_assert(near(stats_mean(squares, DRAWS), 1, 4 * sqrt(2.0 / DRAWS)));
    cr_assert(near(stats_quantile(z, DRAWS, 0.975), 1.96, 0.05));
}

Test(stats, a_gaussian_takes_one_uniform)
{
    struct stats_rng *a = stats_rng_new(5), *b = stats_rng_new(5);
    for (int i = 0; i < 1000; i++) {
        double u = stats_uniform(a), z = stats_gaussian(b);
        cr_assert(near(stats_normal_cdf(z), u, 1e-12), "draw %d", i);
    }
    stats_rng_free(a);
    stats_rng_free(b);
}

/* Abramowitz and Stegun 1964, Table 26.1. */
Test(stats, normal_distribution_is_the_tabled_one)
{
    static const struct {
        double z, p;
    } rows[] = {{0, 0.5},
                {0.5, 0.691462461274013},
                {1, 0.841344746068543},
                {1.96, 0.975002104851780},
                {2, 0.977249868051821},
                {3, 0.998650101968370}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        cr_assert(near(stats_normal_cdf(rows[i].z), rows[i].p, 1e-14), "z %.2f", rows[i].z);
        cr_assert(near(stats_normal_cdf(-rows[i].z), 1 - rows[i].p, 1e-14), "z %.2f", -rows[i].z);
    }
}

/* ---- quantiles ----------------------------------------------------------------------------- */

/* Hyndman and Fan 1996, American Statistician 50:361-365, definition 7: position (n-1)q from the
 * smallest, a straight line between neighbours. Worked by hand. */
Test(stats, quantiles_are_of_type_7)
{
    static const struct {
        double q, expected;
    } rows[] = {{0, 10},    {0.1, 14}, {0.25, 20},  {0.5, 40}, {0.6, 56},
                {0.75, 80}, {0.9, 92}, {0.975, 98}, {1, 100}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        double v[] = {80, 10, 100, 20, 40};
        double got = stats_quantile(v, COUNT(v), rows[i].q);
        cr_assert(near(got, rows[i].expected, 1e-12), "q %.3f: %.6f", rows[i].q, got);
        for (size_t k = 1; k < COUNT(v); k++)
            cr_assert(v[k - 1] < v[k], "left unsorted at %zu", k);
    }
    double four[] = {1, 2, 3, 4}; /* quartiles of 1..4 are 1.75 and 3.25 */
    cr_assert(near(stats_quantile(four, 4, 0.25), 1.75, 1e-12));
    cr_assert(near(stats_quantile(four, 4, 0.75), 3.25, 1e-12));
}

Test(stats, quantiles_and_means_of_little)
{
    double one[] = {7}, same[] = {3, 3, 3};
    cr_assert(stats_quantile(NULL, 0, 0.5) == 0 && stats_mean(NULL, 0) == 0);
    for (double q = -1; q <= 2; q += 0.25) {
        cr_assert(stats_quantile(one, 1, q) == 7, "q %.2f", q);
        cr_assert(stats_quantile(same, 3, q) == 3, "q %.2f", q);
    }
    double v[] = {1, 2, 6};
    cr_assert(near(stats_mean(v, 3), 3, 1e-15));
    cr_assert(stats_quantile(v, 3, -0.5) == 1 && stats_quantile(v, 3, 1.5) == 6);
}

static const struct figure {
    double low, typ, high;
} figures[] = {{0.2, 0.35, 0.5}, {0, 0.12, 0.3}, {0.08, 0.124, 0.2}, {2, 6, 10},
               {1, 1, 3},        {-5, -1, -1},   {0.81, 0.85, 0.89}, {-28, 0, 60}};

Test(stats, split_quantile_meets_low_typical_high)
{
    for (size_t i = 0; i < COUNT(figures); i++) {
        const struct figure *f = &figures[i];
        double eps = 1e-12 * (f->high - f->low);
        cr_assert(near(stats_split_quantile(f->low, f->typ, f->high, -1e9, 0.1), f->low, eps));
        cr_assert(near(stats_split_quantile(f->low, f->typ, f->high, -1e9, 0.5), f->typ, eps));
        cr_assert(near(stats_split_quantile(f->low, f->typ, f->high, -1e9, 0.9), f->high, eps));
    }
}

/* One normal when both sides are alike: 0.35 + 0.15 z / z(0.9). */
Test(stats, split_quantile_of_an_even_range_is_normal)
{
    double sd = 0.15 / 1.2815515655446004;
    for (double z = -3; z <= 3; z += 0.5) {
        double v = stats_split_quantile(0.2, 0.35, 0.5, -1e9, stats_normal_cdf(z));
        cr_assert(near(v, 0.35 + sd * z, 1e-9), "z %.1f: %.9f", z, v);
    }
}

Test(stats, split_quantile_rises_and_stops_at_the_floor)
{
    for (size_t i = 0; i < COUNT(figures); i++) {
        const struct figure *f = &figures[i];
        double floor = f->low + 0.1 * (f->typ - f->low), last = -HUGE_VAL;
        for (double u = 0.001; u < 1; u += 0.001) {
            double v = stats_split_quantile(f->low, f->typ, f->high, floor, u);
            cr_assert(v >= last && v >= floor, "figure %zu at %.3f: %g", i, u, v);
            last = v;
        }
        cr_assert(stats_split_quantile(f->low, f->typ, f->high, floor, 0.05) == floor);
        cr_assert(last >= f->high - 1e-12, "figure %zu ends at %g", i, last);
    }
}

Test(stats, split_quantile_of_a_certain_figure_is_that)
{
    static const double us[] = {-1, 0, 1e-300, 0.1, 0.3, 0.5, 0.9, 1, 2};
    for (size_t i = 0; i < COUNT(us); i++) {
        cr_assert(stats_split_quantile(0.86, 0.86, 0.86, 0, us[i]) == 0.86, "u %g", us[i]);
        double v = stats_split_quantile(1, 2, 4, 0, us[i]);
        cr_assert(isfinite(v) && v >= 0, "u %g: %g", us[i], v);
    }
}

/* Rice at six seed rates (kg/ha) in four replications: Gomez K.A. & Gomez A.A. 1984, Statistical
 * Procedures for Agricultural Research, 2nd ed., p. 26 (agridat gomez.seedrate). */
Test(stats, anova_of_gomez_and_gomez)
{
    static const double y[] = {5113, 5398, 5307, 4678, 5346, 5952, 4719, 4264,
                               5272, 5713, 5483, 4749, 5164, 4831, 4986, 4410,
                               4804, 4848, 4432, 4748, 5254, 4542, 4919, 4098};
    struct stats_anova a;
    cr_assert(stats_anova_blocks(y, 6, 4, 0.05, &a), "a trial with an answer");
    cr_assert(near(a.ss_block, 1944360.833, 1e-3), "replications %f", a.ss_block);
    cr_assert(near(a.ss_treatment, 1198330.833, 1e-3), "treatments %f", a.ss_treatment);
    cr_assert(near(a.ss_error, 1658376.167, 1e-3), "error %f", a.ss_error);
    cr_assert(a.df_error == 15 && near(a.f, 2.167779, 1e-6) && near(a.p, 0.112809, 1e-6),
              "F %f, p %f", a.f, a.p);
    cr_assert(near(100 * a.cv, 6.70426, 1e-5) && near(a.lsd, 501.136, 1e-3), "cv %f, lsd %f", a.cv,
              a.lsd);
}

/* LER of sorghum and cowpea in four row proportions: Petersen R.G. 1994, Agricultural Field
 * Experiments, p. 372 (agridat petersen.sorghum.cowpea); sole yields 3585 and 1740 kg/ha. */
Test(stats, anova_of_petersens_ler)
{
    static const double sorghum[] = {956,  1498, 1073, 1622, 2144, 2370, 2261, 2466,
                                     2635, 3286, 2695, 3252, 3255, 3458, 3318, 3508};
    static const double cowpea[] = {1444, 1357, 1444, 1357, 1114, 1601, 1462, 1514,
                                    818,  835,  957,  940,  296,  400,  400,  331};
    double ler[COUNT(sorghum)];
    for (size_t i = 0; i < COUNT(sorghum); i++)
        ler[i] = sorghum[i] / 3585 + cowpea[i] / 1740;
    struct stats_anova a;
    cr_assert(stats_anova_blocks(ler, 4, 4, 0.05, &a), "a trial with an answer");
    cr_assert(near(a.ss_block, 0.100047, 1e-6) && near(a.ss_treatment, 0.268221, 1e-6) &&
                  near(a.ss_error, 0.0269494, 1e-7),
              "%f %f %f", a.ss_block, a.ss_treatment, a.ss_error);
    cr_assert(near(a.f, 29.8582, 1e-4) && near(a.p, 5.22e-5, 1e-7), "F %f, p %g", a.f, a.p);
    cr_assert(near(100 * a.cv, 4.28, 5e-3) && near(a.lsd, 0.087531, 1e-6), "lsd %f", a.lsd);
}

Test(stats, anova_refuses_what_has_no_answer)
{
    static const double same[] = {1, 1, 1, 1};
    double bad[] = {1, 2, (double)NAN, 3};
    struct stats_anova a;
    cr_assert(!stats_anova_blocks(same, 2, 2, 0.05, &a), "no error to compare with");
    cr_assert(!stats_anova_blocks(bad, 2, 2, 0.05, &a), "not a number");
    cr_assert(!stats_anova_blocks(same, 1, 4, 0.05, &a), "one treatment");
}

/* Zea mays, crossed less self-fertilised, heights in inches: Darwin 1876, in Fisher R.A. 1935, The
 * Design of Experiments, p. 30 (agridat darwin.maize; its help prints t = 2.148, df = 14, p-value =
 * 0.0497 and the interval 0.003899165 to 5.229434169). */
Test(stats, paired_t_of_darwins_maize)
{
    static const double cross[] = {23.5,  12,     21,    22, 19.125, 21.5, 22.125, 20.375,
                                   18.25, 21.625, 23.25, 21, 22.125, 23,   12};
    static const double self[] = {17.375, 20.375, 20,    20, 18.375, 18.625, 18.625, 15.25,
                                  16.5,   18,     16.25, 18, 12.75,  15.5,   18};
    double d[COUNT(cross)];
    for (size_t i = 0; i < COUNT(cross); i++)
        d[i] = cross[i] - self[i];
    struct stats_paired r;
    cr_assert(stats_paired(d, (int)COUNT(d), 0.05, &r), "pairs with an answer");
    cr_assert(r.n == 15 && r.df == 14 && near(r.mean, 2.6166667, 1e-7) &&
                  near(r.sd, 4.7180473, 1e-7),
              "mean %f, sd %f", r.mean, r.sd);
    cr_assert(near(r.t, 2.148, 5e-4) && near(r.p, 0.0497, 5e-5), "t %f, p %f", r.t, r.p);
    cr_assert(near(r.low, 0.003899165, 1e-9) && near(r.high, 5.229434169, 1e-9), "%.9f to %.9f",
              r.low, r.high);
}

Test(stats, paired_t_refuses_what_has_no_answer)
{
    static const double one[] = {1}, same[] = {2, 2, 2}, odd[] = {1, HUGE_VAL};
    struct stats_paired r = {.n = 7};
    cr_assert(!stats_paired(one, 1, 0.05, &r), "one pair");
    cr_assert(!stats_paired(same, 3, 0.05, &r), "all alike");
    cr_assert(!stats_paired(odd, 2, 0.05, &r) && r.n == 7, "not finite");
}

/* Worked out independently of this code from the formula of the header, alpha 0.05 on both sides,
 * power 0.80: a table of the reference figures, made with another program. */
Test(stats, blocks_that_a_difference_takes)
{
    static const double differences[] = {0.05, 0.10, 0.15, 0.20, 0.30, 0.40};
    static const struct {
        double cv;
        int n[6];
    } rows[] = {
        {0.06, {25, 8, 5, 4, 3, 3}},       {0.08, {43, 13, 7, 5, 4, 3}},
        {0.10, {65, 18, 10, 7, 4, 4}},     {0.12, {93, 25, 13, 8, 5, 4}},
        {0.15, {144, 38, 18, 11, 7, 5}},   {0.20, {254, 65, 30, 18, 10, 7}},
        {0.25, {395, 101, 46, 27, 13, 9}}, {0.30, {0, 144, 65, 38, 18, 11}},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        for (size_t j = 0; j < COUNT(differences); j++) {
            int n = stats_blocks_needed(differences[j], rows[i].cv, 0.80, 0.05);
            cr_assert(n == rows[i].n[j], "cv %.2f, difference %.2f: %d", rows[i].cv, differences[j],
                      n);
        }
    cr_assert(stats_blocks_needed(0.2, 0, 0.8, 0.05) == 0);
    cr_assert(stats_blocks_needed(-1, 0.1, 0.8, 0.05) == 0);
    cr_assert(stats_blocks_needed(0.2, 0.1, 1, 0.05) == 0);
}

Test(stats, difference_told_and_blocks_needed_agree)
{
    for (int n = 3; n <= 40; n++) {
        double d = stats_difference_told(n, 0.15, 0.8, 0.05);
        cr_assert(stats_blocks_needed(d * 1.0000001, 0.15, 0.8, 0.05) == n, "%d blocks", n);
        cr_assert(d < stats_difference_told(n - 1, 0.15, 0.8, 0.05), "%d blocks", n);
    }
    cr_assert(!isfinite(stats_difference_told(1, 0.15, 0.8, 0.05)));
}
