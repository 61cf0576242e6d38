/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GARDEN_TURN_H
#define GARDEN_TURN_H
/* The same gardens told otherwise: plots turned by a quarter, mirrored with the sky, or with lists
 * in another order. */
#include "garden.h"

/* Turned, (x, y) is told as (y, -x): the frame is turned under the plot, and its +y axis bears 90
 * degrees less; rows change their axis. Mirrored, it is told as (-x, y), and east is west: the
 * sun's day is the same both ways about noon. Outlines keep their first corner; turned, sides keep
 * their numbers. A size becomes an outline. */
enum retold { RETOLD_TURNED, RETOLD_MIRRORED };

static inline void point_retell(struct point *p, enum retold how)
{
    double x = p->x;
    p->x = how == RETOLD_TURNED ? p->y : -x;
    p->y = how == RETOLD_TURNED ? -x : p->y;
}

static inline void points_retell(struct list *list, enum retold how)
{
    for (size_t i = 0; i < list->n; i++)
        point_retell((struct point *)list->items + i, how);
}

/* Corners run the other way round, the first stays first: sides are numbered anew. */
static inline void outline_reverse(struct plot *plot)
{
    struct point *p = plot->outline.items;
    size_t n = plot->outline.n;
    for (size_t i = 1, k = n - 1; i < k; i++, k--) {
        struct point swap = p[i];
        p[i] = p[k];
        p[k] = swap;
    }
    for (size_t i = 0; i < plot->edges.n; i++) {
        struct edge *edge = (struct edge *)plot->edges.items + i;
        size_t side = (n - (size_t)edge->side.v) % n;
        const struct point *a = &p[side], *b = &p[(side + 1) % n];
        edge->side.v = (double)(side + 1);
        edge->gate_at_m.v = hypot(b->x - a->x, b->y - a->y) - edge->gate_at_m.v;
    }
}

static inline void plot_retell(struct arena *arena, struct plot *plot, enum retold how)
{
    size_t n = 0;
    struct point *corners = ARENA_ARRAY(arena, struct point, 4);
    const struct point *given = plot_corners(arena, plot, &n);
    if (plot->outline.n == 0) {
        for (size_t i = 0; i < 4; i++)
            corners[i] = given[i];
        plot->outline = (struct list){.items = corners, .n = 4, .set = true};
    }
    points_retell(&plot->outline, how);
    for (size_t i = 0; i < plot->paths.n; i++) {
        struct path *path = (struct path *)plot->paths.items + i;
        point_retell(&path->from, how);
        point_retell(&path->to, how);
    }
    for (size_t i = 0; i < plot->obstacles.n; i++) {
        struct obstacle *o = (struct obstacle *)plot->obstacles.items + i;
        point_retell(&o->place, how);
        points_retell(&o->outline, how);
    }
    for (size_t i = 0; i < plot->standing.n; i++) {
        struct standing *t = plot_standing(plot, i);
        struct point a = t->corner, b = a;
        b.x += t->size.x;
        b.y += t->size.y;
        point_retell(&a, how);
        point_retell(&b, how);
        t->corner.x = fmin(a.x, b.x);
        t->corner.y = fmin(a.y, b.y);
        t->size.x = fabs(b.x - a.x);
        t->size.y = fabs(b.y - a.y);
        if (how == RETOLD_TURNED && t->rows.v >= 0)
            t->rows.v = t->rows.v == ROWS_ALONG_X ? ROWS_ALONG_Y : ROWS_ALONG_X;
    }
    if (how == RETOLD_MIRRORED) {
        outline_reverse(plot);
        plot->bearing.v = -plot->bearing.v;
        plot->garden_at.x = -plot->garden_at.x;
        return;
    }
    plot->bearing.v -= M_PI / 2; /* +y runs where -x ran */
    if (plot->rows.v != ROWS_EITHER)
        plot->rows.v = plot->rows.v == ROWS_ALONG_X ? ROWS_ALONG_Y : ROWS_ALONG_X;
}

static inline void list_reverse(struct list *list, size_t size)
{
    char *items = list->items, swap[sizeof(struct plot) + sizeof(struct seed)];
    for (size_t i = 0, k = list->n; i + 1 < k; i++) {
        k--;
        memcpy(swap, items + i * size, size);
        memcpy(items + i * size, items + k * size, size);
        memcpy(items + k * size, swap, size);
    }
}

/* Every list whose order means nothing, back to front. */
static inline void garden_reverse(struct garden *g)
{
    list_reverse(&g->plots, sizeof(struct plot));
    list_reverse(&g->seed, sizeof(struct seed));
    list_reverse(&g->wishes, sizeof(struct wish));
    list_reverse(&g->nearby, sizeof(struct nearby));
    list_reverse(&g->grow.crops, sizeof(struct text));
    list_reverse(&g->grow.guilds, sizeof(struct text));
    list_reverse(&g->grow.systems, sizeof(struct text));
    for (size_t i = 0; i < g->wishes.n; i++)
        if (garden_wish(g, i)->plot_index >= 0)
            garden_wish(g, i)->plot_index = (int)g->plots.n - 1 - garden_wish(g, i)->plot_index;
    for (size_t i = 0; i < g->plots.n; i++) {
        struct plot *plot = garden_plot(g, i);
        list_reverse(&plot->edges, sizeof(struct edge));
        list_reverse(&plot->paths, sizeof(struct path));
        list_reverse(&plot->obstacles, sizeof(struct obstacle));
        list_reverse(&plot->banned, sizeof(struct text));
        for (size_t k = 0; k < plot->standing.n; k++)
            plot_standing(plot, k)->seed_index =
                (int)g->seed.n - 1 - plot_standing(plot, k)->seed_index;
    }
}

/* New names for plots and varieties, in another order of the alphabet. */
static inline void garden_rename(struct arena *arena, struct garden *g)
{
    for (size_t i = 0; i < g->seed.n; i++) {
        struct seed *seed = garden_seed(g, i);
        const char *name = arena_printf(arena, "%c. Hill %zu", (int)('z' - i % 26), i + 1);
        for (size_t k = 0; k < g->wishes.n; k++)
            if (garden_wish(g, k)->variety.s &&
                str_same(garden_wish(g, k)->variety.s, seed->variety.s))
                garden_wish(g, k)->variety.s = name;
        seed->variety.s = name;
    }
    for (size_t i = 0; i < g->plots.n; i++) {
        const char *name = arena_printf(arena, "%c. Acre", (int)('z' - i % 26));
        for (size_t k = 0; k < g->wishes.n; k++)
            if (garden_wish(g, k)->plot.s &&
                str_same(garden_wish(g, k)->plot.s, garden_plot(g, i)->name.s))
                garden_wish(g, k)->plot.s = name;
        garden_plot(g, i)->name.s = name;
    }
}

#endif
