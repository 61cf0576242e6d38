/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPLANT_H
#define REPLANT_H
/* The hills of a plan planted over again in another way: the same plants of the same crops on the
 * same ground, all else left as it is. What differs then is neither density nor edge. */
#include "plan.h"

/* The guild's hills as a row guild: the same plants on the same lines, spread along them. */
HR_CHECKED hr_status replant_row_guild(const struct plan *plan, const struct guild *guild,
                                       struct plan **out);
/* As separate rows: the ground of each block of hills shared among its crops in strips, each with
 * all its plants, the shares those that give most by the garden's goal. */
HR_CHECKED hr_status replant_rows(const struct plan *plan, const struct guild *guild,
                                  struct plan **out);
/* Ground of the guild's hills in the plan, m2; 0: it has none. */
double replant_ground(const struct plan *plan, const struct guild *guild);

#endif
