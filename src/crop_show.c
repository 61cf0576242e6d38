/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Crops and guilds as text for a person, 80 columns. See crop.h. */
#include "crop.h"

#include <stdint.h>
#include <string.h>

#include "num.h"

#define WIDTH       80
#define NAME_WIDTH  18
#define FIGURE_WIDE 9
#define UNIT_WIDTH  9

/* What a figure is shown in: inside value times factor, and the unit's name. */
static const struct shown {
    double factor;
    const char *name;
    int digits; /* significant ones, 0: 3 */
} shown_units[UNIT_KIND_COUNT] = {
    [UNIT_LENGTH] = {100, "cm", 0},
    [UNIT_MASS] = {1000, "g", 0},
    [UNIT_SHARE] = {100, "%", 0},
    [UNIT_TEMPERATURE] = {1, "C", 0},
    [UNIT_DAYS] = {1, "days", 4},
    [UNIT_PER_AREA] = {1, "/m2", 0},
    [UNIT_YIELD] = {1, "kg/m2", 0},
    [UNIT_SEEDS_PER_MASS] = {0.001, "/g", 0},
    [UNIT_ENERGY] = {0.1, "kcal/100g", 0},
    [UNIT_CONTENT] = {1000, "g/kg", 4},
    [UNIT_HOURS_PER_AREA] = {1, "h/m2", 0},
    [UNIT_HOURS_PER_MASS] = {1, "h/kg", 0},
    [UNIT_MINUTES_EACH] = {60, "min each", 0},
};

/* Where a page begins a new part, by the figure it begins with. */
static const struct {
    const char *first, *title;
} page_parts[] = {
    {"in row", "Ground and growth"},
    {"seeds per mass", "Seed"},
    {"piece", "Seed"},
    {"germination", "Seed"},
    {"sow from", "Season"},
    {"yield", "Yield"},
    {"nitrogen removed", "Nitrogen"},
    {"storage", "Keeping and work"},
    {"planting time", "Keeping and work"},
};

/* What bare numbers count. */
static const struct {
    const char *figure, *unit;
} counted[] = {
    {"seeds per spot", "each spot"}, {"lai", "m2/m2"},          {"seed keeps", "years"},
    {"seed stand", "plants"},        {"degree days", "C days"}, {"per hill", "plants"},
    {"sown per hill", "seeds"},
};

struct showing {
    const struct library *lib;
    struct strbuf *out;
};

static void heading(struct strbuf *out, const char *name)
{
    strbuf_printf(out, "%s\n", name);
    for (size_t i = utf8_columns(name); i > 0; i--)
        strbuf_puts(out, "=");
    strbuf_puts(out, "\n\n");
}

/* A name and a text behind it, wrapped. */
static void fact(struct strbuf *out, const char *name, const char *text)
{
    strbuf_puts(out, "  ");
    strbuf_pad(out, name, NAME_WIDTH);
    strbuf_wrap(out, text, WIDTH, NAME_WIDTH + 2, NAME_WIDTH + 2);
}

static void fact_texts(struct strbuf *out, const char *name, const struct list *texts)
{
    struct strbuf all;
    strbuf_init(&all, out->arena);
    const struct text *items = texts->items;
    for (size_t i = 0; i < texts->n; i++)
        strbuf_printf(&all, "%s%s", i > 0 ? ", " : "", items[i].s);
    fact(out, name, all.p);
    out->failed |= all.failed;
}

static const char *source_words(const char *source)
{
    if (strcmp(source, "practice") == 0)
        return "common practice";
    if (strcmp(source, "estimate") == 0)
        return "estimate (ours)";
    return strcmp(source, "garden") == 0 ? "garden file" : source;
}

static void figure_head(struct strbuf *out, const char *what)
{
    static const char *const heads[] = {"low", "typical", "high"};
    strbuf_puts(out, "\n  ");
    strbuf_pad(out, what, NAME_WIDTH);
    for (size_t i = 0; i < 3; i++)
        strbuf_printf(out, "%*s", FIGURE_WIDE, heads[i]);
    strbuf_puts(out, "  ");
    strbuf_pad(out, "unit", UNIT_WIDTH);
    strbuf_puts(out, "  source\n");
}

static const char *unit_counted(const char *figure_name)
{
    for (size_t i = 0; i < sizeof counted / sizeof counted[0]; i++)
        if (strcmp(counted[i].figure, figure_name) == 0)
            return counted[i].unit;
    return "";
}

static const char *part_title(const char *first)
{
    for (size_t i = 0; i < sizeof page_parts / sizeof page_parts[0]; i++)
        if (strcmp(page_parts[i].first, first) == 0)
            return page_parts[i].title;
    return NULL;
}

static void figure(struct strbuf *out, const struct field *f, const struct range *r)
{
    static const struct shown metres = {1, "m", 0}; /* of what may be longer than a field */
    const double values[] = {r->low, r->typ, r->high};
    bool bare = f->type == FIELD_RANGE_NUMBER, far = f->kind == UNIT_LENGTH && f->max > 1000;
    const struct shown *unit = far ? &metres : &shown_units[f->kind];
    double factor = bare ? 1 : unit->factor;
    int digits = bare || unit->digits == 0 ? 3 : unit->digits;
    strbuf_puts(out, "  ");
    strbuf_pad(out, f->name, NAME_WIDTH);
    for (size_t i = 0; i < 3; i++) {
        char num[64] = "";
        if (i == 1 || r->low < r->high)
            num_text(num, sizeof num, num_round_sig(values[i] * factor, digits));
        strbuf_printf(out, "%*s", FIGURE_WIDE, num);
    }
    strbuf_puts(out, "  ");
    strbuf_pad(out, bare ? unit_counted(f->name) : unit->name, UNIT_WIDTH);
    strbuf_printf(out, "  %s\n", source_words(r->source));
}

/* A sentence in both units. */
static const char *both(struct strbuf *out, const char *text)
{
    const char *words = unit_words_both(out->arena, text);
    out->failed |= !words;
    return words ? words : "";
}

/* The facts of a table: texts and choices, its name left to the heading. */
static void facts_show(struct strbuf *out, const struct field_table *table, const void *of)
{
    for (size_t i = 0; i < table->n; i++) {
        const struct field *f = &table->fields[i];
        const void *at = (const char *)of + f->offset;
        const struct text *text = at;
        const struct choice *choice = at;
        if (f->type == FIELD_TEXT && f->offset > 0 && text->s && strcmp(f->name, "note") != 0)
            fact(out, f->name, both(out, text->s));
        else if (f->type == FIELD_CHOICE && choice->v >= 0)
            fact(out, f->name, f->names[choice->v]);
        else if (f->type == FIELD_FLAG)
            fact(out, f->name, ((const struct flag *)at)->v ? "yes" : "no");
        else if (f->type == FIELD_TEXTS)
            fact_texts(out, f->name, at);
        else if (f->type == FIELD_WHOLE && ((const struct qty *)at)->v > 1)
            strbuf_printf(out, "  %-*s%.0f\n", NAME_WIDTH, f->name, ((const struct qty *)at)->v);
    }
}

/* The figures of a table; of a crop's, in parts with titles. */
static void figures_show(struct strbuf *out, const struct field_table *table, const void *of)
{
    const char *part = NULL;
    for (size_t i = 0; i < table->n; i++) {
        const struct field *f = &table->fields[i];
        const void *at = (const char *)of + f->offset;
        bool range = f->type == FIELD_RANGE || f->type == FIELD_RANGE_NUMBER;
        if (!range || !((const struct range *)at)->set)
            continue;
        const char *title = table == &crop_table ? part_title(f->name) : NULL;
        if (title && title != part && (!part || strcmp(title, part) != 0))
            figure_head(out, part = title);
        figure(out, f, at);
    }
}

static void food_show(struct strbuf *out, const struct crop *crop)
{
    for (size_t i = 0; i < crop_table.n; i++) {
        const struct field *f = &crop_table.fields[i];
        if (f->type != FIELD_MAP)
            continue;
        figure_head(out, f->name);
        strbuf_puts(out, "  ");
        strbuf_wrap(out, crop->food.form.s, WIDTH, 2, 2);
        figures_show(out, f->sub, (const char *)crop + f->offset);
        if (crop->food.note.s) {
            strbuf_puts(out, "  ");
            strbuf_wrap(out, crop->food.note.s, WIDTH, 2, 2);
        }
        strbuf_wrap(out,
                    "Energy and protein are of the part eaten; amino acids are g in a kg of "
                    "protein (mg/g).",
                    WIDTH, 2, 0);
    }
}

static void words_show(struct strbuf *out, const struct list *cautions, const struct text *note)
{
    const struct caution *items = cautions->items;
    if (cautions->n > 0)
        strbuf_puts(out, "\nCautions\n");
    for (size_t i = 0; i < cautions->n; i++) {
        strbuf_puts(out, "  - ");
        strbuf_wrap(out, items[i].text.s, WIDTH, 4, 4);
        strbuf_printf(out, "    (%s)\n", source_words(items[i].source.s));
    }
    if (note->s) {
        strbuf_puts(out, "\nNote\n  ");
        strbuf_wrap(out, both(out, note->s), WIDTH, 2, 2);
    }
}

/* ---- sources -------------------------------------------------------------------------------- */

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
    asked->found |= strcmp(source, asked->key) == 0;
}

static void source_show(struct strbuf *out, const struct source_entry *s)
{
    struct strbuf text;
    strbuf_init(&text, out->arena);
    const char *const parts[] = {s->author, s->title, s->where, s->year};
    for (size_t i = 0; i < 4; i++) {
        size_t n = strlen(parts[i]);
        if (n > 0)
            strbuf_printf(&text, "%s%s%s", text.n > 0 ? " " : "", parts[i],
                          parts[i][n - 1] == '.' ? "" : ".");
    }
    if (s->note[0] != '\0')
        strbuf_printf(&text, " (%s)", s->note);
    if (s->url[0] != '\0')
        strbuf_printf(&text, " %s", s->url);
    fact(out, s->key, text.p);
    out->failed |= text.failed;
}

static void sources_show(const struct showing *s, const struct field_table *table, const void *of)
{
    bool any = false;
    for (size_t i = 0; i < s->lib->nsources; i++) {
        struct asked asked = {s->lib->sources[i].key, false};
        figures_each(table, of, source_asked, &asked);
        if (!asked.found)
            continue;
        if (!any)
            strbuf_puts(s->out, "\nSources\n");
        any = true;
        source_show(s->out, &s->lib->sources[i]);
    }
}

/* ---- one crop, one guild, all --------------------------------------------------------------- */

void crop_show(const struct library *lib, const struct crop *crop, struct strbuf *out)
{
    const struct showing s = {lib, out};
    heading(out, crop->name.s);
    crop_glance(crop, out);
    facts_show(out, &crop_table, crop);
    figures_show(out, &crop_table, crop);
    food_show(out, crop);
    words_show(out, &crop->cautions, &crop->note);
    sources_show(&s, &crop_table, crop);
}

void guild_show(const struct library *lib, const struct guild *guild, struct strbuf *out)
{
    const struct showing s = {lib, out};
    heading(out, guild->name.s);
    facts_show(out, &guild_table, guild);
    figure_head(out, "figure");
    figures_show(out, &guild_table, guild);
    for (size_t i = 0; i < guild_table.n; i++) {
        const struct field *f = &guild_table.fields[i];
        if (f->offset != offsetof(struct guild, members))
            continue;
        for (size_t k = 0; k < guild->members.n; k++) {
            const char *member = (const char *)guild->members.items + k * f->sub->size;
            strbuf_printf(out, "\nMember %zu\n", k + 1);
            facts_show(out, f->sub, member);
            figure_head(out, "figure");
            figures_show(out, f->sub, member);
        }
    }
    words_show(out, &guild->cautions, &guild->note);
    sources_show(&s, &guild_table, guild);
}

void cover_show(const struct library *lib, const struct cover *cover, struct strbuf *out)
{
    const struct showing s = {lib, out};
    heading(out, cover->name.s);
    facts_show(out, &cover_table, cover);
    figure_head(out, "figure");
    figures_show(out, &cover_table, cover);
    words_show(out, &cover->cautions, &cover->note);
    sources_show(&s, &cover_table, cover);
}

/* "85 to 110", to so many decimals. */
static void list_span(struct strbuf *out, const struct range *r, int decimals, int width)
{
    char low[64], high[64], both[160];
    num_fixed(low, sizeof low, r->low, decimals);
    num_fixed(high, sizeof high, r->high, decimals);
    snprintf(both, sizeof both, "%s to %s", low, high);
    strbuf_printf(out, "%*s", width, both);
}

static void list_crop(const struct crop *crop, struct strbuf *out)
{
    strbuf_puts(out, "  ");
    strbuf_pad(out, crop->name.s, 19);
    strbuf_puts(out, " ");
    strbuf_pad(out, crop->letter.s, 4);
    strbuf_pad(out, role_names[crop->role.v], 8);
    strbuf_pad(out, crop->family.s, 15);
    list_span(out, &crop->days, 0, 11);
    list_span(out, &crop->yield_kg_m2, 2, 14);
    strbuf_printf(out, " %s\n", harvest_names[crop->harvest.v]);
}

static void list_covers(const struct library *lib, struct strbuf *out)
{
    if (lib->ncovers > 0)
        strbuf_puts(out, "\n  cover crop                 sown by, days before the first frost\n");
    for (size_t i = 0; i < lib->ncovers; i++) {
        const struct cover *cover = &lib->covers[i];
        strbuf_puts(out, "  ");
        strbuf_pad(out, cover->name.s, 27);
        list_span(out, &cover->before_d, 0, 11);
        strbuf_puts(out, cover->winter_kills.v ? "  dies in winter\n" : "\n");
    }
}

void library_list(const struct library *lib, struct strbuf *out)
{
    strbuf_printf(out, "  %-19s %-4s%-8s%-15s%11s%14s %s\n", "crop", "map", "role", "family",
                  "days", "kg/m2", "as");
    for (size_t i = 0; i < lib->ncrops; i++)
        list_crop(&lib->crops[i], out);
    strbuf_puts(out, "\n  guild\n");
    for (size_t i = 0; i < lib->nguilds; i++) {
        const struct guild *guild = &lib->guilds[i];
        const struct guild_member *members = guild->members.items;
        struct strbuf who;
        strbuf_init(&who, out->arena);
        for (size_t k = 0; k < guild->members.n; k++) {
            const struct text *names = members[k].crops.items;
            for (size_t c = 0; c < members[k].crops.n; c++)
                strbuf_printf(&who, "%s%s", c > 0 ? " or " : k > 0 ? "; " : "", names[c].s);
        }
        strbuf_puts(out, "  ");
        strbuf_pad(out, guild->name.s, 27);
        strbuf_wrap(out, who.p, WIDTH, 29, 29);
        out->failed |= who.failed;
    }
    list_covers(lib, out);
    strbuf_printf(out, "\n%zu crops, %zu guilds, %zu cover crops, %zu sources in %s.\n",
                  lib->ncrops, lib->nguilds, lib->ncovers, lib->nsources, lib->dir);
    strbuf_wrap(
        out,
        "Days from sowing to harvest and yields of a close sole stand, low to high: eight "
        "seasons in ten lie between. `hillrow crops NAME` has the typical figures, food "
        "values, seed, season and the source of each. Map: the letter on the map. Role: what "
        "the crop does in a guild. As: picked dry, at once, or fresh over weeks.",
        WIDTH, 0, 0);
}
