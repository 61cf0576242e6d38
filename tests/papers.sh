#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# papers.sh BUILD OBJECTS: the files of a plan as others read them: PDFs through poppler's pdfinfo and
# pdftotext, the calendar through Debian's python3-icalendar, the seed list through Python's csv. What
# is not installed is passed over, and said.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
root=$PWD
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
hillrow=$(cd "$1" && pwd)/hillrow
export HILLROW_CROPS=$root/crops
python=python3 # Debian's own has its packages, wherever another one stands first in the path
if [ -x /usr/bin/python3 ]; then python=/usr/bin/python3; fi

plan() { # GARDEN DIR
    if ! timeout 120 "$hillrow" plan "$1" -o "$work/$2" -q >"$work/said" 2>&1; then
        fail "no plan of $1"
        head -n 5 "$work/said"
    fi
}
plan samples/first-plot.yaml letter
plan tests/cases/small.yaml a4
sed "s/Ember Ridge/'=2+5,\"x\"'/; s/Old Tarn/Größe ä/; s/The Small One/Ein Garten, klein; fein/" \
    tests/cases/small.yaml >"$work/odd.yaml"
plan "$work/odd.yaml" odd

# page_size DIR FILE WIDTH HEIGHT: of every page, in points (ANSI/ASME Y14.1 Letter 612 x 792; ISO 216
# A4 595.28 x 841.89).
page_size() {
    local said
    said=$(pdfinfo -l 999 "$work/$1/$2" | awk '/^Page.*size:/ {print $4, $6}' | sort -u)
    if awk -v w="$3" -v h="$4" '{if (($1 - w) ^ 2 > 0.25 || ($2 - h) ^ 2 > 0.25) bad = 1}
        END {exit bad || NR != 1}' <<<"$said"; then
        pass
    else
        fail "$1/$2: pages are $said, not $3 x $4 points"
    fi
}

# No word within 10 mm (28.3 points) of an edge.
margins() { # DIR FILE
    pdftotext -bbox "$work/$1/$2" "$work/bbox"
    if awk -F'"' '/<page/ {w = $2; h = $4}
        /<word/ {n++; if ($2 < 28.3 || $4 < 28.3 || $6 > w - 28.3 || $8 > h - 28.3) {bad = 1; print}}
        END {exit bad || n < 20}' "$work/bbox" >"$work/out"; then
        pass
    else
        fail "$1/$2: words beyond the margins"
        head -n 5 "$work/out"
    fi
}

if command -v pdfinfo >/dev/null && command -v pdftotext >/dev/null; then
    page_size letter sheet.pdf 612 792
    page_size letter season.pdf 792 612
    page_size a4 sheet.pdf 595.28 841.89
    page_size a4 season.pdf 841.89 595.28
    for dir in letter a4 odd; do
        margins $dir sheet.pdf
        margins $dir season.pdf
        pages=$(pdfinfo "$work/$dir/sheet.pdf" | awk '/^Pages:/ {print $2}')
        pdftotext "$work/$dir/sheet.pdf" "$work/text"
        expect "$dir: $pages pages, and the last does not say so" grep -q "page $pages of $pages" "$work/text"
        expect "$dir: no creation date but a fixed one" \
            test "$(pdfinfo -isodates "$work/$dir/sheet.pdf" | grep -c '^CreationDate: *2000-01-01')" = 1
    done
else
    echo "no pdfinfo and pdftotext here: PDFs are not read"
fi

if ! command -v $python >/dev/null; then
    echo "no python3 here: calendar and seed list are not read"
    cd "$root" && tally
    exit
fi

cat >"$work/ground.py" <<'END'
"""Every hill of the plan with its place, every row with its tape, are on the printed sheet, and no
others. Lengths are read back from the paper and held against the metres of plan.json."""
import json, re, subprocess, sys
folder = sys.argv[1]
plan = json.load(open(folder + "/plan.json"))
text = subprocess.run(["pdftotext", "-layout", folder + "/sheet.pdf", "-"], check=True,
                      stdout=subprocess.PIPE).stdout.decode().replace("\u00a0", " ")
LENGTH = r"""(\d+' [\d.]+"|[\d.]+ cm)"""

def metres(words):
    feet = re.match(r"""(\d+)' ([\d.]+)\"""", words)
    if feet:
        return int(feet[1]) * 0.3048 + float(feet[2]) * 0.0254
    return float(words.split()[0]) / 100

def near(a, b):
    return abs(a - b) < 0.0064  # half of the half inch or the centimetre a tape is read to

hills, rows = {}, {}
for plot in plan["plots"]:
    for block in plot["blocks"]:
        for s in plan["stations"]:
            if s["block"] != block["block"]:
                continue
            if block["system"] == "hills":
                hills[s["id"]] = (s["x_m"], s["y_m"])
            else:
                rows.setdefault("%d.%d" % (s["block"], s["line"]), []).append((s["x_m"], s["y_m"]))

on_paper = {}
for number, x, y in re.findall(r"(?<![\d.])(\d+)\s+" + LENGTH + r"\s+" + LENGTH, text):
    on_paper[number] = (metres(x), metres(y))
assert set(on_paper) == set(hills), (sorted(on_paper), sorted(hills))
for number, (x, y) in hills.items():
    assert near(x, on_paper[number][0]) and near(y, on_paper[number][1]), number

found = set()
for number, across, at in re.findall(r"row (\d+\.\d+).*\n+\s+([xy]) " + LENGTH, text):
    found.add(number)
    for x, y in rows[number]:
        assert near(y if across == "y" else x, metres(at)), number
assert found == set(rows), (sorted(found), sorted(rows))
assert hills or rows
END
if command -v pdftotext >/dev/null; then
    for dir in letter a4 odd; do
        expect "$dir/sheet.pdf: hills and rows of the plan" $python "$work/ground.py" "$work/$dir"
    done
fi

cat >"$work/seed.py" <<'END'
"""The seed list of a plan: a line for each variety, harmless to a spreadsheet."""
import csv, json, sys
folder = sys.argv[1]
with open(folder + "/seed.csv", encoding="utf-8-sig", newline="") as f:
    rows = list(csv.reader(f, strict=True))
plan = json.load(open(folder + "/plan.json"))
varieties = [c["variety"] for c in plan["crops"]]
assert all(len(r) == len(rows[0]) for r in rows), "ragged"
assert [r[1].lstrip("'") for r in rows[1:]] == varieties, (rows, varieties)
for row in rows:
    for cell in row:
        assert cell[:1] not in tuple("=+-@\t\r"), cell
for row in rows[1:]:
    for cell in row[5:11]:
        assert cell == "" or float(cell) >= 0, cell
END
for dir in letter a4 odd; do
    expect "$dir/seed.csv as Python reads it" $python "$work/seed.py" "$work/$dir"
done

cat >"$work/events.py" <<'END'
"""The calendar of a plan: whole days, each event once, its words as the sheet says them."""
import datetime, re, sys, icalendar
folder = sys.argv[1]
data = open(folder + "/calendar.ics", "rb").read()
calendar = icalendar.Calendar.from_ical(data)
events = calendar.walk("vevent")
sheet = open(folder + "/sheet.txt", encoding="utf-8").read()
stages = re.findall(r"^-{20,}\n\d+  ", sheet, re.M)
assert len(events) == len(stages) > 0, (len(events), len(stages))
uids = set()
for event in events:
    start, end = event["DTSTART"].dt, event["DTEND"].dt
    assert type(start) is datetime.date and type(end) is datetime.date and end > start, event
    assert event["DTSTAMP"].dt.tzinfo is not None
    uids.add(str(event["UID"]))
    words = " ".join(str(event["SUMMARY"]).split()[:3])
    assert words in sheet, words
assert len(uids) == len(events)
assert calendar["VERSION"] == "2.0" and calendar["PRODID"]
END
if $python -c 'import icalendar' 2>/dev/null; then
    for dir in letter a4 odd; do
        expect "$dir/calendar.ics as python3-icalendar reads it" $python "$work/events.py" "$work/$dir"
    done
else
    echo "no python3-icalendar here: the calendar is not read"
fi
cd "$root" && tally
