#!/bin/sh
# Builds the fuzzers with clang and runs each for FUZZ_SECONDS; appends the figures to docs/evidence/fuzz.tsv. Run by `make fuzz`.
set -e
seconds=${FUZZ_SECONDS:-60}
out=${BUILD:-build}/fuzz
flags="-std=c11 -ffp-contract=off -D_POSIX_C_SOURCE=200809L -Iinclude -Iinclude/iolrevise -Idata -Isrc $(pkg-config --cflags libcjson) -O1 -g"
mkdir -p "$out" docs/evidence
clang $flags -o "$out/dictionary" tests/fuzz/dictionary.c src/tables/*.c src/files/*.c src/case/*.c src/formulas/*.c src/optics/*.c -lcjson -lm
"$out/dictionary" | sort -u >"$out/dictionary.txt"
table=docs/evidence/fuzz.tsv
[ -e "$table" ] || printf 'date\tcommit\tcompiler\ttarget\tseconds\truns\tcoverage_features\tfinds\n' >"$table"
for target in case site; do
    clang $flags -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all -o "$out/fuzz_$target" \
        tests/fuzz/fuzz_$target.c $(ls src/*/*.c | grep -v '^src/cli/') -lcjson -lm
    mkdir -p "$out/found_$target"
    status=0
    "$out/fuzz_$target" -max_len=4096 -max_total_time="$seconds" -dict="$out/dictionary.txt" -print_final_stats=1 \
        -artifact_prefix="$out/crash_${target}_" "$out/found_$target" tests/fuzz/corpus/$target >"$out/$target.log" 2>&1 || status=1
    runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$out/$target.log")
    features=$(sed -n 's/.* ft: \([0-9]*\) .*/\1/p' "$out/$target.log" | tail -1)
    printf '%s\t%s\t%s\tfuzz_%s\t%s\t%s\t%s\t%s\n' "$(date -u +%F)" "$(git rev-parse --short HEAD)" "$(clang -dumpversion)" \
        "$target" "$seconds" "$runs" "$features" "$status" >>"$table"
    [ "$status" = 0 ] || { tail -30 "$out/$target.log"; exit 1; }
    echo "fuzz_$target: $runs runs, nothing found"
done
