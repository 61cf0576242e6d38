/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "source.h"

static struct arena *arena;
static struct diags *diags;
static char dir[] = "/tmp/source-test-XXXXXX";
static char path[64];

static void set_up(void)
{
    arena = arena_new(ARENA_CAP_DEFAULT);
    diags = diags_new();
    cr_assert(mkdtemp(dir) != NULL);
    snprintf(path, sizeof path, "%s/f", dir);
}

static void tear_down(void)
{
    arena_free(arena);
    diags_free(diags);
    unlink(path);
    rmdir(dir);
}

TestSuite(source, .init = set_up, .fini = tear_down);

static void write_file(const char *p, size_t n)
{
    FILE *file = fopen(path, "wb");
    cr_assert(file && fwrite(p, 1, n, file) == n && fclose(file) == 0);
}

Test(source, reads_all_bytes)
{
    const struct source *src = NULL;
    write_file("a: 1\nb\0c\n", 9);
    CALL(source_read(arena, path, diags, &src));
    cr_assert(src->n == 9 && memcmp(src->p, "a: 1\nb\0c\n", 10) == 0, "and a NUL behind them");
    cr_assert_str_eq(src->name, path);
    cr_assert(src->lines == 3 && src->line[0] == 0 && src->line[1] == 5 && src->line[2] == 9);
    cr_assert(diags_errors(diags) == 0);
}

Test(source, empty_file)
{
    const struct source *src = NULL;
    write_file("", 0);
    CALL(source_read(arena, path, diags, &src));
    cr_assert(src->n == 0 && src->lines == 1 && src->p[0] == '\0');
}

static void refused(const char *name, hr_status status, const char *check)
{
    const struct source *src = (const struct source *)&dir;
    hr_status got = source_read(arena, name, diags, &src);
    cr_assert(got == status, "`%s`: status %d", name, (int)got);
    cr_assert(src == (const struct source *)&dir, "the result changed");
    cr_assert(diags_errors(diags) == 1);
    const struct diag *d = diags_at(diags, 0);
    cr_assert_str_eq(d->check, check);
    cr_assert_str_eq(d->file, name);
    cr_assert(d->line == 0 && d->col == 0);
}

Test(source, missing_file)
{
    refused(path, HR_IO, "cannot-read");
}

Test(source, no_path)
{
    refused("", HR_IO, "cannot-read");
}

Test(source, folder)
{
    refused(dir, HR_IO, "not-a-file");
}

Test(source, device)
{
    refused("/dev/zero", HR_IO, "not-a-file");
}

Test(source, pipe_is_not_waited_for)
{
    cr_assert(mkfifo(path, 0600) == 0);
    refused(path, HR_IO, "not-a-file");
}

Test(source, unreadable_file)
{
    write_file("a", 1);
    if (chmod(path, 0) != 0 || access(path, R_OK) == 0)
        cr_skip_test("this user may read everything");
    refused(path, HR_IO, "cannot-read");
}

Test(source, too_large)
{
    write_file("", 0);
    cr_assert(truncate(path, (off_t)SOURCE_MAX_BYTES + 1) == 0);
    size_t before = arena_used(arena);
    refused(path, HR_INPUT, "too-large");
    cr_assert(arena_used(arena) == before, "nothing of it is kept");
}

Test(source, largest)
{
    const struct source *src = NULL;
    write_file("", 0);
    cr_assert(truncate(path, (off_t)SOURCE_MAX_BYTES) == 0);
    CALL(source_read(arena, path, diags, &src));
    cr_assert(src->n == SOURCE_MAX_BYTES);
}

/* Files of /proc say that they are empty and are not: the size is counted while reading. */
Test(source, size_is_counted_while_reading)
{
    const struct source *src = NULL;
    struct stat st;
    if (stat("/proc/self/maps", &st) != 0 || st.st_size != 0)
        cr_skip_test("no /proc here");
    CALL(source_read(arena, "/proc/self/maps", diags, &src));
    cr_assert(src->n > 100 && src->lines > 3, "%zu bytes", src->n);
}

Test(source, error_while_reading)
{
    if (access("/proc/self/mem", R_OK) != 0)
        cr_skip_test("no /proc here");
    refused("/proc/self/mem", HR_IO, "cannot-read"); /* nothing is mapped at 0 */
}

Test(source, lines_end_in_three_ways)
{
    static const char text[] = "a\nb\r\nc\rd\n\r\ne";
    const struct source *src = NULL;
    static const struct {
        size_t offset, line, col;
    } rows[] = {{0, 1, 1}, {1, 1, 2}, {2, 2, 1},  {3, 2, 2},  {4, 2, 3},  {5, 3, 1},
                {7, 4, 1}, {9, 5, 1}, {11, 6, 1}, {12, 6, 2}, {999, 6, 2}};
    CALL(source_text(arena, "x", text, sizeof text - 1, &src));
    cr_assert(src->lines == 6, "%zu lines", src->lines);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t line, col;
        source_line_col(src, rows[i].offset, &line, &col);
        cr_assert(line == rows[i].line && col == rows[i].col, "offset %zu is %zu:%zu",
                  rows[i].offset, line, col);
    }
}

Test(source, columns_are_code_points)
{
    static const char text[] = "\xEF\xBB\xBFma\xC3\xAFs: 1\n\xE7\x8E\x89 x\n\xFF\xFE x";
    const struct source *src = NULL;
    size_t line, col;
    CALL(source_text(arena, "x", text, sizeof text - 1, &src));
    source_line_col(src, 0, &line, &col);
    cr_assert(line == 1 && col == 1, "the byte order mark is no column");
    source_line_col(src, 3, &line, &col);
    cr_assert(line == 1 && col == 1);
    source_line_col(src, 8, &line, &col);
    cr_assert(line == 1 && col == 5, "%zu:%zu", line, col);
    source_line_col(src, 12, &line, &col);
    cr_assert(line == 2 && col == 1, "%zu:%zu", line, col);
    source_line_col(src, 16, &line, &col);
    cr_assert(line == 2 && col == 3, "%zu:%zu", line, col);
    source_line_col(src, 21, &line, &col);
    cr_assert(line == 3 && col == 4, "%zu:%zu", line, col);
}

Test(source, text_is_copied)
{
    char text[] = "a: 1\n", name[] = "n";
    const struct source *src = NULL;
    CALL(source_text(arena, name, text, 5, &src));
    memset(text, 'x', 5);
    name[0] = 'x';
    cr_assert_str_eq(src->p, "a: 1\n");
    cr_assert_str_eq(src->name, "n");
}

/* Every cap from nothing up: HR_NOMEM or all of it. */
Test(source, any_cap)
{
    const struct source *src = NULL;
    hr_status status = HR_NOMEM;
    size_t cap = 0;
    write_file("a: 1\nb: 2\n", 10);
    for (; cap < 4096 && status != HR_OK; cap += 16) {
        struct arena *small = arena_new(cap);
        status = source_read(small, path, diags, &src);
        cr_assert(status == HR_OK || status == HR_NOMEM, "cap %zu: status %d", cap, (int)status);
        arena_free(small);
    }
    cr_assert(status == HR_OK && cap > 64);
}
