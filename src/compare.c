/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare.h"

#include <math.h>
#include <string.h>
#include <time.h>

#include "range.h"
#include "replant.h"
#include "verify.h"
#include "weight.h"

/* Shade, which most bounds leave out, keeps most plans a little farther from them than the gap
 * asked for: so many gaps from its bound a plan is as well proved as one of its own program would
 * be. */
#define NEAR_ENOUGH 1.5
#define ALWAYS      4 /* layouts compared whatever the gardener asks */

struct making {
    struct compare *c;
    const struct compare_options *options;
    struct diags *diags;
    double begin_s;
    hr_status failed; /* of the first plan that could not be made */
    int plans_left;   /* still to be made: the time left is shared among them */
};

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

struct span compare_span(const struct garden *garden, const struct plan *plan)
{
    switch ((enum goal)garden->goal.v) {
    case GOAL_ENERGY:
        return plan->energy_kcal;
    case GOAL_PROTEIN:
        return plan->usable_protein_g;
    default:
        return plan->person_days;
    }
}

int compare_find(const struct compare_group *group, enum layout_kind kind)
{
    for (int i = 0; i < group->n; i++)
        if (group->layouts[i].kind == kind && group->layouts[i].plan)
            return i;
    return -1;
}

/* ---- one plan ------------------------------------------------------------------------------ */

/* The caller hears of the time since the beginning, not of one plan's own. */
static bool progress(void *data, double seconds, double value, double bound)
{
    const struct making *m = data;
    (void)seconds;
    return m->options->progress(m->options->data, seconds_now() - m->begin_s, value, bound);
}

/* The first thing that was wrong. */
static const char *first_error(const struct diags *diags, struct arena *arena)
{
    const struct diag *d;
    for (size_t i = 0; (d = diags_at(diags, i)) != NULL; i++)
        if (d->severity == DIAG_ERROR)
            return arena_strdup(arena, d->text);
    return "no plan was found";
}

/* A plan fresh from the optimiser must hold when it is worked out again. */
static hr_status prove(struct making *m, const struct plan *plan)
{
    hr_status status = verify_plan(plan, m->c->arena, m->diags);
    if (status != HR_INPUT)
        return status;
    diag_error(m->diags, m->c->garden->at, "verify",
               "a plan just made does not hold: a fault of the program; please report it");
    return HR_BUG;
}

/* The plan of a garden; *plan NULL and *why when it has none. */
static hr_status plan_of(struct making *m, const struct garden *garden, struct plan **plan,
                         const char **why)
{
    struct arena *arena = m->c->arena;
    double left = m->options->seconds - (seconds_now() - m->begin_s);
    struct plan_make_options o = {.seconds = fmax(0.2, left / m->plans_left),
                                  .zones = m->options->zones,
                                  .gap = m->options->gap,
                                  .progress = m->options->progress ? progress : NULL,
                                  .data = m};
    struct diags *aside = diags_new();
    if (!aside)
        return HR_NOMEM;
    *plan = NULL;
    m->plans_left -= m->plans_left > 1;
    hr_status status = plan_make(garden, &o, arena, aside, plan);
    if (status == HR_LIMIT)
        m->c->proved = false;
    if (!*plan && m->failed == HR_OK)
        m->failed = status;
    if (!*plan) {
        *why = first_error(aside, arena);
        if (!*why)
            status = HR_NOMEM;
    }
    diags_free(aside);
    if (*plan && (status == HR_OK || status == HR_LIMIT))
        return prove(m, *plan);
    return status == HR_NOMEM || status == HR_BUG ? status : HR_OK;
}

/* ---- each at its own best ------------------------------------------------------------------ */

static hr_status best_one(struct making *m, struct compare_layout *l, const struct grow *own)
{
    struct garden *garden;
    struct compare *c = m->c;
    if (!c->guild && (l->kind == LAYOUT_HILLS || l->kind == LAYOUT_ROW_GUILD)) {
        l->why = "there is not the seed for any guild that may be grown here";
        return HR_OK;
    }
    hr_status status = layout_garden(c->garden, c->guild, l->kind, own, c->arena, &garden);
    if (status == HR_OK)
        status = plan_of(m, garden, &l->plan, &l->why);
    if (status == HR_OK && l->plan)
        status = yardstick_measure(l->plan, c->guild, c->arena, &l->y);
    return status;
}

/* The gardener's own by name: which is listed first changes nothing. */
static void sort_own(const struct garden *g, const struct layout_wish **own)
{
    for (size_t i = 0; i < g->compare.n; i++) {
        const struct layout_wish *w = garden_layout(g, i);
        size_t k = i;
        for (; k > 0 && strcmp(own[k - 1]->name.s, w->name.s) > 0; k--)
            own[k] = own[k - 1];
        own[k] = w;
    }
}

static hr_status make_best(struct making *m)
{
    struct compare *c = m->c;
    size_t nown = c->garden->compare.n;
    const struct layout_wish **own = ARENA_ARRAY(c->arena, const struct layout_wish *, nown);
    c->best.n = ALWAYS + (int)nown;
    c->best.layouts = ARENA_ARRAY(c->arena, struct compare_layout, (size_t)c->best.n);
    if (!own || !c->best.layouts)
        return HR_NOMEM;
    sort_own(c->garden, own);
    hr_status status = HR_OK;
    for (int i = 0; i < c->best.n && status == HR_OK; i++) {
        struct compare_layout *l = &c->best.layouts[i];
        const struct layout_wish *wish = i < ALWAYS ? NULL : own[i - ALWAYS];
        l->kind = wish ? LAYOUT_OWN : (enum layout_kind)i;
        l->name = wish ? wish->name.s : garden_layouts[i];
        status = best_one(m, l, wish ? &wish->grow : NULL);
    }
    return status;
}

/* ---- the same plants on the same ground ---------------------------------------------------- */

static hr_status make_same(struct making *m)
{
    struct compare *c = m->c;
    struct compare_group *g = &c->same;
    int hills = compare_find(&c->best, LAYOUT_HILLS);
    if (hills < 0)
        return HR_OK;
    const struct plan *base = c->best.layouts[hills].plan;
    c->same_ground_m2 = replant_ground(base, c->guild);
    g->layouts = ARENA_ARRAY(c->arena, struct compare_layout, 3);
    if (!g->layouts)
        return HR_NOMEM;
    for (int i = 0; i < 3; i++)
        g->layouts[i] =
            (struct compare_layout){.kind = (enum layout_kind)i, .name = garden_layouts[i]};
    g->n = 3;
    g->layouts[LAYOUT_HILLS].plan = c->best.layouts[hills].plan;
    hr_status status = replant_rows(base, c->guild, &g->layouts[LAYOUT_ROWS].plan);
    if (status == HR_OK)
        status = replant_row_guild(base, c->guild, &g->layouts[LAYOUT_ROW_GUILD].plan);
    for (int i = 0; i < 3 && status == HR_OK; i++)
        status = yardstick_measure(g->layouts[i].plan, c->guild, c->arena, &g->layouts[i].y);
    return status;
}

static hr_status make_chances(struct compare *c, struct compare_group *g)
{
    const struct plan **plans = ARENA_ARRAY(c->arena, const struct plan *, (size_t)g->n);
    if (!plans)
        return HR_NOMEM;
    for (int i = 0; i < g->n; i++) {
        g->layouts[i].rank = g->layouts[i].plan ? g->nplans : -1;
        if (g->layouts[i].plan)
            plans[g->nplans++] = g->layouts[i].plan;
    }
    return chance_compare(c->garden, plans, g->nplans, RANGE_DRAWS, RANGE_SEED, c->arena, &g->pairs,
                          &g->npairs);
}

/* ---- energy against protein ---------------------------------------------------------------- */

static void set_point(struct compare_point *p, struct plan *plan)
{
    p->plan = plan;
    p->energy_kcal = plan->energy_kcal.typ;
    p->usable_g = plan->usable_protein_g.typ;
}

static hr_status end_plan(struct making *m, const struct garden *free_garden, enum goal goal,
                          struct plan **out)
{
    const char *why;
    struct garden *g = ARENA_NEW(m->c->arena, struct garden);
    if (!g)
        return HR_NOMEM;
    *g = *free_garden;
    g->goal.v = (int)goal;
    return plan_of(m, g, out, &why);
}

static bool dominates(const struct compare_point *a, const struct compare_point *b)
{
    return a->energy_kcal >= b->energy_kcal && a->usable_g >= b->usable_g;
}

/* Points from most energy to most usable protein, none dominated. closed[i]: nothing lies between
 * points i and i + 1. */
struct frontier {
    struct compare_point points[COMPARE_POINTS];
    bool closed[COMPARE_POINTS];
    int n;
};

/* false: it is dominated, or there is no room for it. */
static bool add_point(struct frontier *f, const struct compare_point *p)
{
    int kept = 0;
    for (int i = 0; i < f->n; i++)
        if (dominates(&f->points[i], p))
            return false;
    for (int i = 0; i < f->n; i++)
        if (!dominates(p, &f->points[i])) {
            f->points[kept] = f->points[i];
            f->closed[kept++] = f->closed[i];
        }
    f->n = kept;
    if (f->n == COMPARE_POINTS)
        return false;
    int at = f->n++;
    for (; at > 0 && f->points[at - 1].energy_kcal < p->energy_kcal; at--) {
        f->points[at] = f->points[at - 1];
        f->closed[at] = f->closed[at - 1];
    }
    f->points[at] = *p;
    f->closed[at] = false;
    if (at > 0)
        f->closed[at - 1] = false;
    return true;
}

/* The gap between two neighbours that is widest and not yet searched; -1: none. */
static int widest(const struct frontier *f)
{
    int best = -1;
    double most = 0;
    for (int i = 0; i + 1 < f->n; i++) {
        const struct compare_point *a = &f->points[i], *b = &f->points[i + 1];
        double box = (a->energy_kcal - b->energy_kcal) * (b->usable_g - a->usable_g);
        if (!f->closed[i] && box > most) {
            most = box;
            best = i;
        }
    }
    return best;
}

/* What the programs solved so far prove: no plan has more than these of energy, of protein, and
 * none has more than a corner of both. */
struct proofs {
    double energy_kcal, usable_g;
    struct {
        double energy_kcal, usable_g;
    } corners[COMPARE_POINTS + COMPARE_BETWEEN];
    int n;
};

/* Most that a plan can give of food in the proportion energy : protein, in multiples of it. */
static double most_along(const struct proofs *proofs, double energy_kcal, double usable_g)
{
    double most = fmin(proofs->energy_kcal / energy_kcal, proofs->usable_g / usable_g);
    for (int i = 0; i < proofs->n; i++)
        most = fmin(most, fmax(proofs->corners[i].energy_kcal / energy_kcal,
                               proofs->corners[i].usable_g / usable_g));
    return most;
}

/* The best point found for a proportion. */
static const struct compare_point *best_along(const struct frontier *f, double energy_kcal,
                                              double usable_g, double *value)
{
    const struct compare_point *best = &f->points[0];
    *value = -1;
    for (int i = 0; i < f->n; i++) {
        const struct compare_point *p = &f->points[i];
        double v = fmin(p->energy_kcal / energy_kcal, p->usable_g / usable_g);
        if (v > *value) {
            *value = v;
            best = p;
        }
    }
    return best;
}

/* What the search for a frontier works with. */
struct hunt {
    struct making *m;
    const struct garden *garden; /* of free choice */
    struct frontier f;
    struct proofs proofs;
};

/* Plans for most food with energy and usable protein in this proportion. *found: whether it gave a
 * point that is new. */
static hr_status hunt_along(struct hunt *h, double energy_kcal, double usable_g, bool *found)
{
    const char *why;
    struct plan *plan;
    struct compare_point p;
    struct garden *g = ARENA_NEW(h->m->c->arena, struct garden);
    if (!g)
        return HR_NOMEM;
    *found = false;
    *g = *h->garden;
    g->goal.v = GOAL_DAYS;
    g->ration.protein_kg.v = usable_g / energy_kcal * g->ration.energy_kcal.v / 1000;
    hr_status status = plan_of(h->m, g, &plan, &why);
    if (status != HR_OK || !plan)
        return status;
    set_point(&p, plan);
    *found = add_point(&h->f, &p);
    h->proofs.corners[h->proofs.n].energy_kcal = plan->bound * g->ration.energy_kcal.v;
    h->proofs.corners[h->proofs.n++].usable_g = plan->bound * 1000 * g->ration.protein_kg.v;
    return HR_OK;
}

/* The ends: most energy, most usable protein. *found: both. */
static hr_status hunt_ends(struct hunt *h, struct compare_point ends[2], bool *found)
{
    struct plan *energy, *protein = NULL;
    hr_status status = end_plan(h->m, h->garden, GOAL_ENERGY, &energy);
    if (status == HR_OK)
        status = end_plan(h->m, h->garden, GOAL_PROTEIN, &protein);
    *found = status == HR_OK && energy && protein && energy->usable_protein_g.typ > 0 &&
             protein->energy_kcal.typ > 0;
    if (!*found)
        return status;
    set_point(&ends[0], energy);
    set_point(&ends[1], protein);
    add_point(&h->f, &ends[0]);
    add_point(&h->f, &ends[1]);
    h->proofs.energy_kcal = energy->bound;
    h->proofs.usable_g = protein->bound;
    return HR_OK;
}

/* A proportion evenly apart between the ends. */
static void ray_of(const struct compare_point ends[2], int i, double *energy_kcal, double *usable_g)
{
    double at = (double)i / (COMPARE_RAYS - 1);
    *energy_kcal = ends[0].energy_kcal + (ends[1].energy_kcal - ends[0].energy_kcal) * at;
    *usable_g = ends[0].usable_g + (ends[1].usable_g - ends[0].usable_g) * at;
}

/* The proportions, middle first: one whose best plan is proved already needs no program. */
static hr_status hunt_rays(struct hunt *h, const struct compare_point ends[2])
{
    static const int order[COMPARE_RAYS - 2] = {4, 2, 6, 1, 3, 5, 7};
    hr_status status = HR_OK;
    for (int k = 0; k < COMPARE_RAYS - 2 && status == HR_OK; k++) {
        bool found;
        double energy, usable, value;
        ray_of(ends, order[k], &energy, &usable);
        best_along(&h->f, energy, usable, &value);
        if (value < (1 - NEAR_ENOUGH * h->m->options->gap) * most_along(&h->proofs, energy, usable))
            status = hunt_along(h, energy, usable, &found);
    }
    return status;
}

/* In the widest gaps between neighbours a and b: with the energy of b and the protein of a as the
 * ration both give one day of it, and any plan that has more of each than those gives more. */
static hr_status hunt_between(struct hunt *h)
{
    for (int n = 0; n < COMPARE_BETWEEN; n++) {
        bool found;
        int i = widest(&h->f);
        if (i < 0)
            return HR_OK;
        hr_status status =
            hunt_along(h, h->f.points[i + 1].energy_kcal, h->f.points[i].usable_g, &found);
        if (status != HR_OK)
            return status;
        if (!found)
            h->f.closed[i] = true;
    }
    return HR_OK;
}

/* A plan found for one proportion may be better for another: each gets the best of all that were
 * found, and what is proved of it. */
static void tell_rays(const struct hunt *h, const struct compare_point ends[2])
{
    struct compare *c = h->m->c;
    for (int i = 0; i < COMPARE_RAYS; i++) {
        double energy, usable, value;
        ray_of(ends, i, &energy, &usable);
        const struct compare_point *p = best_along(&h->f, energy, usable, &value);
        double bound = fmax(most_along(&h->proofs, energy, usable), value);
        c->rays[i] =
            (struct compare_ray){p->energy_kcal, p->usable_g, bound > 0 ? 1 - value / bound : 0};
    }
    c->nrays = COMPARE_RAYS;
}

static hr_status make_frontier(struct making *m)
{
    struct compare *c = m->c;
    struct garden *garden;
    struct compare_point ends[2], p;
    struct hunt h = {.m = m};
    bool found = false;
    int free_at = compare_find(&c->best, LAYOUT_FREE);
    if (free_at < 0)
        return HR_OK;
    hr_status status = layout_garden(c->garden, c->guild, LAYOUT_FREE, NULL, c->arena, &garden);
    h.garden = garden;
    if (status == HR_OK)
        status = hunt_ends(&h, ends, &found);
    if (!found)
        return status;
    set_point(&p, c->best.layouts[free_at].plan);
    add_point(&h.f, &p);
    status = hunt_rays(&h, ends);
    if (status == HR_OK)
        status = hunt_between(&h);
    if (status != HR_OK)
        return status;
    memcpy(c->points, h.f.points, sizeof h.f.points);
    c->npoints = h.f.n;
    tell_rays(&h, ends);
    return HR_OK;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static hr_status nothing(const struct making *m)
{
    struct diags *diags = m->diags;
    const struct compare *c = m->c;
    diag_error(diags, c->garden->at, "nothing-to-compare",
               "fewer than two layouts can be planned on these terms");
    for (int i = 0; i < c->best.n; i++)
        if (!c->best.layouts[i].plan)
            diag_note(diags, (struct pos){0}, "%s: %s", c->best.layouts[i].name,
                      c->best.layouts[i].why);
    return m->failed != HR_OK ? m->failed : HR_INPUT;
}

hr_status compare_make(const struct garden *garden, const struct compare_options *options,
                       struct arena *arena, struct diags *diags, struct compare **out)
{
    struct compare *c = ARENA_NEW(arena, struct compare);
    struct garden *plain = ARENA_NEW(arena, struct garden);
    struct making m = {.c = c, .options = options, .diags = diags};
    m.begin_s = seconds_now();
    if (!c || !plain)
        return HR_NOMEM;
    *plain = *garden;
    plain->unweighed = true; /* layouts are compared by their food */
    *c = (struct compare){.arena = arena, .garden = plain, .proved = true};
    c->weighed = weight_any(garden);
    c->guild = layout_guild(garden);
    m.plans_left = ALWAYS + (int)garden->compare.n + COMPARE_RAYS + COMPARE_BETWEEN;
    hr_status status = make_best(&m);
    if (status == HR_OK)
        status = make_same(&m);
    if (status == HR_OK)
        status = make_chances(c, &c->best);
    if (status == HR_OK && c->best.nplans < 2)
        return nothing(&m);
    if (status == HR_OK && c->same.n > 0)
        status = make_chances(c, &c->same);
    if (status == HR_OK)
        status = make_frontier(&m);
    if (status != HR_OK)
        return status;
    c->seconds = seconds_now() - m.begin_s;
    *out = c;
    return c->proved ? HR_OK : HR_LIMIT;
}
