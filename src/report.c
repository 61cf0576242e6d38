/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report.h"

#include <math.h>
#include <string.h>

#include "larder.h"
#include "num.h"
#include "report_shade.h"
#include "report_words.h"
#include "work.h"

#define LABEL_WIDTH 32

/* Lines and plants that a wind-pollinated crop wants together (common practice). */
#define WIND_LINES  4
#define WIND_PLANTS 16

/* ---- plots ---------------------------------------------------------------------------------- */

static const struct zone *zone_of(const struct report *r, int b)
{
    return &r->plan->zones.items[r->plan->blocks[b].zone];
}

/* Fewest and most stations on a line of a block, and the first and last of all. */
struct places {
    int lines, least, most, first, last;
};

static struct places places_of(const struct plan *plan, int b)
{
    struct places p = {.first = -1};
    for (int l = 0; l < plan->nlines; l++) {
        const struct line *line = &plan->lines[l];
        if (line->block != b)
            continue;
        p.least = p.lines == 0 || line->n < p.least ? line->n : p.least;
        p.most = line->n > p.most ? line->n : p.most;
        p.lines++;
        if (line->n > 0 && p.first < 0)
            p.first = line->first;
        if (line->n > 0)
            p.last = line->first + line->n - 1;
    }
    return p;
}

static int block_plants(const struct plan *plan, int b, int k)
{
    int plants = 0;
    for (int s = 0; s < plan->nstations; s++)
        plants += plan->stations[s].block == b ? plan->stations[s].plants[k] : 0;
    return plants;
}

/* Whether block a stands in one line with block b. */
static bool share_line(const struct plan *plan, int a, int b)
{
    const struct block *p = &plan->blocks[a], *q = &plan->blocks[b];
    return p->shared && q->shared && p->zone == q->zone && fabs(p->start_m - q->start_m) < 1e-6;
}

/* What stands in a block, below its row of the table. */
static void block_plants_row(const struct report *r, int b, const struct places *places)
{
    const struct plan *plan = r->plan;
    const struct planting *p = plan->blocks[b].planting;
    struct strbuf text;
    strbuf_init(&text, r->arena);
    if (p->system == SYSTEM_HILLS && places->first == places->last && places->first >= 0)
        strbuf_printf(&text, "hill %s: ", plan->stations[places->first].id);
    else if (p->system == SYSTEM_HILLS && places->first >= 0)
        strbuf_printf(&text, "hills %s to %s: ", plan->stations[places->first].id,
                      plan->stations[places->last].id);
    for (int k = 0; k < p->nparts; k++)
        strbuf_printf(&text, "%s%d %s (%s)", k > 0 ? ", " : "", block_plants(plan, b, k),
                      p->parts[k].crop->name.s, report_name(r, p->parts[k].seed->variety.s));
    const char *before = "; in one line with ";
    for (int a = 0; a < plan->nblocks; a++)
        if (a != b && share_line(plan, a, b)) {
            strbuf_printf(&text, "%sb%d", before, a + 1);
            before = ", ";
        }
    report_standing(p, &text);
    r->out->failed |= text.failed;
    strbuf_wrap(r->out, text.p, REPORT_WIDTH, 8, 0);
}

static void block_row(const struct report *r, int b)
{
    const struct planting *p = r->plan->blocks[b].planting;
    struct places places = places_of(r->plan, b);
    const char *spots =
        places.least == places.most
            ? report_words(r, "%d x %d", places.lines, places.most)
            : report_words(r, "%d x %d-%d", places.lines, places.least, places.most);
    strbuf_printf(r->out, "  %-4s ", report_words(r, "b%d", b + 1));
    if (utf8_columns(p->label) > LABEL_WIDTH)
        strbuf_printf(r->out, "%s\n%*s", p->label, 7 + LABEL_WIDTH, "");
    else
        strbuf_pad(r->out, p->label, LABEL_WIDTH);
    strbuf_printf(r->out, "  %-13s  %s", spots, report_length(r, p->pitch_m));
    if (places.lines > 1)
        strbuf_printf(r->out, " (%s)", report_length(r, p->line_m));
    strbuf_puts(r->out, "\n");
    block_plants_row(r, b, &places);
}

#define LOST_LEAST 1e-4 /* a smaller share of the free ground is rounding */

static const struct ground *ground_of(const struct plan *plan, int plot, bool along_x)
{
    for (size_t g = 0; g < plan->zones.ngrounds; g++)
        if (plan->zones.grounds[g].plot == plot && plan->zones.grounds[g].along_x == along_x)
            return &plan->zones.grounds[g];
    return NULL;
}

/* Ground of a plot that is planted, m2; *again: that bears a second crop; *after: of what stands
 * already, that does. On ground that turns the
 * crops of one side may need more than those of the other. */
static double ground_used(const struct report *r, int plot, double *again, double *after)
{
    double used = 0;
    *again = *after = 0;
    for (int b = 0; b < r->plan->nblocks; b++) {
        const struct block *block = &r->plan->blocks[b];
        double slots[SLOT_COUNT] = {0};
        if (planting_standing(block->planting))
            continue;
        if (zone_standing(zone_of(r, b))) { /* the ground is taken by what stood there before */
            *after += zone_of(r, b)->plot == plot ? block_area(block) : 0;
            continue;
        }
        for (int a = 0; a < r->plan->nblocks; a++) {
            const struct block *other = &r->plan->blocks[a];
            if (other->zone != block->zone || other->planting->turn_d != block->planting->turn_d)
                continue;
            double length =
                fmin(other->length_m, zone_of(r, a)->length_m); /* no path under vines */
            slots[other->planting->slot] += other->depth_m * length;
            if (a < b)
                slots[SLOT_WHOLE] = slots[SLOT_FIRST] = slots[SLOT_SECOND] =
                    -HUGE_VAL; /* counted */
        }
        if (zone_of(r, b)->plot != plot || slots[SLOT_WHOLE] < 0)
            continue;
        used += slots[SLOT_WHOLE] + fmax(slots[SLOT_FIRST], slots[SLOT_SECOND]);
        *again += slots[SLOT_SECOND];
    }
    return used;
}

/* Where the lines run, and how much of the ground is used. */
static void plot_head(const struct report *r, int i, bool along_x)
{
    const struct plot *plot = garden_plot(r->garden, (size_t)i);
    const struct ground *ground = ground_of(r->plan, i, along_x);
    double again, after, used = ground_used(r, i, &again, &after);
    double degrees = plot->bearing.v * 180 / M_PI + (along_x ? 90 : 0);
    double compass = fmod(degrees + 720, 180); /* a line runs both ways */
    char deg[64];
    num_fixed(deg, sizeof deg, compass, 0);
    report_heading(r, report_name(r, plot->name.s));
    if (!ground)
        return;
    bool barred = r->garden->rotation.rule.v == ROTATION_BAR && r->garden->nformer > 0;
    const char *lost = ground->lost_share < LOST_LEAST
                           ? ""
                           : report_words(r,
                                          "; %s (%s) are lost at corners%s and slanting sides that "
                                          "hold no whole line",
                                          report_area(r, ground->free_m2 - ground->zoned_m2),
                                          report_percent(r, ground->lost_share),
                                          barred ? ", strips that rotation keeps off" : "");
    report_paragraph(
        r, report_words(
               r,
               "Lines run along %s (compass %s deg). Of %s, %s are free for planting and %s "
               "are planted%s%s%s.",
               along_x ? "x" : "y", deg, report_area(r, ground->outline_m2),
               report_area(r, ground->free_m2), report_area(r, fmin(used, ground->free_m2)),
               again > 0
                   ? report_words(r, ", %s with a second crop after a first", report_area(r, again))
                   : "",
               after > 0
                   ? report_words(r, ", %s more behind what stands already", report_area(r, after))
                   : "",
               lost));
}

static void plot_section(const struct report *r, int i)
{
    int first = -1;
    for (int b = r->plan->nblocks - 1; b >= 0; b--)
        first = zone_of(r, b)->plot == i ? b : first;
    if (first < 0) {
        report_heading(r, report_name(r, garden_plot(r->garden, (size_t)i)->name.s));
        report_paragraph(r, "Nothing is planted here.");
        return;
    }
    plot_head(r, i, zone_of(r, first)->along_x);
    strbuf_printf(r->out, "\n  %-4s %-*s  %-13s  %s\n", "", LABEL_WIDTH, "what and how",
                  "lines x spots", "spots (lines) apart");
    for (int b = first; b < r->plan->nblocks; b++)
        if (zone_of(r, b)->plot == i)
            block_row(r, b);
}

/* ---- food ----------------------------------------------------------------------------------- */

/* The week that asks for most, in tenths of an hour. */
static void week_row(const struct report *r)
{
    struct work_week week = work_fullest(r->plan);
    const struct qty *limit = &r->garden->limits.week_hours;
    char day[32], hours[64], most[64];
    if (week.hours <= 0)
        return;
    const char *of =
        limit->set ? report_words(r, ", of %s at most", num_text(most, sizeof most, limit->v)) : "";
    report_fact(
        r, "fullest week",
        report_words(r, "from %s: %s hours, typical%s", date_text(day, sizeof day, week.from),
                     week.hours < 0.95 ? num_text(hours, sizeof hours, num_round_sig(week.hours, 2))
                                       : num_fixed(hours, sizeof hours, week.hours, 1),
                     of));
}

/* What is left of the food when seed is kept back: finer than estimates are known, as it is the
 * difference that tells. */
static void eaten_row(const struct report *r)
{
    const struct plan *plan = r->plan;
    double kcal = plan->energy_kcal.typ - plan->eaten_kcal, kg = 0;
    char days[64];
    for (int c = 0; c < plan->ncrops; c++)
        kg += plan->crops[c].kept_kg;
    if (kg <= 0)
        return;
    const struct span kept = {kg, kg, kg};
    report_fact(r, "less seed to save",
                report_words(r,
                             "%s days, typical; %s and %s kcal are kept for seed. All other "
                             "figures are of the whole harvest.",
                             num_text(days, sizeof days, num_round_sig(plan->eaten_days, 3)),
                             report_mass(r, &kept), report_estimate(r, kcal)));
}

static void food_section(const struct report *r)
{
    const struct plan *plan = r->plan;
    report_heading(r, "What it may give, typical (low to high)");
    report_fact(r, "full food, one person",
                r->garden->people.v > 1
                    ? report_words(r, "%s, or %s days for %s people",
                                   report_span(r, &plan->person_days, 1, " days"),
                                   report_estimate(r, plan->person_days.typ / r->garden->people.v),
                                   report_whole(r, r->garden->people.v))
                    : report_span(r, &plan->person_days, 1, " days"));
    eaten_row(r);
    report_fact(r, "food energy", report_span(r, &plan->energy_kcal, 1, " kcal"));
    report_fact(r, "protein", report_span(r, &plan->protein_g, 1, " g"));
    report_fact(r, "usable protein",
                report_words(r, "%s, %s", report_span(r, &plan->usable_protein_g, 1, " g"),
                             plan->limiting < AMINO_COUNT
                                 ? report_words(r, "limited by %s", amino_names[plan->limiting])
                                 : "no amino acid is short"));
    report_fact(r, "work",
                r->garden->limits.hours.set
                    ? report_words(r, "%s, of %s at most",
                                   report_span(r, &plan->hours, 1, " hours"),
                                   report_whole(r, r->garden->limits.hours.v))
                    : report_span(r, &plan->hours, 1, " hours"));
    week_row(r);
    char kcal[64], protein[64];
    report_paragraph(
        r, report_words(r,
                        "Low to high is an 80 %% range: one season in ten is likely to turn out "
                        "below it and one above. These are estimates from the figures of the crop "
                        "library, no promise; `hillrow crops NAME` shows where each comes from. A "
                        "day of full food is %s kcal and %s g of usable protein.",
                        num_grouped(kcal, sizeof kcal, r->garden->ration.energy_kcal.v),
                        num_text(protein, sizeof protein,
                                 num_round_sig(1000 * r->garden->ration.protein_kg.v, 4))));
}

#define CROP_COLUMNS 31 /* for a crop and its variety */

static void crop_row(const struct report *r, const struct crop_result *c)
{
    double hand = garden_seed_count(r->garden, c->seed);
    const char *pieces = report_pieces(c->seed->crop),
               *sown = report_whole(r, ceil(c->sown - 1e-9));
    const char *name = report_words(r, "%s, %s", c->seed->crop->name.s, c->seed->variety.s);
    const char *sow = c->seed->standing ? "stands already"
                      : isfinite(hand)
                          ? report_words(r, "%s of %s %s", sown, report_whole(r, hand), pieces)
                          : report_words(r, "get %s %s", sown, pieces);
    const char *harvest = c->seed->for_seed ? "seed" : report_mass(r, &c->kg);
    int room = REPORT_WIDTH - 43 - (int)utf8_columns(sow);
    strbuf_puts(r->out, "  ");
    if (utf8_columns(name) > CROP_COLUMNS) { /* on a line of its own, whole */
        strbuf_wrap(r->out, name, REPORT_WIDTH, 2, 4);
        strbuf_puts(r->out, "  ");
        name = "";
    }
    strbuf_pad(r->out, name, CROP_COLUMNS);
    strbuf_printf(r->out, "%6s  ", report_whole(r, c->plants));
    if ((int)strlen(harvest) <= room)
        strbuf_printf(r->out, "%-*s  %s\n", room < 21 ? room : 21, harvest, sow);
    else
        strbuf_printf(r->out, "%s\n%*s\n", harvest, REPORT_WIDTH, sow);
}

static void harvest_section(const struct report *r)
{
    report_heading(r, "Harvest and seed");
    strbuf_printf(r->out, "  %-*s%6s  %-21s  %s\n", CROP_COLUMNS, "", "plants", "harvest",
                  "sow, of in hand");
    for (int c = 0; c < r->plan->ncrops; c++)
        crop_row(r, &r->plan->crops[c]);
    if (r->garden->limits.reserve.v > 0)
        report_paragraph(
            r, report_words(r, "In hand is what is left when %s is kept back for replanting.",
                            report_percent(r, r->garden->limits.reserve.v)));
}

/* ---- what to mind --------------------------------------------------------------------------- */

/* Each item of a list: "  - text". */
static void item(const struct report *r, const char *text)
{
    strbuf_puts(r->out, "  - ");
    strbuf_wrap(r->out, text, REPORT_WIDTH, 4, 4);
}

static bool told_before(const struct plan *plan, int b, int k)
{
    const struct seed *seed = plan->blocks[b].planting->parts[k].seed;
    for (int a = 0; a < b; a++)
        for (int j = 0; j < plan->blocks[a].planting->nparts; j++)
            if (plan->blocks[a].planting->parts[j].seed == seed)
                return true;
    return false;
}

/* Whether the harvest hangs on the wind: grain, the ears of sweet corn, seed to save; not leaves
 * and roots, which are in before they flower. */
static bool wants_wind(const struct part *part)
{
    const struct crop *c = part->crop;
    return c->pollination.v == POLLEN_WIND &&
           (c->harvest.v == HARVEST_DRY || strcmp(c->family.s, "Poaceae") == 0 ||
            part->seed->save.v);
}

static bool is_thin(const struct plan *plan, int b, int k)
{
    return wants_wind(&plan->blocks[b].planting->parts[k]) && plan->blocks[b].lines < WIND_LINES &&
           block_plants(plan, b, k) < WIND_PLANTS;
}

/* "b7, b12": the blocks where a variety stands too thin for the wind, if b is the first of them;
 * empty: it is not. NULL: out of memory. */
static const char *thin_blocks(const struct report *r, int b, const struct seed *seed)
{
    struct strbuf list;
    strbuf_init(&list, r->arena);
    for (int a = 0; a < r->plan->nblocks; a++) {
        const struct planting *p = r->plan->blocks[a].planting;
        for (int k = 0; k < p->nparts; k++) {
            if (p->parts[k].seed != seed || !is_thin(r->plan, a, k))
                continue;
            if (a < b)
                return "";
            strbuf_printf(&list, "%sb%d", list.n > 0 ? ", " : "", a + 1);
        }
    }
    return list.failed ? NULL : list.n > 0 ? list.p : "";
}

static void risk_section(const struct report *r)
{
    bool any = false;
    for (int b = 0; b < r->plan->nblocks; b++) {
        const struct planting *p = r->plan->blocks[b].planting;
        for (int k = 0; k < p->nparts; k++) {
            const struct part *part = &p->parts[k];
            bool risk = part->season.fit == SEASON_AT_RISK && !told_before(r->plan, b, k);
            const char *thin = is_thin(r->plan, b, k) ? thin_blocks(r, b, part->seed) : "";
            if (!thin) {
                r->out->failed = true;
                return;
            }
            if (!any && (risk || *thin))
                report_heading(r, "Mind");
            any |= risk || *thin;
            const char *who = report_words(r, "%s (%s)", part->crop->name.s,
                                           report_name(r, part->seed->variety.s));
            if (risk)
                item(r, report_words(r, "b%d, %s: %s.", b + 1, who, part->season.reason));
            if (*thin)
                item(r, report_words(
                            r,
                            "%s, %s: fewer than %d lines and %d plants together; the wind may "
                            "leave many seeds unset.",
                            thin, who, WIND_LINES, WIND_PLANTS));
        }
    }
}

static bool planted(const struct plan *plan, const struct seed *seed)
{
    for (int c = 0; c < plan->ncrops; c++)
        if (plan->crops[c].seed == seed)
            return true;
    return false;
}

static bool left_out(const struct plan *plan, const char *name)
{
    for (int i = 0; i < plan->menu.nleft_out; i++)
        if (strcmp(plan->menu.left_out[i].name, name) == 0)
            return true;
    return false;
}

/* Varieties in hand without a place that the menu says nothing of, those of one reason together. */
static void unplanted(const struct report *r, int reason, const char *why)
{
    struct strbuf text;
    strbuf_init(&text, r->arena);
    for (size_t s = 0; s < r->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(r->garden, s);
        int its = garden_seed_count(r->garden, seed) < 1               ? 0
                  : !garden_grows_alone(r->garden, seed->crop->name.s) ? 1
                                                                       : 2;
        if (its != reason || planted(r->plan, seed) || left_out(r->plan, seed->crop->name.s))
            continue;
        strbuf_printf(&text, "%s%s (%s)", text.n > 0 ? ", " : "", seed->crop->name.s,
                      report_name(r, seed->variety.s));
    }
    r->out->failed |= text.failed;
    if (text.n > 0)
        item(r, report_words(r, "%s: %s.", text.p, why));
}

static void left_out_section(const struct report *r)
{
    const struct plan *plan = r->plan;
    size_t before = r->out->n;
    report_heading(r, "Left out");
    size_t empty = r->out->n;
    for (int i = 0; i < plan->menu.nleft_out; i++)
        item(r,
             report_words(r, "%s: %s.", plan->menu.left_out[i].name, plan->menu.left_out[i].why));
    unplanted(r, 0, "no seed is left when the reserve is kept back");
    unplanted(r, 1, "not asked for on its own, and no guild of the plan takes it");
    unplanted(r, 2,
              plan->status == PLAN_OPTIMAL
                  ? "other plantings serve the goal better (`--explain`: by how much)"
                  : "the plan found has no place for it");
    if (r->out->n == empty && !r->out->failed) { /* nothing was */
        r->out->n = before;
        r->out->p[before] = '\0';
    }
}

/* ---- how good ------------------------------------------------------------------------------- */

static void proof_section(const struct report *r)
{
    const struct plan *plan = r->plan;
    struct strbuf text;
    char seconds[64];
    strbuf_init(&text, r->arena);
    report_heading(r, "How good the plan is");
    report_bound(plan, &text);
    if (plan->status != PLAN_OPTIMAL)
        strbuf_puts(&text, " The search was stopped before it could prove more: a longer "
                           "`--time-limit` may find better.");
    report_shade(plan, &text);
    strbuf_printf(&text, " Found in %s s.", num_fixed(seconds, sizeof seconds, plan->seconds, 1));
    r->out->failed |= text.failed;
    report_paragraph(r, text.p);
}

void report_summary(const struct plan *plan, struct strbuf *out)
{
    struct strbuf said;
    struct report r = report_begin(plan->garden, plan, &said, out);
    char year[64];
    strbuf_printf(&said, "%s, %s: plan %s\n", report_name(&r, plan->garden->name.s),
                  num_fixed(year, sizeof year, plan->garden->year.v, 0), plan->id);
    for (int i = 0; i < (int)plan->garden->plots.n; i++)
        plot_section(&r, i);
    if (plan->ncrops > 0) {
        food_section(&r);
        harvest_section(&r);
        strbuf_puts(&said, "\n");
        if (larder_describe(plan, out->arena, &said) != HR_OK)
            said.failed = true;
    }
    report_seed_saving(plan, &said);
    report_rotation(plan, &said);
    report_soil(plan, &said);
    risk_section(&r);
    left_out_section(&r);
    proof_section(&r);
    report_end(&said, out);
}
