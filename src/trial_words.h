/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TRIAL_WORDS_H
#define TRIAL_WORDS_H
/* What a trial says of itself, for its map and its sheet alike. Each text lies in the arena; NULL:
 * out of memory. */
#include "trial.h"

/* What is compared with what. */
const char *trial_question(const struct trial *t, struct arena *arena);
/* How many blocks the difference takes, and what so many tell. */
const char *trial_verdict(const struct trial *t, struct arena *arena);
const char *trial_guard_words(const struct trial *t, struct arena *arena);
const char *trial_hills_words(const struct trial *t, struct arena *arena);
/* When crop k of the trial is sown, and how in the hills. */
const char *trial_sow_words(const struct trial *t, int k, struct arena *arena);
/* How it stands in the rows. */
const char *trial_rows_words(const struct trial *t, int k, struct arena *arena);
/* A half's name and corners on the tapes, or those of its net ground alone. */
const char *trial_half_words(const struct trial *t, const struct trial_half *half, bool net,
                             struct arena *arena);
/* How to weigh so that the two treatments are treated alike. */
extern const char *const trial_fairness[];
extern const int trial_fairness_lines;

#endif
