/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the monthly temperatures of a site come to. See report.h. */
#include "report.h"

#include <math.h>

#include "num.h"
#include "warmth.h"

#define WIDTH  80
#define COLUMN 26

static void fact(struct strbuf *out, const char *name, const struct strbuf *text)
{
    strbuf_puts(out, "  ");
    strbuf_pad(out, name, COLUMN - 4);
    strbuf_puts(out, "  ");
    strbuf_wrap(out, text->p, WIDTH, COLUMN, COLUMN);
    out->failed |= text->failed;
}

static void put_degrees(struct strbuf *out, double c, bool us)
{
    strbuf_printf(out, "%.0f %s", us ? c * 1.8 + 32 : c, us ? "F" : "C");
}

static void put_date(struct strbuf *out, int day)
{
    char date[32];
    strbuf_puts(out, date_text(date, sizeof date, day));
}

/* As the sums of corn are counted: from 50 F, at most to 86 F (10 and 30 C). */
static const struct crop corn = {.base_c = {.typ = 10, .set = true},
                                 .cap_c = {.typ = 30, .set = true},
                                 .count_days = {.v = DEGREES_OF_EXTREMES}};

void report_normals(const struct garden *g, struct strbuf *out)
{
    const struct daily *d = g->site.daily;
    struct strbuf text;
    char num[64];
    if (!d)
        return;
    const struct normals *n = &g->site.normals;
    bool us = g->units.v == UNITS_US;
    int from, to, warmest = 0;
    for (int k = 1; k < NORMALS_MONTHS; k++)
        if (n->max.c[k].v + n->min.c[k].v > n->max.c[warmest].v + n->min.c[warmest].v)
            warmest = k;
    season_frost_free(&g->site, &from, &to);
    double sum = warmth_between(d, &corn, from, to, 0);
    strbuf_init(&text, out->arena);
    strbuf_puts(&text, "warmest month ");
    put_degrees(&text, n->max.c[warmest].v, us);
    strbuf_puts(&text, " by day, ");
    put_degrees(&text, n->min.c[warmest].v, us);
    strbuf_printf(&text, " by night; %s %s days from frost to frost, as for corn",
                  num_grouped(num, sizeof num, num_round_sig(us ? sum * 1.8 : sum, 3)),
                  us ? "F" : "C");
    fact(out, "normals", &text);
}

static void say_ripening(const struct garden *g, const struct seed *seed, struct strbuf *out)
{
    struct season s;
    struct strbuf text;
    season_seed(&g->site, seed, 0, &STAY_ALWAYS, out->arena, &s);
    strbuf_init(&text, out->arena);
    if (s.fit == SEASON_OUT) {
        strbuf_printf(&text, "does not ripen: %s", s.reason);
        fact(out, seed->variety.s, &text);
        return;
    }
    strbuf_printf(&text, "%d days (%d to %d), sown ", s.harvest_typ - s.sow, s.harvest_low - s.sow,
                  s.harvest_high - s.sow);
    put_date(&text, s.sow);
    if (s.fit == SEASON_AT_RISK) {
        strbuf_printf(&text, "; in doubt: %s", s.reason);
    } else {
        strbuf_puts(&text, ", ripe ");
        put_date(&text, s.harvest_typ);
        strbuf_printf(&text, ", %d day%s in hand", s.margin_d, s.margin_d == 1 ? "" : "s");
    }
    fact(out, seed->variety.s, &text);
}

void report_ripening(const struct garden *g, struct strbuf *out)
{
    bool any = false;
    for (size_t s = 0; g->site.daily && s < g->seed.n; s++) {
        const struct seed *seed = garden_seed(g, s);
        if (!seed->crop->degree_days.set || seed->standing)
            continue;
        if (!any)
            strbuf_puts(out, "\nDays to harvest here, by degree days and the monthly normals\n");
        any = true;
        say_ripening(g, seed, out);
    }
}

/* When part k would be sown were the soil warm; the first part has its own day. */
static int day_without_cold(const struct site *site, const struct planting *p, int k)
{
    int day = season_first_day(site, p->parts[k].crop, 0, &p->stay);
    int wait = p->parts[0].season.sow + (int)lround(p->parts[k].delay_d);
    return k > 0 && wait > day ? wait : day;
}

static bool held_back(const struct site *site, const struct planting *p, int k)
{
    return !planting_standing(p) && p->parts[k].season.sow > day_without_cold(site, p, k);
}

static bool told_before(const struct plan *plan, int b, int k)
{
    const struct site *site = &plan->garden->site;
    const struct part *part = &plan->blocks[b].planting->parts[k];
    for (int a = 0; a < b; a++) {
        const struct planting *p = plan->blocks[a].planting;
        for (int j = 0; j < p->nparts; j++)
            if (p->parts[j].seed == part->seed && p->parts[j].season.sow == part->season.sow &&
                held_back(site, p, j))
                return true;
    }
    return false;
}

static void say_cold(const struct plan *plan, const struct planting *p, int k, struct strbuf *out)
{
    const struct part *part = &p->parts[k];
    struct strbuf text;
    strbuf_init(&text, out->arena);
    strbuf_printf(&text, "%s waits for soil of ", part->seed->variety.s);
    put_degrees(&text, part->crop->soil_min_c.typ, plan->garden->units.v == UNITS_US);
    strbuf_puts(&text, ": sown about ");
    put_date(&text, part->season.sow);
    strbuf_puts(&text, ", not ");
    put_date(&text, day_without_cold(&plan->garden->site, p, k));
    strbuf_puts(&text, ".");
    strbuf_puts(out, "  - ");
    strbuf_wrap(out, text.p, WIDTH, 4, 4);
    out->failed |= text.failed;
}

void report_soil(const struct plan *plan, struct strbuf *out)
{
    const struct site *site = &plan->garden->site;
    bool any = false;
    for (int b = 0; site->daily && b < plan->nblocks; b++) {
        const struct planting *p = plan->blocks[b].planting;
        for (int k = 0; k < p->nparts; k++) {
            if (!held_back(site, p, k) || told_before(plan, b, k))
                continue;
            if (!any)
                strbuf_puts(out, "\nCold soil, by the monthly normals\n");
            any = true;
            say_cold(plan, p, k, out);
        }
    }
}
