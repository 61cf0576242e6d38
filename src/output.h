/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OUTPUT_H
#define OUTPUT_H
/* Files written whole or not at all: each under a temporary name in its own folder, all renamed at
 * the end. A run that fails leaves the old files as they were. */
#include <stdio.h>
#include "diag.h"

struct output_set;

/* dir: the folder of the files, made when the first is opened (its parent must be there); NULL: the
 * names are paths of their own. NULL when out of memory. */
struct output_set *output_set_new(struct arena *arena, const char *dir);
/* A stream to what will be that file; it belongs to the set, which closes it. Write errors need not
 * be looked at: output_commit does. NULL after an error [cannot-write]: call output_abandon then.
 */
FILE *output_open(struct output_set *set, const char *name, struct diags *diags);
/* A file of an earlier run that this one has no use for: it goes when the set is committed, if it
 * is a regular file and has the mark in its first KiB, so that none but the program's own is
 * removed. HR_IO after an error [cannot-write]. */
HR_CHECKED hr_status output_retire(struct output_set *set, const char *name, const char *mark,
                                   size_t mark_n, struct diags *diags);
/* Their names, as they were opened: "a, b and c". */
void output_names(const struct output_set *set, struct strbuf *out);
/* Writes out, closes and renames all. HR_IO with an error [cannot-write]: nothing was changed. */
HR_CHECKED hr_status output_commit(struct output_set *set, struct diags *diags);
/* Removes what was begun, and the folder if it was made for it. Harmless after output_commit. */
void output_abandon(struct output_set *set);

#endif
