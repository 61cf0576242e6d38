/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef INQUIRY_H
#define INQUIRY_H
/* Questions about which terms can be met together, and all that was learnt from those before. */
#include "program.h"

enum answer { POSSIBLE, IMPOSSIBLE, UNDECIDED };

/* How much trouble to take. But for the last, what is not shown to be impossible is taken to be
 * possible. */
enum asking {
    ASK_RELAXATION, /* without whole numbers */
    ASK_CROWDING,   /* which crops have a block where, see crowding.h */
    ASK_PLANS       /* until a plan is found, or none can be, or that is not to be had */
};

struct inquiry;

/* The best that can be had of a term's own side with the others on: of at-least wishes the most, of
 * limits the least. In the measure of the garden file (a week: hours of the fullest; blocks: how
 * many in a zone). */
struct side {
    double asked; /* what the file says */
    bool met;     /* there is a plan that has */
    double found; /* so much */
    double bound; /* no plan is better; as asked where that is not known */
};

/* Of a program, whose terms may then be switched on and off. HR_NOMEM, HR_BUG. */
HR_CHECKED hr_status inquiry_new(struct program *m, struct arena *arena, struct inquiry **out);
/* Whether the terms that are on in the program can all be met. All limits are of nodes and steps,
 * in each question and in all of them, so the answers are the same each time. */
HR_CHECKED hr_status inquiry_ask(struct inquiry *q, enum asking how, enum answer *answer);
/* *has: the term, which is on, has a side that can be asked for. */
HR_CHECKED hr_status inquiry_side(struct inquiry *q, int term, bool *has, struct side *out);

#endif
