/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SCENE_TRIAL_H
#define SCENE_TRIAL_H
/* The map of a trial: the plot with its blocks, each half named with its treatment, guards shaded,
 * net ground outlined, and how each half is planted. */
#include "scene.h"
#include "trial.h"

/* HR_NOMEM. */
HR_CHECKED hr_status scene_trial(struct arena *arena, const struct trial *trial, enum paper paper,
                                 struct scene **out);

#endif
