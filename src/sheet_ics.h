/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SHEET_ICS_H
#define SHEET_ICS_H
/* The stages of a sheet as a calendar (RFC 5545): an all-day event each. */
#include "sheet.h"

/* An event's UID hangs on the garden, the year and the work alone (what is done with which
 * variety, and the how-many-eth time), so that a plan made again replaces the events of the one
 * before. DTSTAMP is the first of January of the garden's year: the same plan gives the same
 * bytes. Out of memory: out->failed. */
void sheet_ics(const struct sheet *sheet, struct strbuf *out);

#endif
