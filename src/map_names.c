/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "map.h"

#include <math.h>
#include <string.h>

#include "num.h"

/* What is written at hills, rows and blocks, wherever there is room. */

/* ---- labels of hills ----------------------------------------------------------------------- */

/* The letters of all that stands in a hill: "F B Bn". */
static const char *hill_letters(const struct map_plot *mp, const struct station *station)
{
    const struct planting *p = mp->map->plan->blocks[station->block].planting;
    struct strbuf b;
    strbuf_init(&b, mp->map->arena);
    for (int k = 0; k < p->nparts; k++)
        if (station->plants[k] > 0)
            strbuf_printf(&b, "%s%s", b.n > 0 ? " " : "", map_symbol_of(mp, &p->parts[k])->letter);
    return b.failed ? NULL : b.p;
}

/* The largest type in which a text of digits fits a circle. */
static double size_in_circle(const char *text, double radius_mm, double most_mm)
{
    double corner = hypot(scene_text_width(text, 1, true) / 2, 0.37); /* of the text at 1 mm */
    return fmax(TYPE_LEAST_MM, fmin(most_mm, (radius_mm - 0.5) / corner));
}

/* Number and letters in a hill, whose box is its own: nothing else can stand there. */
static void label_hill_inside(struct map_plot *mp, int s, const char *letters)
{
    const struct station *station = &mp->map->plan->stations[s];
    const struct planting *p = mp->map->plan->blocks[station->block].planting;
    struct mm at = view_point(&mp->page->view, station->x_m, station->y_m);
    double r = map_hill_radius(mp, p);
    /* letters stand below the middle, where the circle is not much narrower */
    const double bearing = 0.09 * TYPE_LEAST_MM; /* of the outer letters: no ink */
    double below = 0.02 * r + 0.73 * TYPE_LEAST_MM;
    double reach = hypot(scene_text_width(letters, TYPE_LEAST_MM, false) / 2 - bearing, below);
    bool both = r >= 4.9 && reach + PEN_HILL / 2 + 0.1 <= r;
    double size =
        both ? size_in_circle(station->id, 0.74 * r, 5.2) : size_in_circle(station->id, r, 4.6);
    struct mm base = {at.x, both ? at.y - 0.12 * r : at.y + 0.365 * size};
    struct mark *mark =
        page_text(mp->page, "hill-number", base, size, ALIGN_CENTRE, true, station->id);
    mark->station = s;
    mark->block = station->block;
    if (both)
        page_text(mp->page, "hill-letters", (struct mm){at.x, at.y + below}, TYPE_LEAST_MM,
                  ALIGN_CENTRE, false, letters)
            ->station = s;
}

/* A hill too small for its number: the number goes beside it, if there is room. */
static void label_hill_beside(struct map_plot *mp, int s)
{
    const struct station *station = &mp->map->plan->stations[s];
    const struct planting *p = mp->map->plan->blocks[station->block].planting;
    struct mm at = view_point(&mp->page->view, station->x_m, station->y_m);
    double ring = map_holds_more(p, station) ? MAP_RING_MM : 0;
    double r = map_hill_radius(mp, p) + ring + PEN_HILL, size = TYPE_LEAST_MM;
    double w = scene_text_width(station->id, size, true), cap = 0.8 * size;
    double dx = 0.72 * r + w / 2, dy = 0.72 * r;
    const struct mm tries[] = {
        {at.x + r + w / 2, at.y + cap / 2},
        {at.x, at.y - r - 0.1},
        {at.x, at.y + r + cap},
        {at.x - r - w / 2, at.y + cap / 2},
        {at.x + dx, at.y - dy},
        {at.x + dx, at.y + dy + cap},
        {at.x - dx, at.y - dy},
        {at.x - dx, at.y + dy + cap},
        {at.x + r + w / 2, at.y - 0.3 * r},
        {at.x + r + w / 2, at.y + 0.3 * r + cap},
        {at.x - r - w / 2, at.y - 0.3 * r},
        {at.x - r - w / 2, at.y + 0.3 * r + cap},
    };
    for (size_t i = 0; i < sizeof tries / sizeof *tries; i++) {
        struct rect box = {tries[i].x - w / 2, tries[i].y - cap, tries[i].x + w / 2,
                           tries[i].y + 0.04 * size};
        if (!labels_clear(&mp->labels, box))
            continue;
        labels_take(&mp->labels, box);
        page_text(mp->page, "hill-number", tries[i], size, ALIGN_CENTRE, true, station->id)
            ->station = s;
        return;
    }
    mp->unnamed++;
}

/* How far along its tape a hill stands, below or above it. */
static void label_hill_distance(struct map_plot *mp, int s)
{
    const struct station *station = &mp->map->plan->stations[s];
    const struct planting *p = mp->map->plan->blocks[station->block].planting;
    struct mm at = view_point(&mp->page->view, station->x_m, station->y_m);
    char buf[64];
    unit_tape(buf, sizeof buf, mp->along_x ? station->x_m : station->y_m, mp->map->units);
    const char *text = arena_strdup(mp->map->arena, buf);
    if (!text) {
        mp->page->failed = true;
        return;
    }
    double size = TYPE_LEAST_MM, r = map_hill_radius(mp, p), cap = 0.8 * size;
    r += (map_holds_more(p, station) ? MAP_RING_MM : 0) + PEN_HILL / 2 + 0.5;
    double w = scene_text_width(text, size, false);
    for (int up = 0; up < 2; up++) {
        double base = up ? at.y - r : at.y + r + cap;
        struct rect box = {at.x - w / 2, base - cap, at.x + w / 2, base + 0.04 * size};
        if (!labels_clear(&mp->labels, box))
            continue;
        labels_take(&mp->labels, box);
        struct mark *mark = page_text(mp->page, "hill-distance", (struct mm){at.x, base}, size,
                                      ALIGN_CENTRE, false, text);
        mark->station = s;
        mark->fill = INK_PAPER;
        return;
    }
}

bool map_number_fits(const char *number, double radius_mm)
{
    double half = scene_text_width(number, TYPE_LEAST_MM, true) / 2;
    return hypot(half, 0.37 * TYPE_LEAST_MM) + 0.3 <= radius_mm;
}

bool map_is_dense(const struct map_plot *mp)
{
    const struct plan *plan = mp->map->plan;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (!map_block_shown(mp, b) || planting_standing(p))
            continue;
        if (p->system == SYSTEM_HILLS && map_hill_radius(mp, p) < 0.75 * TYPE_LEAST_MM)
            return true;
        if (p->line_m * 1000 / mp->ratio < 1.5 * TYPE_LEAST_MM)
            return true;
    }
    return false;
}

static void label_hills(struct map_plot *mp, int l, bool distances)
{
    const struct plan *plan = mp->map->plan;
    const struct line *line = &plan->lines[l];
    const struct planting *p = plan->blocks[line->block].planting;
    double r = map_hill_radius(mp, p);
    for (int s = line->first; s < line->first + line->n; s++) {
        const struct station *station = &plan->stations[s];
        if (!map_station_here(mp, s))
            continue;
        const char *letters = distances ? "" : hill_letters(mp, station);
        if (!letters)
            mp->page->failed = true;
        else if (distances && !map_is_dense(mp))
            label_hill_distance(mp, s);
        else if (!distances && map_number_fits(station->id, r))
            label_hill_inside(mp, s, letters);
        else if (!distances && !map_is_dense(mp))
            label_hill_beside(mp, s);
    }
}

/* ---- labels of rows and blocks ------------------------------------------------------------- */

/* "3.2", and where on the tape when that stands nowhere else. NULL: out of memory. */
static const char *row_name(const struct map_plot *mp, const struct line *line)
{
    char buf[64];
    const char *reading = "";
    if (!map_read_beside(mp, line)) {
        double m = mp->along_x ? (line->y0 + line->y1) / 2 : (line->x0 + line->x1) / 2;
        reading = unit_tape(buf, sizeof buf, m, mp->map->units);
    }
    return arena_printf(mp->map->arena, "%d.%d%s%s", line->block + 1, line->index + 1,
                        *reading ? " at " : "", reading);
}

/* "3.2 P": where there is no room for symbols. NULL: out of memory. */
static const char *row_name_letters(const struct map_plot *mp, const struct line *line,
                                    const char *name)
{
    const struct planting *p = mp->map->plan->blocks[line->block].planting;
    struct strbuf b;
    strbuf_init(&b, mp->map->arena);
    strbuf_puts(&b, name);
    for (int k = 0; k < p->nparts; k++)
        strbuf_printf(&b, " %s", map_symbol_of(mp, &p->parts[k])->letter);
    return b.failed ? NULL : b.p;
}

/* A row's name, with the symbols of what is sown there or without: side by side along a level row,
 * one below the other along an upright one. */
struct row_tag {
    const char *name;
    double size, text_w, w, h;
    bool symbols;
};

static struct row_tag plain_tag(const char *name, double size)
{
    double w = scene_text_width(name, size, true);
    return (struct row_tag){name, size, w, w + 1, size, false};
}

static struct row_tag full_tag(const struct map_plot *mp, const struct line *line, const char *name)
{
    const struct planting *p = mp->map->plan->blocks[line->block].planting;
    struct row_tag tag = plain_tag(name, TYPE_BODY_MM);
    bool level = map_rows_level(mp);
    tag.symbols = true;
    tag.h = MAP_SYMBOL_MM + 1.1;
    for (int k = 0; k < p->nparts; k++) {
        double w = map_symbol_width(map_symbol_of(mp, &p->parts[k]));
        tag.w = level ? tag.w + w + 0.5 : fmax(tag.w, w);
        tag.h += level ? 0 : MAP_SYMBOL_MM + 1.1;
    }
    return tag;
}

static void draw_row_tag(struct map_plot *mp, int l, const struct row_tag *tag, struct rect at)
{
    const struct line *line = &mp->map->plan->lines[l];
    const struct planting *p = mp->map->plan->blocks[line->block].planting;
    bool level = map_rows_level(mp);
    double y = tag->symbols ? at.y0 + (MAP_SYMBOL_MM + 1.1) / 2 + 0.2 : at.y1 - 0.47 * tag->size;
    double x = level ? at.x0 + 0.4 : (at.x0 + at.x1 - tag->text_w) / 2;
    labels_take(&mp->labels, at);
    struct mark *mark = page_text(mp->page, "row-name", (struct mm){x, y + 0.37 * tag->size},
                                  tag->size, ALIGN_LEFT, true, tag->name);
    mark->line = l;
    mark->fill = INK_PAPER;
    x = level ? x + tag->text_w + 0.6 : (at.x0 + at.x1) / 2;
    for (int k = 0; tag->symbols && k < p->nparts; k++) {
        const struct symbol *symbol = map_symbol_of(mp, &p->parts[k]);
        double w = map_symbol_width(symbol);
        if (!level)
            y += MAP_SYMBOL_MM + 1.1;
        map_symbol_draw(mp->page, symbol, (struct mm){level ? x + w / 2 : x, y});
        x += level ? w + 0.5 : 0;
    }
}

/* Where a row's tag stands with nothing to lead to the row: above it (to the left of an upright
 * row), and nowhere else, for it would be read with another row. */
static struct rect tag_place(const struct map_plot *mp, const struct line *line,
                             const struct row_tag *tag)
{
    const struct planting *p = mp->map->plan->blocks[line->block].planting;
    const double over = 0.05, aside = 0.8;
    double reach = 2 * map_strip_half(mp, p) + 0.1, w = tag->w + over, h = tag->h + over;
    struct rect row = map_line_box(mp, line, 0);
    if (map_rows_level(mp)) {
        double lack = fmax(0, w + 2 * aside - (row.x1 - row.x0)) / 2;
        return (struct rect){row.x0 + aside - lack, row.y0 - reach - h, row.x1 + lack,
                             row.y0 - reach};
    }
    double lack = fmax(0, h + 2 * aside - (row.y1 - row.y0)) / 2;
    return (struct rect){row.x0 - reach - w, row.y0 + aside - lack, row.x0 - reach, row.y1 + lack};
}

static struct rect within_frame(const struct map_plot *mp, struct rect r)
{
    const struct rect *f = &mp->frame;
    return (struct rect){fmax(r.x0, f->x0), fmax(r.y0, f->y0), fmin(r.x1, f->x1),
                         fmin(r.y1, f->y1)};
}

static bool try_row_tag(struct map_plot *mp, int l, const struct row_tag *tag)
{
    const struct line *line = &mp->map->plan->lines[l];
    struct rect at, in = within_frame(mp, tag_place(mp, line, tag));
    if (!labels_search(&mp->labels, in, tag->w, tag->h, &at))
        return false;
    draw_row_tag(mp, l, tag, at);
    return true;
}

/* A leader from a box to the strip of a row: where it leaves the box, where it enters the ground
 * that the row's ticks take, and where it ends. */
struct leader {
    struct mm from, at_ticks, end;
    double length;
};

static struct leader leader_to(const struct map_plot *mp, const struct line *line, struct rect box)
{
    const struct planting *p = mp->map->plan->blocks[line->block].planting;
    double half = map_strip_half(mp, p), ticks = 2 * half + PEN_PATH + 0.5;
    struct rect row = map_line_box(mp, line, 0);
    double inset_x = fmin(1, (row.x1 - row.x0) / 2), inset_y = fmin(1, (row.y1 - row.y0) / 2);
    struct mm to = {num_clamp((box.x0 + box.x1) / 2, row.x0 + inset_x, row.x1 - inset_x),
                    num_clamp((box.y0 + box.y1) / 2, row.y0 + inset_y, row.y1 - inset_y)};
    struct leader l = {.from = {num_clamp(to.x, box.x0, box.x1), num_clamp(to.y, box.y0, box.y1)}};
    l.length = hypot(to.x - l.from.x, to.y - l.from.y);
    double t = l.length > 0 ? fmin(1, ticks / l.length) : 0, u = l.length > 0 ? half / l.length : 0;
    l.at_ticks = (struct mm){to.x + t * (l.from.x - to.x), to.y + t * (l.from.y - to.y)};
    l.end = (struct mm){to.x + u * (l.from.x - to.x), to.y + u * (l.from.y - to.y)};
    return l;
}

/* How far a place on the page is from the outline, mm. */
static double off_outline(const struct map_plot *mp, struct mm p)
{
    double least = HUGE_VAL;
    for (size_t i = 0; i < mp->ncorners; i++) {
        const struct point *s = &mp->corners[i], *e = &mp->corners[(i + 1) % mp->ncorners];
        struct mm a = view_point(&mp->page->view, s->x, s->y);
        struct mm b = view_point(&mp->page->view, e->x, e->y);
        double dx = b.x - a.x, dy = b.y - a.y, l2 = dx * dx + dy * dy;
        double t = l2 > 0 ? num_clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / l2, 0, 1) : 0;
        least = fmin(least, hypot(a.x + t * dx - p.x, a.y + t * dy - p.y));
    }
    return least;
}

/* Whether a place on the page lies on a row, its ticks and all. */
static bool on_row(const struct map_plot *mp, struct mm p)
{
    const struct plan *plan = mp->map->plan;
    for (int l = 0; l < plan->nlines; l++) {
        if (!map_line_here(mp, &plan->lines[l]))
            continue;
        const struct planting *planting = plan->blocks[plan->lines[l].block].planting;
        struct rect r = map_line_box(mp, &plan->lines[l], 2 * map_strip_half(mp, planting));
        if (p.x > r.x0 && p.x < r.x1 && p.y > r.y0 && p.y < r.y1)
            return true;
    }
    return false;
}

/* Whether a leader crosses nothing; outward: but the outline. */
static bool leader_clear(const struct map_plot *mp, struct mm a, struct mm b, bool outward)
{
    /* what a slanting line takes by labels_take_line reaches so far from it */
    const double half = 0.3, step = 0.5, beside = 2.4;
    int n = (int)ceil(hypot(b.x - a.x, b.y - a.y) / step);
    if (!outward)
        return labels_line_clear(&mp->labels, a, b);
    for (int i = 0; i <= n; i++) {
        double t = n > 0 ? (double)i / n : 0;
        struct mm p = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
        struct rect box = {p.x - half, p.y - half, p.x + half, p.y + half};
        if (!labels_clear(&mp->labels, box) && (off_outline(mp, p) > beside || on_row(mp, p)))
            return false;
    }
    return true;
}

/* Somewhere near, with the shortest line that leads to its row and crosses nothing on its way;
 * outward: but the outline, to a row in a narrow corner. */
static bool try_led_tag(struct map_plot *mp, int l, const struct row_tag *tag, bool outward)
{
    const double far = 25, step = 1.5, dot = 0.5, shortest = 3;
    const struct line *line = &mp->map->plan->lines[l];
    struct rect in = map_line_box(mp, line, far);
    if (outward) /* past its ends, too */
        in = (struct rect){in.x0 - tag->w - far, in.y0 - tag->h - far, in.x1 + tag->w + far,
                           in.y1 + tag->h + far};
    in = within_frame(mp, in);
    struct rect best = in;
    struct leader lead = {.length = HUGE_VAL};
    int columns = (int)((in.x1 - in.x0 - tag->w) / step),
        rows = (int)((in.y1 - in.y0 - tag->h) / step);
    for (int r = 0; r <= rows; r++)
        for (int c = 0; c <= columns; c++) {
            double x = in.x0 + c * step, y = in.y0 + r * step;
            struct rect box = {x, y, x + tag->w, y + tag->h};
            struct leader to = leader_to(mp, line, box);
            if (to.length > lead.length - 0.1 || to.length < shortest ||
                !labels_clear(&mp->labels, box) || !leader_clear(mp, to.from, to.at_ticks, outward))
                continue;
            lead = to;
            best = box;
        }
    if (lead.length == HUGE_VAL)
        return false;
    page_line(mp->page, "leader", lead.from, lead.end, PEN_FINE, INK_BLACK)->line = l;
    page_circle(mp->page, "leader", lead.end, dot, 0, INK_NONE, INK_BLACK)->line = l;
    labels_take_line(&mp->labels, lead.from, lead.end);
    draw_row_tag(mp, l, tag, best);
    return true;
}

/* Beside the row, or led to it, if need be from beyond the outline. */
static bool place_row_tag(struct map_plot *mp, int l, const struct row_tag *tags, int n)
{
    for (int way = 0; way < 3; way++)
        for (int i = 0; i < n; i++)
            if (way == 0 ? try_row_tag(mp, l, &tags[i]) : try_led_tag(mp, l, &tags[i], way == 2)) {
                mp->lettered += !tags[i].symbols;
                return true;
            }
    return false;
}

/* With symbols if they have room, else with letters, else the bare name. */
static void label_row(struct map_plot *mp, int l)
{
    const struct line *line = &mp->map->plan->lines[l];
    const char *name = row_name(mp, line);
    const char *letters = name ? row_name_letters(mp, line, name) : NULL;
    if (!letters) {
        mp->page->failed = true;
        return;
    }
    const struct row_tag tags[] = {full_tag(mp, line, name), plain_tag(letters, TYPE_BODY_MM),
                                   plain_tag(letters, TYPE_LEAST_MM)};
    const struct row_tag bare = plain_tag(name, TYPE_LEAST_MM);
    if (!place_row_tag(mp, l, tags, sizeof tags / sizeof *tags) && !place_row_tag(mp, l, &bare, 1))
        mp->unnamed++;
}

/* Where a row begins and ends on the tape it runs along, at its ends; once for rows that lie side
 * by side. */
static bool same_ends(const struct line *a, const struct line *b)
{
    return a->block == b->block && ((fabs(a->x0 - b->x0) < 1e-6 && fabs(a->x1 - b->x1) < 1e-6) ||
                                    (fabs(a->y0 - b->y0) < 1e-6 && fabs(a->y1 - b->y1) < 1e-6));
}

/* Whether the same distance stands at the end of a neighbouring row, right above or below. */
static bool said_near(const struct page *page, const struct mark *probe)
{
    const double near = 7.5;
    for (int i = page->n - 1; i >= 0; i--) {
        const struct mark *m = &page->marks[i];
        if (strcmp(m->what, "row-end") != 0)
            return false; /* they are drawn in one go */
        double dx = m->points[0].x - probe->points[0].x, dy = m->points[0].y - probe->points[0].y;
        double across = probe->upright ? dx : dy, along = probe->upright ? dy : dx;
        if (m->align == probe->align && fabs(along) < 0.5 && fabs(across) < near &&
            strcmp(m->text, probe->text) == 0)
            return true;
    }
    return false;
}

/* The end of a row as it is written on the page. */
struct row_end {
    int line;
    struct mm at; /* on the page */
    double off;   /* from the row to what stands beside it, mm */
    double in;    /* towards the row's other end: 0.6 or -0.6 mm along the page */
    bool level;   /* the row */
    const char *text;
};

/* Sets a row end's number below the row or, else, above it (beside an upright one); shared: in the
 * middle, for the row that begins there too. false: there is no room. */
static bool try_row_end(struct map_plot *mp, const struct row_end *e, bool shared)
{
    double size = TYPE_LEAST_MM, cap = 0.78 * size, in = shared ? 0 : e->in;
    struct mm at = {e->at.x + (e->level ? in : 0), e->at.y - (e->level ? 0 : in)};
    for (int aside = 0; aside < 2; aside++) { /* below, above */
        double away = aside ? -e->off : e->off + cap;
        struct mm base = e->level ? (struct mm){at.x, at.y + away} : (struct mm){at.x + away, at.y};
        struct mark probe = {.points = &base, .text = e->text, .size_mm = size};
        probe.width_mm = scene_text_width(e->text, size, false);
        probe.align = shared ? ALIGN_CENTRE : in < 0 ? ALIGN_RIGHT : ALIGN_LEFT;
        probe.upright = !e->level;
        if (said_near(mp->page, &probe))
            return true;
        if (!labels_clear(&mp->labels, mark_box(&probe)))
            continue;
        const double apart = 1.2; /* from the next words, which are not read on with it */
        struct rect box = mark_box(&probe);
        double ax = e->level ? apart : 0, ay = e->level ? 0 : apart;
        labels_take(&mp->labels, (struct rect){box.x0 - ax, box.y0 - ay, box.x1 + ax, box.y1 + ay});
        struct mark *mark = page_text(mp->page, "row-end", base, size, probe.align, false, e->text);
        mark->upright = probe.upright;
        mark->line = e->line;
        mark->fill = INK_PAPER;
        return true;
    }
    return false;
}

/* Whether another row in one line with this one begins or ends at that reading. */
static bool meets_a_row(const struct map_plot *mp, const struct line *line, double m)
{
    const double same = 0.005; /* printed alike */
    const struct plan *plan = mp->map->plan;
    for (int l = 0; l < plan->nlines; l++) {
        const struct line *o = &plan->lines[l];
        if (o == line || !map_line_here(mp, o) ||
            plan->blocks[o->block].planting->system == SYSTEM_HILLS)
            continue;
        double across = mp->along_x ? o->y0 - line->y0 : o->x0 - line->x0;
        double lo = mp->along_x ? o->x0 : o->y0, hi = mp->along_x ? o->x1 : o->y1;
        if (fabs(across) < same && fmin(fabs(lo - m), fabs(hi - m)) < same)
            return true;
    }
    return false;
}

static void label_row_end(struct map_plot *mp, int l, bool far_end)
{
    const struct line *line = &mp->map->plan->lines[l], d = map_line_drawn(mp, line);
    const struct planting *p = mp->map->plan->blocks[line->block].planting;
    double m = mp->along_x ? (far_end ? d.x1 : d.x0) : (far_end ? d.y1 : d.y0);
    double end = mp->along_x ? (far_end ? line->x1 : line->x0) : (far_end ? line->y1 : line->y0);
    char buf[64];
    struct row_end e = {.line = l, .off = 2 * map_strip_half(mp, p) + 0.5};
    e.at = view_point(&mp->page->view, far_end ? d.x1 : d.x0, far_end ? d.y1 : d.y0);
    e.text = arena_strdup(mp->map->arena, unit_tape(buf, sizeof buf, end, mp->map->units));
    if (!e.text || fabs(m - end) > 1e-6) { /* the row goes on on the next tile */
        mp->page->failed = mp->page->failed || !e.text;
        return;
    }
    e.level = map_rows_level(mp);
    /* towards the row's other end; both turned and not, a level row's far end is the right one or
     * an upright one's the upper */
    bool before = mp->turned && mp->along_x == e.level ? !far_end : far_end;
    if (mp->turned && e.level) /* y runs to the left */
        before = !far_end;
    e.in = before ? -0.6 : 0.6;
    if (!meets_a_row(mp, line, end) || !try_row_end(mp, &e, true))
        (void)try_row_end(mp, &e, false);
}

static void label_row_ends(struct map_plot *mp, int l)
{
    const struct line *lines = mp->map->plan->lines;
    if (l > 0 && same_ends(&lines[l - 1], &lines[l]) && map_line_here(mp, &lines[l - 1]))
        return;
    label_row_end(mp, l, false);
    label_row_end(mp, l, true);
}

/* The words for a block, from the fullest to the shortest. */
static const char *block_words(const struct map_plot *mp, int b, int brevity)
{
    const struct planting *p = mp->map->plan->blocks[b].planting;
    const char *what = p->guild ? p->guild->name.s : p->parts[0].crop->name.s;
    char buf[64];
    const char *pitch = unit_length(buf, sizeof buf, p->pitch_m, mp->map->units);
    bool hills = p->system == SYSTEM_HILLS;
    int every = map_tick_every(mp, p);
    struct arena *arena = mp->map->arena;
    if (planting_standing(p)) {
        const char *letter = map_symbol_of(mp, &p->parts[0])->letter;
        const char *how = p->parts[0].seed->for_seed ? "for seed" : "stands";
        return brevity == 0 ? arena_printf(arena, "%d  %s (%s), %s", b + 1, what, letter, how)
                            : arena_printf(arena, "%d %s", b + 1, letter);
    }
    if (brevity == 0 && !hills && every > 1)
        return arena_printf(arena, "%d  %s, every %s (a tick = %d spots)", b + 1, what, pitch,
                            every);
    if (brevity == 0)
        return arena_printf(arena, "%d  %s, every %s", b + 1, what, pitch);
    return arena_printf(arena, "%d  %s", b + 1, what);
}

/* Sets a block's words in that size where its ground is clear; false: nowhere. */
static bool try_block_words(struct map_plot *mp, int b, const char *text, double size, bool upright)
{
    struct rect ground, at;
    if (!map_block_here(mp, b, &ground))
        return false;
    struct rect in = view_rect(&mp->page->view, ground);
    in = (struct rect){in.x0 + 0.8, in.y0 + 0.5, in.x1 - 0.8, in.y1 - 0.5};
    double w = scene_text_width(text, size, true) + 0.8, h = 1.02 * size;
    if (!labels_search(&mp->labels, in, upright ? h : w, upright ? w : h, &at))
        return false;
    labels_take(&mp->labels, at);
    struct mm base = {at.x0 + 0.4, at.y0 + 0.78 * size};
    if (upright)
        base = (struct mm){at.x0 + 0.78 * size, at.y1 - 0.4};
    struct mark *mark = page_text(mp->page, "block-name", base, size, ALIGN_LEFT, true, text);
    mark->upright = upright;
    mark->block = b;
    mark->fill = INK_PAPER;
    return true;
}

/* Sets them beside the name of one of its level rows. */
static bool try_words_at_row(struct map_plot *mp, int b, const char *text)
{
    const struct plan *plan = mp->map->plan;
    double w = scene_text_width(text, TYPE_LEAST_MM, true) + 0.8, h = 1.02 * TYPE_LEAST_MM;
    const struct row_tag tag = {.w = w, .h = h};
    for (int l = 0; l < plan->nlines; l++) {
        const struct line *line = &plan->lines[l];
        struct rect at;
        if (line->block != b || !map_line_here(mp, line) ||
            plan->blocks[b].planting->system == SYSTEM_HILLS)
            continue;
        struct rect in = within_frame(mp, tag_place(mp, line, &tag));
        if (!labels_search(&mp->labels, in, w, h, &at))
            continue;
        labels_take(&mp->labels, at);
        struct mark *mark = page_text(mp->page, "block-name",
                                      (struct mm){at.x0 + 0.4, at.y0 + 0.78 * TYPE_LEAST_MM},
                                      TYPE_LEAST_MM, ALIGN_LEFT, true, text);
        mark->block = b;
        mark->fill = INK_PAPER;
        return true;
    }
    return false;
}

static void label_block(struct map_plot *mp, int b)
{
    static const double sizes[] = {TYPE_NUMBER_MM, TYPE_BODY_MM, TYPE_LEAST_MM};
    for (int brevity = 0; brevity < 2; brevity++) {
        const char *text = block_words(mp, b, brevity);
        if (!text) {
            mp->page->failed = true;
            return;
        }
        for (int i = 0; i < 3; i++)
            for (int upright = 0; upright < 2; upright++)
                if (!(upright && map_rows_level(mp)) &&
                    try_block_words(mp, b, text, sizes[i], upright))
                    return;
        if (map_rows_level(mp) && try_words_at_row(mp, b, text))
            return;
    }
}

/* What has the fewest places to stand comes first. */
enum pass { HILL_NUMBERS, HILL_DISTANCES, ROW_NAMES, ROW_ENDS, BLOCK_NAMES };

void map_names_draw(struct map_plot *mp)
{
    struct rect ground;
    const struct plan *plan = mp->map->plan;
    for (enum pass pass = HILL_NUMBERS; pass <= BLOCK_NAMES; pass++) {
        for (int b = 0; pass == BLOCK_NAMES && b < plan->nblocks; b++)
            if (map_block_here(mp, b, &ground))
                label_block(mp, b);
        for (int l = 0; l < plan->nlines; l++) {
            const struct line *line = &plan->lines[l];
            if (!map_line_here(mp, line))
                continue;
            bool hills = plan->blocks[line->block].planting->system == SYSTEM_HILLS;
            bool beside = map_line_named_beside(mp, line) && map_line_beside(mp, line);
            if (hills && pass <= HILL_DISTANCES)
                label_hills(mp, l, pass == HILL_DISTANCES);
            else if (!hills && pass == ROW_NAMES && !beside)
                label_row(mp, l);
            else if (!hills && pass == ROW_ENDS)
                label_row_ends(mp, l);
        }
    }
}

void map_hill_numbers_draw(struct map_plot *mp)
{
    const struct plan *plan = mp->map->plan;
    for (int l = 0; l < plan->nlines; l++)
        if (map_line_here(mp, &plan->lines[l]) &&
            plan->blocks[plan->lines[l].block].planting->system == SYSTEM_HILLS)
            label_hills(mp, l, false);
}
