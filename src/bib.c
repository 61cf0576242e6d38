/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bib.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

struct bib {
    struct arena *arena;
    const struct source *src;
    struct diags *diags;
    size_t at;   /* the next byte */
    bool broken; /* the entry being read cannot be understood further */
    bool nomem;
};

/* Fields that are kept go to their place in the entry; the others are only known. */
static const struct kept {
    const char *name;
    size_t offset; /* SIZE_MAX: read and dropped */
} known[] = {
    {"title", offsetof(struct source_entry, title)},
    {"author", offsetof(struct source_entry, author)},
    {"year", offsetof(struct source_entry, year)},
    {"note", offsetof(struct source_entry, note)},
    {"url", offsetof(struct source_entry, url)},
    {"doi", SIZE_MAX},
    {"journal", offsetof(struct source_entry, where)},
    {"volume", SIZE_MAX},
    {"number", SIZE_MAX},
    {"pages", SIZE_MAX},
    {"publisher", offsetof(struct source_entry, where)},
    {"booktitle", offsetof(struct source_entry, where)},
    {"edition", SIZE_MAX},
};
#define KNOWN (sizeof known / sizeof *known)

static struct pos place(const struct bib *b, size_t begin, size_t end)
{
    return (struct pos){b->src, begin, end};
}

static void broken(struct bib *b, size_t at, const char *words)
{
    diag_error(b->diags, place(b, at, at + 1), "bib-syntax", "%s", words);
    b->broken = true;
}

static bool ends(const struct bib *b)
{
    return b->at >= b->src->n;
}

static char next(const struct bib *b)
{
    return ends(b) ? '\0' : b->src->p[b->at];
}

static bool blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static void skip_line(struct bib *b)
{
    while (!ends(b) && next(b) != '\n')
        b->at++;
}

/* Blanks and, from a `%` on, the rest of a line. */
static void skip_blanks(struct bib *b)
{
    while (!ends(b) && (blank(next(b)) || next(b) == '%')) {
        if (next(b) == '%')
            skip_line(b);
        else
            b->at++;
    }
}

/* To the next line that starts an entry, behind the start of the one that is broken. */
static void skip_entry(struct bib *b, size_t start)
{
    while (!ends(b) && (next(b) != '@' || b->at == start)) {
        skip_line(b);
        skip_blanks(b);
    }
}

static bool expect(struct bib *b, char c, const char *words)
{
    skip_blanks(b);
    if (!ends(b) && next(b) == c) {
        b->at++;
        return true;
    }
    broken(b, b->at, words);
    return false;
}

static bool name_char(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_' || c == '.' || c == ':';
}

/* A name of letters, digits, - _ . : ; NULL when there is none. */
static const char *name_read(struct bib *b, struct pos *at, const char *words)
{
    skip_blanks(b);
    size_t begin = b->at;
    while (!ends(b) && name_char(next(b)))
        b->at++;
    *at = place(b, begin, b->at);
    if (b->at == begin) {
        broken(b, begin, words);
        return NULL;
    }
    const char *name = arena_strndup(b->arena, b->src->p + begin, b->at - begin);
    if (!name)
        b->nomem = b->broken = true;
    return name;
}

/* Takes the text from begin to end: braces dropped, runs of blanks made one space. */
static const char *text_take(struct bib *b, size_t begin, size_t end)
{
    struct strbuf text;
    strbuf_init(&text, b->arena);
    bool gap = false;
    for (size_t i = begin; i < end; i++) {
        char c = b->src->p[i];
        if (blank(c)) {
            gap = text.n > 0;
        } else if (c != '{' && c != '}') {
            strbuf_add(&text, " ", gap);
            strbuf_add(&text, &b->src->p[i], 1);
            gap = false;
        }
    }
    if (text.failed)
        b->nomem = b->broken = true;
    return text.p;
}

/* `{...}` with braces inside in pairs, or digits. */
static const char *value_read(struct bib *b)
{
    skip_blanks(b);
    size_t begin = b->at, depth = 0;
    if (next(b) >= '0' && next(b) <= '9') {
        while (!ends(b) && next(b) >= '0' && next(b) <= '9')
            b->at++;
        return text_take(b, begin, b->at);
    }
    if (next(b) != '{') {
        broken(b, b->at, "a value in braces belongs here: `title = {...}`");
        return NULL;
    }
    for (; !ends(b); b->at++) {
        bool closes = next(b) == '}' && --depth == 0;
        bool forgotten = next(b) == '@' && b->src->p[b->at - 1] == '\n'; /* the next entry */
        if (closes || forgotten)
            break;
        depth += next(b) == '{';
    }
    if (ends(b) || next(b) != '}') {
        broken(b, begin, "this brace is not closed");
        return NULL;
    }
    b->at++;
    return text_take(b, begin + 1, b->at - 1);
}

static const struct kept *known_find(struct bib *b, const char *name, struct pos at)
{
    const char *names[KNOWN];
    for (size_t i = 0; i < KNOWN; i++) {
        names[i] = known[i].name;
        if (strcmp(name, names[i]) == 0)
            return &known[i];
    }
    size_t near = str_nearest(name, names, KNOWN);
    if (near < KNOWN)
        diag_error(b->diags, at, "unknown-key",
                   "`%s` is not a field of a source; did you mean `%s`?", name, names[near]);
    else
        diag_error(b->diags, at, "unknown-key",
                   "`%s` is not a field of a source: title, author, year, note, url, ...", name);
    return NULL;
}

/* `name = value`, into the entry. */
static void field_take(struct bib *b, struct source_entry *entry, bool *seen)
{
    struct pos at;
    const char *name = name_read(b, &at, "the name of a field belongs here, or `}`");
    if (!name || !expect(b, '=', "`=` belongs between a field and its value"))
        return;
    const char *value = value_read(b);
    const struct kept *field = value ? known_find(b, name, at) : NULL;
    if (!field)
        return;
    if (seen[field - known])
        diag_error(b->diags, at, "duplicate-key", "`%s` stands here again", name);
    seen[field - known] = true;
    if (field->offset != SIZE_MAX)
        memcpy((char *)entry + field->offset, &value, sizeof value);
}

/* An entry from its `@` on. */
static void entry_read(struct bib *b, struct source_entry *entry)
{
    struct pos at;
    bool seen[KNOWN] = {false};
    *entry = (struct source_entry){"", "", "", "", "", "", "", "", {0}};
    b->at++;
    const char *kind = name_read(b, &at, "the kind of source belongs behind `@`");
    if (!kind || !expect(b, '{', "`{` belongs behind the kind of source"))
        return;
    const char *key = name_read(b, &entry->at, "the key of the source belongs here");
    if (!key)
        return;
    entry->kind = kind;
    entry->key = key;
    for (;;) {
        skip_blanks(b);
        if (next(b) == '}') {
            b->at++;
            break;
        }
        if (!expect(b, ',', "`,` or `}` belongs here"))
            return;
        skip_blanks(b);
        if (next(b) == '}')
            continue; /* a comma behind the last field */
        field_take(b, entry, seen);
        if (b->broken)
            return;
    }
    if (entry->title[0] == '\0')
        diag_error(b->diags, entry->at, "missing-key", "the source `%s` needs a title", key);
}

/* Bytes that no text of ours holds. */
static bool bytes_good(struct bib *b)
{
    for (size_t i = 0; i < b->src->n;) {
        size_t bytes = utf8_char(b->src->p + i, b->src->n - i);
        if (bytes == 0) {
            diag_error(b->diags, place(b, i, i + 1), "invalid-utf8",
                       "this byte is not UTF-8: save the file as UTF-8");
            return false;
        }
        if (!utf8_printable(b->src->p + i, bytes) && !blank(b->src->p[i])) {
            diag_error(b->diags, place(b, i, i + bytes), "bib-syntax",
                       "a control character: take it out");
            return false;
        }
        i += bytes;
    }
    return true;
}

static size_t entries_at_most(const struct source *src)
{
    size_t n = 0;
    for (size_t i = 0; i < src->n; i++)
        n += src->p[i] == '@';
    return n;
}

/* By key; two of one key in the order of the file. */
static int by_key(const void *a, const void *b)
{
    const struct source_entry *x = a, *y = b;
    int keys = strcmp(x->key, y->key);
    return keys ? keys : (x->at.begin > y->at.begin) - (x->at.begin < y->at.begin);
}

static void keys_compare(struct bib *b, const struct source_entry *entries, size_t n)
{
    struct source_entry *sorted = ARENA_ARRAY(b->arena, struct source_entry, n);
    if (!sorted) {
        b->nomem = true;
        return;
    }
    for (size_t i = 0; i < n; i++)
        sorted[i] = entries[i];
    qsort(sorted, n, sizeof *sorted, by_key);
    for (size_t i = 1; i < n; i++) {
        if (strcmp(sorted[i].key, sorted[i - 1].key) != 0)
            continue;
        diag_error(b->diags, sorted[i].at, "duplicate-key", "the source `%s` stands here again",
                   sorted[i].key);
        diag_note(b->diags, sorted[i - 1].at, "also defined here");
    }
}

hr_status bib_read(struct arena *arena, const struct source *src, struct diags *diags,
                   struct source_entry **out, size_t *n)
{
    struct bib b = {.arena = arena, .src = src, .diags = diags};
    size_t errors = diags_errors(diags), most = entries_at_most(src), count = 0;
    if (!bytes_good(&b))
        return HR_INPUT;
    if (most > BIB_ENTRIES_MAX) {
        diag_error(diags, place(&b, 0, 1), "too-many", "more than %d sources in one file",
                   BIB_ENTRIES_MAX);
        return HR_INPUT;
    }
    struct source_entry *entries = ARENA_ARRAY(arena, struct source_entry, most);
    if (!entries)
        return HR_NOMEM;
    for (skip_blanks(&b); !ends(&b) && !b.nomem; skip_blanks(&b)) {
        size_t start = b.at;
        b.broken = false;
        if (next(&b) != '@')
            broken(&b, b.at, "an entry starts with `@`, a comment with `%`");
        else
            entry_read(&b, &entries[count]);
        if (b.broken)
            skip_entry(&b, start);
        else
            count++;
    }
    keys_compare(&b, entries, count);
    if (b.nomem)
        return HR_NOMEM;
    if (diags_errors(diags) > errors)
        return HR_INPUT;
    *out = entries;
    *n = count;
    return HR_OK;
}
