/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow draw: the pictures of a plan again, one of each page, or one PDF of all. */
#include <stdio.h>
#include <string.h>

#include "cmd.h"

/* What can be drawn, by enum picture of options.h. */
static const struct {
    const char *file; /* beside the plan */
    hr_status (*draw)(hr_plan *plan, const char *path, hr_diags *diags);
} pictures[] = {
    [PICTURE_MAP] = {"map.png", hr_plan_draw},
    [PICTURE_LIGHT] = {"light.png", hr_plan_draw_light},
    [PICTURE_SEASON] = {"season.png", hr_plan_draw_season},
};

/* A file in the folder of the plan. */
static bool beside(char *buf, size_t cap, const char *plan, const char *name)
{
    char file[PATH_MAX];
    if (!cmd_plan_path(file, sizeof file, plan))
        return false;
    const char *slash = strrchr(file, '/');
    int folder = slash ? (int)(slash - file) + 1 : 0;
    int n = snprintf(buf, cap, "%.*s%s", folder, file, name);
    return n > 0 && (size_t)n < cap;
}

int cmd_draw(const struct options *options)
{
    struct cmd cmd;
    char found[PATH_MAX];
    const char *path = options->output;
    if (!path) {
        if (!beside(found, sizeof found, options->argument, pictures[options->picture].file))
            return HR_USAGE;
        path = found;
    }
    hr_status status = cmd_open(&cmd, options);
    if (status == HR_OK)
        status = cmd_plan_read(&cmd, options->argument);
    if (status == HR_OK)
        status = pictures[options->picture].draw(cmd.plan, path, cmd.diags);
    if (status == HR_OK && !options->quiet)
        printf("Wrote %s.\n", hr_plan_files(cmd.plan));
    return cmd_close(&cmd, status);
}
