/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHEET_MAKER_H
#define SHEET_MAKER_H
/* What the files that make a sheet share: sheet.c (hills, sowing, harvest), sheet_ground.c (soil,
 * weeds, mulch), sheet_stock.c (seed, cautions). */
#include "map.h"
#include "sheet.h"

struct maker {
    struct arena *arena;
    const struct plan *plan;
    const struct symbol *symbols;
    struct sheet *sheet;
    bool failed; /* memory ran out */
};

/* Words, in the garden's units; never NULL. */
__attribute__((format(printf, 2, 3))) const char *maker_words(struct maker *m, const char *fmt,
                                                              ...);
const char *maker_length(struct maker *m, double v);
const char *maker_tape(struct maker *m, double v);
const char *maker_date(struct maker *m, int day);
/* "July 4 to August 3", or the one day. */
const char *maker_dates(struct maker *m, int from, int to);
/* "flint corn, Ember Ridge (F)" */
const char *maker_variety(struct maker *m, const struct part *part);

struct sheet_stage *maker_stage(struct maker *m, enum stage_kind kind, int day);
/* The stage of that kind, variety, day, trigger and way, if there is one: its jobs go together. */
struct sheet_stage *maker_same_stage(struct maker *m, enum stage_kind kind, int seed, int day,
                                     const char *trigger, const char *how);
void maker_job(struct maker *m, struct sheet_stage *stage, const struct sheet_job *job);
/* Jobs of part k (-1: all parts) of block b: for its hills; one for each row that is sown, for
 * other work one for all its rows. */
void maker_block_jobs(struct maker *m, struct sheet_stage *stage, int b, int k);
/* One job for the block as a whole. */
void maker_block_job(struct maker *m, struct sheet_stage *stage, int b, int k);
/* A job of the ground as a whole, in one sentence; plot -1: of no single one. */
void maker_line(struct maker *m, struct sheet_stage *stage, int plot, const char *text);
/* Sowing spots to a station of a crop that is thinned out along the row, 1 of any other. */
int maker_spots(const struct planting *p, const struct part *part);

/* sheet_ground.c: each adds its stages. */
void maker_ready(struct maker *m);
void maker_weeding(struct maker *m, int b);
void maker_earthing_up(struct maker *m, int b);
void maker_mulch(struct maker *m);

/* sheet_fall.c: cover crops, clearing. */
void maker_fall(struct maker *m);

/* sheet_stock.c */
/* Which plants of a biennial are kept for its seed, and where; "" when there is none to save. */
const char *maker_second_year(struct maker *m, const struct part *part);
void maker_seeds(struct maker *m);
HR_CHECKED hr_status maker_cautions(struct maker *m);

#endif
