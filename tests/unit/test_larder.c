/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "garden_text.h"
#include "larder.h"

/* A bed of corn with beans at hand, or of corn alone. */
static struct plan *plan_of(struct garden_text *t, const char *seed)
{
    char yaml[2048];
    snprintf(yaml, sizeof yaml,
             "garden: larder\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
             "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"
             "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
             "plots:\n  - {name: bed, size: 3 m x 4 m, rows: along-x}\nseed:\n%s",
             seed);
    *t = garden_text_read(yaml);
    cr_assert(t->status == HR_OK, "%s", garden_text_diags(t));
    struct plan_make_options o = {.seconds = 20, .gap = 0.01};
    struct plan *plan = NULL;
    hr_status status = plan_make(t->garden, &o, t->arena, t->diags, &plan);
    cr_assert(status == HR_OK, "%s", garden_text_diags(t));
    return plan;
}

#define CORN   "  - {variety: A, crop: flint corn, days: 90 days}\n"
#define SQUASH "  - {variety: C, crop: butternut squash, days: 95 days}\n"

Test(larder, foods_keep_as_their_crops_say)
{
    struct garden_text t;
    struct plan *plan = plan_of(&t, SQUASH);
    struct larder_food *foods;
    CALL(larder_foods(plan, t.arena, &foods));
    const struct range *keeps = &plan->crops[0].seed->crop->storage_d;
    cr_assert(plan->ncrops == 1 && keeps->set, "squash alone, and it keeps");
    cr_assert(near(foods[0].until.typ - foods[0].from, keeps->typ, 1e-9), "till it is spent");
    cr_assert(near(foods[0].kg_week * keeps->typ / 7, plan->crops[0].kg.typ, 1e-9),
              "evenly eaten it is all eaten");
    garden_text_free(&t);
}

/* Corn alone is short of lysine (PDCAAS of maize is lysine's: agronomy of the FAO 2013 pattern),
 * and a bean in hand mends it. */
Test(larder, corn_is_mended_by_beans)
{
    struct garden_text t;
    struct plan *plan = plan_of(&t, CORN);
    cr_assert(plan->limiting == AMINO_LYS, "corn alone: %d", (int)plan->limiting);
    cr_assert(larder_mend(plan) == NULL, "and nothing in hand mends it");
    garden_text_free(&t);
    plan = plan_of(&t, CORN "  - {variety: B, crop: bush bean, days: 85 days, amount: 30 seeds}\n");
    const struct seed *mend = larder_mend(plan);
    cr_assert(plan->limiting == AMINO_LYS && mend != NULL, "still short, with a bean in hand");
    cr_assert_str_eq(mend->crop->name.s, "bush bean");
    garden_text_free(&t);
}

Test(larder, describes_in_eighty_columns)
{
    struct garden_text t;
    struct plan *plan = plan_of(&t, CORN SQUASH);
    struct strbuf b;
    strbuf_init(&b, t.arena);
    CALL(larder_describe(plan, t.arena, &b));
    for (const char *line = b.p; *line; line += strcspn(line, "\n") + 1)
        cr_assert(strcspn(line, "\n") <= 80, "too wide: %.*s", (int)strcspn(line, "\n"), line);
    cr_assert(strstr(b.p, "flint corn") && strstr(b.p, "Nitrogen"), "%s", b.p);
    garden_text_free(&t);
}
