#!/bin/sh
# The drawings of pages against their plans: tests/runs/drawn_check.py, over the examples, odd eyes and hard cases.
command -v python3 >/dev/null || { echo "SKIP drawn: no python3"; exit 0; }
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$build/tests/tools/hard_cases" "$work" || exit 1
head -30 examples/past-cases.jsonl >"$work/few.jsonl"
set -- "$work"/*.json tests/inputs/eyes/*.json examples/past-cases.jsonl "$work/few.jsonl"
for case in examples/*.json; do [ "$case" = examples/site.json ] || set -- "$@" "$case"; done
python3 -B tests/runs/drawn_check.py "$build/iolrevise" "$@"
