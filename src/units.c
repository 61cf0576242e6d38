/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "units.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "num.h"
#include "str.h"

/* How a unit may stand beside a second one: "12 ft 6 in". */
enum part { PART_WHOLE, PART_FIRST, PART_SECOND };

/* inside = (written + shift) * mul / div. The factors are whole numbers, so that they are exact:
 * 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, 1 acre = 4840 sq yd, 1 US gallon = 231 cubic inches. */
struct unit {
    enum unit_kind kind;
    const char *name; /* a space matches any number of spaces or '_' */
    double mul, div;
    enum part part;
    double shift;
};

#define ONE(kind, name)                                                                            \
    {                                                                                              \
        kind, name, 1, 1, PART_WHOLE, 0                                                            \
    }
#define PER(kind, name, mul, div)                                                                  \
    {                                                                                              \
        kind, name, mul, div, PART_WHOLE, 0                                                        \
    }
#define FEET(name)                                                                                 \
    {                                                                                              \
        UNIT_LENGTH, name, 3048, 1e4, PART_FIRST, 0                                                \
    }
#define INCHES(name)                                                                               \
    {                                                                                              \
        UNIT_LENGTH, name, 254, 1e4, PART_SECOND, 0                                                \
    }
#define POUNDS(name)                                                                               \
    {                                                                                              \
        UNIT_MASS, name, 45359237, 1e8, PART_FIRST, 0                                              \
    }
#define SQ_FT 9290304.0     /* of 1e-8 m2 */
#define ACRE  40468564224.0 /* of 1e-7 m2 */
#define LB    45359237.0    /* of 1e-8 kg */
#define OZ    28349523125.0 /* of 1e-12 kg */

static const struct unit units[] = {
    PER(UNIT_LENGTH, "mm", 1, 1000),
    PER(UNIT_LENGTH, "cm", 1, 100),
    ONE(UNIT_LENGTH, "m"),
    INCHES("in"),
    INCHES("inch"),
    INCHES("inches"),
    INCHES("\""),
    FEET("ft"),
    FEET("foot"),
    FEET("feet"),
    FEET("'"),
    PER(UNIT_LENGTH, "yd", 9144, 1e4),

    ONE(UNIT_AREA, "m2"),
    ONE(UNIT_AREA, "m\u00b2"),
    PER(UNIT_AREA, "sq ft", SQ_FT, 1e8),
    PER(UNIT_AREA, "ha", 1e4, 1),
    PER(UNIT_AREA, "acre", ACRE, 1e7),
    PER(UNIT_AREA, "acres", ACRE, 1e7),

    PER(UNIT_MASS, "mg", 1, 1e6),
    PER(UNIT_MASS, "g", 1, 1000),
    ONE(UNIT_MASS, "kg"),
    PER(UNIT_MASS, "t", 1000, 1),
    {UNIT_MASS, "oz", OZ, 1e12, PART_SECOND, 0},
    POUNDS("lb"),
    POUNDS("lbs"),

    PER(UNIT_VOLUME, "l", 1, 1000),
    PER(UNIT_VOLUME, "L", 1, 1000),
    ONE(UNIT_VOLUME, "m3"),
    ONE(UNIT_VOLUME, "m\u00b3"),
    PER(UNIT_VOLUME, "cu ft", 28316846592, 1e12),
    PER(UNIT_VOLUME, "cu yd", 764554857984, 1e12),
    PER(UNIT_VOLUME, "gal", 3785411784, 1e12),

    PER(UNIT_SHARE, "%", 1, 100),

    PER(UNIT_ANGLE, "deg", M_PI, 180),
    PER(UNIT_ANGLE, "\u00b0", M_PI, 180),

    ONE(UNIT_TEMPERATURE, "C"),
    ONE(UNIT_TEMPERATURE, "\u00b0C"),
    {UNIT_TEMPERATURE, "F", 5, 9, PART_WHOLE, -32},
    {UNIT_TEMPERATURE, "\u00b0F", 5, 9, PART_WHOLE, -32},

    {UNIT_HOURS, "h", 1, 1, PART_FIRST, 0},
    {UNIT_HOURS, "hour", 1, 1, PART_FIRST, 0},
    {UNIT_HOURS, "hours", 1, 1, PART_FIRST, 0},
    {UNIT_HOURS, "min", 1, 60, PART_SECOND, 0},

    ONE(UNIT_DAYS, "d"),
    ONE(UNIT_DAYS, "day"),
    ONE(UNIT_DAYS, "days"),
    PER(UNIT_DAYS, "week", 7, 1),
    PER(UNIT_DAYS, "weeks", 7, 1),
    PER(UNIT_DAYS, "month", 30.4375, 1),
    PER(UNIT_DAYS, "months", 30.4375, 1),

    ONE(UNIT_COUNT, "seed"),
    ONE(UNIT_COUNT, "seeds"),
    ONE(UNIT_COUNT, "plant"),
    ONE(UNIT_COUNT, "plants"),
    ONE(UNIT_COUNT, "hill"),
    ONE(UNIT_COUNT, "hills"),
    ONE(UNIT_COUNT, "station"),
    ONE(UNIT_COUNT, "stations"),
    ONE(UNIT_COUNT, "slip"),
    ONE(UNIT_COUNT, "slips"),
    ONE(UNIT_COUNT, "clove"),
    ONE(UNIT_COUNT, "cloves"),
    ONE(UNIT_COUNT, "piece"),
    ONE(UNIT_COUNT, "pieces"),

    ONE(UNIT_PER_AREA, "/m2"),
    PER(UNIT_PER_AREA, "/sq ft", 1e8, SQ_FT),
    PER(UNIT_PER_AREA, "/ha", 1, 1e4),
    PER(UNIT_PER_AREA, "/acre", 1e7, ACRE),

    ONE(UNIT_YIELD, "kg/m2"),
    PER(UNIT_YIELD, "t/ha", 1, 10),
    PER(UNIT_YIELD, "kg/ha", 1, 1e4),
    PER(UNIT_YIELD, "lb/100 sq ft", LB, 100 * SQ_FT),
    PER(UNIT_YIELD, "lb/sq ft", LB, SQ_FT),
    PER(UNIT_YIELD, "lb/acre", LB, 10 * ACRE),

    PER(UNIT_SEEDS_PER_MASS, "/g", 1000, 1),
    PER(UNIT_SEEDS_PER_MASS, "/oz", 1e12, OZ),
    ONE(UNIT_SEEDS_PER_MASS, "/kg"),
    PER(UNIT_SEEDS_PER_MASS, "/lb", 1e8, LB),

    PER(UNIT_ENERGY, "kcal/100 g", 10, 1),
    ONE(UNIT_ENERGY, "kcal/kg"),

    PER(UNIT_CONTENT, "g/100 g", 1, 100),
    PER(UNIT_CONTENT, "g/kg", 1, 1000),
    PER(UNIT_CONTENT, "mg/g", 1, 1000),

    ONE(UNIT_HOURS_PER_AREA, "h/m2"),
    PER(UNIT_HOURS_PER_AREA, "min/m2", 1, 60),
    PER(UNIT_HOURS_PER_AREA, "h/sq ft", 1e8, SQ_FT),
    PER(UNIT_HOURS_PER_AREA, "min/sq ft", 1e8, 60 * SQ_FT),
    PER(UNIT_HOURS_PER_AREA, "h/100 sq ft", 1e6, SQ_FT),

    ONE(UNIT_HOURS_PER_MASS, "h/kg"),
    PER(UNIT_HOURS_PER_MASS, "min/kg", 1, 60),
    PER(UNIT_HOURS_PER_MASS, "min/lb", 1e8, 60 * LB),

    PER(UNIT_MINUTES_EACH, "min each", 1, 60),
    PER(UNIT_MINUTES_EACH, "s each", 1, 3600),

    ONE(UNIT_RATION_ENERGY, "kcal/day"),
    PER(UNIT_RATION_PROTEIN, "g/day", 1, 1000),
};

#define NUNITS (sizeof units / sizeof *units)

/* For people. `plain`: the unit in which a value of the kind is written back. */
static const struct {
    const char *example, *names, *plain;
} kinds[] = {
    [UNIT_LENGTH] = {"a length such as `20 ft` or `45 cm`", "mm, cm, m, in, ft, yd", "m"},
    [UNIT_AREA] = {"an area such as `500 sq ft` or `40 m2`", "m2, sq ft, ha, acre", "m2"},
    [UNIT_MASS] = {"a mass such as `3 lb` or `40 kg`", "mg, g, kg, t, oz, lb", "kg"},
    [UNIT_VOLUME] = {"a volume such as `2 cu yd` or `0.5 m3`", "l, m3, cu ft, cu yd, gal", "m3"},
    [UNIT_SHARE] = {"a share such as `50 %`", "%", "%"},
    [UNIT_ANGLE] = {"an angle such as `30 deg`", "deg", "deg"},
    [UNIT_TEMPERATURE] = {"a temperature such as `60 F` or `15 C`", "C, F", "C"},
    [UNIT_HOURS] = {"a time such as `6 h` or `30 min`", "h, hours, min", "h"},
    [UNIT_DAYS] = {"a number of days such as `90 days` or `2 weeks`", "days, weeks, months",
                   "days"},
    [UNIT_COUNT] = {"a count such as `200 seeds` or `12 plants`",
                    "seeds, plants, hills, stations, slips, cloves, pieces", "plants"},
    [UNIT_PER_AREA] = {"a density such as `4 /m2`", "/m2, /sq ft, /ha, /acre", "/m2"},
    [UNIT_YIELD] = {"a yield such as `0.5 kg/m2` or `10 lb/100 sq ft`",
                    "kg/m2, t/ha, kg/ha, lb/100 sq ft, lb/sq ft, lb/acre", "kg/m2"},
    [UNIT_SEEDS_PER_MASS] = {"a seed count such as `3000 /kg`", "/g, /oz, /kg, /lb", "/kg"},
    [UNIT_ENERGY] = {"a food energy such as `350 kcal/100 g`", "kcal/100 g, kcal/kg", "kcal/kg"},
    [UNIT_CONTENT] = {"a content such as `9 g/100 g`", "g/100 g, g/kg, mg/g", "g/kg"},
    [UNIT_HOURS_PER_AREA] = {"a labor per area such as `2 h/100 sq ft` or `5 min/m2`",
                             "h/m2, min/m2, h/sq ft, min/sq ft, h/100 sq ft", "h/m2"},
    [UNIT_HOURS_PER_MASS] = {"a labor per mass such as `10 min/kg`", "h/kg, min/kg, min/lb",
                             "h/kg"},
    [UNIT_MINUTES_EACH] = {"a labor per piece such as `2 min each`", "min each, s each",
                           "min each"},
    [UNIT_RATION_ENERGY] = {"an energy need such as `2500 kcal/day`", "kcal/day", "kcal/day"},
    [UNIT_RATION_PROTEIN] = {"a protein need such as `60 g/day`", "g/day", "g/day"},
};
_Static_assert(sizeof kinds / sizeof *kinds == UNIT_KIND_COUNT, "a row for every kind");

const char *unit_kind_example(enum unit_kind kind)
{
    return kinds[kind].example;
}

const char *unit_kind_names(enum unit_kind kind)
{
    return kinds[kind].names;
}

/* ---- reading ------------------------------------------------------------------------------ */

static bool is_space(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static const char *skip_space(const char *p)
{
    while (is_space(*p))
        p++;
    return p;
}

/* Past the unit's name at p, NULL when another text stands there. */
static const char *unit_end(const char *p, const char *name)
{
    for (; *name; name++) {
        if (*name == ' ') {
            while (is_space(*p) || *p == '_')
                p++;
        } else if (*name == '/') {
            p = skip_space(p);
            if (*p++ != '/')
                return NULL;
            p = skip_space(p);
        } else if (*p++ != *name) {
            return NULL;
        }
    }
    return p;
}

/* The unit of the kind that takes the most of p, NULL when none is there. *end: past it. */
static const struct unit *unit_at(enum unit_kind kind, const char *p, const char **end)
{
    const struct unit *found = NULL;
    for (const struct unit *u = units; u < units + NUNITS; u++) {
        const char *stop = u->kind == kind ? unit_end(p, u->name) : NULL;
        if (!stop || (found && stop <= *end))
            continue;
        /* the whole word must be the unit, but for "12'6" and "3lb4oz" */
        if (*stop != '\0' && !is_space(*stop) && !(u->part == PART_FIRST && is_digit(*stop)))
            continue;
        found = u;
        *end = stop;
    }
    return found;
}

/* digits/digits at p, as on a tape: "3/4". False when that is not there. */
static bool fraction_read(const char *p, double *out, const char **end)
{
    double top, bottom;
    size_t ntop = strspn(p, "0123456789"), nbottom;
    if (ntop == 0 || ntop > 3 || p[ntop] != '/')
        return false;
    nbottom = strspn(p + ntop + 1, "0123456789");
    if (nbottom == 0 || nbottom > 3 || !num_read(p, ntop, &top, &ntop) ||
        !num_read(p + ntop + 1, nbottom, &bottom, &nbottom) || bottom == 0)
        return false;
    *out = top / bottom;
    *end = p + ntop + 1 + nbottom;
    return true;
}

/* "1.5", "3/4" or "1 1/2" without a sign; NULL when there is none, else past it. */
static const char *number_end(const char *p, double *out)
{
    const char *end, *more;
    double v, part;
    size_t used;
    if (!is_digit(*p))
        return NULL;
    if (fraction_read(p, out, &end))
        return end;
    if (!num_read(p, strlen(p), &v, &used))
        return NULL;
    end = p + used;
    more = skip_space(end);
    if (more > end && strspn(p, "0123456789") == used && fraction_read(more, &part, &end))
        v += part;
    *out = v;
    return end;
}

static enum unit_result fail(enum unit_result what, size_t offset, size_t *at)
{
    if (at)
        *at = offset;
    return what;
}

static double inside(const struct unit *u, double written)
{
    return (written + u->shift) * u->mul / u->div;
}

enum unit_result unit_read(enum unit_kind kind, const char *text, double *out, size_t *at)
{
    const char *p = skip_space(text), *end;
    double v, w;
    bool minus = *p == '-';
    const char *number = p;
    if (*p == '-' || *p == '+')
        p++;
    p = number_end(p, &v);
    if (!p)
        return fail(UNIT_NOT_A_NUMBER, (size_t)(number - text), at);
    end = p;
    p = skip_space(p);
    if (*p == '\0')
        return fail(UNIT_MISSING, (size_t)(end - text), at);
    const struct unit *u = unit_at(kind, p, &end);
    if (!u)
        return fail(UNIT_UNKNOWN, (size_t)(p - text), at);
    v = inside(u, minus ? -v : v);
    p = skip_space(end);
    if (*p != '\0') { /* "12 ft 6 in" */
        const char *second = u->part == PART_FIRST ? number_end(p, &w) : NULL;
        if (!second)
            return fail(UNIT_UNKNOWN, (size_t)(p - text), at);
        second = skip_space(second);
        if (*second == '\0')
            return fail(UNIT_MISSING, (size_t)(second - text), at);
        u = unit_at(kind, second, &end);
        if (!u || u->part != PART_SECOND || *skip_space(end) != '\0')
            return fail(UNIT_UNKNOWN, (size_t)(second - text), at);
        v += inside(u, minus ? -w : w);
    }
    if (!isfinite(v))
        return fail(UNIT_NOT_A_NUMBER, (size_t)(number - text), at);
    *out = v;
    return UNIT_OK;
}

/* ---- for people --------------------------------------------------------------------------- */

static const struct unit *plain_unit(enum unit_kind kind)
{
    for (const struct unit *u = units; u < units + NUNITS; u++)
        if (u->kind == kind && strcmp(u->name, kinds[kind].plain) == 0)
            return u;
    return NULL;
}

const char *unit_plain(char *buf, size_t cap, enum unit_kind kind, double v)
{
    char number[32];
    const struct unit *u = plain_unit(kind);
    /* 12 digits hide the last bit that the factor leaves behind */
    num_text(number, sizeof number, num_round_sig(u ? v * u->div / u->mul - u->shift : v, 12));
    snprintf(buf, cap, "%s %s", number, kinds[kind].plain);
    return buf;
}

/* "12", "6.5" or "0.25": as few digits as say it. */
static const char *short_number(char *buf, size_t cap, double v, int places)
{
    num_fixed(buf, cap, v, places);
    char *dot = strchr(buf, '.');
    if (dot) {
        char *last = buf + strlen(buf) - 1;
        while (last > dot && *last == '0')
            *last-- = '\0';
        if (last == dot)
            *last = '\0';
    }
    return buf;
}

static double round_to(double v, double step)
{
    return round(v / step) * step;
}

/* Too large or not finite: no feet and inches of it. True: it is written. */
static bool beyond(char *buf, size_t cap, double v, const char *unit)
{
    char number[40];
    if (isfinite(v) && fabs(v) < 1e9)
        return false;
    snprintf(buf, cap, "%s %s", num_text(number, sizeof number, v), unit);
    return true;
}

static const char *metres(char *buf, size_t cap, double m)
{
    char number[40];
    double size = fabs(m);
    if (round(size * 1000) < 100) /* seed depths need their millimetres */
        snprintf(buf, cap, "%s cm", short_number(number, sizeof number, m * 100, 1));
    else if (round(size * 100) < 100)
        snprintf(buf, cap, "%s cm", num_fixed(number, sizeof number, m * 100, 0));
    else
        snprintf(buf, cap, "%s m", num_fixed(number, sizeof number, m, 2));
    return buf;
}

const char *unit_length(char *buf, size_t cap, double m, enum unit_system sys)
{
    char feet[40], inches[40];
    if (beyond(buf, cap, m, "m"))
        return buf;
    if (sys == UNITS_METRIC)
        return metres(buf, cap, m);
    double in = fabs(m) / 0.0254;
    double quarter = round_to(in, 0.25);
    double rounded = quarter < 12 ? quarter : round_to(in, 0.5);
    double whole = floor(rounded / 12), rest = rounded - 12 * whole;
    const char *sign = m < 0 && rounded > 0 ? "-" : "";
    num_fixed(feet, sizeof feet, whole, 0);
    short_number(inches, sizeof inches, rest, 2);
    if (whole == 0)
        snprintf(buf, cap, "%s%s in", sign, inches);
    else if (rest == 0)
        snprintf(buf, cap, "%s%s ft", sign, feet);
    else
        snprintf(buf, cap, "%s%s ft %s in", sign, feet, inches);
    return buf;
}

const char *unit_compass(double bearing)
{
    static const char *const words[] = {"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                        "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};
    long i = lround(bearing / (M_PI / 8)) % 16;
    return words[i < 0 ? i + 16 : i];
}

const char *unit_tape(char *buf, size_t cap, double m, enum unit_system sys)
{
    char feet[40], inches[40];
    if (beyond(buf, cap, m, "m"))
        return buf;
    if (sys == UNITS_METRIC) {
        snprintf(buf, cap, "%s cm", num_fixed(feet, sizeof feet, m * 100, 0));
        return buf;
    }
    double rounded = round_to(fabs(m) / 0.0254, 0.5);
    double whole = floor(rounded / 12);
    snprintf(buf, cap, "%s%s' %s\"", m < 0 && rounded > 0 ? "-" : "",
             num_fixed(feet, sizeof feet, whole, 0),
             short_number(inches, sizeof inches, rounded - 12 * whole, 1));
    return buf;
}

/* A number with about three digits that tell, thousands apart. */
static const char *three_digits(char *buf, size_t cap, double v)
{
    double size = fabs(v);
    if (size < 9.995)
        return short_number(buf, cap, v, 2);
    if (size < 99.95)
        return short_number(buf, cap, v, 1);
    return num_grouped(buf, cap, v);
}

static const char *pounds(char *buf, size_t cap, double kg)
{
    char lb[40], oz[40];
    double ounces = fabs(kg) / 0.028349523125;
    const char *sign = kg < 0 ? "-" : "";
    if (round_to(ounces, 0.1) < 10) {
        short_number(oz, sizeof oz, ounces, 1);
        snprintf(buf, cap, "%s%s oz", strcmp(oz, "0") == 0 ? "" : sign, oz);
    } else if (round(ounces) < 160) {
        double whole = floor(round(ounces) / 16), rest = round(ounces) - 16 * whole;
        num_fixed(lb, sizeof lb, whole, 0);
        num_fixed(oz, sizeof oz, rest, 0);
        if (whole == 0)
            snprintf(buf, cap, "%s%s oz", sign, oz);
        else if (rest == 0)
            snprintf(buf, cap, "%s%s lb", sign, lb);
        else
            snprintf(buf, cap, "%s%s lb %s oz", sign, lb, oz);
    } else {
        snprintf(buf, cap, "%s lb", three_digits(lb, sizeof lb, kg / 0.45359237));
    }
    return buf;
}

const char *unit_mass(char *buf, size_t cap, double kg, enum unit_system sys)
{
    char number[40];
    if (beyond(buf, cap, kg, "kg"))
        return buf;
    if (sys == UNITS_US)
        return pounds(buf, cap, kg);
    if (round(fabs(kg) * 1000) < 1000)
        snprintf(buf, cap, "%s g", three_digits(number, sizeof number, kg * 1000));
    else
        snprintf(buf, cap, "%s kg", three_digits(number, sizeof number, kg));
    return buf;
}

const char *unit_area(char *buf, size_t cap, double m2, enum unit_system sys)
{
    char number[40];
    bool us = sys == UNITS_US;
    double large = us ? 4046.8564224 : 1e4;
    if (beyond(buf, cap, m2, "m2"))
        return buf;
    if (fabs(m2) >= large)
        snprintf(buf, cap, "%s %s", three_digits(number, sizeof number, m2 / large),
                 us ? "acre" : "ha");
    else
        snprintf(buf, cap, "%s %s", three_digits(number, sizeof number, us ? m2 / 0.09290304 : m2),
                 us ? "sq ft" : "m2");
    return buf;
}

/* Writes a sentence with what stands before the bar, behind it, or both of each pair in brackets.
 */
static const char *pairs(struct arena *arena, const char *text, bool us, bool metric)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    strbuf_puts(&b, "");
    while (*text) {
        size_t plain = strcspn(text, "["), inside = strcspn(text + plain, "]");
        const char *pair = text + plain, *bar = memchr(pair, '|', inside);
        if (!bar || pair[inside] != ']') { /* no pair: as it stands */
            plain += *pair != '\0';
            strbuf_add(&b, text, plain);
            text += plain;
            continue;
        }
        strbuf_add(&b, text, plain);
        if (us)
            strbuf_add(&b, pair + 1, (size_t)(bar - pair - 1));
        if (us && metric)
            strbuf_puts(&b, " / ");
        if (metric)
            strbuf_add(&b, bar + 1, (size_t)(pair + inside - bar - 1));
        text = pair + inside + 1;
    }
    return b.failed ? NULL : b.p;
}

const char *unit_words(struct arena *arena, const char *text, enum unit_system sys)
{
    return pairs(arena, text, sys == UNITS_US, sys == UNITS_METRIC);
}

const char *unit_words_both(struct arena *arena, const char *text)
{
    return pairs(arena, text, true, true);
}

/* ---- dates -------------------------------------------------------------------------------- */

static const struct {
    const char *name;
    int before; /* days of the year before it */
    int days;
} months[12] = {
    {"January", 0, 31},     {"February", 31, 28}, {"March", 59, 31},     {"April", 90, 30},
    {"May", 120, 31},       {"June", 151, 30},    {"July", 181, 31},     {"August", 212, 31},
    {"September", 243, 30}, {"October", 273, 31}, {"November", 304, 30}, {"December", 334, 31},
};

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool is_letter(char c)
{
    return lower(c) >= 'a' && lower(c) <= 'z';
}

/* 1..12 for a month's name or its first three letters at p, 0 for another word. */
static int month_read(const char *p, size_t n)
{
    for (int m = 0; m < 12; m++) {
        size_t whole = strlen(months[m].name), i = 0;
        while (i < n && i < whole && lower(p[i]) == lower(months[m].name[i]))
            i++;
        if (i == n && (n == 3 || n == whole))
            return m + 1;
    }
    return 0;
}

/* A whole number of least..most digits, -1 when that is not there. */
static int digits_read(const char **p, size_t least, size_t most)
{
    int v = 0;
    size_t n = 0;
    while (n <= most && is_digit((*p)[n]))
        n++;
    if (n < least || n > most)
        return -1;
    for (size_t i = 0; i < n; i++)
        v = 10 * v + ((*p)[i] - '0');
    *p += n;
    return v;
}

static bool leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static bool date_fits(struct date d)
{
    if (d.year < 0 || d.month < 1 || d.month > 12 || d.day < 1)
        return false;
    bool long_february = d.month == 2 && (d.year == 0 || leap(d.year));
    return d.day <= months[d.month - 1].days + long_february;
}

/* "2027-05-01"; *p is left where it went wrong. */
static bool date_numbers(const char **p, struct date *d)
{
    if ((d->year = digits_read(p, 4, 4)) < 1 || **p != '-')
        return false;
    ++*p;
    if ((d->month = digits_read(p, 2, 2)) < 1 || **p != '-')
        return false;
    ++*p;
    return (d->day = digits_read(p, 2, 2)) >= 1;
}

/* "May 1" or "1 May". */
static bool date_words(const char **p, struct date *d)
{
    for (int part = 0; part < 2; part++) {
        size_t n = 0;
        while (is_letter((*p)[n]))
            n++;
        if (n > 0 && d->month == 0) {
            d->month = month_read(*p, n);
            if (d->month == 0)
                return false;
            *p += n;
        } else if (n > 0 || d->day != 0 || (d->day = digits_read(p, 1, 2)) < 1) {
            return false;
        }
        if (part == 0 && !is_space(**p))
            return false;
        *p = skip_space(*p);
    }
    return true;
}

bool date_read(const char *text, struct date *out, size_t *at)
{
    const char *start = skip_space(text), *p = start;
    struct date d = {0};
    bool numbers = strspn(start, "0123456789") >= 3;
    if (!(numbers ? date_numbers(&p, &d) : date_words(&p, &d)) || *skip_space(p) != '\0') {
        if (at)
            *at = (size_t)(p - text);
        return false;
    }
    if (!date_fits(d)) {
        if (at)
            *at = (size_t)(start - text);
        return false;
    }
    *out = d;
    return true;
}

int date_day(struct date d)
{
    if (d.month < 1 || d.month > 12)
        return 1;
    int day = d.day < 1 ? 1 : d.day;
    if (day > months[d.month - 1].days)
        day = months[d.month - 1].days;
    return months[d.month - 1].before + day;
}

const char *date_text(char *buf, size_t cap, int day)
{
    int wrapped = (int)(((long)day - 1) % 365);
    if (wrapped < 0)
        wrapped += 365;
    int m = 11;
    while (months[m].before > wrapped)
        m--;
    snprintf(buf, cap, "%s %d", months[m].name, wrapped - months[m].before + 1);
    return buf;
}
