/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "chart.h"

#include <math.h>
#include <string.h>

#include "map.h"
#include "num.h"
#include "work.h"

#define MARGIN_MM  11.0
#define TOP_MM     37.0 /* where the lanes begin */
#define LABEL_MM   76.0 /* names at the left */
#define DATES_MM   37.0 /* harvest dates at the right */
#define LANE_MM    9.0  /* least height of a lane, and most: */
#define LANE_MOST  13.0
#define WORK_MM    50.0 /* least height of the hours' chart with all that belongs to it, and most: */
#define WORK_MOST  84.0
#define FROST_D    45 /* so far beyond the season a frost is still shown */
#define SMALL_MM   3.1
#define BODY_MM    3.5
#define LEAST_MM   1.2 /* of a bar, so that one day can be seen */
#define YEAR_D     365
#define WEEKS_MOST 160

/* A variety sown and ripe on the same days, wherever it stands. */
struct lane {
    const struct part *part;
    const char *places, *blocks; /* with the plots' names, and without */
    struct lane *next;
};

struct chart {
    struct arena *arena;
    const struct plan *plan;
    const struct symbol *symbols;
    struct scene *scene;
    struct lane *lanes;
    int nlanes;
    int from, to; /* days at the ends of the axis: first of a month, last of a month */
    double x0, x1;
    double w, h; /* of a page */
    double lane_mm, work_mm;
    bool failed;
};

/* ---- lanes --------------------------------------------------------------------------------- */

static bool same_days(const struct part *a, const struct part *b)
{
    return a->seed_index == b->seed_index && a->season.sow == b->season.sow &&
           a->season.harvest_low == b->season.harvest_low &&
           a->season.harvest_high == b->season.harvest_high;
}

/* "Plot 14 b1, b3; South b5": the blocks where it stands, or only "b1, b3, b5". NULL: out of
 * memory. */
static const char *places_of(struct chart *c, const struct part *part, bool plots)
{
    const struct plan *plan = c->plan;
    bool many = plots && plan->garden->plots.n > 1;
    int plot = -1;
    struct strbuf b;
    strbuf_init(&b, c->arena);
    for (int i = 0; i < plan->nblocks; i++) {
        const struct planting *p = plan->blocks[i].planting;
        int here = plan->zones.items[plan->blocks[i].zone].plot;
        bool in = false;
        for (int k = 0; k < p->nparts; k++)
            in = in || same_days(&p->parts[k], part);
        if (!in)
            continue;
        if (here != plot && many)
            strbuf_printf(&b, "%s%s ", plot >= 0 ? "; " : "",
                          garden_plot(plan->garden, (size_t)here)->name.s);
        else if (plot >= 0)
            strbuf_puts(&b, ", ");
        strbuf_printf(&b, "b%d", i + 1);
        plot = here;
    }
    return b.failed ? NULL : b.p;
}

/* In the order of sowing, then as the plan has them. */
static void lane_add(struct chart *c, const struct part *part)
{
    struct lane **at = &c->lanes;
    for (const struct lane *l = c->lanes; l; l = l->next)
        if (same_days(l->part, part))
            return;
    while (*at && (*at)->part->season.sow <= part->season.sow)
        at = &(*at)->next;
    struct lane *lane = ARENA_NEW(c->arena, struct lane);
    if (!lane) {
        c->failed = true;
        return;
    }
    *lane = (struct lane){part, places_of(c, part, true), places_of(c, part, false), *at};
    c->failed = c->failed || !lane->places || !lane->blocks;
    *at = lane;
    c->nlanes++;
}

/* ---- the axis ------------------------------------------------------------------------------ */

static double x_of(const struct chart *c, double day)
{
    return c->x0 + (day - c->from) / (c->to + 1 - c->from) * (c->x1 - c->x0);
}

static const int month_days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

/* The first day of the month that holds a day; *month: which, from 0. */
static int month_start(int day, int *month)
{
    int year = (int)floor((day - 1) / (double)YEAR_D), first = year * YEAR_D + 1;
    *month = 0;
    while (day >= first + month_days[*month])
        first += month_days[(*month)++];
    return first;
}

/* Frosts near the season belong on the chart. */
static void reach_frosts(const struct chart *c, int *from, int *to)
{
    const struct site *site = &c->plan->garden->site;
    const struct when *dates[] = {&site->last_frost.early, &site->last_frost.late,
                                  &site->first_frost.early, &site->first_frost.late};
    int first = *from - FROST_D, last = *to + FROST_D;
    for (int i = 0; i < 4; i++)
        for (int day = date_day(dates[i]->d) - YEAR_D; day <= last; day += YEAR_D) {
            *from = day >= first && day < *from ? day : *from;
            *to = day > *to ? day : *to;
        }
}

static void axis_fit(struct chart *c)
{
    int from = 1, to = YEAR_D, month;
    if (work_season(c->plan, &from, &to))
        from -= 2 * WORK_BUILD_BEFORE_D;
    reach_frosts(c, &from, &to);
    if (to > from + 7 * (WEEKS_MOST - 10))
        to = from + 7 * (WEEKS_MOST - 10);
    c->from = month_start(from, &month);
    int last = month_start(to, &month);
    c->to = last + month_days[month] - 1;
}

static void draw_months(struct chart *c, struct page *page, double y0, double y1)
{
    char name[32];
    int month;
    for (int day = c->from; day <= c->to; day += month_days[month]) {
        month_start(day, &month);
        date_text(name, sizeof name, day);
        name[strcspn(name, " ")] = '\0';
        double x = x_of(c, day), next = x_of(c, day + month_days[month]);
        page_line(page, "month", (struct mm){x, y0 - 5}, (struct mm){x, y1}, PEN_GRID, INK_RULE);
        const char *text = arena_strdup(c->arena, name);
        if (text && scene_text_width(text, SMALL_MM, true) > next - x - 1)
            text = arena_strndup(c->arena, text, 3);
        if (text && scene_text_width(text, SMALL_MM, true) > next - x - 0.5)
            text = arena_strndup(c->arena, text, 1);
        page_text(page, "month", (struct mm){(x + next) / 2, y0 - 1.6}, SMALL_MM, ALIGN_CENTRE,
                  true, text);
    }
    page_line(page, "month", (struct mm){c->x1, y0 - 5}, (struct mm){c->x1, y1}, PEN_GRID,
              INK_RULE);
    page_line(page, "axis", (struct mm){c->x0, y0}, (struct mm){c->x1, y0}, PEN_FINE, INK_BLACK);
}

/* ---- frost --------------------------------------------------------------------------------- */

static void frost_line(struct chart *c, struct page *page, const struct when *when, bool median,
                       double y0, double y1)
{
    for (int day = date_day(when->d) - YEAR_D; day <= c->to; day += YEAR_D) {
        if (day < c->from)
            continue;
        double x = x_of(c, day);
        struct mark *mark = page_line(page, "frost", (struct mm){x, y0}, (struct mm){x, y1},
                                      median ? PEN_HILL : PEN_PATH, INK_BLACK);
        mark->dash = median ? DASH_LONG : DASH_SHORT;
    }
}

static void frost_name(struct chart *c, struct page *page, const struct frost_dates *f,
                       const char *name, double y)
{
    char a[32], b[32], d[32];
    const char *text = arena_printf(
        c->arena, "%s %s, %s, %s", name, date_text(a, sizeof a, date_day(f->early.d)),
        date_text(b, sizeof b, date_day(f->median.d)), date_text(d, sizeof d, date_day(f->late.d)));
    double w = text ? scene_text_width(text, SMALL_MM, false) : 0;
    for (int day = date_day(f->median.d) - YEAR_D; day <= c->to; day += YEAR_D) {
        if (day < c->from)
            continue;
        double x = num_clamp(x_of(c, day), c->x0 + w / 2, c->w - MARGIN_MM - w / 2);
        page_text(page, "frost", (struct mm){x, y}, SMALL_MM, ALIGN_CENTRE, false, text);
    }
}

/* Early, median and late: short dashes, long dashes, short dashes; the names in two rows, for they
 * may stand near each other. */
static void draw_frosts(struct chart *c, struct page *page, double y0, double y1)
{
    const struct site *site = &c->plan->garden->site;
    const struct frost_dates *frosts[] = {&site->last_frost, &site->first_frost};
    static const char *const names[] = {"last frost", "first frost"};
    for (int i = 0; i < 2; i++) {
        frost_line(c, page, &frosts[i]->early, false, y0, y1);
        frost_line(c, page, &frosts[i]->median, true, y0, y1);
        frost_line(c, page, &frosts[i]->late, false, y0, y1);
        frost_name(c, page, frosts[i], names[i], y0 - 6.5 - 4 * i);
    }
}

/* ---- bars ---------------------------------------------------------------------------------- */

static void bar(struct chart *c, struct page *page, const char *what, double from, double to,
                double y, enum ink fill, enum hatch hatch)
{
    double a = fmax(x_of(c, from), c->x0), b = fmin(fmax(x_of(c, to), a + LEAST_MM), c->x1);
    struct mark *mark = page_rect(page, what, (struct rect){a, y, b, y + (0.6 * c->lane_mm)},
                                  PEN_FINE, INK_BLACK, fill);
    mark->hatch = hatch;
}

/* "Aug 18" */
static const char *short_date(char *buf, size_t cap, int day)
{
    char full[32];
    date_text(full, sizeof full, day);
    snprintf(buf, cap, "%.3s%s", full, strchr(full, ' '));
    return buf;
}

/* As many characters as fit before a comma or semicolon, and it; 0: none do. */
static size_t line_break(const char *text, double width)
{
    size_t best = 0;
    char part[256];
    for (size_t i = 0; text[i] && i + 2 < sizeof part; i++) {
        part[i] = text[i];
        part[i + 1] = '\0';
        if ((text[i] == ',' || text[i] == ';') && text[i + 1] == ' ' &&
            scene_text_width(part, SMALL_MM, false) <= width)
            best = i + 1;
    }
    return best;
}

/* "b5, 8, 10" for "b5, b8, b10". NULL: out of memory. */
static const char *blocks_brief(struct arena *arena, const char *blocks)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    for (const char *p = blocks; *p; p++)
        if (!(*p == 'b' && p > blocks && p[-1] == ' '))
            strbuf_add(&b, p, 1);
    return b.failed ? NULL : b.p;
}

/* The name of a crop, and below it its variety and the blocks it stands in: with their plots if
 * there is room, in two lines if the lane is high enough for them, else as briefly as can be. */
static void draw_lane_words(struct chart *c, struct page *page, const struct lane *lane,
                            struct mm at, double w)
{
    /* three lines stand closer together where they have to */
    const double line = 3.9, close = 3.45;
    const struct part *part = lane->part;
    const char *lines[] = {arena_printf(c->arena, "%s; %s", part->seed->variety.s, lane->places),
                           NULL};
    if (lines[0] && scene_text_width(lines[0], SMALL_MM, false) > w)
        lines[0] = arena_printf(c->arena, "%s; %s", part->seed->variety.s, lane->blocks);
    bool wide = lines[0] && scene_text_width(lines[0], SMALL_MM, false) > w;
    size_t n = wide && c->lane_mm >= 3 * close ? line_break(lines[0], w) : 0;
    if (n > 0) {
        lines[1] = lines[0] + n + 1;
        lines[0] = arena_strndup(c->arena, lines[0], n);
        at.y -= close / 2;
    } else if (wide) {
        const char *brief = blocks_brief(c->arena, lane->blocks);
        lines[0] = brief ? arena_printf(c->arena, "%s; %s", part->seed->variety.s, brief) : NULL;
    }
    page_text(page, "lane", at, BODY_MM, ALIGN_LEFT, true,
              scene_text_cut(c->arena, part->crop->name.s, BODY_MM, true, w));
    double step = lines[1] ? close : line;
    for (int i = 0; i < 2 && (i == 0 || lines[i]); i++)
        page_text(page, "lane", (struct mm){at.x, at.y + (i + 1) * step}, SMALL_MM, ALIGN_LEFT,
                  false, lines[i] ? scene_text_cut(c->arena, lines[i], SMALL_MM, false, w) : NULL);
}

static void draw_lane(struct chart *c, struct page *page, const struct lane *lane, double y)
{
    const struct part *part = lane->part;
    const struct season *s = &part->season;
    const struct symbol *symbol = &c->symbols[part->seed_index];
    char from[32], to[32];
    double top = y + (c->lane_mm - (0.6 * c->lane_mm)) / 2;
    double room = symbol->letter ? map_symbol_width(symbol) : MAP_SYMBOL_MM;
    double x = MARGIN_MM + fmax(room, 8) + 2, w = c->x0 - x - 3;
    if (symbol->letter)
        map_symbol_draw(page, symbol, (struct mm){MARGIN_MM + room / 2, y + c->lane_mm / 2});
    double upper = y + c->lane_mm / 2 - 0.6, lower = upper + 3.9;
    draw_lane_words(c, page, lane, (struct mm){x, upper}, w);
    int begun = part->seed->standing ? c->from : s->sow;
    bar(c, page, "growing", begun, s->harvest_low, top, symbol->tint, symbol->hatch);
    bar(c, page, "harvest", s->harvest_low, s->harvest_high + 1, top, INK_GREY, HATCH_NONE);
    short_date(from, sizeof from, s->harvest_low);
    short_date(to, sizeof to, s->harvest_high);
    const char *days = arena_printf(c->arena, "ripe %s%s%s", from, strcmp(from, to) ? " to " : "",
                                    strcmp(from, to) ? to : "");
    const char *verb = part->crop->planted_as.v > 0 ? "planted" : "sown";
    const char *sown = part->seed->standing ? "stands already"
                                            : arena_printf(c->arena, "%s %s", verb,
                                                           short_date(from, sizeof from, s->sow));
    page_text(page, "dates", (struct mm){c->x1 + 2, upper}, SMALL_MM, ALIGN_LEFT, false, sown);
    page_text(page, "dates", (struct mm){c->x1 + 2, lower}, SMALL_MM, ALIGN_LEFT, false, days);
    page_line(page, "rule", (struct mm){MARGIN_MM, y + c->lane_mm},
              (struct mm){c->w - MARGIN_MM, y + c->lane_mm}, PEN_GRID, INK_RULE);
}

/* ---- hours a week -------------------------------------------------------------------------- */

static const struct {
    enum ink fill;
    enum hatch hatch;
} work_looks[WORK_COUNT] = {
    [WORK_BUILD] = {INK_PAPER, HATCH_CROSS},
    [WORK_SOW] = {INK_BLACK, HATCH_NONE},
    [WORK_WEED] = {INK_SILVER, HATCH_NONE},
    [WORK_HARVEST] = {INK_PAPER, HATCH_RISING},
};

/* A round step, so that at most five make up the most. */
static double hour_step(double most)
{
    static const double steps[] = {0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500};
    const size_t n = sizeof steps / sizeof *steps;
    for (size_t i = 0; i < n; i++)
        if (most <= 5 * steps[i])
            return steps[i];
    return most / 5;
}

static void draw_scale(struct chart *c, struct page *page, double step, int steps, double y0,
                       double height)
{
    char num[64];
    for (int i = 0; i <= steps; i++) {
        double y = y0 - height * i / steps;
        page_line(page, "hours", (struct mm){c->x0, y}, (struct mm){c->x1, y},
                  i == 0 ? PEN_FINE : PEN_GRID, i == 0 ? INK_BLACK : INK_RULE);
        page_text(page, "hours", (struct mm){c->x0 - 2, y + 1.1}, SMALL_MM, ALIGN_RIGHT, false,
                  arena_strdup(c->arena, num_text(num, sizeof num, num_round_sig(step * i, 4))));
    }
}

/* What the fills mean, each with its hours, at the left of the chart. */
static void draw_work_key(struct chart *c, struct page *page, const double *hours, int weeks,
                          double y)
{
    char num[64];
    page_text(page, "key", (struct mm){MARGIN_MM, y}, BODY_MM, ALIGN_LEFT, true,
              "Hours of work a week, typical");
    for (int kind = 0; kind < WORK_COUNT; kind++) {
        double sum = 0;
        for (int w = 0; w < weeks; w++)
            sum += hours[w * WORK_COUNT + kind];
        if (sum <= 0)
            continue;
        y += 6;
        struct mark *mark =
            page_rect(page, "key", (struct rect){MARGIN_MM, y - 3.4, MARGIN_MM + 8, y + 0.6},
                      PEN_FINE, INK_BLACK, work_looks[kind].fill);
        mark->hatch = work_looks[kind].hatch;
        page_text(page, "key", (struct mm){MARGIN_MM + 10, y}, SMALL_MM, ALIGN_LEFT, false,
                  arena_printf(c->arena, "%s %s h", work_names[kind],
                               num_text(num, sizeof num, num_round_sig(sum, 2))));
    }
    page_text(page, "key", (struct mm){MARGIN_MM, y + 6}, SMALL_MM, ALIGN_LEFT, false,
              "Not counted: soil, compost, mulch, water.");
}

/* How many hours there are in a week, where that is on the scale. */
static void draw_limit(struct chart *c, struct page *page, double y0, double mm_h, double top_h)
{
    const struct qty *limit = &c->plan->garden->limits.week_hours;
    char num[64];
    double y = y0 - limit->v * mm_h;
    if (!limit->set || limit->v > top_h)
        return;
    page_line(page, "hours", (struct mm){c->x0, y}, (struct mm){c->x1, y}, PEN_HILL, INK_BLACK)
        ->dash = DASH_LONG;
    page_text(page, "hours", (struct mm){c->x1 + 2, y + 1.1}, SMALL_MM, ALIGN_LEFT, false,
              arena_printf(c->arena, "limit %s h", num_text(num, sizeof num, limit->v)));
}

static void draw_work(struct chart *c, struct page *page, double top)
{
    double hours[WEEKS_MOST * WORK_COUNT] = {0}, most = 0;
    int from = c->from - (c->from - LABOUR_FROM) % 7; /* the weeks that a limit counts */
    int weeks = (c->to - from) / 7 + 1;
    work_weeks(c->plan, from, weeks, hours);
    for (int w = 0; w < weeks; w++) {
        double sum = 0;
        for (int kind = 0; kind < WORK_COUNT; kind++)
            sum += hours[w * WORK_COUNT + kind];
        most = fmax(most, sum);
    }
    double step = hour_step(most), base = top + c->work_mm - 6, height = c->work_mm - 14;
    int steps = (int)fmax(1, ceil(most / step - 1e-9));
    draw_scale(c, page, step, steps, base, height);
    for (int w = 0; w < weeks; w++) {
        double y = base;
        for (int kind = 0; kind < WORK_COUNT; kind++) {
            double h = hours[w * WORK_COUNT + kind] / (step * steps) * height;
            struct rect r = {fmax(x_of(c, from + 7 * w), c->x0), y - h,
                             fmin(x_of(c, from + 7 * w + 7), c->x1), y};
            y -= h;
            if (h > 0.05)
                page_rect(page, "work", r, PEN_GRID, INK_BLACK, work_looks[kind].fill)->hatch =
                    work_looks[kind].hatch;
        }
    }
    draw_limit(c, page, base, height / (step * steps), step * steps);
    draw_work_key(c, page, hours, weeks, top + 10);
}

/* ---- pages --------------------------------------------------------------------------------- */

static void draw_key(struct page *page, double y)
{
    static const struct {
        const char *words;
        enum ink fill;
        enum hatch hatch;
    } rows[] = {{"growing", INK_PAPER, HATCH_RISING}, {"harvest", INK_GREY, HATCH_NONE}};
    double x = MARGIN_MM;
    for (int i = 0; i < 2; i++) {
        page_rect(page, "key", (struct rect){x, y - 3.2, x + 8, y + 0.4}, PEN_FINE, INK_BLACK,
                  rows[i].fill)
            ->hatch = rows[i].hatch;
        page_text(page, "key", (struct mm){x + 10, y}, SMALL_MM, ALIGN_LEFT, false, rows[i].words);
        x += 28;
    }
    page_text(page, "key", (struct mm){MARGIN_MM, y + 6}, SMALL_MM, ALIGN_LEFT, false,
              "Dashes: early, median, late frost.");
}

/* Lanes of the least height to a page. */
static int lanes_a_page(const struct chart *c)
{
    return (int)((c->h - MARGIN_MM - TOP_MM) / LANE_MM);
}

/* Lanes and hours share what room there is. */
static void share_room(struct chart *c)
{
    double room = c->h - MARGIN_MM - TOP_MM;
    int last = c->nlanes % lanes_a_page(c);
    c->lane_mm = LANE_MM;
    if (c->nlanes > 0 && c->nlanes == last)
        c->lane_mm = num_clamp((room - WORK_MM) / c->nlanes, LANE_MM, LANE_MOST);
    c->work_mm = num_clamp(room - last * c->lane_mm, WORK_MM, WORK_MOST);
}

static struct page *new_page(struct chart *c, int of)
{
    const struct plan *plan = c->plan;
    char year[64];
    struct page *page = &c->scene->pages[c->scene->npages++];
    page_init(page, c->arena, c->w, c->h);
    const char *right =
        c->scene->npages > 1 || of > 1
            ? arena_printf(c->arena, "plan %s, page %d of %d", plan->id, c->scene->npages, of)
            : arena_printf(c->arena, "plan %s", plan->id);
    const char *season = arena_printf(c->arena, ": the season of %s",
                                      num_fixed(year, sizeof year, plan->garden->year.v, 0));
    double room = c->w - 2 * MARGIN_MM - (right ? scene_text_width(right, BODY_MM, true) : 0) - 5;
    if (season) /* of a long name the end is left out, not what the page is */
        room -= scene_text_width(season, TYPE_TITLE_MM, true);
    const char *name = scene_text_cut(c->arena, plan->garden->name.s, TYPE_TITLE_MM, true, room);
    const char *title = name && season ? arena_printf(c->arena, "%s%s", name, season) : NULL;
    page_text(page, "title", (struct mm){MARGIN_MM, MARGIN_MM + 5.4}, TYPE_TITLE_MM, ALIGN_LEFT,
              true, title);
    page_text(page, "title", (struct mm){c->w - MARGIN_MM, MARGIN_MM + 5.4}, BODY_MM, ALIGN_RIGHT,
              true, right);
    draw_key(page, TOP_MM - 11);
    return page;
}

static int pages_needed(const struct chart *c)
{
    int a_page = lanes_a_page(c), pages = (c->nlanes + a_page - 1) / a_page;
    int last = c->nlanes - (pages > 0 ? (pages - 1) * a_page : 0);
    bool room = TOP_MM + last * LANE_MM + WORK_MM <= c->h - MARGIN_MM;
    return pages == 0 ? 1 : room ? pages : pages + 1;
}

static void draw_pages(struct chart *c)
{
    int pages = pages_needed(c), a_page = lanes_a_page(c);
    const struct lane *lane = c->lanes;
    c->scene->pages = ARENA_ARRAY(c->arena, struct page, (size_t)pages);
    if (!c->scene->pages) {
        c->failed = true;
        return;
    }
    for (int p = 0; p < pages; p++) {
        struct page *page = new_page(c, pages);
        int n = 0;
        for (const struct lane *l = lane; l && n < a_page; l = l->next)
            n++;
        double y = TOP_MM, bottom = TOP_MM + n * c->lane_mm;
        bool last = p + 1 == pages;
        draw_months(c, page, y, last ? bottom + c->work_mm - 6 : bottom);
        for (int i = 0; i < n; i++, lane = lane->next)
            draw_lane(c, page, lane, y + i * c->lane_mm);
        if (last)
            draw_work(c, page, bottom);
        draw_frosts(c, page, TOP_MM, last ? bottom + c->work_mm - 6 : bottom);
        c->failed = c->failed || page->failed;
    }
}

hr_status chart_scene(struct arena *arena, const struct plan *plan, enum paper paper,
                      struct scene **out)
{
    struct chart c = {.arena = arena, .plan = plan, .scene = ARENA_NEW(arena, struct scene)};
    c.symbols = map_symbols(arena, plan);
    if (!c.scene || !c.symbols)
        return HR_NOMEM;
    *c.scene = (struct scene){.plan = plan, .paper = paper, .title = "the season"};
    paper_size(paper, &c.h, &c.w); /* on its side */
    c.x0 = MARGIN_MM + LABEL_MM;
    c.x1 = c.w - MARGIN_MM - DATES_MM;
    for (int b = 0; b < plan->nblocks; b++)
        for (int k = 0; k < plan->blocks[b].planting->nparts && !c.failed; k++)
            lane_add(&c, &plan->blocks[b].planting->parts[k]);
    axis_fit(&c);
    share_room(&c);
    if (!c.failed)
        draw_pages(&c);
    if (c.failed)
        return HR_NOMEM;
    *out = c.scene;
    return HR_OK;
}
