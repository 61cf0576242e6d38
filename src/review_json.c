/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "review_json.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>

#include "num.h"

#define REAL_DIGITS 15
#define SIGNIFICANT 12

static json_t *real(double v)
{
    return isfinite(v) ? json_real(num_round_sig(v, SIGNIFICANT) + 0.0) : json_null();
}

static json_t *span_json(const struct span *s)
{
    return json_pack("{s:o, s:o, s:o}", "low", real(s->low), "typical", real(s->typ), "high",
                     real(s->high));
}

static json_t *anova_json(const struct stats_anova *a)
{
    return json_pack("{s:i, s:i, s:i, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "df_block",
                     a->df_block, "df_treatment", a->df_treatment, "df_error", a->df_error,
                     "ss_block", real(a->ss_block), "ss_treatment", real(a->ss_treatment),
                     "ss_error", real(a->ss_error), "ms_error", real(a->ms_error), "f", real(a->f),
                     "p", real(a->p), "cv", real(a->cv), "lsd", real(a->lsd));
}

static json_t *paired_json(const struct stats_paired *p)
{
    return json_pack("{s:i, s:o, s:o, s:o, s:i, s:o, s:o, s:o}", "n", p->n, "mean", real(p->mean),
                     "sd", real(p->sd), "t", real(p->t), "df", p->df, "p", real(p->p), "low",
                     real(p->low), "high", real(p->high));
}

static json_t *tests_json(const struct review *r)
{
    static const char *const units[] = {"kg", "kcal", "1"};
    json_t *all = json_array();
    for (int i = 0; i < r->ntests; i++) {
        const struct review_test *t = &r->tests[i];
        json_t *means = json_object();
        for (int k = 0; k < t->ntreatments; k++)
            json_object_set_new(means, r->treatments[t->treatments[k]], real(t->means[k]));
        json_array_append_new(
            all,
            json_pack("{s:s, s:s, s:i, s:i, s:o, s:o, s:o}", "what", t->what, "unit",
                      units[t->quantity], "blocks", t->blocks, "blocks_not_whole", t->short_blocks,
                      "means", means, "anova", t->has_anova ? anova_json(&t->anova) : json_null(),
                      "paired", t->has_paired ? paired_json(&t->paired) : json_null()));
    }
    return all;
}

static json_t *lers_json(const struct review *r)
{
    json_t *all = json_array();
    for (int i = 0; i < r->nlers; i++) {
        const struct review_ler *l = &r->lers[i];
        json_t *partial = json_object();
        for (int c = 0; c < r->ncrops; c++)
            if (l->partial[c] > 0)
                json_object_set_new(partial, r->crops[c], real(l->partial[c]));
        json_array_append_new(all, json_pack("{s:s, s:o, s:o, s:o, s:o, s:i}", "treatment",
                                             r->treatments[l->treatment], "ler", real(l->ler),
                                             "low", l->has_interval ? real(l->low) : json_null(),
                                             "high", l->has_interval ? real(l->high) : json_null(),
                                             "partial", partial, "blocks", l->blocks));
    }
    return all;
}

static json_t *estimates_json(const struct review *r)
{
    json_t *all = json_array();
    for (int i = 0; i < r->nestimates; i++) {
        const struct review_estimate *e = &r->estimates[i];
        json_array_append_new(
            all,
            json_pack("{s:s, s:o, s:o, s:o, s:o, s:s}", "crop", r->crops[e->crop], "treatment",
                      e->treatment < 0 ? json_null() : json_string(r->treatments[e->treatment]),
                      "weighed_kg", real(e->kg), "expected_kg", span_json(&e->expected), "share",
                      real(e->share), "verdict", review_verdicts[e->verdict]));
    }
    return all;
}

static json_t *yields_json(const struct review *r)
{
    json_t *all = json_array();
    for (int i = 0; i < r->nyields; i++) {
        const struct review_yield *y = &r->yields[i];
        json_array_append_new(all, json_pack("{s:s, s:s, s:o, s:o}", "crop", r->crops[y->crop],
                                             "system", r->treatments[y->system], "kg", real(y->kg),
                                             "ground_m2", real(y->area_m2)));
    }
    return all;
}

hr_status review_json(const struct review *r, struct arena *arena, const char **out)
{
    json_t *root = json_pack(
        "{s:s, s:s, s:s, s:i, s:i, s:o, s:o, s:o, s:o}", "kind", review_kinds[r->kind], "garden",
        r->title, "id", r->id, "weighings", r->rows, "left_out", r->skipped, "tests", tests_json(r),
        "ler", lers_json(r), "estimates", estimates_json(r), "yields", yields_json(r));
    char *text = root ? json_dumps(root, JSON_INDENT(1) | JSON_REAL_PRECISION(REAL_DIGITS)) : NULL;
    const char *kept = text ? arena_strdup(arena, text) : NULL;
    free(text);
    json_decref(root);
    if (!kept)
        return HR_NOMEM;
    *out = kept;
    return HR_OK;
}
