/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "normals_peoria.h"
#include "season.h"
#include "warmth.h"

static struct when on(int month, int day)
{
    return (struct when){.d = {0, month, day}, .set = true};
}

/* Frost dates of an invented place in the north, and of one in the south. */
static struct site north(void)
{
    return (struct site){.last_frost = {on(4, 28), on(5, 9), on(5, 21)},
                         .first_frost = {on(9, 24), on(10, 6), on(10, 18)}};
}

static struct site south(void)
{
    return (struct site){.last_frost = {on(9, 28), on(10, 10), on(10, 22)},
                         .first_frost = {on(4, 20), on(5, 1), on(5, 14)}};
}

static struct range figure(double low, double typ, double high)
{
    return (struct range){.low = low, .typ = typ, .high = high, .set = true};
}

static struct crop crop_of(enum frost_class frost, double from, double to)
{
    return (struct crop){.frost = {.v = (int)frost, .set = true},
                         .sow_from_d = figure(from, from, from),
                         .sow_to_d = figure(to, to, to)};
}

static struct season run(struct site site, enum frost_class frost, double from, double to,
                         struct range days, double delay)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct crop crop = crop_of(frost, from, to);
    struct season s;
    static char reason[200];
    season_of(&site, &crop, &days, delay, arena, &s);
    snprintf(reason, sizeof reason, "%s", s.reason);
    s.reason = reason; /* outlives the arena */
    arena_free(arena);
    return s;
}

static int day(int month, int d)
{
    return date_day((struct date){0, month, d});
}

Test(season, frost_free_north)
{
    struct site site = north();
    int from, to;
    season_frost_free(&site, &from, &to);
    cr_assert(from == day(5, 9) && to == day(10, 6), "%d..%d", from, to);
}

Test(season, frost_free_south)
{
    struct site site = south();
    int from, to;
    season_frost_free(&site, &from, &to);
    cr_assert(from == day(10, 10) && to == day(5, 1) + 365, "%d..%d", from, to);
}

/* Sown from the late last frost on, ripe by the early first one: the safe dates of both (NOAA's
 * freeze tables give them as the 10 % levels; the rule is common practice). */
Test(season, tender_crop_fits)
{
    struct season s = run(north(), FROST_TENDER, 0, 20, figure(85, 95, 110), 0);
    cr_assert(s.fit == SEASON_FITS && s.reason[0] == '\0', "%s", s.reason);
    cr_assert(s.sow == day(5, 21) && s.sow_first == s.sow, "sow %d", s.sow);
    cr_assert(s.sow_last == s.sow + 20, "last %d", s.sow_last);
    cr_assert(s.harvest_low == s.sow + 85 && s.harvest_typ == s.sow + 95, "harvest");
    cr_assert(s.harvest_high == s.sow + 110 && s.frost == day(9, 24), "harvest");
    cr_assert(s.margin_d == day(9, 24) - day(5, 21) - 95, "margin %d", s.margin_d);
}

/* The window ends where a later sowing would no longer ripen. */
Test(season, window_ends_with_ripeness)
{
    struct season s = run(north(), FROST_TENDER, 7, 60, figure(80, 100, 120), 0);
    cr_assert(s.sow_first == day(5, 28) && s.sow_last == day(9, 24) - 100, "last %d", s.sow_last);
}

Test(season, at_risk_and_out)
{
    /* 21 May + 130 d = 28 September: past the early frost, before the usual one. */
    struct season s = run(north(), FROST_TENDER, 0, 20, figure(128, 130, 140), 0);
    cr_assert(s.fit == SEASON_AT_RISK && s.margin_d == -4, "margin %d", s.margin_d);
    cr_assert(strcmp(s.reason, "ripe about September 28, after the early frost of September 24 (4 "
                               "days short)") == 0,
              "%s", s.reason);
    cr_assert(s.sow_last == s.sow, "no window left");
    /* 12 October; a quick year brings it in by the early frost. */
    s = run(north(), FROST_TENDER, 0, 20, figure(120, 144, 160), 0);
    cr_assert(s.fit == SEASON_AT_RISK && strstr(s.reason, "October 12") &&
                  strstr(s.reason, "(18 days short)"),
              "%s", s.reason);
    s = run(north(), FROST_TENDER, 0, 20, figure(130, 144, 160), 0);
    cr_assert(s.fit == SEASON_OUT && strstr(s.reason, "(18 days short)"), "%s", s.reason);
    s = run(north(), FROST_TENDER, 0, 20, figure(126, 127, 160), 0);
    cr_assert(s.fit == SEASON_AT_RISK && strstr(s.reason, "(1 day short)"), "%s", s.reason);
    s = run(north(), FROST_TENDER, 0, 20, figure(126, 126, 160), 0);
    cr_assert(s.fit == SEASON_FITS && s.margin_d == 0, "on the very day");
}

Test(season, south)
{
    struct season s = run(south(), FROST_VERY_TENDER, 7, 30, figure(100, 110, 120), 0);
    cr_assert(s.sow == day(10, 29) && s.harvest_typ == s.sow + 110, "sow %d", s.sow);
    cr_assert(s.frost == day(4, 20) + 365 && s.fit == SEASON_FITS, "frost %d", s.frost);
    s = run(south(), FROST_VERY_TENDER, 7, 30, figure(175, 180, 190), 0);
    cr_assert(s.fit == SEASON_AT_RISK, "27 April");
    cr_assert(strcmp(s.reason, "ripe about April 27, after the early frost of April 20 (7 days "
                               "short)") == 0,
              "%s", s.reason);
}

/* Half a year apart with the same days between, both hemispheres tell the same. */
Test(season, hemispheres_agree)
{
    for (int typ = 60; typ < 240; typ += 3) {
        struct site a = north(), b = north();
        struct when *w[] = {&b.last_frost.early,  &b.last_frost.median,  &b.last_frost.late,
                            &b.first_frost.early, &b.first_frost.median, &b.first_frost.late};
        for (int i = 0; i < 6; i++) { /* 182 days on */
            int later = (date_day(w[i]->d) + 181) % 365 + 1, month = 12;
            while (date_day((struct date){0, month, 1}) > later)
                month--;
            *w[i] = on(month, later - date_day((struct date){0, month, 1}) + 1);
        }
        struct season s = run(a, FROST_TENDER, 5, 30, figure(typ - 10, typ, typ + 10), 3);
        struct season t = run(b, FROST_TENDER, 5, 30, figure(typ - 10, typ, typ + 10), 3);
        cr_assert(s.fit == t.fit && s.margin_d == t.margin_d, "%d days", typ);
        cr_assert(s.sow + 182 == t.sow && s.frost + 182 == t.frost, "%d days: %d %d", typ, s.sow,
                  t.sow);
    }
}

Test(season, hardy_crops)
{
    /* From the median last frost, 28 days before it. */
    struct season s = run(north(), FROST_SEMI_HARDY, -28, 14, figure(90, 110, 120), 0);
    cr_assert(s.sow == day(5, 9) - 28 && s.sow_last == day(5, 9) + 14, "sow %d", s.sow);
    s = run(north(), FROST_SEMI_HARDY, 0, 14, figure(150, 150, 150), 0);
    cr_assert(s.fit == SEASON_FITS && s.margin_d == 0, "ripe on the usual first frost");
    s = run(north(), FROST_SEMI_HARDY, 0, 14, figure(155, 155, 155), 0);
    cr_assert(s.fit == SEASON_AT_RISK && strstr(s.reason, "the usual frost of October 6"), "%s",
              s.reason);
    s = run(north(), FROST_HARDY, 0, 14, figure(155, 155, 155), 0);
    cr_assert(s.fit == SEASON_FITS, "a hardy crop stands the first frosts");
    s = run(north(), FROST_HARDY, 0, 14, figure(190, 190, 190), 0);
    cr_assert(s.fit == SEASON_OUT, "but not the winter: %s", s.reason);
}

Test(season, delay)
{
    struct season s = run(north(), FROST_TENDER, 0, 60, figure(90, 100, 110), 22.4);
    cr_assert(s.sow == day(5, 21) + 22 && s.sow_first == s.sow, "sow %d", s.sow);
    cr_assert(s.harvest_typ == s.sow + 100 && s.margin_d == 4, "margin %d", s.margin_d);
    s = run(north(), FROST_TENDER, 0, 60, figure(90, 100, 110), 30);
    cr_assert(s.fit == SEASON_AT_RISK, "it waited too long");
}

/* Dates near the year's ends stay near one another, and odd figures do no harm. */
Test(season, odd_sites)
{
    struct site site = {.last_frost = {on(12, 20), on(1, 10), on(1, 31)},
                        .first_frost = {on(12, 1), on(12, 24), on(1, 14)}};
    struct season s = run(site, FROST_TENDER, 0, 60, figure(90, 100, 110), 0);
    cr_assert(s.sow == day(1, 31) && s.frost == day(12, 1) && s.fit == SEASON_FITS, "%d", s.frost);
    s = run(site, FROST_HARDY, -30, 60, figure(90, 100, 110), 0);
    cr_assert(s.sow == 10 - 30, "the day before the year's start: %d", s.sow);
    struct site brief = {.last_frost.median = on(1, 5),
                         .first_frost = {on(12, 28), on(1, 10), on(1, 20)}};
    s = run(brief, FROST_TENDER, 0, 60, figure(90, 100, 110), 0);
    cr_assert(s.frost == day(12, 28) - 365 && s.fit == SEASON_OUT, "five days: %d", s.frost);
    struct site bare = {.last_frost = {.median = on(5, 9)}, .first_frost = {.median = on(10, 6)}};
    s = run(bare, FROST_TENDER, 0, 20, figure(90, 100, 110), 0);
    cr_assert(s.sow == day(5, 9) && s.frost == day(10, 6), "one date stands for all three");
    s = run(bare, FROST_TENDER, 0, 20, figure(1e300, (double)NAN, HUGE_VAL), -1e300);
    cr_assert(s.harvest_low > s.harvest_typ, "no crash");
}

Test(season, out_of_memory)
{
    struct site site = north();
    struct crop crop = crop_of(FROST_TENDER, 0, 20);
    struct range days = figure(200, 210, 220);
    struct arena *none = arena_new(0);
    struct season s;
    season_of(&site, &crop, &days, 0, none, &s);
    cr_assert(s.fit == SEASON_OUT && s.reason[0] != '\0', "a reason all the same");
    arena_free(none);
}

/* ---- when the ground is free ----------------------------------------------------------------- */

static struct season within(struct stay stay, double from, double to, double days)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct crop crop = crop_of(FROST_HARDY, from, to);
    struct site site = north();
    struct range d = figure(days, days, days);
    struct season s;
    season_within(&site, &crop, &d, 0, &stay, arena, &s);
    s.reason = strstr(s.reason, "free from") ? "opens" : strstr(s.reason, "clear") ? "clear" : "";
    arena_free(arena);
    return s;
}

Test(season, nothing_is_sown_before_the_ground_is_free)
{
    int may_9 = 129;
    struct season s = within((struct stay){may_9 - 10, STAY_LATEST, false}, -30, 10, 60);
    cr_assert(s.fit == SEASON_FITS && s.sow == may_9 - 10, "sown on day %d", s.sow);
    cr_assert(s.harvest_typ == may_9 + 50, "ripe so much later");
    s = within((struct stay){may_9 + 11, STAY_LATEST, false}, -30, 10, 60);
    cr_assert(s.fit == SEASON_OUT && strcmp(s.reason, "opens") == 0, "a day past its window");
    s = within((struct stay){may_9 + 11, STAY_LATEST, true}, -30, 10, 60);
    cr_assert(s.fit == SEASON_FITS && s.sow == may_9 + 11, "but a second crop may");
    cr_assert(s.harvest_typ == may_9 + 11 + 60 + 14, "and ripens more slowly");
    s = within((struct stay){may_9 + 10, STAY_LATEST, true}, -30, 10, 60);
    cr_assert(s.harvest_typ == may_9 + 10 + 60, "in its window it has the days of any other");
    int late = s.sow_last;
    s = within((struct stay){late, STAY_LATEST, true}, -30, 10, 60);
    cr_assert(s.fit == SEASON_FITS && s.margin_d == 0, "sown on its last day it ripens just so");
}

Test(season, ground_is_clear_in_time)
{
    int may_9 = 129;
    struct season s = within((struct stay){STAY_EARLIEST, may_9 + 60, false}, 0, 20, 60);
    cr_assert(s.fit == SEASON_FITS && s.margin_d == 0);
    cr_assert(s.sow == may_9 && s.sow_last == may_9, "later sown it stands too long");
    s = within((struct stay){STAY_EARLIEST, may_9 + 59, false}, 0, 20, 60);
    cr_assert(s.fit == SEASON_OUT && strcmp(s.reason, "clear") == 0, "no risk is taken with that");
    cr_assert(s.margin_d == -1);
}

Test(season, days_of_rules_lie_in_the_season)
{
    struct site n = north(), s = south();
    cr_assert(season_day(&n, (struct date){0, 4, 1}) == 91);
    cr_assert(season_day(&n, (struct date){0, 11, 15}) == 319);
    int open = season_day(&s, (struct date){0, 9, 1}),
        clear = season_day(&s, (struct date){0, 5, 31});
    cr_assert(open == 244 && clear == 151 + 365, "over the year's end: %d %d", open, clear);
}

/* ---- by degree days ------------------------------------------------------------------------- */

/* Peoria (see normals_peoria.h), with frost dates that go with it; colder by so many C. */
struct place {
    struct arena *arena;
    struct site site;
};

static struct place peoria(double colder_c)
{
    struct place p = {arena_new(ARENA_CAP_DEFAULT), {.normals = peoria_normals(colder_c, 0)}};
    p.site.last_frost = (struct frost_dates){on(4, 8), on(4, 21), on(5, 4)};
    p.site.first_frost = (struct frost_dates){on(10, 2), on(10, 14), on(10, 27)};
    p.site.daily = normals_daily(&p.site.normals, p.arena);
    return p;
}

/* A corn whose packet says 110 days and that takes 1333 C days. */
static struct crop corn(void)
{
    struct crop c = crop_of(FROST_TENDER, 0, 20);
    c.days = figure(100, 110, 125);
    c.base_c = figure(10, 10, 10);
    c.cap_c = figure(30, 30, 30);
    c.count_days.v = DEGREES_OF_EXTREMES;
    c.degree_days = figure(1145, 1333, 1575);
    return c;
}

static struct season grown(const struct place *p, const struct seed *seed)
{
    struct season s;
    season_seed(&p->site, seed, 0, &STAY_ALWAYS, p->arena, &s);
    return s;
}

Test(season, degree_days_take_the_place_of_days)
{
    struct place p = peoria(0);
    struct crop c = corn();
    struct seed seed = {.crop = &c};
    struct season s = grown(&p, &seed);
    cr_assert(s.fit == SEASON_FITS && s.sow == day(5, 4), "%s", s.reason);
    cr_assert(warmth_between(p.site.daily, &c, s.sow, s.harvest_typ, 0) >= 1333);
    cr_assert(warmth_between(p.site.daily, &c, s.sow, s.harvest_typ - 1, 0) < 1333);
    cr_assert(near(season_days(&p.site, &seed, &s), s.harvest_typ - s.sow, 1e-9));
    /* The sum by itself would bring it in on the day of 1145, the year on a warmer one: together as
     * squares, so earlier than either and no earlier than both in line. */
    bool ripe;
    int small = s.harvest_typ - s.sow - warmth_days(p.site.daily, &c, s.sow, 1145, 0, &ripe);
    int warm =
        s.harvest_typ - s.sow - warmth_days(p.site.daily, &c, s.sow, 1333, WARMTH_SPREAD_C, &ripe);
    int early = s.harvest_typ - s.harvest_low;
    cr_assert(early == (int)lround(hypot(small, warm)), "%d of %d and %d", early, small, warm);
    cr_assert(s.harvest_high - s.harvest_typ > 20, "%d days later", s.harvest_high - s.harvest_typ);
    /* and without normals by the packet */
    p.site.daily = NULL;
    s = grown(&p, &seed);
    cr_assert(s.harvest_typ - s.sow == 110 && near(season_days(&p.site, &seed, &s), 110, 1e-9));
    arena_free(p.arena);
}

/* A sowing on the last day is just ripe by the early frost, a day later it is not. */
Test(season, last_day_by_degree_days)
{
    struct place p = peoria(0);
    struct crop c = corn();
    struct seed seed = {.crop = &c};
    c.sow_to_d = figure(80, 80, 80);
    struct season s = grown(&p, &seed);
    cr_assert(s.sow_last > s.sow && s.sow_last < day(7, 10), "day %d", s.sow_last);
    cr_assert(warmth_between(p.site.daily, &c, s.sow_last, s.frost, 0) >= 1333);
    cr_assert(warmth_between(p.site.daily, &c, s.sow_last + 1, s.frost, 0) < 1333);
    arena_free(p.arena);
}

/* A variety's own days say how early it is, its own sum goes before them. */
Test(season, varieties_by_degree_days)
{
    struct place p = peoria(0);
    struct crop c = corn();
    struct seed seed = {.crop = &c, .days = figure(88, 88, 88)}; /* four fifths of 110 */
    struct season s = grown(&p, &seed);
    double sum = 0.8 * 1333;
    cr_assert(warmth_between(p.site.daily, &c, s.sow, s.harvest_typ, 0) >= sum);
    cr_assert(warmth_between(p.site.daily, &c, s.sow, s.harvest_typ - 1, 0) < sum);
    seed.degree_days = figure(1500, 1500, 1500);
    s = grown(&p, &seed);
    cr_assert(warmth_between(p.site.daily, &c, s.sow, s.harvest_typ - 1, 0) < 1500);
    cr_assert(warmth_between(p.site.daily, &c, s.sow, s.harvest_typ, 0) >= 1500);
    /* a sum without a range is as uncertain as the crop's days */
    bool ripe;
    int low = warmth_days(p.site.daily, &c, s.sow, 1500.0 * 100 / 110, 0, &ripe);
    cr_assert(s.harvest_low < s.sow + low && s.harvest_low > s.sow + low - 15, "%d", low);
    arena_free(p.arena);
}

/* The same frosts, a summer colder by 3 C: 1333 C days come after the early frost, 1800 not before
 * winter. */
Test(season, too_few_degree_days)
{
    struct place p = peoria(3);
    struct crop c = corn();
    struct seed seed = {.crop = &c};
    struct season s = grown(&p, &seed);
    cr_assert(s.fit == SEASON_AT_RISK && s.margin_d < 0 && s.margin_d > -30, "%d", s.margin_d);
    cr_assert(strstr(s.reason, "after the early frost of October 2") != NULL, "%s", s.reason);
    seed.degree_days = figure(1750, 1800, 1850);
    s = grown(&p, &seed);
    double got = warmth_between(p.site.daily, &c, s.sow, day(10, 2), 0);
    char words[200];
    snprintf(words, sizeof words,
             "has %.0f of the 1800 C days above 10 C it needs by the early frost of October 2 (%d "
             "days short at that pace)",
             got, -s.margin_d);
    cr_assert(s.fit == SEASON_OUT && strcmp(s.reason, words) == 0, "%s", s.reason);
    /* the pace: C days a day until the frost */
    double pace = got / (day(10, 2) - s.sow);
    cr_assert(near(-s.margin_d, (1800 - got) / pace, 1), "%d days", s.margin_d);
    struct stay clear = {STAY_EARLIEST, day(9, 1), false};
    season_seed(&p.site, &seed, 0, &clear, p.arena, &s);
    cr_assert(strstr(s.reason, "by September 1, when the ground must be clear (") != NULL, "%s",
              s.reason);
    arena_free(p.arena);
}

/* What only a good year ripens is marked, not struck out. */
Test(season, doubtful_by_degree_days)
{
    struct place p = peoria(3);
    struct crop c = corn();
    struct seed seed = {.crop = &c, .degree_days = figure(1000, 1800, 1900)};
    struct season s = grown(&p, &seed);
    cr_assert(s.fit == SEASON_AT_RISK && strstr(s.reason, "has ") == s.reason, "%s", s.reason);
    arena_free(p.arena);
}

/* The year turned round by half: the same days of the season. */
Test(season, degree_days_in_the_south)
{
    struct place p = peoria(0), q = peoria(0);
    struct crop c = corn();
    struct seed seed = {.crop = &c};
    q.site.normals = peoria_normals(0, 6);
    q.site.daily = normals_daily(&q.site.normals, q.arena);
    q.site.last_frost = (struct frost_dates){on(10, 8), on(10, 21), on(11, 4)};
    q.site.first_frost = (struct frost_dates){on(4, 2), on(4, 14), on(4, 27)};
    struct season north_s = grown(&p, &seed), south_s = grown(&q, &seed);
    cr_assert(south_s.fit == SEASON_FITS && south_s.sow == day(11, 4), "%s", south_s.reason);
    int apart = (south_s.harvest_typ - south_s.sow) - (north_s.harvest_typ - north_s.sow);
    cr_assert(abs(apart) <= 2, "%d days apart", apart);
    arena_free(p.arena);
    arena_free(q.arena);
}

/* ---- warm soil ------------------------------------------------------------------------------ */

Test(season, nothing_is_sown_in_cold_soil)
{
    struct place p = peoria(0);
    struct crop c = crop_of(FROST_HARDY, -30, 10);
    c.days = figure(50, 60, 70);
    c.soil_min_c = figure(12, 12, 12);
    struct seed seed = {.crop = &c};
    struct season s = grown(&p, &seed);
    int free = season_first_day(&p.site, &c, 0, &STAY_ALWAYS);
    cr_assert(free == day(4, 21) - 30 && s.sow > free, "%d, %d", free, s.sow);
    cr_assert(p.site.daily->soil_c[daily_at(s.sow)] >= 12 &&
              p.site.daily->soil_c[daily_at(s.sow - 1)] < 12);
    cr_assert(s.fit == SEASON_FITS && s.harvest_typ == s.sow + 60 && s.sow_first == s.sow);
    c.soil_min_c = figure(1, 1, 1);
    s = grown(&p, &seed);
    cr_assert(s.sow == free, "warm enough by then");
    c.soil_min_c = figure(12, 12, 12);
    p.site.daily = NULL;
    s = grown(&p, &seed);
    cr_assert(s.sow == free, "without normals nobody knows");
    arena_free(p.arena);
}

Test(season, soil_that_is_never_warm)
{
    struct place p = peoria(0);
    struct crop c = crop_of(FROST_TENDER, 0, 20);
    c.days = figure(50, 60, 70);
    c.soil_min_c = figure(35, 35, 35);
    struct seed seed = {.crop = &c};
    struct season s = grown(&p, &seed);
    cr_assert(s.fit == SEASON_OUT &&
                  strcmp(s.reason, "the soil never has the 35 C (95 F) it needs") == 0,
              "%s", s.reason);
    c.soil_min_c = figure(15, 15, 15);
    struct stay late = {day(11, 10), STAY_LATEST, true}; /* free when it has cooled down */
    season_seed(&p.site, &seed, 0, &late, p.arena, &s);
    cr_assert(s.fit == SEASON_OUT && strstr(s.reason, "it needs from ") != NULL, "%s", s.reason);
    arena_free(p.arena);
}
