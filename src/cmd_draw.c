/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow draw: the map of a plan again. */
#include <stdio.h>
#include <string.h>

#include "cmd.h"

/* map.png in the folder of the plan. */
static bool map_beside(char *buf, size_t cap, const char *plan)
{
    char file[PATH_MAX];
    if (!cmd_plan_path(file, sizeof file, plan))
        return false;
    const char *slash = strrchr(file, '/');
    int folder = slash ? (int)(slash - file) + 1 : 0;
    int n = snprintf(buf, cap, "%.*smap.png", folder, file);
    return n > 0 && (size_t)n < cap;
}

int cmd_draw(const struct options *options)
{
    struct cmd cmd;
    char beside[PATH_MAX];
    const char *path = options->output;
    if (!path) {
        if (!map_beside(beside, sizeof beside, options->argument))
            return HR_USAGE;
        path = beside;
    }
    hr_status status = cmd_open(&cmd, options);
    if (status == HR_OK)
        status = cmd_plan_read(&cmd, options->argument);
    if (status == HR_OK)
        status = hr_plan_draw(cmd.plan, path, cmd.diags);
    if (status == HR_OK && !options->quiet)
        printf("Wrote %s.\n", path);
    return cmd_close(&cmd, status);
}
