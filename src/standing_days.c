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

/* Biennials that have come through a winter shoot up in spring and ripen their seed in high summer:
 * so many days after the last frost (estimates; July to September in the north). */
#define SEED_LOW_D  75
#define SEED_TYP_D  100
#define SEED_HIGH_D 125
#define SEED_SET_D  200 /* before the last frost it was left for seed */

int standing_seed_day(const struct site *site)
{
    int spring, fall;
    season_frost_free(site, &spring, &fall);
    return spring + SEED_TYP_D;
}

static void seed_season(const struct site *site, const struct stay *stay, struct arena *arena,
                        struct season *out)
{
    char ripe[32], end[32];
    int spring, fall;
    season_frost_free(site, &spring, &fall);
    out->sow = out->sow_first = out->sow_last = spring - SEED_SET_D;
    out->harvest_low = spring + SEED_LOW_D;
    out->harvest_typ = spring + SEED_TYP_D;
    out->harvest_high = spring + SEED_HIGH_D;
    out->margin_d = (stay->to < STAY_LATEST ? stay->to : out->frost) - out->harvest_typ;
    out->fit = out->harvest_typ <= stay->to ? SEASON_FITS : SEASON_OUT;
    out->reason = "";
    if (out->fit == SEASON_FITS)
        return;
    date_text(ripe, sizeof ripe, out->harvest_typ);
    date_text(end, sizeof end, stay->to);
    const char *why = arena_printf(
        arena, "its seed is ripe about %s, but the ground must be clear by %s", ripe, end);
    out->reason = why ? why : "its seed is ripe too late";
}

/* What was sown a year ago and has been ripe since fall: it is dug as it is wanted, and is off at
 * the end. */
#define WINTER_DIG_D 42 /* most of it within so many days before (estimate) */

static void winter_season(const struct site *site, const struct stay *stay, struct season *out)
{
    int spring, fall;
    season_frost_free(site, &spring, &fall);
    int end = stay->to < STAY_LATEST ? stay->to : spring;
    out->sow = out->sow_first = out->sow_last = end - 365;
    out->harvest_low = end - WINTER_DIG_D;
    out->harvest_typ = out->harvest_high = end;
    out->margin_d = 0;
    out->fit = SEASON_FITS;
    out->reason = "";
}

bool standing_leaves(const struct garden *g, size_t plot, const struct standing *s,
                     struct arena *arena, int *done_d)
{
    struct season season;
    standing_season(g, plot, s, arena, &season);
    *done_d = season.harvest_typ;
    return g->grow.second.v && season.fit != SEASON_OUT &&
           !garden_seed(g, (size_t)s->seed_index)->crop->perennial.v;
}

void standing_season(const struct garden *g, size_t plot, const struct standing *s,
                     struct arena *arena, struct season *out)
{
    struct stay stay = standing_stay(g, plot, s);
    season_seed(&g->site, garden_seed(g, (size_t)s->seed_index), 0, &stay, arena, out);
    if (s->for_seed.v)
        seed_season(&g->site, &stay, arena, out);
    else if (s->winter.v)
        winter_season(&g->site, &stay, out);
}

hr_status standing_days_check(const struct garden *g, struct arena *arena, struct diags *diags)
{
    hr_status worst = HR_OK;
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        for (size_t k = 0; k < plot->standing.n; k++) {
            const struct standing *s = plot_standing(plot, k);
            struct season season;
            standing_season(g, i, s, arena, &season);
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
