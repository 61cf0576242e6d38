/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHEET_TEXT_H
#define SHEET_TEXT_H
/* The planting sheet as plain text, to be printed: no line longer than SHEET_COLUMNS. */
#include "sheet.h"

#define SHEET_COLUMNS 92

/* Out of memory: out->failed. */
void sheet_text(const struct sheet *sheet, struct strbuf *out);

#endif
