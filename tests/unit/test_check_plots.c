/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "check_work.h"

/* How many errors a check finds in a garden of one plot with one side. */
static size_t faults(void (*check)(struct checking *c), struct edge *e)
{
    struct plot plot = {.edges = {e, 1, true, {0}}};
    struct garden g = {.plots = {&plot, 1, true, {0}}};
    struct checking c = {.g = &g, .diags = diags_new()};
    check(&c);
    size_t found = diags_errors(c.diags);
    diags_free(c.diags);
    return found;
}

Test(check_plots, a_rule_of_heights_has_a_height)
{
    struct edge e = {.side = {.v = 1}, .kind = {.v = EDGE_NEIGHBOUR}};
    cr_assert(faults(check_heights, &e) == 0, "no rule");
    e.within_m = (struct qty){.v = 1, .set = true};
    cr_assert(faults(check_heights, &e) == 1, "near, but how tall?");
    e.tallest_m = (struct qty){.v = 1.2, .set = true};
    cr_assert(faults(check_heights, &e) == 0, "a whole rule");
}
