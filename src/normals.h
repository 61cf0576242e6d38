/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef NORMALS_H
#define NORMALS_H
/* A site's monthly mean temperatures, and the days between them. */
#include "field.h"

#define NORMALS_MONTHS 12
#define NORMALS_DAYS   365

struct months {
    struct qty c[NORMALS_MONTHS]; /* degrees Celsius, January first; all set or none */
};

struct normals {
    struct months max, min; /* means of the days' highest and lowest temperatures */
    struct pos at;
};

extern const struct field_table normals_table;
extern const char *const month_names[]; /* jan ... dec, as in the file; NULL */

/* Each day of the year, C: day 0 is January 1. */
struct daily {
    double max_c[NORMALS_DAYS], min_c[NORMALS_DAYS];
    double soil_c[NORMALS_DAYS]; /* mean of bare ground 5 cm (2 in) down */
};

static inline bool normals_set(const struct normals *n)
{
    return n->max.c[0].set && n->min.c[0].set;
}
/* The days of a year with these means. NULL: out of memory. */
const struct daily *normals_daily(const struct normals *n, struct arena *arena);
/* Index into the arrays of a day as date_day counts them, over the year's end and before it. */
static inline int daily_at(int day)
{
    int i = (day - 1) % NORMALS_DAYS;
    return i < 0 ? i + NORMALS_DAYS : i;
}
static inline double daily_mean_c(const struct daily *d, int day)
{
    return (d->max_c[daily_at(day)] + d->min_c[daily_at(day)]) / 2;
}

#endif
