#!/bin/sh
# evidence.sh FOLDER: the shipped past cases, what is found in them, and the pages that quote it, below a folder. All invented
# and seeded: whoever runs this gets the same bytes. Called by generate.sh.
build=${BUILD:-build}
to=$1
program=$build/iolrevise
generate=$build/tests/tools/generate_past_cases
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$to/examples" "$to/docs/runs"
$generate 200 2025 >"$work/past-cases.jsonl" || exit 1
cp "$work/past-cases.jsonl" "$to/examples/past-cases.jsonl" || exit 1

# ---- suspects ----
$generate 10000 2026 >"$work/generated-10000.jsonl"
$generate 10000 2027 times=1 >"$work/rates-1.jsonl"
$generate 10000 2028 times=4 >"$work/rates-4.jsonl"
$generate 10000 2029 times=1 tails >"$work/rates-1-tails.jsonl"
$build/tests/tools/hits "$work/past-cases.jsonl" "$work/generated-10000.jsonl" "$work/rates-4.jsonl" >"$work/suspects.tsv" || exit 1
cp "$work/suspects.tsv" "$to/docs/runs/suspects.tsv"

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
    measure '10 000 eyes, gross causes at the rates of the table' "$work/rates-1.jsonl"
    measure '10 000, at four times these rates' "$work/rates-4.jsonl"
    measure '10 000, at the rates of the table, heavy tails' "$work/rates-1-tails.jsonl"
    measure '1500 fresh cases, one constant 0.8 too low' "$work/fresh.jsonl" --site tests/rows/fit_site.json
    measure 'the same, site fitted on 1500 others' "$work/fresh.jsonl" --site "$work/fitted.json"
} >"$work/calibration.tsv"
cp "$work/calibration.tsv" "$to/docs/runs/calibration.tsv"

# ---- whether told chances came true: fifths of the chance, sizes of the eye part ----
told() { # name, recheck arguments
    name=$1; shift
    $program recheck "$@" --format json | awk -v name="$name" -F'": ' '
        /^  "/ { inside = /"calibration":/ }
        inside && NF > 1 { key = $1; gsub(/[ "]/, "", key); value = $2; gsub(/[",]/, "", value); v[key] = value }
        inside && /^    \}/ { printf "%s\t%s\t%s\t%d\t%.3f\t%.3f\t%.3f\t%.3f\n", name, v["by"], v["is"], v["n"], v["told"], v["came_true"],
                            v["came_true_low"], v["came_true_high"] }'
}
{
    printf 'run\tby\tis\teyes\ttold\tcame_true\tlow\thigh\n'
    told 'rates of the table' "$work/rates-1.jsonl"
    told 'four times these rates' "$work/rates-4.jsonl"
    told 'rates of the table, heavy tails' "$work/rates-1-tails.jsonl"
} >"$work/told.tsv"
cp "$work/told.tsv" "$to/docs/runs/told.tsv"

# ---- the pages: what stands between "<!-- NAME: generated -->" and "<!-- end -->" is written anew ----
awk -F'\t' 'NR > 1 {
    if ($1 != set) {
        set = $1
        printf "%s%s:\n\n", (NR > 2 ? "\n" : ""), (set == "past-cases.jsonl" ? "Shipped set" : set == "rates-4.jsonl" ? "10 000 eyes with the causes of `gross_rates` at four times the rates of the table, the lens known by letter" : "10 000 more from the same generator")
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
awk -F'\t' '
    NR == 1 { print "| eyes drawn | which | eyes | told | came true | 95 % limits |"; print "|---|---|---|---|---|---|"; next }
    { which = $2 == "eye-part" ? "eye part " $3 : "fifth " $3 " of the told chance"
      printf "| %s | %s | %s | %s | %s%s | %s to %s |\n", $1, which, $4, $5, $6, ($5 < $7 || $5 > $8 ? " *" : ""), $7, $8 }
' "$work/told.tsv" >"$work/told.block"
# The newest rows of a table of runs: those of the last date and commit.
newest() { awk -F'\t' 'NR == 1 { print; next } { run = $1 FS $2 } run != last { n = 0; last = run } { row[++n] = $0 } END { for (i = 1; i <= n; i++) print row[i] }' "$1"; }
[ -e docs/runs/coverage.tsv ] && newest docs/runs/coverage.tsv | awk -F'\t' '
    NR == 1 { print "| part | lines | run by a test | share |"; print "|---|---|---|---|"; next }
    { printf "| %s | %s | %s | %s %% |\n", ($4 == "all" ? "all" : "`" $4 "`"), $5, $6, $7; run = $2 ", " $1 ", " $3 }
    END { print "\nCommit " run "." }' >"$work/coverage.block"
[ -e docs/runs/mutants.tsv ] && {
    awk -F'\t' '
        NR == 1 { print "Every run:\n\n| commit | date | seed | tried | a check | pinned values | sanitizer | nobody | noticed |"; print "|---|---|---|---|---|---|---|---|---|"; next }
        $5 == "all" { printf "| %s | %s | %s | %s of %s | %s | %s | %s | %s | %s %% |\n", $2, $1, $4, $8, $7, $9, $10, $11, $12, $13 }
        END { print "\nA quick run asks neither the slow tests nor the sanitizer: it tells too few." }' docs/runs/mutants.tsv
    # Both draws together: who noticed at the draw, and what became of the others, asked again.
    [ ! -e docs/runs/mutants_again.tsv ] || awk -F'\t' '
        FILENAME ~ /again/ { if ($3 == "mutants_left.tsv") { run = $2 ", " $1; gone = $5; check = $6; pinned = $7; checked = $8; accepted = $9; nobody = $10 + $11 + $12 } next }
        function rank(x) { return x == "alive" ? 2 : x ~ /^(golden runs|double entry|test_drift)$/ }
        { file = $4; sub(/:[0-9]+$/, "", file); error[FILENAME FS $1] = file FS $5 FS $6; newest[FILENAME FS $1] = $2 }
        END {
            for (i in newest) { e = error[i]; if (!(e in by) || rank(newest[i]) > rank(by[e])) by[e] = newest[i] }
            for (e in by) if (by[e] != "equivalent" && by[e] != "not compiled") { all++; at_draw += !rank(by[e]) }
            all -= gone
            print "\nBoth draws of a0ddec2, each error once. What nobody or pinned values alone had noticed was asked again of all tests, on the sources of " run ":\n"
            print "| errors, their line still stands | a check | pinned values | sanitizer | accepted with a reason | nobody | by a check | noticed | of those not accepted, noticed |"
            print "|---|---|---|---|---|---|---|---|---|"
            check += at_draw
            printf "| %d | %d | %d | %d | %d | %d | %.1f %% | %.1f %% | %.1f %% |\n", all, check, pinned, checked, accepted, nobody, 100 * check / all, 100 * (check + pinned + checked) / all, 100 * (check + pinned + checked) / (all - accepted)
        }' docs/runs/mutants_again.tsv docs/runs/mutants_seed2.tsv docs/runs/mutants_seed3.tsv
    printf '\nThe newest:\n\n'
    newest docs/runs/mutants.tsv | awk -F'\t' '
    NR == 1 { print "| part | kind | all there are | tried | a check | pinned values | sanitizer | nobody | noticed |"; print "|---|---|---|---|---|---|---|---|---|"; next }
    { printf "| %s | %s | %s | %s | %s | %s | %s | %s | %s %% |\n", ($5 == "all" ? "all" : "`" $5 "`"), ($6 == "all" ? "" : $6), $7, $8, $9, $10, $11, $12, $13
      run = $2 ", " $1 ", seed " $4 ", " $3; same += ($5 == "all") * $14; broken += ($5 == "all") * $15 }
    END { print "\nBesides, " same " made the same object code and " broken " did not compile. Commit " run "." }'
} >"$work/mutants.block"
# Of each build the newest row: a machine is not always there.
[ -e docs/runs/digits.tsv ] && awk -F'\t' '
    NR == 1 { print "| build | compiler | compared | bytes | lines that differ | commit |"; print "|---|---|---|---|---|---|"; next }
    !(($3, $5) in row) { order[++n] = $3 SUBSEP $5 }
    { row[$3, $5] = sprintf("| %s | %s | %s | %s | %s | %s, %s |", $3, $4, ($5 == "program" ? "all output of the program" : "plans and rows of recheck"), $6, $7, $2, $1) }
    END { for (i = 1; i <= n; i++) print row[order[i]] }' docs/runs/digits.tsv >"$work/digits.block"
[ -e docs/runs/analysis.tsv ] && newest docs/runs/analysis.tsv | awk -F'\t' '
    NR == 1 { print "| program | version | files | said |"; print "|---|---|---|---|"; next }
    { printf "| %s | %s | %s | %s |\n", $3, $4, $5, ($6 == 0 ? "nothing" : $6 " times something"); run = $2 ", " $1 }
    END { print "\nCommit " run "." }' >"$work/analysis.block"
[ -e docs/runs/clean_root.tsv ] && newest docs/runs/clean_root.tsv | awk -F'\t' '
    NR == 1 { print "| command | release | packages added | to install them | in all |"; print "|---|---|---|---|---|"; next }
    { printf "| %s | %s | %s | %s s | %s s |\n", $4, $3, $7, $5, $6; run = $2 ", " $1 }
    END { print "\nCommit " run "." }' >"$work/fresh.block"
[ -e docs/runs/dist.tsv ] && newest docs/runs/dist.tsv | awk -F'\t' '
    NR == 1 { print "| archive | program | shared library | suite in the unpacked folder | files installed | left by uninstall |"; print "|---|---|---|---|---|---|"; next }
    { printf "| %d KB | %d KB | %d KB | %s s | %s | %s |\n", $4 / 1024, $5 / 1024, $6 / 1024, $7, $8, $9; run = $2 ", " $1 ", " $3 }
    END { print "\nSizes without debug symbols; the machine did other work too. Commit " run "." }' >"$work/dist.block"
[ -e docs/runs/reach.tsv ] && newest docs/runs/reach.tsv | awk -F'\t' '
    NR == 1 { print "| runs traced | calls seen | sockets | other programs | files opened for writing elsewhere |"; print "|---|---|---|---|---|"; next }
    { printf "| %s | %s | %s | %s | %s |\n", $4, $5, $6, $7, $8; run = $2 ", " $1 }
    END { print "\nCommit " run "." }' >"$work/reach.block"
awk -F'\t' '
    NR > 1 { if (!($4 in runs)) name[++n] = $4; runs[$4] += $6; seconds[$4] += $5; finds[$4] += $8; if ($9 != "-") { reached[$4] = $9; edges[$4] = $10 } }
    END { print "| fuzzer | seconds | runs | runs that found something | edges reached |"; print "|---|---|---|---|---|"
          for (i = 1; i <= n; i++) { t = name[i]; all += seconds[t]; made += runs[t]; if (t ~ /refraction|formulas/) cheap += runs[t]
              printf "| `%s` | %d | %d | %d | %s of %s |\n", t, seconds[t], runs[t], finds[t], reached[t], edges[t] }
          printf "\n%d minutes and %.1f million runs in all, %.1f million of them not of the two that cost least (`fuzz_refraction`, `fuzz_formulas`).\n", all / 60, made / 1e6, (made - cheap) / 1e6 }' docs/runs/fuzz.tsv >"$work/fuzz.block"
[ -e docs/runs/faults.tsv ] && awk -F'\t' 'END { print $4 " commands; " $5 " allocations refused alone, " $6 " with all behind them. Commit " $2 ", " $1 ", " $3 "." }' \
    docs/runs/faults.tsv >"$work/faults.block"
[ -e docs/runs/bench.tsv ] && awk -F'\t' '
    END { printf "%d cases of about 1 KB: %.2f s at one job (%.2f times the parsing of their text by cJSON alone), %.2f s at two (%.2f\n", $4, $6, $8, $7, $9
          printf "times). %.1f to %.1f us a case from 1000 to %d cases, at most %.0f MB. The\nprogram takes %.1f ms for one plan from start to end", $19, $20, 10 * $4, $18 / 1024, 1000 * $10
          if ($21) printf "; the plan alone %.1f ms, with the questions of a case that leaves most open\n%.0f ms. Of the time to compute, the causes that the mixture weighs take %s ns", 1000 * $22, 1000 * $23, $21
          print ".\n"
          print "| scan | parse | read | compute | count | print |\n|---|---|---|---|---|---|"
          printf "| %s ns | %s ns | %s ns | %s ns | %s ns | %s ns |\n\n", $12, $13, $14, $15, $16, $17
          print "Commit " $2 ", " $1 ", " $3 "." }' docs/runs/bench.tsv >"$work/bench.block"
[ -e docs/runs/mixture.tsv ] && awk -F'\t' '
    NR == 1 { next }
    $1 == "worth of a second refraction" { buys[++w] = "| " $2 " | " $4 " | " $5 " |"; next }
    $2 == "all" { name[++n] = $1; eyes[n] = $3; apart[n] = $9 > $8 ? $9 : "floors" }
    $2 ~ /ordinary/ { accused[n] = $5 ($10 == "known difference" ? " * (" $9 ")" : ""); next }
    { cell[n, $2] = ($10 == "too few" ? "(" $4 ", " $5 ")" : $4 ", " $5) ($10 == "known difference" ? " *" : $10 == "MISSED" ? " !" : ""); gross[n, $2] = $7 }
    END { k = split("all;eye part under 1 D;1 to 1.5 D;1.5 to 2.5 D;over 2.5 D", band, ";")
          print "By size of the eye part:\n\n| eyes drawn | all | under 1 D | 1 to 1.5 D | 1.5 to 2.5 D | over 2.5 D | may lie apart | gross among 1.5 to 2.5 D | ordinary eyes with a cause over one half |"
          print "|---|---|---|---|---|---|---|---|---|"
          for (i = 1; i <= n; i++) { printf "| %s |", name[i]; for (b = 1; b <= k; b++) printf " %s |", cell[i, band[b]]; printf " %s | %s | %s |\n", apart[i], gross[i, band[4]], accused[i] }
          printf "\nBy tenths of the told chance, the least first:\n\n| eyes drawn |"; for (d = 1; d <= 10; d++) printf " %d |", d
          printf "\n|---|"; for (d = 1; d <= 10; d++) printf "---|"; print ""
          for (i = 1; i <= n; i++) { printf "| %s |", name[i]; for (d = 1; d <= 10; d++) printf " %s |", cell[i, "decile " d]; print "" }
          print "\nWhat a second refraction buys, told and the mean of as many drawn readings as the table of runs says:\n\n| eye | told | brought |\n|---|---|---|"
          for (i = 1; i <= w; i++) print buys[i] }' docs/runs/mixture.tsv >"$work/chances.block"
[ -e docs/runs/mixture.tsv ] && awk -F'\t' '
    BEGIN { print "| eyes that spread by | all | eye part under 1 D | 1 to 1.5 D | 1.5 to 2.5 D | over 2.5 D |\n|---|---|---|---|---|---|" }
    $1 ~ /^spreads / && $2 !~ /decile|ordinary/ { if ($1 != last) printf "%s| %s |", (last ? "\n" : ""), substr($1, 9); last = $1; printf " %s, %s |", $4, $5 }
    END { print "" }' docs/runs/mixture.tsv >"$work/spreads.block"
[ -e docs/runs/reference.tsv ] && awk -F'\t' '
    NR > 1 { if (!($3 in row)) order[++n] = $3
             row[$3] = sprintf("| %s | %s | %s | %s | %s, %s |", $3, $4, $5, $6, $2, $1) }
    END { print "| compared | cases | numbers | differ | commit |\n|---|---|---|---|---|"; for (i = 1; i <= n; i++) print row[order[i]] }' docs/runs/reference.tsv >"$work/second.block"
awk -F'\t' '
    NR == 1 { print "| claim | where it is kept | the test that fails without it |"; print "|---|---|---|"; next }
    { printf "| %s | `%s` | `%s` |\n", $1, $2, $5 }' tests/heavy/claims.tsv >"$work/claims.block"
for page in docs/recheck.md docs/reliability.md docs/method.md; do
    awk -v dir="$work" '
        /^<!-- [a-z]+: generated -->$/ {
            print
            name = $2
            sub(":", "", name)
            while ((getline line <(dir "/" name ".block")) > 0) print line
            inside = 1
        }
        /^<!-- end -->$/ { inside = 0 }
        !inside && !/: generated -->$/' $page >"$work/page.md"
    cp "$work/page.md" "$to/$page"
done
