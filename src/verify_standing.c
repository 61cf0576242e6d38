/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands already, held against the garden file. See verify.h. */
#include "verify_work.h"

#include <math.h>

#include "standing_days.h"

#define NEAR_M 1e-6

static bool same_place(const struct zone *z, size_t plot, const struct standing *s)
{
    return (size_t)z->plot == plot && fabs(z->r.x0 - s->corner.x) <= NEAR_M &&
           fabs(z->r.y0 - s->corner.y) <= NEAR_M &&
           fabs(z->r.x1 - s->corner.x - s->size.x) <= NEAR_M &&
           fabs(z->r.y1 - s->corner.y - s->size.y) <= NEAR_M;
}

/* The block that stands there; -1: none. */
static int block_at(const struct verifying *v, size_t plot, const struct standing *s)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct block *block = &v->plan->blocks[b];
        if (planting_standing(block->planting) &&
            same_place(&v->plan->zones.items[block->zone], plot, s))
            return b;
    }
    return -1;
}

static int whole_at_least_one(double x)
{
    return x < 1 ? 1 : (int)floor(x + NEAR_M);
}

/* The last day it may be there. */
static int last_day(const struct verifying *v, const struct plot *plot, const struct standing *s)
{
    int day = STAY_LATEST;
    if (plot->clear.set)
        day = season_day(&v->garden->site, plot->clear.d);
    if (s->until.set && season_day(&v->garden->site, s->until.d) < day)
        day = season_day(&v->garden->site, s->until.d);
    return day;
}

/* Whether something is planted where block b stands. */
static bool followed(const struct verifying *v, int b)
{
    bool found = false;
    for (int a = 0; a < v->plan->nblocks; a++)
        found |= a != b && v->plan->blocks[a].zone == v->plan->blocks[b].zone;
    return found;
}

/* What goes by that name is where something stands. */
static void zone_taken(struct verifying *v, int b)
{
    bool found = planting_standing(v->plan->blocks[b].planting);
    for (int a = 0; a < v->plan->nblocks; a++)
        found |= v->plan->blocks[a].zone == v->plan->blocks[b].zone &&
                 planting_standing(v->plan->blocks[a].planting);
    if (!found)
        verify_breach(v, "%s follows what does not stand there", verify_block(v, b));
}

/* What is wrong with block b, NULL: nothing. */
static const char *fault_of(const struct verifying *v, int b, size_t i, const struct standing *s)
{
    const struct plot *plot = garden_plot(v->garden, i);
    struct season due;
    const struct block *block = &v->plan->blocks[b];
    const struct planting *p = block->planting;
    const struct part *part = &p->parts[0];
    bool along_x = s->rows.v >= 0 ? s->rows.v == ROWS_ALONG_X : s->size.x >= s->size.y;
    double length = along_x ? s->size.x : s->size.y, depth = along_x ? s->size.y : s->size.x;
    double along = s->along_m.set ? s->along_m.v : part->crop->in_row_m.typ;
    double across = s->across_m.set ? s->across_m.v : part->crop->row_m.typ;
    int spots = whole_at_least_one(length / along), lines = whole_at_least_one(depth / across);
    if (p->nparts != 1 || !str_same(part->crop->name.s, s->crop_name.s) ||
        part->seed_index != s->seed_index)
        return "is another crop";
    if (v->plan->zones.items[block->zone].along_x != along_x || block->lines != lines ||
        fabs(p->pitch_m - length / spots) > NEAR_M || fabs(p->line_m - depth / lines) > NEAR_M)
        return "has other rows";
    if (p->system != SYSTEM_ROWS || part->per_station != 1 || part->every != 1 || part->sown != 0 ||
        fabs(p->first_m - p->line_m) > NEAR_M)
        return "is planted, though it stands";
    standing_season(v->garden, i, s, v->arena, &due);
    if (due.fit != part->season.fit || due.sow != part->season.sow ||
        due.harvest_low != part->season.harvest_low ||
        due.harvest_typ != part->season.harvest_typ ||
        due.harvest_high != part->season.harvest_high || due.frost != part->season.frost)
        return "is harvested at another time";
    if (followed(v, b) && part->crop->perennial.v)
        return "is followed by another crop, though it stays";
    if (followed(v, b) ? p->slot != SLOT_FIRST || p->turn_d < due.harvest_typ + 7
                       : p->slot != SLOT_WHOLE)
        return "leaves its ground at another time";
    return p->stay.to == last_day(v, plot, s) ? NULL : "stays for another time";
}

void verify_standing(struct verifying *v)
{
    int due = 0, found = 0;
    for (size_t i = 0; i < v->garden->plots.n; i++) {
        const struct plot *plot = garden_plot(v->garden, i);
        for (size_t k = 0; k < plot->standing.n; k++, due++) {
            const struct standing *s = plot_standing(plot, k);
            int b = block_at(v, i, s);
            const char *fault = b < 0 ? "is not in the plan" : fault_of(v, b, i, s);
            if (fault)
                verify_breach_at(v, s->at, "the %s that stands here %s", s->crop_name.s, fault);
        }
    }
    for (int b = 0; b < v->plan->nblocks; b++) {
        found += planting_standing(v->plan->blocks[b].planting);
        if (zone_standing(&v->plan->zones.items[v->plan->blocks[b].zone]))
            zone_taken(v, b);
    }
    if (found != due)
        verify_breach(v, "%d blocks are said to stand already; the garden has %d", found, due);
}
