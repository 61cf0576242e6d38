/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GARDEN_TEXT_H
#define GARDEN_TEXT_H
/* Gardens for tests, written as a gardener writes them; the crop library is crops/. Run from the
 * top of the tree. */
#include <string.h>

#include "garden.h"

struct garden_text {
    struct arena *arena;
    struct diags *diags;
    struct library *library;
    struct garden *garden; /* NULL when it did not read clean */
    hr_status status;
};

/* Reads the text; asserts nothing. Free with garden_text_free. */
static inline struct garden_text garden_text_read(const char *text)
{
    struct garden_text t = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    const struct source *src;
    t.status = library_read(t.arena, "crops", t.diags, &t.library);
    if (t.status == HR_OK)
        t.status = source_text(t.arena, "test.yaml", text, strlen(text), &src);
    if (t.status == HR_OK)
        t.status = garden_read(t.arena, src, t.library, t.diags, &t.garden);
    return t;
}

static inline void garden_text_free(struct garden_text *t)
{
    arena_free(t->arena);
    diags_free(t->diags);
}

/* All that was reported, for messages. */
static inline const char *garden_text_diags(struct garden_text *t)
{
    struct strbuf b;
    strbuf_init(&b, t->arena);
    diags_render(t->diags, &b);
    return b.p;
}

#endif
