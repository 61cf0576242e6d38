/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rival.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <glpk.h>

#define GRACE_S 5  /* past its time a solver is killed */
#define WALL    10 /* times the processor's seconds: the limit by the clock */

const char *const rival_names[RIVAL_COUNT] = {[RIVAL_GLPK] = "GLPK", [RIVAL_CBC] = "Cbc"};

/* Memory that parent and child see. */
struct common {
    bool there, found, proved, infeasible;
    double x[];
};

static int column_index(const char *name, int ncolumns)
{
    long j = name[0] == 'x' ? strtol(name + 1, NULL, 10) : -1;
    return j >= 0 && j < ncolumns ? (int)j : -1;
}

/* ---- GLPK ---------------------------------------------------------------------------------- */

/* GLPK's own limit is by the clock. */
static void stop_in_time(glp_tree *tree, void *seconds)
{
    if ((double)clock() / CLOCKS_PER_SEC > *(const double *)seconds)
        glp_ios_terminate(tree);
}

static void run_glpk(const char *path, double seconds, double gap, struct common *c, int ncolumns)
{
    glp_term_out(GLP_OFF);
    glp_prob *lp = glp_create_prob();
    glp_iocp o;
    if (glp_read_lp(lp, NULL, path) != 0)
        return;
    c->there = true;
    glp_init_iocp(&o);
    o.presolve = GLP_ON;
    o.mir_cuts = o.cov_cuts = GLP_ON;
    o.fp_heur = o.sr_heur = GLP_ON;
    o.bt_tech = GLP_BT_BPH;
    o.mip_gap = gap;
    o.tm_lim = (int)(1000 * WALL * seconds);
    o.cb_func = stop_in_time;
    o.cb_info = &seconds;
    int rc = glp_intopt(lp, &o);
    int status = glp_mip_status(lp);
    c->found = status == GLP_OPT || status == GLP_FEAS;
    c->proved = rc == 0 || rc == GLP_EMIPGAP; /* else it was stopped */
    c->infeasible = rc == GLP_ENOPFS || (rc == 0 && status == GLP_NOFEAS);
    for (int j = 1; j <= glp_get_num_cols(lp) && c->found; j++) {
        int column = column_index(glp_get_col_name(lp, j), ncolumns);
        if (column >= 0)
            c->x[column] = glp_mip_col_val(lp, j);
    }
    glp_delete_prob(lp);
}

/* ---- Cbc ----------------------------------------------------------------------------------- */

static void exec_cbc(const char *path, const char *solution, double seconds, double gap)
{
    char sec[32], ratio[32];
    snprintf(sec, sizeof sec, "%.0f", ceil(seconds));
    snprintf(ratio, sizeof ratio, "%g", gap);
    if (freopen("/dev/null", "w", stdout) && freopen("/dev/null", "w", stderr))
        execlp("cbc", "cbc", path, "-timeMode", "cpu", "-sec", sec, "-ratio", ratio, "-solve",
               "-solu", solution, (char *)NULL);
    _exit(127);
}

static bool starts(const char *line, const char *with)
{
    return strncmp(line, with, strlen(with)) == 0;
}

/* First a line that says how it ended, then columns: number, name, value, reduced cost. */
static void read_cbc(const char *solution, struct common *c, int ncolumns)
{
    char line[400], name[64];
    double value;
    FILE *f = fopen(solution, "r");
    if (!f)
        return;
    if (fgets(line, sizeof line, f)) {
        c->infeasible = strstr(line, "nfeasible") != NULL;
        c->proved = starts(line, "Optimal");
        c->found = !c->infeasible && strstr(line, "no integer solution") == NULL &&
                   strstr(line, "objective value") != NULL;
    }
    while (c->found && fgets(line, sizeof line, f))
        if (sscanf(line, "%*[ *]%*d %63s %lf", name, &value) == 2) {
            int column = column_index(name, ncolumns);
            if (column >= 0)
                c->x[column] = value;
        }
    fclose(f);
}

/* ---- the race ------------------------------------------------------------------------------ */

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static double seconds_of(const struct timeval *t)
{
    return (double)t->tv_sec + 1e-6 * (double)t->tv_usec;
}

void rival_run(enum rival rival, const char *lp_path, double seconds, double gap, double *x,
               int ncolumns, struct rival_result *out)
{
    char solution[] = "/tmp/hillrow-rival-XXXXXX";
    size_t size = sizeof(struct common) + sizeof(double) * (size_t)ncolumns;
    struct common *c = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    int fd = mkstemp(solution), status = 0;
    struct rusage usage = {0};
    *out = (struct rival_result){0};
    memset(x, 0, sizeof *x * (size_t)ncolumns);
    if (c == MAP_FAILED || fd < 0)
        return;
    close(fd);
    double begin = seconds_now();
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
        struct rlimit most = {(rlim_t)(seconds + GRACE_S), (rlim_t)(seconds + GRACE_S)};
        setrlimit(RLIMIT_CPU, &most);
        alarm((unsigned)(WALL * seconds + GRACE_S));
        if (rival == RIVAL_CBC)
            exec_cbc(lp_path, solution, seconds, gap);
        run_glpk(lp_path, seconds, gap, c, ncolumns);
        _exit(0);
    }
    if (child > 0 && wait4(child, &status, 0, &usage) == child && WIFEXITED(status) &&
        rival == RIVAL_CBC) {
        c->there = WEXITSTATUS(status) != 127;
        read_cbc(solution, c, ncolumns);
    }
    memcpy(x, c->x, sizeof *x * (size_t)ncolumns);
    *out = (struct rival_result){.there = c->there || WIFSIGNALED(status),
                                 .found = c->found,
                                 .proved = c->proved,
                                 .infeasible = c->infeasible,
                                 .wall_s = seconds_now() - begin,
                                 .cpu_s = seconds_of(&usage.ru_utime) + seconds_of(&usage.ru_stime),
                                 .memory_mb = (double)usage.ru_maxrss / 1024};
    munmap(c, size);
    unlink(solution);
}
