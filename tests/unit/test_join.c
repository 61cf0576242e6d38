/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>
#include <string.h>

#include "dice.h"
#include "join.h"

/* ---- random problems, and all their plans -------------------------------------------------- */

#define ZONES   4
#define ENTRIES 40
#define ROWS    3

struct problem {
    struct join_row rows[ROWS];
    struct fillings lists[ZONES];
    double gap[ZONES][ENTRIES], used[ZONES][ENTRIES][ROWS];
    struct join_problem p;
    long work;
    int banned;  /* a filling of the first zone that no plan may have; -1: none */
    double best; /* met by accept */
    int plans;
};

static bool accept(void *data, const int *chosen, double loss, bool *stop)
{
    struct problem *q = (struct problem *)data;
    *stop = false;
    if (chosen[0] == q->banned)
        return false;
    q->best = loss;
    q->plans++;
    return true;
}

static long asked_most; /* < 0: no end */
static bool go_on(void *data)
{
    (void)data;
    return asked_most < 0 || asked_most-- > 0;
}

/* A seed in whole numbers, a share that is not, and a second goal. */
static void make(struct problem *q, int zones)
{
    memset(q, 0, sizeof *q);
    q->rows[0] = (struct join_row){.side = dice(3, 6 * zones), .price = 0.1, .unit = 1};
    q->rows[1] = (struct join_row){.side = dice(0, 100) / 50.0, .price = dice(0, 40) / 100.0};
    q->rows[2] = (struct join_row){.goal = true, .side = dice(-10, 10) / 20.0, .price = 0.3};
    for (int z = 0; z < zones; z++) {
        int n = dice(1, ENTRIES);
        for (int k = 0; k < n; k++) {
            q->gap[z][k] = dice(0, 1000) / 1000.0;
            q->used[z][k][0] = dice(0, 9);
            q->used[z][k][1] = dice(-1000, 1000) / 700.0;
            q->used[z][k][2] = dice(-1000, 1000) / 900.0;
        }
        q->lists[z] =
            (struct fillings){.n = n, .gap = q->gap[z], .used = q->used[z][0], .whole = true};
    }
    q->work = 100000000;
    asked_most = -1;
    q->banned = dice(0, 3) == 0 ? 0 : -1;
    q->p = (struct join_problem){.nzones = zones,
                                 .nrows = ROWS,
                                 .rows = q->rows,
                                 .lists = q->lists,
                                 .first_weight = 0.7,
                                 .budget = dice(1, 30) / 10.0,
                                 .work = &q->work,
                                 .accept = accept,
                                 .go_on = go_on,
                                 .data = q};
}

/* What a plan loses, by the definition: gaps, what is left of rows at their prices, and more of a
 * goal than of the least one, by its weight. */
static double loss_of(const struct problem *q, const int *chosen)
{
    double sum[ROWS] = {0}, loss = 0;
    for (int z = 0; z < q->p.nzones; z++) {
        loss += q->gap[z][chosen[z]];
        for (int r = 0; r < ROWS; r++)
            sum[r] += q->used[z][chosen[z]][r];
    }
    for (int r = 0; r < 2; r++) {
        if (sum[r] > q->rows[r].side + 1e-9)
            return HUGE_VAL;
        loss += q->rows[r].price * fmax(0, q->rows[r].side - sum[r]);
    }
    double first = 0, second = sum[2] - q->rows[2].side, least = fmin(first, second);
    return loss + 0.7 * (first - least) + 0.3 * (second - least);
}

/* The least loss over all plans. */
static double brute(const struct problem *q)
{
    int chosen[ZONES] = {0};
    double best = HUGE_VAL;
    for (;;) {
        if (chosen[0] != q->banned)
            best = fmin(best, loss_of(q, chosen));
        int z = 0;
        while (z < q->p.nzones && ++chosen[z] == q->lists[z].n)
            chosen[z++] = 0;
        if (z == q->p.nzones)
            return best;
    }
}

static struct join_result join(const struct problem *q)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct join_result r;
    CALL(join_least(&q->p, arena, &r));
    arena_free(arena);
    return r;
}

Test(join, finds_what_trying_all_plans_finds)
{
    int found = 0, none = 0;
    dice_state = 2027;
    for (int k = 0; k < 300; k++) {
        static struct problem q;
        make(&q, dice(1, 3));
        double best = brute(&q);
        struct join_result r = join(&q);
        cr_assert(r.exact, "problem %d", k);
        if (best < q.p.budget - 1e-9) {
            cr_assert(q.plans > 0 && near(q.best, best, 1e-9), "problem %d: %g for %g", k, q.best,
                      best);
            cr_assert(near(r.least, best, 1e-9), "problem %d: least %g for %g", k, r.least, best);
            found++;
        } else {
            cr_assert(q.plans == 0 && near(r.least, q.p.budget, 1e-9), "problem %d", k);
            none++;
        }
    }
    cr_assert(found > 50 && none > 50, "%d found, %d with none", found, none);
}

/* Four zones, and rows of which nothing is left: many grids are laid before all is known. */
Test(join, four_zones)
{
    dice_state = 7;
    for (int k = 0; k < 6; k++) {
        static struct problem q;
        make(&q, 4);
        q.p.budget = 5;
        double best = brute(&q);
        struct join_result r = join(&q);
        cr_assert(r.exact && near(r.least, fmin(best, q.p.budget), 1e-9), "%g for %g", r.least,
                  best);
    }
}

/* Without the work to look at all, what it says still holds. */
Test(join, little_work)
{
    int bounds = 0;
    dice_state = 99;
    for (int k = 0; k < 200; k++) {
        static struct problem q;
        make(&q, 3);
        q.banned = -1;
        double best = brute(&q);
        q.work = 10L << (k % 12);
        struct join_result r = join(&q);
        cr_assert(r.least <= fmin(best, q.p.budget) + 1e-9, "problem %d: %g for %g", k, r.least,
                  best);
        cr_assert(q.plans == 0 || q.best >= best - 1e-9);
        bounds += !r.exact && r.least > 0;
    }
    cr_assert(bounds > 5, "only %d bounds", bounds);
}

Test(join, a_zone_without_fillings)
{
    static struct problem q;
    dice_state = 5;
    make(&q, 2);
    q.lists[1].n = 0;
    struct join_result r = join(&q);
    cr_assert(r.exact && near(r.least, q.p.budget, 1e-12) && q.plans == 0);
}

/* Stopped by the caller: nothing is said that was not shown. */
Test(join, stopped)
{
    static struct problem q;
    dice_state = 7;
    make(&q, 4);
    q.p.budget = 5;
    asked_most = 0;
    q.work = 32768 * 4; /* it is asked at the first step */
    struct join_result r = join(&q);
    cr_assert(!r.exact && r.least <= 0 && q.plans == 0);
}
