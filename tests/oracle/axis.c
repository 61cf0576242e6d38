/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "axis.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SLACK_M 1e-9 /* rounding, as a tape does not show it */

/* Lengths, ascending. */
struct raster {
    double *m;
    int n;
};

/* Nodes of one stage, by raster point; -1: not reached. Stages of a way come in pairs. */
struct stage {
    struct raster raster;
    int *node;
};

struct maker {
    struct axis *axis;
    const struct group *groups;
    int ngroups, cap;
    struct stage *before; /* before group g; one more at the end */
    struct stage **in;    /* in[g][2 * way + (last line was even)] */
};

static void *room(struct maker *m, size_t n, size_t size)
{
    void *p = calloc(n > 0 ? n : 1, size);
    if (!p)
        m->axis->failed = true;
    return p;
}

/* ---- rasters ------------------------------------------------------------------------------- */

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void tidy(struct raster *r)
{
    int n = 0;
    if (r->n > 0)
        qsort(r->m, (size_t)r->n, sizeof *r->m, by_size);
    for (int i = 0; i < r->n; i++)
        if (n == 0 || r->m[i] > r->m[n - 1] + SLACK_M)
            r->m[n++] = r->m[i];
    r->n = n;
}

static void push(struct maker *m, struct raster *r, double x)
{
    if (r->n % 256 == 0) {
        double *more = realloc(r->m, sizeof(double) * (size_t)(r->n + 256));
        if (!more) {
            m->axis->failed = true;
            return;
        }
        r->m = more;
    }
    r->m[r->n++] = x;
}

/* `from` and what lies `step` beyond it: once, or again and again, up to length. */
static void extend(struct maker *m, struct raster *r, const struct raster *from, double step,
                   bool again, double length)
{
    for (int i = 0; i < from->n && !m->axis->failed; i++)
        for (double x = from->m[i] + step; x <= length + SLACK_M; x += step) {
            push(m, r, x);
            if (!again)
                break;
        }
}

static void copy(struct maker *m, struct raster *r, const struct raster *from)
{
    for (int i = 0; i < from->n; i++)
        push(m, r, from->m[i]);
}

/* The last raster point that is no greater than left. */
static int round_down(const struct raster *r, double left)
{
    int low = 0, high = r->n;
    while (high - low > 1) {
        int mid = (low + high) / 2;
        if (r->m[mid] <= left + SLACK_M)
            low = mid;
        else
            high = mid;
    }
    return low;
}

static void settle(struct maker *m, struct stage *s)
{
    tidy(&s->raster);
    s->node = room(m, (size_t)s->raster.n, sizeof(int));
    for (int i = 0; s->node && i < s->raster.n; i++)
        s->node[i] = -1;
}

/* From the last group back: what can still be filled. */
static void rasters(struct maker *m, double length)
{
    push(m, &m->before[m->ngroups].raster, 0);
    settle(m, &m->before[m->ngroups]);
    for (int g = m->ngroups - 1; g >= 0 && !m->axis->failed; g--) {
        const struct raster *after = &m->before[g + 1].raster;
        copy(m, &m->before[g].raster, after);
        for (int c = 0; c < m->groups[g].n && !m->axis->failed; c++) {
            const struct way *way = &m->groups[g].ways[c];
            for (int even = 0; even < 2; even++) {
                struct stage *in = &m->in[g][2 * c + even];
                copy(m, &in->raster, after);
                if (way->next_m > 0)
                    extend(m, &in->raster, after, way->next_m, true, length);
                settle(m, in);
            }
            extend(m, &m->before[g].raster, &m->in[g][2 * c].raster, way->first_m, false, length);
        }
        settle(m, &m->before[g]);
    }
}

/* ---- nodes and arcs ------------------------------------------------------------------------ */

static int node_at(struct maker *m, struct stage *s, double left)
{
    int i = round_down(&s->raster, left);
    if (s->node[i] < 0)
        s->node[i] = m->axis->nnodes++;
    return s->node[i];
}

static void arc(struct maker *m, struct arc arc)
{
    struct axis *a = m->axis;
    if (a->narcs >= AXIS_ARCS_MAX)
        a->failed = true;
    if (a->narcs == m->cap && !a->failed) {
        m->cap = m->cap ? 2 * m->cap : 1024;
        struct arc *more = realloc(a->arcs, sizeof *more * (size_t)m->cap);
        if (!more)
            a->failed = true;
        else
            a->arcs = more;
    }
    if (!a->failed)
        a->arcs[a->narcs++] = arc;
}

/* Lines of way c of group g that follow the first, and the ends of its block. */
static void arcs_in(struct maker *m, int g, int c)
{
    const struct way *way = &m->groups[g].ways[c];
    const struct raster *raster = &m->in[g][2 * c].raster;
    for (int i = raster->n - 1; i >= 0; i--)
        for (int even = 0; even < 2; even++) {
            struct stage *in = &m->in[g][2 * c + even];
            double left = raster->m[i];
            int from = in->node[i];
            if (from < 0)
                continue;
            arc(m, (struct arc){ARC_END, from, node_at(m, &m->before[g + 1], left), way->tag, false,
                                0});
            if (way->next_m <= 0 || way->next_m > left + SLACK_M)
                continue;
            bool next = way->alternate && !even;
            int to = node_at(m, &m->in[g][2 * c + next], left - way->next_m);
            arc(m, (struct arc){ARC_NEXT, from, to, way->tag, next, way->next_m});
        }
}

static void arcs_of_group(struct maker *m, int g)
{
    struct stage *before = &m->before[g];
    for (int i = before->raster.n - 1; i >= 0; i--) {
        double left = before->raster.m[i];
        int from = before->node[i];
        if (from < 0)
            continue;
        arc(m, (struct arc){ARC_SKIP, from, node_at(m, &m->before[g + 1], left), -1, false, 0});
        for (int c = 0; c < m->groups[g].n; c++) {
            const struct way *way = &m->groups[g].ways[c];
            if (way->first_m > left + SLACK_M)
                continue;
            int to = node_at(m, &m->in[g][2 * c], left - way->first_m);
            arc(m, (struct arc){ARC_OPEN, from, to, way->tag, false, way->first_m});
        }
    }
    for (int c = 0; c < m->groups[g].n && !m->axis->failed; c++)
        arcs_in(m, g, c);
}

/* ---- the whole ----------------------------------------------------------------------------- */

static void free_stage(struct stage *s)
{
    free(s->raster.m);
    free(s->node);
}

static void free_maker(struct maker *m)
{
    for (int g = 0; g <= m->ngroups && m->before; g++)
        free_stage(&m->before[g]);
    for (int g = 0; g < m->ngroups && m->in; g++) {
        for (int c = 0; c < 2 * m->groups[g].n && m->in[g]; c++)
            free_stage(&m->in[g][c]);
        free(m->in[g]);
    }
    free(m->before);
    free(m->in);
}

void axis_make(const struct group *groups, int ngroups, double length_m, struct axis *out)
{
    *out = (struct axis){0};
    struct maker m = {.axis = out, .groups = groups, .ngroups = ngroups};
    m.before = room(&m, (size_t)ngroups + 1, sizeof(struct stage));
    m.in = room(&m, (size_t)ngroups, sizeof(struct stage *));
    for (int g = 0; g < ngroups && !out->failed; g++)
        m.in[g] = room(&m, 2 * (size_t)groups[g].n, sizeof(struct stage));
    if (!out->failed)
        rasters(&m, length_m);
    if (!out->failed) {
        out->source = node_at(&m, &m.before[0], length_m);
        for (int g = 0; g < ngroups && !out->failed; g++)
            arcs_of_group(&m, g);
        out->sink = node_at(&m, &m.before[ngroups], 0);
    }
    free_maker(&m);
}

void axis_free(struct axis *axis)
{
    free(axis->arcs);
    *axis = (struct axis){0};
}
