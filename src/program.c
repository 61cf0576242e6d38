/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "program_work.h"

#include <math.h>
#include <string.h>

#include "standing.h"

const struct planting *program_planting(const struct program *m, int item)
{
    return &m->menu->plantings[m->menu->items[item].planting];
}

const struct zone *program_zone(const struct program *m, int item)
{
    return &m->zones->items[m->menu->items[item].zone];
}

static struct coef program_depth(const struct program *m, int i)
{
    const struct planting *p = program_planting(m, i);
    return (struct coef){.n = p->line_m, .y = p->first_m - p->line_m};
}

/* ---- columns ------------------------------------------------------------------------------- */

static bool odd_even_differ(const struct planting *p, const struct item *item)
{
    if (item->stations[0] != item->stations[1])
        return true;
    for (int k = 0; k < p->nparts; k++)
        if (item->plants[k][0] != item->plants[k][1])
            return true;
    return false;
}

/* What a line gives, in person-days of protein or of energy. */
static double line_days(const struct program *m, const struct food *f, bool protein)
{
    const struct ration *ration = &m->garden->ration;
    return protein ? f->digestible_g / (1000 * ration->protein_kg.v)
                   : f->energy_kcal / ration->energy_kcal.v;
}

/* Person-days an item gives for each m2 of its ground, at most; weighed or as food. */
static double item_richness(const struct program *m, const struct item *item, bool protein,
                            bool weighed)
{
    const struct food *food = weighed ? item->goal : item->food;
    const struct planting *p = &m->menu->plantings[item->planting];
    double best = 0, area = p->pitch_m * p->line_m;
    for (int kind = 0; kind < 2; kind++)
        if (item->stations[kind] > 0)
            best = fmax(best, line_days(m, &food[kind], protein) / (item->stations[kind] * area));
    return best;
}

/* A zone with all that vines may cover beyond it. */
static double zone_reach_m2(const struct zone *zone)
{
    return (zone->length_m + zone->spill_m[0] + zone->spill_m[1]) *
           (zone->depth_m + zone->over_m[0] + zone->over_m[1]);
}

/* No plan feeds more person-days, of protein or of energy, than all ground under the planting, or
 * the first and the second crop, that give most by the area they take. */
static double days_ceiling(const struct program *m, bool protein, bool weighed)
{
    double total = 0;
    for (size_t z = 0; z < m->zones->n; z++) {
        const struct zone *zone = &m->zones->items[z];
        double best[SLOT_COUNT] = {0}; /* person-days a m2 */
        for (int i = 0; i < m->menu->nitems; i++) {
            enum slot slot = program_planting(m, i)->slot;
            if (m->menu->items[i].zone == (int)z)
                best[slot] =
                    fmax(best[slot], item_richness(m, &m->menu->items[i], protein, weighed));
        }
        total += fmax(best[SLOT_WHOLE], best[SLOT_FIRST] + best[SLOT_SECOND]) * zone_reach_m2(zone);
    }
    return total;
}

/* Most zones that are planted at once: of each plot those of one row direction. */
static int zones_in_use(const struct program *m)
{
    int sum = 0;
    for (size_t p = 0; p < m->garden->plots.n; p++) {
        int along[2] = {0, 0};
        for (size_t z = 0; z < m->zones->n; z++)
            if (m->zones->items[z].plot == (int)p && !zone_standing(&m->zones->items[z]))
                along[m->zones->items[z].along_x]++;
        sum += along[0] > along[1] ? along[0] : along[1];
    }
    for (size_t z = 0; z < m->zones->n; z++)
        sum += m->zones->items[z].stands > 0;
    return sum;
}

static void columns(struct program *m)
{
    struct mip *mip = &m->mip;
    double ceiling = days_ceiling(m, m->garden->goal.v == GOAL_PROTEIN, true);
    m->epsilon = 1e-4 * ceiling / fmax(1, zones_in_use(m));
    m->epsilon_total =
        (m->menu->nturns > 0 ? 2 : 1) * m->epsilon * garden_blocks(m->garden) * zones_in_use(m);
    for (size_t z = 0; z < m->zones->n; z++) {
        const struct zone *zone = &m->zones->items[z];
        m->col_d[z] = mip_column(mip, MIP_CONTINUOUS, 0, zone->depth_m, 0, "d_%s", zone->name);
        m->col_v[z] = mip_column(mip, MIP_BINARY, 0, 1, 0, "v_%s", zone->name);
        for (int t = 0; t < m->menu->nturns; t++)
            m->col_r[(int)z * m->menu->nturns + t] =
                mip_column(mip, MIP_CONTINUOUS, 0, zone->depth_m, 0, "r_%s_%d", zone->name, t + 1);
    }
    struct food stands = standing_goal(m->menu);
    ceiling += line_days(m, &stands, m->garden->goal.v == GOAL_PROTEIN);
    m->col_t = mip_column(mip, MIP_CONTINUOUS, 0, ceiling, 1, "T");
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct item *item = &m->menu->items[i];
        const char *zone = program_zone(m, i)->name;
        m->col_n[i] = mip_column(mip, MIP_INTEGER, 0, item->most_lines, 0, "n_%s_%d", zone,
                                 item->planting + 1);
        /* of two plans that feed alike, the one whose ground is dug once */
        double dislike = program_planting(m, i)->slot == SLOT_WHOLE ? m->epsilon : 2 * m->epsilon;
        m->col_y[i] =
            mip_column(mip, MIP_BINARY, 0, 1, -dislike, "y_%s_%d", zone, item->planting + 1);
        m->col_q[i] = -1;
        if (odd_even_differ(program_planting(m, i), item))
            m->col_q[i] = mip_column(mip, MIP_INTEGER, 0, planting_odd_lines(item->most_lines), 0,
                                     "q_%s_%d", zone, item->planting + 1);
        for (int end = 0; end < 2; end++)
            m->col_b[end][i] = item->over_m[end] > 0
                                   ? mip_column(mip, MIP_BINARY, 0, 1, 0, "b_%s_%d%c", zone,
                                                item->planting + 1, end == 0 ? 'a' : 'b')
                                   : -1;
        m->col_s[i] = m->col_w[i] = -1;
        if (program_planting(m, i)->system != SYSTEM_ROWS ||
            program_planting(m, i)->slot != SLOT_WHOLE)
            continue;
        m->col_s[i] = mip_column(mip, MIP_INTEGER, 0, item->stations[0], 0, "s_%s_%d", zone,
                                 item->planting + 1);
        m->col_w[i] =
            mip_column(mip, MIP_BINARY, 0, 1, -m->epsilon, "w_%s_%d", zone, item->planting + 1);
    }
}

int program_way(const struct program *m, size_t z)
{
    const struct zone *zone = &m->zones->items[z];
    for (size_t g = 0; g < m->zones->ngrounds && !zone_standing(zone); g++)
        if (m->zones->grounds[g].plot == zone->plot &&
            m->zones->grounds[g].along_x == zone->along_x)
            return m->col_o[g];
    return -1;
}

/* ---- rows: the ground ---------------------------------------------------------------------- */

/* depth: the blocks of a zone fit across it, when its plot's rows run that way, but for what the
 * ones at its ends have over a path */
static void rows_depth(struct program *m)
{
    for (size_t z = 0; z < m->zones->n; z++) {
        const struct zone *zone = &m->zones->items[z];
        int way = program_way(m, z);
        int row = mip_row(&m->mip, -HUGE_VAL, way >= 0 ? 0 : zone->depth_m + 1e-9, "depth_%s",
                          zone->name);
        mip_add(&m->mip, row, way, way >= 0 ? -(zone->depth_m + 1e-9) : 0);
        mip_add(&m->mip, row, m->col_d[z], 1);
        for (int t = 0; t < m->menu->nturns; t++)
            mip_add(&m->mip, row, m->col_r[(int)z * m->menu->nturns + t], 1);
        for (int i = 0; i < m->menu->nitems; i++)
            if (m->menu->items[i].zone == (int)z && program_planting(m, i)->slot == SLOT_WHOLE) {
                program_add(m, row, i, program_depth(m, i), 1);
                for (int end = 0; end < 2; end++)
                    mip_add(&m->mip, row, m->col_b[end][i], -m->menu->items[i].over_m[end]);
            }
    }
}

/* rim: one block stands at either end of a zone; rims: a block is not at both */
static void rows_ends(struct program *m)
{
    for (size_t z = 0; z < m->zones->n; z++)
        for (int end = 0; end < 2; end++) {
            int row = -1;
            for (int i = 0; i < m->menu->nitems; i++) {
                if (m->menu->items[i].zone != (int)z || m->col_b[end][i] < 0)
                    continue;
                if (row < 0)
                    row = mip_row(&m->mip, -HUGE_VAL, 1, "rim_%s_%c", m->zones->items[z].name,
                                  end == 0 ? 'a' : 'b');
                mip_add(&m->mip, row, m->col_b[end][i], 1);
            }
        }
    for (int i = 0; i < m->menu->nitems; i++) {
        if (m->col_b[0][i] < 0 && m->col_b[1][i] < 0)
            continue;
        int row = mip_row(&m->mip, -HUGE_VAL, 0, "rims_%s_%d", program_zone(m, i)->name,
                          m->menu->items[i].planting + 1);
        mip_add(&m->mip, row, m->col_b[0][i], 1);
        mip_add(&m->mip, row, m->col_b[1][i], 1);
        mip_add(&m->mip, row, m->col_y[i], -1);
    }
}

/* first, second: the crops before a turn, and those after it, fit side by side into the ground that
 * changes hands then */
static void rows_turn(struct program *m)
{
    for (size_t z = 0; z < m->zones->n; z++)
        for (int t = 0; t < m->menu->nturns; t++)
            for (enum slot slot = SLOT_FIRST; slot <= SLOT_SECOND; slot++) {
                int row = mip_row(&m->mip, -HUGE_VAL, 0, "%s_%s_%d",
                                  slot == SLOT_FIRST ? "first" : "second", m->zones->items[z].name,
                                  t + 1);
                mip_add(&m->mip, row, m->col_r[(int)z * m->menu->nturns + t], -1);
                for (int i = 0; i < m->menu->nitems; i++) {
                    const struct planting *p = program_planting(m, i);
                    if (m->menu->items[i].zone == (int)z && p->slot == slot &&
                        p->turn_d == m->menu->turns_d[t])
                        program_add(m, row, i, program_depth(m, i), 1);
                }
            }
}

/* direction: a plot with a choice runs its rows one way */
static void rows_direction(struct program *m)
{
    for (size_t g = 0; g < m->zones->ngrounds; g++) {
        const struct ground *a = &m->zones->grounds[g];
        m->col_o[g] = -1;
        for (size_t h = 0; h < m->zones->ngrounds; h++)
            if (h != g && m->zones->grounds[h].plot == a->plot && m->col_o[g] < 0)
                m->col_o[g] = mip_column(&m->mip, MIP_BINARY, 0, 1, 0, "o_P%d%c", a->plot + 1,
                                         a->along_x ? 'x' : 'y');
    }
    for (size_t p = 0; p < m->garden->plots.n; p++) {
        int row = -1;
        for (size_t g = 0; g < m->zones->ngrounds; g++) {
            if (m->zones->grounds[g].plot != (int)p || m->col_o[g] < 0)
                continue;
            if (row < 0)
                row = mip_row(&m->mip, -HUGE_VAL, 1, "direction_P%d", (int)p + 1);
            mip_add(&m->mip, row, m->col_o[g], 1);
        }
    }
}

/* link: y <= n <= most y;  odd: q = ceil(n / 2) */
static void rows_link(struct program *m)
{
    struct mip *mip = &m->mip;
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct item *item = &m->menu->items[i];
        const char *zone = program_zone(m, i)->name;
        int t = item->planting + 1;
        int row = mip_row(mip, -HUGE_VAL, 0, "most_%s_%d", zone, t);
        mip_add(mip, row, m->col_n[i], 1);
        mip_add(mip, row, m->col_y[i], -item->most_lines);
        row = mip_row(mip, 0, HUGE_VAL, "some_%s_%d", zone, t);
        mip_add(mip, row, m->col_n[i], 1);
        mip_add(mip, row, m->col_y[i], -1);
        if (m->col_q[i] < 0)
            continue;
        row = mip_row(mip, 0, HUGE_VAL, "oddlow_%s_%d", zone, t);
        mip_add(mip, row, m->col_q[i], 2);
        mip_add(mip, row, m->col_n[i], -1);
        row = mip_row(mip, -HUGE_VAL, 0, "oddhigh_%s_%d", zone, t);
        mip_add(mip, row, m->col_q[i], 2);
        mip_add(mip, row, m->col_n[i], -1);
        mip_add(mip, row, m->col_y[i], -1);
    }
}

/* shared line: one line of a zone may be made up of a few row crops end to end, so that four squash
 * plants do not take a whole row. length: their stations fit into it; deep: it is as wide as the
 * widest of them asks; parts: at most so many; area: their ground fits into its own, which follows
 * from the others in whole numbers but keeps the relaxation from taking a line three times */
static void rows_shared(struct program *m)
{
    struct mip *mip = &m->mip;
    for (size_t z = 0; z < m->zones->n; z++) {
        const struct zone *zone = &m->zones->items[z];
        int length = mip_row(mip, -HUGE_VAL, 1e-9, "length_%s", zone->name);
        int parts = mip_row(mip, -HUGE_VAL, 0, "parts_%s", zone->name);
        mip_add(mip, length, m->col_v[z], -zone->length_m);
        mip_add(mip, parts, m->col_v[z], -SHARED_PARTS_MAX);
        int area = mip_row(mip, 0, HUGE_VAL, "area_%s", zone->name);
        mip_add(mip, area, m->col_d[z], zone->length_m);
        for (int i = 0; i < m->menu->nitems; i++) {
            const struct item *item = &m->menu->items[i];
            const struct planting *p = program_planting(m, i);
            if (item->zone != (int)z || m->col_s[i] < 0)
                continue;
            mip_add(mip, length, m->col_s[i], p->pitch_m);
            mip_add(mip, area, m->col_s[i], -p->pitch_m * p->first_m);
            mip_add(mip, parts, m->col_w[i], 1);
            int row = mip_row(mip, 0, HUGE_VAL, "deep_%s_%d", zone->name, item->planting + 1);
            mip_add(mip, row, m->col_d[z], 1);
            mip_add(mip, row, m->col_w[i], -p->first_m);
            row = mip_row(mip, -HUGE_VAL, 0, "has_%s_%d", zone->name, item->planting + 1);
            mip_add(mip, row, m->col_s[i], 1);
            mip_add(mip, row, m->col_w[i], -item->stations[0]);
            row = mip_row(mip, 0, HUGE_VAL, "used_%s_%d", zone->name, item->planting + 1);
            mip_add(mip, row, m->col_s[i], 1);
            mip_add(mip, row, m->col_w[i], -planting_least_shared(p));
        }
    }
}

/* once: a variety stands in the shared line at one spacing */
static void rows_once(struct program *m)
{
    for (size_t z = 0; z < m->zones->n; z++)
        for (size_t s = 0; s < m->garden->seed.n; s++) {
            int row = -1;
            for (int i = 0; i < m->menu->nitems; i++) {
                if (m->menu->items[i].zone != (int)z || m->col_w[i] < 0 ||
                    program_planting(m, i)->parts[0].seed_index != (int)s)
                    continue;
                if (row < 0)
                    row = mip_row(&m->mip, -HUGE_VAL, 1, "once_%s_%d", m->zones->items[z].name,
                                  (int)s + 1);
                mip_add(&m->mip, row, m->col_w[i], 1);
            }
        }
}

/* ---- rows: totals that shares are of ------------------------------------------------------- */

static bool any_share(const struct program *m, enum term_kind limit)
{
    for (int t = 0; t < m->nterms; t++) {
        const struct term *term = &m->terms[t];
        bool wish = term->kind == TERM_AT_LEAST || term->kind == TERM_AT_MOST;
        if (term->on && term->kind == limit)
            return true;
        if (!term->on || !wish || limit != TERM_SHARE_ENERGY)
            continue;
        const struct wish *w = garden_wish(m->garden, (size_t)term->index);
        if ((term->kind == TERM_AT_LEAST ? &w->at_least : &w->at_most)->kind == UNIT_SHARE)
            return true;
    }
    return false;
}

/* whole: energy in person-days, and ground in m2, of the whole plan, so that the row of a
 * share need not name every item */
static void rows_whole(struct program *m)
{
    struct mip *mip = &m->mip;
    double ground = 0;
    for (size_t z = 0; z < m->zones->n; z++)
        ground += zone_reach_m2(&m->zones->items[z]);
    if (m->menu->nturns > 0)
        ground *= 2;
    m->col_e = m->col_a = m->row_e = m->row_a = -1;
    if (any_share(m, TERM_SHARE_ENERGY)) {
        double stands = standing_energy(m->menu, NULL) / m->garden->ration.energy_kcal.v;
        double most = (1 + 1e-9) * (days_ceiling(m, false, false) + stands);
        m->col_e = mip_column(mip, MIP_CONTINUOUS, 0, most, 0, "E");
        m->row_e = mip_row(mip, 0 - stands, 0 - stands, "whole_energy");
        mip_add(mip, m->row_e, m->col_e, -1);
        for (int i = 0; i < m->menu->nitems; i++)
            program_add(m, m->row_e, i, program_energy(m, i), 1 / m->garden->ration.energy_kcal.v);
    }
    if (any_share(m, TERM_SHARE_AREA)) {
        double stands = standing_area(m->menu, NULL);
        m->col_a = mip_column(mip, MIP_CONTINUOUS, 0, (1 + 1e-6) * (ground + stands), 0, "A");
        m->row_a = mip_row(mip, 0 - stands, 0 - stands, "whole_area");
        mip_add(mip, m->row_a, m->col_a, -1);
        for (int i = 0; i < m->menu->nitems; i++)
            program_add(m, m->row_a, i, program_area(m, i, 1), 1);
    }
}

/* ---- rows: the goal ------------------------------------------------------------------------ */

/* T ration <= energy, each food times its weight */
static void row_energy(struct program *m)
{
    double ration = m->garden->ration.energy_kcal.v;
    double stands = standing_goal(m->menu).energy_kcal / ration;
    int row = mip_row(&m->mip, 0 - stands, HUGE_VAL, "energy");
    mip_add(&m->mip, row, m->col_t, -1);
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct food *f = m->menu->items[i].goal;
        program_add(m, row, i, program_per_line(m, i, f[0].energy_kcal, f[1].energy_kcal),
                    1 / ration);
    }
}

/* T ration <= digestible protein, and <= amino acid a / pattern a, for each a; weighed, too */
static void rows_protein(struct program *m)
{
    double ration = 1000 * m->garden->ration.protein_kg.v;
    struct food stands = standing_goal(m->menu);
    for (int a = -1; a < AMINO_COUNT; a++) {
        double g = a < 0 ? stands.digestible_g : stands.amino_g[a] / food_pattern[a];
        int row = mip_row(&m->mip, 0 - g / ration, HUGE_VAL, "protein_%s",
                          a < 0 ? "digestible" : amino_names[a]);
        mip_add(&m->mip, row, m->col_t, -1);
        for (int i = 0; i < m->menu->nitems; i++) {
            const struct food *f = m->menu->items[i].goal;
            struct coef c = a < 0 ? program_per_line(m, i, f[0].digestible_g, f[1].digestible_g)
                                  : program_per_line(m, i, f[0].amino_g[a] / food_pattern[a],
                                                     f[1].amino_g[a] / food_pattern[a]);
            program_add(m, row, i, c, 1 / ration);
        }
    }
}

static void rows_goal(struct program *m)
{
    m->goal_row = m->mip.nrows;
    if (m->garden->goal.v != GOAL_PROTEIN)
        row_energy(m);
    if (m->garden->goal.v != GOAL_ENERGY)
        rows_protein(m);
}

/* ---- building ------------------------------------------------------------------------------ */

/* All but the goal. */
static void build_frame(struct program *m)
{
    mip_init(&m->mip, m->arena);
    for (size_t u = 0; u < m->garden->seed.n * m->garden->plots.n; u++)
        m->col_u[u] = -1;
    rows_direction(m);
    columns(m);
    m->ground_row = m->mip.nrows;
    rows_depth(m);
    rows_ends(m);
    rows_turn(m);
    rows_link(m);
    rows_shared(m);
    rows_once(m);
    m->terms_row = m->mip.nrows;
    m->blocks_row = -1;
    rows_whole(m);
    for (int t = 0; t < m->nterms; t++) {
        struct term *term = &m->terms[t];
        term->row = m->mip.nrows;
        if (term->on)
            program_term(m, term);
        term->nrows = m->mip.nrows - term->row;
    }
}

hr_status program_build(struct program *m)
{
    build_frame(m);
    rows_goal(m);
    return mip_finish(&m->mip);
}

hr_status program_build_for_wish(struct program *m, int index)
{
    const struct wish *wish = garden_wish(m->garden, (size_t)index);
    build_frame(m);
    for (int c = 0; c < m->mip.ncolumns; c++)
        m->mip.columns[c].objective = 0;
    double stands = standing_wish(m->menu, m->zones, wish, wish->at_least.kind, false);
    int row = mip_row(&m->mip, 0 - stands, HUGE_VAL, "wished");
    int got = mip_column(&m->mip, MIP_CONTINUOUS, 0, HUGE_VAL, 1, "got");
    mip_add(&m->mip, row, got, -1);
    for (int i = 0; i < m->menu->nitems; i++)
        program_add(m, row, i, program_wish_amount(m, i, wish, wish->at_least.kind), 1);
    return mip_finish(&m->mip);
}

hr_status program_init(struct program *m, const struct garden *garden, const struct zones *zones,
                       const struct menu *menu, struct arena *arena)
{
    *m = (struct program){.garden = garden, .zones = zones, .menu = menu, .arena = arena};
    size_t n = (size_t)m->menu->nitems;
    m->col_n = ARENA_ARRAY(m->arena, int, n);
    m->col_q = ARENA_ARRAY(m->arena, int, n);
    m->col_y = ARENA_ARRAY(m->arena, int, n);
    m->col_s = ARENA_ARRAY(m->arena, int, n);
    m->col_w = ARENA_ARRAY(m->arena, int, n);
    m->col_b[0] = ARENA_ARRAY(m->arena, int, n);
    m->col_b[1] = ARENA_ARRAY(m->arena, int, n);
    m->col_d = ARENA_ARRAY(m->arena, int, m->zones->n);
    m->col_v = ARENA_ARRAY(m->arena, int, m->zones->n);
    m->col_r = ARENA_ARRAY(m->arena, int, m->zones->n *(size_t)m->menu->nturns + 1);
    m->col_u = ARENA_ARRAY(m->arena, int, garden->seed.n * garden->plots.n + 1);
    m->col_o = ARENA_ARRAY(m->arena, int, m->zones->ngrounds);
    if (!m->col_n || !m->col_q || !m->col_y || !m->col_s || !m->col_w || !m->col_d || !m->col_v ||
        !m->col_r || !m->col_u || !m->col_o || !m->col_b[0] || !m->col_b[1])
        return HR_NOMEM;
    return program_list_terms(m);
}

/* What the blocks of a zone take across it. */
static double depth_taken(const struct program *m, size_t z, const double *x)
{
    double depth = x[m->col_d[z]];
    for (int t = 0; t < m->menu->nturns; t++)
        depth += x[m->col_r[(int)z * m->menu->nturns + t]];
    for (int i = 0; i < m->menu->nitems; i++) {
        struct coef c = program_depth(m, i);
        if (m->menu->items[i].zone == (int)z && program_planting(m, i)->slot == SLOT_WHOLE)
            depth += c.n * x[m->col_n[i]] + c.y * x[m->col_y[i]];
    }
    return depth;
}

/* Of the blocks of a zone the one with most beyond its end, but for item `other`; -1: none. */
static int end_block(const struct program *m, size_t z, int end, int other, const double *x)
{
    int best = -1;
    for (int i = 0; i < m->menu->nitems; i++)
        if (m->menu->items[i].zone == (int)z && i != other && m->col_b[end][i] >= 0 &&
            x[m->col_y[i]] > 0.5 &&
            (best < 0 || m->menu->items[i].over_m[end] > m->menu->items[best].over_m[end]))
            best = i;
    return best;
}

/* Sets b by the blocks of a zone: as many at its ends as must be for all to have room. */
static void settle_ends(const struct program *m, size_t z, double *x)
{
    double need = depth_taken(m, z, x) - m->zones->items[z].depth_m;
    for (int i = 0; i < m->menu->nitems; i++)
        for (int end = 0; end < 2; end++)
            if (m->menu->items[i].zone == (int)z && m->col_b[end][i] >= 0)
                x[m->col_b[end][i]] = 0;
    if (need <= 1e-9)
        return;
    int at[2] = {-1, -1}, best[2] = {end_block(m, z, 0, -1, x), end_block(m, z, 1, -1, x)};
    double most = 0;
    for (int end = 0; end < 2; end++) /* the best one at this end, or both ends with it there */
        for (int both = 0; both < 2; both++) {
            int other = both ? end_block(m, z, 1 - end, best[end], x) : -1;
            double over = best[end] >= 0 ? m->menu->items[best[end]].over_m[end] : 0;
            over += other >= 0 ? m->menu->items[other].over_m[1 - end] : 0;
            if (over <= most || most >= need)
                continue;
            most = over;
            at[end] = best[end];
            at[1 - end] = other;
        }
    for (int end = 0; end < 2 && most > 0; end++)
        if (at[end] >= 0)
            x[m->col_b[end][at[end]]] = 1;
}

void program_settle_ties(const struct program *m, double *x)
{
    int turns = m->menu->nturns;
    for (size_t z = 0; z < m->zones->n; z++)
        for (int t = 0; t < turns; t++) {
            double depth[SLOT_COUNT] = {0};
            for (int i = 0; i < m->menu->nitems; i++) {
                const struct planting *p = program_planting(m, i);
                struct coef c = program_depth(m, i);
                if (m->menu->items[i].zone == (int)z && p->slot != SLOT_WHOLE &&
                    p->turn_d == m->menu->turns_d[t])
                    depth[p->slot] += c.n * x[m->col_n[i]] + c.y * x[m->col_y[i]];
            }
            x[m->col_r[(int)z * turns + t]] = fmax(depth[SLOT_FIRST], depth[SLOT_SECOND]);
        }
    for (size_t z = 0; z < m->zones->n; z++)
        if (m->zones->items[z].over_m[0] > 0 || m->zones->items[z].over_m[1] > 0)
            settle_ends(m, z, x);
    for (int i = 0; i < m->menu->nitems; i++) {
        const struct planting *p = program_planting(m, i);
        bool used = x[m->col_y[i]] > 0.5 || (m->col_w[i] >= 0 && x[m->col_w[i]] > 0.5);
        for (int k = 0; k < p->nparts && used; k++) {
            int u = m->col_u[(size_t)p->parts[k].seed_index * m->garden->plots.n +
                             (size_t)program_zone(m, i)->plot];
            if (u >= 0)
                x[u] = 1;
        }
    }
}

double program_goal_unit(const struct garden *g)
{
    return g->goal.v == GOAL_ENERGY    ? g->ration.energy_kcal.v
           : g->goal.v == GOAL_PROTEIN ? 1000 * g->ration.protein_kg.v
                                       : 1;
}

/* ---- for the decomposition ----------------------------------------------------------------- */

void program_settle(const struct program *m, double *x)
{
    double whole[2] = {0, 0}, goal = HUGE_VAL;
    int k = 0;
    x[m->col_t] = 0;
    if (m->col_e >= 0)
        x[m->col_e] = 0;
    if (m->col_a >= 0)
        x[m->col_a] = 0;
    for (int i = 0; i < m->mip.nrows; i++) {
        double sum = 0;
        for (; k < m->mip.nentries && m->mip.entries[k].row == i; k++)
            sum += m->mip.entries[k].value * x[m->mip.entries[k].column];
        if (isfinite(m->mip.rows[i].lower))
            sum -= m->mip.rows[i].lower; /* what stands already */
        if (i == m->row_e)
            whole[0] = sum;
        else if (i == m->row_a)
            whole[1] = sum;
        else if (i >= m->goal_row)
            goal = fmin(goal, sum);
    }
    x[m->col_t] = goal * (1 - 1e-12);
    if (m->col_e >= 0)
        x[m->col_e] = whole[0];
    if (m->col_a >= 0)
        x[m->col_a] = whole[1];
}

bool program_row_ties(const struct program *m, int row)
{
    bool blocks =
        m->blocks_row >= 0 && row >= m->blocks_row && row < m->blocks_row + (int)m->zones->n;
    return !(row >= m->ground_row && row < m->terms_row) && !blocks;
}

void program_copy_filling(const struct program *m, size_t from, size_t to, int n,
                          const int *columns, const double *x, double *out)
{
    int i = 0, shift = 0; /* like zones have their columns in one order */
    while (i < m->menu->nitems && m->menu->items[i].zone != (int)from)
        i++;
    int first = i;
    for (i = 0; i < m->menu->nitems && m->menu->items[i].zone != (int)to;)
        i++;
    if (first < m->menu->nitems && i < m->menu->nitems)
        shift = m->col_n[i] - m->col_n[first];
    for (int k = 0; k < n; k++)
        if (columns[k] == m->col_d[from])
            out[m->col_d[to]] = x[k];
        else if (columns[k] == m->col_v[from])
            out[m->col_v[to]] = x[k];
        else
            out[columns[k] + shift] = x[k];
}
