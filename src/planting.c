/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "planting.h"

#include <math.h>
#include <string.h>

#include "num.h"

const char *const slot_names[SLOT_COUNT + 1] = {
    [SLOT_WHOLE] = "whole season",
    [SLOT_FIRST] = "first crop",
    [SLOT_SECOND] = "second crop",
};

const char *const system_names[SYSTEM_COUNT + 1] = {
    [SYSTEM_HILLS] = "hills",
    [SYSTEM_ROWS] = "rows",
    [SYSTEM_ROW_GUILD] = "row guild",
};

/* A tape is not read finer than this; it keeps a 24 ft line of 4 ft hills at 6 in spite of
 * rounding. */
#define SLACK_M 1e-9

int planting_stations(const struct planting *p, double length_m, int line_kind)
{
    double shift = line_kind == 1 ? p->stagger_m : 0;
    double n = floor((length_m - shift + SLACK_M) / p->pitch_m);
    return n > 0 ? (int)n : 0;
}

double planting_station_at(const struct planting *p, int line_kind, int j)
{
    double shift = line_kind == 1 ? p->stagger_m : 0;
    return p->pitch_m / 2 + shift + j * p->pitch_m;
}

/* Odd lines start half an interval in, even lines at their first station, so that a sparse part is
 * staggered too. */
bool planting_stands_at(const struct planting *p, int k, int line_kind, int j)
{
    int every = p->parts[k].every;
    return j % every == (line_kind == 1 ? 0 : every / 2);
}

int planting_plants(const struct planting *p, int k, int line_kind, int n)
{
    int every = p->parts[k].every;
    int first = line_kind == 1 ? 0 : every / 2;
    int places = n > first ? (n - first - 1) / every + 1 : 0;
    return places * p->parts[k].per_station;
}

static bool has_vines(const struct planting *p)
{
    for (int k = 0; k < p->nparts; k++)
        if (p->parts[k].crop->role.v == ROLE_COVER)
            return true;
    return false;
}

bool planting_covers(const struct planting *p)
{
    for (int k = 0; k < p->nparts; k++)
        if (p->parts[k].role == ROLE_COVER)
            return true;
    return false;
}

const struct part *planting_shut_in(const struct planting *p)
{
    for (int k = 0; k < p->nparts && p->guild; k++)
        if (guild_shuts_in(p->guild, p->parts[k].seed))
            return &p->parts[k];
    return NULL;
}

/* From the middle of a station to its outermost stem, or its hill's edge. */
static double stems_reach(const struct planting *p)
{
    double stems = p->hill_diameter_m / 2;
    for (int k = 0; k < p->nparts; k++)
        stems = fmax(stems, p->parts[k].ring_m);
    return stems;
}

double planting_spill(const struct planting *p, double spill_m)
{
    return has_vines(p) ? fmax(0, fmin(spill_m, p->pitch_m / 2 - stems_reach(p))) : 0;
}

double planting_over(const struct planting *p, double over_m)
{
    if (!has_vines(p) || p->slot != SLOT_WHOLE)
        return 0;
    double most = fmax(0, fmin(over_m, p->first_m / 2 - stems_reach(p)));
    return floor(most / PLANTING_OVER_STEP_M + SLACK_M) * PLANTING_OVER_STEP_M;
}

int planting_least_shared(const struct planting *p)
{
    return (int)fmax(1, ceil((PLANTING_SHARED_LEAST_M - SLACK_M) / p->pitch_m));
}

double planting_depth(const struct planting *p, int lines)
{
    return lines > 0 ? p->first_m + (lines - 1) * p->line_m : 0;
}

double planting_line_at(const struct planting *p, int line)
{
    return p->first_m / 2 + line * p->line_m;
}

bool planting_wished(const struct planting *p, int k, int plot, const struct wish *wish)
{
    if (wish->plot_index >= 0 && wish->plot_index != plot)
        return false;
    if (wish->guild.s)
        return p->guild && strcmp(p->guild->name.s, wish->guild.s) == 0;
    if (wish->variety.s && strcmp(wish->variety.s, p->parts[k].seed->variety.s) != 0)
        return false;
    return !wish->crop_name.s || strcmp(wish->crop_name.s, p->parts[k].crop->name.s) == 0;
}

bool planting_together(const struct planting *a, const struct planting *b)
{
    const struct planting *both[2] = {a, b};
    int from[2], to[2];
    for (int i = 0; i < 2; i++) {
        from[i] = both[i]->parts[0].season.sow;
        to[i] = 0;
        for (int k = 0; k < both[i]->nparts; k++)
            if (k == 0 || part_gone(&both[i]->parts[k]) > to[i])
                to[i] = part_gone(&both[i]->parts[k]);
    }
    return from[0] < to[1] && from[1] < to[0];
}

int planting_tallest(const struct planting *p)
{
    int tallest = 0;
    double top = 0;
    for (int k = 0; k < p->nparts; k++) {
        double height = p->parts[k].crop->height_m.typ;
        if ((p->parts[k].role == ROLE_CLIMBER && p->nparts > 1) || !(height > top))
            continue; /* a climber takes the height of its support */
        top = height;
        tallest = k;
    }
    return tallest;
}

double planting_density(const struct planting *p, int k)
{
    return p->parts[k].per_station / (p->parts[k].every * p->pitch_m * p->line_m);
}

void planting_plant_kg(const struct planting *p, const struct stand_figures *figures,
                       const struct stand_mixture *mix, const double *light, double *kg_plant)
{
    struct stand_part parts[STAND_PARTS_MAX];
    for (int k = 0; k < p->nparts; k++) {
        const struct part *part = &p->parts[k];
        parts[k] = (struct stand_part){
            .figures = &figures[k],
            .law = (enum density_law)part->crop->density_law.v,
            .role = part->role,
            .density_m2 = planting_density(p, k),
            .per_hill = p->system == SYSTEM_HILLS ? part->per_station : 1,
            .delay_d = part->delay_d,
            .light = light[k],
        };
    }
    double kg_m2[STAND_PARTS_MAX];
    stand_yields(parts, p->nparts, mix, kg_m2);
    for (int k = 0; k < p->nparts; k++)
        kg_plant[k] =
            parts[k].density_m2 > 0 && !(planting_standing(p) && p->parts[k].seed->for_seed)
                ? kg_m2[k] / parts[k].density_m2
                : 0;
}

/* Pumpkins at a third of the maize density halve the weeding, below a fifth they do not
 * (Mashingaidze 2004, ch. 2); a straight line between. */
static double weeding_share(const struct planting *p)
{
    double support = planting_density(p, 0), share = 1;
    for (int k = 1; k < p->nparts; k++) {
        if (p->parts[k].role != ROLE_COVER)
            continue;
        double ratio = planting_density(p, k) / support;
        double s = 1 - 0.5 * num_clamp((ratio - 0.2) / (1.0 / 3 - 0.2), 0, 1);
        share = fmin(share, s);
    }
    return share;
}

/* In a hill each seed is put in by itself; in a row the seeds of a spot go in together, and a crop
 * that is sown thick and thinned has several spots to a station. */
static double sowing_spots(const struct planting *p, int k)
{
    const struct part *part = &p->parts[k];
    if (p->system == SYSTEM_HILLS)
        return part->sown;
    double gap = part->crop->sow_gap_m.set ? part->crop->sow_gap_m.typ : p->pitch_m;
    return p->nparts == 1 ? fmax(1, round(p->pitch_m / gap)) : part->per_station;
}

struct part_hours planting_part_hours(const struct part *part)
{
    const struct crop *crop = part->crop;
    return (struct part_hours){crop->plant_h.typ, crop->weed_h_m2.typ, crop->harvest_h_kg.typ};
}

double planting_build_hours(const struct planting *p)
{
    return p->system == SYSTEM_HILLS && p->guild ? p->guild->plant_h.typ : 0;
}

double planting_sow_hours(const struct planting *p, int k, const struct part_hours *hours)
{
    return planting_standing(p) ? 0 : hours->plant_h * sowing_spots(p, k) / p->parts[k].every;
}

double planting_weed_hours(const struct planting *p, const struct part_hours *hours)
{
    return planting_standing(p) ? 0 : p->pitch_m * p->line_m * hours->weed_h_m2 * weeding_share(p);
}

double planting_station_hours(const struct planting *p, const struct part_hours *hours)
{
    double sum = planting_build_hours(p);
    for (int k = 0; k < p->nparts; k++)
        sum += planting_sow_hours(p, k, &hours[k]);
    return sum + planting_weed_hours(p, &hours[0]);
}

double planting_station_hours_typical(const struct planting *p)
{
    struct part_hours hours[STAND_PARTS_MAX] = {{0}};
    for (int k = 0; k < p->nparts; k++)
        hours[k] = planting_part_hours(&p->parts[k]);
    return planting_station_hours(p, hours);
}
