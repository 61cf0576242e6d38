/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Warm soil on the day of sowing, and degree days until harvest, day by day. See verify.h. */
#include "verify_work.h"

#include <math.h>

#define COLD_C 0.05 /* of soil: less is no difference */

/* What a variety takes: its own sum, or its crop's by the days on its packet. */
static double sum_due(const struct seed *seed)
{
    if (seed->degree_days.set)
        return seed->degree_days.typ;
    double early = seed->days.set ? seed->days.typ / seed->crop->days.typ : 1;
    return seed->crop->degree_days.typ * early;
}

static double at_least(double v, double least)
{
    return v < least ? least : v;
}

static double at_most(double v, double most)
{
    return v > most ? most : v;
}

/* C days above the base of the days from `from` to the one before `to`. */
static double counted(const struct daily *d, const struct crop *crop, int from, int to)
{
    double sum = 0, base = crop->base_c.typ, cap = crop->cap_c.set ? crop->cap_c.typ : HUGE_VAL;
    for (int day = from; day < to; day++) {
        int i = ((day - 1) % NORMALS_DAYS + NORMALS_DAYS) % NORMALS_DAYS;
        double warm = at_most(d->max_c[i], cap) - base, cool = at_most(d->min_c[i], cap) - base;
        if (crop->count_days.v == DEGREES_OF_EXTREMES)
            sum += at_least(warm, 0) / 2 + at_least(cool, 0) / 2;
        else
            sum += at_least(warm + cool, 0) / 2;
    }
    return sum;
}

static void part_check(struct verifying *v, int b, const struct part *part)
{
    const struct daily *d = v->garden->site.daily;
    const struct crop *crop = part->crop;
    const struct season *s = &part->season;
    int i = ((s->sow - 1) % NORMALS_DAYS + NORMALS_DAYS) % NORMALS_DAYS;
    if (crop->soil_min_c.set && d->soil_c[i] < crop->soil_min_c.typ - COLD_C)
        verify_breach(v, "%s: %s is sown in soil of %s C and needs %s C", verify_block(v, b),
                      part->seed->variety.s, verify_number(v, d->soil_c[i]),
                      verify_number(v, crop->soil_min_c.typ));
    if (!crop->degree_days.set)
        return;
    double due = sum_due(part->seed), slack = due * VERIFY_PART;
    /* what winter comes before is harvested at the pace of its season, and in doubt */
    bool early = counted(d, crop, s->sow, s->harvest_typ) < due - slack;
    if ((early && s->fit != SEASON_AT_RISK) ||
        counted(d, crop, s->sow, s->harvest_typ - 1) > due + slack)
        verify_breach(v, "%s: %s is not ripe on the day its %s degree days are reached",
                      verify_block(v, b), part->seed->variety.s, verify_number(v, due));
}

void verify_warmth(struct verifying *v)
{
    if (!v->garden->site.daily)
        return;
    for (int b = 0; b < v->plan->nblocks; b++)
        for (int k = 0; k < v->plan->blocks[b].planting->nparts; k++)
            if (!planting_standing(v->plan->blocks[b].planting)) /* see verify_standing */
                part_check(v, b, &v->plan->blocks[b].planting->parts[k]);
}
