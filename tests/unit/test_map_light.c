/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>

#include "fixture_plan.h"
#include "plan_text.h"
#include "scene.h"

static double luminance(struct rgb c)
{
    const double v[3] = {c.r / 255.0, c.g / 255.0, c.b / 255.0};
    double lin[3];
    for (int i = 0; i < 3; i++)
        lin[i] = v[i] <= 0.03928 ? v[i] / 12.92 : pow((v[i] + 0.055) / 1.055, 2.4);
    return 0.2126 * lin[0] + 0.7152 * lin[1] + 0.0722 * lin[2];
}

/* A photocopy keeps the order: each step is darker than the one before, by a WCAG contrast of 1.2.
 */
Test(map_light, steps_in_grey)
{
    for (enum ink ink = INK_LIGHT_1; ink < INK_LIGHT_6; ink++) {
        double here = luminance(ink_rgb(ink)) + 0.05;
        double next = luminance(ink_rgb((enum ink)(ink + 1))) + 0.05;
        cr_assert(here / next > 1.2, "%s and the next: %g", ink_name(ink), here / next);
    }
}

/* A plan with a wall on the south side of its first plot. */
static struct plan_text walled(void)
{
    struct plan_text p = plan_text_new(
        PLAN_TEXT_HEAD "plots:\n"
                       "  - {name: Home, size: 6.5 m x 9 m, border: 25 cm, rows: along-x, edges: "
                       "[{side: 1, kind: wall, height: 2 m}]}\n" PLAN_TEXT_SEED);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    plan_text_finish(&p);
    return p;
}

static struct scene *scene_of(struct plan_text *p)
{
    struct scene *scene;
    CALL(scene_light(p->t.arena, p->plan, PAPER_A4, &scene));
    return scene;
}

/* Marks of a kind with that text, or with any when it is NULL. */
static int count(const struct page *page, const char *what, const char *text)
{
    int n = 0;
    for (int i = 0; i < page->n; i++)
        n += strcmp(page->marks[i].what, what) == 0 &&
             (!text || (page->marks[i].text && strstr(page->marks[i].text, text)));
    return n;
}

Test(map_light, all_that_it_states)
{
    struct plan_text p = walled();
    const struct scene *scene = scene_of(&p);
    cr_assert(scene->npages == 1, "%d pages", scene->npages);
    const struct page *page = &scene->pages[0];
    cr_assert(count(page, "title", "Test Ground, Home: light") == 1, "title");
    cr_assert(count(page, "title", "May 3 to October 10, at 42.0 deg N") == 1, "season and place");
    cr_assert(count(page, "title", "Scale") == 1 && page->ratio >= 10, "scale");
    cr_assert(count(page, "caption", "The site alone") == 1, "before");
    cr_assert(count(page, "caption", "With the plants") == 1, "after");
    cr_assert(count(page, "north", NULL) > 0 && count(page, "bar", NULL) > 0, "north and bars");
    cr_assert(count(page, "legend", "%") == 6, "a word for each step");
    cr_assert(count(page, "side", NULL) == 2, "the wall, twice");
    cr_assert(count(page, "figure", NULL) > 20 && count(page, "contour", NULL) > 20, "figures");
    for (int i = 0; i < page->n; i++)
        for (int k = 0; k < page->marks[i].npoints; k++) {
            struct mm at = page->marks[i].points[k];
            cr_assert(at.x >= 0 && at.x <= page->w_mm && at.y >= 0 && at.y <= page->h_mm,
                      "%s at %g %g", page->marks[i].what, at.x, at.y);
        }
    plan_text_free(&p);
}

/* The figures are the light: by the wall less than far from it; under the plants less than without
 * them. To scale: a plot of 6.5 m by 9 m is 6500 / ratio mm by 9000 / ratio. */
Test(map_light, figures_and_scale)
{
    struct plan_text p = walled();
    const struct page *page = &scene_of(&p)->pages[0];
    const struct mark *outline = NULL;
    for (int i = 0; i < page->n && !outline; i++)
        if (strcmp(page->marks[i].what, "outline") == 0)
            outline = &page->marks[i];
    cr_assert(outline && outline->npoints == 4, "an outline");
    cr_assert(near(outline->points[1].x - outline->points[0].x, 6500 / page->ratio, 1e-6), "width");
    cr_assert(near(outline->points[0].y - outline->points[3].y, 9000 / page->ratio, 1e-6), "depth");
    double near_wall = 100, far = 0, mean[2] = {0, 0};
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        if (strcmp(m->what, "figure") != 0)
            continue;
        double v = atof(m->text), x = m->points[0].x, y = m->points[0].y;
        cr_assert(v >= 0 && v <= 100, "%s", m->text);
        bool in_first = x > outline->points[0].x && x < outline->points[1].x &&
                        y < outline->points[0].y && y > outline->points[3].y;
        double metres = (outline->points[0].y - y) * page->ratio / 1000;
        if (in_first && metres < 1.5)
            near_wall = fmin(near_wall, v);
        if (in_first && metres > 6)
            far = fmax(far, v);
    }
    int captions = 0;
    for (int i = 0; i < page->n && captions < 2; i++)
        if (strcmp(page->marks[i].what, "caption") == 0)
            mean[captions++] = atof(strchr(page->marks[i].text, ':') + 1);
    cr_assert(near_wall < 80 && far > 95, "by the wall %g, far %g", near_wall, far);
    cr_assert(captions == 2 && mean[1] < mean[0] - 5 && mean[0] > 80, "plants %g, site %g", mean[1],
              mean[0]);
    plan_text_free(&p);
}

/* Every block is named, a narrow one from beside it with a line that ends on it; and light that is
 * the same everywhere is told in one figure. */
Test(map_light, narrow_blocks_are_named)
{
    static const struct fixture_spec spec = {
        "narrow",
        FIXTURE_HEAD("Narrow",
                     "metric") "  - {name: Long, size: 3 m x 14 m, rows: along-y}\n" FIXTURE_SEED,
        {{0}},
        0,
        {{0, 1, SYSTEM_ROWS, {5}, 0.1, 0.35},
         {0, 2, SYSTEM_ROWS, {3}, 0.3, 0.75},
         {0, 1, SYSTEM_ROWS, {6}, 0.6, 0.4}},
        3};
    struct fixture f = fixture_make(&spec);
    struct scene *scene = NULL;
    for (int b = 0; b < f.plan->nblocks; b++)
        for (int k = 0; k < STAND_PARTS_MAX; k++)
            f.plan->blocks[b].light[k] = 1;
    CALL(scene_light(f.text.arena, f.plan, PAPER_A4, &scene));
    const struct page *page = &scene->pages[0];
    cr_assert(count(page, "block", "b1") == 1 && count(page, "block", "b2") == 1 &&
              count(page, "block", "b3") == 1);
    cr_assert(count(page, "leader", NULL) >= 2, "a line and a dot");
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        bool on = m->kind != MARK_CIRCLE || strcmp(m->what, "leader") != 0;
        for (int j = 0; j < page->n && !on; j++) {
            const struct mark *o = &page->marks[j];
            on = o->kind == MARK_POLYGON && strcmp(o->what, "block") == 0 &&
                 m->points[0].x > fmin(o->points[0].x, o->points[2].x) &&
                 m->points[0].x < fmax(o->points[0].x, o->points[2].x) &&
                 m->points[0].y > fmin(o->points[0].y, o->points[2].y) &&
                 m->points[0].y < fmax(o->points[0].y, o->points[2].y);
        }
        cr_assert(on, "a line ends at %g %g, on no block", m->points[0].x, m->points[0].y);
        if (m->kind == MARK_LINE && strcmp(m->what, "leader") == 0)
            cr_assert(hypot(m->points[1].x - m->points[0].x, m->points[1].y - m->points[0].y) < 8,
                      "the name is near");
    }
    cr_assert(count(page, "caption", "The site alone: 100 % everywhere") == 1);
    fixture_free(&f);
}

/* Whether a line touches a box. */
static bool touches(const struct mark *m, struct rect box)
{
    for (int i = 0; i <= 20; i++) {
        double t = i / 20.0;
        double x = m->points[0].x + t * (m->points[1].x - m->points[0].x);
        double y = m->points[0].y + t * (m->points[1].y - m->points[0].y);
        if (x > box.x0 && x < box.x1 && y > box.y0 && y < box.y1)
            return true;
    }
    return false;
}

/* No contour runs through a figure, and each swatch of the legend is clear of the words before it,
 * on upright paper too. */
Test(map_light, figures_and_legend_are_clear)
{
    struct plan_text p = plan_text_new(
        PLAN_TEXT_HEAD "plots:\n"
                       "  - {name: Wide, size: 11 m x 3 m, border: 25 cm, rows: along-x, edges: "
                       "[{side: 1, kind: wall, height: 2 m}]}\n" PLAN_TEXT_SEED);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 2);
    plan_text_finish(&p);
    const struct page *page = &scene_of(&p)->pages[0];
    int contours = 0, words = 0;
    cr_assert(page->w_mm < page->h_mm, "one panel below the other");
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        if (m->kind != MARK_TEXT)
            continue;
        struct rect box = mark_box(m);
        for (int j = 0; j < page->n; j++) {
            const struct mark *o = &page->marks[j];
            if (strcmp(m->what, "figure") == 0 && strcmp(o->what, "contour") == 0) {
                contours++;
                cr_assert(!touches(o, box), "%s at %g %g", m->text, m->points[0].x, m->points[0].y);
            }
            if (strcmp(m->what, "legend") == 0 && strcmp(o->what, "legend") == 0 &&
                o->kind == MARK_POLYGON && o->points[0].x > box.x0) {
                words++;
                cr_assert(o->points[0].x > box.x1 + 1.5, "%s", m->text);
            }
        }
    }
    cr_assert(contours > 100 && words >= 5, "%d pairs, %d words", contours, words);
    plan_text_free(&p);
}

/* Of a long name the end is left out, not that the page shows the light. */
Test(map_light, a_long_name_leaves_the_title_whole)
{
    struct plan_text p = plan_text_new(
        PLAN_TEXT_HEAD "plots:\n"
                       "  - {name: The long south field behind the barn and the run of the "
                       "chickens by the mill, size: 3 m x 3 m}\n" PLAN_TEXT_SEED);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 1);
    plan_text_finish(&p);
    cr_assert(count(&scene_of(&p)->pages[0], "title", "...: light") == 1);
    plan_text_free(&p);
}

/* As many obstacles as a garden may have take no longer than a few seconds: the grid is coarser. */
Test(map_light, many_obstacles, .timeout = 60)
{
    static char yaml[40000];
    size_t n = (size_t)snprintf(
        yaml, sizeof yaml,
        "%splots:\n  - {name: Home, size: 6.5 m x 9 m, rows: along-x, obstacles: [",
        PLAN_TEXT_HEAD);
    for (int i = 0; i < 200; i++)
        n += (size_t)snprintf(
            yaml + n, sizeof yaml - n,
            "%s{outline: [[%d m, -4 m], [%d.5 m, -3 m], [%d m, -2 m]], height: 3 m}", i ? ", " : "",
            i % 40 - 20, i % 40 - 19, i % 40 - 20);
    snprintf(yaml + n, sizeof yaml - n, "]}\n%s", PLAN_TEXT_SEED);
    struct plan_text p = plan_text_new(yaml);
    plan_text_finish(&p);
    const struct scene *scene = scene_of(&p);
    cr_assert(scene->npages == 1 && count(&scene->pages[0], "figure", NULL) > 5, "a map");
    plan_text_free(&p);
}
