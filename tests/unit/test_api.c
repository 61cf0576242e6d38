/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public contract of hillrow.h, through that header alone. Run from the top of the tree. */
#include "hr_test.h"

#include <jansson.h>
#include <locale.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#define GARDEN "tests/cases/small.yaml"

struct all {
    hr_diags *diags;
    hr_library *library;
    hr_garden *garden;
    hr_plan *plan;
    char dir[64];
};

/* The library and a garden read. */
static struct all all_new(const char *garden)
{
    struct all a = {.diags = hr_diags_new(), .dir = "/tmp/hillrow-test-XXXXXX"};
    cr_assert_not_null(a.diags);
    cr_assert_not_null(mkdtemp(a.dir));
    CALL(hr_library_open("crops", a.diags, &a.library));
    hr_status status = hr_garden_read(garden, a.library, a.diags, &a.garden);
    cr_assert(status == HR_OK, "%s: %s", garden, hr_diags_text(a.diags));
    return a;
}

static struct all all_planned(void)
{
    struct all a = all_new(GARDEN);
    hr_status status = hr_plan_make(a.garden, NULL, a.diags, &a.plan);
    cr_assert(status == HR_OK, "%s", hr_diags_text(a.diags));
    cr_assert_not_null(a.plan);
    return a;
}

static const char *path_in(const struct all *a, const char *name)
{
    static char path[4][160];
    static int next;
    char *p = path[next++ % 4];
    snprintf(p, sizeof path[0], "%s/%s", a->dir, name);
    return p;
}

static void all_free(struct all *a)
{
    static const char *const names[] = {"plan.json", "map.png", "map.pdf", "sheet.txt", "copy"};
    hr_plan_free(a->plan);
    hr_garden_free(a->garden);
    hr_library_free(a->library);
    hr_diags_free(a->diags);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        unlink(path_in(a, names[i]));
    rmdir(a->dir);
}

/* A file's bytes, free() them; NULL when it is not there. */
static char *file_bytes(const char *path, size_t *n)
{
    FILE *f = fopen(path, "rb");
    char *p = NULL;
    *n = 0;
    if (!f)
        return NULL;
    fseek(f, 0, SEEK_END);
    long size = ftell(f);
    rewind(f);
    p = malloc((size_t)size + 1);
    *n = fread(p, 1, (size_t)size, f);
    p[*n] = '\0';
    fclose(f);
    return p;
}

/* The texts without the number behind "seconds", the one thing that may differ. */
static bool same_but_seconds(const char *a, const char *b)
{
    const char *s = strstr(a, "\"seconds\""), *t = strstr(b, "\"seconds\"");
    if (!s || !t || s - a != t - b || strncmp(a, b, (size_t)(s - a)) != 0)
        return false;
    return strcmp(s + strcspn(s, ",\n"), t + strcspn(t, ",\n")) == 0;
}

Test(api, each_status_has_a_text)
{
    static const hr_status statuses[] = {HR_OK,    HR_INPUT, HR_USAGE, HR_INFEASIBLE,
                                         HR_LIMIT, HR_IO,    HR_NOMEM, HR_BUG};
    for (size_t i = 0; i < sizeof statuses / sizeof statuses[0]; i++)
        for (size_t k = 0; k < i; k++)
            cr_assert(strcmp(hr_status_text(statuses[i]), hr_status_text(statuses[k])) != 0,
                      "statuses %d and %d say the same", (int)statuses[i], (int)statuses[k]);
    cr_assert_not_null(hr_status_text((hr_status)12345));
}

Test(api, null_may_be_freed)
{
    hr_plan_free(NULL);
    hr_garden_free(NULL);
    hr_library_free(NULL);
    hr_diags_free(NULL);
}

Test(api, failures_leave_the_result_alone)
{
    hr_diags *d = hr_diags_new();
    hr_library *lib = (hr_library *)d, *good = NULL;
    hr_garden *g = (hr_garden *)d;
    hr_plan *p = (hr_plan *)d;
    cr_assert(hr_library_open("no/such/folder", d, &lib) == HR_IO);
    cr_assert((void *)lib == (void *)d);
    CALL(hr_library_open("crops", d, &good));
    cr_assert(hr_garden_read("no-such.yaml", good, d, &g) == HR_IO);
    cr_assert(hr_garden_read("tests/bad/unknown-key.yaml", good, d, &g) == HR_INPUT);
    cr_assert((void *)g == (void *)d);
    cr_assert(hr_plan_read("no-such.json", good, d, &p) == HR_IO);
    cr_assert(hr_plan_read(GARDEN, good, d, &p) == HR_INPUT);
    cr_assert((void *)p == (void *)d);
    cr_assert(hr_diags_errors(d) >= 5, "%zu", hr_diags_errors(d));
    hr_library_free(good);
    hr_diags_free(d);
}

Test(api, diags_as_text_and_json)
{
    struct all a = all_new(GARDEN);
    hr_garden *g = NULL;
    cr_assert(hr_garden_read("tests/bad/unknown-key.yaml", a.library, a.diags, &g) == HR_INPUT);
    cr_assert_not_null(strstr(hr_diags_text(a.diags), "[unknown-key]"));
    json_t *json = json_loads(hr_diags_json(a.diags), JSON_REJECT_DUPLICATES, NULL);
    cr_assert_not_null(json, "%s", hr_diags_json(a.diags));
    cr_assert(json_array_size(json) >= 1);
    const json_t *first = json_array_get(json, 0);
    cr_assert_str_eq(json_string_value(json_object_get(first, "check")), "unknown-key");
    cr_assert_str_eq(json_string_value(json_object_get(first, "severity")), "error");
    cr_assert(json_integer_value(json_object_get(first, "line")) == 9);
    cr_assert(json_integer_value(json_object_get(first, "column")) == 20);
    json_decref(json);
    all_free(&a);
}

Test(api, library_shown)
{
    static const char *const names[] = {"potato", "Flint Corn", "corn, bean and squash"};
    struct all a = all_new(GARDEN);
    for (int as_json = 0; as_json < 2; as_json++) {
        cr_assert_not_null(hr_library_list(a.library, as_json != 0));
        for (size_t i = 0; i < 3; i++)
            cr_assert_not_null(hr_library_show(a.library, names[i], as_json != 0, a.diags), "%s",
                               names[i]);
    }
    cr_assert(hr_diags_errors(a.diags) == 0);
    cr_assert_null(hr_library_show(a.library, "potatoe", false, a.diags));
    cr_assert_not_null(strstr(hr_diags_text(a.diags), "`potato`"), "%s", hr_diags_text(a.diags));
    cr_assert_null(hr_library_show(a.library, "", true, a.diags));
    cr_assert_null(hr_library_show(a.library, "a\x1b[31m\xff", true, a.diags));
    cr_assert(hr_diags_errors(a.diags) == 3);
    cr_assert_null(strchr(hr_diags_text(a.diags), 0x1b), "an escape reaches the terminal");
    all_free(&a);
}

Test(api, starter_is_a_garden)
{
    struct all a = all_new(GARDEN);
    hr_garden *g = NULL;
    char *text = hr_garden_starter("North: \"the long one\" #3");
    cr_assert_not_null(text);
    FILE *f = fopen(path_in(&a, "copy"), "w");
    fputs(text, f);
    fclose(f);
    free(text);
    hr_status status = hr_garden_read(path_in(&a, "copy"), a.library, a.diags, &g);
    cr_assert(status == HR_OK, "%s", hr_diags_text(a.diags));
    cr_assert_not_null(strstr(hr_garden_summary(g, false), "North: \"the long one\" #3"));
    hr_garden_free(g);
    all_free(&a);
}

Test(api, names_of_fields_and_checks)
{
    const char *doc;
    size_t n = 0;
    while (hr_check_name(n, &doc) != NULL) {
        cr_assert(doc && doc[0] != '\0', "check %zu has no meaning", n);
        n++;
    }
    cr_assert(n > 30, "%zu checks", n);
    cr_assert_not_null(strstr(hr_garden_fields(), "latitude"));
    cr_assert(hr_garden_fields() == hr_garden_fields(), "made twice");
}

Test(api, plan_written_read_and_verified, .timeout = 120)
{
    struct all a = all_planned();
    hr_plan *again = NULL;
    size_t n;
    CALL(hr_plan_verify(a.plan, a.diags));
    CALL(hr_plan_write(a.plan, a.dir, a.diags));
    char *png = file_bytes(path_in(&a, "map.png"), &n);
    cr_assert(n > 1000 && memcmp(png, "\x89PNG\r\n\x1a\n", 8) == 0);
    free(png);
    char *pdf = file_bytes(path_in(&a, "map.pdf"), &n);
    cr_assert(n > 1000 && memcmp(pdf, "%PDF-", 5) == 0);
    free(pdf);
    char *sheet = file_bytes(path_in(&a, "sheet.txt"), &n);
    cr_assert_str_eq(sheet, hr_plan_sheet_text(a.plan));
    free(sheet);
    char *json = file_bytes(path_in(&a, "plan.json"), &n);
    cr_assert_str_eq(json, hr_plan_summary(a.plan, true));
    CALL(hr_plan_read(path_in(&a, "plan.json"), a.library, a.diags, &again));
    CALL(hr_plan_verify(again, a.diags));
    cr_assert_str_eq(json, hr_plan_summary(again, true));
    cr_assert_str_eq(hr_plan_sheet_text(again), hr_plan_sheet_text(a.plan));
    free(json);
    hr_plan_free(again);
    all_free(&a);
}

Test(api, dumps, .timeout = 120)
{
    static const char *const stages[] = {"zones", "menu", "lp", "plan", "scene"};
    struct all a = all_planned();
    hr_plan *again = NULL;
    CALL(hr_plan_write(a.plan, a.dir, a.diags));
    CALL(hr_plan_read(path_in(&a, "plan.json"), a.library, a.diags, &again));
    for (size_t i = 0; i < 5; i++) {
        bool fresh = strcmp(stages[i], "menu") == 0 || strcmp(stages[i], "lp") == 0;
        const char *of_made = hr_plan_dump(a.plan, stages[i]);
        const char *of_read = hr_plan_dump(again, stages[i]);
        cr_assert(of_made && of_made[0] != '\0', "no %s", stages[i]);
        cr_assert((of_read == NULL) == fresh, "%s of a plan read back", stages[i]);
    }
    cr_assert_str_eq(hr_garden_zones(a.garden), hr_plan_dump(a.plan, "zones"));
    cr_assert_null(hr_plan_dump(a.plan, "soup"));
    hr_plan_free(again);
    all_free(&a);
}

Test(api, files_are_named_by_their_ending, .timeout = 120)
{
    struct all a = all_planned();
    size_t n;
    CALL(hr_plan_draw(a.plan, path_in(&a, "map.pdf"), a.diags));
    char *pdf = file_bytes(path_in(&a, "map.pdf"), &n);
    cr_assert(n > 1000 && memcmp(pdf, "%PDF-", 5) == 0);
    free(pdf);
    CALL(hr_plan_draw(a.plan, path_in(&a, "copy"), a.diags));
    char *png = file_bytes(path_in(&a, "copy"), &n);
    cr_assert(n > 1000 && memcmp(png, "\x89PNG", 4) == 0);
    free(png);
    cr_assert(hr_plan_draw(a.plan, path_in(&a, "no/map.png"), a.diags) == HR_IO);
    cr_assert(hr_plan_sheet(a.plan, path_in(&a, "no/sheet.txt"), a.diags) == HR_IO);
    cr_assert(hr_plan_write(a.plan, path_in(&a, "copy"), a.diags) == HR_IO);
    cr_assert(hr_diags_errors(a.diags) == 3, "%s", hr_diags_text(a.diags));
    all_free(&a);
}

/* A host program may have set a locale with a decimal comma. */
Test(api, no_locale_changes_a_byte, .timeout = 120)
{
    struct all a = all_planned();
    if (!setlocale(LC_ALL, "de_DE.UTF-8")) {
        all_free(&a);
        cr_skip_test("no locale with a decimal comma here");
    }
    cr_assert_str_eq(localeconv()->decimal_point, ",");
    struct all b = all_planned();
    cr_assert(same_but_seconds(hr_plan_summary(a.plan, true), hr_plan_summary(b.plan, true)));
    cr_assert_str_eq(hr_plan_sheet_text(a.plan), hr_plan_sheet_text(b.plan));
    cr_assert_str_eq(hr_plan_dump(a.plan, "lp"), hr_plan_dump(b.plan, "lp"));
    cr_assert_str_eq(hr_plan_dump(a.plan, "scene"), hr_plan_dump(b.plan, "scene"));
    cr_assert_str_eq(hr_library_show(a.library, "potato", false, a.diags),
                     hr_library_show(b.library, "potato", false, b.diags));
    cr_assert_str_eq(localeconv()->decimal_point, ",");
    all_free(&b);
    all_free(&a);
}

struct calls {
    int n;
    bool sane;
};

static bool stop_at_once(void *data, double seconds, double value, double bound)
{
    struct calls *calls = data;
    calls->n++;
    calls->sane = calls->sane && seconds >= 0 && value <= bound * (1 + 1e-6);
    return true;
}

/* Whatever the optimiser has when the caller stops it, it must be a plan that holds, or words. */
Test(api, stopped_by_the_caller, .timeout = 120)
{
    struct all a = all_new("tests/cases/plan/long.yaml");
    struct calls calls = {.sane = true};
    const hr_plan_options options = {
        .gap = 1e-9, .progress = stop_at_once, .progress_data = &calls};
    hr_status status = hr_plan_make(a.garden, &options, a.diags, &a.plan);
    cr_assert(calls.n > 0, "never asked");
    cr_assert(calls.sane, "a value above its bound");
    cr_assert(status == HR_LIMIT, "status %d: %s", (int)status, hr_diags_text(a.diags));
    if (a.plan)
        CALL(hr_plan_verify(a.plan, a.diags));
    else
        cr_assert(hr_diags_errors(a.diags) > 0, "no plan and no words");
    all_free(&a);
}

Test(api, infeasible_names_its_terms, .timeout = 120)
{
    struct all a = all_new("tests/cases/plan/greedy.yaml");
    cr_assert(hr_plan_make(a.garden, NULL, a.diags, &a.plan) == HR_INFEASIBLE);
    cr_assert_null(a.plan);
    cr_assert_not_null(strstr(hr_diags_text(a.diags), "greedy.yaml:25:"), "%s",
                       hr_diags_text(a.diags));
    all_free(&a);
}
