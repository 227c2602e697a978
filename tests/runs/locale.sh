#!/bin/sh
# The same bytes under a locale with a decimal comma: the program, and the library in a host that has set it.
build=$(pwd)/${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
printf 'comment_char %%\nescape_char /\nLC_NUMERIC\ndecimal_point ","\nthousands_sep "."\ngrouping 3;3\nEND LC_NUMERIC\n' >"$work/source"
localedef -c -i "$work/source" "$work/comma" >/dev/null 2>&1 # the other categories are not there: it warns
if [ ! -e "$work/comma/LC_NUMERIC" ]; then
    grep -qx locale-comma tests/allowed-skips || { echo "FAILED locale-comma may not be skipped"; exit 1; }
    echo "SKIP locale-comma: no localedef"
    exit 0
fi
LOCPATH=$work
export LOCPATH
for case in examples/hyperopic-surprise.json examples/toric-turned.json; do
    for format in json text full html; do
        how="--format $format"
        [ "$format" != full ] || how=--full
        "$build/iolrevise" plan $case $how >"$work/wanted"
        LC_ALL=comma "$build/iolrevise" plan $case $how >"$work/program"
        "$build/tests/runs/locale" comma $case $format >"$work/library" || { echo "FAILED locale: exit $? in a host"; failed=1; }
        cmp -s "$work/wanted" "$work/program" || { echo "FAILED locale: the program's $format of $case"; failed=1; }
        cmp -s "$work/wanted" "$work/library" || { echo "FAILED locale: the library's $format of $case"; failed=1; }
    done
done
[ "$failed" = 0 ] && echo "passed locale"
exit "$failed"
