/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>
#include <string.h>

#include "num.h"

/* The whole garden on one page, north up: every plot with its blocks, where the garden file places
 * it, else side by side. */

#define APART_M  1.0 /* between plots side by side */
#define TITLE_MM 17.0
#define NOTE_MM  12.0
#define INSET_MM 6.0 /* for names that stand beside a small plot */

struct spot { /* one plot */
    const struct plot *plot;
    const struct point *corners;
    size_t n;
    struct rect box;    /* of the outline turned north up, its stake at (0, 0), m */
    double east, north; /* where the stake is */
};

struct garden_map {
    const struct map *map;
    struct page *page;
    struct spot *spots;
    int n;
    bool placed;
    struct rect bounds; /* m, x east, y north */
    struct view view;
    bool gates; /* there is one */
    struct labels labels;
};

/* From a plot's frame to metres east and north of its stake. */
static struct point north_up(const struct plot *plot, double x, double y)
{
    double s = sin(plot->bearing.v), c = cos(plot->bearing.v);
    return (struct point){.x = x * c + y * s, .y = y * c - x * s};
}

static struct mm page_point(const struct garden_map *g, int plot, double x, double y)
{
    const struct spot *spot = &g->spots[plot];
    struct point p = north_up(spot->plot, x, y);
    return view_point(&g->view, spot->east + p.x, spot->north + p.y);
}

/* ---- where the plots lie ------------------------------------------------------------------- */

static bool spot_init(struct spot *spot, struct arena *arena, const struct plot *plot)
{
    struct rect b = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    *spot = (struct spot){.plot = plot,
                          .east = plot_in_garden(plot, (struct point){0}).x,
                          .north = plot_in_garden(plot, (struct point){0}).y};
    spot->corners = plot_corners(arena, plot, &spot->n);
    for (size_t i = 0; spot->corners && i < spot->n; i++) {
        struct point p = north_up(plot, spot->corners[i].x, spot->corners[i].y);
        b = (struct rect){fmin(b.x0, p.x), fmin(b.y0, p.y), fmax(b.x1, p.x), fmax(b.y1, p.y)};
    }
    spot->box = b;
    return spot->corners != NULL;
}

/* In rows no wider than width, from the upper left. */
static void side_by_side(struct garden_map *g, double width)
{
    double x = 0, top = 0, low = 0;
    for (int i = 0; i < g->n; i++) {
        struct spot *spot = &g->spots[i];
        double w = spot->box.x1 - spot->box.x0, h = spot->box.y1 - spot->box.y0;
        if (x > 0 && x + w > width) {
            x = 0;
            top = low - APART_M;
        }
        spot->east = x - spot->box.x0;
        spot->north = top - spot->box.y1;
        low = fmin(low, top - h);
        x += w + APART_M;
    }
}

static void find_bounds(struct garden_map *g)
{
    struct rect b = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (int i = 0; i < g->n; i++) {
        const struct spot *s = &g->spots[i];
        b = (struct rect){fmin(b.x0, s->east + s->box.x0), fmin(b.y0, s->north + s->box.y0),
                          fmax(b.x1, s->east + s->box.x1), fmax(b.y1, s->north + s->box.y1)};
    }
    g->bounds = b;
}

/* The largest round ratio at which the bounds fit the room; HUGE_VAL: none. */
static double fitting_ratio(const struct garden_map *g, double w_mm, double h_mm)
{
    const struct rect *b = &g->bounds;
    for (int i = 0; i < MAP_RATIOS; i++) {
        double ratio = map_ratio_at(g->map->units, i), k = 1000 / ratio;
        if ((b->x1 - b->x0) * k <= w_mm && (b->y1 - b->y0) * k <= h_mm)
            return ratio;
    }
    return HUGE_VAL;
}

/* Lays the plots out, and turns the paper, for the largest map; its ratio is returned. */
static double lay_out(struct garden_map *g, double *page_w, double *page_h)
{
    double w, h, best = HUGE_VAL, best_width = 0, widest = 0;
    bool landscape = false;
    paper_size(g->map->paper, &w, &h);
    for (int i = 0; i < g->n; i++)
        widest += g->spots[i].box.x1 - g->spots[i].box.x0 + APART_M;
    for (int way = 0; way < 2; way++) {
        double room_w = (way ? h : w) - 2 * (MAP_MARGIN_MM + INSET_MM);
        double room_h =
            (way ? w : h) - 2 * (MAP_MARGIN_MM + INSET_MM) - MAP_FOOT_MM - TITLE_MM - NOTE_MM;
        for (int parts = 1; parts <= (g->placed ? 1 : g->n); parts++) {
            if (!g->placed)
                side_by_side(g, widest / parts + 1e-6);
            find_bounds(g);
            double ratio = fitting_ratio(g, room_w, room_h);
            if (ratio < best) {
                best = ratio;
                best_width = widest / parts + 1e-6;
                landscape = way == 1;
            }
        }
    }
    if (!g->placed)
        side_by_side(g, best_width);
    find_bounds(g);
    *page_w = landscape ? h : w;
    *page_h = landscape ? w : h;
    return best;
}

/* Second crops stand on the plots' own pages only: the ground is another's before. */
static bool on_it(const struct garden_map *g, int b)
{
    return g->map->plan->blocks[b].planting->slot != SLOT_SECOND;
}

/* ---- drawing ------------------------------------------------------------------------------- */

static void draw_block(struct garden_map *g, int b)
{
    const struct plan *plan = g->map->plan;
    const struct block *block = &plan->blocks[b];
    const struct zone *zone = &plan->zones.items[block->zone];
    struct rect r = block_ground(block, zone);
    const double xy[4][2] = {{r.x0, r.y0}, {r.x1, r.y0}, {r.x1, r.y1}, {r.x0, r.y1}};
    struct mm q[4];
    for (int i = 0; i < 4; i++)
        q[i] = page_point(g, zone->plot, xy[i][0], xy[i][1]);
    struct mark *mark = page_polygon(g->page, "block", q, 4, PEN_FINE, INK_BLACK, INK_NONE);
    mark->block = b;
}

/* Sets the words on the middle line of a block, level, and more of them, if any, below: where they
 * keep within it; false: nowhere. */
static bool try_words(struct garden_map *g, int plot, struct rect r, const char *words,
                      const char *more)
{
    double size = TYPE_LEAST_MM, line = 1.1 * size, h = more ? 2 * line : line;
    double w =
        fmax(scene_text_width(words, size, true), more ? scene_text_width(more, size, true) : 0) +
        0.6;
    double s = fabs(sin(g->spots[plot].plot->bearing.v)),
           c = fabs(cos(g->spots[plot].plot->bearing.v));
    double k = g->view.mm_per_m, half_x = (w * c + h * s) / 2 / k, half_y = (w * s + h * c) / 2 / k;
    double free_x = (r.x1 - r.x0) / 2 - half_x, free_y = (r.y1 - r.y0) / 2 - half_y;
    bool along_x = free_x > free_y;
    if (free_x < -0.3 / k || free_y < -0.3 / k)
        return false;
    for (int step = 0; step < 9; step++) {
        int away = (step + 1) / 2;
        double off = (step % 2 ? away : -away) * fmax(free_x, free_y) / 4;
        struct mm m = page_point(g, plot, (r.x0 + r.x1) / 2 + (along_x ? off : 0),
                                 (r.y0 + r.y1) / 2 + (along_x ? 0 : off));
        struct rect at = {m.x - w / 2, m.y - h / 2, m.x + w / 2, m.y + h / 2};
        if (!labels_clear(&g->labels, at))
            continue;
        labels_take(&g->labels, at);
        page_text(g->page, "block-name", (struct mm){m.x, at.y0 + 0.75 * line}, size, ALIGN_CENTRE,
                  true, words);
        if (more)
            page_text(g->page, "block-crops", (struct mm){m.x, at.y0 + 1.75 * line}, size,
                      ALIGN_CENTRE, true, more);
        return true;
    }
    return false;
}

/* "3 P" or "5 F B Bn" on a block, in one line or two, or at least its number. */
static void name_block(struct garden_map *g, int b)
{
    const struct plan *plan = g->map->plan;
    const struct block *block = &plan->blocks[b];
    const struct zone *zone = &plan->zones.items[block->zone];
    struct rect r = block_ground(block, zone);
    struct strbuf words;
    strbuf_init(&words, g->map->arena);
    strbuf_printf(&words, "%d", b + 1);
    const char *number = words.failed ? NULL : arena_strdup(g->map->arena, words.p);
    size_t digits = words.n;
    for (int k = 0; k < block->planting->nparts; k++)
        strbuf_printf(&words, " %s", g->map->symbols[block->planting->parts[k].seed_index].letter);
    if (words.failed || !number)
        g->page->failed = true;
    else if (!try_words(g, zone->plot, r, words.p, NULL) &&
             !try_words(g, zone->plot, r, number, words.p + digits + 1))
        (void)try_words(g, zone->plot, r, number, NULL);
}

static void draw_obstacle(struct garden_map *g, int i, const struct obstacle *o)
{
    enum { ROUND = 24 };
    size_t n = o->outline.n > 0 ? o->outline.n : ROUND;
    const struct point *corners = o->outline.n > 0 ? (const struct point *)o->outline.items : NULL;
    struct mm *p = ARENA_ARRAY(g->map->arena, struct mm, n);
    for (size_t c = 0; p && c < n; c++) {
        double turn = 2 * 3.14159265358979323846 * (double)c / ROUND;
        double x = corners ? corners[c].x : o->place.x + o->radius_m.v * cos(turn);
        double y = corners ? corners[c].y : o->place.y + o->radius_m.v * sin(turn);
        p[c] = page_point(g, i, x, y);
        const struct rect *a = &g->labels.area;
        if (p[c].x < a->x0 || p[c].x > a->x1 || p[c].y < a->y0 || p[c].y > a->y1)
            return; /* it stands beyond the page */
    }
    if (p)
        page_polygon(g->page, "obstacle", p, (int)n, PEN_FINE, INK_BLACK, INK_SILVER);
    else
        g->page->failed = true;
}

static void draw_stake(struct garden_map *g, int i)
{
    const double r = 1.4;
    struct mm at = page_point(g, i, 0, 0);
    page_circle(g->page, "stake", at, r, PEN_PATH, INK_BLACK, INK_PAPER);
    page_circle(g->page, "stake", at, 0.4, 0, INK_NONE, INK_BLACK);
    labels_take(&g->labels, (struct rect){at.x - r, at.y - r, at.x + r, at.y + r});
}

static void draw_plot(struct garden_map *g, int i)
{
    const struct plan *plan = g->map->plan;
    const struct spot *spot = &g->spots[i];
    struct mm *p = ARENA_ARRAY(g->map->arena, struct mm, spot->n);
    if (!p) {
        g->page->failed = true;
        return;
    }
    for (size_t c = 0; c < spot->n; c++)
        p[c] = page_point(g, i, spot->corners[c].x, spot->corners[c].y);
    for (int b = 0; b < plan->nblocks; b++)
        if (plan->zones.items[plan->blocks[b].zone].plot == i && on_it(g, b))
            draw_block(g, b);
    for (size_t o = 0; o < spot->plot->obstacles.n; o++)
        draw_obstacle(g, i, (const struct obstacle *)spot->plot->obstacles.items + o);
    page_polygon(g->page, "outline", p, (int)spot->n, PEN_OUTLINE, INK_BLACK, INK_NONE);
    for (size_t c = 0; c < spot->n; c++)
        labels_take_line(&g->labels, p[c], p[(c + 1) % spot->n]);
    for (size_t e = 0; e < spot->plot->edges.n; e++) {
        struct point ends[2];
        const struct edge *edge = (const struct edge *)spot->plot->edges.items + e;
        if (!map_gate_ends(edge, spot->corners, spot->n, g->view.mm_per_m, ends))
            continue;
        g->gates = true;
        map_gate_mark(g->page, page_point(g, i, ends[0].x, ends[0].y),
                      page_point(g, i, ends[1].x, ends[1].y), true, true);
    }
    draw_stake(g, i);
}

/* Keeps the plots' names off a block's frame; the blocks' own names may touch it. */
static void take_block(struct garden_map *g, int b)
{
    const struct block *block = &g->map->plan->blocks[b];
    const struct zone *zone = &g->map->plan->zones.items[block->zone];
    struct rect r = block_ground(block, zone);
    const double xy[4][2] = {{r.x0, r.y0}, {r.x1, r.y0}, {r.x1, r.y1}, {r.x0, r.y1}};
    for (int i = 0; i < 4; i++)
        labels_take_line(&g->labels, page_point(g, zone->plot, xy[i][0], xy[i][1]),
                         page_point(g, zone->plot, xy[(i + 1) % 4][0], xy[(i + 1) % 4][1]));
}

/* "Plot 14, page 2". NULL: out of memory. */
static const char *plot_words(struct arena *arena, const struct plot *plot, int number)
{
    const char *name = scene_text_cut(arena, plot->name.s, TYPE_NUMBER_MM, true, 45);
    return name ? arena_printf(arena, "%s, page %d", name, number) : NULL;
}

void map_garden_number(const struct map *map, struct page *page, int plot, int number)
{
    for (int i = 0; i < page->n; i++) {
        struct mark *mark = &page->marks[i];
        if (mark->line != plot || strcmp(mark->what, "plot-name") != 0)
            continue;
        const char *words =
            plot_words(map->arena, garden_plot(map->plan->garden, (size_t)plot), number);
        page->failed = page->failed || !words;
        if (words)
            mark->text = words;
    }
}

/* Whether a name may stand there, with that much clear ground on the side away from its plot. */
static bool clear_beside(const struct labels *labels, struct rect at, double dx, double dy,
                         double away)
{
    struct rect far = {at.x0 + fmin(0, dx) * away, at.y0 + fmin(0, dy) * away,
                       at.x1 + fmax(0, dx) * away, at.y1 + fmax(0, dy) * away};
    return labels_clear(labels, at) && labels_clear(labels, far);
}

/* Close to the plot, so that its name is not read as another's: above, below, to the right or the
 * left of it, as near its upper left as is clear. */
static bool search_beside(const struct labels *labels, struct rect in, double w, double h,
                          struct rect *at)
{
    static const double dx[] = {0, 0, 1, -1}, dy[] = {-1, 1, 0, 0};
    const double off = 1.3, step = 1;
    for (int i = 0; i < 8; i++) {
        int side = i % 4;
        double away = i < 4 ? 2.5 * off : 0; /* the ground beyond is another's */
        double x = side < 2 ? in.x0 : side == 2 ? in.x1 + off : in.x0 - off - w;
        double y = side > 1 ? in.y0 : side == 1 ? in.y1 + off : in.y0 - off - h;
        double along = side < 2 ? in.x1 - in.x0 : in.y1 - in.y0;
        for (int k = 0; k <= (int)(along / step); k++) {
            double t = k * step, sx = side < 2 ? t : 0, sy = side < 2 ? 0 : t;
            *at = (struct rect){x + sx, y + sy, x + sx + w, y + sy + h};
            if (clear_beside(labels, *at, dx[side], dy[side], away))
                return true;
        }
    }
    return false;
}

/* The plot's name and the page of its map, inside it or near it. */
static void name_plot(struct garden_map *g, int i)
{
    const struct spot *spot = &g->spots[i];
    struct arena *arena = g->map->arena;
    struct rect at, box = {spot->east + spot->box.x0, spot->north + spot->box.y0,
                           spot->east + spot->box.x1, spot->north + spot->box.y1};
    struct rect in = view_rect(&g->view, box);
    const char *name = plot_words(arena, spot->plot, SCENE_PAGES_MAX); /* the widest number */
    double w = name ? scene_text_width(name, TYPE_NUMBER_MM, true) + 1 : 0,
           h = 1.15 * TYPE_NUMBER_MM;
    if (!name) {
        g->page->failed = true;
        return;
    }
    for (int step = 0; step <= 8; step++) {
        double more = step * INSET_MM / 2;
        struct rect room = {in.x0 - more, in.y0 - more, in.x1 + more, in.y1 + more};
        if (!labels_search(&g->labels, room, w, h, &at) &&
            !(step == 0 && search_beside(&g->labels, in, w, h, &at)))
            continue;
        labels_take(&g->labels, at);
        page_text(g->page, "plot-name", (struct mm){at.x0 + 0.5, at.y1 - 0.27 * h}, TYPE_NUMBER_MM,
                  ALIGN_LEFT, true, name)
            ->line = i;
        return;
    }
}

static void write_title(struct garden_map *g, double ratio)
{
    struct arena *arena = g->map->arena;
    const struct garden *garden = g->map->plan->garden;
    struct page *page = g->page;
    char num[64], year[64];
    double w = page->w_mm - 2 * MAP_MARGIN_MM - 26, y = MAP_MARGIN_MM + TYPE_TITLE_MM;
    struct map_plot north = {.map = g->map, .plot = &(struct plot){.bearing = {.v = 0}}};
    page_text(page, "key", (struct mm){MAP_MARGIN_MM, y}, TYPE_TITLE_MM, ALIGN_LEFT, true,
              scene_text_cut(arena, garden->name.s, TYPE_TITLE_MM, true, w));
    const char *season =
        garden->year.set
            ? arena_printf(arena, ", season %s", num_fixed(year, sizeof year, garden->year.v, 0))
            : "";
    const char *words =
        season ? arena_printf(arena, "The whole garden, plan %s%s. Scale 1:%s (%s), north up",
                              g->map->plan->id, season, num_text(num, sizeof num, ratio),
                              map_ratio_words(arena, ratio, g->map->units))
               : NULL;
    page_text(page, "key", (struct mm){MAP_MARGIN_MM, y + 1.6 * TYPE_BODY_MM}, TYPE_BODY_MM,
              ALIGN_LEFT, false, words);
    map_north_draw(page, &north, (struct mm){page->w_mm - MAP_MARGIN_MM - 8, MAP_MARGIN_MM + 10},
                   6);
}

static void write_note(struct garden_map *g)
{
    const char *where = g->placed ? "The plots lie as the garden file places them."
                                  : "The plots stand side by side here, each turned as it lies; "
                                    "the garden file does not say "
                                    "where all of them lie (`at`).";
    struct column c;
    struct page *page = g->page;
    struct rect room = {MAP_MARGIN_MM, page->h_mm - MAP_MARGIN_MM - MAP_FOOT_MM - NOTE_MM,
                        page->w_mm - MAP_MARGIN_MM, page->h_mm - MAP_MARGIN_MM - MAP_FOOT_MM};
    column_init(&c, g->map->arena, room.x1 - room.x0, 1);
    column_text(&c, TYPE_BODY_MM, false, 0, where);
    const char *signs = arena_printf(
        g->map->arena,
        "Blocks have their number and the letters of their crops; a ring with a dot is "
        "a plot's stake%s. The pages that follow show each plot to measure from.",
        g->gates ? ", a gap between two strokes a gate" : "");
    if (signs)
        column_text(&c, TYPE_BODY_MM, false, 0, signs);
    page->failed = page->failed || !signs;
    column_cut(&c, 0);
    page->failed = page->failed || c.failed;
    if (!c.failed)
        column_set(c.first, room, 1, 0, page);
}

bool map_garden_draw(const struct map *map, struct scene *scene)
{
    struct garden_map g = {.map = map, .placed = true, .n = (int)map->plan->garden->plots.n};
    double w, h;
    g.spots = ARENA_ARRAY(map->arena, struct spot, (size_t)g.n);
    for (int i = 0; g.spots && i < g.n; i++) {
        const struct plot *plot = garden_plot(map->plan->garden, (size_t)i);
        g.placed = g.placed && plot_placed(plot);
        if (!spot_init(&g.spots[i], map->arena, plot))
            return false;
    }
    if (!g.spots)
        return false;
    double ratio = lay_out(&g, &w, &h);
    struct page *page = g.page = &scene->pages[scene->npages++];
    page_init(page, map->arena, w, h);
    page->kind = PAGE_GARDEN;
    page->ratio = ratio;
    double k = 1000 / ratio, top = MAP_MARGIN_MM + TITLE_MM,
           foot = h - MAP_MARGIN_MM - MAP_FOOT_MM - NOTE_MM;
    g.view.mm_per_m = k;
    g.view.x_mm = (w - (g.bounds.x0 + g.bounds.x1) * k) / 2;
    g.view.y_mm = (top + foot + (g.bounds.y0 + g.bounds.y1) * k) / 2;
    page->view = g.view;
    labels_init(&g.labels, map->arena, (struct rect){MAP_MARGIN_MM, top, w - MAP_MARGIN_MM, foot});
    for (int i = 0; i < g.n; i++)
        draw_plot(&g, i);
    for (int b = 0; b < map->plan->nblocks; b++)
        if (on_it(&g, b))
            name_block(&g, b);
    for (int b = 0; b < map->plan->nblocks; b++)
        if (on_it(&g, b))
            take_block(&g, b);
    for (int i = 0; i < g.n; i++)
        name_plot(&g, i);
    write_title(&g, ratio);
    write_note(&g);
    return !page->failed && !g.labels.failed;
}
