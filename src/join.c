/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "join.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define SHARE_FIRST  0.5 /* of the budget: what a cell of the first and coarsest grid is worth */
#define SPAN_MOST    1e6 /* cells of a row */
#define LEVELS_MOST  512 /* of a row that is looked at alone */
#define STEPS_MOST   12
#define STEPS_ASKED  32768 /* after so many steps the caller is asked */
#define TINY         1e-9
#define STATES_MOST  100000 /* of a number of zones: room for more would be too much */
#define SEARCH_LEAST 200000 /* steps of the search for plans, */
#define SEARCH_SHARE 0.25   /* and as many more for each of its grid */

/* Fillings whose uses fall into the same cell of the grid. */
struct cell {
    int key[FILLINGS_ROWS_MAX];
    double low[FILLINGS_ROWS_MAX], high[FILLINGS_ROWS_MAX]; /* of what they use */
    double gap;                                             /* the least in it */
    double least; /* no plan with one of its fillings loses less */
    int first, n; /* fillings, by gap */
};

/* A filling that may still matter. */
struct entry {
    int index; /* in its list */
    double gap;
    int cell;
    int key[FILLINGS_ROWS_MAX];
};

struct zone_entries {
    int list; /* of the problem */
    struct entry *entries;
    struct cell *cells; /* by the row they are looked up by, then by gap */
    int n, ncells;
    int look_up; /* -1: no row */
};

/* Sums of cells that fillings of the first zones come to. */
struct states {
    int n, room;
    int *keys;          /* [n][nrows] */
    double *low, *high; /* [n][nrows]: of the sums in it */
    double *from;       /* gaps so far, the least */
    double *rest;       /* what is lost beyond that, at least */
    int *slots;         /* of the hash table: state + 1 */
    int nslots;         /* a power of two */
};

/* For one row alone: what is lost from each sum of the first zones on, at least. */
struct profile {
    double low, unit; /* of level 0; a level's width */
    bool exact;       /* sums are whole levels, not between them */
    int levels;
    double *rest; /* [nzones + 1][levels] */
};

struct trial;

struct join {
    const struct join_problem *p;
    struct profile profiles[FILLINGS_ROWS_MAX];
    struct arena *arena; /* of one step */
    struct zone_entries *zones;
    struct states *states; /* after so many zones; but for all */
    double unit[FILLINGS_ROWS_MAX];
    double *least_rest, *most_rest; /* [nzones + 1][nrows]: of all further zones */
    double budget, least;
    long floor;            /* this step may use the work that is left down to here */
    struct trial **trials; /* per zone: for the search */
    bool nomem, stop;
    int *chosen;
};

/* ---- what is lost -------------------------------------------------------------------------- */

/* At least, when the sums of the rows lie between these. */
static double loss_between(const struct join *j, const double *low, const double *high)
{
    double loss = 0, level = 0, short_most = 0;
    for (int r = 0; r < j->p->nrows; r++) {
        const struct join_row *row = &j->p->rows[r];
        double lo = low[r] - row->side, hi = high[r] - row->side;
        if (row->goal) { /* the first goal is 0: all but the least one are too much */
            level += row->price * lo;
            short_most = fmax(short_most, -hi);
        } else if (lo > TINY * (1 + fabs(row->side))) {
            return HUGE_VAL;
        } else if (hi < 0) {
            loss -= row->price * hi;
        }
    }
    return loss + fmax(0, level + short_most);
}

/* ---- a row alone --------------------------------------------------------------------------- */

/* As loss_between, of one row. */
static double loss_of_row(const struct join *j, int r, double low, double high)
{
    const struct join_row *row = &j->p->rows[r];
    double lo = low - row->side, hi = high - row->side;
    if (row->goal)
        return fmax(fmax(0, row->price * lo), -j->p->first_weight * hi);
    return lo > TINY * (1 + fabs(row->side)) ? HUGE_VAL : fmax(0, -row->price * hi);
}

/* The least that is lost from sums of the first zones between these on, by the row alone. */
static double rest_of_row(const struct join *j, int r, int zones, double low, double high)
{
    const struct profile *f = &j->profiles[r];
    const double *rest = f->rest + (size_t)zones * (size_t)f->levels;
    double least = HUGE_VAL;
    int from = (int)floor((low - f->low) / f->unit + 1e-6),
        to = (int)floor((high - f->low) / f->unit + 1e-6);
    for (int k = from < 0 ? 0 : from; k <= to && k < f->levels; k++)
        least = fmin(least, rest[k]);
    return least;
}

/* Of the fillings of a zone, by level of one row: the least gap, and what they use. */
struct strip {
    double gap, low, high;
};

static int make_strips(const struct join *j, int r, int z, struct strip *strips)
{
    const struct zone_entries *zone = &j->zones[z];
    const struct profile *f = &j->profiles[r];
    double least = HUGE_VAL;
    int n = 0;
    for (int c = 0; c < zone->ncells; c++)
        least = fmin(least, zone->cells[c].low[r]);
    for (int k = 0; k < f->levels; k++)
        strips[k].gap = HUGE_VAL;
    for (int c = 0; c < zone->ncells; c++) {
        const struct cell *cell = &zone->cells[c];
        int k = (int)floor((cell->low[r] - least) / f->unit + 1e-6);
        struct strip *s = &strips[k < f->levels ? k : f->levels - 1];
        bool fresh = isinf(s->gap);
        s->gap = fmin(s->gap, cell->gap);
        s->low = fresh ? cell->low[r] : fmin(s->low, cell->low[r]);
        s->high = fresh ? cell->high[r] : fmax(s->high, cell->high[r]);
    }
    for (int k = 0; k < f->levels; k++)
        if (isfinite(strips[k].gap))
            strips[n++] = strips[k];
    return n;
}

static void fill_profile(struct join *j, int r, struct strip *strips)
{
    struct profile *f = &j->profiles[r];
    int n = j->p->nzones;
    for (int z = n; z >= 0; z--) {
        int nstrips = z < n ? make_strips(j, r, z, strips) : 0;
        for (int k = 0; k < f->levels; k++) {
            double low = f->low + k * f->unit, high = low + (f->exact ? 0 : f->unit);
            double least = z == n ? loss_of_row(j, r, low, high) : HUGE_VAL;
            for (int s = 0; s < nstrips; s++)
                if (strips[s].gap < least)
                    least =
                        fmin(least, strips[s].gap + rest_of_row(j, r, z + 1, low + strips[s].low,
                                                                high + strips[s].high));
            f->rest[(size_t)z * (size_t)f->levels + (size_t)k] = least;
        }
    }
}

/* Levels for all that sums of the row can be; none where it has no price or sums span nothing. */
static bool make_profile(struct join *j, int r)
{
    struct profile *f = &j->profiles[r];
    int n = j->p->nzones, rows = j->p->nrows;
    double low = 0, high = 0, sum_low = 0, sum_high = 0; /* of no zones to all */
    for (int z = 0; z < n; z++) {
        sum_low += j->least_rest[z * rows + r] - j->least_rest[(z + 1) * rows + r];
        sum_high += j->most_rest[z * rows + r] - j->most_rest[(z + 1) * rows + r];
        low = fmin(low, sum_low);
        high = fmax(high, sum_high);
    }
    double unit = j->p->rows[r].unit;
    *f = (struct profile){.low = low, .unit = unit, .exact = unit > 0};
    if (unit <= 0 || (high - low) / unit > LEVELS_MOST - 2)
        *f = (struct profile){.low = low, .unit = (high - low) / (LEVELS_MOST - 2)};
    if (f->unit <= 0)
        return true;
    f->levels = (int)floor((high - low) / f->unit + 1e-6) + 2;
    f->rest = ARENA_ARRAY(j->arena, double, (size_t)(n + 1) * (size_t)f->levels);
    struct strip *strips = ARENA_ARRAY(j->arena, struct strip, (size_t)f->levels);
    if (!f->rest || !strips)
        return false;
    fill_profile(j, r, strips);
    return true;
}

/* The same when the first zones come to between these, and the others to whatever they may. */
static double loss_after(const struct join *j, int zones, const double *low, const double *high)
{
    double least[FILLINGS_ROWS_MAX] = {0}, most[FILLINGS_ROWS_MAX] = {0};
    int rows = j->p->nrows;
    for (int r = 0; r < rows; r++) {
        least[r] = low[r] + j->least_rest[zones * rows + r];
        most[r] = high[r] + j->most_rest[zones * rows + r];
    }
    double loss = loss_between(j, least, most);
    for (int r = 0; r < rows && zones < j->p->nzones && loss <= j->budget; r++)
        if (j->profiles[r].levels > 0)
            loss = fmax(loss, rest_of_row(j, r, zones, low[r], high[r]));
    return loss;
}

/* ---- states -------------------------------------------------------------------------------- */

static size_t hash_of(const int *key, int n)
{
    uint64_t h = 1469598103934665603u; /* FNV-1a */
    for (int k = 0; k < n; k++) {
        h = (h ^ (uint32_t)key[k]) * 1099511628211u;
        h ^= h >> 29;
    }
    return (size_t)h;
}

/* The slot of a key: where it is, or where it would be. */
static int slot_of(const struct join *j, const struct states *s, const int *key)
{
    int rows = j->p->nrows;
    size_t k = hash_of(key, rows) & (size_t)(s->nslots - 1);
    while (s->slots[k] > 0 && memcmp(s->keys + (size_t)(s->slots[k] - 1) * (size_t)rows, key,
                                     sizeof *key * (size_t)rows) != 0)
        k = (k + 1) & (size_t)(s->nslots - 1);
    return (int)k;
}

static int find_state(const struct join *j, const struct states *s, const int *key)
{
    return s->nslots > 0 ? s->slots[slot_of(j, s, key)] - 1 : -1;
}

static bool grow_states(struct join *j, struct states *s)
{
    int room = s->room > 0 ? 2 * s->room : 256, rows = j->p->nrows;
    struct states t = {.n = s->n, .room = room, .nslots = 2 * room};
    t.keys = ARENA_ARRAY(j->arena, int, (size_t)room *(size_t)(rows + 1));
    t.low = ARENA_ARRAY(j->arena, double, (size_t)room *(size_t)(rows + 1));
    t.high = ARENA_ARRAY(j->arena, double, (size_t)room *(size_t)(rows + 1));
    t.from = ARENA_ARRAY(j->arena, double, (size_t)room);
    t.rest = ARENA_ARRAY(j->arena, double, (size_t)room);
    t.slots = ARENA_ARRAY(j->arena, int, (size_t)t.nslots);
    if (!t.keys || !t.low || !t.high || !t.from || !t.rest || !t.slots) {
        j->nomem = true;
        return false;
    }
    if (s->n > 0) {
        memcpy(t.keys, s->keys, sizeof *t.keys * (size_t)s->n * (size_t)rows);
        memcpy(t.low, s->low, sizeof *t.low * (size_t)s->n * (size_t)rows);
        memcpy(t.high, s->high, sizeof *t.high * (size_t)s->n * (size_t)rows);
        memcpy(t.from, s->from, sizeof *t.from * (size_t)s->n);
    }
    for (int k = 0; k < t.n; k++)
        t.slots[slot_of(j, &t, t.keys + (size_t)k * (size_t)rows)] = k + 1;
    *s = t;
    return true;
}

/* A sum of cells of so many zones that loses `from` in gaps. */
struct sum {
    int key[FILLINGS_ROWS_MAX];
    double low[FILLINGS_ROWS_MAX], high[FILLINGS_ROWS_MAX];
    double from;
};

static void add_cell(const struct join *j, const struct states *s, int state,
                     const struct cell *cell, struct sum *sum)
{
    int rows = j->p->nrows;
    size_t at = (size_t)state * (size_t)rows;
    for (int r = 0; r < rows; r++) {
        sum->key[r] = s->keys[at + (size_t)r] + cell->key[r];
        sum->low[r] = s->low[at + (size_t)r] + cell->low[r];
        sum->high[r] = s->high[at + (size_t)r] + cell->high[r];
    }
    sum->from = s->from[state] + cell->gap;
}

static void reach(struct join *j, int zones, const struct sum *sum)
{
    struct states *s = &j->states[zones];
    int rows = j->p->nrows;
    if (sum->from + loss_after(j, zones, sum->low, sum->high) > j->budget ||
        (s->n == s->room && !grow_states(j, s)))
        return;
    int slot = slot_of(j, s, sum->key), k = s->slots[slot] - 1;
    bool fresh = k < 0;
    if (fresh && s->n == STATES_MOST) {
        *j->p->work = 0;
        return;
    }
    if (fresh) {
        k = s->n++;
        s->slots[slot] = k + 1;
        memcpy(s->keys + (size_t)k * (size_t)rows, sum->key, sizeof *sum->key * (size_t)rows);
        s->from[k] = s->rest[k] = HUGE_VAL;
    }
    s->from[k] = fmin(s->from[k], sum->from);
    double *low = s->low + (size_t)k * (size_t)rows, *high = s->high + (size_t)k * (size_t)rows;
    for (int r = 0; r < rows; r++) {
        low[r] = fresh ? sum->low[r] : fmin(low[r], sum->low[r]);
        high[r] = fresh ? sum->high[r] : fmax(high[r], sum->high[r]);
    }
}

/* ---- cells --------------------------------------------------------------------------------- */

static int compare_entries(const void *pa, const void *pb)
{
    const struct entry *a = pa, *b = pb;
    int c = memcmp(a->key, b->key, sizeof a->key);
    if (c != 0)
        return c;
    return a->gap != b->gap ? (a->gap > b->gap ? 1 : -1)
                            : (a->index > b->index) - (a->index < b->index);
}

static int compare_cells(const void *pa, const void *pb)
{
    const struct cell *a = pa, *b = pb;
    return a->gap != b->gap ? (a->gap > b->gap ? 1 : -1)
                            : (a->first > b->first) - (a->first < b->first);
}

static bool make_cells(struct join *j, int z)
{
    struct zone_entries *zone = &j->zones[z];
    const struct fillings *list = &j->p->lists[zone->list];
    int rows = j->p->nrows;
    for (int e = 0; e < zone->n; e++)
        for (int r = 0; r < rows; r++) {
            double used = list->used[(size_t)zone->entries[e].index * (size_t)rows + (size_t)r];
            zone->entries[e].key[r] = (int)floor(used / j->unit[r] + 1e-6);
        }
    qsort(zone->entries, (size_t)zone->n, sizeof *zone->entries, compare_entries);
    zone->cells = ARENA_ARRAY(j->arena, struct cell, (size_t)zone->n);
    zone->ncells = 0;
    if (!zone->cells)
        return false;
    for (int e = 0; e < zone->n; e++) {
        const struct entry *entry = &zone->entries[e];
        if (e == 0 || memcmp(entry->key, entry[-1].key, sizeof entry->key) != 0) {
            struct cell *cell = &zone->cells[zone->ncells++];
            *cell = (struct cell){.gap = entry->gap, .least = HUGE_VAL, .first = e};
            memcpy(cell->key, entry->key, sizeof entry->key);
        }
        struct cell *cell = &zone->cells[zone->ncells - 1];
        const double *used = list->used + (size_t)entry->index * (size_t)rows;
        for (int r = 0; r < rows; r++) {
            cell->low[r] = cell->n > 0 ? fmin(cell->low[r], used[r]) : used[r];
            cell->high[r] = cell->n > 0 ? fmax(cell->high[r], used[r]) : used[r];
        }
        cell->n++;
    }
    qsort(zone->cells, (size_t)zone->ncells, sizeof *zone->cells, compare_cells);
    return true;
}

static void sum_rests(struct join *j)
{
    int rows = j->p->nrows, n = j->p->nzones;
    for (int r = 0; r < rows; r++)
        j->least_rest[n * rows + r] = j->most_rest[n * rows + r] = 0;
    for (int z = n - 1; z >= 0; z--)
        for (int r = 0; r < rows; r++) {
            double least = HUGE_VAL, most = -HUGE_VAL;
            for (int c = 0; c < j->zones[z].ncells; c++) {
                least = fmin(least, j->zones[z].cells[c].low[r]);
                most = fmax(most, j->zones[z].cells[c].high[r]);
            }
            j->least_rest[z * rows + r] = j->least_rest[(z + 1) * rows + r] + least;
            j->most_rest[z * rows + r] = j->most_rest[(z + 1) * rows + r] + most;
        }
}

/* ---- looking cells up ---------------------------------------------------------------------- */

static int compare_looked_up(const void *pa, const void *pb, void *row)
{
    const struct cell *a = pa, *b = pb;
    int ka = a->key[*(int *)row], kb = b->key[*(int *)row];
    return ka != kb ? (ka > kb ? 1 : -1) : compare_cells(pa, pb);
}

/* The row in which the zone's fillings that go with others are fewest: the one of which most is at
 * stake. -1: none. */
static int choose_look_up(const struct join *j, int z)
{
    const struct zone_entries *zone = &j->zones[z];
    double most = 0;
    int chosen = -1;
    for (int r = 0; r < j->p->nrows; r++) {
        double low = HUGE_VAL, high = -HUGE_VAL;
        for (int c = 0; c < zone->ncells; c++) {
            low = fmin(low, zone->cells[c].low[r]);
            high = fmax(high, zone->cells[c].high[r]);
        }
        double stake = j->p->rows[r].price * (high - low);
        if (stake <= most || j->profiles[r].levels == 0)
            continue;
        most = stake;
        chosen = r;
    }
    return chosen;
}

static void sort_cells(struct join *j, int z)
{
    struct zone_entries *zone = &j->zones[z];
    zone->look_up = choose_look_up(j, z);
    if (zone->look_up >= 0)
        qsort_r(zone->cells, (size_t)zone->ncells, sizeof *zone->cells, compare_looked_up,
                &zone->look_up);
}

/* Cells [*from, *to) of zone z that by its row may keep the loss within `loss` from a state on. */
static void look_up(const struct join *j, int z, int state, double loss, int *from, int *to)
{
    const struct zone_entries *zone = &j->zones[z];
    const struct states *s = &j->states[z];
    int r = zone->look_up, first = 0, last = -1, low = 0, high = zone->ncells;
    *from = 0;
    *to = zone->ncells;
    if (r < 0)
        return;
    const struct profile *f = &j->profiles[r];
    const double *rest = f->rest + (size_t)(z + 1) * (size_t)f->levels;
    while (first < f->levels && rest[first] > loss)
        first++;
    for (last = f->levels - 1; last >= first && rest[last] > loss;)
        last--;
    size_t at = (size_t)state * (size_t)j->p->nrows + (size_t)r;
    double least = f->low + first * f->unit - s->high[at],
           most = f->low + (last + 1) * f->unit - s->low[at];
    double key_low = floor(least / j->unit[r] - 1e-6) - 1,
           key_high = ceil(most / j->unit[r] + 1e-6);
    while (low < high) {
        int middle = (low + high) / 2;
        if (zone->cells[middle].key[r] < key_low)
            low = middle + 1;
        else
            high = middle;
    }
    *from = low;
    for (high = zone->ncells; low < high;) {
        int middle = (low + high) / 2;
        if (zone->cells[middle].key[r] <= key_high)
            low = middle + 1;
        else
            high = middle;
    }
    *to = last < first ? *from : low;
}

/* ---- a step of the grid -------------------------------------------------------------------- */

/* Whether there is still work to be done in this step. */
static bool work_left(struct join *j)
{
    if (*j->p->work % STEPS_ASKED == 0 && !j->p->go_on(j->p->data))
        j->stop = true;
    return --*j->p->work >= j->floor && !j->nomem && !j->stop;
}

/* All sums of cells, zone by zone. */
static void forward(struct join *j)
{
    const struct sum none = {0};
    reach(j, 0, &none);
    for (int z = 0; z + 1 < j->p->nzones; z++) {
        const struct states *s = &j->states[z];
        for (int k = 0; k < s->n; k++) {
            int from, to;
            look_up(j, z, k, j->budget - s->from[k], &from, &to);
            for (int c = from; c < to; c++) {
                const struct cell *cell = &j->zones[z].cells[c];
                struct sum sum = {0};
                if (s->from[k] + cell->gap > j->budget)
                    continue;
                if (!work_left(j))
                    return;
                add_cell(j, s, k, cell, &sum);
                reach(j, z + 1, &sum);
            }
        }
    }
}

/* What is lost from a state on when the next zone has this cell. */
static double rest_with(const struct join *j, int z, int state, const struct cell *cell, int *next)
{
    struct sum sum = {0};
    add_cell(j, &j->states[z], state, cell, &sum);
    *next = -1;
    if (z + 1 == j->p->nzones)
        return loss_after(j, z + 1, sum.low, sum.high);
    *next = find_state(j, &j->states[z + 1], sum.key);
    return *next >= 0 ? j->states[z + 1].rest[*next] : HUGE_VAL;
}

/* What is lost from each sum on, and with each cell. */
static void backward(struct join *j)
{
    for (int z = j->p->nzones - 1; z >= 0; z--) {
        struct states *s = &j->states[z];
        for (int k = 0; k < s->n; k++) {
            int from, to, next;
            look_up(j, z, k, j->budget - s->from[k], &from, &to);
            for (int c = from; c < to; c++) {
                struct cell *cell = &j->zones[z].cells[c];
                if (s->from[k] + cell->gap > j->budget)
                    continue;
                if (!work_left(j))
                    return;
                double rest = rest_with(j, z, k, cell, &next);
                s->rest[k] = fmin(s->rest[k], cell->gap + rest);
                cell->least = fmin(cell->least, s->from[k] + cell->gap + rest);
            }
        }
    }
}

/* Fillings that no plan within the budget can have are dropped. */
static void drop(struct join *j)
{
    for (int z = 0; z < j->p->nzones; z++) {
        struct zone_entries *zone = &j->zones[z];
        int kept = 0;
        for (int c = 0; c < zone->ncells; c++)
            for (int e = zone->cells[c].first; e < zone->cells[c].first + zone->cells[c].n; e++)
                zone->entries[e].cell = c;
        for (int e = 0; e < zone->n; e++) {
            const struct cell *cell = &zone->cells[zone->entries[e].cell];
            if (cell->least + zone->entries[e].gap - cell->gap <= j->budget)
                zone->entries[kept++] = zone->entries[e];
        }
        zone->n = kept;
    }
}

/* ---- plans --------------------------------------------------------------------------------- */

static void search(struct join *j, int z, int state, const double *used, double gap);

static void try_cell(struct join *j, int z, const struct cell *cell, int next, double rest,
                     const double *used, double gap)
{
    int rows = j->p->nrows, n = j->p->nzones;
    for (int e = cell->first; e < cell->first + cell->n && work_left(j); e++) {
        const struct entry *entry = &j->zones[z].entries[e];
        double sum[FILLINGS_ROWS_MAX] = {0}, loss = gap + entry->gap;
        if (loss + rest >= j->budget)
            break;
        const double *more =
            j->p->lists[j->zones[z].list].used + (size_t)entry->index * (size_t)rows;
        for (int r = 0; r < rows; r++)
            sum[r] = used[r] + more[r];
        j->chosen[j->zones[z].list] = entry->index;
        if (z + 1 < n) {
            search(j, z + 1, next, sum, loss);
            continue;
        }
        loss += loss_between(j, sum, sum);
        if (loss < j->budget && j->p->accept(j->p->data, j->chosen, loss, &j->stop))
            j->budget = loss;
    }
}

/* A cell to try, and what all plans with it lose at least. */
struct trial {
    const struct cell *cell;
    int next;
    double least, rest;
};

static int compare_trials(const void *pa, const void *pb)
{
    const struct trial *a = pa, *b = pb;
    return a->least != b->least ? (a->least > b->least ? 1 : -1)
                                : (a->cell > b->cell) - (a->cell < b->cell);
}

/* All plans with what is chosen of the zones before z, in the cells that matter: the most promising
 * ones first, as each plan found narrows the rest. */
static void search(struct join *j, int z, int state, const double *used, double gap)
{
    int from, to, n = 0;
    look_up(j, z, state, j->budget - gap, &from, &to);
    for (int c = from; c < to && work_left(j); c++) {
        struct trial t = {.cell = &j->zones[z].cells[c]};
        if (gap + t.cell->gap >= j->budget)
            continue;
        t.rest = rest_with(j, z, state, t.cell, &t.next);
        t.least = gap + t.cell->gap + t.rest;
        if (t.least < j->budget)
            j->trials[z][n++] = t;
    }
    qsort(j->trials[z], (size_t)n, sizeof *j->trials[z], compare_trials);
    for (int k = 0; k < n && work_left(j); k++) {
        const struct trial *t = &j->trials[z][k];
        if (t->least < j->budget)
            try_cell(j, z, t->cell, t->next, t->rest, used, gap);
    }
}

/* ---- the whole ----------------------------------------------------------------------------- */

/* Zones in which much is left come last: of the last one of all fillings are looked up. */
static void order_zones(struct join *j)
{
    for (int z = 1; z < j->p->nzones; z++)
        for (int k = z; k > 0 && j->zones[k - 1].n > j->zones[k].n; k--) {
            struct zone_entries zone = j->zones[k];
            j->zones[k] = j->zones[k - 1];
            j->zones[k - 1] = zone;
        }
}

/* The cells of all zones; false when a zone has none left. */
static bool lay_grid(struct join *j)
{
    order_zones(j);
    for (int z = 0; z < j->p->nzones; z++) {
        if (j->zones[z].n == 0) {
            j->least = j->budget;
            return false;
        }
        if (!make_cells(j, z)) {
            j->nomem = true;
            return false;
        }
    }
    sum_rests(j);
    for (int r = 0; r < j->p->nrows; r++)
        j->nomem = !make_profile(j, r) || j->nomem;
    for (int z = 0; z < j->p->nzones && !j->nomem; z++) {
        sort_cells(j, z);
        j->trials[z] = ARENA_ARRAY(j->arena, struct trial, (size_t)j->zones[z].ncells);
        j->nomem = !j->trials[z];
    }
    return !j->nomem;
}

/* One grid: bounds and drops, then looks for plans. false: no more is to be had. */
static bool step(struct join *j, bool *exact)
{
    const double none[FILLINGS_ROWS_MAX] = {0};
    for (int z = 0; z < j->p->nzones; z++)
        j->states[z] = (struct states){0};
    j->floor = 0;
    long before = *j->p->work;
    if (!lay_grid(j)) {
        *exact = !j->nomem;
        return false;
    }
    forward(j);
    backward(j);
    if (*j->p->work < j->floor || j->nomem || j->stop)
        return false;
    double least = j->states[0].n > 0 ? j->states[0].rest[0] : HUGE_VAL;
    j->least = fmax(j->least, fmin(least, j->budget));
    if (least < j->budget && !j->stop) {
        long most = SEARCH_LEAST + (long)(SEARCH_SHARE * (double)(before - *j->p->work));
        j->floor = *j->p->work > most ? *j->p->work - most : 0;
        search(j, 0, 0, none, 0);
    }
    *exact = least >= j->budget || (*j->p->work >= j->floor && !j->stop && !j->nomem);
    if (*exact)
        j->least = j->budget;
    drop(j);
    return !*exact && !j->stop && !j->nomem && *j->p->work > 0;
}

/* What all fillings together can come to of a row, from the least to the most. */
static double span_of(const struct join *j, int r)
{
    size_t rows = (size_t)j->p->nrows;
    double span = 0;
    for (int z = 0; z < j->p->nzones; z++) {
        const struct fillings *list = &j->p->lists[z];
        double least = HUGE_VAL, most = -HUGE_VAL;
        for (int k = 0; k < list->n; k++) {
            least = fmin(least, list->used[(size_t)k * rows + (size_t)r]);
            most = fmax(most, list->used[(size_t)k * rows + (size_t)r]);
        }
        span += fmax(0, most - least);
    }
    return span;
}

/* A cell of any row is worth the same: such a share of the budget. Of a row without a price there
 * are so many. */
static void lay_units(struct join *j, double share)
{
    for (int r = 0; r < j->p->nrows; r++) {
        const struct join_row *row = &j->p->rows[r];
        double span = span_of(j, r), unit = span * share / 2;
        if (row->price > TINY)
            unit = share * j->p->budget / row->price;
        unit = fmax(unit, fmax(span / SPAN_MOST, TINY));
        j->unit[r] = unit;
        if (row->unit <= 0)
            continue;
        j->unit[r] = row->unit;
        while (2 * j->unit[r] <= unit)
            j->unit[r] *= 2;
    }
}

static bool join_open(struct join *j, struct arena *arena)
{
    const struct join_problem *p = j->p;
    size_t zones = (size_t)p->nzones, rests = (zones + 1) * (size_t)(p->nrows + 1);
    j->zones = ARENA_ARRAY(arena, struct zone_entries, zones);
    j->states = ARENA_ARRAY(arena, struct states, zones + 1);
    j->least_rest = ARENA_ARRAY(arena, double, rests);
    j->most_rest = ARENA_ARRAY(arena, double, rests);
    j->chosen = ARENA_ARRAY(arena, int, zones);
    j->trials = ARENA_ARRAY(arena, struct trial *, zones);
    if (!j->zones || !j->states || !j->least_rest || !j->most_rest || !j->chosen || !j->trials)
        return false;
    for (int z = 0; z < p->nzones; z++) {
        const struct fillings *list = &p->lists[z];
        j->zones[z] = (struct zone_entries){
            .list = z, .entries = ARENA_ARRAY(arena, struct entry, (size_t)list->n)};
        if (!j->zones[z].entries)
            return false;
        for (int k = 0; k < list->n; k++)
            if (list->gap[k] <= p->budget)
                j->zones[z].entries[j->zones[z].n++] =
                    (struct entry){.index = k, .gap = list->gap[k]};
    }
    return true;
}

hr_status join_least(const struct join_problem *problem, struct arena *arena,
                     struct join_result *out)
{
    struct join j = {.p = problem, .budget = problem->budget};
    *out = (struct join_result){0};
    if (!join_open(&j, arena))
        return HR_NOMEM;
    double share = SHARE_FIRST;
    bool more = true;
    for (int k = 0; k < STEPS_MOST && more; k++) {
        j.arena = arena_new(ARENA_CAP_DEFAULT);
        if (!j.arena)
            return HR_NOMEM;
        lay_units(&j, share);
        more = step(&j, &out->exact);
        share /= 2;
        arena_free(j.arena);
    }
    out->least = fmin(j.least, j.budget);
    return j.nomem ? HR_NOMEM : HR_OK;
}
