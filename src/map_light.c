/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The light map: a sheet for each plot with the light of its ground twice, as the site leaves it
 * and as the plan's plants do. */
#include "map.h"

#include <math.h>
#include <string.h>

#include "arrange.h"
#include "elsewhere.h"
#include "num.h"
#include "outline.h"
#include "season.h"

#define MARGIN_MM   7.0
#define TITLE_MM    19.0
#define CAPTION_MM  6.0
#define GAP_MM      7.0
#define LEGEND_MM   12.0
#define LINE_MM     4.2 /* of text */
#define AROUND_M    2.0 /* ground round the plot that is shown, too */
#define NODES_MOST  60  /* along the longer side */
#define NODES_LEAST 12
#define WORK_MOST                                                                                  \
    1.5e8              /* crossings tried for one field: large lists of obstacles get fewer nodes */
#define FINE         4 /* steps of the picture from node to node */
#define FIGURE_MM    15.0 /* from one figure to the next */
#define FIGURE_W     4.6
#define FIGURE_W_100 6.4
#define FIGURE_H     3.4

/* Steps of light, darkest last: each holds what is at least so much. */
static const struct {
    double least;
    enum ink ink;
    bool dark; /* figures on it are white */
    const char *words;
} steps[] = {
    {0.95, INK_LIGHT_1, false, "95 % and more"}, {0.85, INK_LIGHT_2, false, "85 to 95 %"},
    {0.70, INK_LIGHT_3, false, "70 to 85 %"},    {0.50, INK_LIGHT_4, false, "50 to 70 %"},
    {0.30, INK_LIGHT_5, true, "30 to 50 %"},     {-1.0, INK_LIGHT_6, true, "under 30 %"},
};
#define STEPS (int)(sizeof steps / sizeof *steps)

static int step_of(double light)
{
    int i = 0;
    while (i < STEPS - 1 && light < steps[i].least)
        i++;
    return i;
}

/* ---- the field ----------------------------------------------------------------------------- */

/* Light at the nodes of a grid over `r`, rows from y0 up. */
struct field_of_light {
    struct rect r;
    int nx, ny;
    double *v;
    double least, mean, most; /* of the ground inside the outline */
};

static double node(double from, double to, int i, int n)
{
    return from + (to - from) * i / (n - 1);
}

/* Between the nodes, straight. */
static double field_at(const struct field_of_light *f, double x, double y)
{
    double u = num_clamp((x - f->r.x0) / (f->r.x1 - f->r.x0), 0, 1) * (f->nx - 1);
    double w = num_clamp((y - f->r.y0) / (f->r.y1 - f->r.y0), 0, 1) * (f->ny - 1);
    int i = (int)fmin(floor(u), f->nx - 2), j = (int)fmin(floor(w), f->ny - 2);
    const double *v = &f->v[j * f->nx + i];
    double a = v[0] + (v[1] - v[0]) * (u - i), b = v[f->nx] + (v[f->nx + 1] - v[f->nx]) * (u - i);
    return a + (b - a) * (w - j);
}

static void field_summary(struct field_of_light *f, const struct map_plot *mp)
{
    double sum = 0;
    int n = 0;
    f->least = 1;
    f->most = 0;
    for (int k = 0; k < f->nx * f->ny; k++) {
        double x = node(f->r.x0, f->r.x1, k % f->nx, f->nx);
        double y = node(f->r.y0, f->r.y1, k / f->nx, f->ny);
        if (!outline_has(mp->corners, mp->ncorners, x, y))
            continue;
        f->least = fmin(f->least, f->v[k]);
        f->most = fmax(f->most, f->v[k]);
        sum += f->v[k];
        n++;
    }
    f->mean = n > 0 ? sum / n : 0;
}

/* How a field is worked out: shaders of the site first, then canopies with their growth. */
struct light_work {
    const struct light_season *season;
    struct shader *shaders;
    const struct growth *growth; /* of the canopies */
    int nsite, n;
    double sun;
};

/* false: no memory. */
static bool field_make(struct field_of_light *f, const struct map_plot *mp,
                       const struct light_work *w)
{
    double wide = f->r.x1 - f->r.x0, high = f->r.y1 - f->r.y0, longer = fmax(wide, high);
    double room = sqrt(WORK_MOST / ((double)LIGHT_RAYS_MAX * LIGHT_PARTS * (w->n + 1)));
    double side = num_clamp(room, NODES_LEAST, NODES_MOST);
    f->nx = (int)fmax(4, ceil(side * wide / longer)) + 1;
    f->ny = (int)fmax(4, ceil(side * high / longer)) + 1;
    f->v = ARENA_ARRAY(mp->map->arena, double, (size_t)f->nx *(size_t)f->ny);
    if (!f->v)
        return false;
    for (int p = 0; p < LIGHT_PARTS; p++) {
        const struct sky *sky = &w->season->part[p];
        for (int i = w->nsite; i < w->n; i++)
            light_missing(sky, w->growth[i - w->nsite], w->shaders[i].missing);
        for (int k = 0; k < f->nx * f->ny; k++)
            f->v[k] += w->sun * w->season->weight[p] *
                       light_at_point(sky, node(f->r.x0, f->r.x1, k % f->nx, f->nx),
                                      node(f->r.y0, f->r.y1, k / f->nx, f->ny), LIGHT_GROUND_M,
                                      w->shaders, w->n, -1);
    }
    field_summary(f, mp);
    return true;
}

/* ---- one panel ----------------------------------------------------------------------------- */

static void draw_steps(struct page *page, const struct field_of_light *f)
{
    int across = (f->nx - 1) * FINE, up = (f->ny - 1) * FINE;
    double dx = (f->r.x1 - f->r.x0) / across, dy = (f->r.y1 - f->r.y0) / up;
    for (int j = 0; j < up; j++)
        for (int i = 0, end; i < across; i = end) {
            double y = f->r.y0 + (j + 0.5) * dy;
            int step = step_of(field_at(f, f->r.x0 + (i + 0.5) * dx, y));
            for (end = i + 1; end < across; end++)
                if (step_of(field_at(f, f->r.x0 + (end + 0.5) * dx, y)) != step)
                    break;
            /* a hair over the next row, so that no white shows between them */
            double top = f->r.y0 + (j + (j + 1 < up ? 1.5 : 1)) * dy;
            struct rect r = {f->r.x0 + i * dx, f->r.y0 + j * dy, f->r.x0 + end * dx, top};
            page_rect(page, "light", view_rect(&page->view, r), 0, INK_NONE, steps[step].ink);
        }
}

/* Where the side of a cell from value a to b meets the level, 0..1. */
static double meet(double a, double b, double level)
{
    return (level - a) / (b - a);
}

/* The contour of a level through one cell: at most two lines. */
static void contour_cell(struct page *page, const struct field_of_light *f, int i, int j,
                         double level)
{
    const double *v = &f->v[j * f->nx + i];
    const double corner[4] = {v[0], v[1], v[f->nx + 1], v[f->nx]}; /* counter-clockwise */
    static const double cx[] = {0, 1, 1, 0}, cy[] = {0, 0, 1, 1};
    double dx = (f->r.x1 - f->r.x0) / (f->nx - 1), dy = (f->r.y1 - f->r.y0) / (f->ny - 1);
    struct mm at[4];
    int n = 0;
    for (int k = 0; k < 4; k++) {
        int next = (k + 1) % 4;
        if ((corner[k] >= level) == (corner[next] >= level))
            continue;
        double t = meet(corner[k], corner[next], level);
        at[n++] = view_point(&page->view, f->r.x0 + (i + cx[k] + (cx[next] - cx[k]) * t) * dx,
                             f->r.y0 + (j + cy[k] + (cy[next] - cy[k]) * t) * dy);
    }
    for (int k = 0; k + 1 < n; k += 2)
        page_line(page, "contour", at[k], at[k + 1], PEN_GRID, INK_GREY);
}

static void draw_contours(struct page *page, const struct field_of_light *f)
{
    for (int s = 0; s < STEPS - 1; s++)
        for (int j = 0; j + 1 < f->ny; j++)
            for (int i = 0; i + 1 < f->nx; i++)
                contour_cell(page, f, i, j, steps[s].least);
}

/* Keeps figures so far off a line. */
static void take_line_by(struct labels *labels, struct mm a, struct mm b, double off)
{
    int n = (int)fmin(400, ceil(hypot(b.x - a.x, b.y - a.y))) + 1;
    for (int i = 0; i <= n; i++) {
        double x = a.x + (b.x - a.x) * i / n, y = a.y + (b.y - a.y) * i / n;
        labels_take(labels, (struct rect){x - off, y - off, x + off, y + off});
    }
}

static void take_line(struct labels *labels, struct mm a, struct mm b)
{
    take_line_by(labels, a, b, 0.5);
}

/* Keeps figures off the contours of the panel, whose marks begin there. */
static void take_contours(struct map_plot *mp, int from)
{
    const double off = 0.1; /* they are fine, and the box of a figure is no smaller than it */
    for (int i = from; i < mp->page->n; i++)
        if (strcmp(mp->page->marks[i].what, "contour") == 0)
            take_line_by(&mp->labels, mp->page->marks[i].points[0], mp->page->marks[i].points[1],
                         off);
}

/* At a place of the page, mm. */
static double light_at(const struct page *page, const struct field_of_light *f, double x, double y)
{
    double mm = page->view.mm_per_m;
    return field_at(f, (x - page->view.x_mm) / mm, (page->view.y_mm - y) / mm);
}

/* The light in per cent, in even squares where there is nothing else to read. */
static void draw_figures(struct map_plot *mp, const struct field_of_light *f)
{
    struct page *page = mp->page;
    const struct rect *r = &mp->frame;
    int nx = (int)fmax(1, floor((r->x1 - r->x0) / FIGURE_MM));
    int ny = (int)fmax(1, floor((r->y1 - r->y0) / FIGURE_MM));
    double w = (r->x1 - r->x0) / nx, h = (r->y1 - r->y0) / ny;
    for (int k = 0; k < nx * ny; k++) {
        int row = k / nx, column = k % nx;
        double x = r->x0 + (column + 0.5) * w, y = r->y0 + (row + 0.5) * h;
        double wide = light_at(page, f, x, y) < 0.99 ? FIGURE_W : FIGURE_W_100;
        struct rect at = {x - wide / 2, y - FIGURE_H / 2, x + wide / 2, y + FIGURE_H / 2};
        struct rect room = {x - 0.4 * w, y - 0.4 * h, x + 0.4 * w, y + 0.4 * h};
        if (!labels_clear(&mp->labels, at) &&
            !labels_search(&mp->labels, room, wide, FIGURE_H, &at))
            continue;
        x = (at.x0 + at.x1) / 2;
        y = (at.y0 + at.y1) / 2;
        double light = light_at(page, f, x, y);
        char num[64];
        const char *text =
            arena_printf(page->arena, "%s", num_fixed(num, sizeof num, 100 * light, 0));
        page_text(page, "figure", (struct mm){x, y + 0.37 * TYPE_LEAST_MM}, TYPE_LEAST_MM,
                  ALIGN_CENTRE, false, text)
            ->ink = steps[step_of(light)].dark ? INK_PAPER : INK_BLACK;
    }
}

/* A polygon of plot points, cut off at the panel. */
static void draw_shape(struct map_plot *mp, const char *what, const struct point *p, size_t n,
                       double pen_mm, enum ink fill, const char *name)
{
    struct rect box = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    struct mm *q = ARENA_ARRAY(mp->map->arena, struct mm, n);
    if (!q) {
        mp->page->failed = true;
        return;
    }
    for (size_t i = 0; i < n; i++) {
        q[i] = view_point(&mp->page->view, p[i].x, p[i].y);
        q[i].x = num_clamp(q[i].x, mp->frame.x0, mp->frame.x1);
        q[i].y = num_clamp(q[i].y, mp->frame.y0, mp->frame.y1);
        box = (struct rect){fmin(box.x0, q[i].x), fmin(box.y0, q[i].y), fmax(box.x1, q[i].x),
                            fmax(box.y1, q[i].y)};
    }
    page_polygon(mp->page, what, q, (int)n, pen_mm, INK_BLACK, fill);
    for (size_t i = 0; i < n; i++)
        take_line(&mp->labels, q[i], q[(i + 1) % n]);
    if (fill == INK_NONE)
        return;
    labels_take(&mp->labels, box);
    if (name && scene_text_width(name, TYPE_LEAST_MM, false) < box.x1 - box.x0 &&
        box.y1 - box.y0 > 1.5 * TYPE_LEAST_MM)
        page_text(mp->page, what,
                  (struct mm){(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2 + 0.37 * TYPE_LEAST_MM},
                  TYPE_LEAST_MM, ALIGN_CENTRE, false, name);
}

static void draw_obstacles(struct map_plot *mp)
{
    enum { ROUND = 32 };
    const struct obstacle *o = mp->plot->obstacles.items;
    for (size_t i = 0; i < mp->plot->obstacles.n; i++) {
        struct point ring[ROUND];
        for (int k = 0; k < ROUND; k++)
            ring[k] =
                (struct point){.x = o[i].place.x + o[i].radius_m.v * cos(2 * M_PI * k / ROUND),
                               .y = o[i].place.y + o[i].radius_m.v * sin(2 * M_PI * k / ROUND)};
        if (o[i].outline.n >= 3)
            draw_shape(mp, "obstacle", o[i].outline.items, o[i].outline.n, PEN_PATH, INK_SILVER,
                       o[i].name.s);
        else if (o[i].radius_m.v > 0)
            draw_shape(mp, "obstacle", ring, ROUND, PEN_PATH, INK_SILVER, o[i].name.s);
    }
}

static bool any_side_shades(const struct plot *plot)
{
    const struct edge *edges = plot->edges.items;
    for (size_t e = 0; e < plot->edges.n; e++)
        if (edges[e].height_m.v > 0)
            return true;
    return false;
}

/* The outline; fences, walls and hedges that shade are drawn thick. */
static void draw_sides(struct map_plot *mp)
{
    const struct edge *edges = mp->plot->edges.items;
    draw_shape(mp, "outline", mp->corners, mp->ncorners, PEN_OUTLINE, INK_NONE, NULL);
    for (size_t e = 0; e < mp->plot->edges.n; e++) {
        if (!(edges[e].height_m.v > 0) || edges[e].side.v < 1)
            continue;
        size_t i = (size_t)edges[e].side.v - 1;
        const struct point *a = &mp->corners[i % mp->ncorners];
        const struct point *b = &mp->corners[(i + 1) % mp->ncorners];
        page_line(mp->page, "side", view_point(&mp->page->view, a->x, a->y),
                  view_point(&mp->page->view, b->x, b->y), 3 * PEN_OUTLINE, INK_BLACK);
    }
}

/* Whether two lines cross. */
static bool lines_cross(struct mm a, struct mm b, struct mm c, struct mm d)
{
    double abc = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    double abd = (b.x - a.x) * (d.y - a.y) - (b.y - a.y) * (d.x - a.x);
    double cda = (d.x - c.x) * (a.y - c.y) - (d.y - c.y) * (a.x - c.x);
    double cdb = (d.x - c.x) * (b.y - c.y) - (d.y - c.y) * (b.x - c.x);
    return abc * abd < 0 && cda * cdb < 0;
}

/* From a box to some way inside a block. */
struct lead {
    struct mm from, to;
};

static struct lead lead_to(struct rect box, struct rect block)
{
    const double dx = fmin(1.5, (block.x1 - block.x0) / 2),
                 dy = fmin(1.5, (block.y1 - block.y0) / 2);
    struct lead l;
    l.to = (struct mm){num_clamp((box.x0 + box.x1) / 2, block.x0 + dx, block.x1 - dx),
                       num_clamp((box.y0 + box.y1) / 2, block.y0 + dy, block.y1 - dy)};
    l.from = (struct mm){num_clamp(l.to.x, box.x0, box.x1), num_clamp(l.to.y, box.y0, box.y1)};
    return l;
}

/* The length of a lead, and what makes it hard to follow: another one across it. */
static double lead_cost(const struct page *page, struct lead l)
{
    const double crossed = 20;
    double cost = hypot(l.to.x - l.from.x, l.to.y - l.from.y);
    for (int i = page->n - 1; i >= 0 && strcmp(page->marks[i].what, "caption") != 0; i--) {
        const struct mark *m = &page->marks[i];
        if (strcmp(m->what, "leader") == 0 && m->kind == MARK_LINE &&
            lines_cross(l.from, l.to, m->points[0], m->points[1]))
            cost += crossed;
    }
    return cost;
}

/* The clear box of that size with the shortest lead to a block; false: there is none near. */
static bool search_beside(const struct map_plot *mp, struct rect block, double w, double h,
                          struct rect *best)
{
    const double around = 14, step = 1;
    const struct rect *f = &mp->frame;
    struct rect in = {fmax(block.x0 - around, f->x0), fmax(block.y0 - around, f->y0),
                      fmin(block.x1 + around, f->x1), fmin(block.y1 + around, f->y1)};
    int across = (int)floor((in.x1 - in.x0 - w) / step),
        down = (int)floor((in.y1 - in.y0 - h) / step);
    double least = HUGE_VAL;
    for (int r = 0; r <= down; r++)
        for (int c = 0; c <= across; c++) {
            struct rect at = {in.x0 + c * step, in.y0 + r * step, in.x0 + c * step + w,
                              in.y0 + r * step + h};
            if (!labels_clear(&mp->labels, at))
                continue;
            double cost = lead_cost(mp->page, lead_to(at, block));
            if (cost < least - 1e-6) {
                least = cost;
                *best = at;
            }
        }
    return least < HUGE_VAL;
}

/* The number of a block inside it, or beside it with a line that leads there; false: no room. */
static bool name_block(struct map_plot *mp, int b, bool inside)
{
    const struct plan *plan = mp->map->plan;
    const struct block *block = &plan->blocks[b];
    const double h = TYPE_LEAST_MM + 0.6;
    struct rect r =
        view_rect(&mp->page->view, block_ground(block, &plan->zones.items[block->zone]));
    struct rect at, in = {r.x0 + 0.6, r.y0 + 0.6, r.x1 - 0.6, r.y1 - 0.6};
    const char *text = arena_printf(mp->map->arena, "b%d", b + 1);
    mp->page->failed = mp->page->failed || !text;
    double w = text ? scene_text_width(text, TYPE_LEAST_MM, true) + 1 : 0;
    if (!text ||
        !(inside ? labels_search(&mp->labels, in, w, h, &at) : search_beside(mp, r, w, h, &at)))
        return false;
    if (!inside) {
        struct lead l = lead_to(at, r);
        page_line(mp->page, "leader", l.from, l.to, PEN_GRID, INK_BLACK);
        page_circle(mp->page, "leader", l.to, 0.5, 0, INK_NONE, INK_BLACK);
        take_line(&mp->labels, l.from, l.to);
    }
    labels_take(&mp->labels, at);
    page_text(mp->page, "block", (struct mm){at.x0 + 0.5, at.y1 - 0.7}, TYPE_LEAST_MM, ALIGN_LEFT,
              true, text)
        ->fill = INK_PAPER;
    return true;
}

/* Blocks as the list below the panels names them. */
static void draw_blocks(struct map_plot *mp)
{
    const struct plan *plan = mp->map->plan;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct zone *zone = &plan->zones.items[plan->blocks[b].zone];
        if (zone->plot != mp->index)
            continue;
        struct rect r = view_rect(&mp->page->view, block_ground(&plan->blocks[b], zone));
        page_rect(mp->page, "block", r, PEN_PATH, INK_BLACK, INK_NONE)->dash = DASH_SHORT;
        take_line(&mp->labels, (struct mm){r.x0, r.y0}, (struct mm){r.x1, r.y0});
        take_line(&mp->labels, (struct mm){r.x0, r.y1}, (struct mm){r.x1, r.y1});
        take_line(&mp->labels, (struct mm){r.x0, r.y0}, (struct mm){r.x0, r.y1});
        take_line(&mp->labels, (struct mm){r.x1, r.y0}, (struct mm){r.x1, r.y1});
    }
    bool *named = ARENA_ARRAY(mp->map->arena, bool, (size_t)plan->nblocks + 1);
    mp->page->failed = mp->page->failed || !named;
    for (int inside = 1; named && inside >= 0; inside--)
        for (int b = 0; b < plan->nblocks; b++)
            if (plan->zones.items[plan->blocks[b].zone].plot == mp->index && !named[b])
                named[b] = name_block(mp, b, inside);
}

static const char *caption(const struct map_plot *mp, const char *what,
                           const struct field_of_light *f)
{
    char mean[64], least[64], most[64];
    num_fixed(mean, sizeof mean, 100 * f->mean, 0);
    num_fixed(least, sizeof least, 100 * f->least, 0);
    num_fixed(most, sizeof most, 100 * f->most, 0);
    if (strcmp(least, most) == 0)
        return arena_printf(mp->map->arena, "%s: %s %% everywhere", what, mean);
    return arena_printf(mp->map->arena, "%s: %s %% on average (%s to %s %%)", what, mean, least,
                        most);
}

static void draw_panel(struct map_plot *mp, const struct field_of_light *f, struct mm at,
                       const char *what, bool planted)
{
    struct page *page = mp->page;
    double k = page->view.mm_per_m;
    mp->frame = (struct rect){at.x, at.y + CAPTION_MM, at.x + (f->r.x1 - f->r.x0) * k,
                              at.y + CAPTION_MM + (f->r.y1 - f->r.y0) * k};
    page->view.x_mm = mp->frame.x0 - f->r.x0 * k;
    page->view.y_mm = mp->frame.y1 + f->r.y0 * k;
    labels_init(&mp->labels, mp->map->arena, mp->frame);
    const char *text = caption(mp, what, f);
    double wide = fmax(mp->frame.x1 - mp->frame.x0, 80);
    if (text)
        text = scene_text_cut(page->arena, text, TYPE_BODY_MM, true, wide);
    page_text(page, "caption", (struct mm){at.x, at.y + CAPTION_MM - 2}, TYPE_BODY_MM, ALIGN_LEFT,
              true, text);
    draw_steps(page, f);
    int contours = page->n;
    draw_contours(page, f);
    draw_obstacles(mp);
    draw_sides(mp); /* first: the blocks' numbers keep off them */
    if (planted)
        draw_blocks(mp);
    page_rect(page, "frame", mp->frame, PEN_FINE, INK_BLACK, INK_NONE);
    take_contours(mp, contours);
    draw_figures(mp, f);
    page->failed = page->failed || mp->labels.failed || !text;
}

/* ---- the sheet ------------------------------------------------------------------------------ */

/* The two panels beside each other or one below the other, on an upright sheet or one on its side:
 * the way that holds the largest round ratio. */
struct light_layout {
    bool landscape, stacked;
    double ratio;
};

static const double us_ratios[] = {12, 18, 24, 30, 36, 48, 60, 72, 96};
static const double metric_ratios[] = {10, 15, 20, 25, 30, 40, 50, 60, 75};

static struct light_layout lay_out(const struct map_plot *mp, const struct rect *r, double below_mm)
{
    const double *ratios = mp->map->units == UNITS_US ? us_ratios : metric_ratios;
    const int n = sizeof us_ratios / sizeof *us_ratios;
    for (int i = 0; i < 7 * n; i++)
        for (int way = 0; way < 4; way++) {
            int tens = i / n;
            struct light_layout l = {way % 2 == 1, way / 2 == 1, ratios[i % n] * pow(10, tens)};
            double w, h, k = 1000 / l.ratio;
            paper_size(mp->map->paper, &w, &h);
            double page_w = l.landscape ? h : w, page_h = l.landscape ? w : h;
            double need_w = (r->x1 - r->x0) * k, need_h = (r->y1 - r->y0) * k + CAPTION_MM;
            need_w = l.stacked ? need_w : 2 * need_w + GAP_MM;
            need_h = l.stacked ? 2 * need_h + GAP_MM : need_h;
            if (need_w <= page_w - 2 * MARGIN_MM &&
                need_h <= page_h - 2 * MARGIN_MM - TITLE_MM - MAP_FOOT_MM - below_mm)
                return l;
        }
    return (struct light_layout){.ratio = ratios[n - 1] * 1e6};
}

static void draw_legend(struct page *page, double y)
{
    double w = (page->w_mm - 2 * MARGIN_MM) / STEPS;
    for (int i = 0; i < STEPS; i++) {
        double x = MARGIN_MM + i * w;
        struct rect r = {x, y, x + 6.5, y + 5};
        page_rect(page, "legend", r, PEN_FINE, INK_BLACK, steps[i].ink);
        page_text(page, "legend", (struct mm){x + 7.7, y + 3.7}, TYPE_LEAST_MM, ALIGN_LEFT, false,
                  steps[i].words);
    }
}

static const char *season_words(const struct map_plot *mp)
{
    const struct site *site = &mp->map->plan->garden->site;
    char from[32], to[32], deg[64];
    int first, last;
    season_frost_free(site, &first, &last);
    return arena_printf(
        mp->map->arena,
        "Share of the open sky's light, %s above the ground, %s to %s, at %s deg %c",
        mp->map->units == UNITS_US ? "1 ft" : "0.3 m", date_text(from, sizeof from, first),
        date_text(to, sizeof to, last),
        num_fixed(deg, sizeof deg, fabs(site->latitude.v) * 180 / M_PI, 1),
        site->latitude.v < 0 ? 'S' : 'N');
}

static void draw_title(struct map_plot *mp)
{
    struct page *page = mp->page;
    const struct plan *plan = mp->map->plan;
    struct arena *arena = mp->map->arena;
    double wide = page->w_mm - 2 * MARGIN_MM - 22;
    const char *where = arena_printf(arena, "%s, %s", plan->garden->name.s, mp->plot->name.s);
    if (where) /* of a long name the end is left out, not what the page is */
        where = scene_text_cut(arena, where, TYPE_TITLE_MM, true,
                               wide - scene_text_width(": light", TYPE_TITLE_MM, true));
    const char *title = where ? arena_printf(arena, "%s: light", where) : NULL;
    const char *words = map_ratio_words(arena, page->ratio, mp->map->units);
    char num[64];
    const char *lines[] = {season_words(mp),
                           arena_printf(arena, "Plan %s. Scale %s (1 : %s).", plan->id, words,
                                        num_text(num, sizeof num, page->ratio))};
    page_text(page, "title", (struct mm){MARGIN_MM, MARGIN_MM + 4.6}, TYPE_TITLE_MM, ALIGN_LEFT,
              true, title);
    for (int i = 0; i < 2; i++) {
        const char *line = lines[i];
        if (line)
            line = scene_text_cut(arena, line, TYPE_BODY_MM, false, wide);
        page_text(page, "title", (struct mm){MARGIN_MM, MARGIN_MM + 9.8 + i * LINE_MM},
                  TYPE_BODY_MM, ALIGN_LEFT, false, line);
        page->failed = page->failed || !line;
    }
    page->failed = page->failed || !title;
    map_north_draw(page, mp, (struct mm){page->w_mm - MARGIN_MM - 10, MARGIN_MM + 9}, 5);
}

/* What is under the panels: legend, words, the blocks by their numbers. */
static struct column notes(const struct map_plot *mp, double width_mm)
{
    const struct plan *plan = mp->map->plan;
    struct column c;
    column_init(&c, mp->map->arena, width_mm, 1);
    column_text(&c, TYPE_LEAST_MM, false, 0,
                "Figures are per cent, typical for the season: sun and sky, clear and cloudy days. "
                "With the plants: under and beside them while they grow and stand, each for its "
                "own weeks.");
    if (any_side_shades(mp->plot))
        column_text(&c, TYPE_LEAST_MM, false, 0,
                    "The thickest sides are fences, walls and hedges that shade.");
    struct strbuf list;
    strbuf_init(&list, mp->map->arena);
    for (int b = 0; b < plan->nblocks; b++)
        if (plan->zones.items[plan->blocks[b].zone].plot == mp->index)
            strbuf_printf(&list, "%sb%d %s", list.n > 0 ? "; " : "Blocks: ", b + 1,
                          plan->blocks[b].planting->label);
    if (list.n > 0)
        column_text(&c, TYPE_LEAST_MM, false, 0, list.failed ? NULL : list.p);
    column_cut(&c, 0);
    return c;
}

static hr_status fields_make(const struct map_plot *mp, struct field_of_light *site,
                             struct field_of_light *planted)
{
    const struct plan *plan = mp->map->plan;
    struct arena *arena = mp->map->arena;
    struct light_season *season = ARENA_NEW(arena, struct light_season);
    struct light_work w = {.season = season, .sun = plan->garden->site.sun.v};
    struct shader *shaders;
    int from, to;
    hr_status status =
        season ? elsewhere_obstacles(plan->garden, mp->index, arena, &shaders, &w.nsite) : HR_NOMEM;
    if (status != HR_OK)
        return status;
    struct growth *growth = ARENA_ARRAY(arena, struct growth, (size_t)plan->nblocks);
    w.shaders = ARENA_ARRAY(arena, struct shader, (size_t)(w.nsite + plan->nblocks));
    if (!w.shaders || !growth)
        return HR_NOMEM;
    season_frost_free(&plan->garden->site, &from, &to);
    light_season(plan->garden->site.latitude.v, mp->plot->bearing.v, from, to, LIGHT_DIFFUSE_SHARE,
                 season);
    w.growth = growth;
    for (w.n = 0; w.n < w.nsite; w.n++)
        w.shaders[w.n] = shaders[w.n];
    if (!field_make(site, mp, &w))
        return HR_NOMEM;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct zone *zone = &plan->zones.items[plan->blocks[b].zone];
        struct shader s = block_shader(&plan->blocks[b], zone);
        if (zone->plot != mp->index && !elsewhere_known(plan->garden, mp->index, zone->plot))
            continue;
        if (zone->plot != mp->index)
            s = elsewhere_shader(mp->plot, garden_plot(plan->garden, (size_t)zone->plot), s);
        growth[w.n - w.nsite] = block_growth(&plan->blocks[b]);
        w.shaders[w.n++] = s;
    }
    return field_make(planted, mp, &w) ? HR_OK : HR_NOMEM;
}

static void plot_frame(struct map_plot *mp)
{
    struct rect b = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; i < mp->ncorners; i++) {
        const struct point *p = &mp->corners[i];
        b = (struct rect){fmin(b.x0, p->x), fmin(b.y0, p->y), fmax(b.x1, p->x), fmax(b.y1, p->y)};
    }
    double around = fmin(AROUND_M, 0.4 * fmax(b.x1 - b.x0, b.y1 - b.y0));
    mp->bounds = (struct rect){b.x0 - around, b.y0 - around, b.x1 + around, b.y1 + around};
}

static hr_status draw_sheet(struct map_plot *mp)
{
    struct field_of_light site = {.r = mp->bounds}, planted = {.r = mp->bounds};
    struct page *page = mp->page;
    double w, h;
    hr_status status = fields_make(mp, &site, &planted);
    if (status != HR_OK)
        return status;
    paper_size(mp->map->paper, &w, &h);
    struct column c = notes(mp, w - 2 * MARGIN_MM);
    double below = LEGEND_MM + (c.failed || !c.first ? 0 : c.first->height_mm);
    struct light_layout l = lay_out(mp, &mp->bounds, below);
    page_init(page, mp->map->arena, l.landscape ? h : w, l.landscape ? w : h);
    page->plot = mp->index;
    page->ratio = mp->ratio = l.ratio;
    page->view.mm_per_m = 1000 / l.ratio;
    draw_title(mp);
    struct mm at = {MARGIN_MM, MARGIN_MM + TITLE_MM};
    draw_panel(mp, &site, at, "The site alone", false);
    if (l.stacked)
        at.y = mp->frame.y1 + GAP_MM;
    else
        at.x = mp->frame.x1 + GAP_MM;
    draw_panel(mp, &planted, at, "With the plants", true);
    double y = mp->frame.y1 + 5;
    draw_legend(page, y);
    struct rect room = {MARGIN_MM, y + LEGEND_MM - 3, page->w_mm - MARGIN_MM, page->h_mm};
    column_set(c.first, room, 1, 0, page);
    return page->failed || c.failed ? HR_NOMEM : HR_OK;
}

hr_status scene_light(struct arena *arena, const struct plan *plan, enum paper paper,
                      struct scene **out)
{
    int plots = (int)plan->garden->plots.n;
    struct scene *scene = ARENA_NEW(arena, struct scene);
    struct map map = {.manner = &map_of_plan, .arena = arena, .plan = plan, .paper = paper};
    map.units = (enum unit_system)plan->garden->units.v;
    hr_status status = HR_OK;
    if (!scene)
        return HR_NOMEM;
    *scene = (struct scene){.plan = plan, .title = "light map", .paper = paper};
    scene->pages = ARENA_ARRAY(arena, struct page, SCENE_PAGES_MAX);
    if (!scene->pages)
        return HR_NOMEM;
    for (int p = 0; p < plots && p < SCENE_PAGES_MAX && status == HR_OK; p++) {
        struct map_plot mp = {.map = &map, .index = p, .page = &scene->pages[scene->npages++]};
        mp.plot = garden_plot(plan->garden, (size_t)p);
        mp.corners = plot_corners(arena, mp.plot, &mp.ncorners);
        if (!mp.corners)
            return HR_NOMEM;
        plot_frame(&mp);
        status = draw_sheet(&mp);
        map_foot_draw(&mp, mp.page, MARGIN_MM, p + 1, plots);
        if (mp.page->failed)
            status = HR_NOMEM;
    }
    scene->plots_left_out = plots - scene->npages;
    if (status == HR_OK)
        *out = scene;
    return status;
}
