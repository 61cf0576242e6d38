/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DIM_H
#define DIM_H
/* The same program in a little less light, to see what in it depends on light. */
#include "program.h"

#define DIM_PARTS 16 /* the light is less by one of so many */

/* Builds the program of m's garden with all items' light less by 1/DIM_PARTS. *alike: it has the
 * same rows and columns, so entries can be held side by side. HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status dim_program(const struct program *m, struct arena *arena, struct program *out,
                                 bool *alike);

#endif
