/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Good plans of listed fillings, soon found. See decompose_joiner.h. */
#include <math.h>
#include <string.h>

#include "decompose_joiner.h"
#include "join_guess.h"

#define GUESSES      16     /* plans that are looked at */
#define GUESS_STEPS  300000 /* of joining that take as long */
#define BUDGET_FIRST 0.015  /* of the bound, to list fillings by; */
#define LISTED       50000  /* where there are more a third as much, */
#define TRIES        4      /* so often */
#define MARGIN_STEP  0.005  /* rows that depend on light are kept by so much more the next time */
#define MARGIN_MOST  0.05   /* where no plan kept all terms in the shade */

/* ---- rows ---------------------------------------------------------------------------------- */

/* The rows that are joined, then all others that a plan may break. */
struct guess_rows {
    int n;
    struct join_row row[GUESS_ROWS_MAX];
    const double *use[GUESS_ROWS_MAX];  /* in full light */
    const double *fall[GUESS_ROWS_MAX]; /* less of it in no light; NULL: the same */
    double margin[GUESS_ROWS_MAX];      /* see guess_problem */
};

/* As joiner_fall; NULL, too, where light has no part in the row. */
static const double *lit_fall(struct joiner *j, int row, double sign, const double *use)
{
    const double *fall = joiner_fall(j, row, sign, use);
    bool any = false;
    for (int c = 0; c < j->w->m->mip.ncolumns && fall; c++)
        any = any || fabs(fall[c]) > JOINER_LIGHT_TINY;
    return any ? fall : NULL;
}

static void add_guess_row(struct joiner *j, int row, double sign, double price,
                          struct guess_rows *g)
{
    const struct decomposition *w = j->w;
    const bool goal = joiner_goal(w, row);
    double side;
    double *use =
        g->n < GUESS_ROWS_MAX ? joiner_use(j, &w->m->mip, w->first, row, sign, &side) : NULL;
    if (!use || isinf(side) || (goal && !j->first_goal))
        return;
    const double *fall = j->lit ? lit_fall(j, row, sign, use) : NULL;
    double *less = fall && goal ? ARENA_ARRAY(j->arena, double, (size_t)w->m->mip.ncolumns) : NULL;
    for (int c = 0; c < w->m->mip.ncolumns && goal; c++) {
        use[c] = j->first_goal[c] - use[c];
        if (less)
            less[c] = j->first_fall[c] - fall[c];
    }
    g->row[g->n] =
        (struct join_row){.goal = goal, .price = price, .side = goal ? j->first_side - side : side};
    g->margin[g->n] = fall && !goal ? j->margin : 0;
    g->fall[g->n] = goal ? less : fall;
    g->use[g->n++] = use;
}

static void take_guess_rows(struct joiner *j, struct guess_rows *g)
{
    const struct decomposition *w = j->w;
    for (int t = 0; t < w->nties; t++) {
        const int row = w->ties[t];
        const double price = w->trial[t];
        if (row == w->m->row_e || row == w->m->row_a || row == j->first_row)
            continue;
        add_guess_row(j, row, -1, joiner_goal(w, row) || price < 0 ? fabs(price) : 0, g);
        if (!joiner_goal(w, row))
            add_guess_row(j, row, 1, fmax(0, price), g);
    }
}

struct guess_data {
    struct joiner *j;
    const struct guess_rows *rows;
};

/* Rows and gap in the light of the filling's best order. */
static double use_guess(void *data, const struct guess_zone *zone, int k, double *used)
{
    const struct guess_data *d = data;
    const struct joiner *j = d->j;
    const struct decomposition *w = j->w;
    const struct guess_rows *g = d->rows;
    const struct fillings *list = &j->lists[zone->zone];
    int columns[FILLINGS_COLUMNS_MAX];
    double values[FILLINGS_COLUMNS_MAX], losses[GUESS_ROWS_MAX + 1], worth = 0;
    int n = fillings_columns(w->m, j->zones[zone->zone], list, k, columns, values);
    for (int c = 0; c < n; c++)
        worth += values[c] * w->worth[columns[c]];
    for (int r = 0; r < g->n; r++) {
        used[r] = 0;
        for (int c = 0; c < n; c++)
            used[r] += values[c] * g->use[r][columns[c]];
    }
    double gap = w->classes[w->class_of[j->zones[zone->zone]]].worth - worth;
    if (!j->lit)
        return gap;
    struct filling_stands stands = fillings_stands(list, k);
    const double *falls[GUESS_ROWS_MAX + 1] = {j->first_fall};
    int of[GUESS_ROWS_MAX], nfalls = 1;
    for (int r = 0; r < g->n; r++)
        if (g->fall[r]) {
            of[nfalls] = r;
            falls[nfalls++] = g->fall[r];
        }
    filling_light_at_best(&j->lit[zone->zone], &stands, nfalls, falls, losses);
    for (int f = 1; f < nfalls; f++) { /* goals are told from the first one, and weigh 1 in all */
        const struct join_row *row = &g->row[of[f]];
        used[of[f]] += losses[f];
        gap += (row->goal ? -1 : 1) * row->price * losses[f];
    }
    return gap + losses[0];
}

/* Whether x keeps all rows but those that light may help to keep: these the arrangement sees to. */
static bool keeps_in_some_light(const struct joiner *j)
{
    const struct decomposition *w = j->w;
    const struct program *m = w->m;
    for (int t = 0; t < w->nties; t++) {
        const int row = w->ties[t], *first = w->first;
        double sign;
        bool by_light = joiner_goal(w, row) || row == m->row_e;
        int at = j->dim_first[row];
        for (int e = first[row]; e < first[row + 1]; e++, at++)
            by_light = by_light || m->mip.entries[e].column == m->col_e ||
                       m->mip.entries[e].value != w->light->dim->mip.entries[at].value;
        if (!by_light && joiner_beyond(w, row, j->x, &sign) > JOINER_BREACH)
            return false;
    }
    return true;
}

static bool guess_on(void *data)
{
    return joiner_go_on(((struct guess_data *)data)->j);
}

static bool accept_guess(void *data, const int *chosen, double loss)
{
    struct joiner *j = ((struct guess_data *)data)->j;
    struct decomposition *w = j->w;
    (void)loss;
    joiner_read(j, chosen);
    decompose_go_on(w); /* tells progress */
    decompose_offer(w, j->x);
    if (!w->light)
        decompose_meet(w, j->x);
    else if (j->lit ? keeps_in_some_light(j) : mip_breach(&w->m->mip, j->x) <= JOINER_BREACH)
        decompose_arrange(w, j->x);
    return w->stop;
}

hr_status joiner_guess(struct joiner *j, double budget, int kicks, struct arena *arena)
{
    struct guess_rows *rows = ARENA_ARRAY(arena, struct guess_rows, 1);
    struct guess_zone *zones = ARENA_ARRAY(arena, struct guess_zone, (size_t)j->nzones);
    if (!rows || !zones)
        return HR_NOMEM;
    take_guess_rows(j, rows);
    for (int z = 0; z < j->nzones; z++)
        zones[z] = (struct guess_zone){j->lists[z].n, j->lists[z].gap, z, use_guess};
    struct guess_data data = {j, rows};
    struct guess_problem p = {.nzones = j->nzones,
                              .nrows = rows->n,
                              .rows = rows->row,
                              .margin = rows->margin,
                              .zones = zones,
                              .scale = budget,
                              .kicks = kicks,
                              .accept = accept_guess,
                              .go_on = guess_on,
                              .data = &data};
    hr_status status = join_guess(&p, GUESSES, arena);
    if (j->lit && !isfinite(j->w->light->value))
        j->margin = fmin(MARGIN_MOST, j->margin + MARGIN_STEP);
    *j->work -= GUESS_STEPS;
    return status;
}

/* ---- the whole ----------------------------------------------------------------------------- */

hr_status decompose_guess(struct decomposition *w)
{
    struct joiner j;
    bool may, whole = false;
    hr_status status = joiner_open(w, false, &j, &may);
    double budget = fmin(fmin(BUDGET_FIRST * fabs(j.most), joiner_lost(&j)), w->unlisted / 3);
    for (int k = 0; k < TRIES && may && !whole && !w->stop && status == HR_OK; k++) {
        struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
        status = arena ? joiner_list(&j, budget, LISTED, arena, &whole) : HR_NOMEM;
        if (status == HR_OK && whole)
            status = joiner_guess(&j, budget, JOINER_KICKS, arena);
        arena_free(arena);
        budget /= 3;
    }
    joiner_close(&j);
    return status;
}
