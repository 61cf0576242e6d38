/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef HISTORY_H
#define HISTORY_H
/* Former plans named in the garden file: where which family stood. */
#include "garden.h"

/* Reads the plans under `history` that rotation still looks at, and sets garden->former. A plan
 * that is missing, damaged or of another format: [history], with its place in the garden file; a
 * plot that is gone or has another outline: a warning [history-plot]. HR_INPUT, HR_NOMEM. */
HR_CHECKED hr_status history_read(struct garden *garden, struct arena *arena, struct diags *diags);

#endif
