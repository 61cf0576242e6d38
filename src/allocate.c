/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "allocate.h"

#include <math.h>
#include <string.h>

#include "anneal.h"
#include "collision.h"
#include "decompose.h"
#include "dim.h"
#include "standing.h"

/* ---- ways to run the rows ------------------------------------------------------------------ */

#define GAP_SHARE     0.5 /* the search aims at this share of the gap asked for */
#define WHOLE_COLUMNS 400 /* programs with more are not searched whole after their parts */
#define SMALL_GAP     0.01
#define WHOLE_RUNS    2
#define WHOLE_STEPS   500000
#define OTHERS        32   /* solutions kept beside the best one, */
#define OTHERS_NEAR   0.04 /* of those that are so near to it */
#define OTHERS_ZONES  12   /* and of so many zones: to arrange more takes long */
#define SECONDS_LEAST 0.05 /* for what must be tried when the time is over */

struct way {
    int index;    /* bit k: the k-th plot with a choice runs along x */
    double bound; /* of the relaxation */
};

/* The solver speaks of person-days; the caller of the goal. */
struct progress_in_goal {
    const struct allocate_options *options;
    double unit;
    bool stopped; /* the caller asked to end */
};

/* The search over all ways. */
struct search {
    struct program *m;
    struct arena *arena; /* of what is found; the program has its own */
    const struct allocate_options *options;
    struct solver_options solver;
    struct progress_in_goal progress;
    struct way ways[1 << ALLOCATE_SPLIT_MAX];
    int nways;
    const double *near;        /* a plan that may break a term by a little; NULL: none */
    struct solver_result best; /* x NULL: none yet */
    double bound;              /* over the ways done */
    double *others[OTHERS];    /* solutions met last, in a ring */
    int nothers;               /* that were met in all */
    struct program dim;        /* m in less light, where plans are arranged as they are met */
    double lit_value;          /* objective of the best of these as arranged; -HUGE_VAL: none */
    double lit_bound;          /* of all as arranged, over the ways done */
    bool lit;                  /* that is looked for */
    hr_status trouble;         /* in arranging */
    bool found;                /* the best one in this search: it did not begin with it */
    bool impossible;           /* each way has been shown to have no solution */
    const char *failure;
};

int allocate_plots_with_choice(const struct program *m)
{
    int n = 0;
    for (size_t g = 0; g < m->zones->ngrounds; g++)
        n += m->col_o[g] >= 0;
    return n / 2;
}

/* By the bounds of the o columns and of the columns of zones that then lie idle. */
void allocate_fix_way(struct program *m, int way)
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

/* Whether a way is the one of a solution. */
static bool same_way(struct program *m, int way, const double *x)
{
    allocate_fix_way(m, way);
    for (size_t g = 0; g < m->zones->ngrounds; g++)
        if (m->col_o[g] >= 0 && x[m->col_o[g]] > m->mip.columns[m->col_o[g]].upper)
            return false;
    return true;
}

/* Ways by the bounds of their relaxations, best first: a good plan early makes the rest short.
 * Later rounds of the light loop stay with the way they begin with. */
static hr_status list_ways(struct search *s)
{
    int plots = allocate_plots_with_choice(s->m);
    bool later = s->near != NULL;
    if (plots == 0 || plots > ALLOCATE_SPLIT_MAX) {
        s->nways = 1;
        s->ways[0] = (struct way){-1, HUGE_VAL};
        return HR_OK;
    }
    for (int w = 0; w < 1 << plots; w++) {
        if (later && !same_way(s->m, w, s->near))
            continue;
        struct solver_options o = {.seconds = s->options->seconds, .gap = 0, .relaxed = true};
        struct solver_result r = {0};
        allocate_fix_way(s->m, w);
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

/* Zones that may be planted, the ways being as they are. */
static int zones_open(const struct program *m)
{
    int n = 0;
    for (size_t z = 0; z < m->zones->n; z++) {
        int way = program_way(m, z);
        n += way < 0 || m->mip.columns[way].upper > 0;
    }
    return n;
}

/* Whether to search the program as a whole, too: a zone alone, and small programs of which a small
 * gap is asked. */
static bool search_whole(const struct search *s, const struct solver_result *parts,
                         const struct solver_options *o)
{
    const struct program *m = s->m;
    if (parts->state == SOLVER_OPTIMAL || parts->state == SOLVER_INFEASIBLE)
        return false;
    if (zones_open(m) == 1 || m->menu->nturns > 0)
        return true;
    if (!parts->x)
        return !s->best.x;
    return o->nodes == 0 && o->gap < GAP_SHARE * SMALL_GAP && m->mip.ncolumns <= WHOLE_COLUMNS;
}

/* With second crops, which the search zone by zone does not know: a plan by the prices of the
 * relaxation. *out: it is better than the one there was. */
static hr_status anneal_whole(struct search *s, const struct solver_options *o,
                              struct solver_result *out)
{
    struct program *m = s->m;
    struct solver_options relaxed = {.seconds = o->seconds, .relaxed = true};
    struct solver_result r = {0};
    double *x = ARENA_ARRAY(m->arena, double, (size_t)m->mip.ncolumns);
    hr_status status = x ? solver_run(&m->mip, &relaxed, &r, &s->failure) : HR_NOMEM;
    if (status != HR_OK || !r.prices)
        return status;
    const double *start = o->start;
    for (int run = 0; run < WHOLE_RUNS && status == HR_OK; run++) {
        bool found;
        struct anneal_options a = {.prices = r.prices,
                                   .start = start,
                                   .reference = fabs(r.value),
                                   .steps = WHOLE_STEPS,
                                   .heat = start ? ANNEAL_WARM : ANNEAL_HOT,
                                   .seed = (unsigned long)run + 1};
        status = anneal(m, &a, m->arena, x, &found);
        double value = found ? mip_objective(&m->mip, x) : -HUGE_VAL;
        if (status != HR_OK || !found || mip_breach(&m->mip, x) > 1e-6 ||
            (out->x && value <= out->value))
            continue;
        double *kept = ARENA_ARRAY(m->arena, double, (size_t)m->mip.ncolumns);
        if (!kept)
            return HR_NOMEM;
        memcpy(kept, x, sizeof *x * (size_t)m->mip.ncolumns);
        out->value = value;
        out->x = kept;
        start = kept;
    }
    return status;
}

static hr_status read_solution(struct search *s, const double *x, struct allocation *out,
                               struct food *food);

static double arranged(void *data, const double *x)
{
    struct search *s = (struct search *)data;
    struct allocation a;
    struct food food = {0};
    double value = -HUGE_VAL;
    hr_status status = read_solution(s, x, &a, &food);
    if (status == HR_OK)
        status = s->options->offer(s->options->offer_data, a.chosen, a.n, &value);
    if (status != HR_OK)
        s->trouble = status;
    return value / program_goal_unit(s->m->garden);
}

/* The zones apart first, which finds good plans and a good bound; then, unless they are near
 * enough, the program as a whole. */
static hr_status solve(struct search *s, const struct way *way, struct solver_result *out,
                       double *lit_bound)
{
    struct program *m = s->m;
    struct solver_options o = s->solver;
    struct solver_result parts = {.state = SOLVER_NONE, .bound = way->bound}, whole = {0};
    struct decompose_light light = {.dim = &s->dim,
                                    .arranged = arranged,
                                    .data = s,
                                    .ties = m->epsilon_total,
                                    .gap = s->options->gap,
                                    .value = s->lit_value,
                                    .bound = way->bound};
    hr_status status = HR_OK;
    o.gap *= GAP_SHARE;
    o.start = s->best.x ? s->best.x : s->near;
    if (m->menu->nturns == 0)
        status = decompose_run(m, &o, s->lit ? &light : NULL, &parts, &s->failure);
    else
        status = anneal_whole(s, &o, &parts);
    *out = parts;
    *lit_bound = light.bound;
    s->lit_value = light.value;
    if (status == HR_OK)
        status = s->trouble;
    bool over = s->progress.stopped || parts.seconds >= o.seconds;
    over = over || (isfinite(light.value) &&
                    light.bound + light.ties - light.value <= s->options->gap * fabs(light.value));
    if (status != HR_OK || over || !search_whole(s, &parts, &o))
        return status;
    double bound = fmin(way->bound, parts.bound);
    o.bound = isfinite(bound) ? &bound : NULL;
    o.start = parts.x ? parts.x : o.start;
    o.seconds = fmax(SECONDS_LEAST, o.seconds - parts.seconds);
    status = solver_run(&m->mip, &o, &whole, &s->failure);
    if (status != HR_OK)
        return status;
    *out = whole;
    out->seconds += parts.seconds;
    return HR_OK;
}

/* A way is worth taking when it is better by a share of the gap asked for than the best one before
 * it. */
static hr_status try_way(struct search *s, const struct way *way)
{
    double have = s->lit ? s->lit_value : s->best.x ? s->best.value : -HUGE_VAL;
    if (way->bound <= have) {
        s->bound = fmax(s->bound, way->bound);
        s->lit_bound = fmax(s->lit_bound, way->bound);
        return HR_OK;
    }
    if (way->index >= 0)
        allocate_fix_way(s->m, way->index);
    struct solver_result r = {0};
    double lit_bound = way->bound;
    double beat = s->found ? have + GAP_SHARE * s->options->gap * fabs(have) : have;
    if (isfinite(have)) /* T alone is not less than T less tie-breaks: no such plan is cut off */
        s->m->mip.columns[s->m->col_t].lower = fmax(0, beat);
    hr_status status = solve(s, way, &r, &lit_bound);
    s->m->mip.columns[s->m->col_t].lower = 0;
    if (status != HR_OK)
        return status;
    s->solver.seconds = fmax(SECONDS_LEAST, s->solver.seconds - r.seconds);
    double bound = r.state == SOLVER_INFEASIBLE ? beat : fmax(beat, fmin(r.bound, way->bound));
    s->bound = fmax(s->bound, bound);
    s->lit_bound = fmax(s->lit_bound, fmin(bound, lit_bound));
    s->impossible = s->impossible && r.state == SOLVER_INFEASIBLE;
    if (r.x && (!s->best.x || r.value > s->best.value)) {
        s->best = r;
        s->found = true;
    }
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

/* Keeps a copy of a solution met; one for which there is no memory is passed over. */
static void keep_other(void *data, const double *x)
{
    struct search *s = (struct search *)data;
    size_t n = (size_t)s->m->mip.ncolumns;
    double **place = &s->others[s->nothers % OTHERS];
    if (!*place)
        *place = ARENA_ARRAY(s->arena, double, n);
    if (!*place)
        return;
    memcpy(*place, x, sizeof *x * n);
    s->nothers++;
}

/* ---- from and to allocations --------------------------------------------------------------- */

/* Adds the food of a choice, weighed. */
static void food_of(const struct program *m, const struct choice_lines *c, struct food *total)
{
    const struct item *item = &m->menu->items[c->item];
    if (c->stations > 0) {
        food_sum(total, &item->goal[0], (double)c->stations / item->stations[0]);
        return;
    }
    food_sum(total, &item->goal[0], planting_odd_lines(c->lines));
    food_sum(total, &item->goal[1], planting_even_lines(c->lines));
}

static void choose(struct program *m, struct allocation *a, struct food *food, int item, int lines,
                   int stations)
{
    a->chosen[a->n] = (struct choice_lines){item, lines, stations};
    food_of(m, &a->chosen[a->n], food);
    a->n++;
}

/* A solution as lines and stations; *food what they give, weighed. */
static hr_status read_solution(struct search *s, const double *x, struct allocation *out,
                               struct food *food)
{
    struct program *m = s->m;
    struct allocation a = {0};
    a.chosen = ARENA_ARRAY(s->arena, struct choice_lines, 2 * (size_t)m->menu->nitems);
    if (!a.chosen)
        return HR_NOMEM;
    for (size_t z = 0; z < m->zones->n; z++)
        for (int shared = 0; shared < 2; shared++)
            for (int i = 0; i < m->menu->nitems; i++) {
                int column = shared ? m->col_s[i] : m->col_n[i];
                int count = column >= 0 ? (int)lround(x[column]) : 0;
                if (m->menu->items[i].zone == (int)z && count > 0)
                    choose(m, &a, food, i, shared ? 1 : count, shared ? count : 0);
            }
    *out = a;
    return HR_OK;
}

/* Those of the other solutions that are near the best one. */
static hr_status offer_others(struct search *s)
{
    hr_status status = HR_OK;
    double arranged;
    int n = s->nothers < OTHERS ? s->nothers : OTHERS;
    for (int k = 0; k < n && status == HR_OK; k++) {
        double value = mip_objective(&s->m->mip, s->others[k]);
        struct allocation a;
        struct food food = {0};
        if (value >= s->best.value || value < s->best.value - OTHERS_NEAR * fabs(s->best.value))
            continue;
        status = read_solution(s, s->others[k], &a, &food);
        if (status == HR_OK)
            status = s->options->offer(s->options->offer_data, a.chosen, a.n, &arranged);
    }
    return status;
}

/* The best solution as an allocation. */
static hr_status read_back(struct search *s, struct allocation *out)
{
    struct program *m = s->m;
    struct allocation a;
    struct food food = {0};
    hr_status status = read_solution(s, s->best.x, &a, &food);
    if (status != HR_OK)
        return status;
    struct food standing = standing_goal(m->menu);
    food_sum(&food, &standing, 1);
    a.value = food_value(&food, (enum goal)m->garden->goal.v, &m->garden->ration);
    a.bound = fmax(a.value, (s->bound + m->epsilon_total) * program_goal_unit(m->garden));
    a.lit_bound = fmin(a.bound, (s->lit_bound + m->epsilon_total) * program_goal_unit(m->garden));
    a.proved = s->bound - s->best.value <= s->options->gap * fabs(s->best.value) + 1e-9;
    *out = a;
    return HR_OK;
}

/* Adds the lines of a first or second crop to the ground of its turn, which is what the larger of
 * both asks for. used: per turn column, by slot. */
static void turn_ground(const struct program *m, int i, int lines, double (*used)[SLOT_COUNT],
                        double *x)
{
    const struct planting *p = program_planting(m, i);
    for (int t = 0; t < m->menu->nturns && p->slot != SLOT_WHOLE; t++) {
        int at = m->menu->items[i].zone * m->menu->nturns + t;
        if (p->turn_d != m->menu->turns_d[t])
            continue;
        used[at][p->slot] += planting_depth(p, lines);
        x[m->col_r[at]] = fmax(x[m->col_r[at]], used[at][p->slot]);
    }
}

/* An allocation as a solution of the program, for a warm start. NULL: no memory. */
static double *as_solution(const struct program *m, const struct allocation *a)
{
    size_t turns = m->zones->n * (size_t)m->menu->nturns;
    double *x = ARENA_ARRAY(m->arena, double, (size_t)m->mip.ncolumns);
    double(*used)[SLOT_COUNT] = arena_alloc(m->arena, turns, sizeof *used);
    if (!x || !used)
        return NULL;
    for (int c = 0; c < a->n; c++) {
        int i = a->chosen[c].item, lines = a->chosen[c].lines, z = m->menu->items[i].zone;
        if (a->chosen[c].stations > 0) {
            x[m->col_s[i]] = a->chosen[c].stations;
            x[m->col_w[i]] = x[m->col_v[z]] = 1;
            x[m->col_d[z]] = fmax(x[m->col_d[z]], program_planting(m, i)->first_m);
        } else {
            x[m->col_n[i]] = lines;
            x[m->col_y[i]] = 1;
            turn_ground(m, i, lines, used, x);
            if (m->col_q[i] >= 0)
                x[m->col_q[i]] = planting_odd_lines(lines);
        }
        for (size_t g = 0; g < m->zones->ngrounds; g++)
            if (m->col_o[g] >= 0 && !zone_standing(program_zone(m, i)) &&
                m->zones->grounds[g].plot == program_zone(m, i)->plot &&
                m->zones->grounds[g].along_x == program_zone(m, i)->along_x)
                x[m->col_o[g]] = 1;
    }
    program_settle_ties(m, x);
    program_settle(m, x);
    return x;
}

/* The plan of an earlier round is the one to beat. */
static void start_from(struct search *s, const struct allocation *start)
{
    double *x = as_solution(s->m, start);
    s->near = x;
    if (!x || mip_breach(&s->m->mip, x) > 1e-6)
        return;
    s->best.x = x;
    s->best.value = mip_objective(&s->m->mip, x);
}

/* ---- the whole ----------------------------------------------------------------------------- */

static bool progress_in_goal(void *data, double seconds, double value, double bound)
{
    struct progress_in_goal *p = (struct progress_in_goal *)data;
    if (p->options->progress(p->options->data, seconds, value * p->unit, bound * p->unit))
        p->stopped = true;
    return p->stopped;
}

static hr_status finish(struct search *s, struct diags *diags, struct allocation *out)
{
    if (!s->best.x && s->impossible)
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
    *out = a;
    if (s->options->offer)
        status = offer_others(s);
    return status != HR_OK ? status : a.proved ? HR_OK : HR_LIMIT;
}

/* Terms that collide in whole blocks are found by a small program, and by the search hardly. */
static hr_status soon_seen_to_collide(const struct program *m, bool *collide)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    hr_status status = arena ? collision_sure(m, arena, collide) : HR_NOMEM;
    arena_free(arena);
    return status;
}

static hr_status allocate_in(struct search *s, struct diags *diags, struct allocation *out)
{
    hr_status status = HR_OK;
    s->progress = (struct progress_in_goal){s->options, program_goal_unit(s->m->garden), false};
    s->solver = (struct solver_options){.seconds = s->options->seconds,
                                        .gap = s->options->gap,
                                        .nodes = s->options->nodes,
                                        .progress = s->options->progress ? progress_in_goal : NULL,
                                        .data = &s->progress};
    if (s->options->offer && s->m->zones->n <= OTHERS_ZONES) {
        s->solver.met = keep_other;
        s->solver.met_data = s;
        if (s->m->menu->nturns == 0 && s->options->shade)
            status = dim_program(s->m, s->m->arena, &s->dim, &s->lit);
    }
    if (s->options->start)
        start_from(s, s->options->start);
    bool collide = false;
    if (status == HR_OK)
        status = s->options->start || s->options->nodes > 0 ? HR_OK
                                                            : soon_seen_to_collide(s->m, &collide);
    if (status == HR_OK && collide)
        return collision_explain(s->m, diags);
    if (status == HR_OK)
        status = search(s);
    if (status == HR_BUG)
        diag_error(diags, s->m->garden->at, "solver", "the solver failed: %s", s->failure);
    return status == HR_OK ? finish(s, diags, out) : status;
}

hr_status allocate(const struct garden *garden, const struct zones *zones, const struct menu *menu,
                   const struct allocate_options *options, struct arena *arena, struct diags *diags,
                   struct allocation *out)
{
    struct program m;
    struct search s = {
        .m = &m, .arena = arena, .options = options, .impossible = true, .failure = ""};
    s.lit_value = s.lit_bound = -HUGE_VAL;
    struct arena *own = arena_new(ARENA_CAP_DEFAULT); /* programs are large, and there may be six */
    if (!own)
        return HR_NOMEM;
    hr_status status = program_init(&m, garden, zones, menu, own);
    m.margin = options->margin;
    if (status == HR_OK)
        status = program_build(&m);
    if (status == HR_BUG)
        diag_error(diags, garden->at, "solver", "the program is malformed: %s", m.mip.failure);
    if (status == HR_OK)
        status = allocate_in(&s, diags, out);
    arena_free(own);
    return status;
}

hr_status allocate_lp(const struct garden *garden, const struct zones *zones,
                      const struct menu *menu, struct arena *arena, struct strbuf *out)
{
    struct program m;
    struct menu lit = *menu;
    lit.items = ARENA_ARRAY(arena, struct item, (size_t)menu->nitems);
    lit.standing = ARENA_ARRAY(arena, struct block, (size_t)menu->nstanding);
    if (!lit.items || !lit.standing)
        return HR_NOMEM;
    for (int i = 0; i < menu->nstanding; i++) {
        lit.standing[i] = menu->standing[i];
        lit.standing[i].light[0] = zones->items[menu->standing[i].zone].light;
    }
    for (int i = 0; i < menu->nitems; i++) {
        struct item *item = &lit.items[i];
        *item = menu->items[i];
        for (int k = 0; k < menu->plantings[item->planting].nparts; k++)
            item->light[k] = zones->items[item->zone].light;
        menu_item_value(&lit, item);
    }
    hr_status status = program_init(&m, garden, zones, &lit, arena);
    if (status == HR_OK)
        status = program_build(&m);
    if (status == HR_OK)
        mip_write_lp(&m.mip, out);
    return status == HR_OK && out->failed ? HR_NOMEM : status;
}
