/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>

#include "num.h"

/* Gates: a gap in the outline between two posts, as maps of fields and fences show them. */

#define GATE_M   0.9 /* drawn so wide: a barrow passes (common practice, 3 ft) */
#define LEAST_MM 5.0 /* on paper; narrower could be taken for a corner */
#define POST_MM  1.4 /* of a post's stroke, to each side of the outline */

bool map_gate_ends(const struct edge *edge, const struct point *corners, size_t n, double mm_per_m,
                   struct point ends[2])
{
    if (!edge->gate.v || !(edge->side.v >= 1 && edge->side.v <= (double)n))
        return false;
    size_t side = (size_t)edge->side.v - 1;
    const struct point *a = &corners[side], *b = &corners[(side + 1) % n];
    double length = hypot(b->x - a->x, b->y - a->y);
    if (length <= 0)
        return false;
    double half = fmin(fmax(GATE_M, LEAST_MM / mm_per_m), 0.8 * length) / 2;
    double middle = edge->gate_at_m.set ? edge->gate_at_m.v : length / 2;
    middle = num_clamp(middle, half, length - half);
    for (int e = 0; e < 2; e++) {
        double t = (middle + (e == 0 ? -half : half)) / length;
        ends[e] = (struct point){.x = a->x + t * (b->x - a->x), .y = a->y + t * (b->y - a->y)};
    }
    return true;
}

static void draw_post(struct page *page, struct mm at, double nx, double ny)
{
    page_line(page, "gate", (struct mm){at.x - POST_MM * nx, at.y - POST_MM * ny},
              (struct mm){at.x + POST_MM * nx, at.y + POST_MM * ny}, PEN_HILL, INK_BLACK);
}

void map_gate_mark(struct page *page, struct mm a, struct mm b, bool post_a, bool post_b)
{
    double l = hypot(b.x - a.x, b.y - a.y);
    if (l <= 0)
        return;
    double nx = -(b.y - a.y) / l, ny = (b.x - a.x) / l;
    page_line(page, "gate-gap", a, b, PEN_OUTLINE + 0.3, INK_PAPER);
    if (post_a)
        draw_post(page, a, nx, ny);
    if (post_b)
        draw_post(page, b, nx, ny);
}

/* The gap of edge i as far as it is drawn here; whole[e]: that end of it is. */
static bool gap_here(const struct map_plot *mp, size_t i, struct point ends[2], bool whole[2])
{
    const struct edge *edge = (const struct edge *)mp->plot->edges.items + i;
    if (!map_gate_ends(edge, mp->corners, mp->ncorners, 1000 / mp->ratio, ends))
        return false;
    struct point given[2] = {ends[0], ends[1]};
    if (!map_segment(mp, &ends[0], &ends[1]))
        return false;
    for (int e = 0; e < 2; e++)
        whole[e] = hypot(ends[e].x - given[e].x, ends[e].y - given[e].y) < 1e-6;
    return hypot(ends[1].x - ends[0].x, ends[1].y - ends[0].y) > 1e-3;
}

void map_gates_draw(struct map_plot *mp)
{
    const struct view *view = &mp->page->view;
    for (size_t i = 0; i < mp->plot->edges.n; i++) {
        struct point ends[2];
        bool whole[2];
        if (!gap_here(mp, i, ends, whole))
            continue;
        struct mm a = view_point(view, ends[0].x, ends[0].y);
        struct mm b = view_point(view, ends[1].x, ends[1].y);
        map_gate_mark(mp->page, a, b, whole[0], whole[1]);
        double l = hypot(b.x - a.x, b.y - a.y), tx = (b.x - a.x) / l, ty = (b.y - a.y) / l;
        for (int e = 0; e < 2; e++) {
            struct mm at = e == 0 ? a : b;
            if (whole[e])
                labels_take_line(&mp->labels, (struct mm){at.x - POST_MM * ty, at.y + POST_MM * tx},
                                 (struct mm){at.x + POST_MM * ty, at.y - POST_MM * tx});
        }
    }
}

/* The word by the middle of the gap: within the plot and as near as is clear, else outside. */
static void name_gate(struct map_plot *mp, struct mm a, struct mm b)
{
    static const double along[] = {0, -3, 3, -6, 6, -10, 10, -14, 14};
    enum { ALONG = sizeof along / sizeof *along, STEPS = 24 };
    const double size = TYPE_LEAST_MM, h = 1.06 * size;
    double l = hypot(b.x - a.x, b.y - a.y), w = scene_text_width("gate", size, false);
    double tx = (b.x - a.x) / l, ty = (b.y - a.y) / l;
    /* counter-clockwise in the plot: with y down its inside is to the left */
    for (int i = 0; i < 2 * STEPS * ALONG; i++) {
        double side = i < STEPS * ALONG ? 1 : -1, slide = along[i % ALONG];
        /* letters end at the box's ends, but not at its top and bottom */
        double off = 0.6 * (1 + i / ALONG % STEPS) + 0.5 * fabs(ty);
        double reach = side * (off + fabs(ty) * w / 2 + fabs(tx) * h / 2);
        struct mm c = {(a.x + b.x) / 2 + slide * tx + reach * ty,
                       (a.y + b.y) / 2 + slide * ty - reach * tx};
        struct rect box = {c.x - w / 2, c.y - h / 2, c.x + w / 2, c.y + h / 2};
        if (!labels_clear(&mp->labels, box))
            continue;
        labels_take(&mp->labels, box);
        page_text(mp->page, "gate", (struct mm){c.x, box.y1 - 0.26 * size}, size, ALIGN_CENTRE,
                  false, "gate")
            ->fill = INK_PAPER;
        return;
    }
}

void map_gates_name(struct map_plot *mp)
{
    const struct view *view = &mp->page->view;
    for (size_t i = 0; i < mp->plot->edges.n; i++) {
        struct point ends[2];
        bool whole[2];
        if (gap_here(mp, i, ends, whole))
            name_gate(mp, view_point(view, ends[0].x, ends[0].y),
                      view_point(view, ends[1].x, ends[1].y));
    }
}
