/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MAP_H
#define MAP_H
/* The map page of one plot, in its parts: ground (outline, tapes, neighbours), crops (hills, rows,
 * their labels) and key (title, legend, close-ups, cautions). scene.h has the whole. */
#include "column.h"
#include "label.h"

/* How a variety is told from the others on the map: letter and shape first, then hatch, then
 * colour. */
struct symbol {
    const char *letter; /* unique on the map; NULL: not planted */
    enum role shape;
    enum hatch hatch;
    enum ink tint;
};

struct map {
    struct arena *arena;
    const struct plan *plan;
    enum unit_system units;
    enum paper paper;
    const struct symbol *symbols; /* by index in garden->seed */
};

/* One plot's map in the making. */
struct map_plot {
    const struct map *map;
    const struct plot *plot;
    int index; /* in garden->plots */
    const struct point *corners;
    size_t ncorners;
    struct rect bounds; /* of the outline, plot frame, m; the stake too when it stands near */
    bool stake_near;
    bool along_x; /* the rows of this plot */
    int nlines;

    double ratio;
    bool turned;
    struct page *page;
    struct labels labels;
    struct rect frame; /* the bounds on the page, mm */
    int unnamed;       /* rows and hills whose names had no room */
};

/* The symbols of everything planted. NULL: out of memory. */
const struct symbol *map_symbols(struct arena *arena, const struct plan *plan);
/* Draws the symbol of a variety round `at`; the width it takes is returned (height
 * MAP_SYMBOL_MM). */
#define MAP_SYMBOL_MM 4.8
double map_symbol_width(const struct symbol *symbol);
void map_symbol_draw(struct page *page, const struct symbol *symbol, struct mm at);
/* "1 in = 4 ft" or "1 m = 4 cm". */
const char *map_ratio_words(struct arena *arena, double ratio, enum unit_system units);

/* Whether the rows run from left to right on the page. */
bool map_rows_level(const struct map_plot *mp);

/* What the tapes and names beside the outline take, mm, on the four sides of the page. */
struct margins {
    double left, right, top, bottom;
};
struct margins map_margins(const struct map_plot *mp);

/* The step of the tape's ticks (or numbers) that is at least so many mm on paper, m. */
double map_tape_step(const struct map_plot *mp, double least_mm, bool ticks);

/* Grid, border strip, paths, obstacles, outline: all that lies under the crops. */
void map_ground_draw(struct map_plot *mp);
/* Tapes with the distances of the lines, sides with their names and lengths, the stake. */
void map_tapes_draw(struct map_plot *mp);
/* Whether the distance of the line stands beside the outline, at either of its ends. */
bool map_line_beside(const struct map_plot *mp, const struct line *line);
/* Whether the line is one of this plot. */
bool map_line_here(const struct map_plot *mp, const struct line *line);

/* Rows, hills, spots. */
void map_crops_draw(struct map_plot *mp);
/* Their names, once all else is in its place. */
void map_names_draw(struct map_plot *mp);

#define MAP_RING_MM 0.9 /* the second ring of a hill that holds more than its neighbours */
const struct symbol *map_symbol_of(const struct map_plot *mp, const struct part *part);
/* Half the width of the strip that shows a row, mm. */
double map_strip_half(const struct map_plot *mp, const struct planting *planting);
/* The ground of a line on the page, `half` mm to each side of it. */
struct rect map_line_box(const struct map_plot *mp, const struct line *line, double half);
double map_hill_radius(const struct map_plot *mp, const struct planting *planting);
/* Whether a station holds a part that not every station of its line holds. */
bool map_holds_more(const struct planting *planting, const struct station *station);
/* Whether lines or hills stand too close on paper to be named where they are: then their names go
 * beside the outline, with their distances. */
bool map_is_dense(const struct map_plot *mp);
/* Spots of a row to one tick, so that ticks stand at least 1.2 mm apart. */
int map_tick_every(const struct map_plot *mp, const struct planting *planting);

/* Title, measuring (a piece each), crops, cautions, hills close up, down the column. */
void map_key_write(const struct map_plot *mp, struct column *column);
/* "seed" or "seeds", "piece" or "pieces": what so many of it are called when they are sown. */
const char *map_piece_word(const struct crop *crop, double n);
/* Hills close up, with the distances of their rings. */
void map_hills_draw(const struct map_plot *mp, struct column *column);
/* An arrow to true north of half length r round c. */
void map_north_draw(struct page *page, const struct map_plot *mp, struct mm c, double r);
/* The check bar, the scale bar and the page number, along the foot of the page. */
#define MAP_FOOT_MM 11.5
void map_foot_draw(const struct map_plot *mp, struct page *page, double margin_mm, int number,
                   int of);

#endif
