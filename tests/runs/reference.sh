#!/bin/sh
# A few drawn plans against the second computation; many in tests/heavy/reference.sh.
command -v python3 >/dev/null || { echo "SKIP reference: no python3"; exit 0; }
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$build/tests/tools/drawn_cases" 30 101 examples/site.json >"$work/cases.jsonl" || exit 1
python3 -B tests/reference/extremes.py 8 examples/two-lenses.json both >>"$work/cases.jsonl" || exit 1
python3 -B tests/reference/plan_reference.py "$build/iolrevise" "$work/cases.jsonl" examples/site.json 1200 101 >"$work/out" ||
    { grep -v ' 0  ' "$work/out"; echo "FAILED reference"; exit 1; }
echo "passed reference"
