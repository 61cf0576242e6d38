/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tree.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <yaml.h>

/* A map or list that is still open. Children are collected as one run of nodes; a map's are key,
 * value, key, value. */
struct level {
    struct node *node;
    struct node **items;
    size_t n, cap;
    bool flow; /* written in brackets */
};

struct reader {
    struct arena *arena;
    const struct source *src;
    struct diags *diags;
    yaml_parser_t parser;
    size_t bom;          /* bytes before the text that libyaml sees */
    size_t chars, bytes; /* the same place: characters as libyaml counts them, and bytes */
    struct level levels[TREE_MAX_DEPTH];
    size_t depth, nodes;
    struct node *root;
    bool faulty; /* duplicate keys: reported, and reading goes on */
};

/* ---- positions ---------------------------------------------------------------------------- */

/* Byte offset of a place that libyaml counts in characters; walks on from the last one asked for,
 * so that a whole file costs one walk. */
static size_t byte_offset(struct reader *r, size_t chars)
{
    const char *p = r->src->p + r->bom;
    size_t n = r->src->n - r->bom;
    while (r->chars < chars && r->bytes < n) {
        r->bytes += utf8_char(p + r->bytes, n - r->bytes);
        r->chars++;
    }
    while (r->chars > chars) {
        do
            r->bytes--;
        while (((unsigned char)p[r->bytes] & 0xC0) == 0x80);
        r->chars--;
    }
    return r->bom + r->bytes;
}

static struct pos between(struct reader *r, yaml_mark_t start, yaml_mark_t end)
{
    size_t begin = byte_offset(r, start.index);
    return (struct pos){r->src, begin, byte_offset(r, end.index)};
}

static struct pos place(const struct source *src, size_t begin, size_t n)
{
    return (struct pos){src, begin, begin + n};
}

/* ---- before libyaml ----------------------------------------------------------------------- */

/* Bytes that are no text at all. libyaml would refuse most of them, with a position that is not
 * the gardener's. */
static hr_status bytes_check(const struct source *src, struct diags *diags)
{
    const char *nul = memchr(src->p, '\0', src->n);
    size_t zero = nul ? (size_t)(nul - src->p) : src->n;
    size_t bad = utf8_invalid(src->p, src->n);
    if (bad < src->n && bad <= zero) {
        bool wide = bad == 0 && src->n > 1 &&
                    (memcmp(src->p, "\xFF\xFE", 2) == 0 || memcmp(src->p, "\xFE\xFF", 2) == 0);
        diag_error(diags, place(src, bad, 1), "invalid-utf8",
                   wide ? "the file is UTF-16: save it as UTF-8"
                        : "this byte (%02x) is not UTF-8: save the file as UTF-8",
                   (unsigned)(unsigned char)src->p[bad]);
        return HR_INPUT;
    }
    if (zero < src->n) {
        diag_error(diags, place(src, zero, 1), "nul-byte", "a zero byte: this is not a text file");
        return HR_INPUT;
    }
    return HR_OK;
}

/* The offset of the first line from `at` on that is not blank or a comment, n when there is none.
 */
static size_t content_from(const struct source *src, size_t at)
{
    while (at < src->n) {
        size_t i = at + strspn(src->p + at, " \t");
        if (src->p[i] != '#' && src->p[i] != '\n' && src->p[i] != '\r')
            return i;
        i += strcspn(src->p + i, "\r\n");
        at = i + strspn(src->p + i, "\r\n");
    }
    return src->n;
}

/* The text for libyaml: that of the source, but tabs become spaces on lines that are blank or only
 * a comment, where they are harmless and libyaml may refuse them. NULL: out of memory. */
static const char *text_without_blank_tabs(struct arena *arena, const struct source *src)
{
    char *copy = NULL;
    for (size_t k = 0; k < src->lines; k++) {
        const char *line = src->p + src->line[k];
        size_t blank = strspn(line, " \t");
        if (!strchr("#\r\n", line[blank]) || !memchr(line, '\t', blank))
            continue;
        if (!copy && !(copy = arena_strndup(arena, src->p, src->n)))
            return NULL;
        memset(copy + src->line[k], ' ', blank);
    }
    return copy ? copy : src->p;
}

/* A file may start with any number of directives, and libyaml compares each with each. */
static hr_status start_check(const struct source *src, struct diags *diags)
{
    size_t at = content_from(src, source_bom(src->p, src->n));
    if (at >= src->n) {
        diag_error(diags, place(src, 0, 0), "empty-file", "there is nothing in this file");
        return HR_INPUT;
    }
    if (src->p[at] == '%') {
        diag_error(diags, place(src, at, 1), "yaml-syntax",
                   "a line that starts with %% is not used here: take it out");
        return HR_INPUT;
    }
    return HR_OK;
}

/* ---- what libyaml says, in plain words ---------------------------------------------------- */

#define BEHIND                                                                                     \
    "this stands behind a closing quote or bracket: put all of the text inside the quotes"

enum where {
    NOTICED, /* the fault is where libyaml noticed it */
    INSIDE,  /* there, and only if something stands before it on its line */
    BEGUN    /* where the construct began */
};

static const struct {
    const char *problem;
    enum where where;
    const char *words;
} problems[] = {
    {"did not find expected key", INSIDE, BEHIND},
    {"did not find expected '-' indicator", INSIDE, BEHIND},
    {"did not find expected key", NOTICED,
     "this line does not fit those above it: check its indentation, and that each name above it "
     "is followed by a colon and a space"},
    {"mapping values are not allowed", NOTICED,
     "a colon is not expected here: check the indentation, or put a text that holds \": \" in "
     "quotes"},
    {"could not find expected ':'", BEGUN,
     "a name without a colon: write `name: value`, with a space after the colon"},
    {"did not find expected '-' indicator", NOTICED,
     "this line does not belong to the list above it: check its indentation, and that each item "
     "starts with \"- \""},
    {"block sequence entries are not allowed", NOTICED,
     "a list item is not expected here: start the list on a line of its own, below its name"},
    {"mapping keys are not allowed", NOTICED, "a `?` is not expected here: put the text in quotes"},
    {"found unexpected ':'", NOTICED,
     "a colon is not expected here: put a text that holds a colon in quotes"},
    {"did not find expected ',' or ']'", BEGUN,
     "this bracket is not closed, or a comma is missing between its items"},
    {"did not find expected ',' or '}'", BEGUN,
     "this brace is not closed, or a comma is missing between its items"},
    {"found unexpected end of stream", BEGUN, "a quote is opened here and never closed"},
    {"found unexpected document indicator", BEGUN, "a quote is opened here and never closed"},
    {"found unknown escape character", NOTICED,
     "this escape is not known: use '...' for a text with a backslash"},
    {"did not find expected hexdecimal number", NOTICED,
     "this escape needs hexadecimal digits: use '...' for a text with a backslash"},
    {"found invalid Unicode character escape", NOTICED, "this escape names no character"},
    {"found character that cannot start any token", NOTICED,
     "a text cannot start with this character: put the text in quotes"},
    {"did not find expected node content", NOTICED,
     "a value is expected here: check the commas, brackets and quotes"},
    {"did not find expected <document start>", NOTICED,
     "this does not belong to what stands above it: check the indentation and the colons"},
    {"did not find expected comment or line break", NOTICED,
     "more than `|` or `>` stands here: move it below"},
    {"found an indentation indicator", NOTICED, "more than `|` or `>` stands here: move it below"},
};

static const struct {
    const char *in; /* a part of libyaml's problem or context */
    const char *check, *words;
} not_used[] = {
    {"directive", "yaml-syntax", "a line cannot start with `%`: put the text in quotes"},
    {"tag", "tag", "tags (words that start with `!`) are not used here"},
    {"anchor", "alias", "anchors (`&name`) are not used here: write it out, or quote the text"},
    {"alias", "alias", "aliases (`*name`) are not used here: write it out, or quote the text"},
};

static size_t line_start(const struct source *src, size_t at)
{
    while (at > 0 && src->p[at - 1] != '\n' && src->p[at - 1] != '\r')
        at--;
    return at;
}

/* Whether only white space stands before `at` on its line. */
static bool starts_line(const struct source *src, size_t at)
{
    size_t start = line_start(src, at);
    return start + strspn(src->p + start, " \t") >= at;
}

/* The first tab in the white space before the content of the line that holds `at`, SIZE_MAX: none.
 */
static size_t tab_before(const struct source *src, size_t at)
{
    size_t start = line_start(src, at);
    const char *tab = memchr(src->p + start, '\t', strspn(src->p + start, " \t"));
    return tab ? (size_t)(tab - src->p) : SIZE_MAX;
}

static hr_status syntax_error(struct reader *r)
{
    const yaml_parser_t *parser = &r->parser;
    const char *problem = parser->problem ? parser->problem : "unknown problem";
    const char *context = parser->context ? parser->context : "";
    if (parser->error == YAML_MEMORY_ERROR)
        return HR_NOMEM;
    if (parser->error == YAML_READER_ERROR) { /* counted in bytes, no mark */
        diag_error(r->diags, place(r->src, r->bom + parser->problem_offset, 1), "yaml-syntax",
                   "a character (code %x) that no text may hold: take it out",
                   (unsigned)parser->problem_value);
        return HR_INPUT;
    }
    size_t at = byte_offset(r, parser->problem_mark.index);
    size_t tab = tab_before(r->src, at);
    if (tab != SIZE_MAX) {
        diag_error(r->diags, place(r->src, tab, 1), "tab-indent",
                   "a tab in the indentation: use spaces");
        return HR_INPUT;
    }
    const struct level *top = r->depth > 0 ? &r->levels[r->depth - 1] : NULL;
    if (top && top->flow && content_from(r->src, at) >= r->src->n) {
        diag_error(r->diags, place(r->src, top->node->at.begin, 1), "yaml-syntax",
                   "a bracket or brace is opened here and never closed");
        return HR_INPUT;
    }
    for (size_t i = 0; i < sizeof not_used / sizeof *not_used; i++)
        if (strstr(problem, not_used[i].in) || strstr(context, not_used[i].in)) {
            if (parser->context)
                at = byte_offset(r, parser->context_mark.index);
            diag_error(r->diags, place(r->src, at, 1), not_used[i].check, "%s", not_used[i].words);
            return HR_INPUT;
        }
    for (size_t i = 0; i < sizeof problems / sizeof *problems; i++) {
        enum where where = problems[i].where;
        if (!strstr(problem, problems[i].problem) || (where == INSIDE && starts_line(r->src, at)))
            continue;
        if (where == BEGUN && parser->context)
            at = byte_offset(r, parser->context_mark.index);
        diag_error(r->diags, place(r->src, at, 1), "yaml-syntax", "%s", problems[i].words);
        return HR_INPUT;
    }
    diag_error(r->diags, place(r->src, at, 1), "yaml-syntax",
               "this cannot be read: check the indentation, colons and quotes (%s)", problem);
    return HR_INPUT;
}

/* ---- building ----------------------------------------------------------------------------- */

static hr_status refuse(struct reader *r, struct pos at, const char *check, const char *words)
{
    diag_error(r->diags, at, check, "%s", words);
    return HR_INPUT;
}

/* Hangs a node under the innermost open map or list, or makes it the root. */
static hr_status node_add(struct reader *r, struct node *node)
{
    if (r->depth == 0) {
        r->root = node;
        return HR_OK;
    }
    struct level *top = &r->levels[r->depth - 1];
    bool key = top->node->kind == NODE_MAP && top->n % 2 == 0;
    if (key && node->kind != NODE_SCALAR)
        return refuse(r, node->at, "key-not-text",
                      "a name is expected here, not a list or map: put a text with brackets or "
                      "braces in quotes");
    if (top->n == top->cap) {
        size_t cap = top->cap ? 2 * top->cap : 8;
        struct node **items = ARENA_ARRAY(r->arena, struct node *, cap);
        if (!items)
            return HR_NOMEM;
        if (top->n > 0)
            memcpy(items, top->items, top->n * sizeof(struct node *));
        top->items = items;
        top->cap = cap;
    }
    top->items[top->n++] = node;
    return HR_OK;
}

static hr_status node_new(struct reader *r, enum node_kind kind, struct pos at, struct node **out)
{
    if (r->nodes++ >= TREE_MAX_NODES) {
        diag_error(r->diags, at, "too-many-nodes", "the file holds more than %d names and values",
                   TREE_MAX_NODES);
        return HR_INPUT;
    }
    struct node *node = ARENA_NEW(r->arena, struct node);
    if (!node)
        return HR_NOMEM;
    node->kind = kind;
    node->at = at;
    *out = node;
    return HR_OK;
}

static hr_status scalar_add(struct reader *r, const yaml_event_t *event)
{
    const char *text = (const char *)event->data.scalar.value;
    size_t n = event->data.scalar.length;
    struct pos at = between(r, event->start_mark, event->end_mark);
    struct node *node;
    if (event->data.scalar.anchor)
        return refuse(r, at, "alias", "anchors (`&name`) are not used here: write it out");
    if (event->data.scalar.tag)
        return refuse(r, at, "tag", "tags (words that start with `!`) are not used here");
    if (memchr(text, '\0', n)) /* from "\0" in quotes */
        return refuse(r, at, "nul-byte", "this text holds a zero byte: take it out");
    hr_status status = node_new(r, NODE_SCALAR, at, &node);
    if (status != HR_OK)
        return status;
    node->as.scalar.text = arena_strndup(r->arena, text, n);
    node->as.scalar.quoted = event->data.scalar.style != YAML_PLAIN_SCALAR_STYLE;
    return node->as.scalar.text ? node_add(r, node) : HR_NOMEM;
}

static hr_status level_open(struct reader *r, const yaml_event_t *event, enum node_kind kind)
{
    bool map = kind == NODE_MAP;
    struct pos at = between(r, event->start_mark, event->end_mark);
    struct node *node;
    if (map ? event->data.mapping_start.anchor : event->data.sequence_start.anchor)
        return refuse(r, at, "alias", "anchors (`&name`) are not used here: write it out");
    if (map ? event->data.mapping_start.tag : event->data.sequence_start.tag)
        return refuse(r, at, "tag", "tags (words that start with `!`) are not used here");
    if (r->depth == TREE_MAX_DEPTH)
        return refuse(r, at, "too-deep", "maps and lists stand too deep in each other here");
    hr_status status = node_new(r, kind, at, &node);
    if (status == HR_OK)
        status = node_add(r, node);
    if (status != HR_OK)
        return status;
    bool flow = map ? event->data.mapping_start.style == YAML_FLOW_MAPPING_STYLE
                    : event->data.sequence_start.style == YAML_FLOW_SEQUENCE_STYLE;
    r->levels[r->depth++] = (struct level){.node = node, .flow = flow};
    return HR_OK;
}

/* ---- duplicate keys ----------------------------------------------------------------------- */

struct key {
    const char *text;
    size_t index, first; /* of the pair, and of the first pair with the same key */
};

static int key_order(const void *a, const void *b)
{
    const struct key *x = a, *y = b;
    int order = strcmp(x->text, y->text);
    return order != 0 ? order : (x->index > y->index) - (x->index < y->index);
}

static int index_order(const void *a, const void *b)
{
    const struct key *x = a, *y = b;
    return (x->index > y->index) - (x->index < y->index);
}

/* Sorted by name to find them, sorted back to report them in the order of the file. */
static hr_status duplicates_check(struct reader *r, const struct node *map)
{
    size_t n = map->as.map.n, again = 0;
    const struct pair *items = map->as.map.items;
    if (n < 2)
        return HR_OK;
    struct key *keys = calloc(n, sizeof *keys);
    if (!keys)
        return HR_NOMEM;
    for (size_t i = 0; i < n; i++)
        keys[i] = (struct key){items[i].key->as.scalar.text, i, i};
    qsort(keys, n, sizeof *keys, key_order);
    for (size_t i = 1; i < n; i++)
        if (strcmp(keys[i].text, keys[i - 1].text) == 0) {
            keys[i].first = keys[i - 1].first;
            again++;
        }
    if (again > 0) {
        r->faulty = true;
        qsort(keys, n, sizeof *keys, index_order);
    }
    for (size_t i = 0; again > 0 && i < n; i++)
        if (keys[i].first != i) {
            diag_error(r->diags, items[i].key->at, "duplicate-key", "`%.60s` stands here again",
                       keys[i].text);
            diag_note(r->diags, items[keys[i].first].key->at, "also defined here");
        }
    free(keys);
    return HR_OK;
}

/* ---- events ------------------------------------------------------------------------------- */

static hr_status level_close(struct reader *r, const yaml_event_t *event)
{
    struct level *top = &r->levels[--r->depth];
    struct node *node = top->node;
    if (top->flow)
        node->at.end = byte_offset(r, event->end_mark.index);
    else if (top->n > 0) /* not the blank lines and comments behind it */
        node->at.end = top->items[top->n - 1]->at.end;
    if (node->kind == NODE_LIST) {
        node->as.list.items = top->items;
        node->as.list.n = top->n;
        return HR_OK;
    }
    size_t pairs = top->n / 2;
    node->as.map.items = ARENA_ARRAY(r->arena, struct pair, pairs);
    if (!node->as.map.items)
        return HR_NOMEM;
    node->as.map.n = pairs;
    for (size_t i = 0; i < pairs; i++)
        node->as.map.items[i] = (struct pair){top->items[2 * i], top->items[2 * i + 1]};
    return duplicates_check(r, node);
}

static hr_status event_take(struct reader *r, const yaml_event_t *event)
{
    switch (event->type) {
    case YAML_ALIAS_EVENT:
        return refuse(r, between(r, event->start_mark, event->end_mark), "alias",
                      "aliases (`*name`) are not used here: write it out, or quote the text");
    case YAML_SCALAR_EVENT:
        return scalar_add(r, event);
    case YAML_SEQUENCE_START_EVENT:
        return level_open(r, event, NODE_LIST);
    case YAML_MAPPING_START_EVENT:
        return level_open(r, event, NODE_MAP);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        return level_close(r, event);
    default:
        return HR_OK;
    }
}

/* What stands behind the document: "..." and comments may. libyaml is not asked for it. */
static hr_status rest_check(struct reader *r, size_t at)
{
    const char *p = r->src->p;
    bool ended = at >= 3 && strncmp(p + at - 3, "...", 3) == 0;
    for (;;) {
        at = content_from(r->src, at);
        if (at >= r->src->n)
            return HR_OK;
        if (strncmp(p + at, "...", 3) != 0 || !strchr(" \t\r\n", p[at + 3]))
            break;
        ended = true;
        at += 3;
    }
    struct pos rest = place(r->src, at, strcspn(p + at, "\r\n"));
    if (!ended && p[at] != '%' && strncmp(p + at, "---", 3) != 0)
        return refuse(r, rest, "yaml-syntax",
                      "this line does not fit those above it: start the names of the file in the "
                      "same column");
    return refuse(r, rest, "second-document", "a second document starts here: a file holds one");
}

static hr_status document_read(struct reader *r)
{
    for (;;) {
        yaml_event_t event;
        if (!yaml_parser_parse(&r->parser, &event))
            return syntax_error(r);
        yaml_event_type_t type = event.type;
        hr_status status = event_take(r, &event);
        size_t end = byte_offset(r, event.end_mark.index);
        yaml_event_delete(&event);
        if (status != HR_OK || type == YAML_STREAM_END_EVENT)
            return status;
        if (type == YAML_DOCUMENT_END_EVENT)
            return rest_check(r, end);
    }
}

static bool empty(const struct node *node)
{
    return !node || (node->kind == NODE_SCALAR && !node->as.scalar.quoted &&
                     node->as.scalar.text[0] == '\0');
}

hr_status tree_read(struct arena *arena, const struct source *src, struct diags *diags,
                    struct node **out)
{
    struct reader r = {.arena = arena, .src = src, .diags = diags};
    hr_status status = bytes_check(src, diags);
    if (status == HR_OK)
        status = start_check(src, diags);
    if (status != HR_OK)
        return status;
    const char *text = text_without_blank_tabs(arena, src);
    if (!text || !yaml_parser_initialize(&r.parser))
        return HR_NOMEM;
    r.bom = source_bom(src->p, src->n);
    yaml_parser_set_encoding(&r.parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&r.parser, (const unsigned char *)text + r.bom, src->n - r.bom);
    status = document_read(&r);
    yaml_parser_delete(&r.parser);
    if (status != HR_OK)
        return status;
    if (empty(r.root))
        return refuse(&r, place(src, 0, 0), "empty-file", "there is nothing in this file");
    if (r.faulty)
        return HR_INPUT;
    *out = r.root;
    return HR_OK;
}

const struct node *tree_find(const struct node *map, const char *key)
{
    if (!map || map->kind != NODE_MAP)
        return NULL;
    for (size_t i = 0; i < map->as.map.n; i++)
        if (strcmp(map->as.map.items[i].key->as.scalar.text, key) == 0)
            return map->as.map.items[i].value;
    return NULL;
}
