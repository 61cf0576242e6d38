/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "haul.h"

#include <math.h>

#include "num.h"
#include "str.h"

#define CU_FT 0.028316846592 /* m3 */
#define IN    0.0254

/* What one of each holds. A 40 lb bag of compost is a cubic foot: 4 bags cover 100 sq ft half an
 * inch deep (Green Mountain Compost). A bale of straw covers 80 to 100 sq ft at 3 in, barrows hold
 * 6 cu ft or 85 l, metric bags 40 l (common practice). */
struct vessel {
    const char *one, *many, *of; /* of: "" when it needs no saying */
    double m3;
};
struct way {
    double depth_m[3];       /* low, typical, high */
    struct vessel load, bag; /* bag.m3 0: it is not sold so */
};

#define BARROW_US                                                                                  \
    {                                                                                              \
        "wheelbarrow", "wheelbarrows", " of 6 cu ft", 6 * CU_FT                                    \
    }
#define BARROW_METRIC                                                                              \
    {                                                                                              \
        "wheelbarrow", "wheelbarrows", " of 85 l", 0.085                                           \
    }
#define MULCH_US                                                                                   \
    {                                                                                              \
        2 * IN, 3 * IN, 4 * IN                                                                     \
    }
#define MULCH_METRIC                                                                               \
    {                                                                                              \
        0.05, 0.08, 0.1                                                                            \
    }

static const struct way ways[][2] = {
    [HAUL_COMPOST] =
        {[UNITS_US] = {{0.25 * IN, 0.5 * IN, IN}, BARROW_US, {"bag", "bags", " of 40 lb", CU_FT}},
         [UNITS_METRIC] = {{0.005, 0.01, 0.025}, BARROW_METRIC, {"bag", "bags", " of 40 l", 0.04}}},
    [HAUL_STRAW] = {[UNITS_US] = {MULCH_US, {"bale", "bales", "", 90 * 0.25 * CU_FT}, {0}},
                    [UNITS_METRIC] = {MULCH_METRIC, {"bale", "bales", "", 0.64}, {0}}},
    [HAUL_LEAVES] = {[UNITS_US] = {MULCH_US, BARROW_US, {0}},
                     [UNITS_METRIC] = {MULCH_METRIC, BARROW_METRIC, {0}}},
    [HAUL_CHIPS] = {[UNITS_US] = {MULCH_US, BARROW_US, {0}},
                    [UNITS_METRIC] = {MULCH_METRIC, BARROW_METRIC, {0}}},
};

const char *const haul_names[] = {
    [HAUL_COMPOST] = "compost",
    [HAUL_STRAW] = "straw",
    [HAUL_LEAVES] = "leaves",
    [HAUL_CHIPS] = "wood chips",
};

static int number(const struct vessel *v, double m3)
{
    return (int)fmin(ceil(m3 / v->m3 - 1e-9), 1e6);
}

const double *haul_depths_m(enum haul what, enum unit_system units)
{
    return ways[what][units].depth_m;
}

double haul_depth_m(enum haul what, enum unit_system units)
{
    return ways[what][units].depth_m[1];
}

int haul_loads(enum haul what, double m3, enum unit_system units)
{
    return number(&ways[what][units].load, m3);
}

/* "4 wheelbarrows of 6 cu ft (2 to 7)" */
static void say_loads(struct strbuf *out, const struct vessel *v, const double m3[3])
{
    int n[3];
    for (int i = 0; i < 3; i++)
        n[i] = number(v, m3[i]);
    strbuf_printf(out, "%d %s%s", n[1], n[1] == 1 ? v->one : v->many, v->of);
    if (n[0] < n[2])
        strbuf_printf(out, " (%d to %d)", n[0], n[2]);
}

const char *haul_words(struct arena *arena, enum haul what, double m3, enum unit_system units)
{
    const struct way *way = &ways[what][units];
    bool us = units == UNITS_US;
    double so_much[3];
    char volume[3][64];
    struct strbuf out;
    strbuf_init(&out, arena);
    for (int i = 0; i < 3; i++) {
        so_much[i] = m3 * way->depth_m[i] / way->depth_m[1];
        num_text(volume[i], sizeof volume[i], num_round_sig(so_much[i] / (us ? CU_FT : 0.001), 2));
    }
    strbuf_printf(&out, "%s %s (%s to %s): ", volume[1], us ? "cu ft" : "l", volume[0], volume[2]);
    say_loads(&out, &way->load, so_much);
    if (way->bag.m3 > 0) {
        strbuf_puts(&out, ", or ");
        say_loads(&out, &way->bag, so_much);
    }
    return out.failed ? NULL : out.p;
}

static enum haul haul_of(const struct choice *mulch)
{
    static const enum haul kinds[] = {
        [MULCH_STRAW] = HAUL_STRAW, [MULCH_LEAVES] = HAUL_LEAVES, [MULCH_CHIPS] = HAUL_CHIPS};
    return kinds[mulch->v];
}

enum haul haul_beds(const struct garden *garden)
{
    return garden->mulch.beds.set ? haul_of(&garden->mulch.beds) : HAUL_STRAW;
}

enum haul haul_paths(const struct garden *garden, const struct plot *plot)
{
    if (garden->mulch.paths.set)
        return haul_of(&garden->mulch.paths);
    return plot->chips.set && !plot->chips.v ? HAUL_STRAW : HAUL_CHIPS;
}
