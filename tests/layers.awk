# SPDX-License-Identifier: GPL-3.0-or-later
# awk -f layers.awk DEVELOPERS.md SOURCE...: checks every #include against the two tables between the
# marks `<!-- layers -->` and `<!-- libraries -->` and the next `<!-- end -->`.
# Layers: a file may include headers of lower layers. Of its own layer a .c file may include any, a
# header only those that stand before it in the row, so that headers form no circle. A third column
# that is not empty lists all that the files of the row may include besides each other.
# Libraries: a header in angle brackets must match a row, and the file must be one of that row.

function fault(text) {
    printf "%s:%d: %s\n", FILENAME, FNR, text
    faults++
}

function trim(s) {
    gsub(/^[ \t`]+|[ \t`]+$/, "", s)
    return s
}

/<!-- layers -->/ { table = "layers"; next }
/<!-- libraries -->/ { table = "libraries"; next }
/<!-- end -->/ { table = ""; next }

table == "layers" && /^\| *[0-9]+ *\|/ {
    split($0, column, "|")
    row++
    n = split(column[3], names, /[ ,]+/)
    for (i = 1; i <= n; i++) {
        if ((name = trim(names[i])) == "") continue
        if (name in layer) fault(name " stands twice in the table")
        layer[name] = trim(column[2]) + 0
        place[name] = ++places
        row_of[name] = row
    }
    sees[row] = trim(column[4])
    rows++
}

table == "libraries" && /^\| *`/ {
    split($0, column, "|")
    n = split(column[2], headers, /[ ,]+/)
    for (i = 1; i <= n; i++) {
        if ((name = trim(headers[i])) == "") continue
        gsub(/\./, "\\.", name)
        gsub(/\*/, ".*", name)
        library["^" name "$"] = " " trim(column[3]) " "
        libraries++
    }
}

FNR == 1 && FILENAME !~ /\.md$/ {
    base = FILENAME
    sub(/.*\//, "", base)
    stem = base
    sub(/\.[ch]$/, "", stem)
    files++
    if (!(stem in layer)) fault("not in the table of layers: " stem)
}

FILENAME ~ /\.[ch]$/ && /^[ \t]*#[ \t]*include[ \t]*"/ && (stem in layer) {
    split($0, part, "\"")
    other = part[2]
    sub(/\.h$/, "", other)
    if (!(other in layer))
        fault("includes " part[2] ", which is not in the table of layers")
    else if (layer[other] > layer[stem])
        fault("layer " layer[stem] " includes " part[2] " of layer " layer[other])
    else if (layer[other] == layer[stem] && base ~ /\.h$/ && place[other] > place[stem])
        fault("includes " part[2] ", which stands after it in its own layer")
    else if (sees[row_of[stem]] != "" && row_of[other] != row_of[stem] &&
             index(", " sees[row_of[stem]] ",", ", " other ",") == 0)
        fault("may include " sees[row_of[stem]] " only, not " part[2])
}

FILENAME ~ /\.[ch]$/ && /^[ \t]*#[ \t]*include[ \t]*</ {
    header = $0
    sub(/^[^<]*</, "", header)
    sub(/>.*/, "", header)
    known = allowed = 0
    for (name in library)
        if (header ~ name) {
            known = 1
            if (library[name] ~ / any / || index(library[name], " " base " ")) allowed = 1
        }
    if (!known) fault("<" header "> is not in the table of libraries")
    else if (!allowed) fault("<" header "> is not for " base)
}

END {
    if (rows < 5 || libraries < 5 || files < 5) {
        print "layers.awk: no tables or no files to check"
        exit 1
    }
    exit faults > 0
}
