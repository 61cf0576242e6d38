/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GARDEN_H
#define GARDEN_H
/* What the gardener said: the garden file, positions kept. */
#include "crop.h"
#include "normals.h"

/* Names, not percentages: sources define those in opposite ways. early and late may be left out of
 * the file; they then stand FROST_SPREAD_D before and after the median, `set` false. */
struct frost_dates {
    struct when early, median, late;
};
#define FROST_SPREAD_D 12 /* common practice: one year in ten lies further from the median */

struct site {
    struct qty latitude;                        /* rad, north positive */
    struct frost_dates last_frost, first_frost; /* last of spring, first of fall */
    struct qty sun; /* share of the open sky's light that reaches the garden, 1: open */
    struct normals normals;
    const struct daily *daily; /* of the normals, NULL: there are none */
    struct pos at;
};

enum row_direction { ROWS_ALONG_X, ROWS_ALONG_Y, ROWS_EITHER };
enum edge_kind { EDGE_OPEN, EDGE_PATH, EDGE_NEIGHBOUR, EDGE_FENCE, EDGE_WALL, EDGE_HEDGE };

/* Side k of the outline runs from corner k to corner k+1, from 1. A clockwise outline is turned
 * when it is read, first corner kept, and its sides are numbered anew: `side` fits plot_corners. A
 * size has sides 1 bottom (y = 0), 2 right, 3 top, 4 left. */
#define EDGE_SHADES_MAX 8 /* sides of one plot with a limit on the shade beyond */
struct edge {
    struct qty side;
    struct choice kind;
    struct flag gate, overhang;
    struct qty
        gate_at_m; /* middle of the gate from the side's first corner, as plot_corners runs */
    struct text name;
    struct qty tallest_m; /* no crop taller than this stands nearer to the side than within_m;
                           * unset: no rule; within_m unset: on the whole plot */
    struct qty within_m;
    struct qty height_m; /* of a fence, wall or hedge; 0: it casts no shade */
    struct qty light;    /* share of light it lets through, 0: solid */
    struct qty
        shade; /* most of its light that the ground beyond may lose to the crops; unset: any */
    struct pos at;
};

struct path { /* a strip that stays free */
    struct point from, to;
    struct qty width_m;
    struct pos at;
};

struct obstacle {
    struct text name;
    struct point place; /* centre of a round one */
    struct qty radius_m;
    struct list outline; /* or struct point corners */
    struct qty height_m;
    struct qty light; /* share of light it lets through, 0: solid */
    struct pos at;
};

/* What stands already when the season is planned, on ground that is not the program's. */
#define STANDING_MAX 20 /* in one plot */
struct standing {
    struct text crop_name, variety;
    struct point corner;  /* the one nearest the origin stake */
    struct point size;    /* along x by along y */
    struct choice rows;   /* ROWS_ALONG_X, ROWS_ALONG_Y; -1: along its longer side */
    struct qty along_m;   /* between plants in a row; unset: the crop's typical */
    struct qty across_m;  /* between rows */
    struct flag for_seed; /* of a biennial: in its second year, no food */
    struct flag winter;   /* sown last year, ripe, and left over the winter */
    struct when until;    /* off the ground by then; unset: when its harvest is in */
    int seed_index;       /* in garden->seed: a lot made for it, see seed.standing */
    struct pos at;
};

struct plot {
    struct text name;
    struct point size;      /* x by y, or */
    struct list outline;    /* struct point corners, counter-clockwise; origin stake at (0, 0) */
    struct text origin;     /* where the origin stake is, in words ("the stake by the water tap") */
    struct point garden_at; /* m, the origin stake in the garden's frame: x east, y north; see
                             * plot_placed and plot_in_garden */
    struct qty bearing;     /* rad, compass bearing of the +y axis */
    struct choice rows;     /* enum row_direction */
    struct qty border_m;
    struct when open, clear; /* from when and until when it may be planted; unset: always */
    struct list banned;      /* struct text: crops and families not allowed here */
    struct list edges;       /* struct edge */
    struct list paths;       /* struct path */
    struct list obstacles;   /* struct obstacle */
    struct flag chips;       /* whether its rules let wood chips in; unset: not said */
    struct list standing;    /* struct standing */
    struct qty reach_m; /* of ground that is not trodden: how far one reaches in from the sides */
    struct pos at;
};

struct seed { /* a variety in hand */
    struct text variety;
    struct text crop_name;
    struct amount amount;     /* kg or count; unset: as much as needed */
    struct qty germination;   /* share, of a test; unset: the crop's standard, less for age */
    struct qty year;          /* the year it was harvested; unset: fresh */
    struct choice harvest;    /* enum harvest_kind; unset: as its crop */
    struct range days;        /* this variety's days to harvest, unset: the crop's */
    struct range degree_days; /* C days above the crop's base, unset: the crop's, by its days */
    struct flag save;    /* seed of it is to be saved: nothing it crosses with may stand near */
    struct flag by_hand; /* or is bagged and pollinated by hand, and may */
    bool standing; /* no seed at all: the plants of a `standing` block, behind the seed in hand */
    bool for_seed; /* of these: in its second year, for seed, no food */
    const char *stands;      /* their variety as given, NULL: not told */
    const struct crop *crop; /* resolved by garden_read, overrides and all; never NULL then */
    struct pos at;
};

/* At least / at most of a crop: kg, plants kept (a count), m2, or share of energy; of a guild hills
 * (a count), and the rest of all its crops together. Or how much its food counts for in the goal.
 */
struct wish {
    struct text crop_name; /* a crop, or */
    struct text variety;   /* a variety, or */
    struct text guild;     /* a guild */
    struct text plot;      /* what grows there alone counts; NULL: anywhere */
    int plot_index;        /* of that, -1: any */
    struct amount at_least, at_most;
    struct qty weight; /* share; unset: it counts for what it gives */
    struct pos at;
};

/* What a neighbour is known to grow. */
struct nearby {
    struct text crop_name;
    struct qty distance_m;
    const struct crop *crop;
    struct pos at;
};

/* Spacings the gardener has settled: they take the place of the library's for that crop in rows, or
 * that guild in that system. Either distance may be left out, not both. */
struct spacing_wish {
    struct text crop_name;  /* a crop in rows, or */
    struct text guild_name; /* a guild */
    struct choice system;   /* of a guild: enum garden_system, -1: hills */
    struct qty along_m;     /* between stations along a line; of hills: centre to centre */
    struct qty across_m;    /* between lines */
    struct pos at;
};

/* What to consider. Each list for itself: absent (`set` false) lets everything in that there is
 * seed for, an empty one nothing. */
struct grow {
    struct list guilds;   /* struct text */
    struct list crops;    /* struct text: as sole crops */
    struct list systems;  /* struct text: of garden_systems */
    struct flag second;   /* whether a crop may follow another on the same ground */
    struct flag cover;    /* whether free ground is sown with a cover crop for the winter */
    struct list spacings; /* struct spacing_wish */
    struct pos at;
};

/* A layout of the gardener's own to compare with the others. What its `grow` leaves out is as in
 * the garden's. */
struct layout_wish {
    struct text name;
    struct grow grow;
    struct pos at;
};

enum garden_system { GARDEN_HILLS, GARDEN_ROWS, GARDEN_ROW_GUILD }; /* as enum system */
extern const char *const garden_systems[]; /* hills rows "row guild", NULL */
extern const char *const garden_layouts[]; /* the names of the layouts always compared, NULL */

enum goal { GOAL_DAYS, GOAL_ENERGY, GOAL_PROTEIN };
extern const char *const goal_names[]; /* days energy protein, NULL */

struct ration { /* of one person and day */
    struct qty energy_kcal, protein_kg;
};

struct limits {
    struct qty hours;        /* of work in the season */
    struct qty week_hours;   /* of work in any one week */
    struct qty compost_m3;   /* that can be had: each planted m2 is dressed once */
    struct qty mulch_m3;     /* that can be had: what no vine covers is mulched */
    struct qty share_energy; /* most of the food energy from one crop */
    struct qty share_area;   /* most of the ground to one crop (guilds count by part) */
    struct qty blocks;       /* most blocks in one zone */
    struct qty reserve;      /* share of seed kept for replanting */
};

/* What the ground is covered with between the plants, and the paths; unset: see haul.h. */
enum mulch_kind { MULCH_STRAW, MULCH_LEAVES, MULCH_CHIPS };
extern const char *const mulch_names[]; /* straw, leaves, "wood chips", NULL */
struct mulch {
    struct choice beds, paths; /* enum mulch_kind */
};

/* A plan.json of a year before, and what of it rotation looks at. */
struct former_plan {
    struct text plan; /* path, from the garden file's folder */
    struct qty year;
    struct pos at;
};

enum rotation_rule { ROTATION_TELL, ROTATION_AVOID, ROTATION_BAR };

struct rotation {
    struct qty years;   /* so many years a family stays off ground it stood on */
    struct choice rule; /* enum rotation_rule */
    struct qty cost;    /* of avoid: by what share a family's food counts for less there */
    struct pos at;
};

struct former { /* ground in the plot's frame, m, on which a family stood */
    int plot, year;
    double x0, y0, x1, y1;
    const char *family;
};

struct garden {
    struct text name;
    struct choice units; /* enum unit_system */
    struct qty people, year;
    struct site site;
    struct list plots;  /* struct plot */
    struct list seed;   /* struct seed */
    struct list nearby; /* struct nearby */
    struct list wishes; /* struct wish */
    struct grow grow;
    struct list compare; /* struct layout_wish */
    struct choice goal;  /* enum goal */
    struct ration ration;
    struct limits limits;
    struct mulch mulch;
    struct list history; /* struct former_plan */
    struct rotation rotation;
    const struct node *changes; /* the key `crops`, as it stands */
    struct text note;
    struct pos at;

    bool unweighed; /* foods count for what they give, whatever was wished: to compare layouts */
    struct former *former; /* filled by history_read: what rotation looks at */
    size_t nformer;
    struct list crops;           /* struct crop: copies with the gardener's figures laid over */
    const struct source *source; /* the file, for plan.json */
    const struct library *library;
};

extern const struct field_table garden_table;

/* Reads the tree into a garden: fields, names of crops and varieties resolved and then spelt as in
 * the library ([unknown-crop], [unknown-guild], [unknown-system], [unknown-variety], with the
 * nearest name), overrides under the key `crops` laid over copies of the library's ([crop-twice]
 * and crop_lint). Then run check_garden. HR_INPUT, HR_NOMEM. */
HR_CHECKED hr_status garden_read(struct arena *arena, const struct source *src,
                                 const struct library *lib, struct diags *diags,
                                 struct garden **out);

static inline struct plot *garden_plot(const struct garden *g, size_t i)
{
    return (struct plot *)g->plots.items + i;
}
static inline struct seed *garden_seed(const struct garden *g, size_t i)
{
    return (struct seed *)g->seed.items + i;
}
static inline struct standing *plot_standing(const struct plot *plot, size_t i)
{
    return (struct standing *)plot->standing.items + i;
}
static inline struct wish *garden_wish(const struct garden *g, size_t i)
{
    return (struct wish *)g->wishes.items + i;
}
/* Whether true seed of it is to be saved. */
static inline bool seed_saved(const struct seed *seed)
{
    return seed->save.v && seed->crop->isolation_m.set;
}
/* Whether seed is to be saved of it that comes in its second year only. */
static inline bool seed_second_year(const struct seed *seed)
{
    return seed_saved(seed) && seed->crop->biennial.v;
}
/* Whether its plants for seed stay in their plot over the winter: hardy ones do, where the ground
 * need not be cleared; others are lifted, stored and set again (common practice). */
static inline bool seed_stays(const struct seed *seed, const struct plot *plot)
{
    return seed_second_year(seed) && seed->crop->frost.v == FROST_HARDY && !plot->clear.set;
}
/* What a wish is about: the crop's, the variety's or the guild's name. */
static inline const char *wish_name(const struct wish *w)
{
    return w->variety.s ? w->variety.s : w->crop_name.s ? w->crop_name.s : w->guild.s;
}
static inline struct layout_wish *garden_layout(const struct garden *g, size_t i)
{
    return (struct layout_wish *)g->compare.items + i;
}
/* The crop of that name with the gardener's figures, or the library's; NULL: none. */
const struct crop *garden_crop(const struct garden *g, const char *name);
/* Whether the crop is to be considered on its own. */
bool garden_grows_alone(const struct garden *g, const char *crop);
/* Whether true seed of anything is to be saved. */
bool garden_saves_seed(const struct garden *g);
/* Whole seeds (or pieces) in hand that the plan may sow, reserve taken off; INFINITY: as many as
 * needed. */
double garden_seed_count(const struct garden *g, const struct seed *seed);
/* Share of a lot's seed that germinates, typical: as tested, or the crop's standard, which falls by
 * a quarter with each year beyond those it keeps (ours: docs/model.md). 1 for what is not seed. */
double seed_germination(const struct garden *g, const struct seed *seed);
/* How this variety is gathered. */
static inline enum harvest_kind seed_harvest(const struct seed *seed)
{
    return (enum harvest_kind)(seed->harvest.set ? seed->harvest.v : seed->crop->harvest.v);
}
/* Whether the guild's vines would shut in what is picked again and again. */
static inline bool guild_shuts_in(const struct guild *guild, const struct seed *seed)
{
    return guild->closed.v && seed_harvest(seed) == HARVEST_FRESH;
}
/* Most blocks side by side in a zone: as limited, else 5, or what the wishes need. */
static inline int garden_blocks(const struct garden *g)
{
    int most = (int)g->limits.blocks.v, wished = 2;
    for (size_t i = 0; i < g->wishes.n; i++)
        wished += garden_wish(g, i)->at_least.set || garden_wish(g, i)->at_most.set;
    return g->limits.blocks.set || most > wished ? most : wished;
}
/* Whether the rows of a standing block run along x. */
bool standing_along_x(const struct standing *standing);
/* Appends to garden->seed the lots of what stands, one for each crop and variety; names of crops
 * are spelt already. HR_NOMEM. */
HR_CHECKED hr_status garden_standing_seeds(struct garden *garden, struct arena *arena);
/* Corners of a plot's outline, counter-clockwise from the first given, as points; a size gives four
 * from the origin. *n: corners. NULL: out of memory. */
const struct point *plot_corners(struct arena *arena, const struct plot *plot, size_t *n);
/* Whether the plot's rules do not allow the crop or its family. */
bool plot_bans(const struct plot *plot, const struct crop *crop);
/* Whether the plot's place in the garden was given. */
bool plot_placed(const struct plot *plot);
/* A point of the plot's frame in the garden's frame: m east and north of the garden's own zero,
 * which all plots that are placed have in common. */
struct point plot_in_garden(const struct plot *plot, struct point p);
/* Whether one may stand along such a side: open ground, a path, or a gate in whatever is there. */
static inline bool edge_is_access(const struct edge *e)
{
    return e->gate.v || e->kind.v == EDGE_OPEN || e->kind.v == EDGE_PATH;
}
/* A commented starter garden file, written into out; name: the garden's, NULL: one of ours. */
void garden_starter(const char *name, struct strbuf *out);

#endif
