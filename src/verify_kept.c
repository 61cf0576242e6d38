/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is kept of the harvest for seed, counted again from the blocks' tallies. See verify.h. */
#include "verify_work.h"

#include <math.h>

#define AGAIN 1.5 /* seed for as many plants, and a half more */

struct kept {
    int plants;
    double kg;
};

/* The kg of all plants of a block's part, all of them being alike, for so many of them. */
static double share_kg(const struct tally *t, int plants)
{
    return t->plants > 0 ? t->kg / t->plants * plants : 0;
}

/* The part of block b that is this variety; NULL: none. */
static const struct tally *part_of(const struct verifying *v, int b, const struct seed *seed)
{
    const struct planting *p = v->plan->blocks[b].planting;
    for (int k = 0; k < p->nparts; k++)
        if (p->parts[k].seed == seed)
            return &v->blocks[b].parts[k];
    return NULL;
}

/* Block by block until there are enough: what stands into fall goes before what another crop
 * follows, then the most plants; `done`: per block. */
static struct kept of_blocks(const struct verifying *v, const struct seed *seed, int wanted,
                             bool *done)
{
    struct kept sum = {0};
    while (sum.plants < wanted) {
        int most = 0, at = -1;
        for (int early = 0; early < 2 && at < 0; early++)
            for (int b = 0; b < v->plan->nblocks; b++) {
                bool followed = v->plan->blocks[b].planting->slot == SLOT_FIRST;
                const struct tally *t =
                    done[b] || followed != (early > 0) ? NULL : part_of(v, b, seed);
                int plants = t ? (int)fmin(t->plants, wanted - sum.plants) : 0;
                if (plants > most) {
                    most = plants;
                    at = b;
                }
            }
        if (at < 0)
            break;
        done[at] = true;
        sum.plants += most;
        sum.kg += share_kg(part_of(v, at, seed), most);
    }
    return sum;
}

static struct kept kept_of(struct verifying *v, size_t s)
{
    const struct seed *seed = garden_seed(v->garden, s);
    const struct crop *crop = seed->crop;
    const struct tally *t = &v->tallies[s];
    struct kept kept = {0};
    int stand = (int)ceil(crop->seed_stand.typ);
    if (!seed->save.v || !crop->isolation_m.set || t->plants == 0)
        return kept;
    if (crop->biennial.v) {
        bool *done = ARENA_ARRAY(v->arena, bool, (size_t)v->plan->nblocks);
        v->nomem |= !done;
        if (done)
            kept = of_blocks(v, seed, stand, done);
        if (crop->harvest.v == HARVEST_FRESH)
            kept.kg = 0;
    } else if (crop->seed_from.v == SEED_FROM_PLANTS) {
        kept.plants = t->plants < stand ? t->plants : stand;
        kept.kg = share_kg(t, kept.plants);
    } else if (crop->seed_from.v == SEED_FROM_HARVEST && crop->seeds_per_kg.set && t->kg > 0) {
        kept.kg = fmin(t->kg, AGAIN * t->sown / crop->seeds_per_kg.typ);
        while (share_kg(t, kept.plants) < kept.kg * (1 - 1e-9))
            kept.plants++;
    }
    return kept;
}

static void expect(struct verifying *v, const char *what, double told, double found)
{
    if (!verify_same(told, found))
        verify_breach(v, "%s is said to be %s; it is %s", what, verify_number(v, told),
                      verify_number(v, found));
}

void verify_kept(struct verifying *v)
{
    const struct plan *plan = v->plan;
    struct food eaten = {0};
    bool any = false;
    for (int c = 0; c < plan->ncrops; c++) {
        const struct crop_result *r = &plan->crops[c];
        size_t s = (size_t)(r->seed - garden_seed(v->garden, 0));
        struct kept kept = kept_of(v, s);
        struct food_rate rate = food_rate_typical(r->seed->crop);
        food_add(&eaten, &rate, v->tallies[s].kg - kept.kg);
        any |= r->seed->save.v && r->seed->crop->isolation_m.set;
        if (r->kept_plants != kept.plants || !verify_same(r->kept_kg, kept.kg))
            verify_breach(v, "%s of %s, of %d plants, are said to be kept for seed; it is %s of %d",
                          verify_number(v, r->kept_kg), r->seed->variety.s, r->kept_plants,
                          verify_number(v, kept.kg), kept.plants);
    }
    if (!any)
        return;
    expect(v, "the food energy that is eaten (kcal)", plan->eaten_kcal, eaten.energy_kcal);
    expect(v, "the usable protein that is eaten (g)", plan->eaten_usable_g,
           food_usable_protein(&eaten, NULL));
    expect(v, "the number of person-days that is eaten", plan->eaten_days,
           food_person_days(&eaten, &v->garden->ration));
}
