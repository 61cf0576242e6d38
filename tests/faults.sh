#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# faults.sh BUILD OBJECTS: outputs that cannot be written. Each run must end with status 5, say so, and
# leave what was there before as it was, with no temporary file behind.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
root=$PWD
work=$(mktemp -d)
trap 'chmod -R u+w "$work"; rm -rf "$work"' EXIT
cp "$1/hillrow" "$work/hillrow"
cp -r crops samples "$work"
cp tests/cases/compare/tiny.yaml "$work/garden.yaml" # planned thirty times
chmod -R a+rX "$work"
cd "$work" || exit 1
export HILLROW_CROPS=$work/crops

state() { (cd "$1" && find . -exec ls -ldn {} + | awk '{print $1, $5, $NF}' && find . -type f -exec cksum {} + | sort); }

# kept NAME DIR COMMAND...: the command ends with 5, says something, and leaves DIR as it was.
kept() {
    local name=$1 dir=$2 before after rc
    shift 2
    before=$(state "$dir")
    # Through a pipe: a limit on files binds a file that stderr goes to, too.
    timeout -k 5 120 "$@" 2>&1 >"$work/.stdout" </dev/null | cat >"$work/.stderr"
    rc=${PIPESTATUS[0]}
    after=$(state "$dir")
    if [ $rc != 5 ]; then
        fail "$name: exit $rc, not 5"
        head -n 5 "$work/.stderr"
    elif ! [ -s "$work/.stderr" ]; then
        fail "$name: said nothing"
    elif [ "$before" != "$after" ]; then
        fail "$name: changed the folder"
        diff <(echo "$before") <(echo "$after")
    else
        pass
    fi
}

# As one whom the modes of files bind; root is above them.
as_user=()
if [ "$(id -u)" = 0 ]; then as_user=(setpriv --reuid=65534 --regid=65534 --clear-groups); fi
small_files() { # BLOCKS COMMAND...: no file may grow over so many kilobytes
    (ulimit -f "$1" && shift && exec "$@")
}

# What an earlier run left.
mkdir old
timeout 120 ./hillrow plan garden.yaml -o old -q || fail "cannot make the plan to begin with"
files="plan.json map.png map.pdf sheet.pdf sheet.txt seed.csv calendar.ics season.png season.pdf"
for name in $files; do expect "old/$name is there" test -s "old/$name"; done
cp -r old shut
chmod 555 shut
kept "a folder that may not be written" shut "${as_user[@]}" ./hillrow plan garden.yaml -o shut -q
kept "a map into it" shut "${as_user[@]}" ./hillrow draw shut -o shut/map.png
kept "a season into it" shut "${as_user[@]}" ./hillrow draw shut --season
for name in sheet.txt sheet.pdf seed.csv calendar.ics; do
    kept "a $name into it" shut "${as_user[@]}" ./hillrow sheet shut -o shut/$name
done
chmod 755 shut

for name in $files; do
    cp -r old way
    rm way/$name
    mkdir way/$name
    kept "a folder in the way of $name" way ./hillrow plan garden.yaml -o way -q
    rm -rf way
done

mkdir parent
touch parent/file
kept "a file where the folder should be" parent ./hillrow plan garden.yaml -o parent/file -q
kept "a folder below a file" parent ./hillrow plan garden.yaml -o parent/file/out -q
kept "a folder in no folder" parent ./hillrow plan garden.yaml -o parent/none/out -q
kept "a device for a folder" parent ./hillrow plan garden.yaml -o /dev/null -q

# The disk is full, as a limit on the size of files shows it: after 0, 1, 4 and 32 kilobytes.
export -f small_files
for kb in 0 1 4 32; do
    kept "files cut at $kb kB" old bash -c "small_files $kb ./hillrow plan garden.yaml -o old -q"
done
kept "a map cut at 4 kB" old bash -c "small_files 4 ./hillrow draw old"
kept "a season cut at 4 kB" old bash -c "small_files 4 ./hillrow draw old --season"
for name in sheet.txt sheet.pdf seed.csv calendar.ics; do
    kept "a $name cut at 0 kB" old bash -c "small_files 0 ./hillrow sheet old -o old/$name"
done
kept "a sheet.pdf cut at 8 kB" old bash -c "small_files 8 ./hillrow sheet old -o old/sheet.pdf"
kept "a new folder is taken away again" parent bash -c "small_files 1 ./hillrow plan garden.yaml -o parent/new -q"
cp garden.yaml parent/garden.yaml
kept "a starter cut at 1 kB" parent bash -c "small_files 1 ./hillrow new parent/fresh"
kept "a starter over a file, cut at 1 kB" parent bash -c "small_files 1 ./hillrow new parent/garden --force"
kept "a starter over a file" parent ./hillrow new parent/garden
kept "a starter in no folder" parent ./hillrow new parent/none/garden

# Standard output that takes nothing, for every command that prints.
for line in "--help" "--version" "--list-checks" "--describe" "plan --help" "new -" "crops" \
    "crops potato" "crops --json" "check garden.yaml" "check garden.yaml --json" "check old" \
    "sheet old" "plan garden.yaml -o old --json"; do
    # shellcheck disable=SC2086 -- the words of a command line
    kept "hillrow $line >/dev/full" parent bash -c "./hillrow $line >/dev/full"
done
kept "standard output closed" parent bash -c "./hillrow crops >&-"
cd "$root" && tally
