/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "menu.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "kept_off.h"
#include "num.h"
#include "rotation.h"
#include "setback.h"
#include "standing.h"
#include "turns.h"
#include "weight.h"

/* What menu_make works with; plantings grow in `menu`. */
struct maker {
    const struct garden *garden;
    const struct zones *zones;
    struct arena *arena;
    struct menu *menu;
    bool nomem;
    /* of what is offered now: */
    enum slot slot;
    int turn_d;
    struct stay stay;
};

/* A spacing to try: between stations along the line, and between lines. */
struct spacing {
    double pitch_m, line_m;
};
#define SPACINGS_MAX 50

static bool listed(const struct list *names, const char *name)
{
    const struct text *items = (const struct text *)names->items;
    for (size_t i = 0; i < names->n; i++)
        if (strcmp(items[i].s, name) == 0)
            return true;
    return false;
}

/* An absent list lets everything in. */
static bool wanted(const struct list *names, const char *name)
{
    return !names->set || listed(names, name);
}

static void leave_out(struct maker *m, const char *name, struct pos at, const char *why)
{
    struct menu *menu = m->menu;
    for (int i = 0; i < menu->nleft_out; i++)
        if (strcmp(menu->left_out[i].name, name) == 0)
            return;
    if (menu->nleft_out < MENU_PLANTINGS_MAX)
        menu->left_out[menu->nleft_out++] = (struct left_out){name, why, at};
}

/* Seeds for `kept` plants: the rule of thumb, but never fewer than germination and emergence ask
 * for, in whole seeds. Tubers, cloves and slips come up: as many as are kept. */
static double seeds_for(const struct garden *g, const struct seed *seed, double rule, double kept)
{
    const struct crop *crop = seed->crop;
    if (!crop->seeds_per_kg.set)
        return kept;
    double emergence = crop->emergence.set ? crop->emergence.typ : 1;
    double up = fmax(seed_germination(g, seed) * emergence, 0.05);
    return ceil(fmax(rule, kept / up) - 1e-9);
}

static void part_basics(struct maker *m, struct part *part, int seed_index, enum role role,
                        double delay_d)
{
    part->seed_index = seed_index;
    part->seed = garden_seed(m->garden, (size_t)seed_index);
    part->crop = part->seed->crop;
    part->role = role;
    part->delay_d = delay_d;
    part->trigger = "";
    part->every = 1;
}

/* Seasons of all parts; each later part waits for the first. The worst fit is the planting's. */
static enum season_fit seasons(struct maker *m, struct planting *p, const char **reason)
{
    enum season_fit worst = SEASON_FITS;
    const struct site *site = &m->garden->site;
    for (int k = 0; k < p->nparts; k++) {
        struct part *part = &p->parts[k];
        season_seed(site, part->seed, 0, &p->stay, m->arena, &part->season);
        if (k > 0) {
            double wait = p->parts[0].season.sow + part->delay_d - part->season.sow;
            if (wait > 0)
                season_seed(site, part->seed, wait, &p->stay, m->arena, &part->season);
        }
        part->days = season_days(site, part->seed, &part->season);
        if (part->season.fit > worst) {
            worst = part->season.fit;
            *reason = part->season.reason;
        }
    }
    return worst;
}

/* Canopy of the whole planting as a box: its tallest part's height, and the extinction of the part
 * that fills it, thinner where it stands thinly. */
static void canopy(struct planting *p)
{
    int tallest = planting_tallest(p);
    for (int k = 0; k < p->nparts; k++)
        if (p->parts[k].role != ROLE_CLIMBER || p->nparts == 1)
            p->spread_m = fmax(p->spread_m, p->parts[k].crop->spread_m.typ);
    const struct crop *crop = p->parts[tallest].crop;
    if (!crop)
        return; /* no parts, no canopy */
    double top = crop->height_m.typ;
    double full = crop->density_law.v == DENSITY_SEED_HEAD ? crop->best_density_m2.typ
                                                           : 3 * crop->half_density_m2.typ;
    double fill = full > 0 ? fmin(1, planting_density(p, tallest) / full) : 1;
    p->height_m = top;
    p->extinction_per_m = top > 0 ? crop->extinction.typ * crop->lai.typ * fill / top : 0;
}

static bool same_spacing(const struct planting *a, const struct planting *b)
{
    return fabs(a->pitch_m - b->pitch_m) < 1e-6 && fabs(a->line_m - b->line_m) < 1e-6;
}

static bool same_parts(const struct planting *a, const struct planting *b)
{
    if (a->system != b->system || a->guild != b->guild || a->nparts != b->nparts ||
        a->slot != b->slot || a->turn_d != b->turn_d || a->stay.from != b->stay.from ||
        a->stay.to != b->stay.to)
        return false;
    for (int k = 0; k < a->nparts; k++)
        if (a->parts[k].seed_index != b->parts[k].seed_index)
            return false;
    return true;
}

static void name_planting(struct maker *m, struct planting *p)
{
    struct strbuf id;
    char num[64];
    strbuf_init(&id, m->arena);
    const char *what = p->guild ? p->guild->name.s : p->parts[0].crop->name.s;
    strbuf_printf(&id, "%s: %s ", system_names[p->system], what);
    strbuf_puts(&id, num_fixed(num, sizeof num, p->pitch_m, 3));
    strbuf_printf(&id, " x %s m:", num_fixed(num, sizeof num, p->line_m, 3));
    for (int k = 0; k < p->nparts; k++)
        strbuf_printf(&id, "%s %s", k ? " +" : "", p->parts[k].seed->variety.s);
    if (p->slot != SLOT_WHOLE)
        strbuf_printf(&id, ", %s, turn on day %d", slot_names[p->slot], p->turn_d);
    if (p->stay.from > STAY_EARLIEST && p->slot != SLOT_SECOND)
        strbuf_printf(&id, ", from day %d", p->stay.from);
    if (p->stay.to < STAY_LATEST && p->slot != SLOT_FIRST)
        strbuf_printf(&id, ", to day %d", p->stay.to);
    const char *in = p->system == SYSTEM_HILLS ? "in hills" : "in rows";
    p->id = id.p;
    if (planting_standing(p))
        p->label = arena_printf(m->arena, "%s, %s", what,
                                p->parts[0].seed->for_seed ? "for seed" : "standing");
    else
        p->label = arena_printf(m->arena, "%s %s%s%s", what, in, p->slot != SLOT_WHOLE ? ", " : "",
                                p->slot != SLOT_WHOLE ? slot_names[p->slot] : "");
    if (id.failed || !p->label)
        m->nomem = true;
}

/* Whether each part can be picked as it is meant to be; says why not. */
static bool in_reach(struct maker *m, const struct planting *p)
{
    const struct part *shut = planting_shut_in(p);
    if (!shut)
        return true;
    const char *why =
        arena_printf(m->arena,
                     "its vines close the ground, so nobody gets at %s (%s), which is picked "
                     "fresh again and again (`harvest`)",
                     shut->crop->name.s, shut->seed->variety.s);
    m->nomem |= !why;
    leave_out(m, p->guild->name.s, p->guild->at, why ? why : "");
    return false;
}

/* Takes a finished planting onto the menu, unless it cannot ripen or is there already. */
static void offer(struct maker *m, struct planting *p)
{
    struct menu *menu = m->menu;
    const char *reason = "";
    const char *name = p->guild ? p->guild->name.s : p->parts[0].crop->name.s;
    struct pos at = p->guild ? p->guild->at : p->parts[0].seed->at;
    p->slot = m->slot;
    p->turn_d = m->turn_d;
    p->stay = m->stay;
    if (!in_reach(m, p))
        return;
    if (seasons(m, p, &reason) == SEASON_OUT) {
        leave_out(m, name, at, reason);
        return;
    }
    for (int i = 0; i < menu->nplantings; i++)
        if (same_parts(&menu->plantings[i], p) && same_spacing(&menu->plantings[i], p))
            return;
    if (menu->nplantings >= MENU_PLANTINGS_MAX) {
        leave_out(m, name, at, "there are more plantings than can be compared at once");
        return;
    }
    canopy(p);
    name_planting(m, p);
    menu->plantings[menu->nplantings++] = *p;
}

/* ---- spacings ------------------------------------------------------------------------------ */

/* The spacings to try of what is named so: those the gardener settled, the rest of each from
 * `typical`; without any, the n given. Into out, SPACINGS_MAX at most; how many. */
static int spacings_of(const struct maker *m, enum system system, const char *name,
                       struct spacing typical, const struct spacing *given, int n,
                       struct spacing *out)
{
    const struct list *list = &m->garden->grow.spacings;
    const struct spacing_wish *wishes = list->items;
    int found = 0;
    for (size_t i = 0; i < list->n && found < SPACINGS_MAX; i++) {
        const struct spacing_wish *w = &wishes[i];
        enum system of = w->crop_name.s     ? SYSTEM_ROWS
                         : w->system.v >= 0 ? (enum system)w->system.v
                                            : SYSTEM_HILLS;
        const char *what = w->crop_name.s ? w->crop_name.s : w->guild_name.s;
        if (of != system || !what || strcmp(what, name) != 0)
            continue;
        struct spacing s = {w->along_m.set ? w->along_m.v : typical.pitch_m,
                            w->across_m.set ? w->across_m.v : typical.line_m};
        if (system == SYSTEM_HILLS && !w->across_m.set)
            s.line_m = s.pitch_m * sqrt(3) / 2;
        out[found++] = s;
    }
    for (int i = 0; found == 0 && i < n; i++)
        out[i] = given[i];
    return found > 0 ? found : n;
}

/* ---- sole crops in rows -------------------------------------------------------------------- */

static struct planting rows_planting(struct maker *m, int seed_index, struct spacing spacing)
{
    struct planting p = {.system = SYSTEM_ROWS, .nparts = 1};
    struct part *part = &p.parts[0];
    part_basics(m, part, seed_index, ROLE_ALONE, 0);
    const struct crop *crop = part->crop;
    p.pitch_m = spacing.pitch_m;
    p.line_m = p.first_m = spacing.line_m;
    part->per_station = 1;
    double spots = crop->sow_gap_m.set ? fmax(1, round(p.pitch_m / crop->sow_gap_m.typ)) : 1;
    double seeds = crop->seeds_per_spot.set ? crop->seeds_per_spot.typ : 1;
    part->sown = part->seed->standing ? 0 : seeds_for(m->garden, part->seed, spots * seeds, 1);
    return p;
}

static void offer_rows(struct maker *m, int seed_index)
{
    const struct crop *crop = garden_seed(m->garden, (size_t)seed_index)->crop;
    const struct range *along = &crop->in_row_m, *across = &crop->row_m;
    const struct spacing tries[] = {
        {along->low, across->low},
        {along->typ, across->typ},
        {along->high, across->high},
    };
    /* a crop that shares its ground with another comes at its usual spacing only: a choice less */
    bool whole = m->slot == SLOT_WHOLE;
    struct spacing spacings[SPACINGS_MAX];
    int n = spacings_of(m, SYSTEM_ROWS, crop->name.s, tries[1], whole ? tries : &tries[1],
                        whole ? 3 : 1, spacings);
    for (int i = 0; i < n; i++) {
        struct planting p = rows_planting(m, seed_index, spacings[i]);
        offer(m, &p);
    }
}

/* ---- guilds -------------------------------------------------------------------------------- */

static const struct guild_member *member(const struct guild *guild, int k)
{
    return (const struct guild_member *)guild->members.items + k;
}

/* Plants in a hill. */
static void fill_hill_part(const struct garden *g, struct part *part, const struct guild_member *mb)
{
    part->per_station = (int)fmax(1, round(mb->per_hill.typ));
    part->every = mb->every.set ? (int)mb->every.v : 1;
    part->ring_m = mb->ring_m.typ;
    part->trigger = mb->awaits[g->units.v];
    part->sown = seeds_for(g, part->seed, mb->sown_per_hill.typ, part->per_station);
}

/* Plants along a row whose stations stand pitch_m apart. */
static void fill_row_part(const struct garden *g, struct part *part, const struct guild_member *mb,
                          double pitch_m)
{
    double gap = mb->row_gap_m.typ;
    part->per_station = (int)fmax(1, round(pitch_m / gap));
    part->every = (int)fmax(1, round(gap / pitch_m));
    part->trigger = mb->awaits[g->units.v];
    double seeds = part->crop->seeds_per_spot.set ? part->crop->seeds_per_spot.typ : 1;
    part->sown = seeds_for(g, part->seed, seeds * part->per_station, part->per_station);
}

static struct planting guild_planting(struct maker *m, const struct guild *guild,
                                      enum system system, const int *seeds, struct spacing spacing)
{
    struct planting p = {.system = system, .guild = guild, .nparts = (int)guild->members.n};
    p.pitch_m = spacing.pitch_m;
    p.line_m = p.first_m = spacing.line_m;
    if (system == SYSTEM_HILLS) {
        p.first_m = fmax(p.pitch_m, p.line_m);
        p.stagger_m = p.pitch_m / 2;
        p.hill_diameter_m = guild->hill_diameter_m.typ;
        p.hill_height_m = guild->hill_height_m.typ;
    }
    for (int k = 0; k < p.nparts; k++) {
        const struct guild_member *mb = member(guild, k);
        part_basics(m, &p.parts[k], seeds[k], (enum role)mb->role.v, mb->delay_d.typ);
        if (system == SYSTEM_HILLS)
            fill_hill_part(m->garden, &p.parts[k], mb);
        else
            fill_row_part(m->garden, &p.parts[k], mb, p.pitch_m);
    }
    return p;
}

static void offer_guild(struct maker *m, const struct guild *guild, enum system system,
                        const int *seeds)
{
    const struct range *gap = system == SYSTEM_HILLS ? &guild->pitch_m : &guild->row_m;
    const double gaps[] = {gap->low, gap->typ, gap->high};
    struct spacing tries[3], spacings[SPACINGS_MAX];
    for (int i = 0; i < 3; i++)
        tries[i] = system == SYSTEM_HILLS
                       ? (struct spacing){gaps[i], gaps[i] * sqrt(3) / 2}
                       : (struct spacing){member(guild, 0)->row_gap_m.typ, gaps[i]};
    int n = spacings_of(m, system, guild->name.s, tries[1], tries, 3, spacings);
    for (int i = 0; i < n; i++) {
        struct planting p = guild_planting(m, guild, system, seeds, spacings[i]);
        offer(m, &p);
    }
}

/* Every way to fill the guild's places from place k on with varieties in hand. */
static void fill_places(struct maker *m, const struct guild *guild, enum system system, int k,
                        int *seeds)
{
    if (k == (int)guild->members.n) {
        offer_guild(m, guild, system, seeds);
        return;
    }
    for (size_t s = 0; s < m->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(m->garden, s);
        if (seed->standing || !listed(&member(guild, k)->crops, seed->crop->name.s))
            continue;
        seeds[k] = (int)s;
        fill_places(m, guild, system, k + 1, seeds);
    }
}

/* The first place that no seed in hand can fill, -1 when all can be. */
static int empty_place(struct maker *m, const struct guild *guild)
{
    for (int k = 0; k < (int)guild->members.n; k++) {
        bool filled = false;
        for (size_t s = 0; s < m->garden->seed.n && !filled; s++)
            filled = !garden_seed(m->garden, s)->standing &&
                     listed(&member(guild, k)->crops, garden_seed(m->garden, s)->crop->name.s);
        if (!filled)
            return k;
    }
    return -1;
}

static void offer_guilds(struct maker *m)
{
    const struct library *lib = m->garden->library;
    const struct grow *grow = &m->garden->grow;
    for (size_t g = 0; g < lib->nguilds; g++) {
        const struct guild *guild = &lib->guilds[g];
        if (!wanted(&grow->guilds, guild->name.s) || guild->members.n > STAND_PARTS_MAX)
            continue;
        int place = empty_place(m, guild);
        if (place >= 0) {
            const char *why = arena_printf(m->arena, "no seed in hand for its %s",
                                           role_names[member(guild, place)->role.v]);
            if (grow->guilds.set) /* a guild nobody asked for is not missed */
                leave_out(m, guild->name.s, guild->at, why ? why : "");
            continue;
        }
        int seeds[STAND_PARTS_MAX] = {0};
        for (enum system s = SYSTEM_HILLS; s <= SYSTEM_ROW_GUILD; s++)
            if (s != SYSTEM_ROWS && listed(&guild->systems, system_names[s]) &&
                wanted(&grow->systems, system_names[s]))
                fill_places(m, guild, s, 0, seeds);
    }
}

static void offer_crops(struct maker *m)
{
    const struct grow *grow = &m->garden->grow;
    if (!wanted(&grow->systems, system_names[SYSTEM_ROWS]))
        return;
    for (size_t s = 0; s < m->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(m->garden, s);
        if (seed->standing || !wanted(&grow->crops, seed->crop->name.s))
            continue;
        if (seed->crop->perennial.v)
            leave_out(m, seed->crop->name.s, seed->at,
                      "it stands for years and gives nothing in the one it is planted");
        else
            offer_rows(m, (int)s);
    }
}

/* ---- windows and turns ---------------------------------------------------------------------- */

/* When the rules of a plot let something stand on it. */
static struct stay plot_stay(const struct garden *g, const struct plot *plot)
{
    struct stay stay = STAY_ALWAYS;
    if (plot->open.set)
        stay.from = season_day(&g->site, plot->open.d);
    if (plot->clear.set)
        stay.to = season_day(&g->site, plot->clear.d);
    return stay;
}

static bool same_stay(const struct stay *a, const struct stay *b)
{
    return a->from == b->from && a->to == b->to;
}

/* Calls offers once for the window of each plot that none before has. */
static void each_window(struct maker *m, void (*offers)(struct maker *m))
{
    const struct stay whole = m->stay;
    for (size_t i = 0; i < m->garden->plots.n; i++) {
        struct stay stay = plot_stay(m->garden, garden_plot(m->garden, i)), other = STAY_ALWAYS;
        bool seen = false;
        for (size_t k = 0; k < i && !seen; k++) {
            other = plot_stay(m->garden, garden_plot(m->garden, k));
            seen = same_stay(&stay, &other);
        }
        if (seen)
            continue;
        m->stay.from = stay.from > whole.from ? stay.from : whole.from;
        m->stay.to = stay.to < whole.to ? stay.to : whole.to;
        if (m->stay.from < m->stay.to)
            offers(m);
    }
    m->stay = whole;
}

static void offer_turns(struct maker *m)
{
    turns_find(m->garden, m->zones, m->arena, m->menu);
    for (int k = 0; k < m->menu->nturns; k++) {
        m->turn_d = m->menu->turns_d[k];
        m->slot = SLOT_FIRST;
        m->stay = (struct stay){STAY_EARLIEST, m->turn_d - PLANTING_TURN_D, false};
        if (k < m->menu->ncrop_turns) /* else what stands already goes first */
            each_window(m, offer_crops);
        m->slot = SLOT_SECOND;
        m->stay = (struct stay){m->turn_d, STAY_LATEST, true};
        each_window(m, offer_crops);
    }
}

/* What has a place on the menu after all is not left out. */
static void forget_offered(struct menu *menu)
{
    int kept = 0;
    for (int i = 0; i < menu->nleft_out; i++) {
        bool offered = false;
        for (int t = 0; t < menu->nplantings && !offered; t++) {
            const struct planting *p = &menu->plantings[t];
            offered = strcmp(p->guild ? p->guild->name.s : p->parts[0].crop->name.s,
                             menu->left_out[i].name) == 0;
        }
        if (!offered)
            menu->left_out[kept++] = menu->left_out[i];
    }
    menu->nleft_out = kept;
}

static void offer_all(struct maker *m)
{
    m->slot = SLOT_WHOLE;
    m->stay = STAY_ALWAYS;
    each_window(m, offer_guilds);
    each_window(m, offer_crops);
    if (m->garden->grow.second.v)
        offer_turns(m);
    forget_offered(m->menu);
}

/* ---- items --------------------------------------------------------------------------------- */

void menu_item_value(const struct menu *menu, struct item *item)
{
    const struct planting *p = &menu->plantings[item->planting];
    struct stand_figures figures[STAND_PARTS_MAX];
    struct stand_mixture mix;
    double plant_kg[STAND_PARTS_MAX];
    stand_mixture_typical(&mix);
    for (int k = 0; k < p->nparts; k++)
        stand_figures_typical(p->parts[k].crop, &figures[k]);
    planting_plant_kg(p, figures, &mix, item->light, plant_kg);
    double station_h = planting_station_hours_typical(p);
    for (int kind = 0; kind < 2; kind++) {
        item->food[kind] = item->goal[kind] = (struct food){0};
        item->hours[kind] = station_h * item->stations[kind];
        for (int k = 0; k < p->nparts; k++) {
            const struct crop *crop = p->parts[k].crop;
            struct food_rate rate = food_rate_typical(crop);
            item->kg[k][kind] = plant_kg[k] * item->plants[k][kind];
            food_add(&item->food[kind], &rate, item->kg[k][kind]);
            food_add(&item->goal[kind], &rate, item->weight[k] * item->kg[k][kind]);
            item->full_kg[k][kind] = fmax(item->full_kg[k][kind], item->kg[k][kind]);
            item->hours[kind] += crop->harvest_h_kg.typ * item->full_kg[k][kind];
        }
    }
}

/* false: the zone has no room for a line of it, or it grows too tall there. */
static bool item_fill(const struct planting *p, const struct zone *zone, struct item *item)
{
    double over = 0;
    for (int end = 0; end < 2; end++) {
        item->over_m[end] = planting_over(p, zone->over_m[end]);
        over = fmax(over, item->over_m[end]);
    }
    if (p->first_m > zone->depth_m + over + 1e-9)
        return false;
    if (zone->tallest_m > 0 && p->height_m > zone->tallest_m + 1e-9)
        return false; /* a rule of height */
    item->most_lines = 1 + (int)floor((zone->depth_m + over - p->first_m + 1e-9) / p->line_m);
    item->along_m = -planting_spill(p, zone->spill_m[0]);
    item->length_m = zone->length_m - item->along_m + planting_spill(p, zone->spill_m[1]);
    for (int kind = 0; kind < 2; kind++) {
        item->stations[kind] = planting_stations(p, item->length_m, kind);
        for (int k = 0; k < p->nparts; k++) {
            const struct part *part = &p->parts[k];
            item->plants[k][kind] = planting_plants(p, k, kind, item->stations[kind]);
            item->sown[k][kind] = part->sown * item->plants[k][kind] / part->per_station;
        }
    }
    if (item->stations[1] == 0)
        item->most_lines = 1; /* a shifted line without a single hill is no line */
    for (int k = 0; k < p->nparts; k++) {
        item->light[k] = zone->light;
        item->weight[k] = 1;
    }
    return item->stations[0] > 0;
}

bool menu_allows(const struct garden *g, const struct planting *p, const struct zone *zone)
{
    const struct plot *plot = garden_plot(g, (size_t)zone->plot);
    struct stay stay = plot_stay(g, plot);
    if (p->slot != SLOT_SECOND  ? p->stay.from != stay.from
        : stay.from > p->turn_d ? p->stay.from != stay.from
                                : p->stay.from != p->turn_d)
        return false;
    if (p->slot != SLOT_FIRST && p->stay.to != stay.to)
        return false;
    for (int k = 0; k < p->nparts; k++)
        if ((p->slot == SLOT_FIRST && seed_stays(p->parts[k].seed, plot)) ||
            plot_bans(plot, p->parts[k].crop))
            return false;
    return true;
}

/* Per seed: what share of its food counts in the zone for what stood there before, -1: it may not
 * stand there. Each family is looked at once. */
static void counts_in(const struct garden *g, const struct zone *zone, double *counts)
{
    for (size_t s = 0; s < g->seed.n; s++) {
        const struct crop *crop = garden_seed(g, s)->crop;
        size_t r = 0;
        while (r < s && strcmp(garden_seed(g, r)->crop->family.s, crop->family.s) != 0)
            r++;
        counts[s] = r < s                          ? counts[r]
                    : rotation_bars(g, zone, crop) ? -1
                                                   : 1 - rotation_cost(g, zone, crop);
    }
}

/* Sets what the parts count for; false: one of them may not stand in the zone. */
static bool item_weigh(const struct garden *g, const struct planting *p, const struct zone *zone,
                       const double *counts, struct item *item)
{
    for (int k = 0; k < p->nparts; k++) {
        double share = counts[p->parts[k].seed_index];
        if (share < 0)
            return false;
        item->weight[k] = weight_wished(g, zone, p, k) * share;
    }
    return true;
}

bool menu_item_make(const struct menu *menu, const struct zones *zones, int zone, int planting,
                    struct item *out)
{
    struct item item = {.zone = zone, .planting = planting};
    if (!item_fill(&menu->plantings[planting], &zones->items[zone], &item))
        return false;
    menu_item_value(menu, &item);
    *out = item;
    return true;
}

static void fill_items(struct maker *m, const struct zones *zones)
{
    struct menu *menu = m->menu;
    size_t most = zones->n * (size_t)menu->nplantings;
    double *counts = ARENA_ARRAY(m->arena, double, m->garden->seed.n + 1);
    menu->items = ARENA_ARRAY(m->arena, struct item, most);
    if (!menu->items || !counts) {
        m->nomem = true;
        return;
    }
    for (size_t z = 0; z < zones->n; z++) {
        const struct zone *zone = &zones->items[z];
        counts_in(m->garden, zone, counts);
        for (int t = 0; t < menu->nplantings; t++) {
            const struct planting *p = &menu->plantings[t];
            struct item item = {.zone = (int)z, .planting = t};
            if (!menu_allows(m->garden, p, zone) || !turns_allow(menu, p, zone) ||
                !item_fill(p, zone, &item) || !item_weigh(m->garden, p, zone, counts, &item))
                continue;
            menu_item_value(menu, &item);
            menu->items[menu->nitems++] = item;
        }
    }
}

hr_status menu_make(const struct garden *garden, const struct zones *zones, struct arena *arena,
                    struct diags *diags, struct menu *out)
{
    struct menu menu = {0};
    struct maker m = {.garden = garden, .zones = zones, .arena = arena, .menu = &menu};
    menu.plantings = ARENA_ARRAY(arena, struct planting, MENU_PLANTINGS_MAX);
    menu.left_out = ARENA_ARRAY(arena, struct left_out, MENU_PLANTINGS_MAX);
    if (!menu.plantings || !menu.left_out)
        return HR_NOMEM;
    offer_all(&m);
    if (!m.nomem)
        fill_items(&m, zones);
    hr_status status = m.nomem ? HR_NOMEM : kept_off_find(garden, zones, arena, &menu);
    if (status != HR_OK)
        return status;
    if (menu.nitems == 0) {
        diag_error(
            diags, garden->at, "nothing-to-grow",
            "nothing can be planted: no crop or guild fits the seed, the season and the ground");
        for (int i = 0; i < menu.nleft_out; i++)
            diag_note(diags, menu.left_out[i].at, "%s: %s", menu.left_out[i].name,
                      menu.left_out[i].why);
        return HR_INPUT;
    }
    status = setbacks_find(garden, zones, 1, arena, &menu);
    if (status == HR_OK)
        status = standing_blocks(garden, zones, arena, &menu);
    if (status == HR_OK)
        *out = menu;
    return status;
}

hr_status menu_unweighed(const struct menu *menu, struct arena *arena, struct menu *out)
{
    struct menu plain = *menu;
    plain.items = ARENA_ARRAY(arena, struct item, (size_t)menu->nitems);
    plain.setbacks = ARENA_ARRAY(arena, struct setback, (size_t)menu->nsetbacks + 1);
    if (!plain.items || !plain.setbacks || standing_unweighed(menu, arena, &plain) != HR_OK)
        return HR_NOMEM;
    for (int b = 0; b < menu->nsetbacks; b++)
        plain.setbacks[b] = menu->setbacks[b];
    for (int i = 0; i < menu->nitems; i++) {
        plain.items[i] = menu->items[i];
        for (int k = 0; k < STAND_PARTS_MAX; k++)
            plain.items[i].weight[k] = 1;
        menu_item_value(&plain, &plain.items[i]);
    }
    *out = plain;
    return HR_OK;
}

/* ---- single plantings ---------------------------------------------------------------------- */

hr_status menu_rows(const struct garden *garden, int seed_index, const struct stay *stay,
                    double pitch_m, double line_m, struct arena *arena, struct planting *out)
{
    const char *reason = "";
    struct maker m = {.garden = garden, .arena = arena, .slot = SLOT_WHOLE, .stay = *stay};
    struct planting p = rows_planting(&m, seed_index, (struct spacing){pitch_m, line_m});
    p.stay = m.stay;
    seasons(&m, &p, &reason);
    canopy(&p);
    name_planting(&m, &p);
    if (m.nomem)
        return HR_NOMEM;
    *out = p;
    return HR_OK;
}

hr_status menu_spread(const struct planting *hills, struct arena *arena, struct planting *out)
{
    struct maker m = {.arena = arena};
    struct planting p = *hills;
    p.system = SYSTEM_ROW_GUILD;
    p.hill_diameter_m = p.hill_height_m = 0;
    for (int k = 0; k < p.nparts; k++)
        p.parts[k].ring_m = 0;
    name_planting(&m, &p);
    if (m.nomem)
        return HR_NOMEM;
    *out = p;
    return HR_OK;
}

/* ---- dump ---------------------------------------------------------------------------------- */

static void dump_item(const struct menu *menu, const struct item *item, const struct zones *zones,
                      struct strbuf *out)
{
    const struct planting *p = &menu->plantings[item->planting];
    strbuf_printf(out, "  %s: %d lines of %d/%d stations", zones->items[item->zone].name,
                  item->most_lines, item->stations[0], item->stations[1]);
    for (int k = 0; k < p->nparts; k++)
        strbuf_printf(out, "; %s %.4f/%.4f kg", p->parts[k].crop->name.s, item->kg[k][0],
                      item->kg[k][1]);
    strbuf_printf(out, "; %.1f kcal a line", item->food[0].energy_kcal);
    for (int k = 0; k < p->nparts; k++)
        if (item->weight[k] != 1)
            strbuf_printf(out, "; %s counts %.4f", p->parts[k].crop->name.s, item->weight[k]);
    strbuf_puts(out, "\n");
}

void menu_dump(const struct menu *menu, const struct zones *zones, const struct garden *garden,
               struct strbuf *out)
{
    strbuf_printf(out, "menu of %s: %d plantings, %d items\n", garden->name.s, menu->nplantings,
                  menu->nitems);
    for (int t = 0; t < menu->nplantings; t++) {
        const struct planting *p = &menu->plantings[t];
        strbuf_printf(out, "%s\n  first line %.4f m, further %.4f m, height %.2f m\n", p->id,
                      p->first_m, p->line_m, p->height_m);
        for (int i = 0; i < menu->nitems; i++)
            if (menu->items[i].planting == t)
                dump_item(menu, &menu->items[i], zones, out);
    }
    for (int i = 0; i < menu->nleft_out; i++)
        strbuf_printf(out, "left out: %s: %s\n", menu->left_out[i].name, menu->left_out[i].why);
}
