/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>
#include <stdlib.h>

/* How much clear ground lies beside each line of a map, and which lines end at its sides: known
 * before the layout is, for it settles where names go, and so how wide the margins are. */

#define SAME_LINE_M 0.02 /* lines no further apart are one line across the map */

struct span_of {                 /* a line as it is seen across the rows */
    double across, lo, hi, half; /* half: what it takes on either side, of hills */
    int line;
};

static int by_across(const void *a, const void *b)
{
    const struct span_of *p = a, *q = b;
    if (p->across != q->across)
        return p->across < q->across ? -1 : 1;
    return p->line - q->line;
}

static struct span_of span_of_line(const struct map_plot *mp, int l)
{
    const struct line *line = &mp->map->plan->lines[l];
    const struct planting *p = mp->map->plan->blocks[line->block].planting;
    struct line d = map_line_drawn(mp, line);
    struct span_of s = {.line = l, .half = p->hill_diameter_m / 2};
    s.across = mp->along_x ? (d.y0 + d.y1) / 2 : (d.x0 + d.x1) / 2;
    s.lo = mp->along_x ? fmin(d.x0, d.x1) : fmin(d.y0, d.y1);
    s.hi = mp->along_x ? fmax(d.x0, d.x1) : fmax(d.y0, d.y1);
    if (p->system != SYSTEM_HILLS)
        s.half = 0;
    return s;
}

/* From span i in steps of `step` to the first line that lies beside some of it; on the way, which
 * of those in one line with it lie before or behind it. */
static double gap_beside(const struct span_of *s, int n, int i, int step, struct line_room *room)
{
    const double touch = 1e-6;
    for (int j = i + step; j >= 0 && j < n; j += step) {
        double apart = fabs(s[j].across - s[i].across);
        if (apart <= SAME_LINE_M) {
            room->first = room->first && s[j].hi > s[i].lo + touch;
            room->last = room->last && s[j].lo < s[i].hi - touch;
        } else if (s[j].lo < s[i].hi - touch && s[j].hi > s[i].lo + touch) {
            return fmax(0, apart - s[j].half);
        }
    }
    return HUGE_VAL;
}

bool map_read_beside(const struct map_plot *mp, const struct line *line)
{
    const struct plan *plan = mp->map->plan;
    double at = mp->along_x ? line->y0 : line->x0;
    if (map_line_beside(mp, line))
        return true;
    for (int l = 0; l < plan->nlines; l++) {
        const struct line *other = &plan->lines[l];
        double there = mp->along_x ? other->y0 : other->x0;
        if (fabs(there - at) <= SAME_LINE_M && map_line_here(mp, other) &&
            map_line_beside(mp, other))
            return true;
    }
    return false;
}

/* "3.2 P: ", "1-4: ": what stands before a distance. NULL: out of memory. */
const char *map_line_title(const struct map_plot *mp, const struct line *line)
{
    const struct plan *plan = mp->map->plan;
    const struct planting *p = plan->blocks[line->block].planting;
    struct strbuf b;
    if (p->system == SYSTEM_HILLS && line->n == 0)
        return "";
    if (p->system == SYSTEM_HILLS)
        return arena_printf(mp->map->arena, "%s-%s: ", plan->stations[line->first].id,
                            plan->stations[line->first + line->n - 1].id);
    strbuf_init(&b, mp->map->arena);
    strbuf_printf(&b, "%d.%d", line->block + 1, line->index + 1);
    for (int k = 0; k < p->nparts; k++)
        strbuf_printf(&b, " %s", map_symbol_of(mp, &p->parts[k])->letter);
    strbuf_puts(&b, ": ");
    return b.failed ? NULL : b.p;
}

/* The rows of a block are named in one way, so the narrowest place among them settles it. */
static void share_in_blocks(struct map_plot *mp, struct line_room *rooms, struct line_room *least)
{
    const struct plan *plan = mp->map->plan;
    for (int b = 0; b < plan->nblocks; b++)
        least[b] = (struct line_room){.low_m = HUGE_VAL, .high_m = HUGE_VAL};
    for (int pass = 0; pass < 2; pass++)
        for (int l = 0; l < plan->nlines; l++) {
            struct line_room *mine = &rooms[l], *all = &least[plan->lines[l].block];
            if (!map_line_here(mp, &plan->lines[l]))
                continue;
            struct line_room *from = pass == 0 ? mine : all, *to = pass == 0 ? all : mine;
            to->low_m = fmin(to->low_m, from->low_m);
            to->high_m = fmin(to->high_m, from->high_m);
        }
}

bool map_room_measure(struct map_plot *mp)
{
    const struct plan *plan = mp->map->plan;
    struct arena *arena = mp->map->arena;
    struct line_room *rooms = ARENA_ARRAY(arena, struct line_room, (size_t)plan->nlines + 1);
    struct line_room *least = ARENA_ARRAY(arena, struct line_room, (size_t)plan->nblocks + 1);
    struct span_of *s = ARENA_ARRAY(arena, struct span_of, (size_t)plan->nlines + 1);
    int n = 0;
    if (!rooms || !least || !s)
        return false;
    mp->title_w = 0;
    for (int l = 0; l < plan->nlines; l++) {
        if (!map_line_here(mp, &plan->lines[l]))
            continue;
        const char *title = map_line_title(mp, &plan->lines[l]);
        if (!title)
            return false;
        mp->title_w = fmax(mp->title_w, scene_text_width(title, TYPE_BODY_MM, true));
        s[n++] = span_of_line(mp, l);
    }
    qsort(s, (size_t)n, sizeof *s, by_across);
    double lo = mp->along_x ? mp->bounds.y0 : mp->bounds.x0;
    double hi = mp->along_x ? mp->bounds.y1 : mp->bounds.x1;
    for (int i = 0; i < n; i++) {
        struct line_room *room = &rooms[s[i].line];
        *room = (struct line_room){.first = true, .last = true};
        room->low_m = fmin(gap_beside(s, n, i, -1, room), s[i].across - lo);
        room->high_m = fmin(gap_beside(s, n, i, 1, room), hi - s[i].across);
    }
    share_in_blocks(mp, rooms, least);
    mp->rooms = rooms;
    return true;
}

const struct line_room *map_room_of(const struct map_plot *mp, const struct line *line)
{
    return &mp->rooms[line - mp->map->plan->lines];
}
