#!/bin/sh
# evidence.sh FOLDER: the shipped past cases, what is found in them, and the page that quotes it, below a folder. All invented
# and seeded: whoever runs this gets the same bytes. Called by generate.sh.
build=${BUILD:-build}
to=$1
program=$build/iolrevise
generate=$build/tests/generate_past_cases
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$to/examples" "$to/docs/evidence"
$generate 200 2025 >"$work/past-cases.jsonl" || exit 1
cp "$work/past-cases.jsonl" "$to/examples/past-cases.jsonl" || exit 1

# ---- suspects ----
$generate 10000 2026 >"$work/generated-10000.jsonl"
$build/tests/hits "$work/past-cases.jsonl" "$work/generated-10000.jsonl" >"$work/suspects.tsv" || exit 1
cp "$work/suspects.tsv" "$to/docs/evidence/suspects.tsv"

# ---- calibration: joint with the reference formula, over all counted eyes ----
measure() { # name, recheck arguments
    name=$1; shift
    $program recheck "$@" --format json >"$work/summary.json" || exit 1
    awk -v name="$name" -F'[:,] *' '
        /"n":|"mean_error_d"|"mae_d"|"held_/ { gsub(/[ "]/, "", $1); v[$1] = $2 }
        /^    \}/ { printf "%s\t%d\t%.2f\t%.2f\t%.1f\t%.1f\t%.1f\n", name, v["n"], v["mean_error_d"], v["mae_d"],
                    100 * v["held_50"], 100 * v["held_80"], 100 * v["held_95"]; exit }' "$work/summary.json" |
        sed 's/\t-0\.00\t/\t0.00\t/'
}
grep '"invented; gross: none"' "$work/past-cases.jsonl" >"$work/ordinary.jsonl"
$generate 1500 11 shelf >"$work/fit.jsonl"
$generate 1500 12 shelf >"$work/fresh.jsonl"
$program recheck "$work/fit.jsonl" --site tests/rows/fit_site.json --fit-site "$work/fitted.json" >/dev/null || exit 1
{
    printf 'run\tcounted\tmean_error_d\tmae_d\theld_50_percent\theld_80_percent\theld_95_percent\n'
    measure 'shipped set' "$work/past-cases.jsonl"
    measure 'shipped set without its gross errors' "$work/ordinary.jsonl"
    measure '1500 fresh cases, one constant 0.8 too low' "$work/fresh.jsonl" --site tests/rows/fit_site.json
    measure 'the same, site fitted on 1500 others' "$work/fresh.jsonl" --site "$work/fitted.json"
} >"$work/calibration.tsv"
cp "$work/calibration.tsv" "$to/docs/evidence/calibration.tsv"

# ---- the page: what stands between "<!-- NAME: generated -->" and "<!-- end -->" is written anew ----
awk -F'\t' 'NR > 1 {
    if ($1 != set) {
        set = $1
        printf "%s%s:\n\n", (NR > 2 ? "\n" : ""), (set == "past-cases.jsonl" ? "Shipped set" : "10 000 more from the same generator")
        print "| put in | suspect | cases | z above 3 | listed | explains | first | another leads |"
        print "|---|---|---|---|---|---|---|---|"
    }
    of = " of " $4
    if ($2 == "none") printf "| nothing gross | any | %s | %s | | %s with z above 3 | | %s |\n", $4, $5, $11, $10
    else printf "| %s | `%s`%s | %s | %s | %s | %s | %s | %s |\n", $2, $3, ($9 == $6 ? " (never excluded)" : ""), $4, $5, $6 of, $7 of, $8 of, $10
}' "$work/suspects.tsv" >"$work/suspects.block"
awk -F'\t' '
    NR == 1 { print "| run | eyes | mean error | mean absolute | 50 % held | 80 % held | 95 % held |"; print "|---|---|---|---|---|---|---|"; next }
    { printf "| %s | %s | %s%s D | %s D | %s %% | %s %% | %s %% |\n", $1, $2, ($3 > 0 ? "+" : ""), $3, $4, $5, $6, $7 }
' "$work/calibration.tsv" >"$work/calibration.block"
awk -v dir="$work" '
    /^<!-- [a-z]+: generated -->$/ {
        print
        name = $2
        sub(":", "", name)
        while ((getline line <(dir "/" name ".block")) > 0) print line
        inside = 1
    }
    /^<!-- end -->$/ { inside = 0 }
    !inside && !/: generated -->$/' docs/recheck.md >"$work/recheck.md"
cp "$work/recheck.md" "$to/docs/recheck.md"
