/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_scene.h"

#define TWO(place_a, place_b)                                                                      \
    FIXTURE_HEAD("Two", "metric")                                                                  \
    "  - {name: A, size: 4 m x 3 m, bearing: 0 deg" place_a "}\n"                                  \
    "  - {name: B, size: 4 m x 3 m, bearing: 90 deg" place_b "}\n" FIXTURE_GUILD_SEED

/* The outlines of the garden's page, in the order of the plots. */
static int outlines(const struct page *page, const struct mark **out, int cap)
{
    int n = 0;
    for (int i = 0; i < page->n && n < cap; i++)
        if (page->marks[i].kind == MARK_POLYGON && scene_is(&page->marks[i], "outline"))
            out[n++] = &page->marks[i];
    return n;
}

/* B's stake is 10 m east and 2 m north of A's. Its y runs east, so its x runs south: the corner at
 * x 4 lies 4 m south of its stake, the one at y 3 lies 3 m east. */
Test(map_garden, plots_lie_where_they_are_placed)
{
    struct fixture_spec spec = {.name = "placed",
                                .yaml = TWO(", at: [1 m, 1 m]", ", at: [11 m, 3 m]")};
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    const struct page *page = &scene->pages[0];
    const struct mark *o[3];
    cr_assert(page->kind == PAGE_GARDEN && outlines(page, o, 3) == 2, "both on the first page");
    double k = 1000 / page->ratio;
    struct mm a = o[0]->points[0], b = o[1]->points[0];
    cr_assert(near((b.x - a.x) / k, 10, 1e-6) && near((a.y - b.y) / k, 2, 1e-6),
              "%g east, %g north", (b.x - a.x) / k, (a.y - b.y) / k);
    struct mm right = o[1]->points[1], up = o[1]->points[3];
    cr_assert(near(right.x - b.x, 0, 1e-6) && near((right.y - b.y) / k, 4, 1e-6), "x runs south");
    cr_assert(near((up.x - b.x) / k, 3, 1e-6) && near(up.y - b.y, 0, 1e-6), "y runs east");
    fixture_free(&f);
}

static struct rect box_of(const struct mark *m)
{
    struct rect r = {1e9, 1e9, -1e9, -1e9};
    for (int i = 0; i < m->npoints; i++)
        r = (struct rect){fmin(r.x0, m->points[i].x), fmin(r.y0, m->points[i].y),
                          fmax(r.x1, m->points[i].x), fmax(r.y1, m->points[i].y)};
    return r;
}

/* Without a place for each they stand side by side, apart, and the page says so. */
Test(map_garden, plots_without_a_place_stand_side_by_side)
{
    struct fixture_spec spec = {.name = "apart", .yaml = TWO(", at: [1 m, 1 m]", "")};
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    const struct page *page = &scene->pages[0];
    const struct mark *o[3];
    bool said = false;
    cr_assert(outlines(page, o, 3) == 2, "both");
    cr_assert(!boxes_overlap(box_of(o[0]), box_of(o[1])), "apart");
    for (int i = 0; i < page->n; i++)
        said = said ||
               (page->marks[i].kind == MARK_TEXT && strstr(page->marks[i].text, "side by side"));
    cr_assert(said, "it is said");
    fixture_free(&f);
}

/* Each plot's name on it tells the page of its own map. */
Test(map_garden, it_tells_the_pages)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &fixture_specs[2]);
    int named = 0;
    for (int i = 0; i < scene->pages[0].n; i++) {
        const struct mark *m = &scene->pages[0].marks[i];
        int number = 0;
        if (!scene_is(m, "plot-name"))
            continue;
        cr_assert(sscanf(strrchr(m->text, ' '), "%d", &number) == 1, "%s", m->text);
        cr_assert(number >= 2 && number <= scene->npages, "%s", m->text);
        const struct page *page = &scene->pages[number - 1];
        cr_assert(page->kind == PAGE_PLOT && page->plot == m->line, "%s", m->text);
        named++;
    }
    cr_assert(named == 2, "%d plots are named", named);
    fixture_free(&f);
}

/* A name that has no room on its plot stands nearer to it than to any other. */
Test(map_garden, a_name_beside_a_plot_is_near_it)
{
    struct fixture_spec spec = {
        .name = "a bed below a plot",
        .yaml = FIXTURE_HEAD("Bed", "metric") "  - {name: The upper plot, size: 8 m x 5 m}\n"
                                              "  - {name: Bed by the kitchen door, size: 2 m x "
                                              "1 m}\n" FIXTURE_SEED};
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    const struct page *page = &scene->pages[0];
    const struct mark *o[3];
    int named = 0;
    cr_assert(outlines(page, o, 3) == 2, "two");
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        double off[2];
        if (!scene_is(m, "plot-name"))
            continue;
        struct rect box = mark_box(m);
        for (int k = 0; k < 2; k++) {
            struct rect b = box_of(o[k]);
            off[k] = hypot(fmax(0, fmax(b.x0 - box.x1, box.x0 - b.x1)),
                           fmax(0, fmax(b.y0 - box.y1, box.y0 - b.y1)));
        }
        for (int k = 0; k < 2; k++)
            cr_assert(k == m->line || off[m->line] == 0 || off[k] > 2 * off[m->line],
                      "%s: %g mm from its own, %g mm from another", m->text, off[m->line], off[k]);
        named++;
    }
    cr_assert(named == 2, "%d plots are named", named);
    fixture_free(&f);
}
