/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <locale.h>

#include "check.h"
#include "garden_text.h"

#define HEAD "garden: Test\nyear: 2027\n"
#define SITE                                                                                       \
    "site:\n  latitude: 42 deg\n  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"
#define PLOTS "plots:\n  - {name: Plot 1, size: 20 ft x 25 ft}\n"
#define SEED  "seed:\n  - {variety: Ember, crop: flint corn}\n"

/* A garden that must read clean and pass the checks. */
static struct garden_text clean(const char *text)
{
    struct garden_text t = garden_text_read(text);
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    CALL(check_garden(t.garden, t.arena, t.diags));
    cr_assert(diags_count(t.diags) == 0, "%s", garden_text_diags(&t));
    return t;
}

Test(garden, defaults)
{
    struct garden_text t = clean(HEAD SITE PLOTS SEED);
    const struct garden *g = t.garden;
    cr_assert(g->units.v == UNITS_US && g->people.v == 1 && g->goal.v == GOAL_DAYS);
    cr_assert(near(g->limits.reserve.v, 0.15, 1e-12) && g->limits.blocks.v == 5);
    cr_assert(!g->limits.hours.set && !g->limits.share_energy.set && !g->limits.share_area.set);
    cr_assert(near(g->ration.energy_kcal.v, 2500, 1e-9));
    cr_assert(near(g->ration.protein_kg.v, 0.060, 1e-12));
    cr_assert(near(g->site.sun.v, 1, 0) && near(g->site.latitude.v, 42 * M_PI / 180, 1e-12));
    const struct plot *plot = garden_plot(g, 0);
    cr_assert(near(plot->border_m.v, 6 * 0.0254, 1e-12) && plot->rows.v == ROWS_EITHER);
    cr_assert(plot->bearing.v == 0);
    cr_assert(near(plot->size.x, 6.096, 1e-9) && near(plot->size.y, 7.62, 1e-9));
    cr_assert(!g->grow.guilds.set && !g->grow.crops.set && !g->grow.systems.set);
    cr_assert(garden_seed(g, 0)->crop == library_crop(t.library, "flint corn"));
    cr_assert(g->library == t.library && g->source != NULL);
    garden_text_free(&t);
}

Test(garden, samples_read_clean)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct diags *diags = diags_new();
    struct library *library;
    const struct source *src;
    struct garden *g;
    CALL(library_read(arena, "crops", diags, &library));
    CALL(source_read(arena, "samples/first-plot.yaml", diags, &src));
    cr_assert(garden_read(arena, src, library, diags, &g) == HR_OK, "%s", diags_words(diags));
    cr_assert(check_garden(g, arena, diags) == HR_OK, "%s", diags_words(diags));
    cr_assert(diags_count(diags) == 0, "%s", diags_words(diags));
    static const char *const crops[] = {"flint corn",    "climbing bean", "butternut squash",
                                        "bush bean",     "potato",        "summer squash",
                                        "grain amaranth"};
    for (size_t i = 0; i < sizeof crops / sizeof *crops; i++) {
        bool found = false;
        for (size_t k = 0; k < g->seed.n; k++)
            found |= garden_seed(g, k)->crop == library_crop(library, crops[i]);
        cr_expect(found, "no %s", crops[i]);
    }
    cr_assert(garden_plot(g, 0)->bearing.v > 0 && g->wishes.n >= 1 && g->limits.hours.set);
    arena_free(arena);
    diags_free(diags);
}

/* ---- names ---------------------------------------------------------------------------------- */

Test(garden, names_are_spelt_as_in_the_library)
{
    struct garden_text t = clean(HEAD SITE PLOTS "seed:\n"
                                                 "  - {variety: Ember, crop: Flint-Corn}\n"
                                                 "  - {variety: Speck, crop: CLIMBING bean}\n"
                                                 "grow:\n"
                                                 "  guilds: [Corn and Bean]\n"
                                                 "  crops: [FLINT corn]\n"
                                                 "  systems: [Row_Guild, rows]\n"
                                                 "wishes:\n"
                                                 "  - {crop: Flint corn, at least: 1 lb}\n"
                                                 "  - {variety: ember, at most: 90 plants}\n");
    const struct garden *g = t.garden;
    cr_assert_str_eq(garden_seed(g, 0)->crop_name.s, "flint corn");
    cr_assert_str_eq(garden_wish(g, 0)->crop_name.s, "flint corn");
    cr_assert_str_eq(garden_wish(g, 1)->variety.s, "Ember");
    cr_assert(garden_wish(g, 1)->at_most.kind == UNIT_COUNT);
    cr_assert_str_eq(((struct text *)g->grow.guilds.items)[0].s, "corn and bean");
    cr_assert_str_eq(((struct text *)g->grow.crops.items)[0].s, "flint corn");
    cr_assert_str_eq(((struct text *)g->grow.systems.items)[0].s, "row guild");
    garden_text_free(&t);
}

Test(garden, unknown_names_come_with_the_nearest)
{
    struct garden_text t =
        garden_text_read(HEAD SITE PLOTS "seed:\n"
                                         "  - {variety: Ember, crop: flint cron}\n"
                                         "grow:\n"
                                         "  guilds: [corn and bena]\n"
                                         "wishes:\n"
                                         "  - {variety: Amber, at least: 1 lb}\n");
    cr_assert(t.status == HR_INPUT && t.garden == NULL);
    const struct diag *d = diag_find(t.diags, 10, 28, "unknown-crop");
    cr_assert(d && strstr(d->text, "did you mean `flint corn`"), "%s", garden_text_diags(&t));
    d = diag_find(t.diags, 12, 12, "unknown-guild");
    cr_assert(d && strstr(d->text, "did you mean `corn and bean`"), "%s", garden_text_diags(&t));
    d = diag_find(t.diags, 14, 15, "unknown-variety");
    cr_assert(d && strstr(d->text, "did you mean `Ember`"), "%s", garden_text_diags(&t));
    garden_text_free(&t);
}

/* A seed list at fault says nothing of the wishes that name its varieties. */
Test(garden, one_fault_does_not_breed_others)
{
    struct garden_text t = garden_text_read(
        HEAD SITE PLOTS "seed:\n  - {variety: Ember, crop: flint corn, amount: 3}\n"
                        "wishes:\n  - {variety: Ember, at least: 1 lb}\n");
    cr_assert(t.status == HR_INPUT);
    expect_diag(t.diags, 10, 48, "missing-unit");
    cr_assert(diags_errors(t.diags) == 1, "%s", garden_text_diags(&t));
    garden_text_free(&t);
}

/* ---- the gardener's own figures ------------------------------------------------------------- */

/* The comma in a guild's name parts it in a list without quotes. */
Test(garden, a_guild_with_a_comma_wants_quotes)
{
    struct garden_text t =
        garden_text_read(HEAD SITE PLOTS SEED "grow:\n  guilds: [corn, bean and squash]\n");
    cr_assert(diags_errors(t.diags) == 2, "%s", garden_text_diags(&t));
    const char *text = diags_at(t.diags, 0)->text;
    cr_assert(strstr(text, "did you mean `\"corn, bean and squash\"`, in quotes"), "%s", text);
    garden_text_free(&t);
}

/* What cannot be read of an item hides nothing else of it or of its neighbours, and a name that
 * could not be read is not missed where it is used. */
Test(garden, a_faulty_item_hides_nothing)
{
    struct garden_text t =
        garden_text_read(HEAD SITE "plots:\n"
                                   "  - {name: \"\", size: 20 x 25 ft, banned: [potatos, [x]]}\n"
                                   "seed:\n"
                                   "  - {variety: Ember, crop: flint korn, amount: 4}\n"
                                   "  - {variety: [], crop: potatoe}\n"
                                   "  - 7\n"
                                   "wishes:\n"
                                   "  - {variety: Ember, at least: 1 lb, plot: Plot 1}\n"
                                   "  - {variety: Late, at least: nothing}\n"
                                   "  - {guild: corn and been, at least: 1}\n");
    static const char *const names[] = {"bad-text",     "missing-unit",  "wrong-type",
                                        "missing-unit", "wrong-type",    "wrong-type",
                                        "not-a-number", "missing-unit",  "unknown-crop",
                                        "unknown-crop", "unknown-guild", "unknown-crop"};
    const size_t n = sizeof names / sizeof *names;
    cr_assert(t.status == HR_INPUT);
    cr_assert(diags_count(t.diags) == n, "%zu:\n%s", diags_count(t.diags), garden_text_diags(&t));
    for (size_t i = 0; i < n; i++)
        cr_expect_str_eq(diags_at(t.diags, i)->check, names[i]);
    garden_text_free(&t);
}

Test(garden, own_figures_lie_over_the_library)
{
    struct garden_text t =
        clean(HEAD SITE PLOTS SEED "crops:\n"
                                   "  - crop: Flint corn\n"
                                   "    yield: {low: 2 t/ha, typical: 3 t/ha, high: 4 t/ha}\n"
                                   "    days: 90 days\n"
                                   "    food: {energy: 370 kcal/100 g}\n");
    const struct crop *own = garden_seed(t.garden, 0)->crop;
    const struct crop *first = library_crop(t.library, "flint corn");
    cr_assert(own != first && own == garden_crop(t.garden, "flint corn"));
    cr_assert(near(own->yield_kg_m2.typ, 0.3, 1e-12) && near(own->yield_kg_m2.high, 0.4, 1e-12));
    cr_assert_str_eq(own->yield_kg_m2.source, "garden");
    cr_assert(own->days.low == 90 && own->days.high == 90);
    cr_assert(near(own->food.energy_kcal_kg.typ, 3700, 1e-9));
    cr_assert(near(own->food.protein_kg_kg.typ, first->food.protein_kg_kg.typ, 0), "kept");
    cr_assert(near(own->row_m.typ, first->row_m.typ, 0), "kept");
    cr_assert(own->name.s == first->name.s, "its name is the library's");
    cr_assert(near(first->yield_kg_m2.typ, 0.35, 1e-12), "the library itself is left alone");
    cr_assert(garden_crop(t.garden, "potato") == library_crop(t.library, "potato"));
    cr_assert(garden_crop(t.garden, "rye") == NULL);
    garden_text_free(&t);
}

Test(garden, own_figures_at_fault)
{
    struct garden_text t =
        garden_text_read(HEAD SITE PLOTS SEED "crops:\n"
                                              "  - {crop: potato, yeild: 3 kg/m2}\n"
                                              "  - {days: 90 days}\n"
                                              "  - melon\n"
                                              "  - {crop: sunflower, letter: B}\n"
                                              "  - {crop: quinoa, letter: Z}\n"
                                              "  - {crop: sorghum, letter: z}\n"
                                              "  - {crop: quinoa, days: 3}\n");
    cr_assert(t.status == HR_INPUT);
    expect_diag(t.diags, 12, 20, "unknown-key");
    expect_diag(t.diags, 13, 5, "missing-key");
    expect_diag(t.diags, 14, 5, "wrong-type");
    expect_diag(t.diags, 15, 31, "same-letter");
    expect_diag(t.diags, 17, 29, "same-letter");
    expect_diag(t.diags, 18, 12, "crop-twice");
    cr_assert(diags_errors(t.diags) == 6, "%s", garden_text_diags(&t));
    garden_text_free(&t);
}

/* ---- seed ----------------------------------------------------------------------------------- */

Test(garden, seed_counted_with_the_reserve_kept_back)
{
    static const struct {
        const char *seed, *limits;
        double count;
    } rows[] = {
        {"{variety: A, crop: flint corn, amount: 60 seeds}", "", 51}, /* 85 % of 60 */
        {"{variety: A, crop: flint corn, amount: 8 oz}", "", 680},    /* 100 an ounce */
        {"{variety: A, crop: flint corn, amount: 8 oz}", "limits: {reserve: 0 %}\n", 800},
        {"{variety: A, crop: climbing bean, amount: 6 oz}", "", 306}, /* 60 an ounce */
        {"{variety: A, crop: potato, amount: 10 lb}", "", 68},        /* 80 pieces of 2 oz */
        {"{variety: A, crop: potato, amount: 12 pieces}", "", 10},    /* whole ones */
        {"{variety: A, crop: flint corn}", "", HUGE_VAL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[1024];
        snprintf(text, sizeof text, HEAD SITE PLOTS "seed:\n  - %s\n%s", rows[i].seed,
                 rows[i].limits);
        struct garden_text t = clean(text);
        double count = garden_seed_count(t.garden, garden_seed(t.garden, 0));
        cr_expect(count == rows[i].count, "row %zu: %g", i, count);
        garden_text_free(&t);
    }
}

Test(garden, days_of_a_variety_need_no_source)
{
    struct garden_text t =
        clean(HEAD SITE PLOTS
              "seed:\n"
              "  - {variety: A, crop: flint corn, days: 92 days}\n"
              "  - {variety: B, crop: flint corn, days: {low: 12 weeks, typical: 90 days, "
              "high: 100 days}}\n");
    const struct range *a = &garden_seed(t.garden, 0)->days, *b = &garden_seed(t.garden, 1)->days;
    cr_assert(a->set && a->low == 92 && a->high == 92 && strcmp(a->source, "garden") == 0);
    cr_assert(b->low == 84 && b->typ == 90 && b->high == 100);
    garden_text_free(&t);
}

/* ---- season --------------------------------------------------------------------------------- */

Test(garden, frosts_left_out_stand_twelve_days_from_the_median)
{
    struct garden_text t =
        clean(HEAD "site:\n"
                   "  latitude: -38 deg\n"
                   "  last frost: {median: Jan 5, late: 2027-01-10}\n"
                   "  first frost: {early: Jun 3, median: 2027-06-09}\n" PLOTS SEED);
    const struct site *site = &t.garden->site;
    cr_assert(date_day(site->last_frost.early.d) == 358, "Dec 24, round the year's end: %d",
              date_day(site->last_frost.early.d));
    cr_assert(!site->last_frost.early.set && site->last_frost.late.set);
    cr_assert(date_day(site->last_frost.late.d) == 10);
    cr_assert(date_day(site->first_frost.early.d) == date_day((struct date){0, 6, 3}));
    cr_assert(date_day(site->first_frost.late.d) == date_day((struct date){0, 6, 21}));
    garden_text_free(&t);
}

/* ---- outlines ------------------------------------------------------------------------------- */

static void expect_corner(const struct point *p, size_t i, double x, double y)
{
    cr_expect(near(p[i].x, x, 1e-9) && near(p[i].y, y, 1e-9), "corner %zu: %g %g", i, p[i].x,
              p[i].y);
}

Test(garden, a_size_has_four_corners_from_the_origin)
{
    struct garden_text t = clean(HEAD SITE "plots:\n  - {name: A, size: 3 m x 4 m}\n" SEED);
    size_t n;
    const struct point *p = plot_corners(t.arena, garden_plot(t.garden, 0), &n);
    cr_assert(p != NULL && n == 4);
    expect_corner(p, 0, 0, 0);
    expect_corner(p, 1, 3, 0);
    expect_corner(p, 2, 3, 4);
    expect_corner(p, 3, 0, 4);
    garden_text_free(&t);
}

Test(garden, a_clockwise_outline_is_turned_with_its_sides)
{
    /* Clockwise from the origin: side 1 is the left one, 2 the top, 3 the right, 4 the bottom. */
    struct garden_text t =
        clean(HEAD SITE "plots:\n"
                        "  - name: A\n"
                        "    outline: [[0 m, 0 m], [0 m, 4 m], [3 m, 4 m], [3 m, 0 m]]\n"
                        "    edges:\n"
                        "      - {side: 1, kind: fence}\n"
                        "      - {side: 2, kind: wall}\n"
                        "      - {side: 3, kind: hedge}\n"
                        "      - {side: 4, kind: path}\n" SEED);
    const struct plot *plot = garden_plot(t.garden, 0);
    size_t n;
    const struct point *p = plot_corners(t.arena, plot, &n);
    cr_assert(p != NULL && n == 4);
    expect_corner(p, 0, 0, 0);
    expect_corner(p, 1, 3, 0);
    expect_corner(p, 2, 3, 4);
    expect_corner(p, 3, 0, 4);
    static const enum edge_kind kinds[] = {EDGE_PATH, EDGE_HEDGE, EDGE_WALL, EDGE_FENCE};
    const struct edge *edges = plot->edges.items;
    for (size_t i = 0; i < 4; i++)
        cr_expect(edges[i].kind.v == (int)kinds[(size_t)edges[i].side.v - 1], "edge %zu", i);
    garden_text_free(&t);

    t = clean(HEAD SITE "plots:\n"
                        "  - name: A\n"
                        "    outline: [[1 m, 1 m], [5 m, 1 m], [1 m, 5 m]]\n" SEED);
    p = plot_corners(t.arena, garden_plot(t.garden, 0), &n);
    cr_assert(p != NULL && n == 3);
    expect_corner(p, 1, 5, 1);
    garden_text_free(&t);
}

/* The gate is measured from the corner where the gardener's side begins; a side of a clockwise
 * outline runs the other way inside. */
Test(garden, a_gate_keeps_its_place_when_the_outline_is_turned)
{
    struct garden_text t =
        clean(HEAD SITE "plots:\n"
                        "  - name: A\n"
                        "    outline: [[0 m, 0 m], [0 m, 4 m], [3 m, 4 m], [3 m, 0 m]]\n"
                        "    edges:\n"
                        "      - {side: 1, gate: yes, gate at: 1 m}\n" SEED);
    const struct edge *edge = garden_plot(t.garden, 0)->edges.items;
    cr_expect(near(edge->side.v, 4, 0), "the left side runs down from (0, 4)");
    cr_expect(near(edge->gate_at_m.v, 3, 1e-12), "and reaches (0, 1) after 3 m");
    garden_text_free(&t);
}

/* y to 90 deg is east, x then runs south. */
Test(garden, plots_have_a_place_relative_to_each_other)
{
    struct garden_text t =
        clean(HEAD SITE "plots:\n"
                        "  - {name: A, size: 3 m x 4 m, at: [10 m, 20 m], bearing: 90 deg}\n"
                        "  - {name: B, size: 3 m x 4 m}\n" SEED);
    const struct plot *plot = garden_plot(t.garden, 0);
    struct point corner = plot_in_garden(plot, (struct point){.x = 3, .y = 4});
    cr_expect(plot_placed(plot) && !plot_placed(garden_plot(t.garden, 1)));
    cr_expect(near(corner.x, 14, 1e-9) && near(corner.y, 17, 1e-9), "%g %g", corner.x, corner.y);
    garden_text_free(&t);
}

/* ---- the starter ---------------------------------------------------------------------------- */

Test(garden, starter_reads_clean_whatever_its_name)
{
    static const struct {
        const char *name, *read;
    } rows[] = {
        {NULL, "My first garden"},
        {"", "My first garden"},
        {"  \n", "My first garden"},
        {"Wren's Corner", "Wren's Corner"},
        {"a \"b\" \\ c: # {d}", "a \"b\" \\ c: # {d}"},
        {"tab\tand\x01 \xff bytes", "tab and    bytes"},
        {"J\u00e4rdin \u82b1", "J\u00e4rdin \u82b1"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
        struct strbuf b;
        strbuf_init(&b, arena);
        garden_starter(rows[i].name, &b);
        cr_assert(!b.failed);
        struct garden_text t = clean(b.p);
        cr_expect(strcmp(t.garden->name.s, rows[i].read) == 0, "row %zu: \"%s\"", i,
                  t.garden->name.s);
        garden_text_free(&t);
        arena_free(arena);
    }
    char longest[5000];
    memset(longest, 'x', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct strbuf b;
    strbuf_init(&b, arena);
    garden_starter(longest, &b);
    struct garden_text t = clean(b.p);
    garden_text_free(&t);
    arena_free(arena);
}

/* Every example in the starter's remarks is good, too: taken out of its remark, it reads clean. */
Test(garden, starter_examples_read_clean)
{
    static const struct {
        const char *from, *to;
    } rows[] = {
        {"    # outline: [[", "    outline: [["},
        {"    # paths:\n    #   - ", "    paths:\n      - "},
        {"    # obstacles:\n    #   - ", "    obstacles:\n      - "},
        {"  # crops: [", "  crops: ["},
        {"  # systems: [", "  systems: ["},
        {"  # - {crop: bush", "  - {crop: bush"},
        {"  # - {variety:", "  - {variety:"},
        {"  # hours: ", "  hours: "},
        {"# crops:\n#   - crop: flint corn\n#     yield",
         "crops:\n  - crop: flint corn\n    yield"},
    };
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct strbuf b, all;
    strbuf_init(&b, arena);
    garden_starter(NULL, &b);
    const char *text = b.p;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *at = strstr(text, rows[i].from);
        cr_assert(at != NULL, "the starter has no \"%s\"", rows[i].from);
        strbuf_init(&all, arena);
        strbuf_add(&all, text, (size_t)(at - text));
        strbuf_puts(&all, rows[i].to);
        strbuf_puts(&all, at + strlen(rows[i].from));
        text = all.p;
    }
    const char *size = strstr(text, "    size: "); /* in the outline's place */
    cr_assert(size != NULL);
    strbuf_init(&all, arena);
    strbuf_add(&all, text, (size_t)(size - text));
    strbuf_puts(&all, strchr(size, '\n') + 1);
    struct garden_text t = clean(all.p);
    cr_assert(garden_plot(t.garden, 0)->outline.n == 5 && t.garden->crops.n == 1);
    garden_text_free(&t);
    arena_free(arena);
}

Test(garden, table_describes_itself)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct strbuf b;
    strbuf_init(&b, arena);
    field_describe(&garden_table, &b);
    cr_assert(!b.failed);
    static const char *const keys[] = {"latitude", "last frost", "plots",
                                       "border",   "at least",   "share of energy",
                                       "reserve",  "systems",    "crops"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        cr_expect(strstr(b.p, keys[i]) != NULL, "%s", keys[i]);
    arena_free(arena);
}

/* ---- robustness ----------------------------------------------------------------------------- */

Test(garden, texts_that_are_no_garden)
{
    static const char *const texts[] = {"",
                                        "x",
                                        "[]",
                                        "{}",
                                        "- a",
                                        "plots: []\nseed: []\n",
                                        "crops: {}\nplots: 3\nseed: {}\ngrow: []\nsite: x\n",
                                        "plots: [{size: 3 m x 3 m, edges: [{side: 99999}]}]\n"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct garden_text t = garden_text_read(texts[i]);
        cr_expect(t.status == HR_INPUT && !t.garden && diags_errors(t.diags) > 0, "text %zu", i);
        garden_text_free(&t);
    }
}

Test(garden, any_amount_of_memory_will_do)
{
    struct garden_text t =
        clean(HEAD SITE PLOTS SEED "crops:\n  - {crop: potato, days: 90 days}\n");
    hr_status status = HR_NOMEM;
    size_t tries = 0;
    for (size_t cap = 1; status == HR_NOMEM; cap += cap / 30 + 1, tries++) {
        struct arena *arena = arena_new(cap);
        struct garden *g = NULL;
        cr_assert(arena != NULL);
        status = garden_read(arena, t.garden->source, t.library, t.diags, &g);
        cr_assert(status == HR_OK || status == HR_NOMEM, "cap %zu: %d\n%s", cap, (int)status,
                  garden_text_diags(&t));
        cr_assert((status == HR_OK) == (g != NULL), "cap %zu", cap);
        arena_free(arena);
    }
    cr_assert(status == HR_OK && tries > 20, "%zu tries", tries);
    garden_text_free(&t);
}

/* A locale with a decimal comma changes nothing. */
Test(garden, comma_locale)
{
    if (!setlocale(LC_ALL, "de_DE.UTF-8"))
        cr_skip_test("the locale de_DE.UTF-8 is not installed");
    struct garden_text t = clean(HEAD SITE "plots:\n  - {name: A, size: 3.5 m x 4.25 m}\n" SEED);
    cr_assert(near(garden_plot(t.garden, 0)->size.y, 4.25, 1e-12));
    garden_text_free(&t);
}

/* Seed keeping years: corn 2, onion 1, lettuce 6 (guide read at susansinthegarden.com); the fall
 * beyond that is ours. A germination test goes before any guess. */
Test(garden, old_seed_germinates_less)
{
    struct garden_text t = garden_text_read(
        "garden: x\nyear: 2027\nsite:\n  latitude: 42 deg\n  last frost: {median: May 3}\n"
        "  first frost: {median: Oct 10}\nplots:\n  - {name: A, size: 4 m x 4 m}\n"
        "seed:\n  - {variety: fresh, crop: flint corn}\n"
        "  - {variety: kept, crop: flint corn, year: 2025}\n"
        "  - {variety: old, crop: flint corn, year: 2023}\n"
        "  - {variety: tested, crop: flint corn, year: 2023, germination: 81 %}\n"
        "  - {variety: onion, crop: onion, year: 2025}\n"
        "  - {variety: lettuce, crop: lettuce, year: 2021}\n"
        "  - {variety: eyes, crop: potato, year: 2020}\n");
    cr_assert(t.garden != NULL, "%s", garden_text_diags(&t));
    const struct garden *g = t.garden;
    double fresh = seed_germination(g, garden_seed(g, 0));
    cr_assert(near(fresh, 0.85, 1e-9), "%g", fresh);
    cr_assert(near(seed_germination(g, garden_seed(g, 1)), fresh, 1e-12), "two years are no age");
    cr_assert(near(seed_germination(g, garden_seed(g, 2)), fresh * 0.75 * 0.75, 1e-12));
    cr_assert(seed_germination(g, garden_seed(g, 3)) == 0.81);
    double onion = seed_germination(g, garden_seed(g, 4));
    cr_assert(near(onion, 0.75 * garden_seed(g, 4)->crop->germination.typ, 1e-12));
    cr_assert(seed_germination(g, garden_seed(g, 5)) == garden_seed(g, 5)->crop->germination.typ);
    cr_assert(seed_germination(g, garden_seed(g, 6)) == 1, "tubers are not seed");
    garden_text_free(&t);
}
