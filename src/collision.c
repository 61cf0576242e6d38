/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "collision.h"

#include <math.h>
#include <string.h>

#include "crowding.h"
#include "inquiry.h"
#include "isolation.h"
#include "num.h"
#include "solver.h"
#include "standing.h"

#define NEARLY        0.002 /* relative */
#define ROOM_LEAST    1e-6  /* of what is asked: less is nothing */
#define TOLD_MOST     8     /* terms with a note of their own */
#define DIGITS        3     /* of an amount that is shown */
#define CUBIC_YARD_M3 0.764554857984
#define SECONDS_MOST  60.0 /* never reached but where a question cannot be answered at all */
#define BROKEN_LEAST  1e-6
#define TERMS_AT_ONCE 16
#define COLUMNS_LARGE 2500
#define ORDERS        4 /* in which terms are taken away, where that is soon asked */

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
    struct arena *before = m->arena;
    m->arena = arena;
    hr_status status = program_build(m);
    if (status == HR_OK)
        status = add_elastic(m);
    m->arena = before;
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

/* The search for a collision: which terms are switched off, in which order that is tried. */
struct sieve {
    struct program *m;
    struct inquiry *inquiry;
    int *order; /* terms */
    bool sure;  /* no part of what is left collides */
    bool large; /* the relaxation is asked only where it must be */
};

/* Switches off those of the terms [from, to) of the order that are not needed for the collision:
 * all of them at once when the others collide by themselves, else half by half. */
static hr_status drop(struct sieve *s, int from, int to, enum asking how)
{
    bool on[TERMS_AT_ONCE];
    int many = 0, middle = from + (to - from) / 2;
    hr_status status = HR_OK;
    if (to - from <= TERMS_AT_ONCE) {
        enum answer answer = UNDECIDED;
        for (int k = from; k < to; k++) {
            struct term *term = &s->m->terms[s->order[k]];
            on[k - from] = term->on;
            many += term->on;
            term->on = false;
        }
        status = many > 0 ? inquiry_ask(s->inquiry, how, &answer) : HR_OK;
        if (status != HR_OK || many == 0 || answer == IMPOSSIBLE)
            return status;
        for (int k = from; k < to; k++)
            s->m->terms[s->order[k]].on = on[k - from];
        s->sure = s->sure && (many > 1 || answer == POSSIBLE);
        if (many == 1)
            return HR_OK;
    }
    status = drop(s, from, middle, how);
    return status == HR_OK ? drop(s, middle, to, how) : status;
}

static int terms_on(const struct program *m)
{
    int n = 0;
    for (int t = 0; t < m->nterms; t++)
        n += m->terms[t].on;
    return n;
}

/* The order of the file, the other way round, then some at random, the same each time. */
static void set_order(struct sieve *s, int k)
{
    int n = s->m->nterms;
    unsigned long random = (unsigned long)k;
    for (int t = 0; t < n; t++)
        s->order[t] = k == 1 ? n - 1 - t : t;
    for (int t = n; k > 1 && t-- > 1;) {
        int other = (int)(num_random(&random) * (t + 1)), term = s->order[t];
        s->order[t] = s->order[other];
        s->order[other] = term;
    }
}

/* The smallest of those that are met when terms are taken away in several orders, from the ones in
 * `all` (one flag each), if these collide in how crops crowd the zones; else what was on. */
static hr_status sieve_crowding(struct sieve *s, const bool *all, bool *best)
{
    struct program *m = s->m;
    enum answer answer = UNDECIDED;
    int fewest = terms_on(m);
    hr_status status = HR_OK;
    for (int t = 0; t < m->nterms; t++) {
        best[t] = m->terms[t].on;
        m->terms[t].on = all[t];
    }
    status = inquiry_ask(s->inquiry, ASK_CROWDING, &answer);
    for (int k = 0; k < (s->large ? 1 : ORDERS) && status == HR_OK && answer == IMPOSSIBLE; k++) {
        for (int t = 0; t < m->nterms; t++)
            m->terms[t].on = all[t];
        set_order(s, k);
        status = drop(s, 0, m->nterms, ASK_CROWDING);
        if (terms_on(m) >= fewest)
            continue;
        fewest = terms_on(m);
        for (int t = 0; t < m->nterms; t++)
            best[t] = m->terms[t].on;
    }
    for (int t = 0; t < m->nterms; t++)
        m->terms[t].on = best[t];
    set_order(s, 0);
    return status;
}

/* First by the relaxation, which mostly shows it at once; by where crops have blocks, which shows
 * more; then, of the few that are left, by plans. */
static hr_status smallest_collision(struct sieve *s)
{
    struct program *m = s->m;
    enum answer answer = UNDECIDED;
    bool relaxed = false;
    bool *all = ARENA_ARRAY(m->arena, bool, (size_t)m->nterms + 1),
         *best = ARENA_ARRAY(m->arena, bool, (size_t)m->nterms + 1);
    s->order = ARENA_ARRAY(m->arena, int, (size_t)m->nterms + 1);
    if (!all || !best || !s->order)
        return HR_NOMEM;
    set_order(s, 0);
    for (int t = 0; t < m->nterms; t++)
        all[t] = m->terms[t].on;
    hr_status status = inquiry_ask(s->inquiry, ASK_CROWDING, &answer);
    if (status == HR_OK && !(answer == IMPOSSIBLE && s->large))
        status = terms_with_a_price(m, &relaxed);
    if (status == HR_OK && relaxed) {
        status = inquiry_ask(s->inquiry, ASK_RELAXATION, &answer);
        for (int t = 0; t < m->nterms && answer != IMPOSSIBLE; t++)
            m->terms[t].on = true; /* a matter of rounding */
        if (status == HR_OK)
            status = drop(s, 0, m->nterms, ASK_RELAXATION);
    }
    if (status == HR_OK)
        status = sieve_crowding(s, all, best);
    s->sure = true;
    return status == HR_OK ? drop(s, 0, m->nterms, ASK_PLANS) : status;
}

/* ---- words --------------------------------------------------------------------------------- */

static const char *amount_text(const struct garden *g, const struct amount *amount,
                               const struct wish *wish, double v, struct arena *arena)
{
    char buf[64], num[64];
    enum unit_system sys = (enum unit_system)g->units.v;
    if (amount->kind == UNIT_MASS)
        return arena_printf(arena, "%s", unit_mass(buf, sizeof buf, v, sys));
    if (amount->kind == UNIT_AREA)
        return arena_printf(arena, "%s", unit_area(buf, sizeof buf, v, sys));
    if (amount->kind == UNIT_SHARE)
        return arena_printf(arena, "%s %%", num_fixed(num, sizeof num, 100 * v, 0));
    const char *what = wish->guild.s ? "hill" : "plant";
    double n = floor(v + 1e-6);
    return arena_printf(arena, "%s %s%s", num_fixed(num, sizeof num, n, 0), what,
                        n == 1 ? "" : "s");
}

static const struct amount *wish_side(const struct garden *g, const struct term *t)
{
    const struct wish *wish = garden_wish(g, (size_t)t->index);
    return t->kind == TERM_AT_LEAST ? &wish->at_least : &wish->at_most;
}

static bool is_wish(const struct term *t)
{
    return t->kind == TERM_AT_LEAST || t->kind == TERM_AT_MOST;
}

/* What can be hauled, in the unit it is bought in. */
static double volume_unit(const struct garden *g, double m3, const char **name)
{
    bool us = g->units.v == UNITS_US, small = m3 < CUBIC_YARD_M3;
    *name = !us ? "m3" : small ? "cu ft" : "cu yd";
    return !us ? 1 : small ? CUBIC_YARD_M3 / 27 : CUBIC_YARD_M3;
}

static const char *volume_text(const struct garden *g, double m3, struct arena *arena)
{
    char num[64];
    const char *name;
    double v = m3 / volume_unit(g, m3, &name);
    return arena_printf(arena, "%s %s", num_text(num, sizeof num, num_round_sig(v, DIGITS)), name);
}

/* What a term's side comes to. */
static const char *side_text(const struct program *m, const struct term *t, double v)
{
    char num[64];
    const struct garden *g = m->garden;
    if (is_wish(t))
        return amount_text(g, wish_side(g, t), garden_wish(g, (size_t)t->index), v, m->arena);
    if (t->kind == TERM_COMPOST || t->kind == TERM_MULCH)
        return volume_text(g, v, m->arena);
    if (t->kind == TERM_HOURS || t->kind == TERM_WEEK)
        return arena_printf(m->arena, "%s h", num_text(num, sizeof num, num_round_sig(v, DIGITS)));
    if (t->kind == TERM_SHARE_ENERGY || t->kind == TERM_SHARE_AREA)
        return arena_printf(m->arena, "%s %%", num_fixed(num, sizeof num, 100 * v, 0));
    return arena_printf(m->arena, "%s", num_fixed(num, sizeof num, v, 0));
}

static const char *wish_text(const struct program *m, const struct term *t)
{
    const struct wish *w = garden_wish(m->garden, (size_t)t->index);
    const struct amount *a = wish_side(m->garden, t);
    return arena_printf(m->arena, "%s %s%s of %s%s%s",
                        t->kind == TERM_AT_LEAST ? "at least" : "at most", side_text(m, t, a->v),
                        a->kind == UNIT_SHARE ? " of the food energy" : "", wish_name(w),
                        w->plot.s ? " in " : "", w->plot.s ? w->plot.s : "");
}

/* A limit of the garden, with what it is. */
static const char *limit_text(const struct program *m, const struct term *t)
{
    static const struct {
        enum term_kind kind;
        const char *of;
    } limits[] = {
        {TERM_HOURS, "of work"},
        {TERM_WEEK, "of work in a week"},
        {TERM_COMPOST, "of compost"},
        {TERM_MULCH, "of mulch"},
        {TERM_SHARE_ENERGY, "of the food energy from one crop"},
        {TERM_SHARE_AREA, "of the ground for one crop"},
    };
    const struct limits *l = &m->garden->limits;
    int blocks = garden_blocks(m->garden);
    double v = t->kind == TERM_HOURS          ? l->hours.v
               : t->kind == TERM_WEEK         ? l->week_hours.v
               : t->kind == TERM_COMPOST      ? l->compost_m3.v
               : t->kind == TERM_MULCH        ? l->mulch_m3.v
               : t->kind == TERM_SHARE_ENERGY ? l->share_energy.v
                                              : l->share_area.v;
    for (size_t k = 0; k < sizeof limits / sizeof *limits; k++)
        if (limits[k].kind == t->kind)
            return arena_printf(m->arena, "no more than %s %s", side_text(m, t, v), limits[k].of);
    if (t->kind == TERM_SHADE)
        return "the limit on the shade beyond this side";
    if (blocks == 1)
        return "a single block in each zone (limits: blocks)";
    return arena_printf(m->arena,
                        "no more than %d blocks side by side in one zone (limits: blocks)", blocks);
}

static const char *term_text(const struct program *m, const struct term *t)
{
    char num[64];
    if (is_wish(t))
        return wish_text(m, t);
    if (t->kind != TERM_SEED && t->kind != TERM_SAVE)
        return limit_text(m, t);
    const struct seed *seed = garden_seed(m->garden, (size_t)t->index);
    if (t->kind == TERM_SAVE)
        return arena_printf(m->arena, "true seed of %s to save", seed->variety.s);
    double have = floor(garden_seed_count(m->garden, seed) + 1e-6);
    return arena_printf(m->arena, "the seed in hand of %s, %s to sow or plant", seed->variety.s,
                        num_fixed(num, sizeof num, have, 0));
}

/* To the digits that are shown, so that what is said to do will do, and what is not will not. */
static void round_outward(struct side *side, double unit)
{
    double found = side->found / unit, bound = side->bound / unit;
    double least = found > 0 ? pow(10, floor(log10(found)) + 1 - DIGITS) : 1;
    side->found = unit * least * ceil(found / least - 1e-6);
    side->bound = unit * least * floor(bound / least + 1e-6);
}

/* Plants, hills, seeds and blocks are whole; and what is asked for is not had. Others are said to a
 * share of NEARLY. *near: there is nothing between what was found and the bound. */
static void round_side(const struct program *m, const struct term *t, struct side *side, bool *near)
{
    bool counted = is_wish(t) ? wish_side(m->garden, t)->kind == UNIT_COUNT
                              : t->kind == TERM_BLOCKS || t->kind == TERM_SEED;
    bool least = t->kind == TERM_AT_LEAST;
    side->found = fmax(0, side->found);
    side->bound = fmax(0, side->bound);
    *near = side->met && fabs(side->bound - side->found) <= NEARLY * fabs(side->bound);
    if (t->kind == TERM_COMPOST || t->kind == TERM_MULCH) {
        const char *name;
        round_outward(side, volume_unit(m->garden, side->asked, &name));
    } else if (t->kind == TERM_HOURS || t->kind == TERM_WEEK) {
        round_outward(side, 1);
    }
    if (!counted)
        return;
    side->bound = least ? fmin(floor(side->bound + 1e-6), ceil(side->asked - 1e-6) - 1)
                        : fmax(ceil(side->bound - 1e-6), floor(side->asked + 1e-6) + 1);
    side->found = least ? floor(side->found + 1e-6) : ceil(side->found - 1e-6);
    *near = side->met && side->bound == side->found;
}

/* What could be had of an at-least wish. NULL: nothing is known. */
static const char *most_text(const struct program *m, const struct term *t, const struct side *side,
                             bool near)
{
    const char *found = side_text(m, t, side->found), *bound = side_text(m, t, side->bound);
    double one = wish_side(m->garden, t)->kind == UNIT_COUNT ? 1 : 0;
    if (side->met && side->bound <= ROOM_LEAST * side->asked)
        return "there is room for none";
    if (side->met && near)
        return arena_printf(m->arena, "the plots hold %s at most", found);
    if (side->bound >= side->asked - one) /* that is what is known already */
        return side->met && side->found > ROOM_LEAST * side->asked
                   ? arena_printf(m->arena, "a plan with %s was found", found)
                   : NULL;
    if (!side->met)
        return arena_printf(m->arena, "the plots hold no more than %s", bound);
    if (side->found <= ROOM_LEAST * side->asked)
        return arena_printf(m->arena, "no plan with any was found, and none holds more than %s",
                            bound);
    return arena_printf(m->arena, "a plan with %s was found, and none holds more than %s", found,
                        bound);
}

/* How far a limit would have to give way. */
static const char *least_text(const struct program *m, const struct term *t,
                              const struct side *side, bool near)
{
    const char *found = side_text(m, t, side->found), *bound = side_text(m, t, side->bound);
    bool beyond = side->bound > side->asked;
    if (side->met && (near || !beyond || strcmp(found, bound) == 0))
        return arena_printf(m->arena, "%s would do", found);
    if (side->met)
        return arena_printf(m->arena, "%s would do, and less than %s would not", found, bound);
    return beyond ? arena_printf(m->arena, "less than %s would not do", bound) : NULL;
}

/* What could be had instead, NULL where that is not known. */
static hr_status instead(struct sieve *s, int t, const char **text)
{
    struct program *m = s->m;
    const struct term *term = &m->terms[t];
    struct side side;
    bool has, near;
    *text = NULL;
    hr_status status = inquiry_side(s->inquiry, t, &has, &side);
    if (status != HR_OK || !has)
        return status;
    round_side(m, term, &side, &near);
    *text = term->kind == TERM_AT_LEAST ? most_text(m, term, &side, near)
                                        : least_text(m, term, &side, near);
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

/* One note for each, as there may be many: what it is and what could be had instead. */
static hr_status tell_term(struct sieve *s, int t, bool first, struct diags *diags)
{
    struct program *m = s->m;
    const struct term *term = &m->terms[t];
    bool alone = terms_on(m) == 1;
    const char *text = term_text(m, term), *best;
    hr_status status = instead(s, t, &best);
    if (status != HR_OK)
        return status;
    if (first)
        diag_error(diags, term->at, "wishes-collide", "no plan can meet this%s: %s",
                   alone ? "" : " together with what is named below", text);
    if (first && best)
        diag_note(diags, term->at, "%s%s", alone ? "" : "with the rest of these kept, ", best);
    if (!first)
        diag_note(diags, term->at, "together with: %s%s%s", text,
                  best ? "; with the rest kept, " : "", best ? best : "");
    note_standing(m, term, diags);
    return HR_OK;
}

/* Whether other terms collide, too, when one of these gives way; only what is soon seen. *enough:
 * the terms of which that was not seen, *last: one of them. */
static hr_status count_enough(struct sieve *s, int *enough, int *last)
{
    struct program *m = s->m;
    hr_status status = HR_OK;
    bool *these = ARENA_ARRAY(m->arena, bool, (size_t)m->nterms + 1);
    if (!these)
        return HR_NOMEM;
    *enough = 0;
    for (int t = 0; t < m->nterms; t++) {
        these[t] = m->terms[t].on;
        m->terms[t].on = true;
    }
    for (int t = 0; t < m->nterms && status == HR_OK; t++) {
        enum answer answer = IMPOSSIBLE;
        if (!these[t])
            continue;
        m->terms[t].on = false;
        status = inquiry_ask(s->inquiry, ASK_CROWDING, &answer);
        if (status == HR_OK && answer != IMPOSSIBLE && !s->large)
            status = inquiry_ask(s->inquiry, ASK_RELAXATION, &answer);
        m->terms[t].on = true;
        if (answer == IMPOSSIBLE)
            continue;
        (*enough)++;
        *last = t;
    }
    for (int t = 0; t < m->nterms; t++)
        m->terms[t].on = these[t];
    return status;
}

/* What to begin with. */
static hr_status tell_enough(struct sieve *s, struct diags *diags)
{
    int enough = 0, last = 0;
    hr_status status = count_enough(s, &enough, &last);
    if (status == HR_OK && enough == 0)
        diag_note(diags, s->m->garden->at, "%s gives way, others still collide: plan again then",
                  terms_on(s->m) > 1 ? "whichever of these" : "when this");
    else if (status == HR_OK && enough == 1 && terms_on(s->m) > 1)
        diag_note(diags, s->m->terms[last].at,
                  "begin here: when another of these gives way, others still collide");
    return status;
}

/* Those that there are too many of to have a note each, by their lines. */
static void tell_rest(const struct program *m, const bool *told, struct diags *diags)
{
    struct strbuf lines;
    int last = -1, n = 0;
    strbuf_init(&lines, m->arena);
    for (int t = 0; t < m->nterms; t++) {
        if (!m->terms[t].on || told[t])
            continue;
        size_t line = 0, col;
        if (m->terms[t].at.src)
            source_line_col(m->terms[t].at.src, m->terms[t].at.begin, &line, &col);
        strbuf_printf(&lines, "%s%zu", n > 0 ? ", " : "", line);
        last = t;
        n++;
    }
    if (n > 0)
        diag_note(diags, m->terms[last].at, "together with %d more, at line%s %s", n,
                  n > 1 ? "s" : "", lines.failed ? "" : lines.p);
}

static hr_status tell(struct sieve *s, struct diags *diags)
{
    struct program *m = s->m;
    int n = 0;
    hr_status status = HR_OK;
    bool *told = ARENA_ARRAY(m->arena, bool, (size_t)m->nterms + 1);
    if (!told)
        return HR_NOMEM;
    /* Where there are too many, a limit says more than one more of the wishes that it limits. */
    bool many = terms_on(m) > TOLD_MOST;
    for (int pass = 0; pass < 2; pass++)
        for (int t = 0; t < m->nterms && status == HR_OK && n < TOLD_MOST; t++) {
            if (!m->terms[t].on || told[t] || (many && pass == 0 && n > 0 && is_wish(&m->terms[t])))
                continue;
            status = tell_term(s, t, n++ == 0, diags);
            told[t] = true;
        }
    tell_rest(m, told, diags);
    if (status == HR_OK && n == 0)
        diag_error(diags, m->garden->at, "wishes-collide", "no plan can meet all that is asked");
    else if (status == HR_OK && !s->sure)
        diag_note(diags, m->garden->at,
                  "a part of these may collide by itself; this is as far as was found");
    return status == HR_OK && n > 0 ? tell_enough(s, diags) : status;
}

hr_status collision_explain(struct program *m, struct diags *diags)
{
    struct sieve s = {.m = m, .sure = true, .large = m->mip.ncolumns > COLUMNS_LARGE};
    hr_status status = inquiry_new(m, m->arena, &s.inquiry);
    if (status == HR_OK)
        status = smallest_collision(&s);
    if (status == HR_OK)
        status = tell(&s, diags);
    return status == HR_OK ? HR_INFEASIBLE : status;
}

hr_status collision_sure(const struct program *m, struct arena *arena, bool *sure)
{
    struct crowding *crowding;
    bool *on = ARENA_ARRAY(arena, bool, (size_t)m->nterms + 1);
    hr_status status = on ? crowding_new(m, arena, &crowding) : HR_NOMEM;
    struct crowding_answer answer = {0};
    for (int t = 0; status == HR_OK && t < m->nterms; t++)
        on[t] = true;
    if (status == HR_OK && crowding)
        status = crowding_ask(crowding, on, -1, &answer);
    *sure = answer.impossible;
    return status;
}
