#!/bin/sh
# Whole runs of the program. tests/golden/NAME.cmd holds the arguments (shell words, run from the top folder); beside it stand
# NAME.out, NAME.err and NAME.exit, and NAME.in when it reads standard input. UPDATE=1 rewrites them, and
# what tests/unit/test_drift.c holds: read the difference first.
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
for cmd in tests/golden/*.cmd; do
    [ -e "$cmd" ] || break
    name=${cmd%.cmd}
    input=/dev/null
    [ -e "$name.in" ] && input=$name.in
    (eval "set -- $(cat "$cmd")"; exec ${BUILD:-build}/iolrevise "$@") <"$input" >"$work/out" 2>"$work/err"
    echo $? >"$work/exit"
    for part in out err exit; do
        if [ -n "$UPDATE" ]; then
            cp "$work/$part" "$name.$part"
        elif ! cmp -s "$work/$part" "$name.$part"; then
            echo "FAILED golden $name.$part"
            diff "$name.$part" "$work/$part" | head -20
            failed=1
        fi
    done
done
if [ -n "$UPDATE" ]; then # rows of drift by the sources of now
    drift=${BUILD:-build}/tests/unit/test_drift
    sh tests/runs/pages.sh >/dev/null
    make -s BUILD="${BUILD:-build}" "$drift" >/dev/null && "$drift" >/dev/null || failed=1
fi
[ "$failed" = 0 ] && echo "passed golden runs"
exit "$failed"
