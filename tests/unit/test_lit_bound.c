/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "arrange.h"
#include "lit_bound.h"
#include "menu_text.h"

#define BLOCKS 3
#define PARTS  2

/* Goes through every plan of a garden of one zone, in the light it has as arranged. */
struct all {
    struct made made;
    struct choice_lines chosen[BLOCKS];
    int n;
    double best; /* kcal */
    long arranged;
};

/* kcal that so many lines or stations give in full light. */
static double full_kcal(const struct all *a, const struct choice_lines *c)
{
    const struct item *item = &a->made.menu.items[c->item];
    return c->stations > 0 ? item->food[0].energy_kcal * c->stations / item->stations[0]
                           : item->food[0].energy_kcal * planting_odd_lines(c->lines) +
                                 item->food[1].energy_kcal * planting_even_lines(c->lines);
}

/* The share of the energy that comes from the crop that brings most. */
static double top_share(const struct all *a, const struct arrangement *r)
{
    double top = 0;
    for (int b = 0; b < r->n; b++) {
        double sum = 0;
        for (int o = 0; o < r->n; o++) {
            const struct crop *crop = r->blocks[o].planting->parts[0].crop;
            double kg;
            if (crop != r->blocks[b].planting->parts[0].crop)
                continue;
            block_harvest(&a->made.menu, &r->blocks[o], &kg);
            sum += kg * food_rate_typical(crop).energy_kcal;
        }
        top = fmax(top, sum / r->food.energy_kcal);
    }
    return top;
}

static void look_at(struct all *a)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    const struct garden *g = a->made.text.garden;
    struct allocation allocation = {.chosen = a->chosen, .n = a->n};
    struct arrangement r;
    double full = 0;
    for (int k = 0; k < a->n; k++)
        full += full_kcal(a, &a->chosen[k]);
    if (full > a->best) {
        a->arranged++;
        CALL(arrange(g, &a->made.zones, &a->made.menu, &allocation, arena, &r));
        if (!g->limits.share_energy.set || top_share(a, &r) <= g->limits.share_energy.v + 1e-9)
            a->best = fmax(a->best, r.value);
    }
    arena_free(arena);
}

/* Parts of the shared line from item `from` on, in what is left of its length and the depth. */
static void each_part(struct all *a, int from, int parts, double length_m, double depth_m)
{
    look_at(a);
    for (int i = from; i < a->made.menu.nitems && a->n < BLOCKS && parts < PARTS; i++) {
        const struct planting *p = &a->made.menu.plantings[a->made.menu.items[i].planting];
        bool twice = false;
        for (int k = a->n - parts; k < a->n; k++)
            twice = twice || a->made.menu.plantings[a->made.menu.items[a->chosen[k].item].planting]
                                     .parts[0]
                                     .seed_index == p->parts[0].seed_index;
        if (p->system != SYSTEM_ROWS || twice || p->first_m > depth_m + 1e-9)
            continue;
        for (int s = planting_least_shared(p); s * p->pitch_m <= length_m + 1e-9; s++) {
            a->chosen[a->n++] = (struct choice_lines){i, 1, s};
            each_part(a, i + 1, parts + 1, length_m - s * p->pitch_m, depth_m);
            a->n--;
        }
    }
}

static void each_block(struct all *a, int from, double depth_m)
{
    each_part(a, 0, 0, a->made.zones.items[0].length_m, depth_m);
    for (int i = from; i < a->made.menu.nitems && a->n < BLOCKS; i++) {
        const struct planting *p = &a->made.menu.plantings[a->made.menu.items[i].planting];
        for (int n = 1; planting_depth(p, n) <= depth_m + 1e-9; n++) {
            a->chosen[a->n++] = (struct choice_lines){i, n, 0};
            each_block(a, i + 1, depth_m - planting_depth(p, n));
            a->n--;
        }
    }
}

/* What is offered on the way to a bound. */
struct offers {
    const struct made *made;
    double best; /* as arranged */
    int n;
};

static hr_status on_offer(void *offered, const struct choice_lines *chosen, int n, double *value)
{
    struct offers *offers = offered;
    struct choice_lines copy[BLOCKS];
    struct allocation allocation = {.chosen = copy, .n = n};
    struct arrangement r;
    cr_assert(n <= BLOCKS, "%d blocks", n);
    memcpy(copy, chosen, sizeof *chosen * (size_t)n);
    CALL(arrange(offers->made->text.garden, &offers->made->zones, &offers->made->menu, &allocation,
                 offers->made->text.arena, &r));
    *value = r.value;
    offers->best = fmax(offers->best, r.value);
    offers->n++;
    return HR_OK;
}

/* The bound with shade, of plans that give more than `above`; *offers may be NULL. */
static double bound_above(const struct made *m, double above, double plain, struct offers *offers)
{
    struct lit_bound_options o = {.seconds = 60,
                                  .value = above,
                                  .above = above,
                                  .bound = plain,
                                  .offer = offers ? on_offer : NULL,
                                  .offered = offers};
    double bound = 0;
    CALL(lit_bound(m->text.garden, &m->zones, &m->menu, &o, &bound));
    return bound;
}

struct bed {
    const char *size, *rows, *bearing, *latitude, *frosts, *more;
};
#define NORTH                                                                                      \
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"                                 \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
#define SOUTH                                                                                      \
    "  last frost: {early: Sep 1, median: Sep 15, late: Sep 30}\n"                                 \
    "  first frost: {early: May 1, median: May 15, late: May 30}\n"

static struct made bed_of(const struct bed *b)
{
    char yaml[2048];
    snprintf(yaml, sizeof yaml,
             "garden: bed\nunits: metric\nyear: 2027\nsite:\n  latitude: %s\n%s"
             "plots:\n  - {name: bed, size: %s, rows: %s, bearing: %s}\n"
             "seed:\n  - {variety: A, crop: flint corn}\n  - {variety: B, crop: potato}\n"
             "goal: energy\nlimits: {blocks: %d%s}\n",
             b->latitude, b->frosts, b->size, b->rows, b->bearing, BLOCKS, b->more);
    return made_of(yaml);
}

static const struct bed beds[] = {
    {"1.6 m x 2.6 m", "along-x", "0 deg", "42 deg", NORTH, ", share of energy: 70 %"},
    {"2.4 m x 1.5 m", "along-y", "70 deg", "42 deg", NORTH, ", share of energy: 60 %"},
    {"1.5 m x 2.2 m", "along-x", "20 deg", "-34 deg", SOUTH, ", share of energy: 65 %"},
};

/* Every filling of a small bed in its best order: none gives more than the bound, which here is
 * what the best one gives, and less than full light promises; the best one is offered. */
Test(lit_bound, no_plan_gives_more)
{
    for (size_t k = 0; k < sizeof beds / sizeof *beds; k++) {
        struct all a = {.made = bed_of(&beds[k])};
        struct allocate_options o = {.seconds = 60, .gap = 0};
        struct allocation full;
        each_block(&a, 0, a.made.zones.items[0].depth_m);
        CALL(allocate(a.made.text.garden, &a.made.zones, &a.made.menu, &o, a.made.text.arena,
                      a.made.text.diags, &full));
        cr_assert(a.arranged > 20, "bed %zu: %ld plans were looked at", k, a.arranged);
        struct offers offers = {.made = &a.made};
        double low = bound_above(&a.made, 0.98 * a.best, full.bound, &offers);
        cr_assert(low >= a.best * (1 - 1e-9), "bed %zu: %g, a plan gives %g", k, low, a.best);
        cr_assert(near(offers.best, a.best, 1e-6 * a.best),
                  "bed %zu: of %d offers the best gives %g", k, offers.n, offers.best);
        cr_assert(low <= a.best * (1 + 1e-3), "bed %zu: %g, the best gives %g", k, low, a.best);
        cr_assert(low < full.bound * (1 - 0.01), "bed %zu: %g, full %g", k, low, full.bound);
        double above = bound_above(&a.made, 1.002 * a.best, full.bound, NULL);
        cr_assert(near(above, 1.002 * a.best, 1e-6 * above), "none gives more: %g", above);
        garden_text_free(&a.made.text);
    }
}

Test(lit_bound, nothing_to_look_for)
{
    struct made m = bed_of(&beds[0]);
    cr_assert(bound_above(&m, 5000, 4000, NULL) == 4000, "the plan is at its bound");
    garden_text_free(&m.text);
}
