/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_scene.h"
#include "map.h"
#include "sheet.h"

#define ODD_PLANS 60

Test(map, labels_keep_clear_of_each_other_and_of_symbols, .timeout = 300)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = fixture_scene(&f, &fixture_specs[v]);
        for (int p = 0; p < scene->npages; p++)
            fixture_page_check(fixture_specs[v].name, &scene->pages[p], p + 1);
        fixture_free(&f);
    }
}

Test(map, labels_keep_clear_on_odd_plans, .timeout = 300)
{
    int blocks = 0;
    for (unsigned i = 0; i < ODD_PLANS; i++) {
        struct fixture_odd odd;
        struct fixture f;
        fixture_odd_make(&odd, i);
        struct scene *scene = fixture_scene(&f, &odd.spec);
        for (int p = 0; p < scene->npages; p++)
            fixture_page_check(odd.name, &scene->pages[p], p + 1);
        blocks += f.plan->nblocks;
        fixture_free(&f);
    }
    cr_assert(blocks > ODD_PLANS, "the plans are not empty: %d blocks", blocks);
}

/* Stations that the sheet says to build or sow, and those the map shows; a row's ticks may stand
 * for several spots each, which its key then says. */
static void same_stations(const char *name, struct fixture *f, const struct scene *scene)
{
    struct sheet *sheet;
    int n = f->plan->nstations;
    bool *told = ARENA_ARRAY(f->text.arena, bool, (size_t)n + 1);
    bool *drawn = ARENA_ARRAY(f->text.arena, bool, (size_t)n + 1);
    CALL(sheet_make(f->text.arena, f->plan, &sheet));
    for (int i = 0; i < sheet->nstages; i++)
        for (const struct sheet_job *job = sheet->stages[i].jobs; job; job = job->next)
            for (int s = 0; sheet->stages[i].kind == STAGE_SOW && s < job->nstations; s++)
                told[job->stations[s]] = true;
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; i < scene->pages[p].n; i++) {
            const struct mark *m = &scene->pages[p].marks[i];
            if (m->station < 0 || (!scene_is(m, "hill") && !scene_is(m, "spot")))
                continue;
            cr_assert(m->station < n, "%s: a station of the plan", name);
            drawn[m->station] = true;
        }
    for (int s = 0; s < n; s++) {
        const struct station *station = &f->plan->stations[s];
        const struct planting *p = f->plan->blocks[station->block].planting;
        cr_assert(told[s] || !drawn[s], "%s: %s is on the map and not on the sheet", name,
                  station->id);
        bool ticks = p->system != SYSTEM_HILLS && !drawn[s]; /* one of several spots to a tick */
        bool tick_before = false;
        for (int k = s;
             ticks && k >= 0 && k > s - 40 && f->plan->stations[k].block == station->block; k--)
            tick_before = tick_before || drawn[k];
        cr_assert(drawn[s] || tick_before, "%s: %s is on the sheet and not on the map", name,
                  station->id);
        cr_assert(told[s], "%s: %s is not on the sheet", name, station->id);
    }
}

Test(map, every_station_of_the_sheet_is_on_the_map_and_the_other_way_round, .timeout = 300)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        struct scene *scene = fixture_scene(&f, &fixture_specs[v]);
        same_stations(fixture_specs[v].name, &f, scene);
        fixture_free(&f);
    }
    for (unsigned i = 0; i < ODD_PLANS / 2; i++) {
        struct fixture_odd odd;
        struct fixture f;
        fixture_odd_make(&odd, i);
        struct scene *scene = fixture_scene(&f, &odd.spec);
        same_stations(odd.name, &f, scene);
        fixture_free(&f);
    }
}

/* Each variety differs from every other by its letter, and by shape, frame or hatch: up to twenty
 * of one role. */
Test(map, crops_differ_without_colour)
{
    char yaml[4000];
    size_t n = (size_t)snprintf(yaml, sizeof yaml, "%s  - {name: B, size: 20 m x 30 m}\nseed:\n",
                                FIXTURE_HEAD("Many", "metric"));
    for (int i = 0; i < 20; i++)
        n += (size_t)snprintf(yaml + n, sizeof yaml - n, "  - {variety: Sort %d, crop: potato}\n",
                              i);
    struct fixture_spec spec = {.name = "many", .yaml = yaml};
    struct fixture f = fixture_make(&spec);
    cr_assert(f.plan, "%s", garden_text_diags(&f.text));
    f.plan->ncrops = 20;
    for (int i = 0; i < 20; i++)
        f.plan->crops[i].seed = garden_seed(f.plan->garden, (size_t)i);
    const struct symbol *s = map_symbols(f.text.arena, f.plan);
    for (int i = 0; i < 20; i++)
        for (int j = 0; j < i; j++) {
            cr_assert(strcmp(s[i].letter, s[j].letter) != 0, "letters %d and %d", j, i);
            cr_assert(s[i].shape != s[j].shape || s[i].hatch != s[j].hatch ||
                          s[i].doubled != s[j].doubled,
                      "varieties %d and %d look alike without colour", j, i);
        }
    fixture_free(&f);
}

/* Corners of an outline are numbered on the map, each side has its length, and the key has two
 * distances to each corner: for a corner (3, 4) of a 3-4-5 triangle that is 5 from the stake. */
Test(map, corners_can_be_found_with_two_tapes)
{
    struct fixture_spec spec = {
        .name = "triangle",
        .yaml =
            FIXTURE_HEAD("T", "metric") "  - {name: T, outline: [[0 m, 0 m], [3 m, 0 m], [3 m, 4 "
                                        "m]]}\n" FIXTURE_GUILD_SEED};
    struct fixture f;
    struct scene *scene = fixture_scene(&f, &spec);
    int corners = 0, sides = 0;
    bool third = false;
    for (int p = 0; p < scene->npages; p++)
        for (int i = 0; i < scene->pages[p].n; i++) {
            const struct mark *m = &scene->pages[p].marks[i];
            if (m->kind != MARK_TEXT)
                continue;
            corners += scene_is(m, "corner");
            sides += scene_is(m, "side");
            third = third || strcmp(m->text, "3:  300 cm, 400 cm;  500 cm, 400 cm") == 0;
        }
    cr_assert(corners == 3 && sides == 3, "%d corners, %d sides", corners, sides);
    cr_assert(third, "the third corner by two tapes");
    fixture_free(&f);
}

/* Where the ground turns, first and second crops have a map each and never lie on one another. */
Test(map, second_crops_have_a_map_of_their_own)
{
    struct fixture f = fixture_plan();
    struct scene *scene;
    cr_assert(f.plan->nblocks == 5, "the first fixture");
    struct planting *first = ARENA_NEW(f.text.arena, struct planting);
    struct planting *second = ARENA_NEW(f.text.arena, struct planting);
    *first = *f.plan->blocks[1].planting;
    *second = *f.plan->blocks[3].planting;
    first->slot = SLOT_FIRST;
    second->slot = SLOT_SECOND;
    first->turn_d = second->turn_d = 180;
    f.plan->blocks[1].planting = first;
    f.plan->blocks[3].planting = second;
    CALL(scene_map(f.text.arena, f.plan, PAPER_LETTER, &scene));
    int maps = 0;
    for (int p = 0; p < scene->npages; p++) {
        bool blocks[5] = {false};
        for (int i = 0; i < scene->pages[p].n; i++)
            if (scene->pages[p].marks[i].block >= 0)
                blocks[scene->pages[p].marks[i].block] = true;
        if (scene->pages[p].kind != PAGE_PLOT)
            continue;
        cr_assert(blocks[1] == (maps == 0) && blocks[3] == (maps == 1), "page %d", p + 1);
        cr_assert(blocks[0] && blocks[2] && blocks[4], "what stands all season is on both");
        maps++;
    }
    cr_assert(maps == 2, "%d maps", maps);
    fixture_free(&f);
}
