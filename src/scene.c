/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "scene.h"

#include <math.h>
#include <string.h>

#include "num.h"

/* ---- paper and inks ------------------------------------------------------------------------ */

/* ANSI/ASME Y14.1 (8 1/2 x 11 in) and ISO 216. */
static const struct {
    const char *name;
    double w_mm, h_mm;
} papers[PAPER_COUNT] = {
    [PAPER_LETTER] = {"Letter", 215.9, 279.4},
    [PAPER_A4] = {"A4", 210, 297},
};

enum paper paper_of(const struct garden *garden)
{
    return garden->units.v == UNITS_METRIC ? PAPER_A4 : PAPER_LETTER;
}

void paper_size(enum paper paper, double *w_mm, double *h_mm)
{
    *w_mm = papers[paper].w_mm;
    *h_mm = papers[paper].h_mm;
}

const char *paper_name(enum paper paper)
{
    return papers[paper].name;
}

static const struct {
    const char *name;
    struct rgb rgb;
} inks[INK_COUNT] = {
    [INK_NONE] = {"none", {255, 255, 255}},
    [INK_BLACK] = {"black", {0, 0, 0}},
    [INK_GREY] = {"grey", {0x44, 0x44, 0x44}},
    [INK_RULE] = {"rule", {0x99, 0x99, 0x99}},
    [INK_LIGHT_1] = {"light 1", {0xFF, 0xFF, 0xE5}},
    [INK_LIGHT_2] = {"light 2", {0xFE, 0xE3, 0x91}},
    [INK_LIGHT_3] = {"light 3", {0xFE, 0xC4, 0x4F}},
    [INK_LIGHT_4] = {"light 4", {0xFB, 0x9A, 0x29}},
    [INK_LIGHT_5] = {"light 5", {0xCC, 0x4C, 0x02}},
    [INK_LIGHT_6] = {"light 6", {0x66, 0x25, 0x06}},
    [INK_PAPER] = {"paper", {255, 255, 255}},
    [INK_BLUE] = {"blue", {0x77, 0xAA, 0xDD}},
    [INK_YELLOW] = {"yellow", {0xEE, 0xDD, 0x88}},
    [INK_PINK] = {"pink", {0xFF, 0xAA, 0xBB}},
    [INK_MINT] = {"mint", {0x44, 0xBB, 0x99}},
    [INK_CYAN] = {"cyan", {0x99, 0xDD, 0xFF}},
    [INK_ORANGE] = {"orange", {0xEE, 0x88, 0x66}},
    [INK_PEAR] = {"pear", {0xBB, 0xCC, 0x33}},
    [INK_OLIVE] = {"olive", {0xAA, 0xAA, 0x00}},
    [INK_SILVER] = {"silver", {0xDD, 0xDD, 0xDD}},
};

struct rgb ink_rgb(enum ink ink)
{
    return inks[ink].rgb;
}

const char *ink_name(enum ink ink)
{
    return inks[ink].name;
}

/* ---- from the plot to the page ------------------------------------------------------------- */

struct mm view_point(const struct view *view, double x_m, double y_m)
{
    double k = view->mm_per_m;
    if (view->turned)
        return (struct mm){view->x_mm - y_m * k, view->y_mm - x_m * k};
    return (struct mm){view->x_mm + x_m * k, view->y_mm - y_m * k};
}

struct rect view_rect(const struct view *view, struct rect plot)
{
    struct mm a = view_point(view, plot.x0, plot.y0), b = view_point(view, plot.x1, plot.y1);
    return (struct rect){fmin(a.x, b.x), fmin(a.y, b.y), fmax(a.x, b.x), fmax(a.y, b.y)};
}

/* ---- marks --------------------------------------------------------------------------------- */

void page_init(struct page *page, struct arena *arena, double w_mm, double h_mm)
{
    *page = (struct page){.arena = arena, .w_mm = w_mm, .h_mm = h_mm, .plot = -1};
}

static bool page_grow(struct page *page)
{
    int cap = page->cap > 0 ? page->cap * 2 : 64;
    struct mark *marks = ARENA_ARRAY(page->arena, struct mark, (size_t)cap);
    if (!marks)
        return false;
    if (page->n > 0)
        memcpy(marks, page->marks, (size_t)page->n * sizeof *marks);
    page->marks = marks;
    page->cap = cap;
    return true;
}

static struct mark *page_add(struct page *page, enum mark_kind kind, const char *what,
                             const struct mm *p, int n)
{
    struct mark mark = {.kind = kind, .what = what, .block = -1, .line = -1, .station = -1};
    mark.points = ARENA_ARRAY(page->arena, struct mm, (size_t)n);
    if (!mark.points || (page->n == page->cap && !page_grow(page)))
        page->failed = true;
    if (page->failed) {
        page->spare = mark;
        page->spare.points = &page->nowhere;
        return &page->spare;
    }
    memcpy(mark.points, p, (size_t)n * sizeof *p);
    mark.npoints = n;
    page->marks[page->n] = mark;
    return &page->marks[page->n++];
}

struct mark *page_line(struct page *page, const char *what, struct mm a, struct mm b, double pen_mm,
                       enum ink ink)
{
    struct mark *mark = page_add(page, MARK_LINE, what, (struct mm[]){a, b}, 2);
    mark->pen_mm = pen_mm;
    mark->ink = ink;
    return mark;
}

struct mark *page_polygon(struct page *page, const char *what, const struct mm *p, int n,
                          double pen_mm, enum ink ink, enum ink fill)
{
    struct mark *mark = page_add(page, MARK_POLYGON, what, p, n);
    mark->pen_mm = pen_mm;
    mark->ink = ink;
    mark->fill = fill;
    return mark;
}

struct mark *page_rect(struct page *page, const char *what, struct rect r, double pen_mm,
                       enum ink ink, enum ink fill)
{
    const struct mm p[] = {{r.x0, r.y0}, {r.x1, r.y0}, {r.x1, r.y1}, {r.x0, r.y1}};
    return page_polygon(page, what, p, 4, pen_mm, ink, fill);
}

struct mark *page_circle(struct page *page, const char *what, struct mm at, double radius_mm,
                         double pen_mm, enum ink ink, enum ink fill)
{
    struct mark *mark = page_add(page, MARK_CIRCLE, what, &at, 1);
    mark->radius_mm = radius_mm;
    mark->pen_mm = pen_mm;
    mark->ink = ink;
    mark->fill = fill;
    return mark;
}

struct mark *page_text(struct page *page, const char *what, struct mm at, double size_mm,
                       enum align align, bool bold, const char *text)
{
    struct mark *mark = page_add(page, MARK_TEXT, what, &at, 1);
    if (!text) { /* a text that could not be made */
        page->failed = true;
        text = "";
    }
    mark->ink = INK_BLACK;
    mark->text = text;
    mark->size_mm = size_mm;
    mark->width_mm = scene_text_width(text, size_mm, bold);
    mark->bold = bold;
    mark->align = align;
    return mark;
}

void page_append(struct page *page, const struct page *draft, double dx, double dy)
{
    if (draft->failed)
        page->failed = true;
    for (int i = 0; i < draft->n && !page->failed; i++) {
        const struct mark *from = &draft->marks[i];
        struct mark *to = page_add(page, from->kind, from->what, from->points, from->npoints);
        struct mm *points = to->points;
        *to = *from;
        to->points = points;
        for (int p = 0; !page->failed && p < to->npoints; p++) {
            points[p].x += dx;
            points[p].y += dy;
        }
    }
}

/* ---- widths of text ------------------------------------------------------------------------ */

/* Advance widths of the characters 32 to 126 in hundredths of the em, rounded up: DejaVu Sans and
 * DejaVu Sans Bold 2.37, read from the fonts. */
static const unsigned char advance[2][95] = {
    {32, 41, 46, 84, 64, 96, 78, 28, 40, 40, 50, 84, 32, 37,  32, 34, 64, 64, 64,
     64, 64, 64, 64, 64, 64, 64, 34, 34, 84, 84, 84, 54, 100, 69, 69, 70, 78, 64,
     58, 78, 76, 30, 30, 66, 56, 87, 75, 79, 61, 79, 70, 64,  62, 74, 69, 99, 69,
     62, 69, 40, 34, 40, 84, 50, 50, 62, 64, 55, 64, 62, 36,  64, 64, 28, 28, 58,
     28, 98, 64, 62, 64, 64, 42, 53, 40, 64, 60, 82, 60, 60,  53, 64, 34, 64, 84},
    {35, 46,  53, 84, 70, 101, 88, 31,  46, 46, 53, 84, 38, 42,  38, 37, 70, 70,  70,
     70, 70,  70, 70, 70, 70,  70, 40,  40, 84, 84, 84, 59, 100, 78, 77, 74, 84,  69,
     69, 83,  84, 38, 38, 78,  64, 100, 84, 86, 74, 86, 78, 73,  69, 82, 78, 111, 78,
     73, 73,  46, 37, 46, 84,  50, 50,  68, 72, 60, 72, 68, 44,  72, 72, 35, 35,  67,
     35, 105, 72, 69, 72, 72,  50, 60,  48, 72, 66, 93, 65, 66,  59, 72, 37, 72,  84},
};
#define OTHER_ADVANCE 85 /* Latin, Greek, Cyrillic letters are 0.62 on average, few are wider */

/* Hundredths of the em of the first character; *bytes: its length. */
static unsigned char_advance(const char *text, bool bold, size_t *bytes)
{
    unsigned char c = (unsigned char)*text;
    *bytes = utf8_char(text, strlen(text));
    if (*bytes <= 1) {
        *bytes = 1;
        return c >= 32 && c < 127 ? advance[bold][c - 32] : OTHER_ADVANCE;
    }
    if (utf8_code(text, *bytes) == 0xA0) /* a space that is not broken */
        return advance[bold][0];
    char one[8] = {0};
    memcpy(one, text, *bytes);
    return OTHER_ADVANCE * (unsigned)utf8_columns(one) * (utf8_columns(one) > 1 ? 5 : 8) / 8;
}

double scene_text_width(const char *text, double size_mm, bool bold)
{
    unsigned sum = 0;
    for (size_t bytes; *text; text += bytes)
        sum += char_advance(text, bold, &bytes);
    return size_mm * sum / 100;
}

const char *scene_text_cut(struct arena *arena, const char *text, double size_mm, bool bold,
                           double width_mm)
{
    if (scene_text_width(text, size_mm, bold) <= width_mm)
        return text;
    double room = width_mm - scene_text_width("...", size_mm, bold), used = 0;
    size_t n = 0;
    for (size_t bytes; text[n]; n += bytes) {
        used += size_mm * char_advance(text + n, bold, &bytes) / 100;
        if (used > room)
            break;
    }
    while (n > 0 && text[n - 1] == ' ')
        n--;
    return arena_printf(arena, "%.*s...", (int)n, text);
}

/* Digits, capitals and quotes have nothing below the base line; accents reach higher. */
static void text_reach(const char *text, double *above, double *below)
{
    *above = 0.78;
    *below = strpbrk(text, "gjpqyQ,;()[]{}|_@$/") ? 0.24 : 0.04;
    for (const char *p = text; *p; p++)
        if ((unsigned char)*p >= 128) {
            *above = 0.95;
            *below = 0.26;
        }
}

struct rect mark_box(const struct mark *mark)
{
    double above, below, w = mark->width_mm;
    text_reach(mark->text, &above, &below);
    above *= mark->size_mm;
    below *= mark->size_mm;
    double before = mark->align == ALIGN_LEFT ? 0 : mark->align == ALIGN_CENTRE ? w / 2 : w;
    struct mm at = mark->points[0];
    if (mark->upright)
        return (struct rect){at.x - above, at.y - (w - before), at.x + below, at.y + before};
    return (struct rect){at.x - before, at.y - above, at.x - before + w, at.y + below};
}

bool boxes_overlap(struct rect a, struct rect b)
{
    return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

/* ---- dump ---------------------------------------------------------------------------------- */

static void dump_mm(struct strbuf *out, const char *before, double v)
{
    char num[64];
    strbuf_printf(out, "%s%s", before, num_fixed(num, sizeof num, v, 2));
}

static void dump_mark(const struct mark *mark, struct strbuf *out)
{
    static const char *const kinds[] = {"line", "polygon", "circle", "text"};
    static const char *const hatches[HATCH_COUNT] = {"",      "rising", "falling", "cross",
                                                     "level", "dots",   "waves",   "rings",
                                                     "heads", "checks", "close"};
    static const char *const dashes[] = {"", "long", "short"};
    static const char *const aligns[] = {"left", "centre", "right"};
    strbuf_printf(out, "  %s %s", mark->what, kinds[mark->kind]);
    for (int i = 0; i < mark->npoints; i++) {
        dump_mm(out, " ", mark->points[i].x);
        dump_mm(out, ",", mark->points[i].y);
    }
    if (mark->kind == MARK_CIRCLE)
        dump_mm(out, " radius ", mark->radius_mm);
    if (mark->pen_mm > 0)
        dump_mm(out, " pen ", mark->pen_mm);
    if (mark->ink != INK_NONE)
        strbuf_printf(out, " %s", ink_name(mark->ink));
    if (mark->fill != INK_NONE)
        strbuf_printf(out, " fill %s", ink_name(mark->fill));
    if (mark->hatch != HATCH_NONE)
        strbuf_printf(out, " hatch %s", hatches[mark->hatch]);
    if (mark->dash != DASH_SOLID)
        strbuf_printf(out, " dash %s", dashes[mark->dash]);
    if (mark->block >= 0)
        strbuf_printf(out, " block %d", mark->block + 1);
    if (mark->line >= 0)
        strbuf_printf(out, " line %d", mark->line + 1);
    if (mark->station >= 0)
        strbuf_printf(out, " station %d", mark->station + 1);
    if (mark->kind == MARK_TEXT) {
        dump_mm(out, " size ", mark->size_mm);
        strbuf_printf(out, " %s%s%s \"", aligns[mark->align], mark->bold ? " bold" : "",
                      mark->upright ? " upright" : "");
        strbuf_add_escaped(out, mark->text, strlen(mark->text));
        strbuf_puts(out, "\"");
    }
    strbuf_puts(out, "\n");
}

void scene_dump(const struct scene *scene, struct strbuf *out)
{
    char num[64];
    strbuf_printf(out, "scene of plan %s: %d pages of %s\n", scene->plan->id, scene->npages,
                  paper_name(scene->paper));
    for (int p = 0; p < scene->npages; p++) {
        const struct page *page = &scene->pages[p];
        strbuf_printf(out, "page %d:", p + 1);
        dump_mm(out, " ", page->w_mm);
        dump_mm(out, " x ", page->h_mm);
        if (page->ratio > 0)
            strbuf_printf(out, " mm, plot %d at 1:%s%s", page->plot + 1,
                          num_text(num, sizeof num, page->ratio),
                          page->view.turned ? ", turned" : "");
        strbuf_printf(out, ", %d marks\n", page->n);
        for (int i = 0; i < page->n; i++)
            dump_mark(&page->marks[i], out);
    }
}
