/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef DRAW_H
#define DRAW_H
/* Scenes on paper: PNG and PDF (cairo, pango and libpng only here). The same scene and fonts give
 * the same bytes. */
#include <stdio.h>
#include "scene.h"

#define DRAW_DPI          300
#define DRAW_PIXELS_PER_M 11811 /* 300 / 0.0254, as pHYs says it */

struct draw_meta {
    const char *title, *description;
};

/* Title: garden and plan; description: plan id, ratio and paper of the first map. HR_NOMEM. */
HR_CHECKED hr_status draw_meta_make(const struct scene *scene, struct arena *arena,
                                    struct draw_meta *out);
/* A warning [missing-glyph] for each text that no font here can write in full (the first few of
 * them), [plots-left-out] when the scene has not all plots. */
void draw_check(const struct scene *scene, struct diags *diags);
/* One page at 300 dpi. HR_IO: it could not be written (the caller knows the name); HR_NOMEM. */
HR_CHECKED hr_status draw_png(const struct scene *scene, int page, FILE *file,
                              const struct draw_meta *meta);
/* By which a PNG of draw_png is known, near its beginning. */
#define DRAW_PNG_MARK "Software\0hillrow"
/* All pages as vectors; it carries a fixed date. */
HR_CHECKED hr_status draw_pdf(const struct scene *scene, FILE *file, const struct draw_meta *meta);
/* The true width of a text mark, mm, before it is squeezed into its room; negative: no memory. */
double draw_text_width(const struct mark *mark);

#endif
