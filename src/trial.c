/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "trial.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "num.h"
#include "place.h"
#include "range.h"
#include "stats.h"

#define ALLEY_US_M   0.6096 /* 2 ft: a barrow's width (common practice) */
#define ALLEY_M      0.6
#define HILLS_MOST   12   /* net hills along a line */
#define LINES_MOST   8    /* net lines of hills */
#define SPACING_GIVE 1.15 /* rows may be so much wider or narrower than the crop's range */
#define SLACK_M      1e-6

const char *const treatment_names[TREATMENT_COUNT] = {"hills", "rows"};

/* How large a half is, and how it is planted. */
struct layout {
    bool ring;
    int hills, lines; /* net, along and across */
    double length_m, depth_m, net_length_m, net_depth_m;
    double guard_end_m, guard_side_m;
    struct section {
        double length_m; /* of net ground */
        int rows, spots; /* on it */
        double row_m, pitch_m;
    } sections[STAND_PARTS_MAX];
    int fits; /* blocks, in the better direction */
    bool along_x;
};

struct making {
    struct trial *trial;
    struct diags *diags;
    struct zones zones;
    struct planting hills, rows[STAND_PARTS_MAX];
    int nrows;
    double shares[STAND_PARTS_MAX];
};

/* ---- treatments ----------------------------------------------------------------------------- */

static bool guild_wanted(const struct planting *p, const char *guild)
{
    return p->guild && p->system == SYSTEM_HILLS && (!guild || str_same(p->guild->name.s, guild));
}

/* The guild's hills at their typical pitch, with the first varieties that can fill them: of the
 * guild asked for, else of the first in the garden's list, else of the first in the library. */
static const struct planting *hills_find(const struct garden *g, const struct menu *menu,
                                         const char *guild)
{
    if (!guild && g->grow.guilds.set && g->grow.guilds.n > 0)
        guild = ((const struct text *)g->grow.guilds.items)[0].s;
    for (int i = 0; i < menu->nplantings; i++) {
        const struct planting *p = &menu->plantings[i];
        if (guild_wanted(p, guild) && fabs(p->pitch_m - p->guild->pitch_m.typ) < 1e-6)
            return p;
    }
    return NULL;
}

/* The same seed in rows: by itself, or the guild's. Its spacing is fitted to the half later. */
static const struct planting *rows_find(const struct menu *menu, const struct planting *hills,
                                        int part, bool row_guild)
{
    for (int i = 0; i < menu->nplantings; i++) {
        const struct planting *p = &menu->plantings[i];
        bool same = p->system == (row_guild ? SYSTEM_ROW_GUILD : SYSTEM_ROWS) &&
                    p->guild == (row_guild ? hills->guild : NULL);
        if (row_guild)
            for (int k = 0; same && k < p->nparts; k++)
                same = p->parts[k].seed_index == hills->parts[k].seed_index;
        else
            same = same && p->parts[0].seed_index == hills->parts[part].seed_index;
        const struct range *row = row_guild ? &hills->guild->row_m : &p->parts[0].crop->row_m;
        if (same && fabs(p->line_m - row->typ) < 1e-6)
            return p;
    }
    return NULL;
}

/* Typical yield of each part on the planting's ground, kg/m2. */
static void yields(const struct planting *p, double *kg_m2)
{
    struct stand_figures figures[STAND_PARTS_MAX];
    struct stand_mixture mix;
    double light[STAND_PARTS_MAX] = {1, 1, 1, 1};
    stand_mixture_typical(&mix);
    for (int k = 0; k < p->nparts; k++)
        stand_figures_typical(p->parts[k].crop, &figures[k]);
    planting_plant_kg(p, figures, &mix, light, kg_m2);
    for (int k = 0; k < p->nparts; k++)
        kg_m2[k] *= planting_density(p, k);
}

/* Each crop gets ground in rows after its part of the guild's land equivalent: then, by the model,
 * both halves give the crops in the same proportions, and differ in how much. */
static void shares_find(struct making *m)
{
    double hills[STAND_PARTS_MAX], sole[STAND_PARTS_MAX], sum = 0;
    yields(&m->hills, hills);
    for (int k = 0; k < m->nrows; k++) {
        yields(&m->rows[k], &sole[k]);
        m->shares[k] = m->nrows > 1 && sole[k] > 0 ? hills[k] / sole[k] : 0;
        sum += m->shares[k];
    }
    for (int k = 0; k < m->nrows; k++)
        m->shares[k] = sum > 0 ? m->shares[k] / sum : 1.0 / m->nrows;
}

static hr_status treatments_find(struct making *m, const struct trial_options *o)
{
    struct trial *t = m->trial;
    struct garden g = *t->garden; /* all its seed may stand in rows here, and its guilds in hills */
    g.grow.crops.set = g.grow.systems.set = false;
    g.grow.guilds.set = g.grow.guilds.set && !o->guild;
    struct menu menu;
    hr_status status = menu_make(&g, &m->zones, t->arena, m->diags, &menu);
    if (status != HR_OK)
        return status;
    const struct planting *hills = hills_find(&g, &menu, o->guild);
    if (!hills) {
        diag_error(
            m->diags, t->garden->grow.at, "trial-guild",
            "no guild%s%.80s%s can be planted in hills here: a trial needs one that fits the "
            "seed in hand and the season",
            o->guild ? " `" : "", o->guild ? o->guild : "", o->guild ? "`" : "");
        for (int i = 0; i < menu.nleft_out; i++)
            diag_note(m->diags, menu.left_out[i].at, "%s: %s", menu.left_out[i].name,
                      menu.left_out[i].why);
        return HR_INPUT;
    }
    m->hills = *hills;
    t->guild = hills->guild;
    m->nrows = t->row_guild ? 1 : hills->nparts;
    for (int k = 0; k < m->nrows; k++) {
        const struct planting *p = rows_find(&menu, hills, k, t->row_guild);
        if (!p) {
            diag_error(m->diags, hills->parts[k].seed->at, "trial-guild",
                       "%s cannot be sown in rows%s here, so there is nothing to compare with",
                       t->row_guild ? t->guild->name.s : hills->parts[k].crop->name.s,
                       t->row_guild ? "" : " of its own");
            return HR_INPUT;
        }
        m->rows[k] = *p;
    }
    shares_find(m);
    return HR_OK;
}

/* ---- the size of a half --------------------------------------------------------------------- */

static bool between(double v, double low, double high)
{
    return v >= low - 1e-9 && v <= high + 1e-9;
}

/* Whether rows row_m apart with plants pitch_m apart are a fair stand of the crop. Where a section
 * holds a single row or plant (a vine), its ground may have another shape, if it is enough. */
static bool stand_fair(const struct range *in_row, const struct range *row, double pitch_m,
                       double row_m, bool single)
{
    const double give = SPACING_GIVE;
    if (between(pitch_m, in_row->low / give, in_row->high * give) &&
        between(row_m, row->low / give, row->high * give))
        return true;
    return single && between(pitch_m * row_m, in_row->low * row->low, in_row->high * row->high) &&
           between(pitch_m, 0.75 * in_row->low, 1.5 * in_row->high) &&
           between(row_m, 0.75 * row->low, 1.5 * row->high);
}

/* Fits whole rows and plants to a section of net ground, as near to the typical spacing as can be;
 * false: none is fair. */
static bool section_fit(const struct planting *p, const struct range *row, double depth_m,
                        struct section *s)
{
    struct range in_row = p->parts[0].crop->in_row_m;
    double best = HUGE_VAL;
    if (p->guild) /* the spots of the support; the others follow theirs */
        in_row.low = in_row.high = in_row.typ = p->pitch_m;
    for (int rows = 1; rows <= 1 + (int)(depth_m * 2 / row->low); rows++) {
        double row_m = depth_m / rows;
        int about = (int)fmax(1, round(s->length_m / in_row.typ));
        for (int spots = about > 1 ? about - 1 : 1; spots <= about + 1; spots++) {
            double pitch_m = s->length_m / spots;
            double off = fabs(log(pitch_m / in_row.typ)) + fabs(log(row_m / row->typ));
            if (off >= best || !stand_fair(&in_row, row, pitch_m, row_m, rows == 1 || spots == 1))
                continue;
            best = off;
            s->rows = rows;
            s->spots = spots;
            s->row_m = row_m;
            s->pitch_m = pitch_m;
        }
    }
    return isfinite(best);
}

/* A half with so many net hills, which own all of its net ground; false: the rows cannot be fitted
 * to it. With a ring, lines are shifted as in a plan: each gives one hill to the guard (odd lines
 * their first, even lines their last), and there is a guard line on either side. Without, hills
 * stand in a square, since shifted lines would leave a gap at each open end; there is a guard line
 * where the halves meet. */
static bool layout_make(const struct making *m, bool ring, int hills, int lines, struct layout *l)
{
    double p = m->hills.pitch_m, q = ring ? m->hills.line_m : p;
    *l = (struct layout){.ring = ring, .hills = hills, .lines = lines};
    l->guard_end_m = ring ? 0.75 * p : 0;
    l->guard_side_m = (p + q) / 2;
    l->net_length_m = hills * p;
    l->net_depth_m = lines * q;
    l->length_m = l->net_length_m + 2 * l->guard_end_m;
    l->depth_m = l->net_depth_m + (ring ? 2 : 1) * l->guard_side_m;
    for (int k = 0; k < m->nrows; k++) {
        const struct planting *rows = &m->rows[k];
        const struct range *row = rows->guild ? &rows->guild->row_m : &rows->parts[0].crop->row_m;
        l->sections[k].length_m = m->shares[k] * l->net_length_m;
        if (!section_fit(rows, row, l->net_depth_m, &l->sections[k]))
            return false;
    }
    return true;
}

/* How many fit into a length, `step` apart. */
static int times(double room_m, double size_m, double alley_m)
{
    return (int)fmax(0, floor((room_m + alley_m + SLACK_M) / (size_m + alley_m)));
}

static int zone_fits(const struct trial *t, const struct zone *z, const struct layout *l)
{
    return times(z->length_m, l->length_m, t->alley_m) *
           times(z->depth_m, 2 * l->depth_m, t->alley_m);
}

/* Blocks that the plot holds, and the direction of rows in which it holds most. */
static void fits_find(const struct making *m, int plot, struct layout *l)
{
    int fits[2] = {0, 0};
    for (size_t z = 0; z < m->zones.n; z++) {
        const struct zone *zone = &m->zones.items[z];
        if (zone->plot == plot && fits[zone->along_x] < TRIAL_BLOCKS_MAX)
            fits[zone->along_x] += zone_fits(m->trial, zone, l);
    }
    l->along_x = fits[1] >= fits[0];
    l->fits = (int)fmin(TRIAL_BLOCKS_MAX, fits[l->along_x]);
}

/* Every part of the guild is to stand on the net ground in its true proportion. */
static bool proportion_kept(const struct planting *p, int hills)
{
    for (int k = 0; k < p->nparts; k++)
        if (hills % p->parts[k].every != 0)
            return false;
    return true;
}

/* Whether a is to be preferred to b: enough blocks first; of those that have enough, a ring, then
 * large halves; of those that have not, many blocks, then a ring, then large halves. */
static bool better(const struct layout *a, const struct layout *b, int target)
{
    bool enough = a->fits >= target;
    double area_a = a->net_length_m * a->net_depth_m, area_b = b->net_length_m * b->net_depth_m;
    if (enough != (b->fits >= target))
        return enough;
    if (!enough && a->fits != b->fits)
        return a->fits > b->fits;
    if (a->ring != b->ring)
        return a->ring;
    return area_a > area_b + 1e-9;
}

/* The smallest half there could be, for the message when none fits. */
struct least {
    struct layout layout;
    bool set;
};

static bool layout_find(const struct making *m, int plot, int target, struct layout *best,
                        struct least *least)
{
    bool found = false;
    for (int ring = 1; ring >= 0; ring--)
        for (int hills = 2; hills <= HILLS_MOST; hills++)
            for (int lines = 2; lines <= LINES_MOST; lines++) {
                struct layout l;
                if (!proportion_kept(&m->hills, hills) ||
                    !layout_make(m, ring != 0, hills, lines, &l))
                    continue;
                double area = l.length_m * l.depth_m;
                if (!least->set || area < least->layout.length_m * least->layout.depth_m - 1e-9)
                    *least = (struct least){l, true};
                fits_find(m, plot, &l);
                if (l.fits == 0 || (found && !better(&l, best, target)))
                    continue;
                *best = l;
                found = true;
            }
    return found;
}

/* ---- choosing the plot ---------------------------------------------------------------------- */

static hr_status no_room(const struct making *m, const struct least *least, int asked)
{
    const struct trial *t = m->trial;
    enum unit_system units = (enum unit_system)t->garden->units.v;
    char a[64], b[64];
    struct pos at = t->garden->plots.n == 1 ? garden_plot(t->garden, 0)->at : t->garden->at;
    if (!least->set) {
        diag_error(m->diags, at, "trial-no-room",
                   "the crops of %s cannot be set out in rows on the ground of its hills",
                   t->guild->name.s);
        return HR_INFEASIBLE;
    }
    unit_length(a, sizeof a, least->layout.length_m, units);
    unit_length(b, sizeof b, 2 * least->layout.depth_m, units);
    if (asked > 0)
        diag_error(m->diags, at, "trial-no-room",
                   "there is no room for %d blocks: the smallest fair block takes %s by %s", asked,
                   a, b);
    else
        diag_error(m->diags, at, "trial-no-room",
                   "there is no room for a trial: the smallest fair block takes %s by %s, a half "
                   "of hills and a half of rows with their guards",
                   a, b);
    return HR_INFEASIBLE;
}

static hr_status plot_named(const struct making *m, const char *name, int *out)
{
    const struct garden *g = m->trial->garden;
    for (size_t i = 0; name && i < g->plots.n; i++)
        if (str_same(garden_plot(g, i)->name.s, name)) {
            *out = (int)i;
            return HR_OK;
        }
    diag_error(m->diags, g->at, "trial-plot", "the garden has no plot `%.80s`", name);
    return HR_INPUT;
}

/* The plot asked for, or the one that serves best. */
static hr_status site_find(struct making *m, const struct trial_options *o, struct layout *best)
{
    struct trial *t = m->trial;
    struct least least = {.set = false};
    int only = -1;
    int target = o->blocks > 0
                     ? o->blocks
                     : (int)fmax(TRIAL_LEAST, t->needed > 0 ? t->needed : TRIAL_BLOCKS_MAX);
    if (o->plot) {
        hr_status status = plot_named(m, o->plot, &only);
        if (status != HR_OK)
            return status;
    }
    t->plot = -1;
    for (int i = 0; i < (int)t->garden->plots.n; i++) {
        struct layout l;
        if ((only >= 0 && i != only) || !layout_find(m, i, target, &l, &least))
            continue;
        if (t->plot < 0 || better(&l, best, target)) {
            *best = l;
            t->plot = i;
        }
    }
    if (t->plot < 0 || best->fits < o->blocks)
        return no_room(m, &least, o->blocks);
    t->most = best->fits;
    t->blocks = (int)fmin(target, best->fits);
    return HR_OK;
}

/* ---- setting out ---------------------------------------------------------------------------- */

/* A rectangle of a zone's frame (along and across the rows) in the plot's. */
static struct rect zone_rect(const struct zone *z, double along, double across, double length,
                             double depth)
{
    if (z->along_x)
        return (struct rect){z->r.x0 + along, z->r.y0 + across, z->r.x0 + along + length,
                             z->r.y0 + across + depth};
    return (struct rect){z->r.x0 + across, z->r.y0 + along, z->r.x0 + across + depth,
                         z->r.y0 + along + length};
}

/* Half h (0: the first across) of a block whose corner is (along, across) in a zone. */
static void half_set(struct making *m, const struct layout *l, const struct zone *z, int block,
                     int h, int treatment, double along, double across)
{
    struct trial *t = m->trial;
    struct trial_half *half = &t->halves[2 * block + h];
    struct zone *own = &t->plan->zones.items[2 * block + h];
    across += h * l->depth_m;
    double before = l->ring || h == 1 ? l->guard_side_m : 0;
    *half = (struct trial_half){.block = block, .treatment = treatment};
    half->ground = zone_rect(z, along, across, l->length_m, l->depth_m);
    half->net =
        zone_rect(z, along + l->guard_end_m, across + before, l->net_length_m, l->net_depth_m);
    snprintf(half->name, sizeof half->name, "%d-%s", block + 1, treatment_names[treatment]);
    *own = (struct zone){.plot = z->plot, .along_x = z->along_x, .r = half->ground};
    own->length_m = l->length_m;
    own->depth_m = l->depth_m;
    own->light = z->light;
    snprintf(own->name, sizeof own->name, "%s", half->name);
}

/* All halves, block by block from the origin on; the lot is drawn for each block. */
static hr_status halves_set(struct making *m, const struct layout *l)
{
    struct trial *t = m->trial;
    struct stats_rng *rng = stats_rng_new(t->seed);
    int block = 0;
    if (!rng)
        return HR_NOMEM;
    for (size_t i = 0; i < m->zones.n; i++) {
        const struct zone *z = &m->zones.items[i];
        if (z->plot != t->plot || z->along_x != l->along_x)
            continue;
        int wide = times(z->length_m, l->length_m, t->alley_m);
        int deep = times(z->depth_m, 2 * l->depth_m, t->alley_m);
        for (int b = 0; b < wide * deep && block < t->blocks; b++, block++) {
            double along = b % wide * (l->length_m + t->alley_m);
            int row = b / wide;
            double across = row * (2 * l->depth_m + t->alley_m);
            bool hills_first = stats_uniform(rng) < 0.5;
            for (int h = 0; h < 2; h++)
                half_set(m, l, z, block, h,
                         (h == 0) == hills_first ? TREATMENT_HILLS : TREATMENT_ROWS, along, across);
        }
    }
    stats_rng_free(rng);
    return HR_OK;
}

static void block_add(struct plan *plan, int zone, const struct planting *p, struct block block)
{
    block.zone = zone;
    block.item = -1;
    block.planting = p;
    for (int k = 0; k < p->nparts; k++)
        block.light[k] = plan->zones.items[zone].light;
    plan->blocks[plan->nblocks++] = block;
}

/* Hills are numbered from 1 in each half: small numbers fit into small circles. */
static void hills_number(struct plan *plan)
{
    int zone = -1, n = 0;
    for (int s = 0; s < plan->nstations; s++) {
        const struct block *block = &plan->blocks[plan->stations[s].block];
        if (block->planting->system != SYSTEM_HILLS)
            continue;
        n = block->zone == zone ? n + 1 : 1;
        zone = block->zone;
        snprintf(plan->stations[s].id, sizeof plan->stations[s].id, "%d", n);
    }
}

/* The rows of a half: sections side by side along the net ground, each going on into the guards by
 * whole rows and spots. */
static void rows_add(struct making *m, const struct layout *l, int zone,
                     const struct planting *plantings)
{
    bool second = zone % 2 == 1;
    double before = l->ring || second ? l->guard_side_m : 0, at = l->guard_end_m;
    double behind = l->ring || !second ? l->guard_side_m : 0;
    for (int k = 0; k < m->nrows; k++) {
        const struct section *s = &l->sections[k];
        int rows_before = (int)floor(before / s->row_m + 1e-9);
        int rows_behind = (int)floor(behind / s->row_m + 1e-9);
        int end = (int)floor(l->guard_end_m / s->pitch_m + 1e-9);
        int first = k == 0 ? end : 0, last = k == m->nrows - 1 ? end : 0;
        struct block block = {.lines = rows_before + s->rows + rows_behind,
                              .start_m = before - rows_before * s->row_m,
                              .along_m = at - first * s->pitch_m,
                              .length_m = (first + s->spots + last) * s->pitch_m,
                              .shared = m->nrows > 1};
        block.depth_m = block.lines * s->row_m;
        block_add(m->trial->plan, zone, &plantings[k], block);
        at += s->length_m;
    }
}

static hr_status plan_fill(struct making *m, const struct layout *l)
{
    struct trial *t = m->trial;
    struct plan *plan = t->plan;
    struct planting *p = ARENA_ARRAY(t->arena, struct planting, STAND_PARTS_MAX + 1);
    plan->blocks = ARENA_ARRAY(t->arena, struct block, (size_t)(t->blocks * (m->nrows + 1)));
    if (!p || !plan->blocks)
        return HR_NOMEM;
    p[0] = m->hills;
    if (!l->ring) {
        p[0].line_m = p[0].pitch_m;
        p[0].stagger_m = 0;
    }
    for (int k = 0; k < m->nrows; k++) {
        p[1 + k] = m->rows[k];
        p[1 + k].pitch_m = l->sections[k].pitch_m;
        p[1 + k].line_m = p[1 + k].first_m = l->sections[k].row_m;
    }
    for (int h = 0; h < 2 * t->blocks; h++) {
        const struct block all = {
            .lines = l->lines + (l->ring ? 2 : 1), .depth_m = l->depth_m, .length_m = l->length_m};
        if (t->halves[h].treatment == TREATMENT_HILLS)
            block_add(plan, h, &p[0], all);
        else
            rows_add(m, l, h, p + 1);
    }
    struct food food;
    hr_status status = place_stations(plan);
    if (status != HR_OK)
        return status;
    hills_number(plan);
    return plan_totals(plan, &food);
}

/* ---- what to expect ------------------------------------------------------------------------- */

bool trial_weighed(const struct trial *t, const struct station *s)
{
    const struct rect *net = &trial_half_of(t, s->block)->net;
    return s->x_m > net->x0 - SLACK_M && s->x_m < net->x1 + SLACK_M && s->y_m > net->y0 - SLACK_M &&
           s->y_m < net->y1 + SLACK_M;
}

/* The harvest of the net ground of one half, as that of a plan of its stations alone. */
static hr_status estimate(struct trial *t, int treatment)
{
    struct plan one = *t->plan;
    struct food food;
    int h = t->halves[0].treatment == treatment ? 0 : 1;
    one.stations = ARENA_ARRAY(t->arena, struct station, (size_t)t->plan->nstations);
    if (!one.stations)
        return HR_NOMEM;
    one.nstations = one.ncrops = 0;
    for (int s = 0; s < t->plan->nstations; s++) {
        const struct station *station = &t->plan->stations[s];
        if (t->plan->blocks[station->block].zone == h && trial_weighed(t, station))
            one.stations[one.nstations++] = *station;
    }
    hr_status status = plan_totals(&one, &food);
    if (status == HR_OK)
        status = range_plan(&one, RANGE_DRAWS, RANGE_SEED);
    if (status != HR_OK)
        return status;
    for (int c = 0; c < one.ncrops; c++)
        for (int k = 0; k < t->ncrops; k++)
            if (t->crops[k].seed == one.crops[c].seed) {
                t->crops[k].kg[treatment] = one.crops[c].kg;
                t->crops[k].plants[treatment] = one.crops[c].plants;
            }
    t->energy_kcal[treatment] = one.energy_kcal;
    return HR_OK;
}

static hr_status estimates(struct making *m)
{
    struct trial *t = m->trial;
    t->ncrops = m->hills.nparts;
    for (int k = 0; k < t->ncrops; k++) {
        const struct part *part = &m->hills.parts[k];
        struct food_rate rate = food_rate_typical(part->crop);
        t->crops[k] = (struct trial_crop){.seed = part->seed, .energy_kcal_kg = rate.energy_kcal};
        t->crops[k].crop = part->crop->name.s;
        t->crops[k].variety = part->seed->variety.s;
        t->crops[k].share = t->row_guild ? 1 : m->shares[k];
    }
    hr_status status = estimate(t, TREATMENT_HILLS);
    return status == HR_OK ? estimate(t, TREATMENT_ROWS) : status;
}

/* ---- the whole ------------------------------------------------------------------------------ */

static unsigned hash(unsigned h, const void *bytes, size_t n)
{
    const unsigned char *p = bytes;
    for (size_t i = 0; i < n; i++)
        h = (h ^ p[i]) * 16777619u; /* FNV-1a */
    return h;
}

static unsigned hash_text(unsigned h, const char *s)
{
    return hash(h, s, strlen(s));
}

/* Names the paper: changes with whatever moves a plant. */
static void id_set(struct trial *t)
{
    unsigned h = hash_text(2166136261u, t->garden->name.s);
    for (int i = 0; i < 2 * t->blocks; i++)
        h = hash_text(h, t->halves[i].name);
    for (int s = 0; s < t->plan->nstations; s++) {
        long at[2] = {lround(t->plan->stations[s].x_m * 1e4),
                      lround(t->plan->stations[s].y_m * 1e4)};
        h = hash(h, at, sizeof at);
    }
    snprintf(t->id, sizeof t->id, "%08x", h);
    memcpy(t->plan->id, t->id, sizeof t->plan->id);
}

static hr_status set_out(struct making *m, const struct layout *l)
{
    struct trial *t = m->trial;
    t->plan = ARENA_NEW(t->arena, struct plan);
    t->halves = ARENA_ARRAY(t->arena, struct trial_half, 2 * (size_t)t->blocks);
    if (!t->plan || !t->halves)
        return HR_NOMEM;
    *t->plan = (struct plan){.arena = t->arena, .garden = t->garden};
    t->plan->zones.n = 2 * (size_t)t->blocks;
    t->plan->zones.items = ARENA_ARRAY(t->arena, struct zone, t->plan->zones.n);
    if (!t->plan->zones.items)
        return HR_NOMEM;
    t->ring = l->ring;
    t->along_x = l->along_x;
    t->half_length_m = l->length_m;
    t->half_depth_m = l->depth_m;
    t->guard_end_m = l->guard_end_m;
    t->guard_side_m = l->guard_side_m;
    t->net_length_m = l->net_length_m;
    t->net_depth_m = l->net_depth_m;
    hr_status status = halves_set(m, l);
    if (status == HR_OK)
        status = plan_fill(m, l);
    if (status == HR_OK)
        status = estimates(m);
    if (status == HR_OK)
        id_set(t);
    return status;
}

/* Said on stderr too, so that nobody finds out in October. */
static void say_small(const struct making *m)
{
    const struct trial *t = m->trial;
    const struct plot *plot = garden_plot(t->garden, (size_t)t->plot);
    char d[64], told[64], needed[32];
    num_fixed(d, sizeof d, 100 * t->difference, 0);
    if (t->needed > 0 && t->blocks >= t->needed)
        return;
    snprintf(needed, sizeof needed, t->needed > 0 ? "%d" : "over %d",
             t->needed > 0 ? t->needed : STATS_BLOCKS_MAX);
    if (!isfinite(t->told))
        diag_warning(m->diags, plot->at, "trial-small",
                     "to tell a difference of %s %% takes %s blocks, and this is one: one pair "
                     "tells nothing apart from luck",
                     d, needed);
    else
        diag_warning(m->diags, plot->at, "trial-small",
                     "to tell a difference of %s %% takes %s blocks, and these are %d: they tell "
                     "one of %s %% or more",
                     d, needed, t->blocks,
                     num_fixed(told, sizeof told, ceil(100 * t->told - 1e-9), 0));
}

static double or_default(double v, double otherwise)
{
    return v > 0 ? v : otherwise;
}

hr_status trial_make(const struct garden *garden, const struct trial_options *o,
                     struct arena *arena, struct diags *diags, struct trial **out)
{
    struct trial *t = ARENA_NEW(arena, struct trial);
    struct making m = {.trial = t, .diags = diags};
    struct layout layout = {0};
    if (!t)
        return HR_NOMEM;
    t->arena = arena;
    t->garden = garden;
    t->title = garden->name.s;
    t->units = (enum unit_system)garden->units.v;
    t->row_guild = o->row_guild;
    t->difference = or_default(o->difference, TRIAL_DIFFERENCE);
    t->cv = or_default(o->cv, TRIAL_CV);
    t->power = or_default(o->power, TRIAL_POWER);
    t->alpha = TRIAL_ALPHA;
    t->seed = o->seed > 0 ? o->seed : 1 + hash_text(2166136261u, garden->name.s) % 99999;
    t->alley_m = garden->units.v == UNITS_METRIC ? ALLEY_M : ALLEY_US_M;
    t->needed = stats_blocks_needed(t->difference, t->cv, t->power, t->alpha);
    hr_status status = zones_cut(garden, arena, diags, &m.zones);
    if (status == HR_OK)
        status = treatments_find(&m, o);
    if (status == HR_OK)
        status = site_find(&m, o, &layout);
    if (status != HR_OK)
        return status;
    t->told = stats_difference_told(t->blocks, t->cv, t->power, t->alpha);
    status = set_out(&m, &layout);
    if (status != HR_OK)
        return status;
    say_small(&m);
    *out = t;
    return HR_OK;
}
