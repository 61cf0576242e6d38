/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "menu_text.h"
#include "plan.h"
#include "program.h"
#include "report.h"
#include "standing.h"
#include "turns.h"
#include "verify.h"

/* Maryland's frosts, see test_menu.c. Garlic stands on 3 m by 1 m along the near side. */
#define HEAD(place)                                                                                \
    "garden: turn\nunits: metric\nyear: 2027\nsite:\n  latitude: 39 deg\n" place                   \
    "plots:\n  - name: A\n    size: 3 m x 2 m\n    border: 0 m\n"
#define MARYLAND                                                                                   \
    "  last frost: {early: Apr 5, median: Apr 18, late: May 1}\n"                                  \
    "  first frost: {early: Oct 9, median: Oct 22, late: Nov 4}\n"
#define NORTH                                                                                      \
    "  last frost: {early: May 14, median: May 26, late: Jun 7}\n"                                 \
    "  first frost: {early: Sep 4, median: Sep 16, late: Sep 28}\n"
#define STANDING(what) "    standing:\n      - {crop: " what ", at: [0 m, 0 m], size: 3 m x 1 m}\n"
#define SEED                                                                                       \
    "seed:\n  - {variety: Speckled, crop: bush bean}\n  - {variety: Reed, crop: sweet corn}\n"
#define SECOND "grow: {second crops: yes}\n"

static const struct zone *standing_zone(const struct made *m)
{
    return &m->zones.items[zones_standing(&m->zones, 0, 0)];
}

/* Items on the zone of what stands, and what they are. */
static int items_there(const struct made *m)
{
    int n = 0;
    const struct zone *z = standing_zone(m);
    for (int i = 0; i < m->menu.nitems; i++) {
        const struct item *item = &m->menu.items[i];
        const struct planting *p = &m->menu.plantings[item->planting];
        if (&m->zones.items[item->zone] != z)
            continue;
        cr_assert(p->slot == SLOT_SECOND && p->turn_d >= z->done_d + PLANTING_TURN_D);
        cr_assert(p->parts[0].season.sow >= p->turn_d);
        n++;
    }
    return n;
}

/* Garlic, then a late legume (University of Maryland Extension). */
Test(turns, what_stands_leaves_its_ground_to_a_second_crop)
{
    struct made m = made_of(HEAD(MARYLAND) "    rows: along-x\n" STANDING("garlic") SEED SECOND);
    const struct block *garlic = &m.menu.standing[0];
    int turn = turns_after(&m.menu, standing_zone(&m));
    cr_assert(items_there(&m) > 0 && turn >= 0);
    cr_assert(garlic->planting->slot == SLOT_FIRST &&
              garlic->planting->turn_d == m.menu.turns_d[turn]);
    cr_assert(standing_zone(&m)->done_d == garlic->planting->parts[0].season.harvest_typ);
    cr_assert(m.zones.nstanding == 0 && standing_zone(&m) == &m.zones.items[m.zones.n - 1]);
    for (int i = 0; i < m.menu.nitems && turn >= m.menu.ncrop_turns; i++)
        cr_assert(m.zones.items[m.menu.items[i].zone].stands > 0 ||
                      m.menu.plantings[m.menu.items[i].planting].turn_d != m.menu.turns_d[turn],
                  "what follows the garlic is nowhere else");
    garden_text_free(&m.text);
}

/* Nobody asked for it; or summer is too short. */
Test(turns, else_the_ground_stays_free)
{
    struct made m = made_of(HEAD(MARYLAND) STANDING("garlic") SEED);
    cr_assert(items_there(&m) == 0 && m.zones.nstanding == 1);
    cr_assert(m.menu.standing[0].planting->slot == SLOT_WHOLE);
    garden_text_free(&m.text);
    m = made_of(HEAD(NORTH) STANDING("garlic") SEED SECOND);
    cr_assert(items_there(&m) == 0 && turns_after(&m.menu, standing_zone(&m)) < 0);
    cr_assert(m.menu.standing[0].planting->slot == SLOT_WHOLE);
    garden_text_free(&m.text);
}

static int row_of(const struct program *m, const char *name)
{
    for (int i = 0; i < m->mip.nrows; i++)
        if (strcmp(m->mip.rows[i].name, name) == 0)
            return i;
    return -1;
}

/* Its depth is what the block takes, and its rows run as the block's do, whatever the plot's. */
Test(turns, rows_of_the_program)
{
    struct made m = made_of(HEAD(MARYLAND) STANDING("garlic") SEED SECOND);
    struct program p;
    char name[64];
    CALL(program_init(&p, m.text.garden, &m.zones, &m.menu, m.text.arena));
    CALL(program_build(&p));
    int depth = row_of(&p, "depth_P1s_1");
    cr_assert(depth >= 0 && near(p.mip.rows[depth].upper, 1, 1e-6));
    cr_assert(program_way(&p, m.zones.n - 1) < 0 && program_way(&p, 0) >= 0);
    snprintf(name, sizeof name, "second_P1s_1_%d", turns_after(&m.menu, standing_zone(&m)) + 1);
    cr_assert(row_of(&p, name) >= 0, "%s", name);
    garden_text_free(&m.text);
}

/* Leeks of last year are dug until the day that is told, or the last frost; they are ripe. */
Test(turns, leeks_left_over_the_winter)
{
    struct made m =
        made_of(HEAD(MARYLAND) STANDING("leek, over winter: yes, until: Apr 1") SEED SECOND);
    const struct season *s = &m.menu.standing[0].planting->parts[0].season;
    cr_assert(s->harvest_typ == 91 && s->sow < 0 && s->harvest_low < s->harvest_typ);
    cr_assert(standing_kg(&m.menu.standing[0]) > 1 && items_there(&m) > 0);
    garden_text_free(&m.text);
    m = made_of(HEAD(MARYLAND) STANDING("leek, over winter: yes") SEED SECOND);
    s = &m.menu.standing[0].planting->parts[0].season;
    cr_assert(s->fit == SEASON_FITS && s->harvest_typ >= 95 && s->harvest_typ <= 121);
    garden_text_free(&m.text);
}

/* A rule of height holds for what follows, too. */
Test(turns, rules_of_height_hold)
{
    const char *yaml =
        HEAD(MARYLAND) "    edges: [{side: 1, tallest: 1 m}]\n" STANDING("garlic") SEED SECOND;
    struct made m = made_of(yaml);
    cr_assert(near(standing_zone(&m)->tallest_m, 1, 1e-9));
    for (int i = 0; i < m.menu.nitems; i++)
        cr_assert(strcmp(m.menu.plantings[m.menu.items[i].planting].parts[0].crop->name.s,
                         "sweet corn") != 0);
    garden_text_free(&m.text);
}

static struct plan *planned(struct garden_text *t)
{
    struct plan_make_options o = {.seconds = 20, .gap = 0.2};
    struct plan *plan = NULL;
    cr_assert(t->status == HR_OK, "%s", garden_text_diags(t));
    cr_assert(plan_make(t->garden, &o, t->arena, t->diags, &plan) == HR_OK, "%s",
              garden_text_diags(t));
    cr_assert(verify_plan(plan, t->arena, t->diags) == HR_OK, "%s", garden_text_diags(t));
    return plan;
}

static struct block *standing_of(struct plan *plan)
{
    for (int b = 0; b < plan->nblocks; b++)
        if (block_standing(&plan->blocks[b]))
            return &plan->blocks[b];
    return NULL;
}

#define BEANS "seed: [{variety: Speckled, crop: bush bean}]\n"

/* The whole way: beans where the garlic stood, in a plot that may run its rows either way. */
Test(turns, a_plan_has_beans_after_garlic, .timeout = 60)
{
    struct garden_text t = garden_text_read(HEAD(MARYLAND) STANDING("garlic") BEANS SECOND);
    struct plan *plan = planned(&t);
    struct block *garlic = standing_of(plan);
    int after = 0;
    for (int b = 0; b < plan->nblocks; b++)
        after +=
            plan->blocks[b].zone == garlic->zone && plan->blocks[b].planting->slot == SLOT_SECOND;
    cr_assert(after > 0 && garlic->planting->slot == SLOT_FIRST);
    struct strbuf said;
    strbuf_init(&said, t.arena);
    report_summary(plan, &said);
    cr_assert(strstr(said.p, "behind what stands") && strstr(said.p, "second crop"), "%s", said.p);
    const struct planting *first = garlic->planting;
    struct planting whole = *first; /* as if it stayed */
    whole.slot = SLOT_WHOLE;
    garlic->planting = &whole;
    cr_assert(verify_plan(plan, t.arena, t.diags) == HR_INPUT);
    cr_assert(diag_find(t.diags, 0, 0, "verify-standing") != NULL, "%s", garden_text_diags(&t));
    cr_assert(diag_find(t.diags, 0, 0, "verify-block") != NULL, "%s", garden_text_diags(&t));
    garlic->planting = first; /* and free ground that is said to be taken */
    for (int b = 0; b < plan->nblocks; b++)
        if (plan->blocks[b].zone != garlic->zone)
            memcpy(plan->zones.items[plan->blocks[b].zone].name, "P1s-9", 6);
    cr_assert(verify_plan(plan, t.arena, t.diags) == HR_INPUT);
    cr_assert(strstr(diags_words(t.diags), "follows what does not stand there"), "%s",
              diags_words(t.diags));
    garden_text_free(&t);
}

/* Where nothing follows in the end, the plan says that it stands all season. */
Test(turns, what_nothing_follows_stands_all_season)
{
    struct made m = made_of(HEAD(MARYLAND) STANDING("garlic") SEED SECOND);
    struct block blocks[2] = {m.menu.standing[0], m.menu.standing[0]};
    struct planting bean = m.menu.plantings[0];
    blocks[1].planting = &bean;
    CALL(standing_settle(blocks, 2, m.text.arena));
    cr_assert(blocks[0].planting->slot == SLOT_FIRST);
    blocks[1].zone = 0;
    CALL(standing_settle(blocks, 2, m.text.arena));
    cr_assert(blocks[0].planting->slot == SLOT_WHOLE && blocks[0].planting->turn_d == 0);
    cr_assert(m.menu.standing[0].planting->slot == SLOT_FIRST, "the menu's own is left alone");
    garden_text_free(&m.text);
}
