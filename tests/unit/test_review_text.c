/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hr_test.h"

#include "review_json.h"
#include "review_text.h"

static const char *const log_text = "date,block,treatment,crop,weight,unit\n"
                                    "2027-09-01,1,a,corn,1.5,kg\n2027-09-01,1,b,corn,1,kg\n"
                                    "2027-09-01,2,a,corn,4,kg\n2027-09-01,2,b,corn,3,kg\n"
                                    "2027-09-01,3,a,corn,9,kg\n2027-09-01,3,b,corn,7.75,kg\n"
                                    "2027-09-01,0,sole,corn,10,kg\n";

static struct arena *arena;
static struct diags *diags;
static struct review *review;

static void set_up(void)
{
    const struct source *src = NULL;
    struct harvest h = {0};
    arena = arena_new(ARENA_CAP_DEFAULT);
    diags = diags_new();
    CALL(source_text(arena, "log.csv", log_text, strlen(log_text), &src));
    CALL(harvest_read(arena, src, false, diags, &h));
    CALL(review_blocks(arena, &h, false, diags, &review));
}

static void tear_down(void)
{
    arena_free(arena);
    diags_free(diags);
}

TestSuite(review_text, .init = set_up, .fini = tear_down);

static void says(const char *text, const char *words)
{
    cr_assert(strstr(text, words) != NULL, "no `%s` in:\n%s", words, text);
}

/* Means 14.5/3 and 11.75/3; differences 0.5, 1, 1.25: mean 0.916667, sd 0.381881, t 4.158 with 2
 * degrees of freedom, worked by hand. */
Test(review_text, numbers_of_the_test)
{
    struct strbuf b;
    strbuf_init(&b, arena);
    review_text(review, &b);
    says(b.p, "4.83333 kg");
    says(b.p, "3.91667 kg");
    says(b.p, "a less b: 0.916667 kg");
    says(b.p, "paired t = 4.158 with 2 degrees of freedom, p = 0.0533");
    says(b.p, "Not told from luck");
    says(b.p, "Land equivalent ratio");
    says(b.p, "0.483");
}

Test(review_text, json_has_the_same)
{
    const char *text = NULL;
    CALL(review_json(review, arena, &text));
    says(text, "\"kind\": \"blocks\"");
    says(text, "\"t\": 4.15760");
    says(text, "\"ler\": 0.4833333");
    says(text, "\"weighings\": 7");
}
