/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef EXPLAIN_H
#define EXPLAIN_H
/* Why a crop got no ground, and what more of something would bring: the prices of the program. */
#include "plan.h"

/* For each variety and guild to consider that the plan leaves out, the reason and what would have
 * to change; for each term that binds, what a little more of it is worth. Of a fresh plan only
 * (HR_BUG for one read back). At most 80 columns. HR_NOMEM. */
HR_CHECKED hr_status explain_plan(struct plan *plan, struct strbuf *out);

#endif
