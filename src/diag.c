/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diag.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "arena.h"

#define LINE_COLUMNS 160
#define TEXT_BYTES   1024
#define KEPT_MAX     (2 * DIAG_SHOWN_MAX * (1 + DIAG_NOTES_MAX))

struct diags {
    struct arena *arena;
    size_t n;
    size_t counted[DIAG_NOTE]; /* errors, warnings */
    size_t kept[DIAG_NOTE];
    size_t notes;   /* under the last one */
    bool last_kept; /* so its notes are kept too */
    struct diag items[KEPT_MAX];
};

struct diags *diags_new(void)
{
    struct diags *d = calloc(1, sizeof *d);
    if (!d)
        return NULL;
    d->arena = arena_new((size_t)64 << 20);
    if (!d->arena) {
        free(d);
        return NULL;
    }
    return d;
}

void diags_free(struct diags *d)
{
    if (!d)
        return;
    arena_free(d->arena);
    free(d);
}

/* ---- reporting ---------------------------------------------------------------------------- */

/* A stretch of one source line: bytes from..to, the caret's bytes at..end inside it. */
struct window {
    size_t from, to, at, end;
};

/* The start of the character before byte i, not before `first`. */
static size_t step_back(const char *p, size_t i, size_t first)
{
    size_t back = i - 1;
    while (back > first && i - back < 4 && ((unsigned char)p[back] & 0xC0) == 0x80)
        back--;
    return utf8_char(p + back, i - back) == i - back ? back : i - 1;
}

static struct window line_window(const struct source *src, struct pos pos, size_t line)
{
    size_t first = src->line[line - 1], last = first;
    size_t at = pos.begin < src->n ? pos.begin : src->n;
    struct window w;
    while (last < src->n && src->p[last] != '\n' && src->p[last] != '\r')
        last++;
    if (at > last)
        at = last;
    if (at < first)
        at = first;
    w.at = w.from = at;
    w.end = pos.end > last ? last : pos.end;
    size_t before = 0;
    for (; w.from > first && before < LINE_COLUMNS / 2; before++)
        w.from = step_back(src->p, w.from, first);
    w.to = at;
    for (size_t n = before; w.to < last && n < LINE_COLUMNS; n++) {
        size_t bytes = utf8_char(src->p + w.to, last - w.to);
        w.to += bytes > 0 ? bytes : 1;
    }
    if (w.end > w.to)
        w.end = w.to;
    return w;
}

/* Source text, one column for what may not be shown; tabs stay, so that the caret line can have
 * them too. */
static void add_shown(struct strbuf *b, const char *p, size_t n)
{
    for (size_t i = 0; i < n && !b->failed;) {
        size_t bytes = utf8_char(p + i, n - i);
        if (p[i] == '\t' || utf8_printable(p + i, bytes))
            strbuf_add(b, p + i, bytes);
        else
            strbuf_puts(b, "\uFFFD");
        i += bytes > 0 ? bytes : 1;
    }
}

static void line_keep(struct diags *d, struct pos pos, struct diag *item)
{
    const struct source *src = pos.src;
    struct window w = line_window(src, pos, item->line);
    struct strbuf b;
    strbuf_init(&b, d->arena);
    if (w.from > src->line[item->line - 1])
        strbuf_puts(&b, "...");
    add_shown(&b, src->p + w.from, w.at - w.from);
    size_t caret_at = b.n;
    if (w.end > w.at)
        add_shown(&b, src->p + w.at, w.end - w.at);
    size_t under = b.n;
    w.end = w.end > w.at ? w.end : w.at;
    add_shown(&b, src->p + w.end, w.to - w.end);
    if (w.to < src->n && src->p[w.to] != '\n' && src->p[w.to] != '\r')
        strbuf_puts(&b, "...");
    if (b.failed)
        return;
    char *stretch = arena_strndup(d->arena, b.p + caret_at, under - caret_at);
    size_t width = stretch ? utf8_columns(stretch) : 1;
    item->source_line = b.p;
    item->caret_at = caret_at;
    item->caret_width = width > 0 ? width : 1;
}

/* Foreign text in words of ours: nothing in it reaches a terminal as a command. */
static const char *escaped(struct diags *d, const char *s)
{
    struct strbuf b;
    strbuf_init(&b, d->arena);
    strbuf_add_escaped(&b, s, strlen(s));
    return b.failed ? "(out of memory)" : b.p;
}

static const char *formatted(struct diags *d, const char *fmt, va_list ap)
{
    char text[TEXT_BYTES] = ""; /* enough for words; what it quotes may be a whole file */
    int n = vsnprintf(text, sizeof text, fmt, ap);
    if (n >= (int)sizeof text) {
        size_t whole = utf8_invalid(text, sizeof text - 4);
        memcpy(text + whole, "...", 4);
    }
    return escaped(d, text);
}

/* Counts it; whether it is kept, which KEPT_MAX bounds. */
static bool counted(struct diags *d, enum severity severity)
{
    if (severity == DIAG_NOTE)
        return d->n > 0 && d->last_kept && d->notes++ < DIAG_NOTES_MAX;
    d->counted[severity]++;
    d->notes = 0;
    d->last_kept = d->kept[severity] < DIAG_SHOWN_MAX;
    d->kept[severity] += d->last_kept;
    return d->last_kept;
}

static void report(struct diags *d, enum severity severity, struct pos at, const char *file,
                   const char *check, const char *fmt, va_list ap)
{
    if (!counted(d, severity))
        return;
    struct diag *item = &d->items[d->n++];
    *item = (struct diag){.severity = severity, .caret_width = 1};
    item->check = escaped(d, check);
    item->text = formatted(d, fmt, ap);
    if (at.src) {
        item->file = escaped(d, at.src->name);
        source_line_col(at.src, at.begin, &item->line, &item->col);
        line_keep(d, at, item);
    } else if (file) {
        item->file = escaped(d, file);
    }
}

void diag_error(struct diags *d, struct pos at, const char *check, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    report(d, DIAG_ERROR, at, NULL, check, fmt, ap);
    va_end(ap);
}

void diag_warning(struct diags *d, struct pos at, const char *check, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    report(d, DIAG_WARNING, at, NULL, check, fmt, ap);
    va_end(ap);
}

void diag_note(struct diags *d, struct pos at, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    report(d, DIAG_NOTE, at, NULL, "", fmt, ap);
    va_end(ap);
}

void diag_file(struct diags *d, const char *file, const char *check, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    report(d, DIAG_ERROR, (struct pos){0}, file, check, fmt, ap);
    va_end(ap);
}

/* ---- looking ------------------------------------------------------------------------------ */

size_t diags_errors(const struct diags *d)
{
    return d->counted[DIAG_ERROR];
}

size_t diags_warnings(const struct diags *d)
{
    return d->counted[DIAG_WARNING];
}

size_t diags_count(const struct diags *d)
{
    return d->n;
}

size_t diags_hidden(const struct diags *d)
{
    return d->counted[DIAG_ERROR] - d->kept[DIAG_ERROR] + d->counted[DIAG_WARNING] -
           d->kept[DIAG_WARNING];
}

const struct diag *diags_at(const struct diags *d, size_t i)
{
    return i < d->n ? &d->items[i] : NULL;
}

/* ---- showing ------------------------------------------------------------------------------ */

static void render_source(const struct diag *item, struct strbuf *out)
{
    const char *line = item->source_line;
    strbuf_printf(out, "%s\n", line);
    for (size_t i = 0; i < item->caret_at;) {
        size_t bytes = utf8_char(line + i, item->caret_at - i);
        char one[5] = {0};
        bytes = bytes > 0 ? bytes : 1;
        memcpy(one, line + i, bytes);
        strbuf_add(out, "\t", one[0] == '\t');
        strbuf_add(out, "  ", one[0] == '\t' ? 0 : utf8_columns(one));
        i += bytes;
    }
    strbuf_puts(out, "^");
    for (size_t i = 1; i < item->caret_width; i++)
        strbuf_puts(out, "~");
    strbuf_puts(out, "\n");
}

static void render(const struct diag *item, struct strbuf *out)
{
    static const char *const words[] = {
        [DIAG_ERROR] = "error", [DIAG_WARNING] = "warning", [DIAG_NOTE] = "note"};
    if (item->file && item->line > 0)
        strbuf_printf(out, "%s:%zu:%zu: ", item->file, item->line, item->col);
    else if (item->file)
        strbuf_printf(out, "%s: ", item->file);
    strbuf_printf(out, "%s: %s", words[item->severity], item->text);
    if (item->check[0] != '\0')
        strbuf_printf(out, " [%s]", item->check);
    strbuf_puts(out, "\n");
    if (item->source_line)
        render_source(item, out);
}

static void render_more(size_t counted, size_t kept, const char *word, struct strbuf *out)
{
    if (counted > kept)
        strbuf_printf(out, "... and %zu more %s%s\n", counted - kept, word,
                      counted - kept == 1 ? "" : "s");
}

void diags_render(const struct diags *d, struct strbuf *out)
{
    for (size_t i = 0; i < d->n; i++)
        render(&d->items[i], out);
    render_more(d->counted[DIAG_ERROR], d->kept[DIAG_ERROR], "error", out);
    render_more(d->counted[DIAG_WARNING], d->kept[DIAG_WARNING], "warning", out);
}
