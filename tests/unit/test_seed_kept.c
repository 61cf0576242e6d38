/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "plan_json.h"
#include "plan_text.h"
#include "report.h"
#include "seed_kept.h"
#include "verify.h"

#include <unistd.h>

#define GARDEN(save)                                                                               \
    "garden: x\nunits: metric\nyear: 2027\nsite:\n  latitude: 42 deg\n"                            \
    "  last frost: {median: May 9}\n  first frost: {median: Oct 6}\n"                              \
    "plots:\n  - {name: A, size: 4 m x 6 m, border: 0 m, rows: along-x}\n"                         \
    "seed:\n  - {variety: Dun, crop: dry pea" save "}\n"                                           \
    "  - {variety: Early Leaf, crop: lettuce" save "}\n"                                           \
    "  - {variety: Sunday Sauce, crop: tomato" save "}\n"                                          \
    "  - {variety: Trellis, crop: cucumber" save "}\n"                                             \
    "  - {variety: Old Red, crop: carrot" save "}\n"                                               \
    "  - {variety: Tall Ash, crop: kale" save "}\n"

static struct plan_text rows(const char *yaml)
{
    static const char *const crops[] = {"dry pea",  "lettuce", "tomato",
                                        "cucumber", "carrot",  "kale"};
    struct plan_text p = plan_text_new(yaml);
    for (size_t i = 0; i < sizeof crops / sizeof *crops; i++)
        plan_text_block(&p, 0, SYSTEM_ROWS, crops[i], 1);
    plan_text_finish(&p);
    return p;
}

/* By hand from the crops' files: of peas so much as was sown and a half, at 110 seeds to the ounce
 * of 28.3495 g; ten plants of lettuce; of carrots the 40 of a sound stand; of fruit, and of kale
 * whose leaves are picked, nothing. */
Test(seed_kept, what_is_not_eaten_by_crop)
{
    struct plan_text p = rows(GARDEN(", save: yes"));
    const struct crop_result *c = p.plan->crops;
    cr_assert(near(c[0].kept_kg, 1.5 * c[0].sown / 110 * 0.0283495, 1e-6), "%g", c[0].kept_kg);
    double plants = c[0].kept_kg / (c[0].kg.typ / c[0].plants);
    cr_assert(c[0].kept_plants >= plants && c[0].kept_plants < plants + 1);
    cr_assert(c[1].kept_plants == 10 && near(c[1].kept_kg, c[1].kg.typ * 10 / c[1].plants, 1e-9));
    cr_assert(c[2].kept_kg == 0 && c[3].kept_kg == 0);
    cr_assert(c[4].kept_plants == 40 && near(c[4].kept_kg, c[4].kg.typ * 40 / c[4].plants, 1e-9));
    cr_assert(c[5].kept_plants == c[5].plants && c[5].plants == 15 && c[5].kept_kg == 0);
    double kcal = p.plan->energy_kcal.typ;
    for (int i = 0; i < 6; i++)
        kcal -= c[i].kept_kg * c[i].energy_kcal.typ / c[i].kg.typ;
    cr_assert(near(p.plan->eaten_kcal, kcal, 1e-6 * kcal), "%g %g", p.plan->eaten_kcal, kcal);
    cr_assert(p.plan->eaten_days < p.plan->person_days.typ);
    cr_assert(verify_plan(p.plan, p.t.arena, p.t.diags) == HR_OK ||
                  !diag_find(p.t.diags, 0, 0, "verify-kept"),
              "%s", diags_words(p.t.diags));
    plan_text_free(&p);
}

Test(seed_kept, nothing_is_kept_where_no_seed_is_saved)
{
    struct plan_text p = rows(GARDEN(""));
    for (int i = 0; i < 6; i++)
        cr_assert(p.plan->crops[i].kept_kg == 0 && p.plan->crops[i].kept_plants == 0);
    cr_assert(near(p.plan->eaten_days, p.plan->person_days.typ, 1e-9));
    struct strbuf out;
    strbuf_init(&out, p.t.arena);
    report_summary(p.plan, &out);
    cr_assert(!strstr(out.p, "kept for seed"), "%s", out.p);
    plan_text_free(&p);
}

/* No more than there is: fewer carrots than a sound stand are all kept, and none is eaten. */
Test(seed_kept, at_most_what_is_grown)
{
    struct plan_text p = plan_text_new(GARDEN(", save: yes"));
    plan_text_shared(&p, 0, "carrot", 12);
    plan_text_finish(&p);
    const struct crop_result *c = p.plan->crops;
    cr_assert(c->kept_plants == 12 && near(c->kept_kg, c->kg.typ, 1e-9));
    cr_assert(near(p.plan->eaten_kcal, 0, 1e-6) && near(p.plan->eaten_days, 0, 1e-9));
    plan_text_free(&p);
}

static bool says(struct plan_text *p, const char *const *words, size_t n)
{
    struct strbuf out;
    char flat[16384];
    size_t k = 0;
    strbuf_init(&out, p->t.arena);
    report_summary(p->plan, &out);
    cr_assert(!out.failed && out.n < sizeof flat);
    for (size_t i = 0; i < out.n; i++) /* wrapped anywhere */
        if (out.p[i] > ' ' || k == 0 || flat[k - 1] != ' ')
            flat[k++] = out.p[i] > ' ' ? out.p[i] : ' ';
    flat[k] = '\0';
    for (size_t i = 0; i < n; i++)
        cr_assert(strstr(flat, words[i]), "%s: %s", words[i], out.p);
    return true;
}

Test(seed_kept, the_report_tells_both)
{
    static const char *const words[] = {
        "less seed to save",
        "are kept for seed. All other figures are of the whole harvest.",
        "Leave 10 of them to flower.",
        "The fruit is eaten all the same.",
        "that is not taken off the harvest told here",
        "are kept for seed: ",
    };
    struct plan_text p = rows(GARDEN(", save: yes"));
    cr_assert(says(&p, words, sizeof words / sizeof *words));
    plan_text_free(&p);
}

Test(seed_kept, plan_json_has_it)
{
    struct plan_text p = rows(GARDEN(", save: yes"));
    const char *text;
    char path[] = "/tmp/hillrow-test-XXXXXX";
    struct plan *back;
    CALL(plan_json_write(p.plan, p.t.arena, &text));
    int fd = mkstemp(path);
    cr_assert(fd >= 0 && write(fd, text, strlen(text)) == (ssize_t)strlen(text));
    close(fd);
    hr_status status = plan_json_read(p.t.arena, path, p.t.library, p.t.diags, &back);
    unlink(path);
    cr_assert(status == HR_OK, "%s", diags_words(p.t.diags));
    cr_assert(near(back->eaten_days, p.plan->eaten_days, 1e-9));
    for (int i = 0; i < 6; i++)
        cr_assert(back->crops[i].kept_plants == p.plan->crops[i].kept_plants &&
                  near(back->crops[i].kept_kg, p.plan->crops[i].kept_kg, 1e-9));
    plan_text_free(&p);
}
