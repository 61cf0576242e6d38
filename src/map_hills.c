/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"
#include "sheet.h"

/* How the hills are built: of each kind a plan and a section at one ratio, larger than the map's,
 * and the steps in their order with what triggers each. */

#define PI         3.14159265358979323846
#define DOT_MM     0.85 /* radius of a seed */
#define PLAN_MM    92.0 /* the plan's room, square */
#define SEEDS_MOST 64
#define SHOULDER                                                                                   \
    0.72 /* of a mound's radius: where its flat top ends and the slope begins; typical */
#define TAG_MM (MAP_SYMBOL_MM + 0.8)

struct hill {
    const struct map *map;
    const struct planting *planting;
    struct column *column;
    double mm_per_m;
    struct mm centre;            /* of the plan */
    struct mm taken[SEEDS_MOST]; /* seeds and symbols drawn so far */
    int n;
};

static double outer_m(const struct planting *p)
{
    double outer = p->hill_diameter_m / 2;
    for (int k = 0; k < p->nparts; k++)
        outer = fmax(outer, p->parts[k].ring_m);
    return outer;
}

/* The largest round ratio at which the hill and its symbols fit the plan's room. */
static double hill_ratio(const struct map *map, const struct planting *p)
{
    static const double us[] = {4, 6, 8, 12, 16, 24, 32, 48},
                        metric[] = {4, 5, 8, 10, 15, 20, 30, 50};
    const double *list = map->units == UNITS_METRIC ? metric : us;
    int i = 0;
    while (i < 7 && 2000 * outer_m(p) / list[i] + TAG_MM > PLAN_MM)
        i++;
    return list[i];
}

static const char *length_words(const struct hill *h, double m)
{
    char buf[64];
    return arena_strdup(h->column->arena, unit_length(buf, sizeof buf, m, h->map->units));
}

static const struct symbol *symbol_of(const struct hill *h, int k)
{
    return &h->map->symbols[h->planting->parts[k].seed_index];
}

static int seeds_of(const struct part *part)
{
    return (int)num_clamp(ceil(part->sown - 1e-9), 0, SEEDS_MOST);
}

/* ---- plan ---------------------------------------------------------------------------------- */

static struct mm on_ring(const struct hill *h, double ring_m, double turn)
{
    double r = ring_m * h->mm_per_m;
    return (struct mm){h->centre.x + r * sin(turn), h->centre.y - r * cos(turn)};
}

/* The least distance of n places on a ring, turned by phase, from all drawn before. */
static double clearance(const struct hill *h, double ring_m, int n, double phase)
{
    double least = HUGE_VAL;
    for (int i = 0; i < n; i++) {
        struct mm p = on_ring(h, ring_m, phase + 2 * PI * i / n);
        for (int j = 0; j < h->n; j++)
            least = fmin(least, hypot(p.x - h->taken[j].x, p.y - h->taken[j].y));
    }
    return least;
}

/* How n even places on a ring are turned to be clear of what is there; the first tries are the
 * plainest. */
static double best_phase(const struct hill *h, double ring_m, int n, double from, double step,
                         int tries)
{
    double best = -1, phase = from;
    for (int t = 0; t < tries; t++) {
        double at = from + step * t, clear = clearance(h, ring_m, n, at);
        if (clear > best + 0.2) {
            best = clear;
            phase = at;
        }
    }
    return phase;
}

static void take(struct hill *h, struct mm at)
{
    if (h->n < SEEDS_MOST)
        h->taken[h->n++] = at;
}

/* The ring, a dot for each seed, and the crop's symbol on the ring between two of them. */
static void draw_ring(struct hill *h, int k)
{
    const struct part *part = &h->planting->parts[k];
    struct page *page = h->column->page;
    int n = seeds_of(part);
    if (n < 1)
        return;
    if (part->ring_m > 0)
        page_circle(page, "hill-ring", h->centre, part->ring_m * h->mm_per_m, PEN_FINE, INK_BLACK,
                    INK_NONE)
            ->dash = part->every > 1 ? DASH_LONG : DASH_SHORT;
    double ring = part->ring_m > 0 || n == 1 ? part->ring_m : 1.5 * TAG_MM / h->mm_per_m / 2;
    double phase = best_phase(h, ring, n, 0, PI / 12 / n, 24);
    for (int i = 0; i < n; i++) {
        struct mm at = on_ring(h, ring, phase + 2 * PI * i / n);
        page_circle(page, "hill-seed", at, DOT_MM, 0, INK_NONE, INK_BLACK);
        take(h, at);
    }
    double gap = 2 * PI / n, on = ring > 0 ? ring : TAG_MM / h->mm_per_m;
    double turn = best_phase(h, on, 1, phase + gap / 2, gap, n);
    if (clearance(h, on, 1, turn) < 0.9 * TAG_MM)
        turn = best_phase(h, on, 1, turn, PI / 36, 72);
    struct mm at = on_ring(h, on, turn);
    map_symbol_draw(page, symbol_of(h, k), at);
    take(h, at);
}

/* Distances from the centre below the plan, each at its ring. */
static void draw_radii(struct hill *h, double y)
{
    double rings[STAND_PARTS_MAX], places[STAND_PARTS_MAX], size = TYPE_LEAST_MM;
    bool metric = h->map->units == UNITS_METRIC;
    struct page *page = h->column->page;
    int n = 0;
    for (int k = 0; k < h->planting->nparts; k++) {
        double ring = h->planting->parts[k].ring_m;
        int i = n;
        bool there = ring <= 0;
        for (int j = 0; j < n; j++)
            there = there || fabs(rings[j] - ring) < 1e-6;
        for (; !there && i > 0 && rings[i - 1] > ring; i--)
            rings[i] = rings[i - 1];
        if (!there) {
            rings[i] = ring;
            n++;
        }
    }
    for (int i = 0; i < n; i++)
        places[i] = h->centre.x + rings[i] * h->mm_per_m;
    double end = n > 0 ? places[n - 1] : h->centre.x;
    labels_spread(places, n, scene_text_width("000 ", size, false), h->centre.x, end + 30);
    page_line(page, "hill-scale", (struct mm){h->centre.x, y}, (struct mm){end, y}, PEN_FINE,
              INK_BLACK);
    page_line(page, "hill-scale", (struct mm){h->centre.x, y - 1.2},
              (struct mm){h->centre.x, y + 1.2}, PEN_FINE, INK_BLACK);
    page_text(page, "hill-scale", (struct mm){h->centre.x - 2, y + 1}, size, ALIGN_RIGHT, false,
              metric ? "from the middle, cm" : "from the middle, inches");
    for (int i = 0; i < n; i++) {
        char num[64];
        double x = h->centre.x + rings[i] * h->mm_per_m;
        double v = metric ? round(rings[i] / 0.01) : round(rings[i] / 0.0254 * 2) / 2;
        page_line(page, "hill-scale", (struct mm){x, y - 1.2}, (struct mm){x, y + 1.2}, PEN_FINE,
                  INK_BLACK);
        page_text(page, "hill-scale", (struct mm){places[i], y + 1.8 + 0.8 * size}, size,
                  ALIGN_CENTRE, true, arena_strdup(h->column->arena, num_text(num, sizeof num, v)));
    }
}

/* ---- section ------------------------------------------------------------------------------- */

/* Height of the surface over the ground beside the hill, so far from the middle. */
static double surface_m(const struct planting *p, double from_m)
{
    double r = p->hill_diameter_m / 2, edge = SHOULDER * r;
    bool basin = p->guild->shape.s && strncmp(p->guild->shape.s, "basin", 5) == 0;
    if (from_m >= r)
        return 0;
    if (from_m > edge)
        return p->hill_height_m * (r - from_m) / (r - edge);
    /* the middle of a basin lies as deep as its rim is high */
    return basin ? p->hill_height_m * (2 * from_m / edge - 1) : p->hill_height_m;
}

static void draw_surface(const struct hill *h, double base)
{
    enum { POINTS = 81 };
    struct mm p[POINTS];
    const struct planting *q = h->planting;
    double k = h->mm_per_m, reach = fmin(1.12 * outer_m(q), (PLAN_MM / 2 + 1.5) / k);
    struct page *page = h->column->page;
    for (int i = 0; i < POINTS; i++) {
        double x = reach * (2.0 * i / (POINTS - 1) - 1);
        p[i] = (struct mm){h->centre.x + x * k, base - surface_m(q, fabs(x)) * k};
    }
    for (int i = 0; i + 1 < POINTS; i++)
        page_line(page, "hill-section", p[i], p[i + 1], PEN_HILL, INK_BLACK);
    double left = h->centre.x - q->hill_diameter_m / 2 * k, right = 2 * h->centre.x - left;
    page_line(page, "hill-section", (struct mm){left, base}, (struct mm){right, base}, PEN_GRID,
              INK_BLACK)
        ->dash = DASH_SHORT;
}

/* Seeds where they lie, on both sides of the middle; the symbols above, each over its right one. */
static void draw_sown(const struct hill *h, double base, double tags_y)
{
    const struct planting *p = h->planting;
    double places[STAND_PARTS_MAX], k = h->mm_per_m, widest = 0;
    int order[STAND_PARTS_MAX];
    struct page *page = h->column->page;
    for (int i = 0; i < p->nparts; i++) {
        int j = i;
        for (; j > 0 && p->parts[order[j - 1]].ring_m > p->parts[i].ring_m; j--)
            order[j] = order[j - 1];
        order[j] = i;
        widest = fmax(widest, map_symbol_width(symbol_of(h, i)));
    }
    for (int i = 0; i < p->nparts; i++)
        places[i] = h->centre.x + p->parts[order[i]].ring_m * k;
    labels_spread(places, p->nparts, widest + 0.8, h->centre.x - 10, h->centre.x + PLAN_MM / 2);
    for (int i = 0; i < p->nparts; i++) {
        const struct part *part = &p->parts[order[i]];
        double depth = part->crop->depth_m.typ;
        double y = base - (surface_m(p, part->ring_m) - depth) * k;
        for (int side = part->ring_m > 0 ? -1 : 1; side <= 1; side += 2)
            page_circle(page, "hill-seed", (struct mm){h->centre.x + side * part->ring_m * k, y},
                        DOT_MM, 0, INK_NONE, INK_BLACK);
        page_line(page, "hill-section", (struct mm){places[i], tags_y + MAP_SYMBOL_MM / 2 + 0.4},
                  (struct mm){h->centre.x + part->ring_m * k, y}, PEN_GRID, INK_BLACK);
        map_symbol_draw(page, symbol_of(h, order[i]), (struct mm){places[i], tags_y});
    }
}

static void draw_dimensions(const struct hill *h, double base, double y)
{
    const struct planting *p = h->planting;
    struct page *page = h->column->page;
    double k = h->mm_per_m, left = h->centre.x - p->hill_diameter_m / 2 * k, size = TYPE_LEAST_MM;
    double right = 2 * h->centre.x - left, top = base - p->hill_height_m * k;
    page_line(page, "hill-scale", (struct mm){left, y}, (struct mm){right, y}, PEN_FINE, INK_BLACK);
    page_line(page, "hill-scale", (struct mm){left, base + 0.8}, (struct mm){left, y + 1.2},
              PEN_FINE, INK_BLACK);
    page_line(page, "hill-scale", (struct mm){right, base + 0.8}, (struct mm){right, y + 1.2},
              PEN_FINE, INK_BLACK);
    struct arena *arena = h->column->arena;
    const char *across = length_words(h, p->hill_diameter_m),
               *high = length_words(h, p->hill_height_m);
    page_text(page, "hill-scale", (struct mm){h->centre.x, y + 1.2 + 0.8 * size}, size,
              ALIGN_CENTRE, true, across ? arena_printf(arena, "%s across", across) : NULL);
    double x = left - 2.5;
    page_line(page, "hill-scale", (struct mm){x, base}, (struct mm){x, top}, PEN_FINE, INK_BLACK);
    page_line(page, "hill-scale", (struct mm){x - 1, base}, (struct mm){x + 1, base}, PEN_FINE,
              INK_BLACK);
    page_line(page, "hill-scale", (struct mm){x - 1, top}, (struct mm){x + 1, top}, PEN_FINE,
              INK_BLACK);
    page_text(page, "hill-scale", (struct mm){x - 1, top - 1.4}, size, ALIGN_LEFT, true,
              high ? arena_printf(arena, "%s high", high) : NULL);
}

/* The section with its top at y; its bottom is returned. */
static double draw_section(const struct hill *h, double y)
{
    double tallest = h->planting->hill_height_m * h->mm_per_m, tags = y + MAP_SYMBOL_MM / 2 + 1;
    double base = tags + MAP_SYMBOL_MM / 2 + 6 + tallest;
    draw_surface(h, base);
    draw_sown(h, base, tags);
    double deepest = 0;
    for (int k = 0; k < h->planting->nparts; k++)
        deepest = fmax(deepest, h->planting->parts[k].crop->depth_m.typ -
                                    surface_m(h->planting, h->planting->parts[k].ring_m));
    double below = base + fmax(0, deepest * h->mm_per_m) + 4;
    draw_dimensions(h, base, below);
    return below + 2 + TYPE_LEAST_MM;
}

/* ---- steps --------------------------------------------------------------------------------- */

/* "2, 4, 7": the hills of this kind that hold part k; k -1: all of them. NULL: out of memory. */
static const char *hill_numbers(const struct hill *h, int k)
{
    const struct plan *plan = h->map->plan;
    int n = 0, *numbers = ARENA_ARRAY(h->column->arena, int, (size_t)plan->nstations + 1);
    for (int s = 0; numbers && s < plan->nstations; s++) {
        const struct station *station = &plan->stations[s];
        if (map_same_hill(plan->blocks[station->block].planting, h->planting) &&
            (k < 0 || station->plants[k] > 0))
            numbers[n++] = (int)strtol(station->id, NULL, 10);
    }
    return numbers ? sheet_ranges(h->column->arena, numbers, n) : NULL;
}

static const char *when_words(const struct hill *h, const struct part *part)
{
    char day[64], num[64];
    struct arena *arena = h->column->arena;
    const char *soil = "";
    date_text(day, sizeof day, part->season.sow);
    if (part->crop->soil_min_c.set) {
        double c = part->crop->soil_min_c.typ;
        bool us = h->map->units == UNITS_US;
        soil = arena_printf(arena, ", when the soil has %s %s",
                            num_fixed(num, sizeof num, us ? 9 * c / 5 + 32 : c, 0), us ? "F" : "C");
    }
    if (!soil)
        return NULL;
    if (*part->trigger)
        return arena_printf(arena, "%s%s (about %s)",
                            strncmp(part->trigger, "when", 4) == 0 ? "W" : "When: ",
                            part->trigger + (strncmp(part->trigger, "when", 4) == 0), day);
    return arena_printf(arena, "%s %s%s", part->delay_d > 0 ? "When: about" : "When: from", day,
                        soil);
}

static const char *how_words(const struct hill *h, const struct part *part)
{
    char num[64];
    struct arena *arena = h->column->arena;
    int n = seeds_of(part);
    const char *ring = length_words(h, part->ring_m),
               *depth = length_words(h, part->crop->depth_m.typ);
    const char *apart = length_words(h, 2 * part->ring_m * sin(PI / (n > 1 ? n : 2)));
    const char *where = "in the middle", *keep = "";
    if (!ring || !depth || !apart)
        return NULL;
    if (part->ring_m > 0 && n > 1)
        where = arena_printf(arena, "evenly on the ring %s from the middle, about %s apart", ring,
                             apart);
    else if (part->ring_m > 0)
        where = arena_printf(arena, "%s from the middle", ring);
    if (part->per_station < n)
        keep = part->per_station == 1
                   ? " Once they stand well, keep the best one."
                   : arena_printf(arena, " Once they stand well, keep the best %d.",
                                  part->per_station);
    if (!where || !keep)
        return NULL;
    return arena_printf(arena, "%s %s %s, %s deep.%s", num_fixed(num, sizeof num, n, 0),
                        map_piece_word(part->crop, n), where, depth, keep);
}

static void write_step(struct hill *h, int k, int number)
{
    const struct part *part = &h->planting->parts[k];
    struct column *c = h->column;
    double x = c->x, w = c->w, tag = map_symbol_width(symbol_of(h, k)) + 1.5;
    const double in = 7;
    page_text(c->page, "key", (struct mm){x, c->y + 0.8 * TYPE_NUMBER_MM}, TYPE_NUMBER_MM,
              ALIGN_LEFT, true, arena_printf(c->arena, "%d", number));
    map_symbol_draw(c->page, symbol_of(h, k),
                    (struct mm){x + in + (tag - 1.5) / 2, c->y + MAP_SYMBOL_MM / 2 - 0.8});
    c->x = x + in + tag;
    c->w = w - in - tag;
    double below = c->y + MAP_SYMBOL_MM;
    column_text(c, TYPE_BODY_MM, true, 0,
                arena_printf(c->arena, "%s, %s", part->crop->name.s, part->seed->variety.s));
    c->y = fmax(c->y, below);
    c->x = x + in;
    c->w = w - in;
    const char *when = when_words(h, part);
    column_text(c, TYPE_BODY_MM, false, 0, when ? arena_printf(c->arena, "%s.", when) : NULL);
    column_text(c, TYPE_BODY_MM, false, 0, how_words(h, part));
    if (part->every > 1) {
        const char *numbers = hill_numbers(h, k);
        column_text(c, TYPE_BODY_MM, false, 0,
                    numbers ? arena_printf(c->arena, "Only in hill%s %s, ringed twice on the map.",
                                           strpbrk(numbers, ",-") ? "s" : "", numbers)
                            : NULL);
    }
    c->x = x;
    c->w = w;
    c->y += 1.6;
}

static void write_building(struct hill *h)
{
    struct column *c = h->column;
    const struct planting *p = h->planting;
    const double in = 7;
    const char *across = length_words(h, p->hill_diameter_m),
               *high = length_words(h, p->hill_height_m);
    page_text(c->page, "key", (struct mm){c->x, c->y + 0.8 * TYPE_NUMBER_MM}, TYPE_NUMBER_MM,
              ALIGN_LEFT, true, "1");
    c->x += in;
    c->w -= in;
    column_text(c, TYPE_BODY_MM, true, 0, "Build the hill");
    column_text(c, TYPE_BODY_MM, false, 0,
                "When: in the week before the first sowing, when a handful of soil crumbles.");
    column_text(c, TYPE_BODY_MM, false, 0,
                across && high
                    ? arena_printf(c->arena,
                                   "Stake the middle at its x and y from the sheet. Loosen and "
                                   "heap the soil: %s across at the foot, %s high; %s.",
                                   across, high,
                                   p->guild->shape.s ? p->guild->shape.s : "flat on top")
                    : NULL);
    c->x -= in;
    c->w += in;
    c->y += 1.6;
}

/* In the order of sowing. */
static void write_steps(struct hill *h)
{
    const struct planting *p = h->planting;
    bool done[STAND_PARTS_MAX] = {false};
    write_building(h);
    for (int step = 0; step < p->nparts; step++) {
        int next = -1;
        for (int k = 0; k < p->nparts; k++)
            if (!done[k] && (next < 0 || p->parts[k].delay_d < p->parts[next].delay_d))
                next = k;
        if (next < 0)
            return; /* all are done */
        done[next] = true;
        write_step(h, next, step + 2);
    }
}

/* ---- pages --------------------------------------------------------------------------------- */

static void draw_hill(const struct map *map, const struct planting *p, struct column *c)
{
    char num[64];
    double ratio = hill_ratio(map, p), top, full = c->w;
    struct hill h = {.map = map, .planting = p, .column = c, .mm_per_m = 1000 / ratio};
    const char *numbers = hill_numbers(&h, -1);
    bool unique = map->manner == &map_of_plan; /* other maps may number their hills by parts */
    column_head(c, numbers ? arena_printf(c->arena, "%s%s%s: drawn 1:%s", p->guild->name.s,
                                          unique ? ", hills " : "", unique ? numbers : "",
                                          num_text(num, sizeof num, ratio))
                           : NULL);
    if (c->failed)
        return;
    top = c->y + 1;
    double reach = outer_m(p) * h.mm_per_m + TAG_MM / 2;
    h.centre = (struct mm){c->x + PLAN_MM / 2, top + reach};
    page_circle(c->page, "hill-edge", h.centre, p->hill_diameter_m / 2 * h.mm_per_m, PEN_HILL,
                INK_BLACK, INK_PAPER);
    page_line(c->page, "hill-edge", (struct mm){h.centre.x - 1.5, h.centre.y},
              (struct mm){h.centre.x + 1.5, h.centre.y}, PEN_FINE, INK_BLACK);
    page_line(c->page, "hill-edge", (struct mm){h.centre.x, h.centre.y - 1.5},
              (struct mm){h.centre.x, h.centre.y + 1.5}, PEN_FINE, INK_BLACK);
    take(&h, h.centre);
    for (int k = 0; k < p->nparts; k++)
        draw_ring(&h, k);
    draw_radii(&h, top + 2 * reach + 2.5);
    double below = draw_section(&h, top + 2 * reach + 9);
    c->x += PLAN_MM + 6;
    c->w -= PLAN_MM + 6;
    c->y = top;
    write_steps(&h);
    column_text(c, TYPE_LEAST_MM, false, 0,
                "Dots are seeds or pieces. Plan above, section below, at one scale; the slope of "
                "the section is typical.");
    c->x -= PLAN_MM + 6;
    c->w = full;
    c->y = fmax(c->y, below) + 3;
}

bool map_same_hill(const struct planting *p, const struct planting *q)
{
    bool same = p->system == SYSTEM_HILLS && q->system == SYSTEM_HILLS && p->guild == q->guild &&
                p->nparts == q->nparts && fabs(p->hill_diameter_m - q->hill_diameter_m) < 1e-6;
    for (int k = 0; same && k < p->nparts; k++)
        same = p->parts[k].seed_index == q->parts[k].seed_index;
    return same;
}

/* Whether the hill of block b is the first of its kind. */
static bool is_first(const struct plan *plan, int b)
{
    const struct planting *p = plan->blocks[b].planting;
    for (int i = 0; i < b; i++)
        if (map_same_hill(plan->blocks[i].planting, p))
            return false;
    return p->system == SYSTEM_HILLS && p->guild != NULL;
}

bool map_hills_draw(const struct map *map, struct scene *scene)
{
    double w, h;
    struct column c;
    const struct plan *plan = map->plan;
    paper_size(map->paper, &w, &h);
    struct rect room = {MAP_MARGIN_MM, MAP_MARGIN_MM + 9, w - MAP_MARGIN_MM,
                        h - MAP_MARGIN_MM - MAP_FOOT_MM};
    column_init(&c, map->arena, room.x1 - room.x0, 1);
    for (int b = 0; b < plan->nblocks; b++)
        if (is_first(plan, b))
            draw_hill(map, plan->blocks[b].planting, &c);
    column_cut(&c, 0);
    const char *title = arena_printf(map->arena, "%s: how the hills are built, %s %s",
                                     plan->garden->name.s, map->manner->paper, plan->id);
    if (c.failed || !title)
        return false;
    title = scene_text_cut(map->arena, title, TYPE_NUMBER_MM, true, room.x1 - room.x0);
    const struct piece *rest = c.first->draft.n > 0 ? c.first : NULL;
    while (rest && scene->npages < SCENE_PAGES_MAX) {
        struct page *page = &scene->pages[scene->npages++];
        page_init(page, map->arena, w, h);
        page->kind = PAGE_HILLS;
        page_text(page, "key", (struct mm){room.x0, MAP_MARGIN_MM + TYPE_NUMBER_MM}, TYPE_NUMBER_MM,
                  ALIGN_LEFT, true, title);
        rest = column_set(rest, room, 1, 0, page);
        if (page->failed)
            return false;
    }
    return true;
}
