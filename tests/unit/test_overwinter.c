/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "menu_text.h"
#include "overwinter.h"
#include "plan_text.h"
#include "report.h"
#include "standing.h"
#include "standing_days.h"
#include "verify.h"

#define GARDEN(plot, more)                                                                         \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\n"                              \
    "plots:\n  - {name: A, size: 4 m x 5 m, border: 0 m, rows: along-x" plot "}\n"                 \
    "seed:\n  - {variety: Tall \"Ash\", crop: kale, save: yes}\n"                                  \
    "  - {variety: Dun, crop: carrot, save: yes}\n  - {variety: Cellar Gold, crop: potato}\n" more

/* Two rows of kale at 10 in (15 to a row) behind one of carrots: of the 40 plants of a sound stand
 * there are 30, all of them, in 24 in rows. */
static struct plan_text kale(const char *yaml)
{
    struct plan_text p = plan_text_new(yaml);
    plan_text_block(&p, 0, SYSTEM_ROWS, "carrot", 1);
    plan_text_block(&p, 0, SYSTEM_ROWS, "kale", 2);
    plan_text_finish(&p);
    return p;
}

Test(overwinter, hardy_plants_stay_where_they_are)
{
    struct plan_text p = kale(GARDEN("", ""));
    struct overwinter *kept;
    int n;
    CALL(overwinter_of(p.plan, garden_seed(p.t.garden, 0), p.t.arena, &kept, &n));
    cr_assert(n == 1 && kept->block == 1 && kept->lines == 2 && kept->stays);
    cr_assert(kept->plants == 30, "%d", kept->plants);
    struct rect r = overwinter_ground(p.plan, kept);
    double deep = p.plan->blocks[0].depth_m;
    cr_assert(near(r.x0, 0, 1e-9) && near(r.x1, 4, 1e-9) && near(r.y0, deep, 1e-9));
    cr_assert(near(r.y1 - r.y0, 2 * 24 * 0.0254, 1e-9), "%g", r.y1 - r.y0);
    CALL(overwinter_of(p.plan, garden_seed(p.t.garden, 2), p.t.arena, &kept, &n));
    cr_assert(n == 0, "nobody saves seed of the potato");
    plan_text_free(&p);
}

/* Carrots are not hardy enough; and nothing stays where the ground must be cleared. */
Test(overwinter, others_are_lifted)
{
    struct plan_text p = kale(GARDEN(", clear by: Nov 1", ""));
    struct overwinter *kept;
    int n;
    CALL(overwinter_of(p.plan, garden_seed(p.t.garden, 0), p.t.arena, &kept, &n));
    cr_assert(n == 1 && !kept->stays);
    plan_text_free(&p);
    p = kale(GARDEN("", ""));
    CALL(overwinter_of(p.plan, garden_seed(p.t.garden, 1), p.t.arena, &kept, &n));
    cr_assert(n == 1 && !kept->stays && kept->lines == 1 && kept->plants == 40, "%d", kept->plants);
    plan_text_free(&p);
}

/* Carrots that spinach follows are out of the ground in summer: those that stand into fall are
 * lifted for seed, though they are fewer. */
Test(overwinter, kept_of_what_stands_into_fall)
{
    struct plan_text p = plan_text_new(GARDEN("", ""));
    plan_text_block(&p, 0, SYSTEM_ROWS, "carrot", 3);
    plan_text_block(&p, 0, SYSTEM_ROWS, "kale", 1);
    plan_text_block(&p, 0, SYSTEM_ROWS, "carrot", 1);
    struct planting first = *p.plan->blocks[0].planting;
    first.slot = SLOT_FIRST;
    p.plan->blocks[0].planting = &first;
    p.plan->blocks[2].length_m = 1; /* 19 plants or so: the rest is of the others */
    plan_text_finish(&p);
    struct overwinter *kept;
    int n;
    CALL(overwinter_of(p.plan, garden_seed(p.t.garden, 1), p.t.arena, &kept, &n));
    cr_assert(n == 2 && kept[0].block == 2 && kept[1].block == 0, "%d, of %d", n, kept[0].block);
    cr_assert(kept[0].plants < 40 && kept[0].plants + kept[1].plants == 40);
    cr_assert(p.plan->crops[1].kept_plants == 40);
    cr_assert(verify_plan(p.plan, p.t.arena, p.t.diags) == HR_INPUT, "a block was cut short");
    cr_assert(!diag_find(p.t.diags, 0, 0, "verify-kept"), "%s", diags_words(p.t.diags));
    plan_text_free(&p);
}

/* A first crop is off by summer: plants for seed are of what stands until fall, and where there are
 * first crops alone nothing stays on ground that is planted again. */
Test(overwinter, first_crops_come_last)
{
    struct plan_text p = plan_text_new(GARDEN("", ""));
    struct overwinter *kept;
    int n;
    struct block *early = plan_text_block(&p, 0, SYSTEM_ROWS, "kale", 2);
    struct block *late = plan_text_block(&p, 0, SYSTEM_ROWS, "kale", 1);
    plan_text_finish(&p);
    struct planting first = *early->planting;
    first.slot = SLOT_FIRST;
    early->planting = &first;
    CALL(overwinter_of(p.plan, garden_seed(p.t.garden, 0), p.t.arena, &kept, &n));
    cr_assert(n == 2 && kept[0].block == 1 && kept[0].stays, "the later ones");
    cr_assert(kept[1].block == 0 && !kept[1].stays, "its ground is wanted");
    cr_assert(late->planting->slot != SLOT_FIRST);
    plan_text_free(&p);
}

/* What the report says to write into next year's file can be written there. */
Test(overwinter, next_year_reads_what_this_year_says)
{
    struct plan_text p = kale(GARDEN("", ""));
    struct strbuf said;
    char yaml[4096];
    strbuf_init(&said, p.t.arena);
    report_seed_saving(p.plan, &said);
    cr_assert(!said.failed && strstr(said.p, "Leave 30 plants (rows 2.1 to 2.2)"), "%s", said.p);
    cr_assert(strstr(said.p, "Lift 40 plants (row"), "%s", said.p);
    const char *item = strstr(said.p, "      - {crop: kale"),
               *end = item ? strchr(item, '}') : NULL;
    cr_assert(end != NULL, "%s", said.p);
    snprintf(yaml, sizeof yaml,
             "garden: x\nunits: metric\nyear: 2028\nsite:\n  latitude: 42 deg\n"
             "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\n"
             "plots:\n  - name: A\n    size: 4 m x 5 m\n    standing:\n%.*s\n"
             "seed:\n  - {variety: Cellar Gold, crop: potato}\n",
             (int)(end + 1 - item), item);
    struct made m = made_of(yaml);
    const struct block *b = &m.menu.standing[0];
    cr_assert(m.menu.nstanding == 1 && b->lines == 2 && standing_plants(b) == 30);
    cr_assert(standing_kg(b) == 0, "in flower it is no food");
    cr_assert(strcmp(b->planting->label, "kale, for seed") == 0, "%s", b->planting->label);
    const struct season *s = &b->planting->parts[0].season;
    cr_assert(s->harvest_typ == standing_seed_day(&m.text.garden->site));
    cr_assert(s->harvest_low < s->harvest_typ && s->sow < 0, "there since last year");
    garden_text_free(&m.text);
    plan_text_free(&p);
}

/* Whether kale is on the menu as a first crop. */
static bool comes_first(const char *yaml)
{
    struct made m = made_of(yaml);
    bool found = false;
    for (int i = 0; i < m.menu.nitems; i++) {
        const struct planting *p = &m.menu.plantings[m.menu.items[i].planting];
        found |= p->slot == SLOT_FIRST && strcmp(p->parts[0].crop->name.s, "kale") == 0;
    }
    garden_text_free(&m.text);
    return found;
}

/* It binds where plants stay, not where all is lifted. */
Test(overwinter, ground_that_is_kept_bears_no_second_crop)
{
    cr_assert(!comes_first(GARDEN("", "grow: {second crops: yes}\n")));
    cr_assert(comes_first(GARDEN(", clear by: Nov 1", "grow: {second crops: yes}\n")));
}

Test(overwinter, verify_holds_that_ground_back)
{
    struct plan_text p = kale(GARDEN("", "grow: {second crops: yes}\n"));
    struct planting first = *p.plan->blocks[1].planting;
    first.slot = SLOT_FIRST;
    p.plan->blocks[1].planting = &first;
    cr_assert(verify_plan(p.plan, p.t.arena, p.t.diags) == HR_INPUT);
    cr_assert(strstr(diags_words(p.t.diags), "its plants for seed stay"), "%s",
              diags_words(p.t.diags));
    plan_text_free(&p);
}
