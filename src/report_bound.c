/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a plan is proved to be, in words. See report.h. */
#include "report.h"

#include <math.h>

#include "num.h"
#include "weight.h"

static const char *unit_of(const struct garden *g)
{
    static const char *const units[] = {
        [GOAL_DAYS] = "days of full food for one",
        [GOAL_ENERGY] = "kcal",
        [GOAL_PROTEIN] = "g of usable protein",
    };
    return units[g->goal.v];
}

static void put_percent(struct strbuf *out, double share)
{
    char text[64];
    strbuf_printf(out, "%s %%",
                  num_fixed(text, sizeof text, 100 * share, fabs(share) < 0.0995 ? 1 : 0));
}

static void put_number(struct strbuf *out, double v)
{
    char text[64];
    double tell = num_round_sig(v, 3);
    strbuf_puts(out, fabs(tell) >= 1000 ? num_grouped(text, sizeof text, tell)
                                        : num_text(text, sizeof text, tell));
}

/* "potato for 150 %, ..." */
static void put_weights(const struct garden *g, struct strbuf *out)
{
    const char *before = "";
    for (size_t i = 0; i < g->wishes.n; i++) {
        const struct wish *wish = garden_wish(g, i);
        if (!wish->weight.set)
            continue;
        strbuf_printf(out, "%s%s", before, wish_name(wish));
        if (wish->plot.s)
            strbuf_printf(out, " in %s", wish->plot.s);
        strbuf_puts(out, " for ");
        put_percent(out, wish->weight.v);
        before = ", ";
    }
    if (g->rotation.rule.v == ROTATION_AVOID && g->nformer > 0) {
        strbuf_printf(out, "%sa family on ground that it had before for ", before);
        put_percent(out, 1 - g->rotation.cost.v);
    }
}

/* What the weights cost, which nobody knows who has not made the plan without them: at most. */
static void put_cost(const struct plan *plan, struct strbuf *out)
{
    double food = plan_food_value(plan), cost = fmax(0, plan->food_bound - food);
    strbuf_puts(out, " As food alone it gives ");
    put_number(out, food);
    strbuf_printf(out, " %s; no plan, whatever foods count for, can give more than ",
                  unit_of(plan->garden));
    put_number(out, plan->food_bound);
    strbuf_puts(out, ", so the weights cost ");
    put_number(out, num_round_sig(cost, 2));
    strbuf_puts(out, " at most.");
}

/* Whether a share of the energy is limited: shade may help to keep it. */
static bool share_limited(const struct garden *g)
{
    bool limited = g->limits.share_energy.set;
    for (size_t i = 0; i < g->wishes.n && !limited; i++) {
        const struct wish *wish = garden_wish(g, i);
        limited = (wish->at_most.set && wish->at_most.kind == UNIT_SHARE) ||
                  (wish->at_least.set && wish->at_least.kind == UNIT_SHARE);
    }
    return limited;
}

void report_bound(const struct plan *plan, struct strbuf *out)
{
    bool weighed = weight_any(plan->garden);
    if (weighed) {
        strbuf_puts(out, "In what is maximised some foods count for more or less than they give: ");
        put_weights(plan->garden, out);
        strbuf_puts(out, ". So weighed, and by");
    } else
        strbuf_puts(out, "By");
    strbuf_printf(out, " the typical figures no plan of these crops and spacings can %s more than ",
                  weighed ? "come to" : "give");
    put_number(out, plan->bound);
    strbuf_printf(out, " %s; this one comes within ", unit_of(plan->garden));
    put_percent(out, fmax(0, plan->gap));
    strbuf_puts(out, " of that.");
    if (share_limited(plan->garden))
        strbuf_puts(out, " Plans that keep a share of the energy by their shade alone are not "
                         "counted there.");
    if (weighed)
        put_cost(plan, out);
}
