# SPDX-License-Identifier: GPL-3.0-or-later
# Sourced by the checks: counting, and one closing line each. HR_TALLY: a file that run-all.sh sums.
# shellcheck shell=bash
suite=$(basename "$0" .sh)
passed=0
failed=0

pass() { passed=$((passed + 1)); }

fail() { # WORDS
    failed=$((failed + 1))
    printf 'FAIL %s: %s\n' "$suite" "$*"
}

# expect NAME COMMAND...: passes when the command succeeds.
expect() {
    local name=$1
    shift
    if "$@"; then pass; else fail "$name"; fi
}

# Says how many, and how long it took; a suite in which nothing ran has failed.
tally() {
    if [ $((passed + failed)) = 0 ]; then fail "nothing ran"; fi
    printf '%-12s %5d passed, %d failed, %4d s\n' "$suite" "$passed" "$failed" "$SECONDS"
    if [ -n "${HR_TALLY-}" ]; then echo "$passed $failed" >>"$HR_TALLY"; fi
    [ "$failed" = 0 ]
}

# Sets comma to a locale with a decimal comma and LOCPATH to where it is; made here, in FOLDER, when
# Debian's sources of one are there. Empty: there is none.
comma_locale() { # FOLDER
    comma=
    mkdir -p "$1"
    if [ -d "$1/de_DE.UTF-8" ] ||
        localedef -i de_DE -f UTF-8 "$1/de_DE.UTF-8" >/dev/null 2>&1; then
        comma=de_DE.UTF-8
        export LOCPATH=$1
    fi
}

# at_once FUNCTION ITEM...: the function on each item, as many at a time as there are processors, but two at
# least. It runs in a process of its own: what it finds goes into files.
at_once() {
    local function=$1 most running=0 item
    most=$(nproc)
    if [ "$most" -lt 2 ]; then most=2; fi
    shift
    for item; do
        if [ $running -ge "$most" ]; then
            wait -n
            running=$((running - 1))
        fi
        "$function" "$item" &
        running=$((running + 1))
    done
    wait
}
