/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The garden file a beginner starts from. See garden.h. */
#include "garden.h"

#include <string.h>

#define NAME_MAX_CHARS 100

static const char head[] =
    "# A garden file: what you have and what you want. Change what stands here, then run\n"
    "#     hillrow check THIS-FILE     to see whether it can be read, and\n"
    "#     hillrow plan THIS-FILE -o OUT     for the plan, the map and the planting sheet.\n"
    "# Everything behind a `#` is a remark. Numbers carry their unit: 20 ft, 6 in, 45 cm, 3 lb, 40 "
    "kg,\n"
    "# 50 %, May 1. The spaces at the start of a line matter; tabs are not allowed.\n"
    "\n";

static const char body[] =
    "units: us              # or metric: how lengths and masses are printed\n"
    "people: 2              # who eat from it\n"
    "year: 2027             # the season to plan\n"
    "\n"
    "# Where it lies. Frost dates come from your weather service: the median is the date that is "
    "as often\n"
    "# passed as not; in nine years of ten it is later than `early` and earlier than `late`.\n"
    "site:\n"
    "  latitude: 42 deg     # south of the equator: -42 deg\n"
    "  last frost: {early: Apr 22, median: May 4, late: May 16}\n"
    "  first frost: {early: Sep 27, median: Oct 9, late: Oct 21}\n"
    "  sun: 100 %           # less where trees or houses far around take light\n"
    "  # normals:           # mean highest and lowest of each month: crops then ripen by degree "
    "days\n"
    "  #   max: {jan: 33 F, feb: 36 F, mar: 46 F, apr: 59 F, may: 70 F, jun: 79 F,\n"
    "  #         jul: 83 F, aug: 81 F, sep: 74 F, oct: 61 F, nov: 48 F, dec: 38 F}\n"
    "  #   min: {jan: 18 F, feb: 19 F, mar: 27 F, apr: 37 F, may: 47 F, jun: 57 F,\n"
    "  #         jul: 62 F, aug: 60 F, sep: 53 F, oct: 42 F, nov: 34 F, dec: 25 F}\n"
    "\n"
    "# The ground. x runs to the right from the origin stake, y away from you.\n"
    "plots:\n"
    "  - name: Plot 1\n"
    "    size: 16 ft x 20 ft            # along x, along y\n"
    "    # Not a rectangle? Leave size out and list the corners from the origin stake on:\n"
    "    # outline: [[0 ft, 0 ft], [16 ft, 0 ft], [16 ft, 12 ft], [9 ft, 20 ft], [0 ft, 20 ft]]\n"
    "    origin: the stake nearest the gate\n"
    "    bearing: 0 deg                 # where y points: 0 deg north, 90 deg east\n"
    "    rows: either                   # along-x, along-y, or let the plan choose\n"
    "    border: 6 in                   # free strip along the sides\n"
    "    edges:                         # side 1 runs from the first corner to the second\n"
    "      - {side: 1, kind: path, gate: yes, name: main path}\n"
    "      - {side: 2, kind: neighbour}\n"
    "    # paths:\n"
    "    #   - {from: [8 ft, 0 ft], to: [8 ft, 20 ft], width: 18 in}\n"
    "    # obstacles:\n"
    "    #   - {name: apple tree, place: [-6 ft, 10 ft], radius: 5 ft, height: 14 ft, light: 30 "
    "%}\n"
    "\n"
    "# Seed in hand. `hillrow crops` lists the crops. Leave `amount` out where you can get as much "
    "as you\n"
    "# need.\n"
    "seed:\n"
    "  - {variety: my flint corn, crop: flint corn, amount: 4 oz, germination: 90 %}\n"
    "  - {variety: my pole bean, crop: climbing bean, amount: 4 oz}\n"
    "  - {variety: my butternut, crop: butternut squash, amount: 30 seeds, days: 100 days}\n"
    "  - {variety: my bush bean, crop: bush bean, amount: 3 oz}\n"
    "  - {variety: my potato, crop: potato, amount: 6 lb}\n"
    "\n"
    "# What to consider. Leave a line out to consider all there is seed for.\n"
    "grow:\n"
    "  guilds: [\"corn, bean and squash\"]   # in quotes: there is a comma in the name\n"
    "  # crops: [potato, bush bean]\n"
    "  # systems: [hills, rows, row guild]\n"
    "\n"
    "# days: as many days of full food as can be; or energy; or protein.\n"
    "goal: days\n"
    "ration: {energy: 2500 kcal/day, protein: 60 g/day}   # of one person\n"
    "\n"
    "wishes:\n"
    "  - {crop: potato, at least: 10 lb}\n"
    "  # - {crop: bush bean, at most: 40 sq ft}\n"
    "  # - {variety: my butternut, at least: 2 plants}\n"
    "  # - {crop: bush bean, weight: 150 %}   # a favourite: counts for more than it feeds\n"
    "\n"
    "limits:\n"
    "  share of energy: 75 %   # at most so much of the food from one crop\n"
    "  # hours: 60 h           # of work in the whole season\n"
    "  reserve: 15 %           # seed kept back to fill gaps\n"
    "\n"
    "# From the second year on, so that families of crops move:\n"
    "# history: [{plan: last-year/plan.json, year: 2026}]\n"
    "# rotation: {rule: avoid}   # or bar, or tell\n"
    "\n"
    "# Figures of your own replace those of `hillrow crops flint corn`:\n"
    "# crops:\n"
    "#   - crop: flint corn\n"
    "#     yield: {low: 0.2 kg/m2, typical: 0.3 kg/m2, high: 0.4 kg/m2}\n";

/* The name in double quotes, as YAML wants it; what no name may hold becomes a space. */
static void quoted(struct strbuf *out, const char *name)
{
    size_t n = strlen(name), chars = 0;
    strbuf_puts(out, "\"");
    for (size_t i = 0; i < n && chars < NAME_MAX_CHARS; chars++) {
        size_t bytes = utf8_char(name + i, n - i);
        if (!utf8_printable(name + i, bytes))
            strbuf_puts(out, " ");
        else if (name[i] == '"' || name[i] == '\\')
            strbuf_printf(out, "\\%c", name[i]);
        else
            strbuf_add(out, name + i, bytes);
        i += bytes > 0 ? bytes : 1;
    }
    strbuf_puts(out, "\"\n");
}

void garden_starter(const char *name, struct strbuf *out)
{
    bool given = name && name[strspn(name, " \t\r\n")] != '\0';
    strbuf_puts(out, head);
    strbuf_puts(out, "garden: ");
    quoted(out, given ? name : "My first garden");
    strbuf_puts(out, body);
}
