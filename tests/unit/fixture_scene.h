/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FIXTURE_SCENE_H
#define FIXTURE_SCENE_H
/* Scenes of plans put together by hand or at random, and what must hold of each of their pages. */
#include "fixture_plan.h"
#include "scene.h"

static inline struct scene *fixture_scene(struct fixture *f, const struct fixture_spec *spec)
{
    struct scene *scene = NULL;
    *f = fixture_make(spec);
    cr_assert(f->plan, "%s: %s", spec->name, garden_text_diags(&f->text));
    CALL(scene_map(f->text.arena, f->plan, paper_of(f->plan->garden), &scene));
    return scene;
}

/* ---- odd plans ----------------------------------------------------------------------------- */

/* Marsaglia's xorshift32: the same plans in every run. */
static inline unsigned fixture_dice(unsigned *seed, unsigned sides)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 17;
    *seed ^= *seed << 5;
    return *seed % sides;
}

struct fixture_odd {
    struct fixture_spec spec;
    char yaml[6000], name[32];
};

static inline size_t odd_plot(char *to, size_t cap, unsigned *seed, int index, double w, double h)
{
    static const char *const edges[] = {
        "", "    edges: [{side: 1, kind: path, gate: yes, name: the long lane by the hedge}]\n",
        "    edges: [{side: 2, kind: neighbour}, {side: 3, kind: wall, name: W}]\n"};
    size_t n = (size_t)snprintf(to, cap, "  - name: Plot number %d\n    bearing: %u deg\n%s", index,
                                fixture_dice(seed, 360), edges[fixture_dice(seed, 3)]);
    n += (size_t)snprintf(to + n, cap - n, "    rows: %s\n",
                          fixture_dice(seed, 2) ? "along-x" : "along-y");
    switch (fixture_dice(seed, 4)) { /* the zone w by h, from (0.2, 0.2) on, fits in each */
    case 0:
        n += (size_t)snprintf(to + n, cap - n,
                              "    outline: [[0 m, 0 m], [%.2f m, 0 m], [%.2f m, %.2f m], [%.2f m, "
                              "%.2f m], [%.2f m, %.2f m], [0 m, %.2f m]]\n",
                              1.6 * w + 1, 1.6 * w + 1, 0.3 * h + 0.5, w + 0.6, 0.3 * h + 0.5,
                              w + 0.6, h + 0.6, h + 0.6);
        break;
    case 1:
        n += (size_t)snprintf(to + n, cap - n,
                              "    outline: [[0 m, 0 m], [%.2f m, 0 m], [%.2f m, %.2f m], [0 m, "
                              "%.2f m]]\n",
                              1.5 * w + 1, w + 0.8, h + 0.6, h + 0.6);
        break;
    default:
        n += (size_t)snprintf(to + n, cap - n, "    size: %.2f m x %.2f m\n", w + 0.4, h + 0.4);
    }
    if (fixture_dice(seed, 3) == 0)
        n += (size_t)snprintf(to + n, cap - n,
                              "    obstacles:\n      - {name: old pear, place: [%.2f m, %.2f m], "
                              "radius: 0.4 m, height: 3 m}\n",
                              0.5 * w, h + 0.65);
    return n;
}

/* One to three plots of 1.5 to 16 m, hills and rows of all kinds, in either unit system. */
static inline void fixture_odd_make(struct fixture_odd *odd, unsigned number)
{
    static const double pitches[] = {0.08, 0.15, 0.3, 0.6, 1.2}, gaps[] = {0.25, 0.4, 0.7, 1.1};
    unsigned seed = 2463534242u + 977u * number;
    struct fixture_spec *spec = &odd->spec;
    *spec = (struct fixture_spec){.name = odd->name, .yaml = odd->yaml};
    snprintf(odd->name, sizeof odd->name, "odd plan %u", number);
    size_t cap = sizeof odd->yaml, n;
    for (int i = 0; i < 5; i++)
        fixture_dice(&seed, 2);
    const char *units = fixture_dice(&seed, 2) ? "us" : "metric";
    n = (size_t)snprintf(odd->yaml, cap, "garden: Odd\nunits: %s\nyear: 2027\n%splots:\n", units,
                         FIXTURE_SITE);
    spec->nzones = 1 + (int)fixture_dice(&seed, 3);
    for (int z = 0; z < spec->nzones; z++) {
        double w = 1.5 + fixture_dice(&seed, 1450) / 100.0,
               h = 1.5 + fixture_dice(&seed, 1450) / 100.0;
        n += odd_plot(odd->yaml + n, cap - n, &seed, z + 1, w, h);
        spec->zones[z] = (struct fixture_zone){z, {0.2, 0.2, 0.2 + w, 0.2 + h}};
        double room = fmin(w, h); /* whichever way the rows run */
        for (int b = 0; b < 2; b++) {
            bool hills = fixture_dice(&seed, 2) == 0 && room > 3;
            double pitch =
                hills ? 1 + fixture_dice(&seed, 60) / 100.0 : pitches[fixture_dice(&seed, 5)];
            double gap = gaps[fixture_dice(&seed, 4)];
            int lines = (int)((room / 2 - (hills ? 0.3 : 0)) / (hills ? pitch : gap));
            lines = lines < 1 ? 1 : lines > 14 ? 14 : lines;
            if (lines * (hills ? pitch : gap) > room / 2 + 1e-9)
                continue;
            struct fixture_block block = {z,   lines, hills ? SYSTEM_HILLS : SYSTEM_ROWS,
                                          {0}, pitch, gap};
            block.seed[0] = hills ? 0 : 3 + (int)fixture_dice(&seed, 5);
            block.seed[1] = 1;
            block.seed[2] = 2;
            spec->blocks[spec->nblocks++] = block;
        }
    }
    snprintf(odd->yaml + n, cap - n, "%s", FIXTURE_SEED);
}

/* ---- what lies on what --------------------------------------------------------------------- */

static inline bool scene_is(const struct mark *m, const char *what)
{
    return strcmp(m->what, what) == 0;
}

/* Whether a segment, as wide as its pen, touches the box. */
static inline bool segment_in_box(struct mm a, struct mm b, double pen, struct rect box)
{
    double t0 = 0, t1 = 1, half = pen / 2;
    const double d[2] = {b.x - a.x, b.y - a.y}, from[2] = {a.x, a.y};
    const double lo[2] = {box.x0 - half, box.y0 - half}, hi[2] = {box.x1 + half, box.y1 + half};
    for (int i = 0; i < 2; i++) {
        if (fabs(d[i]) < 1e-12) {
            if (from[i] <= lo[i] || from[i] >= hi[i])
                return false;
            continue;
        }
        double u = (lo[i] - from[i]) / d[i], v = (hi[i] - from[i]) / d[i];
        t0 = fmax(t0, fmin(u, v));
        t1 = fmin(t1, fmax(u, v));
    }
    return t0 < t1;
}

/* Whether the mark's ink (its line, or its whole ground where that is a symbol's) touches the box.
 */
static inline bool mark_in_box(const struct mark *m, bool ground, struct rect box)
{
    if (m->kind == MARK_CIRCLE) {
        double x = fmax(box.x0, fmin(m->points[0].x, box.x1)) - m->points[0].x;
        double y = fmax(box.y0, fmin(m->points[0].y, box.y1)) - m->points[0].y;
        return hypot(x, y) < m->radius_mm + m->pen_mm / 2;
    }
    struct rect in = {1e9, 1e9, -1e9, -1e9};
    int sides = m->kind == MARK_POLYGON ? m->npoints : m->npoints - 1;
    for (int i = 0; i < sides; i++)
        if (segment_in_box(m->points[i], m->points[(i + 1) % m->npoints], m->pen_mm, box))
            return true;
    for (int i = 0; i < m->npoints; i++)
        in = (struct rect){fmin(in.x0, m->points[i].x), fmin(in.y0, m->points[i].y),
                           fmax(in.x1, m->points[i].x), fmax(in.y1, m->points[i].y)};
    return ground && boxes_overlap(in, box);
}

/* Marks that no text may lie on, and whether their ground counts. The grid, block frames, strings
 * and border are thin lines under the texts, which clear them with paper. */
static inline bool is_symbol(const struct mark *m, bool *ground)
{
    static const struct {
        const char *what;
        bool ground;
    } kinds[] = {
        {"hill", true},        {"ring", true},       {"row", true},        {"spot", false},
        {"symbol", true},      {"outline", false},   {"gate", false},      {"stake", false},
        {"ruler", false},      {"tape", false},      {"match", false},     {"corner", true},
        {"north", false},      {"bar", true},        {"sample", true},     {"hill-seed", true},
        {"hill-scale", false}, {"hill-edge", false}, {"hill-ring", false}, {"locator", true}};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (m->kind != MARK_TEXT && scene_is(m, kinds[i].what)) {
            *ground = kinds[i].ground;
            return true;
        }
    return false;
}

/* A text that stands in its own symbol: a hill's number, a letter, a corner's number. */
static inline bool belongs(const struct mark *text, const struct mark *m)
{
    if (scene_is(text, "hill-number") || scene_is(text, "hill-letters"))
        return (scene_is(m, "hill") || scene_is(m, "ring")) &&
               hypot(text->points[0].x - m->points[0].x, text->points[0].y - m->points[0].y) < 4;
    if (scene_is(text, "symbol") || scene_is(text, "corner"))
        return strcmp(text->what, m->what) == 0 || scene_is(m, "hill-ring") ||
               scene_is(m, "hill-edge");
    return false;
}

/* Thin lines that texts may stand on if they clear them with paper, which then is drawn later. */
static inline bool is_thin(const struct mark *m)
{
    static const char *const kinds[] = {"grid", "block", "border",     "string",
                                        "path", "side",  "match-line", "leader"};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (m->kind != MARK_TEXT && m->kind != MARK_CIRCLE && scene_is(m, kinds[i]))
            return true;
    return false;
}

/* No thin line runs through the letters of a text: it has paper under it, or no line. */
static inline void fixture_lines_check(const char *name, const struct page *page, int number)
{
    static int thin[20000]; /* the marks that are such lines, once for all texts */
    int n = 0;
    for (int j = 0; j < page->n && n < 20000; j++)
        if (is_thin(&page->marks[j]))
            thin[n++] = j;
    for (int i = 0; i < page->n; i++) {
        const struct mark *text = &page->marks[i];
        if (text->kind != MARK_TEXT || scene_is(text, "symbol") || scene_is(text, "corner") ||
            scene_is(text, "hill-number") || scene_is(text, "hill-letters"))
            continue; /* they stand on a ground of their own, as the next two do */
        bool covered =
            text->fill == INK_PAPER || scene_is(text, "obstacle") || scene_is(text, "path");
        const double slack = 0.12 * text->size_mm; /* of the box, above and below the letters */
        struct rect box = mark_box(text);
        box.x0 += slack, box.x1 -= slack, box.y0 += slack, box.y1 -= slack;
        for (int k = 0; k < n; k++) {
            const struct mark *m = &page->marks[thin[k]];
            if ((!covered || thin[k] > i) && mark_in_box(m, false, box))
                cr_assert_fail("%s page %d: a line (%s) runs through \"%s\" (%s)", name, number,
                               m->what, text->text, text->what);
        }
    }
}

/* Nothing overlaps, nothing is below 8 points, all is on the page. */
static inline void fixture_page_check(const char *name, const struct page *page, int number)
{
    fixture_lines_check(name, page, number);
    for (int i = 0; i < page->n; i++) {
        const struct mark *a = &page->marks[i];
        if (a->kind != MARK_TEXT)
            continue;
        struct rect box = mark_box(a);
        cr_assert(a->size_mm >= 8 * 25.4 / 72, "%s: \"%s\" is %g pt", name, a->text,
                  a->size_mm * 72 / 25.4);
        cr_assert(box.x0 >= 5 && box.y0 >= 5 && box.x1 <= page->w_mm - 5 &&
                      box.y1 <= page->h_mm - 5,
                  "%s page %d: \"%s\" (%s) is off the page", name, number, a->text, a->what);
        for (int j = 0; j < page->n; j++) {
            const struct mark *b = &page->marks[j];
            bool ground;
            if (b->kind == MARK_TEXT)
                cr_assert(j <= i || !boxes_overlap(box, mark_box(b)),
                          "%s page %d: \"%s\" (%s) lies on \"%s\" (%s)", name, number, a->text,
                          a->what, b->text, b->what);
            else if (is_symbol(b, &ground) && !belongs(a, b))
                cr_assert(!mark_in_box(b, ground, box),
                          "%s page %d: \"%s\" (%s) lies on a %s at %g, %g", name, number, a->text,
                          a->what, b->what, b->points[0].x, b->points[0].y);
        }
    }
}

#endif
