/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trials and reviews of harvests, over the inner ones. */
#include <stdlib.h>
#include <unistd.h>

#include "api.h"
#include "draw.h"
#include "scene_trial.h"
#include "trial_json.h"
#include "trial_text.h"

struct hr_trial {
    struct arena *arena;
    struct trial *inner;
};

hr_status hr_trial_make(hr_garden *garden, const hr_trial_options *options, hr_diags *diags,
                        hr_trial **out)
{
    struct trial_options make = {0};
    hr_trial *t = calloc(1, sizeof *t);
    hr_status status = HR_NOMEM;
    if (options)
        make = (struct trial_options){options->difference, options->cv,       options->power,
                                      options->blocks,     options->seed,     options->plot,
                                      options->guild,      options->row_guild};
    if (t && (t->arena = arena_new(ARENA_CAP_DEFAULT)) != NULL)
        status = trial_make(garden->inner, &make, t->arena, diags->inner, &t->inner);
    if (status == HR_OK)
        *out = t;
    else
        hr_trial_free(t);
    return status;
}

void hr_trial_free(hr_trial *trial)
{
    if (!trial)
        return;
    arena_free(trial->arena);
    free(trial);
}

const char *hr_trial_summary(hr_trial *trial, bool json)
{
    const char *text;
    struct strbuf b;
    if (json)
        return trial_json_write(trial->inner, trial->arena, &text) == HR_OK ? text : NULL;
    strbuf_init(&b, trial->arena);
    trial_summary(trial->inner, &b);
    return api_text(&b);
}

/* ---- files ---------------------------------------------------------------------------------- */

static hr_status json_add(struct papers *p, const char *name)
{
    const char *text;
    hr_status status = trial_json_write(p->subject, p->arena, &text);
    return status == HR_OK ? papers_text(p, name, text) : status;
}

/* A PDF by its name, else a PNG for each page. */
static hr_status map_add(struct papers *p, const char *name)
{
    const struct trial *t = p->subject;
    if (!p->map) {
        hr_status status = scene_trial(p->arena, t, paper_of(t->garden), &p->map);
        if (status != HR_OK)
            return status;
        draw_check(p->map, p->diags);
    }
    return papers_scene(p, name, p->map);
}

static hr_status sheet_add(struct papers *p, const char *name)
{
    struct strbuf b;
    strbuf_init(&b, p->arena);
    trial_sheet(p->subject, &b);
    return papers_text(p, name, api_text(&b));
}

static hr_status log_add(struct papers *p, const char *name)
{
    struct strbuf b;
    strbuf_init(&b, p->arena);
    trial_log(p->subject, &b);
    return papers_text(p, name, api_text(&b));
}

hr_status hr_trial_write(hr_trial *trial, const char *dir, hr_diags *diags)
{
    static const char *const names[] = {"trial.json", "trial.png", "trial.pdf", "trial.txt",
                                        "harvest.csv"};
    static const paper_add adds[] = {json_add, map_add, map_add, sheet_add, log_add};
    size_t n = sizeof names / sizeof names[0];
    const char *log = arena_printf(trial->arena, "%s/%s", dir, names[n - 1]);
    if (!log)
        return HR_NOMEM;
    if (access(log, F_OK) == 0) /* a season's weights may be in it */
        n--;
    return papers_write(trial->inner, dir, names, adds, n, diags->inner, NULL);
}
