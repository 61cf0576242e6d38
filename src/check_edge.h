/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CHECK_EDGE_H
#define CHECK_EDGE_H
/* Checks of what a side says of vines, heights, light and shade; for check.c alone. */
#include "garden.h"

void check_edge_overhang(const struct garden *g, struct diags *diags);
void check_edge_height(const struct garden *g, struct diags *diags);
void check_edge_shades(const struct garden *g, struct diags *diags);

#endif
