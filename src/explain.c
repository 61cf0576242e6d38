/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The program is solved once more without asking for whole numbers. What one more unit of each row
 * would be worth then (its price) says what an item brings and what it uses up: Dantzig's simplex
 * multipliers. docs/optimiser.md has the sums. */
#include "explain.h"

#include <math.h>
#include <string.h>

#include "isolation.h"
#include "kept_off.h"
#include "labour.h"
#include "num.h"
#include "program.h"
#include "rotation.h"
#include "weight.h"

#define WIDTH     80
#define SECONDS   5.0
#define AS_GOOD   0.02 /* more from the same ground: the doubt of whole lines */
#define WORTH_ASK 1e-6 /* of the value: a price below is none */

/* What rows stand for, by how their names begin. */
enum use {
    USE_FOOD,
    USE_GROUND,
    USE_HAUL,
    USE_HOURS,
    USE_SEED,
    USE_SHARE,
    USE_WISH,
    USE_APART,
    USE_SHADE,
    USE_COUNT
};
static const struct {
    const char *prefix;
    enum use use;
} families[] = {
    {"_energy", USE_FOOD},   /* as LP files have it */ {"protein_", USE_FOOD},
    {"depth_", USE_GROUND},  {"first_", USE_GROUND},
    {"second_", USE_GROUND}, {"blocks_", USE_GROUND},
    {"hours", USE_HOURS},    {"week_", USE_HOURS},
    {"compost", USE_HAUL},   {"mulch", USE_HAUL},
    {"seed_", USE_SEED},     {"share_", USE_SHARE},
    {"least_", USE_WISH},    {"wishmost_", USE_WISH},
    {"apart_", USE_APART},   {"uses_", USE_APART},
    {"usesw_", USE_APART},   {"whole_", USE_SHARE},
    {"shade_", USE_SHADE},   {"setback", USE_SHADE},
};

static const char *const use_words[USE_COUNT] = {
    [USE_FOOD] = "",
    [USE_GROUND] = "its ground feeds better under other crops",
    [USE_HAUL] = "the compost or mulch that can be had does more on other ground",
    [USE_HOURS] = "its hours of work bring more elsewhere",
    [USE_SEED] = "its seed brings more in other plantings",
    [USE_SHARE] = "the limit on the share of one crop keeps it small",
    [USE_WISH] = "a wish stands against it",
    [USE_APART] = "it would cross with seed that is to be saved",
    [USE_SHADE] = "it would take too much light from ground beyond a side (`shade`)",
};

struct explaining {
    struct plan *plan;
    struct program m;
    const double *prices;
    double (*sums)[USE_COUNT]; /* per column: entries times prices, by what their rows are */
    double worth;              /* of the relaxed program */
    double seconds;            /* spent on what more would bring */
    struct strbuf *out;
};

static int use_of(const char *row)
{
    for (size_t i = 0; i < sizeof families / sizeof families[0]; i++)
        if (strncmp(row, families[i].prefix, strlen(families[i].prefix)) == 0)
            return (int)families[i].use;
    return -1;
}

static hr_status sum_columns(struct explaining *e)
{
    const struct mip *mip = &e->m.mip;
    e->sums = arena_alloc(e->m.arena, (size_t)mip->ncolumns, sizeof *e->sums);
    if (!e->sums)
        return HR_NOMEM;
    for (int k = 0, use = -1, row = -1; k < mip->nentries; k++) {
        const struct mip_entry *entry = &mip->entries[k];
        if (entry->row != row)
            use = use_of(mip->rows[row = entry->row].name);
        if (use >= 0)
            e->sums[entry->column][use] += e->prices[entry->row] * entry->value;
    }
    return HR_OK;
}

static void add_column(const struct explaining *e, int column, double times, double *sums)
{
    for (int u = 0; u < USE_COUNT && column >= 0; u++)
        sums[u] += times * e->sums[column][u];
}

/* What one line of an item (or a station of it in a shared line) earns and uses, in the unit of T.
 */
static void item_account(const struct explaining *e, int i, bool shared, double *sums)
{
    const struct program *m = &e->m;
    const struct item *item = &m->menu->items[i];
    const struct planting *p = program_planting(m, i);
    for (int u = 0; u < USE_COUNT; u++)
        sums[u] = 0;
    if (shared) {
        double ground = p->first_m * p->pitch_m / program_zone(m, i)->length_m;
        add_column(e, m->col_s[i], 1, sums);
        add_column(e, m->col_w[i], 1.0 / item->stations[0], sums);
        add_column(e, m->col_d[item->zone], ground, sums);
    } else {
        add_column(e, m->col_n[i], 1, sums);
        add_column(e, m->col_y[i], 1.0 / item->most_lines, sums);
        add_column(e, m->col_q[i], 0.5, sums);
    }
}

/* The item of a variety alone, or of a guild, that comes nearest to earning its place: by what
 * share it would have to give more. -1: there is none on the menu. */
struct nearest {
    int item;
    double more;   /* 0: as good as what was chosen */
    enum use cost; /* the greatest part of what it would take away */
    bool mostly;   /* that is more than half of it */
};

static void consider(const struct explaining *e, int i, bool shared, struct nearest *best)
{
    double sums[USE_COUNT], cost = 0;
    item_account(e, i, shared, sums);
    double brings = -sums[USE_FOOD];
    enum use dearest = USE_GROUND;
    for (enum use u = USE_GROUND; u < USE_COUNT; u++) {
        cost += sums[u];
        if (sums[u] > sums[dearest])
            dearest = u;
    }
    double more = brings > 0 ? fmax(0, cost / brings - 1) : HUGE_VAL;
    if (best->item < 0 || more < best->more)
        *best = (struct nearest){i, more, dearest, cost > 0 && sums[dearest] > cost / 2};
}

static struct nearest nearest_of(const struct explaining *e, const struct guild *guild, int seed)
{
    struct nearest best = {-1, HUGE_VAL, USE_GROUND, false};
    for (int i = 0; i < e->m.menu->nitems; i++) {
        const struct planting *p = program_planting(&e->m, i);
        if (guild ? p->guild != guild : p->guild || p->parts[0].seed_index != seed)
            continue;
        consider(e, i, false, &best);
        if (e->m.col_s[i] >= 0)
            consider(e, i, true, &best);
    }
    return best;
}

static bool planted(const struct plan *plan, const struct guild *guild, int seed)
{
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        for (int k = 0; k < p->nparts; k++)
            if (guild ? p->guild == guild : p->parts[k].seed_index == seed)
                return true;
    }
    return false;
}

static bool planted_in(const struct plan *plan, int seed, size_t plot)
{
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        for (int k = 0; k < p->nparts; k++)
            if (p->parts[k].seed_index == seed &&
                plan->zones.items[plan->blocks[b].zone].plot == (int)plot)
                return true;
    }
    return false;
}

static void say(struct explaining *e, const char *words)
{
    strbuf_puts(e->out, "  - ");
    strbuf_wrap(e->out, words ? words : "", WIDTH, 4, 4);
}

static const char *reason_left(const struct explaining *e, const char *name)
{
    const struct menu *menu = &e->plan->menu;
    for (int i = 0; i < menu->nleft_out; i++)
        if (strcmp(menu->left_out[i].name, name) == 0)
            return arena_printf(e->m.arena, "%s.", menu->left_out[i].why);
    return NULL;
}

/* Whether rules of height keep it off all ground. */
static bool too_tall(const struct explaining *e, const struct planting *p)
{
    const struct zones *zones = &e->plan->zones;
    bool all = true;
    for (size_t z = 0; z < zones->n; z++)
        all &= zone_standing(&zones->items[z]) ||
               (zones->items[z].tallest_m > 0 && p->height_m > zones->items[z].tallest_m);
    return all;
}

/* A crop that never had an item: rules, room or the gardener kept it out. */
static const char *reason_absent(const struct explaining *e, const struct seed *seed)
{
    const struct garden *g = e->plan->garden;
    size_t banned = 0;
    for (size_t p = 0; p < g->plots.n; p++)
        banned += plot_bans(garden_plot(g, p), seed->crop);
    if (banned == g->plots.n)
        return "the rules of every plot ban it. Nothing but the rules can change that.";
    if (garden_seed_count(g, seed) < 1)
        return "no seed is left when the reserve is kept back. Get more, or lower `reserve`.";
    for (int t = 0; t < e->plan->menu.nplantings; t++) {
        const struct planting *p = &e->plan->menu.plantings[t];
        if (!p->guild && p->parts[0].seed == seed)
            return too_tall(e, p)
                       ? "it grows taller than the rules of height along the sides allow "
                         "(`tallest`)."
                       : "no stretch of ground is wide enough for a row of it, or open in its "
                         "season.";
    }
    return "it was not asked for on its own (`grow: crops`), and no guild of the plan takes it.";
}

static const char *reason_priced(const struct explaining *e, const struct nearest *near)
{
    char num[64];
    bool its_own = near->cost == USE_WISH || near->cost == USE_SHARE || near->cost == USE_APART ||
                   near->cost == USE_SHADE;
    if (near->more < AS_GOOD && its_own && near->mostly)
        return arena_printf(e->m.arena, "%s; without that it would have its place.",
                            use_words[near->cost]);
    if (near->more < AS_GOOD)
        return "as good as what was chosen, within the doubt of whole lines: a wish would bring it "
               "in at next to no cost.";
    if (!isfinite(near->more))
        return arena_printf(e->m.arena, "%s; it adds nothing the plan is short of.",
                            use_words[near->cost]);
    return arena_printf(
        e->m.arena,
        "%s. It would have to give about %s %% more from the same ground, or a wish "
        "must ask for it.",
        use_words[near->cost], num_text(num, sizeof num, num_round_sig(100 * near->more, 2)));
}

/* ---- ground of former years -------------------------------------------------------------------
 */

/* The part of a planting whose family stood in the zone last, NULL: none of them did. */
static const struct crop *stood_last(const struct garden *g, const struct planting *p,
                                     const struct zone *zone)
{
    const struct crop *last = NULL;
    int until = 0;
    for (int k = 0; k < p->nparts; k++)
        if (kept_off_until(g, zone, p->parts[k].crop) > until) {
            last = p->parts[k].crop;
            until = kept_off_until(g, zone, last);
        }
    return last;
}

/* Where ground is avoided: the place that comes nearest is such ground. NULL: it is not. */
static const char *reason_avoided(const struct explaining *e, const struct nearest *near)
{
    const struct garden *g = e->plan->garden;
    const struct planting *p = program_planting(&e->m, near->item);
    const struct zone *zone = program_zone(&e->m, near->item);
    const struct crop *crop = stood_last(g, p, zone);
    if (!crop || near->more < AS_GOOD)
        return NULL;
    double counts = 1 - rotation_cost(g, zone, crop);
    if (counts >= 1)
        return NULL;
    /* of a guild it costs a part of the food only, so what it would be without is not known here */
    bool alone = p->nparts == 1 && (counts <= 0 || (1 + near->more) * counts < 1 + AS_GOOD);
    int until = kept_off_until(g, zone, crop);
    char share[64];
    return arena_printf(
        e->m.arena,
        "the family of %s (%s) stood in %d where it comes nearest, and counts there for %s %% "
        "(`rotation`) until %d. %s",
        crop->name.s, crop->family.s, until - (int)g->rotation.years.v - 1,
        num_fixed(share, sizeof share, 100 * counts, 0), until,
        alone ? "Without that it would be as good as what was chosen: a smaller `cost` lets it in."
              : reason_priced(e, near));
}

/* Where it is barred from some of the ground, what is said of the rest is not all. */
static const char *and_barred(const struct explaining *e, const struct planting *p, const char *why)
{
    const struct garden *g = e->plan->garden;
    const struct crop *crop = NULL;
    int until = 0;
    for (size_t z = 0; z < e->plan->zones.n && g->rotation.rule.v == ROTATION_BAR; z++) {
        const struct zone *zone = &e->plan->zones.items[z];
        const struct crop *here = stood_last(g, p, zone);
        if (here && (!crop || kept_off_until(g, zone, here) < until)) {
            crop = here;
            until = kept_off_until(g, zone, here);
        }
    }
    if (!crop)
        return why;
    return arena_printf(e->m.arena,
                        "%s That is on the ground that is left to it: where the family of %s (%s) "
                        "stood in %d it keeps off (`rotation`) until %d.",
                        why, crop->name.s, crop->family.s, until - (int)g->rotation.years.v - 1,
                        until);
}

/* Whether a variety of the plan stands so near to every plot that it would cross. */
static bool near_all(const struct explaining *e, int grown, double apart_m)
{
    const struct garden *g = e->plan->garden;
    for (size_t q = 0; q < g->plots.n; q++) {
        bool near = false;
        for (size_t p = 0; p < g->plots.n && !near; p++)
            near =
                planted_in(e->plan, grown, p) && isolation_distance(g, p, q, e->m.arena) < apart_m;
        if (!near)
            return false;
    }
    return true;
}

/* What of the plan the variety would cross with, on any ground, where seed of one of them is to be
 * saved. NULL: nothing. */
static const char *reason_crosses(const struct explaining *e, int s)
{
    const struct garden *g = e->plan->garden;
    for (int t = 0; t < (int)g->seed.n; t++) {
        bool saved = isolation_crosses(g, e->m.menu, t, s);
        if (t == s || (!saved && !isolation_crosses(g, e->m.menu, s, t)) ||
            !near_all(e, t, garden_seed(g, (size_t)(saved ? t : s))->crop->isolation_m.typ))
            continue;
        return arena_printf(e->m.arena,
                            saved ? "it would cross with %s, of which seed is to be saved."
                                  : "seed of it is to be saved, and it would cross with %s.",
                            garden_seed(g, (size_t)t)->variety.s);
    }
    return NULL;
}

static const char *reason_near(const struct explaining *e, const struct nearest *near)
{
    const char *avoided = reason_avoided(e, near);
    const char *why = avoided ? avoided : reason_priced(e, near);
    return why ? and_barred(e, program_planting(&e->m, near->item), why) : NULL;
}

static void explain_seed(struct explaining *e, int s)
{
    const struct seed *seed = garden_seed(e->plan->garden, (size_t)s);
    const char *why = reason_left(e, seed->crop->name.s);
    struct nearest near = nearest_of(e, NULL, s);
    if (planted(e->plan, NULL, s))
        return;
    const struct seed *bars =
        isolation_barred(e->plan->garden, &e->plan->zones, &e->plan->menu, s, e->m.arena);
    if (bars)
        why = arena_printf(e->m.arena,
                           "seed of it that is to be saved would cross with the %s that stands "
                           "already.",
                           bars->crop->name.s);
    else if (near.item >= 0 && garden_seed_count(e->plan->garden, seed) >= 1) {
        const char *crosses = near.more < AS_GOOD ? reason_crosses(e, s) : NULL;
        why = crosses ? crosses : reason_near(e, &near);
    } else if (!why)
        why = reason_absent(e, seed);
    say(e, arena_printf(e->m.arena, "%s (%s): %s", seed->crop->name.s, seed->variety.s, why));
}

static void explain_guild(struct explaining *e, const struct guild *guild)
{
    struct nearest near = nearest_of(e, guild, -1);
    const char *why = reason_left(e, guild->name.s);
    if (planted(e->plan, guild, -1) || (near.item < 0 && !why))
        return;
    if (near.item >= 0)
        why = reason_near(e, &near);
    say(e, arena_printf(e->m.arena, "%s: %s", guild->name.s, why));
}

/* ---- what more would bring ---------------------------------------------------------------------
 */

static const char *goal_words(const struct garden *g)
{
    if (weight_any(g))
        return g->goal.v == GOAL_ENERGY    ? "kcal of the food as it is weighed"
               : g->goal.v == GOAL_PROTEIN ? "g of usable protein of the food as it is weighed"
                                           : "days of the food as it is weighed";
    return g->goal.v == GOAL_ENERGY    ? "kcal"
           : g->goal.v == GOAL_PROTEIN ? "g of usable protein"
                                       : "days of full food for one";
}

/* What the relaxed program is worth when a row's side gives way by so much; its own worth where the
 * time is up. */
static double relaxed_worth(struct explaining *e)
{
    struct solver_options o = {.seconds = SECONDS, .gap = 0.01, .relaxed = true};
    struct solver_result got = {0};
    bool solved = e->seconds < SECONDS && solver_run(&e->m.mip, &o, &got, NULL) == HR_OK && got.x;
    e->seconds += got.seconds;
    return solved ? got.value : e->worth;
}

static double relaxed_with(struct explaining *e, int row, double way)
{
    struct mip_row *r = &e->m.mip.rows[row], kept = *r;
    r->lower -= way;
    r->upper += way;
    double worth = relaxed_worth(e);
    *r = kept;
    return worth;
}

static void say_gain(struct explaining *e, const char *what, double worth)
{
    char num[64];
    double gain = (worth - e->worth) * program_goal_unit(e->plan->garden);
    if (gain <= 1e-3 * e->plan->value)
        return;
    say(e, arena_printf(e->m.arena, "%s: about %s %s", what,
                        num_text(num, sizeof num, num_round_sig(gain, 2)),
                        goal_words(e->plan->garden)));
}

/* So much more of what a row limits, and what that would bring. */
static void say_more(struct explaining *e, const char *what, double amount, int row)
{
    if (fabs(e->prices[row]) * amount >= WORTH_ASK * e->worth)
        say_gain(e, what, relaxed_with(e, row, amount));
}

/* An hour more in each week: where weeks alike bind together, one alone brings nothing. */
static void explain_weeks(struct explaining *e)
{
    struct mip *mip = &e->m.mip;
    double price = 0;
    if (!e->plan->garden->limits.week_hours.set)
        return;
    for (int pass = 0; pass < 3; pass++) { /* what they cost; an hour more; as it was */
        for (int i = 0; i < mip->nrows; i++) {
            if (strncmp(mip->rows[i].name, "week_", 5) != 0)
                continue;
            price += pass == 0 ? fabs(e->prices[i]) : 0;
            mip->rows[i].upper += pass == 1 ? 1 : pass == 2 ? -1 : 0;
        }
        if (pass == 0 && price < WORTH_ASK * e->worth)
            return;
        if (pass == 1)
            say_gain(e, "an hour more in every week", relaxed_worth(e));
    }
}

/* Five hundredths more for the share of one crop: another program, as that is in the entries. */
static void explain_shares(struct explaining *e)
{
    struct garden more = *e->plan->garden;
    struct qty *shares[] = {&more.limits.share_energy, &more.limits.share_area};
    static const char *const words[] = {"5 % more in `share of energy`",
                                        "5 % more in `share of area`"};
    for (int k = 0; k < 2; k++) {
        const struct program kept = e->m;
        if (!shares[k]->set || shares[k]->v >= 1)
            continue;
        double was = shares[k]->v;
        shares[k]->v = fmin(1, was + 0.05);
        bool built =
            program_init(&e->m, &more, &e->plan->zones, &e->plan->menu, kept.arena) == HR_OK &&
            program_build(&e->m) == HR_OK;
        double worth = built ? relaxed_worth(e) : e->worth;
        e->m = kept;
        shares[k]->v = was;
        say_gain(e, words[k], worth);
    }
}

static void explain_row(struct explaining *e, int row)
{
    const struct garden *g = e->plan->garden;
    struct arena *arena = e->m.arena;
    const char *name = e->m.mip.rows[row].name;
    int index = 0;
    if (strcmp(name, "hours") == 0)
        say_more(e, "an hour of work more", 1, row);
    else if (sscanf(name, "week_%d", &index) == 1) {
        char day[32];
        date_text(day, sizeof day, LABOUR_FROM + 7 * (index - 1));
        say_more(e, arena_printf(arena, "an hour more in the week from %s", day), 1, row);
    } else if (strcmp(name, "compost") == 0)
        say_more(e, "a tenth more compost", g->limits.compost_m3.v / 10, row);
    else if (strcmp(name, "mulch") == 0)
        say_more(e, "a tenth more mulch", g->limits.mulch_m3.v / 10, row);
    else if (sscanf(name, "seed_%d", &index) == 1) {
        const struct seed *seed = garden_seed(g, (size_t)index - 1);
        say_more(e, arena_printf(arena, "ten more to sow of %s", seed->variety.s), 10, row);
    } else if (sscanf(name, "least_%d", &index) == 1 || sscanf(name, "wishmost_%d", &index) == 1) {
        const struct wish *w = garden_wish(g, (size_t)index - 1);
        bool least = name[0] == 'l';
        const struct amount *a = least ? &w->at_least : &w->at_most;
        if (a->kind != UNIT_SHARE)
            say_more(e,
                     arena_printf(arena, "a tenth %s of the `%s` for %s", least ? "less" : "more",
                                  least ? "at least" : "at most", wish_name(w)),
                     fmax(a->v, 1) / 10, row);
    }
}

/* A m2 of further ground, by the zone where it is worth most. */
static void explain_ground(struct explaining *e)
{
    int best = -1;
    double price = 0;
    for (int i = 0; i < e->m.mip.nrows; i++)
        for (size_t z = 0; z < e->m.zones->n; z++) {
            const struct zone *zone = &e->m.zones->items[z];
            const char *name = e->m.mip.rows[i].name;
            char due[64];
            snprintf(due, sizeof due, "depth_%s", zone->name);
            for (char *p = due; *p; p++)
                if (*p == '-')
                    *p = '_';
            if (strcmp(name, due) == 0 && e->prices[i] / zone->length_m > price) {
                price = e->prices[i] / zone->length_m;
                best = i;
            }
        }
    bool us = e->plan->garden->units.v == UNITS_US;
    if (best >= 0)
        say_more(e, us ? "ten square feet more ground" : "a square metre more ground",
                 (us ? 0.929 : 1) * price / e->prices[best], best);
}

static void explain_all(struct explaining *e)
{
    const struct library *lib = e->plan->garden->library;
    strbuf_puts(e->out, "\nWhy not\n");
    size_t head = e->out->n;
    for (int s = 0; s < (int)e->plan->garden->seed.n; s++)
        explain_seed(e, s);
    for (size_t g = 0; g < lib->nguilds; g++)
        explain_guild(e, &lib->guilds[g]);
    if (e->out->n == head && !e->out->failed)
        strbuf_puts(e->out, "  Every crop and guild to consider has its place.\n");
    strbuf_puts(e->out, "\nWhat a little more would bring\n");
    head = e->out->n;
    explain_ground(e);
    for (int i = 0; i < e->m.mip.nrows; i++)
        explain_row(e, i);
    explain_weeks(e);
    explain_shares(e);
    if (e->out->n == head && !e->out->failed)
        strbuf_puts(e->out, "  Nothing that was asked or limited holds this plan back.\n");
    strbuf_puts(e->out, "  ");
    strbuf_wrap(
        e->out,
        "Each by itself, by the program without whole lines, at typical figures: a guide to "
        "what to ask for, not a promise.",
        WIDTH, 2, 2);
}

hr_status explain_plan(struct plan *plan, struct strbuf *out)
{
    struct explaining e = {.plan = plan, .out = out};
    struct solver_options o = {.seconds = SECONDS, .gap = 0.01, .relaxed = true};
    struct solver_result r = {0};
    if (!plan->menu.items)
        return HR_BUG;
    hr_status status = program_init(&e.m, plan->garden, &plan->zones, &plan->menu, plan->arena);
    if (status == HR_OK)
        status = program_build(&e.m);
    if (status == HR_OK)
        status = solver_run(&e.m.mip, &o, &r, NULL);
    if (status != HR_OK)
        return status;
    if (!r.prices)
        return HR_BUG;
    e.prices = r.prices;
    e.worth = r.value;
    status = sum_columns(&e);
    if (status != HR_OK)
        return status;
    explain_all(&e);
    return out->failed ? HR_NOMEM : HR_OK;
}
