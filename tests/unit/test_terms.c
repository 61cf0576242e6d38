/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each of the gardener's terms where it binds and where it does not: taken away, a binding one
 * leaves more to be had, and a loose one nothing. By the relaxed program, which is exact. */
#include "hr_test.h"

#include <string.h>

#include "check.h"
#include "menu_text.h"
#include "program.h"
#include "solver.h"

/* Where somebody stood last year, for the terms of rotation. */
static const struct former *former;

static void garden_yaml(char *yaml, size_t size, const char *plot, const char *corn,
                        const char *more)
{
    snprintf(yaml, size,
             "garden: test\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
             "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"
             "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
             "plots:\n  - {name: A, size: 5 m x 6 m, rows: along-x%s}\n"
             "seed:\n  - {variety: Ear, crop: flint corn%s}\n  - {variety: Pod, crop: bush bean}\n"
             "  - {variety: Eye, crop: potato}\n%s",
             plot, corn, more);
}

/* The library is read once. */
static struct garden_text text_of(const char *yaml)
{
    static struct {
        struct arena *arena;
        struct library *library;
    } kept;
    struct garden_text t = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    const struct source *src;
    if (!kept.arena) {
        kept.arena = arena_new(ARENA_CAP_DEFAULT);
        CALL(library_read(kept.arena, "crops", t.diags, &kept.library));
    }
    CALL(source_text(t.arena, "test.yaml", yaml, strlen(yaml), &src));
    t.library = kept.library;
    t.status = garden_read(t.arena, src, kept.library, t.diags, &t.garden);
    return t;
}

/* The best the relaxed program of a garden can come to, in the unit of column T. */
static double most(const char *plot, const char *corn, const char *more)
{
    char yaml[2048];
    garden_yaml(yaml, sizeof yaml, plot, corn, more);
    struct made made = {.text = text_of(yaml)};
    struct garden_text *t = &made.text;
    struct program m;
    cr_assert(t->status == HR_OK, "%s", garden_text_diags(t));
    if (former) {
        t->garden->former = ARENA_ARRAY(t->arena, struct former, 1);
        t->garden->former[0] = *former;
        t->garden->nformer = 1;
    }
    CALL(zones_cut(t->garden, t->arena, t->diags, &made.zones));
    CALL(menu_make(t->garden, &made.zones, t->arena, t->diags, &made.menu));
    CALL(program_init(&m, t->garden, &made.zones, &made.menu, t->arena));
    CALL(program_build(&m));
    struct solver_options o = {.seconds = 60, .relaxed = true};
    struct solver_result r = {0};
    CALL(solver_run(&m.mip, &o, &r, NULL));
    cr_assert(r.x != NULL, "nothing is possible: %s", yaml);
    double value = r.x[m.col_t];
    garden_text_free(t);
    return value;
}

static const struct term_case {
    const char *name;
    const char *plot, *corn, *more;    /* where it binds */
    const char *plot2, *corn2, *more2; /* where it does not */
} cases[] = {
    {"at least", "", "", "wishes: [{crop: bush bean, at least: 25 m2}]\n", "", "",
     "wishes: [{crop: bush bean, at least: 0.1 m2}]\n"},
    {"at most", "", "", "wishes: [{crop: flint corn, at most: 5 plants}]\n", "", "",
     "wishes: [{crop: flint corn, at most: 5000 plants}]\n"},
    {"at least in a plot", "", "", "wishes: [{crop: bush bean, plot: A, at least: 3 kg}]\n", "", "",
     "wishes: [{crop: bush bean, plot: A, at least: 1 g}]\n"},
    {"share of energy", "", "", "limits: {share of energy: 40 %}\n", "", "",
     "limits: {share of energy: 99 %}\n"},
    {"share of area", "", "", "limits: {share of area: 35 %}\n", "", "",
     "limits: {share of area: 99 %}\n"},
    {"hours", "", "", "limits: {hours: 6 h}\n", "", "", "limits: {hours: 600 h}\n"},
    {"hours a week", "", "", "limits: {hours a week: 20 min}\n", "", "",
     "limits: {hours a week: 60 h}\n"},
    {"compost", "", "", "limits: {compost: 0.05 m3}\n", "", "", "limits: {compost: 5 m3}\n"},
    {"mulch", "", "", "limits: {mulch: 0.3 m3}\n", "", "", "limits: {mulch: 30 m3}\n"},
    {"seed in hand", "", ", amount: 9 seeds", "", "", ", amount: 9000 seeds", ""},
    {"reserve", "", ", amount: 60 seeds", "limits: {reserve: 80 %}\n", "", ", amount: 9000 seeds",
     "limits: {reserve: 80 %}\n"},
    {"age of seed", "", ", amount: 60 seeds, year: 2019", "", "",
     ", amount: 9000 seeds, year: 2019", ""},
    {"saving seed", "", ", save: yes",
     "  - {variety: Dent, crop: dent corn, amount: 40 seeds}\n"
     "wishes: [{variety: Ear, at least: 20 plants}]\n",
     "", ", save: yes, by hand: yes",
     "  - {variety: Dent, crop: dent corn, amount: 40 seeds}\n"
     "wishes: [{variety: Ear, at least: 20 plants}]\n"},
    {"border", ", border: 1 m", "", "", ", border: 6 in", "", ""},
    {"banned", ", banned: potato", "", "", ", banned: kale", "", ""},
    {"opening day", ", open: Jun 10", "", "", ", open: Mar 1", "", ""},
    {"clear by", ", clear by: Aug 15", "", "", ", clear by: Dec 20", "", ""},
    {"height", ", edges: [{side: 1, tallest: 1 m}]", "", "", ", edges: [{side: 1, tallest: 9 m}]",
     "", ""},
    {"grow", "", "", "grow: {crops: [bush bean]}\n", "", "",
     "grow: {crops: [flint corn, bush bean, potato]}\n"},
};

/* What the term's row is compared with: the same garden without it. */
static double without(const struct term_case *c, bool binding)
{
    const char *more = binding ? c->more : c->more2;
    bool save = c->corn[0] && strstr(c->corn, "save") != NULL;
    bool reserve = strcmp(c->name, "reserve") == 0, age = strcmp(c->name, "age of seed") == 0;
    const char *corn =
        reserve || age ? (binding ? ", amount: 60 seeds" : ", amount: 9000 seeds") : "";
    return most("", corn, save ? more : reserve ? "limits: {reserve: 0 %}\n" : "");
}

Test(terms, taken_away_what_binds_leaves_more_and_what_does_not_leaves_the_same)
{
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct term_case *c = &cases[i];
        double with = most(c->plot, c->corn, c->more), free_of_it = without(c, true);
        cr_expect(free_of_it > with * (1 + 1e-6), "%s: %.6f with it, %.6f without", c->name, with,
                  free_of_it);
        with = most(c->plot2, c->corn2, c->more2);
        free_of_it = without(c, false);
        cr_expect(near(free_of_it, with, 1e-7 * with), "loose %s: %.6f with it, %.6f without",
                  c->name, with, free_of_it);
    }
}

/* Terms that another garden than the bare one is held against: with it, and without. */
static const struct term_pair {
    const char *name;
    bool binds;
    const char *plot, *corn, *more;
    const char *corn_without, *more_without;
} pairs[] = {
    {"germination", true, "", ", amount: 60 seeds, germination: 30 %", "", ", amount: 60 seeds",
     ""},
    {"germination", false, "", ", amount: 9000 seeds, germination: 30 %", "",
     ", amount: 9000 seeds", ""},
    {"days", true, "", ", days: 170 days", "", "", ""},
    {"days", false, "", ", days: 100 days", "", "", ""},
    {"share wished", true, "", "", "wishes: [{crop: bush bean, at least: 60 %}]\n", "", ""},
    {"share wished", false, "", "", "wishes: [{crop: bush bean, at least: 0 %}]\n", "", ""},
    {"share at most", true, "", "", "wishes: [{crop: flint corn, at most: 10 %}]\n", "", ""},
    {"share at most", false, "", "", "wishes: [{crop: flint corn, at most: 100 %}]\n", "", ""},
    {"not in a plot", true, "", "", "wishes: [{crop: flint corn, plot: A, at most: 0 plants}]\n",
     "", ""},
    {"not in a plot", false, "", "",
     "wishes: [{crop: flint corn, plot: A, at most: 9000 plants}]\n", "", ""},
    {"shade", true, ", edges: [{side: 3, shade: 0 %}]", "", "grow: {crops: [flint corn]}\n", "",
     "grow: {crops: [flint corn]}\n"},
    {"shade", false, ", edges: [{side: 3, shade: 99 %}]", "", "", "", ""},
    {"one crop a year", true, "", "", "  - {variety: L, crop: lettuce}\ngrow: {crops: [lettuce]}\n",
     "", "  - {variety: L, crop: lettuce}\ngrow: {crops: [lettuce], second crops: yes}\n"},
    {"one crop a year", false, "", "", "grow: {crops: [flint corn]}\n", "",
     "grow: {crops: [flint corn], second crops: yes}\n"},
    {"picked fresh", true, "", "",
     "  - {variety: V, crop: climbing bean, harvest: fresh}\n"
     "  - {variety: W, crop: butternut squash}\ngrow: {crops: [bush bean]}\n",
     "",
     "  - {variety: V, crop: climbing bean}\n"
     "  - {variety: W, crop: butternut squash}\ngrow: {crops: [bush bean]}\n"},
    {"picked fresh", false, "", "",
     "  - {variety: V, crop: climbing bean, harvest: fresh}\ngrow: {guilds: corn and bean}\n", "",
     "  - {variety: V, crop: climbing bean}\ngrow: {guilds: corn and bean}\n"},
};

Test(terms, with_and_without)
{
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        const struct term_pair *c = &pairs[i];
        double with = most(c->plot, c->corn, c->more);
        double without_it = most("", c->corn_without, c->more_without);
        if (c->binds)
            cr_expect(without_it > with * (1 + 1e-6), "%s: %.6f with it, %.6f without", c->name,
                      with, without_it);
        else
            cr_expect(near(without_it, with, 1e-7 * with), "loose %s: %.6f with it, %.6f without",
                      c->name, with, without_it);
    }
}

/* The family of corn stood on all of the plot; and one that nobody has in hand. */
Test(terms, rotation)
{
    static const char *const rules[] = {"rotation: {rule: bar}\n", "rotation: {rule: avoid}\n"};
    const struct former grass = {.year = 2026, .x1 = 5, .y1 = 6, .family = "Poaceae"},
                        onions = {.year = 2026, .x1 = 5, .y1 = 6, .family = "Amaryllidaceae"};
    double bare = most("", "", "");
    for (size_t i = 0; i < 2; i++) {
        former = &grass;
        cr_expect(most("", "", rules[i]) < bare * (1 - 1e-6), "%s", rules[i]);
        former = &onions;
        cr_expect(near(most("", "", rules[i]), bare, 1e-9 * bare), "%s", rules[i]);
        former = NULL;
    }
    cr_expect(near(most("", "", "rotation: {rule: tell}\n"), bare, 1e-9 * bare));
}

/* ---- values that cannot be ------------------------------------------------------------------ */

enum where { AT_PLOT, AT_CORN, AT_END };

static const struct {
    enum where where;
    const char *text, *check;
} bad[] = {
    /* seed in hand */
    {AT_CORN, ", amount: 12", "missing-unit"},
    {AT_CORN, ", amount: 3 ft", "unknown-unit"},
    {AT_CORN, ", germination: 140 %", "out-of-range"},
    {AT_CORN, ", year: 1800", "out-of-range"},
    {AT_END, "limits: {reserve: 101 %}", "out-of-range"},
    /* saving seed */
    {AT_CORN, ", save: perhaps", "unknown-choice"},
    {AT_CORN, ", save: yes, by hand: 3", "unknown-choice"},
    {AT_END, "nearby: [{crop: flint corn, distance: 30}]", "missing-unit"},
    {AT_END, "nearby: [{crop: moon corn, distance: 30 ft}]", "unknown-crop"},
    /* season */
    {AT_CORN, ", days: 3000 days", "out-of-range"},
    {AT_CORN, ", degree days: 5", "out-of-range"},
    /* chains */
    {AT_END, "grow: {second crops: sometimes}", "unknown-choice"},
    {AT_END, "grow: {cover after harvest: 2}", "unknown-choice"},
    {AT_PLOT, ", standing: [{crop: garlic, at: [1 m, 1 m], size: 1 m x 1 m, until: Octember 3}]",
     "bad-date"},
    {AT_PLOT, ", standing: [{crop: tomato, at: [1 m, 1 m], size: 1 m x 1 m, over winter: yes}]",
     "standing-winter"},
    /* rotation */
    {AT_END, "rotation: {rule: never}", "unknown-choice"},
    {AT_END, "rotation: {rule: bar, years: 0}", "out-of-range"},
    {AT_END, "rotation: {rule: avoid, cost: 120 %}", "out-of-range"},
    {AT_END, "history: [{plan: no/plan.json, year: 2027}]", "history"},
    /* work and inputs */
    {AT_END, "limits: {hours: -3 h}", "out-of-range"},
    {AT_END, "limits: {hours a week: 3}", "missing-unit"},
    {AT_END, "limits: {compost: 3 kg}", "unknown-unit"},
    {AT_END, "limits: {mulch: lots}", "not-a-number"},
    {AT_CORN, ", harvest: raw", "unknown-choice"},
    {AT_PLOT, ", reach: 3", "missing-unit"},
    /* rules of the place */
    {AT_PLOT, ", border: -1 m", "out-of-range"},
    {AT_PLOT, ", edges: [{side: 3, tallest: 3}]", "missing-unit"},
    {AT_PLOT, ", edges: [{side: 3, within: 2 m}]", "height-rule"},
    {AT_PLOT, ", edges: [{side: 3, shade: 140 %}]", "out-of-range"},
    {AT_PLOT, ", open: Octember 3", "bad-date"},
    {AT_PLOT, ", open: Jul 3, clear by: May 1", "plot-days"},
    {AT_PLOT, ", banned: moon corn", "unknown-crop"},
    {AT_PLOT, ", wood chips: perhaps", "unknown-choice"},
    {AT_END, "limits: {share of energy: 120 %}", "out-of-range"},
    {AT_END, "limits: {share of area: some}", "not-a-number"},
    {AT_END, "limits: {blocks: 0}", "out-of-range"},
    /* wishes */
    {AT_END, "wishes: [{crop: potato, at least: -2 kg}]", "out-of-range"},
    {AT_END, "wishes: [{crop: potato, at least: 3 m}]", "unknown-unit"},
    {AT_END, "wishes: [{crop: potato, at least: 3 kg, at most: 2 kg}]", "wish-order"},
    {AT_END, "wishes: [{crop: potato, at most: 2 kg, plot: Nowhere}]", "unknown-plot"},
    {AT_END, "wishes: [{guild: moon and bean, at most: 2 hills}]", "unknown-guild"},
    {AT_END, "wishes: [{variety: Moon, at most: 2 kg}]", "unknown-variety"},
    {AT_END, "wishes: [{crop: potato, weight: 9000 %}]", "out-of-range"},
    {AT_PLOT, ", standing: [{crop: garlic, at: [4.5 m, 1 m], size: 1 m x 1 m}]",
     "standing-outside"},
    {AT_END, "grow: {crops: [moon corn]}", "unknown-crop"},
    {AT_END, "grow: {spacings: [{crop: potato, along: -1 cm}]}", "out-of-range"},
};

/* Each is an error on its own line, in the words that are wrong and not before them. */
Test(terms, a_bad_value_is_told_where_it_stands)
{
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        char yaml[2048];
        const char *text = bad[i].text;
        garden_yaml(yaml, sizeof yaml, bad[i].where == AT_PLOT ? text : "",
                    bad[i].where == AT_CORN ? text : "", bad[i].where == AT_END ? text : "");
        struct garden_text t = text_of(yaml);
        if (t.status == HR_OK)
            t.status = check_garden(t.garden, t.arena, t.diags);
        const char *at = strstr(yaml, text), *start = at;
        while (start > yaml && start[-1] != '\n')
            start--;
        size_t line = 1, first = (size_t)(at - start) + 1;
        for (const char *p = yaml; p < start; p++)
            line += *p == '\n';
        const struct diag *d = diag_find(t.diags, line, 0, bad[i].check);
        cr_expect(t.status == HR_INPUT && d, "%s: no %s in\n%s", text, bad[i].check,
                  garden_text_diags(&t));
        cr_expect(d && d->severity == DIAG_ERROR && d->col >= first &&
                      d->col <= first + strlen(text),
                  "%s: told at column %zu", text, d ? (size_t)d->col : 0);
        garden_text_free(&t);
    }
}
