/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet_ics.h"

#include <stdint.h>
#include <string.h>

#include "num.h"

#define LINE_OCTETS 75 /* RFC 5545, 3.1, the line end not counted */
#define YEAR_D      365

struct writer {
    const struct sheet *sheet;
    struct strbuf *out;
    int year;
};

/* One content line, folded so that no character is torn. */
static void content_line(struct writer *w, const char *line)
{
    size_t n = strlen(line), used = 0;
    for (size_t i = 0; i < n;) {
        size_t bytes = utf8_char(line + i, n - i);
        bytes = bytes > 0 ? bytes : 1;
        if (used + bytes > LINE_OCTETS) {
            strbuf_puts(w->out, "\r\n ");
            used = 1;
        }
        strbuf_add(w->out, line + i, bytes);
        used += bytes;
        i += bytes;
    }
    strbuf_puts(w->out, "\r\n");
}

/* A property whose value is a text: RFC 5545, 3.3.11. */
static void text_line(struct writer *w, const char *name, const char *text)
{
    struct strbuf b;
    strbuf_init(&b, w->sheet->arena);
    strbuf_printf(&b, "%s:", name);
    for (; *text; text++) {
        if (*text == '\n') {
            strbuf_puts(&b, "\\n");
            continue;
        }
        if (strchr("\\;,", *text))
            strbuf_puts(&b, "\\");
        strbuf_add(&b, text, 1);
    }
    w->out->failed = w->out->failed || b.failed;
    content_line(w, b.p);
}

/* A day of the planner's year of 365 days, which may lie in the year before or after, behind a name
 * such as "DTSTART;VALUE=DATE:". */
static void date_line(struct writer *w, const char *name, int day)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int year = w->year, month = 0, d = day - 1;
    for (; d < 0; d += YEAR_D)
        year--;
    for (; d >= YEAR_D; d -= YEAR_D)
        year++;
    for (; d >= lengths[month]; month++)
        d -= lengths[month];
    strbuf_printf(w->out, "%s%04d%02d%02d\r\n", name, year, month + 1, d + 1);
}

static uint64_t hash_text(uint64_t hash, const char *text)
{
    for (const unsigned char *p = (const unsigned char *)text; *p; p++)
        hash = (hash ^ *p) * 1099511628211u;
    return (hash ^ 0xFF) * 1099511628211u; /* no text has that byte: ends it */
}

/* How many stages before this one do the same with the same variety. */
static int earlier(const struct sheet *sheet, int number)
{
    int n = 0;
    for (int i = 0; i < number; i++)
        n += sheet->stages[i].kind == sheet->stages[number].kind &&
             sheet->stages[i].seed == sheet->stages[number].seed;
    return n;
}

/* Two runs of FNV-1a (from memory of the published constants) are 128 bits. */
static void uid_line(struct writer *w, int number)
{
    const struct sheet_stage *stage = &w->sheet->stages[number];
    const struct garden *g = w->sheet->plan->garden;
    const struct seed *seed = stage->seed >= 0 ? garden_seed(g, (size_t)stage->seed) : NULL;
    char words[64];
    uint64_t half[2] = {14695981039346656037u, 1099511628211u};
    snprintf(words, sizeof words, "%d %s %d", w->year, stage_names[stage->kind],
             earlier(w->sheet, number));
    for (int i = 0; i < 2; i++) {
        half[i] = hash_text(half[i], g->name.s);
        half[i] = hash_text(half[i], words);
        half[i] = hash_text(half[i], seed ? seed->crop->name.s : "");
        half[i] = hash_text(half[i], seed ? seed->variety.s : "");
    }
    strbuf_printf(w->out, "UID:%016llx%016llx@hillrow\r\n", (unsigned long long)half[0],
                  (unsigned long long)half[1]);
}

/* When, how, note, hours, then each place of the work. */
static void description(struct writer *w, const struct sheet_stage *stage)
{
    struct strbuf b;
    const char *time = sheet_time(w->sheet->arena, stage);
    strbuf_init(&b, w->sheet->arena);
    const char *const parts[] = {stage->when, stage->how, stage->note, time ? time : ""};
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (*parts[i])
            strbuf_printf(&b, "%s\n", parts[i]);
    for (const struct sheet_job *job = stage->jobs; job; job = job->next)
        strbuf_printf(&b, "- %s%s%s\n", job->where, job->tape ? ": " : "",
                      job->tape ? job->tape : "");
    strbuf_printf(&b, "Plan %s", w->sheet->plan->id);
    w->out->failed = w->out->failed || b.failed || !time;
    text_line(w, "DESCRIPTION", b.p);
}

static void write_event(struct writer *w, int number)
{
    const struct sheet_stage *stage = &w->sheet->stages[number];
    strbuf_puts(w->out, "BEGIN:VEVENT\r\n");
    uid_line(w, number);
    strbuf_printf(w->out, "DTSTAMP:%04d0101T000000Z\r\n", w->year);
    bool weekly = stage->kind == STAGE_WEED;
    date_line(w, "DTSTART;VALUE=DATE:", stage->day);
    date_line(w, "DTEND;VALUE=DATE:", (weekly ? stage->day : stage->until) + 1); /* exclusive */
    if (weekly)
        date_line(w, "RRULE:FREQ=WEEKLY;UNTIL=", stage->until);
    text_line(w, "SUMMARY", stage->title);
    text_line(w, "LOCATION", w->sheet->plan->garden->name.s);
    description(w, stage);
    strbuf_puts(w->out, "TRANSP:TRANSPARENT\r\nEND:VEVENT\r\n"); /* it keeps no day busy */
}

void sheet_ics(const struct sheet *sheet, struct strbuf *out)
{
    struct writer w = {sheet, out, (int)sheet->plan->garden->year.v};
    strbuf_puts(out, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n");
    content_line(&w, "PRODID:-//hillrow//hillrow " HILLROW_VERSION "//EN");
    strbuf_puts(out, "CALSCALE:GREGORIAN\r\n");
    for (int i = 0; i < sheet->nstages; i++)
        write_event(&w, i);
    strbuf_puts(out, "END:VCALENDAR\r\n");
}
