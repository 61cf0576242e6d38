#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# bench.sh OBJECTS: the quick benchmark runs, its plans verify, its tables are whole. Seconds and gaps are
# not judged: they are the machine's.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

expect "the quick benchmark" timeout 300 "$1/tests/bench/bench" --quick >"$work/tables" 2>"$work/errors"
head -n 20 "$work/errors"

# Rows of the n-th table, its head left out.
rows() { # N
    awk -v n="$1" '/^\|/ && !inside {table++; line = 0}
        {inside = /^\|/}
        inside && ++line > 2 && table == n' "$work/tables"
}

# The columns of the n-th table's rows pass a test of awk.
columns() { # N LEAST_ROWS TEST
    rows "$1" | awk -F ' *[|] *' -v least="$2" "{ if ($3) good++; else print } END {exit good < least || good < NR}"
}

expect "plans: gardens, sizes, seconds, memory, value below bound" \
    columns 1 4 'NF == 15 && $3 > 0 && $4 >= $3 && $5 >= 8 && $7 >= 0 && $8 > 1 && $9 > 0 && $10 >= $9'
expect "races: a value of ours and of GLPK" columns 2 2 'NF == 13 && $5 > 0 && $7 > 0'
expect "parts: ranges take time" columns 3 1 'NF == 7 && $5 > 0'
awk -f tests/bench/splice.awk "$work/tables" docs/benchmarks.md >"$work/page"
expect "the page takes the tables" awk -f tests/bench/splice.awk "$work/tables" "$work/page" >"$work/again"
expect "and takes them once" cmp "$work/page" "$work/again"
expect "docs/benchmarks.md has its tables" grep -q '^| 8 x 40 |' docs/benchmarks.md
tally
