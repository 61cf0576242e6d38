# SPDX-License-Identifier: GPL-3.0-or-later
# awk -f glob.awk PATTERN TEXT: does the text match, line by line? In the pattern `*` stands for any
# characters and a line `...` for any number of lines. Prints the first pattern line without a match.
FNR == NR { pattern[++np] = $0; next }
{ text[++nt] = $0 }

function regex(line) {
    gsub(/[][\\.^$+?(){}|]/, "\\\\&", line)
    gsub(/\*/, ".*", line)
    return "^" line "$"
}

# The lines from `from` to `to` of the pattern, against the text at `at`; 0 or where the text goes on.
function run_matches(from, to, at,    i) {
    for (i = from; i <= to; i++) {
        if (at > nt || text[at] !~ re[i]) {
            if (i > furthest) furthest = i
            return 0
        }
        at++
    }
    return at
}

END {
    for (i = 1; i <= np; i++) re[i] = regex(pattern[i])
    at = 1
    floating = 0
    for (i = 1; i <= np; i = j + 1) {
        for (j = i; j <= np && pattern[j] != "..."; j++) ;
        if (j > np && floating && nt - (np - i) >= at) # the last run stands at the end
            at = nt - (np - i)
        found = run_matches(i, j - 1, at)
        while (!found && floating && j <= np && at <= nt)
            found = run_matches(i, j - 1, ++at)
        if (!found) {
            printf "no line for: %s\n", pattern[furthest]
            exit 1
        }
        at = found
        floating = j <= np
    }
    if (at <= nt && !floating) {
        printf "not expected: %s\n", text[at]
        exit 1
    }
}
