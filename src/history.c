/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "history.h"

#include <math.h>
#include <string.h>
#include <sys/stat.h>

#include "plan_json.h"

#define SAME_M 0.05 /* corners measured by tape twice */

struct history {
    struct garden *garden;
    struct arena *arena;
    struct diags *diags;
    const struct former_plan *entry;
};

/* The path beside the garden file; a folder stands for the plan.json in it, as it does for the
 * commands. NULL: out of memory. */
static const char *beside(const struct history *h)
{
    const char *name = h->garden->source->name, *path = h->entry->plan.s;
    const char *slash = path[0] == '/' ? NULL : strrchr(name, '/');
    struct stat st;
    if (slash)
        path = arena_printf(h->arena, "%.*s/%s", (int)(slash - name), name, path);
    if (path && stat(path, &st) == 0 && S_ISDIR(st.st_mode))
        path = arena_printf(h->arena, "%s/plan.json", path);
    return path;
}

/* The plot of today that has the former one's name; -1: none. */
static int plot_now(const struct history *h, const struct plot *old)
{
    for (size_t i = 0; i < h->garden->plots.n; i++)
        if (str_same(garden_plot(h->garden, i)->name.s, old->name.s))
            return (int)i;
    return -1;
}

static bool outline_same(const struct history *h, const struct plot *a, const struct plot *b)
{
    size_t na = 0, nb = 0;
    const struct point *p = plot_corners(h->arena, a, &na), *q = plot_corners(h->arena, b, &nb);
    bool same = p && q && na == nb;
    for (size_t i = 0; same && i < na; i++)
        same = hypot(p[i].x - q[i].x, p[i].y - q[i].y) <= SAME_M;
    return same;
}

/* now: for each plot of the plan, the plot of today. */
static void plots_match(struct history *h, const struct plan *plan, int *now)
{
    for (size_t i = 0; i < plan->garden->plots.n; i++) {
        const struct plot *old = garden_plot(plan->garden, i);
        now[i] = plot_now(h, old);
        if (now[i] < 0)
            diag_warning(h->diags, h->entry->plan.at, "history-plot",
                         "plot `%s` of this plan is no plot of the garden now; what stood there "
                         "is not looked at",
                         old->name.s);
        else if (!outline_same(h, old, garden_plot(h->garden, (size_t)now[i])))
            diag_warning(h->diags, h->entry->plan.at, "history-plot",
                         "plot `%s` had another outline in this plan; its ground is taken as "
                         "measured from the same origin stake",
                         old->name.s);
    }
}

static bool family_before(const struct planting *p, int k)
{
    for (int i = 0; i < k; i++)
        if (strcmp(p->parts[i].crop->family.s, p->parts[k].crop->family.s) == 0)
            return true;
    return false;
}

static void block_add(struct history *h, const struct plan *plan, const struct block *b,
                      const int *now)
{
    const struct zone *z = &plan->zones.items[b->zone];
    double a0 = b->along_m, a1 = a0 + b->length_m, c0 = b->start_m, c1 = c0 + b->depth_m;
    for (int k = 0; k < b->planting->nparts && now[z->plot] >= 0; k++) {
        if (family_before(b->planting, k))
            continue;
        struct former *f = &h->garden->former[h->garden->nformer++];
        f->plot = now[z->plot];
        f->x0 = z->r.x0 + (z->along_x ? a0 : c0);
        f->x1 = z->r.x0 + (z->along_x ? a1 : c1);
        f->y0 = z->r.y0 + (z->along_x ? c0 : a0);
        f->y1 = z->r.y0 + (z->along_x ? c1 : a1);
        f->family = b->planting->parts[k].crop->family.s;
        f->year = (int)h->entry->year.v;
    }
}

static hr_status plan_add(struct history *h, const struct plan *plan)
{
    struct garden *g = h->garden;
    size_t most = g->nformer + (size_t)plan->nblocks * STAND_PARTS_MAX;
    struct former *all = ARENA_ARRAY(h->arena, struct former, most + 1);
    int *now = ARENA_ARRAY(h->arena, int, plan->garden->plots.n + 1);
    if (!all || !now)
        return HR_NOMEM;
    if (g->nformer > 0)
        memcpy(all, g->former, g->nformer * sizeof *all);
    g->former = all;
    plots_match(h, plan, now);
    for (int b = 0; b < plan->nblocks; b++)
        block_add(h, plan, &plan->blocks[b], now);
    return HR_OK;
}

static hr_status entry_read(struct history *h)
{
    struct plan *plan;
    const char *path = beside(h);
    if (!path)
        return HR_NOMEM;
    hr_status status = plan_json_read(h->arena, path, h->garden->library, h->diags, &plan);
    if (status == HR_OK)
        return plan_add(h, plan);
    if (status != HR_NOMEM)
        diag_error(h->diags, h->entry->plan.at, "history",
                   "this former plan cannot be read: give the path of a plan.json of this version, "
                   "or of its folder, from the garden file's folder, or leave it out");
    return status == HR_NOMEM ? status : HR_INPUT;
}

hr_status history_read(struct garden *garden, struct arena *arena, struct diags *diags)
{
    const struct former_plan *entries = garden->history.items;
    hr_status worst = HR_OK;
    for (size_t i = 0; i < garden->history.n; i++) {
        struct history h = {garden, arena, diags, &entries[i]};
        if (garden->year.v - entries[i].year.v > garden->rotation.years.v)
            continue;
        hr_status status = entry_read(&h);
        if (status == HR_NOMEM)
            return status;
        worst = status == HR_OK ? worst : status;
    }
    return worst;
}
