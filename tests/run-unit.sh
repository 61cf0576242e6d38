#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# run-unit.sh REPORTS BINARY...: runs Criterion binaries, two at a time with one test each (two tests of
# one binary at a time leave a processor idle behind its longest test), and counts from their XML reports. Criterion
# 2.4.1 exits 0 when no test ran, may hang on a loaded machine, lets leaks of tests pass, and leaks
# itself: hence timeout(1), the count, and the look at what the sanitizers wrote into the log.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
reports=$1
shift
mkdir -p "$reports"
comma_locale "$(cd "$reports" && pwd)/../locale"

count() { grep -c "<testcase .*status=\"$1\"" "$2"; }

# What a sanitizer found, leaks of Criterion's own left out. A suppression would not do: every
# stack of a test goes through libcriterion.
sanitizer_said() { # LOG
    grep -m 5 -A 8 -e 'ERROR: AddressSanitizer' -e 'runtime error' "$1"
    awk '/ leak of .* allocated from:/ {report = $0; ours = 0; inside = 1; next}
         inside && /^ *#[1-9]/ && !/libcriterion/ {ours = 1}
         inside && /^ *#/ {report = report "\n" $0}
         inside && /^$/ {if (ours) print report; inside = 0}' "$1"
}

run() { # BINARY
    local name=${1##*/}
    rm -f "$reports/$name".{xml,log,rc}
    timeout -k 10 "${UNIT_TIMEOUT:-300}" "$1" -j1 --xml="$reports/$name.xml" >"$reports/$name.log" 2>&1
    echo $? >"$reports/$name.rc"
}

judge() { # BINARY
    local name=${1##*/} xml log rc ok bad said
    xml=$reports/$name.xml
    log=$reports/$name.log
    rc=$(cat "$reports/$name.rc")
    if ! [ -s "$xml" ]; then
        fail "$name: no report, exit $rc"
        tail -n 20 "$log"
        return
    fi
    ok=$(count PASSED "$xml")
    bad=$(($(count '.*' "$xml") - ok - $(count SKIPPED "$xml")))
    said=$(sanitizer_said "$log")
    passed=$((passed + ok))
    if [ "$bad" -gt 0 ]; then
        failed=$((failed + bad))
        echo "FAIL $name: $bad failed"
        grep -v '^\[====\]' "$log" | tail -n 60
    elif [ $rc != 0 ] && ! { [ $rc = 99 ] && grep -q libcriterion "$log"; }; then
        fail "$name: exit $rc though no test failed"
        tail -n 20 "$log"
    elif [ "$ok" = 0 ]; then
        fail "$name: no test ran"
    fi
    if [ -n "$said" ]; then
        fail "$name: a sanitizer spoke"
        head -n 40 <<<"$said"
    fi
}

# The longest first, so that no other is begun late and ends alone.
longest() {
    printf '%s\n' "$@" | sed -E '/\/test_(oracle|decompose|plan|verify|draw|api)$/s/^/0 /; t; s/^/1 /' |
        LC_ALL=C sort -s -k1,1 | cut -d ' ' -f 2-
}
mapfile -t binaries < <(longest "$@")
at_once run "${binaries[@]}"
for binary; do judge "$binary"; done
tally
