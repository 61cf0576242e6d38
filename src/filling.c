/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "filling.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define CELLS_MAX      50000     /* of a zone's depth; deeper zones have a coarser grid */
#define CHOICES_MAX    (1 << 24) /* entries of the table of choices */
#define FINER          4         /* a grid that turns out too coarse is made so much finer */
#define GRID_GAP       2e-4      /* relative: a coarser grid is too coarse */
#define ROUNDING_MOST  1e-3      /* of a line's depth that a grid may take or give */
#define SLACK_M        1e-9      /* as the program gives depth and length */
#define LINE_NODES     20000     /* of the search for one shared line */
#define LINE_TOLERANCE 2e-4      /* of what the best line of the zone is worth */

/* What an item's lines are worth: the first, each even one, each further odd one. */
struct lines {
    int item;
    double first, even, odd;
    int first_cells, line_cells;
    int end_cells[2]; /* of the first line at the start or the end of the zone: first_cells, less
                         what may lie beyond */
    bool staggered;   /* or otherwise of two kinds of lines */
    bool single;      /* never more than one line */
};

/* A way to make up the shared line out of so many parts: the best found. */
struct shared {
    int places, nparts;
    int items[SHARED_PARTS_MAX], stations[SHARED_PARTS_MAX];
    double depth_m, value, bound;
};

/* One item as a part of the shared line. */
struct part_worth {
    int item, seed, least, most;
    double station, once, pitch_m, depth_m;
};

struct filler {
    const struct program *m;
    int *blocks;     /* per zone: no filling has more */
    int *first_item; /* per zone, and the end */
    int *ends;       /* per zone: bit 0 that something may lie beyond its start, bit 1 its end */
    double *grid_m;  /* per zone: a cell of its depth */
    size_t table_most;
    size_t items_most;
    double *best; /* [ends][blocks + 1][cells]: worth of so many blocks within so much depth, when
                   * only those of the zone's ends are taken */
    double *odd, *even;
    unsigned short *odd_n, *even_n;
    unsigned short *choice; /* [lines][ends][blocks + 1][cells]: lines taken, 0 for none */
    unsigned short *place;  /* as choice: where they stand; NULL: always within */
    struct lines *lines;
    struct part_worth *parts;
    struct shared *shared; /* by depth and number of parts */
    int nlines, nparts, nshared;
    int nplain; /* lines of which nothing may lie beyond an end; they come first */
    unsigned short *shared_choice; /* [blocks + 1][cells]: index in shared + 1 */
};

/* ---- the grid ------------------------------------------------------------------------------ */

static double rounding(double depth_m, double grid_m)
{
    double cells = depth_m / grid_m;
    return fabs(cells - round(cells)) / cells;
}

/* How many sets of ends the tables of a zone tell apart. */
static int end_sets(const struct filler *f, size_t z)
{
    return f->ends[z] == 3 ? 4 : f->ends[z] > 0 ? 2 : 1;
}

/* Of a zone with one end or both: which of its sets has that end alone, 0: none. */
static int end_set(const struct filler *f, size_t z, int end)
{
    int bit = 1 << end;
    return (f->ends[z] & bit) == 0 ? 0 : f->ends[z] == 3 ? bit : 1;
}

/* Blocks that have room in the zone: its depth in the narrowest lines, one line shared. */
static int blocks_of(const struct filler *f, size_t z)
{
    const struct zone *zone = &f->m->zones->items[z];
    double narrow = HUGE_VAL, depth = zone->depth_m + zone->over_m[0] + zone->over_m[1];
    for (int i = f->first_item[z]; i < f->first_item[z + 1]; i++)
        narrow = fmin(narrow, program_planting(f->m, i)->first_m);
    int most = program_blocks(f->m);
    double room = floor((depth + SLACK_M) / narrow) - 1 + SHARED_PARTS_MAX;
    return room < most ? (int)fmax(0, room) : most;
}

/* Cells that the tables have room for. */
static double cells_most(const struct filler *f, size_t z)
{
    int items = f->first_item[z + 1] - f->first_item[z];
    return fmin(CELLS_MAX,
                (double)CHOICES_MAX / ((items + 1.0) * (f->blocks[z] + 1.0) * end_sets(f, z))) -
           2;
}

/* The coarsest grid that meets the depths of all lines of the zone well. */
static double grid_of(const struct filler *f, size_t z)
{
    static const double grids_m[] = {0.0508,  0.05,  0.0254,  0.025, 0.0127, 0.01,
                                     0.00508, 0.005, 0.00254, 0.002, 0.001}; /* inches, too */
    const struct program *m = f->m;
    double grid = 0.001;
    for (size_t g = 0; g < sizeof grids_m / sizeof *grids_m; g++) {
        bool good = true;
        for (int i = f->first_item[z]; i < f->first_item[z + 1] && good; i++) {
            const struct planting *p = program_planting(m, i);
            good = rounding(p->line_m, grids_m[g]) <= ROUNDING_MOST &&
                   rounding(p->first_m, grids_m[g]) <= ROUNDING_MOST;
        }
        if (good) {
            grid = grids_m[g];
            break;
        }
    }
    return fmax(grid, m->zones->items[z].depth_m / cells_most(f, z));
}

static int cells_of(const struct filler *f, size_t z)
{
    return (int)floor((f->m->zones->items[z].depth_m + SLACK_M) / f->grid_m[z] + 1e-6);
}

static int in_cells(double depth_m, double grid_m, bool up)
{
    double cells = depth_m / grid_m;
    return (int)(up ? ceil(cells - 1e-6) : floor(cells + 1e-6));
}

static void measure(struct filler *f)
{
    const struct program *m = f->m;
    int i = 0;
    for (size_t z = 0; z < m->zones->n; z++) {
        f->first_item[z] = i;
        while (i < m->menu->nitems && m->menu->items[i].zone == (int)z)
            i++;
        f->first_item[z + 1] = i;
        for (int k = f->first_item[z]; k < i; k++)
            f->ends[z] |= (m->col_b[0][k] >= 0 ? 1 : 0) | (m->col_b[1][k] >= 0 ? 2 : 0);
        f->blocks[z] = blocks_of(f, z);
        f->grid_m[z] = grid_of(f, z);
        size_t table = (size_t)CELLS_MAX * (size_t)(f->blocks[z] + 1) * (size_t)end_sets(f, z);
        size_t items = (size_t)(i - f->first_item[z]);
        f->table_most = table > f->table_most ? table : f->table_most;
        f->items_most = items > f->items_most ? items : f->items_most;
    }
}

struct filler *filler_new(const struct program *m, struct arena *arena)
{
    struct filler *f = ARENA_NEW(arena, struct filler);
    if (!f)
        return NULL;
    f->m = m;
    f->blocks = ARENA_ARRAY(arena, int, m->zones->n);
    f->first_item = ARENA_ARRAY(arena, int, m->zones->n + 1);
    f->ends = ARENA_ARRAY(arena, int, m->zones->n);
    f->grid_m = ARENA_ARRAY(arena, double, m->zones->n);
    if (!f->ends || !f->blocks || !f->first_item || !f->grid_m)
        return NULL;
    measure(f);
    f->best = ARENA_ARRAY(arena, double, f->table_most);
    f->odd = ARENA_ARRAY(arena, double, CELLS_MAX);
    f->even = ARENA_ARRAY(arena, double, CELLS_MAX);
    f->odd_n = ARENA_ARRAY(arena, unsigned short, CELLS_MAX);
    f->even_n = ARENA_ARRAY(arena, unsigned short, CELLS_MAX);
    f->choice = ARENA_ARRAY(arena, unsigned short, CHOICES_MAX);
    bool any_end = false;
    for (size_t z = 0; z < m->zones->n; z++)
        any_end = any_end || f->ends[z] > 0;
    f->place = any_end ? ARENA_ARRAY(arena, unsigned short, CHOICES_MAX) : NULL;
    f->lines = ARENA_ARRAY(arena, struct lines, f->items_most);
    f->parts = ARENA_ARRAY(arena, struct part_worth, f->items_most);
    f->shared = ARENA_ARRAY(arena, struct shared, f->items_most * SHARED_PARTS_MAX);
    f->shared_choice = ARENA_ARRAY(arena, unsigned short, f->table_most);
    bool whole = f->best && f->odd && f->even && f->odd_n && f->even_n && f->choice && f->lines &&
                 f->parts && f->shared && f->shared_choice && (f->place || !any_end);
    return whole ? f : NULL;
}

/* ---- lines worth a look -------------------------------------------------------------------- */

/* Whether at the ends of a zone, too, lines of b can stand for those of a. Two blocks of b that
 * stand at both ends cannot be made one. */
static bool beats_at_ends(const struct lines *b, const struct lines *a)
{
    for (int end = 0; end < 2; end++)
        if (a->end_cells[end] < a->first_cells &&
            (b->end_cells[end] > a->end_cells[end] || b->end_cells[1 - end] < b->first_cells))
            return false;
    return true;
}

/* Whether lines like those of b can do all that those of a can, at no less worth. Of rows: then any
 * blocks of a, too, had better be lines of b, as two blocks of b make one. */
static bool beats(const struct lines *b, const struct lines *a)
{
    return !a->staggered && !b->staggered && !b->single && b->line_cells <= a->line_cells &&
           b->first_cells <= a->first_cells && b->first >= a->first && b->even >= a->even &&
           b->first <= b->even && beats_at_ends(b, a);
}

static bool plain(const struct lines *l)
{
    return l->end_cells[0] >= l->first_cells && l->end_cells[1] >= l->first_cells;
}

/* Puts lines of which nothing may lie beyond an end before the others, in their order. */
static void plain_first(struct filler *f)
{
    f->nplain = 0;
    for (int k = 0; k < f->nlines; k++) {
        struct lines l = f->lines[k];
        if (!plain(&l))
            continue;
        memmove(f->lines + f->nplain + 1, f->lines + f->nplain, sizeof l * (size_t)(k - f->nplain));
        f->lines[f->nplain++] = l;
    }
}

static void list_lines(struct filler *f, size_t z, const double *worth, bool up)
{
    const struct program *m = f->m;
    int n = 0;
    for (int i = f->first_item[z]; i < f->first_item[z + 1]; i++) {
        const struct item *item = &m->menu->items[i];
        const struct planting *p = program_planting(m, i);
        double line = worth[m->col_n[i]], q = m->col_q[i] >= 0 ? worth[m->col_q[i]] : 0;
        struct lines l = {.item = i,
                          .first = line + q + worth[m->col_y[i]],
                          .even = line,
                          .odd = line + q,
                          .first_cells = in_cells(p->first_m, f->grid_m[z], up),
                          .line_cells = in_cells(p->line_m, f->grid_m[z], up),
                          .staggered = m->col_q[i] >= 0,
                          .single = item->most_lines == 1};
        for (int end = 0; end < 2; end++)
            l.end_cells[end] = in_cells(p->first_m - item->over_m[end], f->grid_m[z], up);
        int pairs = item->most_lines / 2;
        double best = l.first + pairs * fmax(0, fmax(l.even, l.even + l.odd)) + fmax(0, l.even);
        if (best <= 0)
            continue;
        bool beaten = false;
        for (int k = 0; k < n && !beaten; k++)
            beaten = beats(&f->lines[k], &l);
        if (beaten)
            continue;
        int kept = 0;
        for (int k = 0; k < n; k++)
            if (!beats(&l, &f->lines[k]))
                f->lines[kept++] = f->lines[k];
        n = kept;
        f->lines[n++] = l;
    }
    f->nlines = n;
    plain_first(f);
}

/* ---- the shared line ----------------------------------------------------------------------- */

static int compare_parts(const void *pa, const void *pb)
{
    const struct part_worth *a = pa, *b = pb;
    double da = a->station / a->pitch_m, db = b->station / b->pitch_m;
    return da != db ? (da < db ? 1 : -1) : (a->item > b->item) - (a->item < b->item);
}

static void list_parts(struct filler *f, size_t z, const double *worth)
{
    const struct program *m = f->m;
    f->nparts = 0;
    for (int i = f->first_item[z]; i < f->first_item[z + 1]; i++) {
        if (m->col_s[i] < 0)
            continue;
        const struct planting *p = program_planting(m, i);
        struct part_worth w = {.item = i,
                               .seed = p->parts[0].seed_index,
                               .least = planting_least_shared(p),
                               .most = m->menu->items[i].stations[0],
                               .station = worth[m->col_s[i]],
                               .once = worth[m->col_w[i]],
                               .pitch_m = p->pitch_m,
                               .depth_m = p->first_m};
        if (w.most >= w.least && fmax(w.station * w.least, w.station * w.most) + w.once > 0)
            f->parts[f->nparts++] = w;
    }
    qsort(f->parts, (size_t)f->nparts, sizeof *f->parts, compare_parts);
}

/* The search for the best line of at most so many parts, none deeper than depth_m. */
struct line_search {
    const struct filler *f;
    double depth_m, tolerance;
    double cut; /* the most that was passed over for the tolerance or for want of nodes */
    long nodes;
    struct shared now, best;
};

static double density(const struct part_worth *w)
{
    return fmax(0, w->station / w->pitch_m);
}

static bool variety_in(const struct line_search *s, int seed)
{
    for (int k = 0; k < s->now.nparts; k++)
        if (program_planting(s->f->m, s->now.items[k])->parts[0].seed_index == seed)
            return true;
    return false;
}

/* No part from `at` on, in `length_m`, brings more than this. */
static double rest(const struct line_search *s, int at, double length_m)
{
    while (at < s->f->nparts && s->f->parts[at].depth_m > s->depth_m + SLACK_M)
        at++;
    return at < s->f->nparts ? length_m * density(&s->f->parts[at]) : 0;
}

/* Parts from `at` on, by density. Extra worth of having a part at all is small and counted whole
 * once for each place left. */
static void search_line(struct line_search *s, int at, int places, double length_m, double extra)
{
    if (s->now.value > s->best.value)
        s->best = s->now;
    for (; at < s->f->nparts && places > 0; at++) {
        const struct part_worth *w = &s->f->parts[at];
        double most = s->now.value + rest(s, at, length_m) + places * extra;
        if (most <= s->best.value + s->tolerance || ++s->nodes > LINE_NODES) {
            s->cut = fmax(s->cut, most);
            return;
        }
        int fit = (int)floor((length_m + SLACK_M) / w->pitch_m + 1e-9);
        fit = fit < w->most ? fit : w->most;
        if (w->depth_m > s->depth_m + SLACK_M || fit < w->least || variety_in(s, w->seed))
            continue;
        double before = s->now.value;
        int place = s->now.nparts++;
        s->now.items[place] = w->item;
        for (int n = fit; n >= w->least; n--) {
            double left = length_m - n * w->pitch_m, value = before + n * w->station + w->once;
            most = value + rest(s, at + 1, left) + (places - 1) * extra;
            if (n < fit && most <= s->best.value + s->tolerance && w->station >= 0) {
                s->cut = fmax(s->cut, most);
                if (density(w) >= rest(s, at + 1, 1))
                    break;
                continue;
            }
            s->now.stations[place] = n;
            s->now.value = value;
            search_line(s, at + 1, places - 1, left, extra);
        }
        s->now.nparts--;
        s->now.value = before;
    }
}

/* The best shared lines: for each depth, and each number of parts, one that is better than those
 * less deep and with fewer parts. */
static void list_shared(struct filler *f, size_t z)
{
    double length = f->m->zones->items[z].length_m, extra = 0, top = 0;
    f->nshared = 0;
    for (int k = 0; k < f->nparts; k++) {
        extra = fmax(extra, f->parts[k].once);
        top = fmax(top, length * density(&f->parts[k]));
    }
    int most = f->blocks[z] < SHARED_PARTS_MAX ? f->blocks[z] : SHARED_PARTS_MAX;
    double last = 0;
    for (;;) {
        double depth = HUGE_VAL; /* the next one */
        for (int k = 0; k < f->nparts; k++)
            if (f->parts[k].depth_m > last + SLACK_M)
                depth = fmin(depth, f->parts[k].depth_m);
        if (isinf(depth) || depth > f->m->zones->items[z].depth_m + SLACK_M)
            return;
        last = depth;
        for (int places = 1; places <= most; places++) {
            struct line_search s = {.f = f, .depth_m = depth, .tolerance = LINE_TOLERANCE * top};
            search_line(&s, 0, places, length, extra);
            s.best.bound = fmax(s.best.value, s.cut);
            s.best.depth_m = depth;
            bool better = s.best.value > 0 || s.best.bound > 0;
            for (int k = 0; k < f->nshared && better; k++)
                better = f->shared[k].places > places || f->shared[k].value < s.best.value ||
                         f->shared[k].bound < s.best.bound;
            s.best.places = places;
            if (better)
                f->shared[f->nshared++] = s.best;
        }
    }
}

/* ---- the knapsack -------------------------------------------------------------------------- */

/* best[b][d] for the shared line alone. */
static void begin_table(struct filler *f, size_t z, int cells, bool up)
{
    size_t width = (size_t)cells;
    memset(f->best, 0, sizeof *f->best * width * (size_t)(f->blocks[z] + 1));
    memset(f->shared_choice, 0, sizeof *f->shared_choice * width * (size_t)(f->blocks[z] + 1));
    for (int k = 0; k < f->nshared; k++) {
        double value = up ? f->shared[k].value : f->shared[k].bound;
        for (int b = f->shared[k].places; b <= f->blocks[z]; b++)
            for (int d = in_cells(f->shared[k].depth_m, f->grid_m[z], up); d < cells; d++)
                if (value > f->best[(size_t)b * width + (size_t)d]) {
                    f->best[(size_t)b * width + (size_t)d] = value;
                    f->shared_choice[(size_t)b * width + (size_t)d] = (unsigned short)(k + 1);
                }
    }
}

/* Where a block stands. */
enum { WITHIN, AT_START, AT_END };

/* Adds a block of these lines, of as many as pay, to what fewer blocks (`from`) leave room for. */
static void add_lines(struct filler *f, const struct lines *l, int place, int cells,
                      const double *from, double *to, size_t choice)
{
    const int line = l->line_cells;
    const int first = place == WITHIN ? l->first_cells : l->end_cells[place - AT_START];
    unsigned short *lines = f->choice + choice, *places = f->place ? f->place + choice : NULL;
    for (int d = 0; d < cells; d++) {
        double odd = -HUGE_VAL, even = -HUGE_VAL;
        unsigned short odd_n = 0, even_n = 0;
        if (d >= first) {
            odd = from[d - first] + l->first;
            odd_n = 1;
        }
        if (d >= line && !l->single) {
            even = f->odd[d - line] + l->even;
            even_n = (unsigned short)(f->odd_n[d - line] + 1);
            if (f->even[d - line] + l->odd > odd) {
                odd = f->even[d - line] + l->odd;
                odd_n = (unsigned short)(f->even_n[d - line] + 1);
            }
        }
        f->odd[d] = odd;
        f->even[d] = even;
        f->odd_n[d] = odd_n;
        f->even_n[d] = even_n;
        double best = odd > even ? odd : even;
        if (best > to[d]) {
            to[d] = best;
            lines[d] = odd > even ? odd_n : even_n;
            if (places)
                places[d] = (unsigned short)place;
        }
    }
}

/* Adds a block of these lines to fillings of so many blocks that may take these ends. */
static void add_block(struct filler *f, size_t z, const struct lines *l, int cells, int set, int b,
                      size_t choice)
{
    size_t width = (size_t)cells, table = width * (size_t)(f->blocks[z] + 1);
    size_t to = (size_t)set * table + (size_t)b * width;
    add_lines(f, l, WITHIN, cells, f->best + to - width, f->best + to, choice + to);
    for (int end = 0; end < 2; end++) {
        int mine = end_set(f, z, end);
        size_t from = (size_t)(set ^ mine) * table + (size_t)(b - 1) * width;
        if ((set & mine) != 0 && l->end_cells[end] < l->first_cells)
            add_lines(f, l, AT_START + end, cells, f->best + from, f->best + to, choice + to);
    }
}

/* Fills the tables; the worth of the best filling. Lines of which nothing may lie beyond an end are
 * the same to all sets of ends: one table does for them. */
static double knapsack(struct filler *f, size_t z, const double *worth, bool up)
{
    int cells = cells_of(f, z) + 1, sets = end_sets(f, z);
    size_t table = (size_t)cells * (size_t)(f->blocks[z] + 1);
    list_lines(f, z, worth, up);
    list_parts(f, z, worth);
    list_shared(f, z);
    begin_table(f, z, cells, up);
    memset(f->choice, 0, sizeof *f->choice * table * (size_t)sets * (size_t)f->nlines);
    for (int k = 0; k < f->nlines; k++) {
        for (int set = 1; k == f->nplain && set < sets; set++)
            memcpy(f->best + (size_t)set * table, f->best, sizeof *f->best * table);
        for (int b = f->blocks[z]; b > 0; b--)
            for (int set = 0; set < (k < f->nplain ? 1 : sets); set++)
                add_block(f, z, &f->lines[k], cells, set, b, (size_t)k * (size_t)sets * table);
    }
    return f->best[f->nplain < f->nlines ? (size_t)sets * table - 1 : table - 1];
}

double filling_bound(struct filler *filler, size_t z, const double *worth)
{
    for (;;) {
        double up = knapsack(filler, z, worth, true), down = knapsack(filler, z, worth, false);
        double finer = filler->grid_m[z] / FINER;
        if (down - up <= GRID_GAP * fabs(up) ||
            filler->m->zones->items[z].depth_m / finer > cells_most(filler, z))
            return down;
        filler->grid_m[z] = finer;
    }
}

/* ---- from the tables to columns ------------------------------------------------------------ */

static void put(struct filling *x, int column, double value)
{
    if (column < 0 || value == 0)
        return;
    int at = x->n++;
    for (; at > 0 && x->columns[at - 1] > column; at--) {
        x->columns[at] = x->columns[at - 1];
        x->x[at] = x->x[at - 1];
    }
    x->columns[at] = column;
    x->x[at] = value;
}

static void put_shared(const struct filler *f, size_t z, const struct shared *s, struct filling *x)
{
    const struct program *m = f->m;
    double depth = 0;
    for (int k = 0; k < s->nparts; k++) {
        put(x, m->col_s[s->items[k]], s->stations[k]);
        put(x, m->col_w[s->items[k]], 1);
        depth = fmax(depth, program_planting(m, s->items[k])->first_m);
    }
    put(x, m->col_d[z], depth);
    put(x, m->col_v[z], s->nparts > 0);
}

static void trace_back(const struct filler *f, size_t z, struct filling *x)
{
    const struct program *m = f->m;
    int cells = cells_of(f, z) + 1, d = cells - 1, b = f->blocks[z];
    int sets = end_sets(f, z), set = f->nplain < f->nlines ? sets - 1 : 0;
    size_t width = (size_t)cells, table = width * (size_t)(f->blocks[z] + 1);
    for (int k = f->nlines - 1; k >= 0; k--) {
        const struct lines *l = &f->lines[k];
        set = k < f->nplain ? 0 : set;
        size_t at =
            ((size_t)k * (size_t)sets + (size_t)set) * table + (size_t)b * width + (size_t)d;
        int n = f->choice[at], place = f->place ? f->place[at] : WITHIN;
        if (n == 0)
            continue;
        d -= (n - 1) * l->line_cells;
        d -= place == WITHIN ? l->first_cells : l->end_cells[place - AT_START];
        if (place != WITHIN) {
            set ^= end_set(f, z, place - AT_START);
            put(x, m->col_b[place - AT_START][l->item], 1);
        }
        put(x, m->col_n[l->item], n);
        put(x, m->col_y[l->item], 1);
        put(x, m->col_q[l->item], planting_odd_lines(n));
        b--;
    }
    int shared = f->shared_choice[(size_t)b * width + (size_t)d];
    if (shared > 0)
        put_shared(f, z, &f->shared[shared - 1], x);
}

hr_status filling_best(struct filler *filler, size_t z, const double *worth, struct arena *arena,
                       struct filling *out, double *value)
{
    double best = knapsack(filler, z, worth, true);
    size_t most = 4 * (size_t)filler->blocks[z] + 2;
    struct filling x = {0, ARENA_ARRAY(arena, int, most), ARENA_ARRAY(arena, double, most)};
    if (!x.columns || !x.x)
        return HR_NOMEM;
    trace_back(filler, z, &x);
    *out = x;
    *value = best;
    return HR_OK;
}
