/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef HR_TEST_H
#define HR_TEST_H
/* The only file that includes Criterion. Write cr_assert(a > b, "..."): its gt() takes equals, too;
 * loops with a message that names the row, not parameterised tests; near() for doubles. */
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wstrict-prototypes"
#pragma GCC diagnostic ignored "-Wredundant-decls"
#include <criterion/criterion.h>
#pragma GCC diagnostic pop

#include "hillrow.h"
#include "diag.h"

/* Under a sanitizer, five times as slow, a search need not be proved over again on every garden: it
 * is the memory that is looked at there. */
#ifdef __SANITIZE_ADDRESS__
enum { SANITIZED = 1 };
#else
enum { SANITIZED = 0 };
#endif

/* |a - b| <= eps; false when one is not a number. */
static inline bool near(double a, double b, double eps)
{
    return fabs(a - b) <= eps;
}

/* An assertion that a call gives HR_OK. */
#define CALL(call)                                                                                 \
    do {                                                                                           \
        hr_status call_status = (call);                                                            \
        cr_assert(call_status == HR_OK, "%s gave status %d", #call, (int)call_status);             \
    } while (0)

/* Everything in diags as text, for messages; good until the next call. */
static inline const char *diags_words(const struct diags *diags)
{
    static char words[8192];
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    struct strbuf b;
    if (!arena)
        return "(out of memory)";
    strbuf_init(&b, arena);
    diags_render(diags, &b);
    snprintf(words, sizeof words, "%s", b.n > 0 ? b.p : "(nothing)");
    arena_free(arena);
    return words;
}

/* The first diagnostic of that place and check, NULL when there is none. line, col 0: any. */
static inline const struct diag *diag_find(const struct diags *diags, size_t line, size_t col,
                                           const char *check)
{
    const struct diag *d;
    for (size_t i = 0; (d = diags_at(diags, i)) != NULL; i++)
        if (strcmp(d->check, check) == 0 && (line == 0 || d->line == line) &&
            (col == 0 || d->col == col))
            return d;
    return NULL;
}

/* An assertion that such a diagnostic is there. */
#define expect_diag(diags, line, col, check)                                                       \
    cr_assert(diag_find((diags), (line), (col), (check)) != NULL,                                  \
              "no [%s] at %zu:%zu; reported were:\n%s", (check), (size_t)(line), (size_t)(col),    \
              diags_words(diags))

#endif
