/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * hillrow.h - the one public header of libhillrow.
 *
 * From a garden file to a plan, a map and a planting sheet:
 *
 *     hr_diags *d = hr_diags_new();
 *     hr_library *lib; hr_garden *g; hr_plan *p;
 *     hr_library_open("crops", d, &lib);         // crop and guild files
 *     hr_garden_read("my-plot.yaml", lib, d, &g); // reads and checks, reports everything wrong
 *     hr_plan_make(g, NULL, d, &p);              // the integer program, arranged and verified
 *     hr_plan_write(p, "out", d);                // plan.json, map, sheet, calendar, ...
 *
 * Contract: a function that can fail returns hr_status; its results come through pointers that
 * are left untouched on failure; the words go to an hr_diags. Nothing here prints, exits or
 * changes the locale. Handles are opaque; every hr_x_free(NULL) is fine. A handle borrows what
 * it was made from: free plans before gardens, gardens before libraries. Returned texts belong
 * to the handle they came from and live as long as it does.
 */
#ifndef HILLROW_H
#define HILLROW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#define HILLROW_VERSION     "0.1.0"
#define HILLROW_PLAN_FORMAT 1 /* the "hillrow" field of plan.json */

/* The value of each code is the exit status of the program. */
typedef enum hr_status {
    HR_OK = 0,
    HR_INPUT = 1,      /* the input is wrong; the diags say where */
    HR_USAGE = 2,      /* the call is wrong: an unknown name, a bad option */
    HR_INFEASIBLE = 3, /* no plan meets the gardener's terms; the diags name them */
    HR_LIMIT = 4,      /* a limit was hit: a plan is there, but it is not proved */
    HR_IO = 5,         /* a file cannot be read or written */
    HR_NOMEM = 6,      /* out of memory, or over the cap */
    HR_BUG = 70        /* a fault of the program */
} hr_status;

#define HR_CHECKED __attribute__((warn_unused_result))

/* One fixed sentence for a status, never NULL. */
const char *hr_status_text(hr_status status);

/* ---- what went wrong, with positions ------------------------------------------------------ */

typedef struct hr_diags hr_diags;

hr_diags *hr_diags_new(void); /* NULL when out of memory */
void hr_diags_free(hr_diags *diags);
size_t hr_diags_errors(const hr_diags *diags);
size_t hr_diags_warnings(const hr_diags *diags);
/* All of it, as `file:line:col: error: text [check-name]`, source line and caret. */
const char *hr_diags_text(hr_diags *diags);
/* The same as a JSON array of {file, line, column, severity, check, text}. */
const char *hr_diags_json(hr_diags *diags);

/* ---- the crop library --------------------------------------------------------------------- */

typedef struct hr_library hr_library;

/* dir: a folder of crop and guild files with sources.bib. HR_IO, HR_INPUT, HR_NOMEM. */
HR_CHECKED hr_status hr_library_open(const char *dir, hr_diags *diags, hr_library **out);
void hr_library_free(hr_library *library);
/* A table of what is there; json: the same as JSON. */
const char *hr_library_list(hr_library *library, bool json);
/* One crop or guild with every figure and its source; NULL when there is none of that name
 * (an error with the nearest name is added to diags). */
const char *hr_library_show(hr_library *library, const char *name, bool json, hr_diags *diags);

/* ---- the garden --------------------------------------------------------------------------- */

typedef struct hr_garden hr_garden;

/* Reads and checks; all errors are reported, not the first. HR_IO, HR_INPUT, HR_NOMEM. */
HR_CHECKED hr_status hr_garden_read(const char *path, const hr_library *library, hr_diags *diags,
                                    hr_garden **out);
void hr_garden_free(hr_garden *garden);
/* What was understood of the garden, in a few lines; json: the same as JSON. */
const char *hr_garden_summary(hr_garden *garden, bool json);
/* The zones its ground is cut into, the text that hr_plan_dump gives of "zones". */
const char *hr_garden_zones(hr_garden *garden);
/* A commented starter garden file. name: the garden's name or NULL. free() it; NULL: no memory. */
char *hr_garden_starter(const char *name);
/* Every field of a garden file: type, unit, range, default, meaning. Static text of the table. */
const char *hr_garden_fields(void);
/* The n-th named check and its one-line meaning, NULL past the end. */
const char *hr_check_name(size_t n, const char **doc);

/* ---- the plan ----------------------------------------------------------------------------- */

typedef struct hr_plan hr_plan;

typedef struct hr_plan_options {
    double time_limit_s; /* wall seconds for the optimiser; 0: the default, 60 */
    double gap;          /* stop when proved within this share of the bound; 0: the default, 0.02 */
    /* Called now and then while solving, may be NULL; true to stop early. Shares are fractions;
     * bound and value in the unit of the goal. */
    bool (*progress)(void *data, double seconds, double value, double bound);
    void *progress_data;
} hr_plan_options;

/* Optimises, arranges, places and verifies. HR_OK; HR_LIMIT with a plan that is not proved, or,
 * when the time was too short to find any, with *out untouched and an error in diags; HR_INFEASIBLE
 * (no plan; diags name the colliding terms); HR_NOMEM; HR_BUG. */
HR_CHECKED hr_status hr_plan_make(hr_garden *garden, const hr_plan_options *options,
                                  hr_diags *diags, hr_plan **out);
/* Reads a plan.json and the garden kept inside it. HR_IO, HR_INPUT, HR_NOMEM. */
HR_CHECKED hr_status hr_plan_read(const char *path, const hr_library *library, hr_diags *diags,
                                  hr_plan **out);
void hr_plan_free(hr_plan *plan);
/* Re-checks the plan against its garden with code that shares nothing with the optimiser.
 * HR_OK or HR_INPUT, each breach an error in diags. */
HR_CHECKED hr_status hr_plan_verify(hr_plan *plan, hr_diags *diags);
/* What goes where, food, gap, seconds; json: the plan.json text. */
const char *hr_plan_summary(hr_plan *plan, bool json);
/* Why crops and guilds to consider got no ground, and what a little more of what is short would
 * bring. NULL: no memory, or a plan read back, which has no menu. */
const char *hr_plan_explain(hr_plan *plan);
/* A deterministic text of a stage: "zones", "menu", "lp", "plan" or "scene"; NULL: no such stage,
 * or not kept (a plan read back has no menu and no lp). */
const char *hr_plan_dump(hr_plan *plan, const char *stage);
/* Writes plan.json, map.png, map.pdf, sheet.pdf, sheet.txt, seed.csv, calendar.ics, season.png and
 * season.pdf into dir (made when missing), each under a temporary name first and renamed when all
 * are whole, so a failed run leaves old files as they were. Further pages of the map are map-2.png,
 * map-3.png ..., how the hills are built is hills.png; those an earlier plan left in dir and this
 * one has no page for are removed in the same step. */
HR_CHECKED hr_status hr_plan_write(hr_plan *plan, const char *dir, hr_diags *diags);
/* The map alone, the chart of the season or the light map (the season's light on the ground of each
 * plot, of the site alone and with the plants) to a file: a PDF of all pages by its name, else a
 * PNG of each page: x.png, x-2.png ..., x-hills.png (of map.png: hills.png). */
HR_CHECKED hr_status hr_plan_draw(hr_plan *plan, const char *path, hr_diags *diags);
HR_CHECKED hr_status hr_plan_draw_light(hr_plan *plan, const char *path, hr_diags *diags);
HR_CHECKED hr_status hr_plan_draw_season(hr_plan *plan, const char *path, hr_diags *diags);
/* The sheet alone: by the name's ending on paper (.pdf), the seed list (.csv), the calendar (.ics),
 * else as text. */
HR_CHECKED hr_status hr_plan_sheet(hr_plan *plan, const char *path, hr_diags *diags);
/* The names of the files that one of the three wrote last: "a, b and c". */
const char *hr_plan_files(const hr_plan *plan);
/* The sheet as text. */
const char *hr_plan_sheet_text(hr_plan *plan);

/* ---- layouts compared --------------------------------------------------------------------- */

typedef struct hr_compare hr_compare;

/* Plans the garden in hills, in rows, as a row guild, freely and as its `compare` asks; options:
 * time_limit_s is for all plans together, 0: the default, 300. HR_OK; HR_LIMIT with a comparison of
 * which some plan is not proved. When fewer than two layouts can be planned, *out is untouched:
 * HR_INFEASIBLE, HR_INPUT or HR_LIMIT. HR_NOMEM; HR_BUG. */
HR_CHECKED hr_status hr_compare_make(hr_garden *garden, const hr_plan_options *options,
                                     hr_diags *diags, hr_compare **out);
void hr_compare_free(hr_compare *compare);
/* A table that ends in a verdict; json: the same as JSON. */
const char *hr_compare_text(hr_compare *compare, bool json);
/* Writes compare.png, compare.pdf, compare.txt and compare.json into dir, all or none. */
HR_CHECKED hr_status hr_compare_write(hr_compare *compare, const char *dir, hr_diags *diags);

/* ---- a trial of hills against rows, and what was harvested ---------------------------------- */

typedef struct hr_trial hr_trial;

typedef struct hr_trial_options { /* 0 or NULL: the default */
    double difference;            /* to be told, a share of the mean; 0.2 */
    double cv;                    /* of halves treated alike, a share; 0.15 */
    double power;                 /* chance to find such a difference; 0.8 */
    int blocks;                   /* paired blocks; as many as the difference takes, if they fit */
    unsigned long seed;           /* of the lot; from the garden's name */
    const char *plot, *guild;     /* names; the plot that serves best, the garden's first guild */
    bool row_guild; /* against the guild in rows, not its crops in rows of their own */
} hr_trial_options;

/* Lays out paired blocks in one plot. HR_INPUT; HR_INFEASIBLE: not one block fits, or not so many
 * as asked for; HR_NOMEM. A plot too small for the difference is a warning. */
HR_CHECKED hr_status hr_trial_make(hr_garden *garden, const hr_trial_options *options,
                                   hr_diags *diags, hr_trial **out);
void hr_trial_free(hr_trial *trial);
/* What is tested, and what it can tell; json: the trial.json text. */
const char *hr_trial_summary(hr_trial *trial, bool json);
/* Writes trial.json, trial.png, trial.pdf, trial.txt and harvest.csv into dir, all or none. A
 * harvest.csv that is there already is left alone: it may have been filled in. */
HR_CHECKED hr_status hr_trial_write(hr_trial *trial, const char *dir, hr_diags *diags);

typedef struct hr_review hr_review;

typedef struct hr_review_options {
    hr_plan *plan;     /* the plan whose harvest it is, or NULL */
    const char *trial; /* path of the trial.json whose harvest it is, or NULL */
    bool skip_bad;     /* use the good lines of a log that has bad ones */
} hr_review_options;

/* Reads a harvest log (CSV) and works out what it tells. With neither plan nor trial the log has a
 * column `treatment` of its own. HR_IO, HR_INPUT (unless skip_bad, every bad line is an error),
 * HR_NOMEM. The log is never written to. */
HR_CHECKED hr_status hr_review_make(const char *log, const hr_review_options *options,
                                    hr_diags *diags, hr_review **out);
void hr_review_free(hr_review *review);
const char *hr_review_text(hr_review *review, bool json);

#endif
