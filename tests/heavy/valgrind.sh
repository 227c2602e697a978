#!/bin/sh
# Every test program, and the program over the examples, under valgrind: no wrong access, no unset value, no leak. Then recheck at
# three jobs under helgrind: no data race.
build=${BUILD:-build}
if ! command -v valgrind >/dev/null; then
    echo "SKIP valgrind: no valgrind"
    exit 0
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
check() { # command...
    valgrind -q --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite,indirect,possible "$@" \
        >"$work/out" 2>"$work/err" </dev/null
    [ $? != 99 ] || { echo "FAILED valgrind: $*"; head -40 "$work/err"; failed=1; }
}
make BUILD="$build" all $(ls tests/unit/test_*.c | sed "s,.*/\(.*\)\.c,$build/tests/\1,") "$build/tests/tools/generate_past_cases" >/dev/null || exit 1
for t in tests/unit/test_*.c; do
    check "$build/tests/$(basename "$t" .c)"
done
for case in examples/*.json; do
    [ "$case" != examples/site.json ] || continue
    for format in text json html; do
        check "$build/iolrevise" plan "$case" --site examples/site.json --format $format
    done
    check "$build/iolrevise" check "$case"
done
for arguments in "sources" "sources --format json" "schema plan" "schema case-format" "template power-error" "plan --help" "recheck --merge"; do
    check "$build/iolrevise" $arguments
done
for f in tests/fuzz/corpus/*/* tests/inputs/*; do
    check "$build/iolrevise" check "$f"
done
"$build/tests/tools/generate_past_cases" 60 5 >"$work/cases.jsonl"
for format in text json csv jsonl html; do
    check "$build/iolrevise" recheck "$work/cases.jsonl" --format $format
done
"$build/tests/tools/generate_past_cases" 600 5 >"$work/cases.jsonl"
valgrind -q --tool=helgrind --suppressions=tests/heavy/valgrind.supp --error-exitcode=99 "$build/iolrevise" recheck "$work/cases.jsonl" --format csv --jobs 3 \
    >"$work/out" 2>"$work/err"
[ $? != 99 ] || { echo "FAILED helgrind"; head -60 "$work/err"; failed=1; }
[ "$failed" = 0 ] && echo "passed valgrind"
exit "$failed"
