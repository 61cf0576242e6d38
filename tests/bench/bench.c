/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench [--quick | --garden NAME | NAME...]: how long plans of seeded gardens take, how good they
 * are proved to be, and what the position-indexed program makes of the same gardens. Prints tables
 * in Markdown; exit 1 when a plan did not verify or could not be made; want of time is no fault.
 * NAME: these rows alone. --garden: the garden file of a row. Run from the top of the tree. */
#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "allocate.h"
#include "arcflow.h"
#include "gardens.h"
#include "range.h"
#include "rival.h"
#include "verify.h"

#define GAP             0.01 /* asked for: half the default of the program */
#define SMALL_SECONDS   2.0  /* the bars */
#define SMALL_GAP       0.02
#define SMALL_PLOTS     4
#define SMALL_PLANTINGS 20
#define LARGE_SECONDS   30.0
#define LARGE_GAP       0.03
#define LARGE_MB        300.0
#define AFTER           0.8 /* share of the bar's seconds given to the search; shade and ranges follow */
#define QUICK_SECONDS   3.0 /* for one plan, one race, of the quick run */
#define WALL            10  /* times the processor's seconds: the limit by the clock */
#define RACE_SECONDS    30.0
#define RACE_OVER       2.0 /* races that take longer are to be won */
#define RACE_TIMES      20.0
#define MOST            64 /* instances */

struct instance {
    const char *name;
    const char *sample; /* a garden file, or */
    struct gardens_spec spec;
    bool race, quick;
    double seconds; /* at most, 0: as the bars say */
};

/* Name, zones, crops: 3, 5 with the guild and 12 with it are about 9, 18 and 40 plantings; sides
 * are those of a zone. */
#define GARDEN(name_, seed_, zones_, crops_, guild_, rows_, low_, high_, asks_)                    \
    .name = name_, .spec = {seed_, zones_, crops_, guild_, rows_, low_, high_, asks_, "days"}
#define ALL (GARDENS_AMOUNTS | GARDENS_WISHES | GARDENS_LIMITS | GARDENS_OBSTACLES)

static const struct instance instances[] = {
    {GARDEN("bed", 101, 1, 3, false, GARDENS_ALONG_X, 2, 3, GARDENS_AMOUNTS), .race = true,
     .quick = true},
    {GARDEN("bed, wishes", 102, 1, 4, true, GARDENS_ALONG_Y, 3, 5, ALL), .race = true},
    {GARDEN("plot, either way", 103, 1, 5, true, GARDENS_EITHER, 4, 6, ALL), .race = true},
    {GARDEN("two beds", 104, 2, 4, true, GARDENS_MIXED, 2, 4, ALL), .race = true, .quick = true},
    {GARDEN("three beds", 105, 3, 5, false, GARDENS_MIXED, 2, 5, ALL), .race = true},
    {GARDEN("four beds", 106, 4, 4, true, GARDENS_MIXED, 2, 4, ALL), .race = true},
    {GARDEN("four plots, either way", 108, 4, 5, true, GARDENS_EITHER, 4, 12, ALL)},
    {GARDEN("1 x 9", 201, 1, 3, false, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("4 x 9", 203, 4, 3, false, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("16 x 9", 205, 16, 3, false, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("64 x 9", 207, 64, 3, false, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("1 x 18", 301, 1, 5, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("2 x 18", 302, 2, 5, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("4 x 18", 303, 4, 5, true, GARDENS_MIXED, 2, 15, ALL), .quick = true},
    {GARDEN("8 x 18", 304, 8, 5, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("16 x 18", 305, 16, 5, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("32 x 18", 306, 32, 5, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("64 x 18", 307, 64, 5, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("1 x 40", 401, 1, 12, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("2 x 40", 402, 2, 12, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("4 x 40", 403, 4, 12, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("8 x 40", 404, 8, 12, true, GARDENS_MIXED, 2, 15, ALL), .quick = true},
    {GARDEN("16 x 40", 405, 16, 12, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("32 x 40", 406, 32, 12, true, GARDENS_MIXED, 2, 15, ALL)},
    {GARDEN("64 x 40", 407, 64, 12, true, GARDENS_MIXED, 2, 15, ALL)},
};
#define INSTANCES (sizeof instances / sizeof *instances)

/* What became of one, told by the process that made it. */
struct result {
    int plots, zones, plantings, items;
    hr_status status;
    bool verified;
    double value, bound, gap, shade;
    double wall_s, cpu_s, memory_mb; /* of the whole plan */
    double ground_s, menu_s, ranges_s, verify_s;
    char words[400]; /* what was wrong */
};

/* A race against the position-indexed program, all in full light. */
struct race {
    int columns; /* of the program by position; 0: too large */
    double value, bound, cpu_s;
    char lp[40];
    struct rival_result of[RIVAL_COUNT];
    double of_value[RIVAL_COUNT];
    char words[400];
};

struct stage { /* of the work that runs in a process of its own */
    struct arena *arena;
    struct diags *diags;
    struct garden *garden;
    struct zones zones;
    struct menu menu;
};

static double seconds_by(clockid_t clock)
{
    struct timespec now;
    clock_gettime(clock, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static double cpu_seconds(void)
{
    return seconds_by(CLOCK_PROCESS_CPUTIME_ID);
}

/* ---- in a process of its own --------------------------------------------------------------- */

/* Runs work(in, shared) in a child that hands back *shared. false: it did not end well. */
static bool apart(void (*work)(const struct instance *in, void *shared), const struct instance *in,
                  void *shared, size_t size, struct rusage *usage)
{
    int status = 0;
    void *common = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (common == MAP_FAILED)
        return false;
    memcpy(common, shared, size);
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
        work(in, common);
        _exit(0);
    }
    bool ok = child > 0 && wait4(child, &status, 0, usage) == child && WIFEXITED(status) &&
              WEXITSTATUS(status) == 0;
    memcpy(shared, common, size);
    munmap(common, size);
    return ok;
}

/* The garden of an instance, read and checked as far as its text goes. */
static hr_status read_garden(const struct instance *in, struct stage *s)
{
    const struct source *source;
    struct library *library;
    char *yaml = NULL;
    size_t size;
    *s = (struct stage){.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    if (!s->arena || !s->diags)
        return HR_NOMEM;
    hr_status status = library_read(s->arena, "crops", s->diags, &library);
    if (status != HR_OK)
        return status;
    if (in->sample) {
        status = source_read(s->arena, in->sample, s->diags, &source);
    } else {
        FILE *f = open_memstream(&yaml, &size);
        if (!f)
            return HR_NOMEM;
        gardens_write(&in->spec, f);
        fclose(f);
        status = source_text(s->arena, in->name, yaml, size, &source);
    }
    if (status == HR_OK)
        status = garden_read(s->arena, source, library, s->diags, &s->garden);
    return status;
}

static void tell(struct stage *s, char *words, size_t size)
{
    struct strbuf b;
    strbuf_init(&b, s->arena);
    diags_render(s->diags, &b);
    snprintf(words, size, "%s", b.p);
}

static bool is_small(const struct result *r)
{
    return r->plots <= SMALL_PLOTS && r->plantings <= SMALL_PLANTINGS;
}

static double bar_seconds(const struct result *r)
{
    return is_small(r) ? SMALL_SECONDS : LARGE_SECONDS;
}

/* Stops a search that has something by the processor's clock, so that a busy machine changes no
 * result. */
static bool spent(void *budget, double seconds, double value, double bound)
{
    (void)seconds, (void)bound;
    return isfinite(value) && cpu_seconds() > *(const double *)budget;
}

static hr_status ground_and_menu(struct stage *s, struct result *r)
{
    double begin = cpu_seconds();
    hr_status status = zones_cut(s->garden, s->arena, s->diags, &s->zones);
    if (status != HR_OK)
        return status;
    double cut = cpu_seconds();
    status = menu_make(s->garden, &s->zones, s->arena, s->diags, &s->menu);
    r->ground_s = cut - begin;
    r->menu_s = cpu_seconds() - cut;
    if (status != HR_OK)
        return status;
    r->plots = (int)s->garden->plots.n;
    r->zones = (int)s->zones.n;
    r->plantings = s->menu.nplantings;
    r->items = s->menu.nitems;
    return HR_OK;
}

static void make_plan(const struct instance *in, void *shared)
{
    struct result *r = shared;
    struct stage s;
    struct plan *plan = NULL;
    r->status = read_garden(in, &s);
    if (r->status == HR_OK)
        r->status = ground_and_menu(&s, r);
    if (r->status != HR_OK) {
        tell(&s, r->words, sizeof r->words);
        return;
    }
    double wall = seconds_by(CLOCK_MONOTONIC), cpu = cpu_seconds();
    double most = in->seconds > 0 ? fmin(in->seconds, bar_seconds(r)) : bar_seconds(r);
    double budget = cpu + AFTER * most;
    struct plan_make_options o = {
        .seconds = WALL * most, .gap = GAP, .progress = spent, .data = &budget};
    r->status = plan_make(s.garden, &o, s.arena, s.diags, &plan);
    r->wall_s = seconds_by(CLOCK_MONOTONIC) - wall;
    r->cpu_s = cpu_seconds() - cpu;
    if (!plan) { /* a limit may be hit before there is one */
        tell(&s, r->words, sizeof r->words);
        return;
    }
    r->value = plan->value;
    r->bound = plan->bound;
    r->gap = plan->gap;
    r->shade = plan->shade_loss;
    double begin = cpu_seconds();
    r->verified = verify_plan(plan, s.arena, s.diags) == HR_OK;
    r->verify_s = cpu_seconds() - begin;
    tell(&s, r->words, sizeof r->words);
    begin = cpu_seconds();
    if (range_plan(plan, RANGE_DRAWS, RANGE_SEED) == HR_OK)
        r->ranges_s = cpu_seconds() - begin;
}

/* Ours, and the file of the other program. */
static void make_race(const struct instance *in, void *shared)
{
    struct race *race = shared;
    struct result r = {0};
    struct stage s;
    struct arcflow arcflow;
    struct allocation ours = {0};
    if (read_garden(in, &s) != HR_OK || ground_and_menu(&s, &r) != HR_OK) {
        tell(&s, race->words, sizeof race->words);
        return;
    }
    double begin = cpu_seconds(), budget = begin + (in->seconds > 0 ? in->seconds : LARGE_SECONDS);
    struct allocate_options o = {
        .seconds = WALL * LARGE_SECONDS, .gap = GAP, .progress = spent, .data = &budget};
    hr_status status = allocate(s.garden, &s.zones, &s.menu, &o, s.arena, s.diags, &ours);
    race->cpu_s = cpu_seconds() - begin;
    if (status != HR_OK && status != HR_LIMIT) {
        tell(&s, race->words, sizeof race->words);
        return;
    }
    race->value = ours.value;
    race->bound = ours.bound;
    if (arcflow_make(s.garden, &s.zones, &s.menu, s.arena, &arcflow) &&
        arcflow_write(&arcflow, race->lp))
        race->columns = arcflow.ncolumns;
}

/* ---- tables -------------------------------------------------------------------------------- */

/* What the search left open, shade aside. */
static double search_gap(const struct result *r)
{
    return r->bound > 0 ? fmax(0, 1 - r->value / (1 - r->shade) / r->bound) : 0;
}

static const char *bar_met(const struct result *r)
{
    double gap = is_small(r) ? SMALL_GAP : LARGE_GAP;
    if (r->cpu_s > bar_seconds(r) || (!is_small(r) && r->memory_mb > LARGE_MB))
        return "no";
    return r->gap <= gap ? "yes" : search_gap(r) <= gap ? "but for shade" : "no";
}

static bool plan_one(const struct instance *in, struct result *r)
{
    struct rusage usage = {0};
    bool ok = apart(make_plan, in, r, sizeof *r, &usage);
    r->memory_mb = (double)usage.ru_maxrss / 1024;
    if (!ok || !(r->bound > 0)) {
        bool time_is_up = ok && r->status == HR_LIMIT;
        printf("| %s | %d | %d | %d | no plan%s | | %.0f | | | | | | no |\n", in->name, r->plots,
               r->zones, r->plantings, time_is_up ? " in the time" : "", r->memory_mb);
        fflush(stdout);
        if (!time_is_up)
            fprintf(stderr, "bench: %s: no plan, status %d\n%s\n", in->name, (int)r->status,
                    r->words);
        return time_is_up;
    }
    printf("| %s | %d | %d | %d | %.2f | %.2f | %.0f | %.2f | %.2f | %.2f %% | %.2f %% | %.2f %% | "
           "%s |\n",
           in->name, r->plots, r->zones, r->plantings, r->wall_s, r->cpu_s, r->memory_mb, r->value,
           r->bound, 100 * r->gap, 100 * search_gap(r), 100 * r->shade, bar_met(r));
    fflush(stdout);
    if (!r->verified)
        fprintf(stderr, "bench: %s does not verify\n%s\n", in->name, r->words);
    return r->verified;
}

static bool table_of_plans(const struct instance *list, size_t n, struct result *results)
{
    bool ok = true;
    puts("| garden | plots | zones | plantings | wall s | CPU s | peak MB | value | bound | gap | "
         "search | shade | bar met |\n"
         "|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|---|");
    for (size_t i = 0; i < n; i++)
        ok = plan_one(&list[i], &results[i]) && ok;
    return ok;
}

/* Of the gardens named "ZONES x PLANTINGS". */
static void table_of_growth(const struct instance *list, size_t n, const struct result *results)
{
    puts("\n### How seconds grow with zones\n\n"
         "| plantings | zones | CPU s | CPU s a zone | search |\n|--:|--:|--:|--:|--:|");
    for (size_t i = 0; i < n; i++) {
        const struct result *r = &results[i];
        if (strstr(list[i].name, " x ") && r->bound > 0)
            printf("| %d | %d | %.2f | %.3f | %.2f %% |\n", r->plantings, r->zones, r->cpu_s,
                   r->cpu_s / r->zones, 100 * search_gap(r));
    }
}

static void table_of_parts(const struct instance *list, size_t n, const struct result *results)
{
    puts("\n### What else takes time\n\n"
         "CPU seconds: cutting the ground and working out the light of its zones; the menu; 2,000 "
         "draws of all\nuncertain figures; checking the plan.\n\n"
         "| garden | ground and light | menu | 2,000 draws | verify |\n|---|--:|--:|--:|--:|");
    for (size_t i = 0; i < n; i++) {
        const struct result *r = &results[i];
        if ((list[i].sample || r->zones == 4 || r->zones == 64) && r->bound > 0)
            printf("| %s | %.3f | %.3f | %.3f | %.3f |\n", list[i].name, r->ground_s, r->menu_s,
                   r->ranges_s, r->verify_s);
    }
}

/* The worth of a rival's solution: column x0, the goal being days. */
static double rival_value(const double *x)
{
    return x[0];
}

static bool race_met(const struct race *r, enum rival rival)
{
    const struct rival_result *of = &r->of[rival];
    if (!of->there || of->cpu_s <= RACE_OVER)
        return true;
    return of->cpu_s >= RACE_TIMES * r->cpu_s &&
           (!of->found || r->value >= r->of_value[rival] * (1 - 1e-6));
}

static void print_rival(const struct race *r, enum rival rival)
{
    const struct rival_result *of = &r->of[rival];
    if (!of->there)
        printf(" - | - | - |");
    else if (!of->found)
        printf(" %.2f, stopped | none | %.0f |", of->cpu_s, of->cpu_s / r->cpu_s);
    else
        printf(" %.2f%s | %.3f | %.1f |", of->cpu_s, of->proved ? "" : ", stopped",
               r->of_value[rival], of->cpu_s / r->cpu_s);
}

static void race_one(const struct instance *in, double seconds)
{
    struct race r = {.lp = "/tmp/hillrow-bench-XXXXXX.lp"};
    struct rusage usage;
    close(mkstemps(r.lp, 3));
    bool ok = apart(make_race, in, &r, sizeof r, &usage);
    double *x = calloc((size_t)r.columns + 1, sizeof *x);
    if (!ok || r.columns == 0 || !x) {
        printf("| %s | has no program by position |\n", in->name);
        fprintf(stderr, "bench: %s: %s\n", in->name, r.words);
    } else {
        printf("| %s | %d | %.2f | %.3f |", in->name, r.columns, r.cpu_s, r.value);
        for (enum rival rival = 0; rival < RIVAL_COUNT; rival++) {
            fflush(stdout);
            rival_run(rival, r.lp, seconds, GAP, x, r.columns, &r.of[rival]);
            r.of_value[rival] = rival_value(x);
            print_rival(&r, rival);
        }
        printf(" %s |\n", race_met(&r, RIVAL_GLPK) && race_met(&r, RIVAL_CBC) ? "yes" : "no");
        fflush(stdout);
    }
    free(x);
    unlink(r.lp);
}

static void table_of_races(const struct instance *list, size_t n, double seconds)
{
    printf(
        "\n### Against the position-indexed program\n\n"
        "In full light, all asked for a gap of 1 %%; CPU seconds; the others are stopped after "
        "%.0f s. Times: their\nseconds by ours.\n\n"
        "| garden | its columns | ours s | ours value | GLPK s | GLPK value | times | Cbc s | Cbc "
        "value | times | bar met |\n|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|---|\n",
        seconds);
    for (size_t i = 0; i < n; i++)
        if (list[i].race)
            race_one(&list[i], seconds);
}

/* ---- the whole ----------------------------------------------------------------------------- */

static void print_machine(void)
{
    char line[200], model[200] = "unknown";
    FILE *f = fopen("/proc/cpuinfo", "r");
    while (f && fgets(line, sizeof line, f))
        if (strncmp(line, "model name", 10) == 0 && strchr(line, ':'))
            sscanf(strchr(line, ':') + 1, " %199[^\n]", model);
    if (f)
        fclose(f);
    printf("Processor: %s, %ld cores; %s.\n\n", model, sysconf(_SC_NPROCESSORS_ONLN),
           solver_version());
}

static bool is_listed(const char *name, char *const *names, int n)
{
    for (int i = 0; i < n; i++)
        if (strcmp(names[i], name) == 0)
            return true;
    return n == 0;
}

/* The samples, then the seeded gardens, of those with a name; quick: few. Their number. */
static size_t list_instances(bool quick, char *const *names, int nnames, const glob_t *samples,
                             struct instance *list)
{
    size_t n = 0;
    for (size_t i = 0; i < samples->gl_pathc && n < MOST; i++)
        if ((!quick || strstr(samples->gl_pathv[i], "first-plot")) &&
            is_listed(samples->gl_pathv[i], names, nnames))
            list[n++] =
                (struct instance){.name = samples->gl_pathv[i], .sample = samples->gl_pathv[i]};
    for (size_t i = 0; i < INSTANCES && n < MOST; i++)
        if ((!quick || instances[i].quick) && is_listed(instances[i].name, names, nnames))
            list[n++] = instances[i];
    for (size_t i = 0; i < n; i++)
        list[i].seconds = quick ? QUICK_SECONDS : 0;
    return n;
}

static int write_garden(const char *name)
{
    for (size_t i = 0; i < INSTANCES; i++)
        if (strcmp(instances[i].name, name) == 0) {
            gardens_write(&instances[i].spec, stdout);
            return 0;
        }
    fprintf(stderr, "bench: no garden is called %s\n", name);
    return 2;
}

int main(int argc, char **argv)
{
    bool quick = argc == 2 && strcmp(argv[1], "--quick") == 0;
    if (argc == 3 && strcmp(argv[1], "--garden") == 0)
        return write_garden(argv[2]);
    struct instance list[MOST] = {{0}};
    struct result results[MOST] = {{0}};
    glob_t samples;
    if (glob("samples/*.yaml", 0, NULL, &samples) != 0) {
        fputs("bench: no samples; run it from the top of the tree\n", stderr);
        return 2;
    }
    int first = quick ? 2 : 1;
    size_t n = list_instances(quick, argv + first, argc - first, &samples, list);
    if (n == 0) {
        fputs("usage: bench [--quick | --garden NAME | NAME...]\n", stderr);
        return 2;
    }
    print_machine();
    bool ok = table_of_plans(list, n, results);
    table_of_races(list, n, quick ? QUICK_SECONDS : RACE_SECONDS);
    if (!quick)
        table_of_growth(list, n, results);
    table_of_parts(list, n, results);
    globfree(&samples);
    return ok ? 0 : 1;
}
