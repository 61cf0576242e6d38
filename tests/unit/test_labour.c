/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "allocate.h"
#include "labour.h"
#include "menu_text.h"

#define GARDEN(limits)                                                                             \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"                             \
    "plots:\n  - {name: A, size: 5 m x 6 m, rows: along-x}\n"                                      \
    "seed:\n  - {variety: F, crop: flint corn, days: 90 days}\n"                                   \
    "  - {variety: C, crop: climbing bean, days: 90 days}\n"                                       \
    "  - {variety: W, crop: butternut squash, days: 95 days}\n"                                    \
    "  - {variety: P, crop: potato}\n  - {variety: B, crop: bush bean}\n" limits

/* The jobs of a planting are all its hours, and each has its days within the calendar. */
Test(labour, jobs_sum_to_the_hours)
{
    struct made m = made_of(GARDEN(""));
    for (int t = 0; t < m.menu.nplantings; t++) {
        const struct planting *p = &m.menu.plantings[t];
        double station_h = 0;
        for (int k = 0; k < p->nparts; k++)
            for (enum work_kind job = 0; job < WORK_COUNT; job++) {
                struct labour l = labour_of(p, k, job);
                station_h += l.station_h;
                cr_assert(l.from <= l.to && l.from >= LABOUR_FROM, "%s: job %d", p->id, (int)job);
                cr_assert(l.to < LABOUR_FROM + 7 * LABOUR_WEEKS);
                cr_assert((l.kg_h > 0) == (job == WORK_HARVEST));
            }
        cr_assert(near(station_h, planting_station_hours_typical(p), 1e-9), "%s", p->id);
    }
    garden_text_free(&m.text);
}

static struct allocation best(struct made *m)
{
    struct allocation a;
    struct allocate_options o = {.seconds = 60, .gap = 2e-3};
    CALL(allocate(m->text.garden, &m->zones, &m->menu, &o, m->text.arena, m->text.diags, &a));
    return a;
}

/* Hours of the busiest week of an allocation, and ground that is planted. */
static double busiest(const struct made *m, const struct allocation *a, double *ground_m2)
{
    double week[LABOUR_WEEKS] = {0}, most = 0;
    *ground_m2 = 0;
    for (int c = 0; c < a->n; c++) {
        const struct item *item = &m->menu.items[a->chosen[c].item];
        const struct planting *p = &m->menu.plantings[item->planting];
        double odd = planting_odd_lines(a->chosen[c].lines), even = a->chosen[c].lines - odd;
        if (a->chosen[c].stations > 0) {
            odd = (double)a->chosen[c].stations / item->stations[0];
            even = 0;
        }
        double length_m = m->zones.items[item->zone].length_m;
        *ground_m2 += a->chosen[c].stations > 0 ? a->chosen[c].stations * p->pitch_m * p->first_m
                                                : planting_depth(p, a->chosen[c].lines) * length_m;
        for (int k = 0; k < p->nparts; k++)
            for (enum work_kind job = 0; job < WORK_COUNT; job++) {
                struct labour l = labour_of(p, k, job);
                double h = l.station_h * (odd * item->stations[0] + even * item->stations[1]) +
                           l.kg_h * (odd * item->kg[k][0] + even * item->kg[k][1]);
                for (int d = l.from; d <= l.to; d++)
                    week[(d - LABOUR_FROM) / 7] += h / (l.to - l.from + 1);
            }
    }
    for (int w = 0; w < LABOUR_WEEKS; w++)
        most = week[w] > most ? week[w] : most;
    return most;
}

/* It binds: with less time in each week the plan is worth less and no week is over; a limit above
 * the busiest week changes nothing. */
Test(labour, a_week_has_so_many_hours, .timeout = 120)
{
    double ground;
    struct made free = made_of(GARDEN("")),
                loose = made_of(GARDEN("limits:\n  hours a week: 50 h\n")),
                tight = made_of(GARDEN("limits:\n  hours a week: 1.5 h\n"));
    struct allocation a = best(&free), b = best(&loose), c = best(&tight);
    cr_assert(busiest(&free, &a, &ground) > 1.6, "%g", busiest(&free, &a, &ground));
    cr_assert(busiest(&tight, &c, &ground) <= 1.5 + 1e-6, "%g", busiest(&tight, &c, &ground));
    cr_assert(c.value < 0.97 * a.value && near(a.value, b.value, 4e-3 * a.value));
    garden_text_free(&free.text);
    garden_text_free(&loose.text);
    garden_text_free(&tight.text);
}

/* A centimetre of compost on each m2 (half an inch a year: extension practice). */
Test(labour, compost_goes_so_far, .timeout = 120)
{
    double free_m2, tight_m2;
    struct made free = made_of(GARDEN("")), tight = made_of(GARDEN("limits:\n  compost: 150 l\n"));
    struct allocation a = best(&free), b = best(&tight);
    busiest(&free, &a, &free_m2);
    busiest(&tight, &b, &tight_m2);
    cr_assert(free_m2 > 20 && tight_m2 <= 15 + 1e-6 && tight_m2 > 12, "%g, %g m2", free_m2,
              tight_m2);
    cr_assert(b.value < a.value);
    garden_text_free(&free.text);
    garden_text_free(&tight.text);
}

/* Ground of an allocation by whether vines cover it: [0] open, [1] covered. */
static void ground_of(const struct made *m, const struct allocation *a, double ground_m2[2])
{
    ground_m2[0] = ground_m2[1] = 0;
    for (int c = 0; c < a->n; c++) {
        const struct item *item = &m->menu.items[a->chosen[c].item];
        const struct planting *p = &m->menu.plantings[item->planting];
        double length_m = m->zones.items[item->zone].length_m;
        ground_m2[p->nparts > 2] += a->chosen[c].stations > 0
                                        ? a->chosen[c].stations * p->pitch_m * p->first_m
                                        : planting_depth(p, a->chosen[c].lines) * length_m;
    }
}

/* 80 l on each m2 are 8 cm (litres = m2 x cm x 10, exactly). 480 l are 6 m2: more is not planted in
 * rows; the guild's vines need none. */
Test(labour, mulch_goes_so_far_and_vines_need_none, .timeout = 120)
{
    double m2[2];
    struct made loose = made_of(GARDEN("limits:\n  mulch: 2.4 m3\n")),
                tight = made_of(GARDEN("limits:\n  mulch: 480 l\n")),
                none = made_of(GARDEN("limits:\n  mulch: 0 l\n"));
    struct allocation a = best(&loose), b = best(&tight), c = best(&none);
    ground_of(&loose, &a, m2);
    cr_assert(m2[0] > 10, "%g m2 of open ground", m2[0]);
    ground_of(&tight, &b, m2);
    cr_assert(m2[0] <= 6 + 1e-6 && m2[0] > 3, "%g m2 of open ground", m2[0]);
    cr_assert(b.value < a.value);
    ground_of(&none, &c, m2);
    cr_assert(m2[0] == 0 && m2[1] > 10, "%g m2 open, %g m2 of the guild", m2[0], m2[1]);
    garden_text_free(&loose.text);
    garden_text_free(&tight.text);
    garden_text_free(&none.text);
}
