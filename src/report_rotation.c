/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Blocks on ground on which their families stood before. See report.h. */
#include "report.h"

#include <string.h>

#include "num.h"
#include "rotation.h"

/* The ground of a block as if it were a zone. */
static struct zone ground_of(const struct plan *plan, const struct block *b)
{
    struct zone z = plan->zones.items[b->zone];
    double a0 = b->along_m, a1 = a0 + b->length_m, c0 = b->start_m, c1 = c0 + b->depth_m;
    z.r = (struct rect){z.r.x0 + (z.along_x ? a0 : c0), z.r.y0 + (z.along_x ? c0 : a0),
                        z.r.x0 + (z.along_x ? a1 : c1), z.r.y0 + (z.along_x ? c1 : a1)};
    return z;
}

static bool family_before(const struct planting *p, int k)
{
    for (int i = 0; i < k; i++)
        if (strcmp(p->parts[i].crop->family.s, p->parts[k].crop->family.s) == 0)
            return true;
    return false;
}

void report_rotation(const struct plan *plan, struct strbuf *out)
{
    const struct garden *g = plan->garden;
    bool any = false;
    if (g->nformer == 0)
        return;
    strbuf_puts(out, "\nRotation\n");
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        struct zone ground = ground_of(plan, &plan->blocks[b]);
        for (int k = 0; k < p->nparts; k++) {
            const struct former *f = rotation_former(g, &ground, p->parts[k].crop);
            if (!f || family_before(p, k))
                continue;
            any = true;
            strbuf_printf(out, "  b%-3d %s: its family (%s) stood there in %d\n", b + 1,
                          p->parts[k].crop->name.s, f->family, f->year);
        }
    }
    char counts[64];
    if (any && g->rotation.rule.v == ROTATION_AVOID)
        strbuf_printf(out,
                      "  Pests and diseases of a family wait in such ground. Its food counts for "
                      "%s %%\n  there in the choice of the plan, and even so this is worth most.\n",
                      num_fixed(counts, sizeof counts, 100 * (1 - g->rotation.cost.v), 0));
    else if (any)
        strbuf_puts(out, "  Pests and diseases of a family wait in such ground; `rule: bar` keeps "
                         "it off.\n");
    else
        strbuf_printf(out,
                      "  No family stands where it stood in the %d %s before, by the plans "
                      "under\n  `history`.\n",
                      (int)g->rotation.years.v, g->rotation.years.v > 1 ? "years" : "year");
}
