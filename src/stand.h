/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STAND_H
#define STAND_H
/* Yield of stands and mixtures (design 2.6): no fixed yield per plant anywhere. */
#include "crop.h"

#define STAND_PARTS_MAX 4

/* One value for each uncertain figure of a crop: typical, or one draw. */
struct stand_figures {
    double ymax_kg_m2;
    double best_density_m2; /* seed-headed */
    double half_density_m2; /* asymptotic */
    double shade_response;
};

/* Competition between crops grown together. A full stand is a seed-headed crop at its best density,
 * an asymptotic one at 3 times its half density. alpha 1: a full stand of the pressing role bears
 * on the pressed crop as a full stand of its own kind would. They hold for the sowing dates usual
 * in a guild (climber 18 days after the support, cover 25); others shift them. docs/model.md. */
struct stand_mixture {
    double alpha[ROLE_COUNT][ROLE_COUNT]; /* [pressed][pressing] */
    double hill_loss;                     /* of cereals at >= 4 plants a hill, share */
    double delay_weight_per_d;            /* how a later sowing shifts alpha, per day */
};

struct stand_part {
    const struct stand_figures *figures;
    enum density_law law;
    enum role role;
    double density_m2; /* plants per m2 of the planting's ground */
    double per_hill;   /* plants standing together; 1 in rows */
    double delay_d;    /* sown after the first part */
    double light;      /* share of full light that reaches it, 0..1 */
};

void stand_figures_typical(const struct crop *crop, struct stand_figures *out);
void stand_mixture_typical(struct stand_mixture *out);
/* low/typical/high of the mixture coefficients that are known at all, for the Monte Carlo and docs;
 * the others are 1. */
struct stand_alpha {
    enum role pressed, pressing;
    double low, typ, high;
};
const struct stand_alpha *stand_alphas(size_t *n);
extern const double stand_hill_loss_range[3];

/* Relative density r = density / best (seed-headed) or density / half (asymptotic), at most 1e9. */
double stand_relative_density(const struct stand_part *part);
/* Sole stand, kg/m2, at full light: Ymax r e^(1-r) (Duncan 1958; Carmer & Jackobs 1965) or
 * Ymax rho / (rho + half) (Willey & Heath 1969). Never negative, never over Ymax. */
double stand_sole_yield(const struct stand_part *part);
/* Yield of each part grown together, kg/m2 of the planting's ground, never more than its own
 * density would give alone: Ymax r e^(1 - r - p) or Ymax r / (1 + r + 3p), p the full stands of
 * others it feels, times crowding within the hill (seed-headed supports and sole crops only) and
 * light. Shade of one part on another is in alpha; `light` is what comes from outside. Figures may
 * be any finite number: nonsense gives 0, never NaN. */
void stand_yields(const struct stand_part *parts, int n, const struct stand_mixture *mix,
                  double *kg_m2);
/* Land equivalent ratio: sum of mixture/sole (Mead & Willey 1980); a crop with no sole yield is
 * left out. */
double stand_ler(const double *mixture, const double *sole, int n);

#endif
