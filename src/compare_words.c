/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare_words.h"

#include <math.h>
#include <string.h>

#include "num.h"

#define STANDARDS 3 /* hills, rows, row guild: what the question is about */

/* ---- numbers ------------------------------------------------------------------------------- */

/* v in so many significant digits, whole numbers grouped. */
static const char *digits(struct arena *arena, double v, int significant, double like)
{
    char text[64];
    int power = like > 0 ? (int)floor(log10(num_round_sig(like, significant)) + 1e-9) : 0;
    int after = significant - 1 - power;
    if (after > 0)
        return arena_strdup(arena, num_fixed(text, sizeof text, v, after));
    double step = pow(10, -after);
    return arena_strdup(arena, num_grouped(text, sizeof text, round(v / step) * step));
}

static const char *text_or(const char *s)
{
    return s ? s : "";
}

const char *compare_measure(const struct garden *garden)
{
    static const char *const names[] = {"full food", "food energy", "usable protein"};
    return names[garden->goal.v];
}

static const char *in_unit(struct arena *arena, const struct garden *garden, double v,
                           int significant)
{
    static const char *const units[] = {"days", "kcal", "g"};
    return arena_printf(arena, "%s %s", text_or(digits(arena, v, significant, fabs(v))),
                        units[garden->goal.v]);
}

const char *compare_worth(struct arena *arena, const struct garden *garden, double v)
{
    return in_unit(arena, garden, v, 3);
}

const char *compare_lead(struct arena *arena, const struct garden *garden, double v)
{
    return in_unit(arena, garden, v, 2);
}

const char *compare_range(struct arena *arena, struct span span, double factor)
{
    const char *text = NULL;
    double like = fabs(span.typ * factor);
    for (int fewer = 0; fewer < 3; fewer++) { /* as many digits as the width allows */
        const char *typ = digits(arena, span.typ * factor, fewer > 0 ? 2 : 3, like);
        const char *low = digits(arena, span.low * factor, fewer > 1 ? 1 : 2, like);
        const char *high = digits(arena, span.high * factor, fewer > 1 ? 1 : 2, like);
        text = arena_printf(arena, "%s (%s-%s)", text_or(typ), text_or(low), text_or(high));
        if (!text || strlen(text) <= COMPARE_RANGE_WIDTH)
            break;
    }
    return text;
}

const char *compare_share(struct arena *arena, double share)
{
    double percent = round(100 * share);
    if (percent >= 100 && share < 1)
        return arena_strdup(arena, "> 99 %");
    if (percent <= 0 && share > 0)
        return arena_strdup(arena, "< 1 %");
    return arena_printf(arena, "%d %%", (int)percent);
}

/* ---- who is ahead -------------------------------------------------------------------------- */

/* The plain layouts of a group that have plans, the one that gives most first. */
struct order {
    const struct compare *c;
    const struct compare_group *group;
    int at[STANDARDS], n;
    struct arena *arena;
};

static double worth_of(const struct order *o, int i)
{
    return compare_span(o->c->garden, o->group->layouts[o->at[i]].plan).typ;
}

static const char *name_of(const struct order *o, int i)
{
    return o->group->layouts[o->at[i]].name;
}

static struct order order_of(const struct compare *c, const struct compare_group *g,
                             struct arena *arena)
{
    struct order o = {.c = c, .group = g, .arena = arena};
    for (int i = 0; i < g->n; i++) {
        if (!g->layouts[i].plan || g->layouts[i].kind >= LAYOUT_FREE)
            continue;
        int k = o.n++;
        o.at[k] = i;
        for (; k > 0 && worth_of(&o, k) > worth_of(&o, k - 1) * (1 + 1e-9); k--) {
            int swap = o.at[k];
            o.at[k] = o.at[k - 1];
            o.at[k - 1] = swap;
        }
    }
    return o;
}

static const struct chance_pair *pair_of(const struct order *o, int i, int k)
{
    const struct compare_group *g = o->group;
    return chance_pair_of(g->pairs, g->nplans, g->layouts[o->at[i]].rank,
                          g->layouts[o->at[k]].rank);
}

/* Share of seasons in which the i-th gives more than the k-th. */
static double wins(const struct order *o, int i, int k)
{
    const struct compare_group *g = o->group;
    return chance_wins(g->pairs, g->nplans, g->layouts[o->at[i]].rank, g->layouts[o->at[k]].rank);
}

/* How many, from the first on, the ranges cannot tell from the first. */
static int level(const struct order *o)
{
    int n = 1;
    while (n < o->n && (pair_of(o, 0, n)->same || wins(o, 0, n) < CHANCE_SURE))
        n++;
    return n;
}

static const char *worth(const struct order *o, int i)
{
    return text_or(compare_worth(o->arena, o->c->garden, worth_of(o, i)));
}

/* ---- sentences ----------------------------------------------------------------------------- */

/* "Guild in rows" at the head of a sentence. */
static const char *head_name(const struct order *o, int i)
{
    char *name = arena_strdup(o->arena, name_of(o, i));
    if (name && name[0] >= 'a' && name[0] <= 'z')
        name[0] = (char)(name[0] - 'a' + 'A');
    return text_or(name);
}

static void headline(const struct order *o, struct strbuf *out)
{
    if (o->n == 0) {
        strbuf_puts(out, "Neither hills nor rows can be planned on these terms.");
        return;
    }
    if (o->n == 1) {
        strbuf_printf(out, "%s: the only one that can be planned here.", head_name(o, 0));
        return;
    }
    int n = level(o);
    if (n == 1)
        strbuf_printf(out, "%s: %s of %s, next best %s.", head_name(o, 0), worth(o, 0),
                      compare_measure(o->c->garden), worth(o, 1));
    else if (n == o->n)
        strbuf_puts(out, "No sure difference here: choose by work, taste and soil.");
    else
        strbuf_printf(out, "%s or %s: no sure difference.", head_name(o, 0), name_of(o, 1));
}

/* Who is beaten how often, in a line. */
static void brief(const struct order *o, const char *before, bool concludes, struct strbuf *out)
{
    if (o->n < 2)
        return;
    int n = level(o);
    strbuf_printf(out, "%s: %s", before, n < o->n ? name_of(o, 0) : "");
    if (n == o->n)
        strbuf_puts(out, "no sure difference");
    for (int i = 1; i < n && n < o->n; i++)
        strbuf_printf(out, "%s %s%s", i == 1 ? " is level with" : ",", name_of(o, i),
                      i == n - 1 ? ";" : "");
    for (int i = n; i < o->n; i++)
        strbuf_printf(out, "%s %s in %s",
                      i > n   ? ","
                      : n > 1 ? " it beats"
                              : " beats",
                      name_of(o, i), text_or(compare_share(o->arena, wins(o, 0, i))));
    strbuf_puts(out, n == o->n ? "." : " of seasons.");
    if (concludes && n > 1)
        strbuf_puts(out, " What counts is spacing, more than hills or rows.");
}

/* How often the first beats each other one, and which of them the ranges cannot tell it from. */
static void seasons(const struct order *o, struct strbuf *out)
{
    int told = 0, close = 0;
    for (int i = 1; i < o->n; i++)
        if (pair_of(o, 0, i)->same)
            strbuf_printf(out, " %s gives the same as %s in every season.", head_name(o, 0),
                          name_of(o, i));
    for (int i = 1; i < o->n; i++) {
        if (pair_of(o, 0, i)->same)
            continue;
        if (told++ == 0)
            strbuf_printf(out, " In 2,000 simulated seasons %s", name_of(o, 0));
        strbuf_printf(out, "%s %s in %s", told == 1 ? " beats" : ",", name_of(o, i),
                      text_or(compare_share(o->arena, wins(o, 0, i))));
    }
    if (told > 0)
        strbuf_puts(out, ".");
    for (int i = 1; i < o->n; i++) {
        if (pair_of(o, 0, i)->same || wins(o, 0, i) >= CHANCE_SURE)
            continue;
        if (close++ == 0)
            strbuf_printf(out, " The ranges cannot tell %s from", name_of(o, 0));
        strbuf_printf(out, "%s %s", close > 1 ? " or" : "", name_of(o, i));
    }
    if (close > 0)
        strbuf_puts(out, ".");
}

/* Crops of the guild that one layout grows and another leaves out. */
static void crops_left_out(const struct order *o, struct strbuf *out)
{
    const struct garden *g = o->c->garden;
    for (int i = 0; i < o->n; i++) {
        const struct plan *plan = o->group->layouts[o->at[i]].plan;
        const char *before = " leaves out ";
        bool any = false;
        for (size_t s = 0; s < g->seed.n; s++) {
            bool grown = !layout_in_guild(o->c->guild, garden_seed(g, s)->crop);
            for (int c = 0; c < plan->ncrops; c++)
                grown |= plan->crops[c].seed->crop == garden_seed(g, s)->crop;
            if (grown)
                continue;
            strbuf_printf(out, "%s%s%s%s", any ? "" : " The plan of ", any ? "" : name_of(o, i),
                          before, garden_seed(g, s)->crop->name.s);
            before = ", ";
            any = true;
        }
        if (any)
            strbuf_puts(out, ".");
    }
}

static void own_best(const struct order *o, struct strbuf *out)
{
    if (o->n == 0)
        return;
    strbuf_printf(out, "Each at its own best, typical: %s gives %s of %s", name_of(o, 0),
                  worth(o, 0), compare_measure(o->c->garden));
    for (int i = 1; i < o->n; i++)
        strbuf_printf(out, ", %s %s", name_of(o, i), worth(o, i));
    strbuf_puts(out, ".");
    seasons(o, out);
    crops_left_out(o, out);
    for (int i = 0; i < o->group->n; i++)
        if (!o->group->layouts[i].plan)
            strbuf_printf(out, " Not possible: %s (%s).", o->group->layouts[i].name,
                          o->group->layouts[i].why);
}

/* How much of the lead of one layout over another is arrangement, how much is not. */
static void split_lead(const struct order *best, const struct order *same, struct strbuf *out)
{
    const struct compare *c = best->c;
    int top = compare_find(&c->best, best->group->layouts[best->at[0]].kind);
    int next = compare_find(&c->best, best->group->layouts[best->at[1]].kind);
    int stop = compare_find(&c->same, c->best.layouts[top].kind);
    int snext = compare_find(&c->same, c->best.layouts[next].kind);
    if (stop < 0 || snext < 0)
        return;
    double lead = compare_span(c->garden, c->best.layouts[top].plan).typ -
                  compare_span(c->garden, c->best.layouts[next].plan).typ;
    double even = compare_span(c->garden, c->same.layouts[stop].plan).typ -
                  compare_span(c->garden, c->same.layouts[snext].plan).typ;
    strbuf_printf(out, " Of the lead of %s over %s, %s, ", name_of(best, 0), name_of(best, 1),
                  text_or(compare_lead(same->arena, c->garden, lead)));
    if (even <= 0)
        strbuf_puts(out, "nothing is the arrangement: it is choice of spacing, crops and edges.");
    else if (even >= lead)
        strbuf_puts(out, "all is the arrangement.");
    else
        strbuf_printf(out,
                      "the arrangement makes %s; the rest is choice of spacing, crops and "
                      "edges.",
                      text_or(compare_lead(same->arena, c->garden, even)));
}

static void same_plants(const struct order *best, const struct order *same, struct strbuf *out)
{
    char area[48];
    const struct compare *c = same->c;
    if (same->n < 2)
        return;
    strbuf_printf(
        out, "With the same plants on the same ground (the hills' %s planted over again): %s %s",
        unit_area(area, sizeof area, c->same_ground_m2, (enum unit_system)c->garden->units.v),
        name_of(same, 0), worth(same, 0));
    for (int i = 1; i < same->n; i++)
        strbuf_printf(out, ", %s %s", name_of(same, i), worth(same, i));
    strbuf_puts(out, ".");
    seasons(same, out);
    if (best->n >= 2)
        split_lead(best, same, out);
}

static void lead_words(const struct order *o, double lead, int k, struct strbuf *out)
{
    const char *by = text_or(compare_lead(o->arena, o->c->garden, fabs(lead)));
    strbuf_printf(out, "%s leads by %s", lead >= 0 ? name_of(o, 0) : name_of(o, k), by);
}

static void turns_on(const struct order *o, struct strbuf *out)
{
    for (int k = 1; k < o->n; k++) {
        const struct chance_pair *pair = pair_of(o, 0, k);
        const struct swing *s = &pair->swings[0];
        if (pair->nswings == 0)
            continue;
        double sign = pair->a == o->group->layouts[o->at[0]].rank ? 1 : -1;
        strbuf_printf(out, "%sBetween %s and %s it turns most on the %s: when that is low, ",
                      out->n > 0 ? " " : "", name_of(o, 0), name_of(o, k), s->figure);
        lead_words(o, sign * s->low, k, out);
        strbuf_puts(out, ", when high, ");
        lead_words(o, sign * s->high, k, out);
        strbuf_puts(out, s->flips ? ": that turns the order round." : ".");
    }
}

static void proof(const struct order *o, struct strbuf *out)
{
    const struct compare *c = o->c;
    double missed = 0;
    for (int i = 0; i < c->best.n; i++) {
        const struct plan *plan = c->best.layouts[i].plan;
        if (plan)
            missed = fmax(missed, plan->bound - plan->value);
    }
    strbuf_printf(out, "No plan of its kind gives more than %s above the one shown",
                  text_or(compare_lead(o->arena, c->garden, missed)));
    strbuf_puts(out, c->proved ? ": leads smaller than that prove nothing."
                               : ", and not all plans are proved as closely as was asked: give "
                                 "more time with --time-limit.");
}

hr_status compare_verdict(const struct compare *c, struct arena *arena, struct verdict *out)
{
    struct order best = order_of(c, &c->best, arena), same = order_of(c, &c->same, arena);
    struct strbuf b[7];
    for (size_t i = 0; i < sizeof b / sizeof b[0]; i++)
        strbuf_init(&b[i], arena);
    headline(&best, &b[0]);
    own_best(&best, &b[1]);
    same_plants(&best, &same, &b[2]);
    turns_on(&best, &b[3]);
    proof(&best, &b[4]);
    brief(&best, "Each at its own best", false, &b[5]);
    brief(&same, "The same plants on the same ground", best.n > 1 && level(&best) == 1, &b[6]);
    for (size_t i = 0; i < sizeof b / sizeof b[0]; i++)
        if (b[i].failed)
            return HR_NOMEM;
    *out = (struct verdict){.headline = b[0].p,
                            .best = b[1].p,
                            .same = b[2].p,
                            .turns = b[3].p,
                            .proof = b[4].p,
                            .brief = {b[5].p, b[6].p},
                            .top = best.n > 0 ? best.at[0] : -1};
    return HR_OK;
}
