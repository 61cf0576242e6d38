/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public functions of hillrow.h over the inner ones: each handle owns an arena. */
#include <stdlib.h>
#include <string.h>
#include <threads.h>

#include "api.h"
#include "check.h"
#include "explain.h"
#include "history.h"
#include "plan_json.h"
#include "report.h"
#include "scene.h"
#include "verify.h"

#define TIME_LIMIT_S 60.0

static const char *const out_of_memory = "out of memory\n";

const char *hr_status_text(hr_status status)
{
    switch (status) {
    case HR_OK:
        return "all is well";
    case HR_INPUT:
        return "the input is wrong";
    case HR_USAGE:
        return "the call is wrong";
    case HR_INFEASIBLE:
        return "no plan meets all the terms";
    case HR_LIMIT:
        return "a limit was hit: the plan is not proved";
    case HR_IO:
        return "a file cannot be read or written";
    case HR_NOMEM:
        return "out of memory";
    case HR_BUG:
        return "a fault of the program; please report it";
    }
    return "an unknown status";
}

const char *api_text(const struct strbuf *b)
{
    return b->failed ? NULL : b->p;
}

/* ---- diagnostics ---------------------------------------------------------------------------- */

hr_diags *hr_diags_new(void)
{
    hr_diags *d = calloc(1, sizeof *d);
    if (!d)
        return NULL;
    d->inner = diags_new();
    d->arena = arena_new(ARENA_CAP_DEFAULT);
    if (d->inner && d->arena)
        return d;
    hr_diags_free(d);
    return NULL;
}

void hr_diags_free(hr_diags *diags)
{
    if (!diags)
        return;
    diags_free(diags->inner);
    arena_free(diags->arena);
    free(diags);
}

size_t hr_diags_errors(const hr_diags *diags)
{
    return diags_errors(diags->inner);
}

size_t hr_diags_warnings(const hr_diags *diags)
{
    return diags_warnings(diags->inner);
}

const char *hr_diags_text(hr_diags *diags)
{
    struct strbuf b;
    strbuf_init(&b, diags->arena);
    diags_render(diags->inner, &b);
    return b.failed ? out_of_memory : b.p;
}

const char *hr_diags_json(hr_diags *diags)
{
    struct strbuf b;
    strbuf_init(&b, diags->arena);
    report_diags_json(diags->inner, &b);
    return b.failed ? "[]" : b.p;
}

/* ---- the crop library ----------------------------------------------------------------------- */

hr_status hr_library_open(const char *dir, hr_diags *diags, hr_library **out)
{
    hr_library *lib = calloc(1, sizeof *lib);
    hr_status status = HR_NOMEM;
    if (lib && (lib->arena = arena_new(ARENA_CAP_DEFAULT)) != NULL)
        status = library_read(lib->arena, dir, diags->inner, &lib->inner);
    if (status == HR_OK)
        *out = lib;
    else
        hr_library_free(lib);
    return status;
}

void hr_library_free(hr_library *library)
{
    if (!library)
        return;
    arena_free(library->arena);
    free(library);
}

const char *hr_library_list(hr_library *library, bool json)
{
    struct strbuf b;
    strbuf_init(&b, library->arena);
    if (json)
        report_library_json(library->inner, &b);
    else
        library_list(library->inner, &b);
    return api_text(&b);
}

static void name_unknown(const struct library *lib, const char *name, struct arena *arena,
                         struct diags *diags)
{
    const char *near = library_near_crop(lib, name);
    struct strbuf safe;
    strbuf_init(&safe, arena);
    strbuf_add_escaped(&safe, name, strlen(name));
    if (!near)
        near = library_near_guild(lib, name);
    diag_error(diags, (struct pos){0}, "unknown-crop", "there is no crop or guild `%s`%s%s%s",
               safe.p, near ? "; did you mean `" : ": `hillrow crops` lists them", near ? near : "",
               near ? "`?" : "");
}

const char *hr_library_show(hr_library *library, const char *name, bool json, hr_diags *diags)
{
    const struct crop *crop = library_crop(library->inner, name);
    const struct guild *guild = crop ? NULL : library_guild(library->inner, name);
    const struct cover *cover = crop || guild ? NULL : library_cover(library->inner, name);
    struct strbuf b;
    strbuf_init(&b, library->arena);
    if (!crop && !guild && !cover) {
        name_unknown(library->inner, name, library->arena, diags->inner);
        return NULL;
    }
    if (crop && json)
        report_crop_json(library->inner, crop, &b);
    else if (crop)
        crop_show(library->inner, crop, &b);
    else if (cover && json)
        report_cover_json(library->inner, cover, &b);
    else if (cover)
        cover_show(library->inner, cover, &b);
    else if (json)
        report_guild_json(library->inner, guild, &b);
    else
        guild_show(library->inner, guild, &b);
    return api_text(&b);
}

/* ---- the garden ----------------------------------------------------------------------------- */

static hr_status garden_load(hr_garden *g, const char *path, const struct library *lib,
                             struct diags *diags)
{
    const struct source *source;
    hr_status status = source_read(g->arena, path, diags, &source);
    if (status == HR_OK)
        status = garden_read(g->arena, source, lib, diags, &g->inner);
    if (status == HR_OK)
        status = check_garden(g->inner, g->arena, diags);
    if (status == HR_OK)
        status = history_read(g->inner, g->arena, diags);
    return status == HR_OK ? zones_cut(g->inner, g->arena, diags, &g->zones) : status;
}

hr_status hr_garden_read(const char *path, const hr_library *library, hr_diags *diags,
                         hr_garden **out)
{
    hr_garden *g = calloc(1, sizeof *g);
    hr_status status = HR_NOMEM;
    if (g && (g->arena = arena_new(ARENA_CAP_DEFAULT)) != NULL)
        status = garden_load(g, path, library->inner, diags->inner);
    if (status == HR_OK)
        *out = g;
    else
        hr_garden_free(g);
    return status;
}

void hr_garden_free(hr_garden *garden)
{
    if (!garden)
        return;
    arena_free(garden->arena);
    free(garden);
}

const char *hr_garden_summary(hr_garden *garden, bool json)
{
    struct strbuf b;
    strbuf_init(&b, garden->arena);
    if (json)
        report_garden_json(garden->inner, &b);
    else
        report_garden_summary(garden->inner, &garden->zones, &b);
    return api_text(&b);
}

const char *hr_garden_zones(hr_garden *garden)
{
    struct strbuf b;
    strbuf_init(&b, garden->arena);
    zones_dump(&garden->zones, garden->inner, &b);
    return api_text(&b);
}

char *hr_garden_starter(const char *name)
{
    struct strbuf b;
    char *text = NULL;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    if (!arena)
        return NULL;
    strbuf_init(&b, arena);
    garden_starter(name, &b);
    if (!b.failed)
        text = strdup(b.p);
    arena_free(arena);
    return text;
}

static const char *fields_text; /* for the life of the program; NULL: no memory */

static void fields_describe(void)
{
    struct strbuf b;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    if (!arena)
        return;
    strbuf_init(&b, arena);
    field_describe(&garden_table, &b);
    if (!b.failed)
        fields_text = strdup(b.p);
    arena_free(arena);
}

const char *hr_garden_fields(void)
{
    static once_flag once = ONCE_FLAG_INIT;
    call_once(&once, fields_describe);
    return fields_text ? fields_text : out_of_memory;
}

const char *hr_check_name(size_t n, const char **doc)
{
    size_t earlier = 0;
    while (check_name(earlier, NULL))
        earlier++;
    return n < earlier ? check_name(n, doc) : verify_check_name(n - earlier, doc);
}

/* ---- the plan ------------------------------------------------------------------------------- */

static hr_plan *plan_handle(void)
{
    hr_plan *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->arena = arena_new(ARENA_CAP_DEFAULT);
    if (p->arena)
        return p;
    free(p);
    return NULL;
}

void hr_plan_free(hr_plan *plan)
{
    if (!plan)
        return;
    arena_free(plan->arena);
    free(plan);
}

/* A plan fresh from the optimiser must hold when it is worked out again; if not, that is our fault
 * and not the gardener's. */
static hr_status plan_proof(const struct plan *plan, struct arena *arena, struct diags *diags)
{
    hr_status status = verify_plan(plan, arena, diags);
    if (status != HR_INPUT)
        return status;
    diag_file(diags, plan->garden->source->name, "verify",
              "the plan just made does not hold: a fault of the program; please report it");
    return HR_BUG;
}

struct plan_make_options api_plan_options(const hr_plan_options *options, double seconds)
{
    struct plan_make_options make = {.seconds = seconds, .gap = API_GAP};
    if (options) {
        make.seconds = options->time_limit_s > 0 ? options->time_limit_s : seconds;
        make.gap = options->gap > 0 ? options->gap : API_GAP;
        make.progress = options->progress;
        make.data = options->progress_data;
    }
    return make;
}

hr_status hr_plan_make(hr_garden *garden, const hr_plan_options *options, hr_diags *diags,
                       hr_plan **out)
{
    struct plan_make_options make = api_plan_options(options, TIME_LIMIT_S);
    make.zones = &garden->zones;
    hr_plan *p = plan_handle();
    if (!p)
        return HR_NOMEM;
    hr_status status = plan_make(garden->inner, &make, p->arena, diags->inner, &p->inner);
    if ((status == HR_OK || status == HR_LIMIT) && p->inner) {
        hr_status proof = plan_proof(p->inner, p->arena, diags->inner);
        if (proof != HR_OK)
            status = proof;
    }
    if (status == HR_OK || (status == HR_LIMIT && p->inner))
        *out = p;
    else
        hr_plan_free(p);
    return status;
}

hr_status hr_plan_read(const char *path, const hr_library *library, hr_diags *diags, hr_plan **out)
{
    hr_plan *p = plan_handle();
    if (!p)
        return HR_NOMEM;
    hr_status status = plan_json_read(p->arena, path, library->inner, diags->inner, &p->inner);
    if (status == HR_OK)
        *out = p;
    else
        hr_plan_free(p);
    return status;
}

hr_status hr_plan_verify(hr_plan *plan, hr_diags *diags)
{
    return verify_plan(plan->inner, plan->arena, diags->inner);
}

const char *hr_plan_summary(hr_plan *plan, bool json)
{
    const char *text;
    struct strbuf b;
    if (json)
        return plan_json_write(plan->inner, plan->arena, &text) == HR_OK ? text : NULL;
    strbuf_init(&b, plan->arena);
    report_summary(plan->inner, &b);
    return api_text(&b);
}

const char *hr_plan_explain(hr_plan *plan)
{
    struct strbuf b;
    strbuf_init(&b, plan->arena);
    return explain_plan(plan->inner, &b) == HR_OK ? api_text(&b) : NULL;
}

static void dump_zones(hr_plan *plan, struct strbuf *b)
{
    zones_dump(&plan->inner->zones, plan->inner->garden, b);
}

static void dump_menu(hr_plan *plan, struct strbuf *b)
{
    menu_dump(&plan->inner->menu, &plan->inner->zones, plan->inner->garden, b);
}

static void dump_lp(hr_plan *plan, struct strbuf *b)
{
    const struct plan *p = plan->inner;
    if (allocate_lp(p->garden, &p->zones, &p->menu, plan->arena, b) != HR_OK)
        b->failed = true;
}

static void dump_plan(hr_plan *plan, struct strbuf *b)
{
    plan_dump(plan->inner, b);
}

static void dump_scene(hr_plan *plan, struct strbuf *b)
{
    struct scene *scene;
    if (scene_map(plan->arena, plan->inner, paper_of(plan->inner->garden), &scene) == HR_OK)
        scene_dump(scene, b);
    else
        b->failed = true;
}

const char *hr_plan_dump(hr_plan *plan, const char *stage)
{
    static const struct {
        const char *name;
        bool fresh; /* only of a plan that was just made */
        void (*dump)(hr_plan *plan, struct strbuf *b);
    } stages[] = {
        {"zones", false, dump_zones}, {"menu", true, dump_menu},    {"lp", true, dump_lp},
        {"plan", false, dump_plan},   {"scene", false, dump_scene},
    };
    struct strbuf b;
    strbuf_init(&b, plan->arena);
    for (size_t i = 0; i < sizeof stages / sizeof stages[0]; i++)
        if (strcmp(stage, stages[i].name) == 0 && (plan->inner->menu.items || !stages[i].fresh)) {
            stages[i].dump(plan, &b);
            return api_text(&b);
        }
    return NULL;
}
