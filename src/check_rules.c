/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is asked for against the rules of a plot. See check.h. */
#include "check_work.h"

/* Wood chips asked for where they are banned; beds: on all ground, else on the plot's paths. */
static void chips_asked(struct checking *c, const struct plot *plot, const struct choice *asked,
                        bool beds)
{
    if (!asked->set || asked->v != (int)MULCH_CHIPS || (!beds && plot->paths.n == 0))
        return;
    diag_error(c->diags, asked->at, "chips-banned",
               "the rules of plot `%s` do not allow wood chips: lay straw or leaves", plot->name.s);
    diag_note(c->diags, plot->chips.at, "said here");
}

void check_chips(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        if (!plot->chips.set || plot->chips.v)
            continue;
        chips_asked(c, plot, &c->g->mulch.beds, true);
        chips_asked(c, plot, &c->g->mulch.paths, false);
    }
}
