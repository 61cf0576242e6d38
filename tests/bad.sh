#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# bad.sh BUILD OBJECTS: every file under tests/bad through the program. Its first line says what must be
# reported and where: `# expect: LINE:COLUMN check-name` (% in a bibliography).
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
hillrow=$1/hillrow

# reports FILE COMMAND...: the command says of that file what its first line expects, and its exit
# status is that of its worst word.
reports() {
    local file=$1 line at name said rc
    shift
    line=$(head -n 1 "$file" | tr -d '\r' | LC_ALL=C sed 's/^\xef\xbb\xbf//')
    read -r _ _ at name <<<"$line"
    said=$(timeout -k 5 30 "$@" 2>&1 >/dev/null </dev/null)
    rc=$?
    if ! grep -qE "^$file:$at: (error|warning): .*\[$name\]$" <<<"$said"; then
        fail "$file: not reported: $at $name; but: $(head -n 3 <<<"$said")"
    elif grep -q '^[^ ].*: error: ' <<<"$said" && [ $rc != 1 ]; then
        fail "$file: an error, but exit $rc"
    elif ! grep -q '^[^ ].*: error: ' <<<"$said" && [ $rc != 0 ]; then
        fail "$file: no error, but exit $rc"
    else
        pass
    fi
}

for file in tests/bad/*.yaml; do
    reports "$file" "$hillrow" check "$file" --crops crops
done
for dir in tests/bad/library/*/; do
    file=$(grep -lE '^(# |% )expect: ' "$dir"* | head -n 1)
    if [ -z "$file" ]; then
        fail "$dir: no file with a line that says what to expect"
    else
        reports "$file" "$hillrow" crops --crops "${dir%/}"
    fi
done
tally
