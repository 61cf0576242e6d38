/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "scene_compare.h"

#include <math.h>
#include <string.h>

#include "compare_words.h"
#include "map.h"
#include "num.h"

#define MARGIN     12.0 /* mm, all that follows too */
#define GAP        3.0
#define ACROSS     4 /* panels side by side */
#define LINE       4.0
#define NAME_H     5.0
#define FIGURES_H  17.5 /* the key figures below a panel */
#define SECTION_H  6.5
#define CHARTS_H   62.0
#define FOOT_H     5.0
#define HILL_LEAST 1.1 /* radius */
#define PLOT_GAP_M 1.0 /* between plots drawn side by side */

struct sheet_of {
    struct arena *arena;
    const struct compare *c;
    struct page *page;
    const struct symbol *symbols; /* per seed in the garden */
    int top;                      /* of the best group: gives most */
    struct rect room;             /* of the page, margins off */
    double y;                     /* where the next thing goes */
    double mm_per_m;              /* of every panel */
    double plots_w_m, plots_h_m;  /* all plots side by side */
};

/* ---- symbols ------------------------------------------------------------------------------- */

static bool grown(const struct compare_group *g, const struct seed *seed)
{
    for (int i = 0; i < g->n; i++)
        for (int c = 0; g->layouts[i].plan && c < g->layouts[i].plan->ncrops; c++)
            if (g->layouts[i].plan->crops[c].seed == seed)
                return true;
    return false;
}

/* Of everything grown in any layout: the same in all. */
static const struct symbol *symbols_of(const struct sheet_of *s)
{
    const struct garden *g = s->c->garden;
    struct symbol *symbols = ARENA_ARRAY(s->arena, struct symbol, g->seed.n + 1);
    int n = 0;
    for (size_t i = 0; symbols && i < g->seed.n; i++) {
        const struct seed *seed = garden_seed(g, i);
        if (!grown(&s->c->best, seed) && !grown(&s->c->same, seed))
            continue;
        symbols[i] = (struct symbol){.letter = seed->crop->letter.s,
                                     .shape = (enum role)seed->crop->role.v,
                                     .hatch = (enum hatch)((n + 1) % HATCH_COUNT),
                                     .tint = (enum ink)(INK_BLUE + n % (INK_COUNT - INK_BLUE))};
        n++;
    }
    return symbols;
}

/* A letter for each layout in the charts: H R G F, the gardener's own 1 2 3 4. */
static const char *tag_of(enum layout_kind kind, int i)
{
    static const char *const own[] = {"1", "2", "3", "4"};
    static const char *const tags[] = {"H", "R", "G", "F"};
    return kind < LAYOUT_OWN ? tags[kind] : own[(unsigned)(i - LAYOUT_OWN) % 4];
}

/* ---- plots --------------------------------------------------------------------------------- */

static struct rect bounds_of(const struct sheet_of *s, const struct plot *plot)
{
    size_t n;
    const struct point *p = plot_corners(s->arena, plot, &n);
    struct rect b = {HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; p && i < n; i++)
        b = (struct rect){fmin(b.x0, p[i].x), fmin(b.y0, p[i].y), fmax(b.x1, p[i].x),
                          fmax(b.y1, p[i].y)};
    if (!p)
        s->page->failed = true;
    return p ? b : (struct rect){0, 0, 1, 1};
}

static void measure_plots(struct sheet_of *s)
{
    const struct garden *g = s->c->garden;
    for (size_t i = 0; i < g->plots.n; i++) {
        struct rect b = bounds_of(s, garden_plot(g, i));
        s->plots_w_m += b.x1 - b.x0 + (i > 0 ? PLOT_GAP_M : 0);
        s->plots_h_m = fmax(s->plots_h_m, b.y1 - b.y0);
    }
}

static void draw_outline(struct sheet_of *s, const struct plot *plot, const struct view *view)
{
    size_t n;
    const struct point *p = plot_corners(s->arena, plot, &n);
    struct mm *corners = p ? ARENA_ARRAY(s->arena, struct mm, n) : NULL;
    if (!corners) {
        s->page->failed = true;
        return;
    }
    for (size_t i = 0; i < n; i++)
        corners[i] = view_point(view, p[i].x, p[i].y);
    page_polygon(s->page, "plot", corners, (int)n, PEN_HILL, INK_BLACK, INK_NONE);
}

/* The letters of a block in its middle, where they have room. */
static void name_block(struct sheet_of *s, const struct planting *p, struct rect r)
{
    const char *letters = s->symbols[p->parts[0].seed_index].letter;
    double w = scene_text_width(letters, TYPE_LEAST_MM, true);
    double x = (r.x0 + r.x1) / 2, y = (r.y0 + r.y1) / 2;
    bool level = w <= r.x1 - r.x0;
    if (!level && w > r.y1 - r.y0)
        return;
    struct mm at =
        level ? (struct mm){x, y + 0.37 * TYPE_LEAST_MM} : (struct mm){x + 0.37 * TYPE_LEAST_MM, y};
    struct mark *m =
        page_text(s->page, "block name", at, TYPE_LEAST_MM, ALIGN_CENTRE, true, letters);
    m->fill = INK_PAPER;
    m->upright = !level;
}

static void draw_block(struct sheet_of *s, const struct plan *plan, int b, const struct view *view)
{
    const struct block *block = &plan->blocks[b];
    const struct planting *p = block->planting;
    const struct symbol *symbol = &s->symbols[p->parts[0].seed_index];
    struct rect r = view_rect(view, block_ground(block, &plan->zones.items[block->zone]));
    bool sole = p->nparts == 1;
    struct mark *m =
        page_rect(s->page, "block", r, PEN_GRID, INK_GREY, sole ? symbol->tint : INK_NONE);
    m->block = b;
    m->hatch = sole ? symbol->hatch : HATCH_NONE;
    for (int l = 0; l < plan->nlines && !sole && p->system != SYSTEM_HILLS; l++) {
        const struct line *line = &plan->lines[l];
        if (line->block != b)
            continue;
        struct mm from = view_point(view, line->x0, line->y0);
        struct mm to = view_point(view, line->x1, line->y1);
        page_line(s->page, "row", from, to, PEN_OUTLINE, INK_BLACK)->dash = DASH_SHORT;
    }
    double radius = fmax(HILL_LEAST, p->hill_diameter_m / 2 * view->mm_per_m);
    for (int i = 0; i < plan->nstations && p->system == SYSTEM_HILLS; i++) {
        const struct station *st = &plan->stations[i];
        if (st->block == b)
            page_circle(s->page, "hill", view_point(view, st->x_m, st->y_m), radius, PEN_PATH,
                        INK_BLACK, INK_SILVER);
    }
    if (sole)
        name_block(s, p, r);
}

/* The plan's plots side by side, centred in so much width from x. */
static void draw_plan(struct sheet_of *s, const struct plan *plan, double x, double w)
{
    const struct garden *g = s->c->garden;
    double left = x + (w - s->plots_w_m * s->mm_per_m) / 2;
    for (size_t i = 0; i < g->plots.n; i++) {
        struct rect b = bounds_of(s, garden_plot(g, i));
        const struct view view = {.mm_per_m = s->mm_per_m,
                                  .x_mm = left - b.x0 * s->mm_per_m,
                                  .y_mm = s->y + s->plots_h_m * s->mm_per_m + b.y0 * s->mm_per_m};
        for (int k = 0; k < plan->nblocks; k++)
            if (plan->zones.items[plan->blocks[k].zone].plot == (int)i)
                draw_block(s, plan, k, &view);
        draw_outline(s, garden_plot(g, i), &view);
        left += (b.x1 - b.x0 + PLOT_GAP_M) * s->mm_per_m;
    }
}

/* ---- panels -------------------------------------------------------------------------------- */

static double panel_width(const struct sheet_of *s)
{
    return (s->room.x1 - s->room.x0 - (ACROSS - 1) * GAP) / ACROSS;
}

static double panel_x(const struct sheet_of *s, int i)
{
    return s->room.x0 + (i % ACROSS) * (panel_width(s) + GAP);
}

static void text_at(struct sheet_of *s, const char *what, double x, double y, double size,
                    bool bold, const char *text)
{
    double w = panel_width(s);
    if (text)
        text = scene_text_cut(s->arena, text, size, bold, w);
    page_text(s->page, what, (struct mm){x + w / 2, y}, size, ALIGN_CENTRE, bold, text);
}

/* The key figures below a panel. */
static void draw_figures(struct sheet_of *s, const struct compare_layout *l, double x, double y)
{
    char num[64];
    struct span span = compare_span(s->c->garden, l->plan);
    const char *worth = compare_worth(s->arena, s->c->garden, span.typ);
    const char *range = compare_range(s->arena, span, 1);
    const char *open = range ? strchr(range, '(') : NULL;
    text_at(s, "worth", x, y + 4.4, 4.6, true, worth);
    text_at(s, "range", x, y + 8.6, TYPE_LEAST_MM, false, open ? open : "");
    const struct ratios *r = l->y.guild.ground_m2 > 0 ? &l->y.guild : &l->y.whole;
    text_at(s, "ratio", x, y + 12.2, TYPE_LEAST_MM, false,
            arena_printf(s->arena, "LER of the guild's crops %s",
                         num_fixed(num, sizeof num, r->ler, 2)));
    text_at(s, "work", x, y + 15.8, TYPE_LEAST_MM, false,
            arena_printf(s->arena, "%d h of work, %d plants", (int)lround(l->plan->hours.typ),
                         l->y.plants));
}

static double row_height(const struct sheet_of *s)
{
    return NAME_H + s->plots_h_m * s->mm_per_m + FIGURES_H;
}

static void draw_panel(struct sheet_of *s, const struct compare_group *g, int i)
{
    double x = panel_x(s, i), w = panel_width(s), top = s->y;
    if (g == &s->c->best && i == s->top)
        page_rect(s->page, "most", (struct rect){x, top, x + w, top + row_height(s) - 0.8},
                  PEN_OUTLINE, INK_BLACK, INK_NONE);
    const struct compare_layout *l = &g->layouts[i];
    const char *tag = tag_of(l->kind, i);
    text_at(s, "layout", x, top + 3.6, TYPE_BODY_MM, true,
            arena_printf(s->arena, "%s  %s", tag, l->name));
    s->y = top + NAME_H;
    if (l->plan) {
        draw_plan(s, l->plan, x, w);
        draw_figures(s, l, x, s->y + s->plots_h_m * s->mm_per_m);
    } else {
        text_at(s, "why", x, s->y + 8, TYPE_LEAST_MM, false, "cannot be planned here");
    }
    s->y = top;
}

static void section(struct sheet_of *s, const char *text)
{
    page_text(s->page, "section", (struct mm){s->room.x0, s->y + 4}, TYPE_NUMBER_MM, ALIGN_LEFT,
              true, text);
    page_line(s->page, "section", (struct mm){s->room.x0, s->y + 5.4},
              (struct mm){s->room.x1, s->y + 5.4}, PEN_FINE, INK_BLACK);
    s->y += SECTION_H;
}

static void draw_group(struct sheet_of *s, const struct compare_group *g)
{
    for (int i = 0; i < g->n; i++) {
        draw_panel(s, g, i);
        if (i % ACROSS == ACROSS - 1 || i == g->n - 1)
            s->y += row_height(s);
    }
}

/* "hill of F, B, Bn": the guild by its letters. */
static const char *guild_words(const struct sheet_of *s, const char *what)
{
    struct strbuf b;
    const char *before = " of ";
    const struct garden *g = s->c->garden;
    strbuf_init(&b, s->arena);
    strbuf_puts(&b, what);
    for (size_t i = 0; i < g->seed.n; i++)
        if (s->symbols[i].letter && layout_in_guild(s->c->guild, garden_seed(g, i)->crop)) {
            strbuf_printf(&b, "%s%s", before, s->symbols[i].letter);
            before = " ";
        }
    return b.failed ? NULL : b.p;
}

/* What the letters mean, into a panel's place. */
static void draw_legend(struct sheet_of *s, double x, double y)
{
    const struct garden *g = s->c->garden;
    double w = panel_width(s);
    page_circle(s->page, "legend", (struct mm){x + 2.4, y + 2}, HILL_LEAST + 0.4, PEN_PATH,
                INK_BLACK, INK_SILVER);
    page_text(s->page, "legend", (struct mm){x + 6.5, y + 3}, TYPE_LEAST_MM, ALIGN_LEFT, false,
              guild_words(s, "hill"));
    page_line(s->page, "legend", (struct mm){x, y + 6}, (struct mm){x + 5, y + 6}, PEN_OUTLINE,
              INK_BLACK)
        ->dash = DASH_SHORT;
    page_text(s->page, "legend", (struct mm){x + 6.5, y + 7}, TYPE_LEAST_MM, ALIGN_LEFT, false,
              guild_words(s, "row"));
    y += 9;
    for (size_t i = 0; i < g->seed.n; i++) {
        const struct symbol *symbol = &s->symbols[i];
        if (!symbol->letter)
            continue;
        struct rect box = {x, y, x + 5, y + 3.6};
        page_rect(s->page, "legend", box, PEN_GRID, INK_GREY, symbol->tint)->hatch = symbol->hatch;
        const char *text =
            arena_printf(s->arena, "%s  %s", symbol->letter, garden_seed(g, i)->crop->name.s);
        text = text ? scene_text_cut(s->arena, text, TYPE_LEAST_MM, false, w - 6.5) : NULL;
        page_text(s->page, "legend", (struct mm){x + 6.5, y + 2.9}, TYPE_LEAST_MM, ALIGN_LEFT,
                  false, text);
        y += 4.4;
    }
}

/* ---- charts -------------------------------------------------------------------------------- */

/* A scale from lo to hi on so much paper. */
struct axis {
    double lo, hi, at0, at1;
};

static double on(const struct axis *a, double v)
{
    return a->at0 + (v - a->lo) / (a->hi - a->lo) * (a->at1 - a->at0);
}

/* A round step that makes about five of a length. */
static double step_of(double length)
{
    double raw = length / 5, unit = pow(10, floor(log10(raw)));
    return raw <= unit ? unit : raw <= 2 * unit ? 2 * unit : raw <= 5 * unit ? 5 * unit : 10 * unit;
}

static const char *tick_text(const struct sheet_of *s, double v, double step)
{
    char num[64];
    int after = step < 1 ? (int)ceil(-log10(step) - 1e-9) : 0;
    return arena_strdup(s->arena, after > 0 ? num_fixed(num, sizeof num, v, after)
                                            : num_grouped(num, sizeof num, v));
}

/* Ticks with their numbers below a level axis, thin lines up to `top`. */
static void draw_level_axis(struct sheet_of *s, const struct axis *a, double y, double top)
{
    double step = step_of(a->hi - a->lo);
    int last = (int)floor(a->hi / step + 1e-9);
    for (int i = (int)ceil(a->lo / step - 1e-9); i <= last; i++) {
        double v = i * step, x = on(a, v);
        page_line(s->page, "axis", (struct mm){x, top}, (struct mm){x, y + 1}, PEN_GRID, INK_RULE);
        page_text(s->page, "axis", (struct mm){x, y + 4.2}, TYPE_LEAST_MM, ALIGN_CENTRE, false,
                  tick_text(s, v, step));
    }
    page_line(s->page, "axis", (struct mm){a->at0, y}, (struct mm){a->at1, y}, PEN_FINE, INK_BLACK);
}

static void draw_upright_axis(struct sheet_of *s, const struct axis *a, double x, double right)
{
    double step = step_of(a->hi - a->lo);
    int last = (int)floor(a->hi / step + 1e-9);
    for (int i = (int)ceil(a->lo / step - 1e-9); i <= last; i++) {
        double v = i * step, y = on(a, v);
        page_line(s->page, "axis", (struct mm){x - 1, y}, (struct mm){right, y}, PEN_GRID,
                  INK_RULE);
        page_text(s->page, "axis", (struct mm){x - 1.8, y + 1}, TYPE_LEAST_MM, ALIGN_RIGHT, false,
                  tick_text(s, v, step));
    }
    page_line(s->page, "axis", (struct mm){x, a->at0}, (struct mm){x, a->at1}, PEN_FINE, INK_BLACK);
}

static void widen(struct axis *a, double lo, double hi)
{
    a->lo = fmin(a->lo, lo);
    a->hi = fmax(a->hi, hi);
}

/* A little air round what is shown, never a scale of no length. */
static void round_out(struct axis *a, double share)
{
    double air = fmax(share * (a->hi - a->lo), 0.01 * fmax(fabs(a->hi), 1e-6));
    a->lo -= air;
    a->hi += air;
}

/* Low to high as a line with ends, the typical as a dot. */
static void draw_interval(struct sheet_of *s, const struct axis *a, struct span span, double y)
{
    double x0 = on(a, span.low), x1 = on(a, span.high);
    page_line(s->page, "interval", (struct mm){x0, y}, (struct mm){x1, y}, PEN_HILL, INK_BLACK);
    page_line(s->page, "interval", (struct mm){x0, y - 1}, (struct mm){x0, y + 1}, PEN_HILL,
              INK_BLACK);
    page_line(s->page, "interval", (struct mm){x1, y - 1}, (struct mm){x1, y + 1}, PEN_HILL,
              INK_BLACK);
    page_circle(s->page, "typical", (struct mm){on(a, span.typ), y}, 1.1, PEN_FINE, INK_BLACK,
                INK_BLACK);
}

static void interval_axis(const struct sheet_of *s, const struct compare_group *g, struct axis *a)
{
    for (int i = 0; i < g->n; i++)
        if (g->layouts[i].plan) {
            struct span span = compare_span(s->c->garden, g->layouts[i].plan);
            widen(a, span.low, span.high);
        }
}

static double draw_intervals(struct sheet_of *s, const struct compare_group *g, const char *head,
                             const struct axis *a, double x, double y, double step)
{
    if (g->n == 0)
        return y;
    page_text(s->page, "group", (struct mm){x, y + 1}, TYPE_LEAST_MM, ALIGN_LEFT, true, head);
    for (int i = 0; i < g->n; i++) {
        const struct compare_layout *l = &g->layouts[i];
        if (!l->plan)
            continue;
        y += step;
        const char *name = arena_printf(s->arena, "%s  %s", tag_of(l->kind, i), l->name);
        name = name ? scene_text_cut(s->arena, name, TYPE_LEAST_MM, false, a->at0 - x - 2) : NULL;
        page_text(s->page, "layout", (struct mm){x, y + 1}, TYPE_LEAST_MM, ALIGN_LEFT, false, name);
        draw_interval(s, a, compare_span(s->c->garden, l->plan), y);
    }
    return y + step;
}

static void draw_range_chart(struct sheet_of *s, struct rect r)
{
    static const char *const units[] = {"days of full food for one person", "kcal of food energy",
                                        "g of usable protein"};
    const struct compare *c = s->c;
    struct axis a = {HUGE_VAL, -HUGE_VAL, r.x0 + 33, r.x1 - 3};
    interval_axis(s, &c->best, &a);
    interval_axis(s, &c->same, &a);
    round_out(&a, 0.04);
    double bottom = r.y1 - 9;
    double step =
        fmin(5, (bottom - r.y0) / (c->best.n + (c->same.n > 0 ? c->same.n + 1 : 0) + 1.5));
    draw_level_axis(s, &a, bottom, r.y0 + 1);
    double y = draw_intervals(s, &c->best, "own best", &a, r.x0, r.y0 + 2, step);
    draw_intervals(s, &c->same, "same plants", &a, r.x0, y, step);
    page_text(s->page, "axis", (struct mm){(a.at0 + a.at1) / 2, r.y1 - 1}, TYPE_LEAST_MM,
              ALIGN_CENTRE, false, units[c->garden->goal.v]);
}

/* The layouts at their places between energy and protein; those in one place share a mark. */
static void draw_tags(struct sheet_of *s, const struct axis *ex, const struct axis *uy)
{
    const struct compare_group *g = &s->c->best;
    bool told[64] = {false};
    for (int i = 0; i < g->n && i < 64; i++) {
        if (!g->layouts[i].plan || told[i])
            continue;
        struct strbuf tags;
        struct mm at = {on(ex, g->layouts[i].plan->energy_kcal.typ / 1000),
                        on(uy, g->layouts[i].plan->usable_protein_g.typ / 1000)};
        strbuf_init(&tags, s->arena);
        for (int k = i; k < g->n && k < 64; k++) {
            const struct plan *plan = g->layouts[k].plan;
            if (!plan || told[k] || fabs(on(ex, plan->energy_kcal.typ / 1000) - at.x) > 4 ||
                fabs(on(uy, plan->usable_protein_g.typ / 1000) - at.y) > 3)
                continue;
            told[k] = true;
            strbuf_printf(&tags, "%s%s", tags.n > 0 ? " " : "", tag_of(g->layouts[k].kind, k));
        }
        page_circle(s->page, "tag", at, 1.5, PEN_HILL, INK_BLACK, INK_PAPER);
        page_text(s->page, "tag", (struct mm){at.x - 2.3, at.y + 3.6}, TYPE_NUMBER_MM, ALIGN_RIGHT,
                  true, tags.p)
            ->fill = INK_PAPER;
    }
}

static void frontier_axes(const struct compare *c, struct axis *ex, struct axis *uy)
{
    for (int i = 0; i < c->npoints; i++) {
        widen(ex, c->points[i].energy_kcal / 1000, c->points[i].energy_kcal / 1000);
        widen(uy, c->points[i].usable_g / 1000, c->points[i].usable_g / 1000);
    }
    for (int i = 0; i < c->best.n; i++) {
        const struct plan *plan = c->best.layouts[i].plan;
        if (!plan)
            continue;
        widen(ex, plan->energy_kcal.typ / 1000, plan->energy_kcal.typ / 1000);
        widen(uy, plan->usable_protein_g.typ / 1000, plan->usable_protein_g.typ / 1000);
    }
    round_out(ex, 0.15);
    round_out(uy, 0.15);
}

static void draw_frontier(struct sheet_of *s, struct rect r)
{
    const struct compare *c = s->c;
    struct axis ex = {HUGE_VAL, -HUGE_VAL, r.x0 + 14, r.x1 - 2};
    struct axis uy = {HUGE_VAL, -HUGE_VAL, r.y1 - 9, r.y0 + 1};
    frontier_axes(c, &ex, &uy);
    draw_level_axis(s, &ex, uy.at0, uy.at1);
    draw_upright_axis(s, &uy, ex.at0, ex.at1);
    struct mm before = {0, 0};
    for (int i = 0; i < c->npoints; i++) {
        struct mm at = {on(&ex, c->points[i].energy_kcal / 1000),
                        on(&uy, c->points[i].usable_g / 1000)};
        if (i > 0)
            page_line(s->page, "frontier", before, at, PEN_PATH, INK_BLACK);
        page_circle(s->page, "plan", at, 0.9, PEN_FINE, INK_BLACK, INK_BLACK);
        before = at;
    }
    draw_tags(s, &ex, &uy);
    page_text(s->page, "axis", (struct mm){(ex.at0 + ex.at1) / 2, r.y1 - 1}, TYPE_LEAST_MM,
              ALIGN_CENTRE, false, "food energy, 1000 kcal");
    struct mark *m = page_text(s->page, "axis", (struct mm){r.x0 + 2.5, (uy.at0 + uy.at1) / 2},
                               TYPE_LEAST_MM, ALIGN_CENTRE, false, "usable protein, kg");
    m->upright = true;
}

static void draw_charts(struct sheet_of *s)
{
    double middle = s->room.x0 + 0.55 * (s->room.x1 - s->room.x0);
    double top = s->room.y1 - FOOT_H - CHARTS_H;
    page_text(s->page, "section", (struct mm){s->room.x0, top + 4}, TYPE_NUMBER_MM, ALIGN_LEFT,
              true, "How sure: 80 % ranges");
    page_text(s->page, "section", (struct mm){middle + 4, top + 4}, TYPE_NUMBER_MM, ALIGN_LEFT,
              true, "Energy against protein");
    page_line(s->page, "section", (struct mm){s->room.x0, top + 5.4},
              (struct mm){s->room.x1, top + 5.4}, PEN_FINE, INK_BLACK);
    draw_range_chart(s, (struct rect){s->room.x0, top + 8, middle - 2, top + CHARTS_H});
    draw_frontier(s, (struct rect){middle + 4, top + 8, s->room.x1, top + CHARTS_H});
}

/* ---- the page ------------------------------------------------------------------------------ */

/* The question, and its answer in a frame. */
static hr_status draw_head(struct sheet_of *s)
{
    struct verdict v;
    struct column column;
    const struct garden *g = s->c->garden;
    double w = s->room.x1 - s->room.x0, top = s->room.y0;
    hr_status status = compare_verdict(s->c, s->arena, &v);
    if (status != HR_OK)
        return status;
    page_text(s->page, "title", (struct mm){s->room.x0, top + 5}, TYPE_TITLE_MM, ALIGN_LEFT, true,
              "Hills or rows, here?");
    const char *name = arena_printf(s->arena, "%s, %d", g->name.s, (int)g->year.v);
    name = name ? scene_text_cut(s->arena, name, TYPE_BODY_MM, false, w / 2) : NULL;
    page_text(s->page, "title", (struct mm){s->room.x1, top + 5}, TYPE_BODY_MM, ALIGN_RIGHT, false,
              name);
    column_init(&column, s->arena, w - 8, 1);
    column_text(&column, 5, true, 0, v.headline);
    for (int i = 0; i < 2; i++)
        if (v.brief[i][0] != '\0')
            column_text(&column, TYPE_BODY_MM, false, 3, v.brief[i]);
    column_cut(&column, 0);
    if (column.failed)
        return HR_NOMEM;
    double height = column.first->height_mm + 5;
    page_rect(s->page, "answer", (struct rect){s->room.x0, top + 8, s->room.x1, top + 8 + height},
              PEN_OUTLINE, INK_BLACK, INK_NONE);
    column_set(column.first,
               (struct rect){s->room.x0 + 4, top + 10, s->room.x1 - 4, top + 10 + height}, 1, 0,
               s->page);
    s->y = top + 8 + height + 2;
    s->top = v.top;
    return HR_OK;
}

/* The one scale at which all panels find room. */
static void choose_scale(struct sheet_of *s)
{
    int rows = (s->c->best.n + ACROSS - 1) / ACROSS + (s->c->same.n > 0);
    int sections = 1 + (s->c->same.n > 0);
    double room = s->room.y1 - FOOT_H - CHARTS_H - s->y - sections * SECTION_H;
    double high = room / rows - NAME_H - FIGURES_H - 1;
    s->mm_per_m = fmin(fmax(high, 4) / s->plots_h_m, panel_width(s) / s->plots_w_m);
}

static void draw_foot(struct sheet_of *s)
{
    char num[64];
    const char *text = arena_printf(
        s->arena,
        "All layouts 1:%s. LER: ground the best sole stands would need for the same harvest. "
        "Estimates, no promise.",
        num_fixed(num, sizeof num, 1000 / s->mm_per_m, 0));
    page_text(s->page, "foot", (struct mm){s->room.x0, s->room.y1}, TYPE_LEAST_MM, ALIGN_LEFT,
              false, text);
}

hr_status scene_compare(struct arena *arena, const struct compare *c, enum paper paper,
                        struct scene **out)
{
    struct scene *scene = ARENA_NEW(arena, struct scene);
    struct page *page = ARENA_NEW(arena, struct page);
    double w, h;
    if (!scene || !page)
        return HR_NOMEM;
    paper_size(paper, &w, &h);
    page_init(page, arena, w, h);
    struct sheet_of s = {.arena = arena, .c = c, .page = page};
    s.room = (struct rect){MARGIN, MARGIN, w - MARGIN, h - MARGIN};
    s.symbols = symbols_of(&s);
    if (!s.symbols)
        return HR_NOMEM;
    measure_plots(&s);
    hr_status status = draw_head(&s);
    if (status != HR_OK)
        return status;
    choose_scale(&s);
    section(&s, "Each at its own best");
    draw_group(&s, &c->best);
    if (c->same.n > 0) {
        section(&s, "The same plants on the same ground: only the arrangement differs");
        draw_legend(&s, panel_x(&s, ACROSS - 1), s.y + 2);
        draw_group(&s, &c->same);
    }
    draw_charts(&s);
    draw_foot(&s);
    if (page->failed)
        return HR_NOMEM;
    *scene = (struct scene){.paper = paper, .pages = page, .npages = 1};
    *out = scene;
    return HR_OK;
}
