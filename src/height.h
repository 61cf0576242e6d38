/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef HEIGHT_H
#define HEIGHT_H
/* Rules of height along the sides of a plot: zones that lie partly under one are cut in two. */
#include "zone.h"

/* Sets tallest_m of the zones from `first` on, all of one plot and direction, and cuts those that a
 * rule holds for in part: the near part under the rule, the far part free of it. A near part too
 * shallow for a line is left unplanted; a far part too shallow goes with the near one. Stops
 * cutting at ZONES_MAX; then the whole zone is under the rule. HR_NOMEM. */
HR_CHECKED hr_status height_cut(const struct plot *plot, struct zones *zones, size_t first,
                                struct arena *arena);

/* Puts those zones, whole, under every rule that reaches them. HR_NOMEM. */
HR_CHECKED hr_status height_limit(const struct plot *plot, struct zones *zones, size_t first,
                                  struct arena *arena);

#endif
