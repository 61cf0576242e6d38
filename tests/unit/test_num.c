/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <locale.h>
#include <stdint.h>
#include <stdlib.h>

#include "num.h"

static void refuse(const char *text)
{
    double v = 7;
    size_t used;
    cr_assert(!num_read(text, strlen(text), &v, &used), "`%s` was read as %g", text, v);
    cr_assert(v == 7, "`%s` changed the result", text);
}

Test(num, grammar)
{
    static const struct {
        const char *text;
        double v;
        size_t used;
    } rows[] = {
        {"0", 0, 1},
        {"12", 12, 2},
        {"-3.5", -3.5, 4},
        {"+3.5", 3.5, 4},
        {"007", 7, 3},
        {"1e3", 1000, 3},
        {"1E-2", 0.01, 4},
        {"1e+2", 100, 4},
        {"12.", 12, 2},
        {"12.x", 12, 2},
        {"12e", 12, 2},
        {"12each", 12, 2},
        {"12e+", 12, 2},
        {"1.5.2", 1.5, 3},
        {"1,5", 1, 1},
        {"20ft", 20, 2},
        {"0x10", 0, 1},
        {"1 000", 1, 1},
        {"1_000", 1, 1},
        {"5e-324", 5e-324, 6},
        {"1e-400", 0, 6},
        {"1.7976931348623157e308", 1.7976931348623157e308, 22},
        {"9007199254740993", 9007199254740992, 16},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double v = -1;
        size_t used = 0;
        cr_assert(num_read(rows[i].text, strlen(rows[i].text), &v, &used), "`%s`", rows[i].text);
        cr_assert(v == rows[i].v && used == rows[i].used, "`%s` gave %.17g, %zu bytes",
                  rows[i].text, v, used);
    }
}

Test(num, what_is_no_number)
{
    static const char *const rows[] = {"",    " 1",  "x",   "-",   "+",     ".",     ".5",
                                       "-.5", "nan", "inf", "NaN", "-inf",  "e5",    "--1",
                                       "+-1", ",5",  "\t1", "½",   "1e999", "-1e999"};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        refuse(rows[i]);
}

Test(num, too_large_says_how_many_bytes)
{
    double v;
    size_t used = 0;
    cr_assert(!num_read("1e999 m", 7, &v, &used));
    cr_assert(used == 5, "%zu", used);
}

Test(num, stays_inside_its_bytes)
{
    double v;
    size_t used;
    char *p = malloc(3); /* no NUL behind it: the sanitizer sees a step too far */
    memcpy(p, "125", 3);
    cr_assert(num_read(p, 2, &v, &used) && v == 12 && used == 2);
    cr_assert(num_read(p, 3, &v, &used) && v == 125 && used == 3);
    cr_assert(!num_read(p, 0, &v, &used));
    memcpy(p, "1e5", 3);
    cr_assert(num_read(p, 2, &v, &used) && v == 1 && used == 1);
    memcpy(p, "1.5", 3);
    cr_assert(num_read(p, 2, &v, &used) && v == 1 && used == 1);
    free(p);
}

Test(num, very_long_numbers)
{
    char text[5000];
    double v;
    size_t used;
    memset(text, '0', sizeof text);
    text[1] = '.';
    text[900] = '1';
    cr_assert(num_read(text, 901, &v, &used) && v == 0 && used == 901, "far below a double");
    cr_assert(!num_read(text, sizeof text, &v, &used), "5000 digits are no figure of a garden");
    cr_assert(used == sizeof text);
    memset(text, '9', 400);
    cr_assert(!num_read(text, 400, &v, &used), "10^400 is no double");
}

/* Correct rounding, from the definition of a double: 2^-1074 is the least, 2^53 + 1 lies half way.
 */
Test(num, reads_back_what_it_writes)
{
    char buf[32];
    double v;
    size_t used;
    uint64_t state = 88172645463325252u;
    for (int i = 0; i < 20000; i++) {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        double x;
        memcpy(&x, &state, sizeof x);
        if (i % 2) /* figures as gardens have them, too */
            x = (double)(int64_t)(state % 2000000) / 100 - 5000;
        if (!isfinite(x))
            continue;
        num_text(buf, sizeof buf, x);
        cr_assert(num_read(buf, strlen(buf), &v, &used), "%s", buf);
        cr_assert(v == x && buf[used] == '\0', "%a was written as %s", x, buf);
    }
}

Test(num, shortest_text)
{
    static const struct {
        double v;
        const char *text;
    } rows[] = {
        {0, "0"},
        {-0.0, "0"},
        {20, "20"},
        {0.1, "0.1"},
        {-2.5, "-2.5"},
        {0.3048, "0.3048"},
        {1e6, "1000000"},
        {123456789, "123456789"},
        {1e15, "1e+15"},
        {0.00001, "0.00001"},
        {1e-6, "1e-06"},
        {0.1 + 0.2, "0.30000000000000004"},
        {1.0 / 3, "0.3333333333333333"},
        {100, "100"},
        {5e-324, "5e-324"},
    };
    char buf[32];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_assert_str_eq(num_text(buf, sizeof buf, rows[i].v), rows[i].text);
}

Test(num, fixed_and_grouped)
{
    char buf[64];
    cr_assert_str_eq(num_fixed(buf, sizeof buf, 3.14159, 2), "3.14");
    cr_assert_str_eq(num_fixed(buf, sizeof buf, -0.001, 2), "0.00");
    cr_assert_str_eq(num_fixed(buf, sizeof buf, -0.4, 0), "0");
    cr_assert_str_eq(num_fixed(buf, sizeof buf, -1.25, 1), "-1.2");
    cr_assert_str_eq(num_fixed(buf, sizeof buf, 7, -3), "7");
    cr_assert(strlen(num_fixed(buf, sizeof buf, 1e300, 3)) < sizeof buf);
    cr_assert_str_eq(num_grouped(buf, sizeof buf, 0), "0");
    cr_assert_str_eq(num_grouped(buf, sizeof buf, 999.4), "999");
    cr_assert_str_eq(num_grouped(buf, sizeof buf, 999.6), "1,000");
    cr_assert_str_eq(num_grouped(buf, sizeof buf, 12345), "12,345");
    cr_assert_str_eq(num_grouped(buf, sizeof buf, -1234567.2), "-1,234,567");
    cr_assert_str_eq(num_grouped(buf, sizeof buf, -0.2), "0");
    cr_assert_str_eq(num_grouped(buf, sizeof buf, HUGE_VAL), "inf");
    cr_assert(strlen(num_grouped(buf, sizeof buf, -9.9e29)) < sizeof buf);
    char small[6];
    cr_assert(strlen(num_grouped(small, sizeof small, 1234567)) < sizeof small);
}

Test(num, significant_digits)
{
    cr_assert(num_round_sig(123456, 2) == 120000);
    cr_assert(num_round_sig(0.0123456, 3) == 0.0123);
    cr_assert(num_round_sig(-9.96, 2) == -10);
    cr_assert(num_round_sig(0, 3) == 0);
    cr_assert(num_round_sig(5, 0) == 5, "at least one digit");
    cr_assert(isnan(num_round_sig((double)NAN, 2)));
}

Test(num, sizes)
{
    size_t v = 5;
    cr_assert(num_mul_size(6, 7, &v) && v == 42);
    cr_assert(!num_mul_size(SIZE_MAX / 2 + 1, 2, &v) && v == 42);
    cr_assert(num_add_size(SIZE_MAX - 1, 1, &v) && v == SIZE_MAX);
    cr_assert(!num_add_size(SIZE_MAX, 1, &v) && v == SIZE_MAX);
    cr_assert(num_clamp(5, 0, 3) == 3 && num_clamp(-1, 0, 3) == 0 && num_clamp(2, 0, 3) == 2);
}

/* A locale that writes 1,5: one of the system, or one compiled here. NULL: neither. */
static const char *comma_locale(void)
{
    static const char *const names[] = {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "nl_NL.UTF-8",
                                        "ru_RU.UTF-8", "de_DE",      "fr_FR"};
    static char dir[] = "/tmp/num-locale-XXXXXX";
    char command[200];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (setlocale(LC_ALL, names[i]))
            return names[i];
    if (!mkdtemp(dir))
        return NULL;
    snprintf(command, sizeof command, "localedef -f UTF-8 -i de_DE %s/de_DE.UTF-8 >%s/log 2>&1",
             dir, dir);
    bool built = system(command) != -1 && setenv("LOCPATH", dir, 1) == 0 &&
                 setlocale(LC_ALL, "de_DE.UTF-8") != NULL;
    snprintf(command, sizeof command, "rm -r %s", dir);
    return system(command) == 0 && built ? "de_DE.UTF-8" : NULL;
}

Test(num, no_locale_changes_it)
{
    char buf[64];
    double v;
    size_t used;
    if (!comma_locale())
        cr_skip_test("no locale with a decimal comma");
    snprintf(buf, sizeof buf, "%.1f", 1.5);
    cr_assert_str_eq(buf, "1,5", "the locale is not in force: %s", buf);
    cr_assert(num_read("1.5", 3, &v, &used) && v == 1.5 && used == 3);
    cr_assert(num_read("1,5", 3, &v, &used) && v == 1 && used == 1);
    cr_assert_str_eq(num_text(buf, sizeof buf, 1234.5), "1234.5");
    cr_assert_str_eq(num_fixed(buf, sizeof buf, 1234.5, 2), "1234.50");
    cr_assert_str_eq(num_grouped(buf, sizeof buf, 1234.6), "1,235");
    cr_assert(num_round_sig(1234.5, 2) == 1200);
    snprintf(buf, sizeof buf, "%.1f", 1.5);
    cr_assert_str_eq(buf, "1,5", "and it is in force afterwards");
}
