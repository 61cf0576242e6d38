/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Monthly temperatures. See check.h. */
#include "check_work.h"

#define DAYS_YEAR 365

static double month_mean_c(const struct normals *n, int month)
{
    return (n->max.c[month].v + n->min.c[month].v) / 2;
}

/* The month, from 0, in the middle between the median frosts. */
static int middle_month(const struct site *site)
{
    int last = date_day(site->last_frost.median.d), first = date_day(site->first_frost.median.d);
    int days = ((first - last) % DAYS_YEAR + DAYS_YEAR) % DAYS_YEAR;
    int middle = (last + days / 2 - 1) % DAYS_YEAR;
    return middle * NORMALS_MONTHS / DAYS_YEAR;
}

void check_normals(struct checking *c)
{
    const struct site *site = &c->g->site;
    const struct normals *n = &site->normals;
    double year_c = 0;
    size_t errors = diags_errors(c->diags);
    if (!normals_set(n))
        return;
    for (int k = 0; k < NORMALS_MONTHS; k++) {
        year_c += month_mean_c(n, k) / NORMALS_MONTHS;
        if (n->min.c[k].v > n->max.c[k].v)
            diag_error(c->diags, n->min.c[k].at, "normals-order",
                       "`min` of `%s` is above its `max`", month_names[k]);
    }
    int middle = middle_month(site);
    if (diags_errors(c->diags) == errors && month_mean_c(n, middle) < year_c)
        diag_error(c->diags, n->max.c[middle].at, "normals-season",
                   "`%s` lies in the middle of the frost-free season, but is colder here than the "
                   "year; do these temperatures begin with January?",
                   month_names[middle]);
}
