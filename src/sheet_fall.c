/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What becomes of the ground when the harvest is in: what is left on it, and what covers it. */
#include <math.h>
#include <string.h>

#include "num.h"
#include "overwinter.h"
#include "sheet_maker.h"

#define CLEAR_D     14   /* from the last harvest: two more weeks to clear the ground */
#define TURN_D      7    /* from a harvest to the sowing of what follows, as between two crops */
#define CLEAR_H_M2  0.02 /* clearing (estimate) */
#define COVER_H_M2  0.01 /* raking, broadcasting, raking in (estimate) */
#define MIXED_SHARE 0.6  /* of the rate of each, where two are sown together (umd-cover) */

/* ---- what is left -------------------------------------------------------------------------- */

/* How crops leave their ground (common practice). */
enum left {
    LEFT_ROOTS,
    LEFT_STALKS,
    LEFT_VINES,
    LEFT_NIGHTSHADES,
    LEFT_STUMPS,
    LEFT_CROWNS,
    LEFT_REST,
    LEFT_COUNT
};

static const struct {
    const char *what, *how;
} left_words[LEFT_COUNT] = {
    [LEFT_ROOTS] =
        {"Beans, peas and their kin",
         "cut them off at the ground, leave the roots with the nitrogen that is in them"},
    [LEFT_STALKS] = {"Stalks of corn, grain and sunflowers",
                     "chop them where they stood, unless borers were in them; leave the roots"},
    [LEFT_VINES] = {"Squash, melons and their kin",
                    "carry the vines off: borers, beetles and mildew winter in them"},
    [LEFT_NIGHTSHADES] = {"Potatoes, tomatoes and their kin",
                          "carry off vines and dropped fruit: blight winters in them"},
    [LEFT_STUMPS] = {"Cabbages and their kin", "pull the stumps, roots and all"},
    [LEFT_CROWNS] = {"What stands for years",
                     "cut the tops when they have died down, and mulch the crowns"},
    [LEFT_REST] = {"What else is left", "chop it and leave it as a mulch"},
};

static enum left left_of(const struct crop *crop)
{
    static const struct {
        const char *family;
        enum left left;
    } families[] = {{"Fabaceae", LEFT_ROOTS},
                    {"Poaceae", LEFT_STALKS},
                    {"Cucurbitaceae", LEFT_VINES},
                    {"Solanaceae", LEFT_NIGHTSHADES},
                    {"Brassicaceae", LEFT_STUMPS}};
    if (crop->perennial.v)
        return LEFT_CROWNS;
    for (size_t i = 0; i < sizeof families / sizeof *families; i++)
        if (str_same(crop->family.s, families[i].family))
            return families[i].left;
    return crop->role.v == ROLE_SUPPORT ? LEFT_STALKS : LEFT_REST;
}

static int plot_of(const struct maker *m, int b)
{
    return m->plan->zones.items[m->plan->blocks[b].zone].plot;
}

static bool must_be_bare(const struct maker *m, int b)
{
    return garden_plot(m->plan->garden, (size_t)plot_of(m, b))->clear.set;
}

/* "b1, b3; South b4": the blocks with a part that is left so. "" when there are none. */
static const char *blocks_left(struct maker *m, enum left left)
{
    const char *text = "";
    bool many = m->plan->garden->plots.n > 1;
    int plot = -1;
    for (int b = 0; b < m->plan->nblocks; b++) {
        const struct planting *p = m->plan->blocks[b].planting;
        bool in = false;
        for (int k = 0; k < p->nparts; k++)
            in = in || left_of(p->parts[k].crop) == left;
        if (!in || must_be_bare(m, b))
            continue;
        const char *name = many && plot_of(m, b) != plot
                               ? garden_plot(m->plan->garden, (size_t)plot_of(m, b))->name.s
                               : "";
        text = maker_words(m, "%s%s%s%sb%d", text, *text ? (*name ? "; " : ", ") : "", name,
                           *name ? " " : "", b + 1);
        plot = plot_of(m, b);
    }
    return text;
}

static void add_bare(struct maker *m, struct sheet_stage *stage)
{
    const struct garden *g = m->plan->garden;
    for (size_t i = 0; i < g->plots.n; i++) {
        const struct plot *plot = garden_plot(g, i);
        if (plot->clear.set)
            maker_line(m, stage, (int)i,
                       maker_words(m, "%s: everything off by %s, as its rules ask", plot->name.s,
                                   maker_date(m, date_day(plot->clear.d))));
    }
}

/* What stays over the winter for its seed. */
static void add_kept(struct maker *m, struct sheet_stage *stage)
{
    const struct garden *g = m->plan->garden;
    for (size_t s = 0; s < g->seed.n; s++) {
        const struct seed *seed = garden_seed(g, s);
        struct overwinter *kept = NULL;
        int n = 0;
        m->failed = m->failed || overwinter_of(m->plan, seed, m->arena, &kept, &n) != HR_OK;
        for (int i = 0; i < n && !m->failed; i++) {
            const char *rows = overwinter_rows(m->arena, &kept[i]);
            m->failed = m->failed || !rows;
            if (kept[i].stays)
                maker_line(m, stage, plot_of(m, kept[i].block),
                           maker_words(m, "%s, %s: here %d plants of %s stay for seed",
                                       garden_plot(g, (size_t)plot_of(m, kept[i].block))->name.s,
                                       rows ? rows : "", kept[i].plants, seed->crop->name.s));
        }
    }
}

/* The day the ground of a block is free: its last harvest. */
static int done_on(const struct planting *p)
{
    int day = p->parts[0].season.harvest_high;
    for (int k = 1; k < p->nparts; k++)
        day = p->parts[k].season.harvest_high > day ? p->parts[k].season.harvest_high : day;
    return day;
}

static void add_clearing(struct maker *m)
{
    int last = 0;
    double area = 0;
    for (int b = 0; b < m->plan->nblocks; b++) {
        int day = done_on(m->plan->blocks[b].planting);
        last = b == 0 || day > last ? day : last;
        area += block_area(&m->plan->blocks[b]);
    }
    if (m->plan->nblocks == 0)
        return;
    struct sheet_stage *stage = maker_stage(m, STAGE_FALL, last);
    stage->until = last + CLEAR_D;
    stage->apart = true;
    stage->hours = CLEAR_H_M2 * area;
    stage->title = "Clear the ground";
    stage->when = maker_words(m, "as each block is in, the last about %s", maker_date(m, last));
    stage->how = "Dig as little as can be. What was sick goes off the plot, not on the compost.";
    for (enum left left = LEFT_ROOTS; left < LEFT_COUNT; left++) {
        const char *blocks = blocks_left(m, left);
        if (*blocks)
            maker_line(
                m, stage, -1,
                maker_words(m, "%s (%s): %s", left_words[left].what, blocks, left_words[left].how));
    }
    add_kept(m, stage);
    add_bare(m, stage);
}

/* ---- cover crops --------------------------------------------------------------------------- */

static int cover_last(const struct maker *m, const struct cover *cover)
{
    int from, to;
    season_frost_free(&m->plan->garden->site, &from, &to);
    return to - (int)lround(cover->before_d.typ);
}

/* Ground of plants that stay over the winter, m2. */
static double kept_m2(struct maker *m, int b)
{
    double area = 0;
    const struct planting *p = m->plan->blocks[b].planting;
    for (int k = 0; k < p->nparts; k++) {
        struct overwinter *kept;
        int n;
        if (overwinter_of(m->plan, p->parts[k].seed, m->arena, &kept, &n) != HR_OK) {
            m->failed = true;
            return 0;
        }
        for (int i = 0; i < n; i++)
            if (kept[i].block == b && kept[i].stays)
                area += planting_depth(p, kept[i].lines) * m->plan->blocks[b].length_m;
    }
    return area;
}

/* "hairy vetch by August 23, winter rye by September 22": what still comes up when the ground is
 * free on that day. "" when nothing does; *last: the latest day of them. */
static const char *covers_from(struct maker *m, int day, int *last)
{
    const struct library *lib = m->plan->garden->library;
    const char *text = "";
    for (size_t i = 0; i < lib->ncovers; i++) {
        int by = cover_last(m, &lib->covers[i]);
        if (by < day)
            continue;
        text = maker_words(m, "%s%s%s by %s", text, *text ? ", " : "", lib->covers[i].name.s,
                           maker_date(m, by));
        *last = by > *last ? by : *last;
    }
    return text;
}

/* Seed of those that somewhere still come up, to 100 sq ft or 10 m2. */
static const char *cover_rates(struct maker *m, int first)
{
    const struct library *lib = m->plan->garden->library;
    bool us = m->sheet->units == UNITS_US;
    const char *text = "";
    char mass[64];
    for (size_t i = 0; i < lib->ncovers; i++)
        if (cover_last(m, &lib->covers[i]) >= first)
            text = maker_words(
                m, "%s%s%s %s", text, *text ? ", " : "", lib->covers[i].name.s,
                unit_mass(mass, sizeof mass,
                          num_round_sig((us ? 9.290304 : 10) * lib->covers[i].rate_kg_m2.typ, 2),
                          m->sheet->units));
    return maker_words(m,
                       "Seed to %s: %s; of two together %d %% each. Broadcast it and rake it in.",
                       us ? "100 sq ft" : "10 m2", text, (int)(100 * MIXED_SHARE));
}

/* So long before the next sowing what lives on is turned in. */
static const char *cover_note(struct maker *m)
{
    const struct library *lib = m->plan->garden->library;
    double wait = 0;
    for (size_t i = 0; i < lib->ncovers; i++)
        wait = fmax(wait, lib->covers[i].wait_d.high);
    return maker_words(m,
                       "One of them, or two. What lives through the winter is turned in %d days "
                       "before the next sowing.",
                       (int)ceil(wait));
}

static void add_covers(struct maker *m)
{
    struct sheet_stage *stage = NULL;
    char text[64];
    int first = 0;
    for (int b = 0; b < m->plan->nblocks; b++) {
        const struct block *block = &m->plan->blocks[b];
        int day = done_on(block->planting) + TURN_D, last = day;
        double area = block_area(block) - kept_m2(m, b);
        const char *covers = covers_from(m, day, &last);
        if (!*covers || block->planting->slot == SLOT_FIRST ||
            block->planting->parts[0].crop->perennial.v || must_be_bare(m, b) || area <= 0.01)
            continue;
        if (!stage) {
            stage = maker_stage(m, STAGE_COVER, day);
            stage->title = "Sow cover crops";
            stage->apart = true;
            first = day;
        }
        first = day < first ? day : first;
        stage->until = last > stage->until ? last : stage->until;
        stage->hours += COVER_H_M2 * area;
        maker_line(m, stage, plot_of(m, b),
                   maker_words(m, "%s, block %d (%s), free about %s: %s",
                               garden_plot(m->plan->garden, (size_t)plot_of(m, b))->name.s, b + 1,
                               unit_area(text, sizeof text, area, m->sheet->units),
                               maker_date(m, day), covers));
    }
    if (!stage)
        return;
    stage->day = first;
    stage->when =
        maker_words(m, "as each block is free, from about %s; not later than told for each",
                    maker_date(m, first));
    stage->how = cover_rates(m, first);
    stage->note = cover_note(m);
}

void maker_fall(struct maker *m)
{
    if (m->plan->garden->grow.cover.v)
        add_covers(m);
    add_clearing(m);
}
