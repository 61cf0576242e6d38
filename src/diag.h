/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DIAG_H
#define DIAG_H
/* Positioned diagnostics: collected, counted, shown all at once. */
#include <stdbool.h>
#include <stddef.h>
#include "source.h"
#include "str.h"

enum severity { DIAG_ERROR, DIAG_WARNING, DIAG_NOTE };

#define DIAG_SHOWN_MAX 50 /* of errors and of warnings each; later ones are counted, not shown */
#define DIAG_NOTES_MAX 10 /* under one of them */

struct diag {
    enum severity severity;
    struct pos at;
    const char *check; /* name of the check, "" for a note */
    const char *text;
    const char *file; /* copied: name, line, column and source line outlive the source */
    size_t line, col; /* 0 when there is no position */
    const char
        *source_line;   /* safe to show, cut to 160 columns around the caret; NULL without one */
    size_t caret_at;    /* bytes of source_line before the caret */
    size_t caret_width; /* columns, at least 1 */
};

struct diags; /* its own arena: outlives what it speaks of */

struct diags *diags_new(void);
void diags_free(struct diags *d);
__attribute__((format(printf, 4, 5))) void diag_error(struct diags *d, struct pos at,
                                                      const char *check, const char *fmt, ...);
__attribute__((format(printf, 4, 5))) void diag_warning(struct diags *d, struct pos at,
                                                        const char *check, const char *fmt, ...);
/* Said under the diagnostic before it. */
__attribute__((format(printf, 3, 4))) void diag_note(struct diags *d, struct pos at,
                                                     const char *fmt, ...);
/* An error about a file as a whole, e.g. one that cannot be opened: `file: error: text [check]`. */
__attribute__((format(printf, 4, 5))) void diag_file(struct diags *d, const char *file,
                                                     const char *check, const char *fmt, ...);
size_t diags_errors(const struct diags *d);
size_t diags_warnings(const struct diags *d);
size_t diags_count(const struct diags *d);                    /* all kept, notes too */
const struct diag *diags_at(const struct diags *d, size_t i); /* NULL past the end */
/* How many were counted but are not kept. */
size_t diags_hidden(const struct diags *d);
/* `file:line:col: error: text [check-name]`, the source line (cut to 160 columns around the caret),
 * a caret line; in order of report, each note below its owner. */
void diags_render(const struct diags *d, struct strbuf *out);

#endif
