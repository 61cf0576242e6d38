/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SOURCE_H
#define SOURCE_H
/* The bytes of an input file and where its lines start; positions are byte offsets. */
#include <stddef.h>
#include "hillrow.h"
#include "arena.h"

#define SOURCE_MAX_BYTES ((size_t)16 << 20)

struct source {
    const char *name; /* as the user gave it */
    const char *p;    /* bytes, NUL-terminated behind the last */
    size_t n;
    const size_t *line; /* byte offset of the start of each line; LF, CR and CR LF end one */
    size_t lines;
};

/* A stretch of a source. src == NULL: no position (a default, or made by the program). */
struct pos {
    const struct source *src;
    size_t begin, end; /* byte offsets, end past the last byte */
};

struct diags;

/* Reads a whole regular file. A directory, a pipe [not-a-file], a missing or
 * unreadable file [cannot-read]: HR_IO; over SOURCE_MAX_BYTES: HR_INPUT [too-large]; all with an
 * error in diags. Nothing is kept in memory
 * of a file that is too large. */
HR_CHECKED hr_status source_read(struct arena *arena, const char *path, struct diags *diags,
                                 const struct source **out);
/* A source over n bytes of text (copied). */
HR_CHECKED hr_status source_text(struct arena *arena, const char *name, const char *p, size_t n,
                                 const struct source **out);
/* Bytes of the byte order mark at the start, 0 or 3: it is no column. */
size_t source_bom(const char *p, size_t n);
/* Line and column of an offset, both from 1; the column counts code points. */
void source_line_col(const struct source *src, size_t offset, size_t *line, size_t *col);

#endif
