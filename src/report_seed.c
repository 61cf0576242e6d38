/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a plan says of the seed that is to be saved. See report.h. */
#include "report.h"

#include <math.h>

#include "num.h"

#define WIDTH 80

static const struct crop_result *result_of(const struct plan *plan, const struct seed *seed)
{
    for (int c = 0; c < plan->ncrops; c++)
        if (plan->crops[c].seed == seed)
            return &plan->crops[c];
    return NULL;
}

/* Whether so few plants keep a line sound. */
static void say_stand(struct strbuf *out, const struct crop *crop, int plants)
{
    const struct range *stand = &crop->seed_stand;
    if (!stand->set)
        return;
    if (plants < stand->low)
        strbuf_printf(out,
                      " %d plants are too few for a sound line (%.0f at least): swap seed "
                      "with others who keep it, or grow it on more ground.",
                      plants, stand->low);
    else if (plants < stand->high)
        strbuf_printf(out, " %d plants will do; %.0f keep more of its breadth.", plants,
                      stand->high);
    else
        strbuf_printf(out, " %d plants are enough to keep the line sound.", plants);
}

/* As much as was sown, and a half for what fails; of what is eaten as seed, in food. */
static void say_keep(struct strbuf *out, const struct plan *plan, const struct crop_result *c)
{
    const struct crop *crop = c->seed->crop;
    char mass[64], num[64];
    if (!crop->seeds_per_kg.set)
        return;
    double kg = 1.5 * c->sown / crop->seeds_per_kg.typ;
    unit_mass(mass, sizeof mass, kg, (enum unit_system)plan->garden->units.v);
    strbuf_printf(out, " Keep back about %s, from as many plants as can be", mass);
    if (crop->harvest.v == HARVEST_DRY) {
        double kcal = kg * food_rate_typical(crop).energy_kcal;
        strbuf_printf(out, " (typical; %s kcal that are not eaten)",
                      num_grouped(num, sizeof num, num_round_sig(kcal, 2)));
    }
    strbuf_puts(out, ".");
}

static void say_seed(struct strbuf *out, const struct plan *plan, const struct seed *seed)
{
    const struct crop_result *c = result_of(plan, seed);
    struct strbuf words;
    strbuf_init(&words, out->arena);
    strbuf_printf(&words, "%s, %s:", seed->crop->name.s, seed->variety.s);
    if (!c) {
        strbuf_puts(&words, " it has no place in this plan, so no seed is saved. Ask for it with a "
                            "wish (`at least`).");
    } else {
        say_stand(&words, seed->crop, c->plants);
        say_keep(&words, plan, c);
        if (seed->by_hand.v)
            strbuf_puts(&words, " Bag the flowers the evening before they open, pollinate them by "
                                "hand, tie them shut and mark their fruit.");
        if (seed->crop->biennial.v)
            strbuf_puts(&words, " It flowers in its second year: leave the plants for seed where "
                                "they stand, or store and replant them.");
    }
    strbuf_puts(out, "  - ");
    strbuf_wrap(out, words.p, WIDTH, 4, 4);
    out->failed |= words.failed;
}

void report_seed_saving(const struct plan *plan, struct strbuf *out)
{
    bool any = false;
    for (size_t s = 0; s < plan->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(plan->garden, s);
        if (!seed->save.v || !seed->crop->isolation_m.set)
            continue;
        if (!any)
            strbuf_puts(out, "\nSeed to save\n");
        any = true;
        say_seed(out, plan, seed);
    }
}
