/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MIP_H
#define MIP_H
/* A neutral integer program: named columns and rows, maximised. Knows no solver. */
#include <stdbool.h>
#include "diag.h"

enum mip_kind { MIP_CONTINUOUS, MIP_INTEGER, MIP_BINARY };

struct mip_column {
    const char *name;
    enum mip_kind kind;
    double lower, upper; /* -INFINITY, INFINITY allowed */
    double objective;
};
struct mip_row {
    const char *name;
    double lower, upper;
};
struct mip_entry {
    int row, column; /* from 0 */
    double value;
};

struct mip {
    struct arena *arena;
    struct mip_column *columns;
    int ncolumns, columns_cap;
    struct mip_row *rows;
    int nrows, rows_cap;
    struct mip_entry *entries;
    int nentries, entries_cap;
    bool failed;         /* sticky: out of memory, NaN, a bad index, a size over MIP_MAX */
    const char *failure; /* why, static text */
    bool finished;       /* by mip_finish, and nothing added since */
};

#define MIP_MAX 2000000

void mip_init(struct mip *mip, struct arena *arena);
/* Index of the new column / row, -1 when failed. Names are formatted, cut at 200 bytes, and made
 * safe for LP files: letters, digits and _ only, with a _ before what a reader would take for
 * something else. They must then be unique, which mip_finish checks. */
__attribute__((format(printf, 6, 7))) int mip_column(struct mip *mip, enum mip_kind kind,
                                                     double lower, double upper, double objective,
                                                     const char *fmt, ...);
__attribute__((format(printf, 4, 5))) int mip_row(struct mip *mip, double lower, double upper,
                                                  const char *fmt, ...);
/* Adds value to entry (row, column); 0 values and row/column -1 are passed over. */
void mip_add(struct mip *mip, int row, int column, double value);
/* Sorts, merges double entries, checks bounds, names and finiteness. HR_BUG when failed, with the
 * reason in mip->failure; HR_NOMEM. */
HR_CHECKED hr_status mip_finish(struct mip *mip);
/* CPLEX LP text, the same bytes for the same program. */
void mip_write_lp(const struct mip *mip, struct strbuf *out);
/* Largest breach of rows, bounds and integrality by x (each relative to 1 + |bound|). */
double mip_breach(const struct mip *mip, const double *x);
double mip_objective(const struct mip *mip, const double *x);

#endif
