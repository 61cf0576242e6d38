/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DICE_H
#define DICE_H
/* Random numbers that are the same in every run: set dice_state first, to anything but 0. */

static unsigned long dice_state = 88172645463325252ul;

/* From `from` to `to`, both of them, too (xorshift). */
static inline int dice(int from, int to)
{
    dice_state ^= dice_state << 13;
    dice_state ^= dice_state >> 7;
    dice_state ^= dice_state << 17;
    return from + (int)((dice_state >> 20) % (unsigned long)(to - from + 1));
}

#endif
