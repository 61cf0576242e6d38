/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "crop.h"

#include <stdint.h>
#include <string.h>

#include "num.h"

const char *const role_names[ROLE_COUNT + 1] = {
    [ROLE_SUPPORT] = "support",
    [ROLE_CLIMBER] = "climber",
    [ROLE_COVER] = "cover",
    [ROLE_ALONE] = "alone",
};

const char *const amino_names[AMINO_COUNT] = {
    [AMINO_HIS] = "histidine",
    [AMINO_ILE] = "isoleucine",
    [AMINO_LEU] = "leucine",
    [AMINO_LYS] = "lysine",
    [AMINO_SAA] = "methionine and cystine",
    [AMINO_AAA] = "phenylalanine and tyrosine",
    [AMINO_THR] = "threonine",
    [AMINO_TRP] = "tryptophan",
    [AMINO_VAL] = "valine",
};

static const char *const pollination_names[] = {"self", "wind", "insect", "none", NULL};
const char *const harvest_names[] = {"dry", "once", "fresh", NULL};
static const char *const seed_from_names[] = {"harvest", "ripe fruit", "fruit left", "plants left",
                                              NULL};
static const char *const frost_names[] = {"hardy", "semi-hardy", "tender", "very tender", NULL};
static const char *const planted_as_names[] = {"seed",  "tuber",      "slip",
                                               "clove", "transplant", NULL};
static const char *const counting_names[] = {"mean", "extremes", NULL};
static const char *const density_names[] = {"seed head", "asymptotic", NULL};

#define COUNT_OF(a) (sizeof(a) / sizeof((a)[0]))

/* ---- tables: one row describes a field once ------------------------------------------------- */

#define AT(member) .offset = offsetof(TABLE_OF, member)
#define TEXT(key, member, must, words)                                                             \
    {                                                                                              \
        .name = (key), .type = FIELD_TEXT, AT(member), .required = (must), .doc = (words)          \
    }
#define CHOICE(key, member, options, must, words)                                                  \
    {                                                                                              \
        .name = (key), .type = FIELD_CHOICE, AT(member), .required = (must), .names = (options),   \
        .doc = (words)                                                                             \
    }
#define RANGE(key, member, unit, lo, hi, must, words)                                              \
    {                                                                                              \
        .name = (key), .type = FIELD_RANGE, AT(member), .required = (must), .kind = (unit),        \
        .min = (lo), .max = (hi), .doc = (words)                                                   \
    }
#define NUMBERS(key, member, lo, hi, must, words)                                                  \
    {                                                                                              \
        .name = (key), .type = FIELD_RANGE_NUMBER, AT(member), .required = (must), .min = (lo),    \
        .max = (hi), .doc = (words)                                                                \
    }

#define TABLE_OF struct caution
static const struct field caution_fields[] = {
    TEXT("text", text, true, "what to mind, in plain words"),
    TEXT("source", source, true, "who says so: a key of sources.bib, practice or estimate"),
};
#undef TABLE_OF
static const struct field_table caution_table = {
    .name = "caution",
    .size = sizeof(struct caution),
    .at_offset = SIZE_MAX,
    .fields = caution_fields,
    .n = COUNT_OF(caution_fields),
};

#define TABLE_OF struct food_values
#define AMINO(key, which, words)                                                                   \
    RANGE(key, amino_g_g[which], UNIT_CONTENT, 0, 1, false, words " in its protein")
static const struct field food_fields[] = {
    TEXT("form", form, true, "the food table's own description of what is eaten"),
    TEXT("note", note, false, "which figures are those of another food, or remembered"),
    RANGE("energy", energy_kcal_kg, UNIT_ENERGY, 0, 9000, true, "food energy of the part eaten"),
    RANGE("protein", protein_kg_kg, UNIT_CONTENT, 0, 1, true, "crude protein of the part eaten"),
    RANGE("digestibility", digestibility, UNIT_SHARE, 0, 1, true,
          "share of the protein that is truly digested"),
    RANGE("refuse", refuse, UNIT_SHARE, 0, 0.99, true, "share of the harvest that is not eaten"),
    AMINO("histidine", AMINO_HIS, "histidine"),
    AMINO("isoleucine", AMINO_ILE, "isoleucine"),
    AMINO("leucine", AMINO_LEU, "leucine"),
    AMINO("lysine", AMINO_LYS, "lysine"),
    AMINO("sulphur", AMINO_SAA, "methionine and cystine"),
    AMINO("aromatic", AMINO_AAA, "phenylalanine and tyrosine"),
    AMINO("threonine", AMINO_THR, "threonine"),
    AMINO("tryptophan", AMINO_TRP, "tryptophan"),
    AMINO("valine", AMINO_VAL, "valine"),
};
#undef TABLE_OF
static const struct field_table food_table = {
    .name = "food",
    .size = sizeof(struct food_values),
    .at_offset = SIZE_MAX,
    .fields = food_fields,
    .n = COUNT_OF(food_fields),
};

#define TABLE_OF struct crop
static const struct field crop_fields[] = {
    TEXT("crop", name, true, "the crop's name, used everywhere"),
    TEXT("letter", letter, true, "one or two letters for the map, each crop its own"),
    TEXT("species", species, true, "Latin name"),
    TEXT("family", family, true, "botanical family, for rotation"),
    CHOICE("role", role, role_names, true, "what it does in a guild"),
    {.name = "legume",
     .type = FIELD_FLAG,
     AT(legume),
     .missing = "no",
     .doc = "whether it fixes nitrogen from the air"},
    {.name = "biennial",
     .type = FIELD_FLAG,
     AT(biennial),
     .missing = "no",
     .doc = "whether it flowers in its second year only: saved seed takes the bed for two"},
    {.name = "perennial",
     .type = FIELD_FLAG,
     AT(perennial),
     .missing = "no",
     .doc =
         "whether it stands for years and gives nothing in its first: told under `standing` only; "
         "its season begins when it sprouts"},
    CHOICE("pollination", pollination, pollination_names, true, "what carries its pollen"),
    TEXT("cross group", cross_group, true, "varieties of one group cross with each other"),
    CHOICE("harvest", harvest, harvest_names, true,
           "picked dry at the end, once when it is ripe, or fresh again and again"),
    {.name = "seed from",
     .type = FIELD_CHOICE,
     AT(seed_from),
     .missing = "harvest",
     .names = seed_from_names,
     .doc = "what seed to save costs in food: some of a dry harvest; nothing, where ripe fruit is "
            "eaten; fruit left to ripen; plants left to flower"},
    CHOICE("frost", frost, frost_names, true, "the frost it stands"),
    {.name = "planted as",
     .type = FIELD_CHOICE,
     AT(planted_as),
     .missing = "seed",
     .names = planted_as_names,
     .doc = "what goes into the ground"},
    {.name = "drilled",
     .type = FIELD_FLAG,
     AT(drilled),
     .missing = "no",
     .doc = "sown in a stream along the furrow and not thinned; a plant is then one spot of it"},

    RANGE("in row", in_row_m, UNIT_LENGTH, 0.005, 10, true, "between plants kept, along the row"),
    RANGE("row", row_m, UNIT_LENGTH, 0.05, 10, true, "from row to row"),
    RANGE("sow gap", sow_gap_m, UNIT_LENGTH, 0.005, 10, false,
          "between sowing spots before thinning, where closer than `in row`"),
    NUMBERS("seeds per spot", seeds_per_spot, 1, 100, true, "seeds or pieces put into one spot"),
    RANGE("depth", depth_m, UNIT_LENGTH, 0, 0.5, true, "sowing depth"),
    RANGE("height", height_m, UNIT_LENGTH, 0.05, 10, true, "height of a grown plant"),
    RANGE("spread", spread_m, UNIT_LENGTH, 0.05, 10, true,
          "width of one plant's canopy when it has room"),
    RANGE("earth up", earth_up_m, UNIT_LENGTH, 0.02, 1, false,
          "height at which soil is first drawn up to its stems"),
    RANGE("roots", roots_m, UNIT_LENGTH, 0.05, 5, false,
          "how deep its roots go where the soil lets them"),
    NUMBERS("lai", lai, 0.1, 12, true, "leaf area over ground area of a full stand"),
    NUMBERS("extinction", extinction, 0.1, 1.5, true,
            "how fast light dies away in its leaves (Beer's k)"),

    RANGE("seeds per mass", seeds_per_kg, UNIT_SEEDS_PER_MASS, 100, 2e7, false,
          "seeds in a mass of seed"),
    RANGE("piece", piece_kg, UNIT_MASS, 5e-7, 1, false,
          "mass of one piece, where it is not sown as seed; of a transplant, the seed it takes"),
    RANGE("germination", germination, UNIT_SHARE, 0.01, 1, true, "standard of fresh seed"),
    RANGE("emergence", emergence, UNIT_SHARE, 0.01, 1, true,
          "share of germinating seed that comes up in the ground"),
    NUMBERS("seed keeps", keeps_y, 0.5, 50, false,
            "years that seed kept cool and dry germinates as when fresh"),
    RANGE("isolation", isolation_m, UNIT_LENGTH, 0, 20000, false,
          "from others of its cross group, where seed is saved"),
    NUMBERS("seed stand", seed_stand, 1, 10000, false,
            "fewest plants to save seed from, so that the line stays sound"),

    RANGE("sow from", sow_from_d, UNIT_DAYS, -300, 180, true,
          "first sowing, days after the median last frost (negative: before; far before: in fall)"),
    RANGE("sow to", sow_to_d, UNIT_DAYS, -300, 300, true, "last sowing, counted the same way"),
    RANGE("soil at least", soil_min_c, UNIT_TEMPERATURE, -5, 40, true,
          "soil temperature it needs to come up"),
    RANGE("days", days, UNIT_DAYS, 10, 365, true, "from sowing to harvest"),
    RANGE("base temperature", base_c, UNIT_TEMPERATURE, -5, 25, false,
          "it grows above this: where its degree days are counted from"),
    RANGE("cap temperature", cap_c, UNIT_TEMPERATURE, 10, 50, false,
          "warmth above this counts for no more degree days"),
    {.name = "degree days of",
     .type = FIELD_CHOICE,
     AT(count_days),
     .names = counting_names,
     .missing = "mean",
     .doc = "how a day is counted: its mean, or its extremes, each at least the base temperature"},
    NUMBERS("degree days", degree_days, 100, 10000, false,
            "warmth from sowing to ripeness, C days above the base temperature"),

    RANGE("yield", yield_kg_m2, UNIT_YIELD, 0, 20, true,
          "of a sole stand at its best density (asymptotic: the limit of a close stand)"),
    TEXT("yield basis", yield_basis, true, "what was weighed, and how moist"),
    CHOICE("density law", density_law, density_names, true,
           "seed head: yield peaks at the best density; asymptotic: it levels off"),
    RANGE("best density", best_density_m2, UNIT_PER_AREA, 0.01, 1000, false,
          "density of the most yield (seed head)"),
    RANGE("half density", half_density_m2, UNIT_PER_AREA, 0.001, 1000, false,
          "density of half the limit (asymptotic)"),
    NUMBERS("shade response", shade_response, 0, 3, true,
            "yield lost per share of light lost: 0 none, 1 in proportion"),

    RANGE("nitrogen removed", n_removed_kg_kg, UNIT_CONTENT, 0, 0.2, true,
          "nitrogen in the harvest as weighed"),
    RANGE("nitrogen fixed", n_fixed, UNIT_SHARE, 0, 1, false,
          "share of the crop's nitrogen that comes from the air"),

    {.name = "food",
     .type = FIELD_MAP,
     AT(food),
     .required = true,
     .sub = &food_table,
     .doc = "food values of the harvest"},
    RANGE("storage", storage_d, UNIT_DAYS, 1, 7300, false, "how long it keeps"),

    RANGE("planting time", plant_h, UNIT_MINUTES_EACH, 0, 2, true, "work to sow one spot"),
    RANGE("weeding", weed_h_m2, UNIT_HOURS_PER_AREA, 0, 20, true,
          "work to keep it weeded and watered through a season"),
    RANGE("picking", harvest_h_kg, UNIT_HOURS_PER_MASS, 0, 50, true,
          "work to pick and clean the harvest"),

    {.name = "cautions",
     .type = FIELD_LIST,
     AT(cautions),
     .sub = &caution_table,
     .most = 12,
     .doc = "what to mind when growing or eating it"},
    TEXT("note", note, false, "anything else worth knowing"),
};
#undef TABLE_OF
const struct field_table crop_table = {
    .name = "crop",
    .size = sizeof(struct crop),
    .at_offset = offsetof(struct crop, at),
    .fields = crop_fields,
    .n = COUNT_OF(crop_fields),
};

#define TABLE_OF struct guild_member
static const struct field member_fields[] = {
    CHOICE("role", role, role_names, true, "what it does here; the first one is the support"),
    {.name = "crops",
     .type = FIELD_TEXTS,
     AT(crops),
     .required = true,
     .most = 20,
     .doc = "crops that may fill the place, best first"},
    NUMBERS("per hill", per_hill, 1, 50, false, "plants kept in a hill"),
    NUMBERS("sown per hill", sown_per_hill, 1, 200, false, "seeds sown in a hill"),
    RANGE("ring", ring_m, UNIT_LENGTH, 0, 2, false,
          "radius of the ring they stand on, from the middle of the hill"),
    RANGE("delay", delay_d, UNIT_DAYS, 0, 120, false, "sown so long after the support"),
    TEXT("trigger", trigger, false,
         "what to wait for, as the planting sheet says it; `[6 in|15 cm]` in the garden's units"),
    {.name = "every",
     .type = FIELD_WHOLE,
     AT(every),
     .min = 1,
     .max = 12,
     .missing = "1",
     .doc = "in each hill (1), in every other one (2), and so on"},
    RANGE("row gap", row_gap_m, UNIT_LENGTH, 0.01, 10, false,
          "between its plants, when the guild is sown in rows"),
};
#undef TABLE_OF
static const struct field_table member_table = {
    .name = "guild member",
    .size = sizeof(struct guild_member),
    .at_offset = SIZE_MAX,
    .fields = member_fields,
    .n = COUNT_OF(member_fields),
};

#define TABLE_OF struct guild
static const struct field guild_fields[] = {
    TEXT("guild", name, true, "the guild's name"),
    {.name = "systems",
     .type = FIELD_TEXTS,
     AT(systems),
     .required = true,
     .most = 2,
     .doc = "how it may be planted: hills, row guild"},
    {.name = "members",
     .type = FIELD_LIST,
     AT(members),
     .required = true,
     .sub = &member_table,
     .most = 4,
     .doc = "two to four crops in roles, the support first"},
    {.name = "closed",
     .type = FIELD_FLAG,
     AT(closed),
     .missing = "no",
     .doc = "whether its vines close the ground, so that nobody gets in until all is ripe"},
    RANGE("pitch", pitch_m, UNIT_LENGTH, 0.2, 10, false, "from hill to hill"),
    RANGE("row", row_m, UNIT_LENGTH, 0.2, 10, false, "from row to row, when sown in rows"),
    RANGE("hill diameter", hill_diameter_m, UNIT_LENGTH, 0.1, 5, false, "width of a hill"),
    RANGE("hill height", hill_height_m, UNIT_LENGTH, 0, 1, false, "height of a hill"),
    TEXT("shape", shape, false, "shape of a hill, in words"),
    RANGE("planting time", plant_h, UNIT_MINUTES_EACH, 0, 4, false, "work to build one hill"),
    {.name = "cautions",
     .type = FIELD_LIST,
     AT(cautions),
     .sub = &caution_table,
     .most = 12,
     .doc = "what to mind"},
    TEXT("note", note, false, "anything else worth knowing"),
};
#undef TABLE_OF
const struct field_table guild_table = {
    .name = "guild",
    .size = sizeof(struct guild),
    .at_offset = offsetof(struct guild, at),
    .fields = guild_fields,
    .n = COUNT_OF(guild_fields),
};

#define TABLE_OF struct cover
static const struct field cover_fields[] = {
    TEXT("cover", name, true, "the cover crop's name"),
    TEXT("species", species, true, "Latin name"),
    TEXT("family", family, true, "botanical family"),
    {.name = "legume",
     .type = FIELD_FLAG,
     AT(legume),
     .missing = "no",
     .doc = "whether it fixes nitrogen from the air"},
    {.name = "winter kills",
     .type = FIELD_FLAG,
     AT(winter_kills),
     .missing = "no",
     .doc = "whether frost kills it, so that its straw lies on the ground in spring"},
    RANGE("rate", rate_kg_m2, UNIT_YIELD, 1e-4, 0.5, true, "seed broadcast by itself"),
    RANGE("before frost", before_d, UNIT_DAYS, -30, 150, true,
          "so many days before the median first frost it is sown at the latest"),
    RANGE("wait", wait_d, UNIT_DAYS, 0, 60, false,
          "from turning it in to the next sowing; left out: frost has killed it"),
    {.name = "cautions",
     .type = FIELD_LIST,
     AT(cautions),
     .sub = &caution_table,
     .most = 12,
     .doc = "what to mind"},
    TEXT("note", note, false, "anything else worth knowing"),
};
#undef TABLE_OF
const struct field_table cover_table = {
    .name = "cover crop",
    .size = sizeof(struct cover),
    .at_offset = offsetof(struct cover, at),
    .fields = cover_fields,
    .n = COUNT_OF(cover_fields),
};

/* ---- walking over figures ------------------------------------------------------------------- */

struct walk {
    void (*fn)(void *data, const struct field *field, const struct range *value, const char *source,
               struct pos at);
    void *data;
};

static void walk_table(const struct walk *w, const struct field_table *table, const void *of)
{
    for (size_t i = 0; i < table->n; i++) {
        const struct field *f = &table->fields[i];
        const void *at = (const char *)of + f->offset;
        if (f->type == FIELD_RANGE || f->type == FIELD_RANGE_NUMBER) {
            const struct range *value = at;
            if (value->set)
                w->fn(w->data, f, value, value->source, value->source_at);
        } else if (f->type == FIELD_MAP) {
            walk_table(w, f->sub, at);
        } else if (f->type == FIELD_LIST) {
            const struct list *list = at;
            for (size_t k = 0; k < list->n; k++)
                walk_table(w, f->sub, (const char *)list->items + k * f->sub->size);
        } else if (table == &caution_table && f->offset == offsetof(struct caution, source)) {
            const struct text *source = at;
            if (source->s)
                w->fn(w->data, f, NULL, source->s, source->at);
        }
    }
}

void figures_each(const struct field_table *table, const void *of,
                  void (*fn)(void *data, const struct field *field, const struct range *value,
                             const char *source, struct pos at),
                  void *data)
{
    walk_table(&(struct walk){fn, data}, table, of);
}

/* ---- faults in the figures ------------------------------------------------------------------ */

#define MAIZE_MOST_KG_M2 1.2 /* dry grain: light itself allows about 1.0 (docs: yields) */

static bool letter(char c)
{
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

static void lint_letter(const struct crop *crop, struct diags *diags)
{
    const char *s = crop->letter.s;
    size_t n = strlen(s);
    if (n > 2 || !letter(s[0]) || (n == 2 && !letter(s[1])))
        diag_error(diags, crop->letter.at, "map-letter",
                   "`%s` will not do on a map: one or two letters from A to Z", s);
}

static void lint_yield(const struct crop *crop, struct diags *diags)
{
    if (strcmp(crop->species.s, "Zea mays") == 0 && crop->harvest.v == HARVEST_DRY &&
        crop->yield_kg_m2.high > MAIZE_MOST_KG_M2)
        diag_error(diags, crop->yield_kg_m2.at, "impossible-value",
                   "more than 1.2 kg of dry corn from a square metre is beyond what light allows");
    if (!crop->legume.v && crop->n_fixed.set && crop->n_fixed.high > 0)
        diag_error(diags, crop->n_fixed.at, "impossible-value",
                   "only legumes fix nitrogen from the air: is `legume: yes` missing?");
}

static void lint_spacing(const struct crop *crop, struct diags *diags)
{
    if (crop->sow_gap_m.set && crop->sow_gap_m.typ > crop->in_row_m.typ)
        diag_error(diags, crop->sow_gap_m.at, "impossible-value",
                   "sown wider apart than the plants kept: `sow gap` is at most `in row`");
    if (crop->sow_from_d.typ > crop->sow_to_d.typ)
        diag_error(diags, crop->sow_to_d.at, "impossible-value",
                   "sowing ends before it starts: `sow to` comes after `sow from`");
    if (crop->cap_c.set && crop->base_c.set && crop->cap_c.low <= crop->base_c.high)
        diag_error(diags, crop->cap_c.at, "impossible-value",
                   "the `cap temperature` lies above the `base temperature`");
}

static void lint_amino(const struct crop *crop, struct diags *diags)
{
    double sum = 0;
    struct pos at = crop->food.protein_kg_kg.at;
    for (int a = 0; a < AMINO_COUNT; a++) {
        const struct range *amino = &crop->food.amino_g_g[a];
        sum += amino->typ;
        if (amino->set)
            at = amino->at;
    }
    if (sum > 1)
        diag_error(diags, at, "impossible-value",
                   "the amino acids together are more than the protein they are part of");
}

static void lint_missing(const struct crop *crop, struct diags *diags)
{
    bool seed_head = crop->density_law.v == DENSITY_SEED_HEAD;
    if (!(seed_head ? crop->best_density_m2.set : crop->half_density_m2.set))
        diag_error(diags, crop->density_law.at, "missing-figure",
                   "yield cannot follow density without `%s`",
                   seed_head ? "best density" : "half density");
    bool seed = crop->planted_as.v == 0;
    if (!(seed ? crop->seeds_per_kg.set : crop->piece_kg.set))
        diag_error(diags, crop->planted_as.set ? crop->planted_as.at : crop->name.at,
                   "missing-figure", "the amount to sow cannot be counted without `%s`",
                   seed ? "seeds per mass" : "piece");
    const struct range *base = &crop->base_c, *sum = &crop->degree_days;
    if (base->set != sum->set)
        diag_error(diags, base->set ? base->at : sum->at, "missing-figure",
                   "degree days count from a base temperature: `%s` is missing",
                   base->set ? "degree days" : "base temperature");
    if (crop->cap_c.set && !base->set)
        diag_error(diags, crop->cap_c.at, "missing-figure",
                   "a cap of degree days needs the `base temperature` they count from");
}

void crop_lint(const struct crop *crop, struct diags *diags)
{
    lint_letter(crop, diags);
    lint_yield(crop, diags);
    lint_spacing(crop, diags);
    lint_amino(crop, diags);
    lint_missing(crop, diags);
}
