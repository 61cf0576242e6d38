/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands for years: asparagus, rhubarb, strawberries. */
#include "hr_test.h"

#include "menu_text.h"
#include "plan.h"
#include "report.h"
#include "sheet.h"
#include "standing.h"
#include "turns.h"
#include "verify.h"

#define HEAD                                                                                       \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n"                             \
    "plots:\n  - name: A\n    size: 4 m x 3 m\n    border: 0 m\n    rows: along-x\n"
#define BED(crop) "    standing:\n      - {crop: " crop ", at: [0 m, 0 m], size: 4 m x 1.4 m}\n"
#define SEED      "seed:\n  - {variety: Early, crop: lettuce}\n"

/* Cut from about the last frost to seven weeks after it; 30 lb from 100 ft of row (0.45 kg/m,
 * Kentucky's garden guide), within the figures' range. */
Test(perennial, asparagus_is_cut_in_spring)
{
    struct made m = made_of(HEAD BED("asparagus") SEED);
    const struct block *bed = &m.menu.standing[0];
    const struct season *s = &bed->planting->parts[0].season;
    int frost = 123; /* May 3 */
    cr_assert(s->fit == SEASON_FITS && s->harvest_low >= frost - 10 && s->harvest_low <= frost + 5);
    cr_assert(s->harvest_high >= frost + 35 && s->harvest_high <= frost + 55);
    const struct crop *crop = bed->planting->parts[0].crop;
    double kg = standing_kg(bed), low = crop->yield_kg_m2.low / crop->yield_kg_m2.typ;
    cr_assert(bed->lines == 1 && kg < 0.45 * 4 * 1.3 && kg > 0.45 * 4 * low, "%g kg", kg);
    garden_text_free(&m.text);
}

/* Its fern stands until the frost: it shades what grows after the cutting. */
Test(perennial, leaves_outlast_the_harvest)
{
    struct made m = made_of(HEAD BED("asparagus") SEED);
    struct growth growth = block_growth(&m.menu.standing[0]);
    const struct season *s = &m.menu.standing[0].planting->parts[0].season;
    cr_assert(growth.ripe == s->frost && s->frost > s->harvest_typ + 60);
    garden_text_free(&m.text);
    m = made_of(HEAD BED("garlic") SEED);
    growth = block_growth(&m.menu.standing[0]);
    cr_assert(growth.ripe == m.menu.standing[0].planting->parts[0].season.harvest_typ);
    garden_text_free(&m.text);
}

/* Garlic would leave its ground to lettuce; these do not. */
Test(perennial, no_second_crop_follows)
{
    static const char *const beds[] = {HEAD BED("asparagus") SEED "grow: {second crops: yes}\n",
                                       HEAD BED("rhubarb") SEED "grow: {second crops: yes}\n",
                                       HEAD BED("strawberry") SEED "grow: {second crops: yes}\n"};
    for (size_t i = 0; i < 3; i++) {
        struct made m = made_of(beds[i]);
        cr_assert(m.zones.nstanding == 1 && m.menu.standing[0].planting->slot == SLOT_WHOLE);
        garden_text_free(&m.text);
    }
    struct made m = made_of(HEAD BED("garlic") SEED "grow: {second crops: yes}\n");
    cr_assert(m.zones.nstanding == 0 && m.menu.standing[0].planting->slot == SLOT_FIRST);
    garden_text_free(&m.text);
}

/* Who lists it under `seed` is told why nothing is planted of it. */
Test(perennial, none_is_planted)
{
    struct made m = made_of(HEAD SEED "  - {variety: Old Red, crop: rhubarb}\n");
    bool told = false;
    for (int i = 0; i < m.menu.nleft_out; i++)
        told |= strcmp(m.menu.left_out[i].name, "rhubarb") == 0 &&
                strstr(m.menu.left_out[i].why, "stands for years");
    cr_assert(told);
    for (int t = 0; t < m.menu.nplantings; t++)
        cr_assert(strcmp(m.menu.plantings[t].parts[0].crop->name.s, "rhubarb") != 0);
    garden_text_free(&m.text);
}

/* The whole way: it is in the plan and its papers, and nobody is told to clear it. */
Test(perennial, stands_in_the_plan, .timeout = 60)
{
    struct garden_text t =
        garden_text_read(HEAD BED("rhubarb") SEED "grow: {cover after harvest: yes}\n");
    struct plan_make_options o = {.seconds = 20, .gap = 0.2};
    struct plan *plan = NULL;
    cr_assert(plan_make(t.garden, &o, t.arena, t.diags, &plan) == HR_OK, "%s",
              garden_text_diags(&t));
    cr_assert(verify_plan(plan, t.arena, t.diags) == HR_OK, "%s", garden_text_diags(&t));
    struct strbuf said;
    strbuf_init(&said, t.arena);
    report_summary(plan, &said);
    cr_assert(strstr(said.p, "it stands on") && !strstr(said.p, "stays free"), "%s", said.p);
    struct sheet *sheet;
    CALL(sheet_make(t.arena, plan, &sheet));
    strbuf_init(&said, t.arena);
    for (int i = 0; i < sheet->nstages; i++)
        for (const struct sheet_job *job = sheet->stages[i].jobs; job; job = job->next)
            strbuf_printf(&said, "%s\n", job->where);
    cr_assert(strstr(said.p, "What stands for years (b3)"), "%s", said.p);
    cr_assert(!strstr(said.p, "block 3 ("), "no cover crop on it: %s", said.p);
    garden_text_free(&t);
}
