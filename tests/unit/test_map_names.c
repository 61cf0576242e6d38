/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_scene.h"
#include "map.h"

/* The mark of that kind that stands for a line, NULL: none. */
static const struct mark *mark_of(const struct page *page, const char *what, int line)
{
    for (int i = 0; i < page->n; i++)
        if (page->marks[i].line == line && scene_is(&page->marks[i], what))
            return &page->marks[i];
    return NULL;
}

static struct rect extent(const struct mark *m)
{
    struct rect r = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (int i = 0; i < m->npoints; i++)
        r = (struct rect){fmin(r.x0, m->points[i].x), fmin(r.y0, m->points[i].y),
                          fmax(r.x1, m->points[i].x), fmax(r.y1, m->points[i].y)};
    return r;
}

/* Whether the strip of any other row lies in the ground between the name and its own. */
static bool another_between(const struct page *page, int line, struct rect name, struct rect row)
{
    struct rect between = {name.x0, name.y0, name.x1, row.y1};
    if (name.y1 > row.y0) /* the row is upright, its name to the left */
        between = (struct rect){name.x0, name.y0, row.x1, name.y1};
    for (int i = 0; i < page->n; i++)
        if (page->marks[i].line != line && scene_is(&page->marks[i], "row") &&
            boxes_overlap(extent(&page->marks[i]), between))
            return true;
    return false;
}

/* Rows that one finds by their names on the page: above the row (left of an upright one) with no
 * other row between, or beside the outline with the distance, or by a line that leads to the row.
 * A name anywhere else would be read as another row's. *led: those with such a line. */
static int found_rows(const char *plan, const struct scene *scene, const struct page *page,
                      int *led)
{
    int found = 0;
    for (int l = 0; l < scene->plan->nlines; l++) {
        const struct line *line = &scene->plan->lines[l];
        const struct mark *row = mark_of(page, "row", l), *name = mark_of(page, "row-name", l);
        char title[32];
        snprintf(title, sizeof title, "%d.%d ", line->block + 1, line->index + 1);
        bool beside = false;
        for (int i = 0; i < page->n; i++)
            beside = beside || (scene_is(&page->marks[i], "distance") &&
                                strncmp(page->marks[i].text, title, strlen(title)) == 0);
        if (!row)
            continue;
        cr_assert(!beside || !name, "%s: row %shas two names", plan, title);
        found += beside || name;
        if (!name || mark_of(page, "leader", l)) {
            *led += name != NULL;
            continue;
        }
        struct rect box = mark_box(name), strip = extent(row);
        bool level = strip.x1 - strip.x0 > strip.y1 - strip.y0;
        cr_assert(level ? box.y1 <= strip.y0 : box.x1 <= strip.x0, "%s: %sis below its row", plan,
                  title);
        cr_assert(!another_between(page, l, box, strip), "%s: another row before %s", plan, title);
    }
    return found;
}

/* Rows 10 and 14 inches apart: too near each other for names between them. */
static const struct fixture_spec narrow = {
    "narrow rows",
    FIXTURE_HEAD("Narrow", "us") FIXTURE_PLOT("Plot 1", "0 deg", "along-x") FIXTURE_SEED,
    {{0}},
    0,
    {{0, 3, SYSTEM_ROWS, {5}, 4 * FIXTURE_IN, 10 * FIXTURE_IN},
     {0, 1, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN},
     {0, 4, SYSTEM_ROWS, {4}, 6 * FIXTURE_IN, 14 * FIXTURE_IN},
     {0, 1, SYSTEM_ROWS, {6}, 30 * FIXTURE_IN, 30 * FIXTURE_IN}},
    4};

Test(map_names, a_name_stands_where_it_is_read_with_its_row, .timeout = 120)
{
    const struct fixture_spec *specs[] = {&narrow, &fixture_specs[0], &fixture_specs[1],
                                          &fixture_specs[3], &fixture_specs[6]};
    for (size_t k = 0; k < sizeof specs / sizeof *specs; k++) {
        struct fixture f;
        struct scene *scene = fixture_scene(&f, specs[k]);
        int rows = 0, found = 0, led = 0;
        for (int l = 0; l < f.plan->nlines; l++)
            rows += f.plan->blocks[f.plan->lines[l].block].planting->system != SYSTEM_HILLS;
        for (int p = 0; p < scene->npages; p++)
            if (scene->pages[p].kind == PAGE_PLOT)
                found += found_rows(specs[k]->name, scene, &scene->pages[p], &led);
        cr_assert(found == rows, "%s: %d of %d rows have names", specs[k]->name, found, rows);
        fixture_free(&f);
    }
}

Test(map_names, names_on_odd_plans_are_read_with_their_rows, .timeout = 120)
{
    int found = 0, led = 0;
    for (unsigned i = 16; i < 22; i++) {
        struct fixture_odd odd;
        struct fixture f;
        fixture_odd_make(&odd, i);
        struct scene *scene = fixture_scene(&f, &odd.spec);
        for (int p = 0; p < scene->npages; p++)
            if (scene->pages[p].kind == PAGE_PLOT || scene->pages[p].kind == PAGE_TILE)
                found += found_rows(odd.name, scene, &scene->pages[p], &led);
        fixture_free(&f);
    }
    cr_assert(found > 20, "%d names", found);
    cr_assert(led > 0, "some are led to their rows");
}

/* The word in each of two paths that cross stands where they do not. */
Test(map_names, paths_that_cross_are_named)
{
    const struct fixture_spec spec = {
        "a cross of paths",
        FIXTURE_HEAD("Cross",
                     "metric") "  - {name: Field, size: 10 m x 8 m, rows: along-x, paths: "
                               "[{from: [0 m, 4 m], to: [10 m, 4 m], width: 50 cm}, "
                               "{from: [5 m, 0 m], to: [5 m, 8 m], width: 60 cm}]}\n" FIXTURE_SEED,
        {{0, {0.2, 0.2, 4.5, 3.5}}},
        1,
        {{0, 2, SYSTEM_ROWS, {3}, 0.3, 0.75}},
        1};
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    const struct page *page = &scene->pages[0];
    int words = 0;
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        if (m->kind != MARK_TEXT || !scene_is(m, "path"))
            continue;
        int in = 0;
        for (int j = 0; j < page->n; j++)
            in += page->marks[j].kind == MARK_POLYGON && scene_is(&page->marks[j], "path") &&
                  boxes_overlap(extent(&page->marks[j]), mark_box(m));
        cr_assert(in == 1, "in %d paths", in);
        words++;
    }
    cr_assert(words == 2, "%d words", words);
    fixture_page_check(spec.name, page, 1);
    fixture_free(&f);
}

/* A short row in a narrow corner is named from beyond the outline. */
Test(map_names, a_row_in_a_corner_has_a_name)
{
    const struct fixture_spec spec = {
        "a corner",
        FIXTURE_HEAD("Corner", "us") "  - {name: Field, outline: [[0 ft, 0 ft], [22 ft, 0 ft], "
                                     "[26 ft, 12 ft], [12 ft, 24 ft], [0 ft, 18 ft]], rows: "
                                     "along-x}\n" FIXTURE_SEED,
        {{0, {2.86, 6.3, 4.08, 6.7}}, {0, {1.9, 5.8, 4.64, 6.2}}, {0, {0.93, 5.4, 5.1, 5.8}}},
        3,
        {{0, 1, SYSTEM_ROWS, {5}, 8 * FIXTURE_IN, 0.4},
         {1, 1, SYSTEM_ROWS, {4}, 8 * FIXTURE_IN, 0.4},
         {2, 1, SYSTEM_ROWS, {3}, 8 * FIXTURE_IN, 0.4}},
        3};
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    int led = 0, found = found_rows(spec.name, scene, &scene->pages[0], &led);
    cr_assert(found == 3 && led > 0, "%d rows are named, %d of them led to", found, led);
    fixture_page_check(spec.name, &scene->pages[0], 1);
    fixture_free(&f);
}

/* Of three rows in one line the outer ones have the distance at their sides, once, and the middle
 * one needs none of its own. */
Test(map_names, a_line_of_several_rows_is_read_at_its_ends)
{
    const struct fixture_spec spec = {
        "three in a line",
        FIXTURE_HEAD("Three",
                     "metric") "  - {name: Bed, size: 9 m x 3 m, rows: along-x}\n" FIXTURE_SEED,
        {{0, {0.2, 1, 3, 2}}, {0, {3, 1, 6, 2}}, {0, {6, 1, 8.8, 2}}},
        3,
        {{0, 1, SYSTEM_ROWS, {3}, 0.3, 0.75},
         {1, 1, SYSTEM_ROWS, {5}, 0.1, 0.75},
         {2, 1, SYSTEM_ROWS, {6}, 0.6, 0.75}},
        3};
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    const struct page *page = &scene->pages[0];
    int readings = 0;
    for (int i = 0; i < page->n; i++) {
        if (!scene_is(&page->marks[i], "distance"))
            continue;
        readings++;
        cr_assert(page->marks[i].line != 1, "the middle row ends at no side");
    }
    cr_assert_eq(readings, 2);
    for (int l = 0; l < 3; l++)
        cr_assert_null(strstr(mark_of(page, "row-name", l)->text, "at"), "row %d", l + 1);
    fixture_free(&f);
}

/* Rows that meet have one number for the place, clear of the next. */
Test(map_names, rows_that_meet_share_a_number)
{
    const struct fixture_spec spec = {
        "short rows in a line",
        FIXTURE_HEAD("Short",
                     "metric") "  - {name: Bed, size: 6 m x 3 m, rows: along-x}\n" FIXTURE_SEED,
        {{0, {0.2, 1, 1.5, 2}}, {0, {1.5, 1, 2.8, 2}}, {0, {2.8, 1, 5.8, 2}}},
        3,
        {{0, 1, SYSTEM_ROWS, {3}, 0.3, 0.75},
         {1, 1, SYSTEM_ROWS, {5}, 0.1, 0.75},
         {2, 1, SYSTEM_ROWS, {6}, 0.6, 0.75}},
        3};
    const double apart = 1; /* mm */
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    const struct page *page = &scene->pages[0];
    int ends = 0;
    for (int i = 0; i < page->n; i++) {
        if (!scene_is(&page->marks[i], "row-end"))
            continue;
        struct rect box = mark_box(&page->marks[i]);
        ends++;
        box.x0 -= apart, box.x1 += apart;
        box.y0 += 0.3, box.y1 -= 0.3; /* a text in the next line may come as near */
        for (int j = 0; j < page->n; j++)
            cr_assert(i == j || page->marks[j].kind != MARK_TEXT ||
                          !boxes_overlap(box, mark_box(&page->marks[j])),
                      "%s stands by %s", page->marks[i].text, page->marks[j].text);
    }
    cr_assert(ends == 4, "of three rows that meet: %d", ends);
    fixture_free(&f);
}

/* What is written in a hill does not touch its circle. */
Test(map_names, words_in_a_hill_keep_within_it)
{
    int both = 0;
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = fixture_scene(&f, &fixture_specs[v]);
        for (int p = 0; p < scene->npages; p++)
            for (int i = 0; i < scene->pages[p].n; i++) {
                const struct mark *m = &scene->pages[p].marks[i], *hill = NULL;
                for (int j = 0; scene_is(m, "hill-letters") && j < scene->pages[p].n; j++)
                    if (scene_is(&scene->pages[p].marks[j], "hill") &&
                        scene->pages[p].marks[j].station == m->station)
                        hill = &scene->pages[p].marks[j];
                if (!hill)
                    continue;
                both++;
                for (int k = 0; k < scene->pages[p].n; k++) {
                    const struct mark *t = &scene->pages[p].marks[k];
                    if (t->kind != MARK_TEXT || t->station != m->station ||
                        (t != m && !scene_is(t, "hill-number")))
                        continue;
                    double half = t->width_mm / 2 - 0.09 * t->size_mm;
                    double base = t->points[0].y - hill->points[0].y;
                    double far = fmax(fabs(base), fabs(base - 0.73 * t->size_mm));
                    cr_assert(hypot(half, far) <= hill->radius_mm - hill->pen_mm / 2,
                              "%s: %s in hill %d", fixture_specs[v].name, t->text, m->station + 1);
                }
            }
        fixture_free(&f);
    }
    cr_assert(both > 10, "%d hills with letters", both);
}
