/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>

#include "num.h"

/* A plot that would be too small to read on one sheet: the one sheet is then an overview, and tiles
 * at a readable ratio follow. Neighbouring tiles share a strip, so that each hill is whole on one
 * of them; the match line between them runs along the tape, with crosses at the same places of the
 * ground on both. */

#define TILES_MOST 30
#define HEAD_MM    25.0 /* below a tile's map: what it is, and where in the plot */
#define CROSS_MM   1.8  /* half of a match cross */
#define SHARED_MM  4.0  /* of the strip shared, beyond the widest hill */

/* ---- cutting ------------------------------------------------------------------------------- */

/* Half of the strip that neighbours share, m: the widest hill, whole, on either side. */
static double shared_m(const struct map_plot *mp)
{
    const struct plan *plan = mp->map->plan;
    double widest = 0;
    struct rect ground;
    for (int b = 0; b < plan->nblocks; b++)
        if (map_block_here(mp, b, &ground))
            widest = fmax(widest, plan->blocks[b].planting->hill_diameter_m);
    return widest / 2 + (SHARED_MM + MAP_RING_MM + PEN_HILL) * mp->ratio / 1000;
}

/* Pieces into which a length is cut so that each, with what it shares, takes no more than room;
 * 0: the room is too narrow. */
static int pieces(double length, double room, double shared)
{
    if (length <= room)
        return 1;
    double core = room - 2 * shared;
    double n = core > 0 ? ceil(length / core - 1e-9) : 0;
    return n > 0 && n <= TILES_MOST ? (int)n : 0;
}

/* How far a reading across the rows is from the next row or line of hills, m. */
static double off_lines(const struct map_plot *mp, bool x, double at)
{
    const struct plan *plan = mp->map->plan;
    double least = 1e3;
    for (int l = 0; x != mp->along_x && l < plan->nlines; l++)
        if (map_line_here(mp, &plan->lines[l]))
            least = fmin(least, fabs((x ? plan->lines[l].x0 : plan->lines[l].y0) - at));
    return least;
}

/* Cuts lo..hi into n pieces, about even, where a match line runs between the rows and at a round
 * reading if that can be: no further than most from even. */
static void cut(const struct map_plot *mp, double *at, int n, bool x, double most)
{
    const double clear = 0.15, unit = mp->map->units == UNITS_US ? 0.3048 : 0.5;
    double lo = x ? mp->bounds.x0 : mp->bounds.y0, hi = x ? mp->bounds.x1 : mp->bounds.y1;
    at[0] = lo;
    at[n] = hi;
    for (int i = 1; i < n; i++) {
        double even = lo + (hi - lo) * i / n, best = -1;
        at[i] = even;
        for (int tenth = -10; tenth <= 10; tenth++) {
            double place = round((even + most * tenth / 10) / unit * 4) * unit / 4;
            bool whole = fabs(place / unit - round(place / unit)) < 1e-6;
            double score = fmin(off_lines(mp, x, place), clear) + (whole ? 0.02 : 0);
            if (fabs(place - even) <= most && score > best + 1e-6) {
                best = score;
                at[i] = place;
            }
        }
    }
}

/* The room of a tile's map on paper, mm. */
static void tile_room(const struct map_plot *mp, bool landscape, double *w, double *h)
{
    double page_w, page_h;
    paper_size(mp->map->paper, &page_w, &page_h);
    struct margins m = map_margins_most(mp);
    *w = (landscape ? page_h : page_w) - 2 * MAP_MARGIN_MM - m.left - m.right;
    *h = (landscape ? page_w : page_h) - 2 * MAP_MARGIN_MM - MAP_FOOT_MM - HEAD_MM - m.top -
         m.bottom;
}

/* At that ratio; false: more tiles than there may be. */
static bool cut_at(struct map_plot *mp, double ratio, struct tiling *out)
{
    bool found = false;
    mp->ratio = ratio;
    for (int way = 0; way < 2; way++) {
        struct tiling t = {.ratio = ratio, .landscape = way == 1, .turned = mp->turned};
        double w, h, k = ratio / 1000, step = map_tape_step(mp, 12, false);
        tile_room(mp, t.landscape, &w, &h);
        const struct rect *b = &mp->bounds;
        t.shared = shared_m(mp);
        /* rounding moves a cut by up to half a step */
        double spare = t.shared + step / 2;
        t.nx = pieces(b->x1 - b->x0, (mp->turned ? h : w) * k, spare);
        t.ny = pieces(b->y1 - b->y0, (mp->turned ? w : h) * k, spare);
        int n = t.nx * t.ny;
        if (n == 0 || n > TILES_MOST || (found && n >= out->nx * out->ny))
            continue;
        cut(mp, t.x, t.nx, true, step / 2);
        cut(mp, t.y, t.ny, false, step / 2);
        *out = t;
        found = true;
    }
    return found;
}

bool map_tiles_choose(const struct map_plot *mp, struct tiling *out)
{
    struct map_plot trial = *mp;
    bool readable = false;
    int found = 0; /* tiles */
    if (!mp->map->manner->small(mp))
        return false;
    for (int i = MAP_RATIOS - 1; i >= 0; i--) {
        double ratio = map_ratio_at(mp->map->units, i);
        struct tiling t;
        if (ratio >= mp->ratio)
            continue;
        /* once it can be read: larger as long as that takes no more sheets */
        if (!cut_at(&trial, ratio, &t) || (readable && t.nx * t.ny > found))
            break;
        *out = t;
        found = t.nx * t.ny;
        readable = !mp->map->manner->small(&trial);
    }
    return found > 1;
}

/* ---- names --------------------------------------------------------------------------------- */

/* "B2": the second to the right in the second row from the stake up. */
static const char *tile_name(struct arena *arena, int ix, int iy)
{
    return arena_printf(arena, "%c%d", 'A' + iy % 26, ix + 1);
}

/* The number of the page that a tile stands on, from 1. */
static int tile_page(const struct tiling *t, int ix, int iy)
{
    return t->first_page + iy * t->nx + ix;
}

static const char *joins_text(const struct map_plot *mp, const struct tiling *t, int ix, int iy)
{
    if (ix < 0 || iy < 0 || ix >= t->nx || iy >= t->ny)
        return NULL;
    const char *name = tile_name(mp->map->arena, ix, iy);
    const char *text =
        name ? arena_printf(mp->map->arena, "joins tile %s, page %d", name, tile_page(t, ix, iy))
             : NULL;
    if (!text)
        mp->page->failed = true;
    return text;
}

/* ---- match lines --------------------------------------------------------------------------- */

static void draw_cross(struct map_plot *mp, struct mm at)
{
    page_line(mp->page, "match", (struct mm){at.x - CROSS_MM, at.y},
              (struct mm){at.x + CROSS_MM, at.y}, PEN_HILL, INK_BLACK);
    page_line(mp->page, "match", (struct mm){at.x, at.y - CROSS_MM},
              (struct mm){at.x, at.y + CROSS_MM}, PEN_HILL, INK_BLACK);
    const double take = CROSS_MM + PEN_HILL;
    labels_take(&mp->labels, (struct rect){at.x - take, at.y - take, at.x + take, at.y + take});
}

/* Whether a cross there would run into a hill: judged on the ground, so that both tiles agree. */
static bool on_hill(const struct map_plot *mp, double x, double y)
{
    const struct plan *plan = mp->map->plan;
    for (int s = 0; s < plan->nstations; s++) {
        const struct station *st = &plan->stations[s];
        const struct planting *p = plan->blocks[st->block].planting;
        double clear = p->hill_diameter_m / 2 + (MAP_RING_MM + 2 * CROSS_MM) * mp->ratio / 1000;
        if (st->plot == mp->index && p->system == SYSTEM_HILLS &&
            hypot(st->x_m - x, st->y_m - y) < clear)
            return true;
    }
    return false;
}

/* At one reading of a tape, between two readings of the other; its crosses are at the round ones.
 */
static void draw_match(struct map_plot *mp, bool crosses, bool x, double at, double lo, double hi)
{
    const struct view *view = &mp->page->view;
    double step = map_tape_step(mp, 24, false);
    struct mm from = x ? view_point(view, at, lo) : view_point(view, lo, at);
    struct mm to = x ? view_point(view, at, hi) : view_point(view, hi, at);
    if (!crosses)
        page_line(mp->page, "match-line", from, to, PEN_PATH, INK_BLACK)->dash = DASH_LONG;
    for (long i = lround(ceil(lo / step - 1e-6)); crosses && (double)i * step <= hi + 1e-6; i++) {
        double m = (double)i * step;
        if (!on_hill(mp, x ? at : m, x ? m : at))
            draw_cross(mp, x ? view_point(view, at, m) : view_point(view, m, at));
    }
}

void map_match_draw(struct map_plot *mp, bool crosses)
{
    const struct rect *c = &mp->core, *b = &mp->bounds;
    if (c->x0 > b->x0)
        draw_match(mp, crosses, true, c->x0, b->y0, b->y1);
    if (c->x1 < b->x1)
        draw_match(mp, crosses, true, c->x1, b->y0, b->y1);
    if (c->y0 > b->y0)
        draw_match(mp, crosses, false, c->y0, b->x0, b->x1);
    if (c->y1 < b->y1)
        draw_match(mp, crosses, false, c->y1, b->x0, b->x1);
}

/* Rows of tiles have letters and columns numbers, which stand beside the overview as on an atlas's
 * index sheet. */
static void name_strip(struct map_plot *mp, const struct tiling *t, bool x, int i)
{
    struct arena *arena = mp->map->arena;
    bool single = x ? t->ny == 1 : t->nx == 1;
    const char *name = tile_name(arena, x ? i : 0, x ? 0 : i), *text = NULL;
    if (single && name)
        text = arena_printf(arena, "tile %s, page %d", name,
                            x ? tile_page(t, i, 0) : tile_page(t, 0, i));
    else if (name && x)
        text = arena_printf(arena, "tiles %s", name + 1);
    else if (name)
        text = arena_printf(arena, "tiles %c", name[0]);
    if (!text) {
        mp->page->failed = true;
        return;
    }
    map_name_beside(mp, x, x ? t->x[i] : t->y[i], x ? t->x[i + 1] : t->y[i + 1], text);
}

void map_tiles_lines(struct map_plot *mp, const struct tiling *t)
{
    const struct view *view = &mp->page->view;
    for (int i = 1; i < t->nx; i++)
        page_line(mp->page, "match-line", view_point(view, t->x[i], t->y[0]),
                  view_point(view, t->x[i], t->y[t->ny]), PEN_PATH, INK_BLACK)
            ->dash = DASH_LONG;
    for (int i = 1; i < t->ny; i++)
        page_line(mp->page, "match-line", view_point(view, t->x[0], t->y[i]),
                  view_point(view, t->x[t->nx], t->y[i]), PEN_PATH, INK_BLACK)
            ->dash = DASH_LONG;
}

void map_tiles_names(struct map_plot *mp, const struct tiling *t)
{
    for (int i = 0; i < t->nx && (t->nx > 1); i++)
        name_strip(mp, t, true, i);
    for (int i = 0; i < t->ny && (t->ny > 1); i++)
        name_strip(mp, t, false, i);
}

void map_tiles_key(const struct map_plot *mp, struct column *c)
{
    const struct tiling *t = mp->tiling;
    const int listed = 6; /* so many are named one by one */
    int n = t ? t->nx * t->ny : 0;
    char num[64];
    struct strbuf words;
    if (n == 0)
        return;
    strbuf_init(&words, c->arena);
    strbuf_printf(&words, "Tiles at 1:%s: ", num_text(num, sizeof num, t->ratio));
    for (int i = 0; i < n && n <= listed; i++) {
        const char *name = tile_name(c->arena, i % t->nx, i / t->nx);
        strbuf_printf(&words, "%s%s on page\u00a0%d", i > 0 ? ", " : "", name ? name : "",
                      t->first_page + i);
        c->failed = c->failed || !name;
    }
    if (n > listed) {
        const char *last = tile_name(c->arena, t->nx - 1, t->ny - 1);
        strbuf_printf(&words, "A1 to %s on pages %d to %d", last ? last : "", t->first_page,
                      t->first_page + n - 1);
        c->failed = c->failed || !last;
    }
    strbuf_puts(&words, ".");
    column_cut(c, 1);
    column_text(c, TYPE_BODY_MM, false, 0, words.failed ? NULL : words.p);
}

/* ---- pages --------------------------------------------------------------------------------- */

/* The plot in small with all tiles, the one of the page dark. */
static void draw_locator(struct map_plot *mp, const struct tiling *t, struct rect room)
{
    struct view view = {.turned = mp->turned};
    struct rect whole = {t->x[0], t->y[0], t->x[t->nx], t->y[t->ny]};
    double w = whole.x1 - whole.x0, h = whole.y1 - whole.y0;
    view.mm_per_m = fmin((room.x1 - room.x0) / (mp->turned ? h : w),
                         (room.y1 - room.y0) / (mp->turned ? w : h));
    struct rect at = view_rect(&view, whole);
    view.x_mm = room.x1 - at.x1;
    view.y_mm = room.y0 - at.y0;
    page_rect(mp->page, "locator", view_rect(&view, mp->core), 0, INK_NONE, INK_SILVER)->hatch =
        HATCH_RISING;
    for (int i = 0; i <= t->nx; i++)
        page_line(mp->page, "locator", view_point(&view, t->x[i], whole.y0),
                  view_point(&view, t->x[i], whole.y1), PEN_FINE, INK_BLACK);
    for (int i = 0; i <= t->ny; i++)
        page_line(mp->page, "locator", view_point(&view, whole.x0, t->y[i]),
                  view_point(&view, whole.x1, t->y[i]), PEN_FINE, INK_BLACK);
}

static void draw_head(struct map_plot *mp, const struct tiling *t, const char *name,
                      struct rect room)
{
    const double locator = 46, north = 5.5;
    struct arena *arena = mp->map->arena;
    struct column c;
    char num[64];
    struct rect text = {room.x0, room.y0, room.x1 - locator - 2 * north - 12, room.y1};
    column_init(&c, arena, text.x1 - text.x0, 1);
    column_text(&c, TYPE_NUMBER_MM, true, 0,
                scene_text_cut(arena,
                               arena_printf(arena, "Tile %s of %d: %s, %s", name, t->nx * t->ny,
                                            mp->map->plan->garden->name.s, mp->plot->name.s),
                               TYPE_NUMBER_MM, true, c.w));
    column_text(&c, TYPE_BODY_MM, true, 0,
                arena_printf(arena, "Scale 1:%s (%s), %s %s", num_text(num, sizeof num, t->ratio),
                             map_ratio_words(arena, t->ratio, mp->map->units),
                             mp->map->manner->paper, mp->map->plan->id));
    column_text(&c, TYPE_LEAST_MM, false, 0,
                "All tape readings run from the plot's stake. Tiles fit together where the crosses "
                "on the broken lines lie on each other; what lies beyond a line is on the next "
                "tile too.");
    column_cut(&c, 0);
    mp->page->failed = mp->page->failed || c.failed;
    if (!c.failed)
        column_set(c.first, text, 1, 0, mp->page);
    map_north_draw(mp->page, mp, (struct mm){text.x1 + north + 6, (room.y0 + room.y1) / 2}, north);
    draw_locator(mp, t, (struct rect){room.x1 - locator, room.y0, room.x1, room.y1 - 2});
}

static void draw_tile(struct map_plot *mp, const struct tiling *t, int ix, int iy)
{
    double page_w, page_h, k = 1000 / t->ratio;
    paper_size(mp->map->paper, &page_w, &page_h);
    if (t->landscape) {
        double w = page_w;
        page_w = page_h, page_h = w;
    }
    page_init(mp->page, mp->map->arena, page_w, page_h);
    mp->core = (struct rect){t->x[ix], t->y[iy], t->x[ix + 1], t->y[iy + 1]};
    mp->bounds = mp->core;
    mp->bounds.x0 -= ix > 0 ? t->shared : 0;
    mp->bounds.x1 += ix < t->nx - 1 ? t->shared : 0;
    mp->bounds.y0 -= iy > 0 ? t->shared : 0;
    mp->bounds.y1 += iy < t->ny - 1 ? t->shared : 0;
    mp->page->failed = mp->page->failed || !map_room_measure(mp);
    mp->stake_near = mp->stake_near && mp->core.x0 <= 0 && mp->core.x1 >= 0 && mp->core.y0 <= 0 &&
                     mp->core.y1 >= 0;
    const char *left = joins_text(mp, t, ix - 1, iy), *right = joins_text(mp, t, ix + 1, iy);
    const char *low = joins_text(mp, t, ix, iy - 1), *high = joins_text(mp, t, ix, iy + 1);
    mp->joins[0] = t->turned ? high : left;
    mp->joins[1] = t->turned ? low : right;
    mp->joins[2] = t->turned ? right : high;
    mp->joins[3] = t->turned ? left : low;
    const char *name = tile_name(mp->map->arena, ix, iy);
    if (!name || mp->page->failed) {
        mp->page->failed = true;
        return;
    }
    mp->ratio = t->ratio; /* margins depend on it */
    mp->turned = t->turned;
    struct margins m = map_margins(mp);
    double w = (t->turned ? mp->bounds.y1 - mp->bounds.y0 : mp->bounds.x1 - mp->bounds.x0) * k;
    double h = (t->turned ? mp->bounds.x1 - mp->bounds.x0 : mp->bounds.y1 - mp->bounds.y0) * k;
    double x = fmax(MAP_MARGIN_MM + m.left, (page_w + m.left - m.right - w) / 2);
    double y = MAP_MARGIN_MM + m.top;
    map_plot_draw(mp, t->ratio, (struct rect){x, y, x + w, y + h});
    double foot = page_h - MAP_MARGIN_MM - MAP_FOOT_MM;
    draw_head(mp, t, name,
              (struct rect){MAP_MARGIN_MM, foot - HEAD_MM + 2, page_w - MAP_MARGIN_MM, foot});
}

bool map_tiles_draw(const struct map_plot *mp, const struct tiling *t, struct scene *scene)
{
    for (int iy = 0; iy < t->ny; iy++)
        for (int ix = 0; ix < t->nx; ix++) {
            struct map_plot tile = *mp;
            if (scene->npages == SCENE_PAGES_MAX)
                return true;
            tile.tile = true;
            tile.tiling = NULL;
            tile.page = &scene->pages[scene->npages++];
            draw_tile(&tile, t, ix, iy);
            tile.page->kind = PAGE_TILE;
            if (tile.page->failed || tile.labels.failed)
                return false;
        }
    return true;
}
