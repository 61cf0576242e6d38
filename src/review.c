/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "review.h"

#include <math.h>
#include <string.h>

const char *const review_kinds[] = {"trial", "blocks", "plan"};
const char *const review_verdicts[] = {"inside", "below", "above"};

#define SOLE "sole"

enum review_verdict review_verdict(double kg, const struct span *expected)
{
    return kg < expected->low    ? VERDICT_BELOW
           : kg > expected->high ? VERDICT_ABOVE
                                 : VERDICT_INSIDE;
}

/* What was weighed, by treatment, block and crop. */
struct table {
    struct review *review;
    const char *blocks[REVIEW_BLOCKS_MAX];
    int nblocks;
    double *kg; /* of REVIEW_CROPS_MAX x treatments x blocks */
    bool *seen;
    bool skip_bad;
    struct diags *diags;
};

static size_t cell(int treatment, int block, int crop)
{
    return ((size_t)treatment * REVIEW_BLOCKS_MAX + (size_t)block) * REVIEW_CROPS_MAX +
           (size_t)crop;
}

static hr_status table_init(struct table *t, struct arena *arena, enum review_kind kind,
                            bool skip_bad, struct diags *diags)
{
    size_t n = cell(REVIEW_TREATMENTS_MAX, 0, 0);
    *t = (struct table){.review = ARENA_NEW(arena, struct review)};
    t->kg = ARENA_ARRAY(arena, double, n);
    t->seen = ARENA_ARRAY(arena, bool, n);
    t->skip_bad = skip_bad;
    t->diags = diags;
    if (!t->review || !t->kg || !t->seen)
        return HR_NOMEM;
    struct review *r = t->review;
    *r = (struct review){.arena = arena, .kind = kind, .title = "", .id = ""};
    r->tests = ARENA_ARRAY(arena, struct review_test, REVIEW_CROPS_MAX + 2);
    r->estimates =
        ARENA_ARRAY(arena, struct review_estimate, REVIEW_CROPS_MAX * REVIEW_TREATMENTS_MAX);
    return r->tests && r->estimates ? HR_OK : HR_NOMEM;
}

static void table_add(struct table *t, int treatment, int block, int crop, double kg)
{
    t->kg[cell(treatment, block, crop)] += kg;
    t->seen[cell(treatment, block, crop)] = true;
    t->review->rows++;
}

/* Index of a name in a list; a new one is added when there is room, -1 when not. */
static int name_index(const char **names, int *n, int cap, const char *name)
{
    for (int i = 0; i < *n; i++)
        if (str_same(names[i], name))
            return i;
    if (*n == cap)
        return -1;
    names[*n] = name;
    return (*n)++;
}

/* ---- tests ---------------------------------------------------------------------------------- */

/* A value of a treatment in a block; false: it was not weighed. */
typedef bool (*value_of)(const struct table *t, const void *data, int treatment, int block,
                         double *value);

static bool crop_value(const struct table *t, const void *data, int treatment, int block,
                       double *value)
{
    size_t i = cell(treatment, block, *(const int *)data);
    *value = t->kg[i];
    return t->seen[i];
}

/* Takes the blocks in which every treatment has a value into y, as stats_anova_blocks wants it. */
static int complete_blocks(const struct table *t, struct review_test *test, value_of value,
                           const void *data, double *y)
{
    int n = 0;
    for (int pass = 0; pass < 2; pass++) {
        int b = 0;
        for (int block = 0; block < t->nblocks; block++) {
            int have = 0;
            double v;
            for (int k = 0; k < test->ntreatments; k++)
                have += value(t, data, test->treatments[k], block, &v);
            if (have < test->ntreatments) {
                test->short_blocks += pass == 0 && have > 0;
                continue;
            }
            for (int k = 0; pass == 1 && k < test->ntreatments; k++)
                value(t, data, test->treatments[k], block, &y[k * n + b]);
            b++;
        }
        n = b;
    }
    return n;
}

/* Compares the treatments of `test`; one that was weighed nowhere is taken out first. */
static hr_status test_run(struct table *t, struct review_test *test, value_of value,
                          const void *data)
{
    size_t most = (size_t)REVIEW_TREATMENTS_MAX * REVIEW_BLOCKS_MAX;
    double *y = ARENA_ARRAY(t->review->arena, double, most);
    double *d = ARENA_ARRAY(t->review->arena, double, REVIEW_BLOCKS_MAX);
    if (!y || !d)
        return HR_NOMEM;
    int kept = 0;
    for (int k = 0; k < test->ntreatments; k++) {
        bool any = false;
        double v;
        for (int b = 0; b < t->nblocks && !any; b++)
            any = value(t, data, test->treatments[k], b, &v);
        if (any)
            test->treatments[kept++] = test->treatments[k];
    }
    test->ntreatments = kept;
    int n = test->blocks = complete_blocks(t, test, value, data, y);
    for (int k = 0; k < test->ntreatments; k++)
        test->means[k] = stats_mean(y + k * n, (size_t)n);
    test->has_anova = stats_anova_blocks(y, test->ntreatments, n, REVIEW_ALPHA, &test->anova);
    for (int b = 0; test->ntreatments == 2 && b < n; b++)
        d[b] = y[b] - y[n + b];
    test->has_paired = test->ntreatments == 2 && stats_paired(d, n, REVIEW_ALPHA, &test->paired);
    if (test->ntreatments > 0)
        t->review->tests[t->review->ntests++] = *test;
    return HR_OK;
}

/* A test of all treatments but the one called "sole". */
static struct review_test test_of(const struct table *t, const char *what)
{
    struct review_test test = {.what = what};
    for (int k = 0; k < t->review->ntreatments; k++)
        if (!str_same(t->review->treatments[k], SOLE))
            test.treatments[test.ntreatments++] = k;
    return test;
}

static hr_status crop_tests(struct table *t)
{
    hr_status status = HR_OK;
    for (int c = 0; c < t->review->ncrops && status == HR_OK; c++) {
        struct review_test test = test_of(t, t->review->crops[c]);
        status = test_run(t, &test, crop_value, &c);
    }
    return status;
}

/* ---- land equivalents ----------------------------------------------------------------------- */

/* What a crop gives by itself on the ground that the mixtures have, kg; 0: not known. */
struct soles {
    double kg[REVIEW_CROPS_MAX];
};

static bool ler_value(const struct table *t, const void *data, int treatment, int block,
                      double *value)
{
    const struct soles *soles = data;
    bool any = false;
    *value = 0;
    for (int c = 0; c < t->review->ncrops; c++) {
        size_t i = cell(treatment, block, c);
        if (!t->seen[i])
            continue;
        if (!(soles->kg[c] > 0))
            return false;
        any = true;
        *value += t->kg[i] / soles->kg[c];
    }
    return any;
}

/* Mean over the blocks where it was weighed; 0: nowhere. */
static double mean_of(const struct table *t, int treatment, int crop, int *n)
{
    double sum = 0;
    *n = 0;
    for (int b = 0; b < t->nblocks; b++)
        if (t->seen[cell(treatment, b, crop)]) {
            sum += t->kg[cell(treatment, b, crop)];
            (*n)++;
        }
    return *n > 0 ? sum / *n : 0;
}

/* Of a treatment, in the blocks where all crops it has anywhere were weighed. */
static void ler_add(struct table *t, const struct soles *soles, int treatment)
{
    struct review *r = t->review;
    struct review_ler ler = {.treatment = treatment};
    double values[REVIEW_BLOCKS_MAX];
    int grown = 0;
    for (int c = 0; c < r->ncrops; c++) {
        int n;
        double mean = mean_of(t, treatment, c, &n);
        grown += n > 0;
        if (n > 0 && !(soles->kg[c] > 0))
            return;
        ler.partial[c] = n > 0 ? mean / soles->kg[c] : 0;
    }
    for (int b = 0; b < t->nblocks; b++) {
        int here = 0;
        for (int c = 0; c < r->ncrops; c++)
            here += t->seen[cell(treatment, b, c)];
        if (here == grown && ler_value(t, soles, treatment, b, &values[ler.blocks]))
            ler.blocks++;
    }
    if (grown == 0 || ler.blocks == 0)
        return;
    struct stats_paired spread;
    ler.ler = stats_mean(values, (size_t)ler.blocks);
    ler.has_interval = stats_paired(values, ler.blocks, REVIEW_ALPHA, &spread);
    ler.low = ler.has_interval ? spread.low : 0;
    ler.high = ler.has_interval ? spread.high : 0;
    r->lers[r->nlers++] = ler;
}

/* ---- a trial -------------------------------------------------------------------------------- */

static bool energy_value(const struct table *t, const void *data, int treatment, int block,
                         double *value)
{
    const struct trial *trial = data;
    *value = 0;
    for (int c = 0; c < trial->ncrops; c++) {
        if (!t->seen[cell(treatment, block, c)])
            return false;
        *value += t->kg[cell(treatment, block, c)] * trial->crops[c].energy_kcal_kg;
    }
    return true;
}

static const struct trial_half *half_named(const struct trial *trial, const char *name)
{
    for (int i = 0; i < 2 * trial->blocks; i++)
        if (str_same(trial->halves[i].name, name))
            return &trial->halves[i];
    return NULL;
}

static int trial_crop_named(const struct trial *trial, const char *name)
{
    for (int k = 0; k < trial->ncrops; k++)
        if (str_same(trial->crops[k].crop, name) || str_same(trial->crops[k].variety, name))
            return k;
    return -1;
}

static void trial_row(struct table *t, const struct trial *trial, struct weighing *row)
{
    const struct trial_half *half = half_named(trial, row->place);
    int crop = trial_crop_named(trial, row->crop);
    if (!half)
        harvest_fault(row, t->skip_bad, t->diags, row->place_at, "log-place",
                      "the trial has no half `%.80s`: they are called %s, %s and so on", row->place,
                      trial->halves[0].name, trial->halves[1].name);
    if (crop < 0)
        harvest_fault(row, t->skip_bad, t->diags, row->crop_at, "log-crop",
                      "`%.80s` is not in the trial", row->crop);
    if (half && crop >= 0)
        table_add(t, half->treatment, half->block, crop, row->kg);
}

static void trial_estimates(struct table *t, const struct trial *trial)
{
    struct review *r = t->review;
    for (int treatment = 0; treatment < TREATMENT_COUNT; treatment++)
        for (int c = 0; c < trial->ncrops; c++) {
            struct review_estimate e = {.crop = c, .treatment = treatment, .share = 1};
            e.kg = mean_of(t, treatment, c, &e.halves);
            e.expected = trial->crops[c].kg[treatment];
            e.verdict = review_verdict(e.kg, &e.expected);
            if (e.halves > 0)
                r->estimates[r->nestimates++] = e;
        }
}

/* Every crop in both treatments. */
static bool block_whole(const struct table *t, const struct trial *trial, int block)
{
    double value;
    return energy_value(t, trial, TREATMENT_HILLS, block, &value) &&
           energy_value(t, trial, TREATMENT_ROWS, block, &value);
}

/* The rows hold each crop by itself on its share of the net ground, so the ratio is the sum of
 * share x mean in hills / mean in rows over the crops. Rows vary as hills do: the interval is that
 * of the ratio's linear part (delta method), block by block. */
static void trial_ler(struct table *t, const struct trial *trial)
{
    struct review_ler ler = {.treatment = TREATMENT_HILLS};
    double hills[STAND_PARTS_MAX] = {0}, rows[STAND_PARTS_MAX] = {0}, values[TRIAL_BLOCKS_MAX];
    for (int b = 0; b < t->nblocks; b++) {
        if (!block_whole(t, trial, b))
            continue;
        ler.blocks++;
        for (int c = 0; c < trial->ncrops; c++) {
            hills[c] += t->kg[cell(TREATMENT_HILLS, b, c)];
            rows[c] += t->kg[cell(TREATMENT_ROWS, b, c)];
        }
    }
    for (int c = 0; c < trial->ncrops; c++) {
        if (!(rows[c] > 0))
            return;
        ler.partial[c] = trial->crops[c].share * hills[c] / rows[c];
        ler.ler += ler.partial[c];
    }
    int n = 0;
    for (int b = 0; b < t->nblocks; b++) {
        if (!block_whole(t, trial, b))
            continue;
        values[n] = ler.ler;
        for (int c = 0; c < trial->ncrops; c++) {
            double h = t->kg[cell(TREATMENT_HILLS, b, c)], r = t->kg[cell(TREATMENT_ROWS, b, c)];
            values[n] +=
                trial->crops[c].share * ler.blocks * (h - hills[c] / rows[c] * r) / rows[c];
        }
        n++;
    }
    struct stats_paired spread;
    ler.has_interval = stats_paired(values, n, REVIEW_ALPHA, &spread);
    ler.low = ler.has_interval ? spread.low : 0;
    ler.high = ler.has_interval ? spread.high : 0;
    t->review->lers[t->review->nlers++] = ler;
}

hr_status review_lines(struct review *r, const struct harvest *log, bool skip_bad,
                       struct diags *diags)
{
    for (size_t i = 0; i < log->n; i++)
        r->skipped += log->rows[i].bad;
    if (r->skipped > 0 && !skip_bad) {
        diag_note(diags, (struct pos){0},
                  "nothing was worked out; with --skip-bad the other lines are used");
        return HR_INPUT;
    }
    if (r->rows > 0)
        return HR_OK;
    diag_file(diags, log->src->name, "log-empty", "the log has no line that can be used");
    return HR_INPUT;
}

hr_status review_trial(struct arena *arena, struct harvest *log, const struct trial *trial,
                       bool skip_bad, struct diags *diags, struct review **out)
{
    struct table t;
    hr_status status = table_init(&t, arena, REVIEW_TRIAL, skip_bad, diags);
    if (status != HR_OK)
        return status;
    struct review *r = t.review;
    r->units = trial->units;
    r->title = trial->title;
    r->id = trial->id;
    r->net_m2 = trial->net_length_m * trial->net_depth_m;
    r->cv = trial->cv;
    t.nblocks = trial->blocks;
    for (int i = 0; i < TREATMENT_COUNT; i++)
        r->treatments[r->ntreatments++] = treatment_names[i];
    for (int c = 0; c < trial->ncrops; c++)
        r->crops[r->ncrops++] = trial->crops[c].crop;
    for (size_t i = 0; i < log->n; i++)
        if (!log->rows[i].bad)
            trial_row(&t, trial, &log->rows[i]);
    status = review_lines(t.review, log, skip_bad, diags);
    if (status != HR_OK)
        return status;
    struct review_test energy = test_of(&t, "food energy");
    energy.quantity = QUANTITY_ENERGY;
    status = test_run(&t, &energy, energy_value, trial);
    if (status == HR_OK)
        status = crop_tests(&t);
    if (status != HR_OK)
        return status;
    if (!trial->row_guild)
        trial_ler(&t, trial);
    trial_estimates(&t, trial);
    *out = r;
    return HR_OK;
}

/* ---- blocks of the log's own ---------------------------------------------------------------- */

static void block_row(struct table *t, struct weighing *row)
{
    struct review *r = t->review;
    if (*row->treatment == '\0') {
        harvest_fault(row, t->skip_bad, t->diags, row->treatment_at, "log-treatment",
                      "the treatment is missing");
        return;
    }
    int treatment =
        name_index(r->treatments, &r->ntreatments, REVIEW_TREATMENTS_MAX, row->treatment);
    int block = name_index(t->blocks, &t->nblocks, REVIEW_BLOCKS_MAX, row->place);
    int crop = name_index(r->crops, &r->ncrops, REVIEW_CROPS_MAX, row->crop);
    if (treatment < 0)
        harvest_fault(row, t->skip_bad, t->diags, row->treatment_at, "log-treatment",
                      "more than %d treatments", REVIEW_TREATMENTS_MAX);
    if (block < 0)
        harvest_fault(row, t->skip_bad, t->diags, row->place_at, "log-place", "more than %d blocks",
                      REVIEW_BLOCKS_MAX);
    if (crop < 0)
        harvest_fault(row, t->skip_bad, t->diags, row->crop_at, "log-crop", "more than %d crops",
                      REVIEW_CROPS_MAX);
    if (treatment >= 0 && block >= 0 && crop >= 0)
        table_add(t, treatment, block, crop, row->kg);
}

static hr_status block_lers(struct table *t)
{
    struct review *r = t->review;
    struct soles soles = {{0}};
    int sole = -1, n;
    for (int k = 0; k < r->ntreatments; k++)
        if (str_same(r->treatments[k], SOLE))
            sole = k;
    if (sole < 0)
        return HR_OK;
    for (int c = 0; c < r->ncrops; c++)
        soles.kg[c] = mean_of(t, sole, c, &n);
    for (int k = 0; k < r->ntreatments; k++)
        if (k != sole)
            ler_add(t, &soles, k);
    struct review_test test = test_of(t, "LER");
    test.quantity = QUANTITY_RATIO;
    return r->nlers > 1 ? test_run(t, &test, ler_value, &soles) : HR_OK;
}

hr_status review_blocks(struct arena *arena, struct harvest *log, bool skip_bad,
                        struct diags *diags, struct review **out)
{
    struct table t;
    hr_status status = table_init(&t, arena, REVIEW_BLOCKS, skip_bad, diags);
    if (status != HR_OK)
        return status;
    t.review->units = UNITS_METRIC;
    for (size_t i = 0; i < log->n; i++)
        if (!log->rows[i].bad)
            block_row(&t, &log->rows[i]);
    status = review_lines(t.review, log, skip_bad, diags);
    if (status == HR_OK)
        status = crop_tests(&t);
    if (status == HR_OK)
        status = block_lers(&t);
    if (status == HR_OK)
        *out = t.review;
    return status;
}
