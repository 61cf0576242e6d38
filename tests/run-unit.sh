#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# run-unit.sh REPORTS BINARY...: runs Criterion binaries and counts from their XML reports. Criterion
# 2.4.1 exits 0 when no test ran, may hang on a loaded machine, and lets leaks pass: hence timeout(1),
# the count, and the look for LeakSanitizer in the log.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
reports=$1
shift
mkdir -p "$reports"
comma_locale "$(cd "$reports" && pwd)/../locale"

count() { grep -c "<testcase .*status=\"$1\"" "$2"; }

run() { # BINARY
    local name xml log rc ok bad
    name=$(basename "$1")
    xml=$reports/$name.xml
    log=$reports/$name.log
    rm -f "$xml" "$log"
    timeout -k 10 "${UNIT_TIMEOUT:-300}" "$1" -j2 --xml="$xml" >"$log" 2>&1
    rc=$?
    if ! [ -s "$xml" ]; then
        fail "$name: no report, exit $rc"
        tail -n 20 "$log"
        return
    fi
    ok=$(count PASSED "$xml")
    bad=$(($(count '.*' "$xml") - ok - $(count SKIPPED "$xml")))
    passed=$((passed + ok))
    if [ "$bad" -gt 0 ]; then
        failed=$((failed + bad))
        echo "FAIL $name: $bad failed"
        grep -v '^\[====\]' "$log" | tail -n 60
    elif [ $rc != 0 ]; then
        fail "$name: exit $rc though no test failed"
        tail -n 20 "$log"
    elif [ "$ok" = 0 ]; then
        fail "$name: no test ran"
    fi
    if grep -q -e LeakSanitizer -e AddressSanitizer -e 'runtime error' "$log"; then
        fail "$name: a sanitizer spoke"
        grep -m1 -A 25 -e LeakSanitizer -e AddressSanitizer -e 'runtime error' "$log"
    fi
}

for binary; do run "$binary"; done
tally
