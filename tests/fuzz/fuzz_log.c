/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes -> csv -> harvest log -> review by the log's own treatments, and free it all. Build
 * with clang -fsanitize=fuzzer,address,undefined. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "review_text.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Fields lie in the file, in order, and are whole UTF-8 unless their record is marked. */
static void csv_check(const struct csv *csv)
{
    size_t end = 0;
    for (size_t i = 0; i < csv->n; i++) {
        const struct csv_record *r = &csv->records[i];
        if (r->at.begin < end || r->at.end < r->at.begin || r->at.end > csv->src->n)
            abort();
        end = r->at.end;
        for (size_t k = 0; k < r->n; k++) {
            const struct csv_field *f = &r->fields[k];
            if (f->at.begin < r->at.begin || f->at.end > r->at.end || f->at.end < f->at.begin)
                abort();
            if (!r->bad && utf8_invalid(f->s, strlen(f->s)) != strlen(f->s))
                abort();
        }
    }
}

static void log_review(struct arena *arena, const struct source *src, bool skip_bad,
                       struct diags *diags)
{
    struct harvest log;
    struct review *review = NULL;
    struct strbuf b;
    hr_status status = harvest_read(arena, src, skip_bad, diags, &log);
    if (status == HR_OK)
        status = review_blocks(arena, &log, skip_bad, diags, &review);
    if ((status == HR_OK) != (review != NULL) || (status == HR_INPUT && diags_errors(diags) == 0))
        abort();
    strbuf_init(&b, arena);
    if (review)
        review_text(review, &b);
    diags_render(diags, &b);
    if (!b.failed && utf8_invalid(b.p, b.n) != b.n)
        abort();
}

/* The first two bytes choose whether bad lines are skipped, and the cap of the arena. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 2)
        return 0;
    size_t cap = data[0] < 0xC0 ? ARENA_CAP_DEFAULT : (size_t)data[1] * 64;
    struct arena *arena = arena_new(cap);
    struct diags *diags = diags_new(), *more = diags_new();
    const struct source *src = NULL;
    struct csv csv;
    if (!arena || !diags || !more)
        abort();
    if (source_text(arena, "fuzz.csv", (const char *)data + 2, size - 2, &src) == HR_OK) {
        if (csv_read(arena, src, false, more, &csv) == HR_OK)
            csv_check(&csv);
        log_review(arena, src, data[0] % 2 == 1, diags);
    }
    diags_free(diags);
    diags_free(more);
    arena_free(arena);
    return 0;
}
