#!/bin/sh
# Is the chance that is told the chance that comes true? Writes docs/runs/mixture.tsv; fails when a floor is missed. Run by `make check-all`.
BUILD=${BUILD:-build}
make -s BUILD="$BUILD" "$BUILD/tests/heavy/mixture" || exit 1
"$BUILD/tests/heavy/mixture" ${EYES:-30000} >"$BUILD/mixture.tsv"
status=$?
cat "$BUILD/mixture.tsv"
[ -n "$EYES" ] || cp "$BUILD/mixture.tsv" docs/runs/mixture.tsv
exit $status
