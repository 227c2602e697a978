#!/bin/sh
# A million cases in one file on two jobs, and as 64 parts merged in another order: the same summary, byte for byte; memory flat.
# CASES=N for another number.
program=$(pwd)/${BUILD:-build}/iolrevise
generate=$(pwd)/${BUILD:-build}/tests/tools/generate_past_cases
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 1
fail() { echo "FAILED many: $1"; exit 1; }
free=$(df -Pk . | awk 'NR == 2 { print $4 }')
cases=${CASES:-1000000}
[ "$free" -gt $((cases * 25 / 10)) ] || { echo "SKIP small-disc: too little room for $cases cases"; exit 0; }
"$generate" "$cases" 9 >all.jsonl || fail "cases"
(ulimit -v 400000; "$program" recheck all.jsonl --jobs 2 --format json >one.json) || fail "one run in 400 MB of addresses"
split -n l/64 -d all.jsonl part.
for p in part.??; do "$program" recheck "$p" --jobs 2 --format json --partial "$p.counts" >/dev/null || fail "$p"; done
"$program" recheck --merge --parts 64 --format json $(ls part.??.counts | sort -r) | cmp -s - one.json || fail "64 parts are not one run"
[ "$(sed -n 's/.*"cases": \([0-9]*\),/\1/p' one.json | head -1)" = "$cases" ] || fail "cases are lost"
echo "passed many: $cases cases, $(wc -c <all.jsonl) bytes"
