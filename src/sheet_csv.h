/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHEET_CSV_H
#define SHEET_CSV_H
/* The seed list as comma-separated values (RFC 4180). */
#include "sheet.h"

/* One line a variety below a line of names. Numbers are plain, without a thousands mark. A text
 * that a spreadsheet would take for a formula gets an apostrophe in front; a list with letters
 * beyond ASCII begins with a byte order mark, without which some spreadsheets misread it. Out of
 * memory: out->failed. */
void sheet_csv(const struct sheet *sheet, struct strbuf *out);
/* One field: quoted when it must be, harmless to a spreadsheet. */
void csv_field(struct strbuf *out, const char *text);

#endif
