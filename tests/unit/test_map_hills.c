/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_scene.h"

static const struct page *hills_page(const struct scene *scene)
{
    const struct page *last = &scene->pages[scene->npages - 1];
    return last->kind == PAGE_HILLS ? last : NULL;
}

/* The ratio that stands in the head "...: drawn 1:N". */
static double drawn_ratio(const struct page *page)
{
    for (int i = 0; i < page->n; i++) {
        const char *at =
            page->marks[i].kind == MARK_TEXT ? strstr(page->marks[i].text, "drawn 1:") : NULL;
        if (at)
            return strtod(at + 8, NULL);
    }
    return 0;
}

/* The mound, the rings and the seeds on them at the ratio that is said. */
Test(map_hills, plan_is_to_scale)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &fixture_specs[0]);
    const struct page *page = hills_page(scene);
    cr_assert(page, "a page of hills comes last");
    const struct planting *p = f.plan->blocks[0].planting;
    double ratio = drawn_ratio(page), k = 1000 / ratio;
    cr_assert(ratio > 0, "a ratio");
    const struct mark *edge = NULL;
    int rings = 0, seeds = 0, section = 0, wanted = 0;
    for (int i = 0; i < page->n && !edge; i++)
        if (scene_is(&page->marks[i], "hill-edge") && page->marks[i].kind == MARK_CIRCLE)
            edge = &page->marks[i];
    cr_assert(edge && near(edge->radius_mm, p->hill_diameter_m / 2 * k, 1e-9), "the mound");
    for (int part = 0; part < p->nparts; part++)
        wanted += (int)ceil(p->parts[part].sown - 1e-9);
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        double far = hypot(m->points[0].x - edge->points[0].x, m->points[0].y - edge->points[0].y);
        bool on_ring = false;
        for (int part = 0; part < p->nparts; part++) {
            rings +=
                scene_is(m, "hill-ring") && near(m->radius_mm, p->parts[part].ring_m * k, 1e-9);
            on_ring = on_ring || near(far, p->parts[part].ring_m * k, 1e-6);
        }
        if (scene_is(m, "hill-seed") && far <= edge->radius_mm + 1e-6) {
            cr_assert(on_ring, "a seed %g mm from the middle", far);
            seeds++;
        }
        section += scene_is(m, "hill-section");
    }
    cr_assert(rings == p->nparts, "%d rings", rings);
    cr_assert(seeds == wanted, "%d seeds of %d", seeds, wanted);
    cr_assert(section > 10, "and a section");
    fixture_free(&f);
}

/* Seeds in the section lie as deep below the surface as they are sown, by the crop's figures: the
 * corn of the flat top so far below it. */
Test(map_hills, section_has_depths_and_height)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &fixture_specs[0]);
    const struct page *page = hills_page(scene);
    const struct planting *p = f.plan->blocks[0].planting;
    double k = 1000 / drawn_ratio(page), top = 1e9, base = -1e9;
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        if (!scene_is(m, "hill-section") || !near(m->pen_mm, PEN_HILL, 1e-9))
            continue;
        top = fmin(top, m->points[0].y);
        base = fmax(base, m->points[0].y);
    }
    cr_assert(near(base - top, p->hill_height_m * k, 1e-6), "%g mm high", base - top);
    int corn = 0;
    for (int i = 0; i < page->n; i++)
        corn += scene_is(&page->marks[i], "hill-seed") &&
                near(page->marks[i].points[0].y - top, p->parts[0].crop->depth_m.typ * k, 1e-6);
    cr_assert(corn == 2, "%d grains of corn, one on each side", corn);
    fixture_free(&f);
}

/* Steps in the order of sowing, each with what triggers it. */
Test(map_hills, steps_have_their_triggers)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &fixture_specs[0]);
    const struct page *page = hills_page(scene);
    static const char *const in_order[] = {"Build the hill", "flint corn", "climbing bean",
                                           "butternut squash"};
    double y[4] = {0};
    for (int i = 0; i < page->n; i++)
        for (int s = 0; s < 4; s++)
            if (page->marks[i].kind == MARK_TEXT && page->marks[i].bold &&
                strncmp(page->marks[i].text, in_order[s], strlen(in_order[s])) == 0)
                y[s] = page->marks[i].points[0].y;
    cr_assert(y[0] > 0 && y[0] < y[1] && y[1] < y[2] && y[2] < y[3], "%g %g %g %g", y[0], y[1],
              y[2], y[3]);
    bool corn_high = false;
    for (int i = 0; i < page->n; i++)
        corn_high = corn_high || (page->marks[i].kind == MARK_TEXT &&
                                  strstr(page->marks[i].text, "hen the corn"));
    cr_assert(corn_high, "the trigger of the guild's file is printed");
    fixture_free(&f);
}

/* No hills, no page; hills that are built alike, once. */
Test(map_hills, a_page_only_where_there_are_hills)
{
    struct fixture f;
    cr_assert_null(hills_page(fixture_scene(&f, &fixture_specs[6])), "a bed of rows");
    fixture_free(&f);
}
