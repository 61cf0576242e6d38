/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef BIB_H
#define BIB_H
/* A small, strict reader of bibliographies: `@kind{key, title = {...}, year = {2015}}`. */
#include "diag.h"

#define BIB_ENTRIES_MAX 5000

struct source_entry {                               /* of sources.bib */
    const char *key, *title, *author, *year, *kind; /* kind: the bib type; "" when absent */
    const char *where;                              /* journal, publisher or book */
    const char *note, *url;
    struct pos at; /* of the key */
};

/* The entries in the order of the file. HR_INPUT with positioned errors [bib-syntax],
 * [duplicate-key], [unknown-key], [missing-key] (no title), [invalid-utf8], [too-many]; it goes on
 * with the next entry. HR_NOMEM. */
HR_CHECKED hr_status bib_read(struct arena *arena, const struct source *src, struct diags *diags,
                              struct source_entry **out, size_t *n);

#endif
