/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COLLISION_H
#define COLLISION_H
/* When no plan meets all terms: which of them collide, and what could be had. */
#include "program.h"

/* Reports a set of terms that collide while no part of it does, each where it stands in the garden
 * file, and for each at-least wish among them the most that the others leave room for.
 * HR_INFEASIBLE, HR_NOMEM, HR_BUG. Leaves on in m->terms just those that collide. */
HR_CHECKED hr_status collision_explain(struct program *m, struct diags *diags);
/* Whether the terms of a program as it is built, all of them on, are soon seen to collide: not
 * where that takes a search. Scratch from arena. HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status collision_sure(const struct program *m, struct arena *arena, bool *sure);

#endif
