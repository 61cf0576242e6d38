/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "label.h"

#include <math.h>

#include "num.h"

#define CELL_MM 8.0

struct label_cell {
    struct rect box;
    struct label_cell *next;
};

void labels_init(struct labels *labels, struct arena *arena, struct rect area)
{
    *labels = (struct labels){.arena = arena, .area = area};
    labels->columns = (int)ceil((area.x1 - area.x0) / CELL_MM) + 1;
    labels->rows = (int)ceil((area.y1 - area.y0) / CELL_MM) + 1;
    labels->cells =
        ARENA_ARRAY(arena, struct label_cell *, (size_t)labels->columns * (size_t)labels->rows);
    labels->failed = labels->cells == NULL;
}

struct cells { /* columns and rows that a box touches, both ends in */
    int c0, r0, c1, r1;
};

static int cell_of(double mm, int n)
{
    return (int)num_clamp(floor(mm / CELL_MM), 0, n - 1);
}

static struct cells cells_of(const struct labels *l, struct rect box)
{
    return (struct cells){
        cell_of(box.x0 - l->area.x0, l->columns), cell_of(box.y0 - l->area.y0, l->rows),
        cell_of(box.x1 - l->area.x0, l->columns), cell_of(box.y1 - l->area.y0, l->rows)};
}

void labels_take(struct labels *labels, struct rect box)
{
    struct cells in = cells_of(labels, box);
    for (int r = in.r0; r <= in.r1; r++)
        for (int c = in.c0; c <= in.c1 && !labels->failed; c++) {
            struct label_cell **head = &labels->cells[r * labels->columns + c];
            struct label_cell *cell = ARENA_NEW(labels->arena, struct label_cell);
            if (!cell) {
                labels->failed = true;
                return;
            }
            *cell = (struct label_cell){box, *head};
            *head = cell;
        }
}

void labels_take_line(struct labels *labels, struct mm a, struct mm b)
{
    const double half = 0.6, step = 3;
    bool slanted = fabs(a.x - b.x) > half && fabs(a.y - b.y) > half;
    int n = slanted ? (int)ceil(hypot(b.x - a.x, b.y - a.y) / step) : 1;
    for (int i = 0; i < n; i++) {
        struct mm p = {a.x + (b.x - a.x) * i / n, a.y + (b.y - a.y) * i / n};
        struct mm q = {a.x + (b.x - a.x) * (i + 1) / n, a.y + (b.y - a.y) * (i + 1) / n};
        labels_take(labels, (struct rect){fmin(p.x, q.x) - half, fmin(p.y, q.y) - half,
                                          fmax(p.x, q.x) + half, fmax(p.y, q.y) + half});
    }
}

bool labels_clear(const struct labels *labels, struct rect box)
{
    const struct rect *area = &labels->area;
    if (labels->failed || box.x0 < area->x0 || box.y0 < area->y0 || box.x1 > area->x1 ||
        box.y1 > area->y1)
        return false;
    struct cells in = cells_of(labels, box);
    for (int r = in.r0; r <= in.r1; r++)
        for (int c = in.c0; c <= in.c1; c++)
            for (const struct label_cell *cell = labels->cells[r * labels->columns + c]; cell;
                 cell = cell->next)
                if (boxes_overlap(cell->box, box))
                    return false;
    return true;
}

bool labels_line_clear(const struct labels *labels, struct mm a, struct mm b)
{
    const double half = 0.3, step = 0.5;
    int n = (int)ceil(hypot(b.x - a.x, b.y - a.y) / step);
    for (int i = 0; i <= n; i++) {
        double t = n > 0 ? (double)i / n : 0;
        struct mm p = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
        if (!labels_clear(labels, (struct rect){p.x - half, p.y - half, p.x + half, p.y + half}))
            return false;
    }
    return true;
}

bool labels_search(const struct labels *labels, struct rect in, double w_mm, double h_mm,
                   struct rect *at)
{
    const double step = 0.8;
    int rows = (int)floor((in.y1 - in.y0 - h_mm) / step + 1e-9);
    int columns = (int)floor((in.x1 - in.x0 - w_mm) / (2 * step) + 1e-9);
    for (int r = 0; r <= rows; r++)
        for (int c = 0; c <= columns; c++) {
            double x = in.x0 + c * 2 * step, y = in.y0 + r * step;
            struct rect box = {x, y, x + w_mm, y + h_mm};
            if (labels_clear(labels, box)) {
                *at = box;
                return true;
            }
        }
    return false;
}

/* Pools of labels that touch: each sits where the sum of its members' moves is least square, then
 * neighbours that overlap are pooled (isotonic regression on place - i * gap). */
bool labels_spread(double *places, int n, double gap, double lo, double hi)
{
    if (n <= 0)
        return true;
    if ((n - 1) * gap > hi - lo)
        return false;
    double ceiling = hi - (n - 1) * gap; /* of every place once i * gap is taken off */
    for (int i = 0; i < n; i++)
        places[i] -= i * gap;
    for (int end = 1; end < n; end++) {
        int begin = end;
        double sum = places[end], mean = sum;
        while (begin > 0 && places[begin - 1] > mean) {
            begin--;
            sum += places[begin];
            mean = sum / (end - begin + 1);
        }
        for (int i = begin; i <= end; i++)
            places[i] = mean;
    }
    for (int i = 0; i < n; i++)
        places[i] = num_clamp(places[i], lo, ceiling) + i * gap;
    return true;
}
