#!/bin/sh
# Past cases, a few of them in all the ways that recheck has: tests/runs/past_check.py. The long form is recheck.sh.
command -v python3 >/dev/null || { echo "SKIP past: no python3"; exit 0; }
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
python3 -B tests/runs/past_check.py "$build/iolrevise" "$work"
