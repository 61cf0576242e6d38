/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>

#include "arena_suite.h"
#include "source.h"

TestSuite(diag, .init = set_up, .fini = tear_down);

static struct pos at(const char *text, size_t begin, size_t end)
{
    const struct source *src = NULL;
    CALL(source_text(arena, "g.yaml", text, strlen(text), &src));
    return (struct pos){src, begin, end};
}

static const char *shown(void)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    diags_render(diags, &b);
    return b.p;
}

Test(diag, shape)
{
    struct pos key = at("plots:\n  depth: 20\n", 9, 14);
    struct pos value = {key.src, 16, 18};
    diag_error(diags, value, "missing-unit", "`%s` needs a unit", "20");
    diag_note(diags, key, "this one");
    diag_warning(diags, (struct pos){0}, "far", "no place for %d", 7);
    diag_file(diags, "x.yaml", "cannot-read", "gone");
    cr_assert_str_eq(shown(), "g.yaml:2:10: error: `20` needs a unit [missing-unit]\n"
                              "  depth: 20\n"
                              "         ^~\n"
                              "g.yaml:2:3: note: this one\n"
                              "  depth: 20\n"
                              "  ^~~~~\n"
                              "warning: no place for 7 [far]\n"
                              "x.yaml: error: gone [cannot-read]\n");
    cr_assert(diags_errors(diags) == 2 && diags_warnings(diags) == 1 && diags_count(diags) == 4);
    cr_assert(diags_at(diags, 3) != NULL && diags_at(diags, 4) == NULL);
    cr_assert(diags_at(diags, 1)->severity == DIAG_NOTE);
    cr_assert_str_eq(diags_at(diags, 1)->check, "");
}

Test(diag, nothing)
{
    cr_assert_str_eq(shown(), "");
    cr_assert(diags_at(diags, 0) == NULL && diags_errors(diags) == 0);
    diag_note(diags, (struct pos){0}, "below nothing");
    cr_assert(diags_count(diags) == 0, "a note needs an owner");
    diags_free(NULL);
}

Test(diag, outlives_its_source)
{
    struct arena *short_lived = arena_new(ARENA_CAP_DEFAULT);
    const struct source *src = NULL;
    char text[] = "a: b\n", check[] = "check";
    CALL(source_text(short_lived, "n", text, 5, &src));
    diag_error(diags, (struct pos){src, 3, 4}, check, "%s", text);
    memset(text, 'z', 4);
    memset(check, 'z', 5);
    arena_free(short_lived);
    cr_assert_str_eq(shown(), "n:1:4: error: a: b\\x0a [check]\na: b\n   ^\n");
}

Test(diag, tabs_and_wide_characters_keep_the_caret_in_place)
{
    diag_error(diags, at("\ta\tbad", 3, 6), "x", "tabs");
    diag_error(diags, at("玉米: bad", 8, 11), "x", "wide");
    diag_error(diags, at("mai\u0308s: bad", 8, 11), "x", "combining");
    diag_error(diags, at("a: 玉米", 3, 9), "x", "wide below");
    cr_assert_str_eq(shown(), "g.yaml:1:4: error: tabs [x]\n\ta\tbad\n\t \t^~~\n"
                              "g.yaml:1:5: error: wide [x]\n玉米: bad\n      ^~~\n"
                              "g.yaml:1:8: error: combining [x]\nmai\u0308s: bad\n      ^~~\n"
                              "g.yaml:1:4: error: wide below [x]\na: 玉米\n   ^~~~\n");
}

Test(diag, nothing_of_the_input_steers_a_terminal)
{
    const struct source *src = NULL;
    static const char evil[] = "\x1b[2J\xC2\x9B"
                               "1m \xFF\xE2\x80\xAE: bad\x07\r";
    CALL(source_text(arena, "\x1b]0;x\x07.yaml", evil, sizeof evil - 1, &src));
    diag_error(diags, (struct pos){src, 15, 18}, "x\x1b", "found `%s`", evil);
    diag_note(diags, (struct pos){src, 0, 1}, "%s", "\x7f\n");
    for (const char *p = shown(); *p; p++)
        cr_assert((unsigned char)*p >= 0x20 || *p == '\n', "byte %02x got through", *p);
    cr_assert(strstr(shown(), "\xC2\x9B") == NULL && strstr(shown(), "\xE2\x80\xAE") == NULL);
    cr_assert(strchr(shown(), 0x7f) == NULL && strchr(shown(), 0xFF) == NULL);
    cr_assert(strstr(shown(), "\\x1b[2J\\u009b1m \\xff\\u202e: bad\\x07\\x0d") != NULL, "%s",
              shown());
    cr_assert(strstr(shown(), "\n\uFFFD[2J\uFFFD1m \uFFFD\uFFFD: bad\uFFFD\n"
                              "            ^~~\n") != NULL,
              "%s", shown());
}

Test(diag, long_lines_are_cut_around_the_caret)
{
    char text[5001];
    memset(text, 'a', 5000);
    text[5000] = '\0';
    memcpy(text + 2500, "bad", 3);
    diag_error(diags, at(text, 2500, 2503), "x", "middle");
    const struct diag *d = diags_at(diags, 0);
    cr_assert(d->col == 2501, "the column is that of the file");
    cr_assert(strlen(d->source_line) == 166, "%zu", strlen(d->source_line));
    cr_assert(strncmp(d->source_line, "...aaa", 6) == 0);
    cr_assert(strncmp(d->source_line + d->caret_at, "badaa", 5) == 0);
    cr_assert_str_eq(d->source_line + 163, "...");
    diag_error(diags, at(text, 0, 5000), "x", "all of it");
    d = diags_at(diags, 1);
    cr_assert(strlen(d->source_line) == 163 && d->caret_at == 0 && d->caret_width == 160);
    diag_error(diags, at(text, 4999, 5000), "x", "end");
    d = diags_at(diags, 2);
    cr_assert(d->source_line[d->caret_at] == 'a' && d->source_line[d->caret_at + 1] == '\0');
    for (size_t i = 0; i < 2500; i++) /* two bytes each */
        memcpy(text + 2 * i, "\xC3\xAF", 2);
    diag_error(diags, at(text, 2500, 2502), "x", "two bytes each");
    d = diags_at(diags, 3);
    cr_assert(utf8_invalid(d->source_line, strlen(d->source_line)) == strlen(d->source_line));
    cr_assert(utf8_count(d->source_line, strlen(d->source_line)) == 166);
}

Test(diag, places_at_the_borders)
{
    diag_error(diags, at("", 0, 0), "x", "empty");
    diag_error(diags, at("a\nb", 1, 2), "x", "line break");
    diag_error(diags, at("a\r\nb", 2, 3), "x", "half of a line break");
    diag_error(diags, at("a\nb", 3, 3), "x", "end");
    diag_error(diags, at("a\nb", 99, 120), "x", "beyond");
    diag_error(diags, at("a\nbc\nd", 2, 6), "x", "over two lines");
    diag_error(diags,
               at("\xEF\xBB\xBF"
                  "a",
                  0, 4),
               "x", "mark");
    cr_assert_str_eq(shown(), "g.yaml:1:1: error: empty [x]\n\n^\n"
                              "g.yaml:1:2: error: line break [x]\na\n ^\n"
                              "g.yaml:1:3: error: half of a line break [x]\na\n ^\n"
                              "g.yaml:2:2: error: end [x]\nb\n ^\n"
                              "g.yaml:2:2: error: beyond [x]\nb\n ^\n"
                              "g.yaml:2:1: error: over two lines [x]\nbc\n^~\n"
                              "g.yaml:1:1: error: mark [x]\na\n^\n");
}

Test(diag, all_are_counted_and_fifty_shown)
{
    struct pos p = at("a\n", 0, 1);
    for (int i = 0; i < 70; i++) {
        diag_warning(diags, p, "w", "warning %d", i);
        diag_note(diags, p, "of warning %d", i);
    }
    for (int i = 0; i < 51; i++)
        diag_error(diags, p, "e", "error %d", i);
    cr_assert(diags_errors(diags) == 51 && diags_warnings(diags) == 70);
    cr_assert(diags_count(diags) == 150 && diags_hidden(diags) == 21);
    cr_assert(strstr(shown(), "error 49") != NULL, "warnings do not push errors out");
    cr_assert(strstr(shown(), "error 50") == NULL);
    cr_assert(strstr(shown(), "warning 50") == NULL, "nor the note of one that is not shown");
    cr_assert(strstr(shown(), "\n... and 1 more error\n... and 20 more warnings\n") != NULL);
}

Test(diag, notes_are_bounded)
{
    diag_error(diags, (struct pos){0}, "e", "one");
    for (int i = 0; i < 1000; i++)
        diag_note(diags, (struct pos){0}, "note %d", i);
    cr_assert(diags_count(diags) == 1 + DIAG_NOTES_MAX);
    diag_error(diags, (struct pos){0}, "e", "two");
    diag_note(diags, (struct pos){0}, "again");
    cr_assert(diags_count(diags) == 3 + DIAG_NOTES_MAX);
}

Test(diag, long_texts_are_cut)
{
    char *huge = malloc(1000001);
    memset(huge, 'a', 1000000);
    huge[1000000] = '\0';
    for (int i = 0; i < 60; i++)
        diag_error(diags, (struct pos){0}, "e", "found `%s`", huge);
    const char *text = diags_at(diags, 0)->text;
    cr_assert(strlen(text) < 1100 && strcmp(text + strlen(text) - 4, "a...") == 0, "%zu",
              strlen(text));
    memcpy(huge + 1000, "\xE7\x8E\x89\xE7\x8E\x89\xE7\x8E\x89\xE7\x8E\x89", 12);
    diag_warning(diags, (struct pos){0}, "w", "123456789%s", huge);
    text = diags_at(diags, 50)->text;
    cr_assert(strstr(text, "\\x") == NULL, "cut between characters: %s", text + 1000);
    free(huge);
}
