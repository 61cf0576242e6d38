/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef ARENA_SUITE_H
#define ARENA_SUITE_H
/* An arena and diagnostics for each test of a suite:
 * TestSuite(name, .init = set_up, .fini = tear_down); */
#include "hr_test.h"

#include "arena.h"

static struct arena *arena;
static struct diags *diags;

static inline void set_up(void)
{
    arena = arena_new(ARENA_CAP_DEFAULT);
    diags = diags_new();
}

static inline void tear_down(void)
{
    arena_free(arena);
    diags_free(diags);
}

/* For the next row of a table. */
static inline void fresh(void)
{
    tear_down();
    set_up();
}

#endif
