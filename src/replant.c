/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "replant.h"

#include <math.h>

#include "range.h"

#define SHARES 24 /* a strip takes so many 24ths of the ground: finer changes food by under 1 % */

/* A strip is at least half as wide as rows of its crop stand apart at their closest: beyond that
 * its leaves lie over the neighbours' ground. */
#define STRIP_LEAST 0.5

/* A plan in the making: the blocks of the old one, those of hills replaced. */
struct work {
    const struct plan *old;
    const struct guild *guild;
    struct range_stand stand;
    struct range_season typical;
    struct arena *arena;
    struct menu menu;
    struct allocation allocation;
};

static bool is_hills(const struct block *block, const struct guild *guild)
{
    return block->planting->guild == guild && block->planting->system == SYSTEM_HILLS;
}

double replant_ground(const struct plan *plan, const struct guild *guild)
{
    double area = 0;
    for (int b = 0; b < plan->nblocks; b++)
        if (is_hills(&plan->blocks[b], guild))
            area += block_area(&plan->blocks[b]);
    return area;
}

/* ---- choosing ------------------------------------------------------------------------------ */

/* The planting with so many lines in the zone becomes part of the new plan. */
static hr_status choose(struct work *w, const struct planting *p, int zone, int lines, int stations)
{
    struct menu *m = &w->menu;
    m->plantings[m->nplantings] = *p;
    if (!menu_item_make(m, &w->old->zones, zone, m->nplantings, &m->items[m->nitems]))
        return HR_BUG;
    w->allocation.chosen[w->allocation.n++] = (struct choice_lines){m->nitems, lines, stations};
    m->nplantings++;
    m->nitems++;
    return HR_OK;
}

static hr_status keep(struct work *w, const struct block *block)
{
    int stations = block->shared ? planting_stations(block->planting, block->length_m, 0) : 0;
    return choose(w, block->planting, block->zone, block->lines, stations);
}

static hr_status spread(struct work *w, int b)
{
    struct planting p;
    const struct block *block = &w->old->blocks[b];
    hr_status status = menu_spread(block->planting, w->arena, &p);
    return status == HR_OK ? choose(w, &p, block->zone, block->lines, 0) : status;
}

/* ---- strips -------------------------------------------------------------------------------- */

/* n plants of a crop in rows that take depth_m across a zone: `more` rows of plants + 1 and `rows`
 * of plants. */
struct strip {
    double line_m;
    int rows, more, plants;
};

static struct strip strip_of(const struct crop *crop, int n, double depth_m)
{
    int lines = (int)fmin(fmax(1, round(depth_m / crop->row_m.typ)), n);
    return (struct strip){depth_m / lines, lines - n % lines, n % lines, n / lines};
}

/* Food of a sole crop whose n plants stand evenly on the ground of a strip. */
static void strip_food(const struct work *w, const struct part *part, int n, double area,
                       double light, struct food *food)
{
    double kg_m2;
    struct stand_part alone = {
        .figures = &w->typical.crops[part->seed_index].figures,
        .law = (enum density_law)part->crop->density_law.v,
        .role = ROLE_ALONE,
        .density_m2 = n / area,
        .per_hill = 1,
        .light = light,
    };
    stand_yields(&alone, 1, &w->typical.mixture, &kg_m2);
    food_add(food, &w->typical.crops[part->seed_index].rate, kg_m2 * area);
}

/* The hills of a zone taken together. */
struct patch {
    const struct planting *planting; /* of the first block: whose crops they are */
    int zone, plants[STAND_PARTS_MAX];
    double depth_m, length_m, light[STAND_PARTS_MAX];
};

static bool same_crops(const struct planting *a, const struct planting *b)
{
    for (int k = 0; k < a->nparts; k++)
        if (a->parts[k].seed_index != b->parts[k].seed_index)
            return false;
    return true;
}

/* Whether block b is of hills like those of block `first`, in the same zone. */
static bool in_patch(const struct work *w, int first, int b)
{
    const struct block *f = &w->old->blocks[first], *o = &w->old->blocks[b];
    return is_hills(o, w->guild) && o->zone == f->zone && same_crops(o->planting, f->planting);
}

static struct patch patch_of(const struct work *w, int first)
{
    const struct block *f = &w->old->blocks[first];
    struct patch p = {.planting = f->planting, .zone = f->zone, .length_m = f->length_m};
    for (int b = first; b < w->old->nblocks; b++) {
        const struct block *block = &w->old->blocks[b];
        if (!in_patch(w, first, b))
            continue;
        for (int k = 0; k < p.planting->nparts; k++) {
            p.plants[k] += w->stand.plants[b][k];
            p.light[k] += block->light[k] * block->depth_m;
        }
        p.depth_m += block->depth_m;
    }
    for (int k = 0; k < p.planting->nparts; k++)
        p.light[k] /= p.depth_m;
    return p;
}

/* The food of everything that is not of the patch. */
static struct food food_beside(const struct work *w, int first)
{
    struct food food = {0};
    for (int b = 0; b < w->old->nblocks; b++) {
        const struct planting *p = w->old->blocks[b].planting;
        struct stand_figures figures[STAND_PARTS_MAX];
        double kg[STAND_PARTS_MAX];
        for (int k = 0; k < p->nparts; k++)
            figures[k] = w->typical.crops[p->parts[k].seed_index].figures;
        planting_plant_kg(p, figures, &w->typical.mixture, w->old->blocks[b].light, kg);
        for (int k = 0; !in_patch(w, first, b) && k < p->nparts; k++)
            food_add(&food, &w->typical.crops[p->parts[k].seed_index].rate,
                     kg[k] * w->stand.plants[b][k]);
    }
    return food;
}

/* Tries every way to share SHARES parts of the ground among the crops there are plants of. */
struct sharing {
    const struct work *w;
    struct patch patch;
    int parts[STAND_PARTS_MAX], n;                       /* those with plants */
    int least[STAND_PARTS_MAX], shares[STAND_PARTS_MAX]; /* of parts[i] */
    int best[STAND_PARTS_MAX];                           /* of the planting's part k */
    double value;
};

static void weigh(struct sharing *s, const struct food *food)
{
    const struct garden *g = s->w->old->garden;
    double value = food_value(food, (enum goal)g->goal.v, &g->ration);
    if (s->value >= 0 && value <= s->value * (1 + 1e-12))
        return;
    s->value = value;
    for (int i = 0; i < s->n; i++)
        s->best[s->parts[i]] = s->shares[i];
}

static void share_out(struct sharing *s, int i, int left, const struct food *so_far)
{
    const struct patch *patch = &s->patch;
    int after = 0, k = s->parts[i];
    for (int j = i + 1; j < s->n; j++)
        after += s->least[j];
    for (int share = i + 1 < s->n ? s->least[i] : left; share <= left - after; share++) {
        struct food food = *so_far;
        s->shares[i] = share;
        strip_food(s->w, &patch->planting->parts[k], patch->plants[k],
                   patch->depth_m * patch->length_m * share / SHARES, patch->light[k], &food);
        if (i + 1 < s->n)
            share_out(s, i + 1, left - share, &food);
        else
            weigh(s, &food);
    }
}

/* The least of each crop; on ground too narrow for that, in proportion. */
static void set_least(struct sharing *s)
{
    double wanted[STAND_PARTS_MAX], sum = 0;
    for (int i = 0; i < s->n; i++) {
        wanted[i] = STRIP_LEAST * s->patch.planting->parts[s->parts[i]].crop->row_m.low;
        sum += wanted[i];
    }
    double scale = fmin(1, (s->patch.depth_m) / sum) * SHARES / s->patch.depth_m;
    for (int i = 0; i < s->n; i++)
        s->least[i] = (int)fmax(1, floor(wanted[i] * scale));
}

/* Rows of `plants` each, over the whole length. */
static hr_status choose_rows(struct work *w, const struct patch *patch, int seed_index,
                             double line_m, int rows, int plants)
{
    struct planting p;
    if (rows == 0 || plants == 0)
        return HR_OK;
    hr_status status = menu_rows(w->old->garden, seed_index, &patch->planting->stay,
                                 patch->length_m / plants, line_m, w->arena, &p);
    return status == HR_OK ? choose(w, &p, patch->zone, rows, 0) : status;
}

static hr_status strips(struct work *w, int b)
{
    for (int before = 0; before < b; before++)
        if (is_hills(&w->old->blocks[before], w->guild) && in_patch(w, before, b))
            return HR_OK; /* planted with that */
    struct sharing s = {.w = w, .patch = patch_of(w, b), .value = -1};
    const struct patch *patch = &s.patch;
    struct food beside = food_beside(w, b);
    for (int k = 0; k < patch->planting->nparts; k++)
        if (patch->plants[k] > 0)
            s.parts[s.n++] = k;
    if (s.n == 0)
        return HR_OK;
    set_least(&s);
    share_out(&s, 0, SHARES, &beside);
    hr_status status = HR_OK;
    for (int i = 0; i < s.n && status == HR_OK; i++) {
        const struct part *part = &patch->planting->parts[s.parts[i]];
        struct strip strip = strip_of(part->crop, patch->plants[s.parts[i]],
                                      patch->depth_m * s.best[s.parts[i]] / SHARES);
        status =
            choose_rows(w, patch, part->seed_index, strip.line_m, strip.more, strip.plants + 1);
        if (status == HR_OK)
            status =
                choose_rows(w, patch, part->seed_index, strip.line_m, strip.rows, strip.plants);
    }
    return status;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static hr_status work_init(struct work *w, const struct plan *plan, const struct guild *guild)
{
    size_t most = (size_t)plan->nblocks * 2 * STAND_PARTS_MAX;
    *w = (struct work){.old = plan, .guild = guild, .arena = plan->arena};
    w->menu.plantings = ARENA_ARRAY(w->arena, struct planting, most);
    w->menu.items = ARENA_ARRAY(w->arena, struct item, most);
    w->allocation.chosen = ARENA_ARRAY(w->arena, struct choice_lines, most);
    if (!w->menu.plantings || !w->menu.items || !w->allocation.chosen)
        return HR_NOMEM;
    hr_status status = range_stand_count(plan, w->arena, &w->stand);
    return status == HR_OK ? range_typical(plan->garden, w->arena, &w->typical) : status;
}

/* The new plan: the same zones, the blocks in the order that shades least. */
static hr_status stand_anew(struct work *w, struct plan **out)
{
    struct arrangement a;
    struct plan *plan = ARENA_NEW(w->arena, struct plan);
    if (!plan)
        return HR_NOMEM;
    *plan = (struct plan){.arena = w->arena,
                          .garden = w->old->garden,
                          .zones = w->old->zones,
                          .menu = w->menu,
                          .status = PLAN_FEASIBLE,
                          .gap_asked = w->old->gap_asked};
    hr_status status =
        arrange(plan->garden, &plan->zones, &plan->menu, &w->allocation, w->arena, &a);
    if (status != HR_OK)
        return status;
    plan->blocks = a.blocks;
    plan->nblocks = a.n;
    status = plan_settle(plan);
    if (status == HR_OK)
        *out = plan;
    return status;
}

static hr_status replant(const struct plan *plan, const struct guild *guild,
                         hr_status (*anew)(struct work *w, int b), struct plan **out)
{
    struct work w;
    hr_status status = work_init(&w, plan, guild);
    for (int b = 0; b < plan->nblocks && status == HR_OK; b++)
        status = is_hills(&plan->blocks[b], guild) ? anew(&w, b) : keep(&w, &plan->blocks[b]);
    return status == HR_OK ? stand_anew(&w, out) : status;
}

hr_status replant_row_guild(const struct plan *plan, const struct guild *guild, struct plan **out)
{
    return replant(plan, guild, spread, out);
}

hr_status replant_rows(const struct plan *plan, const struct guild *guild, struct plan **out)
{
    return replant(plan, guild, strips, out);
}
