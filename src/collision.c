/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "collision.h"

#include <math.h>

#include "allocate.h"
#include "decompose.h"
#include "isolation.h"
#include "num.h"
#include "standing.h"

/* Limits that cut in at the same place each time. */
#define NODES_MOST    60
#define NODES_OF_MOST 100
#define HALVES        2
#define NEARLY        0.002 /* relative */
#define COLUMNS_MOST  2500  /* of a program that is searched whole */
#define COLUMNS_SMALL 300
#define SECONDS_MOST  60.0 /* never reached but where a question cannot be answered at all */
#define ANY_PLAN      1e9  /* a gap: the first plan will do */
#define BROKEN_LEAST  1e-6
#define TERMS_AT_ONCE 16

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

/* ---- what is possible ---------------------------------------------------------------------- */

enum answer { POSSIBLE, IMPOSSIBLE, UNDECIDED };

/* Can the terms switched on all be met? */
struct question {
    bool relaxed; /* ask the relaxation alone: quick, and may take for possible what is not */
    const struct term
        *wish;    /* an at-least wish of which not what the file says is asked, or NULL */
    double least; /* but this */
    enum answer answer;
    double amount; /* of that wish in a plan that was found */
};

/* A question has an arena of its own: many are asked, and each has its program. */
static hr_status build_in(struct program *m, struct arena *arena, int wish)
{
    struct arena *before = m->arena;
    m->arena = arena;
    hr_status status = wish < 0 ? program_build(m) : program_build_for_wish(m, wish);
    m->arena = before;
    return status;
}

static void take_answer(const struct program *m, const struct solver_result *r, struct question *q)
{
    q->answer = r->x ? POSSIBLE : r->state == SOLVER_INFEASIBLE ? IMPOSSIBLE : UNDECIDED;
    q->amount = 0;
    for (int e = 0; r->x && q->wish && e < m->mip.nentries; e++)
        if (m->mip.entries[e].row == q->wish->row)
            q->amount += m->mip.entries[e].value * r->x[m->mip.entries[e].column];
}

/* Of the program as built, its directions fixed or free: by the relaxation, by a little search of
 * the whole, by the zones apart. */
static hr_status ask_built(const struct program *m, struct question *q)
{
    struct solver_options o = {.seconds = SECONDS_MOST, .gap = ANY_PLAN, .relaxed = true};
    struct solver_result r = {0};
    const char *failure = NULL;
    hr_status status = solver_run(&m->mip, &o, &r, &failure);
    take_answer(m, &r, q);
    if (status != HR_OK || q->relaxed || q->answer == IMPOSSIBLE)
        return status;
    o.relaxed = false;
    o.nodes = NODES_MOST;
    q->answer = UNDECIDED;
    if (m->mip.ncolumns <= COLUMNS_MOST) {
        status = solver_run(&m->mip, &o, &r, &failure);
        take_answer(m, &r, q);
    }
    if (status == HR_OK && q->answer == UNDECIDED && m->menu->nturns == 0) {
        status = decompose_run(m, &o, &r, &failure);
        take_answer(m, &r, q);
    }
    return status;
}

/* Where the search fixes the directions of plots, this does: the relaxation cannot mix them then.
 */
static hr_status ask(struct program *m, struct question *q)
{
    int plots = allocate_plots_with_choice(m);
    bool split = plots > 0 && plots <= ALLOCATE_SPLIT_MAX, undecided = false;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    if (!arena)
        return HR_NOMEM;
    hr_status status = build_in(m, arena, -1);
    if (q->wish)
        m->mip.rows[q->wish->row].lower = q->least;
    q->answer = IMPOSSIBLE;
    for (int w = 0; w < (split ? 1 << plots : 1) && q->answer != POSSIBLE && status == HR_OK; w++) {
        if (split)
            allocate_fix_way(m, w);
        status = ask_built(m, q);
        undecided = undecided || q->answer == UNDECIDED;
    }
    if (q->answer == IMPOSSIBLE && undecided)
        q->answer = UNDECIDED;
    arena_free(arena);
    return status;
}

/* ---- which terms collide ------------------------------------------------------------------- */

/* Every row of a term may be broken, at a price: the relaxation of that is always possible. */
static hr_status add_elastic(struct program *m)
{
    struct mip *mip = &m->mip;
    int nrows = mip->nrows, nentries = mip->nentries;
    double *size = ARENA_ARRAY(mip->arena, double, (size_t)nrows);
    if (!size)
        return HR_NOMEM;
    for (int e = 0; e < nentries; e++)
        size[mip->entries[e].row] = fmax(size[mip->entries[e].row], fabs(mip->entries[e].value));
    for (int j = 0; j < mip->ncolumns; j++)
        mip->columns[j].objective = 0;
    for (int t = 0; t < m->nterms; t++)
        for (int r = m->terms[t].row; r < m->terms[t].row + m->terms[t].nrows; r++) {
            bool least = isfinite(mip->rows[r].lower);
            double side = least ? mip->rows[r].lower : mip->rows[r].upper;
            int column = mip_column(mip, MIP_CONTINUOUS, 0, HUGE_VAL,
                                    -1 / fmax(1e-9, fmax(fabs(side), size[r])), "broken_%d", r);
            mip_add(mip, r, column, least ? 1 : -1);
        }
    return mip_finish(mip);
}

/* Leaves on the terms that have a price where all together are broken as little as can be: by
 * Farkas they collide. *collide: so they do, in the relaxation. */
static hr_status terms_with_a_price(struct program *m, bool *collide)
{
    struct solver_options o = {.seconds = SECONDS_MOST, .gap = 0, .relaxed = true};
    struct solver_result r = {0};
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    if (!arena)
        return HR_NOMEM;
    hr_status status = build_in(m, arena, -1);
    if (status == HR_OK)
        status = add_elastic(m);
    if (status == HR_OK)
        status = solver_run(&m->mip, &o, &r, NULL);
    *collide = status == HR_OK && r.prices && r.value < -BROKEN_LEAST;
    for (int t = 0; *collide && t < m->nterms; t++) {
        double price = 0;
        for (int i = m->terms[t].row; i < m->terms[t].row + m->terms[t].nrows; i++)
            price = fmax(price, fabs(r.prices[i]));
        m->terms[t].on = price > 0;
    }
    arena_free(arena);
    return status;
}

/* Switches off those of terms [from, to) that are not needed for the collision: all of them at once
 * when the others collide by themselves, else half by half. *sure: no part of what is left
 * collides. */
static hr_status drop(struct program *m, int from, int to, bool relaxed, bool *sure)
{
    struct question q = {.relaxed = relaxed};
    bool on[TERMS_AT_ONCE];
    int many = 0, middle = from + (to - from) / 2;
    hr_status status = HR_OK;
    if (to - from <= TERMS_AT_ONCE) {
        for (int t = from; t < to; t++) {
            on[t - from] = m->terms[t].on;
            many += m->terms[t].on;
            m->terms[t].on = false;
        }
        status = many > 0 ? ask(m, &q) : HR_OK;
        if (status != HR_OK || many == 0 || q.answer == IMPOSSIBLE)
            return status;
        for (int t = from; t < to; t++)
            m->terms[t].on = on[t - from];
        *sure = *sure && (many > 1 || q.answer == POSSIBLE);
        if (many == 1)
            return HR_OK;
    }
    status = drop(m, from, middle, relaxed, sure);
    return status == HR_OK ? drop(m, middle, to, relaxed, sure) : status;
}

/* First by the relaxation, which mostly shows it at once; then, of the few that are left, by plans.
 */
static hr_status smallest_collision(struct program *m, bool *relaxed, bool *sure)
{
    struct question q = {.relaxed = true};
    bool ignored = true;
    hr_status status = terms_with_a_price(m, relaxed);
    if (status == HR_OK && *relaxed) {
        status = ask(m, &q);
        for (int t = 0; t < m->nterms && q.answer != IMPOSSIBLE; t++)
            m->terms[t].on = true; /* a matter of rounding */
        if (status == HR_OK)
            status = drop(m, 0, m->nterms, true, &ignored);
    }
    *sure = true;
    return status == HR_OK ? drop(m, 0, m->nterms, false, sure) : status;
}

/* ---- what could be had --------------------------------------------------------------------- */

/* How much of what an at-least wish speaks of the others leave room for. */
struct most {
    double found; /* in a plan; < 0: none was found */
    double bound; /* there is no more */
};

/* Where a search of the whole finds nothing, or would not, because it took plans to show the
 * collision: half way between what there is and what there is
 * not, a few times. */
static hr_status most_by_halves(struct program *m, const struct term *term, struct most *most)
{
    hr_status status = HR_OK;
    struct question q = {.wish = term};
    for (int k = 0; k < HALVES && status == HR_OK; k++) {
        q.least = most->found < 0 ? 0 : 0.5 * (most->found + most->bound);
        status = ask(m, &q);
        if (status == HR_OK && q.answer == POSSIBLE)
            most->found = q.amount;
        else if (status == HR_OK && q.answer == IMPOSSIBLE)
            most->bound = fmin(most->bound, q.least);
        if (q.answer == UNDECIDED)
            break;
    }
    return status;
}

static hr_status most_of(struct program *m, struct term *term, double asked, bool relaxed,
                         struct most *most)
{
    struct solver_options o = {.seconds = SECONDS_MOST, .gap = 0.001, .relaxed = true};
    struct solver_result r = {0};
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    if (!arena)
        return HR_NOMEM;
    term->on = false;
    hr_status status = build_in(m, arena, term->index);
    term->on = true;
    if (status == HR_OK)
        status = solver_run(&m->mip, &o, &r, NULL);
    *most = (struct most){-1, status == HR_OK && r.x ? fmin(asked, r.bound) : asked};
    o.relaxed = false;
    o.nodes = NODES_OF_MOST;
    r.x = NULL;
    if (status == HR_OK && m->mip.ncolumns <= (relaxed ? COLUMNS_MOST : COLUMNS_SMALL))
        status = solver_run(&m->mip, &o, &r, NULL);
    if (status == HR_OK && r.x)
        *most = (struct most){mip_objective(&m->mip, r.x), fmin(most->bound, r.bound)};
    arena_free(arena);
    return status == HR_OK && !r.x ? most_by_halves(m, term, most) : status;
}

/* ---- words --------------------------------------------------------------------------------- */

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

static hr_status tell_most(struct program *m, struct term *term, bool relaxed, struct diags *diags)
{
    const struct wish *wish = garden_wish(m->garden, (size_t)term->index);
    const struct amount *asked = &wish->at_least;
    struct most most;
    if (asked->kind == UNIT_SHARE)
        return HR_OK;
    hr_status status = most_of(m, term, asked->v, relaxed, &most);
    if (status != HR_OK)
        return status;
    bool counted = asked->kind == UNIT_COUNT;
    if (counted) /* plants and hills are whole */
        most.bound = fmin(floor(most.bound + 1e-6), ceil(asked->v - 1e-6) - 1);
    const char *want = amount_text(m->garden, wish, asked->v, m->arena),
               *found = amount_text(m->garden, wish, fmax(0, most.found), m->arena),
               *bound = amount_text(m->garden, wish, most.bound, m->arena);
    if (most.found >= 0 && most.bound - most.found <= (counted ? 0.5 : NEARLY * most.bound))
        diag_note(diags, term->at, "you asked for %s; the plots hold %s at most", want, found);
    else if (most.found >= 0)
        diag_note(diags, term->at,
                  "you asked for %s; a plan with %s was found, and none holds %s%s", want, found,
                  most.bound < asked->v ? "more than " : "", bound);
    else if (most.bound < asked->v)
        diag_note(diags, term->at, "you asked for %s; the plots hold no more than %s", want, bound);
    return HR_OK;
}

/* What stands already and alone makes the term impossible, or part of it. */
static void note_standing(const struct program *m, const struct term *term, struct diags *diags)
{
    const struct garden *g = m->garden;
    const struct wish *wish =
        term->kind == TERM_AT_MOST ? garden_wish(g, (size_t)term->index) : NULL;
    for (int i = 0; i < m->menu->nstanding; i++) {
        const struct block *block = &m->menu->standing[i];
        const struct part *part = &block->planting->parts[0];
        if (wish && planting_wished(block->planting, 0, m->zones->items[block->zone].plot, wish))
            diag_note(diags, part->seed->at, "%s stands already and counts here",
                      part->crop->name.s);
        else if (term->kind == TERM_SAVE &&
                 isolation_crosses(g, m->menu, term->index, part->seed_index))
            diag_note(diags, part->seed->at, "%s stands already and would cross with it",
                      part->crop->name.s);
    }
}

hr_status collision_explain(struct program *m, struct diags *diags)
{
    bool sure = true, relaxed = false, first = true;
    hr_status status = smallest_collision(m, &relaxed, &sure);
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
        note_standing(m, term, diags);
        if (term->kind == TERM_AT_LEAST)
            status = tell_most(m, term, relaxed, diags);
    }
    if (status == HR_OK && first)
        diag_error(diags, m->garden->at, "wishes-collide", "no plan can meet all that is asked");
    else if (status == HR_OK && !sure)
        diag_note(diags, m->garden->at,
                  "a part of these may collide by itself; this is as far as was found");
    return status == HR_OK ? HR_INFEASIBLE : status;
}
