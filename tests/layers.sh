#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# layers.sh: the include rule of DEVELOPERS.md, and that the check of it does find what is planted.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
copy=$(mktemp -d)
trap 'rm -rf "$copy"' EXIT

check() { # DIR
    (cd "$1" && awk -f tests/layers.awk DEVELOPERS.md include/*.h src/*.c src/*.h)
}

fresh() {
    rm -rf "$copy/x"
    mkdir -p "$copy/x"
    cp -r src include DEVELOPERS.md "$copy/x"
    mkdir "$copy/x/tests"
    cp tests/layers.awk "$copy/x/tests"
}

# finds FILE LINE WORDS: with that line planted at the end of the file the check fails and says so.
finds() {
    local said
    fresh
    echo "$2" >>"$copy/x/$1"
    if said=$(check "$copy/x"); then
        fail "found nothing wrong with $1: $2"
    elif ! grep -qF "$1" <<<"$said" || ! grep -qF "$3" <<<"$said"; then
        fail "no '$3' about $1 in: $said"
    else
        pass
    fi
}

expect "the sources keep to the table" check .
finds src/arena.c '#include "plan.h"' 'layer 0 includes plan.h'
finds src/bib.h '#include "garden.h"' 'which stands after it'
finds src/plan.c '#include "api_private.h"' 'not in the table of layers'
finds src/unlisted.c 'int x;' 'not in the table of layers: unlisted'
finds src/menu.c '#include <glpk.h>' '<glpk.h> is not for menu.c'
finds src/plan.c '#include <cairo/cairo.h>' '<cairo/cairo.h> is not for plan.c'
finds src/cmd_plan.c '#include "plan.h"' 'only, not plan.h'
finds src/main.c '#include "str.h"' 'only, not str.h'
finds src/solver.c '#include <zlib.h>' 'not in the table of libraries'
fresh
sed -i '/<!-- layers -->/,/<!-- end -->/d' "$copy/x/DEVELOPERS.md"
if check "$copy/x" >/dev/null; then fail "passed without its table"; else pass; fi
tally
