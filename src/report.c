/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report.h"

#include <math.h>
#include <string.h>

#include "larder.h"
#include "num.h"
#include "report_shade.h"
#include "work.h"

#define WIDTH       80
#define LABEL_WIDTH 32
#define NAME_WIDTH  28 /* longest name of a variety or plot that is shown whole */

/* Lines and plants that a wind-pollinated crop wants together (common practice). */
#define WIND_LINES  4
#define WIND_PLANTS 16

struct report {
    const struct plan *plan;
    const struct garden *garden;
    struct strbuf *out;
    struct arena *arena;
    enum unit_system units;
};

/* ---- words -------------------------------------------------------------------------------------
 */

/* A text made up for one line. */
__attribute__((format(printf, 2, 3))) static const char *words(const struct report *r,
                                                               const char *fmt, ...)
{
    struct strbuf text;
    va_list ap;
    strbuf_init(&text, r->arena);
    va_start(ap, fmt);
    strbuf_vprintf(&text, fmt, ap);
    va_end(ap);
    r->out->failed |= text.failed;
    return text.p;
}

/* A name, cut when it would burst the line. */
static const char *name_cut(const struct report *r, const char *name)
{
    struct strbuf text;
    if (utf8_columns(name) <= NAME_WIDTH)
        return name;
    strbuf_init(&text, r->arena);
    strbuf_pad(&text, name, NAME_WIDTH);
    r->out->failed |= text.failed;
    return text.p;
}

static void heading(const struct report *r, const char *text)
{
    strbuf_printf(r->out, "\n%s\n", text);
}

/* A paragraph, indented. */
static void paragraph(const struct report *r, const char *text)
{
    strbuf_wrap(r->out, text, WIDTH, 2, 0);
}

/* "  name   text", the text wrapped. */
static void fact(const struct report *r, const char *name, const char *text)
{
    const size_t column = 26;
    strbuf_puts(r->out, "  ");
    strbuf_pad(r->out, name, column - 4);
    strbuf_puts(r->out, "  ");
    strbuf_wrap(r->out, text, WIDTH, column, column);
}

/* ---- numbers ------------------------------------------------------------------------------------
 */

/* Estimates are told in steps of the second digit of the typical one: no finer than they are known.
 */
static int step_power(double typical)
{
    double rounded = num_round_sig(typical, 2);
    return rounded > 0 ? (int)floor(log10(rounded) + 1e-9) - 1 : 0;
}

static const char *in_steps(const struct report *r, double v, int power)
{
    char text[64];
    if (power < 0)
        return words(r, "%s", num_fixed(text, sizeof text, v, -power));
    double step = pow(10, power);
    return words(r, "%s", num_grouped(text, sizeof text, round(v / step) * step));
}

static const char *estimate(const struct report *r, double v)
{
    return in_steps(r, v, step_power(v));
}

/* "41 days (28 to 55)", each times factor. */
static const char *span_words(const struct report *r, const struct span *s, double factor,
                              const char *unit)
{
    int power = step_power(s->typ * factor);
    const char *typical = in_steps(r, s->typ * factor, power);
    if (s->low == s->high)
        return words(r, "%s%s", typical, unit);
    return words(r, "%s%s (%s to %s)", typical, unit, in_steps(r, s->low * factor, power),
                 in_steps(r, s->high * factor, power));
}

static const char *mass_words(const struct report *r, const struct span *kg)
{
    const double lb = 0.45359237;
    if (r->units == UNITS_US)
        return kg->typ >= lb ? span_words(r, kg, 1 / lb, " lb") : span_words(r, kg, 16 / lb, " oz");
    return kg->typ >= 1 ? span_words(r, kg, 1, " kg") : span_words(r, kg, 1000, " g");
}

static const char *percent(const struct report *r, double share)
{
    char text[64];
    return words(r, "%s %%",
                 num_fixed(text, sizeof text, 100 * share, fabs(share) < 0.0995 ? 1 : 0));
}

static const char *length(const struct report *r, double m)
{
    char text[48];
    return words(r, "%s", unit_length(text, sizeof text, m, r->units));
}

static const char *area(const struct report *r, double m2)
{
    char text[48];
    return words(r, "%s", unit_area(text, sizeof text, m2, r->units));
}

static const char *whole(const struct report *r, double n)
{
    char text[64];
    return words(r, "%s", num_grouped(text, sizeof text, n));
}

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
                      p->parts[k].crop->name.s, name_cut(r, p->parts[k].seed->variety.s));
    const char *before = "; in one line with ";
    for (int a = 0; a < plan->nblocks; a++)
        if (a != b && share_line(plan, a, b)) {
            strbuf_printf(&text, "%sb%d", before, a + 1);
            before = ", ";
        }
    report_standing(p, &text);
    r->out->failed |= text.failed;
    strbuf_wrap(r->out, text.p, WIDTH, 8, 0);
}

static void block_row(const struct report *r, int b)
{
    const struct planting *p = r->plan->blocks[b].planting;
    struct places places = places_of(r->plan, b);
    const char *spots = places.least == places.most
                            ? words(r, "%d x %d", places.lines, places.most)
                            : words(r, "%d x %d-%d", places.lines, places.least, places.most);
    strbuf_printf(r->out, "  %-4s ", words(r, "b%d", b + 1));
    if (utf8_columns(p->label) > LABEL_WIDTH)
        strbuf_printf(r->out, "%s\n%*s", p->label, 7 + LABEL_WIDTH, "");
    else
        strbuf_pad(r->out, p->label, LABEL_WIDTH);
    strbuf_printf(r->out, "  %-13s  %s", spots, length(r, p->pitch_m));
    if (places.lines > 1)
        strbuf_printf(r->out, " (%s)", length(r, p->line_m));
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

/* Ground of a plot that is planted, m2; *again: that bears a second crop. On ground that turns the
 * crops of one side may need more than those of the other. */
static double ground_used(const struct report *r, int plot, double *again)
{
    double used = 0;
    *again = 0;
    for (int b = 0; b < r->plan->nblocks; b++) {
        const struct block *block = &r->plan->blocks[b];
        double slots[SLOT_COUNT] = {0};
        if (planting_standing(block->planting))
            continue;
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
    double again, used = ground_used(r, i, &again);
    double degrees = plot->bearing.v * 180 / M_PI + (along_x ? 90 : 0);
    double compass = fmod(degrees + 720, 180); /* a line runs both ways */
    char deg[64];
    num_fixed(deg, sizeof deg, compass, 0);
    heading(r, name_cut(r, plot->name.s));
    if (!ground)
        return;
    const char *lost =
        ground->lost_share < LOST_LEAST
            ? "nothing is lost"
            : words(r, "%s (%s) are lost", area(r, ground->free_m2 - ground->zoned_m2),
                    percent(r, ground->lost_share));
    paragraph(
        r, words(r,
                 "Lines run along %s (compass %s deg). Of %s, %s are free for planting and %s "
                 "are planted%s; %s at corners and slanting sides that hold no whole line.",
                 along_x ? "x" : "y", deg, area(r, ground->outline_m2), area(r, ground->free_m2),
                 area(r, fmin(used, ground->free_m2)),
                 again > 0 ? words(r, ", %s with a second crop after a first", area(r, again)) : "",
                 lost));
}

static void plot_section(const struct report *r, int i)
{
    int first = -1;
    for (int b = r->plan->nblocks - 1; b >= 0; b--)
        first = zone_of(r, b)->plot == i ? b : first;
    if (first < 0) {
        heading(r, name_cut(r, garden_plot(r->garden, (size_t)i)->name.s));
        paragraph(r, "Nothing is planted here.");
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
        limit->set ? words(r, ", of %s at most", num_text(most, sizeof most, limit->v)) : "";
    fact(r, "fullest week",
         words(r, "from %s: %s hours, typical%s", date_text(day, sizeof day, week.from),
               num_fixed(hours, sizeof hours, week.hours, 1), of));
}

static void food_section(const struct report *r)
{
    const struct plan *plan = r->plan;
    heading(r, "What it may give, typical (low to high)");
    fact(r, "full food, one person",
         r->garden->people.v > 1 ? words(r, "%s, or %s days for %s people",
                                         span_words(r, &plan->person_days, 1, " days"),
                                         estimate(r, plan->person_days.typ / r->garden->people.v),
                                         whole(r, r->garden->people.v))
                                 : span_words(r, &plan->person_days, 1, " days"));
    fact(r, "food energy", span_words(r, &plan->energy_kcal, 1, " kcal"));
    fact(r, "protein", span_words(r, &plan->protein_g, 1, " g"));
    fact(r, "usable protein",
         words(r, "%s, %s", span_words(r, &plan->usable_protein_g, 1, " g"),
               plan->limiting < AMINO_COUNT ? words(r, "limited by %s", amino_names[plan->limiting])
                                            : "no amino acid is short"));
    fact(r, "work",
         r->garden->limits.hours.set
             ? words(r, "%s, of %s at most", span_words(r, &plan->hours, 1, " hours"),
                     whole(r, r->garden->limits.hours.v))
             : span_words(r, &plan->hours, 1, " hours"));
    week_row(r);
    char kcal[64], protein[64];
    paragraph(r, words(r,
                       "Low to high is an 80 %% range: one season in ten is likely to turn out "
                       "below it and one above. These are estimates from the figures of the crop "
                       "library, no promise; `hillrow crops NAME` shows where each comes from. A "
                       "day of full food is %s kcal and %s g of usable protein.",
                       num_grouped(kcal, sizeof kcal, r->garden->ration.energy_kcal.v),
                       num_text(protein, sizeof protein,
                                num_round_sig(1000 * r->garden->ration.protein_kg.v, 4))));
}

static const char *piece_words(const struct crop *crop)
{
    static const char *const names[] = {"seeds", "pieces", "slips", "cloves", "plants"};
    size_t n = (size_t)crop->planted_as.v;
    return n < sizeof names / sizeof *names ? names[n] : "seeds";
}

static void crop_row(const struct report *r, const struct crop_result *c)
{
    double hand = garden_seed_count(r->garden, c->seed);
    const char *pieces = piece_words(c->seed->crop), *sown = whole(r, ceil(c->sown - 1e-9));
    const char *name = words(r, "%s, %s", c->seed->crop->name.s, name_cut(r, c->seed->variety.s));
    const char *sow = c->seed->standing ? "stands already"
                      : isfinite(hand)  ? words(r, "%s of %s %s", sown, whole(r, hand), pieces)
                                        : words(r, "get %s %s", sown, pieces);
    const char *harvest = c->seed->for_seed ? "seed" : mass_words(r, &c->kg);
    int room = WIDTH - 43 - (int)utf8_columns(sow);
    strbuf_puts(r->out, "  ");
    strbuf_pad(r->out, name, 31);
    strbuf_printf(r->out, "%6s  ", whole(r, c->plants));
    if ((int)strlen(harvest) <= room)
        strbuf_printf(r->out, "%-*s  %s\n", room < 21 ? room : 21, harvest, sow);
    else
        strbuf_printf(r->out, "%s\n%*s\n", harvest, WIDTH, sow);
}

static void harvest_section(const struct report *r)
{
    heading(r, "Harvest and seed");
    strbuf_printf(r->out, "  %-31s%6s  %-21s  %s\n", "", "plants", "harvest", "sow, of in hand");
    for (int c = 0; c < r->plan->ncrops; c++)
        crop_row(r, &r->plan->crops[c]);
    if (r->garden->limits.reserve.v > 0)
        paragraph(r, words(r, "In hand is what is left when %s is kept back for replanting.",
                           percent(r, r->garden->limits.reserve.v)));
}

/* ---- what to mind --------------------------------------------------------------------------- */

/* Each item of a list: "  - text". */
static void item(const struct report *r, const char *text)
{
    strbuf_puts(r->out, "  - ");
    strbuf_wrap(r->out, text, WIDTH, 4, 4);
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
                heading(r, "Mind");
            any |= risk || *thin;
            const char *who =
                words(r, "%s (%s)", part->crop->name.s, name_cut(r, part->seed->variety.s));
            if (risk)
                item(r, words(r, "b%d, %s: %s.", b + 1, who, part->season.reason));
            if (*thin)
                item(r, words(r,
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

static bool alone_allowed(const struct garden *g, const char *crop)
{
    const struct text *names = g->grow.crops.items;
    bool found = !g->grow.crops.set;
    for (size_t i = 0; i < g->grow.crops.n; i++)
        found |= strcmp(names[i].s, crop) == 0;
    return found;
}

/* Varieties in hand without a place that the menu says nothing of, those of one reason together. */
static void unplanted(const struct report *r, int reason, const char *why)
{
    struct strbuf text;
    strbuf_init(&text, r->arena);
    for (size_t s = 0; s < r->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(r->garden, s);
        int its = garden_seed_count(r->garden, seed) < 1          ? 0
                  : !alone_allowed(r->garden, seed->crop->name.s) ? 1
                                                                  : 2;
        if (its != reason || planted(r->plan, seed) || left_out(r->plan, seed->crop->name.s))
            continue;
        strbuf_printf(&text, "%s%s (%s)", text.n > 0 ? ", " : "", seed->crop->name.s,
                      name_cut(r, seed->variety.s));
    }
    r->out->failed |= text.failed;
    if (text.n > 0)
        item(r, words(r, "%s: %s.", text.p, why));
}

static void left_out_section(const struct report *r)
{
    const struct plan *plan = r->plan;
    size_t before = r->out->n;
    heading(r, "Left out");
    size_t empty = r->out->n;
    for (int i = 0; i < plan->menu.nleft_out; i++)
        item(r, words(r, "%s: %s.", plan->menu.left_out[i].name, plan->menu.left_out[i].why));
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
    heading(r, "How good the plan is");
    report_bound(plan, &text);
    if (plan->status != PLAN_OPTIMAL)
        strbuf_puts(&text, " The search was stopped before it could prove more: a longer "
                           "`--time-limit` may find better.");
    report_shade(plan, &text);
    strbuf_printf(&text, " Found in %s s.", num_fixed(seconds, sizeof seconds, plan->seconds, 1));
    r->out->failed |= text.failed;
    paragraph(r, text.p);
}

/* What is said goes to `said` first. */
static struct report report_init(const struct garden *garden, const struct plan *plan,
                                 struct strbuf *said, struct strbuf *out)
{
    strbuf_init(said, out->arena);
    return (struct report){.plan = plan,
                           .garden = garden,
                           .out = said,
                           .arena = out->arena,
                           .units = (enum unit_system)garden->units.v};
}

/* What was said, line by line. A line that is too wide has a word that no line can hold, a name
 * that somebody leant on a key for; it is cut. */
static void report_finish(const struct strbuf *said, struct strbuf *out)
{
    for (char *line = said->p, *end; *line; line = end + 1) {
        end = line + strcspn(line, "\n");
        bool last = *end == '\0';
        *end = '\0';
        if (utf8_columns(line) > WIDTH)
            strbuf_pad(out, line, WIDTH);
        else
            strbuf_puts(out, line);
        if (last)
            break;
        strbuf_puts(out, "\n");
    }
    out->failed |= said->failed;
}

void report_summary(const struct plan *plan, struct strbuf *out)
{
    struct strbuf said;
    struct report r = report_init(plan->garden, plan, &said, out);
    char year[64];
    strbuf_printf(&said, "%s, %s: plan %s\n", name_cut(&r, plan->garden->name.s),
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
    strbuf_puts(&said,
                "\nNext: look over map.png, then take sheet.pdf to the plot: what to do, and "
                "when.\n");
    report_finish(&said, out);
}

/* ---- the garden ----------------------------------------------------------------------------- */

static const char *date(const struct report *r, const struct when *when)
{
    char text[32];
    return words(r, "%s", date_text(text, sizeof text, date_day(when->d)));
}

static const char *frost_words(const struct report *r, const struct frost_dates *f)
{
    return words(r, "%s (early %s, late %s)", date(r, &f->median), date(r, &f->early),
                 date(r, &f->late));
}

static void site_section(const struct report *r)
{
    const struct site *site = &r->garden->site;
    char deg[64];
    double latitude = site->latitude.v * 180 / M_PI;
    int from, to;
    season_frost_free(site, &from, &to);
    heading(r, "Site");
    fact(r, "latitude",
         words(r, "%s deg %s", num_text(deg, sizeof deg, num_round_sig(fabs(latitude), 5)),
               latitude < 0 ? "south" : "north"));
    fact(r, "last frost of spring", frost_words(r, &site->last_frost));
    fact(r, "first frost of fall", frost_words(r, &site->first_frost));
    fact(r, "frost-free season", words(r, "%d days, as often longer as shorter", to - from));
    fact(r, "sun", words(r, "%s of the open sky's", percent(r, site->sun.v)));
    report_normals(r->garden, r->out);
}

static void plots_section(const struct report *r, const struct zones *zones)
{
    heading(r, "Plots");
    for (size_t i = 0; i < r->garden->plots.n; i++) {
        struct strbuf text;
        strbuf_init(&text, r->arena);
        report_plot(r->garden, i, zones, r->arena, &text);
        r->out->failed |= text.failed;
        fact(r, garden_plot(r->garden, i)->name.s, text.p);
    }
}

static void seed_section(const struct report *r)
{
    heading(r, r->garden->limits.reserve.v > 0
                   ? words(r, "Seed in hand, when %s is kept back for replanting",
                           percent(r, r->garden->limits.reserve.v))
                   : "Seed in hand");
    for (size_t s = 0; s < r->garden->seed.n; s++) {
        const struct seed *seed = garden_seed(r->garden, s);
        const char *what = seed->crop->name.s, *pieces = piece_words(seed->crop);
        if (seed->standing)
            continue;
        double count = garden_seed_count(r->garden, seed);
        if (isfinite(count))
            fact(r, seed->variety.s, words(r, "%s, %s %s to sow", what, whole(r, count), pieces));
        else
            fact(r, seed->variety.s, words(r, "%s, as many %s as are needed", what, pieces));
    }
}

static const char *list_words(const struct report *r, const struct list *list, const char *absent)
{
    struct strbuf text;
    const struct text *items = list->items;
    if (!list->set)
        return absent;
    strbuf_init(&text, r->arena);
    for (size_t i = 0; i < list->n; i++)
        strbuf_printf(&text, "%s%s", i > 0 ? "; " : "", items[i].s);
    r->out->failed |= text.failed;
    return list->n > 0 ? text.p : "none";
}

static const char *amount_words(const struct report *r, const struct wish *wish,
                                const struct amount *a)
{
    char text[64];
    switch (a->kind) {
    case UNIT_MASS:
        return words(r, "%s", unit_mass(text, sizeof text, a->v, r->units));
    case UNIT_AREA:
        return area(r, a->v);
    case UNIT_SHARE:
        return words(r, "%s of the food energy", percent(r, a->v));
    default:
        return words(r, "%s %s", whole(r, a->v), wish->guild.s ? "hills" : "plants");
    }
}

static void wishes_section(const struct report *r)
{
    for (size_t w = 0; w < r->garden->wishes.n; w++) {
        const struct wish *wish = garden_wish(r->garden, w);
        struct strbuf text;
        strbuf_init(&text, r->arena);
        if (wish->at_least.set)
            strbuf_printf(&text, "at least %s", amount_words(r, wish, &wish->at_least));
        if (wish->at_most.set)
            strbuf_printf(&text, "%sat most %s", text.n > 0 ? ", " : "",
                          amount_words(r, wish, &wish->at_most));
        if (wish->weight.set)
            strbuf_printf(&text, "%scounts for %s of its food", text.n > 0 ? ", " : "",
                          percent(r, wish->weight.v));
        if (wish->plot.s)
            strbuf_printf(&text, ", in %s", wish->plot.s);
        r->out->failed |= text.failed;
        fact(r, wish_name(wish), text.p);
    }
}

/* What former plans mean for this one. */
static void rotation_row(const struct report *r)
{
    static const char *const rules[] = {
        [ROTATION_TELL] = "it is told where families stand on ground that they had",
        [ROTATION_AVOID] = "families avoid ground that they had",
        [ROTATION_BAR] = "families keep off ground that they had",
    };
    const struct former_plan *plans = r->garden->history.items;
    const struct rotation *rotation = &r->garden->rotation;
    int n = 0;
    for (size_t i = 0; i < r->garden->history.n; i++)
        n += r->garden->year.v - plans[i].year.v <= rotation->years.v;
    if (r->garden->history.n == 0)
        return;
    fact(r, "rotation",
         words(r, "%s in the %s years before, by %d former plan%s%s", rules[rotation->rule.v],
               whole(r, rotation->years.v), n, n == 1 ? "" : "s",
               rotation->rule.v == ROTATION_AVOID
                   ? words(r, "; food counts for %s less there", percent(r, rotation->cost.v))
                   : ""));
}

static const char *number(const struct report *r, double n)
{
    char text[64];
    return words(r, "%s", num_text(text, sizeof text, n));
}

/* What can be hauled, in the unit it is bought in. */
static void haul_rows(const struct report *r)
{
    const struct limits *limits = &r->garden->limits;
    bool us = r->garden->units.v == UNITS_US;
    double unit_m3 = us ? 0.764554857984 : 1;
    const char *unit = us ? "cu yd" : "m3";
    if (limits->compost_m3.set)
        fact(r, "compost",
             words(r, "at most %s %s", number(r, num_round_sig(limits->compost_m3.v / unit_m3, 3)),
                   unit));
    if (limits->mulch_m3.set)
        fact(r, "mulch",
             words(r, "at most %s %s", number(r, num_round_sig(limits->mulch_m3.v / unit_m3, 3)),
                   unit));
}

static void terms_section(const struct report *r)
{
    static const char *const goals[] = {
        [GOAL_DAYS] = "the most days of full food for one person",
        [GOAL_ENERGY] = "the most food energy",
        [GOAL_PROTEIN] = "the most usable protein",
    };
    const struct garden *g = r->garden;
    heading(r, "What to plan");
    fact(r, "goal", goals[g->goal.v]);
    fact(r, "guilds", list_words(r, &g->grow.guilds, "all there is seed for"));
    fact(r, "crops on their own", list_words(r, &g->grow.crops, "all there is seed for"));
    fact(r, "systems", list_words(r, &g->grow.systems, "hills; rows; row guild"));
    wishes_section(r);
    rotation_row(r);
    if (g->limits.hours.set)
        fact(r, "work", words(r, "at most %s hours", whole(r, g->limits.hours.v)));
    if (g->limits.week_hours.set)
        fact(r, "work in a week", words(r, "at most %s hours", number(r, g->limits.week_hours.v)));
    haul_rows(r);
    if (g->limits.share_energy.set)
        fact(r, "one crop's energy", words(r, "at most %s", percent(r, g->limits.share_energy.v)));
    if (g->limits.share_area.set)
        fact(r, "one crop's ground", words(r, "at most %s", percent(r, g->limits.share_area.v)));
}

void report_garden_summary(const struct garden *garden, const struct zones *zones,
                           struct strbuf *out)
{
    struct strbuf said;
    struct report r = report_init(garden, NULL, &said, out);
    char year[64];
    strbuf_printf(&said, "%s, %s\n", name_cut(&r, garden->name.s),
                  num_fixed(year, sizeof year, garden->year.v, 0));
    site_section(&r);
    plots_section(&r, zones);
    seed_section(&r);
    report_ripening(garden, &said);
    terms_section(&r);
    report_finish(&said, out);
}
