/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdlib.h>
#include <time.h>

#include "arena_suite.h"
#include "tree.h"

static const struct source *src;
static struct node *root;

TestSuite(tree, .init = set_up, .fini = tear_down);

static hr_status read_bytes(const char *p, size_t n)
{
    diags_free(diags);
    diags = diags_new();
    root = NULL;
    CALL(source_text(arena, "g.yaml", p, n, &src));
    return tree_read(arena, src, diags, &root);
}

static hr_status read_text(const char *text)
{
    return read_bytes(text, strlen(text));
}

static const char *stretch(const struct node *node)
{
    return arena_strndup(arena, src->p + node->at.begin, node->at.end - node->at.begin);
}

static void is_scalar(const struct node *node, const char *text, bool quoted, size_t begin)
{
    cr_assert(node && node->kind == NODE_SCALAR, "no scalar `%s`", text);
    cr_assert_str_eq(node->as.scalar.text, text);
    cr_assert(node->as.scalar.quoted == quoted, "`%s`", text);
    cr_assert(node->at.begin == begin && node->at.src == src, "`%s` is at %zu", text,
              node->at.begin);
}

Test(tree, maps_lists_and_positions)
{
    cr_assert(read_text("# a plot\nname: maïs bed\nsize: '20 ft x 25 ft'\nedges:\n"
                        "  - {side: 1, kind: path}\n  - [a, \"b\"]\nnone:\n") == HR_OK,
              "%s", diags_words(diags));
    cr_assert(diags_errors(diags) == 0);
    cr_assert(root->kind == NODE_MAP && root->as.map.n == 4 && root->at.begin == 9);
    is_scalar(root->as.map.items[0].key, "name", false, 9);
    is_scalar(tree_find(root, "name"), "maïs bed", false, 15);
    is_scalar(tree_find(root, "size"), "20 ft x 25 ft", true, 31);
    cr_assert_str_eq(stretch(tree_find(root, "size")), "'20 ft x 25 ft'");
    const struct node *edges = tree_find(root, "edges");
    cr_assert(edges->kind == NODE_LIST && edges->as.list.n == 2);
    cr_assert_str_eq(stretch(edges), "- {side: 1, kind: path}\n  - [a, \"b\"]");
    const struct node *edge = edges->as.list.items[0];
    cr_assert_str_eq(stretch(edge), "{side: 1, kind: path}");
    cr_assert_str_eq(stretch(tree_find(edge, "kind")), "path");
    cr_assert_str_eq(stretch(edges->as.list.items[1]), "[a, \"b\"]");
    size_t line, col;
    source_line_col(src, tree_find(edge, "kind")->at.begin, &line, &col);
    cr_assert(line == 5 && col == 21, "%zu:%zu", line, col);
    const struct node *none = tree_find(root, "none");
    cr_assert(none->kind == NODE_SCALAR && none->as.scalar.text[0] == '\0');
    cr_assert(none->at.begin == none->at.end);
    cr_assert(tree_find(root, "nam") == NULL && tree_find(none, "x") == NULL);
    cr_assert(tree_find(NULL, "x") == NULL && tree_find(edges, "side") == NULL);
}

Test(tree, texts_stay_texts)
{
    cr_assert(read_text("a: no\nb: 012\nc: 1:30\nd: ~\ne: |\n  two\n  lines\nf: \"\\u00e9\"\n"
                        "g: 12' 6\"\nh: >-\n  folded\n  text\n") == HR_OK,
              "%s", diags_words(diags));
    is_scalar(tree_find(root, "a"), "no", false, 3);
    is_scalar(tree_find(root, "b"), "012", false, 9);
    is_scalar(tree_find(root, "c"), "1:30", false, 16);
    is_scalar(tree_find(root, "d"), "~", false, 24);
    is_scalar(tree_find(root, "e"), "two\nlines\n", true, 29);
    cr_assert_str_eq(tree_find(root, "f")->as.scalar.text, "é");
    cr_assert_str_eq(tree_find(root, "g")->as.scalar.text, "12' 6\"");
    cr_assert_str_eq(tree_find(root, "h")->as.scalar.text, "folded text");
}

Test(tree, roots_of_other_kinds)
{
    cr_assert(read_text("- a\n- b\n") == HR_OK && root->kind == NODE_LIST);
    cr_assert(read_text("text\n") == HR_OK && root->kind == NODE_SCALAR);
    cr_assert(read_text("\"\"\n") == HR_OK && root->as.scalar.quoted);
    cr_assert(read_text("{}\n") == HR_OK && root->kind == NODE_MAP && root->as.map.n == 0);
    cr_assert(read_text("[]") == HR_OK && root->kind == NODE_LIST && root->as.list.n == 0);
}

Test(tree, byte_order_mark_and_line_ends)
{
    cr_assert(read_text("\xEF\xBB\xBF"
                        "a: 1\r\nb: x\r\n") == HR_OK,
              "%s", diags_words(diags));
    is_scalar(root->as.map.items[0].key, "a", false, 3);
    is_scalar(tree_find(root, "b"), "x", false, 12);
    cr_assert(read_text("\xEF\xBB\xBF"
                        "a: 1\nb: [\n") == HR_INPUT);
    expect_diag(diags, 2, 4, "yaml-syntax");
}

Test(tree, blank_lines_and_comments_may_hold_tabs)
{
    cr_assert(read_text("\t\na: 1\n\t\n \t# note\nb: 2\n\t") == HR_OK, "%s", diags_words(diags));
    is_scalar(tree_find(root, "b"), "2", false, 21);
    cr_assert(read_text("a: 1\t# note\nb:\t2\n") == HR_OK, "%s", diags_words(diags));
    cr_assert(src->p[0] == 'a' && strchr(src->p, '\t') != NULL, "the source is as it was");
}

Test(tree, what_may_follow_the_end)
{
    cr_assert(read_text("a: 1\n...\n# end\n...\n\n") == HR_OK, "%s", diags_words(diags));
    cr_assert(read_text("---\na: 1\n...") == HR_OK, "%s", diags_words(diags));
}

Test(tree, faults_and_where)
{
    static const struct {
        const char *text;
        size_t line, col;
        const char *check;
    } rows[] = {
        {"", 1, 1, "empty-file"},
        {"\n\n  \n", 1, 1, "empty-file"},
        {"# only this\n", 1, 1, "empty-file"},
        {"---\n", 1, 1, "empty-file"},
        {"--- # x\n...\n", 1, 1, "empty-file"},
        /* indentation */
        {"plots:\n\t- name: x\n", 2, 1, "tab-indent"},
        {"a:\n  b: 1\n\tc: 2\n", 3, 1, "tab-indent"},
        {"a: 1\n \tb: 2\n", 2, 2, "tab-indent"},
        {"\ta: 1\n", 1, 1, "tab-indent"},
        {"a: |\n  x\n\ty: 1\n", 3, 1, "tab-indent"},
        {"a: 1\n  b: 2\n", 2, 4, "yaml-syntax"},
        {"a:\n  b: 1\n c: 2\n", 3, 2, "yaml-syntax"},
        {"  a: 1\nb: 2\n", 2, 1, "yaml-syntax"},
        {"a:\n  - x\n - y\n", 3, 2, "yaml-syntax"},
        {"- a\nb: 1\n", 2, 1, "yaml-syntax"},
        {"a: 1\n- b\n", 2, 1, "yaml-syntax"},
        {"a: - x\n", 1, 4, "yaml-syntax"},
        /* colons, quotes, brackets */
        {"a: b: c\n", 1, 5, "yaml-syntax"},
        {"a: 1\nb\nc: 2\n", 2, 1, "yaml-syntax"},
        {"a: [1, 2\nb: 3\n", 1, 4, "yaml-syntax"},
        {"a: {x: 1\nb: 3\n", 1, 4, "yaml-syntax"},
        {"a: ]\n", 1, 4, "yaml-syntax"},
        {"a: 1\nb: \"open\nc: 3\n", 2, 4, "yaml-syntax"},
        {"a: 'open\n", 1, 4, "yaml-syntax"},
        {"a: 'don't'\n", 1, 9, "yaml-syntax"},
        {"- 'x' y\n", 1, 7, "yaml-syntax"},
        {"a: @x\n", 1, 4, "yaml-syntax"},
        {"a: \"\\q\"\n", 1, 5, "yaml-syntax"},
        {"a: \"\\xZZ\"\n", 1, 7, "yaml-syntax"},
        {"a: \"\\ud800\"\n", 1, 7, "yaml-syntax"},
        {"a: |x\n  b\n", 1, 5, "yaml-syntax"},
        {"a: 1\nb: \x1b[2J\n", 2, 4, "yaml-syntax"},
        {"%YAML 1.2\n---\na: 1\n", 1, 1, "yaml-syntax"},
        {"a: 1\n%x\n", 2, 1, "yaml-syntax"},
        {"a: [1, {b: 2}\n\n# end\n", 1, 4, "yaml-syntax"},
        {"a: [", 1, 4, "yaml-syntax"},
        {"a: {b: [1],\n", 1, 4, "yaml-syntax"},
        {"a: {b: [1,\n", 1, 8, "yaml-syntax"},
        {"ï: [ï,,\n", 1, 7, "yaml-syntax"},
        /* what YAML has and garden files do not */
        {"a: &x 1\n", 1, 4, "alias"},
        {"a: &x [1]\n", 1, 4, "alias"},
        {"a: &x {b: 1}\n", 1, 4, "alias"},
        {"a: 1\nb: *a\n", 2, 4, "alias"},
        {"a: & x\n", 1, 4, "alias"},
        {"a: !x 1\n", 1, 4, "tag"},
        {"a: !!str 1\n", 1, 4, "tag"},
        {"a: ! 1\n", 1, 4, "tag"},
        {"a: !x [1]\n", 1, 4, "tag"},
        {"a: !!map {b: 1}\n", 1, 4, "tag"},
        {"a: !u!x 1\n", 1, 4, "tag"},
        {"a: !<x 1\n", 1, 4, "tag"},
        {"a: 1\n---\nb: 2\n", 2, 1, "second-document"},
        {"a: 1\n...\nb: 2\n", 3, 1, "second-document"},
        {"a: 1\n...\n%TAG ! x\n---\n", 3, 1, "second-document"},
        {"? [a]\n: b\n", 1, 3, "key-not-text"},
        {"[a]: b\n", 1, 1, "key-not-text"},
        {"x:\n  {a: 1}: b\n", 2, 3, "key-not-text"},
        {"a: \"x\\0y\"\n", 1, 4, "nul-byte"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        hr_status status = read_text(rows[i].text);
        cr_assert(status == HR_INPUT, "row %zu: status %d", i, (int)status);
        cr_assert(root == NULL, "row %zu: the result changed", i);
        cr_assert(diag_find(diags, rows[i].line, rows[i].col, rows[i].check) != NULL,
                  "row %zu: no [%s] at %zu:%zu; reported were:\n%s", i, rows[i].check, rows[i].line,
                  rows[i].col, diags_words(diags));
        cr_assert(diags_errors(diags) == 1, "row %zu:\n%s", i, diags_words(diags));
    }
}

/* Bytes that are no text. */
Test(tree, bytes_refused)
{
    static const struct {
        const char *p;
        size_t n, line, col;
        const char *check;
    } rows[] = {
        {"a: 1\nb: \0", 9, 2, 4, "nul-byte"},
        {"\0", 1, 1, 1, "nul-byte"},
        {"a: 1\nb: \xC3(\n", 11, 2, 4, "invalid-utf8"},
        {"a: \xFF\nb: \0", 9, 1, 4, "invalid-utf8"},
        {"a: \0\nb: \xFF", 9, 1, 4, "nul-byte"},
        {"\xED\xA0\x80", 3, 1, 1, "invalid-utf8"},
        {"\xFF\xFE"
         "a\0",
         4, 1, 1, "invalid-utf8"},
        {"\xFE\xFF\0a", 4, 1, 1, "invalid-utf8"},
        {"# ok\n# caf\xE9\n", 12, 2, 6, "invalid-utf8"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        cr_assert(read_bytes(rows[i].p, rows[i].n) == HR_INPUT, "row %zu", i);
        expect_diag(diags, rows[i].line, rows[i].col, rows[i].check);
        cr_assert(diags_errors(diags) == 1, "row %zu", i);
    }
    cr_assert(read_bytes("\xFF\xFE"
                         "a\0",
                         4) == HR_INPUT);
    cr_assert(strstr(diags_at(diags, 0)->text, "UTF-16") != NULL);
    cr_assert(read_bytes("%\xC3(: fine", 10) == HR_INPUT, "bytes before grammar");
    expect_diag(diags, 1, 2, "invalid-utf8");
}

/* Three bytes that hang another YAML library. */
Test(tree, quote_then_bad_byte)
{
    cr_assert(read_bytes("\x25\x22\xa6", 3) == HR_INPUT);
    expect_diag(diags, 1, 3, "invalid-utf8");
}

Test(tree, all_duplicate_keys_in_file_order)
{
    cr_assert(read_text("a: 1\nb: 2\na: 3\nc: {x: 1, y: 2, x: 3}\nb: 4\na: 5\n") == HR_INPUT);
    cr_assert(root == NULL && diags_errors(diags) == 4);
    static const struct {
        size_t line, col;
    } rows[] = {{4, 17}, {4, 5}, {3, 1}, {1, 1}, {5, 1}, {2, 1}, {6, 1}, {1, 1}};
    cr_assert(diags_count(diags) == 8, "%s", diags_words(diags));
    for (size_t i = 0; i < 8; i++) {
        const struct diag *d = diags_at(diags, i);
        cr_assert(d->line == rows[i].line && d->col == rows[i].col, "%zu is at %zu:%zu", i, d->line,
                  d->col);
        cr_assert_str_eq(d->check, i % 2 ? "" : "duplicate-key");
        if (i % 2)
            cr_assert_str_eq(d->text, "also defined here");
    }
    cr_assert(read_text("a: 1\n'a': 2\n") == HR_INPUT, "quotes make no other key");
    expect_diag(diags, 2, 1, "duplicate-key");
    cr_assert(read_text("a: 1\nA: 2\n\"\": 3\n") == HR_OK, "keys compare exactly");
    cr_assert(read_text("a: {x: 1}\nb: {x: 1}\n") == HR_OK);
    cr_assert(read_text("a: 1\na: 2\nb: [\n") == HR_INPUT);
    cr_assert(diag_find(diags, 0, 0, "yaml-syntax") != NULL);
}

Test(tree, depth)
{
    char text[200];
    size_t n = 0;
    for (size_t depth = TREE_MAX_DEPTH; depth <= TREE_MAX_DEPTH + 1; depth++) {
        memset(text, '[', depth);
        memset(text + depth, ']', depth);
        n = 2 * depth;
        hr_status status = read_bytes(text, n);
        cr_assert(status == (depth == TREE_MAX_DEPTH ? HR_OK : HR_INPUT), "depth %zu: %s", depth,
                  diags_words(diags));
    }
    expect_diag(diags, 1, TREE_MAX_DEPTH + 1, "too-deep");
}

static double seconds(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

/* n bytes of one text over and over, between two others. */
static char *repeated(const char *before, const char *text, size_t n, const char *after,
                      size_t *len)
{
    size_t k = strlen(text), at = strlen(before);
    char *p = malloc(at + n + strlen(after) + 1);
    memcpy(p, before, at);
    for (size_t i = 0; i + k <= n; i += k, at += k)
        memcpy(p + at, text, k);
    memcpy(p + at, after, strlen(after) + 1);
    *len = at + strlen(after);
    return p;
}

/* Nothing that a file may hold takes more than a few seconds, or more than a bounded memory. */
Test(tree, hostile_files_are_fast)
{
    static const struct {
        const char *before, *text;
        size_t n;
        const char *after, *check; /* NULL: is read */
    } rows[] = {
        {"", "[", 100000, "", "too-deep"},
        {"", "[\n", 100000, "", "too-deep"},
        {"", "{a: ", 400000, "", "too-deep"},
        {"", "- ", 200000, "", "too-deep"},
        {"", "? ", 200000, "", "key-not-text"},
        {"", "- a\n", 3000000, "", "too-many-nodes"},
        {"[", "a,", 3000000, "]", "too-many-nodes"},
        {"", "a: ", 3000000, "", "yaml-syntax"},
        {"", "k: v\n", 1000000, "", "duplicate-key"},
        {"", "%TAG !a! x\n", 2000000, "", "yaml-syntax"},
        {"a: 1\n...\n", "%TAG !a! x\n", 2000000, "", "second-document"},
        {"", "---\n", 4000000, "", "second-document"},
        {"a: 1\n", "\t\n", 4000000, "", NULL},
        {"a: &", "x", 4000000, "", "alias"},
        {"a: !", "x", 4000000, "", "tag"},
        {"a: ", "x", 16000000, "", NULL},
        {"a: ", "x\n  ", 4000000, "", NULL},
        {"a: \"", "\\n", 4000000, "\"", NULL},
        {"", "#\n", SOURCE_MAX_BYTES, "", "empty-file"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t n;
        char *text = repeated(rows[i].before, rows[i].text, rows[i].n, rows[i].after, &n);
        double start = seconds();
        hr_status status = read_bytes(text, n);
        double took = seconds() - start;
        cr_assert(status == (rows[i].check ? HR_INPUT : HR_OK), "row %zu: status %d", i,
                  (int)status);
        if (rows[i].check)
            expect_diag(diags, 0, 0, rows[i].check);
        cr_assert(took < 20, "row %zu took %.1f s", i, took); /* under 1 s without a sanitizer */
        cr_assert(arena_used(arena) < (size_t)400 << 20, "row %zu: %zu bytes", i,
                  arena_used(arena));
        free(text);
        arena_free(arena);
        arena = arena_new(ARENA_CAP_DEFAULT);
    }
}

Test(tree, many_different_keys_are_fast)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    for (int i = 0; i < 200000; i++)
        strbuf_printf(&b, "key%d: v\n", i);
    double start = seconds();
    cr_assert(read_bytes(b.p, b.n) == HR_OK && root->as.map.n == 200000);
    cr_assert(seconds() - start < 10);
    cr_assert(tree_find(root, "key199999") != NULL);
}

/* Every cap from nothing up, and every way out at each: never a crash, HR_NOMEM until there is
 * enough. */
Test(tree, any_cap)
{
    static const char text[] = "a: 1\n\t\nb: [x, {c: d}, y]\ne:\n  - f\n  - g: h\n  - \"i\"\n";
    hr_status status = HR_NOMEM;
    size_t cap = 0;
    CALL(source_text(arena, "g.yaml", text, sizeof text - 1, &src));
    for (; cap < 20000 && status != HR_OK; cap += 16) {
        struct arena *small = arena_new(cap);
        root = NULL;
        status = tree_read(small, src, diags, &root);
        cr_assert(status == HR_OK || status == HR_NOMEM, "cap %zu: status %d", cap, (int)status);
        cr_assert((root != NULL) == (status == HR_OK));
        arena_free(small);
    }
    cr_assert(status == HR_OK && cap > 500, "%zu", cap);
    cr_assert(diags_errors(diags) == 0);
}
