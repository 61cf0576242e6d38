#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# docs.sh BUILD OBJECTS: what the documents say is so. docs/garden-file.md is as `make docs` writes it,
# every link within the tree leads somewhere, and each block of README.md that begins with
# ```console shows what its commands print: numbers may differ, `...` stands for any lines.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
root=$PWD
build=$(cd "$1" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if tests/garden-file-doc.sh "$build/hillrow" | diff -u docs/garden-file.md - >"$work/diff"; then
    pass
else
    fail "docs/garden-file.md is not up to date: run \`make docs\`"
    head -n 20 "$work/diff"
fi

for page in README.md DEVELOPERS.md docs/*.md; do
    while read -r link; do
        case $link in
        http*://* | '#'*) ;;
        *) expect "$page links to $link, which is not there" test -e "$(dirname "$page")/${link%%#*}" ;;
        esac
    done < <(grep -oE '\]\([^) ]+\)' "$page" | sed 's/^](//; s/)$//')
done

# Each row, check and saying in the table of terms is in the sources; whose strings may be cut anywhere.
cat src/explain.c src/menu.c src/season.c src/kept_off.c src/standing_days.c | tr -d '\n' | sed 's/" *"//g' >"$work/words"
sed -n '/^<!-- terms -->/,/^<!-- end -->/p' docs/model.md | grep '^| [a-z]' | grep -v '^| term' >"$work/terms"
expect "docs/model.md has no table of terms" test "$(wc -l <"$work/terms")" -ge 20
while IFS='|' read -r _ term rows checks words _; do
    for row in $(grep -o '`[a-z]*`' <<<"$rows" | tr -d '`'); do
        expect "docs/model.md, $term: no row \`$row\`" grep -qE "\"$row|\"%s_.*\"$row" src/program.c src/program_terms.c
    done
    for check in $(grep -o 'verify-[a-z]*' <<<"$checks"); do
        expect "docs/model.md, $term: no check \`$check\`" grep -q "\"$check\"" src/verify.c
    done
    while read -r said; do
        expect "docs/model.md, $term: nobody says \"$said\"" grep -qF "$said" "$work/words"
    done < <(grep -o '"[^"]*"' <<<"$words" | tr -d '"')
done <"$work/terms"

# The blocks of README.md into $work/N.block.
awk -v dir="$work" '/^```console$/ {n++; inside = 1; next}
    /^```/ {inside = 0}
    inside {print > sprintf("%s/%02d.block", dir, n)}' README.md

masked() { sed -E 's/[0-9]+([.,][0-9]+)*/#/g; s/#([%a-z])/# \1/g; s/ +/ /g; s/ $//'; }

# One command of a block and what it is said to print; all run in one folder, as a reader's would.
cp -r samples crops "$work"
mkdir "$work/bin"
ln -s "$build/hillrow" "$work/bin/hillrow"
export HILLROW_CROPS=$work/crops
said_is_true() { # COMMAND SAID
    (cd "$work" && PATH=$work/bin:$PATH timeout 120 bash -c "$1" >out.txt 2>&1 </dev/null)
    masked <"$2" >"$work/pattern"
    masked <"$work/out.txt" >"$work/text"
    if [ ! -s "$2" ] || awk -f "$root/tests/glob.awk" "$work/pattern" "$work/text" >"$work/why"; then
        pass
    else
        fail "README.md: $1: $(cat "$work/why")"
        head -n 40 "$work/out.txt"
    fi
}

for block in "$work"/*.block; do
    command=
    : >"$work/said"
    while IFS= read -r line; do
        case $line in
        '$ '*)
            if [ -n "$command" ]; then said_is_true "$command" "$work/said"; fi
            command=${line#\$ }
            : >"$work/said"
            ;;
        *) printf '%s\n' "$line" >>"$work/said" ;;
        esac
    done <"$block"
    if [ -n "$command" ]; then said_is_true "$command" "$work/said"; fi
done
tally
