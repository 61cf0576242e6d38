/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of the gardener's terms: wishes, shares, hours, seed, blocks, shade. See program.h. */
#include "program_work.h"

#include <limits.h>
#include <math.h>
#include <string.h>

#include "haul.h"
#include "isolation.h"
#include "labour.h"
#include "standing.h"

/* ---- totals as coefficients ---------------------------------------------------------------- */

struct coef program_per_line(const struct program *m, int i, double odd, double even)
{
    return (struct coef){even, odd - even, 0, odd / m->menu->items[i].stations[0]};
}

void program_add(struct program *m, int row, int i, struct coef c, double scale)
{
    struct mip *mip = &m->mip;
    mip_add(mip, row, m->col_n[i], c.n * scale);
    if (m->col_q[i] >= 0)
        mip_add(mip, row, m->col_q[i], c.q * scale);
    mip_add(mip, row, m->col_y[i], c.y * scale);
    if (m->col_s[i] >= 0)
        mip_add(mip, row, m->col_s[i], c.s * scale);
}

struct coef program_energy(const struct program *m, int i)
{
    const struct item *item = &m->menu->items[i];
    return program_per_line(m, i, item->food[0].energy_kcal, item->food[1].energy_kcal);
}

/* Share of an item's food energy that comes from parts of one crop, as a total. */
static struct coef crop_energy(const struct program *m, int i, const char *crop)
{
    const struct item *item = &m->menu->items[i];
    const struct planting *p = program_planting(m, i);
    double kcal[2] = {0, 0};
    for (int k = 0; k < p->nparts; k++) {
        if (strcmp(p->parts[k].crop->name.s, crop) != 0)
            continue;
        double rate = food_rate_typical(p->parts[k].crop).energy_kcal;
        for (int kind = 0; kind < 2; kind++)
            kcal[kind] += rate * item->kg[k][kind];
    }
    return program_per_line(m, i, kcal[0], kcal[1]);
}

struct coef program_area(const struct program *m, int i, double share)
{
    const struct planting *p = program_planting(m, i);
    double line = m->menu->items[i].length_m * share;
    return (struct coef){.n = p->line_m * line,
                         .y = (p->first_m - p->line_m) * line,
                         .s = p->first_m * p->pitch_m * share};
}

/* Share of the parts that are this crop: ground of a guild is split evenly among its parts. */
static double crop_share(const struct planting *p, const char *crop)
{
    int found = 0;
    for (int k = 0; k < p->nparts; k++)
        found += strcmp(p->parts[k].crop->name.s, crop) == 0;
    return (double)found / p->nparts;
}

/* full: kg in the light of the site. */
static struct coef wish_amount(const struct program *m, int i, const struct wish *wish,
                               enum unit_kind kind, bool full)
{
    const struct item *item = &m->menu->items[i];
    const struct planting *p = program_planting(m, i);
    struct coef sum = {0};
    for (int k = 0; k < p->nparts; k++) {
        if (!planting_wished(p, k, program_zone(m, i)->plot, wish))
            continue;
        struct coef c = {0};
        double rate = food_rate_typical(p->parts[k].crop).energy_kcal;
        const double *kg = full ? item->full_kg[k] : item->kg[k];
        if (kind == UNIT_MASS)
            c = program_per_line(m, i, kg[0], kg[1]);
        else if (kind == UNIT_COUNT && wish->guild.s) /* its hills, once */
            c = k > 0 || p->system != SYSTEM_HILLS
                    ? c
                    : program_per_line(m, i, item->stations[0], item->stations[1]);
        else if (kind == UNIT_COUNT)
            c = program_per_line(m, i, item->plants[k][0], item->plants[k][1]);
        else if (kind == UNIT_AREA)
            c = program_area(m, i, 1.0 / p->nparts);
        else if (kind == UNIT_SHARE)
            c = program_per_line(m, i, rate * item->kg[k][0], rate * item->kg[k][1]);
        sum = (struct coef){sum.n + c.n, sum.q + c.q, sum.y + c.y, sum.s + c.s};
    }
    return sum;
}

struct coef program_wish_amount(const struct program *m, int i, const struct wish *wish,
                                enum unit_kind kind)
{
    return wish_amount(m, i, wish, kind, false);
}

/* ---- rows: the gardener's terms ------------------------------------------------------------ */

/* at least, at most: of kg, plants, m2; a share of energy is compared with the whole */
static void row_wish(struct program *m, const struct term *term)
{
    const struct wish *wish = garden_wish(m->garden, (size_t)term->index);
    bool least = term->kind == TERM_AT_LEAST;
    const struct amount *a = least ? &wish->at_least : &wish->at_most;
    bool share = a->kind == UNIT_SHARE;
    bool grown = a->kind == UNIT_MASS || share; /* shade will take some of that */
    double most = least && grown ? a->v * (1 + m->margin) : a->v;
    double ration = m->garden->ration.energy_kcal.v;
    double stands = standing_wish(m->menu, m->zones, wish, a->kind, !least) / (share ? ration : 1);
    double side = (share ? 0 : most) - stands;
    const double none = HUGE_VAL;
    int row = mip_row(&m->mip, least ? side : -none, least ? none : side, "%s_%d",
                      least ? "least" : "wishmost", term->index + 1);
    for (int i = 0; i < m->menu->nitems; i++)
        program_add(m, row, i, wish_amount(m, i, wish, a->kind, !least), share ? 1 / ration : 1);
    if (share)
        mip_add(&m->mip, row, m->col_e, -most);
}

/* share: no crop brings more of the energy, or takes more of the ground */
static void rows_share(struct program *m, const struct term *term)
{
    bool energy = term->kind == TERM_SHARE_ENERGY;
    const struct limits *limits = &m->garden->limits;
    double most =
        energy ? limits->share_energy.v * (1 - fmin(m->margin, 0.5)) : limits->share_area.v;
    for (size_t s = 0; s < m->garden->seed.n; s++) {
        const char *crop = garden_seed(m->garden, s)->crop->name.s;
        bool seen = false;
        for (size_t r = 0; r < s && !seen; r++)
            seen = strcmp(garden_seed(m->garden, r)->crop->name.s, crop) == 0;
        if (seen)
            continue;
        double stands = energy ? standing_energy(m->menu, crop) / m->garden->ration.energy_kcal.v
                               : standing_area(m->menu, crop);
        int row = mip_row(&m->mip, -HUGE_VAL, 0 - stands, "share_%s_%d", energy ? "energy" : "area",
                          (int)s + 1);
        for (int i = 0; i < m->menu->nitems; i++) {
            if (energy)
                program_add(m, row, i, crop_energy(m, i, crop),
                            1 / m->garden->ration.energy_kcal.v);
            else
                program_add(m, row, i, program_area(m, i, crop_share(program_planting(m, i), crop)),
                            1);
        }
        mip_add(&m->mip, row, energy ? m->col_e : m->col_a, -most);
    }
}

static void row_hours(struct program *m)
{
    int row =
        mip_row(&m->mip, -HUGE_VAL, m->garden->limits.hours.v - standing_hours(m->menu), "hours");
    for (int i = 0; i < m->menu->nitems; i++) {
        const double *h = m->menu->items[i].hours;
        program_add(m, row, i, program_per_line(m, i, h[0], h[1]), 1);
    }
}

/* Adds to week[w] what a line of the item takes of hours in week w. */
static void week_hours(const struct program *m, int i, int kind, double week[LABOUR_WEEKS])
{
    const struct item *item = &m->menu->items[i];
    const struct planting *p = program_planting(m, i);
    for (int k = 0; k < p->nparts; k++)
        for (enum work_kind job = 0; job < WORK_COUNT; job++) {
            struct labour l = labour_of(p, k, job);
            double hours = l.station_h * item->stations[kind] + l.kg_h * item->full_kg[k][kind];
            for (int d = l.from; d <= l.to && hours > 0; d++)
                week[(d - LABOUR_FROM) / 7] += hours / (l.to - l.from + 1);
        }
}

/* What the harvest of what stands already leaves of the hours of week w. */
static double week_left(const struct program *m, int w)
{
    int from = LABOUR_FROM + 7 * w;
    return m->garden->limits.week_hours.v - standing_hours_between(m->menu, from, from + 6);
}

/* week: hours of any one week */
static void rows_week(struct program *m)
{
    double odd[LABOUR_WEEKS], even[LABOUR_WEEKS];
    int rows[LABOUR_WEEKS];
    for (int w = 0; w < LABOUR_WEEKS; w++)
        rows[w] = -1;
    for (int i = 0; i < m->menu->nitems; i++) {
        memset(odd, 0, sizeof odd);
        memset(even, 0, sizeof even);
        week_hours(m, i, 0, odd);
        week_hours(m, i, 1, even);
        for (int w = 0; w < LABOUR_WEEKS; w++) {
            if (odd[w] <= 0 && even[w] <= 0)
                continue;
            if (rows[w] < 0)
                rows[w] = mip_row(&m->mip, -HUGE_VAL, week_left(m, w), "week_%d", w + 1);
            program_add(m, rows[w], i, program_per_line(m, i, odd[w], even[w]), 1);
        }
    }
    for (int w = 0; w < LABOUR_WEEKS; w++)
        if (rows[w] < 0 && week_left(m, w) < 0) /* too much without anything planted */
            mip_row(&m->mip, -HUGE_VAL, week_left(m, w), "week_%d", w + 1);
}

/* compost: no more ground than it dresses once; a second crop's ground has had it */
static void row_compost(struct program *m)
{
    const struct garden *g = m->garden;
    double depth_m = haul_depth_m(HAUL_COMPOST, (enum unit_system)g->units.v);
    int row = mip_row(&m->mip, -HUGE_VAL, g->limits.compost_m3.v, "compost");
    for (int i = 0; i < m->menu->nitems; i++)
        if (program_planting(m, i)->slot != SLOT_SECOND)
            program_add(m, row, i, program_area(m, i, 1), depth_m);
}

/* mulch: no more ground is left open by vines than it covers */
static void row_mulch(struct program *m)
{
    const struct garden *g = m->garden;
    double depth_m = haul_depth_m(haul_beds(g), (enum unit_system)g->units.v);
    int row = mip_row(&m->mip, -HUGE_VAL, g->limits.mulch_m3.v, "mulch");
    for (int i = 0; i < m->menu->nitems; i++)
        if (!planting_covers(program_planting(m, i)))
            program_add(m, row, i, program_area(m, i, 1), depth_m);
}

/* seed: no more sown than there is */
static void row_seed(struct program *m, const struct term *term)
{
    const struct seed *seed = garden_seed(m->garden, (size_t)term->index);
    int row =
        mip_row(&m->mip, -HUGE_VAL, garden_seed_count(m->garden, seed), "seed_%d", term->index + 1);
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct planting *p = program_planting(m, i);
        for (int k = 0; k < p->nparts; k++)
            if (p->parts[k].seed_index == term->index)
                program_add(m, row, i,
                            program_per_line(m, i, m->menu->items[i].sown[k][0],
                                             m->menu->items[i].sown[k][1]),
                            1);
    }
}

/* blocks: at most so many a zone */
static void rows_blocks(struct program *m)
{
    m->blocks_row = m->mip.nrows;
    for (size_t z = 0; z < m->zones->n; z++) {
        int row = mip_row(&m->mip, -HUGE_VAL, garden_blocks(m->garden), "blocks_%s",
                          m->zones->items[z].name);
        for (int i = 0; i < m->menu->nitems; i++)
            if (m->menu->items[i].zone == (int)z) {
                mip_add(&m->mip, row, m->col_y[i], 1);
                mip_add(&m->mip, row, m->col_w[i], 1);
            }
    }
}

int program_blocks(const struct program *m)
{
    for (int t = 0; t < m->nterms; t++)
        if (m->terms[t].kind == TERM_BLOCKS && !m->terms[t].on)
            return INT_MAX;
    return garden_blocks(m->garden);
}

/* uses: u_vp is 1 where an item of plot p has a part of variety v. Made when first asked for. */
static int grows_in(struct program *m, int seed, size_t plot)
{
    struct mip *mip = &m->mip;
    int *u = &m->col_u[(size_t)seed * m->garden->plots.n + plot];
    if (*u >= 0)
        return *u;
    *u = mip_column(mip, MIP_BINARY, 0, 1, 0, "u_%d_P%zu", seed + 1, plot + 1);
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct planting *p = program_planting(m, i);
        bool part = false;
        for (int k = 0; k < p->nparts; k++)
            part |= p->parts[k].seed_index == seed;
        if (!part || program_zone(m, i)->plot != (int)plot)
            continue;
        int row = mip_row(mip, -HUGE_VAL, 0, "uses_%d_%s_%d", seed + 1, program_zone(m, i)->name,
                          m->menu->items[i].planting + 1);
        mip_add(mip, row, m->col_y[i], 1);
        mip_add(mip, row, *u, -1);
        if (m->col_w[i] < 0)
            continue;
        row = mip_row(mip, -HUGE_VAL, 0, "usesw_%d_%s_%d", seed + 1, program_zone(m, i)->name,
                      m->menu->items[i].planting + 1);
        mip_add(mip, row, m->col_w[i], 1);
        mip_add(mip, row, *u, -1);
    }
    return *u;
}

/* apart: where a variety is grown for seed, none that it crosses with stands within its isolation
 * distance */
static void rows_save(struct program *m, int saved)
{
    const struct garden *g = m->garden;
    double apart_m = garden_seed(g, (size_t)saved)->crop->isolation_m.typ;
    for (int other = 0; other < (int)g->seed.n; other++) {
        if (!isolation_crosses(g, m->menu, saved, other))
            continue;
        for (size_t p = 0; p < g->plots.n; p++)
            for (size_t q = 0; q < g->plots.n; q++) {
                if (isolation_distance(g, p, q, m->arena) >= apart_m)
                    continue;
                bool stands = garden_seed(g, (size_t)other)->standing;
                if (stands && !standing_in(m->menu, m->zones, other, q))
                    continue;
                int a = grows_in(m, saved, p), b = stands ? -1 : grows_in(m, other, q);
                int row = mip_row(&m->mip, -HUGE_VAL, stands ? 0 : 1, "apart_%d_P%zu_%d_P%zu",
                                  saved + 1, p + 1, other + 1, q + 1);
                mip_add(&m->mip, row, a, 1);
                mip_add(&m->mip, row, b, 1);
            }
    }
}

/* setback: lines that have to keep so far from a neighbour, or farther, fit into what is left of
 * the zone (the lowest crops of them last); of crops that follow one another each time of the year
 * by itself. part: an item that takes part in the shared line and keeps as far, -1: none; by its
 * own depth (which is tight), and by that of the shared line. */
static void rows_keep_with(struct program *m, const struct setback *b, const char *name, int i,
                           int end, int part)
{
    const struct item *items = m->menu->items;
    const struct zone *zone = program_zone(m, i);
    double keep = b->keep[i - b->first][end], room = fmax(zone->depth_m - keep, 0) + 1e-9;
    for (int whole = part < 0; whole < 2; whole++)
        for (enum slot slot = SLOT_FIRST; slot <= (m->menu->nturns > 0 ? SLOT_SECOND : SLOT_FIRST);
             slot++) {
            bool deep = part >= 0 && whole;
            int row = mip_row(&m->mip, -HUGE_VAL, room + (deep ? zone->depth_m : 0), "%s_%d_%d%s%s",
                              name, items[i].planting + 1, part < 0 ? 0 : items[part].planting + 1,
                              deep ? "d" : "", slot == SLOT_SECOND ? "s" : "");
            for (int j = b->first; j < b->first + b->n; j++) {
                const struct planting *p = program_planting(m, j);
                if (items[j].zone == items[i].zone && b->keep[j - b->first][end] >= keep &&
                    (p->slot == SLOT_WHOLE || p->slot == slot))
                    program_add(m, row, j, (struct coef){p->line_m, 0, p->first_m - p->line_m, 0},
                                1);
            }
            if (part < 0)
                continue;
            mip_add(&m->mip, row, m->col_w[part],
                    deep ? zone->depth_m : program_planting(m, part)->first_m);
            mip_add(&m->mip, row, m->col_d[items[i].zone], deep);
        }
}

static void rows_keep(struct program *m, int setback, int i, int end)
{
    const struct setback *b = &m->menu->setbacks[setback];
    const struct item *items = m->menu->items;
    double keep = b->keep[i - b->first][end];
    for (int j = b->first; j < i; j++)
        if (items[j].zone == items[i].zone && b->keep[j - b->first][end] == keep)
            return; /* the same rows */
    const char *name = arena_printf(m->arena, "setback%d%c_%s", setback + 1, end ? 'b' : 'a',
                                    program_zone(m, i)->name);
    if (!name)
        name = "setback";
    rows_keep_with(m, b, name, i, end, -1);
    for (int j = b->first; j < b->first + b->n; j++)
        if (items[j].zone == items[i].zone && b->keep[j - b->first][end] >= keep &&
            m->col_w[j] >= 0)
            rows_keep_with(m, b, name, i, end, j);
}

/* shade: what the lines take of the neighbour's light where they take least; only once an
 * arrangement has taken too much */
static void row_shade(struct program *m, int setback, const struct setback *b)
{
    int row = mip_row(&m->mip, -HUGE_VAL, b->most, "shade_%d", setback + 1);
    for (int i = b->first; i < b->first + b->n; i++) {
        double loss = b->loss[i - b->first];
        program_add(m, row, i, program_per_line(m, i, loss, loss), 1);
    }
}

static void rows_setback(struct program *m, const struct term *term)
{
    const struct setback *b = &m->menu->setbacks[term->index];
    for (int i = b->first; i < b->first + b->n; i++)
        for (int end = 0; end < 2; end++)
            if (b->keep[i - b->first][end] > 0)
                rows_keep(m, term->index, i, end);
    if (isfinite(b->most))
        row_shade(m, term->index, b);
}

void program_term(struct program *m, const struct term *term)
{
    switch (term->kind) {
    case TERM_AT_LEAST:
    case TERM_AT_MOST:
        row_wish(m, term);
        break;
    case TERM_SHARE_ENERGY:
    case TERM_SHARE_AREA:
        rows_share(m, term);
        break;
    case TERM_HOURS:
        row_hours(m);
        break;
    case TERM_WEEK:
        rows_week(m);
        break;
    case TERM_COMPOST:
        row_compost(m);
        break;
    case TERM_MULCH:
        row_mulch(m);
        break;
    case TERM_SEED:
        row_seed(m, term);
        break;
    case TERM_SAVE:
        rows_save(m, term->index);
        break;
    case TERM_BLOCKS:
        rows_blocks(m);
        break;
    case TERM_SHADE:
        rows_setback(m, term);
        break;
    }
}

static void term_add(struct program *m, enum term_kind kind, size_t index, struct pos at)
{
    m->terms[m->nterms++] = (struct term){.kind = kind, .index = (int)index, .at = at, .on = true};
}

hr_status program_list_terms(struct program *m)
{
    const struct garden *g = m->garden;
    m->terms = ARENA_ARRAY(m->arena, struct term,
                           2 * g->wishes.n + 2 * g->seed.n + 7 + (size_t)m->menu->nsetbacks);
    if (!m->terms)
        return HR_NOMEM;
    for (size_t w = 0; w < g->wishes.n; w++) {
        const struct wish *wish = garden_wish(g, w);
        if (wish->at_least.set)
            term_add(m, TERM_AT_LEAST, w, wish->at_least.at);
        if (wish->at_most.set)
            term_add(m, TERM_AT_MOST, w, wish->at_most.at);
    }
    if (g->limits.share_energy.set)
        term_add(m, TERM_SHARE_ENERGY, 0, g->limits.share_energy.at);
    if (g->limits.share_area.set)
        term_add(m, TERM_SHARE_AREA, 0, g->limits.share_area.at);
    if (g->limits.hours.set)
        term_add(m, TERM_HOURS, 0, g->limits.hours.at);
    if (g->limits.week_hours.set)
        term_add(m, TERM_WEEK, 0, g->limits.week_hours.at);
    if (g->limits.compost_m3.set)
        term_add(m, TERM_COMPOST, 0, g->limits.compost_m3.at);
    if (g->limits.mulch_m3.set)
        term_add(m, TERM_MULCH, 0, g->limits.mulch_m3.at);
    term_add(m, TERM_BLOCKS, 0, g->limits.blocks.set ? g->limits.blocks.at : g->at);
    for (size_t s = 0; s < g->seed.n; s++)
        if (isfinite(garden_seed_count(g, garden_seed(g, s))))
            term_add(m, TERM_SEED, s, garden_seed(g, s)->at);
    for (size_t s = 0; s < g->seed.n; s++)
        if (garden_seed(g, s)->save.v && garden_seed(g, s)->crop->isolation_m.set)
            term_add(m, TERM_SAVE, s, garden_seed(g, s)->save.at);
    for (int b = 0; b < m->menu->nsetbacks; b++)
        term_add(m, TERM_SHADE, (size_t)b, m->menu->setbacks[b].neighbour->edge->shade.at);
    return HR_OK;
}
