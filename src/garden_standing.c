/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands already, as lots of seed that nobody has to sow. See garden.h. */
#include "garden.h"

#include <string.h>

bool standing_along_x(const struct standing *s)
{
    return s->rows.v >= 0 ? s->rows.v == ROWS_ALONG_X : s->size.x >= s->size.y;
}

/* The lot of that crop and variety among those from `first` on; its place for a new one. */
static size_t lot_of(const struct garden *g, size_t first, const struct crop *crop,
                     const char *variety)
{
    size_t i = first;
    while (i < g->seed.n &&
           (garden_seed(g, i)->crop != crop || strcmp(garden_seed(g, i)->variety.s, variety) != 0))
        i++;
    return i;
}

hr_status garden_standing_seeds(struct garden *g, struct arena *arena)
{
    size_t n = 0, first = g->seed.n;
    for (size_t i = 0; i < g->plots.n; i++)
        n += garden_plot(g, i)->standing.n;
    if (n == 0)
        return HR_OK;
    struct seed *all = ARENA_ARRAY(arena, struct seed, first + n);
    if (!all)
        return HR_NOMEM;
    memcpy(all, g->seed.items, first * sizeof *all);
    g->seed.items = all;
    for (size_t i = 0; i < g->plots.n; i++)
        for (size_t k = 0; k < garden_plot(g, i)->standing.n; k++) {
            struct standing *s = plot_standing(garden_plot(g, i), k);
            const struct crop *crop = garden_crop(g, s->crop_name.s);
            /* a name of its own: the same variety may be in hand, too */
            const char *how = s->for_seed.v ? "for seed" : "standing";
            const char *name =
                s->variety.s ? arena_printf(arena, "%s, %s", s->variety.s, how) : how;
            if (!name)
                return HR_NOMEM;
            size_t lot = lot_of(g, first, crop, name);
            s->seed_index = (int)lot;
            if (lot < g->seed.n)
                continue;
            all[g->seed.n++] = (struct seed){.variety = {name, s->at},
                                             .crop_name = s->crop_name,
                                             .crop = crop,
                                             .standing = true,
                                             .for_seed = s->for_seed.v,
                                             .stands = s->variety.s,
                                             .at = s->at};
        }
    return HR_OK;
}
