/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "kept_off.h"

#include <string.h>

#include "rotation.h"
#include "turns.h"

int kept_off_until(const struct garden *garden, const struct zone *zone, const struct crop *crop)
{
    const struct former *f = rotation_former(garden, zone, crop);
    return f ? f->year + (int)garden->rotation.years.v + 1 : 0;
}

/* Where a planting would fit first, if its families had not stood there. */
struct return_to {
    int year; /* 0: rotation is not what keeps it off */
    const struct crop *crop;
};

static struct return_to planting_returns(const struct garden *g, const struct zones *zones,
                                         const struct menu *menu, int t)
{
    const struct planting *p = &menu->plantings[t];
    struct return_to first = {0, NULL};
    for (size_t z = 0; z < zones->n; z++) {
        struct item item;
        struct return_to here = {0, NULL};
        if (!menu_allows(g, p, &zones->items[z]) || !turns_allow(menu, p, &zones->items[z]) ||
            !menu_item_make(menu, zones, (int)z, t, &item))
            continue;
        for (int k = 0; k < p->nparts; k++) {
            int year = kept_off_until(g, &zones->items[z], p->parts[k].crop);
            if (year > here.year)
                here = (struct return_to){year, p->parts[k].crop};
        }
        if (here.year > 0 && (first.year == 0 || here.year < first.year))
            first = here;
    }
    return first;
}

static const char *name_of(const struct planting *p)
{
    return p->guild ? p->guild->name.s : p->parts[0].crop->name.s;
}

static bool has_item(const struct menu *menu, const char *name)
{
    for (int i = 0; i < menu->nitems; i++)
        if (strcmp(name_of(&menu->plantings[menu->items[i].planting]), name) == 0)
            return true;
    return false;
}

static bool is_left_out(const struct menu *menu, const char *name)
{
    for (int i = 0; i < menu->nleft_out; i++)
        if (strcmp(menu->left_out[i].name, name) == 0)
            return true;
    return false;
}

hr_status kept_off_find(const struct garden *garden, const struct zones *zones, struct arena *arena,
                        struct menu *menu)
{
    if (garden->rotation.rule.v != ROTATION_BAR || garden->nformer == 0)
        return HR_OK;
    for (int t = 0; t < menu->nplantings; t++) {
        const struct planting *p = &menu->plantings[t];
        const char *name = name_of(p);
        if (has_item(menu, name) || is_left_out(menu, name) ||
            menu->nleft_out >= MENU_PLANTINGS_MAX)
            continue;
        struct return_to back = planting_returns(garden, zones, menu, t);
        if (back.year == 0)
            continue;
        const char *why = arena_printf(
            arena,
            "the family of %s (%s) stood in %d on all the ground where it would fit, and keeps off "
            "it (`rotation`) until %d; with fewer `years` or another `rule` it may stand there",
            back.crop->name.s, back.crop->family.s, back.year - (int)garden->rotation.years.v - 1,
            back.year);
        if (!why)
            return HR_NOMEM;
        menu->left_out[menu->nleft_out++] =
            (struct left_out){name, why, p->guild ? garden->rotation.at : p->parts[0].seed->at};
    }
    return HR_OK;
}
