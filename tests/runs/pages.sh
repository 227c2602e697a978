#!/bin/sh
# The bytes of whole plans and pages, too many to keep: a checksum for each in tests/golden/pages.tsv (case, what, checksum).
# It says that something moved, not that it was right. UPDATE=1 rewrites it, once the difference to the program before was read.
program=${BUILD:-build}/iolrevise
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"${BUILD:-build}"/tests/tools/hard_cases "$work" || exit 1
for case in examples/*.json tests/inputs/eyes/*.json "$work"/*.json; do
    [ "$case" = examples/site.json ] && continue
    name=$(basename "$case" .json)
    while read -r what arguments; do
        sum=$($program plan "$case" --site examples/site.json --as-of 2026-09-01 $arguments </dev/null 2>&1 | cksum | tr ' ' -)
        printf '%s\t%s\t%s\n' "$name" "$what" "$sum"
    done <<END
screen
text --full
json --format json
page --format html
note --only note,theatre
patient-de --only patient --language de
END
done >"$work/pages.tsv"
for what in csv jsonl json text html; do
    sum=$($program recheck examples/past-cases.jsonl --as-of 2026-09-01 --format $what 2>&1 | cksum | tr ' ' -)
    printf '%s\t%s\t%s\n' recheck $what "$sum"
done >>"$work/pages.tsv"
[ -n "$UPDATE" ] && cp "$work/pages.tsv" tests/golden/pages.tsv
if cmp -s tests/golden/pages.tsv "$work/pages.tsv"; then
    echo "passed pages: $(wc -l <tests/golden/pages.tsv) as before"
else
    diff tests/golden/pages.tsv "$work/pages.tsv" | grep '^>' | head -20
    echo "FAILED pages: other bytes than before; compare both programs, then UPDATE=1"
    exit 1
fi
