/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>
#include <string.h>

#include "dice.h"
#include "join_guess.h"

/* ---- random problems, and all their choices ------------------------------------------------ */

#define ZONES   3
#define ENTRIES 30
#define ROWS    4
#define MOST    5

struct problem {
    struct join_row rows[ROWS];
    double margin[ROWS];
    struct guess_zone zones[ZONES];
    double gap[ZONES][ENTRIES], used[ZONES][ENTRIES][ROWS];
    double seen[MOST]; /* by accept */
    int nseen, asked;
    bool stop;
};

static double use(void *data, const struct guess_zone *zone, int k, double *used)
{
    const struct problem *q = data;
    memcpy(used, q->used[zone->zone][k], sizeof q->used[0][0]);
    return q->gap[zone->zone][k];
}

/* What a choice loses; HUGE_VAL where it breaks a row. */
static double loss_of(const struct problem *q, const int *chosen)
{
    double loss = 0, level = 0, least = 0;
    for (int z = 0; z < ZONES; z++)
        loss += q->gap[z][chosen[z]];
    for (int r = 0; r < ROWS; r++) {
        double over = -q->rows[r].side;
        for (int z = 0; z < ZONES; z++)
            over += q->used[z][chosen[z]][r];
        if (q->rows[r].goal) {
            level += q->rows[r].price * over;
            least = fmax(least, -over);
        } else if (over > 1e-9 * (1 + fabs(q->rows[r].side))) {
            return HUGE_VAL;
        } else {
            loss -= q->rows[r].price * fmin(0, over);
        }
    }
    return loss + fmax(0, level + least);
}

static bool accept(void *data, const int *chosen, double loss)
{
    struct problem *q = data;
    cr_assert(near(loss, loss_of(q, chosen), 1e-9), "%g told, not %g", loss, loss_of(q, chosen));
    cr_assert(q->nseen < MOST && (q->nseen == 0 || loss >= q->seen[q->nseen - 1]));
    q->seen[q->nseen++] = loss;
    return q->stop;
}

static bool go_on(void *data)
{
    ((struct problem *)data)->asked++;
    return true;
}

/* A row with a price, one without, one that is 0 or more, and a second goal. */
static void make(struct problem *q)
{
    memset(q, 0, sizeof *q);
    q->rows[0] = (struct join_row){.side = dice(8, 24), .price = 0.1};
    q->rows[1] = (struct join_row){.side = dice(0, 100) / 50.0};
    q->rows[2] = (struct join_row){.side = -dice(0, 8), .price = 0.05};
    q->rows[3] = (struct join_row){.goal = true, .side = dice(-10, 10) / 20.0, .price = 0.3};
    for (int z = 0; z < ZONES; z++) {
        int n = dice(1, ENTRIES);
        for (int k = 0; k < n; k++) {
            q->gap[z][k] = dice(0, 1000) / 1000.0;
            q->used[z][k][0] = dice(0, 9);
            q->used[z][k][1] = dice(-1000, 1000) / 700.0;
            q->used[z][k][2] = -dice(0, 4);
            q->used[z][k][3] = dice(-1000, 1000) / 900.0;
        }
        q->zones[z] = (struct guess_zone){n, q->gap[z], z, use};
    }
}

static double best_of_all(const struct problem *q)
{
    double best = HUGE_VAL;
    int c[ZONES];
    for (c[0] = 0; c[0] < q->zones[0].n; c[0]++)
        for (c[1] = 0; c[1] < q->zones[1].n; c[1]++)
            for (c[2] = 0; c[2] < q->zones[2].n; c[2]++)
                best = fmin(best, loss_of(q, c));
    return best;
}

static void guess(struct problem *q)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct guess_problem p = {.nzones = ZONES,
                              .nrows = ROWS,
                              .rows = q->rows,
                              .margin = q->margin,
                              .zones = q->zones,
                              .scale = 0.5,
                              .kicks = 40,
                              .accept = accept,
                              .go_on = go_on,
                              .data = q};
    CALL(join_guess(&p, MOST, arena));
    arena_free(arena);
}

/* What is shown breaks nothing and is told right, and is nearly always the best there is. */
Test(join_guess, finds_the_best)
{
    int with = 0, best = 0;
    dice_state = 3;
    for (int k = 0; k < 60; k++) {
        struct problem q;
        make(&q);
        guess(&q);
        double all = best_of_all(&q);
        cr_assert(q.nseen == 0 || q.seen[0] >= all - 1e-9);
        cr_assert(q.nseen > 0 || isinf(all), "problem %d: none found", k);
        with += isfinite(all);
        best += isfinite(all) && q.seen[0] <= all + 1e-9;
    }
    cr_assert(with > 30 && best >= with - 1, "%d of %d", best, with);
}

/* A row is kept by its margin, too. */
Test(join_guess, keeps_a_margin)
{
    dice_state = 4;
    for (int k = 0; k < 20; k++) {
        struct problem q, stricter;
        make(&q);
        stricter = q;
        stricter.rows[0].side -= 0.2 * q.rows[0].side;
        double all = best_of_all(&stricter);
        q.margin[0] = 0.2;
        for (int z = 0; z < ZONES; z++)
            q.zones[z].gap = q.gap[z];
        q.rows[0].price = stricter.rows[0].price = 0; /* else the slack would cost, too */
        all = best_of_all(&stricter);
        guess(&q);
        cr_assert(q.nseen == 0 || q.seen[0] >= all - 1e-9, "%g, at least %g", q.seen[0], all);
    }
}

/* It asks whether to go on, and ends when that is what the caller wants. */
Test(join_guess, stops)
{
    dice_state = 3;
    struct problem q;
    make(&q);
    q.stop = true;
    guess(&q);
    cr_assert(q.nseen == 1 && q.asked > 0);
}

/* A zone without any filling: there is no choice. */
Test(join_guess, nothing_to_choose)
{
    dice_state = 3;
    struct problem q;
    make(&q);
    q.zones[1].n = 0;
    guess(&q);
    cr_assert(q.nseen == 0);
}
