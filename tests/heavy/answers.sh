#!/bin/sh
# How many answers lead from the short starter to an advised power, and what each was (tests/rows/answers.tsv, asked again by
# tests/unit/test_starter.c); how many characters the commonest questions of `power` take. Writes docs/runs/answers.tsv and
# docs/runs/keystrokes.tsv; fails where one eye is not advised. Run by `make check-all`.
BUILD=${BUILD:-build}
make -s BUILD="$BUILD" "$BUILD/tests/heavy/answers" "$BUILD/iolrevise" || exit 1
"$BUILD/tests/heavy/answers" "$BUILD/answers.tsv" >"$BUILD/answers-counted.tsv" || exit 1
cat "$BUILD/answers-counted.tsv"
cp "$BUILD/answers.tsv" tests/rows/answers.tsv
cp "$BUILD/answers-counted.tsv" docs/runs/answers.tsv
out=docs/runs/keystrokes.tsv
printf 'characters\tquestion\tanswer\n' >$out
while IFS= read -r line; do
    said=$("$BUILD/iolrevise" power $line | sed -n 's/^Use   //p')
    question="iolrevise power $line"
    printf '%s\t%s\t%s\n' "${#question}" "$question" "$said" >>$out
done <<'lines'
OD 21 +2.25-.75x80 -.25
L 19.5 +2.00 pl --days 40 --no-earlier-laser
R 21 +1.75 -.25 --piggyback
OD 21 +2.25-.75x80 -.25 --days 40 --age 70 --no-earlier-laser
OD 21 +2.25-.75x80 -.25 --days 40 --age 70 --no-earlier-laser --k 43.5 --length 23.1 --a-constant 118.4
OD 21 +2.25-.75x80 -.25 --days 40 --age 70 --no-earlier-laser --k 43.5 --length 23.1 --a-constant 118.4 --identified sticker --repeated --examined --pressure 14 --no-fluid --no-oil
lines
cat $out
[ "$(grep -c '	advised	' docs/runs/answers.tsv)" = 6 ] || { echo "an eye does not reach an advised power"; exit 1; }
