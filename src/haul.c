/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "haul.h"

#include <math.h>

#include "num.h"

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
    double depth_m;
    struct vessel load, bag; /* bag.m3 0: it is not sold so */
};

static const struct way ways[][2] = {
    [HAUL_COMPOST] = {[UNITS_US] = {0.5 * IN,
                                    {"wheelbarrow", "wheelbarrows", " of 6 cu ft", 6 * CU_FT},
                                    {"bag", "bags", " of 40 lb", CU_FT}},
                      [UNITS_METRIC] = {0.01,
                                        {"wheelbarrow", "wheelbarrows", " of 85 l", 0.085},
                                        {"bag", "bags", " of 40 l", 0.04}}},
    [HAUL_STRAW] = {[UNITS_US] = {3 * IN, {"bale", "bales", "", 90 * 0.25 * CU_FT}, {0}},
                    [UNITS_METRIC] = {0.08, {"bale", "bales", "", 0.64}, {0}}},
    [HAUL_CHIPS] =
        {[UNITS_US] = {3 * IN, {"wheelbarrow", "wheelbarrows", " of 6 cu ft", 6 * CU_FT}, {0}},
         [UNITS_METRIC] = {0.08, {"wheelbarrow", "wheelbarrows", " of 85 l", 0.085}, {0}}},
};

static int number(const struct vessel *v, double m3)
{
    return (int)fmin(ceil(m3 / v->m3 - 1e-9), 1e6);
}

double haul_depth_m(enum haul what, enum unit_system units)
{
    return ways[what][units].depth_m;
}

int haul_loads(enum haul what, double m3, enum unit_system units)
{
    return number(&ways[what][units].load, m3);
}

const char *haul_words(struct arena *arena, enum haul what, double m3, enum unit_system units)
{
    const struct way *way = &ways[what][units];
    char volume[64];
    bool us = units == UNITS_US;
    num_text(volume, sizeof volume, num_round_sig(m3 / (us ? CU_FT : 0.001), 2));
    int loads = number(&way->load, m3);
    const char *first = arena_printf(arena, "%s %s: %d %s%s", volume, us ? "cu ft" : "l", loads,
                                     loads == 1 ? way->load.one : way->load.many, way->load.of);
    if (!first || way->bag.m3 <= 0)
        return first;
    int bags = number(&way->bag, m3);
    return arena_printf(arena, "%s, or %d %s%s", first, bags,
                        bags == 1 ? way->bag.one : way->bag.many, way->bag.of);
}
