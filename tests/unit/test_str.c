/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdint.h>

#include "str.h"

static struct arena *arena;
static struct strbuf b;

static void set_up(void)
{
    arena = arena_new(ARENA_CAP_DEFAULT);
    strbuf_init(&b, arena);
}

static void tear_down(void)
{
    arena_free(arena);
}

TestSuite(str, .init = set_up, .fini = tear_down);

Test(str, grows_and_stays_ended)
{
    cr_assert_str_eq(b.p, "");
    for (int i = 0; i < 5000; i++) {
        strbuf_printf(&b, "%d,", i);
        cr_assert(b.p[b.n] == '\0' && b.n < b.cap);
    }
    cr_assert(!b.failed && strlen(b.p) == b.n);
    cr_assert(strncmp(b.p, "0,1,2,3,", 8) == 0);
    cr_assert_str_eq(b.p + b.n - 10, "4998,4999,");
    strbuf_init(&b, arena);
    strbuf_add(&b, "a\0b", 3);
    cr_assert(b.n == 3 && memcmp(b.p, "a\0b", 4) == 0);
    strbuf_add(&b, "", 0);
    cr_assert(b.n == 3);
}

Test(str, failure_is_sticky)
{
    struct arena *small = arena_new(100);
    strbuf_init(&b, small);
    strbuf_puts(&b, "fits");
    cr_assert(!b.failed);
    strbuf_pad(&b, "does not fit", 1000);
    cr_assert(b.failed);
    size_t n = b.n;
    strbuf_puts(&b, "x");
    strbuf_printf(&b, "%d", 1);
    strbuf_wrap(&b, "x y", 10, 2, 0);
    cr_assert(b.failed && b.n == n && strlen(b.p) == n, "nothing is added any more");
    arena_free(small);
    small = arena_new(0);
    strbuf_init(&b, small);
    strbuf_puts(&b, "x");
    cr_assert(b.failed && b.p[0] == '\0');
    arena_free(small);
}

/* Every cap from nothing up: never a crash, and whole text as soon as nothing failed. */
Test(str, any_cap)
{
    for (size_t cap = 0; cap < 3000; cap += 16) {
        struct arena *small = arena_new(cap);
        strbuf_init(&b, small);
        for (int i = 0; i < 100; i++)
            strbuf_printf(&b, "%03d ", i);
        cr_assert(b.failed || b.n == 400, "cap %zu", cap);
        cr_assert(strlen(b.p) == b.n, "cap %zu", cap);
        arena_free(small);
    }
    cr_assert(!b.failed, "3000 bytes are enough");
}

Test(str, pad)
{
    strbuf_pad(&b, "corn", 8);
    strbuf_puts(&b, "|");
    strbuf_pad(&b, "butternut squash", 10);
    strbuf_puts(&b, "|");
    strbuf_pad(&b, "exact", 5);
    strbuf_puts(&b, "|");
    strbuf_pad(&b, "abcdef", 2);
    strbuf_puts(&b, "|");
    strbuf_pad(&b, "x", 0);
    cr_assert_str_eq(b.p, "corn    |buttern...|exact|..|");
    strbuf_init(&b, arena);
    strbuf_pad(&b, "maïs", 6);
    strbuf_puts(&b, "|");
    strbuf_pad(&b, "玉米", 6);
    strbuf_puts(&b, "|");
    strbuf_pad(&b, "玉米玉米", 6); /* half a wide character does not fit */
    strbuf_puts(&b, "|");
    cr_assert_str_eq(b.p, "maïs  |玉米  |玉... |");
}

Test(str, wrap)
{
    strbuf_wrap(&b, "sow when the soil is warm", 14, 2, 0);
    cr_assert_str_eq(b.p, "  sow when the\n  soil is warm\n");
    strbuf_init(&b, arena);
    strbuf_puts(&b, "name:");
    strbuf_wrap(&b, "sow when the soil is warm", 14, 2, 5);
    cr_assert_str_eq(b.p, "name:sow when\n  the soil is\n  warm\n");
    strbuf_init(&b, arena);
    strbuf_wrap(&b, "a incomprehensibilities b", 10, 0, 0);
    cr_assert_str_eq(b.p, "a\nincomprehensibilities\nb\n");
    strbuf_init(&b, arena);
    strbuf_wrap(&b, "one\ntwo", 10, 1, 0);
    cr_assert_str_eq(b.p, " one\n two\n");
    strbuf_init(&b, arena);
    strbuf_wrap(&b, "", 10, 0, 0);
    cr_assert_str_eq(b.p, "\n");
    strbuf_init(&b, arena);
    strbuf_wrap(&b, "ends\n", 10, 0, 0);
    cr_assert_str_eq(b.p, "ends\n");
    strbuf_init(&b, arena);
    strbuf_wrap(&b, "x 1' 0\" to 16' 10\"; y", 18, 0, 0);
    cr_assert_str_eq(b.p, "x 1' 0\" to\n16' 10\"; y\n");
    strbuf_init(&b, arena);
    strbuf_wrap(&b, "within 2.1 % of it", 11, 0, 0);
    cr_assert_str_eq(b.p, "within\n2.1 % of it\n");
    strbuf_init(&b, arena);
    strbuf_wrap(&b, "a b", 1, 30, 0); /* an indent beyond the width still ends */
    cr_assert(!b.failed);
}

/* RFC 3629: section 3 (ranges) and 4 (the table of well-formed sequences). */
Test(str, utf8_well_formed)
{
    static const struct {
        const char *p;
        size_t n, bytes;
        uint32_t code;
    } rows[] = {
        {"a", 1, 1, 'a'},
        {"", 0, 0, 0xFFFD},
        {"\x7F", 1, 1, 0x7F},
        {"\xC2\x80", 2, 2, 0x80},
        {"\xDF\xBF", 2, 2, 0x7FF},
        {"\xE0\xA0\x80", 3, 3, 0x800},
        {"\xED\x9F\xBF", 3, 3, 0xD7FF},
        {"\xEE\x80\x80", 3, 3, 0xE000},
        {"\xEF\xBF\xBF", 3, 3, 0xFFFF},
        {"\xF0\x90\x80\x80", 4, 4, 0x10000},
        {"\xF4\x8F\xBF\xBF", 4, 4, 0x10FFFF},
        {"\x80", 1, 0, 0xFFFD},             /* a tail alone */
        {"\xC0\x80", 2, 0, 0xFFFD},         /* long form of NUL */
        {"\xC1\xBF", 2, 0, 0xFFFD},         /* long form */
        {"\xE0\x9F\xBF", 3, 0, 0xFFFD},     /* long form */
        {"\xF0\x8F\xBF\xBF", 4, 0, 0xFFFD}, /* long form */
        {"\xED\xA0\x80", 3, 0, 0xFFFD},     /* half of a UTF-16 pair */
        {"\xF4\x90\x80\x80", 4, 0, 0xFFFD}, /* beyond U+10FFFF */
        {"\xF5\x80\x80\x80", 4, 0, 0xFFFD},
        {"\xFF", 1, 0, 0xFFFD},
        {"\xE2\x82", 2, 0, 0xFFFD}, /* cut short */
        {"\xC2", 1, 0, 0xFFFD},
        {"\xC2\x41", 2, 0, 0xFFFD},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t bytes = utf8_char(rows[i].p, rows[i].n);
        cr_assert(bytes == rows[i].bytes, "row %zu: %zu bytes", i, bytes);
        cr_assert(utf8_code(rows[i].p, bytes) == rows[i].code, "row %zu", i);
    }
}

Test(str, utf8_counts)
{
    cr_assert(utf8_invalid("maïs", 5) == 5);
    cr_assert(utf8_invalid("ma\xFFs", 4) == 2);
    cr_assert(utf8_invalid("ma\xC3", 3) == 2);
    cr_assert(utf8_count("maïs", 5) == 4);
    cr_assert(utf8_count("\xFF\xFE", 2) == 2, "bad bytes count as one each");
    cr_assert(utf8_columns("maïs") == 4);
    cr_assert(utf8_columns("mai\u0308s") == 4, "a combining mark takes no column");
    cr_assert(utf8_columns("玉米") == 4);
    cr_assert(utf8_columns("") == 0);
}

Test(str, escapes)
{
    strbuf_add_escaped(&b, "a\x1b[31m\xFF\n\tmaïs\u202E\xC2\x9B", 19);
    cr_assert_str_eq(b.p, "a\\x1b[31m\\xff\\x0a\\x09maïs\\u202e\\u009b");
    cr_assert(utf8_printable("a", 1) && utf8_printable("ï", 2));
    cr_assert(!utf8_printable("\x1b", 1) && !utf8_printable("\x7f", 1) && !utf8_printable("", 0));
}

Test(str, names_stand_as_in_an_index)
{
    static const char *const sorted[] = {
        "",     "acorn",    "Flint",   "flint", "flint corn", "Flint-corn", "Jerusalem artichoke",
        "kale", "zucchini", "\xc3\xa4"};
    const int n = sizeof sorted / sizeof *sorted;
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++) {
            int order = str_order(sorted[i], sorted[j]);
            bool twins = str_same(sorted[i], sorted[j]);
            cr_assert((order == 0) == (i == j), "%s and %s", sorted[i], sorted[j]);
            cr_assert((order < 0) == (str_order(sorted[j], sorted[i]) > 0), "one way round");
            cr_assert(twins || (order < 0) == (i < j), "%s, %s", sorted[i], sorted[j]);
        }
}

Test(str, same)
{
    cr_assert(str_same("Flint Corn", "flint-corn"));
    cr_assert(str_same("flint_corn", "flint corn"));
    cr_assert(str_same("", ""));
    cr_assert(!str_same("flint", "flint corn"));
    cr_assert(!str_same("flint corn", "flint"));
    cr_assert(!str_same("flintcorn", "flint corn"));
    cr_assert(!str_same("MAÏS", "maïs"), "only ASCII letters fold");
}

Test(str, nearest)
{
    static const char *const names[] = {"border", "bearing",    "rows",
                                        "size",   "flint corn", "obstacles"};
    static const struct {
        const char *s, *near; /* NULL: none */
    } rows[] = {
        {"borderr", "border"},
        {"boarder", "border"},
        {"bodrer", "border"},
        {"Border", "border"},
        {"row", "rows"},
        {"szie", "size"},
        {"flint_corn", "flint corn"},
        {"flynt corm", "flint corn"},
        {"obstacels", "obstacles"},
        {"colour", NULL},
        {"x", NULL},
        {"", NULL},
        {"rowsrows", NULL},
        {"bearings", "bearing"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t k = str_nearest(rows[i].s, names, 6);
        const char *near_name = k == SIZE_MAX ? "(none)" : names[k];
        cr_assert_str_eq(near_name, rows[i].near ? rows[i].near : "(none)", "`%s`: %s", rows[i].s,
                         near_name);
    }
    cr_assert(str_nearest("border", names, 0) == SIZE_MAX);
}

Test(str, nearest_takes_the_best_and_the_first)
{
    static const char *const names[] = {"beans", "bean", "beat"};
    cr_assert(str_nearest("bean", names, 3) == 1);
    cr_assert(str_nearest("beam", names, 3) == 1, "first of two as near");
}

Test(str, nearest_with_long_names)
{
    char name[200], other[200];
    const char *names[1] = {name};
    memset(name, 'a', sizeof name);
    name[65] = '\0';
    memcpy(other, name, sizeof other);
    cr_assert(str_nearest(other, names, 1) == SIZE_MAX, "65 bytes are never near");
    name[64] = other[64] = '\0';
    cr_assert(str_nearest(other, names, 1) == 0);
    other[63] = 'b';
    cr_assert(str_nearest(other, names, 1) == 0);
    memset(other, 'a', sizeof other);
    other[199] = '\0';
    cr_assert(str_nearest(other, names, 1) == SIZE_MAX);
}
