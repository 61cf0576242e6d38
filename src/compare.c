/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare.h"

#include <math.h>
#include <string.h>
#include <time.h>

#include "range.h"
#include "replant.h"
#include "verify.h"

#define ALWAYS 4 /* layouts compared whatever the gardener asks */

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

/* The plan that gives most with energy and usable protein in this proportion. */
static hr_status plan_for(struct making *m, const struct garden *free_garden, double energy_kcal,
                          double usable_g, struct plan **out)
{
    const char *why;
    struct garden *g = ARENA_NEW(m->c->arena, struct garden);
    if (!g)
        return HR_NOMEM;
    *g = *free_garden;
    g->goal.v = GOAL_DAYS;
    g->ration.protein_kg.v = usable_g / energy_kcal * g->ration.energy_kcal.v / 1000;
    return plan_of(m, g, out, &why);
}

/* Between two points a and b: with the energy of b and the protein of a as the ration, both give
 * one day of it, and any plan that has more of each than those gives more. */
static hr_status search_between(struct making *m, const struct garden *free_garden,
                                struct frontier *f, int i)
{
    struct plan *plan;
    struct compare_point p;
    hr_status status =
        plan_for(m, free_garden, f->points[i + 1].energy_kcal, f->points[i].usable_g, &plan);
    if (status != HR_OK)
        return status;
    if (plan)
        set_point(&p, plan);
    if (!plan || !add_point(f, &p))
        f->closed[i] = true;
    return HR_OK;
}

/* Plans for proportions evenly apart between the ends. The bounds of the first and last ray are
 * those of energy and protein alone. */
static hr_status make_rays(struct making *m, const struct garden *free_garden,
                           struct plan *plans[COMPARE_RAYS], struct frontier *f)
{
    struct compare_point a, b, p;
    hr_status status = HR_OK;
    set_point(&a, plans[0]);
    set_point(&b, plans[COMPARE_RAYS - 1]);
    add_point(f, &a);
    add_point(f, &b);
    for (int i = 1; i < COMPARE_RAYS - 1 && status == HR_OK; i++) {
        double at = (double)i / (COMPARE_RAYS - 1);
        status = plan_for(m, free_garden, a.energy_kcal + (b.energy_kcal - a.energy_kcal) * at,
                          a.usable_g + (b.usable_g - a.usable_g) * at, &plans[i]);
        if (status == HR_OK && plans[i]) {
            set_point(&p, plans[i]);
            add_point(f, &p);
        }
    }
    return status;
}

/* A plan found for one proportion may be better for another, within the gap of the proof: each
 * proportion gets the best of all that were found. */
static void tell_rays(struct compare *c, struct plan *const plans[COMPARE_RAYS])
{
    for (int i = 0; i < COMPARE_RAYS; i++) {
        double best = -1;
        const struct garden *g = plans[i]->garden;
        for (int k = 0; k < c->npoints; k++) {
            struct food food = {.energy_kcal = c->points[k].energy_kcal};
            food.digestible_g = c->points[k].usable_g; /* and no amino acid short of it */
            for (int a = 0; a < AMINO_COUNT; a++)
                food.amino_g[a] = food.digestible_g * food_pattern[a];
            double value = food_value(&food, (enum goal)g->goal.v, &g->ration);
            if (value <= best)
                continue;
            best = value;
            c->rays[i] = (struct compare_ray){c->points[k].energy_kcal, c->points[k].usable_g, 0};
        }
        double bound = fmax(plans[i]->bound, best);
        c->rays[i].gap = bound > 0 ? (bound - best) / bound : 0;
    }
    c->nrays = COMPARE_RAYS;
}

static hr_status make_frontier(struct making *m)
{
    struct compare *c = m->c;
    struct garden *free_garden;
    struct frontier f = {.n = 0};
    struct compare_point p;
    struct plan *plans[COMPARE_RAYS] = {NULL};
    int free_at = compare_find(&c->best, LAYOUT_FREE);
    if (free_at < 0)
        return HR_OK;
    hr_status status =
        layout_garden(c->garden, c->guild, LAYOUT_FREE, NULL, c->arena, &free_garden);
    if (status == HR_OK)
        status = end_plan(m, free_garden, GOAL_ENERGY, &plans[0]);
    if (status == HR_OK)
        status = end_plan(m, free_garden, GOAL_PROTEIN, &plans[COMPARE_RAYS - 1]);
    if (status != HR_OK || !plans[0] || !plans[COMPARE_RAYS - 1] ||
        plans[COMPARE_RAYS - 1]->energy_kcal.typ <= 0 || plans[0]->usable_protein_g.typ <= 0)
        return status;
    status = make_rays(m, free_garden, plans, &f);
    set_point(&p, c->best.layouts[free_at].plan);
    add_point(&f, &p);
    for (int n = 0; n < COMPARE_BETWEEN && status == HR_OK; n++) {
        int i = widest(&f);
        if (i < 0)
            break;
        status = search_between(m, free_garden, &f, i);
    }
    memcpy(c->points, f.points, sizeof f.points);
    c->npoints = f.n;
    for (int i = 0; i < COMPARE_RAYS; i++)
        if (!plans[i])
            return status; /* out of time: points, but no proportions */
    tell_rays(c, plans);
    return status;
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
    struct making m = {.c = c, .options = options, .diags = diags};
    m.begin_s = seconds_now();
    if (!c)
        return HR_NOMEM;
    *c = (struct compare){.arena = arena, .garden = garden, .proved = true};
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
