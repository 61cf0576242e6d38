/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "arrange.h"
#include "menu_text.h"
#include "plan.h"
#include "program.h"
#include "spill.h"
#include "verify.h"

/* A plot of 6 by 4 m with a border of 0.2 m; a path with overhang along its right side (2). */
static struct edge path = {.side = {.v = 2}, .kind = {.v = EDGE_PATH}, .overhang = {.v = true}};
static const struct point square[] = {
    {.x = 0, .y = 0}, {.x = 6, .y = 0}, {.x = 6, .y = 4}, {.x = 0, .y = 4}};

static struct zone found(const struct point *corners, size_t n, struct rect r, bool along_x)
{
    struct plot plot = {.border_m = {.v = 0.2}, .edges = {.items = &path, .n = 1}};
    struct zone zone = {.along_x = along_x, .r = r};
    spill_find(&plot, corners, n, &zone);
    return zone;
}

Test(spill, over_the_border_and_the_path)
{
    struct zone z = found(square, 4, (struct rect){0.2, 0.2, 5.8, 3.8}, true);
    cr_expect(near(z.spill_m[0], 0, 0) && near(z.spill_m[1], 0.8, 1e-9), "%g", z.spill_m[1]);
    z = found(square, 4, (struct rect){0.2, 0.2, 5.8, 3.8}, false);
    cr_expect(near(z.spill_m[0], 0, 0) && near(z.spill_m[1], 0, 0), "rows end elsewhere");
    z = found(square, 4, (struct rect){0.2, 0.2, 4.8, 3.8}, true);
    cr_expect(near(z.spill_m[1], 0, 0), "a fixed path or an obstacle lies between");
}

/* The right side slants from (6, 0) to (5, 4): rows end at the staircase. */
Test(spill, slanting_side)
{
    const struct point p[] = {
        {.x = 0, .y = 0}, {.x = 6, .y = 0}, {.x = 5, .y = 4}, {.x = 0, .y = 4}};
    double end = 5.5 - 0.2 * sqrt(17) / 4; /* 0.2 m off the side at y = 2 */
    struct zone z = found(p, 4, (struct rect){0.2, 1, end, 2}, true);
    cr_expect(near(z.spill_m[1], 5.5 - end + 0.6, 1e-5), "%g", z.spill_m[1]);
}

/* Two sides at the end of the rows, one of them without overhang: nowhere is the whole end free. */
Test(spill, only_where_the_whole_end_may)
{
    const struct point p[] = {
        {.x = 0, .y = 0}, {.x = 6, .y = 0}, {.x = 6, .y = 2}, {.x = 6, .y = 4}, {.x = 0, .y = 4}};
    struct zone z = found(p, 5, (struct rect){0.2, 0.2, 5.8, 3.8}, true);
    cr_expect(near(z.spill_m[1], 0, 0));
    z = found(p, 5, (struct rect){0.2, 0.2, 5.8, 1.8}, true);
    cr_expect(near(z.spill_m[1], 0.8, 1e-9));
}

/* Vines' lines are longer by half a pitch less their hill; those of corn alone are not. */
Test(spill, widens_lines_of_vines_alone)
{
    struct garden_text t = garden_text_read(
        "garden: A\nyear: 2027\nsite:\n  latitude: 42 deg\n  last frost: {median: May 3}\n"
        "  first frost: {median: Oct 10}\nplots:\n  - name: A\n    size: 6 m x 4 m\n"
        "    rows: along-x\n    edges:\n      - {side: 2, kind: path, overhang: yes}\nseed:\n"
        "  - {variety: A, crop: flint corn}\n  - {variety: B, crop: climbing bean}\n"
        "  - {variety: C, crop: butternut squash}\n");
    struct zones zones;
    struct menu menu;
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    CALL(menu_make(t.garden, &zones, t.arena, t.diags, &menu));
    cr_assert_eq(zones.n, 1);
    const struct zone *zone = &zones.items[0];
    int longer = 0;
    for (int i = 0; i < menu.nitems; i++) {
        const struct item *item = &menu.items[i];
        const struct planting *p = &menu.plantings[item->planting];
        double over = item->length_m - zone->length_m;
        bool vines = false;
        for (int k = 0; k < p->nparts; k++)
            vines |= strcmp(p->parts[k].crop->name.s, "butternut squash") == 0;
        cr_expect(vines ? over > 0 : near(over, 0, 1e-9), "%s: %g", p->id, over);
        cr_expect(over <= zone->spill_m[1] + 1e-9 && near(item->along_m, 0, 0));
        if (vines && item->stations[0] > planting_stations(p, zone->length_m, 0))
            longer++;
        for (int kind = 0; kind < 2;
             kind++) /* stems: the last station and its hill on the ground */
            if (item->stations[kind] > 0)
                cr_expect(planting_station_at(p, kind, item->stations[kind] - 1) +
                                  p->hill_diameter_m / 2 <=
                              zone->length_m + 1e-6,
                          "%s", p->id);
    }
    cr_expect(longer > 0);
    garden_text_free(&t);
}

/* ---- beyond the first and the last line ------------------------------------------------------ */

/* Paths along the first line of rows along x (side 1), beside the rows' ends (2), or nowhere. */
Test(spill, over_the_first_and_the_last_line)
{
    struct zone z = found(square, 4, (struct rect){0.2, 0.2, 5.8, 3.8}, false);
    cr_expect(near(z.over_m[0], 0, 0) && near(z.over_m[1], 0.8, 1e-9), "%g", z.over_m[1]);
    z = found(square, 4, (struct rect){0.2, 0.2, 5.8, 3.8}, true);
    cr_expect(near(z.over_m[0], 0, 0) && near(z.over_m[1], 0, 0), "the path is at the rows' end");
    z = found(square, 4, (struct rect){0.2, 0.2, 4.8, 3.8}, false);
    cr_expect(near(z.over_m[1], 0, 0), "a fixed path or an obstacle lies between");
    path.shade = (struct qty){.v = 0.1, .set = true};
    z = found(square, 4, (struct rect){0.2, 0.2, 5.8, 3.8}, false);
    path.shade = (struct qty){.v = 0};
    cr_expect(near(z.over_m[1], 0, 0), "setbacks are reckoned from lines on the zone");
}

#define BESIDE(depth, edges)                                                                       \
    "garden: A\nyear: 2027\nunits: metric\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\nplots:\n  - name: A\n"        \
    "    size: 3 m x " depth "\n    border: 10 cm\n    rows: along-x\n" edges "seed:\n"            \
    "  - {variety: A, crop: flint corn, amount: 60 seeds}\n"                                       \
    "  - {variety: C, crop: butternut squash}\ngrow:\n  guilds: []\n"                              \
    "limits: {share of area: 60 %}\n"
#define PATHS(side_a, side_b)                                                                      \
    "    edges:\n      - {side: " side_a ", kind: path, overhang: yes}\n      - {side: " side_b    \
    ", kind: path, overhang: yes}\n"

struct planned {
    struct garden_text t;
    struct plan *plan;
};

static struct planned planned(const char *yaml)
{
    struct planned p = {.t = garden_text_read(yaml)};
    struct plan_make_options o = {.seconds = 30, .gap = 0.01};
    cr_assert(p.t.status == HR_OK, "%s", garden_text_diags(&p.t));
    CALL(plan_make(p.t.garden, &o, p.t.arena, p.t.diags, &p.plan));
    CALL(verify_plan(p.plan, p.t.arena, p.t.diags));
    return p;
}

/* The block that reaches beyond the zone's first or last line, and how far. */
static struct block *outer_block(const struct plan *plan, double *over)
{
    struct block *found = NULL;
    for (int b = 0; b < plan->nblocks; b++) {
        struct block *block = &plan->blocks[b];
        double beyond = fmax(-block->start_m, block->start_m + block->depth_m -
                                                  plan->zones.items[block->zone].depth_m);
        if (beyond > 1e-6) {
            found = block;
            *over = beyond;
        }
    }
    return found;
}

/* The program finds room for a line more where vines may lie over the paths, the vines are put
 * there, their stems are on the ground; and the same plan without the right to it is none. */
Test(spill, vines_stand_by_the_path, .timeout = 60)
{
    struct planned with = planned(BESIDE("2.8 m", PATHS("1", "3")));
    struct planned ends = planned(BESIDE("2.8 m", PATHS("2", "4")));
    double over = 0;
    cr_expect(!outer_block(ends.plan, &over), "paths at the ends of the rows");
    struct block *block = outer_block(with.plan, &over);
    cr_assert(block, "nothing lies over the path");
    cr_expect(over <= 0.7 + 1e-9 && over <= block->planting->first_m / 2 + 1e-9, "%g m", over);
    cr_expect_str_eq(block->planting->parts[0].crop->name.s, "butternut squash");
    cr_expect(with.plan->value > 1.02 * ends.plan->value, "%g with, %g without", with.plan->value,
              ends.plan->value);
    for (int s = 0; s < with.plan->nstations; s++)
        cr_expect(with.plan->stations[s].y_m >= 0.1 && with.plan->stations[s].y_m <= 2.7);
    struct edge *edges = (struct edge *)garden_plot(with.t.garden, 0)->edges.items;
    block->start_m += block->start_m < 0 ? -0.5 : 0.5;
    cr_expect(verify_plan(with.plan, with.t.arena, with.t.diags) == HR_INPUT);
    cr_expect(strstr(diags_words(with.t.diags), "spills where its vines may not"), "%s",
              diags_words(with.t.diags));
    block->start_m += block->start_m < 0 ? 0.5 : -0.5;
    diags_free(with.t.diags);
    with.t.diags = diags_new();
    CALL(verify_plan(with.plan, with.t.arena, with.t.diags));
    edges[0].overhang.v = edges[1].overhang.v = false;
    cr_expect(verify_plan(with.plan, with.t.arena, with.t.diags) == HR_INPUT);
    cr_expect(strstr(diags_words(with.t.diags), "spills where its vines may not"), "%s",
              diags_words(with.t.diags));
    garden_text_free(&with.t);
    garden_text_free(&ends.t);
}

static bool is_squash(const struct menu *menu, const struct item *item)
{
    return strcmp(menu->plantings[item->planting].parts[0].crop->name.s, "butternut squash") == 0;
}

/* What row and column have in common. */
static double entry(const struct mip *mip, const char *row, int column)
{
    for (int e = 0; e < mip->nentries; e++)
        if (mip->entries[e].column == column &&
            strcmp(mip->rows[mip->entries[e].row].name, row) == 0)
            return mip->entries[e].value;
    return 0;
}

/* An item of vines has a column for each end; it gives back depth, one item stands at an end, and
 * only one that has a block, at one end. */
Test(spill, program_knows_the_ends)
{
    struct made o = made_of(BESIDE("2.8 m", PATHS("1", "3")));
    struct program m;
    char row[80];
    CALL(program_init(&m, o.text.garden, &o.zones, &o.menu, o.text.arena));
    CALL(program_build(&m));
    for (int i = 0; i < o.menu.nitems; i++)
        for (int end = 0; end < 2; end++) {
            const struct item *item = &o.menu.items[i];
            const struct planting *p = &o.menu.plantings[item->planting];
            int b = m.col_b[end][i];
            cr_assert_eq(b >= 0, is_squash(&o.menu, item), "%s", p->id);
            if (b < 0)
                continue;
            double over = fmin(0.7, p->first_m / 2);
            cr_expect(item->over_m[end] <= over + 1e-9 && item->over_m[end] > over - 0.05);
            cr_expect(near(entry(&m.mip, "depth_P1x_1", b), -item->over_m[end], 1e-12));
            cr_expect(near(entry(&m.mip, end ? "rim_P1x_1_b" : "rim_P1x_1_a", b), 1, 1e-12));
            snprintf(row, sizeof row, "rims_P1x_1_%d", item->planting + 1);
            cr_expect(near(entry(&m.mip, row, b), 1, 1e-12));
            cr_expect(near(entry(&m.mip, row, m.col_y[i]), -1, 1e-12));
        }
    garden_text_free(&o.text);
}

/* By how much rows of the zone are broken by a line of squash and one of corn, of an earlier plan,
 * that take `over` more than the zone's depth. */
static double breach_with(const char *yaml, double over)
{
    struct made o = made_of(yaml);
    struct program m;
    int squash = -1, corn = -1;
    for (int i = o.menu.nitems - 1; i >= 0; i--)
        *(is_squash(&o.menu, &o.menu.items[i]) ? &squash : &corn) = i;
    const struct planting *s = &o.menu.plantings[o.menu.items[squash].planting];
    const struct planting *c = &o.menu.plantings[o.menu.items[corn].planting];
    o.zones.items[0].depth_m = s->first_m + c->first_m - over;
    CALL(program_init(&m, o.text.garden, &o.zones, &o.menu, o.text.arena));
    CALL(program_build(&m));
    double *x = ARENA_ARRAY(o.text.arena, double, (size_t)m.mip.ncolumns), worst = 0;
    x[m.col_n[squash]] = x[m.col_y[squash]] = x[m.col_n[corn]] = x[m.col_y[corn]] = 1;
    program_settle_ties(&m, x);
    for (int r = 0; r < m.mip.nrows; r++) {
        double sum = 0;
        for (int e = 0; e < m.mip.nentries; e++)
            sum +=
                m.mip.entries[e].row == r ? m.mip.entries[e].value * x[m.mip.entries[e].column] : 0;
        if (!program_row_ties(&m, r))
            worst = fmax(worst, fmax(sum - m.mip.rows[r].upper, m.mip.rows[r].lower - sum));
    }
    garden_text_free(&o.text);
    return worst;
}

Test(spill, an_earlier_plan_is_settled)
{
    const char *at_start = BESIDE("2.8 m", PATHS("1", "2")),
               *at_end = BESIDE("2.8 m", PATHS("3", "4"));
    cr_expect(near(breach_with(at_start, 0), 0, 1e-8) && near(breach_with(at_end, 0), 0, 1e-8));
    cr_expect(near(breach_with(at_start, 0.6), 0, 1e-8) && near(breach_with(at_end, 0.6), 0, 1e-8));
    cr_expect(near(breach_with(at_start, 0.9), 0.2, 1e-8), "more than the path has room for");
}

/* Nine blocks side by side, too many to try every order, with 0.3 m less depth than they take: the
 * vines are found among them, and stand at the path. */
Test(spill, blocks_are_put_in_an_order_that_fits)
{
    for (int side = 1; side <= 3; side += 2) {
        struct made o =
            made_of(side == 1 ? BESIDE("9 m", PATHS("1", "2")) : BESIDE("9 m", PATHS("3", "4")));
        struct choice_lines chosen[9];
        struct arrangement a;
        double depth = 0;
        int n = 0, corn = -1, squash = -1;
        for (int i = o.menu.nitems - 1; i >= 0; i--)
            *(is_squash(&o.menu, &o.menu.items[i]) ? &squash : &corn) = i;
        for (; n < 9; n++) {
            chosen[n] = (struct choice_lines){n == 4 ? squash : corn, 1, 0};
            depth += o.menu.plantings[o.menu.items[chosen[n].item].planting].first_m;
        }
        struct zone *zone = &o.zones.items[0];
        zone->depth_m = depth - 0.3;
        zone->r.y1 = zone->r.y0 + zone->depth_m;
        struct allocation allocation = {.chosen = chosen, .n = n};
        CALL(arrange(o.text.garden, &o.zones, &o.menu, &allocation, o.text.arena, &a));
        const struct block *first = &a.blocks[0], *last = &a.blocks[8];
        cr_expect(near(first->start_m, side == 1 ? -0.3 : 0, 1e-9), "%g", first->start_m);
        cr_expect(near(last->start_m + last->depth_m, zone->depth_m + (side == 1 ? 0 : 0.3), 1e-9));
        cr_expect(is_squash(&o.menu, &o.menu.items[(side == 1 ? first : last)->item]));
        garden_text_free(&o.text);
    }
}
