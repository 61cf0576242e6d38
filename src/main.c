/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The program: a table of commands over libhillrow. */
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cmd.h"

static const struct command commands[] = {
    {
        .name = "new",
        .argument = "[NAME]",
        .line = "Write a commented starter garden file",
        .help = "Writes NAME.yaml (garden.yaml without a NAME), or to standard output when NAME is "
                "`-'. A file that is there is left alone.",
        .takes = TAKES_FORCE | TAKES_QUIET,
        .run = cmd_new,
    },
    {
        .name = "plan",
        .argument = "GARDEN",
        .line = "Decide what goes where; write plan, map and sheet",
        .help =
            "Reads a garden file, works out how many hills and rows of what go where, checks the "
            "plan again from the stations up, and writes plan.json, the map (map.png, further "
            "pages as map-2.png and so on, hills.png, map.pdf), "
            "the planting sheet (sheet.pdf, sheet.txt), the seed list (seed.csv), a calendar "
            "(calendar.ics) and a chart of the season (season.png, season.pdf). The files are "
            "replaced only when all are whole. Interrupted, it writes the best plan "
            "found so far.",
        .output = "DIR",
        .output_help = "Folder for the files, made when missing (default: the garden file's name "
                       "with -plan)",
        .takes = TAKES_CROPS | TAKES_JSON | TAKES_OUTPUT | TAKES_SOLVE | TAKES_EXPLAIN |
                 TAKES_DUMP | TAKES_QUIET,
        .run = cmd_plan,
    },
    {
        .name = "compare",
        .argument = "GARDEN",
        .line = "Hills or rows, here? Layouts held against each other",
        .help =
            "Plans the garden in hills, in separate rows, with the guild sown in rows, and freely, "
            "each at its own best; plants the hills over again in the other ways, the same plants "
            "on the same ground; and says how sure the difference is. Layouts of your own go under "
            "`compare' in the garden file. Writes compare.png, compare.pdf, compare.txt and "
            "compare.json; the files are replaced only when all are whole.",
        .output = "DIR",
        .output_help = "Folder for the files, made when missing (default: the garden file's name "
                       "with -compare)",
        .takes = TAKES_CROPS | TAKES_JSON | TAKES_OUTPUT | TAKES_SOLVE | TAKES_QUIET,
        .run = cmd_compare,
    },
    {
        .name = "check",
        .argument = "FILE",
        .line = "Check a garden file, or a plan against its garden",
        .help =
            "FILE is a garden file, or a plan.json: a plan is checked again from its stations up "
            "by code that shares nothing with the optimiser. Says what it understood. `hillrow "
            "--list-checks' lists the checks.",
        .takes = TAKES_CROPS | TAKES_JSON | TAKES_QUIET,
        .run = cmd_check,
    },
    {
        .name = "draw",
        .argument = "PLAN",
        .line = "Draw map, season or light of a plan again",
        .help =
            "PLAN is a plan.json, or the folder that holds it. A FILE that ends in .pdf has all "
            "pages; else each page is a picture of its own: FILE, FILE-2 and so on, and hills.png "
            "for how the hills are built.",
        .output = "FILE",
        .output_help = "The picture to write, a PDF if it ends so (default: map.png, season.png "
                       "or light.png beside the plan)",
        .takes = TAKES_CROPS | TAKES_OUTPUT | TAKES_QUIET | TAKES_PICTURE,
        .run = cmd_draw,
    },
    {
        .name = "sheet",
        .argument = "PLAN",
        .line = "Print the planting sheet of a plan again",
        .help = "PLAN is a plan.json, or the folder that holds it.",
        .output = "FILE",
        .output_help = "Write to FILE: by its ending the sheet on paper (.pdf), the seed list "
                       "(.csv), the calendar (.ics), else the sheet as text (default: standard "
                       "output)",
        .takes = TAKES_CROPS | TAKES_OUTPUT,
        .run = cmd_sheet,
    },
    {
        .name = "trial",
        .argument = "GARDEN",
        .line = "Lay out a fair test of hills against rows",
        .help = "Lays paired blocks of hills and rows out in a plot, equal in area, with guards, "
                "which half is which drawn by lot; says what difference they can tell, and writes "
                "trial.json, trial.png, trial.pdf, trial.txt and harvest.csv, a file to write the "
                "weights into. A harvest.csv that is there already is left alone.",
        .output = "DIR",
        .output_help = "Folder for the files, made when missing (default: the garden file's name "
                       "with -trial)",
        .takes = TAKES_CROPS | TAKES_JSON | TAKES_OUTPUT | TAKES_QUIET | TAKES_TRIAL,
        .run = cmd_trial,
    },
    {
        .name = "review",
        .argument = "LOG",
        .line = "What the harvest tells: estimate and scale, hills and rows",
        .help = "LOG is a CSV file with the columns date, station (or block), crop, weight, unit "
                "and note; it is only ever read. With --trial: treatments compared block by block; "
                "with --plan: what was weighed against what was expected; with neither, the log "
                "needs a column `treatment', and station is its block.",
        .takes = TAKES_CROPS | TAKES_JSON | TAKES_LOG,
        .run = cmd_review,
    },
    {
        .name = "crops",
        .argument = "[NAME]",
        .line = "The crop library: a list, or one crop with its sources",
        .help = "Without a NAME lists what there is; with one shows every figure of that crop or "
                "guild, how sure it is, and where it comes from.",
        .takes = TAKES_CROPS | TAKES_JSON,
        .run = cmd_crops,
    },
    {.name = NULL},
};

/* What was printed must have arrived, also where an option such as --help ends the program: a full
 * disk shows only here. */
static void stdout_finish(void)
{
    errno = 0;
    bool bad = ferror(stdout) != 0;
    if (fclose(stdout) == 0 && !bad)
        return;
    fprintf(stderr, "hillrow: cannot write to standard output%s%s\n", errno != 0 ? ": " : "",
            errno != 0 ? strerror(errno) : "");
    _exit(HR_IO);
}

/* A standard stream that the caller closed must not become one of our files: it is opened on
 * /dev/null the wrong way round, so that using it fails. */
static void streams_open(void)
{
    for (int fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++)
        if (fcntl(fd, F_GETFD) == -1 && errno == EBADF)
            (void)!open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY);
}

int main(int argc, char **argv)
{
    streams_open();
    signal(SIGXFSZ, SIG_IGN); /* a file over the limit is a write error to report, not a death */
    if (atexit(stdout_finish) != 0)
        return HR_BUG;
    return options_run(argc, argv, commands);
}
