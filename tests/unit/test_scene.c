/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_plan.h"
#include "little_memory.h"
#include "scene.h"

#define PT (25.4 / 72) /* mm; the point of PostScript and CSS, 1/72 in */

static struct scene *scene_of(struct fixture *f, int variant)
{
    struct scene *scene = NULL;
    *f = fixture_make(&fixture_specs[variant]);
    cr_assert(f->plan, "%s: %s", fixture_specs[variant].name, garden_text_diags(&f->text));
    CALL(scene_map(f->text.arena, f->plan, paper_of(f->plan->garden), &scene));
    return scene;
}

static const struct mark *find(const struct page *page, const char *what, enum mark_kind kind)
{
    for (int i = 0; i < page->n; i++)
        if (page->marks[i].kind == kind && strcmp(page->marks[i].what, what) == 0)
            return &page->marks[i];
    return NULL;
}

static double length(const struct mm *a, const struct mm *b)
{
    return hypot(b->x - a->x, b->y - a->y);
}

/* ---- scale --------------------------------------------------------------------------------- */

Test(scene, sides_are_true_to_scale)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        for (int p = 0; p < scene->npages; p++) {
            const struct page *page = &scene->pages[p];
            if (page->kind != PAGE_PLOT)
                continue;
            const struct mark *outline = find(page, "outline", MARK_POLYGON);
            const struct plot *plot = garden_plot(f.plan->garden, (size_t)page->plot);
            size_t n;
            const struct point *c = plot_corners(f.text.arena, plot, &n);
            cr_assert(outline && (size_t)outline->npoints == n, "an outline");
            for (size_t i = 0; i < n; i++) {
                size_t j = (i + 1) % n;
                double ground = hypot(c[j].x - c[i].x, c[j].y - c[i].y);
                double paper = length(&outline->points[i], &outline->points[j]);
                cr_assert(near(paper * page->ratio / 1000, ground, 1e-6), "%s side %zu: %g of %g",
                          fixture_specs[v].name, i + 1, paper * page->ratio / 1000, ground);
            }
        }
        fixture_free(&f);
    }
}

/* 1:N with 1 in = 1, 1 1/2, 2, 2 1/2, 3, 4, 5, 6 or 8 ft (common practice of site plans), or a
 * metric ratio of 10, 15, 20, 25, 30, 40, 50, 60, 75 (ISO 5455 has 10, 20, 50), times powers of
 * ten. */
Test(scene, ratios_are_round)
{
    static const double us[] = {12, 18, 24, 30, 36, 48, 60, 72, 96};
    static const double metric[] = {10, 15, 20, 25, 30, 40, 50, 60, 75};
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        const double *list = f.plan->garden->units.v == UNITS_US ? us : metric;
        for (int p = 0; p < scene->npages; p++) {
            double ratio = scene->pages[p].ratio;
            bool round = ratio == 0;
            for (double ten = 1; ten < 1e5; ten *= 10)
                for (int i = 0; i < 9; i++)
                    round = round || near(ratio, list[i] * ten, 1e-9);
            cr_assert(round, "%s: 1:%g", fixture_specs[v].name, ratio);
        }
        fixture_free(&f);
    }
}

Test(scene, ten_feet_are_ten_feet)
{
    struct fixture f;
    struct scene *scene = scene_of(&f, 0);
    const struct page *page = &scene->pages[0];
    struct mm a = view_point(&page->view, 0, 0), b = view_point(&page->view, 10 * FIXTURE_FT, 0);
    cr_assert(near(length(&a, &b), 10 * 304.8 / page->ratio, 1e-9), "%g mm", length(&a, &b));
    cr_assert(near(page->ratio, 48, 0), "20 x 25 ft on Letter: 1 in = 4 ft, not 1:%g", page->ratio);
    fixture_free(&f);
}

Test(scene, papers_have_their_sizes)
{
    double w, h;
    paper_size(PAPER_A4, &w, &h); /* ISO 216 */
    cr_assert(w == 210 && h == 297, "A4 %g x %g", w, h);
    paper_size(PAPER_LETTER, &w, &h); /* ANSI/ASME Y14.1: 8 1/2 x 11 in */
    cr_assert(near(w, 8.5 * 25.4, 1e-9) && near(h, 11 * 25.4, 1e-9), "Letter %g x %g", w, h);
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        paper_size(scene->paper, &w, &h);
        for (int p = 0; p < scene->npages; p++) {
            const struct page *page = &scene->pages[p];
            cr_assert((page->w_mm == w && page->h_mm == h) || (page->w_mm == h && page->h_mm == w),
                      "%s page %d", fixture_specs[v].name, p);
        }
        fixture_free(&f);
    }
}

/* ---- what stands on it --------------------------------------------------------------------- */

Test(scene, every_hill_once_where_it_stands_and_as_large_as_it_is)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        for (int s = 0; s < f.plan->nstations; s++) {
            const struct station *station = &f.plan->stations[s];
            const struct planting *p = f.plan->blocks[station->block].planting;
            int seen = 0;
            for (int g = 0; g < scene->npages; g++)
                for (int i = 0; i < scene->pages[g].n; i++) {
                    const struct mark *m = &scene->pages[g].marks[i];
                    if (m->station != s || strcmp(m->what, "hill") != 0 ||
                        scene->pages[g].kind != PAGE_PLOT)
                        continue;
                    struct mm at = view_point(&scene->pages[g].view, station->x_m, station->y_m);
                    cr_assert(length(&at, &m->points[0]) < 1e-9, "hill %s", station->id);
                    cr_assert(near(m->radius_mm * 2 * scene->pages[g].ratio / 1000,
                                   p->hill_diameter_m, 1e-9),
                              "true size");
                    seen++;
                }
            cr_assert(seen == (p->system == SYSTEM_HILLS), "%s: station %s is drawn %d times",
                      fixture_specs[v].name, station->id, seen);
        }
        fixture_free(&f);
    }
}

Test(scene, every_row_once_with_ticks_one_can_tell_apart)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        for (int l = 0; l < f.plan->nlines; l++) {
            const struct line *line = &f.plan->lines[l];
            int strips = 0, spots = 0;
            struct mm last = {-1e9, -1e9};
            for (int g = 0; g < scene->npages; g++)
                for (int i = 0; scene->pages[g].kind == PAGE_PLOT && i < scene->pages[g].n; i++) {
                    const struct mark *m = &scene->pages[g].marks[i];
                    strips += m->line == l && strcmp(m->what, "row") == 0;
                    if (m->line != l || strcmp(m->what, "spot") != 0)
                        continue;
                    cr_assert(m->station >= line->first && m->station < line->first + line->n,
                              "a spot of its row");
                    if (m->kind == MARK_CIRCLE) /* the spots of a cover crop come on top */
                        continue;
                    cr_assert(length(&last, &m->points[0]) >= 1.2 - 1e-9, "%s: ticks %g mm apart",
                              fixture_specs[v].name, length(&last, &m->points[0]));
                    last = m->points[0];
                    spots++;
                }
            bool row = f.plan->blocks[line->block].planting->system != SYSTEM_HILLS;
            cr_assert(strips == row, "%s: row %d is drawn %d times", fixture_specs[v].name, l,
                      strips);
            cr_assert(!row || spots > 0, "%s: row %d has no tick", fixture_specs[v].name, l);
        }
        fixture_free(&f);
    }
}

/* Where all spots have ticks, each stands at its spot. */
Test(scene, ticks_stand_at_their_spots)
{
    struct fixture f;
    struct scene *scene = scene_of(&f, 0);
    const struct page *page = &scene->pages[0];
    int ticks = 0, spots = 0;
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        if (m->station < 0 || strcmp(m->what, "spot") != 0)
            continue;
        const struct station *s = &f.plan->stations[m->station];
        struct mm at = view_point(&page->view, s->x_m, s->y_m);
        struct mm mid = {(m->points[0].x + m->points[1].x) / 2,
                         (m->points[0].y + m->points[1].y) / 2};
        cr_assert(length(&at, &mid) < 1e-9, "spot %s", s->id);
        ticks++;
    }
    for (int s = 0; s < f.plan->nstations; s++)
        spots += f.plan->blocks[f.plan->stations[s].block].planting->system != SYSTEM_HILLS;
    cr_assert(ticks == spots, "%d ticks for %d spots", ticks, spots);
    fixture_free(&f);
}

Test(scene, north_is_north)
{
    static const char *const rows[] = {"along-x", "along-y"};
    static const int bearings[] = {0, 25, 90, 135, 200, 270, 359};
    for (int r = 0; r < 2; r++)
        for (size_t i = 0; i < sizeof bearings / sizeof *bearings; i++) {
            char yaml[2048];
            struct fixture_spec spec = fixture_specs[6];
            snprintf(yaml, sizeof yaml,
                     "%s  - {name: B, size: 3 m x 9 m, rows: %s, bearing: %d deg}\n%s",
                     FIXTURE_HEAD("G", "metric"), rows[r], bearings[i], FIXTURE_SEED);
            spec.yaml = yaml;
            struct fixture f = fixture_make(&spec);
            struct scene *scene;
            cr_assert(f.plan, "%s", garden_text_diags(&f.text));
            CALL(scene_map(f.text.arena, f.plan, PAPER_A4, &scene));
            const struct page *page = &scene->pages[0];
            const struct mark *arrow = find(page, "north", MARK_LINE); /* from tail to tip */
            double dx = arrow->points[1].x - arrow->points[0].x;
            double dy = arrow->points[1].y - arrow->points[0].y;
            /* the plot's y axis on the page, turned counter-clockwise by the bearing */
            struct mm o = view_point(&page->view, 0, 0), y = view_point(&page->view, 0, 1);
            double axis = atan2(-(y.y - o.y), y.x - o.x), north = atan2(-dy, dx);
            double turn = remainder(north - axis - bearings[i] * M_PI / 180, 2 * M_PI);
            cr_assert(fabs(turn) < 1e-9, "%s, %d deg: off by %g", rows[r], bearings[i], turn);
            fixture_free(&f);
        }
}

Test(scene, letters_are_unique)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        /* in the key each variety's symbol stands once: its letter is the text of the symbol, and
         * the variety's name the line that follows */
        const char *letter[20];
        int n = 0;
        for (int p = 0; p < scene->npages; p++)
            for (int i = 0; scene->pages[p].plot == 0 && i < scene->pages[p].n; i++) {
                const struct mark *m = &scene->pages[p].marks[i];
                bool symbol = m->kind == MARK_TEXT && strcmp(m->what, "symbol") == 0;
                bool in_key = i + 1 < scene->pages[p].n &&
                              (strcmp(m[1].what, "key") == 0 || strcmp(m[1].what, "sample") == 0);
                if (!symbol || !in_key)
                    continue;
                for (int k = 0; k < n; k++)
                    cr_assert(strcmp(letter[k], m->text) != 0, "%s: %s twice",
                              fixture_specs[v].name, m->text);
                letter[n++] = m->text;
            }
        cr_assert(n > 0 || f.plan->ncrops == 0, "%s has letters", fixture_specs[v].name);
        fixture_free(&f);
    }
}

/* ---- legibility ---------------------------------------------------------------------------- */

Test(scene, no_label_on_another_and_none_off_the_page)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        for (int p = 0; p < scene->npages; p++) {
            const struct page *page = &scene->pages[p];
            for (int i = 0; i < page->n; i++) {
                const struct mark *a = &page->marks[i];
                if (a->kind != MARK_TEXT)
                    continue;
                struct rect box = mark_box(a);
                cr_assert(box.x0 >= 5 && box.y0 >= 5 && box.x1 <= page->w_mm - 5 &&
                              box.y1 <= page->h_mm - 5,
                          "%s: \"%s\" is off the page", fixture_specs[v].name, a->text);
                cr_assert(a->width_mm >= scene_text_width(a->text, a->size_mm, a->bold) - 1e-9,
                          "\"%s\" is squeezed", a->text);
                for (int j = i + 1; j < page->n; j++) {
                    const struct mark *b = &page->marks[j];
                    cr_assert(b->kind != MARK_TEXT || !boxes_overlap(box, mark_box(b)),
                              "%s page %d: \"%s\" (%s) lies on \"%s\" (%s)", fixture_specs[v].name,
                              p + 1, a->text, a->what, b->text, b->what);
                }
            }
        }
        fixture_free(&f);
    }
}

Test(scene, no_type_below_8_points)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        for (int p = 0; p < scene->npages; p++)
            for (int i = 0; i < scene->pages[p].n; i++) {
                const struct mark *m = &scene->pages[p].marks[i];
                cr_assert(m->kind != MARK_TEXT || m->size_mm >= 8 * PT, "%s: \"%s\" is %g pt",
                          fixture_specs[v].name, m->text, m->size_mm / PT);
            }
        fixture_free(&f);
    }
}

Test(scene, nothing_is_clipped)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, v);
        for (int p = 0; p < scene->npages; p++)
            for (int i = 0; i < scene->pages[p].n; i++) {
                const struct mark *m = &scene->pages[p].marks[i];
                for (int k = 0; k < m->npoints; k++) {
                    struct mm q = m->points[k];
                    double r = m->radius_mm + m->pen_mm;
                    cr_assert(isfinite(q.x) && isfinite(q.y) && isfinite(r), "%s is finite",
                              m->what);
                    cr_assert(q.x - r >= 4 && q.y - r >= 4 && q.x + r <= scene->pages[p].w_mm - 4 &&
                                  q.y + r <= scene->pages[p].h_mm - 4,
                              "%s: %s at %g, %g", fixture_specs[v].name, m->what, q.x, q.y);
                }
            }
        fixture_free(&f);
    }
}

Test(scene, what_lies_beyond_the_plot_is_cut_off_at_it)
{
    struct fixture_spec spec = {.nblocks = 0};
    spec.yaml =
        FIXTURE_HEAD("Edge", "metric") "  - name: B\n    size: 4 m x 6 m\n    paths:\n"
                                       "      - {from: [2 m, -50 m], to: [2 m, 90 m], "
                                       "width: 40 cm}\n"
                                       "      - {from: [-9 m, -9 m], to: [20 m, 20 m], "
                                       "width: 40 cm}\n    obstacles:\n"
                                       "      - {name: ash, place: [-1 m, 5 m], radius: 2 m, "
                                       "height: 9 m}\n"
                                       "      - {name: far oak, place: [40 m, 5 m], "
                                       "radius: 2 m, height: 9 m}\n"
                                       "      - {name: shed, outline: [[3 m, 5 m], [9 m, 5 "
                                       "m], [9 m, 9 m], [3 m, 9 m]], height: 2 m}"
                                       "\n" FIXTURE_GUILD_SEED;
    struct fixture f = fixture_make(&spec);
    struct scene *scene;
    cr_assert(f.plan, "%s", garden_text_diags(&f.text));
    CALL(scene_map(f.text.arena, f.plan, PAPER_A4, &scene));
    const struct page *page = &scene->pages[0];
    struct rect frame = view_rect(&page->view, (struct rect){0, 0, 4, 6});
    int shapes = 0;
    for (int i = 0; i < page->n; i++) {
        const struct mark *m = &page->marks[i];
        if (m->kind != MARK_POLYGON || (strcmp(m->what, "path") && strcmp(m->what, "obstacle")))
            continue;
        shapes++;
        for (int k = 0; k < m->npoints; k++)
            cr_assert(m->points[k].x >= frame.x0 - 1e-6 && m->points[k].x <= frame.x1 + 1e-6 &&
                          m->points[k].y >= frame.y0 - 1e-6 && m->points[k].y <= frame.y1 + 1e-6,
                      "%s leaves the map", m->what);
    }
    cr_assert(shapes == 4, "two paths, the ash, the shed; not the far oak: %d", shapes);
    fixture_free(&f);
}

/* What a gardener needs is there by name: each hill's number, each row's name, each block, each
 * line's distance. */
Test(scene, everything_has_its_name)
{
    static const int roomy[] = {0, 1, 2, 3, 6};
    for (size_t k = 0; k < sizeof roomy / sizeof *roomy; k++) {
        struct fixture f;
        struct scene *scene = scene_of(&f, roomy[k]);
        const char *name = fixture_specs[roomy[k]].name;
        int numbers = 0, rows = 0, distances = 0, blocks = 0, hills = 0;
        for (int p = 0; p < scene->npages; p++)
            for (int i = 0; i < scene->pages[p].n; i++) {
                const struct mark *m = &scene->pages[p].marks[i];
                if (strcmp(m->what, "hill-number") == 0) {
                    cr_assert_str_eq(m->text, f.plan->stations[m->station].id);
                    numbers++;
                }
                rows += strcmp(m->what, "row-name") == 0;
                distances += strcmp(m->what, "distance") == 0;
                blocks += strcmp(m->what, "block-name") == 0;
            }
        int row_lines = 0;
        for (int s = 0; s < f.plan->nstations; s++)
            hills += f.plan->blocks[f.plan->stations[s].block].planting->system == SYSTEM_HILLS;
        for (int l = 0; l < f.plan->nlines; l++)
            row_lines += f.plan->blocks[f.plan->lines[l].block].planting->system != SYSTEM_HILLS;
        cr_assert(numbers == hills, "%s: %d numbers of %d hills", name, numbers, hills);
        cr_assert(rows == row_lines, "%s: %d names of %d rows", name, rows, row_lines);
        cr_assert(distances >= f.plan->nlines, "%s: %d distances", name, distances);
        cr_assert(blocks >= f.plan->nblocks - 1, "%s: %d of %d blocks", name, blocks,
                  f.plan->nblocks);
        fixture_free(&f);
    }
}

/* WCAG 2.2, SC 1.4.3 and 1.4.6: relative luminance and contrast; 7:1 is AAA for text. */
static double luminance(struct rgb c)
{
    double v[3] = {c.r / 255.0, c.g / 255.0, c.b / 255.0};
    for (int i = 0; i < 3; i++)
        v[i] = v[i] <= 0.04045 ? v[i] / 12.92 : pow((v[i] + 0.055) / 1.055, 2.4);
    return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2];
}

Test(scene, text_stands_out_on_every_ink)
{
    /* the published worked values of white and black */
    cr_assert(near(luminance((struct rgb){255, 255, 255}), 1, 1e-12), "white");
    for (enum ink ink = INK_PAPER; ink < INK_COUNT; ink++) {
        double contrast = (luminance(ink_rgb(ink)) + 0.05) / 0.05;
        cr_assert(contrast >= 7, "black on %s: %g", ink_name(ink), contrast);
    }
    double grey = 1.05 / (luminance(ink_rgb(INK_GREY)) + 0.05);
    cr_assert(grey >= 7, "grey on white: %g", grey);
}

Test(scene, words_are_measured_generously)
{
    /* DejaVu Sans: digits advance 1303 of 2048 units, `m` 1995 (read from the font) */
    cr_assert(scene_text_width("0", 2.048, false) >= 1.303, "a digit");
    cr_assert(scene_text_width("m", 2.048, false) >= 1.995, "an m");
    cr_assert(scene_text_width("", 3, false) == 0, "nothing");
    cr_assert(scene_text_width("ab", 3, true) > scene_text_width("ab", 3, false), "bold is wider");
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    for (double w = 8; w < 60; w += 7) {
        const char *cut = scene_text_cut(arena, "the corner where the old pear stood", 3, false, w);
        cr_assert(scene_text_width(cut, 3, false) <= w, "\"%s\" in %g", cut, w);
    }
    cr_assert_str_eq(scene_text_cut(arena, "short", 3, false, 50), "short");
    cr_assert_str_eq(scene_text_cut(arena, "Grün Grün", 3, true, 12), "Grü...");
    arena_free(arena);
}

/* ---- the whole ----------------------------------------------------------------------------- */

static const char *dump_of(struct fixture *f, struct scene *scene)
{
    struct strbuf b;
    strbuf_init(&b, f->text.arena);
    scene_dump(scene, &b);
    cr_assert(!b.failed, "memory");
    return b.p;
}

Test(scene, same_plan_same_scene_and_no_nonsense)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f, g;
        const char *a = dump_of(&f, scene_of(&f, v)), *b = dump_of(&g, scene_of(&g, v));
        cr_assert_str_eq(a, b);
        cr_assert(!strstr(a, "nan") && !strstr(a, " inf") && !strstr(a, "-0.00"), "%s",
                  fixture_specs[v].name);
        fixture_free(&f);
        fixture_free(&g);
    }
}

Test(scene, a_key_without_room_goes_on_on_further_sheets)
{
    char yaml[12000];
    size_t n = (size_t)snprintf(yaml, sizeof yaml, "%s  - {name: B, size: 20 m x 30 m}\nseed:\n",
                                FIXTURE_HEAD("Many", "metric"));
    for (int i = 0; i < 60; i++)
        n += (size_t)snprintf(yaml + n, sizeof yaml - n,
                              "  - {variety: Sort number %d, crop: potato}\n", i);
    struct fixture_spec spec = {.yaml = yaml, .nblocks = 6};
    for (int b = 0; b < 6; b++)
        spec.blocks[b] = (struct fixture_block){0, 1, SYSTEM_ROWS, {b}, 0.3, 0.75};
    struct fixture f = fixture_make(&spec);
    cr_assert(f.plan, "%s", garden_text_diags(&f.text));
    /* a planting of every variety, one row each */
    struct block *blocks = ARENA_ARRAY(f.text.arena, struct block, 60);
    for (int b = 0; b < 60; b++) {
        struct planting *p = ARENA_NEW(f.text.arena, struct planting);
        blocks[b] = f.plan->blocks[b % 6];
        *p = *blocks[b].planting;
        p->parts[0].seed_index = b;
        p->parts[0].seed = garden_seed(f.plan->garden, (size_t)b);
        blocks[b].planting = p;
        blocks[b].start_m = 0.4 * b;
        blocks[b].depth_m = 0.4;
    }
    f.plan->blocks = blocks;
    f.plan->nblocks = 60;
    f.plan->nlines = f.plan->nstations = f.plan->ncrops = 0;
    int hills = 0;
    for (int b = 0; b < 60; b++)
        fixture_stations(f.plan, b, &hills);
    fixture_totals(f.plan);
    struct scene *scene;
    CALL(scene_map(f.text.arena, f.plan, PAPER_A4, &scene));
    cr_assert(scene->npages >= 3, "%d pages", scene->npages);
    for (int s = 0; s < 60; s++) {
        const char *name = arena_printf(f.text.arena, "potato, Sort number %d", s);
        int seen = 0;
        for (int p = 0; p < scene->npages; p++)
            for (int i = 0; i < scene->pages[p].n; i++)
                seen += scene->pages[p].marks[i].kind == MARK_TEXT &&
                        strcmp(scene->pages[p].marks[i].text, name) == 0;
        cr_assert(seen == 1, "%s stands %d times", name, seen);
    }
    fixture_free(&f);
}

Test(scene, a_page_a_plot)
{
    struct fixture_spec spec = {.nblocks = 0};
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct strbuf b;
    strbuf_init(&b, arena);
    strbuf_puts(&b, FIXTURE_HEAD("Many", "us"));
    for (int i = 0; i < 50; i++) /* the most that a garden may have */
        strbuf_printf(&b, "  - {name: plot %d, size: 4 ft x 4 ft}\n", i);
    strbuf_puts(&b, FIXTURE_GUILD_SEED);
    spec.yaml = b.p;
    struct fixture f = fixture_make(&spec);
    struct scene *scene;
    cr_assert(f.plan, "%s", garden_text_diags(&f.text));
    CALL(scene_map(f.text.arena, f.plan, PAPER_LETTER, &scene));
    cr_assert(scene->npages == 51 && scene->plots_left_out == 0, "%d pages, %d left", scene->npages,
              scene->plots_left_out);
    cr_assert(scene->pages[0].kind == PAGE_GARDEN && scene->pages[0].plot == -1,
              "the whole garden");
    for (int p = 0; p < 50; p++)
        cr_assert(scene->pages[p + 1].plot == p, "page %d", p + 2);
    fixture_free(&f);
    arena_free(arena);
}

static hr_status map_in(struct arena *arena, const void *plan, const void **made)
{
    struct scene *scene = NULL;
    hr_status status = scene_map(arena, plan, PAPER_LETTER, &scene);
    *made = scene;
    return status;
}

Test(scene, running_out_of_memory_is_told)
{
    struct fixture f = fixture_plan();
    little_memory(map_in, f.plan, 8);
    fixture_free(&f);
}
