/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>
#include <stdarg.h>

#include "decompose.h"
#include "dice.h"
#include "filling.h"
#include "garden_text.h"

/* ---- small random gardens ------------------------------------------------------------------ */

struct setting {
    struct garden_text text;
    struct zones zones;
    struct menu menu;
    struct program m;
};

static void write_to(char *yaml, size_t cap, const char *fmt, ...)
{
    size_t n = strlen(yaml);
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(yaml + n, cap - n, fmt, ap);
    va_end(ap);
}

static void garden(char *yaml, size_t cap, int plots, bool twins, const char *more)
{
    static const char *const crops[] = {"summer squash", "potato", "bush bean", "climbing bean"};
    yaml[0] = '\0';
    write_to(yaml, cap,
             "garden: random\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
             "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"
             "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\nplots:\n");
    int x = dice(18, 32), y = dice(18, 32);
    for (int p = 0; p < plots; p++) {
        write_to(yaml, cap, "  - {name: P%d, size: %d.%d m x %d.%d m, rows: %s}\n", p + 1, x / 10,
                 x % 10, y / 10, y % 10, dice(0, 2) || twins ? "along-x" : "either");
        if (!twins) {
            x = dice(18, 32);
            y = dice(18, 32);
        }
    }
    write_to(yaml, cap, "seed:\n  - {variety: A, crop: flint corn, amount: %d seeds}\n",
             dice(40, 300));
    int other = dice(0, 3);
    write_to(yaml, cap, "  - {variety: B, crop: %s}\n", crops[other]);
    if (other == 3) /* a guild, too, whose hills stand staggered */
        write_to(yaml, cap, "  - {variety: C, crop: butternut squash}\n");
    write_to(yaml, cap, "goal: %s\n%s", dice(0, 1) ? "energy" : "days", more);
}

static void setting_build(struct setting *s)
{
    CALL(zones_cut(s->text.garden, s->text.arena, s->text.diags, &s->zones));
    CALL(menu_make(s->text.garden, &s->zones, s->text.arena, s->text.diags, &s->menu));
    CALL(program_init(&s->m, s->text.garden, &s->zones, &s->menu, s->text.arena));
    CALL(program_build(&s->m));
}

static void setting_open(struct setting *s, const char *yaml)
{
    *s = (struct setting){.text = garden_text_read(yaml)};
    cr_assert(s->text.status == HR_OK, "%s", garden_text_diags(&s->text));
    setting_build(s);
}

static struct solver_result parts(const struct setting *s, const struct solver_options *o)
{
    struct solver_result r = {0};
    const char *failure = "";
    hr_status status = decompose_run(&s->m, o, NULL, &r, &failure);
    cr_assert(status == HR_OK, "status %d: %s", (int)status, failure);
    cr_assert(!r.x || mip_breach(&s->m.mip, r.x) <= 1e-6, "a plan that breaks its rows");
    cr_assert(!r.x || near(mip_objective(&s->m.mip, r.x), r.value, 1e-9 * (1 + r.value)));
    return r;
}

/* GLPK on the whole program says what is true. */
static bool compare(const char *yaml)
{
    struct setting s;
    setting_open(&s, yaml);
    struct solver_options o = {.seconds = 60, .gap = 1e-4};
    struct solver_result r = parts(&s, &o), whole = {0};
    o.nodes = 1000;
    CALL(solver_run(&s.m.mip, &o, &whole, NULL));
    bool possible = whole.x != NULL;
    if (whole.state == SOLVER_INFEASIBLE)
        cr_assert(!r.x, "a plan where none is possible: %s", yaml);
    if (r.state == SOLVER_INFEASIBLE)
        cr_assert(!possible, "shown impossible, but it is not: %s", yaml);
    if (possible) {
        cr_assert(r.bound >= whole.value * (1 - 1e-9), "bound %.9g below a plan of %.9g: %s",
                  r.bound, whole.value, yaml);
        cr_assert(!r.x || r.value <= whole.bound * (1 + 1e-9), "%.9g above the bound %.9g: %s",
                  r.value, whole.bound, yaml);
        cr_assert(!r.x || r.bound >= r.value);
    }
    bool found = r.x != NULL;
    garden_text_free(&s.text);
    return found;
}

Test(decompose, same_as_the_whole_program, .timeout = 240)
{
    static const char *const terms[] = {
        "",
        "wishes: [{crop: flint corn, at least: 8 plants}]\n",
        "limits: {share of energy: 70 %, blocks: 2}\n",
        "limits: {hours: 4 h}\n",
        "limits: {share of area: 60 %}\n",
        "wishes: [{crop: flint corn, at least: 10 %, at most: 40 %}]\n",
        "wishes: [{crop: flint corn, at least: 400 kg}]\n",
        "wishes: [{crop: flint corn, at least: 8 plants, weight: 160 %}]\n",
    };
    int found = 0, tried = 0;
    dice_state = 88172645463325252ul;
    for (int run = 0; run < 23; run++) {
        char yaml[2048];
        garden(yaml, sizeof yaml, 1 + run % 3, run % 5 == 4, terms[run < 21 ? run % 7 : 7]);
        found += compare(yaml);
        tried++;
    }
    cr_assert(found > tried / 2, "a plan in %d of %d gardens only", found, tried);
}

/* Beds that are alike but for what stood there are not taken for one another: avoided ground counts
 * for less in the fillings, too. */
Test(decompose, avoided_ground, .timeout = 60)
{
    struct former former = {.year = 2026, .x1 = 2, .y1 = 2, .family = "Solanaceae"};
    struct setting s = {
        .text = garden_text_read(
            "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
            "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\nplots:\n"
            "  - {name: A, size: 2 m x 2 m, border: 0 m, rows: along-x}\n"
            "  - {name: B, size: 2 m x 2 m, border: 0 m, rows: along-x}\n"
            "seed:\n  - {variety: A, crop: flint corn}\n"
            "  - {variety: B, crop: potato, amount: 8 pieces}\n"
            "limits: {reserve: 0 %}\ngoal: energy\n"
            "rotation: {rule: avoid, cost: 60 %}\n")};
    cr_assert(s.text.status == HR_OK, "%s", garden_text_diags(&s.text));
    s.text.garden->former = &former;
    s.text.garden->nformer = 1;
    setting_build(&s);
    struct solver_options o = {.seconds = 60, .gap = 1e-4};
    struct solver_result r = parts(&s, &o), whole = {0};
    CALL(solver_run(&s.m.mip, &o, &whole, NULL));
    cr_assert(r.x && whole.x && r.value <= whole.bound * (1 + 1e-9) &&
                  r.value >= 0.98 * whole.value && r.bound >= whole.value * (1 - 1e-9),
              "%g of %g, whole %g", r.value, r.bound, whole.value);
    double potatoes[2] = {0, 0};
    for (int i = 0; i < s.menu.nitems; i++)
        if (s.menu.plantings[s.menu.items[i].planting].parts[0].seed_index == 1)
            potatoes[s.zones.items[s.menu.items[i].zone].plot] +=
                r.x[s.m.col_n[i]] + (s.m.col_s[i] >= 0 ? r.x[s.m.col_s[i]] : 0);
    cr_assert(potatoes[0] == 0 && potatoes[1] > 0, "%g and %g", potatoes[0], potatoes[1]);
    garden_text_free(&s.text);
}

/* Vines over the paths beside two plots that are alike. */
Test(decompose, over_paths, .timeout = 120)
{
#define PLOT(name)                                                                                 \
    "  - {name: " name ", size: 3 m x 2.8 m, rows: along-x, border: 10 cm, edges: [{side: 1, "     \
    "kind: path, overhang: yes}]}\n"
    cr_assert(compare("garden: A\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
                      "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"
                      "plots:\n" PLOT("A")
                          PLOT("B") "seed:\n"
                                    "  - {variety: A, crop: flint corn, amount: 90 seeds}\n"
                                    "  - {variety: C, crop: butternut squash}\n"
                                    "grow: {guilds: []}\nlimits: {share of area: 60 %}\n"));
}

/* With several zones the plans are good, too, not only true. */
Test(decompose, near_the_optimum, .timeout = 120)
{
    dice_state = 362436069ul;
    char yaml[2048];
    garden(yaml, sizeof yaml, 6, false, "wishes: [{crop: flint corn, at least: 20 plants}]\n");
    struct setting s;
    setting_open(&s, yaml);
    struct solver_options o = {.seconds = 60, .gap = 1e-4};
    struct solver_result r = parts(&s, &o), again = parts(&s, &o);
    cr_assert(r.x && r.value >= 0.97 * r.bound, "%g of %g", r.value, r.bound);
    for (int j = 0; j < s.m.mip.ncolumns; j++)
        cr_assert(r.x[j] == again.x[j], "the same program gives the same plan");
    garden_text_free(&s.text);
}

Test(decompose, impossible_is_proved)
{
    dice_state = 521288629ul;
    char yaml[2048];
    garden(yaml, sizeof yaml, 3, false, "wishes: [{crop: flint corn, at least: 400 kg}]\n");
    struct setting s;
    setting_open(&s, yaml);
    struct solver_options o = {.seconds = 60, .gap = 0.01};
    struct solver_result r = parts(&s, &o);
    cr_assert(r.state == SOLVER_INFEASIBLE && !r.x, "state %d", (int)r.state);
    garden_text_free(&s.text);
}

/* Asks to end the n-th time it is called. */
struct stopper {
    int calls, end;
};

static bool stop(void *data, double seconds, double value, double bound)
{
    struct stopper *p = (struct stopper *)data;
    cr_assert(seconds >= 0 && bound >= value, "%g %g", value, bound);
    return ++p->calls >= p->end;
}

/* Wherever the search is stopped, what it says holds; a plan it began with stays. */
Test(decompose, stopped_at_any_point, .timeout = 120)
{
    dice_state = 88172645463325252ul;
    char yaml[2048];
    garden(yaml, sizeof yaml, 5, false, "wishes: [{crop: flint corn, at least: 30 plants}]\n");
    struct setting s;
    setting_open(&s, yaml);
    struct solver_options o = {.seconds = 60, .gap = 1e-4};
    struct solver_result best = parts(&s, &o);
    cr_assert(best.x);
    double *start = ARENA_ARRAY(s.text.arena, double, (size_t)s.m.mip.ncolumns);
    memcpy(start, best.x, sizeof *start * (size_t)s.m.mip.ncolumns);
    for (int k = 0; k < 6; k++) {
        struct stopper stopper = {0, 1 + k};
        o = (struct solver_options){.seconds = k % 2 ? 1e-4 * (1 << 2 * k) : 60,
                                    .gap = 1e-6,
                                    .progress = stop,
                                    .data = &stopper};
        struct solver_result r = parts(&s, &o);
        cr_assert(r.state != SOLVER_INFEASIBLE);
        cr_assert(r.bound >= best.value * (1 - 1e-9), "bound %g, plan %g", r.bound, best.value);
        o.start = start;
        r = parts(&s, &o);
        cr_assert(r.x && r.value >= best.value * (1 - 1e-12), "%g after %g", r.value, best.value);
    }
    garden_text_free(&s.text);
}

/* ---- fillings ------------------------------------------------------------------------------ */

/* The zone's columns and rows alone, by their worth: what filling_best is to solve. */
static double best_by_solver(const struct setting *s, size_t z, const double *worth)
{
    const struct mip *mip = &s->m.mip;
    struct mip copy;
    mip_init(&copy, s->text.arena);
    char prefix[40];
    snprintf(prefix, sizeof prefix, "_%s", s->zones.items[z].name);
    for (int j = 0; j < mip->ncolumns; j++) {
        bool mine = j == s->m.col_d[z] || j == s->m.col_v[z];
        for (int i = 0; i < s->menu.nitems && !mine; i++)
            mine = s->menu.items[i].zone == (int)z &&
                   (j == s->m.col_n[i] || j == s->m.col_y[i] || j == s->m.col_q[i] ||
                    j == s->m.col_s[i] || j == s->m.col_w[i] || j == s->m.col_b[0][i] ||
                    j == s->m.col_b[1][i]);
        const struct mip_column *c = &mip->columns[j];
        mip_column(&copy, c->kind, mine ? c->lower : 0, mine ? c->upper : 0, worth[j], "%s",
                   c->name);
    }
    for (size_t g = 0; g < s->zones.ngrounds; g++)
        if (s->m.col_o[g] >= 0)
            copy.columns[s->m.col_o[g]].lower = copy.columns[s->m.col_o[g]].upper = 1;
    for (int r = 0; r < mip->nrows; r++)
        if (!program_row_ties(&s->m, r)) {
            int row =
                mip_row(&copy, mip->rows[r].lower, mip->rows[r].upper, "%s", mip->rows[r].name);
            for (int e = 0; e < mip->nentries; e++)
                if (mip->entries[e].row == r)
                    mip_add(&copy, row, mip->entries[e].column, mip->entries[e].value);
        }
    for (int j = 0; j < copy.ncolumns; j++)
        copy.columns[j].objective = copy.columns[j].upper > 0 ? worth[j] : 0;
    for (size_t g = 0; g < s->zones.ngrounds; g++)
        if (s->m.col_o[g] >= 0)
            copy.columns[s->m.col_o[g]].objective = 0;
    CALL(mip_finish(&copy));
    struct solver_options o = {.seconds = 60, .gap = 1e-6};
    struct solver_result r = {0};
    CALL(solver_run(&copy, &o, &r, NULL));
    cr_assert(r.state == SOLVER_OPTIMAL);
    return r.value;
}

/* The best filling of the first zone for lines of random worth, against the solver's. The blocks it
 * has at the zone's ends, over a path, are returned. */
static int filling_compare(const char *yaml)
{
    struct setting s;
    setting_open(&s, yaml);
    int n = s.m.mip.ncolumns, ends = 0;
    double *worth = ARENA_ARRAY(s.text.arena, double, (size_t)n), value = 0, found = 0;
    for (int i = 0; i < s.menu.nitems; i++) {
        double line = dice(-2, 10) * s.menu.items[i].stations[0];
        worth[s.m.col_n[i]] = line;
        worth[s.m.col_y[i]] = -0.01 * dice(0, 3);
        if (s.m.col_q[i] >= 0)
            worth[s.m.col_q[i]] = dice(0, 3);
        if (s.m.col_s[i] >= 0) {
            worth[s.m.col_s[i]] = line / s.menu.items[i].stations[0];
            worth[s.m.col_w[i]] = -0.01;
        }
    }
    struct filler *filler = filler_new(&s.m, s.text.arena);
    struct filling x;
    cr_assert(filler);
    double bound = filling_bound(filler, 0, worth);
    CALL(filling_best(filler, 0, worth, s.text.arena, &x, &value));
    double best = best_by_solver(&s, 0, worth);
    double *all = ARENA_ARRAY(s.text.arena, double, (size_t)n);
    for (int k = 0; k < x.n; k++) {
        found += worth[x.columns[k]] * x.x[k];
        all[x.columns[k]] = x.x[k];
    }
    for (int i = 0; i < s.menu.nitems; i++)
        for (int end = 0; end < 2; end++)
            ends += s.m.col_b[end][i] >= 0 && all[s.m.col_b[end][i]] > 0.5;
    for (int e = 0, next; e < s.m.mip.nentries; e = next) { /* it keeps the zone's rows */
        const struct mip_row *row = &s.m.mip.rows[s.m.mip.entries[e].row];
        double sum = 0;
        for (next = e;
             next < s.m.mip.nentries && s.m.mip.entries[next].row == s.m.mip.entries[e].row; next++)
            sum += s.m.mip.entries[next].value * all[s.m.mip.entries[next].column];
        cr_assert(program_row_ties(&s.m, s.m.mip.entries[e].row) ||
                      (sum <= row->upper + 1e-6 && sum >= row->lower - 1e-6),
                  "%s is %g: %s", row->name, sum, yaml);
    }
    cr_assert(near(found, value, 1e-6 * (1 + value)), "%g found, %g said: %s", found, value, yaml);
    cr_assert(bound >= best - 1e-6 * (1 + best), "bound %g, best %g: %s", bound, best, yaml);
    cr_assert(value <= best + 1e-6 * (1 + best), "value %g, best %g: %s", value, best, yaml);
    cr_assert(value >= 0.995 * best, "value %g, best %g: %s", value, best, yaml);
    garden_text_free(&s.text);
    return ends;
}

Test(filling, same_as_the_solver, .timeout = 240)
{
    dice_state = 1234567891ul;
    for (int run = 0; run < 9; run++) {
        char yaml[2048];
        garden(yaml, sizeof yaml, 1, true, run % 3 ? "" : "limits: {blocks: 3}\n");
        (void)filling_compare(yaml);
    }
}

/* Vines over a path beside the first line, the last one, or both. */
Test(filling, over_paths_same_as_the_solver, .timeout = 240)
{
#define OVER(side) "{side: " side ", kind: path, overhang: yes}"
    static const char *const edges[] = {OVER("1"), OVER("3"), (OVER("1") ", " OVER("3"))};
    int ends[3] = {0, 0, 0};
    dice_state = 88172645463325252ul;
    for (int run = 0; run < 12; run++) {
        char yaml[2048] = "";
        write_to(yaml, sizeof yaml,
                 "garden: random\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
                 "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\nplots:\n"
                 "  - {name: P, size: 3 m x %d cm, rows: along-x, border: 10 cm, edges: [%s]}\n"
                 "seed:\n  - {variety: A, crop: flint corn}\n  - {variety: B, crop: %s}\n"
                 "  - {variety: C, crop: butternut squash}\n",
                 dice(200, 500), edges[run % 3], run % 2 ? "summer squash" : "climbing bean");
        ends[run % 3] += filling_compare(yaml);
    }
    cr_assert(ends[0] > 0 && ends[1] > 0 && ends[2] > ends[0], "%d, %d, %d blocks at the ends",
              ends[0], ends[1], ends[2]);
}
