/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "kept_off.h"

#define GARDEN(grow)                                                                               \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 40 deg\n"                            \
    "  last frost: {median: Apr 20}\n  first frost: {median: Oct 25}\n"                            \
    "plots:\n  - {name: A, size: 4 m x 6 m, border: 0 m, rows: along-x}\n"                         \
    "seed:\n  - {variety: Red, crop: potato}\n  - {variety: Sheaf, crop: flint corn}\n"            \
    "rotation: {rule: bar, years: 4}\n" grow

/* Potatoes stood on the ground up to y1 m: the status of the menu, and what it says of them. */
static const char *said(const char *yaml, double y1_m, hr_status due)
{
    static char text[512];
    struct garden_text t = garden_text_read(yaml);
    struct former former = {.year = 2025, .x1 = 4, .y1 = y1_m, .family = "Solanaceae"};
    struct zones zones;
    struct menu menu = {0};
    cr_assert(t.status == HR_OK, "%s", garden_text_diags(&t));
    t.garden->former = &former;
    t.garden->nformer = 1;
    CALL(zones_cut(t.garden, t.arena, t.diags, &zones));
    hr_status status = menu_make(t.garden, &zones, t.arena, t.diags, &menu);
    cr_assert(status == due, "%d: %s", (int)status, garden_text_diags(&t));
    snprintf(text, sizeof text, "%s", due == HR_OK ? "" : garden_text_diags(&t));
    for (int i = 0; i < menu.nleft_out; i++)
        if (strcmp(menu.left_out[i].name, "potato") == 0)
            snprintf(text, sizeof text, "%s", menu.left_out[i].why);
    garden_text_free(&t);
    return text;
}

Test(kept_off, says_who_and_until_when)
{
    const char *text = said(GARDEN(""), 6, HR_OK);
    cr_assert(strstr(text, "potato (Solanaceae) stood in 2025") && strstr(text, "until 2030"), "%s",
              text);
}

/* Where some ground is left for a row, the goal has to say; where it is too narrow, rotation. */
Test(kept_off, where_no_room_is_left)
{
    cr_assert(said(GARDEN(""), 4, HR_OK)[0] == '\0');
    cr_assert(said(GARDEN(""), 5.6, HR_OK)[0] != '\0', "40 cm: a row of potatoes takes more");
}

Test(kept_off, where_nothing_else_is_to_grow)
{
    const char *text = said(GARDEN("grow: {crops: [potato]}\n"), 6, HR_INPUT);
    cr_assert(strstr(text, "nothing-to-grow") && strstr(text, "until 2030"), "%s", text);
}
