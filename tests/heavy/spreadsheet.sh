#!/bin/sh
# A sheet goes through a spreadsheet program: opened, saved as its own kind, saved as CSV again. Its TRUE, its dates and its numbers must come
# back as the same cases.
program=${BUILD:-build}/iolrevise
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
office=$(command -v soffice || command -v libreoffice) || { echo "SKIP spreadsheet: no LibreOffice"; exit 0; }
head -40 examples/past-cases.jsonl >"$work/cases.jsonl"
mkdir "$work/first" "$work/second"
python3 tests/tools/sheet.py "$work/cases.jsonl" >"$work/first/cases.csv"
# comma, double quotation mark, UTF-8, English (USA); true values and dates are told from text
convert() { HOME=$work "$office" --headless --convert-to "$1" --infilter="$2" --outdir "$3" "$4" >"$work/log" 2>&1 || { cat "$work/log"; failed=1; }; }
convert ods 'CSV:44,34,76,1,,1033,false,true' "$work/second" "$work/first/cases.csv"
convert 'csv:Text - txt - csv (StarCalc):44,34,76,1,,1033,false,true' '' "$work/second" "$work/second/cases.ods"
$program check "$work/second/cases.csv" 2>"$work/err" | grep '40 cases, 0 refused' || { echo "FAILED the sheet is refused"; head -5 "$work/err"; failed=1; }
for folder in first second; do
    $program recheck "$work/$folder/cases.csv" -f csv 2>/dev/null | cut -d, -f2- >"$work/$folder.rows"
done
cmp "$work/first.rows" "$work/second.rows" || { echo "FAILED the cases came back changed"; diff "$work/first.rows" "$work/second.rows" | head -4; failed=1; }
[ "$failed" = 0 ] && echo "passed spreadsheet"
exit "$failed"
