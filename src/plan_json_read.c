/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan_json.h"

#include <jansson.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"
#include "place.h"
#include "plan_keys.h"
#include "weight.h"

/* What a hostile file may ask for at most. */
#define CONTAINERS_MAX 400000
#define VALUES_MAX     3000000
#define BLOCKS_MAX     (ZONES_MAX * 20)
#define FORMER_MAX     100000
#define STATIONS_MAX   1000000
#define TEXT_BYTES_MAX 2000
#define ERRORS_MAX     20

struct reading {
    struct arena *arena;
    struct diags *diags;
    const struct library *lib;
    const char *path;
    struct plan *plan;
    int errors;
    bool nomem;
};

/* Where in the file: "plots[0].blocks[2].parts[1]". */
struct where {
    const struct where *up;
    const char *name; /* "" for a member of a list */
    size_t index;
};

static void where_text(struct strbuf *out, const struct where *w)
{
    if (!w)
        return;
    where_text(out, w->up);
    if (w->name[0] == '\0')
        strbuf_printf(out, "[%zu]", w->index);
    else
        strbuf_printf(out, "%s%s", w->up ? "." : "", w->name);
}

__attribute__((format(printf, 4, 5))) static void wrong(struct reading *r, const struct where *w,
                                                        const char *key, const char *fmt, ...)
{
    if (r->errors++ >= ERRORS_MAX)
        return;
    struct strbuf text;
    va_list ap;
    strbuf_init(&text, r->arena);
    where_text(&text, w);
    strbuf_printf(&text, "%s%s", w && key[0] ? "." : "", key);
    strbuf_puts(&text, text.n > 0 ? ": " : "");
    va_start(ap, fmt);
    strbuf_vprintf(&text, fmt, ap);
    va_end(ap);
    r->nomem |= text.failed;
    diag_file(r->diags, r->path, "plan-json", "%s", text.p);
}

/* A member of an object that has to be there with that type; NULL was reported. */
static const json_t *member(struct reading *r, const json_t *object, const struct where *w,
                            const char *key, json_type type)
{
    static const char *const names[] = {
        [JSON_OBJECT] = "an object",       [JSON_ARRAY] = "a list",  [JSON_STRING] = "a text",
        [JSON_INTEGER] = "a whole number", [JSON_REAL] = "a number", [JSON_TRUE] = "true or false",
    };
    const json_t *v = json_object_get(object, key);
    if (!v) {
        wrong(r, w, key, "is missing");
        return NULL;
    }
    bool fits = json_typeof(v) == type || (type == JSON_REAL && json_is_number(v)) ||
                (type == JSON_TRUE && json_is_boolean(v));
    if (!fits)
        wrong(r, w, key, "is not %s", names[type]);
    return fits ? v : NULL;
}

static bool real_read(struct reading *r, const json_t *object, const struct where *w,
                      const struct key *key, const char *name, double *out)
{
    const json_t *v = member(r, object, w, name, JSON_REAL);
    char lo[40], hi[40];
    if (!v)
        return false;
    double x = json_number_value(v);
    if (!(x >= key->min && x <= key->max)) {
        wrong(r, w, name, "is not between %s and %s", num_text(lo, sizeof lo, key->min),
              num_text(hi, sizeof hi, key->max));
        return false;
    }
    *out = x;
    return true;
}

static bool int_read(struct reading *r, const json_t *object, const struct where *w,
                     const struct key *key, int *out)
{
    const json_t *v = member(r, object, w, key->name, JSON_INTEGER);
    if (!v)
        return false;
    double x = (double)json_integer_value(v) - (key->type == KEY_NUMBER);
    if (!(x >= key->min && x <= key->max)) {
        wrong(r, w, key->name, "is out of its limits");
        return false;
    }
    *out = (int)x;
    return true;
}

/* A text that may be printed, copied; NULL was reported. */
static const char *text_read(struct reading *r, const json_t *object, const struct where *w,
                             const char *key, size_t most)
{
    const json_t *v = member(r, object, w, key, JSON_STRING);
    if (!v)
        return NULL;
    const char *s = json_string_value(v);
    size_t n = json_string_length(v);
    for (size_t i = 0; i < n;) {
        size_t bytes = utf8_char(s + i, n - i);
        if (!utf8_printable(s + i, bytes)) {
            wrong(r, w, key, "has characters that cannot be printed");
            return NULL;
        }
        i += bytes;
    }
    if (n > most) {
        wrong(r, w, key, "is longer than %zu bytes", most);
        return NULL;
    }
    const char *copy = arena_strndup(r->arena, s, n);
    r->nomem |= !copy;
    return copy;
}

static bool name_read(struct reading *r, const json_t *object, const struct where *w,
                      const struct key *key, int *out)
{
    const json_t *v = member(r, object, w, key->name, JSON_STRING);
    if (!v)
        return false;
    const char *s = json_string_value(v);
    for (int i = 0; i < key->n + (key->past != NULL); i++)
        if (strcmp(s, i < key->n ? key->names[i] : key->past) == 0) {
            *out = i;
            return true;
        }
    wrong(r, w, key->name, "`%s` is not one of its values", s);
    return false;
}

static void span_read(struct reading *r, const json_t *object, const struct where *w,
                      const struct key *key, struct span *out)
{
    const json_t *v = member(r, object, w, key->name, JSON_OBJECT);
    const struct where here = {w, key->name, 0};
    if (!v)
        return;
    real_read(r, v, &here, key, "low", &out->low);
    real_read(r, v, &here, key, "typical", &out->typ);
    real_read(r, v, &here, key, "high", &out->high);
}

static void key_read(struct reading *r, const json_t *object, const struct where *w,
                     const struct key *key, void *at)
{
    int n = 0;
    const char *s;
    const json_t *flag;
    switch (key->type) {
    case KEY_REAL:
        real_read(r, object, w, key, key->name, at);
        break;
    case KEY_INT:
    case KEY_NUMBER:
        if (int_read(r, object, w, key, &n))
            memcpy(at, &n, sizeof n);
        break;
    case KEY_FLAG:
        flag = member(r, object, w, key->name, JSON_TRUE);
        *(bool *)at = json_is_true(flag);
        break;
    case KEY_TEXT:
        s = text_read(r, object, w, key->name, TEXT_BYTES_MAX);
        *(const char **)at = s ? s : "";
        break;
    case KEY_CHARS:
        s = text_read(r, object, w, key->name, key->size - 1);
        if (s)
            memcpy(at, s, strlen(s) + 1);
        break;
    case KEY_NAME:
        if (name_read(r, object, w, key, &n))
            memcpy(at, &n, sizeof n);
        break;
    case KEY_SPAN:
        span_read(r, object, w, key, at);
        break;
    }
}

static void keys_read(struct reading *r, const json_t *object, const struct where *w,
                      const struct keys *keys, void *out)
{
    for (size_t i = 0; i < keys->n; i++)
        key_read(r, object, w, &keys->key[i], (char *)out + keys->key[i].offset);
}

/* A list of objects of at most so many; *n of them. NULL was reported. */
static const json_t *list_read(struct reading *r, const json_t *object, const struct where *w,
                               const char *key, size_t most, size_t *n)
{
    const json_t *list = member(r, object, w, key, JSON_ARRAY);
    size_t count = json_array_size(list);
    if (!list)
        return NULL;
    if (count > most) {
        wrong(r, w, key, "has more than %zu members", most);
        return NULL;
    }
    for (size_t i = 0; i < count; i++)
        if (!json_is_object(json_array_get(list, i))) {
            wrong(r, w, key, "has a member that is not an object");
            return NULL;
        }
    *n = count;
    return list;
}

/* The seed in hand that `variety` and `crop` name, SIZE_MAX was reported. */
static size_t seed_read(struct reading *r, const json_t *object, const struct where *w)
{
    const char *variety = text_read(r, object, w, "variety", TEXT_BYTES_MAX);
    const char *crop = text_read(r, object, w, "crop", TEXT_BYTES_MAX);
    const struct garden *g = r->plan->garden;
    if (!variety || !crop)
        return SIZE_MAX;
    for (size_t s = 0; s < g->seed.n; s++)
        if (strcmp(garden_seed(g, s)->variety.s, variety) == 0 &&
            strcmp(garden_seed(g, s)->crop->name.s, crop) == 0)
            return s;
    wrong(r, w, "variety", "the garden has no seed of `%s`, %s", variety, crop);
    return SIZE_MAX;
}

static void results_read(struct reading *r, const json_t *root)
{
    size_t n;
    const json_t *list = list_read(r, root, NULL, "crops", r->plan->garden->seed.n, &n);
    if (!list)
        return;
    r->plan->crops = ARENA_ARRAY(r->arena, struct crop_result, n);
    if (!r->plan->crops) {
        r->nomem = true;
        return;
    }
    const struct where crops = {NULL, "crops", 0};
    for (size_t i = 0; i < n; i++) {
        const struct where here = {&crops, "", i};
        const json_t *object = json_array_get(list, i);
        struct crop_result *c = &r->plan->crops[r->plan->ncrops++];
        size_t seed = seed_read(r, object, &here);
        keys_read(r, object, &here, &result_keys, c);
        if (seed < SIZE_MAX)
            c->seed = garden_seed(r->plan->garden, seed);
        if (c->seed && seed_saved(c->seed))
            keys_read(r, object, &here, &kept_keys, c);
    }
}

static void left_out_read(struct reading *r, const json_t *root)
{
    size_t n;
    const json_t *list = list_read(r, root, NULL, "left_out", MENU_PLANTINGS_MAX, &n);
    struct menu *menu = &r->plan->menu;
    if (!list)
        return;
    menu->left_out = ARENA_ARRAY(r->arena, struct left_out, n);
    if (!menu->left_out) {
        r->nomem = true;
        return;
    }
    const struct where all = {NULL, "left_out", 0};
    for (size_t i = 0; i < n; i++) {
        const struct where here = {&all, "", i};
        keys_read(r, json_array_get(list, i), &here, &left_out_keys,
                  &menu->left_out[menu->nleft_out++]);
    }
}

/* ---- reading: plots ------------------------------------------------------------------------- */

static void grounds_read(struct reading *r, const json_t *plot, const struct where *w, int index)
{
    size_t n;
    struct zones *zones = &r->plan->zones;
    const json_t *list = list_read(r, plot, w, "grounds", 2, &n);
    const struct where all = {w, "grounds", 0};
    for (size_t i = 0; list && i < n; i++) {
        const struct where here = {&all, "", i};
        struct ground *g = &zones->grounds[zones->ngrounds++];
        g->plot = index;
        keys_read(r, json_array_get(list, i), &here, &ground_keys, g);
    }
}

static void zones_read(struct reading *r, const json_t *plot, const struct where *w, int index)
{
    size_t n;
    struct zones *zones = &r->plan->zones;
    const json_t *list = list_read(r, plot, w, "zones", ZONES_MAX - zones->n, &n);
    const struct where all = {w, "zones", 0};
    for (size_t i = 0; list && i < n; i++) {
        const struct where here = {&all, "", i};
        const json_t *object = json_array_get(list, i);
        struct zone *z = &zones->items[zones->n++];
        z->plot = index;
        keys_read(r, object, &here, &zone_keys, z);
        keys_read(r, object, &here, &rect_keys, &z->r);
        double dx = z->r.x1 - z->r.x0, dy = z->r.y1 - z->r.y0;
        z->length_m = z->along_x ? dx : dy;
        z->depth_m = z->along_x ? dy : dx;
        if (!(dx > 0 && dy > 0))
            wrong(r, &here, "", "the zone has no ground");
    }
}

static bool part_read(struct reading *r, const json_t *object, const struct where *w,
                      struct block *block, struct planting *p, int k)
{
    const struct key light = {.name = "light", .max = 1};
    const struct where season_at = {w, "season", 0};
    struct part *part = &p->parts[k];
    size_t seed = seed_read(r, object, w);
    keys_read(r, object, w, &part_keys, part);
    real_read(r, object, w, &light, "light", &block->light[k]);
    const json_t *season = member(r, object, w, "season", JSON_OBJECT);
    if (season)
        keys_read(r, season, &season_at, &season_keys, &part->season);
    if (seed == SIZE_MAX)
        return false;
    part->seed_index = (int)seed;
    part->seed = garden_seed(r->plan->garden, seed);
    part->crop = part->seed->crop;
    return true;
}

static void guild_read(struct reading *r, const json_t *object, const struct where *w,
                       struct planting *p)
{
    if (json_is_null(json_object_get(object, "guild")))
        return;
    const char *name = text_read(r, object, w, "guild", TEXT_BYTES_MAX);
    p->guild = name ? library_guild(r->lib, name) : NULL;
    if (name && !p->guild)
        wrong(r, w, "guild", "there is no guild `%s` in the library", name);
}

/* The zone of that name in plot `index`, -1 was reported. */
static int zone_find(struct reading *r, const json_t *object, const struct where *w, int index)
{
    const char *name = text_read(r, object, w, "zone", TEXT_BYTES_MAX);
    const struct zones *zones = &r->plan->zones;
    for (size_t z = 0; name && z < zones->n; z++)
        if (zones->items[z].plot == index && strcmp(zones->items[z].name, name) == 0)
            return (int)z;
    if (name)
        wrong(r, w, "zone", "the plot has no zone `%s`", name);
    return -1;
}

static void block_read(struct reading *r, const json_t *object, const struct where *w, int plot)
{
    size_t n;
    const json_t *parts = list_read(r, object, w, "parts", STAND_PARTS_MAX, &n);
    struct planting *p = ARENA_NEW(r->arena, struct planting);
    struct block *block = &r->plan->blocks[r->plan->nblocks++];
    r->nomem |= !p;
    if (!parts || !p)
        return;
    *block = (struct block){.item = -1, .planting = p, .zone = zone_find(r, object, w, plot)};
    keys_read(r, object, w, &block_keys, block);
    keys_read(r, object, w, &planting_keys, p);
    guild_read(r, object, w, p);
    const struct where all = {w, "parts", 0};
    for (size_t k = 0; k < n; k++) {
        const struct where here = {&all, "", k};
        p->nparts += part_read(r, json_array_get(parts, k), &here, block, p, (int)k);
    }
    if (n == 0)
        wrong(r, w, "parts", "is empty");
    const json_t *number = member(r, object, w, "block", JSON_INTEGER);
    if (number && json_integer_value(number) != r->plan->nblocks)
        wrong(r, w, "block", "is not the number of this block, %d", r->plan->nblocks);
}

static void plot_read(struct reading *r, const json_t *plot, const struct where *w, int index)
{
    size_t n;
    const char *name = text_read(r, plot, w, "name", TEXT_BYTES_MAX);
    const char *due = garden_plot(r->plan->garden, (size_t)index)->name.s;
    if (name && strcmp(name, due) != 0)
        wrong(r, w, "name", "the garden's plot here is `%s`", due);
    grounds_read(r, plot, w, index);
    zones_read(r, plot, w, index);
    const json_t *blocks =
        list_read(r, plot, w, "blocks", BLOCKS_MAX - (size_t)r->plan->nblocks, &n);
    const struct where all = {w, "blocks", 0};
    for (size_t b = 0; blocks && b < n && !r->nomem; b++) {
        const struct where here = {&all, "", b};
        block_read(r, json_array_get(blocks, b), &here, index);
    }
}

static void plots_read(struct reading *r, const json_t *root)
{
    size_t n, due = r->plan->garden->plots.n;
    const json_t *plots = list_read(r, root, NULL, "plots", due, &n);
    struct plan *plan = r->plan;
    plan->zones.items = ARENA_ARRAY(r->arena, struct zone, ZONES_MAX);
    plan->zones.grounds = ARENA_ARRAY(r->arena, struct ground, 2 * due);
    plan->blocks = ARENA_ARRAY(r->arena, struct block, BLOCKS_MAX);
    r->nomem |= !plan->zones.items || !plan->zones.grounds || !plan->blocks;
    if (!plots || r->nomem)
        return;
    if (n != due)
        wrong(r, NULL, "plots", "the garden has %zu", due);
    const struct where all = {NULL, "plots", 0};
    for (size_t i = 0; i < n; i++) {
        const struct where here = {&all, "", i};
        plot_read(r, json_array_get(plots, i), &here, (int)i);
    }
}

/* ---- reading: stations ---------------------------------------------------------------------- */

static void plants_read(struct reading *r, const json_t *object, const struct where *w,
                        struct station *s)
{
    const struct planting *p = r->plan->blocks[s->block].planting;
    const json_t *crops = member(r, object, w, "crops", JSON_OBJECT);
    size_t found = 0;
    for (int k = 0; crops && k < p->nparts; k++) {
        const char *name = plan_part_name(r->arena, p, k);
        const json_t *count = name ? json_object_get(crops, name) : NULL;
        r->nomem |= !name;
        if (!count)
            continue;
        found++;
        if (!json_is_integer(count) || json_integer_value(count) < 1 ||
            json_integer_value(count) > 1000)
            wrong(r, w, "crops", "`%s` has no number of plants", name);
        else
            s->plants[k] = (int)json_integer_value(count);
    }
    if (crops && found != json_object_size(crops))
        wrong(r, w, "crops", "names what does not grow in its block");
}

static void station_read(struct reading *r, const json_t *object, const struct where *w,
                         struct station *s)
{
    int errors = r->errors;
    keys_read(r, object, w, &station_keys, s);
    if (r->errors > errors)
        return;
    if (s->block >= r->plan->nblocks)
        wrong(r, w, "block", "there is no block %d", s->block + 1);
    else if (s->line >= r->plan->blocks[s->block].lines)
        wrong(r, w, "line", "the block has no line %d", s->line + 1);
    else if (s->plot != r->plan->zones.items[r->plan->blocks[s->block].zone].plot)
        wrong(r, w, "plot", "its block is in another plot");
    else
        plants_read(r, object, w, s);
}

static int station_order(const void *left, const void *right)
{
    const struct station *a = left, *b = right;
    if (a->block != b->block)
        return a->block < b->block ? -1 : 1;
    if (a->line != b->line)
        return a->line < b->line ? -1 : 1;
    return (a->index > b->index) - (a->index < b->index);
}

/* Whether place_stations can be asked: a file may speak of any number of lines. */
static bool placeable(struct reading *r)
{
    double stations = 0;
    for (int b = 0; b < r->plan->nblocks; b++) {
        const struct block *block = &r->plan->blocks[b];
        stations += block->lines * (1 + block->length_m / block->planting->pitch_m);
    }
    if (stations > STATIONS_MAX)
        wrong(r, NULL, "plots", "the blocks hold more than %d stations", STATIONS_MAX);
    return stations <= STATIONS_MAX;
}

static bool station_same(const struct station *a, const struct station *b)
{
    return strcmp(a->id, b->id) == 0 && station_order(a, b) == 0 && fabs(a->x_m - b->x_m) < 1e-6 &&
           fabs(a->y_m - b->y_m) < 1e-6 && memcmp(a->plants, b->plants, sizeof a->plants) == 0;
}

/* The stations of the file stay, so that it can be checked; where they differ from what the blocks
 * say, a warning tells of it. Lines are those of the blocks, with the file's stations. */
static void stations_settle(struct reading *r, struct station *stations, int n)
{
    struct plan *plan = r->plan;
    if (!placeable(r))
        return;
    if (place_stations(plan) != HR_OK) {
        r->nomem = true;
        return;
    }
    int differ = abs(plan->nstations - n), s = 0;
    qsort(stations, (size_t)n, sizeof *stations, station_order);
    for (int i = 0; i < n && i < plan->nstations; i++)
        differ += !station_same(&stations[i], &plan->stations[i]);
    for (int l = 0; l < plan->nlines; l++) {
        struct line *line = &plan->lines[l];
        line->first = s;
        while (s < n && stations[s].block == line->block && stations[s].line == line->index)
            s++;
        line->n = s - line->first;
    }
    plan->stations = stations;
    plan->nstations = n;
    if (differ > 0)
        diag_warning(r->diags, (struct pos){0}, "plan-json",
                     "%s: %d stations are not what the blocks say; the file has been changed",
                     r->path, differ);
}

static void stations_read(struct reading *r, const json_t *root)
{
    size_t n;
    const json_t *list = list_read(r, root, NULL, "stations", STATIONS_MAX, &n);
    struct station *stations = list ? ARENA_ARRAY(r->arena, struct station, n) : NULL;
    if (!list)
        return;
    if (!stations) {
        r->nomem = true;
        return;
    }
    const struct where all = {NULL, "stations", 0};
    for (size_t i = 0; i < n; i++) {
        const struct where here = {&all, "", i};
        station_read(r, json_array_get(list, i), &here, &stations[i]);
    }
    if (r->errors == 0 && !r->nomem)
        stations_settle(r, stations, (int)n);
}

/* ---- reading: the whole --------------------------------------------------------------------- */

/* Former ground, which the garden's text names only by the path of a plan; left out: there is none.
 */
static void former_read(struct reading *r, const json_t *root, struct garden *g)
{
    size_t n;
    const struct where all = {NULL, "former", 0};
    const json_t *list =
        json_object_get(root, "former") ? list_read(r, root, NULL, "former", FORMER_MAX, &n) : NULL;
    g->former = list ? ARENA_ARRAY(r->arena, struct former, n + 1) : NULL;
    r->nomem |= list && !g->former;
    for (size_t i = 0; g->former && i < n; i++) {
        const struct where here = {&all, "", i};
        struct former *f = &g->former[g->nformer++];
        keys_read(r, json_array_get(list, i), &here, &former_keys, f);
        if (f->plot < 0 || (size_t)f->plot >= g->plots.n)
            wrong(r, &here, "plot", "there is no such plot");
    }
}

static hr_status garden_file_read(struct reading *r, const json_t *root)
{
    const struct where here = {NULL, "garden_file", 0};
    const json_t *file = member(r, root, NULL, "garden_file", JSON_OBJECT);
    const char *path = file ? text_read(r, file, &here, "path", TEXT_BYTES_MAX) : NULL;
    const json_t *text = file ? member(r, file, &here, "text", JSON_STRING) : NULL;
    const struct source *src;
    struct garden *garden;
    if (r->nomem)
        return HR_NOMEM;
    if (!path || !text)
        return HR_INPUT;
    hr_status status =
        source_text(r->arena, path, json_string_value(text), json_string_length(text), &src);
    if (status == HR_OK)
        status = garden_read(r->arena, src, r->lib, r->diags, &garden);
    if (status == HR_OK) {
        former_read(r, root, garden);
        r->plan->garden = garden;
    } else if (status == HR_INPUT)
        wrong(r, &here, "text", "the garden kept inside cannot be used any more");
    return status;
}

/* What the file says a second time has to agree with its garden. */
static void agree(struct reading *r, const json_t *root, const char *key, const char *due)
{
    const char *found = text_read(r, root, NULL, key, TEXT_BYTES_MAX);
    if (found && strcmp(found, due) != 0)
        wrong(r, NULL, key, "is `%s`, but `%s` in the garden kept inside", found, due);
}

/* What foods count for is in the garden; what was proved of the food itself is not. */
static void weighed_read(struct reading *r, const json_t *root)
{
    const struct where here = {NULL, "weighed", 0};
    const json_t *v =
        weight_any(r->plan->garden) ? member(r, root, NULL, "weighed", JSON_OBJECT) : NULL;
    if (v)
        keys_read(r, v, &here, &weighed_keys, r->plan);
}

static hr_status root_read(struct reading *r, const json_t *root)
{
    struct plan *plan = r->plan;
    const json_t *format = member(r, root, NULL, "hillrow", JSON_INTEGER);
    if (!format)
        return HR_INPUT;
    if (json_integer_value(format) != HILLROW_PLAN_FORMAT) {
        wrong(r, NULL, "hillrow", "format %" JSON_INTEGER_FORMAT " is not known here, only %d",
              json_integer_value(format), HILLROW_PLAN_FORMAT);
        return HR_INPUT;
    }
    hr_status status = garden_file_read(r, root);
    if (status != HR_OK)
        return status;
    const char *id = text_read(r, root, NULL, "plan_id", sizeof plan->id - 1);
    if (id)
        memcpy(plan->id, id, strlen(id) + 1);
    agree(r, root, "garden", plan->garden->name.s);
    agree(r, root, "goal", goal_names[plan->garden->goal.v]);
    agree(r, root, "unit", plan_unit(plan->garden));
    keys_read(r, root, NULL, &plan_keys, plan);
    weighed_read(r, root);
    if (garden_saves_seed(plan->garden))
        keys_read(r, root, NULL, &eaten_keys, plan);
    results_read(r, root);
    left_out_read(r, root);
    plots_read(r, root);
    if (r->errors == 0 && !r->nomem)
        stations_read(r, root);
    return r->nomem ? HR_NOMEM : r->errors > 0 ? HR_INPUT : HR_OK;
}

/* Whether the text asks for so much that reading it would take more memory than it is worth: lists
 * in lists cost a hundred times their bytes. */
static bool too_much(const struct source *src)
{
    size_t containers = 0, values = 0;
    bool quoted = false;
    for (size_t i = 0; i < src->n; i++) {
        char c = src->p[i];
        if (quoted && c == '\\')
            i++;
        else if (c == '"')
            quoted = !quoted;
        else if (!quoted) {
            containers += c == '{' || c == '[';
            values += c == ',';
        }
    }
    return containers > CONTAINERS_MAX || values > VALUES_MAX;
}

static hr_status json_read(struct reading *r, const struct source *src, json_t **out)
{
    json_error_t error;
    if (too_much(src)) {
        wrong(r, NULL, "", "the file has too many values");
        return HR_INPUT;
    }
    json_t *root = json_loadb(src->p, src->n, JSON_REJECT_DUPLICATES, &error);
    if (json_is_object(root)) {
        *out = root;
        return HR_OK;
    }
    size_t at = !root && error.position > 0 ? (size_t)error.position - 1 : 0;
    diag_error(r->diags, (struct pos){src, at, at + 1}, "plan-json", "this is no plan.json: %s",
               root ? "it is not an object" : error.text);
    bool nomem = !root && json_error_code(&error) == json_error_out_of_memory;
    json_decref(root);
    return nomem ? HR_NOMEM : HR_INPUT;
}

hr_status plan_json_read(struct arena *arena, const char *path, const struct library *lib,
                         struct diags *diags, struct plan **out)
{
    struct plan *plan = ARENA_NEW(arena, struct plan);
    struct reading r = {.arena = arena, .diags = diags, .lib = lib, .path = path, .plan = plan};
    const struct source *src;
    json_t *root;
    if (!plan)
        return HR_NOMEM;
    plan->arena = arena;
    hr_status status = source_read(arena, path, diags, &src);
    if (status == HR_OK)
        status = json_read(&r, src, &root);
    if (status != HR_OK)
        return status;
    status = root_read(&r, root);
    json_decref(root);
    if (status == HR_OK)
        *out = plan;
    return status;
}
