/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "compare_json.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>

#include "compare_words.h"
#include "num.h"

#define SIGNIFICANT 12

struct telling {
    const struct compare *c;
    bool failed; /* out of memory */
};

static void put(struct telling *t, json_t *object, const char *key, json_t *value)
{
    if (json_object_set_new(object, key, value) != 0)
        t->failed = true;
}

static void append(struct telling *t, json_t *array, json_t *value)
{
    if (json_array_append_new(array, value) != 0)
        t->failed = true;
}

static json_t *number(double v)
{
    return isfinite(v) ? json_real(num_round_sig(v, SIGNIFICANT)) : json_null();
}

static json_t *span_json(struct telling *t, const struct span *s)
{
    json_t *o = json_object();
    put(t, o, "low", number(s->low));
    put(t, o, "typical", number(s->typ));
    put(t, o, "high", number(s->high));
    return o;
}

static json_t *ratios_json(struct telling *t, const struct ratios *r)
{
    json_t *o = json_object();
    put(t, o, "ground_m2", number(r->ground_m2));
    put(t, o, "ler", number(r->ler));
    put(t, o, "ater", number(r->ater));
    put(t, o, "days", number(r->days));
    return o;
}

static json_t *crops_json(struct telling *t, const struct compare_layout *l)
{
    json_t *crops = json_array();
    for (int c = 0; c < l->plan->ncrops; c++) {
        const struct crop_result *r = &l->plan->crops[c];
        json_t *o = json_object();
        put(t, o, "crop", json_string(r->seed->crop->name.s));
        put(t, o, "variety", json_string(r->seed->variety.s));
        put(t, o, "plants", json_integer(r->plants));
        put(t, o, "sown", number(r->sown));
        put(t, o, "area_m2", number(r->area_m2));
        put(t, o, "kg", span_json(t, &r->kg));
        put(t, o, "energy_kcal", span_json(t, &r->energy_kcal));
        put(t, o, "protein_g", span_json(t, &r->protein_g));
        put(t, o, "relative_yield", number(l->y.relative[c]));
        append(t, crops, o);
    }
    return crops;
}

static void measures_json(struct telling *t, json_t *o, const struct yardstick *y)
{
    put(t, o, "whole", ratios_json(t, &y->whole));
    put(t, o, "guild", y->guild.ground_m2 > 0 ? ratios_json(t, &y->guild) : json_null());
    put(t, o, "plants", json_integer(y->plants));
    put(t, o, "plants_m2", number(y->plants_m2));
    put(t, o, "hills", json_integer(y->hills));
    put(t, o, "sown", number(y->seed));
    put(t, o, "planting_h", number(y->planting_h));
    put(t, o, "weeding_h", number(y->weeding_h));
    put(t, o, "picking_h", number(y->picking_h));
    put(t, o, "weedings", number(y->weedings));
    put(t, o, "compost_m3", number(y->compost_m3));
    put(t, o, "mulch_m3", number(y->mulch_m3));
    put(t, o, "nitrogen_taken_kg", number(y->nitrogen.taken));
    put(t, o, "nitrogen_fixed_kg", number(y->nitrogen.fixed));
    put(t, o, "largest_crop", y->largest ? json_string(y->largest->name.s) : json_null());
    put(t, o, "largest_share", number(y->largest_share));
    put(t, o, "first_harvest_day", json_integer(y->first_harvest));
    put(t, o, "last_harvest_day", json_integer(y->last_harvest));
    put(t, o, "planted_m2", number(y->planted_m2));
    put(t, o, "covered_share", number(y->covered));
}

static void blocks_json(struct telling *t, json_t *o, const struct plan *plan)
{
    json_t *blocks = json_array();
    for (int b = 0; b < plan->nblocks; b++) {
        const struct block *block = &plan->blocks[b];
        const struct planting *p = block->planting;
        json_t *j = json_object();
        put(t, j, "planting", json_string(p->label));
        put(t, j, "system", json_string(system_names[p->system]));
        put(t, j, "zone", json_string(plan->zones.items[block->zone].name));
        put(t, j, "lines", json_integer(block->lines));
        put(t, j, "along_m", number(p->pitch_m));
        put(t, j, "across_m", number(p->line_m));
        append(t, blocks, j);
    }
    put(t, o, "blocks", blocks);
}

static json_t *layout_json(struct telling *t, const struct compare_layout *l, bool proved)
{
    json_t *o = json_object();
    put(t, o, "name", json_string(l->name));
    if (!l->plan) {
        put(t, o, "why_not", json_string(l->why));
        return o;
    }
    const struct plan *plan = l->plan;
    put(t, o, "person_days", span_json(t, &plan->person_days));
    put(t, o, "energy_kcal", span_json(t, &plan->energy_kcal));
    put(t, o, "protein_g", span_json(t, &plan->protein_g));
    put(t, o, "usable_protein_g", span_json(t, &plan->usable_protein_g));
    put(t, o, "hours", span_json(t, &plan->hours));
    if (proved) {
        put(t, o, "value", number(plan->value));
        put(t, o, "bound", number(plan->bound));
        put(t, o, "gap", number(plan->gap));
        put(t, o, "proved", json_boolean(plan->status == PLAN_OPTIMAL));
    }
    put(t, o, "crops", crops_json(t, l));
    measures_json(t, o, &l->y);
    blocks_json(t, o, plan);
    return o;
}

static const char *name_of_rank(const struct compare_group *g, int rank)
{
    for (int i = 0; i < g->n; i++)
        if (g->layouts[i].rank == rank)
            return g->layouts[i].name;
    return "";
}

static json_t *pair_json(struct telling *t, const struct compare_group *g,
                         const struct chance_pair *pair)
{
    json_t *o = json_object(), *swings = json_array();
    put(t, o, "a", json_string(name_of_rank(g, pair->a)));
    put(t, o, "b", json_string(name_of_rank(g, pair->b)));
    put(t, o, "a_wins", number(pair->wins));
    put(t, o, "same", json_boolean(pair->same));
    put(t, o, "lead_of_a", span_json(t, &pair->lead));
    for (int s = 0; s < pair->nswings; s++) {
        json_t *j = json_object();
        put(t, j, "figure", json_string(pair->swings[s].figure));
        put(t, j, "lead_when_low", number(pair->swings[s].low));
        put(t, j, "lead_when_high", number(pair->swings[s].high));
        put(t, j, "flips", json_boolean(pair->swings[s].flips));
        append(t, swings, j);
    }
    put(t, o, "swings", swings);
    return o;
}

static json_t *group_json(struct telling *t, const struct compare_group *g, bool proved)
{
    json_t *o = json_object(), *layouts = json_array(), *pairs = json_array();
    for (int i = 0; i < g->n; i++)
        append(t, layouts, layout_json(t, &g->layouts[i], proved));
    for (int i = 0; i < g->npairs; i++)
        append(t, pairs, pair_json(t, g, &g->pairs[i]));
    put(t, o, "layouts", layouts);
    put(t, o, "pairs", pairs);
    return o;
}

static json_t *points_json(struct telling *t)
{
    json_t *points = json_array();
    for (int i = 0; i < t->c->npoints; i++) {
        json_t *o = json_object();
        put(t, o, "energy_kcal", number(t->c->points[i].energy_kcal));
        put(t, o, "usable_protein_g", number(t->c->points[i].usable_g));
        append(t, points, o);
    }
    return points;
}

static json_t *rays_json(struct telling *t)
{
    json_t *rays = json_array();
    for (int i = 0; i < t->c->nrays; i++) {
        json_t *o = json_object();
        put(t, o, "energy_kcal", number(t->c->rays[i].energy_kcal));
        put(t, o, "usable_protein_g", number(t->c->rays[i].usable_g));
        put(t, o, "gap", number(t->c->rays[i].gap));
        append(t, rays, o);
    }
    return rays;
}

static hr_status verdict_json(struct telling *t, json_t *root, struct arena *arena)
{
    struct verdict v;
    hr_status status = compare_verdict(t->c, arena, &v);
    if (status != HR_OK)
        return status;
    json_t *o = json_object();
    put(t, o, "headline", json_string(v.headline));
    put(t, o, "best", json_string(v.best));
    put(t, o, "same", json_string(v.same));
    put(t, o, "turns", json_string(v.turns));
    put(t, o, "proof", json_string(v.proof));
    put(t, root, "verdict", o);
    return HR_OK;
}

hr_status compare_json(const struct compare *c, struct arena *arena, const char **out)
{
    struct telling t = {.c = c};
    json_t *root = json_object();
    put(&t, root, "hillrow_compare", json_integer(1));
    put(&t, root, "garden", json_string(c->garden->name.s));
    put(&t, root, "year", json_integer((json_int_t)c->garden->year.v));
    put(&t, root, "goal", json_string(goal_names[c->garden->goal.v]));
    put(&t, root, "guild", c->guild ? json_string(c->guild->name.s) : json_null());
    put(&t, root, "proved", json_boolean(c->proved));
    put(&t, root, "best", group_json(&t, &c->best, true));
    put(&t, root, "same_plants", group_json(&t, &c->same, false));
    put(&t, root, "same_plants_ground_m2", number(c->same_ground_m2));
    put(&t, root, "frontier", rays_json(&t));
    put(&t, root, "frontier_plans", points_json(&t));
    hr_status status = verdict_json(&t, root, arena);
    char *text = t.failed ? NULL : json_dumps(root, JSON_INDENT(2));
    json_decref(root);
    if (status != HR_OK)
        return status;
    *out = text ? arena_printf(arena, "%s\n", text) : NULL;
    free(text);
    return *out ? HR_OK : HR_NOMEM;
}
