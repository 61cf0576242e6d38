/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BENCH_GARDENS_H
#define BENCH_GARDENS_H
/* Made-up gardens, the same for the same seed: for the benchmark and for the tests. */
#include <stdbool.h>
#include <stdio.h>

enum gardens_rows { GARDENS_ALONG_X, GARDENS_ALONG_Y, GARDENS_EITHER, GARDENS_MIXED };
enum {                      /* what is asked of it, to be added up */
       GARDENS_AMOUNTS = 1, /* seed in hand is limited */
       GARDENS_WISHES = 2,
       GARDENS_LIMITS = 4,   /* of hours, of shares, of blocks */
       GARDENS_OBSTACLES = 8 /* things beside some plots that cast shade */
};

struct gardens_spec {
    unsigned long seed;
    int zones; /* of one row direction; a plot with a path through its middle has two */
    int crops; /* in hand; most come at three spacings */
    bool guild;
    enum gardens_rows rows;
    double side_low_m, side_high_m; /* of a zone */
    int asks;
    const char *goal;
};

void gardens_write(const struct gardens_spec *spec, FILE *out);

#endif
