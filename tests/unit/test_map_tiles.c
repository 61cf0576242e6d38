/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_scene.h"

static const struct fixture_spec *field(void)
{
    return &fixture_specs[5];
}

/* Where a place of the page lies on the ground; the map of the fixture is not turned. */
static struct mm ground(const struct page *page, struct mm at)
{
    const struct view *v = &page->view;
    return (struct mm){(at.x - v->x_mm) / v->mm_per_m, (v->y_mm - at.y) / v->mm_per_m};
}

Test(map_tiles, a_field_has_an_overview_and_tiles_at_a_larger_ratio)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, field());
    int tiles = 0;
    for (int p = 0; p < scene->npages; p++) {
        const struct page *page = &scene->pages[p];
        cr_assert(p > 0 || page->kind == PAGE_PLOT, "the overview comes first");
        if (page->kind != PAGE_TILE)
            continue;
        tiles++;
        bool told = false; /* first, so that no long name cuts it off */
        for (int i = 0; i < page->n; i++)
            told = told || (scene_is(&page->marks[i], "key") && page->marks[i].text &&
                            strncmp(page->marks[i].text, "Tile ", 5) == 0);
        cr_assert(told, "page %d says which tile it is", p + 1);
        cr_assert(page->ratio < scene->pages[0].ratio, "1:%g and 1:%g", page->ratio,
                  scene->pages[0].ratio);
        cr_assert(!page->view.turned, "by ground()");
    }
    cr_assert(tiles >= 2, "%d tiles", tiles);
    fixture_free(&f);
}

/* A plot that can be read on one page has no tiles. */
Test(map_tiles, a_small_plot_has_none)
{
    static const int small[] = {0, 1, 2, 3, 6, 7};
    for (size_t i = 0; i < sizeof small / sizeof *small; i++) {
        struct fixture f;
        struct scene *scene = fixture_scene(&f, &fixture_specs[small[i]]);
        for (int p = 0; p < scene->npages; p++)
            cr_assert(scene->pages[p].kind != PAGE_TILE, "%s", fixture_specs[small[i]].name);
        fixture_free(&f);
    }
}

/* Each hill is whole, at its true size and place, and with its number on at least one tile. */
Test(map_tiles, every_hill_is_whole_and_numbered_on_a_tile)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, field());
    int n = f.plan->nstations;
    int *drawn = ARENA_ARRAY(f.text.arena, int, (size_t)n),
        *numbered = ARENA_ARRAY(f.text.arena, int, (size_t)n);
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; scene->pages[p].kind == PAGE_TILE && i < scene->pages[p].n; i++) {
            const struct page *page = &scene->pages[p];
            const struct mark *m = &page->marks[i];
            if (m->station >= 0 && scene_is(m, "hill")) {
                const struct station *s = &f.plan->stations[m->station];
                struct mm at = ground(page, m->points[0]);
                double d = f.plan->blocks[s->block].planting->hill_diameter_m;
                cr_assert(near(at.x, s->x_m, 1e-6) && near(at.y, s->y_m, 1e-6), "hill %s", s->id);
                cr_assert(near(2 * m->radius_mm * page->ratio / 1000, d, 1e-9), "hill %s", s->id);
                drawn[m->station]++;
            }
            if (scene_is(m, "hill-number"))
                numbered[m->station]++;
        }
    for (int s = 0; s < n; s++)
        if (f.plan->blocks[f.plan->stations[s].block].planting->system == SYSTEM_HILLS)
            cr_assert(drawn[s] > 0 && numbered[s] > 0, "hill %s: drawn %d times, numbered %d",
                      f.plan->stations[s].id, drawn[s], numbered[s]);
    fixture_free(&f);
}

/* The crosses of two neighbours are at the same places of the ground: each cross has a twin. */
Test(map_tiles, match_marks_meet)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, field());
    int crosses = 0;
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; scene->pages[p].kind == PAGE_TILE && i < scene->pages[p].n; i++) {
            const struct mark *a = &scene->pages[p].marks[i];
            int twins = 0;
            if (!scene_is(a, "match"))
                continue;
            struct mm from = ground(&scene->pages[p], a->points[0]);
            for (int q = 0; q < scene->npages; q++)
                for (int j = 0;
                     scene->pages[q].kind == PAGE_TILE && q != p && j < scene->pages[q].n; j++) {
                    const struct mark *b = &scene->pages[q].marks[j];
                    if (!scene_is(b, "match"))
                        continue;
                    struct mm to = ground(&scene->pages[q], b->points[0]);
                    twins += hypot(from.x - to.x, from.y - to.y) < 1e-6;
                }
            cr_assert(twins > 0, "page %d: a cross at %g, %g m has no twin", p + 1, from.x, from.y);
            crosses++;
        }
    cr_assert(crosses > 0, "there are crosses");
    fixture_free(&f);
}

/* Each tile says which page its neighbours are on, and there the neighbour says the same of it. */
Test(map_tiles, tiles_name_their_neighbours)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, field());
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; scene->pages[p].kind == PAGE_TILE && i < scene->pages[p].n; i++) {
            const struct mark *m = &scene->pages[p].marks[i];
            int page = 0;
            bool back = false;
            if (!scene_is(m, "joins") ||
                sscanf(m->text, "joins tile %*[A-Z0-9], page %d", &page) != 1)
                continue;
            cr_assert(page >= 1 && page <= scene->npages && page != p + 1, "page %d", page);
            const char *words = arena_printf(f.text.arena, ", page %d", p + 1);
            for (int j = 0; j < scene->pages[page - 1].n; j++) {
                const struct mark *o = &scene->pages[page - 1].marks[j];
                back = back || (scene_is(o, "joins") && strstr(o->text, words));
            }
            cr_assert(back, "page %d joins page %d, which does not join it", p + 1, page);
        }
    fixture_free(&f);
}

/* The overview's key tells the page of each tile. */
Test(map_tiles, the_overview_lists_its_tiles)
{
    struct fixture f;
    struct scene *scene = fixture_scene(&f, field());
    struct strbuf key;
    strbuf_init(&key, f.text.arena);
    for (int i = 0; i < scene->pages[0].n; i++)
        if (scene_is(&scene->pages[0].marks[i], "key") &&
            scene->pages[0].marks[i].kind == MARK_TEXT)
            strbuf_printf(&key, "%s ", scene->pages[0].marks[i].text);
    int first = 0, last = 0;
    for (int p = 0; p < scene->npages; p++)
        if (scene->pages[p].kind == PAGE_TILE) {
            first = first ? first : p + 1;
            last = p + 1;
        }
    cr_assert(last - first + 1 > 6, "so many are not listed one by one");
    const char *words = arena_printf(f.text.arena, "on pages %d to %d.", first, last);
    cr_assert(strstr(key.p, words), "%s: %s", words, key.p);
    fixture_free(&f);
}
