/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef MENU_TEXT_H
#define MENU_TEXT_H
/* A garden text with its ground cut and its menu made. */
#include "garden_text.h"
#include "program.h"

struct made {
    struct garden_text text;
    struct zones zones;
    struct menu menu;
};

/* Free with garden_text_free(&made.text). */
static inline struct made made_of(const char *yaml)
{
    struct made m = {.text = garden_text_read(yaml)};
    cr_assert(m.text.status == HR_OK, "%s", garden_text_diags(&m.text));
    CALL(zones_cut(m.text.garden, m.text.arena, m.text.diags, &m.zones));
    CALL(menu_make(m.text.garden, &m.zones, m.text.arena, m.text.diags, &m.menu));
    return m;
}

/* Which of the program's terms it is. */
static inline int term_of(const struct program *m, enum term_kind kind, int index)
{
    for (int t = 0; t < m->nterms; t++)
        if (m->terms[t].kind == kind && m->terms[t].index == index)
            return t;
    cr_assert(false, "no term %d %d", (int)kind, index);
    return -1;
}

#endif
