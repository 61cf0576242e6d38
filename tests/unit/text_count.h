/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TEXT_COUNT_H
#define TEXT_COUNT_H
#include <string.h>

/* How often a word stands in a text. */
static inline int text_count(const char *text, const char *word)
{
    int n = 0;
    for (const char *p = strstr(text, word); p; p = strstr(p + 1, word))
        n++;
    return n;
}

#endif
