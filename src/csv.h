/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CSV_H
#define CSV_H
/* Comma-separated values as RFC 4180 has them, positions kept. Lines end in LF or CR LF; a byte
 * order mark is passed over. Records that are not whole are kept and marked, so that the others can
 * still be used. */
#include "diag.h"

#define CSV_FIELDS_MAX  64
#define CSV_BYTES_MAX   65536 /* of a quoted field; a longer one was never closed */
#define CSV_RECORDS_MAX 100000

struct csv_field {
    const char *s; /* quotes taken off, spaces round it too unless it was quoted */
    struct pos at; /* as it stands in the file */
};

struct csv_record {
    struct csv_field *fields;
    size_t n;
    struct pos at;
    bool bad;  /* an error was reported of it */
    bool open; /* the file ends in it, without an end of line */
};

struct csv {
    const struct source *src;
    struct csv_record *records; /* empty lines are left out */
    size_t n;
};

/* Reads all of it, and reports every fault of a record (as a warning when `lenient`): [csv-syntax]
 * of quotes, stray CRs and too many fields, [csv-text] of bytes that are no printable UTF-8: HR_OK
 * all the same, with the record marked bad. HR_INPUT: over CSV_RECORDS_MAX [csv-syntax]. HR_NOMEM.
 */
HR_CHECKED hr_status csv_read(struct arena *arena, const struct source *src, bool lenient,
                              struct diags *diags, struct csv *out);
/* Adds a field with its comma before it unless it is the first of its record; quoted if it must be.
 */
void csv_put(struct strbuf *out, bool first, const char *s);

#endif
