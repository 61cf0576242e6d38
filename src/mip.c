/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "mip.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"

#define NAME_MOST    200
#define NUMBER_MOST  1e20 /* of coefficients: what is larger is a fault, not a figure */
#define LP_LINE_MOST 78

void mip_init(struct mip *mip, struct arena *arena)
{
    *mip = (struct mip){.arena = arena};
}

/* The first fault is kept: later ones only follow from it. */
static int fail(struct mip *mip, const char *why)
{
    if (!mip->failed)
        mip->failure = why;
    mip->failed = true;
    return -1;
}

static const char no_memory[] = "out of memory";

/* ---- names --------------------------------------------------------------------------------- */

/* Words that mean something to a reader of LP files. */
static bool reserved(const char *name)
{
    static const char *const words[] = {
        "max",  "maximize", "maximise", "maximum", "min",      "minimize", "minimise", "minimum",
        "st",   "such",     "subject",  "bound",   "bounds",   "free",     "inf",      "infinity",
        "gen",  "general",  "generals", "int",     "integer",  "integers", "bin",      "binary",
        "semi", "sos",      "sos1",     "sos2",    "binaries", "end",      "semis",    "sin"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (str_same(name, words[i]))
            return true;
    return false;
}

static bool letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
}

/* A digit in front, and an e that could be the power of the number before it, would be misread. */
static const char *name_make(struct arena *arena, const char *text)
{
    char name[NAME_MOST + 1] = "_";
    snprintf(name + 1, sizeof name - 1, "%s", text);
    for (char *p = name; *p; p++)
        if (!letter(*p) && !(*p >= '0' && *p <= '9'))
            *p = '_';
    char first = name[1];
    bool plain = letter(first) && first != 'e' && first != 'E' && !reserved(name + 1);
    return arena_strdup(arena, plain ? name + 1 : name);
}

/* ---- building ------------------------------------------------------------------------------ */

/* Room for one more item; the items move to a larger place when there is none. */
static void *grown(struct mip *mip, void *items, int n, int *cap, size_t size)
{
    if (mip->failed)
        return NULL;
    if (n < *cap)
        return items;
    if (n >= MIP_MAX) {
        fail(mip, "more columns, rows or entries than can be handled");
        return NULL;
    }
    int more = n == 0 ? 64 : n > MIP_MAX / 2 ? MIP_MAX : 2 * n;
    void *place = arena_alloc(mip->arena, (size_t)more, size);
    if (!place) {
        fail(mip, no_memory);
        return NULL;
    }
    if (n > 0)
        memcpy(place, items, (size_t)n * size);
    *cap = more;
    return place;
}

int mip_column(struct mip *mip, enum mip_kind kind, double lower, double upper, double objective,
               const char *fmt, ...)
{
    struct mip_column *items =
        grown(mip, mip->columns, mip->ncolumns, &mip->columns_cap, sizeof *items);
    if (!items)
        return -1;
    char text[NAME_MOST + 1];
    va_list ap;
    va_start(ap, fmt);
    int bytes = vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    const char *name = bytes < 0 ? NULL : name_make(mip->arena, text);
    if (!name)
        return fail(mip, no_memory);
    mip->columns = items;
    mip->finished = false;
    items[mip->ncolumns] = (struct mip_column){name, kind, lower, upper, objective};
    return mip->ncolumns++;
}

int mip_row(struct mip *mip, double lower, double upper, const char *fmt, ...)
{
    struct mip_row *items = grown(mip, mip->rows, mip->nrows, &mip->rows_cap, sizeof *items);
    if (!items)
        return -1;
    char text[NAME_MOST + 1];
    va_list ap;
    va_start(ap, fmt);
    int bytes = vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    const char *name = bytes < 0 ? NULL : name_make(mip->arena, text);
    if (!name)
        return fail(mip, no_memory);
    mip->rows = items;
    mip->finished = false;
    items[mip->nrows] = (struct mip_row){name, lower, upper};
    return mip->nrows++;
}

void mip_add(struct mip *mip, int row, int column, double value)
{
    if (mip->failed || row == -1 || column == -1 || value == 0)
        return;
    if (row < 0 || row >= mip->nrows || column < 0 || column >= mip->ncolumns) {
        fail(mip, "an entry in a row or column that is not there");
        return;
    }
    if (!isfinite(value) || fabs(value) > NUMBER_MOST) {
        fail(mip, "a coefficient that is not a number, or too large");
        return;
    }
    struct mip_entry *items =
        grown(mip, mip->entries, mip->nentries, &mip->entries_cap, sizeof *items);
    if (!items)
        return;
    mip->entries = items;
    mip->finished = false;
    items[mip->nentries++] = (struct mip_entry){row, column, value};
}

/* ---- finishing ----------------------------------------------------------------------------- */

static int compare_entries(const void *pa, const void *pb)
{
    const struct mip_entry *a = pa, *b = pb;
    if (a->row != b->row)
        return a->row < b->row ? -1 : 1;
    if (a->column != b->column)
        return a->column < b->column ? -1 : 1;
    return (a->value > b->value) - (a->value < b->value); /* sums do not hang on the order given */
}

static void merge_entries(struct mip *mip)
{
    struct mip_entry *e = mip->entries;
    int n = 0;
    if (mip->nentries > 0)
        qsort(e, (size_t)mip->nentries, sizeof *e, compare_entries);
    for (int i = 0; i < mip->nentries; i++) {
        if (n > 0 && e[n - 1].row == e[i].row && e[n - 1].column == e[i].column)
            e[n - 1].value += e[i].value;
        else
            e[n++] = e[i];
    }
    mip->nentries = 0;
    for (int i = 0; i < n; i++)
        if (e[i].value != 0)
            e[mip->nentries++] = e[i];
}

static void check_bounds(struct mip *mip, double lower, double upper)
{
    if (isnan(lower) || isnan(upper))
        fail(mip, "a bound that is not a number");
    else if (lower > upper)
        fail(mip, "a lower bound above the upper one");
    else if (lower == (double)INFINITY || upper == -(double)INFINITY)
        fail(mip, "a bound at the wrong infinity");
}

static int compare_names(const void *pa, const void *pb)
{
    return strcmp(*(const char *const *)pa, *(const char *const *)pb);
}

/* Sorts names. */
static void check_names(struct mip *mip, const char **names, int n)
{
    if (n > 0)
        qsort(names, (size_t)n, sizeof *names, compare_names);
    for (int i = 1; i < n; i++)
        if (strcmp(names[i - 1], names[i]) == 0)
            fail(mip, "two columns, or two rows, of one name");
}

hr_status mip_finish(struct mip *mip)
{
    int most = mip->ncolumns > mip->nrows ? mip->ncolumns : mip->nrows;
    const char **names = ARENA_ARRAY(mip->arena, const char *, (size_t)most);
    if (!names)
        fail(mip, no_memory);
    if (mip->failed)
        return mip->failure == no_memory ? HR_NOMEM : HR_BUG;
    for (int j = 0; j < mip->ncolumns; j++) {
        const struct mip_column *c = &mip->columns[j];
        names[j] = c->name;
        check_bounds(mip, c->lower, c->upper);
        if (!isfinite(c->objective) || fabs(c->objective) > NUMBER_MOST)
            fail(mip, "an objective coefficient that is not a number, or too large");
        if (c->kind == MIP_BINARY && (c->lower < 0 || c->upper > 1))
            fail(mip, "a binary column that may be other than 0 and 1");
    }
    check_names(mip, names, mip->ncolumns);
    for (int i = 0; i < mip->nrows; i++) {
        names[i] = mip->rows[i].name;
        check_bounds(mip, mip->rows[i].lower, mip->rows[i].upper);
    }
    check_names(mip, names, mip->nrows);
    merge_entries(mip);
    mip->finished = !mip->failed;
    return mip->failed ? HR_BUG : HR_OK;
}

/* ---- LP text ------------------------------------------------------------------------------- */

struct lp {
    struct strbuf *out;
    size_t line_start;
};

static void lp_word(struct lp *lp, const char *word)
{
    if (lp->out->n - lp->line_start + strlen(word) + 1 > LP_LINE_MOST) {
        strbuf_puts(lp->out, "\n ");
        lp->line_start = lp->out->n;
    }
    strbuf_puts(lp->out, " ");
    strbuf_puts(lp->out, word);
}

static void lp_begin(struct lp *lp, const char *name, const char *suffix)
{
    lp->line_start = lp->out->n;
    strbuf_printf(lp->out, " %s%s:", name, suffix);
}

/* A term is kept on one line. */
static void lp_term(struct lp *lp, double value, const char *name)
{
    char num[32], term[NAME_MOST + 48];
    snprintf(term, sizeof term, "%s %s %s", value < 0 ? "-" : "+",
             num_text(num, sizeof num, fabs(value)), name);
    lp_word(lp, term);
}

static void lp_row(const struct mip *mip, struct lp *lp, int first, int last, const char *sense,
                   double side)
{
    char num[32];
    for (int k = first; k < last; k++)
        lp_term(lp, mip->entries[k].value, mip->columns[mip->entries[k].column].name);
    if (first == last && mip->ncolumns > 0)
        lp_term(lp, 0, mip->columns[0].name);
    lp_word(lp, sense);
    lp_word(lp, num_text(num, sizeof num, side));
    strbuf_puts(lp->out, "\n");
}

/* Readers differ on rows with two sides: such a row is written twice. The dot cannot stand in a
 * name of ours, so nothing collides. */
static void lp_rows(const struct mip *mip, struct lp *lp)
{
    int k = 0;
    for (int i = 0; i < mip->nrows; i++) {
        const struct mip_row *row = &mip->rows[i];
        int first = k;
        while (k < mip->nentries && mip->entries[k].row == i)
            k++;
        bool low = isfinite(row->lower), high = isfinite(row->upper);
        if (low && high && row->lower == row->upper) {
            lp_begin(lp, row->name, "");
            lp_row(mip, lp, first, k, "=", row->lower);
            continue;
        }
        if (low) {
            lp_begin(lp, row->name, high ? ".low" : "");
            lp_row(mip, lp, first, k, ">=", row->lower);
        }
        if (high) {
            lp_begin(lp, row->name, low ? ".high" : "");
            lp_row(mip, lp, first, k, "<=", row->upper);
        }
    }
}

static void lp_bounds(const struct mip *mip, struct strbuf *out)
{
    char low[32], high[32];
    strbuf_puts(out, "Bounds\n");
    for (int j = 0; j < mip->ncolumns; j++) {
        const struct mip_column *c = &mip->columns[j];
        if (!isfinite(c->lower) && !isfinite(c->upper))
            strbuf_printf(out, " %s free\n", c->name);
        else if (!isfinite(c->upper))
            strbuf_printf(out, " %s >= %s\n", c->name, num_text(low, sizeof low, c->lower));
        else
            strbuf_printf(out, " %s <= %s <= %s\n",
                          isfinite(c->lower) ? num_text(low, sizeof low, c->lower) : "-inf",
                          c->name, num_text(high, sizeof high, c->upper));
    }
}

/* Binaries, too, stand among the integers: their bounds are written out. */
static void lp_integers(const struct mip *mip, struct lp *lp)
{
    bool any = false;
    for (int j = 0; j < mip->ncolumns; j++) {
        if (mip->columns[j].kind == MIP_CONTINUOUS)
            continue;
        if (!any) {
            strbuf_puts(lp->out, "Generals\n");
            lp->line_start = lp->out->n;
        }
        any = true;
        lp_word(lp, mip->columns[j].name);
    }
    if (any)
        strbuf_puts(lp->out, "\n");
}

/* Names every column that no row names, too: readers refuse bounds of unknown columns. */
static void lp_objective(const struct mip *mip, struct lp *lp)
{
    bool *named = ARENA_ARRAY(lp->out->arena, bool, (size_t)mip->ncolumns);
    if (!named) {
        lp->out->failed = true;
        return;
    }
    for (int k = 0; k < mip->nentries; k++)
        named[mip->entries[k].column] = true;
    bool any = false;
    lp_begin(lp, "obj", "");
    for (int j = 0; j < mip->ncolumns; j++) {
        const struct mip_column *c = &mip->columns[j];
        if (c->objective == 0 && named[j])
            continue;
        lp_term(lp, c->objective, c->name);
        any = true;
    }
    if (!any && mip->ncolumns > 0)
        lp_term(lp, 0, mip->columns[0].name);
    strbuf_puts(lp->out, "\n");
}

void mip_write_lp(const struct mip *mip, struct strbuf *out)
{
    struct lp lp = {out, 0};
    strbuf_printf(out, "\\ columns %d, rows %d, entries %d\nMaximize\n", mip->ncolumns, mip->nrows,
                  mip->nentries);
    lp_objective(mip, &lp);
    strbuf_puts(out, "Subject To\n");
    lp_rows(mip, &lp);
    lp_bounds(mip, out);
    lp_integers(mip, &lp);
    strbuf_puts(out, "End\n");
}

/* ---- judging a solution -------------------------------------------------------------------- */

static double breach_of_bounds(double v, double lower, double upper)
{
    if (!isfinite(v))
        return (double)INFINITY;
    double below = isfinite(lower) ? (lower - v) / (1 + fabs(lower)) : 0;
    double above = isfinite(upper) ? (v - upper) / (1 + fabs(upper)) : 0;
    return fmax(0, fmax(below, above));
}

double mip_breach(const struct mip *mip, const double *x)
{
    double worst = 0;
    for (int j = 0; j < mip->ncolumns; j++) {
        const struct mip_column *c = &mip->columns[j];
        worst = fmax(worst, breach_of_bounds(x[j], c->lower, c->upper));
        if (c->kind != MIP_CONTINUOUS)
            worst = fmax(worst, fabs(x[j] - round(x[j])));
    }
    int k = 0;
    for (int i = 0; i < mip->nrows; i++) {
        double sum = 0;
        for (; k < mip->nentries && mip->entries[k].row == i; k++)
            sum += mip->entries[k].value * x[mip->entries[k].column];
        worst = fmax(worst, breach_of_bounds(sum, mip->rows[i].lower, mip->rows[i].upper));
    }
    return worst;
}

double mip_objective(const struct mip *mip, const double *x)
{
    double sum = 0;
    for (int j = 0; j < mip->ncolumns; j++)
        sum += mip->columns[j].objective * x[j];
    return sum;
}
