/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a plan says of the seed that is to be saved. See report.h. */
#include "report.h"

#include <math.h>

#include "num.h"
#include "overwinter.h"
#include "seed_kept.h"
#include "standing_days.h"

#define WIDTH 80

static const struct crop_result *result_of(const struct plan *plan, const struct seed *seed)
{
    for (int c = 0; c < plan->ncrops; c++)
        if (plan->crops[c].seed == seed)
            return &plan->crops[c];
    return NULL;
}

/* Whether so few plants keep a line sound. */
static void say_stand(struct strbuf *out, const struct crop *crop, int plants)
{
    const struct range *stand = &crop->seed_stand;
    if (!stand->set)
        return;
    if (plants < stand->low)
        strbuf_printf(out,
                      " %d plants are too few for a sound line (%.0f at least): swap seed "
                      "with others who keep it, or grow it on more ground.",
                      plants, stand->low);
    else if (plants < stand->high)
        strbuf_printf(out, " %d plants will do; %.0f keep more of its breadth.", plants,
                      stand->high);
    else
        strbuf_printf(out, " %d plants are enough to keep the line sound.", plants);
}

/* As much as was sown, and a half for what fails. */
static void say_keep(struct strbuf *out, const struct plan *plan, const struct crop_result *c)
{
    const struct crop *crop = c->seed->crop;
    char mass[64];
    if (!crop->seeds_per_kg.set)
        return;
    unit_mass(mass, sizeof mass, SEED_KEPT_AGAIN * c->sown / crop->seeds_per_kg.typ,
              (enum unit_system)plan->garden->units.v);
    strbuf_printf(out, " Keep back about %s, from as many plants as can be.", mass);
}

static bool is_left(const struct crop_result *c, enum seed_source from)
{
    return !seed_second_year(c->seed) && (enum seed_source)c->seed->crop->seed_from.v == from;
}

/* What that costs in food. */
static void say_cost(struct strbuf *out, const struct plan *plan, const struct crop_result *c)
{
    enum unit_system units = (enum unit_system)plan->garden->units.v;
    char kept[64], whole[64], plants[64], kcal[64];
    if (is_left(c, SEED_FROM_RIPE_FRUIT)) {
        strbuf_puts(out, " The fruit is eaten all the same.");
        return;
    }
    if (is_left(c, SEED_FROM_FRUIT_LEFT)) {
        strbuf_puts(out, " Fruit that ripens for it is not picked to eat; that is not taken off "
                         "the harvest told here.");
        return;
    }
    if (c->kept_kg <= 0)
        return;
    unit_mass(kept, sizeof kept, c->kept_kg, units);
    unit_mass(whole, sizeof whole, c->kg.typ, units);
    num_grouped(plants, sizeof plants, c->kept_plants);
    num_grouped(kcal, sizeof kcal,
                num_round_sig(c->kept_kg * food_rate_typical(c->seed->crop).energy_kcal, 2));
    if (is_left(c, SEED_FROM_PLANTS))
        strbuf_printf(out, " Leave %s of them to flower.", plants);
    strbuf_printf(out, " %s of the %s it gives (typical)", kept, whole);
    if (is_left(c, SEED_FROM_HARVEST))
        strbuf_printf(out, ", what %s plant%s give%s,", plants, c->kept_plants == 1 ? "" : "s",
                      c->kept_plants == 1 ? "s" : "");
    strbuf_printf(out, " are kept for seed: %s kcal that are not eaten.", kcal);
}

/* Of plants that stay: "20 plants (rows 3.1 to 3.2)". */
static void say_kept(struct strbuf *out, const struct plan *plan, const struct overwinter *kept,
                     int n, bool stays)
{
    const char *between = " ";
    bool plots = plan->garden->plots.n > 1;
    int plants = 0;
    for (int i = 0; i < n; i++)
        plants += kept[i].stays == stays ? kept[i].plants : 0;
    strbuf_printf(out, " %d plant%s (", plants, plants == 1 ? "" : "s");
    for (int i = 0; i < n; i++) {
        if (kept[i].stays != stays)
            continue;
        int plot = plan->zones.items[plan->blocks[kept[i].block].zone].plot;
        const char *rows = overwinter_rows(out->arena, &kept[i]);
        strbuf_printf(out, "%s%s%s%s", between + 1,
                      plots ? garden_plot(plan->garden, (size_t)plot)->name.s : "",
                      plots ? " " : "", rows ? rows : "");
        out->failed |= !rows;
        between = " , ";
    }
    strbuf_puts(out, ")");
}

static bool any_kept(const struct overwinter *kept, int n, bool stays)
{
    bool any = false;
    for (int i = 0; i < n; i++)
        any |= kept[i].stays == stays;
    return any;
}

/* Where the plants for seed are in the second year. */
static void say_second_year(struct strbuf *out, const struct plan *plan,
                            const struct overwinter *kept, int n)
{
    char day[32];
    if (n == 0)
        return;
    date_text(day, sizeof day, standing_seed_day(&plan->garden->site));
    strbuf_printf(out, " It flowers in its second year; its seed is ripe about %s of that.", day);
    if (any_kept(kept, n, true)) {
        strbuf_puts(out, " Leave");
        say_kept(out, plan, kept, n, true);
        strbuf_puts(out, " where they stand over the winter: that ground is taken until then, and "
                         "what is left of them is not eaten.");
    }
    if (any_kept(kept, n, false)) {
        strbuf_puts(out, " Lift");
        say_kept(out, plan, kept, n, false);
        strbuf_puts(out,
                    " before hard frost, store them cool and damp, and set them again in spring, "
                    "as far apart: they take ground then, and are not eaten.");
    }
}

static void put_cm(struct strbuf *out, double m)
{
    char num[64];
    strbuf_printf(out, "%s cm", num_text(num, sizeof num, round(m * 1000) / 10));
}

/* Rather less, so that no plant and no row is lost by rounding. */
static double floor_mm(double m)
{
    return floor(m * 1000 + 1e-6) / 1000;
}

/* A text between quotes, as YAML reads it. */
static void put_quoted(struct strbuf *out, const char *text)
{
    strbuf_puts(out, "\"");
    for (; *text; text++) {
        if (*text == '"' || *text == '\\')
            strbuf_puts(out, "\\");
        strbuf_add(out, text, 1);
    }
    strbuf_puts(out, "\"");
}

/* What to write into next year's garden file. */
static void say_next_year(struct strbuf *out, const struct plan *plan,
                          const struct overwinter *kept, int n)
{
    if (!any_kept(kept, n, true))
        return;
    int plot = -1;
    for (int i = 0; i < n; i++) {
        const struct block *block = &plan->blocks[kept[i].block];
        const struct zone *zone = &plan->zones.items[block->zone];
        const struct part *part = &block->planting->parts[kept[i].part];
        struct rect r = overwinter_ground(plan, &kept[i]);
        if (!kept[i].stays)
            continue;
        if (zone->plot != plot)
            strbuf_printf(out, "    For next year's garden file, `standing` of %s:\n",
                          garden_plot(plan->garden, (size_t)zone->plot)->name.s);
        plot = zone->plot;
        strbuf_printf(out, "      - {crop: %s, variety: ", part->crop->name.s);
        put_quoted(out, part->seed->variety.s);
        strbuf_puts(out, ", for seed: yes,\n         at: [");
        put_cm(out, r.x0);
        strbuf_puts(out, ", ");
        put_cm(out, r.y0);
        strbuf_puts(out, "], size: ");
        put_cm(out, r.x1 - r.x0);
        strbuf_puts(out, " x ");
        put_cm(out, r.y1 - r.y0);
        strbuf_printf(out, ",\n         rows: along-%s, along: ", zone->along_x ? "x" : "y");
        put_cm(out, floor_mm(block->planting->pitch_m));
        strbuf_puts(out, ", across: ");
        put_cm(out, floor_mm(block->planting->line_m));
        strbuf_puts(out, "}\n");
    }
}

static void say_seed(struct strbuf *out, const struct plan *plan, const struct seed *seed)
{
    const struct crop_result *c = result_of(plan, seed);
    struct overwinter *kept;
    int n;
    struct strbuf words;
    strbuf_init(&words, out->arena);
    words.failed |= overwinter_of(plan, seed, out->arena, &kept, &n) != HR_OK;
    strbuf_printf(&words, "%s, %s:", seed->crop->name.s, seed->variety.s);
    if (!c) {
        strbuf_puts(&words, " it has no place in this plan, so no seed is saved. Ask for it with a "
                            "wish (`at least`).");
    } else {
        say_stand(&words, seed->crop, c->plants);
        say_keep(&words, plan, c);
        say_cost(&words, plan, c);
        if (seed->by_hand.v)
            strbuf_puts(&words, " Bag the flowers the evening before they open, pollinate them by "
                                "hand, tie them shut and mark their fruit.");
        say_second_year(&words, plan, kept, n);
    }
    strbuf_puts(out, "  - ");
    strbuf_wrap(out, words.p, WIDTH, 4, 4);
    say_next_year(out, plan, kept, n);
    out->failed |= words.failed;
}

void report_seed_saving(const struct plan *plan, struct strbuf *out)
{
    bool any = false;
    for (size_t s = 0; s < plan->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(plan->garden, s);
        if (!seed_saved(seed))
            continue;
        if (!any)
            strbuf_puts(out, "\nSeed to save\n");
        any = true;
        say_seed(out, plan, seed);
    }
}
