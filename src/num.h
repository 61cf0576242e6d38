/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef NUM_H
#define NUM_H
/* Strict numbers that no locale can change, and sizes that cannot overflow. */
#include <stdbool.h>
#include <stddef.h>

/* Reads [+-]digits[.digits][(e|E)[+-]digits] from the start of p[0..n). true: *out is finite and
 * *used the bytes read (> 0). false: no number there, or too large for a double (*used > 0 then).
 * No hex, no inf, no nan, no leading '.', no trailing '.'. */
bool num_read(const char *p, size_t n, double *out, size_t *used);
/* The shortest text that reads back as v ("%.17g" shortened), '.' in every locale. buf >= 32. */
const char *num_text(char *buf, size_t cap, double v);
/* v with the given digits after the point, '.' in every locale, no "-0". buf >= 64 */
const char *num_fixed(char *buf, size_t cap, double v, int digits);
/* Whole numbers with thousands apart by a comma: "12,345". */
const char *num_grouped(char *buf, size_t cap, double v);
/* v rounded to the given significant digits (for showing estimates). */
double num_round_sig(double v, int digits);

bool num_mul_size(size_t a, size_t b, size_t *out); /* false: overflow */
bool num_add_size(size_t a, size_t b, size_t *out);

static inline double num_clamp(double v, double lo, double hi)
{
    return v < lo ? lo : v > hi ? hi : v;
}

/* From 0 to below 1, the same run for run (xorshift, Marsaglia 2003). *state: any but 0. */
static inline double num_random(unsigned long *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return (double)(*state >> 11) / 9007199254740992.0;
}

#endif
