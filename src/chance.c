/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "chance.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "range.h"
#include "stats.h"

#define SAME 1e-9 /* relative: less apart is the same */

/* The figures of a crop that are uncertain, as range.c draws them; hours have no say in food. */
static const struct crop_figure {
    const char *name;
    size_t offset;
} crop_figures[] = {
    {"yield", offsetof(struct crop, yield_kg_m2)},
    {"best density", offsetof(struct crop, best_density_m2)},
    {"half density", offsetof(struct crop, half_density_m2)},
    {"shade response", offsetof(struct crop, shade_response)},
    {"energy", offsetof(struct crop, food.energy_kcal_kg)},
    {"protein", offsetof(struct crop, food.protein_kg_kg)},
    {"digestibility", offsetof(struct crop, food.digestibility)},
    {"refuse", offsetof(struct crop, food.refuse)},
};
#define NFIGURES (sizeof crop_figures / sizeof crop_figures[0])

struct trial {
    const struct garden *garden;
    int n; /* plans */
    struct range_stand *stands;
    double *kg;
    struct arena *arena;
    struct range_season season; /* typical, but for the figure being moved */
    double *typical;            /* worth of each plan */
};

static double worth(const struct trial *t, int plan, const struct range_season *season)
{
    struct food food;
    double hours;
    range_harvest(&t->stands[plan], season, t->kg, &food, &hours);
    return food_value(&food, (enum goal)t->garden->goal.v, &t->garden->ration);
}

static bool even(double a, double b)
{
    return fabs(a - b) <= SAME * fmax(fabs(a), fabs(b));
}

static struct chance_pair *pair_at(struct chance_pair *pairs, int n, int a, int b)
{
    return &pairs[a * n - a * (a + 1) / 2 + b - a - 1];
}

const struct chance_pair *chance_pair_of(const struct chance_pair *pairs, int n, int a, int b)
{
    int low = a < b ? a : b, high = a < b ? b : a;
    return &pairs[low * n - low * (low + 1) / 2 + high - low - 1];
}

double chance_wins(const struct chance_pair *pairs, int n, int a, int b)
{
    if (a == b)
        return 0.5;
    double wins = chance_pair_of(pairs, n, a, b)->wins;
    return a < b ? wins : 1 - wins;
}

/* ---- the same seasons for all -------------------------------------------------------------- */

static hr_status play(struct trial *t, int draws, unsigned long seed, struct chance_pair *pairs)
{
    double *v = ARENA_ARRAY(t->arena, double, (size_t)draws *(size_t)t->n);
    double *lead = ARENA_ARRAY(t->arena, double, (size_t)draws);
    struct range_draws *seasons = range_draws_new(t->garden, NULL, seed, t->arena);
    if (!v || !lead || !seasons) {
        range_draws_free(seasons);
        return HR_NOMEM;
    }
    for (int d = 0; d < draws; d++) {
        const struct range_season *season = range_draws_next(seasons);
        for (int p = 0; p < t->n; p++)
            v[p * draws + d] = worth(t, p, season);
    }
    range_draws_free(seasons);
    for (int a = 0; a < t->n; a++)
        for (int b = a + 1; b < t->n; b++) {
            struct chance_pair *pair = pair_at(pairs, t->n, a, b);
            int halves = 0, evens = 0; /* whole numbers: a layout against itself is exactly even */
            for (int d = 0; d < draws; d++) {
                double x = v[a * draws + d], y = v[b * draws + d];
                bool drawn = even(x, y);
                evens += drawn;
                halves += drawn ? 1 : x > y ? 2 : 0;
                lead[d] = drawn ? 0 : x - y;
            }
            double typical = t->typical[a] - t->typical[b];
            pair->a = a;
            pair->b = b;
            pair->wins = halves / (2.0 * draws);
            pair->same = evens == draws;
            pair->lead.typ = even(t->typical[a], t->typical[b]) ? 0 : typical;
            pair->lead.low = fmin(pair->lead.typ, stats_quantile(lead, (size_t)draws, 0.1));
            pair->lead.high = fmax(pair->lead.typ, stats_quantile(lead, (size_t)draws, 0.9));
        }
    return HR_OK;
}

/* ---- one figure at a time ------------------------------------------------------------------ */

static void keep_swing(struct chance_pair *pair, const struct swing *s)
{
    double width = fabs(s->high - s->low);
    int i = pair->nswings;
    while (i > 0 && fabs(pair->swings[i - 1].high - pair->swings[i - 1].low) < width)
        i--;
    if (i >= CHANCE_SWINGS)
        return;
    int last = pair->nswings < CHANCE_SWINGS ? pair->nswings++ : CHANCE_SWINGS - 1;
    for (int k = last; k > i; k--)
        pair->swings[k] = pair->swings[k - 1];
    pair->swings[i] = *s;
}

/* The worth of each plan with a figure low, then high, into the pairs. */
static void take_swing(struct trial *t, const char *figure, const double *low, const double *high,
                       struct chance_pair *pairs)
{
    for (int a = 0; a < t->n; a++)
        for (int b = a + 1; b < t->n; b++) {
            struct swing s = {figure, low[a] - low[b], high[a] - high[b], false};
            double scale = fmax(fabs(t->typical[a]), fabs(t->typical[b]));
            double lead = t->typical[a] - t->typical[b];
            if (fabs(s.high - s.low) <= 1e-6 * scale)
                continue;
            s.flips = (lead > 0 && fmin(s.low, s.high) < -SAME * scale) ||
                      (lead < 0 && fmax(s.low, s.high) > SAME * scale);
            keep_swing(pair_at(pairs, t->n, a, b), &s);
        }
}

static void all_worths(struct trial *t, double *out)
{
    for (int p = 0; p < t->n; p++)
        out[p] = worth(t, p, &t->season);
}

/* A crop's figures as they would be if this one were typically so much. */
static void move_figure(struct trial *t, const struct crop *crop, size_t offset, double value)
{
    struct crop moved = *crop;
    ((struct range *)(void *)((char *)&moved + offset))->typ = value;
    for (size_t s = 0; s < t->garden->seed.n; s++)
        if (garden_seed(t->garden, s)->crop == crop) {
            stand_figures_typical(&moved, &t->season.crops[s].figures);
            t->season.crops[s].rate = food_rate_typical(&moved);
        }
}

static bool is_grown(const struct trial *t, const struct crop *crop)
{
    for (int p = 0; p < t->n; p++)
        for (int c = 0; c < t->stands[p].plan->ncrops; c++)
            if (t->stands[p].plan->crops[c].seed->crop == crop)
                return true;
    return false;
}

static hr_status swing_crop(struct trial *t, const struct crop *crop, double *low, double *high,
                            struct chance_pair *pairs)
{
    for (size_t i = 0; i < NFIGURES; i++) {
        size_t at = crop_figures[i].offset;
        const struct range *r = (const struct range *)(const void *)((const char *)crop + at);
        if (!r->set || r->low >= r->high)
            continue;
        const char *name = arena_printf(t->arena, "%s of %s", crop_figures[i].name, crop->name.s);
        if (!name)
            return HR_NOMEM;
        move_figure(t, crop, at, r->low);
        all_worths(t, low);
        move_figure(t, crop, at, r->high);
        all_worths(t, high);
        move_figure(t, crop, at, r->typ);
        take_swing(t, name, low, high, pairs);
    }
    return HR_OK;
}

static hr_status swing_mixture(struct trial *t, double *low, double *high,
                               struct chance_pair *pairs)
{
    size_t n;
    const struct stand_alpha *alphas = stand_alphas(&n);
    struct stand_mixture *mix = &t->season.mixture;
    for (size_t i = 0; i < n; i++) {
        double *alpha = &mix->alpha[alphas[i].pressed][alphas[i].pressing];
        const char *name =
            arena_printf(t->arena, "pressure of the %s on the %s", role_names[alphas[i].pressing],
                         role_names[alphas[i].pressed]);
        if (!name)
            return HR_NOMEM;
        *alpha = alphas[i].low;
        all_worths(t, low);
        *alpha = alphas[i].high;
        all_worths(t, high);
        *alpha = alphas[i].typ;
        take_swing(t, name, low, high, pairs);
    }
    mix->hill_loss = stand_hill_loss_range[0];
    all_worths(t, low);
    mix->hill_loss = stand_hill_loss_range[2];
    all_worths(t, high);
    mix->hill_loss = stand_hill_loss_range[1];
    take_swing(t, "loss by crowding in a hill", low, high, pairs);
    return HR_OK;
}

static hr_status swing_all(struct trial *t, struct chance_pair *pairs)
{
    double *low = ARENA_ARRAY(t->arena, double, (size_t)t->n);
    double *high = ARENA_ARRAY(t->arena, double, (size_t)t->n);
    if (!low || !high)
        return HR_NOMEM;
    hr_status status = swing_mixture(t, low, high, pairs);
    for (size_t s = 0; s < t->garden->seed.n && status == HR_OK; s++) {
        const struct crop *crop = garden_seed(t->garden, s)->crop;
        bool before = false;
        for (size_t i = 0; i < s; i++)
            before |= garden_seed(t->garden, i)->crop == crop;
        if (!before && is_grown(t, crop))
            status = swing_crop(t, crop, low, high, pairs);
    }
    return status;
}

/* ---- the whole ----------------------------------------------------------------------------- */

hr_status chance_compare(const struct garden *garden, const struct plan *const *plans, int n,
                         int draws, unsigned long seed, struct arena *arena,
                         struct chance_pair **out, int *npairs)
{
    int count = n * (n - 1) / 2;
    struct chance_pair *pairs = ARENA_ARRAY(arena, struct chance_pair, (size_t)count);
    struct trial t = {.garden = garden, .n = n, .arena = arena};
    t.stands = ARENA_ARRAY(arena, struct range_stand, (size_t)n);
    t.kg = ARENA_ARRAY(arena, double, garden->seed.n);
    t.typical = ARENA_ARRAY(arena, double, (size_t)n);
    if (!pairs || !t.stands || !t.kg || !t.typical)
        return HR_NOMEM;
    hr_status status = range_typical(garden, arena, &t.season);
    for (int p = 0; p < n && status == HR_OK; p++)
        status = range_stand_count(plans[p], arena, &t.stands[p]);
    if (status != HR_OK)
        return status;
    all_worths(&t, t.typical);
    status = play(&t, draws, seed, pairs);
    if (status == HR_OK)
        status = swing_all(&t, pairs);
    if (status != HR_OK)
        return status;
    *out = pairs;
    *npairs = count;
    return HR_OK;
}
