/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PLANTING_H
#define PLANTING_H
/* One way to use ground: a crop or a guild x system x spacing, with the rules of where its plants
 * stand. What the optimiser chooses from, what a plan is made of. */
#include "zone.h"
#include "stand.h"
#include "food.h"
#include "season.h"

enum system { SYSTEM_HILLS, SYSTEM_ROWS, SYSTEM_ROW_GUILD, SYSTEM_COUNT };
extern const char *const system_names[SYSTEM_COUNT + 1]; /* "hills" "rows" "row guild", NULL */

/* Ground may carry one crop all season, or a first one and after a turn a second. */
enum slot { SLOT_WHOLE, SLOT_FIRST, SLOT_SECOND, SLOT_COUNT };
extern const char *const slot_names[SLOT_COUNT + 1]; /* "whole season" "first crop" "second crop" */
/* From the last harvest of a first crop to the sowing of a second: clearing, compost, raking
 * (common practice). */
#define PLANTING_TURN_D 7

/* One variety in a planting. A station is one hill, or one sowing spot in a row; a part stands at
 * each `every`-th station of a line. */
struct part {
    const struct seed *seed;
    int seed_index; /* in garden->seed */
    const struct crop *crop;
    enum role role;
    int per_station;     /* plants kept at a station where it stands */
    int every;           /* 1: at each station */
    double sown;         /* seeds or pieces sown at such a station */
    double ring_m;       /* radius they stand on in a hill, 0: centre or in the row */
    double delay_d;      /* after the first part */
    double days;         /* typical days to harvest */
    const char *trigger; /* "" when by date */
    struct season season;
};

struct planting {
    const char
        *id; /* stable and unique in a menu: "hills corn, bean and squash 4 ft Ember Ridge+..." */
    const char *label; /* for people: "corn, bean and squash in hills" or "potato in rows" */
    enum system system;
    enum slot slot;
    int turn_d;                /* the day the ground changes hands; 0 for a whole season */
    struct stay stay;          /* when it may be on its ground */
    const struct guild *guild; /* NULL: a sole crop */
    int nparts;
    struct part parts[STAND_PARTS_MAX];
    double pitch_m;   /* station to station along a line */
    double line_m;    /* ground a further line takes across the rows */
    double first_m;   /* ground the first line takes */
    double stagger_m; /* shift of each other line (lines 2, 4, ...) along itself: pitch/2 in hills,
                         else 0 */
    double height_m;  /* typical, of the tallest part */
    double spread_m;  /* typical canopy diameter of a station */
    double extinction_per_m; /* of its canopy as a box of height_m: k * LAI / height */
    double hill_diameter_m, hill_height_m; /* 0 in rows */
};

/* The day the leaves of a part are gone: with its harvest; of what stands for years, with the
 * frost.
 */
static inline int part_gone(const struct part *part)
{
    bool on = part->crop->perennial.v && part->season.frost > part->season.harvest_typ;
    return on ? part->season.frost : part->season.harvest_typ;
}
/* Whether it stands already, on ground of its own, and asks for no work but its harvest. */
static inline bool planting_standing(const struct planting *p)
{
    return p->nparts > 0 && p->parts[0].seed && p->parts[0].seed->standing;
}
/* Half-spacing rule: a line owns half its spacing on each side, so stations of a line of length L
 * start pitch/2 from its end; even lines (2nd, 4th; kind 1) of staggered hills are shifted by
 * stagger_m. How many stations a line of this kind (0: 1st, 3rd...; 1: 2nd, 4th...) holds. */
int planting_stations(const struct planting *p, double length_m, int line_kind);
/* Distance of station j of such a line from the line's start. */
double planting_station_at(const struct planting *p, int line_kind, int j);
/* Whether part k stands at station j of a line of this kind. */
bool planting_stands_at(const struct planting *p, int k, int line_kind, int j);
/* Plants of part k on a whole line with n stations. */
int planting_plants(const struct planting *p, int k, int line_kind, int n);
/* How far beyond the end of its row's ground a planting of vines may have its half spacing:
 * `spill_m` is what vines may cover there. Its stems and hills stay on the ground. 0: it has no
 * vines. */
double planting_spill(const struct planting *p, double spill_m);
/* How far beyond the first or the last line of its ground a block of vines may have its half
 * spacing, where vines may cover `over_m`: in steps of PLANTING_OVER_STEP_M, and only of a planting
 * that is there all season. */
#define PLANTING_OVER_STEP_M 0.05
double planting_over(const struct planting *p, double over_m);
/* Of n lines, those that are 1st, 3rd, ... and those that are 2nd, 4th, ... */
static inline int planting_odd_lines(int n)
{
    return (n + 1) / 2;
}
static inline int planting_even_lines(int n)
{
    return n / 2;
}
/* Fewest stations of it worth a part of a shared line: shorter parts are not worth the walk. */
#define PLANTING_SHARED_LEAST_M 0.6
int planting_least_shared(const struct planting *p);
/* Whether a cover crop of it shades the ground: it needs no mulch then. */
bool planting_covers(const struct planting *p);
/* The first part that is picked again and again where vines close the ground and nobody gets at
 * it; NULL: none. */
const struct part *planting_shut_in(const struct planting *p);
/* Ground that n lines take across the rows: first_m + (n-1) line_m; 0 for 0. */
double planting_depth(const struct planting *p, int lines);
/* Distance of line i (from 0) from the start of the block across the rows: first_m/2 + i line_m. */
double planting_line_at(const struct planting *p, int line);
/* Whether both stand in the garden at some time: not where one follows the other. */
bool planting_together(const struct planting *a, const struct planting *b);
/* Whether part k, planted in this plot, counts towards a wish. */
bool planting_wished(const struct planting *p, int k, int plot, const struct wish *wish);
/* The part whose canopy the planting has: the tallest that does not climb on another. */
int planting_tallest(const struct planting *p);
/* Plants per m2 of part k. */
double planting_density(const struct planting *p, int k);
/* Yield of one plant of each part, kg, for the given figures and light shares (one per part). */
void planting_plant_kg(const struct planting *p, const struct stand_figures *figures,
                       const struct stand_mixture *mix, const double *light, double *kg_plant);
/* Working times of one part: typical, or one draw. */
struct part_hours {
    double plant_h;   /* a sowing spot */
    double weed_h_m2; /* a season */
    double harvest_h_kg;
};
struct part_hours planting_part_hours(const struct part *part); /* typical */
/* Hours of one station: building its hill (0 in rows), sowing its share of part k, its share of
 * weeding (by the hours of part 0). */
double planting_build_hours(const struct planting *p);
double planting_sow_hours(const struct planting *p, int k, const struct part_hours *hours);
double planting_weed_hours(const struct planting *p, const struct part_hours *hours);
/* Their sum, harvest left out; one part_hours for each part. */
double planting_station_hours(const struct planting *p, const struct part_hours *hours);
/* The same with typical times. */
double planting_station_hours_typical(const struct planting *p);

#endif
