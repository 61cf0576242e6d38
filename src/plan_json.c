/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan_json.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"
#include "plan_keys.h"
#include "weight.h"

/* Reals are written with so many digits at most; all are rounded before, so that the text is tidy
 * and reads back as the same bytes. */
#define REAL_DIGITS 15
#define SIGNIFICANT 12
#define WIDTH       160 /* columns: what fits stands on one line */

/* ---- writing ----------------------------------------------------------------------------------
 */

struct writing {
    struct arena *arena;
    const struct plan *plan;
    bool failed; /* out of memory */
};

/* Takes over value. */
static void put(struct writing *w, json_t *object, const char *key, json_t *value)
{
    if (json_object_set_new(object, key, value) != 0)
        w->failed = true;
}

static void append(struct writing *w, json_t *array, json_t *value)
{
    if (json_array_append_new(array, value) != 0)
        w->failed = true;
}

/* A number that is none does not pass for one: null is refused when read. */
static json_t *real(double v, int digits)
{
    if (!isfinite(v))
        return json_null();
    double scale = pow(10, digits);
    double rounded = digits > 0 ? round(v * scale) / scale : num_round_sig(v, SIGNIFICANT);
    return json_real(rounded + 0.0); /* no -0 */
}

static int int_at(const void *at)
{
    int v; /* an enum is as wide */
    memcpy(&v, at, sizeof v);
    return v;
}

static json_t *value_json(const struct key *key, const void *at)
{
    const struct span *span = at;
    int n =
        key->type == KEY_NAME || key->type == KEY_INT || key->type == KEY_NUMBER ? int_at(at) : 0;
    switch (key->type) {
    case KEY_REAL:
        return real(*(const double *)at, key->digits);
    case KEY_INT:
        return json_integer(n);
    case KEY_NUMBER:
        return json_integer(n + 1);
    case KEY_FLAG:
        return json_boolean(*(const bool *)at);
    case KEY_TEXT:
        return json_string(*(const char *const *)at);
    case KEY_CHARS:
        return json_string(at);
    case KEY_NAME:
        return json_string(n == key->n ? key->past : key->names[n]);
    case KEY_SPAN:
        return json_pack("{s:o, s:o, s:o}", "low", real(span->low, 0), "typical",
                         real(span->typ, 0), "high", real(span->high, 0));
    }
    return NULL;
}

static void put_keys(struct writing *w, json_t *object, const struct keys *keys, const void *from)
{
    for (size_t i = 0; i < keys->n; i++) {
        const struct key *key = &keys->key[i];
        put(w, object, key->name, value_json(key, (const char *)from + key->offset));
    }
}

static json_t *crops_json(struct writing *w)
{
    json_t *all = json_array();
    for (int c = 0; c < w->plan->ncrops; c++) {
        const struct crop_result *r = &w->plan->crops[c];
        json_t *crop = json_object();
        put(w, crop, "variety", json_string(r->seed->variety.s));
        put(w, crop, "crop", json_string(r->seed->crop->name.s));
        put_keys(w, crop, &result_keys, r);
        if (seed_saved(r->seed))
            put_keys(w, crop, &kept_keys, r);
        append(w, all, crop);
    }
    return all;
}

/* What foods count for, where that is not what they give. */
static json_t *weighed_json(struct writing *w)
{
    const struct garden *g = w->plan->garden;
    json_t *out = json_object(), *weights = json_array();
    put_keys(w, out, &weighed_keys, w->plan);
    for (size_t i = 0; i < g->wishes.n; i++) {
        const struct wish *wish = garden_wish(g, i);
        if (!wish->weight.set)
            continue;
        json_t *item = json_object();
        put(w, item, "what", json_string(wish_name(wish)));
        if (wish->plot.s)
            put(w, item, "plot", json_string(wish->plot.s));
        put(w, item, "weight", real(wish->weight.v, 0));
        append(w, weights, item);
    }
    put(w, out, "weights", weights);
    if (g->rotation.rule.v == ROTATION_AVOID && g->nformer > 0)
        put(w, out, "former_ground", real(1 - g->rotation.cost.v, 0));
    return out;
}

static json_t *left_out_json(struct writing *w)
{
    json_t *all = json_array();
    for (int i = 0; i < w->plan->menu.nleft_out; i++) {
        json_t *item = json_object();
        put_keys(w, item, &left_out_keys, &w->plan->menu.left_out[i]);
        append(w, all, item);
    }
    return all;
}

static json_t *former_json(struct writing *w)
{
    json_t *all = json_array();
    for (size_t i = 0; i < w->plan->garden->nformer; i++) {
        json_t *item = json_object();
        put_keys(w, item, &former_keys, &w->plan->garden->former[i]);
        append(w, all, item);
    }
    return all;
}

static json_t *part_json(struct writing *w, const struct block *block, int k)
{
    const struct part *part = &block->planting->parts[k];
    json_t *out = json_object(), *season = json_object();
    put(w, out, "variety", json_string(part->seed->variety.s));
    put(w, out, "crop", json_string(part->crop->name.s));
    put_keys(w, out, &part_keys, part);
    put(w, out, "light", real(block->light[k], 0));
    put_keys(w, season, &season_keys, &part->season);
    put(w, out, "season", season);
    return out;
}

static json_t *block_json(struct writing *w, int b)
{
    const struct block *block = &w->plan->blocks[b];
    const struct planting *p = block->planting;
    json_t *out = json_object(), *parts = json_array();
    put(w, out, "block", json_integer(b + 1));
    put(w, out, "zone", json_string(w->plan->zones.items[block->zone].name));
    put_keys(w, out, &block_keys, block);
    put(w, out, "guild", p->guild ? json_string(p->guild->name.s) : json_null());
    put_keys(w, out, &planting_keys, p);
    for (int k = 0; k < p->nparts; k++)
        append(w, parts, part_json(w, block, k));
    put(w, out, "parts", parts);
    return out;
}

static json_t *plot_json(struct writing *w, int i)
{
    const struct plan *plan = w->plan;
    json_t *out = json_object(), *grounds = json_array(), *zones = json_array(),
           *blocks = json_array();
    put(w, out, "name", json_string(garden_plot(plan->garden, (size_t)i)->name.s));
    for (size_t g = 0; g < plan->zones.ngrounds; g++) {
        if (plan->zones.grounds[g].plot != i)
            continue;
        json_t *ground = json_object();
        put_keys(w, ground, &ground_keys, &plan->zones.grounds[g]);
        append(w, grounds, ground);
    }
    for (size_t z = 0; z < plan->zones.n; z++) {
        if (plan->zones.items[z].plot != i)
            continue;
        json_t *zone = json_object();
        put_keys(w, zone, &zone_keys, &plan->zones.items[z]);
        put_keys(w, zone, &rect_keys, &plan->zones.items[z].r);
        append(w, zones, zone);
    }
    for (int b = 0; b < plan->nblocks; b++)
        if (plan->zones.items[plan->blocks[b].zone].plot == i)
            append(w, blocks, block_json(w, b));
    put(w, out, "grounds", grounds);
    put(w, out, "zones", zones);
    put(w, out, "blocks", blocks);
    return out;
}

static json_t *stations_json(struct writing *w)
{
    json_t *all = json_array();
    for (int s = 0; s < w->plan->nstations; s++) {
        const struct station *station = &w->plan->stations[s];
        const struct planting *p = w->plan->blocks[station->block].planting;
        json_t *out = json_object(), *crops = json_object();
        put_keys(w, out, &station_keys, station);
        for (int k = 0; k < p->nparts; k++) {
            const char *name = plan_part_name(w->arena, p, k);
            if (name && station->plants[k] != 0)
                put(w, crops, name, json_integer(station->plants[k]));
            w->failed |= !name;
        }
        put(w, out, "crops", crops);
        append(w, all, out);
    }
    return all;
}

/* The garden as it was read. Its path may be any bytes; its text is UTF-8, or it would not have
 * been read. */
static json_t *garden_file_json(struct writing *w)
{
    const struct source *src = w->plan->garden->source;
    struct strbuf path;
    strbuf_init(&path, w->arena);
    strbuf_add_escaped(&path, src->name, strlen(src->name));
    json_t *out = json_object();
    w->failed |= path.failed;
    put(w, out, "path", json_string(path.p));
    put(w, out, "text", json_stringn(src->p, src->n));
    return out;
}

static json_t *plan_json(struct writing *w)
{
    const struct plan *plan = w->plan;
    json_t *root = json_object(), *plots = json_array();
    put(w, root, "hillrow", json_integer(HILLROW_PLAN_FORMAT));
    put(w, root, "plan_id", json_string(plan->id));
    put(w, root, "garden", json_string(plan->garden->name.s));
    put(w, root, "goal", json_string(goal_names[plan->garden->goal.v]));
    put(w, root, "unit", json_string(plan_unit(plan->garden)));
    put_keys(w, root, &plan_keys, plan);
    if (weight_any(plan->garden))
        put(w, root, "weighed", weighed_json(w));
    if (garden_saves_seed(plan->garden))
        put_keys(w, root, &eaten_keys, plan);
    put(w, root, "crops", crops_json(w));
    put(w, root, "left_out", left_out_json(w));
    if (plan->garden->nformer > 0)
        put(w, root, "former", former_json(w));
    for (int i = 0; i < (int)plan->garden->plots.n; i++)
        append(w, plots, plot_json(w, i));
    put(w, root, "plots", plots);
    put(w, root, "stations", stations_json(w));
    put(w, root, "garden_file", garden_file_json(w));
    return root;
}

static void print_value(struct writing *w, struct strbuf *out, json_t *v, size_t indent);

static void print_break(struct strbuf *out, size_t indent)
{
    strbuf_printf(out, "\n%*s", (int)indent, "");
}

static void print_members(struct writing *w, struct strbuf *out, json_t *v, size_t indent)
{
    bool array = json_is_array(v);
    size_t n = array ? json_array_size(v) : json_object_size(v);
    void *it = array ? NULL : json_object_iter(v);
    strbuf_puts(out, array ? "[" : "{");
    for (size_t i = 0; i < n; i++) {
        print_break(out, indent + 1);
        if (array) {
            print_value(w, out, json_array_get(v, i), indent + 1);
        } else {
            json_t *key = json_string(json_object_iter_key(it));
            print_value(w, out, key, 0);
            json_decref(key);
            strbuf_puts(out, ": ");
            print_value(w, out, json_object_iter_value(it), indent + 1);
            it = json_object_iter_next(v, it);
        }
        strbuf_puts(out, i + 1 < n ? "," : "");
    }
    print_break(out, indent);
    strbuf_puts(out, array ? "]" : "}");
}

/* On one line if it fits, else one member a line: a file that people can read and compare. */
static void print_value(struct writing *w, struct strbuf *out, json_t *v, size_t indent)
{
    char *text = json_dumps(v, JSON_ENCODE_ANY | JSON_REAL_PRECISION(REAL_DIGITS));
    if (!text) {
        w->failed = true;
        return;
    }
    size_t n = strlen(text);
    bool members = json_is_array(v) || json_is_object(v);
    if (!members || n <= 2 || indent + n <= WIDTH)
        strbuf_add(out, text, n);
    free(text);
    if (members && n > 2 && indent + n > WIDTH)
        print_members(w, out, v, indent);
}

hr_status plan_json_write(const struct plan *plan, struct arena *arena, const char **out)
{
    struct writing w = {.arena = arena, .plan = plan};
    struct strbuf text;
    strbuf_init(&text, arena);
    json_t *root = plan_json(&w);
    if (root && !w.failed)
        print_value(&w, &text, root, 0);
    json_decref(root);
    strbuf_puts(&text, "\n");
    if (!root || w.failed || text.failed)
        return HR_NOMEM;
    *out = text.p;
    return HR_OK;
}
