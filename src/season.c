/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season.h"

#include <math.h>

#include "num.h"

#define YEAR_D 365
/* A hardy crop still ripens for a while in light frosts; then days are too short and cold
 * (estimate). */
#define HARDY_AFTER_LATE_D 21
/* A crop sown after another one ripens so much later, as days shorten (estimate; gardeners' rule of
 * thumb). */
#define SHORT_DAYS_D 14

/* The day shifted by whole years until it lies within half a year of `middle`. */
static int day_near(int day, int middle)
{
    while (day - middle > YEAR_D / 2)
        day -= YEAR_D;
    while (middle - day > YEAR_D / 2)
        day += YEAR_D;
    return day;
}

/* A gardener who knows only one of the three dates has it stand for the others. */
static int frost_day(const struct when *when, int median)
{
    return when->set || when->d.month > 0 ? day_near(date_day(when->d), median) : median;
}

struct frosts {
    int last_median, last_late;                /* of spring */
    int first_early, first_median, first_late; /* of fall, after it */
};

static struct frosts frosts_of(const struct site *site)
{
    struct frosts f;
    f.last_median = date_day(site->last_frost.median.d);
    f.last_late = frost_day(&site->last_frost.late, f.last_median);
    f.first_median = date_day(site->first_frost.median.d);
    if (f.first_median <= f.last_median) /* a southern summer runs over the year's end */
        f.first_median += YEAR_D;
    f.first_early = frost_day(&site->first_frost.early, f.first_median);
    f.first_late = frost_day(&site->first_frost.late, f.first_median);
    return f;
}

void season_frost_free(const struct site *site, int *from, int *to)
{
    struct frosts f = frosts_of(site);
    *from = f.last_median;
    *to = f.first_median;
}

/* The frosts a crop has to be ripe by. */
struct limits_of_class {
    int sow_base;      /* its offsets count from here */
    int safe, risky;   /* ripe by: fits, at risk */
    const char *frost; /* in words, the safe one */
};

static struct limits_of_class class_limits(const struct frosts *f, enum frost_class class)
{
    switch (class) {
    case FROST_HARDY:
        return (struct limits_of_class){f->last_median, f->first_late,
                                        f->first_late + HARDY_AFTER_LATE_D, "late"};
    case FROST_SEMI_HARDY:
        return (struct limits_of_class){f->last_median, f->first_median, f->first_late, "usual"};
    case FROST_TENDER:
    case FROST_VERY_TENDER:
        break;
    }
    return (struct limits_of_class){f->last_late, f->first_early, f->first_median, "early"};
}

static int whole_days(double v)
{
    return isfinite(v) ? (int)lround(num_clamp(v, -2 * YEAR_D, 10 * YEAR_D)) : 0;
}

static const char *late_reason(const struct season *s, const struct limits_of_class *limits,
                               const struct stay *stay, struct arena *arena)
{
    char ripe[32], end[32];
    int clear = stay->to < limits->safe ? stay->to : limits->safe;
    int short_d = s->harvest_typ - clear;
    date_text(ripe, sizeof ripe, s->harvest_typ);
    date_text(end, sizeof end, clear);
    const char *text =
        stay->to < limits->safe
            ? arena_printf(arena,
                           "ripe about %s, but the ground must be clear by %s (%d day%s short)",
                           ripe, end, short_d, short_d == 1 ? "" : "s")
            : arena_printf(arena, "ripe about %s, after the %s frost of %s (%d day%s short)", ripe,
                           limits->frost, end, short_d, short_d == 1 ? "" : "s");
    return text ? text : "ripe only after the first frost";
}

static const char *early_reason(int last, const struct stay *stay, struct arena *arena)
{
    char sow[32], open[32];
    date_text(sow, sizeof sow, last);
    date_text(open, sizeof open, stay->from);
    const char *text =
        arena_printf(arena, "must be sown by %s, but the ground is free from %s only", sow, open);
    return text ? text : "the ground is free too late";
}

static int largest(int a, int b)
{
    return a > b ? a : b;
}

static int smallest(int a, int b)
{
    return a < b ? a : b;
}

void season_within(const struct site *site, const struct crop *crop, const struct range *days,
                   double delay_d, const struct stay *stay, struct arena *arena, struct season *out)
{
    struct frosts f = frosts_of(site);
    struct limits_of_class limits = class_limits(&f, (enum frost_class)crop->frost.v);
    int slow = stay->second ? SHORT_DAYS_D : 0, safe = smallest(limits.safe, stay->to);
    int typ = whole_days(days->typ) + slow;
    int first = limits.sow_base + whole_days(crop->sow_from_d.typ) + whole_days(delay_d);
    int sow = largest(first, stay->from);
    int window = limits.sow_base + whole_days(crop->sow_to_d.typ);
    int last = smallest(stay->second ? STAY_LATEST : window, safe - typ);
    *out = (struct season){
        .fit = SEASON_FITS,
        .sow_first = sow,
        .sow_last = largest(last, sow), /* later sown it would not ripen */
        .sow = sow,
        .harvest_low = sow + whole_days(days->low) + slow,
        .harvest_typ = sow + typ,
        .harvest_high = sow + whole_days(days->high) + slow,
        .frost = f.first_early,
        .margin_d = safe - sow - typ,
        .reason = "",
    };
    if (!stay->second && sow > first && sow > largest(window, first)) {
        out->fit = SEASON_OUT;
        out->reason = early_reason(largest(window, first), stay, arena);
        return;
    }
    if (out->harvest_typ <= safe)
        return;
    /* a frost may come late; a date to clear the ground by does not */
    bool chance = out->harvest_low <= limits.safe || out->harvest_typ <= limits.risky;
    out->fit = chance && out->harvest_typ <= stay->to ? SEASON_AT_RISK : SEASON_OUT;
    out->reason = late_reason(out, &limits, stay, arena);
}

void season_of(const struct site *site, const struct crop *crop, const struct range *days,
               double delay_d, struct arena *arena, struct season *out)
{
    season_within(site, crop, days, delay_d, &STAY_ALWAYS, arena, out);
}

int season_day(const struct site *site, struct date date)
{
    int from, to;
    season_frost_free(site, &from, &to);
    return day_near(date_day(date), (from + to) / 2);
}
