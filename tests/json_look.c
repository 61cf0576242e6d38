/* SPDX-License-Identifier: GPL-3.0-or-later */
/* json_look FILE [PATH...]: parses a JSON file ("-": standard input) with jansson, refusing
 * duplicate keys and anything behind the value, and prints what stands at each path, one a line. A
 * path is keys and list indices joined by dots; `#` at its end gives the number of members. For the
 * tests. */
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What a path leads to, NULL when nothing is there. *count: the path ends in `#`. */
static const json_t *walk(const json_t *at, const char *path, int *count)
{
    char copy[512];
    *count = 0;
    if (strlen(path) >= sizeof copy)
        return NULL;
    strcpy(copy, path);
    for (char *step = strtok(copy, "."); step && at; step = strtok(NULL, ".")) {
        if (strcmp(step, "#") == 0)
            *count = 1;
        else if (json_is_array(at))
            at = json_array_get(at, strtoul(step, NULL, 10));
        else
            at = json_object_get(at, step);
    }
    return at;
}

static int show(const json_t *root, const char *path)
{
    int count;
    const json_t *at = walk(root, path, &count);
    if (!at) {
        fprintf(stderr, "json_look: nothing at %s\n", path);
        return 1;
    }
    if (count)
        printf("%zu\n", json_is_array(at) ? json_array_size(at) : json_object_size(at));
    else if (json_is_string(at))
        printf("%s\n", json_string_value(at));
    else if (json_dumpf(at, stdout, JSON_ENCODE_ANY | JSON_COMPACT) == 0)
        putchar('\n');
    return 0;
}

int main(int argc, char **argv)
{
    json_error_t error;
    if (argc < 2) {
        fprintf(stderr, "usage: json_look FILE [PATH...]\n");
        return 2;
    }
    json_t *root = strcmp(argv[1], "-") == 0
                       ? json_loadf(stdin, JSON_REJECT_DUPLICATES, &error)
                       : json_load_file(argv[1], JSON_REJECT_DUPLICATES, &error);
    if (!root) {
        fprintf(stderr, "json_look: %s:%d:%d: %s\n", argv[1], error.line, error.column, error.text);
        return 1;
    }
    int bad = 0;
    for (int i = 2; i < argc; i++)
        bad |= show(root, argv[i]);
    json_decref(root);
    return bad;
}
