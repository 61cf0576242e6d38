/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "allocate.h"
#include "isolation.h"
#include "menu_text.h"

#define HEAD                                                                                       \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 40 deg\n"                            \
    "  last frost: {median: Apr 20}\n  first frost: {median: Oct 25}\n"

/* One plot, two squashes of one species and one of another, two corns that flower apart. */
#define SEED(save)                                                                                 \
    "plots:\n  - {name: A, size: 5 m x 8 m, rows: along-x}\n"                                      \
    "seed:\n  - {variety: Pie, crop: pie pumpkin" save "}\n"                                       \
    "  - {variety: Acorn, crop: acorn squash}\n  - {variety: Butter, crop: butternut squash}\n"    \
    "  - {variety: Quick, crop: sweet corn, days: {low: 58 days, typical: 60 days, high: 62 "      \
    "days}" save                                                                                   \
    "}\n  - {variety: Slow, crop: dent corn, days: {low: 128 days, typical: 130 days, "            \
    "high: 132 days}}\n  - {variety: Mid, crop: flint corn, days: {low: 80 days, typical: 85 "     \
    "days, high: 90 days}}\ngrow:\n  guilds: []\n"

/* Colley and Zystro (The Seed Garden), as read: the four squash species do not cross; pie pumpkin
 * and acorn are both Cucurbita pepo, butternut is moschata. */
Test(isolation, squash_crosses_within_its_species)
{
    struct made m = made_of(HEAD SEED(", save: yes"));
    const struct garden *g = m.text.garden;
    cr_assert(isolation_crosses(g, &m.menu, 0, 1), "pie pumpkin and acorn");
    cr_assert(!isolation_crosses(g, &m.menu, 0, 2), "pie pumpkin and butternut");
    cr_assert(!isolation_crosses(g, &m.menu, 1, 0), "nobody saves the acorn");
    cr_assert(!isolation_crosses(g, &m.menu, 0, 0));
    garden_seed(g, 0)->by_hand.v = true;
    cr_assert(!isolation_crosses(g, &m.menu, 0, 1), "bagged flowers");
    garden_text_free(&m.text);
}

/* Corn that has shed its pollen before the other silks is apart in time (common practice). */
Test(isolation, time_keeps_corn_apart)
{
    struct made m = made_of(HEAD SEED(", save: yes"));
    struct flowering quick = isolation_flowering(&m.menu, 3);
    struct flowering slow = isolation_flowering(&m.menu, 4);
    cr_assert(quick.from < quick.to && quick.to < slow.from, "%d to %d, then %d", quick.from,
              quick.to, slow.from);
    cr_assert(!isolation_crosses(m.text.garden, &m.menu, 3, 4));
    cr_assert(isolation_crosses(m.text.garden, &m.menu, 3, 5), "early and middling corn overlap");
    garden_text_free(&m.text);
}

static double best(const char *yaml, bool *pie, bool *acorn)
{
    struct made m = made_of(yaml);
    struct allocation a;
    struct allocate_options o = {.seconds = 60, .gap = 1e-4};
    CALL(allocate(m.text.garden, &m.zones, &m.menu, &o, m.text.arena, m.text.diags, &a));
    *pie = *acorn = false;
    for (int c = 0; c < a.n; c++) {
        const struct planting *p = &m.menu.plantings[m.menu.items[a.chosen[c].item].planting];
        *pie |= p->parts[0].seed_index == 0;
        *acorn |= p->parts[0].seed_index == 1;
    }
    double value = a.value;
    garden_text_free(&m.text);
    return value;
}

#define BOTH                                                                                       \
    "wishes:\n  - {variety: Pie, at least: 2 plants}\n"                                            \
    "  - {variety: Pie, at most: 2 plants}\n  - {crop: dent corn, at most: 0 plants}\n"            \
    "  - {crop: flint corn, at most: 0 plants}\n  - {crop: sweet corn, at most: 0 plants}\n"       \
    "  - {crop: butternut squash, at most: 3 plants}\n"

/* It binds: with seed to save the acorns give way, and the plan is worth less; by hand or unsaved
 * they do not. */
Test(isolation, saving_seed_costs_the_other_variety, .timeout = 120)
{
    bool pie, acorn;
    double both = best(HEAD SEED("") BOTH, &pie, &acorn);
    cr_assert(pie && acorn);
    double saved = best(HEAD SEED(", save: yes") BOTH, &pie, &acorn);
    cr_assert(pie && !acorn, "the acorn would cross");
    cr_assert(saved < both * 0.99, "%g and %g", saved, both);
    double by_hand = best(HEAD SEED(", save: yes, by hand: yes") BOTH, &pie, &acorn);
    cr_assert(pie && acorn && near(by_hand, both, 1e-3 * both));
}

/* Plots whose place in the garden is told: 3 m wide, 7 m from corner to corner to the east. */
Test(isolation, plots_lie_apart)
{
    struct made m = made_of(HEAD "plots:\n  - {name: A, size: 3 m x 4 m, at: [0 m, 0 m]}\n"
                                 "  - {name: B, size: 2 m x 2 m, at: [10 m, 1 m]}\n"
                                 "  - {name: C, size: 2 m x 2 m}\n"
                                 "  - {name: D, size: 2 m x 2 m, at: [6 m, 8 m]}\n"
                                 "seed:\n  - {variety: B, crop: bush bean}\n");
    const struct garden *g = m.text.garden;
    struct arena *arena = m.text.arena;
    cr_assert(near(isolation_distance(g, 0, 1, arena), 7, 1e-9));
    cr_assert(near(isolation_distance(g, 1, 0, arena), 7, 1e-9));
    cr_assert(near(isolation_distance(g, 0, 3, arena), 5, 1e-9), "3, 4, 5");
    cr_assert(isolation_distance(g, 0, 2, arena) == 0 && isolation_distance(g, 1, 1, arena) == 0);
    garden_text_free(&m.text);
}
