/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "gardens.h"

#include <math.h>
#include <stddef.h>
#include <stdint.h>

#define PLOTS_MOST 50 /* of a garden file */
#define PATH_M     0.45

/* Names of invented varieties are made of these two. */
static const char *const first_names[] = {"Ember", "Willow", "Copper", "Long", "Harbor", "Quiet",
                                          "Red",   "Stone",  "Early",  "Blue", "Hollow", "Amber",
                                          "Cloud", "Mill",   "Fern",   "Gray"};
static const char *const last_names[] = {"Ridge", "Creek", "Lantern", "Feather", "Cellar",
                                         "Drum",  "Gate",  "Meadow",  "Thimble", "Barrow",
                                         "Wren",  "Post",  "Kettle"};

/* Crops that ripen in the season below; a garden takes the first two, then others by lot. per_m2:
 * sown on a square metre, about, so that seed in hand can be given by the ground it is good for. */
static const struct {
    const char *name;
    double per_m2;
    const char *unit;
} pool[] = {{"flint corn", 8, "seeds"},
            {"potato", 4, "plants"},
            {"climbing bean", 30, "seeds"},
            {"butternut squash", 3, "seeds"},
            {"bush bean", 30, "seeds"},
            {"summer squash", 4, "seeds"},
            {"grain amaranth", 60, "seeds"},
            {"carrot", 150, "seeds"},
            {"cabbage", 8, "seeds"},
            {"beet", 60, "seeds"},
            {"dent corn", 8, "seeds"},
            {"sunflower", 10, "seeds"},
            {"soybean", 35, "seeds"},
            {"kale", 10, "seeds"},
            {"tomato", 4, "plants"},
            {"leek", 40, "seeds"},
            {"dry pea", 60, "seeds"},
            {"hubbard squash", 2, "seeds"},
            {"acorn squash", 3, "seeds"},
            {"chard", 30, "seeds"},
            {"fava bean", 20, "seeds"},
            {"popcorn", 8, "seeds"},
            {"jerusalem artichoke", 3, "plants"},
            {"lettuce", 40, "seeds"}};
#define POOL ((int)(sizeof pool / sizeof *pool))

struct maker {
    const struct gardens_spec *spec;
    FILE *out;
    uint64_t state;
    double area_m2;
    int crops[POOL], ncrops; /* indices in pool */
};

/* ---- the lot ------------------------------------------------------------------------------- */

/* SplitMix64, from memory. */
static uint64_t draw(struct maker *m)
{
    uint64_t z = m->state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

static int below(struct maker *m, int n)
{
    return (int)(draw(m) % (uint64_t)n);
}

/* Between low and high, to the centimetre. */
static double between(struct maker *m, double low, double high)
{
    return round(100 * (low + (high - low) * (double)(draw(m) >> 11) / 9007199254740992.0)) / 100;
}

/* ---- ground -------------------------------------------------------------------------------- */

/* A tree or a shed on one side, a little way off. */
static void write_obstacle(struct maker *m, double x_m, double y_m)
{
    bool tree = below(m, 2) == 0;
    double away = between(m, 1, 4), along = between(m, 0, x_m);
    double height = tree ? between(m, 4, 9) : between(m, 2, 3);
    fprintf(m->out,
            "    obstacles: [{name: %s, place: [%.2f m, %.2f m], radius: %.2f m, height: %.2f m, "
            "light: %d %%}]\n",
            tree ? "tree" : "shed", along, below(m, 2) ? -away - 1 : y_m + away + 1,
            between(m, 0.5, 1), height, tree ? 30 : 0);
}

static void write_plot(struct maker *m, int number, int zones)
{
    static const char *const ways[] = {"along-x", "along-y", "either"};
    const struct gardens_spec *s = m->spec;
    enum gardens_rows rows = s->rows;
    if (rows == GARDENS_MIXED)
        rows = below(m, 2) ? GARDENS_ALONG_X : GARDENS_ALONG_Y;
    double x_m = between(m, s->side_low_m, s->side_high_m);
    double y_m = between(m, s->side_low_m, s->side_high_m);
    bool across_x = rows == GARDENS_ALONG_Y; /* the path runs as the rows do */
    double *across = across_x ? &x_m : &y_m;
    if (zones == 2)
        *across += between(m, s->side_low_m, s->side_high_m) + PATH_M;
    m->area_m2 += x_m * y_m;
    fprintf(m->out,
            "  - name: Plot %d\n    size: %.2f m x %.2f m\n    bearing: %d deg\n    rows: %s\n"
            "    border: 0 m\n",
            number, x_m, y_m, 15 * below(m, 24), ways[rows]);
    if (zones == 2 && across_x)
        fprintf(m->out, "    paths: [{from: [%.3f m, 0 m], to: [%.3f m, %.2f m], width: 45 cm}]\n",
                x_m / 2, x_m / 2, y_m);
    else if (zones == 2)
        fprintf(m->out, "    paths: [{from: [0 m, %.3f m], to: [%.2f m, %.3f m], width: 45 cm}]\n",
                y_m / 2, x_m, y_m / 2);
    if ((s->asks & GARDENS_OBSTACLES) && below(m, 3) == 0)
        write_obstacle(m, x_m, y_m);
}

/* Plots with a path through the middle when there would be too many without. */
static void write_plots(struct maker *m)
{
    int zones = m->spec->zones, halves = zones > 8 ? zones / 2 : 0, number = 0;
    if (halves > PLOTS_MOST)
        halves = PLOTS_MOST;
    fputs("plots:\n", m->out);
    for (int left = zones; left > 0 && number < PLOTS_MOST; number++) {
        int n = number < halves && left > 1 ? 2 : 1;
        write_plot(m, number + 1, n);
        left -= n;
    }
}

/* ---- seed ---------------------------------------------------------------------------------- */

static void choose_crops(struct maker *m)
{
    int fixed = m->spec->guild ? 4 : 2; /* the guild's three members, and potatoes */
    for (int i = 0; i < POOL; i++)
        m->crops[i] = i;
    for (int i = fixed; i < POOL - 1; i++) {
        int j = i + below(m, POOL - i), kept = m->crops[i];
        m->crops[i] = m->crops[j];
        m->crops[j] = kept;
    }
    m->ncrops = m->spec->crops < POOL ? m->spec->crops : POOL;
}

static void write_seed(struct maker *m)
{
    int firsts = (int)(sizeof first_names / sizeof *first_names);
    int lasts = (int)(sizeof last_names / sizeof *last_names);
    int from = below(m, firsts * lasts);
    fputs("seed:\n", m->out);
    for (int c = 0; c < m->ncrops; c++) {
        int name = (from + 7 * c) % (firsts * lasts);
        fprintf(m->out, "  - {variety: %s %s, crop: %s", first_names[name % firsts],
                last_names[name % lasts], pool[m->crops[c]].name);
        double share = between(m, 0.08, 0.5);
        if (m->spec->asks & GARDENS_AMOUNTS)
            fprintf(m->out, ", amount: %.0f %s",
                    fmax(3, ceil(share * m->area_m2 * pool[m->crops[c]].per_m2)),
                    pool[m->crops[c]].unit);
        fputs("}\n", m->out);
    }
    if (m->spec->guild)
        fputs("grow: {guilds: [\"corn, bean and squash\"], systems: [hills, rows]}\n", m->out);
    else
        fputs("grow: {systems: [rows]}\n", m->out);
}

/* ---- what is asked ------------------------------------------------------------------------- */

static void write_wishes(struct maker *m)
{
    fprintf(m->out, "wishes:\n  - {crop: potato, at least: %.1f kg}\n",
            m->area_m2 * between(m, 0.05, 0.25));
    for (int c = 2; c < m->ncrops && c < 6; c++) {
        const char *name = pool[m->crops[c]].name;
        double kind = below(m, 3), ground = m->area_m2 * between(m, 0.02, 0.06);
        if (kind == 0)
            fprintf(m->out, "  - {crop: %s, at least: %.2f m2}\n", name, ground);
        else if (kind == 1)
            fprintf(m->out, "  - {crop: %s, at least: 2 plants, at most: %.0f plants}\n", name,
                    ceil(2 + 2 * ground * pool[m->crops[c]].per_m2));
        else
            fprintf(m->out, "  - {crop: %s, at most: %d %%}\n", name, 10 + 5 * below(m, 5));
    }
}

static void write_limits(struct maker *m)
{
    fprintf(m->out, "limits:\n  blocks: %d\n", 3 + below(m, 4) + (m->spec->crops > 8));
    fprintf(m->out, "  share of energy: %d %%\n", 45 + 5 * below(m, 6));
    if (below(m, 2) == 0)
        fprintf(m->out, "  hours: %.0f h\n", ceil(m->area_m2 * between(m, 0.8, 1.6)));
}

void gardens_write(const struct gardens_spec *spec, FILE *out)
{
    struct maker m = {.spec = spec, .out = out, .state = spec->seed};
    fprintf(out,
            "garden: Bench %lu\nunits: metric\npeople: 3\nyear: 2027\nsite:\n  latitude: 42 deg\n"
            "  last frost: {early: Apr 21, median: May 3, late: May 15}\n"
            "  first frost: {early: Sep 28, median: Oct 10, late: Oct 22}\n",
            spec->seed);
    write_plots(&m);
    choose_crops(&m);
    write_seed(&m);
    fprintf(out, "goal: %s\n", spec->goal ? spec->goal : "days");
    if (spec->asks & GARDENS_WISHES)
        write_wishes(&m);
    if (spec->asks & GARDENS_LIMITS)
        write_limits(&m);
}
