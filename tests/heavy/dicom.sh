#!/bin/sh
# The data sets that the tests ship, made anew by outside programs: python3-pydicom writes them, a validator of the standard (dciodvfy of
# dicom3tools) finds no error, dcm2json of dcmtk converts them, and the program reads the same numbers out of both.
program=${BUILD:-build}/iolrevise
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
python=
for p in python3 /usr/bin/python3; do [ -n "$python" ] || { $p -c 'import pydicom' 2>/dev/null && python=$p; }; done
[ -n "$python" ] || { echo "SKIP dicom-writer: no python3 with pydicom"; exit 0; }
$python -B tests/tools/dicom_samples.py "$work" || exit 1
$python -B tests/tools/dicom_words.py tests/reference/dicom_map.tsv || { echo "FAILED the standard means something else"; failed=1; }
if command -v dciodvfy >/dev/null; then
    for f in "$work"/*.dcm; do
        # a file without a selected length breaks the standard, and instruments write it all the same
        [ "${f##*/}" = axial-unselected.dcm ] && continue
        dciodvfy "$f" 2>&1 | grep -i error && { echo "FAILED ${f##*/} is no file of its class"; failed=1; }
    done
else
    echo "SKIP dicom-validator: no dciodvfy"
fi
command -v dcm2json >/dev/null || { echo "SKIP dicom-json: no dcm2json"; exit $failed; }
for f in "$work"/*.dcm; do
    name=$(basename "$f" .dcm)
    dcm2json -fc "$f" >"$work/$name.json" || failed=1
    for eye in right left; do
        for json in "$work/$name.json" tests/inputs/dicom/$name.json; do
            $program import "$json" --eye $eye --set first_surgery.done_on=2025-09-15 2>/dev/null
            echo "exit $?"
        done | awk '{ all[NR] = $0 } END { for (i = 1; i <= NR / 2; i++) if (all[i] != all[i + NR / 2]) exit 1 }' ||
            { echo "FAILED $name: the shipped data set says something else"; failed=1; }
    done
done
# pydicom's own JSON form reads the same
$python -B - "$work" <<'END' || failed=1
import glob, json, sys
import pydicom
for name in glob.glob(sys.argv[1] + "/*.dcm"):
    open(name[:-4] + ".model.json", "w").write(pydicom.dcmread(name).to_json())
END
for f in "$work"/*.model.json; do
    name=$(basename "$f" .model.json)
    for json in "$f" "$work/$name.json"; do
        $program import "$json" --eye right --set first_surgery.done_on=2025-09-15 2>/dev/null
        echo "exit $?"
    done | awk '{ all[NR] = $0 } END { for (i = 1; i <= NR / 2; i++) if (all[i] != all[i + NR / 2]) exit 1 }' ||
        { echo "FAILED $name: two JSON forms read differently"; failed=1; }
done
[ "$failed" = 0 ] && echo "passed dicom"
exit "$failed"
