/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was understood of a garden file. See report.h. */
#include "report.h"

#include <math.h>
#include <string.h>

#include "num.h"
#include "report_words.h"

/* ---- the garden ----------------------------------------------------------------------------- */

static const char *date(const struct report *r, const struct when *when)
{
    char text[32];
    return report_words(r, "%s", date_text(text, sizeof text, date_day(when->d)));
}

static const char *frost_words(const struct report *r, const struct frost_dates *f)
{
    return report_words(r, "%s (early %s, late %s)", date(r, &f->median), date(r, &f->early),
                        date(r, &f->late));
}

static void site_section(const struct report *r)
{
    const struct site *site = &r->garden->site;
    char deg[64];
    double latitude = site->latitude.v * 180 / M_PI;
    int from, to;
    season_frost_free(site, &from, &to);
    report_heading(r, "Site");
    report_fact(r, "latitude",
                report_words(r, "%s deg %s",
                             num_text(deg, sizeof deg, num_round_sig(fabs(latitude), 5)),
                             latitude < 0 ? "south" : "north"));
    report_fact(r, "last frost of spring", frost_words(r, &site->last_frost));
    report_fact(r, "first frost of fall", frost_words(r, &site->first_frost));
    report_fact(r, "frost-free season",
                report_words(r, "%d days, as often longer as shorter", to - from));
    report_fact(r, "sun", report_words(r, "%s of the open sky's", report_percent(r, site->sun.v)));
    report_normals(r->garden, r->out);
}

static void plots_section(const struct report *r, const struct zones *zones)
{
    report_heading(r, "Plots");
    for (size_t i = 0; i < r->garden->plots.n; i++) {
        struct strbuf text;
        strbuf_init(&text, r->arena);
        report_plot(r->garden, i, zones, r->arena, &text);
        r->out->failed |= text.failed;
        report_fact(r, garden_plot(r->garden, i)->name.s, text.p);
    }
}

static void seed_section(const struct report *r)
{
    report_heading(r, r->garden->limits.reserve.v > 0
                          ? report_words(r, "Seed in hand, when %s is kept back for replanting",
                                         report_percent(r, r->garden->limits.reserve.v))
                          : "Seed in hand");
    for (size_t s = 0; s < r->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(r->garden, s);
        const char *what = seed->crop->name.s, *pieces = report_pieces(seed->crop);
        if (seed->standing)
            continue;
        double count = garden_seed_count(r->garden, seed);
        if (isfinite(count))
            report_fact(r, seed->variety.s,
                        report_words(r, "%s, %s %s to sow", what, report_whole(r, count), pieces));
        else
            report_fact(r, seed->variety.s,
                        report_words(r, "%s, as many %s as are needed", what, pieces));
    }
}

static const char *list_words(const struct report *r, const struct list *list, const char *absent)
{
    struct strbuf text;
    const struct text *items = list->items;
    if (!list->set)
        return absent;
    strbuf_init(&text, r->arena);
    for (size_t i = 0; i < list->n; i++)
        strbuf_printf(&text, "%s%s", i > 0 ? "; " : "", items[i].s);
    r->out->failed |= text.failed;
    return list->n > 0 ? text.p : "none";
}

static const char *amount_words(const struct report *r, const struct wish *wish,
                                const struct amount *a)
{
    char text[64];
    switch (a->kind) {
    case UNIT_MASS:
        return report_words(r, "%s", unit_mass(text, sizeof text, a->v, r->units));
    case UNIT_AREA:
        return report_area(r, a->v);
    case UNIT_SHARE:
        return report_words(r, "%s of the food energy", report_percent(r, a->v));
    default:
        return report_words(r, "%s %s%s", report_whole(r, a->v), wish->guild.s ? "hill" : "plant",
                            a->v == 1 ? "" : "s");
    }
}

static void wishes_section(const struct report *r)
{
    for (size_t w = 0; w < r->garden->wishes.n; w++) {
        const struct wish *wish = garden_wish(r->garden, w);
        struct strbuf text;
        strbuf_init(&text, r->arena);
        if (wish->at_least.set)
            strbuf_printf(&text, "at least %s", amount_words(r, wish, &wish->at_least));
        if (wish->at_most.set)
            strbuf_printf(&text, "%sat most %s", text.n > 0 ? ", " : "",
                          amount_words(r, wish, &wish->at_most));
        if (wish->weight.set)
            strbuf_printf(&text, "%scounts for %s of its food", text.n > 0 ? ", " : "",
                          report_percent(r, wish->weight.v));
        if (wish->plot.s)
            strbuf_printf(&text, ", in %s", wish->plot.s);
        r->out->failed |= text.failed;
        report_fact(r, wish_name(wish), text.p);
    }
}

/* What former plans mean for this one. */
static void rotation_row(const struct report *r)
{
    static const char *const rules[] = {
        [ROTATION_TELL] = "it is told where families stand on ground that they had",
        [ROTATION_AVOID] = "families avoid ground that they had",
        [ROTATION_BAR] = "families keep off ground that they had",
    };
    const struct former_plan *plans = r->garden->history.items;
    const struct rotation *rotation = &r->garden->rotation;
    int n = 0;
    for (size_t i = 0; i < r->garden->history.n; i++)
        n += r->garden->year.v - plans[i].year.v <= rotation->years.v;
    if (r->garden->history.n == 0)
        return;
    report_fact(r, "rotation",
                report_words(r, "%s in the %s years before, by %d former plan%s%s",
                             rules[rotation->rule.v], report_whole(r, rotation->years.v), n,
                             n == 1 ? "" : "s",
                             rotation->rule.v == ROTATION_AVOID
                                 ? report_words(r, "; food counts for %s less there",
                                                report_percent(r, rotation->cost.v))
                                 : ""));
}

static const char *number(const struct report *r, double n)
{
    char text[64];
    return report_words(r, "%s", num_text(text, sizeof text, n));
}

/* What can be hauled, in the unit it is bought in. */
static void haul_rows(const struct report *r)
{
    const struct limits *limits = &r->garden->limits;
    bool us = r->garden->units.v == UNITS_US;
    double unit_m3 = us ? 0.764554857984 : 1;
    const char *unit = us ? "cu yd" : "m3";
    if (limits->compost_m3.set)
        report_fact(r, "compost",
                    report_words(r, "at most %s %s",
                                 number(r, num_round_sig(limits->compost_m3.v / unit_m3, 3)),
                                 unit));
    if (limits->mulch_m3.set)
        report_fact(r, "mulch",
                    report_words(r, "at most %s %s",
                                 number(r, num_round_sig(limits->mulch_m3.v / unit_m3, 3)), unit));
}

static void terms_section(const struct report *r)
{
    static const char *const goals[] = {
        [GOAL_DAYS] = "the most days of full food for one person",
        [GOAL_ENERGY] = "the most food energy",
        [GOAL_PROTEIN] = "the most usable protein",
    };
    const struct garden *g = r->garden;
    report_heading(r, "What to plan");
    report_fact(r, "goal", goals[g->goal.v]);
    report_fact(r, "guilds", list_words(r, &g->grow.guilds, "all there is seed for"));
    report_fact(r, "crops on their own", list_words(r, &g->grow.crops, "all there is seed for"));
    report_fact(r, "systems", list_words(r, &g->grow.systems, "hills; rows; row guild"));
    wishes_section(r);
    rotation_row(r);
    if (g->limits.hours.set)
        report_fact(r, "work",
                    report_words(r, "at most %s hours", report_whole(r, g->limits.hours.v)));
    if (g->limits.week_hours.set)
        report_fact(r, "work in a week",
                    report_words(r, "at most %s hours", number(r, g->limits.week_hours.v)));
    haul_rows(r);
    if (g->limits.share_energy.set)
        report_fact(r, "one crop's energy",
                    report_words(r, "at most %s", report_percent(r, g->limits.share_energy.v)));
    if (g->limits.share_area.set)
        report_fact(r, "one crop's ground",
                    report_words(r, "at most %s", report_percent(r, g->limits.share_area.v)));
}

void report_garden_summary(const struct garden *garden, const struct zones *zones,
                           struct strbuf *out)
{
    struct strbuf said;
    struct report r = report_begin(garden, NULL, &said, out);
    char year[64];
    strbuf_printf(&said, "%s, %s\n", report_name(&r, garden->name.s),
                  num_fixed(year, sizeof year, garden->year.v, 0));
    site_section(&r);
    plots_section(&r, zones);
    seed_section(&r);
    report_ripening(garden, &said);
    terms_section(&r);
    report_end(&said, out);
}
