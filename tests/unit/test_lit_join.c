/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bound that knows of shade in few zones, against every plan of two beds. */
#include "hr_test.h"

#include <math.h>
#include <stdlib.h>

#include "allocate.h"
#include "arrange.h"
#include "menu_text.h"

#define BLOCKS 3
#define FOUND  200000

static const char head[] = "garden: two\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
                           "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\n"
                           "goal: energy\nlimits: {blocks: 3}\ngrow: {systems: [rows]}\n";

/* ---- all plans of one bed ------------------------------------------------------------------ */

/* What a plan of a bed gives as arranged, and the ground of both crops in it. */
struct found {
    double kcal, ground_m2[2];
};

struct walk {
    struct made made;
    struct choice_lines chosen[BLOCKS];
    int n;
    struct found *found;
    int nfound;
};

static const struct planting *planting_of(const struct walk *w, int item)
{
    return &w->made.menu.plantings[w->made.menu.items[item].planting];
}

static void note(struct walk *w)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct allocation allocation = {.chosen = w->chosen, .n = w->n};
    struct arrangement r;
    struct found f = {0};
    CALL(arrange(w->made.text.garden, &w->made.zones, &w->made.menu, &allocation, arena, &r));
    f.kcal = r.value;
    for (int k = 0; k < w->n; k++) {
        const struct choice_lines *c = &w->chosen[k];
        const struct planting *p = planting_of(w, c->item);
        double length = w->made.menu.items[c->item].length_m;
        f.ground_m2[p->parts[0].seed_index] += c->stations > 0
                                                   ? c->stations * p->pitch_m * p->line_m
                                                   : planting_depth(p, c->lines) * length;
    }
    cr_assert(w->nfound < FOUND);
    w->found[w->nfound++] = f;
    arena_free(arena);
}

static void each_part(struct walk *w, int from, int parts, double length_m, double depth_m)
{
    note(w);
    for (int i = from; i < w->made.menu.nitems && w->n < BLOCKS; i++) {
        const struct planting *p = planting_of(w, i);
        bool twice = false;
        for (int k = w->n - parts; k < w->n; k++)
            twice = twice || planting_of(w, w->chosen[k].item)->parts[0].seed_index ==
                                 p->parts[0].seed_index;
        if (twice || p->first_m > depth_m + 1e-9)
            continue;
        for (int s = planting_least_shared(p); s * p->pitch_m <= length_m + 1e-9; s++) {
            w->chosen[w->n++] = (struct choice_lines){i, 1, s};
            each_part(w, i + 1, parts + 1, length_m - s * p->pitch_m, depth_m);
            w->n--;
        }
    }
}

static void each_block(struct walk *w, int from, double depth_m)
{
    each_part(w, 0, 0, w->made.zones.items[0].length_m, depth_m);
    for (int i = from; i < w->made.menu.nitems && w->n < BLOCKS; i++) {
        const struct planting *p = planting_of(w, i);
        for (int n = 1; planting_depth(p, n) <= depth_m + 1e-9; n++) {
            w->chosen[w->n++] = (struct choice_lines){i, n, 0};
            each_block(w, i + 1, depth_m - planting_depth(p, n));
            w->n--;
        }
    }
}

static bool beats(const struct found *a, const struct found *b)
{
    return a->kcal >= b->kcal && a->ground_m2[0] >= b->ground_m2[0] &&
           a->ground_m2[1] >= b->ground_m2[1];
}

static int by_kcal(const void *pa, const void *pb)
{
    const struct found *a = pa, *b = pb;
    return (a->kcal < b->kcal) - (a->kcal > b->kcal);
}

/* The plans of a bed that no other one beats in all. */
static void walk_open(struct walk *w, const char *plot, const char *rest)
{
    char yaml[2048];
    snprintf(yaml, sizeof yaml, "%splots:\n%s%s", head, plot, rest);
    *w = (struct walk){.made = made_of(yaml), .found = calloc(FOUND, sizeof *w->found)};
    cr_assert(w->found && w->made.zones.n == 1);
    each_block(w, 0, w->made.zones.items[0].depth_m);
    qsort(w->found, (size_t)w->nfound, sizeof *w->found, by_kcal);
    int kept = 0;
    for (int k = 0; k < w->nfound; k++) {
        bool beaten = false;
        for (int o = 0; o < kept && !beaten; o++)
            beaten = beats(&w->found[o], &w->found[k]);
        if (!beaten)
            w->found[kept++] = w->found[k];
    }
    w->nfound = kept;
}

static void walk_close(struct walk *w)
{
    free(w->found);
    garden_text_free(&w->made.text);
}

/* ---- both beds ----------------------------------------------------------------------------- */

static double best_of(const struct walk *a, const struct walk *b, const double *ground_m2)
{
    double best = 0;
    for (int i = 0; i < a->nfound; i++)
        for (int k = 0; k < b->nfound; k++) {
            bool enough = true;
            for (int c = 0; c < 2; c++)
                enough = enough &&
                         a->found[i].ground_m2[c] + b->found[k].ground_m2[c] >= ground_m2[c] - 1e-9;
            if (enough)
                best = fmax(best, a->found[i].kcal + b->found[k].kcal);
        }
    return best;
}

struct offers {
    const struct made *made;
    double best;
    int n;
    bool keep; /* to itself how good they are */
};

static hr_status on_offer(void *data, const struct choice_lines *chosen, int n, double *value)
{
    struct offers *o = data;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct allocation allocation = {.chosen = ARENA_ARRAY(arena, struct choice_lines, (size_t)n),
                                    .n = n};
    struct arrangement r;
    for (int k = 0; k < n; k++)
        allocation.chosen[k] = chosen[k];
    CALL(arrange(o->made->text.garden, &o->made->zones, &o->made->menu, &allocation, arena, &r));
    *value = o->keep ? -HUGE_VAL : r.value;
    o->best = fmax(o->best, r.value);
    o->n++;
    arena_free(arena);
    return HR_OK;
}

static const char one[] = "  - {name: one, size: 2.7 m x 1.5 m, rows: along-y}\n";
static const char two[] = "  - {name: two, size: 2.1 m x 1.2 m, rows: along-y, bearing: 20 deg}\n";

static void check(const struct walk *a, const struct walk *b, const char *seed,
                  const double *ground_m2)
{
    char yaml[2048], wishes[200];
    snprintf(wishes, sizeof wishes,
             "wishes:\n  - {crop: flint corn, at least: %.2f m2}\n"
             "  - {crop: potato, at least: %.2f m2}\n",
             ground_m2[0], ground_m2[1]);
    double best = best_of(a, b, ground_m2);
    snprintf(yaml, sizeof yaml, "%splots:\n%s%s%s%s", head, one, two, seed, wishes);
    struct made m = made_of(yaml);
    for (int keep = 0; keep < 2; keep++) {
        struct offers offers = {.made = &m, .keep = keep};
        struct allocate_options o = {
            .seconds = 60, .gap = 0.005, .offer = on_offer, .offer_data = &offers, .shade = true};
        struct allocation r = {0};
        hr_status status =
            allocate(m.text.garden, &m.zones, &m.menu, &o, m.text.arena, m.text.diags, &r);
        cr_assert(status == HR_OK || status == HR_LIMIT, "%s", garden_text_diags(&m.text));
        cr_assert(best > 0 && best < r.bound, "%g kcal, in full light %g", best, r.bound);
        cr_assert(r.lit_bound >= best * (1 - 1e-9), "%g kcal, told %g", best, r.lit_bound);
        cr_assert(r.lit_bound <= 1.01 * best, "%g kcal, told %g", best, r.lit_bound);
        cr_assert(r.lit_bound - best < 0.7 * (r.bound - best), "%g kcal, %g, in full light %g",
                  best, r.lit_bound, r.bound);
        cr_assert(offers.n > 0 && offers.best <= best * (1 + 1e-9) && offers.best > 0.985 * best,
                  "%d offered, the best one gives %g of %g kcal", offers.n, offers.best, best);
    }
    garden_text_free(&m.text);
}

/* Told how good plans are, the search proves the gap it is asked for; not told, it goes as far as
 * it comes. Corn and potatoes: both are to have more ground than the smaller bed has. */
Test(lit_join, two_beds_exhaustively)
{
    static const char seed[] =
        "seed:\n  - {variety: A, crop: flint corn}\n  - {variety: B, crop: potato}\n";
    static const double ground[][2] = {{2.2, 1.4}, {1.6, 2.6}};
    struct walk a, b;
    walk_open(&a, one, seed);
    walk_open(&b, two, seed);
    for (size_t k = 0; k < sizeof ground / sizeof *ground; k++)
        check(&a, &b, seed, ground[k]);
    walk_close(&a);
    walk_close(&b);
}
