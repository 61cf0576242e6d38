/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COMPARE_WORDS_H
#define COMPARE_WORDS_H
/* What a comparison says, in plain words: for the table, the page and the JSON alike. */
#include "compare.h"

/* "20.8 days", "53,400 kcal", "1,610 g": what the goal is about, in three digits. */
const char *compare_worth(struct arena *arena, const struct garden *garden, double v);
/* The same in two digits, for what lies between two layouts. */
const char *compare_lead(struct arena *arena, const struct garden *garden, double v);
/* "full food", "food energy", "usable protein". */
const char *compare_measure(const struct garden *garden);
/* "20.8 (14-29)": typical, low, high, each times factor, in as many digits as go into the width. */
#define COMPARE_RANGE_WIDTH 14
const char *compare_range(struct arena *arena, struct span span, double factor);
/* "97 %", never rounded to 0 or 100 unless it is that: "> 99 %". */
const char *compare_share(struct arena *arena, double share);

struct verdict {
    const char *headline; /* the answer in a line */
    const char *best;     /* each at its own best: who beats whom, how surely */
    const char *same;     /* with the same plants on the same ground; "" without */
    const char *turns;    /* what it turns on */
    const char *proof;    /* how far the plans are proved */
    const char *brief[2]; /* best and same, each in a line for the page; "" without */
    int top;              /* index in the best group of the one that gives most; -1: none */
};

/* HR_NOMEM. */
HR_CHECKED hr_status compare_verdict(const struct compare *c, struct arena *arena,
                                     struct verdict *out);

#endif
