/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef FIELD_H
#define FIELD_H
/* Descriptor tables: one row describes a field once (name, type, unit, range, default, meaning) and
 * drives reading, errors, --describe and the docs. Values keep their positions. */
#include <stdbool.h>
#include <stddef.h>
#include "tree.h"
#include "units.h"

/* What a field reads into. `set`: it stood in the file (else the default, or 0, is there). */
struct text {
    const char *s; /* NULL when absent */
    struct pos at;
};
struct qty {
    double v;
    bool set;
    struct pos at;
};
struct amount { /* a quantity of one of several kinds, told apart by its unit */
    double v;
    enum unit_kind kind;
    bool set;
    struct pos at;
};
/* An uncertain figure: `{low: , typical: , high: , source: }` or `{value: , source: }` (all three
 * the same). low <= typical <= high is checked [range-order]. */
struct range {
    double low, typ, high;
    const char *source; /* key of sources.bib, "practice", "estimate", or "garden" */
    bool set;
    struct pos at, source_at;
};
struct flag {
    bool v;
    bool set;
    struct pos at;
};
struct choice {
    int v; /* index into the field's names; -1 when absent and no default */
    bool set;
    struct pos at;
};
struct when {
    struct date d;
    bool set;
    struct pos at;
};
struct list { /* n items of the sub-table's size, or struct text, or struct point */
    void *items;
    size_t n;
    bool set;
    struct pos at;
};
struct point {
    double x, y; /* m */
    struct pos at;
};

enum field_type {
    FIELD_TEXT,   /* struct text: a printable line of 1..120 characters, no control characters */
    FIELD_QTY,    /* struct qty: number with a unit of `kind` */
    FIELD_NUMBER, /* struct qty: bare number */
    FIELD_WHOLE,  /* struct qty: bare whole number */
    FIELD_AMOUNT, /* struct amount: unit decides, kinds in the bit mask `kinds` (1 << UNIT_X) */
    FIELD_RANGE,  /* struct range: figures with a unit of `kind` and a source */
    FIELD_RANGE_NUMBER, /* struct range of bare numbers */
    FIELD_FLAG,         /* struct flag: yes or no */
    FIELD_CHOICE,       /* struct choice: one of `names` */
    FIELD_DATE,         /* struct when */
    FIELD_MAP,          /* the struct of `sub`, in place */
    FIELD_LIST,         /* struct list of the struct of `sub` */
    FIELD_TEXTS,        /* struct list of struct text (a single text is a list of one) */
    FIELD_POINTS,       /* struct list of struct point: [[x, y], ...] with lengths */
    FIELD_POINT,        /* struct point: [x, y] with lengths */
    FIELD_SIZE,         /* struct point: "20 ft x 25 ft" */
    FIELD_NODE          /* const struct node *: as it stands in the tree, for the caller to read */
};

struct field_table;

struct field {
    const char *name; /* the key in the file */
    enum field_type type;
    size_t offset; /* of the value in the struct */
    bool required;
    enum unit_kind kind;           /* FIELD_QTY, FIELD_RANGE */
    unsigned kinds;                /* FIELD_AMOUNT */
    double min, max;               /* in inside units; both 0: no limit [out-of-range] */
    const char *missing;           /* default as it would stand in a file ("6 in"), NULL: none */
    const char *const *names;      /* FIELD_CHOICE: NULL-terminated */
    const struct field_table *sub; /* FIELD_MAP, FIELD_LIST */
    size_t most;                   /* lists: at most so many items, 0: 10000 */
    const char *doc;
};

struct field_table {
    const char *name; /* "garden file", "plot", ...: for messages */
    size_t size;      /* of the struct */
    size_t at_offset; /* of a struct pos in it that takes the map's own position, SIZE_MAX: none */
    const struct field *fields;
    size_t n;
    bool own_figures; /* a gardener's file: figures need no source, theirs is then "garden". Holds
                       * for the tables below it, too. */
};

/* Fills *out (zeroed by the caller) from a map node: defaults first, then what stands there; every
 * fault is reported: [unknown-key] with the nearest name, [missing-key] at the map, [wrong-type],
 * [not-a-number], [missing-unit], [unknown-unit], [out-of-range], [range-order], [unknown-choice],
 * [bad-date], [bad-text], [too-many], [missing-source], [missing-value] (a key with nothing behind
 * it). HR_INPUT when any was. overlay: absent keys leave *out as it is and nothing is required (a
 * gardener's override of a crop); a figure without a source then has the source "garden". A figure
 * may then be a single value, too: "2 kg/m2". */
HR_CHECKED hr_status field_read(const struct field_table *table, const struct node *map,
                                bool overlay, struct arena *arena, struct diags *diags, void *out);
/* The table for people: name, type and unit, range, default, meaning; sub-tables below, indented.
 */
void field_describe(const struct field_table *table, struct strbuf *out);

#endif
