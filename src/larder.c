/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "larder.h"

#include <math.h>

#include "num.h"

/* Day of the first harvest of a variety over the plan's blocks. */
static int first_harvest(const struct plan *plan, const struct seed *seed)
{
    int first = 0;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        for (int k = 0; k < p->nparts; k++) {
            int day = p->parts[k].season.harvest_typ;
            if (p->parts[k].seed == seed && (first == 0 || day < first))
                first = day;
        }
    }
    return first;
}

hr_status larder_foods(const struct plan *plan, struct arena *arena, struct larder_food **out)
{
    struct larder_food *foods = ARENA_ARRAY(arena, struct larder_food, (size_t)plan->ncrops);
    if (!foods)
        return HR_NOMEM;
    for (int c = 0; c < plan->ncrops; c++) {
        const struct crop_result *r = &plan->crops[c];
        const struct range *keeps = &r->seed->crop->storage_d;
        foods[c].crop = r;
        foods[c].from = first_harvest(plan, r->seed);
        if (!keeps->set)
            continue;
        foods[c].until = (struct span){foods[c].from + keeps->low, foods[c].from + keeps->typ,
                                       foods[c].from + keeps->high};
        foods[c].kg_week = keeps->typ > 0 ? 7 * r->kg.typ / fmin(keeps->typ, 365) : 0;
    }
    *out = foods;
    return HR_OK;
}

/* Amino acid a per digestible protein, as a multiple of the reference pattern. */
static double richness(const struct food_rate *rate, enum amino a)
{
    return rate->digestible_g > 0 ? rate->amino_g[a] / (rate->digestible_g * food_pattern[a]) : 0;
}

const struct seed *larder_mend(const struct plan *plan)
{
    if (plan->limiting >= AMINO_COUNT)
        return NULL;
    const struct seed *best = NULL;
    const double enough = 1; /* a food short of it itself mends nothing */
    for (size_t s = 0; s < plan->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(plan->garden, s);
        struct food_rate rate = food_rate_typical(seed->crop);
        double r = richness(&rate, plan->limiting);
        /* a little of a leaf's good protein mends nothing: by what a kg brings */
        if (!seed->standing && r > enough &&
            (!best ||
             rate.amino_g[plan->limiting] > food_rate_typical(best->crop).amino_g[plan->limiting]))
            best = seed;
    }
    return best;
}

struct nitrogen larder_nitrogen(const struct plan *plan)
{
    struct nitrogen sum = {0, 0};
    for (int c = 0; c < plan->ncrops; c++) {
        struct nitrogen n = nitrogen_harvest(plan->crops[c].seed->crop, plan->crops[c].kg.typ);
        sum.taken += n.taken;
        sum.fixed += n.fixed;
    }
    return sum;
}

/* ---- for a person -------------------------------------------------------------------------- */

#define WIDTH 80
#define YEAR  365

static void describe_food(const struct plan *plan, const struct larder_food *f, struct strbuf *out)
{
    enum unit_system sys = (enum unit_system)plan->garden->units.v;
    char from[16], low[16], high[16], week[48];
    struct strbuf line;
    strbuf_init(&line, out->arena);
    strbuf_printf(&line, "%s, %s: from about %s; ", f->crop->seed->crop->name.s,
                  f->crop->seed->variety.s, date_text(from, sizeof from, f->from));
    if (f->until.typ <= f->from)
        strbuf_puts(&line, "does not keep, eat it as it comes");
    else if (f->until.low - f->from >= YEAR)
        strbuf_printf(&line, "keeps past the next harvest: %s a week until then, typical",
                      unit_mass(week, sizeof week, f->kg_week, sys));
    else if (f->until.typ - f->from >= YEAR)
        strbuf_printf(&line,
                      "keeps until %s at least, mostly past the next harvest: %s a week, typical",
                      date_text(low, sizeof low, (int)f->until.low),
                      unit_mass(week, sizeof week, f->kg_week, sys));
    else
        strbuf_printf(&line, "keeps until %s to %s, typical %s; eaten evenly %s a week",
                      date_text(low, sizeof low, (int)f->until.low),
                      date_text(high, sizeof high, (int)f->until.high),
                      date_text(from, sizeof from, (int)f->until.typ),
                      unit_mass(week, sizeof week, f->kg_week, sys));
    strbuf_puts(out, "  - ");
    strbuf_wrap(out, line.p, WIDTH, 4, 4);
}

/* N comes and goes with the harvest's own range, which is the range of its kg. */
static void describe_nitrogen(const struct plan *plan, struct strbuf *out)
{
    enum unit_system sys = (enum unit_system)plan->garden->units.v;
    struct nitrogen n = larder_nitrogen(plan);
    char taken[48], fixed[48], compost[48];
    struct strbuf line;
    strbuf_init(&line, out->arena);
    strbuf_printf(&line, "Nitrogen, typical: the harvest carries off %s",
                  unit_mass(taken, sizeof taken, n.taken, sys));
    if (n.fixed > 0)
        strbuf_printf(&line, ", beans and their kin take %s from the air",
                      unit_mass(fixed, sizeof fixed, n.fixed, sys));
    if (n.taken > n.fixed)
        strbuf_printf(
            &line,
            ". Compost alone would need %s to make that good in its first year, so "
            "count on what the soil holds and test it",
            unit_mass(compost, sizeof compost, nitrogen_compost_kg(n.taken - n.fixed), sys));
    strbuf_puts(&line, ".");
    strbuf_puts(out, "  ");
    strbuf_wrap(out, line.p, WIDTH, 2, 2);
}

static void describe_mend(const struct plan *plan, struct strbuf *out)
{
    if (plan->limiting >= AMINO_COUNT)
        return;
    const struct seed *mend = larder_mend(plan);
    const char *text =
        mend ? arena_printf(out->arena,
                            "The protein is short of %s first; more %s would mend it most.",
                            amino_names[plan->limiting], mend->crop->name.s)
             : arena_printf(out->arena,
                            "The protein is short of %s first, and nothing in hand mends that.",
                            amino_names[plan->limiting]);
    strbuf_puts(out, "  ");
    strbuf_wrap(out, text ? text : "", WIDTH, 2, 2);
}

hr_status larder_describe(const struct plan *plan, struct arena *arena, struct strbuf *out)
{
    struct larder_food *foods;
    hr_status status = larder_foods(plan, arena, &foods);
    if (status != HR_OK)
        return status;
    strbuf_puts(out, "From harvest to harvest\n");
    for (int c = 0; c < plan->ncrops; c++)
        if (!plan->crops[c].seed->for_seed)
            describe_food(plan, &foods[c], out);
    describe_mend(plan, out);
    describe_nitrogen(plan, out);
    return out->failed ? HR_NOMEM : HR_OK;
}
