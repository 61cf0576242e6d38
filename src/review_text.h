/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REVIEW_TEXT_H
#define REVIEW_TEXT_H
/* A review in words. */
#include "review.h"

void review_text(const struct review *r, struct strbuf *out);

#endif
