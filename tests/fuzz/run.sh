#!/bin/sh
# Builds the fuzzers with clang and runs each for FUZZ_SECONDS (60), or those that FUZZ_TARGETS names; appends the figures to
# docs/runs/fuzz.tsv. Run by `make fuzz`. What is found stays as build/fuzz/crash_TARGET_*: mend it, then put it into the
# corpus. FUZZ_MERGE=1 runs none and prints which of the inputs found are worth keeping beside the corpus.
set -e
seconds=${FUZZ_SECONDS:-60}
targets=${FUZZ_TARGETS:-case site plan lines refraction formulas box columns import against merge set power}
out=${BUILD:-build}/fuzz
sanitize=-fsanitize=address,undefined
commands=$(for f in src/cli/*.c; do [ $f = src/cli/main.c ] || echo "$out/${f%.c}.o"; done)
# Thousands of comparisons for each misspelt key are no branches to be covered: they took most of the time.
mkdir -p "$out"
echo 'src:*src/case/suggest.c' >"$out/uncounted"
${MAKE:-make} -s CC=clang BUILD="$out" \
    OPT="-O2 -g -fsanitize=fuzzer-no-link $sanitize -fno-sanitize-recover=all -fsanitize-coverage-ignorelist=$out/uncounted" \
    "$out/libiolrevise.a" $commands
# What looks at the outputs is itself no branch to be covered.
flags="-std=c11 -ffp-contract=off -D_POSIX_C_SOURCE=200809L -Iinclude -Iinclude/iolrevise -Idata -Isrc"
flags="$flags $(pkg-config --cflags libcjson) -O2 -g"
mkdir -p docs/runs
clang $flags -fsanitize=fuzzer-no-link $sanitize -o "$out/dictionary" tests/fuzz/dictionary.c "$out/libiolrevise.a" -lcjson -lm
for kind in json rows paths tags options; do "$out/dictionary" $kind | sort -u >"$out/dictionary_$kind.txt"; done
table=docs/runs/fuzz.tsv
[ -e "$table" ] ||
    printf 'date\tcommit\tcompiler\ttarget\tseconds\truns\tcoverage_features\tfinds\tedges_reached\tedges\n' >"$table"
for target in $targets; do
    clang $flags $sanitize -fno-sanitize-recover=all -c -o "$out/fuzz_$target.o" "tests/fuzz/fuzz_$target.c"
    linked= kind=json
    case $target in
    against | merge) linked=yes kind=rows ;;
    set) linked=yes kind=paths ;;
    power) linked=yes kind=options ;;
    columns) kind=paths ;;
    import) kind=tags ;;
    esac
    [ -z "$linked" ] || linked="$commands -Wl,--wrap=fopen,--wrap=stat"
    clang -fsanitize=fuzzer $sanitize -o "$out/fuzz_$target" "$out/fuzz_$target.o" $linked \
        "$out/libiolrevise.a" -lcjson -lm -lpthread
    mkdir -p "$out/found_$target"
    case $target in
    case | site | plan | columns) most=4096 ;; import | merge | against) most=16384 ;; lines) most=8192 ;; *) most=512 ;;
    esac
    if [ -n "$FUZZ_MERGE" ]; then
        rm -rf "$out/merged_$target" && mkdir "$out/merged_$target"
        "$out/fuzz_$target" -merge=1 -max_len=$most "$out/merged_$target" "tests/fuzz/corpus/$target" "$out/found_$target" \
            >"$out/merge_$target.log" 2>&1
        echo "$out/merged_$target: $(ls "$out/merged_$target" | wc -l) inputs"
        continue
    fi
    status=0
    "$out/fuzz_$target" -max_len=$most -max_total_time="$seconds" -dict="$out/dictionary_$kind.txt" -print_final_stats=1 \
        -artifact_prefix="$out/crash_${target}_" "$out/found_$target" "tests/fuzz/corpus/$target" \
        >"$out/$target.log" 2>&1 || status=1
    runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$out/$target.log")
    features=$(sed -n 's/.* ft: \([0-9]*\) .*/\1/p' "$out/$target.log" | tail -1)
    reached=$(sed -n 's/.* cov: \([0-9]*\) .*/\1/p' "$out/$target.log" | tail -1)
    edges=$(sed -n 's/.*Loaded .*(\([0-9]*\) inline 8-bit counters).*/\1/p' "$out/$target.log" | head -1)
    printf '%s\t%s\t%s\tfuzz_%s\t%s\t%s\t%s\t%s\t%s\t%s\n' "$(date -u +%F)" "$(git rev-parse --short HEAD)" \
        "$(clang -dumpversion)" "$target" "$seconds" "$runs" "$features" "$status" "$reached" "$edges" >>"$table"
    [ "$status" = 0 ] || { tail -30 "$out/$target.log"; exit 1; }
    echo "fuzz_$target: $runs runs, nothing found"
done
