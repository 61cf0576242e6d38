/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdint.h>
#include <stdlib.h>

#include "arena_suite.h"
#include "field.h"

struct inner {
    struct qty depth_m;
    struct text name;
    struct pos at;
};

struct outer {
    struct text title;
    struct qty depth_m, plants, people, angle;
    struct amount amount;
    struct range yield, ratio;
    struct flag legume;
    struct choice rows, goal;
    struct when frost;
    struct inner bed, spare;
    struct list beds, systems, corners;
    struct point stake, size;
    const struct node *crops;
    struct pos at;
};

static const char *const row_names[] = {"along-x", "along-y", "either", NULL};

static const struct field inner_fields[] = {
    {.name = "depth",
     .type = FIELD_QTY,
     .offset = offsetof(struct inner, depth_m),
     .required = true,
     .kind = UNIT_LENGTH,
     .doc = "How deep."},
    {.name = "name",
     .type = FIELD_TEXT,
     .offset = offsetof(struct inner, name),
     .missing = "unnamed",
     .doc = "What it is called."},
};
static const struct field_table inner_table = {
    "bed", sizeof(struct inner), offsetof(struct inner, at), inner_fields, 2, false};

#define AT(member) .offset = offsetof(struct outer, member)

static const struct field outer_fields[] = {
    {.name = "title", .type = FIELD_TEXT, AT(title), .required = true, .doc = "The title."},
    {.name = "depth",
     .type = FIELD_QTY,
     AT(depth_m),
     .kind = UNIT_LENGTH,
     .min = 0.01,
     .max = 3,
     .missing = "6 in",
     .doc = "Depth of sowing."},
    {.name = "plants",
     .type = FIELD_NUMBER,
     AT(plants),
     .min = 0,
     .max = HUGE_VAL,
     .doc = "Plants."},
    {.name = "people",
     .type = FIELD_WHOLE,
     AT(people),
     .min = 1,
     .max = 50,
     .missing = "2",
     .doc = "People to feed."},
    {.name = "angle",
     .type = FIELD_QTY,
     AT(angle),
     .kind = UNIT_ANGLE,
     .min = -HUGE_VAL,
     .max = 7,
     .doc = "Bearing."},
    {.name = "amount",
     .type = FIELD_AMOUNT,
     AT(amount),
     .kinds = 1u << UNIT_MASS | 1u << UNIT_COUNT,
     .min = 0,
     .max = 1e6,
     .doc = "Seed in hand."},
    {.name = "yield",
     .type = FIELD_RANGE,
     AT(yield),
     .kind = UNIT_YIELD,
     .min = 0,
     .max = 20,
     .doc = "Yield."},
    {.name = "ratio", .type = FIELD_RANGE_NUMBER, AT(ratio), .missing = "0.5", .doc = "A ratio."},
    {.name = "legume", .type = FIELD_FLAG, AT(legume), .missing = "no", .doc = "Fixes nitrogen."},
    {.name = "rows",
     .type = FIELD_CHOICE,
     AT(rows),
     .names = row_names,
     .missing = "either",
     .doc = "Direction of rows."},
    {.name = "goal", .type = FIELD_CHOICE, AT(goal), .names = row_names, .doc = "No default."},
    {.name = "frost", .type = FIELD_DATE, AT(frost), .missing = "May 1", .doc = "Last frost."},
    {.name = "bed", .type = FIELD_MAP, AT(bed), .sub = &inner_table, .doc = "One bed."},
    {.name = "spare", .type = FIELD_MAP, AT(spare), .sub = &inner_table, .doc = "A spare bed."},
    {.name = "beds", .type = FIELD_LIST, AT(beds), .sub = &inner_table, .most = 3, .doc = "Beds."},
    {.name = "systems", .type = FIELD_TEXTS, AT(systems), .missing = "hills", .doc = "Systems."},
    {.name = "corners",
     .type = FIELD_POINTS,
     AT(corners),
     .min = -10,
     .max = 100,
     .doc = "Outline."},
    {.name = "stake", .type = FIELD_POINT, AT(stake), .doc = "Origin."},
    {.name = "size", .type = FIELD_SIZE, AT(size), .min = 0.1, .max = 1000, .doc = "Size."},
    {.name = "crops", .type = FIELD_NODE, AT(crops), .doc = "Overrides."},
};

#define NFIELDS (sizeof outer_fields / sizeof *outer_fields)
static const struct field_table outer_table = {
    "crop", sizeof(struct outer), offsetof(struct outer, at), outer_fields, NFIELDS, false};
static const struct field_table own_table = {
    "garden file", sizeof(struct outer), offsetof(struct outer, at), outer_fields, NFIELDS, true};

static struct outer out;

TestSuite(field, .init = set_up, .fini = tear_down);

static const struct node *tree_of(const char *text)
{
    const struct source *src = NULL;
    struct node *root = NULL;
    CALL(source_text(arena, "g.yaml", text, strlen(text), &src));
    cr_assert(tree_read(arena, src, diags, &root) == HR_OK, "%s", diags_words(diags));
    return root;
}

/* Reads text with a table into `out`, zeroed before. */
static hr_status read_text(const struct field_table *table, const char *text)
{
    diags_free(diags);
    diags = diags_new();
    memset(&out, 0, sizeof out);
    return field_read(table, tree_of(text), false, arena, diags, &out);
}

/* Reads text laid over what `out` holds. */
static hr_status lay_over(const char *text)
{
    diags_free(diags);
    diags = diags_new();
    return field_read(&outer_table, tree_of(text), true, arena, diags, &out);
}

static void all_good(hr_status status)
{
    cr_assert(status == HR_OK && diags_count(diags) == 0, "%s", diags_words(diags));
}

Test(field, every_type)
{
    all_good(read_text(&outer_table,
                       "title: Beans & corn\n"
                       "depth: 1 1/2 in\n"
                       "plants: 2.5\n"
                       "people: 4\n"
                       "angle: 90 deg\n"
                       "amount: 3 lb 4 oz\n"
                       "yield: {low: 2 t/ha, typical: 3 t/ha, high: 5 t/ha, source: x}\n"
                       "ratio: {value: 0.25, source: practice}\n"
                       "legume: yes\n"
                       "rows: Along X\n"
                       "frost: 2027-05-12\n"
                       "bed: {depth: 1 ft}\n"
                       "beds:\n"
                       "  - depth: 10 cm\n"
                       "    name: \"first\"\n"
                       "  - {depth: 20 cm}\n"
                       "systems: [hills, row guild]\n"
                       "corners: [[0 ft, 0 ft], [10 m, -1 m], [12' 6\", 3 m]]\n"
                       "stake: [1 m, 2 m]\n"
                       "size: 20 ft x 25 ft\n"
                       "crops: {anything: [at, all]}\n"));
    cr_assert_str_eq(out.title.s, "Beans & corn");
    cr_assert(near(out.depth_m.v, 0.0381, 1e-15) && out.depth_m.set);
    cr_assert(out.plants.v == 2.5 && out.people.v == 4);
    cr_assert(near(out.angle.v, M_PI / 2, 1e-15));
    cr_assert(near(out.amount.v, 1.4741752025, 1e-12) && out.amount.kind == UNIT_MASS);
    cr_assert(out.yield.low == 0.2 && out.yield.typ == 0.3 && out.yield.high == 0.5);
    cr_assert_str_eq(out.yield.source, "x");
    cr_assert(out.ratio.low == 0.25 && out.ratio.typ == 0.25 && out.ratio.high == 0.25);
    cr_assert(out.legume.v && out.legume.set && out.rows.v == 0);
    cr_assert(out.frost.d.year == 2027 && out.frost.d.month == 5 && out.frost.d.day == 12);
    cr_assert(near(out.bed.depth_m.v, 0.3048, 1e-15));
    cr_assert_str_eq(out.bed.name.s, "unnamed", "a default inside a map that stands there");
    const struct inner *beds = out.beds.items;
    cr_assert(out.beds.n == 2 && beds[0].depth_m.v == 0.1 && beds[1].depth_m.v == 0.2);
    cr_assert_str_eq(beds[0].name.s, "first");
    cr_assert_str_eq(beds[1].name.s, "unnamed");
    const struct text *systems = out.systems.items;
    cr_assert(out.systems.n == 2);
    cr_assert_str_eq(systems[1].s, "row guild");
    const struct point *corners = out.corners.items;
    cr_assert(out.corners.n == 3 && corners[1].x == 10 && corners[1].y == -1);
    cr_assert(near(corners[2].x, 3.81, 1e-12));
    cr_assert(out.stake.x == 1 && out.stake.y == 2 && near(out.size.y, 7.62, 1e-12));
    cr_assert(out.crops->kind == NODE_MAP);
}

Test(field, positions)
{
    all_good(read_text(&own_table, "title: x\nbed:\n  depth: 1 m\nyield: {value: 1 kg/m2, "
                                   "source: trial}\ncorners: [[1 m, 2 m]]\n"));
    size_t line, col;
    source_line_col(out.at.src, out.at.begin, &line, &col);
    cr_assert(line == 1 && col == 1);
    source_line_col(out.bed.at.src, out.bed.at.begin, &line, &col);
    cr_assert(line == 3 && col == 3);
    source_line_col(out.bed.depth_m.at.src, out.bed.depth_m.at.begin, &line, &col);
    cr_assert(line == 3 && col == 10);
    source_line_col(out.yield.source_at.src, out.yield.source_at.begin, &line, &col);
    cr_assert(line == 4 && col == 33, "%zu:%zu", line, col);
    source_line_col(out.yield.at.src, out.yield.at.begin, &line, &col);
    cr_assert(line == 4 && col == 8);
    const struct point *corner = out.corners.items;
    source_line_col(corner->at.src, corner->at.begin, &line, &col);
    cr_assert(line == 5 && col == 11);
}

Test(field, defaults)
{
    all_good(read_text(&outer_table, "title: x\n"));
    cr_assert(near(out.depth_m.v, 0.1524, 1e-15) && !out.depth_m.set && !out.depth_m.at.src);
    cr_assert(out.people.v == 2 && !out.people.set);
    cr_assert(out.plants.v == 0 && !out.plants.set);
    cr_assert(out.ratio.typ == 0.5 && out.ratio.low == 0.5 && !out.ratio.set);
    cr_assert_str_eq(out.ratio.source, "estimate");
    cr_assert(!out.legume.v && !out.legume.set);
    cr_assert(out.rows.v == 2 && !out.rows.set);
    cr_assert(out.goal.v == -1 && !out.goal.set, "no default");
    cr_assert(out.frost.d.month == 5 && !out.frost.set);
    cr_assert_str_eq(out.bed.name.s, "unnamed", "defaults of a map that is absent");
    cr_assert(!out.bed.at.src && !out.bed.depth_m.set, "and nothing of it is required");
    cr_assert(out.systems.n == 1 && !out.systems.set);
    cr_assert(out.beds.n == 0 && !out.beds.set);
    cr_assert(out.crops == NULL && out.yield.source == NULL && out.amount.set == false);
}

Test(field, other_ways_of_writing)
{
    all_good(read_text(&own_table, "title: \"x\"\ndepth: \"20 cm\"\namount: 200 seeds\n"
                                   "yield: 2 kg/m2\nratio: {low: 1, typical: 2, high: 2}\n"
                                   "legume: False\nrows: either\nfrost: 1 May\nbeds: []\n"
                                   "systems: hills\nsize: 20 ft by 25 ft\n"));
    cr_assert(out.depth_m.v == 0.2);
    cr_assert(out.amount.kind == UNIT_COUNT && out.amount.v == 200);
    cr_assert(out.yield.low == 2 && out.yield.high == 2);
    cr_assert_str_eq(out.yield.source, "garden");
    cr_assert_str_eq(out.ratio.source, "garden");
    cr_assert(!out.legume.v && out.legume.set && out.beds.n == 0 && out.beds.set);
    cr_assert(out.systems.n == 1 && out.systems.set);
    cr_assert_str_eq(((struct text *)out.systems.items)->s, "hills");
    all_good(read_text(&own_table, "title: x\nsize: 6mx8m\n"));
    cr_assert(out.size.x == 6 && out.size.y == 8);
    all_good(read_text(&own_table, "title: x\nsize: 6 m \u00d7 8 m\n"));
    cr_assert(out.size.x == 6 && out.size.y == 8);
}

Test(field, laid_over)
{
    all_good(read_text(&outer_table, "title: base\ndepth: 5 cm\npeople: 7\nlegume: yes\n"
                                     "yield: {value: 1 kg/m2, source: book}\nrows: along-y\n"
                                     "bed: {depth: 1 m, name: old}\n"));
    all_good(lay_over("yield: 2 kg/m2\nbed: {name: new}\n"));
    cr_assert_str_eq(out.title.s, "base", "nothing is required, absent keys stay");
    cr_assert(out.depth_m.v == 0.05 && out.people.v == 7 && out.legume.v && out.rows.v == 1);
    cr_assert(out.yield.typ == 2 && out.yield.low == 2);
    cr_assert_str_eq(out.yield.source, "garden");
    cr_assert(out.bed.depth_m.v == 1);
    cr_assert_str_eq(out.bed.name.s, "new");
    all_good(lay_over("yield: {low: 1 kg/m2, typical: 2 kg/m2, high: 3 kg/m2, source: trial}\n"
                      "beds: [{depth: 1 m}]\n"));
    cr_assert_str_eq(out.yield.source, "trial");
    cr_assert_str_eq(((struct inner *)out.beds.items)->name.s, "unnamed", "items are new");
    cr_assert(lay_over("beds: [{name: x}]\n") == HR_INPUT);
    expect_diag(diags, 1, 8, "missing-key");
    cr_assert(lay_over("yield: {low: 1 kg/m2}\n") == HR_INPUT, "a range is laid over whole");
    cr_assert(lay_over("yeild: 1 kg/m2\n") == HR_INPUT);
    expect_diag(diags, 1, 1, "unknown-key");
}

struct fault {
    const char *text; /* without its title */
    size_t line, col;
    const char *check;
    const char *words; /* that the message must hold, "" any */
};

static void check_faults(const struct field_table *table, const struct fault *rows, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        char text[600];
        snprintf(text, sizeof text, "title: x\n%s\n", rows[i].text);
        hr_status status = read_text(table, text);
        const struct diag *d = diag_find(diags, rows[i].line, rows[i].col, rows[i].check);
        cr_assert(status == HR_INPUT, "`%s`: status %d", rows[i].text, (int)status);
        cr_assert(d != NULL, "`%s`: no [%s] at %zu:%zu; reported were:\n%s", rows[i].text,
                  rows[i].check, rows[i].line, rows[i].col, diags_words(diags));
        cr_assert(strstr(d->text, rows[i].words) != NULL, "`%s`: %s", rows[i].text, d->text);
        cr_assert(diags_errors(diags) == 1, "`%s`:\n%s", rows[i].text, diags_words(diags));
    }
}

#define CHECK_FAULTS(table, rows) check_faults((table), (rows), sizeof(rows) / sizeof *(rows))

Test(field, faults_of_values)
{
    static const struct fault rows[] = {
        {"depth: 20", 2, 8, "missing-unit", "a length needs a unit, such as `20 ft` or `45 cm`"},
        {"depth: 20 kg", 2, 11, "unknown-unit", "`kg` in `depth` is not a unit of a length"},
        {"depth: \"20 kg\"", 2, 12, "unknown-unit", "allowed: mm, cm, m, in, ft, yd"},
        {"depth: deep", 2, 8, "not-a-number", "`depth` is `deep`"},
        {"depth: 1,5 m", 2, 9, "not-a-number", "a decimal point is a `.`"},
        {"depth: .5 in", 2, 8, "not-a-number", "write a 0 before the decimal point"},
        {"depth: -.5 in", 2, 8, "not-a-number", "write a 0 before the decimal point"},
        {"depth: nan m", 2, 8, "not-a-number", ""},
        {"depth: 1e999 m", 2, 8, "not-a-number", ""},
        {"depth: 5 m", 2, 8, "out-of-range", "it must be from 0.01 m to 3 m"},
        {"depth: 0 m", 2, 8, "out-of-range", ""},
        {"depth: [1 m]", 2, 8, "wrong-type", "must be a single value, not a list"},
        {"depth: {a: 1}", 2, 8, "wrong-type", "not a map"},
        {"depth:", 2, 7, "missing-value", "`depth` has no value"},
        {"depth: null", 2, 8, "missing-value", ""},
        {"depth: ~", 2, 8, "missing-value", ""},
        {"plants: 20 ft", 2, 12, "not-a-number", "a number with nothing behind it"},
        {"plants: x", 2, 9, "not-a-number", ""},
        {"plants: -1", 2, 9, "out-of-range", "it must be at least 0"},
        {"plants: 1e999", 2, 9, "not-a-number", ""},
        {"plants: 1,5", 2, 10, "not-a-number", "a decimal point is a `.`"},
        {"people: 2.5", 2, 9, "not-a-number", "whole number"},
        {"people: 51", 2, 9, "out-of-range", "from 1 to 50"},
        {"people: 1e300", 2, 9, "not-a-number", "whole number"},
        {"angle: 900 deg", 2, 8, "out-of-range", "it must be at most 401.070456592 deg"},
        {"angle: 90", 2, 8, "missing-unit", "an angle needs a unit, such as `30 deg`"},
        {"amount: 20", 2, 9, "missing-unit", "a mass such as `3 lb` or `40 kg`, or a count"},
        {"amount: 20 ft", 2, 12, "unknown-unit", "a mass such as"},
        {"amount: some", 2, 9, "not-a-number", "a mass such as"},
        {"amount: 1,5 kg", 2, 10, "not-a-number", "a decimal point is a `.`"},
        {"amount: -1 kg", 2, 9, "out-of-range", "from 0 to 1000000"},
        {"amount: [1 kg]", 2, 9, "wrong-type", ""},
        {"legume: maybe", 2, 9, "unknown-choice", "`yes` or `no`"},
        {"legume: 1", 2, 9, "unknown-choice", ""},
        {"legume:", 2, 8, "missing-value", ""},
        {"rows: along-z", 2, 7, "unknown-choice", "did you mean `along-x`?"},
        {"rows: diagonal", 2, 7, "unknown-choice", "allowed: `along-x`, `along-y`, `either`"},
        {"rows: [either]", 2, 7, "wrong-type", ""},
        {"frost: May 32", 2, 8, "bad-date", "`2027-05-01` or `May 1`"},
        {"frost: 2027-05-1", 2, 16, "bad-date", ""},
        {"frost: {a: 1}", 2, 8, "wrong-type", ""},
        {"bed: 5", 2, 6, "wrong-type", "bed must be names with values"},
        {"bed:", 2, 5, "missing-value", ""},
        {"bed: [1]", 2, 6, "wrong-type", ""},
        {"bed: {name: x}", 2, 6, "missing-key", "`depth` is missing in bed: How deep."},
        {"bed: {depth: 1 m, depht: 2 m}", 2, 19, "unknown-key", "did you mean `depth`?"},
        {"beds: 5", 2, 7, "wrong-type", "`beds` must be a list, not a text"},
        {"beds: {depth: 1 m}", 2, 7, "wrong-type", "not a map"},
        {"beds:", 2, 6, "missing-value", ""},
        {"beds: [{depth: 1}]", 2, 16, "missing-unit", ""},
        {"beds:\n  - depth: 1 m\n  - name: x", 4, 5, "missing-key", ""},
        {"beds: [5]", 2, 8, "wrong-type", ""},
        {"beds: [{depth: 1 m}, {depth: 1 m}, {depth: 1 m}, {depth: 1 m}]", 2, 7, "too-many",
         "4 items; at most 3"},
        {"systems: {a: 1}", 2, 10, "wrong-type", ""},
        {"systems: [a, [b]]", 2, 14, "wrong-type", ""},
        {"systems: [a, ~]", 2, 14, "missing-value", ""},
        {"corners: 5 m", 2, 10, "wrong-type", ""},
        {"corners: [5 m]", 2, 11, "wrong-type", ""},
        {"corners: [[1 m, 2 m], [1 m]]", 2, 23, "wrong-type", "two lengths"},
        {"corners: [[1 m, 2 m, 3 m]]", 2, 11, "wrong-type", ""},
        {"corners: [[1 m, 2]]", 2, 17, "missing-unit", ""},
        {"corners: [[1 m, 200 m]]", 2, 17, "out-of-range", "from -10 m to 100 m"},
        {"corners: [[1 m, [2 m]]]", 2, 17, "wrong-type", ""},
        {"corners: [[1 m, ~]]", 2, 17, "missing-value", ""},
        {"stake: 1 m", 2, 8, "wrong-type", "such as [3 ft, 4 ft 6 in]"},
        {"stake: [1 m, 2 lb]", 2, 16, "unknown-unit", ""},
        {"size: 20 ft", 2, 7, "wrong-type", "`20 ft x 25 ft`"},
        {"size: 20 x 25 ft", 2, 7, "missing-unit", ""},
        {"size: 20 ft x 25 lb", 2, 7, "unknown-unit", "`lb`"},
        {"size: 20 ft x 0 ft", 2, 7, "out-of-range", "`0 ft` in `size`"},
        {"size: 20 ft x", 2, 7, "not-a-number", ""},
        {"size: [1 m, 2 m]", 2, 7, "wrong-type", ""},
        {"colour: red", 2, 1, "unknown-key", "unknown key `colour` in crop; allowed: `title`, "},
        {"borderr: 1\n", 2, 1, "unknown-key", ""},
        {"system: x\n", 2, 1, "unknown-key", "did you mean `systems`?"},
        {"Depth: 20 cm", 2, 1, "unknown-key", "did you mean `depth`?"},
        {"\"a\\x1bb\": 1", 2, 1, "unknown-key", "`a\\x1bb`"},
    };
    CHECK_FAULTS(&outer_table, rows);
}

Test(field, faults_of_ranges)
{
    static const struct fault rows[] = {
        {"yield: 2 kg/m2", 2, 8, "missing-source", "{value: , source: }"},
        {"yield: {value: 2 kg/m2}", 2, 8, "missing-source", "practice"},
        {"yield: {low: 1 kg/m2, typical: 2 kg/m2, high: 3 kg/m2}", 2, 8, "missing-source", ""},
        {"yield: {value: 2, source: x}", 2, 16, "missing-unit", "a yield needs a unit"},
        {"yield: {value: 25 kg/m2, source: x}", 2, 16, "out-of-range", "from 0 kg/m2 to 20 kg/m2"},
        {"yield: {low: 1 kg/m2, typical: 2 kg/m2, high: 30 kg/m2, source: x}", 2, 47,
         "out-of-range", ""},
        {"yield: {low: 1 kg/m2, high: 2 kg/m2, source: x}", 2, 8, "missing-key",
         "`typical` is missing in `yield`"},
        {"yield: {low: 3 kg/m2, typical: 2 kg/m2, high: 4 kg/m2, source: x}", 2, 32, "range-order",
         "`typical` of `yield` is below `low`"},
        {"yield: {low: 1 kg/m2, typical: 2 kg/m2, high: 10 t/ha, source: x}", 2, 47, "range-order",
         "`high` of `yield` is below `typical`"},
        {"yield: {value: 2 kg/m2, low: 1 kg/m2, source: x}", 2, 16, "wrong-type", ""},
        {"yield: {value: 2 kg/m2, sorce: x, source: y}", 2, 25, "unknown-key",
         "did you mean `source`?"},
        {"yield: {value: 2 kg/m2, source: [x]}", 2, 33, "wrong-type", ""},
        {"yield: {value: 2 kg/m2, source: }", 2, 33, "missing-value", ""},
        {"yield: {value: 2 kg/m2, source: \" \"}", 2, 33, "bad-text", ""},
        {"yield: {value: , source: x}", 2, 16, "missing-value", ""},
        {"yield: [1 kg/m2, 2 kg/m2]", 2, 8, "wrong-type", "not a list"},
        {"yield:", 2, 7, "missing-value", ""},
        {"ratio: {value: 2 m, source: x}", 2, 18, "not-a-number", ""},
        {"ratio: 2", 2, 8, "missing-source", ""},
    };
    CHECK_FAULTS(&outer_table, rows);
    static const struct fault own[] = {
        {"yield: 2", 2, 8, "missing-unit", ""},
        {"yield: {low: 1 kg/m2}", 2, 8, "missing-key", "a single value or {low: "},
    };
    for (size_t i = 0; i < 2; i++) {
        char text[100];
        snprintf(text, sizeof text, "title: x\n%s\n", own[i].text);
        cr_assert(read_text(&own_table, text) == HR_INPUT);
        const struct diag *d = diag_find(diags, own[i].line, own[i].col, own[i].check);
        cr_assert(d && strstr(d->text, own[i].words), "%s", diags_words(diags));
        cr_assert(!diag_find(diags, 0, 0, "missing-source"));
    }
}

Test(field, faults_of_texts)
{
    char text[800], many[400];
    static const char *const bad[] = {"title: \"\"",          "title: \"  \"",
                                      "title: \"a\\nb\"",     "title: \"a\\tb\"",
                                      "title: \"a\\x1b[2J\"", "title: \"a\\u009bb\"",
                                      "title: \"a\\u202eb\"", "title: |\n  two\n  lines"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        cr_assert(read_text(&outer_table, bad[i]) == HR_INPUT, "%s", bad[i]);
        expect_diag(diags, 1, 8, "bad-text");
        cr_assert(diags_errors(diags) == 1 && out.title.s == NULL);
    }
    for (size_t i = 0; i < 121; i++) /* two bytes each: characters count, not bytes */
        memcpy(many + 2 * i, "\xC3\xAF", 3);
    snprintf(text, sizeof text, "title: %s\n", many);
    cr_assert(read_text(&outer_table, text) == HR_INPUT);
    expect_diag(diags, 1, 8, "bad-text");
    snprintf(text, sizeof text, "title: %s\n", many + 2);
    all_good(read_text(&outer_table, text));
}

Test(field, missing_key_and_wrong_root)
{
    cr_assert(read_text(&outer_table, "depth: 2 cm\n") == HR_INPUT);
    expect_diag(diags, 1, 1, "missing-key");
    cr_assert(strstr(diags_at(diags, 0)->text, "`title` is missing in crop: The title."));
    cr_assert(read_text(&outer_table, "title:\n") == HR_INPUT);
    expect_diag(diags, 1, 7, "missing-value");
    cr_assert(diags_errors(diags) == 1, "not missing as a key, too");
    cr_assert(read_text(&outer_table, "- a\n") == HR_INPUT);
    expect_diag(diags, 1, 1, "wrong-type");
    cr_assert(read_text(&outer_table, "text\n") == HR_INPUT);
    expect_diag(diags, 1, 1, "wrong-type");
    cr_assert(read_text(&outer_table, "{}\n") == HR_INPUT);
    expect_diag(diags, 1, 1, "missing-key");
}

Test(field, every_fault_is_reported)
{
    cr_assert(read_text(&outer_table,
                        "depth: 20\ncolour: red\nrows: up\nbed: {name: \"\"}\n"
                        "beds:\n  - {depth: x}\n  - {nam: y}\n"
                        "corners: [[1, 2], [3 m]]\nyield: {low: 1, high: x}\n") == HR_INPUT);
    static const struct {
        size_t line, col;
        const char *check;
    } rows[] = {
        {1, 8, "missing-unit"},  {2, 1, "unknown-key"},   {3, 7, "unknown-choice"},
        {4, 13, "bad-text"},     {4, 6, "missing-key"},   {6, 13, "not-a-number"},
        {7, 6, "unknown-key"},   {7, 5, "missing-key"},   {8, 12, "missing-unit"},
        {8, 15, "missing-unit"}, {8, 19, "wrong-type"},   {9, 14, "missing-unit"},
        {9, 8, "missing-key"},   {9, 23, "not-a-number"}, {9, 8, "missing-source"},
        {1, 1, "missing-key"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        expect_diag(diags, rows[i].line, rows[i].col, rows[i].check);
    cr_assert(diags_errors(diags) == sizeof rows / sizeof *rows, "%s", diags_words(diags));
}

Test(field, what_is_faulty_keeps_its_default)
{
    cr_assert(read_text(&outer_table, "title: x\ndepth: 20\npeople: 99\nrows: up\n") == HR_INPUT);
    cr_assert(near(out.depth_m.v, 0.1524, 1e-15) && out.people.v == 2 && out.rows.v == 2);
}

Test(field, many_unknown_keys_are_fast)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    for (int i = 0; i < 200000; i++)
        strbuf_printf(&b, "unknownnameoffield%d: v\n", i);
    cr_assert(read_text(&outer_table, b.p) == HR_INPUT);
    cr_assert(diags_errors(diags) == 200001, "%zu", diags_errors(diags));
}

/* Runs of white space made one space. */
static const char *flat(const char *s)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    while (*s) {
        size_t blank = strspn(s, " \n");
        size_t n = strcspn(s + blank, " \n");
        strbuf_puts(&b, blank > 0 ? " " : "");
        strbuf_add(&b, s + blank, n);
        s += blank + n;
    }
    return b.p;
}

static size_t count_of(const char *s, const char *word)
{
    size_t n = 0;
    while ((s = strstr(s, word)) != NULL) {
        n++;
        s++;
    }
    return n;
}

Test(field, described_whole)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    field_describe(&outer_table, &b);
    cr_assert(!b.failed);
    for (size_t i = 0; i < NFIELDS; i++) {
        char line[100];
        snprintf(line, sizeof line, "\n  %s ", outer_fields[i].name);
        cr_assert(strstr(b.p, line) != NULL, "`%s` is not described:\n%s", outer_fields[i].name,
                  b.p);
        cr_assert(outer_fields[i].doc != NULL);
    }
    cr_assert(strncmp(b.p, "crop\n  title           The title. (a text; required)\n", 53) == 0,
              "%s", b.p);
    cr_assert(strstr(flat(b.p), "Depth of sowing. (a length such as `20 ft` or `45 cm`; from 0.01 "
                                "m to 3 m; default: 6 in)"));
    cr_assert(strstr(flat(b.p), "(one of `along-x`, `along-y`, `either`; default: either)"));
    cr_assert(strstr(flat(b.p), "at most 3)"));
    cr_assert(count_of(b.p, "\n    depth ") == 3, "sub-tables stand below, indented");
    cr_assert(strstr(b.p, "source: }") != NULL);
    for (const char *line = b.p; *line;) {
        size_t n = strcspn(line, "\n");
        cr_assert(n <= 100, "%zu columns: %.*s", n, (int)n, line);
        line += n + (line[n] == '\n');
    }
    strbuf_init(&b, arena);
    field_describe(&own_table, &b);
    cr_assert(strstr(b.p, "source: }") == NULL && strstr(flat(b.p), "a single value or {low: , "));
}

/* Every cap from nothing up: HR_NOMEM until there is enough, never a crash. */
Test(field, any_cap)
{
    const struct node *root =
        tree_of("title: x\nbeds: [{depth: 1 m}, {depth: 2 m}]\nsystems: [a, b]\n"
                "corners: [[1 m, 2 m], [3 m, 4 m]]\nsize: 20 ft x 25 ft\ncolour: red\nrows: up\n"
                "amount: x\n");
    hr_status status = HR_NOMEM;
    size_t cap = 0;
    for (; cap < 40000 && status != HR_INPUT; cap += 16) {
        struct arena *small = arena_new(cap);
        struct diags *own = diags_new();
        memset(&out, 0, sizeof out);
        status = field_read(&outer_table, root, false, small, own, &out);
        cr_assert(status == HR_INPUT || status == HR_NOMEM, "cap %zu: status %d", cap, (int)status);
        struct strbuf b;
        strbuf_init(&b, small);
        field_describe(&outer_table, &b);
        arena_free(small);
        diags_free(own);
    }
    cr_assert(status == HR_INPUT && cap > 300, "%zu", cap);
}
