/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "yardstick.h"

#include <math.h>
#include <string.h>

#include "haul.h"
#include "larder.h"
#include "layout.h"
#include "range.h"

/* Maize alone is weeded two to three times; with pumpkins that close the ground once did as well
 * (Mashingaidze 2004, ch. 2). In between in proportion to the hours. */
#define WEEDINGS_ALONE  2.5
#define WEEDINGS_LEAST  1
#define WEEDING_H_LEAST 0.5 /* share of the hours where vines close the ground: planting.c */

struct measuring {
    const struct plan *plan;
    const struct guild *guild;
    struct range_stand stand;
    struct range_season typical;
    struct yardstick *out;
};

/* ---- land and time ------------------------------------------------------------------------- */

double yardstick_ater(const double *relative, const double *sole_days, int n, double days)
{
    double sum = 0;
    for (int i = 0; i < n; i++)
        sum += relative[i] * sole_days[i];
    return days > 0 ? sum / days : 0;
}

double yardstick_sole_kg_m2(const struct crop *crop, double light)
{
    double kg_m2;
    struct stand_figures figures;
    struct stand_mixture mixture;
    stand_figures_typical(crop, &figures);
    stand_mixture_typical(&mixture);
    bool peaked = crop->density_law.v == DENSITY_SEED_HEAD;
    struct stand_part alone = {
        .figures = &figures,
        .law = (enum density_law)crop->density_law.v,
        .role = ROLE_ALONE,
        .density_m2 = peaked ? figures.best_density_m2 : 1 / (crop->in_row_m.low * crop->row_m.low),
        .per_hill = 1,
        .light = light,
    };
    stand_yields(&alone, 1, &mixture, &kg_m2);
    return kg_m2;
}

/* Ground of a block, counted once where a second crop follows a first. */
static double ground_of(const struct block *block)
{
    return block->planting->slot == SLOT_SECOND ? 0 : block_area(block);
}

/* Crops and days of a set of blocks, gathered by seed. */
struct gathered {
    double *relative_m2; /* per seed: yield over the sole yield, times ground */
    double area_m2;
    int from, to;
    bool any;
};

static void gather(const struct measuring *m, int b, struct gathered *g)
{
    const struct block *block = &m->plan->blocks[b];
    const struct planting *p = block->planting;
    struct stand_figures figures[STAND_PARTS_MAX];
    double kg[STAND_PARTS_MAX], light = m->plan->zones.items[block->zone].light;
    for (int k = 0; k < p->nparts; k++)
        figures[k] = m->typical.crops[p->parts[k].seed_index].figures;
    planting_plant_kg(p, figures, &m->typical.mixture, block->light, kg);
    for (int k = 0; k < p->nparts; k++) {
        const struct part *part = &p->parts[k];
        double sole = yardstick_sole_kg_m2(part->crop, light);
        if (sole > 0)
            g->relative_m2[part->seed_index] += kg[k] * m->stand.plants[b][k] / sole;
        g->from = g->any && g->from < part->season.sow ? g->from : part->season.sow;
        g->to = g->any && g->to > part->season.harvest_typ ? g->to : part->season.harvest_typ;
        g->any = true;
    }
    g->area_m2 += ground_of(block);
}

static struct ratios ratios_of(const struct measuring *m, const struct gathered *g,
                               double ground_m2)
{
    struct ratios r = {.ground_m2 = ground_m2, .days = g->to - g->from};
    for (size_t s = 0; s < m->plan->garden->seed.n && ground_m2 > 0; s++) {
        const struct seed *seed = garden_seed(m->plan->garden, s);
        double relative = g->relative_m2[s] / ground_m2;
        double days = seed->days.set ? seed->days.typ : seed->crop->days.typ;
        r.ler += relative;
        r.ater += yardstick_ater(&relative, &days, 1, r.days);
    }
    return r;
}

static double free_ground(const struct plan *plan)
{
    double sum = 0;
    int last = -1;
    for (size_t i = 0; i < plan->zones.ngrounds; i++) {
        const struct ground *g = &plan->zones.grounds[i];
        sum += g->plot != last ? g->free_m2 : 0; /* once a plot, whichever way its rows run */
        last = g->plot;
    }
    return sum;
}

static bool of_guild(const struct measuring *m, const struct planting *p)
{
    for (int k = 0; k < p->nparts; k++)
        if (layout_in_guild(m->guild, p->parts[k].crop))
            return true;
    return false;
}

static hr_status measure_land(struct measuring *m, struct arena *arena)
{
    const struct plan *plan = m->plan;
    struct yardstick *y = m->out;
    size_t seeds = plan->garden->seed.n;
    struct gathered whole = {.relative_m2 = ARENA_ARRAY(arena, double, seeds)};
    struct gathered guild = {.relative_m2 = ARENA_ARRAY(arena, double, seeds)};
    y->relative = ARENA_ARRAY(arena, double, (size_t)plan->ncrops);
    if (!whole.relative_m2 || !guild.relative_m2 || !y->relative)
        return HR_NOMEM;
    for (int b = 0; b < plan->nblocks; b++) {
        gather(m, b, &whole);
        if (of_guild(m, plan->blocks[b].planting))
            gather(m, b, &guild);
    }
    double ground = free_ground(plan);
    y->whole = ratios_of(m, &whole, ground);
    y->guild = ratios_of(m, &guild, guild.area_m2);
    y->planted_m2 = whole.area_m2;
    for (int c = 0; c < plan->ncrops; c++) {
        size_t s = (size_t)(plan->crops[c].seed - garden_seed(plan->garden, 0));
        y->relative[c] = ground > 0 ? whole.relative_m2[s] / ground : 0;
    }
    return HR_OK;
}

/* ---- work and stuff ------------------------------------------------------------------------ */

/* Hours of planting and weeding of a block, and how often its ground is weeded times the ground. */
static void measure_work(struct measuring *m, int b)
{
    struct yardstick *y = m->out;
    const struct planting *p = m->plan->blocks[b].planting;
    struct part_hours hours[STAND_PARTS_MAX] = {{0}}, planting[STAND_PARTS_MAX] = {{0}};
    for (int k = 0; k < p->nparts; k++) {
        hours[k] = planting[k] = m->typical.crops[p->parts[k].seed_index].hours;
        planting[k].weed_h_m2 = 0;
    }
    int n = m->stand.stations[b];
    double plant_h = planting_station_hours(p, planting);
    double weed_h = planting_station_hours(p, hours) - plant_h;
    double full_h = p->pitch_m * p->line_m * hours[0].weed_h_m2;
    double share = full_h > 0 ? weed_h / full_h : 1;
    double extra = fmax(0, share - WEEDING_H_LEAST) / (1 - WEEDING_H_LEAST);
    y->planting_h += n * plant_h;
    y->weeding_h += n * weed_h;
    y->weedings += ground_of(&m->plan->blocks[b]) *
                   (WEEDINGS_LEAST + (WEEDINGS_ALONE - WEEDINGS_LEAST) * extra);
    y->hills += p->system == SYSTEM_HILLS ? n : 0;
}

/* Canopies at full growth, their discs strewn at random: what n of them leave bare is exp(-n a/A).
 */
static double covered_m2(const struct measuring *m, int b)
{
    double discs = 0, area = ground_of(&m->plan->blocks[b]);
    const struct planting *p = m->plan->blocks[b].planting;
    for (int k = 0; k < p->nparts; k++) {
        double spread = p->parts[k].crop->spread_m.typ;
        discs += m->stand.plants[b][k] * M_PI * spread * spread / 4;
    }
    return area > 0 ? area * (1 - exp(-discs / area)) : 0;
}

static void measure_blocks(struct measuring *m)
{
    const struct plan *plan = m->plan;
    struct yardstick *y = m->out;
    enum unit_system units = (enum unit_system)plan->garden->units.v;
    double covered = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        double area = ground_of(&plan->blocks[b]);
        measure_work(m, b);
        covered += covered_m2(m, b);
        y->compost_m3 += area * haul_depth_m(HAUL_COMPOST, units);
        if (!planting_covers(plan->blocks[b].planting))
            y->mulch_m3 += area * haul_depth_m(haul_beds(plan->garden), units);
    }
    y->weedings = y->planted_m2 > 0 ? y->weedings / y->planted_m2 : 0;
    y->covered = y->whole.ground_m2 > 0 ? fmin(1, covered / y->whole.ground_m2) : 0;
    y->plants_m2 = y->planted_m2 > 0 ? y->plants / y->planted_m2 : 0;
}

static void measure_crops(struct measuring *m)
{
    const struct plan *plan = m->plan;
    struct yardstick *y = m->out;
    double most = 0;
    for (int c = 0; c < plan->ncrops; c++) {
        const struct crop_result *r = &plan->crops[c];
        double energy = 0;
        for (int o = 0; o < plan->ncrops; o++) /* all varieties of the crop */
            energy +=
                plan->crops[o].seed->crop == r->seed->crop ? plan->crops[o].energy_kcal.typ : 0;
        y->plants += r->plants;
        y->seed += r->sown;
        y->picking_h += r->kg.typ * r->seed->crop->harvest_h_kg.typ;
        if (energy > most) {
            most = energy;
            y->largest = r->seed->crop;
        }
    }
    y->largest_share = plan->energy_kcal.typ > 0 ? most / plan->energy_kcal.typ : 0;
    y->nitrogen = larder_nitrogen(plan);
}

static void measure_days(struct measuring *m)
{
    struct yardstick *y = m->out;
    bool any = false;
    for (int b = 0; b < m->plan->nblocks; b++) {
        const struct planting *p = m->plan->blocks[b].planting;
        for (int k = 0; k < p->nparts; k++, any = true) {
            int sow = p->parts[k].season.sow, ripe = p->parts[k].season.harvest_typ;
            y->first_sowing = any && y->first_sowing < sow ? y->first_sowing : sow;
            y->first_harvest = any && y->first_harvest < ripe ? y->first_harvest : ripe;
            y->last_harvest = any && y->last_harvest > ripe ? y->last_harvest : ripe;
        }
    }
}

hr_status yardstick_measure(const struct plan *plan, const struct guild *guild, struct arena *arena,
                            struct yardstick *out)
{
    struct yardstick y = {0};
    struct measuring m = {.plan = plan, .guild = guild, .out = &y};
    hr_status status = range_stand_count(plan, arena, &m.stand);
    if (status == HR_OK)
        status = range_typical(plan->garden, arena, &m.typical);
    if (status == HR_OK)
        status = measure_land(&m, arena);
    if (status != HR_OK)
        return status;
    measure_crops(&m);
    measure_blocks(&m);
    measure_days(&m);
    *out = y;
    return HR_OK;
}
