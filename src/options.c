/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "options.h"

#include <argp.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "num.h"
#include "str.h"

#define TIME_LIMIT_MAX_S 86400.0
#define BLOCKS_MAX       60
#define SEED_MAX         999999999.0
#define GAP_LEAST        1e-9 /* `--gap 0`: a plan proved to be the best, up to rounding */

enum key {
    KEY_OUTPUT = 'o',
    KEY_QUIET = 'q',
    KEY_CROPS = 256, /* from here on without a letter */
    KEY_JSON,
    KEY_TIME_LIMIT,
    KEY_GAP,
    KEY_DUMP,
    KEY_FORCE,
    KEY_EXPLAIN,
    KEY_SEASON,
    KEY_LIGHT,
    KEY_DIFFERENCE,
    KEY_CV,
    KEY_POWER,
    KEY_BLOCKS,
    KEY_SEED,
    KEY_PLOT,
    KEY_GUILD,
    KEY_AGAINST,
    KEY_PLAN,
    KEY_TRIAL,
    KEY_SKIP_BAD,
    KEY_LIST_CHECKS,
    KEY_DESCRIBE
};

/* Every option once; `takes` 0: of the program itself. The words of -o are the command's own. */
static const struct {
    struct argp_option option;
    unsigned takes;
} rows[] = {
    {{"output", KEY_OUTPUT, NULL, 0, NULL, 0}, TAKES_OUTPUT},
    {{"season", KEY_SEASON, NULL, 0, "Draw the chart of the season instead of the map", 0},
     TAKES_PICTURE},
    {{"light", KEY_LIGHT, NULL, 0,
      "Draw the season's light on the ground, with and without the plants, instead of the map", 0},
     TAKES_PICTURE},
    {{"force", KEY_FORCE, NULL, 0, "Overwrite the file if it is there", 0}, TAKES_FORCE},
    {{"json", KEY_JSON, NULL, 0, "Print the result as JSON", 0}, TAKES_JSON},
    {{"quiet", KEY_QUIET, NULL, 0, "Print nothing but what is wrong", 0}, TAKES_QUIET},
    {{"time-limit", KEY_TIME_LIMIT, "SECONDS", 0,
      "Stop optimising after so long with the best plan found (default 60; of compare, for all "
      "plans "
      "together, 300)",
      0},
     TAKES_SOLVE},
    {{"gap", KEY_GAP, "SHARE", 0,
      "Stop when the plan is proved to be within this share of the best there can be (default 2%)",
      0},
     TAKES_SOLVE},
    {{"dump", KEY_DUMP, "STAGE", 0,
      "Print one stage of the work as text and write no files unless -o is given: zones, menu, lp, "
      "plan or scene",
      0},
     TAKES_DUMP},
    {{"explain", KEY_EXPLAIN, NULL, 0,
      "Say why crops got no ground, and what a little more of what is short would bring", 0},
     TAKES_EXPLAIN},
    {{"crops", KEY_CROPS, "DIR", 0,
      "Folder of the crop library (default: $HILLROW_CROPS, else the one that came with the "
      "program)",
      0},
     TAKES_CROPS},
    {{"difference", KEY_DIFFERENCE, "SHARE", 0,
      "The difference of hills and rows that the trial is to tell (default 20%)", 0},
     TAKES_TRIAL},
    {{"cv", KEY_CV, "SHARE", 0,
      "How much halves that are treated alike differ, as a coefficient of variation: 8% to 30% in "
      "gardens (default 15%)",
      0},
     TAKES_TRIAL},
    {{"power", KEY_POWER, "SHARE", 0,
      "The chance to find such a difference if it is there (default 80%)", 0},
     TAKES_TRIAL},
    {{"blocks", KEY_BLOCKS, "NUMBER", 0,
      "Lay out so many blocks (default: as many as the difference takes and the plot holds)", 0},
     TAKES_TRIAL},
    {{"seed", KEY_SEED, "NUMBER", 0,
      "Draw the lot from this number (default: one made from the garden's name)", 0},
     TAKES_TRIAL},
    {{"plot", KEY_PLOT, "NAME", 0, "Lay it out in this plot (default: the one that serves best)",
      0},
     TAKES_TRIAL},
    {{"guild", KEY_GUILD, "NAME", 0,
      "The guild to test (default: the first of the garden's `grow', else of the library, that "
      "fits "
      "the seed and the season)",
      0},
     TAKES_TRIAL},
    {{"against", KEY_AGAINST, "WHAT", 0,
      "What the hills are tested against: `rows', each crop in rows of its own (the default), or "
      "`row-guild', the guild sown in rows",
      0},
     TAKES_TRIAL},
    {{"plan", KEY_PLAN, "PLAN", 0, "The plan.json, or its folder, whose harvest the log is of", 0},
     TAKES_LOG},
    {{"trial", KEY_TRIAL, "TRIAL", 0, "The trial.json, or its folder, whose harvest the log is of",
      0},
     TAKES_LOG},
    {{"skip-bad", KEY_SKIP_BAD, NULL, 0, "Use the good lines of a log that has bad ones", 0},
     TAKES_LOG},
    {{"list-checks", KEY_LIST_CHECKS, NULL, 0, "List the names of all checks, and what each means",
      0},
     0},
    {{"describe", KEY_DESCRIBE, NULL, 0, "Describe every field of a garden file", 0}, 0},
};
#define NROWS (sizeof rows / sizeof rows[0])

static const char *const stages[] = {"zones", "menu", "lp", "plan", "scene"};
#define NSTAGES (sizeof stages / sizeof stages[0])

struct parse {
    const struct command *commands; /* of the program's own line */
    const struct command *command;  /* found there, or being read */
    int at;                         /* argv index of the command's name */
    struct options options;
};

/* The options of a command, or of the program (command NULL), ended by an empty row. */
static void options_of(const struct command *command, struct argp_option out[NROWS + 1])
{
    size_t n = 0;
    for (size_t i = 0; i < NROWS; i++) {
        if (command ? (rows[i].takes & command->takes) == 0 : rows[i].takes != 0)
            continue;
        out[n] = rows[i].option;
        if (command && out[n].key == KEY_OUTPUT) {
            out[n].arg = command->output;
            out[n].doc = command->output_help;
        }
        n++;
    }
    out[n] = (struct argp_option){0};
}

/* ---- where the crop library is ----------------------------------------------------------------
 */

static bool library_at(const char *dir)
{
    char path[PATH_MAX];
    int n = snprintf(path, sizeof path, "%s/sources.bib", dir);
    return n > 0 && (size_t)n < sizeof path && access(path, R_OK) == 0;
}

/* The library that came with the program: of its install, or of its source tree when it was not
 * installed; seen from where the program lies, so that a moved install finds its own. */
static bool library_beside(char out[PATH_MAX])
{
    static const char *const beside[] = {"../share/hillrow/crops", "../crops", "../../crops"};
    char program[PATH_MAX], dir[PATH_MAX + 32];
    ssize_t n = readlink("/proc/self/exe", program, sizeof program - 1);
    if (n <= 0)
        return false;
    program[n] = '\0';
    char *slash = strrchr(program, '/');
    if (!slash)
        return false;
    *slash = '\0';
    for (size_t i = 0; i < sizeof beside / sizeof beside[0]; i++) {
        snprintf(dir, sizeof dir, "%s/%s", program, beside[i]);
        if (library_at(dir) && realpath(dir, out))
            return true;
    }
    return false;
}

static void library_find(struct options *o)
{
    const char *set = getenv("HILLROW_CROPS");
    if (o->crops[0] != '\0')
        return;
    if (set && set[0] != '\0' && strlen(set) < sizeof o->crops)
        strcpy(o->crops, set);
    else if (!library_beside(o->crops))
        snprintf(o->crops, sizeof o->crops, "%s", HILLROW_CROPS_DIR);
}

/* ---- values of options ---------------------------------------------------------------------- */

/* A number >= 0 with nothing but, perhaps, a percent sign behind it. */
static bool number_read(const char *text, bool percent, double *out)
{
    double v;
    size_t used, n = strlen(text);
    if (!num_read(text, n, &v, &used) || v < 0)
        return false;
    while (text[used] == ' ')
        used++;
    if (percent && text[used] == '%') {
        v /= 100;
        used++;
    }
    *out = v;
    return used == n;
}

static void time_limit_read(const char *arg, struct argp_state *state, struct options *o)
{
    if (!number_read(arg, false, &o->time_limit_s) || o->time_limit_s <= 0 ||
        o->time_limit_s > TIME_LIMIT_MAX_S)
        argp_error(state, "--time-limit takes seconds, over 0 and up to %.0f, not `%s'",
                   TIME_LIMIT_MAX_S, arg);
}

static void gap_read(const char *arg, struct argp_state *state, struct options *o)
{
    if (!number_read(arg, true, &o->gap) || o->gap >= 1)
        argp_error(state, "--gap takes a share below 1 such as 0.01 or 1%%, not `%s'", arg);
    if (o->gap < GAP_LEAST)
        o->gap = GAP_LEAST;
}

static void dump_read(const char *arg, struct argp_state *state, struct options *o)
{
    for (size_t i = 0; i < NSTAGES; i++)
        if (strcmp(arg, stages[i]) == 0)
            o->dump = stages[i];
    if (!o->dump)
        argp_error(state, "there is no stage `%s': zones, menu, lp, plan, scene", arg);
}

static void crops_read(const char *arg, struct argp_state *state, struct options *o)
{
    if (arg[0] == '\0' || strlen(arg) >= sizeof o->crops)
        argp_error(state, "--crops takes a folder");
    else
        strcpy(o->crops, arg);
}

static void output_read(const char *arg, struct argp_state *state, struct options *o)
{
    if (arg[0] == '\0')
        argp_error(state, "-o takes a name");
    o->output = arg;
}

static void argument_read(char *arg, struct argp_state *state, struct parse *p)
{
    if (!p->command->argument)
        argp_error(state, "%s takes no argument", p->command->name);
    if (p->options.argument)
        argp_error(state, "one %s at a time, please: `%s' is one too many", p->command->argument,
                   arg);
    if (arg[0] == '\0')
        argp_error(state, "an empty name");
    p->options.argument = arg;
}

/* A share between 0 and `most`, with or without a percent sign. */
static void share_read(const char *name, const char *arg, double most, struct argp_state *state,
                       double *out)
{
    if (!number_read(arg, true, out) || *out <= 0 || *out >= most)
        argp_error(state, "--%s takes a share such as 0.2 or 20%%, not `%s'", name, arg);
}

/* A whole number from 1 to `most`. */
static double whole_read(const char *name, const char *arg, double most, struct argp_state *state)
{
    double v = 0;
    if (!number_read(arg, false, &v) || v < 1 || v > most || v != (double)(unsigned long)v)
        argp_error(state, "--%s takes a whole number from 1 to %.0f, not `%s'", name, most, arg);
    return v;
}

static void against_read(const char *arg, struct argp_state *state, struct options *o)
{
    o->trial.row_guild = str_same(arg, "row-guild");
    if (!o->trial.row_guild && !str_same(arg, "rows"))
        argp_error(state, "--against takes rows or row-guild, not `%s'", arg);
}

/* The options of trials and of reviews. */
static error_t trial_key(int key, const char *arg, struct argp_state *state, struct options *o)
{
    switch (key) {
    case KEY_DIFFERENCE:
        share_read("difference", arg, 10, state, &o->trial.difference);
        return 0;
    case KEY_CV:
        share_read("cv", arg, 10, state, &o->trial.cv);
        return 0;
    case KEY_POWER:
        share_read("power", arg, 1, state, &o->trial.power);
        return 0;
    case KEY_BLOCKS:
        o->trial.blocks = (int)whole_read("blocks", arg, BLOCKS_MAX, state);
        return 0;
    case KEY_SEED:
        o->trial.seed = (unsigned long)whole_read("seed", arg, SEED_MAX, state);
        return 0;
    case KEY_PLOT:
        o->trial.plot = arg;
        return 0;
    case KEY_GUILD:
        o->trial.guild = arg;
        return 0;
    case KEY_AGAINST:
        against_read(arg, state, o);
        return 0;
    case KEY_PLAN:
        o->of_plan = arg;
        return 0;
    case KEY_TRIAL:
        o->of_trial = arg;
        return 0;
    case KEY_SKIP_BAD:
        o->skip_bad = true;
        return 0;
    default:
        return ARGP_ERR_UNKNOWN;
    }
}

/* ---- one command ---------------------------------------------------------------------------- */

static error_t command_key(int key, char *arg, struct argp_state *state)
{
    struct parse *p = state->input;
    struct options *o = &p->options;
    switch (key) {
    case KEY_OUTPUT:
        output_read(arg, state, o);
        return 0;
    case KEY_QUIET:
        o->quiet = true;
        return 0;
    case KEY_JSON:
        o->json = true;
        return 0;
    case KEY_EXPLAIN:
        o->explain = true;
        return 0;
    case KEY_FORCE:
        o->force = true;
        return 0;
    case KEY_LIGHT:
        o->picture = PICTURE_LIGHT;
        return 0;
    case KEY_SEASON:
        o->picture = PICTURE_SEASON;
        return 0;
    case KEY_CROPS:
        crops_read(arg, state, o);
        return 0;
    case KEY_TIME_LIMIT:
        time_limit_read(arg, state, o);
        return 0;
    case KEY_GAP:
        gap_read(arg, state, o);
        return 0;
    case KEY_DUMP:
        dump_read(arg, state, o);
        return 0;
    case ARGP_KEY_ARG:
        argument_read(arg, state, p);
        return 0;
    case ARGP_KEY_NO_ARGS:
        if (p->command->argument && p->command->argument[0] != '[')
            argp_error(state, "which %s?", p->command->argument);
        return 0;
    default:
        return trial_key(key, arg, state, o);
    }
}

static int command_run(struct parse *p, int argc, char **argv)
{
    struct argp_option options[NROWS + 1];
    char name[64], doc[2048];
    const struct command *c = p->command;
    options_of(c, options);
    snprintf(name, sizeof name, "hillrow %s", c->name);
    snprintf(doc, sizeof doc, "%s.\v%s", c->line, c->help);
    const struct argp argp = {options, command_key, c->argument, doc, NULL, NULL, NULL};
    argv[0] = name;
    if (argp_parse(&argp, argc, argv, 0, NULL, p) != 0)
        return HR_USAGE;
    library_find(&p->options);
    return c->run(&p->options);
}

/* ---- the program's own line ------------------------------------------------------------------ */

static const struct command *command_find(const struct command *commands, const char *name)
{
    for (const struct command *c = commands; c->name; c++)
        if (strcmp(c->name, name) == 0)
            return c;
    return NULL;
}

static void command_unknown(const struct command *commands, const char *name,
                            struct argp_state *state)
{
    const char *names[32];
    size_t n = 0;
    while (n < sizeof names / sizeof names[0] && commands[n].name) {
        names[n] = commands[n].name;
        n++;
    }
    size_t near = str_nearest(name, names, n);
    if (near < n)
        argp_error(state, "there is no command `%s'; did you mean `%s'?", name, names[near]);
    else
        argp_error(state, "there is no command `%s'", name);
}

static void checks_list(void)
{
    const char *name, *doc;
    for (size_t i = 0; (name = hr_check_name(i, &doc)) != NULL; i++)
        printf("%-20s %s\n", name, doc);
}

static error_t program_key(int key, char *arg, struct argp_state *state)
{
    struct parse *p = state->input;
    switch (key) {
    case KEY_LIST_CHECKS:
        checks_list();
        exit(HR_OK);
    case KEY_DESCRIBE:
        fputs(hr_garden_fields(), stdout);
        exit(HR_OK);
    case ARGP_KEY_ARG:
        p->command = command_find(p->commands, arg);
        if (!p->command)
            command_unknown(p->commands, arg, state);
        p->at = state->next - 1;
        state->next = state->argc; /* the rest is the command's */
        return 0;
    case ARGP_KEY_NO_ARGS:
        argp_usage(state);
        return 0;
    default:
        return ARGP_ERR_UNKNOWN;
    }
}

/* The list of commands, as it stands in the program's help. */
static void commands_doc(const struct command *commands, char *out, size_t cap)
{
    size_t n = (size_t)snprintf(out, cap,
                                "Designs garden plots of crops grown together: how many hills and "
                                "rows of what go where, with a map and a planting sheet.\v"
                                "Commands:\n\n");
    for (const struct command *c = commands; c->name && n < cap; c++)
        n += (size_t)snprintf(out + n, cap - n, "  %-7s %-9s %s\n", c->name,
                              c->argument ? c->argument : "", c->line);
    if (n < cap)
        snprintf(
            out + n, cap - n,
            "\n`hillrow COMMAND --help' tells more. Exit status: 0 done, 1 input wrong, 2 usage, "
            "3 no plan meets the terms, 4 a plan, but not proved, 5 cannot read or write.");
}

int options_run(int argc, char **argv, const struct command *commands)
{
    struct argp_option options[NROWS + 1];
    char doc[4096];
    struct parse p = {.commands = commands};
    argp_program_version = "hillrow " HILLROW_VERSION;
    argp_err_exit_status = HR_USAGE;
    options_of(NULL, options);
    commands_doc(commands, doc, sizeof doc);
    const struct argp argp = {options, program_key, "COMMAND ...", doc, NULL, NULL, NULL};
    if (argp_parse(&argp, argc, argv, ARGP_IN_ORDER, NULL, &p) != 0 || !p.command)
        return HR_USAGE;
    return command_run(&p, argc - p.at, argv + p.at);
}
