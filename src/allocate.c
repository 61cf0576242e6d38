/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "allocate.h"

#include <math.h>

#include "collision.h"

/* ---- ways to run the rows ------------------------------------------------------------------ */

/* Plots with a choice of row direction are decided outside the program while they are few: with the
 * directions fixed the relaxation cannot mix them, and the halves together are solved faster than
 * the whole. Beyond that the program's own o columns decide. */
#define SPLIT_PLOTS_MAX 3

struct way {
    int index;    /* bit k: the k-th plot with a choice runs along x */
    double bound; /* of the relaxation */
};

/* The search over all ways. */
struct search {
    struct program *m;
    const struct allocate_options *options;
    struct solver_options solver;
    struct way ways[1 << SPLIT_PLOTS_MAX];
    int nways;
    struct solver_result best; /* x NULL: none yet */
    double bound;              /* over the ways done */
    bool proved;
    const char *failure;
};

static int plots_with_choice(const struct program *m)
{
    int n = 0;
    for (size_t g = 0; g < m->zones->ngrounds; g++)
        n += m->col_o[g] >= 0;
    return n / 2;
}

/* Fixes the directions of a way by the bounds of the o columns and of the columns of zones that
 * then lie idle. */
static void fix_way(struct program *m, int way)
{
    int plot = -1;
    unsigned bit = 0; /* of the plot */
    for (size_t g = 0; g < m->zones->ngrounds; g++) {
        const struct ground *ground = &m->zones->grounds[g];
        if (m->col_o[g] < 0)
            continue;
        if (ground->plot != plot)
            bit = bit ? bit << 1 : 1;
        plot = ground->plot;
        struct mip_column *o = &m->mip.columns[m->col_o[g]];
        o->lower = o->upper = (((unsigned)way & bit) != 0) == ground->along_x;
    }
}

static void free_ways(struct program *m)
{
    for (size_t g = 0; g < m->zones->ngrounds; g++)
        if (m->col_o[g] >= 0) {
            m->mip.columns[m->col_o[g]].lower = 0;
            m->mip.columns[m->col_o[g]].upper = 1;
        }
}

/* Ways by the bounds of their relaxations, best first: a good plan early makes the rest short. */
static hr_status list_ways(struct search *s)
{
    int plots = plots_with_choice(s->m);
    if (plots == 0 || plots > SPLIT_PLOTS_MAX) {
        s->nways = 1;
        s->ways[0] = (struct way){-1, HUGE_VAL};
        return HR_OK;
    }
    for (int w = 0; w < 1 << plots; w++) {
        struct solver_options o = {.seconds = s->options->seconds, .gap = 0, .relaxed = true};
        struct solver_result r = {0};
        fix_way(s->m, w);
        hr_status status = solver_run(&s->m->mip, &o, &r, &s->failure);
        if (status != HR_OK)
            return status;
        if (r.state == SOLVER_INFEASIBLE)
            continue;
        int at = s->nways++;
        for (; at > 0 && s->ways[at - 1].bound < r.bound; at--)
            s->ways[at] = s->ways[at - 1];
        s->ways[at] = (struct way){w, r.bound};
    }
    return HR_OK;
}

static hr_status try_way(struct search *s, const struct way *way)
{
    struct program *m = s->m;
    double have = s->best.x ? s->best.value : -HUGE_VAL;
    if (way->bound <= have) {
        s->bound = fmax(s->bound, way->bound);
        return HR_OK;
    }
    if (way->index >= 0)
        fix_way(m, way->index);
    struct solver_result r = {0};
    s->solver.start = s->best.x && mip_breach(&m->mip, s->best.x) <= 1e-6 ? s->best.x : NULL;
    if (s->best.x) /* T alone is not less than T less tie-breaks: no better plan is cut off */
        m->mip.columns[m->col_t].lower = fmax(0, have);
    hr_status status = solver_run(&m->mip, &s->solver, &r, &s->failure);
    m->mip.columns[m->col_t].lower = 0;
    if (status != HR_OK)
        return status;
    s->solver.seconds = fmax(0.2, s->solver.seconds - r.seconds);
    bool decided = r.state == SOLVER_OPTIMAL || r.state == SOLVER_INFEASIBLE;
    s->proved = s->proved && decided;
    s->bound = fmax(s->bound, r.state == SOLVER_INFEASIBLE ? have : fmin(r.bound, way->bound));
    if (r.x && r.value > have)
        s->best = r;
    return HR_OK;
}

static hr_status search(struct search *s)
{
    hr_status status = list_ways(s);
    for (int w = 0; w < s->nways && status == HR_OK; w++)
        status = try_way(s, &s->ways[w]);
    free_ways(s->m);
    return status;
}

/* ---- from and to allocations --------------------------------------------------------------- */

static void food_of(const struct program *m, const struct choice_lines *c, struct food *total)
{
    const struct item *item = &m->menu->items[c->item];
    if (c->stations > 0) {
        food_sum(total, &item->food[0], (double)c->stations / item->stations[0]);
        return;
    }
    food_sum(total, &item->food[0], planting_odd_lines(c->lines));
    food_sum(total, &item->food[1], planting_even_lines(c->lines));
}

static void choose(struct program *m, struct allocation *a, struct food *food, int item, int lines,
                   int stations)
{
    a->chosen[a->n] = (struct choice_lines){item, lines, stations};
    food_of(m, &a->chosen[a->n], food);
    a->n++;
}

/* The best solution as lines and stations. */
static hr_status read_back(struct search *s, struct allocation *out)
{
    struct program *m = s->m;
    const double *x = s->best.x;
    struct allocation a = {0};
    struct food food = {0};
    a.chosen = ARENA_ARRAY(m->arena, struct choice_lines, 2 * (size_t)m->menu->nitems);
    if (!a.chosen)
        return HR_NOMEM;
    for (size_t z = 0; z < m->zones->n; z++)
        for (int shared = 0; shared < 2; shared++)
            for (int i = 0; i < m->menu->nitems; i++) {
                int column = shared ? m->col_s[i] : m->col_n[i];
                int count = column >= 0 ? (int)lround(x[column]) : 0;
                if (m->menu->items[i].zone == (int)z && count > 0)
                    choose(m, &a, &food, i, shared ? 1 : count, shared ? count : 0);
            }
    a.value = food_value(&food, (enum goal)m->garden->goal.v, &m->garden->ration);
    a.bound = fmax(a.value, (s->bound + m->epsilon_total) * program_goal_unit(m->garden));
    a.proved = s->proved;
    *out = a;
    return HR_OK;
}

/* An allocation as a solution of the program, for a warm start. NULL: no memory. */
static double *as_solution(const struct program *m, const struct allocation *a)
{
    double *x = ARENA_ARRAY(m->arena, double, (size_t)m->mip.ncolumns);
    if (!x)
        return NULL;
    struct food food = {0};
    for (int c = 0; c < a->n; c++) {
        int i = a->chosen[c].item, lines = a->chosen[c].lines, z = m->menu->items[i].zone;
        if (a->chosen[c].stations > 0) {
            x[m->col_s[i]] = a->chosen[c].stations;
            x[m->col_w[i]] = x[m->col_v[z]] = 1;
            x[m->col_d[z]] = fmax(x[m->col_d[z]], program_planting(m, i)->first_m);
        } else {
            x[m->col_n[i]] = lines;
            x[m->col_y[i]] = 1;
            if (m->col_q[i] >= 0)
                x[m->col_q[i]] = planting_odd_lines(lines);
        }
        for (size_t g = 0; g < m->zones->ngrounds; g++)
            if (m->col_o[g] >= 0 && m->zones->grounds[g].plot == program_zone(m, i)->plot &&
                m->zones->grounds[g].along_x == program_zone(m, i)->along_x)
                x[m->col_o[g]] = 1;
        food_of(m, &a->chosen[c], &food);
    }
    program_settle_ties(m, x);
    double value = food_value(&food, (enum goal)m->garden->goal.v, &m->garden->ration);
    x[m->col_t] = value / program_goal_unit(m->garden) * (1 - 1e-12);
    return x;
}

/* The plan of an earlier round is the one to beat. */
static void start_from(struct search *s, const struct allocation *start)
{
    double *x = as_solution(s->m, start);
    if (!x || mip_breach(&s->m->mip, x) > 1e-6)
        return;
    s->best.x = x;
    s->best.value = mip_objective(&s->m->mip, x);
}

/* ---- the whole ----------------------------------------------------------------------------- */

/* The solver speaks of person-days; the caller of the goal. */
struct progress_in_goal {
    const struct allocate_options *options;
    double unit;
};

static bool progress_in_goal(void *data, double seconds, double value, double bound)
{
    const struct progress_in_goal *p = (const struct progress_in_goal *)data;
    return p->options->progress(p->options->data, seconds, value * p->unit, bound * p->unit);
}

static hr_status finish(struct search *s, const char *lp, struct diags *diags,
                        struct allocation *out)
{
    if (!s->best.x && s->proved)
        return collision_explain(s->m, diags);
    if (!s->best.x) {
        diag_error(diags, s->m->garden->at, "time-limit",
                   "no plan was found in the time given; give more with --time-limit");
        return HR_LIMIT;
    }
    struct allocation a;
    hr_status status = read_back(s, &a);
    if (status != HR_OK)
        return status;
    a.lp = lp;
    *out = a;
    return a.proved ? HR_OK : HR_LIMIT;
}

hr_status allocate(const struct garden *garden, const struct zones *zones, const struct menu *menu,
                   const struct allocate_options *options, struct arena *arena, struct diags *diags,
                   struct allocation *out)
{
    struct program m;
    struct strbuf lp;
    struct progress_in_goal progress = {options, program_goal_unit(garden)};
    struct search s = {.m = &m, .options = options, .proved = true, .failure = ""};
    hr_status status = program_init(&m, garden, zones, menu, arena);
    if (status == HR_OK)
        status = program_build(&m);
    if (status == HR_BUG)
        diag_error(diags, garden->at, "solver", "the program is malformed: %s", m.mip.failure);
    if (status != HR_OK)
        return status;
    strbuf_init(&lp, arena);
    mip_write_lp(&m.mip, &lp);
    s.solver = (struct solver_options){.seconds = options->seconds,
                                       .gap = options->gap,
                                       .nodes = options->nodes,
                                       .progress = options->progress ? progress_in_goal : NULL,
                                       .data = &progress};
    if (options->start)
        start_from(&s, options->start);
    status = search(&s);
    if (status == HR_BUG)
        diag_error(diags, garden->at, "solver", "the solver failed: %s", s.failure);
    if (status != HR_OK)
        return status;
    return lp.failed ? HR_NOMEM : finish(&s, lp.p, diags, out);
}
