/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow trial: a fair test of hills against rows. */
#include <stdio.h>
#include <unistd.h>

#include "cmd.h"

static bool log_there(const char *dir)
{
    char log[PATH_MAX];
    int n = snprintf(log, sizeof log, "%s/harvest.csv", dir);
    return n > 0 && (size_t)n < sizeof log && access(log, F_OK) == 0;
}

static hr_status trial_write(struct cmd *cmd, hr_trial *trial)
{
    char folder[PATH_MAX];
    const struct options *o = cmd->options;
    const char *dir = cmd_folder(o, "trial", folder);
    if (!dir)
        return HR_USAGE;
    bool begun = log_there(dir);
    hr_status status = hr_trial_write(trial, dir, cmd->diags);
    if (status == HR_OK && !o->quiet && !o->json)
        printf("\nWrote trial.json, trial.png and its further pages, trial.pdf%s to %s.%s\n",
               begun ? " and trial.txt" : ", trial.txt and harvest.csv", dir,
               begun ? " The harvest.csv there was left alone." : "");
    if (status == HR_OK && !o->quiet && !o->json)
        printf("\nNext: trial.txt goes along to measure in, plant and weigh, with trial.pdf, the\n"
               "map. Write the weights into harvest.csv; then\n"
               "    hillrow review %s/harvest.csv --trial %s\n"
               "says what they tell.\n",
               dir, dir);
    return status;
}

int cmd_trial(const struct options *options)
{
    struct cmd cmd;
    hr_trial *trial = NULL;
    hr_status status = cmd_open(&cmd, options);
    if (status == HR_OK)
        status = hr_garden_read(options->argument, cmd.library, cmd.diags, &cmd.garden);
    if (status == HR_OK)
        status = hr_trial_make(cmd.garden, &options->trial, cmd.diags, &trial);
    if (status != HR_OK && options->json)
        cmd_json_report(&cmd, status, NULL, NULL);
    if (status == HR_OK && (options->json || !options->quiet))
        status = cmd_print(hr_trial_summary(trial, options->json));
    if (status == HR_OK)
        status = trial_write(&cmd, trial);
    hr_trial_free(trial);
    return cmd_close(&cmd, status);
}
