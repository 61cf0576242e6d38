/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef REPORT_WORDS_H
#define REPORT_WORDS_H
/* What the summaries of a plan and of a garden are put together from. Texts are in the arena of the
 * report; when memory runs out its `out` has failed. */
#include "plan.h"

#define REPORT_WIDTH 80

struct report {
    const struct plan *plan;
    const struct garden *garden;
    struct strbuf *out;
    struct arena *arena;
    enum unit_system units;
};

/* What is said goes to `said` first; plan may be NULL. */
struct report report_begin(const struct garden *garden, const struct plan *plan,
                           struct strbuf *said, struct strbuf *out);
/* What was said, line by line. A line that is too wide has a word that no line can hold, a name
 * that somebody leant on a key for; it is cut. */
void report_end(const struct strbuf *said, struct strbuf *out);

/* A text made up for one line. */
__attribute__((format(printf, 2, 3))) const char *report_words(const struct report *r,
                                                               const char *fmt, ...);
/* A name, cut when it would burst the line. */
const char *report_name(const struct report *r, const char *name);
void report_heading(const struct report *r, const char *text);
/* A paragraph, indented. */
void report_paragraph(const struct report *r, const char *text);
/* "  name   text", the text wrapped. */
void report_fact(const struct report *r, const char *name, const char *text);

/* A number no finer than an estimate is known. */
const char *report_estimate(const struct report *r, double v);
/* "41 days (28 to 55)", each times factor. */
const char *report_span(const struct report *r, const struct span *s, double factor,
                        const char *unit);
const char *report_mass(const struct report *r, const struct span *kg);
const char *report_percent(const struct report *r, double share);
/* m and m2, in the garden's units. */
const char *report_length(const struct report *r, double m);
const char *report_area(const struct report *r, double m2);
/* What a crop is planted as: "seeds" and the like. */
const char *report_pieces(const struct crop *crop);
const char *report_whole(const struct report *r, double n);

#endif
