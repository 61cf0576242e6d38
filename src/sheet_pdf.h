/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHEET_PDF_H
#define SHEET_PDF_H
/* The planting sheet on paper: pages of tables with boxes to tick, read at arm's length. No row is
 * split over two pages; a table that goes on says so and repeats its head. */
#include "scene.h"
#include "sheet.h"

#define SHEET_LEAST_MM 3.6 /* smallest type: 10.2 pt */

/* HR_NOMEM. */
HR_CHECKED hr_status sheet_pdf_scene(struct arena *arena, const struct sheet *sheet,
                                     enum paper paper, struct scene **out);

#endif
