/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "collision.h"

#include <math.h>

#include "num.h"
#include "solver.h"

#define EXPLAIN_SECONDS 2.0

static const char *term_text(const struct program *m, const struct term *t, struct arena *arena)
{
    const struct garden *g = m->garden;
    if (t->kind == TERM_AT_LEAST || t->kind == TERM_AT_MOST) {
        const struct wish *w = garden_wish(g, (size_t)t->index);
        return arena_printf(arena, "%s of %s%s%s",
                            t->kind == TERM_AT_LEAST ? "at least so much" : "at most so much",
                            wish_name(w), w->plot.s ? " in " : "", w->plot.s ? w->plot.s : "");
    }
    if (t->kind == TERM_SEED)
        return arena_printf(arena, "the seed in hand of %s",
                            garden_seed(g, (size_t)t->index)->variety.s);
    if (t->kind == TERM_SAVE)
        return arena_printf(arena, "true seed of %s to save",
                            garden_seed(g, (size_t)t->index)->variety.s);
    if (t->kind == TERM_BLOCKS)
        return arena_printf(arena,
                            "no more than %d blocks side by side in one zone (limits: blocks)",
                            garden_blocks(g));
    if (t->kind == TERM_WEEK || t->kind == TERM_COMPOST)
        return t->kind == TERM_WEEK ? "the hours of work in a week" : "the compost that can be had";
    if (t->kind == TERM_MULCH)
        return "the mulch that can be had";
    if (t->kind == TERM_SHADE)
        return "the limit on the shade beyond this side";
    return t->kind == TERM_HOURS          ? "the hours of work"
           : t->kind == TERM_SHARE_ENERGY ? "the largest share of food energy from one crop"
                                          : "the largest share of ground for one crop";
}

/* Whether the terms switched on can all be met. Undecided in the time counts as yes. */
static hr_status feasible(struct program *m, bool *yes)
{
    hr_status status = program_build(m);
    if (status != HR_OK)
        return status;
    struct solver_options o = {.seconds = EXPLAIN_SECONDS, .gap = 1};
    struct solver_result r = {0};
    status = solver_run(&m->mip, &o, &r, NULL);
    if (status == HR_OK)
        *yes = r.state != SOLVER_INFEASIBLE;
    return status;
}

/* Deletion filter: terms that are not needed for the collision are switched off one by one; what
 * stays on is a set that collides, and no part of it does. */
static hr_status smallest_collision(struct program *m)
{
    for (int t = 0; t < m->nterms; t++) {
        bool yes = true;
        m->terms[t].on = false;
        hr_status status = feasible(m, &yes);
        if (status != HR_OK)
            return status;
        if (yes)
            m->terms[t].on = true;
    }
    return HR_OK;
}

/* The most that can be had of what an at-least wish speaks of, the other colliding terms kept. */
static hr_status best_of(struct program *m, struct term *term, double *best)
{
    term->on = false;
    hr_status status = program_build_for_wish(m, term->index);
    term->on = true;
    if (status != HR_OK)
        return status;
    struct solver_options o = {.seconds = EXPLAIN_SECONDS, .gap = 0.001};
    struct solver_result r = {0};
    status = solver_run(&m->mip, &o, &r, NULL);
    if (status == HR_OK)
        *best = r.x ? mip_objective(&m->mip, r.x) : 0;
    return status;
}

static const char *amount_text(const struct garden *g, const struct wish *wish, double v,
                               struct arena *arena)
{
    char buf[64], num[64];
    enum unit_system sys = (enum unit_system)g->units.v;
    enum unit_kind kind = wish->at_least.kind;
    if (kind == UNIT_MASS)
        return arena_printf(arena, "%s", unit_mass(buf, sizeof buf, v, sys));
    if (kind == UNIT_AREA)
        return arena_printf(arena, "%s", unit_area(buf, sizeof buf, v, sys));
    return arena_printf(arena, wish->guild.s ? "%s hills" : "%s plants",
                        num_fixed(num, sizeof num, floor(v + 1e-6), 0));
}

static int terms_on(const struct program *m)
{
    int n = 0;
    for (int t = 0; t < m->nterms; t++)
        n += m->terms[t].on;
    return n;
}

hr_status collision_explain(struct program *m, struct diags *diags)
{
    hr_status status = smallest_collision(m);
    bool first = true;
    for (int t = 0; t < m->nterms && status == HR_OK; t++) {
        struct term *term = &m->terms[t];
        if (!term->on)
            continue;
        const char *text = term_text(m, term, m->arena);
        if (first)
            diag_error(diags, term->at, "wishes-collide", "no plan can meet this%s: %s",
                       terms_on(m) > 1 ? " together with what is named below" : "", text);
        else
            diag_note(diags, term->at, "together with: %s", text);
        first = false;
        const struct wish *wish =
            term->kind == TERM_AT_LEAST ? garden_wish(m->garden, (size_t)term->index) : NULL;
        const struct amount *a = wish ? &wish->at_least : NULL;
        if (!a || a->kind == UNIT_SHARE)
            continue;
        double best = 0;
        status = best_of(m, term, &best);
        if (status == HR_OK)
            diag_note(diags, term->at, "you asked for %s; the plots hold %s at most",
                      amount_text(m->garden, wish, a->v, m->arena),
                      amount_text(m->garden, wish, best, m->arena));
    }
    if (status == HR_OK && first)
        diag_error(diags, m->garden->at, "wishes-collide", "no plan can meet all that is asked");
    return status == HR_OK ? HR_INFEASIBLE : status;
}
