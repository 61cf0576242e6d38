/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <png.h>
#include <setjmp.h>
#include <stdlib.h>

#include "draw.h"
#include "fixture_plan.h"

static struct scene *scene_of(struct fixture *f, int variant)
{
    struct scene *scene = NULL;
    *f = fixture_make(&fixture_specs[variant]);
    cr_assert(f->plan, "%s: %s", fixture_specs[variant].name, garden_text_diags(&f->text));
    CALL(scene_map(f->text.arena, f->plan, paper_of(f->plan->garden), &scene));
    return scene;
}

typedef hr_status (*drawer)(const struct scene *, FILE *, const struct draw_meta *);

static hr_status first_png(const struct scene *scene, FILE *file, const struct draw_meta *meta)
{
    return draw_png(scene, 0, file, meta);
}

struct bytes {
    char *p;
    size_t n;
};

static struct bytes draw_to_memory(drawer draw, struct fixture *f, const struct scene *scene)
{
    struct bytes b = {0};
    struct draw_meta meta;
    FILE *file = open_memstream(&b.p, &b.n);
    CALL(draw_meta_make(scene, f->text.arena, &meta));
    CALL(draw(scene, file, &meta));
    fclose(file);
    return b;
}

/* ---- reading a PNG back -------------------------------------------------------------------- */

struct picture {
    png_uint_32 w, h, per_x, per_y;
    int unit;
    unsigned char *rgb;
    char title[600], software[80], description[600];
};

static void copy_text(struct picture *p, const png_text *t)
{
    char *to = strcmp(t->key, "Title") == 0         ? p->title
               : strcmp(t->key, "Software") == 0    ? p->software
               : strcmp(t->key, "Description") == 0 ? p->description
                                                    : NULL;
    if (to)
        snprintf(to, 80, "%s", t->text);
}

static struct picture read_png(struct bytes b)
{
    struct picture p = {0};
    FILE *file = fmemopen(b.p, b.n, "rb");
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(png);
    cr_assert(!setjmp(png_jmpbuf(png)), "libpng reads it");
    png_init_io(png, file);
    png_read_info(png, info);
    p.w = png_get_image_width(png, info);
    p.h = png_get_image_height(png, info);
    png_get_pHYs(png, info, &p.per_x, &p.per_y, &p.unit);
    cr_assert(png_get_color_type(png, info) == PNG_COLOR_TYPE_RGB, "RGB");
    p.rgb = malloc((size_t)p.w * p.h * 3);
    for (png_uint_32 y = 0; y < p.h; y++)
        png_read_row(png, p.rgb + (size_t)y * p.w * 3, NULL);
    png_read_end(png, info);
    png_textp text;
    int n = png_get_text(png, info, &text, NULL);
    for (int i = 0; i < n; i++)
        copy_text(&p, &text[i]);
    png_destroy_read_struct(&png, &info, NULL);
    fclose(file);
    return p;
}

static bool dark(const struct picture *p, long x, long y)
{
    if (x < 0 || y < 0 || x >= (long)p->w || y >= (long)p->h)
        return false;
    const unsigned char *c = p->rgb + ((size_t)y * p->w + (size_t)x) * 3;
    return c[0] + c[1] + c[2] < 3 * 96;
}

/* Middles of the first and the last run of at least `least` dark pixels along a row (or column). */
static void heavy_lines(const struct picture *p, long at, bool column, int least, double *first,
                        double *last)
{
    long n = column ? (long)p->h : (long)p->w, run = 0;
    *first = *last = -1;
    for (long i = 0; i <= n; i++) {
        if (i < n && (column ? dark(p, at, i) : dark(p, i, at))) {
            run++;
            continue;
        }
        if (run >= least) {
            double mid = (double)i - (double)run / 2;
            *first = *first < 0 ? mid : *first;
            *last = mid;
        }
        run = 0;
    }
}

/* The plot is 20 ft by 25 ft; at 1:48 and 300 dpi that is 1500 by 1875 pixels. Measured between the
 * middles of the outline's lines, which are the only ones so heavy. */
Test(draw, known_sides_measure_true_on_the_picture, .timeout = 60)
{
    struct fixture f;
    struct scene *scene = scene_of(&f, 0);
    const struct page *page = &scene->pages[0];
    struct bytes b = draw_to_memory(first_png, &f, scene);
    struct picture p = read_png(b);
    double px = DRAW_DPI / 25.4, first, last;
    /* three inches inside the upper corner, between the tape's marks */
    struct mm at = view_point(&page->view, 0.4 * FIXTURE_FT, 24.75 * FIXTURE_FT);
    int least = (int)(0.8 * PEN_OUTLINE * px);
    struct mm right = view_point(&page->view, 20.5 * FIXTURE_FT, 0); /* the key stands beyond */
    for (size_t y = 0, from = (size_t)lround(right.x * px); y < p.h; y++)
        memset(p.rgb + 3 * (y * p.w + from), 255, 3 * (p.w - from));
    heavy_lines(&p, lround(at.y * px), false, least, &first, &last);
    double x_ft = (last - first) / px * page->ratio / 304.8;
    cr_assert(near(x_ft, 20, 0.005 * 20), "20 ft measure %g ft", x_ft);
    at = view_point(&page->view, 0.4 * FIXTURE_FT, 20 * FIXTURE_FT);
    long column = lround(at.x * px);
    /* only down to the map's lower edge: the foot of the page has a bar, too */
    struct mm low = view_point(&page->view, 0, -0.5 * FIXTURE_FT);
    p.h = (png_uint_32)lround(low.y * px);
    heavy_lines(&p, column, true, least, &first, &last);
    double y_ft = (last - first) / px * page->ratio / 304.8;
    cr_assert(near(y_ft, 25, 0.005 * 25), "25 ft measure %g ft", y_ft);
    free(p.rgb);
    free(b.p);
    fixture_free(&f);
}

/* PNG specification 1.2, 4.2.4.2: pHYs in pixels per metre; 300 dpi is 11811. */
Test(draw, png_says_its_size_and_what_it_is, .timeout = 60)
{
    struct fixture f;
    struct scene *scene = scene_of(&f, 0);
    struct bytes b = draw_to_memory(first_png, &f, scene);
    struct picture p = read_png(b);
    cr_assert(p.per_x == 11811 && p.per_y == 11811 && p.unit == PNG_RESOLUTION_METER, "pHYs %u %u",
              p.per_x, p.per_y);
    const struct page *page = &scene->pages[0];
    cr_assert(p.w == round(page->w_mm * 300 / 25.4) && p.h == round(page->h_mm * 300 / 25.4),
              "%u x %u pixels", p.w, p.h);
    cr_assert(memmem(b.p, 1024, DRAW_PNG_MARK, sizeof DRAW_PNG_MARK - 1), "known as ours");
    cr_assert_str_eq(p.title, "Wren's Corner: planting map");
    cr_assert_str_eq(p.software, "hillrow 0.1.0");
    cr_assert(strstr(p.description, "0f1e2d3c") && strstr(p.description, "1:48"), "%s",
              p.description);
    free(p.rgb);
    free(b.p);
    fixture_free(&f);
}

Test(draw, names_in_other_scripts_survive, .timeout = 60)
{
    struct fixture f;
    struct scene *scene = scene_of(&f, 4);
    struct bytes b = draw_to_memory(first_png, &f, scene);
    struct picture p = read_png(b);
    cr_assert(strncmp(p.title, "Garten der Überraschungen", 20) == 0, "%s", p.title);
    free(p.rgb);
    free(b.p);
    fixture_free(&f);
}

Test(draw, same_scene_same_bytes, .timeout = 120)
{
    static const drawer drawers[] = {first_png, draw_pdf};
    for (int d = 0; d < 2; d++) {
        struct fixture f, g;
        struct scene *a = scene_of(&f, 1), *b = scene_of(&g, 1);
        struct bytes x = draw_to_memory(drawers[d], &f, a), y = draw_to_memory(drawers[d], &g, b);
        cr_assert(x.n == y.n && memcmp(x.p, y.p, x.n) == 0, "drawer %d: %zu and %zu bytes", d, x.n,
                  y.n);
        cr_assert(x.n > 10000, "something is drawn: %zu bytes", x.n);
        free(x.p);
        free(y.p);
        fixture_free(&f);
        fixture_free(&g);
    }
}

Test(draw, pdf_has_a_page_a_sheet_and_a_fixed_date)
{
    struct fixture f;
    struct scene *scene = scene_of(&f, 0);
    struct bytes b = draw_to_memory(draw_pdf, &f, scene);
    cr_assert(b.n > 5 && memcmp(b.p, "%PDF-", 5) == 0, "a PDF");
    int pages = 0;
    bool dated = false;
    for (size_t i = 0; i + 22 < b.n; i++) {
        pages += memcmp(b.p + i, "/Type /Page %", 13) == 0;
        dated = dated || memcmp(b.p + i, "/CreationDate (20000101", 22) == 0;
    }
    cr_assert(pages == scene->npages, "%d pages of %d", pages, scene->npages);
    cr_assert(dated, "the fixed date");
    free(b.p);
    fixture_free(&f);
}

/* The scene's boxes are worth something only if the font keeps within them. */
Test(draw, the_font_keeps_within_the_measured_widths, .timeout = 120)
{
    static const int latin[] = {0, 1, 2, 3, 5, 6, 7};
    for (size_t k = 0; k < sizeof latin / sizeof *latin; k++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, latin[k]);
        for (int p = 0; p < scene->npages; p++)
            for (int i = 0; i < scene->pages[p].n; i++) {
                const struct mark *m = &scene->pages[p].marks[i];
                if (m->kind != MARK_TEXT)
                    continue;
                double w = draw_text_width(m);
                cr_assert(w >= 0 && w <= m->width_mm + 0.02, "\"%s\" is %g wide, room %g", m->text,
                          w, m->width_mm);
                cr_assert(m->width_mm <= 1.25 * w + 0.5, "\"%s\": %g is far more than %g", m->text,
                          m->width_mm, w);
            }
        fixture_free(&f);
    }
}

/* A scene of one text, drawn. */
static struct picture draw_word(struct fixture *f, const char *text, double room_mm)
{
    struct scene scene = {.plan = f->plan, .paper = PAPER_A4};
    struct page page;
    page_init(&page, f->text.arena, 60, 10);
    struct mark *m = page_text(&page, "t", (struct mm){5, 7}, 5, ALIGN_LEFT, false, text);
    if (room_mm > 0)
        m->width_mm = room_mm;
    scene.pages = &page;
    scene.npages = 1;
    struct bytes b = draw_to_memory(first_png, f, &scene);
    struct picture p = read_png(b);
    free(b.p);
    return p;
}

static int ink_right(const struct picture *p)
{
    for (long x = (long)p->w - 1; x >= 0; x--)
        for (long y = 0; y < (long)p->h; y++)
            if (dark(p, x, y))
                return (int)x;
    return -1;
}

Test(draw, a_text_too_wide_is_squeezed_into_its_room)
{
    struct fixture f = fixture_plan();
    struct picture free_ = draw_word(&f, "WWWWWWWW", 0), held = draw_word(&f, "WWWWWWWW", 20);
    cr_assert(ink_right(&free_) > (5 + 35) * 11.8, "it would be 40 mm wide");
    cr_assert(ink_right(&held) <= (5 + 20.2) * 11.82, "and keeps to 20: %d px", ink_right(&held));
    cr_assert(ink_right(&held) >= (5 + 18) * 11.8, "but fills them");
    free(free_.rgb);
    free(held.rgb);
    fixture_free(&f);
}

Test(draw, characters_no_font_has_are_told)
{
    struct fixture f = fixture_plan();
    struct scene scene = {.plan = f.plan, .paper = PAPER_A4};
    struct page page;
    page_init(&page, f.text.arena, 60, 10);
    scene.pages = &page;
    scene.npages = 1;
    page_text(&page, "t", (struct mm){5, 7}, 5, ALIGN_LEFT, false, "Grün, plain");
    draw_check(&scene, f.text.diags);
    cr_assert(diags_warnings(f.text.diags) == 0, "%s", diags_words(f.text.diags));
    /* U+0378 is not assigned: no font can have it */
    for (int i = 0; i < 2; i++)
        page_text(&page, "t", (struct mm){5, 7}, 5, ALIGN_LEFT, false, "odd \xcd\xb8");
    draw_check(&scene, f.text.diags);
    expect_diag(f.text.diags, 0, 0, "missing-glyph");
    cr_assert(strstr(diags_words(f.text.diags), "`odd \xcd\xb8`"), "the text is named");
    cr_assert(diags_warnings(f.text.diags) == 1, "once");
    fixture_free(&f);
}

Test(draw, a_full_disk_is_told)
{
    static const drawer drawers[] = {first_png, draw_pdf};
    struct fixture f;
    struct scene *scene = scene_of(&f, 6);
    struct draw_meta meta;
    CALL(draw_meta_make(scene, f.text.arena, &meta));
    for (int d = 0; d < 2; d++) {
        FILE *file = fopen("/dev/full", "wb");
        cr_assert(file, "/dev/full");
        hr_status status = drawers[d](scene, file, &meta);
        cr_assert(status == HR_IO, "drawer %d gave %d", d, status);
        fclose(file);
    }
    fixture_free(&f);
}

/* Every pattern and dash leaves a mark, in every direction of its strip. */
Test(draw, hatches_differ)
{
    struct fixture f = fixture_plan();
    long ink[2][HATCH_COUNT];
    for (int up = 0; up < 2; up++)
        for (enum hatch h = HATCH_NONE; h < HATCH_COUNT; h++) {
            struct scene scene = {.plan = f.plan, .paper = PAPER_A4, .npages = 1};
            struct page page;
            page_init(&page, f.text.arena, 40, 40);
            struct rect r = up ? (struct rect){5, 5, 8, 35} : (struct rect){5, 5, 35, 8};
            page_rect(&page, "strip", r, PEN_FINE, INK_BLACK, INK_PAPER)->hatch = h;
            scene.pages = &page;
            struct bytes b = draw_to_memory(first_png, &f, &scene);
            struct picture p = read_png(b);
            ink[up][h] = 0;
            for (long y = 0; y < (long)p.h; y++)
                for (long x = 0; x < (long)p.w; x++)
                    ink[up][h] += dark(&p, x, y);
            cr_assert(h == HATCH_NONE || ink[up][h] > ink[up][HATCH_NONE] + 400, "hatch %d: %ld",
                      (int)h, ink[up][h]);
            cr_assert(ink[up][h] < 354L * 354 / 5, "hatch %d stays light", (int)h);
            free(p.rgb);
            free(b.p);
        }
    for (enum hatch h = HATCH_NONE; h < HATCH_COUNT; h++)
        cr_assert(labs(ink[0][h] - ink[1][h]) <= ink[0][h] / 8 + 60, "hatch %d: %ld lying, %ld up",
                  (int)h, ink[0][h], ink[1][h]);
    fixture_free(&f);
}

/* A hatch is of one pattern wherever it stands: the dashes of the line before it are not its own.
 */
Test(draw, hatches_keep_whole_beside_dashed_lines)
{
    struct fixture f = fixture_plan();
    struct picture pictures[2];
    for (int dashed = 0; dashed < 2; dashed++) {
        struct scene scene = {.plan = f.plan, .paper = PAPER_A4, .npages = 1};
        struct page page;
        page_init(&page, f.text.arena, 40, 12);
        page_line(&page, "block", (struct mm){5, 2}, (struct mm){35, 2}, PEN_GRID, INK_GREY)->dash =
            dashed ? DASH_SHORT : DASH_SOLID;
        page_rect(&page, "strip", (struct rect){5, 5, 35, 7.4}, PEN_FINE, INK_BLACK, INK_PAPER)
            ->hatch = HATCH_LEVEL;
        scene.pages = &page;
        struct bytes b = draw_to_memory(first_png, &f, &scene);
        pictures[dashed] = read_png(b);
        free(b.p);
    }
    size_t row = (size_t)pictures[0].w * 3, from = 48; /* below the line */
    cr_assert(memcmp(pictures[0].rgb + from * row, pictures[1].rgb + from * row,
                     (pictures[0].h - from) * row) == 0);
    free(pictures[0].rgb);
    free(pictures[1].rgb);
    fixture_free(&f);
}

/* ---- a photocopy --------------------------------------------------------------------------- */

/* A strip of that hatch and ink as a photocopier leaves it: black or white, where the middle grey
 * of sRGB is the border (ITU-R BT.709 luma weights). */
static struct picture copy_of(struct fixture *f, enum hatch hatch, enum ink ink)
{
    struct scene scene = {.plan = f->plan, .paper = PAPER_A4, .npages = 1};
    struct page page;
    page_init(&page, f->text.arena, 40, 12);
    page_rect(&page, "strip", (struct rect){5, 5, 35, 7.4}, PEN_FINE, INK_BLACK, ink)->hatch =
        hatch;
    scene.pages = &page;
    struct bytes b = draw_to_memory(first_png, f, &scene);
    struct picture p = read_png(b);
    for (size_t i = 0; i < (size_t)p.w * p.h; i++) {
        const unsigned char *c = p.rgb + 3 * i;
        p.rgb[i] = 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2] < 128;
    }
    free(b.p);
    return p;
}

/* The share of pixels in which two strips differ, the patterns laid on each other as well as they
 * can be. */
static double difference(const struct picture *a, const struct picture *b)
{
    const int x0 = 75, x1 = 330, y0 = 64, y1 = 84; /* within the strip's frame, px */
    double least = 1;
    for (int dx = 0; dx < 66; dx++) {
        long differ = 0, ink = 0;
        for (int y = y0; y < y1; y++)
            for (int x = x0; x < x1; x++) {
                bool p = a->rgb[y * (int)a->w + x], q = b->rgb[y * (int)b->w + x + dx];
                differ += p != q;
                ink += p || q;
            }
        least = fmin(least, ink > 0 ? (double)differ / (double)ink : 0);
    }
    return least;
}

/* Colour gone, each hatch is still told from every other: laid on each other, at least two fifths
 * of their ink does not meet; and every tint comes out white under it. */
Test(draw, a_photocopy_tells_hatches_apart, .timeout = 120)
{
    struct fixture f = fixture_plan();
    struct picture copies[HATCH_COUNT];
    for (enum hatch h = HATCH_NONE; h < HATCH_COUNT; h++)
        copies[h] = copy_of(&f, h, (enum ink)(INK_BLUE + (int)h % (INK_COUNT - INK_BLUE)));
    for (enum hatch h = HATCH_NONE; h < HATCH_COUNT; h++)
        for (enum hatch g = HATCH_NONE; g < h; g++) {
            double d = fmin(difference(&copies[h], &copies[g]), difference(&copies[g], &copies[h]));
            cr_assert(d >= 0.4, "hatches %d and %d differ in %.0f %% of their ink", (int)g, (int)h,
                      100 * d);
        }
    for (enum ink ink = INK_BLUE; ink < INK_COUNT; ink++) {
        struct picture plain = copy_of(&f, HATCH_NONE, ink);
        long black = 0;
        for (int y = 64; y < 84; y++)
            for (int x = 75; x < 330; x++)
                black += plain.rgb[y * (int)plain.w + x];
        cr_assert(black == 0, "the tint %s stays white", ink_name(ink));
        free(plain.rgb);
    }
    for (enum hatch h = HATCH_NONE; h < HATCH_COUNT; h++)
        free(copies[h].rgb);
    fixture_free(&f);
}
