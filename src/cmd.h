/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CMD_H
#define CMD_H
/* The commands: one file each, one row each in the table of main.c. */
#include "options.h"

/* The exit status of the program: 0 or a value of hr_status. */
int cmd_new(const struct options *options);
int cmd_plan(const struct options *options);
int cmd_check(const struct options *options);
int cmd_draw(const struct options *options);
int cmd_sheet(const struct options *options);
int cmd_compare(const struct options *options);
int cmd_trial(const struct options *options);
int cmd_review(const struct options *options);
int cmd_crops(const struct options *options);

/* What the commands share (cmd_common.c). */

/* What a command works with; the handles it made are freed by cmd_close. */
struct cmd {
    const struct options *options;
    hr_diags *diags;
    hr_library *library;
    hr_garden *garden;
    hr_plan *plan;
    hr_compare *compare;
    bool reported; /* the diagnostics are out */
};

/* Fills *cmd and opens the crop library. */
hr_status cmd_open(struct cmd *cmd, const struct options *options);
/* Reads the plan of a plan.json, or of the folder that holds it, into cmd->plan. */
hr_status cmd_plan_read(struct cmd *cmd, const char *path);
/* The file of that name a person means by a path: itself, or the one in a folder. Into buf; false:
 * too long. */
bool cmd_file_path(char *buf, size_t cap, const char *path, const char *name);
/* The plan.json a person means by a path: itself, or the one in a folder. Into buf; false: too
 * long. */
bool cmd_plan_path(char *buf, size_t cap, const char *path);
/* Prints, as one JSON object, how it went: {status, text, diagnostics} and, unless it is NULL, a
 * JSON text under the name `what`. The diagnostics then stand there and not on stderr. */
void cmd_json_report(struct cmd *cmd, hr_status status, const char *what, const char *text);
/* What went wrong goes to stderr, everything is freed: the exit status. */
int cmd_close(struct cmd *cmd, hr_status status);
/* Prints a text of the library to stdout; HR_NOMEM when there is none. */
hr_status cmd_print(const char *text);
/* From now on the first signal asks for the best plan so far, a second one ends the program. */
void cmd_interrupts_catch(void);
bool cmd_interrupted(void);
/* The line on a terminal while the optimiser works; its data must outlive the work. */
struct cmd_progress {
    bool terminal;
    double shown_s; /* when the line was last written, 0: never */
};
hr_plan_options cmd_progress_begin(struct cmd_progress *progress, const struct options *options);
void cmd_progress_end(const struct cmd_progress *progress);
/* Where the files go: as -o says, else the garden file's name without folder and ending, and what
 * they are. buf >= PATH_MAX may hold it. NULL: too long. */
const char *cmd_folder(const struct options *options, const char *what, char *buf);
/* An error of the command line itself. */
__attribute__((format(printf, 1, 2))) void cmd_error(const char *fmt, ...);

#endif
