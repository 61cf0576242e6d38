/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "map.h"
#include "num.h"

#define READY_BEFORE_D  14 /* the first sowing */
#define THIN_AFTER_D    21 /* sowing: two or three true leaves (common practice) */
#define MULCH_AFTER_D   28 /* the last sowing: warm soil, plants 3 to 4 in high (common practice) */
#define MANURE_BEFORE_D 120 /* harvest, where the crop touches the soil: 7 CFR 205.203(c) */

struct maker {
    struct arena *arena;
    const struct plan *plan;
    const struct symbol *symbols;
    struct sheet *sheet;
    bool failed; /* memory ran out */
};

/* ---- words --------------------------------------------------------------------------------- */

static const char *words(struct maker *m, const char *fmt, ...)
    __attribute__((format(printf, 2, 3)));

/* Never NULL. */
static const char *words(struct maker *m, const char *fmt, ...)
{
    struct strbuf b;
    va_list ap;
    strbuf_init(&b, m->arena);
    va_start(ap, fmt);
    strbuf_vprintf(&b, fmt, ap);
    va_end(ap);
    m->failed = m->failed || b.failed;
    return b.p;
}

static const char *length(struct maker *m, double v)
{
    char buf[64];
    return words(m, "%s", unit_length(buf, sizeof buf, v, m->sheet->units));
}

static const char *tape(struct maker *m, double v)
{
    char buf[64];
    return words(m, "%s", unit_tape(buf, sizeof buf, v, m->sheet->units));
}

static const char *date(struct maker *m, int day)
{
    char buf[32];
    return words(m, "%s", date_text(buf, sizeof buf, day));
}

static const char *whole(struct maker *m, double v)
{
    char buf[64];
    return words(m, "%s", num_grouped(buf, sizeof buf, ceil(v - 1e-9)));
}

static const char *volume(struct maker *m, double m3)
{
    char buf[64];
    if (m->sheet->units == UNITS_US)
        return words(m, "%s cu ft",
                     num_text(buf, sizeof buf, num_round_sig(m3 / 0.028316846592, 2)));
    return words(m, "%s l", num_text(buf, sizeof buf, num_round_sig(1000 * m3, 2)));
}

/* An estimate, to two digits. */
static const char *about_mass(struct maker *m, double kg)
{
    char buf[64];
    bool us = m->sheet->units == UNITS_US;
    double large = us ? kg / 0.45359237 : kg, small = us ? large * 16 : 1000 * kg;
    bool big = large >= 1;
    return words(m, "%s %s", num_text(buf, sizeof buf, num_round_sig(big ? large : small, 2)),
                 us ? (big ? "lb" : "oz") : (big ? "kg" : "g"));
}

/* "flint corn, Ember Ridge (F)" */
static const char *variety(struct maker *m, const struct part *part)
{
    const char *letter = m->symbols[part->seed_index].letter;
    return words(m, "%s, %s (%s)", part->crop->name.s, part->seed->variety.s,
                 letter ? letter : "-");
}

const char *sheet_ranges(struct arena *arena, const int *numbers, int n)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    for (int i = 0; i < n;) {
        int j = i;
        while (j + 1 < n && numbers[j + 1] == numbers[j] + 1)
            j++;
        strbuf_printf(&b, "%s%d", i > 0 ? ", " : "", numbers[i]);
        if (j > i)
            strbuf_printf(&b, "%s%d", j > i + 1 ? "-" : ", ", numbers[j]);
        i = j + 1;
    }
    return b.failed ? NULL : b.p;
}

/* ---- stages and jobs ----------------------------------------------------------------------- */

static struct sheet_stage *new_stage(struct maker *m, enum stage_kind kind, int day)
{
    struct sheet *sheet = m->sheet; /* room for all was made with it */
    struct sheet_stage *stage = &sheet->stages[sheet->nstages++];
    *stage = (struct sheet_stage){.kind = kind, .day = day, .seed = -1};
    stage->title = stage->when = stage->how = stage->note = stage->unit = stage->trigger = "";
    return stage;
}

/* The stage of that kind, variety, day and trigger, if there is one: its jobs go together. */
static struct sheet_stage *same_stage(struct maker *m, enum stage_kind kind, int seed, int day,
                                      const char *trigger, const char *how)
{
    for (int i = 0; i < m->sheet->nstages; i++) {
        struct sheet_stage *s = &m->sheet->stages[i];
        if (s->kind == kind && s->seed == seed && s->day == day &&
            strcmp(s->trigger, trigger) == 0 && strcmp(s->how, how) == 0)
            return s;
    }
    return NULL;
}

static void add_job(struct maker *m, struct sheet_stage *stage, const struct sheet_job *job)
{
    struct sheet_job *copy = ARENA_NEW(m->arena, struct sheet_job);
    if (!copy) {
        m->failed = true;
        return;
    }
    *copy = *job;
    if (stage->last)
        stage->last->next = copy;
    else
        stage->jobs = copy;
    stage->last = copy;
}

static const struct zone *block_zone(const struct maker *m, int b)
{
    return &m->plan->zones.items[m->plan->blocks[b].zone];
}

static const char *plot_name(const struct maker *m, int b)
{
    return garden_plot(m->plan->garden, (size_t)block_zone(m, b)->plot)->name.s;
}

/* Whether part k (-1: any) stands at the station. */
static bool stands(const struct station *s, int k)
{
    return k < 0 || s->plants[k] > 0;
}

/* Fills in the stations of a job: those of lines first..last (in plan->lines) where part k stands.
 */
static void take_stations(struct maker *m, struct sheet_job *job, int first, int last)
{
    const struct plan *plan = m->plan;
    int most = 0;
    for (int l = first; l <= last; l++)
        most += plan->lines[l].n;
    job->stations = ARENA_ARRAY(m->arena, int, (size_t)most);
    if (!job->stations) {
        m->failed = true;
        return;
    }
    for (int l = first; l <= last; l++)
        for (int s = plan->lines[l].first; s < plan->lines[l].first + plan->lines[l].n; s++)
            if (stands(&plan->stations[s], job->part))
                job->stations[job->nstations++] = s;
    if (job->part >= 0)
        job->seeds = job->nstations * plan->blocks[job->block].planting->parts[job->part].sown;
}

static const char *hills_where(struct maker *m, const struct sheet_job *job)
{
    int *numbers = ARENA_ARRAY(m->arena, int, (size_t)job->nstations);
    const char *ranges = NULL;
    for (int i = 0; numbers && i < job->nstations; i++)
        numbers[i] = atoi(m->plan->stations[job->stations[i]].id);
    if (numbers)
        ranges = sheet_ranges(m->arena, numbers, job->nstations);
    m->failed = m->failed || !ranges;
    return words(m, "%s, %s %s", plot_name(m, job->block), job->nstations > 1 ? "hills" : "hill",
                 ranges ? ranges : "");
}

/* "y 14' 2", x 0' 6" to 19' 6"; first spot at x 1' 0", then every 1 ft" */
static const char *row_tape(struct maker *m, const struct sheet_job *job, int l)
{
    const struct line *line = &m->plan->lines[l];
    const struct planting *p = m->plan->blocks[job->block].planting;
    bool along_x = block_zone(m, job->block)->along_x;
    const struct station *first = &m->plan->stations[job->stations[0]];
    const char *across = along_x ? "y" : "x", *along = along_x ? "x" : "y";
    double from = along_x ? line->x0 : line->y0, to = along_x ? line->x1 : line->y1;
    int every = job->part >= 0 ? p->parts[job->part].every : 1;
    return words(m, "%s %s, %s %s to %s; first at %s %s%s%s", across,
                 tape(m, along_x ? line->y0 : line->x0), along, tape(m, from), tape(m, to), along,
                 tape(m, along_x ? first->x_m : first->y_m),
                 job->nstations > 1 ? ", then every " : "",
                 job->nstations > 1 ? length(m, p->pitch_m * every) : "");
}

/* Adds the jobs of part k (-1: all parts) of block b: one for its hills, one for each row. */
static void add_block_jobs(struct maker *m, struct sheet_stage *stage, int b, int k)
{
    const struct plan *plan = m->plan;
    bool hills = plan->blocks[b].planting->system == SYSTEM_HILLS;
    int first = 0;
    while (first < plan->nlines && plan->lines[first].block != b)
        first++;
    int last = first;
    while (last + 1 < plan->nlines && plan->lines[last + 1].block == b)
        last++;
    for (int l = first; first < plan->nlines && l <= last && !m->failed; l++) {
        struct sheet_job job = {.block = b, .part = k};
        take_stations(m, &job, l, hills ? last : l);
        if (!m->failed && job.nstations > 0) {
            job.where =
                hills ? hills_where(m, &job)
                      : words(m, "%s, row %d.%d", plot_name(m, b), b + 1, plan->lines[l].index + 1);
            job.tape = hills ? NULL : row_tape(m, &job, l);
            add_job(m, stage, &job);
        }
        if (hills)
            break;
    }
}

/* ---- hills --------------------------------------------------------------------------------- */

static void add_hills(struct maker *m, int b)
{
    const struct planting *p = m->plan->blocks[b].planting;
    if (p->system != SYSTEM_HILLS)
        return;
    const char *shape = p->guild && p->guild->shape.s ? p->guild->shape.s : "mound";
    const char *how = words(m,
                            "%s across, %s high, %s from middle to middle; %s. Mark each middle by "
                            "the table before you dig.",
                            length(m, p->hill_diameter_m), length(m, p->hill_height_m),
                            length(m, p->pitch_m), shape);
    int sow = p->parts[0].season.sow;
    struct sheet_stage *stage = same_stage(m, STAGE_HILLS, -1, sow - 7, "", how);
    if (!stage) {
        stage = new_stage(m, STAGE_HILLS, sow - 7);
        stage->title = words(m, "Build the hills for %s",
                             p->guild ? p->guild->name.s : p->parts[0].crop->name.s);
        stage->when =
            words(m, "in the week before %s, when the soil is dry enough to work", date(m, sow));
        stage->how = how;
    }
    add_block_jobs(m, stage, b, -1);
}

/* ---- sowing -------------------------------------------------------------------------------- */

/* Why a crop is not sown before its day: "the late last frost", "8 days after the median last
 * frost". */
static const char *frost_reason(struct maker *m, const struct crop *crop)
{
    const char *frost = crop->frost.v >= FROST_TENDER ? "late last frost" : "median last frost";
    int d = (int)lround(crop->sow_from_d.typ);
    if (d == 0)
        return words(m, "after the %s", frost);
    return words(m, "%d day%s %s the %s", abs(d), abs(d) == 1 ? "" : "s",
                 d < 0 ? "before" : "after", frost);
}

static const char *sow_when(struct maker *m, const struct part *part)
{
    const struct season *s = &part->season;
    char num[64];
    const char *soil = "", *last = "";
    if (part->crop->soil_min_c.set) {
        double c = part->crop->soil_min_c.typ;
        bool us = m->sheet->units == UNITS_US;
        soil = words(m, "; soil at least %s %s",
                     num_fixed(num, sizeof num, us ? 9 * c / 5 + 32 : c, 0), us ? "F" : "C");
    }
    if (s->sow_last > s->sow)
        last = words(m, "; not after %s", date(m, s->sow_last));
    if (*part->trigger)
        return words(m, "%s; by the calendar about %s%s%s", part->trigger, date(m, s->sow), soil,
                     last);
    if (part->delay_d > 0)
        return words(m, "about %s%s%s", date(m, s->sow), soil, last);
    return words(m, "from %s (%s)%s%s", date(m, s->sow), frost_reason(m, part->crop), soil, last);
}

/* Sowing spots to a station of a crop that is thinned out along the row, 1 of any other. */
static int spots_of(const struct planting *p, const struct part *part)
{
    const struct range *gap = &part->crop->sow_gap_m;
    if (p->system != SYSTEM_ROWS || !gap->set || gap->typ <= 0)
        return 1;
    return (int)fmax(1, round(p->pitch_m / gap->typ));
}

static const char *sow_how(struct maker *m, const struct planting *p, const struct part *part)
{
    const char *depth = length(m, part->crop->depth_m.typ);
    double sown = ceil(part->sown - 1e-9);
    int spots = spots_of(p, part);
    if (spots > 1) {
        double each = ceil(sown / spots - 1e-9);
        return words(m, "%s %s every %s along the row, %s deep; thinned later to a plant every %s.",
                     whole(m, each), map_piece_word(part->crop, each),
                     length(m, p->pitch_m / spots), depth, length(m, p->pitch_m));
    }
    const char *n = words(m, "%s %s", whole(m, sown), map_piece_word(part->crop, sown));
    const char *keep = sown > part->per_station && !part->crop->drilled.v
                           ? words(m, "; %d kept later", part->per_station)
                           : "";
    if (p->system != SYSTEM_HILLS)
        return words(m, "%s to a spot, %s deep%s.", n, depth, keep);
    if (part->ring_m <= 0)
        return words(m, "%s in the middle of each hill, %s deep%s.", n, depth, keep);
    return words(m, "%s to a hill, spread on a ring %s from its middle, %s deep%s.", n,
                 length(m, part->ring_m), depth, keep);
}

static void add_sowing(struct maker *m, int b, int k)
{
    static const char *const verbs[] = {"Sow", "Plant", "Plant", "Plant", "Set out"};
    const struct planting *p = m->plan->blocks[b].planting;
    const struct part *part = &p->parts[k];
    const char *how = sow_how(m, p, part);
    int as = part->crop->planted_as.v;
    struct sheet_stage *stage =
        same_stage(m, STAGE_SOW, part->seed_index, part->season.sow, part->trigger, how);
    if (!stage) {
        stage = new_stage(m, STAGE_SOW, part->season.sow);
        stage->seed = part->seed_index;
        stage->title = words(m, "%s %s", verbs[as >= 0 && as < 5 ? as : 0], variety(m, part));
        stage->trigger = part->trigger;
        stage->when = sow_when(m, part);
        stage->how = how;
        stage->unit = map_piece_word(part->crop, 2);
        bool carried = k > 0 && part->role == ROLE_CLIMBER; /* its note speaks of stakes */
        stage->note = words(m, "%s%s", k > 0 ? "Weed the ground first. " : "",
                            part->crop->note.s && !carried ? part->crop->note.s : "");
    }
    add_block_jobs(m, stage, b, k);
}

/* ---- thinning ------------------------------------------------------------------------------ */

static void add_thinning(struct maker *m, int b, int k)
{
    const struct planting *p = m->plan->blocks[b].planting;
    const struct part *part = &p->parts[k];
    if (part->crop->planted_as.v > 0 || part->crop->drilled.v || part->sown <= part->per_station)
        return;
    const char *how;
    if (spots_of(p, part) > 1)
        how = words(
            m, "In steps, to one plant every %s; keep the strongest. Sow again where none came up.",
            length(m, p->pitch_m));
    else if (p->system == SYSTEM_HILLS && part->per_station > 1)
        how = words(m,
                    "Keep the strongest %d of each hill, evenly round the ring. Cut, do not pull. "
                    "Sow again where too few came up.",
                    part->per_station);
    else
        how = words(
            m, "Keep the strongest %s of each %s. Cut, do not pull. Sow again where none came up.",
            part->per_station == 1 ? "one" : words(m, "%d", part->per_station),
            p->system == SYSTEM_HILLS ? "hill" : "spot");
    int day = part->season.sow + THIN_AFTER_D;
    struct sheet_stage *stage = same_stage(m, STAGE_THIN, part->seed_index, day, "", how);
    if (!stage) {
        stage = new_stage(m, STAGE_THIN, day);
        stage->seed = part->seed_index;
        stage->title = words(m, "Thin %s", variety(m, part));
        stage->when = words(m, "when they have two or three true leaves, about %s", date(m, day));
        stage->how = how;
    }
    add_block_jobs(m, stage, b, k);
    for (struct sheet_job *job = stage->jobs; job; job = job->next)
        job->seeds = 0;
}

/* ---- mulch --------------------------------------------------------------------------------- */

/* A cover crop shades the ground itself. */
static bool has_cover(const struct planting *p)
{
    for (int k = 0; k < p->nparts; k++)
        if (p->parts[k].role == ROLE_COVER)
            return true;
    return false;
}

/* Straw 3 to 4 in deep (common practice), in round figures of the garden's units. */
static double mulch_m(const struct maker *m)
{
    return m->sheet->units == UNITS_US ? 3 * 0.0254 : 0.08;
}

static void add_mulch(struct maker *m)
{
    const struct plan *plan = m->plan;
    double area = 0;
    int day = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (has_cover(p))
            continue;
        area += block_area(&plan->blocks[b]);
        for (int k = 0; k < p->nparts; k++)
            day = day > p->parts[k].season.sow ? day : p->parts[k].season.sow;
    }
    if (area <= 0)
        return;
    struct sheet_stage *stage = new_stage(m, STAGE_MULCH, day + MULCH_AFTER_D);
    stage->title = "Mulch between the rows";
    stage->when = words(m, "once the soil is warm and plants are a hand high, about %s",
                        date(m, day + MULCH_AFTER_D));
    stage->how =
        words(m, "Weed, then lay %s of straw or leaves, kept off the stems: about %s in all.",
              length(m, mulch_m(m)), volume(m, area * mulch_m(m)));
    for (int b = 0; b < plan->nblocks; b++) {
        const char *what = plan->blocks[b].planting->label;
        struct sheet_job job = {.block = b, .part = -1};
        if (has_cover(plan->blocks[b].planting))
            continue;
        job.where = words(m, "%s, block %d: %s", plot_name(m, b), b + 1, what);
        add_job(m, stage, &job);
    }
}

/* ---- harvest ------------------------------------------------------------------------------- */

static const struct crop_result *result_of(const struct plan *plan, const struct seed *seed)
{
    for (int c = 0; c < plan->ncrops; c++)
        if (plan->crops[c].seed == seed)
            return &plan->crops[c];
    return NULL;
}

static void describe_harvest(struct maker *m, struct sheet_stage *stage, const struct part *part)
{
    const struct crop_result *r = result_of(m->plan, part->seed);
    const struct season *s = &part->season;
    stage->title = words(m, "Harvest %s", variety(m, part));
    stage->when =
        words(m, "ripe from about %s to %s", date(m, s->harvest_low), date(m, s->harvest_high));
    const char *basis = part->crop->yield_basis.s ? part->crop->yield_basis.s : "harvest";
    int head = (int)strcspn(basis, ","); /* behind a comma: how a sole stand was grown */
    if (r)
        stage->how = words(m, "Expect about %s (%s to %s) in all: %.*s.", about_mass(m, r->kg.typ),
                           about_mass(m, r->kg.low), about_mass(m, r->kg.high), head, basis);
    if (s->fit != SEASON_FITS)
        stage->note = words(m, "At risk: %s.", s->reason);
}

static void add_harvest(struct maker *m, int b, int k)
{
    const struct part *part = &m->plan->blocks[b].planting->parts[k];
    int day = part->season.harvest_low;
    struct sheet_stage *stage = NULL;
    for (int i = 0; i < m->sheet->nstages; i++) {
        struct sheet_stage *s = &m->sheet->stages[i];
        if (s->kind == STAGE_HARVEST && s->seed == part->seed_index && s->day == day)
            stage = s;
    }
    if (!stage) {
        stage = new_stage(m, STAGE_HARVEST, day);
        stage->seed = part->seed_index;
        describe_harvest(m, stage, part);
    }
    struct sheet_job job = {.block = b, .part = k};
    job.where =
        words(m, "%s, block %d: %s", plot_name(m, b), b + 1, m->plan->blocks[b].planting->label);
    add_job(m, stage, &job);
}

/* ---- before anything is sown --------------------------------------------------------------- */

static void add_line(struct maker *m, struct sheet_stage *stage, const char *text)
{
    struct sheet_job job = {.where = text, .block = -1, .part = -1};
    add_job(m, stage, &job);
}

/* How to measure a plot in, as far as words can say it. */
static const char *measure_plot(struct maker *m, const struct plot *plot)
{
    const char *stake = plot->origin.s ? plot->origin.s : "the corner where x and y begin";
    if (plot->outline.n > 0)
        return words(m, "%s: 0 of both tapes at %s; check the corners by the map", plot->name.s,
                     stake);
    return words(m,
                 "%s: 0 of both tapes at %s; x %s, y %s; it is square when both diagonals are %s",
                 plot->name.s, stake, length(m, plot->size.x), length(m, plot->size.y),
                 tape(m, hypot(plot->size.x, plot->size.y)));
}

static void add_ready(struct maker *m)
{
    const struct plan *plan = m->plan;
    int sow = 0, ripe = 0;
    bool any = false;
    double area = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        area += block_area(&plan->blocks[b]);
        for (int k = 0; k < p->nparts; k++, any = true) {
            const struct season *s = &p->parts[k].season;
            sow = any && sow < s->sow ? sow : s->sow;
            ripe = any && ripe < s->harvest_low ? ripe : s->harvest_low;
        }
    }
    if (!any)
        return;
    struct sheet_stage *stage = new_stage(m, STAGE_READY, sow - READY_BEFORE_D);
    stage->title = "Make the ground ready";
    stage->when = words(m, "before %s, when a handful of soil crumbles", date(m, sow));
    for (size_t i = 0; i < plan->garden->plots.n; i++)
        add_line(m, stage, measure_plot(m, garden_plot(plan->garden, i)));
    add_line(m, stage,
             "Have the soil tested: lead where people have lived or driven, and phosphorus");
    /* an inch a year is the most (University of Minnesota Extension) */
    bool us = m->sheet->units == UNITS_US;
    double compost_m = us ? 0.0127 : 0.01, most_m = us ? 0.0254 : 0.025;
    add_line(m, stage,
             words(m, "Compost, if the test allows: %s deep is %s; never over %s in a year",
                   length(m, compost_m), volume(m, area * compost_m), length(m, most_m)));
    add_line(m, stage,
             words(m, "Raw manure: none after %s, 120 days before the first harvest",
                   date(m, ripe - MANURE_BEFORE_D)));
}

/* ---- seed and cautions --------------------------------------------------------------------- */

static void add_seeds(struct maker *m)
{
    const struct plan *plan = m->plan;
    for (int c = 0; c < plan->ncrops; c++) {
        const struct seed *seed = plan->crops[c].seed;
        const struct crop *crop = seed->crop;
        struct sheet_seed *s = &m->sheet->seeds[m->sheet->nseeds++];
        *s =
            (struct sheet_seed){.seed = seed, .unit = map_piece_word(crop, 2), .in_hand = HUGE_VAL};
        s->sow = ceil(plan->crops[c].sown - 1e-9);
        double usable = garden_seed_count(plan->garden, seed);
        if (!isfinite(usable))
            continue;
        s->in_hand = seed->amount.v;
        if (seed->amount.kind == UNIT_MASS)
            s->in_hand = floor(crop->seeds_per_kg.set ? seed->amount.v * crop->seeds_per_kg.typ
                                                      : seed->amount.v / crop->piece_kg.typ);
        s->reserve = fmax(0, s->in_hand - usable);
        s->left = usable - s->sow;
    }
}

static void add_caution(struct maker *m, const char *text)
{
    struct sheet *sheet = m->sheet;
    for (int i = 0; i < sheet->ncautions; i++)
        if (strcmp(sheet->cautions[i], text) == 0)
            return;
    sheet->cautions[sheet->ncautions++] = text;
}

static void add_cautions_of(struct maker *m, const struct list *cautions)
{
    for (size_t i = 0; i < cautions->n; i++)
        add_caution(m, ((const struct caution *)cautions->items + i)->text.s);
}

/* Each only once, in the order of the blocks, then what holds everywhere. */
static hr_status add_cautions(struct maker *m)
{
    static const char *const general[] = {
        "Soil near old paint, traffic or treated wood may hold lead: test it before you eat from "
        "it, "
        "and ask the extension service what the figure means.",
        "Raw manure goes on at least 120 days before the harvest of what touches the soil and 90 "
        "days "
        "before any other (7 CFR 205.203(c), the US rule for organic growers).",
        "No railway ties and no old treated timber as edges or stakes.",
        "Local law, the rules of your garden and your extension service go before this sheet.",
    };
    const struct plan *plan = m->plan;
    const size_t ngeneral = sizeof general / sizeof *general;
    size_t most = ngeneral;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        most += p->guild ? p->guild->cautions.n : 0;
        for (int k = 0; k < p->nparts; k++)
            most += p->parts[k].crop->cautions.n;
    }
    m->sheet->cautions = ARENA_ARRAY(m->arena, const char *, most);
    if (!m->sheet->cautions)
        return HR_NOMEM;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (p->guild)
            add_cautions_of(m, &p->guild->cautions);
        for (int k = 0; k < p->nparts; k++)
            add_cautions_of(m, &p->parts[k].crop->cautions);
    }
    for (size_t i = 0; i < ngeneral; i++)
        add_caution(m, general[i]);
    return HR_OK;
}

/* ---- the whole ----------------------------------------------------------------------------- */

/* By day; on one day in the order they were made, which is that of the work. */
static void sort_stages(struct sheet *sheet)
{
    for (int i = 1; i < sheet->nstages; i++) {
        struct sheet_stage s = sheet->stages[i];
        int j = i;
        for (; j > 0 && sheet->stages[j - 1].day > s.day; j--)
            sheet->stages[j] = sheet->stages[j - 1];
        sheet->stages[j] = s;
    }
}

static void add_stages(struct maker *m)
{
    static void (*const adders[])(struct maker *, int, int) = {add_sowing, add_thinning,
                                                               add_harvest};
    add_ready(m);
    for (int b = 0; b < m->plan->nblocks; b++)
        add_hills(m, b);
    for (size_t i = 0; i < sizeof adders / sizeof *adders; i++)
        for (int b = 0; b < m->plan->nblocks; b++)
            for (int k = 0; k < m->plan->blocks[b].planting->nparts && !m->failed; k++)
                adders[i](m, b, k);
    add_mulch(m);
    sort_stages(m->sheet);
}

hr_status sheet_make(struct arena *arena, const struct plan *plan, struct sheet **out)
{
    struct sheet *sheet = ARENA_NEW(arena, struct sheet);
    struct maker m = {.arena = arena, .plan = plan, .sheet = sheet};
    m.symbols = map_symbols(arena, plan);
    if (!sheet || !m.symbols)
        return HR_NOMEM;
    *sheet = (struct sheet){.arena = arena, .plan = plan};
    sheet->units = (enum unit_system)plan->garden->units.v;
    size_t most = 2 + (size_t)plan->nblocks * (1 + 3 * STAND_PARTS_MAX);
    sheet->stages = ARENA_ARRAY(arena, struct sheet_stage, most);
    sheet->seeds = ARENA_ARRAY(arena, struct sheet_seed, (size_t)plan->ncrops);
    if (!sheet->stages || !sheet->seeds || add_cautions(&m) != HR_OK)
        return HR_NOMEM;
    add_stages(&m);
    add_seeds(&m);
    if (m.failed)
        return HR_NOMEM;
    *out = sheet;
    return HR_OK;
}
