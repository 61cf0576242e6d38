/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef VERIFY_H
#define VERIFY_H
/* Re-checks a plan against its garden from the stations up; shares nothing with mip, allocate or
 * arrange. */
#include "plan.h"

/* Every breach is an error [verify-...] in diags: stations inside the free ground; hills whole
 * inside it; distances between stations and between blocks by the half-spacing rule; lines inside
 * their zones; seed in hand; wishes; share limits; hours; season; one row direction a plot; blocks
 * a zone; plants per station; food, value and gap worked out again from stand and food laws (1e-6
 * relative); low <= typical <= high; bound >= value. HR_OK or HR_INPUT, HR_NOMEM. */
HR_CHECKED hr_status verify_plan(const struct plan *plan, struct arena *arena, struct diags *diags);
/* The n-th check and what it finds; NULL past the end. */
const char *verify_check_name(size_t n, const char **doc);

#endif
