/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The files of a plan: each made on its own, all of them written or none. */
#include <errno.h>
#include <string.h>

#include "api.h"
#include "draw.h"
#include "plan_json.h"
#include "scene.h"
#include "sheet_text.h"

hr_status papers_text(struct papers *p, const char *name, const char *text)
{
    FILE *file = text ? output_open(p->set, name, p->diags) : NULL;
    if (!text)
        return HR_NOMEM;
    if (!file)
        return HR_IO;
    fputs(text, file); /* output_commit looks at the stream */
    return HR_OK;
}

static hr_status json_add(struct papers *p, const char *name)
{
    const char *text;
    hr_status status = plan_json_write(p->subject, p->arena, &text);
    return status == HR_OK ? papers_text(p, name, text) : status;
}

static bool ends_in(const char *name, const char *ending)
{
    size_t n = strlen(name), m = strlen(ending);
    return n >= m && str_same(name + n - m, ending);
}

/* The map: a PDF by its name, else a PNG. */
static hr_status map_add(struct papers *p, const char *name)
{
    struct scene *scene;
    struct draw_meta meta;
    const struct plan *plan = p->subject;
    hr_status status = scene_map(p->arena, plan, paper_of(plan->garden), &scene);
    if (status == HR_OK)
        status = draw_meta_make(scene, p->arena, &meta);
    if (status != HR_OK)
        return status;
    FILE *file = output_open(p->set, name, p->diags);
    if (!file)
        return HR_IO;
    errno = 0;
    status = ends_in(name, ".pdf") ? draw_pdf(scene, file, &meta, p->diags)
                                   : draw_png(scene, file, &meta, p->diags);
    if (status == HR_IO)
        diag_file(p->diags, name, "cannot-write", "it cannot be written%s%s",
                  errno != 0 ? ": " : "", errno != 0 ? strerror(errno) : "");
    return status;
}

/* The sheet as text, NULL when memory ran out. */
static const char *sheet_words(struct arena *arena, const struct plan *plan)
{
    struct sheet *sheet;
    struct strbuf b;
    strbuf_init(&b, arena);
    if (sheet_make(arena, plan, &sheet) != HR_OK)
        return NULL;
    sheet_text(sheet, &b);
    return api_text(&b);
}

static hr_status sheet_add(struct papers *p, const char *name)
{
    return papers_text(p, name, sheet_words(p->arena, p->subject));
}

hr_status papers_write(const void *subject, const char *dir, const char *const *names,
                       const paper_add *adds, size_t n, struct diags *diags)
{
    struct papers p = {.subject = subject, .diags = diags, .arena = arena_new(ARENA_CAP_DEFAULT)};
    hr_status status = HR_OK;
    p.set = p.arena ? output_set_new(p.arena, dir) : NULL;
    if (!p.set)
        status = HR_NOMEM;
    for (size_t i = 0; i < n && status == HR_OK; i++)
        status = adds[i](&p, names[i]);
    if (status == HR_OK)
        status = output_commit(p.set, diags);
    if (p.set)
        output_abandon(p.set);
    arena_free(p.arena);
    return status;
}

hr_status hr_plan_write(hr_plan *plan, const char *dir, hr_diags *diags)
{
    static const char *const names[] = {"plan.json", "map.png", "map.pdf", "sheet.txt"};
    static const paper_add adds[] = {json_add, map_add, map_add, sheet_add};
    return papers_write(plan->inner, dir, names, adds, sizeof names / sizeof names[0],
                        diags->inner);
}

hr_status hr_plan_draw(hr_plan *plan, const char *path, hr_diags *diags)
{
    static const paper_add add = map_add;
    return papers_write(plan->inner, NULL, &path, &add, 1, diags->inner);
}

hr_status hr_plan_sheet(hr_plan *plan, const char *path, hr_diags *diags)
{
    static const paper_add add = sheet_add;
    return papers_write(plan->inner, NULL, &path, &add, 1, diags->inner);
}

const char *hr_plan_sheet_text(hr_plan *plan)
{
    return sheet_words(plan->arena, plan->inner);
}
