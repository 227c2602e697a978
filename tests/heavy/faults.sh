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
$cc -O1 -shared -fPIC -o "$build/scarce.so" tests/heavy/scarce.c && $cc -O1 -D_POSIX_C_SOURCE=200809L -o "$build/starve" tests/heavy/starve.c || exit 1
case=examples/hyperopic-surprise.json
site=examples/site.json
tiny='{"case_format":1,"case_ref":"a","eye":"right","reason":"power-error","outcome":{"done_on":"2026-01-01"}}'
echo "$tiny" >"$work.json"
{ head -1 examples/past-cases.jsonl; echo "$tiny"; } >"$work.jsonl"
trap 'umount "$work.disc" 2>/dev/null; rm -rf "$work" "$work".*' EXIT

# ---- every allocation refused in turn: 70 and a word of memory, or as with memory ----
starve() { # file that is written or -, arguments...
    kept=$1; shift
    "$build/starve" "$build/scarce.so" "$work" "$kept" "$program" "$@" >>"$work.starved" || failed=1
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

# ---- a disc that is full: 4 and a word of it, the old file stays, nothing beside it ----
full() { # arguments..., the last one takes the file
    cp "$work.tiny" "$disc/kept"
    rm -f "$disc"/kept.*
    "$program" "$@" "$disc/kept" >/dev/null 2>"$work.err"
    got=$?
    [ $got = 4 ] && grep -q 'No space left' "$work.err" || fail "exit $got on a full disc: $*"
    [ "$(ls "$disc")" = "fill
kept" ] && cmp -s "$work.tiny" "$disc/kept" || fail "what is left on a full disc: $*"
}
disc=$work.disc
echo keep >"$work.tiny"
mkdir "$disc"
if mount -t tmpfs -o size=64k tmpfs "$disc" 2>/dev/null; then
    cp "$work.tiny" "$disc/kept"
    dd if=/dev/zero of="$disc/fill" bs=1024 count=56 2>/dev/null
    full plan $case --format json --output
    full plan $case --format html --output
    full sources --output
    full schema plan --output
    full template power-error --output
    for format in csv jsonl; do full recheck examples/past-cases.jsonl --format $format --output; done
    full recheck examples/past-cases.jsonl --jobs 2 --partial
    umount "$disc"
else
    echo "SKIP small-disc: cannot mount"
fi

# ---- files and folders that may not be read or written, as somebody who is not root ----
if command -v setpriv >/dev/null && [ "$(id -u)" = 0 ]; then
    nobody="setpriv --reuid=65534 --regid=65534 --clear-groups"
else
    nobody=
fi
if [ -n "$nobody" ] || [ "$(id -u)" != 0 ]; then
    chmod 755 "$work" && mkdir "$work/closed" && cp "$program" "$work/program" && cp $case "$work/secret.json" && chmod 000 "$work/secret.json"
    cp $case "$work/open.json" && echo keep >"$work/closed/kept" && chmod 755 "$work/program" && chmod 644 "$work/open.json" "$work/closed/kept"
    chmod 555 "$work/closed"
    for wanted in "3 plan secret.json" "3 plan open.json --site secret.json" "3 recheck secret.json" "3 check secret.json" \
        "4 plan open.json --output closed/kept" "4 plan open.json --output closed/new"; do
        (cd "$work" && $nobody ./program ${wanted#* } >/dev/null 2>"$work.err")
        got=$?
        [ $got = "${wanted%% *}" ] && grep -q 'Permission denied' "$work.err" || fail "exit $got: $wanted"
    done
    [ "$(ls "$work/closed")" = kept ] && [ "$(cat "$work/closed/kept")" = keep ] || fail "a folder that may not be written"
else
    echo "SKIP permissions: root, and no setpriv"
fi

# ---- a file that grows while it is read: every line that is whole, no more ----
cp examples/past-cases.jsonl "$work.grows.jsonl"
(for i in 1 2 3 4 5 6 7 8 9 10; do cat examples/past-cases.jsonl; done >>"$work.grows.jsonl") &
"$program" recheck "$work.grows.jsonl" --format jsonl >"$work.rows" 2>"$work.err"
got=$?
wait
lines=$(wc -l <"$work.rows")
[ $got -le 1 ] && [ "$lines" -ge 200 ] && [ "$lines" -le 2201 ] && [ "$(tail -c 1 "$work.rows")" = "" ] || fail "a file that grows: exit $got, $lines lines"

cat "$work.starved"
if [ "$failed" = 0 ]; then
    table=docs/runs/faults.tsv
    [ -e "$table" ] || printf 'date\tcommit\tcompiler\tcommands\trefused_alone\trefused_with_all_behind\n' >"$table"
    awk -v OFS='\t' -v day="$(date -u +%F)" -v commit="$(git rev-parse --short HEAD)" -v compiler="$($cc --version | head -1)" \
        '{ alone += $1; all += $3 } END { print day, commit, compiler, NR, alone, all }' "$work.starved" >>"$table"
    echo "passed faults"
fi
exit "$failed"
