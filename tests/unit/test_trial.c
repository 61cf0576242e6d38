/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "garden_text.h"
#include "stats.h"
#include "trial.h"

#define FT 0.3048

#define GARDEN(size_)                                                                              \
    "garden: Test\nyear: 2027\nunits: us\n"                                                        \
    "site:\n  latitude: 42.3 deg\n  last frost: {median: May 3}\n  first frost: {median: Oct "     \
    "10}\nplots:\n  - {name: A, size: " size_ ", border: 1 ft}\n"                                  \
    "seed:\n  - {variety: Ember Ridge, crop: flint corn}\n"                                        \
    "  - {variety: Wren's Speckled, crop: climbing bean}\n"                                        \
    "  - {variety: Long Lantern, crop: butternut squash}\n"                                        \
    "grow: {guilds: [\"corn and bean\", \"corn, bean and squash\"]}\ngoal: days\n"

struct made {
    struct garden_text text;
    struct trial *trial;
    hr_status status;
};

static struct made make(const char *yaml, const struct trial_options *options)
{
    struct made m = {.text = garden_text_read(yaml)};
    cr_assert(m.text.garden != NULL, "%s", garden_text_diags(&m.text));
    m.status = trial_make(m.text.garden, options, m.text.arena, m.text.diags, &m.trial);
    return m;
}

static const struct trial_options all_defaults = {0};
static const struct trial_options variants[] = {
    {0},
    {.guild = "corn, bean and squash"},
    {.guild = "corn, bean and squash", .row_guild = true},
    {.blocks = 2, .seed = 3},
    {.difference = 0.5, .cv = 0.1},
    {.difference = 0.5, .cv = 0.1, .guild = "corn, bean and squash", .seed = 9},
};
#define VARIANTS (sizeof variants / sizeof *variants)

static double area(struct rect r)
{
    return (r.x1 - r.x0) * (r.y1 - r.y0);
}

static bool apart(struct rect a, struct rect b)
{
    return a.x1 <= b.x0 + 1e-9 || b.x1 <= a.x0 + 1e-9 || a.y1 <= b.y0 + 1e-9 || b.y1 <= a.y0 + 1e-9;
}

Test(trial, halves_are_equal_apart_and_on_free_ground)
{
    for (size_t v = 0; v < VARIANTS; v++) {
        struct made m = make(GARDEN("50 ft x 100 ft"), &variants[v]);
        cr_assert(m.status == HR_OK, "variant %zu: %s", v, garden_text_diags(&m.text));
        const struct trial *t = m.trial;
        for (int i = 0; i < 2 * t->blocks; i++) {
            const struct trial_half *h = &t->halves[i];
            cr_assert(near(area(h->ground), t->half_length_m * t->half_depth_m, 1e-9));
            cr_assert(near(area(h->net), t->net_length_m * t->net_depth_m, 1e-9));
            cr_assert(h->net.x0 >= h->ground.x0 - 1e-9 && h->net.x1 <= h->ground.x1 + 1e-9 &&
                      h->net.y0 >= h->ground.y0 - 1e-9 && h->net.y1 <= h->ground.y1 + 1e-9);
            cr_assert(h->ground.x0 >= FT - 1e-9 && h->ground.x1 <= 49 * FT + 1e-9 &&
                      h->ground.y0 >= FT - 1e-9 && h->ground.y1 <= 99 * FT + 1e-9);
            for (int j = 0; j < i; j++)
                cr_assert(apart(h->ground, t->halves[j].ground), "variant %zu: %s on %s", v,
                          h->name, t->halves[j].name);
        }
        garden_text_free(&m.text);
    }
}

Test(trial, each_block_has_one_half_of_each)
{
    for (size_t v = 0; v < VARIANTS; v++) {
        struct made m = make(GARDEN("50 ft x 100 ft"), &variants[v]);
        for (int b = 0; b < m.trial->blocks; b++) {
            const struct trial_half *h = &m.trial->halves[2 * b];
            cr_assert(h[0].block == b && h[1].block == b &&
                      h[0].treatment + h[1].treatment == TREATMENT_HILLS + TREATMENT_ROWS);
        }
        garden_text_free(&m.text);
    }
}

/* The ground that the plants weighed own by the half-spacing rule is the net ground. */
Test(trial, plants_weighed_fill_the_net_ground)
{
    for (size_t v = 0; v < VARIANTS; v++) {
        struct made m = make(GARDEN("50 ft x 100 ft"), &variants[v]);
        const struct trial *t = m.trial;
        for (int h = 0; h < 2 * t->blocks; h++) {
            double owned = 0;
            int n = 0;
            for (int s = 0; s < t->plan->nstations; s++) {
                const struct station *st = &t->plan->stations[s];
                const struct planting *p = t->plan->blocks[st->block].planting;
                if (t->plan->blocks[st->block].zone != h || !trial_weighed(t, st))
                    continue;
                owned += p->pitch_m * p->line_m;
                n++;
            }
            double net = area(t->halves[h].net);
            cr_assert(n > 0 && near(owned, net, 1e-6), "variant %zu, %s: %f of %f", v,
                      t->halves[h].name, owned, net);
        }
        garden_text_free(&m.text);
    }
}

Test(trial, stations_stay_in_their_half)
{
    for (size_t v = 0; v < VARIANTS; v++) {
        struct made m = make(GARDEN("50 ft x 100 ft"), &variants[v]);
        for (int s = 0; s < m.trial->plan->nstations; s++) {
            const struct station *st = &m.trial->plan->stations[s];
            const struct rect *g = &trial_half_of(m.trial, st->block)->ground;
            cr_assert(st->x_m > g->x0 && st->x_m < g->x1 && st->y_m > g->y0 && st->y_m < g->y1);
        }
        garden_text_free(&m.text);
    }
}

Test(trial, as_many_blocks_as_the_difference_takes)
{
    static const struct trial_options options = {.difference = 0.3, .cv = 0.15};
    struct made m = make(GARDEN("50 ft x 100 ft"), &options);
    cr_assert(m.status == HR_OK && diags_warnings(m.text.diags) == 0, "%s",
              garden_text_diags(&m.text));
    cr_assert(m.trial->needed == 7 && m.trial->blocks == 7, "%d of %d", m.trial->blocks,
              m.trial->needed); /* the table of test_stats.c: CV 15 %, 30 % */
    cr_assert(m.trial->told <= 0.3);
    garden_text_free(&m.text);
}

Test(trial, a_small_plot_says_so)
{
    struct made m = make(GARDEN("40 ft x 60 ft"), &all_defaults);
    cr_assert(m.status == HR_OK && m.trial->blocks < m.trial->needed);
    cr_assert(near(m.trial->told,
                   stats_difference_told(m.trial->blocks, TRIAL_CV, TRIAL_POWER, TRIAL_ALPHA), 0));
    expect_diag(m.text.diags, 0, 0, "trial-small");
    garden_text_free(&m.text);
    m = make(GARDEN("14 ft x 26 ft"), &all_defaults);
    cr_assert(m.status == HR_OK && m.trial->blocks == 1 && !isfinite(m.trial->told));
    expect_diag(m.text.diags, 0, 0, "trial-small");
    garden_text_free(&m.text);
}

Test(trial, no_room_and_no_such_thing)
{
    static const struct trial_options many = {.blocks = 40}, plot = {.plot = "B"},
                                      guild = {.guild = "moon"};
    static const struct {
        const char *yaml;
        const struct trial_options *options;
        hr_status status;
        const char *check;
    } rows[] = {{GARDEN("10 ft x 12 ft"), &all_defaults, HR_INFEASIBLE, "trial-no-room"},
                {GARDEN("50 ft x 60 ft"), &many, HR_INFEASIBLE, "trial-no-room"},
                {GARDEN("50 ft x 60 ft"), &plot, HR_INPUT, "trial-plot"},
                {GARDEN("50 ft x 60 ft"), &guild, HR_INPUT, "trial-guild"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct made m = make(rows[i].yaml, rows[i].options);
        cr_assert(m.status == rows[i].status && !m.trial, "row %zu: %d", i, (int)m.status);
        expect_diag(m.text.diags, 0, 0, rows[i].check);
        garden_text_free(&m.text);
    }
}

static unsigned long lot(const struct trial *t)
{
    unsigned long bits = 0;
    for (int b = 0; b < t->blocks; b++)
        bits = 2 * bits + (unsigned long)(t->halves[2 * b].treatment == TREATMENT_HILLS);
    return bits;
}

Test(trial, the_lot_hangs_on_the_seed_alone)
{
    struct trial_options options = {.seed = 1};
    unsigned long lots[20];
    int first = 0, blocks = 0, different = 0;
    for (int i = 0; i < 20; i++) {
        options.seed = (unsigned long)i + 1;
        struct made m = make(GARDEN("50 ft x 100 ft"), &options),
                    again = make(GARDEN("50 ft x 100 ft"), &options);
        lots[i] = lot(m.trial);
        cr_assert(lots[i] == lot(again.trial));
        cr_assert_str_eq(m.trial->id, again.trial->id);
        different += i > 0 && lots[i] != lots[i - 1];
        for (int b = 0; b < m.trial->blocks; b++, blocks++)
            first += m.trial->halves[2 * b].treatment == TREATMENT_HILLS;
        garden_text_free(&m.text);
        garden_text_free(&again.text);
    }
    cr_assert(different >= 18, "%d lots of 20 differ from the one before", different);
    double sd = sqrt(blocks) / 2; /* of a fair coin's heads */
    cr_assert(fabs(first - blocks / 2.0) < 3 * sd, "hills first in %d of %d", first, blocks);
}

Test(trial, estimates_are_in_order)
{
    struct made m = make(GARDEN("50 ft x 100 ft"), &all_defaults);
    double shares = 0;
    for (int k = 0; k < m.trial->ncrops; k++) {
        const struct trial_crop *c = &m.trial->crops[k];
        shares += c->share;
        for (int i = 0; i < TREATMENT_COUNT; i++)
            cr_assert(c->kg[i].low > 0 && c->kg[i].low < c->kg[i].typ &&
                      c->kg[i].typ < c->kg[i].high && c->plants[i] > 0);
    }
    cr_assert(m.trial->ncrops == 2 && near(shares, 1, 1e-12));
    garden_text_free(&m.text);
}
