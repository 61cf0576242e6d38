/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The files of a plan: each made on its own, all of them written or none. */
#include "api.h"
#include "chart.h"
#include "plan_json.h"
#include "sheet_csv.h"
#include "sheet_ics.h"
#include "sheet_pdf.h"
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

static hr_status light_add(struct papers *p, const char *name)
{
    struct scene *scene;
    const struct plan *plan = p->subject;
    hr_status status = scene_light(p->arena, plan, paper_of(plan->garden), &scene);
    return status == HR_OK ? papers_scene(p, name, scene) : status;
}

static hr_status season_add(struct papers *p, const char *name)
{
    struct scene *scene;
    const struct plan *plan = p->subject;
    hr_status status = chart_scene(p->arena, plan, paper_of(plan->garden), &scene);
    return status == HR_OK ? papers_scene(p, name, scene) : status;
}

/* ---- the sheet in its forms ----------------------------------------------------------------- */

/* The sheet as such a text, NULL when memory ran out. */
static const char *sheet_words(struct arena *arena, const struct plan *plan,
                               void (*write)(const struct sheet *, struct strbuf *))
{
    struct sheet *sheet;
    struct strbuf b;
    strbuf_init(&b, arena);
    if (sheet_make(arena, plan, &sheet) != HR_OK)
        return NULL;
    write(sheet, &b);
    return api_text(&b);
}

static hr_status sheet_pdf_add(struct papers *p, const char *name)
{
    struct sheet *sheet;
    struct scene *scene;
    const struct plan *plan = p->subject;
    hr_status status = sheet_make(p->arena, plan, &sheet);
    if (status == HR_OK)
        status = sheet_pdf_scene(p->arena, sheet, paper_of(plan->garden), &scene);
    return status == HR_OK ? papers_scene(p, name, scene) : status;
}

/* By its ending the sheet on paper, the seed list or the calendar; else the sheet as text. */
static hr_status sheet_add(struct papers *p, const char *name)
{
    if (papers_ends_in(name, ".pdf"))
        return sheet_pdf_add(p, name);
    return papers_text(p, name,
                       sheet_words(p->arena, p->subject,
                                   papers_ends_in(name, ".csv")   ? sheet_csv
                                   : papers_ends_in(name, ".ics") ? sheet_ics
                                                                  : sheet_text));
}

hr_status papers_write(const void *subject, const char *dir, const char *const *names,
                       const paper_add *adds, size_t n, struct diags *diags, struct strbuf *written)
{
    struct papers p = {.subject = subject, .diags = diags, .arena = arena_new(ARENA_CAP_DEFAULT)};
    hr_status status = HR_OK;
    p.set = p.arena ? output_set_new(p.arena, dir) : NULL;
    if (!p.set)
        status = HR_NOMEM;
    for (size_t i = 0; i < n && status == HR_OK; i++)
        status = adds[i](&p, names[i]);
    if (status == HR_OK && written)
        output_names(p.set, written);
    if (status == HR_OK)
        status = output_commit(p.set, diags);
    if (p.set)
        output_abandon(p.set);
    arena_free(p.arena);
    return status;
}

static hr_status plan_papers(hr_plan *plan, const char *dir, const char *const *names,
                             const paper_add *adds, size_t n, hr_diags *diags)
{
    struct strbuf written;
    strbuf_init(&written, plan->arena);
    hr_status status = papers_write(plan->inner, dir, names, adds, n, diags->inner, &written);
    if (status == HR_OK)
        plan->files = api_text(&written);
    return status;
}

hr_status hr_plan_write(hr_plan *plan, const char *dir, hr_diags *diags)
{
    static const char *const names[] = {"plan.json",    "map.png",    "map.pdf",
                                        "sheet.pdf",    "sheet.txt",  "seed.csv",
                                        "calendar.ics", "season.png", "season.pdf"};
    static const paper_add adds[] = {json_add,  papers_map, papers_map, sheet_add, sheet_add,
                                     sheet_add, sheet_add,  season_add, season_add};
    return plan_papers(plan, dir, names, adds, sizeof names / sizeof names[0], diags);
}

static hr_status write_one(hr_plan *plan, const char *path, paper_add add, hr_diags *diags)
{
    return plan_papers(plan, NULL, &path, &add, 1, diags);
}

hr_status hr_plan_draw(hr_plan *plan, const char *path, hr_diags *diags)
{
    return write_one(plan, path, papers_map, diags);
}

hr_status hr_plan_draw_light(hr_plan *plan, const char *path, hr_diags *diags)
{
    return write_one(plan, path, light_add, diags);
}

hr_status hr_plan_draw_season(hr_plan *plan, const char *path, hr_diags *diags)
{
    return write_one(plan, path, season_add, diags);
}

hr_status hr_plan_sheet(hr_plan *plan, const char *path, hr_diags *diags)
{
    return write_one(plan, path, sheet_add, diags);
}

const char *hr_plan_files(const hr_plan *plan)
{
    return plan->files ? plan->files : "";
}

const char *hr_plan_sheet_text(hr_plan *plan)
{
    return sheet_words(plan->arena, plan->inner, sheet_text);
}
