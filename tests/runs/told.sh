#!/bin/sh
# What the whole text of a plan, and the summary of past cases, tell against the same as JSON: tests/runs/told_check.py, over the examples,
# odd eyes and hard cases.
command -v python3 >/dev/null || { echo "SKIP told: no python3"; exit 0; }
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$build/tests/tools/hard_cases" "$work" || exit 1
{ head -40 examples/past-cases.jsonl && echo '{}'; } >"$work/past.jsonl"
set -- "$work"/*.json tests/inputs/eyes/*.json "$work/past.jsonl" examples/past-cases.jsonl
for case in examples/*.json; do [ "$case" = examples/site.json ] || set -- "$@" "$case"; done
python3 -B tests/runs/told_check.py "$build/iolrevise" "$@"
