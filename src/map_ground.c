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

/* ---- what of the plot is drawn ----------------------------------------------------------------
 */

/* Liang and Barsky: keeps the part t0..t1 of the segment where p * t <= q. */
static bool keep(double p, double q, double *t0, double *t1)
{
    if (fabs(p) < 1e-12)
        return q >= 0;
    double t = q / p;
    if (p < 0)
        *t0 = fmax(*t0, t);
    else
        *t1 = fmin(*t1, t);
    return *t0 <= *t1;
}

bool map_segment(const struct map_plot *mp, struct point *a, struct point *b)
{
    const double near = 1e-6;
    const struct rect *r = &mp->bounds;
    double dx = b->x - a->x, dy = b->y - a->y, t0 = 0, t1 = 1;
    if (!keep(-dx, a->x - r->x0 + near, &t0, &t1) || !keep(dx, r->x1 + near - a->x, &t0, &t1) ||
        !keep(-dy, a->y - r->y0 + near, &t0, &t1) || !keep(dy, r->y1 + near - a->y, &t0, &t1))
        return false;
    struct point from = *a;
    if (t0 > 0)
        *a = (struct point){.x = from.x + t0 * dx, .y = from.y + t0 * dy};
    if (t1 < 1)
        *b = (struct point){.x = from.x + t1 * dx, .y = from.y + t1 * dy};
    return true;
}

bool map_block_shown(const struct map_plot *mp, int block)
{
    const struct plan *plan = mp->map->plan;
    enum slot slot = plan->blocks[block].planting->slot;
    return plan->zones.items[plan->blocks[block].zone].plot == mp->index &&
           (mp->slot == SLOT_WHOLE || slot == SLOT_WHOLE || slot == mp->slot);
}

bool map_line_here(const struct map_plot *mp, const struct line *line)
{
    struct point a = {.x = line->x0, .y = line->y0}, b = {.x = line->x1, .y = line->y1};
    return map_block_shown(mp, line->block) &&
           !planting_standing(mp->map->plan->blocks[line->block].planting) &&
           (!mp->tile || (map_segment(mp, &a, &b) && hypot(b.x - a.x, b.y - a.y) > 1e-3));
}

struct line map_line_drawn(const struct map_plot *mp, const struct line *line)
{
    struct line drawn = *line;
    struct point a = {.x = line->x0, .y = line->y0}, b = {.x = line->x1, .y = line->y1};
    if (mp->tile && map_segment(mp, &a, &b)) {
        drawn.x0 = a.x, drawn.y0 = a.y;
        drawn.x1 = b.x, drawn.y1 = b.y;
    }
    return drawn;
}

bool map_station_here(const struct map_plot *mp, int s)
{
    const struct station *station = &mp->map->plan->stations[s];
    const struct planting *p = mp->map->plan->blocks[station->block].planting;
    const struct rect *b = &mp->bounds;
    double r = p->system == SYSTEM_HILLS ? p->hill_diameter_m / 2 : 0;
    if (r > 0)
        r += (PEN_HILL + (map_holds_more(p, station) ? MAP_RING_MM : 0)) * mp->ratio / 1000;
    return !mp->tile || (station->x_m - r >= b->x0 && station->x_m + r <= b->x1 &&
                         station->y_m - r >= b->y0 && station->y_m + r <= b->y1);
}

bool map_block_here(const struct map_plot *mp, int block, struct rect *ground)
{
    const struct plan *plan = mp->map->plan;
    const struct zone *zone = &plan->zones.items[plan->blocks[block].zone];
    if (!map_block_shown(mp, block))
        return false;
    struct rect r = block_ground(&plan->blocks[block], zone);
    const struct rect *b = &mp->bounds;
    if (mp->tile)
        r = (struct rect){fmax(r.x0, b->x0), fmax(r.y0, b->y0), fmin(r.x1, b->x1),
                          fmin(r.y1, b->y1)};
    *ground = r;
    return r.x1 - r.x0 > 1e-3 && r.y1 - r.y0 > 1e-3;
}

/* ---- grid and outline -------------------------------------------------------------------------
 */

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

/* The sides of a closed shape as far as they are drawn here. */
static void draw_sides(struct map_plot *mp, const char *what, const struct point *p, size_t n,
                       double pen_mm, enum ink ink, enum dash dash)
{
    const struct view *view = &mp->page->view;
    for (size_t i = 0; i < n; i++) {
        struct point a = p[i], b = p[(i + 1) % n];
        if (map_segment(mp, &a, &b))
            page_line(mp->page, what, view_point(view, a.x, a.y), view_point(view, b.x, b.y),
                      pen_mm, ink)
                ->dash = dash;
    }
}

/* The strip along the sides that stays free. */
static void draw_border(struct map_plot *mp)
{
    size_t n = mp->ncorners;
    double border = mp->plot->border_m.v;
    struct point *inner = ARENA_ARRAY(mp->map->arena, struct point, n);
    if (!inner) {
        mp->page->failed = true;
        return;
    }
    for (size_t i = 0; i < n; i++) {
        struct mm in = inset_corner(mp->corners, n, i, border);
        inner[i] = (struct point){.x = in.x, .y = in.y};
    }
    if (border > 0)
        draw_sides(mp, "border", inner, n, PEN_FINE, INK_GREY, DASH_SHORT);
}

static void draw_outline(struct map_plot *mp)
{
    size_t n = mp->ncorners;
    const struct view *view = &mp->page->view;
    struct mm *outer = ARENA_ARRAY(mp->map->arena, struct mm, n);
    if (!outer) {
        mp->page->failed = true;
        return;
    }
    for (size_t i = 0; i < n; i++)
        outer[i] = view_point(view, mp->corners[i].x, mp->corners[i].y);
    if (mp->tile)
        draw_sides(mp, "outline", mp->corners, n, PEN_OUTLINE, INK_BLACK, DASH_SOLID);
    else
        page_polygon(mp->page, "outline", outer, (int)n, PEN_OUTLINE, INK_BLACK, INK_NONE);
    for (size_t i = 0; i < n; i++) {
        struct point a = mp->corners[i], b = mp->corners[(i + 1) % n];
        if (map_segment(mp, &a, &b))
            labels_take_line(&mp->labels, view_point(view, a.x, a.y), view_point(view, b.x, b.y));
    }
}

/* The four corners of a path on the page; false: it has no length. */
static bool path_corners(const struct map_plot *mp, const struct path *path, struct mm p[4])
{
    const struct view *view = &mp->page->view;
    double dx = path->to.x - path->from.x, dy = path->to.y - path->from.y, l = hypot(dx, dy);
    if (l <= 0)
        return false;
    double ox = -dy / l * path->width_m.v / 2, oy = dx / l * path->width_m.v / 2;
    p[0] = view_point(view, path->from.x + ox, path->from.y + oy);
    p[1] = view_point(view, path->to.x + ox, path->to.y + oy);
    p[2] = view_point(view, path->to.x - ox, path->to.y - oy);
    p[3] = view_point(view, path->from.x - ox, path->from.y - oy);
    return true;
}

static struct rect box_of(const struct mm *p, int n)
{
    struct rect box = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (int i = 0; i < n; i++)
        box = (struct rect){fmin(box.x0, p[i].x), fmin(box.y0, p[i].y), fmax(box.x1, p[i].x),
                            fmax(box.y1, p[i].y)};
    return box;
}

/* Whether a place lies where another path crosses. */
static bool on_crossing(const struct map_plot *mp, size_t path, struct rect place)
{
    struct mm p[4];
    for (size_t i = 0; i < mp->plot->paths.n; i++)
        if (i != path && path_corners(mp, (const struct path *)mp->plot->paths.items + i, p) &&
            boxes_overlap(box_of(p, 4), place))
            return true;
    return false;
}

/* A name in the middle of a box, running along it, if it fits in there and, of a path, where no
 * other one crosses it; path: its index, SIZE_MAX: it is none. */
static bool draw_name(struct map_plot *mp, const char *what, struct rect box, const char *name,
                      size_t path)
{
    double size = TYPE_BODY_MM, w = scene_text_width(name, size, false);
    bool upright = box.y1 - box.y0 > box.x1 - box.x0 && w > box.x1 - box.x0;
    double long_side = upright ? box.y1 - box.y0 : box.x1 - box.x0;
    double short_side = upright ? box.x1 - box.x0 : box.y1 - box.y0;
    double cx = (box.x0 + box.x1) / 2, cy = (box.y0 + box.y1) / 2, down = 0.35 * size;
    if (w > long_side || size > short_side)
        return false;
    struct mm at = upright ? (struct mm){cx + down, cy} : (struct mm){cx, cy + down};
    struct mark probe = {.points = &at, .text = name, .size_mm = size, .width_mm = w};
    probe.align = ALIGN_CENTRE;
    probe.upright = upright;
    struct rect at_box = mark_box(&probe);
    if (!labels_clear(&mp->labels, at_box) || (path != SIZE_MAX && on_crossing(mp, path, at_box)))
        return false;
    labels_take(&mp->labels, at_box);
    page_text(mp->page, what, at, size, ALIGN_CENTRE, false, name)->upright = upright;
    return true;
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
        (void)draw_name(mp, what, box, name, SIZE_MAX);
    if (fill != INK_PAPER)
        labels_take(&mp->labels, box);
}

static void draw_path(struct map_plot *mp, const struct path *path)
{
    struct mm p[4];
    if (path_corners(mp, path, p))
        draw_shape(mp, "path", p, 4, INK_PAPER, NULL);
}

/* The word in a path that runs level or upright, in its middle third if no other path crosses
 * there; of a slanting one the two lines must do. */
static void name_path(struct map_plot *mp, size_t i)
{
    static const double thirds[] = {1. / 3, 0, 2. / 3};
    struct mm p[4];
    const struct path *path = (const struct path *)mp->plot->paths.items + i;
    double dx = path->to.x - path->from.x, dy = path->to.y - path->from.y;
    if ((fabs(dx) > 1e-6 && fabs(dy) > 1e-6) || !path_corners(mp, path, p))
        return;
    struct rect all = box_of(p, 4);
    const struct rect *f = &mp->frame;
    all = (struct rect){fmax(all.x0, f->x0), fmax(all.y0, f->y0), fmin(all.x1, f->x1),
                        fmin(all.y1, f->y1)};
    bool level = all.x1 - all.x0 > all.y1 - all.y0;
    double w = (all.x1 - all.x0) / 3, h = (all.y1 - all.y0) / 3;
    if (draw_name(mp, "path", all, "path", i))
        return;
    for (int t = 0; t < 3; t++) {
        struct rect third = all;
        if (level)
            third.x0 += 3 * w * thirds[t], third.x1 = third.x0 + w;
        else
            third.y0 += 3 * h * thirds[t], third.y1 = third.y0 + h;
        if (draw_name(mp, "path", third, "path", i))
            return;
    }
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
    draw_border(mp); /* below what stands on it */
    const struct plot *plot = mp->plot;
    for (size_t i = 0; i < plot->paths.n; i++)
        draw_path(mp, (const struct path *)plot->paths.items + i);
    for (size_t i = 0; i < plot->paths.n; i++)
        name_path(mp, i);
    for (size_t i = 0; i < plot->obstacles.n; i++)
        draw_obstacle(mp, (const struct obstacle *)plot->obstacles.items + i);
    draw_outline(mp);
    map_gates_draw(mp);
}
