/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <dirent.h>
#include <stdlib.h>
#include <sys/stat.h>

#include "check.h"
#include "garden_text.h"
#include "normals_peoria.h"

#define BAD "tests/bad"

#define HEAD "garden: Test\nyear: 2027\n"
#define SITE                                                                                       \
    "site:\n  latitude: 42 deg\n  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"
#define PLOTS "plots:\n  - {name: Plot 1, size: 20 ft x 25 ft}\n"
#define SEED  "seed:\n  - {variety: Ember, crop: flint corn}\n"

/* Names that the first lines of the files under tests/bad expect, and that its README excuses. */
static char seen[256][64];
static size_t nseen;

static void see(const char *name)
{
    cr_assert(nseen < 256, "more names than this test holds");
    snprintf(seen[nseen++], sizeof seen[0], "%s", name);
}

static bool was_seen(const char *name)
{
    for (size_t i = 0; i < nseen; i++)
        if (strcmp(seen[i], name) == 0)
            return true;
    return false;
}

/* "# expect: 3:7 check-name" (or "% expect: ...") on the first line of a file. */
struct expected {
    size_t line, col;
    char check[64];
};

static bool expected_read(const char *path, struct expected *e)
{
    char first[256] = "";
    FILE *f = fopen(path, "r");
    cr_assert(f != NULL, "%s cannot be opened", path);
    char *got = fgets(first, sizeof first, f);
    fclose(f);
    return got && sscanf(first, "%*1[#%%] expect: %zu:%zu %63s", &e->line, &e->col, e->check) == 3;
}

static bool ends_with(const char *s, const char *end)
{
    size_t n = strlen(s), m = strlen(end);
    return n > m && strcmp(s + n - m, end) == 0;
}

/* Exactly one error or warning, at that place in that file. */
static void expect_only(const struct diags *diags, const char *path, const struct expected *e)
{
    size_t found = diags_errors(diags) + diags_warnings(diags);
    cr_expect(found == 1, "%s: one fault was due, not %zu:\n%s", path, found, diags_words(diags));
    const struct diag *d = diag_find(diags, e->line, e->col, e->check);
    cr_expect(d != NULL, "%s: no [%s] at %zu:%zu, but:\n%s", path, e->check, e->line, e->col,
              diags_words(diags));
    cr_expect(!d || strcmp(d->file, path) == 0, "%s: reported in %s", path, d ? d->file : "");
}

static void bad_garden(const char *path, const struct library *library)
{
    struct expected e;
    cr_assert(expected_read(path, &e), "%s: its first line expects nothing", path);
    see(e.check);
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct diags *diags = diags_new();
    const struct source *src;
    struct garden *garden;
    CALL(source_read(arena, path, diags, &src));
    hr_status status = garden_read(arena, src, library, diags, &garden);
    if (status == HR_OK)
        status = check_garden(garden, arena, diags);
    expect_only(diags, path, &e);
    hr_status due = diags_errors(diags) > 0 ? HR_INPUT : HR_OK;
    cr_expect(status == due, "%s: status %d", path, (int)status);
    arena_free(arena);
    diags_free(diags);
}

static size_t bad_gardens(void)
{
    struct garden_text t = garden_text_read("");
    cr_assert(t.library != NULL, "crops/ does not read clean:\n%s", garden_text_diags(&t));
    size_t n = 0;
    DIR *dir = opendir(BAD);
    cr_assert(dir != NULL, "run me from the top of the tree");
    for (struct dirent *item; (item = readdir(dir)) != NULL;) {
        char path[512];
        snprintf(path, sizeof path, BAD "/%s", item->d_name);
        if (!ends_with(item->d_name, ".yaml"))
            continue;
        bad_garden(path, t.library);
        n++;
    }
    closedir(dir);
    garden_text_free(&t);
    return n;
}

/* The file of the folder whose first line expects something. */
static bool offender(const char *folder, char *path, size_t cap, struct expected *e)
{
    bool found = false;
    DIR *dir = opendir(folder);
    cr_assert(dir != NULL, "%s cannot be opened", folder);
    for (struct dirent *item; !found && (item = readdir(dir)) != NULL;) {
        if (!ends_with(item->d_name, ".yaml") && !ends_with(item->d_name, ".bib"))
            continue;
        snprintf(path, cap, "%s/%s", folder, item->d_name);
        found = expected_read(path, e);
    }
    closedir(dir);
    return found;
}

static void bad_library(const char *folder)
{
    char path[1024];
    struct expected e;
    cr_assert(offender(folder, path, sizeof path, &e), "%s: no file expects anything", folder);
    see(e.check);
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct diags *diags = diags_new();
    struct library *library;
    hr_status status = library_read(arena, folder, diags, &library);
    expect_only(diags, path, &e);
    hr_status due = diags_errors(diags) > 0 ? HR_INPUT : HR_OK;
    cr_expect(status == due, "%s: status %d", folder, (int)status);
    arena_free(arena);
    diags_free(diags);
}

static size_t bad_libraries(void)
{
    size_t n = 0;
    DIR *dir = opendir(BAD "/library");
    cr_assert(dir != NULL, "no " BAD "/library");
    for (struct dirent *item; (item = readdir(dir)) != NULL;) {
        char folder[512];
        if (item->d_name[0] == '.')
            continue;
        snprintf(folder, sizeof folder, BAD "/library/%s", item->d_name);
        bad_library(folder);
        n++;
    }
    closedir(dir);
    return n;
}

/* Lines "name: why" of the README; each must be a name of the table. */
static void excuses_read(void)
{
    char line[512], name[64];
    FILE *f = fopen(BAD "/README", "r");
    cr_assert(f != NULL, "no " BAD "/README");
    while (fgets(line, sizeof line, f)) {
        int n = 0;
        if (sscanf(line, "%63[a-z0-9-]: %n", name, &n) == 1 && n > 0)
            see(name);
    }
    fclose(f);
}

Test(check, bad_files)
{
    size_t gardens = bad_gardens(), libraries = bad_libraries();
    cr_assert(gardens >= 60, "only %zu gardens", gardens);
    cr_assert(libraries >= 20, "only %zu libraries", libraries);
}

static bool in_table(const char *name)
{
    const char *known;
    for (size_t i = 0; (known = check_name(i, NULL)) != NULL; i++)
        if (strcmp(known, name) == 0)
            return true;
    return false;
}

Test(check, every_name_has_a_file_or_a_reason)
{
    const char *name, *doc;
    bad_gardens();
    bad_libraries();
    excuses_read();
    for (size_t i = 0; (name = check_name(i, &doc)) != NULL; i++) {
        cr_expect(was_seen(name), "[%s] has no file in " BAD " and no line in its README", name);
        cr_expect(strlen(doc) > 0 && strlen(doc) <= 78, "[%s] has no fitting doc", name);
        for (size_t k = 0; k < i; k++)
            cr_expect(strcmp(check_name(k, NULL), name) != 0, "[%s] stands twice", name);
    }
    for (size_t i = 0; i < nseen; i++)
        cr_expect(in_table(seen[i]), "[%s] is expected but not in the table", seen[i]);
}

/* ---- names in the sources ------------------------------------------------------------------- */

/* Sources of layers 0 to 4 (DEVELOPERS.md). */
static const char *const layers[] = {
    "arena",   "str",    "num",     "units", "source", "diag", "tree", "field", "bib",    "crop",
    "library", "garden", "outline", "check", "geom",   "zone", "sun",  "light", "season",
};

/* The next quoted text from p on, NULL when a statement ends before. */
static const char *next_quoted(const char *p, char *out, size_t cap)
{
    while (*p && *p != '"' && *p != ';')
        p++;
    if (*p != '"')
        return NULL;
    size_t n = strcspn(p + 1, "\"");
    snprintf(out, cap, "%.*s", (int)(n < cap ? n : cap - 1), p + 1);
    return p + 1 + n + 1;
}

static bool is_name(const char *s)
{
    size_t n = strlen(s);
    return n > 2 && n < 32 && strspn(s, "abcdefghijklmnopqrstuvwxyz0123456789-") == n;
}

/* Names behind each call of a reporting function: the first quoted word there. */
static size_t names_scan(const char *file, const char *text)
{
    static const char *const calls[] = {"diag_error(", "diag_warning(", "diag_file(", "FAULT("};
    size_t found = 0;
    for (size_t c = 0; c < sizeof calls / sizeof *calls; c++) {
        for (const char *p = strstr(text, calls[c]); p; p = strstr(p + 1, calls[c])) {
            char name[64];
            if (!next_quoted(p + strlen(calls[c]), name, sizeof name) || !is_name(name))
                continue;
            found++;
            cr_expect(in_table(name), "%s reports [%s], which is not in the table", file, name);
        }
    }
    return found;
}

Test(check, names_in_sources_are_in_the_table)
{
    size_t found = 0;
    for (size_t i = 0; i < sizeof layers / sizeof *layers; i++) {
        char path[256];
        snprintf(path, sizeof path, "src/%s.c", layers[i]);
        FILE *f = fopen(path, "r");
        if (!f)
            continue; /* a layer that is not written yet */
        char *text = calloc(1, 1 << 20);
        cr_assert(text != NULL);
        size_t n = fread(text, 1, (1 << 20) - 1, f);
        fclose(f);
        cr_expect(n < (1 << 20) - 1, "%s is too long for this test", path);
        found += names_scan(path, text);
        free(text);
    }
    cr_assert(found >= 70, "only %zu names were found in the sources: does the scan work?", found);
}

/* ---- single checks -------------------------------------------------------------------------- */

/* Reads and checks; the garden must be fit to check. */
static struct garden_text checked(const char *text)
{
    struct garden_text t = garden_text_read(text);
    cr_assert(t.status == HR_OK, "not read clean:\n%s", garden_text_diags(&t));
    t.status = check_garden(t.garden, t.arena, t.diags);
    return t;
}

Test(check, all_faults_are_reported_at_once)
{
    struct garden_text t =
        checked(HEAD SITE "plots:\n"
                          "  - {name: A, size: 20 ft x 25 ft, border: 12 ft}\n"
                          "  - {name: a}\n" SEED "  - {variety: ember, crop: Flint corn}\n"
                          "wishes:\n"
                          "  - {crop: flint corn}\n"
                          "  - {at most: 3 lb}\n");
    cr_assert(t.status == HR_INPUT);
    static const char *const due[] = {"border-too-wide", "plot-name-twice", "size-or-outline",
                                      "variety-twice",   "wish-empty",      "wish-target"};
    for (size_t i = 0; i < sizeof due / sizeof *due; i++)
        expect_diag(t.diags, 0, 0, due[i]);
    cr_assert(diags_errors(t.diags) == 6, "%s", garden_text_diags(&t));
    garden_text_free(&t);
}

Test(check, warnings_leave_the_status_good)
{
    struct garden_text t = checked(HEAD SITE PLOTS SEED "wishes:\n"
                                                        "  - {crop: potato, at most: 3 lb}\n");
    cr_assert(t.status == HR_OK);
    expect_diag(t.diags, 12, 12, "wish-crop");
    cr_assert(diags_warnings(t.diags) == 1 && diags_errors(t.diags) == 0);
    garden_text_free(&t);
}

/* A tree beside the plot may shade it; far away, or flat, it is of no use in the file. */
Test(check, obstacles_outside_that_shade_are_kept)
{
    static const struct {
        const char *obstacle;
        bool warned;
    } rows[] = {
        {"{name: tree, place: [-8 ft, 10 ft], radius: 5 ft, height: 14 ft}", false},
        {"{name: tree, place: [-80 ft, 10 ft], radius: 5 ft, height: 5 ft}", true},
        {"{name: pond, place: [-8 ft, 10 ft], radius: 5 ft}", true},
        {"{name: pond, place: [-4 ft, 10 ft], radius: 5 ft}", false},
        {"{name: shed, outline: [[-9 ft, 0 ft], [-2 ft, 0 ft], [-2 ft, 9 ft]], height: 8 ft}",
         false},
        {"{name: slab, outline: [[-9 ft, 0 ft], [-2 ft, 0 ft], [-2 ft, 9 ft]]}", true},
        {"{name: slab, outline: [[-9 ft, 0 ft], [2 ft, 0 ft], [2 ft, 9 ft]]}", false},
        {"{name: court, outline: [[-9 ft, -9 ft], [40 ft, -9 ft], [40 ft, 40 ft], [-9 ft, 40 ft]]}",
         false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[1024];
        snprintf(text, sizeof text,
                 HEAD SITE
                 "plots:\n  - name: A\n    size: 20 ft x 25 ft\n    obstacles:\n      - %s\n" SEED,
                 rows[i].obstacle);
        struct garden_text t = checked(text);
        bool warned = diag_find(t.diags, 0, 0, "obstacle-outside") != NULL;
        cr_expect(warned == rows[i].warned, "%s", rows[i].obstacle);
        garden_text_free(&t);
    }
}

Test(check, frost_in_both_hemispheres)
{
    static const struct {
        const char *latitude, *last, *first;
        const char *check; /* NULL: clean */
    } rows[] = {
        {"42 deg", "{early: Apr 21, median: May 3, late: May 15}", "{median: Oct 10}", NULL},
        {"42 deg", "{median: Oct 10}", "{median: May 3}", "frost-order"},
        /* round the year's end in the south: spring in October, fall in April */
        {"-38 deg", "{median: Oct 8}", "{median: Apr 24}", NULL},
        {"-38 deg", "{early: Oct 1, median: Oct 8, late: Sep 30}", "{median: Apr 24}",
         "frost-order"},
        {"-38 deg", "{median: Apr 24}", "{median: Oct 8}", "frost-order"},
        /* a mild north: the last frost before the New Year, the first one after it */
        {"29 deg", "{early: Dec 10, median: Jan 5, late: Feb 2}",
         "{early: Dec 12, median: Jan 2, late: Jan 28}", NULL},
        {"42 deg", "{early: May 3, median: May 3, late: May 3}", "{median: Jul 10}",
         "short-season"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[1024];
        snprintf(text, sizeof text,
                 HEAD "site:\n  latitude: %s\n  last frost: %s\n  first frost: %s\n" PLOTS SEED,
                 rows[i].latitude, rows[i].last, rows[i].first);
        struct garden_text t = checked(text);
        if (rows[i].check)
            cr_expect(diag_find(t.diags, 0, 0, rows[i].check) != NULL, "row %zu", i);
        else
            cr_expect(diags_count(t.diags) == 0, "row %zu:\n%s", i, garden_text_diags(&t));
        garden_text_free(&t);
    }
}

/* Days of 32 F at Beltsville, Maryland, and in College Park beside it, as garden sites print NOAA's
 * normals 1981-2010: May 1, April 18, April 5 under 10, 50, 90 % in spring, the chance of such cold
 * after the day (so explained by the University of Maryland Extension); October 9, 22, November 4
 * in fall, the chance before it. The Midwestern Regional Climate Center calls the 10th percentile
 * of the dates early, the 90th late. */
static const struct {
    int percent;
    const char *spring, *fall;
} beltsville[] = {{10, "May 1", "Oct 9"}, {50, "Apr 18", "Oct 22"}, {90, "Apr 5", "Nov 4"}};

/* The date under a percentage: of the chance of frost after (spring) or before (fall) it, or of the
 * dates themselves. */
static const char *frost_at(int percent, bool fall, bool percentile)
{
    int chance = percentile && !fall ? 100 - percent : percent;
    for (size_t i = 0; i < sizeof beltsville / sizeof *beltsville; i++)
        if (beltsville[i].percent == chance)
            return fall ? beltsville[i].fall : beltsville[i].spring;
    return NULL;
}

static struct garden_text frosts_checked(const char *const spring[3], const char *const fall[3])
{
    char text[1024];
    snprintf(text, sizeof text,
             HEAD "site:\n  latitude: 39 deg\n  last frost: {early: %s, median: %s, late: %s}\n"
                  "  first frost: {early: %s, median: %s, late: %s}\n" PLOTS SEED,
             spring[0], spring[1], spring[2], fall[0], fall[1], fall[2]);
    return checked(text);
}

Test(check, frost_by_either_percentage)
{
    for (int percentile = 0; percentile < 2; percentile++) {
        int early_spring = percentile ? 10 : 90; /* where the names stand in such a table */
        const char *spring[3], *fall[3];
        for (int k = 0; k < 3; k++) {
            int percent = 10 + 40 * k;
            spring[k] = frost_at(early_spring == 10 ? percent : 100 - percent, false, percentile);
            fall[k] = frost_at(percent, true, percentile);
        }
        struct garden_text t = frosts_checked(spring, fall);
        cr_assert(diags_count(t.diags) == 0, "%s", garden_text_diags(&t));
        const struct site *site = &t.garden->site;
        cr_expect(date_day(site->last_frost.early.d) == date_day((struct date){0, 4, 5}));
        cr_expect(date_day(site->last_frost.late.d) == date_day((struct date){0, 5, 1}));
        cr_expect(date_day(site->first_frost.early.d) == date_day((struct date){0, 10, 9}));
        cr_expect(date_day(site->first_frost.late.d) == date_day((struct date){0, 11, 4}));
        garden_text_free(&t);
    }
}

/* The columns of the table of chances, left to right, are not early, median, late in spring; nor
 * are they from right to left in fall. */
Test(check, frost_in_the_wrong_columns)
{
    const char *chance[3], *back[3], *fall[3], *fall_back[3];
    for (int k = 0; k < 3; k++) {
        chance[k] = back[2 - k] = beltsville[k].spring;
        fall[k] = fall_back[2 - k] = beltsville[k].fall;
    }
    struct garden_text t = frosts_checked(chance, fall);
    cr_expect(diag_find(t.diags, 5, 0, "frost-order") != NULL, "%s", garden_text_diags(&t));
    cr_expect(diag_find(t.diags, 6, 0, "frost-order") == NULL, "%s", garden_text_diags(&t));
    garden_text_free(&t);
    t = frosts_checked(back, fall_back);
    cr_expect(diag_find(t.diags, 5, 0, "frost-order") == NULL, "%s", garden_text_diags(&t));
    cr_expect(diag_find(t.diags, 6, 0, "frost-order") != NULL, "%s", garden_text_diags(&t));
    garden_text_free(&t);
}

/* July is summer in the north alone. */
Test(check, normals_in_both_hemispheres)
{
    struct garden_text t = checked(HEAD SITE PEORIA_NORMALS PLOTS SEED);
    cr_expect(diags_count(t.diags) == 0, "%s", garden_text_diags(&t));
    cr_expect(t.garden->site.daily && near(t.garden->site.normals.max.c[6].v, 29.78, 0.01));
    garden_text_free(&t);
    t = checked(HEAD "site:\n  latitude: -38 deg\n  last frost: {median: Oct 8}\n"
                     "  first frost: {median: Apr 24}\n" PEORIA_NORMALS PLOTS SEED);
    cr_expect(diag_find(t.diags, 8, 16, "normals-season") != NULL, "%s", garden_text_diags(&t));
    garden_text_free(&t);
    t = checked(HEAD SITE PLOTS SEED);
    cr_expect(t.garden && !t.garden->site.daily);
    garden_text_free(&t);
}

/* 7 CFR 201.31 (text of 1994): pumpkin and squash 75 %, garden bean 70 %; no standard for field
 * corn. */
Test(check, germination_against_the_federal_seed_act)
{
    struct garden_text t =
        checked(HEAD SITE PLOTS "seed:\n"
                                "  - {variety: A, crop: butternut squash, germination: 74 %}\n"
                                "  - {variety: B, crop: butternut squash, germination: 75 %}\n"
                                "  - {variety: C, crop: climbing bean, germination: 69 %}\n"
                                "  - {variety: D, crop: climbing bean, germination: 70 %}\n"
                                "  - {variety: E, crop: flint corn, germination: 40 %}\n");
    cr_assert(diags_warnings(t.diags) == 2, "%s", garden_text_diags(&t));
    expect_diag(t.diags, 10, 55, "germination-low");
    expect_diag(t.diags, 12, 52, "germination-low");
    garden_text_free(&t);
}

Test(check, what_can_be_grown)
{
    static const struct {
        const char *seed, *grow;
        bool nothing;
    } rows[] = {
        {"{variety: A, crop: flint corn}", "", false},
        {"{variety: A, crop: flint corn}", "grow:\n  systems: [rows]\n", false},
        {"{variety: A, crop: flint corn}", "grow:\n  systems: [hills]\n", true},
        {"{variety: A, crop: flint corn}", "grow:\n  crops: []\n", true},
        {"{variety: A, crop: flint corn}", "grow:\n  crops: []\n  guilds: [corn and bean]\n", true},
        {"{variety: A, crop: flint corn}\n  - {variety: B, crop: climbing bean}",
         "grow:\n  crops: []\n  guilds: [corn and bean]\n", false},
        {"{variety: A, crop: flint corn}\n  - {variety: B, crop: climbing bean}",
         "grow:\n  systems: [row guild]\n", false},
        {"{variety: A, crop: flint corn}\n  - {variety: B, crop: climbing bean}",
         "grow:\n  guilds: []\n  systems: [row guild]\n", true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[1024];
        snprintf(text, sizeof text, HEAD SITE PLOTS "seed:\n  - %s\n%s", rows[i].seed,
                 rows[i].grow);
        struct garden_text t = checked(text);
        bool nothing = diag_find(t.diags, 0, 0, "nothing-to-grow") != NULL;
        cr_expect(nothing == rows[i].nothing, "row %zu:\n%s", i, garden_text_diags(&t));
        garden_text_free(&t);
    }
}

Test(check, thousands_of_corners_take_no_time)
{
    struct strbuf b;
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    strbuf_init(&b, arena);
    strbuf_puts(&b, HEAD SITE "plots:\n  - name: A\n    outline:\n");
    for (int i = 0; i < 2000; i++)
        strbuf_printf(&b, "      - [%.6f m, %.6f m]\n", 50 + 40 * cos(i * M_PI / 1000),
                      50 + 40 * sin(i * M_PI / 1000));
    strbuf_puts(&b, SEED);
    struct garden_text t = checked(b.p);
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    cr_assert(diags_count(t.diags) == 0, "%s", garden_text_diags(&t));
    garden_text_free(&t);
    arena_free(arena);
}

Test(check, too_little_memory_is_said)
{
    struct garden_text t = garden_text_read(HEAD SITE PLOTS SEED);
    struct arena *little = arena_new(1);
    cr_assert(t.status == HR_OK && little != NULL);
    cr_assert(check_garden(t.garden, little, t.diags) == HR_NOMEM);
    arena_free(little);
    garden_text_free(&t);
}
