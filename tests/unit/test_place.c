/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "plan_text.h"

/* Worked out on paper: half a spacing from each end, every other line of hills shifted by half a
 * pitch, lines sqrt(3)/2 pitches apart (the height of a triangle of equal sides). */
Test(place, hills_stand_in_triangles)
{
    struct plan_text p = plan_text_good("");
    const struct plan *plan = p.plan;
    const struct planting *q = plan->blocks[0].planting;
    double pitch = q->pitch_m, x0 = 0.25, y0 = 0.25; /* the border strip */
    int per_line = (int)floor(6 / pitch);
    cr_assert(plan->lines[0].n == per_line, "%d hills of %g m on 6 m", plan->lines[0].n, pitch);
    cr_assert(plan->lines[1].n == (int)floor((6 - pitch / 2) / pitch));
    for (int i = 0; i < 3; i++) {
        const struct line *line = &plan->lines[i];
        double y = y0 + pitch / 2 + i * pitch * sqrt(3) / 2;
        cr_assert(line->block == 0 && line->index == i);
        cr_assert(near(line->x0, x0, 1e-9) && near(line->x1, x0 + 6, 1e-9) &&
                      near(line->y0, y, 1e-9) && near(line->y1, y, 1e-9),
                  "line %d lies at %g %g to %g %g", i, line->x0, line->y0, line->x1, line->y1);
        for (int j = 0; j < line->n; j++) {
            const struct station *s = &plan->stations[line->first + j];
            double x = x0 + pitch / 2 + (i == 1 ? pitch / 2 : 0) + j * pitch;
            cr_assert(near(s->x_m, x, 1e-9) && near(s->y_m, y, 1e-9), "hill %s at %g %g", s->id,
                      s->x_m, s->y_m);
            cr_assert(s->plot == 0 && s->block == 0 && s->line == i && s->index == j);
        }
    }
    double dx = plan->stations[0].x_m - plan->stations[plan->lines[1].first].x_m;
    double dy = plan->stations[0].y_m - plan->stations[plan->lines[1].first].y_m;
    cr_assert(near(hypot(dx, dy), pitch, 1e-9), "neighbours in two lines stand a pitch apart");
    plan_text_free(&p);
}

Test(place, hills_are_numbered_through_and_spots_by_place)
{
    struct plan_text p = plan_text_good("");
    const struct plan *plan = p.plan;
    int hills = 0;
    for (int s = 0; s < plan->nstations; s++) {
        const struct station *st = &plan->stations[s];
        char due[48];
        if (plan->blocks[st->block].planting->system == SYSTEM_HILLS)
            snprintf(due, sizeof due, "%d", ++hills);
        else
            snprintf(due, sizeof due, "b%d.%d.%d", st->block + 1, st->line + 1, st->index + 1);
        cr_assert_str_eq(st->id, due);
    }
    cr_assert(hills == plan->lines[0].n + plan->lines[1].n + plan->lines[2].n);
    cr_assert_str_eq(plan->stations[hills].id, "b2.1.1");
    plan_text_free(&p);
}

Test(place, plants_stand_by_every)
{
    struct plan_text p = plan_text_good("");
    const struct plan *plan = p.plan;
    /* squash in every other hill: the 2nd, 4th ... of odd lines, the 1st, 3rd ... of even ones */
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < plan->lines[i].n; j++) {
            const struct station *s = &plan->stations[plan->lines[i].first + j];
            cr_assert(s->plants[0] == 4 && s->plants[1] == 4, "corn and beans in each hill");
            cr_assert(s->plants[2] == (j % 2 == (i == 1 ? 0 : 1)), "squash in hill %s", s->id);
            cr_assert(s->plants[3] == 0, "no fourth part");
        }
    plan_text_free(&p);
}

Test(place, rows_along_y_stand_across_x)
{
    struct plan_text p = plan_text_good("");
    const struct plan *plan = p.plan;
    const struct block *b = &plan->blocks[4];
    const struct line *first = &plan->lines[plan->nlines - 2], *second = first + 1;
    double row = b->planting->line_m, gap = b->planting->pitch_m;
    cr_assert(first->block == 4 && first->n == (int)floor(4.6 / gap + 1e-9), "%d", first->n);
    cr_assert(near(first->x0, 0.2 + row / 2, 1e-9) && near(first->x1, first->x0, 1e-9));
    cr_assert(near(first->y0, 0.2, 1e-9) && near(first->y1, 4.8, 1e-9));
    cr_assert(near(second->x0 - first->x0, row, 1e-9));
    const struct station *s = &plan->stations[first->first + 3];
    cr_assert(s->plot == 1 && near(s->x_m, first->x0, 1e-9) && near(s->y_m, 0.2 + 3.5 * gap, 1e-9),
              "%g %g", s->x_m, s->y_m);
    plan_text_free(&p);
}

Test(place, parts_of_a_shared_line_follow_each_other)
{
    struct plan_text p = plan_text_good("");
    const struct plan *plan = p.plan;
    const struct block *a = &plan->blocks[2], *b = &plan->blocks[3];
    const struct line *la = NULL, *lb = NULL;
    for (int l = 0; l < plan->nlines; l++) {
        la = plan->lines[l].block == 2 ? &plan->lines[l] : la;
        lb = plan->lines[l].block == 3 ? &plan->lines[l] : lb;
    }
    cr_assert(la && lb && la->n == 3 && lb->n == 5);
    cr_assert(near(la->y0, lb->y0, 1e-9), "both in the middle of the line's ground");
    cr_assert(near(la->x1, lb->x0, 1e-9));
    double gap = plan->stations[lb->first].x_m - plan->stations[la->first + 2].x_m;
    cr_assert(near(gap, (a->planting->pitch_m + b->planting->pitch_m) / 2, 1e-9),
              "half a spacing of each between them, not %g", gap);
    plan_text_free(&p);
}

Test(place, nothing_planted_is_a_plan)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    CALL(place_stations(p.plan));
    cr_assert(p.plan->nlines == 0 && p.plan->nstations == 0);
    plan_text_free(&p);
}

/* What a hostile plan.json may ask for is refused before memory is taken. */
Test(place, absurd_counts_are_refused)
{
    struct plan_text p = plan_text_good("");
    const struct station *before = p.plan->stations;
    int lines = p.plan->blocks[1].lines;
    p.plan->blocks[1].lines = 2000000000;
    cr_assert(place_stations(p.plan) == HR_NOMEM);
    p.plan->blocks[1].lines = -5;
    cr_assert(place_stations(p.plan) == HR_NOMEM);
    p.plan->blocks[1].lines = lines;
    p.plan->arena = arena_new(2000);
    cr_assert(place_stations(p.plan) == HR_NOMEM);
    arena_free(p.plan->arena);
    cr_assert(p.plan->stations == before, "a failure changes nothing");
    plan_text_free(&p);
}
