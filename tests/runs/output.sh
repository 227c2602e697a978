#!/bin/sh
# What --output and a closed or full standard output do; several exit statuses at once.
check=output
. tests/runs/begin.inc
"$program" plan "$case" >wanted

# ---- a link is followed, the old mode kept, a new file as the umask says, nothing left beside ----
mkdir real
echo old >real/file
chmod 640 real/file
ln -s real/file one
ln -s one two
status 0 "$program" plan "$case" --output two
cmp -s wanted real/file && [ -L two ] && [ -L one ] || fail "a link is followed"
[ "$(ls -l real/file | cut -c1-10)" = -rw-r----- ] || fail "the old mode is kept"
ln -s real/new dangling
(umask 077; "$program" plan "$case" --output dangling)
[ "$(ls -l real/new | cut -c1-10)" = -rw------- ] && [ -L dangling ] || fail "a link to nothing yet"
[ "$(ls real | wc -l)" = 2 ] || fail "something is left beside the output"

# ---- the old file survives a refused case, a full disc and a limit ----
echo keep >kept
echo '{' >bad.json
status 1 "$program" plan bad.json --output kept
(ulimit -f 1; status 4 "$program" plan "$case" --format json --output kept; exit $failed) || failed=1
[ "$(cat kept)" = keep ] || fail "the old file survives"
ls kept.* >/dev/null 2>&1 && fail "a temporary file is left"
status 4 "$program" plan "$case" --output /nowhere/file

# ---- a name that leads nowhere, a folder; - is standard output ----
ln -s round about && ln -s about round
status 4 "$program" plan "$case" --output round
[ -L round ] && [ "$(ls | grep -c '^round\|^about')" = 2 ] || fail "links in a circle stay"
status 4 "$program" plan "$case" --output real
status 0 "$program" plan "$case" --output -
cmp -s wanted out && [ ! -e ./- ] || fail "- is standard output"
status 2 "$program" recheck many.jsonl --partial -

# ---- a signal while it is written: the old file stays, and but for KILL nothing beside it ----
mkfifo slow
default= # under nohup HUP is ignored, and a shell cannot take that back
env --default-signal true 2>/dev/null && default="env --default-signal"
for signal in HUP INT TERM QUIT ALRM XCPU USR1 USR2 ABRT KILL; do
    sleep 20 >slow &
    writer=$!
    (until ls kept.?????? >/dev/null 2>&1; do sleep 0.02; done; kill -$signal "$(cat pid)") &
    $default sh -c 'echo $$ >pid; exec "$1" recheck slow --output kept' sh "$program" 2>/dev/null
    [ $? -gt 128 ] || fail "$signal does not end it"
    kill $writer 2>/dev/null
    [ "$(cat kept)" = keep ] || fail "the old file survives $signal"
    [ $signal = KILL ] || ! ls kept.* >/dev/null 2>&1 || fail "a temporary file is left at $signal"
    rm -f kept.*
done
(trap '' HUP; sh -c 'kill -HUP $$; exec "$1" plan "$2" --output kept' sh "$program" "$case") && cmp -s wanted kept ||
    fail "a signal that is ignored stays so"

# ---- a small stack; a file of another user ----
for kibibytes in 32 64 128; do
    for words in "plan $case" "recheck $top/examples/past-cases.jsonl --jobs 3" "check $top/examples"; do
        (ulimit -s $kibibytes && exec "$program" $words) >out 2>err
        got=$?
        [ $got = 0 ] || { [ $got -lt 128 ] && [ -s err ]; } || fail "exit $got without a word with a stack of $kibibytes KiB: $words"
    done
done
if [ "$(id -u)" = 0 ] && command -v setpriv >/dev/null; then
    mkdir -m 777 shared
    echo old >shared/theirs
    chown 65533:65533 shared/theirs
    status 0 "$program" plan "$case" --output shared/theirs
    [ "$(stat -c %u:%g shared/theirs)" = 65533:65533 ] && cmp -s wanted shared/theirs || fail "a file stays its owner's"
    chmod 711 "$work"
    cp "$program" "$case" shared
    for library in "${program%/*}"/*.so; do [ ! -e "$library" ] || cp "$library" shared; done # a build that keeps them beside it
    setpriv --reuid 65532 --regid 65532 --clear-groups shared/iolrevise plan shared/hyperopic-surprise.json --output shared/theirs 2>err
    [ $? = 0 ] && grep -q 'belonged to another user' err || fail "a new owner is said: $(cat err)"
else
    skip permissions "not root, or no setpriv"
fi

# ---- an input that is not what it seems; descriptors that came closed ----
status 3 "$program" plan real
status 3 "$program" plan round
status 3 "$program" recheck round
status 3 "$program" plan "$case" --site real
(exec <&-; status 3 "$program" plan; exit $failed) || failed=1
"$program" plan "$case" >&- 2>err
[ $? = 4 ] && [ -s err ] || fail "standard output that came closed"
"$program" recheck "$top/examples/past-cases.jsonl" bad.json --format csv --output kept 2>&-
[ $? = 1 ] && ! grep -q 'iolrevise: ' kept || fail "a message in the output"
(cat "$case" | while IFS= read -r line; do echo "$line"; done) | status 0 "$program" plan
cmp -s wanted out || fail "an input that comes in pieces"

# ---- what is no plain file is written straight ----
mkfifo pipe
cat pipe >read &
status 0 "$program" plan "$case" --output pipe
wait $!
cmp -s wanted read && [ -p pipe ] || fail "a pipe is written straight"

# ---- a reader that goes ends the program quietly, whatever the number of jobs; a full device does not ----
quiet() { # command...
    { "$@" 2>err; echo $? >code; } | head -1 >/dev/null
    [ "$(cat code)" = 0 ] && [ ! -s err ] || fail "not quiet: $(cat code) $(head -1 err): $*"
}
for i in 1 2 3 4 5 6 7 8 9 10; do cat "$top/examples/past-cases.jsonl"; done >many.jsonl
for jobs in 1 3; do quiet "$program" recheck --format csv --jobs $jobs many.jsonl; done
quiet "$program" sources
if [ -c /dev/full ]; then
    for arguments in --help --version "plan --help" "template site" "recheck --format csv --jobs 3 many.jsonl"; do
        "$program" $arguments >/dev/full 2>err
        [ $? = 4 ] && [ "$(cat err)" = "iolrevise: cannot write standard output: No space left on device" ] ||
            fail "a full device: $arguments: $(cat err)"
    done
else
    grep -qx full-device "$top/tests/allowed-skips" || fail "full-device may not be skipped"
    echo "SKIP full-device: no /dev/full"
fi

# ---- no memory: never without a word ----
for kibibytes in 5000 6000 7000 8000 10000; do
    # a program that cannot even start has the shell's own message
    sh -c 'ulimit -v $1; exec "$2" recheck many.jsonl' sh $kibibytes "$program" >out 2>err
    got=$?
    [ $got != 70 ] || [ -s err ] || fail "exit 70 at $kibibytes KiB without a word"
    [ $got != 70 ] || [ ! -s out ] || fail "a summary of half the cases at $kibibytes KiB"
done

# ---- several at once: 70, 4, 2, 3, 1, 5, first wins; the faults of both files are told ----
status 3 "$program" plan missing.json --site bad.json
grep -q '^iolrevise: bad.json:2: ' err && grep -q '^iolrevise: cannot open missing.json' err || fail "both are told"
status 3 "$program" plan bad.json --site missing.json
status 1 "$program" plan bad.json --site bad.json
[ "$(grep -c '^iolrevise: bad.json:2: ' err)" = 2 ] || fail "the faults of both files"
status 2 "$program" plan missing.json --format nothing
status 4 "$program" plan "$top/examples/silicone-oil.json" --strict --output /nowhere/file
status 5 "$program" plan "$top/examples/silicone-oil.json" --strict
status 3 "$program" check bad.json missing.json

# ---- a plan of a changed case says so on its first sheet and at the head of every printed one; no other plan does ----
"$program" plan "$case" --set age_years=70 --format html >changed.html
grep -qF 'For this plan alone, not in the file:' changed.html && grep -qF ' CHANGED' changed.html || fail "a changed case looks like that of the file"
"$program" plan "$case" --format html >plain.html
! grep -qE 'For this plan alone| CHANGED' plain.html || fail "a case is called changed"
[ "$failed" = 0 ] && echo "passed output"
exit "$failed"
