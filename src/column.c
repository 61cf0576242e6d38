/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "column.h"

#include <math.h>
#include <string.h>

#define LEADING     1.28
#define SECTION_GAP 3.0

void column_init(struct column *c, struct arena *arena, double width_mm, double scale)
{
    *c = (struct column){.arena = arena, .w = width_mm, .scale = scale};
    column_cut(c, 0);
}

void column_cut(struct column *c, double gap_mm)
{
    struct piece *last = c->last;
    if (last) {
        last->height_mm = fmax(last->height_mm, c->y);
        c->failed = c->failed || last->draft.failed;
    }
    if (last && last->draft.n == 0) { /* nothing was written: go on in it */
        last->gap_mm = fmax(last->gap_mm, gap_mm);
        return;
    }
    struct piece *piece = ARENA_NEW(c->arena, struct piece);
    if (!piece) {
        page_init(&c->none, c->arena, 0, 0);
        c->none.failed = c->failed = true;
        c->page = &c->none;
        return;
    }
    page_init(&piece->draft, c->arena, 0, 0);
    piece->gap_mm = gap_mm;
    if (last)
        last->next = piece;
    else
        c->first = piece;
    c->last = piece;
    c->page = &piece->draft;
    c->x = c->y = 0;
}

/* Whether the space there stands between a figure and its unit or in an equation, "1 in = 4 ft",
 * which are not torn apart. */
static bool before_unit(const char *text, size_t space)
{
    static const char *const units[] = {"in", "ft", "m", "cm", "mm", "deg", "%"};
    if (space > 0 && (text[space - 1] == '=' || text[space + 1] == '='))
        return true;
    if (space == 0 || text[space - 1] < '0' || text[space - 1] > '9')
        return false;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        size_t n = strlen(units[i]);
        char after = strncmp(text + space + 1, units[i], n) == 0 ? text[space + 1 + n] : 'x';
        if (!(after >= 'a' && after <= 'z'))
            return true;
    }
    return false;
}

/* Bytes of the longest start of text that fits, up to a space if there is one; never 0. */
static size_t fitting(const char *text, double size, bool bold, double width)
{
    size_t fits = 0, space = 0, n = strlen(text);
    char buf[512];
    while (fits < n && fits < sizeof buf - 8) {
        size_t bytes = utf8_char(text + fits, n - fits);
        bytes = bytes > 0 ? bytes : 1;
        memcpy(buf + fits, text + fits, bytes);
        buf[fits + bytes] = '\0';
        if (scene_text_width(buf, size, bold) > width)
            return space > 0 ? space : fits > 0 ? fits : bytes;
        if (text[fits] == ' ' && !before_unit(text, fits))
            space = fits;
        fits += bytes;
    }
    return fits < n && space > 0 ? space : fits;
}

void column_text(struct column *c, double size_mm, bool bold, double indent_mm, const char *text)
{
    size_mm = fmax(size_mm * c->scale, TYPE_LEAST_MM);
    c->failed = c->failed || !text;
    double in = 0;
    while (!c->failed && *text) {
        size_t n = fitting(text, size_mm, bold, c->w - in);
        const char *line = arena_strndup(c->arena, text, n);
        page_text(c->page, "key", (struct mm){c->x + in, c->y + 0.8 * size_mm}, size_mm, ALIGN_LEFT,
                  bold, line);
        c->y += LEADING * size_mm;
        c->failed = c->page->failed;
        in = indent_mm;
        text += n;
        while (*text == ' ')
            text++;
    }
}

void column_head(struct column *c, const char *text)
{
    column_cut(c, SECTION_GAP);
    if (c->failed)
        return;
    column_text(c, TYPE_NUMBER_MM, true, 0, text);
    page_line(c->page, "key", (struct mm){c->x, c->y - 0.4}, (struct mm){c->x + c->w, c->y - 0.4},
              PEN_FINE, INK_BLACK);
    c->y += 1.4;
}

const struct piece *column_set(const struct piece *from, struct rect room, int columns,
                               double gap_mm, struct page *page)
{
    double w = (room.x1 - room.x0 - (columns - 1) * gap_mm) / columns;
    int column = 0;
    double y = room.y0;
    for (; from; from = from->next) {
        double gap = y > room.y0 ? from->gap_mm : 0;
        if (y > room.y0 && y + gap + from->height_mm > room.y1) {
            if (++column == columns)
                return from;
            y = room.y0;
            gap = 0;
        }
        if (!page && from->height_mm > room.y1 - room.y0)
            return from;
        if (page)
            page_append(page, &from->draft, room.x0 + column * (w + gap_mm), y + gap);
        y += gap + from->height_mm;
    }
    return NULL;
}
