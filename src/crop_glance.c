/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The head of a crop's page: what to do and what to expect, in a few sentences. See crop.h. */
#include "crop.h"

#include <string.h>

#include "num.h"

#define WIDTH 80

/* A range as "2.5 to 5", or one number where there is no doubt; so many significant digits. */
static void span(struct strbuf *out, const struct range *r, double factor, int digits)
{
    char low[64], high[64];
    num_text(low, sizeof low, num_round_sig(r->low * factor, digits));
    num_text(high, sizeof high, num_round_sig(r->high * factor, digits));
    strbuf_puts(out, low);
    if (strcmp(low, high) != 0)
        strbuf_printf(out, " to %s", high);
}

/* In centimetres and inches, for both kinds of tape. */
static void length(struct strbuf *out, const struct range *r)
{
    span(out, r, 100, 2);
    strbuf_puts(out, " cm (");
    span(out, r, 1 / 0.0254, 2);
    strbuf_puts(out, " in)");
}

/* Two days counted from the median last frost. */
static void window(struct strbuf *out, double from, double to)
{
    static const char *const frost = "the median last frost";
    if (from < 0 && to < 0)
        strbuf_printf(out, "%.0f to %.0f days before %s", -from, -to, frost);
    else if (from < 0 && to > 0)
        strbuf_printf(out, "%.0f days before %s to %.0f days after it", -from, frost, to);
    else if (from < 0)
        strbuf_printf(out, "%.0f days before %s to that day", -from, frost);
    else if (from > 0)
        strbuf_printf(out, "%.0f to %.0f days after %s", from, to, frost);
    else
        strbuf_printf(out, "%s to %.0f days after it", frost, to);
}

static void say_sowing(struct strbuf *out, const struct crop *c)
{
    static const char *const things[] = {"seed", "tuber", "slip", "clove", "transplant"};
    if (c->perennial.v) {
        strbuf_puts(out,
                    "Stands for years and bears nothing in its first: a garden file tells it under "
                    "`standing`. It stands ");
        length(out, &c->in_row_m);
        strbuf_puts(out, " apart in rows ");
        length(out, &c->row_m);
        strbuf_puts(out, " apart, and sprouts from ");
        window(out, c->sow_from_d.typ, c->sow_to_d.typ);
        strbuf_puts(out, ".");
        return;
    }
    strbuf_puts(out, c->planted_as.v == 0 ? "Sow " : "Plant ");
    if (c->drilled.v)
        strbuf_puts(out, "in a stream");
    else
        strbuf_printf(out, "%.0f %s%s to a spot", c->seeds_per_spot.typ, things[c->planted_as.v],
                      c->seeds_per_spot.typ > 1 ? "s" : "");
    strbuf_puts(out, ", ");
    length(out, &c->depth_m);
    strbuf_puts(out, " deep");
    if (!c->drilled.v) {
        strbuf_puts(out, ", and keep one each ");
        length(out, &c->in_row_m);
    }
    strbuf_puts(out, " in rows ");
    length(out, &c->row_m);
    strbuf_puts(out, " apart, from ");
    window(out, c->sow_from_d.typ, c->sow_to_d.typ);
    strbuf_puts(out, ", once the soil is at ");
    span(out, &c->soil_min_c, 1, 2);
    strbuf_printf(out, " C (%.0f F).", c->soil_min_c.low * 1.8 + 32);
}

static void say_harvest(struct strbuf *out, const struct crop *c)
{
    static const char *const ways[] = {[HARVEST_DRY] = "dry",
                                       [HARVEST_ONCE] = "in one harvest",
                                       [HARVEST_FRESH] = "picking after picking"};
    strbuf_printf(out, "Ready, %s, ", ways[c->harvest.v]);
    span(out, &c->days, 1, 3);
    strbuf_puts(out, " days after that. A close stand by itself gives ");
    span(out, &c->yield_kg_m2, 1, 2);
    strbuf_puts(out, " kg/m2 (");
    span(out, &c->yield_kg_m2, 20.48, 2); /* lb to 100 sq ft */
    strbuf_printf(out, " lb to 100 sq ft): %s.", c->yield_basis.s);
    if (c->storage_d.set) {
        bool years = c->storage_d.low >= 365, weeks = c->storage_d.high < 60;
        strbuf_puts(out, " It keeps ");
        span(out, &c->storage_d, years ? 1 / 365.0 : weeks ? 1 : 1 / 30.4375, 2);
        strbuf_puts(out, years ? " years." : weeks ? " days." : " months.");
    }
}

static void say_seed(struct strbuf *out, const struct crop *c)
{
    static const char *const carried[] = {"It pollinates itself", "Wind carries its pollen",
                                          "Insects carry its pollen", NULL};
    if (!carried[c->pollination.v] || !c->isolation_m.set)
        return;
    strbuf_printf(out, "%s: to save true seed keep it ", carried[c->pollination.v]);
    span(out, &c->isolation_m, 1, 2);
    strbuf_puts(out, " m from any other of its cross group");
    if (c->seed_stand.set) {
        strbuf_printf(out, " and save from %.0f plants at least", c->seed_stand.low);
        if (c->seed_stand.high > c->seed_stand.low)
            strbuf_printf(out, ", better %.0f", c->seed_stand.high);
    }
    strbuf_puts(out, c->biennial.v ? "; it flowers in its second year." : ".");
}

void crop_glance(const struct crop *crop, struct strbuf *out)
{
    static void (*const say[])(struct strbuf *, const struct crop *) = {say_sowing, say_harvest,
                                                                        say_seed};
    for (size_t i = 0; i < sizeof say / sizeof say[0]; i++) {
        struct strbuf words;
        strbuf_init(&words, out->arena);
        say[i](&words, crop);
        out->failed |= words.failed;
        if (words.n == 0)
            continue;
        strbuf_puts(out, "  ");
        strbuf_wrap(out, words.p, WIDTH, 2, 2);
    }
    strbuf_puts(out, "\n");
}
