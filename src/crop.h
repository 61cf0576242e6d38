/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CROP_H
#define CROP_H
/* The crop library: one YAML file per crop and per guild, every figure with its source. */
#include "bib.h"
#include "field.h"

/* What a crop does in a guild. "Fixer" is a property of legumes, not a role. */
enum role { ROLE_SUPPORT, ROLE_CLIMBER, ROLE_COVER, ROLE_ALONE, ROLE_COUNT };
extern const char *const role_names[ROLE_COUNT + 1]; /* support climber cover alone, NULL */

/* How yield follows density (design 2.6). */
enum density_law { DENSITY_SEED_HEAD, DENSITY_ASYMPTOTIC };

/* The frost a plant stands. */
enum frost_class { FROST_HARDY, FROST_SEMI_HARDY, FROST_TENDER, FROST_VERY_TENDER };

/* What a day's degree days are counted from: its mean, below the base nothing; or the mean of its
 * extremes, each at least the base. */
enum degree_counting { DEGREES_OF_MEAN, DEGREES_OF_EXTREMES };

enum pollination { POLLEN_SELF, POLLEN_WIND, POLLEN_INSECT, POLLEN_NONE };

/* Dry at the end, once when ripe, or fresh again and again: then one has to get at it all summer.
 */
enum harvest_kind { HARVEST_DRY, HARVEST_ONCE, HARVEST_FRESH };
extern const char *const harvest_names[]; /* dry once fresh, NULL */

/* Where seed that is saved comes from, of what is eaten: it is the harvest itself (dry beans); it
 * is in fruit that is eaten ripe; in fruit that is left to ripen; of plants that are left to
 * flower. */
enum seed_source {
    SEED_FROM_HARVEST,
    SEED_FROM_RIPE_FRUIT,
    SEED_FROM_FRUIT_LEFT,
    SEED_FROM_PLANTS
};

/* Indispensable amino acids, grouped as in reference patterns (SAA: methionine + cystine,
 * AAA: phenylalanine + tyrosine). */
enum amino {
    AMINO_HIS,
    AMINO_ILE,
    AMINO_LEU,
    AMINO_LYS,
    AMINO_SAA,
    AMINO_AAA,
    AMINO_THR,
    AMINO_TRP,
    AMINO_VAL,
    AMINO_COUNT
};
extern const char *const amino_names[AMINO_COUNT]; /* "histidine", ... for people */

struct food_values {  /* per kg of what is eaten; refuse is the share of the harvest that is not */
    struct text form; /* the food table's own description */
    struct text note; /* where figures are those of another food, or remembered */
    struct range energy_kcal_kg;
    struct range protein_kg_kg;
    struct range digestibility;          /* share of protein truly digested */
    struct range refuse;                 /* share of the harvest that is not eaten */
    struct range amino_g_g[AMINO_COUNT]; /* g per g protein (files: mg/g) */
};

struct caution {
    struct text text, source;
};

struct crop {
    struct text name;    /* "flint corn": the key everywhere */
    struct text letter;  /* 1-2 letters on the map, unique in the library */
    struct text species; /* Latin */
    struct text family;
    struct choice role; /* enum role: what it does in a guild */
    struct flag legume;
    struct flag biennial; /* flowers in its second year: seed saved from it needs the bed for two */
    struct flag perennial; /* stands for years: in a plan only as what stands already */
    struct choice pollination;
    struct text cross_group;  /* crops of one group cross; usually the species */
    struct choice harvest;    /* enum harvest_kind */
    struct choice seed_from;  /* enum seed_source */
    struct choice frost;      /* enum frost_class */
    struct choice planted_as; /* 0 seed, 1 tuber, 2 slip, 3 clove, 4 transplant */
    struct flag drilled;      /* sown in a stream and not thinned; a "plant" is then a spot of it */

    /* ground */
    struct range in_row_m;  /* between plants kept, in a row */
    struct range row_m;     /* between rows of it */
    struct range sow_gap_m; /* between sowing spots in the row before thinning; unset: in_row */
    struct range seeds_per_spot; /* seeds sown a spot */
    struct range depth_m;        /* sowing depth */
    struct range height_m;
    struct range spread_m;   /* canopy diameter of one plant with room */
    struct range earth_up_m; /* height at which soil is first drawn up to its stems; unset: never */
    struct range roots_m;    /* how deep roots go where the soil lets them; unset: not known */
    struct range lai;        /* leaf area index of a full stand */
    struct range extinction; /* Beer's k */

    /* seed */
    struct range seeds_per_kg; /* unset where planted_as is not seed: see piece_kg */
    struct range piece_kg;     /* mass of one tuber piece, clove; of the seed a transplant takes */
    struct range germination;  /* standard of fresh seed */
    struct range emergence;    /* share of germinating seed that comes up in the field */
    struct range keeps_y;      /* years that well kept seed germinates as when fresh */
    struct range isolation_m;  /* from others of its cross group, for true seed; unset: no seed */
    struct range seed_stand;   /* fewest plants to save seed from; unset with isolation_m */

    /* season */
    struct range sow_from_d, sow_to_d; /* days after the median last frost (negative: before) */
    struct range soil_min_c;
    struct range days;        /* from sowing (or setting out) to harvest */
    struct range base_c;      /* it grows above this; set with degree_days or both unset */
    struct range cap_c;       /* and no faster above this; unset: no cap */
    struct choice count_days; /* enum degree_counting */
    struct range degree_days; /* C days above base_c from sowing to ripeness */

    /* yield of a sole stand at its best density; `yield_basis` says moisture and what was weighed
     */
    struct range yield_kg_m2;
    struct text yield_basis;
    struct choice density_law;
    struct range best_density_m2; /* seed-headed: plants/m2 of the maximum */
    struct range half_density_m2; /* asymptotic: plants/m2 at half the maximum */
    struct range shade_response;  /* s in 1 - s(1 - light), design 2.6 */

    struct range n_removed_kg_kg; /* N in the harvest, kg per kg */
    struct range n_fixed;         /* share of crop N from the air (legumes) */

    struct food_values food;
    struct range storage_d; /* unset: not kept */

    /* hours */
    struct range plant_h;      /* per sowing spot (files: "s each", "min each") */
    struct range weed_h_m2;    /* per season */
    struct range harvest_h_kg; /* picking and cleaning */

    struct list cautions; /* struct caution */
    struct text note;
    struct pos at;
};

/* One place in a guild. */
struct guild_member {
    struct choice role;
    struct list crops; /* struct text: crop names that may fill it, in order of preference */
    /* in hills; unset in a guild of rows only */
    struct range per_hill; /* plants kept in a hill */
    struct range sown_per_hill;
    struct range ring_m;   /* radius of the ring they stand on, 0: centre */
    struct range delay_d;  /* sown so many days after the support, typical */
    struct text trigger;   /* "when the corn is [5 in|13 cm] tall": printed on the sheet */
    const char *awaits[2]; /* it, by enum unit_system; "": by date */
    struct qty every;      /* in each k-th hill along the line (1: in each) */
    /* in rows; unset in a guild of hills only */
    struct range row_gap_m; /* between its plants along the row */
};

struct guild {
    struct text name;
    struct list systems; /* struct text: "hills", "row guild" */
    struct list members; /* struct guild_member, 2..4; the first is the support */
    struct flag closed;  /* its vines close the ground: no way in until all is ripe */
    struct range row_m;  /* row to row; unset in a guild of hills only */
    /* unset in a guild of rows only */
    struct range pitch_m; /* hill to hill */
    struct range hill_diameter_m, hill_height_m;
    struct text shape;    /* "mound, flat top", "basin" */
    struct range plant_h; /* to build a hill */
    struct list cautions; /* struct caution */
    struct text note;
    struct pos at;
};

/* What is sown after a harvest to keep the ground covered until spring, not to be eaten. */
struct cover {
    struct text name;    /* "winter rye" */
    struct text species; /* Latin */
    struct text family;
    struct flag legume;
    struct flag winter_kills; /* frost kills it: nothing has to be turned in in spring */
    struct range rate_kg_m2;  /* seed broadcast by itself */
    struct range before_d;    /* the median first frost: sown later it does not cover the ground */
    struct range wait_d;      /* from turning it in to the next sowing; unset: it is dead by then */
    struct list cautions;     /* struct caution */
    struct text note;
    struct pos at;
};

struct library {
    const char *dir;
    struct crop *crops; /* sorted by name */
    size_t ncrops;
    struct guild *guilds; /* sorted by name */
    size_t nguilds;
    struct cover *covers; /* sorted by name */
    size_t ncovers;
    struct source_entry *sources;
    size_t nsources;
};

extern const struct field_table crop_table, guild_table, cover_table;

/* Calls fn for each figure and each caution of a crop or guild, in the order of the table. value:
 * NULL for a caution. Figures that are not set are left out. */
void figures_each(const struct field_table *table, const void *of,
                  void (*fn)(void *data, const struct field *field, const struct range *value,
                             const char *source, struct pos at),
                  void *data);
/* Faults in the figures of one crop, whoever set them: [impossible-value], [missing-figure],
 * [map-letter]. */
void crop_lint(const struct crop *crop, struct diags *diags);

/* Reads every *.yaml of dir (a file with the key `crop` is a crop, with `guild` a guild, with
 * `cover` a cover crop) and sources.bib. Reports every fault. HR_IO, HR_INPUT, HR_NOMEM. Includes
 * the data lint: that of crop_lint, [unknown-source] (not a key of sources.bib, "practice",
 * "estimate"), [unused-source] as a warning, [same-name], [same-letter], and of guilds
 * [unknown-crop], [unknown-system], [member-count], [guild-support], [missing-figure] of a system
 * it is planted in. Names inside guilds are then spelt as in the library. */
HR_CHECKED hr_status library_read(struct arena *arena, const char *dir, struct diags *diags,
                                  struct library **out);
/* By name as str_same compares; NULL: none. */
const struct crop *library_crop(const struct library *lib, const char *name);
const struct guild *library_guild(const struct library *lib, const char *name);
const struct cover *library_cover(const struct library *lib, const char *name);
/* The name nearest to a misspelt one, NULL when none is near. */
const char *library_near_crop(const struct library *lib, const char *name);
const char *library_near_guild(const struct library *lib, const char *name);
/* One crop or guild as text for a person: every figure with low/typical/high, unit and source;
 * estimates are marked "estimate (ours)". */
/* What to do and what to expect, in a few sentences, indented by two. */
void crop_glance(const struct crop *crop, struct strbuf *out);
void crop_show(const struct library *lib, const struct crop *crop, struct strbuf *out);
void guild_show(const struct library *lib, const struct guild *guild, struct strbuf *out);
void cover_show(const struct library *lib, const struct cover *cover, struct strbuf *out);
void library_list(const struct library *lib, struct strbuf *out);

#endif
