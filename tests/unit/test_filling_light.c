/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "arrange.h"
#include "dice.h"
#include "filling_light.h"
#include "menu_text.h"

#define BLOCKS 3
#define PARTS  2
#define STANDS (BLOCKS + PARTS)

/* A bed with what may stand in it. */
struct bed {
    struct made made;
    struct program m;
    struct filling_light light;
    long work;
};

static const char bed_text[] =
    "garden: beside\nunits: metric\nyear: 2027\nsite:\n  latitude: %s\n"
    "  last frost: {median: %s}\n  first frost: {median: %s}\n"
    "plots:\n  - {name: bed, size: 4 m x 5 m, rows: %s, bearing: %s}\n"
    "seed:\n  - {variety: A, crop: flint corn}\n  - {variety: B, crop: bush bean}\n"
    "  - {variety: C, crop: potato}\n  - {variety: D, crop: kale}\n";

/* Two sums: all lines count alike; those of each planting count for something else. */
static void bed_open(struct bed *b, const char *latitude, const char *rows, const char *bearing)
{
    char yaml[1024];
    bool north = latitude[0] != '-';
    snprintf(yaml, sizeof yaml, bed_text, latitude, north ? "May 9" : "Sep 15",
             north ? "Oct 6" : "May 15", rows, bearing);
    *b = (struct bed){.made = made_of(yaml), .work = 1000000};
    struct arena *arena = b->made.text.arena;
    CALL(program_init(&b->m, b->made.text.garden, &b->made.zones, &b->made.menu, arena));
    CALL(program_build(&b->m));
    b->light.m = &b->m;
    b->light.nsums = 2;
    for (int k = 0; k < b->light.nsums; k++) {
        double *fall = ARENA_ARRAY(arena, double, (size_t)b->m.mip.ncolumns);
        cr_assert(fall);
        for (int i = 0; i < b->made.menu.nitems; i++) {
            double line = k == 0 ? 1 : dice(1, 9);
            fall[b->m.col_n[i]] = line;
            if (b->m.col_s[i] >= 0)
                fall[b->m.col_s[i]] = line / b->made.menu.items[i].stations[0];
        }
        b->light.fall[k] = fall;
        b->light.price[k] = k == 0 ? 0.7 : 0.3;
    }
    b->light.mutual =
        mutual_new(b->made.text.garden, &b->made.zones, &b->made.menu, 0, &b->work, arena);
    cr_assert(b->light.mutual);
}

/* ---- the same by laying canopies out ------------------------------------------------------- */

/* A filling, in the order it was thrown: blocks, and then the parts of a shared line. */
struct thrown {
    int nblocks, nparts, items[STANDS], counts[STANDS];
    double deep_m;
};

static const struct planting *planting_of(const struct bed *b, int item)
{
    return &b->made.menu.plantings[b->made.menu.items[item].planting];
}

/* Blocks as they stand in this order of units; the line is unit nblocks. */
static void lay_out(const struct bed *b, const struct thrown *t, const int *order,
                    struct block *out)
{
    double start = 0;
    for (int k = 0; k < t->nblocks + (t->nparts > 0); k++) {
        double along = 0;
        int first = order[k] < t->nblocks ? order[k] : t->nblocks;
        int last = order[k] < t->nblocks ? first + 1 : first + t->nparts;
        for (int s = first; s < last; s++) {
            const struct item *item = &b->made.menu.items[t->items[s]];
            const struct planting *p = planting_of(b, t->items[s]);
            bool part = s >= t->nblocks;
            out[s] = (struct block){.planting = p,
                                    .start_m = start,
                                    .depth_m = part ? t->deep_m : planting_depth(p, t->counts[s]),
                                    .along_m = part ? along : item->along_m,
                                    .length_m = part ? t->counts[s] * p->pitch_m : item->length_m};
            along += out[s].length_m;
        }
        start += out[first].depth_m;
    }
}

/* What is lost of a sum in this order, by all canopies where they stand. */
static double lost_in(const struct bed *b, const struct thrown *t, const int *order, int sum)
{
    struct block blocks[STANDS];
    const struct zone *zone = &b->made.zones.items[0];
    const struct garden *g = b->made.text.garden;
    int n = t->nblocks + t->nparts;
    double lost = 0;
    lay_out(b, t, order, blocks);
    for (int s = 0; s < n; s++) {
        struct growth growth = block_growth(&blocks[s]);
        struct shader near[STANDS];
        struct sky sky;
        light_sky(g->site.latitude.v, garden_plot(g, 0)->bearing.v, (int)growth.sow,
                  (int)growth.ripe, LIGHT_DIFFUSE_SHARE, &sky);
        light_missing(&sky, growth, sky.missing);
        for (int o = 0; o < n; o++) {
            near[o] = block_shader(&blocks[o], zone);
            light_missing(&sky, block_growth(&blocks[o]), near[o].missing);
        }
        double share = light_on_rect(&sky, block_rect(&blocks[s], zone),
                                     blocks[s].planting->height_m, near, n, s);
        int column = s < t->nblocks ? b->m.col_n[t->items[s]] : b->m.col_s[t->items[s]];
        lost += (1 - share) * t->counts[s] * b->light.fall[sum][column];
    }
    return lost;
}

static bool next_order(int *order, int n)
{
    int i = n - 2, j = n - 1;
    while (i >= 0 && order[i] > order[i + 1])
        i--;
    if (i < 0)
        return false;
    while (order[j] < order[i])
        j--;
    int was = order[i];
    order[i] = order[j];
    order[j] = was;
    for (int a = i + 1, z = n - 1; a < z; a++, z--) {
        was = order[a];
        order[a] = order[z];
        order[z] = was;
    }
    return true;
}

/* Different varieties: blocks of any, the parts by item. */
static struct thrown throw_one(const struct bed *b, int nblocks, int nparts)
{
    struct thrown t;
    bool fits;
    do {
        t = (struct thrown){.nblocks = nblocks, .nparts = nparts};
        fits = true;
        for (int s = 0; s < nblocks + nparts; s++) {
            bool part = s >= nblocks;
            int item = t.items[s] = dice(0, b->made.menu.nitems - 1);
            t.counts[s] = dice(1, part ? 4 : 3);
            t.deep_m = part ? fmax(t.deep_m, planting_of(b, item)->first_m) : 0;
            fits = fits && (!part || b->m.col_s[item] >= 0);
            for (int o = 0; o < s; o++)
                fits = fits && planting_of(b, item)->parts[0].seed_index !=
                                   planting_of(b, t.items[o])->parts[0].seed_index;
            if (part && s > nblocks)
                fits = fits && item > t.items[s - 1];
        }
    } while (!fits);
    return t;
}

static void check(const struct bed *b, const struct thrown *t, double *told, double *least)
{
    struct filling_stands s = {.nblocks = t->nblocks,
                               .nparts = t->nparts,
                               .items = t->items,
                               .lines = t->counts,
                               .part_items = t->items + t->nblocks,
                               .stations = t->counts + t->nblocks,
                               .depth_m = t->deep_m};
    double losses[2], at_best[2], all = HUGE_VAL;
    int order[STANDS] = {0, 1, 2, 3, 4};
    cr_assert(filling_light_losses(&b->light, &s, HUGE_VAL, losses));
    *told = losses[0];
    *least = HUGE_VAL;
    do {
        double lost[2] = {lost_in(b, t, order, 0), lost_in(b, t, order, 1)};
        for (int k = 0; k < 2; k++)
            cr_assert(losses[k] <= lost[k] + 1e-12, "sum %d: %g lost, not %g", k, lost[k],
                      losses[k]);
        *least = fmin(*least, lost[0]);
        all = fmin(all, b->light.price[0] * lost[0] + b->light.price[1] * lost[1]);
    } while (next_order(order, t->nblocks + (t->nparts > 0)));
    filling_light_at_best(&b->light, &s, 2, b->light.fall, at_best);
    double priced = b->light.price[0] * at_best[0] + b->light.price[1] * at_best[1];
    for (int k = 0; k < 2; k++)
        cr_assert(at_best[k] >= losses[k] - 1e-12, "the best order loses no less of each sum");
    cr_assert(priced <= all + 1e-12, "%g at the prices, at least %g", all, priced);
    if (priced > 1e-9) {
        cr_assert(!filling_light_losses(&b->light, &s, 0.999 * priced, losses));
        cr_assert(filling_light_losses(&b->light, &s, 1.001 * priced, losses));
    }
}

static const char *const places[][3] = {{"42 deg", "along-x", "0 deg"},
                                        {"-34 deg", "along-x", "25 deg"},
                                        {"42 deg", "along-y", "80 deg"}};
#define PLACES (sizeof places / sizeof *places)

/* Two blocks of 1, 2 or 4 lines: nothing is passed over but parts of a millimetre. */
Test(filling_light, two_blocks_exactly)
{
    dice_state = 5;
    double sum = 0;
    for (size_t k = 0; k < PLACES; k++) {
        struct bed b;
        bed_open(&b, places[k][0], places[k][1], places[k][2]);
        for (int round = 0; round < 8; round++) {
            struct thrown t = throw_one(&b, 2, 0);
            double told, least;
            for (int s = 0; s < 2; s++) /* 3 lines shade as 2 do */
                t.counts[s] = t.counts[s] == 3 ? 4 : t.counts[s];
            check(&b, &t, &told, &least);
            cr_assert(near(told, least, 1e-3 * least + 1e-9), "%g told, %g lost", told, least);
            sum += told;
        }
        garden_text_free(&b.made.text);
    }
    cr_assert(sum > 0.01, "something shades something: %g", sum);
}

/* No order loses less than is told, and most of it is told. */
Test(filling_light, less_than_in_any_order)
{
    dice_state = 9;
    double told_of_all = 0, least_of_all = 0;
    for (size_t k = 0; k < PLACES; k++) {
        struct bed b;
        bed_open(&b, places[k][0], places[k][1], places[k][2]);
        for (int round = 0; round < 12; round++) {
            int parts = dice(0, PARTS);
            struct thrown t = throw_one(
                &b, dice(parts > 0 ? 0 : 1, 4 - parts < BLOCKS ? 4 - parts : BLOCKS), parts);
            double told, least;
            if (t.nblocks + t.nparts < 2)
                continue;
            check(&b, &t, &told, &least);
            told_of_all += told;
            least_of_all += least;
        }
        garden_text_free(&b.made.text);
    }
    cr_assert(told_of_all > 0.5 * least_of_all, "%g told of %g", told_of_all, least_of_all);
}

/* What was looked at once is not looked at again, and the work is counted. */
Test(filling_light, is_remembered)
{
    dice_state = 11;
    struct bed b;
    bed_open(&b, "42 deg", "along-x", "0 deg");
    struct thrown t = throw_one(&b, 2, 2);
    double told, least, again;
    long before = b.work;
    check(&b, &t, &told, &least);
    cr_assert(b.work < before, "%ld steps are left", b.work);
    before = b.work;
    check(&b, &t, &again, &least);
    cr_assert(b.work == before && told == again);
    garden_text_free(&b.made.text);
}
