/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "draw.h"

#include <math.h>
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>

#include <cairo-pdf.h>
#include <cairo.h>
#include <pango/pangocairo.h>
#include <png.h>

#include "num.h"

#define COMPRESSION                                                                                \
    3 /* of a PNG, 1 to 9: a map is mostly white, and more takes longer for little */
#define FONT       "DejaVu Sans"
#define SOFTWARE   "hillrow " HILLROW_VERSION
#define PDF_DATE   "2000-01-01T00:00:00Z" /* any fixed one: cairo writes the clock's otherwise */
#define MM_PER_IN  25.4
#define HATCH_STEP 1.5 /* mm */

/* A page being drawn: k units of the device to the millimetre. */
struct pencil {
    cairo_t *cairo;
    PangoLayout *layout;
    double k;
};

/* ---- strokes and fills --------------------------------------------------------------------- */

static void use_ink(struct pencil *p, enum ink ink)
{
    struct rgb c = ink_rgb(ink);
    cairo_set_source_rgb(p->cairo, c.r / 255.0, c.g / 255.0, c.b / 255.0);
}

static void use_dash(struct pencil *p, enum dash dash)
{
    static const double lengths[][2] = {
        [DASH_SOLID] = {0, 0}, [DASH_LONG] = {3, 1.2}, [DASH_SHORT] = {1.2, 0.9}};
    double d[2] = {lengths[dash][0] * p->k, lengths[dash][1] * p->k};
    cairo_set_dash(p->cairo, d, dash == DASH_SOLID ? 0 : 2, 0);
}

static void trace(struct pencil *p, const struct mark *mark)
{
    double k = p->k;
    cairo_new_path(p->cairo);
    if (mark->kind == MARK_CIRCLE) {
        cairo_arc(p->cairo, mark->points[0].x * k, mark->points[0].y * k, mark->radius_mm * k, 0,
                  2 * G_PI);
        return;
    }
    for (int i = 0; i < mark->npoints; i++)
        cairo_line_to(p->cairo, mark->points[i].x * k, mark->points[i].y * k);
    if (mark->kind == MARK_POLYGON)
        cairo_close_path(p->cairo);
}

/* Three lines along the box. */
static void hatch_level(cairo_t *cairo, const double box[4])
{
    bool upright = box[3] - box[1] > box[2] - box[0];
    for (int i = 1; i <= 3; i++) {
        double x = box[0] + (box[2] - box[0]) * i / 4, y = box[1] + (box[3] - box[1]) * i / 4;
        cairo_move_to(cairo, upright ? x : box[0], upright ? box[1] : y);
        cairo_line_to(cairo, upright ? x : box[2], upright ? box[3] : y);
    }
}

/* Lines across a box at 45 degrees, rising or falling. They hang on the page, not on the box, so
 * that neighbours match. */
static void hatch_slanted(cairo_t *cairo, double step, bool rising, const double box[4])
{
    double h = box[3] - box[1], apart = step * sqrt(2);
    int first = (int)floor((box[0] - h) / apart), last = (int)ceil((box[2] + h) / apart);
    for (int i = first; i <= last; i++) {
        double x = i * apart;
        cairo_move_to(cairo, x, rising ? box[3] : box[1]);
        cairo_line_to(cairo, x + h, rising ? box[1] : box[3]);
    }
}

static void hatch_dots(cairo_t *cairo, double step, double radius, const double box[4])
{
    int columns = (int)((box[2] - box[0]) / step), rows = (int)((box[3] - box[1]) / step + 0.5);
    for (int r = 0; r < rows; r++)
        for (int c = 0; c <= columns; c++) {
            double x = box[0] + (c + (r % 2 ? 1 : 0.5)) * step, y = box[1] + (r + 0.5) * step;
            cairo_new_sub_path(cairo);
            cairo_arc(cairo, x, y, radius, 0, 2 * G_PI);
        }
}

/* A line that goes up and down along the box. */
static void hatch_waves(cairo_t *cairo, double step, const double box[4])
{
    bool upright = box[3] - box[1] > box[2] - box[0];
    double length = upright ? box[3] - box[1] : box[2] - box[0];
    double lo = upright ? box[0] : box[1], depth = upright ? box[2] - box[0] : box[3] - box[1];
    int n = (int)ceil(length / step);
    for (int i = 0; i <= n; i++) {
        double along = (upright ? box[1] : box[0]) + i * step;
        double across = lo + depth * (i % 2 ? 0.15 : 0.85);
        cairo_line_to(cairo, upright ? across : along, upright ? along : across);
    }
}

/* Arrow heads along the box. */
static void hatch_heads(cairo_t *cairo, double step, const double box[4])
{
    bool upright = box[3] - box[1] > box[2] - box[0];
    double length = upright ? box[3] - box[1] : box[2] - box[0];
    double lo = upright ? box[0] : box[1], depth = upright ? box[2] - box[0] : box[3] - box[1];
    for (int i = 0; i <= (int)(length / step); i++)
        for (int end = 0; end < 3; end++) {
            double along = (upright ? box[1] : box[0]) + (i + (end == 1 ? 0.6 : 0.1)) * step;
            double across = lo + depth * end / 2;
            double x = upright ? across : along, y = upright ? along : across;
            if (end == 0)
                cairo_move_to(cairo, x, y);
            else
                cairo_line_to(cairo, x, y);
        }
}

/* Black blocks, now on this side of the middle and now on that. */
static void hatch_checks(cairo_t *cairo, double step, const double box[4])
{
    bool upright = box[3] - box[1] > box[2] - box[0];
    double length = upright ? box[3] - box[1] : box[2] - box[0];
    double lo = upright ? box[0] : box[1], half = (upright ? box[2] - box[0] : box[3] - box[1]) / 2;
    for (int i = 0; i <= (int)(length / step); i++) {
        double along = (upright ? box[1] : box[0]) + i * step, across = lo + (i % 2 ? half : 0);
        cairo_rectangle(cairo, upright ? across : along, upright ? along : across,
                        upright ? half : step, upright ? step : half);
    }
}

static void trace_hatch(cairo_t *cairo, enum hatch hatch, double k, const double box[4])
{
    double step = HATCH_STEP * k;
    switch (hatch) {
    case HATCH_RISING:
        hatch_slanted(cairo, step, true, box);
        break;
    case HATCH_FALLING:
        hatch_slanted(cairo, step, false, box);
        break;
    case HATCH_CROSS:
        hatch_slanted(cairo, step, true, box);
        hatch_slanted(cairo, step, false, box);
        break;
    case HATCH_CLOSE:
        hatch_slanted(cairo, 0.45 * step, true, box);
        break;
    case HATCH_LEVEL:
        hatch_level(cairo, box);
        break;
    case HATCH_WAVES:
        hatch_waves(cairo, 0.8 * step, box);
        break;
    case HATCH_HEADS:
        hatch_heads(cairo, 1.2 * step, box);
        break;
    case HATCH_CHECKS:
        hatch_checks(cairo, 0.8 * step, box);
        break;
    case HATCH_RINGS:
        hatch_dots(cairo, 1.1 * step, 0.5 * k, box);
        break;
    default:
        hatch_dots(cairo, 0.8 * step, 0.24 * k, box);
    }
}

/* Hatches the present path. */
static void hatch(struct pencil *p, enum hatch hatch)
{
    cairo_t *cairo = p->cairo;
    double box[4];
    cairo_save(cairo);
    cairo_path_extents(cairo, &box[0], &box[1], &box[2], &box[3]);
    cairo_clip(cairo);
    use_ink(p, INK_BLACK);
    use_dash(p, DASH_SOLID); /* whatever the mark before had */
    cairo_set_line_width(cairo, PEN_GRID * p->k);
    trace_hatch(cairo, hatch, p->k, box);
    if (hatch == HATCH_DOTS || hatch == HATCH_CHECKS)
        cairo_fill(cairo);
    else
        cairo_stroke(cairo);
    cairo_restore(cairo);
}

static void draw_shape(struct pencil *p, const struct mark *mark)
{
    cairo_t *cairo = p->cairo;
    if (mark->fill != INK_NONE) {
        trace(p, mark);
        use_ink(p, mark->fill);
        cairo_fill(cairo);
    }
    if (mark->hatch != HATCH_NONE) {
        trace(p, mark);
        hatch(p, mark->hatch);
    }
    if (mark->pen_mm > 0 && mark->ink != INK_NONE) {
        trace(p, mark);
        use_ink(p, mark->ink);
        use_dash(p, mark->dash);
        cairo_set_line_width(cairo, mark->pen_mm * p->k);
        cairo_stroke(cairo);
    }
}

/* ---- text ---------------------------------------------------------------------------------- */

static PangoLayout *new_layout(cairo_t *cairo)
{
    PangoLayout *layout = pango_cairo_create_layout(cairo);
    PangoContext *context = pango_layout_get_context(layout);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(context, options);
    pango_context_set_round_glyph_positions(context, FALSE);
    cairo_font_options_destroy(options);
    pango_layout_set_single_paragraph_mode(layout, TRUE);
    return layout;
}

/* Sets font and text; its width in device units is returned. */
static double set_text(struct pencil *p, const struct mark *mark)
{
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family(font, FONT);
    pango_font_description_set_weight(font, mark->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(font, mark->size_mm * p->k * PANGO_SCALE);
    pango_layout_set_font_description(p->layout, font);
    pango_font_description_free(font);
    pango_layout_set_text(p->layout, mark->text, -1);
    PangoRectangle logical;
    pango_layout_get_extents(p->layout, NULL, &logical);
    return (double)logical.width / PANGO_SCALE;
}

/* White under a text that lies on lines. */
static void clear_under(struct pencil *p, const struct mark *mark)
{
    struct rect b = mark_box(mark);
    double k = p->k;
    use_ink(p, mark->fill);
    cairo_rectangle(p->cairo, b.x0 * k, b.y0 * k, (b.x1 - b.x0) * k, (b.y1 - b.y0) * k);
    cairo_fill(p->cairo);
}

static void draw_text(struct pencil *p, const struct mark *mark)
{
    cairo_t *cairo = p->cairo;
    if (mark->fill != INK_NONE)
        clear_under(p, mark);
    double w = set_text(p, mark), room = mark->width_mm * p->k;
    double squeeze = w > room && w > 0 ? room / w : 1;
    w *= squeeze;
    double before = mark->align == ALIGN_LEFT ? 0 : mark->align == ALIGN_CENTRE ? w / 2 : w;
    double base = (double)pango_layout_get_baseline(p->layout) / PANGO_SCALE;
    cairo_save(cairo);
    cairo_translate(cairo, mark->points[0].x * p->k, mark->points[0].y * p->k);
    if (mark->upright)
        cairo_rotate(cairo, -G_PI / 2);
    cairo_translate(cairo, -before, -base);
    cairo_scale(cairo, squeeze, 1);
    cairo_move_to(cairo, 0, 0);
    use_ink(p, mark->ink);
    pango_cairo_show_layout(cairo, p->layout);
    cairo_restore(cairo);
}

double draw_text_width(const struct mark *mark)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_A8, 8, 8);
    struct pencil p = {.cairo = cairo_create(surface), .k = DRAW_DPI / MM_PER_IN};
    double w = -1;
    if (cairo_status(p.cairo) == CAIRO_STATUS_SUCCESS) {
        p.layout = new_layout(p.cairo);
        w = set_text(&p, mark) / p.k;
        g_object_unref(p.layout);
    }
    cairo_destroy(p.cairo);
    cairo_surface_destroy(surface);
    return w;
}

/* ---- pages --------------------------------------------------------------------------------- */

static hr_status status_of(cairo_status_t status)
{
    switch (status) {
    case CAIRO_STATUS_SUCCESS:
        return HR_OK;
    case CAIRO_STATUS_NO_MEMORY:
        return HR_NOMEM;
    case CAIRO_STATUS_WRITE_ERROR:
        return HR_IO;
    default:
        return HR_BUG; /* the scene held something that cannot be drawn */
    }
}

/* Errors of cairo stick: after the first, nothing more is drawn, silently. */
static hr_status draw_page(struct pencil *p, const struct page *page)
{
    p->layout = new_layout(p->cairo);
    for (int i = 0; i < page->n; i++) {
        if (page->marks[i].kind == MARK_TEXT)
            draw_text(p, &page->marks[i]);
        else
            draw_shape(p, &page->marks[i]);
    }
    g_object_unref(p->layout);
    p->layout = NULL;
    return status_of(cairo_status(p->cairo));
}

/* Whether the text stands in an earlier mark, too: it is told once. */
static bool told_before(const struct scene *scene, int page, int mark)
{
    const char *text = scene->pages[page].marks[mark].text;
    for (int p = 0; p <= page; p++)
        for (int i = 0; i < (p < page ? scene->pages[p].n : mark); i++) {
            const struct mark *m = &scene->pages[p].marks[i];
            if (m->kind == MARK_TEXT && strcmp(m->text, text) == 0)
                return true;
        }
    return false;
}

/* Whether another picture has told of it. */
static bool in_diags(const struct diags *diags, const char *text)
{
    for (size_t i = 0; i < diags_count(diags); i++) {
        const struct diag *d = diags_at(diags, i);
        if (strcmp(d->check, "missing-glyph") == 0 && strstr(d->text, text))
            return true;
    }
    return false;
}

static bool is_ascii(const char *s)
{
    for (; *s; s++)
        if ((unsigned char)*s >= 128)
            return false;
    return true;
}

void draw_check(const struct scene *scene, struct diags *diags)
{
    enum { TEXTS_TOLD = 8 };
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_A8, 8, 8);
    struct pencil pencil = {.cairo = cairo_create(surface), .k = DRAW_DPI / MM_PER_IN};
    pencil.layout = new_layout(pencil.cairo);
    int told = 0;
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; i < scene->pages[p].n && told < TEXTS_TOLD; i++) {
            const struct mark *mark = &scene->pages[p].marks[i];
            if (mark->kind != MARK_TEXT || is_ascii(mark->text))
                continue;
            set_text(&pencil, mark);
            int unknown = pango_layout_get_unknown_glyphs_count(pencil.layout);
            if (unknown == 0 || told_before(scene, p, i) || in_diags(diags, mark->text))
                continue;
            told++;
            diag_warning(diags, (struct pos){0}, "missing-glyph",
                         "no font here has %d of the characters of `%s`, which is to be drawn",
                         unknown, mark->text);
        }
    g_object_unref(pencil.layout);
    cairo_destroy(pencil.cairo);
    cairo_surface_destroy(surface);
    if (scene->plots_left_out > 0)
        diag_warning(diags, (struct pos){0}, "plots-left-out",
                     "the map has no more than %d pages; %d plots are not on it", SCENE_PAGES_MAX,
                     scene->plots_left_out);
}

hr_status draw_meta_make(const struct scene *scene, struct arena *arena, struct draw_meta *out)
{
    char num[64];
    const struct plan *plan = scene->plan;
    double ratio = scene->npages > 0 ? scene->pages[0].ratio : 0;
    const char *scale =
        ratio > 0 ? arena_printf(arena, "scale 1:%s on ", num_text(num, sizeof num, ratio)) : "on ";
    struct draw_meta meta = {
        arena_printf(arena, "%s: %s", plan->garden->name.s,
                     scene->title ? scene->title : "planting map"),
        scale ? arena_printf(arena, "Plan %s, %s%s paper; print at 100 %%", plan->id, scale,
                             paper_name(scene->paper))
              : NULL,
    };
    if (!meta.title || !meta.description)
        return HR_NOMEM;
    *out = meta;
    return HR_OK;
}

/* ---- PDF ----------------------------------------------------------------------------------- */

static cairo_status_t write_pdf(void *file, const unsigned char *data, unsigned n)
{
    return fwrite(data, 1, n, (FILE *)file) == n ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

hr_status draw_pdf(const struct scene *scene, FILE *file, const struct draw_meta *meta)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(write_pdf, file, 10, 10);
    struct pencil p = {.cairo = cairo_create(surface), .k = 72 / MM_PER_IN};
    hr_status status = status_of(cairo_status(p.cairo));
    if (status == HR_OK) {
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, meta->title);
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, meta->description);
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, SOFTWARE);
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, PDF_DATE);
    }
    for (int i = 0; i < scene->npages && status == HR_OK; i++) {
        const struct page *page = &scene->pages[i];
        cairo_pdf_surface_set_size(surface, page->w_mm * p.k, page->h_mm * p.k);
        status = draw_page(&p, page);
        cairo_show_page(p.cairo);
    }
    cairo_surface_finish(surface);
    if (status == HR_OK)
        status = status_of(cairo_surface_status(surface));
    cairo_destroy(p.cairo);
    cairo_surface_destroy(surface);
    return status == HR_OK && (fflush(file) != 0 || ferror(file)) ? HR_IO : status;
}

/* ---- PNG ----------------------------------------------------------------------------------- */

struct picture {
    png_structp png;
    png_infop info;
    FILE *file;
    bool write_failed;
    int width, height;
    unsigned char *row; /* width pixels, red green blue */
};

static int pixels(double mm)
{
    return (int)lround(mm * DRAW_DPI / MM_PER_IN);
}

/* libpng must not leave through a failed write: the failure is kept, and told at the end. */
static void write_bytes(png_structp png, png_bytep data, size_t n)
{
    struct picture *picture = (struct picture *)png_get_io_ptr(png);
    if (!picture->write_failed && fwrite(data, 1, n, picture->file) != n)
        picture->write_failed = true;
}

static void flush_nothing(png_structp png)
{
    (void)png;
}

/* libpng's own handlers print. */
static void leave(png_structp png, png_const_charp words)
{
    (void)words;
    png_longjmp(png, 1);
}

static void ignore(png_structp png, png_const_charp words)
{
    (void)png;
    (void)words;
}

/* tEXt holds Latin-1, iTXt UTF-8. */
static void write_text_chunk(struct picture *picture, const char *key, const char *value)
{
    char name[80], *text = strdup(value);
    snprintf(name, sizeof name, "%s", key);
    png_text chunk = {.key = name, .text = text};
    chunk.compression = is_ascii(value) ? PNG_TEXT_COMPRESSION_NONE : PNG_ITXT_COMPRESSION_NONE;
    if (!text)
        return;
    png_set_text(picture->png, picture->info, &chunk, 1);
    free(text);
}

static void write_head(struct picture *picture, const struct draw_meta *meta)
{
    png_structp png = picture->png;
    png_set_write_fn(png, picture, write_bytes, flush_nothing);
    png_set_IHDR(png, picture->info, (png_uint_32)picture->width, (png_uint_32)picture->height, 8,
                 PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                 PNG_FILTER_TYPE_DEFAULT);
    /* Flat colours and lines: trying five filters on each row takes as long as all else, for
     * nothing. */
    png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_NONE);
    png_set_compression_level(png, COMPRESSION);
    png_set_pHYs(png, picture->info, DRAW_PIXELS_PER_M, DRAW_PIXELS_PER_M, PNG_RESOLUTION_METER);
    write_text_chunk(picture, "Title", meta->title);
    write_text_chunk(picture, "Software", SOFTWARE);
    write_text_chunk(picture, "Description", meta->description);
    png_write_info(png, picture->info);
}

/* The page's pixels as rows of the picture. */
static void write_rows(struct picture *picture, cairo_surface_t *surface)
{
    cairo_surface_flush(surface);
    int w = cairo_image_surface_get_width(surface), h = cairo_image_surface_get_height(surface);
    int stride = cairo_image_surface_get_stride(surface);
    const unsigned char *data = cairo_image_surface_get_data(surface);
    for (int y = 0; y < h; y++) {
        const unsigned char *from = data + (size_t)y * (size_t)stride;
        for (int x = 0; x < w; x++) {
            uint32_t pixel;
            memcpy(&pixel, from + 4 * (size_t)x, sizeof pixel);
            unsigned char *to = picture->row + 3 * (size_t)x;
            to[0] = (unsigned char)(pixel >> 16);
            to[1] = (unsigned char)(pixel >> 8);
            to[2] = (unsigned char)pixel;
        }
        png_write_row(picture->png, picture->row);
    }
}

static hr_status write_page(struct picture *picture, const struct page *page, struct pencil *p)
{
    cairo_surface_t *surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, pixels(page->w_mm), pixels(page->h_mm));
    p->cairo = cairo_create(surface);
    cairo_set_source_rgb(p->cairo, 1, 1, 1);
    cairo_paint(p->cairo);
    hr_status status = status_of(cairo_status(p->cairo));
    if (status == HR_OK)
        status = draw_page(p, page);
    if (status == HR_OK)
        write_rows(picture, surface);
    cairo_destroy(p->cairo);
    cairo_surface_destroy(surface);
    return status;
}

/* libpng leaves its own errors by longjmp, to here: nothing is held here that it could lose but the
 * page's surface, and only when memory is out. */
static hr_status write_picture(struct picture *picture, const struct page *page,
                               const struct draw_meta *meta)
{
    struct pencil p = {.k = DRAW_DPI / MM_PER_IN};
    if (setjmp(png_jmpbuf(picture->png)))
        return HR_NOMEM;
    write_head(picture, meta);
    hr_status status = write_page(picture, page, &p);
    if (status != HR_OK)
        return status;
    png_write_end(picture->png, picture->info);
    return picture->write_failed ? HR_IO : HR_OK;
}

hr_status draw_png(const struct scene *scene, int page, FILE *file, const struct draw_meta *meta)
{
    const struct page *from = &scene->pages[page];
    struct picture picture = {
        .file = file, .width = pixels(from->w_mm), .height = pixels(from->h_mm)};
    hr_status status = HR_NOMEM;
    picture.row = malloc((size_t)picture.width * 3 + 1);
    picture.png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, leave, ignore);
    if (picture.png)
        picture.info = png_create_info_struct(picture.png);
    if (picture.row && picture.info)
        status = write_picture(&picture, from, meta);
    if (picture.png)
        png_destroy_write_struct(&picture.png, &picture.info);
    free(picture.row);
    return status == HR_OK && (fflush(file) != 0 || ferror(file)) ? HR_IO : status;
}
