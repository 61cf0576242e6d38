/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef HARVEST_H
#define HARVEST_H
/* The harvest log: what was weighed, when, where, of what. A CSV file with the columns date,
 * station (or block), crop, weight, unit, and, if they are there, treatment and note, in any order
 * under a line of names. The file is only ever read. */
#include "csv.h"

struct weighing {
    const char *date;      /* "2027-08-14" */
    const char *place;     /* a station, a block, or a half of a trial */
    const char *treatment; /* "" when the log has no such column */
    const char *crop;
    double kg;
    struct pos place_at, treatment_at, crop_at;
    bool bad; /* reported, and not to be used */
};

struct harvest {
    const struct source *src;
    struct weighing *rows;
    size_t n;
    bool treatments; /* the log has that column */
};

/* A weight's unit, kg each; 0: not one of them. "kg g lb oz". */
double harvest_unit_kg(const char *unit);
extern const char harvest_units[]; /* for messages */

/* Reads a log. Every fault of a line is reported with its place: the csv's own, [log-line] too few
 * or too many fields or a last line that was not finished, [log-date], [log-missing], [log-weight],
 * [log-unit], [log-twice]. HR_OK all the same, with those lines marked; the faults are errors, or
 * warnings with skip_bad. HR_INPUT: [log-columns]. HR_NOMEM. */
HR_CHECKED hr_status harvest_read(struct arena *arena, const struct source *src, bool skip_bad,
                                  struct diags *diags, struct harvest *out);
/* Reports a fault of a line and marks it: an error, or a warning when bad lines are skipped. */
__attribute__((format(printf, 6, 7))) void harvest_fault(struct weighing *row, bool skip_bad,
                                                         struct diags *diags, struct pos at,
                                                         const char *check, const char *fmt, ...);
/* The n-th named check of logs and of the trials they belong to, NULL past the end. */
const char *harvest_check_name(size_t n, const char **doc);

#endif
