/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "season.h"

#include <math.h>

#include "num.h"
#include "warmth.h"

#define YEAR_D 365
/* A hardy crop still ripens for a while in light frosts; then days are too short and cold
 * (estimate). */
#define HARDY_AFTER_LATE_D 21
/* A crop sown after another one, later than its spring window, takes so much longer, as days
 * shorten (estimate; gardeners' rule of thumb). */
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

/* ---- days to ripeness ----------------------------------------------------------------------- */

/* What a variety takes: days, or C days where the site has normals and its crop degree days. */
struct need {
    struct range days, sum;
    bool warmth;
};

static bool by_warmth(const struct site *site, const struct crop *crop)
{
    return site->daily && crop->degree_days.set;
}

/* own: the variety's own degree days, unset: the crop's, in the measure of the days. A sum without
 * a range is as uncertain as the days. */
static struct need need_of(const struct site *site, const struct crop *crop,
                           const struct range *days, const struct range *own)
{
    struct need need = {.days = *days, .warmth = by_warmth(site, crop)};
    if (!need.warmth)
        return need;
    double early = crop->days.typ > 0 ? days->typ / crop->days.typ : 1;
    const struct range *sum = own && own->set ? own : &crop->degree_days;
    const struct range *unsure = days->low < days->high ? days : &crop->days;
    double part = sum == own ? 1 : early;
    need.sum =
        (struct range){.low = sum->low * part, .typ = sum->typ * part, .high = sum->high * part};
    if (!(sum->low < sum->high) && unsure->typ > 0) {
        need.sum.low = need.sum.typ * unsure->low / unsure->typ;
        need.sum.high = need.sum.typ * unsure->high / unsure->typ;
    }
    return need;
}

struct ripening {
    int low, typ, high; /* days from sowing */
    bool ripe;          /* typ: before winter */
};

struct stretch {
    int sow, safe;
};

static struct ripening days_ripening(const struct need *need, int slow)
{
    return (struct ripening){whole_days(need->days.low) + slow, whole_days(need->days.typ) + slow,
                             whole_days(need->days.high) + slow, true};
}

/* Days for a sum; where winter comes before, at the pace of the days until `safe`. */
static int days_for(const struct daily *d, const struct crop *crop, const struct stretch *stretch,
                    double sum, double shift_c, bool *ripe)
{
    int days = warmth_days(d, crop, stretch->sow, sum, shift_c, ripe);
    if (*ripe)
        return days;
    double until = stretch->safe - stretch->sow;
    double got = warmth_between(d, crop, stretch->sow, stretch->safe, shift_c);
    return whole_days(until > 0 && got > 0 ? ceil(sum * until / got) : HUGE_VAL);
}

/* The sum and the year each move the day by themselves: as with all ranges, their parts add up as
 * squares. */
static struct ripening warmth_ripening(const struct daily *d, const struct crop *crop,
                                       const struct need *need, int sow, int safe)
{
    const struct stretch stretch = {sow, safe};
    struct ripening r = {.ripe = false};
    bool any;
    r.typ = days_for(d, crop, &stretch, need->sum.typ, 0, &r.ripe);
    int small = days_for(d, crop, &stretch, need->sum.low, 0, &any);
    int great = days_for(d, crop, &stretch, need->sum.high, 0, &any);
    int warm = days_for(d, crop, &stretch, need->sum.typ, WARMTH_SPREAD_C, &any);
    int cold = days_for(d, crop, &stretch, need->sum.typ, -WARMTH_SPREAD_C, &any);
    r.low = r.typ - whole_days(hypot(r.typ - small, r.typ - warm));
    r.high = r.typ + whole_days(hypot(great - r.typ, cold - r.typ));
    return r;
}

/* ---- the season of a crop ------------------------------------------------------------------- */

static const char *unripe_reason(const struct site *site, const struct crop *crop,
                                 const struct season *s, const struct need *need,
                                 const struct limits_of_class *limits, const struct stay *stay,
                                 struct arena *arena)
{
    char end[32], base[64];
    int safe = smallest(limits->safe, stay->to);
    date_text(end, sizeof end, safe);
    double got = warmth_between(site->daily, crop, s->sow, safe, 0);
    const char *by = safe < limits->safe
                         ? arena_printf(arena, "by %s, when the ground must be clear", end)
                         : arena_printf(arena, "by the %s frost of %s", limits->frost, end);
    const char *text = arena_printf(
        arena, "has %d of the %d C days above %s C it needs %s (%d days short at that pace)",
        whole_days(got), whole_days(need->sum.typ),
        num_text(base, sizeof base, num_round_sig(crop->base_c.typ, 3)), by ? by : "in time",
        -s->margin_d);
    return text ? text : "too few degree days";
}

static const char *cold_reason(const struct crop *crop, int day, struct arena *arena)
{
    char from[32];
    double c = crop->soil_min_c.typ;
    date_text(from, sizeof from, day);
    const char *text =
        day < STAY_LATEST
            ? arena_printf(arena, "the soil has the %.0f C (%.0f F) it needs from %s only", c,
                           c * 1.8 + 32, from)
            : arena_printf(arena, "the soil never has the %.0f C (%.0f F) it needs", c,
                           c * 1.8 + 32);
    return text ? text : "the soil is too cold";
}

static int first_by_frost(const struct limits_of_class *limits, const struct crop *crop,
                          double delay_d)
{
    return limits->sow_base + whole_days(crop->sow_from_d.typ) + whole_days(delay_d);
}

int season_first_day(const struct site *site, const struct crop *crop, double delay_d,
                     const struct stay *stay)
{
    struct frosts f = frosts_of(site);
    struct limits_of_class limits = class_limits(&f, (enum frost_class)crop->frost.v);
    return largest(first_by_frost(&limits, crop, delay_d), stay->from);
}

/* The first day from `free` on with soil warm enough. */
static int warm_day(const struct site *site, const struct crop *crop, int free)
{
    if (!site->daily || !crop->soil_min_c.set)
        return free;
    int day = warmth_soil_day(site->daily, crop->soil_min_c.typ, free);
    return day < free ? STAY_LATEST : day;
}

/* Why it may not be sown at all, NULL: it may. */
static const char *no_sowing(const struct crop *crop, int first, int free, int sow, int window,
                             const struct stay *stay, int safe, struct arena *arena)
{
    if (!stay->second && free > first && free > largest(window, first))
        return early_reason(largest(window, first), stay, arena);
    return sow > free && sow >= safe ? cold_reason(crop, sow, arena) : NULL;
}

static void season_run(const struct site *site, const struct crop *crop, const struct need *need,
                       double delay_d, const struct stay *stay, struct arena *arena,
                       struct season *out)
{
    struct frosts f = frosts_of(site);
    struct limits_of_class limits = class_limits(&f, (enum frost_class)crop->frost.v);
    int safe = smallest(limits.safe, stay->to);
    int first = first_by_frost(&limits, crop, delay_d), free = largest(first, stay->from);
    int sow = warm_day(site, crop, free), window = limits.sow_base + whole_days(crop->sow_to_d.typ);
    bool late = stay->second && sow > window;
    struct ripening r = need->warmth ? warmth_ripening(site->daily, crop, need, sow, safe)
                                     : days_ripening(need, late ? SHORT_DAYS_D : 0);
    int ripe_by =
        need->warmth ? warmth_last(site->daily, crop, sow, safe, need->sum.typ) : safe - r.typ;
    if (stay->second && !late && !need->warmth && ripe_by > window)
        ripe_by = largest(window, ripe_by - SHORT_DAYS_D);
    *out = (struct season){
        .fit = SEASON_FITS,
        .sow_first = sow,
        /* later sown it would not ripen */
        .sow_last = largest(smallest(stay->second ? STAY_LATEST : window, ripe_by), sow),
        .sow = sow,
        .harvest_low = sow + r.low,
        .harvest_typ = sow + r.typ,
        .harvest_high = sow + r.high,
        .frost = f.first_early,
        .margin_d = safe - sow - r.typ,
        .reason = "",
    };
    const char *never = no_sowing(crop, first, free, sow, window, stay, safe, arena);
    if (never) {
        out->fit = SEASON_OUT;
        out->reason = never;
        return;
    }
    if (out->harvest_typ <= safe)
        return;
    /* a frost may come late; a date to clear the ground by does not */
    bool chance = out->harvest_low <= limits.safe || (r.ripe && out->harvest_typ <= limits.risky);
    out->fit = chance && out->harvest_typ <= stay->to ? SEASON_AT_RISK : SEASON_OUT;
    out->reason = r.ripe ? late_reason(out, &limits, stay, arena)
                         : unripe_reason(site, crop, out, need, &limits, stay, arena);
}

void season_within(const struct site *site, const struct crop *crop, const struct range *days,
                   double delay_d, const struct stay *stay, struct arena *arena, struct season *out)
{
    struct need need = need_of(site, crop, days, NULL);
    season_run(site, crop, &need, delay_d, stay, arena, out);
}

static const struct range *days_of(const struct seed *seed)
{
    return seed->days.set ? &seed->days : &seed->crop->days;
}

void season_seed(const struct site *site, const struct seed *seed, double delay_d,
                 const struct stay *stay, struct arena *arena, struct season *out)
{
    struct need need = need_of(site, seed->crop, days_of(seed), &seed->degree_days);
    season_run(site, seed->crop, &need, delay_d, stay, arena, out);
}

double season_days(const struct site *site, const struct seed *seed, const struct season *season)
{
    return by_warmth(site, seed->crop) ? season->harvest_typ - season->sow : days_of(seed)->typ;
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
