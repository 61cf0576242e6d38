/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LAYOUT_H
#define LAYOUT_H
/* Layouts to hold against each other: the same garden, told to grow in one way only. */
#include "garden.h"

/* The first ones are always compared; their names: garden_layouts. */
enum layout_kind {
    LAYOUT_HILLS,     /* the guild in hills, other crops in rows */
    LAYOUT_ROWS,      /* all crops in rows of their own */
    LAYOUT_ROW_GUILD, /* the guild sown in rows, other crops in rows of their own */
    LAYOUT_FREE,      /* all of these */
    LAYOUT_OWN,       /* as the gardener asks */
    LAYOUT_COUNT
};

/* The guild to compare by: of those the garden lets in and has seed for, the first it names; if it
 * names none, the one of most crops that is grown in hills. NULL: none. */
const struct guild *layout_guild(const struct garden *garden);
/* Whether a crop may fill a place of the guild. */
bool layout_in_guild(const struct guild *guild, const struct crop *crop);
/* A copy of the garden, on the same terms, that may be planted in that way alone. In LAYOUT_HILLS
 * and LAYOUT_ROW_GUILD the guild has a place, be it small: else there would be nothing to compare.
 * guild: NULL is fine for LAYOUT_ROWS, LAYOUT_FREE and LAYOUT_OWN; own: of LAYOUT_OWN. HR_NOMEM. */
HR_CHECKED hr_status layout_garden(const struct garden *garden, const struct guild *guild,
                                   enum layout_kind kind, const struct grow *own,
                                   struct arena *arena, struct garden **out);

#endif
