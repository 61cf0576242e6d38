/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Annealing (Kirkpatrick, Gelatt and Vecchi 1983) of one zone's filling after the other, then
 * descents from near the best choice (iterated local search). */
#include "join_guess.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"

#define FILLINGS_MOST 4000 /* of a zone: those with the least gaps */
#define RUNS          2
#define STEPS         20000 /* of annealing, in each run */
#define HEAT_FIRST    0.5   /* of the scale: a worsening by so much is taken with 1 / e */
#define HEAT_LAST     0.01
#define BREAKING      3.0  /* times its price costs a row that is broken, */
#define BREAKING_SPAN 30.0 /* or of the scale, for all that the fillings can make of it */
#define TINY          1e-9

/* A row, in the order they are looked at: the more it can cost the sooner. */
struct guess_row {
    int index; /* in the problem */
    bool goal;
    double price, side; /* less the margin */
    double slack;       /* so much beyond the side breaks it not */
    double penalty;     /* for each unit beyond */
};

/* A zone's fillings by gap. */
struct sorted_zone {
    int n, *index; /* in the problem */
    double *gap;
    double *used; /* [n][rows], in their order here */
};

struct guess {
    double loss;
    int *chosen; /* per zone */
};

struct guesser {
    const struct guess_problem *p;
    struct sorted_zone *zones;
    struct guess_row rows[GUESS_ROWS_MAX];
    int npriced; /* goals and rows with a price: the first ones */
    unsigned long random;
    int *chosen, *kicked;
    double sum[GUESS_ROWS_MAX], gap; /* of what is chosen */
    struct guess *best;              /* rising */
    int nbest, most;
};

/* ---- what is lost -------------------------------------------------------------------------- */

/* At the sum of a and b, or more than `most` when it is more; *kept: no row is broken. */
static double loss_of(const struct guesser *g, const double *a, const double *b, double most,
                      bool *kept)
{
    double loss = 0, level = 0, least = 0;
    *kept = true;
    for (int r = 0; r < g->p->nrows; r++) {
        const struct guess_row *row = &g->rows[r];
        double over = a[r] + b[r] - row->side;
        if (row->goal) {
            level += row->price * over;
            least = fmax(least, -over);
        } else if (over > row->slack) {
            loss += row->penalty * over;
            *kept = false;
        } else {
            loss -= row->price * fmin(over, 0);
        }
        if (r + 1 >= g->npriced && loss + fmax(0, level + least) > most)
            break;
    }
    return loss + fmax(0, level + least);
}

static const double *used_by(const struct guesser *g, int zone, int k)
{
    return g->zones[zone].used + (size_t)k * (size_t)g->p->nrows;
}

/* Sets the sums of what is chosen. */
static double total(struct guesser *g)
{
    const double none[GUESS_ROWS_MAX] = {0};
    bool kept;
    g->gap = 0;
    memset(g->sum, 0, sizeof g->sum);
    for (int z = 0; z < g->p->nzones; z++) {
        g->gap += g->zones[z].gap[g->chosen[z]];
        for (int r = 0; r < g->p->nrows; r++)
            g->sum[r] += used_by(g, z, g->chosen[z])[r];
    }
    return g->gap + loss_of(g, g->sum, none, HUGE_VAL, &kept);
}

/* ---- the best choices ---------------------------------------------------------------------- */

static void keep(struct guesser *g, double loss)
{
    size_t size = sizeof *g->chosen * (size_t)g->p->nzones;
    int at = g->nbest;
    for (int k = 0; k < g->nbest; k++)
        if (memcmp(g->best[k].chosen, g->chosen, size) == 0)
            return;
    if (g->nbest == g->most && loss >= g->best[g->most - 1].loss)
        return;
    if (g->nbest < g->most)
        g->nbest++;
    else
        at = g->most - 1;
    int *room = g->best[at].chosen;
    for (; at > 0 && g->best[at - 1].loss > loss; at--)
        g->best[at] = g->best[at - 1];
    memcpy(room, g->chosen, size);
    g->best[at] = (struct guess){loss, room};
}

/* ---- annealing ----------------------------------------------------------------------------- */

static int draw_zone(struct guesser *g)
{
    return (int)(num_random(&g->random) * g->p->nzones) % g->p->nzones;
}

/* The ones with small gaps more often. */
static int draw(struct guesser *g, int zone)
{
    double u = num_random(&g->random);
    int n = g->zones[zone].n, k = (int)(u * u * u * n);
    return k < n ? k : n - 1;
}

static void anneal(struct guesser *g)
{
    const double none[GUESS_ROWS_MAX] = {0};
    const int rows = g->p->nrows;
    double cooling = pow(HEAT_LAST / HEAT_FIRST, 1.0 / STEPS);
    for (int z = 0; z < g->p->nzones; z++)
        g->chosen[z] = draw(g, z);
    double now = total(g), heat = HEAT_FIRST * g->p->scale;
    for (int step = 0; step < STEPS; step++) {
        double sum[GUESS_ROWS_MAX];
        bool kept;
        int z = draw_zone(g), is = draw(g, z);
        heat *= cooling;
        const double *out = used_by(g, z, g->chosen[z]), *in = used_by(g, z, is);
        for (int r = 0; r < rows; r++)
            sum[r] = g->sum[r] + in[r] - out[r];
        double gap = g->gap + g->zones[z].gap[is] - g->zones[z].gap[g->chosen[z]];
        double loss = gap + loss_of(g, sum, none, HUGE_VAL, &kept);
        if (loss > now && exp((now - loss) / heat) < num_random(&g->random))
            continue;
        memcpy(g->sum, sum, sizeof *sum * (size_t)rows);
        g->gap = gap;
        g->chosen[z] = is;
        now = loss;
        if (kept)
            keep(g, loss);
    }
}

/* ---- descents ------------------------------------------------------------------------------ */

/* Chooses the best filling of a zone beside those of the others. */
static double improve(struct guesser *g, int z, double now)
{
    const int rows = g->p->nrows;
    const struct sorted_zone *zone = &g->zones[z];
    const double *out = used_by(g, z, g->chosen[z]);
    double rest[GUESS_ROWS_MAX], gap = g->gap - zone->gap[g->chosen[z]];
    bool kept, best_kept = false;
    int best = -1;
    for (int r = 0; r < rows; r++)
        rest[r] = g->sum[r] - out[r];
    for (int k = 0; k < zone->n && gap + zone->gap[k] < now; k++) {
        double base = gap + zone->gap[k];
        double loss = base + loss_of(g, rest, used_by(g, z, k), now - base, &kept);
        if (loss >= now - TINY)
            continue;
        now = loss;
        best = k;
        best_kept = kept;
    }
    if (best < 0)
        return now;
    for (int r = 0; r < rows; r++)
        g->sum[r] = rest[r] + used_by(g, z, best)[r];
    g->gap = gap + zone->gap[best];
    g->chosen[z] = best;
    if (best_kept)
        keep(g, now);
    return now;
}

static double descend(struct guesser *g, double now)
{
    for (int idle = 0, z = 0; idle < g->p->nzones; z = (z + 1) % g->p->nzones) {
        double before = now;
        now = improve(g, z, now);
        idle = now < before ? 0 : idle + 1;
    }
    return now;
}

/* One zone or two have any filling, the others the best beside it; from there on while that is no
 * worse. */
static void kick(struct guesser *g)
{
    size_t size = sizeof *g->chosen * (size_t)g->p->nzones;
    double best = descend(g, total(g));
    memcpy(g->kicked, g->chosen, size);
    for (int k = 0; k < g->p->kicks && g->p->go_on(g->p->data); k++) {
        int z = draw_zone(g), y = draw_zone(g);
        double now = HUGE_VAL;
        memcpy(g->chosen, g->kicked, size);
        g->chosen[z] = draw(g, z);
        if (k % 2 == 1)
            g->chosen[y] = draw(g, y);
        total(g);
        for (int o = 1; o < g->p->nzones; o++)
            now = improve(g, (z + o) % g->p->nzones, now);
        now = descend(g, now);
        if (now > best)
            continue;
        best = now;
        memcpy(g->kicked, g->chosen, size);
    }
}

/* ---- the whole ----------------------------------------------------------------------------- */

struct ranked {
    int index;
    double gap;
};

static int compare_ranked(const void *pa, const void *pb)
{
    const struct ranked *a = pa, *b = pb;
    return a->gap != b->gap ? (a->gap > b->gap ? 1 : -1) : a->index - b->index;
}

static bool sort_zone(const struct guesser *g, const struct guess_zone *zone, struct arena *arena,
                      struct sorted_zone *out)
{
    int rows = g->p->nrows, n = zone->n < FILLINGS_MOST ? zone->n : FILLINGS_MOST;
    struct ranked *ranked = ARENA_ARRAY(arena, struct ranked, (size_t)zone->n);
    *out = (struct sorted_zone){.n = n,
                                .index = ARENA_ARRAY(arena, int, (size_t)n),
                                .gap = ARENA_ARRAY(arena, double, (size_t)n),
                                .used = ARENA_ARRAY(arena, double, (size_t)n *(size_t)rows)};
    if (!ranked || !out->index || !out->gap || !out->used)
        return false;
    for (int k = 0; k < zone->n; k++)
        ranked[k] = (struct ranked){k, zone->gap[k]};
    qsort(ranked, (size_t)zone->n, sizeof *ranked, compare_ranked);
    for (int k = 0; k < n; k++) {
        double used[GUESS_ROWS_MAX];
        out->index[k] = ranked[k].index;
        out->gap[k] = zone->use(g->p->data, zone, ranked[k].index, used);
        for (int r = 0; r < rows; r++)
            out->used[(size_t)k * (size_t)rows + (size_t)r] = used[g->rows[r].index];
    }
    return true;
}

/* Goals and rows that have a price first. */
static void order_rows(struct guesser *g)
{
    int n = 0;
    for (int kind = 0; kind < 2; kind++) {
        for (int r = 0; r < g->p->nrows; r++) {
            const struct join_row *row = &g->p->rows[r];
            if (kind == (row->price > 0 ? 0 : 1))
                g->rows[n++] = (struct guess_row){
                    .index = r, .goal = row->goal, .price = row->price, .side = row->side};
        }
        if (kind == 0)
            g->npriced = n;
    }
}

/* What the fillings of all zones can make of a row, from the least to the most. */
static double span_of(const struct guesser *g, int r)
{
    double span = 0;
    for (int z = 0; z < g->p->nzones; z++) {
        double least = HUGE_VAL, most = -HUGE_VAL;
        for (int k = 0; k < g->zones[z].n; k++) {
            least = fmin(least, used_by(g, z, k)[r]);
            most = fmax(most, used_by(g, z, k)[r]);
        }
        span += most - least;
    }
    return span;
}

static void price_breaking(struct guesser *g)
{
    for (int r = 0; r < g->p->nrows; r++) {
        struct guess_row *row = &g->rows[r];
        double span = span_of(g, r), scale = row->side != 0 ? fabs(row->side) : span;
        row->side -= g->p->margin[row->index] * scale;
        row->slack = TINY * (1 + fabs(row->side));
        row->penalty =
            fmax(BREAKING * row->price, span > 0 ? BREAKING_SPAN * g->p->scale / span : 0);
    }
}

static hr_status guesser_open(struct guesser *g, struct arena *arena)
{
    size_t zones = (size_t)g->p->nzones;
    g->zones = ARENA_ARRAY(arena, struct sorted_zone, zones);
    g->chosen = ARENA_ARRAY(arena, int, zones);
    g->kicked = ARENA_ARRAY(arena, int, zones);
    g->best = ARENA_ARRAY(arena, struct guess, (size_t)g->most);
    if (!g->zones || !g->chosen || !g->kicked || !g->best)
        return HR_NOMEM;
    for (int k = 0; k < g->most; k++) {
        g->best[k].chosen = ARENA_ARRAY(arena, int, zones);
        if (!g->best[k].chosen)
            return HR_NOMEM;
    }
    order_rows(g);
    for (int z = 0; z < g->p->nzones; z++)
        if (!sort_zone(g, &g->p->zones[z], arena, &g->zones[z]))
            return HR_NOMEM;
    price_breaking(g);
    return HR_OK;
}

hr_status join_guess(const struct guess_problem *p, int most, struct arena *arena)
{
    struct guesser g = {.p = p, .random = 88172645463325252ul, .most = most};
    for (int z = 0; z < p->nzones; z++)
        if (p->zones[z].n == 0)
            return HR_OK;
    hr_status status = guesser_open(&g, arena);
    for (int run = 0; run < RUNS && status == HR_OK; run++) {
        anneal(&g);
        kick(&g);
    }
    for (int k = 0; k < g.nbest && status == HR_OK; k++) {
        for (int z = 0; z < p->nzones; z++)
            g.chosen[z] = g.zones[z].index[g.best[k].chosen[z]];
        if (p->accept(p->data, g.chosen, g.best[k].loss))
            break;
    }
    return status;
}
