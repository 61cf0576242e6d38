/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare_text.h"

#include <math.h>
#include <string.h>

#include "compare_words.h"
#include "num.h"

#define WIDTH    80
#define LABEL    20
#define COLUMN   15
#define COLUMNS  4
#define LB_KG    0.45359237
#define CU_YD_M3 0.764554857984

struct table {
    const struct compare *c;
    const struct compare_group *group;
    int first, n; /* of the group's layouts */
    struct strbuf *out;
    struct arena *arena;
    bool us;
};

/* ---- cells --------------------------------------------------------------------------------- */

static void cell(const struct table *t, const char *text)
{
    size_t w = text ? utf8_columns(text) : 0;
    for (; w < COLUMN - 1; w++)
        strbuf_puts(t->out, " ");
    strbuf_puts(t->out, " ");
    if (text)
        strbuf_puts(t->out, text);
    else
        t->out->failed = true;
}

static void label(const struct table *t, const char *text)
{
    strbuf_pad(t->out, text, LABEL);
}

/* One figure of a layout as text. */
typedef const char *(*figure)(const struct table *t, const struct compare_layout *l);

static void row(const struct table *t, const char *name, figure of)
{
    label(t, name);
    for (int i = t->first; i < t->first + t->n; i++) {
        const struct compare_layout *l = &t->group->layouts[i];
        cell(t, l->plan ? of(t, l) : "-");
    }
    strbuf_puts(t->out, "\n");
}

static const char *fixed(const struct table *t, double v, int after)
{
    char text[64];
    return arena_strdup(t->arena, num_fixed(text, sizeof text, v, after));
}

static const char *whole(const struct table *t, double v)
{
    char text[64];
    return arena_strdup(t->arena, num_grouped(text, sizeof text, round(v)));
}

static const char *percent(const struct table *t, double share)
{
    return arena_printf(t->arena, "%d %%", (int)lround(100 * share));
}

/* ---- figures ------------------------------------------------------------------------------- */

static const char *days(const struct table *t, const struct compare_layout *l)
{
    return compare_range(t->arena, l->plan->person_days, 1);
}

static const char *energy(const struct table *t, const struct compare_layout *l)
{
    return compare_range(t->arena, l->plan->energy_kcal, 1e-3);
}

static const char *protein(const struct table *t, const struct compare_layout *l)
{
    return compare_range(t->arena, l->plan->protein_g, 1e-3);
}

static const char *usable(const struct table *t, const struct compare_layout *l)
{
    return compare_range(t->arena, l->plan->usable_protein_g, 1e-3);
}

static const char *whole_ler(const struct table *t, const struct compare_layout *l)
{
    return fixed(t, l->y.whole.ler, 2);
}

static const char *whole_ater(const struct table *t, const struct compare_layout *l)
{
    return fixed(t, l->y.whole.ater, 2);
}

static const char *guild_ler(const struct table *t, const struct compare_layout *l)
{
    return l->y.guild.ground_m2 > 0 ? fixed(t, l->y.guild.ler, 2) : "-";
}

static const char *guild_ater(const struct table *t, const struct compare_layout *l)
{
    return l->y.guild.ground_m2 > 0 ? fixed(t, l->y.guild.ater, 2) : "-";
}

static const char *plants(const struct table *t, const struct compare_layout *l)
{
    if (l->y.hills > 0)
        return arena_printf(t->arena, "%d, %d hills", l->y.plants, l->y.hills);
    return arena_printf(t->arena, "%d", l->y.plants);
}

static const char *dense(const struct table *t, const struct compare_layout *l)
{
    return fixed(t, t->us ? l->y.plants_m2 / 10.7639104 : l->y.plants_m2, t->us ? 2 : 1);
}

static const char *seed(const struct table *t, const struct compare_layout *l)
{
    return whole(t, l->y.seed);
}

static const char *hours(const struct table *t, const struct compare_layout *l)
{
    return compare_range(t->arena, l->plan->hours, 1);
}

static const char *hours_split(const struct table *t, const struct compare_layout *l)
{
    return arena_printf(t->arena, "%d / %d / %d", (int)lround(l->y.planting_h),
                        (int)lround(l->y.weeding_h), (int)lround(l->y.picking_h));
}

static const char *weedings(const struct table *t, const struct compare_layout *l)
{
    return fixed(t, l->y.weedings, 1);
}

static const char *volume(const struct table *t, double m3)
{
    return t->us ? fixed(t, m3 / CU_YD_M3, 2) : fixed(t, m3, 2);
}

static const char *compost(const struct table *t, const struct compare_layout *l)
{
    return volume(t, l->y.compost_m3);
}

static const char *mulch(const struct table *t, const struct compare_layout *l)
{
    return volume(t, l->y.mulch_m3);
}

static const char *nitrogen(const struct table *t, const struct compare_layout *l)
{
    double kg = l->y.nitrogen.fixed - l->y.nitrogen.taken;
    return t->us ? fixed(t, 16 * kg / LB_KG, 1) : fixed(t, 1000 * kg, 0);
}

static const char *largest(const struct table *t, const struct compare_layout *l)
{
    struct strbuf cut;
    const char *name = l->y.largest ? l->y.largest->name.s : "-";
    if (utf8_columns(name) < COLUMN)
        return name;
    strbuf_init(&cut, t->arena);
    strbuf_pad(&cut, name, COLUMN - 1);
    return cut.failed ? NULL : cut.p;
}

static const char *largest_share(const struct table *t, const struct compare_layout *l)
{
    return percent(t, l->y.largest_share);
}

static const char *harvest_days(const struct table *t, const struct compare_layout *l)
{
    return whole(t, l->y.last_harvest - l->y.first_harvest);
}

static const char *covered(const struct table *t, const struct compare_layout *l)
{
    return percent(t, l->y.covered);
}

static const char *gap(const struct table *t, const struct compare_layout *l)
{
    char text[64];
    return arena_printf(t->arena, "%s %%", num_fixed(text, sizeof text, 100 * l->plan->gap, 1));
}

/* ---- harvests ------------------------------------------------------------------------------ */

static const struct crop_result *result_of(const struct plan *plan, const struct seed *seed)
{
    for (int c = 0; plan && c < plan->ncrops; c++)
        if (plan->crops[c].seed == seed)
            return &plan->crops[c];
    return NULL;
}

static void harvests(const struct table *t)
{
    const struct garden *g = t->c->garden;
    for (size_t s = 0; s < g->seed.n; s++) {
        bool any = false;
        const struct seed *seed = garden_seed(g, s);
        for (int i = t->first; i < t->first + t->n; i++)
            any |= result_of(t->group->layouts[i].plan, seed) != NULL;
        if (!any)
            continue;
        bool twin = false;
        for (size_t o = 0; o < g->seed.n; o++)
            twin |= o != s && garden_seed(g, o)->crop == seed->crop;
        const char *name = twin ? seed->variety.s : seed->crop->name.s;
        label(t, arena_printf(t->arena, "  %s", name) ? arena_printf(t->arena, "  %s", name) : "");
        for (int i = t->first; i < t->first + t->n; i++) {
            const struct crop_result *r = result_of(t->group->layouts[i].plan, seed);
            cell(t, r ? compare_range(t->arena, r->kg, t->us ? 1 / LB_KG : 1) : "-");
        }
        strbuf_puts(t->out, "\n");
    }
}

/* ---- tables -------------------------------------------------------------------------------- */

static void heads(const struct table *t)
{
    label(t, "");
    for (int i = t->first; i < t->first + t->n; i++) {
        struct strbuf cut;
        strbuf_init(&cut, t->arena);
        const char *name = t->group->layouts[i].name;
        if (utf8_columns(name) >= COLUMN) {
            strbuf_pad(&cut, name, COLUMN - 1);
            name = cut.p;
        }
        cell(t, name);
    }
    strbuf_puts(t->out, "\n");
}

static void food_rows(const struct table *t)
{
    row(t, "full food, days", days);
    row(t, "energy, 1000 kcal", energy);
    row(t, "protein, kg", protein);
    row(t, "usable protein, kg", usable);
    strbuf_printf(t->out, "harvest, %s\n", t->us ? "lb" : "kg");
    harvests(t);
}

static void other_rows(const struct table *t)
{
    row(t, "LER, whole ground", whole_ler);
    row(t, "ATER, whole ground", whole_ater);
    row(t, "LER, guild's crops", guild_ler);
    row(t, "ATER, guild's crops", guild_ater);
    row(t, "plants", plants);
    row(t, t->us ? "plants per sq ft" : "plants per m2", dense);
    row(t, "seeds and pieces", seed);
    row(t, "work, hours", hours);
    row(t, "  plant/weed/pick", hours_split);
    row(t, "weedings of a spot", weedings);
    row(t, t->us ? "compost, cu yd" : "compost, m3", compost);
    row(t, t->us ? "mulch, cu yd" : "mulch, m3", mulch);
    row(t, t->us ? "nitrogen kept, oz" : "nitrogen kept, g", nitrogen);
    row(t, "largest crop", largest);
    row(t, "  of the energy", largest_share);
    row(t, "days of harvest", harvest_days);
    row(t, "ground covered", covered);
}

/* A group in tables of so many columns. */
static void tables(struct table *t, const struct compare_group *group, bool proved)
{
    t->group = group;
    for (t->first = 0; t->first < group->n; t->first += COLUMNS) {
        t->n = group->n - t->first < COLUMNS ? group->n - t->first : COLUMNS;
        if (t->first > 0)
            strbuf_puts(t->out, "\n");
        heads(t);
        food_rows(t);
        other_rows(t);
        if (proved)
            row(t, "proved to within", gap);
    }
}

/* ---- chances ------------------------------------------------------------------------------- */

/* How often the layout of the row beats the one of the column. */
static void chance_rows(const struct table *t)
{
    const struct compare_group *g = t->group;
    for (int i = 0; i < g->n; i++) {
        if (!g->layouts[i].plan)
            continue;
        label(t, g->layouts[i].name);
        for (int k = t->first; k < t->first + t->n; k++) {
            const struct compare_layout *o = &g->layouts[k];
            const char *text = "-";
            if (o->plan && k != i) {
                const struct chance_pair *pair =
                    chance_pair_of(g->pairs, g->nplans, g->layouts[i].rank, o->rank);
                double wins = chance_wins(g->pairs, g->nplans, g->layouts[i].rank, o->rank);
                text = pair->same ? "the same" : compare_share(t->arena, wins);
            }
            cell(t, text);
        }
        strbuf_puts(t->out, "\n");
    }
}

static void chances(struct table *t, const struct compare_group *group)
{
    t->group = group;
    for (t->first = 0; t->first < group->n; t->first += COLUMNS) {
        t->n = group->n - t->first < COLUMNS ? group->n - t->first : COLUMNS;
        heads(t);
        chance_rows(t);
    }
}

static void paragraph(const struct table *t, const char *text)
{
    if (text[0] != '\0')
        strbuf_wrap(t->out, text, WIDTH, 2, 0);
}

/* ---- the frontier -------------------------------------------------------------------------- */

static bool alike(double a, double b, int after)
{
    char x[64], y[64];
    return strcmp(num_fixed(x, sizeof x, a, after), num_fixed(y, sizeof y, b, after)) == 0;
}

/* Whether two points of the frontier are printed alike. */
static bool same_figures(const struct compare_ray *a, const struct compare_ray *b)
{
    return alike(a->energy_kcal / 1000, b->energy_kcal / 1000, 1) &&
           alike(a->usable_g / 1000, b->usable_g / 1000, 2);
}

static void frontier(const struct table *t)
{
    char num[64];
    const struct compare *c = t->c;
    if (c->nrays == 0)
        return;
    strbuf_puts(t->out,
                "\nEnergy against usable protein: the best plan found in each proportion\n");
    label(t, "");
    cell(t, "1000 kcal");
    cell(t, "usable kg");
    cell(t, "proved to");
    strbuf_puts(t->out, "\n");
    for (int i = 0, told = 0; i < c->nrays; i++) {
        const struct compare_ray *last = &c->rays[told], *ray = &c->rays[i];
        if (i > 0 && i < c->nrays - 1 && same_figures(last, ray))
            continue;
        told = i;
        label(t, i == 0 ? "most energy" : i == c->nrays - 1 ? "most protein" : "");
        cell(t, fixed(t, ray->energy_kcal / 1000, 1));
        cell(t, fixed(t, ray->usable_g / 1000, 2));
        cell(t, arena_printf(t->arena, "%s %%", num_fixed(num, sizeof num, 100 * ray->gap, 1)));
        strbuf_puts(t->out, "\n");
    }
    paragraph(t, "  Free choice, typical figures. One line stands for all proportions in which "
                 "that plan is the best.");
}

/* ---- the whole ----------------------------------------------------------------------------- */

static void notes(const struct table *t)
{
    paragraph(
        t, "  In brackets the 80 % range; all else is typical. LER: the ground that the "
           "best sole stands would need for the same harvest, as a multiple of this; ATER: "
           "ground and time. Nitrogen kept: from the air less carried off. Estimates of the model, "
           "no promise; a trial on your own ground tells more.");
}

static void verdict(const struct table *t)
{
    struct verdict v;
    if (compare_verdict(t->c, t->arena, &v) != HR_OK) {
        t->out->failed = true;
        return;
    }
    strbuf_puts(t->out, "\nHills or rows, here?\n");
    const char *const parts[] = {v.headline, v.best, v.same, v.turns, v.proof};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        if (parts[i][0] != '\0') {
            strbuf_puts(t->out, "  ");
            strbuf_wrap(t->out, parts[i], WIDTH, 2, 2);
        }
}

void compare_text(const struct compare *c, struct strbuf *out)
{
    struct table t = {.c = c, .out = out, .arena = out->arena};
    t.us = c->garden->units.v == UNITS_US;
    strbuf_printf(out, "%s, %d: hills and rows compared%s%s\n", c->garden->name.s,
                  (int)c->garden->year.v, c->guild ? ", by the guild " : "",
                  c->guild ? c->guild->name.s : "");
    if (c->weighed)
        strbuf_puts(out, "\nFoods count for what they give in this comparison: each `weight` and\n"
                         "the cost of `rotation: avoid` are set aside.\n");
    strbuf_puts(out, "\nEach at its own best, on the same terms\n");
    tables(&t, &c->best, true);
    notes(&t);
    if (c->same.n > 0) {
        strbuf_puts(out, "\nThe same plants on the same ground: only the arrangement differs\n");
        tables(&t, &c->same, false);
    }
    strbuf_puts(out, "\nSeasons of 2,000 in which the row gives more than the column\n");
    strbuf_puts(out, "Each at its own best\n");
    chances(&t, &c->best);
    if (c->same.n > 0) {
        strbuf_puts(out, "The same plants on the same ground\n");
        chances(&t, &c->same);
    }
    frontier(&t);
    verdict(&t);
}
