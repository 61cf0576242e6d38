/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"
#include "sheet_maker.h"
#include "work.h"

#define THIN_AFTER_D 21 /* sowing: two or three true leaves (common practice) */

const char *const stage_names[STAGE_COUNT] = {
    [STAGE_READY] = "ready", [STAGE_HILLS] = "hills",     [STAGE_SOW] = "sow",
    [STAGE_THIN] = "thin",   [STAGE_EARTH] = "earth",     [STAGE_WEED] = "weed",
    [STAGE_MULCH] = "mulch", [STAGE_HARVEST] = "harvest", [STAGE_COVER] = "cover",
    [STAGE_FALL] = "fall",
};

/* ---- words --------------------------------------------------------------------------------- */

const char *maker_words(struct maker *m, const char *fmt, ...)
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

const char *maker_length(struct maker *m, double v)
{
    char buf[64];
    return maker_words(m, "%s", unit_length(buf, sizeof buf, v, m->sheet->units));
}

const char *maker_tape(struct maker *m, double v)
{
    char buf[64];
    return maker_words(m, "%s", unit_tape(buf, sizeof buf, v, m->sheet->units));
}

const char *maker_date(struct maker *m, int day)
{
    char buf[32];
    return maker_words(m, "%s", date_text(buf, sizeof buf, day));
}

const char *maker_dates(struct maker *m, int from, int to)
{
    if (from >= to)
        return maker_date(m, from);
    return maker_words(m, "%s to %s", maker_date(m, from), maker_date(m, to));
}

static const char *whole(struct maker *m, double v)
{
    char buf[64];
    return maker_words(m, "%s", num_grouped(buf, sizeof buf, ceil(v - 1e-9)));
}

/* An estimate, to two digits. */
static const char *mass_words(struct arena *arena, double kg, enum unit_system units)
{
    char buf[64];
    bool us = units == UNITS_US;
    double large = us ? kg / 0.45359237 : kg, small = us ? large * 16 : 1000 * kg;
    bool big = large >= 1;
    return arena_printf(arena, "%s %s",
                        num_text(buf, sizeof buf, num_round_sig(big ? large : small, 2)),
                        us ? (big ? "lb" : "oz") : (big ? "kg" : "g"));
}

static const char *about_mass(struct maker *m, double kg)
{
    const char *text = mass_words(m->arena, kg, m->sheet->units);
    m->failed = m->failed || !text;
    return text ? text : "";
}

/* "flint corn, Ember Ridge (F)" */
const char *maker_variety(struct maker *m, const struct part *part)
{
    const char *letter = m->symbols[part->seed_index].letter;
    return maker_words(m, "%s, %s (%s)", part->crop->name.s, part->seed->variety.s,
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

/* "25 min", "1.5 h" */
static const char *hours_words(struct arena *arena, double hours)
{
    char buf[64];
    if (hours < 0.95)
        return arena_printf(arena, "%s min",
                            num_fixed(buf, sizeof buf, 5 * fmax(1, round(hours * 12)), 0));
    double v = hours < 10 ? round(2 * hours) / 2 : round(hours);
    return arena_printf(arena, "%s h", num_text(buf, sizeof buf, v));
}

const char *sheet_time(struct arena *arena, const struct sheet_stage *stage)
{
    if (stage->hours <= 0)
        return "counted with the weeding";
    const char *words = hours_words(arena, stage->hours);
    const char *more = stage->apart                ? ", beside the plan's hours"
                       : stage->kind == STAGE_WEED ? " over the season"
                                                   : "";
    return words ? arena_printf(arena, "about %s%s", words, more) : NULL;
}

/* The fullest week, of the limit if there is one. */
static void say_week(struct strbuf *out, const struct sheet *sheet)
{
    const struct qty *limit = &sheet->plan->garden->limits.week_hours;
    struct work_week week = work_fullest(sheet->plan);
    char day[32], hours[64];
    strbuf_printf(out, " The fullest week, from %s, takes %s h",
                  date_text(day, sizeof day, week.from),
                  num_fixed(hours, sizeof hours, week.hours, 1));
    if (limit->set)
        strbuf_printf(out, " of the %s h there are", num_text(hours, sizeof hours, limit->v));
    strbuf_puts(out, ".");
}

const char *sheet_hours(const struct sheet *sheet)
{
    static const struct {
        enum stage_kind kind;
        const char *words;
    } rows[] = {{STAGE_HILLS, "building hills"},
                {STAGE_SOW, "sowing and planting"},
                {STAGE_WEED, "weeding, thinning and drawing up soil"},
                {STAGE_HARVEST, "harvest"}};
    const struct span *h = &sheet->plan->hours;
    double apart = 0;
    bool any = false;
    char low[64], high[64];
    struct strbuf b;
    strbuf_init(&b, sheet->arena);
    strbuf_puts(&b, "Typical hours: ");
    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
        double sum = 0;
        for (int i = 0; i < sheet->nstages; i++)
            sum += sheet->stages[i].kind == rows[r].kind ? sheet->stages[i].hours : 0;
        const char *words = sum > 0 ? hours_words(sheet->arena, sum) : "";
        b.failed = b.failed || !words;
        if (sum > 0 && words) {
            strbuf_printf(&b, "%s%s %s", any ? ", " : "", rows[r].words, words);
            any = true;
        }
    }
    for (int i = 0; i < sheet->nstages; i++)
        apart += sheet->stages[i].apart ? sheet->stages[i].hours : 0;
    const char *more = hours_words(sheet->arena, apart), *all = hours_words(sheet->arena, h->typ);
    if (b.failed || !more || !all)
        return NULL;
    if (!any)
        return "";
    strbuf_printf(
        &b, "; %s in all (%s to %s). Soil, compost, mulch and clearing take about %s more.", all,
        num_fixed(low, sizeof low, h->low, 0), num_fixed(high, sizeof high, h->high, 0), more);
    say_week(&b, sheet);
    return b.failed ? NULL : b.p;
}

const char *sheet_buy(const struct sheet *sheet, const struct sheet_seed *seed)
{
    char num[64];
    if (seed->buy <= 0)
        return "";
    num_grouped(num, sizeof num, seed->buy);
    if (seed->buy_kg <= 0)
        return arena_printf(sheet->arena, "%s %s", num, seed->unit);
    const char *mass = mass_words(sheet->arena, seed->buy_kg, sheet->units);
    return mass ? arena_printf(sheet->arena, "%s %s (%s)", num, seed->unit, mass) : NULL;
}

/* ---- stages and jobs ----------------------------------------------------------------------- */

struct sheet_stage *maker_stage(struct maker *m, enum stage_kind kind, int day)
{
    struct sheet *sheet = m->sheet; /* room for all was made with it */
    struct sheet_stage *stage = &sheet->stages[sheet->nstages++];
    *stage = (struct sheet_stage){.kind = kind, .day = day, .until = day, .seed = -1};
    stage->title = stage->when = stage->how = stage->note = stage->unit = stage->trigger = "";
    return stage;
}

struct sheet_stage *maker_same_stage(struct maker *m, enum stage_kind kind, int seed, int day,
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

void maker_job(struct maker *m, struct sheet_stage *stage, const struct sheet_job *job)
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

/* Says where a job of block b is: `place`, in the block's plot. */
static void put_place(struct maker *m, struct sheet_job *job, int b, const char *place)
{
    job->plot = block_zone(m, b)->plot;
    job->place = place;
    job->where =
        maker_words(m, "%s, %s", garden_plot(m->plan->garden, (size_t)job->plot)->name.s, place);
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

static const char *hills_place(struct maker *m, const struct sheet_job *job)
{
    int *numbers = ARENA_ARRAY(m->arena, int, (size_t)job->nstations);
    const char *ranges = NULL;
    for (int i = 0; numbers && i < job->nstations; i++)
        numbers[i] = atoi(m->plan->stations[job->stations[i]].id);
    if (numbers)
        ranges = sheet_ranges(m->arena, numbers, job->nstations);
    m->failed = m->failed || !ranges;
    return maker_words(m, "%s %s", job->nstations > 1 ? "hills" : "hill", ranges ? ranges : "");
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
    return maker_words(m, "%s %s, %s %s to %s; first at %s %s%s%s", across,
                       maker_tape(m, along_x ? line->y0 : line->x0), along, maker_tape(m, from),
                       maker_tape(m, to), along, maker_tape(m, along_x ? first->x_m : first->y_m),
                       job->nstations > 1 ? ", then every " : "",
                       job->nstations > 1 ? maker_length(m, p->pitch_m * every) : "");
}

/* A box to tick for each SHEET_HILLS of them. */
static void add_hill_jobs(struct maker *m, struct sheet_stage *stage, const struct sheet_job *all)
{
    for (int i = 0; i < all->nstations && !m->failed; i += SHEET_HILLS) {
        struct sheet_job job = *all;
        job.stations = all->stations + i;
        job.nstations = all->nstations - i < SHEET_HILLS ? all->nstations - i : SHEET_HILLS;
        job.seeds = all->seeds * job.nstations / all->nstations;
        put_place(m, &job, job.block, hills_place(m, &job));
        maker_job(m, stage, &job);
    }
}

void maker_block_jobs(struct maker *m, struct sheet_stage *stage, int b, int k)
{
    const struct plan *plan = m->plan;
    bool hills = plan->blocks[b].planting->system == SYSTEM_HILLS;
    int first = 0;
    while (first < plan->nlines && plan->lines[first].block != b)
        first++;
    int last = first;
    while (last + 1 < plan->nlines && plan->lines[last + 1].block == b)
        last++;
    if (hills && first < plan->nlines) {
        struct sheet_job job = {.block = b, .part = k};
        take_stations(m, &job, first, last);
        add_hill_jobs(m, stage, &job);
        return;
    }
    int together = stage->kind == STAGE_SOW ? 1 : last - first + 1; /* rows to a box */
    for (int l = first; first < plan->nlines && l <= last && !m->failed; l += together) {
        struct sheet_job job = {.block = b, .part = k};
        take_stations(m, &job, l, l + together - 1);
        if (m->failed || job.nstations == 0)
            continue;
        put_place(m, &job, b,
                  together == 1 ? maker_words(m, "row %d.%d", b + 1, plan->lines[l].index + 1)
                                : maker_words(m, "rows %d.1 to %d.%d", b + 1, b + 1, together));
        job.tape = together == 1 ? row_tape(m, &job, l) : NULL;
        maker_job(m, stage, &job);
    }
}

void maker_block_job(struct maker *m, struct sheet_stage *stage, int b, int k)
{
    struct sheet_job job = {.block = b, .part = k};
    put_place(m, &job, b,
              maker_words(m, "block %d: %s", b + 1, m->plan->blocks[b].planting->label));
    maker_job(m, stage, &job);
}

/* ---- hills --------------------------------------------------------------------------------- */

static void add_hills(struct maker *m, int b)
{
    const struct planting *p = m->plan->blocks[b].planting;
    if (p->system != SYSTEM_HILLS)
        return;
    const char *shape = p->guild && p->guild->shape.s ? p->guild->shape.s : "mound";
    const char *how =
        maker_words(m,
                    "%s across, %s high, %s from middle to middle; %s. Mark each middle by "
                    "the table before you dig.",
                    maker_length(m, p->hill_diameter_m), maker_length(m, p->hill_height_m),
                    maker_length(m, p->pitch_m), shape);
    int sow = p->parts[0].season.sow;
    struct work work = work_of(m->plan, b, 0, WORK_BUILD);
    struct sheet_stage *stage = maker_same_stage(m, STAGE_HILLS, -1, work.from, "", how);
    if (!stage) {
        stage = maker_stage(m, STAGE_HILLS, work.from);
        stage->until = work.to;
        stage->title = maker_words(m, "Build the hills for %s",
                                   p->guild ? p->guild->name.s : p->parts[0].crop->name.s);
        stage->when = maker_words(m, "in the week before %s, when the soil is dry enough to work",
                                  maker_date(m, sow));
        stage->how = how;
    }
    stage->hours += work.hours;
    maker_block_jobs(m, stage, b, -1);
}

/* ---- sowing -------------------------------------------------------------------------------- */

/* Why a crop is not sown before its day: "the late last frost", "8 days after the median last
 * frost". */
static const char *frost_reason(struct maker *m, const struct crop *crop)
{
    const char *frost = crop->frost.v >= FROST_TENDER ? "late last frost" : "median last frost";
    int d = (int)lround(crop->sow_from_d.typ);
    if (d == 0)
        return maker_words(m, "after the %s", frost);
    return maker_words(m, "%d day%s %s the %s", abs(d), abs(d) == 1 ? "" : "s",
                       d < 0 ? "before" : "after", frost);
}

/* Whether the day is the first on which the soil is warm enough, by the site's normals. */
static bool waits_for_soil(const struct maker *m, const struct part *part)
{
    const struct daily *d = m->plan->garden->site.daily;
    return d && part->crop->soil_min_c.set &&
           d->soil_c[daily_at(part->season.sow - 1)] < part->crop->soil_min_c.typ;
}

/* What its day comes from: the soil, the ground that is not free before, or the frost. */
static const char *sow_reason(struct maker *m, const struct planting *p, const struct part *part)
{
    if (p->slot == SLOT_SECOND)
        return "once its ground is free";
    if (waits_for_soil(m, part))
        return "when the soil is usually warm";
    if (part->season.sow > season_first_day(&m->plan->garden->site, part->crop, 0, &STAY_ALWAYS))
        return "once its ground is free";
    return frost_reason(m, part->crop);
}

static const char *sow_when(struct maker *m, const struct planting *p, const struct part *part)
{
    const struct season *s = &part->season;
    char num[64];
    const char *soil = "", *last = "";
    if (part->crop->soil_min_c.set) {
        double c = part->crop->soil_min_c.typ;
        bool us = m->sheet->units == UNITS_US;
        soil = maker_words(m, "; soil at least %s %s",
                           num_fixed(num, sizeof num, us ? 9 * c / 5 + 32 : c, 0), us ? "F" : "C");
    }
    if (s->sow_last > s->sow)
        last = maker_words(m, "; not after %s", maker_date(m, s->sow_last));
    if (*part->trigger)
        return maker_words(m, "%s; by the calendar about %s%s%s", part->trigger,
                           maker_date(m, s->sow), soil, last);
    if (part->delay_d > 0)
        return maker_words(m, "about %s%s%s", maker_date(m, s->sow), soil, last);
    return maker_words(m, "from %s (%s)%s%s", maker_date(m, s->sow), sow_reason(m, p, part), soil,
                       last);
}

int maker_spots(const struct planting *p, const struct part *part)
{
    const struct range *gap = &part->crop->sow_gap_m;
    if (p->system != SYSTEM_ROWS || !gap->set || gap->typ <= 0)
        return 1;
    return (int)fmax(1, round(p->pitch_m / gap->typ));
}

static const char *sow_how(struct maker *m, const struct planting *p, const struct part *part)
{
    const char *depth = maker_length(m, part->crop->depth_m.typ);
    double sown = ceil(part->sown - 1e-9);
    int spots = maker_spots(p, part);
    if (spots > 1) {
        double each = ceil(sown / spots - 1e-9);
        return maker_words(
            m, "%s %s every %s along the row, %s deep; thinned later to a plant every %s.",
            whole(m, each), map_piece_word(part->crop, each), maker_length(m, p->pitch_m / spots),
            depth, maker_length(m, p->pitch_m));
    }
    const char *n = maker_words(m, "%s %s", whole(m, sown), map_piece_word(part->crop, sown));
    const char *keep = sown > part->per_station && !part->crop->drilled.v
                           ? maker_words(m, "; %d kept later", part->per_station)
                           : "";
    if (p->system != SYSTEM_HILLS)
        return maker_words(m, "%s to a spot, %s deep%s.", n, depth, keep);
    if (part->ring_m <= 0)
        return maker_words(m, "%s in the middle of each hill, %s deep%s.", n, depth, keep);
    return maker_words(m, "%s to a hill, spread on a ring %s from its middle, %s deep%s.", n,
                       maker_length(m, part->ring_m), depth, keep);
}

static void add_sowing(struct maker *m, int b, int k)
{
    static const char *const verbs[] = {"Sow", "Plant", "Plant", "Plant", "Set out"};
    const struct planting *p = m->plan->blocks[b].planting;
    const struct part *part = &p->parts[k];
    const char *how = sow_how(m, p, part);
    int as = part->crop->planted_as.v;
    struct sheet_stage *stage =
        maker_same_stage(m, STAGE_SOW, part->seed_index, part->season.sow, part->trigger, how);
    if (!stage) {
        stage = maker_stage(m, STAGE_SOW, part->season.sow);
        stage->seed = part->seed_index;
        stage->title =
            maker_words(m, "%s %s", verbs[as >= 0 && as < 5 ? as : 0], maker_variety(m, part));
        stage->trigger = part->trigger;
        stage->when = sow_when(m, p, part);
        stage->how = how;
        stage->unit = map_piece_word(part->crop, 2);
        bool carried = k > 0 && part->role == ROLE_CLIMBER; /* its note speaks of stakes */
        const char *first = k > 0                    ? "Weed the ground first. "
                            : p->slot == SLOT_SECOND ? "Clear the first crop off and rake. "
                                                     : "";
        const char *note = part->crop->note.s && !carried ? part->crop->note.s : "";
        note = unit_words(m->arena, note, m->sheet->units);
        m->failed = m->failed || !note;
        stage->note = maker_words(m, "%s%s", first, note ? note : "");
    }
    stage->hours += work_of(m->plan, b, k, WORK_SOW).hours;
    maker_block_jobs(m, stage, b, k);
}

/* ---- thinning ------------------------------------------------------------------------------ */

static void add_thinning(struct maker *m, int b, int k)
{
    const struct planting *p = m->plan->blocks[b].planting;
    const struct part *part = &p->parts[k];
    if (part->crop->planted_as.v > 0 || part->crop->drilled.v || part->sown <= part->per_station)
        return;
    const char *how;
    if (maker_spots(p, part) > 1)
        how = maker_words(
            m, "In steps, to one plant every %s; keep the strongest. Sow again where none came up.",
            maker_length(m, p->pitch_m));
    else if (p->system == SYSTEM_HILLS && part->per_station > 1)
        how = maker_words(
            m,
            "Keep the strongest %d of each hill, evenly round the ring. Cut, do not pull. "
            "Sow again where too few came up.",
            part->per_station);
    else
        how = maker_words(
            m, "Keep the strongest %s of each %s. Cut, do not pull. Sow again where none came up.",
            part->per_station == 1 ? "one" : maker_words(m, "%d", part->per_station),
            p->system == SYSTEM_HILLS ? "hill" : "spot");
    int day = part->season.sow + THIN_AFTER_D;
    struct sheet_stage *stage = maker_same_stage(m, STAGE_THIN, part->seed_index, day, "", how);
    if (!stage) {
        stage = maker_stage(m, STAGE_THIN, day);
        stage->seed = part->seed_index;
        stage->title = maker_words(m, "Thin %s", maker_variety(m, part));
        stage->when =
            maker_words(m, "when they have two or three true leaves, about %s", maker_date(m, day));
        stage->how = how;
    }
    maker_block_jobs(m, stage, b, k);
    for (struct sheet_job *job = stage->jobs; job; job = job->next)
        job->seeds = 0;
}

/* ---- harvest ------------------------------------------------------------------------------- */

static const struct crop_result *result_of(const struct plan *plan, const struct seed *seed)
{
    for (int c = 0; c < plan->ncrops; c++)
        if (plan->crops[c].seed == seed)
            return &plan->crops[c];
    return NULL;
}

/* What still grows in the same ground must not suffer. */
static const char *harvest_order(const struct planting *p, int k)
{
    bool climbed = false, covered = false;
    for (int j = 0; j < p->nparts; j++) {
        bool later = p->parts[j].season.harvest_high > p->parts[k].season.harvest_low;
        climbed = climbed || (j != k && later && p->parts[j].role == ROLE_CLIMBER);
        covered = covered || (j != k && later && p->parts[j].role == ROLE_COVER);
    }
    if (p->parts[k].role == ROLE_SUPPORT && climbed)
        return "Leave the stalks standing until the climbers on them are in. Step over the vines.";
    return covered ? "Step over the vines." : "";
}

/* What part k of a block gives, typical, kg. */
static double part_kg(const struct plan *plan, int b, int k)
{
    double plant_kg[STAND_PARTS_MAX];
    int plants = 0;
    plan_plant_kg(&plan->blocks[b], plant_kg);
    for (int s = 0; s < plan->nstations; s++)
        plants += plan->stations[s].block == b ? plan->stations[s].plants[k] : 0;
    return plants * plant_kg[k];
}

/* What a harvest may give: of the variety as a whole, and how much of that here where it is
 * harvested more than once. */
static void expect_harvest(struct maker *m, struct sheet_stage *stage)
{
    const struct part *part =
        &m->plan->blocks[stage->jobs->block].planting->parts[stage->jobs->part];
    const struct crop_result *r = result_of(m->plan, part->seed);
    const char *basis = part->crop->yield_basis.s ? part->crop->yield_basis.s : "harvest";
    int head = (int)strcspn(basis, ","); /* behind a comma: how a sole stand was grown */
    const char *here = "";
    char num[64];
    double all = 0;
    for (int i = 0; i < m->sheet->nstages; i++) {
        const struct sheet_stage *s = &m->sheet->stages[i];
        all += s->kind == STAGE_HARVEST && s->seed == stage->seed ? s->kg : 0;
    }
    if (!r || part->seed->for_seed)
        return;
    if (all > stage->kg && stage->kg > 0)
        here = maker_words(m, ", of which some %s %% here",
                           num_text(num, sizeof num, num_round_sig(100 * stage->kg / all, 2)));
    stage->how =
        maker_words(m, "Expect about %s (%s to %s) in all%s: %.*s.", about_mass(m, r->kg.typ),
                    about_mass(m, r->kg.low), about_mass(m, r->kg.high), here, head, basis);
}

static void describe_harvest(struct maker *m, struct sheet_stage *stage, const struct planting *p,
                             int k)
{
    const struct part *part = &p->parts[k];
    const struct season *s = &part->season;
    stage->title = maker_words(m, "Harvest %s", maker_variety(m, part));
    stage->until = s->harvest_high;
    stage->when = maker_words(m, "ripe about %s", maker_dates(m, s->harvest_low, s->harvest_high));
    if (part->seed->for_seed) {
        stage->title = maker_words(m, "Gather seed of %s", maker_variety(m, part));
        stage->how =
            "Cut the stalks when most of the seed is dry and brown, and let them dry on under "
            "a roof; then rub it out, clean it and keep it dry and cool.";
    }
    const char *risk = s->fit != SEASON_FITS ? maker_words(m, "At risk: %s. ", s->reason) : "";
    stage->note = maker_words(m, "%s%s%s", risk, harvest_order(p, k), maker_second_year(m, part));
}

static void add_harvest(struct maker *m, int b, int k)
{
    const struct planting *p = m->plan->blocks[b].planting;
    const struct part *part = &p->parts[k];
    int day = part->season.harvest_low;
    struct sheet_stage *stage = NULL;
    for (int i = 0; i < m->sheet->nstages; i++) {
        struct sheet_stage *s = &m->sheet->stages[i];
        if (s->kind == STAGE_HARVEST && s->seed == part->seed_index && s->day == day)
            stage = s;
    }
    if (!stage) {
        stage = maker_stage(m, STAGE_HARVEST, day);
        stage->seed = part->seed_index;
        describe_harvest(m, stage, p, k);
    }
    stage->hours += work_of(m->plan, b, k, WORK_HARVEST).hours;
    stage->kg += part_kg(m->plan, b, k);
    maker_block_job(m, stage, b, k);
}

/* Which comes first: said with each, once they are in order. */
static void number_harvests(struct maker *m)
{
    int n = 0, of = 0;
    for (int i = 0; i < m->sheet->nstages; i++)
        of += m->sheet->stages[i].kind == STAGE_HARVEST;
    for (int i = 0; i < m->sheet->nstages; i++) {
        struct sheet_stage *stage = &m->sheet->stages[i];
        if (stage->kind != STAGE_HARVEST || m->failed)
            continue;
        stage->when = maker_words(m, "harvest %d of %d, %s", ++n, of, stage->when);
        expect_harvest(m, stage);
    }
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
    static void (*const of_block[])(struct maker *, int) = {add_hills, maker_weeding,
                                                            maker_earthing_up};
    static void (*const of_part[])(struct maker *, int, int) = {add_sowing, add_thinning,
                                                                add_harvest};
    maker_ready(m);
    for (size_t i = 0; i < sizeof of_part / sizeof *of_part; i++)
        for (int b = 0; b < m->plan->nblocks && !m->failed; b++) {
            bool stands = planting_standing(m->plan->blocks[b].planting);
            if (!stands)
                of_block[i](m, b);
            for (int k = 0; k < m->plan->blocks[b].planting->nparts && !m->failed; k++)
                if (!stands || of_part[i] == add_harvest)
                    of_part[i](m, b, k);
        }
    maker_mulch(m);
    maker_fall(m);
    sort_stages(m->sheet);
    number_harvests(m);
}

hr_status sheet_make(struct arena *arena, const struct plan *plan, struct sheet **out)
{
    struct sheet *sheet = ARENA_NEW(arena, struct sheet);
    struct maker m = {.arena = arena, .plan = plan, .sheet = sheet};
    m.symbols = map_symbols(arena, plan);
    if (!sheet || !m.symbols)
        return HR_NOMEM;
    *sheet = (struct sheet){.arena = arena, .plan = plan, .symbols = m.symbols};
    sheet->units = (enum unit_system)plan->garden->units.v;
    size_t most = 4 + (size_t)plan->nblocks * (3 + 3 * STAND_PARTS_MAX);
    sheet->stages = ARENA_ARRAY(arena, struct sheet_stage, most);
    sheet->seeds = ARENA_ARRAY(arena, struct sheet_seed, (size_t)plan->ncrops);
    if (!sheet->stages || !sheet->seeds || maker_cautions(&m) != HR_OK)
        return HR_NOMEM;
    add_stages(&m);
    maker_seeds(&m);
    if (m.failed)
        return HR_NOMEM;
    *out = sheet;
    return HR_OK;
}
