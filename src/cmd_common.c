/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the commands share. See cmd.h. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "cmd.h"

void cmd_error(const char *fmt, ...)
{
    va_list ap;
    fputs("hillrow: ", stderr);
    va_start(ap, fmt);
    vfprintf(stderr, fmt, ap);
    va_end(ap);
    fputc('\n', stderr);
}

hr_status cmd_open(struct cmd *cmd, const struct options *options)
{
    *cmd = (struct cmd){.options = options, .diags = hr_diags_new()};
    if (!cmd->diags)
        return HR_NOMEM;
    return hr_library_open(options->crops, cmd->diags, &cmd->library);
}

bool cmd_plan_path(char *buf, size_t cap, const char *path)
{
    struct stat st;
    bool folder = stat(path, &st) == 0 && S_ISDIR(st.st_mode);
    int n = snprintf(buf, cap, "%s%s", path, folder ? "/plan.json" : "");
    if (n > 0 && (size_t)n < cap)
        return true;
    cmd_error("a path too long");
    return false;
}

hr_status cmd_plan_read(struct cmd *cmd, const char *path)
{
    char file[PATH_MAX];
    if (!cmd_plan_path(file, sizeof file, path))
        return HR_USAGE;
    return hr_plan_read(file, cmd->library, cmd->diags, &cmd->plan);
}

hr_status cmd_print(const char *text)
{
    if (!text)
        return HR_NOMEM;
    fputs(text, stdout);
    size_t n = strlen(text);
    if (n > 0 && text[n - 1] != '\n')
        fputc('\n', stdout);
    return HR_OK;
}

void cmd_json_report(struct cmd *cmd, hr_status status, const char *what, const char *text)
{
    printf("{\"status\": %d, \"text\": \"%s\",\n\"diagnostics\": %s", (int)status,
           hr_status_text(status), hr_diags_json(cmd->diags));
    if (text)
        printf(",\n\"%s\": %s", what, text);
    puts("}");
    cmd->reported = true;
}

int cmd_close(struct cmd *cmd, hr_status status)
{
    if (cmd->diags && !cmd->reported)
        fputs(hr_diags_text(cmd->diags), stderr);
    bool said = cmd->reported || (cmd->diags && hr_diags_errors(cmd->diags) > 0);
    if (!said && status != HR_OK && !(status == HR_LIMIT && cmd->plan)) /* that is no failure */
        cmd_error("%s", hr_status_text(status));
    hr_plan_free(cmd->plan);
    hr_garden_free(cmd->garden);
    hr_library_free(cmd->library);
    hr_diags_free(cmd->diags);
    return (int)status;
}
