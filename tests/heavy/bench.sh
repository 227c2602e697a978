#!/bin/sh
# What a recheck of 100 000 generated cases of about 1 KB costs, against parsing the same bytes with the packaged cJSON, in turns
# in one process; memory of the program, fed by a pipe, and time per case from 10^3 to 10^6 cases; one plan against `jq .`. Every
# time is the smallest of five; the causes that the mixture weighs apart, and one plan with the questions that it asks next (of a
# case that leaves most open). Appends a line to docs/runs/bench.tsv. Quiet machines give steadier figures; CASES=10000
# makes a short run.
build=${BUILD:-build}
program=$build/iolrevise
cases=${CASES:-100000}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
$build/tests/tools/generate_past_cases "$cases" 1 >"$work/cases.jsonl"
seconds() { # wall seconds of a command, its output thrown away
    start=$(date +%s%N)
    "$@" >/dev/null 2>&1
    end=$(date +%s%N)
    echo "$start $end" | awk '{ printf "%.4f\n", ($2 - $1) / 1e9 }'
}
least() { sort -n | head -1; }
for i in 1 2 3 4 5; do
    seconds $program plan examples/hyperopic-surprise.json --site examples/site.json --format json >>"$work/plan"
    command -v jq >/dev/null && seconds jq . examples/hyperopic-surprise.json >>"$work/jq"
done
plan=$(least <"$work/plan")
jq=$( { [ -s "$work/jq" ] && least <"$work/jq"; } || echo 0)
set -- $($build/tests/heavy/bench ratio "$work/cases.jsonl")
parse=$1 one=$2 two=$3
set -- "$@" $($build/tests/heavy/bench plan examples/hyperopic-surprise.json examples/site.json)
made=$4
set -- $($build/tests/heavy/bench plan examples/minimal.json examples/site.json)
asked=$(echo "$1 $2" | awk '{ printf "%.4f", $1 + $2 }')
$build/tests/heavy/bench stages "$work/cases.jsonl" >"$work/stages"
sizes=$(for n in 1000 10000 100000 1000000; do [ "$n" -gt $((cases * 10)) ] || echo $n; done)
for n in $sizes; do
    $build/tests/tools/generate_past_cases $n 2 >"$work/$n.jsonl"
    cat "$work/$n.jsonl" | /usr/bin/time -f %M -o "$work/$n.kb" $program recheck --format csv >/dev/null
done
for i in 1 2 3; do # in turns: a machine is slower at one time than at another
    for n in $sizes; do $build/tests/heavy/bench each "$work/$n.jsonl" >>"$work/$n.us"; done
done
for n in $sizes; do
    printf '%d cases: %d KB, %s us a case\n' $n "$(cat "$work/$n.kb")" "$(least <"$work/$n.us")"
done | tee "$work/growth"
echo "$parse $one $two $plan $jq" | awk '{ printf "cJSON alone %.3f s; recheck %.3f s at one job (%.2f x), %.3f s at two (%.2f x); plan %.4f s, jq %.4f s\n", $1, $2, $2 / $1, $3, $3 / $1, $4, $5 }'
echo "one plan $made s, with what it asks next $asked s (a case that leaves most open)"
awk '{ printf "%s %s ns a case; ", $1, $2 } END { print "" }' "$work/stages"
mkdir -p docs/runs
out=docs/runs/bench.tsv
[ -e $out ] || printf 'date\tcommit\tcompiler\tcases\tcjson_s\tone_job_s\ttwo_jobs_s\tone_ratio\ttwo_ratio\tplan_s\tjq_s\tscan_ns\tparse_ns\tread_ns\tcompute_ns\tcount_ns\tprint_ns\tmost_kb\tleast_us\tmost_us\tmixture_ns\tone_plan_s\tplan_and_ask_s\n' >$out
kb=$(awk '{ if ($3 > m) m = $3 } END { print m + 0 }' "$work/growth")
{
    printf '%s\t%s\t%s\t%s\t' "$(date -u +%Y-%m-%d)" "$(git rev-parse --short HEAD 2>/dev/null)" "$(${CC:-cc} --version | head -1 | tr '\t' ' ')" "$cases"
    echo "$parse $one $two $plan $jq" | awk '{ printf "%s\t%s\t%s\t%.2f\t%.2f\t%s\t%s\t", $1, $2, $3, $2 / $1, $3 / $1, $4, $5 }'
    awk '$1 != "mixture" { printf "%s\t", $2 }' "$work/stages"
    awk -v kb="$kb" '{ if (!n++ || $5 < l) l = $5; if ($5 > m) m = $5 } END { printf "%d\t%.2f\t%.2f\t", kb, l, m }' "$work/growth"
    awk -v made="$made" -v asked="$asked" '$1 == "mixture" { printf "%s\t%s\t%s\n", $2, made, asked }' "$work/stages"
} >>$out
