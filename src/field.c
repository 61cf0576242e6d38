/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "field.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "num.h"

#define ITEMS_MAX 10000
#define TEXT_MAX  120 /* code points of a text */
#define NAMES_MAX 64  /* fields of a table, names of a choice */
#define DEPTH_MAX 8   /* of tables in each other */

/* One run over a table. */
struct reader {
    struct arena *arena;
    struct diags *diags;
    bool overlay; /* absent keys leave things as they are */
    bool own;     /* figures need no source */
    bool faulty, nomem;
};

static void table_read(struct reader *r, const struct field_table *table, const struct node *map,
                       char *out);

/* Reports a fault at pos. */
#define FAULT(r, pos, ...) ((r)->faulty = true, diag_error((r)->diags, (pos), __VA_ARGS__))

/* ---- small parts -------------------------------------------------------------------------- */

static const char *kind_word(const struct node *node)
{
    return node->kind == NODE_MAP ? "a map" : node->kind == NODE_LIST ? "a list" : "a text";
}

/* Nothing behind the colon, or null. */
static bool is_null(const struct node *node)
{
    static const char *const nulls[] = {"", "~", "null", "Null", "NULL"};
    if (node->kind != NODE_SCALAR || node->as.scalar.quoted)
        return false;
    for (size_t i = 0; i < sizeof nulls / sizeof *nulls; i++)
        if (strcmp(node->as.scalar.text, nulls[i]) == 0)
            return true;
    return false;
}

/* False for a default of ours. */
static bool in_file(const struct node *node)
{
    return node->at.src != NULL;
}

/* The rest of a scalar from byte `from` of its text on, where that can be told: not in texts with
 * escapes or over several lines. */
static struct pos part_of(const struct node *node, size_t from)
{
    struct pos at = node->at;
    size_t quote = node->as.scalar.quoted, len = strlen(node->as.scalar.text);
    if (at.src && at.end - at.begin == len + 2 * quote && from < len) {
        at.begin += quote + from;
        at.end -= quote;
    }
    return at;
}

/* The text of a scalar; NULL when the node is another thing or empty: that is reported. */
static const char *scalar_text(struct reader *r, const char *name, const struct node *node)
{
    if (is_null(node)) {
        FAULT(r, node->at, "missing-value", "`%s` has no value: write one, or take the line out",
              name);
        return NULL;
    }
    if (node->kind != NODE_SCALAR) {
        FAULT(r, node->at, "wrong-type", "`%s` must be a single value, not %s", name,
              kind_word(node));
        return NULL;
    }
    return node->as.scalar.text;
}

static void names_join(struct strbuf *b, const char *const *names, size_t n)
{
    for (size_t i = 0; i < n; i++)
        strbuf_printf(b, "%s`%s`", i > 0 ? ", " : "", names[i]);
}

/* "; did you mean `x`?" or "; allowed: ..." */
static const char *advice(struct reader *r, const char *s, const char *const *names, size_t n)
{
    if (diags_errors(r->diags) >= DIAG_SHOWN_MAX) /* not shown any more, and not cheap */
        return "";
    struct strbuf b;
    strbuf_init(&b, r->arena);
    size_t near = str_nearest(s, names, n);
    if (near != SIZE_MAX) {
        strbuf_printf(&b, "; did you mean `%s`?", names[near]);
    } else if (n > 0) {
        strbuf_puts(&b, "; allowed: ");
        names_join(&b, names, n);
    }
    r->nomem |= b.failed;
    return b.p;
}

/* ---- numbers ------------------------------------------------------------------------------ */

static bool limited(const struct field *f)
{
    return f->min != 0 || f->max != 0;
}

/* A figure of the field as it may stand in a file. */
static const char *figure_text(char *buf, size_t cap, const struct field *f, double v)
{
    bool length = f->type == FIELD_POINT || f->type == FIELD_POINTS || f->type == FIELD_SIZE;
    bool bare = f->type == FIELD_NUMBER || f->type == FIELD_WHOLE ||
                f->type == FIELD_RANGE_NUMBER || f->type == FIELD_AMOUNT;
    if (bare)
        return num_text(buf, cap, num_round_sig(v, 12));
    return unit_plain(buf, cap, length ? UNIT_LENGTH : f->kind, v);
}

/* "from 1 m to 3 m", "at least 1 m", "at most 3 m" */
static void limits_text(char *buf, size_t cap, const struct field *f)
{
    char low[64], high[64];
    figure_text(low, sizeof low, f, f->min);
    figure_text(high, sizeof high, f, f->max);
    if (!isfinite(f->max))
        snprintf(buf, cap, "at least %s", low);
    else if (!isfinite(f->min))
        snprintf(buf, cap, "at most %s", high);
    else
        snprintf(buf, cap, "from %s to %s", low, high);
}

static bool limits_check(struct reader *r, const struct field *f, const struct node *node,
                         const char *text, double v)
{
    if (!limited(f) || (v >= f->min && v <= f->max))
        return true;
    char limits[160];
    limits_text(limits, sizeof limits, f);
    FAULT(r, node->at, "out-of-range", "`%.60s` in `%s` is out of range; it must be %s", text,
          f->name, limits);
    return false;
}

/* "a length" of "a length such as `20 ft`". */
static int kind_name_bytes(enum unit_kind kind)
{
    const char *example = unit_kind_example(kind);
    const char *such = strstr(example, " such as ");
    return such ? (int)(such - example) : (int)strlen(example);
}

/* A text that should have started with a number. */
static void number_fault(struct reader *r, struct pos pos, const char *name, const char *text,
                         size_t at, const char *write)
{
    size_t sign = text[at] == '-' || text[at] == '+';
    if (text[at] == ',')
        FAULT(r, pos, "not-a-number", "`%s` is `%.60s`: a decimal point is a `.`, not a `,`", name,
              text);
    else if (text[at + sign] == '.')
        FAULT(r, pos, "not-a-number", "`%s` is `%.60s`: write a 0 before the decimal point", name,
              text);
    else
        FAULT(r, pos, "not-a-number", "`%s` is `%.60s`, which is no number of use here; write %s",
              name, text, write);
}

static void unit_fault(struct reader *r, const char *name, enum unit_kind kind,
                       const struct node *node, const char *text, enum unit_result what, size_t at)
{
    const char *example = unit_kind_example(kind);
    int n = kind_name_bytes(kind);
    bool whole = text == node->as.scalar.text; /* else a part of it, copied */
    struct pos pos = whole ? part_of(node, at) : node->at;
    if (what == UNIT_NOT_A_NUMBER || text[at] == ',')
        number_fault(r, pos, name, text, at, example);
    else if (what == UNIT_MISSING)
        FAULT(r, node->at, "missing-unit", "`%s` is `%.60s`: %.*s needs a unit,%s", name, text, n,
              example, example + n);
    else
        FAULT(r, pos, "unknown-unit", "`%.40s` in `%s` is not a unit of %.*s; allowed: %s",
              text + at, name, n, example, unit_kind_names(kind));
}

static bool with_unit(struct reader *r, const char *name, enum unit_kind kind,
                      const struct node *node, const char *text, double *out)
{
    size_t at = 0;
    enum unit_result what = unit_read(kind, text, out, &at);
    if (what != UNIT_OK)
        unit_fault(r, name, kind, node, text, what, at);
    return what == UNIT_OK;
}

static bool without_unit(struct reader *r, const struct field *f, const struct node *node,
                         const char *text, double *out)
{
    size_t used, lead = strspn(text, " ");
    size_t n = strlen(text + lead);
    double v;
    bool read = num_read(text + lead, n, &v, &used);
    size_t rest = lead + used + strspn(text + lead + used, " ");
    if (!read || text[rest] != '\0') {
        size_t at = read ? rest : lead;
        number_fault(r, part_of(node, at), f->name, text, at, "a number with nothing behind it");
        return false;
    }
    if (f->type == FIELD_WHOLE && (v != floor(v) || fabs(v) > 1e15)) {
        FAULT(r, node->at, "not-a-number", "`%s` is `%.60s`; it must be a whole number", f->name,
              text);
        return false;
    }
    *out = v;
    return true;
}

/* A figure of a FIELD_QTY, FIELD_NUMBER, FIELD_WHOLE or of a range, limits checked. */
static bool figure_read(struct reader *r, const struct field *f, const char *name,
                        const struct node *node, double *out)
{
    const char *text = scalar_text(r, name, node);
    bool unit = f->type == FIELD_QTY || f->type == FIELD_RANGE;
    return text &&
           (unit ? with_unit(r, name, f->kind, node, text, out)
                 : without_unit(r, f, node, text, out)) &&
           limits_check(r, f, node, text, *out);
}

static void qty_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    struct qty q = {.set = in_file(node), .at = node->at};
    if (figure_read(r, f, f->name, node, &q.v))
        *(struct qty *)out = q;
}

/* "a mass such as `3 lb`, or a count such as `40 seeds`" */
static void kinds_add(struct strbuf *b, unsigned kinds)
{
    const char *sep = "";
    for (int k = 0; k < UNIT_KIND_COUNT; k++)
        if (kinds >> k & 1u) {
            strbuf_printf(b, "%s%s", sep, unit_kind_example((enum unit_kind)k));
            sep = ", or ";
        }
}

static void amount_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    const char *text = scalar_text(r, f->name, node);
    struct amount a = {.set = in_file(node), .at = node->at};
    enum unit_result what = UNIT_NOT_A_NUMBER;
    size_t at = 0;
    if (!text)
        return;
    for (int k = 0; k < UNIT_KIND_COUNT; k++) {
        if (!(f->kinds >> k & 1u))
            continue;
        a.kind = (enum unit_kind)k;
        what = unit_read(a.kind, text, &a.v, &at);
        if (what == UNIT_OK) {
            if (limits_check(r, f, node, text, a.v))
                *(struct amount *)out = a;
            return;
        }
    }
    struct strbuf words;
    strbuf_init(&words, r->arena);
    kinds_add(&words, f->kinds);
    r->nomem |= words.failed;
    if (what == UNIT_NOT_A_NUMBER || text[at] == ',')
        number_fault(r, part_of(node, at), f->name, text, at, words.p);
    else if (what == UNIT_MISSING)
        FAULT(r, node->at, "missing-unit", "`%s` is `%.60s`: it needs a unit; write %s", f->name,
              text, words.p);
    else
        FAULT(r, part_of(node, at), "unknown-unit",
              "`%.40s` in `%s` is not a unit that fits here; write %s", text + at, f->name,
              words.p);
}

/* ---- texts and words ---------------------------------------------------------------------- */

/* Why a text cannot be taken, NULL when it can. */
static const char *text_fault(const char *s)
{
    size_t n = strlen(s);
    if (strspn(s, " ") == n)
        return "is empty";
    if (utf8_count(s, n) > TEXT_MAX)
        return "is longer than 120 characters";
    for (size_t i = 0; i < n;) {
        size_t bytes = utf8_char(s + i, n - i);
        if (!utf8_printable(s + i, bytes))
            return "holds a line break or another control character";
        i += bytes > 0 ? bytes : 1;
    }
    return NULL;
}

static bool text_take(struct reader *r, const char *name, const struct node *node, struct text *out)
{
    const char *s = scalar_text(r, name, node);
    const char *fault = s ? text_fault(s) : NULL;
    if (!s)
        return false;
    if (fault) {
        FAULT(r, node->at, "bad-text", "`%s` %s; it must be one line of 1 to 120 characters", name,
              fault);
        return false;
    }
    *out = (struct text){s, node->at};
    return true;
}

static void text_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    text_take(r, f->name, node, out);
}

static void flag_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    static const char *const words[] = {"yes", "no", "true", "false"};
    const char *s = scalar_text(r, f->name, node);
    if (!s)
        return;
    for (size_t i = 0; i < 4; i++)
        if (str_same(s, words[i])) {
            *(struct flag *)out = (struct flag){i % 2 == 0, in_file(node), node->at};
            return;
        }
    FAULT(r, node->at, "unknown-choice", "`%s` is `%.60s`; it must be `yes` or `no`", f->name, s);
}

static size_t names_count(const char *const *names)
{
    size_t n = 0;
    while (names[n])
        n++;
    return n;
}

static void choice_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    const char *s = scalar_text(r, f->name, node);
    if (!s)
        return;
    size_t n = names_count(f->names);
    for (size_t i = 0; i < n; i++)
        if (str_same(s, f->names[i])) {
            *(struct choice *)out = (struct choice){(int)i, in_file(node), node->at};
            return;
        }
    FAULT(r, node->at, "unknown-choice", "`%.60s` is not a choice for `%s`%s", s, f->name,
          advice(r, s, f->names, n));
}

static void when_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    const char *s = scalar_text(r, f->name, node);
    struct when w = {.set = in_file(node), .at = node->at};
    size_t at = 0;
    if (!s)
        return;
    if (date_read(s, &w.d, &at))
        *(struct when *)out = w;
    else
        FAULT(r, part_of(node, at), "bad-date",
              "`%s` is `%.60s`, which is no date; write it as `2027-05-01` or `May 1`", f->name, s);
}

/* ---- uncertain figures -------------------------------------------------------------------- */

enum range_key { RANGE_LOW, RANGE_TYPICAL, RANGE_HIGH, RANGE_VALUE, RANGE_SOURCE, RANGE_KEYS };
static const char *const range_keys[RANGE_KEYS] = {"low", "typical", "high", "value", "source"};

/* How a range is written; own: by a gardener, who needs no source. */
static const char *range_forms(bool own)
{
    return own ? "a single value or {low: , typical: , high: }"
               : "{value: , source: } or {low: , typical: , high: , source: }";
}

/* Sorts the parts of a range by key. Unknown ones are reported. */
static void range_parts(struct reader *r, const struct field *f, const struct node *map,
                        const struct node *parts[RANGE_KEYS])
{
    for (size_t i = 0; i < map->as.map.n; i++) {
        const struct node *key = map->as.map.items[i].key;
        size_t k = 0;
        while (k < RANGE_KEYS && strcmp(key->as.scalar.text, range_keys[k]) != 0)
            k++;
        if (k < RANGE_KEYS)
            parts[k] = map->as.map.items[i].value;
        else
            FAULT(r, key->at, "unknown-key", "unknown key `%.60s` in `%s`%s", key->as.scalar.text,
                  f->name, advice(r, key->as.scalar.text, range_keys, RANGE_KEYS));
    }
}

static bool range_source(struct reader *r, const struct field *f, const struct node *map,
                         const struct node *source, struct range *out)
{
    struct text text;
    if (source) {
        if (!text_take(r, "source", source, &text))
            return false;
        out->source = text.s;
        out->source_at = text.at;
        return true;
    }
    if (!r->own && in_file(map)) {
        FAULT(r, map->at, "missing-source",
              "`%s` has no source (a key of sources.bib, `practice` or `estimate`): write %s",
              f->name, range_forms(false));
        return false;
    }
    out->source = in_file(map) ? "garden" : "estimate";
    out->source_at = (struct pos){0};
    return true;
}

/* low, typical and high, all three. */
static bool range_three(struct reader *r, const struct field *f, const struct node *map,
                        const struct node *const parts[RANGE_KEYS], struct range *out)
{
    double v[3] = {0};
    bool whole = true;
    for (int k = RANGE_LOW; k <= RANGE_HIGH; k++) {
        if (!parts[k])
            FAULT(r, map->at, "missing-key", "`%s` is missing in `%s`: write %s", range_keys[k],
                  f->name, range_forms(r->own));
        whole &= parts[k] && figure_read(r, f, range_keys[k], parts[k], &v[k]);
    }
    if (!whole)
        return false;
    for (int k = RANGE_TYPICAL; k <= RANGE_HIGH; k++)
        if (v[k] < v[k - 1]) {
            FAULT(r, parts[k]->at, "range-order", "`%s` of `%s` is below `%s`", range_keys[k],
                  f->name, range_keys[k - 1]);
            return false;
        }
    out->low = v[RANGE_LOW];
    out->typ = v[RANGE_TYPICAL];
    out->high = v[RANGE_HIGH];
    return true;
}

static void range_map(struct reader *r, const struct field *f, const struct node *map,
                      struct range *range, bool *good)
{
    const struct node *parts[RANGE_KEYS] = {0};
    range_parts(r, f, map, parts);
    if (!parts[RANGE_VALUE]) {
        *good = range_three(r, f, map, parts, range);
    } else if (parts[RANGE_LOW] || parts[RANGE_TYPICAL] || parts[RANGE_HIGH]) {
        FAULT(r, parts[RANGE_VALUE]->at, "wrong-type",
              "`value` stands beside `low`, `typical` or `high` in `%s`: write %s", f->name,
              range_forms(r->own));
        *good = false;
    } else {
        *good = figure_read(r, f, "value", parts[RANGE_VALUE], &range->typ);
        range->low = range->high = range->typ;
    }
    *good &= range_source(r, f, map, parts[RANGE_SOURCE], range);
}

static void range_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    struct range range = {.set = in_file(node), .at = node->at};
    bool good = false;
    if (node->kind == NODE_MAP) {
        range_map(r, f, node, &range, &good);
    } else if (node->kind == NODE_SCALAR) { /* "2 kg/m2" */
        good = figure_read(r, f, f->name, node, &range.typ);
        range.low = range.high = range.typ;
        good = good && range_source(r, f, node, NULL, &range);
    } else {
        FAULT(r, node->at, "wrong-type", "`%s` must be a figure, not a list: write %s", f->name,
              range_forms(r->own));
    }
    if (good)
        *(struct range *)out = range;
}

/* ---- points and sizes --------------------------------------------------------------------- */

/* One coordinate; limits hold for each. */
static bool coordinate(struct reader *r, const struct field *f, const struct node *node,
                       const char *text, double *out)
{
    return with_unit(r, f->name, UNIT_LENGTH, node, text, out) &&
           limits_check(r, f, node, text, *out);
}

static void point_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    struct point p = {.at = node->at};
    if (node->kind != NODE_LIST || node->as.list.n != 2) {
        FAULT(r, node->at, "wrong-type",
              "a point of `%s` is two lengths, such as [3 ft, 4 ft 6 in]", f->name);
        return;
    }
    bool good = true;
    for (size_t i = 0; i < 2; i++) {
        const struct node *part = node->as.list.items[i];
        const char *text = scalar_text(r, f->name, part);
        good &= text && coordinate(r, f, part, text, i == 0 ? &p.x : &p.y);
    }
    if (good)
        *(struct point *)out = p;
}

/* Splits "20 ft x 25 ft"; false when there is no `x` in it. */
static bool size_split(struct arena *arena, const char *s, const char **first, const char **second)
{
    static const char *const signs[] = {"x", "X", "\u00d7", " by "};
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        const char *sign = strstr(s, signs[i]);
        if (!sign)
            continue;
        size_t n = (size_t)(sign - s);
        while (n > 0 && s[n - 1] == ' ')
            n--;
        const char *rest = sign + strlen(signs[i]);
        rest += strspn(rest, " ");
        *first = arena_strndup(arena, s, n);
        *second = arena_strdup(arena, rest);
        return true;
    }
    return false;
}

static void size_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    const char *s = scalar_text(r, f->name, node), *first, *second;
    struct point p = {.at = node->at};
    if (!s)
        return;
    if (!size_split(r->arena, s, &first, &second)) {
        FAULT(r, node->at, "wrong-type",
              "`%s` is `%.60s`; it must be two lengths, such as `20 ft x 25 ft`", f->name, s);
        return;
    }
    if (!first || !second) {
        r->nomem = true;
        return;
    }
    bool good = coordinate(r, f, node, first, &p.x);
    good &= coordinate(r, f, node, second, &p.y);
    if (good)
        *(struct point *)out = p;
}

/* ---- lists -------------------------------------------------------------------------------- */

/* Whether node is a list of items that may be read; else that is reported. A single text may stand
 * for a list of one. */
static bool list_check(struct reader *r, const struct field *f, const struct node *node, size_t *n)
{
    size_t most = f->most ? f->most : ITEMS_MAX;
    *n = node->kind == NODE_LIST ? node->as.list.n : 1;
    if (is_null(node) || (f->required && *n == 0)) {
        FAULT(r, node->at, "missing-value", "`%s` is empty: write its items, each after a `-`",
              f->name);
        return false;
    }
    if (node->kind != NODE_LIST && !(f->type == FIELD_TEXTS && node->kind == NODE_SCALAR)) {
        FAULT(r, node->at, "wrong-type", "`%s` must be a list, not %s: start each item with `- `",
              f->name, kind_word(node));
        return false;
    }
    if (*n > most) {
        FAULT(r, node->at, "too-many", "`%s` has %zu items; at most %zu are read", f->name, *n,
              most);
        return false;
    }
    return true;
}

/* A map or a text that is faulty stays in its list, without what could not be read, so that what
 * else there is to say of it is said as well; a shape is nothing without one of its points. */
static void list_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    size_t size = f->type == FIELD_TEXTS    ? sizeof(struct text)
                  : f->type == FIELD_POINTS ? sizeof(struct point)
                                            : f->sub->size;
    struct list list = {.set = in_file(node), .at = node->at};
    if (!list_check(r, f, node, &list.n))
        return;
    char *items = arena_alloc(r->arena, list.n, size);
    bool overlay = r->overlay, faulty = r->faulty;
    r->overlay = r->faulty = false; /* items are new: their defaults and required keys hold */
    r->nomem |= !items;
    for (size_t i = 0; i < list.n && !r->nomem; i++) {
        const struct node *child = node->kind == NODE_LIST ? node->as.list.items[i] : node;
        void *item = items + i * size;
        if (f->type == FIELD_TEXTS)
            text_read(r, f, child, item);
        else if (f->type == FIELD_POINTS)
            point_read(r, f, child, item);
        else
            table_read(r, f->sub, child, item);
    }
    list.items = items;
    if (!r->nomem && !(r->faulty && f->type == FIELD_POINTS))
        *(struct list *)out = list;
    r->overlay = overlay;
    r->faulty |= faulty;
}

/* ---- types -------------------------------------------------------------------------------- */

static void map_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    table_read(r, f->sub, node, out);
}

static void node_read(struct reader *r, const struct field *f, const struct node *node, void *out)
{
    (void)r;
    (void)f;
    *(const struct node **)out = node;
}

/* How each type is read, and what it is for people; those without words depend on the field. */
static const struct {
    void (*read)(struct reader *r, const struct field *f, const struct node *node, void *out);
    const char *words;
} types[] = {
    [FIELD_TEXT] = {text_read, "a text"},
    [FIELD_QTY] = {qty_read, NULL},
    [FIELD_NUMBER] = {qty_read, "a number"},
    [FIELD_WHOLE] = {qty_read, "a whole number"},
    [FIELD_AMOUNT] = {amount_read, NULL},
    [FIELD_RANGE] = {range_read, NULL},
    [FIELD_RANGE_NUMBER] = {range_read, NULL},
    [FIELD_FLAG] = {flag_read, "`yes` or `no`"},
    [FIELD_CHOICE] = {choice_read, NULL},
    [FIELD_DATE] = {when_read, "a date such as `2027-05-01` or `May 1`"},
    [FIELD_MAP] = {map_read, "these, indented below it"},
    [FIELD_LIST] = {list_read, "a list, each item with these"},
    [FIELD_TEXTS] = {list_read, "a text or a list of texts"},
    [FIELD_POINTS] = {list_read, "a list of points such as [[0 ft, 0 ft], [20 ft, 0 ft]]"},
    [FIELD_POINT] = {point_read, "a point such as [3 ft, 4 ft 6 in]"},
    [FIELD_SIZE] = {size_read, "two lengths such as `20 ft x 25 ft`"},
    [FIELD_NODE] = {node_read, "names with values"},
};

/* ---- tables ------------------------------------------------------------------------------- */

/* The defaults of a table, as they would be read from a file. */
static void defaults(struct reader *r, const struct field_table *table, char *out)
{
    for (const struct field *f = table->fields; f < table->fields + table->n; f++) {
        if (f->type == FIELD_CHOICE)
            ((struct choice *)(void *)(out + f->offset))->v = -1;
        if (f->type == FIELD_MAP)
            defaults(r, f->sub, out + f->offset);
        if (!f->missing)
            continue;
        struct node node = {.kind = NODE_SCALAR, .as.scalar.text = f->missing};
        types[f->type].read(r, f, &node, out + f->offset);
    }
}

static void unknown_key(struct reader *r, const struct field_table *table, const struct node *key)
{
    const char *names[NAMES_MAX];
    size_t n = 0;
    for (; n < table->n && n < NAMES_MAX; n++)
        names[n] = table->fields[n].name;
    FAULT(r, key->at, "unknown-key", "unknown key `%.60s` in %s%s", key->as.scalar.text,
          table->name, advice(r, key->as.scalar.text, names, n));
}

static const struct field *field_find(const struct field_table *table, const char *name)
{
    for (size_t i = 0; i < table->n; i++)
        if (strcmp(table->fields[i].name, name) == 0)
            return &table->fields[i];
    return NULL;
}

static void table_read(struct reader *r, const struct field_table *table, const struct node *map,
                       char *out)
{
    if (map->kind != NODE_MAP) {
        FAULT(r, map->at, is_null(map) ? "missing-value" : "wrong-type",
              "%s must be names with values, `name: value`, each on a line of its own",
              table->name);
        return;
    }
    bool own = r->own;
    r->own |= table->own_figures;
    if (table->at_offset != SIZE_MAX)
        *(struct pos *)(void *)(out + table->at_offset) = map->at;
    if (!r->overlay)
        defaults(r, table, out);
    for (size_t i = 0; i < map->as.map.n && !r->nomem; i++) {
        const struct pair *pair = &map->as.map.items[i];
        const struct field *f = field_find(table, pair->key->as.scalar.text);
        if (f)
            types[f->type].read(r, f, pair->value, out + f->offset);
        else
            unknown_key(r, table, pair->key);
    }
    for (const struct field *f = table->fields; f < table->fields + table->n; f++)
        if (f->required && !r->overlay && !tree_find(map, f->name))
            FAULT(r, map->at, "missing-key", "`%s` is missing in %s: %s", f->name, table->name,
                  f->doc);
    r->own = own;
}

hr_status field_read(const struct field_table *table, const struct node *map, bool overlay,
                     struct arena *arena, struct diags *diags, void *out)
{
    struct reader r = {.arena = arena, .diags = diags, .overlay = overlay, .own = overlay};
    table_read(&r, table, map, out);
    return r.nomem ? HR_NOMEM : r.faulty ? HR_INPUT : HR_OK;
}

/* ---- describing --------------------------------------------------------------------------- */

static void type_describe(const struct field *f, bool own, struct strbuf *b)
{
    switch (f->type) {
    case FIELD_QTY:
        strbuf_puts(b, unit_kind_example(f->kind));
        break;
    case FIELD_AMOUNT:
        kinds_add(b, f->kinds);
        break;
    case FIELD_RANGE:
    case FIELD_RANGE_NUMBER:
        strbuf_printf(b, "%s, as %s",
                      f->type == FIELD_RANGE ? unit_kind_example(f->kind) : "a number",
                      range_forms(own));
        break;
    case FIELD_CHOICE:
        strbuf_puts(b, "one of ");
        names_join(b, f->names, names_count(f->names));
        break;
    default:
        strbuf_puts(b, types[f->type].words);
    }
}

static void field_line(const struct field *f, bool own, size_t indent, struct strbuf *out)
{
    struct strbuf b;
    strbuf_init(&b, out->arena);
    strbuf_printf(&b, "%s (", f->doc);
    type_describe(f, own, &b);
    if (limited(f)) {
        char limits[160];
        limits_text(limits, sizeof limits, f);
        strbuf_printf(&b, "; %s", limits);
    }
    if (f->most > 0)
        strbuf_printf(&b, "; at most %zu", f->most);
    if (f->missing)
        strbuf_printf(&b, "; default: %s", f->missing);
    if (f->required)
        strbuf_puts(&b, "; required");
    strbuf_puts(&b, ")");
    size_t column = utf8_columns(f->name) < 16 ? 16 : utf8_columns(f->name) + 1;
    for (size_t i = 0; i < indent; i++)
        strbuf_puts(out, " ");
    strbuf_pad(out, f->name, column);
    strbuf_wrap(out, b.p, 96, indent + 16, indent + column);
    out->failed |= b.failed;
}

static void table_describe(const struct field_table *table, bool own, size_t depth,
                           struct strbuf *out)
{
    own |= table->own_figures;
    for (size_t i = 0; i < table->n; i++) {
        const struct field *f = &table->fields[i];
        field_line(f, own, 2 * depth, out);
        if ((f->type == FIELD_MAP || f->type == FIELD_LIST) && depth < DEPTH_MAX)
            table_describe(f->sub, own, depth + 1, out);
    }
}

void field_describe(const struct field_table *table, struct strbuf *out)
{
    strbuf_printf(out, "%s\n", table->name);
    table_describe(table, false, 1, out);
}
