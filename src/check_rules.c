/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is asked for against the rules of a plot, or against what can be reached. See check.h. */
#include "check_work.h"

#include "str.h"

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

/* Dry beans and green ones are not the same food, nor the same weight. */
void check_harvests(struct checking *c)
{
    for (size_t i = 0; i < c->g->seed.n; i++) {
        const struct seed *seed = garden_seed(c->g, i);
        if (!seed->crop || !seed->harvest.set ||
            (seed->harvest.v == (int)HARVEST_DRY) == (seed->crop->harvest.v == (int)HARVEST_DRY))
            continue;
        diag_warning(c->diags, seed->harvest.at, "harvest-figures",
                     "yield, days and food are still those of %s gathered %s: give your own under "
                     "`crops`, with its `harvest`",
                     seed->crop->name.s, harvest_names[seed->crop->harvest.v]);
    }
}

/* Whether all seed in hand for a member would be shut in; *shut: one of it. */
static bool all_shut_in(const struct garden *g, const struct guild *guild,
                        const struct guild_member *member, const struct seed **shut)
{
    const struct text *names = member->crops.items;
    *shut = NULL;
    for (size_t s = 0; s < g->seed.n; s++)
        for (size_t k = 0; k < member->crops.n; k++) {
            const struct seed *seed = garden_seed(g, s);
            if (!seed->crop || !str_same(seed->crop->name.s, names[k].s))
                continue;
            if (!guild_shuts_in(guild, seed))
                return false;
            *shut = seed;
        }
    return *shut != NULL;
}

static void guild_asked(struct checking *c, const struct text *name)
{
    const struct guild *guild = library_guild(c->g->library, name->s);
    const struct guild_member *members = guild ? guild->members.items : NULL;
    const struct seed *shut = NULL;
    for (size_t k = 0; guild && k < guild->members.n; k++) {
        if (!all_shut_in(c->g, guild, &members[k], &shut))
            continue;
        diag_warning(c->diags, name->at, "guild-closed",
                     "its vines close the ground: nobody gets at %s, which is picked again and "
                     "again, so the guild is not planted",
                     shut->variety.s);
        diag_note(c->diags, shut->harvest.set ? shut->harvest.at : shut->at, "this one");
    }
}

void check_shut_in(struct checking *c)
{
    const struct text *names = c->g->grow.guilds.items;
    for (size_t i = 0; i < c->g->grow.guilds.n; i++)
        guild_asked(c, &names[i]);
    for (size_t i = 0; i < c->g->wishes.n; i++)
        if (garden_wish(c->g, i)->guild.s)
            guild_asked(c, &garden_wish(c->g, i)->guild);
}
