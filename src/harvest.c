/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "harvest.h"

#include <stdlib.h>
#include <string.h>

#include "num.h"
#include "units.h"

#define WEIGHT_MAX_KG 1e7

/* The columns by their names; several names may mean one. */
enum column {
    COLUMN_DATE,
    COLUMN_PLACE,
    COLUMN_TREATMENT,
    COLUMN_CROP,
    COLUMN_WEIGHT,
    COLUMN_UNIT,
    COLUMN_NOTE,
    COLUMN_COUNT
};
static const struct {
    const char *name;
    enum column column;
} names[] = {
    {"date", COLUMN_DATE},           {"station", COLUMN_PLACE},
    {"block", COLUMN_PLACE},         {"station or block", COLUMN_PLACE},
    {"treatment", COLUMN_TREATMENT}, {"crop", COLUMN_CROP},
    {"weight", COLUMN_WEIGHT},       {"unit", COLUMN_UNIT},
    {"note", COLUMN_NOTE},
};
static const char *const column_names[COLUMN_COUNT] = {
    "date", "station", "treatment", "crop", "weight", "unit", "note",
};
static bool needed(enum column c)
{
    return c != COLUMN_TREATMENT && c != COLUMN_NOTE;
}

/* The avoirdupois pound is 0.45359237 kg by definition (1959 agreement), an ounce 1/16 of it. */
static const struct {
    const char *name;
    double kg;
} units[] = {{"kg", 1}, {"g", 0.001}, {"lb", 0.45359237}, {"oz", 0.45359237 / 16}};
const char harvest_units[] = "kg, g, lb, oz";

double harvest_unit_kg(const char *unit)
{
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcmp(unit, units[i].name) == 0)
            return units[i].kg;
    return 0;
}

struct reading {
    struct arena *arena;
    struct diags *diags;
    bool skip_bad;
    struct csv csv;
    int column[COLUMN_COUNT]; /* index of the field, -1: not there */
    size_t columns;
    bool nomem;
};

void harvest_fault(struct weighing *row, bool skip_bad, struct diags *diags, struct pos at,
                   const char *check, const char *fmt, ...)
{
    char text[512]; /* foreign words in it are cut short by the caller's %.80s */
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    row->bad = true;
    if (skip_bad)
        diag_warning(diags, at, check, "%s; the line is left out", text);
    else
        diag_error(diags, at, check, "%s", text);
}

/* ---- the line of names ---------------------------------------------------------------------- */

static enum column column_of(const char *name)
{
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (str_same(name, names[i].name))
            return names[i].column;
    return COLUMN_COUNT;
}

static hr_status no_columns(struct reading *r, struct pos at)
{
    const struct source *src = r->csv.src;
    const char *semicolon = r->csv.n > 0 ? memchr(src->p + at.begin, ';', at.end - at.begin) : NULL;
    diag_error(r->diags, at, "log-columns",
               semicolon ? "the fields of a log are apart by commas, not semicolons: save it so"
                         : "the first line names the columns: date, station, crop, weight, unit, "
                           "note");
    return HR_INPUT;
}

static hr_status columns_read(struct reading *r)
{
    struct csv *csv = &r->csv;
    struct pos at = {csv->src, 0, 0};
    for (int c = 0; c < COLUMN_COUNT; c++)
        r->column[c] = -1;
    if (csv->n == 0)
        return no_columns(r, at);
    const struct csv_record *head = &csv->records[0];
    size_t known = 0, errors = diags_errors(r->diags);
    for (size_t i = 0; i < head->n; i++)
        known += column_of(head->fields[i].s) < COLUMN_COUNT;
    if (known < 2 || head->bad)
        return no_columns(r, head->at);
    for (size_t i = 0; i < head->n; i++) {
        const struct csv_field *f = &head->fields[i];
        enum column c = column_of(f->s);
        if (c == COLUMN_COUNT)
            diag_error(r->diags, f->at, "log-columns",
                       "a log has no column `%.80s`: it has date, station (or block), treatment, "
                       "crop, weight, unit and note",
                       f->s);
        else if (r->column[c] >= 0)
            diag_error(r->diags, f->at, "log-columns", "the column %s is there twice",
                       column_names[c]);
        else
            r->column[c] = (int)i;
    }
    for (enum column c = 0; c < COLUMN_COUNT; c++)
        if (needed(c) && r->column[c] < 0)
            diag_error(r->diags, head->at, "log-columns", "the log has no column `%s`",
                       column_names[c]);
    r->columns = head->n;
    return diags_errors(r->diags) > errors ? HR_INPUT : HR_OK;
}

/* ---- a line --------------------------------------------------------------------------------- */

/* Spreadsheets end lines in commas for columns that are empty further down. */
static size_t fields_used(const struct csv_record *record, size_t columns)
{
    size_t n = record->n;
    while (n > columns && *record->fields[n - 1].s == '\0')
        n--;
    return n;
}

static bool line_whole(struct reading *r, const struct csv_record *record, struct weighing *row)
{
    size_t n = fields_used(record, r->columns);
    if (n == r->columns)
        return true;
    if (record->open && n < r->columns)
        harvest_fault(row, r->skip_bad, r->diags, record->at, "log-line",
                      "the last line is not finished: %zu of %zu fields", n, r->columns);
    else
        harvest_fault(row, r->skip_bad, r->diags, record->at, "log-line",
                      "%zu fields, but there are %zu columns%s", n, r->columns,
                      n > r->columns ? "; a comma inside a field needs quotes round the field"
                                     : "");
    return false;
}

/* The field of a column; one that is empty and needed is reported. */
static const struct csv_field *field_of(struct reading *r, const struct csv_record *record,
                                        enum column c, struct weighing *row)
{
    if (r->column[c] < 0)
        return NULL;
    const struct csv_field *f = &record->fields[r->column[c]];
    if (*f->s == '\0' && needed(c) && !row->bad)
        harvest_fault(row, r->skip_bad, r->diags, f->at, "log-missing", "the %s is missing",
                      column_names[c]);
    return f;
}

static int month_days(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap);
}

static void date_check(struct reading *r, const struct csv_field *f, struct weighing *row)
{
    struct date d;
    size_t at;
    if (*f->s == '\0')
        return;
    if (!date_read(f->s, &d, &at) || d.year == 0 || d.day > month_days(d.year, d.month))
        harvest_fault(row, r->skip_bad, r->diags, f->at, "log-date",
                      "`%.80s` is no day such as 2027-08-14", f->s);
}

static void weight_read(struct reading *r, const struct csv_field *weight,
                        const struct csv_field *unit, struct weighing *row)
{
    double v = 0, kg = harvest_unit_kg(unit->s);
    size_t used = 0, n = strlen(weight->s);
    if (n > 0 && (!num_read(weight->s, n, &v, &used) || used != n))
        harvest_fault(row, r->skip_bad, r->diags, weight->at, "log-weight",
                      "`%.80s` is no weight; write a number with a point, and the unit in its "
                      "own column",
                      weight->s);
    else if (v < 0)
        harvest_fault(row, r->skip_bad, r->diags, weight->at, "log-weight",
                      "a weight below nothing");
    if (*unit->s && kg == 0)
        harvest_fault(row, r->skip_bad, r->diags, unit->at, "log-unit",
                      "`%.80s` is no unit of weight here: %s", unit->s, harvest_units);
    if (v * kg > WEIGHT_MAX_KG)
        harvest_fault(row, r->skip_bad, r->diags, weight->at, "log-weight",
                      "more than %.0f kg in one weighing", WEIGHT_MAX_KG);
    row->kg = v * kg;
}

static struct weighing line_read(struct reading *r, const struct csv_record *record)
{
    struct weighing row = {.date = "", .place = "", .treatment = "", .crop = ""};
    row.bad = record->bad;
    if (row.bad || !line_whole(r, record, &row))
        return row;
    const struct csv_field *date = field_of(r, record, COLUMN_DATE, &row);
    const struct csv_field *place = field_of(r, record, COLUMN_PLACE, &row);
    const struct csv_field *treatment = field_of(r, record, COLUMN_TREATMENT, &row);
    const struct csv_field *crop = field_of(r, record, COLUMN_CROP, &row);
    const struct csv_field *weight = field_of(r, record, COLUMN_WEIGHT, &row);
    const struct csv_field *unit = field_of(r, record, COLUMN_UNIT, &row);
    if (!date || !place || !crop || !weight || !unit) /* columns_read has seen to it */
        return row;
    date_check(r, date, &row);
    weight_read(r, weight, unit, &row);
    row.date = date->s;
    row.place = place->s;
    row.place_at = place->at;
    row.crop = crop->s;
    row.crop_at = crop->at;
    if (treatment) {
        row.treatment = treatment->s;
        row.treatment_at = treatment->at;
    }
    return row;
}

/* ---- lines that stand twice ----------------------------------------------------------------- */

static int row_order(const void *left, const void *right)
{
    const struct weighing *a = *(const struct weighing *const *)left;
    const struct weighing *b = *(const struct weighing *const *)right;
    int c = strcmp(a->date, b->date);
    c = c ? c : strcmp(a->place, b->place);
    c = c ? c : strcmp(a->treatment, b->treatment);
    c = c ? c : strcmp(a->crop, b->crop);
    c = c ? c : (a->kg > b->kg) - (a->kg < b->kg);
    return c ? c : (a > b) - (a < b);
}

static bool row_same(const struct weighing *a, const struct weighing *b)
{
    return strcmp(a->date, b->date) == 0 && strcmp(a->place, b->place) == 0 &&
           strcmp(a->treatment, b->treatment) == 0 && strcmp(a->crop, b->crop) == 0 &&
           a->kg == b->kg;
}

/* The same weight of the same crop from the same place on the same day: written down twice. */
static void twice_find(struct reading *r, struct harvest *h)
{
    struct weighing **sorted = ARENA_ARRAY(r->arena, struct weighing *, h->n);
    size_t n = 0;
    if (!sorted) {
        r->nomem = true;
        return;
    }
    for (size_t i = 0; i < h->n; i++)
        if (!h->rows[i].bad)
            sorted[n++] = &h->rows[i];
    qsort(sorted, n, sizeof(void *), row_order);
    const struct weighing *first = NULL;
    for (size_t i = 0; i < n; i++) {
        if (!first || !row_same(first, sorted[i])) {
            first = sorted[i];
            continue;
        }
        harvest_fault(sorted[i], r->skip_bad, r->diags, sorted[i]->place_at, "log-twice",
                      "this day, place, crop and weight are in the log already");
        diag_note(r->diags, first->place_at, "here");
    }
}

hr_status harvest_read(struct arena *arena, const struct source *src, bool skip_bad,
                       struct diags *diags, struct harvest *out)
{
    struct reading r = {.arena = arena, .diags = diags, .skip_bad = skip_bad};
    struct harvest h = {.src = src};
    hr_status status = csv_read(arena, src, skip_bad, diags, &r.csv);
    if (status == HR_OK)
        status = columns_read(&r);
    if (status != HR_OK)
        return status;
    h.treatments = r.column[COLUMN_TREATMENT] >= 0;
    h.rows = ARENA_ARRAY(arena, struct weighing, r.csv.n);
    if (!h.rows)
        return HR_NOMEM;
    for (size_t i = 1; i < r.csv.n; i++)
        h.rows[h.n++] = line_read(&r, &r.csv.records[i]);
    twice_find(&r, &h);
    if (r.nomem)
        return HR_NOMEM;
    *out = h;
    return HR_OK;
}

/* ---- names of checks ------------------------------------------------------------------------ */

static const struct {
    const char *name, *doc;
} checks[] = {
    {"trial-guild", "no guild that could be tried in hills and in rows"},
    {"trial-plot", "a plot for a trial that is not in the garden"},
    {"trial-no-room", "a plot that holds no fair block, or not so many"},
    {"trial-small", "a trial too small for the difference asked about (warning)"},
    {"trial-json", "a trial.json that is damaged or of another version"},
    {"csv-syntax", "a line of a log that is not CSV as RFC 4180 has it"},
    {"csv-text", "a character in a log that is not printable UTF-8"},
    {"log-columns", "a log without a line that names its columns"},
    {"log-line", "a line of a log with too few or too many fields"},
    {"log-missing", "a line of a log in which something is left empty"},
    {"log-date", "a day of a log that is none"},
    {"log-weight", "a weight of a log that is no number, or below nothing"},
    {"log-unit", "a unit of a log that is no unit of weight"},
    {"log-twice", "a weight that stands twice in a log"},
    {"log-place", "a place of a log that is not in its trial or plan"},
    {"log-crop", "a crop of a log that does not stand in its place"},
    {"log-treatment", "a treatment of a log that is missing, or one too many"},
    {"log-empty", "a log without a line that can be used"},
};

const char *harvest_check_name(size_t n, const char **doc)
{
    if (n >= sizeof checks / sizeof *checks)
        return NULL;
    if (doc)
        *doc = checks[n].doc;
    return checks[n].name;
}
