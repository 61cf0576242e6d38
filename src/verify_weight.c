/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What foods count for in the goal, from what the garden file says. See verify.h. */
#include "verify_work.h"

#include <math.h>
#include <string.h>

#define INSIDE_M   0.01 /* narrower overlaps are rounding */
#define PIECES_MAX 100  /* of former ground of one family in a zone; more count as all of it */

/* Whether a wish names the part, by itself or by its guild, and where it stands. */
static bool named(const struct verifying *v, const struct wish *wish, int b, int k)
{
    const struct block *block = &v->plan->blocks[b];
    const struct part *part = &block->planting->parts[k];
    const struct guild *guild = block->planting->guild;
    int plot = v->plan->zones.items[block->zone].plot;
    if (wish->plot.s && strcmp(garden_plot(v->garden, (size_t)plot)->name.s, wish->plot.s) != 0)
        return false;
    if (wish->guild.s)
        return guild && strcmp(guild->name.s, wish->guild.s) == 0;
    return wish->crop_name.s ? strcmp(part->crop->name.s, wish->crop_name.s) == 0
                             : strcmp(part->seed->variety.s, wish->variety.s) == 0;
}

/* ---- former ground -------------------------------------------------------------------------- */

struct pieces {
    struct rect r[PIECES_MAX];
    size_t n;
};

/* Ground of a rectangle that no piece from number i on covers, m2: what a piece covers is cut away,
 * and what lies on its four sides is looked at further. */
static double uncovered(const struct pieces *p, struct rect r, size_t i)
{
    for (; i < p->n; i++) {
        double x0 = fmax(r.x0, p->r[i].x0), x1 = fmin(r.x1, p->r[i].x1);
        double y0 = fmax(r.y0, p->r[i].y0), y1 = fmin(r.y1, p->r[i].y1);
        if (x1 <= x0 || y1 <= y0)
            continue;
        const struct rect sides[] = {
            {r.x0, r.y0, r.x1, y0}, {r.x0, y1, r.x1, r.y1}, {r.x0, y0, x0, y1}, {x1, y0, r.x1, y1}};
        double sum = 0;
        for (size_t k = 0; k < 4; k++)
            if (sides[k].x1 > sides[k].x0 && sides[k].y1 > sides[k].y0)
                sum += uncovered(p, sides[k], i + 1);
        return sum;
    }
    return (r.x1 - r.x0) * (r.y1 - r.y0);
}

/* Share of a zone's ground on which the family stood within the years that rotation looks at. */
static double stood_on(const struct verifying *v, const struct zone *z, const char *family)
{
    const struct garden *g = v->garden;
    struct pieces p;
    p.n = 0;
    for (size_t i = 0; i < g->nformer; i++) {
        const struct former *f = &g->former[i];
        bool here = f->plot == z->plot && f->x1 - z->r.x0 > INSIDE_M &&
                    z->r.x1 - f->x0 > INSIDE_M && f->y1 - z->r.y0 > INSIDE_M &&
                    z->r.y1 - f->y0 > INSIDE_M && f->x1 - f->x0 > INSIDE_M &&
                    f->y1 - f->y0 > INSIDE_M;
        if (!here || g->year.v - f->year > g->rotation.years.v || strcmp(f->family, family) != 0)
            continue;
        if (p.n == PIECES_MAX)
            return 1;
        p.r[p.n++] = (struct rect){f->x0, f->y0, f->x1, f->y1};
    }
    return 1 - uncovered(&p, z->r, 0) / ((z->r.x1 - z->r.x0) * (z->r.y1 - z->r.y0));
}

double verify_weight(const struct verifying *v, int b, int k)
{
    const struct wish *wishes = v->garden->wishes.items;
    double weight = 1;
    if (v->garden->unweighed)
        return 1;
    for (size_t w = 0; w < v->garden->wishes.n; w++)
        if (wishes[w].weight.set && named(v, &wishes[w], b, k))
            weight *= wishes[w].weight.v;
    if (v->garden->rotation.rule.v == ROTATION_AVOID && v->garden->nformer > 0)
        weight *= 1 - v->garden->rotation.cost.v *
                          stood_on(v, &v->plan->zones.items[v->plan->blocks[b].zone],
                                   v->plan->blocks[b].planting->parts[k].crop->family.s);
    return weight;
}

bool verify_weighed(const struct verifying *v)
{
    const struct wish *wishes = v->garden->wishes.items;
    bool any = false;
    for (size_t w = 0; w < v->garden->wishes.n; w++)
        any |= wishes[w].weight.set && wishes[w].weight.v != 1;
    any |= v->garden->rotation.rule.v == ROTATION_AVOID && v->garden->nformer > 0;
    return any && !v->garden->unweighed;
}
