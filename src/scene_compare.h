/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SCENE_COMPARE_H
#define SCENE_COMPARE_H
/* A comparison on one page: the answer, the layouts side by side at one scale with their key
 * figures, the ranges as intervals, energy against protein. */
#include "compare.h"
#include "scene.h"

HR_CHECKED hr_status scene_compare(struct arena *arena, const struct compare *c, enum paper paper,
                                   struct scene **out);

#endif
