/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reviews of harvests, over the inner ones. */
#include <stdlib.h>

#include "api.h"
#include "review_json.h"
#include "review_text.h"
#include "trial_json.h"

struct hr_review {
    struct arena *arena;
    struct review *inner;
};

/* A log with neither plan nor trial says its treatments itself. */
static hr_status blocks_review(hr_review *r, struct harvest *log, bool skip_bad,
                               struct diags *diags)
{
    if (log->treatments)
        return review_blocks(r->arena, log, skip_bad, diags, &r->inner);
    diag_file(diags, log->src->name, "log-columns",
              "say what the log is of with --plan or --trial, or give it a column `treatment`");
    return HR_INPUT;
}

static hr_status review_load(hr_review *r, const char *path, const hr_review_options *o,
                             struct diags *diags)
{
    struct harvest log;
    struct trial *trial;
    const struct source *src;
    hr_status status = HR_OK;
    if (o->trial)
        status = trial_json_read(r->arena, o->trial, diags, &trial);
    hr_status read = source_read(r->arena, path, diags, &src);
    if (read == HR_OK)
        read = harvest_read(r->arena, src, o->skip_bad, diags, &log);
    if (status != HR_OK || read != HR_OK)
        return status != HR_OK ? status : read;
    if (o->trial)
        return review_trial(r->arena, &log, trial, o->skip_bad, diags, &r->inner);
    if (o->plan)
        return review_plan(r->arena, &log, o->plan->inner, o->skip_bad, diags, &r->inner);
    return blocks_review(r, &log, o->skip_bad, diags);
}

hr_status hr_review_make(const char *log, const hr_review_options *options, hr_diags *diags,
                         hr_review **out)
{
    static const hr_review_options none = {0};
    hr_review *r = calloc(1, sizeof *r);
    hr_status status = HR_NOMEM;
    if (r && (r->arena = arena_new(ARENA_CAP_DEFAULT)) != NULL)
        status = review_load(r, log, options ? options : &none, diags->inner);
    if (status == HR_OK)
        *out = r;
    else
        hr_review_free(r);
    return status;
}

void hr_review_free(hr_review *review)
{
    if (!review)
        return;
    arena_free(review->arena);
    free(review);
}

const char *hr_review_text(hr_review *review, bool json)
{
    const char *text;
    struct strbuf b;
    if (json)
        return review_json(review->inner, review->arena, &text) == HR_OK ? text : NULL;
    strbuf_init(&b, review->arena);
    review_text(review->inner, &b);
    return api_text(&b);
}
