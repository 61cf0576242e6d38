/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reports as JSON. Gardens, crops and guilds are told by the field tables they were read with. */
#include "report.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"

#define SIGNIFICANT 12

struct telling {
    bool failed; /* out of memory */
};

/* Inside values are told in these units. */
static const struct told {
    double factor;
    const char *unit;
} told_units[UNIT_KIND_COUNT] = {
    [UNIT_LENGTH] = {1, "m"},
    [UNIT_AREA] = {1, "m2"},
    [UNIT_MASS] = {1, "kg"},
    [UNIT_VOLUME] = {1, "m3"},
    [UNIT_SHARE] = {1, "share"},
    [UNIT_ANGLE] = {180 / M_PI, "deg"},
    [UNIT_TEMPERATURE] = {1, "C"},
    [UNIT_HOURS] = {1, "h"},
    [UNIT_DAYS] = {1, "days"},
    [UNIT_COUNT] = {1, "count"},
    [UNIT_PER_AREA] = {1, "/m2"},
    [UNIT_YIELD] = {1, "kg/m2"},
    [UNIT_SEEDS_PER_MASS] = {1, "/kg"},
    [UNIT_ENERGY] = {1, "kcal/kg"},
    [UNIT_CONTENT] = {1, "kg/kg"},
    [UNIT_HOURS_PER_AREA] = {1, "h/m2"},
    [UNIT_HOURS_PER_MASS] = {1, "h/kg"},
    [UNIT_MINUTES_EACH] = {1, "h each"},
    [UNIT_RATION_ENERGY] = {1, "kcal/day"},
    [UNIT_RATION_PROTEIN] = {1, "kg/day"},
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

static json_t *text_or_null(const char *s)
{
    return s ? json_string(s) : json_null();
}

/* ---- fields -------------------------------------------------------------------------------------
 */

static json_t *table_json(struct telling *t, const struct field_table *table, const void *of);

static json_t *quantity_json(struct telling *t, enum unit_kind kind, double v)
{
    json_t *out = json_object();
    put(t, out, "value", number(v * told_units[kind].factor));
    put(t, out, "unit", json_string(told_units[kind].unit));
    return out;
}

static json_t *range_json(struct telling *t, const struct field *f, const struct range *r)
{
    json_t *out = json_object();
    bool bare = f->type == FIELD_RANGE_NUMBER;
    double factor = bare ? 1 : told_units[f->kind].factor;
    put(t, out, "low", number(r->low * factor));
    put(t, out, "typical", number(r->typ * factor));
    put(t, out, "high", number(r->high * factor));
    if (!bare)
        put(t, out, "unit", json_string(told_units[f->kind].unit));
    put(t, out, "source", text_or_null(r->source));
    return out;
}

static json_t *point_json(struct telling *t, const struct point *p)
{
    json_t *out = json_array();
    append(t, out, number(p->x));
    append(t, out, number(p->y));
    return out;
}

static json_t *list_json(struct telling *t, const struct field *f, const struct list *list)
{
    json_t *out = json_array();
    const struct text *texts = list->items;
    const struct point *points = list->items;
    for (size_t i = 0; i < list->n; i++) {
        if (f->type == FIELD_TEXTS)
            append(t, out, json_string(texts[i].s));
        else if (f->type == FIELD_POINTS)
            append(t, out, point_json(t, &points[i]));
        else
            append(t, out, table_json(t, f->sub, (const char *)list->items + i * f->sub->size));
    }
    return out;
}

static json_t *date_json(const struct when *when)
{
    char text[64];
    const struct date *d = &when->d;
    if (d->year > 0)
        snprintf(text, sizeof text, "%04d-%02d-%02d", d->year, d->month, d->day);
    else
        snprintf(text, sizeof text, "%02d-%02d", d->month, d->day);
    return json_string(text);
}

/* A quantity that stood in the file, or has a default. */
static json_t *set_quantity_json(struct telling *t, const struct field *f, const struct qty *q)
{
    if (!q->set && !f->missing)
        return NULL;
    if (f->type == FIELD_WHOLE)
        return json_integer((json_int_t)q->v);
    return f->type == FIELD_QTY ? quantity_json(t, f->kind, q->v) : number(q->v);
}

/* NULL: the field is not set. */
static json_t *field_json(struct telling *t, const struct field *f, const void *at)
{
    const struct choice *choice = at;
    const struct amount *amount = at;
    const struct point *point = at;
    switch (f->type) {
    case FIELD_TEXT:
        return ((const struct text *)at)->s ? json_string(((const struct text *)at)->s) : NULL;
    case FIELD_QTY:
    case FIELD_NUMBER:
    case FIELD_WHOLE:
        return set_quantity_json(t, f, at);
    case FIELD_AMOUNT:
        return amount->set ? quantity_json(t, amount->kind, amount->v) : NULL;
    case FIELD_RANGE:
    case FIELD_RANGE_NUMBER:
        return ((const struct range *)at)->set ? range_json(t, f, at) : NULL;
    case FIELD_FLAG:
        return json_boolean(((const struct flag *)at)->v);
    case FIELD_CHOICE:
        return choice->v >= 0 ? json_string(f->names[choice->v]) : NULL;
    case FIELD_DATE:
        return ((const struct when *)at)->d.month > 0 ? date_json(at) : NULL;
    case FIELD_MAP:
        return table_json(t, f->sub, at);
    case FIELD_LIST:
    case FIELD_TEXTS:
    case FIELD_POINTS:
        return ((const struct list *)at)->set ? list_json(t, f, at) : NULL;
    case FIELD_POINT:
    case FIELD_SIZE:
        return point->at.src ? point_json(t, point) : NULL;
    case FIELD_NODE:
        break;
    }
    return NULL;
}

static json_t *table_json(struct telling *t, const struct field_table *table, const void *of)
{
    json_t *out = json_object();
    for (size_t i = 0; i < table->n; i++) {
        const struct field *f = &table->fields[i];
        json_t *value = field_json(t, f, (const char *)of + f->offset);
        if (value)
            put(t, out, f->name, value);
    }
    return out;
}

/* Takes over value. */
static void finish(struct telling *t, json_t *value, struct strbuf *out)
{
    char *text =
        t->failed || !value ? NULL : json_dumps(value, JSON_INDENT(2) | JSON_REAL_PRECISION(15));
    json_decref(value);
    if (text) {
        strbuf_puts(out, text);
        strbuf_puts(out, "\n");
    } else {
        out->failed = true;
    }
    free(text);
}

/* ---- sources -------------------------------------------------------------------------------- */

static json_t *source_json(struct telling *t, const struct source_entry *s)
{
    json_t *out = json_object();
    const struct {
        const char *key, *value;
    } parts[] = {
        {"key", s->key},     {"kind", s->kind}, {"author", s->author}, {"title", s->title},
        {"where", s->where}, {"year", s->year}, {"note", s->note},     {"url", s->url},
    };
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (parts[i].value && parts[i].value[0] != '\0')
            put(t, out, parts[i].key, json_string(parts[i].value));
    return out;
}

struct asked {
    const char *key;
    bool found;
};

static void source_asked(void *data, const struct field *field, const struct range *value,
                         const char *source, struct pos at)
{
    struct asked *asked = data;
    (void)field;
    (void)value;
    (void)at;
    asked->found |= source && strcmp(source, asked->key) == 0;
}

/* A crop or guild with the sources it names. */
static void show_json(const struct library *lib, const struct field_table *table, const void *of,
                      struct strbuf *out)
{
    struct telling t = {false};
    json_t *root = table_json(&t, table, of), *sources = json_array();
    for (size_t i = 0; i < lib->nsources; i++) {
        struct asked asked = {lib->sources[i].key, false};
        figures_each(table, of, source_asked, &asked);
        if (asked.found)
            append(&t, sources, source_json(&t, &lib->sources[i]));
    }
    put(&t, root, "sources", sources);
    finish(&t, root, out);
}

void report_crop_json(const struct library *lib, const struct crop *crop, struct strbuf *out)
{
    show_json(lib, &crop_table, crop, out);
}

void report_guild_json(const struct library *lib, const struct guild *guild, struct strbuf *out)
{
    show_json(lib, &guild_table, guild, out);
}

void report_cover_json(const struct library *lib, const struct cover *cover, struct strbuf *out)
{
    show_json(lib, &cover_table, cover, out);
}

/* ---- the rest ------------------------------------------------------------------------------- */

/* The fields of a table that have one of these names. */
static json_t *chosen_json(struct telling *t, const struct field_table *table, const void *of,
                           const char *const *names)
{
    json_t *out = json_object();
    for (size_t k = 0; names[k]; k++)
        for (size_t i = 0; i < table->n; i++) {
            const struct field *f = &table->fields[i];
            json_t *value = strcmp(f->name, names[k]) == 0
                                ? field_json(t, f, (const char *)of + f->offset)
                                : NULL;
            if (value)
                put(t, out, f->name, value);
        }
    return out;
}

void report_library_json(const struct library *lib, struct strbuf *out)
{
    static const char *const crop_names[] = {"crop",    "letter", "species", "family", "role",
                                             "harvest", "frost",  "days",    "yield",  NULL};
    static const char *const guild_names[] = {"guild", "systems", "pitch", "row", NULL};
    static const char *const cover_names[] = {"cover", "before frost", "rate", NULL};
    struct telling t = {false};
    json_t *root = json_object(), *crops = json_array(), *guilds = json_array(),
           *covers = json_array(), *sources = json_array();
    for (size_t i = 0; i < lib->ncrops; i++)
        append(&t, crops, chosen_json(&t, &crop_table, &lib->crops[i], crop_names));
    for (size_t i = 0; i < lib->nguilds; i++)
        append(&t, guilds, chosen_json(&t, &guild_table, &lib->guilds[i], guild_names));
    for (size_t i = 0; i < lib->ncovers; i++)
        append(&t, covers, chosen_json(&t, &cover_table, &lib->covers[i], cover_names));
    for (size_t i = 0; i < lib->nsources; i++)
        append(&t, sources, source_json(&t, &lib->sources[i]));
    put(&t, root, "crops", crops);
    put(&t, root, "guilds", guilds);
    put(&t, root, "covers", covers);
    put(&t, root, "sources", sources);
    finish(&t, root, out);
}

void report_garden_json(const struct garden *garden, struct strbuf *out)
{
    struct telling t = {false};
    json_t *root = table_json(&t, &garden_table, garden), *crops = json_array();
    const struct crop *changed = garden->crops.items;
    for (size_t i = 0; i < garden->crops.n; i++)
        append(&t, crops, table_json(&t, &crop_table, &changed[i]));
    put(&t, root, "crops", crops);
    finish(&t, root, out);
}

void report_diags_json(const struct diags *diags, struct strbuf *out)
{
    static const char *const names[] = {
        [DIAG_ERROR] = "error", [DIAG_WARNING] = "warning", [DIAG_NOTE] = "note"};
    struct telling t = {false};
    json_t *root = json_array();
    const struct diag *d;
    for (size_t i = 0; (d = diags_at(diags, i)) != NULL; i++) {
        json_t *item = json_object();
        put(&t, item, "file", text_or_null(d->file));
        put(&t, item, "line", d->line > 0 ? json_integer((json_int_t)d->line) : json_null());
        put(&t, item, "column", d->line > 0 ? json_integer((json_int_t)d->col) : json_null());
        put(&t, item, "severity", json_string(names[d->severity]));
        put(&t, item, "check", json_string(d->check));
        put(&t, item, "text", json_string(d->text));
        append(&t, root, item);
    }
    finish(&t, root, out);
}
