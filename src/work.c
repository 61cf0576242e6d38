/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "work.h"

const char *const work_names[WORK_COUNT] = {
    [WORK_BUILD] = "building hills",
    [WORK_SOW] = "sowing, planting",
    [WORK_WEED] = "weeding, thinning",
    [WORK_HARVEST] = "harvest",
};

static int block_stations(const struct plan *plan, int b)
{
    int n = 0;
    for (int l = 0; l < plan->nlines; l++)
        n += plan->lines[l].block == b ? plan->lines[l].n : 0;
    return n;
}

/* From the first weeds until vines close the ground or something is ripe. */
static void weeding_days(const struct planting *p, struct work *work)
{
    int until = p->parts[0].season.harvest_low, sown = p->parts[0].season.sow;
    for (int k = 1; k < p->nparts; k++) {
        const struct season *s = &p->parts[k].season;
        int closed = s->sow + WORK_CLOSED_AFTER_D;
        if (p->parts[k].role == ROLE_COVER && closed < until)
            until = closed;
    }
    work->from = sown + WORK_WEED_AFTER_D;
    work->to = until > work->from ? until : work->from;
}

static double harvest_hours(const struct plan *plan, int b, int k)
{
    double kg[STAND_PARTS_MAX], plants = 0;
    const struct block *block = &plan->blocks[b];
    plan_plant_kg(block, kg);
    for (int s = 0; s < plan->nstations; s++)
        if (plan->stations[s].block == b)
            plants += plan->stations[s].plants[k];
    return plants * kg[k] * block->planting->parts[k].crop->harvest_h_kg.typ;
}

struct work work_of(const struct plan *plan, int b, int k, enum work_kind kind)
{
    const struct planting *p = plan->blocks[b].planting;
    const struct part *part = &p->parts[k];
    struct part_hours hours = planting_part_hours(part);
    int n = block_stations(plan, b), sow = part->season.sow;
    struct work work = {0, sow, sow};
    switch (kind) {
    case WORK_BUILD:
        work.hours = k == 0 ? n * planting_build_hours(p) : 0;
        work.from = sow - WORK_BUILD_BEFORE_D;
        work.to = sow - 1;
        break;
    case WORK_SOW:
        work.hours = n * planting_sow_hours(p, k, &hours);
        break;
    case WORK_WEED:
        work.hours = k == 0 ? n * planting_weed_hours(p, &hours) : 0;
        weeding_days(p, &work);
        break;
    default:
        work.hours = harvest_hours(plan, b, k);
        work.from = part->season.harvest_low;
        work.to = part->season.harvest_high;
    }
    return work;
}

bool work_season(const struct plan *plan, int *from, int *to)
{
    bool any = false;
    for (int b = 0; b < plan->nblocks; b++)
        for (int k = 0; k < plan->blocks[b].planting->nparts; k++, any = true) {
            const struct season *s = &plan->blocks[b].planting->parts[k].season;
            *from = !any || s->sow < *from ? s->sow : *from;
            *to = !any || s->harvest_high > *to ? s->harvest_high : *to;
        }
    return any;
}

void work_weeks(const struct plan *plan, int from, int n, double *hours)
{
    for (int b = 0; b < plan->nblocks; b++)
        for (int k = 0; k < plan->blocks[b].planting->nparts; k++)
            for (int kind = 0; kind < WORK_COUNT; kind++) {
                struct work w = work_of(plan, b, k, (enum work_kind)kind);
                int days = w.to - w.from + 1;
                for (int d = w.from; d <= w.to && w.hours > 0; d++) {
                    int week = (d - from) / 7;
                    if (d >= from && week < n)
                        hours[week * WORK_COUNT + kind] += w.hours / days;
                }
            }
}
