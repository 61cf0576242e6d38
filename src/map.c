/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#include "num.h"

/* How a plot and its key share a sheet: the largest round ratio at which the map and the beginning
 * of the key fit, in the orientation and turn that hold most of it; what is left goes on further
 * sheets. */

#define GAP_MM         4.5 /* between map and key, and between columns */
#define COLUMN_LEAST   60.0
#define COLUMNS_MOST   4
#define ONE_SHEET_LOSS 1.3  /* so much smaller a map may be to save a sheet */
#define LEVEL_LOSS     1.34 /* and so that its rows run from left to right, as one reads */
#define KEY_SMALL      0.9  /* type of a key that has no room otherwise */

/* ---- ratios -------------------------------------------------------------------------------- */

/* 1 in = so many feet; the drawing ratios of ISO 5455 and some between. Times ten, and so on. */
static const double us_feet[] = {1, 1.5, 2, 2.5, 3, 4, 5, 6, 8};
static const double metric_ratios[] = {10, 15, 20, 25, 30, 40, 50, 60, 75};

double map_ratio_at(enum unit_system units, int i)
{
    const int n = sizeof us_feet / sizeof *us_feet;
    int zeros = i / n;
    double ten = pow(10, zeros);
    return units == UNITS_US ? 12 * us_feet[i % n] * ten : metric_ratios[i % n] * ten;
}

/* ---- layout -------------------------------------------------------------------------------- */

struct layout {
    bool landscape, turned, key_below;
    double ratio;
    double page_w, page_h;
    struct rect frame; /* the bounds of the plot on the page */
    struct rect key;
    double key_scale; /* of its type */
    bool key_apart;   /* part of the key is on a page of its own */
};

/* A key set in some room: as much of it as fits, in the number of columns that takes most. */
struct key {
    int columns;
    const struct piece *pieces, *rest; /* rest: what had no room */
    int set;                           /* pieces that had */
};

/* Title and measuring stand on the map's own sheet. */
#define PIECES_LEAST 2

/* false: memory ran out. */
static bool fit_key(const struct map_plot *mp, struct rect room, double scale, struct key *out)
{
    struct key best = {.set = -1};
    for (int columns = 1; columns <= COLUMNS_MOST && (best.set < 0 || best.rest); columns++) {
        struct column column;
        struct key key = {.columns = columns};
        double w = (room.x1 - room.x0 - (columns - 1) * GAP_MM) / columns;
        if (w < COLUMN_LEAST)
            break;
        column_init(&column, mp->map->arena, w, scale);
        mp->map->manner->key(mp, &column);
        if (column.failed)
            return false;
        key.pieces = column.first;
        key.rest = column_set(column.first, room, columns, GAP_MM, NULL);
        for (const struct piece *p = key.pieces; p != key.rest; p = p->next)
            key.set++;
        if (key.set > best.set)
            best = key;
    }
    *out = best;
    return true;
}

/* The map in the upper left of the live area and the room for the key; false: the map alone is too
 * large. */
static bool place_map(struct map_plot *mp, struct layout *l)
{
    const struct rect *b = &mp->bounds;
    double k = 1000 / l->ratio, w = (b->x1 - b->x0) * k, h = (b->y1 - b->y0) * k;
    double page_w, page_h;
    paper_size(mp->map->paper, &page_w, &page_h);
    l->page_w = l->landscape ? page_h : page_w;
    l->page_h = l->landscape ? page_w : page_h;
    mp->ratio = l->ratio;
    mp->turned = l->turned;
    struct margins m = map_margins(mp);
    double map_w = (l->turned ? h : w) + m.left + m.right;
    double map_h = (l->turned ? w : h) + m.top + m.bottom;
    struct rect live = {MAP_MARGIN_MM, MAP_MARGIN_MM, l->page_w - MAP_MARGIN_MM,
                        l->page_h - MAP_MARGIN_MM - MAP_FOOT_MM};
    if (map_w > live.x1 - live.x0 || map_h > live.y1 - live.y0)
        return false;
    double x = live.x0, y = live.y0;
    l->key = live;
    if (l->key_below) {
        x += (live.x1 - live.x0 - map_w) / 2;
        l->key.y0 = y + map_h + GAP_MM;
    } else {
        y += fmin((live.y1 - live.y0 - map_h) / 2, 8);
        l->key.x0 = x + map_w + GAP_MM;
    }
    l->frame = (struct rect){x + m.left, y + m.top, x + map_w - m.right, y + map_h - m.bottom};
    return true;
}

/* The ways a sheet may be used, the most natural first. */
static const struct {
    bool landscape, key_below;
} ways[] = {{false, true}, {true, false}, {false, false}, {true, true}};
#define WAYS (int)(sizeof ways / sizeof *ways)

/* The best way at that ratio: the first in which all of the key has room beside or below the map
 * (if need be in smaller type), else that in which most has; rows that run from left to right come
 * first, as more can be written along them, and level: no others do. The number of pieces set is
 * returned, 0: none will do.
 */
static int lay_out_at(struct map_plot *mp, double ratio, bool level, struct layout *out)
{
    struct arena *scratch = arena_new(ARENA_CAP_DEFAULT);
    struct map map = *mp->map;
    struct map_plot trial = *mp;
    int best = 0;
    bool rows_along_y = mp->nlines > 0 && !mp->along_x;
    map.arena = scratch;
    trial.map = &map;
    out->key_apart = true;
    for (int i = 0; scratch && i < 4 * WAYS && out->key_apart; i++) {
        struct key key;
        struct layout l = {.ratio = ratio,
                           .landscape = ways[i % WAYS].landscape,
                           .key_below = ways[i % WAYS].key_below,
                           .key_scale = i < 2 * WAYS ? 1 : KEY_SMALL};
        bool upright = i / WAYS % 2 == 1;
        l.turned = upright != rows_along_y;
        if ((level && upright) || !place_map(&trial, &l) ||
            !fit_key(&trial, l.key, l.key_scale, &key) || key.set < PIECES_LEAST)
            continue;
        l.key_apart = key.rest != NULL;
        if (l.key_apart && (key.set <= best || l.key_scale < 1))
            continue;
        best = key.set;
        *out = l;
    }
    arena_free(scratch);
    return best;
}

/* ---- drawing ------------------------------------------------------------------------------- */

void map_plot_draw(struct map_plot *mp, double ratio, struct rect frame)
{
    struct page *page = mp->page;
    page->plot = mp->index;
    page->ratio = mp->ratio = ratio;
    mp->frame = frame;
    page->view = (struct view){.mm_per_m = 1000 / ratio, .turned = mp->turned};
    struct rect at_zero = view_rect(&page->view, mp->bounds);
    page->view.x_mm = frame.x0 - at_zero.x0;
    page->view.y_mm = frame.y0 - at_zero.y0;
    struct margins m = map_margins(mp);
    labels_init(&mp->labels, mp->map->arena,
                (struct rect){frame.x0 - m.left, frame.y0 - m.top, frame.x1 + m.right,
                              frame.y1 + m.bottom});
    if (mp->tile) /* lines below all that has a name */
        map_match_draw(mp, false);
    if (mp->tiling)
        map_tiles_lines(mp, mp->tiling);
    map_ground_draw(mp);
    if (mp->map->manner->under)
        mp->map->manner->under(mp);
    map_crops_draw(mp);
    if (mp->tile)
        map_match_draw(mp, true);
    map_tapes_draw(mp);
    if (mp->tiling)
        map_tiles_names(mp, mp->tiling);
    mp->map->manner->names(mp);
}

/* false: memory ran out. key: what was set, and what was not. */
static bool draw_map(struct map_plot *mp, const struct layout *l, struct key *key)
{
    page_init(mp->page, mp->map->arena, l->page_w, l->page_h);
    mp->turned = l->turned;
    map_plot_draw(mp, l->ratio, l->frame);
    if (mp->labels.failed || !fit_key(mp, l->key, l->key_scale, key))
        return false;
    column_set(key->pieces, l->key, key->columns, GAP_MM, mp->page);
    return !mp->page->failed;
}

static const struct piece *piece_after(const struct piece *piece, int n)
{
    for (; piece && n > 0; n--)
        piece = piece->next;
    return piece;
}

/* Ruled lines to write on, in pencil. */
static void draw_notes(struct page *page, struct rect room)
{
    const double step = 8;
    page_text(page, "key", (struct mm){room.x0, room.y0 + 0.8 * TYPE_NUMBER_MM}, TYPE_NUMBER_MM,
              ALIGN_LEFT, true, "Notes");
    int lines = (int)((room.y1 - room.y0) / step);
    for (int i = 2; i <= lines; i++) {
        double y = room.y0 + i * step;
        page_line(page, "key", (struct mm){room.x0, y}, (struct mm){room.x1, y}, PEN_GRID,
                  INK_GREY);
    }
}

/* What the map's sheet had no room for, on as many sheets as it takes, in two columns. */
static bool draw_key_pages(struct map_plot *mp, const struct layout *l, const struct key *key,
                           struct scene *scene)
{
    struct arena *arena = mp->map->arena;
    struct rect room = {MAP_MARGIN_MM, MAP_MARGIN_MM + 2 * TYPE_TITLE_MM, l->page_w - MAP_MARGIN_MM,
                        l->page_h - MAP_MARGIN_MM - MAP_FOOT_MM};
    struct rect left = room, right = room;
    left.x1 = (room.x0 + room.x1 - GAP_MM) / 2;
    right.x0 = left.x1 + GAP_MM;
    struct column column;
    if (!key->rest)
        return true;
    column_init(&column, arena, left.x1 - left.x0, 1);
    mp->map->manner->key(mp, &column);
    const char *title =
        arena_printf(arena, "%s, %s: key to the map of %s %s", mp->map->plan->garden->name.s,
                     mp->plot->name.s, mp->map->manner->paper, mp->map->plan->id);
    if (column.failed || !title)
        return false;
    title = scene_text_cut(arena, title, TYPE_NUMBER_MM, true, room.x1 - room.x0);
    const struct piece *rest = piece_after(column.first, key->set);
    while (rest && scene->npages < SCENE_PAGES_MAX) {
        struct page *page = &scene->pages[scene->npages++];
        page_init(page, arena, l->page_w, l->page_h);
        page->plot = mp->index;
        page->kind = PAGE_KEY;
        page_text(page, "key", (struct mm){room.x0, MAP_MARGIN_MM + TYPE_NUMBER_MM}, TYPE_NUMBER_MM,
                  ALIGN_LEFT, true, title);
        if (!column_set(rest, left, 1, 0, NULL))
            draw_notes(page, right);
        rest = column_set(rest, room, 2, GAP_MM, page);
        if (page->failed)
            return false;
    }
    return true;
}

/* ---- choice of the layout ------------------------------------------------------------------ */

/* Rows and hills that such a map would leave without name or symbol; INT_MAX: memory ran out. */
static int names_lost(const struct map_plot *mp, const struct layout *l)
{
    struct arena *scratch = arena_new(ARENA_CAP_DEFAULT);
    struct map map = *mp->map;
    struct map_plot trial = *mp;
    struct page page;
    struct key key;
    map.arena = scratch;
    trial.map = &map;
    trial.page = &page;
    int lost = scratch && draw_map(&trial, l, &key) ? trial.unnamed + trial.lettered : INT_MAX;
    arena_free(scratch);
    return lost;
}

/* The largest map that leaves room for the beginning of the key; one that is a step smaller when
 * that saves the second sheet and loses no name. false: memory ran out. */
static bool choose_layout(struct map_plot *mp, struct layout *out)
{
    enum unit_system units = mp->map->units;
    int i = 0;
    while (i < MAP_RATIOS && lay_out_at(mp, map_ratio_at(units, i), false, out) == 0)
        i++;
    if (i == MAP_RATIOS)
        return false;
    bool level = false;
    for (int j = i; !level && j < MAP_RATIOS; j++) {
        double ratio = map_ratio_at(units, j);
        struct layout l = {0};
        if (ratio > LEVEL_LOSS * map_ratio_at(units, i))
            break;
        level = lay_out_at(mp, ratio, true, &l) > 0;
        if (level) {
            *out = l;
            i = j;
        }
    }
    double most = ONE_SHEET_LOSS * out->ratio + 1e-9;
    for (i++; out->key_apart && i < MAP_RATIOS; i++) {
        struct layout l = {0};
        double ratio = map_ratio_at(units, i);
        if (ratio > most)
            break;
        if (lay_out_at(mp, ratio, level, &l) == 0 || l.key_apart)
            continue;
        if (names_lost(mp, &l) <= names_lost(mp, out))
            *out = l;
    }
    return true;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static void plot_bounds(struct map_plot *mp)
{
    struct rect b = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; i < mp->ncorners; i++) {
        const struct point *p = &mp->corners[i];
        b = (struct rect){fmin(b.x0, p->x), fmin(b.y0, p->y), fmax(b.x1, p->x), fmax(b.y1, p->y)};
    }
    double near = 0.15 * fmax(b.x1 - b.x0, b.y1 - b.y0);
    mp->stake_near = b.x0 <= near && b.x1 >= -near && b.y0 <= near && b.y1 >= -near;
    if (mp->stake_near)
        b = (struct rect){fmin(b.x0, 0), fmin(b.y0, 0), fmax(b.x1, 0), fmax(b.y1, 0)};
    mp->bounds = b;
}

static hr_status plot_init(struct map_plot *mp, const struct map *map, int index, enum slot slot)
{
    const struct plan *plan = map->plan;
    *mp = (struct map_plot){.map = map, .index = index, .slot = slot, .along_x = true};
    mp->plot = garden_plot(plan->garden, (size_t)index);
    mp->corners = plot_corners(map->arena, mp->plot, &mp->ncorners);
    if (!mp->corners)
        return HR_NOMEM;
    plot_bounds(mp);
    for (int b = 0; b < plan->nblocks; b++) {
        const struct zone *zone = &plan->zones.items[plan->blocks[b].zone];
        if (map_block_shown(mp, b) && !planting_standing(plan->blocks[b].planting)) {
            mp->along_x = zone->along_x;
            mp->nlines += plan->blocks[b].lines;
        }
    }
    return map_room_measure(mp) ? HR_OK : HR_NOMEM;
}

static hr_status draw_plot(const struct map *map, int index, enum slot slot, struct scene *scene)
{
    struct map_plot mp;
    struct layout layout = {0};
    hr_status status = plot_init(&mp, map, index, slot);
    if (status != HR_OK)
        return status;
    if (!choose_layout(&mp, &layout))
        return HR_NOMEM; /* even a dot fits at some ratio: only memory can be short */
    struct key key;
    struct tiling tiling;
    mp.ratio = layout.ratio;
    mp.turned = layout.turned;
    if (map_tiles_choose(&mp, &tiling)) {
        tiling.first_page = scene->npages + 2;
        mp.tiling = &tiling;
    }
    mp.page = &scene->pages[scene->npages++];
    if (!draw_map(&mp, &layout, &key) || (mp.tiling && !map_tiles_draw(&mp, mp.tiling, scene)) ||
        !draw_key_pages(&mp, &layout, &key, scene))
        return HR_NOMEM;
    return HR_OK;
}

static hr_status draw_feet(const struct map *map, struct scene *scene)
{
    for (int i = 0; i < scene->npages; i++) {
        struct page *page = &scene->pages[i];
        struct map_plot mp = {.map = map, .page = page, .ratio = page->ratio};
        map_foot_draw(&mp, page, MAP_MARGIN_MM, i + 1, scene->npages);
        if (page->failed)
            return HR_NOMEM;
    }
    return HR_OK;
}

/* Whether some ground of the plot carries a second crop: that is on a map of its own. */
static bool ground_turns(const struct plan *plan, int plot)
{
    for (int b = 0; b < plan->nblocks; b++)
        if (plan->zones.items[plan->blocks[b].zone].plot == plot &&
            plan->blocks[b].planting->slot == SLOT_SECOND)
            return true;
    return false;
}

hr_status map_scene(struct map *map, int first, int end, struct scene **out)
{
    const struct plan *plan = map->plan;
    struct scene *scene = ARENA_NEW(map->arena, struct scene);
    map->units = (enum unit_system)plan->garden->units.v;
    map->symbols = map_symbols(map->arena, plan);
    if (!scene || !map->symbols)
        return HR_NOMEM;
    *scene = (struct scene){.plan = plan, .paper = map->paper};
    scene->pages = ARENA_ARRAY(map->arena, struct page, SCENE_PAGES_MAX);
    if (!scene->pages)
        return HR_NOMEM;
    bool several = end - first > 1;
    if (several && !map_garden_draw(map, scene))
        return HR_NOMEM;
    int p = first;
    for (; p < end && scene->npages < SCENE_PAGES_MAX; p++) {
        if (several)
            map_garden_number(map, &scene->pages[0], p, scene->npages + 1);
        bool turns = ground_turns(plan, p);
        hr_status status = draw_plot(map, p, turns ? SLOT_FIRST : SLOT_WHOLE, scene);
        if (status == HR_OK && turns && scene->npages < SCENE_PAGES_MAX)
            status = draw_plot(map, p, SLOT_SECOND, scene);
        if (status != HR_OK)
            return status;
    }
    scene->plots_left_out = end - p;
    if (!map_hills_draw(map, scene))
        return HR_NOMEM;
    hr_status status = draw_feet(map, scene);
    if (status == HR_OK)
        *out = scene;
    return status;
}

const struct map_manner map_of_plan = {"plan",        NULL, map_names_draw,
                                       map_key_write, NULL, map_is_dense};

hr_status scene_map(struct arena *arena, const struct plan *plan, enum paper paper,
                    struct scene **out)
{
    struct map map = {.manner = &map_of_plan, .arena = arena, .plan = plan, .paper = paper};
    return map_scene(&map, 0, (int)plan->garden->plots.n, out);
}
