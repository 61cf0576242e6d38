/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "num.h"

#include <locale.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <threads.h>

#define NUMBER_BYTES_MAX 1000 /* a double needs fewer than 800 digits to be exact */

static locale_t c_locale;
static once_flag c_locale_once = ONCE_FLAG_INIT;

static void c_locale_make(void)
{
    c_locale = newlocale(LC_ALL_MASK, "C", (locale_t)0); /* never freed: one for the process */
}

/* snprintf as in the C locale, whatever locale the program runs in. Only this thread is touched. */
__attribute__((format(printf, 3, 4))) static int print(char *buf, size_t cap, const char *fmt, ...)
{
    call_once(&c_locale_once, c_locale_make);
    locale_t before = c_locale ? uselocale(c_locale) : (locale_t)0;
    va_list ap;
    va_start(ap, fmt);
    int n = vsnprintf(buf, cap, fmt, ap);
    va_end(ap);
    if (before)
        uselocale(before);
    return n;
}

/* strtod as in the C locale. Infinite when there is no memory for a locale: never a wrong number.
 */
static double to_double(const char *s)
{
    call_once(&c_locale_once, c_locale_make);
    return c_locale ? strtod_l(s, NULL, c_locale) : HUGE_VAL;
}

static size_t digit_run(const char *p, size_t n)
{
    size_t i = 0;
    while (i < n && p[i] >= '0' && p[i] <= '9')
        i++;
    return i;
}

/* Bytes of a number at the start of p by the grammar, 0 when there is none. */
static size_t number_bytes(const char *p, size_t n)
{
    size_t i = n > 0 && (p[0] == '+' || p[0] == '-');
    size_t whole = digit_run(p + i, n - i);
    if (whole == 0)
        return 0;
    i += whole;
    if (i < n && p[i] == '.') {
        size_t part = digit_run(p + i + 1, n - i - 1);
        if (part > 0)
            i += 1 + part;
    }
    if (i < n && (p[i] == 'e' || p[i] == 'E')) {
        size_t sign = i + 1 < n && (p[i + 1] == '+' || p[i + 1] == '-');
        size_t power = digit_run(p + i + 1 + sign, n - i - 1 - sign);
        if (power > 0)
            i += 1 + sign + power;
    }
    return i;
}

bool num_read(const char *p, size_t n, double *out, size_t *used)
{
    size_t bytes = number_bytes(p, n);
    *used = bytes;
    if (bytes == 0 || bytes > NUMBER_BYTES_MAX)
        return false;
    char text[NUMBER_BYTES_MAX + 1];
    memcpy(text, p, bytes);
    text[bytes] = '\0';
    double v = to_double(text);
    if (!isfinite(v))
        return false;
    *out = v;
    return true;
}

const char *num_text(char *buf, size_t cap, double v)
{
    char text[40];
    if (!isfinite(v) || v == 0) {
        print(buf, cap, "%g", v == 0 ? 0.0 : v); /* no "-0" */
        return buf;
    }
    int precision = 0;
    for (;; precision++) {
        print(text, sizeof text, "%.*e", precision, v);
        if (precision == 16 || to_double(text) == v)
            break;
    }
    const char *power = strchr(text, 'e');
    int exponent = power ? atoi(power + 1) : 0;
    if (exponent >= -5 && exponent < 15)
        print(buf, cap, "%.*f", precision > exponent ? precision - exponent : 0, v);
    else
        print(buf, cap, "%s", text);
    return buf;
}

const char *num_fixed(char *buf, size_t cap, double v, int digits)
{
    if (!isfinite(v) || fabs(v) >= 1e30)
        return num_text(buf, cap, v);
    digits = digits < 0 ? 0 : digits > 20 ? 20 : digits;
    print(buf, cap, "%.*f", digits, v);
    if (buf[0] == '-' && strspn(buf + 1, "0.") == strlen(buf + 1))
        memmove(buf, buf + 1, strlen(buf));
    return buf;
}

const char *num_grouped(char *buf, size_t cap, double v)
{
    char text[64];
    num_fixed(text, sizeof text, v, 0);
    size_t sign = text[0] == '-', n = strlen(text) - sign, at = 0;
    if (digit_run(text + sign, n) != n || n + n / 3 + 2 > cap) { /* inf, or 1e+30 */
        print(buf, cap, "%s", text);
        return buf;
    }
    if (sign)
        buf[at++] = '-';
    for (size_t i = 0; i < n; i++) {
        if (i > 0 && (n - i) % 3 == 0)
            buf[at++] = ',';
        buf[at++] = text[sign + i];
    }
    buf[at] = '\0';
    return buf;
}

double num_round_sig(double v, int digits)
{
    char text[48];
    if (!isfinite(v) || v == 0)
        return v;
    digits = digits < 1 ? 1 : digits > 17 ? 17 : digits;
    print(text, sizeof text, "%.*e", digits - 1, v);
    return to_double(text);
}

bool num_mul_size(size_t a, size_t b, size_t *out)
{
    size_t v;
    if (__builtin_mul_overflow(a, b, &v))
        return false;
    *out = v;
    return true;
}

bool num_add_size(size_t a, size_t b, size_t *out)
{
    size_t v;
    if (__builtin_add_overflow(a, b, &v))
        return false;
    *out = v;
    return true;
}
