/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_scene.h"
#include "map.h"

#define GATES(plot)                                                                                \
    FIXTURE_HEAD("Gates", "metric")                                                                \
    plot FIXTURE_GUILD_SEED

/* Marks of gates on a page: the posts' middles, the gaps, and the words. */
struct gates {
    struct mm posts[8];
    const struct mark *gaps[4];
    struct rect words[4];
    int nposts, ngaps, nwords;
};

static struct gates gates_on(const struct page *page)
{
    struct gates g = {0};
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        if (scene_is(m, "gate-gap") && g.ngaps < 4)
            g.gaps[g.ngaps++] = m;
        if (scene_is(m, "gate") && m->kind == MARK_TEXT && g.nwords < 4)
            g.words[g.nwords++] = mark_box(m);
        if (scene_is(m, "gate") && m->kind == MARK_LINE && g.nposts < 8)
            g.posts[g.nposts++] = (struct mm){(m->points[0].x + m->points[1].x) / 2,
                                              (m->points[0].y + m->points[1].y) / 2};
    }
    return g;
}

static struct point on_ground(const struct page *page, struct mm at)
{
    const struct view *v = &page->view;
    double right = (at.x - v->x_mm) / v->mm_per_m, up = (v->y_mm - at.y) / v->mm_per_m;
    return v->turned ? (struct point){.x = up, .y = -right} : (struct point){.x = right, .y = up};
}

static const struct page *plot_page(const struct scene *scene)
{
    int p = 0;
    while (p + 1 < scene->npages && scene->pages[p].kind != PAGE_PLOT)
        p++;
    return &scene->pages[p];
}

/* The word stands clear of the outline, upright sides too. */
Test(map_gate, its_word_keeps_off_the_outline)
{
    const double clear = 0.4; /* mm of paper */
    struct fixture_spec spec = {
        .name = "gate at a side",
        .yaml = GATES("  - {name: A, size: 6 m x 4 m, edges: [{side: 2, kind: fence, gate: yes, "
                      "gate at: 1 m}, {side: 4, kind: path, gate: yes, gate at: 1 m}]}\n")};
    struct fixture f;
    const struct page *page = plot_page(fixture_scene(&f, &spec));
    struct gates g = gates_on(page);
    cr_assert(g.nwords == 2, "%d words", g.nwords);
    for (int w = 0; w < g.nwords; w++) {
        struct rect box = g.words[w];
        box.x0 -= clear, box.x1 += clear;
        for (int i = 0; i < page->n; i++)
            cr_assert(!scene_is(&page->marks[i], "outline") ||
                          !mark_in_box(&page->marks[i], false, box),
                      "word %d", w);
    }
    fixture_free(&f);
}

/* A gap of 0.9 m about `gate at`, in the middle of the side where that is left out, and within the
 * side where it would reach over its end. */
Test(map_gate, stands_where_the_file_says)
{
    struct fixture_spec spec = {
        .name = "gates",
        .yaml =
            GATES("  - {name: A, size: 6 m x 4 m, edges: [{side: 1, kind: path, gate: yes, gate "
                  "at: 2 m}, {side: 2, kind: fence, gate: yes}, {side: 3, kind: hedge, gate: "
                  "yes, gate at: 10 cm}, {side: 4, kind: path}]}\n")};
    static const struct point posts[] = {{.x = 1.55, .y = 0}, {.x = 2.45, .y = 0},
                                         {.x = 6, .y = 1.55}, {.x = 6, .y = 2.45},
                                         {.x = 6, .y = 4},    {.x = 5.1, .y = 4}};
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    const struct page *page = plot_page(scene);
    struct gates g = gates_on(page);
    cr_assert(g.nposts == 6 && g.ngaps == 3 && g.nwords == 3, "%d posts, %d gaps, %d words",
              g.nposts, g.ngaps, g.nwords);
    for (int i = 0; i < 6; i++) {
        struct point p = on_ground(page, g.posts[i]);
        cr_expect(near(p.x, posts[i].x, 1e-6) && near(p.y, posts[i].y, 1e-6), "post %d: %g, %g", i,
                  p.x, p.y);
    }
    for (int i = 0; i < 3; i++) { /* each word is nearest to its own gap */
        struct mm at = {(g.words[i].x0 + g.words[i].x1) / 2, (g.words[i].y0 + g.words[i].y1) / 2};
        struct mm gap = {(g.posts[2 * i].x + g.posts[2 * i + 1].x) / 2,
                         (g.posts[2 * i].y + g.posts[2 * i + 1].y) / 2};
        cr_expect(hypot(at.x - gap.x, at.y - gap.y) < 15, "word %d is %g mm off", i,
                  hypot(at.x - gap.x, at.y - gap.y));
    }
    fixture_page_check("gates", page, 1);
    fixture_free(&f);
}

/* On a short side the gap leaves some of it; on a small map it can still be seen. */
Test(map_gate, is_neither_too_wide_nor_too_small)
{
    const struct point side[] = {{.x = 0, .y = 0}, {.x = 0.5, .y = 0}, {.x = 0, .y = 9}};
    const struct edge edge = {.side = {.v = 1}, .gate = {.v = true}},
                      long_one = {.side = {.v = 3}, .gate = {.v = true}}, none = {.side = {.v = 1}};
    struct point e[2];
    cr_assert(map_gate_ends(&edge, side, 3, 20, e));
    cr_expect(near(e[0].x, 0.05, 1e-9) && near(e[1].x, 0.45, 1e-9), "%g to %g", e[0].x, e[1].x);
    cr_assert(map_gate_ends(&long_one, side, 3, 2.5, e));
    cr_expect(near(fabs(e[1].y - e[0].y), 2, 1e-9), "5 mm at 1:400: %g m", e[1].y - e[0].y);
    cr_expect(!map_gate_ends(&none, side, 3, 20, e));
}

/* The page of the whole garden shows gates, and says what the sign means; without any it does not.
 */
Test(map_gate, is_on_the_page_of_the_garden)
{
#define PAIR(side)                                                                                 \
    GATES("  - {name: A, size: 4 m x 3 m}\n  - {name: B, size: 4 m x 3 m, bearing: 90 deg, "       \
          "edges: [{side: 1, kind: " side "}]}\n")
    static const char *const gardens[] = {PAIR("path, gate: yes"), PAIR("path")};
    for (int k = 0; k < 2; k++) {
        struct fixture_spec spec = {.name = "two", .yaml = gardens[k]};
        struct fixture f;
        struct scene *scene = fixture_scene(&f, &spec);
        struct gates g = gates_on(&scene->pages[0]);
        bool said = false;
        for (int i = 0; i < scene->pages[0].n; i++)
            said |= scene->pages[0].marks[i].kind == MARK_TEXT &&
                    strstr(scene->pages[0].marks[i].text, "a gate") != NULL;
        cr_assert(scene->pages[0].kind == PAGE_GARDEN);
        cr_expect(g.nposts == (k == 0 ? 2 : 0) && said == (k == 0), "%d posts", g.nposts);
        fixture_free(&f);
    }
}
