/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "trial_json.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"

#define REAL_DIGITS 15
#define SIGNIFICANT 12
#define TEXT_MAX    256
#define BYTES_MAX   ((size_t)2 << 20) /* of a file; sixty blocks take a tenth of it */

/* ---- out ------------------------------------------------------------------------------------ */

static json_t *real(double v)
{
    return isfinite(v) ? json_real(num_round_sig(v, SIGNIFICANT) + 0.0) : json_null();
}

static json_t *span_json(const struct span *s)
{
    return json_pack("{s:o, s:o, s:o}", "low", real(s->low), "typical", real(s->typ), "high",
                     real(s->high));
}

static json_t *rect_json(struct rect r)
{
    return json_pack("{s:o, s:o, s:o, s:o}", "x0_m", real(r.x0), "y0_m", real(r.y0), "x1_m",
                     real(r.x1), "y1_m", real(r.y1));
}

static json_t *crops_json(const struct trial *t)
{
    json_t *all = json_array();
    for (int k = 0; k < t->ncrops; k++) {
        const struct trial_crop *c = &t->crops[k];
        json_array_append_new(all, json_pack("{s:s, s:s, s:o, s:o, s:o, s:o}", "crop", c->crop,
                                             "variety", c->variety, "rows_share", real(c->share),
                                             "energy_kcal_kg", real(c->energy_kcal_kg), "hills_kg",
                                             span_json(&c->kg[TREATMENT_HILLS]), "rows_kg",
                                             span_json(&c->kg[TREATMENT_ROWS])));
    }
    return all;
}

static json_t *halves_json(const struct trial *t)
{
    json_t *all = json_array();
    for (int i = 0; i < 2 * t->blocks; i++) {
        const struct trial_half *h = &t->halves[i];
        json_array_append_new(all,
                              json_pack("{s:s, s:i, s:s, s:o, s:o}", "name", h->name, "block",
                                        h->block + 1, "treatment", treatment_names[h->treatment],
                                        "ground", rect_json(h->ground), "net", rect_json(h->net)));
    }
    return all;
}

static json_t *hills_json(const struct trial *t)
{
    json_t *all = json_array();
    for (int s = 0; s < t->plan->nstations; s++) {
        const struct station *st = &t->plan->stations[s];
        if (trial_half_of(t, st->block)->treatment == TREATMENT_HILLS)
            json_array_append_new(all, json_pack("{s:s, s:s, s:o, s:o, s:b}", "hill", st->id,
                                                 "half", trial_half_of(t, st->block)->name, "x_m",
                                                 real(st->x_m), "y_m", real(st->y_m), "weighed",
                                                 (int)trial_weighed(t, st)));
    }
    return all;
}

static json_t *trial_json(const struct trial *t)
{
    json_t *root = json_pack("{s:i, s:s, s:s, s:s, s:s, s:s, s:s}", "hillrow_trial", TRIAL_FORMAT,
                             "trial_id", t->id, "garden", t->title, "plot",
                             garden_plot(t->garden, (size_t)t->plot)->name.s, "guild",
                             t->guild->name.s, "against", t->row_guild ? "row guild" : "rows",
                             "units", t->units == UNITS_METRIC ? "metric" : "us");
    json_t *more =
        json_pack("{s:o, s:o, s:o, s:o, s:I, s:o, s:i, s:i, s:o, s:s, s:s}", "difference",
                  real(t->difference), "cv", real(t->cv), "power", real(t->power), "alpha",
                  real(t->alpha), "seed", (json_int_t)t->seed, "blocks_needed",
                  t->needed > 0 ? json_integer(t->needed) : json_null(), "blocks_room", t->most,
                  "blocks", t->blocks, "difference_told", real(t->told), "rows_along",
                  t->along_x ? "x" : "y", "guard", t->ring ? "all round" : "between the halves");
    json_t *rest = json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "half_length_m", real(t->half_length_m),
        "half_depth_m", real(t->half_depth_m), "net_length_m", real(t->net_length_m), "net_depth_m",
        real(t->net_depth_m), "hills_kcal", span_json(&t->energy_kcal[TREATMENT_HILLS]),
        "rows_kcal", span_json(&t->energy_kcal[TREATMENT_ROWS]), "crops", crops_json(t), "halves",
        halves_json(t), "hills", hills_json(t));
    bool whole = root && more && rest && json_object_update(root, more) == 0 &&
                 json_object_update(root, rest) == 0;
    json_decref(more);
    json_decref(rest);
    if (whole)
        return root;
    json_decref(root);
    return NULL;
}

hr_status trial_json_write(const struct trial *t, struct arena *arena, const char **out)
{
    json_t *root = trial_json(t);
    char *text = root ? json_dumps(root, JSON_INDENT(1) | JSON_REAL_PRECISION(REAL_DIGITS)) : NULL;
    const char *kept = text ? arena_printf(arena, "%s\n", text) : NULL;
    free(text);
    json_decref(root);
    if (!kept)
        return HR_NOMEM;
    *out = kept;
    return HR_OK;
}

/* ---- in ------------------------------------------------------------------------------------- */

struct reading {
    struct arena *arena;
    struct diags *diags;
    const char *path;
    bool wrong, nomem;
};

/* The first fault is enough: the file is the program's own. */
static void wrong(struct reading *r, const char *key, const char *why)
{
    if (!r->wrong)
        diag_file(r->diags, r->path, "trial-json", "this trial cannot be used: `%s` %s", key, why);
    r->wrong = true;
}

static double number(struct reading *r, const json_t *object, const char *key, double low,
                     double high)
{
    const json_t *v = json_object_get(object, key);
    double x = json_is_number(v) ? json_number_value(v) : (double)NAN;
    if (!(x >= low && x <= high)) {
        wrong(r, key, "is no number that makes sense");
        return low;
    }
    return x;
}

static const char *text(struct reading *r, const json_t *object, const char *key)
{
    const json_t *v = json_object_get(object, key);
    size_t n = json_is_string(v) ? json_string_length(v) : 0;
    if (n == 0 || n > TEXT_MAX || strlen(json_string_value(v)) != n) {
        wrong(r, key, "is no text of a fair length");
        return "";
    }
    const char *kept = arena_strdup(r->arena, json_string_value(v));
    r->nomem |= !kept;
    return kept ? kept : "";
}

static struct span span(struct reading *r, const json_t *object, const char *key)
{
    const json_t *v = json_object_get(object, key);
    struct span s = {number(r, v, "low", 0, 1e12), number(r, v, "typical", 0, 1e12),
                     number(r, v, "high", 0, 1e12)};
    if (s.low > s.typ || s.typ > s.high)
        wrong(r, key, "is out of order");
    return s;
}

static void crops_read(struct reading *r, const json_t *root, struct trial *t)
{
    const json_t *list = json_object_get(root, "crops");
    size_t n = json_array_size(list);
    if (n < 1 || n > STAND_PARTS_MAX) {
        wrong(r, "crops", "is no list of crops");
        return;
    }
    t->ncrops = (int)n;
    for (size_t k = 0; k < n; k++) {
        const json_t *from = json_array_get(list, k);
        struct trial_crop *c = &t->crops[k];
        c->crop = text(r, from, "crop");
        c->variety = text(r, from, "variety");
        c->share = number(r, from, "rows_share", 1e-6, 1);
        c->energy_kcal_kg = number(r, from, "energy_kcal_kg", 0, 1e5);
        c->kg[TREATMENT_HILLS] = span(r, from, "hills_kg");
        c->kg[TREATMENT_ROWS] = span(r, from, "rows_kg");
    }
}

static int treatment_of(struct reading *r, const json_t *from)
{
    const char *name = text(r, from, "treatment");
    for (int i = 0; i < TREATMENT_COUNT; i++)
        if (strcmp(name, treatment_names[i]) == 0)
            return i;
    wrong(r, "treatment", "is not hills or rows");
    return 0;
}

static void halves_read(struct reading *r, const json_t *root, struct trial *t)
{
    const json_t *list = json_object_get(root, "halves");
    bool seen[TRIAL_BLOCKS_MAX][TREATMENT_COUNT] = {{false}};
    t->blocks = (int)number(r, root, "blocks", 1, TRIAL_BLOCKS_MAX);
    t->halves = ARENA_ARRAY(r->arena, struct trial_half, 2 * (size_t)t->blocks);
    r->nomem |= !t->halves;
    if (r->nomem || json_array_size(list) != 2 * (size_t)t->blocks) {
        wrong(r, "halves", "is not two for each block");
        return;
    }
    for (int i = 0; i < 2 * t->blocks; i++) {
        const json_t *from = json_array_get(list, (size_t)i);
        struct trial_half *h = &t->halves[i];
        const char *name = text(r, from, "name");
        h->block = (int)number(r, from, "block", 1, t->blocks) - 1;
        h->treatment = treatment_of(r, from);
        if (strlen(name) >= sizeof h->name || seen[h->block][h->treatment])
            wrong(r, "halves", "names a half twice, or at too great a length");
        else
            memcpy(h->name, name, strlen(name) + 1);
        seen[h->block][h->treatment] = true;
    }
}

static void root_read(struct reading *r, const json_t *root, struct trial *t)
{
    if (number(r, root, "hillrow_trial", TRIAL_FORMAT, TRIAL_FORMAT) > TRIAL_FORMAT)
        return;
    const char *id = text(r, root, "trial_id"), *against = text(r, root, "against");
    if (strlen(id) < sizeof t->id)
        memcpy(t->id, id, strlen(id) + 1);
    t->title = text(r, root, "garden");
    t->row_guild = strcmp(against, "row guild") == 0;
    t->units = strcmp(text(r, root, "units"), "metric") == 0 ? UNITS_METRIC : UNITS_US;
    t->difference = number(r, root, "difference", 1e-6, 1e6);
    t->cv = number(r, root, "cv", 1e-6, 1e6);
    t->power = number(r, root, "power", 1e-6, 1);
    t->alpha = number(r, root, "alpha", 1e-6, 0.999);
    t->net_length_m = number(r, root, "net_length_m", 1e-3, 1e4);
    t->net_depth_m = number(r, root, "net_depth_m", 1e-3, 1e4);
    t->energy_kcal[TREATMENT_HILLS] = span(r, root, "hills_kcal");
    t->energy_kcal[TREATMENT_ROWS] = span(r, root, "rows_kcal");
    crops_read(r, root, t);
    halves_read(r, root, t);
}

hr_status trial_json_read(struct arena *arena, const char *path, struct diags *diags,
                          struct trial **out)
{
    struct reading r = {.arena = arena, .diags = diags, .path = path};
    struct trial *t = ARENA_NEW(arena, struct trial);
    const struct source *src;
    json_error_t error;
    if (!t)
        return HR_NOMEM;
    hr_status status = source_read(arena, path, diags, &src);
    if (status != HR_OK)
        return status;
    if (src->n > BYTES_MAX) {
        wrong(&r, "hillrow_trial", "cannot be looked for: the file is too large for a trial");
        return HR_INPUT;
    }
    json_t *root = json_loadb(src->p, src->n, JSON_REJECT_DUPLICATES, &error);
    if (!json_is_object(root)) {
        size_t at = !root && error.position > 0 ? (size_t)error.position - 1 : 0;
        diag_error(diags, (struct pos){src, at, at + 1}, "trial-json", "this is no trial.json: %s",
                   root ? "it is not an object" : error.text);
        json_decref(root);
        return HR_INPUT;
    }
    t->arena = arena;
    root_read(&r, root, t);
    json_decref(root);
    if (r.nomem)
        return HR_NOMEM;
    if (r.wrong)
        return HR_INPUT;
    *out = t;
    return HR_OK;
}
