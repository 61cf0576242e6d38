/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "fixture_plan.h"
#include "plan_text.h"
#include "sheet_text.h"
#include "text_count.h"

static const char *text_of(struct fixture *f, int variant)
{
    struct sheet *sheet;
    struct strbuf b;
    *f = fixture_make(&fixture_specs[variant]);
    cr_assert(f->plan, "%s: %s", fixture_specs[variant].name, garden_text_diags(&f->text));
    CALL(sheet_make(f->text.arena, f->plan, &sheet));
    strbuf_init(&b, f->text.arena);
    sheet_text(sheet, &b);
    cr_assert(!b.failed, "memory");
    return b.p;
}

Test(sheet_text, no_line_is_too_long_and_none_ends_in_space)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        const char *text = text_of(&f, v);
        for (const char *p = text; *p;) {
            const char *end = strchr(p, '\n');
            cr_assert(end, "every line ends");
            char *line = arena_strndup(f.text.arena, p, (size_t)(end - p));
            cr_assert(utf8_columns(line) <= SHEET_COLUMNS, "%s: %zu columns: %s",
                      fixture_specs[v].name, utf8_columns(line), line);
            cr_assert(end == p || end[-1] != ' ', "%s: space at the end: \"%s\"",
                      fixture_specs[v].name, line);
            p = end + 1;
        }
        fixture_free(&f);
    }
}

Test(sheet_text, a_box_to_tick_for_every_job)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f;
        const char *text = text_of(&f, v);
        struct sheet *sheet;
        CALL(sheet_make(f.text.arena, f.plan, &sheet));
        int jobs = sheet->nseeds;
        for (int i = 0; i < sheet->nstages; i++)
            for (const struct sheet_job *j = sheet->stages[i].jobs; j; j = j->next)
                jobs++;
        cr_assert(text_count(text, "\n  [ ] ") == jobs, "%s: %d boxes for %d jobs",
                  fixture_specs[v].name, text_count(text, "\n  [ ] "), jobs);
        cr_assert(text_count(text, "done ________") == sheet->nstages,
                  "a blank for the day of each");
        fixture_free(&f);
    }
}

/* The heads of the table of hills stand over its columns, no more of them than there are: four
 * hills are two and two. */
Test(sheet_text, as_many_heads_as_columns)
{
    int tables = 0, narrow = 0;
    for (int dm = 40; dm < 80; dm += 5) {
        char yaml[1500];
        snprintf(yaml, sizeof yaml,
                 "%splots:\n  - {name: Bed, size: %d.%d m x 1.6 m, rows: along-x}\n%s",
                 PLAN_TEXT_HEAD, dm / 10, dm % 10, PLAN_TEXT_SEED);
        struct plan_text p = plan_text_new(yaml);
        struct sheet *sheet;
        struct strbuf out;
        plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 1);
        plan_text_finish(&p);
        CALL(sheet_make(p.t.arena, p.plan, &sheet));
        strbuf_init(&out, p.t.arena);
        sheet_text(sheet, &out);
        const char *table = strstr(out.p, "\n      hill         x");
        cr_assert(table, "%s", out.p);
        size_t head = strcspn(++table, "\n"), row = strcspn(table + head + 1, "\n");
        cr_assert(head == row, "%.*s", (int)(head + row + 1), table);
        tables++;
        narrow += head < 80;
        plan_text_free(&p);
    }
    cr_assert(tables > 2 && narrow > 0, "%d tables, %d narrow ones", tables, narrow);
}

Test(sheet_text, says_which_garden_and_plan)
{
    struct fixture f;
    const char *text = text_of(&f, 0);
    static const char *const words[] = {"Wren's Corner", "Plot 14", "plan 0f1e2d3c", "2027"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        const char *at = strstr(text, words[i]);
        cr_assert(at && at - text < 400, "\"%s\" at the head", words[i]);
    }
    fixture_free(&f);
}

Test(sheet_text, every_hill_with_its_place)
{
    struct fixture f;
    const char *text = text_of(&f, 0);
    for (int s = 0; s < f.plan->nstations; s++) {
        const struct station *st = &f.plan->stations[s];
        if (f.plan->blocks[st->block].planting->system != SYSTEM_HILLS)
            continue;
        char x[48], y[48], row[160];
        snprintf(row, sizeof row, "%6s %9s %9s", st->id, unit_tape(x, sizeof x, st->x_m, UNITS_US),
                 unit_tape(y, sizeof y, st->y_m, UNITS_US));
        cr_assert(strstr(text, row), "hill %s: %s", st->id, row);
    }
    fixture_free(&f);
}

Test(sheet_text, every_row_with_its_place)
{
    struct fixture f;
    const char *text = text_of(&f, 0);
    cr_assert(strstr(text, "Plot 14, row 2.1"), "named as on the map");
    /* 6 in border, 10 ft 11 in of hills, half of a 30 in row */
    cr_assert(strstr(text, "y 12' 8\", x 0' 6\" to 19' 6\"; first at x 1' 0\", then every 1 ft"),
              "%s", strstr(text, "row 2.1"));
    fixture_free(&f);
}

Test(sheet_text, speaks_the_gardens_units)
{
    struct fixture f;
    const char *metric = text_of(&f, 1);
    cr_assert(!strstr(metric, " ft") && !strstr(metric, "\" ") && !strstr(metric, " lb"),
              "no feet or pounds");
    cr_assert(strstr(metric, " cm") && strstr(metric, " kg") && strstr(metric, " C;"), "metric");
    fixture_free(&f);
    const char *us = text_of(&f, 0);
    cr_assert(!strstr(us, " cm") && !strstr(us, " kg") && !strstr(us, " C;"), "no metric");
    fixture_free(&f);
}

Test(sheet_text, same_plan_same_words_and_no_nonsense)
{
    for (int v = 0; v < FIXTURE_VARIANTS; v++) {
        struct fixture f, g;
        const char *a = text_of(&f, v), *b = text_of(&g, v);
        cr_assert_str_eq(a, b);
        cr_assert(!strstr(a, "nan") && !strstr(a, " inf") && !strstr(a, "(null)") &&
                      !strstr(a, "%s") && !strstr(a, "%d"),
                  "%s", fixture_specs[v].name);
        fixture_free(&f);
        fixture_free(&g);
    }
}

Test(sheet_text, nothing_planted_is_still_a_sheet)
{
    struct fixture f;
    const char *text = text_of(&f, 7);
    cr_assert(strstr(text, "Fallow") && strstr(text, "Take care"), "%s", text);
    fixture_free(&f);
}
