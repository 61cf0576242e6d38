/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TRIAL_TEXT_H
#define TRIAL_TEXT_H
/* A trial in words: a summary, the sheet to set it out and weigh it by, and the file to write its
 * weights into. */
#include "trial.h"

void trial_summary(const struct trial *t, struct strbuf *out);
void trial_sheet(const struct trial *t, struct strbuf *out);
/* A line for each half and crop, date and weight left empty. */
void trial_log(const struct trial *t, struct strbuf *out);

#endif
