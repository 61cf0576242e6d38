/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CROWDING_H
#define CROWDING_H
/* Which crops have a block in which zone: a small program that every plan has to meet, soon solved.
 * Where terms collide only in whole blocks it mostly shows it, and its solutions say which items a
 * plan may be made of. */
#include "program.h"

/* Of a zone, the items of the same varieties and the same part of the season are one kind; a kind
 * has a column for the ground across that it takes and one for whether it is there. The rows of
 * the terms are kept with the best that any item of a kind may give, or the least it may take. */
struct crowding;

struct crowding_answer {
    bool impossible;   /* proved: no plan meets these terms */
    const bool *items; /* per item: of a kind that grows there in the solution; NULL: none found */
    const bool *keeps; /* per term, on or off: the solution keeps it; NULL: none, or a side asked */
    /* Of the side asked for: in any plan a limit is exceeded by so much or more (0: it may be
     * kept), and what is wished for missed by so much or more (never over 0). NAN: not known. */
    double bound;
};

/* Of a program built with all its terms on, which must outlive it; its columns are read, not its
 * goal. *out NULL: the program is too large for this. HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status crowding_new(const struct program *m, struct arena *arena,
                                  struct crowding **out);
/* Whether the terms on (one flag each) can be met. `side`: -1, or a term of which not its own side
 * is kept but the best that can be had with the others on is asked. */
HR_CHECKED hr_status crowding_ask(struct crowding *c, const bool *on, int side,
                                  struct crowding_answer *out);
/* Whether a side can be asked of a term: it has one measure. */
bool crowding_has_side(const struct crowding *c, int term);

#endif
