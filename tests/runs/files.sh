#!/bin/sh
# Files that cannot mislead: rows that stop early, an output that is an input, what cannot be read twice, an input given twice,
# parts that are old, cut, damaged or overlap.
check=files
. tests/runs/begin.inc
says() { grep -q "$1" err || fail "no word of \"$1\": $(head -1 err)"; }
"$generate" 400 5 >cases.jsonl

# ---- rows that stopped early: neither summary nor part, the old ones stay ----
for file in summary part; do echo keep >$file; done
kept() { [ "$(cat summary part | tr -d '\n')" = keepkeep ] || fail "$1: a file is replaced"; }
left() { ls ./*.?????? 2>/dev/null | grep -qv jsonl && fail "$1: a temporary file is left"; }
for beside in "--summary summary" "--partial part" "--summary summary --partial part"; do
    { "$program" recheck cases.jsonl --format csv $beside 2>err; echo $? >code; } | head -1 >/dev/null
    [ "$(cat code)" = 4 ] && [ -s err ] || fail "a closed pipe with $beside: exit $(cat code)"
    kept "a closed pipe"
done
{ "$program" recheck cases.jsonl --format csv 2>err; echo $? >code; } | head -1 >/dev/null
[ "$(cat code)" = 0 ] && [ ! -s err ] || fail "a closed pipe alone is quiet"
(ulimit -f 8; status 4 "$program" recheck cases.jsonl --format csv --output rows --summary summary; exit $failed) || failed=1
kept "a file limit"
[ ! -e rows ] || fail "rows of part of the cases"
if [ -c /dev/full ]; then
    for format in csv jsonl json text; do
        "$program" recheck cases.jsonl --format $format --partial part >/dev/full 2>err
        [ $? = 4 ] || fail "a full disc: exit status, $format"
    done
    kept "a full disc"
else
    skip full-device "no /dev/full"
fi
status 4 "$program" recheck cases.jsonl --format csv --output rows --partial /nowhere/part
[ ! -e rows ] || fail "rows without the part that was asked for"
left "rows that stopped"
rm summary part

# ---- a file that cannot be read is named, wherever it stands, by its line and as a whole ----
if [ -r /proc/self/mem ]; then
    ln -s /proc/self/mem unread.json
    ln -s /proc/self/mem unread.jsonl
    for unread in unread.json unread.jsonl; do
        status 3 "$program" recheck "$case" $unread
        says "cannot read $unread: "
        status 3 "$program" recheck $unread "$case"
        says "cannot read $unread: "
    done
    rm unread.json unread.jsonl
fi

# ---- an output that is an input, through links too; two outputs that are one ----
cp cases.jsonl input.jsonl
cp "$case" case.json
cp "$top/examples/site.json" site.json
ln -s input.jsonl link.jsonl
ln input.jsonl hard.jsonl
mkdir folder
cp "$case" folder/one.json
sum=$(cat input.jsonl case.json site.json folder/one.json | cksum)
refused() { # arguments...
    status 2 "$program" "$@"
    says 'wanted another file'
    [ "$(cat input.jsonl case.json site.json folder/one.json | cksum)" = "$sum" ] || fail "an input is written over: $*"
}
refused plan case.json --output case.json
refused plan case.json --output ./case.json
refused plan case.json --site site.json --output site.json
refused recheck input.jsonl --output link.jsonl
refused recheck link.jsonl --output hard.jsonl
refused recheck input.jsonl --format csv --summary input.jsonl
refused recheck input.jsonl --format csv --partial hard.jsonl
refused recheck folder --output folder/one.json
refused recheck input.jsonl --site site.json --fit-site site.json
refused recheck input.jsonl --format csv --summary new --partial ./new
refused recheck input.jsonl --format csv --output "$work/new" --summary new
ln -s new dangling
refused recheck input.jsonl --format csv --output new --summary dangling
[ ! -e new ] || fail "a refused output is there"
"$program" recheck input.jsonl --format jsonl >old.jsonl
refused recheck input.jsonl --against old.jsonl --output old.jsonl
for command in "plan -" "check -" "recheck -"; do
    "$program" $command <input.jsonl >>input.jsonl 2>err
    [ $? = 2 ] || fail "$command: standard output is its own input"
done
"$program" check input.jsonl >>input.jsonl 2>err
[ $? = 2 ] && says 'wanted another file'
"$program" plan - --output case.json <case.json 2>err
[ $? = 2 ] || fail "plan - over its own input"
[ "$(cat input.jsonl case.json site.json folder/one.json | cksum)" = "$sum" ] || fail "an input is written over by the shell"
status 0 "$program" recheck input.jsonl --format csv --output /dev/null
mkdir names
(cd names && status 0 "$program" template site --output site; status 0 "$program" template site --output site
 status 0 "$program" schema case --output case; status 0 "$program" sources shelf --output shelf; exit $failed) || failed=1

# ---- what cannot be read twice; an old run of another format, or cut ----
mkfifo pipe
(cat old.jsonl >pipe 2>/dev/null) & writer=$!
status 2 "$program" recheck input.jsonl --against pipe
says 'read twice'
kill $writer 2>/dev/null
(cat input.jsonl >pipe 2>/dev/null) & writer=$!
status 2 "$program" recheck pipe --site site.json --fit-site fitted
says 'reads them twice'
kill $writer 2>/dev/null
cat input.jsonl | "$program" recheck --site site.json --fit-site fitted >out 2>err
[ $? = 2 ] || fail "standard input is not read twice"
sed '3s/"recheck_format":1/"recheck_format":2/' old.jsonl >other.jsonl
status 1 "$program" recheck input.jsonl --against other.jsonl
says 'other.jsonl:3: a recheck_format'
head -c 3000 old.jsonl >cut.jsonl
status 1 "$program" recheck input.jsonl --against cut.jsonl
says 'cut'
head -5 old.jsonl | head -c -1 >cut.jsonl
status 1 "$program" recheck input.jsonl --against cut.jsonl
says 'cut'
head -300 old.jsonl >cut.jsonl # exactly at the end of a line
status 1 "$program" recheck input.jsonl --against cut.jsonl
says 'cut.jsonl:300: cut: the line that ends a run is missing'
sed '7d' old.jsonl >cut.jsonl
status 1 "$program" recheck input.jsonl --against cut.jsonl
says 'damaged'
sed '7s/"lens_power_d":/&1/' old.jsonl >cut.jsonl
status 1 "$program" recheck input.jsonl --against cut.jsonl
says 'damaged'
cat old.jsonl old.jsonl >cut.jsonl # two whole runs
status 0 "$program" recheck input.jsonl --against cut.jsonl
"$program" recheck input.jsonl --format jsonl --jobs 1 | cmp -s - old.jsonl || fail "the end depends on the jobs"
[ "$(grep -c '"end_lines":400,' old.jsonl)" = 1 ] && tail -1 old.jsonl | grep -q '"end_lines":400,' || fail "the end of a run"
head -300 old.jsonl | sed 's/,"end_lines".*/}/' >cut.jsonl # by a version that told no end
status 0 "$program" recheck input.jsonl --against cut.jsonl
says 'ends at line 300 .* all 100 cases behind that are new: was that run cut'
status 0 "$program" recheck input.jsonl --against old.jsonl
[ ! -s err ] || fail "a whole run is called cut"
for wrong in 's/"predictions":\[/"predictions":[,/' 's/"advised_power_d":[-0-9.]*/"advised_power_d":1e999/' \
    's/"predictions":/"gone":/' \
    's/"dated_on":"[^"]*"/"dated_on":"2020-13-40"/'; do
    sed "2$wrong" old.jsonl >wrong.jsonl
    cmp -s old.jsonl wrong.jsonl && fail "nothing to spoil: $wrong"
    status 1 "$program" recheck input.jsonl --against wrong.jsonl
done

# ---- the same input twice ----
status 2 "$program" recheck input.jsonl link.jsonl
says 'given twice'
status 2 "$program" recheck input.jsonl ./hard.jsonl
[ ! -s out ] || fail "cases counted before the second is refused"
status 2 "$program" recheck folder folder/one.json
"$program" recheck - - <input.jsonl >out 2>err
[ $? = 2 ] || fail "standard input twice"
cp input.jsonl copy.jsonl
status 2 "$program" recheck input.jsonl copy.jsonl --format json --partial part
says 'same bytes'
[ ! -e part ] || fail "a part that counts twice"

# ---- parts: how many, the same or overlapping input, old, cut, damaged ----
head -200 cases.jsonl >a.jsonl
tail -200 cases.jsonl >b.jsonl
sed -n 101,300p cases.jsonl >overlap.jsonl
for p in a b overlap; do "$program" recheck $p.jsonl --format json --partial $p.part >/dev/null || fail "a part"; done
"$program" recheck a.jsonl b.jsonl --format json >wanted
status 0 "$program" recheck --merge --parts 2 a.part b.part --format json
cmp -s wanted out || fail "two parts are not one run"
status 1 "$program" recheck --merge --parts 3 a.part b.part
says 'found 2 parts, wanted 3'
status 1 "$program" recheck --merge --parts 1 a.part b.part
status 2 "$program" recheck a.jsonl --parts 2
status 2 "$program" recheck --merge --parts 0 a.part
status 1 "$program" recheck --merge a.part a.part
says 'another part'
status 1 "$program" recheck --merge a.part overlap.part
says 'holds cases that another part holds too'
head -100 cases.jsonl >b.jsonl
status 1 "$program" recheck --merge a.part b.part
says 'old: its input has changed'
tail -200 cases.jsonl | sed '1s/"age_years":[0-9]/"age_years":8/' >b.jsonl
status 1 "$program" recheck --merge a.part b.part
says 'old: its input has changed'
"$program" recheck b.jsonl --format json --partial c.part >/dev/null
status 1 "$program" recheck --merge b.part c.part
rm b.jsonl
status 0 "$program" recheck --merge a.part b.part --format json
cmp -s wanted out || fail "parts whose inputs are elsewhere"
status 1 "$program" recheck --merge b.part c.part
says 'of a name that another part holds too'
spoilt() { # what the message says, sed command
    sed "$2" a.part >spoilt
    cmp -s a.part spoilt && fail "nothing to spoil: $2"
    status 1 "$program" recheck --merge spoilt
    says "$1"
}
spoilt 'its last line is missing' '$d'
spoilt damaged 's/"cases":200/"cases":201/'
spoilt damaged 's/"slope_sum":\(-*\)1/"slope_sum":\12/'
spoilt damaged '4d'
spoilt damaged '/"line":"steps"/{p;}'
spoilt 'did not write' '5s/^{/{,/'
spoilt 'did not write' '5s/}$/,"x":1e999}/'
spoilt 'did not write' '/"line":"tally"/s/"held":\[[0-9]*/"held":[9223372036854775807/'
spoilt 'did not write' '/"line":"eye-part"/s/\[\[0,\([0-9]*\),[0-9]*/[[0,\1,9999/'
spoilt 'did not write' '/"line":"eye-part"/s/\[\[0,/[[4,/'
spoilt 'did not write' '/"line":"counts"/s/"standing":\[0,/"standing":[-1,/'
spoilt 'partial_format' '1s/"partial_format":4/"partial_format":5/'
{ head -1 a.part; head -c 20000000 /dev/zero | tr '\0' ' '; echo; sed 1d a.part; } >wide.part
(ulimit -v 60000; status 1 "$program" recheck --merge wide.part; exit $failed) || failed=1
says 'did not write'

# ---- what is open is written on: descriptors, process substitution ----
: >both
(echo first; "$program" plan "$case" --output /dev/stdout; echo last) >both
"$program" plan "$case" >wanted
[ "$(head -1 both)" = first ] && [ "$(tail -1 both)" = last ] && [ "$(sed '1d;$d' both | cksum)" = "$(cksum <wanted)" ] ||
    fail "/dev/stdout is what is open"
"$program" plan "$case" --output /dev/fd/3 3>three && cmp -s wanted three || fail "/dev/fd/3"
if command -v bash >/dev/null; then
    bash -c '"$1" plan "$2" --output >(cat >substituted) && wait $! && sleep 0.1' bash "$program" "$case" ||
        fail "process substitution"
    cmp -s wanted substituted || fail "process substitution: what came"
    bash -c 'exec 10>ten && "$1" plan "$2" --output /dev/fd/10' bash "$program" "$case" && cmp -s wanted ten || fail "/dev/fd/10"
fi
[ -z "$(ls | grep 'pipe:')" ] || fail "a file of a pipe's name"
status 2 "$program" recheck cases.jsonl --summary /dev/stdout --format csv

# ---- nothing read; the format by the name; short forms; the nearest name ----
mkdir empty
for command in plan check recheck "recheck --format csv" "check empty" "recheck empty" "recheck empty --partial new --format json"; do
    status 3 "$program" $command
    says 'nothing to read'
done
[ ! -e new ] || fail "a part of nothing"
: >blank.json
status 3 "$program" check blank.json
status 3 "$program" plan "$case" --site blank.json
: >blank.jsonl
: >bare.jsonl
status 3 "$program" recheck blank.jsonl
says 'blank.jsonl: nothing to read'
status 3 "$program" recheck blank.jsonl bare.jsonl
says 'the inputs: nothing to read'
status 2 "$program" power OD 21.0 +2.25 -0.25 118.4 # four have a place, a fifth has none
says 'found "118.4"'
"$program" plan "$case" --format html >wanted
status 0 "$program" plan "$case" -o page.html
cmp -s wanted page.html || fail "the format follows the name"
status 0 "$program" plan "$case" -f html -o page.html
status 2 "$program" plan "$case" --format json --output page.html
says 'ends as --format says'
cmp -s wanted page.html || fail "a refused output"
status 2 "$program" plan "$case" -o page.csv
status 0 "$program" recheck a.jsonl -o rows.csv && [ "$(head -c 6 rows.csv)" = input, ] || fail "csv by its name"
"$program" --help >wanted
for word in -h help; do status 0 "$program" $word && cmp -s wanted out || fail "$word"; done
"$program" power --help >wanted
for words in "power -h" "help power"; do status 0 "$program" $words && cmp -s wanted out || fail "$words"; done
"$program" --version >wanted
for words in -V "plan -V"; do status 0 "$program" $words && cmp -s wanted out || fail "$words"; done
status 2 "$program" rechek
says 'perhaps recheck'
status 2 "$program" help tempalte
says 'perhaps template'
status 2 "$program" plan --ouput x
says 'perhaps --output'
status 2 "$program" plan --jobs=2
says 'belongs to recheck'

# ---- no text from outside drives a terminal or leaves with the rows ----
escape=$(printf 'a\033[2J\007\302\2332Jb')
cp a.jsonl "$escape.jsonl"
echo '{' >"$escape.json"
"$program" recheck a.jsonl --format jsonl >"$escape.old"
head -c 300 "$escape.old" >"$escape.cut"
raw() { # file, what
    LC_ALL=C grep -q "$(printf '[\001-\010\013-\037\177]')" "$1" && fail "an escape reaches the terminal: $2"
    LC_ALL=C grep -q "$(printf '\302[\200-\237]')" "$1" && fail "a C1 escape reaches the terminal: $2"
}
for words in "recheck|$escape.jsonl|--format|csv" "recheck|$escape.jsonl|--format|jsonl" "check|$escape.json" "check|$escape.jsonl" \
    "plan|$escape.json" "plan|$case|--site|$escape.json" "plan|$case|--output|/nowhere/$escape" "$escape" "plan|--$escape" \
    "template|$escape" "sources|$escape" "schema|$escape" "plan|$case|--as-of|$escape" "plan|$case|--format|$escape" \
    "recheck|a.jsonl|--against|$escape.cut" "recheck|a.jsonl|--against|$escape.none" "recheck|--merge|$escape.json" \
    "recheck|a.jsonl|--jobs|$escape" "power|--eye|$escape" "recheck|$escape.jsonl|$escape.jsonl" "plan|$escape.json|--output|$escape.json"; do
    (IFS='|'; "$program" $words >out 2>err </dev/null)
    raw out "$words"
    raw err "$words"
done
"$program" recheck "$escape.jsonl" --format json --partial escape.part >/dev/null
raw escape.part "a part"
printf '%s\n' '{"case_format":1,"case_ref":"A-1","eye":"Jane Doe","reason":"power-error","lens":"Jane Doe","age_years":300}' \
    '{"case_format":1,"case_ref":"Jane Doe","eye":"left"' >named.jsonl
for format in csv jsonl; do
    status 1 "$program" recheck named.jsonl --format $format
    grep -q 'Jane' out && fail "a text that was refused leaves with the rows: $format"
done
grep -q '"found":"300"' out || fail "a number that was refused is told"
if command -v script >/dev/null; then
    for terminal in dumb xterm; do
        TERM=$terminal script -qec "'$program' plan '$case'" /dev/null >typescript </dev/null
        LC_ALL=C grep -q "$(printf '\033')" typescript; echo $? >$terminal
    done
    [ "$(cat dumb xterm | tr -d '\n')" = 10 ] || fail "colour by TERM: $(cat dumb xterm)"
else
    skip terminal "no script"
fi

# ---- a part in which every case counts is a part ----
head -1 "$top/examples/past-cases.jsonl" >counts.jsonl
"$program" recheck counts.jsonl --format json --partial counts.part >/dev/null
status 0 "$program" recheck --merge counts.part
# ---- pages that are the program's own output ----
"$program" schema case-format | cmp -s - "$top/docs/case-format.md" || fail "docs/case-format.md is another than schema prints"
"$program" sources --format markdown | cmp -s - "$top/docs/references.md" || fail "docs/references.md is another than sources prints"
[ "$failed" = 0 ] && echo "passed files"
exit "$failed"
