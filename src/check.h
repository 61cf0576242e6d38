/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CHECK_H
#define CHECK_H
/* Named checks of a garden: a table; all run, all reported. */
#include "garden.h"

/* Runs every check on a garden that garden_read accepted. HR_INPUT when any reported an error. */
HR_CHECKED hr_status check_garden(const struct garden *garden, struct arena *arena,
                                  struct diags *diags);
/* The n-th name of all that may stand in [brackets], from reading to these checks; NULL past the
 * end. */
const char *check_name(size_t n, const char **doc);

#endif
