#!/bin/sh
# Bad machines: memory that runs out at every place, discs that are full, files that are not what they seem, signals while a file is
# written. After each: a clear word, the right exit status, the old file whole or the new one, nothing left beside. What is quick of
# this is in output.sh. Run by `make check-all`.
top=$(pwd)
build=$top/${BUILD:-build}
program=$build/iolrevise
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
fail() { echo "FAILED faults: $1"; failed=1; }
make BUILD="${BUILD:-build}" all >/dev/null || exit 1
cc=${CC:-cc}
$cc -O1 -shared -fPIC -o "$build/scarce.so" tests/scarce.c && $cc -O1 -D_POSIX_C_SOURCE=200809L -o "$build/starve" tests/starve.c || exit 1
case=examples/hyperopic-surprise.json
site=examples/site.json
tiny='{"case_format":1,"case_ref":"a","eye":"right","reason":"power-error","outcome":{"done_on":"2026-01-01"}}'
echo "$tiny" >"$work.json"
{ head -1 examples/past-cases.jsonl; echo "$tiny"; } >"$work.jsonl"
trap 'rm -rf "$work" "$work".*' EXIT

# ---- every allocation refused in turn: 70 and a word of memory, or as with memory ----
starve() { # file that is written or -, arguments...
    kept=$1; shift
    "$build/starve" "$build/scarce.so" "$work" "$kept" "$program" "$@" || failed=1
}
starve - plan $case --site $site --format html
for format in text json html; do
    starve "$work/kept" plan examples/minimal.json --format $format --output "$work/kept"
    starve "$work/kept" power --eye right --implanted 21 --refraction "+2.25 -0.75 x 80" --target -0.25 --length 23.12 --k 43.5 \
        --format $format --output "$work/kept"
done
ln -s link "$work/link2" && ln -s kept "$work/link"
starve "$work/kept" plan examples/minimal.json --output "$work/link2"
rm "$work/link" "$work/link2"
for format in text csv jsonl json html; do
    starve "$work/kept" recheck "$work.jsonl" "$work.json" --format $format --output "$work/kept"
done
starve "$work/kept" recheck "$work.jsonl" --jobs 2 --format csv --output "$work/kept"
starve "$work/kept" recheck "$work.jsonl" --site $site --partial "$work/kept"
starve "$work/kept" recheck "$work.jsonl" --format csv --summary "$work/kept"
"$program" recheck "$work.jsonl" --partial "$work.part" >/dev/null
echo "$tiny" >"$work.other"
"$program" recheck "$work.other" --partial "$work.part2" >/dev/null
starve "$work/kept" recheck --merge "$work.part" "$work.part2" --format json --output "$work/kept"
"$program" recheck "$work.jsonl" --format jsonl >"$work.old.jsonl"
for format in text csv jsonl; do
    starve "$work/kept" recheck "$work.jsonl" --against "$work.old.jsonl" --format $format --output "$work/kept"
done
starve "$work/kept" recheck "$work.jsonl" --site $site --fit-site "$work/kept"
starve "$work/kept" recheck "$work.jsonl" --site $site --fit-site "$work.fitted" --output "$work/kept"
starve - check $site "$work.jsonl"
mkdir "$work/folder" && cp "$work.json" "$work/folder/a.json"
starve - check "$work/folder"
STARVE_INPUT=$work.jsonl starve - check
STARVE_INPUT=$work.jsonl starve - recheck
starve "$work/kept" template power-error --output "$work/kept"
starve "$work/kept" sources --format markdown --output "$work/kept"
starve "$work/kept" schema plan --output "$work/kept"
starve - --help
starve - --version

[ "$failed" = 0 ] && echo "passed faults"
exit "$failed"
