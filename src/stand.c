/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stand.h"

#include <math.h>

#include "num.h"

/* An asymptotic stand counts as full at this relative density: there it gives 3/4 of its limit. It
 * puts both density laws on one scale, "full stands", for pressing on others. */
#define FULL_STAND 3

/* Beyond this a stand is as dense as any; keeps every product finite. */
#define RELATIVE_MAX 1e9

/* The delays after the support at which the default coefficients hold. */
static const double reference_delay_d[ROLE_COUNT] = {
    [ROLE_SUPPORT] = 0,
    [ROLE_CLIMBER] = 18,
    [ROLE_COVER] = 25,
    [ROLE_ALONE] = 0,
};

/* Sowing dates further apart than this tell nothing more. */
#define DELAY_MAX_D 400

/* How far sowing dates may shift a coefficient. Down: a crop sown into one that ripens hardly
 * presses on it any more. Up: a crop sown ever later feels no more than this, as the older one
 * thins out. */
#define SHIFT_LEAST 0.02
#define SHIFT_MOST  3

/* A bean sown with the corn presses on it 2.2 times as hard as one sown 18 days later: between what
 * Davis and Garcia (1983) measured of the one and what is usual of the other. */
#define DELAY_WEIGHT_PER_D 0.045

/* Calibrated on published partial yields of maize, bean and squash; docs/model.md has the check.
 * Between bean and squash nothing is published: one presses on the other as on itself (the two
 * coefficients multiply to 1), the taller on the lower harder. */
static const struct stand_alpha alphas[] = {
    {ROLE_SUPPORT, ROLE_CLIMBER, 0, 0.14, 0.3}, {ROLE_SUPPORT, ROLE_COVER, 0, 0.022, 0.035},
    {ROLE_CLIMBER, ROLE_SUPPORT, 0.7, 2.2, 7},  {ROLE_CLIMBER, ROLE_COVER, 0.1, 0.4, 1.2},
    {ROLE_COVER, ROLE_SUPPORT, 2, 6, 10},       {ROLE_COVER, ROLE_CLIMBER, 0.8, 2.5, 6},
};

/* Clumping costs maize 0-15 % at equal density; the figures are ours (docs/model.md). */
const double stand_hill_loss_range[3] = {0, 0.07, 0.15};

const struct stand_alpha *stand_alphas(size_t *n)
{
    *n = sizeof alphas / sizeof *alphas;
    return alphas;
}

void stand_figures_typical(const struct crop *crop, struct stand_figures *out)
{
    *out = (struct stand_figures){
        .ymax_kg_m2 = crop->yield_kg_m2.typ,
        .best_density_m2 = crop->best_density_m2.typ,
        .half_density_m2 = crop->half_density_m2.typ,
        .shade_response = crop->shade_response.typ,
    };
}

void stand_mixture_typical(struct stand_mixture *out)
{
    for (int i = 0; i < ROLE_COUNT; i++)
        for (int j = 0; j < ROLE_COUNT; j++)
            out->alpha[i][j] = 1;
    for (size_t k = 0; k < sizeof alphas / sizeof *alphas; k++)
        out->alpha[alphas[k].pressed][alphas[k].pressing] = alphas[k].typ;
    out->hill_loss = stand_hill_loss_range[1];
    out->delay_weight_per_d = DELAY_WEIGHT_PER_D;
}

double stand_relative_density(const struct stand_part *part)
{
    double scale = part->law == DENSITY_SEED_HEAD ? part->figures->best_density_m2
                                                  : part->figures->half_density_m2;
    if (!(part->density_m2 > 0))
        return 0;
    if (!(scale > 0)) /* the limit: a single plant fills the ground */
        return RELATIVE_MAX;
    return fmin(part->density_m2 / scale, RELATIVE_MAX);
}

/* Share of Ymax at relative density r under a pressure of so many full stands of others. */
static double yield_share(enum density_law law, double r, double pressure)
{
    if (law == DENSITY_SEED_HEAD)
        return fmin(r * exp(1 - r - pressure), 1);
    return r / (1 + r + FULL_STAND * pressure);
}

double stand_sole_yield(const struct stand_part *part)
{
    double r = stand_relative_density(part);
    return fmax(part->figures->ymax_kg_m2, 0) * yield_share(part->law, r, 0);
}

/* What sowing dates other than the reference delays do to a coefficient. */
static double delay_shift(const struct stand_part *pressed, const struct stand_part *pressing,
                          double weight_per_d)
{
    double late_d =
        num_clamp(pressed->delay_d, -DELAY_MAX_D, DELAY_MAX_D) - reference_delay_d[pressed->role] -
        num_clamp(pressing->delay_d, -DELAY_MAX_D, DELAY_MAX_D) + reference_delay_d[pressing->role];
    if (late_d == 0)
        return 1;
    return num_clamp(exp(weight_per_d * late_d), SHIFT_LEAST, SHIFT_MOST);
}

/* Full stands of the other parts that part i feels. */
static double pressure_on(const struct stand_part *parts, int n, int i,
                          const struct stand_mixture *mix)
{
    double sum = 0;
    for (int j = 0; j < n; j++) {
        double alpha = mix->alpha[parts[i].role][parts[j].role];
        double stands = stand_relative_density(&parts[j]);
        if (parts[j].law != DENSITY_SEED_HEAD)
            stands /= FULL_STAND;
        if (j == i || !(stands > 0) || !(alpha > 0)) /* neighbours never help */
            continue;
        sum += alpha * delay_shift(&parts[i], &parts[j], mix->delay_weight_per_d) * stands;
    }
    return sum;
}

/* Crowding of cereals within a hill: none up to 2 plants, whole from 4. */
static double hill_factor(const struct stand_part *part, double loss)
{
    if (part->law != DENSITY_SEED_HEAD || part->role == ROLE_CLIMBER || part->role == ROLE_COVER)
        return 1;
    return 1 - num_clamp(loss, 0, 1) * num_clamp((part->per_hill - 2) / 2, 0, 1);
}

static double light_factor(const struct stand_part *part)
{
    double dark = 1 - num_clamp(part->light, 0, 1);
    return num_clamp(1 - part->figures->shade_response * dark, 0, 1);
}

void stand_yields(const struct stand_part *parts, int n, const struct stand_mixture *mix,
                  double *kg_m2)
{
    for (int i = 0; i < n; i++) {
        const struct stand_part *p = &parts[i];
        double r = stand_relative_density(p);
        double share = yield_share(p->law, r, pressure_on(parts, n, i, mix));
        kg_m2[i] = fmax(p->figures->ymax_kg_m2, 0) * share * hill_factor(p, mix->hill_loss) *
                   light_factor(p);
    }
}

double stand_ler(const double *mixture, const double *sole, int n)
{
    double sum = 0;
    for (int i = 0; i < n; i++)
        if (sole[i] > 0)
            sum += mixture[i] / sole[i];
    return sum;
}
