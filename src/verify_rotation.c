/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Families off the ground they stood on, station by station. See verify.h. */
#include "verify_work.h"

#include <string.h>

#define INSIDE_M 0.01 /* so near the edge of former ground is on it by rounding alone */

static bool stood_there(const struct former *f, const struct station *s)
{
    return f->plot == s->plot && s->x_m > f->x0 + INSIDE_M && s->x_m < f->x1 - INSIDE_M &&
           s->y_m > f->y0 + INSIDE_M && s->y_m < f->y1 - INSIDE_M;
}

static void station_check(struct verifying *v, const struct station *s)
{
    const struct garden *g = v->garden;
    const struct planting *p = v->plan->blocks[s->block].planting;
    for (size_t i = 0; i < g->nformer && !planting_standing(p); i++) {
        const struct former *f = &g->former[i];
        if (g->year.v - f->year > g->rotation.years.v || !stood_there(f, s))
            continue;
        for (int k = 0; k < p->nparts; k++)
            if (s->plants[k] > 0 && strcmp(p->parts[k].crop->family.s, f->family) == 0)
                verify_breach_at(v, g->rotation.at, "station %s has %s where %s stood in %d", s->id,
                                 p->parts[k].crop->name.s, f->family, f->year);
    }
}

void verify_rotation(struct verifying *v)
{
    if (v->garden->rotation.rule.v != ROTATION_BAR)
        return;
    for (int s = 0; s < v->plan->nstations; s++)
        station_check(v, &v->plan->stations[s]);
}
