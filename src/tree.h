/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TREE_H
#define TREE_H
/* YAML (libyaml events, only here) into a tree whose every node knows where it stands. */
#include <stdbool.h>
#include <stddef.h>
#include "diag.h"

#define TREE_MAX_DEPTH 32
#define TREE_MAX_NODES 500000

enum node_kind { NODE_SCALAR, NODE_MAP, NODE_LIST };

struct node;

struct pair {
    struct node *key; /* always a scalar */
    struct node *value;
};

struct node {
    enum node_kind kind;
    struct pos at;
    union {
        struct {
            const char *text; /* NUL-terminated; no NUL inside */
            bool quoted;
        } scalar;
        struct {
            struct pair *items;
            size_t n;
        } map;
        struct {
            struct node **items;
            size_t n;
        } list;
    } as;
};

/* The tree of a whole source. HR_INPUT with positioned errors [yaml-syntax] [tab-indent] [nul-byte]
 * [invalid-utf8] [too-deep] [duplicate-key] [alias] [tag] [second-document] [empty-file]
 * [key-not-text] [too-many-nodes]. It goes on after duplicate keys (all are reported), stops at the
 * others. */
HR_CHECKED hr_status tree_read(struct arena *arena, const struct source *src, struct diags *diags,
                               struct node **out);
/* The value of a key in a map, NULL when absent or not a map. */
const struct node *tree_find(const struct node *map, const char *key);

#endif
