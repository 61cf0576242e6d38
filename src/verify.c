/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Nothing here and in verify_place.c, verify_shade.c and verify_food.c may come from mip, allocate
 * or arrange, and the rules of where plants stand are written down a second time on purpose: what
 * the planner gets wrong, this must not get wrong with it. */
#include "verify_work.h"

#include <math.h>

#include "num.h"

/* ---- saying --------------------------------------------------------------------------------- */

void verify_breach_at(struct verifying *v, struct pos at, const char *fmt, ...)
{
    if (v->said++ >= VERIFY_SAID_MAX)
        return;
    struct strbuf text;
    va_list ap;
    strbuf_init(&text, v->arena);
    va_start(ap, fmt);
    strbuf_vprintf(&text, fmt, ap);
    va_end(ap);
    v->nomem |= text.failed;
    diag_error(v->diags, at, v->check, "%s", text.p);
}

const char *verify_number(struct verifying *v, double x)
{
    char *buf = arena_alloc(v->arena, 48, 1);
    return buf ? num_text(buf, 48, num_round_sig(x, 7)) : "?";
}

const char *verify_block(struct verifying *v, int b)
{
    const char *text =
        arena_printf(v->arena, "block b%d (%s)", b + 1, v->plan->blocks[b].planting->label);
    return text ? text : "a block";
}

bool verify_same(double a, double b)
{
    return fabs(a - b) <= VERIFY_PART * fmax(fabs(a), fabs(b)) + 1e-12;
}

/* ---- what everything else relies on --------------------------------------------------------- */

static bool counts(int i, size_t n)
{
    return i >= 0 && (size_t)i < n;
}

static bool part_sound(const struct verifying *v, const struct part *part)
{
    return counts(part->seed_index, v->garden->seed.n) && part->crop &&
           part->seed == garden_seed(v->garden, (size_t)part->seed_index) &&
           part->crop == part->seed->crop && part->per_station >= 1 && part->every >= 1 &&
           part->sown >= 0 && isfinite(part->sown) && isfinite(part->days) &&
           isfinite(part->delay_d) && counts((int)part->role, ROLE_COUNT);
}

static bool block_sound(const struct verifying *v, const struct block *block)
{
    const struct planting *p = block->planting;
    if (!counts(block->zone, v->plan->zones.n) || !p || p->nparts < 1 ||
        p->nparts > STAND_PARTS_MAX || !counts((int)p->system, SYSTEM_COUNT))
        return false;
    for (int k = 0; k < p->nparts; k++)
        if (!part_sound(v, &p->parts[k]) || !isfinite(block->light[k]))
            return false;
    return p->pitch_m > 0 && p->line_m > 0 && p->first_m > 0 && p->stagger_m >= 0 &&
           isfinite(p->pitch_m + p->line_m + p->first_m + p->stagger_m) && block->lines >= 1 &&
           isfinite(block->start_m + block->depth_m + block->along_m + block->length_m);
}

static bool zone_sound(const struct verifying *v, const struct zone *zone)
{
    const struct rect *r = &zone->r;
    return counts(zone->plot, v->garden->plots.n) && isfinite(r->x0 + r->y0 + r->x1 + r->y1) &&
           r->x0 < r->x1 && r->y0 < r->y1 && isfinite(zone->light);
}

static bool station_sound(const struct verifying *v, const struct station *s)
{
    const struct plan *plan = v->plan;
    if (!counts(s->block, (size_t)plan->nblocks) || !isfinite(s->x_m) || !isfinite(s->y_m))
        return false;
    const struct block *block = &plan->blocks[s->block];
    return s->plot == plan->zones.items[block->zone].plot &&
           counts(s->line, (size_t)block->lines) && s->index >= 0;
}

static bool line_sound(const struct verifying *v, const struct line *line)
{
    return counts(line->block, (size_t)v->plan->nblocks) && line->first >= 0 && line->n >= 0 &&
           line->first <= v->plan->nstations - line->n;
}

static bool crop_sound(const struct verifying *v, const struct crop_result *c)
{
    for (size_t s = 0; s < v->garden->seed.n; s++)
        if (c->seed == garden_seed(v->garden, s))
            return true;
    return false;
}

/* No index leads out of the plan. Each kind is looked at only when what it refers to is sound. */
static void structure(struct verifying *v)
{
    const struct plan *plan = v->plan;
    for (size_t z = 0; z < plan->zones.n; z++)
        if (!zone_sound(v, &plan->zones.items[z]))
            verify_breach(v, "zone %zu is not a rectangle of a plot", z + 1);
    for (size_t g = 0; g < plan->zones.ngrounds; g++)
        if (!counts(plan->zones.grounds[g].plot, v->garden->plots.n))
            verify_breach(v, "ground %zu is of no plot", g + 1);
    for (int b = 0; b < plan->nblocks && v->said == 0; b++)
        if (!block_sound(v, &plan->blocks[b]))
            verify_breach(v, "block b%d speaks of ground, seed or spacings that cannot be", b + 1);
    for (int s = 0; s < plan->nstations && v->said == 0; s++)
        if (!station_sound(v, &plan->stations[s]))
            verify_breach(v, "station %s has no place in a block", plan->stations[s].id);
    for (int l = 0; l < plan->nlines && v->said == 0; l++)
        if (!line_sound(v, &plan->lines[l]))
            verify_breach(v, "line %d has no place in a block", l + 1);
    for (int c = 0; c < plan->ncrops && v->said == 0; c++)
        if (!crop_sound(v, &plan->crops[c]))
            verify_breach(v, "crop %d of the harvest is not among the seed in hand", c + 1);
}

/* ---- the table ------------------------------------------------------------------------------ */

static const struct check {
    const char *name, *doc;
    void (*fn)(struct verifying *v);
} checks[] = {
    {"verify-structure", "a plan that does not hang together; nothing more is checked", structure},
    {"verify-zone", "a zone outside the free ground, or over another", verify_zones},
    {"verify-direction", "rows of one plot that run two ways, or not as asked", verify_direction},
    {"verify-block", "a block outside its zone, over another, or one too many", verify_blocks},
    {"verify-light", "more light than the site has", verify_light},
    {"verify-shade", "a block that is said to get more light than those beside it leave",
     verify_shade},
    {"verify-neighbour", "more shade beyond a side than is allowed", verify_neighbours},
    {"verify-planting", "a planting the library or the garden does not allow", verify_plantings},
    {"verify-rules", "a planting that the plot's days or bans rule out", verify_rules},
    {"verify-access", "what is picked again and again where nobody gets at it", verify_access},
    {"verify-season", "a crop that does not ripen, or other dates than the site's", verify_season},
    {"verify-warmth", "seed in cold soil, or a harvest before or after its degree days",
     verify_warmth},
    {"verify-line", "a line that is missing, or not full", verify_lines},
    {"verify-station", "a station off its place in the line", verify_stations},
    {"verify-plants", "a station with other plants than its planting says", verify_plants},
    {"verify-ground", "a station or hill that is not wholly on free ground", verify_ground},
    {"verify-spacing", "stations closer than half-spacings allow", verify_spacing},
    {"verify-heights", "crops taller than the rules of the plot allow", verify_heights},
    {"verify-number", "a station with another number than its place has", verify_numbers},
    {"verify-sowing", "too few seeds at a spot for the plants that are kept", verify_sowing},
    {"verify-crop", "plants, seed or ground of a crop that do not add up", verify_crops},
    {"verify-isolation", "seed to save that would cross with what stands near", verify_isolation},
    {"verify-rotation", "a family on ground that it has to keep off", verify_rotation},
    {"verify-standing", "what stands already, moved, missing or made up", verify_standing},
    {"verify-seed", "more sown than is in hand", verify_seed},
    {"verify-food", "harvest or food that do not follow from the stations", verify_food},
    {"verify-kept", "what is kept for seed, or left to eat, that does not follow", verify_kept},
    {"verify-hours", "hours that do not add up, or too many", verify_hours},
    {"verify-mulch", "more mulch than can be had, or wood chips where they are banned",
     verify_mulch},
    {"verify-value", "a value, bound or gap that do not follow", verify_value},
    {"verify-range", "an estimate whose low, typical and high are out of order", verify_ranges},
    {"verify-wish", "a wish that is not met", verify_wishes},
    {"verify-share", "too much from one crop", verify_shares},
};

const char *verify_check_name(size_t n, const char **doc)
{
    if (n >= sizeof checks / sizeof *checks)
        return NULL;
    if (doc)
        *doc = checks[n].doc;
    return checks[n].name;
}

static void run(struct verifying *v, size_t i)
{
    v->check = checks[i].name;
    v->said = 0;
    checks[i].fn(v);
    if (v->said > VERIFY_SAID_MAX)
        diag_note(v->diags, (struct pos){0}, "and more of this kind");
}

static hr_status grounds_find(struct verifying *v)
{
    size_t n = v->garden->plots.n;
    v->grounds = ARENA_ARRAY(v->arena, struct geom *, n);
    if (!v->grounds)
        return HR_NOMEM;
    for (size_t i = 0; i < n; i++) {
        hr_status status =
            geom_free_ground(garden_plot(v->garden, i), v->arena, v->diags, &v->grounds[i]);
        if (status == HR_NOMEM)
            return status;
    }
    return HR_OK;
}

static void grounds_free(struct verifying *v)
{
    for (size_t i = 0; v->grounds && i < v->garden->plots.n; i++)
        geom_free(v->grounds[i]);
}

hr_status verify_plan(const struct plan *plan, struct arena *arena, struct diags *diags)
{
    struct verifying v = {.plan = plan, .garden = plan->garden, .arena = arena, .diags = diags};
    size_t before = diags_errors(diags);
    run(&v, 0);
    if (v.nomem)
        return HR_NOMEM;
    if (v.said > 0)
        return HR_INPUT;
    hr_status status = grounds_find(&v);
    if (status == HR_OK) {
        verify_count(&v);
        for (size_t i = 1; i < sizeof checks / sizeof *checks && !v.nomem; i++)
            run(&v, i);
    }
    grounds_free(&v);
    if (status != HR_OK || v.nomem)
        return HR_NOMEM;
    return diags_errors(diags) > before ? HR_INPUT : HR_OK;
}
