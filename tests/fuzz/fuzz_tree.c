/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes -> source -> tree -> diagnostics, and free it all. Build with
 * clang -fsanitize=fuzzer,address,undefined. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "diag.h"
#include "tree.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* What every tree keeps: positions inside the source, children inside their parent, whole UTF-8. */
static void node_check(const struct node *node, const struct source *src, struct pos outer)
{
    if (node->at.src != src || node->at.begin > node->at.end || node->at.begin < outer.begin ||
        node->at.end > outer.end)
        abort();
    if (node->kind == NODE_SCALAR) {
        const char *text = node->as.scalar.text;
        if (utf8_invalid(text, strlen(text)) != strlen(text))
            abort();
        return;
    }
    size_t n = node->kind == NODE_MAP ? node->as.map.n : node->as.list.n;
    for (size_t i = 0; i < n; i++) {
        if (node->kind == NODE_MAP) {
            const struct node *key = node->as.map.items[i].key;
            if (key->kind != NODE_SCALAR || !tree_find(node, key->as.scalar.text))
                abort();
            node_check(key, src, node->at);
            node_check(node->as.map.items[i].value, src, node->at);
        } else {
            node_check(node->as.list.items[i], src, node->at);
        }
    }
}

/* Nothing of the input reaches the terminal but printable text. */
static void words_check(const struct strbuf *b)
{
    for (size_t i = 0; !b->failed && i < b->n; i++) {
        unsigned char c = (unsigned char)b->p[i];
        if ((c < 0x20 && c != '\n' && c != '\t') || c == 0x7F)
            abort();
    }
    if (!b->failed && utf8_invalid(b->p, b->n) != b->n)
        abort();
}

/* The first two bytes choose the cap of the arena, so that every way out of memory is walked. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 2)
        return 0;
    size_t cap = data[0] < 0x80 ? ARENA_CAP_DEFAULT : (size_t)data[1] * 64;
    struct arena *arena = arena_new(cap);
    struct diags *diags = diags_new();
    const struct source *src = NULL;
    struct node *root = NULL;
    if (!arena || !diags)
        abort();
    hr_status status = source_text(arena, "fuzz.yaml", (const char *)data + 2, size - 2, &src);
    if (status == HR_OK)
        status = tree_read(arena, src, diags, &root);
    size_t errors = diags_errors(diags); /* HR_NOMEM may come behind a duplicate key */
    if ((status == HR_OK) != (root != NULL) || (status == HR_OK && errors > 0) ||
        (status == HR_INPUT && errors == 0))
        abort();
    if (root)
        node_check(root, src, (struct pos){src, 0, src->n});
    struct strbuf b;
    strbuf_init(&b, arena);
    diags_render(diags, &b);
    words_check(&b);
    diags_free(diags);
    arena_free(arena);
    return 0;
}
