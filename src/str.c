/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "str.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "num.h"

#define NEAR_BYTES_MAX 64

static char nothing[1]; /* the text of a buffer that has no memory yet; never written */

void strbuf_init(struct strbuf *b, struct arena *arena)
{
    *b = (struct strbuf){.arena = arena, .p = nothing};
}

/* Room for `more` bytes and the NUL. */
static bool room(struct strbuf *b, size_t more)
{
    size_t need;
    if (b->failed)
        return false;
    if (!num_add_size(b->n, more, &need) || !num_add_size(need, 1, &need)) {
        b->failed = true;
        return false;
    }
    if (need <= b->cap)
        return true;
    size_t size = b->cap > SIZE_MAX / 2 ? need : 2 * b->cap;
    if (size < 64)
        size = 64;
    if (size < need)
        size = need;
    char *p = arena_alloc(b->arena, size, 1);
    if (!p && size > need) { /* near the cap of the arena: take just enough */
        size = need;
        p = arena_alloc(b->arena, size, 1);
    }
    if (!p) {
        b->failed = true;
        return false;
    }
    memcpy(p, b->p, b->n);
    b->p = p;
    b->cap = size;
    return true;
}

void strbuf_add(struct strbuf *b, const char *p, size_t n)
{
    if (n == 0 || !room(b, n))
        return;
    memcpy(b->p + b->n, p, n);
    b->n += n;
    b->p[b->n] = '\0';
}

void strbuf_puts(struct strbuf *b, const char *s)
{
    strbuf_add(b, s, strlen(s));
}

void strbuf_vprintf(struct strbuf *b, const char *fmt, va_list ap)
{
    va_list again;
    va_copy(again, ap);
    int n = vsnprintf(NULL, 0, fmt, ap);
    if (n < 0)
        b->failed = true;
    else if (room(b, (size_t)n)) {
        vsnprintf(b->p + b->n, (size_t)n + 1, fmt, again);
        b->n += (size_t)n;
    }
    va_end(again);
}

void strbuf_printf(struct strbuf *b, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    strbuf_vprintf(b, fmt, ap);
    va_end(ap);
}

static void spaces(struct strbuf *b, size_t n)
{
    static const char blank[] = "                                ";
    while (n > 0 && !b->failed) {
        size_t part = n < sizeof blank - 1 ? n : sizeof blank - 1;
        strbuf_add(b, blank, part);
        n -= part;
    }
}

/* ---- UTF-8 -------------------------------------------------------------------------------- */

size_t utf8_char(const char *p, size_t n)
{
    const unsigned char *u = (const unsigned char *)p;
    if (n == 0)
        return 0;
    if (u[0] < 0x80)
        return 1;
    size_t bytes = u[0] >= 0xC2 && u[0] <= 0xDF   ? 2
                   : (u[0] & 0xF0) == 0xE0        ? 3
                   : u[0] >= 0xF0 && u[0] <= 0xF4 ? 4
                                                  : 0;
    if (bytes == 0 || bytes > n)
        return 0;
    for (size_t i = 1; i < bytes; i++)
        if ((u[i] & 0xC0) != 0x80)
            return 0;
    if ((u[0] == 0xE0 && u[1] < 0xA0) || (u[0] == 0xED && u[1] > 0x9F) || /* long forms, halves */
        (u[0] == 0xF0 && u[1] < 0x90) || (u[0] == 0xF4 && u[1] > 0x8F))
        return 0;
    return bytes;
}

size_t utf8_invalid(const char *p, size_t n)
{
    size_t i = 0;
    while (i < n) {
        size_t bytes = utf8_char(p + i, n - i);
        if (bytes == 0)
            break;
        i += bytes;
    }
    return i;
}

size_t utf8_count(const char *p, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n; count++) {
        size_t bytes = utf8_char(p + i, n - i);
        i += bytes > 0 ? bytes : 1; /* a bad byte counts as one */
    }
    return count;
}

uint32_t utf8_code(const char *p, size_t bytes)
{
    const unsigned char *u = (const unsigned char *)p;
    switch (bytes) {
    case 1:
        return u[0];
    case 2:
        return (u[0] & 0x1Fu) << 6 | (u[1] & 0x3Fu);
    case 3:
        return (u[0] & 0x0Fu) << 12 | (u[1] & 0x3Fu) << 6 | (u[2] & 0x3Fu);
    case 4:
        return (u[0] & 0x07u) << 18 | (u[1] & 0x3Fu) << 12 | (u[2] & 0x3Fu) << 6 | (u[3] & 0x3Fu);
    default:
        return 0xFFFD;
    }
}

struct span {
    uint32_t first, last;
};

/* Sorted. Combining marks and other characters that take no column (Unicode 15, the common
 * scripts). */
static const struct span no_column[] = {
    {0x0300, 0x036F}, {0x0483, 0x0489}, {0x0591, 0x05BD}, {0x05BF, 0x05BF}, {0x05C1, 0x05C2},
    {0x0610, 0x061A}, {0x064B, 0x065F}, {0x0670, 0x0670}, {0x06D6, 0x06DC}, {0x06DF, 0x06E4},
    {0x093C, 0x093C}, {0x0941, 0x0948}, {0x094D, 0x094D}, {0x0E31, 0x0E31}, {0x0E34, 0x0E3A},
    {0x0E47, 0x0E4E}, {0x1AB0, 0x1ACE}, {0x1DC0, 0x1DFF}, {0x200B, 0x200F}, {0x20D0, 0x20F0},
    {0x302A, 0x302D}, {0x3099, 0x309A}, {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F}, {0xFEFF, 0xFEFF},
};

/* Sorted. East Asian wide and full-width, and the pictographs that terminals draw wide. */
static const struct span two_columns[] = {
    {0x1100, 0x115F},   {0x2E80, 0x303E},   {0x3041, 0x33FF},   {0x3400, 0x4DBF},
    {0x4E00, 0x9FFF},   {0xA000, 0xA4CF},   {0xA960, 0xA97F},   {0xAC00, 0xD7A3},
    {0xF900, 0xFAFF},   {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},   {0xFFE0, 0xFFE6},
    {0x1F300, 0x1F64F}, {0x1F680, 0x1F6FF}, {0x1F900, 0x1FAFF}, {0x20000, 0x3FFFD},
};

/* Sorted. Characters that steer a terminal or the direction of text: never shown as they are. */
static const struct span steering[] = {
    {0x0000, 0x001F}, {0x007F, 0x009F}, {0x061C, 0x061C}, {0x200E, 0x200F},
    {0x2028, 0x202E}, {0x2066, 0x2069}, {0xFFF9, 0xFFFB}, {0xE0000, 0xE0FFF},
};

static bool within(uint32_t code, const struct span *spans, size_t n)
{
    for (size_t i = 0; i < n && spans[i].first <= code; i++)
        if (code <= spans[i].last)
            return true;
    return false;
}

#define WITHIN(code, spans) within((code), (spans), sizeof(spans) / sizeof *(spans))

/* Columns of the character of so many bytes (0: a byte that is not UTF-8). */
static size_t columns(const char *p, size_t bytes)
{
    uint32_t code = utf8_code(p, bytes);
    if (WITHIN(code, no_column))
        return 0;
    return WITHIN(code, two_columns) ? 2 : 1;
}

size_t utf8_columns(const char *s)
{
    size_t n = strlen(s), total = 0;
    for (size_t i = 0; i < n;) {
        size_t bytes = utf8_char(s + i, n - i);
        total += columns(s + i, bytes);
        i += bytes > 0 ? bytes : 1;
    }
    return total;
}

bool utf8_printable(const char *p, size_t bytes)
{
    return bytes > 0 && !WITHIN(utf8_code(p, bytes), steering);
}

void strbuf_add_escaped(struct strbuf *b, const char *p, size_t n)
{
    for (size_t i = 0; i < n && !b->failed;) {
        size_t bytes = utf8_char(p + i, n - i);
        if (utf8_printable(p + i, bytes))
            strbuf_add(b, p + i, bytes);
        else if (bytes <= 1)
            strbuf_printf(b, "\\x%02x", (unsigned)(unsigned char)p[i]);
        else
            strbuf_printf(b, "\\u%04x", (unsigned)utf8_code(p + i, bytes));
        i += bytes > 0 ? bytes : 1;
    }
}

/* ---- lines -------------------------------------------------------------------------------- */

/* Bytes of s that fit in width columns; *used: the columns they take. */
static size_t fitting(const char *s, size_t width, size_t *used)
{
    size_t n = strlen(s), i = 0, taken = 0;
    while (i < n) {
        size_t bytes = utf8_char(s + i, n - i);
        size_t wide = columns(s + i, bytes);
        if (wide > width - taken)
            break;
        taken += wide;
        i += bytes > 0 ? bytes : 1;
    }
    *used = taken;
    return i;
}

void strbuf_pad(struct strbuf *b, const char *s, size_t width)
{
    size_t used, n = fitting(s, width, &used);
    if (s[n] == '\0') {
        strbuf_add(b, s, n);
    } else {
        size_t dots = width < 3 ? width : 3;
        n = fitting(s, width - dots, &used);
        strbuf_add(b, s, n);
        strbuf_add(b, "...", dots);
        used += dots;
    }
    spaces(b, width - used);
}

/* Columns of the first n bytes of s, n at the border of a character. */
static size_t word_columns(const char *s, size_t n)
{
    size_t total = 0;
    for (size_t i = 0; i < n;) {
        size_t bytes = utf8_char(s + i, n - i);
        total += columns(s + i, bytes);
        i += bytes > 0 ? bytes : 1;
    }
    return total;
}

static bool digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Bytes of the word that begins there; feet and inches of a reading, 16' 10", are one, and so is a
 * figure with its per cent. */
static size_t word_bytes(const char *s)
{
    size_t n = strcspn(s, " \n");
    while (n > 0 && s[n] == ' ' &&
           ((n > 1 && s[n - 1] == '\'' && digit(s[n - 2]) && digit(s[n + 1])) ||
            (digit(s[n - 1]) && s[n + 1] == '%')))
        n += 1 + strcspn(s + n + 1, " \n");
    return n;
}

void strbuf_wrap(struct strbuf *b, const char *s, size_t width, size_t indent, size_t at)
{
    if (at < indent) {
        spaces(b, indent - at);
        at = indent;
    }
    bool fresh = true; /* no word on this line yet */
    while (*s) {
        size_t n = word_bytes(s);
        if (n > 0) {
            size_t wide = word_columns(s, n);
            if (!fresh && at + 1 + wide > width) {
                strbuf_puts(b, "\n");
                spaces(b, indent);
                at = indent;
                fresh = true;
            }
            if (!fresh)
                strbuf_puts(b, " ");
            strbuf_add(b, s, n);
            at += wide + !fresh;
            fresh = false;
            s += n;
        }
        if (*s == '\n' && s[1] != '\0') {
            strbuf_puts(b, "\n");
            spaces(b, indent);
            at = indent;
            fresh = true;
        }
        if (*s)
            s++;
    }
    strbuf_puts(b, "\n");
}

/* ---- names -------------------------------------------------------------------------------- */

static char folded(char c)
{
    if (c >= 'A' && c <= 'Z')
        return (char)(c - 'A' + 'a');
    return c == '_' || c == '-' ? ' ' : c;
}

bool str_same(const char *a, const char *b)
{
    while (*a && folded(*a) == folded(*b)) {
        a++;
        b++;
    }
    return *a == *b;
}

int str_order(const char *a, const char *b)
{
    const char *p = a, *q = b;
    while (*p && folded(*p) == folded(*q)) {
        p++;
        q++;
    }
    int order = (unsigned char)folded(*p) - (unsigned char)folded(*q);
    return order != 0 ? order : strcmp(a, b);
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Edits between a and b: insert, delete, change, swap neighbours. Both at most NEAR_BYTES_MAX. */
static size_t edits(const char *a, size_t na, const char *b, size_t nb)
{
    size_t row[3][NEAR_BYTES_MAX + 1] = {{0}};
    for (size_t j = 0; j <= nb; j++)
        row[0][j] = j;
    for (size_t i = 1; i <= na; i++) {
        size_t *now = row[i % 3], *last = row[(i + 2) % 3], *before = row[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= nb; j++) {
            size_t change = folded(a[i - 1]) != folded(b[j - 1]);
            now[j] = least(least(last[j], now[j - 1]) + 1, last[j - 1] + change);
            if (i > 1 && j > 1 && folded(a[i - 1]) == folded(b[j - 2]) &&
                folded(a[i - 2]) == folded(b[j - 1]))
                now[j] = least(now[j], before[j - 2] + 1);
        }
    }
    return row[na % 3][nb];
}

size_t str_nearest(const char *s, const char *const *names, size_t n)
{
    size_t len = strlen(s), nearest = SIZE_MAX;
    size_t best = 1 + len / 4;
    if (len == 0 || len > NEAR_BYTES_MAX)
        return SIZE_MAX;
    if (best >= len) /* something must be left of what was written */
        best = len - 1;
    for (size_t i = 0; i < n; i++) {
        size_t name_len = strlen(names[i]);
        if (name_len > NEAR_BYTES_MAX || name_len > len + best || len > name_len + best)
            continue;
        size_t d = edits(s, len, names[i], name_len);
        if (nearest == SIZE_MAX ? d <= best : d < best) {
            best = d;
            nearest = i;
        }
    }
    return nearest;
}
