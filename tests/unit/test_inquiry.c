/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "inquiry.h"
#include "menu_text.h"
#include "solver.h"

#define GARDEN                                                                                     \
    "garden: test\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                         \
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"                                 \
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"                                \
    "plots:\n  - {name: P, size: 2.4 m x 1.7 m, rows: either}\n"                                   \
    "seed:\n  - {variety: A, crop: flint corn, amount: 40 seeds}\n"                                \
    "  - {variety: B, crop: potato, amount: 2 kg}\n  - {variety: C, crop: kale}\n"

struct setting {
    struct made made;
    struct program m;
    struct inquiry *inquiry;
};

static void setting_open(struct setting *s, const char *yaml)
{
    *s = (struct setting){.made = made_of(yaml)};
    struct arena *arena = s->made.text.arena;
    CALL(program_init(&s->m, s->made.text.garden, &s->made.zones, &s->made.menu, arena));
    CALL(inquiry_new(&s->m, arena, &s->inquiry));
}

static enum answer ask(struct setting *s, enum asking how)
{
    enum answer answer;
    CALL(inquiry_ask(s->inquiry, how, &answer));
    return answer;
}

/* Every set of the terms, asked one after the other with what was learnt before, against GLPK on
 * the program of that set alone. */
Test(inquiry, as_the_solver_says, .timeout = 60)
{
    struct setting s;
    setting_open(&s, GARDEN "limits: {blocks: 1}\nwishes:\n"
                            "  - {crop: flint corn, at least: 6 plants}\n"
                            "  - {crop: potato, at least: 2 plants, at most: 4 plants}\n"
                            "  - {crop: kale, at least: 1 plants, at most: 1 plants}\n");
    int impossible = 0, sets = 1 << s.m.nterms;
    cr_assert(s.m.nterms == 8, "%d terms", s.m.nterms);
    for (int set = sets - 1; set >= 0; set -= 5) {
        for (int t = 0; t < s.m.nterms; t++)
            s.m.terms[t].on = set >> t & 1;
        enum answer answer = ask(&s, ASK_PLANS);
        struct solver_options o = {.seconds = 60, .gap = 1e9};
        struct solver_result r = {0};
        CALL(program_build(&s.m));
        CALL(solver_run(&s.m.mip, &o, &r, NULL));
        cr_assert(answer == (r.x ? POSSIBLE : IMPOSSIBLE), "terms %x: answer %d", set, (int)answer);
        impossible += r.x == NULL;
    }
    cr_assert(impossible > 10, "%d impossible", impossible);
    garden_text_free(&s.made.text);
}

/* What each kind of question shows: two crops in one block are a matter of whole numbers. */
Test(inquiry, kinds_of_question)
{
    struct setting s;
    setting_open(&s, GARDEN "limits: {blocks: 1}\nwishes:\n"
                            "  - {crop: flint corn, at least: 6 plants}\n"
                            "  - {crop: kale, at least: 4 plants}\n");
    cr_assert(ask(&s, ASK_RELAXATION) == POSSIBLE);
    cr_assert(ask(&s, ASK_CROWDING) == IMPOSSIBLE);
    cr_assert(ask(&s, ASK_RELAXATION) == IMPOSSIBLE, "as is known by now");
    garden_text_free(&s.made.text);
}

/* The sides: what could be had of a wish, and how far a limit would have to go. */
Test(inquiry, sides)
{
    struct setting s;
    setting_open(&s, GARDEN "limits: {blocks: 2, hours: 1 h}\nwishes:\n"
                            "  - {crop: flint corn, at least: 12 plants}\n"
                            "  - {crop: kale, at least: 10 %}\n");
    struct side side;
    bool has;
    CALL(inquiry_side(s.inquiry, term_of(&s.m, TERM_AT_LEAST, 1), &has, &side));
    cr_assert(!has, "a share has none");
    s.m.terms[term_of(&s.m, TERM_AT_LEAST, 1)].on = false;
    CALL(inquiry_side(s.inquiry, term_of(&s.m, TERM_AT_LEAST, 0), &has, &side));
    cr_assert(has && side.met && side.asked == 12 && side.found < 12, "%g of %g", side.found,
              side.asked);
    cr_assert(side.bound >= side.found - 1e-6 && side.bound < 12, "%g", side.bound);
    CALL(inquiry_side(s.inquiry, term_of(&s.m, TERM_HOURS, 0), &has, &side));
    cr_assert(has && side.met && side.asked == 1 && side.found > 1, "%g h", side.found);
    cr_assert(side.bound > 1 && side.bound <= side.found + 1e-6, "%g h", side.bound);
    garden_text_free(&s.made.text);
}

/* While the limit on blocks is off it binds no search: three crops stand in one bed. */
Test(inquiry, blocks_are_not_limited_while_that_is_off)
{
    struct setting s;
    setting_open(&s, GARDEN "limits: {blocks: 1}\nwishes:\n"
                            "  - {crop: flint corn, at least: 3 plants}\n"
                            "  - {crop: potato, at least: 1 plants}\n"
                            "  - {crop: kale, at least: 3 plants}\n");
    cr_assert(program_blocks(&s.m) == 1);
    s.m.terms[term_of(&s.m, TERM_BLOCKS, 0)].on = false;
    cr_assert(program_blocks(&s.m) > 20);
    cr_assert(ask(&s, ASK_PLANS) == POSSIBLE);
    garden_text_free(&s.made.text);
}
