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
    bool doubled; /* its shape has a second line */
    enum hatch hatch;
    enum ink tint;
};

struct map_plot;

/* What sets one kind of map apart from another: its words, and what is drawn besides ground, crops
 * and tapes. */
struct map_manner {
    const char *paper;                  /* "plan": what the sheet is one of */
    void (*under)(struct map_plot *mp); /* below the crops, NULL: nothing */
    void (*names)(struct map_plot *mp); /* once all else is in its place */
    void (*key)(const struct map_plot *mp, struct column *column);
    /* The n distances to be read on the tape along x or y, ascending, m; NULL: those of the lines.
     */
    const double *(*marks)(const struct map_plot *mp, bool x, int *n);
    /* Whether the map at mp->ratio is too small to be read, and is to be cut into tiles. */
    bool (*small)(const struct map_plot *mp);
};
extern const struct map_manner map_of_plan;

struct map {
    const struct map_manner *manner;
    const void *subject; /* of the manner's functions, NULL: the plan is all they need */
    struct arena *arena;
    const struct plan *plan;
    enum unit_system units;
    enum paper paper;
    const struct symbol *symbols; /* by index in garden->seed */
};

/* A plot's map cut into sheets. Cuts are readings of the tapes, m. */
struct tiling {
    int nx, ny;
    double x[32], y[32];  /* nx + 1, ny + 1 */
    double ratio, shared; /* shared: what a tile shows beyond each of its cuts, m */
    bool landscape, turned;
    int first_page; /* the number of the first tile's page, from 1 */
};

/* Clear ground beside a line of a map, m: the least of its block. */
struct line_room {
    double low_m, high_m; /* on its side of lower and of higher readings */
    bool first, last;     /* nothing stands in one line with it before its start, behind its end */
};

/* One plot's map in the making. */
struct map_plot {
    const struct map *map;
    const struct plot *plot;
    int index; /* in garden->plots */
    const struct point *corners;
    size_t ncorners;
    struct rect bounds; /* of what is drawn, plot frame, m: the outline, and the stake too when it
                           stands near; of a tile, its part of that */
    bool tile;          /* only what lies within the bounds is drawn */
    struct rect core;   /* of a tile: its own ground, without what it shares with its neighbours */
    const char *joins[4]; /* left, right, top, bottom: the words for the tile there, NULL: none */
    bool stake_near;
    const struct tiling *tiling; /* of an overview: how the plot is cut, NULL: it is not */
    enum slot slot; /* whose crops are drawn, with those of the whole season; WHOLE: all */
    bool along_x;   /* the rows of this plot */
    int nlines;
    const struct line_room *rooms; /* by index in plan->lines, of those drawn here */
    double title_w;                /* of the widest name of a line, mm */

    double ratio;
    bool turned;
    struct page *page;
    struct labels labels;
    struct rect frame; /* the bounds on the page, mm */
    int unnamed;       /* rows and hills whose names had no room */
    int lettered;      /* rows named by letters alone: their symbols had no room */
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

/* The round ratios, from the largest map to the smallest: 1:N. */
#define MAP_RATIOS 63
double map_ratio_at(enum unit_system units, int i);
#define MAP_MARGIN_MM 7.0
/* Draws the plot, or the tile of it, on mp->page so that its bounds fill the frame. */
void map_plot_draw(struct map_plot *mp, double ratio, struct rect frame);

/* How to cut the plot where the map on one page (mp->ratio) is too small to be read; false: it is
 * not, or cutting it makes it no larger. */
bool map_tiles_choose(const struct map_plot *mp, struct tiling *out);
/* On the overview the cuts and the tiles' names; in its key the page of each tile. */
void map_tiles_lines(struct map_plot *mp, const struct tiling *t);
void map_tiles_names(struct map_plot *mp, const struct tiling *t);
void map_tiles_key(const struct map_plot *mp, struct column *c);
/* On a tile the match lines, which lie under the crops, or their crosses, which lie over them. */
void map_match_draw(struct map_plot *mp, bool crosses);
/* A page for each tile. false: memory ran out. */
bool map_tiles_draw(const struct map_plot *mp, const struct tiling *t, struct scene *scene);

/* Draws the plots from `first` up to but not `end`, in the map's manner. HR_NOMEM. */
HR_CHECKED hr_status map_scene(struct map *map, int first, int end, struct scene **out);

/* Whether the rows run from left to right on the page. */
bool map_rows_level(const struct map_plot *mp);

/* Words beside the plot, at the readings from_m..to_m of its x or its y tape, on the sides where
 * they have room. */
void map_name_beside(struct map_plot *mp, bool x, double from_m, double to_m, const char *text);

/* What the tapes and names beside the outline take, mm, on the four sides of the page. */
struct margins {
    double left, right, top, bottom;
};
struct margins map_margins(const struct map_plot *mp);

/* Measures mp->rooms within its bounds. false: memory ran out. */
bool map_room_measure(struct map_plot *mp);
const struct line_room *map_room_of(const struct map_plot *mp, const struct line *line);
/* What stands before a line's distance beside the outline: "3.2 P: ". NULL: out of memory. */
const char *map_line_title(const struct map_plot *mp, const struct line *line);
/* The margins where lines are named on both sides that they end at, as on some tile they may be. */
struct margins map_margins_most(const struct map_plot *mp);

/* The step of the tape's ticks (or numbers) that is at least so many mm on paper, m. */
double map_tape_step(const struct map_plot *mp, double least_mm, bool ticks);

/* Grid, border strip, paths, obstacles, outline: all that lies under the crops. */
void map_ground_draw(struct map_plot *mp);
/* Gates in the outline: a gap between two posts, at true width unless that is too small to see; and
 * the word beside each, once crops and tapes are in their place. */
void map_gates_draw(struct map_plot *mp);
void map_gates_name(struct map_plot *mp);
/* The ends of the gate on such a side, plot frame; false: it has none. */
bool map_gate_ends(const struct edge *edge, const struct point *corners, size_t n, double mm_per_m,
                   struct point ends[2]);
/* Gap and posts between two points of a page. */
void map_gate_mark(struct page *page, struct mm a, struct mm b, bool post_a, bool post_b);
/* Tapes with the distances of the lines, sides with their names and lengths, the stake. */
void map_tapes_draw(struct map_plot *mp);
/* Whether the line's name stands beside the outline, with its distance: where there is no room for
 * it between the rows. */
bool map_line_named_beside(const struct map_plot *mp, const struct line *line);
/* Whether the distance of the line stands beside the outline, at either of its ends. */
bool map_line_beside(const struct map_plot *mp, const struct line *line);
/* Whether it stands there for the line or for another in one line with it. */
bool map_read_beside(const struct map_plot *mp, const struct line *line);
/* Whether the block is of this map: of its plot, and of the first or second crops it shows. */
bool map_block_shown(const struct map_plot *mp, int block);
/* Whether some of the line, hill or spot is drawn here: on a tile not all are. A hill is drawn
 * whole or not at all; tiles share enough ground for each to be whole on one. */
bool map_line_here(const struct map_plot *mp, const struct line *line);
bool map_station_here(const struct map_plot *mp, int station);
/* Cuts a segment of the plot frame off at the bounds; false: nothing of it lies within. */
bool map_segment(const struct map_plot *mp, struct point *a, struct point *b);
/* Both ends of what is drawn of the line. */
struct line map_line_drawn(const struct map_plot *mp, const struct line *line);
/* The ground of a block that is drawn here; false: none. */
bool map_block_here(const struct map_plot *mp, int block, struct rect *ground);

/* Rows, hills, spots. */
void map_crops_draw(struct map_plot *mp);
/* Their names, once all else is in its place. */
void map_names_draw(struct map_plot *mp);
/* The numbers of hills alone. */
void map_hill_numbers_draw(struct map_plot *mp);
/* Whether a hill's number has room in it, in the smallest type. */
bool map_number_fits(const char *number, double radius_mm);

#define MAP_TICK_OVER_MM 0.8 /* a tick reaches so far over the strip of its row */
#define MAP_RING_MM      0.9 /* the second ring of a hill that holds more than its neighbours */
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
/* Parts of it: title and north; how to measure; cautions of what grows there. */
void map_key_title(const struct map_plot *mp, struct column *c);
void map_key_tape(const struct map_plot *mp, struct column *c);
void map_key_cautions(const struct map_plot *mp, struct column *c);
/* "seed" or "seeds", "piece" or "pieces": what so many of it are called when they are sown. */
const char *map_piece_word(const struct crop *crop, double n);
/* All plots on one page, north up. false: memory ran out. */
bool map_garden_draw(const struct map *map, struct scene *scene);
/* Tells on it on which page, from 1, a plot's own map begins. */
void map_garden_number(const struct map *map, struct page *page, int plot, int number);
/* Whether two plantings are hills that are built and sown alike. */
bool map_same_hill(const struct planting *p, const struct planting *q);
/* How each kind of hill is built, on pages of their own. false: memory ran out. */
bool map_hills_draw(const struct map *map, struct scene *scene);
/* True north by the plot's bearing: the half arrow of a surveyor's sheet. */
void map_north_draw(struct page *page, const struct map_plot *mp, struct mm centre,
                    double radius_mm);
/* The check bar, the scale bar and the page number, along the foot of the page. */
#define MAP_FOOT_MM 11.5
void map_foot_draw(const struct map_plot *mp, struct page *page, double margin_mm, int number,
                   int of);

#endif
