/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef KEPT_OFF_H
#define KEPT_OFF_H
/* What a menu lacks because families keep off ground that they stood on: who, and until when. */
#include "menu.h"

/* Names among menu->left_out the crops and guilds that have plantings, but no place: on all ground
 * where one would fit a family of it stood too lately. HR_NOMEM. */
HR_CHECKED hr_status kept_off_find(const struct garden *garden, const struct zones *zones,
                                   struct arena *arena, struct menu *menu);
/* The year from which the crop's family may stand in the zone again, or counts there for what it
 * gives; 0: now. */
int kept_off_until(const struct garden *garden, const struct zone *zone, const struct crop *crop);

#endif
