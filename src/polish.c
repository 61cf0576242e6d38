/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "polish.h"

#include <math.h>

#define BREACH_MOST 1e-6

/* The part of the program that is solved anew. */
struct piece {
    const struct program *m;
    const double *x;
    struct mip mip;
    int *column;  /* per column of the program: in the part, -1 where it stays as in x */
    int *row;     /* per row: in the part, -1: nothing of it is free */
    double *held; /* per row: what the columns that stay take of it */
};

static void free_column(struct piece *p, int column)
{
    if (column < 0)
        return;
    const struct mip_column *c = &p->m->mip.columns[column];
    p->column[column] =
        mip_column(&p->mip, c->kind, c->lower, c->upper, c->objective, "c%d", column);
}

static void free_columns(struct piece *p, const bool *free_zones, const bool *items)
{
    const struct program *m = p->m;
    for (int j = 0; j < m->mip.ncolumns; j++)
        p->column[j] = -1;
    free_column(p, m->col_t);
    free_column(p, m->col_e);
    free_column(p, m->col_a);
    for (size_t g = 0; g < m->zones->ngrounds; g++)
        free_column(p, m->col_o[g]);
    for (size_t u = 0; u < m->garden->seed.n * m->garden->plots.n; u++)
        free_column(p, m->col_u[u]);
    for (size_t z = 0; z < m->zones->n; z++)
        if (free_zones[z]) {
            free_column(p, m->col_d[z]);
            free_column(p, m->col_v[z]);
        }
    for (int i = 0; i < m->menu->nitems; i++) {
        bool used =
            p->x && (p->x[m->col_y[i]] > 0.5 || (m->col_w[i] >= 0 && p->x[m->col_w[i]] > 0.5));
        if (!free_zones[m->menu->items[i].zone] || !(items[i] || used))
            continue;
        free_column(p, m->col_n[i]);
        free_column(p, m->col_y[i]);
        free_column(p, m->col_q[i]);
        free_column(p, m->col_s[i]);
        free_column(p, m->col_w[i]);
        free_column(p, m->col_b[0][i]);
        free_column(p, m->col_b[1][i]);
    }
}

static void keep_rows(struct piece *p)
{
    const struct mip *mip = &p->m->mip;
    for (int i = 0; i < mip->nrows; i++)
        p->row[i] = -1;
    for (int k = 0; k < mip->nentries; k++) {
        const struct mip_entry *e = &mip->entries[k];
        if (p->column[e->column] < 0)
            p->held[e->row] += p->x ? e->value * p->x[e->column] : 0;
        else
            p->row[e->row] = 0;
    }
    for (int i = 0; i < mip->nrows; i++)
        if (p->row[i] == 0)
            p->row[i] = mip_row(&p->mip, mip->rows[i].lower - p->held[i],
                                mip->rows[i].upper - p->held[i], "r%d", i);
    for (int k = 0; k < mip->nentries; k++) {
        const struct mip_entry *e = &mip->entries[k];
        if (p->column[e->column] >= 0)
            mip_add(&p->mip, p->row[e->row], p->column[e->column], e->value);
    }
}

static hr_status take_apart(struct piece *p, const bool *free_zones, const bool *items,
                            struct arena *arena)
{
    const struct mip *mip = &p->m->mip;
    p->column = ARENA_ARRAY(arena, int, (size_t)mip->ncolumns);
    p->row = ARENA_ARRAY(arena, int, (size_t)mip->nrows);
    p->held = ARENA_ARRAY(arena, double, (size_t)mip->nrows);
    if (!p->column || !p->row || !p->held)
        return HR_NOMEM;
    mip_init(&p->mip, arena);
    free_columns(p, free_zones, items);
    keep_rows(p);
    return mip_finish(&p->mip);
}

hr_status polish_zones(const struct program *m, const double *x, const bool *free_zones,
                       const bool *items, const struct solver_options *options, struct arena *arena,
                       struct solver_result *out, const char **failure)
{
    struct piece p = {.m = m, .x = x};
    hr_status status = take_apart(&p, free_zones, items, arena);
    double *start = ARENA_ARRAY(arena, double, (size_t)p.mip.ncolumns);
    double *y = ARENA_ARRAY(arena, double, (size_t)m->mip.ncolumns);
    if (status != HR_OK)
        return status;
    if (!start || !y)
        return HR_NOMEM;
    for (int j = 0; x && j < m->mip.ncolumns; j++)
        if (p.column[j] >= 0)
            start[p.column[j]] = x[j];
    struct solver_options o = *options;
    struct solver_result r = {0};
    double before = x ? mip_objective(&m->mip, x) : -HUGE_VAL;
    o.start = x ? start : NULL;
    status = solver_run(&p.mip, &o, &r, failure);
    if (status != HR_OK)
        return status;
    *out = r;
    out->x = NULL;
    for (int j = 0; r.x && j < m->mip.ncolumns; j++)
        y[j] = p.column[j] >= 0 ? r.x[p.column[j]] : x ? x[j] : 0;
    if (!r.x)
        return HR_OK;
    program_settle(m, y);
    out->value = mip_objective(&m->mip, y);
    if (out->value > before && mip_breach(&m->mip, y) <= BREACH_MOST)
        out->x = y;
    return HR_OK;
}
