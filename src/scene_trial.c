/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "scene_trial.h"

#include <math.h>

#include "map.h"
#include "num.h"
#include "trial_words.h"

static const struct trial *trial_of(const struct map_plot *mp)
{
    return mp->map->subject;
}

/* ---- below the crops ------------------------------------------------------------------------ */

/* What of some ground lies on this map or tile, plot frame; false: nothing. */
static bool ground_here(const struct map_plot *mp, struct rect *r)
{
    const struct rect *b = &mp->bounds;
    if (mp->tile)
        *r = (struct rect){fmax(r->x0, b->x0), fmax(r->y0, b->y0), fmin(r->x1, b->x1),
                           fmin(r->y1, b->y1)};
    return r->x1 - r->x0 > 1e-3 && r->y1 - r->y0 > 1e-3;
}

/* Some ground, filled as far as it lies here, with those of its sides that do. */
static void ground_draw(struct map_plot *mp, const char *what, struct rect ground, double pen_mm,
                        enum ink fill, enum dash dash)
{
    const struct view *view = &mp->page->view;
    struct rect g = ground, here = ground;
    if (!ground_here(mp, &here))
        return;
    if (!mp->tile) {
        page_rect(mp->page, what, view_rect(view, g), pen_mm, INK_BLACK, fill)->dash = dash;
        return;
    }
    if (fill != INK_NONE)
        page_rect(mp->page, what, view_rect(view, here), 0, INK_NONE, fill);
    const double sides[4][4] = {{g.x0, g.y0, g.x1, g.y0},
                                {g.x0, g.y1, g.x1, g.y1},
                                {g.x0, g.y0, g.x0, g.y1},
                                {g.x1, g.y0, g.x1, g.y1}};
    for (int i = 0; pen_mm > 0 && i < 4; i++) {
        struct point from = {.x = sides[i][0], .y = sides[i][1]};
        struct point to = {.x = sides[i][2], .y = sides[i][3]};
        if (map_segment(mp, &from, &to))
            page_line(mp->page, what, view_point(view, from.x, from.y),
                      view_point(view, to.x, to.y), pen_mm, INK_BLACK)
                ->dash = dash;
    }
}

/* The guard is shaded, the net ground within it left white. */
static void under_draw(struct map_plot *mp)
{
    const struct trial *t = trial_of(mp);
    for (int i = 0; i < 2 * t->blocks; i++) {
        const struct trial_half *h = &t->halves[i];
        ground_draw(mp, "half", h->ground, 0, INK_SILVER, DASH_SOLID);
        ground_draw(mp, "net", h->net, PEN_PATH, INK_PAPER, DASH_LONG);
    }
}

/* Too small when the hills have no room for their numbers, or the rows run into each other. */
static bool is_small(const struct map_plot *mp)
{
    const struct plan *plan = mp->map->plan;
    const double least_mm = 1.3 * TYPE_LEAST_MM;
    for (int s = 0; s < plan->nstations; s++) {
        const struct planting *p = plan->blocks[plan->stations[s].block].planting;
        if (p->system == SYSTEM_HILLS
                ? !map_number_fits(plan->stations[s].id, map_hill_radius(mp, p))
                : p->line_m * 1000 / mp->ratio < least_mm)
            return true;
    }
    return false;
}

/* ---- names ---------------------------------------------------------------------------------- */

static bool try_name(struct map_plot *mp, struct rect in, const char *text, double size)
{
    double w = scene_text_width(text, size, true) + 1, h = 1.05 * size;
    struct rect at;
    if (!labels_search(&mp->labels, in, w, h, &at))
        return false;
    labels_take(&mp->labels, at);
    page_text(mp->page, "treatment", (struct mm){at.x0 + 0.5, at.y0 + 0.8 * size}, size, ALIGN_LEFT,
              true, text)
        ->fill = INK_PAPER;
    return true;
}

/* Where nothing is clear the name goes over the plants in the middle, between two lines of hills:
 * it matters more than they. */
static void force_name(struct map_plot *mp, const struct trial_half *h, struct rect in,
                       const char *text)
{
    const struct plan *plan = mp->map->plan;
    double size = TYPE_LEAST_MM, w = scene_text_width(text, size, true) + 1;
    struct mm c = {(in.x0 + in.x1) / 2, (in.y0 + in.y1) / 2};
    for (int b = 0; !mp->tile && b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (trial_half_of(trial_of(mp), b) != h || p->system != SYSTEM_HILLS ||
            plan->blocks[b].lines % 2 == 0)
            continue;
        double shift = p->line_m * mp->page->view.mm_per_m / 2;
        *(map_rows_level(mp) ? &c.y : &c.x) += shift;
    }
    struct rect box = {c.x - w / 2, c.y - 0.6 * size, c.x + w / 2, c.y + 0.6 * size};
    page_rect(mp->page, "treatment", box, PEN_FINE, INK_BLACK, INK_PAPER);
    page_text(mp->page, "treatment", (struct mm){c.x, c.y + 0.37 * size}, size, ALIGN_CENTRE, true,
              text);
    labels_take(&mp->labels, box);
}

static double area_of(struct rect r)
{
    return (r.x1 - r.x0) * (r.y1 - r.y0);
}

/* "3 HILLS", as large as there is room for. */
static void half_name(struct map_plot *mp, const struct trial_half *h)
{
    static const double sizes[] = {5.2, 4.6, TYPE_NUMBER_MM, TYPE_BODY_MM, TYPE_LEAST_MM};
    static const char *const words[TREATMENT_COUNT] = {"HILLS", "ROWS"};
    struct rect ground = h->ground;
    const char *text = arena_printf(mp->map->arena, "%d %s", h->block + 1, words[h->treatment]);
    if (!text || !ground_here(mp, &ground)) {
        mp->page->failed = mp->page->failed || !text;
        return;
    }
    struct rect in = view_rect(&mp->page->view, ground);
    in = (struct rect){in.x0 + 0.4, in.y0 + 0.4, in.x1 - 0.4, in.y1 - 0.4};
    bool sliver = in.y1 - in.y0 < 1.5 * TYPE_LEAST_MM ||
                  in.x1 - in.x0 < scene_text_width(text, TYPE_LEAST_MM, true) + 1;
    if (mp->tile && sliver)
        return; /* named on the tile that has most of it */
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        if (try_name(mp, in, text, sizes[i]))
            return;
    if (mp->tile && area_of(ground) < area_of(h->ground) / 4)
        return; /* tiles that meet in it are four at most, so one has as much */
    force_name(mp, h, in, text);
}

/* The letters of what stands in a section of rows, between them or at their end. */
static void section_letters(struct map_plot *mp, int b)
{
    const struct plan *plan = mp->map->plan;
    const struct block *block = &plan->blocks[b];
    struct rect ground;
    if (!map_block_here(mp, b, &ground))
        return;
    struct rect in = view_rect(&mp->page->view, ground);
    struct strbuf text;
    strbuf_init(&text, mp->map->arena);
    for (int k = 0; k < block->planting->nparts; k++)
        strbuf_printf(&text, "%s%s", k > 0 ? " " : "",
                      map_symbol_of(mp, &block->planting->parts[k])->letter);
    mp->page->failed |= text.failed;
    for (int less = 0; TYPE_NUMBER_MM - 0.5 * less >= TYPE_LEAST_MM; less++)
        if (try_name(mp, in, text.p, TYPE_NUMBER_MM - 0.5 * less))
            return; /* else the hatch alone tells */
}

static void names_draw(struct map_plot *mp)
{
    const struct trial *t = trial_of(mp);
    map_hill_numbers_draw(mp);
    for (int i = 0; i < 2 * t->blocks; i++)
        half_name(mp, &t->halves[i]);
    for (int b = 0; b < t->plan->nblocks; b++)
        if (t->plan->blocks[b].planting->system != SYSTEM_HILLS)
            section_letters(mp, b);
    for (int i = 0; i < 2 * t->blocks; i++) /* over the strips of rows and their frames */
        ground_draw(mp, "ground", t->halves[i].ground, PEN_HILL, INK_NONE, DASH_SOLID);
}

/* ---- tapes ---------------------------------------------------------------------------------- */

/* Takes v into n ascending numbers, unless it is among them. */
static int insert(double *sorted, int n, double v)
{
    int i = n;
    while (i > 0 && sorted[i - 1] > v + 1e-6)
        i--;
    if (i > 0 && sorted[i - 1] > v - 1e-6)
        return n;
    for (int k = n; k > i; k--)
        sorted[k] = sorted[k - 1];
    sorted[i] = v;
    return n + 1;
}

/* Where the halves that lie here begin and end. */
static const double *marks(const struct map_plot *mp, bool x, int *n)
{
    const struct trial *t = trial_of(mp);
    double *m = ARENA_ARRAY(mp->map->arena, double, (size_t)(4 * t->blocks));
    *n = 0;
    for (int i = 0; m && i < 2 * t->blocks; i++) {
        const struct rect *r = &t->halves[i].ground, *b = &mp->bounds;
        struct rect here = *r;
        const double ends[] = {x ? r->x0 : r->y0, x ? r->x1 : r->y1};
        for (int e = 0; e < 2 && ground_here(mp, &here); e++)
            if (!mp->tile ||
                (ends[e] > (x ? b->x0 : b->y0) - 1e-6 && ends[e] < (x ? b->x1 : b->y1) + 1e-6))
                *n = insert(m, *n, ends[e]);
    }
    return m;
}

/* ---- key ------------------------------------------------------------------------------------ */

static void key_lines(struct column *c, const char *const *lines, int n, double size)
{
    for (int i = 0; i < n; i++) {
        if (i > 0)
            column_cut(c, 0.6);
        column_text(c, size, false, 3, lines[i]);
    }
}

static void key_test(const struct trial *t, struct column *c)
{
    column_head(c, "What is tested");
    column_text(c, TYPE_BODY_MM, false, 0, trial_question(t, c->arena));
    column_text(c, TYPE_BODY_MM, true, 0, trial_verdict(t, c->arena));
    column_text(c, TYPE_BODY_MM, false, 0,
                arena_printf(c->arena, "Drawn by lot from seed %lu.", t->seed));
}

/* A sample of how guard and net ground are drawn. */
static void key_guard(const struct map_plot *mp, struct column *c)
{
    const struct trial *t = trial_of(mp);
    double x = c->x, w = c->w;
    column_cut(c, 1.5);
    double top = c->y;
    page_rect(c->page, "key", (struct rect){x, top, x + 9, top + 7}, PEN_HILL, INK_BLACK,
              INK_SILVER);
    page_rect(c->page, "key", (struct rect){x + 2, top + 1.6, x + 7, top + 5.4}, PEN_PATH,
              INK_BLACK, INK_PAPER)
        ->dash = DASH_LONG;
    c->x += 11;
    c->w -= 11;
    column_text(c, TYPE_BODY_MM, false, 0, trial_guard_words(t, c->arena));
    c->x = x;
    c->w = w;
    c->y = fmax(c->y, top + 8);
}

static void key_planting(const struct map_plot *mp, struct column *c)
{
    const struct trial *t = trial_of(mp);
    column_head(c, "How each half is planted");
    column_text(c, TYPE_BODY_MM, false, 0, trial_hills_words(t, c->arena));
    for (int k = 0; k < t->ncrops; k++) {
        double x = c->x, w = c->w;
        column_cut(c, 0.8);
        double top = c->y;
        size_t seed = (size_t)(t->crops[k].seed - garden_seed(t->garden, 0));
        map_symbol_draw(c->page, &mp->map->symbols[seed],
                        (struct mm){x + 4.5, top + MAP_SYMBOL_MM / 2});
        struct rect strip = {x + 0.5, top + MAP_SYMBOL_MM + 1, x + 8.5, top + MAP_SYMBOL_MM + 3.4};
        page_rect(c->page, "sample", strip, PEN_FINE, INK_BLACK, mp->map->symbols[seed].tint)
            ->hatch = mp->map->symbols[seed].hatch;
        c->x += 11.5;
        c->w -= 11.5;
        column_text(c, TYPE_BODY_MM, true, 0,
                    arena_printf(c->arena, "%s, %s", t->crops[k].seed->crop->name.s,
                                 t->crops[k].seed->variety.s));
        column_text(c, TYPE_BODY_MM, false, 0, trial_rows_words(t, k, c->arena));
        c->x = x;
        c->w = w;
        c->y = fmax(c->y, top + MAP_SYMBOL_MM + 4.4);
    }
}

static void key_halves(const struct trial *t, struct column *c)
{
    column_head(c, "Corners on the tapes (x, y)");
    for (int i = 0; i < 2 * t->blocks; i++) {
        if (i > 0)
            column_cut(c, i % 2 == 0 ? 1 : 0.2);
        column_text(c, TYPE_BODY_MM, false, 3, trial_half_words(t, &t->halves[i], false, c->arena));
    }
}

static void key_weigh(struct column *c)
{
    column_head(c, "Weigh fairly");
    key_lines(c, trial_fairness, trial_fairness_lines, TYPE_BODY_MM);
}

static void key_write(const struct map_plot *mp, struct column *column)
{
    const struct trial *t = trial_of(mp);
    map_key_title(mp, column);
    map_key_tape(mp, column);
    key_test(t, column);
    key_guard(mp, column);
    key_planting(mp, column);
    key_halves(t, column);
    key_weigh(column);
    map_key_cautions(mp, column);
    column_cut(column, 0);
}

hr_status scene_trial(struct arena *arena, const struct trial *trial, enum paper paper,
                      struct scene **out)
{
    static const struct map_manner manner = {"trial",   under_draw, names_draw,
                                             key_write, marks,      is_small};
    struct map map = {.manner = &manner, .subject = trial, .arena = arena, .paper = paper};
    map.plan = trial->plan;
    return map_scene(&map, trial->plot, trial->plot + 1, out);
}
