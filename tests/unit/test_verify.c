/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <time.h>

#include "normals_peoria.h"
#include "plan_text.h"
#include "verify.h"

/* Terms that the good plan keeps, so that breaking each can be tried. */
#define TERMS                                                                                      \
    "grow:\n  guilds: [\"corn, bean and squash\"]\n"                                               \
    "wishes:\n  - {crop: potato, at least: 5 kg}\n"                                                \
    "  - {variety: Porch Light, at least: 3 plants, at most: 3 plants}\n"                          \
    "  - {crop: flint corn, at least: 2 m2, at most: 90 %}\n"                                      \
    "limits:\n  hours: 200 h\n  share of energy: 70 %\n  share of area: 60 %\n"

static hr_status verified(struct plan_text *p)
{
    return verify_plan(p->plan, p->t.arena, p->t.diags);
}

Test(verify, good_plans_pass)
{
    static const char *const terms[] = {"", TERMS, "goal: energy\n", "goal: protein\n",
                                        "wishes: [{crop: potato, weight: 150 %},\n"
                                        "  {variety: Ember Ridge, weight: 40 %, plot: Slope},\n"
                                        "  {guild: \"corn, bean and squash\", weight: 90 %}]\n"};
    for (size_t i = 0; i < sizeof terms / sizeof *terms; i++) {
        struct plan_text p = plan_text_good(terms[i]);
        cr_assert(verified(&p) == HR_OK, "terms %zu: %s", i, diags_words(p.t.diags));
        plan_text_free(&p);
    }
}

Test(verify, nothing_planted_passes)
{
    struct plan_text p = plan_text_new(PLAN_TEXT_HEAD PLAN_TEXT_PLOTS PLAN_TEXT_SEED);
    plan_text_finish(&p);
    cr_assert(verified(&p) == HR_OK, "%s", diags_words(p.t.diags));
    plan_text_free(&p);
}

/* Potatoes stood on half of their zone's length: of a plan that avoids that, all holds. */
Test(verify, avoided_ground_passes)
{
    struct plan_text p = plan_text_good("rotation: {rule: avoid}\n");
    const struct zone *z = &p.plan->zones.items[0];
    struct former former[] = {
        {.year = 2026,
         .x0 = z->r.x0,
         .x1 = (z->r.x0 + z->r.x1) / 2,
         .y1 = 9,
         .family = "Solanaceae"},
        {.year = 2025, .x0 = z->r.x0, .x1 = z->r.x0 + 1, .y0 = 1, .y1 = 2, .family = "Solanaceae"},
    };
    double before = p.plan->value;
    p.t.garden->former = former;
    p.t.garden->nformer = 2;
    plan_text_finish(&p);
    cr_assert(p.plan->value < before);
    cr_assert(verified(&p) == HR_OK, "%s", diags_words(p.t.diags));
    plan_text_free(&p);
}

/* ---- one damage at a time ------------------------------------------------------------------- */

/* A planting of a block that may be changed without changing the menu. */
static struct planting *own(struct plan_text *p, int b)
{
    struct planting *q = ARENA_NEW(p->t.arena, struct planting);
    *q = *p->plan->blocks[b].planting;
    p->plan->blocks[b].planting = q;
    return q;
}

static struct station *station_of(struct plan_text *p, int b)
{
    struct station *s = p->plan->stations;
    while (s->block != b)
        s++;
    return s;
}

static void bad_index(struct plan_text *p)
{
    station_of(p, 1)->block = 99;
}
static void bad_line(struct plan_text *p)
{
    p->plan->lines[2].first = 100000;
}
static void bad_number(struct plan_text *p)
{
    station_of(p, 0)->x_m = (double)NAN;
}
static void bad_pitch(struct plan_text *p)
{
    own(p, 1)->pitch_m = 0;
}
static void zone_over_border(struct plan_text *p)
{
    p->plan->zones.items[0].r.y1 += 0.1;
    p->plan->zones.items[0].depth_m += 0.1;
}
static void zone_sides(struct plan_text *p)
{
    p->plan->zones.items[1].depth_m += 0.5;
}
static void ground_told(struct plan_text *p)
{
    p->plan->zones.grounds[0].zoned_m2 *= 1.01;
}
static void ground_of_no_plot(struct plan_text *p)
{
    p->plan->zones.grounds[0].plot = 7;
}
static void block_too_long(struct plan_text *p)
{
    p->plan->blocks[0].length_m += 0.5;
    p->plan->blocks[0].along_m -= 0.25;
}
/* The corn of the first plot is over 1 m; its stations stand within 8 m of side 1. */
static void grown_too_tall(struct plan_text *p)
{
    static struct edge rule = {.side = {.v = 1, .set = true},
                               .tallest_m = {.v = 1, .set = true},
                               .within_m = {.v = 8, .set = true}};
    garden_plot(p->t.garden, 0)->edges = (struct list){.items = &rule, .n = 1, .set = true};
}

static void rows_across(struct plan_text *p)
{
    p->plan->zones.items[1].along_x = true;
}
static void block_moved_out(struct plan_text *p)
{
    p->plan->blocks[2].start_m += 6;
}
static void blocks_overlap(struct plan_text *p)
{
    p->plan->blocks[1].start_m -= 0.1;
}
static void block_depth(struct plan_text *p)
{
    p->plan->blocks[0].depth_m += 0.01;
}
static void too_many_blocks(struct plan_text *p)
{
    p->t.garden->limits.blocks.v = 3;
    p->t.garden->limits.blocks.set = true;
}
static void more_light(struct plan_text *p)
{
    p->plan->blocks[1].light[0] = 1.01;
}
/* All of the site's light, though corn stands beside it. */
static void shade_denied(struct plan_text *p)
{
    p->plan->blocks[2].light[0] = p->plan->zones.items[p->plan->blocks[2].zone].light;
}
/* The ground beyond the sides may lose nothing. */
static void neighbour_shaded(struct plan_text *p)
{
    static struct edge edges[4];
    for (int i = 0; i < 4; i++)
        edges[i] = (struct edge){.side = {.v = i + 1}, .shade = {.v = 0, .set = true}};
    garden_plot(p->t.garden, 0)->edges = (struct list){edges, 4, true, {0}};
}
static void zone_light(struct plan_text *p)
{
    p->t.garden->site.sun.v = 0.8;
}
static void closer_rows(struct plan_text *p)
{
    own(p, 1)->line_m *= 0.5;
}
static void other_guild_crop(struct plan_text *p)
{
    struct planting *q = own(p, 0);
    struct part corn = q->parts[0];
    q->parts[0].seed = q->parts[2].seed; /* squash for the support */
    q->parts[0].seed_index = q->parts[2].seed_index;
    q->parts[0].crop = q->parts[2].crop;
    q->parts[2].seed = corn.seed;
    q->parts[2].seed_index = corn.seed_index;
    q->parts[2].crop = corn.crop;
}
static void more_in_a_hill(struct plan_text *p)
{
    own(p, 0)->parts[0].per_station = 12;
}
static void hill_low(struct plan_text *p)
{
    own(p, 0)->hill_height_m = 0.01;
}
static void taller_canopy(struct plan_text *p)
{
    own(p, 1)->height_m *= 2;
}
static void denser_canopy(struct plan_text *p)
{
    own(p, 0)->extinction_per_m *= 3;
}
static void ring_in_a_row(struct plan_text *p)
{
    own(p, 1)->parts[0].ring_m = 0.2;
}
static void guild_not_asked_for(struct plan_text *p)
{
    p->t.garden->grow.guilds.set = true;
    p->t.garden->grow.guilds.n = 0;
}
static void short_season(struct plan_text *p)
{
    struct seed *seed = garden_seed(p->t.garden, 3); /* potato */
    seed->days = (struct range){.low = 300, .typ = 310, .high = 320, .set = true};
}
/* Rules of the place that were not there when the plan was made. */
static void opens_late(struct plan_text *p)
{
    garden_plot(p->t.garden, 0)->open = (struct when){.d = {0, 9, 1}, .set = true};
}
static void clear_early(struct plan_text *p)
{
    garden_plot(p->t.garden, 0)->clear = (struct when){.d = {0, 5, 20}, .set = true};
}
static void family_banned(struct plan_text *p)
{
    struct text *names = ARENA_ARRAY(p->t.arena, struct text, 1);
    names[0].s = "Solanaceae";
    garden_plot(p->t.garden, 0)->banned = (struct list){.items = names, .n = 1, .set = true};
}
static void family_again(struct plan_text *p)
{
    struct garden *g = p->t.garden;
    struct former *former = ARENA_NEW(p->t.arena, struct former);
    const struct station *s = p->plan->stations;
    *former =
        (struct former){.plot = s->plot, .year = 2025, .x0 = s->x_m - 0.1, .x1 = s->x_m + 0.1};
    former->y0 = s->y_m - 0.1;
    former->y1 = s->y_m + 0.1;
    former->family = p->plan->blocks[s->block].planting->parts[0].crop->family.s;
    g->former = former;
    g->nformer = 1;
    g->rotation.rule.v = ROTATION_BAR;
}
/* The same, avoided: it counts for less there, which the plan's value does not know. */
static void family_unheeded(struct plan_text *p)
{
    family_again(p);
    p->t.garden->rotation.rule.v = ROTATION_AVOID;
}
/* A second variety of squash in the rows, and seed of the first to be saved. */
static void squash_crosses(struct plan_text *p)
{
    struct seed *squash = garden_seed(p->t.garden, 2), *other = garden_seed(p->t.garden, 4);
    squash->save = (struct flag){.v = true, .set = true};
    struct crop *crop = ARENA_NEW(p->t.arena, struct crop);
    *crop = *other->crop;
    crop->cross_group = squash->crop->cross_group;
    other->crop = crop;
    for (int b = 0; b < p->plan->nblocks; b++)
        for (int k = 0; k < p->plan->blocks[b].planting->nparts; k++)
            if (p->plan->blocks[b].planting->parts[k].seed == other)
                own(p, b)->parts[k].crop = crop;
}
/* Seed of it is to be saved, but none of the harvest is said to be kept. */
static void nothing_kept(struct plan_text *p)
{
    garden_seed(p->t.garden, 0)->save = (struct flag){.v = true, .set = true};
}
static void eaten_told(struct plan_text *p)
{
    struct food food;
    nothing_kept(p);
    CALL(plan_totals(p->plan, &food));
    CALL(range_plan(p->plan, 100, RANGE_SEED));
    p->plan->eaten_days *= 1.01;
}
static void week_short(struct plan_text *p)
{
    p->t.garden->limits.week_hours = (struct qty){.v = 0.5, .set = true};
}
static void compost_short(struct plan_text *p)
{
    p->t.garden->limits.compost_m3 = (struct qty){.v = 0.01, .set = true};
}
static void mulch_short(struct plan_text *p)
{
    p->t.garden->limits.mulch_m3 = (struct qty){.v = 0.01, .set = true};
}
static void chips_banned(struct plan_text *p)
{
    garden_plot(p->t.garden, 0)->chips = (struct flag){.v = false, .set = true};
    p->t.garden->mulch.beds = (struct choice){.v = MULCH_CHIPS, .set = true};
}
static void picked_green(struct plan_text *p)
{
    struct choice fresh = {.v = HARVEST_FRESH, .set = true};
    for (int b = 0; b < p->plan->nblocks; b++)
        if (p->plan->blocks[b].planting->guild)
            garden_seed(p->t.garden, (size_t)own(p, b)->parts[1].seed_index)->harvest = fresh;
}
static void second_unasked(struct plan_text *p)
{
    own(p, 1)->slot = SLOT_SECOND;
}
static void other_dates(struct plan_text *p)
{
    own(p, 1)->parts[0].season.sow += 7;
}
static void later_window(struct plan_text *p)
{
    own(p, 1)->parts[0].season.sow_last += 30;
}
/* Normals that were not there when the plan was made. */
static void soil_cold(struct plan_text *p)
{
    struct normals cold = peoria_normals(20, 0);
    p->t.garden->site.daily = normals_daily(&cold, p->t.arena);
    for (size_t s = 0; s < p->t.garden->seed.n; s++) {
        struct crop *crop = ARENA_NEW(p->t.arena, struct crop);
        *crop = *garden_seed(p->t.garden, s)->crop;
        crop->degree_days.set = false; /* that it would not ripen is not the matter */
        garden_seed(p->t.garden, s)->crop = crop;
    }
    for (int b = 0; b < p->plan->nblocks; b++)
        for (int k = 0; k < own(p, b)->nparts; k++)
            own(p, b)->parts[k].crop = own(p, b)->parts[k].seed->crop;
}
static void ripe_by_days(struct plan_text *p)
{
    struct normals n = peoria_normals(0, 0);
    struct daily *d = ARENA_NEW(p->t.arena, struct daily);
    *d = *normals_daily(&n, p->t.arena);
    for (int i = 0; i < NORMALS_DAYS; i++)
        d->soil_c[i] = 30; /* nothing is wrong with the soil */
    p->t.garden->site.daily = d;
}
static void line_dropped(struct plan_text *p)
{
    p->plan->nstations -= p->plan->lines[p->plan->nlines - 1].n;
    p->plan->nlines--;
}
static void last_station_dropped(struct plan_text *p)
{
    p->plan->lines[p->plan->nlines - 1].n--;
    p->plan->nstations--;
}
static void lines_swapped(struct plan_text *p)
{
    struct line swap = p->plan->lines[0];
    p->plan->lines[0] = p->plan->lines[2];
    p->plan->lines[2] = swap;
}
static void station_moved(struct plan_text *p)
{
    station_of(p, 1)->x_m += 0.02;
}
static void station_moved_across(struct plan_text *p)
{
    station_of(p, 2)->y_m -= 0.01;
}
static void plants_added(struct plan_text *p)
{
    station_of(p, 0)->plants[0]++;
}
static void squash_in_each_hill(struct plan_text *p)
{
    station_of(p, 0)->plants[2] = 1;
}
static void hill_over_border(struct plan_text *p)
{
    own(p, 0)->hill_diameter_m = 1.5;
}
static void station_outside(struct plan_text *p)
{
    station_of(p, 1)->x_m = -0.5;
}
static void station_on_another(struct plan_text *p)
{
    struct station *s = station_of(p, 3);
    s->x_m = station_of(p, 2)->x_m + 0.1;
    s->y_m = station_of(p, 2)->y_m;
}
static void hills_closer(struct plan_text *p)
{
    station_of(p, 0)->x_m += 0.001;
}
static void numbers_swapped(struct plan_text *p)
{
    strcpy(p->plan->stations[0].id, "2");
    strcpy(p->plan->stations[1].id, "1");
}
static void sown_thinly(struct plan_text *p)
{
    own(p, 0)->parts[1].sown = 4;
}
static void crop_hidden(struct plan_text *p)
{
    p->plan->ncrops--;
}
static void plants_told(struct plan_text *p)
{
    p->plan->crops[3].plants--;
}
static void sown_told(struct plan_text *p)
{
    p->plan->crops[0].sown -= 1;
}
static void crop_ground_told(struct plan_text *p)
{
    p->plan->crops[3].area_m2 *= 1.001;
}
static void varieties_swapped(struct plan_text *p)
{
    struct crop_result swap = p->plan->crops[0];
    p->plan->crops[0] = p->plan->crops[1];
    p->plan->crops[1] = swap;
}
static void seed_short(struct plan_text *p)
{
    garden_seed(p->t.garden, 2)->amount.v = 10;
}
static void kg_told(struct plan_text *p)
{
    p->plan->crops[1].kg.typ *= 1.0001;
}
static void energy_told(struct plan_text *p)
{
    p->plan->energy_kcal.typ *= 1.0001;
}
static void limiting_told(struct plan_text *p)
{
    p->plan->limiting = AMINO_HIS;
}
static void days_told(struct plan_text *p)
{
    p->plan->person_days.typ += 0.01;
}
static void hours_told(struct plan_text *p)
{
    p->plan->hours.typ -= 1;
}
static void hours_short(struct plan_text *p)
{
    p->t.garden->limits.hours.v = 10;
}
static void value_told(struct plan_text *p)
{
    p->plan->value *= 1.001;
}
static void bound_low(struct plan_text *p)
{
    p->plan->bound = 0.9 * p->plan->value;
}
static void gap_told(struct plan_text *p)
{
    p->plan->gap = 0.001;
}
static void range_turned(struct plan_text *p)
{
    p->plan->crops[2].kg.low = 2 * p->plan->crops[2].kg.typ;
}
static void range_infinite(struct plan_text *p)
{
    p->plan->protein_g.high = (double)INFINITY;
}
static void wish_kg(struct plan_text *p)
{
    garden_wish(p->t.garden, 0)->at_least.v = 500;
}
static void wish_plants(struct plan_text *p)
{
    garden_wish(p->t.garden, 1)->at_most.v = 2;
}
static void wish_ground(struct plan_text *p)
{
    garden_wish(p->t.garden, 2)->at_least.v = 30;
}
/* The garden says that potatoes count for twice their food; the plan was made without. */
static void weight_unheeded(struct plan_text *p)
{
    garden_wish(p->t.garden, 0)->weight = (struct qty){.v = 2, .set = true};
}
/* A plan by weighed foods says of its food alone that no plan gives half as much. */
static void food_bound_low(struct plan_text *p)
{
    weight_unheeded(p);
    plan_text_finish(p);
    p->plan->food_bound *= 0.5;
}
static void wish_share(struct plan_text *p)
{
    garden_wish(p->t.garden, 2)->at_most.v = 0.05;
}
static void share_energy(struct plan_text *p)
{
    p->t.garden->limits.share_energy.v = 0.2;
}
static void share_area(struct plan_text *p)
{
    p->t.garden->limits.share_area.v = 0.2;
}

static void standing_missing(struct plan_text *p)
{
    static struct standing block = {.crop_name = {.s = "garlic"},
                                    .corner = {.x = 1, .y = 1},
                                    .size = {.x = 1, .y = 1},
                                    .rows = {.v = -1}};
    garden_plot(p->t.garden, 0)->standing = (struct list){.items = &block, .n = 1, .set = true};
}

static const struct damage {
    const char *check;
    void (*fn)(struct plan_text *p);
} damages[] = {
    {"verify-structure", bad_index},
    {"verify-structure", bad_line},
    {"verify-structure", bad_number},
    {"verify-structure", bad_pitch},
    {"verify-zone", zone_over_border},
    {"verify-zone", zone_sides},
    {"verify-zone", ground_told},
    {"verify-structure", ground_of_no_plot},
    {"verify-direction", rows_across},
    {"verify-block", block_moved_out},
    {"verify-block", blocks_overlap},
    {"verify-block", block_depth},
    {"verify-block", block_too_long},
    {"verify-block", too_many_blocks},
    {"verify-light", more_light},
    {"verify-light", zone_light},
    {"verify-shade", shade_denied},
    {"verify-neighbour", neighbour_shaded},
    {"verify-planting", closer_rows},
    {"verify-planting", other_guild_crop},
    {"verify-planting", more_in_a_hill},
    {"verify-planting", hill_low},
    {"verify-planting", taller_canopy},
    {"verify-planting", denser_canopy},
    {"verify-planting", ring_in_a_row},
    {"verify-planting", guild_not_asked_for},
    {"verify-isolation", squash_crosses},
    {"verify-rotation", family_again},
    {"verify-rules", opens_late},
    {"verify-rules", clear_early},
    {"verify-rules", family_banned},
    {"verify-rules", second_unasked},
    {"verify-access", picked_green},
    {"verify-season", later_window},
    {"verify-season", short_season},
    {"verify-season", other_dates},
    {"verify-warmth", soil_cold},
    {"verify-warmth", ripe_by_days},
    {"verify-line", line_dropped},
    {"verify-line", last_station_dropped},
    {"verify-line", lines_swapped},
    {"verify-station", station_moved},
    {"verify-station", station_moved_across},
    {"verify-plants", plants_added},
    {"verify-plants", squash_in_each_hill},
    {"verify-ground", hill_over_border},
    {"verify-ground", station_outside},
    {"verify-heights", grown_too_tall},
    {"verify-spacing", station_on_another},
    {"verify-spacing", hills_closer},
    {"verify-number", numbers_swapped},
    {"verify-sowing", sown_thinly},
    {"verify-crop", crop_hidden},
    {"verify-crop", plants_told},
    {"verify-crop", sown_told},
    {"verify-crop", crop_ground_told},
    {"verify-crop", varieties_swapped},
    {"verify-standing", standing_missing},
    {"verify-seed", seed_short},
    {"verify-food", kg_told},
    {"verify-food", energy_told},
    {"verify-food", limiting_told},
    {"verify-food", days_told},
    {"verify-kept", nothing_kept},
    {"verify-kept", eaten_told},
    {"verify-hours", hours_told},
    {"verify-hours", hours_short},
    {"verify-hours", week_short},
    {"verify-hours", compost_short},
    {"verify-value", weight_unheeded},
    {"verify-value", family_unheeded},
    {"verify-value", food_bound_low},
    {"verify-mulch", mulch_short},
    {"verify-mulch", chips_banned},
    {"verify-value", value_told},
    {"verify-value", bound_low},
    {"verify-value", gap_told},
    {"verify-range", range_turned},
    {"verify-range", range_infinite},
    {"verify-wish", wish_kg},
    {"verify-wish", wish_plants},
    {"verify-wish", wish_ground},
    {"verify-wish", wish_share},
    {"verify-share", share_energy},
    {"verify-share", share_area},
};

#define DAMAGES (sizeof damages / sizeof *damages)

Test(verify, each_damage_is_named, .timeout = 240)
{
    for (size_t i = 0; i < DAMAGES; i++) {
        struct plan_text p = plan_text_good(TERMS);
        damages[i].fn(&p);
        hr_status status = verified(&p);
        cr_assert(status == HR_INPUT, "damage %zu, for %s, passed", i, damages[i].check);
        cr_assert(diag_find(p.t.diags, 0, 0, damages[i].check) != NULL, "damage %zu: no %s in\n%s",
                  i, damages[i].check, diags_words(p.t.diags));
        plan_text_free(&p);
    }
}

/* What is wrong in one number is one check's business: the others stay silent. */
Test(verify, damage_is_not_spread, .timeout = 240)
{
    static void (*const alone[])(struct plan_text * p) = {
        zone_light,   other_dates,    numbers_swapped,  crop_hidden,         plants_told,
        sown_told,    ground_told,    crop_ground_told, seed_short,          kg_told,
        energy_told,  limiting_told,  days_told,        hours_told,          hours_short,
        nothing_kept, eaten_told,     value_told,       bound_low,           gap_told,
        range_turned, range_infinite, wish_kg,          wish_plants,         wish_ground,
        wish_share,   share_energy,   share_area,       guild_not_asked_for, neighbour_shaded,
    };
    size_t tried = 0;
    for (size_t a = 0; a < sizeof alone / sizeof *alone; a++)
        for (size_t i = 0; i < DAMAGES; i++) {
            if (damages[i].fn != alone[a])
                continue;
            struct plan_text p = plan_text_good(TERMS);
            const struct diag *d;
            damages[i].fn(&p);
            cr_assert(verified(&p) == HR_INPUT);
            for (size_t k = 0; (d = diags_at(p.t.diags, k)) != NULL; k++)
                cr_assert(d->severity != DIAG_ERROR || strcmp(d->check, damages[i].check) == 0,
                          "damage %zu for %s: %s", i, damages[i].check, diags_words(p.t.diags));
            plan_text_free(&p);
            tried++;
        }
    cr_assert(tried == sizeof alone / sizeof *alone);
}

Test(verify, every_check_has_a_damage)
{
    const char *name, *doc = NULL;
    size_t n = 0;
    for (; (name = verify_check_name(n, &doc)) != NULL; n++) {
        size_t found = 0;
        for (size_t i = 0; i < DAMAGES; i++)
            found += strcmp(damages[i].check, name) == 0;
        cr_assert(found > 0, "%s is never made to fire", name);
        cr_assert(doc && doc[0], "%s has no words", name);
    }
    cr_assert(n > 20, "%zu checks", n);
}

/* A gardener's term is told of where it stands in the garden file. */
Test(verify, terms_are_told_by_their_place)
{
    struct plan_text p = plan_text_good(TERMS);
    wish_kg(&p);
    cr_assert(verified(&p) == HR_INPUT);
    const struct diag *d = diag_find(p.t.diags, 0, 0, "verify-wish");
    cr_assert(d && d->line > 0 && strstr(d->source_line, "potato"), "%s", diags_words(p.t.diags));
    plan_text_free(&p);
}

Test(verify, many_breaches_are_cut_short)
{
    struct plan_text p = plan_text_good("");
    for (int s = 0; s < p.plan->nstations; s++)
        p.plan->stations[s].x_m = p.plan->stations[s].y_m = 1;
    cr_assert(verified(&p) == HR_INPUT);
    cr_assert(diags_errors(p.t.diags) <= 20, "%zu", diags_errors(p.t.diags));
    cr_assert(strstr(diags_words(p.t.diags), "and more of this kind") != NULL);
    plan_text_free(&p);
}

Test(verify, out_of_memory_is_said)
{
    struct plan_text p = plan_text_good("");
    for (size_t cap = 1; cap < 1u << 22; cap *= 2) {
        struct arena *tight = arena_new(cap);
        hr_status status = verify_plan(p.plan, tight, p.t.diags);
        arena_free(tight);
        if (status == HR_OK)
            break;
        cr_assert(status == HR_NOMEM, "cap %zu gave %d: %s", cap, status, diags_words(p.t.diags));
    }
    plan_text_free(&p);
}

/* A field of 20,000 spots, and as many in one place: neither takes long. */
Test(verify, large_plans_are_quick, .timeout = 120)
{
    struct plan_text p =
        plan_text_new(PLAN_TEXT_HEAD "plots:\n  - {name: Field, size: 80 m x 90 m, rows: along-x}\n"
                                     "seed:\n  - {variety: Cellar Gold, crop: potato}\n");
    const struct planting *q = plan_text_planting(&p, SYSTEM_ROWS, "potato");
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato",
                    (int)(p.plan->zones.items[0].depth_m / q->line_m));
    plan_text_finish(&p);
    cr_assert(p.plan->nstations > 20000, "%d", p.plan->nstations);
    for (int round = 0; round < 2; round++) {
        struct timespec a, b;
        clock_gettime(CLOCK_MONOTONIC, &a);
        hr_status status = verified(&p);
        clock_gettime(CLOCK_MONOTONIC, &b);
        double seconds = (double)(b.tv_sec - a.tv_sec) + 1e-9 * (double)(b.tv_nsec - a.tv_nsec);
        cr_assert(status == (round ? HR_INPUT : HR_OK), "%s", diags_words(p.t.diags));
        cr_assert(seconds < 10, "round %d took %g s", round, seconds);
        for (int s = 0; s < p.plan->nstations; s++)
            p.plan->stations[s].x_m = p.plan->stations[s].y_m = 2;
    }
    plan_text_free(&p);
}
