/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Few zones: all fillings that are near the best, joined so that nothing better is left. See
 * decompose.h. */
#include <math.h>

#include "decompose_joiner.h"

#define BUDGET_FIRST 0.005 /* of the bound, */
#define BUDGET_SHARE 0.25  /* or of what the best plan loses */
#define BUDGET_MORE  1.25  /* times as much in the next run */
#define GUESS_KICKS  160
#define GUESS_LEAST  8000 /* fillings, to look for plans among them */
#define EXACT        1e-3 /* relative: a gap that is no gap */

/* Whether another run is worth while: what it costs is little, so it goes on beyond the gap that is
 * asked for. */
static bool join_on(const struct joiner *j)
{
    struct decomposition *w = j->w;
    decompose_go_on(w); /* tells progress */
    return !w->stop && w->join_work > 0 &&
           (!w->has || w->bound - w->value > EXACT * fabs(w->value));
}

static hr_status run_within(struct joiner *j, double budget, bool *guessed, bool *more)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    hr_status status = arena ? joiner_list(j, budget, JOINER_LISTED, arena, more) : HR_NOMEM;
    if (status == HR_OK && *more && !*guessed && joiner_listed(j) >= GUESS_LEAST) {
        status = joiner_guess(j, budget, GUESS_KICKS, arena);
        *guessed = true;
    }
    if (status == HR_OK && *more)
        status = joiner_search(j, budget, arena, more);
    arena_free(arena);
    return status;
}

/* Budgets from a share of what the best plan loses to all of that. */
hr_status decompose_join(struct decomposition *w)
{
    struct joiner j;
    bool more, guessed = false;
    hr_status status = joiner_open(w, false, &j, &more);
    double budget = fmin(BUDGET_FIRST * fabs(j.most), BUDGET_SHARE * joiner_lost(&j));
    budget = fmax(budget, BUDGET_MORE * (j.most - w->bound));
    while (more && status == HR_OK && join_on(&j)) {
        budget = fmin(joiner_lost(&j), budget);
        status = run_within(&j, budget, &guessed, &more);
        if (j.again)
            continue;
        more = more && budget < joiner_lost(&j);
        budget *= BUDGET_MORE;
    }
    joiner_close(&j);
    return status;
}
