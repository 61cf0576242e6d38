/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sides of plots, where plots lie, and their former plans. See check.h. */
#include "check_work.h"

#include <math.h>

#include "outline.h"

#define SLACK_M 0.05 /* plots measured from each other by tape may overlap so much */

void check_gates(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        struct ring ring = check_ring(c, i);
        const struct edge *edges = ring.plot->edges.items;
        for (size_t k = 0; ring.whole && k < ring.plot->edges.n; k++) {
            const struct edge *e = &edges[k];
            if (!e->gate_at_m.set || !(e->side.v <= (double)ring.n))
                continue;
            size_t s = (size_t)e->side.v - 1;
            const struct point *a = &ring.p[s], *b = &ring.p[s + 1 < ring.n ? s + 1 : 0];
            if (!e->gate.v)
                diag_error(c->diags, e->gate_at_m.at, "gate-off-side",
                           "this side has no gate: say `gate: yes`, too");
            else if (e->gate_at_m.v < 0 || e->gate_at_m.v > hypot(b->x - a->x, b->y - a->y))
                diag_error(c->diags, e->gate_at_m.at, "gate-off-side",
                           "the side is shorter than that: the gate would not be on it");
        }
    }
}

void check_heights(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        const struct edge *edges = plot->edges.items;
        for (size_t k = 0; k < plot->edges.n; k++)
            if (edges[k].within_m.set && !edges[k].tallest_m.set)
                diag_error(c->diags, edges[k].within_m.at, "height-rule",
                           "say how tall crops may grow here, too: `tallest: 4 ft`");
    }
}

/* Sides that are not described are open. */
void check_access(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        struct ring ring = check_ring(c, i);
        const struct edge *edges = ring.plot->edges.items;
        size_t closed = 0;
        for (size_t k = 0; k < ring.plot->edges.n; k++)
            closed += !edge_is_access(&edges[k]);
        if (ring.whole && closed >= ring.n && ring.plot->paths.n == 0)
            diag_warning(c->diags, ring.plot->edges.at, "no-access",
                         "no side of the plot is open, a path or a gate: how is it entered?");
    }
}

/* The ring in the garden's frame; NULL: its place is not known. */
static struct point *ring_placed(struct checking *c, const struct ring *ring)
{
    if (!ring->whole || !plot_placed(ring->plot))
        return NULL;
    struct point *p = ARENA_ARRAY(c->arena, struct point, ring->n);
    c->nomem |= !p;
    for (size_t i = 0; p && i < ring->n; i++)
        p[i] = plot_in_garden(ring->plot, ring->p[i]);
    return p;
}

void check_plots_apart(struct checking *c)
{
    struct ring *rings = ARENA_ARRAY(c->arena, struct ring, c->g->plots.n);
    struct point **placed = ARENA_ARRAY(c->arena, struct point *, c->g->plots.n);
    c->nomem |= !rings || !placed;
    for (size_t i = 0; !c->nomem && i < c->g->plots.n; i++) {
        rings[i] = check_ring(c, i);
        placed[i] = ring_placed(c, &rings[i]);
        for (size_t k = 0; placed[i] && k < i; k++) {
            if (!placed[k] ||
                !outline_shares(placed[i], rings[i].n, placed[k], rings[k].n, SLACK_M))
                continue;
            diag_error(c->diags, rings[i].plot->garden_at.at, "plots-overlap",
                       "the plot lies over the ground of plot `%s`", rings[k].plot->name.s);
            diag_note(c->diags, rings[k].plot->garden_at.at, "placed here");
            break;
        }
    }
}

void check_rotation(struct checking *c)
{
    const struct rotation *r = &c->g->rotation;
    if (r->cost.set && r->rule.v != ROTATION_AVOID)
        diag_error(c->diags, r->cost.at, "rotation-cost",
                   "a `cost` is of `rule: avoid`: say so, or leave it out");
}

void check_history(struct checking *c)
{
    const struct former_plan *history = c->g->history.items;
    for (size_t i = 0; i < c->g->history.n; i++)
        if (history[i].year.v >= c->g->year.v)
            diag_error(c->diags, history[i].year.at, "history",
                       "a former plan is of a year before the one planned, %d", (int)c->g->year.v);
}
