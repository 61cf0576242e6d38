/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The mulch of a plan, from the ground of its stations up. */
#include <math.h>

#include "haul.h"
#include "verify_work.h"

/* Ground of the blocks in which no part is there to cover it. */
static double open_ground(const struct verifying *v)
{
    double area_m2 = 0;
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct planting *p = v->plan->blocks[b].planting;
        double block_m2 = 0;
        bool covered = planting_standing(p); /* that is nobody's work */
        for (int k = 0; k < p->nparts; k++) {
            block_m2 += v->blocks[b].parts[k].area_m2;
            covered |= p->parts[k].role == ROLE_COVER;
        }
        area_m2 += covered ? 0 : block_m2;
    }
    return area_m2;
}

/* Nothing is covered with what the rules of its plot ban. */
static void verify_chips(struct verifying *v)
{
    const struct garden *g = v->garden;
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        bool banned = plot->chips.set && !plot->chips.v;
        if (banned && (haul_beds(g) == HAUL_CHIPS ||
                       (plot->paths.n > 0 && haul_paths(g, plot) == HAUL_CHIPS)))
            verify_breach_at(v, plot->chips.at, "wood chips are laid on plot %s", plot->name.s);
    }
}

void verify_mulch(struct verifying *v)
{
    verify_chips(v);
    const struct qty *limit = &v->garden->limits.mulch_m3;
    double m3 =
        open_ground(v) * haul_depth_m(haul_beds(v->garden), (enum unit_system)v->garden->units.v);
    if (limit->set && m3 > limit->v + VERIFY_PART * fmax(1e-3, limit->v))
        verify_breach_at(v, limit->at, "the ground takes %s m3 of mulch; %s are there",
                         verify_number(v, m3), verify_number(v, limit->v));
}
