/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LABEL_H
#define LABEL_H
/* Where on a page there is still room: boxes that are taken, and the search for a clear spot. */
#include "scene.h"

struct label_cell; /* a list of the boxes that touch a square of the page */

struct labels {
    struct arena *arena;
    struct rect area; /* of the page, mm: no label leaves it */
    struct label_cell **cells;
    int columns, rows;
    bool failed; /* memory ran out */
};

void labels_init(struct labels *labels, struct arena *arena, struct rect area);
/* From now on the box is taken. */
void labels_take(struct labels *labels, struct rect box);
/* The same of a line, which may slant, and a little on both sides of it. */
void labels_take_line(struct labels *labels, struct mm a, struct mm b);
/* Whether a line from a to b, and a little on both sides of it, is clear. */
bool labels_line_clear(const struct labels *labels, struct mm a, struct mm b);
/* Whether the box lies in the area and overlaps nothing that is taken. */
bool labels_clear(const struct labels *labels, struct rect box);
/* The first clear place of a box of that size inside `in`, searched from its upper left in steps.
 * *at: the box. */
bool labels_search(const struct labels *labels, struct rect in, double w_mm, double h_mm,
                   struct rect *at);
/* Moves the n sorted places the least so that neighbours stand at least `gap` apart, within lo..hi;
 * false when there is no room for all (they are then left as they are). */
bool labels_spread(double *places, int n, double gap, double lo, double hi);

#endif
