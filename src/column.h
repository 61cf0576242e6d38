/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COLUMN_H
#define COLUMN_H
/* Text and small drawings written down a column, in pieces that are not torn apart when the column
 * is set on pages. */
#include "scene.h"

struct piece {
    struct page draft; /* its upper left is (0, 0) */
    double height_mm;
    double gap_mm; /* above it, unless it begins a column */
    struct piece *next;
};

struct column {
    struct arena *arena;
    struct piece *first, *last;
    struct page *page; /* the draft of the last piece */
    double x, y, w;    /* where its next line begins, and how long it may be, mm */
    double scale;      /* of its type; none is set smaller than TYPE_LEAST_MM */
    bool failed;       /* memory ran out */
    struct page none;  /* written on then */
};

void column_init(struct column *column, struct arena *arena, double width_mm, double scale);
/* Ends the piece and begins another below it. */
void column_cut(struct column *column, double gap_mm);
/* A paragraph wrapped to the column; lines after the first stand indent_mm further in. text NULL
 * (it could not be made): the column has failed. */
void column_text(struct column *column, double size_mm, bool bold, double indent_mm,
                 const char *text);
/* Begins a piece with a head and a rule below it. */
void column_head(struct column *column, const char *text);
/* Sets pieces from `from` on into `columns` columns of the room, one after the other; page NULL:
 * only tries. The first piece that had no room, NULL: all are set. A piece too tall for any column
 * is set where a column is empty. */
const struct piece *column_set(const struct piece *from, struct rect room, int columns,
                               double gap_mm, struct page *page);

#endif
