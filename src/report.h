/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_H
#define REPORT_H
/* What was understood and what was planned, as text for people (at most 80 columns, in the garden's
 * units) and as JSON for scripts. Out of memory: out->failed. */
#include "plan.h"

/* What `hillrow plan` says: what goes where, the food it may give, seed, work, the proof. */
void report_summary(const struct plan *plan, struct strbuf *out);
/* How good it is proved to be: of weighed foods, what they count for and what that may cost. */
void report_bound(const struct plan *plan, struct strbuf *out);
/* Where families stand on ground that they stood on before. */
void report_rotation(const struct plan *plan, struct strbuf *out);
/* Seed that is to be saved. */
void report_seed_saving(const struct plan *plan, struct strbuf *out);
/* The part of it about sowings that cold soil holds back; nothing where none is. */
void report_soil(const struct plan *plan, struct strbuf *out);
/* What was understood of a garden file; zones: of the garden, NULL when they are not cut. */
void report_garden_summary(const struct garden *garden, const struct zones *zones,
                           struct strbuf *out);
/* The parts of it about monthly temperatures, and what ripens by degree days; nothing without. */
void report_normals(const struct garden *garden, struct strbuf *out);
void report_ripening(const struct garden *garden, struct strbuf *out);
/* The part of it about one plot: size, direction, what is free, rules of height, place. */
void report_plot(const struct garden *garden, size_t index, const struct zones *zones,
                 struct arena *arena, struct strbuf *out);
/* When a block that stands already is harvested, behind its plants; nothing of others. */
void report_standing(const struct planting *p, struct strbuf *out);

/* An array of {file, line, column, severity, check, text}; notes have an empty check. */
void report_diags_json(const struct diags *diags, struct strbuf *out);
/* All crops and guilds in short, all sources. */
void report_library_json(const struct library *lib, struct strbuf *out);
/* Every field by its name in the file; a figure is {low, typical, high, unit, source}, and the
 * sources named are described behind. */
void report_crop_json(const struct library *lib, const struct crop *crop, struct strbuf *out);
void report_guild_json(const struct library *lib, const struct guild *guild, struct strbuf *out);
void report_cover_json(const struct library *lib, const struct cover *cover, struct strbuf *out);
/* Every field of the garden file, defaults filled in. */
void report_garden_json(const struct garden *garden, struct strbuf *out);

#endif
