/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "trial_text.h"

#include <math.h>
#include <string.h>

#include "csv.h"
#include "num.h"
#include "trial_words.h"

#define COLUMNS 80

static void rule(struct strbuf *out, char c)
{
    char line[COLUMNS + 2];
    memset(line, c, COLUMNS);
    line[COLUMNS] = '\n';
    strbuf_add(out, line, COLUMNS + 1);
}

static void paragraph(struct strbuf *out, const char *text, size_t indent)
{
    if (!text) {
        out->failed = true;
        return;
    }
    strbuf_pad(out, "", indent);
    strbuf_wrap(out, text, COLUMNS, indent, indent);
}

/* "1.2 kg (0.8 to 1.9)" */
static void span_words(const struct trial *t, const struct span *s, struct strbuf *out)
{
    char typ[64], low[64], high[64];
    strbuf_printf(out, "%s (%s to %s)", unit_mass(typ, sizeof typ, s->typ, t->units),
                  unit_mass(low, sizeof low, s->low, t->units),
                  unit_mass(high, sizeof high, s->high, t->units));
}

static void head(const struct trial *t, struct strbuf *out)
{
    char buf[64], other[64], num[64];
    const struct plot *plot = garden_plot(t->garden, (size_t)t->plot);
    strbuf_printf(out, "%s%s%s: trial %s in %s, seed %lu\n", t->garden->name.s,
                  t->garden->year.set ? ", " : "",
                  t->garden->year.set ? num_fixed(num, sizeof num, t->garden->year.v, 0) : "",
                  t->id, plot->name.s, t->seed);
    strbuf_puts(out, "\n");
    paragraph(out, trial_question(t, out->arena), 0);
    strbuf_puts(out, "\n");
    paragraph(out, trial_verdict(t, out->arena), 0);
    strbuf_puts(out, "\n");
    strbuf_printf(out, "Each half is %s by %s, ",
                  unit_length(buf, sizeof buf, t->half_length_m, t->units),
                  unit_length(other, sizeof other, t->half_depth_m, t->units));
    strbuf_printf(out, "with %s of net ground.\n",
                  unit_area(buf, sizeof buf, t->net_length_m * t->net_depth_m, t->units));
}

static void order(const struct trial *t, struct strbuf *out)
{
    strbuf_puts(out, "The lot, from the origin on\n");
    for (int b = 0; b < t->blocks; b++)
        strbuf_printf(out, "  block %-3d %s, then %s\n", b + 1,
                      treatment_names[t->halves[2 * b].treatment],
                      treatment_names[t->halves[2 * b + 1].treatment]);
}

static void expected_line(const struct trial *t, const struct trial_crop *c, int treatment,
                          struct strbuf *out)
{
    char num[64];
    strbuf_puts(out, "  ");
    strbuf_pad(out, treatment == TREATMENT_HILLS ? c->crop : "", 22);
    strbuf_printf(out, " %-5s  %4s plant%s  ", treatment_names[treatment],
                  num_grouped(num, sizeof num, c->plants[treatment]),
                  c->plants[treatment] == 1 ? " " : "s");
    span_words(t, &c->kg[treatment], out);
    strbuf_puts(out, "\n");
}

/* Typical and range, since a trial is meant to find out which it is; and how many plants, since
 * that is half of any difference between hills and rows. */
static void expected(const struct trial *t, struct strbuf *out)
{
    strbuf_puts(out, "What the net ground of one half holds and may give, typical (low to high)\n");
    for (int k = 0; k < t->ncrops; k++)
        for (int i = 0; i < TREATMENT_COUNT; i++)
            expected_line(t, &t->crops[k], i, out);
    paragraph(out,
              "Each is planted at its own usual spacing: what is compared is two ways to plant, "
              "number of plants and all.",
              2);
}

void trial_summary(const struct trial *t, struct strbuf *out)
{
    head(t, out);
    strbuf_puts(out, "\n");
    order(t, out);
    strbuf_puts(out, "\n");
    expected(t, out);
}

/* ---- the sheet ------------------------------------------------------------------------------ */

static void set_out(const struct trial *t, struct strbuf *out)
{
    rule(out, '-');
    strbuf_puts(out, "1  Measure in                                               done ________\n");
    paragraph(out,
              "Distances run from the stake along the two tapes, x and y. Put a peg at each corner "
              "of each half, then a string round its net ground.",
              2);
    for (int i = 0; i < 2 * t->blocks; i++) {
        const char *ground = trial_half_words(t, &t->halves[i], false, out->arena);
        const char *net = trial_half_words(t, &t->halves[i], true, out->arena);
        out->failed |= !ground || !net;
        strbuf_printf(out, "  [ ] %s\n", ground ? ground : "");
        strbuf_printf(out, "      %*s net %s\n", (int)strlen(t->halves[i].name), "",
                      net ? net : "");
    }
    strbuf_puts(out, "\n");
}

/* The hills of a half that are weighed: "6, 7, 10". */
static void weighed_hills(const struct trial *t, int half, struct strbuf *out)
{
    int n = 0;
    for (int s = 0; s < t->plan->nstations; s++) {
        const struct station *station = &t->plan->stations[s];
        if (t->plan->blocks[station->block].zone == half && trial_weighed(t, station))
            strbuf_printf(out, "%s%s", n++ > 0 ? ", " : "", station->id);
    }
}

/* A row of hills, or rows of one crop, with its distance from the other tape. */
static void lines_of(const struct trial *t, int half, struct strbuf *out)
{
    const struct plan *plan = t->plan;
    char buf[64];
    for (int b = 0; b < plan->nblocks; b++) {
        const struct block *block = &plan->blocks[b];
        if (block->zone != half)
            continue;
        const struct planting *p = block->planting;
        bool hills = p->system == SYSTEM_HILLS;
        struct strbuf text;
        strbuf_init(&text, out->arena);
        strbuf_printf(&text, "%s at %s ",
                      hills      ? "Lines of hills"
                      : p->guild ? "Rows"
                                 : arena_printf(out->arena, "Rows of %s", p->parts[0].crop->name.s),
                      t->along_x ? "y" : "x");
        bool first = true;
        for (int l = 0; l < plan->nlines; l++) {
            const struct line *line = &plan->lines[l];
            if (line->block != b)
                continue;
            strbuf_printf(&text, "%s%s", first ? "" : ", ",
                          unit_tape(buf, sizeof buf, t->along_x ? line->y0 : line->x0, t->units));
            first = false;
        }
        struct rect r = block_rect(block, &plan->zones.items[block->zone]);
        strbuf_printf(&text, "; %s %s", t->along_x ? "x" : "y",
                      unit_tape(buf, sizeof buf, t->along_x ? r.x0 : r.y0, t->units));
        strbuf_printf(&text, " to %s",
                      unit_tape(buf, sizeof buf, t->along_x ? r.x1 : r.y1, t->units));
        out->failed |= text.failed;
        strbuf_puts(out, "      ");
        strbuf_wrap(out, text.p, COLUMNS, 8, 6);
    }
}

static void hill_places(const struct trial *t, int half, struct strbuf *out)
{
    char buf[64];
    int n = 0;
    for (int s = 0; s < t->plan->nstations; s++) {
        const struct station *st = &t->plan->stations[s];
        if (t->plan->blocks[st->block].zone != half)
            continue;
        strbuf_printf(out, "%s%4s %9s", n % 3 == 0 ? "      " : "  ", st->id,
                      unit_tape(buf, sizeof buf, st->x_m, t->units));
        strbuf_printf(out, " %9s%s", unit_tape(buf, sizeof buf, st->y_m, t->units),
                      n % 3 == 2 ? "\n" : "");
        n++;
    }
    strbuf_puts(out, n % 3 == 0 ? "" : "\n");
}

static void plant(const struct trial *t, struct strbuf *out)
{
    rule(out, '-');
    strbuf_puts(out, "2  Plant, both halves of a block on one day\n");
    paragraph(out, trial_hills_words(t, out->arena), 2);
    for (int k = 0; k < t->ncrops; k++)
        paragraph(out,
                  arena_printf(out->arena, "%s, %s. %s", t->crops[k].crop,
                               t->crops[k].seed->variety.s, trial_rows_words(t, k, out->arena)),
                  2);
    paragraph(out, trial_guard_words(t, out->arena), 2);
    paragraph(out,
              "Sow a crop in both halves on the same day. Climbers in rows of their own want poles "
              "or a trellis. Dates are guesses from the frost dates of the garden file; soil and "
              "weather go before them.",
              2);
    for (int h = 0; h < 2 * t->blocks; h++) {
        bool hills = t->halves[h].treatment == TREATMENT_HILLS;
        strbuf_printf(out, "  [ ] %-40s sown ____________________\n", t->halves[h].name);
        lines_of(t, h, out);
        if (hills)
            hill_places(t, h, out);
    }
    strbuf_puts(out, "\n");
}

static void weigh(const struct trial *t, struct strbuf *out)
{
    rule(out, '-');
    strbuf_puts(out, "3  Weigh\n");
    for (int i = 0; i < trial_fairness_lines; i++) {
        strbuf_puts(out, "  * ");
        strbuf_wrap(out, trial_fairness[i], COLUMNS, 4, 4);
    }
    strbuf_puts(out, "\n");
    for (int h = 0; h < 2 * t->blocks; h++) {
        strbuf_printf(out, "  %s", t->halves[h].name);
        if (t->halves[h].treatment == TREATMENT_HILLS) {
            struct strbuf text;
            strbuf_init(&text, out->arena);
            strbuf_puts(&text, ": hills ");
            weighed_hills(t, h, &text);
            out->failed |= text.failed;
            strbuf_wrap(out, text.p, COLUMNS, 12, 2 + strlen(t->halves[h].name));
        } else {
            strbuf_puts(out, ": what stands within the string\n");
        }
        for (int k = 0; k < t->ncrops; k++) {
            strbuf_puts(out, "      ");
            strbuf_pad(out, t->crops[k].crop, 24);
            strbuf_puts(out, " date ____________ weight ____________ unit ____\n\n");
        }
    }
    paragraph(out,
              "Copy the weights into harvest.csv (kg, g, lb or oz, each line its own unit; more "
              "lines for more days), then: hillrow review harvest.csv --trial trial.json",
              2);
    strbuf_puts(out, "\n");
    rule(out, '-');
    expected(t, out);
    strbuf_puts(out, "\n");
}

static void care(const struct trial *t, struct strbuf *out)
{
    rule(out, '-');
    strbuf_puts(out, "Take care\n");
    for (int k = 0; k < t->ncrops; k++) {
        const struct crop *crop = t->crops[k].seed->crop;
        for (size_t i = 0; i < crop->cautions.n; i++) {
            const struct caution *c = (const struct caution *)crop->cautions.items + i;
            strbuf_puts(out, "  * ");
            const char *text = arena_printf(out->arena, "%s: %s", crop->name.s, c->text.s);
            out->failed |= !text;
            strbuf_wrap(out, text ? text : "", COLUMNS, 4, 4);
        }
    }
    paragraph(out,
              "Local rules and your extension service go before anything that is printed here.", 2);
}

void trial_sheet(const struct trial *t, struct strbuf *out)
{
    rule(out, '=');
    head(t, out);
    rule(out, '=');
    order(t, out);
    strbuf_puts(out, "\n");
    set_out(t, out);
    plant(t, out);
    weigh(t, out);
    care(t, out);
}

void trial_log(const struct trial *t, struct strbuf *out)
{
    const char *unit = t->units == UNITS_METRIC ? "kg" : "lb";
    strbuf_puts(out, "date,station,crop,weight,unit,note\r\n");
    for (int h = 0; h < 2 * t->blocks; h++)
        for (int k = 0; k < t->ncrops; k++) {
            const char *const fields[] = {"", t->halves[h].name, t->crops[k].crop, "", unit, ""};
            for (size_t f = 0; f < sizeof fields / sizeof *fields; f++)
                csv_put(out, f == 0, fields[f]);
            strbuf_puts(out, "\r\n");
        }
}
