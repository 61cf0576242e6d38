/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet_pdf.h"

#include <math.h>
#include <string.h>

#include "map.h"
#include "num.h"

/* All is written down one column as wide as the paper, in slips that are not torn; slips are then
 * set on pages. */

#define LEFT_MM   17.0 /* room for the clip or two holes */
#define EDGE_MM   11.0 /* the other sides */
#define HEAD_MM   14.0 /* the head of each page */
#define FOOT_MM   7.0
#define SMALL_MM  SHEET_LEAST_MM
#define BODY_MM   3.95 /* 11.2 pt */
#define TITLE_MM  5.6  /* 15.9 pt */
#define ROW_MM    10.0 /* least height of a row: room to write with cold fingers */
#define LABEL_MM  17.0 /* "When" */
#define TICK_MM   9.0
#define BOX_MM    5.0
#define HILL_MM   7.0 /* height of a row of the hills' table */
#define PAD_MM    1.3
#define STAGE_GAP 5.0

/* ---- slips --------------------------------------------------------------------------------- */

struct slip {
    const struct piece *piece;
    const struct sheet_stage *stage; /* whose table it is a row of; NULL: of none, or: */
    bool seeds;                      /* of the seed list */
    int number;                      /* the stage's */
    int plot;                        /* -1: of all */
    struct slip *next;
};

struct writer {
    struct arena *arena;
    const struct sheet *sheet;
    enum paper paper;
    double page_w, page_h;
    bool one_plot;
    struct column column;
    struct slip *first, *last;
};

/* Ends the slip and begins another. */
static void next_slip(struct writer *w, double gap_mm, const struct sheet_stage *stage, int number,
                      int plot)
{
    struct slip *slip = ARENA_NEW(w->arena, struct slip);
    column_cut(&w->column, gap_mm);
    if (!slip || w->column.failed) {
        w->column.failed = true;
        return;
    }
    *slip = (struct slip){.piece = w->column.last, .stage = stage, .number = number, .plot = plot};
    if (w->last && w->last->piece == slip->piece) { /* nothing was written on it */
        *w->last = *slip;
        return;
    }
    if (w->last)
        w->last->next = slip;
    else
        w->first = slip;
    w->last = slip;
}

/* A number stays on the line of its unit, a day on that of its month, inches on that of their feet,
 * a reading on that of its tape: "4 in", "May 17", "8' 6.5\"", "x 12' 0\"". */
static const char *glued(struct arena *arena, const char *text)
{
    struct strbuf b;
    char word = ' '; /* the first letter of the word before */
    strbuf_init(&b, arena);
    for (size_t i = 0; text[i]; i++) {
        char before = i > 0 ? text[i - 1] : ' ', after = text[i + 1];
        bool digit = before >= '0' && before <= '9', number = after >= '0' && after <= '9';
        bool unit = digit && after >= 'a' && after <= 'z';
        bool day = word >= 'A' && word <= 'Z' && number;
        bool tape = (before == 'x' || before == 'y') && (i < 2 || text[i - 2] == ' ') && number;
        bool inches = before == '\'' && number;
        if (text[i] == ' ' && (unit || day || tape || inches))
            strbuf_puts(&b, "\xC2\xA0");
        else
            strbuf_add(&b, text + i, 1);
        if (i == 0 || text[i - 1] == ' ')
            word = text[i];
    }
    return b.failed ? NULL : b.p;
}

/* Wrapped text between x and x + width, from y down; where it ends is returned. */
static double cell_text(struct column *c, double x, double y, double width, double size_mm,
                        bool bold, const char *text)
{
    double keep_y = c->y, keep_w = c->w;
    c->x = x;
    c->y = y;
    c->w = width;
    column_text(c, size_mm, bold, 0, text ? glued(c->arena, text) : NULL);
    double end = c->y;
    c->x = 0;
    c->y = keep_y;
    c->w = keep_w;
    return end;
}

/* One line, cut where the cell ends. */
static void cell_line(struct column *c, double x, double y, double width, double size_mm,
                      enum align align, bool bold, const char *text)
{
    double at = align == ALIGN_RIGHT ? x + width : align == ALIGN_CENTRE ? x + width / 2 : x;
    const char *cut = text ? scene_text_cut(c->arena, text, size_mm, bold, width) : NULL;
    page_text(c->page, "cell", (struct mm){at, y}, size_mm, align, bold, cut);
}

static void tick_box(struct column *c, double x, double y)
{
    page_rect(c->page, "tick", (struct rect){x, y, x + BOX_MM, y + BOX_MM}, PEN_HILL, INK_BLACK,
              INK_PAPER);
}

static void labelled(struct column *c, const char *label, const char *text)
{
    if (text && !*text)
        return;
    page_text(c->page, "label", (struct mm){0, c->y + 0.8 * BODY_MM}, BODY_MM, ALIGN_LEFT, true,
              label);
    c->y = cell_text(c, LABEL_MM, c->y, c->w - LABEL_MM, BODY_MM, false, text) + 0.6;
}

/* ---- the table of a stage ------------------------------------------------------------------ */

/* Columns from left to right: a box, where, two counts, the day, a note. What a stage does not need
 * is left to `where`. */
enum { COLUMN_TICK, COLUMN_WHERE, COLUMN_SPOTS, COLUMN_SEEDS, COLUMN_DAY, COLUMN_NOTE, COLUMNS };

struct table {
    double x[COLUMNS + 1];
    const char *heads[COLUMNS];
};

static struct table table_of(const struct sheet_stage *stage, double width)
{
    bool spots = stage->jobs && stage->jobs->nstations > 0;
    bool seeds = stage->kind == STAGE_SOW || stage->kind == STAGE_HARVEST;
    const double widths[COLUMNS] = {
        [COLUMN_TICK] = TICK_MM,
        [COLUMN_SPOTS] = spots ? 17.0 : 0,
        [COLUMN_SEEDS] = seeds ? 21 : 0,
        [COLUMN_DAY] = 21,
        [COLUMN_NOTE] = 36,
    };
    struct table t = {.heads = {[COLUMN_TICK] = "",
                                [COLUMN_WHERE] = "where",
                                [COLUMN_SPOTS] = "spots",
                                [COLUMN_SEEDS] = stage->unit,
                                [COLUMN_DAY] = "done on",
                                [COLUMN_NOTE] = "note"}};
    if (stage->kind == STAGE_HARVEST)
        t.heads[COLUMN_SEEDS] = "weighed";
    double rest = width;
    for (int i = 0; i < COLUMNS; i++)
        rest -= widths[i];
    for (int i = 0; i < COLUMNS; i++)
        t.x[i + 1] = t.x[i] + (i == COLUMN_WHERE ? rest : widths[i]);
    return t;
}

/* Rules round the cells of a row. */
static void table_rules(struct column *c, const struct table *t, double y0, double y1)
{
    for (int i = 0; i < COLUMNS; i++)
        if (t->x[i + 1] > t->x[i])
            page_rect(c->page, "cell", (struct rect){t->x[i], y0, t->x[i + 1], y1}, PEN_GRID,
                      INK_BLACK, INK_NONE);
}

static void table_head(struct column *c, const struct table *t)
{
    double y = c->y + 0.5;
    for (int i = 0; i < COLUMNS; i++)
        if (t->x[i + 1] > t->x[i])
            cell_line(c, t->x[i] + PAD_MM, y + 0.8 * SMALL_MM, t->x[i + 1] - t->x[i] - PAD_MM,
                      SMALL_MM, ALIGN_LEFT, false, t->heads[i]);
    c->y = y + 1.3 * SMALL_MM;
}

static void count_cell(struct column *c, const struct table *t, int i, double y, double count)
{
    char num[64];
    if (count > 0 && t->x[i + 1] > t->x[i])
        cell_line(c, t->x[i], y, t->x[i + 1] - t->x[i] - PAD_MM, BODY_MM, ALIGN_RIGHT, false,
                  arena_strdup(c->arena, num_grouped(num, sizeof num, ceil(count - 1e-9))));
}

/* Every hill with its place on the tapes, down the columns, and a box each. */
static void hill_table(struct writer *w, const struct sheet_job *job)
{
    enum { ACROSS = 3 };
    struct column *c = &w->column;
    char buf[64];
    const double width = c->w / ACROSS, x[] = {7, 16.5, 38, 60};
    c->y += 2;
    int down = (job->nstations + ACROSS - 1) / ACROSS;
    for (int i = 0; i < ACROSS && i * down < job->nstations; i++) {
        static const char *const heads[] = {"hill", "x", "y"};
        for (int h = 0; h < 3; h++)
            cell_line(c, i * width, c->y + 0.9 * SMALL_MM, x[h + 1], SMALL_MM, ALIGN_RIGHT, false,
                      heads[h]);
    }
    c->y += 1.4 * SMALL_MM;
    for (int s = 0; s < job->nstations; s++) {
        const struct station *station = &w->sheet->plan->stations[job->stations[s]];
        int across = s / down, below = s % down;
        double left = across * width, top = c->y + below * HILL_MM, y = top + 5.0;
        tick_box(c, left + 2, top + (HILL_MM - BOX_MM) / 2);
        cell_line(c, left + x[0], y, x[1] - x[0], BODY_MM, ALIGN_RIGHT, true, station->id);
        const double tapes[] = {station->x_m, station->y_m};
        for (int t = 0; t < 2; t++)
            cell_line(
                c, left + x[t + 1], y, x[t + 2] - x[t + 1], BODY_MM, ALIGN_RIGHT, false,
                arena_strdup(w->arena, unit_tape(buf, sizeof buf, tapes[t], w->sheet->units)));
        page_line(c->page, "rule", (struct mm){left, top + HILL_MM},
                  (struct mm){left + x[3], top + HILL_MM}, PEN_GRID, INK_RULE);
    }
    c->y += down * HILL_MM + 1;
}

static void write_row(struct writer *w, const struct sheet_stage *stage,
                      const struct sheet_job *job)
{
    struct column *c = &w->column;
    struct table t = table_of(stage, c->w);
    double x = t.x[COLUMN_WHERE] + PAD_MM, width = t.x[COLUMN_WHERE + 1] - x - PAD_MM;
    double top = c->y, base = top + PAD_MM + 0.9 * BODY_MM;
    bool line = job->block < 0; /* of the ground as a whole: a sentence */
    double end =
        cell_text(c, x, top + PAD_MM, width, BODY_MM, !line, w->one_plot ? job->place : job->where);
    if (job->tape && stage->kind == STAGE_SOW)
        end = cell_text(c, x, end, width, SMALL_MM, false, job->tape);
    tick_box(c, (TICK_MM - BOX_MM) / 2, top + (ROW_MM - BOX_MM) / 2);
    count_cell(c, &t, COLUMN_SPOTS, base, job->nstations);
    count_cell(c, &t, COLUMN_SEEDS, base, job->seeds);
    c->y = fmax(end + 0.6, top + ROW_MM);
    table_rules(c, &t, top, c->y);
    if (stage->kind == STAGE_HILLS)
        hill_table(w, job);
}

/* What all rows of a stage take together. */
static void write_total(struct writer *w, const struct sheet_stage *stage, int number)
{
    struct column *c = &w->column;
    double seeds = 0;
    int jobs = 0;
    for (const struct sheet_job *job = stage->jobs; job; job = job->next, jobs++)
        seeds += job->seeds;
    if (jobs < 2 || seeds <= 0)
        return;
    struct table t = table_of(stage, c->w);
    next_slip(w, 0, stage, number, -1);
    count_cell(c, &t, COLUMN_SEEDS, c->y + PAD_MM + 0.8 * BODY_MM, seeds);
    cell_line(c, t.x[COLUMN_WHERE], c->y + PAD_MM + 0.8 * BODY_MM,
              t.x[COLUMN_SPOTS] - t.x[COLUMN_WHERE] - PAD_MM, BODY_MM, ALIGN_RIGHT, false,
              "together");
    c->y += 1.3 * BODY_MM + PAD_MM;
}

static void stage_title(struct writer *w, struct column *c, const struct sheet_stage *stage,
                        int number, const char *behind)
{
    const struct symbol *symbol = stage->seed >= 0 ? &w->sheet->symbols[stage->seed] : NULL;
    double room = symbol && symbol->letter ? map_symbol_width(symbol) + 3 : 0, top = c->y;
    const char *title = arena_printf(w->arena, "%d  %s%s", number + 1, stage->title, behind);
    page_line(c->page, "rule", (struct mm){0, top}, (struct mm){c->w, top}, PEN_HILL, INK_BLACK);
    c->y = cell_text(c, 0, top + 1.8, c->w - room, TITLE_MM, true, title) + 0.4;
    if (room > 0)
        map_symbol_draw(c->page, symbol, (struct mm){c->w - room / 2, top + 5.4});
}

static void write_stage(struct writer *w, int number)
{
    const struct sheet_stage *stage = &w->sheet->stages[number];
    struct column *c = &w->column;
    int plot = stage->jobs ? stage->jobs->plot : -1;
    next_slip(w, STAGE_GAP, NULL, number, plot);
    if (c->failed)
        return;
    stage_title(w, c, stage, number, "");
    labelled(c, "When", stage->when);
    labelled(c, "How", stage->how);
    labelled(c, "Note", stage->note);
    if (stage->hours > 0)
        labelled(c, "Time", sheet_time(w->arena, stage));
    struct table t = table_of(stage, c->w);
    table_head(c, &t);
    for (const struct sheet_job *job = stage->jobs; job && !c->failed; job = job->next) {
        if (job != stage->jobs)
            next_slip(w, 0, stage, number, job->plot);
        write_row(w, stage, job);
    }
    write_total(w, stage, number);
}

/* ---- seed, hours, cautions, notes ---------------------------------------------------------- */

static void section(struct writer *w, const char *title)
{
    struct column *c = &w->column;
    next_slip(w, STAGE_GAP, NULL, 0, -1);
    page_line(c->page, "rule", (struct mm){0, c->y}, (struct mm){c->w, c->y}, PEN_HILL, INK_BLACK);
    c->y = cell_text(c, 0, c->y + 1.8, c->w, TITLE_MM, true, title) + 0.4;
}

/* Columns of the seed list behind box and name: right ends from the right edge, mm. */
static const struct {
    const char *head;
    double from_right, width;
} seed_columns[] = {{"germinate", 114, 19}, {"to sow", 96, 17},    {"in hand", 77, 18},
                    {"keep back", 55, 20},  {"left over", 35, 19}, {"buy", 0, 31}};
enum { SEED_COLUMNS = sizeof seed_columns / sizeof *seed_columns, SEED_BUY = SEED_COLUMNS - 1 };
#define SEED_NAME_TO 134.0 /* from the right edge */

static const char *count_words(struct writer *w, double v)
{
    char num[64];
    return isfinite(v) ? arena_strdup(w->arena, num_grouped(num, sizeof num, v)) : "-";
}

static void write_seed(struct writer *w, const struct sheet_seed *s)
{
    struct column *c = &w->column;
    char num[64];
    double top = c->y, base = top + PAD_MM + 0.9 * BODY_MM, left = s->left;
    const char *cells[SEED_COLUMNS] = {
        s->germination > 0
            ? arena_printf(w->arena, "%s %%%s", num_fixed(num, sizeof num, 100 * s->germination, 0),
                           s->tested ? "" : " *")
            : "-",
        count_words(w, s->sow),
        count_words(w, s->in_hand),
        count_words(w, s->reserve),
        count_words(w, isfinite(s->in_hand) ? left : HUGE_VAL),
        NULL,
    };
    double end =
        cell_text(c, TICK_MM + PAD_MM, top + PAD_MM, c->w - SEED_NAME_TO - TICK_MM - PAD_MM,
                  BODY_MM, true, s->seed->crop->name.s);
    const char *kind = arena_printf(w->arena, "%s; %s", s->seed->variety.s, s->unit);
    end = cell_text(c, TICK_MM + PAD_MM, end, c->w - SEED_NAME_TO - TICK_MM - PAD_MM, SMALL_MM,
                    false, kind);
    for (int i = 0; i < SEED_BUY; i++)
        cell_line(c, c->w - seed_columns[i].from_right - seed_columns[i].width, base,
                  seed_columns[i].width, BODY_MM, ALIGN_RIGHT, false, cells[i]);
    double buy = cell_text(c, c->w - seed_columns[SEED_BUY].width, top + PAD_MM,
                           seed_columns[SEED_BUY].width, BODY_MM, false, sheet_buy(w->sheet, s));
    tick_box(c, (TICK_MM - BOX_MM) / 2, top + (ROW_MM - BOX_MM) / 2);
    c->y = fmax(fmax(end, buy) + 0.8, top + ROW_MM);
    page_line(c->page, "rule", (struct mm){0, c->y}, (struct mm){c->w, c->y}, PEN_GRID, INK_BLACK);
}

static void seed_head(struct column *c)
{
    for (int i = 0; i < SEED_COLUMNS; i++)
        cell_line(c, c->w - seed_columns[i].from_right - seed_columns[i].width,
                  c->y + 0.8 * SMALL_MM, seed_columns[i].width, SMALL_MM,
                  i == SEED_BUY ? ALIGN_LEFT : ALIGN_RIGHT, false, seed_columns[i].head);
    c->y += 1.5 * SMALL_MM;
}

static void write_seeds(struct writer *w)
{
    struct column *c = &w->column;
    if (w->sheet->nseeds == 0)
        return;
    section(w, "Seed");
    seed_head(c);
    for (int i = 0; i < w->sheet->nseeds && !c->failed; i++) {
        if (i > 0)
            next_slip(w, 0, NULL, 0, -1);
        w->last->seeds = i > 0;
        write_seed(w, &w->sheet->seeds[i]);
    }
    next_slip(w, 1.5, NULL, 0, -1);
    column_text(c, SMALL_MM, false, 0,
                "Counts of what is weighed are from typical seeds to the weight. Keep back: for "
                "places where nothing comes up. *: by the standard of fresh seed and its age; no "
                "test is named.");
}

static void write_hours(struct writer *w)
{
    const char *words = sheet_hours(w->sheet);
    if (words && !*words)
        return;
    section(w, "Hours");
    column_text(&w->column, BODY_MM, false, 0, words);
}

static void write_cautions(struct writer *w)
{
    struct column *c = &w->column;
    section(w, "Take care");
    for (int i = 0; i < w->sheet->ncautions && !c->failed; i++) {
        if (i > 0)
            next_slip(w, 0.8, NULL, 0, -1);
        page_text(c->page, "label", (struct mm){0.5, c->y + 0.8 * BODY_MM}, BODY_MM, ALIGN_LEFT,
                  true, "!");
        c->y = cell_text(c, 5, c->y, c->w - 5, BODY_MM, false, w->sheet->cautions[i]);
    }
}

static void write_notes(struct writer *w)
{
    struct column *c = &w->column;
    section(w, "Notes for next year");
    for (int i = 0; i < 6; i++) {
        c->y += ROW_MM;
        page_line(c->page, "rule", (struct mm){0, c->y}, (struct mm){c->w, c->y}, PEN_GRID,
                  INK_BLACK);
    }
}

static void write_all(struct writer *w)
{
    struct column *c = &w->column;
    next_slip(w, 0, NULL, 0, -1);
    column_text(c, SMALL_MM, false, 0,
                "Hills and rows have the numbers they have on the map of the same plan. All "
                "distances run from the stake along the two tapes, x and y. Tick what is done and "
                "write the day. Dates are guesses from the frost dates of the garden file; what "
                "the soil and the plants do goes before them.");
    for (int i = 0; i < w->sheet->nstages && !c->failed; i++)
        write_stage(w, i);
    write_hours(w);
    write_seeds(w);
    write_cautions(w);
    write_notes(w);
    column_cut(c, 0); /* takes the height of the last slip */
}

/* ---- pages --------------------------------------------------------------------------------- */

struct setter {
    struct writer *w;
    struct scene *scene;
    int cap;
    bool *plots; /* that the page speaks of */
    double y, bottom;
    bool failed;
};

static struct page *this_page(struct setter *s)
{
    return &s->scene->pages[s->scene->npages - 1];
}

/* The names of the plots on the page, comma apart; all are said when it speaks of none. */
static const char *page_plots(struct setter *s)
{
    const struct garden *g = s->w->sheet->plan->garden;
    struct strbuf b;
    strbuf_init(&b, s->w->arena);
    bool any = false, more = false;
    for (size_t i = 0; i < g->plots.n; i++)
        any = any || s->plots[i];
    for (size_t i = 0; i < g->plots.n; i++)
        if (s->plots[i] || !any) {
            strbuf_printf(&b, "%s%s", more ? ", " : "", garden_plot(g, i)->name.s);
            more = true;
        }
    return b.failed ? NULL : b.p;
}

/* Written when the page is full: only then is it known of which plots it speaks. */
static void page_head(struct setter *s)
{
    struct writer *w = s->w;
    struct page *page = this_page(s);
    const struct plan *plan = w->sheet->plan;
    char num[64];
    const char *right = arena_printf(w->arena, "Planting sheet %s, plan %s",
                                     num_fixed(num, sizeof num, plan->garden->year.v, 0), plan->id);
    const char *plots = page_plots(s);
    if (!right || !plots) {
        s->failed = true;
        return;
    }
    double x0 = LEFT_MM, x1 = page->w_mm - EDGE_MM, y = EDGE_MM + 0.95 * BODY_MM;
    double room = x1 - x0 - scene_text_width(right, BODY_MM, true) - 4;
    page_text(page, "head", (struct mm){x0, y}, BODY_MM, ALIGN_LEFT, true,
              scene_text_cut(w->arena, plan->garden->name.s, BODY_MM, true, room));
    page_text(page, "head", (struct mm){x1, y}, BODY_MM, ALIGN_RIGHT, true, right);
    page_text(page, "head", (struct mm){x0, y + 1.3 * BODY_MM}, BODY_MM, ALIGN_LEFT, false,
              scene_text_cut(w->arena, plots, BODY_MM, false, x1 - x0));
    page_line(page, "head", (struct mm){x0, y + 1.8 * BODY_MM}, (struct mm){x1, y + 1.8 * BODY_MM},
              PEN_OUTLINE, INK_BLACK);
    memset(s->plots, 0, plan->garden->plots.n * sizeof *s->plots);
}

/* Ends the page and begins another. */
static void turn_page(struct setter *s)
{
    struct scene *scene = s->scene;
    if (scene->npages > 0)
        page_head(s);
    if (scene->npages == s->cap) {
        int cap = s->cap > 0 ? 2 * s->cap : 8;
        struct page *pages = ARENA_ARRAY(s->w->arena, struct page, (size_t)cap);
        if (!pages) {
            s->failed = true;
            return;
        }
        if (scene->npages > 0)
            memcpy(pages, scene->pages, (size_t)scene->npages * sizeof *pages);
        scene->pages = pages;
        s->cap = cap;
    }
    page_init(&scene->pages[scene->npages++], s->w->arena, s->w->page_w, s->w->page_h);
    s->y = EDGE_MM + HEAD_MM;
    s->bottom = s->w->page_h - EDGE_MM - FOOT_MM;
}

/* The head of a table that goes on from the page before. */
static void set_running_head(struct setter *s, const struct slip *slip)
{
    struct column c;
    column_init(&c, s->w->arena, s->w->column.w, 1);
    if (!c.failed) {
        if (slip->stage) {
            struct table t = table_of(slip->stage, c.w);
            stage_title(s->w, &c, slip->stage, slip->number, ", continued");
            table_head(&c, &t);
        } else {
            cell_text(&c, 0, 0, c.w, TITLE_MM, true, "Seed, continued");
            c.y = 1.4 * TITLE_MM;
            seed_head(&c);
        }
        column_cut(&c, 0);
        page_append(this_page(s), &c.first->draft, LEFT_MM, s->y);
        s->y += c.first->height_mm;
    }
    s->failed = s->failed || c.failed;
}

static void set_slip(struct setter *s, const struct slip *slip)
{
    double top = EDGE_MM + HEAD_MM, gap = s->y > top ? slip->piece->gap_mm : 0;
    if (s->y > top && s->y + gap + slip->piece->height_mm > s->bottom) {
        turn_page(s);
        gap = 0;
        if ((slip->stage || slip->seeds) && !s->failed)
            set_running_head(s, slip);
    }
    if (s->failed)
        return;
    page_append(this_page(s), &slip->piece->draft, LEFT_MM, s->y + gap);
    s->y += gap + slip->piece->height_mm;
    if (slip->plot >= 0)
        s->plots[slip->plot] = true;
}

static void number_pages(struct setter *s)
{
    for (int i = 0; i < s->scene->npages; i++) {
        struct page *page = &s->scene->pages[i];
        const char *text = arena_printf(s->w->arena, "page %d of %d", i + 1, s->scene->npages);
        page_text(page, "foot",
                  (struct mm){(LEFT_MM + page->w_mm - EDGE_MM) / 2, page->h_mm - EDGE_MM - 1},
                  BODY_MM, ALIGN_CENTRE, false, text);
        s->failed = s->failed || page->failed;
    }
}

hr_status sheet_pdf_scene(struct arena *arena, const struct sheet *sheet, enum paper paper,
                          struct scene **out)
{
    const struct garden *g = sheet->plan->garden;
    struct writer w = {.arena = arena, .sheet = sheet, .paper = paper};
    struct setter s = {.w = &w, .scene = ARENA_NEW(arena, struct scene)};
    s.plots = ARENA_ARRAY(arena, bool, g->plots.n);
    paper_size(paper, &w.page_w, &w.page_h);
    w.one_plot = g->plots.n == 1;
    column_init(&w.column, arena, w.page_w - LEFT_MM - EDGE_MM, 1);
    if (!s.scene || !s.plots || w.column.failed)
        return HR_NOMEM;
    *s.scene = (struct scene){.plan = sheet->plan, .paper = paper, .title = "planting sheet"};
    write_all(&w);
    if (w.column.failed)
        return HR_NOMEM;
    turn_page(&s);
    for (const struct slip *slip = w.first; slip && !s.failed; slip = slip->next)
        set_slip(&s, slip);
    if (!s.failed)
        page_head(&s);
    number_pages(&s);
    if (s.failed)
        return HR_NOMEM;
    *out = s.scene;
    return HR_OK;
}
