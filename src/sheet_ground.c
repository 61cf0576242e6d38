/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is done to the ground: made ready, weeded, drawn up to the stems, mulched. */
#include <math.h>

#include "haul.h"
#include "sheet_maker.h"
#include "work.h"

#define READY_BEFORE_D  14 /* the first sowing */
#define MULCH_AFTER_D   28 /* the last sowing: warm soil, plants 3 to 4 in high (common practice) */
#define MANURE_BEFORE_D 120 /* harvest, where the crop touches the soil: 7 CFR 205.203(c) */
#define EARTHED_AFTER_D 21  /* the first drawing up of soil: the second, 2 or 3 weeks later */
#define MEASURE_H       0.5 /* two people, a plot (common practice) */
#define UP_D            10  /* from sowing until it stands above the ground (common practice) */

/* ---- before anything is sown --------------------------------------------------------------- */

void maker_line(struct maker *m, struct sheet_stage *stage, int plot, const char *text)
{
    struct sheet_job job = {.where = text, .place = text, .plot = plot, .block = -1, .part = -1};
    maker_job(m, stage, &job);
}

/* How to measure a plot in, as far as words can say it. */
static const char *measure_plot(struct maker *m, const struct plot *plot)
{
    const char *stake = plot->origin.s ? plot->origin.s : "the corner where x and y begin";
    if (plot->outline.n > 0)
        return maker_words(m, "%s: 0 of both tapes at %s; check the corners by the map",
                           plot->name.s, stake);
    return maker_words(
        m, "%s: 0 of both tapes at %s; x %s, y %s; it is square when both diagonals are %s",
        plot->name.s, stake, maker_length(m, plot->size.x), maker_length(m, plot->size.y),
        maker_tape(m, hypot(plot->size.x, plot->size.y)));
}

static const char *loads(struct maker *m, enum haul what, double m3)
{
    const char *text = haul_words(m->arena, what, m3, m->sheet->units);
    m->failed = m->failed || !text;
    return text ? text : "";
}

/* "3 in deep (2 to 4 in)" */
static const char *how_deep(struct maker *m, enum haul what)
{
    const double *d = haul_depths_m(what, m->sheet->units);
    return maker_words(m, "%s deep (%s to %s)", maker_length(m, d[1]), maker_length(m, d[0]),
                       maker_length(m, d[2]));
}

static void add_compost(struct maker *m, struct sheet_stage *stage, double area_m2)
{
    enum unit_system units = m->sheet->units;
    double depth = haul_depth_m(HAUL_COMPOST, units), m3 = area_m2 * depth;
    maker_line(m, stage, -1,
               maker_words(m, "Compost, if the test allows: %s takes %s; never over %s in a year",
                           how_deep(m, HAUL_COMPOST), loads(m, HAUL_COMPOST, m3),
                           maker_length(m, units == UNITS_US ? 0.0254 : 0.025)));
    stage->hours += HAUL_HOURS * haul_loads(HAUL_COMPOST, m3, units);
}

/* What covers the paths that the garden file lays out, as far as the plot's rules allow it. */
static const char *path_words(struct maker *m, const struct plot *plot, enum haul what, double m3)
{
    bool ask = what == HAUL_CHIPS && !plot->chips.set;
    return maker_words(m, "%s: %s on the paths, %s%s: %s", plot->name.s, haul_names[what],
                       how_deep(m, what), ask ? ", where the garden's rules allow them" : "",
                       loads(m, what, m3));
}

static void add_paths(struct maker *m, struct sheet_stage *stage)
{
    const struct garden *g = m->plan->garden;
    enum unit_system units = m->sheet->units;
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        enum haul what = haul_paths(g, plot);
        double m3 = 0;
        for (size_t k = 0; k < plot->paths.n; k++) {
            const struct path *path = (const struct path *)plot->paths.items + k;
            m3 += haul_depth_m(what, units) * path->width_m.v *
                  hypot(path->to.x - path->from.x, path->to.y - path->from.y);
        }
        if (m3 <= 0)
            continue;
        maker_line(m, stage, (int)i, path_words(m, plot, what, m3));
        stage->hours += HAUL_HOURS * haul_loads(what, m3, units);
    }
}

/* When a garden with a calendar of its own lets people in; when it wants its ground back is said
 * where the ground is cleared. */
static void add_opening(struct maker *m, struct sheet_stage *stage)
{
    const struct garden *g = m->plan->garden;
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        if (plot->open.set)
            maker_line(m, stage, (int)i,
                       maker_words(m, "%s: opens %s", plot->name.s,
                                   maker_date(m, date_day(plot->open.d))));
    }
}

/* The first day anything may be done: some time before the sowing, but in a garden that is open. */
static int ready_day(const struct maker *m, int sow)
{
    const struct garden *g = m->plan->garden;
    int day = sow - READY_BEFORE_D, open = sow - 1;
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        int from = plot->open.set ? season_day(&g->site, plot->open.d) : day;
        open = from < open ? from : open;
    }
    return day > open ? day : open;
}

void maker_ready(struct maker *m)
{
    const struct plan *plan = m->plan;
    int sow = 0, ripe = 0;
    bool any = false;
    double area = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (planting_standing(p))
            continue;
        if (p->slot != SLOT_SECOND) /* ground is dressed once */
            area += block_area(&plan->blocks[b]);
        for (int k = 0; k < p->nparts; k++, any = true) {
            const struct season *s = &p->parts[k].season;
            sow = any && sow < s->sow ? sow : s->sow;
            ripe = any && ripe < s->harvest_low ? ripe : s->harvest_low;
        }
    }
    if (!any)
        return;
    struct sheet_stage *stage = maker_stage(m, STAGE_READY, ready_day(m, sow));
    stage->until = sow - 1;
    stage->apart = true;
    stage->title = "Make the ground ready";
    stage->when = maker_words(m, "before %s, when a handful of soil crumbles", maker_date(m, sow));
    for (size_t i = 0; i < plan->garden->plots.n; i++)
        maker_line(m, stage, (int)i, measure_plot(m, garden_plot(plan->garden, i)));
    add_opening(m, stage);
    stage->hours = MEASURE_H * (double)plan->garden->plots.n;
    maker_line(m, stage, -1,
               "Have the soil tested: lead where people have lived or driven, and phosphorus");
    add_compost(m, stage, area);
    maker_line(m, stage, -1,
               maker_words(m, "Raw manure: none after %s, 120 days before the first harvest",
                           maker_date(m, ripe - MANURE_BEFORE_D)));
    add_paths(m, stage);
}

/* ---- weeds --------------------------------------------------------------------------------- */

void maker_weeding(struct maker *m, int b)
{
    const struct planting *p = m->plan->blocks[b].planting;
    struct work work = work_of(m->plan, b, 0, WORK_WEED);
    bool vines = planting_covers(p);
    const char *how =
        vines ? "Hoe shallow, for roots lie near the surface. Weed all of it again before each "
                "crop that is sown later, until the vines close the ground."
              : "Hoe shallow, for roots lie near the surface. Then once a week until the leaves "
                "close over the ground.";
    struct sheet_stage *stage = maker_same_stage(m, STAGE_WEED, -1, work.from, "", how);
    if (!stage) {
        stage = maker_stage(m, STAGE_WEED, work.from);
        stage->title = vines ? "Weed among the hills and vines" : "Weed the rows";
        stage->when = maker_words(m, "when the first weeds are thread-thin, from about %s",
                                  maker_date(m, work.from));
        stage->how = how;
        stage->note = "The hours are those of the season, with thinning and drawing up soil.";
    }
    stage->until = work.to > stage->until ? work.to : stage->until;
    stage->hours += work.hours;
    maker_block_job(m, stage, b, 0);
}

/* ---- soil drawn up to the stems ------------------------------------------------------------ */

/* The day it is so high, as if it grew evenly from coming up to the harvest. */
static int high_on(const struct part *part, double height_m)
{
    double share = fmin(height_m / part->crop->height_m.typ, 1);
    return part->season.sow + UP_D + (int)lround(share * fmax(part->days - UP_D, 0));
}

/* A guild's hills are drawn up for the support alone. */
void maker_earthing_up(struct maker *m, int b)
{
    const struct part *part = &m->plan->blocks[b].planting->parts[0];
    const struct range *up = &part->crop->earth_up_m;
    if (!up->set)
        return;
    int day = high_on(part, up->typ);
    struct sheet_stage *stage = maker_same_stage(m, STAGE_EARTH, part->seed_index, day, "", "");
    if (!stage) {
        stage = maker_stage(m, STAGE_EARTH, day);
        stage->seed = part->seed_index;
        stage->title = maker_words(m, "Draw soil up to %s", maker_variety(m, part));
        stage->when = up->low < up->high
                          ? maker_words(m, "when it stands %s tall (%s to %s), about %s",
                                        maker_length(m, up->typ), maker_length(m, up->low),
                                        maker_length(m, up->high), maker_date(m, day))
                          : maker_words(m, "when it stands %s tall, about %s",
                                        maker_length(m, up->typ), maker_date(m, day));
        stage->note = "With a hoe, loose soil up to half the height of the stems. Once more two or "
                      "three weeks later.";
    }
    maker_block_jobs(m, stage, b, 0);
    for (struct sheet_job *job = stage->jobs; job; job = job->next)
        job->seeds = 0;
}

/* ---- mulch --------------------------------------------------------------------------------- */

static void add_mulch(struct maker *m, struct sheet_stage *stage, double area_m2)
{
    const struct garden *g = m->plan->garden;
    enum unit_system units = m->sheet->units;
    enum haul what = haul_beds(g);
    const char *name = haul_names[what];
    double m3 = area_m2 * haul_depth_m(what, units);
    stage->how = maker_words(
        m, "Weed, then lay %s%s, %s, kept off the stems: about %s of %s in all.", name,
        g->mulch.beds.set ? "" : " or leaves", how_deep(m, what), loads(m, what, m3), name);
    stage->hours = HAUL_HOURS * haul_loads(what, m3, units);
}

/* Straw is in the way of the hoe: it comes when soil has been drawn up. */
static int mulch_day(const struct part *part)
{
    const struct range *up = &part->crop->earth_up_m;
    int day = part->season.sow + MULCH_AFTER_D;
    int drawn = up->set ? high_on(part, up->typ) + EARTHED_AFTER_D : day;
    return day > drawn ? day : drawn;
}

void maker_mulch(struct maker *m)
{
    const struct plan *plan = m->plan;
    double area = 0;
    int day = 0;
    bool any = false;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (planting_covers(p) || planting_standing(p))
            continue;
        area += block_area(&plan->blocks[b]);
        for (int k = 0; k < p->nparts; k++, any = true)
            day = any && day > mulch_day(&p->parts[k]) ? day : mulch_day(&p->parts[k]);
    }
    if (!any)
        return;
    struct sheet_stage *stage = maker_stage(m, STAGE_MULCH, day);
    stage->title = "Mulch between the rows";
    stage->apart = true;
    stage->when = maker_words(m, "once the soil is warm and plants are a hand high, about %s",
                              maker_date(m, day));
    add_mulch(m, stage, area);
    for (int b = 0; b < plan->nblocks; b++)
        if (!planting_covers(plan->blocks[b].planting) &&
            !planting_standing(plan->blocks[b].planting))
            maker_block_job(m, stage, b, -1);
}
