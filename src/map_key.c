/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>
#include <string.h>

#include "num.h"

/* The key: title and north, how to measure, crops with counts, cautions; and the foot of the page.
 */

#define DEG           (3.14159265358979323846 / 180)
#define CAUTIONS_MOST 4
#define CAUTION_MM    3.0 /* 8.5 pt */

/* ---- title and north ----------------------------------------------------------------------- */

const char *map_ratio_words(struct arena *arena, double ratio, enum unit_system units)
{
    char num[64];
    if (units == UNITS_METRIC) {
        double cm = 100 / ratio;
        return arena_printf(arena, "1 m = %s cm", num_text(num, sizeof num, num_round_sig(cm, 3)));
    }
    double feet = floor(ratio / 12), inches = ratio - 12 * feet;
    if (inches == 6)
        return arena_printf(arena, "1 in = %s 1/2 ft", num_fixed(num, sizeof num, feet, 0));
    return arena_printf(arena, "1 in = %s ft", num_text(num, sizeof num, ratio / 12));
}

static double bearing_degrees(double bearing)
{
    double deg = fmod(round(bearing / DEG), 360);
    return deg < 0 ? deg + 360 : deg;
}

void map_north_draw(struct page *page, const struct map_plot *mp, struct mm c, double r)
{
    struct view view = {.mm_per_m = 1, .turned = mp->turned};
    double b = mp->plot->bearing.v;
    struct mm d = view_point(&view, -sin(b), cos(b)); /* to the north, on the page */
    struct mm tip = {c.x + d.x * r, c.y + d.y * r}, tail = {c.x - d.x * r, c.y - d.y * r};
    struct mm wing = {c.x - d.x * 0.35 * r - d.y * 0.4 * r, c.y - d.y * 0.35 * r + d.x * 0.4 * r};
    struct mm other = {c.x - d.x * 0.35 * r + d.y * 0.4 * r, c.y - d.y * 0.35 * r - d.x * 0.4 * r};
    const struct mm dark[] = {tip, wing, c}, light[] = {tip, other, c};
    page_circle(page, "north", c, r, PEN_GRID, INK_BLACK, INK_NONE);
    page_line(page, "north", tail, tip, PEN_PATH, INK_BLACK);
    page_polygon(page, "north", dark, 3, PEN_FINE, INK_BLACK, INK_BLACK);
    page_polygon(page, "north", light, 3, PEN_FINE, INK_BLACK, INK_PAPER);
    double size = TYPE_NUMBER_MM, out = r + 0.75 * size;
    page_text(page, "north", (struct mm){c.x + d.x * out, c.y + d.y * out + 0.37 * size}, size,
              ALIGN_CENTRE, true, "N");
}

static const char *plot_size_text(const struct map_plot *mp)
{
    char w[64], h[64];
    const struct rect *b = &mp->bounds;
    if (mp->plot->outline.n > 0)
        return arena_printf(mp->map->arena, "Plot: %s", mp->plot->name.s);
    unit_length(w, sizeof w, b->x1, mp->map->units);
    unit_length(h, sizeof h, b->y1, mp->map->units);
    return arena_printf(mp->map->arena, "%s, %s by %s", mp->plot->name.s, w, h);
}

/* "First crops, until about June 24". NULL: out of memory. */
static const char *slot_text(const struct map_plot *mp)
{
    const struct plan *plan = mp->map->plan;
    char day[64];
    int turn = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (map_block_shown(mp, b) && p->slot == mp->slot && (turn == 0 || p->turn_d < turn))
            turn = p->turn_d;
    }
    date_text(day, sizeof day, turn);
    return arena_printf(mp->map->arena,
                        mp->slot == SLOT_FIRST ? "First crops, until about %s"
                                               : "Second crops, from about %s",
                        day);
}

void map_key_title(const struct map_plot *mp, struct column *c)
{
    const struct garden *g = mp->map->plan->garden;
    const double r = 7.5, box = 2 * r + 9;
    double full = c->w, top = c->y;
    char num[64];
    map_north_draw(c->page, mp, (struct mm){c->x + full - box / 2, top + box / 2}, r);
    c->w = full - box - 2;
    column_text(c, TYPE_TITLE_MM, true, 0, g->name.s);
    column_text(c, TYPE_NUMBER_MM, true, 0, plot_size_text(mp));
    if (mp->slot != SLOT_WHOLE)
        column_text(c, TYPE_NUMBER_MM, true, 0, slot_text(mp));
    const char *year = g->year.set ? num_fixed(num, sizeof num, g->year.v, 0) : "";
    column_text(c, TYPE_BODY_MM, false, 0,
                arena_printf(c->arena, "%c%s %s%s%s", mp->map->manner->paper[0] - 'a' + 'A',
                             mp->map->manner->paper + 1, mp->map->plan->id,
                             *year ? ", season " : "", year));
    char ratio[64];
    column_text(c, TYPE_BODY_MM, true, 0,
                arena_printf(c->arena, "Scale 1:%s (%s)", num_text(ratio, sizeof ratio, mp->ratio),
                             map_ratio_words(c->arena, mp->ratio, mp->map->units)));
    c->w = full;
    c->y = fmax(c->y, top + box + 0.6);
    double up = mp->plot->bearing.v + (mp->turned ? 90 * DEG : 0);
    column_text(c, TYPE_BODY_MM, false, 0,
                arena_printf(c->arena, "%sUp the sheet (%s) bears %s deg from true north (%s).",
                             mp->turned ? "The map is turned: " : "", mp->turned ? "x" : "y",
                             num_fixed(num, sizeof num, bearing_degrees(up), 0), unit_compass(up)));
}

/* ---- how to measure ------------------------------------------------------------------------ */

/* The name of the side that lies along the x tape from the stake on, "": none has one. */
static const char *baseline_name(const struct map_plot *mp)
{
    const struct point *a = &mp->corners[0], *b = &mp->corners[1];
    if (fabs(a->x) > 1e-6 || fabs(a->y) > 1e-6 || fabs(b->y) > 1e-6)
        return "";
    for (size_t i = 0; i < mp->plot->edges.n; i++) {
        const struct edge *e = (const struct edge *)mp->plot->edges.items + i;
        if ((size_t)e->side.v == 1 && e->name.s)
            return e->name.s;
    }
    return "";
}

/* A corner is where its distances from two ends of the baseline meet: no right angle is needed. */
static void key_corners(const struct map_plot *mp, struct column *c)
{
    enum unit_system units = mp->map->units;
    char x[64], y[64], from1[64], from2[64];
    const struct point *second = &mp->corners[1];
    column_cut(c, 1);
    column_text(c, TYPE_BODY_MM, false, 0,
                "Corners: x, y; then, to check with two tapes, from the stake and from corner 2.");
    for (size_t i = 0; i < mp->ncorners; i++) {
        const struct point *p = &mp->corners[i];
        unit_tape(x, sizeof x, p->x, units);
        unit_tape(y, sizeof y, p->y, units);
        unit_tape(from1, sizeof from1, hypot(p->x, p->y), units);
        unit_tape(from2, sizeof from2, hypot(p->x - second->x, p->y - second->y), units);
        column_text(c, TYPE_LEAST_MM, false, 6,
                    arena_printf(c->arena, "%zu:  %s, %s;  %s, %s", i + 1, x, y, from1, from2));
    }
}

void map_key_tape(const struct map_plot *mp, struct column *c)
{
    char buf[64];
    bool metric = mp->map->units == UNITS_METRIC;
    const char *base = baseline_name(mp);
    column_cut(c, 2);
    const char *along = *base ? arena_printf(c->arena, " along %s", base) : "";
    column_text(c, TYPE_BODY_MM, false, 0,
                !along
                    ? NULL
                    : arena_printf(c->arena,
                                   "All distances run from the stake. Baseline: the x tape%s, %s; "
                                   "y square to it, %s.%s",
                                   along, mp->turned ? "up the sheet" : "to the right",
                                   mp->turned ? "to the left" : "up the sheet",
                                   metric ? " Numbers are centimetres." : ""));
    if (mp->ncorners == 4 && mp->plot->outline.n == 0)
        column_text(c, TYPE_BODY_MM, false, 0,
                    arena_printf(c->arena, "It is square when both diagonals are %s.",
                                 unit_tape(buf, sizeof buf, hypot(mp->bounds.x1, mp->bounds.y1),
                                           mp->map->units)));
    else
        key_corners(mp, c);
    /* a blank stays with the word before it */
    column_text(c, TYPE_BODY_MM, false, 0,
                "Staked out on\u00a0______________ by\u00a0______________");
    map_tiles_key(mp, c);
}

/* ---- crops --------------------------------------------------------------------------------- */

struct count {
    int stations, plants;
    double sown;
    bool hills, rows;
    bool leads, sparse; /* in rows: gives them its hatch; stands at some spots of them only */
};

static struct count count_variety(const struct map_plot *mp, size_t seed)
{
    const struct plan *plan = mp->map->plan;
    struct count n = {0};
    for (int s = 0; s < plan->nstations; s++) {
        const struct station *st = &plan->stations[s];
        const struct planting *p = plan->blocks[st->block].planting;
        for (int k = 0; map_block_shown(mp, st->block) && k < p->nparts; k++) {
            if ((size_t)p->parts[k].seed_index != seed || st->plants[k] == 0)
                continue;
            n.stations++;
            n.plants += st->plants[k];
            n.sown += p->parts[k].sown;
            n.hills = n.hills || p->system == SYSTEM_HILLS;
            bool row = p->system != SYSTEM_HILLS;
            n.rows = n.rows || row;
            n.leads = n.leads || (row && k == 0);
            n.sparse = n.sparse || (row && p->parts[k].every > 1);
        }
    }
    return n;
}

/* How a variety looks in a row: the strip and ticks of one that fills it, the dot of one that
 * stands at some of its spots. */
static void draw_sample(struct column *c, const struct symbol *symbol, const struct count *n,
                        double x, double y)
{
    if (n->sparse) {
        page_circle(c->page, "sample", (struct mm){x, y}, 1.2, PEN_PATH, INK_BLACK, symbol->tint);
        return;
    }
    struct rect strip = {x - 4, y - 1.2, x + 4, y + 1.2};
    page_rect(c->page, "sample", strip, PEN_FINE, INK_BLACK, symbol->tint)->hatch = symbol->hatch;
    for (int i = -1; i <= 1; i++)
        page_line(c->page, "sample", (struct mm){x + 2.7 * i, y - 2},
                  (struct mm){x + 2.7 * i, y + 2}, PEN_PATH, INK_BLACK);
}

/* Sowing spots to a plant of a crop that is thinned out along its row; 1 of any other. */
static int spots_of(const struct planting *p, const struct part *part)
{
    const struct range *gap = &part->crop->sow_gap_m;
    if (p->system != SYSTEM_ROWS || !gap->set || gap->typ <= 0)
        return 1;
    return (int)fmax(1, round(p->pitch_m / gap->typ));
}

/* Whether two blocks plant their part in the same way. */
static bool same_rows(const struct planting *p, const struct part *a, const struct planting *q,
                      const struct part *b)
{
    return p->system == q->system && a->seed_index == b->seed_index &&
           fabs(p->pitch_m - q->pitch_m) < 1e-6 && a->every == b->every &&
           a->per_station == b->per_station && fabs(a->sown - b->sown) < 1e-6;
}

/* The part of block b that is of that variety, NULL: none, or the block is not rows of this plot.
 */
static const struct part *row_part(const struct map_plot *mp, int b, size_t seed)
{
    const struct planting *p = mp->map->plan->blocks[b].planting;
    for (int k = 0; map_block_shown(mp, b) && p->system != SYSTEM_HILLS && k < p->nparts; k++)
        if ((size_t)p->parts[k].seed_index == seed)
            return &p->parts[k];
    return NULL;
}

/* "Rows 2.1 to 2.3, 4.1: 2 every 4 in, 1 in deep." for block b and those that are planted alike;
 * nothing when one before b is. */
static void key_rows(const struct map_plot *mp, struct column *c, int b, size_t seed)
{
    const struct plan *plan = mp->map->plan;
    const struct planting *p = plan->blocks[b].planting;
    const struct part *part = row_part(mp, b, seed);
    enum unit_system units = mp->map->units;
    struct strbuf text;
    char buf[64], num[64];
    strbuf_init(&text, c->arena);
    int rows = 0;
    for (int i = 0; i < plan->nblocks; i++) {
        const struct part *other = row_part(mp, i, seed);
        if (!other || !same_rows(p, part, plan->blocks[i].planting, other))
            continue;
        if (i < b)
            return;
        int lines = plan->blocks[i].lines;
        strbuf_printf(&text, "%s%d.1", rows > 0 ? ", " : "", i + 1);
        if (lines > 1)
            strbuf_printf(&text, " to %d.%d", i + 1, lines);
        rows += lines;
    }
    int spots = planting_standing(p) ? 1 : spots_of(p, part), every = map_tick_every(mp, p);
    double pitch = p->pitch_m * part->every;
    strbuf_puts(&text, ":");
    if (!planting_standing(p))
        strbuf_printf(&text, " %s", num_fixed(num, sizeof num, ceil(part->sown / spots - 1e-9), 0));
    strbuf_printf(&text, " every %s", unit_length(buf, sizeof buf, pitch / spots, units));
    if (spots > 1)
        strbuf_printf(&text, ", thinned to %s", unit_length(buf, sizeof buf, pitch, units));
    unit_length(buf, sizeof buf, part->crop->depth_m.typ, units);
    if (!planting_standing(p))
        strbuf_printf(&text, ", %s deep", buf);
    strbuf_puts(&text, ".");
    if (every > 1)
        strbuf_printf(&text, " A tick stands for %d spots.", every);
    const char *head = rows > 1 ? "Rows" : "Row";
    column_text(c, TYPE_BODY_MM, false, 0,
                text.failed ? NULL : arena_printf(c->arena, "%s %s", head, text.p));
}

const char *map_piece_word(const struct crop *crop, double n)
{
    static const char *const words[][2] = {{"seed", "seeds"},
                                           {"piece", "pieces"},
                                           {"slip", "slips"},
                                           {"clove", "cloves"},
                                           {"plant", "plants"}};
    int as = crop->planted_as.v;
    return words[as >= 0 && as < 5 ? as : 0][n != 1];
}

/* "24 seeds in 6 hills, 6 plants kept" */
static const char *count_words(struct arena *arena, const struct seed *seed, const struct count *n)
{
    double sown = ceil(n->sown - 1e-9);
    char num[64], plants[64];
    if (seed->standing)
        return arena_printf(arena, "stands already: %s plant%s",
                            num_grouped(plants, sizeof plants, n->plants),
                            n->plants == 1 ? "" : "s");
    const char *place = !n->rows ? "hill" : n->hills ? "place" : "spot";
    return arena_printf(arena, "%s %s in %d %s%s, %s plant%s kept",
                        num_grouped(num, sizeof num, sown), map_piece_word(seed->crop, sown),
                        n->stations, place, n->stations == 1 ? "" : "s",
                        num_grouped(plants, sizeof plants, n->plants), n->plants == 1 ? "" : "s");
}

static void key_crop(const struct map_plot *mp, struct column *c, size_t s, const struct count *n)
{
    const struct plan *plan = mp->map->plan;
    const struct seed *seed = garden_seed(plan->garden, s);
    const struct symbol *symbol = &mp->map->symbols[s];
    double x = c->x, width = c->w, in = 11.5, top = c->y, middle = c->x + 4.5;
    map_symbol_draw(c->page, symbol, (struct mm){middle, top + MAP_SYMBOL_MM / 2});
    double below = top + MAP_SYMBOL_MM + 0.6;
    if (n->leads || n->sparse) {
        draw_sample(c, symbol, n, middle, below + 2);
        below += 4.2;
    }
    c->x += in;
    c->w -= in;
    column_text(c, TYPE_BODY_MM, true, 0,
                arena_printf(c->arena, "%s, %s", seed->crop->name.s, seed->variety.s));
    column_text(c, TYPE_BODY_MM, false, 0, count_words(c->arena, seed, n));
    for (int b = 0; b < plan->nblocks; b++)
        if (row_part(mp, b, s))
            key_rows(mp, c, b, s);
    c->x = x;
    c->w = width;
    c->y = fmax(c->y, below) + 1;
}

static void key_crops(const struct map_plot *mp, struct column *c)
{
    const struct garden *g = mp->map->plan->garden;
    bool head = false;
    for (size_t s = 0; s < g->seed.n; s++) {
        if (!mp->map->symbols[s].letter)
            continue;
        struct count n = count_variety(mp, s);
        if (n.stations == 0)
            continue;
        if (!head)
            column_head(c, "What is planted");
        else
            column_cut(c, 0);
        head = true;
        key_crop(mp, c, s, &n);
    }
}

/* ---- cautions ------------------------------------------------------------------------------ */

/* The first sentence. NULL: out of memory. */
static const char *first_sentence(struct arena *arena, const char *text)
{
    const char *end = strstr(text, ". ");
    return arena_strndup(arena, text, end ? (size_t)(end - text) + 1 : strlen(text));
}

/* Adds the first sentence of a crop's first caution, unless it is there or the list is full. */
static int add_caution(struct column *c, const char **list, int n, const struct crop *crop)
{
    if (crop->cautions.n == 0 || n == CAUTIONS_MOST)
        return n;
    const char *text =
        first_sentence(c->arena, ((const struct caution *)crop->cautions.items)->text.s);
    const char *said = text ? arena_printf(c->arena, "%s: %s", crop->name.s, text) : NULL;
    c->failed = c->failed || !said;
    for (int j = 0; said && j < n; j++)
        if (strcmp(strstr(list[j], ": ") + 2, text) == 0)
            return n;
    if (said)
        list[n++] = said;
    return n;
}

void map_key_cautions(const struct map_plot *mp, struct column *c)
{
    const struct plan *plan = mp->map->plan;
    const char *list[CAUTIONS_MOST];
    int n = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        for (int k = 0; map_block_shown(mp, b) && k < p->nparts; k++)
            n = add_caution(c, list, n, p->parts[k].crop);
    }
    column_head(c, "Take care");
    for (int i = 0; i < n; i++) {
        if (i > 0)
            column_cut(c, 0);
        page_circle(c->page, "key", (struct mm){c->x + 0.9, c->y + 1.3}, 0.6, 0, INK_NONE,
                    INK_BLACK);
        c->x += 3;
        c->w -= 3;
        column_text(c, CAUTION_MM, false, 0, list[i]);
        c->x -= 3;
        c->w += 3;
    }
    column_text(c, CAUTION_MM, false, 0, "More of them, and all dates: see the sheet.");
}

/* ---- the whole ----------------------------------------------------------------------------- */

void map_key_write(const struct map_plot *mp, struct column *column)
{
    map_key_title(mp, column);
    map_key_tape(mp, column);
    key_crops(mp, column);
    map_key_cautions(mp, column);
    column_cut(column, 0);
}

/* A bar of so many pieces, black and white by turns. */
static void draw_bar(struct page *page, struct mm at, double piece_mm, int pieces)
{
    for (int i = 0; i < pieces; i++) {
        struct rect r = {at.x + i * piece_mm, at.y, at.x + (i + 1) * piece_mm, at.y + 1.6};
        page_rect(page, "bar", r, PEN_GRID, INK_BLACK, i % 2 ? INK_PAPER : INK_BLACK);
    }
}

/* Lengths on the ground: the longest of 1, 2, 4, 5, 10 ... units that is no longer than 70 mm. */
static void draw_scale(const struct map_plot *mp, struct page *page, struct mm at)
{
    static const struct {
        double length;
        int pieces;
    } lengths[] = {{8, 4}, {5, 5}, {4, 4}, {2, 4}, {1, 5}};
    double unit = mp->map->units == UNITS_METRIC ? 1 : 0.3048, mm = unit * 1000 / mp->ratio;
    double length = 0;
    int pieces = 1;
    for (int zeros = 6; zeros >= -1 && length <= 0; zeros--)
        for (size_t i = 0; i < sizeof lengths / sizeof *lengths && length <= 0; i++)
            if (lengths[i].length * pow(10, zeros) * mm <= 70) {
                length = lengths[i].length * pow(10, zeros);
                pieces = lengths[i].pieces;
            }
    double piece = length * mm / pieces;
    draw_bar(page, at, piece, pieces);
    for (int i = 0; i <= pieces; i++) {
        char num[64];
        const char *text =
            arena_printf(page->arena, "%s%s", num_text(num, sizeof num, length * i / pieces),
                         i < pieces                       ? ""
                         : mp->map->units == UNITS_METRIC ? " m"
                                                          : " ft");
        page_text(page, "bar", (struct mm){at.x + i * piece, at.y - 1}, TYPE_LEAST_MM, ALIGN_LEFT,
                  false, text);
    }
}

void map_foot_draw(const struct map_plot *mp, struct page *page, double margin_mm, int number,
                   int of)
{
    bool metric = mp->map->units == UNITS_METRIC;
    double y = page->h_mm - margin_mm - 1.6, inch = 25.4;
    struct mm left = {margin_mm, y};
    draw_bar(page, left, metric ? 10 : inch, metric ? 10 : 4);
    const char *check = arena_printf(page->arena, "Print on %s at 100 %%: this bar is then %s long",
                                     paper_name(mp->map->paper), metric ? "100 mm" : "4 in");
    page_text(page, "bar", (struct mm){left.x, y - 1}, TYPE_LEAST_MM, ALIGN_LEFT, true, check);
    double right = page->w_mm - margin_mm;
    if (page->ratio > 0)
        draw_scale(mp, page, (struct mm){left.x + 106, y});
    const char *text = arena_printf(page->arena, "%d of %d", number, of);
    page_text(page, "page", (struct mm){right, y + 1.6}, TYPE_LEAST_MM, ALIGN_RIGHT, false, text);
}
