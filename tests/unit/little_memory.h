/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef LITTLE_MEMORY_H
#define LITTLE_MEMORY_H
/* What happens when memory runs out, for whatever is made in an arena. */
#include "hr_test.h"

#include "arena.h"

/* Makes something of `of` in an arena; NULL: it failed, with that status. */
typedef hr_status (*little_memory_maker)(struct arena *arena, const void *of, const void **made);

/* Makes it in ever larger arenas, each by 1/part more than the last: HR_NOMEM and nothing made,
 * until there is enough. */
static inline void little_memory(little_memory_maker make, const void *of, size_t part)
{
    bool failed = false, done = false;
    for (size_t cap = 256; !done && cap < (size_t)64 << 20; cap += cap / part) {
        struct arena *arena = arena_new(cap);
        const void *made = NULL;
        hr_status status = arena ? make(arena, of, &made) : HR_NOMEM;
        cr_assert(status == HR_OK || status == HR_NOMEM, "cap %zu: status %d", cap, (int)status);
        cr_assert((status == HR_OK) == (made != NULL), "set only when all is well");
        done = status == HR_OK;
        failed = failed || !done;
        arena_free(arena);
    }
    cr_assert(failed && done, "fails with little memory, works with enough");
}

#endif
