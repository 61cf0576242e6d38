#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# style.sh: what can be told about the texts of the tree by looking at their lines.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
export LC_ALL=C.UTF-8

# Every text file of the tree (it may come from a tarball: git is not asked).
mapfile -t all < <(find . -name .git -prune -o -path ./build -prune -o -path ./out -prune -o -type f \
    ! -name '*.png' ! -name '*.pdf' -print | sort)
mapfile -t sources < <(printf '%s\n' "${all[@]}" | grep -E '\.[ch]$')
mapfile -t scripts < <(printf '%s\n' "${all[@]}" | grep -E '\.(sh|awk)$|/Makefile$|/\.ci/')

# none WORDS COMMAND...: passes when the command prints nothing; else what it prints is the fault.
none() {
    local words=$1 said
    shift
    said=$("$@")
    if [ -z "$said" ]; then
        pass
    else
        fail "$words"
        head -n 20 <<<"$said"
    fi
}

licensed() { # FILE...: those without the licence line among their first three
    local f
    for f; do head -n 3 "$f" | grep -q 'SPDX-License-Identifier: GPL-3.0-or-later' || echo "$f"; done
}

long_files() {
    wc -l "$@" | awk '$2 != "total" && $1 > 800 {print $2 ": " $1 " lines"}'
}

# A function's body is what stands between a `{` and a `}` in the first column.
long_functions() {
    awk 'FNR == 1 {start = 0}
         /^[A-Za-z].*\(/ && !/;$/ {name = $0}
         /^\{/ {start = FNR}
         /^\}/ && start {if (FNR - start - 1 > 60) print FILENAME ":" start ": " FNR - start - 1 " lines: " name
                         start = 0}' "$@"
}

none "no licence line" licensed "${sources[@]}" "${scripts[@]}"
none "a path of one machine" grep -nE '(^|[^[:alnum:]_.~])/(home|root|[w]ork|Users)/[[:alnum:]]' "${all[@]}"
none "space at the end of a line" grep -nE '[[:blank:]]+$' "${sources[@]}" "${scripts[@]}"
none "a tab" grep -nP '\t' "${sources[@]}"
none "a file over 800 lines" long_files "${sources[@]}"
none "a function over 60 lines" long_functions src/*.c
none "not UTF-8" grep -naxv '.*' "${all[@]}"
tally
