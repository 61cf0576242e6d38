/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>
#include <stdlib.h>

#include "dice.h"
#include "fillings.h"
#include "garden_text.h"

/* ---- a small plot, and all its fillings ---------------------------------------------------- */

static const char head[] =
    "garden: small\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
    "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\nlimits: {blocks: 4}\n";

struct setting {
    struct garden_text text;
    struct zones zones;
    struct menu menu;
    struct program m;
    double *worth, *use[2]; /* per column; of two rows */
};

/* A line is worth as much as its stations, but for a little. */
static void price(struct setting *s)
{
    struct program *m = &s->m;
    for (int i = 0; i < s->menu.nitems; i++) {
        double station = dice(-1, 10) / 10.0;
        s->worth[m->col_n[i]] = station * s->menu.items[i].stations[1];
        s->worth[m->col_y[i]] = -0.01 * dice(0, 3);
        s->use[0][m->col_n[i]] = s->menu.items[i].stations[1];
        s->use[1][m->col_y[i]] = 1;
        if (m->col_q[i] >= 0) {
            s->worth[m->col_q[i]] = dice(-3, 3) / 10.0;
            s->use[0][m->col_q[i]] = 1;
        }
        if (m->col_s[i] < 0)
            continue;
        s->worth[m->col_s[i]] = station;
        s->worth[m->col_w[i]] = -0.01 * dice(0, 3);
        s->use[0][m->col_s[i]] = 1;
        s->use[1][m->col_w[i]] = 1;
    }
}

static void setting_open(struct setting *s, const char *rest)
{
    char yaml[2048];
    snprintf(yaml, sizeof yaml, "%s%s", head, rest);
    *s = (struct setting){.text = garden_text_read(yaml)};
    cr_assert(s->text.status == HR_OK, "%s", garden_text_diags(&s->text));
    CALL(zones_cut(s->text.garden, s->text.arena, s->text.diags, &s->zones));
    CALL(menu_make(s->text.garden, &s->zones, s->text.arena, s->text.diags, &s->menu));
    CALL(program_init(&s->m, s->text.garden, &s->zones, &s->menu, s->text.arena));
    CALL(program_build(&s->m));
    size_t n = (size_t)s->m.mip.ncolumns;
    s->worth = ARENA_ARRAY(s->text.arena, double, n);
    s->use[0] = ARENA_ARRAY(s->text.arena, double, n);
    s->use[1] = ARENA_ARRAY(s->text.arena, double, n);
    cr_assert(s->worth && s->use[0] && s->use[1]);
    price(s);
}

/* All fillings by the rows of the program alone: lines of one item after the other, then stations,
 * as far as the zone's rows allow. */
struct walk {
    const struct setting *s;
    double *x;
    double *worths; /* of all fillings */
    int n, room;
};

static double worth_of(const struct setting *s, const double *x)
{
    double sum = 0;
    for (int j = 0; j < s->m.mip.ncolumns; j++)
        sum += s->worth[j] * x[j];
    return sum;
}

static bool keeps_rows(const struct setting *s, double *x)
{
    program_settle_ties(&s->m, x);
    for (int e = 0, next; e < s->m.mip.nentries; e = next) {
        int row = s->m.mip.entries[e].row;
        double sum = 0;
        for (next = e; next < s->m.mip.nentries && s->m.mip.entries[next].row == row; next++)
            sum += s->m.mip.entries[next].value * x[s->m.mip.entries[next].column];
        if (!program_row_ties(&s->m, row) &&
            (sum > s->m.mip.rows[row].upper + 1e-9 || sum < s->m.mip.rows[row].lower - 1e-9))
            return false;
    }
    return true;
}

/* Whether the items before i leave any room at all: a walk beyond that is in vain. */
static bool has_room(const struct walk *w, int i)
{
    const struct program *m = &w->s->m;
    const struct zone *zone = &w->s->zones.items[0];
    double depth = zone->depth_m + zone->over_m[0] + zone->over_m[1], length = zone->length_m;
    for (int k = 0; k < w->s->menu.nitems; k++) {
        const struct planting *p = program_planting(m, k);
        int n = (int)w->x[m->col_n[k]];
        depth -= n > 0 ? p->first_m + (n - 1) * p->line_m : 0;
        if (k < i && m->col_s[k] >= 0)
            length -= p->pitch_m * w->x[m->col_s[k]];
    }
    return depth > -1e-6 && length > -1e-6;
}

static void walk_stations(struct walk *w, int i)
{
    const struct program *m = &w->s->m;
    if (!has_room(w, i))
        return;
    if (i == w->s->menu.nitems) {
        double depth = 0;
        bool any = false;
        for (int k = 0; k < i; k++)
            if (m->col_w[k] >= 0 && w->x[m->col_w[k]] > 0) {
                depth = fmax(depth, program_planting(m, k)->first_m);
                any = true;
            }
        w->x[m->col_d[0]] = depth;
        w->x[m->col_v[0]] = any;
        if (!keeps_rows(w->s, w->x))
            return;
        cr_assert(w->n < w->room, "more fillings than the test has room for");
        w->worths[w->n++] = worth_of(w->s, w->x);
        return;
    }
    walk_stations(w, i + 1);
    if (m->col_s[i] < 0)
        return;
    w->x[m->col_w[i]] = 1;
    for (int k = planting_least_shared(program_planting(m, i));
         k <= w->s->menu.items[i].stations[0]; k++) {
        w->x[m->col_s[i]] = k;
        walk_stations(w, i + 1);
    }
    w->x[m->col_w[i]] = w->x[m->col_s[i]] = 0;
}

static void walk_lines(struct walk *w, int i)
{
    const struct program *m = &w->s->m;
    if (i == w->s->menu.nitems) {
        walk_stations(w, 0);
        return;
    }
    for (int n = 0; n <= w->s->menu.items[i].most_lines; n++) {
        w->x[m->col_n[i]] = n;
        if (!has_room(w, 0))
            break;
        w->x[m->col_y[i]] = n > 0;
        if (m->col_q[i] >= 0)
            w->x[m->col_q[i]] = planting_odd_lines(n);
        walk_lines(w, i + 1);
    }
    w->x[m->col_n[i]] = w->x[m->col_y[i]] = 0;
    if (m->col_q[i] >= 0)
        w->x[m->col_q[i]] = 0;
}

static int compare_numbers(const void *a, const void *b)
{
    return (*(const double *)a > *(const double *)b) - (*(const double *)a < *(const double *)b);
}

/* ---- checks -------------------------------------------------------------------------------- */

/* The list has the fillings that are within the budget, each as it says, and no others. */
static int compare(const char *rest, double budget)
{
    struct setting s;
    setting_open(&s, rest);
    cr_assert_eq(s.zones.n, 1);
    struct walk w = {.s = &s, .room = 400000};
    w.x = ARENA_ARRAY(s.text.arena, double, (size_t)s.m.mip.ncolumns);
    w.worths = ARENA_ARRAY(s.text.arena, double, (size_t)w.room);
    walk_lines(&w, 0);
    qsort(w.worths, (size_t)w.n, sizeof *w.worths, compare_numbers);
    double best = w.worths[w.n - 1];
    long work = 10000000;
    struct fillings_query q = {.m = &s.m,
                               .zone = 0,
                               .worth = s.worth,
                               .best = best,
                               .budget = budget,
                               .nrows = 2,
                               .use = (const double *const *)s.use,
                               .work = &work,
                               .most = 400000};
    struct fillings list;
    CALL(fillings_list(&q, s.text.arena, &list));
    cr_assert(list.whole);
    int near_best = 0;
    while (near_best < w.n && w.worths[w.n - 1 - near_best] >= best - budget + 1e-9)
        near_best++;
    int inside = 0;
    double *gaps = ARENA_ARRAY(s.text.arena, double, (size_t)list.n);
    for (int k = 0; k < list.n; k++) {
        double *x = ARENA_ARRAY(s.text.arena, double, (size_t)s.m.mip.ncolumns), used[2] = {0};
        fillings_read(&s.m, 0, &list, k, x);
        cr_assert(keeps_rows(&s, x), "filling %d breaks a row", k);
        cr_assert(near(best - worth_of(&s, x), list.gap[k], 1e-9));
        for (int j = 0; j < s.m.mip.ncolumns; j++)
            for (int r = 0; r < 2; r++)
                used[r] += s.use[r][j] * x[j];
        cr_assert(near(used[0], list.used[2 * k], 1e-9) &&
                  near(used[1], list.used[2 * k + 1], 1e-9));
        inside += list.gap[k] < budget - 1e-9;
        gaps[k] = list.gap[k];
    }
    cr_assert(inside == near_best, "%d listed, %d there are: %s", inside, near_best, rest);
    qsort(gaps, (size_t)list.n, sizeof *gaps, compare_numbers);
    for (int k = 0; k < inside; k++)
        cr_assert(near(gaps[k], best - w.worths[w.n - 1 - k], 1e-9), "filling %d: %s", k, rest);
    garden_text_free(&s.text);
    return inside;
}

Test(fillings, all_that_are_near_the_best, .timeout = 120)
{
    static const char *const plots[] = {
        "plots: [{name: P, size: 1.2 m x 2 m, rows: along-x, border: 0 m}]\n"
        "seed: [{variety: A, crop: flint corn}, {variety: B, crop: summer squash}]\n",
        "plots: [{name: P, size: 1.5 m x 1.6 m, rows: along-x, border: 0 m}]\n"
        "seed: [{variety: A, crop: potato}, {variety: B, crop: kale}]\n",
    };
    int listed = 0;
    dice_state = 88172645463325252ul;
    for (int run = 0; run < 8; run++)
        listed += compare(plots[run % 2], dice(10, 60) / 10.0);
    cr_assert(listed > 300, "only %d fillings", listed);
}

/* Vines over a path at either end: what lies beyond counts for the block that stands there. */
Test(fillings, over_paths, .timeout = 120)
{
    int listed = 0;
    dice_state = 1234567891ul;
    for (int run = 0; run < 8; run++)
        listed += compare("plots:\n  - {name: P, size: 2 m x 2.6 m, rows: along-x, border: 10 cm,\n"
                          "     edges: [{side: 1, kind: path, overhang: yes},\n"
                          "             {side: 3, kind: path, overhang: yes}]}\n"
                          "seed: [{variety: A, crop: flint corn, amount: 40 seeds},\n"
                          "       {variety: C, crop: butternut squash}]\n",
                          dice(10, 60) / 10.0);
    cr_assert(listed > 50, "only %d fillings", listed);
}

Test(fillings, gives_up_when_there_are_too_many)
{
    struct setting s;
    dice_state = 3;
    setting_open(&s, "plots: [{name: P, size: 9 m x 9 m, rows: along-x}]\n"
                     "seed: [{variety: A, crop: flint corn}, {variety: B, crop: kale},\n"
                     "       {variety: C, crop: potato}, {variety: D, crop: dry pea}]\n");
    long work = 100000;
    struct fillings_query q = {.m = &s.m,
                               .zone = 0,
                               .worth = s.worth,
                               .best = 1000,
                               .budget = 1000,
                               .nrows = 2,
                               .use = (const double *const *)s.use,
                               .work = &work,
                               .most = 1000};
    struct fillings list;
    CALL(fillings_list(&q, s.text.arena, &list));
    cr_assert(!list.whole && list.n <= 1001);
    garden_text_free(&s.text);
}
