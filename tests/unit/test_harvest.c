/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "arena_suite.h"
#include "harvest.h"

TestSuite(harvest, .init = set_up, .fini = tear_down);

#define HEAD "date,station,crop,weight,unit,note\n"
#define DAY  "2027-09-01,"

static hr_status read_log(const char *text, bool skip_bad, struct harvest *h)
{
    const struct source *src = NULL;
    CALL(source_text(arena, "log.csv", text, strlen(text), &src));
    return harvest_read(arena, src, skip_bad, diags, h);
}

static struct harvest good_log(const char *text)
{
    struct harvest h = {0};
    CALL(read_log(text, false, &h));
    cr_assert(diags_errors(diags) == 0, "%s", diags_words(diags));
    return h;
}

/* The avoirdupois pound is 0.45359237 kg (US National Bureau of Standards 1959, FR Doc. 59-5442);
 * an ounce is its 16th part. */
Test(harvest, units_are_converted_line_by_line)
{
    struct harvest h =
        good_log(HEAD DAY "1,corn,2,kg,\n" DAY "1,corn,2,lb,\n" DAY "1,corn,2,oz,\n" DAY
                          "1,corn,250,g,\n" DAY "1,corn,0,g,nothing\n");
    static const double kg[] = {2, 0.90718474, 0.05669904625, 0.25, 0};
    cr_assert(h.n == 5 && !h.treatments);
    for (size_t i = 0; i < h.n; i++)
        cr_assert(near(h.rows[i].kg, kg[i], 1e-12), "row %zu: %.12f", i, h.rows[i].kg);
    cr_assert(harvest_unit_kg("stone") == 0 && harvest_unit_kg("KG") == 0);
}

Test(harvest, columns_come_in_any_order)
{
    struct harvest h = good_log("Unit,weight,Treatment,crop,block,date\nkg,1.5,hills,corn,B 1,2027-"
                                "09-01\n");
    cr_assert(h.n == 1 && h.treatments && near(h.rows[0].kg, 1.5, 0));
    cr_assert_str_eq(h.rows[0].place, "B 1");
    cr_assert_str_eq(h.rows[0].treatment, "hills");
    cr_assert_str_eq(h.rows[0].date, "2027-09-01");
    cr_assert(good_log("\xEF\xBB\xBF"
                       "date,station or block,crop,weight,unit\r\n" DAY "1,corn,1,kg\r\n")
                  .n == 1);
    cr_assert(good_log(HEAD DAY "1,corn,1,kg,,,,\n").n == 1, "commas of empty columns");
    cr_assert(good_log(HEAD DAY "1,corn,1,kg,done").n == 1, "whole, but for its end of line");
}

Test(harvest, every_fault_has_its_place)
{
    static const struct {
        const char *text;
        size_t line, col;
        const char *check;
    } rows[] = {
        {HEAD DAY "1,corn,-2,kg,\n", 2, 19, "log-weight"},
        {HEAD DAY "1,corn,,kg,\n", 2, 19, "log-missing"},
        {HEAD DAY "1,corn,two,kg,\n", 2, 19, "log-weight"},
        {HEAD DAY "1,corn,nan,kg,\n", 2, 19, "log-weight"},
        {HEAD DAY "1,corn,1e300,kg,\n", 2, 19, "log-weight"},
        {HEAD DAY "1,corn,2,,\n", 2, 21, "log-missing"},
        {HEAD DAY "1,corn,2,stone,\n", 2, 21, "log-unit"},
        {HEAD DAY ",corn,2,kg,\n", 2, 12, "log-missing"},
        {HEAD DAY "1,,2,kg,\n", 2, 14, "log-missing"},
        {HEAD "2027-02-29,1,corn,2,kg,\n", 2, 1, "log-date"},
        {HEAD "September 1,1,corn,2,kg,\n", 2, 1, "log-date"},
        {HEAD DAY "1,corn,2,kg\n", 2, 1, "log-line"},
        {HEAD DAY "1,corn,2,kg,a,b\n", 2, 1, "log-line"},
        {HEAD DAY "1,corn,2,kg,\n" DAY "1,co", 3, 1, "log-line"},
        {HEAD DAY "1,corn,2,kg,\n" DAY "1,corn,2000,g,\n", 3, 12, "log-twice"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct harvest h = {0};
        fresh();
        CALL(read_log(rows[i].text, false, &h));
        expect_diag(diags, rows[i].line, rows[i].col, rows[i].check);
        cr_assert(diags_errors(diags) == 1, "row %zu: %s", i, diags_words(diags));
        cr_assert(h.rows[h.n - 1].bad, "row %zu is not marked", i);
        fresh();
        CALL(read_log(rows[i].text, true, &h));
        cr_assert(diags_errors(diags) == 0 && diags_warnings(diags) == 1, "row %zu", i);
        cr_assert(h.rows[h.n - 1].bad, "row %zu is not marked", i);
    }
}

/* 2028 is a leap year, 2027 is not, 2100 will not be. */
Test(harvest, days_are_days_of_the_calendar)
{
    struct harvest h = {0};
    cr_assert(good_log(HEAD "2028-02-29,1,corn,2,kg,\n").n == 1);
    CALL(read_log(HEAD "2100-02-29,1,corn,2,kg,\n2027-04-31,1,corn,2,kg,\n", false, &h));
    cr_assert(h.n == 2 && h.rows[0].bad && h.rows[1].bad);
}

Test(harvest, logs_without_their_columns)
{
    static const char *const texts[] = {"",
                                        "\n\n",
                                        DAY "1,corn,2,kg,\n",
                                        "date;station;crop\n",
                                        "date,station,crop,weight\n",
                                        "date,station,block,crop,weight,unit\n",
                                        "date,station,crop,weight,unit,moon\n"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct harvest h = {.n = 7};
        fresh();
        cr_assert(read_log(texts[i], true, &h) == HR_INPUT && h.n == 7, "text %zu", i);
        expect_diag(diags, 1, 0, "log-columns");
    }
}

Test(harvest, the_same_weight_elsewhere_is_no_twin)
{
    struct harvest h =
        good_log(HEAD DAY "1,corn,2,kg,\n" DAY "2,corn,2,kg,\n" DAY
                          "1,bean,2,kg,\n2027-09-02,1,corn,2,kg,\n" DAY "1,corn,2.1,kg,\n");
    cr_assert(h.n == 5);
}
