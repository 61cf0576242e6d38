/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>
#include <string.h>

#include "num.h"

/* Beside the outline: tapes with the distance of every line, the sides' names and lengths, the
 * stake. From the outline outwards: ticks, numbers, names. */

#define FOOT_M    0.3048
#define TICK_MM   1.3
#define LONG_MM   2.6
#define TEXT_AT   3.4 /* mm from the outline: where numbers begin */
#define NAME_ROOM 5.6 /* mm for the name of a side */
#define STAKE_ROW 5.0
#define FAR_MM    7.0  /* a number that stands further from its line is hard to follow */
#define REACH_MM  30.0 /* a line that ends further in than this is not the side's */

bool map_rows_level(const struct map_plot *mp)
{
    return mp->along_x != mp->turned;
}

/* ---- sides of the page --------------------------------------------------------------------- */

enum side { SIDE_LEFT, SIDE_RIGHT, SIDE_TOP, SIDE_BOTTOM, SIDE_COUNT };

static bool side_level(enum side side) /* runs from left to right */
{
    return side == SIDE_TOP || side == SIDE_BOTTOM;
}

/* A point beside the bounds: `along` the side in page mm, `out` mm away from it. */
static struct mm side_point(const struct map_plot *mp, enum side side, double along, double out)
{
    const struct rect *f = &mp->frame;
    switch (side) {
    case SIDE_LEFT:
        return (struct mm){f->x0 - out, along};
    case SIDE_RIGHT:
        return (struct mm){f->x1 + out, along};
    case SIDE_TOP:
        return (struct mm){along, f->y0 - out};
    default:
        return (struct mm){along, f->y1 + out};
    }
}

/* How far inside the side a point of the page lies, mm. */
static double side_gap(const struct map_plot *mp, enum side side, struct mm p)
{
    const struct rect *f = &mp->frame;
    switch (side) {
    case SIDE_LEFT:
        return p.x - f->x0;
    case SIDE_RIGHT:
        return f->x1 - p.x;
    case SIDE_TOP:
        return p.y - f->y0;
    default:
        return f->y1 - p.y;
    }
}

/* Whether the plot's x tape runs along the side. */
static bool side_shows_x(const struct map_plot *mp, enum side side)
{
    return side_level(side) != mp->turned;
}

/* Where a tape reading lies along a side, page mm. */
static double side_place(const struct map_plot *mp, enum side side, double m)
{
    const struct view *view = &mp->page->view;
    struct mm p = side_shows_x(mp, side) ? view_point(view, m, 0) : view_point(view, 0, m);
    return side_level(side) ? p.x : p.y;
}

/* ---- readings ------------------------------------------------------------------------------ */

static const char *tape_number(const struct map_plot *mp, double m)
{
    char num[64];
    if (mp->map->units == UNITS_METRIC)
        return arena_strdup(mp->map->arena, num_fixed(num, sizeof num, m * 100, 0));
    return arena_printf(mp->map->arena, "%s'", num_fixed(num, sizeof num, m / FOOT_M, 0));
}

/* Whether a line ends near a side: then its distance stands there. Known before the page is. */
static bool line_at_side(const struct map_plot *mp, const struct line *line, enum side side)
{
    const struct rect *b = &mp->bounds;
    struct line d = map_line_drawn(mp, line);
    double gaps[] = {fmin(d.x0, d.x1) - b->x0, b->x1 - fmax(d.x0, d.x1), b->y1 - fmax(d.y0, d.y1),
                     fmin(d.y0, d.y1) - b->y0}; /* left, right, top, bottom of an unturned map */
    static const int turned[] = {2, 3, 1, 0};
    int i = mp->turned ? turned[side] : (int)side;
    const struct line_room *room = map_room_of(mp, line);
    bool high = i == 1 || i == 2;
    return (high ? room->last : room->first) && gaps[i] * 1000 / mp->ratio < REACH_MM;
}

bool map_line_beside(const struct map_plot *mp, const struct line *line)
{
    if (map_rows_level(mp))
        return line_at_side(mp, line, SIDE_LEFT) || line_at_side(mp, line, SIDE_RIGHT);
    return line_at_side(mp, line, SIDE_TOP) || line_at_side(mp, line, SIDE_BOTTOM);
}

/* What the least tag of a row takes across it, mm: of a level one its type, of an upright one its
 * number or its symbols, which stand below each other. */
static double tag_across(const struct map_plot *mp, const struct planting *p)
{
    if (map_rows_level(mp))
        return TYPE_LEAST_MM;
    double w = scene_text_width("00.0", TYPE_BODY_MM, true) + 1;
    for (int k = 0; k < p->nparts; k++)
        w = fmax(w, map_symbol_width(map_symbol_of(mp, &p->parts[k])));
    return w;
}

bool map_line_named_beside(const struct map_plot *mp, const struct line *line)
{
    const struct planting *p = mp->map->plan->blocks[line->block].planting;
    if (map_is_dense(mp))
        return true;
    if (p->system == SYSTEM_HILLS)
        return false;
    /* by tag_place in map_names, and draw_row in map_crops */
    const double over = 0.2;
    double strip = map_strip_half(mp, p), tick = strip + fmin(MAP_TICK_OVER_MM, strip) + PEN_PATH;
    double needs = 2 * strip + tag_across(mp, p) + tick + over;
    const struct line_room *room = map_room_of(mp, line);
    double above = map_rows_level(mp) || mp->turned ? room->high_m : room->low_m;
    return above * 1000 / mp->ratio < needs;
}

/* At which side: the left or the top one when the line ends there, else the other. */
static bool named_at(const struct map_plot *mp, const struct line *line, enum side side)
{
    enum side first = side_level(side) ? SIDE_TOP : SIDE_LEFT;
    return map_line_named_beside(mp, line) && (side == first || !line_at_side(mp, line, first));
}

static bool any_named_at(const struct map_plot *mp, enum side side)
{
    const struct plan *plan = mp->map->plan;
    for (int l = 0; l < plan->nlines; l++)
        if (map_line_here(mp, &plan->lines[l]) && named_at(mp, &plan->lines[l], side))
            return true;
    return false;
}

/* Room for any reading of this plot, with a line's name before it or without. */
static double reading_width(const struct map_plot *mp, bool named)
{
    char buf[64];
    double far =
        fmax(fmax(fabs(mp->bounds.x0), mp->bounds.x1), fmax(fabs(mp->bounds.y0), mp->bounds.y1));
    if (mp->map->units == UNITS_US) /* the widest number of inches, on the same feet */
        far = floor(far / FOOT_M) * FOOT_M + 10.5 * FOOT_M / 12;
    double width =
        scene_text_width(unit_tape(buf, sizeof buf, far, mp->map->units), TYPE_BODY_MM, true);
    return width + (named && !mp->map->manner->marks ? mp->title_w : 0);
}

/* Of a map whose lines are named at the left or upper side of the page, and at the other. */
static struct margins margins_of(const struct map_plot *mp, bool named_low, bool named_high)
{
    bool level = map_rows_level(mp);
    double low = reading_width(mp, named_low) + TEXT_AT + 1 + NAME_ROOM;
    double high = reading_width(mp, named_high) + TEXT_AT + 1 + NAME_ROOM;
    double number = TEXT_AT + scene_text_width("000'", TYPE_BODY_MM, false) + NAME_ROOM;
    double line = TEXT_AT + TYPE_BODY_MM + NAME_ROOM;
    if (mp->map->manner->marks)
        return (struct margins){low, number, line, low + STAKE_ROW};
    if (level)
        return (struct margins){low, high, line, line + STAKE_ROW};
    return (struct margins){number, number, low, high + STAKE_ROW};
}

struct margins map_margins(const struct map_plot *mp)
{
    bool level = map_rows_level(mp);
    return margins_of(mp, any_named_at(mp, level ? SIDE_LEFT : SIDE_TOP),
                      any_named_at(mp, level ? SIDE_RIGHT : SIDE_BOTTOM));
}

struct margins map_margins_most(const struct map_plot *mp)
{
    bool level = map_rows_level(mp);
    bool named = any_named_at(mp, level ? SIDE_LEFT : SIDE_TOP) ||
                 any_named_at(mp, level ? SIDE_RIGHT : SIDE_BOTTOM);
    return margins_of(mp, named, named);
}

/* Sets a text beside a side, `apart` from all else there: centred at `along` on a level side unless
 * it is upright, else with its end towards the outline. NULL: there was no room. */
static struct mark *side_text(struct map_plot *mp, enum side side, double along, bool upright,
                              bool bold, double apart, const char *what, const char *text)
{
    if (!text) {
        mp->page->failed = true;
        return NULL;
    }
    double size = TYPE_BODY_MM, cap = 0.73 * size;
    struct mm at = side_point(mp, side, along, TEXT_AT);
    enum align align = ALIGN_CENTRE;
    if (!side_level(side)) {
        at.y += cap / 2;
        align = side == SIDE_LEFT ? ALIGN_RIGHT : ALIGN_LEFT;
    } else if (upright) {
        at.x += cap / 2;
        align = side == SIDE_TOP ? ALIGN_LEFT : ALIGN_RIGHT;
    } else if (side == SIDE_BOTTOM) {
        at.y += cap;
    }
    struct mark probe = {.text = text,
                         .size_mm = size,
                         .points = &at,
                         .upright = upright,
                         .align = align,
                         .width_mm = scene_text_width(text, size, bold)};
    struct rect box = mark_box(&probe);
    struct rect around = {box.x0, box.y0 - apart, box.x1, box.y1 + apart};
    if (!labels_clear(&mp->labels, side_level(side) ? box : around))
        return NULL;
    labels_take(&mp->labels, box);
    struct mark *mark = page_text(mp->page, what, at, size, align, bold, text);
    mark->upright = upright;
    return mark;
}

/* ---- distances of lines -------------------------------------------------------------------- */

/* A line whose distance is to stand beside a side. */
struct reading {
    double place; /* true place along the side, page mm */
    double m;     /* on the tape */
    int line;     /* in plan->lines, -1: of none */
};

/* Sorted along the side; at most cap. */
static int side_readings(const struct map_plot *mp, enum side side, struct reading *out)
{
    const struct plan *plan = mp->map->plan;
    int n = 0;
    for (int l = 0; l < plan->nlines; l++) {
        const struct line *line = &plan->lines[l];
        if (!map_line_here(mp, line) || !line_at_side(mp, line, side))
            continue;
        double m = mp->along_x ? (line->y0 + line->y1) / 2 : (line->x0 + line->x1) / 2;
        struct reading r = {side_place(mp, side, m), m, l};
        int i = n++;
        for (; i > 0 && out[i - 1].place > r.place; i--)
            out[i] = out[i - 1];
        out[i] = r;
    }
    return n;
}

/* Of a map whose manner says what is read: as many as fit out. */
static int marked_readings(const struct map_plot *mp, enum side side, struct reading *out, int cap)
{
    int n;
    const double *marks = mp->map->manner->marks(mp, side_shows_x(mp, side), &n);
    n = marks && n < cap ? n : marks ? cap : 0;
    for (int i = 0; i < n; i++)
        out[i] = (struct reading){side_place(mp, side, marks[i]), marks[i], -1};
    bool down = n > 1 && out[0].place > out[n - 1].place; /* the tape runs up the page */
    for (int i = 0; down && i < n / 2; i++) {
        struct reading r = out[i];
        out[i] = out[n - 1 - i];
        out[n - 1 - i] = r;
    }
    return n;
}

/* Keeps every k-th reading, so that the rest has room. */
static int thin_readings(struct reading *r, int n, int k)
{
    int kept = 0;
    for (int i = 0; i < n; i += k)
        r[kept++] = r[i];
    return kept;
}

/* "14' 2", with the line's name before it where that has no room in the plot. NULL: out of memory.
 */
static const char *reading_text(const struct map_plot *mp, enum side side, const struct reading *r)
{
    const struct line *line = r->line < 0 ? NULL : &mp->map->plan->lines[r->line];
    char buf[64];
    unit_tape(buf, sizeof buf, r->m, mp->map->units);
    const char *title = line && named_at(mp, line, side) ? map_line_title(mp, line) : "";
    return title ? arena_printf(mp->map->arena, "%s%s", title, buf) : NULL;
}

/* Keeps what is written later off a tick. */
static void take_tick(struct map_plot *mp, struct mm a, struct mm b)
{
    const double half = 0.25;
    labels_take(&mp->labels, (struct rect){fmin(a.x, b.x) - half, fmin(a.y, b.y) - half,
                                           fmax(a.x, b.x) + half, fmax(a.y, b.y) + half});
}

static void draw_reading(struct map_plot *mp, enum side side, const struct reading *r, double place)
{
    const struct mm p[] = {side_point(mp, side, r->place, 0),
                           side_point(mp, side, r->place, LONG_MM / 2),
                           side_point(mp, side, place, LONG_MM + 0.4)};
    take_tick(mp, p[0], p[1]);
    take_tick(mp, p[1], p[2]);
    page_line(mp->page, "tape", p[0], p[1], PEN_PATH, INK_BLACK)->line = r->line;
    page_line(mp->page, "tape", p[1], p[2], PEN_PATH, INK_BLACK)->line = r->line;
    struct mark *mark = side_text(mp, side, place, side_level(side), true, 0, "distance",
                                  reading_text(mp, side, r));
    if (mark && r->line >= 0) {
        mark->line = r->line;
        mark->block = mp->map->plan->lines[r->line].block;
    }
}

static double moved_most(const struct reading *r, const double *places, int n)
{
    double most = 0;
    for (int i = 0; i < n; i++)
        most = fmax(most, fabs(places[i] - r[i].place));
    return most;
}

static void draw_readings(struct map_plot *mp, enum side side)
{
    struct reading *r = ARENA_ARRAY(mp->map->arena, struct reading, (size_t)mp->map->plan->nlines);
    double *places = ARENA_ARRAY(mp->map->arena, double, (size_t)mp->map->plan->nlines);
    if (!r || !places) {
        mp->page->failed = true;
        return;
    }
    const struct rect *f = &mp->frame;
    double lo = side_level(side) ? f->x0 : f->y0, hi = side_level(side) ? f->x1 : f->y1;
    int n = mp->map->manner->marks ? marked_readings(mp, side, r, mp->map->plan->nlines)
                                   : side_readings(mp, side, r);
    for (int k = 2; n > 0; k++) {
        for (int i = 0; i < n; i++)
            places[i] = r[i].place;
        bool room = labels_spread(places, n, 1.1 * TYPE_BODY_MM, lo, hi);
        if (n == 1 || (room && moved_most(r, places, n) < FAR_MM))
            break;
        n = thin_readings(r, n, k);
    }
    for (int i = 0; i < n; i++)
        draw_reading(mp, side, &r[i], places[i]);
}

static void draw_ruler(struct map_plot *mp, enum side side)
{
    bool x = side_shows_x(mp, side);
    double lo = x ? mp->bounds.x0 : mp->bounds.y0, hi = x ? mp->bounds.x1 : mp->bounds.y1;
    double tick = map_tape_step(mp, 1.3, true), number = map_tape_step(mp, 11, false);
    int per = (int)fmax(1, round(number / tick));
    long first = lround(ceil(lo / tick - 1e-6)), last = lround(floor(hi / tick + 1e-6));
    for (long i = first; i <= last; i++) {
        double along = side_place(mp, side, (double)i * tick);
        bool is_long = i % per == 0;
        take_tick(mp, side_point(mp, side, along, 0), side_point(mp, side, along, LONG_MM));
        page_line(mp->page, "ruler", side_point(mp, side, along, 0),
                  side_point(mp, side, along, is_long ? LONG_MM : TICK_MM),
                  is_long ? PEN_FINE : PEN_GRID, INK_BLACK);
        if (is_long)
            side_text(mp, side, along, false, false, 0.5, "number",
                      tape_number(mp, (double)i * tick));
    }
}

/* ---- sides of the plot --------------------------------------------------------------------- */

static const struct edge *edge_of(const struct plot *plot, size_t side)
{
    for (size_t i = 0; i < plot->edges.n; i++) {
        const struct edge *e = (const struct edge *)plot->edges.items + i;
        if ((size_t)e->side.v == side + 1)
            return e;
    }
    return NULL;
}

/* "long lane (path): 20 ft" */
static const char *edge_text(const struct map_plot *mp, size_t side, double length_m)
{
    static const char *const kinds[] = {
        [EDGE_OPEN] = "",       [EDGE_PATH] = "path", [EDGE_NEIGHBOUR] = "neighbour",
        [EDGE_FENCE] = "fence", [EDGE_WALL] = "wall", [EDGE_HEDGE] = "hedge",
    };
    char buf[64];
    struct arena *arena = mp->map->arena;
    const char *length = unit_length(buf, sizeof buf, length_m, mp->map->units);
    const struct edge *e = edge_of(mp->plot, side);
    if (!e)
        return arena_strdup(arena, length);
    const char *kind = kinds[e->kind.v >= 0 ? e->kind.v : EDGE_OPEN];
    const char *name = e->name.s ? e->name.s : kind;
    bool say_kind = e->name.s && *kind && !strstr(name, kind);
    return arena_printf(arena, "%s%s%s%s%s%s", name, say_kind ? " (" : "", say_kind ? kind : "",
                        say_kind ? ")" : "", *name ? ": " : "", length);
}

/* The side of the bounds that a side of the outline lies on, SIDE_COUNT: none. */
static enum side side_under(const struct map_plot *mp, struct mm a, struct mm b)
{
    for (enum side s = SIDE_LEFT; s < SIDE_COUNT; s++)
        if (fabs(side_gap(mp, s, a)) < 0.5 && fabs(side_gap(mp, s, b)) < 0.5)
            return s;
    return SIDE_COUNT;
}

/* The name of a side that lies on the bounds, beyond the numbers. */
static void name_outside(struct map_plot *mp, enum side side, struct mm a, struct mm b,
                         const char *text)
{
    struct margins m = map_margins(mp);
    double room = side == SIDE_LEFT    ? m.left
                  : side == SIDE_RIGHT ? m.right
                  : side == SIDE_TOP   ? m.top
                                       : m.bottom - STAKE_ROW;
    bool level = side_level(side);
    double size = TYPE_BODY_MM, length = hypot(b.x - a.x, b.y - a.y);
    double along = level ? (a.x + b.x) / 2 : (a.y + b.y) / 2;
    struct mm at = side_point(mp, side, along, room - NAME_ROOM + 1.4);
    if (side == SIDE_BOTTOM)
        at.y += 0.73 * size;
    if (side == SIDE_RIGHT)
        at.x += 0.73 * size;
    struct mark probe = {.points = &at, .text = text, .size_mm = size, .upright = !level};
    probe.align = ALIGN_CENTRE;
    probe.width_mm = scene_text_width(text, size, true);
    /* it may be longer than its side, past the corners, but not where the stake's words stand and
     * lead to it */
    const struct rect *area = &mp->labels.area, *f = &mp->frame;
    bool foot = side == SIDE_BOTTOM && mp->stake_near;
    double lo = (foot ? f->x0 : level ? area->x0 : area->y0) + probe.width_mm / 2 + 0.1;
    double hi = (foot ? f->x1 : level ? area->x1 : f->y1) - probe.width_mm / 2 - 0.1;
    double *place = level ? &at.x : &at.y;
    if (lo <= hi)
        *place = num_clamp(along, lo, hi);
    if (lo > hi || !labels_clear(&mp->labels, mark_box(&probe))) {
        *place = along;
        text = scene_text_cut(mp->map->arena, text, size, true, fmax(length, 20));
    }
    struct mark *mark = page_text(mp->page, "side", at, size, ALIGN_CENTRE, true, text);
    mark->upright = !level;
    labels_take(&mp->labels, mark_box(mark));
}

/* The name of a side within the bounds: by its middle on its outer side if that is clear, else
 * nearby. */
static void name_inside(struct map_plot *mp, struct mm a, struct mm b, const char *text)
{
    static const double along[] = {0.5, 0.38, 0.62, 0.26, 0.74, 0.15, 0.85};
    enum { ALONG = sizeof along / sizeof *along };
    double l = hypot(b.x - a.x, b.y - a.y), size = TYPE_BODY_MM;
    double w = scene_text_width(text, size, true), h = 1.06 * size;
    if (l <= 0)
        return;
    /* the outline runs counter-clockwise in the plot, so with y down its outside is to the right */
    double nx = -(b.y - a.y) / l, ny = (b.x - a.x) / l;
    for (int i = 0; i < 2 * 16 * ALONG; i++) {
        int step = 1 + i / ALONG % 16;
        double t = along[i % ALONG], side = i < 16 * ALONG ? 1 : -1;
        double reach = side * (0.7 * step + fabs(nx) * w / 2 + fabs(ny) * h / 2);
        struct mm c = {a.x + t * (b.x - a.x) + nx * reach, a.y + t * (b.y - a.y) + ny * reach};
        struct rect box = {c.x - w / 2, c.y - h / 2, c.x + w / 2, c.y + h / 2};
        if (!labels_clear(&mp->labels, box))
            continue;
        labels_take(&mp->labels, box);
        page_text(mp->page, "side", (struct mm){c.x, box.y1 - 0.26 * size}, size, ALIGN_CENTRE,
                  true, text)
            ->fill = INK_PAPER; /* block frames and the border strip run there */
        if (side < 0) {         /* within the plot it would be read with what grows there */
            struct mm end = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
            struct mm from = {num_clamp(end.x, box.x0, box.x1), num_clamp(end.y, box.y0, box.y1)};
            page_line(mp->page, "side", from, end, PEN_FINE, INK_BLACK);
            page_circle(mp->page, "side", end, 0.6, 0, INK_NONE, INK_BLACK);
            labels_take_line(&mp->labels, from, end);
        }
        return;
    }
}

/* Words in the row of a side's name, as near the middle of lo..hi (page mm) as is clear; false:
 * there is no room. */
static bool name_beside(struct map_plot *mp, enum side side, double lo, double hi, const char *text)
{
    struct margins m = map_margins(mp);
    const double rooms[] = {m.left, m.right, m.top, m.bottom - STAKE_ROW};
    const double apart = 1.8; /* from the side's name, so that it is not read as part of it */
    double size = TYPE_BODY_MM, w = scene_text_width(text, size, false), step = 1;
    int tries = (int)((hi - lo - w) / step);
    for (int i = 0; i <= tries; i++) {
        int away = (i + 1) / 2;
        double along = (lo + hi) / 2 + (i % 2 ? away : -away) * step;
        struct mm at = side_point(mp, side, along, rooms[side] - NAME_ROOM + 1.4);
        at.y += side == SIDE_BOTTOM ? 0.73 * size : 0;
        at.x += side == SIDE_RIGHT ? 0.73 * size : 0;
        struct mark probe = {.points = &at, .text = text, .size_mm = size, .width_mm = w};
        probe.align = ALIGN_CENTRE;
        probe.upright = !side_level(side);
        struct rect box = mark_box(&probe);
        struct rect around = {
            box.x0 - (probe.upright ? 0 : apart), box.y0 - (probe.upright ? apart : 0),
            box.x1 + (probe.upright ? 0 : apart), box.y1 + (probe.upright ? apart : 0)};
        if (!labels_clear(&mp->labels, around))
            continue;
        labels_take(&mp->labels, box);
        page_text(mp->page, "joins", at, size, ALIGN_CENTRE, false, text)->upright = probe.upright;
        return true;
    }
    return false;
}

void map_name_beside(struct map_plot *mp, bool x, double from_m, double to_m, const char *text)
{
    for (enum side s = SIDE_LEFT; s < SIDE_COUNT; s++) {
        double a = side_place(mp, s, from_m), b = side_place(mp, s, to_m);
        if (side_shows_x(mp, s) == x)
            (void)name_beside(mp, s, fmin(a, b), fmax(a, b), text);
    }
}

/* on_bounds: of the sides that lie on the bounds, else of the others. */
static void draw_names(struct map_plot *mp, bool on_bounds)
{
    const struct view *view = &mp->page->view;
    for (size_t i = 0; i < mp->ncorners; i++) {
        struct point p = mp->corners[i], q = mp->corners[(i + 1) % mp->ncorners];
        const char *text = edge_text(mp, i, hypot(q.x - p.x, q.y - p.y));
        if (!map_segment(mp, &p, &q) || hypot(q.x - p.x, q.y - p.y) < 1e-3)
            continue;
        struct mm a = view_point(view, p.x, p.y), b = view_point(view, q.x, q.y);
        if (!text) {
            mp->page->failed = true;
            return;
        }
        enum side side = side_under(mp, a, b);
        if (side != SIDE_COUNT && on_bounds)
            name_outside(mp, side, a, b, text);
        if (side == SIDE_COUNT && !on_bounds)
            name_inside(mp, a, b, text);
    }
    for (enum side s = SIDE_LEFT; s < SIDE_COUNT; s++)
        if (mp->joins[s] && on_bounds)
            (void)name_beside(mp, s, side_level(s) ? mp->frame.x0 : mp->frame.y0,
                              side_level(s) ? mp->frame.x1 : mp->frame.y1, mp->joins[s]);
}

/* The corners of an outline have the numbers they have in the key, within the plot if there is
 * room. */
static void draw_corners(struct map_plot *mp)
{
    const double size = TYPE_LEAST_MM, r = 2.1;
    for (size_t i = 0; mp->plot->outline.n > 0 && i < mp->ncorners; i++) {
        struct point p = mp->corners[i], q = p;
        struct mm at = view_point(&mp->page->view, p.x, p.y);
        if (!map_segment(mp, &p, &q))
            continue;
        const char *text = arena_printf(mp->map->arena, "%zu", i + 1);
        for (int t = 0; text && t < 48; t++) {
            int ring = t / 8;
            double turn = (t % 8) * 0.785398163397448310 + 0.4, far = 3.6 + 1.5 * ring;
            struct mm c = {at.x + far * cos(turn), at.y + far * sin(turn)};
            const double all = r + 0.2;
            struct rect box = {c.x - all, c.y - all, c.x + all, c.y + all};
            if (!labels_clear(&mp->labels, box))
                continue;
            labels_take(&mp->labels, box);
            page_circle(mp->page, "corner", c, r, PEN_GRID, INK_BLACK, INK_PAPER);
            page_text(mp->page, "corner", (struct mm){c.x, c.y + 0.365 * size}, size, ALIGN_CENTRE,
                      true, text);
            break;
        }
        mp->page->failed = mp->page->failed || !text;
    }
}

/* ---- the stake ----------------------------------------------------------------------------- */

static void draw_stake(struct map_plot *mp)
{
    struct margins m = map_margins(mp);
    struct mm at = view_point(&mp->page->view, 0, 0);
    const struct rect *f = &mp->frame;
    const double r = 1.9;
    if (mp->stake_near) {
        page_circle(mp->page, "stake", at, r, PEN_HILL, INK_BLACK, INK_PAPER);
        page_line(mp->page, "stake", (struct mm){at.x - 1.6 * r, at.y},
                  (struct mm){at.x + 1.6 * r, at.y}, PEN_PATH, INK_BLACK);
        page_line(mp->page, "stake", (struct mm){at.x, at.y - 1.6 * r},
                  (struct mm){at.x, at.y + 1.6 * r}, PEN_PATH, INK_BLACK);
        const double arm = 1.6 * r;
        labels_take(&mp->labels,
                    (struct rect){at.x - arm, at.y - PEN_PATH, at.x + arm, at.y + PEN_PATH});
        labels_take(&mp->labels,
                    (struct rect){at.x - PEN_PATH, at.y - arm, at.x + PEN_PATH, at.y + arm});
        labels_take(&mp->labels, (struct rect){at.x - r - PEN_HILL, at.y - r - PEN_HILL,
                                               at.x + r + PEN_HILL, at.y + r + PEN_HILL});
    }
    double y = f->y1 + m.bottom - 1.2, width = f->x1 - f->x0 + m.left + m.right - 4;
    const char *text =
        arena_printf(mp->map->arena, "Stake%s, 0 on both tapes: %s",
                     mp->tile && !mp->stake_near ? " (on another tile)" : "",
                     mp->plot->origin.s ? mp->plot->origin.s : "the corner where x and y begin");
    if (!text) {
        mp->page->failed = true;
        return;
    }
    text = scene_text_cut(mp->map->arena, text, TYPE_BODY_MM, true, width);
    bool right = at.x > (f->x0 + f->x1) / 2;
    struct mm anchor = {right ? f->x1 + m.right - 2 : f->x0 - m.left + 2, y};
    struct mark *mark = page_text(mp->page, "stake", anchor, TYPE_BODY_MM,
                                  right ? ALIGN_RIGHT : ALIGN_LEFT, true, text);
    struct rect box = mark_box(mark);
    labels_take(&mp->labels, box);
    if (mp->stake_near) { /* from the words to the stake */
        struct mm from = {right ? box.x1 - 2 : box.x0 + 2, box.y0 - 0.6};
        struct mm to = {at.x + (right ? r : -r), at.y + r};
        page_line(mp->page, "stake", from, to, PEN_FINE, INK_BLACK);
        labels_take_line(&mp->labels, from, to);
    }
}

void map_tapes_draw(struct map_plot *mp)
{
    draw_names(mp, true);
    draw_stake(mp);
    for (enum side s = SIDE_LEFT; s < SIDE_COUNT; s++)
        if (mp->map->manner->marks ? s == SIDE_LEFT || s == SIDE_BOTTOM
                                   : side_level(s) != map_rows_level(mp))
            draw_readings(mp, s);
    for (enum side s = SIDE_LEFT; s < SIDE_COUNT; s++)
        draw_ruler(mp, s);
    map_gates_name(mp);
    draw_corners(mp);
    draw_names(mp, false);
}
