/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JOIN_H
#define JOIN_H
/* One filling out of a list for each zone, so that together they lose least: by their gaps, by what
 * they leave unused of rows that have a price, and by goals that are not level. */
#include "fillings.h"

/* A row that all zones share: sum <= side, and each unit short of it loses the price. Of a goal:
 * the sum is how much more of it there is than of the first goal. */
struct join_row {
    bool goal;
    double side, price; /* price of the goal: its weight */
    double unit;        /* all uses are whole multiples of it; 0: they are not */
};

struct join_problem {
    int nzones, nrows;
    const struct join_row *rows;
    const struct fillings *lists; /* per zone, with what is used of these rows */
    double first_weight;          /* of the first goal */
    double budget;                /* plans that lose more do not matter */
    long *work;                   /* steps that are left; they end it when none are */
    /* A plan that loses so much by these rows: a filling of each zone. True: it is one, and only
     * those that lose less matter from now on. False with *stop: end. */
    bool (*accept)(void *data, const int *chosen, double loss, bool *stop);
    bool (*go_on)(void *data); /* asked now and then; false ends it */
    void *data;
};

struct join_result {
    double least; /* no plan loses less; the budget when none was found to lose less than that */
    bool exact;   /* all plans within the budget were looked at */
};

/* HR_NOMEM. */
HR_CHECKED hr_status join_least(const struct join_problem *problem, struct arena *arena,
                                struct join_result *out);

#endif
