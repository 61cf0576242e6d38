/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ground on which something stands already. See check.h. */
#include "check_work.h"

#include <math.h>

#include "outline.h"

#define SLACK_M    0.01 /* measured by tape twice */
#define PLANTS_MAX 1e5  /* in one block */

/* The corners of a block, drawn in from its sides by so much. */
static void block_corners(const struct standing *s, double in_m, struct point p[4])
{
    double in = fmin(in_m, 0.25 * fmin(s->size.x, s->size.y));
    double x0 = s->corner.x + in, y0 = s->corner.y + in;
    double x1 = s->corner.x + s->size.x - in, y1 = s->corner.y + s->size.y - in;
    p[0] = (struct point){.x = x0, .y = y0};
    p[1] = (struct point){.x = x1, .y = y0};
    p[2] = (struct point){.x = x1, .y = y1};
    p[3] = (struct point){.x = x0, .y = y1};
}

static bool block_inside(const struct ring *ring, const struct standing *s)
{
    struct point p[4];
    block_corners(s, SLACK_M, p);
    if (!outline_has(ring->p, ring->n, p[0].x, p[0].y))
        return false;
    for (size_t i = 0; i < ring->n; i++) /* no side of the plot runs through it */
        if (outline_meets(p, 4, ring->p[i], ring->p[i + 1 < ring->n ? i + 1 : 0]))
            return false;
    return true;
}

void check_standing_outside(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        struct ring ring = check_ring(c, i);
        for (size_t k = 0; ring.whole && k < ring.plot->standing.n; k++) {
            const struct standing *s = plot_standing(ring.plot, k);
            if (!block_inside(&ring, s))
                diag_error(c->diags, s->corner.at, "standing-outside",
                           "the block that begins here is not wholly on the plot");
        }
    }
}

static bool over_obstacle(const struct standing *s, const struct obstacle *o)
{
    struct point p[4];
    block_corners(s, 0, p);
    if (o->outline.n >= 3)
        return outline_shares(p, 4, o->outline.items, o->outline.n, SLACK_M);
    return o->radius_m.v > 0 &&
           (outline_has(p, 4, o->place.x, o->place.y) ||
            outline_distance(p, 4, o->place.x, o->place.y) < o->radius_m.v - SLACK_M);
}

static bool over_path(const struct standing *s, const struct path *path)
{
    struct point p[4];
    double dx = path->to.x - path->from.x, dy = path->to.y - path->from.y, length = hypot(dx, dy);
    if (length <= 0)
        return false;
    double ax = -dy / length * path->width_m.v / 2, ay = dx / length * path->width_m.v / 2;
    const struct point strip[4] = {{.x = path->from.x - ax, .y = path->from.y - ay},
                                   {.x = path->to.x - ax, .y = path->to.y - ay},
                                   {.x = path->to.x + ax, .y = path->to.y + ay},
                                   {.x = path->from.x + ax, .y = path->from.y + ay}};
    block_corners(s, 0, p);
    return outline_shares(p, 4, strip, 4, SLACK_M);
}

static bool over_block(const struct standing *s, const struct standing *other)
{
    double dx = fmin(s->corner.x + s->size.x, other->corner.x + other->size.x) -
                fmax(s->corner.x, other->corner.x);
    double dy = fmin(s->corner.y + s->size.y, other->corner.y + other->size.y) -
                fmax(s->corner.y, other->corner.y);
    return dx > SLACK_M && dy > SLACK_M;
}

/* What the block lies over, and what that is; NULL: nothing. */
static const struct pos *lies_over(const struct plot *plot, size_t block, const char **what)
{
    const struct standing *s = plot_standing(plot, block);
    const struct obstacle *obstacles = plot->obstacles.items;
    const struct path *paths = plot->paths.items;
    *what = "an obstacle";
    for (size_t i = 0; i < plot->obstacles.n; i++)
        if (over_obstacle(s, &obstacles[i]))
            return &obstacles[i].at;
    *what = "a path";
    for (size_t i = 0; i < plot->paths.n; i++)
        if (over_path(s, &paths[i]))
            return &paths[i].at;
    *what = "another such block";
    for (size_t i = 0; i < block; i++)
        if (over_block(s, plot_standing(plot, i)))
            return &plot_standing(plot, i)->at;
    return NULL;
}

void check_standing(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        for (size_t k = 0; k < plot->standing.n; k++) {
            const char *what;
            const struct pos *at = lies_over(plot, k, &what);
            if (!at)
                continue;
            diag_error(c->diags, plot_standing(plot, k)->corner.at, "standing-overlap",
                       "the block that begins here lies over %s", what);
            diag_note(c->diags, *at, "which is here");
        }
    }
}

void check_standing_seed(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        for (size_t k = 0; k < plot->standing.n; k++) {
            const struct standing *s = plot_standing(plot, k);
            if (s->for_seed.v && !garden_crop(c->g, s->crop_name.s)->biennial.v)
                diag_error(c->diags, s->for_seed.at, "standing-seed",
                           "%s does not flower in its second year: say `save: yes` under `seed` in "
                           "the year it is sown",
                           s->crop_name.s);
        }
    }
}

void check_standing_winter(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        for (size_t k = 0; k < plot->standing.n; k++) {
            const struct standing *s = plot_standing(plot, k);
            if (s->winter.v && s->for_seed.v)
                diag_error(c->diags, s->winter.at, "standing-winter",
                           "what is left to flower is no food that is dug in spring: say `for "
                           "seed` or `over winter`, not both");
            else if (s->winter.v && garden_crop(c->g, s->crop_name.s)->frost.v >= FROST_TENDER)
                diag_error(c->diags, s->winter.at, "standing-winter",
                           "%s does not live through a frost, so none is left over the winter",
                           s->crop_name.s);
        }
    }
}

void check_standing_plants(struct checking *c)
{
    for (size_t i = 0; i < c->g->plots.n; i++) {
        const struct plot *plot = garden_plot(c->g, i);
        for (size_t k = 0; k < plot->standing.n; k++) {
            const struct standing *s = plot_standing(plot, k);
            const struct crop *crop = garden_crop(c->g, s->crop_name.s);
            double along = s->along_m.set ? s->along_m.v : crop->in_row_m.typ;
            double across = s->across_m.set ? s->across_m.v : crop->row_m.typ;
            if (s->size.x * s->size.y > PLANTS_MAX * along * across)
                diag_error(c->diags, s->size.at, "standing-plants",
                           "at these distances more than a hundred thousand plants stand here: "
                           "are `size`, `along` and `across` right?");
        }
    }
}
