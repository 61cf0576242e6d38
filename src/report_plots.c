/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One plot of a garden file in words. See report.h. */
#include "report.h"

#include <math.h>

#include "num.h"
#include "outline.h"

static const char *rows_words(const struct plot *plot)
{
    return plot->rows.v == ROWS_ALONG_X   ? "rows along x"
           : plot->rows.v == ROWS_ALONG_Y ? "rows along y"
                                          : "rows along x or y, whichever is better";
}

static void put_length(struct strbuf *out, const char *before, double m, enum unit_system units,
                       const char *after)
{
    char text[48];
    strbuf_printf(out, "%s%s%s", before, unit_length(text, sizeof text, m, units), after);
}

static double free_m2(const struct zones *zones, int plot)
{
    for (size_t g = 0; g < zones->ngrounds; g++)
        if (zones->grounds[g].plot == plot)
            return zones->grounds[g].free_m2;
    return 0;
}

static void put_shape(const struct plot *plot, enum unit_system units, struct arena *arena,
                      struct strbuf *out)
{
    size_t corners = 0;
    const struct point *p = plot_corners(arena, plot, &corners);
    char text[64];
    if (!p) {
        out->failed = true;
        return;
    }
    strbuf_puts(out, unit_area(text, sizeof text, fabs(outline_area(p, corners)), units));
    if (plot->outline.n > 0) {
        strbuf_printf(out, " in %zu corners", corners);
    } else {
        put_length(out, ", ", plot->size.x, units, " by ");
        put_length(out, "", plot->size.y, units, "");
    }
    double bearing = fmod(plot->bearing.v * 180 / M_PI + 720, 360);
    strbuf_printf(out, "; y runs to %s deg (%s)", num_fixed(text, sizeof text, bearing, 0),
                  unit_compass(plot->bearing.v));
}

static void put_heights(const struct plot *plot, enum unit_system units, struct strbuf *out)
{
    const struct edge *edges = plot->edges.items;
    char side[64];
    for (size_t i = 0; i < plot->edges.n; i++) {
        if (!edges[i].tallest_m.set)
            continue;
        put_length(out, "; crops up to ", edges[i].tallest_m.v, units, "");
        if (!edges[i].within_m.set)
            continue;
        put_length(out, " within ", edges[i].within_m.v, units, "");
        strbuf_printf(out, " of side %s", num_grouped(side, sizeof side, edges[i].side.v));
    }
}

static void put_place(const struct plot *plot, enum unit_system units, struct strbuf *out)
{
    double x = plot->garden_at.x, y = plot->garden_at.y;
    if (!plot_placed(plot))
        return;
    strbuf_puts(out, "; its origin ");
    if (fabs(x) > 0)
        put_length(out, "", fabs(x), units, x < 0 ? " west" : " east");
    if (fabs(y) > 0)
        put_length(out, fabs(x) > 0 ? " and " : "", fabs(y), units, y < 0 ? " south" : " north");
    strbuf_puts(out, fabs(x) > 0 || fabs(y) > 0 ? " of the garden's zero" : "is the garden's zero");
}

void report_plot(const struct garden *garden, size_t index, const struct zones *zones,
                 struct arena *arena, struct strbuf *out)
{
    const struct plot *plot = garden_plot(garden, index);
    enum unit_system units = (enum unit_system)garden->units.v;
    char text[64];
    put_shape(plot, units, arena, out);
    strbuf_printf(out, "; %s", rows_words(plot));
    put_length(out, "; border ", plot->border_m.v, units, "");
    if (zones)
        strbuf_printf(out, "; %s free for planting",
                      unit_area(text, sizeof text, free_m2(zones, (int)index), units));
    if (plot->paths.n > 0)
        strbuf_printf(out, "; %zu path%s", plot->paths.n, plot->paths.n > 1 ? "s" : "");
    if (plot->obstacles.n > 0)
        strbuf_printf(out, "; %zu obstacle%s", plot->obstacles.n, plot->obstacles.n > 1 ? "s" : "");
    if (plot->standing.n > 0)
        strbuf_printf(out, "; %zu block%s stand%s already", plot->standing.n,
                      plot->standing.n > 1 ? "s" : "", plot->standing.n > 1 ? "" : "s");
    put_heights(plot, units, out);
    put_place(plot, units, out);
}

void report_standing(const struct planting *p, struct strbuf *out)
{
    char day[32];
    if (planting_standing(p) && p->parts[0].crop->perennial.v)
        strbuf_printf(out, "; harvest about %s, and it stands on",
                      date_text(day, sizeof day, p->parts[0].season.harvest_typ));
    else if (planting_standing(p))
        strbuf_printf(out, "; %s about %s, then %s", p->parts[0].seed->for_seed ? "seed" : "ripe",
                      date_text(day, sizeof day, p->parts[0].season.harvest_typ),
                      p->slot == SLOT_FIRST ? "a second crop follows" : "its ground stays free");
}
