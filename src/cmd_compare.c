/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow compare: hills or rows, here? */
#include <stdio.h>

#include "cmd.h"

static hr_status compare_solve(struct cmd *cmd)
{
    struct cmd_progress progress;
    const hr_plan_options options = cmd_progress_begin(&progress, cmd->options);
    hr_status status =
        hr_garden_read(cmd->options->argument, cmd->library, cmd->diags, &cmd->garden);
    if (status != HR_OK)
        return status;
    cmd_interrupts_catch();
    status = hr_compare_make(cmd->garden, &options, cmd->diags, &cmd->compare);
    cmd_progress_end(&progress);
    return status;
}

static hr_status compare_write(struct cmd *cmd)
{
    char folder[PATH_MAX];
    const struct options *o = cmd->options;
    const char *dir = cmd_folder(o, "compare", folder);
    if (!dir)
        return HR_USAGE;
    hr_status status = hr_compare_write(cmd->compare, dir, cmd->diags);
    if (status == HR_OK && !o->quiet && !o->json)
        printf("\nWrote compare.png, compare.pdf, compare.txt and compare.json to %s.\n"
               "\nNext: compare.png has it on one page. `hillrow plan` chooses freely; to keep "
               "to\none way, name it in the garden file, as `grow: {systems: [hills]}`.\n",
               dir);
    return status;
}

int cmd_compare(const struct options *options)
{
    struct cmd cmd;
    hr_status status = cmd_open(&cmd, options), told = HR_OK;
    if (status == HR_OK)
        status = compare_solve(&cmd);
    if (!cmd.compare) {
        if (options->json)
            cmd_json_report(&cmd, status, NULL, NULL);
        return cmd_close(&cmd, status);
    }
    if (!options->quiet || options->json)
        told = cmd_print(hr_compare_text(cmd.compare, options->json));
    if (told == HR_OK)
        told = compare_write(&cmd);
    if (status == HR_LIMIT && told == HR_OK)
        cmd_error("%s: these are the best plans found until then, and not all are proved",
                  cmd_interrupted() ? "interrupted" : "out of time");
    return cmd_close(&cmd, told == HR_OK ? status : told);
}
