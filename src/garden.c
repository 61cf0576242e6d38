/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "garden.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "outline.h"

#define COUNT_OF(a)  (sizeof(a) / sizeof((a)[0]))
#define DEGREE       (M_PI / 180)
#define PLOTS_MAX    50
#define CORNERS_MAX  2000
#define SEEDS_MAX    200
#define CHANGES_MAX  200
#define LAYOUTS_MAX  4
#define GARDEN_FAR_M 5000 /* farther apart pollen and shade do not matter */

const char *const goal_names[] = {"days", "energy", "protein", NULL};
const char *const garden_systems[] = {"hills", "rows", "row guild", NULL};
const char *const garden_layouts[] = {"guild in hills", "separate rows", "guild in rows",
                                      "free choice", NULL};

static const char *const rotation_names[] = {"tell", "avoid", "bar", NULL};
const char *const mulch_names[] = {"straw", "leaves", "wood chips", NULL};
static const char *const unit_systems[] = {"us", "metric", NULL};
static const char *const row_names[] = {"along-x", "along-y", "either", NULL};
static const char *const standing_rows[] = {"along-x", "along-y", NULL}; /* as row_names */
static const char *const edge_names[] = {"open", "path",  "neighbour", "fence",
                                         "wall", "hedge", NULL};

/* ---- tables --------------------------------------------------------------------------------- */

#define AT(member) .offset = offsetof(TABLE_OF, member)
#define TABLE(table, words)                                                                        \
    {                                                                                              \
        .name = (words), .size = sizeof(TABLE_OF), .at_offset = offsetof(TABLE_OF, at),            \
        .fields = (table), .n = COUNT_OF(table), .own_figures = true                               \
    }
#define TABLE_PLAIN(table, words)                                                                  \
    {                                                                                              \
        .name = (words), .size = sizeof(TABLE_OF), .at_offset = SIZE_MAX, .fields = (table),       \
        .n = COUNT_OF(table), .own_figures = true                                                  \
    }
#define TEXT(key, member, must, words)                                                             \
    {                                                                                              \
        .name = (key), .type = FIELD_TEXT, AT(member), .required = (must), .doc = (words)          \
    }
#define DATE(key, member, must, words)                                                             \
    {                                                                                              \
        .name = (key), .type = FIELD_DATE, AT(member), .required = (must), .doc = (words)          \
    }
#define FLAG(key, member, words)                                                                   \
    {                                                                                              \
        .name = (key), .type = FIELD_FLAG, AT(member), .missing = "no", .doc = (words)             \
    }
#define CHOICE(key, member, options, unless, words)                                                \
    {                                                                                              \
        .name = (key), .type = FIELD_CHOICE, AT(member), .names = (options), .missing = (unless),  \
        .doc = (words)                                                                             \
    }
#define MAP(key, member, table, must, words)                                                       \
    {                                                                                              \
        .name = (key), .type = FIELD_MAP, AT(member), .sub = (table), .required = (must),          \
        .doc = (words)                                                                             \
    }
#define LIST(key, member, table, most_items, must, words)                                          \
    {                                                                                              \
        .name = (key), .type = FIELD_LIST, AT(member), .sub = (table), .most = (most_items),       \
        .required = (must), .doc = (words)                                                         \
    }
#define TEXTS(key, member, most_items, words)                                                      \
    {                                                                                              \
        .name = (key), .type = FIELD_TEXTS, AT(member), .most = (most_items), .doc = (words)       \
    }
#define QTY(key, member, unit, lo, hi, unless, words)                                              \
    {                                                                                              \
        .name = (key), .type = FIELD_QTY, AT(member), .kind = (unit), .min = (lo), .max = (hi),    \
        .missing = (unless), .doc = (words)                                                        \
    }
#define MUST(key, member, unit, lo, hi, words)                                                     \
    {                                                                                              \
        .name = (key), .type = FIELD_QTY, AT(member), .required = true, .kind = (unit),            \
        .min = (lo), .max = (hi), .doc = (words)                                                   \
    }
#define WHOLE(key, member, lo, hi, must, unless, words)                                            \
    {                                                                                              \
        .name = (key), .type = FIELD_WHOLE, AT(member), .required = (must), .min = (lo),           \
        .max = (hi), .missing = (unless), .doc = (words)                                           \
    }
#define AMOUNT(key, member, units, words)                                                          \
    {                                                                                              \
        .name = (key), .type = FIELD_AMOUNT, AT(member), .kinds = (units), .min = 0, .max = 1e9,   \
        .doc = (words)                                                                             \
    }
#define PLACE(key, member, how, must, lo, words)                                                   \
    {                                                                                              \
        .name = (key), .type = (how), AT(member), .required = (must), .min = (lo), .max = 200,     \
        .doc = (words)                                                                             \
    }
#define CORNERS(key, member, most_items, words)                                                    \
    {                                                                                              \
        .name = (key), .type = FIELD_POINTS, AT(member), .most = (most_items), .min = -200,        \
        .max = 200, .doc = (words)                                                                 \
    }

#define TABLE_OF struct frost_dates
static const struct field frost_fields[] = {
    DATE(
        "early", early, false,
        "nine years in ten it is later (a table that gives the chance of frost after the day in "
        "spring, or before it in fall, has it under 90 % in spring and 10 % in fall); left out: 12 "
        "days before median"),
    DATE("median", median, true, "as often earlier as later"),
    DATE("late", late, false,
         "nine years in ten it is earlier (there: 10 % in spring, 90 % in fall); left out: 12 days "
         "after "
         "median"),
};
static const struct field_table frost_table = TABLE_PLAIN(frost_fields, "frost dates");
#undef TABLE_OF

#define TABLE_OF struct site
static const struct field site_fields[] = {
    MUST("latitude", latitude, UNIT_ANGLE, -65 * DEGREE, 65 * DEGREE,
         "degrees from the equator, south negative"),
    MAP("last frost", last_frost, &frost_table, true, "when the last frost of spring comes"),
    MAP("first frost", first_frost, &frost_table, true, "when the first frost of fall comes"),
    QTY("sun", sun, UNIT_SHARE, 0.1, 1, "100 %",
        "share of the open sky's light that reaches the garden"),
    MAP("normals", normals, &normals_table, false,
        "monthly mean temperatures: crops then ripen by degree days, and wait for warm soil"),
};
static const struct field_table site_table = TABLE(site_fields, "site");
#undef TABLE_OF

#define TABLE_OF struct edge
static const struct field edge_fields[] = {
    WHOLE("side", side, 1, CORNERS_MAX, true, NULL,
          "side 1 runs from the first corner to the second, and so on"),
    CHOICE("kind", kind, edge_names, "open", "what lies along it"),
    FLAG("gate", gate, "whether the plot is entered here"),
    QTY("gate at", gate_at_m, UNIT_LENGTH, 0, 400, NULL,
        "middle of the gate, measured along the side from its first corner"),
    FLAG("overhang", overhang, "whether vines may spill over it"),
    TEXT("name", name, false, "its name on the map"),
    QTY("tallest", tallest_m, UNIT_LENGTH, 0.1, 10, NULL,
        "rule of height: no crop that grows taller may stand near this side"),
    QTY("within", within_m, UNIT_LENGTH, 0.1, 100, NULL,
        "how near that is; left out: anywhere on the plot"),
    QTY("height", height_m, UNIT_LENGTH, 0, 60, "0 m",
        "how high a fence, wall or hedge stands; 0: it casts no shade"),
    QTY("light", light, UNIT_SHARE, 0, 1, "0 %", "share of the light that comes through it"),
    QTY("shade", shade, UNIT_SHARE, 0, 1, NULL,
        "most that the crops may take of the season's light on the 2 m (6 1/2 ft) of ground beyond "
        "it; left out: no limit"),
};
static const struct field_table edge_table = TABLE(edge_fields, "edge");
#undef TABLE_OF

#define TABLE_OF struct path
static const struct field path_fields[] = {
    PLACE("from", from, FIELD_POINT, true, -200, "one end of its middle line"),
    PLACE("to", to, FIELD_POINT, true, -200, "the other end"),
    QTY("width", width_m, UNIT_LENGTH, 0.1, 10, "18 in", "how wide it is"),
};
static const struct field_table path_table = TABLE(path_fields, "path");
#undef TABLE_OF

#define TABLE_OF struct obstacle
static const struct field obstacle_fields[] = {
    TEXT("name", name, false, "its name on the map"),
    PLACE("place", place, FIELD_POINT, false, -200, "the middle of a round one"),
    QTY("radius", radius_m, UNIT_LENGTH, 0.02, 50, NULL, "of a round one"),
    CORNERS("outline", outline, 200, "or its corners, in order"),
    QTY("height", height_m, UNIT_LENGTH, 0, 60, "0 m", "how high it stands; 0: it casts no shade"),
    QTY("light", light, UNIT_SHARE, 0, 1, "0 %", "share of the light that comes through it"),
};
static const struct field_table obstacle_table = TABLE(obstacle_fields, "obstacle");
#undef TABLE_OF

#define TABLE_OF struct standing
static const struct field standing_fields[] = {
    TEXT("crop", crop_name, true, "what stands there: a name of `hillrow crops`"),
    TEXT("variety", variety, false, "which one, for people"),
    PLACE("at", corner, FIELD_POINT, true, -200, "its corner nearest the origin stake"),
    PLACE("size", size, FIELD_SIZE, true, 0.1, "along x by along y"),
    CHOICE("rows", rows, standing_rows, NULL,
           "which way its rows run; left out: along its longer side"),
    QTY("along", along_m, UNIT_LENGTH, 0.01, 10, NULL,
        "from plant to plant in a row; left out: as usual for the crop"),
    QTY("across", across_m, UNIT_LENGTH, 0.05, 10, NULL,
        "from row to row; left out: as usual for the crop"),
    FLAG("for seed", for_seed,
         "whether it is a biennial in its second year that is left to flower: it is then no food"),
    FLAG("over winter", winter,
         "whether it was sown last year and is dug in spring, as leeks are: until `until`, or the "
         "median last frost"),
    DATE("until", until, false,
         "the day it must be off the ground, its harvest in; left out: when it is ripe"),
};
static const struct field_table standing_table = TABLE(standing_fields, "standing block");
#undef TABLE_OF

#define TABLE_OF struct plot
static const struct field plot_fields[] = {
    TEXT("name", name, true, "the plot's name or number"),
    PLACE("size", size, FIELD_SIZE, false, 0.3,
          "of a rectangle: along x (to the right of the origin) by along y"),
    CORNERS("outline", outline, CORNERS_MAX, "or the corners in order, from the origin stake"),
    TEXT("origin", origin, false, "where the origin stake stands, in words"),
    {.name = "at",
     .type = FIELD_POINT,
     AT(garden_at),
     .min = -GARDEN_FAR_M,
     .max = GARDEN_FAR_M,
     .doc = "where the origin stake lies in the garden, to the east and to the north of a spot "
            "that is the same for all plots: crossing of seed, and shade, go by it"},
    QTY("bearing", bearing, UNIT_ANGLE, -360 * DEGREE, 360 * DEGREE, "0 deg",
        "compass bearing of the y axis: 0 deg north, 90 deg east"),
    CHOICE("rows", rows, row_names, "either", "which way the rows run"),
    QTY("border", border_m, UNIT_LENGTH, 0, 20, "6 in", "strip along all sides that stays free"),
    DATE("open", open, false, "the garden's opening day: nothing goes in before"),
    DATE("clear by", clear, false, "the day by which the ground must be bare again"),
    TEXTS("banned", banned, 50, "crops, or whole families, that the rules do not allow here"),
    {.name = "wood chips",
     .type = FIELD_FLAG,
     AT(chips),
     .doc = "whether the rules allow wood chips on it; left out: the sheet says to ask"},
    QTY("reach", reach_m, UNIT_LENGTH, 0.1, 3, NULL,
        "of beds that are not trodden: how far one reaches in from the sides; left out: one walks "
        "between the rows"),
    LIST("edges", edges, &edge_table, CORNERS_MAX, false, "what lies along the sides"),
    LIST("paths", paths, &path_table, 200, false, "strips that stay free"),
    LIST("obstacles", obstacles, &obstacle_table, 200, false,
         "trees, sheds, posts, inside or beside the plot"),
    LIST("standing", standing, &standing_table, STANDING_MAX, false,
         "what stands already and stays: its ground is not planted, its harvest counts"),
};
static const struct field_table plot_table = TABLE(plot_fields, "plot");
#undef TABLE_OF

#define TABLE_OF struct seed
static const struct field seed_fields[] = {
    TEXT("variety", variety, true, "its name on the packet"),
    TEXT("crop", crop_name, true, "what it is: a name of `hillrow crops`"),
    AMOUNT("amount", amount, 1u << UNIT_MASS | 1u << UNIT_COUNT,
           "how much is in hand; left out: as much as is needed"),
    QTY("germination", germination, UNIT_SHARE, 0.01, 1, NULL,
        "of a test or the label; left out: the crop's standard"),
    WHOLE("year", year, 1950, 2300, false, NULL,
          "the year the seed ripened; without a germination test old seed counts for less"),
    {.name = "days",
     .type = FIELD_RANGE,
     AT(days),
     .kind = UNIT_DAYS,
     .min = 10,
     .max = 365,
     .doc = "this variety's days to harvest; left out: the crop's"},
    {.name = "degree days",
     .type = FIELD_RANGE_NUMBER,
     AT(degree_days),
     .min = 100,
     .max = 10000,
     .doc = "C days (F days / 1.8) it takes to ripen, where the site has normals; left out: the "
            "crop's, less or more as its days are"},
    CHOICE(
        "harvest", harvest, harvest_names, NULL,
        "how it is gathered: dry at the end, once when ripe, or fresh again and again, which "
        "keeps it out of guilds whose vines close the ground; left out: as the crop's file says"),
    FLAG("save", save, "whether seed of it is to be saved: nothing it crosses with is then near"),
    FLAG("by hand", by_hand, "whether its flowers are bagged and pollinated by hand"),
};
static const struct field_table seed_table = TABLE(seed_fields, "seed");
#undef TABLE_OF

#define TABLE_OF struct nearby
static const struct field nearby_fields[] = {
    TEXT("crop", crop_name, true, "what a neighbour grows: a name of `hillrow crops`"),
    MUST("distance", distance_m, UNIT_LENGTH, 0, 5000, "how far off, at its nearest"),
};
static const struct field_table nearby_table = TABLE(nearby_fields, "nearby");
#undef TABLE_OF

#define TABLE_OF struct wish
#define WISHED   (1u << UNIT_MASS | 1u << UNIT_COUNT | 1u << UNIT_AREA | 1u << UNIT_SHARE)
static const struct field wish_fields[] = {
    TEXT("crop", crop_name, false, "a crop, all its varieties together, or"),
    TEXT("variety", variety, false, "one variety in hand, or"),
    TEXT("guild", guild, false, "a guild, all its crops together"),
    TEXT("plot", plot, false, "count only what grows there; left out: anywhere"),
    AMOUNT("at least", at_least, WISHED,
           "a mass, plants (of a guild: hills), an area, or a share of the food energy"),
    AMOUNT("at most", at_most, WISHED, "the same"),
    QTY("weight", weight, UNIT_SHARE, 0.1, 10, NULL,
        "what its food counts for in the goal, more than 100 % for a favourite; the food that is "
        "told of stays as it is. Of several wishes about a plant one times the other; left out: "
        "100 %"),
};
static const struct field_table wish_table = TABLE(wish_fields, "wish");
#undef TABLE_OF

#define TABLE_OF struct spacing_wish
static const struct field spacing_fields[] = {
    TEXT("crop", crop_name, false, "a crop in rows, or"),
    TEXT("guild", guild_name, false, "a guild"),
    CHOICE("system", system, garden_systems, NULL, "of a guild: hills (if left out) or row guild"),
    QTY("along", along_m, UNIT_LENGTH, 0.01, 10, NULL,
        "from station to station along a line; of hills, from centre to centre"),
    QTY("across", across_m, UNIT_LENGTH, 0.05, 10, NULL,
        "from line to line; of hills left out, they stand staggered in triangles of equal sides"),
};
static const struct field_table spacing_table = TABLE(spacing_fields, "spacing");
#undef TABLE_OF

#define TABLE_OF struct grow
static const struct field grow_fields[] = {
    TEXTS("guilds", guilds, 200, "guilds to consider; left out: all there is seed for"),
    TEXTS("crops", crops, 200, "crops to consider on their own; left out: all there is seed for"),
    TEXTS("systems", systems, 3, "of hills, rows, row guild; left out: all three"),
    FLAG("second crops", second, "whether a second crop may follow a first one on the same ground"),
    FLAG("cover after harvest", cover,
         "whether the sheet says where, what and until when to sow cover crops for the winter"),
    LIST("spacings", spacings, &spacing_table, 50, false,
         "distances that are settled; left out: the library's low, typical and high ones"),
};
static const struct field_table grow_table = TABLE(grow_fields, "grow");
#undef TABLE_OF

#define TABLE_OF struct layout_wish
static const struct field layout_fields[] = {
    TEXT("name", name, true, "what to call it"),
    TEXTS("guilds", grow.guilds, 200, "as in `grow`; left out: as there"),
    TEXTS("crops", grow.crops, 200, "as in `grow`; left out: as there"),
    TEXTS("systems", grow.systems, 3, "as in `grow`; left out: as there"),
    LIST("spacings", grow.spacings, &spacing_table, 50, false, "as in `grow`; left out: as there"),
};
static const struct field_table layout_table = TABLE(layout_fields, "layout");
#undef TABLE_OF

#define TABLE_OF struct ration
static const struct field ration_fields[] = {
    QTY("energy", energy_kcal, UNIT_RATION_ENERGY, 500, 10000, "2500 kcal/day",
        "food energy a person needs"),
    QTY("protein", protein_kg, UNIT_RATION_PROTEIN, 0.01, 0.5, "60 g/day",
        "good protein a person needs"),
};
static const struct field_table ration_table = TABLE_PLAIN(ration_fields, "ration");
#undef TABLE_OF

#define TABLE_OF struct limits
static const struct field limits_fields[] = {
    QTY("hours", hours, UNIT_HOURS, 0.5, 100000, NULL, "most work in the season, all together"),
    QTY("hours a week", week_hours, UNIT_HOURS, 0.25, 1000, NULL, "most work in any one week"),
    QTY("compost", compost_m3, UNIT_VOLUME, 0, 10000, NULL,
        "what can be had and hauled: no more ground is planted than it dresses once"),
    QTY("mulch", mulch_m3, UNIT_VOLUME, 0, 10000, NULL,
        "what can be had and hauled, as it lies (a bale of straw is 22.5 cu ft, 0.64 m3): no more "
        "ground is planted, but in guilds whose vines cover it, than can be mulched with it"),
    QTY("share of energy", share_energy, UNIT_SHARE, 0.01, 1, NULL,
        "most of the food energy from one crop"),
    QTY("share of area", share_area, UNIT_SHARE, 0.01, 1, NULL, "most of the ground to one crop"),
    WHOLE("blocks", blocks, 1, 20, false, "5", "most blocks side by side on one stretch of ground"),
    QTY("reserve", reserve, UNIT_SHARE, 0, 0.9, "15 %", "share of the seed kept for replanting"),
};
static const struct field_table limits_table = TABLE_PLAIN(limits_fields, "limits");
#undef TABLE_OF

#define TABLE_OF struct mulch
static const struct field mulch_fields[] = {
    CHOICE("beds", beds, mulch_names, NULL, "between the plants; left out: straw or leaves"),
    CHOICE("paths", paths, mulch_names, NULL,
           "on the paths laid out inside plots; left out: wood chips, or straw where `wood chips: "
           "no` bans them"),
};
static const struct field_table mulch_table = TABLE_PLAIN(mulch_fields, "mulch");
#undef TABLE_OF

#define TABLE_OF struct former_plan
static const struct field former_fields[] = {
    TEXT("plan", plan, true,
         "path of its plan.json or the folder with it, from the folder of the garden file"),
    WHOLE("year", year, 1950, 2300, true, NULL, "the year of its season"),
};
static const struct field_table former_table = TABLE(former_fields, "former plan");
#undef TABLE_OF

#define TABLE_OF struct rotation
static const struct field rotation_fields[] = {
    WHOLE("years", years, 1, 10, false, "3",
          "for so many years a family stays off ground that it stood on"),
    CHOICE("rule", rule, rotation_names, "tell",
           "bar: never on such ground, which may cost food; avoid: there only where that is worth "
           "its `cost`; tell: the summary says where it does"),
    QTY("cost", cost, UNIT_SHARE, 0.01, 1, "30 %",
        "of `rule: avoid`: by how much less food counts in the goal on ground that was its "
        "family's; where a part of a stretch was, by so much less; the food that is told of stays "
        "as it is"),
};
static const struct field_table rotation_table = TABLE(rotation_fields, "rotation");
#undef TABLE_OF

#define TABLE_OF struct garden
static const struct field garden_fields[] = {
    TEXT("garden", name, true, "the garden's name"),
    CHOICE("units", units, unit_systems, "us", "how lengths and masses are printed"),
    WHOLE("people", people, 1, 1000, false, "1", "how many eat from it"),
    WHOLE("year", year, 1900, 2300, true, NULL, "the year of the season planned"),
    MAP("site", site, &site_table, true, "where it lies"),
    LIST("plots", plots, &plot_table, PLOTS_MAX, true, "the pieces of ground"),
    LIST("seed", seed, &seed_table, SEEDS_MAX, true, "the varieties in hand"),
    MAP("grow", grow, &grow_table, false, "what to consider"),
    LIST("compare", compare, &layout_table, LAYOUTS_MAX, false,
         "layouts of your own for `hillrow compare`, beside hills, rows and row guild"),
    LIST("nearby", nearby, &nearby_table, 100, false,
         "what neighbours are known to grow, for seed that is to stay true"),
    LIST("wishes", wishes, &wish_table, 200, false,
         "how much or how little of a crop, and favourites"),
    CHOICE("goal", goal, goal_names, "days",
           "days of full food for one person, food energy, or usable protein"),
    MAP("ration", ration, &ration_table, false, "what one person eats in a day"),
    MAP("limits", limits, &limits_table, false, "what the plan may not go over"),
    MAP("mulch", mulch, &mulch_table, false, "what the ground is covered with"),
    LIST("history", history, &former_table, 20, false, "plans of the years before"),
    MAP("rotation", rotation, &rotation_table, false,
        "how families of crops move on, by the plans under `history`"),
    {.name = "crops",
     .type = FIELD_NODE,
     AT(changes),
     .doc = "figures of your own: a list, each item a `crop` and any key of a crop file"},
    TEXT("note", note, false, "anything else worth keeping"),
};
const struct field_table garden_table = TABLE(garden_fields, "garden file");
#undef TABLE_OF

/* ---- reading -------------------------------------------------------------------------------- */

struct reading {
    struct arena *arena;
    struct diags *diags;
    struct garden *garden;
};

static void unknown(struct reading *r, const struct text *name, const char *check, const char *what,
                    const char *near)
{
    if (near && strchr(near, ','))
        diag_error(r->diags, name->at, check,
                   "there is no %s `%s`; did you mean `\"%s\"`, in quotes for its comma?", what,
                   name->s, near);
    else if (near)
        diag_error(r->diags, name->at, check, "there is no %s `%s`; did you mean `%s`?", what,
                   name->s, near);
    else
        diag_error(r->diags, name->at, check, "there is no %s `%s`", what, name->s);
}

/* The crop a text names, which is then spelt as in the library; NULL is reported. As of the others
 * below: a name that could not be read has been reported before. */
static const struct crop *crop_resolve(struct reading *r, struct text *name)
{
    const struct crop *crop = name->s ? garden_crop(r->garden, name->s) : NULL;
    if (!name->s)
        return NULL;
    if (crop)
        name->s = crop->name.s;
    else
        unknown(r, name, "unknown-crop", "crop", library_near_crop(r->garden->library, name->s));
    return crop;
}

static void letter_check(struct reading *r, const struct crop *crop, size_t before)
{
    const struct library *lib = r->garden->library;
    const struct crop *changed = r->garden->crops.items;
    for (size_t i = 0; i < lib->ncrops + before; i++) {
        const struct crop *other = i < lib->ncrops ? &lib->crops[i] : &changed[i - lib->ncrops];
        if (!str_same(other->name.s, crop->name.s) && str_same(other->letter.s, crop->letter.s)) {
            diag_error(r->diags, crop->letter.at, "same-letter",
                       "the map letter `%s` is taken by %s", crop->letter.s, other->name.s);
            return;
        }
    }
}

/* The gardener's figures of one crop, laid over a copy of the library's. */
static hr_status change_read(struct reading *r, const struct node *item)
{
    struct list *crops = &r->garden->crops;
    struct crop *copy = (struct crop *)crops->items + crops->n;
    const struct node *key = tree_find(item, "crop");
    if (!key || key->kind != NODE_SCALAR) {
        diag_error(r->diags, item->at, item->kind == NODE_MAP ? "missing-key" : "wrong-type",
                   "each item of `crops` is a `crop` and the figures to change, `name: value`");
        return HR_OK;
    }
    struct text name = {key->as.scalar.text, key->at};
    const struct crop *first = library_crop(r->garden->library, name.s);
    if (!first) {
        unknown(r, &name, "unknown-crop", "crop", library_near_crop(r->garden->library, name.s));
        return HR_OK;
    }
    const struct crop *changed = crops->items;
    for (size_t i = 0; i < crops->n; i++) {
        if (changed[i].name.s != first->name.s)
            continue;
        diag_error(r->diags, name.at, "crop-twice", "`%s` is changed here again", name.s);
        diag_note(r->diags, changed[i].name.at, "changed here before");
        return HR_OK;
    }
    *copy = *first;
    hr_status status = field_read(&crop_table, item, true, r->arena, r->diags, copy);
    copy->name = (struct text){first->name.s, name.at};
    if (status == HR_OK) {
        crop_lint(copy, r->diags);
        letter_check(r, copy, crops->n);
    }
    crops->n++;
    return status == HR_NOMEM ? HR_NOMEM : HR_OK;
}

static hr_status changes_read(struct reading *r)
{
    const struct node *list = r->garden->changes;
    hr_status status = HR_OK;
    if (!list)
        return HR_OK;
    if (list->kind != NODE_LIST) {
        diag_error(r->diags, list->at, "wrong-type",
                   "`crops` must be a list: start each crop with `- crop: `");
        return HR_OK;
    }
    if (list->as.list.n > CHANGES_MAX) {
        diag_error(r->diags, list->at, "too-many", "`crops` has %zu items; at most %d are read",
                   list->as.list.n, CHANGES_MAX);
        return HR_OK;
    }
    r->garden->crops.items = ARENA_ARRAY(r->arena, struct crop, list->as.list.n);
    if (!r->garden->crops.items)
        return HR_NOMEM;
    r->garden->crops.set = true;
    r->garden->crops.at = list->at;
    for (size_t i = 0; i < list->as.list.n && status == HR_OK; i++)
        status = change_read(r, list->as.list.items[i]);
    return status;
}

static void seeds_resolve(struct reading *r)
{
    for (size_t i = 0; i < r->garden->seed.n; i++) {
        struct seed *seed = garden_seed(r->garden, i);
        seed->crop = crop_resolve(r, &seed->crop_name);
    }
}

static void standing_resolve(struct reading *r)
{
    for (size_t i = 0; i < r->garden->plots.n; i++) {
        struct plot *plot = garden_plot(r->garden, i);
        for (size_t k = 0; k < plot->standing.n; k++)
            crop_resolve(r, &plot_standing(plot, k)->crop_name);
    }
}

static void nearby_resolve(struct reading *r)
{
    struct nearby *nearby = r->garden->nearby.items;
    for (size_t i = 0; i < r->garden->nearby.n; i++)
        nearby[i].crop = crop_resolve(r, &nearby[i].crop_name);
}

/* Which of n names a text is, as it is then spelt; -1 is reported, unless one of them could not be
 * read: it may be that one. */
static int name_resolve(struct reading *r, struct text *name, const char *const *names, size_t n,
                        const char *check, const char *what)
{
    bool unread = n == 0;
    for (size_t i = 0; i < n; i++) {
        if (names[i] && str_same(names[i], name->s)) {
            name->s = names[i];
            return (int)i;
        }
        unread = unread || !names[i];
    }
    size_t near = unread ? n : str_nearest(name->s, names, n);
    if (!unread)
        unknown(r, name, check, what, near < n ? names[near] : NULL);
    return -1;
}

static void variety_resolve(struct reading *r, struct text *name)
{
    const char *names[SEEDS_MAX] = {NULL};
    for (size_t i = 0; i < r->garden->seed.n; i++)
        names[i] = garden_seed(r->garden, i)->variety.s;
    name_resolve(r, name, names, r->garden->seed.n, "unknown-variety", "variety in hand called");
}

static void guild_resolve(struct reading *r, struct text *name)
{
    const struct guild *guild = name->s ? library_guild(r->garden->library, name->s) : NULL;
    if (guild)
        name->s = guild->name.s;
    else if (name->s)
        unknown(r, name, "unknown-guild", "guild", library_near_guild(r->garden->library, name->s));
}

static int plot_resolve(struct reading *r, struct text *name)
{
    const char *names[PLOTS_MAX] = {NULL};
    for (size_t i = 0; i < r->garden->plots.n; i++)
        names[i] = garden_plot(r->garden, i)->name.s;
    return name_resolve(r, name, names, r->garden->plots.n, "unknown-plot", "plot");
}

static bool family_known(const struct garden *g, struct text *name)
{
    for (size_t i = 0; i < g->library->ncrops; i++)
        if (str_same(g->library->crops[i].family.s, name->s)) {
            name->s = g->library->crops[i].family.s;
            return true;
        }
    return false;
}

/* Crops and families, spelt as in the library. */
static void banned_resolve(struct reading *r)
{
    for (size_t i = 0; i < r->garden->plots.n; i++) {
        const struct list *banned = &garden_plot(r->garden, i)->banned;
        struct text *names = banned->items;
        for (size_t k = 0; k < banned->n; k++)
            if (names[k].s && !family_known(r->garden, &names[k]))
                crop_resolve(r, &names[k]);
    }
}

static void wishes_resolve(struct reading *r)
{
    for (size_t i = 0; i < r->garden->wishes.n; i++) {
        struct wish *wish = garden_wish(r->garden, i);
        if (wish->crop_name.s)
            crop_resolve(r, &wish->crop_name);
        if (wish->variety.s && r->garden->seed.set)
            variety_resolve(r, &wish->variety);
        if (wish->guild.s)
            guild_resolve(r, &wish->guild);
        wish->plot_index = wish->plot.s ? plot_resolve(r, &wish->plot) : -1;
    }
}

static void system_resolve(struct reading *r, struct text *name)
{
    size_t k = 0;
    if (!name->s)
        return;
    while (garden_systems[k] && !str_same(garden_systems[k], name->s))
        k++;
    if (garden_systems[k])
        name->s = garden_systems[k];
    else
        unknown(r, name, "unknown-system", "system (hills, rows, row guild)", NULL);
}

static void grow_resolve(struct reading *r, struct grow *grow)
{
    struct text *names = grow->crops.items;
    for (size_t i = 0; i < grow->crops.n; i++)
        crop_resolve(r, &names[i]);
    names = grow->guilds.items;
    for (size_t i = 0; i < grow->guilds.n; i++)
        guild_resolve(r, &names[i]);
    names = grow->systems.items;
    for (size_t i = 0; i < grow->systems.n; i++)
        system_resolve(r, &names[i]);
    struct spacing_wish *spacings = grow->spacings.items;
    for (size_t i = 0; i < grow->spacings.n; i++) {
        if (spacings[i].crop_name.s)
            crop_resolve(r, &spacings[i].crop_name);
        if (spacings[i].guild_name.s)
            guild_resolve(r, &spacings[i].guild_name);
    }
}

/* early and late, where they were left out. */
static void frosts_fill(struct frost_dates *f)
{
    char text[32];
    size_t at;
    if (!f->median.set)
        return;
    if (!f->early.set)
        date_read(date_text(text, sizeof text, date_day(f->median.d) - FROST_SPREAD_D), &f->early.d,
                  &at);
    if (!f->late.set)
        date_read(date_text(text, sizeof text, date_day(f->median.d) + FROST_SPREAD_D), &f->late.d,
                  &at);
}

/* ---- outlines ------------------------------------------------------------------------------- */

/* A clockwise outline is turned round, its first corner kept first, its sides numbered anew. */
static void plot_turn(struct plot *plot)
{
    struct point *p = plot->outline.items;
    size_t n = plot->outline.n;
    if (n < 3 || outline_area(p, n) >= 0)
        return;
    for (size_t i = 1, k = n - 1; i < k; i++, k--) {
        struct point swap = p[i];
        p[i] = p[k];
        p[k] = swap;
    }
    for (size_t i = 0; i < plot->edges.n; i++) {
        struct edge *edge = &((struct edge *)plot->edges.items)[i];
        if (!(edge->side.v >= 1 && edge->side.v <= (double)n))
            continue;
        size_t side = (n - (size_t)edge->side.v) % n;
        const struct point *a = &p[side], *b = &p[(side + 1) % n];
        edge->side.v = (double)(side + 1);
        if (edge->gate_at_m.set) /* negative beyond the other end, for the checks */
            edge->gate_at_m.v = hypot(b->x - a->x, b->y - a->y) - edge->gate_at_m.v;
    }
}

bool plot_placed(const struct plot *plot)
{
    return plot->garden_at.at.src != NULL;
}

struct point plot_in_garden(const struct plot *plot, struct point p)
{
    double s = sin(plot->bearing.v), c = cos(plot->bearing.v); /* the y axis runs to (s, c) */
    return (struct point){.x = plot->garden_at.x + c * p.x + s * p.y,
                          .y = plot->garden_at.y - s * p.x + c * p.y,
                          .at = p.at};
}

const struct point *plot_corners(struct arena *arena, const struct plot *plot, size_t *n)
{
    const struct point *given = plot->outline.items;
    size_t count = plot->outline.n > 0 ? plot->outline.n : 4;
    struct point *p = ARENA_ARRAY(arena, struct point, count);
    if (!p)
        return NULL;
    if (plot->outline.n > 0) {
        memcpy(p, given, count * sizeof *p);
    } else {
        double x = plot->size.x, y = plot->size.y;
        p[0] = (struct point){0, 0, plot->size.at};
        p[1] = (struct point){x, 0, plot->size.at};
        p[2] = (struct point){x, y, plot->size.at};
        p[3] = (struct point){0, y, plot->size.at};
    }
    *n = count;
    return p;
}

hr_status garden_read(struct arena *arena, const struct source *src, const struct library *lib,
                      struct diags *diags, struct garden **out)
{
    struct node *root;
    size_t errors = diags_errors(diags);
    hr_status status = tree_read(arena, src, diags, &root);
    if (status != HR_OK)
        return status;
    struct garden *g = ARENA_NEW(arena, struct garden);
    if (!g)
        return HR_NOMEM;
    g->source = src;
    g->library = lib;
    struct reading r = {arena, diags, g};
    status = field_read(&garden_table, root, false, arena, diags, g);
    if (status != HR_NOMEM && changes_read(&r) != HR_OK)
        status = HR_NOMEM;
    if (status == HR_NOMEM)
        return status;
    seeds_resolve(&r);
    grow_resolve(&r, &g->grow);
    for (size_t i = 0; i < g->compare.n; i++)
        grow_resolve(&r, &garden_layout(g, i)->grow);
    wishes_resolve(&r);
    banned_resolve(&r);
    nearby_resolve(&r);
    standing_resolve(&r);
    frosts_fill(&g->site.last_frost);
    frosts_fill(&g->site.first_frost);
    if (normals_set(&g->site.normals)) {
        g->site.daily = normals_daily(&g->site.normals, arena);
        if (!g->site.daily)
            return HR_NOMEM;
    }
    for (size_t i = 0; i < g->plots.n; i++)
        plot_turn(garden_plot(g, i));
    if (diags_errors(diags) > errors)
        return HR_INPUT;
    *out = g;
    return garden_standing_seeds(g, arena);
}
