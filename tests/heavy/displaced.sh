#!/bin/sh
# The displaced lens against a second trace, ray by ray in 50 digits (tests/reference/displaced_reference.py): the derived rows, and
# what the library makes of drawn eyes, each number to 1e-9. ROWS sets how many are drawn. Run by `make check-all`.
BUILD=${BUILD:-build}
command -v python3 >/dev/null || { echo "SKIP displaced: no python3"; exit 0; }
make -s BUILD="$BUILD" "$BUILD/tests/heavy/displaced" || exit 1
"$BUILD/tests/heavy/displaced" "${ROWS:-2000}" 1 >"$BUILD/displaced.tsv" || exit 1
for table in tests/reference/derived/tilt_one_ray.tsv "$BUILD/displaced.tsv"; do
    python3 -B tests/reference/displaced_reference.py "$table" || exit 1
done
