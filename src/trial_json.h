/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TRIAL_JSON_H
#define TRIAL_JSON_H
/* trial.json: a trial as data, out and, as far as a review needs it, in. */
#include "trial.h"

#define TRIAL_FORMAT 1

/* HR_NOMEM. */
HR_CHECKED hr_status trial_json_write(const struct trial *trial, struct arena *arena,
                                      const char **out);
/* Reads what was set out and what was expected; the trial then has no garden, guild or plan.
 * HR_IO; HR_INPUT with [trial-json]; HR_NOMEM. */
HR_CHECKED hr_status trial_json_read(struct arena *arena, const char *path, struct diags *diags,
                                     struct trial **out);

#endif
