/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "dim.h"

static hr_status dim_menu(const struct menu *menu, struct arena *arena, struct menu *out)
{
    *out = *menu;
    out->items = ARENA_ARRAY(arena, struct item, (size_t)menu->nitems);
    if (!out->items)
        return HR_NOMEM;
    for (int i = 0; i < menu->nitems; i++) {
        struct item *item = &out->items[i];
        *item = menu->items[i];
        for (int k = 0; k < STAND_PARTS_MAX; k++)
            item->light[k] *= 1 - 1.0 / DIM_PARTS;
        menu_item_value(out, item);
    }
    return HR_OK;
}

hr_status dim_program(const struct program *m, struct arena *arena, struct program *out,
                      bool *alike)
{
    struct menu *menu = ARENA_ARRAY(arena, struct menu, 1);
    hr_status status = menu ? dim_menu(m->menu, arena, menu) : HR_NOMEM;
    if (status == HR_OK)
        status = program_init(out, m->garden, m->zones, menu, arena);
    if (status == HR_OK)
        status = program_build(out);
    *alike =
        status == HR_OK && out->mip.nrows == m->mip.nrows && out->mip.ncolumns == m->mip.ncolumns;
    return status;
}
