/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FILLINGS_H
#define FILLINGS_H
/* All fillings of one zone that are worth nearly as much as its best one, at given worths of the
 * program's columns, with what each uses of some rows of the program. */
#include "filling.h"
#include "filling_light.h"

#define FILLINGS_ROWS_MAX 10

/* What to list. */
struct fillings_query {
    const struct program *m;
    size_t zone;
    const double *worth; /* per column of the program */
    double best;         /* no filling of the zone is worth more */
    double budget;       /* nor is one listed that is worth less than best - budget */
    int nrows;
    const double *const *use; /* per row: what one of each column of the program uses of it */
    /* What blocks take of each other's light, of the first goal and then of each row; NULL:
     * nothing. A goal's use is how much more of it there is than of the first. */
    const struct filling_light *light;
    const bool *light_goal;    /* per row: it is a goal */
    long *work;                /* steps that are left: give up when none are, */
    long most;                 /* or when there are more fillings, */
    bool (*go_on)(void *data); /* or when this, asked now and then, says no; NULL: go on */
    void *data;
};

struct fillings {
    int n;
    double *gap;  /* per filling: best less its worth, in its light, from 0 to the budget */
    double *used; /* [n][nrows] */
    bool whole;   /* false: given up, some are missing */
    struct filling_lines *lines; /* what stands in them; see fillings_read */
    struct filling_parts *parts;
    int *of_lines, *of_parts; /* per filling: which of these; -1: no shared line */
};

/* In no order. An empty filling is one, too. HR_NOMEM. */
HR_CHECKED hr_status fillings_list(const struct fillings_query *query, struct arena *arena,
                                   struct fillings *out);
/* What stands in filling k, for its light. */
struct filling_stands fillings_stands(const struct fillings *list, int k);
#define FILLINGS_COLUMNS_MAX 64
/* The columns of filling k that are not 0, and what they are. Returns how many, at most
 * FILLINGS_COLUMNS_MAX. */
int fillings_columns(const struct program *m, size_t zone, const struct fillings *list, int k,
                     int *columns, double *values);
/* Sets the zone's columns of x (0 before) to filling k of the list. */
void fillings_read(const struct program *m, size_t zone, const struct fillings *list, int k,
                   double *x);

#endif
