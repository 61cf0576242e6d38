/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "normals.h"

#include <math.h>
#include <stdint.h>

#define COUNT_OF(a) (sizeof(a) / sizeof((a)[0]))
#define HARMONICS   6 /* all that twelve values can tell apart */

const char *const month_names[] = {"jan", "feb", "mar", "apr", "may", "jun", "jul",
                                   "aug", "sep", "oct", "nov", "dec", NULL};

/* ---- tables --------------------------------------------------------------------------------- */

#define MONTH(key, i, words)                                                                       \
    {                                                                                              \
        .name = (key), .type = FIELD_QTY, .offset = offsetof(struct months, c[i]),                 \
        .required = true, .kind = UNIT_TEMPERATURE, .min = -60, .max = 60, .doc = (words)          \
    }
static const struct field month_fields[] = {
    MONTH("jan", 0, "January's"), MONTH("feb", 1, "February's"),  MONTH("mar", 2, "March's"),
    MONTH("apr", 3, "April's"),   MONTH("may", 4, "May's"),       MONTH("jun", 5, "June's"),
    MONTH("jul", 6, "July's"),    MONTH("aug", 7, "August's"),    MONTH("sep", 8, "September's"),
    MONTH("oct", 9, "October's"), MONTH("nov", 10, "November's"), MONTH("dec", 11, "December's"),
};
static const struct field_table months_table = {
    .name = "monthly temperatures",
    .size = sizeof(struct months),
    .at_offset = SIZE_MAX,
    .fields = month_fields,
    .n = COUNT_OF(month_fields),
    .own_figures = true,
};

#define MONTHS(key, member, words)                                                                 \
    {                                                                                              \
        .name = (key), .type = FIELD_MAP, .offset = offsetof(struct normals, member),              \
        .required = true, .sub = &months_table, .doc = (words)                                     \
    }
static const struct field normals_fields[] = {
    MONTHS("max", max, "the mean of the days' highest temperatures, month by month"),
    MONTHS("min", min, "the mean of the nights' lowest"),
};
const struct field_table normals_table = {
    .name = "normals",
    .size = sizeof(struct normals),
    .at_offset = offsetof(struct normals, at),
    .fields = normals_fields,
    .n = COUNT_OF(normals_fields),
    .own_figures = true,
};

/* ---- days between months -------------------------------------------------------------------- */

static const int month_days[NORMALS_MONTHS] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

/* The harmonics whose means over the months are the given ones (Epstein 1991, Journal of Climate 4:
 * 365-368, worked out anew here): the mean of cos(w t) over a month either side of t is cos(w t)
 * sin(w/2) / (w/2), so the amplitudes of the twelve means are divided by that. */
struct wave {
    double mean, cosine[HARMONICS + 1], sine[HARMONICS + 1];
};

static struct wave wave_of(const struct months *m)
{
    struct wave w = {0};
    for (int k = 0; k < NORMALS_MONTHS; k++)
        w.mean += m->c[k].v / NORMALS_MONTHS;
    for (int j = 1; j <= HARMONICS; j++) {
        double half = M_PI * j / NORMALS_MONTHS, share = j < HARMONICS ? 6 : 12;
        for (int k = 0; k < NORMALS_MONTHS; k++) {
            w.cosine[j] += half / sin(half) / share * m->c[k].v * cos(2 * half * k);
            w.sine[j] += half / sin(half) / share * m->c[k].v * sin(2 * half * k);
        }
    }
    return w;
}

/* t: months from the middle of January. */
static double wave_at(const struct wave *w, double t)
{
    double v = w->mean;
    for (int j = 1; j <= HARMONICS; j++) {
        double angle = 2 * M_PI * j * t / NORMALS_MONTHS;
        v += w->cosine[j] * cos(angle) + w->sine[j] * sin(angle);
    }
    return v;
}

/* Bare ground 5 cm down: Kaetterer and Andren 2009 (Acta Agriculturae Scandinavica B 59:77-86), as
 * the R package `re` has it, without leaves. The surface is warmer than the air above freezing, as
 * the sun reaches it, and held up by snow below; the ground takes on a share of the difference each
 * day. Made for the days of real years; that it holds for their means, too, is an estimate. */
#define SURFACE_WARM  (0.95 + 0.05 * exp(0.4 * 3))
#define SURFACE_COLD  0.2
#define SOIL_DEPTH_CM 5
#define SOIL_TAKES    (0.24 * exp(-0.017 * SOIL_DEPTH_CM))
#define SOIL_SETTLES  3 /* years until nothing is left of where it began */

static void soil_fill(struct daily *d)
{
    double soil = daily_mean_c(d, 1);
    for (int i = 0; i < SOIL_SETTLES * NORMALS_DAYS; i++) {
        double air = daily_mean_c(d, i + 1);
        double surface = air * (air < 0 ? SURFACE_COLD : SURFACE_WARM);
        d->soil_c[i % NORMALS_DAYS] = soil;
        soil += (surface - soil) * SOIL_TAKES;
    }
}

const struct daily *normals_daily(const struct normals *n, struct arena *arena)
{
    struct daily *d = ARENA_NEW(arena, struct daily);
    if (!d)
        return NULL;
    struct wave max = wave_of(&n->max), min = wave_of(&n->min);
    int i = 0;
    for (int k = 0; k < NORMALS_MONTHS; k++)
        for (int day = 0; day < month_days[k]; day++, i++) {
            double t = k + (day + 0.5) / month_days[k] - 0.5;
            d->max_c[i] = wave_at(&max, t);
            d->min_c[i] = wave_at(&min, t);
        }
    soil_fill(d);
    return d;
}
