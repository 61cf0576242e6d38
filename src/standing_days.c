/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "standing_days.h"

#include "diag.h"

struct stay standing_stay(const struct garden *g, size_t plot, const struct standing *s)
{
    const struct when *clear = &garden_plot(g, plot)->clear;
    struct stay stay = STAY_ALWAYS;
    if (clear->set)
        stay.to = season_day(&g->site, clear->d);
    if (s->until.set && season_day(&g->site, s->until.d) < stay.to)
        stay.to = season_day(&g->site, s->until.d);
    return stay;
}

hr_status standing_days_check(const struct garden *g, struct arena *arena, struct diags *diags)
{
    hr_status worst = HR_OK;
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        for (size_t k = 0; k < plot->standing.n; k++) {
            const struct standing *s = plot_standing(plot, k);
            struct stay stay = standing_stay(g, i, s);
            struct season season;
            season_seed(&g->site, garden_seed(g, (size_t)s->seed_index), 0, &stay, arena, &season);
            if (season.fit != SEASON_OUT)
                continue;
            diag_error(diags, s->until.set ? s->until.at : s->at, "standing-season",
                       "the %s here gives no harvest: %s; if none is wanted, make it an obstacle",
                       s->crop_name.s, season.reason);
            worst = HR_INPUT;
        }
    }
    return worst;
}
