/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "overwinter.h"

#include <math.h>

/* Plants of a part on one line of a block. */
static int line_plants(const struct plan *plan, int block, int line, int part)
{
    int n = 0;
    for (int s = 0; s < plan->nstations; s++)
        if (plan->stations[s].block == block && plan->stations[s].line == line)
            n += plan->stations[s].plants[part];
    return n;
}

/* Whether the ground of the block goes on to another crop long before winter. */
static bool leaves_early(const struct plan *plan, int b)
{
    return plan->blocks[b].planting->slot == SLOT_FIRST;
}

/* Takes lines of the block until there are `wanted` plants. */
static struct overwinter take(const struct plan *plan, int b, int part, int wanted)
{
    const struct block *block = &plan->blocks[b];
    const struct plot *plot =
        garden_plot(plan->garden, (size_t)plan->zones.items[block->zone].plot);
    const struct seed *seed = block->planting->parts[part].seed;
    struct overwinter o = {
        .block = b, .part = part, .stays = seed_stays(seed, plot) && !leaves_early(plan, b)};
    while (o.lines < block->lines && o.plants < wanted)
        o.plants += line_plants(plan, b, o.lines++, part);
    o.plants = o.plants < wanted ? o.plants : wanted;
    return o;
}

/* Of two blocks the one to keep plants of: what stands into fall, then what has more of them. */
static bool rather(const struct plan *plan, const struct overwinter *a, const struct overwinter *b)
{
    if (b->plants == 0 || leaves_early(plan, a->block) == leaves_early(plan, b->block))
        return a->plants > b->plants;
    return a->plants > 0 && leaves_early(plan, b->block);
}

static bool taken(const struct overwinter *kept, int n, int block)
{
    bool found = false;
    for (int i = 0; i < n; i++)
        found |= kept[i].block == block;
    return found;
}

hr_status overwinter_of(const struct plan *plan, const struct seed *seed, struct arena *arena,
                        struct overwinter **out, int *n)
{
    *n = 0;
    *out = ARENA_ARRAY(arena, struct overwinter, (size_t)plan->nblocks);
    if (!*out)
        return HR_NOMEM;
    if (!seed_second_year(seed) || !seed->crop->seed_stand.set)
        return HR_OK;
    for (int wanted = (int)ceil(seed->crop->seed_stand.typ); wanted > 0;) {
        struct overwinter most = {0};
        for (int b = 0; b < plan->nblocks; b++)
            for (int k = 0; k < plan->blocks[b].planting->nparts; k++) {
                struct overwinter o = {0};
                if (plan->blocks[b].planting->parts[k].seed == seed && !taken(*out, *n, b))
                    o = take(plan, b, k, wanted);
                if (rather(plan, &o, &most))
                    most = o;
            }
        if (most.plants == 0)
            break;
        wanted -= most.plants;
        (*out)[(*n)++] = most;
    }
    return HR_OK;
}

const char *overwinter_rows(struct arena *arena, const struct overwinter *o)
{
    if (o->lines == 1)
        return arena_printf(arena, "row %d.1", o->block + 1);
    return arena_printf(arena, "rows %d.1 to %d.%d", o->block + 1, o->block + 1, o->lines);
}

struct rect overwinter_ground(const struct plan *plan, const struct overwinter *o)
{
    struct block part = plan->blocks[o->block];
    part.depth_m = planting_depth(part.planting, o->lines);
    return block_rect(&part, &plan->zones.items[part.zone]);
}
