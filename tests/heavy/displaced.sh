#!/bin/sh
# The displaced lens against a second trace, ray by ray in 50 digits (tests/reference/displaced_reference.py): the derived rows, and
# what the library makes of drawn eyes, each number to 1e-9. ROWS sets how many are drawn. RECORD=1 adds counts
# to docs/runs/reference.tsv (under numbers the greatest difference). Run by `make check-all`.
BUILD=${BUILD:-build}
command -v python3 >/dev/null || { echo "SKIP displaced: no python3"; exit 0; }
make -s BUILD="$BUILD" "$BUILD/tests/heavy/displaced" || exit 1
"$BUILD/tests/heavy/displaced" "${ROWS:-2000}" 1 >"$BUILD/displaced.tsv" || exit 1
for table in tests/reference/derived/tilt_one_ray.tsv "$BUILD/displaced.tsv"; do
    python3 -B tests/reference/displaced_reference.py "$table" >"$BUILD/said"
    ended=$?
    cat "$BUILD/said"
    [ "$ended" = 0 ] || exit 1
    [ -z "$RECORD" ] || awk -v OFS='\t' -v run="$(date -u +%Y-%m-%d)" -v commit="$(git rev-parse --short HEAD)" -v of="displaced lens, $(basename "$table")" \
        '/^passed/ { print run, commit, of, $3, $NF, 0 }' "$BUILD/said" >>docs/runs/reference.tsv
done
