/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow check: a garden file, or a plan against its garden. */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "cmd.h"

#define LOOK_BYTES 4096

/* Whether what stands at the start of a file is a plan's JSON. */
static bool plan_begins(const char *path)
{
    char start[LOOK_BYTES + 1];
    FILE *f = fopen(path, "r");
    if (!f)
        return false;
    size_t n = fread(start, 1, LOOK_BYTES, f);
    fclose(f);
    start[n] = '\0';
    return start[strspn(start, " \t\r\n")] == '{' && strstr(start, "\"hillrow\"") != NULL;
}

/* By what is in it, or by its name. A folder with a plan.json stands for that; what is no file at
 * all (a pipe) is not opened to find out. */
static bool is_plan(const char *path)
{
    struct stat st;
    char file[PATH_MAX];
    size_t n = strlen(path);
    if (n > 5 && strcmp(path + n - 5, ".json") == 0)
        return true;
    if (stat(path, &st) != 0)
        return false;
    if (S_ISDIR(st.st_mode))
        return cmd_plan_path(file, sizeof file, path) && stat(file, &st) == 0;
    return S_ISREG(st.st_mode) && plan_begins(path);
}

static hr_status plan_check(struct cmd *cmd, const char **text)
{
    hr_status status = cmd_plan_read(cmd, cmd->options->argument);
    if (status == HR_OK)
        status = hr_plan_verify(cmd->plan, cmd->diags);
    if (status == HR_OK)
        *text = hr_plan_summary(cmd->plan, cmd->options->json);
    return status;
}

static hr_status garden_check(struct cmd *cmd, const char **text)
{
    hr_status status =
        hr_garden_read(cmd->options->argument, cmd->library, cmd->diags, &cmd->garden);
    if (status == HR_OK)
        *text = hr_garden_summary(cmd->garden, cmd->options->json);
    return status;
}

int cmd_check(const struct options *options)
{
    struct cmd cmd;
    const char *text = NULL;
    bool plan = is_plan(options->argument);
    hr_status status = cmd_open(&cmd, options);
    if (status == HR_OK)
        status = plan ? plan_check(&cmd, &text) : garden_check(&cmd, &text);
    if (status == HR_OK && !text)
        status = HR_NOMEM;
    if (options->json)
        cmd_json_report(&cmd, status, plan ? "plan" : "garden", text);
    else if (status == HR_OK && !options->quiet) {
        if (plan)
            printf("The plan holds: checked again from its stations up.\n\n");
        status = cmd_print(text);
        if (status == HR_OK && !plan)
            printf(
                "\nNext:\n    hillrow plan %s\nmakes the plan, the map and the planting sheet.\n",
                options->argument);
    }
    return cmd_close(&cmd, status);
}
