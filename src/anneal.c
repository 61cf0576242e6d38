/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "anneal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"

#define BLOCKS_MAX   24   /* of one zone: what `blocks` of the garden file allows, and some */
#define SLACK_M      1e-9 /* as the program gives depth and length */
#define KEPT         1e-9 /* relative: a row broken by less is kept */
#define COOL         2e-3 /* the last heat, as a share of the first */
#define PRICED       0.15 /* of the goal: by its rows at their prices, not by the least of them */
#define BREACH_FIRST 0.5  /* a row broken by its whole side costs so much of the goal at first */
#define BREACH_WARM  3    /* where it begins with a plan */
#define BREACH_LAST  20
#define STEPS_ASKED  2048 /* after so many steps the caller is asked, and sums are made anew */

/* One block, or one part of a shared line. */
struct share {
    int item, count; /* lines, or stations */
};

/* What stands in a zone. */
struct patch {
    int nblocks, nparts;
    struct share blocks[BLOCKS_MAX], parts[SHARED_PARTS_MAX];
};

/* What the search has to know of an item, at hand. */
struct kind {
    double first_m, line_m, pitch_m;
    int most_lines, most_stations, least_stations;
    int variety; /* of its first part */
    int slot, turn;
};

struct entry {
    int tie;
    double value;
};

/* A row that ties zones together. */
struct tie {
    double lower, upper, scale; /* by which a breach is measured */
    double sum;                 /* over the columns of zones, and of u */
    double e, a;                /* coefficients of E and A */
    double weight;              /* of a row of the goal: its price; the sum of them is 1 */
    bool goal, whole;           /* whole: E or A themselves */
};

/* The search. */
struct bench {
    const struct program *m;
    const struct anneal_options *options;
    struct tie *ties;
    int nties, tie_e, tie_a; /* -1 without */
    int *first;              /* per column: its first entry, and the end */
    struct entry *entries;
    double *worth;      /* per column, at the prices */
    int *users;         /* per column u: blocks and parts that use the variety there */
    struct kind *kinds; /* per item */
    int *order;         /* items by zone, those of most worth for their ground first */
    int *parts_order;   /* the same of those that take part in shared lines */
    int *from;          /* per zone: its first in order, and the end */
    int *parts_from, *parts_n;
    size_t *open; /* zones that may be planted */
    int nopen;
    struct patch *patches, *best; /* per zone */
    double *turn_depth;           /* scratch: per turn and slot */
    double tiebreak;              /* what blocks cost */
    double goal, broken;          /* of the last judgement */
    double reference, breach;
    double best_goal;
    bool found;
    unsigned long random;
};

static int random_below(struct bench *b, int n)
{
    int i = (int)(num_random(&b->random) * n);
    return i < n ? i : n - 1;
}

/* fmax is a call, as it has to mind what is not a number. */
static double larger(double a, double b)
{
    return a > b ? a : b;
}

/* ---- sums ---------------------------------------------------------------------------------- */

static void add_column(struct bench *b, int column, double x)
{
    if (column < 0 || x == 0)
        return;
    b->tiebreak += b->m->mip.columns[column].objective * x;
    for (int e = b->first[column]; e < b->first[column + 1]; e++)
        b->ties[b->entries[e].tie].sum += b->entries[e].value * x;
}

/* A block or a part more (sign 1) or less that has the item's varieties in its plot. */
static void use(struct bench *b, int i, int sign)
{
    const struct planting *p = program_planting(b->m, i);
    for (int k = 0; k < p->nparts; k++) {
        int u = b->m->col_u[(size_t)p->parts[k].seed_index * b->m->garden->plots.n +
                            (size_t)program_zone(b->m, i)->plot];
        if (u < 0)
            continue;
        if (b->users[u] == (sign < 0 ? 1 : 0))
            add_column(b, u, sign);
        b->users[u] += sign;
    }
}

static void add_block(struct bench *b, const struct share *s, int sign)
{
    const struct program *m = b->m;
    add_column(b, m->col_n[s->item], sign * s->count);
    add_column(b, m->col_q[s->item], sign * planting_odd_lines(s->count));
    add_column(b, m->col_y[s->item], sign);
    use(b, s->item, sign);
}

static void add_part(struct bench *b, const struct share *s, int sign)
{
    add_column(b, b->m->col_s[s->item], sign * s->count);
    add_column(b, b->m->col_w[s->item], sign);
    use(b, s->item, sign);
}

static double shared_depth(const struct bench *b, const struct patch *p)
{
    double depth = 0;
    for (int k = 0; k < p->nparts; k++)
        depth = larger(depth, b->kinds[p->parts[k].item].first_m);
    return depth;
}

/* From one block to another in its place; NULL: none. */
static void replace_block(struct bench *b, const struct share *from, const struct share *to)
{
    const struct program *m = b->m;
    if (from && to && from->item == to->item) {
        int odd = planting_odd_lines(to->count) - planting_odd_lines(from->count);
        add_column(b, m->col_n[to->item], to->count - from->count);
        add_column(b, m->col_q[to->item], odd);
        return;
    }
    if (from)
        add_block(b, from, -1);
    if (to)
        add_block(b, to, 1);
}

static void replace_part(struct bench *b, const struct share *from, const struct share *to)
{
    if (from && to && from->item == to->item) {
        add_column(b, b->m->col_s[to->item], to->count - from->count);
        return;
    }
    if (from)
        add_part(b, from, -1);
    if (to)
        add_part(b, to, 1);
}

/* The zone's ground goes from one patch to another; only what differs is touched. */
static void replace(struct bench *b, size_t z, const struct patch *from, const struct patch *to)
{
    for (int k = 0; k < from->nblocks || k < to->nblocks; k++)
        replace_block(b, k < from->nblocks ? &from->blocks[k] : NULL,
                      k < to->nblocks ? &to->blocks[k] : NULL);
    for (int k = 0; k < from->nparts || k < to->nparts; k++)
        replace_part(b, k < from->nparts ? &from->parts[k] : NULL,
                     k < to->nparts ? &to->parts[k] : NULL);
    add_column(b, b->m->col_d[z], shared_depth(b, to) - shared_depth(b, from));
    add_column(b, b->m->col_v[z], (to->nparts > 0) - (from->nparts > 0));
}

static bool same(const struct patch *a, const struct patch *b)
{
    return a->nblocks == b->nblocks && a->nparts == b->nparts &&
           memcmp(a->blocks, b->blocks, sizeof *a->blocks * (size_t)a->nblocks) == 0 &&
           memcmp(a->parts, b->parts, sizeof *a->parts * (size_t)a->nparts) == 0;
}

/* Judges what stands: the goal as it is, and what the search goes by, less where ties are broken.
 */
static double judge(struct bench *b)
{
    double least = HUGE_VAL, priced = 0, broken = 0;
    double e = b->tie_e >= 0 ? b->ties[b->tie_e].sum : 0;
    double a = b->tie_a >= 0 ? b->ties[b->tie_a].sum : 0;
    for (int t = 0; t < b->nties; t++) {
        const struct tie *tie = &b->ties[t];
        if (tie->goal) {
            least = tie->sum < least ? tie->sum : least;
            priced += tie->weight * tie->sum;
            continue;
        }
        double sum = tie->sum + tie->e * e + tie->a * a;
        double breach = larger(tie->lower - sum, sum - tie->upper);
        if (breach > KEPT * tie->scale && !tie->whole)
            broken += breach / tie->scale;
    }
    b->goal = least + b->tiebreak;
    b->broken = broken;
    return (1 - PRICED) * least + PRICED * priced + b->tiebreak - b->breach * b->reference * broken;
}

static void sum_anew(struct bench *b)
{
    static const struct patch bare;
    for (int t = 0; t < b->nties; t++) /* what stands already is on the sides of these rows */
        b->ties[t].sum = b->ties[t].goal || b->ties[t].whole ? 0 - b->ties[t].lower : 0;
    b->tiebreak = 0;
    memset(b->users, 0, sizeof *b->users * (size_t)b->m->mip.ncolumns);
    for (int k = 0; k < b->nopen; k++)
        replace(b, b->open[k], &bare, &b->patches[b->open[k]]);
    for (size_t g = 0; g < b->m->zones->ngrounds; g++)
        for (int k = 0; k < b->nopen && b->m->col_o[g] >= 0; k++)
            if (program_way(b->m, b->open[k]) == b->m->col_o[g]) {
                add_column(b, b->m->col_o[g], 1);
                break;
            }
}

/* ---- patches ------------------------------------------------------------------------------- */

/* Ground across the zone that the patch takes. */
static double depth_of(const struct bench *b, const struct patch *p)
{
    int turns = b->m->menu->nturns;
    double depth = shared_depth(b, p), *turned = b->turn_depth;
    for (int t = 0; t < turns * SLOT_COUNT; t++)
        turned[t] = 0;
    for (int k = 0; k < p->nblocks; k++) {
        const struct kind *kind = &b->kinds[p->blocks[k].item];
        double block = kind->first_m + (p->blocks[k].count - 1) * kind->line_m;
        if (kind->slot == SLOT_WHOLE)
            depth += block;
        else
            turned[kind->turn * SLOT_COUNT + kind->slot] += block;
    }
    for (int t = 0; t < turns; t++)
        depth += larger(turned[t * SLOT_COUNT + SLOT_FIRST], turned[t * SLOT_COUNT + SLOT_SECOND]);
    return depth;
}

static double length_of(const struct bench *b, const struct patch *p)
{
    double length = 0;
    for (int k = 0; k < p->nparts; k++)
        length += b->kinds[p->parts[k].item].pitch_m * p->parts[k].count;
    return length;
}

/* What two of the patch's blocks, or one, may have beyond the ends of the zone. */
static double over_of(const struct bench *b, size_t z, const struct patch *p)
{
    const struct zone *zone = &b->m->zones->items[z];
    const struct item *items = b->m->menu->items;
    double most = 0;
    if (zone->over_m[0] <= 0 && zone->over_m[1] <= 0)
        return 0;
    for (int i = 0; i < p->nblocks; i++) {
        const struct item *item = &items[p->blocks[i].item];
        most = larger(most, larger(item->over_m[0], item->over_m[1]));
        for (int k = 0; k < p->nblocks; k++)
            if (k != i)
                most = larger(most, item->over_m[0] + items[p->blocks[k].item].over_m[1]);
    }
    return most;
}

static double room_across(const struct bench *b, size_t z, const struct patch *p)
{
    return b->m->zones->items[z].depth_m + over_of(b, z, p) + SLACK_M - depth_of(b, p);
}

static bool room_for_block(const struct bench *b, const struct patch *p)
{
    int most = program_blocks(b->m);
    return p->nblocks + p->nparts < (most < BLOCKS_MAX ? most : BLOCKS_MAX);
}

static void drop_block(struct patch *p, int k)
{
    p->blocks[k] = p->blocks[--p->nblocks];
}

static void take_lines(struct patch *p, int k, int lines)
{
    p->blocks[k].count -= lines;
    if (p->blocks[k].count <= 0)
        drop_block(p, k);
}

/* Up to `most` lines of the item more, as many as there is room for. Lines taken. */
static int give_lines(struct bench *b, size_t z, struct patch *p, int i, int most)
{
    int k = 0, given = 0;
    while (k < p->nblocks && p->blocks[k].item != i)
        k++;
    if (k == p->nblocks) {
        if (!room_for_block(b, p))
            return 0;
        p->blocks[p->nblocks++] = (struct share){i, 0};
    }
    while (given < most && p->blocks[k].count < b->kinds[i].most_lines) {
        p->blocks[k].count++;
        if (room_across(b, z, p) < 0) {
            p->blocks[k].count--;
            break;
        }
        given++;
    }
    if (p->blocks[k].count == 0)
        drop_block(p, k);
    return given;
}

/* A part of so many stations at most; false where that is too few to be one. */
static bool give_part(struct bench *b, size_t z, struct patch *p, int i, int stations)
{
    const struct kind *kind = &b->kinds[i];
    double left = b->m->zones->items[z].length_m + SLACK_M - length_of(b, p);
    int fit = (int)floor(left / kind->pitch_m + 1e-9);
    int count = stations < fit ? stations : fit;
    count = count < kind->most_stations ? count : kind->most_stations;
    if (count < kind->least_stations || p->nparts == SHARED_PARTS_MAX || !room_for_block(b, p))
        return false;
    for (int k = 0; k < p->nparts; k++)
        if (b->kinds[p->parts[k].item].variety == kind->variety)
            return false;
    p->parts[p->nparts++] = (struct share){i, count};
    if (room_across(b, z, p) >= 0)
        return true;
    p->nparts--;
    return false;
}

/* ---- exchanges ----------------------------------------------------------------------------- */

static int some_item(struct bench *b, size_t z)
{
    double r = num_random(&b->random);
    int n = b->from[z + 1] - b->from[z];
    return b->order[b->from[z] + (int)(r * r * n)];
}

static int some_part(struct bench *b, size_t z)
{
    double r = num_random(&b->random);
    return b->parts_order[b->parts_from[z] + (int)(r * r * b->parts_n[z])];
}

/* Fills what room there is, with lines of what stands there or of something else. */
static void fill(struct bench *b, size_t z, struct patch *p)
{
    for (int tries = 0; tries < 2; tries++) {
        int i = p->nblocks > 0 && num_random(&b->random) < 0.4
                    ? p->blocks[random_below(b, p->nblocks)].item
                    : some_item(b, z);
        give_lines(b, z, p, i, num_random(&b->random) < 0.5 ? 1 : b->kinds[i].most_lines);
    }
}

static void exchange_lines(struct bench *b, size_t z, struct patch *p)
{
    if (p->nblocks > 0) {
        int k = random_below(b, p->nblocks), all = p->blocks[k].count;
        int lines = num_random(&b->random) < 0.3 ? all : 1 + random_below(b, all < 3 ? all : 3);
        take_lines(p, k, lines);
    }
    fill(b, z, p);
}

/* The shared line: more or fewer stations, a part more, a part less, one for another. */
static void exchange_parts(struct bench *b, size_t z, struct patch *p)
{
    double what = num_random(&b->random);
    if (b->parts_n[z] == 0)
        return;
    if (p->nparts == 0 && p->nblocks > 0 && room_across(b, z, p) < 0.3)
        take_lines(p, random_below(b, p->nblocks), 1 + (num_random(&b->random) < 0.2));
    if (p->nparts > 0 && what < 0.5) {
        struct share *s = &p->parts[random_below(b, p->nparts)];
        int step = 1 + random_below(b, 4), before = s->count;
        s->count += num_random(&b->random) < 0.5 ? step : -step;
        if (s->count < b->kinds[s->item].least_stations ||
            s->count > b->kinds[s->item].most_stations ||
            length_of(b, p) > b->m->zones->items[z].length_m + SLACK_M)
            s->count = before;
        return;
    }
    if (p->nparts > 0 && (what < 0.75 || p->nparts == SHARED_PARTS_MAX)) {
        int k = random_below(b, p->nparts);
        p->parts[k] = p->parts[--p->nparts];
    }
    if (what > 0.6) {
        int i = some_part(b, z), most = b->kinds[i].most_stations;
        int stations = num_random(&b->random) < 0.4 ? most : 1 + random_below(b, most);
        give_part(b, z, p, i, stations);
    }
    if (p->nparts == 0)
        fill(b, z, p);
}

/* A new patch for the zone. */
static struct patch changed(struct bench *b, size_t z)
{
    struct patch p = b->patches[z];
    if (num_random(&b->random) < 0.65)
        exchange_lines(b, z, &p);
    else
        exchange_parts(b, z, &p);
    return p;
}

/* Takes the change of one zone, or of two together, or leaves all as it was. */
static void step(struct bench *b, double heat, double *value)
{
    size_t z[2] = {b->open[random_below(b, b->nopen)], b->open[0]};
    int n = b->nopen > 1 && num_random(&b->random) < 0.3 ? 2 : 1;
    struct patch before[2], after[2];
    bool any = false;
    z[1] = b->open[random_below(b, b->nopen)];
    if (z[1] == z[0])
        n = 1;
    for (int k = 0; k < n; k++) {
        before[k] = b->patches[z[k]];
        after[k] = changed(b, z[k]);
        if (room_across(b, z[k], &after[k]) < 0) /* vines went, and what they had beyond its end */
            after[k] = before[k];
        replace(b, z[k], &before[k], &after[k]);
        any = any || !same(&before[k], &after[k]);
    }
    if (!any)
        return;
    double now = judge(b);
    if (now < *value && num_random(&b->random) >= exp((now - *value) / heat)) {
        for (int k = n; k-- > 0;)
            replace(b, z[k], &after[k], &before[k]);
        return;
    }
    *value = now;
    for (int k = 0; k < n; k++)
        b->patches[z[k]] = after[k];
    if (b->broken > 0 || (b->found && b->goal <= b->best_goal))
        return;
    b->found = true;
    b->best_goal = b->goal;
    memcpy(b->best, b->patches, sizeof *b->best * b->m->zones->n);
}

/* ---- to begin with ------------------------------------------------------------------------- */

static void set_ties(struct bench *b)
{
    const struct program *m = b->m;
    double weight = 0;
    b->tie_e = b->tie_a = -1;
    for (int t = 0, i = 0; i < m->mip.nrows; i++) {
        if (!program_row_ties(m, i))
            continue;
        struct tie *tie = &b->ties[t];
        *tie = (struct tie){.lower = m->mip.rows[i].lower,
                            .upper = m->mip.rows[i].upper,
                            .goal = i >= m->goal_row,
                            .whole = i == m->row_e || i == m->row_a};
        if (i == m->row_e)
            b->tie_e = t;
        if (i == m->row_a)
            b->tie_a = t;
        if (tie->goal)
            weight += tie->weight = fmax(0, -b->options->prices[i]);
        t++;
    }
    for (int t = 0; t < b->nties; t++)
        if (b->ties[t].goal && weight > 0)
            b->ties[t].weight /= weight;
}

/* By column: entries of ties. E and A have none, but are in the ties that speak of them. */
static hr_status set_entries(struct bench *b, struct arena *arena)
{
    const struct mip *mip = &b->m->mip;
    int *tie_of = ARENA_ARRAY(arena, int, (size_t)mip->nrows);
    b->first = ARENA_ARRAY(arena, int, (size_t)mip->ncolumns + 2);
    b->worth = ARENA_ARRAY(arena, double, (size_t)mip->ncolumns);
    b->entries = ARENA_ARRAY(arena, struct entry, (size_t)mip->nentries);
    if (!tie_of || !b->first || !b->worth || !b->entries)
        return HR_NOMEM;
    for (int i = 0; i < mip->nrows; i++)
        tie_of[i] = program_row_ties(b->m, i) ? b->nties++ : -1;
    b->ties = ARENA_ARRAY(arena, struct tie, (size_t)b->nties);
    if (!b->ties)
        return HR_NOMEM;
    set_ties(b);
    for (int j = 0; j < mip->ncolumns; j++)
        b->worth[j] = mip->columns[j].objective;
    for (int pass = 0; pass < 2; pass++) {
        for (int k = 0; k < mip->nentries; k++) {
            const struct mip_entry *e = &mip->entries[k];
            int t = tie_of[e->row];
            if (t < 0 || e->column == b->m->col_t)
                continue;
            if (e->column == b->m->col_e || e->column == b->m->col_a) {
                *(e->column == b->m->col_e ? &b->ties[t].e : &b->ties[t].a) = e->value;
            } else if (pass == 0) {
                b->first[e->column + 2]++;
                b->worth[e->column] -= b->options->prices[e->row] * e->value;
            } else {
                b->entries[b->first[e->column + 1]++] = (struct entry){t, e->value};
            }
        }
        for (int j = 0; j <= mip->ncolumns && pass == 0; j++)
            b->first[j + 1] += b->first[j];
    }
    return HR_OK;
}

/* Breaches are measured by the side of the row, or by what it is a share of. */
static void set_scales(struct bench *b)
{
    double e = b->tie_e >= 0 ? b->ties[b->tie_e].sum : 0;
    double a = b->tie_a >= 0 ? b->ties[b->tie_a].sum : 0;
    for (int t = 0; t < b->nties; t++) {
        struct tie *tie = &b->ties[t];
        double side = isfinite(tie->lower) ? fabs(tie->lower) : 0;
        side = isfinite(tie->upper) ? fmax(side, fabs(tie->upper)) : side;
        side = fmax(side, fmax(fabs(tie->e * e), fabs(tie->a * a)));
        tie->scale = side > 0 ? side : 1;
    }
}

struct ranked {
    int item;
    double worth;
};

static int compare_ranked(const void *pa, const void *pb)
{
    const struct ranked *a = pa, *b = pb;
    return a->worth != b->worth ? (a->worth < b->worth ? 1 : -1)
                                : (a->item > b->item) - (a->item < b->item);
}

static int rank(const struct bench *b, size_t z, bool parts, struct ranked *scratch, int *out)
{
    const struct program *m = b->m;
    int n = 0;
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct planting *p = program_planting(m, i);
        if (m->menu->items[i].zone != (int)z || (parts && m->col_s[i] < 0))
            continue;
        double line = b->worth[m->col_n[i]] / p->line_m;
        if (m->col_q[i] >= 0)
            line += b->worth[m->col_q[i]] / (2 * p->line_m);
        double ground = p->pitch_m * p->first_m;
        scratch[n++] = (struct ranked){i, parts ? b->worth[m->col_s[i]] / ground : line};
    }
    qsort(scratch, (size_t)n, sizeof *scratch, compare_ranked);
    for (int k = 0; k < n; k++)
        out[k] = scratch[k].item;
    return n;
}

/* Of a plot's two row directions the one that is fixed, or else that of more worth. */
static bool chosen_way(const struct bench *b, size_t z)
{
    const struct program *m = b->m;
    int way = program_way(m, z);
    if (way < 0 || m->mip.columns[way].lower > 0)
        return true;
    if (m->mip.columns[way].upper <= 0)
        return false;
    double worth[2] = {0, 0}; /* across x, along x */
    const double *x = b->options->start;
    for (size_t k = 0; k < m->zones->n; k++) {
        const struct zone *zone = &m->zones->items[k];
        if (zone->plot != m->zones->items[z].plot || b->from[k] == b->from[k + 1] ||
            program_way(m, k) < 0)
            continue;
        int best = b->order[b->from[k]];
        if (x && x[program_way(m, k)] > 0.5)
            return zone->along_x == m->zones->items[z].along_x;
        worth[zone->along_x] +=
            b->worth[m->col_n[best]] * zone->depth_m / program_planting(m, best)->line_m;
    }
    bool along_x = m->zones->items[z].along_x;
    return along_x ? worth[1] >= worth[0] : worth[0] > worth[1];
}

static hr_status set_orders(struct bench *b, struct arena *arena)
{
    size_t items = (size_t)b->m->menu->nitems, zones = b->m->zones->n;
    struct ranked *scratch = ARENA_ARRAY(arena, struct ranked, items);
    b->order = ARENA_ARRAY(arena, int, items);
    b->parts_order = ARENA_ARRAY(arena, int, items);
    b->from = ARENA_ARRAY(arena, int, zones + 1);
    b->parts_from = ARENA_ARRAY(arena, int, zones + 1);
    b->parts_n = ARENA_ARRAY(arena, int, zones);
    b->open = ARENA_ARRAY(arena, size_t, zones);
    if (!scratch || !b->order || !b->parts_order || !b->from || !b->parts_from || !b->parts_n ||
        !b->open)
        return HR_NOMEM;
    for (size_t z = 0; z < zones; z++) {
        b->from[z + 1] = b->from[z] + rank(b, z, false, scratch, b->order + b->from[z]);
        b->parts_n[z] = rank(b, z, true, scratch, b->parts_order + b->parts_from[z]);
        b->parts_from[z + 1] = b->parts_from[z] + b->parts_n[z];
    }
    for (size_t z = 0; z < zones; z++)
        if (b->from[z + 1] > b->from[z] && chosen_way(b, z))
            b->open[b->nopen++] = z;
    return HR_OK;
}

/* The patches of a solution, or of the best lines at the prices. */
static void begin(struct bench *b)
{
    const struct program *m = b->m;
    const double *x = b->options->start;
    for (int k = 0; k < b->nopen; k++) {
        size_t z = b->open[k];
        struct patch *p = &b->patches[z];
        for (int j = b->from[z]; j < b->from[z + 1]; j++) {
            int i = b->order[j];
            if (!x)
                give_lines(b, z, p, i, b->kinds[i].most_lines);
            else if (x[m->col_n[i]] > 0.5 && p->nblocks < BLOCKS_MAX)
                p->blocks[p->nblocks++] = (struct share){i, (int)lround(x[m->col_n[i]])};
            if (x && m->col_s[i] >= 0 && x[m->col_s[i]] > 0.5 && p->nparts < SHARED_PARTS_MAX)
                p->parts[p->nparts++] = (struct share){i, (int)lround(x[m->col_s[i]])};
        }
    }
}

static void set_kinds(struct bench *b)
{
    const struct menu *menu = b->m->menu;
    for (int i = 0; i < menu->nitems; i++) {
        const struct planting *p = program_planting(b->m, i);
        b->kinds[i] = (struct kind){.first_m = p->first_m,
                                    .line_m = p->line_m,
                                    .pitch_m = p->pitch_m,
                                    .most_lines = menu->items[i].most_lines,
                                    .most_stations = menu->items[i].stations[0],
                                    .least_stations = planting_least_shared(p),
                                    .variety = p->parts[0].seed_index,
                                    .slot = (int)p->slot};
        for (int t = 0; t < menu->nturns; t++)
            if (p->turn_d == menu->turns_d[t])
                b->kinds[i].turn = t;
    }
}

static hr_status set_up(struct bench *b, struct arena *arena)
{
    const struct menu *menu = b->m->menu;
    size_t columns = (size_t)b->m->mip.ncolumns, zones = b->m->zones->n;
    b->users = ARENA_ARRAY(arena, int, columns);
    b->kinds = ARENA_ARRAY(arena, struct kind, (size_t)menu->nitems);
    b->turn_depth = ARENA_ARRAY(arena, double, (size_t)(menu->nturns + 1) * SLOT_COUNT);
    b->patches = ARENA_ARRAY(arena, struct patch, zones);
    b->best = ARENA_ARRAY(arena, struct patch, zones);
    if (!b->users || !b->kinds || !b->turn_depth || !b->patches || !b->best)
        return HR_NOMEM;
    set_kinds(b);
    hr_status status = set_entries(b, arena);
    if (status == HR_OK)
        status = set_orders(b, arena);
    if (status != HR_OK)
        return status;
    begin(b);
    sum_anew(b);
    set_scales(b);
    return HR_OK;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static void read_best(const struct bench *b, double *x)
{
    const struct program *m = b->m;
    memset(x, 0, sizeof *x * (size_t)m->mip.ncolumns);
    for (int k = 0; k < b->nopen; k++) {
        size_t z = b->open[k];
        const struct patch *p = &b->best[z];
        for (int j = 0; j < p->nblocks; j++) {
            int i = p->blocks[j].item;
            x[m->col_n[i]] = p->blocks[j].count;
            x[m->col_y[i]] = 1;
            if (m->col_q[i] >= 0)
                x[m->col_q[i]] = planting_odd_lines(p->blocks[j].count);
        }
        for (int j = 0; j < p->nparts; j++) {
            x[m->col_s[p->parts[j].item]] = p->parts[j].count;
            x[m->col_w[p->parts[j].item]] = 1;
        }
        x[m->col_d[z]] = shared_depth(b, p);
        x[m->col_v[z]] = p->nparts > 0;
        if (program_way(m, z) >= 0)
            x[program_way(m, z)] = 1;
    }
    program_settle_ties(m, x);
    program_settle(m, x);
}

static void search(struct bench *b)
{
    const struct anneal_options *o = b->options;
    double first = o->start ? BREACH_WARM : BREACH_FIRST;
    b->reference = fmax(1e-9, o->reference);
    for (long k = 0; k < o->steps; k += STEPS_ASKED) {
        double done = (double)k / (double)o->steps;
        if (o->go_on && !o->go_on(o->data))
            return;
        b->breach = first * pow(BREACH_LAST / first, done);
        sum_anew(b);
        double value = judge(b), heat = o->heat * b->reference * pow(COOL, done);
        for (long n = 0; n < STEPS_ASKED; n++)
            step(b, heat, &value);
    }
}

hr_status anneal(const struct program *m, const struct anneal_options *options, struct arena *arena,
                 double *x, bool *found)
{
    struct bench b = {.m = m, .options = options, .random = options->seed};
    hr_status status = set_up(&b, arena);
    if (status != HR_OK)
        return status;
    if (b.nopen > 0)
        search(&b);
    *found = b.found;
    if (b.found)
        read_best(&b, x);
    return HR_OK;
}
