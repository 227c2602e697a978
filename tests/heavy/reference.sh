#!/bin/sh
# Whole plans of drawn cases against a second computation (tests/reference/plan_reference.py), with the site of the examples and with
# the generic shelf's ids: every number to its last printed digit. CASES sets how many. Run by `make check-all`; 30 by `make test`.
BUILD=${BUILD:-build}
cases=${CASES:-3000}
command -v python3 >/dev/null || { echo "SKIP reference: no python3"; exit 0; }
make -s BUILD="$BUILD" "$BUILD/iolrevise" "$BUILD/tests/tools/drawn_cases" || exit 1
"$BUILD/tests/tools/drawn_cases" "$cases" 1 examples/site.json >"$BUILD/drawn.jsonl" || exit 1
python3 -B tests/reference/plan_reference.py "$BUILD/iolrevise" "$BUILD/drawn.jsonl" examples/site.json $((cases * 18)) && echo "passed reference"
