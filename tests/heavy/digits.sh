#!/bin/sh
# The same digits whatever the compiler, its optimisation and the machine's arithmetic. 64-bit variants of the whole program print
# every example in every format, the shipped past cases and 2000 generated ones; variants without a JSON parser (32-bit, x87 and
# SSE) plan the same cases from their values (values_dump, values_plan). All is compared byte by byte with the normal build.
# DIGITS="arm64-O2 musl-O2": these variants alone. Appends what was compared to docs/runs/digits.tsv. The decimal comma is tests/runs/locale.sh, part of `make test`.
build=${BUILD:-build}
out=$build/digits
table=docs/runs/digits.tsv
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
unset MAKEFLAGS MFLAGS MAKELEVEL
failed=0
mkdir -p "$out"
make -s -j2 BUILD="$build" all "$build/tests/tools/generate_past_cases" "$build/tests/heavy/values_dump" "$build/tests/heavy/values_plan" || exit 1
"$build/tests/tools/generate_past_cases" 2000 9 >"$work/generated.jsonl"
for case in examples/*.json; do
    [ "$case" = examples/site.json ] || { tr '\n' ' ' <"$case"; echo; }
done >"$work/cases.jsonl"
cat examples/past-cases.jsonl "$work/generated.jsonl" >>"$work/cases.jsonl"
"$build/tests/heavy/values_dump" <"$work/cases.jsonl" >"$work/values" || exit 1
pages=$(wc -l <"$work/cases.jsonl")

program() { # binary: everything that it prints
    for case in examples/*.json; do
        [ "$case" = examples/site.json ] && continue
        for format in text json html; do "$1" plan "$case" --site examples/site.json --format $format; done
    done
    for cases in examples/past-cases.jsonl "$work/generated.jsonl"; do
        "$1" recheck "$cases" --format csv --summary "$work/summary.json"
        cat "$work/summary.json"
    done
    "$1" sources
} 2>&1
values() { "$1" "$pages" <"$work/values"; }
program "$build/iolrevise" >"$work/wanted.program"
asked() { # variant
    case " ${DIGITS:-$1} " in *" $1 "*) return 0 ;; esac
    return 1
}
[ -e $table ] || printf 'date\tcommit\tvariant\tcompiler\tcompared\tbytes\tlines_differ\n' >$table
compare() { # variant, compiler, program or values, binary
    [ -e "$work/wanted.$3" ] || values "$build/tests/heavy/values_plan" >"$work/wanted.values"
    $3 "$4" >"$work/got" || { echo "FAILED digits: $1 does not run"; failed=1; }
    differ=0
    cmp -s "$work/wanted.$3" "$work/got" || differ=$(diff -a "$work/wanted.$3" "$work/got" | grep -ac '^[<>]')
    printf '%s\t%s\t%s\t%s\t%s\t%s\t%s\n' "$(date -u +%F)" "$(git rev-parse --short HEAD)" "$1" "$2 $($2 -dumpversion)" $3 \
        "$(wc -c <"$work/wanted.$3")" $differ >>$table
    [ $differ = 0 ] || { echo "FAILED digits: $1: $differ lines differ"; diff -a "$work/wanted.$3" "$work/got" | cut -c1-160 | head -10; failed=1; }
    [ $differ != 0 ] || echo "$1, $2: the same"
}
whole() { # variant, compiler, flags: the whole program
    asked "$1" || return 0
    if ! command -v "$2" >/dev/null; then
        echo "SKIP digits-$2: no $2"
        return
    fi
    make -s -j2 BUILD="$out/$1" CC="$2" OPT="$3" "$out/$1/iolrevise" || { failed=1; return; }
    compare "$1" "$2" program "$out/$1/iolrevise"
}
core() { # variant, compiler, flags: the library without the reader
    asked "$1" || return 0
    if ! echo 'int main(void) { return 0; }' | $2 $3 -x c - -lm -o "$work/empty" 2>/dev/null || ! "$work/empty"; then
        echo "SKIP digits-32: $2 $3 makes no program that runs here"
        return
    fi
    $2 -std=c11 -ffp-contract=off -D_POSIX_C_SOURCE=200809L -Iinclude -Iinclude/iolrevise -Idata -Isrc $3 tests/heavy/values_plan.c \
        $(ls src/*/*.c | grep -vE '^src/cli/|^src/case/read.c') -lm -o "$out/$1" || { failed=1; return; }
    compare "$1" "$2" values "$out/$1"
}
foreign() { # variant, compiler, flags, emulator: another machine or C library; the whole program where CJSON_SOURCE has cJSON.c
    asked "$1" || return 0
    sources="tests/heavy/values_plan.c $(ls src/*/*.c | grep -vE '^src/cli/|^src/case/read.c')" what=values include=
    if ! command -v "$2" >/dev/null || ! { [ -z "$4" ] || command -v "$4" >/dev/null; }; then
        echo "SKIP digits-foreign: no $2${4:+ or no $4}"
        return
    fi
    if [ -e "$CJSON_SOURCE/cJSON.c" ]; then
        sources="$(ls src/*/*.c) $CJSON_SOURCE/cJSON.c" what=program include=-I$CJSON_SOURCE
    else
        echo "SKIP digits-foreign: $1: only the plans, without the reader: CJSON_SOURCE names no folder with cJSON.c"
    fi
    $2 -std=c11 -ffp-contract=off -D_POSIX_C_SOURCE=200809L -DIOLREVISE_BUILDING -Iinclude -Iinclude/iolrevise -Idata -Isrc $include $3 \
        $sources -lm -lpthread -o "$out/$1.bin" || { failed=1; return; }
    printf '#!/bin/sh\nexec %s "%s" "$@"\n' "$4" "$(cd "$out" && pwd)/$1.bin" >"$out/$1" && chmod +x "$out/$1"
    compare "$1" "$2" $what "$out/$1"
}
whole gcc-O0 gcc "-O0"
whole gcc-O2 gcc "-O2"
whole gcc-O3 gcc "-O3"
whole gcc-O3-native gcc "-O3 -march=native"
whole clang-O0 clang "-O0"
whole clang-O3 clang "-O3"
core gcc-32-x87-O0 gcc "-m32 -mfpmath=387 -O0"
core gcc-32-x87-O2 gcc "-m32 -mfpmath=387 -O2"
core gcc-32-x87-O3 gcc "-m32 -mfpmath=387 -O3"
core gcc-32-sse-O2 gcc "-m32 -msse2 -mfpmath=sse -O2"
core clang-32-O2 clang "-m32 -O2"
foreign arm64-O2 aarch64-linux-gnu-gcc "-O2 -static" qemu-aarch64-static
foreign musl-O2 musl-gcc "-O2 -static"
[ "$failed" = 0 ] && echo "passed digits"
exit "$failed"
