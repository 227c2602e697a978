#!/bin/sh
# Whole plans of drawn cases, and of cases at the ends of what eyes have, against a second computation
# (tests/reference/plan_reference.py), with the site of the examples: every number to its last printed digit. CASES sets how many, a
# tenth as many at the ends, as many eyes with two lenses, and as many lines of `power`. RECORD=1 adds the counts to
# docs/runs/reference.tsv. Run by `make check-all`; 30 by `make test`.
BUILD=${BUILD:-build}
cases=${CASES:-3000}
command -v python3 >/dev/null || { echo "SKIP reference: no python3"; exit 0; }
make -s BUILD="$BUILD" "$BUILD/iolrevise" "$BUILD/tests/tools/drawn_cases" || exit 1
"$BUILD/tests/tools/drawn_cases" "$cases" 1 examples/site.json >"$BUILD/drawn.jsonl" || exit 1
python3 -B tests/reference/extremes.py $((cases / 10)) examples/hyperopic-surprise.json >"$BUILD/ends.jsonl" || exit 1
python3 -B tests/reference/extremes.py $((cases / 10)) examples/two-lenses.json both >"$BUILD/two.jsonl" || exit 1
against() { python3 -B tests/reference/plan_reference.py "$BUILD/iolrevise" "$1" examples/site.json "$2" >"$BUILD/said"; ended=$?; cat "$BUILD/said"; note "$3"; return $ended; }
[ -z "$RECORD" ] || [ -e docs/runs/reference.tsv ] || printf 'date\tcommit\tof\tcases\tnumbers\tdiffer\n' >docs/runs/reference.tsv
note() { [ -z "$RECORD" ] || awk -v OFS='\t' -v run="$(date -u +%Y-%m-%d)" -v commit="$(git rev-parse --short HEAD)" -v of="$1" \
    '/ numbers compared, / { print run, commit, of, $1, $3 + 0, $6 + 0 }' "$BUILD/said" >>docs/runs/reference.tsv; }
against "$BUILD/drawn.jsonl" $((cases * 18)) "drawn cases" && against "$BUILD/ends.jsonl" $((cases * 2)) "at the ends" && against "$BUILD/two.jsonl" $((cases * 2)) "two lenses" || exit 1
python3 -B tests/reference/power_reference.py "$BUILD/iolrevise" $((cases / 10)) $((cases * 4)) >"$BUILD/said"
ended=$?
cat "$BUILD/said"
note "lines of \`power\`"
[ $ended = 0 ] && echo "passed reference"
