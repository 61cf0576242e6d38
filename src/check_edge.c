/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check_edge.h"

/* Only what stands can shade; a height given to a path is a slip. */
static void side_height(const struct edge *e, struct diags *diags)
{
    bool stands = e->kind.v == EDGE_FENCE || e->kind.v == EDGE_WALL || e->kind.v == EDGE_HEDGE;
    if (!stands && e->height_m.v > 0)
        diag_error(diags, e->height_m.at, "edge-height",
                   "only a fence, a wall or a hedge has a height");
    else if (e->light.set && !(e->height_m.v > 0))
        diag_error(diags, e->light.at, "edge-height",
                   "light comes through a fence, a wall or a hedge; it has no `height` here");
}

void check_edge_height(const struct garden *g, struct diags *diags)
{
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        for (size_t k = 0; k < plot->edges.n; k++)
            side_height((const struct edge *)plot->edges.items + k, diags);
    }
}

void check_edge_shades(const struct garden *g, struct diags *diags)
{
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        const struct edge *edges = plot->edges.items;
        int limited = 0;
        for (size_t k = 0; k < plot->edges.n; k++)
            if (edges[k].shade.set && ++limited == EDGE_SHADES_MAX + 1)
                diag_error(diags, edges[k].shade.at, "edge-shades",
                           "more than %d sides of the plot limit the shade beyond them",
                           EDGE_SHADES_MAX);
    }
}

void check_edge_overhang(const struct garden *g, struct diags *diags)
{
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        const struct edge *edges = plot->edges.items;
        for (size_t k = 0; k < plot->edges.n; k++)
            if (edges[k].overhang.v && edges[k].kind.v != EDGE_OPEN && edges[k].kind.v != EDGE_PATH)
                diag_error(diags, edges[k].overhang.at, "overhang-neighbour",
                           "vines may spill over open ground or a path, nothing else");
    }
}
