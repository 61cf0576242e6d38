/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "filling_light.h"

#include <math.h>

#define SUMS   FILLING_LIGHT_SUMS
#define BLOCKS FILLING_LIGHT_BLOCKS
#define PARTS  SHARED_PARTS_MAX
#define NONE   BLOCKS /* in the place of a block: the edge of the zone */

/* Shares of light lost, by what stands beside what. */
struct work {
    const struct filling_light *light;
    const struct filling_stands *stands;
    struct mutual_unit blocks[BLOCKS], line;
    double lost[BLOCKS][BLOCKS][2];       /* by a block to another one at a side of it */
    double to_line[BLOCKS][2];            /* to the line */
    double by_part[BLOCKS + 1][2][PARTS]; /* by a part of the line to a block at a side; NONE: 0 */
    double within[PARTS];                 /* to those at its ends */
};

/* The same of one sum, in what is given. */
struct costs {
    int n;
    bool line;
    double beside[BLOCKS][BLOCKS];          /* of both, one right before the other */
    double between[BLOCKS + 1][BLOCKS + 1]; /* of the line and the blocks before and behind it */
};

/* ---- shares -------------------------------------------------------------------------------- */

static struct mutual_unit block_unit(const struct work *w, int b)
{
    int item = w->stands->items[b], lines = w->stands->lines[b];
    return (struct mutual_unit){.item = item,
                                .lines = lines,
                                .depth_m =
                                    planting_depth(program_planting(w->light->m, item), lines)};
}

/* The parts stand by item, as they do when they are arranged. */
static struct mutual_unit line_unit(const struct work *w)
{
    const struct filling_stands *s = w->stands;
    struct mutual_unit u = {.nparts = s->nparts, .depth_m = s->depth_m};
    double along = 0;
    for (int p = 0; p < s->nparts; p++) {
        int at = p;
        for (; at > 0 && u.parts[at - 1].item > s->part_items[p]; at--)
            u.parts[at] = u.parts[at - 1];
        u.parts[at] = (struct mutual_part){.item = s->part_items[p], .stations = s->stations[p]};
    }
    for (int p = 0; p < u.nparts; p++) {
        struct mutual_part *part = &u.parts[p];
        part->from_m = along;
        along += part->stations * program_planting(w->light->m, part->item)->pitch_m;
        part->to_m = along;
    }
    return u;
}

static void look(struct work *w)
{
    struct mutual *m = w->light->mutual;
    int n = w->stands->nblocks;
    for (int a = 0; a < n; a++)
        w->blocks[a] = block_unit(w, a);
    for (int a = 0; a < n; a++)
        for (int b = 0; b < n; b++)
            for (enum mutual_side side = MUTUAL_BEFORE; side <= MUTUAL_BEHIND && a != b; side++)
                w->lost[a][b][side] = mutual_beside(m, &w->blocks[a], -1, side, &w->blocks[b]);
    if (w->stands->nparts == 0)
        return;
    w->line = line_unit(w);
    for (int p = 0; p < w->line.nparts; p++)
        w->within[p] = mutual_within(m, &w->line, p);
    for (enum mutual_side side = MUTUAL_BEFORE; side <= MUTUAL_BEHIND; side++)
        for (int a = 0; a <= n; a++) {
            int at = a < n ? a : NONE;
            for (int p = 0; p < w->line.nparts; p++)
                w->by_part[at][side][p] =
                    a < n ? mutual_beside(m, &w->line, p, side, &w->blocks[a]) : 0;
            if (a < n)
                w->to_line[a][side] = mutual_beside(m, &w->blocks[a], -1, side, &w->line);
        }
}

/* ---- costs --------------------------------------------------------------------------------- */

/* What is given less of a sum in no light, by a block or a part. */
static double fall_of_block(const struct work *w, const double *fall, int b)
{
    const struct program *m = w->light->m;
    const struct mutual_unit *u = &w->blocks[b];
    double even = u->lines * fall[m->col_n[u->item]];
    if (m->col_q[u->item] < 0)
        return even;
    return even + planting_odd_lines(u->lines) * fall[m->col_q[u->item]];
}

static double fall_of_part(const struct work *w, const double *fall, int p)
{
    const struct mutual_part *part = &w->line.parts[p];
    return part->stations * fall[w->light->m->col_s[part->item]];
}

/* What a part loses at least between two blocks. */
static double part_share(const struct work *w, int p, int before, int behind)
{
    return fmax(w->within[p],
                w->by_part[before][MUTUAL_BEFORE][p] + w->by_part[behind][MUTUAL_BEHIND][p]);
}

/* Adds a sum, times its price. */
static void add_costs(const struct work *w, const double *fall, double price, struct costs *out)
{
    double block[BLOCKS] = {0}, part[PARTS] = {0};
    for (int a = 0; a < out->n; a++)
        block[a] = price * fall_of_block(w, fall, a);
    for (int p = 0; p < w->stands->nparts; p++)
        part[p] = price * fall_of_part(w, fall, p);
    for (int a = 0; a < out->n; a++)
        for (int b = 0; b < out->n; b++)
            out->beside[a][b] +=
                block[a] * w->lost[a][b][MUTUAL_BEHIND] + block[b] * w->lost[b][a][MUTUAL_BEFORE];
    for (int a = 0; a <= out->n && out->line; a++)
        for (int b = 0; b <= out->n; b++) {
            int before = a < out->n ? a : NONE, behind = b < out->n ? b : NONE;
            double *cost = &out->between[before][behind];
            *cost += before < NONE ? block[a] * w->to_line[a][MUTUAL_BEHIND] : 0;
            *cost += behind < NONE ? block[b] * w->to_line[b][MUTUAL_BEFORE] : 0;
            for (int p = 0; p < w->line.nparts; p++)
                *cost += part[p] * part_share(w, p, before, behind);
        }
}

/* ---- orders -------------------------------------------------------------------------------- */

/* What stands already and what stands last of it, with the line among them or not. */
struct best {
    double cost;
    int before;         /* the block before the last one, NONE: none */
    bool line, between; /* the line stood before that, or stands between the two */
};

struct table {
    struct best at[1 << BLOCKS][BLOCKS][2];
};

static void take(struct best *best, double cost, int before, bool line, bool between)
{
    if (cost < best->cost)
        *best = (struct best){cost, before, line, between};
}

/* By dynamic programming over the blocks that stand already, the last of them, and whether the line
 * stands among them. */
static void fill_table(const struct costs *c, struct table *t)
{
    for (int set = 1; set < 1 << c->n; set++)
        for (int last = 0; last < c->n; last++) {
            const int before = set & ~(1 << last);
            struct best *without = &t->at[set][last][0], *with = &t->at[set][last][1];
            if (before == set)
                continue;
            *without = *with = (struct best){.cost = HUGE_VAL, .before = NONE};
            if (before == 0) {
                without->cost = 0;
                if (c->line)
                    take(with, c->between[NONE][last], NONE, false, true);
            }
            for (int k = 0; k < c->n; k++) {
                if (!(before & 1 << k))
                    continue;
                const struct best *was = t->at[before][k];
                take(without, was[0].cost + c->beside[k][last], k, false, false);
                if (!c->line)
                    continue;
                take(with, was[1].cost + c->beside[k][last], k, true, false);
                take(with, was[0].cost + c->between[k][last], k, false, true);
            }
        }
}

/* The least over the orders; *last and *with: where the table has it, not set where the line stands
 * alone. *with false though there is a line: that stands behind all others. */
static double least_order(const struct costs *c, struct table *t, int *last, bool *with)
{
    const int all = (1 << c->n) - 1;
    double least = HUGE_VAL;
    if (c->n == 0)
        return c->line ? c->between[NONE][NONE] : 0;
    fill_table(c, t);
    for (int k = 0; k < c->n; k++)
        for (int w = c->line ? 1 : 0; w >= 0; w--) {
            double cost = t->at[all][k][w].cost + (c->line && w == 0 ? c->between[k][NONE] : 0);
            if (cost >= least)
                continue;
            least = cost;
            *last = k;
            *with = w > 0;
        }
    return least;
}

bool filling_light_losses(const struct filling_light *light, const struct filling_stands *stands,
                          double most, double *losses)
{
    struct work w = {.light = light, .stands = stands};
    for (int k = 0; k < light->nsums; k++)
        losses[k] = 0;
    if (stands->nblocks + stands->nparts < 2 || stands->nblocks > BLOCKS)
        return most >= 0;
    look(&w);
    const struct costs none = {.n = stands->nblocks, .line = stands->nparts > 0};
    struct costs all = none;
    struct table table;
    int last;
    bool with;
    for (int k = 0; k < light->nsums; k++)
        add_costs(&w, light->fall[k], light->price[k], &all);
    if (least_order(&all, &table, &last, &with) > most)
        return false;
    for (int k = 0; k < light->nsums; k++) {
        struct costs one = none;
        add_costs(&w, light->fall[k], 1, &one);
        losses[k] = fmax(0, least_order(&one, &table, &last, &with));
    }
    return true;
}

/* ---- the best order ------------------------------------------------------------------------ */

/* Adds what a block loses at a side, and the line between two blocks, at the shares of w. */
static void lose_block(const struct work *w, int b, double share, int nrows,
                       const double *const *fall, double *losses)
{
    for (int r = 0; r < nrows; r++)
        losses[r] += share * fall_of_block(w, fall[r], b);
}

static void lose_line(const struct work *w, int before, int behind, int nrows,
                      const double *const *fall, double *losses)
{
    for (int p = 0; p < w->line.nparts; p++) {
        double share = part_share(w, p, before, behind);
        for (int r = 0; r < nrows; r++)
            losses[r] += share * fall_of_part(w, fall[r], p);
    }
    if (before < NONE)
        lose_block(w, before, w->to_line[before][MUTUAL_BEHIND], nrows, fall, losses);
    if (behind < NONE)
        lose_block(w, behind, w->to_line[behind][MUTUAL_BEFORE], nrows, fall, losses);
}

void filling_light_at_best(const struct filling_light *light, const struct filling_stands *stands,
                           int nrows, const double *const *fall, double *losses)
{
    struct work w = {.light = light, .stands = stands};
    struct table table;
    struct costs all = {.n = stands->nblocks, .line = stands->nparts > 0};
    for (int r = 0; r < nrows; r++)
        losses[r] = 0;
    if (stands->nblocks < 0 || stands->nblocks + stands->nparts < 2 || stands->nblocks > BLOCKS)
        return;
    look(&w);
    for (int k = 0; k < light->nsums; k++)
        add_costs(&w, light->fall[k], light->price[k], &all);
    int last = NONE, set = (1 << all.n) - 1;
    bool with = true;
    least_order(&all, &table, &last, &with);
    if (all.line && (last == NONE || !with))
        lose_line(&w, last, NONE, nrows, fall, losses);
    while (last < NONE) {
        const struct best *b = &table.at[set][last][with];
        if (b->between) {
            lose_line(&w, b->before, last, nrows, fall, losses);
        } else if (b->before < NONE) {
            lose_block(&w, b->before, w.lost[b->before][last][MUTUAL_BEHIND], nrows, fall, losses);
            lose_block(&w, last, w.lost[last][b->before][MUTUAL_BEFORE], nrows, fall, losses);
        }
        set &= ~(1 << last);
        last = b->before;
        with = b->line;
    }
}
