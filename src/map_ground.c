/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>
#include <string.h>

#include "num.h"

/* Under the crops: the tape grid, the border strip, paths, obstacles and the outline. */

#define FOOT_M 0.3048

double map_tape_step(const struct map_plot *mp, double least_mm, bool ticks)
{
    static const double us_ticks[] = {1, 5}, us_numbers[] = {1, 2, 5}, metric[] = {0.5, 1};
    bool is_us = mp->map->units == UNITS_US;
    const double *steps = !is_us ? metric : ticks ? us_ticks : us_numbers;
    int n = is_us && !ticks ? 3 : 2;
    double mm = (is_us ? FOOT_M : 1) * 1000 / mp->ratio;
    for (int zeros = 0; zeros < 8; zeros++)
        for (int i = 0; i < n; i++) {
            double step = steps[i] * pow(10, zeros);
            if (step * mm >= least_mm)
                return step * (is_us ? FOOT_M : 1);
        }
    return 1e8;
}

/* The grid is cut off at the bounds, not at a ragged outline: it is read off the tapes. */
static void draw_grid(struct map_plot *mp)
{
    const struct rect *b = &mp->bounds;
    const struct view *view = &mp->page->view;
    double step = map_tape_step(mp, 12, false);
    /* not on the bounds themselves */
    long x0 = lround(floor(b->x0 / step + 1e-6)) + 1, x1 = lround(ceil(b->x1 / step - 1e-6));
    long y0 = lround(floor(b->y0 / step + 1e-6)) + 1, y1 = lround(ceil(b->y1 / step - 1e-6));
    for (long i = x0; i < x1; i++) {
        double x = (double)i * step;
        page_line(mp->page, "grid", view_point(view, x, b->y0), view_point(view, x, b->y1),
                  PEN_GRID, INK_RULE);
    }
    for (long i = y0; i < y1; i++) {
        double y = (double)i * step;
        page_line(mp->page, "grid", view_point(view, b->x0, y), view_point(view, b->x1, y),
                  PEN_GRID, INK_RULE);
    }
}

/* Where the sides before and after corner i meet when both are moved in by d. */
static struct mm inset_corner(const struct point *p, size_t n, size_t i, double d)
{
    const struct point *a = &p[(i + n - 1) % n], *b = &p[i], *c = &p[(i + 1) % n];
    double ux = b->x - a->x, uy = b->y - a->y, vx = c->x - b->x, vy = c->y - b->y;
    double ul = hypot(ux, uy), vl = hypot(vx, vy);
    if (ul <= 0 || vl <= 0)
        return (struct mm){b->x, b->y};
    ux /= ul, uy /= ul, vx /= vl, vy /= vl;
    double cross = ux * vy - uy * vx;
    if (fabs(cross) < 0.05) /* nearly straight on */
        return (struct mm){b->x - uy * d, b->y + ux * d};
    double t = d * (1 - (ux * vx + uy * vy)) / cross; /* along u, back from the corner */
    return (struct mm){b->x - ux * t - uy * d, b->y - uy * t + ux * d};
}

/* Keeps labels off a side of the outline. */
static void take_side(struct map_plot *mp, struct mm a, struct mm b)
{
    const double half = 0.6, step = 3;
    bool slanted = fabs(a.x - b.x) > half && fabs(a.y - b.y) > half;
    int n = slanted ? (int)ceil(hypot(b.x - a.x, b.y - a.y) / step) : 1;
    for (int i = 0; i < n; i++) {
        struct mm p = {a.x + (b.x - a.x) * i / n, a.y + (b.y - a.y) * i / n};
        struct mm q = {a.x + (b.x - a.x) * (i + 1) / n, a.y + (b.y - a.y) * (i + 1) / n};
        labels_take(&mp->labels, (struct rect){fmin(p.x, q.x) - half, fmin(p.y, q.y) - half,
                                               fmax(p.x, q.x) + half, fmax(p.y, q.y) + half});
    }
}

static void draw_outline(struct map_plot *mp)
{
    size_t n = mp->ncorners;
    const struct view *view = &mp->page->view;
    struct mm *outer = ARENA_ARRAY(mp->map->arena, struct mm, n);
    struct mm *inner = ARENA_ARRAY(mp->map->arena, struct mm, n);
    if (!outer || !inner) {
        mp->page->failed = true;
        return;
    }
    double border = mp->plot->border_m.v;
    for (size_t i = 0; i < n; i++) {
        struct mm in = inset_corner(mp->corners, n, i, border);
        outer[i] = view_point(view, mp->corners[i].x, mp->corners[i].y);
        inner[i] = view_point(view, in.x, in.y);
    }
    if (border > 0)
        page_polygon(mp->page, "border", inner, (int)n, PEN_FINE, INK_GREY, INK_NONE)->dash =
            DASH_SHORT;
    page_polygon(mp->page, "outline", outer, (int)n, PEN_OUTLINE, INK_BLACK, INK_NONE);
    for (size_t i = 0; i < n; i++)
        take_side(mp, outer[i], outer[(i + 1) % n]);
}

/* A name in the middle of a box, running along it, if it fits in there. */
static void draw_name(struct map_plot *mp, const char *what, struct rect box, const char *name)
{
    double size = TYPE_BODY_MM, w = scene_text_width(name, size, false);
    bool upright = box.y1 - box.y0 > box.x1 - box.x0 && w > box.x1 - box.x0;
    double long_side = upright ? box.y1 - box.y0 : box.x1 - box.x0;
    double short_side = upright ? box.x1 - box.x0 : box.y1 - box.y0;
    double cx = (box.x0 + box.x1) / 2, cy = (box.y0 + box.y1) / 2, down = 0.35 * size;
    if (w > long_side || size > short_side)
        return;
    struct mm at = upright ? (struct mm){cx + down, cy} : (struct mm){cx, cy + down};
    struct mark probe = {.points = &at, .text = name, .size_mm = size, .width_mm = w};
    probe.align = ALIGN_CENTRE;
    probe.upright = upright;
    if (!labels_clear(&mp->labels, mark_box(&probe)))
        return;
    labels_take(&mp->labels, mark_box(&probe));
    page_text(mp->page, what, at, size, ALIGN_CENTRE, false, name)->upright = upright;
}

/* ---- paths and obstacles, as much of them as lies on the map ------------------------------- */

/* How far inside edge e (left, right, top, bottom) of the frame a point lies. */
static double inside(const struct rect *f, int e, struct mm p)
{
    const double gaps[] = {p.x - f->x0, f->x1 - p.x, p.y - f->y0, f->y1 - p.y};
    return gaps[e];
}

/* Cuts a polygon off at the four edges of the frame (Sutherland and Hodgman). p and q have room for
 * CLIP_ROOM * n points: at each edge half of a ragged shape's points may go and two come for each.
 * The number of points left is returned, they are in p. */
#define CLIP_ROOM 6
static int clip(const struct rect *frame, struct mm *p, int n, struct mm *q)
{
    for (int e = 0; e < 4; e++) {
        int kept = 0;
        for (int i = 0; i < n; i++) {
            struct mm a = p[i], b = p[(i + 1) % n];
            double ia = inside(frame, e, a), ib = inside(frame, e, b);
            if (ia >= 0)
                q[kept++] = a;
            if ((ia >= 0) != (ib >= 0)) {
                double t = ia / (ia - ib);
                q[kept++] = (struct mm){a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
            }
        }
        n = kept;
        memcpy(p, q, (size_t)n * sizeof *p);
    }
    return n;
}

/* Draws what of a shape lies on the map, with its name. */
static void draw_shape(struct map_plot *mp, const char *what, const struct mm *corners, size_t n,
                       enum ink fill, const char *name)
{
    struct mm *p = ARENA_ARRAY(mp->map->arena, struct mm, CLIP_ROOM * n);
    struct mm *q = ARENA_ARRAY(mp->map->arena, struct mm, CLIP_ROOM * n);
    if (!p || !q) {
        mp->page->failed = true;
        return;
    }
    memcpy(p, corners, n * sizeof *p);
    int left = clip(&mp->frame, p, (int)n, q);
    if (left < 3)
        return;
    struct rect box = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (int i = 0; i < left; i++)
        box = (struct rect){fmin(box.x0, p[i].x), fmin(box.y0, p[i].y), fmax(box.x1, p[i].x),
                            fmax(box.y1, p[i].y)};
    page_polygon(mp->page, what, p, left, PEN_PATH, INK_BLACK, fill);
    if (name)
        draw_name(mp, what, box, name);
    if (fill != INK_PAPER)
        labels_take(&mp->labels, box);
}

static void draw_path(struct map_plot *mp, const struct path *path)
{
    const struct view *view = &mp->page->view;
    double dx = path->to.x - path->from.x, dy = path->to.y - path->from.y, l = hypot(dx, dy);
    if (l <= 0)
        return;
    double ox = -dy / l * path->width_m.v / 2, oy = dx / l * path->width_m.v / 2;
    const struct mm p[] = {
        view_point(view, path->from.x + ox, path->from.y + oy),
        view_point(view, path->to.x + ox, path->to.y + oy),
        view_point(view, path->to.x - ox, path->to.y - oy),
        view_point(view, path->from.x - ox, path->from.y - oy),
    };
    bool slanted = fabs(dx) > 1e-6 && fabs(dy) > 1e-6; /* its two lines must do */
    draw_shape(mp, "path", p, 4, INK_PAPER, slanted ? NULL : "path");
}

static void draw_obstacle(struct map_plot *mp, const struct obstacle *o)
{
    enum { ROUND = 48 };
    size_t n = o->outline.n > 0 ? o->outline.n : ROUND;
    struct mm *p = ARENA_ARRAY(mp->map->arena, struct mm, n);
    if (!p) {
        mp->page->failed = true;
        return;
    }
    for (size_t i = 0; i < n; i++) {
        const struct point *corner =
            o->outline.n > 0 ? (const struct point *)o->outline.items : NULL;
        double turn = 2 * 3.14159265358979323846 * (double)i / ROUND, r = o->radius_m.v;
        double x = corner ? corner[i].x : o->place.x + r * cos(turn);
        double y = corner ? corner[i].y : o->place.y + r * sin(turn);
        p[i] = view_point(&mp->page->view, x, y);
    }
    draw_shape(mp, "obstacle", p, n, INK_SILVER, o->name.s);
}

void map_ground_draw(struct map_plot *mp)
{
    draw_grid(mp);
    const struct plot *plot = mp->plot;
    for (size_t i = 0; i < plot->paths.n; i++)
        draw_path(mp, (const struct path *)plot->paths.items + i);
    for (size_t i = 0; i < plot->obstacles.n; i++)
        draw_obstacle(mp, (const struct obstacle *)plot->obstacles.items + i);
    draw_outline(mp);
}
