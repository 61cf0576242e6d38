/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each of the gardener's terms where it is the reason why a crop is left out: what is said. */
#include "hr_test.h"

#include "explain.h"
#include "plan_text.h"

/* A plan of bare ground, explained: the words on one line. */
static const char *explained(struct plan_text *p)
{
    struct strbuf b;
    size_t n = 0;
    plan_text_finish(p);
    p->plan->value = 1; /* all that more would bring is told */
    strbuf_init(&b, p->t.arena);
    CALL(explain_plan(p->plan, &b));
    for (size_t i = 0; i < b.n; i++)
        if (b.p[i] > ' ' || (n > 0 && b.p[n - 1] != ' '))
            b.p[n++] = (char)(b.p[i] > ' ' ? b.p[i] : ' ');
    b.p[n] = '\0';
    return b.p;
}

#define HEAD                                                                                       \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\ngoal: energy\n"
#define PLOT(more) "plots:\n  - {name: A, size: 5 m x 4 m, rows: along-x" more "}\n"
#define SEED(more)                                                                                 \
    "seed:\n  - {variety: Eye, crop: potato}\n  - {variety: Leaf, crop: spinach" more "}\n"        \
    "  - {variety: Ear, crop: flint corn}\n"

static const struct {
    const char *name, *yaml, *says;
} terms[] = {
    {"ground", HEAD PLOT("") SEED(""), "spinach (Leaf): its ground feeds better under other crops"},
    {"hours", HEAD PLOT("") SEED("") "limits: {hours: 3 h}\n",
     "spinach (Leaf): its hours of work bring more elsewhere"},
    {"hours, more", HEAD PLOT("") SEED("") "limits: {hours: 3 h}\n", "an hour of work more: about"},
    {"week", HEAD PLOT("") SEED("") "limits: {hours a week: 15 min}\n",
     "an hour more in every week: about"},
    {"compost", HEAD PLOT("") SEED("") "limits: {compost: 50 l}\n",
     "spinach (Leaf): the compost or mulch that can be had does more on other ground"},
    {"compost, more", HEAD PLOT("") SEED("") "limits: {compost: 50 l}\n",
     "a tenth more compost: about"},
    {"mulch", HEAD PLOT("") SEED("") "limits: {mulch: 300 l}\n", "a tenth more mulch: about"},
    {"seed", HEAD PLOT("") SEED(", amount: 3 seeds") "limits: {reserve: 80 %}\n",
     "spinach (Leaf): no seed is left when the reserve is kept back"},
    {"at most",
     HEAD PLOT("") "seed:\n  - {variety: Eye, crop: potato}\n"
                   "wishes: [{crop: potato, at most: 0 kg}]\n",
     "potato (Eye): a wish stands against it"},
    {"at least", HEAD PLOT("") SEED("") "wishes: [{crop: spinach, at least: 10 m2}]\n",
     "a tenth less of the `at least` for spinach: about"},
    {"share", HEAD PLOT("") SEED("") "limits: {share of energy: 40 %}\n",
     "5 % more in `share of energy`: about"},
    {"share of ground", HEAD PLOT("") SEED("") "limits: {share of area: 40 %}\n",
     "5 % more in `share of area`: about"},
    {"grow", HEAD PLOT("") SEED("") "grow: {crops: [potato]}\n",
     "spinach (Leaf): it was not asked for on its own"},
    {"banned", HEAD PLOT(", banned: spinach") SEED(""),
     "spinach (Leaf): the rules of every plot ban it"},
    {"height", HEAD PLOT(", edges: [{side: 1, tallest: 1 m}]") SEED(""),
     "flint corn (Ear): it grows taller than the rules of height"},
    {"season", HEAD PLOT("") SEED("") "  - {variety: Slow, crop: peanut, days: 300 days}\n",
     "days short"},
    {"clear by", HEAD PLOT(", clear by: Jul 20") SEED(""),
     "but the ground must be clear by July 20"},
    {"opening day",
     HEAD PLOT(", open: Jun 20") "seed:\n  - {variety: Ear, crop: flint corn}\n"
                                 "  - {variety: Leaf, crop: spinach}\n  - {variety: Pod, crop: "
                                 "bush bean}\n"
                                 "grow: {crops: [bush bean, spinach, flint corn]}\n",
     "flint corn (Ear): "},
    {"shade",
     HEAD PLOT(", edges: [{side: 3, shade: 0 %}]") "seed:\n"
                                                   "  - {variety: Ear, crop: flint corn}\n",
     "flint corn (Ear): it would take too much light from ground beyond a side"},
};

Test(explain_terms, each_is_named_where_it_is_the_reason)
{
    for (size_t i = 0; i < sizeof terms / sizeof *terms; i++) {
        struct plan_text p = plan_text_new(terms[i].yaml);
        const char *text = explained(&p);
        cr_expect(strstr(text, terms[i].says) != NULL, "%s: no \"%s\" in %s", terms[i].name,
                  terms[i].says, text);
        plan_text_free(&p);
    }
}

/* One stands, for seed; the other would be as good, but for the bees. */
Test(explain_terms, crossing_is_named)
{
#define SQUASH(save)                                                                               \
    HEAD PLOT("") "seed:\n  - {variety: One, crop: butternut squash" save "}\n"                    \
                  "  - {variety: Two, crop: butternut squash}\n"
    struct plan_text p = plan_text_new(SQUASH(", save: yes"));
    plan_text_block(&p, 0, SYSTEM_ROWS, "butternut squash", 1);
    const char *text = explained(&p);
    cr_assert(strstr(text, "(Two): it would cross with One, of which seed is to be saved"), "%s",
              text);
    plan_text_free(&p);
    p = plan_text_new(SQUASH(""));
    plan_text_block(&p, 0, SYSTEM_ROWS, "butternut squash", 1);
    text = explained(&p);
    cr_assert(!strstr(text, "cross"), "%s", text);
    plan_text_free(&p);
}
