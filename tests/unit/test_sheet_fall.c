/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "plan_text.h"
#include "sheet.h"

/* The stage of that kind, NULL: none. */
static const struct sheet_stage *stage_of(const struct sheet *sheet, enum stage_kind kind)
{
    for (int i = 0; i < sheet->nstages; i++)
        if (sheet->stages[i].kind == kind)
            return &sheet->stages[i];
    return NULL;
}

/* The job whose words begin so, NULL: none. */
static const char *line_of(const struct sheet_stage *stage, const char *begin)
{
    for (const struct sheet_job *job = stage->jobs; job; job = job->next)
        if (strncmp(job->where, begin, strlen(begin)) == 0)
            return job->where;
    return NULL;
}

static int done_on(const struct planting *p)
{
    int day = 0;
    for (int k = 0; k < p->nparts; k++)
        day = p->parts[k].season.harvest_high > day ? p->parts[k].season.harvest_high : day;
    return day;
}

/* The first frost comes on October 10, so that winter rye may be sown until September 30 (10 days
 * before, crops/winter-rye.yaml): those blocks are told of whose ground is free a week before. */
Test(sheet_fall, covers_what_is_free_early_enough)
{
    struct plan_text p = plan_text_good("grow: {cover after harvest: yes}\n");
    struct sheet *sheet;
    const int rye = 273 - 7; /* September 30, less the week */
    int due = 0, told = 0;
    CALL(sheet_make(p.t.arena, p.plan, &sheet));
    const struct sheet_stage *stage = stage_of(sheet, STAGE_COVER);
    cr_assert(stage != NULL);
    for (int b = 0; b < p.plan->nblocks; b++)
        due += done_on(p.plan->blocks[b].planting) <= rye;
    for (const struct sheet_job *job = stage->jobs; job; job = job->next, told++)
        cr_expect(strstr(job->where, "winter rye by September 30"), "%s", job->where);
    cr_assert(told == due && due > 0 && due < p.plan->nblocks, "%d of %d", told, due);
    const char *potato = line_of(stage, "Home, block 2 (");
    cr_assert(potato && strstr(potato, "hairy vetch by August 31"), "%s", potato ? potato : "");
    cr_assert(stage->until == 273, "%d", stage->until);
    cr_assert(stage->apart && stage->hours > 0);
    plan_text_free(&p);
}

/* It does not bind: nobody asked, or the ground has to be bare. */
Test(sheet_fall, covers_nothing_unasked_or_forbidden)
{
    struct plan_text p = plan_text_good("");
    struct sheet *sheet;
    CALL(sheet_make(p.t.arena, p.plan, &sheet));
    cr_assert(!stage_of(sheet, STAGE_COVER));
    plan_text_free(&p);
    p = plan_text_good("grow: {cover after harvest: yes}\n");
    struct when day = {.d = {.month = 11, .day = 15}, .set = true};
    for (size_t i = 0; i < p.t.garden->plots.n; i++)
        garden_plot(p.t.garden, i)->clear = day;
    CALL(sheet_make(p.t.arena, p.plan, &sheet));
    cr_assert(!stage_of(sheet, STAGE_COVER));
    const struct sheet_stage *fall = stage_of(sheet, STAGE_FALL);
    cr_assert(line_of(fall, "Home: everything off by November 15"));
    cr_assert(!line_of(fall, "Beans"));
    const struct sheet_stage *ready = stage_of(sheet, STAGE_READY);
    for (const struct sheet_job *job = ready->jobs; job; job = job->next)
        cr_assert(!strstr(job->where, "November 15"), "in spring: %s", job->where);
    plan_text_free(&p);
}

/* Blocks 1 and 5 have corn, bean and squash, 2 and 4 potatoes, 3 squash. */
Test(sheet_fall, tells_what_to_leave)
{
    struct plan_text p = plan_text_good("");
    struct sheet *sheet;
    int last = 0;
    CALL(sheet_make(p.t.arena, p.plan, &sheet));
    const struct sheet_stage *fall = stage_of(sheet, STAGE_FALL);
    cr_assert(fall && line_of(fall, "Beans, peas and their kin (Home b1; Slope b5): "));
    cr_assert(line_of(fall, "Stalks of corn, grain and sunflowers (Home b1; Slope b5): "));
    cr_assert(line_of(fall, "Squash, melons and their kin (Home b1, b3; Slope b5): "));
    cr_assert(line_of(fall, "Potatoes, tomatoes and their kin (Home b2, b4): "));
    cr_assert(!line_of(fall, "Cabbages") && !line_of(fall, "What else"));
    for (int b = 0; b < p.plan->nblocks; b++)
        last =
            done_on(p.plan->blocks[b].planting) > last ? done_on(p.plan->blocks[b].planting) : last;
    cr_assert(fall->day == last && fall == &sheet->stages[sheet->nstages - 1]);
    plan_text_free(&p);
}
