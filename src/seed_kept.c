/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "seed_kept.h"

#include <math.h>

#include "overwinter.h"

/* Biennials of which all is pulled up: those plants are not eaten. Of leaves picked all summer
 * nothing is lost. */
static hr_status kept_of_second_year(struct plan *plan, struct crop_result *c)
{
    struct overwinter *kept;
    int n;
    hr_status status = overwinter_of(plan, c->seed, plan->arena, &kept, &n);
    for (int i = 0; status == HR_OK && i < n; i++) {
        double kg[STAND_PARTS_MAX];
        plan_plant_kg(&plan->blocks[kept[i].block], kg);
        c->kept_plants += kept[i].plants;
        if (c->seed->crop->harvest.v != HARVEST_FRESH)
            c->kept_kg += kept[i].plants * kg[kept[i].part];
    }
    return status;
}

/* What is eaten is the seed itself: so much mass, and the plants that give it. */
static void kept_of_harvest(struct crop_result *c)
{
    const struct crop *crop = c->seed->crop;
    if (!crop->seeds_per_kg.set || c->kg.typ <= 0)
        return;
    c->kept_kg = fmin(c->kg.typ, SEED_KEPT_AGAIN * c->sown / crop->seeds_per_kg.typ);
    c->kept_plants = (int)ceil(c->kept_kg / c->kg.typ * c->plants - 1e-9);
}

/* Plants that shoot up and are no food then: a sound stand, or all there are. */
static void kept_of_plants(struct crop_result *c)
{
    c->kept_plants = (int)fmin(c->plants, ceil(c->seed->crop->seed_stand.typ));
    c->kept_kg = c->kg.typ * c->kept_plants / c->plants;
}

static hr_status kept_of(struct plan *plan, struct crop_result *c)
{
    if (seed_second_year(c->seed))
        return kept_of_second_year(plan, c);
    switch ((enum seed_source)c->seed->crop->seed_from.v) {
    case SEED_FROM_HARVEST:
        kept_of_harvest(c);
        break;
    case SEED_FROM_PLANTS:
        kept_of_plants(c);
        break;
    case SEED_FROM_RIPE_FRUIT: /* its flesh is eaten all the same */
    case SEED_FROM_FRUIT_LEFT: /* nobody knows how many: the report says so */
        break;
    }
    return HR_OK;
}

hr_status seed_kept_find(struct plan *plan, const struct food *typical)
{
    struct food eaten = *typical;
    for (int i = 0; i < plan->ncrops; i++) {
        struct crop_result *c = &plan->crops[i];
        if (!seed_saved(c->seed))
            continue;
        hr_status status = kept_of(plan, c);
        if (status != HR_OK)
            return status;
        struct food_rate rate = food_rate_typical(c->seed->crop);
        food_add(&eaten, &rate, -c->kept_kg);
    }
    plan->eaten_kcal = fmax(0, eaten.energy_kcal);
    plan->eaten_usable_g = food_usable_protein(&eaten, NULL);
    plan->eaten_days = food_person_days(&eaten, &plan->garden->ration);
    return HR_OK;
}
