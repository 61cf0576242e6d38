/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tables, the library's figures against their publications, and crops as text. */
#include "hr_test.h"

#include "crop.h"

static struct arena *arena;
static struct diags *diags;
static struct library *library;

static void setup(void)
{
    arena = arena_new(ARENA_CAP_DEFAULT);
    diags = diags_new();
    CALL(library_read(arena, "crops", diags, &library));
}

static void teardown(void)
{
    arena_free(arena);
    diags_free(diags);
}

TestSuite(crop, .init = setup, .fini = teardown);

static const struct crop *crop(const char *name)
{
    const struct crop *c = library_crop(library, name);
    cr_assert(c != NULL, "no crop %s", name);
    return c;
}

/* ---- figures against their publications ----------------------------------------------------- */

/* USDA SR28: lysine, tryptophan, methionine, cystine, threonine and protein, g in 100 g. */
Test(crop, amino_acids_of_usda_sr28)
{
    static const struct {
        const char *crop;
        double protein, energy, lys, trp, met, cys, thr;
    } rows[] = {
        {"flint corn", 9.42, 365, 0.265, 0.067, 0.197, 0.170, 0.354},      /* 20014 */
        {"dent corn", 9.42, 365, 0.265, 0.067, 0.197, 0.170, 0.354},       /* 20014 */
        {"climbing bean", 23.58, 333, 1.618, 0.279, 0.355, 0.256, 0.992},  /* 16027, kidney */
        {"bush bean", 21.60, 341, 1.483, 0.256, 0.325, 0.235, 0.909},      /* 16014, black */
        {"grain amaranth", 13.56, 371, 0.747, 0.181, 0.226, 0.191, 0.558}, /* 20001 */
        {"sorghum", 10.62, 329, 0.229, 0.124, 0.169, 0.127, 0.346},        /* 20067 */
        {"quinoa", 14.12, 368, 0.766, 0.167, 0.309, 0.203, 0.421},         /* 20035 */
        {"soybean", 36.49, 446, 2.706, 0.591, 0.547, 0.655, 1.766},        /* 16108 */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct food_values *f = &crop(rows[i].crop)->food;
        const struct range *a = f->amino_g_g;
        double p = rows[i].protein;
        cr_expect(near(f->protein_kg_kg.typ, p / 100, 1e-9), "%s: protein", rows[i].crop);
        cr_expect(near(f->energy_kcal_kg.typ, 10 * rows[i].energy, 1e-6), "%s", rows[i].crop);
        cr_expect(near(a[AMINO_LYS].typ, rows[i].lys / p, 6e-5), "%s: lysine", rows[i].crop);
        cr_expect(near(a[AMINO_TRP].typ, rows[i].trp / p, 6e-5), "%s: tryptophan", rows[i].crop);
        cr_expect(near(a[AMINO_SAA].typ, (rows[i].met + rows[i].cys) / p, 6e-5), "%s: sulphur",
                  rows[i].crop);
        cr_expect(near(a[AMINO_THR].typ, rows[i].thr / p, 6e-5), "%s: threonine", rows[i].crop);
    }
}

/* Indian Food Composition Tables 2017: g in 100 g of maize (A006), red rajmah (B020), potato
 * (F006). */
Test(crop, amino_acids_of_ifct_2017)
{
    static const struct {
        const char *crop;
        enum amino amino;
        double amino_g, protein_g;
    } rows[] = {
        {"flint corn", AMINO_LEU, 1.07712, 8.8},
        {"flint corn", AMINO_AAA, 0.45232 + 0.32648, 8.8},
        {"climbing bean", AMINO_ILE, 0.842193, 19.91},
        {"climbing bean", AMINO_VAL, 1.009437, 19.91},
        {"potato", AMINO_LYS, 0.084854, 1.54},
        {"potato", AMINO_SAA, 0.0154 + 0.012782, 1.54},
        {"butternut squash", AMINO_HIS, 0.014112, 0.84},
        {"summer squash", AMINO_TRP, 0.00935, 1.1},
        {"cowpea", AMINO_LYS, 1.358012, 20.36},
        {"sunflower", AMINO_THR, 0.778843, 23.53},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct range *a = &crop(rows[i].crop)->food.amino_g_g[rows[i].amino];
        cr_expect(near(a->typ, rows[i].amino_g / rows[i].protein_g, 6e-5), "%s %s", rows[i].crop,
                  amino_names[rows[i].amino]);
        cr_expect(strcmp(a->source, "ifct2017") == 0, "%s %s", rows[i].crop,
                  amino_names[rows[i].amino]);
    }
}

/* USDA SR28, refuse: share of the food as bought that is not eaten. */
Test(crop, refuse_of_usda_sr28)
{
    static const struct {
        const char *crop;
        double percent;
    } rows[] = {
        {"sweet corn", 64},   {"butternut squash", 16}, {"pie pumpkin", 30}, {"hubbard squash", 36},
        {"summer squash", 5}, {"potato", 25},           {"sunflower", 46},   {"melon", 49},
        {"flint corn", 0}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_expect(near(crop(rows[i].crop)->food.refuse.typ, rows[i].percent / 100, 1e-9), "%s",
                  rows[i].crop);
}

/* 7 CFR 201.31, text of 1994. */
Test(crop, germination_of_the_federal_seed_act)
{
    static const struct {
        const char *crop;
        double percent;
    } rows[] = {{"climbing bean", 70},    {"bush bean", 70},     {"sweet corn", 75},
                {"cowpea", 75},           {"soybean", 75},       {"pie pumpkin", 75},
                {"butternut squash", 75}, {"summer squash", 75}, {"melon", 75}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct range *g = &crop(rows[i].crop)->germination;
        cr_expect(near(g->typ, rows[i].percent / 100, 1e-9), "%s", rows[i].crop);
        cr_expect(strcmp(g->source, "fsa") == 0, "%s", rows[i].crop);
    }
    cr_expect(strcmp(crop("flint corn")->germination.source, "fsa") != 0,
              "field corn is not in the list");
}

/* J. F. Harrington's table (Oregon State University Extension): least soil temperature, F. */
Test(crop, soil_temperatures_of_harrington)
{
    static const struct {
        const char *crop;
        double fahrenheit;
    } rows[] = {{"flint corn", 50},       {"sweet corn", 50},  {"climbing bean", 60},
                {"butternut squash", 60}, {"pie pumpkin", 60}, {"melon", 60}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_expect(near(crop(rows[i].crop)->soil_min_c.typ, (rows[i].fahrenheit - 32) * 5 / 9, 1e-9),
                  "%s", rows[i].crop);
}

/* Buttercup squash, NZ J. Crop Hort. Sci. 18:99-103 (1990): most 29.5 t/ha; at 0.23 plants/m2 about
 * 65 % of it (19 t/ha). */
Test(crop, squash_density_of_new_zealand)
{
    const struct crop *c = crop("hubbard squash");
    double half = c->half_density_m2.typ;
    cr_assert(near(c->yield_kg_m2.high, 2.95, 1e-9));
    cr_assert(near(0.23 / (0.23 + half), 0.65, 0.005));
    cr_assert(near(2.95 * 0.23 / (0.23 + half), 1.9, 0.05));
}

/* Nitrogen from the air: Peoples and others 2021, Plant and Soil 469:1-14. Common bean 38 +- 11.1
 * %, cowpea and kin 62 +- 13.4 %. */
Test(crop, nitrogen_fixed_of_peoples_2021)
{
    cr_assert(near(crop("climbing bean")->n_fixed.typ, 0.38, 1e-9));
    cr_assert(near(crop("bush bean")->n_fixed.low, 0.38 - 0.111, 0.0051));
    cr_assert(near(crop("cowpea")->n_fixed.typ, 0.62, 1e-9));
    cr_assert(near(crop("cowpea")->n_fixed.high, 0.62 + 0.134, 0.0051));
    cr_assert(!crop("flint corn")->n_fixed.set);
}

/* Corn and kidney bean, 70:30 by dry mass: protein digestibility corrected score 0.82 against the
 * pattern of FAO 2013 (Paper 92), limited by digestibility; corn alone 0.50, limited by lysine. */
Test(crop, corn_and_bean_make_each_other_whole)
{
    static const double pattern[AMINO_COUNT] = {
        [AMINO_HIS] = 0.016, [AMINO_ILE] = 0.030,  [AMINO_LEU] = 0.061,
        [AMINO_LYS] = 0.048, [AMINO_SAA] = 0.023,  [AMINO_AAA] = 0.041,
        [AMINO_THR] = 0.025, [AMINO_TRP] = 0.0066, [AMINO_VAL] = 0.040};
    const struct food_values *corn = &crop("flint corn")->food,
                             *bean = &crop("climbing bean")->food;
    static const struct {
        double corn, score;
    } rows[] = {{1, 0.50}, {0.9, 0.64}, {0.8, 0.75}, {0.7, 0.82}, {0.5, 0.80}, {0, 0.79}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double c = rows[i].corn * corn->protein_kg_kg.typ;
        double b = (1 - rows[i].corn) * bean->protein_kg_kg.typ;
        double least = 1;
        for (int a = 0; a < AMINO_COUNT; a++)
            least = fmin(least, (c * corn->amino_g_g[a].typ + b * bean->amino_g_g[a].typ) /
                                    (c + b) / pattern[a]);
        double digested = (c * corn->digestibility.typ + b * bean->digestibility.typ) / (c + b);
        cr_expect(near(least * digested, rows[i].score, 0.0051), "%.0f %% corn: %.4f",
                  100 * rows[i].corn, least * digested);
    }
}

/* ---- figures that must fit together --------------------------------------------------------- */

Test(crop, all_nine_amino_acids_everywhere)
{
    for (size_t i = 0; i < library->ncrops; i++)
        for (int a = 0; a < AMINO_COUNT; a++)
            cr_expect(library->crops[i].food.amino_g_g[a].set, "%s: %s", library->crops[i].name.s,
                      amino_names[a]);
}

/* At its usual spacing a crop yields what a home garden may expect, kg/m2, dry or fresh. */
Test(crop, usual_spacing_gives_an_honest_yield)
{
    static const struct {
        const char *crop;
        double low, high;
    } rows[] = {
        {"flint corn", 0.20, 0.50},     {"flour corn", 0.12, 0.41}, /* 1155-4127 kg/ha, 2010 */
        {"bush bean", 0.10, 0.30},      {"climbing bean", 0.15, 0.45}, {"potato", 2.0, 4.5},
        {"grain amaranth", 0.08, 0.18}, {"sorghum", 0.13, 0.50},       {"cowpea", 0.08, 0.25},
        {"summer squash", 1.4, 3.6}, /* 10-16 short tons an acre, Midwest guide 2022, and below */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct crop *c = crop(rows[i].crop);
        double rho = 1 / (c->in_row_m.typ * c->row_m.typ);
        bool head = c->density_law.v == DENSITY_SEED_HEAD;
        double r = rho / (head ? c->best_density_m2.typ : c->half_density_m2.typ);
        double share = head ? r * exp(1 - r) : r / (1 + r);
        cr_expect(share > 0.70, "%s: its usual spacing gives %.2f of what it can", rows[i].crop,
                  share);
        cr_expect(share * c->yield_kg_m2.low > rows[i].low - 0.05 * rows[i].high &&
                      share * c->yield_kg_m2.high < 1.05 * rows[i].high,
                  "%s: %.3f to %.3f", rows[i].crop, share * c->yield_kg_m2.low,
                  share * c->yield_kg_m2.high);
    }
}

/* University of Minnesota Extension, home gardens 2018-22: a little under 50 hours on 365 square
 * feet a season, 1.47 h/m2. */
Test(crop, hours_are_those_of_a_home_garden)
{
    double sum = 0;
    for (size_t i = 0; i < library->ncrops; i++) {
        const struct crop *c = &library->crops[i];
        double rho = 1 / (c->in_row_m.typ * c->row_m.typ);
        double spots = c->sow_gap_m.set ? c->in_row_m.typ / c->sow_gap_m.typ : 1;
        double hours = rho * spots * c->plant_h.typ + c->weed_h_m2.typ +
                       0.75 * c->yield_kg_m2.typ * c->harvest_h_kg.typ;
        cr_expect(hours > 0.5 && hours < 2, "%s: %.2f h/m2", c->name.s, hours);
        sum += hours;
    }
    double mean = sum / (double)library->ncrops;
    cr_assert(mean > 0.9 && mean < 1.6, "%.2f h/m2", mean);
}

static void source_count(void *data, const struct field *field, const struct range *value,
                         const char *source, struct pos at)
{
    size_t *n = data;
    n[0]++;
    n[1] += strcmp(source, "estimate") == 0;
    n[2] += value == NULL;
    cr_expect(strlen(source) > 0 && at.src != NULL, "%s has a source at a place", field->name);
}

Test(crop, every_figure_has_a_source)
{
    for (size_t i = 0; i < library->ncrops; i++) {
        size_t n[3] = {0};
        figures_each(&crop_table, &library->crops[i], source_count, n);
        cr_expect(n[0] >= 30, "%s: %zu figures", library->crops[i].name.s, n[0]);
        cr_expect(n[1] < n[0], "%s: nothing but estimates", library->crops[i].name.s);
        cr_expect(n[2] == library->crops[i].cautions.n, "%s", library->crops[i].name.s);
    }
}

/* ---- as text -------------------------------------------------------------------------------- */

/* The longest line that could be broken: those that hold one long word only are let pass. */
static void lines_fit(const char *what, const char *text)
{
    char line[1024];
    for (const char *p = text; *p;) {
        size_t n = strcspn(p, "\n");
        snprintf(line, sizeof line, "%.*s", (int)n, p);
        bool word = strchr(line + strspn(line, " "), ' ') == NULL;
        cr_expect(word || utf8_columns(line) <= 80, "%s: \"%s\"", what, line);
        cr_expect(n == 0 || line[n - 1] != ' ', "%s: a blank ends \"%s\"", what, line);
        p += n + (p[n] == '\n');
    }
}

Test(crop, text_fits_eighty_columns)
{
    struct strbuf b;
    for (size_t i = 0; i < library->ncrops; i++) {
        strbuf_init(&b, arena);
        crop_show(library, &library->crops[i], &b);
        cr_assert(!b.failed);
        lines_fit(library->crops[i].name.s, b.p);
    }
    for (size_t i = 0; i < library->nguilds; i++) {
        strbuf_init(&b, arena);
        guild_show(library, &library->guilds[i], &b);
        cr_assert(!b.failed);
        lines_fit(library->guilds[i].name.s, b.p);
    }
    strbuf_init(&b, arena);
    library_list(library, &b);
    lines_fit("list", b.p);
}

static void expect_line(const char *text, const char *line)
{
    const char *at = strstr(text, line);
    cr_expect(at != NULL, "no line \"%s\" in\n%s", line, text);
}

Test(crop, text_says_figures_units_and_sources)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    crop_show(library, crop("flint corn"), &b);
    expect_line(b.p,
                "  in row                 20.3     25.4     30.5  cm         common practice\n");
    expect_line(b.p,
                "  yield                   0.2     0.35      0.5  kg/m2      estimate (ours)\n");
    expect_line(b.p, "  soil at least                     10           C          harrington\n");
    expect_line(b.p, "  energy                           365           kcal/100g  sr28\n");
    expect_line(b.p, "  lysine                          28.1           g/kg       sr28\n");
    expect_line(b.p, "  degree days            1140     1140     1330  C days     hprcc\n");
    expect_line(b.p, "\n  Season                  low  typical     high  unit       source\n");
    expect_line(b.p, "\nCautions\n");
    expect_line(b.p, "\nSources\n  sr28");
    cr_assert(strstr(b.p, "peoples2021") == NULL, "only sources it uses");
    strbuf_init(&b, arena);
    guild_show(library, library_guild(library, "corn, bean and squash"), &b);
    expect_line(b.p, "  crops             climbing bean\n");
    expect_line(b.p,
                "  pitch                   122      137      152  cm         common practice\n");
}

/* The sentences at the head of a page say what its figures say, whatever side of the last frost a
 * crop goes in on. */
Test(crop, page_begins_with_what_to_do)
{
    static const struct {
        const char *crop, *words;
    } rows[] = {
        {"flint corn", "Sow 2 seeds to a spot, 2.5 to 5.1 cm (1 to 2 in) deep"},
        {"flint corn", "from the median last frost to 20 days after it, once the soil is at 10 C "
                       "(50 F)."},
        {"flint corn", "Ready, dry, 85 to 110 days after that."},
        {"flint corn", "save from 100 plants at least, better 200."},
        {"garlic", "Plant 1 clove to a spot"},
        {"garlic", "from 200 to 165 days before the median last frost"},
        {"wheat", "Sow in a stream, 2.5 cm (1 in) deep in rows 15 to 20 cm"},
        {"carrot", "from 21 days before the median last frost to 45 days after it"},
        {"carrot", "it flowers in its second year."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct strbuf b;
        strbuf_init(&b, arena);
        crop_glance(crop(rows[i].crop), &b);
        for (char *p = b.p; *p; p++) /* as if not wrapped */
            if (*p == '\n') {
                *p = ' ';
                memmove(p + 1, p + 1 + strspn(p + 1, " "), strlen(p + 1 + strspn(p + 1, " ")) + 1);
            }
        cr_expect(strstr(b.p, rows[i].words) != NULL, "%s: \"%s\" not in %s", rows[i].crop,
                  rows[i].words, b.p);
    }
}

Test(crop, list_names_all)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    library_list(library, &b);
    for (size_t i = 0; i < library->ncrops; i++)
        cr_expect(strstr(b.p, library->crops[i].name.s) != NULL, "%s", library->crops[i].name.s);
    for (size_t i = 0; i < library->nguilds; i++)
        cr_expect(strstr(b.p, library->guilds[i].name.s) != NULL, "%s", library->guilds[i].name.s);
}

Test(crop, text_that_does_not_fit_is_said)
{
    struct arena *little = arena_new(1000);
    struct strbuf b;
    cr_assert(little != NULL);
    strbuf_init(&b, little);
    crop_show(library, crop("potato"), &b);
    cr_assert(b.failed);
    arena_free(little);
}
