/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Seed that is to be saved must not cross with what stands near. See verify.h. */
#include "verify_work.h"

#include <math.h>
#include <string.h>

/* Where a block's stations lie, in its plot's frame. */
static struct rect extent(const struct verifying *v, int b)
{
    struct rect r = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (int s = 0; s < v->plan->nstations; s++) {
        const struct station *at = &v->plan->stations[s];
        if (at->block != b)
            continue;
        r = (struct rect){fmin(r.x0, at->x_m), fmin(r.y0, at->y_m), fmax(r.x1, at->x_m),
                          fmax(r.y1, at->y_m)};
    }
    return r;
}

/* Of blocks in one plot; those of other plots count as next to each other. */
static double apart(const struct verifying *v, int a, int b)
{
    const struct zones *zones = &v->plan->zones;
    if (zones->items[v->plan->blocks[a].zone].plot != zones->items[v->plan->blocks[b].zone].plot)
        return isolation_distance(v->garden, (size_t)zones->items[v->plan->blocks[a].zone].plot,
                                  (size_t)zones->items[v->plan->blocks[b].zone].plot, v->arena);
    struct rect p = extent(v, a), q = extent(v, b);
    double dx = fmax(0, fmax(p.x0 - q.x1, q.x0 - p.x1));
    double dy = fmax(0, fmax(p.y0 - q.y1, q.y0 - p.y1));
    return hypot(dx, dy);
}

/* Corn and its like from half of their days, others from two fifths; to four fifths of them when
 * picked dry, else to the harvest of corn, or the frost. */
static bool flower_together(const struct part *p, const struct part *q)
{
    const struct part *both[] = {p, q};
    double from[2], to[2];
    for (int i = 0; i < 2; i++) {
        const struct season *s = &both[i]->season;
        bool head = both[i]->crop->density_law.v == DENSITY_SEED_HEAD;
        double days = s->harvest_typ - s->sow, end = head ? s->harvest_typ : s->frost;
        from[i] = floor(s->sow + (head ? 0.5 : 0.4) * days);
        to[i] = both[i]->crop->harvest.v == HARVEST_DRY ? s->sow + ceil(0.8 * days) : end;
    }
    return from[0] <= to[1] && from[1] <= to[0];
}

static void part_check(struct verifying *v, int a, const struct part *saved)
{
    double due = saved->crop->isolation_m.typ;
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct planting *q = v->plan->blocks[b].planting;
        for (int k = 0; k < q->nparts; k++) {
            const struct part *other = &q->parts[k];
            const char *stands = other->seed->stands; /* of the same variety it does no harm */
            if (other->seed == saved->seed ||
                (stands && other->crop == saved->crop &&
                 str_same(stands, saved->seed->variety.s)) ||
                strcmp(other->crop->cross_group.s, saved->crop->cross_group.s) != 0 ||
                !flower_together(saved, other) || apart(v, a, b) >= due)
                continue;
            verify_breach_at(v, saved->seed->save.at, "%s of %s would cross with %s of b%d",
                             saved->seed->variety.s, verify_block(v, a), other->seed->variety.s,
                             b + 1);
        }
    }
}

void verify_isolation(struct verifying *v)
{
    for (int a = 0; a < v->plan->nblocks; a++) {
        const struct planting *p = v->plan->blocks[a].planting;
        for (int k = 0; k < p->nparts; k++)
            if (p->parts[k].seed->save.v && !p->parts[k].seed->by_hand.v &&
                p->parts[k].crop->isolation_m.set)
                part_check(v, a, &p->parts[k]);
    }
}
