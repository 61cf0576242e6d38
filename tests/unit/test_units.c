/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "units.h"

struct row {
    enum unit_kind kind;
    const char *text;
    double v;
};

static void check_rows(const struct row *rows, size_t n, double relative)
{
    for (size_t i = 0; i < n; i++) {
        double v = -1;
        size_t at = 0;
        enum unit_result what = unit_read(rows[i].kind, rows[i].text, &v, &at);
        cr_assert(what == UNIT_OK, "`%s`: result %d at %zu", rows[i].text, (int)what, at);
        cr_assert(near(v, rows[i].v, relative * fabs(rows[i].v)), "`%s` gave %.17g, not %.17g",
                  rows[i].text, v, rows[i].v);
    }
}

#define CHECK_ROWS(rows, relative) check_rows((rows), sizeof(rows) / sizeof *(rows), (relative))

/* International yard and pound agreement of 1959: 1 yd = 0.9144 m, 1 lb = 0.45359237 kg, exactly;
 * the rest follows: 3 ft, 36 in a yard, 16 oz a pound, 4840 sq yd an acre, 231 cubic inches a US
 * gallon (NIST Handbook 44, appendix C). */
Test(units, exact_definitions)
{
    static const double yd = 0.9144, lb = 0.45359237, ft = 0.9144 / 3, in = 0.9144 / 36;
    const struct row rows[] = {
        {UNIT_LENGTH, "1 yd", yd},
        {UNIT_LENGTH, "1 ft", ft},
        {UNIT_LENGTH, "1 in", in},
        {UNIT_LENGTH, "20 ft", 20 * ft},
        {UNIT_LENGTH, "12 ft 6 in", 12 * ft + 6 * in},
        {UNIT_MASS, "1 lb", lb},
        {UNIT_MASS, "1 oz", lb / 16},
        {UNIT_MASS, "3 lb 4 oz", 3 * lb + 4 * lb / 16},
        {UNIT_AREA, "1 sq ft", ft * ft},
        {UNIT_AREA, "1 acre", 4840 * yd * yd},
        {UNIT_VOLUME, "1 cu ft", ft * ft * ft},
        {UNIT_VOLUME, "1 cu yd", yd * yd * yd},
        {UNIT_VOLUME, "1 gal", 231 * in * in * in},
        {UNIT_PER_AREA, "1 /sq ft", 1 / (ft * ft)},
        {UNIT_PER_AREA, "1 /acre", 1 / (4840 * yd * yd)},
        {UNIT_YIELD, "1 lb/sq ft", lb / (ft * ft)},
        {UNIT_YIELD, "1 lb/100 sq ft", lb / (100 * ft * ft)},
        {UNIT_YIELD, "1 lb/acre", lb / (4840 * yd * yd)},
        {UNIT_SEEDS_PER_MASS, "1 /lb", 1 / lb},
        {UNIT_SEEDS_PER_MASS, "1 /oz", 16 / lb},
        {UNIT_HOURS_PER_AREA, "1 h/sq ft", 1 / (ft * ft)},
        {UNIT_HOURS_PER_AREA, "1 min/sq ft", 1 / (60 * ft * ft)},
        {UNIT_HOURS_PER_AREA, "1 h/100 sq ft", 1 / (100 * ft * ft)},
        {UNIT_HOURS_PER_MASS, "1 min/lb", 1 / (60 * lb)},
    };
    CHECK_ROWS(rows, 4e-16);
}

/* NIST Special Publication 811 (2008), appendix B.8, seven figures (from memory). */
Test(units, nist_sp_811)
{
    static const struct row rows[] = {
        {UNIT_MASS, "1 oz", 2.834952e-2},      {UNIT_VOLUME, "1 cu ft", 2.831685e-2},
        {UNIT_VOLUME, "1 cu yd", 7.645549e-1}, {UNIT_VOLUME, "1 gal", 3.785412e-3},
        {UNIT_AREA, "1 sq ft", 9.290304e-2},   {UNIT_YIELD, "1 lb/sq ft", 4.882428},
        {UNIT_ANGLE, "1 deg", 1.745329e-2},    {UNIT_AREA, "1 ha", 1e4},
        {UNIT_TEMPERATURE, "212 F", 100},      {UNIT_TEMPERATURE, "50 F", 10},
        {UNIT_TEMPERATURE, "-40 F", -40},
    };
    CHECK_ROWS(rows, 3e-7);
}

/* SI prefixes and plain arithmetic. Written decimals come out as that decimal's double. */
Test(units, metric_is_exact)
{
    static const struct row rows[] = {
        {UNIT_LENGTH, "35 cm", 0.35},
        {UNIT_LENGTH, "45cm", 0.45},
        {UNIT_LENGTH, "7 mm", 0.007},
        {UNIT_LENGTH, "1.5 m", 1.5},
        {UNIT_LENGTH, "-2 m", -2},
        {UNIT_LENGTH, "+2 m", 2},
        {UNIT_LENGTH, " 2  m ", 2},
        {UNIT_AREA, "40 m2", 40},
        {UNIT_MASS, "250 mg", 0.00025},
        {UNIT_MASS, "450 g", 0.45},
        {UNIT_MASS, "40 kg", 40},
        {UNIT_MASS, "1.5 t", 1500},
        {UNIT_VOLUME, "500 l", 0.5},
        {UNIT_VOLUME, "500 L", 0.5},
        {UNIT_VOLUME, "0.5 m3", 0.5},
        {UNIT_SHARE, "50 %", 0.5},
        {UNIT_SHARE, "7%", 0.07},
        {UNIT_TEMPERATURE, "-5 C", -5},
        {UNIT_HOURS, "30 min", 0.5},
        {UNIT_HOURS, "2 h", 2},
        {UNIT_HOURS, "1 h 15 min", 1.25},
        {UNIT_HOURS, "3 hours", 3},
        {UNIT_DAYS, "2 weeks", 14},
        {UNIT_DAYS, "1 month", 30.4375},
        {UNIT_DAYS, "90 days", 90},
        {UNIT_DAYS, "-3 d", -3},
        {UNIT_COUNT, "200 seeds", 200},
        {UNIT_COUNT, "1 plant", 1},
        {UNIT_PER_AREA, "4 /m2", 4},
        {UNIT_PER_AREA, "4/m2", 4},
        {UNIT_PER_AREA, "70000 /ha", 7},
        {UNIT_YIELD, "0.5 kg/m2", 0.5},
        {UNIT_YIELD, "5 t/ha", 0.5},
        {UNIT_YIELD, "5000 kg/ha", 0.5},
        {UNIT_SEEDS_PER_MASS, "3000 /kg", 3000},
        {UNIT_SEEDS_PER_MASS, "3 /g", 3000},
        {UNIT_ENERGY, "365 kcal/100 g", 3650},
        {UNIT_ENERGY, "3650 kcal/kg", 3650},
        {UNIT_CONTENT, "9.4 g/100 g", 0.094},
        {UNIT_CONTENT, "23 mg/g", 0.023},
        {UNIT_CONTENT, "94 g/kg", 0.094},
        {UNIT_HOURS_PER_AREA, "6 min/m2", 0.1},
        {UNIT_HOURS_PER_AREA, "0.1 h/m2", 0.1},
        {UNIT_HOURS_PER_MASS, "6 min/kg", 0.1},
        {UNIT_HOURS_PER_MASS, "2 h/kg", 2},
        {UNIT_MINUTES_EACH, "3 min each", 0.05},
        {UNIT_MINUTES_EACH, "18 s each", 0.005},
        {UNIT_RATION_ENERGY, "2500 kcal/day", 2500},
        {UNIT_RATION_PROTEIN, "60 g/day", 0.06},
    };
    CHECK_ROWS(rows, 0);
}

Test(units, ways_of_writing)
{
    static const struct row rows[] = {
        {UNIT_LENGTH, "12' 6\"", 3.81},
        {UNIT_LENGTH, "12'6\"", 3.81},
        {UNIT_LENGTH, "12ft 6in", 3.81},
        {UNIT_LENGTH, "12ft6in", 3.81},
        {UNIT_LENGTH, "-12 ft 6 in", -3.81},
        {UNIT_LENGTH, "12 feet 6 inches", 3.81},
        {UNIT_LENGTH, "150 inch", 3.81},
        {UNIT_LENGTH, "1 1/2 in", 0.0381},
        {UNIT_LENGTH, "3/4 in", 0.01905},
        {UNIT_LENGTH, "1 ft 1 1/2 in", 0.3429},
        {UNIT_LENGTH, "2 1/2 ft", 0.762},
        {UNIT_MASS, "3lb 4oz", 1.4741752025},
        {UNIT_MASS, "2 lbs", 0.90718474},
        {UNIT_AREA, "100 sq_ft", 9.290304},
        {UNIT_AREA, "100 sqft", 9.290304},
        {UNIT_AREA, "2 acres", 8093.7128448},
        {UNIT_YIELD, "10 lb / 100 sq ft", 0.488242763638305},
        {UNIT_YIELD, "10 lb/100sqft", 0.488242763638305},
        {UNIT_AREA, "5 m\u00b2", 5},
        {UNIT_TEMPERATURE, "60 \u00b0F", 15.555555555555555},
        {UNIT_LENGTH, "1e1 m", 10},
    };
    CHECK_ROWS(rows, 4e-15);
}

Test(units, what_is_refused_and_where)
{
    static const struct {
        enum unit_kind kind;
        const char *text;
        enum unit_result what;
        size_t at;
    } rows[] = {
        {UNIT_LENGTH, "", UNIT_NOT_A_NUMBER, 0},
        {UNIT_LENGTH, "ft", UNIT_NOT_A_NUMBER, 0},
        {UNIT_LENGTH, "  ft", UNIT_NOT_A_NUMBER, 2},
        {UNIT_LENGTH, ".5 ft", UNIT_NOT_A_NUMBER, 0},
        {UNIT_LENGTH, "- 5 ft", UNIT_NOT_A_NUMBER, 0},
        {UNIT_LENGTH, "nan ft", UNIT_NOT_A_NUMBER, 0},
        {UNIT_LENGTH, "inf ft", UNIT_NOT_A_NUMBER, 0},
        {UNIT_LENGTH, "1e999 ft", UNIT_NOT_A_NUMBER, 0},
        {UNIT_MASS, "1e308 t", UNIT_NOT_A_NUMBER, 0},
        {UNIT_LENGTH, "20", UNIT_MISSING, 2},
        {UNIT_LENGTH, "20 ", UNIT_MISSING, 2},
        {UNIT_LENGTH, "1/2", UNIT_MISSING, 3},
        {UNIT_LENGTH, "12 ft 6", UNIT_MISSING, 7},
        {UNIT_SHARE, "50", UNIT_MISSING, 2},
        {UNIT_LENGTH, "1,5 m", UNIT_UNKNOWN, 1},
        {UNIT_LENGTH, "20 kg", UNIT_UNKNOWN, 3},
        {UNIT_LENGTH, "20ftx", UNIT_UNKNOWN, 2},
        {UNIT_LENGTH, "20 ft x", UNIT_UNKNOWN, 6},
        {UNIT_LENGTH, "20 FT", UNIT_UNKNOWN, 3},
        {UNIT_LENGTH, "1 0 ft", UNIT_UNKNOWN, 2},
        {UNIT_LENGTH, "1/0 in", UNIT_UNKNOWN, 1},
        {UNIT_LENGTH, "1 /2 in", UNIT_UNKNOWN, 2},
        {UNIT_LENGTH, "1.5 1/2 in", UNIT_UNKNOWN, 4},
        {UNIT_LENGTH, "6 in 12 ft", UNIT_UNKNOWN, 5},
        {UNIT_LENGTH, "12 ft 6 cm", UNIT_UNKNOWN, 8},
        {UNIT_LENGTH, "12 ft -6 in", UNIT_UNKNOWN, 6},
        {UNIT_LENGTH, "12 ft 6 in 3 in", UNIT_UNKNOWN, 8},
        {UNIT_LENGTH, "12 ft 6 ft", UNIT_UNKNOWN, 8},
        {UNIT_LENGTH, "1 m 20 cm", UNIT_UNKNOWN, 4},
        {UNIT_LENGTH, "0x10 m", UNIT_UNKNOWN, 1},
        {UNIT_LENGTH, "20 m2", UNIT_UNKNOWN, 3},
        {UNIT_LENGTH, "20 m 2", UNIT_UNKNOWN, 5},
        {UNIT_AREA, "20 m 2", UNIT_UNKNOWN, 3},
        {UNIT_SHARE, "50 percent", UNIT_UNKNOWN, 3},
        {UNIT_YIELD, "10 lb/100", UNIT_UNKNOWN, 3},
        {UNIT_PER_AREA, "4 m2", UNIT_UNKNOWN, 2},
        {UNIT_MASS, "3 lb 4 g", UNIT_UNKNOWN, 7},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double v = 77;
        size_t at = 99;
        enum unit_result what = unit_read(rows[i].kind, rows[i].text, &v, &at);
        cr_assert(what == rows[i].what && at == rows[i].at, "`%s`: result %d at %zu", rows[i].text,
                  (int)what, at);
        cr_assert(v == 77, "`%s` changed the result", rows[i].text);
        cr_assert(unit_read(rows[i].kind, rows[i].text, &v, NULL) == rows[i].what);
    }
}

/* What messages offer must be accepted: each example, and each name listed. */
Test(units, words_of_every_kind_hold)
{
    for (int k = 0; k < UNIT_KIND_COUNT; k++) {
        enum unit_kind kind = (enum unit_kind)k;
        const char *p = unit_kind_example(kind);
        size_t found = 0;
        double v;
        char text[64];
        cr_assert(strstr(p, " such as `") != NULL, "%s", p);
        while ((p = strchr(p, '`')) != NULL) {
            size_t n = strcspn(p + 1, "`");
            snprintf(text, sizeof text, "%.*s", (int)n, p + 1);
            cr_assert(unit_read(kind, text, &v, NULL) == UNIT_OK, "example `%s`", text);
            p += n + 2;
            found++;
        }
        cr_assert(found > 0, "kind %d", k);
        for (p = unit_kind_names(kind); *p;) {
            size_t n = strcspn(p, ",");
            snprintf(text, sizeof text, "2 %.*s", (int)n, p);
            cr_assert(unit_read(kind, text, &v, NULL) == UNIT_OK, "name `%s`", text);
            p += n + strspn(p + n, ", ");
        }
    }
}

Test(units, plain_text_reads_back)
{
    static const double values[] = {0, 0.05, 0.35, 1, 2.5, 17, 1234.5};
    char buf[48];
    for (int k = 0; k < UNIT_KIND_COUNT; k++)
        for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
            double v = -1;
            enum unit_kind kind = (enum unit_kind)k;
            unit_plain(buf, sizeof buf, kind, values[i]);
            cr_assert(unit_read(kind, buf, &v, NULL) == UNIT_OK, "kind %d: `%s`", k, buf);
            cr_assert(near(v, values[i], 1e-11 * values[i]), "kind %d: `%s` is %.17g", k, buf, v);
        }
    cr_assert_str_eq(unit_plain(buf, sizeof buf, UNIT_LENGTH, 0.45), "0.45 m");
    cr_assert_str_eq(unit_plain(buf, sizeof buf, UNIT_SHARE, 0.35), "35 %");
    cr_assert_str_eq(unit_plain(buf, sizeof buf, UNIT_ANGLE, M_PI / 2), "90 deg");
}

Test(units, lengths_for_people)
{
    static const struct {
        double m;
        const char *us, *metric, *tape;
    } rows[] = {
        {0, "0 in", "0 cm", "0' 0\""},
        {0.0254, "1 in", "2.5 cm", "0' 1\""},
        {0.019, "0.75 in", "1.9 cm", "0' 0.5\""},
        {0.2286, "9 in", "23 cm", "0' 9\""},
        {0.1143, "4.5 in", "11 cm", "0' 4.5\""},
        {0.3048, "1 ft", "30 cm", "1' 0\""},
        {0.3047, "1 ft", "30 cm", "1' 0\""},
        {0.45, "1 ft 5.5 in", "45 cm", "1' 5.5\""},
        {0.9999, "3 ft 3.5 in", "1.00 m", "3' 3.5\""},
        {1.3716, "4 ft 6 in", "1.37 m", "4' 6\""},
        {3.81, "12 ft 6 in", "3.81 m", "12' 6\""},
        {3.8227, "12 ft 6.5 in", "3.82 m", "12' 6.5\""},
        {-0.762, "-2 ft 6 in", "-76 cm", "-2' 6\""},
        {-0.001, "0 in", "-0.1 cm", "0' 0\""},
        {30.48, "100 ft", "30.48 m", "100' 0\""},
    };
    char buf[48];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        cr_assert_str_eq(unit_length(buf, sizeof buf, rows[i].m, UNITS_US), rows[i].us);
        cr_assert_str_eq(unit_length(buf, sizeof buf, rows[i].m, UNITS_METRIC), rows[i].metric);
        cr_assert_str_eq(unit_tape(buf, sizeof buf, rows[i].m, UNITS_US), rows[i].tape);
    }
    cr_assert_str_eq(unit_tape(buf, sizeof buf, 3.81, UNITS_METRIC), "381 cm");
    cr_assert_str_eq(unit_tape(buf, sizeof buf, -0.001, UNITS_METRIC), "0 cm");
}

/* What unit_length writes for a gardener can be written into a garden file again, to the rounding.
 */
Test(units, lengths_read_back)
{
    char buf[48];
    for (double m = 0; m < 12; m += 0.0137) {
        double v;
        cr_assert(unit_read(UNIT_LENGTH, unit_length(buf, sizeof buf, m, UNITS_US), &v, NULL) ==
                      UNIT_OK,
                  "%s", buf);
        cr_assert(near(v, m, m < 0.3 ? 0.0032 : 0.0064), "%g m as %s", m, buf);
        cr_assert(unit_read(UNIT_LENGTH, unit_tape(buf, sizeof buf, m, UNITS_US), &v, NULL) ==
                      UNIT_OK,
                  "%s", buf);
        cr_assert(near(v, m, 0.0064), "%g m as %s", m, buf);
        cr_assert(unit_read(UNIT_LENGTH, unit_length(buf, sizeof buf, m, UNITS_METRIC), &v, NULL) ==
                      UNIT_OK,
                  "%s", buf);
        cr_assert(near(v, m, 0.0051), "%g m as %s", m, buf);
    }
}

Test(units, masses_and_areas_for_people)
{
    static const struct {
        double v;
        const char *us, *metric;
    } masses[] =
        {
            {0, "0 oz", "0 g"},
            {0.0005, "0 oz", "0.5 g"},
            {0.0283495, "1 oz", "28.3 g"},
            {0.34019428, "12 oz", "340 g"},
            {0.45359237, "1 lb", "454 g"},
            {0.44, "1 lb", "440 g"},
            {1.4741752, "3 lb 4 oz", "1.47 kg"},
            {4.53592, "10 lb", "4.54 kg"},
            {12.345, "27.2 lb", "12.3 kg"},
            {100, "220 lb", "100 kg"},
            {12345, "27,216 lb", "12,345 kg"},
            {-1.4741752, "-3 lb 4 oz", "-1.47 kg"},
        },
      areas[] = {
          {0, "0 sq ft", "0 m2"},
          {0.5, "5.38 sq ft", "0.5 m2"},
          {46.45152, "500 sq ft", "46.5 m2"},
          {1000, "10,764 sq ft", "1,000 m2"},
          {4046.8564224, "1 acre", "4,047 m2"},
          {20000, "4.94 acre", "2 ha"},
      };
    char buf[48];
    for (size_t i = 0; i < sizeof masses / sizeof *masses; i++) {
        cr_assert_str_eq(unit_mass(buf, sizeof buf, masses[i].v, UNITS_US), masses[i].us);
        cr_assert_str_eq(unit_mass(buf, sizeof buf, masses[i].v, UNITS_METRIC), masses[i].metric);
    }
    for (size_t i = 0; i < sizeof areas / sizeof *areas; i++) {
        cr_assert_str_eq(unit_area(buf, sizeof buf, areas[i].v, UNITS_US), areas[i].us);
        cr_assert_str_eq(unit_area(buf, sizeof buf, areas[i].v, UNITS_METRIC), areas[i].metric);
    }
}

Test(units, absurd_values_stay_in_their_buffer)
{
    static const double values[] = {1e300,  -1e300,   1e9,       -1e18,
                                    5e-324, HUGE_VAL, -HUGE_VAL, (double)NAN};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        for (int sys = UNITS_US; sys <= UNITS_METRIC; sys++) {
            char buf[48];
            enum unit_system system = (enum unit_system)sys;
            cr_assert(strlen(unit_length(buf, sizeof buf, values[i], system)) < 40, "%s", buf);
            cr_assert(strlen(unit_tape(buf, sizeof buf, values[i], system)) < 40, "%s", buf);
            cr_assert(strlen(unit_mass(buf, sizeof buf, values[i], system)) < 40, "%s", buf);
            cr_assert(strlen(unit_area(buf, sizeof buf, values[i], system)) < 40, "%s", buf);
            cr_assert(strlen(unit_plain(buf, sizeof buf, UNIT_SHARE, values[i])) < 40, "%s", buf);
        }
}

Test(units, dates_read)
{
    static const struct {
        const char *text;
        struct date d;
    } rows[] = {
        {"2027-05-01", {2027, 5, 1}},  {"0001-01-01", {1, 1, 1}},    {"2028-02-29", {2028, 2, 29}},
        {"2000-02-29", {2000, 2, 29}}, {"May 1", {0, 5, 1}},         {"1 May", {0, 5, 1}},
        {"  may  01 ", {0, 5, 1}},     {"September 30", {0, 9, 30}}, {"30 sep", {0, 9, 30}},
        {"Feb 29", {0, 2, 29}},        {"DEC 31", {0, 12, 31}},      {"31 January", {0, 1, 31}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct date d = {9, 9, 9};
        cr_assert(date_read(rows[i].text, &d, NULL), "`%s`", rows[i].text);
        cr_assert(d.year == rows[i].d.year && d.month == rows[i].d.month && d.day == rows[i].d.day,
                  "`%s` is %d-%d-%d", rows[i].text, d.year, d.month, d.day);
    }
}

Test(units, dates_refused_and_where)
{
    static const struct {
        const char *text;
        size_t at;
    } rows[] = {
        {"", 0},
        {"May", 3},
        {"1", 1},
        {"May 32", 0},
        {"Mai 1", 0},
        {"May1", 3},
        {"1May", 1},
        {"May 1 2027", 6},
        {"May May", 4},
        {"1 1", 2},
        {"2027-5-1", 5},
        {"2027-13-01", 0},
        {"2027-02-29", 0},
        {"1900-02-29", 0},
        {"Feb 30", 0},
        {"0000-05-01", 4},
        {"2027/05/01", 4},
        {"2027-05-01x", 10},
        {"20270501", 0},
        {"2027-05", 7},
        {"May 0", 5},
        {"April 31", 0},
        {"May -1", 4},
        {"2027-05-00", 10},
        {"12345-01-01", 0},
        {"Marc 1", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct date d = {9, 9, 9};
        size_t at = 99;
        cr_assert(!date_read(rows[i].text, &d, &at), "`%s` was read", rows[i].text);
        cr_assert(at == rows[i].at, "`%s`: at %zu", rows[i].text, at);
        cr_assert(d.year == 9, "`%s` changed the result", rows[i].text);
    }
}

/* Day numbers of a common year: FAO Irrigation and Drainage Paper 56, annex 2, table 2.5 (from
 * memory: 1 May 121, 1 September 244, 31 December 365). */
Test(units, day_of_year)
{
    char buf[32];
    cr_assert(date_day((struct date){0, 1, 1}) == 1);
    cr_assert(date_day((struct date){0, 5, 1}) == 121);
    cr_assert(date_day((struct date){2028, 9, 1}) == 244, "the planner's year has 365 days");
    cr_assert(date_day((struct date){0, 12, 31}) == 365);
    cr_assert(date_day((struct date){2028, 2, 29}) == 59);
    cr_assert_str_eq(date_text(buf, sizeof buf, 121), "May 1");
    cr_assert_str_eq(date_text(buf, sizeof buf, 366), "January 1");
    cr_assert_str_eq(date_text(buf, sizeof buf, 0), "December 31");
    cr_assert_str_eq(date_text(buf, sizeof buf, -364), "January 1");
    cr_assert(strlen(date_text(buf, sizeof buf, -2147483647 - 1)) > 4);
    for (int day = 1; day <= 365; day++) {
        struct date d;
        cr_assert(date_read(date_text(buf, sizeof buf, day), &d, NULL), "%s", buf);
        cr_assert(date_day(d) == day, "%s", buf);
    }
}

Test(units, the_nearest_point_of_the_compass)
{
    const double deg = M_PI / 180;
    cr_assert_str_eq(unit_compass(0), "N");
    cr_assert_str_eq(unit_compass(11 * deg), "N");
    cr_assert_str_eq(unit_compass(12 * deg), "NNE");
    cr_assert_str_eq(unit_compass(180 * deg), "S");
    cr_assert_str_eq(unit_compass(359 * deg), "N");
    cr_assert_str_eq(unit_compass(-45 * deg), "NW");
    cr_assert_str_eq(unit_compass(-359 * deg), "N");
}

/* `[6 in|15 cm]` is the one or the other; what is no such pair stays as it is. */
Test(units, words_in_either_unit)
{
    static const struct {
        const char *text, *us, *metric, *both;
    } words[] = {
        {"", "", "", ""},
        {"a [6 in|15 cm] hole", "a 6 in hole", "a 15 cm hole", "a 6 in / 15 cm hole"},
        {"[1 F|2 C], [3 F|4 C]", "1 F, 3 F", "2 C, 4 C", "1 F / 2 C, 3 F / 4 C"},
        {"[no bar] and [no end|", "[no bar] and [no end|", "[no bar] and [no end|",
         "[no bar] and [no end|"},
        {"[[a|b]", "[a", "b", "[a / b"},
    };
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        cr_expect_str_eq(unit_words(arena, words[i].text, UNITS_US), words[i].us);
        cr_expect_str_eq(unit_words(arena, words[i].text, UNITS_METRIC), words[i].metric);
        cr_expect_str_eq(unit_words_both(arena, words[i].text), words[i].both);
    }
    arena_free(arena);
}
