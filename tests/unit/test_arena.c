/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <stdalign.h>
#include <stdint.h>

#include "arena.h"

Test(arena, items_are_zeroed_aligned_and_apart)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    unsigned char *items[400];
    cr_assert(arena != NULL);
    for (size_t i = 0; i < 400; i++) {
        size_t n = 1 + i * 37 % 5000;
        unsigned char *p = arena_alloc(arena, n, 1);
        cr_assert(p != NULL, "item %zu", i);
        cr_assert((uintptr_t)p % alignof(max_align_t) == 0, "item %zu is not aligned", i);
        for (size_t k = 0; k < n; k++)
            cr_assert(p[k] == 0, "item %zu, byte %zu is not zero", i, k);
        memset(p, (int)(i % 251) + 1, n);
        items[i] = p;
    }
    for (size_t i = 0; i < 400; i++) {
        size_t n = 1 + i * 37 % 5000;
        for (size_t k = 0; k < n; k++)
            cr_assert(items[i][k] == i % 251 + 1, "item %zu, byte %zu was overwritten", i, k);
    }
    arena_free(arena);
}

Test(arena, large_items_among_small_ones)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    char *small = arena_strdup(arena, "small");
    unsigned char *large = arena_alloc(arena, (size_t)3 << 20, 1);
    char *after = arena_strdup(arena, "after");
    cr_assert(small && large && after);
    memset(large, 7, (size_t)3 << 20);
    cr_assert_str_eq(small, "small");
    cr_assert_str_eq(after, "after");
    arena_free(arena);
}

Test(arena, no_items_give_a_pointer)
{
    struct arena *arena = arena_new(1000);
    cr_assert(arena_alloc(arena, 0, 8) != NULL);
    cr_assert(arena_alloc(arena, 8, 0) != NULL);
    arena_free(arena);
    arena_free(NULL);
}

Test(arena, cap_holds_to_the_byte)
{
    struct arena *arena = arena_new(1024);
    size_t got = 0;
    while (arena_alloc(arena, 1, 64))
        got += 64;
    cr_assert(got == 1024, "64-byte items under a cap of 1024 gave %zu bytes", got);
    cr_assert(arena_used(arena) == 1024);
    cr_assert(arena_alloc(arena, 1, 1) == NULL);
    cr_assert(arena_strdup(arena, "") == NULL);
    cr_assert(arena_printf(arena, "%d", 7) == NULL);
    cr_assert(arena_used(arena) == 1024, "what is refused is not counted");
    arena_free(arena);
    arena = arena_new(0);
    cr_assert(arena_alloc(arena, 1, 1) == NULL);
    cr_assert(arena_alloc(arena, 0, 1) == NULL);
    arena_free(arena);
}

Test(arena, sizes_that_overflow_are_refused)
{
    struct arena *arena = arena_new(SIZE_MAX);
    cr_assert(arena_alloc(arena, SIZE_MAX, 2) == NULL);
    cr_assert(arena_alloc(arena, SIZE_MAX / 8 + 1, 8) == NULL);
    cr_assert(arena_alloc(arena, 1, SIZE_MAX) == NULL);
    cr_assert(arena_alloc(arena, 1, SIZE_MAX - 40) == NULL);
    cr_assert(arena_strndup(arena, "x", SIZE_MAX) == NULL);
    cr_assert(arena_used(arena) == 0);
    cr_assert(arena_alloc(arena, 2, 8) != NULL, "still good afterwards");
    arena_free(arena);
}

Test(arena, texts)
{
    struct arena *arena = arena_new(ARENA_CAP_DEFAULT);
    cr_assert_str_eq(arena_strdup(arena, "flint corn"), "flint corn");
    cr_assert_str_eq(arena_strndup(arena, "flint corn", 5), "flint");
    cr_assert_str_eq(arena_strndup(arena, NULL, 0), "");
    cr_assert_str_eq(arena_printf(arena, "%s %d%%", "row", 12), "row 12%");
    char *wide = arena_printf(arena, "%*d", 20000, 5);
    cr_assert(wide && strlen(wide) == 20000 && wide[19999] == '5');
    arena_free(arena);
}
