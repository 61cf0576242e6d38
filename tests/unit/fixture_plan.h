/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FIXTURE_PLAN_H
#define FIXTURE_PLAN_H
/* Plans put together by hand, for tests of what is drawn and written: no optimiser. Run from the
 * top of the tree; the crop library is crops/. */
#include <math.h>

#include "garden_text.h"
#include "plan.h"

#define FIXTURE_FT 0.3048
#define FIXTURE_IN 0.0254

struct fixture {
    struct garden_text text;
    struct plan *plan; /* NULL: the garden did not read clean */
};

/* What to put in a block: hills and row guilds are of corn, bean and squash, seed[0..2]. */
struct fixture_block {
    int zone, lines;
    enum system system;
    int seed[STAND_PARTS_MAX];
    double pitch_m, line_m; /* line_m: of rows */
};

struct fixture_zone {
    int plot;
    struct rect r;
};

struct fixture_spec {
    const char *name, *yaml;
    struct fixture_zone zones[4]; /* none: one a plot, its box less the border */
    int nzones;
    struct fixture_block blocks[6];
    int nblocks;
};

#define FIXTURE_SITE                                                                               \
    "site:\n  latitude: 42.3 deg\n  last frost: {early: Apr 28, median: May 9, late: May 21}\n"    \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
#define FIXTURE_GUILD_SEED                                                                         \
    "seed:\n  - {variety: Ember Ridge, crop: flint corn, amount: 8 oz, germination: 90 %}\n"       \
    "  - {variety: Wren's Speckled, crop: climbing bean, amount: 6 oz}\n"                          \
    "  - {variety: Long Lantern, crop: butternut squash, amount: 60 seeds}\n"
#define FIXTURE_SEED                                                                               \
    FIXTURE_GUILD_SEED "  - {variety: Stone Cellar, crop: potato}\n"                               \
                       "  - {variety: Red Plume, crop: grain amaranth, amount: 5 g}\n"             \
                       "  - {variety: Creek Black, crop: bush bean, amount: 1 lb}\n"               \
                       "  - {variety: Patty Green, crop: summer squash, amount: 25 seeds}\n"       \
                       "  - {variety: Pit Blue, crop: potato, amount: 3 kg}\n"
#define FIXTURE_PLOT(name_, bearing_, rows_)                                                       \
    "  - name: " name_ "\n    size: 20 ft x 25 ft\n    origin: the stake by the water tap\n"       \
    "    bearing: " bearing_ "\n    rows: " rows_ "\n    border: 6 in\n    edges:\n"               \
    "      - {side: 1, kind: path, gate: yes, name: main path}\n"                                  \
    "      - {side: 2, kind: neighbour, name: plot 15}\n"                                          \
    "      - {side: 4, kind: fence}\n"
#define FIXTURE_HEAD(name_, units_)                                                                \
    "garden: " name_ "\nunits: " units_ "\nyear: 2027\n" FIXTURE_SITE "plots:\n"
#define FIXTURE_LONG                                                                                \
    "Garten der Überraschungen und Möglichkeiten am südlichen Hang hinter der alten Mühle bei " \
    "Grünwald; Огород"

enum { FIXTURE_VARIANTS = 8 };
static const struct fixture_spec fixture_specs[FIXTURE_VARIANTS] = {
    {"hills and rows",
     FIXTURE_HEAD("Wren's Corner", "us") FIXTURE_PLOT("Plot 14", "25 deg", "along-x") FIXTURE_SEED,
     {{0}},
     0,
     {{0, 3, SYSTEM_HILLS, {0, 1, 2}, 4 * FIXTURE_FT, 0},
      {0, 2, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN},
      {0, 1, SYSTEM_ROWS, {4}, 20 * FIXTURE_IN, 24 * FIXTURE_IN},
      {0, 2, SYSTEM_ROWS, {5}, 4 * FIXTURE_IN, 20 * FIXTURE_IN},
      {0, 1, SYSTEM_ROWS, {6}, 30 * FIXTURE_IN, 30 * FIXTURE_IN}},
     5},
    {"metric, rows along y",
     FIXTURE_HEAD("Am Bach", "metric") "  - {name: Beet 3, size: 4.5 m x 8 m, rows: along-y, "
                                       "bearing: 200 deg, border: 15 cm}\n" FIXTURE_SEED,
     {{0}},
     0,
     {{0, 2, SYSTEM_HILLS, {0, 1, 2}, 1.2, 0},
      {0, 2, SYSTEM_ROWS, {3}, 0.30, 0.75},
      {0, 1, SYSTEM_ROWS, {5}, 0.10, 0.40}},
     3},
    {"two plots",
     FIXTURE_HEAD("Both Ends", "us") FIXTURE_PLOT("North", "350 deg", "along-x")
         FIXTURE_PLOT("South", "100 deg", "along-y") FIXTURE_SEED,
     {{0}},
     0,
     {{0, 4, SYSTEM_HILLS, {0, 1, 2}, 4.5 * FIXTURE_FT, 0},
      {1, 3, SYSTEM_ROW_GUILD, {0, 1, 2}, 0, 40 * FIXTURE_IN},
      {1, 2, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN},
      {1, 1, SYSTEM_ROWS, {7}, 14 * FIXTURE_IN, 30 * FIXTURE_IN}},
     4},
    {"an L with a path and a tree",
     FIXTURE_HEAD("Orchard End",
                  "us") "  - name: L\n    outline: [[0 ft, 0 ft], [30 ft, 0 ft], [30 ft, 12 ft], "
                        "[14 ft, 12 ft], [12 ft, 30 ft], [0 ft, 30 ft]]\n    bearing: 300 deg\n"
                        "    rows: along-x\n    paths:\n      - {from: [0 ft, 13 ft], to: [13 ft, "
                        "13 ft], width: 18 in}\n    obstacles:\n      - {name: apple, place: [4 "
                        "ft, 26 ft], radius: 2 ft, height: 10 ft, light: 30 %}\n" FIXTURE_SEED,
     {{0, {0.5 * FIXTURE_FT, 0.5 * FIXTURE_FT, 29.5 * FIXTURE_FT, 11.5 * FIXTURE_FT}},
      {0, {0.5 * FIXTURE_FT, 14 * FIXTURE_FT, 11 * FIXTURE_FT, 23 * FIXTURE_FT}}},
     2,
     {{0, 3, SYSTEM_HILLS, {0, 1, 2}, 4 * FIXTURE_FT, 0},
      {1, 2, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN},
      {1, 1, SYSTEM_ROWS, {5}, 4 * FIXTURE_IN, 20 * FIXTURE_IN}},
     3},
    {"long names in several scripts",
     FIXTURE_HEAD(FIXTURE_LONG, "metric") "  - {name: " FIXTURE_LONG
                                          ", size: 6 m x 5 m, origin: " FIXTURE_LONG
                                          ", bearing: 90 deg, edges: [{side: 1, kind: hedge, "
                                          "name: " FIXTURE_LONG "}]}\nseed:\n  - {variety: "
                                          "" FIXTURE_LONG ", crop: potato}\n  - {variety: 土豆, "
                                          "crop: potato}\n",
     {{0}},
     0,
     {{0, 3, SYSTEM_ROWS, {0}, 0.30, 0.75}, {0, 2, SYSTEM_ROWS, {1}, 0.30, 0.75}},
     2},
    {"a field",
     FIXTURE_HEAD("Common Field", "us") "  - {name: Strip, size: 100 ft x 150 ft, rows: "
                                        "along-x}\n" FIXTURE_SEED,
     {{0}},
     0,
     {{0, 20, SYSTEM_HILLS, {0, 1, 2}, 4 * FIXTURE_FT, 0},
      {0, 12, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN},
      {0, 10, SYSTEM_ROWS, {5}, 4 * FIXTURE_IN, 20 * FIXTURE_IN}},
     3},
    {"a small bed",
     FIXTURE_HEAD("Doorstep", "us") "  - {name: Bed, size: 4 ft x 8 ft, rows: along-y, bearing: 0 "
                                    "deg}\n" FIXTURE_SEED,
     {{0}},
     0,
     {{0, 1, SYSTEM_ROWS, {3}, 12 * FIXTURE_IN, 30 * FIXTURE_IN}},
     1},
    {"nothing planted",
     FIXTURE_HEAD("Fallow", "metric") "  - {name: Empty, size: 3 m x 3 m}\n" FIXTURE_GUILD_SEED,
     {{0}},
     0,
     {{0}},
     0},
};

static inline void fixture_season(const struct garden *g, struct part *part, double wait)
{
    const struct site *site = &g->site;
    bool tender = part->crop->frost.v >= FROST_TENDER;
    int frost = date_day(tender ? site->last_frost.late.d : site->last_frost.median.d);
    int days = (int)part->crop->days.typ, sow = frost + (int)part->crop->sow_from_d.typ + (int)wait;
    part->days = days;
    part->season = (struct season){.fit = SEASON_FITS,
                                   .sow_first = sow,
                                   .sow_last = sow + 14,
                                   .sow = sow,
                                   .harvest_low = sow + (int)part->crop->days.low,
                                   .harvest_typ = sow + days,
                                   .harvest_high = sow + (int)part->crop->days.high,
                                   .frost = date_day(site->first_frost.early.d),
                                   .reason = ""};
}

static inline void fixture_guild_part(const struct garden *g, const struct planting *p,
                                      struct part *part, const struct guild_member *m)
{
    part->role = (enum role)m->role.v;
    part->delay_d = m->delay_d.typ;
    part->trigger = m->awaits[g->units.v];
    if (p->system == SYSTEM_HILLS) {
        part->per_station = (int)m->per_hill.typ;
        part->sown = m->sown_per_hill.typ;
        part->ring_m = m->ring_m.typ;
        part->every = m->every.set ? (int)m->every.v : 1;
    } else {
        part->per_station = (int)fmax(1, round(p->pitch_m / m->row_gap_m.typ));
        part->every = (int)fmax(1, round(m->row_gap_m.typ / p->pitch_m));
        part->sown = part->crop->seeds_per_spot.typ * part->per_station;
    }
}

static inline struct planting *fixture_planting(struct plan *plan, const struct fixture_block *b)
{
    const struct garden *g = plan->garden;
    struct planting *p = ARENA_NEW(plan->arena, struct planting);
    bool hills = b->system == SYSTEM_HILLS;
    p->system = b->system;
    p->guild = b->system == SYSTEM_ROWS ? NULL : library_guild(g->library, "corn, bean and squash");
    const struct guild_member *members =
        p->guild ? (const struct guild_member *)p->guild->members.items : NULL;
    p->nparts = p->guild ? 3 : 1;
    p->pitch_m = b->pitch_m > 0 ? b->pitch_m : members[0].row_gap_m.typ;
    p->line_m = hills ? b->pitch_m * sqrt(3) / 2 : b->line_m;
    p->first_m = hills ? b->pitch_m : b->line_m;
    p->stagger_m = hills ? b->pitch_m / 2 : 0;
    for (int k = 0; k < p->nparts; k++) {
        struct part *part = &p->parts[k];
        part->seed_index = b->seed[k];
        part->seed = garden_seed(g, (size_t)b->seed[k]);
        part->crop = part->seed->crop;
        part->role = ROLE_ALONE;
        part->per_station = part->every = 1;
        part->trigger = "";
        double gap = part->crop->sow_gap_m.set ? part->crop->sow_gap_m.typ : p->pitch_m;
        part->sown = round(p->pitch_m / gap) * part->crop->seeds_per_spot.typ;
        if (members)
            fixture_guild_part(g, p, part, &members[k]);
        fixture_season(g, part, part->delay_d);
    }
    p->hill_diameter_m = hills ? p->guild->hill_diameter_m.typ : 0;
    p->hill_height_m = hills ? p->guild->hill_height_m.typ : 0;
    const char *what = p->guild ? p->guild->name.s : p->parts[0].crop->name.s;
    p->label = arena_printf(plan->arena, "%s in %s", what, hills ? "hills" : "rows");
    p->id = p->label;
    return p;
}

/* Lines and stations of block b, by the half-spacing rule. */
static inline void fixture_stations(struct plan *plan, int b, int *hills)
{
    struct block *block = &plan->blocks[b];
    const struct zone *z = &plan->zones.items[block->zone];
    const struct planting *p = block->planting;
    for (int l = 0; l < block->lines; l++) {
        struct line *line = &plan->lines[plan->nlines++];
        double across = (z->along_x ? z->r.y0 : z->r.x0) + block->start_m + planting_line_at(p, l);
        *line = z->along_x ? (struct line){b, l, z->r.x0, across, z->r.x1, across, 0, 0}
                           : (struct line){b, l, across, z->r.y0, across, z->r.y1, 0, 0};
        line->first = plan->nstations;
        line->n = planting_stations(p, z->length_m, l % 2);
        for (int j = 0; j < line->n; j++) {
            struct station *s = &plan->stations[plan->nstations++];
            double along = planting_station_at(p, l % 2, j);
            *s = (struct station){.plot = z->plot, .block = b, .line = l, .index = j};
            s->x_m = z->along_x ? z->r.x0 + along : across;
            s->y_m = z->along_x ? across : z->r.y0 + along;
            const char *id = p->system == SYSTEM_HILLS
                                 ? arena_printf(plan->arena, "%d", ++*hills)
                                 : arena_printf(plan->arena, "b%d.%d.%d", b + 1, l + 1, j + 1);
            strncpy(s->id, id, sizeof s->id - 1);
            for (int k = 0; k < p->nparts; k++)
                if (planting_stands_at(p, k, l % 2, j))
                    s->plants[k] = p->parts[k].per_station;
        }
    }
}

static inline void fixture_totals(struct plan *plan)
{
    const struct garden *g = plan->garden;
    plan->crops = ARENA_ARRAY(plan->arena, struct crop_result, g->seed.n);
    for (size_t s = 0; s < g->seed.n; s++) {
        struct crop_result c = {.seed = garden_seed(g, s)};
        for (int i = 0; i < plan->nstations; i++) {
            const struct planting *p = plan->blocks[plan->stations[i].block].planting;
            for (int k = 0; k < p->nparts; k++)
                if ((size_t)p->parts[k].seed_index == s && plan->stations[i].plants[k] > 0) {
                    c.plants += plan->stations[i].plants[k];
                    c.spots++;
                    c.sown += p->parts[k].sown;
                }
        }
        double kg = 0.1 * c.plants;
        c.kg = (struct span){0.6 * kg, kg, 1.3 * kg};
        if (c.plants > 0)
            plan->crops[plan->ncrops++] = c;
    }
}

static inline void fixture_zones(struct plan *plan, const struct fixture_spec *spec)
{
    const struct garden *g = plan->garden;
    plan->zones.n = spec->nzones > 0 ? (size_t)spec->nzones : g->plots.n;
    plan->zones.items = ARENA_ARRAY(plan->arena, struct zone, plan->zones.n);
    for (size_t i = 0; i < plan->zones.n; i++) {
        int index = spec->nzones > 0 ? spec->zones[i].plot : (int)i;
        const struct plot *plot = garden_plot(g, (size_t)index);
        struct zone *z = &plan->zones.items[i];
        double d = plot->border_m.v;
        *z = (struct zone){.plot = index, .along_x = plot->rows.v != ROWS_ALONG_Y, .light = 1};
        z->r = spec->nzones > 0 ? spec->zones[i].r
                                : (struct rect){d, d, plot->size.x - d, plot->size.y - d};
        z->length_m = z->along_x ? z->r.x1 - z->r.x0 : z->r.y1 - z->r.y0;
        z->depth_m = z->along_x ? z->r.y1 - z->r.y0 : z->r.x1 - z->r.x0;
    }
}

/* A plan of the spec's blocks, in the order given. */
static inline struct fixture fixture_make(const struct fixture_spec *spec)
{
    struct fixture f = {.text = garden_text_read(spec->yaml)};
    if (!f.text.garden)
        return f;
    struct plan *plan = ARENA_NEW(f.text.arena, struct plan);
    plan->arena = f.text.arena;
    plan->garden = f.text.garden;
    fixture_zones(plan, spec);
    plan->blocks = ARENA_ARRAY(plan->arena, struct block, 6);
    plan->lines = ARENA_ARRAY(plan->arena, struct line, 100);
    plan->stations = ARENA_ARRAY(plan->arena, struct station, 10000);
    double used[4] = {0};
    int hills = 0;
    for (int b = 0; b < spec->nblocks; b++) {
        const struct fixture_block *from = &spec->blocks[b];
        struct block *block = &plan->blocks[plan->nblocks++];
        *block = (struct block){.zone = from->zone, .item = -1, .lines = from->lines};
        block->planting = fixture_planting(plan, from);
        block->start_m = used[from->zone];
        block->depth_m = planting_depth(block->planting, block->lines);
        block->length_m = plan->zones.items[from->zone].length_m;
        used[from->zone] += block->depth_m;
        fixture_stations(plan, b, &hills);
    }
    fixture_totals(plan);
    strcpy(plan->id, "0f1e2d3c");
    f.plan = plan;
    return f;
}

static inline void fixture_free(struct fixture *f)
{
    garden_text_free(&f->text);
}

/* Hills of corn, bean and squash; rows of potato, amaranth, bush bean and summer squash. */
static inline struct fixture fixture_plan(void)
{
    return fixture_make(&fixture_specs[0]);
}

#endif
