/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet_csv.h"

#include <math.h>
#include <string.h>

#include "num.h"

#define BYTE_ORDER_MARK "\xEF\xBB\xBF"

/* What makes a formula of a field: also as the full-width forms of East Asian keyboards. */
static bool looks_like_formula(const char *text)
{
    static const char *const starts[] = {"=",
                                         "+",
                                         "-",
                                         "@",
                                         "\t",
                                         "\r",
                                         "\n",
                                         "\xEF\xBC\x9D",
                                         "\xEF\xBC\x8B",
                                         "\xEF\xBC\x8D",
                                         "\xEF\xBC\xA0"};
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++)
        if (strncmp(text, starts[i], strlen(starts[i])) == 0)
            return true;
    return false;
}

void csv_field(struct strbuf *out, const char *text)
{
    const char *guard = looks_like_formula(text) ? "'" : "";
    if (!strpbrk(text, ",\"\r\n") && text[0] != ' ') {
        strbuf_printf(out, "%s%s", guard, text);
        return;
    }
    strbuf_printf(out, "\"%s", guard);
    for (; *text; text++) {
        if (*text == '"')
            strbuf_puts(out, "\"");
        strbuf_add(out, text, 1);
    }
    strbuf_puts(out, "\"");
}

/* A number, or nothing where it is not known. */
static void number(struct strbuf *out, double v, int digits)
{
    char num[64];
    if (isfinite(v))
        strbuf_puts(out, num_fixed(num, sizeof num, fmax(0, v), digits));
    strbuf_puts(out, ",");
}

/* Weight of what is to be bought: ounces or grams, to a tenth. */
static double small_mass(const struct sheet *sheet, double kg)
{
    return sheet->units == UNITS_US ? kg / 0.028349523125 : 1000 * kg;
}

static void write_seed(const struct sheet *sheet, const struct sheet_seed *s, struct strbuf *out)
{
    csv_field(out, s->seed->crop->name.s);
    strbuf_puts(out, ",");
    csv_field(out, s->seed->variety.s);
    strbuf_printf(out, ",%s,", s->unit);
    number(out, s->germination > 0 ? 100 * s->germination : HUGE_VAL, 0);
    strbuf_printf(out, "%s,", s->germination <= 0 ? "" : s->tested ? "test" : "standard and age");
    number(out, s->sow, 0);
    number(out, s->in_hand, 0);
    number(out, s->reserve, 0);
    number(out, isfinite(s->in_hand) ? s->left : HUGE_VAL, 0);
    number(out, s->buy, 0);
    number(out, small_mass(sheet, s->buy_kg), 1);
    strbuf_puts(out, sheet->plan->id);
    strbuf_puts(out, "\r\n");
}

static bool is_ascii(const char *text)
{
    for (; *text; text++)
        if ((unsigned char)*text >= 128)
            return false;
    return true;
}

void sheet_csv(const struct sheet *sheet, struct strbuf *out)
{
    bool ascii = true;
    for (int i = 0; i < sheet->nseeds; i++)
        ascii = ascii && is_ascii(sheet->seeds[i].seed->crop->name.s) &&
                is_ascii(sheet->seeds[i].seed->variety.s);
    strbuf_printf(out,
                  "%scrop,variety,counted in,germination %%,germination from,to sow,in hand,keep "
                  "back,left over,to buy,to buy (%s),plan\r\n",
                  ascii ? "" : BYTE_ORDER_MARK, sheet->units == UNITS_US ? "oz" : "g");
    for (int i = 0; i < sheet->nseeds; i++)
        write_seed(sheet, &sheet->seeds[i], out);
}
