#!/bin/sh
# Sheets: the same cases as rows of a sheet give the same rows and the same statistics; faults name row and column.
program=${BUILD:-build}/iolrevise
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
bad() { echo "FAILED sheets: $1"; failed=1; }

head -60 examples/past-cases.jsonl >"$work/cases.jsonl"
python3 tests/tools/sheet.py "$work/cases.jsonl" >"$work/cases.csv"
$program check "$work/cases.csv" >"$work/out" 2>"$work/err" || bad "the sheet is refused"
grep -q 'cases.csv: 60 cases, 0 refused' "$work/out" || bad "not 60 cases"
for site in "" "--site examples/site.json"; do
    for name in cases.jsonl cases.csv; do
        $program recheck "$work/$name" $site -f csv --jobs 2 --summary "$work/$name.summary" | cut -d, -f3- >"$work/$name.rows"
    done
    cmp -s "$work/cases.jsonl.rows" "$work/cases.csv.rows" || bad "the rows differ"
    cmp -s "$work/cases.jsonl.summary" "$work/cases.csv.summary" || bad "the summaries differ"
done
[ "$(wc -l <"$work/cases.csv.rows")" -gt 60 ] || bad "no rows"
cp "$work/cases.csv" "$work/cases.txt"
$program check --csv "$work/cases.txt" 2>/dev/null | grep -q '60 cases, 0 refused' || bad "--csv"
$program check --csv - <"$work/cases.csv" 2>/dev/null | grep -q -e '-: 60 cases, 0 refused' || bad "a sheet from standard input"
$program recheck "$work/cases.csv" --site examples/site.json --fit-site "$work/fit.csv.json" >"$work/a" 2>&1
$program recheck "$work/cases.jsonl" --site examples/site.json --fit-site "$work/fit.json" >"$work/b" 2>&1
cmp -s "$work/fit.csv.json" "$work/fit.json" || bad "read twice, the sheet gives another site file"

# Row and column, whatever stands between: a cell over several lines, blank rows, rows without a value.
printf '%s\r\n' 'case_format,case_ref,eye,reason,//,biometry.axial_length_mm' '1,A,left,power-error,"one' '' 'two",23.4' '' ',,,,,' \
    '1,B,left,power-error,,2.34' '1,C,left,power-error,,23.4,KEPT-OUT' >"$work/rows.csv"
$program check "$work/rows.csv" >"$work/out" 2>"$work/err"
[ $? = 1 ] && grep -q 'rows.csv: 3 cases, 2 refused' "$work/out" || { bad "rows.csv"; cat "$work/out"; }
grep -q 'rows.csv:5:F: /biometry/axial_length_mm: unit-slip: found "2.34"' "$work/err" || { bad "row 5"; cat "$work/err"; }
grep -q 'rows.csv:6:G: (whole): unknown-key: found a cell without a heading' "$work/err" || { bad "row 6"; cat "$work/err"; }
! grep -q 'KEPT-OUT' "$work/err" || bad "a text is quoted"
$program recheck "$work/rows.csv" -f jsonl 2>/dev/null | grep -q '"line":5.*"path":"/biometry/axial_length_mm"' || bad "recheck's fault of row 5"

# A heading that cannot be read is told once, and no row is read.
printf 'case_format;case_ref\n1;A\n1;B\n' >"$work/bad.csv"
$program check "$work/bad.csv" >"$work/out" 2>"$work/err"
[ $? = 1 ] && [ "$(wc -l <"$work/err")" = 1 ] && grep -q 'bad.csv:1:A: .*save the sheet as CSV with commas' "$work/err" || bad "semicolons"
$program recheck "$work/bad.csv" >/dev/null 2>"$work/err2"
[ $? = 1 ] && cmp -s "$work/err" "$work/err2" || bad "recheck says something else of it"
printf 'case_format,case_ref\n' >"$work/none.csv"
$program check "$work/none.csv" >/dev/null 2>&1
[ $? = 3 ] || bad "a heading alone is something to read"
{ printf 'case_format,//\n1,"'; head -c 70000 /dev/zero | tr '\0' x; printf '\n"\n'; } >"$work/long.csv"
$program check "$work/long.csv" >/dev/null 2>"$work/err"
[ $? = 1 ] && grep -q 'long.csv:2: (whole): too-long' "$work/err" || { bad "a long row"; cut -c1-200 "$work/err"; }
{ printf 'case_format,//\n1,"'; yes x | head -c 70000; } >"$work/open.csv"
$program check "$work/open.csv" >/dev/null 2>"$work/err"
[ $? = 1 ] && grep -q 'open.csv:2: (whole): too-long' "$work/err" || { bad "a cell that never ends"; cut -c1-200 "$work/err"; }

# The heading of a starter, short and long, is one that can be read; every path of a case stands in the long one.
for kind in power-error opacity past-case; do
    for short in "" --short; do
        { $program template $kind --csv $short; printf '1,K-1,left,cylinder-error\r\n'; } >"$work/starter.csv"
        $program check "$work/starter.csv" >"$work/out" 2>"$work/err"
        ! grep -q ':1:' "$work/err" || { bad "heading of $kind $short"; head -3 "$work/err"; }
    done
done
[ "$($program template past-case --csv | tr , '\n' | wc -l)" -gt 250 ] || bad "the long heading is short"
$program template site --csv >/dev/null 2>&1
[ $? = 2 ] || bad "a site as a sheet"

# One case over several lines from standard input; lines as before.
$program check - <examples/hyperopic-surprise.json >"$work/out" 2>/dev/null || bad "a whole case from standard input"
[ "$(head -1 "$work/out" | cut -c1-5)" = "-: ok" ] || bad "a whole case is not told as one"
printf '\n\n  {\n"case_format": 1,\n"eye": "middle"}\n' | $program check - 2>"$work/err" >/dev/null
grep -q -e '-:5: /eye: not-a-word' "$work/err" || bad "the line of a fault in a whole case"
$program check - <"$work/cases.jsonl" 2>/dev/null | grep -q -e '-: 60 cases, 0 refused' || bad "lines from standard input"
$program recheck - -f jsonl <examples/minimal.json 2>/dev/null | wc -l | grep -qx 1 || bad "recheck of a whole case from standard input"
[ "$failed" = 0 ] && echo "passed sheets"
exit "$failed"
