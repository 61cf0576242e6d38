/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PROGRAM_WORK_H
#define PROGRAM_WORK_H
/* What the files of the program share. */
#include "program.h"

/* From what an odd and an even line of item i give: n lines, q of them odd; a station of a shared
 * line gives its share of an odd one. */
struct coef program_per_line(const struct program *m, int i, double odd, double even);
/* Puts an item's total, times scale, into a row. */
void program_add(struct program *m, int row, int i, struct coef c, double scale);
struct coef program_energy(const struct program *m, int i);
/* Ground of the block, m2, times `share`. */
struct coef program_area(const struct program *m, int i, double share);
/* What item i adds to the quantity a wish speaks of: kg, plants, m2, or kcal for a share of energy.
 */
struct coef program_wish_amount(const struct program *m, int i, const struct wish *wish,
                                enum unit_kind kind);
/* The terms of the garden, all on. HR_NOMEM. */
HR_CHECKED hr_status program_list_terms(struct program *m);
/* The rows of one term. */
void program_term(struct program *m, const struct term *term);

#endif
