/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef STR_H
#define STR_H
/* Text: a growing buffer in an arena, UTF-8, nearest names. */
#include <stdbool.h>
#include <stddef.h>
#include <stdarg.h>
#include <stdint.h>
#include "arena.h"

/* A growing text, always NUL-terminated. A failed allocation is sticky: `failed` is set, later
 * additions do nothing; look at it once at the end. No %f, %g or %e in a format: they follow the
 * locale; num_text and num_fixed do not. */
struct strbuf {
    struct arena *arena;
    char *p; /* never NULL after strbuf_init */
    size_t n, cap;
    bool failed;
};

void strbuf_init(struct strbuf *b, struct arena *arena);
void strbuf_add(struct strbuf *b, const char *p, size_t n);
void strbuf_puts(struct strbuf *b, const char *s);
__attribute__((format(printf, 2, 3))) void strbuf_printf(struct strbuf *b, const char *fmt, ...);
void strbuf_vprintf(struct strbuf *b, const char *fmt, va_list ap);
/* n bytes of foreign text, made safe to show: control characters, marks that turn the direction of
 * text, and bytes that are not UTF-8 are added as \x1b or \u202e. */
void strbuf_add_escaped(struct strbuf *b, const char *p, size_t n);
/* s padded with spaces (or cut, ending in "...") to width display columns. */
void strbuf_pad(struct strbuf *b, const char *s, size_t width);
/* s wrapped at width columns, each line started with indent spaces and ended with a newline; the
 * first line goes on from column `at`. */
void strbuf_wrap(struct strbuf *b, const char *s, size_t width, size_t indent, size_t at);

/* Bytes of the first UTF-8 character of p (1-4), 0 when it is not valid UTF-8 or n is 0. */
size_t utf8_char(const char *p, size_t n);
/* The code point of a valid character of so many bytes (as utf8_char says), U+FFFD for 0. */
uint32_t utf8_code(const char *p, size_t bytes);
/* Whether it may be shown as it is: no control character, no mark that turns the direction of text.
 * False for 0 bytes. */
bool utf8_printable(const char *p, size_t bytes);
/* Offset of the first byte that is not valid UTF-8, n when all are. */
size_t utf8_invalid(const char *p, size_t n);
/* Number of code points. */
size_t utf8_count(const char *p, size_t n);
/* Display columns of s: 0 for combining marks, 2 for wide CJK, else 1. */
size_t utf8_columns(const char *s);

/* ASCII case-insensitive equality, '_' and '-' and ' ' alike. */
bool str_same(const char *a, const char *b);
/* Order of an index: as str_same compares, and names that are the same to it by their bytes; no
 * locale has a say. */
int str_order(const char *a, const char *b);
/* Index of the name nearest to `s` by edit distance (at most 1 + strlen/4 edits, as str_same
 * compares), SIZE_MAX when none is near. Names longer than 64 bytes are never near. */
size_t str_nearest(const char *s, const char *const *names, size_t n);

#endif
