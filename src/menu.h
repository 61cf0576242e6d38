/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MENU_H
#define MENU_H
/* Every planting the seed and the season allow, and what a line of it gives in each zone. */
#include "planting.h"

/* A planting in a zone. Index [2]: line kind (odd lines, even lines). */
struct item {
    int zone, planting;
    int most_lines;
    double along_m, length_m; /* its lines: from the zone's start, 0 or less where vines spill over
                               * a path; stations stand half a pitch or more inside */
    double over_m[2]; /* of a block's depth, what may lie beyond the zone's first or last line: one
                       * block of each end of a zone, at one end */
    int stations[2];
    int plants[STAND_PARTS_MAX][2];
    double sown[STAND_PARTS_MAX][2];
    double kg[STAND_PARTS_MAX][2];      /* typical, with the light in `light` */
    double full_kg[STAND_PARTS_MAX][2]; /* in the light of the site, which no arrangement exceeds:
                                         * what is limited is counted by it, hours too */
    struct food food[2];
    double weight[STAND_PARTS_MAX]; /* what a part's food counts for in the goal */
    struct food goal[2];            /* the food so weighed */
    double hours[2];
    double light[STAND_PARTS_MAX]; /* share of full light now assumed: site, then as arranged */
};

struct left_out { /* a crop or guild that gets no place on the menu */
    const char *name, *why;
    struct pos at;
};

#define MENU_CROP_TURNS_MAX 4
#define MENU_TURNS_MAX      8

struct menu {
    int turns_d[MENU_TURNS_MAX]; /* days on which ground may go to a second crop */
    int nturns, ncrop_turns;     /* the first ones: after a first crop; others: after what stands */
    struct planting *plantings;  /* of whole seasons, then turn by turn */
    int nplantings;
    struct item *items;
    int nitems;
    struct left_out *left_out;
    int nleft_out;
    struct setback *setbacks; /* setback.h: for each neighbour that is not to be shaded */
    int nsetbacks;
    struct block *standing;   /* standing.h: what stands already, on zones->items[zones->n + i] */
    double *standing_weight;  /* what its food counts for, see weight.h */
    double *standing_full_kg; /* in the light of the site */
    int nstanding;
};

#define MENU_PLANTINGS_MAX 400

/* HR_INPUT with [nothing-to-grow] when nothing fits; HR_NOMEM. */
HR_CHECKED hr_status menu_make(const struct garden *garden, const struct zones *zones,
                               struct arena *arena, struct diags *diags, struct menu *out);
/* Works out kg, food and hours of an item again from its light. */
void menu_item_value(const struct menu *menu, struct item *item);
/* Whether the rules of the zone's plot let the planting stand there, its days and its crops;
 * whatever stood there before. */
bool menu_allows(const struct garden *garden, const struct planting *p, const struct zone *zone);
/* A menu as it was made, before light was fed back into it, whose foods all count for what they
 * give. HR_NOMEM. */
HR_CHECKED hr_status menu_unweighed(const struct menu *menu, struct arena *arena, struct menu *out);
/* The item of a planting in a zone, worth filled in, by the food it gives; false: no room for a
 * line of it. */
bool menu_item_make(const struct menu *menu, const struct zones *zones, int zone, int planting,
                    struct item *out);
/* A crop by itself in rows all season, at any spacing, whatever the menu has; stay: when it may be
 * on its ground. HR_NOMEM. */
HR_CHECKED hr_status menu_rows(const struct garden *garden, int seed_index, const struct stay *stay,
                               double pitch_m, double line_m, struct arena *arena,
                               struct planting *out);
/* A guild in hills as a row guild: the same plants on the same lines, spread along them instead of
 * gathered in hills. HR_NOMEM. */
HR_CHECKED hr_status menu_spread(const struct planting *hills, struct arena *arena,
                                 struct planting *out);
void menu_dump(const struct menu *menu, const struct zones *zones, const struct garden *garden,
               struct strbuf *out);

#endif
