#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# run-all.sh BUILD OBJECTS UNIT_BINARY...: every suite, then one line `N passed, N failed`. BUILD holds
# the program, OBJECTS the test tools. HILLROW_ASAN: the sanitized build; checks of texts alone are
# left to the plain run.
set -u
cd "$(dirname "$0")/.." || exit 1
build=$1
objects=$2
shift 2
HR_TALLY=$(mktemp)
export HR_TALLY
export ASAN_OPTIONS=exitcode=99:detect_stack_use_after_return=1
export UBSAN_OPTIONS=print_stacktrace=1
if [ -n "${HILLROW_ASAN-}" ]; then export CASE_SLOW=4; fi # cases that say when to stop
if [ -e tests/lsan.supp ]; then
    export LSAN_OPTIONS=suppressions=$PWD/tests/lsan.supp:print_suppressions=0
fi

. tests/tally.sh
status=0
said=$(mktemp -d)
trap 'rm -f "$HR_TALLY"; rm -rf "$said"' EXIT
suite() { # WORDS: its own log, shown when all are done
    local name=${1%% *}
    # shellcheck disable=SC2086 -- the words of a command line
    tests/$1 >"$said/$name" 2>&1 || echo failed >"$said/$name.rc"
}
suites() { # WORDS...: at once, those that take longest first
    local words
    at_once suite "$@"
    for words; do
        cat "$said/${words%% *}"
        if [ -e "$said/${words%% *}.rc" ]; then status=1; fi
    done
}

# These two keep all processors busy by themselves.
tests/run-unit.sh "$objects/reports" "$@" || status=1
tests/run-cases.sh "$build" "$objects" || status=1
these=("faults.sh $build $objects" "papers.sh $build $objects" "bad.sh $build $objects" "reading.sh $build $objects")
if [ -z "${HILLROW_ASAN-}" ]; then
    these=("docs.sh $build $objects" "${these[@]}" "bench.sh $objects" layers.sh style.sh
        "install.sh $build $objects")
fi
suites "${these[@]}"

awk '{p += $1; f += $2} END {printf "%d passed, %d failed\n", p, f; exit f > 0}' "$HR_TALLY" || status=1
exit $status
