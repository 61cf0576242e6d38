/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>

#include "arena_suite.h"
#include "csv.h"

TestSuite(csv, .init = set_up, .fini = tear_down);

static struct csv read_bytes(const char *p, size_t n)
{
    const struct source *src = NULL;
    struct csv csv = {0};
    CALL(source_text(arena, "t.csv", p, n, &src));
    CALL(csv_read(arena, src, false, diags, &csv));
    return csv;
}

static struct csv read_text(const char *text)
{
    return read_bytes(text, strlen(text));
}

/* The fields of a record, apart by `|`. */
static const char *joined(const struct csv_record *r)
{
    static char text[1024];
    text[0] = '\0';
    for (size_t i = 0; i < r->n; i++) {
        strcat(text, i > 0 ? "|" : "");
        strcat(text, r->fields[i].s);
    }
    return text;
}

/* RFC 4180 section 2, rules 1 to 7 with its own examples (aaa, bbb, ccc). */
Test(csv, rfc_4180)
{
    static const struct {
        const char *text, *first, *second;
    } rows[] = {
        {"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc", "zzz|yyy|xxx"},
        {"aaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc", "zzz|yyy|xxx"},
        {"field_name,field_name\r\naaa,bbb\r\n", "field_name|field_name", "aaa|bbb"},
        {"\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc", "zzz|yyy|xxx"},
        {"\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|b\r\nbb|ccc", "zzz|yyy|xxx"},
        {"\"aaa\",\"b\"\"bb\",\"ccc\"\nzzz,yyy,xxx\n", "aaa|b\"bb|ccc", "zzz|yyy|xxx"},
        {"\"a,b\",,\n,,\n", "a,b||", "||"},
        {"\"\"\n\"\"\"\"\n", "", "\""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct csv csv = read_text(rows[i].text);
        cr_assert(csv.n == 2 && diags_errors(diags) == 0, "row %zu: %zu records, %s", i, csv.n,
                  diags_words(diags));
        cr_assert_str_eq(joined(&csv.records[0]), rows[i].first);
        cr_assert_str_eq(joined(&csv.records[1]), rows[i].second);
    }
}

Test(csv, bom_spaces_and_empty_lines_are_passed_over)
{
    struct csv csv = read_text("\xEF\xBB\xBF a , b\t\n\n\r\n \"c\n");
    cr_assert(csv.n == 2, "%zu records", csv.n);
    cr_assert_str_eq(joined(&csv.records[0]), "a|b");
    expect_diag(diags, 4, 2, "csv-syntax"); /* a quote behind a space */
    cr_assert(csv.records[1].bad && !csv.records[0].bad);
}

Test(csv, positions_are_those_of_the_file)
{
    struct csv csv = read_text("a,b\n\"x\ny\",  z\n");
    size_t line, col;
    cr_assert(csv.n == 2);
    source_line_col(csv.src, csv.records[1].fields[1].at.begin, &line, &col);
    cr_assert(line == 3 && col == 6, "%zu:%zu", line, col);
}

Test(csv, faults_have_their_place_and_spoil_one_record)
{
    static const struct {
        const char *text;
        size_t line, col;
        const char *check;
    } rows[] = {
        {"a,b\"c\nok,ok\n", 1, 4, "csv-syntax"},    {"a,\"b\"c\nok,ok\n", 1, 6, "csv-syntax"},
        {"a,b\rc\nok,ok\n", 1, 4, "csv-syntax"},    {"a,\x01\nok,ok\n", 1, 3, "csv-text"},
        {"a,\"b\x01\"\nok,ok\n", 1, 5, "csv-text"}, {"a,\xC3\x28\nok,ok\n", 1, 3, "csv-text"},
        {"a,\"open\nok,ok\n", 1, 3, "csv-syntax"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        fresh();
        struct csv csv = read_text(rows[i].text);
        expect_diag(diags, rows[i].line, rows[i].col, rows[i].check);
        cr_assert(diags_errors(diags) == 1, "row %zu: %s", i, diags_words(diags));
        cr_assert(csv.n == 2 && csv.records[0].bad && !csv.records[1].bad, "row %zu", i);
        cr_assert_str_eq(joined(&csv.records[1]), "ok|ok");
    }
}

Test(csv, a_zero_byte_is_no_text)
{
    struct csv csv = read_bytes("a,b\0c\nd,e\n", 10);
    expect_diag(diags, 1, 4, "csv-text");
    cr_assert(csv.n == 2 && csv.records[0].bad && !csv.records[1].bad);
}

Test(csv, lenient_faults_are_warnings)
{
    const struct source *src = NULL;
    struct csv csv;
    CALL(source_text(arena, "t.csv", "a\"\n", 3, &src));
    CALL(csv_read(arena, src, true, diags, &csv));
    cr_assert(diags_errors(diags) == 0 && diags_warnings(diags) == 1 && csv.records[0].bad);
}

Test(csv, the_open_record_is_the_last_without_an_end_of_line)
{
    cr_assert(read_text("a\nb").records[1].open);
    cr_assert(!read_text("a\nb\n").records[1].open);
}

Test(csv, too_many_fields)
{
    char text[200];
    memset(text, ',', CSV_FIELDS_MAX);
    strcpy(text + CSV_FIELDS_MAX, "\nok\n");
    struct csv csv = read_text(text);
    cr_assert(csv.n == 2 && csv.records[0].bad && csv.records[0].n == CSV_FIELDS_MAX);
    expect_diag(diags, 1, 0, "csv-syntax");
}

Test(csv, too_many_records)
{
    const struct source *src = NULL;
    struct csv csv = {.n = 7};
    size_t n = 2 * (CSV_RECORDS_MAX + 1);
    char *text = malloc(n);
    cr_assert(text != NULL);
    for (size_t i = 0; i < n; i++)
        text[i] = i % 2 ? '\n' : 'a';
    CALL(source_text(arena, "t.csv", text, n, &src));
    cr_assert(csv_read(arena, src, false, diags, &csv) == HR_INPUT && csv.n == 7);
    free(text);
}

Test(csv, what_is_put_reads_back)
{
    static const char *const fields[] = {"plain",      "",         "a,b", "a \"b\"",
                                         "two\nlines", " spaced ", "\"",  "caf\xC3\xA9"};
    size_t n = sizeof fields / sizeof *fields;
    struct strbuf b;
    strbuf_init(&b, arena);
    for (size_t i = 0; i < n; i++)
        csv_put(&b, i == 0, fields[i]);
    struct csv csv = read_text(b.p);
    cr_assert(csv.n == 1 && csv.records[0].n == n, "%s", b.p);
    for (size_t i = 0; i < n; i++)
        cr_assert_str_eq(csv.records[0].fields[i].s, fields[i]);
}

Test(csv, out_of_memory_is_an_ordinary_error)
{
    const struct source *src = NULL;
    CALL(source_text(arena, "t.csv", "a,b,c\nd,e,f\n", 12, &src));
    for (size_t cap = 16; cap < 2000; cap += 16) {
        struct arena *small = arena_new(cap);
        struct csv csv;
        hr_status status = csv_read(small, src, false, diags, &csv);
        cr_assert(status == HR_OK || status == HR_NOMEM, "cap %zu: %d", cap, (int)status);
        arena_free(small);
    }
}
