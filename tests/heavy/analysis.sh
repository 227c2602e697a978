#!/bin/sh
# What programs that read the source say of it: gcc -fanalyzer, cppcheck, clang-tidy (.clang-tidy says what is looked for), and the
# warnings of gcc and clang as errors. Nothing may be said. Appends what ran to docs/runs/analysis.tsv.
table=docs/runs/analysis.tsv
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
include="-D_POSIX_C_SOURCE=200809L -Iinclude -Iinclude/iolrevise -Idata -Isrc"
flags="-std=c11 -ffp-contract=off $include $(pkg-config --cflags libcjson)"
files=$(ls src/*/*.c)
[ -e $table ] || printf 'date\tcommit\tprogram\tversion\tfiles\tsaid\n' >$table
verdict() { # program, version: what it said is in $work/said
    said=$(grep -cE '(warning|error|style|performance|portability):' "$work/said")
    printf '%s\t%s\t%s\t%s\t%s\t%s\n' "$(date -u +%F)" "$(git rev-parse --short HEAD)" "$1" "$2" "$(echo "$files" | wc -l)" "$said" >>$table
    [ "$said" = 0 ] && { echo "$1 $2: nothing said"; return; }
    echo "FAILED analysis: $1"
    grep -E '(warning|error|style|performance|portability):' "$work/said" | head -20
    failed=1
}
have() { command -v "$1" >/dev/null || { echo "SKIP analysis-$1: no $1"; return 1; }; }
warnings() { # compiler
    make -s -j2 BUILD="$work/$1" CC="$1" OPT=-O2 CFLAGS=-Werror all $(ls tests/unit/test_*.c | sed "s,.*/\(.*\)\.c,$work/$1/tests/\1,") >"$work/said" 2>&1 ||
        echo "error: $1 does not build it" >>"$work/said"
    verdict "$1 -Werror" "$($1 -dumpversion)"
}
unset MAKEFLAGS MFLAGS MAKELEVEL
if have gcc; then
    warnings gcc
    # Not asked: leaks and values not set. It does not follow what is kept in a growing array or set through a table of pointers;
    # valgrind and the sanitizers watch both.
    for f in $files; do
        gcc $flags -O2 -fanalyzer -Wno-analyzer-malloc-leak -Wno-analyzer-use-of-uninitialized-value -c "$f" -o "$work/o" 2>&1
    done >"$work/said"
    verdict "gcc -fanalyzer" "$(gcc -dumpversion)"
fi
have clang && warnings clang
if have cppcheck; then
    cppcheck --std=c11 --enable=warning,performance,portability --inline-suppr --suppress=missingIncludeSystem $include --quiet -j2 src \
        --template='{file}:{line}: {severity}: {message} [{id}]' >"$work/said" 2>&1
    verdict cppcheck "$(cppcheck --version | sed 's/.* //')"
fi
if have clang-tidy; then
    echo "$files" | xargs -P2 -n 12 sh -c 'clang-tidy --quiet "$@" -- '"$flags" sh >"$work/said" 2>/dev/null
    verdict clang-tidy "$(clang-tidy --version | sed -n 's/.*version //p')"
fi
[ "$failed" = 0 ] && echo "passed analysis"
exit "$failed"
