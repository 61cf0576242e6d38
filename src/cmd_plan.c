/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow plan: what goes where, and the files of the plan. */
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cmd.h"

#define QUIET_SECONDS 1.0 /* shorter runs show no progress */
#define SHOW_EVERY_S  0.2
#define TIME_LIMIT_S  60.0 /* the default of hr_plan_options */

static volatile sig_atomic_t interrupted;

static void interrupt(int signum)
{
    (void)signum;
    interrupted = 1;
}

/* The first signal asks for the best plan so far, a second one ends the program. */
static void interrupts_catch(void)
{
    struct sigaction action = {.sa_handler = interrupt, .sa_flags = (int)SA_RESETHAND};
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
}

struct progress {
    bool terminal;
    double shown_s; /* when the line was last written, 0: never */
};

static bool progress_show(void *data, double seconds, double value, double bound)
{
    struct progress *p = data;
    if (p->terminal && seconds >= QUIET_SECONDS && seconds - p->shown_s >= SHOW_EVERY_S) {
        double gap = bound > 0 && value > 0 ? 100 * (bound - value) / bound : 100;
        fprintf(stderr, "\r%4.0f s  best %.4g of at most %.4g, gap %.1f %%   ", seconds, value,
                bound, gap < 0 ? 0 : gap);
        p->shown_s = seconds;
    }
    return interrupted != 0;
}

static void progress_end(const struct progress *p)
{
    if (p->shown_s > 0)
        fprintf(stderr, "\r%60s\r", "");
}

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Where the files go when -o does not say: the garden file's name without folder and ending. */
static bool folder_default(char *buf, size_t cap, const char *garden)
{
    const char *slash = strrchr(garden, '/');
    const char *name = slash ? slash + 1 : garden;
    const char *dot = strrchr(name, '.');
    int length = (int)(dot && dot != name ? (size_t)(dot - name) : strlen(name));
    int n = snprintf(buf, cap, "%.*s-plan", length, name);
    return n > 0 && (size_t)n < cap;
}

static hr_status plan_solve(struct cmd *cmd)
{
    struct progress progress = {.terminal = isatty(STDERR_FILENO) != 0};
    const hr_plan_options options = {.time_limit_s = cmd->options->time_limit_s,
                                     .gap = cmd->options->gap,
                                     .progress = progress_show,
                                     .progress_data = &progress};
    hr_status status =
        hr_garden_read(cmd->options->argument, cmd->library, cmd->diags, &cmd->garden);
    if (status != HR_OK)
        return status;
    interrupts_catch();
    status = hr_plan_make(cmd->garden, &options, cmd->diags, &cmd->plan);
    progress_end(&progress);
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
    const char *dir = o->output;
    if (!dir && o->dump)
        return HR_OK;
    if (!dir) {
        if (!folder_default(folder, sizeof folder, o->argument))
            return HR_USAGE;
        dir = folder;
    }
    hr_status status = hr_plan_write(cmd->plan, dir, cmd->diags);
    if (status == HR_OK && !o->quiet && !o->json && !o->dump)
        printf("\nWrote %s to %s.\n", hr_plan_files(cmd->plan), dir);
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
        if (options->json)
            cmd_json_report(&cmd, status, NULL, NULL);
        return cmd_close(&cmd, status);
    }
    hr_status printed = plan_print(&cmd);
    hr_status written = printed == HR_OK ? plan_write(&cmd) : printed;
    if (status == HR_LIMIT && written == HR_OK)
        cmd_error("%s: this is the best plan found until then, and it is not proved",
                  interrupted                         ? "interrupted"
                  : seconds() - begin >= time_limit_s ? "out of time"
                                                      : "the search ends short of --gap");
    return cmd_close(&cmd, written == HR_OK ? status : written);
}
