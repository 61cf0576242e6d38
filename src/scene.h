/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SCENE_H
#define SCENE_H
/* What stands on a page, in millimetres of paper: knows plans, knows no cairo. x right, y down. */
#include "plan.h"

enum paper { PAPER_LETTER, PAPER_A4, PAPER_COUNT };
/* Letter for a garden in US units, A4 for a metric one. */
enum paper paper_of(const struct garden *garden);
/* Upright: width < height. "Letter", "A4". */
void paper_size(enum paper paper, double *w_mm, double *h_mm);
const char *paper_name(enum paper paper);

/* Pens, mm (steps of ISO 128). */
#define PEN_OUTLINE 0.7
#define PEN_HILL    0.5
#define PEN_PATH    0.35
#define PEN_FINE    0.25
#define PEN_GRID    0.18

/* Type, mm to the em; 8 pt = 2.82 mm is the least that is used anywhere. */
#define TYPE_LEAST_MM  2.83
#define TYPE_BODY_MM   3.35
#define TYPE_NUMBER_MM 3.9
#define TYPE_TITLE_MM  5.6

/* The fills are Paul Tol's "light" colours as he gives them (Colour Schemes, SRON technical note
 * SRON/EPS/TN/09-002, issue 3.2, 2021), made for cells with black text in them: black keeps a
 * contrast of at least 7 on each (WCAG AAA). They are never all that tells two crops apart. */
enum ink {
    INK_NONE,
    INK_BLACK,
    INK_GREY, /* dark enough for text */
    INK_RULE, /* grid lines */
    /* Steps of light, each darker than the one before by more than a photocopy loses, from Paul
     * Tol's sequence of yellow, orange and brown: told apart by every eye, and in grey. */
    INK_LIGHT_1,
    INK_LIGHT_2,
    INK_LIGHT_3,
    INK_LIGHT_4,
    INK_LIGHT_5,
    INK_LIGHT_6,
    INK_PAPER,
    INK_BLUE,
    INK_YELLOW,
    INK_PINK,
    INK_MINT,
    INK_CYAN,
    INK_ORANGE,
    INK_PEAR,
    INK_OLIVE,
    INK_SILVER, /* obstacles */
    INK_COUNT
};
struct rgb {
    unsigned char r, g, b;
};
struct rgb ink_rgb(enum ink ink);
const char *ink_name(enum ink ink);

enum hatch {
    HATCH_NONE,
    HATCH_RISING,
    HATCH_FALLING,
    HATCH_CROSS,
    HATCH_LEVEL,
    HATCH_DOTS,
    HATCH_WAVES,
    HATCH_RINGS,
    HATCH_HEADS,
    HATCH_CHECKS,
    HATCH_CLOSE, /* rising, its lines close together */
    HATCH_COUNT
};
enum dash { DASH_SOLID, DASH_LONG, DASH_SHORT };
enum align { ALIGN_LEFT, ALIGN_CENTRE, ALIGN_RIGHT };
enum mark_kind { MARK_LINE, MARK_POLYGON, MARK_CIRCLE, MARK_TEXT };

struct mm {
    double x, y;
};

struct mark {
    enum mark_kind kind;
    const char *what; /* "outline", "hill", "row", "spot", "tape", ...: for dumps and tests */
    int block, line, station; /* what it stands for, -1: none */
    struct mm *points; /* line, polygon; one point for a circle's centre or a text's anchor */
    int npoints;
    double radius_mm;
    double pen_mm;      /* 0: no stroke */
    enum ink ink, fill; /* fill of a text: of its box */
    enum hatch hatch;
    enum dash dash;
    const char *text; /* one line */
    double size_mm;   /* of the em */
    double width_mm;  /* room for the text by scene_text_width; it is squeezed, never wider */
    bool bold;
    bool upright; /* runs up the page instead of to the right */
    enum align align;
};

/* From a plot's frame to the page. turned: its x runs up the page, its y to the left. */
struct view {
    double mm_per_m;
    bool turned;
    double x_mm, y_mm; /* where the plot's (0, 0) lies */
};
struct mm view_point(const struct view *view, double x_m, double y_m);
struct rect view_rect(const struct view *view, struct rect plot);

enum page_kind { PAGE_PLOT, PAGE_TILE, PAGE_KEY, PAGE_GARDEN, PAGE_HILLS };

struct page {
    struct arena *arena;
    enum page_kind kind;
    double w_mm, h_mm;
    int plot;     /* index in garden->plots; -1: of all of them */
    double ratio; /* 1 : ratio; 0 on a page without a map */
    struct view view;
    struct mark *marks;
    int n, cap;
    struct mark spare; /* drawn on when memory is out, at */
    struct mm nowhere;
    bool failed;
};

#define SCENE_PAGES_MAX 100

struct scene {
    const struct plan *plan;
    const char *title; /* what it shows; NULL: the planting map */
    enum paper paper;
    struct page *pages;
    int npages;
    int plots_left_out; /* beyond SCENE_PAGES_MAX */
};

/* The map of a plan: the whole garden when it has several plots; a page for each plot; after it its
 * tiles where one page is too small to read, and its key where that had no room; and last, how the
 * hills are built. HR_NOMEM. */
HR_CHECKED hr_status scene_map(struct arena *arena, const struct plan *plan, enum paper paper,
                               struct scene **out);
/* The light map of a plan: a page for each plot. HR_NOMEM. */
HR_CHECKED hr_status scene_light(struct arena *arena, const struct plan *plan, enum paper paper,
                                 struct scene **out);
/* Every mark of every page, one a line, millimetres with two decimals. */
void scene_dump(const struct scene *scene, struct strbuf *out);

/* ---- for those who draw on pages ---------------------------------------------------------- */

void page_init(struct page *page, struct arena *arena, double w_mm, double h_mm);
/* Each adds a mark and returns it, to be refined at once (the next addition may move it). Never
 * NULL: when memory is out page->failed is set. */
struct mark *page_line(struct page *page, const char *what, struct mm a, struct mm b, double pen_mm,
                       enum ink ink);
struct mark *page_polygon(struct page *page, const char *what, const struct mm *p, int n,
                          double pen_mm, enum ink ink, enum ink fill);
struct mark *page_rect(struct page *page, const char *what, struct rect r, double pen_mm,
                       enum ink ink, enum ink fill);
struct mark *page_circle(struct page *page, const char *what, struct mm at, double radius_mm,
                         double pen_mm, enum ink ink, enum ink fill);
/* at: the anchor on the base line. */
struct mark *page_text(struct page *page, const char *what, struct mm at, double size_mm,
                       enum align align, bool bold, const char *text);
/* Adds every mark of a draft, moved. */
void page_append(struct page *page, const struct page *draft, double dx, double dy);

/* Width of a text by the advance widths of DejaVu Sans, other scripts by a generous guess. */
double scene_text_width(const char *text, double size_mm, bool bold);
/* The text, or as much of it as fits with "..." behind. NULL: out of memory. */
const char *scene_text_cut(struct arena *arena, const char *text, double size_mm, bool bold,
                           double width_mm);
/* The box a text mark takes. */
struct rect mark_box(const struct mark *mark);
bool boxes_overlap(struct rect a, struct rect b);

#endif
