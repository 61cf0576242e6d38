/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "work.h"

static int block_stations(const struct plan *plan, int b)
{
    int n = 0;
    for (int l = 0; l < plan->nlines; l++)
        n += plan->lines[l].block == b ? plan->lines[l].n : 0;
    return n;
}

static double block_kg(const struct plan *plan, int b, int k)
{
    double kg[STAND_PARTS_MAX], plants = 0;
    plan_plant_kg(&plan->blocks[b], kg);
    for (int s = 0; s < plan->nstations; s++)
        if (plan->stations[s].block == b)
            plants += plan->stations[s].plants[k];
    return plants * kg[k];
}

struct work work_of(const struct plan *plan, int b, int k, enum work_kind kind)
{
    struct labour l = labour_of(plan->blocks[b].planting, k, kind);
    struct work work = {l.station_h * block_stations(plan, b), l.from, l.to};
    if (l.kg_h > 0)
        work.hours += l.kg_h * block_kg(plan, b, k);
    return work;
}

bool work_season(const struct plan *plan, int *from, int *to)
{
    bool any = false;
    for (int b = 0; b < plan->nblocks; b++)
        for (int k = 0; k < plan->blocks[b].planting->nparts; k++, any = true) {
            const struct season *s = &plan->blocks[b].planting->parts[k].season;
            int begun = planting_standing(plan->blocks[b].planting) ? s->harvest_low : s->sow;
            *from = !any || begun < *from ? begun : *from;
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

struct work_week work_fullest(const struct plan *plan)
{
    double hours[LABOUR_WEEKS * WORK_COUNT] = {0};
    struct work_week fullest = {LABOUR_FROM, 0};
    work_weeks(plan, LABOUR_FROM, LABOUR_WEEKS, hours);
    for (int w = 0; w < LABOUR_WEEKS; w++) {
        double sum = 0;
        for (int kind = 0; kind < WORK_COUNT; kind++)
            sum += hours[w * WORK_COUNT + kind];
        if (sum > fullest.hours)
            fullest = (struct work_week){LABOUR_FROM + 7 * w, sum};
    }
    return fullest;
}
