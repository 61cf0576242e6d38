/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STANDING_DAYS_H
#define STANDING_DAYS_H
/* How long what stands already may stay, and whether that is enough for its harvest. */
#include "season.h"

/* Until it is asked to go, or the plot is to be clear. It went in whenever it did: the opening day
 * is no matter. */
struct stay standing_stay(const struct garden *garden, size_t plot,
                          const struct standing *standing);
/* When it stands and gives its harvest: as if it were sown in its usual time; of a biennial kept
 * for seed, in its second year. */
void standing_season(const struct garden *garden, size_t plot, const struct standing *standing,
                     struct arena *arena, struct season *out);
/* Whether it leaves its ground to a second crop, and the day that is done, typical. */
bool standing_leaves(const struct garden *garden, size_t plot, const struct standing *standing,
                     struct arena *arena, int *done_d);
/* The day on which seed of a biennial in its second year is ripe, typical. */
int standing_seed_day(const struct site *site);
/* [standing-season] for each whose harvest does not come in that time: HR_INPUT. */
HR_CHECKED hr_status standing_days_check(const struct garden *garden, struct arena *arena,
                                         struct diags *diags);

#endif
