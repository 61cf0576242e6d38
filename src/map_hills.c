/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>

#include "num.h"

/* Hills close up: where each plant stands on its ring, at a larger ratio than the map's. */

#define CLOSE_UPS_MOST 3
#define PI             3.14159265358979323846
#define PLACES_MOST    64

struct close_up {
    const struct map_plot *mp;
    const struct planting *planting;
    struct column *column;
    double mm_per_m;
    struct mm centre;
    struct mm places[PLACES_MOST]; /* of the plants drawn so far */
    int n;
};

static double outer_m(const struct planting *p)
{
    double outer = p->hill_diameter_m / 2;
    for (int k = 0; k < p->nparts; k++)
        outer = fmax(outer, p->parts[k].ring_m);
    return outer;
}

/* The first ratio of the list at which the hill is no wider than so many mm. */
static double close_up_ratio(const struct map_plot *mp, const struct planting *p, double room_mm)
{
    static const double us[] = {6, 8, 12, 16, 24, 32, 48}, metric[] = {5, 10, 15, 20, 25, 30, 50};
    const double *list = mp->map->units == UNITS_METRIC ? metric : us;
    int i = 0;
    while (i < 6 && 2000 * outer_m(p) / list[i] + 2 * MAP_SYMBOL_MM > room_mm)
        i++;
    return list[i];
}

static struct mm on_ring(const struct close_up *u, double ring_m, double turn)
{
    double r = ring_m * u->mm_per_m;
    return (struct mm){u->centre.x + r * sin(turn), u->centre.y - r * cos(turn)};
}

/* The least distance of n plants on a ring, turned by phase, from all drawn before. */
static double clearance(const struct close_up *u, double ring_m, int n, double phase)
{
    double least = HUGE_VAL;
    for (int i = 0; i < n; i++) {
        struct mm p = on_ring(u, ring_m, phase + 2 * PI * i / n);
        for (int j = 0; j < u->n; j++)
            least = fmin(least, hypot(p.x - u->places[j].x, p.y - u->places[j].y));
    }
    return least;
}

static void draw_plants(struct close_up *u, const struct part *part)
{
    int n = part->per_station < PLACES_MOST ? part->per_station : PLACES_MOST, before = u->n;
    double phase = 0, best = -1;
    if (n < 1)
        return;
    for (int t = 0; t < 24; t++) {
        double at = 2 * PI / n * t / 24, clear = clearance(u, part->ring_m, n, at);
        if (clear > best + 1e-6) {
            best = clear;
            phase = at;
        }
    }
    if (before == 0)
        phase = 0;
    if (part->ring_m > 0)
        page_circle(u->column->page, "close-up", u->centre, part->ring_m * u->mm_per_m, PEN_FINE,
                    INK_BLACK, INK_NONE)
            ->dash = part->every > 1 ? DASH_LONG : DASH_SHORT;
    for (int i = 0; i < n && u->n < PLACES_MOST; i++)
        u->places[u->n++] = on_ring(u, part->ring_m, phase + 2 * PI * i / n);
    for (int i = before; i < u->n; i++)
        map_symbol_draw(u->column->page, &u->mp->map->symbols[part->seed_index], u->places[i]);
}

/* Distances from the centre under the drawing, each at its ring. */
static void draw_radii(struct close_up *u, double y)
{
    double rings[STAND_PARTS_MAX], places[STAND_PARTS_MAX];
    int n = 0;
    for (int k = 0; k < u->planting->nparts; k++) {
        double ring = u->planting->parts[k].ring_m;
        bool there = ring <= 0;
        for (int i = 0; i < n; i++)
            there = there || fabs(rings[i] - ring) < 1e-6;
        int i = there ? -1 : n++;
        for (; i > 0 && rings[i - 1] > ring; i--)
            rings[i] = rings[i - 1];
        if (i >= 0)
            rings[i] = ring;
    }
    if (n == 0)
        return;
    struct page *page = u->column->page;
    double end = u->centre.x + rings[n - 1] * u->mm_per_m, size = TYPE_LEAST_MM;
    page_line(page, "close-up", (struct mm){u->centre.x, y}, (struct mm){end, y}, PEN_FINE,
              INK_BLACK);
    page_line(page, "close-up", (struct mm){u->centre.x, y - 1}, (struct mm){u->centre.x, y + 1},
              PEN_FINE, INK_BLACK);
    bool metric = u->mp->map->units == UNITS_METRIC;
    for (int i = 0; i < n; i++)
        places[i] = u->centre.x + rings[i] * u->mm_per_m;
    double gap = scene_text_width("00 ", size, false);
    labels_spread(places, n, gap, u->centre.x, end + n * gap);
    page_text(page, "close-up", (struct mm){u->centre.x - 2, y + 1.4 + 0.8 * size}, size,
              ALIGN_RIGHT, false, metric ? "cm" : "inches");
    for (int i = 0; i < n; i++) {
        char num[64];
        double x = u->centre.x + rings[i] * u->mm_per_m;
        double v = metric ? round(rings[i] / 0.01) : round(rings[i] / 0.0254 * 2) / 2;
        page_line(page, "close-up", (struct mm){x, y - 1}, (struct mm){x, y + 1}, PEN_FINE,
                  INK_BLACK);
        const char *text = arena_strdup(u->column->arena, num_text(num, sizeof num, v));
        page_text(page, "close-up", (struct mm){places[i], y + 1.4 + 0.8 * size}, size,
                  ALIGN_CENTRE, false, text);
    }
}

static void write_part(struct close_up *u, int k)
{
    const struct part *part = &u->planting->parts[k];
    struct column *c = u->column;
    enum unit_system units = u->mp->map->units;
    char ring[64], depth[64], num[64];
    unit_length(ring, sizeof ring, part->ring_m, units);
    unit_length(depth, sizeof depth, part->crop->depth_m.typ, units);
    double sown = ceil(part->sown - 1e-9);
    const char *letter = u->mp->map->symbols[part->seed_index].letter;
    const char *where =
        part->ring_m > 0 ? arena_printf(c->arena, "%s from the centre", ring) : "in the middle";
    const char *when = *part->trigger ? arena_printf(c->arena, " Sown %s.", part->trigger) : "";
    const char *which =
        part->every == 2 ? " Only in hills with a second ring: every other one."
        : part->every > 2
            ? arena_printf(c->arena, " Only in hills with a second ring: one in %d.", part->every)
            : "";
    const char *text = NULL;
    if (where && when && which)
        text = arena_printf(c->arena, "%s: %s %s %s, %s deep; keep %d.%s%s", letter,
                            num_fixed(num, sizeof num, sown, 0), map_piece_word(part->crop, sown),
                            where, depth, part->per_station, which, when);
    column_text(c, TYPE_BODY_MM, false, 3, text);
    c->y += 0.6;
}

static void draw_close_up(const struct map_plot *mp, const struct planting *p, struct column *c)
{
    char dia[64], height[64], num[64];
    double ratio = close_up_ratio(mp, p, fmin(0.58 * c->w, 76));
    double reach = outer_m(p) * 1000 / ratio + MAP_SYMBOL_MM * 0.75, top = c->y;
    struct close_up u = {.mp = mp, .planting = p, .column = c, .mm_per_m = 1000 / ratio};
    u.centre = (struct mm){c->x + reach, top + reach};
    page_circle(c->page, "close-up", u.centre, p->hill_diameter_m / 2 * u.mm_per_m, PEN_HILL,
                INK_BLACK, INK_PAPER);
    page_circle(c->page, "close-up", u.centre, 0.6, 0, INK_NONE, INK_BLACK);
    for (int k = 0; k < p->nparts; k++)
        draw_plants(&u, &p->parts[k]);
    draw_radii(&u, top + 2 * reach + 1.6);
    double x = c->x, w = c->w, in = 2 * reach + 5, below = top + 2 * reach + 6.5;
    bool aside = w - in >= 30; /* else the words go below */
    c->x += aside ? in : 0;
    c->w -= aside ? in : 0;
    c->y = aside ? top : below;
    unit_length(dia, sizeof dia, p->hill_diameter_m, mp->map->units);
    unit_length(height, sizeof height, p->hill_height_m, mp->map->units);
    column_text(
        c, TYPE_BODY_MM, true, 0,
        arena_printf(c->arena, "%s, 1:%s", p->guild->name.s, num_text(num, sizeof num, ratio)));
    column_text(c, TYPE_BODY_MM, false, 0,
                arena_printf(c->arena, "%s across, %s high.", dia, height));
    c->y += 0.6;
    for (int k = 0; k < p->nparts; k++)
        write_part(&u, k);
    c->x = x;
    c->w = w;
    c->y = fmax(c->y, below) + 1;
}

/* Whether the same hill was drawn for a block before b. */
static bool drawn_before(const struct map_plot *mp, int b)
{
    const struct plan *plan = mp->map->plan;
    const struct planting *p = plan->blocks[b].planting;
    for (int i = 0; i < b; i++) {
        const struct planting *q = plan->blocks[i].planting;
        bool same = q->guild == p->guild && q->system == p->system && q->nparts == p->nparts &&
                    plan->zones.items[plan->blocks[i].zone].plot == mp->index;
        for (int k = 0; same && k < p->nparts; k++)
            same = q->parts[k].seed_index == p->parts[k].seed_index;
        if (same)
            return true;
    }
    return false;
}

void map_hills_draw(const struct map_plot *mp, struct column *column)
{
    const struct plan *plan = mp->map->plan;
    int drawn = 0;
    for (int b = 0; b < plan->nblocks && drawn < CLOSE_UPS_MOST; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (plan->zones.items[plan->blocks[b].zone].plot != mp->index ||
            p->system != SYSTEM_HILLS || !p->guild || drawn_before(mp, b))
            continue;
        if (drawn++ == 0)
            column_head(column, "A hill close up");
        else
            column_cut(column, 2);
        draw_close_up(mp, p, column);
    }
}
