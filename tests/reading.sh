#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# reading.sh BUILD OBJECTS: inputs that cannot lie in the tree as files: huge, unreadable, not a file
# at all, or with bytes that editors and git spoil. Each must be refused with the right status and
# check name, quickly and in little memory.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
hillrow=$(cd "$1" && pwd)/hillrow
crops=$PWD/crops
root=$PWD
work=$(mktemp -d)
trap 'chmod -R u+w "$work"; rm -rf "$work"' EXIT
cd "$work" || exit 1

SECONDS_MOST=10
KILOBYTES_MOST=600000
# The sanitizers reserve terabytes of address space: no limit for them.
limit() { if [ -z "${HILLROW_ASAN-}" ]; then ulimit -v $KILOBYTES_MOST; fi; }

# refused STATUS CHECK ARGUMENT...: `hillrow ARGUMENT...` ends with that status and names that check.
refused() {
    local status=$1 check=$2 rc
    shift 2
    (limit && timeout -k 5 $SECONDS_MOST "$hillrow" "$@" --crops "$crops") >stdout 2>stderr </dev/null
    rc=$?
    if [ $rc != "$status" ]; then
        fail "hillrow $*: exit $rc, not $status"
        head -n 5 stderr
    elif ! grep -qF "[$check]" stderr; then
        fail "hillrow $*: no [$check]"
        head -n 5 stderr
    elif [ -s stdout ]; then
        fail "hillrow $*: spoke on standard output"
    elif [ "$(wc -c <stderr)" -gt 100000 ]; then
        fail "hillrow $*: said too much"
    else
        pass
    fi
}

both() { # STATUS CHECK FILE: by check and by plan alike
    refused "$1" "$2" check "$3"
    refused "$1" "$2" plan "$3" -o "$work/out"
    if [ -e "$work/out" ]; then
        fail "plan $3 touched its output"
        rm -rf "$work/out"
    else
        pass
    fi
}

repeat() { head -c "$2" /dev/zero | sed "s/\x00/$1/g"; } # TEXT TIMES

both 5 cannot-read missing.yaml
mkdir folder.yaml
both 5 not-a-file folder.yaml
mkfifo pipe.yaml
both 5 not-a-file pipe.yaml
both 5 not-a-file /dev/zero
: >empty.yaml
both 1 empty-file empty.yaml
printf '# nothing but a remark\n' >remark.yaml
both 1 empty-file remark.yaml
head -c 100000000 /dev/zero | tr '\0' 'a' >huge.yaml
both 1 too-large huge.yaml
rm huge.yaml
printf 'garden: a\000b\n' >nul.yaml
both 1 nul-byte nul.yaml
printf 'garden: caf\351\n' >latin1.yaml
both 1 invalid-utf8 latin1.yaml
repeat '[' 100000 >brackets.yaml
both 1 too-deep brackets.yaml
repeat '{a: ' 100000 >braces.yaml
both 1 too-deep braces.yaml
repeat '- ' 100000 >dashes.yaml
both 1 too-deep dashes.yaml
printf 'garden:\n\tname: x\n' >tab.yaml
both 1 tab-indent tab.yaml
printf '\045\042\246' >three.yaml # three bytes that hang another YAML reader
both 1 invalid-utf8 three.yaml
{ # 15 MB of one line
    printf 'garden: '
    head -c 15000000 /dev/zero | tr '\0' 'x'
} >line.yaml
both 1 bad-text line.yaml
rm line.yaml
{ # every second node an alias: refused at the first one
    printf 'a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n'
} >aliases.yaml
both 1 alias aliases.yaml
awk 'BEGIN {for (i = 0; i < 40000; i++) print "key" i ": x"}' >keys.yaml
both 1 unknown-key keys.yaml
awk 'BEGIN {printf "plots: ["; for (i = 0; i < 600000; i++) printf "a,"; print "]"}' >nodes.yaml
both 1 too-many-nodes nodes.yaml
outline() { # CORNERS RADIUS: a garden whose one plot is a ring of so many corners
    printf 'garden: Ring\nyear: 2027\nsite:\n  latitude: 42 deg\n  last frost: {median: May 3}\n  first frost: {median: Oct 10}\n'
    printf 'seed:\n  - {variety: Ember, crop: flint corn}\nplots:\n  - name: A\n    outline: ['
    awk -v n="$1" -v r="$2" 'BEGIN {for (i = 0; i < n; i++) printf "%s[%.5f m, %.5f m]", i ? ", " : "", r * cos(6.2831853 * i / n), r * sin(6.2831853 * i / n)}'
    printf ']\n'
}
outline 10000 30 >corners.yaml
both 1 too-many corners.yaml
outline 2000 0.1 >speck.yaml # as many corners as may be, on ground a hand wide
both 1 outline-too-small speck.yaml
outline 4 1e300 >far.yaml
both 1 out-of-range far.yaml
cp "$root/samples/first-plot.yaml" mode.yaml
chmod 000 mode.yaml
if [ "$(id -u)" = 0 ]; then # root reads everything: let nobody try, with a program nobody can reach
    mkdir open && cp "$hillrow" open/hillrow && cp -r "$crops" open/crops && cp mode.yaml open
    chmod 755 . open open/crops
    chmod 644 open/crops/*
    chmod 000 open/mode.yaml
    setpriv --reuid=65534 --regid=65534 --clear-groups timeout $SECONDS_MOST open/hillrow check \
        open/mode.yaml --crops open/crops >stdout 2>stderr </dev/null
    rc=$?
    if [ $rc = 5 ] && grep -qF '[cannot-read]' stderr; then pass; else fail "an unreadable file: exit $rc"; fi
else
    both 5 cannot-read mode.yaml
fi

# Plans that are none.
printf '{' >cut.json
refused 1 plan-json check cut.json
printf '[]' >list.json
refused 1 plan-json check list.json
printf '{"hillrow": 99}' >later.json
refused 1 plan-json check later.json
printf '{"hillrow": 1}' >bare.json
refused 1 plan-json draw bare.json
refused 1 plan-json sheet bare.json
repeat '[' 100000 >deep.json
refused 1 plan-json check deep.json
: >nothing.json
refused 1 plan-json check nothing.json
refused 5 cannot-read sheet none.json
refused 5 cannot-read draw folder.yaml

# A crop library that is none.
sound() { cp -r "$crops" bent; }
bent() { # STATUS CHECK
    timeout -k 5 $SECONDS_MOST "$hillrow" crops --crops bent >stdout 2>stderr </dev/null
    local rc=$?
    if [ $rc = "$1" ] && grep -qF "[$2]" stderr; then pass; else
        fail "a bent library: exit $rc, not $1 [$2]"
        head -n 5 stderr
    fi
    rm -rf bent
}
bent 5 cannot-read
mkdir bent
bent 5 cannot-read # no sources.bib
sound
rm bent/flint-corn.yaml
mkdir bent/flint-corn.yaml
bent 5 not-a-file
sound
printf 'crop: blue corn\n' >bent/blue-corn.yaml
bent 1 missing-key
tally
