/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "menu_text.h"
#include "num.h"
#include "plan.h"

/* Two lines of each fill the plot: sunflowers, and in their shade corn and beans. */
#define GARDEN                                                                                     \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 9}\n  first frost: {median: Oct 16}\n"                             \
    "plots:\n  - {name: A, size: 3 m x 4 m, border: 0 m, rows: along-x}\n"                         \
    "seed:\n  - {variety: Tall, crop: sunflower}\n  - {variety: Reed, crop: flint corn}\n"         \
    "  - {variety: Speckled, crop: bush bean}\n"                                                   \
    "grow:\n  systems: rows\n  spacings:\n"                                                        \
    "    - {crop: sunflower, along: 50 cm, across: 70 cm}\n"                                       \
    "    - {crop: flint corn, along: 30 cm, across: 70 cm}\n"                                      \
    "    - {crop: bush bean, along: 10 cm, across: 60 cm}\n"

/* kg of two lines in full light. */
static double two_lines(const struct menu *menu, const char *crop)
{
    for (int i = 0; i < menu->nitems; i++)
        if (strcmp(menu->plantings[menu->items[i].planting].parts[0].crop->name.s, crop) == 0)
            return menu->items[i].kg[0][0] + menu->items[i].kg[0][1];
    return 0;
}

/* The garden, with `share` of what two lines of corn and beans give in full light wished for. */
static hr_status planned(double share, struct garden_text *out)
{
    struct made m = made_of(GARDEN);
    char yaml[2048], corn[64], bean[64];
    num_fixed(corn, sizeof corn, share * two_lines(&m.menu, "flint corn"), 4);
    num_fixed(bean, sizeof bean, share * two_lines(&m.menu, "bush bean"), 4);
    snprintf(yaml, sizeof yaml,
             GARDEN "wishes:\n  - {crop: sunflower, at least: 12 plants}\n"
                    "  - {crop: flint corn, at least: %s kg}\n"
                    "  - {crop: bush bean, at least: %s kg}\n",
             corn, bean);
    garden_text_free(&m.text);
    *out = garden_text_read(yaml);
    struct plan_make_options o = {.seconds = 20, .gap = 0.05};
    struct plan *plan = NULL;
    cr_assert(out->status == HR_OK, "%s", garden_text_diags(out));
    return plan_make(out->garden, &o, out->arena, out->diags, &plan);
}

/* Both are missed in the shade of the sunflowers, and both are told of, each in its place. */
Test(rounds, all_terms_that_the_shade_breaks_are_named, .timeout = 60)
{
    struct garden_text t;
    cr_assert(planned(0.999, &t) == HR_INFEASIBLE, "%s", garden_text_diags(&t));
    const struct diag *corn = diag_find(t.diags, 22, 0, "wishes-collide");
    const struct diag *bean = diag_find(t.diags, 23, 0, "wishes-collide");
    cr_assert(corn && strstr(corn->text, "flint corn came to"), "%s", garden_text_diags(&t));
    cr_assert(bean && strstr(bean->text, "bush bean came to"), "%s", garden_text_diags(&t));
    cr_assert(diags_errors(t.diags) == 2, "%s", garden_text_diags(&t));
    garden_text_free(&t);
}

/* Asked for less, there is a plan. */
Test(rounds, terms_that_the_shade_leaves_are_kept, .timeout = 60)
{
    struct garden_text t;
    cr_assert(planned(0.75, &t) == HR_OK, "%s", garden_text_diags(&t));
    garden_text_free(&t);
}
