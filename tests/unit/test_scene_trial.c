/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "scene_trial.h"

#define GARDEN(units_, size_)                                                                      \
    "garden: Test\nyear: 2027\nunits: " units_ "\n"                                                \
    "site:\n  latitude: 42.3 deg\n  last frost: {median: May 3}\n  first frost: {median: Oct "     \
    "10}\nplots:\n  - {name: A, size: " size_ ", bearing: 30 deg}\n"                               \
    "seed:\n  - {variety: Ember Ridge, crop: flint corn}\n"                                        \
    "  - {variety: Wren's Speckled, crop: climbing bean}\n"                                        \
    "  - {variety: Long Lantern, crop: butternut squash}\ngoal: days\n"

static const char *const gardens[] = {
    GARDEN("us", "50 ft x 100 ft"), GARDEN("metric", "30 m x 20 m"), GARDEN("us", "14 ft x 26 ft")};

struct drawn {
    struct garden_text text;
    struct trial *trial;
    struct scene *scene;
};

static struct drawn draw(size_t i)
{
    struct drawn d = {.text = garden_text_read(gardens[i])};
    static const struct trial_options options = {.guild = "corn and bean", .seed = 5};
    cr_assert(d.text.garden != NULL, "%s", garden_text_diags(&d.text));
    CALL(trial_make(d.text.garden, &options, d.text.arena, d.text.diags, &d.trial));
    CALL(scene_trial(d.text.arena, d.trial, paper_of(d.text.garden), &d.scene));
    return d;
}
#define GARDENS (sizeof gardens / sizeof *gardens)

/* Tiles apart, which show the same once more. */
static int count(const struct scene *scene, const char *what, enum mark_kind kind, const char *text)
{
    int n = 0;
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; scene->pages[p].kind != PAGE_TILE && i < scene->pages[p].n; i++) {
            const struct mark *m = &scene->pages[p].marks[i];
            n += m->kind == kind && strcmp(m->what, what) == 0 &&
                 (!text || strcmp(m->text, text) == 0);
        }
    return n;
}

Test(scene_trial, every_half_is_drawn_and_named_once)
{
    static const char *const words[] = {"HILLS", "ROWS"};
    for (size_t g = 0; g < GARDENS; g++) {
        struct drawn d = draw(g);
        cr_assert(count(d.scene, "ground", MARK_POLYGON, NULL) == 2 * d.trial->blocks);
        cr_assert(count(d.scene, "net", MARK_POLYGON, NULL) == 2 * d.trial->blocks);
        for (int i = 0; i < 2 * d.trial->blocks; i++) {
            char name[64];
            const struct trial_half *h = &d.trial->halves[i];
            snprintf(name, sizeof name, "%d %s", h->block + 1, words[h->treatment]);
            cr_assert(count(d.scene, "treatment", MARK_TEXT, name) == 1, "garden %zu: %s", g, name);
        }
        cr_assert(count(d.scene, "outline", MARK_POLYGON, NULL) == 1);
        cr_assert(count(d.scene, "north", MARK_TEXT, "N") == 1);
        garden_text_free(&d.text);
    }
}

Test(scene_trial, halves_are_true_to_scale)
{
    for (size_t g = 0; g < GARDENS; g++) {
        struct drawn d = draw(g);
        const struct page *page = &d.scene->pages[0];
        double due =
            d.trial->half_length_m * d.trial->half_depth_m * 1e6 / page->ratio / page->ratio;
        for (int i = 0; i < page->n; i++) {
            const struct mark *m = &page->marks[i];
            if (strcmp(m->what, "ground") != 0)
                continue;
            double area =
                fabs((m->points[2].x - m->points[0].x) * (m->points[2].y - m->points[0].y));
            cr_assert(near(area, due, 1e-6 * due), "garden %zu: %f of %f mm2", g, area, due);
        }
        garden_text_free(&d.text);
    }
}

Test(scene_trial, nothing_leaves_the_page)
{
    for (size_t g = 0; g < GARDENS; g++) {
        struct drawn d = draw(g);
        for (int p = 0; p < d.scene->npages; p++)
            for (int i = 0; i < d.scene->pages[p].n; i++) {
                const struct page *page = &d.scene->pages[p];
                const struct mark *m = &page->marks[i];
                for (int k = 0; k < m->npoints; k++)
                    cr_assert(m->points[k].x >= 0 && m->points[k].x <= page->w_mm &&
                                  m->points[k].y >= 0 && m->points[k].y <= page->h_mm,
                              "garden %zu, page %d: %s", g, p + 1, m->what);
                if (m->kind == MARK_TEXT)
                    cr_assert(m->size_mm >= TYPE_LEAST_MM - 1e-9, "%s", m->text);
            }
        garden_text_free(&d.text);
    }
}

/* The first beginning of a half along y, in the units of the garden. */
Test(scene_trial, corners_stand_on_the_tapes)
{
    struct drawn d = draw(0);
    char buf[64];
    double y = d.trial->halves[0].ground.y1;
    unit_tape(buf, sizeof buf, y, UNITS_US);
    cr_assert(count(d.scene, "distance", MARK_TEXT, buf) >= 1, "no %s", buf);
    garden_text_free(&d.text);
}

static bool on_page(const struct page *page, const char *what, const char *text)
{
    for (int i = 0; i < page->n; i++)
        if (page->marks[i].kind == MARK_TEXT && strcmp(page->marks[i].what, what) == 0 &&
            strcmp(page->marks[i].text, text) == 0)
            return true;
    return false;
}

/* A field too large for one sheet is cut into tiles: every half has its name on one of them, every
 * hill its number, every end of a half its distance; nothing is drawn beyond a tile's own ground;
 * and each tile says which trial it is of. A plot that can be read on one sheet has none. */
Test(scene_trial, a_large_field_goes_on_in_tiles, .timeout = 60)
{
    static const char *const words[] = {"HILLS", "ROWS"};
    struct drawn d = draw(0), small = draw(2);
    const struct plan *plan = d.scene->plan;
    int tiles = 0;
    for (int p = 0; p < small.scene->npages; p++)
        cr_assert(small.scene->pages[p].kind != PAGE_TILE);
    for (int i = 0; i < 2 * d.trial->blocks; i++) {
        const struct trial_half *h = &d.trial->halves[i];
        int named = 0, told = 0;
        char name[64], low[64];
        snprintf(name, sizeof name, "%d %s", h->block + 1, words[h->treatment]);
        unit_tape(low, sizeof low, h->ground.y0, UNITS_US);
        for (int p = 0; p < d.scene->npages; p++)
            if (d.scene->pages[p].kind == PAGE_TILE) {
                named += on_page(&d.scene->pages[p], "treatment", name);
                told += on_page(&d.scene->pages[p], "distance", low);
            }
        cr_assert(named > 0, "%s is on no tile", name);
        cr_assert(told > 0, "%s stands at no tape", low);
    }
    for (int s = 0; s < plan->nstations; s++) {
        int numbers = 0;
        for (int p = 0; p < d.scene->npages; p++)
            for (int i = 0; d.scene->pages[p].kind == PAGE_TILE && i < d.scene->pages[p].n; i++)
                numbers += d.scene->pages[p].marks[i].station == s &&
                           strcmp(d.scene->pages[p].marks[i].what, "hill-number") == 0;
        cr_assert(numbers > 0 ||
                      plan->blocks[plan->stations[s].block].planting->system != SYSTEM_HILLS,
                  "hill %s of half %d", plan->stations[s].id, plan->stations[s].block);
    }
    for (int p = 0; p < d.scene->npages; p++) {
        const struct page *page = &d.scene->pages[p];
        if (page->kind != PAGE_TILE)
            continue;
        tiles++;
        bool says = false;
        for (int i = 0; i < page->n; i++)
            says = says || (page->marks[i].kind == MARK_TEXT &&
                            strstr(page->marks[i].text, "trial ") != NULL);
        cr_assert(says, "tile on page %d", p + 1);
        cr_assert(page->ratio < d.scene->pages[0].ratio, "larger than the overview");
    }
    cr_assert(tiles > 1, "%d tiles", tiles);
    garden_text_free(&d.text);
    garden_text_free(&small.text);
}
