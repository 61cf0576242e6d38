/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the commands share. See cmd.h. */
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cmd.h"

#define QUIET_SECONDS 1.0 /* shorter runs show no progress */
#define SHOW_EVERY_S  0.2

/* Where warnings and errors go: after all that was printed before them, also where both streams
 * lead to one file or pipe. */
static FILE *errors(void)
{
    (void)fflush(stdout); /* what fails stays told: main looks at the end */
    return stderr;
}

void cmd_error(const char *fmt, ...)
{
    va_list ap;
    FILE *to = errors();
    fputs("hillrow: ", to);
    va_start(ap, fmt);
    vfprintf(to, fmt, ap);
    va_end(ap);
    fputc('\n', to);
}

hr_status cmd_open(struct cmd *cmd, const struct options *options)
{
    *cmd = (struct cmd){.options = options, .diags = hr_diags_new()};
    if (!cmd->diags)
        return HR_NOMEM;
    return hr_library_open(options->crops, cmd->diags, &cmd->library);
}

bool cmd_file_path(char *buf, size_t cap, const char *path, const char *name)
{
    struct stat st;
    bool folder = stat(path, &st) == 0 && S_ISDIR(st.st_mode);
    int n = snprintf(buf, cap, "%s%s%s", path, folder ? "/" : "", folder ? name : "");
    if (n > 0 && (size_t)n < cap)
        return true;
    cmd_error("a path too long");
    return false;
}

bool cmd_plan_path(char *buf, size_t cap, const char *path)
{
    return cmd_file_path(buf, cap, path, "plan.json");
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

/* ---- while the optimiser works ------------------------------------------------------------- */

static volatile sig_atomic_t interrupted;

static void interrupt(int signum)
{
    (void)signum;
    interrupted = 1;
}

void cmd_interrupts_catch(void)
{
    struct sigaction action = {.sa_handler = interrupt, .sa_flags = (int)SA_RESETHAND};
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
}

bool cmd_interrupted(void)
{
    return interrupted != 0;
}

static bool progress_show(void *data, double seconds, double value, double bound)
{
    struct cmd_progress *p = data;
    if (p->terminal && seconds >= QUIET_SECONDS && seconds - p->shown_s >= SHOW_EVERY_S) {
        double gap = bound > 0 && value > 0 ? 100 * (bound - value) / bound : 100;
        fprintf(errors(), "\r%4.0f s  best %.4g of at most %.4g, gap %.1f %%   ", seconds, value,
                bound, gap < 0 ? 0 : gap);
        p->shown_s = seconds;
    }
    return interrupted != 0;
}

hr_plan_options cmd_progress_begin(struct cmd_progress *p, const struct options *options)
{
    *p = (struct cmd_progress){.terminal = isatty(STDERR_FILENO) != 0};
    return (hr_plan_options){.time_limit_s = options->time_limit_s,
                             .gap = options->gap,
                             .progress = progress_show,
                             .progress_data = p};
}

void cmd_progress_end(const struct cmd_progress *p)
{
    if (p->shown_s > 0)
        fprintf(errors(), "\r%60s\r", "");
}

const char *cmd_folder(const struct options *options, const char *what, char *buf)
{
    if (options->output)
        return options->output;
    const char *slash = strrchr(options->argument, '/');
    const char *name = slash ? slash + 1 : options->argument;
    const char *dot = strrchr(name, '.');
    int length = (int)(dot && dot != name ? (size_t)(dot - name) : strlen(name));
    int n = snprintf(buf, PATH_MAX, "%.*s-%s", length, name, what);
    return n > 0 && n < PATH_MAX ? buf : NULL;
}

int cmd_close(struct cmd *cmd, hr_status status)
{
    if (cmd->diags && !cmd->reported)
        fputs(hr_diags_text(cmd->diags), errors());
    bool said = cmd->reported || (cmd->diags && hr_diags_errors(cmd->diags) > 0);
    if (!said && status != HR_OK &&
        !(status == HR_LIMIT && (cmd->plan || cmd->compare))) /* that is no failure */
        cmd_error("%s", hr_status_text(status));
    hr_compare_free(cmd->compare);
    hr_plan_free(cmd->plan);
    hr_garden_free(cmd->garden);
    hr_library_free(cmd->library);
    hr_diags_free(cmd->diags);
    return (int)status;
}
