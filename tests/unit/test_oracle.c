/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ours against the position-indexed program of tests/oracle, solved by GLPK and, where it is
 * installed, by Cbc. Both see the site's light alone: shade is the light loop's affair. */
#include "hr_test.h"

#include <stdlib.h>
#include <unistd.h>

#include "allocate.h"
#include "api.h"
#include "arcflow.h"
#include "garden_text.h"
#include "gardens.h"
#include "place.h"
#include "rival.h"
#include "verify.h"

#define GAP          1e-3 /* of the others' search */
#define GAP_OURS     0.01 /* as of a plan by default */
#define SECONDS      60
#define SECONDS_OURS 4    /* proved or not, what it has by then must do */
#define SHARE_OURS   0.98 /* of the optimum: never less */

struct match {
    const struct gardens_spec *spec;
    struct garden_text text;
    struct zones zones;
    struct menu menu;
    struct arcflow arcflow;
    double *x;
    char garden[40], lp[40]; /* files */
};

/* Where the garden, and the program made of it, stand in files. */
static void write_files(struct match *m)
{
    strcpy(m->garden, "/tmp/hillrow-oracle-XXXXXX.yaml");
    strcpy(m->lp, "/tmp/hillrow-oracle-XXXXXX.lp");
    int fd = mkstemps(m->garden, 5);
    FILE *f = fdopen(fd, "w");
    cr_assert(f != NULL);
    gardens_write(m->spec, f);
    fclose(f);
    close(mkstemps(m->lp, 3));
}

static void match_init(struct match *m, const struct gardens_spec *spec)
{
    *m = (struct match){.spec = spec};
    char *yaml = NULL;
    size_t size;
    FILE *f = open_memstream(&yaml, &size);
    gardens_write(spec, f);
    fclose(f);
    m->text = garden_text_read(yaml);
    cr_assert(m->text.status == HR_OK, "garden %lu: %s\n%s", spec->seed,
              garden_text_diags(&m->text), yaml);
    free(yaml);
    write_files(m);
    CALL(zones_cut(m->text.garden, m->text.arena, m->text.diags, &m->zones));
    CALL(menu_make(m->text.garden, &m->zones, m->text.arena, m->text.diags, &m->menu));
    cr_assert(arcflow_make(m->text.garden, &m->zones, &m->menu, m->text.arena, &m->arcflow));
    cr_assert(arcflow_write(&m->arcflow, m->lp));
    m->x = ARENA_ARRAY(m->text.arena, double, (size_t)m->arcflow.ncolumns);
}

static void match_free(struct match *m)
{
    unlink(m->lp);
    unlink(m->garden);
    arcflow_free(&m->arcflow);
    garden_text_free(&m->text);
}

/* The oracle's plan, its blocks where its paths put them, passes the checks that ours has to pass:
 * what it is worth is not won by breaking a rule. */
static void verify_oracle(struct match *m, double value)
{
    struct plan *plan = ARENA_NEW(m->text.arena, struct plan);
    struct food food;
    plan->arena = m->text.arena;
    plan->garden = m->text.garden;
    plan->zones = m->zones;
    cr_assert(arcflow_blocks(&m->arcflow, m->x, plan), "garden %lu: no paths", m->spec->seed);
    CALL(place_stations(plan));
    CALL(plan_totals(plan, &food));
    plan->value = food_value(&food, (enum goal)plan->garden->goal.v, &plan->garden->ration);
    plan->bound = plan->value;
    cr_assert(near(plan->value, value, 1e-6 * (1 + value)),
              "garden %lu: %g by its stations, not %g", m->spec->seed, plan->value, value);
    struct diags *diags = diags_new();
    const struct diag *d;
    hr_status status = verify_plan(plan, m->text.arena, diags);
    cr_assert(status == HR_OK || status == HR_INPUT);
    for (size_t i = 0; (d = diags_at(diags, i)) != NULL; i++) /* its plan is in full light */
        cr_assert(d->severity != DIAG_ERROR || strcmp(d->check, "verify-shade") == 0,
                  "garden %lu: %s", m->spec->seed, diags_words(diags));
    diags_free(diags);
}

/* The optimum by one solver; -HUGE_VAL: it is not installed. */
static double optimum_by(struct match *m, enum rival rival)
{
    struct rival_result r;
    rival_run(rival, m->lp, SECONDS, GAP, m->x, m->arcflow.ncolumns, &r);
    if (!r.there && rival != RIVAL_GLPK) {
        cr_log_info("%s is not installed", rival_names[rival]);
        return -HUGE_VAL;
    }
    cr_assert(r.found && r.proved, "garden %lu: %s did not solve it", m->spec->seed,
              rival_names[rival]);
    double value = arcflow_value(&m->arcflow, m->x);
    verify_oracle(m, value);
    return value;
}

/* The whole plan, shade and all, as the program makes it, keeps every rule and is no better than
 * what is best in full light. HR_OK when there is one. */
static hr_status make_ours(struct match *m, double best)
{
    hr_diags *diags = hr_diags_new();
    hr_library *library;
    hr_garden *garden;
    hr_plan *plan = NULL;
    hr_plan_options options = {.time_limit_s = SECONDS_OURS, .gap = GAP_OURS};
    CALL(hr_library_open("crops", diags, &library));
    CALL(hr_garden_read(m->garden, library, diags, &garden));
    hr_status status = hr_plan_make(garden, &options, diags, &plan);
    if (plan) {
        cr_assert(hr_plan_verify(plan, diags) == HR_OK, "garden %lu: %s", m->spec->seed,
                  hr_diags_text(diags));
        cr_assert(plan->inner->value > 0 && plan->inner->value <= best,
                  "garden %lu: %g in the shade, at most %g in full light", m->spec->seed,
                  plan->inner->value, best);
    } else {
        cr_log_info("garden %lu: %s", m->spec->seed, hr_diags_text(diags));
    }
    status = plan ? HR_OK : status;
    hr_plan_free(plan);
    hr_garden_free(garden);
    hr_library_free(library);
    hr_diags_free(diags);
    return status;
}

static void compare(const struct gardens_spec *spec)
{
    struct match m;
    match_init(&m, spec);
    struct allocate_options o = {.seconds = SECONDS_OURS, .gap = GAP_OURS};
    struct allocation ours = {0};
    hr_status status =
        allocate(m.text.garden, &m.zones, &m.menu, &o, m.text.arena, m.text.diags, &ours);
    cr_assert(ours.n > 0 && (status == HR_OK || status == HR_LIMIT), "garden %lu: %s", spec->seed,
              garden_text_diags(&m.text));
    double best = 0; /* the best of the solvers is the optimum, but for GAP */
    for (enum rival r = 0; r < RIVAL_COUNT; r++) {
        double value = optimum_by(&m, r), most = fmax(value, best);
        cr_assert(r == 0 || value < 0 || near(value, best, GAP * most),
                  "garden %lu: the solvers are at odds, %g and %g", spec->seed, best, value);
        best = most;
    }
    cr_log_info("garden %lu: %zu zones, %d plantings: ours %.4f, optimum %.4f", spec->seed,
                m.zones.n, m.menu.nplantings, ours.value, best);
    cr_assert(ours.value >= SHARE_OURS * best, "garden %lu: %g, the optimum is %g", spec->seed,
              ours.value, best);
    cr_assert(ours.value <= best * (1 + GAP), "garden %lu: %g, but the optimum is %g", spec->seed,
              ours.value, best);
    cr_assert(ours.bound >= best * (1 - 1e-6), "garden %lu: bound %g, but the optimum is %g",
              spec->seed, ours.bound, best);
    CALL(make_ours(&m, best * (1 + GAP)));
    match_free(&m);
}

/* Seed, zones, crops in hand, guild, rows, sides, what is asked, goal. */
static void compare_all(const struct gardens_spec *specs, size_t n)
{
    for (size_t i = 0; i < (SANITIZED ? 1 : n); i++)
        compare(&specs[i]);
}

Test(oracle, one_zone, .timeout = 280)
{
    static const struct gardens_spec specs[] = {
        {21, 1, 2, false, GARDENS_ALONG_X, 3, 4, 0, "energy"},
        {22, 1, 4, true, GARDENS_ALONG_X, 3, 4, 0, "days"},
        {23, 1, 4, true, GARDENS_ALONG_Y, 3, 4, GARDENS_AMOUNTS | GARDENS_WISHES, "days"},
        {8, 1, 3, false, GARDENS_ALONG_X, 2, 3.5, 0, "days"},
        {30, 1, 3, true, GARDENS_ALONG_Y, 2, 3.5, GARDENS_AMOUNTS | GARDENS_LIMITS, "protein"},
    };
    compare_all(specs, sizeof specs / sizeof *specs);
}

Test(oracle, either_way, .timeout = 280)
{
    static const struct gardens_spec specs[] = {
        {28, 1, 4, true, GARDENS_EITHER, 3, 4, GARDENS_AMOUNTS | GARDENS_WISHES, "days"},
        {29, 1, 3, false, GARDENS_EITHER, 3, 5, GARDENS_AMOUNTS | GARDENS_WISHES | GARDENS_LIMITS,
         "energy"},
        {2, 1, 3, false, GARDENS_EITHER, 2, 3.5, GARDENS_WISHES, "days"},
    };
    compare_all(specs, sizeof specs / sizeof *specs);
}

Test(oracle, several_zones, .timeout = 280)
{
    static const struct gardens_spec specs[] = {
        {1, 2, 3, false, GARDENS_ALONG_Y, 2, 3.5, GARDENS_AMOUNTS, "days"},
        {3, 2, 3, false, GARDENS_MIXED, 2, 3.5, GARDENS_AMOUNTS | GARDENS_WISHES, "days"},
        {25, 3, 3, false, GARDENS_MIXED, 2, 3, GARDENS_AMOUNTS | GARDENS_LIMITS, "days"},
        {26, 3, 3, false, GARDENS_MIXED, 2, 3, GARDENS_AMOUNTS | GARDENS_WISHES, "protein"},
    };
    compare_all(specs, sizeof specs / sizeof *specs);
}

/* ---- the networks themselves --------------------------------------------------------------- */

static const struct way ways[] = {{0, 0.7, 0.61, true},
                                  {1, 0.45, 0.45, false},
                                  {2, 0.33, 0, false},
                                  {3, 0.9, 0.25, false},
                                  {4, 0.52, 0.52, false}};
static const struct group groups[] = {{&ways[0], 1}, {&ways[1], 2}, {&ways[3], 2}};
enum { NGROUPS = sizeof groups / sizeof *groups };

/* The most of `left` that groups g and on fill, tried out. */
static double fill(int g, double left)
{
    double best = g == NGROUPS ? 0 : fill(g + 1, left);
    for (int c = 0; g < NGROUPS && c < groups[g].n; c++) {
        const struct way *w = &groups[g].ways[c];
        for (double laid = w->first_m; laid <= left + 1e-9; laid += w->next_m) {
            best = fmax(best, laid + fill(g + 1, left - laid));
            if (w->next_m <= 0)
                break;
        }
    }
    return best;
}

/* The longest path from source to sink. */
static double longest(const struct axis *axis)
{
    double at[4096];
    cr_assert(axis->nnodes <= 4096);
    for (int n = 0; n < axis->nnodes; n++)
        at[n] = n == axis->source ? 0 : -HUGE_VAL;
    for (int sweep = 0; sweep < axis->nnodes; sweep++) {
        bool more = false;
        for (int k = 0; k < axis->narcs; k++) {
            const struct arc *a = &axis->arcs[k];
            if (at[a->from] + a->m > at[a->to]) {
                at[a->to] = at[a->from] + a->m;
                more = true;
            }
        }
        if (!more)
            break;
    }
    return at[axis->sink];
}

Test(oracle, an_axis_loses_nothing)
{
    for (double length = 0.1; length < 5; length += 0.07) {
        struct axis axis;
        axis_make(groups, NGROUPS, length, &axis);
        cr_assert(!axis.failed);
        cr_assert(near(longest(&axis), fill(0, length), 1e-9),
                  "%g m: the path fills %g, tried out %g", length, longest(&axis), fill(0, length));
        cr_assert(longest(&axis) <= length + 1e-8);
        axis_free(&axis);
    }
}
