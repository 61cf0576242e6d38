/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "check_edge.h"

static struct edge side(int number, enum edge_kind kind)
{
    return (struct edge){.side = {.v = number}, .kind = {.v = (int)kind}};
}

/* How many faults the check finds in a plot with these sides. */
static size_t faults(void (*check)(const struct garden *g, struct diags *diags), struct edge *edges,
                     size_t n)
{
    struct plot plot = {.edges = {edges, n, true, {0}}};
    struct garden g = {.plots = {&plot, 1, true, {0}}};
    struct diags *diags = diags_new();
    check(&g, diags);
    size_t found = diags_errors(diags);
    diags_free(diags);
    return found;
}

Test(check_edge, heights)
{
    for (int kind = EDGE_OPEN; kind <= EDGE_HEDGE; kind++) {
        struct edge e = side(1, (enum edge_kind)kind);
        bool stands = kind == EDGE_FENCE || kind == EDGE_WALL || kind == EDGE_HEDGE;
        cr_assert(faults(check_edge_height, &e, 1) == 0, "kind %d, nothing said", kind);
        e.height_m.v = 2;
        e.light = (struct qty){.v = 0.2, .set = true};
        cr_assert(faults(check_edge_height, &e, 1) == (stands ? 0 : 1), "kind %d with a height",
                  kind);
        e.height_m.v = 0;
        cr_assert(faults(check_edge_height, &e, 1) == 1, "kind %d, light alone", kind);
    }
}

Test(check_edge, limits_on_shade)
{
    struct edge edges[EDGE_SHADES_MAX + 3];
    for (int i = 0; i < EDGE_SHADES_MAX + 3; i++) {
        edges[i] = side(i + 1, EDGE_NEIGHBOUR);
        edges[i].shade = (struct qty){.v = 0.1, .set = true};
    }
    cr_assert(faults(check_edge_shades, edges, EDGE_SHADES_MAX) == 0, "as many as may be");
    cr_assert(faults(check_edge_shades, edges, EDGE_SHADES_MAX + 3) == 1, "said once a plot");
}

Test(check_edge, vines)
{
    struct edge e = side(1, EDGE_NEIGHBOUR);
    cr_assert(faults(check_edge_overhang, &e, 1) == 0, "none");
    e.overhang.v = true;
    cr_assert(faults(check_edge_overhang, &e, 1) == 1, "vines over a neighbour");
    e.kind.v = EDGE_PATH;
    cr_assert(faults(check_edge_overhang, &e, 1) == 0, "vines over a path");
}
