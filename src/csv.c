/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "csv.h"

#include <string.h>

static const char syntax[] = "csv-syntax";

struct reading {
    struct arena *arena;
    const struct source *src;
    struct diags *diags;
    bool lenient;
    size_t at; /* next byte */
    struct csv_field fields[CSV_FIELDS_MAX];
    size_t n;
    bool bad;
    bool nomem;
};

static bool line_ends(const struct reading *r, size_t at)
{
    const struct source *src = r->src;
    return at == src->n || src->p[at] == '\n' ||
           (src->p[at] == '\r' && at + 1 < src->n && src->p[at + 1] == '\n');
}

/* One fault a record: what follows from it is not worth a line. */
__attribute__((format(printf, 5, 6))) static void
fault(struct reading *r, const char *check, size_t begin, size_t end, const char *fmt, ...)
{
    struct strbuf text;
    struct pos at = {r->src, begin, end};
    va_list ap;
    if (r->bad)
        return;
    r->bad = true;
    strbuf_init(&text, r->arena);
    va_start(ap, fmt);
    strbuf_vprintf(&text, fmt, ap);
    va_end(ap);
    r->nomem |= text.failed;
    if (r->lenient)
        diag_warning(r->diags, at, check, "%s", text.p);
    else
        diag_error(r->diags, at, check, "%s", text.p);
}

/* The end of the line that holds a byte. */
static size_t line_end(const struct reading *r, size_t at)
{
    while (!line_ends(r, at))
        at++;
    return at;
}

/* Every character printable; a quoted field may run over lines. */
static void text_check(struct reading *r, size_t begin, size_t end)
{
    for (size_t at = begin; at < end && !r->bad;) {
        const char *p = r->src->p + at;
        size_t bytes = utf8_char(p, end - at);
        if (*p != '\n' && *p != '\r' && *p != '\t' && !utf8_printable(p, bytes))
            fault(r, "csv-text", at, at + (bytes > 0 ? bytes : 1), "%s",
                  bytes == 0 ? "this is not UTF-8 text"
                             : "a character that cannot be shown has no place here");
        at += bytes > 0 ? bytes : 1;
    }
}

static void field_add(struct reading *r, size_t begin, size_t end, const char *s)
{
    if (!s)
        r->nomem = true;
    else if (r->n == CSV_FIELDS_MAX)
        fault(r, syntax, begin, end, "a line has more than %d fields", CSV_FIELDS_MAX);
    else
        r->fields[r->n++] = (struct csv_field){s, {r->src, begin, end}};
}

static void plain_read(struct reading *r)
{
    const char *p = r->src->p;
    size_t begin = r->at, end;
    while (!line_ends(r, r->at) && p[r->at] != ',') {
        if (p[r->at] == '"')
            fault(r, syntax, r->at, r->at + 1,
                  "a quote inside a field that does not begin with one");
        else if (p[r->at] == '\r')
            fault(r, syntax, r->at, r->at + 1, "a lone carriage return: lines end in LF or CR LF");
        r->at++;
    }
    end = r->at;
    text_check(r, begin, end);
    while (begin < end && (p[begin] == ' ' || p[begin] == '\t'))
        begin++;
    while (end > begin && (p[end - 1] == ' ' || p[end - 1] == '\t'))
        end--;
    field_add(r, begin, end, arena_strndup(r->arena, p + begin, end - begin));
}

/* A doubled quote stands for one. A quote that is never closed ends at the end of its line, so that
 * the lines behind it are read. */
static void quoted_read(struct reading *r)
{
    const char *p = r->src->p;
    struct strbuf text;
    size_t begin = r->at++;
    bool closed = false;
    strbuf_init(&text, r->arena);
    for (; !closed; r->at++) {
        if (r->at == r->src->n || r->at - begin > CSV_BYTES_MAX) {
            r->at = line_end(r, begin);
            fault(r, syntax, begin, r->at, "a quote that is not closed");
            break;
        }
        if (p[r->at] == '"') {
            closed = r->at + 1 == r->src->n || p[r->at + 1] != '"';
            r->at += !closed;
        }
        if (!closed)
            strbuf_add(&text, p + r->at, 1);
    }
    text_check(r, begin, r->at);
    r->nomem |= text.failed;
    field_add(r, begin, r->at, text.p);
    if (!line_ends(r, r->at) && p[r->at] != ',') {
        fault(r, syntax, r->at, r->at + 1, "text behind a closing quote");
        while (!line_ends(r, r->at) && p[r->at] != ',')
            r->at++;
    }
}

/* Reads a record with its end of line; false: the line was empty. */
static bool record_read(struct reading *r, struct csv_record *out)
{
    size_t begin = r->at;
    r->n = 0;
    r->bad = false;
    for (;;) {
        if (r->at < r->src->n && r->src->p[r->at] == '"')
            quoted_read(r);
        else
            plain_read(r);
        if (line_ends(r, r->at))
            break;
        r->at++; /* the comma */
    }
    *out = (struct csv_record){.n = r->n, .at = {r->src, begin, r->at}, .bad = r->bad};
    out->open = r->at == r->src->n;
    if (r->at < r->src->n && r->src->p[r->at] == '\r')
        r->at++;
    if (r->at < r->src->n)
        r->at++;
    if (r->n == 1 && *r->fields[0].s == '\0' && !r->bad && r->fields[0].at.begin == out->at.end)
        return false;
    out->fields = ARENA_ARRAY(r->arena, struct csv_field, r->n);
    r->nomem |= !out->fields;
    if (out->fields && r->n > 0)
        memcpy(out->fields, r->fields, r->n * sizeof *r->fields);
    return true;
}

hr_status csv_read(struct arena *arena, const struct source *src, bool lenient, struct diags *diags,
                   struct csv *out)
{
    struct reading r = {.arena = arena, .src = src, .diags = diags, .lenient = lenient};
    struct csv csv = {.src = src};
    size_t most = src->lines < CSV_RECORDS_MAX ? src->lines + 1 : CSV_RECORDS_MAX;
    csv.records = ARENA_ARRAY(arena, struct csv_record, most);
    if (!csv.records)
        return HR_NOMEM;
    r.at = source_bom(src->p, src->n);
    while (r.at < src->n && !r.nomem) {
        struct csv_record record;
        size_t begin = r.at;
        if (!record_read(&r, &record))
            continue;
        if (csv.n == most) {
            diag_error(diags, (struct pos){src, begin, begin}, "csv-syntax",
                       "more than %d lines are too many", CSV_RECORDS_MAX);
            return HR_INPUT;
        }
        csv.records[csv.n++] = record;
    }
    if (r.nomem)
        return HR_NOMEM;
    *out = csv;
    return HR_OK;
}

void csv_put(struct strbuf *out, bool first, const char *s)
{
    bool quote =
        s[strcspn(s, ",\"\r\n")] != '\0' || *s == ' ' || (*s != '\0' && s[strlen(s) - 1] == ' ');
    if (!first)
        strbuf_puts(out, ",");
    if (!quote) {
        strbuf_puts(out, s);
        return;
    }
    strbuf_puts(out, "\"");
    for (; *s; s++)
        strbuf_add(out, *s == '"' ? "\"\"" : s, *s == '"' ? 2 : 1);
    strbuf_puts(out, "\"");
}
