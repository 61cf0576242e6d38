/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow review: what a harvest log tells. */
#include "cmd.h"

static hr_status review_make(struct cmd *cmd, hr_review **review)
{
    char trial[PATH_MAX];
    const struct options *o = cmd->options;
    hr_review_options options = {.skip_bad = o->skip_bad};
    hr_status status = HR_OK;
    if (o->of_plan && o->of_trial) {
        cmd_error("a log belongs to a plan or to a trial, not to both");
        return HR_USAGE;
    }
    if (o->of_plan)
        status = cmd_plan_read(cmd, o->of_plan);
    if (o->of_trial) {
        if (!cmd_file_path(trial, sizeof trial, o->of_trial, "trial.json"))
            return HR_USAGE;
        options.trial = trial;
    }
    options.plan = cmd->plan;
    return status == HR_OK ? hr_review_make(o->argument, &options, cmd->diags, review) : status;
}

int cmd_review(const struct options *options)
{
    struct cmd cmd;
    hr_review *review = NULL;
    const char *text = NULL;
    hr_status status = cmd_open(&cmd, options);
    if (status == HR_OK)
        status = review_make(&cmd, &review);
    if (status == HR_OK && !(text = hr_review_text(review, options->json)))
        status = HR_NOMEM;
    if (options->json)
        cmd_json_report(&cmd, status, "review", text);
    else if (status == HR_OK)
        status = cmd_print(text);
    hr_review_free(review);
    return cmd_close(&cmd, status);
}
