/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "column.h"

#define WORDS                                                                                      \
    "Weed the whole plot before the beans go in; after that the vines close the ground, "          \
    "and nobody gets through them without treading on something"

static int count(const struct piece *p)
{
    int n = 0;
    for (; p; p = p->next)
        n++;
    return n;
}

Test(column, wraps_to_its_width_and_keeps_every_word)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    for (double w = 30; w < 120; w += 13) {
        struct column c;
        struct strbuf b;
        strbuf_init(&b, arena);
        column_init(&c, arena, w, 1);
        column_text(&c, TYPE_BODY_MM, false, 4, WORDS);
        column_cut(&c, 0);
        const struct page *page = &c.first->draft;
        for (int i = 0; i < page->n; i++) {
            struct rect box = mark_box(&page->marks[i]);
            cr_assert(box.x1 <= w + 1e-9, "width %g: line %d reaches %g", w, i, box.x1);
            cr_assert(i == 0 || near(page->marks[i].points[0].x, 4, 1e-9), "indent");
            cr_assert(box.y1 <= c.first->height_mm + 1e-9, "within its height");
            strbuf_printf(&b, "%s%s", i > 0 ? " " : "", page->marks[i].text);
        }
        cr_assert_str_eq(b.p, WORDS);
    }
    arena_free(arena);
}

Test(column, keeps_a_figure_with_its_unit)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    for (int w = 16; w < 60; w++) {
        struct column c;
        column_init(&c, arena, w, 1);
        column_text(&c, TYPE_BODY_MM, false, 0,
                    "Row 2: 8 every 6 in, thinned to 2 ft, 5 % in all (1 in = 4 ft)");
        for (int i = 0; i < c.page->n; i++) {
            const char *line = c.page->marks[i].text;
            cr_assert(strncmp(line, "in,", 3) != 0 && strncmp(line, "ft,", 3) != 0 &&
                          line[0] != '%' && line[0] != '=' && line[0] != '4',
                      "%d mm: \"%s\"", w, line);
        }
    }
    arena_free(arena);
}

Test(column, breaks_a_word_longer_than_a_line)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct column c;
    column_init(&c, arena, 20, 1);
    column_text(&c, TYPE_BODY_MM, false, 0, "Donaudampfschifffahrtsgesellschaftsärger");
    for (int i = 0; i < c.page->n; i++)
        cr_assert(mark_box(&c.page->marks[i]).x1 <= 20, "line %d", i);
    cr_assert(c.page->n > 2, "%d lines", c.page->n);
    arena_free(arena);
}

Test(column, no_type_below_8_points)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct column c;
    column_init(&c, arena, 80, 0.5);
    column_text(&c, TYPE_BODY_MM, false, 0, "small");
    cr_assert(c.page->marks[0].size_mm >= 8 * 25.4 / 72, "%g mm", c.page->marks[0].size_mm);
    arena_free(arena);
}

Test(column, pieces_are_set_whole_and_in_order)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct column c;
    column_init(&c, arena, 60, 1);
    for (int i = 0; i < 9; i++) {
        column_cut(&c, 2);
        column_text(&c, TYPE_BODY_MM, false, 0, arena_printf(arena, "piece %d, line 1", i));
        column_text(&c, TYPE_BODY_MM, false, 0, arena_printf(arena, "piece %d, line 2", i));
    }
    column_cut(&c, 0);
    cr_assert(!c.failed && count(c.first) == 9 + 1, "%d pieces, the last empty", count(c.first));
    struct rect room = {10, 10, 134, 40};
    struct page page;
    page_init(&page, arena, 150, 100);
    const struct piece *rest = column_set(c.first, room, 2, 4, &page);
    cr_assert(rest && count(rest) == 10 - 6, "three pieces to a column: %d left", count(rest));
    for (int i = 0; i < page.n; i++) {
        struct rect box = mark_box(&page.marks[i]);
        cr_assert(box.y1 <= room.y1 && box.x1 <= room.x1 && box.x0 >= room.x0, "line %d", i);
        cr_assert(i < 6 ? box.x1 < 72 : box.x0 >= 74, "line %d in its column", i);
    }
    cr_assert(!column_set(rest, room, 2, 4, &page), "the rest fits a second time");
    arena_free(arena);
}

Test(column, running_out_of_memory_is_told)
{
    int failures = 0;
    for (size_t cap = 64; cap < 200000; cap = cap * 3 / 2) {
        struct arena *arena = arena_new(cap);
        struct column c;
        if (!arena)
            continue;
        column_init(&c, arena, 50, 1);
        if (!c.failed)
            column_head(&c, "Head");
        if (!c.failed)
            column_text(&c, TYPE_BODY_MM, false, 0, WORDS);
        failures += c.failed;
        arena_free(arena);
    }
    cr_assert(failures > 0, "small arenas cannot hold it");
}
