/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each of the gardener's terms where it binds and where it does not: taken away, a binding one
 * leaves more to be had, and a loose one nothing. By the relaxed program, which is exact. */
#include "hr_test.h"

#include <string.h>

#include "menu_text.h"
#include "program.h"
#include "solver.h"

/* The best the relaxed program of a garden can come to, in the unit of column T. */
static double most(const char *plot, const char *corn, const char *more)
{
    char yaml[2048];
    snprintf(yaml, sizeof yaml,
             "garden: test\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
             "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"
             "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
             "plots:\n  - {name: A, size: 5 m x 6 m, rows: along-x%s}\n"
             "seed:\n  - {variety: Ear, crop: flint corn%s}\n  - {variety: Pod, crop: bush bean}\n"
             "  - {variety: Eye, crop: potato}\n%s",
             plot, corn, more);
    struct made made = made_of(yaml);
    struct garden_text *t = &made.text;
    struct program m;
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
