/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet_text.h"

#include <math.h>
#include <string.h>

#include "num.h"

#define LABEL  8  /* columns of "  When  " */
#define COUNTS 26 /* columns at the right for what a job takes */

struct writer {
    const struct sheet *sheet;
    struct strbuf *out;
};

static void rule(struct writer *w, char c)
{
    char line[SHEET_COLUMNS + 2];
    memset(line, c, SHEET_COLUMNS);
    line[SHEET_COLUMNS] = '\n';
    strbuf_add(w->out, line, SHEET_COLUMNS + 1);
}

/* A left and a right text on one line, the left one cut if it must be. */
static void both_ends(struct writer *w, const char *left, const char *right)
{
    size_t r = utf8_columns(right);
    if (r + 10 > SHEET_COLUMNS) {
        strbuf_wrap(w->out, left, SHEET_COLUMNS, 0, 0);
        strbuf_wrap(w->out, right, SHEET_COLUMNS, 0, 0);
        return;
    }
    strbuf_pad(w->out, left, SHEET_COLUMNS - r - 1);
    strbuf_printf(w->out, " %s\n", right);
}

/* "  When  text", wrapped under itself. Nothing for an empty text. */
static void labelled(struct writer *w, const char *label, const char *text)
{
    if (!*text)
        return;
    strbuf_puts(w->out, "  ");
    strbuf_pad(w->out, label, LABEL - 2);
    strbuf_wrap(w->out, text, SHEET_COLUMNS, LABEL, LABEL);
}

/* ---- head ---------------------------------------------------------------------------------- */

static void write_head(struct writer *w)
{
    const struct plan *plan = w->sheet->plan;
    const struct garden *g = plan->garden;
    struct strbuf *out = w->out;
    char num[64];
    const char *right = arena_printf(w->sheet->arena, "Planting sheet, plan %s", plan->id);
    if (!right) {
        out->failed = true;
        return;
    }
    rule(w, '=');
    both_ends(w, g->name.s, right);
    struct strbuf line;
    strbuf_init(&line, w->sheet->arena);
    if (g->year.set)
        strbuf_printf(&line, "Season of %s. ", num_fixed(num, sizeof num, g->year.v, 0));
    for (size_t i = 0; i < g->plots.n; i++)
        strbuf_printf(&line, "%s%s",
                      i > 0            ? ", "
                      : g->plots.n > 1 ? "Plots: "
                                       : "",
                      garden_plot(g, i)->name.s);
    out->failed = out->failed || line.failed;
    strbuf_wrap(out, line.p, SHEET_COLUMNS, 0, 0);
    rule(w, '=');
    strbuf_wrap(
        out,
        "Hills and rows have the numbers they have on the map of the same plan. All distances "
        "run from the stake along the two tapes, x and y. Tick [ ] what is done, and write the "
        "day. Dates are guesses from the frost dates of the garden file; what the soil and the "
        "plants do goes before them.",
        SHEET_COLUMNS, 0, 0);
    strbuf_puts(out, "\n");
}

/* ---- stages -------------------------------------------------------------------------------- */

static void write_hill_table(struct writer *w, const struct sheet_job *job)
{
    const struct sheet *sheet = w->sheet;
    enum { PER_LINE = 3 };
    char buf[64], cell[96];
    /* down the columns, so that a line of hills is read without jumping */
    int rows = (job->nstations + PER_LINE - 1) / PER_LINE;
    for (int i = 0; i * rows < job->nstations; i++)
        strbuf_printf(w->out, "%s%6s %9s %9s", i == 0 ? "    " : "   ", "hill", "x", "y");
    for (int r = 0; r < rows; r++) {
        strbuf_puts(w->out, "\n    ");
        for (int c = 0; c < PER_LINE && c * rows + r < job->nstations; c++) {
            const struct station *s = &sheet->plan->stations[job->stations[c * rows + r]];
            snprintf(cell, sizeof cell, "%s", unit_tape(buf, sizeof buf, s->x_m, sheet->units));
            strbuf_printf(w->out, "%s%6s %9s", c > 0 ? "   " : "", s->id, cell);
            strbuf_printf(w->out, " %9s", unit_tape(buf, sizeof buf, s->y_m, sheet->units));
        }
    }
    strbuf_puts(w->out, "\n");
}

/* "11 hills  66 seeds" at the right of a job. NULL: out of memory. */
static const char *job_counts(struct writer *w, const struct sheet_stage *stage,
                              const struct sheet_job *job)
{
    if (job->nstations == 0)
        return stage->kind == STAGE_HARVEST ? "weighed ____________" : "";
    const struct block *block = &w->sheet->plan->blocks[job->block];
    bool hills = block->planting->system == SYSTEM_HILLS;
    const char *place =
        hills ? (job->nstations == 1 ? "hill" : "hills") : (job->nstations == 1 ? "spot" : "spots");
    char num[64];
    if (job->seeds <= 0)
        return arena_printf(w->sheet->arena, "%d %s", job->nstations, place);
    return arena_printf(w->sheet->arena, "%d %s %7s %s", job->nstations, place,
                        num_grouped(num, sizeof num, ceil(job->seeds - 1e-9)), stage->unit);
}

static void write_job(struct writer *w, const struct sheet_stage *stage,
                      const struct sheet_job *job)
{
    const char *counts = job_counts(w, stage, job);
    size_t room = SHEET_COLUMNS - 6;
    if (!counts) {
        w->out->failed = true;
        return;
    }
    strbuf_puts(w->out, "  [ ] ");
    if (*counts && utf8_columns(job->where) + utf8_columns(counts) + 2 <= room) {
        strbuf_pad(w->out, job->where, room - utf8_columns(counts));
        strbuf_printf(w->out, "%s\n", counts);
    } else {
        strbuf_wrap(w->out, job->where, SHEET_COLUMNS, 6, 6);
        if (*counts) {
            strbuf_pad(w->out, "", SHEET_COLUMNS - utf8_columns(counts));
            strbuf_printf(w->out, "%s\n", counts);
        }
    }
    if (job->tape && stage->kind == STAGE_SOW) {
        strbuf_puts(w->out, "      ");
        strbuf_wrap(w->out, job->tape, SHEET_COLUMNS, 8, 6);
    }
    if (stage->kind == STAGE_HILLS)
        write_hill_table(w, job);
}

/* What all jobs of a stage take together. */
static void write_total(struct writer *w, const struct sheet_stage *stage)
{
    double seeds = 0;
    int jobs = 0;
    char num[64];
    for (const struct sheet_job *job = stage->jobs; job; job = job->next, jobs++)
        seeds += job->seeds;
    if (jobs < 2 || seeds <= 0)
        return;
    num_grouped(num, sizeof num, ceil(seeds - 1e-9));
    size_t used = 12 + strlen(num) + strlen(stage->unit);
    strbuf_pad(w->out, "", SHEET_COLUMNS - used);
    strbuf_printf(w->out, "together  %s %s\n", num, stage->unit);
}

static void write_stage(struct writer *w, int number)
{
    const struct sheet_stage *stage = &w->sheet->stages[number];
    const char *head = arena_printf(w->sheet->arena, "%d  %s", number + 1, stage->title);
    if (!head) {
        w->out->failed = true;
        return;
    }
    rule(w, '-');
    both_ends(w, head, "begun ________ done ________");
    labelled(w, "When", stage->when);
    labelled(w, "How", stage->how);
    labelled(w, "Note", stage->note);
    const char *time = sheet_time(w->sheet->arena, stage);
    w->out->failed = w->out->failed || !time;
    labelled(w, "Time", time ? time : "");
    for (const struct sheet_job *job = stage->jobs; job; job = job->next)
        write_job(w, stage, job);
    write_total(w, stage);
    strbuf_puts(w->out, "  Notes ");
    for (int i = LABEL; i < SHEET_COLUMNS; i++)
        strbuf_puts(w->out, "_");
    strbuf_puts(w->out, "\n\n");
}

static void write_hours(struct writer *w)
{
    const char *words = sheet_hours(w->sheet);
    w->out->failed = w->out->failed || !words;
    if (words && *words) {
        rule(w, '-');
        strbuf_wrap(w->out, words, SHEET_COLUMNS, 0, 0);
        strbuf_puts(w->out, "\n");
    }
}

/* ---- seed, cautions, notes ----------------------------------------------------------------- */

static void write_count(struct writer *w, double v)
{
    char num[64];
    strbuf_printf(w->out, " %9s", isfinite(v) ? num_grouped(num, sizeof num, v) : "-");
}

/* A line of the seed list: name, germination, four counts, what to buy. */
static void write_seed(struct writer *w, const struct sheet_seed *s)
{
    const struct sheet *sheet = w->sheet;
    char num[64];
    const char *name =
        arena_printf(sheet->arena, "%s, %s", s->seed->crop->name.s, s->seed->variety.s);
    const char *buy = sheet_buy(sheet, s);
    if (!name || !buy) {
        w->out->failed = true;
        return;
    }
    strbuf_puts(w->out, "  [ ] ");
    strbuf_wrap(w->out, name, SHEET_COLUMNS, 6, 6);
    if (s->germination > 0)
        strbuf_printf(w->out, "      %-10s %9s %%%s", s->unit,
                      num_fixed(num, sizeof num, 100 * s->germination, 0), s->tested ? " " : "*");
    else
        strbuf_printf(w->out, "      %-10s %9s   ", s->unit, "-");
    write_count(w, s->sow);
    write_count(w, s->in_hand);
    write_count(w, s->reserve);
    write_count(w, isfinite(s->in_hand) ? s->left : HUGE_VAL);
    strbuf_printf(w->out, "%s%s\n", *buy ? "\n      buy       " : "", buy);
}

static void write_seeds(struct writer *w)
{
    const struct sheet *sheet = w->sheet;
    rule(w, '-');
    strbuf_printf(w->out, "%-17s %11s %9s %9s %9s %9s\n", "Seed", "germinate", "to sow", "in hand",
                  "keep back", "left over");
    for (int i = 0; i < sheet->nseeds; i++)
        write_seed(w, &sheet->seeds[i]);
    strbuf_wrap(w->out,
                "Counts of what is weighed are from typical seeds to the weight. Keep back: for "
                "places where nothing comes up. *: by the standard of fresh seed and its age; no "
                "test is named.",
                SHEET_COLUMNS, 2, 0);
    strbuf_puts(w->out, "\n");
}

static void write_cautions(struct writer *w)
{
    rule(w, '-');
    strbuf_puts(w->out, "Take care\n");
    for (int i = 0; i < w->sheet->ncautions; i++) {
        strbuf_puts(w->out, "  * ");
        strbuf_wrap(w->out, w->sheet->cautions[i], SHEET_COLUMNS, 4, 4);
    }
    strbuf_puts(w->out, "\n");
}

static void write_notes(struct writer *w)
{
    rule(w, '-');
    strbuf_puts(w->out, "Notes for next year\n");
    for (int i = 0; i < 5; i++) {
        strbuf_puts(w->out, "\n");
        rule(w, '_');
    }
}

void sheet_text(const struct sheet *sheet, struct strbuf *out)
{
    struct writer w = {sheet, out};
    write_head(&w);
    for (int i = 0; i < sheet->nstages; i++)
        write_stage(&w, i);
    write_hours(&w);
    write_seeds(&w);
    write_cautions(&w);
    write_notes(&w);
}
