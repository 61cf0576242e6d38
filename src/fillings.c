/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fillings.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SLACK_M     1e-9 /* as the program gives depth and length */
#define BLOCKS_MOST 16   /* a zone with more is not listed */
#define DEPTHS_MOST 64   /* of shared lines; more are not told apart */
#define FIRST_ROOM  1024
#define STEPS_ASKED 32768
#define LIGHT_SHARE 8  /* steps that take as long as one of joining */
#define LIGHT_STEPS 20 /* that take as long as to work out a filling's light */

static_assert(3 * BLOCKS_MOST + 2 * SHARED_PARTS_MAX + 2 <= FILLINGS_COLUMNS_MAX,
              "a filling's columns have room");

/* The blocks of a filling but for its shared line. */
struct filling_lines {
    int n, items[BLOCKS_MOST], lines[BLOCKS_MOST];
};

/* A shared line. */
struct filling_parts {
    int n, items[SHARED_PARTS_MAX], stations[SHARED_PARTS_MAX];
    double depth_m, worth;
    double used[FILLINGS_ROWS_MAX];
};

/* An item as a block of whole lines. */
struct row_lines {
    int item;
    double worth[2]; /* of an odd line but the first, of an even one */
    double once;
    double first_m, line_m, density; /* worth a metre across, at most */
    double used[2][FILLINGS_ROWS_MAX], used_once[FILLINGS_ROWS_MAX];
};

/* An item as a part of the shared line. */
struct row_part {
    int item, seed, least, most;
    double station, once, pitch_m, depth_m;
    double used[FILLINGS_ROWS_MAX], used_once[FILLINGS_ROWS_MAX];
};

/* Listed lines that take the same depth. */
struct group {
    int from, to;
    double depth_m;
};

struct lister {
    const struct fillings_query *q;
    struct arena *arena;
    struct fillings *out;
    struct row_lines *lines;
    struct row_part *parts;
    struct group *groups; /* by depth */
    int nlines, nparts, ngroups;
    double length_m, depth_m;
    double over_m;                /* what may lie beyond the zone at most */
    double shared_most;           /* worth of the best shared line */
    double shallow_m;             /* no shared line takes less */
    double extra;                 /* worth of having a part at all, at most */
    double depths_m[DEPTHS_MOST]; /* of shared lines, rising */
    int ndepths;
    double bests[DEPTHS_MOST][SHARED_PARTS_MAX + 1]; /* worth of the best line no deeper and of no
                                                        more parts */
    bool best_only; /* look for the best shared line of at most these, list none: */
    int most_parts;
    double most_m;
    double best_line;
    struct filling_lines now;
    struct filling_parts line;
    int nlisted_lines, nlisted_parts;
    int lines_room, parts_room, room;
    bool nomem;
    unsigned steps;
    bool stopped;
};

/* ---- room ---------------------------------------------------------------------------------- */

/* Makes an array that is full twice as large. NULL: no memory. */
static void *larger(struct lister *l, void *old, int n, size_t size)
{
    size_t used = (size_t)n * size;
    void *new = arena_alloc(l->arena, n > 0 ? 2 * (size_t)n : FIRST_ROOM, size);
    if (new &&used > 0)
        memcpy(new, old, used);
    l->nomem = l->nomem || !new;
    return new;
}

static bool room_for_lines(struct lister *l)
{
    if (l->nomem || l->nlisted_lines < l->lines_room)
        return !l->nomem;
    l->out->lines = larger(l, l->out->lines, l->lines_room, sizeof *l->out->lines);
    l->lines_room = l->lines_room > 0 ? 2 * l->lines_room : FIRST_ROOM;
    return !l->nomem;
}

static bool room_for_parts(struct lister *l)
{
    if (l->nomem || l->nlisted_parts < l->parts_room)
        return !l->nomem;
    l->out->parts = larger(l, l->out->parts, l->parts_room, sizeof *l->out->parts);
    l->parts_room = l->parts_room > 0 ? 2 * l->parts_room : FIRST_ROOM;
    return !l->nomem;
}

static bool room_for_one(struct lister *l)
{
    struct fillings *out = l->out;
    if (l->nomem || out->n < l->room)
        return !l->nomem;
    out->gap = larger(l, out->gap, l->room, sizeof *out->gap);
    out->used = larger(l, out->used, l->room, sizeof *out->used * (size_t)(l->q->nrows + 1));
    out->of_lines = larger(l, out->of_lines, l->room, sizeof *out->of_lines);
    out->of_parts = larger(l, out->of_parts, l->room, sizeof *out->of_parts);
    l->room = l->room > 0 ? 2 * l->room : FIRST_ROOM;
    return !l->nomem;
}

/* Whether the work that may be done is done. Beside light a step hardly counts. */
static bool spent(struct lister *l)
{
    const struct fillings_query *q = l->q;
    if (!q->light || l->steps % LIGHT_SHARE == 0)
        --*q->work;
    if (++l->steps % STEPS_ASKED == 0 && q->go_on && !q->go_on(q->data))
        l->stopped = true;
    return l->stopped || *q->work < 0 || l->out->n > q->most || l->nlisted_parts > q->most;
}

/* ---- items --------------------------------------------------------------------------------- */

static void used_by(const struct fillings_query *q, int column, double scale, double *used)
{
    for (int r = 0; r < q->nrows && column >= 0; r++)
        used[r] += scale * q->use[r][column];
}

static double worth_of(const struct fillings_query *q, int column)
{
    return column >= 0 ? q->worth[column] : 0;
}

static void take_lines(struct lister *l, int i)
{
    const struct fillings_query *q = l->q;
    const struct program *m = q->m;
    const struct planting *p = program_planting(m, i);
    double line = worth_of(q, m->col_n[i]), odd = worth_of(q, m->col_q[i]);
    struct row_lines *r = &l->lines[l->nlines++];
    *r = (struct row_lines){.item = i,
                            .worth = {line + odd, line},
                            .once = worth_of(q, m->col_y[i]),
                            .first_m = p->first_m,
                            .line_m = p->line_m};
    r->density = fmax(fmax((line + odd + r->once) / p->first_m, (line + odd) / p->line_m),
                      fmax(0, line / p->line_m));
    used_by(q, m->col_n[i], 1, r->used[0]);
    used_by(q, m->col_q[i], 1, r->used[0]);
    used_by(q, m->col_n[i], 1, r->used[1]);
    used_by(q, m->col_y[i], 1, r->used_once);
}

static void take_part(struct lister *l, int i)
{
    const struct fillings_query *q = l->q;
    const struct program *m = q->m;
    const struct planting *p = program_planting(m, i);
    if (m->col_s[i] < 0 || planting_least_shared(p) > m->menu->items[i].stations[0])
        return;
    struct row_part *r = &l->parts[l->nparts++];
    *r = (struct row_part){.item = i,
                           .seed = p->parts[0].seed_index,
                           .least = planting_least_shared(p),
                           .most = m->menu->items[i].stations[0],
                           .station = worth_of(q, m->col_s[i]),
                           .once = worth_of(q, m->col_w[i]),
                           .pitch_m = p->pitch_m,
                           .depth_m = p->first_m};
    used_by(q, m->col_s[i], 1, r->used);
    used_by(q, m->col_w[i], 1, r->used_once);
}

static int compare_lines(const void *pa, const void *pb)
{
    const struct row_lines *a = pa, *b = pb;
    return a->density != b->density ? (a->density < b->density ? 1 : -1)
                                    : (a->item > b->item) - (a->item < b->item);
}

static int compare_parts(const void *pa, const void *pb)
{
    const struct row_part *a = pa, *b = pb;
    double da = a->station / a->pitch_m, db = b->station / b->pitch_m;
    return da != db ? (da < db ? 1 : -1) : (a->item > b->item) - (a->item < b->item);
}

static bool take_items(struct lister *l)
{
    const struct program *m = l->q->m;
    size_t n = (size_t)m->menu->nitems;
    l->lines = ARENA_ARRAY(l->arena, struct row_lines, n);
    l->parts = ARENA_ARRAY(l->arena, struct row_part, n);
    l->groups = ARENA_ARRAY(l->arena, struct group, n);
    if (!l->lines || !l->parts || !l->groups)
        return false;
    for (int i = 0; i < m->menu->nitems; i++)
        if (m->menu->items[i].zone == (int)l->q->zone) {
            take_lines(l, i);
            take_part(l, i);
        }
    qsort(l->lines, (size_t)l->nlines, sizeof *l->lines, compare_lines);
    qsort(l->parts, (size_t)l->nparts, sizeof *l->parts, compare_parts);
    return true;
}

/* ---- shared lines -------------------------------------------------------------------------- */

static bool variety_in(const struct lister *l, int seed)
{
    for (int k = 0; k < l->line.n; k++)
        if (program_planting(l->q->m, l->line.items[k])->parts[0].seed_index == seed)
            return true;
    return false;
}

static int depth_class(const struct lister *l, double depth_m)
{
    int c = 0;
    while (c < l->ndepths - 1 && l->depths_m[c + 1] <= depth_m + SLACK_M)
        c++;
    return c;
}

/* Of a line that is listed: in any filling the best one of its depth, with no more parts, could
 * stand in its place, so it loses at least what it is worth less. */
static double least_worth(const struct lister *l)
{
    if (l->best_only)
        return l->best_line;
    int parts = l->line.n > 0 ? l->line.n : 1;
    return l->bests[depth_class(l, l->line.depth_m)][parts] - l->q->budget;
}

static void list_line(struct lister *l)
{
    if (l->best_only)
        l->best_line = l->line.worth;
    else if (room_for_parts(l))
        l->out->parts[l->nlisted_parts++] = l->line;
}

static void add_part(struct lister *l, const struct row_part *p, int n)
{
    struct filling_parts *line = &l->line;
    line->items[line->n] = p->item;
    line->stations[line->n++] = n;
    line->depth_m = fmax(line->depth_m, p->depth_m);
    line->worth += n * p->station + p->once;
    for (int r = 0; r < l->q->nrows; r++)
        line->used[r] += n * p->used[r] + p->used_once[r];
}

/* No part from `at` on is worth more a metre. */
static double density(const struct lister *l, int at)
{
    return at < l->nparts ? fmax(0, l->parts[at].station / l->parts[at].pitch_m) : 0;
}

/* Lines of what l->line has and of parts from `at` on. */
static void search_lines(struct lister *l, int at, double length_m)
{
    const struct filling_parts before = l->line;
    if (before.n > 0 && before.worth >= least_worth(l))
        list_line(l);
    for (; at < l->nparts && before.n < l->most_parts && !l->nomem; at++) {
        const struct row_part *p = &l->parts[at];
        int fit = (int)floor((length_m + SLACK_M) / p->pitch_m + 1e-9);
        double extra = (l->most_parts - before.n) * l->extra, next = density(l, at + 1);
        if (before.worth + length_m * density(l, at) + extra < least_worth(l) || spent(l))
            return;
        if (p->depth_m > l->most_m + SLACK_M || variety_in(l, p->seed))
            continue;
        for (int n = fit < p->most ? fit : p->most; n >= p->least; n--) {
            double left = length_m - n * p->pitch_m;
            if (before.worth + n * p->station + left * next + extra < least_worth(l)) {
                if (p->station >= 0)
                    break; /* fewer are worth less still */
                continue;
            }
            add_part(l, p, n);
            search_lines(l, at + 1, left);
            l->line = before;
        }
    }
}

static void list_depths(struct lister *l)
{
    double last = 0;
    while (l->ndepths < DEPTHS_MOST) {
        double next = HUGE_VAL;
        for (int k = 0; k < l->nparts; k++)
            if (l->parts[k].depth_m > last + SLACK_M)
                next = fmin(next, l->parts[k].depth_m);
        if (isinf(next) || next > l->depth_m + SLACK_M)
            return;
        l->depths_m[l->ndepths++] = last = next;
    }
}

static int compare_depth(const void *pa, const void *pb)
{
    const struct filling_parts *a = pa, *b = pb;
    return a->depth_m != b->depth_m ? (a->depth_m > b->depth_m ? 1 : -1)
                                    : (a->worth < b->worth) - (a->worth > b->worth);
}

/* Lists the shared lines that are near the best ones, by depth, the best first. */
static void list_lines(struct lister *l)
{
    list_depths(l);
    for (int k = 0; k < l->nparts; k++)
        l->extra = fmax(l->extra, l->parts[k].once);
    l->best_only = true;
    for (int c = 0; c < l->ndepths; c++)
        for (int n = 1; n <= SHARED_PARTS_MAX; n++) {
            l->best_line = fmax(c > 0 ? l->bests[c - 1][n] : 0, l->bests[c][n - 1]);
            l->most_m = l->depths_m[c];
            l->most_parts = n;
            search_lines(l, 0, l->length_m);
            l->bests[c][n] = l->best_line;
        }
    l->best_only = false;
    l->most_m = l->depth_m;
    l->most_parts = SHARED_PARTS_MAX;
    if (l->ndepths > 0)
        search_lines(l, 0, l->length_m);
    l->shallow_m = l->ndepths > 0 ? l->depths_m[0] : 0;
    for (int k = 0; k < l->nlisted_parts; k++)
        l->shared_most = fmax(l->shared_most, l->out->parts[k].worth);
    if (l->nlisted_parts > 0)
        qsort(l->out->parts, (size_t)l->nlisted_parts, sizeof *l->out->parts, compare_depth);
    for (int k = 0; k < l->nlisted_parts; k++) {
        if (k == 0 || l->out->parts[k].depth_m != l->out->parts[k - 1].depth_m)
            l->groups[l->ngroups++] = (struct group){k, k, l->out->parts[k].depth_m};
        l->groups[l->ngroups - 1].to = k + 1;
    }
}

/* ---- whole fillings ------------------------------------------------------------------------ */

/* parts NULL: no shared line. */
static struct filling_stands stands_of(const struct filling_lines *lines,
                                       const struct filling_parts *parts)
{
    struct filling_stands s = {.nblocks = lines->n, .items = lines->items, .lines = lines->lines};
    if (parts) {
        s.nparts = parts->n;
        s.part_items = parts->items;
        s.stations = parts->stations;
        s.depth_m = parts->depth_m;
    }
    return s;
}

/* Takes what the filling is worth less in the light it has, and adds what it uses more of the rows.
 * false: it is worth too little then. */
static bool take_light(const struct lister *l, int part, double *worth, double *used)
{
    const struct fillings_query *q = l->q;
    double losses[FILLING_LIGHT_SUMS];
    struct filling_stands s = stands_of(&l->now, part >= 0 ? &l->out->parts[part] : NULL);
    *q->work -= LIGHT_STEPS;
    if (!filling_light_losses(q->light, &s, *worth - (q->best - q->budget), losses))
        return false;
    for (int k = 0; k <= q->nrows; k++)
        *worth -= q->light->price[k] * losses[k];
    for (int r = 0; r < q->nrows; r++)
        used[r] += q->light_goal[r] ? losses[0] - losses[r + 1] : losses[r + 1];
    return true;
}

static void list_filling(struct lister *l, double worth, const double *used, int part)
{
    if (spent(l) || !room_for_one(l))
        return;
    struct fillings *out = l->out;
    double sum[FILLINGS_ROWS_MAX] = {0};
    int rows = l->q->nrows, k = out->n;
    for (int r = 0; r < rows; r++)
        sum[r] = used[r] + (part >= 0 ? out->parts[part].used[r] : 0);
    if (l->q->light && !take_light(l, part, &worth, sum))
        return;
    out->n++;
    out->gap[k] = fmax(0, l->q->best - worth);
    memcpy(out->used + (size_t)k * (size_t)rows, sum, sizeof *sum * (size_t)rows);
    out->of_lines[k] = l->nlisted_lines - 1;
    out->of_parts[k] = part;
}

/* Of the blocks taken so far, what may lie beyond the ends of the zone. */
static double over_of(const struct lister *l)
{
    double most = 0;
    if (l->over_m <= 0)
        return 0;
    for (int a = -1; a < l->now.n; a++)
        for (int b = -1; b < l->now.n; b++) {
            double over = a >= 0 ? l->q->m->menu->items[l->now.items[a]].over_m[0] : 0;
            over += b >= 0 ? l->q->m->menu->items[l->now.items[b]].over_m[1] : 0;
            if (a != b || a < 0)
                most = fmax(most, over);
        }
    return most;
}

/* The blocks taken so far, with each shared line that has room and is worth enough, and without. */
static void list_with_lines(struct lister *l, double left_m, double worth, const double *used)
{
    double least = l->q->best - l->q->budget;
    double room = left_m - l->over_m + over_of(l);
    if (room < -SLACK_M || worth + l->shared_most < least || !room_for_lines(l))
        return;
    int before = l->out->n;
    l->out->lines[l->nlisted_lines++] = l->now;
    if (worth >= least)
        list_filling(l, worth, used, -1);
    for (int g = 0; g < l->ngroups && l->groups[g].depth_m <= room + SLACK_M; g++)
        for (int k = l->groups[g].from; k < l->groups[g].to && !l->nomem; k++) {
            const struct filling_parts *p = &l->out->parts[k];
            if (worth + p->worth < least || spent(l))
                break;
            if (l->now.n + p->n <= program_blocks(l->q->m))
                list_filling(l, worth + p->worth, used, k);
        }
    if (l->out->n == before)
        l->nlisted_lines--;
}

/* Blocks of the items from `at` on, added to those taken; left_m may have all that can lie beyond
 * the zone in it. */
static void search_blocks(struct lister *l, int at, double left_m, double worth, const double *used)
{
    list_with_lines(l, left_m, worth, used);
    int blocks = program_blocks(l->q->m);
    for (; at < l->nlines && l->now.n < blocks && !l->nomem; at++) {
        const struct row_lines *r = &l->lines[at];
        double most =
            fmax(r->density * left_m, l->shared_most + r->density * (left_m - l->shallow_m));
        if (worth + most < l->q->best - l->q->budget || spent(l))
            return; /* densities fall from item to item */
        const struct item *item = &l->q->m->menu->items[r->item];
        double sum[FILLINGS_ROWS_MAX] = {0}, value = worth + r->once;
        for (int k = 0; k < l->q->nrows; k++)
            sum[k] = used[k] + r->used_once[k];
        int place = l->now.n++;
        l->now.items[place] = r->item;
        for (int n = 1; n <= item->most_lines; n++) {
            double left = left_m - r->first_m - (n - 1) * r->line_m;
            if (left < -SLACK_M)
                break;
            value += r->worth[n % 2 == 0];
            for (int k = 0; k < l->q->nrows; k++)
                sum[k] += r->used[n % 2 == 0][k];
            l->now.lines[place] = n;
            search_blocks(l, at + 1, left, value, sum);
        }
        l->now.n--;
    }
}

hr_status fillings_list(const struct fillings_query *query, struct arena *arena,
                        struct fillings *out)
{
    const struct zone *zone = &query->m->zones->items[query->zone];
    struct lister l = {.q = query, .arena = arena, .out = out};
    *out = (struct fillings){.whole = program_blocks(query->m) <= BLOCKS_MOST};
    if (!out->whole)
        return HR_OK;
    if (!take_items(&l))
        return HR_NOMEM;
    l.length_m = zone->length_m;
    l.depth_m = zone->depth_m;
    l.over_m = zone->over_m[0] + zone->over_m[1];
    list_lines(&l);
    if (l.nlisted_parts > query->most || l.stopped)
        out->whole = false;
    if (!out->whole || l.nomem)
        return l.nomem ? HR_NOMEM : HR_OK;
    const double none[FILLINGS_ROWS_MAX] = {0};
    search_blocks(&l, 0, l.depth_m + l.over_m, 0, none);
    out->whole = !l.stopped && *query->work >= 0 && out->n <= query->most;
    return l.nomem ? HR_NOMEM : HR_OK;
}

struct filling_stands fillings_stands(const struct fillings *list, int k)
{
    const int parts = list->of_parts[k];
    return stands_of(&list->lines[list->of_lines[k]], parts >= 0 ? &list->parts[parts] : NULL);
}

int fillings_columns(const struct program *m, size_t zone, const struct fillings *list, int k,
                     int *columns, double *values)
{
    const struct filling_lines *lines = &list->lines[list->of_lines[k]];
    int n = 0;
    for (int b = 0; b < lines->n; b++) {
        int i = lines->items[b];
        columns[n] = m->col_n[i];
        values[n++] = lines->lines[b];
        columns[n] = m->col_y[i];
        values[n++] = 1;
        if (m->col_q[i] < 0)
            continue;
        columns[n] = m->col_q[i];
        values[n++] = planting_odd_lines(lines->lines[b]);
    }
    if (list->of_parts[k] < 0)
        return n;
    const struct filling_parts *parts = &list->parts[list->of_parts[k]];
    for (int b = 0; b < parts->n; b++) {
        columns[n] = m->col_s[parts->items[b]];
        values[n++] = parts->stations[b];
        columns[n] = m->col_w[parts->items[b]];
        values[n++] = 1;
    }
    columns[n] = m->col_d[zone];
    values[n++] = parts->depth_m;
    columns[n] = m->col_v[zone];
    values[n++] = 1;
    return n;
}

void fillings_read(const struct program *m, size_t zone, const struct fillings *list, int k,
                   double *x)
{
    int columns[FILLINGS_COLUMNS_MAX];
    double values[FILLINGS_COLUMNS_MAX];
    int n = fillings_columns(m, zone, list, k, columns, values);
    for (int c = 0; c < n; c++)
        x[columns[c]] = values[c];
}
