#!/bin/sh
# check_all.sh [NAME...]: the heavier checks, or those named; each is tests/heavy/NAME.sh and ends in 0 when all is well. What a check
# prints is kept in build/check/NAME.log. A check that cannot run here prints `SKIP name: reason`; only names in
# tests/allowed-skips may. Run by `make check-all`.
BUILD=${BUILD:-build}
export BUILD
logs=$BUILD/check
mkdir -p "$logs"
[ $# -gt 0 ] || set -- asan blanking mixture answers reference displaced valgrind browser axe faults digits dist cluster many analysis reach promises claims dicom codes spreadsheet editor clean_root
failed=
for name; do
    if [ ! -e "tests/heavy/$name.sh" ]; then
        echo "absent $name"
        continue
    fi
    start=$(date +%s)
    verdict=passed
    sh "tests/heavy/$name.sh" >"$logs/$name.log" 2>&1 || verdict=FAILED
    for skip in $(sed -n 's/^SKIP \([^:]*\):.*/\1/p' "$logs/$name.log"); do
        grep -qx "$skip" tests/allowed-skips || { echo "$skip may not be skipped" >>"$logs/$name.log"; verdict=FAILED; }
    done
    grep '^SKIP' "$logs/$name.log"
    [ "$verdict" = passed ] || { tail -30 "$logs/$name.log"; failed="$failed $name"; }
    echo "$verdict $name ($(($(date +%s) - start)) s)"
done
[ -z "$failed" ] || { echo "failed:$failed"; exit 1; }
