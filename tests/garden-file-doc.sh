#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# garden-file-doc.sh HILLROW: docs/garden-file.md, from the field table of the program.
cat <<'END'
# The garden file

Written by `make docs` from the table that also drives the reading of the file; change `src/garden.c`,
not this page.

A garden file is YAML: names and values behind colons, lists behind dashes, remarks behind `#`. Every
length, mass, volume, share and date carries its unit in the value, as `20 ft`, `45 cm`, `12 ft 6 in`,
`3 lb`, `50 %` or `May 1`; a bare number where a unit is due is an error. Spaces at the start of a
line say what belongs to what; tabs are not allowed. `hillrow new` writes one to begin with,
`hillrow check` says what was understood of it.

Each line gives the name, what may stand there, its limits, what it is when left out, and what it
means. Names further in belong to the name above them.

```
END
"$1" --describe || exit
echo '```'
