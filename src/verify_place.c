/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where things stand: zones, blocks, plantings, stations. See verify.h. */
#include "verify_work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"
#include "outline.h"

#define NEAR_M 1e-6 /* lengths: less is no difference */

static const struct zone *zone_of(const struct verifying *v, int b)
{
    return &v->plan->zones.items[v->plan->blocks[b].zone];
}

/* ---- ground --------------------------------------------------------------------------------- */

static bool zone_used(const struct verifying *v, size_t z)
{
    for (int b = 0; b < v->plan->nblocks; b++)
        if ((size_t)v->plan->blocks[b].zone == z)
            return true;
    return false;
}

static bool overlap(const struct rect *a, const struct rect *b)
{
    return a->x0 < b->x1 - NEAR_M && b->x0 < a->x1 - NEAR_M && a->y0 < b->y1 - NEAR_M &&
           b->y0 < a->y1 - NEAR_M;
}

/* What is told of the ground of a plot in one row direction. */
static void ground_areas(struct verifying *v, const struct ground *g)
{
    const char *name = garden_plot(v->garden, (size_t)g->plot)->name.s;
    const struct zones *zones = &v->plan->zones;
    double zoned = 0, free_m2 = geom_area(v->grounds[g->plot]);
    for (size_t z = 0; z < zones->n; z++)
        if (zones->items[z].plot == g->plot && zones->items[z].along_x == g->along_x &&
            !zone_standing(&zones->items[z]))
            zoned += zones->items[z].length_m * zones->items[z].depth_m;
    double lost = free_m2 > 0 ? num_clamp(1 - zoned / free_m2, 0, 1) : 0;
    if (!verify_same(g->free_m2, free_m2) || !verify_same(g->zoned_m2, zoned) ||
        fabs(g->lost_share - lost) > VERIFY_PART || g->outline_m2 < free_m2 * (1 - VERIFY_PART))
        verify_breach(v, "the ground of %s is %s m2, %s of it in zones; the plan says %s and %s",
                      name, verify_number(v, free_m2), verify_number(v, zoned),
                      verify_number(v, g->free_m2), verify_number(v, g->zoned_m2));
}

void verify_zones(struct verifying *v)
{
    const struct zones *zones = &v->plan->zones;
    for (size_t g = 0; g < zones->ngrounds; g++)
        if (v->grounds[zones->grounds[g].plot])
            ground_areas(v, &zones->grounds[g]);
    for (size_t z = 0; z < zones->n; z++) {
        const struct zone *zone = &zones->items[z];
        if (!zone_used(v, z))
            continue;
        double dx = zone->r.x1 - zone->r.x0, dy = zone->r.y1 - zone->r.y0;
        if (fabs(zone->length_m - (zone->along_x ? dx : dy)) > NEAR_M ||
            fabs(zone->depth_m - (zone->along_x ? dy : dx)) > NEAR_M)
            verify_breach(v, "the sides of zone %s do not fit its rectangle", zone->name);
        if (v->grounds[zone->plot] && !zone_standing(zone) &&
            !geom_has_rect(v->grounds[zone->plot], zone->r))
            verify_breach(v, "zone %s reaches out of the free ground of %s", zone->name,
                          garden_plot(v->garden, (size_t)zone->plot)->name.s);
        for (size_t y = 0; y < z; y++)
            if (zones->items[y].plot == zone->plot && zone_used(v, y) &&
                overlap(&zones->items[y].r, &zone->r))
                verify_breach(v, "zones %s and %s overlap", zones->items[y].name, zone->name);
    }
}

void verify_direction(struct verifying *v)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct zone *zone = zone_of(v, b);
        const struct plot *plot = garden_plot(v->garden, (size_t)zone->plot);
        if (zone_standing(zone))
            continue;
        if (plot->rows.v != ROWS_EITHER && zone->along_x != (plot->rows.v == ROWS_ALONG_X))
            verify_breach_at(v, plot->rows.at, "%s runs across the rows asked for",
                             verify_block(v, b));
        for (int a = 0; a < b; a++)
            if (zone_of(v, a)->plot == zone->plot && zone_of(v, a)->along_x != zone->along_x &&
                !zone_standing(zone_of(v, a))) {
                verify_breach(v, "%s and b%d of one plot run across each other", verify_block(v, b),
                              a + 1);
                break;
            }
    }
}

struct rect verify_block_ground(const struct verifying *v, int b)
{
    const struct block *block = &v->plan->blocks[b];
    const struct zone *zone = zone_of(v, b);
    double a0 = block->along_m, a1 = a0 + block->length_m;
    double c0 = block->start_m, c1 = c0 + block->depth_m;
    struct rect r = {zone->along_x ? a0 : c0, zone->along_x ? c0 : a0, zone->along_x ? a1 : c1,
                     zone->along_x ? c1 : a1};
    return r;
}

/* Whether one is off the ground a week before the other goes in: only such may share ground. */
static bool take_turns(const struct planting *p, const struct planting *q)
{
    if (p->slot == SLOT_SECOND) {
        const struct planting *swap = p;
        p = q;
        q = swap;
    }
    int done = STAY_EARLIEST, sown = STAY_LATEST;
    for (int k = 0; k < p->nparts; k++)
        if (p->parts[k].season.harvest_typ > done)
            done = p->parts[k].season.harvest_typ;
    for (int k = 0; k < q->nparts; k++)
        if (q->parts[k].season.sow < sown)
            sown = q->parts[k].season.sow;
    return p->slot == SLOT_FIRST && q->slot == SLOT_SECOND && done + 7 <= sown;
}

/* Ground across the rows that a block's own lines take. */
static double own_depth(const struct block *block)
{
    return block->planting->first_m + (block->lines - 1) * block->planting->line_m;
}

/* That of the block; of a shared line its widest part's. */
static double depth_due(const struct verifying *v, const struct block *block)
{
    double depth = own_depth(block);
    for (int a = 0; block->shared && a < v->plan->nblocks; a++) {
        const struct block *other = &v->plan->blocks[a];
        if (other->shared && other->zone == block->zone &&
            fabs(other->start_m - block->start_m) <= NEAR_M)
            depth = fmax(depth, own_depth(other));
    }
    return depth;
}

/* How far the block reaches over its zone: at the start and the end of its rows, and beyond the
 * zone's first and last line. */
enum { ROWS_START, ROWS_END, FIRST_LINE, LAST_LINE, ENDS };
static const char *const end_words[ENDS] = {"end", "end", "first line", "last line"};

static void reach_over(const struct verifying *v, int b, double over[ENDS])
{
    const struct block *block = &v->plan->blocks[b];
    const struct zone *zone = zone_of(v, b);
    over[ROWS_START] = -block->along_m;
    over[ROWS_END] = block->along_m + block->length_m - zone->length_m;
    over[FIRST_LINE] = -block->start_m;
    over[LAST_LINE] = block->start_m + block->depth_m - zone->depth_m;
}

/* Whether vines may cover a point off a zone: by a side that they may spill over, in
 * the border strip before it or 0.6 m beyond. */
static bool spill_allowed(const struct plot *plot, const struct point *corners, size_t n,
                          struct point at)
{
    const struct edge *edges = plot->edges.items;
    double off = outline_has(corners, n, at.x, at.y) ? plot->border_m.v + 0.02 : 0.6;
    for (size_t k = 0; k < plot->edges.n; k++) {
        size_t side = (size_t)num_clamp(edges[k].side.v, 1, (double)n) - 1;
        struct point stretch[2] = {corners[side], corners[(side + 1) % n]};
        if (edges[k].overhang.v && outline_distance(stretch, 2, at.x, at.y) <= off + NEAR_M)
            return true;
    }
    return false;
}

/* Whether both corners of what reaches over an end may be covered. */
static bool end_allowed(const struct verifying *v, int b, int end, const struct point *corners,
                        size_t n)
{
    const struct zone *zone = zone_of(v, b);
    const struct plot *plot = garden_plot(v->garden, (size_t)zone->plot);
    const struct block *block = &v->plan->blocks[b];
    double along[2] = {fmax(block->along_m, 0),
                       fmin(block->along_m + block->length_m, zone->length_m)};
    double across[2] = {fmax(block->start_m, 0),
                        fmin(block->start_m + block->depth_m, zone->depth_m)};
    if (end == ROWS_START || end == ROWS_END)
        along[0] = along[1] = end == ROWS_START ? block->along_m : block->along_m + block->length_m;
    else
        across[0] = across[1] =
            end == FIRST_LINE ? block->start_m : block->start_m + block->depth_m;
    for (int k = 0; k < 2; k++) {
        double x = zone->r.x0 + (zone->along_x ? along[k] : across[k]);
        double y = zone->r.y0 + (zone->along_x ? across[k] : along[k]);
        if (!spill_allowed(plot, corners, n, (struct point){.x = x, .y = y}))
            return false;
    }
    return true;
}

/* Only vines reach over a zone, and only over a path they may cover; that stems do not is checked
 * with the stations. */
static void block_spill(struct verifying *v, int b)
{
    const struct block *block = &v->plan->blocks[b];
    const struct zone *zone = zone_of(v, b);
    double over[ENDS];
    bool vines = false;
    size_t n = 0;
    reach_over(v, b, over);
    for (int k = 0; k < block->planting->nparts; k++)
        vines |= block->planting->parts[k].crop->role.v == ROLE_COVER;
    const struct point *corners =
        plot_corners(v->arena, garden_plot(v->garden, (size_t)zone->plot), &n);
    v->nomem |= !corners;
    for (int end = 0; corners && end < ENDS; end++) {
        if (over[end] <= NEAR_M)
            continue;
        if (!vines || block->shared)
            verify_breach(v, "%s reaches over the %s of its zone %s", verify_block(v, b),
                          end_words[end], zone->name);
        else if (!end_allowed(v, b, end, corners, n))
            verify_breach(v, "%s spills where its vines may not", verify_block(v, b));
    }
}

static void block_shape(struct verifying *v, int b)
{
    const struct block *block = &v->plan->blocks[b];
    const struct zone *zone = zone_of(v, b);
    double due = depth_due(v, block);
    if (fabs(block->depth_m - due) > NEAR_M)
        verify_breach(v, "%s is %s m deep; its lines take %s m", verify_block(v, b),
                      verify_number(v, block->depth_m), verify_number(v, due));
    double over[ENDS];
    reach_over(v, b, over);
    if (block->length_m <= 0)
        verify_breach(v, "%s has no length in its zone %s", verify_block(v, b), zone->name);
    if (block->shared ? block->lines != 1 || block->planting->system != SYSTEM_ROWS
                      : over[ROWS_START] < -NEAR_M || over[ROWS_END] < -NEAR_M)
        verify_breach(v, "%s is neither whole lines of its zone nor part of a row",
                      verify_block(v, b));
}

void verify_blocks(struct verifying *v)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct zone *zone = zone_of(v, b);
        struct rect r = verify_block_ground(v, b);
        int in_zone = !planting_standing(v->plan->blocks[b].planting);
        block_shape(v, b);
        block_spill(v, b);
        for (int a = 0; a < b; a++) {
            if (v->plan->blocks[a].zone != v->plan->blocks[b].zone)
                continue;
            struct rect other = verify_block_ground(v, a);
            in_zone += !planting_standing(v->plan->blocks[a].planting);
            if (overlap(&other, &r) &&
                !take_turns(v->plan->blocks[a].planting, v->plan->blocks[b].planting))
                verify_breach(v, "%s and b%d overlap", verify_block(v, b), a + 1);
        }
        if (in_zone > garden_blocks(v->garden))
            verify_breach_at(v, v->garden->limits.blocks.at, "zone %s has more than %s blocks",
                             zone->name, verify_number(v, garden_blocks(v->garden)));
    }
}

void verify_light(struct verifying *v)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct zone *zone = zone_of(v, b);
        if (zone->light < 0 || zone->light > v->garden->site.sun.v + VERIFY_PART)
            verify_breach(v, "zone %s has more light than its site", zone->name);
        for (int k = 0; k < v->plan->blocks[b].planting->nparts; k++) {
            double light = v->plan->blocks[b].light[k];
            if (light < 0 || light > zone->light + 1e-9)
                verify_breach(v, "%s has %s of the light; its ground has %s", verify_block(v, b),
                              verify_number(v, light), verify_number(v, zone->light));
        }
    }
}

/* ---- plantings: as library and gardener have it --------------------------------------------- */

static bool listed(const struct list *names, const char *name)
{
    const struct text *items = names->items;
    for (size_t i = 0; i < names->n; i++)
        if (str_same(items[i].s, name))
            return true;
    return false;
}

static bool in_range(double x, const struct range *r)
{
    return x >= r->low - NEAR_M && x <= r->high + NEAR_M;
}

/* A whole number that some value of the range rounds to. */
static bool rounds_in(int x, double low, double high)
{
    return x >= fmax(1, round(low)) && x <= fmax(1, round(high));
}

/* The canopy is that of the tallest part that does not climb on another; in its full stand it fades
 * light by k times its leaf area. */
static const char *canopy_fault(const struct planting *p)
{
    double height = 0, spread = 0, fading = 0;
    for (int k = 0; k < p->nparts; k++) {
        const struct crop *crop = p->parts[k].crop;
        if (p->nparts > 1 && p->parts[k].role == ROLE_CLIMBER)
            continue;
        if (crop->height_m.typ > height)
            fading = crop->extinction.typ * crop->lai.typ;
        height = fmax(height, crop->height_m.typ);
        spread = fmax(spread, crop->spread_m.typ);
    }
    if (fabs(p->height_m - height) > NEAR_M || fabs(p->spread_m - spread) > NEAR_M)
        return "its canopy is not that of its crops";
    if (p->extinction_per_m * p->height_m > fading * (1 + VERIFY_PART))
        return "its canopy takes more light than its leaves can";
    return NULL;
}

/* What is wrong with a row crop's spacing, NULL: nothing. */
static const char *rows_fault(const struct planting *p)
{
    const struct crop *crop = p->parts[0].crop;
    if (p->parts[0].ring_m > NEAR_M || fabs(p->parts[0].delay_d) > NEAR_M ||
        p->hill_diameter_m > NEAR_M || p->hill_height_m > NEAR_M)
        return "a crop on its own has no hills, and waits for nothing";
    if (p->system != SYSTEM_ROWS || p->nparts != 1)
        return "a crop on its own stands in rows";
    if (!in_range(p->pitch_m, &crop->in_row_m) || !in_range(p->line_m, &crop->row_m))
        return "its spacing is outside the crop's";
    if (fabs(p->first_m - p->line_m) > NEAR_M || p->stagger_m > NEAR_M)
        return "its rows are not evenly spaced";
    if (p->parts[0].per_station != 1 || p->parts[0].every != 1)
        return "a spot in a row keeps one plant";
    return NULL;
}

static const char *guild_spacing_fault(const struct planting *p, const struct guild *guild)
{
    const struct guild_member *members = guild->members.items;
    if (p->system == SYSTEM_HILLS) {
        if (!in_range(p->pitch_m, &guild->pitch_m))
            return "its pitch is outside the guild's";
        if (fabs(p->first_m - p->pitch_m) > NEAR_M ||
            fabs(p->line_m - p->pitch_m * sqrt(0.75)) > NEAR_M ||
            fabs(p->stagger_m - p->pitch_m / 2) > NEAR_M)
            return "its hills are not staggered at the pitch";
        if (!in_range(p->hill_diameter_m, &guild->hill_diameter_m) ||
            !in_range(p->hill_height_m, &guild->hill_height_m))
            return "its hills are not built as the guild asks";
        return NULL;
    }
    if (!in_range(p->line_m, &guild->row_m) || fabs(p->first_m - p->line_m) > NEAR_M ||
        p->stagger_m > NEAR_M)
        return "its rows are not spaced as the guild asks";
    return in_range(p->pitch_m, &members[0].row_gap_m)
               ? NULL
               : "its spots are not spaced as the guild asks";
}

static const char *member_fault(const struct planting *p, int k, const struct guild_member *mb)
{
    const struct part *part = &p->parts[k];
    if (!listed(&mb->crops, part->crop->name.s) || (int)part->role != mb->role.v)
        return "the guild has no such place for it";
    if (!in_range(part->delay_d, &mb->delay_d))
        return "it is not sown when the guild asks";
    if (p->system == SYSTEM_HILLS) {
        int every = mb->every.set ? (int)mb->every.v : 1;
        if (!rounds_in(part->per_station, mb->per_hill.low, mb->per_hill.high) ||
            part->every != every || !in_range(part->ring_m, &mb->ring_m))
            return "it does not stand in the hill as the guild asks";
        return NULL;
    }
    const struct range *gap = &mb->row_gap_m;
    if (!rounds_in(part->per_station, p->pitch_m / gap->high, p->pitch_m / gap->low) ||
        !rounds_in(part->every, gap->low / p->pitch_m, gap->high / p->pitch_m))
        return "it does not stand in the row as the guild asks";
    return NULL;
}

static const char *planting_fault(const struct verifying *v, const struct planting *p)
{
    const struct grow *grow = &v->garden->grow;
    const struct guild *guild = p->guild;
    if (planting_standing(p))
        return canopy_fault(p); /* it stands as it was set */
    if (grow->systems.set && !listed(&grow->systems, system_names[p->system]))
        return "the garden does not ask for this system";
    if (!guild && grow->crops.set && !listed(&grow->crops, p->parts[0].crop->name.s))
        return "the garden does not ask for this crop";
    if (!guild) {
        const char *fault = rows_fault(p);
        return fault ? fault : canopy_fault(p);
    }
    if (grow->guilds.set && !listed(&grow->guilds, guild->name.s))
        return "the garden does not ask for this guild";
    if (p->system == SYSTEM_ROWS || !listed(&guild->systems, system_names[p->system]))
        return "the guild is not grown in this system";
    if ((size_t)p->nparts != guild->members.n)
        return "the guild has another number of members";
    const struct guild_member *members = guild->members.items;
    const char *fault = guild_spacing_fault(p, guild);
    for (int k = 0; k < p->nparts && !fault; k++)
        fault = member_fault(p, k, &members[k]);
    return fault ? fault : canopy_fault(p);
}

/* Whether the plot's rules let it stand there, in these days. */
static const char *rule_fault(const struct verifying *v, const struct planting *p,
                              size_t plot_index)
{
    const struct plot *plot = garden_plot(v->garden, plot_index);
    const struct site *site = &v->garden->site;
    if (p->slot != SLOT_WHOLE && (!v->garden->grow.second.v || p->guild))
        return "the garden asks for no second crops, or it is not a crop in rows";
    for (int k = 0; k < p->nparts; k++) {
        const struct crop *crop = p->parts[k].crop;
        const struct season *s = &p->parts[k].season;
        if (p->slot == SLOT_FIRST && seed_stays(p->parts[k].seed, plot))
            return "its plants for seed stay, and a second crop is to follow";
        if (plot->open.set && s->sow < season_day(site, plot->open.d))
            return "it goes in before the plot's opening day";
        if (plot->clear.set && s->harvest_typ > season_day(site, plot->clear.d))
            return "it stands when the plot must be clear";
        for (size_t i = 0; i < plot->banned.n; i++) {
            const char *name = ((const struct text *)plot->banned.items)[i].s;
            if (strcmp(name, crop->name.s) == 0 || strcmp(name, crop->family.s) == 0)
                return "the plot's rules ban one of its crops";
        }
    }
    return NULL;
}

void verify_rules(struct verifying *v)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        if (planting_standing(v->plan->blocks[b].planting))
            continue; /* those who set it saw to the rules */
        const char *fault = rule_fault(v, v->plan->blocks[b].planting, (size_t)zone_of(v, b)->plot);
        if (fault)
            verify_breach(v, "%s: %s", verify_block(v, b), fault);
    }
}

void verify_plantings(struct verifying *v)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        const char *fault = planting_fault(v, v->plan->blocks[b].planting);
        if (fault)
            verify_breach(v, "%s: %s", verify_block(v, b), fault);
    }
}

static bool season_same(const struct season *a, const struct season *b)
{
    return a->fit == b->fit && a->sow_first == b->sow_first && a->sow == b->sow &&
           a->sow_last == b->sow_last && a->harvest_low == b->harvest_low &&
           a->harvest_typ == b->harvest_typ && a->harvest_high == b->harvest_high &&
           a->frost == b->frost && a->margin_d == b->margin_d;
}

/* The days a planting may be there: the plot's, and its side of the turn. */
static struct stay stay_due(const struct verifying *v, const struct planting *p, size_t plot_index)
{
    const struct plot *plot = garden_plot(v->garden, plot_index);
    struct stay stay = {STAY_EARLIEST, STAY_LATEST, p->slot == SLOT_SECOND};
    if (plot->open.set)
        stay.from = season_day(&v->garden->site, plot->open.d);
    if (plot->clear.set)
        stay.to = season_day(&v->garden->site, plot->clear.d);
    if (p->slot == SLOT_FIRST && p->turn_d - 7 < stay.to)
        stay.to = p->turn_d - 7;
    if (p->slot == SLOT_SECOND && p->turn_d > stay.from)
        stay.from = p->turn_d;
    return stay;
}

void verify_season(struct verifying *v)
{
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct planting *p = v->plan->blocks[b].planting;
        for (int k = 0; k < p->nparts && !planting_standing(p); k++) { /* see verify_standing */
            const struct part *part = &p->parts[k];
            struct season s;
            struct stay stay = stay_due(v, p, (size_t)zone_of(v, b)->plot);
            season_seed(&v->garden->site, part->seed, 0, &stay, v->arena, &s);
            double wait = p->parts[0].season.sow + part->delay_d - s.sow;
            if (k > 0 && wait > 0)
                season_seed(&v->garden->site, part->seed, wait, &stay, v->arena, &s);
            if (s.fit == SEASON_OUT)
                verify_breach(v, "%s: %s does not ripen here: %s", verify_block(v, b),
                              part->seed->variety.s, s.reason);
            else if (!season_same(&s, &part->season) ||
                     !verify_same(part->days, season_days(&v->garden->site, part->seed, &s)) ||
                     stay.from != p->stay.from || stay.to != p->stay.to)
                verify_breach(v, "%s: the season of %s is not that of the site", verify_block(v, b),
                              part->seed->variety.s);
        }
    }
}

/* ---- stations ---------------------------------------------------------------------------------
 */

/* Whether line i of a block has all the stations that half a pitch from either end lets it have. */
static bool stations_due(const struct block *block, int i, int n)
{
    const struct planting *p = block->planting;
    double room = (block->length_m - (i % 2 ? p->stagger_m : 0)) / p->pitch_m;
    return n >= floor(room - NEAR_M) && n <= fmax(0, floor(room + NEAR_M));
}

void verify_lines(struct verifying *v)
{
    const struct plan *plan = v->plan;
    int l = 0, next = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct block *block = &plan->blocks[b];
        int first = l;
        for (; l < plan->nlines && plan->lines[l].block == b; l++) {
            const struct line *line = &plan->lines[l];
            if (line->index != l - first || line->first != next ||
                !stations_due(block, l - first, line->n))
                verify_breach(v, "line %d of %s is not full: it has %d stations", l - first + 1,
                              verify_block(v, b), line->n);
            next = line->first + line->n;
        }
        if (l - first != block->lines)
            verify_breach(v, "%s has %d lines; %d are there", verify_block(v, b), block->lines,
                          l - first);
    }
    if (l != plan->nlines || next != plan->nstations)
        verify_breach(v, "some lines or stations belong to no block");
    for (l = 0; l < plan->nlines; l++)
        for (int j = 0; j < plan->lines[l].n; j++) {
            const struct station *s = &plan->stations[plan->lines[l].first + j];
            if (s->block != plan->lines[l].block || s->line != plan->lines[l].index ||
                s->index != j)
                verify_breach(v, "station %s is not in its line", s->id);
        }
}

/* Each station stands on its line where the tape is read, half its spacing or more inside its
 * block.
 */
void verify_stations(struct verifying *v)
{
    for (int i = 0; i < v->plan->nstations; i++) {
        const struct station *s = &v->plan->stations[i];
        const struct block *block = &v->plan->blocks[s->block];
        const struct planting *p = block->planting;
        const struct zone *zone = zone_of(v, s->block);
        double x = s->x_m - zone->r.x0, y = s->y_m - zone->r.y0;
        double along = (zone->along_x ? x : y) - block->along_m;
        double across = (zone->along_x ? y : x) - block->start_m;
        double middle = (block->depth_m - own_depth(block)) / 2; /* of a shared line */
        double along_due = p->pitch_m * (0.5 + s->index) + (s->line % 2 ? p->stagger_m : 0);
        double across_due = middle + p->first_m / 2 + s->line * p->line_m;
        if (fabs(along - along_due) > NEAR_M || fabs(across - across_due) > NEAR_M)
            verify_breach(v, "station %s stands off its place in %s", s->id,
                          verify_block(v, s->block));
        else if (along + p->pitch_m / 2 > block->length_m + NEAR_M ||
                 across + p->first_m / 2 > block->depth_m + NEAR_M)
            verify_breach(v, "station %s stands too near the end of %s", s->id,
                          verify_block(v, s->block));
    }
}

void verify_plants(struct verifying *v)
{
    for (int i = 0; i < v->plan->nstations; i++) {
        const struct station *s = &v->plan->stations[i];
        const struct planting *p = v->plan->blocks[s->block].planting;
        for (int k = 0; k < STAND_PARTS_MAX; k++) {
            int due = 0;
            if (k < p->nparts) {
                int every = p->parts[k].every; /* odd lines begin half an interval in */
                int first = s->line % 2 ? 0 : every / 2;
                due = s->index % every == first ? p->parts[k].per_station : 0;
            }
            if (s->plants[k] != due)
                verify_breach(v, "station %s of %s has %d plants where %d are due", s->id,
                              verify_block(v, s->block), s->plants[k], due);
        }
    }
}

void verify_ground(struct verifying *v)
{
    for (int i = 0; i < v->plan->nstations; i++) {
        const struct station *s = &v->plan->stations[i];
        const struct planting *p = v->plan->blocks[s->block].planting;
        const struct geom *ground = v->grounds[s->plot];
        double radius = p->system == SYSTEM_HILLS ? p->hill_diameter_m / 2 : 0;
        if (ground && !zone_standing(zone_of(v, s->block)) &&
            !geom_has_disc(ground, s->x_m, s->y_m, radius))
            verify_breach(v, "station %s is not wholly on the free ground of %s", s->id,
                          garden_plot(v->garden, (size_t)s->plot)->name.s);
    }
}

void verify_numbers(struct verifying *v)
{
    int hills = 0;
    for (int i = 0; i < v->plan->nstations; i++) {
        const struct station *s = &v->plan->stations[i];
        bool hill = v->plan->blocks[s->block].planting->system == SYSTEM_HILLS;
        hills += hill;
        const char *due =
            hill ? arena_printf(v->arena, "%d", hills)
                 : arena_printf(v->arena, "b%d.%d.%d", s->block + 1, s->line + 1, s->index + 1);
        if (!due)
            v->nomem = true;
        else if (strcmp(due, s->id) != 0)
            verify_breach(v, "station %s should be numbered %s", s->id, due);
    }
}

/* ---- distances --------------------------------------------------------------------------------
 */

/* A station in a square cell of the plot. */
struct cell {
    int plot;
    long row, column;
    int station;
};

static int cell_order(const void *left, const void *right)
{
    const struct cell *a = left, *b = right;
    if (a->plot != b->plot)
        return a->plot < b->plot ? -1 : 1;
    if (a->row != b->row)
        return a->row < b->row ? -1 : 1;
    if (a->column != b->column)
        return a->column < b->column ? -1 : 1;
    return (a->station > b->station) - (a->station < b->station);
}

/* Half-spacing rule: each station owns half its spacing on each side. Hills of one block stand a
 * pitch apart any way. */
static bool too_near(const struct verifying *v, const struct station *a, const struct station *b)
{
    const struct planting *p = v->plan->blocks[a->block].planting;
    const struct planting *q = v->plan->blocks[b->block].planting;
    double dx = fabs(a->x_m - b->x_m), dy = fabs(a->y_m - b->y_m);
    bool along_x = zone_of(v, a->block)->along_x;
    double along = along_x ? dx : dy, across = along_x ? dy : dx;
    if (take_turns(p, q))
        return false;
    if (zone_of(v, b->block)->along_x != along_x) /* what stands already may run across */
        return along < (p->pitch_m + q->first_m) / 2 - NEAR_M &&
               across < (p->first_m + q->pitch_m) / 2 - NEAR_M;
    if (a->block == b->block && p->system == SYSTEM_HILLS)
        return hypot(dx, dy) < p->pitch_m - NEAR_M;
    if (a->block == b->block)
        return along < p->pitch_m - NEAR_M && across < p->line_m - NEAR_M;
    return along < (p->pitch_m + q->pitch_m) / 2 - NEAR_M &&
           across < (p->first_m + q->first_m) / 2 - NEAR_M;
}

/* The first cell of the sorted list that is not before this one. */
static size_t cell_find(const struct cell *cells, size_t n, struct cell key)
{
    size_t low = 0, high = n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (cell_order(&cells[mid], &key) < 0)
            low = mid + 1;
        else
            high = mid;
    }
    return low;
}

/* Looks at the stations in the cells round cell i, each pair once; stops when enough was said. */
static void near_cell(struct verifying *v, const struct cell *cells, size_t n, size_t i)
{
    const struct station *a = &v->plan->stations[cells[i].station];
    for (long row = cells[i].row - 1; row <= cells[i].row + 1; row++) {
        struct cell from = {cells[i].plot, row, cells[i].column - 1, -1};
        for (size_t j = cell_find(cells, n, from); j < n && v->said <= VERIFY_SAID_MAX; j++) {
            if (cells[j].plot != cells[i].plot || cells[j].row != row ||
                cells[j].column > cells[i].column + 1)
                break;
            const struct station *b = &v->plan->stations[cells[j].station];
            if (cells[j].station > cells[i].station && too_near(v, a, b))
                verify_breach(v, "stations %s and %s stand too close", a->id, b->id);
        }
    }
}

static double side_distance(struct point a, struct point b, double x, double y)
{
    double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    double t = square > 0 ? num_clamp(((x - a.x) * dx + (y - a.y) * dy) / square, 0, 1) : 0;
    return hypot(x - a.x - t * dx, y - a.y - t * dy);
}

/* The rule of height of one side, held against every station of its plot. */
static void height_rule(struct verifying *v, size_t plot, const struct edge *e,
                        const struct point *corners, size_t n)
{
    size_t side = (size_t)e->side.v - 1;
    for (int i = 0; i < v->plan->nstations; i++) {
        const struct station *s = &v->plan->stations[i];
        const struct planting *p = v->plan->blocks[s->block].planting;
        if ((size_t)s->plot != plot || p->height_m <= e->tallest_m.v + NEAR_M ||
            planting_standing(p))
            continue;
        double near = side_distance(corners[side], corners[(side + 1) % n], s->x_m, s->y_m);
        if (e->within_m.set && near >= e->within_m.v - NEAR_M)
            continue;
        verify_breach_at(v, e->tallest_m.at, "station %s of %s grows taller than it may there",
                         s->id, verify_block(v, s->block));
        return;
    }
}

void verify_heights(struct verifying *v)
{
    for (size_t i = 0; i < v->garden->plots.n; i++) {
        const struct plot *plot = garden_plot(v->garden, i);
        const struct edge *edges = plot->edges.items;
        size_t n = 0;
        const struct point *corners = plot_corners(v->arena, plot, &n);
        v->nomem |= !corners;
        for (size_t k = 0; corners && k < plot->edges.n; k++)
            if (edges[k].tallest_m.set && edges[k].side.v <= (double)n)
                height_rule(v, i, &edges[k], corners, n);
    }
}

void verify_spacing(struct verifying *v)
{
    double reach = 0.01;
    for (int b = 0; b < v->plan->nblocks; b++) {
        const struct planting *p = v->plan->blocks[b].planting;
        reach = fmax(reach, fmax(p->pitch_m, fmax(p->line_m, p->first_m)));
    }
    size_t n = (size_t)v->plan->nstations;
    struct cell *cells = ARENA_ARRAY(v->arena, struct cell, n);
    if (!cells) {
        v->nomem = true;
        return;
    }
    for (size_t i = 0; i < n; i++) {
        const struct station *s = &v->plan->stations[i];
        cells[i] = (struct cell){s->plot, lround(num_clamp(s->y_m / reach, -1e9, 1e9)),
                                 lround(num_clamp(s->x_m / reach, -1e9, 1e9)), (int)i};
    }
    qsort(cells, n, sizeof *cells, cell_order);
    for (size_t i = 0; i < n && v->said <= VERIFY_SAID_MAX; i++)
        near_cell(v, cells, n, i);
}
