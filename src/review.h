/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REVIEW_H
#define REVIEW_H
/* What a harvest tells: treatments compared block by block, land equivalent ratios, estimates
 * against weights. */
#include "harvest.h"
#include "plan.h"
#include "stats.h"
#include "trial.h"

#define REVIEW_TREATMENTS_MAX 16
#define REVIEW_BLOCKS_MAX     400
#define REVIEW_CROPS_MAX      16
#define REVIEW_ALPHA          0.05

enum review_kind { REVIEW_TRIAL, REVIEW_BLOCKS, REVIEW_PLAN };
extern const char *const review_kinds[]; /* "trial" "blocks" "plan" */

/* One quantity, compared between treatments. */
struct review_test {
    const char *what; /* "food energy", a crop, or "LER" */
    enum { QUANTITY_MASS, QUANTITY_ENERGY, QUANTITY_RATIO } quantity; /* kg, kcal, 1 */
    int ntreatments, treatments[REVIEW_TREATMENTS_MAX]; /* indices in review->treatments */
    double means[REVIEW_TREATMENTS_MAX];
    int blocks;       /* in which all treatments were weighed */
    int short_blocks; /* in which some were: left out */
    bool has_anova, has_paired;
    struct stats_anova anova;
    struct stats_paired paired; /* first treatment less second, where there are two */
};

/* Land equivalent ratio of one treatment, by the mean yields of the crops by themselves. */
struct review_ler {
    int treatment;
    double partial[REVIEW_CROPS_MAX]; /* by review->crops, 0 where it does not grow */
    double ler;
    int blocks; /* 0: not replicated */
    bool has_interval;
    double low, high;
};

enum review_verdict { VERDICT_INSIDE, VERDICT_BELOW, VERDICT_ABOVE };
extern const char *const review_verdicts[]; /* "inside" "below" "above" */

struct review_estimate {
    int crop, treatment; /* treatment -1: of the whole plan */
    double kg;           /* weighed: mean of a half, or sum of the plan's places weighed */
    struct span expected;
    double share; /* of what the plan expects of the crop, that the places weighed stand for */
    int halves;   /* weighed, of a trial */
    enum review_verdict verdict;
};

/* What a plan's places gave on their ground: one crop in one system. */
struct review_yield {
    int crop, system;
    double kg, area_m2; /* ground of the planting that holds it */
};

struct review {
    struct arena *arena;
    enum review_kind kind;
    enum unit_system units;
    const char *title, *id; /* "" when there is neither plan nor trial */
    int rows, skipped;      /* lines used, lines left out as bad */
    const char *treatments[REVIEW_TREATMENTS_MAX];
    int ntreatments;
    const char *crops[REVIEW_CROPS_MAX];
    int ncrops;
    struct review_test *tests;
    int ntests;
    struct review_ler lers[REVIEW_TREATMENTS_MAX];
    int nlers;
    struct review_estimate *estimates;
    int nestimates;
    struct review_yield *yields;
    int nyields;
    double net_m2; /* of a half of a trial, else 0 */
    double cv;     /* that the trial reckoned with, else 0 */
};

/* Each reports what the log says wrongly: [log-place], [log-crop], [log-treatment], as warnings
 * with the line left out when skip_bad. HR_INPUT, HR_NOMEM. */
HR_CHECKED hr_status review_trial(struct arena *arena, struct harvest *log,
                                  const struct trial *trial, bool skip_bad, struct diags *diags,
                                  struct review **out);
/* Of a log with treatments of its own: its places are blocks, the ground of every treatment in
 * every block is alike; a treatment called "sole" holds the crops by themselves, on as much ground
 * each, and is what land equivalents are measured by. */
HR_CHECKED hr_status review_blocks(struct arena *arena, struct harvest *log, bool skip_bad,
                                   struct diags *diags, struct review **out);
HR_CHECKED hr_status review_plan(struct arena *arena, struct harvest *log, const struct plan *plan,
                                 bool skip_bad, struct diags *diags, struct review **out);
/* Counts the lines left out; HR_INPUT when that is not allowed, or leaves nothing [log-empty]. */
HR_CHECKED hr_status review_lines(struct review *r, const struct harvest *log, bool skip_bad,
                                  struct diags *diags);
/* Where a weight lies by an estimate's range. */
enum review_verdict review_verdict(double kg, const struct span *expected);

#endif
