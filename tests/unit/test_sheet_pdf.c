/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>

#include "draw.h"
#include "fixture_plan.h"
#include "little_memory.h"
#include "sheet_pdf.h"

#define MARGIN 10.9 /* mm that stay white on every side */

struct made {
    struct fixture f;
    struct sheet *sheet;
    struct scene *scene;
};

static struct made make(int variant, enum paper paper)
{
    struct made m = {.f = fixture_make(&fixture_specs[variant])};
    cr_assert(m.f.plan, "%s: %s", fixture_specs[variant].name, garden_text_diags(&m.f.text));
    CALL(sheet_make(m.f.text.arena, m.f.plan, &m.sheet));
    CALL(sheet_pdf_scene(m.f.text.arena, m.sheet, paper, &m.scene));
    return m;
}

static bool inside(const struct page *page, struct rect r)
{
    return r.x0 >= MARGIN && r.y0 >= MARGIN && r.x1 <= page->w_mm - MARGIN &&
           r.y1 <= page->h_mm - MARGIN;
}

static struct rect box_of(const struct mark *m)
{
    if (m->kind == MARK_TEXT)
        return mark_box(m);
    struct rect r = {m->points[0].x, m->points[0].y, m->points[0].x, m->points[0].y};
    for (int i = 1; i < m->npoints; i++) {
        r.x0 = fmin(r.x0, m->points[i].x);
        r.y0 = fmin(r.y0, m->points[i].y);
        r.x1 = fmax(r.x1, m->points[i].x);
        r.y1 = fmax(r.y1, m->points[i].y);
    }
    if (m->kind == MARK_CIRCLE)
        r = (struct rect){r.x0 - m->radius_mm, r.y0 - m->radius_mm, r.x1 + m->radius_mm,
                          r.y1 + m->radius_mm};
    return r;
}

Test(sheet_pdf, nothing_leaves_the_margins_and_no_type_is_small, .timeout = 120)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++)
        for (int paper = 0; paper < PAPER_COUNT; paper++) {
            struct made m = make(v, (enum paper)paper);
            for (int p = 0; p < m.scene->npages; p++)
                for (int i = 0; i < m.scene->pages[p].n; i++) {
                    const struct mark *mark = &m.scene->pages[p].marks[i];
                    cr_assert(inside(&m.scene->pages[p], box_of(mark)), "%s, page %d: %s %s",
                              fixture_specs[v].name, p + 1, mark->what,
                              mark->text ? mark->text : "");
                    cr_assert(mark->kind != MARK_TEXT || mark->size_mm >= SHEET_LEAST_MM ||
                                  strcmp(mark->what, "symbol") == 0,
                              "%s: small: %s", fixture_specs[v].name, mark->text);
                }
            fixture_free(&m.f);
        }
}

/* A row is not written over the next one, nor a cell over its neighbour. */
Test(sheet_pdf, no_text_lies_on_another, .timeout = 120)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct made m = make(v, PAPER_LETTER);
        for (int p = 0; p < m.scene->npages; p++) {
            const struct page *page = &m.scene->pages[p];
            for (int i = 0; i < page->n; i++)
                for (int j = i + 1; j < page->n; j++) {
                    const struct mark *a = &page->marks[i], *b = &page->marks[j];
                    if (a->kind == MARK_TEXT && b->kind == MARK_TEXT)
                        cr_assert(!boxes_overlap(mark_box(a), mark_box(b)),
                                  "%s, page %d: \"%s\" on \"%s\"", fixture_specs[v].name, p + 1,
                                  a->text, b->text);
                }
        }
        fixture_free(&m.f);
    }
}

static int count_texts(const struct scene *scene, const char *what, const char *text, bool bold)
{
    int n = 0;
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; i < scene->pages[p].n; i++) {
            const struct mark *m = &scene->pages[p].marks[i];
            n += m->kind == MARK_TEXT && m->bold == bold && (!what || !strcmp(m->what, what)) &&
                 strcmp(m->text, text) == 0;
        }
    return n;
}

static int count_marks(const struct scene *scene, const char *what)
{
    int n = 0;
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; i < scene->pages[p].n; i++)
            n += strcmp(scene->pages[p].marks[i].what, what) == 0;
    return n;
}

/* What is read off a tape stands on one line: no line ends between feet and inches, or between the
 * name of a tape and what is read there. */
Test(sheet_pdf, readings_are_not_torn, .timeout = 120)
{
    int readings = 0;
    for (int v = 0; v < 4; v++) {
        struct made m = make(v, PAPER_A4);
        for (int p = 0; p < m.scene->npages; p++)
            for (int i = 0; i < m.scene->pages[p].n; i++) {
                const struct mark *mark = &m.scene->pages[p].marks[i];
                size_t n = mark->kind == MARK_TEXT ? strlen(mark->text) : 0;
                if (n < 3)
                    continue;
                const char *end = mark->text + n;
                readings += strstr(mark->text, "' ") || strstr(mark->text, "'\xC2\xA0");
                cr_assert(end[-1] != '\'', "\"%s\"", mark->text);
                bool tape = end[-2] == ' ' && (end[-1] == 'x' || end[-1] == 'y');
                cr_assert(!tape || !strchr(";,t", end[-3]), "\"%s\"", mark->text);
            }
        fixture_free(&m.f);
    }
    cr_assert(readings > 0, "some are there");
}

Test(sheet_pdf, every_hill_and_row_is_there_and_no_other, .timeout = 120)
{
    static const int few[] = {0, 1, 3, 5, 6, 7}; /* of one plot each */
    for (size_t q = 0; q < sizeof few / sizeof *few; q++) {
        struct made m = make(few[q], PAPER_A4);
        const struct plan *plan = m.f.plan;
        int hills = 0, jobs = m.sheet->nseeds;
        for (int s = 0; s < plan->nstations; s++)
            if (plan->blocks[plan->stations[s].block].planting->system == SYSTEM_HILLS) {
                cr_assert(count_texts(m.scene, "cell", plan->stations[s].id, true) == 1, "hill %s",
                          plan->stations[s].id);
                hills++;
            }
        for (int l = 0; l < plan->nlines; l++) {
            const struct planting *p = plan->blocks[plan->lines[l].block].planting;
            char row[40];
            snprintf(row, sizeof row, "row %d.%d", plan->lines[l].block + 1,
                     plan->lines[l].index + 1);
            /* sown once, and perhaps thinned or hilled by itself */
            int n = count_texts(m.scene, NULL, row, true);
            cr_assert((n > 0) == (p->system != SYSTEM_HILLS), "%s: %d times", row, n);
        }
        for (int i = 0; i < m.sheet->nstages; i++)
            for (const struct sheet_job *j = m.sheet->stages[i].jobs; j; j = j->next)
                jobs++;
        cr_assert(count_marks(m.scene, "tick") == jobs + hills, "%s: %d boxes, %d jobs, %d hills",
                  fixture_specs[few[q]].name, count_marks(m.scene, "tick"), jobs, hills);
        fixture_free(&m.f);
    }
}

static bool has_text(const struct page *page, const char *part)
{
    for (int i = 0; i < page->n; i++)
        if (page->marks[i].kind == MARK_TEXT && strstr(page->marks[i].text, part))
            return true;
    return false;
}

/* In the head of the page, or below it. */
static bool says(const struct page *page, const char *part, bool head)
{
    for (int i = 0; i < page->n; i++)
        if (page->marks[i].kind == MARK_TEXT && strstr(page->marks[i].text, part) &&
            (strcmp(page->marks[i].what, "head") == 0) == head)
            return true;
    return false;
}

Test(sheet_pdf, each_page_says_what_it_is, .timeout = 120)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct made m = make(v, PAPER_LETTER);
        for (int p = 0; p < m.scene->npages; p++) {
            char number[40];
            snprintf(number, sizeof number, "page %d of %d", p + 1, m.scene->npages);
            cr_assert(has_text(&m.scene->pages[p], number), "%s", number);
            cr_assert(has_text(&m.scene->pages[p], "plan 0f1e2d3c"), "the plan, on each page");
        }
        fixture_free(&m.f);
    }
    /* of two plots those that a page speaks of */
    struct made m = make(2, PAPER_LETTER);
    for (int p = 0; p < m.scene->npages; p++)
        for (int i = 0; i < 2; i++) {
            static const char *const names[] = {"North", "South"};
            const struct page *page = &m.scene->pages[p];
            bool none = !says(page, names[0], false) && !says(page, names[1], false);
            cr_assert(says(page, names[i], true) == (none || says(page, names[i], false)),
                      "page %d: %s", p + 1, names[i]);
        }
    cr_assert(says(&m.scene->pages[0], "North, South", true), "the ground of both");
    fixture_free(&m.f);
}

/* A long table goes on with its title and its head. */
Test(sheet_pdf, a_table_that_goes_on_says_so)
{
    struct made m = make(5, PAPER_LETTER);
    int on = 0;
    for (int p = 0; p < m.scene->npages; p++)
        on += has_text(&m.scene->pages[p], ", continued");
    cr_assert(m.scene->npages > 10 && on > 1, "%d pages, %d go on", m.scene->npages, on);
    fixture_free(&m.f);
}

struct bytes {
    char *p;
    size_t n;
};

static struct bytes draw(struct made *m)
{
    struct bytes b = {0};
    struct draw_meta meta;
    FILE *file = open_memstream(&b.p, &b.n);
    CALL(draw_meta_make(m->scene, m->f.text.arena, &meta));
    cr_assert(strstr(meta.title, "planting sheet") && !strstr(meta.description, "1:"), "%s, %s",
              meta.title, meta.description);
    CALL(draw_pdf(m->scene, file, &meta));
    fclose(file);
    return b;
}

Test(sheet_pdf, same_plan_same_bytes, .timeout = 60)
{
    struct made a = make(0, PAPER_LETTER), b = make(0, PAPER_LETTER);
    struct bytes x = draw(&a), y = draw(&b);
    cr_assert(x.n == y.n && memcmp(x.p, y.p, x.n) == 0, "%zu and %zu bytes", x.n, y.n);
    free(x.p);
    free(y.p);
    fixture_free(&a.f);
    fixture_free(&b.f);
}

static hr_status pdf_in(struct arena *arena, const void *plan, const void **made)
{
    struct scene *scene = NULL;
    struct sheet *sheet = NULL;
    hr_status status = sheet_make(arena, plan, &sheet);
    if (status == HR_OK)
        status = sheet_pdf_scene(arena, sheet, PAPER_A4, &scene);
    *made = scene;
    return status;
}

Test(sheet_pdf, running_out_of_memory_is_told, .timeout = 60)
{
    struct made m = make(0, PAPER_LETTER);
    little_memory(pdf_in, m.f.plan, 4);
    fixture_free(&m.f);
}
