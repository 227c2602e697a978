#!/bin/sh
# All tests on a build of its own that counts the lines run (gcc and gcov; -O0). Prints the lines that no test runs, and fails
# below the floors: 95 % of the lines of src/ and of the code in data/*.def, and every line of the folders in `whole`: the
# arithmetic and the rules (src/plan, the predicates of data/*.def). A line that cannot be reached counts as not run.
# `make coverage` sets RECORD=1: the figures are added to docs/runs/coverage.tsv.
whole='src/optics src/formulas src/eye src/estimate src/plan data'
build=${BUILD:-build}/coverage
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
gcc=${COVERAGE_CC:-gcc}
with() { ${MAKE:-make} -s BUILD="$build" CC="$gcc" OPT="-O0 --coverage" "$@"; }

with -j2 programs >"$work/log" 2>&1 || { cat "$work/log"; exit 1; }
find "$build/src" -name '*.gcno' >"$work/objects"
# One after the other: a run that a test ends while it writes its counts loses those of all before it.
for part in unit runs; do
    find "$build" -name '*.gcda' -exec rm {} + 2>/dev/null
    with $part >"$work/log" 2>&1 || { cat "$work/log"; exit 1; }
    while read -r object; do
        [ -e "${object%.gcno}.gcda" ] || continue
        ${GCOV:-gcov} -t -o "${object%/*}" "${object%.gcno}.gcda" || exit 1
    done <"$work/objects" >>"$work/lines" 2>"$work/log" || { cat "$work/log"; exit 1; }
done

# A header or a table is read by many objects: its line is run when one of them ran it.
awk -F: -v not_run="$work/not_run" '
    $2 + 0 == 0 && $3 == "Source" { file = $4; sub(".*/\\./", "", file); next }
    file !~ /^(src|data)\// || $1 ~ /-$/ { next }
    { at = file ":" $2 + 0; lines[at]; if ($1 !~ /[#=]/) run[at] }
    END {
        for (at in lines) {
            part = at
            sub("/[^/]*$", "", part)
            count[part]++; count["all"]++
            if (at in run) { covered[part]++; covered["all"]++ } else print at >not_run
        }
        for (part in count) printf "%s\t%d\t%d\t%.1f\n", part, count[part], covered[part], int(1000 * covered[part] / count[part]) / 10
    }' "$work/lines" | sort >"$work/parts"
[ -e "$work/not_run" ] && sort -t: -k1,1 -k2n "$work/not_run" | sed 's/^/no test runs /'
awk -F'\t' '{ printf "%-14s %6d lines %6d run %6.1f %%\n", $1, $2, $3, $4 }' "$work/parts"

if [ -n "$RECORD" ]; then
    mkdir -p docs/runs
    out=docs/runs/coverage.tsv
    [ -e $out ] || printf 'date\tcommit\tcompiler\tpart\tlines\trun\tpercent\n' >$out
    run=$(printf '%s\t%s\t%s' "$(date -u +%Y-%m-%d)" "$(git rev-parse --short HEAD)" "$($gcc --version | head -1)")
    sed "s/^/$run\t/" "$work/parts" >>$out
fi
awk -F'\t' -v whole="$whole" '
    BEGIN { n = split(whole, name, " "); for (i = 1; i <= n; i++) all[name[i]] }
    $1 in all { seen++; if ($2 != $3) { print "FAILED coverage of " $1 ": " $2 - $3 " lines without a test"; bad = 1 } }
    $1 == "all" { seen++; if ($3 < 0.95 * $2) { print "FAILED coverage: " $4 " % of all lines, wanted 95 %"; bad = 1 } }
    END { if (seen != n + 1) { print "FAILED coverage: a folder is missing"; bad = 1 } exit bad }' "$work/parts" || exit 1
echo "passed coverage"
