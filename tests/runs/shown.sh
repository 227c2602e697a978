#!/bin/sh
# Words of the report are shown: each row of tests/rows/report_words.tsv stands in what some case prints, in each form that the row names:
# tests/runs/shown_check.py, over the examples, odd eyes, hard cases, and cases kept for their words.
command -v python3 >/dev/null || { echo "SKIP shown: no python3"; exit 0; }
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$build/tests/tools/hard_cases" "$work" || exit 1
for case in examples/*.json tests/inputs/eyes/*.json tests/inputs/words/*.json; do [ "$case" = examples/site.json ] || set -- "$@" "$case"; done
python3 -B tests/runs/shown_check.py "$build/iolrevise" "$work" "$@" "$work"/*.json
