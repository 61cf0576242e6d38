/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "compare.h"
#include "compare_text.h"
#include "compare_words.h"
#include "garden_text.h"
#include "scene_compare.h"
#include "verify.h"

/* Small ground, and a wide gap: what is tested is not how close a plan is. */
#define HEAD                                                                                       \
    "garden: Test\nunits: metric\nyear: 2027\nsite:\n  latitude: 45 deg\n"                         \
    "  last frost: {early: Apr 20, median: May 2, late: May 14}\n"                                 \
    "  first frost: {early: Sep 28, median: Oct 10, late: Oct 22}\n"                               \
    "plots:\n  - {name: A, size: 4 m x 4 m, rows: along-x, border: 10 cm}\n"
#define SEED                                                                                       \
    "seed:\n  - {variety: E, crop: flint corn}\n  - {variety: S, crop: climbing bean}\n"           \
    "  - {variety: L, crop: butternut squash}\n"
#define WIDE  "  - {name: wide, systems: [rows], crops: [flint corn]}\n"
#define SAME  "  - {name: again, systems: [rows], crops: [flint corn]}\n"
#define OTHER "  - {name: beans, systems: [rows], crops: [climbing bean]}\n"

struct made {
    struct garden_text t;
    struct compare *c;
    hr_status status;
};

static struct made made_of(const char *yaml)
{
    struct made m = {.t = garden_text_read(yaml)};
    cr_assert(m.t.status == HR_OK, "%s", garden_text_diags(&m.t));
    const struct compare_options o = {.seconds = 300, .gap = 0.05};
    m.status = compare_make(m.t.garden, &o, m.t.arena, m.t.diags, &m.c);
    return m;
}

static const char *text_of(const struct made *m)
{
    struct strbuf b;
    strbuf_init(&b, m->t.arena);
    compare_text(m->c, &b);
    cr_assert(!b.failed);
    return b.p;
}

static const struct compare_layout *named(const struct compare *c, const char *name)
{
    for (int i = 0; i < c->best.n; i++)
        if (strcmp(c->best.layouts[i].name, name) == 0)
            return &c->best.layouts[i];
    return NULL;
}

/* ---- what must hold of any ----------------------------------------------------------------- */

static void check_plans(const struct made *m)
{
    const struct compare *c = m->c;
    const double ground = c->best.layouts[LAYOUT_FREE].y.whole.ground_m2;
    for (int i = 0; i < c->best.n; i++) {
        const struct compare_layout *l = &c->best.layouts[i];
        cr_assert(l->plan, "%s: %s", l->name, l->why);
        CALL(verify_plan(l->plan, m->t.arena, m->t.diags));
        cr_assert(near(l->y.whole.ground_m2, ground, 1e-9), "the same ground");
        for (int b = 0; b < l->plan->nblocks; b++) {
            enum system s = l->plan->blocks[b].planting->system;
            cr_assert(s != SYSTEM_HILLS || l->kind == LAYOUT_HILLS || l->kind == LAYOUT_FREE);
            cr_assert(s != SYSTEM_ROW_GUILD || l->kind == LAYOUT_ROW_GUILD ||
                      l->kind == LAYOUT_FREE);
        }
        cr_assert(l->plan->value <= c->best.layouts[LAYOUT_FREE].plan->bound * (1 + 1e-9) ||
                      l->kind == LAYOUT_OWN,
                  "%s: nothing beats the bound of free choice", l->name);
    }
    cr_assert(c->best.layouts[LAYOUT_HILLS].y.hills > 0);
}

/* The same plants of each crop, the same ground. */
static void check_same(const struct made *m)
{
    const struct compare_group *g = &m->c->same;
    cr_assert_eq(g->n, 3);
    for (int i = 1; i < g->n; i++) {
        cr_assert_eq(g->layouts[i].plan->ncrops, g->layouts[0].plan->ncrops);
        for (int k = 0; k < g->layouts[0].plan->ncrops; k++)
            cr_assert_eq(g->layouts[i].plan->crops[k].plants, g->layouts[0].plan->crops[k].plants);
        cr_assert(near(g->layouts[i].y.planted_m2, g->layouts[0].y.planted_m2, 1e-9));
        cr_assert(near(g->layouts[i].y.plants_m2, g->layouts[0].y.plants_m2, 1e-9));
    }
}

static void check_frontier(const struct compare *c)
{
    cr_assert_eq(c->nrays, COMPARE_RAYS);
    cr_assert(COMPARE_RAYS >= 9);
    for (int i = 0; i < c->nrays; i++) {
        cr_assert(c->rays[i].gap >= 0 && c->rays[i].gap < 0.15, "ray %d: %g", i, c->rays[i].gap);
        cr_assert(i == 0 || (c->rays[i].energy_kcal <= c->rays[i - 1].energy_kcal + 1e-6 &&
                             c->rays[i].usable_g >= c->rays[i - 1].usable_g - 1e-6));
    }
    for (int i = 1; i < c->npoints; i++)
        cr_assert(c->points[i].energy_kcal < c->points[i - 1].energy_kcal &&
                      c->points[i].usable_g > c->points[i - 1].usable_g,
                  "no point is beaten in both");
}

static void check_chances(const struct compare_group *g)
{
    for (int a = 0; a < g->nplans; a++)
        for (int b = 0; b < g->nplans; b++)
            cr_assert(near(chance_wins(g->pairs, g->nplans, a, b) +
                               chance_wins(g->pairs, g->nplans, b, a),
                           1, 1e-12));
}

Test(compare, hills_and_rows_on_the_same_terms, .timeout = 300)
{
    struct made m = made_of(HEAD SEED "compare:\n" WIDE SAME);
    cr_assert(m.status == HR_OK, "%s", garden_text_diags(&m.t));
    check_plans(&m);
    check_same(&m);
    check_frontier(m.c);
    check_chances(&m.c->best);
    check_chances(&m.c->same);
    /* two layouts of one's own that are the same come out even */
    const struct compare_layout *a = named(m.c, "wide"), *b = named(m.c, "again");
    const struct chance_pair *pair =
        chance_pair_of(m.c->best.pairs, m.c->best.nplans, a->rank, b->rank);
    cr_assert(pair->same && pair->wins >= 0.5 && pair->wins <= 0.5);
    cr_assert(strstr(text_of(&m), "the same") != NULL);
    garden_text_free(&m.t);
}

/* Every line fits 80 columns, and the last words are a verdict; the page has the marks of all. */
Test(compare, words_and_page, .timeout = 300)
{
    struct scene *scene;
    struct made m =
        made_of(HEAD SEED "compare:\n  - {name: a name of one's own that is too long for "
                          "any column, systems: [rows]}\n");
    const char *text = text_of(&m);
    for (const char *line = text; *line; line += strcspn(line, "\n") + 1) {
        char one[512];
        snprintf(one, sizeof one, "%.*s", (int)strcspn(line, "\n"), line);
        cr_assert(utf8_columns(one) <= 80, "%s", one);
    }
    struct verdict v;
    CALL(compare_verdict(m.c, m.t.arena, &v));
    const char *asked = strstr(text, "Hills or rows, here?");
    cr_assert(asked && strstr(asked, "Each at its own best") && strstr(asked, "same plants"));
    cr_assert(v.top >= 0 && v.headline[0] != '\0' && v.proof[0] != '\0');
    CALL(scene_compare(m.t.arena, m.c, PAPER_A4, &scene));
    cr_assert_eq(scene->npages, 1);
    int panels = 0, intervals = 0, tags = 0, plans = 0;
    const struct page *page = &scene->pages[0];
    for (int i = 0; i < page->n; i++) {
        const struct mark *k = &page->marks[i];
        panels += strcmp(k->what, "plot") == 0;
        intervals += strcmp(k->what, "typical") == 0;
        tags += strcmp(k->what, "tag") == 0 && k->kind == MARK_CIRCLE;
        plans += strcmp(k->what, "plan") == 0;
        cr_assert(k->kind != MARK_TEXT || k->size_mm >= TYPE_LEAST_MM - 1e-9, "%s", k->text);
        for (int p = 0; p < k->npoints; p++)
            cr_assert(k->points[p].x >= 0 && k->points[p].x <= page->w_mm && k->points[p].y >= 0 &&
                          k->points[p].y <= page->h_mm,
                      "%s off the page", k->what);
    }
    cr_assert_eq(panels, m.c->best.nplans + m.c->same.nplans);
    cr_assert_eq(intervals, m.c->best.nplans + m.c->same.nplans);
    cr_assert(tags >= 1 && tags <= m.c->best.nplans);
    cr_assert_eq(plans, m.c->npoints);
    garden_text_free(&m.t);
}

/* Which layout is listed first changes nothing, to the letter. */
Test(compare, order_of_the_list_changes_nothing, .timeout = 300)
{
    struct made a = made_of(HEAD SEED "compare:\n" WIDE OTHER);
    struct made b = made_of(HEAD SEED "compare:\n" OTHER WIDE);
    cr_assert_str_eq(text_of(&a), text_of(&b));
    garden_text_free(&a.t);
    garden_text_free(&b.t);
}

/* What cannot be planned is said to be so, and the rest is compared. */
Test(compare, without_a_guild, .timeout = 300)
{
    struct made m = made_of(HEAD "seed:\n  - {variety: P, crop: potato}\n");
    cr_assert(m.status == HR_OK, "%s", garden_text_diags(&m.t));
    cr_assert(!m.c->guild && m.c->same.n == 0);
    cr_assert(!m.c->best.layouts[LAYOUT_HILLS].plan && m.c->best.layouts[LAYOUT_HILLS].why);
    cr_assert_eq(m.c->best.nplans, 2);
    cr_assert(m.c->best.pairs[0].same, "with one crop, free choice is rows");
    struct verdict v;
    CALL(compare_verdict(m.c, m.t.arena, &v));
    cr_assert(strstr(v.best, "Not possible: guild in hills") != NULL, "%s", v.best);
    garden_text_free(&m.t);
}

Test(compare, nothing_to_compare, .timeout = 300)
{
    struct made m = made_of(HEAD "seed:\n  - {variety: P, crop: potato, amount: 5 pieces}\n"
                                 "wishes:\n  - {crop: potato, at least: 900 kg}\n");
    cr_assert_eq(m.status, HR_INFEASIBLE);
    cr_assert(m.c == NULL, "left as it was");
    expect_diag(m.t.diags, 0, 0, "nothing-to-compare");
    garden_text_free(&m.t);
}

Test(compare, shares_in_words)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    cr_assert_str_eq(compare_share(arena, 1), "100 %");
    cr_assert_str_eq(compare_share(arena, 0.9995), "> 99 %");
    cr_assert_str_eq(compare_share(arena, 0.5), "50 %");
    cr_assert_str_eq(compare_share(arena, 0.0005), "< 1 %");
    cr_assert_str_eq(compare_share(arena, 0), "0 %");
    cr_assert_str_eq(compare_range(arena, (struct span){14.1, 20.83, 29.4}, 1), "20.8 (14-29)");
    cr_assert(strlen(compare_range(arena, (struct span){3.4, 8.25, 16.3}, 1)) <=
              COMPARE_RANGE_WIDTH);
    arena_free(arena);
}
