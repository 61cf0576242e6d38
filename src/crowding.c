/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "crowding.h"

#include <math.h>
#include <string.h>

#include "solver.h"

#define KINDS_MAX    1500 /* of all zones; more make no small program */
#define NODES_ASK    120  /* of one question */
#define NODES_SOON   40   /* of the first */
#define NODES_SIDE   40   /* of one for a side */
#define NODES_MOST   2500 /* of all; what is asked then is not shown */
#define NODES_BEFORE 5    /* that a question costs at least */
#define ENTRIES_MAX  400000
#define SECONDS_MOST 60.0 /* never reached but where a question cannot be answered at all */
#define ANY          1e9  /* a gap: the first solution will do */
#define KEPT         1e-7 /* relative: what rounding may take from a row */
#define NEAR         1e-3 /* relative: of what a side is off */
#define ROOM_MOST    0.5  /* more of at-least wishes than is asked, to be on the safe side */

/* Items of a zone that are alike but for their spacing, and how they stand in it. */
struct kind {
    int zone, item; /* its first item */
    int size;
    double least_m, reach_m; /* ground across that it takes, where it is there */
    int x, y;                /* columns */
};

/* What a kind adds to a row of the program: for each m of ground, and where it is there at all. */
struct span {
    double low_m, high_m, low, high;
    int items; /* with an entry in the row */
};

/* A row of the small program, and whose it is. */
struct owner {
    int term;            /* -1: of the ground */
    double lower, upper; /* while it is on */
};

/* What each term has, or its side is. */
struct measure {
    int column;   /* of its side when asked for, -1: it has none */
    bool least;   /* the more the better */
    double keeps; /* its own side, while it is on */
};

enum coefficient { OF_LINE, OF_ODD, OF_BLOCK, OF_STATION, OF_PART, COEFFICIENTS };

struct crowding {
    const struct program *m;
    struct arena *arena;
    struct mip mip;
    struct kind *kinds;
    int nkinds;
    int *kind_of;          /* per item */
    int *item_of, *as;     /* per column of the program: its item, or -1, and as what it counts */
    bool *of_zone;         /* per column: of a zone, or an end of one; not here */
    int *shared;           /* per column: here, -1 */
    struct owner *owners;  /* per row */
    struct span *ranges;   /* per kind, scratch */
    int *touched;          /* kinds in the row, scratch */
    struct measure *sides; /* per term */
    int *grows;            /* per seed: column, whether it grows anywhere; -1: not looked at */
    int room;              /* the column by which at-least wishes are exceeded */
    bool *items, *keeps;   /* of the last answer */
    long nodes;            /* spent */
    int asked;             /* questions */
};

/* ---- kinds --------------------------------------------------------------------------------- */

static bool alike(const struct program *m, int i, int k)
{
    const struct planting *p = program_planting(m, i), *r = program_planting(m, k);
    if (m->menu->items[i].zone != m->menu->items[k].zone || p->slot != r->slot ||
        p->turn_d != r->turn_d || p->nparts != r->nparts)
        return false;
    for (int part = 0; part < p->nparts; part++)
        if (p->parts[part].seed_index != r->parts[part].seed_index)
            return false;
    return true;
}

/* Ground across that a part of the shared line takes, by its area. */
static double part_m(const struct program *m, int i, int stations)
{
    const struct planting *p = program_planting(m, i);
    return stations * p->pitch_m * p->first_m / program_zone(m, i)->length_m;
}

static int part_least(const struct program *m, int i)
{
    return planting_least_shared(program_planting(m, i));
}

static bool has_part(const struct program *m, int i)
{
    return m->col_s[i] >= 0 && part_least(m, i) <= m->menu->items[i].stations[0];
}

static hr_status find_kinds(struct crowding *c)
{
    const struct program *m = c->m;
    c->kinds = ARENA_ARRAY(c->arena, struct kind, KINDS_MAX);
    c->kind_of = ARENA_ARRAY(c->arena, int, (size_t)m->menu->nitems);
    if (!c->kinds || !c->kind_of)
        return HR_NOMEM;
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct zone *zone = program_zone(m, i);
        double least = program_planting(m, i)->first_m;
        if (has_part(m, i))
            least = fmin(least, part_m(m, i, part_least(m, i)));
        int k = c->nkinds;
        while (k > 0 && !alike(m, i, c->kinds[k - 1].item))
            k--;
        if (k-- == 0) {
            if (c->nkinds == KINDS_MAX)
                return HR_LIMIT;
            k = c->nkinds++;
            double reach = zone->depth_m + zone->over_m[0] + zone->over_m[1] + 1e-9;
            c->kinds[k] = (struct kind){m->menu->items[i].zone, i, 0, least, reach, -1, -1};
        }
        c->kind_of[i] = k;
        c->kinds[k].size++;
        c->kinds[k].least_m = fmin(c->kinds[k].least_m, least);
    }
    return HR_OK;
}

static void note(struct crowding *c, int column, int item, enum coefficient as)
{
    if (column < 0)
        return;
    c->item_of[column] = item;
    c->as[column] = (int)as;
}

static void sort_columns(struct crowding *c)
{
    const struct program *m = c->m;
    for (int j = 0; j < m->mip.ncolumns; j++)
        c->item_of[j] = c->shared[j] = -1;
    for (int i = 0; i < m->menu->nitems; i++) {
        note(c, m->col_n[i], i, OF_LINE);
        note(c, m->col_q[i], i, OF_ODD);
        note(c, m->col_y[i], i, OF_BLOCK);
        note(c, m->col_s[i], i, OF_STATION);
        note(c, m->col_w[i], i, OF_PART);
        for (int end = 0; end < 2; end++)
            if (m->col_b[end][i] >= 0)
                c->of_zone[m->col_b[end][i]] = true;
    }
    for (size_t z = 0; z < m->zones->n; z++) {
        c->of_zone[m->col_d[z]] = c->of_zone[m->col_v[z]] = true;
        for (int t = 0; t < m->menu->nturns; t++)
            c->of_zone[m->col_r[(int)z * m->menu->nturns + t]] = true;
    }
    c->of_zone[m->col_t] = true; /* the goal is not asked for */
}

/* ---- columns, and the rows of the ground --------------------------------------------------- */

static int add_row(struct crowding *c, int term, double lower, double upper)
{
    int row = mip_row(&c->mip, lower, upper, "r%d", c->mip.nrows);
    if (row >= 0)
        c->owners[row] = (struct owner){term, lower, upper};
    return row;
}

static void make_columns(struct crowding *c)
{
    const struct program *m = c->m;
    c->room = mip_column(&c->mip, MIP_CONTINUOUS, 0, ROOM_MOST, 1, "room");
    for (int k = 0; k < c->nkinds; k++) {
        struct kind *kind = &c->kinds[k];
        kind->x = mip_column(&c->mip, MIP_CONTINUOUS, 0, kind->reach_m, 0, "x%d", k);
        kind->y = mip_column(&c->mip, MIP_BINARY, 0, 1, 0, "y%d", k);
    }
    for (int j = 0; j < m->mip.ncolumns; j++) {
        const struct mip_column *column = &m->mip.columns[j];
        if (c->item_of[j] < 0 && !c->of_zone[j])
            c->shared[j] =
                mip_column(&c->mip, column->kind, column->lower, column->upper, 0, "c%d", j);
    }
    for (size_t s = 0; s < m->garden->seed.n; s++) {
        bool used = false;
        for (size_t p = 0; p < m->garden->plots.n; p++)
            used = used || m->col_u[s * m->garden->plots.n + p] >= 0;
        c->grows[s] = used ? mip_column(&c->mip, MIP_BINARY, 0, 1, 0, "g%zu", s) : -1;
    }
}

/* A kind is there only if something else holds. */
static void row_only_if(struct crowding *c, const struct kind *kind, int column)
{
    if (column < 0)
        return;
    int row = add_row(c, -1, -HUGE_VAL, 0);
    mip_add(&c->mip, row, kind->y, 1);
    mip_add(&c->mip, row, column, -1);
}

/* A kind that is there takes some ground, all of it at most; its plot's rows run that way; and it
 * has its varieties in the plot. */
static void rows_of_kind(struct crowding *c, const struct kind *kind)
{
    const struct program *m = c->m;
    const struct planting *p = program_planting(m, kind->item);
    int way = program_way(m, (size_t)kind->zone);
    int row = add_row(c, -1, -HUGE_VAL, 0);
    mip_add(&c->mip, row, kind->x, 1);
    mip_add(&c->mip, row, kind->y, -kind->reach_m);
    row = add_row(c, -1, 0, HUGE_VAL);
    mip_add(&c->mip, row, kind->x, 1);
    mip_add(&c->mip, row, kind->y, -kind->least_m);
    if (way >= 0)
        row_only_if(c, kind, c->shared[way]);
    for (int part = 0; part < p->nparts; part++) {
        size_t seed = (size_t)p->parts[part].seed_index;
        int u = m->col_u[seed * m->garden->plots.n + (size_t)program_zone(m, kind->item)->plot];
        if (u >= 0)
            row_only_if(c, kind, c->shared[u]);
        row_only_if(c, kind, c->grows[seed]);
    }
}

/* At any time of the season the kinds of a zone fit across it. */
static void rows_ground(struct crowding *c)
{
    const struct program *m = c->m;
    for (size_t z = 0; z < m->zones->n; z++)
        for (enum slot slot = SLOT_FIRST; slot <= (m->menu->nturns > 0 ? SLOT_SECOND : SLOT_FIRST);
             slot++) {
            int way = program_way(m, z), row = -1;
            for (int k = 0; k < c->nkinds; k++) {
                const struct kind *kind = &c->kinds[k];
                enum slot of = program_planting(m, kind->item)->slot;
                if (kind->zone != (int)z || (of != SLOT_WHOLE && of != slot))
                    continue;
                if (row < 0) {
                    row = add_row(c, -1, -HUGE_VAL, way >= 0 ? 0 : kind->reach_m);
                    mip_add(&c->mip, row, way >= 0 ? c->shared[way] : -1, -kind->reach_m);
                }
                mip_add(&c->mip, row, kind->x, 1);
            }
        }
    for (int k = 0; k < c->nkinds; k++)
        rows_of_kind(c, &c->kinds[k]);
}

/* ---- the rows of the terms ----------------------------------------------------------------- */

static void widen(struct span *r, double amount, double ground_m)
{
    r->low_m = fmin(r->low_m, amount / ground_m);
    r->high_m = fmax(r->high_m, amount / ground_m);
    r->low = fmin(r->low, amount);
    r->high = fmax(r->high, amount);
}

/* What blocks and parts of an item add to a row, by its coefficients there. */
static void take_item(struct crowding *c, int i, const double *of, int *ntouched)
{
    const struct program *m = c->m;
    const struct planting *p = program_planting(m, i);
    struct span *r = &c->ranges[c->kind_of[i]];
    if (r->items++ == 0) {
        *r = (struct span){HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL, 1};
        c->touched[(*ntouched)++] = c->kind_of[i];
    }
    for (int n = 1; n <= m->menu->items[i].most_lines; n++)
        widen(r, of[OF_LINE] * n + of[OF_ODD] * planting_odd_lines(n) + of[OF_BLOCK],
              planting_depth(p, n));
    if (!has_part(m, i))
        return;
    int least = part_least(m, i), most = m->menu->items[i].stations[0];
    widen(r, of[OF_STATION] * least + of[OF_PART], part_m(m, i, least));
    widen(r, of[OF_STATION] * most + of[OF_PART], part_m(m, i, most));
}

/* A row of the program as it is read: what its columns of zones may come to besides. */
struct reading {
    int ntouched;
    double low, high; /* of columns that are not here */
    bool shared;      /* some of its columns are here as they are */
};

/* Reads entries [from, to), all of one row; an item's come one after the other. */
static void read_row(struct crowding *c, int from, int to, struct reading *r)
{
    const struct mip *mip = &c->m->mip;
    double of[COEFFICIENTS] = {0};
    for (int e = from; e < to; e++) {
        int column = mip->entries[e].column, item = c->item_of[column];
        double value = mip->entries[e].value;
        const struct mip_column *j = &mip->columns[column];
        if (item < 0) {
            r->shared = r->shared || c->shared[column] >= 0;
            if (c->shared[column] < 0) {
                r->low += value * (value > 0 ? j->lower : j->upper);
                r->high += value * (value > 0 ? j->upper : j->lower);
            }
            continue;
        }
        of[c->as[column]] = value;
        if (e + 1 < to && c->item_of[mip->entries[e + 1].column] == item)
            continue;
        take_item(c, item, of, &r->ntouched);
        memset(of, 0, sizeof of);
    }
    for (int t = 0; t < r->ntouched; t++) { /* what some items do not give the kind may not give */
        struct span *range = &c->ranges[c->touched[t]];
        if (range->items < c->kinds[c->touched[t]].size) {
            range->low_m = fmin(range->low_m, 0);
            range->high_m = fmax(range->high_m, 0);
            range->low = fmin(range->low, 0);
            range->high = fmax(range->high, 0);
        }
    }
}

static void copy_shared(struct crowding *c, int from, int to, int row)
{
    for (int e = from; e < to; e++) {
        int column = c->m->mip.entries[e].column;
        if (c->item_of[column] < 0)
            mip_add(&c->mip, row, c->shared[column], c->m->mip.entries[e].value);
    }
}

/* Kinds may not take more than `upper`: by the ground they have, and by their being there. way:
 * the column without which they are not there at all, -1: none. */
static void rows_upper(struct crowding *c, const struct reading *r, int from, int to, int term,
                       double upper, int way)
{
    for (int there = 0; there < 2; there++) {
        int row = add_row(c, term, -HUGE_VAL, way >= 0 ? 0 : upper - r->low);
        mip_add(&c->mip, row, way, r->low - upper);
        for (int t = 0; t < r->ntouched; t++) {
            const struct kind *kind = &c->kinds[c->touched[t]];
            const struct span *range = &c->ranges[c->touched[t]];
            if (there && range->low >= 0)
                mip_add(&c->mip, row, kind->y, range->low);
            else
                mip_add(&c->mip, row, kind->x, range->low_m);
        }
        copy_shared(c, from, to, row);
        if (term >= 0)
            mip_add(&c->mip, row, c->sides[term].column, -1);
    }
}

/* And must give `lower`. Of a kind no more is counted than is asked for, which says of how many it
 * has to be there. */
static void rows_lower(struct crowding *c, const struct reading *r, int from, int to, int term,
                       double lower)
{
    double side = lower - r->high;
    for (int there = 0; there < 2; there++) {
        int row = add_row(c, term, side, HUGE_VAL);
        bool mixed = r->shared;
        for (int t = 0; t < r->ntouched; t++)
            mixed = mixed || c->ranges[c->touched[t]].high < 0;
        for (int t = 0; t < r->ntouched; t++) {
            const struct kind *kind = &c->kinds[c->touched[t]];
            const struct span *range = &c->ranges[c->touched[t]];
            double most = range->high_m > 0 ? range->high_m * kind->reach_m : range->high;
            if (there)
                mip_add(&c->mip, row, kind->y, mixed || side <= 0 ? most : fmin(most, side));
            else
                mip_add(&c->mip, row, kind->x, range->high_m);
        }
        copy_shared(c, from, to, row);
        if (term >= 0)
            mip_add(&c->mip, row, c->sides[term].column, -1);
        if (term >= 0 && side > 0 && !there)
            mip_add(&c->mip, row, c->room, -side);
    }
}

static void forget(struct crowding *c, const struct reading *r)
{
    for (int t = 0; t < r->ntouched; t++)
        c->ranges[c->touched[t]].items = 0;
}

static int term_of(const struct program *m, int row)
{
    for (int t = 0; t < m->nterms; t++)
        if (row >= m->terms[t].row && row < m->terms[t].row + m->terms[t].nrows)
            return t;
    return -1;
}

/* The column of a term's side: 0 while the term is on as it is. */
static void make_side(struct crowding *c, int t)
{
    const struct term *term = &c->m->terms[t];
    struct measure *side = &c->sides[t];
    const struct wish *wish = term->kind == TERM_AT_LEAST || term->kind == TERM_AT_MOST
                                  ? garden_wish(c->m->garden, (size_t)term->index)
                                  : NULL;
    bool share = wish && (term->kind == TERM_AT_LEAST ? &wish->at_least : &wish->at_most)->kind ==
                             UNIT_SHARE;
    *side = (struct measure){.column = -1, .least = term->kind == TERM_AT_LEAST};
    if (share || term->kind == TERM_SHARE_ENERGY || term->kind == TERM_SHARE_AREA ||
        term->kind == TERM_SAVE || term->kind == TERM_SHADE || term->nrows == 0)
        return;
    const struct mip_row *row = &c->m->mip.rows[term->row];
    side->keeps = side->least ? row->lower : row->upper;
    side->column = mip_column(&c->mip, term->kind == TERM_BLOCKS ? MIP_INTEGER : MIP_CONTINUOUS, 0,
                              0, 0, "side%d", t);
}

/* Of the row of a zone's blocks, the column its rows run by; -1: none, or another row. */
static int way_of_blocks(const struct crowding *c, int row)
{
    const struct program *m = c->m;
    int zone = row - m->blocks_row;
    if (m->blocks_row < 0 || zone < 0 || zone >= (int)m->zones->n)
        return -1;
    int way = program_way(m, (size_t)zone);
    return way >= 0 ? c->shared[way] : -1;
}

/* Which seed a column u is of, -1: it is none. */
static int seed_of(const struct program *m, int column)
{
    for (size_t u = 0; u < m->garden->seed.n * m->garden->plots.n; u++)
        if (m->col_u[u] == column)
            return (int)(u / m->garden->plots.n);
    return -1;
}

/* Where two varieties may stand in no two plots, not in one either, they do not both grow: what the
 * rows for pairs of plots say only in whole numbers. */
static void rows_apart(struct crowding *c, int term)
{
    const struct program *m = c->m;
    const struct term *save = &m->terms[term];
    int plots = (int)m->garden->plots.n;
    for (int other = 0; other < (int)m->garden->seed.n; other++) {
        int pairs = 0;
        if (c->grows[other] < 0 || other == save->index)
            continue;
        for (int e = 1; e < m->mip.nentries; e++) {
            const struct mip_entry *a = &m->mip.entries[e - 1], *b = &m->mip.entries[e];
            if (a->row != b->row || a->row < save->row || a->row >= save->row + save->nrows)
                continue;
            int s = seed_of(m, a->column), t = seed_of(m, b->column);
            pairs += (s == save->index && t == other) || (t == save->index && s == other);
        }
        if (pairs < plots * plots)
            continue;
        int row = add_row(c, term, -HUGE_VAL, 1);
        mip_add(&c->mip, row, c->grows[save->index], 1);
        mip_add(&c->mip, row, c->grows[other], 1);
    }
}

/* What is wished for grows somewhere: said where all that would give it is of varieties that are
 * looked at. */
static void row_grows(struct crowding *c, const struct reading *r, int term)
{
    const struct program *m = c->m;
    for (int t = 0; t < r->ntouched; t++) {
        const struct planting *p = program_planting(m, c->kinds[c->touched[t]].item);
        int looked_at = 0;
        for (int part = 0; part < p->nparts; part++)
            looked_at += c->grows[p->parts[part].seed_index] >= 0;
        if (looked_at == 0 && c->ranges[c->touched[t]].high > 0)
            return;
    }
    int row = -1;
    for (size_t s = 0; s < m->garden->seed.n; s++) {
        bool gives = false;
        for (int t = 0; t < r->ntouched; t++) {
            const struct planting *p = program_planting(m, c->kinds[c->touched[t]].item);
            for (int part = 0; part < p->nparts; part++)
                gives = gives ||
                        (p->parts[part].seed_index == (int)s && c->ranges[c->touched[t]].high > 0);
        }
        if (!gives || c->grows[s] < 0)
            continue;
        if (row < 0)
            row = add_row(c, term, 1, HUGE_VAL);
        mip_add(&c->mip, row, c->grows[s], 1);
    }
    if (row >= 0) /* less than is asked for may be nothing */
        mip_add(&c->mip, row, c->sides[term].column, -1 / fabs(c->sides[term].keeps));
}

/* Rows whose term is a matter of where in a zone things stand are left out. */
static void rows_terms(struct crowding *c)
{
    const struct program *m = c->m;
    int e = 0;
    for (int i = 0; i < m->goal_row; i++) {
        int from = e;
        while (e < m->mip.nentries && m->mip.entries[e].row == i)
            e++;
        if (i < m->terms_row && !(i < m->ground_row))
            continue;
        int term = term_of(m, i);
        if (term >= 0 && m->terms[term].kind == TERM_SHADE)
            continue;
        struct reading r = {0};
        read_row(c, from, e, &r);
        if (term >= 0 && m->terms[term].kind == TERM_SAVE && r.ntouched > 0) {
            forget(c, &r); /* a variety uses its plot: that is in the rows of kinds */
            continue;
        }
        if (isfinite(m->mip.rows[i].upper))
            rows_upper(c, &r, from, e, term, m->mip.rows[i].upper, way_of_blocks(c, i));
        if (isfinite(m->mip.rows[i].lower))
            rows_lower(c, &r, from, e, term, m->mip.rows[i].lower);
        if (term >= 0 && m->terms[term].kind == TERM_AT_LEAST && c->sides[term].column >= 0 &&
            c->sides[term].keeps > 0 && r.ntouched > 0)
            row_grows(c, &r, term);
        forget(c, &r);
    }
    for (int t = 0; t < m->nterms; t++)
        if (m->terms[t].kind == TERM_SAVE)
            rows_apart(c, t);
}

/* ---- the whole ----------------------------------------------------------------------------- */

static hr_status set_up(struct crowding *c)
{
    const struct program *m = c->m;
    size_t columns = (size_t)m->mip.ncolumns, kinds = KINDS_MAX;
    size_t rows = 3 * (size_t)m->mip.nrows + 2 * m->zones->n + (3 + 2 * STAND_PARTS_MAX) * kinds;
    c->item_of = ARENA_ARRAY(c->arena, int, columns);
    c->as = ARENA_ARRAY(c->arena, int, columns);
    c->of_zone = ARENA_ARRAY(c->arena, bool, columns);
    c->shared = ARENA_ARRAY(c->arena, int, columns);
    c->owners = ARENA_ARRAY(c->arena, struct owner, 2 * rows);
    c->ranges = ARENA_ARRAY(c->arena, struct span, kinds);
    c->touched = ARENA_ARRAY(c->arena, int, kinds);
    c->sides = ARENA_ARRAY(c->arena, struct measure, (size_t)m->nterms);
    c->grows = ARENA_ARRAY(c->arena, int, m->garden->seed.n);
    c->items = ARENA_ARRAY(c->arena, bool, (size_t)m->menu->nitems);
    c->keeps = ARENA_ARRAY(c->arena, bool, (size_t)m->nterms + 1);
    if (!c->item_of || !c->as || !c->of_zone || !c->shared || !c->owners || !c->ranges ||
        !c->touched || !c->sides || !c->grows || !c->items || !c->keeps)
        return HR_NOMEM;
    mip_init(&c->mip, c->arena);
    sort_columns(c);
    make_columns(c);
    for (int t = 0; t < m->nterms; t++)
        make_side(c, t);
    rows_ground(c);
    rows_terms(c);
    return mip_finish(&c->mip);
}

hr_status crowding_new(const struct program *m, struct arena *arena, struct crowding **out)
{
    struct crowding *c = ARENA_ARRAY(arena, struct crowding, 1);
    *out = NULL;
    if (!c)
        return HR_NOMEM;
    *c = (struct crowding){.m = m, .arena = arena};
    hr_status status = m->mip.nentries > ENTRIES_MAX ? HR_LIMIT : find_kinds(c);
    if (status == HR_LIMIT)
        return HR_OK;
    if (status == HR_OK)
        status = set_up(c);
    if (status == HR_OK)
        *out = c;
    return status;
}

bool crowding_has_side(const struct crowding *c, int term)
{
    return c->sides[term].column >= 0;
}

/* Rows of terms that are off bind nothing; a side that is asked for is free. */
static void pose(struct crowding *c, const bool *on, int side)
{
    for (int r = 0; r < c->mip.nrows; r++) {
        const struct owner *o = &c->owners[r];
        bool binds = o->term < 0 || o->term == side || on[o->term];
        c->mip.rows[r].lower = binds ? o->lower : -HUGE_VAL;
        c->mip.rows[r].upper = binds ? o->upper : HUGE_VAL;
    }
    for (int t = 0; t < c->m->nterms; t++) {
        if (c->sides[t].column < 0)
            continue;
        struct mip_column *column = &c->mip.columns[c->sides[t].column];
        bool least = c->sides[t].least;
        column->lower = t == side && least ? -fabs(c->sides[t].keeps) : 0;
        column->upper = t == side && !least ? HUGE_VAL : 0;
        column->objective = t != side ? 0 : least ? 1 : -1;
    }
    c->mip.columns[c->room].objective = side < 0;
    c->mip.columns[c->room].upper = side < 0 ? ROOM_MOST : 0;
}

/* The items of the kinds that are there in a solution. */
static const bool *items_of(struct crowding *c, const double *x)
{
    for (int i = 0; x && i < c->m->menu->nitems; i++)
        c->items[i] = x[c->kinds[c->kind_of[i]].y] > 0.5;
    return x ? c->items : NULL;
}

/* Which terms a solution keeps, on or off. */
static const bool *keeps_of(struct crowding *c, const double *x, struct arena *arena)
{
    const struct mip *mip = &c->mip;
    double *sums = x ? ARENA_ARRAY(arena, double, (size_t)mip->nrows) : NULL;
    if (!sums)
        return NULL;
    for (int e = 0; e < mip->nentries; e++)
        if (mip->entries[e].column != c->room)
            sums[mip->entries[e].row] += mip->entries[e].value * x[mip->entries[e].column];
    for (int t = 0; t < c->m->nterms; t++)
        c->keeps[t] = true;
    for (int r = 0; r < mip->nrows; r++) {
        const struct owner *o = &c->owners[r];
        if (o->term >= 0 && (sums[r] < o->lower - KEPT * (1 + fabs(o->lower)) ||
                             sums[r] > o->upper + KEPT * (1 + fabs(o->upper))))
            c->keeps[o->term] = false;
    }
    return c->keeps;
}

hr_status crowding_ask(struct crowding *c, const bool *on, int side, struct crowding_answer *out)
{
    struct solver_result r = {0};
    long nodes = side >= 0 ? NODES_SIDE : c->asked == 0 ? NODES_SOON : NODES_ASK;
    long left = NODES_MOST - c->nodes;
    c->asked++;
    *out = (struct crowding_answer){.bound = (double)NAN};
    if (left <= 0)
        return HR_OK;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT), *before = c->mip.arena;
    if (!arena)
        return HR_NOMEM;
    struct solver_options o = {.seconds = SECONDS_MOST,
                               .gap = side < 0 ? ANY : NEAR,
                               .nodes = nodes < left ? nodes : left};
    pose(c, on, side);
    c->mip.arena = arena;
    hr_status status = solver_run(&c->mip, &o, &r, NULL);
    c->mip.arena = before;
    c->nodes += r.nodes + NODES_BEFORE;
    if (status == HR_OK) {
        out->impossible = r.state == SOLVER_INFEASIBLE;
        out->items = items_of(c, r.x);
        out->keeps = side < 0 ? keeps_of(c, r.x, arena) : NULL;
        if (side >= 0 && !out->impossible)
            out->bound = c->sides[side].least ? r.bound : -r.bound;
    }
    arena_free(arena);
    return status;
}
