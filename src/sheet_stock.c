/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The seed of the sheet, and its cautions. */
#include <math.h>
#include <string.h>

#include "overwinter.h"
#include "sheet_maker.h"

/* ---- seed ---------------------------------------------------------------------------------- */

static double piece_kg(const struct crop *crop)
{
    if (crop->seeds_per_kg.set)
        return 1 / crop->seeds_per_kg.typ;
    return crop->piece_kg.set ? crop->piece_kg.typ : 0;
}

/* What is in hand, and what of it is left. */
static void take_stock(struct maker *m, struct sheet_seed *s)
{
    const struct seed *seed = s->seed;
    double usable = garden_seed_count(m->plan->garden, seed);
    double reserve = m->plan->garden->limits.reserve.v, with_reserve = s->sow / (1 - reserve);
    if (!isfinite(usable)) {
        s->in_hand = HUGE_VAL;
        s->buy = ceil(with_reserve - 1e-9);
        s->reserve = s->buy - s->sow;
    } else {
        double each = piece_kg(seed->crop);
        s->in_hand = seed->amount.v;
        if (seed->amount.kind == UNIT_MASS)
            s->in_hand = floor(each > 0 ? seed->amount.v / each + 1e-9 : 0);
        s->reserve = fmax(0, s->in_hand - usable);
        s->left = usable - s->sow;
        s->buy = fmax(0, ceil(with_reserve - s->in_hand - 1e-9));
    }
    s->buy_kg = s->buy * piece_kg(seed->crop);
}

void maker_seeds(struct maker *m)
{
    const struct plan *plan = m->plan;
    for (int c = 0; c < plan->ncrops; c++) {
        const struct seed *seed = plan->crops[c].seed;
        if (seed->standing)
            continue;
        struct sheet_seed *s = &m->sheet->seeds[m->sheet->nseeds++];
        *s = (struct sheet_seed){.seed = seed, .unit = map_piece_word(seed->crop, 2)};
        s->tested = seed->germination.set;
        if (seed->crop->seeds_per_kg.set) /* pieces do not germinate */
            s->germination = seed_germination(plan->garden, seed);
        s->sow = ceil(plan->crops[c].sown - 1e-9);
        take_stock(m, s);
    }
}

/* ---- plants kept for seed ------------------------------------------------------------------ */

const char *maker_second_year(struct maker *m, const struct part *part)
{
    struct overwinter *kept;
    int n;
    const char *text = "";
    if (overwinter_of(m->plan, part->seed, m->arena, &kept, &n) != HR_OK) {
        m->failed = true;
        return "";
    }
    for (int i = 0; i < n; i++) {
        const struct part *its = &m->plan->blocks[kept[i].block].planting->parts[kept[i].part];
        const char *rows = overwinter_rows(m->arena, &kept[i]);
        if (its->season.harvest_low != part->season.harvest_low)
            continue; /* said with their own harvest */
        m->failed = m->failed || !rows;
        text =
            maker_words(m, "%s %s %d plants of %s for seed, which comes next year: %s.", text,
                        kept[i].stays ? "Leave" : "Lift", kept[i].plants, rows ? rows : "",
                        kept[i].stays ? "they stay where they are"
                                      : "store them cool and damp, and set them again in spring");
    }
    return *text == ' ' ? text + 1 : text;
}

/* ---- cautions ------------------------------------------------------------------------------ */

static void add_caution(struct maker *m, const char *text)
{
    struct sheet *sheet = m->sheet;
    for (int i = 0; i < sheet->ncautions; i++)
        if (strcmp(sheet->cautions[i], text) == 0)
            return;
    sheet->cautions[sheet->ncautions++] = text;
}

static void add_cautions_of(struct maker *m, const struct list *cautions)
{
    for (size_t i = 0; i < cautions->n; i++)
        add_caution(m, ((const struct caution *)cautions->items + i)->text.s);
}

/* Each only once, in the order of the blocks, then what holds everywhere. */
hr_status maker_cautions(struct maker *m)
{
    static const char *const general[] = {
        "Soil near old paint, traffic or treated wood may hold lead: test it before you eat from "
        "it, "
        "and ask the extension service what the figure means.",
        "Raw manure goes on at least 120 days before the harvest of what touches the soil and 90 "
        "days "
        "before any other (7 CFR 205.203(c), the US rule for organic growers).",
        "No railway ties and no old treated timber as edges or stakes.",
        "Local law, the rules of your garden and your extension service go before this sheet.",
    };
    const struct plan *plan = m->plan;
    const size_t ngeneral = sizeof general / sizeof *general;
    size_t most = ngeneral;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        most += p->guild ? p->guild->cautions.n : 0;
        for (int k = 0; k < p->nparts; k++)
            most += p->parts[k].crop->cautions.n;
    }
    m->sheet->cautions = ARENA_ARRAY(m->arena, const char *, most);
    if (!m->sheet->cautions)
        return HR_NOMEM;
    for (int b = 0; b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        if (p->guild)
            add_cautions_of(m, &p->guild->cautions);
        for (int k = 0; k < p->nparts; k++)
            add_cautions_of(m, &p->parts[k].crop->cautions);
    }
    for (size_t i = 0; i < ngeneral; i++)
        add_caution(m, general[i]);
    return HR_OK;
}
