/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "explain.h"
#include "garden_text.h"

/* Potatoes in short supply, beans for the rest of the ground, spinach that feeds worse. */
#define GARDEN(potatoes)                                                                           \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"                             \
    "plots:\n  - {name: A, size: 4 m x 6 m, rows: along-x}\n"                                      \
    "seed:\n  - {variety: P, crop: potato, amount: " potatoes " pieces}\n"                         \
    "  - {variety: B, crop: bush bean}\n  - {variety: S, crop: spinach}\n"                         \
    "limits:\n  reserve: 0 %\ngoal: energy\n"

struct explained {
    struct garden_text t;
    struct plan *plan;
    const char *text;
};

static struct explained explained(const char *yaml)
{
    struct explained e = {.t = garden_text_read(yaml)};
    struct plan_make_options o = {.seconds = 60, .gap = 1e-3};
    struct strbuf b;
    cr_assert(e.t.status == HR_OK, "%s", garden_text_diags(&e.t));
    CALL(plan_make(e.t.garden, &o, e.t.arena, e.t.diags, &e.plan));
    strbuf_init(&b, e.t.arena);
    CALL(explain_plan(e.plan, &b));
    e.text = b.p;
    return e;
}

/* What ten more potatoes are said to bring is what the plan with ten more has, nearly: lines are
 * whole there. */
Test(explain, prices_are_what_more_brings, .timeout = 120)
{
    struct explained less = explained(GARDEN("60")), more = explained(GARDEN("70"));
    const char *at = strstr(less.text, "ten more to sow of P: about ");
    cr_assert(at != NULL, "%s", less.text);
    double price = strtod(at + strlen("ten more to sow of P: about "), NULL);
    double gained = more.plan->value - less.plan->value;
    cr_assert(price > 0 && near(gained, price, 0.35 * price), "gained %g, said %g", gained, price);
    garden_text_free(&less.t);
    garden_text_free(&more.t);
}

Test(explain, says_why_not)
{
    struct explained e = explained(GARDEN("60"));
    cr_assert(strstr(e.text, "spinach (S): its ground feeds better") != NULL, "%s", e.text);
    cr_assert(strstr(e.text, "potato (P)") == NULL, "it is planted");
    garden_text_free(&e.t);
}

/* Potatoes, which would be best, and beans on ground where potatoes stood; so deep, m. */
static struct explained after_potatoes(const char *rotation, double y1_m)
{
    static struct former former = {.year = 2026, .x1 = 4, .family = "Solanaceae"};
    char yaml[2048];
    snprintf(yaml, sizeof yaml, "%srotation: {%s}\n", GARDEN("500"), rotation);
    struct explained e = {.t = garden_text_read(yaml)};
    struct plan_make_options o = {.seconds = 60, .gap = 0.02};
    struct strbuf b;
    cr_assert(e.t.status == HR_OK, "%s", garden_text_diags(&e.t));
    former.y1 = y1_m;
    e.t.garden->former = &former;
    e.t.garden->nformer = 1;
    CALL(plan_make(e.t.garden, &o, e.t.arena, e.t.diags, &e.plan));
    strbuf_init(&b, e.t.arena);
    CALL(explain_plan(e.plan, &b));
    size_t n = 0;
    for (size_t i = 0; i < b.n; i++) /* as if on one line */
        if (b.p[i] > ' ' || (n > 0 && b.p[n - 1] != ' '))
            b.p[n++] = (char)(b.p[i] > ' ' ? b.p[i] : ' ');
    b.p[n] = '\0';
    e.text = b.p;
    return e;
}

/* Where a family keeps off or is worth less, that is the reason, with the year it ends. */
Test(explain, names_rotation)
{
    struct explained bar = after_potatoes("rule: bar", 6);
    cr_assert(
        strstr(bar.text, "potato (P): the family of potato (Solanaceae) stood in 2026 on all"),
        "%s", bar.text);
    cr_assert(strstr(bar.text, "until 2030") != NULL, "%s", bar.text);
    struct explained avoid = after_potatoes("rule: avoid, cost: 95 %", 6);
    cr_assert(strstr(avoid.text, "counts there for 5 % (`rotation`) until 2030. Without that"),
              "%s", avoid.text);
    struct explained cheap = after_potatoes("rule: avoid, cost: 1 %", 6);
    cr_assert(strstr(cheap.text, "potato (P)") == NULL, "it is planted: %s", cheap.text);
    garden_text_free(&bar.t);
    garden_text_free(&avoid.t);
    garden_text_free(&cheap.t);
}

Test(explain, a_plan_read_back_has_no_prices)
{
    struct explained e = explained(GARDEN("60"));
    struct strbuf b;
    strbuf_init(&b, e.t.arena);
    e.plan->menu.items = NULL;
    cr_assert(explain_plan(e.plan, &b) == HR_BUG);
    garden_text_free(&e.t);
}

/* What holds a plan back is named: mulch for the ground that no vine covers, vines that shut in
 * beans picked green. */
Test(explain, names_mulch_and_closed_guilds)
{
    struct explained e =
        explained("garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"
                  "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"
                  "plots:\n  - {name: A, size: 3 m x 3 m, rows: along-x}\n"
                  "seed:\n  - {variety: P, crop: potato}\n  - {variety: F, crop: flint corn}\n"
                  "  - {variety: G, crop: climbing bean, harvest: fresh}\n"
                  "  - {variety: W, crop: butternut squash}\n"
                  "grow:\n  crops: [potato]\n  guilds: [\"corn, bean and squash\"]\n"
                  "limits:\n  mulch: 200 l\ngoal: energy\n");
    cr_assert(strstr(e.text, "a tenth more mulch: about ") != NULL, "%s", e.text);
    cr_assert(strstr(e.text, "corn, bean and squash: its vines close the ground") != NULL, "%s",
              e.text);
    garden_text_free(&e.t);
}
