/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_plan.h"
#include "review.h"

static struct harvest log_of(struct fixture *f, const char *text)
{
    const struct source *src = NULL;
    struct harvest h = {0};
    CALL(source_text(f->text.arena, "log.csv", text, strlen(text), &src));
    CALL(harvest_read(f->text.arena, src, false, f->text.diags, &h));
    return h;
}

/* The fixture, in full light. */
static struct fixture lit(void)
{
    struct fixture f = fixture_plan();
    for (int b = 0; b < f.plan->nblocks; b++)
        for (int k = 0; k < STAND_PARTS_MAX; k++)
            f.plan->blocks[b].light[k] = 1;
    return f;
}

#define HEAD "date,station,crop,weight,unit,note\n2027-09-01,"
#define DAY  "2027-09-01,"

static const struct review_estimate *estimate_of(const struct review *r, const char *crop)
{
    for (int i = 0; i < r->nestimates; i++)
        if (strcmp(r->crops[r->estimates[i].crop], crop) == 0)
            return &r->estimates[i];
    return NULL;
}

/* Block 1 of the fixture is hills of corn, bean and squash, block 2 rows of potato. */
Test(review_plan, places_are_hills_rows_spots_and_blocks)
{
    static const char *const places[] = {"1", "b1", "B1", "block 1", "Block 1", "1.1"};
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        struct fixture f = lit();
        struct review *r = NULL;
        struct harvest h =
            log_of(&f, arena_printf(f.text.arena, HEAD "%s,flint corn,2,kg,\n", places[i]));
        CALL(review_plan(f.text.arena, &h, f.plan, false, f.text.diags, &r));
        const struct review_estimate *e = estimate_of(r, "flint corn");
        cr_assert(e && near(e->kg, 2, 1e-12), "place %s", places[i]);
        cr_assert(e->share > 0 && e->share <= 1, "place %s: %f", places[i], e->share);
        fixture_free(&f);
    }
}

/* All hills are alike, so the share of the crop is the share of its hills. */
Test(review_plan, expected_of_the_places_weighed)
{
    struct fixture f = lit();
    struct review *r = NULL;
    int hills = 0;
    for (int s = 0; s < f.plan->nstations; s++)
        hills += f.plan->stations[s].block == 0;
    struct food food; /* the fixture's totals are made up: the model's take their place */
    CALL(plan_totals(f.plan, &food));
    struct harvest h = log_of(&f, HEAD "1,flint corn,1,lb,\n" DAY "2,Ember Ridge,8,oz,\n" DAY
                                       "2,flint corn,8.5,oz,a second picking\n");
    CALL(review_plan(f.text.arena, &h, f.plan, false, f.text.diags, &r));
    const struct review_estimate *e = estimate_of(r, "flint corn");
    cr_assert(e && near(e->kg, 0.45359237 * (1 + 16.5 / 16), 1e-9), "%f", e->kg);
    cr_assert(near(e->share, 2.0 / hills, 1e-9), "%f of %d hills", e->share, hills);
    cr_assert(r->nlers == 0, "no sole stand was weighed");
    fixture_free(&f);
}

Test(review_plan, what_is_not_there)
{
    struct fixture f = lit();
    struct review *r = NULL;
    struct harvest h =
        log_of(&f, HEAD "b99,flint corn,1,lb,\n" DAY "1.99,flint corn,1,lb,\n" DAY
                        "moon,flint corn,1,lb,\n" DAY "b1,potato,1,lb,\n" DAY
                        "99999999999999999999,flint corn,1,lb,\n" DAY "-1.1,flint corn,1,lb,\n");
    cr_assert(review_plan(f.text.arena, &h, f.plan, false, f.text.diags, &r) == HR_INPUT && !r);
    static const size_t lines[] = {2, 3, 4, 6, 7};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        expect_diag(f.text.diags, lines[i], 12, "log-place");
    expect_diag(f.text.diags, 5, 15, "log-crop");
    fixture_free(&f);
}
