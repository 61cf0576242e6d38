/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#include "num.h"

/* Hills, rows and spots at their true places. */

#define TICK_LEAST_MM 1.2
#define STRIP_MM      2.4 /* half-width excluded: the whole width of a row's strip */

/* ---- symbols ------------------------------------------------------------------------------- */

double map_symbol_width(const struct symbol *symbol)
{
    double text = scene_text_width(symbol->letter, TYPE_LEAST_MM, true);
    double over = symbol->shape == ROLE_COVER ? 3.6 : 2.2;
    return fmax(MAP_SYMBOL_MM, text + over);
}

/* Draws the last mark again, smaller. */
static void symbol_double(struct page *page, struct mm at)
{
    const struct mark *last = &page->marks[page->n - 1];
    const double k = 0.82;
    struct mm p[8];
    if (last->kind == MARK_CIRCLE) {
        page_circle(page, "symbol", at, k * last->radius_mm, PEN_GRID, INK_BLACK, INK_NONE);
        return;
    }
    int n = last->npoints < 8 ? last->npoints : 8;
    for (int i = 0; i < n; i++)
        p[i] = (struct mm){at.x + k * (last->points[i].x - at.x),
                           at.y + k * (last->points[i].y - at.y)};
    page_polygon(page, "symbol", p, n, PEN_GRID, INK_BLACK, INK_NONE);
}

void map_symbol_draw(struct page *page, const struct symbol *symbol, struct mm at)
{
    double w = map_symbol_width(symbol) / 2, h = MAP_SYMBOL_MM / 2;
    const struct mm house[] = {{at.x - w, at.y + h},
                               {at.x + w, at.y + h},
                               {at.x + w, at.y - 0.45 * h},
                               {at.x, at.y - 1.15 * h},
                               {at.x - w, at.y - 0.45 * h}};
    const struct mm hexagon[] = {{at.x - w, at.y},           {at.x - w + 1.3, at.y + h},
                                 {at.x + w - 1.3, at.y + h}, {at.x + w, at.y},
                                 {at.x + w - 1.3, at.y - h}, {at.x - w + 1.3, at.y - h}};
    const struct rect box = {at.x - w, at.y - h, at.x + w, at.y + h};
    int before = page->n;
    switch (symbol->shape) {
    case ROLE_CLIMBER:
        page_polygon(page, "symbol", house, 5, PEN_FINE, INK_BLACK, symbol->tint);
        break;
    case ROLE_COVER:
        page_polygon(page, "symbol", hexagon, 6, PEN_FINE, INK_BLACK, symbol->tint);
        break;
    case ROLE_SUPPORT:
        page_circle(page, "symbol", at, fmax(w, h), PEN_FINE, INK_BLACK, symbol->tint);
        break;
    default:
        page_rect(page, "symbol", box, PEN_FINE, INK_BLACK, symbol->tint);
    }
    if (symbol->doubled && page->n > before) /* its own outline once more, inside */
        symbol_double(page, at);
    page_text(page, "symbol", (struct mm){at.x, at.y + 0.37 * TYPE_LEAST_MM}, TYPE_LEAST_MM,
              ALIGN_CENTRE, true, symbol->letter);
}

/* A hatch for a variety of that shape, the least used so far; no two of one shape get the same
 * while there is one left, and then the frame of their shape is doubled. */
static struct symbol symbol_new(const char *letter, enum role shape, int used[][HATCH_COUNT], int c)
{
    int best = 1, least = INT_MAX;
    for (int h = 1; h <= HATCH_COUNT; h++) { /* no hatch at all comes last */
        int all = 0, hatch = h % HATCH_COUNT;
        for (int r = 0; r < ROLE_COUNT; r++)
            all += used[r][hatch];
        int cost = 1000 * used[shape][hatch] + all;
        if (cost < least) {
            least = cost;
            best = hatch;
        }
    }
    bool doubled = used[shape][best]++ % 2 == 1;
    return (struct symbol){letter, shape, doubled, (enum hatch)best,
                           (enum ink)(INK_BLUE + c % (INK_SILVER - INK_BLUE))};
}

/* Letters as the crops' files have them; where two varieties share one, they are numbered. */
const struct symbol *map_symbols(struct arena *arena, const struct plan *plan)
{
    const struct garden *g = plan->garden;
    struct symbol *symbols = ARENA_ARRAY(arena, struct symbol, g->seed.n + 1);
    int used[ROLE_COUNT][HATCH_COUNT] = {{0}};
    if (!symbols)
        return NULL;
    for (int c = 0; c < plan->ncrops; c++) {
        const struct seed *seed = plan->crops[c].seed;
        size_t s = (size_t)(seed - garden_seed(g, 0));
        const char *letter = seed->crop->letter.s;
        int twin = 0;
        for (size_t i = 0; letter && i < s; i++)
            twin += symbols[i].letter && strcmp(garden_seed(g, i)->crop->letter.s, letter) == 0;
        if (twin > 0)
            letter = arena_printf(arena, "%s%d", letter, twin + 1);
        if (!letter)
            return NULL;
        symbols[s] = symbol_new(letter, (enum role)seed->crop->role.v, used, c);
    }
    return symbols;
}

const struct symbol *map_symbol_of(const struct map_plot *mp, const struct part *part)
{
    return &mp->map->symbols[part->seed_index];
}

/* ---- rows ---------------------------------------------------------------------------------- */

int map_tick_every(const struct map_plot *mp, const struct planting *planting)
{
    double mm = planting->pitch_m * 1000 / mp->ratio;
    return (int)fmin(1e6, fmax(1, ceil(TICK_LEAST_MM / fmax(mm, 1e-6) - 1e-9)));
}

double map_strip_half(const struct map_plot *mp, const struct planting *p)
{
    return fmin(STRIP_MM, 0.4 * p->line_m * 1000 / mp->ratio) / 2;
}

/* The ground of a line, `half` mm to each side of it. */
struct rect map_line_box(const struct map_plot *mp, const struct line *line, double half)
{
    const struct view *view = &mp->page->view;
    struct line drawn = map_line_drawn(mp, line);
    struct mm a = view_point(view, drawn.x0, drawn.y0), b = view_point(view, drawn.x1, drawn.y1);
    struct rect box = {fmin(a.x, b.x), fmin(a.y, b.y), fmax(a.x, b.x), fmax(a.y, b.y)};
    if (map_rows_level(mp))
        return (struct rect){box.x0, box.y0 - half, box.x1, box.y1 + half};
    return (struct rect){box.x0 - half, box.y0, box.x1 + half, box.y1};
}

/* Whether a station holds a part that not every station of its line holds. */
bool map_holds_more(const struct planting *p, const struct station *station)
{
    for (int k = 0; k < p->nparts; k++)
        if (p->parts[k].every > 1 && station->plants[k] > 0)
            return true;
    return false;
}

/* The tint of that part. */
static enum ink more_tint(const struct map_plot *mp, const struct planting *p,
                          const struct station *station)
{
    for (int k = 0; k < p->nparts; k++)
        if (p->parts[k].every > 1 && station->plants[k] > 0)
            return map_symbol_of(mp, &p->parts[k])->tint;
    return INK_PAPER;
}

static void draw_row(struct map_plot *mp, int l)
{
    const struct plan *plan = mp->map->plan;
    const struct line *line = &plan->lines[l];
    const struct planting *p = plan->blocks[line->block].planting;
    const struct symbol *symbol = map_symbol_of(mp, &p->parts[0]);
    double half = map_strip_half(mp, p), reach = half + fmin(MAP_TICK_OVER_MM, half);
    struct mark *strip =
        page_rect(mp->page, "row", map_line_box(mp, line, half), PEN_FINE, INK_BLACK, symbol->tint);
    strip->hatch = half > 0.85 ? symbol->hatch : HATCH_NONE; /* too thin to be read */
    strip->block = line->block;
    strip->line = l;
    struct rect box = map_line_box(mp, line, reach);
    labels_take(&mp->labels, (struct rect){box.x0 - PEN_PATH, box.y0 - PEN_PATH, box.x1 + PEN_PATH,
                                           box.y1 + PEN_PATH});
    int every = map_tick_every(mp, p);
    for (int s = line->first; s < line->first + line->n; s++) {
        const struct station *station = &plan->stations[s];
        if (!map_station_here(mp, s))
            continue;
        struct mm at = view_point(&mp->page->view, station->x_m, station->y_m);
        struct mm over = map_rows_level(mp) ? (struct mm){0, reach} : (struct mm){reach, 0};
        struct mark *mark;
        if (map_holds_more(p, station))
            mark = page_circle(mp->page, "spot", at, half, PEN_PATH, INK_BLACK,
                               more_tint(mp, p, station));
        else if ((s - line->first) % every == 0)
            mark = page_line(mp->page, "spot", (struct mm){at.x - over.x, at.y - over.y},
                             (struct mm){at.x + over.x, at.y + over.y}, PEN_PATH, INK_BLACK);
        else
            continue;
        mark->block = line->block;
        mark->line = l;
        mark->station = s;
    }
}

/* ---- hills --------------------------------------------------------------------------------- */

double map_hill_radius(const struct map_plot *mp, const struct planting *p)
{
    return p->hill_diameter_m / 2 * 1000 / mp->ratio;
}

static void draw_hill(struct map_plot *mp, int l, int s)
{
    const struct plan *plan = mp->map->plan;
    const struct station *station = &plan->stations[s];
    const struct planting *p = plan->blocks[station->block].planting;
    struct mm at = view_point(&mp->page->view, station->x_m, station->y_m);
    double r = map_hill_radius(mp, p), outer = r;
    if (map_holds_more(p, station)) {
        outer = r + MAP_RING_MM;
        page_circle(mp->page, "ring", at, outer, PEN_FINE, INK_BLACK, more_tint(mp, p, station));
    }
    struct mark *mark = page_circle(mp->page, "hill", at, r, PEN_HILL, INK_BLACK, INK_PAPER);
    mark->block = station->block;
    mark->line = l;
    mark->station = s;
    outer += PEN_HILL / 2;
    labels_take(&mp->labels, (struct rect){at.x - outer, at.y - outer, at.x + outer, at.y + outer});
}

static void draw_hills(struct map_plot *mp, int l)
{
    const struct plan *plan = mp->map->plan;
    const struct line *line = &plan->lines[l], drawn = map_line_drawn(mp, line);
    const struct view *view = &mp->page->view;
    page_line(mp->page, "string", view_point(view, drawn.x0, drawn.y0),
              view_point(view, drawn.x1, drawn.y1), PEN_GRID, INK_GREY)
        ->dash = DASH_LONG;
    for (int s = line->first; s < line->first + line->n; s++)
        if (map_station_here(mp, s))
            draw_hill(mp, l, s);
}

/* What stands already: nothing is to be staked out there, so its ground is hatched as a whole. */
static void draw_standing(struct map_plot *mp, int b, struct rect ground)
{
    const struct planting *p = mp->map->plan->blocks[b].planting;
    const struct symbol *symbol = map_symbol_of(mp, &p->parts[0]);
    struct mark *mark = page_rect(mp->page, "standing", view_rect(&mp->page->view, ground),
                                  PEN_PATH, INK_BLACK, symbol->tint);
    mark->hatch = symbol->hatch;
    mark->block = b;
}

/* The frame round a block, so that one can see where it ends. Each side is drawn the same way for
 * both blocks that share it, so that their dashes meet. */
static void draw_block(struct map_plot *mp, int b)
{
    const struct plan *plan = mp->map->plan;
    const struct view *view = &mp->page->view;
    struct rect r = block_ground(&plan->blocks[b], &plan->zones.items[plan->blocks[b].zone]);
    const double sides[4][4] = {{r.x0, r.y0, r.x1, r.y0},
                                {r.x0, r.y1, r.x1, r.y1},
                                {r.x0, r.y0, r.x0, r.y1},
                                {r.x1, r.y0, r.x1, r.y1}};
    for (int i = 0; i < 4; i++) {
        struct point from = {.x = sides[i][0], .y = sides[i][1]};
        struct point to = {.x = sides[i][2], .y = sides[i][3]};
        if (!map_segment(mp, &from, &to))
            continue;
        struct mark *mark = page_line(mp->page, "block", view_point(view, from.x, from.y),
                                      view_point(view, to.x, to.y), PEN_GRID, INK_GREY);
        mark->dash = DASH_SHORT;
        mark->block = b;
    }
}

void map_crops_draw(struct map_plot *mp)
{
    const struct plan *plan = mp->map->plan;
    struct rect ground;
    for (int b = 0; b < plan->nblocks; b++)
        if (!map_block_here(mp, b, &ground))
            continue;
        else if (planting_standing(plan->blocks[b].planting))
            draw_standing(mp, b, ground);
        else
            draw_block(mp, b);
    for (int l = 0; l < plan->nlines; l++) {
        if (!map_line_here(mp, &plan->lines[l]))
            continue;
        if (plan->blocks[plan->lines[l].block].planting->system == SYSTEM_HILLS)
            draw_hills(mp, l);
        else
            draw_row(mp, l);
    }
}
