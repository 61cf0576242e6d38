/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The light that blocks and neighbours get, worked out again with other points, days, hours and
 * directions than the planner's. See verify.h. */
#include "verify_work.h"

#include <math.h>

#include "num.h"

#define DAYS    16 /* of a season, at the middles of equal parts */
#define HOURS   9
#define RINGS   4 /* of the diffuse sky */
#define SECTORS 6
#define DIFFUSE 0.4
#define CLEAR   0.75
#define LOW_M   0.3
#define STRIP_M 2.0
/* By so much two ways of sampling a season may differ: of full light, and of the shade there is (in
 * the deep shade of a row beside tall corn 0.022 was seen). */
#define LIGHT_MAY_DIFFER 0.02
#define DARK_MAY_DIFFER  0.1
#define SHADE_MAY_DIFFER 0.01
#define SHADE_MAY_EXCEED 1.1 /* of the limit, besides */

/* A block's canopy: a box that grows. */
struct canopy {
    struct rect r;
    double height_m, fading_per_m;
    int sow, ripe;
    /* In another plot's frame: where the viewer's origin lies there, and by how much more its y
     * axis bears than that plot's. */
    double off_x, off_y, more;
};

/* Where from a place is looked at the light of a season. */
struct viewer {
    double latitude, bearing;
    int from, to;
    const struct canopy *own; /* left out; the place then grows with it. NULL: LOW_M up */
    const struct canopy *canopies;
    int n;
};

/* Low for a fifth of its days, full grown after 0.45 of them, gone when ripe. */
static double height_on(const struct canopy *c, double day)
{
    static const double at[] = {0, 0.2, 0.45, 1}, share[] = {0, 0.1, 1, 1};
    double t = c->ripe > c->sow ? (day - c->sow) / (c->ripe - c->sow) : 2;
    if (t < 0)
        return 0;
    for (int i = 1; i < 4; i++)
        if (t <= at[i])
            return c->height_m * (share[i - 1] + (share[i] - share[i - 1]) * (t - at[i - 1]) /
                                                     (at[i] - at[i - 1]));
    return 0;
}

/* Cuts the stretch s of a way that starts at `from` and goes `by` a metre to where it is between
 * low and high. */
static void cut(double s[2], double from, double by, double low, double high)
{
    if (fabs(by) < 1e-9) {
        if (from < low || from > high)
            s[1] = -1;
        return;
    }
    double one = (low - from) / by, two = (high - from) / by;
    s[0] = fmax(s[0], fmin(one, two));
    s[1] = fmin(s[1], fmax(one, two));
}

/* Share of the light from one direction that reaches a place past all canopies. */
static double seen(const struct viewer *v, const double at[3], double elevation, double azimuth,
                   double day)
{
    double east = cos(elevation) * sin(azimuth - v->bearing);
    double north = cos(elevation) * cos(azimuth - v->bearing), up = sin(elevation), depth = 0;
    for (int i = 0; i < v->n; i++) {
        const struct canopy *c = &v->canopies[i];
        if (c == v->own || c->height_m <= at[2])
            continue;
        double top = height_on(c, day), s[2] = {0, HUGE_VAL};
        double turn = cos(c->more), twist = sin(c->more);
        if (top <= at[2])
            continue;
        cut(s, at[2], up, 0, top);
        cut(s, c->off_x + turn * at[0] + twist * at[1], turn * east + twist * north, c->r.x0,
            c->r.x1);
        cut(s, c->off_y - twist * at[0] + turn * at[1], turn * north - twist * east, c->r.y0,
            c->r.y1);
        depth += fmax(0, s[1] - s[0]) * c->fading_per_m;
    }
    return exp(-depth);
}

/* What a place gets on one day, and what open ground gets, added to got[0] and got[1]. */
static void day_light(const struct viewer *v, double x, double y, double day, double got[2])
{
    double at[3] = {x, y, v->own ? height_on(v->own, day) : LOW_M};
    double sun = 0, sun_all = 0, sky = 0;
    int date = (int)lround(day - 365 * floor(day / 365));
    double hours = sun_day_length(date, v->latitude);
    for (int h = 0; h < HOURS; h++) {
        double hour = 12 + hours * ((h + 0.5) / HOURS - 0.5);
        struct sun_position s = sun_solar(date, hour, v->latitude);
        double up = sin(s.elevation), weight = up > 1e-6 ? hours * up * pow(CLEAR, 1 / up) : 0;
        sun_all += weight;
        if (weight > 0)
            sun += weight * seen(v, at, s.elevation, s.azimuth, day);
    }
    for (int i = 0; i < RINGS * SECTORS; i++) {
        int ring = i / SECTORS;
        double elevation = asin(sqrt((ring + 0.5) / RINGS));
        double azimuth = 2 * M_PI * (i % SECTORS + 0.25) / SECTORS;
        sky += seen(v, at, elevation, azimuth, day) / (RINGS * SECTORS);
    }
    got[0] += (1 - DIFFUSE) * sun + DIFFUSE * sun_all * sky;
    got[1] += sun_all;
}

static void season_light(const struct viewer *v, double x, double y, double got[2])
{
    for (int d = 0; d < DAYS; d++)
        day_light(v, x, y, v->from + (d + 0.5) * (v->to - v->from) / DAYS, got);
}

/* ---- from the plan ------------------------------------------------------------------------- */

static struct canopy canopy_of(const struct verifying *v, int b)
{
    const struct block *block = &v->plan->blocks[b];
    const struct planting *p = block->planting;
    const struct part *top = NULL;
    for (int k = 0; k < p->nparts; k++) {
        const struct part *part = &p->parts[k];
        bool climbs = p->nparts > 1 && part->role == ROLE_CLIMBER;
        if (!climbs && (!top || part->crop->height_m.typ > top->crop->height_m.typ))
            top = part;
    }
    if (!top)
        top = &p->parts[0];
    struct rect r = verify_block_ground(v, b), zone = v->plan->zones.items[block->zone].r;
    r = (struct rect){r.x0 + zone.x0, r.y0 + zone.y0, r.x1 + zone.x0, r.y1 + zone.y0};
    int gone = top->season.harvest_typ; /* what stands for years is green until the frost */
    if (top->crop->perennial.v && gone < top->season.frost)
        gone = top->season.frost;
    return (struct canopy){r, p->height_m, p->extinction_per_m, top->season.sow, gone, 0, 0, 0};
}

/* Seen from another plot, where both have a place in the garden. */
static bool from_elsewhere(const struct verifying *v, int plot, int other, struct canopy *c)
{
    const struct plot *here = garden_plot(v->garden, (size_t)plot);
    const struct plot *there = garden_plot(v->garden, (size_t)other);
    if (!plot_placed(here) || !plot_placed(there))
        return false;
    double east = here->garden_at.x - there->garden_at.x;
    double north = here->garden_at.y - there->garden_at.y, bearing = there->bearing.v;
    c->off_x = east * cos(bearing) - north * sin(bearing);
    c->off_y = east * sin(bearing) + north * cos(bearing);
    c->more = here->bearing.v - bearing;
    return true;
}

/* The canopies of one plot, and those of others that are known to lie beside it; own: where that of
 * block b lies, NULL when it is elsewhere. b < 0: those of the plot alone that are the plan's
 * doing. */
static int canopies_of(const struct verifying *v, int plot, struct canopy *out, int b,
                       const struct canopy **own)
{
    int n = 0;
    for (int a = 0; a < v->plan->nblocks; a++) {
        int other = v->plan->zones.items[v->plan->blocks[a].zone].plot;
        if (b < 0 && (other != plot || planting_standing(v->plan->blocks[a].planting)))
            continue;
        out[n] = canopy_of(v, a);
        if (other != plot && !from_elsewhere(v, plot, other, &out[n]))
            continue;
        if (a == b)
            *own = &out[n];
        n++;
    }
    return n;
}

static double block_light(struct verifying *v, int b, struct canopy *room)
{
    int plot = v->plan->zones.items[v->plan->blocks[b].zone].plot;
    double got[2] = {0, 0};
    struct viewer w = {.latitude = v->garden->site.latitude.v,
                       .bearing = garden_plot(v->garden, (size_t)plot)->bearing.v,
                       .canopies = room};
    w.n = canopies_of(v, plot, room, b, &w.own);
    w.from = w.own->sow;
    w.to = w.own->ripe;
    const struct rect *r = &w.own->r;
    for (int row = 0; row < 5; row++)
        for (int column = 0; column < 5; column++)
            season_light(&w, r->x0 + (r->x1 - r->x0) * (column + 0.5) / 5,
                         r->y0 + (r->y1 - r->y0) * (row + 0.5) / 5, got);
    return got[1] > 0 ? got[0] / got[1] : 1;
}

void verify_shade(struct verifying *v)
{
    struct canopy *room = ARENA_ARRAY(v->arena, struct canopy, (size_t)v->plan->nblocks);
    v->nomem |= !room;
    for (int b = 0; room && b < v->plan->nblocks; b++) {
        const struct block *block = &v->plan->blocks[b];
        double site = v->plan->zones.items[block->zone].light, due = site * block_light(v, b, room);
        for (int k = 0; k < block->planting->nparts; k++)
            if (block->light[k] > due + LIGHT_MAY_DIFFER + DARK_MAY_DIFFER * (1 - due))
                verify_breach(
                    v, "%s is said to get %s of the light; in the shade of the others it gets %s",
                    verify_block(v, b), verify_number(v, block->light[k]), verify_number(v, due));
    }
}

/* Share of the light of the strip beyond a side that the plot's canopies take. */
static double strip_loss(struct verifying *v, int plot, const struct point *a,
                         const struct point *b, struct canopy *room)
{
    double dx = b->x - a->x, dy = b->y - a->y, l = hypot(dx, dy), got[2] = {0, 0};
    int columns = (int)num_clamp(ceil(l), 5, 25);
    struct viewer w = {.latitude = v->garden->site.latitude.v,
                       .bearing = garden_plot(v->garden, (size_t)plot)->bearing.v,
                       .canopies = room};
    w.n = canopies_of(v, plot, room, -1, &w.own);
    season_frost_free(&v->garden->site, &w.from, &w.to);
    for (int i = 0; i < 4 * columns && l > 0; i++) {
        int column = i / 4;
        double along = (column + 0.5) / columns, out = STRIP_M * (i % 4 + 0.5) / 4;
        season_light(&w, a->x + dx * along + dy / l * out, a->y + dy * along - dx / l * out, got);
    }
    return got[1] > 0 ? 1 - got[0] / got[1] : 0;
}

void verify_neighbours(struct verifying *v)
{
    struct canopy *room = ARENA_ARRAY(v->arena, struct canopy, (size_t)v->plan->nblocks);
    v->nomem |= !room;
    for (size_t p = 0; room && p < v->garden->plots.n; p++) {
        const struct plot *plot = garden_plot(v->garden, p);
        const struct edge *edges = plot->edges.items;
        size_t n = 0;
        const struct point *corners = plot_corners(v->arena, plot, &n);
        v->nomem |= !corners;
        for (size_t e = 0; corners && e < plot->edges.n; e++) {
            if (!edges[e].shade.set || edges[e].side.v < 1)
                continue;
            size_t side = (size_t)edges[e].side.v - 1;
            double loss = strip_loss(v, (int)p, &corners[side % n], &corners[(side + 1) % n], room);
            if (loss > SHADE_MAY_EXCEED * edges[e].shade.v + SHADE_MAY_DIFFER)
                verify_breach_at(v, edges[e].shade.at,
                                 "the crops of %s take %s of the light beyond its side %zu; %s is "
                                 "allowed",
                                 plot->name.s, verify_number(v, loss), side + 1,
                                 verify_number(v, edges[e].shade.v));
        }
    }
}
