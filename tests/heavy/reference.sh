#!/bin/sh
# Whole plans of drawn cases, and of cases at the ends of what eyes have, against a second computation
# (tests/reference/plan_reference.py), with the site of the examples: every number to its last printed digit. CASES sets how many, a
# tenth as many at the ends, and as many lines of `power`. Run by `make check-all`; 30 by `make test`.
BUILD=${BUILD:-build}
cases=${CASES:-3000}
command -v python3 >/dev/null || { echo "SKIP reference: no python3"; exit 0; }
make -s BUILD="$BUILD" "$BUILD/iolrevise" "$BUILD/tests/tools/drawn_cases" || exit 1
"$BUILD/tests/tools/drawn_cases" "$cases" 1 examples/site.json >"$BUILD/drawn.jsonl" || exit 1
python3 -B tests/reference/extremes.py $((cases / 10)) examples/hyperopic-surprise.json >"$BUILD/ends.jsonl" || exit 1
against() { python3 -B tests/reference/plan_reference.py "$BUILD/iolrevise" "$1" examples/site.json "$2"; }
against "$BUILD/drawn.jsonl" $((cases * 18)) && against "$BUILD/ends.jsonl" $((cases * 2)) || exit 1
python3 -B tests/reference/power_reference.py "$BUILD/iolrevise" $((cases / 10)) $((cases * 4)) && echo "passed reference"
