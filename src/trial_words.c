/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "trial_words.h"

#include <math.h>

#include "num.h"
#include "stats.h"

/* Common practice of field trials. */
const char *const trial_fairness[] = {
    "Sow, weed, water and feed both halves of a block on the same day and in the same way; what "
    "you "
    "cannot finish in a day, end at the end of a block.",
    "Harvest both halves of a block on the same day. Pull a string round the net ground and leave "
    "the guard out: what is rooted inside counts, wherever its vines have run.",
    "Weigh each crop of each half by itself, with one scale, less the bag or basket.",
    "Weigh like with like: corn and beans shelled and dried to the same moisture (in one room, "
    "until they lose no more weight), squash wiped clean, roots free of soil.",
    "Write a 0 where there is nothing to weigh, and in the note what went wrong: a lost half says "
    "something, an empty line does not.",
    "Do not move halves, and do not look for reasons to leave one out after you have seen its "
    "weight.",
    "Food for people comes first: dry beans and corn fully before they are stored, throw away what "
    "is moldy, and follow your extension service.",
};
const int trial_fairness_lines = sizeof trial_fairness / sizeof *trial_fairness;

static const char *percent(char buf[64], double share)
{
    return num_text(buf, 64, num_round_sig(100 * share, 3));
}

const char *trial_question(const struct trial *t, struct arena *arena)
{
    return arena_printf(arena,
                        "Hills of %s against the same crops %s: which give more on the same "
                        "ground? %d paired block%s: in each, one half has hills and one has rows.",
                        t->guild->name.s,
                        t->row_guild ? "sown together in rows" : "in rows of their own", t->blocks,
                        t->blocks == 1 ? "" : "s");
}

const char *trial_verdict(const struct trial *t, struct arena *arena)
{
    char d[64], cv[64], power[64], told[64];
    struct strbuf b;
    strbuf_init(&b, arena);
    strbuf_printf(&b, "To tell a difference of %s %% where halves treated alike differ by a CV of ",
                  percent(d, t->difference));
    strbuf_printf(&b, "%s %% takes ", percent(cv, t->cv));
    if (t->needed > 0)
        strbuf_printf(&b, "%d", t->needed);
    else
        strbuf_printf(&b, "over %d", STATS_BLOCKS_MAX);
    strbuf_printf(&b, " blocks (5 %% level, power %s %%). ", percent(power, t->power));
    bool enough = t->needed > 0 && t->blocks >= t->needed;
    if (!isfinite(t->told))
        strbuf_puts(&b, "This is one block: too small to tell anything. Look, learn, and do not "
                        "conclude.");
    else if (!enough)
        strbuf_printf(&b,
                      "With %d this plot is too small for that: it can tell %s %% or more. A "
                      "smaller difference will pass for luck.",
                      t->blocks, num_fixed(told, sizeof told, ceil(100 * t->told - 1e-9), 0));
    else
        strbuf_printf(&b, "These are %d: enough, if the CV is no larger than that.", t->blocks);
    return b.failed ? NULL : b.p;
}

const char *trial_guard_words(const struct trial *t, struct arena *arena)
{
    char l[64], d[64], side[64], end[64];
    unit_length(side, sizeof side, t->guard_side_m, t->units);
    unit_length(end, sizeof end, t->guard_end_m, t->units);
    const char *where =
        t->ring ? arena_printf(arena,
                               "all round each half: %s at the ends of the rows, %s beside "
                               "them",
                               end, side)
                : arena_printf(arena, "%s wide where the halves of a block meet", side);
    if (!where)
        return NULL;
    return arena_printf(
        arena,
        "Shaded: guard, planted like the rest and not weighed, %s. Dashed: the net ground that is "
        "weighed, %s by %s in every half.",
        where, unit_length(l, sizeof l, t->net_length_m, t->units),
        unit_length(d, sizeof d, t->net_depth_m, t->units));
}

/* The first block of the plan that is so planted, NULL: none. */
static const struct block *block_find(const struct trial *t, int treatment, int part)
{
    for (int b = 0; b < t->plan->nblocks; b++)
        if (trial_half_of(t, b)->treatment == treatment)
            return &t->plan->blocks[b + part];
    return NULL;
}

const char *trial_hills_words(const struct trial *t, struct arena *arena)
{
    const struct block *block = block_find(t, TREATMENT_HILLS, 0);
    const struct planting *p = block->planting;
    char pitch[64], line[64], shift[64];
    int lines = block->lines, hills = planting_stations(p, block->length_m, 0);
    unit_length(pitch, sizeof pitch, p->pitch_m, t->units);
    if (p->stagger_m <= 0)
        return arena_printf(arena, "Hills: %d lines of %d hills of %s, %s apart both ways.", lines,
                            hills, p->guild->name.s, pitch);
    return arena_printf(arena,
                        "Hills: %d lines of %d hills of %s. Hill to hill %s, line to line %s, each "
                        "other line shifted by %s.",
                        lines, hills, p->guild->name.s, pitch,
                        unit_length(line, sizeof line, p->line_m, t->units),
                        unit_length(shift, sizeof shift, p->stagger_m, t->units));
}

const char *trial_sow_words(const struct trial *t, int k, struct arena *arena)
{
    const struct part *part = &block_find(t, TREATMENT_HILLS, 0)->planting->parts[k];
    char day[64], ring[64], depth[64], sown[64];
    struct strbuf b;
    strbuf_init(&b, arena);
    date_text(day, sizeof day, part->season.sow);
    if (*part->trigger)
        strbuf_printf(&b, "Sown %s, about %s. ", part->trigger, day);
    else
        strbuf_printf(&b, "Sown about %s. ", day);
    unit_length(depth, sizeof depth, part->crop->depth_m.typ, t->units);
    strbuf_printf(&b, "In a hill %s", num_fixed(sown, sizeof sown, ceil(part->sown - 1e-9), 0));
    if (part->ring_m > 0)
        strbuf_printf(&b, ", %s from the centre",
                      unit_length(ring, sizeof ring, part->ring_m, t->units));
    strbuf_printf(&b, ", %s deep; keep %d", depth, part->per_station);
    if (part->every > 1)
        strbuf_printf(&b, ", in one hill of %d", part->every);
    strbuf_puts(&b, ".");
    return b.failed ? NULL : b.p;
}

const char *trial_rows_words(const struct trial *t, int k, struct arena *arena)
{
    const struct block *block = block_find(t, TREATMENT_ROWS, t->row_guild ? 0 : k);
    const struct planting *p = block->planting;
    const struct part *part = &p->parts[t->row_guild ? k : 0];
    char row[64], pitch[64], along[64], share[64];
    double spot = p->pitch_m * part->every / part->per_station;
    unit_length(row, sizeof row, p->line_m, t->units);
    unit_length(pitch, sizeof pitch, spot, t->units);
    unit_length(along, sizeof along, block->length_m, t->units);
    if (t->row_guild)
        return arena_printf(arena, "In each row, a plant every %s; %d rows, %s apart.", pitch,
                            block->lines, row);
    return arena_printf(
        arena, "Rows: %d, %s long, %s apart, a plant every %s; %s %% of the ground.", block->lines,
        along, row, pitch, num_fixed(share, sizeof share, 100 * t->crops[k].share, 0));
}

/* "12' 6" to 27', 0' to 13' 2"": x, then y. */
static void rect_words(const struct trial *t, struct rect r, struct strbuf *b)
{
    const double at[] = {r.x0, r.x1, r.y0, r.y1};
    static const char *const before[] = {"x ", " to ", ", y ", " to "};
    char buf[64];
    for (int i = 0; i < 4; i++)
        strbuf_printf(b, "%s%s", before[i], unit_tape(buf, sizeof buf, at[i], t->units));
}

const char *trial_half_words(const struct trial *t, const struct trial_half *half, bool net,
                             struct arena *arena)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    if (!net)
        strbuf_printf(&b, "%s: ", half->name);
    rect_words(t, net ? half->net : half->ground, &b);
    return b.failed ? NULL : b.p;
}
