/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "arrange.h"
#include "menu_text.h"
#include "num.h"
#include "shading.h"

#define MOST 5

static struct made garden_at(const char *latitude, const char *bearing, const char *rows)
{
    char yaml[2048];
    bool north = latitude[0] != '-';
    snprintf(yaml, sizeof yaml,
             "garden: beside\nunits: metric\nyear: 2027\nsite:\n  latitude: %s\n"
             "  last frost: {early: %s, median: %s, late: %s}\n"
             "  first frost: {early: %s, median: %s, late: %s}\n"
             "plots:\n  - {name: bed, size: 6 m x 7 m, rows: %s, bearing: %s}\n"
             "seed:\n  - {variety: A, crop: flint corn}\n  - {variety: B, crop: bush bean}\n"
             "  - {variety: C, crop: potato}\n  - {variety: D, crop: kale}\n",
             latitude, north ? "Apr 28" : "Sep 1", north ? "May 9" : "Sep 15",
             north ? "May 21" : "Sep 30", north ? "Sep 24" : "May 1", north ? "Oct 6" : "May 15",
             north ? "Oct 18" : "May 30", rows, bearing);
    return made_of(yaml);
}

/* Lines' worth of light that each stand loses in this order and with these numbers: all canopies of
 * the zone, each where it is. */
static void losses_in_order(const struct made *m, const struct shading_stand *stands, int n,
                            const int *order, const int *numbers, double *lost)
{
    const struct zone *zone = &m->zones.items[0];
    const struct plot *plot = garden_plot(m->text.garden, 0);
    struct block blocks[MOST];
    double start = 0.4, deep = 0, along[MOST + 1] = {0}; /* parts stand as they are given */
    for (int s = 0; s < n; s++) {
        const struct planting *p = &m->menu.plantings[m->menu.items[stands[s].item].planting];
        along[s + 1] = along[s] + (stands[s].shared ? numbers[s] * p->pitch_m : 0);
        deep = stands[s].shared ? fmax(deep, p->first_m) : deep;
    }
    for (int k = 0, line = -1; k < n; k++) {
        const int s = order[k];
        const struct item *item = &m->menu.items[stands[s].item];
        const struct planting *p = &m->menu.plantings[item->planting];
        blocks[s] = (struct block){.planting = p,
                                   .start_m = start,
                                   .depth_m = planting_depth(p, numbers[s]),
                                   .along_m = item->along_m,
                                   .length_m = item->length_m};
        if (stands[s].shared) { /* the whole line stands where its first part does */
            blocks[s].depth_m = deep;
            blocks[s].along_m = along[s];
            blocks[s].length_m = along[s + 1] - along[s];
            blocks[s].start_m = line >= 0 ? blocks[line].start_m : start;
            start += line >= 0 ? 0 : deep;
            line = s;
        } else {
            start += blocks[s].depth_m;
        }
    }
    for (int s = 0; s < n; s++) {
        struct growth growth = block_growth(&blocks[s]);
        struct shader near[MOST];
        struct sky sky;
        light_sky(m->text.garden->site.latitude.v, plot->bearing.v, (int)growth.sow,
                  (int)growth.ripe, LIGHT_DIFFUSE_SHARE, &sky);
        light_missing(&sky, growth, sky.missing);
        for (int o = 0; o < n; o++) {
            near[o] = block_shader(&blocks[o], zone);
            light_missing(&sky, block_growth(&blocks[o]), near[o].missing);
        }
        double share = light_on_rect(&sky, block_rect(&blocks[s], zone),
                                     blocks[s].planting->height_m, near, n, s);
        double most = shading_most(m->text.garden, zone, &m->menu, blocks[s].planting);
        double lines = stands[s].shared
                           ? (double)numbers[s] / m->menu.items[stands[s].item].stations[0]
                           : numbers[s];
        cr_assert(1 - share <= most + 1e-9, "loses %g, at most %g", 1 - share, most);
        lost[s] = lines * (1 - share);
    }
}

/* Of a zone's items one of the given variety, by turns. */
static int item_of(const struct made *m, int seed, int turn)
{
    int found = -1;
    for (int i = 0; i < m->menu.nitems; i++)
        if (m->menu.plantings[m->menu.items[i].planting].parts[0].seed_index == seed &&
            (found < 0 || turn-- > 0))
            found = i;
    return found;
}

static bool permute(int *order, int n)
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
    for (int a = i + 1, b = n - 1; a < b; a++, b--) {
        was = order[a];
        order[a] = order[b];
        order[b] = was;
    }
    return true;
}

/* In no order, with no numbers, do stands lose less than one of the ways says. *least, *told: of
 * all lines' worth together, what they lose at least and what the ways say. */
static void check_stands(const struct made *m, const struct shading_stand *stands, int n,
                         const int *numbers, double *least, double *told)
{
    struct shading_way ways[SHADING_WAYS_MAX];
    int nways, order[MOST] = {0, 1, 2, 3, 4};
    CALL(shading_ways(m->text.garden, &m->zones.items[0], &m->menu, stands, n, m->text.arena, ways,
                      &nways));
    cr_assert(nways >= 1 && nways <= SHADING_WAYS_MAX, "%d ways", nways);
    *least = *told = HUGE_VAL;
    for (int k = 0; k < nways; k++) {
        double sum = 0;
        for (int s = 0; s < n; s++)
            sum += ways[k].lines[s];
        *told = fmin(*told, sum);
    }
    double most[MOST];
    shading_most_of(m->text.garden, &m->zones.items[0], &m->menu, stands, n, most);
    do {
        double lost[MOST], sum = 0;
        losses_in_order(m, stands, n, order, numbers, lost);
        for (int s = 0; s < n; s++)
            cr_assert(lost[s] <= most[s] + 1e-12, "loses %g, at most %g", lost[s], most[s]);
        bool holds = false;
        for (int k = 0; k < nways && !holds; k++) {
            holds = true;
            for (int s = 0; s < n; s++)
                holds = holds && ways[k].lines[s] <= lost[s] + 1e-12;
        }
        cr_assert(holds, "an order loses less than any of the ways");
        for (int s = 0; s < n; s++)
            sum += lost[s];
        *least = fmin(*least, sum);
    } while (permute(order, n));
}

/* Two blocks of known numbers: what they lose is said exactly, and is not nothing. */
Test(shading, two_blocks)
{
    static const char *const at[][3] = {{"42 deg", "0 deg", "along-x"},
                                        {"-34 deg", "25 deg", "along-x"},
                                        {"42 deg", "80 deg", "along-y"}};
    for (size_t g = 0; g < sizeof at / sizeof *at; g++) {
        struct made m = garden_at(at[g][0], at[g][1], at[g][2]);
        struct shading_stand stands[2] = {{item_of(&m, 0, 1), false, 3, 3},
                                          {item_of(&m, 1, 1), false, 2, 2}};
        double least, told;
        check_stands(&m, stands, 2, (int[]){3, 2}, &least, &told);
        cr_assert(told > 1e-4, "garden %zu: corn shades beans, %g", g, told);
        cr_assert(near(told, least, 1e-6 * least), "garden %zu: %g, not %g", g, told, least);
        garden_text_free(&m.text);
    }
}

/* More of them, a shared line among them, with numbers left open around the true ones. */
Test(shading, any_order_and_numbers)
{
    static const char *const at[][3] = {{"42 deg", "30 deg", "along-x"},
                                        {"-40 deg", "0 deg", "along-y"}};
    for (size_t g = 0; g < sizeof at / sizeof *at; g++) {
        struct made m = garden_at(at[g][0], at[g][1], at[g][2]);
        unsigned long random = 7 + g;
        for (int round = 0; round < 6; round++) {
            struct shading_stand stands[4];
            int numbers[4];
            double least, told;
            for (int s = 0; s < 4; s++) {
                bool shared = round % 2 == 1 && s >= 2; /* parts stand behind blocks, by item */
                int loose = num_random(&random) < 0.5;
                numbers[s] = (shared ? 3 : 1) + (int)(3 * num_random(&random));
                stands[s] = (struct shading_stand){item_of(&m, s, (int)(3 * num_random(&random))),
                                                   shared, numbers[s], numbers[s] + loose};
                stands[s].least -= numbers[s] > 1 ? loose : 0;
            }
            check_stands(&m, stands, 4, numbers, &least, &told);
            cr_assert(told <= least + 1e-12 && told > 0.3 * least, "%g of %g", told, least);
        }
        garden_text_free(&m.text);
    }
}

/* Where there are more than orders can be gone through, nothing is said. */
Test(shading, too_many)
{
    struct made m = garden_at("42 deg", "0 deg", "along-x");
    struct shading_stand stands[8];
    struct shading_way ways[SHADING_WAYS_MAX];
    int n;
    for (int s = 0; s < 8; s++)
        stands[s] = (struct shading_stand){s, false, 1, 1};
    CALL(
        shading_ways(m.text.garden, &m.zones.items[0], &m.menu, stands, 8, m.text.arena, ways, &n));
    cr_assert(n == 1, "%d ways", n);
    for (int s = 0; s < 8; s++)
        cr_assert(ways[0].lines[s] == 0, "nothing lost");
    garden_text_free(&m.text);
}
