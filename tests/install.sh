#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# install.sh BUILD OBJECTS: a staged install works from where it was put and from its final prefix,
# the library can be used by a program that knows hillrow.h alone, and uninstall takes all away.
set -u
cd "$(dirname "$0")/.." || exit 1
. tests/tally.sh
stage=$(mktemp -d)
trap 'rm -rf "$stage"' EXIT
build=$1
made() { # TARGET: without the flags of the make that runs the tests
    env -u MAKEFLAGS -u MFLAGS make --no-print-directory -s "$@" BUILD="$build" DESTDIR="$stage" >"$stage/log" 2>&1 || { cat "$stage/log"; return 1; }
}

expect "make install" made install
rm -f "$stage/log"
program=$stage/usr/local/bin/hillrow
for file in bin/hillrow lib/libhillrow.a include/hillrow.h share/hillrow/crops/sources.bib \
    share/hillrow/samples/first-plot.yaml share/doc/hillrow/README.md share/doc/hillrow/LICENSE; do
    expect "$file is not installed" test -s "$stage/usr/local/$file"
done
(cd / && env -i PATH=/usr/bin:/bin "$program" crops) >"$stage/list" 2>&1
expect "the installed program does not find its crops" grep -q 'flint corn' "$stage/list"

# A moved install finds its own crops, too.
mv "$stage/usr/local" "$stage/moved"
(cd / && env -i PATH=/usr/bin:/bin "$stage/moved/bin/hillrow" crops) >"$stage/list" 2>&1
expect "a moved install does not find its crops" grep -q 'flint corn' "$stage/list"

# So does a program that was built and not installed.
if [ -e "$build/../crops/sources.bib" ]; then
    (cd / && env -i PATH=/usr/bin:/bin "$OLDPWD/$build/hillrow" crops) >"$stage/list" 2>&1
    expect "the built program does not find its crops" grep -q 'flint corn' "$stage/list"
fi

cat >"$stage/use.c" <<'END'
#include <hillrow.h>

int main(int argc, char **argv)
{
    hr_diags *d = hr_diags_new();
    hr_library *lib = NULL;
    hr_garden *g = NULL;
    hr_status s = hr_library_open(argv[argc - 2], d, &lib);
    if (s == HR_OK)
        s = hr_garden_read(argv[argc - 1], lib, d, &g);
    if (s == HR_OK)
        puts(hr_garden_summary(g, false));
    fputs(hr_diags_text(d), stderr);
    hr_garden_free(g);
    hr_library_free(lib);
    hr_diags_free(d);
    return (int)s;
}
END
# shellcheck disable=SC2046 -- the flags are words
if gcc -std=c17 -Wall -Wextra -Werror -I"$stage/moved/include" "$stage/use.c" "$stage/moved/lib/libhillrow.a" \
    -lglpk $(pkg-config --libs geos gsl libpng yaml-0.1 cairo pangocairo jansson) -lm -o "$stage/use" &&
    "$stage/use" "$stage/moved/share/hillrow/crops" "$stage/moved/share/hillrow/samples/first-plot.yaml" \
        >"$stage/list"; then
    expect "a program over the library says nothing" test -s "$stage/list"
else
    fail "a program over the library"
fi

mv "$stage/moved" "$stage/usr/local"
expect "make uninstall" made uninstall
rm -f "$stage/log"
left=$(find "$stage/usr" -type f)
expect "uninstall leaves $left" test -z "$left"
tally
