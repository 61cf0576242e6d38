/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "elsewhere.h"

#include <math.h>
#include <string.h>

#define SAME_SIDE_M 0.6  /* fences whose middles are so near are one */
#define WHOLE_STEP  1000 /* numbers of whole things, from plot to plot */

bool elsewhere_known(const struct garden *garden, int plot, int other)
{
    return plot != other && plot_placed(garden_plot(garden, (size_t)plot)) &&
           plot_placed(garden_plot(garden, (size_t)other));
}

/* The way back of plot_in_garden. */
static struct point from_garden(const struct plot *plot, struct point p)
{
    double s = sin(plot->bearing.v), c = cos(plot->bearing.v);
    double east = p.x - plot->garden_at.x, north = p.y - plot->garden_at.y;
    return (struct point){.x = c * east - s * north, .y = s * east + c * north, .at = p.at};
}

struct point elsewhere_point(const struct plot *plot, const struct plot *other, struct point p)
{
    return from_garden(plot, plot_in_garden(other, p));
}

struct shader elsewhere_shader(const struct plot *plot, const struct plot *other, struct shader box)
{
    struct shader s = box;
    struct rect r = s.turned = box.r;
    struct point corners[] = {{.x = r.x0, .y = r.y0},
                              {.x = r.x1, .y = r.y0},
                              {.x = r.x1, .y = r.y1},
                              {.x = r.x0, .y = r.y1}};
    struct point o = elsewhere_point(other, plot, (struct point){.x = 0, .y = 0});
    struct point x = elsewhere_point(other, plot, (struct point){.x = 1, .y = 0});
    s.form = SHADER_TURNED;
    s.ax = o.x; /* where the plot's origin lies in the other frame, and which way its x axis runs */
    s.ay = o.y;
    s.bx = x.x - o.x;
    s.by = x.y - o.y;
    s.r = (struct rect){HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (int k = 0; k < 4; k++) {
        struct point p = elsewhere_point(plot, other, corners[k]);
        s.r = (struct rect){fmin(s.r.x0, p.x), fmin(s.r.y0, p.y), fmax(s.r.x1, p.x),
                            fmax(s.r.y1, p.y)};
    }
    return s;
}

/* ---- obstacles ----------------------------------------------------------------------------- */

static bool has_obstacle(const struct plot *plot, const char *name)
{
    const struct obstacle *o = plot->obstacles.items;
    for (size_t i = 0; i < plot->obstacles.n; i++)
        if (o[i].name.s && name && strcmp(o[i].name.s, name) == 0)
            return true;
    return false;
}

static struct point middle_of(const struct edge *edge, const struct point *corners, size_t n)
{
    size_t side = (size_t)fmax(0, edge->side.v - 1);
    struct point a = corners[side % n], b = corners[(side + 1) % n];
    return (struct point){.x = (a.x + b.x) / 2, .y = (a.y + b.y) / 2};
}

static bool has_side(struct arena *arena, const struct plot *plot, struct point middle)
{
    size_t n = 0;
    const struct point *corners = plot_corners(arena, plot, &n);
    const struct edge *edges = plot->edges.items;
    for (size_t i = 0; corners && i < plot->edges.n; i++) {
        struct point own = middle_of(&edges[i], corners, n);
        if (edges[i].height_m.v > 0 && hypot(own.x - middle.x, own.y - middle.y) < SAME_SIDE_M)
            return true;
    }
    return false;
}

static bool list_copy(struct arena *arena, struct list *list, size_t size)
{
    void *items = arena_alloc(arena, list->n + 1, size);
    if (items && list->n > 0)
        memcpy(items, list->items, list->n * size);
    list->items = items;
    return items != NULL;
}

/* The other plot told in the frame of `plot`, with what is not the plot's own as well. */
static bool retell(struct arena *arena, const struct plot *plot, const struct plot *other,
                   struct plot *out)
{
    size_t n = 0, kept = 0;
    const struct point *given = plot_corners(arena, other, &n);
    *out = *other;
    out->outline = (struct list){.items = (void *)given, .n = n, .set = true};
    if (!given || !list_copy(arena, &out->outline, sizeof(struct point)) ||
        !list_copy(arena, &out->obstacles, sizeof(struct obstacle)) ||
        !list_copy(arena, &out->edges, sizeof(struct edge)))
        return false;
    struct point *corners = out->outline.items;
    for (size_t i = 0; i < n; i++)
        corners[i] = elsewhere_point(plot, other, corners[i]);
    struct edge *edges = out->edges.items;
    for (size_t i = 0; i < out->edges.n; i++)
        if (!has_side(arena, plot, middle_of(&edges[i], corners, n)))
            edges[kept++] = edges[i];
    out->edges.n = kept;
    struct obstacle *o = out->obstacles.items;
    kept = 0;
    for (size_t i = 0; i < out->obstacles.n; i++) {
        if (has_obstacle(plot, o[i].name.s))
            continue;
        o[kept] = o[i];
        o[kept].place = elsewhere_point(plot, other, o[i].place);
        if (!list_copy(arena, &o[kept].outline, sizeof(struct point)))
            return false;
        struct point *p = o[kept].outline.items;
        for (size_t k = 0; k < o[kept].outline.n; k++)
            p[k] = elsewhere_point(plot, other, p[k]);
        kept++;
    }
    out->obstacles.n = kept;
    return true;
}

/* Appends those of a plot. */
static hr_status add_obstacles(const struct plot *plot, int whole, struct arena *arena,
                               struct shader **all, int *n)
{
    struct shader *found;
    int more = 0;
    hr_status status = light_obstacles(plot, arena, &found, &more);
    struct shader *both =
        status == HR_OK ? ARENA_ARRAY(arena, struct shader, (size_t)(*n + more) + 1) : NULL;
    if (!both)
        return HR_NOMEM;
    if (*n > 0)
        memcpy(both, *all, sizeof *both * (size_t)*n);
    for (int k = 0; k < more; k++) {
        both[*n + k] = found[k];
        if (found[k].whole > 0) /* slices of one thing have a number of their own */
            both[*n + k].whole = found[k].whole + whole;
    }
    *all = both;
    *n += more;
    return HR_OK;
}

hr_status elsewhere_obstacles(const struct garden *garden, int plot, struct arena *arena,
                              struct shader **out, int *n)
{
    const struct plot *own = garden_plot(garden, (size_t)plot);
    *n = 0;
    hr_status status = add_obstacles(own, 0, arena, out, n);
    for (int o = 0; o < (int)garden->plots.n && status == HR_OK; o++) {
        struct plot told;
        if (!elsewhere_known(garden, plot, o))
            continue;
        status = retell(arena, own, garden_plot(garden, (size_t)o), &told)
                     ? add_obstacles(&told, WHOLE_STEP * (o + 1), arena, out, n)
                     : HR_NOMEM;
    }
    return status;
}
