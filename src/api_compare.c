/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The comparison of hillrow.h, and its files. */
#include <stdlib.h>

#include "api.h"
#include "compare.h"
#include "compare_json.h"
#include "compare_text.h"
#include "draw.h"
#include "scene_compare.h"

#define TIME_LIMIT_S 300.0 /* for all plans together */

struct hr_compare {
    struct arena *arena;
    struct compare *inner;
};

void hr_compare_free(hr_compare *compare)
{
    if (!compare)
        return;
    arena_free(compare->arena);
    free(compare);
}

hr_status hr_compare_make(hr_garden *garden, const hr_plan_options *options, hr_diags *diags,
                          hr_compare **out)
{
    const struct plan_make_options make = api_plan_options(options, TIME_LIMIT_S);
    const struct compare_options o = {make.seconds, make.gap, &garden->zones, make.progress,
                                      make.data};
    hr_compare *c = calloc(1, sizeof *c);
    hr_status status = HR_NOMEM;
    if (c && (c->arena = arena_new(ARENA_CAP_DEFAULT)) != NULL)
        status = compare_make(garden->inner, &o, c->arena, diags->inner, &c->inner);
    if ((status == HR_OK || status == HR_LIMIT) && c->inner)
        *out = c;
    else
        hr_compare_free(c);
    return status;
}

static const char *words(const struct compare *c, struct arena *arena, bool json)
{
    const char *text;
    struct strbuf b;
    if (json)
        return compare_json(c, arena, &text) == HR_OK ? text : NULL;
    strbuf_init(&b, arena);
    compare_text(c, &b);
    return api_text(&b);
}

const char *hr_compare_text(hr_compare *compare, bool json)
{
    return words(compare->inner, compare->arena, json);
}

/* ---- files --------------------------------------------------------------------------------- */

static hr_status text_add(struct papers *p, const char *name)
{
    return papers_text(p, name, words(p->subject, p->arena, false));
}

static hr_status json_add(struct papers *p, const char *name)
{
    return papers_text(p, name, words(p->subject, p->arena, true));
}

static hr_status picture_add(struct papers *p, const char *name)
{
    struct scene *scene;
    const struct compare *c = p->subject;
    hr_status status = scene_compare(p->arena, c, paper_of(c->garden), &scene);
    const struct draw_meta meta = {arena_printf(p->arena, "%s: hills or rows?", c->garden->name.s),
                                   "Layouts of one garden compared; estimates, no promise"};
    if (status != HR_OK || !meta.title)
        return status != HR_OK ? status : HR_NOMEM;
    draw_check(scene, p->diags);
    FILE *file = output_open(p->set, name, p->diags);
    if (!file)
        return HR_IO;
    status = papers_ends_in(name, ".pdf") ? draw_pdf(scene, file, &meta)
                                          : draw_png(scene, 0, file, &meta);
    if (status == HR_IO)
        diag_file(p->diags, name, "cannot-write", "it cannot be written");
    return status;
}

hr_status hr_compare_write(hr_compare *compare, const char *dir, hr_diags *diags)
{
    static const char *const names[] = {"compare.png", "compare.pdf", "compare.txt",
                                        "compare.json"};
    static const paper_add adds[] = {picture_add, picture_add, text_add, json_add};
    return papers_write(compare->inner, dir, names, adds, sizeof names / sizeof names[0],
                        diags->inner, NULL);
}
