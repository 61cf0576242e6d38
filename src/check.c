/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check_work.h"

#include <math.h>
#include <string.h>

#include "check_edge.h"
#include "harvest.h"
#include "outline.h"

#define YEAR_D 365

#define LEAST_AREA_M2     0.1
#define MILD_WINTER_D     46    /* median frosts so near the New Year belong to the winter */
#define SEASON_LEAST_D    60    /* shorter than the quickest crop of the library */
#define LEAST_ENERGY_KCAL 1300  /* a woman of 55 kg at rest: 1302 (FAO/WHO/UNU 2004) */
#define LEAST_PROTEIN_KG  0.033 /* mean need of 50 kg, 0.66 g a kg (WHO 2007, from memory) */

struct ring check_ring(struct checking *c, size_t i)
{
    struct ring ring = {.plot = garden_plot(c->g, i)};
    ring.p = plot_corners(c->arena, ring.plot, &ring.n);
    c->nomem |= !ring.p;
    bool size = ring.plot->size.at.src != NULL, outline = ring.plot->outline.set;
    ring.whole = ring.p && size != outline && ring.n >= 3;
    return ring;
}

/* ---- plots ---------------------------------------------------------------------------------- */

static void plot_name_twice(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct text *name = &garden_plot(c->g, i)->name;
        for (size_t k = 0; k < i; k++) {
            const struct text *first = &garden_plot(c->g, k)->name;
            if (!str_same(name->s, first->s))
                continue;
            diag_error(c->diags, name->at, "plot-name-twice", "there is a plot `%s` already",
                       name->s);
            diag_note(c->diags, first->at, "here");
            break;
        }
    }
}

/* Days from the middle of winter on, as the frosts have it. */
static int from_midwinter(const struct site *site, struct date date)
{
    int last = date_day(site->last_frost.median.d), first = date_day(site->first_frost.median.d);
    int summer = (first - last + YEAR_D) % YEAR_D;
    int midwinter = last + summer / 2 + YEAR_D / 2;
    return ((date_day(date) - midwinter) % YEAR_D + YEAR_D) % YEAR_D;
}

/* A plot that opens in March and must be bare in November; in the south the other way about. */
static void plot_days(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        if (plot->open.set && plot->clear.set &&
            from_midwinter(&c->g->site, plot->open.d) >= from_midwinter(&c->g->site, plot->clear.d))
            diag_error(c->diags, plot->clear.at, "plot-days",
                       "the plot must be clear before it opens");
    }
}

static void size_or_outline(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        bool size = plot->size.at.src != NULL, outline = plot->outline.set;
        if (size && outline)
            diag_error(c->diags, plot->outline.at, "size-or-outline",
                       "the plot has a `size` already: keep one of them");
        else if (!size && !outline)
            diag_error(c->diags, plot->at, "size-or-outline",
                       "the plot needs a `size` (20 ft x 25 ft) or an `outline` (its corners)");
    }
}

/* Faults of one list of corners that stood in the file. */
static void corners_check(struct checking *c, const struct list *list, const char *what)
{
    const struct point *p = list->items;
    size_t n = list->n, a, b;
    if (n < 3) {
        diag_error(c->diags, list->at, "outline-corners",
                   "the outline of %s has %zu corners; it takes three at least", what, n);
        return;
    }
    for (size_t i = 0; i < n; i++) {
        const struct point *next = &p[i + 1 < n ? i + 1 : 0];
        if (p[i].x == next->x && p[i].y == next->y) {
            diag_error(c->diags, i + 1 < n ? next->at : p[i].at, "outline-corner-twice",
                       "this corner stands twice: the outline closes by itself");
            return;
        }
    }
    if (outline_crosses_itself(p, n, &a, &b)) {
        diag_error(c->diags, p[b].at, "outline-crosses-itself",
                   "the side that starts here meets an earlier one of %s", what);
        diag_note(c->diags, p[a].at, "the one that starts here");
    }
}

static void outline_corners(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        const struct obstacle *obstacles = plot->obstacles.items;
        if (plot->outline.set)
            corners_check(c, &plot->outline, "the plot");
        for (size_t k = 0; k < plot->obstacles.n; k++)
            if (obstacles[k].outline.set)
                corners_check(c, &obstacles[k].outline, "the obstacle");
    }
}

static void outline_too_small(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        struct ring ring = check_ring(c, i);
        if (!ring.whole || fabs(outline_area(ring.p, ring.n)) >= LEAST_AREA_M2)
            continue;
        bool outline = ring.plot->outline.set;
        diag_error(c->diags, outline ? ring.plot->outline.at : ring.plot->size.at,
                   "outline-too-small", "the plot is smaller than a tenth of a square metre");
    }
}

static void border_too_wide(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        struct ring ring = check_ring(c, i);
        const struct qty *border = &ring.plot->border_m;
        if (!ring.whole || 2 * border->v < outline_width(ring.p, ring.n))
            continue;
        diag_error(c->diags, border->set ? border->at : ring.plot->at, "border-too-wide",
                   "the border strips of both sides leave no ground between them");
    }
}

static void edge_side(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        struct ring ring = check_ring(c, i);
        const struct edge *edges = ring.plot->edges.items;
        for (size_t k = 0; ring.whole && k < ring.plot->edges.n; k++) {
            const struct qty *side = &edges[k].side;
            if (side->v > (double)ring.n)
                diag_error(c->diags, side->at, "edge-side", "the plot has sides 1 to %zu", ring.n);
            for (size_t j = 0; j < k; j++) {
                if (edges[j].side.v != side->v)
                    continue;
                diag_error(c->diags, side->at, "edge-side", "this side is described already");
                diag_note(c->diags, edges[j].side.at, "here");
                break;
            }
        }
    }
}

static void overhang_neighbour(struct checking *c)
{
    check_edge_overhang(c->g, c->diags);
}

static void edge_height(struct checking *c)
{
    check_edge_height(c->g, c->diags);
}

static void edge_shades(struct checking *c)
{
    check_edge_shades(c->g, c->diags);
}

static void path_outside(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        struct ring ring = check_ring(c, i);
        const struct path *paths = ring.plot->paths.items;
        for (size_t k = 0; ring.whole && k < ring.plot->paths.n; k++) {
            const struct path *path = &paths[k];
            if (path->from.x == path->to.x && path->from.y == path->to.y)
                diag_error(c->diags, path->to.at, "path-no-length",
                           "the path ends where it starts");
            else if (!outline_meets(ring.p, ring.n, path->from, path->to) &&
                     outline_distance(ring.p, ring.n, path->from.x, path->from.y) >
                         path->width_m.v / 2 &&
                     outline_distance(ring.p, ring.n, path->to.x, path->to.y) > path->width_m.v / 2)
                diag_warning(c->diags, path->at, "path-outside",
                             "the path lies outside the plot: nothing is kept free for it");
        }
    }
}

/* ---- season --------------------------------------------------------------------------------- */

/* The day of a median frost, counted so that spring comes before fall in both hemispheres; where
 * winter is mild, a last frost may lie before the New Year and a first one behind it. */
static int frost_day(const struct garden *g, const struct when *median, bool fall)
{
    int day = date_day(median->d);
    if (g->site.latitude.v < 0)
        day = (day + 182) % 365;
    if (!fall && day > 365 - MILD_WINTER_D)
        return day - 365;
    return fall && day < MILD_WINTER_D ? day + 365 : day;
}

/* Days from a to b, -182 to 182, round the year's end. */
static int days_between(const struct when *a, const struct when *b)
{
    return (date_day(b->d) - date_day(a->d) + 365 + 182) % 365 - 182;
}

/* early, median and late in this order. */
static void frost_three(struct checking *c, const struct frost_dates *f)
{
    if (f->early.set && days_between(&f->early, &f->median) < 0)
        diag_error(c->diags, f->early.at, "frost-order", "`early` lies behind `median`");
    if (f->late.set && days_between(&f->median, &f->late) < 0)
        diag_error(c->diags, f->late.at, "frost-order", "`late` lies before `median`");
}

static void frost_order(struct checking *c)
{
    const struct site *site = &c->g->site;
    const struct frost_dates *last = &site->last_frost, *first = &site->first_frost;
    size_t errors = diags_errors(c->diags);
    frost_three(c, last);
    frost_three(c, first);
    if (diags_errors(c->diags) > errors)
        return;
    int season = frost_day(c->g, &first->median, true) - frost_day(c->g, &last->median, false);
    int safe = season - days_between(&last->median, &last->late) -
               days_between(&first->early, &first->median);
    if (season <= 0)
        diag_error(c->diags, first->median.at, "frost-order",
                   "the first frost of fall comes before the last one of spring; is the latitude "
                   "%s?",
                   site->latitude.v < 0 ? "north" : "south");
    else if (safe < SEASON_LEAST_D)
        diag_warning(c->diags, site->at, "short-season",
                     "only %d days lie between the late last frost and the early first one",
                     safe > 0 ? safe : 0);
}

/* ---- seed ----------------------------------------------------------------------------------- */

static void variety_twice(struct checking *c)
{
    for (size_t i = 0; i < c->g->seed.n; i++) {
        const struct seed *seed = garden_seed(c->g, i);
        for (size_t k = 0; k < i; k++) {
            const struct seed *first = garden_seed(c->g, k);
            if (seed->crop != first->crop || !str_same(seed->variety.s, first->variety.s))
                continue;
            diag_error(c->diags, seed->variety.at, "variety-twice",
                       "`%s` stands here again: add the amounts up", seed->variety.s);
            diag_note(c->diags, first->variety.at, "here before");
            break;
        }
    }
}

/* What is saved, and how a neighbour's plants would get into it. */
static void save_true(struct checking *c)
{
    const struct nearby *nearby = c->g->nearby.items;
    for (size_t i = 0; i < c->g->seed.n; i++) {
        const struct seed *seed = garden_seed(c->g, i);
        if (!seed->crop || !seed->save.v)
            continue;
        if (!seed->crop->isolation_m.set)
            diag_warning(c->diags, seed->save.at, "save-true",
                         "%s is not kept by seed: set some of the harvest aside instead",
                         seed->crop->name.s);
        for (size_t k = 0; k < c->g->nearby.n && !seed->by_hand.v; k++) {
            const struct crop *other = nearby[k].crop;
            if (!other || !seed->crop->isolation_m.set ||
                strcmp(other->cross_group.s, seed->crop->cross_group.s) != 0 ||
                nearby[k].distance_m.v >= seed->crop->isolation_m.low)
                continue;
            diag_warning(c->diags, seed->save.at, "save-true",
                         "%s will cross with what a neighbour grows: bag and pollinate its flowers "
                         "(`by hand: yes`), or grow seed of it elsewhere",
                         seed->variety.s);
            diag_note(c->diags, nearby[k].at, "this %s is nearer than they should stand",
                      other->name.s);
        }
    }
}

#define BUY_NEW 0.4 /* common practice: seed that germinates less is not worth sowing */

static void seed_old(struct checking *c)
{
    for (size_t i = 0; i < c->g->seed.n; i++) {
        const struct seed *seed = garden_seed(c->g, i);
        if (!seed->crop || !seed->year.set)
            continue;
        if (seed->year.v > c->g->year.v)
            diag_error(c->diags, seed->year.at, "seed-old",
                       "seed of %.0f is not there yet in the season of %.0f", seed->year.v,
                       c->g->year.v);
        else if (seed_germination(c->g, seed) < BUY_NEW)
            diag_warning(c->diags, seed->year.at, "seed-old",
                         "of seed so old less than four in ten may come up: buy new, or test it "
                         "and give its `germination`");
    }
}

static void germination_low(struct checking *c)
{
    for (size_t i = 0; i < c->g->seed.n; i++) {
        const struct seed *seed = garden_seed(c->g, i);
        const struct range *standard = &seed->crop->germination;
        if (seed->germination.set && strcmp(standard->source, "fsa") == 0 &&
            seed->germination.v < standard->typ)
            diag_warning(c->diags, seed->germination.at, "germination-low",
                         "below the Federal Seed Act's least for %s, %.0f %%: sow thicker or renew",
                         seed->crop->name.s, 100 * standard->typ);
    }
}

static void seed_empty(struct checking *c)
{
    for (size_t i = 0; i < c->g->seed.n; i++) {
        const struct seed *seed = garden_seed(c->g, i);
        if (garden_seed_count(c->g, seed) < 1)
            diag_warning(c->diags, seed->amount.at, "seed-empty",
                         "no whole seed is left of this once the reserve is kept back");
    }
}

/* ---- wishes --------------------------------------------------------------------------------- */

static void wish_target(struct checking *c)
{
    for (size_t i = 0; i < c->g->wishes.n; i++) {
        const struct wish *wish = garden_wish(c->g, i);
        if (!!wish->crop_name.s + !!wish->variety.s + !!wish->guild.s != 1)
            diag_error(c->diags, wish->at, "wish-target",
                       "a wish is about a `crop`, a `variety` or a `guild`: name one of them");
    }
}

static void wish_empty(struct checking *c)
{
    for (size_t i = 0; i < c->g->wishes.n; i++) {
        const struct wish *wish = garden_wish(c->g, i);
        if (!wish->at_least.set && !wish->at_most.set && !wish->weight.set)
            diag_error(c->diags, wish->at, "wish-empty",
                       "this wish asks for nothing: add `at least`, `at most` or `weight`");
    }
}

static void wish_order(struct checking *c)
{
    for (size_t i = 0; i < c->g->wishes.n; i++) {
        const struct wish *wish = garden_wish(c->g, i);
        if (wish->at_least.set && wish->at_most.set && wish->at_least.kind == wish->at_most.kind &&
            wish->at_least.v > wish->at_most.v)
            diag_error(c->diags, wish->at_most.at, "wish-order", "`at most` is below `at least`");
    }
}

/* Whether the amount is written with this word, such as plants, not hills or seeds. */
static bool in_unit(const struct amount *a, const char *unit)
{
    const struct source *src = a->at.src;
    size_t n = strlen(unit);
    for (size_t i = a->at.begin; src && i + n <= a->at.end; i++)
        if (strncmp(src->p + i, unit, n) == 0)
            return true;
    return false;
}

static void wish_unit(struct checking *c)
{
    for (size_t i = 0; i < c->g->wishes.n; i++) {
        const struct wish *wish = garden_wish(c->g, i);
        const struct amount *const amounts[] = {&wish->at_least, &wish->at_most};
        for (size_t k = 0; k < 2; k++) {
            const struct amount *a = amounts[k];
            bool count = a->set && a->kind == UNIT_COUNT;
            if (count && !wish->guild.s && !in_unit(a, "plant"))
                diag_error(c->diags, a->at, "wish-unit", "count the plants that grow: `12 plants`");
            if (count && wish->guild.s && !in_unit(a, "hill"))
                diag_error(c->diags, a->at, "wish-unit", "count the hills of a guild: `8 hills`");
            if (a->set && a->kind == UNIT_SHARE && a->v > 1)
                diag_error(c->diags, a->at, "wish-unit", "a share of the food is 100 %% at most");
        }
    }
}

/* standing: what stands already counts, too. */
static bool seed_in_hand(const struct garden *g, const char *crop, bool standing)
{
    for (size_t i = 0; i < g->seed.n; i++)
        if (str_same(garden_seed(g, i)->crop->name.s, crop) &&
            (standing || !garden_seed(g, i)->standing))
            return true;
    return false;
}

static void wish_crop(struct checking *c)
{
    for (size_t i = 0; i < c->g->wishes.n; i++) {
        const struct wish *wish = garden_wish(c->g, i);
        const struct text *name = &wish->crop_name;
        if (!name->s || seed_in_hand(c->g, name->s, true))
            continue;
        if (wish->at_least.set && wish->at_least.v > 0)
            diag_error(c->diags, name->at, "wish-crop",
                       "there is no seed of %s under `seed`: the wish cannot be met", name->s);
        else
            diag_warning(c->diags, name->at, "wish-crop",
                         "there is no seed of %s under `seed`: the wish changes nothing", name->s);
    }
}

/* ---- what to grow --------------------------------------------------------------------------- */

/* The first member of a guild that no seed in hand can be, NULL when all can. */
static const struct guild_member *member_missing(const struct garden *g, const struct guild *guild)
{
    const struct guild_member *members = guild->members.items;
    for (size_t i = 0; i < guild->members.n; i++) {
        const struct text *names = members[i].crops.items;
        bool found = false;
        for (size_t k = 0; k < members[i].crops.n && !found; k++)
            found = seed_in_hand(g, names[k].s, false);
        if (!found)
            return &members[i];
    }
    return NULL;
}

static void guild_without_seed(struct checking *c)
{
    const struct text *names = c->g->grow.guilds.items;
    for (size_t i = 0; i < c->g->grow.guilds.n; i++) {
        const struct guild *guild = library_guild(c->g->library, names[i].s);
        const struct guild_member *missing = guild ? member_missing(c->g, guild) : NULL;
        if (missing)
            diag_warning(c->diags, names[i].at, "guild-without-seed",
                         "no seed in hand for its %s (%s ...)", role_names[missing->role.v],
                         ((const struct text *)missing->crops.items)[0].s);
    }
}

static void crop_without_seed(struct checking *c)
{
    const struct text *names = c->g->grow.crops.items;
    for (size_t i = 0; i < c->g->grow.crops.n; i++)
        if (!seed_in_hand(c->g, names[i].s, false))
            diag_warning(c->diags, names[i].at, "crop-without-seed", "no seed of %s in hand",
                         names[i].s);
}

/* Whether a list of names lets one in: an absent list lets in all. */
static bool lets_in(const struct list *list, const char *name)
{
    const struct text *names = list->items;
    for (size_t i = 0; i < list->n; i++)
        if (str_same(names[i].s, name))
            return true;
    return !list->set;
}

static bool guild_possible(const struct garden *g, const struct guild *guild)
{
    const struct text *systems = guild->systems.items;
    bool system = false;
    for (size_t i = 0; i < guild->systems.n; i++)
        system |= lets_in(&g->grow.systems, systems[i].s);
    return system && lets_in(&g->grow.guilds, guild->name.s) && !member_missing(g, guild);
}

static void nothing_to_grow(struct checking *c)
{
    const struct grow *grow = &c->g->grow;
    const struct library *lib = c->g->library;
    for (size_t i = 0; i < c->g->seed.n; i++)
        if (!garden_seed(c->g, i)->standing && lets_in(&grow->systems, "rows") &&
            lets_in(&grow->crops, garden_seed(c->g, i)->crop->name.s))
            return;
    for (size_t i = 0; i < lib->nguilds; i++)
        if (guild_possible(c->g, &lib->guilds[i]))
            return;
    diag_error(c->diags, grow->at.src ? grow->at : c->g->seed.at, "nothing-to-grow",
               "`grow` leaves nothing that there is seed for");
}

/* ---- spacings and layouts ------------------------------------------------------------------- */

/* Calls fn for the spacings of `grow` and of each layout. */
static void each_spacing(struct checking *c,
                         void (*fn)(struct checking *c, const struct spacing_wish *w))
{
    for (size_t i = 0; i <= c->g->compare.n; i++) {
        const struct grow *grow = i == 0 ? &c->g->grow : &garden_layout(c->g, i - 1)->grow;
        const struct spacing_wish *wishes = grow->spacings.items;
        for (size_t k = 0; k < grow->spacings.n; k++)
            fn(c, &wishes[k]);
    }
}

static void one_target(struct checking *c, const struct spacing_wish *w)
{
    if (!w->crop_name.s == !w->guild_name.s)
        diag_error(c->diags, w->at, "spacing-target",
                   "a spacing is of a `crop` or of a `guild`, one of them");
    else if (w->crop_name.s && w->system.v >= 0 && w->system.v != (int)GARDEN_ROWS)
        diag_error(c->diags, w->system.at, "spacing-target", "a crop by itself stands in rows");
    else if (w->guild_name.s && w->system.v == (int)GARDEN_ROWS)
        diag_error(c->diags, w->system.at, "spacing-target",
                   "a guild stands in hills or as a row guild");
}

static void spacing_target(struct checking *c)
{
    each_spacing(c, one_target);
}

static void one_distance(struct checking *c, const struct spacing_wish *w)
{
    if (!w->along_m.set && !w->across_m.set)
        diag_error(c->diags, w->at, "spacing-empty", "give `along`, `across` or both");
}

static void spacing_empty(struct checking *c)
{
    each_spacing(c, one_distance);
}

/* Staggered hills stand no closer than along a line, and never into each other. */
static void one_hills(struct checking *c, const struct spacing_wish *w)
{
    const struct guild *guild =
        w->guild_name.s ? library_guild(c->g->library, w->guild_name.s) : NULL;
    if (!guild || w->system.v > (int)GARDEN_HILLS)
        return;
    double along = w->along_m.set ? w->along_m.v : guild->pitch_m.typ;
    double across = w->across_m.set ? w->across_m.v : along * sqrt(3) / 2;
    if (along < guild->hill_diameter_m.typ ||
        across * across + along * along / 4 < along * along * (1 - 1e-6))
        diag_error(c->diags, w->at, "spacing-hills",
                   "hills may stand no closer than they are wide, nor lines of them closer than "
                   "0.87 times the distance along");
}

static void spacing_hills(struct checking *c)
{
    each_spacing(c, one_hills);
}

static void layout_name_twice(struct checking *c)
{
    for (size_t i = 0; i < c->g->compare.n; i++) {
        const struct text *name = &garden_layout(c->g, i)->name;
        bool taken = false;
        for (size_t k = 0; garden_layouts[k] && !taken; k++)
            taken = name->s && str_same(garden_layouts[k], name->s);
        for (size_t k = 0; k < i && !taken; k++) {
            const char *other = garden_layout(c->g, k)->name.s;
            taken = name->s && other && str_same(other, name->s);
        }
        if (taken)
            diag_error(c->diags, name->at, "layout-name-twice", "there is a layout `%s` already",
                       name->s);
    }
}

/* ---- goal ----------------------------------------------------------------------------------- */

static void ration_low(struct checking *c)
{
    const struct ration *ration = &c->g->ration;
    if (ration->energy_kcal.v < LEAST_ENERGY_KCAL)
        diag_warning(c->diags, ration->energy_kcal.at, "ration-low",
                     "less than a small adult burns at rest, about %d kcal a day",
                     LEAST_ENERGY_KCAL);
    if (ration->protein_kg.v < LEAST_PROTEIN_KG)
        diag_warning(c->diags, ration->protein_kg.at, "ration-low",
                     "less than a small adult needs, about %.0f g a day", 1000 * LEAST_PROTEIN_KG);
}

/* ---- the table ------------------------------------------------------------------------------ */

/* Every name that may stand in [brackets], in the order in which a file meets them. Those without a
 * function are reported while reading. */
static const struct check {
    const char *name, *doc;
    void (*fn)(struct checking *c);
} checks[] = {
    {"cannot-read", "the file is missing, or may not be read", NULL},
    {"not-a-file", "a folder, a pipe or a device instead of a file", NULL},
    {"too-large", "a file over 16 MiB", NULL},
    {"empty-file", "a file with nothing in it", NULL},
    {"invalid-utf8", "bytes that are not UTF-8", NULL},
    {"nul-byte", "a zero byte", NULL},
    {"yaml-syntax", "text that is not YAML", NULL},
    {"tab-indent", "a tab in the indentation", NULL},
    {"too-deep", "more than 32 levels in each other", NULL},
    {"too-many-nodes", "more names and values than are read", NULL},
    {"duplicate-key", "the same key twice in one place", NULL},
    {"key-not-text", "a key that is a list or a map", NULL},
    {"alias", "`&` and `*`, which are not used here", NULL},
    {"tag", "`!` tags, which are not used here", NULL},
    {"second-document", "a second document after `---`", NULL},

    {"unknown-key", "a key that is not known in its place", NULL},
    {"missing-key", "a key that is needed", NULL},
    {"missing-value", "a key with nothing behind it", NULL},
    {"wrong-type", "a list, a map or a value where another is due", NULL},
    {"not-a-number", "text where a number is due", NULL},
    {"missing-unit", "a number without its unit", NULL},
    {"unknown-unit", "a unit that does not fit", NULL},
    {"out-of-range", "a number out of its limits", NULL},
    {"range-order", "low, typical and high out of order", NULL},
    {"unknown-choice", "a word that is not one of the choices", NULL},
    {"bad-date", "text that is no date", NULL},
    {"bad-text", "a text that is empty, too long, or has control characters", NULL},
    {"too-many", "a list that is too long", NULL},

    {"missing-source", "a figure of a crop file without its source", NULL},
    {"bib-syntax", "a bibliography that cannot be read", NULL},
    {"crop-or-guild", "a file of the library that is neither", NULL},
    {"no-crops", "a library folder without a crop file", NULL},
    {"unknown-source", "a source that is not in sources.bib", NULL},
    {"unused-source", "a source that no figure names (warning)", NULL},
    {"impossible-value", "a figure that nature does not allow", NULL},
    {"missing-figure", "a figure that the other ones call for", NULL},
    {"map-letter", "a map letter that is not one or two letters", NULL},
    {"same-name", "a crop or guild name that is taken", NULL},
    {"same-letter", "a map letter that is taken", NULL},
    {"member-count", "a guild of fewer than two members", NULL},
    {"guild-support", "a guild whose first member is not its one support", NULL},

    {"unknown-crop", "a crop that is not in the library", NULL},
    {"unknown-guild", "a guild that is not in the library", NULL},
    {"unknown-system", "a way to plant that is not known", NULL},
    {"unknown-variety", "a variety that is not under `seed`", NULL},
    {"unknown-plot", "a plot that is not under `plots`", NULL},
    {"crop-twice", "a crop changed twice under `crops`", NULL},

    {"plot-name-twice", "two plots of one name", plot_name_twice},
    {"plot-days", "a plot to be cleared before it opens", plot_days},
    {"size-or-outline", "a plot with both a size and an outline, or neither", size_or_outline},
    {"outline-corners", "an outline of fewer than three corners", outline_corners},
    {"outline-corner-twice", "a corner that stands twice in a row", NULL},
    {"outline-crosses-itself", "an outline whose sides cross or touch", NULL},
    {"outline-too-small", "a plot under 0.1 m2", outline_too_small},
    {"border-too-wide", "border strips that leave no ground", border_too_wide},
    {"edge-side", "a side that is not there, or described twice", edge_side},
    {"overhang-neighbour", "vines let over a neighbour, fence, wall or hedge", overhang_neighbour},
    {"gate-off-side", "a gate that is not on its side of the plot", check_gates},
    {"height-rule", "a rule of height without a height", check_heights},
    {"no-access", "a plot that cannot be entered (warning)", check_access},
    {"plots-overlap", "plots that lie over each other in the garden", check_plots_apart},
    {"edge-height", "a side with a height that cannot stand, or light without one", edge_height},
    {"edge-shades", "a limit on the shade beyond too many sides", edge_shades},
    {"path-no-length", "a path that ends where it starts", NULL},
    {"path-outside", "a path that lies outside the plot (warning)", path_outside},
    {"obstacle-shape", "an obstacle that is not either round or cornered", check_obstacle_shape},
    {"obstacle-outside", "an obstacle outside that shades nothing (warning)",
     check_obstacle_outside},

    {"standing-outside", "a standing block that is not wholly on its plot", check_standing_outside},
    {"standing-overlap", "a standing block over a path, an obstacle or another", check_standing},
    {"standing-plants", "more plants in a standing block than can be", check_standing_plants},
    {"standing-seed", "a standing block for seed of what is no biennial", check_standing_seed},
    {"standing-winter", "a standing block over winter of what the frost takes",
     check_standing_winter},
    {"standing-season", "a standing block whose harvest its days leave no time for", NULL},

    {"frost-order", "frost dates out of order", frost_order},
    {"short-season", "fewer than 60 days safe from frost (warning)", NULL},
    {"normals-order", "a month with nights warmer than its days", check_normals},
    {"normals-season", "monthly temperatures of the other half of the year", NULL},

    {"variety-twice", "a variety of a crop listed twice", variety_twice},
    {"save-true", "seed to be saved that would not come true (warning)", save_true},
    {"perennial-seed", "seed of what bears nothing in its first year (warning)", check_perennial},
    {"save-clear", "a biennial for seed that no plot lets stand (warning)", check_save_clear},
    {"seed-old", "seed from a year to come, or too old to sow (warning)", seed_old},
    {"germination-low", "germination below the legal standard (warning)", germination_low},
    {"seed-empty", "an amount of seed that is nothing (warning)", seed_empty},

    {"wish-target", "a wish for no crop, or for a crop and a variety", wish_target},
    {"wish-empty", "a wish without `at least`, `at most` or `weight`", wish_empty},
    {"wish-order", "a wish for at most less than at least", wish_order},
    {"wish-unit", "a wish in a unit that makes no sense", wish_unit},
    {"wish-crop", "a wish for a crop without seed (warning if it can be kept)", wish_crop},

    {"history", "a former plan that cannot be read, or is not of a year before", check_history},
    {"rotation-cost", "a cost of ground that is not avoided", check_rotation},
    {"history-plot", "a plot of a former plan that is gone or changed (warning)", NULL},

    {"guild-without-seed", "a guild to grow with no seed for a role (warning)", guild_without_seed},
    {"crop-without-seed", "a crop to grow with no seed in hand (warning)", crop_without_seed},
    {"nothing-to-grow", "no crop and no guild that could be grown", nothing_to_grow},
    {"spacing-target", "a spacing of nothing, of two things, or in a wrong system", spacing_target},
    {"spacing-empty", "a spacing without a distance", spacing_empty},
    {"spacing-hills", "hills closer than they may stand", spacing_hills},
    {"layout-name-twice", "a layout to compare of a name that is taken", layout_name_twice},
    {"harvest-figures", "a variety gathered otherwise than its figures say (warning)",
     check_harvests},
    {"guild-closed", "a guild asked for that shuts in what is picked (warning)", check_shut_in},
    {"chips-banned", "wood chips where the rules of a plot ban them", check_chips},
    {"ration-low", "a ration below what a body needs (warning)", ration_low},

    {"ground", "an outline that the geometry library refuses", NULL},
    {"no-ground", "a plot without free ground for a single line", NULL},
    {"too-many-zones", "ground so broken up that it falls into too many pieces", NULL},
    {"wishes-collide", "terms that no plan can meet together", NULL},
    {"nothing-to-compare", "fewer than two layouts that can be planned", NULL},
    {"time-limit", "no plan found in the time given", NULL},
    {"plan-json", "a plan.json that is damaged or of another version", NULL},
    {"cannot-write", "a file or folder that cannot be written", NULL},
    {"missing-glyph", "a character that no font at hand can draw (warning)", NULL},
    {"plots-left-out", "more plots than a map has pages for (warning)", NULL},
    {"out-of-reach", "ground that cannot be reached from the sides (warning)", NULL},
    {"staircase-loss", "much ground lost to slanting sides (warning)", NULL},
};

hr_status check_garden(const struct garden *garden, struct arena *arena, struct diags *diags)
{
    struct checking c = {garden, arena, diags, false};
    size_t errors = diags_errors(diags);
    for (size_t i = 0; i < sizeof checks / sizeof *checks; i++)
        if (checks[i].fn)
            checks[i].fn(&c);
    if (c.nomem)
        return HR_NOMEM;
    return diags_errors(diags) > errors ? HR_INPUT : HR_OK;
}

const char *check_name(size_t n, const char **doc)
{
    if (n >= sizeof checks / sizeof *checks)
        return harvest_check_name(n - sizeof checks / sizeof *checks, doc);
    if (doc)
        *doc = checks[n].doc;
    return checks[n].name;
}
