/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>

#include "chart.h"
#include "fixture_plan.h"
#include "little_memory.h"
#include "plan_text.h"
#include "work.h"

#define MARGIN 10.9

static struct scene *chart_of(struct fixture *f, const struct fixture_spec *spec)
{
    struct scene *scene = NULL;
    *f = fixture_make(spec);
    cr_assert(f->plan, "%s: %s", spec->name, garden_text_diags(&f->text));
    for (int b = 0; b < f->plan->nblocks; b++)
        for (int k = 0; k < STAND_PARTS_MAX; k++)
            f->plan->blocks[b].light[k] = 1;
    CALL(chart_scene(f->text.arena, f->plan, PAPER_LETTER, &scene));
    return scene;
}

static struct rect points_box(const struct mark *m)
{
    struct rect r = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (int i = 0; i < m->npoints; i++)
        r = (struct rect){fmin(r.x0, m->points[i].x), fmin(r.y0, m->points[i].y),
                          fmax(r.x1, m->points[i].x), fmax(r.y1, m->points[i].y)};
    return r;
}

Test(chart, nothing_leaves_the_page_and_no_text_lies_on_another)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = chart_of(&f, &fixture_specs[v]);
        for (int p = 0; p < scene->npages; p++) {
            const struct page *page = &scene->pages[p];
            cr_assert(page->w_mm > page->h_mm, "on its side");
            for (int i = 0; i < page->n; i++) {
                const struct mark *a = &page->marks[i];
                struct rect r = a->kind == MARK_TEXT ? mark_box(a) : points_box(a);
                cr_assert(r.x0 >= MARGIN && r.y0 >= MARGIN && r.x1 <= page->w_mm - MARGIN &&
                              r.y1 <= page->h_mm - MARGIN,
                          "%s: %s %s", fixture_specs[v].name, a->what, a->text ? a->text : "");
                for (int j = i + 1; a->kind == MARK_TEXT && j < page->n; j++)
                    cr_assert(page->marks[j].kind != MARK_TEXT ||
                                  !boxes_overlap(r, mark_box(&page->marks[j])),
                              "%s: \"%s\" on \"%s\"", fixture_specs[v].name, a->text,
                              page->marks[j].text);
            }
        }
        fixture_free(&f);
    }
}

/* The i-th mark of that name, NULL past the last. */
static const struct mark *mark_at(const struct scene *scene, const char *what, int i)
{
    for (int p = 0; p < scene->npages; p++)
        for (int q = 0; q < scene->pages[p].n; q++)
            if (strcmp(scene->pages[p].marks[q].what, what) == 0 && i-- == 0)
                return &scene->pages[p].marks[q];
    return NULL;
}

/* Lengths of bars are to each other as the days they stand for; each begins where it is sown. */
Test(chart, bars_are_true_to_the_days)
{
    struct fixture f;
    struct scene *scene = chart_of(&f, &fixture_specs[0]);
    double mm_per_day = 0, origin = 0;
    int n = 0;
    for (const struct mark *m; (m = mark_at(scene, "growing", n)) != NULL; n++) {
        struct rect r = points_box(m);
        bool found = false;
        for (int b = 0; b < f.plan->nblocks && !found; b++)
            for (int k = 0; k < f.plan->blocks[b].planting->nparts && !found; k++) {
                const struct season *s = &f.plan->blocks[b].planting->parts[k].season;
                double scale = (r.x1 - r.x0) / (s->harvest_low - s->sow);
                if (n == 0 && b > 0) { /* potatoes are planted first */
                    mm_per_day = scale;
                    origin = r.x0 - scale * s->sow;
                    found = true;
                } else if (n > 0) {
                    found =
                        near(scale, mm_per_day, 1e-6) && near(r.x0, origin + scale * s->sow, 1e-6);
                }
            }
        cr_assert(found, "bar %d stands for a planting", n + 1);
    }
    cr_assert(n == 7, "seven varieties: %d", n);
    /* frosts: April 28, May 9, May 21, September 24, October 6, October 18 of the fixture */
    static const int days[] = {118, 129, 141, 267, 279, 291};
    for (int i = 0; i < 6; i++) {
        bool found = false;
        for (int q = 0; mark_at(scene, "frost", q); q++) {
            const struct mark *m = mark_at(scene, "frost", q);
            found = found || (m->kind == MARK_LINE &&
                              near(m->points[0].x, origin + mm_per_day * days[i], 1e-6));
        }
        cr_assert(found, "frost of day %d", days[i]);
    }
    fixture_free(&f);
}

/* The area of the week's bars is the work of the plan. */
Test(chart, the_hours_add_up)
{
    struct fixture f;
    struct food food;
    struct scene *scene = chart_of(&f, &fixture_specs[0]);
    double sum = 0, zero = 0, top = HUGE_VAL, most = 0;
    CALL(plan_totals(f.plan, &food));
    for (int i = 0; mark_at(scene, "hours", i); i++) {
        const struct mark *m = mark_at(scene, "hours", i);
        if (m->kind != MARK_LINE)
            continue;
        zero = fmax(zero, m->points[0].y);
        top = fmin(top, m->points[0].y);
        m = mark_at(scene, "hours", i + 1);
        most = fmax(most, strtod(m->text, NULL));
    }
    for (int i = 0; mark_at(scene, "work", i); i++) {
        struct rect r = points_box(mark_at(scene, "work", i));
        sum += (r.y1 - r.y0) / (zero - top) * most;
    }
    cr_assert(near(sum, f.plan->hours.typ, 0.02 * sum), "%g of %g hours", sum, f.plan->hours.typ);
    fixture_free(&f);
}

/* A limit on the week's hours is a dashed line that no bar of a plan within it crosses: the bars
 * are of the same weeks. */
Test(chart, a_weeks_hours_have_a_line)
{
    struct fixture f;
    struct scene *scene = chart_of(&f, &fixture_specs[0]);
    struct work_week week = work_fullest(f.plan);
    const struct mark *line = NULL;
    double top = HUGE_VAL;
    f.text.garden->limits.week_hours = (struct qty){.v = week.hours, .set = true};
    CALL(chart_scene(f.text.arena, f.plan, PAPER_LETTER, &scene));
    for (int i = 0; mark_at(scene, "hours", i); i++)
        if (mark_at(scene, "hours", i)->dash == DASH_LONG)
            line = mark_at(scene, "hours", i);
    cr_assert(line != NULL, "there is a line");
    for (int i = 0; mark_at(scene, "work", i); i++)
        top = fmin(top, points_box(mark_at(scene, "work", i)).y0);
    cr_assert(near(top, line->points[0].y, 1e-6), "%g mm, %g mm", top, line->points[0].y);
    fixture_free(&f);
}

/* Photocopies keep no colour: what is told apart differs in fill from black to white, or in
 * hatching. */
Test(chart, kinds_of_work_differ_without_colour)
{
    struct fixture f;
    struct scene *scene = chart_of(&f, &fixture_specs[0]);
    int n = 0;
    const struct mark *boxes[16];
    for (int i = 0; mark_at(scene, "key", i) && n < 16; i++)
        if (mark_at(scene, "key", i)->kind == MARK_POLYGON)
            boxes[n++] = mark_at(scene, "key", i);
    cr_assert(n == 6, "growing, harvest and four kinds of work: %d", n);
    for (int i = 2; i < n; i++)
        for (int j = i + 1; j < n; j++) {
            struct rgb a = ink_rgb(boxes[i]->fill), b = ink_rgb(boxes[j]->fill);
            cr_assert(boxes[i]->hatch != boxes[j]->hatch || abs(a.g - b.g) > 60, "%d and %d", i, j);
        }
    fixture_free(&f);
}

/* South of the equator the season runs over the New Year. */
Test(chart, a_southern_summer)
{
    static const struct fixture_spec south = {
        "south",
        "garden: Far South\nunits: metric\nyear: 2027\nsite:\n  latitude: -38 deg\n"
        "  last frost: {early: Sep 20, median: Oct 5, late: Oct 20}\n"
        "  first frost: {early: Apr 20, median: May 5, late: May 20}\nplots:\n"
        "  - {name: Bed, size: 4 m x 6 m, rows: along-x}\n" FIXTURE_SEED,
        {{0}},
        0,
        {{0, 2, SYSTEM_ROWS, {3}, 0.30, 0.75}},
        1};
    struct fixture f;
    struct scene *scene = chart_of(&f, &south);
    int lines = 0;
    for (int i = 0; mark_at(scene, "frost", i); i++)
        lines += mark_at(scene, "frost", i)->kind == MARK_LINE;
    cr_assert(lines >= 3, "the last frost is on it: %d", lines);
    cr_assert(points_box(mark_at(scene, "growing", 0)).x1 >
                  points_box(mark_at(scene, "growing", 0)).x0,
              "a bar over the New Year");
    double axis = points_box(mark_at(scene, "axis", 0)).x0;
    for (int i = 0; mark_at(scene, "frost", i); i++) {
        const struct mark *m = mark_at(scene, "frost", i);
        cr_assert(m->kind != MARK_TEXT || mark_box(m).x0 >= axis - 1e-9,
                  "\"%s\" keeps off the words at the left", m->text);
    }
    fixture_free(&f);
}

static bool says(const struct scene *scene, const char *what, const char *text)
{
    for (int i = 0; mark_at(scene, what, i); i++)
        if (strcmp(mark_at(scene, what, i)->text, text) == 0)
            return true;
    return false;
}

/* Potatoes are planted and beans sown; where plots' names leave no room, their blocks come alone,
 * all of them. */
Test(chart, words_of_a_lane)
{
    static const struct fixture_spec spec = {
        "long plots",
        "garden: Two\nunits: us\nyear: 2027\n" FIXTURE_SITE "plots:\n"
        "  - {name: the upper allotment by the old canal, size: 12 ft x 12 ft, rows: along-x}\n"
        "  - {name: the lower one, size: 12 ft x 12 ft, rows: along-x}\n" FIXTURE_SEED,
        {{0}},
        0,
        {{0, 2, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN},
         {1, 2, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN},
         {1, 1, SYSTEM_ROWS, {5}, 4 * FIXTURE_IN, 20 * FIXTURE_IN}},
        3};
    struct fixture f;
    struct scene *scene = chart_of(&f, &spec);
    int planted = 0, sown = 0;
    for (int i = 0; mark_at(scene, "dates", i); i++) {
        planted += strncmp(mark_at(scene, "dates", i)->text, "planted ", 8) == 0;
        sown += strncmp(mark_at(scene, "dates", i)->text, "sown ", 5) == 0;
    }
    cr_assert(planted == 1 && sown == 1, "%d planted, %d sown", planted, sown);
    cr_assert(says(scene, "lane", "Stone Cellar; b1, b2"));
    cr_assert(says(scene, "lane", "Creek Black; the lower one b3"));
    fixture_free(&f);
}

/* Of a long name the end is left out, not what the page shows. */
Test(chart, a_long_name_leaves_the_title_whole)
{
    struct fixture_spec spec = {
        .name = "long",
        .yaml = FIXTURE_HEAD(
            "The Community Garden at the Old Railway Crossing by the River and the Mill", "us")
            FIXTURE_PLOT("Plot 1", "0 deg", "along-x") FIXTURE_SEED,
        .blocks = {{0, 1, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN}},
        .nblocks = 1};
    struct fixture f;
    struct scene *scene = chart_of(&f, &spec);
    cr_assert(strstr(mark_at(scene, "title", 0)->text, "...: the season of 2027"), "%s",
              mark_at(scene, "title", 0)->text);
    fixture_free(&f);
}

/* With many lanes there is one line for the blocks, and all of them are named. */
Test(chart, a_narrow_lane_names_all_its_blocks)
{
    static const char *const crops[] = {
        "potato", "beet",      "carrot",  "chard", "garden pea",    "leek",     "lettuce",
        "onion",  "snap bean", "spinach", "kale",  "summer squash", "bush bean"};
    const int n = sizeof crops / sizeof *crops;
    char yaml[4000];
    size_t at = (size_t)snprintf(
        yaml, sizeof yaml, "%splots:\n  - {name: Home, size: 6 m x 60 m, rows: along-x}\nseed:\n",
        PLAN_TEXT_HEAD);
    for (int i = 0; i < n; i++)
        at += (size_t)snprintf(yaml + at, sizeof yaml - at,
                               "  - {variety: An Old Keeper, crop: %s, amount: 2 kg}\n", crops[i]);
    struct plan_text p = plan_text_new(yaml);
    for (int i = 1; i < n; i++) {
        plan_text_block(&p, 0, SYSTEM_ROWS, crops[i], 1);
        if (i % 2 == 0)
            plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 1);
    }
    plan_text_finish(&p);
    struct scene *scene = NULL;
    CALL(chart_scene(p.t.arena, p.plan, PAPER_LETTER, &scene));
    cr_assert(says(scene, "lane", "An Old Keeper; b3, 6, 9, 12, 15, 18"));
    for (int i = 0; mark_at(scene, "lane", i); i++)
        cr_assert(!strstr(mark_at(scene, "lane", i)->text, "..."), "%s",
                  mark_at(scene, "lane", i)->text);
    plan_text_free(&p);
}

static hr_status chart_in(struct arena *arena, const void *plan, const void **made)
{
    struct scene *scene = NULL;
    hr_status status = chart_scene(arena, plan, PAPER_A4, &scene);
    *made = scene;
    return status;
}

Test(chart, running_out_of_memory_is_told)
{
    struct fixture f = fixture_plan();
    little_memory(chart_in, f.plan, 4);
    fixture_free(&f);
}
