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
trap 'rm -f "$HR_TALLY"' EXIT
export ASAN_OPTIONS=exitcode=99:detect_stack_use_after_return=1
export UBSAN_OPTIONS=print_stacktrace=1
if [ -n "${HILLROW_ASAN-}" ]; then export CASE_SLOW=4; fi # cases that say when to stop
if [ -e tests/lsan.supp ]; then
    export LSAN_OPTIONS=suppressions=$PWD/tests/lsan.supp:print_suppressions=0
fi

status=0
suite() {
    "$@" || status=1
}
suite tests/run-unit.sh "$objects/reports" "$@"
suite tests/run-cases.sh "$build" "$objects"
suite tests/bad.sh "$build" "$objects"
suite tests/reading.sh "$build" "$objects"
suite tests/faults.sh "$build" "$objects"
suite tests/papers.sh "$build" "$objects"
if [ -z "${HILLROW_ASAN-}" ]; then
    suite tests/layers.sh
    suite tests/style.sh
    suite tests/docs.sh "$build" "$objects"
    suite tests/install.sh "$build" "$objects"
    suite tests/bench.sh "$objects"
fi

awk '{p += $1; f += $2} END {printf "%d passed, %d failed\n", p, f; exit f > 0}' "$HR_TALLY" || status=1
exit $status
