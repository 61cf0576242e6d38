/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <string.h>

#include "allocate.h"
#include "collision.h"
#include "menu_text.h"

#define SITE                                                                                       \
    "garden: test\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                         \
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"                                 \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
#define BED    "plots:\n  - {name: P, size: 2.4 m x 2.1 m, rows: along-x}\n"
#define SQUARE "plots:\n  - {name: P, size: 12 ft x 12 ft, rows: along-x}\n"
#define SEED                                                                                       \
    "seed:\n  - {variety: A, crop: flint corn, amount: 90 seeds}\n"                                \
    "  - {variety: B, crop: potato, amount: 3 kg}\n  - {variety: C, crop: kale}\n"                 \
    "  - {variety: D, crop: bush bean, amount: 3 seeds}\n  - {variety: E, crop: dent corn}\n"

/* What the gardener is told, without a search: it is seen before. */
static const char *told(struct made *s, const char *yaml)
{
    *s = made_of(yaml);
    struct allocate_options o = {.seconds = 20, .gap = 0.02};
    struct allocation a;
    hr_status status =
        allocate(s->text.garden, &s->zones, &s->menu, &o, s->text.arena, s->text.diags, &a);
    cr_assert(status == HR_INFEASIBLE, "status %d", (int)status);
    return garden_text_diags(&s->text);
}

static void says(const char *yaml, const char *const *words, const char *not_word)
{
    struct made s;
    const char *text = told(&s, yaml);
    for (; *words; words++)
        cr_assert(strstr(text, *words) != NULL, "'%s' is not in:\n%s", *words, text);
    cr_assert(!not_word || strstr(text, not_word) == NULL, "'%s' is in:\n%s", not_word, text);
    cr_assert(strstr(text, "a part of these") == NULL, "%s", text);
    garden_text_free(&s.text);
}

/* Each kind of collision that shows in whole numbers alone: all that is in it is named, with what
 * would do instead, and nothing else is. */
Test(collision, blocks)
{
    says(SITE BED SEED "limits: {blocks: 2}\nwishes:\n  - {crop: flint corn, at least: 4 plants}\n"
                       "  - {crop: potato, at least: 2 plants}\n"
                       "  - {crop: kale, at least: 3 plants, at most: 30 plants}\n",
         (const char *const[]){
             "at least 4 plants of flint corn", "at least 2 plants of potato",
             "at least 3 plants of kale; with the rest kept, there is room for none",
             "no more than 2 blocks side by side in one zone (limits: blocks); "
             "with the rest kept, 3 would do",
             NULL},
         "at most 30");
}

Test(collision, seed_for_the_smallest_part)
{
    says(SITE BED SEED "wishes:\n  - {crop: bush bean, at least: 1 plants}\n"
                       "  - {crop: potato, at least: 2 plants}\n",
         (const char *const[]){"at least 1 plant of bush bean", "there is room for none",
                               "the seed in hand of D, ", "would do", NULL},
         "potato");
}

Test(collision, hills_come_in_whole_lines)
{
    says(SITE SQUARE SEED
         "  - {variety: F, crop: climbing bean}\n"
         "  - {variety: G, crop: butternut squash}\n"
         "grow: {guilds: [\"corn, bean and squash\"]}\nwishes:\n"
         "  - {guild: \"corn, bean and squash\", at least: 1 hills, at most: 1 hills}\n",
         (const char *const[]){
             "at least 1 hill of corn, bean and squash",
             "at most 1 hill of corn, bean and squash; with the rest kept, 2 hills "
             "would do",
             NULL},
         "blocks");
}

Test(collision, corn_that_would_cross)
{
    says(SITE BED
         "seed:\n  - {variety: A, crop: flint corn, save: yes}\n"
         "  - {variety: E, crop: dent corn}\n  - {variety: C, crop: kale}\n"
         "wishes:\n  - {crop: flint corn, at least: 4 plants}\n"
         "  - {crop: dent corn, at least: 4 plants}\n  - {crop: kale, at least: 3 plants}\n",
         (const char *const[]){"at least 4 plants of flint corn", "at least 4 plants of dent corn",
                               "true seed of A to save", NULL},
         "kale");
}

/* Two collisions with one thing in both: that is where to begin. */
Test(collision, where_to_begin)
{
    says(
        SITE BED SEED
        "limits: {blocks: 1}\nwishes:\n  - {crop: flint corn, at least: 4 plants}\n"
        "  - {crop: potato, at least: 2 plants}\n  - {crop: kale, at least: 3 plants}\n",
        (const char *const[]){"a single block in each zone (limits: blocks); with the rest kept, 2 "
                              "would do",
                              "begin here: when another of these gives way", NULL},
        NULL);
    says(SITE BED SEED "wishes:\n  - {crop: flint corn, at least: 900 kg}\n"
                       "  - {crop: kale, at least: 1 plants, at most: 1 plants}\n",
         (const char *const[]){"when this gives way, others still collide", NULL}, NULL);
}

/* More terms than there are notes for: the limit is among those told, the others by their lines. */
Test(collision, many_terms)
{
#define SMALL_BED(n) "  - {name: P" #n ", size: 1.4 m x 1 m, rows: along-x}\n"
#define IN_BED(n)    "  - {crop: kale, at least: 2 plants, plot: P" #n "}\n"
    says(SITE "plots:\n" SMALL_BED(1) SMALL_BED(2) SMALL_BED(3) SMALL_BED(4) SMALL_BED(5)
             SMALL_BED(6) SMALL_BED(7) SMALL_BED(8) SMALL_BED(
                 9) "seed: [{variety: C, crop: kale}]\nlimits: {hours: 2.5 h}\nwishes:\n" IN_BED(1)
                 IN_BED(2) IN_BED(3) IN_BED(4) IN_BED(5) IN_BED(6) IN_BED(7) IN_BED(8) IN_BED(9),
         (const char *const[]){"in P1", "no more than 2.5 h of work; with the rest kept, ",
                               "together with 2 more, at lines 28, 29", NULL},
         "of kale in P9");
}
