/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "normals_peoria.h"
#include "plan_text.h"
#include "report.h"
#include "sheet.h"
#include "verify.h"

#define HAS(text, words)     cr_assert(strstr((text), (words)) != NULL, "no `%s` in\n%s", words, text)
#define HAS_NOT(text, words) cr_assert(strstr((text), (words)) == NULL, "`%s` in\n%s", words, text)

/* Peoria's temperatures where frosts end in April: bean and squash wait for warm soil. */
#define HEAD                                                                                       \
    "garden: Warm Hollow\nunits: us\nyear: 2027\nsite:\n  latitude: 40.7 deg\n"                    \
    "  last frost: {early: Mar 30, median: Apr 10, late: Apr 20}\n"                                \
    "  first frost: {early: Oct 2, median: Oct 14, late: Oct 27}\n"

static struct plan_text plan_of(const char *normals)
{
    char yaml[4096];
    snprintf(yaml, sizeof yaml, "%s%s%s%s", HEAD, normals, PLAN_TEXT_PLOTS, PLAN_TEXT_SEED);
    struct plan_text p = plan_text_new(yaml);
    plan_text_block(&p, 0, SYSTEM_HILLS, "corn, bean and squash", 3);
    plan_text_block(&p, 0, SYSTEM_ROWS, "potato", 2);
    plan_text_block(&p, 1, SYSTEM_ROWS, "climbing bean", 2);
    plan_text_finish(&p);
    return p;
}

static const char *said(struct plan_text *p)
{
    struct strbuf b;
    strbuf_init(&b, p->t.arena);
    report_summary(p->plan, &b);
    cr_assert(!b.failed);
    return b.p;
}

static const char *sheet_said(struct plan_text *p)
{
    struct sheet *sheet;
    CALL(sheet_make(p->t.arena, p->plan, &sheet));
    for (int i = 0; i < sheet->nstages; i++)
        if (strstr(sheet->stages[i].when, "soil is usually warm"))
            return sheet->stages[i].when;
    return "";
}

Test(report_warmth, cold_soil_is_told_where_it_moves_a_day)
{
    struct plan_text p = plan_of(PEORIA_NORMALS);
    cr_assert(verify_plan(p.plan, p.t.arena, p.t.diags) == HR_OK, "%s", garden_text_diags(&p.t));
    const char *s = said(&p);
    const struct season *bean = &p.plan->blocks[2].planting->parts[0].season;
    char day[32], words[128];
    snprintf(words, sizeof words,
             "  - Wren's Speckled waits for soil of 60 F: sown about %s, not April 20.",
             date_text(day, sizeof day, bean->sow));
    HAS(s, "\nCold soil, by the monthly normals\n");
    HAS(s, words);
    HAS(s, "  - Cellar Gold waits for soil of 45 F: sown about March 28, not March 13.");
    HAS_NOT(s, "Ember Ridge waits"); /* 50 F are there on April 20 */
    HAS(sheet_said(&p), "from March 28 (when the soil is usually warm); soil at least 45 F");
    plan_text_free(&p);
}

Test(report_warmth, without_normals_nothing_is_said)
{
    struct plan_text p = plan_of("");
    cr_assert(verify_plan(p.plan, p.t.arena, p.t.diags) == HR_OK, "%s", garden_text_diags(&p.t));
    HAS_NOT(said(&p), "Cold soil");
    cr_assert(*sheet_said(&p) == '\0');
    struct strbuf b;
    strbuf_init(&b, p.t.arena);
    report_normals(p.t.garden, &b);
    report_ripening(p.t.garden, &b);
    cr_assert(b.n == 0);
    plan_text_free(&p);
}

/* Beans that follow corn in its hills wait for the corn first. */
Test(report_warmth, a_wait_for_the_support_is_not_cold_soil)
{
    struct plan_text p = plan_of(PEORIA_NORMALS);
    const struct planting *hills = p.plan->blocks[0].planting;
    p.plan->nblocks = 1;
    struct strbuf b;
    strbuf_init(&b, p.t.arena);
    report_soil(p.plan, &b);
    cr_assert(hills->parts[1].season.sow > hills->parts[0].season.sow);
    cr_assert(b.n == 0 || !strstr(b.p, "Wren"), "%s", b.p);
    plan_text_free(&p);
}

Test(report_warmth, ripening_and_normals_in_both_units)
{
    struct plan_text p = plan_of(PEORIA_NORMALS);
    struct strbuf b;
    strbuf_init(&b, p.t.arena);
    report_normals(p.t.garden, &b);
    HAS(b.p, "warmest month 86 F by day, 66 F by night; 3,");
    HAS(b.p, " F days");
    p.t.garden->units.v = UNITS_METRIC;
    strbuf_init(&b, p.t.arena);
    report_normals(p.t.garden, &b);
    HAS(b.p, "warmest month 30 C by day, 19 C by night; 1,");
    strbuf_init(&b, p.t.arena);
    report_ripening(p.t.garden, &b);
    HAS(b.p, "  Ember Ridge ");
    HAS(b.p, "  Cellar Gold ");
    HAS_NOT(b.p, "Long Lantern"); /* squash ripens by its days */
    plan_text_free(&p);
}
