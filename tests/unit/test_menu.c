/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include <math.h>

#include "menu_text.h"
#include "normals_peoria.h"

static const char *const garden_yaml =
    "garden: menu\nunits: us\nyear: 2027\nsite:\n  latitude: 42 deg\n"
    "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"
    "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n"
    "plots:\n  - {name: bed, size: 20 ft x 25 ft, rows: either}\n"
    "seed:\n  - {variety: A, crop: flint corn, days: 90 days}\n"
    "  - {variety: B, crop: climbing bean, days: 90 days}\n"
    "  - {variety: C, crop: butternut squash, days: 95 days}\n"
    "  - {variety: D, crop: grain amaranth, days: 100 days}\n"
    "  - {variety: E, crop: bush bean, days: 200 days}\n";

Test(menu, offers_guild_and_rows_at_several_spacings)
{
    struct made m = made_of(garden_yaml);
    int hills = 0, amaranth = 0;
    for (int t = 0; t < m.menu.nplantings; t++) {
        const struct planting *p = &m.menu.plantings[t];
        hills += p->system == SYSTEM_HILLS && p->nparts == 3;
        amaranth += p->nparts == 1 && p->parts[0].seed_index == 3;
        for (int u = 0; u < t; u++)
            cr_assert(strcmp(p->id, m.menu.plantings[u].id) != 0, "%s twice", p->id);
    }
    cr_assert(hills >= 2, "%d spacings of hills", hills);
    cr_assert(amaranth >= 2, "%d spacings of amaranth", amaranth);
    garden_text_free(&m.text);
}

/* Grain amaranth is sown every 6 in and thinned to a final stand of 18 to 24 in (common practice).
 */
Test(menu, amaranth_is_sown_thick_and_thinned)
{
    struct made m = made_of(garden_yaml);
    int seen = 0;
    for (int t = 0; t < m.menu.nplantings; t++) {
        const struct planting *p = &m.menu.plantings[t];
        if (p->nparts != 1 || p->parts[0].seed_index != 3)
            continue;
        seen++;
        cr_assert(p->pitch_m >= 18 * 0.0254 - 1e-9 && p->pitch_m <= 24 * 0.0254 + 1e-9,
                  "final stand %g m", p->pitch_m);
        cr_assert(p->parts[0].sown >= round(p->pitch_m / (6 * 0.0254)), "sown %g",
                  p->parts[0].sown);
        cr_assert(near(p->parts[0].crop->sow_gap_m.typ, 6 * 0.0254, 1e-9), "sown every 6 in");
    }
    cr_assert(seen >= 2, "%d plantings", seen);
    garden_text_free(&m.text);
}

Test(menu, says_what_cannot_ripen)
{
    struct made m = made_of(garden_yaml);
    bool found = false;
    for (int i = 0; i < m.menu.nleft_out; i++)
        if (strcmp(m.menu.left_out[i].name, "bush bean") == 0)
            found = strlen(m.menu.left_out[i].why) > 10;
    cr_assert(found, "a bean of 200 days is left out with a reason");
    garden_text_free(&m.text);
}

/* A plant in a denser stand weighs less: nothing has a fixed yield per plant. */
/* Where it has normals, by degree days and warm soil: the reason that the summary and --explain
 * tell. */
Test(menu, says_what_has_too_few_degree_days)
{
    static const char *const yaml =
        "garden: menu\nyear: 2027\nsite:\n  latitude: 42 deg\n"
        "  last frost: {early: Apr 28, median: May 9, late: May 21}\n"
        "  first frost: {early: Sep 24, median: Oct 6, late: Oct 18}\n" PEORIA_NORMALS
        "plots:\n  - {name: bed, size: 4 m x 4 m, rows: along-x}\n"
        "seed:\n  - {variety: S, crop: sweet potato}\n  - {variety: F, crop: flint corn}\n"
        "  - {variety: Q, crop: sesame}\n"
        "crops:\n  - {crop: sesame, soil at least: {value: 40 C, source: estimate}}\n";
    struct made m = made_of(yaml);
    const char *potato = "", *sesame = "";
    for (int i = 0; i < m.menu.nleft_out; i++) {
        const struct left_out *out = &m.menu.left_out[i];
        potato = strcmp(out->name, "sweet potato") == 0 ? out->why : potato;
        sesame = strcmp(out->name, "sesame") == 0 ? out->why : sesame;
    }
    cr_assert(strncmp(potato, "has ", 4) == 0 && strstr(potato, " of the 2052 C days above 10 C"),
              "%s", potato);
    cr_assert(strstr(sesame, "the soil never has the 40 C"), "%s", sesame);
    const struct planting *corn = NULL;
    for (int t = 0; t < m.menu.nplantings; t++)
        if (m.menu.plantings[t].parts[0].seed_index == 1)
            corn = &m.menu.plantings[t];
    cr_assert(corn, "corn is on the menu");
    const struct season *s = &corn->parts[0].season;
    cr_assert(near(corn->parts[0].days, s->harvest_typ - s->sow, 1e-9) && corn->parts[0].days != 95,
              "days of the site, %g", corn->parts[0].days);
    garden_text_free(&m.text);
}

Test(menu, plants_give_less_when_crowded)
{
    struct made m = made_of(garden_yaml);
    double wide = 0, close = HUGE_VAL, wide_kg = 0, close_kg = 0;
    for (int i = 0; i < m.menu.nitems; i++) {
        const struct item *item = &m.menu.items[i];
        const struct planting *p = &m.menu.plantings[item->planting];
        if (p->system != SYSTEM_HILLS || item->zone != 0)
            continue;
        double kg = item->kg[0][0] / item->plants[0][0];
        if (p->pitch_m > wide) {
            wide = p->pitch_m;
            wide_kg = kg;
        }
        if (p->pitch_m < close) {
            close = p->pitch_m;
            close_kg = kg;
        }
    }
    cr_assert(wide > close, "two pitches");
    cr_assert(wide_kg > 1.05 * close_kg, "%g kg a plant wide, %g close", wide_kg, close_kg);
    garden_text_free(&m.text);
}

/* ---- plots with rules, ground that turns -------------------------------------------------------
 */

#define HEAD                                                                                       \
    "garden: menu\nunits: metric\nyear: 2027\nsite:\n  latitude: 39 deg\n"                         \
    "  last frost: {median: Apr 20}\n  first frost: {median: Oct 20}\n"

static const struct planting *planting_of(const struct made *m, const char *crop, enum slot slot)
{
    for (int t = 0; t < m->menu.nplantings; t++) {
        const struct planting *p = &m->menu.plantings[t];
        if (p->nparts == 1 && p->slot == slot && strcmp(p->parts[0].crop->name.s, crop) == 0)
            return p;
    }
    return NULL;
}

static int items_of(const struct made *m, const char *crop, int plot)
{
    int n = 0;
    for (int i = 0; i < m->menu.nitems; i++) {
        const struct planting *p = &m->menu.plantings[m->menu.items[i].planting];
        n += m->zones.items[m->menu.items[i].zone].plot == plot &&
             strcmp(p->parts[0].crop->name.s, crop) == 0;
    }
    return n;
}

Test(menu, banned_crops_and_families_stay_out)
{
    struct made m =
        made_of(HEAD "plots:\n  - {name: A, size: 4 m x 4 m, rows: along-x,"
                     " banned: [potato, Fabaceae]}\n"
                     "  - {name: B, size: 4 m x 4 m, rows: along-x}\n"
                     "seed:\n  - {variety: P, crop: potato}\n"
                     "  - {variety: B, crop: bush bean}\n  - {variety: K, crop: kale}\n");
    cr_assert(items_of(&m, "potato", 0) == 0 && items_of(&m, "bush bean", 0) == 0);
    cr_assert(items_of(&m, "potato", 1) > 0 && items_of(&m, "bush bean", 1) > 0);
    cr_assert(items_of(&m, "kale", 0) > 0);
    garden_text_free(&m.text);
}

Test(menu, plots_are_sown_while_they_are_open)
{
    struct made m = made_of(HEAD "plots:\n  - {name: A, size: 4 m x 4 m, rows: along-x,"
                                 " open: Apr 25, clear by: Sep 1}\n"
                                 "  - {name: B, size: 4 m x 4 m, rows: along-x}\n"
                                 "seed:\n  - {variety: S, crop: spinach}\n"
                                 "  - {variety: L, crop: leek}\n  - {variety: P, crop: potato}\n");
    cr_assert(items_of(&m, "spinach", 0) == 0, "its window is over when the plot opens");
    cr_assert(items_of(&m, "spinach", 1) > 0);
    int early = 0, late = 0;
    for (int i = 0; i < m.menu.nitems; i++) {
        const struct planting *p = &m.menu.plantings[m.menu.items[i].planting];
        if (m.zones.items[m.menu.items[i].zone].plot != 0)
            continue;
        early += p->parts[0].season.sow < 115;
        late += p->parts[0].season.harvest_typ > 244;
    }
    cr_assert(early == 0 && late == 0, "%d before April 25, %d after September 1", early, late);
    cr_assert(items_of(&m, "potato", 0) > 0, "it can wait until the plot opens");
    garden_text_free(&m.text);
}

/* University of Maryland Extension, planting vegetables in succession: garlic, then ...; peas, then
 * squash June 1; lettuce, then green bean May 15. Which crop may come before and which after must
 * follow from the days alone. */
Test(menu, second_crops_follow_first_ones)
{
    struct made m = made_of(HEAD "plots:\n  - {name: A, size: 4 m x 4 m, rows: along-x}\n"
                                 "seed:\n  - {variety: G, crop: garlic}\n"
                                 "  - {variety: E, crop: garden pea}\n"
                                 "  - {variety: L, crop: lettuce}\n"
                                 "  - {variety: S, crop: summer squash}\n"
                                 "  - {variety: B, crop: snap bean}\n"
                                 "  - {variety: W, crop: butternut squash}\n"
                                 "grow:\n  second crops: yes\n");
    cr_assert(m.menu.nturns >= 2 && m.menu.nturns <= MENU_TURNS_MAX);
    const struct planting *garlic = planting_of(&m, "garlic", SLOT_FIRST);
    const struct planting *pea = planting_of(&m, "garden pea", SLOT_FIRST);
    const struct planting *bean = planting_of(&m, "snap bean", SLOT_SECOND);
    cr_assert(garlic && pea && bean);
    cr_assert(planting_of(&m, "lettuce", SLOT_FIRST) &&
              planting_of(&m, "summer squash", SLOT_SECOND));
    for (int t = 0; t < m.menu.nplantings; t++) {
        const struct planting *p = &m.menu.plantings[t];
        const struct season *s = &p->parts[0].season;
        cr_assert(p->slot != SLOT_FIRST || s->harvest_typ + PLANTING_TURN_D <= p->turn_d, "%s",
                  p->id);
        cr_assert(p->slot != SLOT_SECOND || s->sow >= p->turn_d, "%s", p->id);
        cr_assert(p->slot == SLOT_WHOLE ? p->turn_d == 0 : p->turn_d > 0, "%s", p->id);
    }
    garden_text_free(&m.text);
}

/* Days of 32 F at Beltsville, Maryland (90, 50, 10 % in spring), and College Park beside it (10,
 * 50, 90 % in fall), from NOAA's normals 1981-2010 as garden sites print them. */
#define MARYLAND                                                                                   \
    "garden: chain\nyear: 2027\nsite:\n  latitude: 39 deg\n"                                       \
    "  last frost: {early: Apr 5, median: Apr 18, late: May 1}\n"                                  \
    "  first frost: {early: Oct 9, median: Oct 22, late: Nov 4}\n"
/* An invented place by the Canadian border. */
#define NORTH                                                                                      \
    "garden: chain\nyear: 2027\nsite:\n  latitude: 48 deg\n"                                       \
    "  last frost: {early: May 14, median: May 26, late: Jun 7}\n"                                 \
    "  first frost: {early: Sep 4, median: Sep 16, late: Sep 28}\n"

/* Whether one crop may follow the other on the same ground. */
static bool follows(const char *head, const char *first, const char *second)
{
    char yaml[1024];
    bool found = false;
    snprintf(yaml, sizeof yaml,
             "%splots:\n  - {name: A, size: 3 m x 3 m, rows: along-x}\nseed:\n"
             "  - {variety: One, crop: %s}\n  - {variety: Two, crop: %s}\n"
             "grow:\n  second crops: yes\n",
             head, first, second);
    struct made m = made_of(yaml);
    for (int a = 0; a < m.menu.nplantings; a++)
        for (int b = 0; b < m.menu.nplantings; b++) {
            const struct planting *p = &m.menu.plantings[a], *q = &m.menu.plantings[b];
            found |= p->slot == SLOT_FIRST && q->slot == SLOT_SECOND && p->turn_d == q->turn_d &&
                     strcmp(p->parts[0].crop->name.s, first) == 0 &&
                     strcmp(q->parts[0].crop->name.s, second) == 0;
        }
    garden_text_free(&m.text);
    return found;
}

/* University of Maryland Extension, planting vegetables in succession: its combinations, two by two
 * (Asian greens, radish, eggplant and broccoli are not in the library; cabbage stands for the
 * last), and early greens before cucumbers, garlic before a late legume. */
Test(menu, successions_of_maryland)
{
    static const char *const pairs[][2] = {
        {"garlic", "cucumber"},    {"garden pea", "summer squash"}, {"fava bean", "summer squash"},
        {"summer squash", "kale"}, {"lettuce", "snap bean"},        {"snap bean", "cabbage"},
        {"cucumber", "snap bean"}, {"snap bean", "spinach"},        {"spinach", "cucumber"},
        {"lettuce", "cucumber"},   {"garlic", "snap bean"},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        cr_expect(follows(MARYLAND, pairs[i][0], pairs[i][1]), "%s, then %s", pairs[i][0],
                  pairs[i][1]);
}

/* Where summer is short, what takes long does not leave enough of it. */
Test(menu, successions_that_the_north_has_no_time_for)
{
    static const char *const none[][2] = {
        {"garlic", "cucumber"}, {"cucumber", "snap bean"}, {"garlic", "snap bean"}};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        cr_expect(!follows(NORTH, none[i][0], none[i][1]), "%s, then %s", none[i][0], none[i][1]);
    cr_expect(follows(NORTH, "spinach", "lettuce"), "but early greens leave time for more of them");
}

Test(menu, ground_does_not_turn_unasked)
{
    struct made m = made_of(garden_yaml);
    cr_assert(m.menu.nturns == 0);
    for (int t = 0; t < m.menu.nplantings; t++)
        cr_assert(m.menu.plantings[t].slot == SLOT_WHOLE);
    garden_text_free(&m.text);
}

/* The gardener's distances take the library's place, for what they are of and nothing else. */
Test(menu, settled_spacings_are_the_only_ones)
{
    char yaml[4096];
    snprintf(yaml, sizeof yaml,
             "%sgrow:\n  spacings:\n    - {crop: grain amaranth, along: 30 cm, across: 50 cm}\n"
             "    - {guild: \"corn, bean and squash\", along: 1.5 m}\n",
             garden_yaml);
    struct made m = made_of(yaml);
    int hills = 0, amaranth = 0, row_guild = 0;
    for (int t = 0; t < m.menu.nplantings; t++) {
        const struct planting *p = &m.menu.plantings[t];
        bool sole = strcmp(p->parts[0].crop->name.s, "grain amaranth") == 0 && p->nparts == 1;
        bool guild = p->guild && strcmp(p->guild->name.s, "corn, bean and squash") == 0;
        if (sole) {
            cr_assert(near(p->pitch_m, 0.3, 1e-9) && near(p->line_m, 0.5, 1e-9));
            amaranth++;
        }
        if (guild && p->system == SYSTEM_HILLS) {
            cr_assert(near(p->pitch_m, 1.5, 1e-9) && near(p->line_m, 1.5 * sqrt(3) / 2, 1e-9));
            hills++;
        }
        row_guild += guild && p->system == SYSTEM_ROW_GUILD;
    }
    cr_assert_eq(amaranth, 1);
    cr_assert_eq(hills, 1);
    cr_assert_eq(row_guild, 3, "the row guild keeps the library's three, not %d", row_guild);
    garden_text_free(&m.text);
}

#define PICKED(bean)                                                                               \
    "garden: x\nyear: 2027\nsite:\n  latitude: 42 deg\n  last frost: {median: May 3}\n"            \
    "  first frost: {median: Oct 10}\nplots:\n  - {name: A, size: 20 ft x 25 ft}\nseed:\n"         \
    "  - {variety: Ember, crop: flint corn}\n  - {variety: Lantern, crop: butternut squash}\n"     \
    "  - {variety: Speckled, crop: climbing bean" bean "}\n"

/* Plantings that have the bean of PICKED in a guild: [0] with vines, [1] without. */
static void beans_in_guilds(const struct menu *menu, int n[2])
{
    n[0] = n[1] = 0;
    for (int t = 0; t < menu->nplantings; t++)
        for (int k = 0; k < menu->plantings[t].nparts && menu->plantings[t].guild; k++)
            if (menu->plantings[t].parts[k].seed_index == 2)
                n[!planting_covers(&menu->plantings[t])]++;
}

/* Dry beans wait until the end; beans picked green stand where one can walk: in rows, or in hills
 * that no vine closes. A second variety that is picked dry brings the guild back. */
Test(menu, what_is_picked_again_and_again_stands_where_one_gets_at_it)
{
    int n[2];
    struct made dry = made_of(PICKED("")), fresh = made_of(PICKED(", harvest: fresh")),
                both =
                    made_of(PICKED(", harvest: fresh") "  - {variety: D, crop: climbing bean}\n");
    beans_in_guilds(&dry.menu, n);
    cr_assert(n[0] > 0 && n[1] > 0, "%d, %d", n[0], n[1]);
    beans_in_guilds(&fresh.menu, n);
    cr_assert(n[0] == 0 && n[1] > 0, "%d, %d", n[0], n[1]);
    const char *why = NULL;
    for (int i = 0; i < fresh.menu.nleft_out; i++)
        if (strcmp(fresh.menu.left_out[i].name, "corn, bean and squash") == 0)
            why = fresh.menu.left_out[i].why;
    cr_assert(why && strstr(why, "nobody gets at climbing bean (Speckled)"), "%s",
              why ? why : "no reason");
    bool guild = false;
    for (int t = 0; t < both.menu.nplantings; t++)
        guild |= both.menu.plantings[t].guild && planting_covers(&both.menu.plantings[t]) &&
                 both.menu.plantings[t].nparts == 3;
    for (int i = 0; i < both.menu.nleft_out; i++)
        cr_assert(strcmp(both.menu.left_out[i].name, "corn, bean and squash") != 0);
    cr_assert(guild);
    garden_text_free(&dry.text);
    garden_text_free(&fresh.text);
    garden_text_free(&both.text);
}
