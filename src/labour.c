/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "labour.h"

const char *const work_names[WORK_COUNT] = {
    [WORK_BUILD] = "building hills",
    [WORK_SOW] = "sowing, planting",
    [WORK_WEED] = "weeding, thinning",
    [WORK_HARVEST] = "harvest",
};

/* From the first weeds until vines close the ground or something is ripe. */
static void weeding_days(const struct planting *p, struct labour *work)
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

struct labour labour_of(const struct planting *p, int k, enum work_kind kind)
{
    const struct part *part = &p->parts[k];
    struct part_hours hours = planting_part_hours(part);
    int sow = part->season.sow;
    struct labour work = {0, 0, sow, sow};
    switch (kind) {
    case WORK_BUILD:
        work.station_h = k == 0 ? planting_build_hours(p) : 0;
        work.from = sow - WORK_BUILD_BEFORE_D;
        work.to = sow - 1;
        break;
    case WORK_SOW:
        work.station_h = planting_sow_hours(p, k, &hours);
        break;
    case WORK_WEED:
        work.station_h = k == 0 ? planting_weed_hours(p, &hours) : 0;
        weeding_days(p, &work);
        break;
    default:
        work.kg_h = part->crop->harvest_h_kg.typ;
        work.from = part->season.harvest_low;
        work.to = part->season.harvest_high;
    }
    return work;
}
