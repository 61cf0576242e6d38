/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "bib.h"

struct read {
    struct arena *arena;
    struct diags *diags;
    struct source_entry *entries;
    size_t n;
    hr_status status;
};

static struct read read_bytes(const char *p, size_t n)
{
    struct read r = {.arena = arena_new(ARENA_CAP_DEFAULT), .diags = diags_new()};
    const struct source *src;
    CALL(source_text(r.arena, "sources.bib", p, n, &src));
    r.status = bib_read(r.arena, src, r.diags, &r.entries, &r.n);
    return r;
}

static struct read read_text(const char *text)
{
    return read_bytes(text, strlen(text));
}

static void read_free(struct read *r)
{
    arena_free(r->arena);
    diags_free(r->diags);
}

Test(bib, entries_in_order)
{
    struct read r =
        read_text("% a comment, with @ in it\n"
                  "@misc{sr28,\n"
                  "  author = {{US Department   of\n     Agriculture}},\n"
                  "  title = {National {N}utrient Database},\n"
                  "  year = 2015, url = {https://fdc.nal.usda.gov},\n"
                  "}\n"
                  "@article { b-2 , title={Beans & 50 % corn}, journal = {J}, note = {} }\n");
    cr_assert(r.status == HR_OK, "%s", diags_words(r.diags));
    cr_assert(r.n == 2);
    cr_assert_str_eq(r.entries[0].key, "sr28");
    cr_assert_str_eq(r.entries[0].kind, "misc");
    cr_assert_str_eq(r.entries[0].author, "US Department of Agriculture");
    cr_assert_str_eq(r.entries[0].title, "National Nutrient Database");
    cr_assert_str_eq(r.entries[0].year, "2015");
    cr_assert_str_eq(r.entries[0].note, "");
    cr_assert_str_eq(r.entries[1].key, "b-2");
    cr_assert_str_eq(r.entries[1].title, "Beans & 50 % corn");
    cr_assert_str_eq(r.entries[1].where, "J");
    cr_assert(r.entries[0].at.begin == 32, "at its key: %zu", r.entries[0].at.begin);
    read_free(&r);
}

Test(bib, nothing_is_no_fault)
{
    static const char *const texts[] = {"", "\n\n", "% only a remark"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct read r = read_text(texts[i]);
        cr_expect(r.status == HR_OK && r.n == 0, "text %zu", i);
        read_free(&r);
    }
}

Test(bib, faults_have_a_place)
{
    static const struct {
        const char *text;
        size_t line, col;
        const char *check;
    } rows[] = {
        {"sr28\n", 1, 1, "bib-syntax"},
        {"@{a, title = {b}}\n", 1, 2, "bib-syntax"},
        {"@misc a, title = {b}}\n", 1, 7, "bib-syntax"},
        {"@misc{, title = {b}}\n", 1, 7, "bib-syntax"},
        {"@misc{a title = {b}}\n", 1, 9, "bib-syntax"},
        {"@misc{a, title {b}}\n", 1, 16, "bib-syntax"},
        {"@misc{a, title = b}\n", 1, 18, "bib-syntax"},
        {"@misc{a, title = {b}", 1, 21, "bib-syntax"},
        {"@misc{a, title = {b\n", 1, 18, "bib-syntax"},
        {"@misc{a, title = {b}, = {c}}\n", 1, 23, "bib-syntax"},
        {"@misc{a, title = {b}, titel = {c}}\n", 1, 23, "unknown-key"},
        {"@misc{a, title = {b}, title = {c}}\n", 1, 23, "duplicate-key"},
        {"@misc{a, title = {b}}\n@misc{a, title = {c}}\n", 2, 7, "duplicate-key"},
        {"@misc{a, year = 2001}\n", 1, 7, "missing-key"},
        {"@misc{a, title = {}}\n", 1, 7, "missing-key"},
        {"@misc{a, title = {\x01}}\n", 1, 19, "bib-syntax"},
        {"@misc{a, title = {\xff}}\n", 1, 19, "invalid-utf8"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct read r = read_text(rows[i].text);
        cr_expect(r.status == HR_INPUT, "row %zu: status %d", i, (int)r.status);
        cr_expect(diags_errors(r.diags) == 1, "row %zu:\n%s", i, diags_words(r.diags));
        cr_expect(diag_find(r.diags, rows[i].line, rows[i].col, rows[i].check) != NULL,
                  "row %zu:\n%s", i, diags_words(r.diags));
        read_free(&r);
    }
}

Test(bib, it_goes_on_behind_a_fault)
{
    struct read r = read_text("@misc{a, title = {one\n"
                              "@misc{b title = {two}}\n"
                              "@misc{c, title = {three}}\n"
                              "nonsense\n"
                              "@misc{d, titel = {four}}\n");
    cr_assert(r.status == HR_INPUT);
    expect_diag(r.diags, 1, 18, "bib-syntax");
    expect_diag(r.diags, 2, 9, "bib-syntax");
    expect_diag(r.diags, 4, 1, "bib-syntax");
    expect_diag(r.diags, 5, 10, "unknown-key");
    expect_diag(r.diags, 5, 7, "missing-key");
    cr_assert(diags_errors(r.diags) == 5, "%s", diags_words(r.diags));
    read_free(&r);
}

Test(bib, zero_bytes_and_floods)
{
    struct read r = read_bytes("@misc{a, title = {b\0c}}\n", 24);
    cr_assert(r.status == HR_INPUT);
    expect_diag(r.diags, 1, 20, "bib-syntax");
    read_free(&r);

    static char many[2 * (BIB_ENTRIES_MAX + 1)];
    for (size_t i = 0; i < sizeof many; i++)
        many[i] = i % 2 ? '\n' : '@';
    r = read_bytes(many, sizeof many);
    cr_assert(r.status == HR_INPUT && diags_errors(r.diags) == 1);
    expect_diag(r.diags, 1, 1, "too-many");
    read_free(&r);

    static char deep[1 << 20]; /* braces never closed */
    memset(deep, '{', sizeof deep);
    memcpy(deep, "@misc{a, title = ", 17);
    r = read_bytes(deep, sizeof deep);
    cr_assert(r.status == HR_INPUT);
    expect_diag(r.diags, 1, 18, "bib-syntax");
    read_free(&r);
}

Test(bib, any_amount_of_memory_will_do)
{
    const char *text = "@misc{a, title = {b}, note = {c}}\n@misc{d, title = {e}}\n";
    hr_status status = HR_NOMEM;
    for (size_t cap = 1; status == HR_NOMEM && cap < (1 << 20); cap += 7) {
        struct arena *arena = arena_new(cap);
        struct arena *keep = arena_new(ARENA_CAP_DEFAULT);
        struct diags *diags = diags_new();
        const struct source *src;
        struct source_entry *entries = NULL;
        size_t n = 0;
        CALL(source_text(keep, "sources.bib", text, strlen(text), &src));
        status = bib_read(arena, src, diags, &entries, &n);
        cr_assert(status == HR_OK || (status == HR_NOMEM && !entries), "cap %zu", cap);
        arena_free(arena);
        arena_free(keep);
        diags_free(diags);
    }
    cr_assert(status == HR_OK);
}
