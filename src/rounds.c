/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rounds.h"

#include <math.h>
#include <string.h>
#include <time.h>

#include "lit_bound.h"
#include "num.h"
#include "standing.h"

#define ROUNDS_MAX 6
#define IDLE_MOST  1    /* where the gap asked for is not reached */
#define GAIN_LEAST 1e-6 /* relative: a round that gains less is the last */
#define LATER_NODES                                                                                \
    300 /* of the search in later rounds, which look for a better plan, not for a proof */
/* Share of the time for the first round, whose plan may miss a term once its shade is counted. */
#define FIRST_TIME 0.5
#define SHADE_STEP 0.97 /* of what should do, where a neighbour loses too much */
#define LIT_PASSES 2
#define LIT_SHARE  0.5  /* of the gap asked for: a plan so near its bound is near enough */
#define TERM_SLACK 1e-7 /* relative: what rounding may take from a term */

/* A term that an arrangement does not keep, and what it comes to there. */
struct miss {
    double share; /* of what is asked, by which it is missed; 0: all terms are kept */
    struct pos at;
    bool least, mass;  /* at least, not at most; kg, not a share of the food energy */
    const char *of;    /* the crop, variety or guild */
    double asked, got; /* the same measure */
};

/* All that an arrangement does not keep. */
struct misses {
    struct miss *items;
    int n;
    double worst; /* share; 0: all terms are kept */
};

struct loop {
    const struct garden *garden;
    const struct zones *zones;
    struct menu *menu;
    const struct rounds_options *options;
    struct arena *arena;
    struct diags *diags;
    struct timespec begin;
    struct allocation allocation; /* of the best round so far */
    struct allocation last;       /* of the last one */
    double last_value;            /* as arranged */
    struct rounds best;
    bool stopped;               /* by the caller */
    bool found;                 /* a round that keeps all terms */
    double margin;              /* see allocate_options */
    struct misses nearest;      /* of the round that missed least */
    double lit_at;              /* the value a bound that knows shade was looked for with last */
    int idle;                   /* rounds that gained nothing, up to the last */
    bool kept;                  /* a round kept all terms but for a neighbour's light */
    const struct edge **shaded; /* beyond which arrangements took too much light */
    int nshaded;
};

static double seconds_since(const struct timespec *begin)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - begin->tv_sec) + 1e-9 * (double)(now.tv_nsec - begin->tv_nsec);
}

/* The share of the site's light that is left, past the crops of the plot, to one so high: that of
 * the block of the plot nearest to it in height. 1 where there is none. */
static double share_left(const struct loop *l, const struct arrangement *a, int plot,
                         double height_m)
{
    double share = 1, nearest = HUGE_VAL;
    for (int b = 0; b < a->n - l->menu->nstanding; b++) {
        const struct planting *p = a->blocks[b].planting;
        const struct zone *zone = &l->zones->items[a->blocks[b].zone];
        int k = planting_tallest(p);
        double off = fabs(p->height_m - height_m);
        if (zone->plot != plot || off >= nearest || zone->light <= 0)
            continue;
        nearest = off;
        share = fmin(1, a->blocks[b].light[k] / zone->light);
    }
    return share;
}

/* The arranged blocks' light is what their items are worth from now on, and what does not stand
 * would not have more than what does and is as high. */
static void feed_light_back(const struct loop *l, const struct arrangement *a)
{
    struct menu *menu = l->menu;
    for (int i = 0; i < menu->nitems; i++) {
        struct item *item = &menu->items[i];
        const struct planting *p = &menu->plantings[item->planting];
        const struct zone *zone = &l->zones->items[item->zone];
        double share = share_left(l, a, zone->plot, p->height_m);
        for (int k = 0; k < p->nparts; k++)
            item->light[k] = zone->light * share;
        menu_item_value(menu, item);
    }
    for (int i = 0, b = a->n - menu->nstanding; i < menu->nstanding; i++, b++)
        menu->standing[i].light[0] = a->blocks[b].light[0];
    for (int b = 0; b < a->n - menu->nstanding; b++) {
        struct item *item = &menu->items[a->blocks[b].item];
        for (int k = 0; k < a->blocks[b].planting->nparts; k++)
            item->light[k] = a->blocks[b].light[k];
        menu_item_value(menu, item);
    }
}

/* ---- do the terms survive the shade? ------------------------------------------------------- */

/* Energy of a crop, or of what a wish speaks of, and its kg, over an arrangement. */
struct harvest {
    double kg, energy_kcal;
};

static struct harvest harvest_of(const struct loop *l, const struct arrangement *a,
                                 const struct wish *wish)
{
    struct harvest sum = {0, 0};
    for (int b = 0; b < a->n; b++) {
        const struct planting *p = a->blocks[b].planting;
        double kg[STAND_PARTS_MAX];
        block_harvest(l->menu, &a->blocks[b], kg);
        for (int k = 0; k < p->nparts; k++) {
            if (!planting_wished(p, k, l->zones->items[a->blocks[b].zone].plot, wish))
                continue;
            sum.kg += kg[k];
            sum.energy_kcal += kg[k] * food_rate_typical(p->parts[k].crop).energy_kcal;
        }
    }
    return sum;
}

/* Each term once, though several varieties of a crop may miss it. */
static void miss_add(struct misses *all, struct miss miss)
{
    miss.share = miss.least ? 1 - miss.got / miss.asked : miss.got / miss.asked - 1;
    if (!(miss.share > TERM_SLACK))
        return;
    for (int i = 0; i < all->n; i++)
        if (all->items[i].at.begin == miss.at.begin && strcmp(all->items[i].of, miss.of) == 0)
            return;
    all->items[all->n++] = miss;
    all->worst = fmax(all->worst, miss.share);
}

/* Which of the terms that shade can break, at-least wishes in kg or in a share of energy and the
 * largest share of energy, the arranged harvest misses. */
static hr_status shortfall(const struct loop *l, const struct arrangement *a, struct misses *out)
{
    const struct garden *g = l->garden;
    struct misses all = {.items = ARENA_ARRAY(l->arena, struct miss, 2 * g->wishes.n + g->seed.n)};
    if (!all.items)
        return HR_NOMEM;
    for (size_t w = 0; w < g->wishes.n; w++) {
        const struct wish *wish = garden_wish(g, w);
        const struct amount *least = &wish->at_least, *most = &wish->at_most;
        struct harvest h = harvest_of(l, a, wish);
        double share = a->food.energy_kcal > 0 ? h.energy_kcal / a->food.energy_kcal : 0;
        bool mass = least->kind == UNIT_MASS;
        if (least->set && (mass || least->kind == UNIT_SHARE))
            miss_add(&all, (struct miss){0, least->at, true, mass, wish_name(wish), least->v,
                                         mass ? h.kg : share});
        if (most->set && most->kind == UNIT_SHARE)
            miss_add(&all,
                     (struct miss){0, most->at, false, false, wish_name(wish), most->v, share});
    }
    const struct qty *limit = &g->limits.share_energy;
    for (size_t s = 0; limit->set && s < g->seed.n && a->food.energy_kcal > 0; s++) {
        const struct wish whole = {.crop_name = garden_seed(g, s)->crop->name, .plot_index = -1};
        double share = harvest_of(l, a, &whole).energy_kcal / a->food.energy_kcal;
        miss_add(&all,
                 (struct miss){0, limit->at, false, false, whole.crop_name.s, limit->v, share});
    }
    *out = all;
    return HR_OK;
}

/* ---- do the neighbours keep their light? --------------------------------------------------- */

static void shaded_add(struct loop *l, const struct edge *edge)
{
    for (int i = 0; i < l->nshaded; i++)
        if (l->shaded[i] == edge)
            return;
    l->shaded[l->nshaded++] = edge;
}

/* An arrangement takes too much of a neighbour's light: the next round may plant less that shades
 * it, and when a few such rounds did not do, nothing that does. */
static hr_status keep_from_neighbours(struct loop *l, const struct arrangement *a)
{
    bool last = !l->found && l->best.rounds + 3 >= ROUNDS_MAX;
    if (last && l->best.rounds + 3 == ROUNDS_MAX) {
        hr_status status = setbacks_find(l->garden, l->zones, 0, l->arena, l->menu);
        if (status != HR_OK)
            return status;
    }
    for (int k = 0; k < l->menu->nsetbacks; k++) {
        struct setback *b = &l->menu->setbacks[k];
        double loss = arrange_loss(b->neighbour, l->zones, a->blocks, a->n);
        if (loss > b->neighbour->most)
            shaded_add(l, b->neighbour->edge);
        if (last)
            b->most = 0;
        else if (loss > b->neighbour->most)
            b->most =
                fmin(b->most, b->neighbour->most) * fmin(1, SHADE_STEP * b->neighbour->most / loss);
    }
    return HR_OK;
}

/* ---- rounds -------------------------------------------------------------------------------- */

static void take_if_better(struct loop *l, const struct allocation *allocation,
                           const struct arrangement *a)
{
    if (l->found && a->value <= l->best.value * (1 + GAIN_LEAST))
        return;
    l->found = true;
    l->allocation = *allocation;
    l->best.blocks = a->blocks;
    l->best.n = a->n;
    l->best.value = a->value;
}

/* Takes a plan that a search came upon when, arranged, it keeps all terms and is better. */
static hr_status on_offer(void *data, const struct choice_lines *chosen, int n, double *value)
{
    struct loop *l = data;
    struct allocation allocation = {.n = n};
    struct arrangement arranged;
    allocation.chosen = ARENA_ARRAY(l->arena, struct choice_lines, (size_t)n);
    if (!allocation.chosen)
        return HR_NOMEM;
    memcpy(allocation.chosen, chosen, sizeof *chosen * (size_t)n);
    hr_status status = arrange(l->garden, l->zones, l->menu, &allocation, l->arena, &arranged);
    struct misses missed = {0};
    if (status == HR_OK)
        status = shortfall(l, &arranged, &missed);
    bool keeps = status == HR_OK && missed.n == 0 && arranged.excess == 0;
    *value = keeps ? arranged.value : -HUGE_VAL;
    if (keeps)
        take_if_better(l, &allocation, &arranged);
    return status;
}

static bool progress_of_round(void *data, double seconds, double value, double bound)
{
    struct loop *l = data;
    l->stopped = l->options->progress(l->options->data, seconds, value, bound) || l->stopped;
    return l->stopped;
}

static hr_status allocate_round(struct loop *l, struct diags *diags, struct allocation *out,
                                bool *proved)
{
    bool first = l->best.rounds == 0;
    double seconds = (first ? FIRST_TIME : 1) * l->options->seconds - seconds_since(&l->begin);
    struct allocate_options o = {
        .seconds = fmax(0.2, seconds),
        .gap = l->options->gap,
        .nodes = first ? 0 : LATER_NODES,
        .progress = l->options->progress ? progress_of_round : NULL,
        .data = l,
        .start = first                                        ? NULL
                 : l->found && l->best.value >= l->last_value ? &l->allocation
                                                              : &l->last,
        .margin = l->margin,
        .offer = on_offer,
        .offer_data = l,
        .shade = first,
    };
    hr_status status = allocate(l->garden, l->zones, l->menu, &o, l->arena, diags, out);
    *proved = status == HR_OK;
    return status == HR_LIMIT && diags_errors(diags) == 0 ? HR_OK : status;
}

/* *more: another round may help. The first round's troubles are the gardener's; later ones end the
 * loop. */
static hr_status one_round(struct loop *l, bool *more)
{
    bool first = l->best.rounds == 0, proved = false, found_before = l->found;
    double value_before = l->best.value;
    struct allocation allocation = {0};
    struct arrangement arranged;
    struct diags *scratch = first ? NULL : diags_new();
    if (!first && !scratch)
        return HR_NOMEM;
    hr_status status = allocate_round(l, first ? l->diags : scratch, &allocation, &proved);
    diags_free(scratch);
    *more = false;
    if (status != HR_OK)
        return first || status == HR_NOMEM || status == HR_BUG ? status : HR_OK;
    status = arrange(l->garden, l->zones, l->menu, &allocation, l->arena, &arranged);
    if (status != HR_OK)
        return status;
    l->last = allocation;
    l->last_value = arranged.value;
    if (first) {
        l->best.bound = allocation.lit_bound;
        l->best.proved = proved;
    }
    struct misses missed;
    status = shortfall(l, &arranged, &missed);
    if (status != HR_OK)
        return status;
    if (missed.n > 0 && (l->nearest.n == 0 || missed.worst < l->nearest.worst))
        l->nearest = missed;
    l->kept |= missed.n == 0;
    if (missed.n == 0 && arranged.excess == 0)
        take_if_better(l, &allocation, &arranged);
    else /* the light that is fed back mends much of what the first round misses */
        l->margin += (first ? 0.5 : 1.1) * missed.worst;
    if (arranged.excess > 0)
        status = keep_from_neighbours(l, &arranged);
    feed_light_back(l, &arranged);
    l->best.rounds++;
    bool gained = !found_before || l->best.value > value_before * (1 + GAIN_LEAST);
    if (l->found && l->best.bound <= l->best.value * (1 + l->options->gap)) {
        l->best.proved = true;
        return HR_OK;
    }
    l->idle = gained ? 0 : l->idle + 1;
    bool open = l->found && l->best.bound > l->best.value * (1 + l->options->gap);
    *more = !(l->stopped && l->found) && l->idle <= (open ? IDLE_MOST : 0) &&
            seconds_since(&l->begin) < l->options->seconds;
    return status;
}

static const char *miss_amount(const struct loop *l, const struct miss *miss, double v, char *buf,
                               size_t size)
{
    char num[64];
    if (miss->mass)
        return unit_mass(buf, size, v, (enum unit_system)l->garden->units.v);
    snprintf(buf, size, "%s %% of the food energy", num_fixed(num, sizeof num, 100 * v, 1));
    return buf;
}

/* The terms that the plan nearest to all of them misses. */
static void tell_nearest(const struct loop *l)
{
    for (int i = 0; i < l->nearest.n; i++) {
        const struct miss *miss = &l->nearest.items[i];
        char asked[80], got[80];
        diag_error(l->diags, miss->at, "wishes-collide",
                   "this can be met in full light, but not in the shade that the crops cast on one "
                   "another: %s came to %s; ask for a little %s",
                   miss->of, miss_amount(l, miss, miss->got, got, sizeof got),
                   miss->least ? "less" : "more");
        diag_note(l->diags, miss->at, "you asked for %s %s", miss->least ? "at least" : "at most",
                  miss_amount(l, miss, miss->asked, asked, sizeof asked));
    }
    if (l->nearest.n == 0)
        diag_error(l->diags, l->garden->at, "wishes-collide", "no plan keeps all terms");
}

static hr_status no_plan(const struct loop *l)
{
    if (seconds_since(&l->begin) >= l->options->seconds) {
        diag_error(l->diags, l->garden->at, "time-limit",
                   "no plan that keeps all terms was found in the time given; give more with "
                   "--time-limit");
        return HR_LIMIT;
    }
    for (int i = 0; i < l->nshaded; i++)
        diag_error(l->diags, l->shaded[i]->shade.at, "wishes-collide",
                   "the wishes can be met, but not without more shade beyond this side than is "
                   "allowed; ask for a little less, or allow more");
    if (l->nshaded == 0 || !l->kept)
        tell_nearest(l);
    return HR_INFEASIBLE;
}

/* ---- the bound ------------------------------------------------------------------------------ */

/* A copy of all that the rounds change. */
static hr_status copy_menu(const struct menu *menu, struct arena *arena, struct menu *out)
{
    size_t items = (size_t)menu->nitems, setbacks = (size_t)menu->nsetbacks;
    size_t standing = (size_t)menu->nstanding;
    *out = *menu;
    out->items = ARENA_ARRAY(arena, struct item, items);
    out->setbacks = ARENA_ARRAY(arena, struct setback, setbacks);
    out->standing = ARENA_ARRAY(arena, struct block, standing);
    if (!out->items || !out->setbacks || !out->standing)
        return HR_NOMEM;
    memcpy(out->items, menu->items, sizeof *menu->items * items);
    if (setbacks > 0)
        memcpy(out->setbacks, menu->setbacks, sizeof *menu->setbacks * setbacks);
    if (standing > 0)
        memcpy(out->standing, menu->standing, sizeof *menu->standing * standing);
    return HR_OK;
}

/* The first round's bound saw the site's light alone. Where it proves less of the plan than was
 * asked, one is looked for that knows of shade; again when that came upon a better plan, which
 * leaves less to look at. */
static hr_status know_shade(struct loop *l, const struct menu *as_made)
{
    hr_status status = HR_OK;
    double gap = l->options->gap;
    for (int k = 0; k < LIT_PASSES && status == HR_OK; k++) {
        double value = l->best.value, left = l->options->seconds - seconds_since(&l->begin);
        struct lit_bound_options o = {.seconds = left,
                                      .value = value,
                                      .above = value * (1 + LIT_SHARE * gap),
                                      .bound = l->best.bound,
                                      .progress = l->options->progress,
                                      .data = l->options->data,
                                      .offer = on_offer,
                                      .offered = l};
        if (l->best.bound <= value * (1 + gap) || value <= l->lit_at * (1 + GAIN_LEAST) ||
            left <= 0)
            break;
        l->lit_at = value;
        status = lit_bound(l->garden, l->zones, as_made, &o, &l->best.bound);
    }
    l->best.proved = l->best.proved || l->best.bound <= l->best.value * (1 + gap);
    return status;
}

hr_status rounds_run(const struct garden *garden, const struct zones *zones, struct menu *menu,
                     const struct rounds_options *options, struct arena *arena, struct diags *diags,
                     struct rounds *out)
{
    struct loop l = {.garden = garden,
                     .zones = zones,
                     .menu = menu,
                     .options = options,
                     .arena = arena,
                     .diags = diags,
                     .shaded =
                         ARENA_ARRAY(arena, const struct edge *, (size_t)menu->nsetbacks + 1)};
    if (!l.shaded)
        return HR_NOMEM;
    clock_gettime(CLOCK_MONOTONIC, &l.begin);
    struct menu as_made;
    bool more = true;
    hr_status status = copy_menu(menu, arena, &as_made);
    if (status != HR_OK)
        return status;
    while (more && l.best.rounds < ROUNDS_MAX) {
        status = one_round(&l, &more);
        if (status != HR_OK)
            return status;
        if (l.best.rounds == 1 && l.found && more) {
            status = know_shade(&l, &as_made);
            if (status != HR_OK)
                return status;
            more = l.best.bound > l.best.value * (1 + options->gap);
        }
    }
    if (!l.found)
        return no_plan(&l);
    status = know_shade(&l, &as_made);
    *out = l.best;
    return status;
}
