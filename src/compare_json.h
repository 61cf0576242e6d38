/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef COMPARE_JSON_H
#define COMPARE_JSON_H
/* A comparison as JSON, in inside units: docs/compare-json.md. */
#include "compare.h"

HR_CHECKED hr_status compare_json(const struct compare *c, struct arena *arena, const char **out);

#endif
