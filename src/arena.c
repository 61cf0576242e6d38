/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "arena.h"

#include <stdalign.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "num.h"

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define EACH_ALONE 1
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) && !defined(EACH_ALONE)
#define EACH_ALONE 1
#endif

#ifdef EACH_ALONE
/* Every item in a block of its own, so that the sanitizer sees a step over its end. */
#define CHUNK_FIRST ((size_t)0)
#define CHUNK_MOST  ((size_t)1)
#else
#define CHUNK_FIRST ((size_t)4 << 10)
#define CHUNK_MOST  ((size_t)1 << 20)
#endif

struct chunk {
    struct chunk *next;
    size_t used, size;
    alignas(max_align_t) unsigned char bytes[];
};

struct arena {
    struct chunk *chunks; /* the newest first; only that one is filled further */
    size_t cap, used, next_size;
};

struct arena *arena_new(size_t cap)
{
    struct arena *arena = calloc(1, sizeof *arena);
    if (!arena)
        return NULL;
    arena->cap = cap;
    arena->next_size = CHUNK_FIRST;
    return arena;
}

void arena_free(struct arena *arena)
{
    if (!arena)
        return;
    struct chunk *chunk = arena->chunks;
    while (chunk) {
        struct chunk *next = chunk->next;
        free(chunk);
        chunk = next;
    }
    free(arena);
}

/* A chunk with room for size bytes at the front of the list; large items do not end the chunk that
 * is being filled. */
static struct chunk *chunk_add(struct arena *arena, size_t size)
{
    size_t room = size > arena->next_size ? size : arena->next_size;
    size_t bytes;
    if (!num_add_size(sizeof(struct chunk), room, &bytes))
        return NULL;
    struct chunk *chunk = calloc(1, bytes);
    if (!chunk)
        return NULL;
    chunk->size = room;
    struct chunk *head = arena->chunks;
    if (head && size > arena->next_size) {
        chunk->next = head->next;
        head->next = chunk;
    } else {
        chunk->next = head;
        arena->chunks = chunk;
        if (arena->next_size < CHUNK_MOST)
            arena->next_size *= 2;
    }
    return chunk;
}

void *arena_alloc(struct arena *arena, size_t n, size_t size)
{
    const size_t align = alignof(max_align_t);
    size_t bytes, up;
    if (!num_mul_size(n, size, &bytes))
        return NULL;
    if (bytes == 0)
        bytes = 1;
    if (!num_add_size(bytes, align - 1, &up))
        return NULL;
    up -= up % align;
    if (up > arena->cap - arena->used)
        return NULL;
    struct chunk *chunk = arena->chunks;
    if (!chunk || up > chunk->size - chunk->used) {
        chunk = chunk_add(arena, up);
        if (!chunk)
            return NULL;
    }
    void *p = chunk->bytes + chunk->used;
    chunk->used += up;
    arena->used += up;
    return p;
}

char *arena_strndup(struct arena *arena, const char *p, size_t n)
{
    size_t bytes;
    if (!num_add_size(n, 1, &bytes))
        return NULL;
    char *copy = arena_alloc(arena, bytes, 1);
    if (copy && n > 0)
        memcpy(copy, p, n);
    return copy;
}

char *arena_strdup(struct arena *arena, const char *s)
{
    return arena_strndup(arena, s, strlen(s));
}

char *arena_printf(struct arena *arena, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    int n = vsnprintf(NULL, 0, fmt, ap);
    va_end(ap);
    if (n < 0)
        return NULL;
    char *text = arena_alloc(arena, (size_t)n + 1, 1);
    if (!text)
        return NULL;
    va_start(ap, fmt);
    vsnprintf(text, (size_t)n + 1, fmt, ap);
    va_end(ap);
    return text;
}

size_t arena_used(const struct arena *arena)
{
    return arena->used;
}
