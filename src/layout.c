/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "layout.h"

#include <string.h>

static bool listed(const struct list *names, const char *name)
{
    const struct text *items = names->items;
    for (size_t i = 0; i < names->n; i++)
        if (strcmp(items[i].s, name) == 0)
            return true;
    return false;
}

static const struct guild_member *member(const struct guild *guild, size_t k)
{
    return (const struct guild_member *)guild->members.items + k;
}

bool layout_in_guild(const struct guild *guild, const struct crop *crop)
{
    for (size_t k = 0; guild && k < guild->members.n; k++)
        if (listed(&member(guild, k)->crops, crop->name.s))
            return true;
    return false;
}

/* The first crop in hand for a place of the guild that can be gathered there, NULL: none. */
static const struct crop *crop_for(const struct garden *g, const struct guild *guild, size_t k)
{
    for (size_t s = 0; s < g->seed.n; s++)
        if (!garden_seed(g, s)->standing &&
            listed(&member(guild, k)->crops, garden_seed(g, s)->crop->name.s) &&
            !guild_shuts_in(guild, garden_seed(g, s)))
            return garden_seed(g, s)->crop;
    return NULL;
}

static bool can_be_filled(const struct garden *g, const struct guild *guild)
{
    for (size_t k = 0; k < guild->members.n; k++)
        if (!crop_for(g, guild, k))
            return false;
    return true;
}

const struct guild *layout_guild(const struct garden *g)
{
    const struct library *lib = g->library;
    const struct text *names = g->grow.guilds.items;
    for (size_t i = 0; i < g->grow.guilds.n; i++) {
        const struct guild *guild = library_guild(lib, names[i].s);
        if (guild && can_be_filled(g, guild))
            return guild;
    }
    const struct guild *best = NULL;
    for (size_t i = 0; i < lib->nguilds && !g->grow.guilds.set; i++) {
        const struct guild *guild = &lib->guilds[i];
        if (listed(&guild->systems, garden_systems[GARDEN_HILLS]) && can_be_filled(g, guild) &&
            (!best || guild->members.n > best->members.n))
            best = guild;
    }
    return best;
}

/* ---- lists --------------------------------------------------------------------------------- */

/* A list of names in the making; items NULL: memory ran out. */
struct names {
    struct text *items;
    size_t n;
};

static void add(struct names *names, const char *name, struct pos at)
{
    for (size_t i = 0; i < names->n; i++)
        if (strcmp(names->items[i].s, name) == 0)
            return;
    names->items[names->n++] = (struct text){name, at};
}

static struct list as_list(const struct names *names, struct pos at)
{
    return (struct list){.items = names->items, .n = names->n, .set = true, .at = at};
}

/* Sole crops: those the garden lets in, with the guild's or without them. */
static bool sole_crops(struct garden *g, const struct guild *guild, bool with, struct arena *arena)
{
    struct names names = {ARENA_ARRAY(arena, struct text, g->seed.n), 0};
    for (size_t s = 0; names.items && s < g->seed.n; s++) {
        const struct seed *seed = garden_seed(g, s);
        if (seed->standing)
            continue;
        bool of_guild = layout_in_guild(guild, seed->crop);
        bool let_in = !g->grow.crops.set || listed(&g->grow.crops, seed->crop->name.s);
        if (of_guild ? with : let_in)
            add(&names, seed->crop->name.s, seed->at);
    }
    g->grow.crops = as_list(&names, g->grow.at);
    return names.items != NULL;
}

static bool only_guild(struct garden *g, const struct guild *guild, struct arena *arena)
{
    struct names names = {ARENA_ARRAY(arena, struct text, 1), 0};
    if (names.items && guild)
        add(&names, guild->name.s, g->grow.at);
    g->grow.guilds = as_list(&names, g->grow.at);
    return names.items != NULL;
}

/* A bit for each system. */
static bool only_systems(struct garden *g, unsigned systems, struct arena *arena)
{
    struct names names = {ARENA_ARRAY(arena, struct text, 3), 0};
    for (size_t i = 0; names.items && garden_systems[i]; i++)
        if (systems & 1u << i)
            add(&names, garden_systems[i], g->grow.at);
    g->grow.systems = as_list(&names, g->grow.at);
    return names.items != NULL;
}

/* One plant at least of the guild's support, which in that layout stands in the guild alone. */
static bool keep_guild(struct garden *g, const struct guild *guild, struct arena *arena)
{
    struct wish *wishes = ARENA_ARRAY(arena, struct wish, g->wishes.n + 1);
    const struct crop *crop = crop_for(g, guild, 0);
    if (!wishes || !crop)
        return false;
    if (g->wishes.n > 0)
        memcpy(wishes, g->wishes.items, g->wishes.n * sizeof *wishes);
    struct wish *wish = &wishes[g->wishes.n++];
    *wish =
        (struct wish){.crop_name = {crop->name.s, g->grow.at}, .plot_index = -1, .at = g->grow.at};
    wish->at_least = (struct amount){1, UNIT_COUNT, true, g->grow.at};
    g->wishes.items = wishes;
    return true;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static void overlay(struct list *list, const struct list *own)
{
    if (own->set)
        *list = *own;
}

static bool as_own(struct garden *g, const struct grow *own)
{
    overlay(&g->grow.guilds, &own->guilds);
    overlay(&g->grow.crops, &own->crops);
    overlay(&g->grow.systems, &own->systems);
    overlay(&g->grow.spacings, &own->spacings);
    return true;
}

static bool restrict_to(struct garden *g, const struct guild *guild, enum layout_kind kind,
                        const struct grow *own, struct arena *arena)
{
    const unsigned hills = 1u << GARDEN_HILLS, rows = 1u << GARDEN_ROWS,
                   row_guild = 1u << GARDEN_ROW_GUILD;
    switch (kind) {
    case LAYOUT_HILLS:
        return sole_crops(g, guild, false, arena) && only_guild(g, guild, arena) &&
               only_systems(g, hills | rows, arena) && keep_guild(g, guild, arena);
    case LAYOUT_ROW_GUILD:
        return sole_crops(g, guild, false, arena) && only_guild(g, guild, arena) &&
               only_systems(g, row_guild | rows, arena) && keep_guild(g, guild, arena);
    case LAYOUT_ROWS:
        return sole_crops(g, guild, true, arena) && only_guild(g, NULL, arena) &&
               only_systems(g, rows, arena);
    case LAYOUT_FREE:
        return sole_crops(g, guild, true, arena) &&
               only_systems(g, hills | rows | row_guild, arena);
    default:
        return as_own(g, own);
    }
}

hr_status layout_garden(const struct garden *garden, const struct guild *guild,
                        enum layout_kind kind, const struct grow *own, struct arena *arena,
                        struct garden **out)
{
    struct garden *g = ARENA_NEW(arena, struct garden);
    if (!g)
        return HR_NOMEM;
    *g = *garden;
    g->limits.blocks.v = garden_blocks(garden); /* a wish more must not change it */
    g->limits.blocks.set = true;
    if (!restrict_to(g, guild, kind, own, arena))
        return HR_NOMEM;
    *out = g;
    return HR_OK;
}
