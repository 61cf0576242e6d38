/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report_words.h"

#include <math.h>
#include <string.h>

#include "num.h"

#define NAME_WIDTH 28 /* longest name of a variety or plot that is shown whole */

/* ---- words -------------------------------------------------------------------------------------
 */

__attribute__((format(printf, 2, 3))) const char *report_words(const struct report *r,
                                                               const char *fmt, ...)
{
    struct strbuf text;
    va_list ap;
    strbuf_init(&text, r->arena);
    va_start(ap, fmt);
    strbuf_vprintf(&text, fmt, ap);
    va_end(ap);
    r->out->failed |= text.failed;
    return text.p;
}

const char *report_name(const struct report *r, const char *name)
{
    struct strbuf text;
    if (utf8_columns(name) <= NAME_WIDTH)
        return name;
    strbuf_init(&text, r->arena);
    strbuf_pad(&text, name, NAME_WIDTH);
    r->out->failed |= text.failed;
    return text.p;
}

void report_heading(const struct report *r, const char *text)
{
    strbuf_printf(r->out, "\n%s\n", text);
}

void report_paragraph(const struct report *r, const char *text)
{
    strbuf_wrap(r->out, text, REPORT_WIDTH, 2, 0);
}

void report_fact(const struct report *r, const char *name, const char *text)
{
    const size_t column = 26;
    strbuf_puts(r->out, "  ");
    strbuf_pad(r->out, name, column - 4);
    strbuf_puts(r->out, "  ");
    strbuf_wrap(r->out, text, REPORT_WIDTH, column, column);
}

/* ---- numbers ------------------------------------------------------------------------------------
 */

/* Estimates are told in steps of the second digit of the typical one: no finer than they are known.
 */
static int step_power(double typical)
{
    double rounded = num_round_sig(typical, 2);
    return rounded > 0 ? (int)floor(log10(rounded) + 1e-9) - 1 : 0;
}

static const char *in_steps(const struct report *r, double v, int power)
{
    char text[64];
    if (power < 0)
        return report_words(r, "%s", num_fixed(text, sizeof text, v, -power));
    double step = pow(10, power);
    return report_words(r, "%s", num_grouped(text, sizeof text, round(v / step) * step));
}

const char *report_estimate(const struct report *r, double v)
{
    return in_steps(r, v, step_power(v));
}

const char *report_span(const struct report *r, const struct span *s, double factor,
                        const char *unit)
{
    int power = step_power(s->typ * factor);
    const char *typical = in_steps(r, s->typ * factor, power);
    if (s->low == s->high)
        return report_words(r, "%s%s", typical, unit);
    return report_words(r, "%s%s (%s to %s)", typical, unit, in_steps(r, s->low * factor, power),
                        in_steps(r, s->high * factor, power));
}

const char *report_mass(const struct report *r, const struct span *kg)
{
    const double lb = 0.45359237;
    if (r->units == UNITS_US)
        return kg->typ >= lb ? report_span(r, kg, 1 / lb, " lb")
                             : report_span(r, kg, 16 / lb, " oz");
    return kg->typ >= 1 ? report_span(r, kg, 1, " kg") : report_span(r, kg, 1000, " g");
}

const char *report_percent(const struct report *r, double share)
{
    char text[64];
    return report_words(r, "%s %%",
                        num_fixed(text, sizeof text, 100 * share, fabs(share) < 0.0995 ? 1 : 0));
}

const char *report_length(const struct report *r, double m)
{
    char text[48];
    return report_words(r, "%s", unit_length(text, sizeof text, m, r->units));
}

const char *report_area(const struct report *r, double m2)
{
    char text[48];
    return report_words(r, "%s", unit_area(text, sizeof text, m2, r->units));
}

const char *report_whole(const struct report *r, double n)
{
    char text[64];
    return report_words(r, "%s", num_grouped(text, sizeof text, n));
}

const char *report_pieces(const struct crop *crop)
{
    static const char *const names[] = {"seeds", "pieces", "slips", "cloves", "plants"};
    size_t n = (size_t)crop->planted_as.v;
    return n < sizeof names / sizeof *names ? names[n] : "seeds";
}

struct report report_begin(const struct garden *garden, const struct plan *plan,
                           struct strbuf *said, struct strbuf *out)
{
    strbuf_init(said, out->arena);
    return (struct report){.plan = plan,
                           .garden = garden,
                           .out = said,
                           .arena = out->arena,
                           .units = (enum unit_system)garden->units.v};
}

void report_end(const struct strbuf *said, struct strbuf *out)
{
    for (char *line = said->p, *end; *line; line = end + 1) {
        end = line + strcspn(line, "\n");
        bool last = *end == '\0';
        *end = '\0';
        if (utf8_columns(line) > REPORT_WIDTH)
            strbuf_pad(out, line, REPORT_WIDTH);
        else
            strbuf_puts(out, line);
        if (last)
            break;
        strbuf_puts(out, "\n");
    }
    out->failed |= said->failed;
}
