/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OPTIONS_H
#define OPTIONS_H
/* The command line (argp, only here): one table of options, of which each command takes some. */
#include <limits.h>
#include <stdbool.h>
#include "hillrow.h"

/* What `draw' draws: an option each, but the first. */
enum picture { PICTURE_MAP, PICTURE_SEASON, PICTURE_LIGHT };

/* What a command line said. */
struct options {
    const char *argument;     /* the file or name, NULL when none was given */
    const char *output;       /* -o, NULL: the command's default */
    const char *dump;         /* a stage, NULL: none */
    double time_limit_s, gap; /* 0: the library's default */
    bool json, quiet, force, explain;
    enum picture picture;
    hr_trial_options trial;         /* of `trial` */
    const char *of_plan, *of_trial; /* of `review`: the files it belongs to */
    bool skip_bad;
    char crops[PATH_MAX]; /* folder of the crop library */
};

/* Which options a command takes. */
enum option_set {
    TAKES_CROPS = 1 << 0,
    TAKES_JSON = 1 << 1,
    TAKES_OUTPUT = 1 << 2,
    TAKES_SOLVE = 1 << 3,    /* --time-limit, --gap */
    TAKES_EXPLAIN = 1 << 12, /* --explain */
    TAKES_DUMP = 1 << 4,
    TAKES_QUIET = 1 << 5,
    TAKES_FORCE = 1 << 6,
    TAKES_PICTURE = 1 << 7, /* --season, --light */
    TAKES_TRIAL = 1 << 10,  /* what a trial is to tell, and how it is drawn */
    TAKES_LOG = 1 << 11     /* --plan, --trial, --skip-bad */
};

struct command {
    const char *name;
    const char *argument; /* "GARDEN", or "[NAME]" when it may be left out; NULL: takes none */
    const char *line;     /* what it does, in the list of commands */
    const char *help;     /* the rest of its help */
    const char *output;   /* what -o names: "DIR" or "FILE" */
    const char *output_help;
    unsigned takes; /* of enum option_set */
    int (*run)(const struct options *options);
};

/* Reads the command line, and runs the command it names: the exit status. A wrong command line ends
 * the program with HR_USAGE; so do --help and --version with 0. commands: ended by a row without a
 * name. */
int options_run(int argc, char **argv, const struct command *commands);

#endif
