/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SEASON_H
#define SEASON_H
/* When a crop may be sown at a site and whether it ripens. Days are days of a 365-day year counted
 * on past the year's end (a southern summer runs from day 300 to day 470). Where the site has
 * normals, a crop with degree days ripens by them, and none is sown before the soil is as warm as
 * it needs. */
#include "garden.h"

enum season_fit { SEASON_FITS, SEASON_AT_RISK, SEASON_OUT };

struct season {
    enum season_fit fit;
    int sow_first, sow_last;                    /* window of sowing */
    int sow;                                    /* the day planned */
    int harvest_low, harvest_typ, harvest_high; /* days of harvest by low/typical/high days */
    int frost;                                  /* the early first frost */
    int margin_d;       /* frost - harvest_typ for tender crops; may be negative */
    const char *reason; /* why out or at risk, else "" */
};

/* Days that a planting may be on its ground: from the plot's opening or the clearing of a first
 * crop to the clear-out date or the turn to a second one. */
struct stay {
    int from, to;
    bool second; /* follows another crop: may be sown later than its spring window, and grows slower
                    as the days shorten */
};
#define STAY_EARLIEST (-3650)
#define STAY_LATEST   3650
#define STAY_ALWAYS   ((struct stay){STAY_EARLIEST, STAY_LATEST, false})

/* days: of the variety (or the crop). delay_d: sown so long after the earliest day (a bean that
 * waits for its corn). Tender crops: from the late last frost + the crop's offset from the median,
 * ripe by the early first frost (typical days: fits; only with the low days or by the median frost:
 * at risk; else out). Hardy and semi-hardy: from the median last frost. */
void season_of(const struct site *site, const struct crop *crop, const struct range *days,
               double delay_d, struct arena *arena, struct season *out);
/* The same, when it must not be sown before stay->from nor stand after stay->to. Days are those of
 * the season's year; see season_day. */
void season_within(const struct site *site, const struct crop *crop, const struct range *days,
                   double delay_d, const struct stay *stay, struct arena *arena,
                   struct season *out);
/* Of a variety in hand: with its own days or degree days where it has them. */
void season_seed(const struct site *site, const struct seed *seed, double delay_d,
                 const struct stay *stay, struct arena *arena, struct season *out);
/* Typical days from sowing to harvest of a variety with that season. */
double season_days(const struct site *site, const struct seed *seed, const struct season *season);
/* The first day for sowing by frosts and ground alone, were the soil warm. */
int season_first_day(const struct site *site, const struct crop *crop, double delay_d,
                     const struct stay *stay);
/* The day of a date, counted on past the year's end where the season runs over it. */
int season_day(const struct site *site, struct date date);
/* First and last day of the frost-free season: median last frost to median first frost. */
void season_frost_free(const struct site *site, int *from, int *to);

#endif
