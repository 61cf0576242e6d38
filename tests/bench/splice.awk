# SPDX-License-Identifier: GPL-3.0-or-later
# awk -f splice.awk TABLES PAGE: the page with what stands between its marks `<!-- bench -->` and
# `<!-- end -->` replaced by the tables.
NR == FNR { tables = tables $0 "\n"; next }
/^<!-- end -->/ { inside = 0 }
!inside { print }
/^<!-- bench -->/ { inside = 1; printf "\n%s\n", tables }
