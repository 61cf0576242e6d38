/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "review_text.h"

#include <math.h>
#include <string.h>

#include "num.h"

#define COLUMNS 80
#define NAME    22 /* columns for a name */
#define LB_KG   0.45359237

/* A number as it is shown: six significant digits at most, grouped by nobody. */
static const char *digits(char buf[64], double v, int significant)
{
    return num_text(buf, 64, num_round_sig(v, significant));
}

/* What a quantity is shown in. */
struct scale {
    double by;
    const char *unit;
    int digits;
};

static struct scale scale_of(const struct review *r, const struct review_test *t)
{
    int digits = r->kind == REVIEW_TRIAL ? 4 : 6; /* a kitchen scale has no more */
    if (t->quantity == QUANTITY_ENERGY)
        return (struct scale){1, " kcal", digits};
    if (t->quantity == QUANTITY_RATIO)
        return (struct scale){1, "", digits};
    return r->units == UNITS_US ? (struct scale){1 / LB_KG, " lb", digits}
                                : (struct scale){1, " kg", digits};
}

static void paragraph(struct strbuf *out, size_t indent, const char *text)
{
    if (!text) {
        out->failed = true;
        return;
    }
    strbuf_pad(out, "", indent);
    strbuf_wrap(out, text, COLUMNS, indent, indent);
}

static void head(const struct review *r, struct strbuf *out)
{
    if (r->kind == REVIEW_TRIAL)
        strbuf_printf(out, "%s: harvest of trial %s\n", r->title, r->id);
    else if (r->kind == REVIEW_PLAN)
        strbuf_printf(out, "%s: harvest of plan %s\n", r->title, r->id);
    else
        strbuf_puts(out, "Harvest by blocks and treatments\n");
    strbuf_printf(out, "%d weighing%s used", r->rows, r->rows == 1 ? "" : "s");
    if (r->skipped > 0)
        strbuf_printf(out, ", %d line%s left out as bad", r->skipped, r->skipped == 1 ? "" : "s");
    strbuf_puts(out, "\n");
}

/* ---- tests ---------------------------------------------------------------------------------- */

static void means(const struct review *r, const struct review_test *t, struct scale s,
                  struct strbuf *out)
{
    char num[64];
    for (int k = 0; k < t->ntreatments; k++) {
        strbuf_puts(out, "  ");
        strbuf_pad(out, r->treatments[t->treatments[k]], NAME);
        strbuf_printf(out, " %s%s\n", digits(num, t->means[k] * s.by, s.digits), s.unit);
    }
}

/* p to four places, as tables have it, and how small it is beyond that. */
static void probability(double p, struct strbuf *out)
{
    char num[64];
    strbuf_printf(out, "p = %s", p < 0.0001 ? digits(num, p, 3) : num_fixed(num, 64, p, 4));
}

static void paired(const struct review *r, const struct review_test *t, struct scale s,
                   struct strbuf *out)
{
    const struct stats_paired *p = &t->paired;
    char a[64], b[64], c[64];
    strbuf_printf(out, "  %s less %s: %s", r->treatments[t->treatments[0]],
                  r->treatments[t->treatments[1]], digits(a, p->mean * s.by, s.digits));
    strbuf_printf(out, "%s a block (95 %% interval %s to %s)\n", s.unit,
                  digits(b, p->low * s.by, s.digits), digits(c, p->high * s.by, s.digits));
    strbuf_printf(out, "  paired t = %s with %d degrees of freedom, ", num_fixed(a, 64, p->t, 3),
                  p->df);
    probability(p->p, out);
    strbuf_puts(out, "\n");
}

static void anova_row(const char *name, int df, double ss, double square, struct strbuf *out)
{
    char num[64];
    strbuf_puts(out, "    ");
    strbuf_pad(out, name, NAME - 4);
    strbuf_printf(out, " %4d %14s", df, digits(num, ss * square, 8));
    strbuf_printf(out, " %14s", digits(num, ss * square / df, 8));
}

static void anova(const struct review *r, const struct review_test *t, struct scale s,
                  struct strbuf *out)
{
    const struct stats_anova *a = &t->anova;
    char num[64];
    double square = s.by * s.by;
    if (!t->has_paired) { /* of two treatments it says what the paired t says */
        strbuf_puts(out, "    analysis of variance    df             SS             MS       F\n");
        anova_row("blocks", a->df_block, a->ss_block, square, out);
        strbuf_puts(out, "\n");
        anova_row("treatments", a->df_treatment, a->ss_treatment, square, out);
        strbuf_printf(out, " %7s ", num_fixed(num, 64, a->f, 2));
        probability(a->p, out);
        strbuf_puts(out, "\n");
        anova_row("error", a->df_error, a->ss_error, square, out);
        strbuf_puts(out, "\n");
    }
    strbuf_printf(out, "  LSD (5 %%) %s%s, ", digits(num, a->lsd * s.by, s.digits), s.unit);
    strbuf_printf(out, "CV %s %%", num_fixed(num, 64, 100 * a->cv, 1));
    if (r->cv > 0 && t == r->tests)
        strbuf_printf(out, " (%s %% was reckoned with)", num_fixed(num, 64, 100 * r->cv, 0));
    strbuf_puts(out, "\n");
}

/* What a test comes to, for somebody who has never run one. */
static const char *meaning(const struct review *r, const struct review_test *t, struct arena *arena)
{
    const char *first = r->treatments[t->treatments[0]];
    if (!t->has_anova && !t->has_paired)
        return t->blocks < 2 ? "Fewer than two whole blocks: nothing can be told from luck."
                             : "All differences are the same: there is nothing to test with.";
    double p = t->has_paired ? t->paired.p : t->anova.p;
    if (p >= REVIEW_ALPHA && t->has_paired)
        return "Not told from luck at the 5 % level. That is not the same as no difference: see "
               "how wide the interval is.";
    if (p >= REVIEW_ALPHA)
        return "Not told from luck at the 5 % level. That is not the same as no difference: see "
               "how large the LSD is.";
    if (!t->has_paired)
        return "The treatments differ (5 % level). Two means differ if they are further apart "
               "than the LSD, when that pair was chosen before the harvest.";
    return arena_printf(arena, "%s gave %s (5 %% level): one season, in this ground.", first,
                        t->paired.mean > 0 ? "more" : "less");
}

static void test_words(const struct review *r, const struct review_test *t, struct strbuf *out)
{
    struct scale s = scale_of(r, t);
    char num[64];
    double other = t->ntreatments == 2 ? t->means[1] : 0;
    strbuf_printf(out, "\n%s, mean of %s, %d block%s", t->what,
                  r->kind == REVIEW_TRIAL ? "the net ground of a half" : "a block's treatment",
                  t->blocks, t->blocks == 1 ? "" : "s");
    if (t->short_blocks > 0)
        strbuf_printf(out, " (%d more not whole, left out)", t->short_blocks);
    strbuf_puts(out, "\n");
    means(r, t, s, out);
    if (t->has_paired)
        paired(r, t, s, out);
    if (t->has_paired && other > 0)
        strbuf_printf(out, "  that is %s %% of %s\n",
                      num_fixed(num, 64, 100 * t->paired.mean / other, 1),
                      r->treatments[t->treatments[1]]);
    if (t->has_anova)
        anova(r, t, s, out);
    paragraph(out, 2, meaning(r, t, out->arena));
}

/* ---- the rest ------------------------------------------------------------------------------- */

static void ler_words(const struct review *r, const struct review_ler *l, struct strbuf *out)
{
    char num[64], other[64];
    strbuf_puts(out, "  ");
    strbuf_pad(out, r->treatments[l->treatment], NAME);
    strbuf_printf(out, " %s", num_fixed(num, 64, l->ler, 3));
    if (l->has_interval)
        strbuf_printf(out, " (95 %% interval %s to %s, %d blocks)", num_fixed(num, 64, l->low, 3),
                      num_fixed(other, 64, l->high, 3), l->blocks);
    strbuf_puts(out, "\n");
    for (int c = 0; c < r->ncrops; c++)
        if (l->partial[c] > 0) {
            strbuf_puts(out, "    ");
            strbuf_pad(out, r->crops[c], NAME - 2);
            strbuf_printf(out, " %s\n", num_fixed(num, 64, l->partial[c], 3));
        }
}

static void lers(const struct review *r, struct strbuf *out)
{
    if (r->nlers == 0)
        return;
    strbuf_puts(out,
                "\nLand equivalent ratio (LER): ground that the crops by themselves would take "
                "for\nthe same harvest\n");
    for (int i = 0; i < r->nlers; i++)
        ler_words(r, &r->lers[i], out);
    paragraph(
        out, 2,
        r->kind == REVIEW_PLAN ? "From one plan without replication: a hint, not a test."
        : r->kind == REVIEW_TRIAL
            ? "Measured by each crop in rows of its own in the same blocks; if that stand was "
              "a poor one, the ratio flatters. 1 is as good as rows."
            : "Measured by the mean yield of each crop by itself, which is taken as certain; "
              "if that stand was a poor one, the ratio flatters.");
}

static void estimates(const struct review *r, struct strbuf *out)
{
    char kg[64], low[64], typ[64], high[64], num[64];
    if (r->nestimates == 0)
        return;
    strbuf_puts(out, r->kind == REVIEW_TRIAL
                         ? "\nWeighed, mean of a half, and what was expected (80 % range)\n"
                         : "\nWeighed, and what was expected of those places (80 % range)\n");
    for (int i = 0; i < r->nestimates; i++) {
        const struct review_estimate *e = &r->estimates[i];
        const char *name = e->treatment < 0 ? r->crops[e->crop]
                                            : arena_printf(out->arena, "%s, %s", r->crops[e->crop],
                                                           r->treatments[e->treatment]);
        if (!name) {
            out->failed = true;
            return;
        }
        strbuf_puts(out, "  ");
        strbuf_pad(out, name, NAME + 8);
        strbuf_printf(out, " %s; %s (%s to %s): ", unit_mass(kg, sizeof kg, e->kg, r->units),
                      unit_mass(typ, sizeof typ, e->expected.typ, r->units),
                      unit_mass(low, sizeof low, e->expected.low, r->units),
                      unit_mass(high, sizeof high, e->expected.high, r->units));
        strbuf_puts(out, review_verdicts[e->verdict]);
        if (e->share < 0.999)
            strbuf_printf(out, " (%s %% of the crop)", num_fixed(num, 64, 100 * e->share, 0));
        strbuf_puts(out, "\n");
    }
    paragraph(out, 2,
              "One season is one draw: a year inside the range says little, one outside it calls "
              "for a look at the weights, the moisture and the season before any yield figure of "
              "the garden file is changed.");
}

static void yields(const struct review *r, struct strbuf *out)
{
    char kg[64], area[64], num[64];
    if (r->nyields == 0)
        return;
    strbuf_puts(out, "\nBy the ground it stood on (in a guild: ground that its crops share)\n");
    for (int i = 0; i < r->nyields; i++) {
        const struct review_yield *y = &r->yields[i];
        const char *name =
            arena_printf(out->arena, "%s, %s", r->crops[y->crop], r->treatments[y->system]);
        if (!name) {
            out->failed = true;
            return;
        }
        bool us = r->units == UNITS_US;
        double per = y->area_m2 > 0 ? y->kg / y->area_m2 : 0;
        if (us)
            per *= 9.290304 / LB_KG; /* lb on 100 sq ft */
        strbuf_puts(out, "  ");
        strbuf_pad(out, name, NAME + 8);
        strbuf_printf(out, " %s on %s: ", unit_mass(kg, sizeof kg, y->kg, r->units),
                      unit_area(area, sizeof area, y->area_m2, r->units));
        strbuf_printf(out, "%s %s\n", digits(num, per, 3), us ? "lb/100 sq ft" : "kg/m2");
    }
    paragraph(out, 2,
              "Hills and rows of a plan stand where they fit, not where a lot put them: a "
              "difference between them may be the ground's. `hillrow trial` lays out a fair "
              "test.");
}

static bool any_anova(const struct review *r)
{
    for (int i = 0; i < r->ntests; i++)
        if (r->tests[i].has_anova)
            return true;
    return false;
}

void review_text(const struct review *r, struct strbuf *out)
{
    head(r, out);
    for (int i = 0; i < r->ntests; i++)
        test_words(r, &r->tests[i], out);
    if (r->ntests > 2)
        paragraph(out, 2,
                  r->kind == REVIEW_TRIAL
                      ? "Several tests stand above. The first was the question; of twenty others "
                        "one will look sure by luck."
                      : "Several tests stand above: of twenty, one will look sure by luck.");
    if (any_anova(r))
        paragraph(out, 2,
                  "LSD: means that are further apart than that differ at the 5 % level. CV: how "
                  "much ground treated alike still differed.");
    lers(r, out);
    estimates(r, out);
    yields(r, out);
}
