/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef API_H
#define API_H
/* What the files of the api share: the insides of the handles of hillrow.h, and how files are
 * written together. */
#include "hillrow.h"
#include "output.h"
#include "plan.h"

struct hr_diags {
    struct diags *inner;
    struct arena *arena; /* of the texts handed out */
};

struct hr_library {
    struct arena *arena;
    struct library *inner;
};

struct hr_garden {
    struct arena *arena;
    struct garden *inner;
    struct zones
        zones; /* cut when it was read, so that what is wrong with the ground is told then */
};

struct hr_plan {
    struct arena *arena;
    struct plan *inner;
    const char *files; /* that were last written, NULL: none */
};

/* Of hr_plan_options, what the inner functions take. seconds: the default time. */
#define API_GAP 0.02
struct plan_make_options api_plan_options(const hr_plan_options *options, double seconds);

/* The text of a buffer, NULL when memory ran out in it. */
const char *api_text(const struct strbuf *b);

/* What a set of files is made from; in an arena of its own, freed when they are written. */
struct papers {
    struct arena *arena;
    const void *subject; /* what the adders are about: of hr_plan_write, the struct plan */
    struct diags *diags;
    struct output_set *set;
    struct scene *map; /* of the plan, once it is drawn */
};
/* Adds the file of that name to the set. */
typedef hr_status (*paper_add)(struct papers *p, const char *name);

/* Adds a text as it stands; NULL (no memory when it was made): HR_NOMEM. */
hr_status papers_text(struct papers *p, const char *name, const char *text);
bool papers_ends_in(const char *name, const char *ending);
/* A scene, or the map of the plan: a PDF by its name, else a PNG a page. */
hr_status papers_scene(struct papers *p, const char *name, const struct scene *scene);
hr_status papers_map(struct papers *p, const char *name);
/* Writes files into dir (NULL: the names are paths), each of the n by its own function, all or
 * none. written, unless NULL, is given their names. */
hr_status papers_write(const void *subject, const char *dir, const char *const *names,
                       const paper_add *adds, size_t n, struct diags *diags,
                       struct strbuf *written);

#endif
