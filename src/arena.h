/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ARENA_H
#define ARENA_H
/* Memory by lifetime: everything made in an arena is freed with it, nothing singly. */
#include <stddef.h>

struct arena;

#define ARENA_CAP_DEFAULT ((size_t)1 << 30) /* bytes: no input may exhaust the machine */

/* A new arena that hands out at most cap bytes in all; NULL when out of memory. */
struct arena *arena_new(size_t cap);
void arena_free(struct arena *arena); /* NULL is fine */

/* n zeroed items of the given size, aligned for any type; NULL when over the cap, out of memory,
 * or n*size overflows. n == 0 gives a valid pointer. */
void *arena_alloc(struct arena *arena, size_t n, size_t size);
/* A NUL-terminated copy of n bytes; NULL as above. */
char *arena_strndup(struct arena *arena, const char *p, size_t n);
char *arena_strdup(struct arena *arena, const char *s);
__attribute__((format(printf, 2, 3))) char *arena_printf(struct arena *arena, const char *fmt, ...);
/* Bytes handed out so far. */
size_t arena_used(const struct arena *arena);

#define ARENA_NEW(arena, type)      ((type *)arena_alloc((arena), 1, sizeof(type)))
#define ARENA_ARRAY(arena, type, n) ((type *)arena_alloc((arena), (n), sizeof(type)))

#endif
