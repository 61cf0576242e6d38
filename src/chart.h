/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CHART_H
#define CHART_H
/* The season as a picture: what stands in the ground when, frost dates, hours of work week by
 * week. Told apart by shape, letter and hatching, so that a photocopy will do. */
#include "scene.h"

/* Pages lie on their side. HR_NOMEM. */
HR_CHECKED hr_status chart_scene(struct arena *arena, const struct plan *plan, enum paper paper,
                                 struct scene **out);

#endif
