/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "mip.h"

static struct mip fresh(void)
{
    struct mip mip;
    mip_init(&mip, arena_new(ARENA_CAP_DEFAULT));
    return mip;
}

static const char *lp_text(const struct mip *mip)
{
    struct strbuf b;
    strbuf_init(&b, mip->arena);
    mip_write_lp(mip, &b);
    cr_assert(!b.failed);
    return b.p;
}

Test(mip, entries_sorted_and_merged)
{
    struct mip m = fresh();
    int x = mip_column(&m, MIP_CONTINUOUS, 0, 1, 1, "x");
    int y = mip_column(&m, MIP_CONTINUOUS, 0, 1, 1, "y");
    int a = mip_row(&m, 0, 1, "a"), b = mip_row(&m, 0, 1, "b");
    mip_add(&m, b, y, 2);
    mip_add(&m, a, y, 3);
    mip_add(&m, b, x, 4);
    mip_add(&m, b, y, 0.5);
    mip_add(&m, a, x, 7);
    mip_add(&m, a, x, -7); /* cancels */
    CALL(mip_finish(&m));
    cr_assert(m.nentries == 3, "%d entries", m.nentries);
    cr_assert(m.entries[0].row == a && m.entries[0].column == y && m.entries[0].value == 3);
    cr_assert(m.entries[1].row == b && m.entries[1].column == x && m.entries[1].value == 4);
    cr_assert(m.entries[2].row == b && m.entries[2].column == y && m.entries[2].value == 2.5);
    CALL(mip_finish(&m));
    cr_assert(m.nentries == 3, "finishing twice changes nothing");
    arena_free(m.arena);
}

Test(mip, absent_rows_and_zeros_are_passed_over)
{
    struct mip m = fresh();
    int x = mip_column(&m, MIP_CONTINUOUS, 0, 1, 1, "x");
    int a = mip_row(&m, 0, 1, "a");
    mip_add(&m, -1, x, 2);
    mip_add(&m, a, -1, 2);
    mip_add(&m, a, x, 0);
    CALL(mip_finish(&m));
    cr_assert(m.nentries == 0 && !m.failed);
    arena_free(m.arena);
}

Test(mip, names_are_safe_in_lp_files)
{
    static const struct {
        const char *given, *made;
    } rows[] = {{"T", "T"},           {"flint corn", "flint_corn"}, {"1st", "_1st"},
                {"e1", "_e1"},        {"Early", "_Early"},          {"free", "_free"},
                {"ST", "_ST"},        {"n_P1A_3", "n_P1A_3"},       {"", "_"},
                {"x+y<=3", "x_y__3"}, {"K\xc3\xbcrbis", "K__rbis"}, {"integer", "_integer"}};
    struct mip m = fresh();
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int j = mip_column(&m, MIP_CONTINUOUS, 0, 1, 0, "%s", rows[i].given);
        cr_assert_str_eq(m.columns[j].name, rows[i].made, "row %zu: %s", i, m.columns[j].name);
    }
    char name[400];
    memset(name, 'a', sizeof name);
    name[sizeof name - 1] = '\0';
    int r = mip_row(&m, 0, 1, "%s", name);
    size_t kept = strlen(m.rows[r].name);
    cr_assert(kept > 100 && kept <= 200, "%zu bytes kept", kept);
    arena_free(m.arena);
}

/* What each makes of a sound program; the reason must speak of it. */
static void two_columns_of_a_name(struct mip *m)
{
    mip_column(m, MIP_CONTINUOUS, 0, 1, 0, "x");
}
static void two_rows_of_a_name(struct mip *m)
{
    mip_row(m, 0, 1, "a");
}
static void nan_entry(struct mip *m)
{
    mip_add(m, 0, 0, (double)NAN);
}
static void infinite_entry(struct mip *m)
{
    mip_add(m, 0, 0, (double)INFINITY);
}
static void entry_outside(struct mip *m)
{
    mip_add(m, 1, 0, 1);
}
static void entry_before(struct mip *m)
{
    mip_add(m, 0, -2, 1);
}
static void nan_bound(struct mip *m)
{
    mip_column(m, MIP_CONTINUOUS, (double)NAN, 1, 0, "z");
}
static void crossed_bounds(struct mip *m)
{
    mip_row(m, 2, 1, "z");
}
static void wrong_infinity(struct mip *m)
{
    mip_row(m, (double)INFINITY, (double)INFINITY, "z");
}
static void nan_objective(struct mip *m)
{
    mip_column(m, MIP_CONTINUOUS, 0, 1, (double)NAN, "z");
}
static void binary_of_two(struct mip *m)
{
    mip_column(m, MIP_BINARY, 0, 2, 0, "z");
}
static void sum_too_large(struct mip *m)
{
    mip_add(m, 0, 0, 1e21);
}

Test(mip, faults_are_refused)
{
    static const struct {
        void (*spoil)(struct mip *m);
        const char *word;
    } rows[] = {{two_columns_of_a_name, "name"}, {two_rows_of_a_name, "name"},
                {nan_entry, "coefficient"},      {infinite_entry, "coefficient"},
                {entry_outside, "not there"},    {entry_before, "not there"},
                {nan_bound, "not a number"},     {crossed_bounds, "above"},
                {wrong_infinity, "infinity"},    {nan_objective, "objective"},
                {binary_of_two, "binary"},       {sum_too_large, "too large"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct mip m = fresh();
        mip_column(&m, MIP_CONTINUOUS, 0, 1, 0, "x");
        mip_row(&m, 0, 1, "a");
        rows[i].spoil(&m);
        hr_status status = mip_finish(&m);
        cr_assert(status == HR_BUG && m.failed && !m.finished, "row %zu: %d", i, (int)status);
        cr_assert(strstr(m.failure, rows[i].word) != NULL, "row %zu: %s", i, m.failure);
        arena_free(m.arena);
    }
}

Test(mip, failure_is_sticky_and_the_first_reason_stays)
{
    struct mip m = fresh();
    int x = mip_column(&m, MIP_CONTINUOUS, 0, 1, 0, "x");
    mip_add(&m, 5, x, 1);
    mip_add(&m, 0, x, (double)NAN);
    cr_assert(mip_column(&m, MIP_CONTINUOUS, 0, 1, 0, "y") == -1);
    cr_assert(mip_row(&m, 0, 1, "a") == -1);
    cr_assert(mip_finish(&m) == HR_BUG);
    cr_assert(strstr(m.failure, "not there") != NULL, "%s", m.failure);
    arena_free(m.arena);
}

Test(mip, size_is_guarded)
{
    struct mip m = fresh();
    int x = mip_column(&m, MIP_CONTINUOUS, 0, 1, 0, "x");
    int a = mip_row(&m, 0, 1, "a");
    for (int i = 0; i < MIP_MAX; i++)
        mip_add(&m, a, x, 1);
    cr_assert(!m.failed && m.nentries == MIP_MAX);
    mip_add(&m, a, x, 1);
    cr_assert(m.failed && mip_finish(&m) == HR_BUG);
    arena_free(m.arena);
}

/* Every cap on the memory ends in HR_OK or HR_NOMEM. */
Test(mip, short_of_memory)
{
    bool done = false;
    int refused = 0;
    for (size_t cap = 1; !done; cap += 1 + cap / 8) {
        struct arena *arena = arena_new(cap);
        struct mip m;
        mip_init(&m, arena);
        for (int j = 0; j < 100; j++)
            mip_column(&m, MIP_CONTINUOUS, 0, 1, 0, "x%d", j);
        int a = mip_row(&m, 0, 1, "a");
        for (int j = 0; j < 100 && !m.failed; j++)
            mip_add(&m, a, j, 1);
        hr_status status = mip_finish(&m);
        cr_assert(status == HR_OK || status == HR_NOMEM, "cap %zu: %d", cap, (int)status);
        refused += status == HR_NOMEM;
        done = status == HR_OK;
        arena_free(arena);
    }
    cr_assert(refused > 5, "only %d caps were too small", refused);
}

Test(mip, lp_text)
{
    struct mip m = fresh();
    int n = mip_column(&m, MIP_INTEGER, 0, 7, 2.5, "n");
    int y = mip_column(&m, MIP_BINARY, 0, 1, -0.1, "y");
    int f = mip_column(&m, MIP_CONTINUOUS, -(double)INFINITY, (double)INFINITY, 0, "f");
    int t = mip_column(&m, MIP_CONTINUOUS, -(double)INFINITY, 4, 1, "t");
    mip_column(&m, MIP_CONTINUOUS, 1, (double)INFINITY, 0, "lone");
    int both = mip_row(&m, 1, 8, "both"), same = mip_row(&m, 3, 3, "same");
    int low = mip_row(&m, -2, (double)INFINITY, "low");
    mip_row(&m, -(double)INFINITY, 5, "bare");
    mip_row(&m, -(double)INFINITY, (double)INFINITY, "nothing");
    mip_add(&m, both, n, 1);
    mip_add(&m, both, y, -4);
    mip_add(&m, same, f, 1);
    mip_add(&m, same, n, 1.0 / 3);
    mip_add(&m, low, t, 1e-7);
    CALL(mip_finish(&m));
    cr_assert_str_eq(lp_text(&m), "\\ columns 5, rows 5, entries 5\n"
                                  "Maximize\n"
                                  " obj: + 2.5 n - 0.1 y + 1 t + 0 lone\n"
                                  "Subject To\n"
                                  " both.low: + 1 n - 4 y >= 1\n"
                                  " both.high: + 1 n - 4 y <= 8\n"
                                  " same: + 0.3333333333333333 n + 1 f = 3\n"
                                  " low: + 1e-07 t >= -2\n"
                                  " bare: + 0 n <= 5\n"
                                  "Bounds\n"
                                  " 0 <= n <= 7\n"
                                  " 0 <= y <= 1\n"
                                  " f free\n"
                                  " -inf <= t <= 4\n"
                                  " lone >= 1\n"
                                  "Generals\n"
                                  " n y\n"
                                  "End\n");
    arena_free(m.arena);
}

/* A program of 40 columns and a few rows, its entries added forwards or backwards. */
static struct mip order(bool backwards)
{
    struct mip m = fresh();
    for (int j = 0; j < 40; j++)
        mip_column(&m, MIP_INTEGER, 0, 9, j, "x%d", j);
    for (int i = 0; i < 6; i++)
        mip_row(&m, -(double)INFINITY, 100, "r%d", i);
    for (int k = 0; k < 600; k++) {
        int e = backwards ? 599 - k : k;
        mip_add(&m, e % 6, e * 7 % 40, 0.1 * (e + 1)); /* many double */
    }
    CALL(mip_finish(&m));
    return m;
}

Test(mip, lp_text_is_the_same_however_it_was_built)
{
    struct mip a = order(false), b = order(true);
    cr_assert_str_eq(lp_text(&a), lp_text(&b));
    const char *text = lp_text(&a);
    size_t longest = 0;
    for (const char *line = text; *line; line = strchr(line, '\n') + 1)
        if (strcspn(line, "\n") > longest)
            longest = strcspn(line, "\n");
    cr_assert(longest <= 80, "a line of %zu", longest);
    arena_free(a.arena);
    arena_free(b.arena);
}

Test(mip, breach_and_objective)
{
    struct mip m = fresh();
    int x = mip_column(&m, MIP_INTEGER, 0, 4, 3, "x");
    int y = mip_column(&m, MIP_CONTINUOUS, -1, (double)INFINITY, 0.5, "y");
    int a = mip_row(&m, -(double)INFINITY, 9, "a"), b = mip_row(&m, 1, 1, "b");
    mip_add(&m, a, x, 2);
    mip_add(&m, a, y, 1);
    mip_add(&m, b, y, 1);
    CALL(mip_finish(&m));
    const double good[2] = {4, 1}, part[2] = {3.75, 1}, over[2] = {4, 2}, below[2] = {-1, 1},
                 none[2] = {(double)NAN, 1}, huge[2] = {1, (double)INFINITY};
    cr_assert(mip_breach(&m, good) == 0);
    cr_assert(near(mip_objective(&m, good), 12.5, 1e-12));
    cr_assert(near(mip_breach(&m, part), 0.25, 1e-12), "a quarter from whole");
    cr_assert(near(mip_breach(&m, over), 0.5, 1e-12), "row b by 1 of 1 + 1, row a by 1 of 10");
    cr_assert(near(mip_breach(&m, below), 1, 1e-12), "below 0 by 1 of 1 + 0");
    cr_assert(isinf(mip_breach(&m, none)) && isinf(mip_breach(&m, huge)));
    arena_free(m.arena);
}
