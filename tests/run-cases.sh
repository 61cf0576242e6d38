#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# run-cases.sh BUILD OBJECTS [CASE...]: golden runs of the program. A case is a folder
# tests/cases/TOPIC/NAME with
#   cmd                     a bash script that says `hillrow ...`
#   stdout or stdout.glob   what it prints: exactly, or a pattern of glob.awk; absent: nothing
#   stderr or stderr.glob   the same
#   exit                    its exit status; absent: 0
#   plain                   says why it is not run under the sanitizers, where a plan takes five times as long
# and whatever other files it needs. It runs in a fresh folder that holds a copy of its files and of
# samples/ and of the files above it in cases/, under timeout(1): in a locale with a decimal comma, where most could
# go wrong, and under the sanitizers in the C locale.
# CASES_UPDATE=1 rewrites stdout, stderr and exit instead of comparing. HILLROW_PREFIX: put in front of
# the program (valgrind).
set -u
cd "$(dirname "$0")/.." || exit 1
root=$PWD
. tests/tally.sh
suite=cases
build=$(cd "$1" && pwd)
objects=$(cd "$2" && pwd)
shift 2

work=$(mktemp -d)
trap 'chmod -R u+w "$work"; rm -rf "$work"' EXIT
mkdir "$work/bin"
cat >"$work/bin/hillrow" <<END
#!/bin/sh
HILLROW_CROPS=\${HILLROW_CROPS-$root/crops} exec ${HILLROW_PREFIX-} "$build/hillrow" "\$@"
END
chmod +x "$work/bin/hillrow"
unset HILLROW_CROPS

comma_locale "$objects/locale"

# run CASE LOCALE DIR: leaves stdout, stderr and exit in DIR.
run() {
    mkdir -p "$3/in"
    cp -r "$1/." samples "$3/in"
    for shared in tests/cases/* "$(dirname "$1")"/*; do
        if [ -f "$shared" ]; then cp "$shared" "$3/in"; fi
    done
    (
        cd "$3/in" || exit 1
        PATH=$work/bin:$objects/tests:$PATH LC_ALL=$2 \
            timeout -k 10 "${CASE_TIMEOUT:-120}" bash ./cmd >../stdout 2>../stderr </dev/null
        echo $? >../exit
    )
}

# same CASE DIR STREAM: is what came out what was expected?
same() {
    if [ -e "$1/$3.glob" ]; then
        awk -f tests/glob.awk "$1/$3.glob" "$2/$3" && return
        head -n 40 "$2/$3"
        return 1
    fi
    if [ -e "$1/$3" ]; then
        diff -u --label "expected $3" --label "$3" "$1/$3" "$2/$3"
    elif [ "$3" = exit ]; then
        echo 0 | diff -u --label "expected exit" --label exit - "$2/exit"
    else
        diff -u --label "expected $3" --label "$3" /dev/null "$2/$3"
    fi
}

compare() { # CASE DIR LOCALE
    local stream ok=1
    for stream in exit stdout stderr; do
        same "$1" "$2" $stream || ok=0
    done
    if [ $ok = 1 ]; then pass; else fail "$1 (LC_ALL=$3)"; fi
}

update() { # CASE DIR
    local stream
    for stream in stdout stderr; do
        if [ -e "$1/$stream.glob" ]; then
            awk -f tests/glob.awk "$1/$stream.glob" "$2/$stream" || echo "by hand: $1/$stream.glob"
        elif [ -s "$2/$stream" ]; then
            cp "$2/$stream" "$1/$stream"
        else
            rm -f "$1/$stream"
        fi
    done
    if [ "$(cat "$2/exit")" = 0 ]; then rm -f "$1/exit"; else cp "$2/exit" "$1/exit"; fi
}

if [ $# = 0 ]; then set -- tests/cases/*/*/cmd; fi

if [ -n "${CASES_UPDATE-}" ]; then
    for cmd; do
        run "${cmd%/cmd}" C "$work/update"
        update "${cmd%/cmd}" "$work/update"
        chmod -R u+w "$work/update" && rm -rf "${work:?}/update"
        pass
    done
    cd "$root" && tally
    exit
fi

locale=C
if [ -n "$comma" ] && [ -z "${HILLROW_ASAN-}" ]; then locale=$comma; fi
one() { # CMD: what it printed stays, its folder goes
    local dir=$work/${1//\//.}
    run "${1%/cmd}" $locale "$dir"
    chmod -R u+w "$dir/in" && rm -rf "$dir/in"
}
cases=()
for cmd; do
    if [ -z "${HILLROW_ASAN-}" ] || ! [ -e "${cmd%/cmd}/plain" ]; then cases+=("$cmd"); fi
done
at_once one "${cases[@]}"
for cmd in "${cases[@]}"; do compare "${cmd%/cmd}" "$work/${cmd//\//.}" $locale; done
if [ -z "$comma${HILLROW_ASAN-}" ]; then echo "no locale with a decimal comma here: run in C alone"; fi
cd "$root" && tally
