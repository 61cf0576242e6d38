/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLAN_JSON_H
#define PLAN_JSON_H
/* plan.json out and in (jansson). */
#include "plan.h"

/* The text of plan.json (owned by arena); the same plan gives the same bytes. Top level: hillrow
 * (format), plan_id, garden, goal, unit, status, value, bound, gap, seconds, rounds, person_days,
 * energy_kcal, protein_g, usable_protein_g, hours (each {low, typical, high}), limiting,
 * shade_loss, crops, left_out, plots [{name, zones, blocks}], stations [{id, plot, block, line,
 * crops {variety: count}, x_m, y_m}], garden_file {path, text}. HR_NOMEM. */
HR_CHECKED hr_status plan_json_write(const struct plan *plan, struct arena *arena,
                                     const char **out);
/* Reads a plan.json; its garden is read from the text kept inside. Anything wrong (not JSON, wrong
 * types, unknown variety, numbers out of range, wrong format version): positioned where possible,
 * [plan-json]. HR_IO, HR_INPUT, HR_NOMEM. */
HR_CHECKED hr_status plan_json_read(struct arena *arena, const char *path,
                                    const struct library *lib, struct diags *diags,
                                    struct plan **out);

#endif
