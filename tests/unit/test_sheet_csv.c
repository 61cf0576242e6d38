/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_plan.h"
#include "sheet_csv.h"

static const char *field(struct arena *arena, const char *text)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    csv_field(&b, text);
    return b.p;
}

/* RFC 4180, 2.5-2.7: fields with commas, quotes or line ends are quoted, quotes doubled. Formulas:
 * the list of the OWASP page on CSV injection (from memory). */
Test(sheet_csv, fields)
{
    static const char *const rows[][2] = {
        {"flint corn", "flint corn"},
        {"", ""},
        {"a, b", "\"a, b\""},
        {"6\" tall", "\"6\"\" tall\""},
        {"one\ntwo", "\"one\ntwo\""},
        {" spaced", "\" spaced\""},
        {"=1+1", "'=1+1"},
        {"+1", "'+1"},
        {"-1", "'-1"},
        {"@SUM(A1)", "'@SUM(A1)"},
        {"\tx", "'\tx"},
        {"\rx", "\"'\rx\""},
        {"=HYPERLINK(\"a\",\"b\")", "\"'=HYPERLINK(\"\"a\"\",\"\"b\"\")\""},
        {"\xEF\xBC\x9D"
         "1",
         "'\xEF\xBC\x9D"
         "1"},
        {"Jalape\xC3\xB1o", "Jalape\xC3\xB1o"},
        {"1-2", "1-2"},
    };
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_assert_str_eq(field(arena, rows[i][0]), rows[i][1], "row %zu", i);
    arena_free(arena);
}

static const char *csv_of(struct fixture *f, struct sheet **sheet)
{
    struct strbuf b;
    CALL(sheet_make(f->text.arena, f->plan, sheet));
    strbuf_init(&b, f->text.arena);
    sheet_csv(*sheet, &b);
    cr_assert(!b.failed, "memory");
    return b.p;
}

/* Commas outside quotes. */
static int columns(const char *p, const char *end)
{
    int n = 1;
    bool quoted = false;
    for (; p < end; p++) {
        if (*p == '"')
            quoted = !quoted;
        n += *p == ',' && !quoted;
    }
    return n;
}

/* RFC 4180, 2.1 and 2.4: each line ends with CRLF and has as many fields as the first. */
Test(sheet_csv, a_line_a_variety)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f = fixture_make(&fixture_specs[v]);
        struct sheet *sheet;
        const char *text = csv_of(&f, &sheet);
        int lines = 0, wide = 0;
        for (const char *p = text; *p; lines++) {
            const char *end = strstr(p, "\r\n");
            cr_assert(end, "CRLF");
            wide = lines == 0 ? columns(p, end) : wide;
            cr_assert(columns(p, end) == wide, "%s: line %d has %d fields", fixture_specs[v].name,
                      lines + 1, columns(p, end));
            p = end + 2;
        }
        cr_assert(lines == 1 + sheet->nseeds, "%s: %d lines", fixture_specs[v].name, lines);
        cr_assert((strncmp(text, "\xEF\xBB\xBF", 3) == 0) == (v == 4), "%s: byte order mark",
                  fixture_specs[v].name);
        fixture_free(&f);
    }
}

Test(sheet_csv, says_what_the_sheet_says)
{
    struct fixture f = fixture_plan();
    struct sheet *sheet;
    const char *text = csv_of(&f, &sheet);
    cr_assert(strstr(text, "\r\nflint corn,Ember Ridge,seeds,90,test,72,800,120,608,0,0.0,"), "%s",
              text);
    cr_assert(strstr(text, "\r\npotato,Stone Cellar,pieces,,,38,,7,,45,90.0,0f1e2d3c"), "%s", text);
    fixture_free(&f);
}
