/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REVIEW_JSON_H
#define REVIEW_JSON_H
/* A review as JSON. */
#include "review.h"

/* HR_NOMEM. */
HR_CHECKED hr_status review_json(const struct review *r, struct arena *arena, const char **out);

#endif
