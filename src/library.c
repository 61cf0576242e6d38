/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The folder of crop and guild files: read, checked as a whole, looked up. See crop.h. */
#include "crop.h"

#include <dirent.h>
#include <errno.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define FILES_MAX 2000
#define SOURCES   "sources.bib"

static const char *const guild_systems[] = {"hills", "row guild"};

struct reading {
    struct arena *arena;
    struct diags *diags;
    struct library *lib;
    hr_status status;   /* the worst so far */
    bool sources_known; /* sources.bib was read whole */
    bool *used;         /* sources that some figure names */
};

/* Keeps the worst: no memory, then files that cannot be read, then what is wrong in them. */
static void worsen(struct reading *r, hr_status status)
{
    if (r->status == HR_NOMEM || status == HR_OK)
        return;
    if (status == HR_INPUT && r->status == HR_IO)
        return;
    r->status = status;
}

/* ---- the files ------------------------------------------------------------------------------ */

static bool is_yaml(const char *name)
{
    size_t n = strlen(name);
    return name[0] != '.' && n > 5 && strcmp(name + n - 5, ".yaml") == 0;
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Names of the *.yaml files of the folder, sorted. */
static hr_status files_list(struct reading *r, const char ***out, size_t *n)
{
    const char **names = ARENA_ARRAY(r->arena, const char *, FILES_MAX);
    if (!names)
        return HR_NOMEM;
    DIR *dir = opendir(r->lib->dir);
    if (!dir) {
        diag_file(r->diags, r->lib->dir, "cannot-read", "the folder of crops cannot be read: %s",
                  strerror(errno));
        return HR_IO;
    }
    hr_status status = HR_OK;
    size_t count = 0;
    for (const struct dirent *item = readdir(dir); item && status == HR_OK; item = readdir(dir)) {
        if (!is_yaml(item->d_name))
            continue;
        if (count == FILES_MAX) {
            diag_file(r->diags, r->lib->dir, "too-many", "more than %d crop files", FILES_MAX);
            status = HR_INPUT;
        } else if (!(names[count++] = arena_strdup(r->arena, item->d_name))) {
            status = HR_NOMEM;
        }
    }
    closedir(dir);
    if (status != HR_OK)
        return status;
    qsort(names, count, sizeof *names, by_text);
    *out = names;
    *n = count;
    return HR_OK;
}

static hr_status source_open(struct reading *r, const char *name, const struct source **out)
{
    const char *path = arena_printf(r->arena, "%s/%s", r->lib->dir, name);
    if (!path)
        return HR_NOMEM;
    return source_read(r->arena, path, r->diags, out);
}

static hr_status file_read(struct reading *r, const char *name)
{
    const struct source *src;
    struct node *root;
    hr_status status = source_open(r, name, &src);
    if (status == HR_OK)
        status = tree_read(r->arena, src, r->diags, &root);
    if (status != HR_OK)
        return status;
    if (tree_find(root, "crop")) {
        struct crop *crop = &r->lib->crops[r->lib->ncrops];
        status = field_read(&crop_table, root, false, r->arena, r->diags, crop);
        r->lib->ncrops += status == HR_OK;
    } else if (tree_find(root, "guild")) {
        struct guild *guild = &r->lib->guilds[r->lib->nguilds];
        status = field_read(&guild_table, root, false, r->arena, r->diags, guild);
        r->lib->nguilds += status == HR_OK;
    } else if (tree_find(root, "cover")) {
        struct cover *cover = &r->lib->covers[r->lib->ncovers];
        status = field_read(&cover_table, root, false, r->arena, r->diags, cover);
        r->lib->ncovers += status == HR_OK;
    } else {
        diag_error(r->diags, root->at, "crop-or-guild",
                   "a file here describes a crop, a guild or a cover crop: the key `crop`, `guild` "
                   "or `cover` is missing");
        status = HR_INPUT;
    }
    return status;
}

/* By name as one looks it up; two of one name in the order of their files, so that the later one is
 * reported. */
static int order(const struct text *a, const struct text *b)
{
    int names = str_same(a->s, b->s) ? 0 : str_order(a->s, b->s);
    return names ? names : strcmp(a->at.src->name, b->at.src->name);
}

static int crop_order(const void *a, const void *b)
{
    return order(&((const struct crop *)a)->name, &((const struct crop *)b)->name);
}

static int guild_order(const void *a, const void *b)
{
    return order(&((const struct guild *)a)->name, &((const struct guild *)b)->name);
}

static int cover_order(const void *a, const void *b)
{
    return order(&((const struct cover *)a)->name, &((const struct cover *)b)->name);
}

static void sources_read(struct reading *r)
{
    const struct source *src;
    struct library *lib = r->lib;
    hr_status status = source_open(r, SOURCES, &src);
    if (status == HR_OK)
        status = bib_read(r->arena, src, r->diags, &lib->sources, &lib->nsources);
    worsen(r, status);
    r->sources_known = status == HR_OK;
    r->used = ARENA_ARRAY(r->arena, bool, lib->nsources);
    if (!r->used)
        worsen(r, HR_NOMEM);
}

static void files_read(struct reading *r)
{
    const char **names;
    size_t n;
    hr_status status = files_list(r, &names, &n);
    worsen(r, status);
    if (status != HR_OK)
        return;
    r->lib->crops = ARENA_ARRAY(r->arena, struct crop, n);
    r->lib->guilds = ARENA_ARRAY(r->arena, struct guild, n);
    r->lib->covers = ARENA_ARRAY(r->arena, struct cover, n);
    if (!r->lib->crops || !r->lib->guilds || !r->lib->covers) {
        worsen(r, HR_NOMEM);
        return;
    }
    for (size_t i = 0; i < n && r->status != HR_NOMEM; i++)
        worsen(r, file_read(r, names[i]));
    if (r->lib->ncrops > 1)
        qsort(r->lib->crops, r->lib->ncrops, sizeof *r->lib->crops, crop_order);
    if (r->lib->nguilds > 1)
        qsort(r->lib->guilds, r->lib->nguilds, sizeof *r->lib->guilds, guild_order);
    if (r->lib->ncovers > 1)
        qsort(r->lib->covers, r->lib->ncovers, sizeof *r->lib->covers, cover_order);
    if (n == 0) {
        diag_file(r->diags, r->lib->dir, "no-crops", "no crop file (*.yaml) in this folder");
        worsen(r, HR_INPUT);
    }
}

/* ---- the library as a whole ----------------------------------------------------------------- */

static bool no_publication(const char *source)
{
    return strcmp(source, "practice") == 0 || strcmp(source, "estimate") == 0;
}

static void lint_source(void *data, const struct field *field, const struct range *value,
                        const char *source, struct pos at)
{
    struct reading *r = data;
    (void)value;
    if (no_publication(source))
        return;
    for (size_t i = 0; i < r->lib->nsources; i++) {
        if (strcmp(r->lib->sources[i].key, source) == 0) {
            r->used[i] = true;
            return;
        }
    }
    diag_error(r->diags, at, "unknown-source",
               "`%s` (of `%s`) is no key of " SOURCES ", nor `practice` or `estimate`", source,
               field->name);
}

static void lint_sources(struct reading *r)
{
    struct library *lib = r->lib;
    for (size_t i = 0; i < lib->ncrops; i++)
        figures_each(&crop_table, &lib->crops[i], lint_source, r);
    for (size_t i = 0; i < lib->nguilds; i++)
        figures_each(&guild_table, &lib->guilds[i], lint_source, r);
    for (size_t i = 0; i < lib->ncovers; i++)
        figures_each(&cover_table, &lib->covers[i], lint_source, r);
    for (size_t i = 0; i < lib->nsources; i++)
        if (!r->used[i])
            diag_warning(r->diags, lib->sources[i].at, "unused-source", "no figure names `%s`",
                         lib->sources[i].key);
}

/* Reports `second` where it stands again what `first` has taken. */
static void lint_pair(struct reading *r, const struct text *first, const struct text *second,
                      const char *check, const char *what)
{
    if (!str_same(first->s, second->s))
        return;
    diag_error(r->diags, second->at, check, "%s `%s` is taken", what, second->s);
    diag_note(r->diags, first->at, "by this one");
}

static void lint_names(struct reading *r)
{
    const struct library *lib = r->lib;
    for (size_t i = 0; i < lib->ncrops; i++) {
        for (size_t k = 0; k < i; k++) {
            const struct crop *a = &lib->crops[k], *b = &lib->crops[i];
            lint_pair(r, &a->name, &b->name, "same-name", "the crop name");
            lint_pair(r, &a->letter, &b->letter, "same-letter", "the map letter");
        }
        for (size_t k = 0; k < lib->nguilds; k++)
            lint_pair(r, &lib->crops[i].name, &lib->guilds[k].name, "same-name", "the name");
    }
    for (size_t i = 0; i < lib->nguilds; i++)
        for (size_t k = 0; k < i; k++)
            lint_pair(r, &lib->guilds[k].name, &lib->guilds[i].name, "same-name", "the guild name");
    for (size_t i = 0; i < lib->ncovers; i++) {
        for (size_t k = 0; k < i; k++)
            lint_pair(r, &lib->covers[k].name, &lib->covers[i].name, "same-name", "the name");
        for (size_t k = 0; k < lib->ncrops; k++)
            lint_pair(r, &lib->crops[k].name, &lib->covers[i].name, "same-name", "the name");
        for (size_t k = 0; k < lib->nguilds; k++)
            lint_pair(r, &lib->guilds[k].name, &lib->covers[i].name, "same-name", "the name");
    }
}

static void lint_member_crops(struct reading *r, struct guild_member *member)
{
    struct text *names = member->crops.items;
    for (size_t i = 0; i < member->crops.n; i++) {
        const struct crop *crop = library_crop(r->lib, names[i].s);
        const char *near = crop ? NULL : library_near_crop(r->lib, names[i].s);
        if (crop)
            names[i].s = crop->name.s;
        else
            diag_error(r->diags, names[i].at, "unknown-crop", "there is no crop `%s`%s%s%s",
                       names[i].s, near ? "; did you mean `" : "", near ? near : "",
                       near ? "`?" : "");
    }
}

static void lint_systems(struct reading *r, struct guild *guild)
{
    struct text *names = guild->systems.items;
    for (size_t i = 0; i < guild->systems.n; i++) {
        bool known = false;
        for (size_t k = 0; k < sizeof guild_systems / sizeof *guild_systems; k++) {
            if (str_same(names[i].s, guild_systems[k])) {
                names[i].s = guild_systems[k];
                known = true;
            }
        }
        if (!known)
            diag_error(r->diags, names[i].at, "unknown-system",
                       "`%s` is no way to plant a guild: hills, row guild", names[i].s);
    }
}

static bool planted_in(const struct guild *guild, const char *system)
{
    const struct text *names = guild->systems.items;
    for (size_t i = 0; i < guild->systems.n; i++)
        if (strcmp(names[i].s, system) == 0)
            return true;
    return false;
}

/* A figure that a guild needs in one of its systems. */
struct needed {
    const struct range *figure;
    const char *name;
};

static void lint_needed(struct reading *r, const struct needed *needed, size_t n, struct pos at,
                        const char *system)
{
    for (size_t i = 0; i < n; i++)
        if (!needed[i].figure->set)
            diag_error(r->diags, at, "missing-figure", "planted in %s, but without `%s`", system,
                       needed[i].name);
}

static void lint_guild_figures(struct reading *r, const struct guild *guild)
{
    const struct guild_member *members = guild->members.items;
    const struct needed hills[] = {
        {&guild->pitch_m, "pitch"},
        {&guild->hill_diameter_m, "hill diameter"},
        {&guild->hill_height_m, "hill height"},
        {&guild->plant_h, "planting time"},
    };
    const struct needed rows[] = {{&guild->row_m, "row"}};
    bool in_hills = planted_in(guild, "hills"), in_rows = planted_in(guild, "row guild");
    if (in_hills)
        lint_needed(r, hills, 4, guild->systems.at, "hills");
    if (in_rows)
        lint_needed(r, rows, 1, guild->systems.at, "rows");
    for (size_t i = 0; i < guild->members.n; i++) {
        const struct needed in_hill[] = {
            {&members[i].per_hill, "per hill"},
            {&members[i].sown_per_hill, "sown per hill"},
            {&members[i].ring_m, "ring"},
        };
        const struct needed in_row[] = {{&members[i].row_gap_m, "row gap"}};
        if (in_hills)
            lint_needed(r, in_hill, 3, members[i].role.at, "hills");
        if (in_rows)
            lint_needed(r, in_row, 1, members[i].role.at, "rows");
    }
}

static void lint_guild(struct reading *r, struct guild *guild)
{
    struct guild_member *members = guild->members.items;
    lint_systems(r, guild);
    lint_guild_figures(r, guild);
    if (guild->members.n < 2)
        diag_error(r->diags, guild->members.at, "member-count",
                   "a guild has two to four members, not %zu", guild->members.n);
    for (size_t i = 0; i < guild->members.n; i++) {
        lint_member_crops(r, &members[i]);
        if (members[i].sown_per_hill.typ < members[i].per_hill.typ)
            diag_error(r->diags, members[i].sown_per_hill.at, "impossible-value",
                       "fewer seeds sown than plants kept: `sown per hill` is at least `per hill`");
        if ((members[i].role.v == ROLE_SUPPORT) != (i == 0))
            diag_error(r->diags, members[i].role.at, "guild-support",
                       i == 0 ? "the first member is the support"
                              : "one support is enough: it is the first member");
    }
    if (guild->members.n > 0 && members[0].every.v != 1)
        diag_error(r->diags, members[0].every.at, "guild-support",
                   "the support stands in each hill: `every` is 1");
}

static void library_lint(struct reading *r)
{
    size_t errors = diags_errors(r->diags);
    for (size_t i = 0; i < r->lib->ncrops; i++)
        crop_lint(&r->lib->crops[i], r->diags);
    if (r->sources_known)
        lint_sources(r);
    lint_names(r);
    /* A guild may name a crop whose own file is at fault: say that first. */
    for (size_t i = 0; i < r->lib->nguilds && r->status == HR_OK; i++)
        lint_guild(r, &r->lib->guilds[i]);
    if (diags_errors(r->diags) > errors)
        worsen(r, HR_INPUT);
}

/* What each member waits for, in either unit. */
static void triggers_say(struct reading *r)
{
    for (size_t i = 0; i < r->lib->nguilds; i++) {
        struct guild_member *members = r->lib->guilds[i].members.items;
        for (size_t k = 0; k < r->lib->guilds[i].members.n; k++)
            for (int sys = UNITS_US; sys <= UNITS_METRIC; sys++) {
                const char *raw = members[k].trigger.s ? members[k].trigger.s : "";
                members[k].awaits[sys] = unit_words(r->arena, raw, (enum unit_system)sys);
                if (!members[k].awaits[sys])
                    worsen(r, HR_NOMEM);
            }
    }
}

hr_status library_read(struct arena *arena, const char *dir, struct diags *diags,
                       struct library **out)
{
    struct reading r = {.arena = arena, .diags = diags, .status = HR_OK};
    r.lib = ARENA_NEW(arena, struct library);
    if (!r.lib)
        return HR_NOMEM;
    r.lib->dir = arena_strdup(arena, dir);
    if (!r.lib->dir)
        return HR_NOMEM;
    files_read(&r);
    if (r.status != HR_NOMEM && r.lib->crops)
        sources_read(&r);
    if (r.status != HR_NOMEM && r.lib->crops)
        library_lint(&r);
    if (r.status == HR_OK)
        triggers_say(&r);
    if (r.status == HR_OK)
        *out = r.lib;
    return r.status;
}

/* ---- looking up ----------------------------------------------------------------------------- */

const struct crop *library_crop(const struct library *lib, const char *name)
{
    for (size_t i = 0; i < lib->ncrops; i++)
        if (str_same(lib->crops[i].name.s, name))
            return &lib->crops[i];
    return NULL;
}

const struct guild *library_guild(const struct library *lib, const char *name)
{
    for (size_t i = 0; i < lib->nguilds; i++)
        if (str_same(lib->guilds[i].name.s, name))
            return &lib->guilds[i];
    return NULL;
}

const struct cover *library_cover(const struct library *lib, const char *name)
{
    for (size_t i = 0; i < lib->ncovers; i++)
        if (str_same(lib->covers[i].name.s, name))
            return &lib->covers[i];
    return NULL;
}

const char *library_near_crop(const struct library *lib, const char *name)
{
    const char *names[FILES_MAX] = {NULL};
    for (size_t i = 0; i < lib->ncrops; i++)
        names[i] = lib->crops[i].name.s;
    size_t near = str_nearest(name, names, lib->ncrops);
    return near < lib->ncrops ? names[near] : NULL;
}

/* Whether a name is what stands before the first comma of another: a list parts it there. */
static bool is_head(const char *head, const char *whole)
{
    char part[256];
    size_t n = strcspn(whole, ",");
    if (whole[n] == '\0' || n >= sizeof part)
        return false;
    memcpy(part, whole, n);
    part[n] = '\0';
    return str_same(part, head);
}

const char *library_near_guild(const struct library *lib, const char *name)
{
    const char *names[FILES_MAX] = {NULL};
    for (size_t i = 0; i < lib->nguilds; i++) {
        names[i] = lib->guilds[i].name.s;
        if (is_head(name, names[i]))
            return names[i];
    }
    size_t near = str_nearest(name, names, lib->nguilds);
    return near < lib->nguilds ? names[near] : NULL;
}
