/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solver.h"

#include <limits.h>
#include <math.h>
#include <setjmp.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include <glpk.h>

#define BREACH_MOST      1e-6 /* of a solution handed out */
#define WHOLE_SLACK      1e-9 /* a bound so near a whole number is meant to be it */
#define PROGRESS_SECONDS 0.2
#define NEAR_NODES       500  /* of each search near the relaxation's optimum */
#define NEAR_SHARE       2    /* of the nodes asked for, where these are few */
#define NEAR_COLUMNS     60   /* programs with fewer whole numbers are searched whole at once */
#define NEAR_GAP         0.2  /* of the gap asked for, the program being a smaller one */
#define REPAIR_MS        2000 /* a solution is worth some time past the limit */
#define MEMORY_ENOUGH    ((size_t)768 << 20) /* the search ends here */
#define MEMORY_MOST_MB   1500                /* GLPK gives up here */

struct run {
    const struct mip *mip;
    const struct solver_options *options;
    struct timespec begin;
    glp_prob *lp;
    double *best;     /* the best solution known, settled; NULL without one */
    double *room[2];  /* where best is, and a place to settle the next one in */
    double *handed;   /* a solution as GLPK takes it, from 1 */
    int *cut_columns; /* a row as GLPK takes it, from 1 */
    double *cut_values;
    double *prices;
    double value;   /* of best, -INFINITY without one */
    double claimed; /* GLPK's own best value: what it cut its tree by */
    double bound;
    double told; /* seconds at the last progress call */
    enum solver_state state;
    long nodes;
    bool start_handed;
    bool near;    /* a search near the relaxation's optimum is under way */
    bool no_near; /* and is not to be tried */
    bool stop;    /* asked for by the caller, or a limit was hit */
};

static double seconds_since(const struct timespec *begin)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - begin->tv_sec) + 1e-9 * (double)(now.tv_nsec - begin->tv_nsec);
}

/* What is left of the time, as GLPK wants it: milliseconds, at least 1. */
static int milliseconds_left(const struct run *run)
{
    double left = 1000 * (run->options->seconds - seconds_since(&run->begin));
    return left < 1 ? 1 : left > 1e9 ? 1000000000 : (int)left;
}

/* ---- GLPK's aborts ------------------------------------------------------------------------- */

/* GLPK calls abort() when it is misused or out of memory. The hook leaves by longjmp instead; it
 * frees all that GLPK holds, so nothing of it may be touched afterwards. */
static _Thread_local struct {
    jmp_buf back;
    char text[400];
    size_t n;
    bool busy;
} fault;

static void on_error(void *info)
{
    (void)info;
    glp_free_env();
    longjmp(fault.back, 1);
}

/* Terminal output is off, so all that comes here is why GLPK is about to abort. */
static int on_terminal(void *info, const char *text)
{
    (void)info;
    size_t room = sizeof fault.text - 1 - fault.n, n = strlen(text);
    if (n > room)
        n = room;
    memcpy(fault.text + fault.n, text, n);
    fault.n += n;
    fault.text[fault.n] = '\0';
    return 1;
}

/* Runs step(run) where GLPK may abort. HR_BUG: it did, and fault.text says why; HR_NOMEM: it did
 * for want of memory. `run` outlives the jump as it is not a variable of this function. */
static hr_status guarded(hr_status (*step)(struct run *run), struct run *run)
{
    fault.n = 0;
    fault.text[0] = '\0';
    fault.busy = true;
    if (setjmp(fault.back) != 0) {
        fault.busy = false;
        return strstr(fault.text, "memory") ? HR_NOMEM : HR_BUG;
    }
    glp_error_hook(on_error, NULL);
    glp_term_hook(on_terminal, NULL);
    glp_term_out(GLP_OFF);
    glp_mem_limit(MEMORY_MOST_MB);
    hr_status status = step(run);
    glp_free_env(); /* the problem and the hooks with it */
    fault.busy = false;
    return status;
}

/* ---- a program for GLPK -------------------------------------------------------------------- */

static int bounds_type(double lower, double upper)
{
    bool low = isfinite(lower), high = isfinite(upper);
    if (low && high)
        return lower < upper ? GLP_DB : GLP_FX;
    return low ? GLP_LO : high ? GLP_UP : GLP_FR;
}

/* Bounds of column j; whole numbers where the column is. */
static void column_bounds(const struct mip *mip, int j, double *lower, double *upper)
{
    const struct mip_column *c = &mip->columns[j];
    *lower = c->kind == MIP_CONTINUOUS ? c->lower : ceil(c->lower - WHOLE_SLACK);
    *upper = c->kind == MIP_CONTINUOUS ? c->upper : floor(c->upper + WHOLE_SLACK);
}

/* A whole number must lie within the bounds of each column that is to be one. */
static bool whole_numbers_fit(const struct mip *mip)
{
    for (int j = 0; j < mip->ncolumns; j++) {
        double lower, upper;
        column_bounds(mip, j, &lower, &upper);
        if (lower > upper)
            return false;
    }
    return true;
}

static hr_status fill_matrix(const struct mip *mip, glp_prob *lp)
{
    size_t n = (size_t)mip->nentries + 1;
    int *rows = ARENA_ARRAY(mip->arena, int, n), *columns = ARENA_ARRAY(mip->arena, int, n);
    double *values = ARENA_ARRAY(mip->arena, double, n);
    if (!rows || !columns || !values)
        return HR_NOMEM;
    for (int k = 0; k < mip->nentries; k++) {
        rows[k + 1] = mip->entries[k].row + 1;
        columns[k + 1] = mip->entries[k].column + 1;
        values[k + 1] = mip->entries[k].value;
    }
    glp_load_matrix(lp, mip->nentries, rows, columns, values);
    return HR_OK;
}

static hr_status build(const struct mip *mip, glp_prob **out)
{
    glp_prob *lp = glp_create_prob();
    glp_set_obj_dir(lp, GLP_MAX);
    if (mip->nrows > 0)
        glp_add_rows(lp, mip->nrows);
    for (int i = 0; i < mip->nrows; i++) {
        const struct mip_row *r = &mip->rows[i];
        glp_set_row_bnds(lp, i + 1, bounds_type(r->lower, r->upper), r->lower, r->upper);
    }
    if (mip->ncolumns > 0)
        glp_add_cols(lp, mip->ncolumns);
    for (int j = 0; j < mip->ncolumns; j++) {
        double lower, upper;
        column_bounds(mip, j, &lower, &upper);
        if (mip->columns[j].kind != MIP_CONTINUOUS)
            glp_set_col_kind(lp, j + 1, GLP_IV);
        glp_set_col_bnds(lp, j + 1, bounds_type(lower, upper), lower, upper);
        glp_set_obj_coef(lp, j + 1, mip->columns[j].objective);
    }
    hr_status status = fill_matrix(mip, lp);
    if (status != HR_OK)
        return status;
    glp_scale_prob(lp, GLP_SF_AUTO);
    *out = lp;
    return HR_OK;
}

/* ---- solutions ----------------------------------------------------------------------------- */

static double *free_room(const struct run *run)
{
    return run->best == run->room[0] ? run->room[1] : run->room[0];
}

/* Whole numbers made whole, all within their bounds. */
static void settle(const struct mip *mip, bool whole, double *x)
{
    for (int j = 0; j < mip->ncolumns; j++) {
        double lower, upper;
        column_bounds(mip, j, &lower, &upper);
        if (whole && mip->columns[j].kind != MIP_CONTINUOUS)
            x[j] = round(x[j]);
        x[j] = fmin(fmax(x[j], lower), upper);
    }
}

/* Takes the solution in the free room as the best one when it is better. false: it is none. */
static bool offer(struct run *run)
{
    double *x = free_room(run);
    settle(run->mip, true, x);
    if (!(mip_breach(run->mip, x) <= BREACH_MOST))
        return false;
    double value = mip_objective(run->mip, x);
    if (!run->best || value > run->value) {
        run->best = x;
        run->value = value;
    }
    return true;
}

/* GLPK's whole numbers are a little off, and rows that hold for them may not hold when they are
 * rounded. The other columns are found anew with these fixed. */
static void repair(struct run *run)
{
    const struct mip *mip = run->mip;
    double *x = free_room(run);
    glp_prob *lp;
    if (build(mip, &lp) != HR_OK)
        return;
    for (int j = 0; j < mip->ncolumns; j++)
        if (mip->columns[j].kind != MIP_CONTINUOUS)
            glp_set_col_bnds(lp, j + 1, GLP_FX, x[j], x[j]);
    glp_smcp o;
    glp_init_smcp(&o);
    o.msg_lev = GLP_MSG_OFF;
    o.tm_lim = REPAIR_MS;
    if (glp_simplex(lp, &o) == 0 && glp_get_status(lp) == GLP_OPT) {
        for (int j = 0; j < mip->ncolumns; j++)
            if (mip->columns[j].kind == MIP_CONTINUOUS)
                x[j] = glp_get_col_prim(lp, j + 1);
        offer(run);
    }
    glp_delete_prob(lp);
}

static void take_solution(struct run *run, glp_prob *lp)
{
    double *x = free_room(run);
    for (int j = 0; j < run->mip->ncolumns; j++)
        x[j] = glp_mip_col_val(lp, j + 1);
    if (!offer(run))
        repair(run);
}

/* GLPK has found a better solution of the whole program. */
static void take_incumbent(struct run *run)
{
    run->claimed = fmax(run->claimed, glp_mip_obj_val(run->lp));
    take_solution(run, run->lp);
}

/* ---- the search ---------------------------------------------------------------------------- */

/* Of what was cut off nothing is better than GLPK's best, even where that did not stand ours. */
static void note_bound(struct run *run, double bound)
{
    run->bound = fmin(run->bound, fmax(bound, fmax(run->claimed, run->value)));
}

static bool close_enough(const struct run *run)
{
    double scale = fabs(run->value);
    return run->best &&
           run->bound - run->value <= run->options->gap * scale + WHOLE_SLACK * (1 + scale);
}

static void tell_progress(struct run *run)
{
    double seconds = seconds_since(&run->begin);
    size_t memory;
    glp_mem_usage(NULL, NULL, &memory, NULL);
    if (seconds >= run->options->seconds || memory >= MEMORY_ENOUGH)
        run->stop = true;
    if (!run->options->progress || seconds - run->told < PROGRESS_SECONDS)
        return;
    run->told = seconds;
    if (run->options->progress(run->options->data, seconds, run->value, run->bound))
        run->stop = true;
}

/* The start, or one of GLPK's that came out better when it was settled. */
static void hand_over(struct run *run, glp_tree *tree)
{
    if (run->start_handed || !run->best || run->value <= run->claimed)
        return;
    run->start_handed = true;
    memcpy(run->handed + 1, run->best, (size_t)run->mip->ncolumns * sizeof *run->best);
    if (glp_ios_heur_sol(tree, run->handed) == 0)
        run->claimed = run->value;
}

/* Shows the caller the relaxed solution, and takes the row that cuts it off. */
static void cut_off(struct run *run, glp_prob *lp)
{
    double *x = run->handed + 1;
    struct solver_row row = {.columns = run->cut_columns + 1, .values = run->cut_values + 1};
    for (int j = 0; j < run->mip->ncolumns; j++)
        x[j] = glp_get_col_prim(lp, j + 1);
    if (!run->options->cut(run->options->data, x, glp_get_obj_val(lp), &row))
        return;
    for (int k = 0; k < row.n; k++)
        row.columns[k]++;
    int added = glp_add_rows(lp, 1);
    glp_set_row_bnds(lp, added, GLP_LO, row.lower, 0);
    glp_set_mat_row(lp, added, row.n, run->cut_columns, run->cut_values);
}

static void on_search(glp_tree *tree, void *info)
{
    struct run *run = info;
    int total, best = glp_ios_best_node(tree);
    glp_ios_tree_size(tree, NULL, NULL, &total);
    run->nodes = total;
    if (glp_ios_reason(tree) == GLP_IBINGO)
        take_incumbent(run);
    else if (glp_ios_reason(tree) == GLP_IHEUR)
        hand_over(run, tree);
    else if (glp_ios_reason(tree) == GLP_IROWGEN && run->options->cut)
        cut_off(run, glp_ios_get_prob(tree));
    if (best != 0)
        note_bound(run, glp_ios_node_bound(tree, best));
    tell_progress(run);
    if (run->stop || (run->options->nodes > 0 && run->nodes > run->options->nodes) ||
        close_enough(run))
        glp_ios_terminate(tree);
}

static void on_near(glp_tree *tree, void *info)
{
    struct run *run = info;
    int total;
    glp_ios_tree_size(tree, NULL, NULL, &total);
    tell_progress(run);
    bool few = run->options->nodes > 0 && total >= NEAR_SHARE * run->options->nodes;
    if (run->stop || total >= NEAR_NODES || few)
        glp_ios_terminate(tree);
}

static void parameters(const struct run *run, glp_iocp *o)
{
    glp_init_iocp(o);
    o->msg_lev = GLP_MSG_OFF;
    o->mir_cuts = o->cov_cuts = GLP_ON;
    o->fp_heur = o->sr_heur = GLP_ON;
    o->bt_tech = GLP_BT_BPH;
    o->mip_gap = run->options->gap;
    o->tm_lim = milliseconds_left(run);
    if (!run->options->cut)
        return;
    o->fp_heur = o->sr_heur = GLP_OFF;
    o->br_tech = GLP_BR_PCH;
    o->bt_tech = GLP_BT_BLB; /* what a limit leaves open is then as little as can be */
}

/* Whether column j stays where it is: whole numbers whose reduced cost says that to move them by
 * one costs more than `worth`, unless the best solution has moved them. */
static bool stays(const struct run *run, int j, double worth)
{
    double at = glp_get_col_prim(run->lp, j + 1);
    return run->mip->columns[j].kind != MIP_CONTINUOUS &&
           glp_get_col_stat(run->lp, j + 1) != GLP_BS &&
           fabs(glp_get_col_dual(run->lp, j + 1)) > worth && at == round(at) &&
           (!run->best || run->best[j] == at);
}

/* Searches near the relaxation's optimum, most columns fixed: soon done, and a good solution to
 * begin with cuts the whole search short. */
static void search_near(struct run *run, double share)
{
    double worth = share * fabs(glp_get_obj_val(run->lp));
    glp_prob *near = glp_create_prob(), *whole = run->lp;
    glp_copy_prob(near, whole, GLP_OFF);
    for (int j = 0; j < run->mip->ncolumns; j++) {
        double at = glp_get_col_prim(whole, j + 1);
        if (stays(run, j, worth))
            glp_set_col_bnds(near, j + 1, GLP_FX, at, at);
    }
    glp_iocp o;
    parameters(run, &o);
    o.presolve = GLP_ON;
    o.mip_gap *= NEAR_GAP;
    o.cb_func = on_near;
    o.cb_info = run;
    run->near = true;
    glp_intopt(near, &o);
    run->near = false;
    int status = glp_mip_status(near);
    if (status == GLP_OPT || status == GLP_FEAS)
        take_solution(run, near);
    glp_delete_prob(near);
}

/* Without GLPK's own presolver: solutions found on the way are then in the program's own columns,
 * so they can be judged, and a start be given. */
static void search_whole(struct run *run)
{
    glp_iocp o;
    parameters(run, &o);
    o.cb_func = on_search;
    o.cb_info = run;
    int rc = glp_intopt(run->lp, &o);
    int status = glp_mip_status(run->lp);
    if (status == GLP_OPT || status == GLP_FEAS)
        take_incumbent(run);
    bool exhausted = rc == 0 && (status == GLP_OPT || status == GLP_NOFEAS);
    if (exhausted)
        note_bound(run, -(double)INFINITY);
    else if (rc == GLP_EMIPGAP)
        note_bound(run, run->claimed + run->options->gap * fabs(run->claimed));
    if (exhausted && isinf(run->claimed))
        run->state = SOLVER_INFEASIBLE;
}

static void search(struct run *run)
{
    static const double shares[] = {0.005, 0.01}; /* of the optimum of the relaxation */
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++)
        if (glp_get_num_int(run->lp) >= NEAR_COLUMNS && !run->no_near && !run->options->cut &&
            !run->stop && !close_enough(run))
            search_near(run, shares[i]);
    if (!run->stop && !close_enough(run))
        search_whole(run);
}

/* ---- the relaxation ------------------------------------------------------------------------ */

static int simplex(struct run *run, int presolve, int method)
{
    glp_smcp o;
    glp_init_smcp(&o);
    o.msg_lev = GLP_MSG_OFF;
    o.presolve = presolve;
    o.meth = method;
    o.tm_lim = milliseconds_left(run);
    return glp_simplex(run->lp, &o);
}

/* *go: there is an optimum, so the search may begin. The presolver cannot tell unbounded from
 * infeasible, and the primal simplex takes a few programs for infeasible that are not, so what is
 * given up is tried again without the one and by the dual simplex. */
static void relax(struct run *run, bool *go)
{
    int rc = simplex(run, GLP_ON, GLP_PRIMAL);
    if (rc != GLP_ETMLIM && (rc != 0 || glp_get_status(run->lp) != GLP_OPT)) {
        glp_adv_basis(run->lp, 0);
        rc = simplex(run, GLP_OFF, GLP_DUALP);
    }
    int status = glp_get_status(run->lp);
    if (rc == 0 && status == GLP_NOFEAS)
        run->state = SOLVER_INFEASIBLE;
    else if (rc == 0 && status == GLP_UNBND)
        run->state = SOLVER_UNBOUNDED;
    *go = rc == 0 && status == GLP_OPT;
    if (*go)
        note_bound(run, glp_get_obj_val(run->lp));
}

static void read_relaxation(struct run *run)
{
    run->best = run->room[0];
    for (int j = 0; j < run->mip->ncolumns; j++)
        run->best[j] = glp_get_col_prim(run->lp, j + 1);
    settle(run->mip, false, run->best);
    run->value = mip_objective(run->mip, run->best);
    for (int i = 0; i < run->mip->nrows; i++)
        run->prices[i] = glp_get_row_dual(run->lp, i + 1);
}

/* Without whole numbers the relaxation is the program. */
static bool settled_by_relaxation(struct run *run)
{
    double *x = free_room(run);
    if (glp_get_num_int(run->lp) > 0)
        return false;
    for (int j = 0; j < run->mip->ncolumns; j++)
        x[j] = glp_get_col_prim(run->lp, j + 1);
    return offer(run);
}

static hr_status solve(struct run *run)
{
    hr_status status = build(run->mip, &run->lp);
    if (status != HR_OK)
        return status;
    bool go = false;
    relax(run, &go);
    if (go && run->options->relaxed)
        read_relaxation(run);
    else if (go && !settled_by_relaxation(run))
        search(run);
    return status;
}

/* ---- the whole ----------------------------------------------------------------------------- */

static const char *malformed(const struct mip *mip, const struct solver_options *o)
{
    if (mip->failed || !mip->finished)
        return mip->failure ? mip->failure : "the program is not finished";
    if (!(o->seconds > 0) || !(o->gap >= 0))
        return "a time limit or a gap that makes no sense";
    if (fault.busy)
        return "the solver was called from inside itself";
    return NULL;
}

/* No solution is better than every column at its better bound. */
static double bound_of_columns(const struct mip *mip)
{
    double sum = 0;
    for (int j = 0; j < mip->ncolumns; j++) {
        const struct mip_column *c = &mip->columns[j];
        if (c->objective != 0)
            sum += c->objective * (c->objective > 0 ? c->upper : c->lower);
    }
    return sum;
}

static hr_status run_init(struct run *run)
{
    const struct mip *mip = run->mip;
    size_t n = (size_t)mip->ncolumns;
    clock_gettime(CLOCK_MONOTONIC, &run->begin);
    run->state = SOLVER_NONE;
    run->value = run->claimed = -(double)INFINITY;
    run->bound = bound_of_columns(mip);
    if (run->options->bound)
        run->bound = fmin(run->bound, *run->options->bound);
    run->room[0] = ARENA_ARRAY(mip->arena, double, n);
    run->room[1] = ARENA_ARRAY(mip->arena, double, n);
    run->handed = ARENA_ARRAY(mip->arena, double, n + 1);
    run->prices = ARENA_ARRAY(mip->arena, double, (size_t)mip->nrows);
    run->cut_columns = ARENA_ARRAY(mip->arena, int, n + 1);
    run->cut_values = ARENA_ARRAY(mip->arena, double, n + 1);
    if (!run->cut_columns || !run->cut_values)
        return HR_NOMEM;
    if (!run->room[0] || !run->room[1] || !run->handed || !run->prices)
        return HR_NOMEM;
    if (run->options->start && !run->options->relaxed) {
        memcpy(run->room[0], run->options->start, n * sizeof(double));
        offer(run);
    }
    return HR_OK;
}

static void conclude(struct run *run, struct solver_result *out)
{
    if (run->best) {
        run->bound = fmax(run->bound, run->value);
        run->state = close_enough(run) ? SOLVER_OPTIMAL : SOLVER_FEASIBLE;
    }
    *out = (struct solver_result){.state = run->state,
                                  .x = run->best,
                                  .value = run->value,
                                  .bound = run->bound,
                                  .prices = run->options->relaxed && run->best ? run->prices : NULL,
                                  .seconds = seconds_since(&run->begin),
                                  .nodes = run->nodes};
}

static hr_status tell_failure(const struct mip *mip, hr_status status, const char **failure)
{
    if (status == HR_BUG && failure) {
        const char *text = arena_printf(mip->arena, "GLPK stopped: %s", fault.text);
        *failure = text ? text : "GLPK stopped";
    }
    return status;
}

hr_status solver_run(const struct mip *mip, const struct solver_options *options,
                     struct solver_result *out, const char **failure)
{
    const char *why = malformed(mip, options);
    if (why) {
        if (failure)
            *failure = why;
        return HR_BUG;
    }
    struct run run = {.mip = mip, .options = options};
    hr_status status = run_init(&run);
    if (status != HR_OK)
        return status;
    if (!whole_numbers_fit(mip))
        run.state = SOLVER_INFEASIBLE;
    else
        status = guarded(solve, &run);
    if (status == HR_BUG && run.near) { /* GLPK 5.0's cover cuts abort where the presolver of that
                                         * search leaves rows and no column; the whole has none */
        run.no_near = true;
        status = guarded(solve, &run);
    }
    if (status == HR_NOMEM && run.best)
        status = HR_OK; /* what was found before memory ran out stands */
    if (status != HR_OK)
        return tell_failure(mip, status, failure);
    if (!run.best && !isinf(run.claimed)) {
        if (failure)
            *failure = "GLPK's solution does not meet the program's rows";
        return HR_BUG;
    }
    conclude(&run, out);
    return HR_OK;
}

static hr_status misuse(struct run *run)
{
    hr_status status = build(run->mip, &run->lp);
    int columns[2] = {0, run->mip->ncolumns + 1};
    double values[2] = {0, 1};
    if (status == HR_OK)
        glp_set_mat_row(run->lp, glp_add_rows(run->lp, 1), 1, columns, values);
    return status;
}

hr_status solver_selftest_abort(const struct mip *mip, const char **failure)
{
    struct run run = {.mip = mip};
    return tell_failure(mip, guarded(misuse, &run), failure);
}

const char *solver_version(void)
{
    static _Thread_local char text[32];
    snprintf(text, sizeof text, "GLPK %s", glp_version());
    return text;
}
