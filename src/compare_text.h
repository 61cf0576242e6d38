/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COMPARE_TEXT_H
#define COMPARE_TEXT_H
/* A comparison as a table of at most 80 columns that ends in a verdict. */
#include "compare.h"

void compare_text(const struct compare *c, struct strbuf *out); /* out of memory: out->failed */

#endif
