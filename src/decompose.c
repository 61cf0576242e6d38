/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "decompose_work.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "num.h"

#define PROGRESS_SECONDS 0.2
#define SECONDS_LEAST    0.01
#define BREACH_MOST      1e-6 /* of a solution */

/* ---- time ---------------------------------------------------------------------------------- */

static double seconds_since(const struct timespec *begin)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - begin->tv_sec) + 1e-9 * (double)(now.tv_nsec - begin->tv_nsec);
}

double decompose_beat(const struct decomposition *w)
{
    return w->m->mip.columns[w->m->col_t].lower;
}

/* To the best solution, or to what is to be beaten. */
static bool close_enough(const struct decomposition *w)
{
    double beat = decompose_beat(w), have = w->has ? w->value : -HUGE_VAL;
    if (beat > 0)
        have = fmax(have, beat);
    return isfinite(have) && w->bound - have <= w->options->gap * fabs(have) + 1e-9;
}

bool decompose_lit(const struct decomposition *w)
{
    const struct decompose_light *l = w->light;
    return l && isfinite(l->value) &&
           l->bound + l->ties - l->value <= l->gap * fabs(l->value) + 1e-9;
}

bool decompose_go_on(struct decomposition *w)
{
    double seconds = seconds_since(&w->begin);
    if (seconds >= w->options->seconds)
        w->stop = true;
    if (w->options->progress && seconds - w->told >= PROGRESS_SECONDS) {
        w->told = seconds;
        if (w->options->progress(w->options->data, seconds, w->value, w->bound))
            w->stop = true;
    }
    return !w->stop && !close_enough(w) && !decompose_lit(w);
}

/* The solver at work on a part speaks of values and bounds of that part. */
static bool progress_of_part(void *data, double seconds, double value, double bound)
{
    (void)seconds;
    (void)value;
    (void)bound;
    struct decomposition *w = (struct decomposition *)data;
    decompose_go_on(w);
    return w->stop;
}

struct solver_options decompose_part(struct decomposition *w, double gap, long nodes)
{
    double left = w->options->seconds - seconds_since(&w->begin);
    return (struct solver_options){.seconds = fmax(SECONDS_LEAST, left),
                                   .gap = gap,
                                   .nodes = nodes,
                                   .progress = progress_of_part,
                                   .data = w};
}

double decompose_random(struct decomposition *w)
{
    return 2 * num_random(&w->random) - 1;
}

void decompose_offer(struct decomposition *w, const double *x)
{
    const struct mip *mip = &w->m->mip;
    double value = mip_objective(mip, x);
    if ((w->has && value <= w->value) || !(mip_breach(mip, x) <= BREACH_MOST))
        return;
    w->has = true;
    w->value = value;
    memcpy(w->x, x, sizeof *x * (size_t)mip->ncolumns);
    if (w->options->met)
        w->options->met(w->options->met_data, x);
}

void decompose_meet(struct decomposition *w, const double *x)
{
    if (w->options->met && w->value > mip_objective(&w->m->mip, x) &&
        mip_breach(&w->m->mip, x) <= BREACH_MOST)
        w->options->met(w->options->met_data, x);
}

void decompose_arrange(struct decomposition *w, const double *x)
{
    double ties = x[w->m->col_t] - mip_objective(&w->m->mip, x); /* what tie-breaks take */
    double value = w->light->arranged(w->light->data, x) - ties;
    w->light->value = fmax(w->light->value, value);
}

/* ---- taking the program apart -------------------------------------------------------------- */

static void mark(struct decomposition *w, int column, int zone)
{
    if (column >= 0)
        w->place[column] = -1 - zone;
}

static void split_columns(struct decomposition *w)
{
    const struct program *m = w->m;
    for (int i = 0; i < m->menu->nitems; i++) {
        int z = m->menu->items[i].zone;
        mark(w, m->col_n[i], z);
        mark(w, m->col_q[i], z);
        mark(w, m->col_y[i], z);
        mark(w, m->col_s[i], z);
        mark(w, m->col_w[i], z);
        mark(w, m->col_b[0][i], z);
        mark(w, m->col_b[1][i], z);
    }
    for (size_t z = 0; z < m->zones->n; z++) {
        mark(w, m->col_d[z], (int)z);
        mark(w, m->col_v[z], (int)z);
    }
    for (int j = 0; j < m->mip.ncolumns; j++)
        if (w->place[j] >= 0) {
            w->place[j] = w->nshared;
            w->shared[w->nshared++] = j;
        }
}

static void split_rows(struct decomposition *w)
{
    const struct mip *mip = &w->m->mip;
    int k = 0;
    for (int i = 0; i < mip->nrows; i++) {
        w->first[i] = k;
        while (k < mip->nentries && mip->entries[k].row == i)
            k++;
        if (program_row_ties(w->m, i))
            w->ties[w->nties++] = i;
    }
    w->first[mip->nrows] = k;
}

/* First columns of the zones' items, and of each zone a hash of what its columns are in the ties.
 * Zones that are alike have their columns in one order, so a column is named by its distance. */
static void hash_zones(const struct decomposition *w, int *base, uint64_t *hash)
{
    const struct mip *mip = &w->m->mip;
    for (int i = w->m->menu->nitems - 1; i >= 0; i--)
        base[w->m->menu->items[i].zone] = w->m->col_n[i];
    for (int t = 0; t < w->nties; t++)
        for (int e = w->first[w->ties[t]]; e < w->first[w->ties[t] + 1]; e++) {
            int zone = -1 - w->place[mip->entries[e].column];
            uint64_t bits;
            if (zone < 0)
                continue;
            memcpy(&bits, &mip->entries[e].value, sizeof bits);
            bits ^= (uint64_t)(mip->entries[e].column - base[zone]) << 32 ^ (uint64_t)t;
            hash[zone] = (hash[zone] ^ bits) * 1099511628211u; /* FNV-1a */
            hash[zone] ^= hash[zone] >> 29;
        }
}

/* The same ground, items and ties. */
static bool alike(const struct program *m, size_t a, size_t b, const uint64_t *hash)
{
    const struct zone *za = &m->zones->items[a], *zb = &m->zones->items[b];
    int i = 0, k = 0, n = m->menu->nitems;
    if (za->length_m != zb->length_m || za->depth_m != zb->depth_m || hash[a] != hash[b])
        return false;
    while (i < n && m->menu->items[i].zone != (int)a)
        i++;
    while (k < n && m->menu->items[k].zone != (int)b)
        k++;
    for (;; i++, k++) {
        bool more = i < n && m->menu->items[i].zone == (int)a;
        if (more != (k < n && m->menu->items[k].zone == (int)b))
            return false;
        if (!more)
            return true;
        const struct item *x = &m->menu->items[i], *y = &m->menu->items[k];
        if (x->planting != y->planting || x->most_lines != y->most_lines ||
            x->stations[0] != y->stations[0] || x->stations[1] != y->stations[1] ||
            x->over_m[0] != y->over_m[0] || x->over_m[1] != y->over_m[1])
            return false;
    }
}

static hr_status split_zones(struct decomposition *w)
{
    const struct program *m = w->m;
    int *base = ARENA_ARRAY(w->arena, int, m->zones->n);
    uint64_t *hash = ARENA_ARRAY(w->arena, uint64_t, m->zones->n);
    if (!base || !hash)
        return HR_NOMEM;
    hash_zones(w, base, hash);
    for (size_t z = 0; z < m->zones->n; z++) {
        int way = program_way(m, z), c = 0;
        while (c < w->nclasses &&
               (way >= 0 || w->classes[c].way >= 0 || !alike(m, w->classes[c].zone, z, hash)))
            c++;
        if (c == w->nclasses)
            w->classes[w->nclasses++] = (struct zone_class){z, 0, 0, way, 0};
        w->class_of[z] = c;
        if (way < 0 || m->mip.columns[way].upper > 0) {
            w->classes[c].left = ++w->classes[c].count;
            w->open++;
        }
    }
    return HR_OK;
}

static hr_status take_apart(struct decomposition *w)
{
    const struct mip *mip = &w->m->mip;
    size_t rows = (size_t)mip->nrows, columns = (size_t)mip->ncolumns, zones = w->m->zones->n;
    w->first = ARENA_ARRAY(w->arena, int, rows + 1);
    w->ties = ARENA_ARRAY(w->arena, int, rows);
    w->shared = ARENA_ARRAY(w->arena, int, columns);
    w->place = ARENA_ARRAY(w->arena, int, columns);
    w->class_of = ARENA_ARRAY(w->arena, int, zones);
    w->classes = ARENA_ARRAY(w->arena, struct zone_class, zones);
    w->prices = ARENA_ARRAY(w->arena, double, rows + zones);
    w->centre = ARENA_ARRAY(w->arena, double, rows);
    w->trial = ARENA_ARRAY(w->arena, double, rows);
    w->worth = ARENA_ARRAY(w->arena, double, columns);
    w->scratch = ARENA_ARRAY(w->arena, double, columns);
    w->x = ARENA_ARRAY(mip->arena, double, columns);
    w->filler = filler_new(w->m, w->arena);
    if (!w->first || !w->ties || !w->shared || !w->place || !w->class_of || !w->classes ||
        !w->prices || !w->centre || !w->trial || !w->worth || !w->scratch || !w->x || !w->filler)
        return HR_NOMEM;
    split_columns(w);
    split_rows(w);
    return split_zones(w);
}

/* ---- the whole ----------------------------------------------------------------------------- */

static hr_status run(struct decomposition *w, bool *met)
{
    hr_status status = take_apart(w);
    if (status == HR_OK && w->options->start) {
        decompose_offer(w, w->options->start);
        status = decompose_add_solution(w, w->options->start);
    }
    if (status == HR_OK)
        status = decompose_generate(w, met);
    if (status == HR_OK && *met && decompose_go_on(w))
        status = decompose_search(w);
    if (status == HR_OK && *met && w->stop && !w->has && decompose_beat(w) <= 0)
        status = decompose_in_haste(w);
    return status;
}

hr_status decompose_run(const struct program *m, const struct solver_options *options,
                        struct decompose_light *light, struct solver_result *out,
                        const char **failure)
{
    struct decomposition w = {.m = m,
                              .options = options,
                              .light = light,
                              .failure = failure,
                              .value = -HUGE_VAL,
                              .bound = m->mip.columns[m->col_t].upper,
                              .random = 88172645463325252ul,
                              .join_work = JOIN_WORK,
                              .lit_work = LIT_WORK,
                              .unlisted = HUGE_VAL};
    bool met = true;
    clock_gettime(CLOCK_MONOTONIC, &w.begin);
    w.arena = arena_new(ARENA_CAP_DEFAULT);
    if (!w.arena)
        return HR_NOMEM;
    hr_status status = run(&w, &met);
    arena_free(w.arena);
    if (status != HR_OK && !(status == HR_NOMEM && w.has))
        return status; /* else what was found before memory ran out stands */
    enum solver_state state = met ? SOLVER_NONE : SOLVER_INFEASIBLE;
    if (w.has || (met && close_enough(&w)))
        state = close_enough(&w) ? SOLVER_OPTIMAL : SOLVER_FEASIBLE;
    *out = (struct solver_result){.state = state,
                                  .x = w.has ? w.x : NULL,
                                  .value = w.value,
                                  .bound = fmax(w.bound, w.value),
                                  .seconds = seconds_since(&w.begin)};
    return HR_OK;
}
