#!/bin/sh
# Each claim of tests/heavy/claims.tsv is broken in a copy, one at a time, and the test named there must fail: it passes before and
# fails after. The page docs/reliability.md shows the same table. Part of `make check-all`; OPT as the copy is to be built with.
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
table=$PWD/tests/heavy/claims.tsv
git ls-files | tar -cf - -T - | tar -xf - -C "$work"
[ "${BUILD:-build}" = build ] && cp -a build "$work/" 2>/dev/null
cd "$work" || exit 1
unset MAKEFLAGS MFLAGS MAKELEVEL BUILD
test_of() { make -s ${OPT:+OPT="$OPT"} "run/$1" >said 2>&1; }
make -s ${OPT:+OPT="$OPT"} programs >said 2>&1 || { tail said; echo "FAILED claims: the copy does not build"; exit 1; }
failed=0 tried=0
tab=$(printf '\t')
while IFS="$tab" read -r claim file stands broken test; do
    [ "$claim" = claim ] && continue
    tried=$((tried + 1))
    cp "$file" kept
    test_of "$test" || { tail -5 said; echo "FAILED claims: $test does not pass before \"$claim\" is broken"; failed=1; continue; }
    STANDS=$stands BROKEN=$broken python3 - "$file" <<'P' || { echo "FAILED claims: $file holds not once: $stands"; failed=1; continue; }
import os, sys
text = open(sys.argv[1]).read()
if text.count(os.environ['STANDS']) != 1: sys.exit(1)
open(sys.argv[1], 'w').write(text.replace(os.environ['STANDS'], os.environ['BROKEN']))
P
    test_of "$test" && { echo "FAILED claims: $test passes although broken: $claim"; failed=1; }
    grep -qE ':[0-9]+:[0-9]+: error:' said && { echo "FAILED claims: does not compile: $claim"; failed=1; }
    mv kept "$file"
    touch "$file"
done <"$table"
[ "$tried" -ge 10 ] || { echo "FAILED claims: only $tried claims"; failed=1; }
[ "$failed" = 0 ] && echo "passed claims: $tried broken, each noticed by its test"
exit "$failed"
