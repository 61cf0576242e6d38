/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan's harvest: what each crop gave against what was expected of the places weighed. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "review.h"

struct reckoning {
    struct review *review;
    const struct plan *plan;
    bool *weighed; /* station x part */
    bool *whole;   /* line x part: all its stations are marked, so that it is not done again */
    int *lines;    /* of each block: the first in plan->lines; one more at the end */
    const struct station **by_id;
    double *part_kg; /* block x part: typical, of one plant */
    bool skip_bad;
    struct diags *diags;
};

static size_t at_part(int index, int part)
{
    return (size_t)index * STAND_PARTS_MAX + (size_t)part;
}

/* ---- places --------------------------------------------------------------------------------- */

/* What a place of the log names: lines of a block, or a single station. */
struct place {
    int block, line, nlines;
    int station; /* when nlines is 0 */
};

/* Two whole numbers apart by a point, and nothing else. */
static bool two_numbers(const char *s, long *a, long *b)
{
    char *end;
    if (*s < '0' || *s > '9')
        return false;
    *a = strtol(s, &end, 10);
    if (*end != '.' || end[1] < '0' || end[1] > '9')
        return false;
    *b = strtol(end + 1, &end, 10);
    return *end == '\0';
}

/* A block: "b3" or "block 3". */
static bool block_named(const struct reckoning *k, const char *name, struct place *out)
{
    const char *digits = name;
    char *end;
    if ((name[0] == 'b' || name[0] == 'B') && name[1] >= '0' && name[1] <= '9')
        digits = name + 1;
    else if (strlen(name) > 6 && (name[0] == 'b' || name[0] == 'B') &&
             strncmp(name + 1, "lock ", 5) == 0)
        digits = name + 6;
    else
        return false;
    long b = strtol(digits, &end, 10);
    if (*end != '\0' || b < 1 || b > k->plan->nblocks)
        return false;
    *out = (struct place){.block = (int)b - 1, .line = k->lines[b - 1], .station = -1};
    out->nlines = k->lines[b] - out->line;
    return true;
}

/* A row: "3.2". */
static bool row_named(const struct reckoning *k, const char *name, struct place *out)
{
    long block, line;
    if (!two_numbers(name, &block, &line) || block < 1 || block > k->plan->nblocks || line < 1 ||
        line > k->lines[block] - k->lines[block - 1])
        return false;
    *out = (struct place){(int)block - 1, k->lines[block - 1] + (int)line - 1, 1, -1};
    return true;
}

static int id_order(const void *left, const void *right)
{
    const struct station *a = *(const struct station *const *)left;
    const struct station *b = *(const struct station *const *)right;
    return strcmp(a->id, b->id);
}

static int id_is(const void *name, const void *station)
{
    return strcmp(name, (*(const struct station *const *)station)->id);
}

/* A hill, or a spot of a row. */
static bool station_named(const struct reckoning *k, const char *name, struct place *out)
{
    const struct station *const *found =
        bsearch(name, k->by_id, (size_t)k->plan->nstations, sizeof(void *), id_is);
    if (!found)
        return false;
    *out = (struct place){(*found)->block, 0, 0, (int)(*found - k->plan->stations)};
    return true;
}

static bool place_find(const struct reckoning *k, const char *name, struct place *out)
{
    return row_named(k, name, out) || station_named(k, name, out) || block_named(k, name, out);
}

/* ---- lines ---------------------------------------------------------------------------------- */

static int part_named(const struct planting *p, const char *name)
{
    for (int k = 0; k < p->nparts; k++)
        if (str_same(p->parts[k].crop->name.s, name) || str_same(p->parts[k].seed->variety.s, name))
            return k;
    return -1;
}

static int result_of(const struct plan *plan, const struct seed *seed)
{
    for (int c = 0; c < plan->ncrops; c++)
        if (plan->crops[c].seed == seed)
            return c;
    return -1;
}

static struct review_yield *yield_of(struct review *r, int crop, int system)
{
    for (int i = 0; i < r->nyields; i++)
        if (r->yields[i].crop == crop && r->yields[i].system == system)
            return &r->yields[i];
    r->yields[r->nyields] = (struct review_yield){.crop = crop, .system = system};
    return &r->yields[r->nyields++];
}

/* Notes which stations a weight came from. */
static void mark(struct reckoning *k, const struct place *place, int part)
{
    if (place->nlines == 0)
        k->weighed[at_part(place->station, part)] = true;
    for (int l = place->line; l < place->line + place->nlines; l++) {
        const struct line *line = &k->plan->lines[l];
        if (k->whole[at_part(l, part)])
            continue;
        k->whole[at_part(l, part)] = true;
        for (int s = line->first; s < line->first + line->n; s++)
            k->weighed[at_part(s, part)] = true;
    }
}

static void row_use(struct reckoning *k, struct weighing *row)
{
    struct place place;
    const struct plan *plan = k->plan;
    if (!place_find(k, row->place, &place)) {
        harvest_fault(row, k->skip_bad, k->diags, row->place_at, "log-place",
                      "the plan has no `%.80s`: write a hill's number, a row such as 2.1 or a "
                      "block such as b2",
                      row->place);
        return;
    }
    const struct planting *p = plan->blocks[place.block].planting;
    int part = part_named(p, row->crop);
    int crop = part >= 0 ? result_of(plan, p->parts[part].seed) : -1;
    if (crop < 0 || crop >= REVIEW_CROPS_MAX) {
        harvest_fault(row, k->skip_bad, k->diags, row->crop_at, "log-crop",
                      "no `%.80s` stands in %.80s: that is %s", row->crop, row->place, p->label);
        return;
    }
    k->review->estimates[crop].kg += row->kg;
    yield_of(k->review, crop, (int)p->system)->kg += row->kg;
    mark(k, &place, part);
    k->review->rows++;
}

/* ---- what was expected of them -------------------------------------------------------------- */

static void plants_reckon(struct reckoning *k)
{
    for (int b = 0; b < k->plan->nblocks; b++) {
        const struct block *block = &k->plan->blocks[b];
        struct stand_figures figures[STAND_PARTS_MAX];
        struct stand_mixture mix;
        stand_mixture_typical(&mix);
        for (int i = 0; i < block->planting->nparts; i++)
            stand_figures_typical(block->planting->parts[i].crop, &figures[i]);
        planting_plant_kg(block->planting, figures, &mix, block->light, &k->part_kg[at_part(b, 0)]);
    }
}

/* Adds the ground and the typical harvest of every station weighed. */
static void stations_reckon(struct reckoning *k, double *typical)
{
    const struct plan *plan = k->plan;
    for (int s = 0; s < plan->nstations; s++) {
        const struct station *station = &plan->stations[s];
        const struct planting *p = plan->blocks[station->block].planting;
        for (int i = 0; i < p->nparts; i++) {
            if (!k->weighed[at_part(s, i)])
                continue;
            int crop = result_of(plan, p->parts[i].seed);
            typical[crop] += station->plants[i] * k->part_kg[at_part(station->block, i)];
            yield_of(k->review, crop, (int)p->system)->area_m2 += p->pitch_m * p->line_m;
        }
    }
}

static void estimates_settle(struct reckoning *k, const double *typical)
{
    struct review *r = k->review;
    int n = 0;
    for (int c = 0; c < r->ncrops; c++) {
        struct review_estimate e = r->estimates[c];
        const struct span *all = &k->plan->crops[c].kg;
        if (!(typical[c] > 0) || !(all->typ > 0))
            continue;
        e.crop = c;
        e.treatment = -1;
        e.share = fmin(1, typical[c] / all->typ);
        e.expected = (struct span){e.share * all->low, e.share * all->typ, e.share * all->high};
        e.verdict = review_verdict(e.kg, &e.expected);
        r->estimates[n++] = e;
    }
    r->nestimates = n;
}

/* Land equivalent of the guild's hills: each crop by what it gave in rows of its own, if every one
 * of them was weighed there. Hills hold a crop on ground that all parts share. */
static void lers_settle(struct reckoning *k)
{
    struct review *r = k->review;
    for (int system = SYSTEM_HILLS; system <= SYSTEM_ROW_GUILD; system++) {
        struct review_ler ler = {.treatment = system};
        int crops = 0;
        bool whole = system != SYSTEM_ROWS;
        for (int i = 0; i < r->nyields && whole; i++) {
            const struct review_yield *y = &r->yields[i], *sole = NULL;
            if (y->system != system)
                continue;
            for (int j = 0; j < r->nyields; j++)
                if (r->yields[j].crop == y->crop && r->yields[j].system == SYSTEM_ROWS)
                    sole = &r->yields[j];
            whole = sole && sole->kg > 0 && sole->area_m2 > 0 && y->area_m2 > 0;
            if (!whole)
                break;
            ler.partial[y->crop] = y->kg / y->area_m2 / (sole->kg / sole->area_m2);
            ler.ler += ler.partial[y->crop];
            crops++;
        }
        if (whole && crops > 1)
            r->lers[r->nlers++] = ler;
    }
}

/* Lines are in the order of their blocks. false: out of memory. */
static bool places_index(struct reckoning *k, struct arena *arena)
{
    const struct plan *plan = k->plan;
    k->lines = ARENA_ARRAY(arena, int, (size_t)plan->nblocks + 1);
    k->by_id = ARENA_ARRAY(arena, const struct station *, (size_t)plan->nstations);
    if (!k->lines || !k->by_id)
        return false;
    for (int b = 0; b < plan->nblocks; b++)
        k->lines[b + 1] = k->lines[b] + plan->blocks[b].lines;
    for (int s = 0; s < plan->nstations; s++)
        k->by_id[s] = &plan->stations[s];
    qsort(k->by_id, (size_t)plan->nstations, sizeof(void *), id_order);
    return true;
}

static hr_status reckoning_init(struct reckoning *k, struct arena *arena, const struct plan *plan)
{
    struct review *r = k->review = ARENA_NEW(arena, struct review);
    k->plan = plan;
    k->weighed = ARENA_ARRAY(arena, bool, at_part(plan->nstations, 0));
    k->part_kg = ARENA_ARRAY(arena, double, at_part(plan->nblocks, 0));
    k->whole = ARENA_ARRAY(arena, bool, at_part(plan->nlines, 0));
    if (!r || !k->weighed || !k->part_kg || !k->whole || !places_index(k, arena))
        return HR_NOMEM;
    *r = (struct review){.arena = arena, .kind = REVIEW_PLAN, .title = plan->garden->name.s};
    r->id = plan->id;
    r->units = (enum unit_system)plan->garden->units.v;
    r->ncrops = plan->ncrops < REVIEW_CROPS_MAX ? plan->ncrops : REVIEW_CROPS_MAX;
    r->estimates = ARENA_ARRAY(arena, struct review_estimate, REVIEW_CROPS_MAX);
    r->yields = ARENA_ARRAY(arena, struct review_yield, REVIEW_CROPS_MAX * SYSTEM_COUNT);
    for (int s = 0; s < SYSTEM_COUNT; s++)
        r->treatments[r->ntreatments++] = system_names[s];
    for (int c = 0; c < r->ncrops; c++)
        r->crops[c] = plan->crops[c].seed->crop->name.s;
    return r->estimates && r->yields ? HR_OK : HR_NOMEM;
}

hr_status review_plan(struct arena *arena, struct harvest *log, const struct plan *plan,
                      bool skip_bad, struct diags *diags, struct review **out)
{
    struct reckoning k = {.skip_bad = skip_bad, .diags = diags};
    double typical[REVIEW_CROPS_MAX] = {0};
    hr_status status = reckoning_init(&k, arena, plan);
    if (status != HR_OK)
        return status;
    for (size_t i = 0; i < log->n; i++)
        if (!log->rows[i].bad)
            row_use(&k, &log->rows[i]);
    status = review_lines(k.review, log, skip_bad, diags);
    if (status != HR_OK)
        return status;
    plants_reckon(&k);
    stations_reckon(&k, typical);
    estimates_settle(&k, typical);
    lers_settle(&k);
    *out = k.review;
    return HR_OK;
}
