/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_plan.h"
#include "sheet_ics.h"
#include "text_count.h"

static const char *ics_of(struct fixture *f, struct sheet **sheet)
{
    struct strbuf b;
    CALL(sheet_make(f->text.arena, f->plan, sheet));
    strbuf_init(&b, f->text.arena);
    sheet_ics(*sheet, &b);
    cr_assert(!b.failed, "memory");
    return b.p;
}

/* RFC 5545, 3.1: lines end with CRLF and have at most 75 octets; no character is torn, though the
 * RFC would allow it. */
Test(sheet_ics, lines_are_short_and_whole)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f = fixture_make(&fixture_specs[v]);
        struct sheet *sheet;
        const char *text = ics_of(&f, &sheet);
        for (const char *p = text; *p;) {
            const char *end = strstr(p, "\r\n");
            cr_assert(end && end - p <= 75, "%s: %.90s", fixture_specs[v].name, p);
            size_t n = (size_t)(end - p);
            cr_assert(utf8_invalid(p, n) == n, "%s: torn: %.*s", fixture_specs[v].name, (int)n, p);
            cr_assert(!memchr(p, '\n', n) && !memchr(p, '\r', n), "no bare line end");
            p = end + 2;
        }
        cr_assert(text_count(text, "BEGIN:VEVENT\r\n") == sheet->nstages &&
                      text_count(text, "END:VEVENT\r\n") == sheet->nstages,
                  "an event a stage");
        cr_assert(text_count(text, "\r\nDTSTAMP:20270101T000000Z\r\n") == sheet->nstages, "stamps");
        fixture_free(&f);
    }
}

/* The text with its lines unfolded: RFC 5545, 3.1. */
static const char *unfolded(struct arena *arena, const char *text)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    while (*text)
        if (strncmp(text, "\r\n ", 3) == 0)
            text += 3;
        else
            strbuf_add(&b, text++, 1);
    return b.p;
}

/* RFC 5545, 3.3.11: backslash, semicolon and comma are escaped, a line end is \n. 3.6.1: DTEND is
 * the day after the last. */
Test(sheet_ics, dates_and_texts)
{
    struct fixture f = fixture_plan();
    struct sheet *sheet;
    const char *text = unfolded(f.text.arena, ics_of(&f, &sheet));
    const char *corn = strstr(text, "SUMMARY:Sow flint corn\\, Ember Ridge (F)\r\n");
    cr_assert(corn, "%s", text);
    cr_assert(strstr(text, "DTSTART;VALUE=DATE:20270521\r\nDTEND;VALUE=DATE:20270522\r\n"
                           "SUMMARY:Sow flint corn"),
              "the late last frost is May 21");
    cr_assert(strstr(corn, "soil at least 50 F\\; not after"), "%s", corn);
    cr_assert(strstr(corn, "\\n- Plot 14\\, hills 1-12\\n"), "%s", corn);
    cr_assert(strstr(text, "RRULE:FREQ=WEEKLY;UNTIL=2027"), "weeding comes back");
    fixture_free(&f);
}

/* Days of the year before and after: day 366 is January 1 of the next, day 0 December 31. */
Test(sheet_ics, days_beyond_the_year)
{
    struct fixture f = fixture_plan();
    struct sheet *sheet;
    CALL(sheet_make(f.text.arena, f.plan, &sheet));
    sheet->stages[0].day = 0;
    sheet->stages[0].until = 365;
    struct strbuf b;
    strbuf_init(&b, f.text.arena);
    sheet_ics(sheet, &b);
    cr_assert(strstr(b.p, "DTSTART;VALUE=DATE:20261231\r\nDTEND;VALUE=DATE:20280101\r\n"), "%.300s",
              b.p);
    fixture_free(&f);
}

/* The value of the n-th UID, NULL past the last. */
static const char *uid(const char *text, int n, char out[80])
{
    const char *p = text;
    for (int i = 0; p && i <= n; i++)
        p = strstr(p + (i > 0), "\r\nUID:");
    if (!p)
        return NULL;
    snprintf(out, 80, "%.*s", (int)strcspn(p + 6, "\r"), p + 6);
    return out;
}

Test(sheet_ics, uids_differ_and_stay_when_the_plan_is_made_again)
{
    struct fixture f = fixture_plan(), g = fixture_plan(), h = fixture_make(&fixture_specs[1]);
    struct sheet *sheet;
    char a[80], b[80];
    const char *one = ics_of(&f, &sheet);
    strcpy(g.plan->id, "99999999"); /* another plan: fewer lines of the first rows */
    g.plan->blocks[1].lines = 1;
    const char *two = ics_of(&g, &sheet), *other = ics_of(&h, &sheet);
    for (int i = 0; uid(one, i, a); i++) {
        for (int j = i + 1; uid(one, j, b); j++)
            cr_assert(strcmp(a, b) != 0, "%s twice", a);
        cr_assert(uid(two, i, b), "as many");
        cr_assert_str_eq(a, b);
        cr_assert(!strstr(other, a), "another garden's differ");
    }
    fixture_free(&f);
    fixture_free(&g);
    fixture_free(&h);
}
