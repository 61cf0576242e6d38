/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef UNITS_H
#define UNITS_H
/* Quantities with units in the text, and dates. Inside the program: metres, square metres,
 * kilograms, cubic metres, radians, days, hours, degrees Celsius, kcal per kg, shares 0..1. */
#include <stdbool.h>
#include <stddef.h>

#include "arena.h"

enum unit_kind {
    UNIT_LENGTH,      /* m: mm cm m in ft yd, and "12 ft 6 in" */
    UNIT_AREA,        /* m2: m2 sq_ft "sq ft" ha acre */
    UNIT_MASS,        /* kg: mg g kg oz lb t, and "3 lb 4 oz" */
    UNIT_VOLUME,      /* m3: l m3 cu_ft "cu ft" cu_yd "cu yd" gal */
    UNIT_SHARE,       /* 1: % */
    UNIT_ANGLE,       /* rad: deg */
    UNIT_TEMPERATURE, /* C: C F */
    UNIT_HOURS,       /* h: h hours hour min */
    UNIT_DAYS,        /* d: d day days week weeks month months(30.4375) */
    UNIT_COUNT,    /* 1: seeds seed plants plant hills hill stations station slips cloves pieces */
    UNIT_PER_AREA, /* 1/m2: "/m2" "/sq ft" "/ha" "/acre" */
    UNIT_YIELD,    /* kg/m2: kg/m2 t/ha kg/ha "lb/100 sq ft" "lb/sq ft" lb/acre */
    UNIT_SEEDS_PER_MASS, /* 1/kg: "/g" "/oz" "/kg" "/lb" */
    UNIT_ENERGY,         /* kcal/kg: "kcal/100 g" kcal/kg */
    UNIT_CONTENT,        /* kg/kg: "g/100 g" g/kg "mg/g" */
    UNIT_HOURS_PER_AREA, /* h/m2: h/m2 "min/m2" "h/sq ft" "min/sq ft" "h/100 sq ft" */
    UNIT_HOURS_PER_MASS, /* h/kg: h/kg min/kg "min/lb" */
    UNIT_MINUTES_EACH,   /* h each: "min each" "s each" */
    UNIT_RATION_ENERGY,  /* kcal/d: kcal/day */
    UNIT_RATION_PROTEIN, /* kg/d: g/day */
    UNIT_KIND_COUNT
};

enum unit_result {
    UNIT_OK,
    UNIT_NOT_A_NUMBER, /* no number at the start, or nan/inf/too large */
    UNIT_MISSING,      /* a number with no unit behind it */
    UNIT_UNKNOWN       /* a unit that is not one of the kind's */
};

/* Reads text like "20 ft", "12 ft 6 in", "45cm", "50 %", "1 1/2 in". On UNIT_OK *out is in the
 * inside unit; on failure *at is the byte offset in text where it went wrong. A sign is allowed
 * only in front. */
enum unit_result unit_read(enum unit_kind kind, const char *text, double *out, size_t *at);
/* "a length such as `20 ft` or `45 cm`": for messages. */
const char *unit_kind_example(enum unit_kind kind);
/* The unit names of the kind, comma apart: for messages. */
const char *unit_kind_names(enum unit_kind kind);

/* A value in the kind's plain unit as it may stand in a file: "0.45 m", "50 %". buf >= 48. */
const char *unit_plain(char *buf, size_t cap, enum unit_kind kind, double v);

enum unit_system { UNITS_US, UNITS_METRIC };

/* For people. Lengths: us "4 ft 6 in" to the nearest half inch (quarter under 1 ft), metric "1.37
 * m" or "45 cm" under 1 m. buf >= 48; returns buf. */
const char *unit_length(char *buf, size_t cap, double m, enum unit_system sys);
/* One tape reading: us 12' 6.5" (half inches), metric "381 cm". */
const char *unit_tape(char *buf, size_t cap, double m, enum unit_system sys);
/* The nearest of the 16 points of the compass to a bearing in radians: "N", "NNE". */
const char *unit_compass(double bearing);
const char *unit_mass(char *buf, size_t cap, double kg, enum unit_system sys);
const char *unit_area(char *buf, size_t cap, double m2, enum unit_system sys);

/* A sentence whose figures stand in either unit, `[6 in|15 cm]`, in one of them; or in both, with a
 * slash between. NULL: out of memory. */
const char *unit_words(struct arena *arena, const char *text, enum unit_system sys);
const char *unit_words_both(struct arena *arena, const char *text);

/* A calendar date; year 0: every year. */
struct date {
    int year, month, day;
};

/* "2027-05-01" or "May 1" / "1 May" (English month names or their first three letters). */
bool date_read(const char *text, struct date *out, size_t *at);
/* 1..365 for a date (29 Feb counts as 28 Feb: the planner's year has 365 days). */
int date_day(struct date d);
/* "May 1" for a day 1..365; days outside wrap round. */
const char *date_text(char *buf, size_t cap, int day);

#endif
