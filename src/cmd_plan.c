/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow plan: what goes where, and the files of the plan. */
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "cmd.h"

#define TIME_LIMIT_S 60.0 /* the default of hr_plan_options */

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* What is asked for is there before anything is planned. */
static bool zones_alone(const struct options *o)
{
    return o->dump && strcmp(o->dump, "zones") == 0 && !o->output;
}

static hr_status plan_solve(struct cmd *cmd)
{
    struct cmd_progress progress;
    const hr_plan_options options = cmd_progress_begin(&progress, cmd->options);
    hr_status status =
        hr_garden_read(cmd->options->argument, cmd->library, cmd->diags, &cmd->garden);
    if (status != HR_OK)
        return status;
    if (zones_alone(cmd->options))
        return cmd_print(hr_garden_zones(cmd->garden));
    cmd_interrupts_catch();
    status = hr_plan_make(cmd->garden, &options, cmd->diags, &cmd->plan);
    cmd_progress_end(&progress);
    return status;
}

static hr_status plan_print(struct cmd *cmd)
{
    const struct options *o = cmd->options;
    if (o->dump)
        return cmd_print(hr_plan_dump(cmd->plan, o->dump));
    hr_status status =
        o->quiet && !o->json ? HR_OK : cmd_print(hr_plan_summary(cmd->plan, o->json));
    if (status == HR_OK && o->explain && !o->json)
        status = cmd_print(hr_plan_explain(cmd->plan));
    return status;
}

static hr_status plan_write(struct cmd *cmd)
{
    char folder[PATH_MAX];
    const struct options *o = cmd->options;
    if (!o->output && o->dump)
        return HR_OK;
    const char *dir = cmd_folder(o, "plan", folder);
    if (!dir)
        return HR_USAGE;
    hr_status status = hr_plan_write(cmd->plan, dir, cmd->diags);
    if (status == HR_OK && !o->quiet && !o->json && !o->dump)
        printf("\nWrote %s to %s.\n\nNext: look over %s/map.png, then take %s/sheet.pdf to the "
               "plot: what to do, and when.\n",
               hr_plan_files(cmd->plan), dir, dir, dir);
    return status;
}

int cmd_plan(const struct options *options)
{
    struct cmd cmd;
    double begin = seconds();
    double time_limit_s = options->time_limit_s > 0 ? options->time_limit_s : TIME_LIMIT_S;
    hr_status status = cmd_open(&cmd, options);
    if (status == HR_OK)
        status = plan_solve(&cmd);
    if (!cmd.plan) {
        if (options->json && !zones_alone(options))
            cmd_json_report(&cmd, status, NULL, NULL);
        return cmd_close(&cmd, status);
    }
    hr_status printed = plan_print(&cmd);
    hr_status written = printed == HR_OK ? plan_write(&cmd) : printed;
    if (status == HR_LIMIT && written == HR_OK)
        cmd_error("%s: this is the best plan found until then, and it is not proved",
                  cmd_interrupted()                   ? "interrupted"
                  : seconds() - begin >= time_limit_s ? "out of time"
                                                      : "the search ends short of --gap");
    return cmd_close(&cmd, written == HR_OK ? status : written);
}
